"""Draw a screen as a picture, to look at: python -m tests.show.draw_svg writes the two that are kept.

Every fragment stands at its own column and is told its length, so the picture is right in any monospaced font.
"""

import sys
from html import escape
from pathlib import Path

from guide.show.screen.page import page
from guide.show.screen.text import cells
from guide.show.screen.window import table

GOLDEN = Path(__file__).parent / "golden"
WIDE, HIGH, MARGIN = 9, 20, 18
PAPER = {"dark": ("#17171c", "#e8e6e1"), "light": ("#fdfcf9", "#1c1b19")}
KEPT = {"cross": (80, 24), "measure": (80, 24)}


def svg(scene, width, height, paper="dark"):
    """One screen as SVG text."""
    ground, ink = PAPER[paper]
    styles = table("many", paper)
    out = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width * WIDE + 2 * MARGIN}" height="{height * HIGH + 2 * MARGIN}" '
            f'font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="15" role="img">'
        ),
        f'<rect width="100%" height="100%" rx="10" fill="{ground}"/>',
    ]
    for row, line in enumerate(page(scene, width, height).lines):
        column = 0
        for style, text in line:
            dye = styles.get(style.partition(" ")[0].removeprefix("class:"), "")  # a print's own colour is none of ours
            if text.strip() or "reverse" in dye:
                out += _fragment(dye, text, (column, row), (ground, ink))
            column += cells(text)
    return "\n".join([*out, "</svg>", ""])


def _fragment(style, text, at, inks):
    (column, row), (ground, ink) = at, inks
    words = style.split()
    colour = next((word for word in words if word.startswith("#")), ink)
    x, y, long = MARGIN + column * WIDE, MARGIN + row * HIGH, cells(text) * WIDE
    out = []
    if "reverse" in words:
        out.append(f'<rect x="{x}" y="{y}" width="{long}" height="{HIGH}" fill="{colour}"/>')
        colour = ground
    weight = ' font-weight="bold"' if "bold" in words and not set(text) & set("━║╔╗╚╝═█") else ""
    out.append(
        f'<text x="{x}" y="{y + 15}" fill="{colour}"{weight} textLength="{long}" lengthAdjust="spacingAndGlyphs" '
        f'xml:space="preserve">{escape(text)}</text>'
    )
    return out


def main():
    from tests.show.screen_samples import moments

    scenes = moments()
    for name, size in KEPT.items():
        (GOLDEN / f"screen-{name}.svg").write_text(svg(scenes[name], *size), encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
