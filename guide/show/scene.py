"""What is there to be seen at one moment? Everything the views are functions of."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Protocol, TypeVar

import msgspec

from guide.follow import order
from guide.follow.model import Desk
from guide.follow.session import Session
from guide.plan import parts
from guide.plan.model import Plan, Step
from guide.read.spoken import said
from guide.record.clock import DAY_MS, clock_face, local
from guide.record.model import Reading, Record
from guide.show import words
from guide.show.screen.text import STITCHED, Marks
from guide.show.table import clean


class Words(msgspec.Struct, frozen=True):
    """How a step speaks: its texts, and the values that stand large beside it."""

    texts: Callable[[Plan, Step], dict[str, str]] = words.render_step
    shown: Callable[[Plan, Step], list[tuple[str, str]]] = words.shown_values


Answer = TypeVar("Answer")


def _once(ask: Callable[[Plan, Step], Answer]) -> Callable[[Plan, Step], Answer]:
    """The same, worked out once for each step of a plan."""
    of: list[Plan] = []
    known: dict[str, Answer] = {}

    def answer(plan: Plan, step: Step) -> Answer:
        if not of or of[0] is not plan:
            of[:] = [plan]
            known.clear()
        if step.key not in known:
            known[step.key] = ask(plan, step)
        return known[step.key]

    return answer


def remembering(words: Words) -> Words:
    """The same words, each step's texts and values worked out once for each plan: the screen is drawn every second."""
    return Words(_once(words.texts), _once(words.shown))


class Scene(msgspec.Struct, frozen=True):
    """A moment at the machine: the plan, what the journal holds, what lies on the desk, and the clock."""

    plan: Plan
    record: Record
    desk: Desk
    now: Reading
    words: Words = Words()
    marks: Marks = STITCHED
    paces: Mapping[str, float] = {}  # the maker's own, s a piece, by step
    saved_in: str = ""  # where the journal is, as the maker would type it
    rest: str = ""  # a word to rest, when it is time
    scroll: int = 0  # lines of a long card that are above the screen
    beside_waits: tuple[order.Running, ...] = ()  # that run at the other project of this window


def scene_of(at: Session, **more: Any) -> Scene:
    """This moment of a session, with what else is known of it."""
    now, waits = at.clock.read(), at.beside_waits()
    return Scene(at.plan, at.record, at.desk, now, paces=at.paces, beside_waits=waits, **more)


def say(scene: Scene, text: str) -> str:
    """A text of the program's own in the project's words; what a file or a maker says is only cleaned."""
    return clean(said(text, scene.plan.project.words))


def shown_step(scene: Scene) -> Step | None:
    """The step on the screen: the one looked at, the open one, or the one that comes next."""
    looked = order.step_named(scene.plan, scene.desk.look) if scene.desk.view in {"look", "why", "drawing"} else None
    return looked or order.under_needle(scene.plan, scene.record)


def is_open(scene: Scene, step: Step) -> bool:
    """Whether this is the one open hands-on step."""
    return scene.record.current == step.key


def clock(scene: Scene, wall_ms: int) -> str:
    """A moment as the clock on the wall shows it, with its day when that is not today: `tomorrow 07:05`."""
    then, today = local(wall_ms, scene.now.offset), local(scene.now.wall, scene.now.offset)
    days = (then.date() - today.date()).days
    day = {0: "", 1: "tomorrow ", -1: "yesterday "}.get(days, f"{then.day} {then:%B} ")
    return f"{day}{clock_face(wall_ms, scene.now.offset)}"


def takes_text(desk: Desk) -> bool:
    """Whether what is typed is text now."""
    return desk.ask is not None and desk.ask.kind in {"text", "measure"}


def is_between(scene: Scene) -> bool:
    """Whether no step is open, and nothing else is asked or looked at."""
    return scene.record.doing == "ready" and scene.desk.ask is None and scene.desk.view == "step"


def estimate(scene: Scene) -> order.Estimate:
    """When the step and the whole will be done."""
    return order.estimate(scene.plan, scene.record, scene.now, paces=scene.paces, beginner=scene.desk.beginner)


def usual_ms(scene: Scene, step: Step) -> int:
    """The usual time of one piece of this step."""
    return round(order.pace_ms(step, scene.paces, beginner=scene.desk.beginner))


