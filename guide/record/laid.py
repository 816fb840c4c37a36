"""What is laid and what the cloth was cut for: a layout that changes half way moves squares, it does not uncut them."""

from collections import Counter
from collections.abc import Mapping
from typing import Any

import msgspec

from guide.record.model import Record

Stacks = list[list[str]]
_MOST = 100_000  # squares of a print in a project


class Laid(msgspec.Struct, frozen=True):
    """The stacks as they lie, row by row, those the cloth was cut for, and squares cut again since, by print.

    cut_for None: as they lie.
    """

    layout: Stacks | None
    cut_for: Stacks | None = None
    cut_again: dict[str, int] = {}


def laid_of(record: Record) -> Laid:
    """Say what is laid and cut, as the record stands."""
    return Laid(record.layout, record.cut_for, record.cut_again)


def laid_after(record: Record, layout: Stacks | None, said: Mapping[str, Any] | None) -> Laid:
    """Say the same once another layout is laid; said: what its record holds beside, `cut_again` by print.

    Until the first piece of the session is counted nothing is cut, and the cloth will be cut for the new layout.
    From then on the layout it was cut for stays, and only what the record says is cut again comes on top.
    """
    if not any(step.pieces_done for step in record.steps.values()):
        return Laid(layout)
    cut_for = record.layout if record.cut_for is None and layout != record.layout else record.cut_for
    told = (said or {}).get("cut_again")
    again = Counter(record.cut_again)
    for name, count in told.items() if isinstance(told, dict) else ():
        again[name] += count if isinstance(count, int) and abs(count) <= _MOST else 0
    return Laid(layout, cut_for, dict(+again))
