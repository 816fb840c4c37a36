"""One event as one line of a journal, and a whole file of lines as events; of any form of line (`Form`).

A line is a JSON object whose last member is the crc32 of the line without that member; the checksum is
taken from the bytes, so it does not depend on how JSON is written.
"""

from collections.abc import Callable
from datetime import datetime
from itertools import repeat
from operator import attrgetter
from struct import pack
from typing import Any, Generic, Literal, Protocol, TypeVar, get_args, get_type_hints
from zlib import crc32

import msgspec

from guide.errors import JournalDamaged
from guide.record.clock import YEARS, stamp, wall_ms
from guide.record.model import Event, Reading, What

FORMAT = 1  # of the journal; a reader refuses a greater one
KINDS = frozenset(get_args(What))
_TAIL = len(b',"crc":"00000000"}')
_BLOCK = 1 << 16  # bytes decoded at once: small enough to stay in the processor's cache
_SECTOR = 512  # bytes: what a disk writes whole or not at all, at least
_DEEP = 8  # lists and mappings in each other in `set`: twice what is written
_GREAT = 10**13  # as ms some 300 years
_START = b'{"n":'  # of every record; inside a text its quotes have a backslash before them
_WHEN = ("n", "at", "offset", "awake", "total", "boot")
_HEAD = (*_WHEN, "what")
_encoder = msgspec.json.Encoder()
_n, _at, _set, _year = attrgetter("n"), attrgetter("at"), attrgetter("set"), attrgetter("year")


class Line(Protocol):
    """What every line has, of whatever form, besides its clock readings."""

    @property
    def n(self) -> int:
        """Its number, from 1."""

    @property
    def at(self) -> str:
        """The moment it was written."""

    @property
    def what(self) -> str:
        """Its kind."""

    @property
    def of(self) -> int:
        """The record it corrects; 0 where it corrects none."""

    @property
    def set(self) -> dict[str, Any] | None:
        """What it corrects, or what a later version has said in it."""


L = TypeVar("L", bound=Line)


class Form(Generic[L]):
    """A form of lines: the struct they are, the kinds there are of them, and the format a reader goes up to."""

    def __init__(self, line: Callable[..., L], kinds: frozenset[str], newest: int) -> None:
        """Take the struct's type; its members n at offset awake total boot what set are as an Event's."""
        self.line, self.kinds, self.newest = line, kinds, newest
        self.one: msgspec.json.Decoder[L] = msgspec.json.Decoder(line)
        self.many: msgspec.json.Decoder[list[L]] = msgspec.json.Decoder(list[line])  # type: ignore[valid-type]
        self._types: dict[str, Any] = {}

    def types(self) -> dict[str, Any]:
        """Say what each member may be, of a kind not known yet."""
        if not self._types:
            self._types = get_type_hints(self.line, include_extras=True) | {"what": str}
        return self._types

    def written(self, n: int, members: dict[str, Any] | L, reading: Reading) -> tuple[L, bytes]:
        """Build a record and its line, and read the line again: none is given that a reader would not find.

        members: `what` and whatever else it has; of a record that is given whole its number and moment are put in anew.
        TypeError for a member such records do not have (our own mistake); ValueError for what a line cannot hold.
        """
        r = reading
        if not isinstance(members, dict):
            told = msgspec.structs.asdict(members)  # type: ignore[arg-type] # every form's line is a struct
            members = {name: value for name, value in told.items() if name not in _WHEN}
        made = self.line(n, stamp(r.wall), r.offset, r.awake, r.total, r.boot, **members)
        line = encode(made)
        event = self.one.decode(line)
        if event != made:  # JSON has no NaN and no infinity
            raise ValueError("a journal holds only what can be read again as it was written")
        return event, line

    def decode(self, line: bytes) -> L:
        """Read one line, with or without its newline. ValueError when it is damaged or not understood."""
        line = line.removesuffix(b"\n")
        if not sound(line):
            raise ValueError("the checksum does not fit the line")
        try:
            return _bounded(self.one.decode(line))
        except RecursionError:
            raise ValueError("the record is whole but nested too deep") from None
        except ValueError:
            return _bounded(_foreign(line, self))

    def scan(self, data: bytes) -> "Scan[L]":
        """Read a whole file, checksums and record numbers verified, up to the first thing wrong."""
        if newer := _newer(data[: data.find(b"\n") + 1].rstrip(b"\n"), self.newest):
            return Scan([], 0, newer)
        events: list[L] = []
        at, end = 0, data.rfind(b"\n") + 1
        while at < end:
            stop = data.rfind(b"\n", at, at + _BLOCK) + 1 or data.find(b"\n", at) + 1
            got = _block(data[at : stop - 1].split(b"\n"), len(events) + 1, self)  # only \n: text holds others
            if got is None:
                return _slow(data, at, events, self)
            events += got
            at = stop
        return _ended(data, end, events, "the last line has no end")


