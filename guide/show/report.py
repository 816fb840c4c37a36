"""One report of a plan and its session: what JSON, pages, screen and tables print.

No page computes a figure: what is shown twice is taken twice from here.

Cloth has two sets of sizes, the same unless the project says `washed_first`. As sold: `prints[].width_mm` and
`selvedge_mm`, `cutting[].buy_mm` and `sold_mm` (what is used of it), `shopping`. As it lies on the table, washed:
`prints[].usable_mm` (between the selvedges) and everything else under `cutting`; a cloth's `width_mm` is its whole
width there, and placements keep off its own `selvedge_mm`.
"""

from collections.abc import Mapping, Sequence
from typing import Any

import msgspec

from guide.money.model import Row
from guide.plan.model import Cutting, Plan, Step
from guide.plan.parts import letter, ruler_of, sold_mm, stack_map
from guide.plan.shopping import gives_of
from guide.plan.steps import resting_s
from guide.read.kinds import washing_of
from guide.read.model import TEXTS, Sell
from guide.read.spoken import labelled, said
from guide.read.units import show_length
from guide.record.clock import time_text
from guide.record.model import Record
from guide.show.cutting_lines import order_report
from guide.show.model import Report, Setting
from guide.show.model_plan import (
    ClothReport,
    CostReport,
    CuttingReport,
    ForecastReport,
    LeftReport,
    PartReport,
    ProjectReport,
    Shown,
    SpanReport,
    StepPace,
    StepReport,
    size_text,
    told_of,
    wanted_report,
)
from guide.show.report_cautions import minding
from guide.show.report_money import shared, work_report
from guide.show.report_numbers import (
    gives_report,
    groups_report,
    place_text,
    print_report,
    quantity_report,
    ready_report,
    shopping_report,
)

FORMAT = 1


def report(
    plan: Plan,
    record: Record | None = None,
    *,
    forecast: ForecastReport | None = None,
    cost: CostReport | None = None,
    paces: Mapping[str, StepPace] = {},
    first: Plan | None = None,
    makes: Mapping[int, Plan] = {},
    earlier: Sequence[Plan] = (),
    checksum: str = "",
    rows: Sequence[Row] | None = None,
    beginner: bool = False,
    texts: bool = False,
) -> Report:
    """Report a plan, and the session when there is one.

    `forecast`, `cost`: as `guide.money` works them out; the starter paces' forecast, and no cost, where there are none.
    `paces`: by key of a step, the maker's own where they are known.
    `first`: the plan before anything was measured. `makes`: of several, the plans of those measured.
    `earlier`: plans of the texts a session had before.
    `checksum`: of the journal's bytes. `rows`: a day's windows as `guide.money.checklist` gives them, `beginner`
    when they are a beginner's. `texts`: render the steps' words as well (this loads the template engine).
    """
    out = plan_report(plan, paces, forecast, cost, texts=texts)
    if record is not None:
        from guide.show.report_session import session_report  # noqa: PLC0415 - a plan has none

        session = session_report(plan, record, out.steps, first=first, makes=makes, earlier=earlier, checksum=checksum)
        out = msgspec.structs.replace(out, session=session)
    if rows is not None:
        from guide.show.report_day import day_report  # noqa: PLC0415 - the money floor, only for a day's windows

        out = msgspec.structs.replace(out, day=day_report(out, rows, beginner=beginner))
    return out


def plan_report(
    plan: Plan,
    paces: Mapping[str, StepPace] = {},
    forecast: ForecastReport | None = None,
    cost: CostReport | None = None,
    *,
    texts: bool = False,
) -> Report:
    """Report a plan alone: what `guide plan --json` prints."""
    project, about = plan.project, _project(plan)
    measurable = {step.measure for step in plan.steps}
    steps = shared(
        [_step(plan, step, number, paces.get(step.key), texts=texts) for number, step in enumerate(plan.steps, 1)]
    )
    return told_of(
        Report,
        plan,
        format=FORMAT,
        project=about,
        wanted=wanted_report(project),
        quantities={
            name: quantity_report(quantity, project, measurable=name in measurable)
            for name, quantity in plan.quantities.items()
        },
        groups=groups_report(plan),
        told=tuple(Setting(said(label, project.words), text) for label, text in plan.told),
        prints=tuple(print_report(project, print_, letter(place)) for place, print_ in enumerate(project.prints)),
        cutting=tuple(_cutting(plan, one) for one in plan.cutting),
        ready=ready_report(plan),
        shopping=shopping_report(plan.shopping, [project]),
        steps=steps,
        work=work_report(steps),
        forecast=forecast or starter_forecast(plan),
        cost=cost,
        minding=minding(about, plan.cautions),
        stack_map=stack_map(project, plan.layout, plan.backing),
    )


