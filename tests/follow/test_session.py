"""The driver: save, then show; a failing disk loses nothing; a sitting taken up again; ticks."""

import re
from pathlib import Path

import pytest

from guide import __version__
from guide.errors import CannotWrite
from guide.follow.session import Session
from guide.record.fold import fold
from guide.record.journal import Journal, read_journal
from tests.follow.samples import Clock, Memory, make_plan, opened
from tests.follow.samples_session import Bench


class Watching(Memory):
    """A journal that looks at what the session shows in the moment of saving."""

    session = None

    def append(self, members, reading):
        if self.session is not None:
            record = self.session.record
            assert record.count == len(self.events), "shown before it was saved"
            assert fold(self.events) == record
        return super().append(members, reading)


def test_nothing_is_shown_before_it_is_saved():
    """In the moment of saving, the record that a face would draw still is the one on disk."""
    memory = Watching()
    bench = Bench(memory=memory)
    memory.session = bench.session
    bench.open("Glue the zip").press("n", "o", "enter", "u", "p", "space", "q")
    assert bench.holds()


@pytest.mark.parametrize(("seconds", "told"), [(0.25, ""), (0.6, "The disk took 0.6 s to save this. It is saved.")])
def test_p12_a_slow_disk_is_spoken_of_and_costs_nothing(seconds, told):
    """Above a quarter of a second a key seems to hang: said; the piece keeps the time of its press."""
    slow = Memory()
    bench = Bench(memory=slow).open("Sew the cross")
    saved = slow.append

    def append(members, reading):
        bench.clock.run(seconds)
        return saved(members, reading)

    slow.append = append
    bench.press("space", after=30)
    assert bench.desk.said.endswith(told) if told else "disk" not in bench.desk.said
    assert bench.record.step("quilt/cross").counted_ms == 30_000  # [identity]


def test_a_refused_write_shows_the_old_record_and_says_so():
    """The disk is full: the piece is not counted on the screen, and the maker reads why."""
    bench = Bench().open("Sew the cross")
    bench.memory.refuse = 1
    bench.press("space")
    assert bench.record.step("quilt/cross").pieces_done == 0
    assert "No space left" in bench.desk.problem
    assert "r to try again" in bench.desk.problem
    assert bench.holds()


def test_trying_again_saves_the_key_at_its_own_time():
    """r three minutes later: the piece has the time it was pressed at, not the time it was saved."""
    bench = Bench().open("Sew the cross")
    bench.memory.refuse = 1
    bench.press("space", after=30)
    bench.press("space", "a", after=60)
    assert bench.record.step("quilt/cross").pieces_done == 0
    bench.press("r", after=60)
    assert bench.desk.problem == ""
    assert bench.record.step("quilt/cross").pieces_done == 1
    assert bench.record.step("quilt/cross").counted_ms == 30_000  # [identity]


def test_it_may_be_refused_again():
    """A disk that stays full goes on saying so, and nothing is lost."""
    bench = Bench().open("Sew the cross")
    bench.memory.refuse = 3
    bench.press("space", "r", "r")
    assert bench.desk.problem
    bench.press("r")
    assert bench.desk.problem == ""
    assert bench.record.step("quilt/cross").pieces_done == 1


def test_the_session_goes_on_elsewhere(tmp_path):
    """e: all that was saved is copied, the refused key is written there, and the old file is untouched."""
    clock = Clock()
    journal = Journal.create(tmp_path / "here.jsonl")
    journal.append(opened(), clock.read())
    session = Session(journal, make_plan, clock, elsewhere=tmp_path / "there.jsonl")
    session.press("space")
    before = (tmp_path / "here.jsonl").read_bytes()

    def full(*_):
        raise CannotWrite("the disk is full")

    journal._write = full
    clock.run(5)
    session.press("space")
    assert "e to save elsewhere" in session.desk.problem
    session.press("e")
    assert session.desk.problem == ""
    assert session.moved_to == tmp_path / "there.jsonl"
    assert (tmp_path / "here.jsonl").read_bytes() == before
    there = read_journal(tmp_path / "there.jsonl").events
    assert [event.what for event in there] == ["opened", "step_started", "step_done"]
    assert fold(there) == session.record
    session.journal.close()


def test_elsewhere_may_refuse_as_well(tmp_path):
    """Neither place takes it: the maker is told of the second, and r still tries the first again."""
    bench = Bench(elsewhere=tmp_path / "there.jsonl").open("Sew the cross")

    def refused(path):
        raise CannotWrite(f"{path} cannot be written")

    bench.memory.save_elsewhere = refused
    bench.memory.refuse = 1
    bench.press("space", "e")
    assert "there.jsonl cannot be written" in bench.desk.problem
    bench.press("r")
    assert bench.desk.problem == ""
    assert bench.record.step("quilt/cross").pieces_done == 1


def test_leaving_without_the_refused_key():
    """q leaves; the journal holds what it held."""
    bench = Bench().open("Sew the cross")
    count = len(bench.wrote)
    bench.memory.refuse = 9
    bench.press("space", "q")
    assert bench.session.left
    assert len(bench.wrote) == count