SESSION: Form[Event] = Form(Event, KINDS, FORMAT)
written, decode, scan = SESSION.written, SESSION.decode, SESSION.scan


class Damage(msgspec.Struct, frozen=True):
    """Where a journal stops being readable, and why.

    empty: there is no record at all. torn: one line follows that was never wholly saved. damaged: records that
    were saved are hurt.
    line is 1-based, byte counts from 0.
    """

    kind: Literal["empty", "torn", "damaged", "newer"]
    line: int
    byte: int
    why: str

    @property
    def exit_code(self) -> int:
        """What a reader ends with that shows the good part: nothing that was saved is missing before a torn tail."""
        return JournalDamaged.exit_code if self.kind == "damaged" else 0


class Scan(msgspec.Struct, Generic[L], frozen=True):
    """The good part of a journal, how many bytes it is, and what stops it (None: nothing)."""

    events: list[L]
    size: int
    damage: Damage | None = None

    @property
    def damaged(self) -> bool:
        """Whether saved records are hurt: then nobody writes. A torn tail is no damage."""
        return self.damage is not None and self.damage.kind == "damaged"

    @property
    def begun(self) -> bool:
        """Whether anything was ever saved in it."""
        return bool(self.events) or self.damaged


def event_of(n: int, members: dict[str, Any] | Event, reading: Reading) -> Event:
    """Build and check an event, as `written` does."""
    return written(n, members, reading)[0]


def encode(event: Line) -> bytes:
    """Write an event as its line, newline included."""
    body = _encoder.encode(event)
    return body[:-1] + b',"crc":"%08x"}\n' % crc32(body)


def sound(line: bytes) -> bool:
    """Whether a line (without its newline) carries its own checksum."""
    return line.endswith(b',"crc":"%08x"}' % crc32(b"}", crc32(line[:-_TAIL])))


def _bounded(event: L) -> L:
    """Give back an event whose moment and `set` are such as are written. ValueError for any other."""
    wall_ms(event.at)
    if event.set is not None:
        _small(event.set, _DEEP)
    return event


def _small(value: object, deep: int) -> None:
    """Let pass what lies no deeper in lists and mappings, with numbers that can be reckoned with. Else ValueError."""
    if isinstance(value, dict | list):
        if not deep:
            raise ValueError("the record is whole but nested too deep")
        for one in value.values() if isinstance(value, dict) else value:
            _small(one, deep - 1)
    elif isinstance(value, int | float) and abs(value) > _GREAT:
        raise ValueError("the record is whole but holds a number beyond all bounds")


