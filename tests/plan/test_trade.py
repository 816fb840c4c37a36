"""What only a maker sees: orders, choices and numbers of the trade, each against a sum by hand or common practice."""

import math
import re
from pathlib import Path

import msgspec
import pytest

from guide.commands.new import answered
from guide.plan.graph import work_out
from guide.plan.make import make_plan
from guide.plan.shopping import nearest
from guide.read.places import open_project
from guide.read.write_project import Answers, pad_sides
from guide.show.words import render_step
from tests.fakes import run
from tests.plan.article import IN
from tests.plan.sums_of import ACROSS_THE_BACK, ENVELOPE, THROW, ZIP, cushion, read, shipped, sums

ONE_WAY = {"prints": [{"name": "leaf", "width": "44 in", "one_way": True}, {"name": "dot", "width": "44 in"}]}
NO_TOP = {"prints": [{"name": "leaf", "width": "44 in"}, {"name": "dot", "width": "44 in"}]}
MIDDLE = {"grid": {"across": 4, "down": 3}}  # the zip after column 2 of 4


def plan_of(**changes):
    return make_plan(read(cushion(**changes)), shipped())


def words(plan):
    """Every step's words by its key, in order; spaces as one."""
    return {step.key: " ".join(" ".join(render_step(plan, step).values()).split()) for step in plan.steps}


SAID = [
    # changes, step, what it says, what it does not say; all [practice]
    ({}, "snip/rows", "Stop 7/8 in short of the panel's edge.", None),  # 5/8 in seam + 1/4 in
    ({}, "snip/panel", "7/8 in at both ends whole", None),
    ({"units": "metric"}, "snip/rows", "Stop ≈ 2.2 cm short of the panel's edge.", None),
    ({}, "assemble/snips", "Free the 12 inner seams' ends.", None),  # 2 · (4 + 2)
    (THROW, "assemble/snips", "Free the 12 inner seams' ends.", "back seam"),
    (THROW, "snip/rows", "the edge line has whole cloth to hold", "outer seam"),
    ({"grid": {"across": 1, "down": 1}, "closure": ENVELOPE}, "assemble/snips", "About every", "Free the"),
    (ONE_WAY | MIDDLE, "assemble/pin", "the back's top to the front's top", None),
    (ONE_WAY | MIDDLE, "assemble/pin", "a print stands on its head", "the zip lies at the other end"),
    (NO_TOP, "assemble/pin", "the back's top to the front's top", "stands on its head"),  # after column 2 of 5
    (NO_TOP | MIDDLE, "assemble/pin", "edges level. Long bright pins", "top"),
    ({}, "assemble/pin", "Fewer where cloth clings.", None),
    ({"edge_with": "clips"}, "assemble/lay", "Clips at the corners", "pin"),
    ({"edge_with": "clips"}, "assemble/outer", "Each clip off before the foot.", "pin"),
    ({"edge_with": "nothing"}, "assemble/lay", "carry it flat to the machine", "Clips at"),
    ({}, "closure/zip_cut", "Slider to the middle first. Then cut the zip", "pin"),
    ({}, "closure/zip_press", "Slider 2 1/2 in from one end. Teeth down", None),
    ({"units": "metric"}, "closure/zip_press", "Slider 6 cm from one end.", None),
    ({}, "closure/zip_box", "Begin across the end away from the slider: a box", None),
    ({}, "closure/zip_box", "At the slider, on both long sides: unpick two fingers of tacking, needle down", None),
    ({}, "closure/back_press", "all one way, of the next all the other", None),
    ({}, "closure/back_join", "press away from the opening", None),
    ({"closure": ENVELOPE}, "closure/back_join", "press away from the opening", None),
    ({}, "wash/load", "Into a laundry bag", "no bag"),
    ({"washes": 2}, "wash/load:2-1", "Long threads cut off, no bag this time", "Into a laundry bag"),
]


@pytest.mark.parametrize(
    ("changes", "key", "says", "never"), SAID, ids=[f"{key} {says[:24]}" for _, key, says, _ in SAID]
)
def test_a_step_says_what_a_maker_knows(changes, key, says, never):
    """Inner snips stop short, tops meet, the slider waits aside, seams are pressed a way that is said [practice]."""
    said = words(plan_of(**changes))[key]
    assert says in said
    assert never is None or never not in said


HELD = ("spray", "glue", "pins", "tacking", "nothing")
STACKED = {"spray": 50, "glue": 65, "pins": 90, "tacking": 135, "nothing": 55}  # s a block [memory]