def plain_report(told: Report) -> dict[str, Any]:
    """Make a report plain, as JSON gives it back: dicts, lists, numbers and texts only."""
    out: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(told))
    for panel in (out["layout"], out["backing"]):
        if panel is not None and panel["reason"] is None:
            del panel["reason"]
    return out


def starter_forecast(plan: Plan) -> ForecastReport:
    """What the starter paces add up to; they are estimates, so there is no interval to give."""
    likely = sum(step.pace_s * step.pieces for step in plan.steps)
    return ForecastReport(
        hands_on_s=SpanReport(likely, None, None),
        resting_s=resting_s(plan, [step.pace_s * step.pieces for step in plan.steps]),
        waiting_s=sum(step.waits_s or 0.0 for step in plan.steps),
        text=time_text(likely),
        rests_on="starter paces",
    )


def _project(plan: Plan) -> ProjectReport:
    project = plan.project
    return told_of(ProjectReport, project, sold=project.sell != Sell(), cloths_washed=washing_of(project.prints))


def _cutting(plan: Plan, cutting: Cutting) -> CuttingReport:
    """One material's cutting with its lengths said, and how many of each part it gives."""
    units, ruler = plan.project.units, ruler_of(plan.project)
    parts: dict[str, PartReport] = {}
    for placed in (placed for cloth in cutting.cloths for placed in cloth.placements):
        sides = [ruler.told(side) for side in sorted((placed.width_mm, placed.height_mm))]
        size = " × ".join(sides)
        part = parts.get(placed.part) or PartReport(placed.part, 0, size, sides[0] if sides[0] == sides[1] else size)
        parts[placed.part] = msgspec.structs.replace(part, count=part.count + 1)
    return told_of(
        CuttingReport,
        cutting,
        cloths=tuple(
            told_of(
                ClothReport,
                cloth,
                width_text=show_length(cloth.width_mm, units),
                length_text=show_length(cloth.length_mm, units),
            )
            for cloth in cutting.cloths
        ),
        left_over=tuple(
            told_of(LeftReport, left, text=size_text(left.width_mm, left.height_mm, units))
            for left in cutting.left_over
        ),
        sold_mm=sold_mm(plan.project, cutting.material, cutting.use_mm),
        parts=tuple(parts.values()),
        order=order_report(cutting, ruler),
        use_text=show_length(cutting.use_mm, units),
        buy_text=show_length(cutting.buy_mm, units),
        gives=gives_report(gives_of(plan, cutting), cutting.material, plan),
    )


def _step(plan: Plan, step: Step, number: int, pace: StepPace | None, *, texts: bool) -> StepReport:
    own = pace or StepPace()
    return told_of(
        StepReport,
        step,
        number=number,
        pace_s=step.pace_s if own.pace_s is None else own.pace_s,
        pace_from=own.pace_from or "starter pace",
        hands_on_s=step.pace_s * step.pieces if own.hands_on_s is None else own.hands_on_s,
        hands_on_text="",  # with the others', so that they add up
        shows=tuple(_shown(plan, name, label) for name, label in step.shows if name in plan.quantities),
        written=place_text(step.place),
        texts=_texts(plan, step) if texts else {},
        likely_s=own.likely_s,
    )


def _shown(plan: Plan, name: str, label: str) -> Shown:
    row = quantity_report(plan.quantities[name], plan.project, measurable=False)
    return Shown(name, labelled(label, row.text), row.text, row.value, row.unit)


def _texts(plan: Plan, step: Step) -> dict[str, str]:
    from guide.show.words import render_step  # noqa: PLC0415 - the template engine, only where words are wanted

    return dict.fromkeys(TEXTS, "") | render_step(plan, step)
