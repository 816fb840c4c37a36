"""One report of a plan and its session: the plain dicts that JSON, pages, screen and tables print.

No page computes a figure: what is shown twice is taken twice from here. Lengths mm, areas mm², times s,
each with the text a maker reads beside it. The part a plan gives is what `guide plan --json` prints, a
stable format: keys are added, never renamed.

Cloth has two sets of sizes, the same unless the project says `washed_first`. As sold: `prints[].width_mm` and
`selvedge_mm`, `cutting[].buy_mm` and `sold_mm` (what is used of it), `shopping`. As it lies on the table, washed:
`prints[].usable_mm` (between the selvedges) and everything else under `cutting`; a cloth's `width_mm` is its whole
width there, and placements keep off its own `selvedge_mm`.
"""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from guide.plan.bolts import sold_mm
from guide.plan.hands import resting_s
from guide.plan.letters import letter
from guide.plan.model import Cutting, Layout, Plan, Step
from guide.plan.parts import ruler_of
from guide.read.lengths import show_length
from guide.read.model import TEXTS, Sell
from guide.read.plurals import labelled
from guide.read.spoken import said
from guide.record.model import Record
from guide.show.cutting_lines import order_report
from guide.show.report_cautions import minding
from guide.show.report_cloth import print_report, ready_report, shopping_report
from guide.show.report_numbers import groups_report, place_text, plain, quantity_dict
from guide.show.report_session import session_report
from guide.show.report_times import work_report
from guide.show.wanted import wanted_dict
from guide.show.words import minutes

if TYPE_CHECKING:
    from guide.money.model import Row

FORMAT = 1


def report(
    plan: Plan,
    record: Record | None = None,
    *,
    money: dict[str, Any] | None = None,
    paces: dict[str, dict[str, Any]] | None = None,
    now: int | None = None,
    first: Plan | None = None,
    makes: Mapping[int, Plan] = {},
    earlier: Sequence[Plan] = (),
    checksum: str = "",
    rows: "Sequence[Row] | None" = None,
    beginner: bool = False,
    texts: bool = False,
) -> dict[str, Any]:
    """Report a plan, and the session when there is one.

    `money`: `forecast`, `cost` and `price` as `guide.money` works them out. `paces`: key of a step →
    `pace_s`, `pace_from` and `hands_on_s`, the maker's own where they are known. `now`: wall ms.
    `first`: the plan before anything was measured. `makes`: of several, the plans of those measured.
    `earlier`: plans of the texts a session had before.
    `checksum`: of the journal's bytes. `rows`: a day's windows as `guide.money.checklist` gives them, `beginner`
    when they are a beginner's. `texts`: render the steps' words as well (this loads the template engine).
    """
    out = plan_report(plan, texts=texts)
    if paces:
        for step in out["steps"]:
            step.update(paces.get(step["key"], {}))
        out["work"] = work_report(out["steps"])
    out.update(money or {})
    if record is not None:
        out["session"] = session_report(
            plan, record, out, now=now, first=first, makes=makes, earlier=earlier, checksum=checksum
        )
    if rows is not None:
        from guide.show.report_day import day_report  # noqa: PLC0415 - the money floor, only for a day's windows

        out["day"] = day_report(out, rows, beginner=beginner)
    return out


def plan_report(plan: Plan, *, texts: bool = False) -> dict[str, Any]:
    """Report a plan alone: what `guide plan --json` prints, with keys pages need besides."""
    project = plan.project
    measurable = {step.measure for step in plan.steps}
    steps = [_step(plan, step, number, texts=texts) for number, step in enumerate(plan.steps, 1)]
    about = _project(plan)
    return {
        "format": FORMAT,
        "project": about,
        "wanted": wanted_dict(project),
        "quantities": {
            name: quantity_dict(quantity, project, measurable=name in measurable)
            for name, quantity in plan.quantities.items()
        },
        "groups": groups_report(plan),
        "told": [{"label": said(label, project.words), "text": text} for label, text in plan.told],
        "prints": [print_report(project, print_, letter(place)) for place, print_ in enumerate(project.prints)],
        "layout": _layout(plan.layout),
        "backing": _layout(plan.backing),
        "cutting": [_cutting(plan, one) for one in plan.cutting],
        "ready": ready_report(plan),
        "shopping": shopping_report(plan.shopping, [project]),
        "steps": steps,
        "work": work_report(steps),
        "forecast": starter_forecast(plan),
        "cost": None,
        "cautions": list(plan.cautions),
        "minding": minding(about, plan.cautions),
        "warnings": [plain(warned) for warned in plan.warnings],
        "advice": [plain(advice) for advice in plan.advice],
    }


