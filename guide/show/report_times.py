"""Moments of a session in the maker's local time."""

from datetime import datetime

from guide.record.clock import clock_face, iso, local
from guide.record.model import Record


def day_text(wall_ms: int, offset_min: int) -> str:
    """The day in words: `1 March 2026`."""
    moment = local(wall_ms, offset_min)
    return f"{moment.day} {moment:%B %Y}"


def moment_dict(wall_ms: int | None, offset_min: int) -> dict[str, str] | None:
    """A moment for machines and for people."""
    if wall_ms is None:
        return None
    at = local(wall_ms, offset_min)
    return {
        "iso": datetime.fromisoformat(iso(wall_ms, offset_min)).isoformat(timespec="seconds"),
        "day": day_text(wall_ms, offset_min),
        "clock": clock_face(wall_ms, offset_min),
        "short": f"{at.day} {at:%b %H:%M}",
    }


def offset_at(record: Record, wall_ms: int) -> int:
    """Local time minus UTC at a moment: of the sitting it fell in, else of the opening."""
    for sitting in record.sittings:
        if sitting.start <= wall_ms <= sitting.end:
            return sitting.offset
    return record.header.offset