@pytest.mark.parametrize("kind", [{}, THROW], ids=["cushion", "throw"])
@pytest.mark.parametrize("quilting", ["cross", "none"])
@pytest.mark.parametrize("wadding", [{"gap": "5/8 in"}, "none"], ids=["wadding", "no wadding"])
@pytest.mark.parametrize("way", HELD)
def test_no_step_speaks_of_what_did_not_hold_the_stack(way, wadding, quilting, kind):
    """Without pins in stack or edge none is spoken of, warned of, drawn or counted in; nor spray, glue, tacking."""
    plan = plan_of(hold_with=way, wadding=wadding, quilting=quilting, edge_with="nothing", **kind)
    said = words(plan)
    everything = " ".join([*said.values(), *(tool for step in plan.steps for tool in step.tools)])
    assert bool(re.search(r"\b[Pp]in(s|ned)?\b", everything)) == (way == "pins")
    assert ("pins" in plan.cautions) == ("safety/pins" in said) == (way == "pins")
    stack = [step for step in plan.steps if step.stage == "stack"]
    told = " ".join(said[step.key] for step in stack) + " ".join(tool for step in stack for tool in step.tools)
    assert ("spray" in plan.cautions) == ("ist glue" in told) == (way == "spray")
    assert ("washable glue stick" in told) == (way == "glue")
    assert ("long stitches" in told) == (way == "tacking")
    out = [key for key, text in said.items() if "Pull out the tacking" in text or key == "join/tacking_out"]
    assert len(out) == (1 if way == "tacking" else 0)
    if wadding != "none":
        assert sum(step.pace_s for step in stack if step.together == "block") == STACKED[way]


def test_pins_of_the_edge_alone_are_counted_in_but_not_out_of_the_stacks():
    """A sprayed cushion pinned at its edge: the count at the end, no word of stacks [practice]."""
    said = words(plan_of())
    assert "those from the stacks too" not in said["safety/pins"]
    assert "those from the stacks too" in words(plan_of(hold_with="pins"))["safety/pins"]
    assert "pins" not in [one for step in plan_of().steps if step.stage == "quilt" for one in step.cautions]


@pytest.mark.parametrize(
    ("square", "units", "warned"),
    [("6 in", "inch", False), ("6 1/8 in", "inch", True), ("15 cm", "metric", False), ("16 cm", "metric", True)],
)
def test_nothing_holds_squares_of_six_inches_and_no_larger(square, units, warned):
    """Cotton clings over 6 in or 15 cm; beyond that layers creep [practice]."""
    plan = plan_of(square=square, units=units, hold_with="nothing")
    assert ("hold_with" in {one.name for one in plan.warnings}) == warned


def test_a_second_outer_line_takes_its_distance_off_every_side():
    """1/8 in inside the first: the face loses 1/4 in each way, 20 × 12 becomes 19 3/4 × 11 3/4 in [identity]."""
    once, twice = sums(), sums(outer_seam_twice=True)
    assert (twice["face_width"], twice["face_height"]) == pytest.approx((19.75 * IN, 11.75 * IN))
    assert twice["outer_seam"] == once["outer_seam"] == pytest.approx(64 * IN)
    assert twice["stitched"] - once["stitched"] == pytest.approx(63 * IN)
    assert twice["snips_outer"] == once["snips_outer"]  # they stop at the first line
    assert twice["pad_width"] == pytest.approx(once["pad_width"] - 0.25 * IN)
    assert twice["runs"] == once["runs"] + 1
    metric = sums(units="metric", outer_seam_twice=True)
    assert metric["outer_width"] - metric["face_width"] == pytest.approx(6.0)
    # thread: both threads, 4 layers of 0.25 mm at 2.5 mm; the line, a back-stitch of 3 stitches twice, four tails, 15 %
    takes, back = 2 + 2 * 4 * 0.25 / 2.5, 2 * 2 * 3 * 2.5
    more = ((63 * IN + back) * takes + 4 * 80) * 1.15
    assert twice["thread"] - once["thread"] == pytest.approx(more)


def test_a_second_outer_line_is_a_step_after_the_first_and_before_the_snips():
    """30 s and 3 min a metre of 1.6002 m [memory], for throws and cushions alike."""
    plan = plan_of(outer_seam_twice=True)
    keys = [step.key for step in plan.steps]
    assert keys.index("assemble/outer") < keys.index("assemble/again") < keys.index("assemble/snips")
    (again,) = [step for step in plan.steps if step.key == "assemble/again"]
    assert again.pace_s == pytest.approx(30 + 180 * 63 * IN / 1000)
    assert "assemble/again" in [step.key for step in plan_of(outer_seam_twice=True, **THROW).steps]


