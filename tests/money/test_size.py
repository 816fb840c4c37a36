"""Handling and effort: how a pace carries to other sizes; a change of tempo; trouble as a rate. All by hand."""

import math
from pathlib import Path

import pytest
from msgspec.structs import replace

from guide.money import stats
from guide.money.days import Obs, Tilt, _levelled, changed, fit_days, tilt_of
from guide.money.forecast import forecast, forecast_steps
from guide.money.glean import glean
from guide.money.model import Seen, Timed
from guide.money.paces import NONE, by_newest_text, learn, pace_of, size_var, trouble_of
from guide.plan.make import make_plan
from guide.read.places import open_project
from tests.money.hand import lap, plan, record, step

DEMO = Path(__file__).parent.parent.parent / "sessions" / "window-seat-cushion"


def planned(*changes):
    """The demo's steps by key, with some of its keys changed."""
    here = open_project(DEMO, {}, changes)
    return {one.key: one for one in make_plan(here.project, here.language).steps}


def cross(size, *, handling=24.0, per_size=36.0, pieces=9):
    """A step of so much handling, and so much for an effort of 1, at a size."""
    by_effort = per_size * size
    return step(
        "quilt/cross", pieces, handling + by_effort, effort=size, effort_noun="m", effort_s=by_effort
    )  # fmt: skip


def sessions(truth, sizes, first=0):
    """One session a size, every piece the same time."""
    return [
        row
        for day, size in enumerate(sizes, first)
        for row in glean(
            record(*(lap("quilt/cross", truth(size), day=day) for _ in range(9)), session=day), [cross(size)]
        )
    ]


def test_at_one_size_nothing_is_learnt_of_the_split_and_other_sizes_are_less_sure():
    """Twice the starter at its own size is taken to be twice both parts; what is not known is in the variance.

    At size 1 36 of 60 s go with the effort, at size 2 72 of 96: 0.15 more, so 0.15² of the prior's variance. [identity]
    """
    mine = learn(sessions(lambda size: 120.0, [1.0] * 12))
    pace = mine.steps["quilt/cross"]
    assert (pace.share, pace.tilt) == (pytest.approx(0.6), pytest.approx(0))
    assert pace.tilt_var == pytest.approx(stats.TILT_VAR)
    here, there = cross(1.0), cross(2.0)
    assert pace_of(mine, there)[0] / pace_of(mine, here)[0] == pytest.approx(96 / 60)
    assert size_var(pace, here) == pytest.approx(0)
    assert size_var(pace, there) == pytest.approx(0.15**2 * stats.TILT_VAR)
    assert pace.handling_s + pace.rate_s == pytest.approx(pace.usual_s)
    assert pace.handling_s / pace.usual_s == pytest.approx(0.4)


def test_two_sizes_teach_the_split():
    """A maker of 60 s handling and 30 s for size 1: the starter has 24 and 36. From sizes ½ and 2, in turn, size 1."""

    def truth(size):
        return 60.0 + 30.0 * size

    mine = learn(sessions(truth, [0.5, 2.0] * 20))
    assert pace_of(mine, cross(1.0))[0] == pytest.approx(truth(1.0), rel=0.03)
    pace = mine.steps["quilt/cross"]
    assert pace.tilt < 0  # quicker at the effort than at the handling, beside the starter
    assert pace.handling_s == pytest.approx(60, rel=0.1)
    assert pace.rate_s == pytest.approx(30, rel=0.1)
    assert size_var(pace, cross(2.0)) < 0.15**2 * stats.TILT_VAR / 4
    flat = learn([replace(row, share=None) for row in sessions(truth, [0.5, 2.0] * 20)])
    assert abs(pace_of(flat, cross(2.0))[0] / truth(2.0) - 1) > 0.1  # without the split it would be missed


def test_a_tilt_is_the_shrunk_slope_through_its_readings():
    """Shares 0.4 and 0.8, distances −0.1 and 0.1, one piece each, no days: slope Σ = 0.04, Σ² = 0.08. [identity]

    In variances of one piece v: precision 1/0.49 + 0.08/v, slope 0.04/v over that.
    """
    v = stats.ONE_PIECE_VAR
    mine = [Obs(0, 1.0, -0.1, 1, v, 1.0, 60.0, 0.4), Obs(1, 2.0, 0.1, 1, v, 1.0, 60.0, 0.8)]
    told = tilt_of(mine, 0.0, {0: 0.0, 1: 0.0})
    assert told.share == pytest.approx(0.6)
    assert told.var == pytest.approx(1 / (1 / 0.49 + 0.08 / v))
    assert told.slope == pytest.approx(0.04 / v * told.var)
    assert tilt_of([replace(one, share=None) for one in mine], 0.0, {0: 0.0, 1: 0.0}) is None


