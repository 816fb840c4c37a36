"""Is a journal whole? Said exactly, and nothing is touched."""

import pytest
from msgspec.structs import replace

from guide.record.lines import decode, encode
from guide.record.sessions import verify
from tests.record.session import Session


def looked_at(tmp_path, data: bytes):
    path = tmp_path / "2026-03-01.jsonl"
    path.write_bytes(data)
    found = verify(path)
    assert path.read_bytes() == data
    return found


def lines(s: Session) -> list[bytes]:
    return [encode(event) for event in s.events]


def test_a_whole_closed_session(tmp_path):
    """Nothing is wrong, and its end is proven."""
    s = Session()
    s.start()
    s.run(60).done()
    s.say("closed", records=4)
    found = looked_at(tmp_path, b"".join(lines(s)))
    assert (found.records, found.closed, found.wrong, found.told) == (4, True, (), ())


def test_an_open_session_says_what_cannot_be_seen(tmp_path):
    """Whole lines cut from the end of an unclosed file leave no trace."""
    found = looked_at(tmp_path, b"".join(lines(Session())))
    assert found.wrong == ()
    assert "cannot be seen" in found.told[0]


def test_damage_is_placed_and_the_safe_part_counted(tmp_path):
    """Line, byte and reason; the records before it are safe."""
    s = Session()
    s.start()
    s.run(60).done()
    hurt = lines(s)
    hurt[1] = hurt[1].replace(b"cross", b"crass")
    (said,) = looked_at(tmp_path, b"".join(hurt)).wrong
    assert f":2: damaged at byte {len(hurt[0])} (the checksum does not fit the line)" in said
    assert "the record before it is safe, nothing was changed" in said


def test_a_torn_tail_is_told(tmp_path):
    """Only what was never said to be saved is missing."""
    s = Session()
    s.start()
    (said,) = looked_at(tmp_path, b"".join(lines(s))[:-9]).wrong
    assert ":2: the last record was cut off while it was being saved; the record before it is safe" in said


def test_a_closing_that_counts_other_records_is_told(tmp_path):
    """Somebody took whole lines out and numbered the rest anew."""
    s = Session()
    s.say("closed", records=9)
    assert "closed with 9 records, and this is number 2" in looked_at(tmp_path, b"".join(lines(s))).wrong[0]


def test_an_empty_file_and_a_wrong_beginning(tmp_path):
    """Both are named."""
    assert "holds no record" in looked_at(tmp_path, b"").wrong[0]
    s = Session(opened=False)
    s.say("noted", text="x")
    assert "begins with an opened record" in looked_at(tmp_path, b"".join(lines(s))).wrong[0]


def test_bad_corrections_later_kinds_and_torn_files_are_told(tmp_path):
    """All that a maker should know about the file."""
    (tmp_path / "2026-03-01.jsonl.torn-3-0").write_bytes(b"{")
    s = Session()
    s.say("voided", of=1)
    s.say("hummed", text="x")
    found = looked_at(tmp_path, b"".join(lines(s)))
    assert "Record 2 corrects record 1, which no one pressed" in found.wrong[0]
    assert any("hummed" in said for said in found.told)
    assert any("torn-3-0" in said for said in found.told)


@pytest.mark.parametrize(("number", "whole"), [(2**53, True), (2**53 + 1, False)])
def test_a_number_of_a_record_is_one_that_every_reader_holds_exactly(number, whole):
    """[identity] A double holds every whole number up to 2 to the 53rd, and not the next; RFC 8259, 6, warns of it."""
    assert (float(number) == number) is whole
    s = Session()
    line = encode(replace(s.events[0], of=number))
    if whole:
        assert decode(line).of == number
    else:
        with pytest.raises(ValueError, match="not understood"):
            decode(line)
