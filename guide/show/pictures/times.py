"""Times as lines: forecast against actual, a row a stage; and a day of work, a row a day, as it will go by."""

from collections.abc import Sequence
from datetime import date
from typing import Literal

import msgspec

from guide.read.spoken import counted, listed
from guide.show.pictures.svg import (
    INK,
    LEAST,
    PAPER,
    SOFT,
    THREAD,
    Pen,
    el,
    fit,
    label,
    line,
    number,
    pen,
    picture,
    stitch,
    wide,
)
from guide.show.words import minutes_each

# Amounts side by side, each as a line of running stitch.

_STEP = 8.0  # mm from line to line
_LONG = 70.0  # mm of the longest


def bars(title: str, rows: Sequence[tuple[str, float, str]]) -> str:
    """Draw one line of stitches a row: its name, its amount, and the amount in words. What is lost runs dotted."""
    p = pen(_LONG, _LONG + 84, left=54, right=30, top=2, bottom=2)
    most = max((abs(amount) for _, amount, _ in rows), default=0.0) or 1.0
    body = [line(p, 0, 0, 0, _STEP * len(rows), colour=SOFT, paper_mm=0.25)]
    for at, (name, amount, text) in enumerate(rows):
        y, end = _STEP * (at + 0.5), max(abs(amount) / most * _LONG, 0.4)
        drawn = stitch(p, 0, y, end, y, name, paper_mm=1.0) if amount >= 0 else _lost(p.line(1.2), end, y)
        body += [
            label(p, -p.k * 2, y, name, size=4.6, anchor="end"),
            drawn,
            label(p, end + p.k * 2, y, text, size=4.6, anchor="start"),
        ]
    read = "; ".join(f"{name}: {text}" for name, _, text in rows)
    return picture(f"{title}. {read}.", _LONG, _STEP * len(rows), p, body)


def _lost(width: str, end: float, y: float) -> str:
    return el("line", x1=0.0, y1=y, x2=end, y2=y, stroke=SOFT, stroke_width=width, stroke_dasharray="0.4 2.4")


ROW, DAY = 5.6, 16.5  # paper mm
DAYS_WIDE = 182.0  # paper mm of the line of days at most


def time_chart(rows: Sequence[tuple[str, float, float]]) -> str:
    """Draw (name, forecast s, actual s) rows; the drawing's plane is seconds × rows of paper."""
    planned = [one.text for one in minutes_each([forecast for _, forecast, _ in rows])]
    took = [one.text for one in minutes_each([actual for *_, actual in rows])]
    longest = max((max(forecast, actual) for _, forecast, actual in rows), default=0.0) or 1.0
    names = [fit(name, LEAST, 70.0) for name, _, _ in rows]
    left = max((wide(name, LEAST) for name in names), default=0.0) + 4
    p = pen(longest, 150.0, left=left, right=24.0, top=1.0, bottom=1.0)
    body: list[str] = []
    for place, (name, forecast, actual) in enumerate(rows):
        y = (place + 0.5) * ROW * p.k
        after = max(forecast, actual) + 2.5 * p.k
        body.extend((
            label(p, -3 * p.k, y, names[place], size=LEAST, anchor="end"),
            el(
                "rect", x=0, y=y - 1.9 * p.k, width=actual, height=3.8 * p.k, fill=INK, opacity=0.16,
                data_actual_s=actual, data_stage=name,
            ),
            stitch(p, 0, y, forecast, y, colour=THREAD, paper_mm=0.7).replace(
                "<line ", f'<line data-forecast-s="{forecast:g}" ', 1
            ),
            label(p, after, y, took[place], size=4.0, anchor="start", weight="600"),
        ))  # fmt: skip
    height = len(rows) * ROW * p.k
    body.append(el("line", x1=0, y1=0, x2=0, y2=height, stroke=SOFT, stroke_width=p.line(0.3)))
    told = zip(rows, planned, took, strict=True)
    said = "; ".join(f"{row[0]}: planned {forecast}, took {actual}" for row, forecast, actual in told)
    return picture(f"Time by stage. {said}.", longest, height, p, body)


