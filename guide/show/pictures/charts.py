"""Charts in running stitch: hours by week, a pace by session, where a price goes."""

from collections.abc import Callable, Sequence

import msgspec

from guide.show.pictures.svg import (
    INK,
    LEAST,
    SOFT,
    THREAD,
    Pen,
    across,
    el,
    fit,
    label,
    line,
    number,
    picture,
    stitch,
)

WIDE, HIGH, ROOM = 178.0, 46.0, 26.0  # paper mm of the weeks at most, of the fullest week, of a week's name
ACROSS, DOWN, LONG_NAME = 60.0, 30.0, 40.0  # paper mm of a pace's chart; em of a name that is read aloud
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
    """A step's pace by session for a chart: (day, s a piece), the starter's where there is one, and the range, s.

    `says`: how a time is written.
    """

    name: str
    points: Sequence[tuple[str, float]]
    starter_s: float | None
    low_s: float
    high_s: float
    says: Callable[[float], str]


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
    told = [(y(one.high_s), one.says(one.high_s), ""), (y(one.low_s), one.says(one.low_s), "")]
    if one.starter_s:
        sewn = stitch(p, 0, y(one.starter_s), ACROSS, y(one.starter_s), "starter")
        body.append(sewn.replace("<line ", f'<line data-starter-s="{number(one.starter_s)}" ', 1))
        told.append((y(one.starter_s), f"starter {one.says(one.starter_s)}", ""))
    if len(at) > 1:
        way = "L".join(f"{number(x)} {number(y(pace))}" for x, pace in at)
        body.append(el("path", d=f"M{way}", stroke=INK, stroke_width=p.line(0.35)))
    for (day, _), (x, pace) in zip(one.points, at, strict=True):
        body.append(el("circle", cx=x, cy=y(pace), r=min(1.0, step * 0.35), fill=INK, data_day=day, data_pace_s=pace))
    told.append((y(at[-1][1]), one.says(at[-1][1]), "600"))
    body += [
        label(p, ACROSS + 2, at_y, text, anchor="start", weight=weight or None) for at_y, text, weight in _apart(told)
    ]
    body.append(label(p, 0, DOWN + 4.2, one.points[0][0], anchor="start"))
    if len(one.points) > 1:
        body.append(label(p, ACROSS, DOWN + 4.2, one.points[-1][0], anchor="end"))
    starter = f"; starter pace {one.says(one.starter_s)}" if one.starter_s else ""
    said = f"{one.says(one.points[0][1])} on {one.points[0][0]}"
    if len(one.points) > 1:
        said += f" to {one.says(one.points[-1][1])} on {one.points[-1][0]}, {len(one.points)} sessions"
    band = f"range {one.says(one.low_s)} to {one.says(one.high_s)}"
    return picture(f"{fit(one.name, 1.0, LONG_NAME)}: {said}{starter}; {band}.", ACROSS, DOWN, p, body)


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
