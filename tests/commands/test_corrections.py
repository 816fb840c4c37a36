"""Putting a record right through the front door: what cannot be is refused, and what is done is said [identity]."""

import io
import re
from pathlib import Path

import pytest

from guide.record.fold import fold
from guide.record.journal import Journal, read_journal
from guide.record.lines import encode, event_of
from tests.commands.worked import worked
from tests.fakes import NINE, FakeClock, midday

DEMO = "sessions/window-seat-cushion"


@pytest.fixture
def journal(workshop) -> Path:
    """The demo worked up to the joining of its panels, both sizes not taken yet but the width: 20 1/4 in."""
    return worked(DEMO, 0, lambda step: 60.0, measures={"panel_width": 514.35}, until="closure/zip_seam")


def record(journal):
    return fold(read_journal(journal).events)


def lap_of(journal, key):
    return record(journal).step(key).laps[0]


def refused(guide, journal, *argv):
    """What was said; the journal is the same to the byte."""
    before = journal.read_bytes()
    said = guide("amend", str(journal), *argv)
    assert said.code == 2, said.err
    assert journal.read_bytes() == before
    assert "put right" not in said.err.partition("no size")[0]
    return said.err


def number_of(journal, what):
    return next(event.n for event in read_journal(journal).events if event.what == what)


@pytest.mark.parametrize("argv", [("--set", "void"), ("--measure", "20 in"), ("--move", "quilt/cross")])
def test_what_no_one_pressed_cannot_be_put_right(guide, journal, argv):
    """The first record holds the whole project."""
    assert "ecord 1" in refused(guide, journal, "--record", "1", *argv)


def test_only_a_step_of_the_session_is_moved_to(guide, journal):
    """A measure can be moved, a count cannot; a slip in the step's name is answered with the near one."""
    measured, counted = str(number_of(journal, "measured")), str(number_of(journal, "piece_done"))
    assert "no step nonsense/step" in refused(guide, journal, "--record", measured, "--move", "nonsense/step")
    near = refused(guide, journal, "--record", measured, "--move", "join/measure_widht")
    assert "did you mean join/measure_width?" in near
    assert "is no note" in refused(guide, journal, "--record", counted, "--move", "join/measure_width")
    said = guide("amend", str(journal), "--record", measured, "--move", "join/measure_height")
    assert said.code == 0
    assert record(journal).measures["panel_width"][0].step == "join/measure_height"
    assert "join/" not in said.err


@pytest.mark.parametrize("size", ["2 in", "200 in", "0 in", "9 km", "-20 in", "nothing"])
def test_a_size_far_off_is_refused(guide, journal, size):
    """A quarter off what is planned is a slip of the finger, as at the machine."""
    refused(guide, journal, "--record", str(number_of(journal, "measured")), "--measure", size)


@pytest.mark.parametrize(("said", "how"), [("1 in", "small"), ("210 in", "large")])
def test_a_size_from_paper_that_cannot_be_is_refused(guide, said, how):
    """Written, it would shut the session: refused in a maker's words, and nothing of the line is entered."""
    told = guide("amend", DEMO, "--enter", f"20, 10:00 to 10:05, panel width {said}")
    assert told.code == 2
    assert f"{said} is too {how} for the panel width (planned 21 in)" in told.err
    assert "Nothing was entered." in told.err
    assert ".yaml" not in told.err
    assert list(Path(DEMO).glob("*.jsonl")) == []


def test_a_size_is_only_set_right_where_one_was_taken(guide, journal):
    """A count has none."""
    said = refused(guide, journal, "--record", str(number_of(journal, "piece_done")), "--measure", "20 in")
    assert "is no measure" in said


def test_a_size_put_right_is_said_in_the_projects_units(guide, journal):
    """20 1/4 in (514.35 mm) as it was, 20 3/8 in (517.525 mm) as it is [international yard, 1959]."""
    number = str(number_of(journal, "measured"))
    said = guide("amend", str(journal), "--record", number, "--measure", "20 3/8 in")
    assert said.code == 0, said.err
    assert "was 20 1/4 in, is now 20 3/8 in" in said.err
    assert "mm" not in said.err
    assert record(journal).measured()["panel_width"] == pytest.approx(517.525)