def days_line(days: Sequence[tuple[str, str]]) -> str:
    """Draw the days something was sewn on, (2026-03-01, 1 March 2026), as stitches along the calendar."""
    at = [date.fromisoformat(iso).toordinal() for iso, _ in days]
    span = at[-1] - at[0] + 1
    p = pen(span, min(DAYS_WIDE, 21.0 * span), left=0.0, right=0.0, top=2.0, bottom=6.0)
    body = [el("line", x1=0, y1=0, x2=span, y2=0, stroke=SOFT, stroke_width=p.line(0.25), stroke_linecap="butt")]
    same_year = len({iso[:4] for iso, _ in days}) == 1
    names = [day.rsplit(" ", 1)[0] if same_year else day for _, day in days]
    for (iso, _), day in zip(days, at, strict=True):
        middle, half = day - at[0] + 0.5, max(0.38, 0.5 * p.k)
        sewn = line(p, middle - half, 0, middle + half, 0, colour=THREAD, paper_mm=1.6)
        body.append(sewn.replace("<line ", f'<line data-day="{iso}" ', 1))
    for place, x in _in_a_row(
        [day - at[0] for day in at], [wide(name, LEAST) * p.k for name in names], span, 2.5 * p.k
    ):
        body.append(label(p, x, p.k * 4.6, names[place], size=LEAST, anchor="start"))
    return picture(f"Sewn on {counted(len(days), 'day')}: {listed([day for _, day in days])}.", span, 0.0, p, body)


def _in_a_row(starts: Sequence[float], widths: Sequence[float], end: float, gap: float) -> list[tuple[int, float]]:
    """Which labels have room beside one another, and where: the first, the last, and those that fit between."""
    last = max(0.0, min(starts[-1], end - widths[-1]))
    over, out = widths[0] + gap, [(0, 0.0)]
    for place in range(1, len(starts) - 1):
        if over <= starts[place] <= last - gap - widths[place]:
            out.append((place, starts[place]))
            over = starts[place] + widths[place] + gap
    return [*out, (len(starts) - 1, last)] if len(starts) > 1 and last >= over else out


class Stretch(msgspec.Struct, frozen=True):
    """A part of a day, s from its first beginning: work, a wait, or a break."""

    kind: Literal["work", "wait", "break"]
    start_s: float
    end_s: float


class DayLine(msgspec.Struct, frozen=True):
    """A day as a line: its name, the clock at its beginning and end, its parts, and when it is time to decide."""

    name: str
    start: str
    end: str
    parts: tuple[Stretch, ...]
    decide: tuple[tuple[float, str], ...] = ()


def day_bars(days: Sequence[DayLine], shown_mm: float) -> str:
    """Draw days as lines: work solid, waits as an open bar, breaks thin, a mark where it is time to decide."""
    longest = max((part.end_s - day.parts[0].start_s for day in days for part in day.parts), default=0.0) or 1.0
    left = max((wide(day.name, LEAST) for day in days), default=0.0) + (2 if any(day.name for day in days) else 0)
    p = pen(longest, shown_mm, left=left + 1, right=8.0, top=1.0, bottom=1.0)
    body, row = [], DAY * p.k
    for place, day in enumerate(days):
        y, first = (place + 0.55) * row, day.parts[0].start_s
        body += [label(p, -p.k * 1.5, y, day.name, size=LEAST, anchor="end")] if day.name else []
        body += [_stretch(p, part, part.start_s - first, part.end_s - first, y) for part in day.parts]
        end = max(part.end_s for part in day.parts) - first
        body.append(label(p, 0, y + p.k * 4.9, day.start, size=LEAST, anchor="start"))
        body.append(label(p, end, y + p.k * 4.9, day.end, size=LEAST, anchor="end", weight="600"))
        for at, clock in day.decide:
            x = min(at - first, longest)
            tip = f"M{number(x)} {number(y - p.k * 2.6)}l{number(-p.k * 1.5)} {number(-p.k * 2.4)}h{number(p.k * 3)}z"
            body.append(el("path", d=tip, fill=THREAD, data_decide_s=at))
            body.append(label(p, x, y - p.k * 6.9, clock, size=LEAST, colour=THREAD, weight="600"))
    said = "; ".join(
        f"{day.name} from {day.start} to {day.end}".strip()
        + "".join(f", time to decide at {clock}" for _, clock in day.decide)
        for day in days
    )
    return picture(f"The day as a line. {said}.", longest, len(days) * row, p, body)


def _stretch(p: Pen, part: Stretch, start: float, end: float, y: float) -> str:
    told: dict[str, str | float | None] = {"data_start_s": start, "data_end_s": end, "data_kind": part.kind}
    if part.kind == "work":
        return el(
            "line", x1=start, y1=y, x2=end, y2=y, stroke=THREAD, stroke_width=p.line(2.2), stroke_linecap="butt", **told
        )
    if part.kind == "wait":
        return el("rect", x=start, y=y - p.k * 1.1, width=end - start, height=p.k * 2.2, fill=PAPER, stroke=THREAD,
                 stroke_width=p.line(0.5), **told)  # fmt: skip
    return el("line", x1=start, y1=y, x2=end, y2=y, stroke=SOFT, stroke_width=p.line(0.3), **told)
