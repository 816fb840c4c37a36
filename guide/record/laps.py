"""Laps made from a stopwatch, or from times typed afterwards, with what corrections say of them."""

from typing import Any

from msgspec.structs import replace

from guide.record.clock import offset_of, wall_ms
from guide.record.model import Event, Lap
from guide.record.stopwatch import Stopwatch, take_from


def laps_of(watch: Stopwatch, event: Event, end: int, pieces: int, *, first: bool, extra: dict[str, Any]) -> list[Lap]:
    """Give the lap that ended at an event: none when nothing was in it, two when the maker split it.

    end: wall ms; pieces: those the lap finished; first: whether they hold the step's first piece.
    """
    if "ms" in extra and event.what != "interrupted":
        _set_length(watch, extra["ms"])
    if not pieces and not watch.ms:
        return []
    lap = Lap(
        step=watch.step,
        pieces=pieces,
        counted_ms=watch.ms,
        trouble_ms=watch.trouble_ms,
        first=first,
        start_n=watch.start_n,
        end_n=event.n,
        start=watch.start,
        end=end,
        offset=event.offset,
        counted=extra.get("counted", True),
        sure=extra.get("counted", False),
        make=event.make,
        shift=event.offset - watch.offset,
        sat=by_sitting(watch.parts),
    )
    return _split(lap, extra["split"]) if extra.get("split") else [lap]


def open_lap(watch: Stopwatch, event: Event, end: int, sitting: int) -> Lap | None:
    """Give the lap that runs still as it stands at an event (wall ms) of a sitting; None when nothing is in it."""
    ms, trouble_ms = watch.so_far(event, end)
    if not ms and not watch.joined:
        return None
    runs = {sitting: watch.parts.get(sitting, 0) + ms - watch.ms} if ms > watch.ms else {}
    return Lap(
        step=watch.step,
        pieces=watch.joined,
        counted_ms=ms,
        trouble_ms=trouble_ms,
        first=False,
        start_n=watch.start_n,
        end_n=0,
        start=watch.start,
        end=end,
        offset=event.offset,
        shift=event.offset - watch.offset,
        sat=by_sitting(watch.parts | runs),
    )


def _set_length(watch: Stopwatch, ms: int) -> None:
    """Give the lap the length the maker says it had."""
    more = max(ms, 0) - watch.ms
    if more < 0:
        watch.take_off(-more)
        return
    watch.ms += more
    latest = max(watch.parts, default=0)
    watch.parts[latest] = watch.parts.get(latest, 0) + more


def _split(lap: Lap, where: dict[str, Any]) -> list[Lap]:
    """Cut a lap in two at a moment, its time shared as the clock's; exact, nothing gained or lost."""
    lap = replace(lap, sat=())  # which sitting's time is which part's is the clock's to say
    at = min(max(wall_ms(where["at"]), lap.start), lap.end)
    length = lap.end - lap.start
    pieces = min(max(where["pieces"], 0), lap.pieces)
    ms = lap.counted_ms * (at - lap.start) // length if length else 0
    trouble = min(lap.trouble_ms * (at - lap.start) // length if length else 0, ms)
    rest = replace(
        lap,
        start=at,
        pieces=lap.pieces - pieces,
        counted_ms=lap.counted_ms - ms,
        trouble_ms=lap.trouble_ms - trouble,
        first=lap.first and not pieces,
        shift=0,
    )
    before = replace(lap, end=at, pieces=pieces, counted_ms=ms, trouble_ms=trouble, first=lap.first and pieces > 0)
    return [before, rest]


def lap_by_hand(event: Event, at: int, *, first: bool, extra: dict[str, Any]) -> Lap | None:
    """Give the lap of times typed afterwards, at wall ms (`set`: from, to, less ms); None when they are no times."""
    typed = event.set or {}
    try:
        start, end = wall_ms(typed["from"]), wall_ms(typed["to"])
        less = int(typed.get("less", 0))
    except (KeyError, ValueError, TypeError):
        return None
    ms = max(end - start - max(less, 0), 0)
    from_offset, offset = (offset_of(typed[at], event.offset) for at in ("from", "to"))
    return Lap(
        step=event.step,
        pieces=event.count,
        counted_ms=max(extra.get("ms", ms), 0),
        trouble_ms=0,
        first=first and event.count > 0,
        start_n=event.n,
        end_n=event.n,
        start=start,
        end=end,
        offset=offset,
        counted=extra.get("counted", True),
        sure=extra.get("counted", False),
        by_hand=True,
        make=event.make,
        typed=at,
        shift=offset - from_offset,
    )


def shorten(lap: Lap, ms: int, parts: dict[int, int]) -> Lap:
    """Take ms (not more than it has) off a finished lap and off its sittings' parts."""
    take_from(parts, ms)
    left = lap.counted_ms - ms
    sat = by_sitting(parts) if sum(parts.values()) == left else ()  # of a lap that was split they are both halves'
    return replace(lap, counted_ms=left, trouble_ms=min(lap.trouble_ms, left), sat=sat)


def by_sitting(parts: dict[int, int]) -> tuple[tuple[int, int], ...]:
    """Give the parts of a lap that went over more than one sitting; none where all of it is of one."""
    return tuple(sorted(parts.items())) if len(parts) > 1 else ()
