"""What does the page beside the machine show at this moment? The screen's own words, as values a page lays out."""

import re
from collections.abc import Callable, Sequence
from functools import partial
from hashlib import blake2b
from html import unescape
from typing import Any

import msgspec
from msgspec.structs import replace

from guide.follow import order
from guide.follow.keys import applies, big_word, named, writes
from guide.follow.model import BIG, Desk
from guide.plan.model import Plan, Step
from guide.read.spoken import counted, said
from guide.show import scene as seen
from guide.show.cards import Card, Row, card_of, finish, laid_in_order
from guide.show.cutting_lines import face_rows, mirrored
from guide.show.lines import Stood, after_key
from guide.show.model import Report
from guide.show.pages.render import face_words, looks_of
from guide.show.pages.step_art import frames_of, teller
from guide.show.pictures.faces import Rows, Seen, face
from guide.show.pictures.frames import alone
from guide.show.report import report
from guide.show.report_cautions import caution
from guide.show.report_numbers import number, words, zip_place
from guide.show.scene import Scene
from guide.show.screen import parts
from guide.show.screen.place import place_words, views_of
from guide.show.screen.sketch import Panel
from guide.show.screen.text import flat
from guide.show.table import clean
from guide.show.words import render_step

# Which drawings go with a step on the page beside the machine? The faces it looks at, what is in hand lit; its own.

MOST = 400  # patches of a face that is drawn: more are no help on a phone, the place is told in words
KEPT = 200  # drawings at most that are remembered
_LABEL = re.compile(r'<svg [^>]*aria-label="([^"]*)"')
_FRAME = re.compile(r' style="[^"]*"', re.ASCII)  # of paper: on the page a drawing is as wide as there is room
_TYPE = ' font-family="system-ui, sans-serif"'  # a picture of its own has nothing of the page's type


class Drawing(msgspec.Struct, frozen=True):
    """A drawing: a name for what it shows, what it says to whoever cannot see it, and itself as SVG."""

    name: str
    alt: str
    svg: str


class Art:
    """The drawings of the plan at hand, each made once."""

    def __init__(self) -> None:
        """Begin with none."""
        self._plan: Plan | None = None
        self._report: Report | None = None
        self._made: dict[object, Drawing | None] = {}
        self._own: dict[str, list[Drawing]] = {}

    def of(self, scene: Scene, step: Step) -> list[Drawing]:
        """Every drawing that goes with the step now, the place in hand first."""
        if self._plan is not scene.plan or self._report is None:
            self._plan, self._report, self._made, self._own = scene.plan, report(scene.plan), {}, {}
        about = self._report
        drawn = [self._once(one, partial(_face, about, *one)) for one in views_of(scene, step)]
        if step.key not in self._own:
            self._own[step.key] = [_named(svg) for svg in _frames(about, scene.plan, step)]
        return [*(one for one in drawn if one is not None), *self._own[step.key]]

    def _once(self, key: object, draw: Callable[[], str]) -> Drawing | None:
        if len(self._made) > KEPT:
            self._made.clear()
        if key not in self._made:
            svg = draw()
            self._made[key] = _named(svg) if svg else None
        return self._made[key]


def _named(svg: str) -> Drawing:
    svg = _FRAME.sub(_TYPE, svg, count=1)
    said = _LABEL.search(svg)
    return Drawing(blake2b(svg.encode(), digest_size=8).hexdigest(), unescape(said[1]) if said else "", svg)


def _frames(about: Report, plan: Plan, step: Step) -> list[str]:
    """The step's own picture, frame by frame."""
    found = next((one for one in about.steps if one.key == step.key), None)
    told = teller(about)(replace(found, texts=render_step(plan, step))) if found else None
    return alone(told, frames_of(told)) if told else []


