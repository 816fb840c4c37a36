"""Cloth that is washed before it is cut: bought longer, cut narrower, and finished where it was sewn."""

import os
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.errors import GuideError
from guide.plan.cutting.cut import cut
from guide.plan.cutting.strips import Bolt
from guide.plan.graph import best
from guide.plan.make import make_plan
from guide.plan.model import Part
from guide.plan.shopping import share_shelf, shopping_of, used_costs
from guide.read.model import Remnant
from guide.show.cutting_lines import cutting_lines
from guide.show.words import render_step
from tests.plan.cutting_check import faults
from tests.plan.sums_of import THROW, cushion, read, shipped, sums, sums_of

IN = 25.4
EIGHTH = 4.5 * IN  # of a yard [source: yard 0.9144 m, 1959]
SHRINKS = {"length": "4 %", "width": "3 %"}
few = settings(max_examples=150 if os.environ.get("FRAYWORK_FULL") else 30, deadline=None)


def prints(shrinks=SHRINKS, **more):
    """Two prints 44 in wide; on 4 × 5 blocks of two squares they alternate, 20 squares each."""
    said = {} if shrinks is None else {"shrinks": shrinks}
    return [{"name": name, "width": "44 in"} | said | more for name in ("leaf", "dot")]


def throw(**changes):
    sizes = {
        "grid": {"across": 4, "down": 5}, "square": "6 in", "seam": "1/2 in", "layers": {"above": 1, "below": 1},
        "wadding": {"gap": "1/2 in"},
    }  # fmt: skip
    return cushion(**(THROW | sizes | {"prints": prints()} | changes))


def plan(**changes):
    return make_plan(read(throw(**changes)), shipped())


def washed(**changes):
    return plan(washed_first=True, **changes)


def leaf(made):
    return next(one for one in made.cutting if one.material == "leaf")


def bought(made):
    return {line.item: (line.quantity, line.unit) for line in made.shopping if line.counter == "cloth"}


def test_washed_cloth_is_narrower_and_bought_longer():
    """By hand [identity]: 44 in with 1/2 in selvedges, 3 % off the width, 4 % off the length, 20 squares of 6 in.

    As sold: 43 in hold 7, 3 strips, 18 in and 1 in to straighten: 19 in, 5/8 yd.
    Washed: (44 − 1)·0.97 = 41.71 in hold 6, 4 strips, 24 + 1 = 25 in; 25/0.96 = 26.04 in, 3/4 yd (27 in).
    """
    sold, made = leaf(plan()), leaf(washed())
    assert (sold.use_mm, sold.buy_mm) == pytest.approx((19 * IN, 5 * EIGHTH))
    assert (made.use_mm, made.buy_mm) == pytest.approx((25 * IN, 6 * EIGHTH))
    (cloth,) = made.cloths
    assert (cloth.width_mm, cloth.length_mm) == pytest.approx((44 * 0.97 * IN, 25 * IN))
    assert cloth.selvedge_mm == pytest.approx(0.485 * IN)
    assert made.bound_mm == pytest.approx(20 * 36 / 41.71 * IN)
    assert bought(washed()) == {"leaf": ("0.75", "yd"), "dot": ("0.75", "yd")}
    assert bought(plan()) == {"leaf": ("0.625", "yd"), "dot": ("0.625", "yd")}


def test_what_washing_takes_is_added_before_the_shop_rounds():
    """24 in to cut are 5 1/3 eighths of a yard; at 12 % they are 27.27 in off the bolt, 7 eighths, not 6 [identity]."""
    made = cut("leaf", [Part("strip", "leaf", 40 * IN, 6 * IN, 4)], Bolt(44 * IN, 0.0, 0.0, 0.12), buy_step_mm=EIGHTH)
    assert (made.use_mm, made.buy_mm) == pytest.approx((24 * IN, 7 * EIGHTH))
    exact = cut("leaf", [Part("strip", "leaf", 40 * IN, 6 * IN, 3)], Bolt(44 * IN, 0.0, 0.0, 0.2), buy_step_mm=EIGHTH)
    assert exact.buy_mm == pytest.approx(5 * EIGHTH)  # 18/0.8 = 22.5 in is 5 eighths to the hair [identity]


