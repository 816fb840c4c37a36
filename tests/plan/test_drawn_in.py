"""What quilting pulls in is in the panel and in all that hangs from it; the back is cut undrawn and trimmed to it.

Every sum is written out for one article: 4 × 3 blocks of 6 in squares, 1/2 in seams, 5 % of draw-in. A block shows
6 - 1 = 5 in before it is quilted and 5 · 0.95 = 4 3/4 in after.
"""

import json

import pytest

from guide.plan.graph import best, values, work_out
from guide.plan.make import make_plan
from guide.read.check import check_stages
from guide.read.project import read_project
from guide.read.stages import read_what_can_be
from guide.show.plan_lines import plan_lines
from guide.show.report import plan_report
from guide.show.report_numbers import groups_report
from guide.show.words import render_step
from tests.plan.article import IN
from tests.plan.sums_of import ACROSS_THE_BACK, ENVELOPE, THROW, WORKFLOWS, ZIP, cushion, read, shipped, sums

SIZE = {
    "grid": {"across": 4, "down": 3}, "square": "6 in", "seam": "1/2 in", "free_end": "3/8 in", "draw_in": "5 %",
    "wadding": {"gap": "1/2 in"}, "layers": {"above": 2, "below": 2}, "back": "patchwork", "make": 1,
    "snips": {"every": "1/4 in", "clear": "1/8 in", "at_crossing": 2}, "closure": ACROSS_THE_BACK,
    "prints": [
        {"name": name, "width": "44 in", "shrinks": {"length": "4 %", "width": "2 %"}} for name in ("leaf", "dot", "bud")
    ],
}  # fmt: skip
DOWN = ZIP | {"after_column": 1}


def inches(names, measured=None, **changes):
    n = sums(measured, **SIZE | changes)
    return [None if n[name] is None else round(n[name] / IN, 6) for name in names.split()]


def test_a_panel_is_planned_as_small_as_quilting_makes_it():
    """Panel 4 · 4 3/4 + 1 = 20 by 3 · 4 3/4 + 1 = 15 1/4, face 1 in less each way [identity].

    A row seam runs over 4 3/4 + 1 - 2 · 3/8 = 5, a panel seam over 20 - 3/4 = 19 1/4; the outer seam goes round
    2 · (19 + 14 1/4) = 66 1/2.
    """
    assert inches("pitch pitch_made panel_width panel_height") == [5, 4.75, 20, 15.25]
    assert inches("face_width face_height row_seam_run panel_seam_run outer_seam") == [19, 14.25, 5, 19.25, 66.5]


def test_snips_are_counted_on_the_drawn_in_seams():
    """Every 1/4 in [identity]: a row seam of 4 3/4 in has 19 - 1 = 18 snips, nine of them 162.

    A panel seam of 19 in has 76 - 1 = 75, two of them 150; outside 2 · 75 + 2 · (57 - 1) + 4 = 266.
    """
    n = sums(**SIZE)
    assert (n["snips_row"], n["snips_panel"], n["snips_outer"]) == (162, 150, 266)


def test_washing_shrinks_the_face_that_is_there():
    """19 · 0.98 = 18.62 across, 14 1/4 · 0.96 = 13.68 down, a pad half an inch larger [identity]."""
    assert inches("washed_width washed_height pad_width pad_height") == [18.62, 13.68, 19.12, 14.18]
    assert inches("washed_width_least washed_height_least") == [18.62, 13.68]


def test_the_back_is_cut_undrawn_and_trimmed_to_the_front():
    """Cut 4 · 5 + 1 = 21 by 16; trimmed by 1 and 3/4 to the front's 20 by 15 1/4 [identity]."""
    assert inches("back_cut_width back_cut_height") == [21, 16]
    assert inches("back_trim_width back_trim_height back_width back_height") == [1, 0.75, 20, 15.25]


