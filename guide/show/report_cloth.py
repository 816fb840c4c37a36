"""Cloth in a report: what is bought as it is sold, and what is left of it where it is washed before it is cut."""

from collections.abc import Sequence
from decimal import Decimal

import msgspec

from guide.plan.leftovers import Gives
from guide.plan.model import Buy, Plan
from guide.plan.parts import WADDING, bolt_of, ruler_of
from guide.plan.shopping import UNIT_MM, item_words
from guide.read.model import Print, Project
from guide.read.spoken import counted, said
from guide.read.units import part_text, show_length
from guide.show.model_plan import BuyReport, GivesReport, PrintReport, Ready, Shrinks, Washed


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
        BuyReport(
            **msgspec.structs.asdict(line),
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
    return GivesReport(**msgspec.structs.asdict(gives), text=said(text, plan.project.words))


def print_report(project: Project, print_: Print, letter: str) -> PrintReport:
    """One print: as it is sold, the width between its selvedges as it is planned on the table, what washing takes.

    None: nothing of it can be bought; of `shrinks`: not written.
    """
    bolt = bolt_of(project, print_.name)
    return PrintReport(
        print_.name,
        letter,
        print_.one_way,
        print_.width or None,
        print_.selvedge,
        bolt.usable_mm if bolt else None,
        Shrinks(
            print_.shrinks_length if "length" in print_.shrinks_known else None,
            print_.shrinks_width if "width" in print_.shrinks_known else None,
        ),
        print_.colour,
        print_.photo,
        print_.weight,
    )
