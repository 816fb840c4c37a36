"""Rests are suggested once, when they are due, and not to whom they are no use."""

import pytest
from msgspec.structs import replace

from guide.follow.halting import rest_due
from guide.plan.model import Quantity
from tests.follow.samples_session import Bench


def said(bench, *, beginner=True, hands=False):
    plan = bench.session.plan
    if hands:
        plan = replace(plan, steps=tuple(replace(step, cautions=("hands",)) for step in plan.steps))
    return rest_due(plan, bench.record, beginner=beginner)


def test_fifty_minutes_at_one_station_are_enough():
    """Blocks of 18 min: the third fills 50 min, the fourth says nothing again."""
    bench = Bench().open("Sew the cross")
    heard = []
    for _ in range(4):
        bench.press("space", after=18 * 60)
        heard.append("ten minutes off" in said(bench))
    assert heard == [False, False, True, False]  # [identity]: 18, 36, 54, 72 min


def test_a_break_begins_the_count_anew():
    """After 20 min away the three blocks before it are not counted."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "space", after=18 * 60)
    bench.press("p", after=0)
    bench.press("space", after=20 * 60)
    bench.press("space", after=18 * 60)
    assert bench.record.step("quilt/cross").counted_ms == 54 * 60_000  # [identity]: more than fifty, with a rest in it
    assert said(bench) == ""


def test_hands_are_minded_for_everyone_after_a_quarter_of_an_hour():
    """Cutting many layers strains the hands; a rest each quarter of an hour is from memory [memory]."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=8 * 60)
    assert said(bench, beginner=False, hands=True) == ""
    bench.press("space", after=8 * 60)
    assert "rest your hands" in said(bench, beginner=False, hands=True)


@pytest.mark.parametrize(("layers", "due"), [(6, False), (7, True)])
def test_snipping_more_than_six_layers_asks_for_a_rest_after_ten_minutes(layers, due):
    """Eleven minutes of snips: sooner due the more layers they go through [memory]."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=11 * 60)
    plan = bench.session.plan
    steps = tuple(replace(step, cautions=("hands",), stage="snip") for step in plan.steps)
    layered = Quantity("layers_raw_seam", float(layers), "count")
    plan = replace(plan, steps=steps, quantities=plan.quantities | {"layers_raw_seam": layered})
    assert rest_due(plan, bench.record, beginner=False).startswith("Ten minutes" if due else "") is True
    assert bool(rest_due(plan, bench.record, beginner=False)) is due


def test_a_practised_maker_is_left_in_peace():
    """No word about stations."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "space", "space", after=18 * 60)
    assert said(bench, beginner=False) == ""


def test_the_bobbin_is_metered_once_two_were_timed():
    """Two bobbins of 10 min and a second and a half for the change; four fifths, 481 s, fill in the third one's ninth minute.

    [identity] It is said once, and never before two were timed.
    """
    from guide.follow.halting import bobbin_due

    bench = Bench().open("Sew the outer seam")
    plan = bench.session.plan
    steps = tuple(replace(one, pieces=90) if one.title == "Sew the outer seam" else one for one in plan.steps)
    bench.session.plan = replace(plan, steps=steps)
    told = []

    def sew(minutes):
        for _ in range(minutes):
            bench.clock.run(60)
            bench.session.press("space")
            bench.session.plan = replace(plan, steps=steps)
            told.append(bobbin_due(bench.session.plan, bench.record))

    for _ in range(2):
        sew(10)
        bench.press("t", "1", "space", after=0.5)
        bench.session.plan = replace(plan, steps=steps)
    sew(12)
    assert [at for at, said in enumerate(told) if said] == [28]
    assert told[28].startswith("The bobbin is near its end")
