"""`x` in words: what `guide amend` takes, taken at the machine; both write the same event."""

import pytest

from guide.record.amend import WORDS, correct
from guide.record.clock import stamp
from tests.follow.samples_session import Bench

SAID = (
    "start +10 s", "end -10 s", "took 30 s", "interrupted 30 s", "not counted", "counted", "split at +30 s, 1", "join",
    "pieces 2", "void", "void step",
)  # fmt: skip


def worked():
    """A bench with three blocks sewn, a minute each, and the fourth begun; the question for words is open."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "space", "space", after=60)
    bench.press("x", "4", after=1)
    assert bench.desk.ask.about == "amend_words"
    return bench


def test_every_correction_of_amend_is_tried_here():
    """One line for each of its words."""
    assert [line.split()[0] for line in WORDS] == [line.split()[0] for line in SAID]


@pytest.mark.parametrize("words", SAID)
def test_the_words_of_amend_write_the_same_event_at_the_machine(words):
    """The same members, whichever way it is said; and the screen holds what the file holds."""
    bench = worked()
    lap = bench.record.step("quilt/cross").laps[-1]
    expected = correct(words, bench.record, lap.end_n, bench.clock.read(), "set right at the machine")
    bench.type(words)
    bench.press("enter", after=0.1)
    event = bench.newest
    written = {"what": event.what, "of": event.of, "set": event.set, "ms": event.ms, "why": event.why}
    assert {name: value for name, value in written.items() if value is not None} == expected
    assert bench.record.corrections
    assert bench.holds()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("shorter", "is no correction"),
        ("pieces 500", "pieces done, of"),
        ("interrupted 20 min", "cannot come off it"),
        ("end 10 minutes ago", "Sew the cross would end"),
    ],
)
def test_what_cannot_be_is_said_and_asked_again(words, says):
    """Nothing is written, and what was typed is still there."""
    bench = worked()
    count = len(bench.wrote)
    bench.type(words)
    bench.press("enter", after=0.1)
    assert len(bench.wrote) == count
    assert says in bench.said
    assert bench.desk.ask.about == "amend_words"


def test_a_length_by_number_is_the_same_as_in_words():
    """x 1 0:40 and `took 40 s`."""
    bench = worked()
    bench.press("escape", "x", "1", *"0:40", after=1)
    lap = bench.record.step("quilt/cross").laps[-1]
    expected = correct("took 40 s", bench.record, lap.end_n, bench.clock.read())
    bench.press("enter", after=0.1)
    assert (bench.newest.what, bench.newest.of, bench.newest.ms) == ("amended", expected["of"], expected["ms"])


def test_a_length_that_does_not_fit_is_refused_here_as_there():
    """A piece of a minute on the clock did not take seven: what to do instead is said."""
    bench = worked()
    bench.press("escape", "x", "1", "7", "enter", after=1)
    assert bench.newest.what == "piece_done"
    assert "put its start right" in bench.said


def test_times_from_paper_do_not_hide_the_lap_before():
    """A step of yesterday is typed in between: the piece in hand still cannot begin before the one timed last ended."""
    bench = worked()
    bench.press("escape", after=0.1)
    hour_before = bench.clock.read().wall - 3_600_000
    typed = {"from": stamp(hour_before - 600_000), "to": stamp(hour_before)}
    members = {"what": "piece_done", "step": "stack/lay", "count": 1, "by_hand": True, "set": typed}
    bench.session.journal.append(members, bench.clock.read())
    bench = Bench(memory=bench.session.journal)
    bench.session.take_up()
    while bench.record.doing != "working":
        bench.press("space", after=30)
    start = bench.record.lap_start_n
    bench.press("x", after=30)
    way = bench.desk.ask.choices.index("the piece in hand was begun earlier") + 1
    bench.press(str(way))
    bench.type("40")
    bench.press("enter")
    assert "goes up to" in bench.said
    assert not [event for event in bench.session.journal.events if event.what == "amended" and event.of == start]


def test_a_lap_is_left_out_and_taken_back_in():
    """What counts is left out by the first answer; asked again, the same line counts it again. [identity]"""
    bench = worked()
    bench.press("escape", after=0.1)
    for counts, said in ((False, "Kept, but not counted."), (True, "Counted again.")):
        bench.press("x", after=1)
        way = next(n for n, told in enumerate(bench.desk.ask.choices, 1) if "counted" in told)
        bench.press(str(way))
        assert (bench.newest.what, bench.newest.set) == ("amended", {"counted": counts})
        assert bench.said == said