def test_a_real_journal_holds_what_is_shown(tmp_path):
    """The file, read by another hand after every key, folds to what the session shows."""
    clock = Clock()
    journal = Journal.create(tmp_path / "one.jsonl")
    journal.append(opened(), clock.read())
    session = Session(journal, make_plan, clock)
    for key in ("space", "space", "space", "6", "space", "n", "x", "enter", "p", "space", "u", "a", "q"):
        clock.run(3)
        session.press(key)
        assert fold(read_journal(tmp_path / "one.jsonl").events) == session.record
    journal.close()


def test_taking_up_begins_a_sitting_and_rests_until_the_big_key():
    """The card of coming back lies on the desk; the night is not counted; the big key goes on."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "q", after=10)
    bench.clock.run(15 * 3600)
    again = Bench(memory=bench.memory)
    again.clock = again.session.clock = bench.clock
    again.session.take_up()
    assert (again.newest.what, again.newest.sitting, again.newest.version) == ("resumed", 2, __version__)
    assert again.desk.view == "back"
    again.press("space", after=60)
    assert (again.newest.what, again.newest.sitting) == ("resumed", 0)
    assert again.record.doing == "working"
    again.press("space", after=10)
    laps = again.record.step("quilt/cross").laps
    assert [lap.counted_ms for lap in laps] == [10_000, 20_000]  # [identity]: 10 s before q, 10 s after coming back


def test_a_killed_session_counts_to_its_last_sign_of_life():
    """No stop was written: the open piece ends with the last `alive`, at most a minute before."""
    bench = Bench().open("Sew the cross")
    for _ in range(150):
        bench.clock.run(1)
        bench.session.heartbeat()
    alive = [event for event in bench.session.journal.events if event.what == "alive"]
    assert len(alive) == 2  # [identity]: 150 s hold two whole minutes
    bench.clock.run(3600)
    again = Bench(memory=bench.memory)
    again.clock = again.session.clock = bench.clock
    again.session.take_up()
    again.press("space", "space", after=10)
    assert again.record.step("quilt/cross").counted_ms == 120_000 + 10_000  # [identity]


@pytest.mark.parametrize("keys", [(), ("p",), ("i",), ("q",)])
def test_no_sign_of_life_while_no_clock_runs(keys):
    """Between steps, paused, interrupted or stopped, ticks write nothing."""
    bench = Bench()
    if keys:
        bench.open("Sew the cross").press(*keys)
    count = len(bench.wrote)
    for _ in range(300):
        bench.clock.run(1)
        bench.session.heartbeat()
    assert len(bench.wrote) == count


def test_a_late_tick_is_a_gap():
    """The program stood still for two minutes (control-Z): a gap of that length is written."""
    bench = Bench().open("Sew the cross")
    bench.clock.run(1)
    bench.session.heartbeat()
    bench.clock.run(120)
    bench.session.heartbeat()
    assert (bench.newest.what, bench.newest.ms) == ("gap", 120_000)


def test_a_failing_heartbeat_is_said_and_mended_by_itself():
    """A tick that cannot be saved is told; the next key tries for itself."""
    bench = Bench().open("Sew the cross")
    bench.memory.refuse = 1
    for _ in range(61):
        bench.clock.run(1)
        bench.session.heartbeat()
    assert "No space left" in bench.desk.problem
    bench.press("space")
    assert bench.desk.problem == ""
    assert bench.newest.what == "piece_done"


def test_the_plan_is_made_again_only_when_it_must():
    """Counting pieces makes no new plan; a measure makes one."""
    bench = Bench().open("Sew the cross")
    made = bench.planned
    bench.press("space", "n", "x", "enter", "p", "space", "space")
    assert bench.planned == made
    bench.press("a")
    bench.open("Measure the panel").press("m")
    bench.type("10 1/4")
    bench.press("enter")
    assert bench.planned > made


def test_stopping_from_outside_puts_a_question_away():
    """A closed window while a note is typed: the stop is written."""
    bench = Bench().open("Sew the cross")
    bench.press("n", "a")
    bench.session.stop()
    assert (bench.newest.what, bench.newest.why) == ("paused", "stop")
    assert bench.session.left
    bench.session.stop()
    assert bench.wrote.count("paused") == 1


def test_new_texts_are_taken_only_when_chosen():
    """Changed files: Enter keeps the old, 2 takes the new, and u takes that back."""
    from guide.follow.order import offer_new_texts

    for keys, taken in ((("enter",), False), (("2",), True)):
        bench = Bench()
        bench.session.desk = offer_new_texts(bench.desk, "project.yaml", "project: Other\n", {})
        bench.press(*keys)
        assert (bench.wrote[-1] == "texts") is taken
        assert (bench.record.project_text == "project: Other\n") is taken
    bench.press("u")
    assert bench.record.project_text == "project: Stool pad\n"


def test_the_core_touches_no_file_clock_or_terminal():
    """Follow is pure but for what it is handed: its sources name no door to the world."""
    doors = r"\b(?:open\(|print\(|input\(|import (?:time|os|sys)\b|datetime\.now|prompt_toolkit)"
    for source in Path("guide/follow").glob("*.py"):
        assert re.findall(doors, source.read_text(encoding="utf-8")) == [], source
