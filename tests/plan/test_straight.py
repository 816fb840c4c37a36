"""A piece on hand is straightened before it is cut, as a bolt is: half an inch off one side and one end. [practice]

A fat quarter of 22 × 18 in holds 3 × 3 squares of 6 in to the last thread; straightened it is 21 1/2 × 17 1/2 in and
gives 3 × 2. [identity]
"""

import random
import re

import pytest

from guide.plan.cutting.cut import cut
from guide.plan.cutting.strips import CannotCut
from guide.plan.make import make_plan
from guide.plan.model import Part
from guide.plan.shopping import after_cutting
from guide.read.model import Remnant
from guide.show.cutting_lines import cutting_lines, short_rows
from guide.show.report import report
from guide.show.words import render_step
from tests.plan.cutting_check import faults
from tests.plan.sums_of import cushion, read, shipped

IN = 25.4
QUARTER = {"width": "22 in", "length": "18 in"}


def squares(count, size=6.0):
    return [Part("square", "leaf", size * IN, size * IN, count)]


@pytest.mark.parametrize(("straight", "most"), [(False, 6), (True, 9)])
def test_a_fat_quarter_gives_what_is_left_when_it_is_straight(straight, most):
    """Six squares of 6 in, nine only from one that is cut to the thread already."""
    piece = [Remnant(22 * IN, 18 * IN, straight=straight)]
    assert faults(cut("leaf", squares(most), None, piece, trim_mm=IN / 2), squares(most), None, piece) == []
    with pytest.raises(CannotCut, match=f"gives {most} of {most + 1} square"):
        cut("leaf", squares(most + 1), None, piece, trim_mm=IN / 2)


@pytest.mark.parametrize("seed", range(40))
def test_nothing_is_cut_from_what_is_trimmed_off(seed):
    """Random pieces and parts: every part keeps off the side and the end that are straightened."""
    rng = random.Random(seed)
    pieces = [
        Remnant(rng.randint(8, 40) * IN, rng.randint(8, 40) * IN, rng.randint(1, 2), rng.random() < 0.3)
        for _ in range(3)
    ]
    parts = [
        Part(f"part {n}", "leaf", rng.randint(2, 7) * IN, rng.randint(2, 7) * IN, 1, rng.random() < 0.5)
        for n in range(3)
    ]
    done = cut("leaf", parts, None, pieces, trim_mm=IN / 2, effort=100)
    assert faults(done, parts, None, pieces) == []
    for cloth in done.cloths:
        assert cloth.trim_mm in {0.0, IN / 2}
        assert all(min(p.x_mm, p.y_mm) >= cloth.trim_mm - 1e-6 for p in cloth.placements)


def test_a_piece_too_small_once_straight_is_refused_as_it_is_then():
    """A piece of 6 × 20 in gives no 6 in square: 5 1/2 in are left of its width."""
    with pytest.raises(CannotCut, match="straightened, is 5 1/2 in wide and 19 1/2 in long"):
        cut("leaf", squares(1), None, [Remnant(6 * IN, 20 * IN)], trim_mm=IN / 2)


@pytest.mark.parametrize(
    ("units", "straight", "from_piece"),
    [("inch", False, 6), ("inch", True, 9), ("metric", False, 6), ("metric", True, 9)],
)
def test_a_plan_counts_on_straight_cloth_only(units, straight, from_piece):
    """Half an inch or 1 cm comes off, and the cutting says so; with `straight: true` nothing does."""
    piece = QUARTER | ({"straight": True} if straight else {})
    prints = [
        {"name": "leaf", "width": "44 in", "on_hand": [piece]},
        *({"name": n, "width": "44 in"} for n in ("a", "b")),
    ]
    plan = make_plan(read(cushion(units=units, square="6 in", prints=prints)), shipped())
    (leaf,) = [one for one in plan.cutting if one.material == "leaf"]
    assert len(next(cloth for cloth in leaf.cloths if not cloth.bought).placements) == from_piece
    said = "\n".join(cutting_lines(plan))
    allowed = {"inch": "1/2 in", "metric": "1 cm"}[units]
    assert (f"straighten one side and one end first; {allowed} is allowed for each" in said) != straight


def cutting_step(*on_hand, **more):
    """What the step that cuts leaf's squares says, with these pieces of it on hand."""
    prints = [
        {"name": "leaf", "width": "44 in", "on_hand": list(on_hand)},
        *({"name": n, "width": "44 in"} for n in ("a", "b")),
    ]
    plan = make_plan(read(cushion(square="6 in", prints=prints, **more)), shipped())
    (step,) = [step for step in plan.steps if step.key.startswith("cut/pieces:leaf:square")]
    return render_step(plan, step)["do"], step, plan


