"""P6: a disk that takes no more loses only the record in hand, and the maker is told."""

import errno
import resource

import pytest

from guide.errors import CannotWrite, GuideError
from guide.record.journal import Journal, read_journal
from guide.record.lines import encode
from tests.fakes import FakeClock
from tests.record.faults import CODES, FULL, FaultyOs, faulty
from tests.record.keeping import OPENED, in_child, kept, noted


def use(path, clock) -> tuple[list[bytes], list[GuideError]]:
    """Write four records, trying each twice as a maker would; (lines said to be saved, refusals)."""
    said, refusals = [], []
    journal = None
    for number in range(1, 5):
        for _ in range(2):
            try:
                if journal is None:
                    journal = Journal.open(path, clock.read()) if path.exists() else Journal.create(path)
                journal.append(noted(number) if journal.events else OPENED, clock.run(1))
            except GuideError as bad:
                refusals.append(bad)
                if journal is not None and journal.poisoned:
                    journal.close()
                    journal = None
            else:
                said = [encode(event) for event in journal.events]
                break
    if journal is not None:
        journal.close()
    return said, refusals


@pytest.mark.parametrize("lasting", [False, True], ids=["once", "for ever"])
@pytest.mark.parametrize("call", ["write", "fsync", "open", "ftruncate", "fstat"])
def test_p6_a_call_that_fails_loses_only_its_record(tmp_path, monkeypatch, call, lasting):
    """The Nth write, fsync, open … fails, once or for ever: all that was said to be saved is there, byte for byte."""
    refused = 0
    for code in CODES:
        for nth in range(1, 13 if FULL else 7):
            for partly in (0, 1, 10) if call == "write" else (0,):
                path = tmp_path / f"{code}-{nth}-{partly}.jsonl"
                faulty(monkeypatch, FaultyOs(call, nth, code, lasting=lasting, partly=partly))
                said, refusals = use(path, FakeClock())
                monkeypatch.undo()
                refused += len(refusals)
                assert all(bad.exit_code == 6 and str(path) in str(bad) for bad in refusals)
                assert (path.read_bytes() if path.exists() else b"").startswith(b"".join(said)), (code, nth, partly)
                if not lasting:
                    assert len(said) == 4, "tried again, everything is saved"
                if path.exists():
                    journal = Journal.open(path, FakeClock().read())
                    assert [encode(event) for event in journal.events[: len(said)]] == said
                    journal.close()
    assert refused or call == "ftruncate", "no fault was met: the test would say nothing"


def test_p6_when_the_half_line_cannot_be_taken_back_it_is_a_torn_tail(tmp_path, monkeypatch):
    """Two faults at once: nothing more is written here, and the next opening sets the half line aside."""

    class TwoFaults(FaultyOs):
        def ftruncate(self, fd, size):
            raise OSError(errno.EIO, "Input/output error")

    journal = kept(tmp_path / "a.jsonl")
    faulty(monkeypatch, TwoFaults("write", 1, errno.ENOSPC, lasting=False, partly=9))
    for says in ("the disk is full", "could not be taken back"):
        with pytest.raises(CannotWrite, match=says):
            journal.append(noted(4), FakeClock().read())
    monkeypatch.undo()
    again = journal.reopened(FakeClock().read())
    assert again.torn.read_bytes() == b'{"n":4,"a'
    assert [event.what for event in again.events] == ["opened", "noted", "noted", "recovered"]
    again.close()


def test_p6_the_record_can_be_saved_elsewhere(tmp_path, monkeypatch):
    """The good part is copied byte for byte, the refused event follows, the old file stays as it was."""
    clock = FakeClock()
    journal = kept(tmp_path / "a.jsonl")
    before = (tmp_path / "a.jsonl").read_bytes()
    faulty(monkeypatch, FaultyOs("write", 1, errno.ENOSPC, lasting=False, partly=9))
    with pytest.raises(CannotWrite, match="the disk is full"):
        journal.append(noted(4), clock.read())
    other = journal.save_elsewhere(tmp_path / "stick" / "a.jsonl")
    other.append(noted(4), clock.read())
    other.close()
    assert (tmp_path / "a.jsonl").read_bytes() == before
    assert (tmp_path / "stick" / "a.jsonl").read_bytes().startswith(before)
    assert [event.n for event in read_journal(tmp_path / "stick" / "a.jsonl").events] == [1, 2, 3, 4]