def test_metric_cloth_is_bought_by_ten_centimetres():
    """15 cm squares, 110 cm wide, 1 cm selvedges, 5 % and 10 %: 97.2 cm hold 6; 4 strips and 2.5 cm; 62.5/0.95 = 65.8."""
    cloth = prints({"length": "5 %", "width": "10 %"}, width="110 cm", selvedge="1 cm")
    sizes = {"units": "metric", "square": "15 cm", "seam": "15 mm", "wadding": {"gap": "15 mm"}}
    made = washed(prints=cloth, **sizes)
    assert leaf(made).use_mm == pytest.approx(625)
    assert bought(made) == {"leaf": ("0.7", "m"), "dot": ("0.7", "m")}


def test_a_selvedge_shrinks_with_its_cloth():
    """What lies between the selvedges is (44 − 2·1/2)·0.97 = 41.71 in, not 44·0.97 − 1 = 41.68 [identity]."""
    assert Bolt(44 * IN, IN / 2, 0.03).usable_mm == pytest.approx(41.71 * IN)


def test_wadding_is_cut_as_it_is_sold():
    """Nobody washes wadding first: the same strip of it either way."""
    one, other = (next(c for c in made.cutting if c.material == "wadding") for made in (plan(), washed()))
    assert one == other


def test_the_finished_piece_shrinks_no_more():
    """Draw-in stays, the prints' shrinkage is gone; the pad follows [identity]: 20 × 12 in, 2 % drawn in, 1/2 in ease."""
    cloth = [{"name": name, "width": "44 in", "shrinks": SHRINKS} for name in ("leaf", "check", "dot")]
    n = sums(prints=cloth, draw_in="2 %", washed_first=True)
    for side, face in (("width", 20), ("height", 12)):
        assert n[f"washed_{side}"] == pytest.approx(face * 0.98 * IN)
        assert n[f"washed_{side}_least"] is None  # nothing shrinks any more, so there is no smaller size to tell
        assert n[f"pad_{side}"] == pytest.approx((face * 0.98 + 0.5) * IN)
    before = sums(prints=cloth, draw_in="2 %")
    assert before["washed_height"] == pytest.approx(12 * 0.98 * 0.96 * IN)
    measured = sums({"panel_width": 20.75 * IN}, prints=cloth, draw_in="2 %", washed_first=True)
    assert measured["washed_width"] == pytest.approx(19.5 * IN)  # a measured panel has drawn in already


def test_pieces_on_hand_are_taken_as_they_lie():
    """A washed, straight piece of 18 in by 12 in gives six 6 in squares, whatever its cloth shrinks [identity]."""
    cloth = prints(on_hand=[{"width": "18 in", "length": "12 in", "straight": True}])
    (piece, rest) = leaf(washed(prints=cloth)).cloths
    assert (piece.bought, piece.width_mm, len(piece.placements)) == (False, pytest.approx(18 * IN), 6)
    assert (rest.bought, len(rest.placements)) == (True, 14)


def test_cloth_used_costs_what_it_was_off_the_bolt():
    """25 in of washed cloth were 26.04 in at 9.60 a yard: 6.94 [identity].

    Six squares on hand, 216 sq in, were 216 / 42.68 / 0.96 = 5.27 in of it; the other 14 are 3 strips, 19/0.96 = 19.79
    in: 25.06 in together, 6.68.
    """
    price = {"price": "9.60 / yd"}
    whole = washed(prints=prints(**price))
    assert f"{used_costs(whole.project, whole.cutting)[0].used}" == "6.94"
    some = washed(prints=prints(**price, on_hand=[{"width": "18 in", "length": "12 in", "straight": True}]))
    assert f"{used_costs(some.project, some.cutting)[0].used}" == "6.68"


def test_cloth_too_narrow_once_washed_is_refused_with_the_width_to_buy():
    """42 in of 43 fit as sold; washed there are 41.71. 42/0.97 + 1 = 44.30 in is wide enough [identity]."""
    part = [Part("back", "leaf", 42 * IN, 42 * IN, 1)]
    assert cut("leaf", part, Bolt(44 * IN, IN / 2)).cloths
    with pytest.raises(GuideError, match=r"once it is washed. It needs cloth at least ≈ 44 5/16 in wide"):
        cut("leaf", part, Bolt(44 * IN, IN / 2, 0.03, 0.04))