def test_times_of_other_sizes_are_brought_to_the_middle_one():
    """Half a logarithm for all of the effort: at shares 0.4 and 0.8 about 0.6, a tenth more and a tenth less. [identity]"""
    small, large = (Obs(0, 1.0, 0.3, 1, 0.01, 1.0, 60.0, share) for share in (0.4, 0.8))
    plain = Obs(0, 1.0, 0.3, 1, 0.01, 1.0, 60.0)
    level = _levelled([small, large, plain], Tilt(0.6, 0.5, 0.01))
    assert [one.y for one in level] == pytest.approx([0.4, 0.2, 0.3])
    assert _levelled([small], Tilt(0.6, 0.0, 0.49)) == _levelled([small], None) == [small]


def test_a_size_is_no_bad_day():
    """Small and large in turn, each step slow at the large by its tilt: no day ran outside what the others said."""
    shares = [0.4, 0.8] * 7
    told = fit_days(
        {
            f"a/{n}": [Obs(d, d + 1.0, 1.2 * (w - 0.6), 9, 0.01, 2.0, 540.0, w) for d, w in enumerate(shares)]
            for n in range(12)
        },
        15.0,
    )
    assert told.held == (13, 13)
    assert 0.6 < told.tilts["a/0"].slope < 1.2  # drawn to none, and part of it left to the days


def test_texts_that_do_not_say_what_goes_with_the_effort_teach_no_split():
    """Sessions of before carry over as they did: in proportion to the starter, and no less sure."""
    old = step("quilt/cross", 9, 60.0, effort=1.0, effort_noun="m")
    mine = learn([row for day in range(3) for row in glean(record(*(lap("quilt/cross", 90.0, day=day) for _ in range(9)), session=day), [old])])  # fmt: skip
    pace = mine.steps["quilt/cross"]
    assert (pace.share, pace.handling_s, pace.rate_s) == (None, None, None)
    assert size_var(pace, cross(2.0)) == 0
    assert pace_of(mine, cross(2.0))[0] == pytest.approx(96 * math.exp(pace.log_ratio))


def test_the_starters_split_keeps_the_demos_times_and_goes_with_the_size():
    """A cross of 6 in squares stays 60 s; of 3 in squares its lines are 2/5: 24 + 36 · 2/5. [identity]

    So do 40 s for a row's seam of 5 1/4 in: of 9 in squares it is 8 1/4 in long.
    """
    demo = planned()
    assert demo["quilt/cross"].pace_s == pytest.approx(60)
    assert demo["quilt/cross"].effort_s == pytest.approx(36)
    assert demo["join/rows"].pace_s == pytest.approx(40)
    small = planned("square=3in")
    assert small["quilt/cross"].pace_s == pytest.approx(24 + 36 * 2 / 5)
    large = planned("square=9in")
    assert large["join/rows"].pace_s == pytest.approx(24 + 16 * 8.25 / 5.25)


def test_three_quiet_days_before_one_quick_one_are_weighed_by_bayes():
    """Runs 0, 0, 0 and −0.3, each known to v/4 of a day's variance v = 0.0144; no scatter but that.

    [identity] Freedom 4 + 2, so a day's variance is 4/6 v. One day back: before (2/3 + 1/4) v / 3, after (2/3 + 1/4) v;
    together w = 11/9 v. Gain g = 0.0625 / (0.0625 + w). By Gönen's factor, t² = 0.09 / w, 1 + nσ² = 1 / (1 − g), it is
    ((1 + t²/6) / (1 + t² (1 − g) / 6))^(7/2) · √(1 − g) at odds 0.02. Two days back: the parts 0, 0 and 0, −0.3
    scatter about their means by 0.045 less v/4.
    """
    v = 0.0144
    runs = {0: (0.0, v / 4), 1: (0.0, v / 4), 2: (0.0, v / 4), 3: (-0.3, v / 4)}
    levels, var = changed(runs)

    def odds(day_var, before, after, size):
        w = (day_var + v / 4) * (1 / before + 1 / after)
        g = 0.0625 / (0.0625 + w)
        t_square = size**2 / w
        factor = ((1 + t_square / 6) / (1 + t_square * (1 - g) / 6)) ** 3.5 * math.sqrt(1 - g)
        return 0.02 * factor, size * g, w * g

    one = odds(4 * v / 6, 3, 1, -0.3)
    two = odds((4 * v + 0.045 - v / 4) / 6, 2, 2, -0.15)
    whole = 1 + one[0] + two[0]
    assert levels[3] == 0
    assert levels[2] == pytest.approx(one[0] * one[1] / whole)
    assert levels[0] == levels[1] == pytest.approx((one[0] * one[1] + two[0] * two[1]) / whole)
    middle = (one[0] * one[1] + two[0] * two[1]) / whole
    square = sum(w * (size**2 + own) for w, size, own in (one, two)) / whole
    assert var == pytest.approx(square - middle**2)


