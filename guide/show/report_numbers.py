"""How one number of the plan is written in a report: value, unit, text, and where it comes from."""

from collections.abc import Sequence
from pathlib import PurePath

import msgspec

from guide.plan.model import Plan, Quantity
from guide.read.formula import same
from guide.read.model import Place, Project
from guide.read.project import SHIPPED
from guide.read.spoken import said
from guide.read.stage_keys import GROUPS
from guide.read.units import show_length
from guide.record.clock import nearest, shared_out
from guide.show.model import Report
from guide.show.model_plan import Group, GroupRow, QuantityReport
from guide.show.words import text_of

UNITS = {
    "length": "mm",
    "area": "mm2",
    "time": "s",
    "weight": "g",
    "count": "1",
    "ratio": "1",
    "text": "text",
    "flag": "text",
}


def exact_text(seconds: float) -> str:
    """A counted time to the second: `0:41`, `12:36`, `1:02:05`."""
    whole = nearest(seconds)
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes}:{left:02d}"


def seconds_each(times: Sequence[float], total_s: int | None = None) -> list[int]:
    """Times of a table in whole seconds that sum to their rounded total, or to what is printed of it."""
    return shared_out([round(time * 1000) for time in times], 1000, total_s)


def place_text(place: Place | None) -> str:
    """Where a number is written, without the folders of one machine: `workflows/cut.yaml:9`."""
    if place is None:
        return "default"
    if not place.line:
        return place.file
    path = PurePath(place.file)
    short = f"workflows/{path.name}" if path.parent.name == "workflows" else path.name
    return f"{short}:{place.line}"


def quantity_report(quantity: Quantity, project: Project, *, measurable: bool) -> QuantityReport:
    """One quantity as `guide plan --json` prints it."""
    told = QuantityReport(
        quantity.value,
        UNITS[quantity.dim],
        text_of(quantity, project.units),
        quantity.formula,
        place_text(quantity.place),
        quantity.stage,
        label_of(quantity, project.words),
    )
    if quantity.formula is None or not (measurable or quantity.measured):
        return told
    planned = quantity.planned if quantity.measured else quantity.value
    text = show_length(quantity.planned, project.units) if quantity.measured and quantity.planned is not None else ""
    return msgspec.structs.replace(told, measured=quantity.measured, planned=planned, planned_text=text)


def label_of(quantity: Quantity, words: str) -> str:
    """What a number is called for people; its name in plain letters where its stage gives it no label."""
    return said(quantity.called.text if quantity.called else quantity.name.replace("_", " "), words)


def groups_report(plan: Plan) -> tuple[Group, ...]:
    """Give the plan's table of numbers: groups in their order, each row what it is called and its names, joined by ×.

    What a label adds to another after a comma (`back, before it is trimmed`) is told only where it is another number.
    The numbers of a maker's own stage that is gone through stand under its title, where no label says better.
    """
    words = plan.project.words
    rows: dict[str, dict[str, list[str]]] = {said(title, words): {} for title in GROUPS.values()}
    labelled = [(q.called.rank, q.called.group, q) for q in plan.quantities.values() if q.called and q.called.group]
    for _, group, quantity in sorted(labelled, key=lambda one: one[0]):
        assert quantity.called is not None
        rows[said(GROUPS[group], words)].setdefault(said(quantity.called.row, words), []).append(quantity.name)
    own = {step.stage: step.stage_title for step in plan.steps if step.stage not in {*SHIPPED, "safety"}}
    for name, quantity in plan.quantities.items():
        if quantity.stage in own and not (quantity.called and quantity.called.group) and quantity.dim != "text":
            rows.setdefault(own[quantity.stage], {})[label_of(quantity, words)] = [name]
    return tuple(
        Group(
            title,
            tuple(
                GroupRow(label, tuple(names))
                for label, names in of.items()
                if (whole := label.partition(", ")[0]) == label or not _alike(plan, names, of.get(whole, ()))
            ),
        )
        for title, of in rows.items()
    )


def _alike(plan: Plan, some: Sequence[str], others: Sequence[str]) -> bool:
    """Whether as many numbers are the same."""
    pairs = [(plan.number(one), plan.number(other)) for one, other in zip(some, others, strict=False)]
    return len(some) == len(others) and all(a is not None and b is not None and same(a, b) for a, b in pairs)


def number(report: Report, name: str) -> float | None:
    """A number of a report as a float, or None when it does not apply."""
    told = report.quantities.get(name)
    value = told.value if told else None
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def words(report: Report, name: str) -> str:
    """The same number as the maker reads it; empty when it does not apply."""
    told = report.quantities.get(name)
    return told.text if told and told.value is not None else ""
