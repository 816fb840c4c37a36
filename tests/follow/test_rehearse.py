"""A rehearsal goes through the same core and journal, and counts exactly the starter paces."""

import pytest
from msgspec.structs import replace

from guide.follow.model import Desk
from guide.follow.session import InventedClock, Session, rehearse
from guide.record.fold import fold
from tests.follow.samples import START, Memory, make_plan, starter_ms


def rehearsed(beginner=False, make=1, guard_ms=400):
    clock = InventedClock(START)
    memory = Memory(clock.read(), mode="rehearsal")
    desk = Desk(beginner=beginner, guard_ms=guard_ms)
    session = Session(memory, lambda *needs: make_plan(*needs, make=make), clock, desk=desk)
    rehearse(session, clock)
    return session, clock


@pytest.mark.parametrize("make", [1, 3])
@pytest.mark.parametrize("beginner", [False, True])
def test_a_rehearsal_counts_the_starter_paces_to_the_millisecond(make, beginner):
    """Counted time is the sum of pieces × starter pace, each step rounded once; waits are not in it."""
    session, _ = rehearsed(beginner, make)
    by_step = {step.key: round(step.pieces * step.pace_s * 1000) for step in session.plan.steps}  # [identity]
    assert {key: one.counted_ms for key, one in session.record.steps.items()} == by_step
    assert sum(by_step.values()) == starter_ms(session.plan)
    assert session.record.doing == "closed"


def test_steps_that_take_no_time_are_rehearsed_too():
    """A pace of nothing: presses at one moment are no bounces, for nobody's sleeve is there; 2 s between steps."""
    clock = InventedClock(START)
    memory = Memory(clock.read(), mode="rehearsal")

    def at_once(*needs):
        plan = make_plan(*needs)
        return replace(plan, steps=tuple(replace(step, pace_s=0.0, waits_s=None) for step in plan.steps))

    session = Session(memory, at_once, clock)
    rehearse(session, clock)
    assert session.record.doing == "closed"
    assert {key: one.counted_ms for key, one in session.record.steps.items()} == dict.fromkeys(session.record.steps, 0)
    assert [session.record.step(step.key).pieces_done for step in session.plan.steps] == [
        step.pieces for step in session.plan.steps
    ]
    assert clock.read().total == 2000 * len(session.plan.steps)  # [identity]


def test_waits_are_on_the_clock_but_not_counted():
    """The day of a rehearsal is longer than its labour by at least the waits: 5 min and an hour."""
    session, clock = rehearsed()
    day = clock.read().total
    counted = sum(one.counted_ms for one in session.record.steps.values())
    assert day - counted >= (300 + 3600) * 1000  # [identity]
    assert day - counted < (300 + 3600 + 60) * 1000


def test_a_rehearsal_is_the_fold_of_its_file():
    """What the rehearsal shows at its end is what its journal says."""
    session, _ = rehearsed()
    assert fold(session.journal.events) == session.record


def test_a_rehearsal_measures_as_planned():
    """A step that measures is answered with the planned size, so no number changes."""
    session, _ = rehearsed()
    assert session.record.measured() == {"panel_width": pytest.approx(11 * 25.4)}
    assert session.plan.quantities["zip_cut"].value == pytest.approx(8 * 25.4)


def test_a_rehearsal_that_cannot_end_says_so():
    """A journal that takes nothing stops the rehearsal with the reason, instead of going round for ever."""
    clock = InventedClock(START)
    memory = Memory(clock.read())
    memory.refuse = 10**6
    with pytest.raises(RuntimeError, match="No space left"):
        rehearse(Session(memory, make_plan, clock), clock)