def test_two_days_are_too_few_for_a_change():
    """Nothing says which of them is the usual one."""
    assert changed({0: (0.0, 0.001), 1: (-0.3, 0.001)}) == ({0: 0.0, 1: 0.0}, 0.0)


def test_what_was_worked_before_a_change_is_brought_to_the_level_of_after():
    """Of a dozen steps, ten days at 60 s and four at 45: the means go with the four; as many at 60 stay where they are."""

    def days(times):
        return {
            f"a/{step}": [Obs(n, n + 1.0, math.log(t / 60), 9, 0.01, 2.0, 540.0) for n, t in enumerate(times)]
            for step in range(12)
        }

    after = fit_days(days([60.0] * 10 + [45.0] * 4), 15.0)
    assert math.exp(after.means["a/0"]) * 60 == pytest.approx(45, rel=0.03)
    assert not after.curve.sure
    assert "at once" in after.curve.says
    falling = fit_days(days([60 * n**-0.152 for n in range(1, 13)]), 13.0)  # 90 %: 2^−0.152
    assert falling.curve.sure
    steady = fit_days(days([60.0] * 14), 15.0)
    assert math.exp(steady.means["a/0"]) * 60 == pytest.approx(60)


def troubled(hours, troubles=0, each_s=0.0):
    """Rows of an hour's work each, the first with a trouble of so long."""
    return [
        Seen(f"a/{n}", f"a/{n}", "1", "Ada", "", 0, (Timed(3600.0, 60, 1),), 3600.0 + each_s * (n < troubles), 60.0)
        for n in range(hours)
    ]


def test_trouble_comes_as_a_rate_with_a_length():
    """[identity] None in 5 h: one in 10 h of 180 s. Three in 5 h, 600 s in all: four in 10 h of (1080 + 600) / 9 s."""
    assert trouble_of([troubled(5)]).share == pytest.approx(1 / 10 * 180 / 3600)
    assert trouble_of([troubled(5, 3, 200.0)]).share == pytest.approx(4 / 10 * (1680 / 9) / 3600)
    often = trouble_of([troubled(1000, 1000, 120.0)])
    assert often.share == pytest.approx(120 / 3600, rel=0.02)  # the maker's own in the end


def test_first_pieces_are_in_the_forecast_as_a_shrunk_rate():
    """[identity] A first piece of 90 s before nine of 60 s: half a piece more, drawn to none by what its scatter says.

    Nine equal pieces are 8 degrees of freedom: pieces scatter by 10/18 of the guess over all, this step's by
    (6 · 10/18) / 14. So half a piece has the variance q = 0.0625 · (60/18/14) · (1 + 1/9); the maker's is known to
    q + 0.15² beside 0.2² about none, the step's then to q beside 0.15² about the maker's.
    """
    laps = [lap("quilt/cross", 90, first=True), *(lap("quilt/cross", 60) for _ in range(9))]
    shop = [cross(1.0, pieces=10)]
    paces = learn(glean(record(*laps), shop))
    q = 0.0625 * (60 / 18 / 14) * (1 + 1 / 9)
    maker = 0.5 / (q + 0.0225) / (1 / 0.04 + 1 / (q + 0.0225))
    first = (maker / 0.0225 + 0.5 / q) / (1 / 0.0225 + 1 / q)
    assert paces.first == pytest.approx(maker)
    assert paces.steps["quilt/cross"].first == pytest.approx(first)
    assert 0.35 < first < 0.5
    share = 1 / (5 + 630 / 3600) * 180 / 3600
    (told,) = forecast_steps(plan(*shop), paces)
    assert told.hands_on.likely == pytest.approx(60 * (10 + first) * (1 + share))
    begun = record(*laps[:4], state="open")
    (rest,) = forecast(plan(*shop), paces, record=begun).steps
    assert rest.hands_on.likely / rest.pace_s / (1 + share) == pytest.approx(6, rel=0.1)  # it is begun: no first piece
    (one,) = forecast_steps(plan(cross(1.0, pieces=1)), paces)
    assert one.hands_on.likely == pytest.approx(60 * (1 + share))


