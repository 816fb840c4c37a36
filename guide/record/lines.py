"""One event as one line of a journal, and a whole file of lines as events.

A line is a JSON object whose last member is the crc32 of the line without that member; the checksum is
taken from the bytes, so it does not depend on how JSON is written.
"""

from itertools import repeat
from operator import attrgetter
from struct import pack
from typing import Any, Literal
from zlib import crc32

import msgspec

from guide.record.clock import stamp
from guide.record.model import Event, Reading

FORMAT = 1  # of the journal; a reader refuses a greater one
KINDS = frozenset(
    {"opened", "texts", "laid", "closed"}
    | {"step_started", "piece_done", "step_done", "step_skipped", "paused", "resumed"}
    | {"measured", "noted", "photo", "acknowledged", "trouble", "interrupted", "waited"}
    | {"voided", "amended", "gap", "alive", "recovered"}
)
_TAIL = len(b',"crc":"00000000"}')
_BLOCK = 1 << 16  # bytes decoded at once: small enough to stay in the processor's cache
_HEAD = ("n", "at", "offset", "awake", "total", "boot", "what")
_encoder = msgspec.json.Encoder()
_many = msgspec.json.Decoder(list[Event])
_n, _what = attrgetter("n"), attrgetter("what")
_one = msgspec.json.Decoder(Event)


class Damage(msgspec.Struct, frozen=True):
    """Where a journal stops being readable, and why.

    torn: only bytes that were never acknowledged follow. damaged: records that were saved are hurt.
    line is 1-based, byte counts from 0.
    """

    kind: Literal["torn", "damaged", "newer"]
    line: int
    byte: int
    why: str


class Scan(msgspec.Struct, frozen=True):
    """The good part of a journal, how many bytes it is, and what stops it (None: nothing)."""

    events: list[Event]
    size: int
    damage: Damage | None = None


def event_of(n: int, members: dict[str, Any], reading: Reading) -> Event:
    """Build and check an event, as `written` does."""
    return written(n, members, reading)[0]


def written(n: int, members: dict[str, Any], reading: Reading) -> tuple[Event, bytes]:
    """Build an event and its line, and read the line again: no event is given that a reader would not find.

    TypeError for a member events do not have (our own mistake); ValueError for what a line cannot hold as it is.
    """
    r = reading
    made = Event(n, stamp(r.wall), r.offset, r.awake, r.total, r.boot, **members)
    line = encode(made)
    event = _one.decode(line)
    if event != made:  # JSON has no NaN and no infinity
        raise ValueError("a journal holds only what can be read again as it was written")
    return event, line


def encode(event: Event) -> bytes:
    """Write an event as its line, newline included."""
    body = _encoder.encode(event)
    return body[:-1] + b',"crc":"%08x"}\n' % crc32(body)


def sound(line: bytes) -> bool:
    """Whether a line (without its newline) carries its own checksum."""
    return line.endswith(b',"crc":"%08x"}' % crc32(b"}", crc32(line[:-_TAIL])))


def decode(line: bytes) -> Event:
    """Read one line, with or without its newline. ValueError when it is damaged or not understood."""
    line = line.removesuffix(b"\n")
    if not sound(line):
        raise ValueError("the checksum does not fit the line")
    try:
        event = _one.decode(line)
    except ValueError:
        return _foreign(line)
    return event if event.what in KINDS else _foreign(line)


def _foreign(line: bytes) -> Event:
    """Keep a record of a kind this version does not know: members it has no place for go into `set`."""
    try:
        raw = msgspec.json.decode(line, type=dict[str, Any])
        event = msgspec.convert({name: raw.pop(name) for name in _HEAD}, Event)
    except (KeyError, ValueError) as bad:
        raise ValueError("the record is whole but not understood") from bad
    if event.what in KINDS:
        raise ValueError(f"the record is whole but not understood as {event.what}")
    raw.pop("crc")
    own = raw.pop("set", None)
    kept: dict[str, Any] = {}
    more: dict[str, Any] = own if isinstance(own, dict) else {}
    for name, value in raw.items():
        if name in Event.__struct_fields__ and _stands(event, name, value):
            kept[name] = value
        else:
            more[name] = value
    return msgspec.structs.replace(event, **kept, set=more or None)