@pytest.mark.parametrize("fmt", ["html", "markdown"])
def test_the_log_says_a_size_put_right_and_a_step_as_the_maker_does(guide, journal, fmt):
    """20 1/4 in (514.35 mm) is now 20 3/8 in (517.525 mm) [international yard, 1959]; steps by number and title."""
    number = str(number_of(journal, "measured"))
    guide("amend", str(journal), "--record", number, "--measure", "20 3/8 in")
    guide("amend", str(journal), "--record", number, "--move", "join/measure_height")
    said = guide("log", str(journal), "-o", "-", *(["--markdown"] if fmt == "markdown" else []))
    told = said.out.replace("\u00a0", " ").partition("Put right afterwards")[2].partition("The stacks")[0]
    assert "20 1/4 in" in told
    assert "20 3/8 in" in told
    assert "Measure down" in told
    assert "mm" not in told
    assert "join/" not in told


def test_no_more_pieces_are_counted_than_there_are(guide, journal):
    """The step's pieces are the plan's; as many as there are is taken, one more is not."""
    lap, step = lap_of(journal, "quilt/cross"), record(journal).step("quilt/cross")
    for many in (99999, 2):
        said = refused(guide, journal, "--record", str(lap.end_n), "--set", f"pieces {many}")
        assert f"of {step.pieces_done}" in said
    assert guide("amend", str(journal), "--record", str(lap.end_n), "--set", "pieces 0").code == 0
    assert guide("amend", str(journal), "--record", str(lap.end_n), "--set", "pieces 1").code == 0


def test_a_start_that_times_hang_on_is_not_taken_out(guide, journal):
    """Taking it out would drop every time of its pieces without a word; the way to do it is said, and works."""
    lap = lap_of(journal, "quilt/cross")
    said = refused(guide, journal, "--record", str(lap.start_n), "--set", "void")
    assert f"“void step” of record {lap.end_n}" in said
    assert guide("amend", str(journal), "--record", str(lap.end_n), "--set", "void step").code == 0
    assert record(journal).step("quilt/cross").laps == []


def test_a_start_that_nothing_hangs_on_can_be_taken_out(guide, journal):
    """The press never was."""
    clock = midday().read()
    open_ = Journal.open(journal, clock)
    number = open_.append({"what": "step_started", "step": "closure/zip_seam"}, clock).n
    open_.close()
    said = guide("amend", str(journal), "--record", str(number), "--set", "void")
    assert said.code == 0, said.err
    assert record(journal).current is None


def test_every_correction_is_told_with_both_sides(guide, journal):
    """No side of “was … is now …” is empty, and no exponent stands for a number."""
    lap = lap_of(journal, "quilt/cross")
    for words in ("took 30 s", "not counted", "counted", "pieces 0", "start -1 min", "void"):
        said = guide("amend", str(journal), "--record", str(lap.end_n), "--set", words)
        assert said.code == 0, said.err
        assert "was ," not in said.err
        assert "now ." not in said.err
        assert "e+" not in said.err
    assert "taken back: a count" in said.err


def test_the_taking_back_of_a_correction_is_no_refusal(guide, journal):
    """One correction comes, another goes: the record is as it was."""
    lap = lap_of(journal, "quilt/cross")
    assert guide("amend", str(journal), "--record", str(lap.end_n), "--set", "took 30 s").code == 0
    number = len(read_journal(journal).events)
    assert guide("amend", str(journal), "--record", str(number), "--set", "void").code == 0
    assert lap_of(journal, "quilt/cross") == lap


def test_a_journal_damaged_in_its_first_line_is_not_passed_over(guide, journal, monkeypatch):
    """No second session is begun beside it: exit 5, the line and the byte, the file as it was."""
    data = journal.read_bytes()
    journal.write_bytes(data.replace(b'"opened"', b'"ofened"', 1))
    before = journal.read_bytes()
    monkeypatch.setattr("sys.stdin", io.StringIO("\nq\n"))
    for argv in (["follow", DEMO, "--plain"], ["amend", DEMO, "--enter", "1, yesterday, 10:00 to 10:05"]):
        said = guide(*argv)
        assert said.code == 5
        assert f"{journal.name}:1:" in said.err
    assert journal.read_bytes() == before
    assert list(Path(DEMO).glob("*.jsonl")) == [journal]
    assert "guide follow --new begins another session" in guide("follow", DEMO, "--plain").err
    monkeypatch.setattr("sys.stdin", io.StringIO("\nq\n"))
    assert guide("follow", DEMO, "--plain", "--new").code == 0
    assert journal.read_bytes() == before


