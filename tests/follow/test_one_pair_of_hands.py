"""One maker, several projects: never two clocks at once, in one window or in two, and no time counted twice."""

import os
import random
import shutil

import pytest
from msgspec.structs import replace

from guide import __version__
from guide.follow.session import Session
from guide.record.fold import fold
from guide.record.journal import Journal, read_journal
from guide.record.lines import encode
from guide.record.model import Event
from guide.record.sessions import running
from guide.show import lines
from guide.show.scene import Scene
from tests.fakes import FakeClock
from tests.follow.samples import make_plan, opened, step
from tests.show.demo import DEMO

FULL = bool(os.environ.get("FRAYWORK_FULL"))
GOING = {"working", "trouble"}
# Every key but x, for what a maker says of their time is theirs; and those that start, count and go over often.
KEYS = [
    *["space"] * 16,
    *["y"] * 6,
    *["u"] * 5,
    *["escape"] * 4,
    *"apntisbfwvcdgzolm?q",
    *"1234567",
    "enter",
    "backspace",
]


class Window:
    """Two projects in one window, as the screen and the lines hold them."""

    def __init__(self, root, clock, names, maker="Ada"):
        self.clock, self.sessions = clock, []
        for name in names:
            folder = root / name
            folder.mkdir(parents=True, exist_ok=True)
            journal = Journal.create(folder / "2026-03-01.jsonl", encode_first(clock, name, maker))
            session = Session(journal, lambda *_: make_plan(), clock)
            path = journal.path
            session.running = lambda since, path=path: running(root, maker, [path], since)
            self.sessions.append(session)
        for one, other in zip(self.sessions, reversed(self.sessions), strict=True):
            one.desk = one.desk.__class__(guard_ms=0)
            if one is not other:
                one.with_beside(other)
        self.here = 0

    @property
    def session(self):
        return self.sessions[self.here]

    def press(self, key):
        session = self.session
        session.press(key)
        if session.changing and len(self.sessions) > 1:
            self.here = 1 - self.here
            self.session.come_over()
        if session.left:
            session.left = False
            if session.record.doing == "stopped":
                session.take_up()

    def close(self):
        for one in self.sessions:
            one.journal.close()


def encode_first(clock, title, maker):
    from guide.record.lines import written

    return written(1, opened() | {"title": title, "maker": maker}, clock.read())[1]


def twice(one, other):
    """How long two sessions both say they were worked, ms: laps without a pause between, so wholly worked."""
    mine, theirs = ([(lap.start, lap.end) for lap in of.worked() if whole(lap)] for of in (one, other))
    return sum(max(0, min(b, d) - max(a, c)) for a, b in mine for c, d in theirs)


def whole(lap):
    return lap.counted and lap.counted_ms == lap.end - lap.start > 0 and not lap.by_hand


def test_random_keys_never_run_two_clocks(tmp_path):
    """5,000 keys over two projects in one window and a second window beside: one clock at most, every record folds."""
    keys, clock = random.Random(21), FakeClock()
    first, second = Window(tmp_path, clock, ("a", "b")), Window(tmp_path, clock, ("c",))
    for one in (
        *first.sessions,
        *second.sessions,
    ):  # the time between two steps counts as well, from their next sitting
        one.between = True
    refused, begun = 0, clock.read().total
    for _ in range(20_000 if FULL else 5_000):
        clock.run(keys.choice((0.5, 2.0, 7.0, 30.0)))
        window = first if keys.random() < 0.7 else second
        window.press(keys.choice(KEYS))
        refused += "another window" in window.session.desk.said
        going = [one for one in (*first.sessions, *second.sessions) if one.record.doing in GOING]
        assert len(going) <= 1, [one.record.header.title for one in going]
    for one in (*first.sessions, *second.sessions):
        assert fold(one.journal.events) == one.record
    sessions = [*first.sessions, *second.sessions]
    ran = [one.record.counted_ms for one in sessions]
    assert refused > 20
    assert sum(lap.between for one in sessions for lap in one.record.laps()) > 5
    assert any(event.set == {"between": False} for one in sessions for event in one.journal.events)
    assert all(ran)
    assert sum(ran) <= clock.read().total - begun  # [identity] what one pair of hands can have done
    pairs = [(one, other) for at, one in enumerate(sessions) for other in sessions[at + 1 :]]
    assert [twice(one.record, other.record) for one, other in pairs] == [0, 0, 0]
    first.close()
    second.close()
    for path in sorted(tmp_path.glob("*/*.jsonl")):
        assert read_journal(path).damage is None


