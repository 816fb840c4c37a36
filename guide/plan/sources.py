"""From which cloths do a step's strips come? What the cutting order knows, in the words of one step."""

from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

from guide.plan.model import CutCloth
from guide.read.lengths import Units, show_length


class Source(NamedTuple):
    """A cloth that a step cuts, its number from 1 as the cutting order counts, and how many strips it gives."""

    cloth: CutCloth
    number: int
    strips: int


def together(runs: Sequence[Source]) -> list[Source]:
    """Put the runs of strips that one cloth gives together."""
    of = {one.number: one.cloth for one in runs}
    return [Source(cloth, at, sum(one.strips for one in runs if one.number == at)) for at, cloth in of.items()]


def named(sources: Sequence[Source], units: Units) -> str:
    """Say them all at once: `piece 2 on hand, 13 in × 40 in`, `3 pieces on hand and the bolt`."""
    only = sources[0]
    if len(sources) == 1 and not only.cloth.bought:
        return f"piece {only.number} on hand, {_size(only.cloth, units)}"
    pieces = sum(not one.cloth.bought for one in sources)
    said = ["the piece on hand" if pieces == 1 else f"{pieces} pieces on hand"] if pieces else []
    return " and ".join([*said, *(["the bolt"] if pieces < len(sources) else [])])


def shares(sources: Sequence[Source], units: Units) -> str:
    """Say how many strips come from which: `2 from piece 1, 22 in × 18 in; 3 from the bolt`; of one nothing."""
    if len(sources) == 1:
        return ""

    def alike(at: tuple[int, Source]) -> tuple[object, ...]:
        place, one = at  # numbers that follow on differ from their places by the same
        return one.cloth.width_mm, one.cloth.length_mm, one.cloth.bought, one.strips, one.number - place

    runs = groupby(enumerate(sources), key=alike)
    return "; ".join(_share([one for _, one in run], units) for _, run in runs)


def _size(cloth: CutCloth, units: Units) -> str:
    return " × ".join(show_length(mm, units) for mm in (cloth.width_mm, cloth.length_mm))


def _share(run: Sequence[Source], units: Units) -> str:
    first, last = run[0], run[-1]
    if first.cloth.bought:
        return f"{first.strips} from the bolt"
    size = _size(first.cloth, units)
    if first is last:
        return f"{first.strips} from piece {first.number}, {size}"
    to = "and" if len(run) == 2 else "to"
    return f"{first.strips} each from pieces {first.number} {to} {last.number}, {size}"


def trimmed(sources: Sequence[Source], units: Units) -> str:
    """Say what a piece on hand that is not straight loses at one side and one end; nothing where all are straight."""
    most = max(one.cloth.trim_mm for one in sources)
    return show_length(most, units) if most else ""
