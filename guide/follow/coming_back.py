"""Coming back to the work: what was done last, what is under the needle, what is next; and changed files."""

from typing import Any

from msgspec.structs import replace

from guide.follow.asking import put_away
from guide.follow.model import Ask, Desk, Moment, Turn
from guide.follow.order import open_step, spot, step_named, to_come, under_needle
from guide.plan.model import Plan, Step
from guide.record.clock import clock_face, local
from guide.record.model import Reading, Record, StepRecord


def lines(plan: Plan, record: Record, now: Reading) -> tuple[str, str, str]:
    """Say in three lines where the work stands."""
    return (_last(plan, record, now), _here(plan, record), _next(plan, record))


def piece_words(plan: Plan, step: Step, record: Record) -> str:
    """The piece in hand in words, "" when there is none: `block 7 of 12, row 2 column 3, stack …`."""
    at = spot(plan, step, record)
    if at is None:
        return ""
    words = [f"{step.piece} {at.piece} of {step.pieces}"]
    if plan.project.make > 1 and at.make is not None:
        words.append(f"make {at.make} of {plan.project.make}")
    if at.row is not None and at.column is not None:
        words.append(f"row {at.row} column {at.column}")
        blocks = plan.layout.blocks if plan.layout else ()
        stack = next((one.stack for one in blocks if (one.row, one.column) == (at.row, at.column)), ())
        if stack:
            words.append(f"stack {', '.join(stack)}")
    return ", ".join(words)


def _last(plan: Plan, record: Record, now: Reading) -> str:
    laps = (one for one in record.laps() if not one.between)
    lap, skipped = max(laps, key=lambda one: one.end, default=None), _newest_skip(record)
    if skipped is not None and (lap is None or lap.end <= (skipped.ended or 0)):
        step = step_named(plan, skipped.key)
        return f"Last: {'put off' if skipped.put_off else 'skipped'}, {step.title if step else skipped.key}."
    if lap is None:
        return "Last: nothing is done yet."
    step = next((one for one in plan.steps if one.key == lap.step), None)
    title = step.title if step else lap.step
    mine = record.step(lap.step)
    counted = step is not None and step.pieces > 1 and mine.pieces_done > 0
    done = f", {step.piece} {mine.pieces_done} of {step.pieces}" if step and counted else ""
    return f"Last: {title}{done}, {day(lap.end, lap.offset, now)} {clock_face(lap.end, lap.offset)}."


def _newest_skip(record: Record) -> StepRecord | None:
    skips = [one for one in record.steps.values() if one.state == "skipped"]
    return max(skips, key=lambda one: one.ended_n, default=None)


def day(wall: int, offset: int, now: Reading) -> str:
    """The day of a moment as it is said: today, yesterday, or its date."""
    then, today = local(wall, offset).date(), local(now.wall, now.offset).date()
    ago = (today - then).days
    return {0: "today", 1: "yesterday"}.get(ago, f"{then.day} {then:%B %Y}")


def _here(plan: Plan, record: Record) -> str:
    step = under_needle(plan, record)
    if step is None:
        return "On the table: nothing; every step is done."
    piece = piece_words(plan, step, record)
    words = f"{step.title}, {piece}" if piece else step.title
    sewn = open_step(plan, record) is not None and step.station == "machine"
    return f"Under the needle: {words}." if sewn else f"On the table: {words}."


def _next(plan: Plan, record: Record) -> str:
    here = under_needle(plan, record)
    after = next(to_come(plan, record, here.key if here else None), None)
    return f"Next: {after.title}." if after else "Next: the end."


def offer_new_texts(
    desk: Desk, told: str, project: str, stages: dict[str, str], layout: list[list[str]] | None = None
) -> Desk:
    """Ask whether changed files are taken into the session; the old are kept unless the maker chooses.

    `layout` is the new one when the changed project does not take the session's.
    """
    question = Ask(
        "texts",
        "choose",
        f"Changed since this session began: {told}.",
        texts_are,
        ("go on with the old", "take the new"),
        data={"default": "1", "project": project, "stages": stages, "layout": layout},
    )
    return replace(desk, ask=question)


def texts_are(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the new texts, or keep the old."""
    if answer != "2":
        return put_away(at, "Going on with the old.")
    event: dict[str, Any] = {"what": "texts"} | {name: question.data[name] for name in ("project", "stages")}
    if question.data.get("layout"):
        event["layout"] = question.data["layout"]
    return replace(put_away(at, "Taken: the numbers follow the new files."), event=event)