@pytest.mark.parametrize("washed", [False, True])
def test_a_step_that_cuts_from_several_cloths_says_what_from_which(washed):
    """As many strips as in all, each cloth by its size; the bolt's washed width is said of the bolt alone. [identity]"""
    said, step, plan = cutting_step(
        QUARTER, {"width": "14 in", "length": "13 in", "straight": True}, washed_first=washed
    )
    (leaf,) = [one for one in plan.cutting if one.material == "leaf"]
    by_cloth = [len({p.strip for p in cloth.placements}) for cloth in leaf.cloths]
    assert len(by_cloth) == 3
    assert sum(by_cloth) == step.pieces
    for count, named in zip(by_cloth, ("piece 1, 14 in × 13 in", "piece 2, 22 in × 18 in", "the bolt"), strict=True):
        assert re.search(rf"\b{count} from {named}", said), said
    assert "unless it is straight, loses 1/2 in at one side and one end first" in said
    assert not said.startswith("Washed")
    assert ("between the bolt's selvedges" in said) == washed


def test_a_step_that_cuts_from_one_cloth_names_it_once():
    """From the piece alone, with its trim unless it is straight; from the bolt alone, with neither."""
    whole = {"width": "40 in", "length": "40 in"}
    said, *_ = cutting_step(whole)
    assert said.startswith("From piece 1 on hand, 40 in × 40 in: set the ruler")
    assert "loses 1/2 in" in said
    assert "loses" not in cutting_step(whole | {"straight": True})[0]
    assert "loses" not in cutting_step()[0]
    alike = cutting_step(QUARTER | {"count": 3})[0]
    # 15 stacks of three and 15 behind are 20 of each print: two strips of three in each piece, two squares more [identity]
    assert re.search(r"\b2 each from pieces 1 to 3, 22 in × 18 in; 1 from the bolt", alike), alike


def test_pieces_that_are_cut_alike_are_told_and_drawn_once():
    """Two fat quarters between one of another size and the bolt: each of the two as if it were told by itself."""
    _, _, plan = cutting_step({"width": "14 in", "length": "13 in", "straight": True}, QUARTER | {"count": 2})
    order = cutting_lines(plan)
    first, alike, bolt = (at for at, line in enumerate(order) if line.startswith("leaf, from"))
    assert order[first] == "leaf, from piece 1 on hand: 14 in wide, 13 in long"
    assert order[alike] == "leaf, from each of pieces 2 to 3 on hand: 22 in wide, 18 in long"
    assert order[bolt].startswith("leaf, from the bolt: 44 in wide")
    assert [line.strip() for line in order if "22 in by 18 in" in line] == ["on hand: 22 in by 18 in, 2 alike"]
    told = [line for name, line in short_rows(report(plan)) if "on hand" in line]
    assert [line.partition(":")[0] for line in told] == [
        "from piece 1 on hand, 14 in × 13 in",
        "from each of pieces 2 to 3 on hand, 22 in × 18 in",
    ]


def test_a_panel_from_the_cloth_on_hand_is_counted_straight():
    """Two fat quarters give 6 squares of 6 in each, not 9: six blocks of a throw two deep, 3 × 2. [identity]"""
    data = {
        "project": "Remnants", "kind": "throw", "square": "6 in", "seam": "1/2 in", "layers": {"above": 1, "below": 1},
        "prints": [{"name": name, "on_hand": [QUARTER]} for name in ("one", "two")], "target": "on hand",
    }  # fmt: skip
    plan = make_plan(read(data), shipped())
    assert (plan.layout.across, plan.layout.down) == (3, 2)


def test_what_is_left_of_a_straightened_piece_is_straight():
    """Three squares leave 21 1/2 × 11 1/2 in, which is not trimmed a second time."""
    piece = [Remnant(22 * IN, 18 * IN, 2)]
    left = after_cutting(piece, cut("leaf", squares(3), None, piece, trim_mm=IN / 2))
    assert left[0] == Remnant(22 * IN, 18 * IN, 1)
    rest = max(left[1:], key=lambda one: one.width * one.length)
    assert (rest.width, rest.length, rest.straight) == (pytest.approx(21.5 * IN), pytest.approx(11.5 * IN), True)


def test_straightening_a_piece_is_a_cut():
    """One to straighten, three to part two strips from it, one to trim the side and three to free the squares."""
    done = cut("leaf", squares(6), None, [Remnant(22 * IN, 18 * IN)], trim_mm=IN / 2)
    assert done.cuts == 1 + 2 + 1 + 3
