"""How is a card said in lines? Its title, its rows and its keys, one under another, and what only a key has changed."""

from typing import NamedTuple, Self

from guide.follow import order
from guide.follow.model import Desk
from guide.follow.noting import called
from guide.follow.order import piece_words
from guide.plan.model import Step
from guide.read.spoken import counted
from guide.record.model import Lap, Record
from guide.show import scene as seen
from guide.show.card import Card, Keys, Row, led, row
from guide.show.cards import card_of, cue_words, finish
from guide.show.questions import NUDGE
from guide.show.report_cautions import caution
from guide.show.report_numbers import exact_text
from guide.show.scene import Scene

Lines = list[str]
_SIGNS = {"caution": "Caution: ", "safe": "Make safe: "}
_BIG = {"space": "Enter", "enter": "Enter", "escape": "A full stop"}


class Stood(NamedTuple):
    """What stood before a key, to say only what it changed."""

    desk: Desk
    doing: str
    open: str | None
    pieces: int

    @classmethod
    def of(cls, desk: Desk, record: Record) -> Self:
        """Keep what a key may change."""
        key = record.current
        return cls(desk, record.doing, key, record.step(key).pieces_done if key else 0)


def greeting(scene: Scene) -> Lines:
    """The first lines: how this is worked, and the card that lies there."""
    return ["Enter is the big key. ? and Enter shows all keys.", *standing(scene)]


def printed(scene: Scene, card: Card) -> Lines:
    """A card in lines. Of its keys all are told where they are its own; else letters are read with `?`."""
    done = ": done" if card.sign == "done" and scene.record.doing == "ready" and "," not in card.title else ""
    title = f"{_SIGNS.get(card.sign, '')}{card.title}{done}"
    rows = [line for one in [*card.rows, *card.spoken] for line in _row(scene, one)]
    return [title if title[-1:] in ".:?!…" else f"{title}.", *rows, *_keys(scene, card.keys)]


def _row(scene: Scene, one: Row) -> Lines:
    text = "".join(text for _, text in one.parts)
    if one.share is not None:
        return [text.replace("  ", ": ", 1)]
    if one.key:
        return [f"{one.key}: {text}"]
    return [f"Caution: {caution(name, scene.plan.project.words)}" for name in one.cautions] or (
        [f"{_SIGNS.get(one.sign, '')}{text}"] if text else []
    )


def _keys(scene: Scene, offered: Keys) -> Lines:
    """What Enter does, in a line; with a question, what else answers it."""
    own = scene.desk.ask is not None or bool(scene.desk.problem) or scene.desk.view in {"why", "keys", "drawing"}
    told = [(_BIG.get(key, key), word) for key, word in offered if key in _BIG or (own and key != NUDGE)]
    return [" ".join(f"{key}: {word}." for key, word in told)] if told else []


def step_card(scene: Scene, step: Step) -> Card:
    """A step whole: what to do, its numbers, its cautions, the piece in hand, what comes after."""
    plan, desk = scene.plan, scene.desk
    texts = scene.words.texts(plan, step)
    rows = [led(f"{title}:", text) if title else row(text) for title, text in seen.told(scene, step) if text]
    heads = {"beginner": "Hint:", "good_enough": "Good enough:"} if desk.beginner else {}
    rows += [led(head, texts[name]) for name, head in heads.items() if texts.get(name)]
    rows += [row(f"  {label}: {value}") for value, label in seen.figures(scene, step)]
    if step.tools:
        rows.append(row(f"Tools: {', '.join(step.tools)}."))
    rows.append(Row(cautions=seen.cautions(scene, step)))
    if piece := piece_words(plan, step, scene.record):
        rows.append(row(f"{piece[0].upper()}{piece[1:]}."))
    if desk.view != "look" and step.measure and step.measure in plan.quantities:
        rows.append(row(f"Measure {called(plan, step.measure)} here: m."))
    after = seen.after(scene, step)
    rows += [row(f"Next: {after.title}.")] if after else []
    if desk.view != "look" and (cues := cue_words(scene)):
        rows.append(row(f"Make ready: {cues}."))
    number = f"Step {order.number_of(plan, step)} of {len(plan.steps)}"
    return Card(f"{number}: {seen.title(scene, step)} ({step.stage_title})", rows)


