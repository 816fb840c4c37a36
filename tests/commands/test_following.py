"""Following along by hand in plain mode: counting, undoing, stopping, coming back, measuring; what the log says."""

import io
import json
import re
import shlex
from pathlib import Path

import pytest

from guide.commands.sessions import plan_of
from guide.read.places import open_project
from guide.record.fold import fold
from guide.record.journal import Journal, read_journal
from tests.commands.worked import worked
from tests.fakes import midday
from tests.show.pages_read import blanks

DEMO = "sessions/window-seat-cushion"


@pytest.fixture
def follow(guide, monkeypatch):
    """Follow the demo in plain lines: `follow("\\n\\nq\\n")`."""

    def call(lines: str, *options: str):
        monkeypatch.setattr("sys.stdin", io.StringIO(lines))
        return guide("follow", DEMO, "--plain", *options)

    return call


def journal() -> Path:
    return next(Path(DEMO).glob("*.jsonl"))


def record():
    return fold(read_journal(journal()).events)


def test_stopping_coming_back_and_undoing(follow):
    """Two pieces, stop, come back, one more, undone: the record holds two, over two sittings."""
    said = follow("\n1\n1\nq\n")
    assert said.code == 0
    assert "saved in" in said.out + said.err
    first = record()
    assert first.doing == "stopped"
    assert first.step("cut/press").pieces_done == 2
    said = follow("\n1\nu\nq\n")
    assert "Last:" in said.out
    second = record()
    assert second.sitting == 2
    assert second.step("cut/press").pieces_done == 2
    assert [e.what for e in read_journal(journal()).events].count("voided") == 1
    assert len(list(Path(DEMO).glob("*.jsonl"))) == 1


def test_the_end_of_input_keeps_the_session(follow):
    """Nothing typed, nothing lost: exit 0 and a session to go on with."""
    assert follow("").code == 0
    assert record().doing in {"stopped", "ready", "paused"}


def test_stopping_says_once_where_all_is_saved_and_how_to_go_on(follow):
    """One place, one command, whichever of the two streams is read."""
    said = follow("\nq\n")
    whole = said.out + said.err
    assert whole.count(str(journal())) == 1
    assert whole.count("saved") == 1
    assert whole.count(f"Go on with: guide follow {DEMO}") == 1
    assert "the same command" not in whole


def test_the_command_to_go_on_names_a_folder_with_blanks_in_one_word(guide, workshop, monkeypatch):
    """Two words would be two projects; the shell's own reading of what is told finds the folder."""
    there = (workshop / DEMO).rename(workshop / "sessions" / "my seat's cushion")
    monkeypatch.setattr("sys.stdin", io.StringIO("\nq\n"))
    said = guide("follow", str(there), "--plain")
    (told,) = re.findall(r"Go on with: (.+)", said.out + said.err)
    assert shlex.split(told) == ["guide", "follow", "sessions/my seat's cushion"]


def test_an_interruption_without_words_ends_the_line(follow, guide):
    """Called away and nothing said of why: no colon hangs at the end of the log's line."""
    follow("\ni\n\nq\n")
    log = guide("log", DEMO, "--markdown", "-o", "-").out
    told = log.partition("## Interruptions")[2].partition("##")[0]
    (line,) = [line for line in told.splitlines() if line]
    assert "Press and straighten the cloth" in line
    assert not line.rstrip().endswith(":")
    page = guide("log", DEMO, "-o", "-").out
    assert '<span class="text"></span>' not in page


def test_a_photo_that_is_not_there_yet_is_noted_and_told_of(follow):
    """The file may come later, so the note stands; one that lies in the project's folder is noted without a word more."""
    (Path(DEMO) / "front.jpg").write_bytes(b"")
    long = "x" * 300 + ".jpg"  # longer than a file's name may be
    said = follow(f"\nv front.jpg\nv photos/back.jpg\nv {long}\nq\n")
    told = [line for line in said.out.splitlines() if "noted" in line]
    missing = f"There is no such file in {DEMO} yet; noted all the same."
    assert told == ["Photo noted.", missing, missing]
    assert [event.name for event in read_journal(journal()).events if event.what == "photo"] == [
        "front.jpg",
        "photos/back.jpg",
        long,
    ]


