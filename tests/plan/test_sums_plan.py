"""Sums and panels come together in the plan: what is cut, what is laid, and what is said beside it."""

from collections import Counter

import pytest

from guide.plan.layout.panels import CannotLay
from guide.plan.make import make_plan
from guide.plan.parts import parts_of
from tests.plan.sums_of import ACROSS_THE_BACK, ENVELOPE, THROW, cushion, read, shipped, sums


def plan(**changes):
    return make_plan(read(cushion(**changes)), shipped())


def squares_cut(made):
    return Counter(
        {c.material: sum(p.part == "square" for cloth in c.cloths for p in cloth.placements) for c in made.cutting}
    )


def warned(**changes):
    return {one.name for one in plan(**changes).warnings}


def prints(*shrinks):
    return [{"name": f"print {i}", "width": "44 in", "shrinks": {"length": f"{s} %"}} for i, s in enumerate(shrinks)]


def test_all_squares_of_all_makes_are_cut():
    """Fifteen stacks of three and fifteen behind, two cushions: 120; a throw has only its stacks [identity]."""
    assert sum(squares_cut(plan(make=2)).values()) == 2 * (15 * 3 + 15)
    assert sum(squares_cut(plan(**THROW)).values()) == 15 * 3
    assert sum(squares_cut(plan(layers={"above": 3, "below": 1}, **THROW)).values()) == 15 * (3 + 1)
    assert sum(squares_cut(plan(closure=ENVELOPE)).values()) == 15 * 3 + 2 * 3 * 5


def test_ready_cut_squares_are_not_cut_again():
    """Five on hand are five fewer to cut of that print, and of no other [identity]."""
    bare = [{"name": name, "width": "44 in"} for name in ("leaf", "check", "dot", "stripe")]
    some = [bare[0] | {"on_hand": [{"squares": 5}]}, *bare[1:]]
    before, after = plan(prints=bare), plan(prints=some)
    laid = Counter(name for part in (after.layout, after.backing) for b in part.blocks for name in b.stack)
    assert squares_cut(after)["leaf"] == laid["leaf"] - 5
    assert sum(squares_cut(before).values()) - sum(squares_cut(after).values()) == 5


def test_small_squares_are_told_of_for_an_infant_too():
    """The warning of where a baby sleeps does not take the place of the one of squares under 3 in [practice]."""
    small = {"square": "2 1/2 in", "seam": "1/4 in", "free_end": "1/8 in", "wadding": {"gap": "3/8 in"}}
    assert "square" in warned(**small, **THROW)
    assert {"for", "square"} <= warned(**small, **THROW, **{"for": "infant"})


def test_every_wadding_square_is_cut_once():
    """One a block; none without wadding [identity]."""
    made = plan(make=2)
    (wadding,) = [c for c in made.cutting if c.material == "wadding"]
    assert sum(len(cloth.placements) for cloth in wadding.cloths) == 2 * 15
    assert not [c for c in plan(wadding="none").cutting if c.material == "wadding"]


def test_cut_steps_hold_all_strips_and_squares():
    """The cutting steps' pieces together are all that is cut [identity]."""
    made = plan()
    pieces = sum(step.row["pieces"] for step in made.steps if step.id == "pieces")
    assert pieces == 15 * 3 + 15 + 15
    assert all(step.row["strips"] == step.pieces > 0 for step in made.steps if step.id == "pieces")


def test_an_opening_under_three_quarters_of_the_pad_is_said():
    """8 in face: opening 6 1/4 in, pad 8 1/2 in, 3/4 of it 6 3/8; 12 in face: 10 1/4 in against 9 3/8 [practice].

    A zip down the back is measured against the pad's height, one across it against its width.
    """
    assert "zip_opening" in warned(grid={"across": 5, "down": 2})
    assert "zip_opening" not in warned()
    assert "zip_opening" in warned(grid={"across": 2, "down": 5}, closure=ACROSS_THE_BACK)
    assert "zip_opening" not in warned(grid={"across": 5, "down": 2}, closure=ACROSS_THE_BACK)


def test_a_crossing_that_no_foot_goes_over_is_said():
    """Over 6 mm squeezed [practice]: 4·7 layers of 0.25 mm are 7 mm, 4·6 are 6 [identity]."""
    assert "layers_crossing" in warned(layers={"above": 3, "below": 4})
    assert "layers_crossing" not in warned(layers={"above": 3, "below": 3})
    assert "layers_crossing" in warned(cloth_thickness="0.51 mm")  # 12 layers of it: 6.12 mm
    assert "layers_crossing" not in warned(cloth_thickness="0.5 mm")


def test_cloths_that_shrink_three_per_cent_apart_are_said():
    """3 % beside none puckers; 4 % beside 2 % does not show [practice]."""
    assert "shrink_length" in warned(prints=prints(3, 1, 0))
    assert "shrink_length" not in warned(prints=prints(4, 3, 2))
    assert "shrink_width" not in warned(prints=prints(4, 3, 2))


def test_prints_of_which_nobody_wrote_what_washing_takes_are_said_once():
    """Four prints, one sentence; 0 % written is written. Washed size is then the size as sewn [practice: cloth shrinks]."""

    def said(*shrinks):
        data = [{"name": f"print {i}", "width": "44 in"} | more for i, more in enumerate(shrinks)]
        return [one.text for one in plan(prints=data).warnings if one.name == "shrinks"]

    none = {"shrinks": {"length": "0 %", "width": "0 %"}}
    swatch = {"swatch": {"before": "14 in", "after_length": "13 1/2 in"}}
    assert said({}, {}, {}, {}) == ["no shrinkage given: expect it smaller after washing"]
    assert said(none, {}, none, {}) == ["no shrinkage given for print 1, print 3: expect it smaller after washing"]
    assert said(none, swatch, none, {"shrinks": {"length": "3 %"}}) == []


def test_one_square_too_few_is_refused_and_just_enough_is_not():
    """Fifteen stacks of three and fifteen behind are 60: 15, 15, 15 and 14 of four prints are 59 [identity]."""
    few = [{"name": name, "width": "44 in", "at_most": 15} for name in ("leaf", "check", "dot", "stripe")]
    with pytest.raises(CannotLay):
        plan(prints=[few[0] | {"at_most": 14}, *few[1:]])
    assert sum(squares_cut(plan(prints=few)).values()) == 60


@pytest.mark.parametrize(("lacking", "cut"), [((), [15]), (("wadding_size",), []), (("wadding_squares",), [])])
def test_wadding_is_cut_where_its_size_and_number_are_worked_out(lacking, cut):
    """Fifteen blocks, a square each; where the stage that works them out is left out, there is none to cut [identity]."""
    at = {name: value for name, value in sums().items() if name not in lacking}
    parts = parts_of(read(cushion()), shipped(), at, {})
    assert [part.count for part in parts if part.name == "wadding square"] == cut


def test_a_print_of_which_one_square_lies_there_is_laid_once():
    """Nothing of it can be bought, and it is to be used up: once on the front, and not left out for being one [identity]."""
    last = {"name": "last", "on_hand": [{"squares": 1}], "use_up": True}
    made = plan(prints=[*prints(0, 0, 0), last])
    assert sum(block.stack.count("last") for block in made.layout.blocks) == 1