@few
@given(
    st.integers(12, 40), st.integers(1, 60), st.integers(0, 200), st.integers(0, 200), st.sampled_from([EIGHTH, 100.0])
)
def test_cloth_bought_washed_is_never_less_than_needed(quarters, count, length, width, step):
    """What is bought, washed, holds the plan; one step less would not; and the plan keeps inside the washed cloth."""
    bolt = Bolt(44 * IN, IN / 2, width / 1000, length / 1000)
    parts = [Part("square", "leaf", quarters * IN / 4, quarters * IN / 4, count)]
    made = cut("leaf", parts, bolt, straighten_mm=IN, buy_step_mm=step)
    strips = ceil(count / int(bolt.usable_mm / (quarters * IN / 4) * (1 + 1e-9)))
    assert made.use_mm == pytest.approx(strips * quarters * IN / 4 + IN)
    assert made.buy_mm * (1 - length / 1000) >= made.use_mm * (1 - 1e-9)
    assert (made.buy_mm - step) * (1 - length / 1000) < made.use_mm
    assert made.buy_mm / step == pytest.approx(round(made.buy_mm / step))
    table = Bolt(44 * IN * (1 - width / 1000), IN / 2 * (1 - width / 1000))
    assert faults(made, parts, table, straighten_mm=IN) == []
    assert all(one.height_mm <= made.buy_mm * (1 - length / 1000) for one in made.left_over)


@few
@given(
    st.integers(1, 6), st.integers(1, 6), st.sampled_from(["4 in", "5 1/2 in", "6 in"]), st.sampled_from([None, "0 %"])
)
def test_cloth_that_shrinks_nothing_gives_the_same_plan(across, down, square, zero):
    """Washed first at 0 %, written or not: every number, cut and purchase is the same but for the steps [identity]."""
    cloth = prints(None if zero is None else {"length": zero, "width": zero})
    sizes = {"grid": {"across": across, "down": down}, "square": square, "prints": cloth}
    one, other = plan(**sizes), washed(**sizes)
    assert one.cutting == other.cutting
    assert one.shopping == other.shopping
    assert (one.layout, one.backing, one.advice) == (other.layout, other.backing, other.advice)
    values = [{n: q.value for n, q in p.quantities.items() if n != "washed_first"} for p in (one, other)]
    assert values[0] == values[1]
    keys = [[step.key for step in p.steps] for p in (one, other)]
    assert keys[1] == ["cut/wash", "cut/dry", *keys[0]]


@few
@given(st.integers(1, 9), st.integers(1, 9), st.integers(24, 80), st.booleans())
def test_planned_backwards_it_comes_to_the_size_that_was_asked(across, down, eighths, after_washing):
    """A grid and square's own finished size as a target finds them again: only draw-in comes off [identity]."""
    pitch = eighths / 8 - 1  # two seams of 1/2 in
    size = {"width": f"{across * pitch * 0.99:.6f} in", "height": f"{down * pitch * 0.99:.6f} in"}
    target = size | {"after": "washing" if after_washing else "sewing"}
    written = {"grid": None, "square": f"{eighths / 8} in", "target": target, "draw_in": "1 %"}
    project = read(throw(washed_first=True, **written))
    first = best(project, shipped(), 1)[0]
    assert (first.across, first.down) == (across, down)
    assert first.miss <= 0.01
    forward = sums_of(
        throw(washed_first=True, draw_in="1 %", square=written["square"], grid={"across": across, "down": down})
    )
    assert forward["washed_width"] == pytest.approx(first.width)
    assert forward["washed_height"] == pytest.approx(first.height)


def test_the_cloth_is_washed_and_dried_before_it_is_pressed():
    """Two steps, each with its wait and the filter's caution, then the iron; no such step for unwashed cloth."""
    steps = washed().steps
    assert [step.key for step in steps[:3]] == ["cut/wash", "cut/dry", "cut/press"]
    assert all(step.station == "washer" and step.waits_s and "lint" in step.cautions for step in steps[:2])
    assert "bleed" in steps[0].cautions
    assert not any(step.key in {"cut/wash", "cut/dry"} for step in plan().steps)


def said(made, key):
    return render_step(made, next(step for step in made.steps if step.key.startswith(key)))


