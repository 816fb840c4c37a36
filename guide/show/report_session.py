"""The report of one session: what was made, how big it came out, what it took, and what was written down."""

from typing import Any

from guide.plan.model import Plan, Quantity, Step
from guide.read.lengths import Units, show_length
from guide.record.model import Lap, Measure, Record, Remark
from guide.show.report_numbers import exact_text
from guide.show.report_times import moment_dict, wall_of
from guide.show.words import minutes, text_of

LISTED = {  # the log's lists, by the kind of remark
    "notes": ("note", "noted"),
    "photos": ("photo",),
    "trouble": ("trouble",),
    "interruptions": ("interrupted",),
    "acknowledged": ("acknowledged",),
}


def session_report(
    plan: Plan,
    record: Record,
    planned: dict[str, Any],
    *,
    now: int | None = None,
    first: Plan | None = None,
    checksum: str = "",
) -> dict[str, Any]:
    """Report a session beside its plan.

    `planned` is the plan's own report (its steps carry the paces asked for). `first` is the plan before
    anything was measured: names that moved since are reported with both values.
    """
    header = record.header
    steps = [_step(record, step, row) for step, row in zip(plan.steps, planned["steps"], strict=True)]
    opened = wall_of(header.at)
    ended = record.last.wall if record.last else opened
    offset = record.last.offset if record.last else header.offset
    out = {
        "title": header.title or plan.project.title,
        "mode": header.mode,
        "maker": header.maker,
        "for": header.whom,
        "opened": moment_dict(opened, header.offset),
        "last": moment_dict(ended, offset),
        "written": moment_dict(now, offset),
        "closed": record.closed,
        "doing": record.doing,
        "steps": steps,
        "stages": _stages(steps),
        "totals": _totals(record, plan, steps),
        "sittings": [_sitting(record, number) for number in range(len(record.sittings))],
        "measures": _measures(plan, record, first),
        "changed": _changed(plan, first),
        "skipped": [{"key": s["key"], "title": s["title"], "why": s["why"]} for s in steps if s["state"] == "skipped"],
        "corrections": [
            {
                "what": c.what,
                "was": c.was,
                "now": c.now,
                "why": c.why,
                "at": moment_dict(c.at, _offset(record, c.at)),
            }
            for c in record.corrections
        ],
        "assumed": list(record.assumed),
        "unknown": [{"n": event.n, "what": event.what} for event in record.unknown],
        "colophon": {
            "program": f"fraywork {header.version}".strip(),
            "format": header.format,
            "records": record.count,
            "checksum": checksum,
        },
    }
    titles = {step.key: step.title for step in plan.steps}
    for name, kinds in LISTED.items():
        out[name] = [_remark(record, r, titles) for r in record.remarks if r.kind in kinds]
    return out


def _step(record: Record, step: Step, planned: dict[str, Any]) -> dict[str, Any]:
    done = record.step(step.key)
    counted = done.counted_ms / 1000
    trouble = sum(lap.trouble_ms for lap in done.laps if lap.counted) / 1000
    expected = planned["pace_s"] * step.pieces
    offset = done.laps[-1].offset if done.laps else record.header.offset
    return {
        "key": step.key,
        "number": planned["number"],
        "stage": step.stage,
        "stage_title": step.stage_title,
        "title": planned["title"],
        "state": done.state,
        "pieces": step.pieces,
        "pieces_done": done.pieces_done,
        "piece": step.piece,
        "counted_s": counted,
        "counted_text": exact_text(counted),
        "trouble_s": trouble,
        "planned_s": expected,
        "planned_text": exact_text(expected),
        "waits_s": step.waits_s if done.state == "done" else None,
        "waits_text": minutes(step.waits_s) if step.waits_s and done.state == "done" else "",
        "started": moment_dict(done.started, offset),
        "ended": moment_dict(done.ended, offset),
        "laps": [_lap(lap) for lap in done.laps],
        "by_hand": any(lap.by_hand for lap in done.laps),
        "why": done.why,
    }


def _lap(lap: Lap) -> dict[str, Any]:
    return {
        "pieces": lap.pieces,
        "counted_s": lap.counted_ms / 1000,
        "trouble_s": lap.trouble_ms / 1000,
        "counted": lap.counted,
        "by_hand": lap.by_hand,
        "make": lap.make,
        "start": moment_dict(lap.start, lap.offset),
        "end": moment_dict(lap.end, lap.offset),
    }


