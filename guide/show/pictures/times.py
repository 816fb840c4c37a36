"""Times as lines: forecast against actual, a row a stage; and a day of work, a row a day, as it will go by."""

from collections.abc import Sequence
from datetime import date
from typing import Literal

import msgspec

from guide.read.spoken import counted, listed
from guide.record.clock import exact_text
from guide.show.pictures.svg import (
    INK,
    LEAST,
    PAPER,
    SOFT,
    THREAD,
    Pen,
    across,
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

# Charts in running stitch: hours by week, a pace by session, where a price goes.

WIDE, HIGH, ROOM = 178.0, 46.0, 26.0  # paper mm of the weeks at most, of the fullest week, of a week's name
ACROSS, DOWN, LONG_NAME = 57.0, 30.0, 40.0  # paper mm of a pace's chart, two in a row on A4; em of a name read aloud
BAR, THICK, SHADES = 128.0, 11.0, (0.12, 0.42, 0.24, 0.56)  # paper mm of the bar of a price


def weeks(title: str, rows: Sequence[tuple[str, float]], unit: tuple[float, str]) -> str:
    """Draw (week, hours) rows as upright lines of running stitch; a stitch is `unit`, hours and how that is said."""
    most = max((hours for _, hours in rows), default=0.0) or 1.0
    slot = min(14.0, WIDE / len(rows))
    wide, hour = slot * len(rows), HIGH / most
    p = Pen(1.0, left=2.0, right=2.0, top=HIGH + 7.0, bottom=7.0)
    every = unit[0] * hour
    body = [line(p, 0, 0, wide, 0, colour=SOFT, paper_mm=0.25)]
    for place, (week, hours) in enumerate(rows):
        x = (place + 0.5) * slot
        body.append(
            el("line", x1=x, y1=0.0, x2=x, y2=-hours * hour, stroke=THREAD, stroke_width=number(min(3.0, slot * 0.55)),
               stroke_dasharray=f"{number(every * 0.8)} {number(every * 0.2)}", stroke_linecap="butt",
               data_week=week, data_hours=hours)
        )  # fmt: skip
    top = max(range(len(rows)), key=lambda place: rows[place][1])
    body.append(label(p, (top + 0.5) * slot, -rows[top][1] * hour - 3.2, f"{rows[top][1]:.1f} h", weight="600"))
    body.append(label(p, 0, 4.2, rows[0][0], anchor="start"))
    if wide > 2 * ROOM:
        body.append(label(p, wide, 4.2, rows[-1][0], anchor="end"))
    return picture(f"{title}. A stitch is {unit[1]}.", wide, 0.0, p, body)


class Paced(msgspec.Struct, frozen=True):
    """A step's pace by session for a chart: (day, s a piece), the starter's where there is one, and the range, s."""

    name: str
    points: Sequence[tuple[str, float]]
    starter_s: float | None
    low_s: float
    high_s: float


def pace_chart(one: Paced) -> str:
    """Draw a pace session by session: a dot each, the starter pace as a line of stitches, the range as a band."""
    most = max([one.high_s, one.starter_s or 0.0, *(pace for _, pace in one.points)]) or 1.0
    p = Pen(1.0, left=3.0, right=26.0, top=4.0, bottom=7.0)
    step = ACROSS / max(1, len(one.points) - 1)
    at = [(place * step if len(one.points) > 1 else ACROSS / 2, pace) for place, (_, pace) in enumerate(one.points)]

    def y(seconds: float) -> float:
        return DOWN * (1 - seconds / most)

    body = [
        el("rect", x=0, y=y(one.high_s), width=ACROSS, height=y(one.low_s) - y(one.high_s), fill=INK, fill_opacity=0.13,
           data_low_s=one.low_s, data_high_s=one.high_s),
        line(p, 0, DOWN, ACROSS, DOWN, colour=SOFT, paper_mm=0.25),
        line(p, 0, 0, 0, DOWN, colour=SOFT, paper_mm=0.25),
    ]  # fmt: skip
    told = [(y(one.high_s), _says(one.high_s), ""), (y(one.low_s), _says(one.low_s), "")]
    if one.starter_s:
        sewn = stitch(p, 0, y(one.starter_s), ACROSS, y(one.starter_s), "starter")
        body.append(sewn.replace("<line ", f'<line data-starter-s="{number(one.starter_s)}" ', 1))
        told.append((y(one.starter_s), f"starter {_says(one.starter_s)}", ""))
    if len(at) > 1:
        way = "L".join(f"{number(x)} {number(y(pace))}" for x, pace in at)
        body.append(el("path", d=f"M{way}", stroke=INK, stroke_width=p.line(0.35)))
    for (day, _), (x, pace) in zip(one.points, at, strict=True):
        body.append(el("circle", cx=x, cy=y(pace), r=min(1.0, step * 0.35), fill=INK, data_day=day, data_pace_s=pace))
    told.append((y(at[-1][1]), _says(at[-1][1]), "600"))
    body += [
        label(p, ACROSS + 2, at_y, text, anchor="start", weight=weight or None) for at_y, text, weight in _apart(told)
    ]
    body.append(label(p, 0, DOWN + 4.2, one.points[0][0], anchor="start"))
    if len(one.points) > 1:
        body.append(label(p, ACROSS, DOWN + 4.2, one.points[-1][0], anchor="end"))
    starter = f"; starter pace {_says(one.starter_s)}" if one.starter_s else ""
    said = f"{_says(one.points[0][1])} on {one.points[0][0]}"
    if len(one.points) > 1:
        said += f" to {_says(one.points[-1][1])} on {one.points[-1][0]}, {len(one.points)} sessions"
    band = f"range {_says(one.low_s)} to {_says(one.high_s)}"
    return picture(f"{fit(one.name, 1.0, LONG_NAME)}: {said}{starter}; {band}.", ACROSS, DOWN, p, body)


def _says(pace_s: float) -> str:
    return exact_text(pace_s, tenths=True)


def _apart(told: Sequence[tuple[float, str, str]]) -> list[tuple[float, str, str]]:
    """Labels one above another so that none lies on the next, each as near its own height as that allows."""
    out: list[tuple[float, str, str]] = []
    for at, text, weight in sorted(told, key=lambda one: one[0]):
        out.append((max(at, out[-1][0] + LEAST * 1.25) if out else at, text, weight))
    over = max(0.0, out[-1][0] - DOWN)
    for place in range(len(out) - 1, -1, -1):  # what would hang below is pushed up again
        highest = out[place + 1][0] - LEAST * 1.25 if place + 1 < len(out) else out[place][0] - over
        out[place] = (min(out[place][0], highest), *out[place][1:])
    return out


def price_bar(
    parts: Sequence[tuple[str, float, str]], price: tuple[float, str], between: tuple[float, float, str] | None
) -> str:
    """Draw where a price goes as one bar, each part named beneath it, and above it between what it may come to lie.

    `parts`: name, amount, the amount in words; what is lost has no place in the bar and is named all the same.
    """
    whole = max(price[0], between[1] if between else 0.0, sum(max(0.0, amount) for _, amount, _ in parts)) or 1.0
    p = Pen(1.0, left=2.0, right=4.0, top=3.0, bottom=2.0)
    scale, at = BAR / whole, 0.0
    body: list[str] = []
    if between:
        low, high, words = between
        body.append(across(p, low * scale, high * scale, -3.2, "", name="80 %"))
        body.append(label(p, BAR, -7.0, words, anchor="end"))
    for place, (name, amount, words) in enumerate(parts):
        row = THICK + 5.0 + (len(parts) - 1 - place) * LEAST * 1.45
        wide = max(0.0, amount) * scale
        if wide:
            body.append(
                el("rect", x=at, y=0, width=wide, height=THICK, fill=INK, fill_opacity=SHADES[place % len(SHADES)],
                   stroke=INK, stroke_width=p.line(0.3), data_part=name, data_amount=amount)
            )  # fmt: skip
        middle = at + wide / 2
        body.append(line(p, middle, THICK * 0.7 if wide else THICK, middle, row, colour=SOFT, paper_mm=0.25))
        body.append(label(p, middle + 1.5, row, f"{name} {words}", anchor="start"))
        at += wide
    x = price[0] * scale
    body.append(stitch(p, x, -1.5, x, THICK + 1.5, "price", paper_mm=0.9))
    body.append(label(p, x + 2, THICK / 2, price[1], size=4.6, anchor="start", weight="600"))
    read = "; ".join(f"{name} {words}" for name, _, words in parts)
    above = f" {between[2]}." if between else ""
    return picture(f"Of {price[1]}: {read}.{above}", BAR, THICK + 5.0 + len(parts) * LEAST * 1.45, p, body)


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
