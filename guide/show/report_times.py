"""Moments of a session in the maker's local time."""

from datetime import UTC, datetime, timedelta, timezone

from guide.record.model import Record


def local(wall_ms: int, offset_min: int) -> datetime:
    """The local time of a moment; `offset_min` is local time minus UTC."""
    return datetime.fromtimestamp(wall_ms / 1000, UTC).astimezone(timezone(timedelta(minutes=offset_min)))


def clock_text(wall_ms: int | None, offset_min: int) -> str:
    """Hours and minutes: `10:41`; nothing for no moment."""
    return "" if wall_ms is None else f"{local(wall_ms, offset_min):%H:%M}"


def day_text(wall_ms: int, offset_min: int) -> str:
    """The day in words: `1 March 2026`."""
    moment = local(wall_ms, offset_min)
    return f"{moment.day} {moment:%B %Y}"


def moment_dict(wall_ms: int | None, offset_min: int) -> dict[str, str] | None:
    """A moment for machines and for people."""
    if wall_ms is None:
        return None
    return {
        "iso": local(wall_ms, offset_min).isoformat(timespec="seconds"),
        "day": day_text(wall_ms, offset_min),
        "clock": clock_text(wall_ms, offset_min),
        "short": f"{local(wall_ms, offset_min).day} {local(wall_ms, offset_min):%b %H:%M}",
    }


def wall_of(at: str) -> int:
    """Wall ms of a journal time such as `2026-03-01T09:30:00.120Z`."""
    return round(datetime.fromisoformat(at).timestamp() * 1000)


def offset_at(record: Record, wall_ms: int) -> int:
    """Local time minus UTC at a moment: of the sitting it fell in, else of the opening."""
    for sitting in record.sittings:
        if sitting.start <= wall_ms <= sitting.end:
            return sitting.offset
    return record.header.offset