def test_p6_saving_elsewhere_works_when_the_old_disk_gives_nothing_back(tmp_path, monkeypatch):
    """A pulled stick: what is in memory is written, the same bytes."""
    journal = kept(tmp_path / "a.jsonl")
    before = (tmp_path / "a.jsonl").read_bytes()
    faulty(monkeypatch, FaultyOs("pread", 1, errno.EIO, lasting=True))
    journal.save_elsewhere(tmp_path / "b.jsonl").close()
    assert (tmp_path / "b.jsonl").read_bytes() == before


def test_p6_a_place_elsewhere_that_fills_up_leaves_nothing_half_written(tmp_path, monkeypatch):
    """The copy is taken away again, and the old journal is still there to try."""
    journal = kept(tmp_path / "a.jsonl")
    faulty(monkeypatch, FaultyOs("write", 1, errno.ENOSPC, lasting=False, partly=40))
    with pytest.raises(CannotWrite, match=r"b\.jsonl cannot be written: the disk is full"):
        journal.save_elsewhere(tmp_path / "b.jsonl")
    assert list(tmp_path.iterdir()) == [tmp_path / "a.jsonl"]
    journal.append(noted(4), FakeClock().read())
    journal.close()


def test_p6_an_interrupted_save_leaves_the_file_as_it_was(tmp_path, monkeypatch):
    """Whatever breaks in between (not only the disk), the file ends with the last saved record."""

    class Breaks(FaultyOs):
        def fsync(self, fd):
            raise KeyboardInterrupt

    journal = kept(tmp_path / "a.jsonl")
    before = (tmp_path / "a.jsonl").read_bytes()
    faulty(monkeypatch, Breaks("none", 1, 0, lasting=False))
    with pytest.raises(KeyboardInterrupt):
        journal.append(noted(4), FakeClock().read())
    monkeypatch.undo()
    assert (tmp_path / "a.jsonl").read_bytes() == before
    assert journal.append(noted(4), FakeClock().read()).n == 4
    journal.close()


def test_p6_a_refused_place_elsewhere_leaves_the_journal_open(tmp_path):
    """Nothing is lost by asking for a place that cannot be."""
    journal = kept(tmp_path / "a.jsonl")
    (tmp_path / "b.jsonl").write_text("mine", encoding="utf-8")
    with pytest.raises(CannotWrite):
        journal.save_elsewhere(tmp_path / "b.jsonl")
    journal.append(noted(4), FakeClock().read())
    journal.close()
    assert (tmp_path / "b.jsonl").read_text(encoding="utf-8") == "mine"


def grow_until_refused(path) -> str:
    resource.setrlimit(resource.RLIMIT_FSIZE, (1500, resource.RLIM_INFINITY))
    journal, clock = kept(path), FakeClock()
    for number in range(4, 100):
        try:
            journal.append(noted(number), clock.run(1))
        except CannotWrite as bad:
            saved = len(journal.events)
            resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
            journal.append(noted(number), clock.run(1))
            return f"{bad}|{saved}"
    return "never refused"


def test_p6_a_file_that_may_not_grow(tmp_path):
    """RLIMIT_FSIZE: refused with a reason, the half line taken back, and later it goes on."""
    said, _, saved = in_child(grow_until_refused, tmp_path / "a.jsonl").partition("|")
    assert "may not grow any further" in said
    found = read_journal(tmp_path / "a.jsonl")
    assert found.damage is None
    assert len(found.events) == int(saved) + 1


def fill(path):
    with path.open("wb", buffering=0) as big:
        while True:
            big.write(bytes(4096))


def note_on(journal, clock):
    for number in range(4, 200):
        journal.append(noted(number), clock.run(1))


def test_p6_a_really_full_disk(tiny_disk):
    """Filled to the last byte: the record is refused, all others are whole; with room again it goes on."""
    journal, clock = kept(tiny_disk / "a.jsonl"), FakeClock()
    ballast = tiny_disk / "ballast"
    with pytest.raises(OSError):
        fill(ballast)
    with pytest.raises(CannotWrite, match="the disk is full"):
        note_on(journal, clock)
    saved = len(journal.events)
    assert read_journal(tiny_disk / "a.jsonl").events == journal.events
    ballast.unlink()
    journal.append(noted(0), clock.run(1))
    journal.close()
    found = read_journal(tiny_disk / "a.jsonl")
    assert (len(found.events), found.damage) == (saved + 1, None)
