"""The papers of a class in a real browser: any width, any paper, light and dark, whatever a seat is called."""

import json
import re
from itertools import pairwise

import pytest

from tests.show.test_pages_browser import AXE, RULES, printed
from tests.teach.papers import made

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    path = tmp_path_factory.mktemp("papers") / "papers.html"
    path.write_text(made().page(now_s=4000.0), encoding="utf-8")
    return path


@pytest.mark.parametrize("width", [320, 360, 1280])
def test_the_papers_fit_every_width(page, file, width):
    """No sideways scroll, no message, no request. [source] WCAG 2.2, 1.4.10: 320 CSS px."""
    page.set_viewport_size({"width": width, "height": 800})
    page.goto(file.as_uri())
    assert not page.bad
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


@pytest.mark.parametrize(("media", "scheme"), [("screen", "light"), ("screen", "dark"), ("print", "light")])
def test_the_papers_are_accessible(page, file, media, scheme):
    """axe-core finds nothing against WCAG 2.2 A and AA. [source] axe-core's rules as the judge."""
    if not AXE.is_file():
        pytest.skip("no axe-core: npm install axe-core, or FRAYWORK_AXE")
    page.emulate_media(media=media, color_scheme=scheme)
    page.goto(file.as_uri())
    page.evaluate(AXE.read_text(encoding="utf-8") + ";0")
    found = page.evaluate("rules => axe.run(document, {runOnly: rules})", RULES)
    assert [(v["id"], [n["html"][:200] for n in v["nodes"]][:3]) for v in found["violations"]] == []


@pytest.mark.parametrize(("paper", "box"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_each_paper_begins_on_a_sheet_of_its_own(page, file, paper, box):
    """Of either paper; the wall chart is whole on the first. [source] ISO 216; Letter is 8 1/2 × 11 in."""
    pages = printed(page, file, paper)
    assert all(abs(float(p.mediabox.width) - box[0]) < 2 and abs(float(p.mediabox.height) - box[1]) < 2 for p in pages)
    # what stands on top of every sheet, its number and the title, is no part of a paper
    texts = [re.sub(r"^\s*sheet \d+ of \d+ · .*\n", "", p.extract_text()) for p in pages]
    assert "cut off, and move down" in texts[0]
    for head in ("A. B.", "seat 2", "At home, seat 2", "The tutor’s sheet", "Labels for the bags"):
        begins = (re.sub(r"sheet \d+ of \d+[^\n]*", "", text).lstrip() for text in texts[1:])
        assert any(text.startswith(head) for text in begins), head


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_seat_s_sheet_is_one_sheet_of_paper(page, tmp_path, paper):
    """Two sides at the most, with its stacks, and one for what goes home; the machines' card is the last."""
    path = tmp_path / "seats.html"
    path.write_text(made().page(papers=["seats"]), encoding="utf-8")
    texts = [p.extract_text() for p in printed(page, path, paper)]
    begins = [n for n, text in enumerate(texts) if re.search("your machine|At home, |At each machine: ", text)]
    spans = [then - one for one, then in pairwise([*begins, len(texts)])]
    assert (begins[0], spans) == (0, [2, 1, 2, 1, 2, 1, 1])
    assert sum("The stacks" in text for text in texts) == 3
    page.goto(path.as_uri())
    page.emulate_media(media="print")
    sizes = """() => [...document.querySelectorAll('.seat :is(td, th, p, li, h3, .small)')]
        .filter(one => one.innerText.trim()).map(one => parseFloat(getComputedStyle(one).fontSize))"""
    assert min(page.evaluate(sizes)) >= 10.5 * 96 / 72 - 0.01  # [identity] a CSS px is 1/96 in, a point 1/72


def test_a_hostile_name_does_nothing(page, tmp_path):
    """No dialog, no request, no sideways scroll on a phone."""
    path = tmp_path / "page.html"
    path.write_text(made(name=json.dumps('"><img src=x onerror=a>'), title="W" * 80).page(), encoding="utf-8")
    page.set_viewport_size({"width": 320, "height": 800})
    page.goto(path.as_uri())
    page.wait_for_timeout(30)
    assert not page.bad
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
