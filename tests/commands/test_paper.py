"""Work that was kept on paper: its log shows the days it was done on, whatever day it was typed in."""

import io
import json
import re
from pathlib import Path

import pytest

from guide.record.fold import fold
from guide.record.journal import read_journal
from tests.commands.worked import worked

DEMO = "sessions/window-seat-cushion"
SHEET = "1-13, yesterday, 10:00 to 12:00, less 10 min\n14-20, yesterday, 13:00 to 14:47\n"

YESTERDAY, TODAY = "19 November 2026", "20 November 2026"  # the tests' midday


@pytest.fixture
def typed(guide, monkeypatch):
    """A session that was typed in from the paper of yesterday; its log as markdown and as a page."""
    monkeypatch.setattr("sys.stdin", io.StringIO(SHEET))
    said = guide("amend", DEMO, "--new", "--enter", "-")
    assert said.code == 0, said.err

    def logs() -> tuple[str, str]:
        page = Path(guide("log", DEMO).out.strip()).read_text(encoding="utf-8")
        return guide("log", DEMO, "--markdown", "-o", "-").out, page

    return logs


def test_the_log_bears_the_day_the_work_was_done(typed):
    """Two hours less ten minutes and 1 h 47 are 3:37:00 [identity], all of them yesterday's."""
    for log in typed():
        head = log.partition("Both faces")[0]
        assert YESTERDAY in head
        assert TODAY not in head
        assert f"typed in afterwards, on {TODAY}" in log
        assert "0:00 hands on" not in log
    markdown, page = typed()
    assert f"| on paper | {YESTERDAY} | 10:00 | 14:47 | 3:37:00 |" in markdown
    assert "| Sitting 1 |" not in markdown
    row = page.partition('<th scope="row">on paper</th>')[2].partition("</tr>")[0]
    assert [part in row for part in (YESTERDAY, ">10:00<", ">14:47<", ">3:37:00<")] == [True] * 4


def test_a_sitting_at_the_table_stands_beside_the_paper(typed, guide, monkeypatch):
    """Taken up today: from yesterday to today, the sitting by its number and the paper by its day."""
    monkeypatch.setattr("sys.stdin", io.StringIO("\nn\nlooks well\nq\n"))
    assert guide("follow", DEMO, "--plain").code == 0
    markdown, page = typed()
    assert f"{YESTERDAY} to {TODAY}" in markdown
    assert f"{YESTERDAY} to {TODAY}" in page.partition("Both faces")[0]
    assert len(re.findall(r"(?i)sitting 2 *\|", markdown)) <= 1
    assert f"| {TODAY} |" in markdown
    assert f"| on paper | {YESTERDAY} | 10:00 | 14:47 | 3:37:00 |" in markdown


def test_history_dates_an_open_session_by_its_first_work(typed, guide):
    """Since yesterday, and 3 h 37 of it, as the log says."""
    assert "since 2026-11-19, 3 h 37 so far)" in guide("history").out


WHOLE = "1-{last}, 2026-11-18, 8:00 to 16:00, 20 out, 20 in\n"


@pytest.fixture
def last(guide) -> int:
    """How many steps the demo has."""
    return len(json.loads(guide("plan", DEMO, "--json").out)["steps"])


@pytest.fixture
def whole(guide, monkeypatch, last):
    """A whole making typed in from one day's paper; what was said."""
    monkeypatch.setattr("sys.stdin", io.StringIO(WHOLE.format(last=last)))
    said = guide("amend", DEMO, "--enter", "-")
    assert said.code == 0, said.err
    return said


def folded(name: str):
    return fold(read_journal(Path(DEMO, name)).events)


def journals() -> list[str]:
    return sorted(path.name for path in Path(DEMO).glob("*.jsonl"))


