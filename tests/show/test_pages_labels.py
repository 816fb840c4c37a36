"""No label leaves its picture: every text of every drawing lies inside the drawing's viewBox, in a real Chromium."""

import pytest

from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.plan import render_plan
from guide.show.pages.render import typeface
from guide.show.pictures.svg import wide
from tests.show import samples
from tests.show.test_pages_kinds import plan_of
from tests.typeface import LETTERS

pytestmark = pytest.mark.browser

ENVELOPE = "{type: envelope, overlap: 10.5 cm, hem: 25 mm, double_hem: true}"
# Long values: decimals, sixteenths, sizes of three digits, and a batch.
PROJECTS = {
    "inch": {"square": "6 13/16 in", "seam": "9/16 in", "free_end": "7/16 in", "wadding": "{gap: 9/16 in}"},
    "metric": {"units": "metric", "square": "15.7 cm", "seam": "13 mm"},
    "metric, inches written": {"units": "metric"},
    "metric, vast": {"units": "metric", "square": "18.7 cm", "grid": "{across: 9, down: 11}"},
    "metric, one block wide": {"units": "metric", "grid": "{across: 1, down: 3}"},
    "metric, upright zip": {"units": "metric", "closure": "{type: zip, after_column: 1}"},
    "metric, envelope": {"units": "metric", "closure": ENVELOPE},
    "metric, plain back": {"units": "metric", "back": "{plain: clay dot}", "square": "12.3 cm"},
    "metric, throw": {
        "units": "metric", "kind": "throw", "closure": "none", "back": None, "pad": None, "extras": None,
        "grid": "{across: 8, down: 10}", "square": "18.7 cm",
    },
    "american": {"words": "american", "square": "6 13/16 in"},
    "long names": {"prints": "[{name: the widest wallflower and wisteria, width: 44 in}, {name: MMMMMMMMMMMMMMMM, width: 44 in},"
                             " {name: WWWWWWWWWWWWWWWWWWWWWWWWWWWWWW, width: 44 in}]"},
}  # fmt: skip

OUTSIDE = """() => [...document.querySelectorAll('svg.picture')].flatMap(svg => {
    const whole = svg.viewBox.baseVal, back = svg.getScreenCTM().inverse();
    return [...svg.querySelectorAll('text')].filter(text => text.textContent).flatMap(text => {
        const box = text.getBBox(), to = back.multiply(text.getScreenCTM());
        const out = [[box.x, box.y], [box.x + box.width, box.y + box.height]].some(([x, y]) => {
            const p = new DOMPoint(x, y).matrixTransform(to), near = whole.width * 1e-6;
            return p.x < whole.x - near || p.x > whole.x + whole.width + near
                || p.y < whole.y - near || p.y > whole.y + whole.height + near;
        });
        return out ? [`${text.textContent} | ${svg.getAttribute('aria-label').slice(0, 40)}`] : [];
    });
})"""


@pytest.mark.parametrize("name", sorted(PROJECTS))
def test_every_label_lies_inside_its_picture(page, tmp_path, name):
    """[identity] A text's box, as the browser sets it, within the viewBox; on the log, the plan and the checklist."""
    plan = plan_of(PROJECTS[name])
    full = samples.full_report(plan, rec=samples.record(plan))
    texts = 0
    for render in (render_log, render_plan, render_checklist):
        path = tmp_path / f"{render.__name__}.html"
        path.write_text(render(full), encoding="utf-8")
        page.goto(path.as_uri())
        texts += page.evaluate("document.querySelectorAll('svg.picture text').length")
        assert page.evaluate(OUTSIDE) == []
    assert texts > 50


def test_letters_are_reckoned_at_least_as_wide_as_the_typeface_sets_them(page):
    """Every letter it holds, bold and not, as the browser measures it at 100 px; so a drawing's edge holds its labels."""
    page.set_content(f"<style>{typeface()}</style><p style='font-family: Fraywork'>a <b>b</b></p>")
    page.evaluate("document.fonts.ready.then(() => 0)")
    letters = "".join(map(chr, LETTERS)).replace("\u00ad", "")
    for weight, bold in ((400, False), (600, True)):
        measured = page.evaluate(
            """([weight, letters]) => {
                const c = document.createElement('canvas').getContext('2d');
                c.font = `${weight} 100px Fraywork`;
                return [...letters].map(one => c.measureText(one).width);
            }""",
            [weight, letters],
        )
        over = [
            (one, got) for one, got in zip(letters, measured, strict=True) if got > wide(one, 100, bold=bold) + 0.01
        ]
        assert over == []
        assert len({measured[letters.index(figure)] for figure in "0123456789"}) == 1  # figures stand under each other
