"""Forecast against actual: one row a stage, the forecast as a line of stitches, the actual as a bar."""

from collections.abc import Sequence

from guide.show.pictures.lettering import fit, wide
from guide.show.pictures.svg import INK, SOFT, THREAD, el, label, pen, picture, stitch
from guide.show.words import minutes_each

ROW = 9.0  # paper mm


def time_chart(rows: Sequence[tuple[str, float, float]]) -> str:
    """Draw (name, forecast s, actual s) rows; the drawing's plane is seconds × rows of paper."""
    planned = [one.text for one in minutes_each([forecast for _, forecast, _ in rows])]
    took = [one.text for one in minutes_each([actual for *_, actual in rows])]
    longest = max((max(forecast, actual) for _, forecast, actual in rows), default=0.0) or 1.0
    names = [fit(name, 3.6, 70.0) for name, _, _ in rows]
    left = max((wide(name, 3.6) for name in names), default=0.0) + 4
    p = pen(longest, 150.0, left=left, right=24.0, top=1.0, bottom=1.0)
    body: list[str] = []
    for place, (name, forecast, actual) in enumerate(rows):
        y = (place + 0.5) * ROW * p.k
        after = max(forecast, actual) + 2.5 * p.k
        body.extend((
            label(p, -3 * p.k, y, names[place], size=3.6, anchor="end"),
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