def test_p15_a_shared_drive_is_spoken_of_before_work_begins(follow, monkeypatch, tmp_path):
    """What is under everything is an nfs share [source: proc_pid_mountinfo(5), its layout]: less is promised."""
    mounts = tmp_path / "mountinfo"
    mounts.write_text("36 35 98:0 / / rw,noatime master:1 - nfs4 shop:/cushions rw\n", encoding="utf-8")
    monkeypatch.setattr("guide.system.MOUNTS", mounts)
    said = follow("q\n")
    assert said.err.startswith("On a shared or synced drive (nfs4) ")
    mounts.write_text("36 35 98:0 / / rw,noatime master:1 - ext4 /dev/sda1 rw\n", encoding="utf-8")
    assert "shared or synced" not in follow("q\n").err


def walk_to(key, steps):
    """Keys that bring a new session to a step: start and finish every one before it."""
    out = ""
    for step in steps:
        if step["key"] == key:
            return out + "\n"
        out += "\na\n" if step["pieces"] > 1 else "\n\n"
    raise AssertionError(key)


def test_a_narrow_panel_shortens_the_zip_and_the_outer_seam_from_there_on(follow, guide):
    """Measured 3/4 in narrow: zip 3/4 in shorter, outer seam 1 1/2 in shorter, everywhere it is shown [identity]."""
    steps = json.loads(guide("plan", DEMO, "--json").out)["steps"]
    assert any(step["key"] == "join/measure_width" for step in steps)
    said = follow(walk_to("join/measure_width", steps) + "m\n20 1/4\n\n\n\nq\n")
    assert said.code == 0
    measures = record().measures["panel_width"]
    assert measures[-1].mm == pytest.approx(20.25 * 25.4)
    assert "18 1/4 in" in said.out  # zip_cut: 20 1/4 − 2 × 1 in
    why = guide("why", "zip_cut", str(journal())).out
    assert "zip_cut = 18 1/4 in" in why
    assert "planned 21 in" in why
    seam = guide("why", "outer_seam", str(journal())).out
    assert seam.startswith("outer_seam = 68 1/2 in")  # 2 × (19 1/4 + 15)
    page = blanks(Path(guide("log", str(journal())).out.strip()).read_text(encoding="utf-8"))
    for text in ("20 1/4 in", "18 1/4 in", "68 1/2 in", "21 in"):
        assert text in page


def test_the_log_shows_what_was_done_and_when(follow, guide):
    """Notes, pieces and sittings stand in the log, and a log of an open session says that it is open."""
    follow("\nn\nthe moss check frays fast\n\nq\n")
    said = guide("log", DEMO, "--markdown", "-o", "-")
    assert said.code == 0
    assert "the moss check frays fast" in said.out
    assert "Press and straighten" in said.out


def test_a_damaged_journal_is_refused_by_writers_and_shown_by_readers(follow, guide):
    """Exit 5 with line and byte; the good part is still in the log; the file is not touched."""
    follow("\n1\n1\nq\n")
    data = journal().read_bytes().split(b"\n")
    data[2] = data[2].replace(b"piece", b"peace", 1) if b"piece" in data[2] else data[2][:-5] + b"zzzz}"
    journal().write_bytes(b"\n".join(data))
    before = journal().read_bytes()
    said = follow("\n")
    assert said.code == 5
    assert ":3:" in said.err
    said = guide("log", str(journal()))
    assert said.code == 5
    assert guide("check", str(journal())).code == 5
    assert journal().read_bytes() == before


def test_a_session_open_elsewhere_is_refused(follow, guide):
    """Exit 4; the file named and left as it is."""
    follow("\nq\n")
    held = Journal.open(journal(), midday().read())
    before = journal().read_bytes()
    try:
        said = follow("\n")
        assert said.code == 4
        assert journal().name in said.err
        assert guide("amend", str(journal()), "--record", "2", "--set", "void").code == 4
    finally:
        held.close()
    assert journal().read_bytes() == before


def test_times_from_paper_are_shared_by_pace_and_marked(guide):
    """Typed in afterwards: the stretch is all there, to the ms, and says it was entered by hand."""
    said = guide("amend", DEMO, "--enter", "1-3, 09:00 to 09:30, yesterday")
    assert said.code == 0, said.err
    found = record()
    laps = [lap for step in found.steps.values() for lap in step.laps]
    assert sum(lap.counted_ms for lap in laps) == 30 * 60_000
    assert all(lap.by_hand for lap in laps)
    assert "by hand" in guide("amend", DEMO).out