def test_each_part_of_the_back_loses_its_share_by_rows():
    """Cut 6 and 11; of 3/4 in the first row's part loses a third: 5 3/4 and 10 1/2, less 1 in is 15 1/4 [identity]."""
    assert inches("back_cut_1 back_cut_2 back_trim_1 back_trim_2") == [6, 11, 0.25, 0.5]
    assert inches("back_part_1 back_part_2") == [5.75, 10.5]
    assert inches("back_cut_1 back_trim_1 back_part_1 back_part_2", closure=DOWN) == [6, 0.25, 5.75, 15.25]


def test_a_zip_is_bought_for_the_longer_back():
    """Seam 20, cut 18, opening 17; of the undrawn 21 in 19 + 2 spare is 21, so 22 in the shop, not 20 [identity]."""
    assert inches("zip_seam zip_cut zip_opening zip_buy") == [20, 18, 17, 22]
    assert inches("zip_seam zip_cut zip_buy", closure=DOWN) == [15.25, 13.25, 16]
    assert inches("zip_buy", {"panel_width": 23.5 * IN}) == [24]  # 21 1/2 + 2: larger than anyone planned


def test_the_back_is_sewn_before_it_is_trimmed_and_its_zip_after():
    """Nine short seams of 6, one long one of 21, the zip's of 20: 95 in [identity]."""
    assert inches("back_long_seam stitched_back") == [21, 54 + 21 + 20]
    assert inches("back_long_seam stitched_back", closure=DOWN) == [16, 8 * 6 + 2 * 16 + 15.25]


def test_an_envelope_is_cut_for_the_undrawn_back():
    """Cut (16 + 4)/2 + 2 = 12 by 21, trimmed to (15 1/4 + 4)/2 + 2 = 11 5/8 by 20 [identity].

    Rows of 5 in: 12 - 1 takes three of them in each panel, 2 · 3 · 4 squares, two hems of 20 in.
    """
    closure = ENVELOPE | {"overlap": "4 in", "hem": "1 in"}
    names = "envelope_cut_length envelope_cut_width envelope_length envelope_width stitched_hems"
    assert inches(names, closure=closure) == [12, 21, 11.625, 20, 40]
    n = sums(**SIZE | {"closure": closure})
    assert (n["envelope_rows"], n["back_squares"]) == (3, 24)


@pytest.mark.parametrize(
    ("closure", "cut"),
    [(ACROSS_THE_BACK, {("back piece 1", 21, 6), ("back piece 2", 21, 11)}),
     (DOWN, {("back piece 1", 6, 16), ("back piece 2", 16, 16)}),
     (ENVELOPE | {"overlap": "4 in", "hem": "1 in"}, {("envelope panel", 21, 12)})],
)  # fmt: skip
def test_plain_backs_are_cut_undrawn(closure, cut):
    """The same pieces as without draw-in [identity]: 1 · 5 + 1 = 6 and 2 · 5 + 1 = 11, or 6 and 16 where it lies down."""
    plan = make_plan(read(cushion(**SIZE | {"closure": closure, "back": {"plain": "dot"}})), shipped())
    placed = [p for one in plan.cutting for cloth in one.cloths for p in cloth.placements if p.part != "square"]
    sizes = {(p.part, *sorted((round(p.width_mm / IN, 4), round(p.height_mm / IN, 4)))) for p in placed}
    assert {size for size in sizes if size[0] != "wadding square"} == {(name, *sorted(size)) for name, *size in cut}


def test_measured_as_planned_changes_nothing():
    """To the very mm as planned, every number stays [identity]."""
    planned = sums(**SIZE)
    as_planned = {name: planned[name] for name in ("panel_width", "panel_height", "washed_width", "washed_height")}
    assert sums(as_planned, **SIZE) == planned


def test_a_measured_height_moves_the_backs_parts_and_what_is_trimmed_where():
    """Four rows of 5 in, zip after the first: cut 6 and 16; a front 20 3/4 high takes 1/4 in off them [identity].

    1/16 off the first, 3/16 off the second: 5 15/16 + 15 13/16 - 1 is 20 3/4, where 6 + 16 - 1 is 21.
    """
    size = {"grid": {"across": 4, "down": 4}, "draw_in": "0 %"}
    names = "back_cut_height back_trim_1 back_trim_2 back_part_1 back_part_2 back_height"
    assert inches(names, **size) == [21, 0, 0, 6, 16, 21]
    assert inches(names, {"panel_height": 20.75 * IN}, **size) == [21, 0.0625, 0.1875, 5.9375, 15.8125, 20.75]


