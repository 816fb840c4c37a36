"""A new user finds what earns most and what is late without a flag: on one page, first."""

from collections import defaultdict
from decimal import Decimal

import pytest

from guide.book.file import read_entries
from tests.book.a_year import written
from tests.show.test_pages_browser import AXE, RULES


@pytest.fixture
def year(workshop, guide):
    written(workshop)
    return guide


def by_hand() -> dict[str, Decimal]:
    """What an hour of each article earned, from the lines alone."""
    made, left, hours = {}, defaultdict(Decimal), defaultdict(Decimal)
    for entry in read_entries("sessions")[0]:
        if entry.what == "made":
            made |= dict.fromkeys(entry.tickets, entry)
        if entry.what == "sold":
            (ticket,) = entry.tickets
            left[made[ticket].title] += entry.amount - (entry.fee or 0) - made[ticket].cost
            hours[made[ticket].title] += Decimal(repr(made[ticket].hours))
    return {title: left[title] / hours[title] for title in left}


def test_what_earns_most_and_what_is_late_stand_first(year):
    said = year("book")
    assert said.code == 0
    best = max(by_hand().items(), key=lambda one: one[1])
    rows = said.out.split("\n")
    assert rows[0].startswith("Earns most an hour")
    assert rows[2].strip().startswith(best[0])
    assert f"{best[1]:.2f} EUR" in rows[2]
    late = [row for row in rows if row.startswith("▲")]
    assert [row.split(",")[0] for row in late] == ["▲ order 3", "▲ order 4"]
    assert "8 days" in late[0]  # due 12 November, it is the 20th
    assert "2 days" in late[1]
    assert len(rows) < 45


def test_it_fits_a_terminal_of_80_columns(year):
    assert max(map(len, year("book").out.split("\n"))) <= 80
    assert max(map(len, year("order").out.split("\n"))) <= 80


def test_a_page_has_the_charts_and_every_article(year):
    html = year("book", "--page", "-").out
    assert html.count("<svg") == 3
    assert all(title in html for title in by_hand())
    markdown = year("book", "--page", "book.md")
    assert markdown.code == 0


@pytest.mark.browser
@pytest.mark.parametrize("width", [320, 1280])
def test_the_page_in_a_browser(year, page, workshop, width):
    """From a phone on nothing lies beyond the edge. [source] WCAG 2.2, 1.4.10, and axe-core's rules as the judge."""
    assert year("book", "--page", "book.html").code == 0
    page.set_viewport_size({"width": width, "height": 800})
    page.goto((workshop / "book.html").as_uri())
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    assert not page.bad
    if AXE.is_file():
        page.evaluate(AXE.read_text(encoding="utf-8") + ";0")
        found = page.evaluate("rules => axe.run(document, {runOnly: rules})", RULES)
        assert [(v["id"], [n["html"][:200] for n in v["nodes"]][:3]) for v in found["violations"]] == []