def test_the_words_say_how_the_cloth_is_to_be():
    """The cut step tells the width that washing leaves, 41.71 in; nothing tells washed cloth to be left unwashed."""
    made = washed()
    assert "Washed: ≈ 41 11/16 in between selvedges." in said(made, "cut/pieces:leaf")["do"].replace("\u00a0", " ")
    assert "unwashed" not in " ".join(said(made, "cut/press").values()).lower()
    assert "This plan reckons with unwashed cloth." in said(plan(), "cut/press")["do"]
    assert "Washed:" not in said(plan(), "cut/pieces:leaf")["do"]
    from_hand = prints(on_hand=[{"width": "40 in", "length": "40 in"}])
    assert "Washed:" not in said(washed(prints=from_hand), "cut/pieces:leaf")["do"]


def test_wadding_is_nowhere_called_washed():
    """It is not washed first: neither its step nor its cutting order says so, in either tongue."""
    for words in ("british", "american"):
        made = washed(words=words)
        assert "ashed" not in " ".join(said(made, "cut/pieces:wadding").values())
        order = "\n".join(cutting_lines(made))
        assert order.count(", washed:") == order.count("before washing") == len(made.project.prints)
    assert "wadding, from the bolt: 90 in wide" in "\n".join(cutting_lines(washed()))


def warned(made, name):
    return [one.text for one in made.warnings if one.name == name]


def test_cloth_whose_shrinkage_nobody_wrote_is_named():
    """Only what is bought, and only the way that is lacking; a swatch that did not change is an answer too."""
    (both,) = warned(washed(prints=prints(None)), "washed_first")
    assert both.startswith("leaf, dot: nothing says what washing takes in length and width")
    assert "measure a washed swatch and write shrinks, or buy more" in both
    (one,) = warned(washed(prints=prints({"length": "4 %"})), "washed_first")
    assert "in width, so the strips are planned over the width as sold" in one
    swatch = {"before": "40 cm", "after_length": "40 cm", "after_width": "40 cm"}
    assert warned(washed(prints=prints(None, swatch=swatch)), "washed_first") == []
    on_hand = prints(None, on_hand=[{"width": "40 in", "length": "40 in"}])
    assert warned(washed(prints=on_hand), "washed_first") == []
    assert warned(plan(prints=prints(None)), "washed_first") == []


def test_unlike_cloths_are_told_to_be_washed_first_until_they_are():
    """5 % beside nothing puckers when they are washed together, sewn [practice]; washed before, they cannot."""
    cloth = [{"name": "leaf", "width": "44 in", "shrinks": {"length": "5 %"}}, {"name": "dot", "width": "44 in"}]
    (told,) = warned(plan(prints=cloth), "shrink_length")
    assert "write washed_first: true" in told
    assert warned(washed(prints=cloth), "shrink_length") == []


def test_what_one_washed_project_leaves_the_next_cuts_from():
    """20 squares of 6 in leave a strip's rest of 29.71 by 6 in, four more squares; and lengths are added, then rounded.

    Two alike: the second's 16 others are 3 strips, 19 in: 25 + 19 = 44 in of washed cloth, 45.83 off the bolt,
    11 eighths of a yard [identity].
    """
    first = washed()
    second = make_plan(share_shelf(read(throw(washed_first=True)), [first]), shipped())
    (rest,) = [r for r in leaf(first).left_over if r.height_mm == pytest.approx(6 * IN)]
    assert rest.width_mm == pytest.approx((41.71 - 12) * IN)
    assert {(one.bought, len(one.placements)) for one in leaf(second).cloths} == {(False, 4), (True, 16)}
    line = next(line for line in shopping_of([first, second]) if line.item == "leaf")
    assert (line.quantity, line.unit) == ("1.375", "yd")


def test_a_cloth_that_grew_in_its_wash_is_believed():
    """0.5 % longer and wider [identity]: 26 in to cut come of 25.87 in; never less than needed once washed."""
    bolt = Bolt(44 * IN, IN / 2, -0.005, -0.005)
    made = cut("leaf", [Part("square", "leaf", 6 * IN, 6 * IN, 28)], bolt, [Remnant(IN, IN)], straighten_mm=2 * IN)
    assert made.use_mm == pytest.approx(26 * IN)
    assert made.buy_mm == pytest.approx(6 * EIGHTH)
    assert bolt.sold(26 * IN) == pytest.approx(26 / 1.005 * IN)
