"""What comes out of the printer: sizes, fonts and sheets, read from the PDFs that a real Chromium prints.

The least sizes are the trade's for what is read at a machine, at arm's length [practice]; 72 pt are 25.4 mm [identity].
Which element a printed letter belongs to is told by its colour: each is given one of its own, which moves nothing.
"""

import io
import math
import os
import re
from functools import cache, partial
from pathlib import Path

import pytest

from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.plan import render_plan, render_sheet
from guide.show.pages.price import render_price
from tests.commands.conftest import guide, workshop
from tests.show import samples
from tests.show.conftest import CHROMIUM, only
from tests.show.demo import demo_plan
from tests.show.test_pages_kinds import plan_of

__all__ = ["guide", "workshop"]
pytestmark = pytest.mark.browser
(SESSION,) = (Path(__file__).parents[2] / "sessions" / "window-seat-cushion" / "rehearsals").glob("*.jsonl")
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
    "cutting day": samples.day_page,
    "log": render_log,
    "log, drawn": partial(render_log, pictures=True),
    "log, buyer's": partial(render_log, buyer=True),
    "price": render_price,
    "history": samples.history_page,
    "paces": samples.paces_page,
    "one pace": partial(samples.paces_page, sessions=1),
}
LEAST = {"number": 14.0, "text": 10.5, "drawing": 9.0, "foot": 7.0}  # pt
LARGE = dict.fromkeys(LEAST, 16.0)
BLUE = 119  # of every mark; no colour of a page has it
MARK = """blue => {
    const style = document.createElement('style');
    style.textContent = '*::before, *::after { color: inherit !important }';
    document.head.append(style);
    const rows = 'li.step, .order li, tbody tr:not(.stage)', steps = [...document.querySelectorAll(rows)];
    return [...document.querySelectorAll('body *')].filter(e => !e.closest('script, title') && e.checkVisibility()
        && [...e.childNodes].some(n => n.nodeType === Node.TEXT_NODE && n.textContent.trim())).map((e, i) => {
        for (const name of ['color', 'fill'])
            e.style.setProperty(name, `rgb(${i >> 8}, ${i & 255}, ${blue})`, 'important');
        const kind = e.closest('svg') ? 'drawing' : e.closest('.colophon') ? 'foot'
            : e.matches('.sizes b, .stacklist b, .figures b, .run .no, .when time, .big') ? 'number' : 'text';
        return [kind, steps.indexOf(e.closest(rows)), e.textContent.trim()];
    });
}"""
CASES = [
    (project, name, paper)
    for project in PROJECTS
    for name in PAGES
    for paper in ("A4", "Letter")
    if FULL
    or (project == "demo" and paper == "A4" and name != "log, drawn")
    or (project == "throw" and name == "checklist" and paper == "Letter")
]


@cache
def full(project):
    plan = demo_plan() if PROJECTS[project] is None else plan_of(PROJECTS[project])
    return samples.full_report(plan, rec=samples.record(plan))


def printed(page, tmp_path, project, name, paper):
    """The marks of a page's elements, as (kind, step, text), and its sheets as a PDF."""
    path = tmp_path / "page.html"
    path.write_text(PAGES[name](full(project)), encoding="utf-8")
    page.emulate_media(media="print")
    page.goto(path.as_uri())
    return page.evaluate(MARK, BLUE), sheets_of(page, paper)


def sheets_of(page, paper):
    """The sheets as they are printed, without the points of what is drawn: there are no letters in those."""
    generic = pytest.importorskip("pypdf").generic
    sheets = []
    for sheet in (
        pytest.importorskip("pypdf").PdfReader(io.BytesIO(page.pdf(format=paper, prefer_css_page_size=False))).pages
    ):
        bare = generic.DecodedStreamObject()
        bare.set_data(re.sub(rb"(?m)^(?:[-\d. ]+ [clm]|h)\n", b"", sheet.get_contents().get_data()))
        sheet[generic.NameObject("/Contents")] = bare
        sheets.append(sheet)
    return sheets


def mark_of(colour, marks):
    """Which mark a colour is, if any."""
    red, green, blue = (round(float(part) * 255) for part in colour)
    place = red << 8 | green
    return place if blue == BLUE and place < len(marks) else None


def steps_on(marks, sheets):
    """On which sheets each step has letters: of cards, lines of an order and rows of tables."""
    on = {}
    for number, sheet in enumerate(sheets, 1):
        for colour in re.findall(rb"([\d.]+) ([\d.]+) ([\d.]+) rg\b", sheet.get_contents().get_data()):
            mark = mark_of(colour, marks)
            if mark is not None and marks[mark][1] >= 0:
                on.setdefault(marks[mark][1], set()).add(number)
    assert set(on) == {step for _, step, text in marks if step >= 0 and text}
    return on


