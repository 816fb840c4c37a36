"""A panel laid by hand, in words: what both ways of showing it say, and the way in lines, for screen readers and files.

A line is a few words: blocks as `2,3`, a print by its letter or name, keys by their letter or word. The blocks are gone
to first, then the keys are pressed: `2,3 A`, `swap 1,1 2,3`, `1,2 turn over`, `fill`, `undo`, `keep`, `leave`.
"""

import signal
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from functools import lru_cache
from typing import TextIO

from guide import system
from guide.errors import GuideError
from guide.follow import by_hand
from guide.follow.by_hand import QUESTIONS, TABLE, ByHand
from guide.plan.layout.characters import SAYS, Character, Measured, measured
from guide.plan.layout.faces import Cell, Meeting, cells_in, contrast_of, lights_of, meetings, panel_of
from guide.plan.model import Block, Layout, Plan
from guide.plan.parts import letters
from guide.read.spoken import are, counted, percent
from guide.show.cutting_lines import face_rows, mirrored
from guide.show.table import Column, Table, clean, lines, table

Keeps = Callable[[ByHand], str]  # writes what lies and says where; raises GuideError
Ends = Callable[[ByHand], str]  # does at the end with what lies and was not kept, and says so
Reckons = Callable[[ByHand], str]  # says what cloth that takes and what it costs


def done(hand: ByHand, keeps: Keeps) -> ByHand:
    """Do what a key asked for: write what lies. What cannot be written is said, and stays under the hand."""
    if hand.wants != "save":
        return hand
    try:
        return by_hand.kept(hand, keeps(hand))
    except GuideError as problem:
        return by_hand.not_kept(hand, str(problem))


