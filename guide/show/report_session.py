"""The report of one session: what was made, how big it came out, what it took, and what was written down."""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from guide.plan.model import Plan
from guide.read.lengths import Units
from guide.record.clock import wall_ms
from guide.record.model import Correction, Lap, Record, Remark
from guide.show.named import by_name, name_correction, named_steps, sides
from guide.show.report_gone import gone_rows
from guide.show.report_measures import changed, measures
from guide.show.report_numbers import exact_text, seconds_each
from guide.show.report_sittings import when_report
from guide.show.report_times import moment_dict, offset_at
from guide.show.words import minutes

STATES = {  # how a step stands, in a maker's words
    "untouched": "not begun",
    "open": "in hand",
    "aside": "put aside",
    "done": "done",
    "skipped": "skipped",
}
PROTECTS = "It protects whoever has the piece: do it before it is sold or given."
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
    makes: Mapping[int, Plan] = {},
    earlier: Sequence[Plan] = (),
    checksum: str = "",
) -> dict[str, Any]:
    """Report a session beside its plan.

    `planned` is the plan's own report (its steps carry the paces asked for). `first` is the plan before
    anything was measured: names that moved since are reported with both values. `makes` are, of several, the
    plans of those that were measured. `earlier` are plans of texts the session had before: steps worked that the
    plan has no more are named by them.
    """
    gone = gone_rows(record, plan, earlier)
    names = {row["key"]: row["title"] for row in gone} | named_steps(plan)
    rows = [*planned["steps"], *gone]
    steps = [_step(record, row) for row in rows]
    titles = {row["key"]: row["title"] for row in rows}
    stages, under = _stages(steps), _under_needle(record, titles)
    _add_up(stages, steps, under)
    out = _head(plan, record, now) | when_report(record)
    out |= {
        "damage": "",  # what is wrong with the journal, where only its good part could be read
        "steps": steps,
        "compared": None,  # forecast against actual, where past sessions were asked
        "stages": stages,
        "under_needle": under,
        "totals": _totals(record, rows, steps),
        "measures": measures(plan, record, first),
        "changed": changed(first, makes or {1: plan}),
        "makes": list(makes),
        "skipped": [{"key": s["key"], "title": s["title"], "why": s["why"]} for s in steps if s["state"] == "skipped"],
        "unsafe": _unsafe(steps),
        "corrections": [_correction(record, one, names, plan.project.units) for one in record.corrections],
        "assumed": [by_name(sentence, names) for sentence in record.assumed],
        "unknown": [{"n": event.n, "what": event.what} for event in record.unknown],
        "colophon": _colophon(record, checksum),
    }
    for name, kinds in LISTED.items():
        out[name] = [_remark(r, titles) for r in record.remarks if r.kind in kinds]
    often = Counter(one.text for one in record.remarks if one.kind == "trouble")
    out["troubles"] = [{"text": text, "times": times} for text, times in often.most_common()]
    return out


def _colophon(record: Record, checksum: str) -> dict[str, Any]:
    return {
        "program": f"fraywork {record.header.version}".strip(),
        "format": record.header.format,
        "records": record.count,
        "checksum": checksum,
    }


def _head(plan: Plan, record: Record, now: int | None) -> dict[str, Any]:
    """Whose session it is, of what kind, when, and how it stands."""
    header, last = record.header, record.last
    opened = wall_ms(header.at)
    ended, offset = (last.wall, last.offset) if last else (opened, header.offset)
    return {
        "title": header.title or plan.project.title,
        "mode": header.mode,
        "maker": header.maker,
        "for": header.whom,
        "opened": moment_dict(opened, header.offset),
        "last": moment_dict(ended, offset),
        "written": moment_dict(now, offset),
        "closed": record.closed,
        "doing": record.doing,
    }


def _correction(record: Record, one: Correction, names: Mapping[str, str], units: Units) -> dict[str, Any]:
    was, now = sides(one, names, units)
    if one.aspect == "taken back":
        now = "gone"
    at = moment_dict(one.at, offset_at(record, one.at))
    return {"what": name_correction(one, names), "was": was, "now": now, "why": one.why, "at": at}


