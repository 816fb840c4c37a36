"""The time between one step's end and the next one's start: nobody's, or counted once where the maker chose that."""

import io
import random
from itertools import pairwise

import pytest
from msgspec.structs import replace

from guide.follow.halting import rest_due
from guide.money.glean import glean
from guide.record.fold import Folder, fold
from guide.record.history import rows
from guide.record.journal import read_journal
from guide.record.lines import event_of
from tests.commands.conftest import guide, workshop
from tests.fakes import FakeClock, midday, run
from tests.follow.samples import make_plan
from tests.follow.samples_session import Bench

__all__ = ["guide", "workshop"]
DEMO = "sessions/window-seat-cushion"
A, B, WASH = "cut/straighten", "cut/squares", "wash/load"
CHOSEN = {"set": {"between": True}}


def told(*moments, chosen=True):
    """Events at their seconds: (seconds, members)."""
    clock, events, now = FakeClock(), [], 0
    opened = {"what": "opened", "format": 1, "mode": "real", "title": "Stool pad"} | (CHOSEN if chosen else {})
    for seconds, members in ((0, opened), *moments):
        clock.run(seconds - now)
        now = seconds
        events.append(event_of(len(events) + 1, members, clock.read()))
    return events


def started(key, **more):
    return {"what": "step_started", "step": key, **more}


def done(key, **more):
    return {"what": "step_done", "step": key, "count": 1, **more}


def ms(record):
    """Each step's laps: ms, and whether it is the time before it."""
    return {key: [(lap.counted_ms, lap.between) for lap in step.laps] for key, step in record.steps.items()}


TWO = ((10, started(A)), (70, done(A)), (100, started(B)), (145, done(B)))


def test_it_is_nobodys_unless_the_maker_chose_otherwise():
    """[identity] 60 s and 45 s of work; the 30 s between them only where they were chosen to count."""
    assert ms(fold(told(*TWO, chosen=False))) == {A: [(60_000, False)], B: [(45_000, False)]}
    record = fold(told(*TWO))
    assert ms(record) == {A: [(60_000, False)], B: [(30_000, True), (45_000, False)]}
    assert record.counted_ms == 135_000
    assert [one.counted_ms for one in record.sittings] == [135_000]


def test_until_the_next_step_begins_it_is_in_no_sum():
    """What comes after the last step is nobody's: no step begins that it was for."""
    record = fold(told(*TWO, (500, {"what": "noted", "text": "tidied"})))
    assert (record.counted_ms, record.lap_ms, record.open_lap) == (135_000, 0, None)
    assert [one.counted_ms for one in record.sittings] == [135_000]
    assert fold(told(*TWO, (500, {"what": "closed"}))).counted_ms == 135_000


def test_a_pause_between_two_steps_is_nobodys():
    """[identity] 70 to 80 s and 200 to 210 s count, the pause from 80 to 200 s does not."""
    pause = (80, {"what": "paused", "why": "pause"}), (200, {"what": "resumed"})
    record = fold(told(*TWO[:2], *pause, (210, started(B)), (255, done(B))))
    assert ms(record)[B] == [(20_000, True), (45_000, False)]
    assert record.counted_ms == 125_000


def test_a_stop_between_two_steps_ends_it():
    """Another day begins with its step."""
    stop = (80, {"what": "paused", "why": "stop"}), (90_000, {"what": "resumed", "sitting": 2, **CHOSEN})
    record = fold(told(*TWO[:2], *stop, (90_050, started(B)), (90_095, done(B))))
    assert ms(record)[B] == [(45_000, False)]
    assert [one.counted_ms for one in record.sittings] == [60_000, 45_000]


def test_a_wait_is_never_work():
    """Glue holds, a wash runs: until it is over the hands were free, whichever step ended last."""
    glue = (70, done(A, ms=300_000))
    assert ms(fold(told(TWO[0], glue, (100, started(B)))))[B] == []
    beside = (TWO[0], glue, (80, started(B)), (125, done(B)), (150, started(WASH)))
    assert ms(fold(told(*beside)))[WASH] == []
    over = (TWO[0], glue, (80, {"what": "waited", "step": A}), (85, started(B)), (125, done(B)), (150, started(WASH)))
    assert ms(fold(told(*over)))[WASH] == [(25_000, True)]