@lru_cache(maxsize=16)
def _met(stacks: tuple[tuple[str, ...], ...], across: int, faces: int) -> tuple[Meeting, ...]:
    blocks = tuple(Block(at // across + 1, at % across + 1, stack) for at, stack in enumerate(stacks) if stack)
    bare = Layout(across, len(stacks) // across, 0, blocks, 0, 0, 0, "as laid")
    return tuple(meetings(bare, faces))


def met(hand: ByHand) -> tuple[Meeting, ...]:
    """Where likes meet on the faces that show."""
    return _met(hand.laid.stacks, hand.across, panel_of(hand.project).faces)


def met_words(hand: ByHand) -> str:
    """How many likes meet on which face, and how many places are empty."""
    found = met(hand)
    front, faces = sum(one.face == "front" for one in found), panel_of(hand.project).faces
    sides = [f"{many} on the {face}" for many, face in ((front, "front"), (len(found) - front, "back")) if many]
    clear = "No two alike meet" if faces == 2 or hand.depth == 1 else "No two alike meet on the front"
    said = f"{'Alike meet: ' if sides else clear}{', '.join(sides)}."
    return f"{said} {counted(hand.empty, 'block')} {are(hand.empty)} empty." if hand.empty else said


def back_words(hand: ByHand) -> str:
    """What the other face is: seen when the panel is turned like a page, or inside a cushion, where likes may meet."""
    return "back, turned" if panel_of(hand.project).faces == 2 else "back, inside"


def stock_words(hand: ByHand) -> list[tuple[str, str]]:
    """Each print with how many squares of it lie, and how many are left where that is known."""
    there, lie = by_hand.left(hand), by_hand.taken(hand)
    return [(name, f"{lie[name]}" if some is None else f"{lie[name]}, {some} left") for name, some in there.items()]


def hints(hand: ByHand) -> Iterator[tuple[str, str]]:
    """The keys of use now with their words, the most needed first."""
    if hand.view in QUESTIONS:
        yield from QUESTIONS[hand.view][1]
        return
    if hand.lifted is not None:
        yield from (("space", "change places"), ("escape", "put it back"))
    for key in TABLE:
        if not (key.letter == "space" and hand.lifted is not None):
            yield key.letter, key.word


def face_lines(hand: ByHand) -> list[str]:
    """The front and the other face in letters, what is empty as a point, likes that meet between crosses."""
    names, found = letters(hand.project), met(hand)
    out = []
    wide = max((len(name) for name in names.values()), default=1)
    for title, layer, face in (("front", 0, "front"), (back_words(hand), hand.depth - 1, "back"))[: min(hand.depth, 2)]:
        alike = {cell for one in found if one.face == face for cell in (one.first, one.second)}
        out.append(title)
        for row in range(hand.down):
            cells: list[str] = []
            for column in range(hand.across):
                stack = hand.laid.stacks[row * hand.across + column]
                sign = names[stack[layer]] if stack else "."
                cells.append(f"{sign:>{wide}}{'x' if (row + 1, column + 1) in alike else ' '}")
            out.append("  " + " ".join(cells[::-1] if layer else cells).rstrip())
    return out


def here_line(hand: ByHand) -> str:
    """The block under the hand, its layers front first, the layer in hand in brackets."""
    names, (row, column) = letters(hand.project), hand.cell
    stack = " ".join(f"[{names[one]}]" if at == hand.layer else names[one] for at, one in enumerate(hand.stack))
    stays = ", stays" if hand.at in hand.laid.kept else ""
    return f"block {row},{column}{stays}, front first: {stack}" if stack else f"block {row},{column}{stays}: empty"


def proposal_lines(plan: Plan, found: Mapping[Character, Layout], width: int) -> list[str]:
    """Proposals side by side, as many as a line holds: the faces that show, a sentence each, and what is counted."""
    names, shows = letters(plan.project), panel_of(plan.project).faces == 2
    boards = []
    for character, layout in found.items():
        faces = [face_rows(layout, 0), *([mirrored(face_rows(layout, -1))] if shows else [])]
        board: list[str] = [character]
        for title, rows in zip(("front", "back, turned") if shows else ("",), faces, strict=True):
            board += [*filter(None, [title]), *("  " + "  ".join(names[name] for name in row) for row in rows)]
        boards.append(board)
    wide = max(len(row) for board in boards for row in board) + 3
    each = max(1, (width + 3) // wide)
    out = ["Four proposals of the same squares; --take NAME keeps one.", ""]
    for start in range(0, len(boards), each):
        beside = zip(*boards[start : start + each], strict=True)
        out += ["".join(f"{cell:<{wide}}" for cell in row).rstrip() for row in beside]
        out.append("")
    out += ["   ".join(f"{letter} {name}" for name, letter in names.items()), ""]
    for character, layout in found.items():
        same = next((one for one, other in found.items() if other.blocks == layout.blocks), character)
        out.append(f"{character}: {SAYS[character] if same == character else f'here the same as {same}.'}")
    return [*out, "", *lines(_measures(plan, found), heads=True)]


def _measures(plan: Plan, found: Mapping[Character, Layout]) -> Table:
    """What tells the proposals apart, counted."""
    lights = lights_of(plan.project)
    rows = [(name, measured(plan.project, layout, lights)) for name, layout in found.items()]
    columns = [
        Column[tuple[Character, Measured]]("", lambda row: row[0]),
        Column[tuple[Character, Measured]](
            "a knight's move apart", lambda row: percent(row[1].knights, 0), number=True
        ),
        Column[tuple[Character, Measured]]("one diagonal", lambda row: percent(row[1].corners, 0), number=True),
        Column[tuple[Character, Measured]]("border", lambda row: percent(row[1].border, 0), number=True),
    ]
    if lights:
        columns.append(Column("longest run of light", lambda row: f"{row[1].run or ''}", number=True))
    return table(columns, [rows], label="Likes, and border prints along the edge")


def light_lines(hand: ByHand) -> list[str]:
    """How light each print is, and how far neighbours on the front differ."""
    lights, names = lights_of(hand.project), letters(hand.project)
    said = (f"{names[name]} L* {lights[name]:.0f}" if name in lights else f"{names[name]} ?" for name in names)
    rows = [[stack[0] if stack else "" for stack in hand.laid.stacks[at : at + hand.across]]
            for at in range(0, len(hand.laid.stacks), hand.across)]  # fmt: skip
    found = contrast_of(rows, lights)
    told = f"Neighbours differ by {found.mean:.0f} on average." if found else "No neighbours are known."
    return ["light, 0 black to 100 white: " + "  ".join(said), told]


def follow(hand: ByHand, typed: TextIO, out: TextIO, keeps: Keeps, reckons: Reckons, *, ends: Ends) -> int:
    """Lay by hand line by line until it is left, by the end of the input or a signal too; `ends` gets what lies then.

    Gives the exit code: 0, or 130, 143, 129 when a signal ended it.
    """
    wait, code, now = system.Waiting(), 0, [hand]
    with system.signals(wait):
        try:
            _converse(now, iter(lambda: wait.line(typed.readline), ""), out, keeps, reckons)
        except KeyboardInterrupt:
            code = wait.signalled or system.STOPPING[signal.SIGINT]
        finally:
            told = ends(now[0])
    with suppress(OSError):  # nobody may be there to read it
        out.write(f"{told}\n" if told else "")
        out.flush()
    return code


def _converse(now: list[ByHand], typed: Iterable[str], out: TextIO, keeps: Keeps, reckons: Reckons) -> None:
    """Take line after line; `now` has what lies at every moment."""

    def say(*told: str) -> None:
        out.write("".join(f"{clean(row)}\n" for one in told for row in one.splitlines()))
        out.flush()

    hand = now[0]
    names = letters(hand.project)
    say(f"{hand.project.title}, laid by hand", *face_lines(hand))
    say("  ".join(f"{letter} {name}" for name, letter in names.items()))
    say("Write a block and what to do: 2,3 A · swap 1,1 2,3 · 1,2 turn over · fill · undo · keep · leave. ? tells all.")
    if hand.view in QUESTIONS:
        say(*_asked(hand))
    for line in typed:
        before = hand
        for key in pressed(hand, line):
            hand = by_hand.go(hand, key) if isinstance(key, tuple) else done(by_hand.press(hand, key), keeps)
        now[0] = hand
        if hand.wants == "leave":
            return
        if hand.view == "keys":
            say(*(f"{key.letter:<6} {key.word}: {key.help}" for key in TABLE))
            hand = by_hand.press(hand, "?")
            continue
        if hand.view in QUESTIONS:
            say(*_asked(hand))
            continue
        if hand.laid != before.laid or hand.layer != before.layer:
            say(*face_lines(hand), met_words(hand))
            say("Squares laid: " + ", ".join(f"{names[name]} {said}" for name, said in stock_words(hand)))
            if not hand.empty and by_hand.taken(hand) != by_hand.taken(before):
                say(reckons(hand))
        if hand.by_light and not before.by_light:
            say(*light_lines(hand))
        say(*filter(None, (hand.said, here_line(hand))))


def _asked(hand: ByHand) -> list[str]:
    """The question and its answers, a line each."""
    asked, answers = QUESTIONS[hand.view]
    return [asked, *(f"{key} {word}" for key, word in answers)]


def pressed(hand: ByHand, line: str) -> list[str | Cell]:
    """The blocks and keys that a line means, in the order in which they are gone to and pressed."""
    if hand.view in QUESTIONS:
        return [line.strip() or "escape"]
    words = {key.word: key.letter for key in TABLE} | {key.letter: key.letter for key in TABLE} | {"swap": "space"}
    prints = {name.lower(): letter for name, letter in letters(hand.project).items()}
    cells, left = cells_in(line)
    keys: list[str] = []
    known = sorted((*words, *prints, *letters(hand.project).values()), key=len, reverse=True)
    while left:
        fold = left.lower()
        found = next((one for one in known if _begins(left, fold, one)), None)
        if found is None:
            keys.append(left.split()[0])
            left = left.partition(" ")[2].strip()
            continue
        keys.append(words.get(found) or prints.get(found) or found)
        left = left[len(found) :].strip()
    if keys[:1] == ["space"] and len(cells) == 2:
        return [cells[0], "space", cells[1], "space", *keys[1:]]
    return [*cells, *keys]


def _begins(left: str, fold: str, one: str) -> bool:
    """Whether a line goes on with this word: a print's letter as it is written, words in any letters."""
    begun = left.startswith(one) if len(one) == 1 or one.isupper() else fold.startswith(one)
    return begun and (len(left) == len(one) or left[len(one)] == " ")