def trimmed(measured=None, **changes):
    plan = make_plan(read(cushion(**SIZE | changes)), shipped(), measured)
    (step,) = [step for step in plan.steps if step.key == "closure/back_trim"]
    return render_step(plan, step)["do"]


def test_the_step_says_what_is_trimmed_where():
    """What comes off each part; nothing of it where nothing comes off, and what to do where the front is larger."""
    assert "20 in wide; they stand 5 3/4 in and 10 1/2 in high before the zip seam: 1/4 in off the top" in trimmed()
    assert "1/4 in off the top of the first, 1/2 in off the foot of the second." in trimmed()
    assert "1/4 in off the left of the first, 3/4 in off the right of the second." in trimmed(closure=DOWN)
    assert trimmed(draw_in="0 %").endswith("they stand 6 in and 11 in high before the zip seam.")
    larger = trimmed({"panel_height": 16.25 * IN}, draw_in="0 %")
    assert larger.endswith("before the zip seam. Where the front is larger, trim nothing.")


def test_what_is_cut_does_not_move_with_what_is_measured():
    """Squares and pieces are cut before the panel can be measured [identity]."""
    for closure in (ACROSS_THE_BACK, DOWN, ENVELOPE):
        planned = sums(**SIZE | {"closure": closure})
        made = sums({"panel_width": 18 * IN, "panel_height": 20 * IN}, **SIZE | {"closure": closure})
        for name in ("back_squares", "back_cut_width", "back_cut_height", "back_cut_1", "back_cut_2", "squares",
                     "envelope_rows", "envelope_cut_length", "back_short_seams", "back_long_seam"):  # fmt: skip
            assert made[name] == planned[name], name


def test_planned_backwards_the_drawn_in_size_is_the_one_wanted():
    """Squares of 6 in for a face of 19 by 14 1/4 after sewing: 4 × 3, missing nothing [identity]."""
    target = {"width": "19 in", "height": "14.25 in", "after": "sewing"}
    (choice,) = best(read(cushion(**SIZE | THROW | {"grid": None, "target": target})), shipped(), 1)
    assert (choice.across, choice.down) == (4, 3)
    assert choice.miss == 0


# The stages as they were before the panel took its draw-in off: what journals of then keep.
BEFORE = {
    "cut": (("  pitch_made: pitch * (1 - draw_in)\n", ""), ("  pitch_made: [", "  pitch: [")),
    "snip": (("pitch_made", "pitch"),),
    "join": (("pitch_made", "pitch"),),
    "wash": (("face_width * (1", "face_width * (1 - draw_in) * (1"), ("face_height * (1", "face_height * (1 - draw_in) * (1")),
}  # fmt: skip


def language_of_then():
    stages = []
    for file in sorted(WORKFLOWS.glob("*.yaml")):
        text = file.read_text(encoding="utf-8")
        for new, old in BEFORE.get(file.stem, ()):
            assert new in text
            text = text.replace(new, old)
        stages.append(read_what_can_be(text, file.name, file.stem)[0])
    language = check_stages(stages)
    assert not language.problems
    return language


def test_texts_of_older_journals_keep_the_sums_they_were_made_with():
    """Then 5 % came off the washed size alone, and not again off a panel that was measured [identity].

    Planned 20 · 0.95 · 0.98 = 18.62 washed of a panel of 21 in; measured 20 in, 19 · 0.98 is 18.62 too.
    """
    given = read(cushion(**SIZE)).given
    planned = values(work_out(language_of_then(), given))
    made = values(work_out(language_of_then(), given, {"panel_width": 20 * IN}))
    assert planned["panel_width"] == pytest.approx(21 * IN)
    assert planned["washed_width"] == pytest.approx(18.62 * IN)
    assert made["washed_width"] == pytest.approx(18.62 * IN)
    assert made["washed_height"] == pytest.approx(planned["washed_height"]) == pytest.approx(15 * 0.95 * 0.96 * IN)


