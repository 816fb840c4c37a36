"""What comes out of the printer: sizes, fonts and sheets, read from the PDFs that a real Chromium prints.

The least sizes are the trade's for what is read at a machine, at arm's length [practice]; 72 pt are 25.4 mm [identity].
"""

import io
import math
import os
from functools import cache, partial

import pytest

from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.plan import render_plan
from guide.show.pages.sheet import render_sheet
from tests.show import samples
from tests.show.demo import demo_plan
from tests.show.test_pages_browser import squeezed
from tests.show.test_pages_kinds import plan_of

pytestmark = pytest.mark.browser
FULL = bool(os.environ.get("FRAYWORK_FULL"))
PROJECTS = {
    "demo": None,
    "throw": {
        "kind": "throw", "closure": "none", "back": None, "pad": None, "extras": None, "grid": "{across: 9, down: 11}",
    },
}  # fmt: skip
PAGES = {
    "checklist": render_checklist,
    "large": partial(render_checklist, large=True),
    "plan": render_plan,
    "sheet": render_sheet,
    "log": render_log,
}
LEAST = {"large": 16.0}  # pt; of other papers 9, which is lettering in drawings
FOOT = 7.0
CASES = [
    (project, name, paper)
    for project in PROJECTS
    for name in PAGES
    for paper in ("A4", "Letter")
    if FULL or (project == "demo" and paper == "A4") or (name == "checklist" and paper == "Letter")
]


@cache
def full(project):
    plan = demo_plan() if PROJECTS[project] is None else plan_of(PROJECTS[project])
    return samples.full_report(plan, rec=samples.record(plan))


def printed(page, tmp_path, project, name, paper):
    """The sheets of a paper: of each its texts as (text, size in pt, height on the sheet, font), and its bitmaps."""
    pypdf = pytest.importorskip("pypdf")
    path = tmp_path / "page.html"
    path.write_text(PAGES[name](full(project)), encoding="utf-8")
    page.goto(path.as_uri())
    sheets = []
    for sheet in pypdf.PdfReader(io.BytesIO(page.pdf(format=paper, prefer_css_page_size=False))).pages:
        texts = []

        def seen(text, cm, tm, font, size, texts=texts):  # noqa: PLR0917 - as pypdf calls it
            if text.strip():
                scale = math.hypot(tm[0] * cm[0] + tm[1] * cm[2], tm[0] * cm[1] + tm[1] * cm[3])
                y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
                texts.append((text.strip(), size * scale, y, str((font or {}).get("/BaseFont", "a drawn one"))))

        sheet.extract_text(visitor_text=seen)
        images = [
            one for one in sheet["/Resources"].get("/XObject", {}).values() if one.get_object()["/Subtype"] == "/Image"
        ]
        sheets.append((texts, len(images)))
    return sheets


@pytest.mark.parametrize(("project", "name", "paper"), CASES)
def test_what_is_printed_can_be_read_and_is_the_same_everywhere(page, tmp_path, project, name, paper):
    """No letter too small, none of a font of the computer's own, no bitmap, no sheet for a foot or two rows."""
    sheets = printed(page, tmp_path, project, name, paper)
    foot = squeezed(page.evaluate("document.querySelector('.colophon').textContent"))
    least, small = LEAST.get(name, 9.0), []
    for number, (texts, images) in enumerate(sheets, 1):
        for text, size, _, font in texts:
            in_foot = number == len(sheets) and squeezed(text) in foot
            if size < (FOOT if in_foot and name != "large" else least) - 0.06:
                small.append((number, round(size, 2), text[:40]))
            assert "Fraywork" in font or font == "a drawn one", (number, text, font)
        assert images == 0
        assert len({round(y) for _, _, y, _ in texts}) > 4, (number, texts)
    assert small == []
