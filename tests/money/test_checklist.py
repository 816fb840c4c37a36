"""A beginner's days: windows that start as given, never fall, add up, rest, eat and sleep."""

from itertools import pairwise

import pytest
from msgspec.structs import replace

from guide.money.checklist import beginner_factors, checklist_times
from guide.money.forecast import forecast
from guide.money.hours import NIGHT_S, Hours, clock_text
from guide.money.paces import NONE
from tests.money.hand import plan, step

HOURS = Hours()
QUILT = plan(  # invented: a long quilt, some fifteen hours with a beginner's factor of 2
    step("cut/strips", 30, 120.0),
    step("quilt/cross", 48, 120.0),
    step("join/rows", 40, 80.0),
    step("wash/load", 1, 120.0, waits_s=3600.0),
    step("quilt/edge", 1, 16_000.0),
    step("snip/all", 90, 60.0, waits_s=36_000.0, cautions=("hands",)),
    step("wash/measure", 1, 300.0),
)
KINDS = {"long quilt": QUILT, "one step": plan(step("a/b", 5, 300.0)), "one long piece": plan(step("a/b", 1, 40_000.0)),
         "nothing to do": plan(step("a/b", 1, 0.0))}  # fmt: skip


def length(rows, *kinds):
    return sum(row.end_s - row.start_s for row in rows if row.kind in kinds)


@pytest.fixture(params=sorted(KINDS))
def of(request):
    return KINDS[request.param]


@pytest.mark.parametrize("scale", [0.0, 0.5, 1.0, 2.0])
@pytest.mark.parametrize("hours", [HOURS, Hours(day_s=3600.0), Hours(day_s=50_000.0), Hours(meal_s=0.0), Hours(break_s=0.0, work_s=3600.0)])  # fmt: skip
def test_the_windows_start_as_given_never_fall_and_add_up(of, scale, hours):
    """First the start given; in all the forecast with breaks, meals, waits and nights. [identity]"""
    factors = beginner_factors(of, scale)
    rows = checklist_times(of, NONE, "10:00", factors, hours)
    told = forecast(of, NONE, factors=factors)
    steps = [row for row in rows if row.kind == "step"]
    assert (rows[0].start, rows[0].start_s) == ("10:00", 0)
    assert all(a.end_s == b.start_s and a.start_s <= a.end_s for a, b in pairwise(rows))
    assert sum(row.hands_on_s for row in steps) == pytest.approx(told.hands_on.likely)
    rests = length(rows, "break", "meal", "night") + sum(row.inner_breaks_s + row.inner_rests_s for row in steps)
    assert rows[-1].end_s == pytest.approx(told.hands_on.likely + told.waiting_s + rests)
    assert list(dict.fromkeys(row.key for row in steps)) == [one.key for one in of.steps]


@pytest.mark.parametrize("hours", [HOURS, Hours(day_s=3600.0), Hours(day_s=18_000.0)])
def test_nobody_sews_through_the_night(of, hours):
    """Every window of work lies inside its day's hours, and every day begins at the start given."""
    rows = checklist_times(of, NONE, "10:00", beginner_factors(of), hours)
    for row in rows:
        if row.kind == "step":
            at = row.start_s % NIGHT_S if row.start_s % NIGHT_S < NIGHT_S - 1e-3 else 0
            assert at + row.end_s - row.start_s <= hours.day_s + 1e-3
    for before, after in pairwise(rows):
        if before.kind == "night":
            assert (after.start, after.day) == ("10:00", before.day + 1)


def test_a_quilt_of_fifteen_hours_takes_several_days_with_a_meal_on_each_full_one():
    """Six hours a day: at least three days, and a meal about three hours after the start of each long one. [practice]"""
    rows = checklist_times(QUILT, NONE, "10:00", beginner_factors(QUILT))
    assert rows[-1].day >= 3
    meals = [row for row in rows if row.kind == "meal" or row.meal]
    assert [row.day for row in meals] == list(dict.fromkeys(row.day for row in meals))
    assert {1, 2} <= {row.day for row in meals}
    assert all("12:30" <= row.start <= "13:30" for row in meals)


def test_a_step_is_parted_between_two_of_its_pieces():
    """Pieces 1 to k before the rest, k + 1 to the last after it; never a piece torn where it could be whole. [identity]"""
    rows = [
        row for row in checklist_times(QUILT, NONE, "10:00", beginner_factors(QUILT))
        if row.kind == "step" and row.key == "quilt/cross"
    ]  # fmt: skip
    assert len(rows) > 1
    assert rows[0].pieces[0] == 1
    assert rows[-1].pieces[1] == 48
    assert all(b.pieces[0] == a.pieces[1] + 1 for a, b in pairwise(rows))
    assert all(row.hands_on_s == pytest.approx((row.pieces[1] - row.pieces[0] + 1) * 240) for row in rows)
    assert [row.begun for row in rows] == [False] + [True] * (len(rows) - 1)
    assert [row.finished for row in rows] == [False] * (len(rows) - 1) + [True]