def test_texts_of_older_journals_are_planned_backwards_as_they_were():
    """Their face was undrawn: 20 · 0.95 = 19 in after sewing is the same 4 × 3 [identity]."""
    target = {"width": "19 in", "height": "14.25 in", "after": "sewing"}
    (choice,) = best(read(cushion(**SIZE | THROW | {"grid": None, "target": target})), language_of_then(), 1)
    assert (choice.across, choice.down, choice.miss) == (4, 3, 0)


def test_a_makers_own_sum_of_a_measured_panel_takes_draw_in_off_when_it_says_so():
    """The exception is for texts of then only: `panel_width * (1 - draw_in)` of 20 in measured is 19 [identity]."""
    own = read_what_can_be(
        "stage: own\ntitle: Own\nwork_out:\n  twice: panel_width * (1 - draw_in)\n", "own.yaml", "own"
    )
    language = check_stages([*shipped().stages, own[0]])
    made = values(work_out(language, read(cushion(**SIZE)).given, {"panel_width": 20 * IN}))
    assert made["twice"] == pytest.approx(19 * IN)


NO_WAY_IN = SIZE | {
    "grid": {"across": 2, "down": 2}, "square": "4 in", "draw_in": "20 %",
    "closure": ACROSS_THE_BACK | {"end_gap": "2.7 in", "stop_gap": "1/2 in"},
}  # fmt: skip


def test_a_zip_that_draw_in_leaves_no_opening_is_refused():
    """Two blocks of 3 in drawn in by 20 % and two seams are 5.8 in, the ends 2 · 3.2 = 6.4 in [identity]."""
    _, loaded = read_project(json.dumps(cushion(**NO_WAY_IN)), "project.yaml", shipped().stages)
    (problem,) = loaded.problems
    assert "no opening left" in problem.message
    assert read(cushion(**NO_WAY_IN | {"draw_in": "0 %"}))  # 7 in


def test_what_a_journal_keeps_of_it_stays_readable():
    """It was good when it was worked, for the panel was planned undrawn then."""
    project, loaded = read_project(json.dumps(cushion(**NO_WAY_IN)), "project.yaml", shipped().stages, kept=True)
    assert project is not None
    assert len(loaded.problems) == 1


@pytest.mark.parametrize(
    ("closure", "cut"),
    [
        (
            ACROSS_THE_BACK,
            {
                "back, before it is trimmed": [21, 16],
                "first part of the back, before it is trimmed": [6],
                "second part of the back, before it is trimmed": [11],
            },
        ),
        (ENVELOPE | {"overlap": "4 in", "hem": "1 in"}, {"envelope panel, cut at least": [21, 12]}),
    ],
)
def test_the_plans_table_tells_a_size_before_trimming_only_where_it_is_another(closure, cut):
    """Summed above: 21 by 16 in parts of 6 and 11, or envelope panels of 21 by 12; undrawn, the same ones [identity]."""
    drawn = make_plan(read(cushion(**SIZE | {"closure": closure})), shipped())
    undrawn = make_plan(read(cushion(**SIZE | {"closure": closure, "draw_in": "0 %"})), shipped())
    rows = {row.label: row.names for group in groups_report(drawn) for row in group.rows}
    told = {label: [drawn.number(name) / IN for name in rows[label]] for label in cut}
    assert told == {label: pytest.approx(sizes) for label, sizes in cut.items()}
    left = {row.label for group in groups_report(undrawn) for row in group.rows}
    assert rows.keys() - left == cut.keys()


def test_a_block_shows_what_quilting_leaves_of_it():
    """5 in less 5 % are 4 3/4 in: the table tells the block as it is seen [identity]."""
    lines = plan_lines(plan_report(make_plan(read(cushion(**SIZE)), shipped())))
    assert "block, as it shows 4 3/4 in" in [" ".join(line.split()) for line in lines]