def letters(sheet, marks):
    """What is written on a sheet: (its mark or None, size in pt, height on the sheet, font)."""
    fonts, found = sheet["/Resources"].get("/Font", {}), []
    colour, font, size, kept = (), "", 0.0, []

    def before(op, args, cm, tm):
        nonlocal colour, font, size
        match op:
            case b"rg":
                colour = args
            case b"Tf":
                font, size = str(fonts[args[0]].get("/BaseFont", "a drawn one")), float(args[1])
            case b"q":
                kept.append((colour, font, size))
            case b"Q":
                colour, font, size = kept.pop()
            case b"Tj" | b"TJ":
                scale = math.hypot(tm[0] * cm[0] + tm[1] * cm[2], tm[0] * cm[1] + tm[1] * cm[3])
                y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
                found.append((mark_of(colour, marks) if colour else None, size * scale, y, font))

    sheet.extract_text(visitor_operand_before=before)
    return found


@pytest.mark.parametrize(("project", "name", "paper"), CASES)
def test_what_is_printed_can_be_read_and_is_the_same_everywhere(page, tmp_path, project, name, paper):
    """No letter too small, none of a font of the computer's own, no bitmap, no step split, no sheet for a foot or two rows."""
    marks, sheets = printed(page, tmp_path, project, name, paper)
    least = LARGE if name == "large" else LEAST
    small, seen, on = set(), set(), {}
    for number, sheet in enumerate(sheets, 1):
        found = letters(sheet, marks)
        for mark, size, y, font in found:
            kind, step, text = ("text", -1, "the sheet's head") if mark is None else marks[mark]
            seen.add(mark)
            if step >= 0 and 0 < y < sheet.mediabox.height:  # what is cut off is no letter of this sheet
                on.setdefault(step, set()).add(number)
            if size < least[kind] - 0.06:
                small.add((kind, round(size, 2), text[:40]))
            assert "Fraywork" in font or font == "a drawn one", (number, text, font)
        assert len({round(y) for _, _, y, _ in found}) > 4, number
        held = sheet["/Resources"].get("/XObject", {}).values()
        assert [one for one in held if one.get_object()["/Subtype"] == "/Image"] == []
    assert small == set()
    assert seen - {None} == {place for place, (_, _, text) in enumerate(marks) if text}
    assert set(on) == set(steps_on(marks, sheets))
    assert {step: held for step, held in on.items() if len(held) > 1} == {}
    # Two sheets of paper, both sides, or one of A3 folded once [practice: what lies flat at a machine].
    assert name != "sheet" or len(sheets) <= 4


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_shipped_log_ends_on_its_fifth_sheet(page, tmp_path, guide, paper):
    """The numbers at its end do not go over to a sheet of their own; the least size of letters stays. [legibility: LEAST]"""
    path = tmp_path / "log.html"
    assert guide("log", str(SESSION), "-o", str(path)).code == 0
    page.emulate_media(media="print")
    page.goto(path.as_uri())
    marks = page.evaluate(MARK, BLUE)
    sheets = sheets_of(page, paper)
    assert len(sheets) == 5
    for mark, size, _, _ in (one for sheet in sheets for one in letters(sheet, marks)):
        assert mark is None or size > LEAST[marks[mark][0]] - 0.06, marks[mark]
    last = [y for _, _, y, _ in letters(sheets[-1], marks)]
    assert min(last) > 12 / 25.4 * 72  # none below the margin


@pytest.mark.parametrize("chromium", ["DejaVu"], indirect=True)
@pytest.mark.parametrize(
    ("project", "name", "paper"), CASES if FULL else [("demo", "checklist", "A4"), ("demo", "sheet", "Letter")]
)
def test_the_same_sheets_come_out_whatever_fonts_a_computer_has(chromium, tmp_path, project, name, paper):
    """As many, and each step on the same one, where only DejaVu, only Liberation, only Noto is known."""
    came = {}
    for fonts in ("DejaVu", "Liberation", "Noto"):
        folder = tmp_path / fonts
        folder.mkdir()
        browser = chromium.browser_type.launch(
            executable_path=CHROMIUM, env=only(fonts, folder), args=["--no-sandbox", "--disable-gpu"]
        )
        marks, sheets = printed(browser.new_page(), folder, project, name, paper)
        came[fonts] = (len(sheets), steps_on(marks, sheets))
        browser.close()
    assert came["DejaVu"][1]
    assert came["Liberation"] == came["DejaVu"]
    assert came["Noto"] == came["DejaVu"]


def test_the_times_of_a_log_take_half_the_height(page, tmp_path):
    """A row took 11.5 mm when a step's range and its day had lines of their own; now it is one line of 10.5 pt. [identity]"""
    path = tmp_path / "log.html"
    path.write_text(render_log(full("demo")), encoding="utf-8")
    page.set_viewport_size({"width": 703, "height": 1000})  # 210 mm less twice 12, 96 px to 25.4 mm
    page.emulate_media(media="print")
    page.goto(path.as_uri())
    rows = page.eval_on_selector_all(
        ".appendix div[aria-label='Times by step'] tbody tr:not(.stage)", "all => all.map(e => e.offsetHeight)"
    )
    assert len(rows) >= len(demo_plan().steps)
    assert sorted(rows)[len(rows) * 3 // 4] * 25.4 / 96 < 11.5 / 2
