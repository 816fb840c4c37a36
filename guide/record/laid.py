"""What is laid and what the cloth was cut for: a layout that changes half way moves squares, it does not uncut them."""

from collections import Counter
from collections.abc import Mapping
from typing import Annotated, Any

import msgspec

from guide.read.machines import KEPT_AS, in_use_text
from guide.record.model import Record

Stacks = list[list[str]]
_MOST = 100_000  # squares of a print in a project


class Again(msgspec.Struct, frozen=True):
    """What is done once more for a block: its seams unpicked, squares cut, and the steps it goes through again."""

    block: str  # row and column, as they are said: 1,2
    steps: list[str] = []  # keys, in order
    cut: dict[str, Annotated[int, msgspec.Meta(ge=1, le=_MOST)]] = {}
    unpick: bool = False


class Laid(msgspec.Struct, frozen=True):
    """The stacks as they lie, row by row, those the cloth was cut for, and squares cut again since, by print.

    cut_for None: as they lie.
    """

    layout: Stacks | None
    cut_for: Stacks | None = None
    cut_again: dict[str, int] = {}
    again: list[Again] = []  # blocks that are made once more, in the order it was found out


def laid_of(record: Record) -> Laid:
    """Say what is laid and cut, as the record stands."""
    return Laid(record.layout, record.cut_for, record.cut_again, [*filter(None, map(_again, record.again))])


def laid_after(record: Record, layout: Stacks | None, said: Mapping[str, Any] | None) -> Laid:
    """Say the same once another layout is laid; said: what its record holds beside, `cut_again` by print.

    Until the first piece of the session is counted nothing is cut, and the cloth will be cut for the new layout.
    From then on the layout it was cut for stays, and only what the record says is cut again comes on top.
    """
    if not any(step.pieces_done for step in record.steps.values()):
        return Laid(layout, again=laid_of(record).again)
    cut_for = record.layout if record.cut_for is None and layout != record.layout else record.cut_for
    told = (said or {}).get("cut_again")
    again = Counter(record.cut_again)
    for name, count in told.items() if isinstance(told, dict) else ():
        again[name] += count if isinstance(count, int) and abs(count) <= _MOST else 0
    fresh = _again((said or {}).get("again"))
    return Laid(layout, cut_for, dict(+again), [*laid_of(record).again, *([fresh] if fresh else [])])


def at_machine(texts: dict[str, str], said: Mapping[str, Any] | None) -> dict[str, str]:
    """Give a session's texts once it went over to another machine, where its record says so: `machine`."""
    name = (said or {}).get("machine")
    return texts | {KEPT_AS: in_use_text(name)} if isinstance(name, str) and name else texts


def _again(told: object) -> Again | None:
    """Read what a record says is made again; None for anything that is no such thing."""
    try:
        return msgspec.convert(told, Again) if told is not None else None
    except msgspec.ValidationError:
        return None
