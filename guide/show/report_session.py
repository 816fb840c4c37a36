"""The report of one session: what was made, how big it came out, what it took, and what was written down."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from guide.plan.model import Plan, Quantity, Step, expected, told_first
from guide.read.units import Units, show_length
from guide.record.clock import exact_text, time_text, wall_ms
from guide.record.fold import laid_of
from guide.record.model import Correction, Measure, Record, Remark
from guide.show.model import (
    AsMade,
    Changed,
    Colophon,
    CorrectionReport,
    MeasureReport,
    RemarkReport,
    SessionReport,
    Skipped,
    StageMade,
    StepMade,
    Times,
    Totals,
    UnderNeedle,
    Unknown,
    Unsafe,
)
from guide.show.model_plan import StepReport, told_of
from guide.show.report_money import moment, offset_at, when_report
from guide.show.report_numbers import label_of, seconds_each
from guide.show.words import by_name, name_correction, named_steps, sides, text_of

STATES = {  # how a step stands, in a maker's words
    "untouched": "not begun",
    "open": "in hand",
    "aside": "put aside",
    "done": "done",
    "skipped": "skipped",
}
OTHERWISE = re.compile(r"(?i)\s*(next time|otherwise)\b")  # how a note of what one would do otherwise begins
COUNTED = re.compile(r"\d+ out, \d+ in")
PLACE = re.compile(r"(\d+),(\d+)")
RELAID = re.compile(  # how a record says that a block was spoilt or a print ran out, older ones too
    r"(Block \d+,\d+ is spoilt|.+ ran out)\. .*(The layout stays|The rest is laid again|Nothing is laid again)"
)
PROTECTS = "It protects whoever has the piece: do it before it is sold or given."


def session_report(
    plan: Plan,
    record: Record,
    planned: Sequence[StepReport],
    *,
    first: Plan | None = None,
    makes: Mapping[int, Plan] = {},
    earlier: Sequence[Plan] = (),
    checksum: str = "",
) -> SessionReport:
    """Report a session beside its plan.

    `planned` are the steps of the plan's own report (with the paces asked for). `first` is the plan before
    anything was measured: names that moved since are reported with both values. `makes` are, of several, the
    plans of those that were measured. `earlier` are plans of texts the session had before: they name steps worked
    that the plan has no more.
    """
    asked = [*map(_asked, planned), *_gone(record, plan, earlier)]
    names = {one.key: one.title for one in asked} | named_steps(plan)
    titles = {one.key: one.title for one in asked}
    steps, stages, under = _added_up([_step(record, one) for one in asked], _under_needle(record, titles))
    header = record.header
    out = SessionReport(
        title=header.title or plan.project.title,
        mode=header.mode,
        maker=header.maker,
        opened=moment(wall_ms(header.at), header.offset),
        closed=record.closed,
        when=when_report(record),
        steps=steps,
        stages=stages,
        under_needle=under,
        totals=_totals(record, asked, steps),
        measures=measures(plan, record, first),
        changed=changed(first, makes or {1: plan}),
        makes=tuple(makes),
        skipped=tuple(Skipped(one.key, one.title, one.why) for one in steps if one.state == "skipped"),
        unsafe=_unsafe(steps),
        corrections=tuple(_correction(record, one, names, plan.project.units) for one in record.corrections),
        assumed=tuple(by_name(sentence, names) for sentence in record.assumed),
        unknown=tuple(Unknown(event.n, event.what) for event in record.unknown),
        colophon=Colophon(f"fraywork {header.version}".strip(), header.format, record.count, checksum),
        notes=_remarks(record, titles, "note", "noted"),
        photos=_remarks(record, titles, "photo"),
        trouble=_remarks(record, titles, "trouble"),
        interruptions=_remarks(record, titles, "interrupted"),
    )
    return _notes_apart(out, plan, record)


def _notes_apart(out: SessionReport, plan: Plan, record: Record) -> SessionReport:
    """Name the notes that stand somewhere of their own, and how often each trouble came, the most frequent first."""
    counted_in = {step.key for step in plan.steps if step.count_in}
    return replace(
        out,
        otherwise=tuple(one for one in out.notes if OTHERWISE.match(one.text)),
        counts=tuple(one for one in out.notes if one.step in counted_in and COUNTED.fullmatch(one.text)),
        as_made=_as_made(plan, record, out.notes),
        troubles=tuple(Times(*one) for one in Counter(one.text for one in out.trouble).most_common()),
    )


def _as_made(plan: Plan, record: Record, notes: Sequence[RemarkReport]) -> AsMade:
    """Which blocks hold another stack than their cloth was cut for, and which were made once more."""
    blocks, cut_for = plan.layout.blocks if plan.layout else (), record.cut_for or ()
    both = zip(blocks, cut_for, strict=False) if len(blocks) == len(cut_for) else ()
    moved = tuple((block.row, block.column) for block, stack in both if list(block.stack) != stack)
    found = (place for one in laid_of(record).again if one.steps for place in PLACE.findall(one.block))
    again = dict.fromkeys((int(row), int(column)) for row, column in found)
    return AsMade(moved, tuple(again), tuple(one for one in notes if RELAID.match(one.text)))


def _asked(step: StepReport) -> StepMade:
    return told_of(StepMade, step, planned_s=step.pace_s * step.pieces if step.likely_s is None else step.likely_s)


def _gone(record: Record, plan: Plan, earlier: Sequence[Plan]) -> list[StepMade]:
    """Give each step that was worked and is no longer in the plan: its time was worked all the same, so it is shown.

    `earlier`: plans of the texts the session had before, oldest first. A step that none of them has goes by
    its key in words. Nothing is planned for it any more.
    """
    now = {step.key for step in plan.steps}
    known = {step.key: step for one in earlier for step in one.steps}
    worked = dict.fromkeys(lap.step for lap in record.worked())
    return [_gone_step(record, key, known.get(key)) for key in worked if key not in now]


def _gone_step(record: Record, key: str, was: Step | None) -> StepMade:
    stage, _, own = key.partition("/")
    return StepMade(
        key=key,
        number=None,
        stage=stage,
        stage_title=was.stage_title if was else stage.replace("_", " ").capitalize(),
        title=was.title if was else own.replace("_", " ").replace(":", ", ").capitalize(),
        pieces=was.pieces if was else record.step(key).pieces_done,
        piece=was.piece if was else "piece",
        waits_s=was.waits_s if was else None,
        gone=True,
    )


def _correction(record: Record, one: Correction, names: Mapping[str, str], units: Units) -> CorrectionReport:
    was, now = sides(one, names, units)
    if one.aspect == "taken back":
        now = "gone"
    return CorrectionReport(name_correction(one, names), was, now, one.why, moment(one.at, offset_at(record, one.at)))


def _step(record: Record, asked: StepMade) -> StepMade:
    done = record.step(asked.key)
    waits_s = asked.waits_s if done.state == "done" else None
    begun, offset = (done.laps[0].start_offset, done.laps[-1].offset) if done.laps else (record.header.offset,) * 2
    return replace(
        asked,
        state=done.state,
        state_text=STATES[done.state] + (f": {done.why}" if done.state == "skipped" and done.why else ""),
        pieces_done=done.pieces_done,
        counted_s=done.counted_ms / 1000,
        trouble_s=sum(lap.trouble_ms for lap in done.laps if lap.counted) / 1000,
        between_s=sum(lap.counted_ms for lap in done.laps if lap.counted and lap.between) / 1000,
        waits_s=waits_s,
        waits_text=time_text(waits_s) if waits_s else "",
        started=None if done.started is None else moment(done.started, begun),
        ended=None if done.ended is None else moment(done.ended, offset),
        by_hand=any(lap.by_hand for lap in done.laps),
        shared=any(lap.shared for lap in done.laps),
        why=done.why,
    )


def _unsafe(steps: Sequence[StepMade]) -> tuple[Unsafe, ...]:
    """The checks that protect others and were not done: skipped, with the reason, or not come to yet."""
    out = []
    for step in steps:
        if step.safety and not step.gone and step.state != "done":
            skipped = step.state == "skipped"
            why = f" ({step.why})" if skipped and step.why else ""
            said = f"{step.title}: {'skipped' if skipped else 'not done'}{why}. {PROTECTS}"
            out.append(Unsafe(step.key, skipped, said))
    return tuple(out)


def _added_up(
    steps: Sequence[StepMade], under: UnderNeedle | None
) -> tuple[tuple[StepMade, ...], tuple[StageMade, ...], UnderNeedle | None]:
    """Sum stages in the order of work, and write all times so that they sum to the total as printed."""
    by: dict[str, list[StepMade]] = {}
    for step in steps:
        by.setdefault(step.stage, []).append(step)
    counted = [sum(step.counted_s for step in mine) for mine in by.values()]
    planned = [sum(step.planned_s for step in mine) for mine in by.values()]
    took, want = seconds_each([*counted, under.counted_s] if under else counted), seconds_each(planned)
    told: dict[str, StepMade] = {}
    stages = []
    for place, (stage, mine) in enumerate(by.items()):
        own_took = seconds_each([step.counted_s for step in mine], took[place])
        own_want = seconds_each([step.planned_s for step in mine], want[place])
        for step, one, other in zip(mine, own_took, own_want, strict=True):
            told[step.key] = replace(step, counted_text=exact_text(one), planned_text=exact_text(other))
        stages.append(
            StageMade(
                stage=stage,
                title=mine[0].stage_title,
                counted_s=counted[place],
                planned_s=planned[place],
                counted_text=exact_text(took[place]),
                planned_text=exact_text(want[place]),
            )
        )
    if under is not None:
        under = replace(under, counted_text=exact_text(took[-1]))
    return tuple(told[step.key] for step in steps), tuple(stages), under


def _under_needle(record: Record, titles: Mapping[str, str]) -> UnderNeedle | None:
    lap = record.open_lap
    return None if lap is None else UnderNeedle(lap.step, titles[lap.step], lap.counted_ms / 1000)


def _totals(record: Record, asked: Sequence[StepMade], steps: Sequence[StepMade]) -> Totals:
    waits = {one.key: one.waits_s or 0.0 for one in asked}
    return Totals(
        counted_s=record.counted_ms / 1000,
        waits_s=sum(waits.get(wait.step, 0.0) for wait in record.waits),
        interrupted_s=sum(r.ms or 0 for r in record.remarks if r.kind == "interrupted") / 1000,
        counted_text=exact_text(record.counted_ms / 1000),
        planned_text=exact_text(sum(step.planned_s for step in steps)),
        steps=sum(not step.gone for step in steps),
        steps_done=sum(step.state == "done" and not step.gone for step in steps),
    )


def _remarks(record: Record, titles: Mapping[str, str], *kinds: str) -> tuple[RemarkReport, ...]:
    return tuple(_remark(remark, titles) for remark in record.remarks if remark.kind in kinds)


def _remark(remark: Remark, titles: Mapping[str, str]) -> RemarkReport:
    return told_of(
        RemarkReport,
        remark,
        step_title=titles.get(remark.step, remark.step),
        seconds=None if remark.ms is None else remark.ms / 1000,
        time_text="" if remark.ms is None else exact_text(remark.ms / 1000),
        at=moment(remark.at, remark.offset),
    )


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
    return told_of(
        MeasureReport,
        measure,
        label=label_of(quantity, plan.project.words),
        make=measure.make or 1,
        text=show_length(measure.mm, units),
        planned_mm=planned,
        planned_text="" if planned is None else show_length(planned, units),
        off_mm=off,
        off_text="" if off is None else _off_text(off, units),
        within_mm=within,
        good=None if off is None or within is None else abs(off) <= within + 1e-6,
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
