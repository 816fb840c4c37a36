"""What was measured beside what was planned, and which numbers moved because of it."""

from collections.abc import Mapping

from guide.plan.model import Plan, Quantity, expected, told_first
from guide.read.lengths import Units, show_length
from guide.record.model import Measure, Record
from guide.show.model import Changed, MeasureReport
from guide.show.report_numbers import label_of
from guide.show.report_times import moment, offset_at
from guide.show.words import text_of


def measures(plan: Plan, record: Record, first: Plan | None) -> tuple[MeasureReport, ...]:
    """What was measured beside what was planned, one row a name and make, the newest measure."""
    within = {step.measure: step.within_mm for step in plan.steps if step.measure}
    return tuple(
        _measure(record, measure, expected(first or plan, name), within.get(name), plan)
        for name, all_ in record.measures.items()
        for measure in {measure.make or 1: measure for measure in all_}.values()  # the newest
    )


def _measure(
    record: Record, measure: Measure, planned: float | None, within: float | None, plan: Plan
) -> MeasureReport:
    off, units = None if planned is None else measure.mm - planned, plan.project.units
    quantity = plan.quantities.get(measure.name) or Quantity(measure.name, None, "length")  # gone from the texts
    return MeasureReport(
        name=measure.name,
        label=label_of(quantity, plan.project.words),
        make=measure.make or 1,
        mm=measure.mm,
        text=show_length(measure.mm, units),
        planned_mm=planned,
        planned_text="" if planned is None else show_length(planned, units),
        off_mm=off,
        off_text="" if off is None else _off_text(off, units),
        within_mm=within,
        good=None if off is None or within is None else abs(off) <= within + 1e-6,
        step=measure.step,
        at=moment(measure.at, offset_at(record, measure.at)),
        first_text="" if measure.first_mm is None else show_length(measure.first_mm, units),
    )


def _off_text(off: float, units: Units) -> str:
    if abs(off) < 1e-6:
        return "as planned"
    return f"{show_length(abs(off), units)} {'over' if off > 0 else 'under'}"


def changed(first: Plan | None, makes: Mapping[int, Plan]) -> tuple[Changed, ...]:
    """Numbers that moved because something was measured, what a maker cuts by first; not what was measured itself.

    `first`: the plan before; `makes`: the plans of the makes that were measured, each with its own.
    """
    if first is None:
        return ()
    moved, project, units = [], first.project, first.project.units
    for name in dict.fromkeys([*told_first(first.quantities), *first.quantities]):
        before = first.quantities[name]
        made = [plan.quantities[name] for plan in makes.values() if name in plan.quantities]
        # What moves by less than is printed of it would stand there as the same figure twice.
        alike = all(text_of(one, units) == text_of(before, units) for one in made)
        if not alike and any(not one.measured and _differ(before, one) for one in made):
            moved.append(
                Changed(
                    name,
                    label_of(before, project.words),
                    text_of(before, units),
                    tuple(text_of(one, units) for one in made),
                    before.value,
                    tuple(one.value for one in made),
                )
            )
    return tuple(moved)


def _differ(one: Quantity, other: Quantity) -> bool:
    if isinstance(one.value, float) and isinstance(other.value, float):
        return abs(one.value - other.value) > 1e-6
    return one.value != other.value
