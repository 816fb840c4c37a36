"""How one number of the plan is written in a report: value, unit, text, and where it comes from."""

from collections.abc import Sequence
from decimal import Decimal
from functools import lru_cache
from pathlib import PurePath

import msgspec

from guide.plan.model import Buy, Plan, Quantity
from guide.plan.parts import WADDING, bolt_of, ruler_of
from guide.plan.shopping import UNIT_MM, Gives, item_words
from guide.read.formula import same
from guide.read.model import Place, Print, Project
from guide.read.project import SHIPPED
from guide.read.spoken import counted, said
from guide.read.stage_keys import GROUPS
from guide.read.units import part_text, show_length
from guide.record.clock import shared_out
from guide.show.model import Report
from guide.show.model_plan import (
    BuyReport,
    GivesReport,
    Group,
    GroupRow,
    PrintReport,
    QuantityReport,
    Ready,
    Shrinks,
    Washed,
    told_of,
)
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


def seconds_each(times: Sequence[float], total_s: int | None = None) -> list[int]:
    """Times of a table in whole seconds that sum to their rounded total, or to what is printed of it."""
    return shared_out([round(time * 1000) for time in times], 1000, total_s)


def place_text(place: Place | None) -> str:
    """Where a number is written, without the folders of one machine: `workflows/cut.yaml:9`."""
    if place is None:
        return "default"
    if not place.line:
        return place.file
    return f"{_short(place.file)}:{place.line}"


@lru_cache(maxsize=64)  # hundreds of numbers stand in a dozen files
def _short(file: str) -> str:
    path = PurePath(file)
    return f"workflows/{path.name}" if path.parent.name == "workflows" else path.name


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


def zip_place(report: Report) -> tuple[int | None, bool]:
    """After how many rows (or columns from the left, upright) of the back as it is seen the zip lies."""
    rows, columns = number(report, "after_row"), number(report, "after_column")
    if report.project.closure != "zip":
        return None, False
    if words(report, "zip_along") == "column" and columns is not None:
        return int(columns), True
    return (None if rows is None else int(rows)), False


# Cloth in a report: what is bought as it is sold, and what is left of it where it is washed before it is cut.


def bought_text(line: Buy) -> str:
    """How much to ask for at the counter: eighths of a yard as a fraction, pieces as a count."""
    if line.unit == "yd":
        whole, rest = divmod(int(Decimal(line.quantity) * 8), 8)
        parts = [str(part) for part in (whole, part_text(rest, 8)) if part]
        return f"{' '.join(parts) or '0'} yd"
    if line.unit == "each":
        return line.quantity
    return counted(int(line.quantity), line.unit) if line.unit == "spool" else f"{line.quantity} {line.unit}"


def shopping_report(lines: Sequence[Buy], projects: Sequence[Project]) -> tuple[BuyReport, ...]:
    """The shopping list; `washed` is what cloth comes to once it is washed, None where it is cut as it is sold."""
    return tuple(
        told_of(
            BuyReport,
            line,
            text=bought_text(line),
            item_text=item_words(line, projects[0].words) + _inside(line, projects),
            washed=_washed(line, projects),
        )
        for line in lines
    )


def _inside(line: Buy, projects: Sequence[Project]) -> str:
    """Name what is bought to lie inside, where it is no wadding."""
    kinds = dict.fromkeys(one.wadding_kind.name for one in projects if line.counter == "wadding" and one.wadding)
    named = ", ".join(filter(None, kinds))
    return f": {named}" if named else ""


def _washed(line: Buy, projects: Sequence[Project]) -> Washed | None:
    """Length and usable width on the table, mm, by the first project that has it; None where nobody measured."""
    project = next((one for one in projects if any(cloth.name == line.item for cloth in one.prints)), None)
    bolt = bolt_of(project, line.item) if project and line.counter == "cloth" else None
    if project is None or bolt is None or not project.washed_first:
        return None
    known = next(cloth.shrinks_known for cloth in project.prints if cloth.name == line.item)
    length = bolt.laid(float(line.quantity) * UNIT_MM[line.unit]) if "length" in known else None
    usable = bolt.usable_mm if "width" in known else None
    sides = ((length, "long"), (usable, "between its selvedges"))
    told = ", ".join(f"{show_length(mm, project.units)} {way}" for mm, way in sides if mm is not None)
    text = f"once washed {told}" if told else "what is left of it once washed nobody has measured"
    return Washed(length, usable, said(text, project.words))


def ready_report(plan: Plan) -> tuple[Ready, ...]:
    """The squares that lie ready cut, print by print: how many of how many, and the sentence a maker reads."""
    out = []
    square = plan.quantities["square"].value if plan.ready else None
    for material, count in plan.ready.items():
        cloths = [cloth for one in plan.cutting if one.material == material for cloth in one.cloths]
        cut = sum(placed.part == "square" for cloth in cloths for placed in cloth.placements)
        lie = f"{count} {'square lies' if count == 1 else 'squares lie'} ready"
        says = f"{lie}; with the {cut} to cut {count + cut} in all" if cut else f"{lie}, none to cut"
        size = ruler_of(plan.project).told(square) if isinstance(square, float) else ""
        out.append(Ready(material, count, count + cut, f"{size} × {size}", says))
    return tuple(out)


def gives_report(gives: Gives, material: str, plan: Plan) -> GivesReport:
    """What is left of a material would give, as numbers and as a sentence's end; no text where that is nothing."""
    square = "wadding square" if material == WADDING else "square"
    told = [counted(gives.squares, square)] if gives.squares else []
    told += [f"{'or ' if told else ''}{counted(gives.backs, 'plain back')}"] if gives.backs else []
    text = ", ".join(told)
    if gives.practice:
        side = ruler_of(plan.project).told(gives.practice_mm)
        text += f"{' and ' if told else ''}{counted(gives.practice, 'practice piece')} of {side}"
    return told_of(GivesReport, gives, text=said(text, plan.project.words))


def print_report(project: Project, print_: Print, letter: str) -> PrintReport:
    """One print: as it is sold, the width between its selvedges as it is planned on the table, what washing takes.

    None: nothing of it can be bought; of `shrinks`: not written.
    """
    bolt = bolt_of(project, print_.name)
    return told_of(
        PrintReport,
        print_,
        letter=letter,
        width_mm=print_.width or None,
        selvedge_mm=print_.selvedge,
        usable_mm=bolt.usable_mm if bolt else None,
        shrinks=Shrinks(
            print_.shrinks_length if "length" in print_.shrinks_known else None,
            print_.shrinks_width if "width" in print_.shrinks_known else None,
        ),
        weight_g_m2=print_.weight,
    )
