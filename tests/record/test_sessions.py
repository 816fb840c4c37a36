"""Finding sessions, adding them up, handing them out."""

import csv
import io
import json
from datetime import datetime

import pytest

from guide.record import sessions
from guide.record.history import as_csv, as_json, history, rows
from guide.record.journal import Journal
from tests.record.keeping import OPENED
from tests.record.session import Session


def write(path, session: Session) -> None:
    journal = Journal.create(path)
    for event in session.events:
        members = {
            name: getattr(event, name)
            for name in event.__struct_fields__
            if name not in {"n", "at", "offset", "awake", "total", "boot"} and getattr(event, name)
        }
        from guide.record.clock import wall_ms
        from guide.record.laps import reading_of

        journal.append(members, reading_of(event, wall_ms(event.at)))
    journal.close()


def making(title: str, maker: str = "", *, closed: bool = False, mode: str = "real") -> Session:
    s = Session(opened=False)
    s.say("opened", format=1, mode=mode, title=title, maker=maker)
    s.start("cut/squares")
    s.run(120).done(4, "cut/squares")
    s.start()
    s.run(60).piece()
    s.say("trouble", why="thread", step="quilt/cross")
    s.run(30).piece()
    s.run(5).say("noted", text='=HYPERLINK("x")', step="quilt/cross")
    if closed:
        s.say("closed", records=len(s.events) + 1)
    return s


def test_the_second_session_of_a_day_gets_the_next_name(tmp_path):
    """Named after the maker's own day; rehearsals lie apart and are never among them."""
    now = Session(opened=False).clock.read()
    made = [sessions.create(tmp_path, OPENED, now) for _ in range(3)]
    other = sessions.create(tmp_path, OPENED, now, rehearsal=True)
    assert [one.path.name for one in made] == ["2026-03-01.jsonl", "2026-03-01-2.jsonl", "2026-03-01-3.jsonl"]
    assert other.path == tmp_path / "rehearsals" / "2026-03-01.jsonl"
    assert sessions.journals(tmp_path) == [one.path for one in made]
    for one in (*made, other):
        one.close()


def test_sessions_are_ordered_by_day_and_number_not_by_letter(tmp_path):
    """The tenth comes after the second; strangers' files are no sessions."""
    for name in (
        "2026-03-01-10.jsonl",
        "2026-03-01-2.jsonl",
        "2026-03-01.jsonl",
        "notes.jsonl",
        "2026-03-01.jsonl.torn-1-0",
    ):
        (tmp_path / name).write_bytes(b"")
    assert [path.name for path in sessions.journals(tmp_path)] == [
        "2026-03-01.jsonl",
        "2026-03-01-2.jsonl",
        "2026-03-01-10.jsonl",
    ]


def test_the_newest_unfinished_session_is_taken_up(tmp_path):
    """Closed ones are not; one whose closing was taken back is."""
    write(tmp_path / "2026-03-01.jsonl", making("A"))
    write(tmp_path / "2026-03-02.jsonl", making("A", closed=True))
    assert sessions.unfinished(tmp_path).name == "2026-03-01.jsonl"
    again = making("A", closed=True)
    again.say("voided", of=len(again.events))
    write(tmp_path / "2026-03-03.jsonl", again)
    assert sessions.unfinished(tmp_path).name == "2026-03-03.jsonl"


@pytest.mark.parametrize("wrong", [b'"n":1', b'"n":3'])
def test_a_damaged_session_is_met_until_a_later_one_is_closed(tmp_path, wrong):
    """Nobody can write to it again; once its maker has gone on, it is told of and passed over."""
    hurt, later = tmp_path / "2026-03-02.jsonl", tmp_path / "2026-03-03.jsonl"
    write(tmp_path / "2026-03-01.jsonl", making("A", closed=True))
    write(hurt, making("A"))
    hurt.write_bytes(hurt.read_bytes().replace(wrong, b'"n":9', 1))
    assert sessions.unfinished(tmp_path) == hurt
    assert sessions.passed_over(tmp_path) == []
    write(later, making("A", closed=True))
    assert sessions.unfinished(tmp_path) is None
    assert [path for path, _ in sessions.passed_over(tmp_path)] == [hurt]


