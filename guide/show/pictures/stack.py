"""One block's stack, its layers drawn apart, right sides marked, front face on top."""

from collections.abc import Sequence

from guide.show.pictures.cloth import Look, definitions
from guide.show.pictures.lettering import fit
from guide.show.pictures.svg import INK, SOFT, THREAD, Pen, arrow, el, label, number, pen, picture


def stack_apart(
    stack: Sequence[str], looks: dict[str, Look], *, above: int, wadding: bool, square_mm: float, wadding_mm: float,
) -> str:  # fmt: skip
    """Draw the squares front face first, the first `above` of them over the wadding."""
    wide = square_mm * 1.4
    p = pen(wide, 84.0, left=2.0, right=36.0, top=2.0, bottom=2.0)
    layers: list[tuple[str, str, float]] = [(name, "up", square_mm) for name in stack[:above]]
    if wadding:
        layers.append(("wadding", "", wadding_mm))
    layers += [(name, "down", square_mm) for name in stack[above:]]
    apart, flat = square_mm * 0.2, square_mm * 0.34
    body = [definitions(p, {name: looks[name] for name in stack})]
    for place in reversed(range(len(layers))):
        name, side, size = layers[place]
        fill = looks[name].fill if side else "#f6f3ec"
        body.append(_layer(p, place * apart, square_mm, (name, size, fill)))
    for place, (name, side, _) in enumerate(layers):
        y = place * apart + flat / 2
        words = f"{looks[name].letter} {name}" if side else "wadding"
        body.append(
            label(p, wide + p.k * 7, y, fit(words, 3.6, 48.0), size=3.6, anchor="start", colour=INK if side else SOFT)
        )
        if side:
            tip = -1.6 * p.k if side == "up" else 1.6 * p.k
            body.append(arrow(p, wide + p.k * 4, y - tip, wide + p.k * 4, y + tip, colour=THREAD))
    said = ", ".join(f"{name} right side {side}" if side else name for name, side, _ in layers)
    return picture(f"The stack of one block from the top: {said}.", wide, (len(layers) - 1) * apart + flat, p, body)


def _layer(p: Pen, y: float, square: float, layer: tuple[str, float, str]) -> str:
    """One layer (name, size, fill) as a leaning square, centred on the others."""
    name, size, fill = layer
    inset = (square - size) / 2
    lean, flat = square * 0.4, square * 0.34

    def at(across: float, along: float) -> str:
        return f"{number(across + lean * (1 - along / square))} {number(y + flat * along / square)}"

    a, b = inset, inset + size
    outline = f"M{at(a, a)}L{at(b, a)}L{at(b, b)}L{at(a, b)}Z"
    return el("path", d=outline, fill=fill, stroke=INK, stroke_width=p.line(0.35), data_layer=name, data_size_mm=size)
