"""What cutting plans are held to: a judge of the plan itself, published and counted values, first-fit shelves."""

import os
import random
import re
from math import ceil, floor
from types import SimpleNamespace

import pytest

from guide.plan.cutting.count import cutting_order, runs, then
from guide.plan.cutting.cut import _promising, _some, _Stock, cut, shelves, shortest_from_bolt
from guide.plan.cutting.strips import Bolt, CannotCut, Kind, Strip, StripMaker, _sizes, length_of
from guide.plan.model import Part
from guide.read.model import Remnant
from guide.show.cutting_lines import _patch, sketch
from tests.plan.cutting_check import faults, separable

IN = 25.4
FULL = os.environ.get("FRAYWORK_FULL") == "1"


def squares(size_in, count, name="square"):
    return Part(name, "moss check", size_in * IN, size_in * IN, count)


def random_parts(rng, step):
    kinds = rng.randint(1, 5)
    return [
        Part(
            f"part {n}",
            "moss check",
            rng.randint(8, 40) * step,
            rng.randint(8, 40) * step,
            rng.randint(1, 7),
            rng.random() < 0.4,
        )
        for n in range(kinds)
    ]


@pytest.mark.parametrize("seed", range(2000) if FULL else [*range(60), 707])
def test_a_random_plan_can_be_cut_as_it_stands(seed):
    """Inside the cloth, apart, separable, counts, direction and selvedges right, from bolts and pieces on hand."""
    rng = random.Random(seed)
    step = rng.choice([IN / 4, 5.0, IN / 3])
    parts = random_parts(rng, step)
    bolt = Bolt(rng.randint(42, 60) * step + 2 * step, rng.choice([0.0, step / 2, step]))
    remnants = [
        Remnant(rng.randint(10, 60) * step, rng.randint(10, 60) * step, rng.randint(1, 3))
        for _ in range(rng.randint(0, 3))
    ]
    straighten = rng.choice([0.0, step])
    done = cut("moss check", parts, bolt, remnants, straighten_mm=straighten, buy_step_mm=114.3, effort=100)
    assert faults(done, parts, bolt, remnants, straighten) == []
    assert 0 <= done.buy_mm - done.use_mm < 114.3 + 1e-6
    assert done.bound_mm <= done.use_mm * (1 + 1e-9)


class Height(int):
    """A height that counts how often one is added to another."""

    added = 0

    def __add__(self, other):
        Height.added += 1
        return Height(int(self) + int(other))


@pytest.mark.parametrize("kinds", [2, 12, 40, 160])
def test_sizes_of_many_unlike_parts_are_chosen_without_every_sum(kinds):
    """All sums of three of 160 parts' heights would be 32 million a strip; what is tried is at most 60. [identity]"""
    maker = StripMaker([Kind(500 + 13 * at, 600 + 17 * at, fixed=False) for at in range(kinds)], 11_000)
    maker.ways = [way._replace(height=Height(way.height)) for way in maker.ways]
    Height.added = 0
    sizes = _sizes(maker, [20] * kinds, 0, 40_000, 16_500)
    assert 0 < len(sizes) <= 60
    assert Height.added <= 20_000


def maker_of(*heights):
    return SimpleNamespace(ways=[SimpleNamespace(height=height, kind=kind) for kind, height in enumerate(heights)])


def test_a_strip_is_as_high_as_one_two_or_three_parts_up_to_the_sum_allowed():
    """Parts of 30 and 50, sums up to 80: 30 + 30 and 30 + 50 are tried, 50 + 50 and 30 + 30 + 30 are not [identity]."""
    assert _sizes(maker_of(30, 50), [1, 1], 0, 100, 80) == [30, 50, 60, 80]
    assert _sizes(maker_of(30, 50), [1, 1], 0, 100, 90) == [30, 50, 60, 80, 90]
    assert _sizes(maker_of(30, 50), [1, 0], 0, 100, 90) == [30, 60, 90]
    assert _sizes(maker_of(30, 50), [1, 1], 50, 60, 90) == [50, 60]


@pytest.mark.parametrize(("pairs", "thrice"), [(400, True), (401, False)])
def test_a_third_part_is_added_to_four_hundred_pairs_at_most(pairs, thrice):
    """28 heights of which all sums of two differ; the sum allowed lets just so many in. Three of the least: 30,003."""
    heights = [10_000 * i + i * i for i in range(1, 29)]
    sums = sorted({one + other for one in heights for other in heights})
    assert len(sums) == 28 * 29 // 2  # none alike
    got = _sizes(maker_of(*heights), [1] * 28, 30_003, 30_003, sums[pairs - 1])
    assert (got == [30_003]) == thrice