def test_seams_inside_a_cover_may_be_neatened():
    """Five columns of three: 10 short seams, 3 long ones and the zip's two edges [identity, counted].

    A column's seam is 3 · 4 + 1 1/4 = 13 1/4 in, so 10 · 5 1/4 + 3 · 13 1/4 + 2 · 13 1/4 = 118 3/4 in.
    """
    plain, n = sums(), sums(inside_seams="zigzag")
    assert plain["inside_run"] == plain["stitched_inside"] == plain["thread_inside"] == 0
    assert (n["inside_short"], n["inside_long"]) == (10, 5)
    assert n["inside_run"] == pytest.approx(118.75 * IN)
    assert n["stitched"] - plain["stitched"] == pytest.approx(118.75 * IN)
    # a zigzag 3 mm wide and 2 mm long goes √13 mm from point to point, above and below, and through 1/2 mm of cloth
    each = 2 * math.sqrt(13) + 2 * 2 * 0.25
    assert n["thread_inside"] == pytest.approx(118.75 * IN / 2 * each)
    assert n["thread_sewn"] - plain["thread_sewn"] == pytest.approx(n["thread_inside"])
    for way in ("overlocked", "pinked"):
        other = sums(inside_seams=way)
        assert other["inside_run"] == pytest.approx(118.75 * IN)
        assert other["thread"] == plain["thread"]  # its own cones, or none
    assert sums(inside_seams="overlocked")["thread_overlocked"] == pytest.approx(15 * 118.75 * IN)
    assert sums(inside_seams="zigzag", **THROW)["inside_run"] == 0
    hemmed = sums(inside_seams="zigzag", closure=ENVELOPE)  # two panels of three rows of five: no zip's edges
    assert (hemmed["inside_short"], hemmed["inside_long"]) == (24, 4)


@pytest.mark.parametrize(
    ("way", "short", "long"),
    [  # 10 seams of 5 1/4 in, 5 edges of 13 1/4 in [memory]
        ("zigzag", 10 * (10 + 180 * 5.25 * IN / 1000), 5 * (20 + 180 * 13.25 * IN / 1000)),
        ("overlocked", 300 + 10 * (8 + 90 * 5.25 * IN / 1000), 5 * (15 + 90 * 13.25 * IN / 1000)),
        ("pinked", 10 * (5 + 120 * 5.25 * IN / 1000), 5 * (10 + 120 * 13.25 * IN / 1000)),
    ],
)
def test_neatening_is_two_steps_with_their_time(way, short, long):
    """The short seams before long ones cross them, the long ones and the zip's edges before the zip is in [practice]."""
    plan = plan_of(inside_seams=way)
    took = {step.key: step.pace_s * step.pieces for step in plan.steps}
    keys = list(took)
    first, second = f"closure/inside_{way}", f"closure/inside_{way}_long"
    assert keys.index("closure/back_rows") < keys.index(first) < keys.index("closure/back_join")
    assert keys.index("closure/back_trim") < keys.index(second) < keys.index("closure/zip_cut")
    assert took[first] == pytest.approx(short)
    assert took[second] == pytest.approx(long)
    assert len([key for key in keys if "inside_" in key]) == 2
    assert not [step.key for step in plan_of().steps if "inside_" in step.key]


def test_every_wash_is_two_steps_with_their_waits():
    """60 min in the washer and 50 min drying each time; dried before it is washed again [practice]."""
    plan = plan_of(washes=3)
    rows = [(step.key, step.title, step.waits_s) for step in plan.steps if step.station == "washer"]
    wash, dry = ("Shake it out and wash", 3600.0), ("Shake and dry", 3000.0)
    assert rows == [
        (f"wash/{key}{row}", f"{title}{named}", waits)
        for row, named in (("", ""), (":2-1", ": second wash"), (":3-1", ": third wash"))
        for key, (title, waits) in (("load", wash), ("dry", dry))
    ]
    once = plan_of()
    assert [step.key for step in once.steps if step.station == "washer"] == ["wash/load", "wash/dry"]


SNIPS = [  # squares above and below, layers in a raw seam, seconds a snip [memory]
    (1, 0, 2, 2.3),
    (1, 1, 4, 2.3),
    (2, 1, 6, 3.2),
    (2, 2, 8, 4.5),
    (3, 2, 10, 5.8),
]


