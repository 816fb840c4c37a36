"""What is seen on either face is one arrangement, in one label, in letters, pages and pictures alike."""

import re

import pytest
from msgspec.structs import replace

from guide.show.pages.log import render_log
from guide.show.pages.plan import render_plan
from guide.show.pages.price import render_quote
from guide.show.pages.render import faces
from guide.show.pages.step_art import art_of
from guide.show.plan_lines import faces_lines
from guide.show.report import report
from guide.show.report_numbers import zip_place
from tests.show import samples
from tests.show.test_pages_kinds import planned
from tests.show.test_pictures import marked

KINDS = ("throw", "envelope", "zip along a column", "six at once")


APART = "Back, as you see it, its two panels apart"


@pytest.fixture(scope="module", params=KINDS)
def made(request):
    plan = planned(request.param)
    return plan, samples.full_report(plan, rec=samples.record(plan))


def letters_seen(plan):
    """The back's letters by (row, column) as it is seen, counted out from the plan alone.

    [practice] A cushion's back is a panel of its own: laid with its right sides up it is seen as it will be seen on
    the cushion. A throw's other face is its front turned like the page of a book: column c is seen at across + 1 − c.
    """
    letters = {one.name: "ABCDEFG"[place] for place, one in enumerate(plan.project.prints)}
    if plan.backing is not None:
        return {(b.row, b.column): letters[b.stack[0]] for b in plan.backing.blocks}
    return {(b.row, plan.layout.across + 1 - b.column): letters[b.stack[-1]] for b in plan.layout.blocks}


def label_of(plan):
    """The one label; an envelope's panels lie over each other once they are laid, so they are shown apart."""
    if plan.project.closure == "envelope":
        return APART
    return f"Back, as you see it, {'turned like a page' if plan.backing is None else 'a panel of its own'}"


def by_place(rows):
    return {(r, c): letter for r, row in enumerate(rows, 1) for c, letter in enumerate(row, 1)}


def test_the_table_shows_the_back_as_it_is_seen(made):
    """`guide plan` and `guide layout`: the label, and every letter under it."""
    plan, full = made
    lines = faces_lines(full)
    at = lines[1].index(label_of(plan).lower())
    rows = [line[at:].split() for line in lines[2 : 2 + max(row for row, _ in letters_seen(plan))]]
    assert by_place(rows) == letters_seen(plan)


@pytest.mark.parametrize("render", [render_log, render_plan])
def test_a_page_in_markdown_shows_the_back_as_it_is_seen(made, render):
    """The log and the plan in letters."""
    plan, full = made
    told = render(full, "markdown").partition(f"{label_of(plan)}\n")[2].partition("- **A**")[0]
    rows = [row.strip("| \n").split(" | ") for row in told.splitlines() if re.match(r"\| [A-Z]", row)]
    assert by_place(rows) == letters_seen(plan)


def test_the_picture_shows_the_back_as_it_is_seen(made):
    """The drawing on every page: its patches, its text alternative."""
    plan, full = made
    drawn = str(faces(full)["back"])
    letters = {one.name: one.letter for one in full.prints}
    patches = {
        (int(p.get("data-row")), int(p.get("data-column"))): letters[p.get("data-print")]
        for p in marked(drawn, "print")
    }
    assert patches == letters_seen(plan)
    assert f'aria-label="{label_of(plan)}. row 1: ' in drawn


@pytest.mark.parametrize("render", [render_log, render_plan, render_quote])
def test_a_page_calls_the_back_by_the_same_words(made, render):
    """One label wherever the back is shown."""
    assert f"<figcaption>{label_of(made[0])}</figcaption>" in render(made[1])


def test_quilting_shows_where_it_goes_through(made):
    """A throw's lines are on both faces; a cushion's back is a panel of its own, not quilted."""
    plan, full = made
    count = {face: str(drawn).count("stroke-dasharray") for face, drawn in faces(full).items()}
    assert count["front"] > 0
    assert (count["back"] >= count["front"]) == (plan.project.back == "none")


def test_a_quotation_has_one_size(made):
    """Its pictures carry the size that is promised, washed, and no other."""
    full = made[1]
    wide, sewn = (full.quantities[name].text for name in ("washed_width", "face_width"))
    page = render_quote(full).replace("\N{NO-BREAK SPACE}", " ")
    assert f">{wide}<" in page
    assert f">{sewn}<" not in page


def test_an_upright_zip_stands_after_its_column_of_the_back_as_it_is_seen():
    """[identity] `after_column: 1`, counted on the back as it is seen: one column left of the zip, three right of it."""
    assert zip_place(report(planned("zip along a column"))) == (1, True)


@pytest.mark.parametrize(
    ("kind", "last", "seams"),
    [
        ("six at once", (1, 0), 3 * 3),  # three rows of four squares: three seams each; the third to the right
        ("zip along a column", (0, -1), 4 * 2),  # four columns of three; the fourth up
        ("envelope", (-1, 0), 6 * 3),  # two panels of three rows; the sixth to the left
    ],
)
def test_the_pressing_is_drawn_the_way_the_back_is_sewn(kind, last, seams):
    """[identity] A seam less than squares in each row, or in each column where the zip runs down, one arrow a seam."""
    pictures = art_of(report(planned(kind), texts=True))
    svg = re.findall(r"<svg.*?</svg>", str(pictures["closure/back_press"]))[1]
    svg = re.sub(r'<g data-move="2">.*?</g>', "", svg)
    assert svg.count("<path") == seams
    shafts = re.findall(r'<line x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="([\d.]+)" stroke="var\(--thread', svg)
    x1, y1, x2, y2 = map(float, shafts[-1])
    way = ((x2 > x1) - (x2 < x1), (y2 > y1) - (y2 < y1))
    assert (way[::-1] if "matrix(0 1 1 0 0 0)" in svg else way) == last


def test_a_back_of_one_cloth_is_said_and_what_it_hides_is_not_judged():
    """[practice] Nobody sees the panel's lower face behind a plain back: no squares of it, no matches on it."""
    from guide.commands.layout import layout_lines

    plan = planned("plain back")
    stacks = [block.stack for block in plan.layout.blocks]
    hidden = tuple(
        replace(b, stack=(*stack[:-1], stacks[0][-1])) for b, stack in zip(plan.layout.blocks, stacks, strict=True)
    )
    told = layout_lines(replace(plan, layout=replace(plan.layout, blocks=hidden)), ())
    assert "  back, as you see it: all clay dot" in told
    assert "No two alike meet on the front." in told
    assert "The panel's lower face is inside the cushion, so prints may meet there." in told
    assert not any("(back)" in line for line in told)
    assert told[1] == "  front"


def test_where_there_is_no_zip_none_lies_along_a_row_or_a_column():
    """An envelope shuts itself."""
    assert zip_place(report(planned("envelope"))) == (None, False)
