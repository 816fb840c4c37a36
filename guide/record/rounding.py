"""The rules that shown times are rounded by: alone to the nearest whole unit, halves up; in a table to its total."""

from collections.abc import Sequence


def nearest(seconds: float, unit_s: int = 1) -> int:
    """Give a time in whole seconds or, with a unit of 60, minutes; from its whole ms, so that equal sums stay equal."""
    ms, unit_ms = round(seconds * 1000), unit_s * 1000
    return (2 * ms + unit_ms) // (2 * unit_ms)


def shared_out(parts: Sequence[int], unit: int, total: int | None = None) -> list[int]:
    """Round parts to whole units that sum to their rounded total, or to the `total` of units that is shown for them.

    By largest remainders (Hamilton's method of apportionment, 1792): every part down, then those that lost most get
    one each until the total is met; the earlier of equals first.
    """
    if not parts:
        return []
    whole = (2 * sum(parts) + unit) // (2 * unit) if total is None else total
    each, odd = divmod(whole - sum(part // unit for part in parts), len(parts))
    first = sorted(range(len(parts)), key=lambda i: -(parts[i] % unit))[:odd]
    return [part // unit + each + (i in first) for i, part in enumerate(parts)]