def _stages(steps: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Sums by stage, in the order of work."""
    out: dict[str, dict[str, Any]] = {}
    for step in steps:
        stage = out.setdefault(
            step["stage"],
            {"stage": step["stage"], "title": step["stage_title"]}
            | dict.fromkeys(("counted_s", "planned_s", "trouble_s", "waits_s"), 0.0),
        )
        for name in ("counted_s", "planned_s", "trouble_s", "waits_s"):
            stage[name] += step[name] or 0.0
    for stage in out.values():
        stage["counted_text"] = exact_text(stage["counted_s"])
        stage["planned_text"] = exact_text(stage["planned_s"])
    return list(out.values())


def _totals(record: Record, plan: Plan, steps: list[dict[str, Any]]) -> dict[str, Any]:
    interrupted = sum(r.ms or 0 for r in record.remarks if r.kind == "interrupted") / 1000
    by_key = {step.key: step.waits_s or 0.0 for step in plan.steps}
    seconds = {
        "counted": sum(s["counted_s"] for s in steps),
        "planned": sum(s["planned_s"] for s in steps),
        "trouble": sum(s["trouble_s"] for s in steps),
        "waits": sum(by_key.get(wait.step, 0.0) for wait in record.waits),
        "interrupted": interrupted,
    }
    out: dict[str, Any] = {f"{name}_s": value for name, value in seconds.items()}
    out |= {f"{name}_text": exact_text(value) for name, value in seconds.items()}
    out["steps"] = len(steps)
    out["steps_done"] = sum(s["state"] == "done" for s in steps)
    return out


def _sitting(record: Record, place: int) -> dict[str, Any]:
    sitting = record.sittings[place]
    return {
        "number": sitting.number,
        "start": moment_dict(sitting.start, sitting.offset),
        "end": moment_dict(sitting.end, sitting.offset),
        "counted_s": sitting.counted_ms / 1000,
        "counted_text": exact_text(sitting.counted_ms / 1000),
    }


def _measures(plan: Plan, record: Record, first: Plan | None) -> list[dict[str, Any]]:
    """What was measured beside what was planned, one row a name and make, the newest measure."""
    within = {step.measure: step.within_mm for step in plan.steps if step.measure}
    rows = []
    for name, all_ in record.measures.items():
        newest = {measure.make or 1: measure for measure in all_}
        for measure in newest.values():
            expected = _expected(plan, first, name)
            rows.append(_measure(record, measure, expected, within.get(name), plan.project.units))
    return rows


def _expected(plan: Plan, first: Plan | None, name: str) -> float | None:
    """What a name was planned at: in the first plan if given, else as the plan kept it."""
    quantity = (first or plan).quantities.get(name)
    if quantity is None:
        return None
    value = quantity.planned if quantity.measured else quantity.value
    return float(value) if isinstance(value, int | float) else None


def _measure(
    record: Record, measure: Measure, expected: float | None, within: float | None, units: Units
) -> dict[str, Any]:
    off = None if expected is None else measure.mm - expected
    return {
        "name": measure.name,
        "label": measure.name.replace("_", " "),
        "make": measure.make or 1,
        "mm": measure.mm,
        "text": show_length(measure.mm, units),
        "planned_mm": expected,
        "planned_text": "" if expected is None else show_length(expected, units),
        "off_mm": off,
        "off_text": "" if off is None else _off_text(off, units),
        "within_mm": within,
        "good": None if off is None or within is None else abs(off) <= within + 1e-6,
        "step": measure.step,
        "at": moment_dict(measure.at, _offset(record, measure.at)),
        "first_text": "" if measure.first_mm is None else show_length(measure.first_mm, units),
    }


def _off_text(off: float, units: Units) -> str:
    if abs(off) < 1e-6:
        return "as planned"
    return f"{show_length(abs(off), units)} {'over' if off > 0 else 'under'}"


def _changed(plan: Plan, first: Plan | None) -> list[dict[str, Any]]:
    """Numbers that moved because something was measured; what was measured itself is not among them."""
    if first is None:
        return []
    moved = []
    for name, quantity in plan.quantities.items():
        before = first.quantities.get(name)
        if before is None or quantity.measured or not _differ(before, quantity):
            continue
        moved.append(
            {
                "name": name,
                "label": name.replace("_", " "),
                "planned_text": text_of(before, plan.project.units),
                "text": text_of(quantity, plan.project.units),
                "planned": before.value,
                "value": quantity.value,
            }
        )
    return moved


def _differ(one: Quantity, other: Quantity) -> bool:
    if isinstance(one.value, float) and isinstance(other.value, float):
        return abs(one.value - other.value) > 1e-6
    return one.value != other.value


def _remark(record: Record, remark: Remark, titles: dict[str, str]) -> dict[str, Any]:
    return {
        "n": remark.n,
        "step": remark.step,
        "step_title": titles.get(remark.step, remark.step),
        "text": remark.text,
        "seconds": None if remark.ms is None else remark.ms / 1000,
        "time_text": "" if remark.ms is None else exact_text(remark.ms / 1000),
        "at": moment_dict(remark.at, _offset(record, remark.at)),
    }


def _offset(record: Record, wall_ms: int) -> int:
    """Local time minus UTC at a moment: of the sitting it fell in, else of the opening."""
    for sitting in record.sittings:
        if sitting.start <= wall_ms <= sitting.end:
            return sitting.offset
    return record.header.offset