def test_a_first_piece_counted_with_later_ones_is_told_apart():
    """[identity] Four pieces at once in 300 s, then twelve of 60 s: a piece more than the four were, as sure as they are.

    Thirteen laps, four pieces the first: scatter s as `scattered` finds it, so the variance is s · (4 + 16 / 12). The pace
    has (300 + 720) / 16 s a piece, less the first piece's part: 16 pieces take 16 + first.
    """
    chain = [lap("quilt/cross", 300, 4, first=True), *(lap("quilt/cross", 60) for _ in range(12))]
    shop = [cross(1.0, pieces=16)]
    paces = learn(glean(record(*chain), shop))
    pace = paces.steps["quilt/cross"]
    q = 0.0625 * pace.piece * (4 + 16 / 12)
    maker = 1 / (q + 0.0225) / (1 / 0.04 + 1 / (q + 0.0225))
    assert paces.first == pytest.approx(maker)
    assert pace.first == pytest.approx((maker / 0.0225 + 1 / q) / (1 / 0.0225 + 1 / q))
    assert pace.own_s == pytest.approx(1020 / (16 + pace.first))
    assert pace.pieces == 16
    alone = learn(glean(record(lap("quilt/cross", 300, 4, first=True)), shop)).steps["quilt/cross"]
    assert (alone.first, alone.own_s) == (0, pytest.approx(75))  # nothing tells them apart


def test_a_making_in_chains_carries_over_to_a_smaller_one():
    """Thirty seams a day in one press, 1575 s; elsewhere a first piece takes two and a half. In proportion four are 210 s.

    [identity] One step alone tells the maker's first piece as far as a step's may differ, 0.0225, beside 0.04 about none:
    0.96 of a piece more. Thirty seams are 30.96 pieces then, and four 4.96: 252 s, with the trouble that is believed.
    """
    seam, cut = step("join/rows", 30, 60.0), step("cut/pieces", 9, 60.0)
    rows = []
    for day in range(12):
        laps = [lap(cut.key, 150, first=True, day=day), *(lap(cut.key, 60, day=day) for _ in range(8))]
        laps.append(lap(seam.key, 1575, 30, first=True, day=day))
        rows += glean(record(*laps, session=day), [seam, cut])
    paces = learn(rows)
    assert paces.first == pytest.approx(1.5 * 0.04 / 0.0625, rel=0.01)
    (told,) = forecast_steps(plan(replace(seam, pieces=4)), paces)
    assert told.hands_on.likely / (1 + paces.trouble.share) == pytest.approx(1575 / 30.96 * 4.96, rel=0.01)


def test_sessions_of_before_a_text_told_the_split_are_held_against_the_newest():
    """Old texts took a cross in proportion: 60 s at size 1, 120 at 2. The newest say 24 s handling and 36 a size.

    [identity] A maker at the starter's pace by the newest, whatever the size, of old as of new: 60 and 96 s.
    """

    def made(day, size, step_of):
        laps = [lap("quilt/cross", 24.0 + 36.0 * size, day=day) for _ in range(9)]
        return glean(record(*laps, session=day), [step_of(size)])

    def old(size):
        return step("quilt/cross", 9, 60.0 * size, effort=size, effort_noun="m")

    before = [row for day in range(6) for row in made(day, 1.0 + day % 2, old)]
    assert by_newest_text(before) is before  # nothing says how it splits
    newest = [*before, *made(6, 1.0, cross)]
    held = by_newest_text(newest)
    assert {(row.effort, row.starter_s, row.share) for row in held} == {(1.0, 60.0, 0.6), (2.0, 96.0, 0.75)}
    assert held[-1] is newest[-1]
    mine = learn(newest)
    assert abs(mine.steps["quilt/cross"].tilt) < 1e-9
    assert pace_of(mine, cross(2.0))[0] == pytest.approx(96)
    other = [replace(row, noun="snip") for row in before]
    assert by_newest_text([*other, newest[-1]])[0] == other[0]  # another effort


def test_no_sessions_leave_the_starters_total():
    """What nobody timed is neither trouble nor learning. [identity]"""
    shop = plan(cross(1.0), step("join/rows", 4, 30.0))
    assert math.fsum(one.hands_on.likely for one in forecast_steps(shop, NONE)) == pytest.approx(9 * 60 + 120)
