"""P3, P4, P13: torn tails are set aside, damage is told, every text comes through."""

import errno
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.errors import CannotWrite, JournalDamaged
from guide.record.journal import Journal, read_journal
from guide.record.lines import decode, encode, event_of, scan
from tests.fakes import FakeClock
from tests.record.faults import FULL, FaultyOs, faulty
from tests.record.session import Session


def small() -> Session:
    s = Session()
    s.start()
    s.run(61.5).piece(2)
    s.run(3).say("noted", text="½ in, “pale” side\u2028up", step="quilt/cross")
    s.run(9).done(1)
    return s


DATA = [encode(event) for event in small().events]
WHOLE = b"".join(DATA)


def test_p3_cut_at_every_byte(tmp_path):
    """Whatever byte the file ends at, all whole records are read; a writer sets the rest aside and goes on."""
    path = tmp_path / "a.jsonl"
    step = 1 if FULL else 7
    for size in {*range(0, len(WHOLE), step), *range(len(WHOLE) - 3, len(WHOLE))}:
        path.write_bytes(WHOLE[:size])
        whole = WHOLE[:size].count(b"\n")
        good = len(b"".join(DATA[:whole]))
        found = read_journal(path)
        assert [event.n for event in found.events] == list(range(1, whole + 1))
        assert path.read_bytes() == WHOLE[:size], "a reader touches nothing"
        journal = Journal.open(path, FakeClock().read())
        torn = size > good
        assert (journal.torn.read_bytes() if journal.torn else b"") == WHOLE[good:size]
        assert path.read_bytes()[:good] == WHOLE[:good]
        assert [event.what for event in journal.events[whole:]] == (["recovered"] if torn and whole else [])
        journal.append({"what": "noted", "text": "on"}, FakeClock().read())
        journal.close()
        assert read_journal(path).damage is None
        for one in tmp_path.glob("*.torn-*"):
            one.unlink()


def torn_tails() -> dict[str, bytes]:
    last, rng = DATA[-1], random.Random(1)
    tails = {f"prefix {size}": last[:size] for size in range(1, len(last), 37)}
    tails |= {f"zeros {size}": bytes(size) for size in (1, len(last), 4096)}
    tails |= {f"random {seed}": rng.randbytes(len(last)).replace(b"\n", b"") for seed in range(6)}
    big = encode(event_of(len(DATA), {"what": "noted", "text": "wool " * 400}, FakeClock().read()))
    first = 512 - len(b"".join(DATA[:-1])) % 512  # bytes to the end of the disk's block the record begins in
    for start in (0, *range(first, len(big), 512)):
        end = min(start + 512, len(big)) if start else first
        tails[f"block {start}"] = big[:start] + bytes(end - start) + big[end:]
    return tails


@pytest.mark.parametrize("name", torn_tails())
def test_p3_whatever_is_left_of_the_last_record_is_set_aside(tmp_path, name):
    """A lost block, zeros, garbage in place of the last record: kept beside, told, and the rest is whole."""
    path = tmp_path / "a.jsonl"
    tail = torn_tails()[name]
    good = b"".join(DATA[:-1])
    path.write_bytes(good + tail)
    journal = Journal.open(path, FakeClock().read())
    assert journal.torn.read_bytes() == tail
    assert journal.events[-1].what == "recovered"
    assert journal.events[-1].file == journal.torn.name
    assert path.read_bytes().startswith(good)
    journal.close()


@pytest.mark.parametrize("call", ["write", "fsync"])
def test_p3_a_torn_tail_that_cannot_be_set_aside_stays_where_it_is(tmp_path, monkeypatch, call):
    """On a full disk nothing is changed, and no half copy lies beside the journal."""
    path = tmp_path / "a.jsonl"
    path.write_bytes(WHOLE[:-9])
    faulty(monkeypatch, FaultyOs(call, 1, errno.ENOSPC, lasting=True, partly=5))
    with pytest.raises(CannotWrite, match="the disk is full"):
        Journal.open(path, FakeClock().read())
    assert path.read_bytes() == WHOLE[:-9]
    assert list(tmp_path.iterdir()) == [path]