def _step(record: Record, planned: dict[str, Any]) -> dict[str, Any]:
    done = record.step(planned["key"])
    counted = done.counted_ms / 1000
    trouble = sum(lap.trouble_ms for lap in done.laps if lap.counted) / 1000
    expected = planned.get("likely_s", planned["pace_s"] * planned["pieces"])
    waits_s = planned["waits_s"] if done.state == "done" else None
    begun, offset = (done.laps[0].start_offset, done.laps[-1].offset) if done.laps else (record.header.offset,) * 2
    return {
        **{name: planned[name] for name in ("key", "number", "stage", "stage_title", "title", "pieces", "piece")},
        "gone": planned.get("gone", False),  # no longer in the plan
        "safety": planned.get("safety", False),
        "state": done.state,
        "state_text": STATES[done.state] + (f": {done.why}" if done.state == "skipped" and done.why else ""),
        "pieces_done": done.pieces_done,
        "counted_s": counted,
        "trouble_s": trouble,
        "planned_s": expected,
        "waits_s": waits_s,
        "waits_text": minutes(waits_s) if waits_s else "",
        "started": moment_dict(done.started, begun),
        "ended": moment_dict(done.ended, offset),
        "laps": [_lap(lap) for lap in done.laps],
        "by_hand": any(lap.by_hand for lap in done.laps),
        "shared": any(lap.shared for lap in done.laps),
        "why": done.why,
    }


def _unsafe(steps: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The checks that protect others and were not done: skipped, with the reason, or not come to yet."""
    out = []
    for step in steps:
        if step["safety"] and not step["gone"] and step["state"] != "done":
            skipped = step["state"] == "skipped"
            why = f" ({step['why']})" if skipped and step["why"] else ""
            said = f"{step['title']}: {'skipped' if skipped else 'not done'}{why}. {PROTECTS}"
            out.append({"key": step["key"], "skipped": skipped, "text": said})
    return out


def _lap(lap: Lap) -> dict[str, Any]:
    return {
        "pieces": lap.pieces,
        "counted_s": lap.counted_ms / 1000,
        "trouble_s": lap.trouble_ms / 1000,
        "counted": lap.counted,
        "by_hand": lap.by_hand,
        "make": lap.make,
        "start": moment_dict(lap.start, lap.start_offset),
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
    return list(out.values())


def _add_up(stages: list[dict[str, Any]], steps: list[dict[str, Any]], under: dict[str, Any] | None) -> None:
    """Write the times of stages, steps and what is under the needle so that they sum to the total as printed."""
    for name, rows in (("counted", [*stages, under] if under else stages), ("planned", stages)):
        for row, whole in zip(rows, seconds_each([row[f"{name}_s"] for row in rows]), strict=True):
            row[f"{name}_text"] = exact_text(whole)
            mine = [step for step in steps if row is not under and step["stage"] == row["stage"]]
            for step, part in zip(mine, seconds_each([step[f"{name}_s"] for step in mine], whole), strict=True):
                step[f"{name}_text"] = exact_text(part)


def _under_needle(record: Record, titles: dict[str, str]) -> dict[str, Any] | None:
    """The time worked on a piece that is not finished: in no step's pieces, but in the total."""
    lap = record.open_lap
    if lap is None:
        return None
    return {"key": lap.step, "title": titles[lap.step], **_lap(lap)}


def _totals(record: Record, rows: list[dict[str, Any]], steps: list[dict[str, Any]]) -> dict[str, Any]:
    interrupted = sum(r.ms or 0 for r in record.remarks if r.kind == "interrupted") / 1000
    waits = {row["key"]: row["waits_s"] or 0.0 for row in rows}
    seconds = {
        "counted": record.counted_ms / 1000,
        "planned": sum(s["planned_s"] for s in steps),
        "trouble": sum(lap.trouble_ms for lap in record.worked() if lap.counted) / 1000,
        "waits": sum(waits.get(wait.step, 0.0) for wait in record.waits),
        "interrupted": interrupted,
    }
    out: dict[str, Any] = {f"{name}_s": value for name, value in seconds.items()}
    out |= {f"{name}_text": exact_text(value) for name, value in seconds.items()}
    out["steps"] = sum(not s["gone"] for s in steps)
    out["steps_done"] = sum(s["state"] == "done" and not s["gone"] for s in steps)
    return out


def _remark(remark: Remark, titles: dict[str, str]) -> dict[str, Any]:
    return {
        "n": remark.n,
        "step": remark.step,
        "step_title": titles.get(remark.step, remark.step),
        "text": remark.text,
        "seconds": None if remark.ms is None else remark.ms / 1000,
        "time_text": "" if remark.ms is None else exact_text(remark.ms / 1000),
        "at": moment_dict(remark.at, remark.offset),
    }