def test_a_session_from_paper_is_named_for_the_day_it_tells_of(guide, typed):
    """Yesterday's work, typed in today; a second one of that day gets the next number, and the first day counts."""
    assert journals() == ["2026-11-19.jsonl"]
    assert guide("amend", DEMO, "--new", "--enter", "1, yesterday, 9:00 to 9:05").code == 0
    two = ("--enter", "2, 2026-11-12, 9:00 to 9:05", "--enter", "1, 2026-11-11, 9:00 to 9:05")
    assert guide("amend", DEMO, "--new", *two).code == 0
    assert guide("amend", DEMO, "--new", "--enter", "1, 9:00 to 9:05").code == 0
    assert journals() == ["2026-11-11.jsonl", "2026-11-19-2.jsonl", "2026-11-19.jsonl", "2026-11-20.jsonl"]


def test_a_session_from_paper_is_closed_with_its_last_step(guide, whole, last):
    """Eight hours over all steps: closed, checked sound, all counted but what waits, and no sitting of today in its log.

    What waits: glue 5 min, the wash 1 h, drying 50 min, as the stage files say.
    """
    assert journals() == ["2026-11-18.jsonl"]
    assert "the session is closed" in whole.err
    record = folded("2026-11-18.jsonl")
    assert record.closed
    assert record.counted_ms == (8 * 60 - 5 - 60 - 50) * 60_000
    assert guide("check", f"{DEMO}/2026-11-18.jsonl").code == 0
    assert not [line for line in guide("history").out.splitlines() if line.startswith("open")]
    log = guide("log", DEMO, "--markdown", "-o", "-").out
    assert "Not finished" not in log
    assert "| Sitting 1 |" not in log
    assert TODAY not in log.partition("Both faces")[0]


def test_it_stays_open_while_a_step_is_left(guide, last):
    """All but the last; then the last closes it, and no second closing is written for a note."""
    assert guide("amend", DEMO, "--enter", f"1-{last - 1}, yesterday, 8:00 to 16:00, 20 out, 20 in").code == 0
    assert not folded("2026-11-19.jsonl").closed
    assert guide("amend", DEMO, "--enter", f"{last}, yesterday, 16:00 to 16:05").code == 0
    assert folded("2026-11-19.jsonl").closed
    assert guide("amend", DEMO, "--enter", "note: given to the neighbour").code == 0
    kinds = [event.what for event in read_journal(Path(DEMO, "2026-11-19.jsonl")).events]
    assert (kinds.count("closed"), kinds[-1]) == (1, "noted")


def test_paper_closes_a_session_begun_at_the_table_without_making_its_sitting_longer(guide, last, monkeypatch):
    """A sitting of some minutes on the 1st stays that, when its rest is typed in weeks later."""
    path = worked(DEMO, 0, lambda step: step.pace_s, until="quilt/cross")
    (before,) = folded(path.name).sittings
    keys = [step["key"] for step in json.loads(guide("plan", DEMO, "--json").out)["steps"]]
    rest = f"{keys.index('quilt/cross') + 1}-{last}, 2026-11-18, 8:00 to 16:00, 20 out, 20 in"
    assert guide("amend", DEMO, "--enter", rest).code == 0
    record = folded(path.name)
    assert record.closed
    assert [(one.start, one.end) for one in record.sittings] == [(before.start, before.end)]
    assert sum(one.counted_ms for one in record.sittings) == before.counted_ms


FORGOTTEN = [
    ("panel width 20 1/4 in", "panel width 20 1/4 in"),
    ("note: the zip is a little stiff, oiled", "note: the zip is a little stiff, oiled"),
    ("photo: front.jpg", "photo: front.jpg"),
]


@pytest.mark.parametrize(("line", "said"), FORGOTTEN, ids=["size", "note", "photo"])
def test_a_finished_session_takes_what_was_forgotten(guide, workshop, line, said):
    """No times are asked for, no session of today is begun; what it counts and that it is finished stay."""
    path = worked(DEMO, 0, lambda step: step.pace_s)
    (Path(DEMO) / "front.jpg").write_bytes(b"\xff\xd8\xff\xd9")
    before = path.read_bytes()
    was = folded(path.name)
    told = guide("amend", DEMO, "--enter", line)
    assert told.code == 0, told.err
    assert said in told.err
    assert journals() == [path.name]
    assert path.read_bytes().startswith(before)
    now = folded(path.name)
    assert (now.closed, now.counted_ms, now.sittings) == (True, was.counted_ms, was.sittings)
    assert guide("check", str(path)).code == 0
    shown = guide("log", DEMO, "--markdown", "-o", "-").out
    assert said.partition(" ")[2].partition(": ")[2] in shown or "20 1/4 in" in shown


