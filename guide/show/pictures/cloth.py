"""How each print looks on paper: a pattern fill of our own, a letter, a colour that is legible in grey.

The fill follows the print's name where the name says it (moss check, clay dot, oat stripe), else the next
fill that is free.
"""

from collections.abc import Callable, Sequence

import msgspec

from guide.show.pictures.svg import IDENT, Pen, el, number

COLOURS = {  # words of colour: ground and figure
    "moss": ("#dfe5cf", "#6f7f45"), "green": ("#dbe6d6", "#56764f"), "leaf": ("#dbe6d6", "#56764f"),
    "oat": ("#f3ead8", "#a98e5f"), "cream": ("#f7f0df", "#b29a6b"), "straw": ("#f6ebc6", "#a98a32"),
    "clay": ("#f0d6c8", "#a9583a"), "rust": ("#efd3c4", "#9c4a2b"), "red": ("#f2d3cf", "#a23b34"),
    "berry": ("#ecd3dc", "#8c3d5b"), "plum": ("#e3d6e6", "#6d4b78"), "rose": ("#f5dadd", "#b0606e"),
    "slate": ("#d9dee3", "#566673"), "blue": ("#d6e1ee", "#426a96"), "ink": ("#d7dae6", "#3d4670"),
    "sky": ("#dcebf4", "#5c8fb0"), "sand": ("#f1e6d2", "#a3835a"), "grey": ("#e2e0dc", "#6d6a65"),
    "brown": ("#e6d9cb", "#7b5a3c"), "white": ("#fbfaf6", "#a39d92"), "black": ("#c9c6c2", "#2f2c29"),
}  # fmt: skip
SPARE = ("moss", "oat", "clay", "slate", "plum", "straw", "sky", "brown")


class Look(msgspec.Struct, frozen=True):
    """How one print is drawn: its letter, the kind of fill, ground and figure colour."""

    name: str
    letter: str
    kind: str
    ground: str
    figure: str
    lettered: bool = True  # its letter stands on each patch

    @property
    def fill(self) -> str:
        """The fill to write on a shape."""
        return f"url(#{IDENT}{self.letter})"


def looks(prints: Sequence[tuple[str, str]]) -> dict[str, Look]:
    """Choose a look for each (name, letter); fills differ as long as there are fills."""
    said: dict[str, str] = {}
    for name, _ in prints:
        kind = next((kind for kind in FILLS if kind in name.lower().split()), None)
        if kind and kind not in said.values():
            said[name] = kind
    free = [kind for kind in FILLS if kind not in said.values()]
    out: dict[str, Look] = {}
    for place, (name, letter) in enumerate(prints):
        kind = said.get(name) or (free.pop(0) if free else list(FILLS)[place % len(FILLS)])
        colour = next((word for word in name.lower().split() if word in COLOURS), SPARE[place % len(SPARE)])
        out[name] = Look(name, letter, kind, *COLOURS[colour])
    return out


def definitions(p: Pen, looks_: dict[str, Look]) -> str:
    """The pattern fills of a picture, sized on paper and not on the cloth, so they read at any scale."""
    return el("defs", *(_pattern(p, look) for look in looks_.values()))


def _pattern(p: Pen, look: Look) -> str:
    size, marks = FILLS[look.kind]
    return el(
        "pattern",
        el("rect", width=size, height=size, fill=look.ground),
        marks(look.figure),
        id=f"{IDENT}{look.letter}",
        width=size,
        height=size,
        patternUnits="userSpaceOnUse",
        patternTransform=f"scale({number(p.k)})",
    )


def _check(figure: str) -> str:
    bars = el("rect", width=2, height=4, fill=figure, opacity=0.45)
    return bars + el("rect", width=4, height=2, fill=figure, opacity=0.45)


def _stripe(figure: str) -> str:
    wide = el("rect", x=0.4, width=0.9, height=3, fill=figure, opacity=0.8)
    return wide + el("rect", x=2, width=0.3, height=3, fill=figure, opacity=0.8)


def _dot(figure: str) -> str:
    return "".join(el("circle", cx=x, cy=y, r=0.62, fill=figure) for x, y in ((1, 1), (3, 3)))


def _herringbone(figure: str) -> str:
    return el(
        "path",
        d="M0 0.6L2 2.6L4 0.6M0 2.6L2 4.6L4 2.6M0 -1.4L2 0.6L4 -1.4",
        stroke=figure,
        stroke_width=0.5,
    )


def _leaf(figure: str) -> str:
    one = "M1 3C0.4 2 0.8 1 2 0.6C2.4 1.8 2 2.8 1 3Z"
    other = "M4 5.6C3.2 5.2 2.9 4.2 3.6 3.2C4.7 3.8 4.9 4.9 4 5.6Z"
    return el("path", d=one + other, fill=figure, opacity=0.85)


def _cross(figure: str) -> str:
    return el("path", d="M1 0.4V1.6M0.4 1H1.6M3 2.4V3.6M2.4 3H3.6", stroke=figure, stroke_width=0.45)


def _brick(figure: str) -> str:
    return el("path", d="M0 0.2H4M0 2.2H4M1 0.2V2.2M3 2.2V4.2", stroke=figure, stroke_width=0.4)


def _plain(_figure: str) -> str:
    return ""


FILLS: dict[str, tuple[float, Callable[[str], str]]] = {
    "check": (4.0, _check),
    "stripe": (2.9, _stripe),
    "dot": (4.0, _dot),
    "leaf": (6.0, _leaf),
    "herringbone": (4.0, _herringbone),
    "cross": (4.0, _cross),
    "plain": (4.0, _plain),
    "brick": (4.0, _brick),
}
