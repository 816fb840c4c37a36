"""What is left of the cloth would still give so much: hand sums on rectangles, and on the demo's own."""

import pytest

from guide.plan.cutting.cut import cut
from guide.plan.cutting.strips import Bolt
from guide.plan.make import make_plan
from guide.plan.model import Part
from guide.plan.parts import bolt_of
from guide.plan.shopping import Gives, back_panels, gives_of, rectangles, would_give
from guide.read.model import Remnant
from tests.plan.sums_of import cushion, read, shipped
from tests.show.demo import demo_plan

IN = 25.4


def inches(sizes):
    return [tuple(round(side / IN, 6) for side in one) for one in sizes]


def test_the_demos_cloths_leave_what_a_ruler_says():
    """Squares of 6 in, half of one to practise on, in whole eighths of a yard. [identity]

    Moss check, 43 in between selvedges: 20 squares in strips of 7, 7 and 6, and an inch to straighten: 19 in of 22 1/2
    bought. Beside the six stand 7 × 6 in, one square; behind lie 43 × 3 1/2 in, 14 pieces of 3 in.
    Oat stripe: 22 × 18 in less 1/2 in gave two strips of three: 3 1/2 in beside each, two pieces, 5 1/2 in behind, seven;
    of the bolt's one strip 31 × 6 in, five squares, and 2 in behind, nothing.
    Wadding, 90 in wide: 12 squares of 5 in of the 18 that lie side by side, bought 9 in long for want of less than 5.
    """
    plan = demo_plan()
    found = {one.material: gives_of(plan, one) for one in plan.cutting}
    assert found == {
        "moss check": Gives(1, 0, 14, 3 * IN),
        "oat stripe": Gives(5, 0, 7 + 4, 3 * IN),
        "clay dot": Gives(1, 0, 14, 3 * IN),
        "wadding": Gives(6, 0, 0, 0.0),
    }


def test_selvedges_and_what_is_trimmed_are_nothing_left():
    """A bolt of 44 in with selvedges of 1 in, a piece of 20 × 10 in trimmed by 1 in: 42 and 19 in across. [identity]"""
    made = cut("leaf", [Part("square", "leaf", 9 * IN, 9 * IN, 1)], None, [Remnant(20 * IN, 10 * IN)], trim_mm=IN)
    assert inches(rectangles(made.cloths, 0.0)) == [(10, 9)]
    bolt = Bolt(44 * IN, IN)
    made = cut("leaf", [Part("square", "leaf", 10 * IN, 10 * IN, 3)], bolt, straighten_mm=IN, buy_step_mm=4.5 * IN)
    assert inches(rectangles(made.cloths, made.buy_mm - made.use_mm)) == [(42, 2.5), (12, 10)]


def test_washed_cloth_is_left_as_it_lies_once_it_is_washed():
    """Of 10 % shrunk cloth bought in eighths of a yard, 4 1/2 in of the bolt lie 4.05 in long. [identity]"""
    data = cushion(prints=[{"name": "leaf", "width": "40 in", "shrinks": {"length": "10 %", "width": "5 %"}}])
    plan = make_plan(read(data | {"washed_first": True}), shipped())
    (one,) = [cutting for cutting in plan.cutting if cutting.material == "leaf"]
    bolt = bolt_of(plan.project, "leaf")
    left = rectangles(one.cloths, bolt.laid(one.buy_mm) - one.use_mm)
    assert left[0] == (pytest.approx(40 * IN * 0.95 - 2 * bolt.edge_mm), pytest.approx(one.buy_mm * 0.9 - one.use_mm))
    assert gives_of(plan, one) == would_give(plan, "leaf", left)


@pytest.mark.parametrize(
    ("left", "squares", "practice"),
    [
        ((12, 12), 4, 0),  # four squares of 6 in, nothing beside
        ((12, 11), 2, 4),  # two, and 5 in above: a row of four halves
        ((8, 8), 1, 0),  # 2 in beside and above: no 3 in
        ((9, 9), 1, 5),  # 3 in beside and above: three one way and two the other
        ((5, 20), 0, 6),  # no square: two by six and a bit would be 1 × 6
        ((2, 40), 0, 0),
    ],
)
def test_squares_and_practice_pieces_of_one_rectangle(left, squares, practice):
    """Squares of 6 in, in rows; pieces of 3 in from what stands beside and above them. [identity]"""
    gives = would_give(demo_plan(), "moss check", [tuple(side * IN for side in left)])
    assert (gives.squares, gives.practice) == (squares, practice)


def test_what_is_filled_exactly_leaves_nothing_not_less():
    """Eight squares of 5 1/4 in from 42 in, and one from a strip of 5 1/4: no practice piece beside. [identity]

    Eight times 133.35 mm in floating point is a hair over 1066.8.
    """
    plan = make_plan(read(cushion()), shipped())
    for wide in range(1, 40):
        gives = would_give(plan, "leaf", [(sum([5.25 * IN] * wide), 5.25 * IN), (wide * 5.25 * IN, 5.25 * IN)])
        assert (gives.squares, gives.practice) == (2 * wide, 0)
        gives = would_give(plan, "leaf", [(wide * 5.25 * IN - 1e-7, 10.5 * IN - 1e-7)])
        assert (gives.squares, gives.practice) == (2 * wide, 0)


def test_a_back_is_all_its_panels():
    """The demo's zip lies after the first of three rows of 5 in blocks, 21 in wide: 21 × 6 and 21 × 11 in. [identity]

    A back that lies along the cloth only where the print may be turned.
    """
    plan = demo_plan()
    assert inches(back_panels(plan)) == [(21, 6), (21, 11)]

    def backs(left, material="moss check"):
        return would_give(plan, material, [(width * IN, length * IN) for width, length in left]).backs

    assert backs([(21, 17)]) == 1
    assert backs([(21, 16.9)]) == 0
    assert backs([(21, 6), (21, 11)]) == 1
    assert backs([(42, 17)]) == 2
    assert backs([(17, 21)]) == 1
    assert backs([(17, 21)], "oat stripe") == 0  # one way up
    assert backs([]) == 0


def test_an_envelopes_panels_and_a_throw():
    """Two panels alike; a throw has no back, so none is promised. [identity]"""
    envelope = make_plan(read(cushion(closure={"type": "envelope"}, back={"plain": "leaf"})), shipped())
    first, second = back_panels(envelope)
    assert first == second == (envelope.number("envelope_cut_width"), envelope.number("envelope_cut_length"))
    throw = make_plan(read(cushion(kind="throw", closure="none", back="none", pad=None)), shipped())
    assert back_panels(throw) == ()
    assert would_give(throw, "leaf", [(1000.0, 1000.0)]).backs == 0