def test_p4_every_single_bit_flip_is_noticed():
    """No flipped bit is ever read as a record that was not written: what is read is a true beginning."""
    originals = [decode(line) for line in DATA]
    for at in range(len(WHOLE)):
        for bit in range(8):
            hurt = bytearray(WHOLE)
            hurt[at] ^= 1 << bit
            found = scan(bytes(hurt))
            line = WHOLE[:at].count(b"\n")
            assert found.damage is not None, (at, bit)
            assert found.events == originals[:line], (at, bit)
            assert (found.damage.kind, found.damage.line) in {("damaged", line + 1), ("newer", 1)}, (at, bit)


HURT = {
    "deleted": [DATA[0], *DATA[2:]],
    "doubled": [DATA[0], DATA[1], *DATA[1:]],
    "swapped": [DATA[0], DATA[2], DATA[1], *DATA[3:]],
    "inserted": [DATA[0], b'{"n":2,"what":"noted"}\n', *DATA[1:]],
    "empty line": [DATA[0], b"\n", *DATA[1:]],
    "carriage returns": [line.replace(b"\n", b"\r\n") for line in DATA],
    "byte order mark": [b"\xef\xbb\xbf" + DATA[0], *DATA[1:]],
    "not a journal": [b"project: Window seat\n", b'{"n":1}\n'],
}


@pytest.mark.parametrize("name", HURT)
def test_p4_a_clumsy_editor_is_noticed_and_nothing_is_repaired(tmp_path, name):
    """Writers refuse with the line and the byte, and change nothing; readers give the good part."""
    path = tmp_path / "a.jsonl"
    path.write_bytes(b"".join(HURT[name]))
    found = read_journal(path)
    assert found.damage.kind == "damaged"
    assert [encode(event) for event in found.events] == DATA[: len(found.events)]
    with pytest.raises(JournalDamaged, match=rf"a\.jsonl:{found.damage.line}: damaged at byte {found.damage.byte} "):
        Journal.open(path, FakeClock().read())
    assert path.read_bytes() == b"".join(HURT[name])
    assert list(tmp_path.iterdir()) == [path]


def test_p4_damage_deep_in_a_long_file_is_placed(tmp_path):
    """Beyond the first chunk, line and byte are right."""
    s = Session()
    for number in range(9000):
        s.say("noted", text=f"{number}")
    lines = [encode(event) for event in s.events]
    lines[8000] = lines[8000].replace(b"noted", b"Noted")
    found = scan(b"".join(lines))
    assert (found.damage.line, found.damage.byte) == (8001, sum(map(len, lines[:8000])))
    assert len(found.events) == 8000


text = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)


@settings(max_examples=2000 if FULL else 150, deadline=None)
@given(text, text, st.floats(-1e9, 1e9), st.dictionaries(text, text, max_size=3))
def test_p13_text_of_any_kind_comes_through(note, name, mm, more):
    """Line separators, quotes, control characters, stitches: one line each, read back as written."""
    made = event_of(1, {"what": "noted", "text": note, "name": name, "mm": mm, "set": more or None}, FakeClock().read())
    line = encode(made)
    assert line.count(b"\n") == 1
    assert scan(line).events == [made]
    assert decode(line) == made


@pytest.mark.parametrize(
    "bad", [{"mm": float("nan")}, {"mm": float("inf")}, {"set": {"x": [float("nan")]}}, {"text": "\ud800"}]
)
def test_p13_what_json_cannot_hold_is_refused_before_anything_is_written(tmp_path, bad):
    """Nothing is half written."""
    journal = Journal.create(tmp_path / "a.jsonl")
    with pytest.raises(ValueError):
        journal.append({"what": "opened", "format": 1, **bad}, FakeClock().read())
    assert (tmp_path / "a.jsonl").read_bytes() == b""
    journal.append({"what": "opened", "format": 1}, FakeClock().read())
    journal.close()


@pytest.mark.parametrize("bad", [{"count": "six"}, {"mm": "20 in"}, {"ms": 1.5}, {"what": "hummed"}])
def test_p13_a_member_of_the_wrong_kind_is_refused(tmp_path, bad):
    """A line that could not be read again is never written."""
    journal = Journal.create(tmp_path / "a.jsonl")
    with pytest.raises(ValueError):
        journal.append({"what": "noted"} | bad, FakeClock().read())
    with pytest.raises(TypeError, match="colour"):
        journal.append({"what": "noted", "colour": "red"}, FakeClock().read())
    assert (tmp_path / "a.jsonl").read_bytes() == b""
    journal.close()