def test_very_many_unlike_parts_are_cut_as_few_are():
    """Parts of 60 sizes (160 in full), 20 of each: every one lies on the cloth, none over another."""
    parts = [Part(f"part {at}", "leaf", 50 + 1.37 * at, 60 + 1.91 * at, 20) for at in range(160 if FULL else 60)]
    bolt = Bolt(1117.6, 12.7)
    done = cut("leaf", parts, bolt, [], effort=1)
    assert faults(done, parts, bolt, []) == []


def test_the_judge_sees_a_pinwheel():
    """Five rectangles round a middle are the classic set that no edge-to-edge cut can start on. [identity]"""
    assert not separable([(0, 0, 2, 1), (2, 0, 3, 2), (1, 2, 3, 3), (0, 1, 1, 3), (1, 1, 2, 2)])
    assert separable([(0, 0, 2, 1), (0, 1, 2, 3), (2, 0, 3, 3)])


@pytest.mark.parametrize(("size", "count", "usable", "inches", "eighths"), [(11, 48, 42, 176, 40), (8, 30, 42, 48, 11)])
def test_squares_come_to_the_lengths_counted_by_hand(size, count, usable, inches, eighths):
    """48 of 11 in, 3 to a strip of 42 in: 5 yd; 30 of 8 in, 5 to one: 1 3/8 yd, in steps of 1/8 yd. [identity]"""
    done = cut("moss check", [squares(size, count)], Bolt(usable * IN), [])
    assert done.use_mm == pytest.approx(inches * IN)
    assert done.buy_mm == pytest.approx(eighths * 114.3)


@pytest.mark.parametrize(
    ("size", "width", "length", "count"), [(6, 44, 36, 42), (6, 40, 36, 36), (5, 42, 36, 56), (9, 44, 36, 16)]
)
def test_a_piece_gives_as_many_squares_as_its_grid_holds(size, width, length, count):
    """floor(width/s) by floor(length/s), and not one more. [identity]"""
    piece = [Remnant(width * IN, length * IN)]
    done = cut("moss check", [squares(size, count)], None, piece)
    assert faults(done, [squares(size, count)], None, piece) == []
    with pytest.raises(CannotCut, match=f"gives {count} of {count + 1} square"):
        cut("moss check", [squares(size, count + 1)], None, piece)


def test_the_parts_of_a_published_best_piece_are_cut_from_it():
    """None turned: worth 244, the most 15 by 10 gives. [source] Christofides & Whitlock, Oper. Res. 25 (1977) 30-44."""
    best = [(8, 4, 2, 66), (3, 7, 1, 35), (8, 2, 1, 24), (3, 4, 2, 17), (3, 3, 1, 11), (3, 2, 1, 8)]
    assert sum(copies * worth for _, _, copies, worth in best) == 244
    parts = [Part(f"{w} by {h}", "moss check", w * IN, h * IN, copies, one_way=True) for w, h, copies, _ in best]
    piece = [Remnant(15 * IN, 10 * IN)]
    assert faults(cut("moss check", parts, None, piece), parts, None, piece) == []


@pytest.mark.parametrize("seed", range(300 if FULL else 40))
def test_squares_of_one_size_take_the_fewest_strips(seed):
    """ceil(n / floor(usable / s)) strips: no plan has fewer. [identity]"""
    rng = random.Random(seed)
    size, usable, count = rng.randint(20, 300), rng.randint(300, 1500), rng.randint(1, 90)
    done = cut(
        "moss check", [Part("square", "moss check", size, size, count)], Bolt(usable + 20, 10), [], buy_step_mm=100
    )
    strips = ceil(count / floor(usable / size))
    assert len(cutting_order(done)) == strips
    assert done.use_mm == pytest.approx(strips * size)
    assert done.ruler_settings == 1


def test_a_length_that_fits_exactly_fits():
    """Three thirds of an inch make an inch, whatever floats say. [identity]"""
    done = cut("moss check", [squares(1 / 3, 9)], Bolt(IN), [])
    assert done.use_mm == pytest.approx(IN)