def test_a_forgotten_size_is_what_was_measured(guide):
    """514.35 mm [identity: 20 1/4 × 25.4], by its step's number or by its name; the plan follows it."""
    path = worked(DEMO, 0, lambda step: step.pace_s)
    steps = json.loads(guide("plan", DEMO, "--json").out)["steps"]
    number = next(step["number"] for step in steps if step["key"] == "join/measure_width")
    assert guide("amend", DEMO, "--enter", f"step {number}, 20 1/4 in").code == 0
    assert folded(path.name).measured() == {"panel_width": pytest.approx(514.35)}
    assert guide("amend", str(path), "--enter", "panel height 15 1/4 in, note: a little long").code == 0
    assert folded(path.name).measured()["panel_height"] == pytest.approx(387.35)
    assert "20 1/4 in" in guide("why", "panel_width", str(path)).out


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("20 1/4 in", "Which size is it"),
        ("panel width 90 in", "panel width"),
        ("photo: ../secret.jpg", "inside the project's folder"),
        ("yesterday, note: late", "write the steps' numbers and the times"),
        ("step 99, note: late", "There is no step 99"),
        ("photo:", "is not understood"),
    ],
)
def test_what_cannot_be_taken_begins_nothing_either(guide, line, says):
    """One sentence with what to write; nothing is written, nothing begun."""
    path = worked(DEMO, 0, lambda step: step.pace_s)
    before = path.read_bytes()
    said = guide("amend", DEMO, "--enter", line)
    assert said.code == 2
    assert says in said.err
    assert path.read_bytes() == before
    assert journals() == [path.name]


def test_a_photo_that_is_not_there_yet_is_noted_and_said(guide):
    """By its name as it was written, capital letters and all."""
    path = worked(DEMO, 0, lambda step: step.pace_s)
    assert "There is no Photos/Front.JPG in" in guide("amend", DEMO, "--enter", "photo: Photos/Front.JPG").err
    assert [one.text for one in folded(path.name).remarks if one.kind == "photo"] == ["Photos/Front.JPG"]


def test_following_again_after_a_finished_session_says_where_what_was_forgotten_goes(guide, monkeypatch):
    """It begins a new making; the line that puts a note into the finished one is told and works."""
    path = worked(DEMO, 0, lambda step: step.pace_s)
    monkeypatch.setattr("sys.stdin", io.StringIO("q\n"))
    said = guide("follow", DEMO, "--plain")
    assert f"{DEMO}/{path.name} is finished: a new session is begun" in said.err
    mend = re.search(r'guide (amend \S+ --enter) "note: …"', said.err)
    assert guide(*mend[1].split(), "note: stiff").code == 0
    assert [one.text for one in folded(path.name).remarks if one.kind == "noted"] == ["stiff"]


def test_without_any_session_a_note_has_nowhere_to_go(guide):
    """It begins none by itself."""
    said = guide("amend", DEMO, "--enter", "note: looks well")
    assert said.code == 2
    assert "no session yet" in said.err
    assert journals() == []


def test_times_of_another_making_begin_a_session_and_it_is_said(guide):
    """The finished one is named beside it, in case it was meant."""
    worked(DEMO, 0, lambda step: step.pace_s)
    said = guide("amend", DEMO, "--enter", "1, 9:00 to 9:05")
    assert journals() == ["2026-03-01.jsonl", "2026-11-20.jsonl"]
    assert "2026-03-01.jsonl is finished: a new session is begun" in said.err


def test_what_is_wrong_with_a_line_is_said_even_before_any_session(guide):
    """It may tell of work, which begins one: the mend is the answer, not that no session is there."""
    said = guide("amend", DEMO, "--enter", "steps 7-5, 9:00 to 9:05")
    assert said.code == 2
    assert "the first step comes first: 5-7" in said.err
    assert "no session yet" not in said.err
    assert journals() == []
