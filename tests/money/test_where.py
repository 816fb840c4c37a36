"""Where the hours go, what a pace rests on, and whether makings were inside their forecasts: by hand."""

from decimal import Decimal

import pytest

from guide.money.evidence import Paid, audit, audit_says, evidence, spent, worth_timing
from guide.money.forecast import forecast
from guide.money.glean import glean
from guide.money.paces import learn
from guide.money.stats import normal_quantile
from tests.money.hand import lap, plan, record, step

D = Decimal
CROSS = step("quilt/cross", 4, 60.0, title="Sew the cross", effort=0.5, effort_noun="m")
ROWS = step("join/rows", 2, 120.0, title="Sew the rows")
SHOP = plan(CROSS, ROWS)


def paid(*laps, session=0, an_hour="36", currency="EUR"):
    return [Paid(row, D(an_hour), currency) for row in glean(record(*laps, session=session), SHOP.steps)]


def test_the_parts_of_a_steps_labour_sum_to_it():
    """[identity] Laps 100 (the first), 50, 60, 90, the last with 30 s of trouble in it: pieces 50, 60, 60, so 60 is the
    middle. Setting up 100 − 60, scatter 0, trouble 30; 300 in all, at the pace 230. 300 s at 36.00 an hour are 3.00.
    """
    laps = [
        lap("quilt/cross", 100, first=True), lap("quilt/cross", 50), lap("quilt/cross", 60),
        lap("quilt/cross", 90, trouble_s=30),
    ]  # fmt: skip
    (one,) = spent(paid(*laps))
    assert (one.labour_s, one.setting_up_s, one.scatter_s, one.trouble_s, one.at_pace_s) == (300, 40, 0, 30, 230)
    assert one.money == {"EUR": D("3")}
    assert one.tenth == {"EUR": D("0.3")}


def test_slower_pieces_than_the_middle_one_are_scatter():
    """[identity] 40, 50, 80: the middle is 50, and 30 are over it."""
    (one,) = spent(paid(*(lap("quilt/cross", seconds) for seconds in (40, 50, 80))))
    assert (one.scatter_s, one.at_pace_s) == (30, 140)


def test_a_year_is_365_days_with_the_newest_in_it_and_the_most_hours_come_first():
    """A session a year before is out, the day after it is in; money stays apart by currency. [identity]"""
    rows = [
        *paid(lap("quilt/cross", 999, day=0)),
        *paid(lap("quilt/cross", 100, day=1), session=1, currency="GBP"),
        *paid(lap("quilt/cross", 100, day=365), lap("join/rows", 500, day=365), session=365),
    ]
    first, second = spent(rows)
    assert (first.base, first.labour_s) == ("join/rows", 500)
    assert (second.labour_s, second.money) == (200, {"GBP": D(1), "EUR": D(1)})


def test_what_is_worth_timing_is_the_step_whose_guess_weighs_most():
    """Two steps alike but for their time: the longer one. One never timed beats one timed often, at the same time.

    The gain is that of a normal mean one reading surer [identity]: half − z·√(half² / z² − time²·(v − 1 / (1/v + 1/w))).
    """
    long, short = step("a/long", 1, 600.0), step("a/short", 1, 300.0)
    bare = plan(long, short)
    paces = learn([])
    first, second = worth_timing(bare, paces, forecast(bare, paces), D(36), 2)
    assert (first.base, second.base) == ("a/long", "a/short")
    assert first.narrows_s > second.narrows_s > 0
    half = (forecast(bare, paces).hands_on.high - forecast(bare, paces).hands_on.low) / 2
    z, v = normal_quantile(0.9), 0.12**2 + 0.10**2 + 0.25**2  # one piece: the day, the step's day, the piece
    w = 0.12**2 + 0.10**2 + 0.25**2
    gain = half - z * (half**2 / z**2 - 300**2 * (v - 1 / (1 / v + 1 / w))) ** 0.5
    assert second.narrows_s == pytest.approx(gain)
    assert second.narrows == pytest.approx(D(gain) / 100, rel=D("1e-9"))  # 36.00 an hour is a cent a second
    twin = step("a/twin", 1, 300.0)
    timed = [one for day in range(8) for one in glean(record(lap("a/twin", 300, day=day), session=day), [twin])]
    both = plan(short, twin)
    paces = learn(timed)
    assert worth_timing(both, paces, forecast(both, paces), D(0), 1)[0].base == "a/short"


