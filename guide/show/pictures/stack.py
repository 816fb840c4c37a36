"""One block's stack: its layers drawn apart, front face on top; or as it is laid, square beside square."""

from collections.abc import Sequence

from guide.show.pictures.cloth import Look, definitions, laid
from guide.show.pictures.lettering import LEAST, fit
from guide.show.pictures.svg import INK, SOFT, THREAD, Pen, arrow, el, label, number, pen, picture

WADDING = "#f6f3ec"
PATCH, GAP, BAR = 9.0, 1.2, 2.6  # paper mm of a row of squares


def stack_apart(
    stack: Sequence[str], looks: dict[str, Look], *, above: int, wadding: bool, square_mm: float, wadding_mm: float,
) -> str:  # fmt: skip
    """Draw the squares front face first, the first `above` of them over the wadding."""
    wide = square_mm * 1.4
    p = pen(wide, 84.0, left=2.0, right=36.0, top=2.0, bottom=2.5)
    layers: list[tuple[str, str, float]] = [(name, "up", square_mm) for name in stack[:above]]
    if wadding:
        layers.append(("wadding", "", wadding_mm))
    layers += [(name, "down", square_mm) for name in stack[above:]]
    apart, flat = square_mm * 0.2, square_mm * 0.34
    body = [definitions(p, {name: looks[name] for name in stack}, square_mm, square_mm)]
    for place in reversed(range(len(layers))):
        name, side, size = layers[place]
        body.append(_layer(p, place * apart, square_mm, (name, size), looks[name] if side else None))
    left = len(stack)  # squares are counted as they are laid, from the foot; wadding is none
    for place, (name, side, _) in enumerate(layers):
        y = place * apart + flat / 2
        words = f"{left}  {looks[name].letter} {name}" if side else "wadding"
        left -= bool(side)
        body.append(
            label(
                p, wide + p.k * 7, y, fit(words, LEAST, 48.0), size=LEAST, anchor="start", colour=INK if side else SOFT
            )
        )
        if side:
            tip = -1.6 * p.k if side == "up" else 1.6 * p.k
            body.append(arrow(p, wide + p.k * 4, y - tip, wide + p.k * 4, y + tip, colour=THREAD))
    said = ", ".join(f"{name} right side {side}" if side else name for name, side, _ in layers)
    return picture(f"The stack of one block from the top: {said}.", wide, (len(layers) - 1) * apart + flat, p, body)


def _layer(p: Pen, y: float, square: float, layer: tuple[str, float], look: Look | None) -> str:
    """One layer (name, size) as a leaning square, centred on the others; wadding has no look."""
    name, size = layer
    inset = (square - size) / 2
    lean, flat = square * 0.4, square * 0.34

    def at(across: float, along: float) -> str:
        return f"{number(across + lean * (1 - along / square))} {number(y + flat * along / square)}"

    a, b = inset, inset + size
    outline = f"M{at(a, a)}L{at(b, a)}L{at(b, b)}L{at(a, b)}Z"
    leaning = f"matrix(1 0 {number(-lean / square)} {number(flat / square)} {number(lean)} {number(y)})"
    edge = el(
        "path", d=outline, fill=None if look else WADDING, stroke=INK, stroke_width=p.line(0.35), data_layer=name,
        data_size_mm=size,
    )  # fmt: skip
    return (laid(look, transform=leaning) if look else "") + edge


def stack_row(laid_: Sequence[str], looks: dict[str, Look], *, below: int, wadding: bool, title: str) -> str:
    """A stack as it is laid, from left to right, each square over its letter; wadding is a bar between."""
    p = Pen(1.0, 0.6, 0.6, 0.6, 0.6)
    body = [definitions(p, {name: looks[name] for name in laid_}, PATCH, PATCH)]
    x = 0.0
    for place, name in enumerate(laid_):
        if wadding and place == below:
            body.append(el("rect", x=x, y=-0.3, width=BAR, height=PATCH + 0.6, rx=1, fill=WADDING, stroke=SOFT,
                           stroke_width=p.line(0.3), data_wadding=str(below)))  # fmt: skip
            x += BAR + GAP
        body += [
            laid(looks[name], x=x, y=0.0, data_laid=name),
            el("rect", x=x, width=PATCH, height=PATCH, stroke=INK, stroke_width=p.line(0.3)),
            label(p, x + PATCH / 2, PATCH + 2.6, looks[name].letter, size=4.2, weight="600"),
        ]
        x += PATCH + GAP
    return picture(title, x - GAP, PATCH + 4.6, p, body)


def swatch(look: Look) -> str:
    """A small piece of a print."""
    p = Pen(1.0, 0.4, 0.4, 0.4, 0.4)
    edge = el("rect", width=PATCH, height=PATCH, stroke=INK, stroke_width=p.line(0.3))
    title = f"{look.letter}: {look.name}, as it is drawn here."
    return picture(title, PATCH, PATCH, p, [definitions(p, {look.name: look}, PATCH, PATCH), laid(look), edge])