def test_going_over_is_one_key_and_both_journals_tell_it(tmp_path):
    """A stands from the moment B is gone over to; back again, A's clock runs on, and B's stands."""
    clock = FakeClock()
    window = Window(tmp_path, clock, ("a", "b"))
    a, b = window.sessions
    clock.run(1)
    window.press("space")
    clock.run(60)
    window.press("y")
    assert (a.record.doing, a.journal.events[-1].why) == ("paused", "change")
    assert window.session is b
    clock.run(1)
    window.press("space")
    clock.run(40)
    window.press("y")
    assert b.journal.events[-1].why == "change"
    assert (a.journal.events[-1].what, a.record.doing) == ("resumed", "working")
    clock.run(30)
    window.press("space")
    # [identity] 60 + 30 s here, 40 s there, none of it twice
    assert a.record.step("cut/straighten").counted_ms == 90_000
    assert b.record.counted_ms == 40_000
    window.close()


def test_undo_never_gives_back_the_time_that_was_spent_elsewhere(tmp_path):
    """The pause of going over is not taken back: what came after it was the other project's."""
    clock = FakeClock()
    window = Window(tmp_path, clock, ("a", "b"))
    a, _ = window.sessions
    for key, seconds in (("space", 1), ("y", 60), ("space", 1), ("y", 300), ("u", 1), ("u", 1)):
        clock.run(seconds)
        window.press(key)
    assert not any(
        event.what == "voided" and a.journal.events[event.of - 1].why == "change" for event in a.journal.events
    )
    assert a.record.counted_ms <= 62_000
    window.close()


def test_a_second_window_says_where_the_clock_runs(tmp_path):
    """It never writes to the first's journal, and not to its own: press p there."""
    clock = FakeClock()
    first, second = Window(tmp_path, clock, ("a",)), Window(tmp_path, clock, ("c",))
    clock.run(1)
    first.press("space")
    count = first.session.record.count
    clock.run(5)
    second.press("space")
    assert second.session.desk.said == "The clock runs in another window, at “a”: press p there first."
    assert (first.session.record.count, second.session.record.count) == (count, 1)
    first.press("p")
    second.press("space")
    assert second.session.record.doing == "working"
    clock.run(5)
    first.press("space")
    assert first.session.desk.said.startswith("The clock runs in another window, at “c”")
    first.close()
    second.close()


def test_another_makers_clock_is_their_own(tmp_path):
    """Two people sew at two machines: neither waits for the other."""
    clock = FakeClock()
    ada, bo = Window(tmp_path, clock, ("a",)), Window(tmp_path, clock, ("c",), maker="Bo")
    clock.run(1)
    ada.press("space")
    bo.press("space")
    assert {ada.session.record.doing, bo.session.record.doing} == {"working"}
    ada.close()
    bo.close()


@pytest.mark.parametrize("keys", ["\ny\n\ny\nq\n"])
def test_two_projects_are_followed_in_lines(tmp_path, monkeypatch, capsys, keys):
    """`guide follow A B`: started here, gone over, started there, back: both journals are saved and stopped."""
    import io

    from tests.fakes import midday, run

    clock = midday()
    for name in ("one", "two"):
        folder = tmp_path / "sessions" / name
        folder.mkdir(parents=True)
        shutil.copy(DEMO / "project.yaml", folder)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO(keys))
    assert run(["follow", "--plain", "sessions/one", "sessions/two"], clock) == 0
    told = {name: read_journal(next((tmp_path / "sessions" / name).glob("*.jsonl"))).events for name in ("one", "two")}
    assert [event.what for event in told["one"]] == ["opened", "step_started", "paused", "resumed", "paused"]
    assert [event.what for event in told["two"]] == ["opened", "step_started", "paused", "paused"]
    assert "Here: Window seat cushion." in capsys.readouterr().out
    assert encode(told["one"][2])


def test_history_counts_once_what_two_sessions_both_say(tmp_path):
    """Two journals of one maker, both worked from 0 to 60 s, one of them 30 s more: 90 s by maker, and it is said."""
    from guide.record.history import history

    clock = FakeClock()
    windows = [Window(tmp_path, clock, (name,)) for name in ("a", "b")]
    for one in windows:
        one.session.running = lambda _since: ""  # as if each were on a computer of its own
        one.press("space")
    clock.run(60)
    windows[0].press("space")
    clock.run(30)
    windows[1].press("space")
    told = history(sorted(tmp_path.glob("*/*.jsonl")))
    assert [(one.maker, one.ms) for one in told.twice] == [("Ada", 60_000)]
    assert told.by_maker["Ada"].counted_ms == 90_000
    assert sum(one.counted_ms for one in told.by_project.values()) == 150_000
    for one in windows:
        one.close()


def washed_then_dried(*_needs, apart=False):
    """Two steps that hang on one another over an hour's wash; with `apart` one more that hangs on nothing."""
    plan = make_plan()
    more = (step("assemble/label", "Write the label"),) if apart else ()
    dry = step("wash/dry", "Hang it up", count="none", needs=("wash/load",))
    return replace(plan, steps=(step("wash/load", "Load the wash", count="none", waits_s=3600.0), dry, *more))