def test_an_unfinished_session_before_a_damaged_one_is_taken_up_once_that_is_passed_over(tmp_path):
    """It is whole and waits; the damage is told."""
    waiting, hurt = tmp_path / "2026-03-01.jsonl", tmp_path / "2026-03-02.jsonl"
    write(waiting, making("A"))
    write(hurt, making("A"))
    hurt.write_bytes(hurt.read_bytes().replace(b'"n":1', b'"n":9', 1))
    write(tmp_path / "2026-03-03.jsonl", making("A", closed=True))
    assert sessions.unfinished(tmp_path) == waiting
    assert [path for path, _ in sessions.passed_over(tmp_path)] == [hurt]


def test_an_empty_journal_is_no_session(tmp_path):
    """What a crash at the very first moment leaves is passed over."""
    (tmp_path / "2026-03-01.jsonl").write_bytes(b"")
    assert sessions.unfinished(tmp_path) is None


def test_history_adds_up(tmp_path):
    """The same time, cut by project, stage, step, day and maker, is the same sum; rehearsals never count."""
    worked_ms = 120_000 + 60_000 + 30_000 + 5_000  # the last 5 s on a piece that is not finished
    write(tmp_path / "a" / "2026-03-01.jsonl", making("A", "Ada (invented)"))
    write(tmp_path / "b" / "2026-03-01.jsonl", making("B", "Ben (invented)", closed=True))
    write(tmp_path / "b" / "2026-03-02.jsonl", making("B", "Ben (invented)", mode="rehearsal"))
    told = history(sessions.sessions_below(tmp_path))
    for by in (told.by_project, told.by_stage, told.by_step, told.by_day, told.by_maker):
        assert sum(total.counted_ms for total in by.values()) == 2 * worked_ms
    assert told.by_stage["cut"].counted_ms == 240_000
    assert told.by_step["quilt/cross"].trouble_ms == 60_000
    assert told.by_step["quilt/cross"].sessions == 2
    assert [one.title for one in told.open] == ["A"]


def test_history_tells_what_it_could_not_read(tmp_path):
    """A damaged session gives its good part, and is named."""
    path = tmp_path / "a" / "2026-03-01.jsonl"
    write(path, making("A"))
    data = bytearray(path.read_bytes())
    data[data.index(b'"n":4') + 3] ^= 1
    path.write_bytes(data)
    told = history([path, tmp_path / "missing.jsonl"])
    assert [one.path for one in told.unread] == [path, tmp_path / "missing.jsonl"]
    assert ":4: damaged at byte" in told.unread[0].says
    assert told.by_stage["cut"].counted_ms == 120_000


def test_an_export_adds_up_to_the_record_to_the_millisecond():
    """Counted time in the rows is the record's; starts and ends are exact moments with their offset."""
    s = making("A")
    made = rows(s.record, "2026-03-01.jsonl")
    laps = [row for row in made if row.kind == "lap"]
    assert sum(row.counted_ms for row in laps) == s.record.counted_ms == 215_000
    *ended, open_ = laps
    assert (open_.end, open_.pieces, open_.counted_ms) == ("", 0, 5_000)  # under the needle
    for row in ended:
        length = datetime.fromisoformat(row.end) - datetime.fromisoformat(row.start)
        assert length.total_seconds() * 1000 == row.counted_ms
        assert row.start.endswith("+01:00")
    assert {row.kind for row in made} == {"lap", "trouble", "noted"}


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\t=1", "\r=1", " =1", "\n=1"])
def test_no_cell_can_act_as_a_formula(text):
    """A cell that starts like a formula is written as text [source: OWASP, CSV Injection, second hand]."""
    s = Session()
    s.say("noted", text=text)
    (head, row) = csv.reader(io.StringIO("".join(as_csv(rows(s.record, "x.jsonl"))), newline=""))
    assert row[head.index("text")] == "'" + text


def test_json_rows_are_read_back_as_they_were():
    """Numbers stay numbers, unknown is null, text of any kind comes through."""
    s = making("A")
    s.say("noted", text="a\u2028b é ½ \U0001f9f5")
    made = rows(s.record, "x.jsonl")
    back = json.loads("".join(as_json(made)))
    assert [one["text"] for one in back] == [one.text for one in made]
    assert back[0]["counted_ms"] == 120_000
    assert back[-1]["counted_ms"] is None
    assert json.loads("".join(as_json([]))) == []