def _foreign(line: bytes, form: Form[L]) -> L:
    """Keep a record of a kind this version does not know: members it has no place for go into `set`.

    Raises ValueError for one that is none.
    """
    try:
        raw = msgspec.json.decode(line, type=dict[str, Any])
        types = form.types()
        known: dict[str, Any] = {name: msgspec.convert(raw.pop(name), types[name]) for name in _HEAD}
    except (KeyError, ValueError) as bad:
        raise ValueError("the record is whole but not understood") from bad
    if known["what"] in form.kinds:
        raise ValueError(f"the record is whole but not understood as {known['what']}")
    raw.pop("crc")
    own = raw.pop("set", None)
    more: dict[str, Any] = own if isinstance(own, dict) else {}
    for name, value in raw.items():
        try:
            known[name] = msgspec.convert(value, types[name])
        except (KeyError, msgspec.ValidationError):
            more[name] = value
    return form.line(**known, set=more or None)


def _ended(data: bytes, size: int, events: list[L], why: str) -> Scan[L]:
    """Say what is left behind the good part: nothing, a line cut off while it was being saved, or damage."""
    if size == len(data):
        return Scan(events, size, None if data else Damage("empty", 1, 0, "there is nothing in it"))
    kind: Literal["torn", "damaged"] = "torn" if _cut_off(data[size:], size) else "damaged"
    return Scan(events, size, Damage(kind, len(events) + 1, size, why))


def _cut_off(rest: bytes, at: int) -> bool:
    """Whether bytes from `at` on are one line that was never wholly saved: without its end, or with unwritten blocks.

    Every record is synced before the next is begun, so at most one can be. A whole record in it was saved, and so
    was what stands before the start of another.
    """
    line = rest.removesuffix(b"\n")
    if b"\n" in line or rest.find(_START, 1) > 0 or _saved(line):
        return False
    return not rest.endswith(b"\n") or _unwritten(rest, at)


def _saved(line: bytes) -> bool:
    """Whether a line begins with a whole record, and its end is hurt: something else than a newline follows."""
    end = line.rfind(b'"}') + 2
    return sound(line[:end]) and bool(line[end:].strip(b"\0"))


def _unwritten(rest: bytes, at: int) -> bool:
    """Whether a whole block of the disk's is zeros: no flipped bit makes one, and JSON holds no zero byte."""
    ends = range(_SECTOR - at % _SECTOR, len(rest) + _SECTOR, _SECTOR)
    return any(not rest[max(end - _SECTOR, 0) : end].strip(b"\0") for end in ends)


def _block(lines: list[bytes], number: int, form: Form[L]) -> list[L] | None:
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
        got = form.many.decode(b"[%b}]" % b"},".join(bodies))  # without the checksums: they are read already
        years = set(map(_year, map(datetime.fromisoformat, map(_at, got))))
        for said in filter(None, map(_set, got)):
            _small(said, _DEEP)
    except (ValueError, RecursionError):
        return None
    if not years <= YEARS:
        return None
    return got if list(map(_n, got)) == list(range(number, number + count)) else None


def _slow(data: bytes, size: int, events: list[L], form: Form[L]) -> Scan[L]:
    """Go on line by line from a byte where something is unusual, and say where and why it stops."""
    *lines, _ = data[size:].split(b"\n")
    why = "the last line has no end"
    for line in lines:
        try:
            event = form.decode(line)
        except ValueError as bad:
            why = str(bad)
            break
        if event.n != len(events) + 1:
            why = f"record number {event.n} stands where {len(events) + 1} was due"
            break
        events.append(event)
        size += len(line) + 1
    return _ended(data, size, events, why)


def _newer(line: bytes, newest: int) -> Damage | None:
    """Tell a journal of a later format from a damaged one, whatever its lines look like."""
    try:
        head = msgspec.json.decode(line, type=dict[str, Any])
    except (ValueError, RecursionError):
        return None
    found = head.get("format")
    if not isinstance(found, int) or found <= newest:
        return None
    if sound(line) or b'"crc":"' not in line[-_TAIL:]:  # else a damaged line of a format we know
        return Damage("newer", 1, 0, f"it is of format {found}, and this version reads up to {newest}")
    return None