def _stands(event: Event, name: str, value: Any) -> bool:
    try:
        msgspec.convert({**_bare(event), name: value}, Event)
    except msgspec.ValidationError:
        return False
    return True


def _bare(event: Event) -> dict[str, Any]:
    return {name: getattr(event, name) for name in _HEAD}


def scan(data: bytes) -> Scan:
    """Read a whole journal, checksums and record numbers verified, up to the first thing wrong."""
    if newer := _newer(data[: data.find(b"\n") + 1].rstrip(b"\n")):
        return Scan([], 0, newer)
    events: list[Event] = []
    at, end = 0, data.rfind(b"\n") + 1
    while at < end:
        stop = data.rfind(b"\n", at, at + _BLOCK) + 1 or data.find(b"\n", at) + 1
        got = _block(data[at : stop - 1].split(b"\n"), len(events) + 1)  # only \n: text may hold other separators
        if got is None:
            return _slow(data, at, events)
        events += got
        at = stop
    return _ended(data, end, events)


def _ended(data: bytes, size: int, events: list[Event]) -> Scan:
    """What is left behind the last line's end was cut off while being written."""
    torn = Damage("torn", len(events) + 1, size, "the last line has no end") if size < len(data) else None
    return Scan(events, size, torn)


def _block(lines: list[bytes], number: int) -> list[Event] | None:
    """Decode sound lines in one go; None when any of them needs a closer look."""
    count = len(lines)
    bodies = [line[:-_TAIL] for line in lines]
    sums = pack(f">{count}I", *map(crc32, repeat(b"}"), map(crc32, bodies))).hex().encode()
    tails = bytearray(b',"crc":"00000000"}' * count)  # what all lines must end with, digits put in by column
    for column in range(8):
        tails[8 + column :: _TAIL] = sums[column::8]
    if tails != b"".join([line[-_TAIL:] for line in lines]):
        return None
    try:
        got = _many.decode(b"[%b}]" % b"},".join(bodies))  # without the checksums: they are read already
    except ValueError:
        return None
    if list(map(_n, got)) != list(range(number, number + count)) or not KINDS.issuperset(map(_what, got)):
        return None
    return got


def _slow(data: bytes, size: int, events: list[Event]) -> Scan:
    """Go on line by line from a byte where something is unusual, and say where and why it stops."""
    *lines, rest = data[size:].split(b"\n")
    for index, line in enumerate(lines):
        why = ""
        try:
            event = decode(line)
            if event.n != len(events) + 1:
                why = f"record number {event.n} stands where {len(events) + 1} was due"
        except ValueError as bad:
            why = str(bad)
        if why:
            torn = not any(_recordish(later) for later in [*lines[index + 1 :], rest])
            return Scan(events, size, Damage("torn" if torn else "damaged", len(events) + 1, size, why))
        events.append(event)
        size += len(line) + 1
    return _ended(data, size, events)


def _recordish(line: bytes) -> bool:
    """Whether bytes after a bad line show that saved records follow: then it is no torn tail."""
    return line.startswith(b'{"n":') or sound(line)


def _newer(line: bytes) -> Damage | None:
    """Tell a journal of a later format from a damaged one, whatever its lines look like."""
    try:
        head = msgspec.json.decode(line, type=dict[str, Any])
    except ValueError:
        return None
    found = head.get("format")
    if not isinstance(found, int) or found <= FORMAT:
        return None
    if sound(line) or b'"crc":"' not in line[-_TAIL:]:  # else a damaged line of a format we know
        return Damage("newer", 1, 0, f"it is of format {found}, and this version reads up to {FORMAT}")
    return None