def three(seconds=(60, 66, 54)):
    return [
        row
        for day, each in enumerate(seconds)
        for row in glean(
            record(lap("quilt/cross", 2 * each, first=True, day=day), lap("quilt/cross", 3 * each, 3, day=day), session=day),
            SHOP.steps,
        )
    ]  # fmt: skip


def test_a_pace_tells_its_sessions_their_sizes_and_how_far_it_leans_on_the_starter():
    """[identity] Pieces at 60, 66, 54 s of half a metre; first pieces twice that; shares sum to one."""
    found = evidence(three(), "quilt/cross")
    assert [(one.own_s, one.first_s, one.pieces, one.effort, one.noun) for one in found.readings] == [
        (60, 120, 4, 0.5, "m"), (66, 132, 4, 0.5, "m"), (54, 108, 4, 0.5, "m"),
    ]  # fmt: skip
    pace = found.pace
    assert pace == learn(three()).steps["quilt/cross"]
    own, starter = pace.own_s, 60.0 * found.tempo
    assert pace.usual_s == pytest.approx(own ** (1 - pace.starter_share) * starter**pace.starter_share)
    assert evidence(three(), "join/rows") is None
    assert found.out == ()


def test_a_lap_left_out_is_named_with_the_pace_it_is_left_out_of():
    """A timer that ran for twenty times the usual."""
    rows = [*three(), *glean(record(lap("quilt/cross", 1300, day=5), session=5), SHOP.steps)]
    found = evidence(rows, "quilt/cross")
    assert len(found.readings) == 3
    (flag,) = found.out
    assert flag.pace_s == 1300


def made(seconds, day):
    return record(lap("quilt/cross", 4 * seconds, 4, day=day), lap("join/rows", 240, 2, day=day), session=day)


def test_each_making_is_held_against_what_was_said_before_it():
    """Five alike, then one at three times the time: what came after a forecast is not in it; the odd one is outside."""
    told = audit((made(seconds, day), SHOP) for day, seconds in enumerate((60, 60, 60, 60, 60, 180)))
    assert [one.sessions for one in told] == [0, 1, 2, 3, 4, 5]
    assert [one.within for one in told] == [True] * 5 + [False]
    assert told[0].forecast == forecast(SHOP, learn([])).hands_on
    assert told[-1].actual_s == 4 * 180 + 240
    assert audit_says(told) == "5 of 6 makings inside their 80 %"
    assert [one.sessions for one in audit(((made(60, day), SHOP) for day in range(5)), newest=2)] == [3, 4]


def test_ranges_widen_where_makings_fell_outside_them():
    """Days at twice and half the pace in turn leave what was said; what is said next is wider than of even days."""
    widths, inside = [], []
    for slower in (1.0, 2.0):
        made_so = [made(60 * slower ** (1 if day % 2 else -1), day) for day in range(8)]
        told = audit((one, SHOP) for one in made_so)
        inside.append(sum(one.within for one in told))
        span = forecast(SHOP, learn([row for one in made_so for row in glean(one, SHOP.steps)])).hands_on
        widths.append((span.high - span.low) / span.likely)
    assert inside[1] < inside[0]
    assert widths[1] > 1.2 * widths[0]


def test_only_finished_real_makings_and_only_their_finished_steps_are_held():
    """A rehearsal and an open session are not; a step that was skipped is in neither figure. [identity]"""
    half = record(lap("quilt/cross", 240, 4), session=0)
    (one,) = audit([(half, SHOP)])
    assert one.actual_s == 240
    assert one.forecast == forecast(plan(CROSS), learn([])).hands_on
    assert audit([(record(lap("quilt/cross", 240, 4), mode="rehearsal"), SHOP)]) == []
    assert audit([(record(lap("quilt/cross", 240, 4), state="open"), SHOP)]) == []
    assert audit([(half, None)]) == []