def starter_forecast(plan: Plan) -> dict[str, Any]:
    """What the starter paces add up to; they are estimates, so there is no interval to give."""
    likely = sum(step.pace_s * step.pieces for step in plan.steps)
    return {
        "hands_on_s": {"likely": likely, "low": None, "high": None},
        "waiting_s": sum(step.waits_s or 0.0 for step in plan.steps),
        "resting_s": resting_s(plan, [step.pace_s * step.pieces for step in plan.steps]),
        "text": minutes(likely),
        "from": "starter paces",
    }


def _project(plan: Plan) -> dict[str, Any]:
    project = plan.project
    return {
        "title": project.title,
        "kind": project.kind,
        "for": project.for_whom,
        "make": project.make,
        "units": project.units,
        "words": project.words,
        "file": project.file,
        "across": project.across,
        "down": project.down,
        "above": project.above,
        "below": project.below,
        "wadding": project.wadding,
        "quilting": project.quilting,
        "closure": project.closure,
        "back": project.back,
        "back_cloth": project.back_cloth,
        "washed_first": project.washed_first,
        "currency": project.currency,
        "sold": project.sell != Sell(),  # the project says what selling costs
        "stages": list(project.stages),
    }


def _layout(layout: Layout | None) -> dict[str, Any] | None:
    if layout is None:
        return None
    out: dict[str, Any] = plain(layout)
    if out["reason"] is None:
        del out["reason"]
    return out


def _cutting(plan: Plan, cutting: Cutting) -> dict[str, Any]:
    """One material's cutting with its lengths said, and how many of each part it gives."""
    units, ruler = plan.project.units, ruler_of(plan.project)
    off_the_bolt = sold_mm(plan.project, cutting.material, cutting.use_mm)
    out: dict[str, Any] = plain(cutting) | {"sold_mm": off_the_bolt}
    counts: dict[str, dict[str, Any]] = {}
    for cloth in out["cloths"]:
        cloth["width_text"] = show_length(cloth["width_mm"], units)
        cloth["length_text"] = show_length(cloth["length_mm"], units)
        for placed in cloth["placements"]:
            sides = [ruler.told(side) for side in sorted((placed["width_mm"], placed["height_mm"]))]
            short = sides[0] if sides[0] == sides[1] else " × ".join(sides)
            part = counts.setdefault(
                placed["part"],
                {"name": placed["part"], "count": 0, "size_text": " × ".join(sides), "short_text": short},
            )
            part["count"] += 1
    for left in out["left_over"]:
        left["text"] = f"{show_length(left['width_mm'], units)} × {show_length(left['height_mm'], units)}"
    return out | {
        "parts": list(counts.values()),
        "order": order_report(cutting, ruler),
        "use_text": show_length(cutting.use_mm, units),
        "buy_text": show_length(cutting.buy_mm, units),
    }


def _step(plan: Plan, step: Step, number: int, *, texts: bool) -> dict[str, Any]:
    out: dict[str, Any] = {
        "key": step.key,
        "number": number,
        "stage": step.stage,
        "stage_title": step.stage_title,
        "title": step.title,
        "pieces": step.pieces,
        "piece": step.piece,
        "count": step.count,
        "station": step.station,
        "pace_s": step.pace_s,
        "pace_from": "starter pace",
        "hands_on_s": step.pace_s * step.pieces,
        "hands_on_text": "",  # with the others', so that they add up
        "beginner_factor": step.beginner_factor,
        "waits_s": step.waits_s,
        "together": step.together,
        "measure": step.measure,
        "within_mm": step.within_mm,
        "shows": [_shown(plan, name, label) for name, label in step.shows if name in plan.quantities],
        "picture": step.picture,
        "tools": list(step.tools),
        "cautions": list(step.cautions),
        "safety": step.safety,
        "count_in": step.count_in,
        "from": place_text(step.place),
    }
    if texts:
        out["texts"] = _texts(plan, step)
    return out


def _shown(plan: Plan, name: str, label: str) -> dict[str, Any]:
    row = quantity_dict(plan.quantities[name], plan.project, measurable=False)
    return {
        "name": name,
        "label": labelled(label, row["text"]),
        "text": row["text"],
        "value": row["value"],
        "unit": row["unit"],
    }


def _texts(plan: Plan, step: Step) -> dict[str, str]:
    from guide.show.words import render_step  # noqa: PLC0415 - the template engine, only where words are wanted

    return dict.fromkeys(TEXTS, "") | render_step(plan, step)
