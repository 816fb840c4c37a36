"""Quilting lines on one block: inside the wadding's edge, clear of the seam."""

from guide.show.pictures.svg import INK, SOFT, across, down, el, label, pen, picture, stitch


def quilting(
    *, square_mm: float, seam_mm: float, box_mm: float, wadding_mm: float | None, pattern: str,
    square_text: str, inner_text: str, line_text: str,
) -> str:  # fmt: skip
    """Draw the square, the wadding in it, the seam line, and the cross or plus `box_mm` wide."""
    p = pen(square_mm, 78.0, left=2.0, right=20.0, top=2.0, bottom=10.0)
    body = [el("rect", width=square_mm, height=square_mm, stroke=INK, stroke_width=p.line(0.4))]
    if wadding_mm is not None:
        gap = (square_mm - wadding_mm) / 2
        body.append(
            el(
                "rect", x=gap, y=gap, width=wadding_mm, height=wadding_mm, fill="#efe9dc", stroke=SOFT,
                stroke_width=p.line(0.25), data_wadding_mm=wadding_mm, data_x_mm=gap, data_y_mm=gap,
            )
        )  # fmt: skip
    inside = square_mm - 2 * seam_mm
    body.append(
        el(
            "rect", x=seam_mm, y=seam_mm, width=inside, height=inside, stroke=SOFT, stroke_width=p.line(0.25),
            stroke_dasharray=f"{p.k * 0.8:.3f} {p.k * 1.2:.3f}",
        )
    )  # fmt: skip
    low, high, middle = (square_mm - box_mm) / 2, (square_mm + box_mm) / 2, square_mm / 2
    lines = {
        "cross": ((low, low, high, high), (high, low, low, high)),
        "plus": ((middle, low, middle, high), (low, middle, high, middle)),
    }.get(pattern, ())
    body += [stitch(p, *ends, "quilt") for ends in lines]
    if lines:
        body.append(label(p, middle, low + box_mm * 0.2, line_text, size=4.4, weight="600", halo=True))
    body.append(across(p, 0, square_mm, square_mm + p.k * 3, square_text, name="square"))
    body.append(down(p, square_mm + p.k * 3, low, high, inner_text, name="box"))
    words = f"One block {square_text} square: a {pattern} of two lines, each {line_text}, inside {inner_text}."
    return picture(words, square_mm, square_mm, p, body)
