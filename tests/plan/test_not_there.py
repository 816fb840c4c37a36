"""No figure and no word for what the article does not have: crossings, seams between blocks, a back.

Blocks of two squares above and two below, so four layers each; summed by counting where blocks meet.
"""

import pytest

from guide.plan.make import make_plan
from guide.show.pages.plan import render_plan
from guide.show.plan_lines import plan_lines
from guide.show.report import plan_report
from guide.show.words import render_step
from tests.plan.sums_of import ACROSS_THE_BACK, ENVELOPE, THROW, ZIP, cushion, read, shipped, sums

FOUR = {"layers": {"above": 2, "below": 2}, "make": 2}
DOWN = ZIP | {"after_column": 1}
PLAIN = {"back": {"plain": "dot"}}
KINDS = {"throw": THROW, "envelope": {"closure": ENVELOPE}, "plain envelope": {"closure": ENVELOPE} | PLAIN}


def grid(across, down, **changes):
    return FOUR | {"grid": {"across": across, "down": down}} | changes


# Where two blocks meet in a row there is a row seam, where two rows meet a panel seam, where both are a crossing.
ROW = ("row_seam_run", "snips_a_row_seam")
PANEL = ("panel_seam_run", "snips_a_panel_seam")
CROSS = ("layers_crossing", "needle_crossing", "size_crossing")
RAW = ("layers_raw_seam", "takes_raw_seam", "needle_raw_seam", "size_raw_seam")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("across", "down", "none", "there"),
    [(1, 1, ROW + PANEL + CROSS + RAW, ()), (1, 3, ROW + CROSS, PANEL + RAW), (3, 1, PANEL + CROSS, ROW + RAW),
     (2, 2, (), ROW + PANEL + CROSS + RAW)],
)  # fmt: skip
def test_what_no_two_blocks_make_is_none(across, down, none, there, kind):
    """One block has no seam, one column no row seam, one row no panel seam; only both ways cross [identity]."""
    n = sums(**grid(across, down, **KINDS[kind]))
    assert {name: n[name] for name in none} == dict.fromkeys(none)
    assert None not in [n[name] for name in there]
    for name in ("stitched", "thread", "snip_cuts", "thread_rows", "stitched_rows", "thread_panels", "stitched_panels"):
        assert n[name] is not None, name
    assert (n["stitched_rows"] == 0) is (across == 1)
    assert (n["stitched_panels"] == 0) is (down == 1)


def test_all_that_is_sewn_of_one_block_is_its_quilting_and_its_edge():
    """One block of 5 in, two throws: two diagonals each and four sides of 4 in, six starts in all [identity]."""
    n = sums(**grid(1, 1, square="5 in", seam="1/2 in", **THROW))
    assert n["stitched"] == pytest.approx(n["stitched_quilting"] + 2 * 4 * 4 * 25.4)
    assert n["thread_sewn"] == pytest.approx(n["thread_quilting"] + n["thread_outer"])
    assert n["runs"] == 2 * 2 + 2
    assert n["snip_cuts"] == n["snips_outer"]


@pytest.mark.parametrize(
    ("across", "down", "changes", "layers"),
    [
        (3, 3, {"closure": ZIP}, 2 * 4 + 3),  # two blocks opened flat, the back and its two allowances
        (3, 3, {"closure": ENVELOPE}, 2 * 4 + 4),  # two blocks, a hem folded twice, the panel under it
        (1, 3, {"closure": ENVELOPE} | PLAIN, 2 * 4 + 4),
        (3, 1, {"closure": ENVELOPE}, 2 * 4 + 3),  # front seams end above and below only, where no hem lies
        (3, 1, {"closure": ENVELOPE} | PLAIN, 2 * 4 + 1),
        (1, 1, {"closure": ENVELOPE}, 4 + 4),  # no front seam at all: the hem's end on one block
        (3, 1, {"closure": ENVELOPE, "layers": {"above": 1, "below": 0}} | PLAIN, 1 + 4),  # thicker than 2 · 1 + 1
        (3, 3, THROW, 2 * 4),
        (1, 2, THROW, 2 * 4),
        (1, 1, THROW, None),  # nothing meets
    ],
)
def test_the_outer_seams_worst_place_is_one_it_has(across, down, changes, layers):
    """Layers counted as they lie at the thickest place of the edge [identity]."""
    assert sums(**grid(across, down) | changes)["layers_outer_worst"] == layers


def test_a_throw_has_nothing_of_a_back():
    """Every length and layer of back, zip, envelope and hems is none, every count of it 0 [identity]."""
    n = sums(**grid(3, 3, **THROW))
    names = [name for name in n if name.startswith(("back_", "zip_", "envelope_", "layers_back", "layers_opening"))]
    inputs = {"zip_step", "zip_spare"}
    assert {name: n[name] for name in names if n[name] and name not in inputs} == {}
    assert len(names) > 20


def test_only_a_patchwork_envelope_has_rows():
    """A plain panel is one piece [identity]."""
    assert sums(closure=ENVELOPE, **PLAIN)["envelope_rows"] is None
    assert sums(closure=ENVELOPE)["envelope_rows"] is not None


ARTICLES = {
    "one block": grid(1, 1, **THROW), "one column": grid(1, 4, **THROW), "one row": grid(4, 1, **THROW),
    "one block, envelope": grid(1, 1, closure=ENVELOPE), "one column, envelope": grid(1, 3, closure=ENVELOPE),
    "one row, zip down": grid(3, 1, closure=DOWN), "one column, zip": grid(1, 3, closure=ACROSS_THE_BACK),
    "one row, plain": grid(3, 1, closure=ENVELOPE, **PLAIN),
}  # fmt: skip


@pytest.mark.parametrize("name", ARTICLES)
def test_no_page_speaks_of_what_is_not_there(name):
    """No crossing in any step's words, tools or pictures, nor in table or page; and no number that does not apply."""
    plan = make_plan(read(cushion(**ARTICLES[name])), shipped())
    report = plan_report(plan, texts=True)
    told = [text for step in plan.steps for text in (*render_step(plan, step).values(), step.title, *step.tools)]
    told += [label for step in plan.steps for _, label in step.shows]
    pages = [render_plan(report, fmt).split("Every number")[0] for fmt in ("html", "md")]  # there crossings are 0
    said = "\n".join([*told, *plan_lines(report), *pages])
    assert "does not apply" not in said
    assert "needle 0/" not in said
    assert [line for line in said.split("\n") if "crossing" in line.lower()] == []
    if "one block" in name:
        assert [
            line for line in said.split("\n") if "row seam" in line.lower() or "raw-edge seam" in line.lower()
        ] == []
        assert "seams meeting" not in said