@pytest.mark.parametrize("record", [1, 40])
@pytest.mark.parametrize(
    "argv", [("follow", DEMO, "--plain"), ("amend", DEMO, "--enter", "1, yesterday, 10:00 to 10:05"), ("layout", DEMO)]
)
def test_an_old_damaged_journal_is_told_and_does_not_block_what_comes_after(guide, journal, monkeypatch, record, argv):
    """A later session is closed and whole, so the maker has gone on since: said with line and byte, left as it was."""
    lines = journal.read_bytes().split(b"\n")
    lines[record - 1] = lines[record - 1].replace(b'"what"', b'"whit"', 1)
    journal.write_bytes(b"\n".join(lines))
    worked(DEMO, 3, lambda step: step.pace_s)
    before = journal.read_bytes()
    monkeypatch.setattr("sys.stdin", io.StringIO("\nq\n"))
    said = guide(*argv)
    assert said.code == 0, said.err
    assert said.err.count(f"{journal.name}:{record}: damaged at byte") == 1
    assert "under way" not in said.err
    assert journal.read_bytes() == before
    assert len(list(Path(DEMO).glob("*.jsonl"))) == (2 if argv[0] == "layout" else 3)


def test_a_damaged_session_is_no_ground_to_go_on_from_when_the_project_needs_mending(guide, journal, monkeypatch):
    """Its texts cannot be read either: the damage is said, exit 5, no session is begun."""
    journal.write_bytes(journal.read_bytes().replace(b'"opened"', b'"ofened"', 1))
    Path(DEMO, "project.yaml").write_text("project: half a file\n", encoding="utf-8")
    monkeypatch.setattr("sys.stdin", io.StringIO("\nq\n"))
    said = guide("follow", DEMO, "--plain")
    assert said.code == 5
    assert said.err.count(f"{journal.name}:1: damaged at byte") == 1


def test_torn_bytes_that_hold_no_session_are_told(guide, workshop):
    """Times from paper go into a new session; the file beside it is named and left."""
    torn = Path(DEMO, "2026-01-01.jsonl")
    torn.write_bytes(encode(event_of(1, {"what": "opened", "format": 1}, midday().read()))[:40])
    before = torn.read_bytes()
    said = guide("amend", DEMO, "--enter", "1, yesterday, 10:00 to 10:05")
    assert said.code == 0, said.err
    assert torn.name in said.err
    assert torn.read_bytes() == before


def test_the_list_shows_what_one_must_choose_by(guide, journal):
    """Sizes beside the measures; no date while all is of one day."""
    told = guide("amend", str(journal)).out
    assert "measured panel width: 20 1/4 in" in told
    assert " Mar " not in told


def test_the_list_names_the_days_where_there_are_several(guide, journal):
    """Left open over a night and counted the next morning; a remark without words has no colon."""
    events = read_journal(journal).events
    last, open_journal = events[-1], Journal.open(journal, midday().read())
    clock = FakeClock(wall=NINE)
    clock.run(13 * 3600)
    open_journal.append({"what": "step_started", "step": "closure/zip_seam"}, clock.read())
    open_journal.append({"what": "interrupted"}, clock.run(60))
    open_journal.append({"what": "piece_done", "step": "closure/zip_seam", "count": 1}, clock.run(9 * 3600))
    open_journal.close()
    told = guide("amend", str(journal)).out.splitlines()
    assert last.n < len(events) + 1
    lap = next(line for line in told if line.split()[0] == str(len(events) + 3))
    assert re.search(r"1 Mar \d\d:\d\d to 2 Mar \d\d:\d\d ", lap)
    assert not [line for line in told if line.rstrip().endswith(":")]
    assert all(re.search(r"\d Mar \d\d:\d\d to ", line) for line in told if " to " in line and "measured" not in line)