def test_pieces_on_hand_are_cut_before_cloth_is_bought():
    """A piece that gives everything leaves nothing to buy; the smaller of two that do is touched. [identity]"""
    done = cut("moss check", [squares(5, 4)], Bolt(44 * IN), [Remnant(22 * IN, 18 * IN), Remnant(10 * IN, 10 * IN)])
    assert (done.use_mm, done.buy_mm, done.bound_mm) == (0, 0, 0)
    assert [(cloth.width_mm, cloth.length_mm) for cloth in done.cloths] == [(10 * IN, 10 * IN)]


def test_stacked_strips_are_counted_once():
    """Four strips of five squares, no waste at the end: 4 strips, 4 sub-cuts in one stack of 4. [identity]"""
    done = cut("moss check", [squares(6, 20)], Bolt(30 * IN), [])
    assert done.cuts == 4 + 4


def test_runs_of_strips_add_up_to_the_parts():
    """One run of alike strips, a short last strip among them. [identity]"""
    (cloth,) = cut("moss check", [squares(5, 25)], Bolt(44 * IN, IN / 2), []).cloths
    (run,) = runs(cloth)
    assert (len(run), sum(len(strip.lying) for strip in run)) == (4, 25)
    assert run[0].setting == pytest.approx(127)
    assert then(run[0]) == ()


