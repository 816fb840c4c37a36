"""What washing takes from a cloth: as a percentage, or as measured on a washed swatch."""

from typing import Any

from guide.read.lengths import show_length
from guide.read.strict_yaml import Loaded

LEAST_MM = 350.0  # between the marks (ISO 3759, second hand); a shorter swatch measures its own stretch
MOST, LEAST = 0.5, -0.1  # beyond these the two lengths have been mistaken for one another


def shrinkage(data: dict[str, Any], loaded: Loaded, i: int) -> dict[str, float]:
    """Give print `i`'s shrinkage by direction, a fraction: (before - after) / before.

    ISO 5077 (second hand) writes it with the sign turned: 350 mm that become 339.5 mm have changed by -3 %.
    """
    if "swatch" not in data:
        return dict(data.get("shrinks", {}))
    swatch, path = data["swatch"], ("prints", i, "swatch")
    if "shrinks" in data:
        loaded.problem(path, "shrinks and swatch say the same thing; keep one of them", key=True)
    if not {"after_length", "after_width"} & swatch.keys():
        loaded.problem(path, "a swatch needs what it measured after washing; write after_length, after_width or both")
    before: float = swatch.get("before", 0.0)
    out: dict[str, float] = {}
    if before and before < LEAST_MM:
        said = f"{show_length(before, loaded.data.get('units', 'inch'))} between the marks is short"
        loaded.problem((*path, "before"), f"{said}; 350 mm, 14 in, or more tells shrinkage from stretch", hint=True)
    for along in ("length", "width"):
        after = swatch.get(f"after_{along}")
        if after is None or not before:
            continue
        out[along] = (before - after) / before
        if not LEAST <= out[along] <= MOST:
            loaded.problem(
                (*path, f"after_{along}"), "no cloth changes by so much; look whether the lengths are changed over"
            )
    return out