def test_a_correction_leaves_the_original_visible(follow, guide):
    """The journal only grows; the log shows both."""
    follow("\n1\nq\n")
    number = next(lap.end_n for lap in record().step("cut/press").laps if lap.pieces)
    before = journal().read_bytes()
    said = guide("amend", str(journal()), "--record", str(number), "--set", "start -7 min", "--why", "forgot the timer")
    assert said.code == 0, said.err
    assert journal().read_bytes().startswith(before)
    assert record().step("cut/press").laps[0].counted_ms // 60_000 == 7
    assert "forgot the timer" in guide("log", str(journal()), "--markdown", "-o", "-").out


def test_sizes_and_notes_of_the_sheet_are_typed_in_with_the_times(guide):
    """As a maker writes them on the paper; what was taken from each line is said."""
    line = "20, yesterday, 16:30 to 16:35, 20 1/4 in, note: a little narrow"
    said = guide("amend", DEMO, "--enter", line)
    assert said.code == 0, said.err
    assert "20 Measure across: panel width 20 1/4 in, planned 21 in" in said.err
    assert "20 Measure across: 1 of 1, 5 min" in said.err
    assert record().measured() == {"panel_width": pytest.approx(514.35)}  # 20.25 in of 25.4 mm
    assert "zip_cut = 18 1/4 in" in guide("why", "zip_cut", str(journal())).out
    assert "note: " in guide("amend", "-h").out


def test_a_line_that_is_refused_leaves_nothing_behind(guide):
    """No session is begun for it, and of many lines none is kept: the same list can be typed again."""
    for lines in (["9-7, 10:00 to 10:20"], ["1, 09:00 to 09:10, yesterday", "2-1, 09:10 to 09:20, yesterday"]):
        said = guide("amend", DEMO, *(word for line in lines for word in ("--enter", line)))
        assert said.code == 2
        assert "Nothing was entered." in said.err
        assert "0 lines" not in said.err
        assert not list(Path(DEMO).glob("*.jsonl"))


def test_a_refused_line_leaves_an_open_session_as_it_was(follow, guide):
    """Byte for byte."""
    follow("\n1\nq\n")
    before = journal().read_bytes()
    lines = ["--enter", "7, 09:00 to 09:10, yesterday", "--enter", "7, 09:20 to 09:30, yesterday"]
    said = guide("amend", DEMO, *lines)
    assert (said.code, "done already" in said.err) == (2, True)
    assert journal().read_bytes() == before


def test_nothing_on_the_paper_is_no_session(guide, monkeypatch):
    """An empty list is told, with what to write."""
    monkeypatch.setattr("sys.stdin", io.StringIO("\n\n"))
    said = guide("amend", DEMO, "--enter", "-")
    assert (said.code, "--enter" in said.err) == (2, True)
    assert not list(Path(DEMO).glob("*.jsonl"))


CODES = ("cut/press", "cut/pieces", "step_done", "piece_done", ":square:")


def test_lists_name_steps_as_the_sheet_does(guide):
    """Title and number, in amend's list, in history and in the log; codes stay in export and JSON."""
    for line in ("1, 09:00 to 09:10, yesterday", "2, 09:10 to 09:31, yesterday"):
        assert guide("amend", DEMO, "--enter", line).code == 0
    said = guide("amend", DEMO, "--record", "3", "--set", "took 7 min")
    assert "2 Cut: moss check: length was 21 min, is now 7 min" in said.err
    said = guide("amend", DEMO, "--record", "2", "--set", "void")
    assert "1 Press and straighten the cloth: taken back: the finish, 3 pieces" in said.err
    listed = guide("amend", DEMO).out
    totals = guide("history", "--by", "step").out
    paces = guide("paces").out
    log = guide("log", DEMO, "--markdown", "-o", "-").out
    put_right = log.split("## Put right afterwards")[1].split("##")[0]
    assert "2 Cut: moss check" in listed
    assert "2 Cut: moss check" in totals
    assert "Cut " in paces
    assert "| 2 Cut: moss check: length | 21 min | 7 min |" in put_right
    assert "| 1 Press and straighten the cloth: taken back | the finish, 3 pieces | gone |" in put_right
    for text in (listed, totals, paces, put_right):
        assert not [code for code in CODES if code in text]
    assert "cut/pieces:moss check" in guide("export", DEMO).out
    assert "cut/pieces:moss check" in guide("history", "--json").out


def test_a_refused_correction_names_the_step(guide):
    """Its title, not its code."""
    guide("amend", DEMO, "--enter", "1, 09:00 to 09:10, yesterday")
    said = guide("amend", DEMO, "--record", "2", "--set", "end 08:50")
    assert (said.code, "Then 1 Press and straighten the cloth would end" in said.err) == (2, True)
    said = guide("amend", DEMO, "--enter", "1, 10:00 to 10:10, yesterday")
    assert (said.code, "1 Press and straighten the cloth is done already" in said.err) == (2, True)