@pytest.mark.parametrize(
    ("width", "length", "along"), [(22, 18, False), (18, 22, False), (13, 40, True), (6, 60, True)]
)
def test_squares_from_a_piece_on_hand_take_one_ruler_setting(width, length, along):
    """Strips as wide as the square, never one deep strip to be cut again: one setting for everything. [practice]"""
    piece = [Remnant(width * IN, length * IN)]
    count = (width // 6) * (length // 6)
    done = cut("oat stripe", [squares(6, count)], None, piece)
    assert faults(done, [squares(6, count)], None, piece) == []
    assert done.ruler_settings == 1
    rows = cutting_order(done)
    assert {(round(row["ruler_mm"] / IN, 6), *row["then_mm"]) for row in rows} == {(6,)}
    assert {row["along"] for row in rows} == {along}


def test_the_settings_that_divide_a_strip_are_said():
    """A 9 in strip of two 14 in backs and a 5 in square: cut across at 9, then 14, then 5. [identity]"""
    parts = [
        Part("back", "moss check", 14 * IN, 9 * IN, 2, one_way=True),
        Part("square", "moss check", 5 * IN, 5 * IN, 1),
    ]
    (row,) = cutting_order(cut("moss check", parts, Bolt(44 * IN), []))
    assert round(row["ruler_mm"] / IN, 6) == 9
    assert [round(mm / IN, 6) for mm in row["then_mm"]] == [14, 5]


def test_the_cutting_order_names_ruler_and_parts():
    """Strip by strip, what the ruler is set to and what comes from it. [identity]"""
    order = cutting_order(cut("moss check", [squares(5, 9)], Bolt(44 * IN, IN / 2), []))
    assert [(row["strip"], row["ruler_mm"], row["cut"][0]["count"]) for row in order] == [
        (1, pytest.approx(127), 8), (2, pytest.approx(127), 1)
    ]  # fmt: skip


def test_left_overs_still_hold_a_part():
    """One square of 5 in from an 11 in by 5 in piece leaves 6 by 5 in; the same less 2 in leaves nothing. [identity]"""
    left = cut("moss check", [squares(5, 1)], None, [Remnant(11 * IN, 5 * IN)]).left_over
    assert [(rest.width_mm, rest.height_mm) for rest in left] == [(pytest.approx(6 * IN), pytest.approx(5 * IN))]
    assert cut("moss check", [squares(5, 1)], None, [Remnant(9 * IN, 5 * IN)]).left_over == ()


@pytest.mark.parametrize(
    ("parts", "bolt", "remnants", "says"),
    [
        ([squares(50, 1)], Bolt(44 * IN), [], "moss check is too narrow: square is 50 in wide"),
        (
            [squares(50, 2)],
            Bolt(44 * IN),
            [Remnant(51 * IN, 51 * IN)],
            "moss check is too narrow: square is 50 in wide",
        ),
        ([squares(20, 1)], None, [Remnant(18 * IN, 22 * IN)], "square is larger than any piece of moss check on hand"),
        ([squares(5, 30)], None, [Remnant(18 * IN, 22 * IN)], "gives 12 of 30 square"),
        ([squares(5, 1)], None, [], "there is no moss check to cut square from"),
    ],
)
def test_what_cannot_be_cut_is_refused_with_figures_and_a_way_out(parts, bolt, remnants, says):
    """Exit 2, the reason in the maker's units, what would make it possible."""
    with pytest.raises(CannotCut, match=says) as refused:
        cut("moss check", parts, bolt, remnants)
    assert refused.value.exit_code == 2
    assert "needs" in str(refused.value) or "Give" in str(refused.value)


def test_nothing_to_cut_is_an_empty_plan():
    """No parts, no cloth. [identity]"""
    done = cut("moss check", [squares(5, 0)], Bolt(44 * IN), [])
    assert (done.cloths, done.use_mm, done.buy_mm, done.cuts) == ((), 0, 0, 0)


def test_strips_to_cut_again_are_drawn_once_each():
    """Eight full strips and one wasteful: as many draws as strips taken, however unlikely the full ones are. [identity]"""

    class Counting(random.Random):
        drawn = 0

        def choices(self, *args, **more):
            self.drawn += 1
            return super().choices(*args, **more)

    full, wasteful = Strip(10, 100, (1,), ()), Strip(10, 1, (1,), ())
    rng = Counting(3)
    taken = _some(StripMaker([Kind(10, 10, fixed=True)], 10), [*[full] * 8, wasteful], rng)
    assert 2 <= len(taken) == rng.drawn <= 4


def test_the_sketch_gives_no_letter_to_two_parts():
    """The 27th part is AA, and stands as that in the drawing; no line grows by it. [identity]"""
    parts = [squares(4 + at / 8, 1, f"part {at}") for at in range(1, 29)]
    lines = sketch(cut("moss check", parts, Bolt(44 * IN, IN / 2), []), 60)
    named = [line.split(" ", 1) for line in lines if re.fullmatch(r"[A-Z]+ part \d+", line)]
    assert len({sign for sign, _ in named}) == len(named) == 28
    drawn = [line for line in lines if "┊" in line]
    assert any("AA" in line for line in drawn)
    assert {line.index("  ", 42) for line in drawn if " in" in line} == {42}  # the labels stand in one column


@pytest.mark.parametrize("count", [15, 21, 6])
def test_the_sketch_shows_every_square_once(count):
    """Strips of seven: 15 are 7, 7 and 1, drawn as two alike and one apart; squares drawn times strips are all. [identity]"""
    lines = sketch(cut("moss check", [squares(6, count)], Bolt(44 * IN, IN / 2), []), 60)
    bands = re.split(r"┄{5,}\S*", "\n".join(lines))[1:-1]
    shown = 0
    for band in filter(str.strip, bands):
        first, last = re.search(r"(\d+)(?:-(\d+))?  6 in", band).groups()
        shown += band.count("A") * (int(last or first) - int(first) + 1)
    assert shown == count


def test_parts_of_unlike_sizes_that_may_not_be_turned_are_searched_for_too():
    """A part of 60 × 60 and two of 40 × 30, not to be turned, in a width of 100: side by side, 60 long.

    First-fit puts one of the two beside the large one and the other on a shelf of its own: 90.
    """
    kinds = [Kind(60, 60, fixed=True), Kind(40, 30, fixed=True)]
    assert length_of(shelves(kinds, [1, 2], 100, None)) == 90
    assert length_of(shortest_from_bolt(kinds, [1, 2], 100, effort=50)) == 60


def test_a_parts_sign_stands_in_the_middle_of_its_patch():
    """The second to fifth line of six, nine wide: the sign in the third, from the fifth place on, and no line beside."""
    canvas = [["."] * 9 for _ in range(6)]
    _patch(canvas, "A", range(9), range(1, 5))
    patch = ["┊        ", "┊   A    ", "┊        ", "┊        "]
    assert ["".join(line) for line in canvas] == ["." * 9, *patch, "." * 9]


def test_a_sign_of_two_letters_stays_on_the_cloth():
    """A patch two wide at the edge of five: its middle would be the last place, so the sign begins one before. [identity]"""
    canvas = [["."] * 5 for _ in range(2)]
    _patch(canvas, "AB", range(3, 5), range(2))
    assert ["".join(line) for line in canvas] == ["...AB", "...┊ "]


def test_the_piece_of_which_most_becomes_parts_is_looked_at_first():
    """One square of 10: all of a piece of 10 by 10, a hundredth of one of 100 by 100. [identity]"""
    small, large = _Stock(10, 10, 0), _Stock(100, 100, 0)
    assert _promising([Kind(10, 10, fixed=True)], [1], [large, small]) == [small, large]