def _face(about: Report, name: str, panel: Panel) -> str:
    """A face as it is seen, the patch or the seam in hand lit; nothing where it is not laid, or too large."""
    pitch, seam = number(about, "pitch"), number(about, "seam")
    found = _rows(about, name, panel)
    if found is None or not pitch or seam is None or panel.across * panel.down > MOST:
        return ""
    rows, heading = found
    quilted = about.project.quilting if about.project.quilting in {"cross", "plus"} and not panel.back else ""
    seen = Seen(quilted=quilted, frayed=not panel.back, lit=panel.here, seam=panel.seam, turned=name.endswith("turned"))
    if panel.back and not panel.seam:
        after, upright = zip_place(about)
        seen = replace(seen, zip_after=after, zip_upright=upright)
    lit = f"Row {panel.here[0] + 1}, column {panel.here[1] + 1} is in hand. " if panel.here else ""
    return face(
        rows, looks_of(about), pitch_mm=pitch, fringe_mm=seam, seen=seen,
        title=lit + face_words(said(heading, about.project.words), [list(row) for row in rows]),
        width_text=words(about, "face_width"), height_text=words(about, "face_height"),
    )  # fmt: skip


def _rows(about: Report, name: str, panel: Panel) -> tuple[Rows, str] | None:
    """The prints of the face that a view shows, and what it is called."""
    if panel.back:
        return (face_rows(about.backing, 0), "Back, as you see it") if about.backing else None
    if about.layout is None:
        return None
    if name.endswith("turned"):
        return mirrored(face_rows(about.layout, -1)), "Back, turned"
    return face_rows(about.layout, 0), "Front"


WIDE = 1000  # columns: a page breaks its own lines
NEARLY = {1: "the last one", 2: "two more", 3: "three more"}  # said while the eyes are on the needle
_LANG = {"british": "en-GB", "american": "en-US"}
_TEXTS = (("why", "Why"), ("if_wrong", "If it went wrong"), ("good_enough", "Good enough"), ("beginner", "Hint"))


class Said(msgspec.Struct, frozen=True, omit_defaults=True):
    """A line of a card: its parts as (role, text), the sign before it, the key it is about."""

    parts: list[tuple[str, str]]
    sign: str = ""
    key: str = ""


class Wait(msgspec.Struct, frozen=True):
    """A wait that runs on its own: when it is over (wall ms, to the second), and that moment as a clock says it."""

    name: str
    due: int
    clock: str


class Button(msgspec.Struct, frozen=True):
    """What a press may do now: the big one's word, and whether undo and pause do something; or `why` none may."""

    word: str = ""
    undo: bool = False
    pause: bool = False
    why: str = ""


class Spoken(msgspec.Struct, frozen=True):
    """What is spoken at a press, for one who asked for it, after the cautions: each of those once, to its end."""

    step: str = ""
    number: str = ""
    place: str = ""
    left: str = ""


class View(msgspec.Struct, frozen=True):
    """The page at one moment. Moments are wall ms: the page counts from them by itself."""

    of: int  # the session's mark, its newest record that a key wrote, the keys so far: a press says what it saw
    newest: int
    moves: int
    project: str
    lang: str  # of its words
    mode: str
    step: str  # the key of the step under the needle: a photo is noted at it
    stages: list[tuple[str, float, bool]]  # name, share done, here
    worked: str
    waits: list[Wait]
    said: str
    heard: list[str]  # what the last key changed, for who listens
    button: Button
    title: str
    drawings: list[str]  # by name
    number: str = ""  # step 14 of 41
    sign: str = ""  # of a card's title: done, caution, problem
    card: list[Said] | None = None  # what covers the step; None where the step itself is shown
    doing: list[tuple[str, str]] = []  # what to do: (title, text)
    big: str = ""  # the one number, and what it is
    big_label: str = ""
    figures: list[tuple[str, str]] = []  # the others, (value, label)
    place: str = ""
    cautions: list[str] = []  # whole
    done: int = 0
    pieces: int = 0
    count: str = ""
    began: int | None = None  # of the piece in hand, where its clock runs
    ran_ms: int = 0  # of it, where the clock stands
    times: list[tuple[str, str]] = []  # (word, time); the first is the piece in hand's where it is open
    coming: list[str] = []
    stack: list[str] = []  # what is laid first in front
    texts: list[tuple[str, str]] = []  # why, if it went wrong …
    spoken: Spoken = Spoken()


