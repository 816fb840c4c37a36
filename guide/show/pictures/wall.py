"""A class on the wall: a column a seat, the day from top to foot, stations as patches with their letters."""

from collections.abc import Callable, Sequence

import msgspec

from guide.show.pictures.cloth import Look, cut_to
from guide.show.pictures.svg import INK, PAPER, SOFT, THREAD, Pen, el, fit, label, line, number, picture, stitch, wide

ACROSS, DOWN = 190.0, 205.0  # paper mm of one sheet, hours and names in it
_HOURS, _NAMES, _GAP = 13.0, 21.0, 9.0  # paper mm for the hours, the names with the legend, and from sitting to sitting
STATIONS = {
    "machine": Look("machine", "M", "check", "#f0d6c8", "#dba58f"),
    "iron": Look("iron", "I", "stripe", "#d6e1ee", "#8fb0cc"),
    "table": Look("table", "T", "plain", "#f3ead8", "#a98e5f"),
    "floor": Look("floor", "F", "dot", "#dfe5cf", "#6f7f45"),
    "washer": Look("washer", "W", "cross", "#e3d6e6", "#6d4b78"),
}


class Patch(msgspec.Struct, frozen=True):
    """Work at one station from when to when, s; `text` where there is room for it."""

    start_s: float
    end_s: float
    station: str
    text: str


class Seated(msgspec.Struct, frozen=True):
    """One column: who sits there, at which machine, what is done when, nods (s), waits (s and what for), its end."""

    name: str
    where: str
    patches: tuple[Patch, ...]
    nods: tuple[float, ...] = ()
    waits: tuple[tuple[float, float, str], ...] = ()
    ends_s: float | None = None  # where the thread ends: ready


class Band(msgspec.Struct, frozen=True):
    """What all do together, s."""

    start_s: float
    end_s: float
    text: str
    shown: bool = False  # something is shown


def wall_chart(
    title: str,
    seats: Sequence[Seated],
    sittings: Sequence[tuple[float, float]],
    bands: Sequence[Band],
    at: Callable[[float], str],
    *,
    begins_s: float,
    now_s: float | None = None,
) -> str:
    """Draw some seats of one day. `begins_s`: the first sitting's begin, s after midnight, for the full hours."""
    p = Pen(1.0, 0.5, 0.5, 0.5, 0.5)
    down = _heights(sittings)
    width = (ACROSS - _HOURS) / max(len(seats), 4)
    body = _legend(p, seats)
    body += _hours(p, sittings, down, begins_s)
    foot = down(sittings[-1][1])
    body += [_band(p, one, down) for one in bands]
    for n, seat in enumerate(seats):
        body += _column(p, seat, _HOURS + n * width, width, down=down, until=sittings[-1][1])
    if now_s is not None and any(a <= now_s <= b for a, b in sittings):
        y = down(now_s)
        body += [stitch(p, _HOURS - 1, y, ACROSS, y, "now", paper_mm=1.0), label(p, 0, y, "⟩", colour=THREAD, size=5)]
    body += _strip(p, foot + 7)
    read = "; ".join(
        f"{seat.name}: {', '.join(f'{at(one.start_s)} {one.text}' for one in seat.patches)}" for seat in seats
    )
    return picture(f"{title}. {read}.", ACROSS, foot + 13, p, body)


def _heights(sittings: Sequence[tuple[float, float]]) -> Callable[[float], float]:
    """Where a moment lies on the sheet, mm: sittings to one scale, what lies between them a narrow gap."""
    whole = sum(b - a for a, b in sittings)
    scale = (DOWN - _NAMES - _GAP * (len(sittings) - 1)) / whole
    tops, y = [], _NAMES
    for a, b in sittings:
        tops.append((a, b, y))
        y += (b - a) * scale + _GAP

    def down(moment: float) -> float:
        a, b, top = next((one for one in reversed(tops) if moment >= one[0]), tops[0])
        return top + (min(max(moment, a), b) - a) * scale

    return down


def _legend(p: Pen, seats: Sequence[Seated]) -> list[str]:
    """The letters of the stations that are used, and what a nod and a ready seat look like."""
    used = {one.station for seat in seats for one in seat.patches}
    out, x = list[str](), _HOURS
    for name, look in STATIONS.items():
        if name not in used:
            continue
        out += [
            cut_to(p, look, 7, 5, transform=f"translate({number(x)} 0)"),
            label(p, x + 3.5, 2.5, look.letter, size=3.6, weight="700", halo=True),
            label(p, x + 8.5, 2.5, name, size=3.4, anchor="start"),
        ]
        x += 12 + wide(name, 3.4)
    for mark, name in ((_nod(p, x + 1.6, 2.5), "nod"), (_knot(x + 18, 2.5), "ready")):
        out += [mark, label(p, x + (4.5 if name == "nod" else 21), 2.5, name, size=3.4, anchor="start")]
    return out


