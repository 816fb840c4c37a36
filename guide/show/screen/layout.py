"""How do parts share a screen? Blank lines give way first, then whole parts, the least needed first."""

import msgspec

from guide.show.screen.text import Line


class Page(msgspec.Struct, frozen=True):
    """A whole screen: its lines from the top, and the cell the cursor sits on (column, row)."""

    lines: list[Line]
    cursor: tuple[int, int] = (0, 0)
    more: bool = False  # a card goes on below


class Part(msgspec.Struct, frozen=True):
    """Lines that belong together: how long they stay when room is short, and the blank lines wanted before them."""

    name: str
    lines: list[Line]
    keep: int
    gap: int = 0


def fitted(stack: list[Part], height: int) -> list[Part]:
    """Parts that fit: blank lines give way first, then whole parts, the least kept first."""
    kept = [part for part in stack if part.lines]

    def tall() -> int:
        return sum(len(part.lines) + part.gap for part in kept)

    while tall() > height and any(part.gap for part in kept):
        index = min((i for i, part in enumerate(kept) if part.gap), key=lambda i: kept[i].keep)
        kept[index] = msgspec.structs.replace(kept[index], gap=kept[index].gap - 1)
    while tall() > height and len(kept) > 1:
        kept.remove(min(kept, key=lambda part: part.keep))
    return kept


def laid(top: list[Part], foot: list[Part], height: int) -> tuple[list[Line], dict[str, int]]:
    """The parts' lines, the foot at the bottom, and the row each part begins on."""
    kept = fitted([*top, *foot], height)
    names = {part.name for part in foot}
    tall = sum(len(part.lines) + part.gap for part in kept)
    lines: list[Line] = []
    rows: dict[str, int] = {}
    spread = False
    for part in kept:
        if part.name in names and not spread:
            lines += [[] for _ in range(height - tall)]
            spread = True
        lines += [[] for _ in range(part.gap)]
        rows[part.name] = len(lines)
        lines += part.lines
    return lines[:height], rows