@pytest.mark.parametrize(("above", "below", "layers", "seconds"), SNIPS)
def test_a_snip_takes_as_long_as_its_layers(above, below, layers, seconds):
    """To five layers 2.3 s, six 3.2, eight 4.5, and 0.65 s more for each beyond [memory]."""
    plan = plan_of(layers={"above": above, "below": below})
    assert plan.quantities["layers_raw_seam"].value == layers
    pace = {step.key: step.pace_s / step.effort for step in plan.steps if step.effort_noun == "snip"}
    inner = [pace[f"snip/{one}"] for one in ("rows", "panel", "crossings")]
    assert inner == pytest.approx([seconds] * 3)
    edge = layers // 2 + 1  # the block's layers and the back's one
    assert pace["assemble/snips"] == pytest.approx({2: 2.3, 3: 2.3, 4: 2.3, 5: 2.3, 6: 3.2}[edge])


def test_boxing_a_zip_takes_the_practised_six_minutes():
    """[memory] Of 37 in of seam, 2 1/2 of them handling; of this zip's, longer or shorter, so much as it has of that."""
    plan = plan_of()
    (box,) = [step for step in plan.steps if step.key == "closure/zip_box"]
    assert box.pace_s == pytest.approx(150 + 210 * plan.number("zip_box") / (37 * 25.4))
    assert 200 < box.pace_s < 360  # a shorter zip than that


def test_handling_grows_with_the_size_of_a_throw():
    """Three tenths more for every square metre over half a one [memory]: 41 × 51 in is 1.349 m², × 1.255."""
    small = plan_of(closure=ACROSS_THE_BACK)
    assert small.quantities["bulk"].value == 1
    large = plan_of(grid={"across": 10, "down": 8}, square="6 1/4 in", **THROW)
    area = 51.25 * 41.25 * IN * IN / 1e6
    assert large.quantities["bulk"].value == pytest.approx(1 + 0.3 * (area - 0.5))
    steps = {step.key: step for step in large.steps}
    edge = 60 + 240 * 2 * (50 + 40) * IN / 1000
    assert steps["assemble/edge"].pace_s == pytest.approx(edge * (1 + 0.3 * (area - 0.5)))
    assert steps["join/rows"].pace_s == 40  # two squares in the hand are no larger


def test_a_zip_along_either_side_says_whether_the_tops_must_meet():
    """After row 1 of 3 it is off the middle; after row 2 of 4 it is not [identity]."""
    flag = {down: sums(grid={"across": 5, "down": down}, closure=ACROSS_THE_BACK | {"after_row": after}, **NO_TOP)["tops_meet"]
            for down, after in ((3, 1), (4, 2))}  # fmt: skip
    assert flag == {3: True, 4: False}
    assert sums(closure=ZIP, **ONE_WAY)["tops_meet"] is True


SHOP = {  # [practice]
    "inch": ((12, 20), (14, 20), (16, 16), (18, 18), (20, 20), (22, 22), (24, 24)),
    "metric": ((30, 50), (40, 40), (40, 60), (45, 45), (50, 50), (60, 60)),
}


def pads():
    return shipped().beside["pads"]


def test_pads_are_those_sold_in_inches_and_in_centimetres():
    """[practice]"""
    for units, of in SHOP.items():
        mm = IN if units == "inch" else 10.0
        sides = [side for one in pads().values() if one["units"] == units for side in (one["width"], one["height"])]
        assert sides == pytest.approx([side * mm for pair in of for side in pair])


SITS = [
    # washed face, units; the pad, and how it sits: 0 to 1 in or 25 mm larger each way is right [practice]
    ((16 * IN, 16 * IN), "inch", "16 in, sits right: 0 in larger across, 0 in larger down"),
    ((15 * IN, 15 * IN), "inch", "16 in, sits right: 1 in larger across, 1 in larger down"),
    ((15.5 * IN, 15.25 * IN), "inch", "16 in, sits right: 1/2 in larger across, 3/4 in larger down"),
    ((19.5 * IN, 13.5 * IN), "inch", "14 × 20 in, sits right: 1/2 in larger across, 1/2 in larger down"),
    ((19.5 * IN, 14.5 * IN), "inch", "14 × 20 in, sits slack: 1/2 in larger across, 1/2 in smaller down; 0 in to 1 in"),
    ((16.75 * IN, 16.75 * IN), "inch", "18 in, sits tight: 1 1/4 in larger across, 1 1/4 in larger down"),
    ((16.5 * IN, 16.5 * IN), "inch", "16 in, sits slack"),  # as far from right either way: the nearer to filling well
    ((13.75 * IN, 13.75 * IN), "inch", "16 in, sits tight: 2 1/4 in larger across, 2 1/4 in larger down"),
    ((25 * IN, 25 * IN), "inch", "24 in, sits slack: 1 in smaller across, 1 in smaller down"),
    ((18 * IN, 12 * IN), "inch", "12 × 20 in, sits tight: 2 in larger across, 0 in larger down"),
    ((380.0, 590.0), "metric", "40 × 60 cm, sits right: 2 cm larger across, 1 cm larger down"),
    ((470.0, 470.0), "metric", "50 cm, sits tight: 3 cm larger across, 3 cm larger down"),
]