def _hours(
    p: Pen, sittings: Sequence[tuple[float, float]], down: Callable[[float], float], begins_s: float
) -> list[str]:
    """A line at every half hour, its hour beside it; how a gap is called."""
    out = []
    for a, b in sittings:
        first = -(-(a + begins_s) // 1800) * 1800
        for clock in range(int(first), int(b + begins_s) + 1, 1800):
            y, whole = down(clock - begins_s), clock % 3600 == 0
            tick, thick, size, weight = (1.5, 0.25, 3.6, "600") if whole else (0, 0.12, 2.8, None)
            text = f"{clock // 3600 % 24}:{clock % 3600 // 60:02d}"
            out.append(line(p, _HOURS - tick, y, ACROSS, y, colour=SOFT, paper_mm=thick))
            out.append(label(p, _HOURS - 2.2, y, text, size=size, anchor="end", weight=weight))
    return out


def _band(p: Pen, one: Band, down: Callable[[float], float]) -> str:
    """What all do together, across all seats: plain ground, between two lines of stitches where it is shown."""
    top, foot = down(one.start_s), down(one.end_s)
    across = el(
        "rect", x=_HOURS, y=top, width=ACROSS - _HOURS, height=foot - top, fill=PAPER, stroke=SOFT, stroke_width=0.2
    )
    if one.shown:
        across += "".join(stitch(p, _HOURS, y, ACROSS, y, paper_mm=0.4) for y in (top, foot))
    size = min(3.4, foot - top - 0.3)
    if size < 1.6:
        return across
    told = fit(one.text, size, ACROSS - _HOURS - 4)
    return across + label(p, (_HOURS + ACROSS) / 2, (top + foot) / 2, told, size=size)


def _column(p: Pen, seat: Seated, x: float, width: float, *, down: Callable[[float], float], until: float) -> list[str]:
    mid, room = x + width / 2, width - 2
    out = [
        label(p, mid, 11, fit(seat.name, 4.2, room), size=4.2, weight="700"),
        label(p, mid, 16, fit(seat.where, 3.0, room), size=3.0, colour=SOFT),
    ]
    for start, end, what in seat.waits:
        top, foot = down(start), down(end)
        out.append(line(p, mid, top + 0.6, mid, foot - 0.6, colour=SOFT, paper_mm=0.4, stroke_dasharray="0.2 1.4"))
        if foot - top >= 4:
            out.append(label(p, mid, (top + foot) / 2, fit(what, 2.8, room), size=2.8, colour=SOFT, halo=True))
    for one in seat.patches:
        out += _patch(p, one, x + 0.7, width - 1.4, down=down)
    out += [_nod(p, x + 0.9, down(one)) for one in seat.nods]
    if seat.ends_s is not None and seat.ends_s <= until:
        y = down(seat.ends_s)
        out += [_knot(mid, y + 2), label(p, mid, y + 6, "ready", size=3.0)]
    return out


def _patch(p: Pen, one: Patch, x: float, width: float, *, down: Callable[[float], float]) -> list[str]:
    """A patch with its letter, and its words where it is high enough for them."""
    look, top, high = STATIONS[one.station], down(one.start_s), down(one.end_s) - down(one.start_s)
    out = [
        cut_to(
            p, look, width, max(high, 0.3), transform=f"translate({number(x)} {number(top)})",
            data_station=one.station, data_start_s=one.start_s, data_end_s=one.end_s,
        ),
        el("rect", x=x, y=top, width=width, height=max(high, 0.3), stroke=INK, stroke_width=0.25),
    ]  # fmt: skip
    size = min(4.0, high - 0.6)
    if size < 1.8:
        return out
    out.append(label(p, x + 2.6, top + high / 2, look.letter, size=size, weight="700", halo=True))
    small = min(3.0, size)
    if width > 14:
        words = (
            one.text.rsplit(" ", 1) if high > 2.4 * small else [one.text]
        )  # the steps' numbers below, if there is room
        for n, text in enumerate(words):
            y = top + high / 2 + (n - (len(words) - 1) / 2) * small * 1.15
            out.append(label(p, x + 5.4, y, fit(text, small, width - 5.6), size=small, anchor="start", halo=True))
    return out


def _nod(p: Pen, x: float, y: float) -> str:
    way = f"M{x - 1.6:.3f} {y:.3f}l1.6 -1.6l1.6 1.6l-1.6 1.6z"
    return el("path", d=way, fill=THREAD, stroke=PAPER, stroke_width=p.line(0.3))


def _knot(x: float, y: float) -> str:
    return el("circle", cx=x, cy=y, r=1.3, fill=THREAD)


def _strip(p: Pen, y: float) -> list[str]:
    """A strip to cut off and move down the chart as the day goes on."""
    return [
        el("line", x1=0, y1=y - 4, x2=ACROSS, y2=y - 4, stroke=SOFT, stroke_width=0.25, stroke_dasharray="1.2 1.2"),
        label(p, _HOURS - 2, y, "now", size=4.0, anchor="end", weight="700", colour=THREAD),
        stitch(p, _HOURS, y, ACROSS - 62, y, "strip", paper_mm=1.0),
        label(p, ACROSS, y, "cut off, and move down as the day goes", size=2.8, anchor="end", colour=SOFT),
    ]
