"""The panel that is laid by hand, on the full screen: a view of `ByHand`, and what gives it its keys."""

import asyncio
import os
import signal
import sys
from itertools import product

from msgspec.structs import replace

from guide import system
from guide.follow import by_hand
from guide.follow.by_hand import QUESTIONS, TABLE, ByHand
from guide.follow.model import Desk
from guide.plan.layout.faces import NEAR, contrast_of, lights_of, panel_of
from guide.plan.parts import letters, own_colours
from guide.show.hand_lines import Ends, Keeps, Reckons, back_words, done, hints, met, met_words, stock_words
from guide.show.screen.parts import Page, Part, laid
from guide.show.screen.sketch import EMPTY, At, Pair, Panel, draw, print_sign
from guide.show.screen.text import STITCHED, Line, Marks, beside, clip, ends, indent, length, marks_for, paragraph, wrap
from guide.show.screen.window import Ground, Window, greys, load
from guide.show.table import clean, true_colour

ASIDE = 24  # columns beside the faces
BOTH = 64  # columns from which both faces and what lies beside them fit
_ALWAYS = frozenset("us?q")  # keys that stand on the smallest screen
QUIET_S = 0.3  # no key for so long, and the cloth is reckoned


def faces(hand: ByHand) -> list[tuple[str, Panel]]:
    """The layer in hand from the front, and the other face turned like a page; the one the hand is on comes marked."""
    layer = 0 if hand.turned else hand.layer
    name = "front" if not layer else f"layer {layer + 1} of {hand.depth}"
    out = [(name, _panel(hand, layer, mirrored=False))]
    if hand.depth > 1:
        out.append((back_words(hand), _panel(hand, hand.depth - 1, mirrored=True)))
    return out


def _panel(hand: ByHand, layer: int, *, mirrored: bool) -> Panel:
    """One layer as a map; light against dark has figures in place of letters."""
    turn = hand.across - 1

    def seen(place: int) -> At:
        row, column = divmod(place, hand.across)
        return row, turn - column if mirrored else column

    names = letters(hand.project)
    lights = lights_of(hand.project) if hand.by_light else {}
    rows = [[EMPTY] * hand.across for _ in range(hand.down)]
    named = [[""] * hand.across for _ in range(hand.down)]
    for place, stack in enumerate(hand.laid.stacks):
        if stack:
            row, column = seen(place)
            named[row][column] = stack[layer]
            sign = _figure(lights.get(stack[layer])) if hand.by_light else names[stack[layer]][-1:]
            rows[row][column] = sign
    made = frozenset(at for at in product(range(hand.down), range(hand.across)) if rows[at[0]][at[1]] != EMPTY)
    met: tuple[Pair, ...] | None = None
    if hand.by_light:
        found = contrast_of(named, lights)
        met = tuple(((a - 1, b - 1), (c - 1, d - 1)) for (a, b), (c, d) in found.near) if found else ()
    elif layer and panel_of(hand.project).faces == 1:
        met = ()  # it is inside, or between: prints may meet there
    elif 0 < layer < hand.depth - 1:
        met = ()
    held = None if hand.lifted is None else seen(hand.lifted)
    return Panel(tuple(map(tuple, rows)), made, seen(hand.at), held=held, met=met)