def view_of(
    scene: Scene, art: Art, *, of: int, newest: int, moves: int, stood: Stood | None
) -> tuple[View, list[Drawing]]:
    """Give the page of a moment, and its drawings. `stood`: what stood before the last key; None: nothing is heard."""
    if scene.desk.problem:  # where it could not be written is the computer's own matter
        scene = replace(scene, saved_in="", desk=replace(scene.desk, problem=UNSAVED))
    # A card covers the step as on the screen; a drawing is made only where it is seen, for that takes longest.
    card, step = card_of(scene), seen.shown_step(scene)
    if card is None and step is None:
        card = finish(scene)
    drawn = art.of(scene, step) if step and (card is None or card.picture) else []
    here, mode = order.under_needle(scene.plan, scene.record), scene.record.header.mode
    view = View(
        of=of,
        newest=newest,
        moves=moves,
        project=clean(scene.plan.project.title),
        lang=_LANG[scene.plan.project.words],
        mode=f"{mode}, does not count" if mode in {"practice", "rehearsal"} else "",
        step=here.key if here else "",
        stages=[_stage(one, here) for one in order.progress(scene.plan, scene.record)],
        worked=parts.worked_today(scene),
        waits=_waits(scene),
        said="" if scene.desk.problem else clean(scene.desk.said or scene.rest),
        heard=[clean(one) for one in after_key(scene, stood, ends_a_lap=True)] if stood else [],
        button=_button(scene, card),
        title=card.title if card else "",
        drawings=[one.name for one in drawn],
    )
    return replace(view, **(_card(scene, card) if card or step is None else _step(scene, step))), drawn


def board_view(
    title: str, head: str, seats: Sequence[tuple[str, str]], told: Sequence[str], moves: int, *, words: str
) -> View:
    """A class's board, to be looked at only: a row a seat, (stitches, what is next); what must be said of time."""
    rows = [Said([("time", stitches), ("", state)], key=str(n)) for n, (stitches, state) in enumerate(seats, 1)]
    return View(
        of=0, newest=moves, moves=moves, project=title, lang=_LANG[words], mode="", step="", stages=[], worked="",
        waits=[], said="\n".join(told), heard=list(told), button=Button(), title=head, drawings=[], card=rows,
    )  # fmt: skip


def _card(scene: Scene, card: Card | None) -> dict[str, Any]:
    """A card that takes the place of the step; blank rows, and waits, which have clocks of their own, are left out."""
    if card is None:
        return {}
    words, ask = scene.plan.project.words, scene.desk.ask
    rows, first = [], []
    for row in card.rows:
        first += [clean(caution(name, words)) for name in row.cautions]
        said = _said(row)
        if row.share is not None or not (row.parts or row.typed is not None):
            continue
        if (ask is None or ask.about == "caution") and "caution" in {row.sign, *(role for role, _ in row.parts)}:
            first.append("".join(text for _, text in said.parts))  # of a size typed it says only that it is off
        else:
            rows.append(said)
    return {"sign": card.sign, "card": rows, "big": clean(card.big), "cautions": first}


def _said(row: Row) -> Said:
    if row.typed is not None:
        return Said([("asked", row.typed or "…")])
    return Said([(role, clean(text)) for role, text in row.parts if text], row.sign, row.key)