def test_undo_gives_it_back_to_nobody_and_a_later_start_counts_all_of_it():
    """The start taken back, the next one counts from the same end."""
    record = fold(told(*TWO[:3], (110, {"what": "voided", "of": 4}), (130, started(B))))
    assert ms(record)[B] == [(60_000, True)]


def test_it_can_be_taken_out_and_set_right():
    """Not at work: out of the sums, and it stays to be seen. A start set earlier gives its time to the step."""
    out = fold(told(*TWO, (150, {"what": "amended", "of": 4, "set": {"counted": False}})))
    assert out.counted_ms == 105_000
    assert [(lap.counted_ms, lap.counted) for lap in out.steps[B].laps] == [(30_000, False), (45_000, True)]
    at = told(*TWO)[2].at.replace(":01:", ":00:")
    moved = fold(told(*TWO, (150, {"what": "amended", "of": 4, "set": {"at": told((90, started(A)))[1].at}})))
    assert ms(moved)[B] == [(20_000, True), (55_000, False)], at


def test_it_is_in_the_sums_and_in_no_pace():
    """[identity] a piece took 45 s, and the day's labour at its step is 75 s."""
    seen = {one.step: one for one in glean(fold(told(*TWO)), make_plan().steps)}
    assert [lap.seconds for lap in seen[B].laps] == [45.0]
    assert seen[B].counted_s == 75.0
    exported = [(row.counted_ms, row.between) for row in rows(fold(told(*TWO)), "one") if row.kind == "lap"]
    assert exported == [(60_000, False), (30_000, True), (45_000, False)]


def test_the_time_before_a_step_is_labour_of_its_first_piece_alone():
    """[identity] 30 s before it, pieces of 45 s and 55 s: 130 s of labour, the 30 s once."""
    moments = (*TWO[:3], (145, {"what": "piece_done", "step": B, "count": 1}), (200, done(B)))
    seen = {one.step: one for one in glean(fold(told(*moments)), make_plan().steps)}
    assert [lap.seconds for lap in seen[B].laps] == [45.0, 55.0]
    assert seen[B].counted_s == 130.0


def test_hands_rest_between_two_steps():
    """Eight minutes of cutting, four between, eight of cutting: no quarter of an hour without a rest of three minutes."""
    plan = make_plan()
    plan = replace(plan, steps=tuple(replace(one, cautions=("hands",)) for one in plan.steps))
    rested = fold(told((10, started(A)), (490, done(A)), (730, started(B)), (1210, done(B))))
    assert rested.step(B).laps[0].between
    assert rest_due(plan, rested, beginner=False) == ""
    going_on = fold(told((10, started(A)), (490, done(A)), (500, started(B)), (980, done(B))))
    assert "rest your hands" in rest_due(plan, going_on, beginner=False)


def test_what_was_worked_at_another_project_meanwhile_is_not_counted_here():
    """The start says so where another clock of the maker has run since the last step, and then it counts nothing."""
    bench = Bench()
    bench.session.between = True
    bench.session.take_up()
    bench.press("space", "a", after=30)
    bench.session.running = lambda since: "Stool pad" if since is not None else ""
    bench.press("space", after=60)
    assert (bench.newest.what, bench.newest.set) == ("step_started", {"between": False})
    bench.session.running = lambda _since: ""
    bench.press("a", after=30)
    bench.press("space", after=60)
    assert bench.newest.set is None
    assert [(lap.counted_ms, lap.between) for lap in bench.record.laps() if lap.between] == [(60_000, True)]


