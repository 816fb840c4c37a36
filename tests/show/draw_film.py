"""Draw README's moving picture, twenty seconds at the machine, and its strip of papers: python -m tests.show.draw_film.

The screen is recorded, not painted: the program runs in a terminal of its own inside this process, by a clock that only
the script moves, keys are pressed, and what the terminal shows is read back second by second. A row that changes is
drawn once for each of its texts and shown while it stands there; a reader who wants no motion sees the first second.
"""

import asyncio
import re
import sys
from functools import cache
from html import escape
from itertools import groupby

from msgspec.structs import replace

from guide.commands.follow import opening
from guide.commands.sessions import open_here, plan_of
from guide.follow.model import Desk
from guide.follow.session import Session
from guide.plan.make import make_plan
from guide.record.clock import DAY_MS
from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.price import render_price
from guide.show.pictures.svg import LIGHT, PRINT
from tests.follow.samples import Clock, Memory
from tests.follow.samples_session import Bench
from tests.show import samples
from tests.show.demo import DEMO, demo_plan
from tests.show.draw_svg import GOLDEN, HIGH, MARGIN, PAPER, WIDE, _fragment

COLUMNS, ROWS, SECONDS = 80, 24, 20
STEP, DONE = "quilt/cross", 5  # the step that is filmed, and how many blocks of it are through
KEYS = {6: " ", 11: "f", 15: "\x1b"}  # at which second which key: a block is through, look ahead, back
NAMES = {"black": "#17171c", "brown": "#c9a227", "white": "#e8e6e1"}

Fragment = tuple[str, str]  # how it is dyed, and the text
Frame = list[list[Fragment]]


class Demo(Bench):
    """The example's session, with hands to press its keys."""

    def __init__(self):
        self.clock, self.planned = Clock(), 0
        self.here = open_here(DEMO)
        self.memory = Memory(self.clock.read())
        self.memory.events.clear()
        self.memory.append(opening(self.here, plan_of(self.here), "real", "", ""), self.clock.read())
        self.session = Session(self.memory, self._plan, self.clock, desk=Desk())

    def _plan(self, measured, laid, _texts):
        return make_plan(self.here.project, self.here.language, measured or None, laid.layout)


def _dye(char):
    """How a character of the terminal is dyed."""
    words = [f"#{char.fg}"] if re.fullmatch("[0-9a-f]{6}", char.fg) else [NAMES[char.fg]] if char.fg in NAMES else []
    return " ".join([*words, *(["bold"] if char.bold else []), *(["reverse"] if char.reverse else [])])


def _row(line, columns):
    """A row as fragments of one dye, without the blanks at its end."""
    chars = [line[column] for column in range(columns)]
    parts = [(dye, "".join(one.data for one in run)) for dye, run in groupby(chars, _dye)]
    while parts and not parts[-1][1].strip() and "reverse" not in parts[-1][0]:
        parts.pop()
    return parts


@cache
def recorded() -> tuple[Frame, ...]:
    """What the terminal shows, a frame a second."""
    from tests.terminal.rig import Rig

    hands = Demo()
    for key in _keys_to(hands):
        hands.press(key)
    hands.clock.run(41)

    async def film():
        frames = []
        async with Rig(hands.session, COLUMNS, ROWS, ground="dark") as rig:
            for second in range(SECONDS):
                if second in KEYS:
                    rig.input.send_text(KEYS[second])
                    await asyncio.sleep(0.1 if KEYS[second] == "\x1b" else 0.0)  # escape alone is told from an arrow
                rig.app.invalidate()
                await rig.settle()
                frames.append([_row(rig.sink.screen.buffer[row], COLUMNS) for row in range(ROWS)])
                hands.clock.run(1)
        return tuple(frames)

    return asyncio.run(film())


def _keys_to(hands):
    """The big key until the step is open and so many of its pieces are through."""
    while True:
        mine = hands.record.step(STEP)
        if hands.record.current == STEP and mine.pieces_done == DONE:
            return
        yield "space"