def _figure(light: float | None) -> str:
    """The tens of a lightness, 0 black to 9 white; a query where the print says no colour."""
    return "?" if light is None else str(min(9, int(light // 10)))


def _maps(hand: ByHand, room: int, height: int, marks: Marks) -> list[Line]:
    """As many faces as fit side by side, the one in hand at least."""
    views = faces(hand)
    here = len(views) - 1 if hand.turned else 0
    if room < 2 * 13 + 2 or len(views) == 1:
        views, here = [views[here]], 0
    each = (room - 2 * (len(views) - 1)) // len(views)
    lines: list[Line] = []
    for place, (name, panel) in enumerate(views):
        drawn = draw(panel, each, height - 1, marks)
        style = "class:title" if place == here else "class:quiet"
        sign = f"{marks.needle} " if place == here and len(views) > 1 else ""
        own = [clip([(style, f"{sign}{name}")], each, marks.more), *drawn]
        lines = beside(lines, own, max(map(length, lines)), 2) if lines else own
    return lines


def _where(hand: ByHand) -> str:
    """The hand's place in words, as the front is counted."""
    row, column = hand.cell
    stays = ", stays" if hand.at in hand.laid.kept else ""
    return f"row {row}, column {column}{stays}"


def _stack(hand: ByHand, marks: Marks) -> list[Line]:
    """The stack under the hand, front first, the layer in hand marked."""
    if not hand.stack:
        return [[("class:quiet", "nothing lies here")]]
    names, lines = letters(hand.project), []
    for layer, name in enumerate(hand.stack):
        mine = layer == hand.layer
        said: Line = [("class:needle" if mine else "", f"{marks.needle} " if mine else "  ")]
        lines.append([*said, *print_sign(names[name], clean(name), marks)])
    return lines


def _stock(hand: ByHand, marks: Marks) -> list[Line]:
    """Every print with what lies of it and what is left, or how light it is."""
    names, lights = letters(hand.project), lights_of(hand.project)
    lines = []
    for name, said in stock_words(hand):
        sign = print_sign(names[name], "", marks)[:3]
        light = f"L* {lights[name]:.0f}" if name in lights else "L* ?"
        lines.append([*sign, ("", f" {light if hand.by_light else said}"), ("class:quiet", f"  {clean(name)}")])
    return lines


def _notes(hand: ByHand, cloth: str, room: int, marks: Marks) -> list[Line]:
    """Whether likes meet, what is empty, and below it cloth and cost."""
    sign = f"{marks.alike[0]} " if met(hand) else ""
    lines: list[Line] = [[("class:caution.sign", sign), ("", met_words(hand))]]
    if hand.by_light:
        lines = [[("", f"0 dark, 9 light; {marks.alike[0]} less than {NEAR:.0f} L* apart: hardly told from afar")]]
    told = cloth if not hand.empty else "Cloth is reckoned once nothing is empty."
    return [*lines, *(clip([("class:quiet", row)], room, marks.more) for row in wrap(clean(told), room)[:2])]


def _foot(pairs: tuple[tuple[str, str], ...], room: int, most: int, marks: Marks) -> list[Line]:
    """Keys with their words, a few lines of them; `?` and the way out never give way."""
    lines: list[Line] = [[]]
    for key, word in pairs:
        item: Line = [("class:key", key), ("class:quiet", f" {word}")]
        gap = 2 if lines[-1] else 0
        if length(lines[-1]) + gap + length(item) > room:
            lines.append([])
            gap = 0
        lines[-1] = [*lines[-1], ("", " " * gap), *item]
    if len(lines) <= most:
        return lines
    kept = tuple(pair for pair in pairs if pair[0] in _ALWAYS)
    rest = tuple(pair for pair in pairs if pair not in kept)
    return _foot((*rest[: len(rest) - 1], *kept), room, most, marks) if rest else lines[:most]


def page(hand: ByHand, cloth: str, width: int, height: int, marks: Marks = STITCHED) -> Page:
    """The whole screen: both faces, the stack in hand, the stock, what it takes, and every key of use at its foot."""
    side = 1
    room = width - 2 * side
    if width < 24 or height < 8:
        return Page([[("", clip([("", "Make the window larger.")], width)[0][1])]])
    if hand.view == "keys":
        return _keys_page(width, height, marks)
    title = clean(hand.project.title) + ", laid by hand"
    head: list[Line] = [ends([("class:title", title)], [("class:here", _where(hand))], room)]
    pairs = tuple(hints(hand))
    most = 3 if height >= 20 or hand.view in QUESTIONS else 2 if height >= 14 else 1
    keys = _foot(pairs, room, most, marks)
    answer = paragraph(clean(hand.said), room, "class:said", 2, marks.more)
    if hand.view in QUESTIONS:
        answer = [[("class:asked", f" {QUESTIONS[hand.view][0]} ")]]
    wide = width >= BOTH
    notes = _notes(hand, cloth, room, marks)
    if height < 14:
        notes = notes[:1]
    taken = len(head) + len(keys) + max(1, len(answer)) + len(notes)
    down = max(3, height - taken)
    middle = _maps(hand, room - ASIDE - 2 if wide else room, down if wide else down - 1, marks)
    if wide:
        aside = [*_stack(hand, marks), [], *_stock(hand, marks)]
        if len(aside) > down:
            aside = [*aside[: down - 1], [("class:quiet", marks.more)]]
        aside = [clip(one, ASIDE, marks.more) for one in aside]
        middle = beside(middle, aside, room - ASIDE - 2, 2)
    else:
        here = [part for one in _stack(hand, marks)[hand.layer :][:1] for part in one]
        left = dict(stock_words(hand)).get(hand.stack[hand.layer], "") if hand.stack else ""
        middle = [*middle, clip([*here, ("class:quiet", f"  {left}")], room, marks.more)]
    top = [Part("head", head, 9), Part("faces", middle, 10), Part("notes", notes, 7)]
    foot = [Part("answer", answer, 8), Part("keys", keys, 11)]
    lines, _ = laid(top, foot, height)
    return Page([clip(one, width) for one in indent(lines, side)], (0, height - 1))


def _keys_page(width: int, height: int, marks: Marks) -> Page:
    """Every key with its sentence; where there is no room for all, with its word."""
    rows = [(key.letter, key.help) for key in TABLE]
    wide = max(len(letter) for letter, _ in rows) + 2
    lines: list[Line] = [[("class:title", "The keys; any key goes back")]]
    lines += [[("class:key", f"{letter:<{wide}}"), ("", told)] for letter, told in rows]
    if len(lines) > height or max(map(length, lines)) > width - 2:
        lines = [lines[0], *_foot(tuple((key.letter, key.word) for key in TABLE), width - 2, height - 1, marks)]
    return Page([clip(one, width) for one in indent(lines, 1)], (0, height - 1))


class HandScreen:
    """What lies under the hands, and the application that shows it."""

    def __init__(
        self,
        hand: ByHand,
        keeps: Keeps,
        reckons: Reckons,
        *,
        marks: Marks = STITCHED,
        ground: Ground = "",
        true: bool = False,
    ) -> None:
        self.hand, self.keeps, self.reckons = hand, keeps, reckons
        own = own_colours(hand.project) if true else {}
        self.marks = replace(marks, dyed=bool(own))
        self.cloth, self.reckoned = "", dict[str, int]()
        self.exit_code = 0
        self.window = Window(
            lambda width, height: page(self.hand, self.cloth, width, height, self.marks),
            # Ctrl-Z takes back, as it does in most programs a maker knows
            load(self.press, self.interrupt, lambda: self.press("u"), Desk, None),
            lambda: own | (greys() if own else {}),
            ground=ground,
            true=true,
        )
        self.app = self.window.app

    def press(self, key: str) -> None:
        """Give a key to the hand, and do what it asks for."""
        self.window.guarded(lambda: self._pressed(key))

    def _pressed(self, key: str) -> None:
        self.hand = done(by_hand.press(self.hand, key), self.keeps)
        if self.hand.wants == "leave":
            self.window.leave(0)

    def interrupt(self) -> None:
        """Ctrl-C: as `q`, which asks; once more, and it leaves with the question open."""
        if self.hand.view == "leaving":
            self.signalled(signal.SIGINT)
        else:
            self.press("q")

    def signalled(self, number: int) -> None:
        """A signal from outside: leave; the plan stays as it was kept last, what lies is for `run` to see to."""
        self.exit_code = system.STOPPING[number]
        self.window.leave(self.exit_code)

    async def reckoning(self) -> None:
        """Say what cloth it takes once no key has come for a moment; beside the keys, which do not wait for it."""
        before = None
        while True:
            hand, settled = self.hand, before is self.hand.laid
            before = hand.laid
            counts = by_hand.taken(hand)
            if settled and not hand.empty and counts != self.reckoned:
                try:
                    self.cloth, self.reckoned = await asyncio.to_thread(self.reckons, hand), counts
                except Exception as bug:  # noqa: BLE001 - ends the screen and is reported, as any other
                    self.window.fail(bug)
                    return
                self.app.invalidate()
            await asyncio.sleep(QUIET_S)

    def before_run(self) -> None:
        """Listen for signals and reckon the cloth; called inside the running loop."""
        self.window.before_run(self.signalled, self.reckoning())


def run(hand: ByHand, keeps: Keeps, reckons: Reckons, ends: Ends, *, ground: Ground = "") -> int:
    """Lay by hand on the full screen until it is left; however it ends, `ends` gets what lies.

    Gives the exit code: 0, or 130, 143, 129 when a signal or a closed window ended it. Raises what went wrong inside,
    after the terminal is whole again.
    """
    marks, true = marks_for(sys.stdout.encoding), true_colour(os.environ)
    screen = HandScreen(hand, keeps, reckons, marks=marks, ground=ground, true=true)
    try:
        code = screen.window.run(screen.before_run, lambda: None)
    finally:
        ends(screen.hand)
    return screen.exit_code or system.WINDOW_CLOSED if code is None else code