@pytest.mark.parametrize("seed", range(20))
def test_any_events_fold_the_same_one_by_one_and_never_count_a_moment_twice(seed):
    """Steps, pauses, sittings, waits and undos at random: laps do not overlap, sittings add up to the whole."""
    chance, moments, at = random.Random(seed), [], 0
    for n in range(2, 120):
        at += chance.choice((1, 5, 30, 400))
        some = [
            started(A), started(B), done(A), done(B), done(A, ms=60_000), {"what": "paused", "why": "pause"},
            {"what": "resumed"}, {"what": "resumed", "sitting": 2, **CHOSEN}, {"what": "voided", "of": n - 1},
            {"what": "step_skipped", "step": B}, {"what": "interrupted", "step": A}, {"what": "trouble", "step": A},
            {"what": "waited", "step": A}, started(B, set={"between": False}), {"what": "closed"},
        ]  # fmt: skip
        moments.append((at, chance.choice(some)))
    events = told(*moments)
    folder = Folder(events[:1])
    for event in events[1:]:
        folder.add(event)
    record = fold(events)
    assert folder.record == record
    assert sum(one.counted_ms for one in record.sittings) == record.counted_ms
    laps = sorted((lap.start, lap.end, lap.counted_ms) for lap in record.worked())
    assert all(counted <= end - start for start, end, counted in laps)
    assert all(one[1] <= other[0] for one, other in pairwise(laps))


class Slowly(io.StringIO):
    """Keys from a file, one every half minute."""

    def __init__(self, text, clock):
        super().__init__(text)
        self.clock = clock

    def readline(self, *size):
        self.clock.run(30)
        return super().readline(*size)


def test_the_choice_stands_in_the_makers_own_folder(workshop, monkeypatch, capsys):
    """In lines: chosen in `choices.yaml`, told on the card, kept with the session, said in the log and summed once."""
    (workshop / "home").mkdir(exist_ok=True)
    (workshop / "home" / "choices.yaml").write_text("choices: {between_steps: counted}\n", encoding="utf-8")
    clock = midday()
    monkeypatch.setattr("sys.stdin", Slowly("\na\n\na\nq\n", clock))
    assert run(["follow", DEMO, "--plain"], clock) == 0
    assert "The time until the next step counts too; p for a rest." in capsys.readouterr().out
    journal = next((workshop / DEMO).glob("*.jsonl"))
    events = read_journal(journal).events
    assert events[0].set == {"between": True}
    # [identity] 30 s a step, and 30 s between the two
    assert [sum(ms) for ms in zip(*((lap.counted_ms, lap.between) for lap in fold(events).laps()), strict=True)] == [
        90_000,
        1,
    ]
    assert run(["log", str(journal), "--markdown", "-o", "-"], clock) == 0
    said = capsys.readouterr().out
    assert "30 s of it since the step before" in said
    assert "1:30" in said


def test_a_long_time_between_two_steps_is_asked_about(workshop, monkeypatch, capsys):
    """Over a quarter of an hour: written first, then asked; answered no it is out of the sums, and stays in sight."""
    (workshop / "home").mkdir(exist_ok=True)
    (workshop / "home" / "choices.yaml").write_text("choices: {between_steps: counted}\n", encoding="utf-8")
    clock = midday()
    keys = Slowly("\na\n\n2\na\nq\n", clock)
    keys.readline = lambda *size: (clock.run(1000 if keys.tell() == 3 else 30), io.StringIO.readline(keys, *size))[1]
    monkeypatch.setattr("sys.stdin", keys)
    assert run(["follow", DEMO, "--plain"], clock) == 0
    said = capsys.readouterr().out
    assert "Since the last step 17 min have passed. Do they count as work?" in said
    record = fold(read_journal(next((workshop / DEMO).glob("*.jsonl"))).events)
    assert [(lap.counted_ms, lap.between, lap.counted) for lap in record.laps()] == [
        (30_000, False, True),
        (1_000_000, True, False),
        (60_000, False, True),
    ]
    assert record.counted_ms == 90_000


def test_the_choice_is_one_of_two(guide, workshop):
    """Anything else is told at its place, with what may stand there."""
    (workshop / "home").mkdir(exist_ok=True)
    (workshop / "home" / "choices.yaml").write_text("choices: {between_steps: mine}\n", encoding="utf-8")
    wrong = guide("check", DEMO)
    assert wrong.code == 2
    assert "choices.yaml:1:26: choices.between_steps:" in wrong.out
    assert "counted or nobody" in wrong.out