def after_key(scene: Scene, was: Stood, *, ends_a_lap: bool) -> Lines:
    """What a key has changed, in lines: the answer, then where the work stands now."""
    desk = scene.desk
    if desk.problem:
        return standing(scene)
    out = [desk.said.replace("escape", "a full stop")] if desk.said else []
    if desk.ask is not None:
        known = was.desk.ask is not None and was.desk.ask.question == desk.ask.question
        again = ["Type it again; a full stop leaves it."] if desk.ask.kind in {"text", "measure"} else []
        return [*out, *again] if known and out else out + standing(scene)
    if desk.typed and desk.typed != was.desk.typed:
        out.append(f"{desk.typed}: Enter counts that many.")
    if Stood.of(desk, scene.record)[1:] != was[1:]:
        out += [scene.rest] if scene.rest and ends_a_lap else []
        step = order.open_step(scene.plan, scene.record)
        working = step is not None and scene.record.doing == "working"
        if step is not None and working and step.key == was.open:
            return out + _piece(scene, step)
        if step is not None and working and scene.record.way == "each" and scene.record.step(step.key).pieces_done:
            return out + _turned(scene, step)
        return out + standing(scene)
    return out + (standing(scene) if (desk.view, desk.look) != (was.desk.view, was.desk.look) else [])


def standing(scene: Scene) -> Lines:
    """Where the work stands: the card that lies there, or the step in hand or looked at."""
    card, step = card_of(scene), seen.shown_step(scene)
    if card is not None or step is None:
        return printed(scene, card or finish(scene)) + _all_done(scene)
    lines = printed(scene, step_card(scene, step))
    if scene.desk.view != "look":
        return lines
    here = order.under_needle(scene.plan, scene.record)
    kept = f"Your place is kept: {here.title}. Enter goes back to it." if here else "Enter goes back."
    return ["Only looking.", *lines, kept]


def _all_done(scene: Scene) -> Lines:
    """Between two steps, when all will be done."""
    between = scene.record.doing == "ready" and scene.desk.ask is None and scene.desk.view == "step"
    if not between or order.next_step(scene.plan, scene.record) is None:
        return []
    ends = order.estimate(scene.plan, scene.record, scene.now, paces=scene.paces, beginner=scene.desk.beginner).all_ends
    return [f"All done about {seen.clock(scene, ends)}."]


def _piece(scene: Scene, step: Step) -> Lines:
    """After a piece: how many are done, how long the last took, which is next."""
    mine = scene.record.step(step.key)
    if step.pieces == 1:
        return [f"In hand: {step.title}."]
    piece = piece_words(scene.plan, step, scene.record)
    took = f", the last in {exact_text(_last_ms(scene, mine.laps[-1]) / 1000)}" if mine.laps else ""
    out = [f"{mine.pieces_done} of {counted(step.pieces, step.piece)} done{took}."]
    turn = order.block_turn(scene.plan, scene.record, step) if scene.record.way else step
    if turn not in order.through(scene.plan, scene.record, step):
        return [*out, f"Next: {turn.title}. Enter starts it."]
    return [*out, f"Now {piece}."] if piece else out


def _turned(scene: Scene, step: Step) -> Lines:
    """A press a step, after the trial: which step of which block is begun; its text was read at the first."""
    piece = piece_words(scene.plan, step, scene.record)
    return [f"Now {step.title[:1].lower()}{step.title[1:]}{f': {piece}' if piece else ''}."]


def _last_ms(scene: Scene, lap: Lap) -> int:
    """How long the press before took, whatever it was shared out among."""
    steps = (scene.record.step(key) for key in lap.shared or (lap.step,))
    return sum(one.counted_ms for step in steps for one in step.laps[-1:] if one.end_n == lap.end_n)
