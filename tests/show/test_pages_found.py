"""What a reader finds on a page without being told: the way to now, faces for a customer, the language it is read in."""

import re

import pytest
from msgspec.structs import replace

from guide.show.pages.checklist import render_checklist
from guide.show.pages.plan import render_plan
from guide.show.pages.price import render_quote
from guide.show.pages.render import sheet_head
from tests.show import samples
from tests.show.pages_read import Page


@pytest.fixture(scope="module")
def full():
    return samples.full_report()


def test_a_checklist_leads_to_now_by_its_own_links(full):
    """Each stage by the clock it begins at, in the day's order; every link's place is in the page, and no script."""
    page = render_checklist(full)
    links = re.findall(r'<a href="#([^"]+)">(\d\d:\d\d) ([^<]+)</a>', page)
    assert [title for *_, title in links] == list(dict.fromkeys(step.stage_title for step in full.steps))
    assert set(Page(page).all("section", "id")) == {place for place, *_ in links}
    first = {}
    for window in full.day.rows:
        if window.step:
            first.setdefault(window.step.stage_title, window.row.start)
    assert {title: clock for _, clock, title in links} == first


def test_a_customer_sees_faces_without_letters(full):
    """A quotation's faces and legend show the prints; the plan's have their letters on them."""
    assert "data-letter" in render_plan(full)
    quote = render_quote(full)
    assert "data-letter" not in quote
    legend = quote.partition('<ul class="legend">')[2].partition("</ul>")[0]
    assert legend.count("<svg") == len(full.prints)
    assert not re.search(r"<b>[A-Z]</b>", legend)


def test_the_pages_language_is_the_words(full):
    """`words: american` are read aloud as American. [source] BCP 47: en-US."""
    american = replace(full, project=replace(full.project, words="american"))
    assert Page(render_plan(american)).all("html", "lang") == ["en-US"]
    assert Page(render_plan(full)).all("html", "lang") == ["en-GB"]


@pytest.mark.parametrize("title", ['a"}</style><b>', "back\\slash", "\n\t é 縫", "1 2"])
def test_a_title_on_top_of_a_sheet_is_text_and_nothing_else(title):
    """No character of a title ends its string; each that is no plain letter is there by its number. [source] CSS Syntax 3, 4.3.7."""
    rule = sheet_head("sheet1", title)
    (inside,) = re.findall(r'content: "(.*)"; } }$', rule)
    assert re.fullmatch(r"(?:[0-9A-Za-z]|\\[0-9a-f]+ )*", inside)
    assert re.sub(r"\\([0-9a-f]+) ", lambda found: chr(int(found[1], 16)), inside) == title
