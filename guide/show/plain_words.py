"""What the plain face says: whole lines, added one after another, for screen readers, pipes and any terminal."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from guide.follow import keys
from guide.follow.ahead import cues, estimate, pace_ms, waits
from guide.follow.coming_back import lines as coming_back
from guide.follow.coming_back import piece_words
from guide.follow.halting import MAKE_SAFE
from guide.follow.measuring import called
from guide.follow.model import Ask, Desk
from guide.follow.order import block_turn, next_step, number_of, open_step, step_named, to_come, under_needle
from guide.follow.resting import rest_due
from guide.follow.session import Session
from guide.plan.model import Step
from guide.read.plurals import counted
from guide.read.spoken import said
from guide.record.clock import clock_face, spoken
from guide.record.model import Reading
from guide.show.report_cautions import caution, first_aid
from guide.show.report_numbers import exact_text
from guide.show.words import render_step, shown_values

Lines = list[str]
_HALTED = {
    "paused": f"Paused. Make safe: {', '.join(MAKE_SAFE)}. Enter goes on.",
    "trouble": "The clock counts this as trouble. Enter when it is mended.",
    "interrupted": "The clock stands. Enter when you are back.",
    "stopped": "Stopped. Enter goes on.",
}


def greeting(session: Session, now: Reading) -> Lines:
    """The first lines: what this is, how it is worked, and where the work stands."""
    plan = session.plan
    out = [
        f"{plan.project.title}: {counted(len(plan.steps), 'step')}.",
        "Enter is the big key. ? and Enter shows all keys.",
    ]
    if session.desk.view == "back":
        out += coming_back(plan, session.record, now)
    return out


def step_card(session: Session, step: Step, now: Reading) -> Lines:
    """A step whole: what to do, its numbers, its cautions, the piece in hand, what comes after."""
    plan, desk = session.plan, session.desk
    texts = render_step(plan, step)
    out = [f"Step {number_of(plan, step)} of {len(plan.steps)}: {step.title} ({step.stage_title})"]
    wanted = ("do", "beginner", "good_enough") if desk.beginner else ("do",)
    heads = {"beginner": "Hint: ", "good_enough": "Good enough: "}
    out += [heads.get(name, "") + texts[name] for name in wanted if texts.get(name)]
    out += [f"  {label}: {value}" for value, label in shown_values(plan, step)]
    if step.tools:
        out.append(f"Tools: {', '.join(step.tools)}.")
    out += [f"Caution: {caution(name, plan.project.words)}" for name in step.cautions]
    if piece := piece_words(plan, step, session.record):
        out.append(f"{piece[0].upper()}{piece[1:]}.")
    if desk.view == "look":
        after = plan.steps[number_of(plan, step) :][:1]
        return [*out, *(f"Next: {one.title}." for one in after)]
    if step.measure and step.measure in plan.quantities:
        out.append(f"Measure {called(plan, step.measure)} here: m.")
    return out + _coming(session, step, now)


def _coming(session: Session, step: Step, now: Reading) -> Lines:
    after = next(iter(to_come(session.plan, session.record, step.key)), None)
    out = [f"Next: {after.title}."] if after else []
    return out + _make_ready(cues(session.plan, session.record, now))


def _make_ready(told: Iterable[tuple[str, int]]) -> Lines:
    when = {-1: "now", 0: "when the wait is over", 1: "for the next step", 2: "in two steps"}
    ready = [f"{cue} ({when.get(away, 'soon')})" for cue, away in told]
    return [f"Make ready: {', '.join(ready)}."] if ready else []


class Before(NamedTuple):
    """What stood before a key, to say only what it changed."""

    desk: Desk
    doing: str
    open: str | None
    pieces: int


def before(session: Session) -> Before:
    """Keep what a key may change."""
    key = session.record.current
    return Before(session.desk, session.record.doing, key, session.record.step(key).pieces_done if key else 0)


def after_key(session: Session, now: Reading, was: Before, paces: Mapping[str, float]) -> Lines:
    """What a key has changed, in lines: the answer, then where the work stands now."""
    desk = session.desk
    if desk.problem:
        return [desk.problem]
    out = _answer(session, was.desk)
    if desk.ask is not None:
        known = was.desk.ask is not None and was.desk.ask.question == desk.ask.question
        again = ["Type it again; a full stop leaves it."] if desk.ask.kind in {"text", "measure"} else []
        return [*out, *again] if known and out else out + ask_lines(desk.ask)
    if before(session)[1:] != was[1:] and not session.left:
        rest = rest_due(session.plan, session.record, beginner=desk.beginner)
        out += [rest] if rest and session.journal.events[-1].what in {"piece_done", "step_done"} else []
        out += _state(session, now, was.open, paces)
    elif desk.view != was.desk.view or desk.look != was.desk.look:
        out += view_lines(session, now, paces)
    return out if out or session.left else ["Nothing changed. ? shows the keys."]


def _answer(session: Session, was: Desk) -> Lines:
    """The answer to the key, and what is typed."""
    desk = session.desk
    out = [desk.said.replace("escape", "a full stop")] if desk.said else []
    if desk.ask is not None and desk.ask.about == "caution":
        out.append(f"Caution: {caution(desk.ask.name, session.plan.project.words)}")
    if desk.typed and desk.typed != was.typed:
        out.append(f"{desk.typed}: Enter counts that many.")
    return out


def ask_lines(ask: Ask) -> Lines:
    """A question, its numbered answers, and how to leave it."""
    if ask.about == "caution":
        return ["Enter when you have read it."]
    out = [ask.question, *(f"  {number} {choice}" for number, choice in enumerate(ask.choices, 1))]
    if ask.kind == "confirm":
        return [*out, "Enter: yes. A full stop: no."]
    return [*out, "A full stop: no measure." if ask.optional else "A full stop leaves it."]


def view_lines(session: Session, now: Reading, paces: Mapping[str, float]) -> Lines:
    """The card that was called for: the keys, the reasons, another step, or the step itself."""
    plan, desk = session.plan, session.desk
    here = under_needle(plan, session.record, by_block=desk.by_block)
    if desk.view == "keys":
        return [f"{key}: {said(help_, plan.project.words)}" for key, help_ in keys.card()]
    if desk.view == "look" and (seen := step_named(plan, desk.look)) is not None:
        kept = f"Your place is kept: {here.title}. Enter goes back to it." if here else "Enter goes back."
        return ["Only looking.", *step_card(session, seen, now), kept]
    if desk.view == "why" and here is not None:
        return _why(session, here)
    if session.record.doing in _HALTED:
        return _halted(session)
    return step_card(session, here, now) if here and session.record.current else ready(session, now, paces)


def _halted(session: Session) -> Lines:
    """Why the clock stands, or what counts as trouble: what to do first, then how to go on."""
    record = session.record
    first = first_aid(record.doing_why, session.plan.project.words) if record.doing == "trouble" else []
    return [*(f"Caution: {one}" for one in first), _HALTED[record.doing]]


def _why(session: Session, step: Step) -> Lines:
    texts: Mapping[str, str] = render_step(session.plan, step)
    heads = {"why": "Why", "if_wrong": "If it went wrong", "beginner": "Hint", "good_enough": "Good enough"}
    out = [f"Caution: {caution(name, session.plan.project.words)}" for name in step.cautions]
    out += [f"{head}: {texts[name]}" for name, head in heads.items() if texts.get(name)]
    return [*(out or ["There is no more to say about this step."]), "Enter goes back to it."]


def _state(session: Session, now: Reading, open_before: str | None, paces: Mapping[str, float]) -> Lines:
    """Where the work stands after a record was saved."""
    record, plan = session.record, session.plan
    if record.doing in _HALTED:
        return _halted(session)
    step = open_step(plan, record)
    if step is not None:
        return step_card(session, step, now) if step.key != open_before else _piece(session, step)
    before = step_named(plan, open_before)
    done = _done(session, before, paces) if before and record.step(before.key).state == "done" else []
    return done + ready(session, now, paces)


def _piece(session: Session, step: Step) -> Lines:
    """After a piece: how many are done, how long the last took, which is next."""
    mine = session.record.step(step.key)
    if step.pieces == 1:
        return [f"In hand: {step.title}."]
    piece = piece_words(session.plan, step, session.record)
    took = f", the last in {exact_text(mine.laps[-1].counted_ms / 1000)}" if mine.laps else ""
    out = [f"{mine.pieces_done} of {counted(step.pieces, step.piece)} done{took}."]
    turn = block_turn(session.plan, session.record, step) if session.desk.by_block else step
    if turn.key != step.key:
        return [*out, f"Next: {turn.title}. Enter starts it."]
    return [*out, f"Now {piece}."] if piece else out


def _done(session: Session, step: Step, paces: Mapping[str, float]) -> Lines:
    mine = session.record.step(step.key)
    usual = round(step.pieces * pace_ms(step, paces, beginner=session.desk.beginner) / 1000)
    many = f"{counted(step.pieces, step.piece)} in " if step.pieces > 1 else ""
    return [f"{step.title}: done, {many}{exact_text(mine.counted_ms / 1000)}, usual {exact_text(usual)}."]


def ready(session: Session, now: Reading, paces: Mapping[str, float]) -> Lines:
    """Between two steps: what waits, what is next, when all may be done."""
    plan, record, desk = session.plan, session.record, session.desk
    out = []
    for one in waits(plan, record, now):
        state = "over" if one.over else f"{spoken(one.left_ms)} left, until {clock_face(one.due, now.offset)}"
        out.append(f"{one.step.title}: {state}.")
    out += _make_ready(one for one in cues(plan, record, now) if one[1] == 0)  # the others are told at their steps
    step = next_step(plan, record, by_block=desk.by_block)
    if record.doing == "closed":
        return [*out, "The session is closed. Enter leaves."]
    if step is None:
        return [*out, "Every step is done. Enter closes the session; u takes the last back."]
    ends = estimate(plan, record, now, paces=paces, beginner=desk.beginner).all_ends
    out.append(f"Next: {step.title}. All done about {clock_face(ends, now.offset)}. Enter starts it.")
    return out