def film(frames) -> str:
    """The frames as one SVG."""
    ground, ink = PAPER["dark"]
    wide, high = COLUMNS * WIDE + 2 * MARGIN, ROWS * HIGH + 2 * MARGIN
    lasts, drawn = set(), []
    for row in range(ROWS):
        for _, run in groupby(range(len(frames)), lambda second, row=row: frames[second][row]):
            seconds = list(run)
            parts, first = frames[seconds[0]][row], seconds[0]
            if not parts:
                continue
            out, column = [], 0
            for dye, text in parts:
                if text.strip() or "reverse" in dye:
                    out += _fragment(dye, text, (column, row), (ground, ink))
                column += len(text)
            if len(seconds) == len(frames):
                drawn += [f'<g data-row="{row}">', *out, "</g>"]
                continue
            lasts.add(len(seconds))
            still = " s" if first == 0 else ""
            drawn += [
                (f'<g class="m{still}" data-row="{row}" data-from="{first}" data-for="{len(seconds)}" '
                f'style="animation-name:l{len(seconds)};animation-delay:{first}s">'), *out, "</g>",
            ]  # fmt: skip
    shown = "".join(
        f"@keyframes l{last}{{0%{{visibility:visible}}{100 * last / len(frames):g}%{{visibility:hidden}}}}"
        for last in sorted(lasts)
    )
    return "\n".join([
        (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" height="{high}" '
        f'font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="15" role="img">'),
        "<title>Twenty seconds at the machine: a block is counted, the step ahead is looked at</title>",
        (f"<style>.m{{visibility:hidden;animation:{len(frames)}s step-end infinite}}{shown}"
        "@media (prefers-reduced-motion:reduce){.m{animation:none!important}.s{visibility:visible}}</style>"),
        f'<rect width="100%" height="100%" rx="10" fill="{ground}"/>', *drawn, "</svg>", "",
    ])  # fmt: skip


SHEET, GAP, EDGE = (300, 424), 24, 20  # a sheet of A4's shape, what lies between two, its margin
LARGEST = 2.2  # of a drawing, to a mm of its paper
COLOURS = ":root{" + ";".join(f"--{one}:{LIGHT[one]}" for one in ("ink", "soft", "thread", "paper")) + "}"


def pictures_of(page, *starts):
    """The drawings of a page whose text alternatives begin so, in that order."""
    drawn = re.findall(r"<svg .*?</svg>", page, re.DOTALL)
    return [next(one for one in drawn if re.search(rf'aria-label="{start}', one)) for start in starts]


def sheets():
    """What the strip shows: each paper's title, and drawings of its page."""
    of = demo_plan()
    rec = samples.record(of, mode="real")
    (sat,) = rec.sittings
    rec.sittings = [replace(sat, number=n, start=sat.start + n * DAY_MS, end=sat.end + n * DAY_MS) for n in (0, 1, 4)]
    full = samples.full_report(of, rec=rec)
    step = next(one for one in full.steps if one.key == "closure/zip_box")
    return [
        ("Checklist", pictures_of(render_checklist(full), "Sew the cross, 1", "Sew the cross, 2", f"{step.title}, 1", f"{step.title}, 2")),
        ("Maker's log", pictures_of(render_log(full), "Front", "Back", "Sewn on", "panel across")),
        ("Price", pictures_of(render_price(full), "Of ")),
    ]  # fmt: skip


def nested(svg, x, y, wide, high):
    """A drawing inside another, at most so large, and how high it came out."""
    left, top, width, height = map(float, re.search(r'viewBox="([^"]+)"', svg)[1].split())
    on_paper = float(re.search(r"--wide:([\d.]+)mm", svg)[1])
    scale = min(wide / width, high / height, LARGEST * on_paper / width)
    opening = f'<svg x="{x:g}" y="{y:g}" width="{width * scale:.1f}" height="{height * scale:.1f}" viewBox="{left:g} {top:g} {width:g} {height:g}" '
    return re.sub(r"<svg .*?(?=fill=)", opening, svg, count=1), height * scale


def strip() -> str:
    """The three papers side by side, each with its own drawings."""
    (wide, high), out = SHEET, []
    for place, (title, drawings) in enumerate(sheets()):
        x = GAP / 2 + place * (wide + GAP)
        out.append(
            f'<rect x="{x:g}" y="6" width="{wide}" height="{high}" fill="{LIGHT["paper"]}" stroke="{PRINT["faint"]}"/>'
        )
        out.append(
            f'<text x="{x + EDGE:g}" y="44" font-size="20" font-weight="600" fill="{LIGHT["ink"]}">{escape(title)}</text>'
        )
        stitches = f'x1="{x + EDGE:g}" x2="{x + wide - EDGE:g}" y1="58" y2="58"'
        out.append(f'<line {stitches} stroke="{LIGHT["thread"]}" stroke-width="2" stroke-dasharray="9 5"/>')
        y, room = 72.0, (high - 80) / len(drawings)
        for drawing in drawings:
            inner, tall = nested(drawing, x + EDGE, y, wide - 2 * EDGE, room - 10)
            out.append(inner)
            y += tall + 10
    across = 3 * (wide + GAP)
    return "\n".join([
        (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {across} {high + 12}" width="{across}" height="{high + 12}" '
        'font-family="system-ui, sans-serif" role="img"><title>Three papers: checklist, maker\'s log and price</title>'),
        f"<style>{COLOURS}</style>", *out, "</svg>", "",
    ])  # fmt: skip


def main():
    (GOLDEN / "screen-moving.svg").write_text(film(recorded()), encoding="utf-8")
    (GOLDEN / "papers.svg").write_text(strip(), encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
