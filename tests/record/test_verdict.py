"""P3, P4: one verdict on what ends a journal. Torn is one line that was never wholly saved; all else is damage.

Every record is synced before the next is begun, so at most one can be torn: the last line without its newline, or
with blocks the disk never wrote, and no other record in it. Which of the two a hurt file is, is known here by how
it was hurt, not by asking the program.
"""

import pytest

from guide.errors import JournalDamaged
from guide.record.journal import Journal, read_journal
from guide.record.lines import encode, scan
from tests.fakes import FakeClock
from tests.record.faults import FULL
from tests.record.session import Session

BLOCK = 512  # bytes: what a disk writes at once, at least


def lines(note: str = "½ in, “pale” side {n: 1}") -> list[bytes]:
    """A session whose last three records hold a text, an empty member list and pieces."""
    s = Session()
    for _ in range(5):
        s.run(60).piece()
    s.run(3).say("noted", text=note, step="quilt/cross")
    s.run(9).done(1)
    return [encode(event) for event in s.events]


NOTES = ["½ in, “pale” side {n: 1}", *(["wool " * 100, '{"n":8,"at":"2026-03-01' * 9] if FULL else [])]


@pytest.fixture(params=NOTES, ids=range(len(NOTES)))
def told(request) -> list[bytes]:
    return lines(request.param)


def writer_says(path, data: bytes) -> str:
    """What opening for writing makes of a file: whole, torn or damaged; a damaged one is left as it is."""
    path.write_bytes(data)
    try:
        journal = Journal.open(path, FakeClock().read())
    except JournalDamaged:
        assert path.read_bytes() == data
        assert list(path.parent.iterdir()) == [path]
        return "damaged"
    journal.close()
    if journal.torn is None:
        assert path.read_bytes() == data
        return "whole"
    good = data[: -len(journal.torn.read_bytes())]
    assert path.read_bytes().startswith(good)
    assert good + journal.torn.read_bytes() == data
    journal.torn.unlink()
    return "torn"


def said(path, data: bytes, *, files: bool = True) -> str:
    """The verdict on these bytes, which reader and writer of a file share."""
    damage = scan(data).damage
    verdict = damage.kind if damage else "whole"
    if files or FULL:
        assert writer_says(path, data) == verdict
        path.write_bytes(data)
        assert read_journal(path).damage == damage
        assert path.read_bytes() == data
    return verdict


def test_of_the_last_three_records_every_flipped_bit_is_damage(tmp_path, told):
    """A saved record is hurt whatever the bit made of it, its line's end too: refused, and untouched."""
    data, last = b"".join(told), len(b"".join(told[-3:]))
    for at in range(len(data) - last, len(data)):
        for bit in range(8):
            hurt = bytearray(data)
            hurt[at] ^= 1 << bit
            assert said(tmp_path / "a.jsonl", bytes(hurt), files=at % 11 == bit) == "damaged", (at, bit)


def test_of_the_last_three_records_every_cut_is_torn(tmp_path, told):
    """What is left of a line has no end; cut between two lines nothing is torn."""
    data, last = b"".join(told), len(b"".join(told[-3:]))
    ends = {len(b"".join(told[:count])) for count in range(len(told) + 1)}
    for size in range(len(data) - last, len(data) + 1):
        assert said(tmp_path / "a.jsonl", data[:size], files=size % 7 == 0) == ("whole" if size in ends else "torn"), (
            size
        )


@pytest.mark.parametrize("end", [b"\x0b", b"J", b"\x00"])
def test_a_saved_record_whose_line_end_is_hurt_is_not_cut_off_with_a_torn_one(tmp_path, told, end):
    """Two faults at once: however little there is of the record after it, the one before was saved.

    But a zero is no hurt end: it is one that was never written, where nothing follows it.
    """
    *before, saved, last = told
    good = b"".join(before) + saved[:-1] + end
    for size in range(len(last)):
        torn = end == b"\x00" and size == 0
        verdict = said(tmp_path / "a.jsonl", good + last[:size], files=size % 23 == 0)
        assert verdict == ("torn" if torn else "damaged"), size


def test_a_byte_taken_out_is_damage(tmp_path, told):
    """An editor's hand: only the very last byte could have been one that was never saved."""
    data, last = b"".join(told), len(b"".join(told[-3:]))
    for at in range(len(data) - last, len(data)):
        verdict = "torn" if at == len(data) - 1 else "damaged"
        assert said(tmp_path / "a.jsonl", data[:at] + data[at + 1 :], files=at % 7 == 0) == verdict, at


def test_blocks_the_disk_never_wrote_are_torn_in_the_last_record_only(tmp_path):
    """A file may have its new length and nothing but zeros in a block of it; its record was not said to be saved."""
    *before, last = lines("wool " * 800)[:-1]
    good = b"".join(before)
    data = good + last
    for start in range(len(good) // BLOCK * BLOCK, len(data), BLOCK):
        at = max(start, len(good))
        end = min(start + BLOCK, len(data))
        assert said(tmp_path / "a.jsonl", data[:at] + bytes(end - at) + data[end:]) == "torn", at
        if end - at < 3:
            continue
        part = data[: at + 1] + bytes(end - at - 2) + data[end - 1 :]  # not the whole block: no disk leaves that
        assert said(tmp_path / "a.jsonl", part) == "damaged", at
    after = encode(Session(opened=False).say("noted", text="on")).replace(b'"n":1,', b'"n":9,')
    assert said(tmp_path / "a.jsonl", good + bytes(len(last)) + after) == "damaged"


def test_a_first_byte_hurt_in_every_record_is_damage(tmp_path):
    """Not one can be read or begins like a record: many saved records are not one torn line."""
    hurt = b"".join(b"[" + line[1:] for line in lines() * 5)[:-1]
    assert hurt.count(b"\n") > 30
    assert said(tmp_path / "a.jsonl", hurt) == "damaged"


@pytest.mark.parametrize("size", [1, 200, 4096])
def test_zeros_behind_the_last_record_are_torn(tmp_path, size):
    """The file had grown and nothing of the record came to the disk."""
    data = b"".join(lines())
    assert said(tmp_path / "a.jsonl", data + bytes(size)) == "torn"
    assert scan(data + bytes(size)).size == len(data)