def together(scene: Scene, step: Step) -> tuple[Step, ...]:
    """The steps that one press counts: this one, or all that the block in hand goes through with it."""
    return (step,) if scene.desk.view == "look" else order.through(scene.plan, scene.record, step)


def this_ms(scene: Scene) -> int:
    """Hands-on time of the piece in hand."""
    return order.open_ms(scene.record, scene.now)


def worked_today_ms(scene: Scene) -> int:
    """Hands-on time of the laps that ended since midnight, and of the one that runs."""
    midnight = scene.now.wall - (scene.now.wall + scene.now.offset * 60_000) % DAY_MS
    done = 0
    for step in scene.record.steps.values():
        for lap in reversed(step.laps):  # the newest last: what lies before today is not walked through
            if lap.end < midnight:
                break
            done += lap.counted_ms if lap.counted else 0
    return done + this_ms(scene)


def title(scene: Scene, step: Step) -> str:
    """What the step on the screen is called; several that one press counts are named by how many."""
    many = len(together(scene, step))
    return f"One {step.piece} through {many} steps" if many > 1 else step.title


def told(scene: Scene, step: Step) -> list[tuple[str, str]]:
    """What to do: (title, text) of each step that one press counts; the title of one alone stands above it."""
    steps = together(scene, step)
    return [
        (f"{at}. {one.title}" if len(steps) > 1 else "", scene.words.texts(scene.plan, one).get("do", ""))
        for at, one in enumerate(steps, 1)
    ]


HEADS = {"why": "Why", "if_wrong": "If it went wrong", "good_enough": "Good enough", "beginner": "Hint"}


def hints(scene: Scene, step: Step) -> list[tuple[str, str]]:
    """What a beginner is told besides: (head, text)."""
    texts = scene.words.texts(scene.plan, step) if scene.desk.beginner else {}
    return [(HEADS[name], texts[name]) for name in ("beginner", "good_enough") if texts.get(name)]


def figures(scene: Scene, step: Step) -> list[tuple[str, str]]:
    """The values that stand large beside the step, (value, label), of all that one press counts."""
    shown = [pair for one in together(scene, step) for pair in scene.words.shown(scene.plan, one)]
    return [*piles(scene.plan), *shown] if step.piece == "pile" else shown


def piles(plan: Plan) -> list[tuple[str, str]]:
    """How many squares of each print the stacks and the back take: (count, letter and name)."""
    found = parts.piles(plan.project, plan.layout, plan.backing)
    return [(str(one.total), f"{one.letter} {one.print}") for one in found]


def cautions(scene: Scene, step: Step) -> tuple[str, ...]:
    """The cautions of the step, by name, and of all that one press counts with it."""
    return tuple(dict.fromkeys(name for one in together(scene, step) for name in one.cautions))


def after(scene: Scene, step: Step) -> Step | None:
    """The step that comes once this one is done, and all that one press counts with it."""
    if scene.desk.view == "look":
        return next(iter(scene.plan.steps[order.number_of(scene.plan, step) :]), None)
    at_hand = together(scene, step)
    return next((one for one in order.to_come(scene.plan, scene.record, step.key) if one not in at_hand), None)


def ended_with(scene: Scene, step: Step) -> tuple[Step, ...]:
    """The steps that were done with the same press, in their order."""
    n = scene.record.step(step.key).ended_n
    return tuple(one for one in order.group_of(scene.plan, step) if n and scene.record.step(one.key).ended_n == n) or (
        step,
    )


def titles(steps: Sequence[Step]) -> str:
    """The titles of steps that are worked as one: `Sew the cross, trim the threads`."""
    return ", ".join(one.title if at == 0 else one.title[:1].lower() + one.title[1:] for at, one in enumerate(steps))


def last_done(scene: Scene) -> Step | None:
    """The step finished most recently; None when nothing is, or when one was skipped since."""
    over = [one for one in scene.record.steps.values() if one.state in {"done", "skipped"} and one.ended_n]
    last = max(over, key=lambda one: one.ended_n, default=None)
    return order.step_named(scene.plan, last.key) if last is not None and last.state == "done" else None


class Onlooker(Protocol):
    """A page beside the machine. It never makes the session wait."""

    take: Callable[[Any], object]  # given each press, in whatever thread it came

    def tell(self, session: Session, rest: str = "") -> None:
        """Show what there is now."""

    def answer(self, press: Any, session: Session) -> None:
        """Let the session decide a press, and record it."""
