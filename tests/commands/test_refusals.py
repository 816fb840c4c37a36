"""An amendment that is refused has changed nothing: all is looked at before the journal is opened for writing."""

import errno
from pathlib import Path

import pytest

from guide.record.fold import fold
from guide.record.journal import Appended, Journal, read_journal
from tests.commands.worked import worked
from tests.record.faults import FaultyOs, faulty

DEMO = "sessions/window-seat-cushion"


@pytest.fixture
def torn(workshop) -> Path:
    """The demo worked up to the closing of its back; the record after that was cut off while it was being saved."""
    path = worked(DEMO, 0, lambda step: 60.0, measures={"panel_width": 514.35}, until="closure/zip_seam")
    path.write_bytes(path.read_bytes() + b'{"n":999,"at":"2026-0')
    return path


def state(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize(
    "argv",
    [
        ("--record", "9999", "--set", "void"),
        ("--record", "0", "--set", "void"),
        ("--record", "1", "--set", "void"),
        ("--record", "30", "--set", "nonsense"),
        ("--record", "30", "--set", "took 9 h"),
        ("--record", "30", "--set", "void", "--measure", "20 in"),
        ("--record", "30"),
        ("--record", "30", "--measure", "20 in"),
        ("--record", "30", "--move", "join/measure_width"),
        ("--record", "MEASURED", "--measure", "20 miles"),
        ("--record", "MEASURED", "--measure", "2 in"),
        ("--record", "MEASURED", "--move", "join/nowhere"),
        ("--enter", "step 99, 10:00 to 10:05"),
        ("--enter", "step 30, 10:00 to 10:05", "--enter", "step 31, tomorrow"),
        ("--enter", "20, 10:00 to 10:05, panel width 1 in"),
    ],
)
def test_a_refused_amendment_touches_nothing(guide, torn, argv):
    """Not the journal, not its torn tail, no file beside it [identity]."""
    measured = next(event.n for event in read_journal(torn).events if event.what == "measured")
    before = state(torn.parent)
    said = guide("amend", str(torn), *(str(measured) if word == "MEASURED" else word for word in argv))
    assert (said.code, said.out) == (2, "")
    assert state(torn.parent) == before


def test_an_amendment_that_holds_sets_the_torn_tail_aside_and_is_kept(guide, torn):
    """Nothing else of what was saved is touched; what was put right is said by its own record."""
    saved = torn.read_bytes().rpartition(b"\n")[0] + b"\n"
    lap = next(event.n for event in read_journal(torn).events if event.what == "step_done")
    said = guide("amend", str(torn), "--record", str(lap), "--set", "took 30 s")
    assert said.code == 0, said.err
    assert f"Record {lap}: 1 Press and straighten the cloth: length was 60 s, is now 30 s." in said.err
    assert torn.read_bytes().startswith(saved)
    assert [event.what for event in read_journal(torn).events[-2:]] == ["recovered", "amended"]
    assert [path.read_bytes() for path in torn.parent.glob("*.torn-*")] == [b'{"n":999,"at":"2026-0']
    assert fold(read_journal(torn).events).steps["cut/press"].laps[-1].counted_ms == 30_000


@pytest.mark.parametrize("nth", [2, 3])
def test_of_lines_from_paper_all_are_entered_or_none(guide, torn, monkeypatch, nth):
    """The disk takes the first and not the next: what was entered is taken back, and it is said so."""
    torn.write_bytes(torn.read_bytes().rpartition(b"\n")[0] + b"\n")
    before = state(torn.parent)
    lines = (
        "--enter",
        "30, 2026-03-01, 10:00 to 10:10",
        "--enter",
        "31, 2026-03-01, 10:10 to 10:20",
        "--enter",
        "32, 2026-03-01, 10:20 to 10:30",
    )
    faulty(monkeypatch, FaultyOs("write", nth, errno.ENOSPC, lasting=True, partly=10))
    said = guide("amend", str(torn), *lines)
    assert said.code == 6, said.err
    assert "the disk is full" in said.err
    count = before[torn.name].count(b"\n")
    assert f"None of them is saved, the {count} records before it are safe." in said.err
    assert state(torn.parent) == before


def test_of_a_new_session_from_paper_nothing_is_left_when_it_is_refused(guide, torn, monkeypatch):
    """Its first record was taken, the next was not: no session is begun."""
    before = state(torn.parent)
    faulty(monkeypatch, FaultyOs("write", 2, errno.ENOSPC, lasting=True, partly=10))
    said = guide("amend", DEMO, "--new", "--enter", "1, 2026-03-01, 10:00 to 10:10")
    assert said.code == 6, said.err
    assert state(torn.parent) == before


def test_check_goes_on_behind_a_file_that_cannot_be_read(guide, workshop):
    """Of three files the first is not there and the second is no text: all three are told of, and it ends with 2."""
    (workshop / "odd.yaml").write_bytes(b"stage: \xff\xfe")
    said = guide("check", "missing.yaml", "odd.yaml", "sessions/window-seat-cushion")
    assert said.code == 2
    assert "There is no file missing.yaml." in said.err
    assert "odd.yaml" in said.err
    assert "sessions/window-seat-cushion/project.yaml: good." in said.err


def test_what_another_program_put_in_a_new_sessions_place_is_left_there(guide, workshop, monkeypatch):
    """A synchronised folder, say: its file came between the first record and the next, and is not ours to take away."""
    append = Journal.append

    def late(journal, members, reading):
        journal.path.unlink()
        journal.path.write_text("of another", encoding="utf-8")
        return append(journal, members, reading)

    monkeypatch.setattr(Appended, "append", late)
    said = guide("amend", DEMO, "--enter", "1, 2026-03-01, 10:00 to 10:10")
    assert said.code == 6, said.err
    assert (Path(DEMO) / "2026-03-01.jsonl").read_text(encoding="utf-8") == "of another"