@pytest.mark.parametrize(("face", "units", "says"), SITS, ids=[f"{face[0]:.0f} {says[:24]}" for face, _, says in SITS])
def test_the_nearest_pad_is_named_with_how_it_sits(face, units, says):
    """The size nearest to sitting right, laid either way [practice]."""
    project = read(cushion(units=units))
    quantities = work_out(shipped(), project.given)
    washed = {
        name: msgspec.structs.replace(quantities[name], value=mm)
        for name, mm in zip(("washed_width", "washed_height"), face, strict=True)
    }
    told = nearest(project, quantities | washed, pads()).says("british")
    assert told.startswith(says.replace("; 0 in to 1 in", "; 0 to 1 in"))
    assert ("common practice" in told) == ("right:" not in told)
    assert nearest(read(cushion(**THROW)), quantities, pads()) is None


@pytest.mark.parametrize(
    ("said", "sides"),
    [
        ("16 in", ("16 in", "16 in")),
        ("14 x 20 in", ("14 in", "20 in")),
        ("40 × 60 cm", ("40 cm", "60 cm")),
        ("40 cm by 60 cm", ("40 cm", "60 cm")),
        ("15 1/2 in", ("15 1/2 in", "15 1/2 in")),
    ],
)
def test_a_pad_is_read_as_makers_say_it(said, sides):
    """The unit once for both sides, or one side for a square pad."""
    assert pad_sides(said) == sides


def test_new_plans_from_the_pad_that_is_there(tmp_path, monkeypatch, capsys):
    """A 16 in pad with 1/2 in of ease fills a cover of 15 1/2 in, whose zip lies where it was said [identity]."""
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    assert run(["new", "From a pad", "--no-input", "--pad", "16 in", "--zip-at", "after column 1"]) == 0
    opened = open_project(Path(capsys.readouterr().out.strip()), {"FRAYWORK_HOME": str(tmp_path / "home")})
    plan = make_plan(opened.project, opened.language)
    assert plan.number("washed_width") == plan.number("washed_height") == pytest.approx(15.5 * IN)
    assert (plan.quantities["zip_along"].value, plan.number("zip_after")) == ("column", 1)
    assert dict(plan.told)["pad, as sold"].startswith("16 in, sits right")
    assert run(["new", "Both", "--no-input", "--pad", "16 in", "--across", "4"]) == 2
    assert "leave --across" in capsys.readouterr().err
    assert run(["new", "Lap", "--no-input", "--kind", "throw"]) == 0
    text = Path(capsys.readouterr().out.strip()).read_text(encoding="utf-8")
    assert "layers: {above: 1, below: 1}" in text
    assert answered(Answers(), "kind", "throw").below == "1"
    assert answered(Answers(below="3"), "kind", "throw").below == "3"  # said already


@pytest.mark.parametrize(
    ("told", "size"),
    [
        ((("kind", "throw"),), ("7", "9", "6 1/4 in")),  # 35 × 45 in: a lap's [practice]
        ((("kind", "throw"), ("units", "metric")), ("7", "9", "16 cm")),
        ((("units", "metric"), ("kind", "throw")), ("7", "9", "16 cm")),
        ((("square", "8 in"), ("kind", "throw")), ("5", "3", "8 in")),  # said already
        ((("across", "4"), ("kind", "throw")), ("4", "3", "5 1/4 in")),
        ((("kind", "throw"), ("down", "12"), ("units", "metric")), ("7", "12", "16 cm")),
    ],
)
def test_a_throw_is_offered_at_a_throws_size_whichever_way_it_is_said(told, size):
    """Typed as an answer as well as given as an option: not a cushion's five blocks by three."""
    answers = Answers()
    for name, text in told:
        answers = answered(answers, name, text)
    assert (answers.across, answers.down, answers.square) == size
