"""Pages people keep, as self-contained HTML and as Markdown, printed from one report."""

from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.plan import render_plan
from guide.show.pages.price import render_price, render_quote
from guide.show.pages.sheet import render_sheet
from guide.show.pages.tickets import render_tickets
from guide.show.pages.write import write_page

__all__ = [
    "render_checklist",
    "render_log",
    "render_plan",
    "render_price",
    "render_quote",
    "render_sheet",
    "render_tickets",
    "write_page",
]