def test_the_sheet_and_what_is_typed_from_it_number_steps_alike(guide):
    """Each line of the sheet, typed in by its number, ends in the record of the step printed there."""
    page = guide("sheet", DEMO, "--markdown", "-o", "-").out
    rows = [[cell.strip() for cell in line.split("|")] for line in page.splitlines() if line.startswith("| ")]
    printed = {int(row[1]): row[2] for row in rows if row[1].isdigit()}
    plan = json.loads(guide("plan", DEMO, "--json").out)["steps"]
    assert len(printed) == len(plan)
    for number in (1, len(plan) // 2, len(plan)):
        said = guide("amend", DEMO, "--enter", f"{number}, yesterday, 09:00 to 09:01")
        assert said.code == 0, said.err
        assert record().step(plan[number - 1]["key"]).state == "done"
        assert printed[number].startswith(plan[number - 1]["title"])


def test_seven_minutes_interrupted_come_off_a_closed_session(guide):
    """The log shows the length before and after, and why; the file only grew."""
    from tests.commands.worked import worked

    path = worked(DEMO, 0, lambda step: 600.0)
    before, told = path.read_bytes(), fold(read_journal(path).events)
    assert told.closed
    lap = told.step("quilt/cross").laps[3]
    said = guide("amend", str(path), "--record", str(lap.end_n), "--set", "interrupted 7 min", "--why", "the door")
    assert said.code == 0, said.err
    after = fold(read_journal(path).events)
    assert after.closed
    assert after.step("quilt/cross").counted_ms == told.step("quilt/cross").counted_ms - 420_000
    assert path.read_bytes().startswith(before)
    log = guide("log", str(path), "--markdown", "-o", "-").out
    assert "| 14 Sew the cross: length | 10 min | 3 min | the door" in log
    assert guide("check", str(path)).code == 0


def test_looking_ahead_begins_nothing(follow, guide):
    """A session only looked at is told apart from the open ones, kept, and gone on with."""
    follow("f\nf\nf\n")
    follow("f\nq\n")
    told = guide("history").out
    assert f"nothing begun yet: {journal()}" in told.replace("\n", "")
    assert "open:" not in told
    assert "so far" not in told
    assert [one["begun"] for one in json.loads(guide("history", "--json").out)["sessions"]] == [False]
    follow("\n1\nq\n")
    assert len(list(Path(DEMO).glob("*.jsonl"))) == 1
    told = guide("history").out
    assert told.startswith(f"open: {journal()}")
    assert "nothing begun" not in told


@pytest.mark.parametrize("lines", ["\nq\n", "n\nthe light is bad\nq\n"])
def test_a_step_started_or_a_note_written_begins_a_session(follow, guide, lines):
    """A key that leaves something to come back to."""
    follow(lines)
    assert guide("history").out.startswith("open:")


def test_what_was_begun_and_taken_back_is_not_begun(follow, guide):
    """Undone, so nothing stands."""
    follow("\nu\nq\n")
    assert guide("history").out.startswith("nothing begun yet:")


def test_a_session_is_not_its_own_yardstick(follow, monkeypatch):
    """Three sessions at the starter pace, one begun at three times that and taken up again: what is usual is as before."""
    for day in range(3):
        worked(DEMO, day, lambda step: step.pace_s)
    worked(DEMO, 3, lambda step: 3 * step.pace_s, until="quilt/cross")
    seen = []
    monkeypatch.setattr("guide.show.lines.follow", lambda talk, _in, **_: seen.append(talk.session.paces) or 0)
    assert follow("").code == 0
    step = next(one for one in plan_of(open_project(Path(DEMO), {})).steps if one.key == "quilt/trim")
    assert seen[0][step.key] == pytest.approx(step.pace_s, rel=0.02)


@pytest.mark.parametrize(
    ("state", "says"),
    [
        ({"_pending": object()}, "The last record is not saved; all before it is"),
        ({"moved_to": Path("kept.jsonl")}, "All of it is in kept.jsonl alone: put that file in the place of sessions/"),
    ],
)
def test_leaving_says_what_is_saved_and_where(follow, monkeypatch, state, says):
    """No word says that all is saved in the project when the last is not, or when it is elsewhere."""

    def face(talk, *_given, **_named):
        for name, value in state.items():
            setattr(talk.session, name, value)
        return 6

    monkeypatch.setattr("guide.show.lines.follow", face)
    assert says in follow("").err