def test_a_wait_may_run_into_the_night():
    """Ten hours of drying, begun in the afternoon, are over in the morning; nobody is kept up for them."""
    rows = checklist_times(QUILT, NONE, "10:00", beginner_factors(QUILT))
    at = next(number for number, row in enumerate(rows) if row.kind == "wait" and row.key == "snip/all")
    assert [row.kind for row in rows[at + 1 : at + 3]] == ["night", "step"]


def test_a_long_wait_at_noon_is_the_meal():
    """An hour's wash after three hours' work: one rest, not two."""
    of = plan(step("a/b", 28, 300.0), step("wash/load", 1, 600.0, waits_s=3600.0), step("c/d", 30, 300.0))
    rows = checklist_times(of, NONE)
    assert [row.meal for row in rows if row.kind == "wait"] == [True]
    assert not length(rows, "meal")


def test_an_afternoon_s_work_has_no_meal():
    """Three and a half hours from the start to the end are done in one go, with breaks."""
    rows = checklist_times(plan(step("a/b", 36, 300.0)), NONE)
    assert {row.kind for row in rows} == {"step"}
    assert rows[0].inner_breaks_s == 3 * 600


def test_a_late_end_says_so_within_its_own_day():
    """[identity] 22:00 and three hours are 01:00 of the day after, still of the first day's work."""
    rows = checklist_times(plan(step("a/b", 36, 300.0)), NONE, "22:00", hours=Hours(break_s=0.0))
    assert (rows[0].start, rows[0].end, rows[0].day) == ("22:00", "01:00 next day", 1)
    assert clock_text(NIGHT_S + 300) == "00:05 next day"
    assert clock_text(7 * NIGHT_S + 37_200) == "10:20 7 days later"


def test_an_hour_at_work_has_one_break_of_ten_minutes_before_what_follows():
    """[identity] 50 minutes, break, 20 minutes: 10:00 – 10:50 – 11:00 – 11:20."""
    two = plan(step("a/one", 1, 3000.0), step("a/two", 1, 1200.0))
    assert [(r.kind, r.start, r.end) for r in checklist_times(two, NONE)] == [
        ("step", "10:00", "10:50"),
        ("break", "10:50", "11:00"),
        ("step", "11:00", "11:20"),
    ]


def test_a_wait_shorter_than_a_break_is_none():
    """[identity] 50 minutes of work, 5 until the iron is warm: the break of ten is still due, 10:55 – 11:05."""
    two = plan(step("a/one", 1, 3000.0, waits_s=300.0), step("a/two", 1, 1200.0))
    assert [(r.kind, r.start, r.end) for r in checklist_times(two, NONE)] == [
        ("step", "10:00", "10:50"),
        ("wait", "10:50", "10:55"),
        ("break", "10:55", "11:05"),
        ("step", "11:05", "11:25"),
    ]


@pytest.mark.parametrize("of", [QUILT, plan(*(step(f"a/{n}", 1, 700.0) for n in range(40)))], ids=["long", "short"])
def test_nobody_works_far_over_an_hour_without_a_rest(of):
    """Ten minutes an hour: between two rests lie at most 50 minutes and a step, or a quarter of an hour. [practice]"""
    worked = 0.0
    for row in checklist_times(of, NONE, factors=beginner_factors(of)):
        if row.kind == "step":
            worked += row.hands_on_s - row.inner_breaks_s / 600 * 3000
            assert worked < 3000 + max(900, 0 if row.inner_breaks_s else row.hands_on_s) + 1
        elif row.end_s - row.start_s >= 600:
            worked = 0.0


def test_beginner_factors_can_be_scaled():
    """Scale 0 is the practised maker, 1 as written, 2 twice what is over 1. [identity]"""
    of = plan(step("quilt/cross", 9, 60.0, beginner_factor=3.0))
    assert [beginner_factors(of, scale)["quilt/cross"] for scale in (0, 1, 2)] == [1, 3, 5]


def test_no_machine_runs_on_after_the_day_has_gone():
    """Two evenings of two hours: half an hour is left, and the wash takes an hour. It is begun next day. [practice]"""
    wash = replace(step("wash/load", 1, 120.0, waits_s=3600.0), station="washer")
    evening = Hours(day_s=7200.0, meal_s=0.0, break_s=0.0)
    rows = checklist_times(
        plan(step("a/sew", 9, 600.0), wash, step("wash/look", 1, 300.0)), NONE, "19:00", None, evening
    )
    assert [(row.kind, row.day) for row in rows] == [
        ("step", 1), ("night", 1), ("step", 2), ("wait", 2), ("step", 2)
    ]  # fmt: skip
    assert all(row.end_s % NIGHT_S <= 7200.0 for row in rows if row.kind == "wait")
    dry = replace(step("wash/dry", 1, 120.0, waits_s=1800.0), station="washer")
    whole = checklist_times(plan(step("a/sew", 3, 600.0), wash, dry), NONE, "19:00", None, evening)
    assert [(row.kind, row.day) for row in whole if row.kind in {"step", "wait"}] == [
        ("step", 1), ("step", 2), ("wait", 2), ("step", 2), ("wait", 2)
    ]  # fmt: skip
    glue = plan(step("a/sew", 9, 600.0), step("b/glue", 1, 120.0, waits_s=3600.0))
    assert [row.day for row in checklist_times(glue, NONE, "19:00", None, evening)] == [1, 1, 1]  # glue dries alone