def two_with_a_wash(tmp_path, clock, **kind):
    """A window whose first project has its wash running, and whose second was not begun."""
    window = Window(tmp_path, clock, ("a", "b"))
    first, second = window.sessions
    first._planning._make_plan = lambda *_: washed_then_dried(**kind)
    first._planning._made = None
    first.plan = first._planning.plan(first._planned_from)
    for one, other in ((first, second), (second, first)):
        one.with_beside(other)
    for _ in range(2):
        clock.run(1)
        window.press("space")
    assert first.journal.events[-1].ms == 3_600_000
    return window


def card(session):
    """The card that lies there, in lines."""
    now, beside = session.clock.read(), session.beside_waits()
    return lines.standing(Scene(session.plan, session.record, session.desk, now, beside_waits=beside))


def test_in_a_long_wait_the_step_of_the_other_project_is_offered(tmp_path):
    """While the wash runs drying cannot begin: the other's first step is named, and y or its number goes over."""
    clock = FakeClock()
    window = two_with_a_wash(tmp_path, clock)
    a, b = window.sessions
    assert "Meanwhile: Straighten the cloth, of Stool pad; y goes over." in card(a)
    clock.run(1)
    window.press("space")
    assert a.desk.ask.choices[3:] == ("meanwhile: over to “Stool pad”, “Straighten the cloth”",)
    window.press("4")
    assert window.session is b
    assert (a.journal.events[-1].what, a.journal.events[-1].why) == ("paused", "change")
    assert any(line.startswith("Stool pad, Load the wash: 1 h 00 left") for line in card(b))
    clock.run(3600)
    assert any(line.startswith("Stool pad, Load the wash: done") for line in card(b))
    window.press("y")
    assert window.session is a
    assert a.journal.events[-1].what == "resumed"
    assert not any("Meanwhile" in line for line in card(a))
    window.close()


def test_what_fits_here_comes_before_what_fits_there(tmp_path):
    """A step that hangs on nothing is offered first, and alone where the other project waits too, or is closed."""
    clock = FakeClock()
    window = two_with_a_wash(tmp_path, clock, apart=True)
    a, b = window.sessions
    told = [line for line in card(a) if line.startswith("Meanwhile")]
    assert [line.partition(";")[0] for line in told] == [
        "Meanwhile: Write the label",
        "Meanwhile: Straighten the cloth, of Stool pad",
    ]
    b.record.closed = True
    a.heartbeat()
    assert [line.partition(";")[0] for line in card(a) if line.startswith("Meanwhile")] == [
        "Meanwhile: Write the label"
    ]
    clock.run(1)
    window.press("space")
    assert a.desk.ask.choices[3:] == ("meanwhile: start “Write the label”",)
    window.close()


def test_five_minutes_of_glue_are_no_time_to_begin_something_else(tmp_path):
    """From 15 minutes on something else is offered; the question offers it in a shorter wait too, once asked."""
    clock = FakeClock()
    window = two_with_a_wash(tmp_path, clock, apart=True)
    a = window.sessions[0]
    for minutes, offered in ((14, False), (15, True)):
        steps = tuple(replace(one, waits_s=one.waits_s and minutes * 60.0) for one in a.plan.steps)
        a.plan = replace(a.plan, steps=steps)
        assert any(line.startswith("Meanwhile") for line in card(a)) is offered
    window.close()


def test_while_the_prints_are_washed_the_wadding_is_cut(tmp_path):
    """It is never washed, so of one project alone it is what fits into the wash and the drying. [practice]"""
    from guide.follow.order import meanwhile
    from guide.record.model import Record, StepRecord, Wait
    from tests.show.test_pages_kinds import plan_of

    plan, now = plan_of({"washed_first": "true"}), FakeClock().read()
    offered = {}
    for at, waits in enumerate(plan.steps):
        if waits.waits_s:
            done = {one.key: StepRecord(one.key, "done", one.pieces) for one in plan.steps[: at + 1]}
            record = Record(Event(1, "2026-03-01T09:00:00.000Z", 60, 0, 0, "b", "opened"), steps=done)
            record.waits = [Wait(waits.key, 2, now, planned_ms=round(waits.waits_s * 1000))]
            long, fits = meanwhile(plan, record, now)
            offered[waits.key] = (long, fits.title if fits else None)
    assert offered["cut/wash"] == offered["cut/dry"] == (True, "Cut: wadding")
    assert offered["closure/zip_press"] == (False, None)
    assert offered["wash/load"] == (True, None)


def test_a_stopped_session_that_is_gone_over_to_says_what_it_is_taken_up_with(tmp_path):
    """As one that is opened by itself: its journal tells which version wrote on."""
    clock = FakeClock()
    window = Window(tmp_path, clock, ("a", "b"))
    _, b = window.sessions
    b.press("space")
    b.press("q")
    b.left = False
    window.press("y")
    newest = b.journal.events[-1]
    assert (newest.what, newest.sitting, newest.version) == ("resumed", 2, __version__)
    window.close()
