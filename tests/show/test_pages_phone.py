"""On a phone nothing that matters is hidden sideways or broken into a column of syllables."""

import os
import re
from functools import cache

import pytest

from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.plan import render_plan
from guide.show.pages.price import render_price
from tests.show import samples
from tests.show.test_pages_browser import AXE, RULES
from tests.show.test_pages_kinds import plan_of

pytestmark = pytest.mark.browser
FULL = bool(os.environ.get("FRAYWORK_FULL"))

PROJECTS = {
    "metric": {"units": "metric"},
    "inch": {"square": "6 13/16 in"},
    "six at once": {"make": "6", "units": "metric"},
}

# Cells that are not wholly on the screen, by their text. A phone's reader does not look for what is out of sight.
HIDDEN = """() => [...document.querySelectorAll('.wide td, .wide th[scope=row], .step .pieces')].filter(cell => {
    const box = cell.getBoundingClientRect();
    return box.width && (box.left < -0.5 || box.right > document.documentElement.clientWidth + 0.5);
}).map(cell => cell.textContent)"""

# Short texts that stand on more than one line.
BROKEN = """() => [...document.querySelectorAll('.step .pieces, .wide td.n')].filter(cell => {
    const range = document.createRange();
    range.selectNodeContents(cell);
    const lines = new Set([...range.getClientRects()].map(r => Math.round(r.bottom / 8)));
    return cell.textContent.length < 14 && cell.children.length == 0 && lines.size > 1;
}).map(cell => cell.textContent)"""


@cache
def full(name):
    plan = plan_of(PROJECTS[name])
    return samples.full_report(plan, rec=samples.record(plan))


@pytest.mark.parametrize(
    ("name", "width"),
    [(name, width) for name in PROJECTS for width in (320, 360, 400) if FULL or width == 320 or name == "six at once"],
)
@pytest.mark.parametrize(
    "render", [render_log, render_plan, render_checklist, render_price, samples.history_page, samples.paces_page]
)
def test_every_cell_is_in_sight_on_a_phone(page, tmp_path, render, name, width):
    """No cell lies beyond the edge, no count is broken. [source] WCAG 2.2, 1.4.10: 320 CSS px without two-way scroll."""
    path = tmp_path / "page.html"
    path.write_text(render(full(name)), encoding="utf-8")
    page.set_viewport_size({"width": width, "height": 800})
    page.goto(path.as_uri())
    assert page.evaluate(HIDDEN) == []
    assert page.evaluate(BROKEN) == []
    # What is laid out otherwise is to be as accessible; of one kind of page one project has every part there is.
    if width == 320 and AXE.is_file() and (FULL or name == "six at once"):
        page.evaluate(AXE.read_text(encoding="utf-8") + ";0")
        found = page.evaluate("rules => axe.run(document, {runOnly: rules})", RULES)
        assert [(v["id"], [n["html"][:200] for n in v["nodes"]][:3]) for v in found["violations"]] == []


def test_a_stacked_row_says_what_each_cell_is(page, tmp_path):
    """Without the heads of its columns a cell carries its own word; on a wide screen and on paper the heads do."""
    path = tmp_path / "log.html"
    path.write_text(render_log(full("metric")), encoding="utf-8")
    page.goto(path.as_uri())
    word = "cell => getComputedStyle(cell, '::before').content"
    made, took = ".wide td[data-is=made]", ".wide td[data-is=took]"
    page.set_viewport_size({"width": 360, "height": 800})
    assert page.eval_on_selector(made, word) == '"made "'
    assert page.eval_on_selector(took, word) == '"took "'
    page.emulate_media(media="print")
    assert page.eval_on_selector(made, word) == "none"
    page.emulate_media(media="screen")
    page.set_viewport_size({"width": 900, "height": 800})
    assert page.eval_on_selector(made, word) == "none"


@pytest.mark.parametrize("render", [render_log, render_plan, render_price])
def test_every_cell_has_a_word_for_a_phone(render):
    """Each cell of a table beside its row's head is named: none is left to be guessed."""
    html = render(full("inch"))
    body = html.partition("<main")[2]
    assert re.findall(r"<td(?![^>]*data-is=)[^>]*>[^<]", body) == []