def _step(scene: Scene, step: Step) -> dict[str, Any]:
    """A step whole: everything that the screen says of it, and what it says behind a key."""
    # Everything by the functions that the screen is made of, so that the two never say different things.
    words, done = scene.plan.project.words, scene.record.step(step.key).pieces_done
    figures = [(clean(value), clean(label)) for value, label in seen.figures(scene, step)]
    views = views_of(scene, step)
    many = step.pieces > 1
    first = figures[:1] if step.piece != "pile" else []
    if not first and many:
        first = [(f"{min(done + 1, step.pieces)}", f"{clean(step.piece)} in hand, of {step.pieces}")]
    texts = [
        (head, clean(told[name]))
        for one in seen.together(scene, step)
        for told in (scene.words.texts(scene.plan, one),)
        for name, head in _TEXTS
        if told.get(name)
    ]
    place = place_words(views[0][1]) if views else ""
    cautions = [clean(caution(name, words)) for name in seen.cautions(scene, step)]
    return {
        "title": clean(seen.title(scene, step)),
        "number": parts.number_words(scene, step),
        "doing": [(clean(title), clean(text)) for title, text in seen.told(scene, step) if text],
        "big": first[0][0] if first else "",
        "big_label": first[0][1] if first else "",
        "figures": [one for one in figures if one not in first],
        "place": place,
        "cautions": cautions,
        "done": done,
        "pieces": step.pieces,
        "count": f"{done} of {counted(step.pieces, clean(step.piece))}" if many else "",
        "coming": [flat(line).strip() for line in reversed(parts.coming(scene, step, WIDE))],
        "stack": laid_in_order(scene, step),
        "texts": texts,
        "spoken": Spoken(
            clean(seen.title(scene, step)),
            f"{first[0][1]}: {first[0][0]}" if first and figures else "",
            place,
            NEARLY.get(order.left_of(step, scene.record), "") if many else "",
        ),
        **_clock(scene, step),
    }


def _clock(scene: Scene, step: Step) -> dict[str, Any]:
    """The times at the foot of the screen; that of the piece in hand is counted by the page from when it began."""
    pairs = [text for line in parts.times(scene, step, WIDE) for _, text in line]
    times = [(word.strip(), time) for word, time in zip(pairs[::2], pairs[1::2], strict=True)]
    if not seen.is_open(scene, step):
        return {"times": times}
    ran = seen.this_ms(scene)
    times[:1] = [(times[0][0], "")]
    if scene.record.doing not in {"working", "trouble"}:
        return {"times": times, "ran_ms": ran}
    return {"times": times, "began": _even(scene.now.wall - ran)}


def _even(wall: int) -> int:
    """A moment to the half second: two clocks that are read one after the other give the same."""
    return (wall + 250) // 500 * 500


def _stage(one: order.StageProgress, here: Step | None) -> tuple[str, float, bool]:
    share = one.done / one.total if one.total else 1.0
    return clean(one.stage), round(share, 3), here is not None and here.stage == one.stage


def _waits(scene: Scene) -> list[Wait]:
    """The waits that run, here and at the other project of this window."""
    here = [("", one) for one in order.waits(scene.plan, scene.record, scene.now)]
    there = [(f"{clean(scene.desk.beside)}, ", one) for one in scene.beside_waits]
    return [
        Wait(f"{whose}{clean(one.step.title)}", _even(one.due), seen.clock(scene, one.due))
        for whose, one in (*here, *there)
    ]


UNSAVED = "A record is not saved yet: see to it at the computer."
LOCKED = "The keys are locked at the computer."
ASKED = "Asked at the computer: answer there."


def why_not(desk: Desk) -> str:
    """Why no press may be taken now, or ""; what is typed at the computer is finished there."""
    if desk.problem:
        return UNSAVED
    if desk.locked:
        return LOCKED
    return ASKED if writes(desk) else ""


def _button(scene: Scene, card: Card | None) -> Button:
    """What presses may do, or why none may."""
    if why := why_not(scene.desk):
        return Button(why=why)
    offered = card.keys if card else parts.far_keys(scene)
    word = next((word for key, word in offered if key in BIG), "") or big_word(scene.record)
    undo, pause = (row is not None and applies(row, scene.record) for row in (named("u"), named("p")))
    return Button(word, undo, pause and scene.desk.ask is None)
