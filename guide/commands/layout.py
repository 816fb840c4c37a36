"""`guide layout`: which print goes where."""

import os
import sys
from collections.abc import Collection
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import click
import msgspec
from msgspec import Struct
from msgspec.structs import replace

from guide.commands.ask import PAGES, PageTo, argument, asks, option
from guide.commands.common import columns, opened, say, talk
from guide.commands.sessions import (
    as_text,
    bring_back,
    fits_no_more,
    forget_layout,
    is_journal,
    keep_layout,
    kept_layout,
    planned_as,
    read_session,
    under_way,
    unkept,
)
from guide.errors import GuideError, WrongUse
from guide.plan.layout.faces import NEAR, Cell, cells_in, contrast, fringe, judged, lights_of, meetings, panel_of, swap
from guide.plan.layout.panels import (
    Rearranged,
    cannot_cut,
    lay_front,
    rearrange,
    squares_needed,
    stock_left,
    to_clear,
    within_stock,
)
from guide.plan.model import Layout, Plan
from guide.plan.parts import letters, own_colours
from guide.read.model import Project
from guide.read.places import UNKEPT_FILE, Opened, shown, to_type
from guide.read.spoken import said

if TYPE_CHECKING:
    from guide.plan.layout.characters import Character

_NO_PANEL = "This project has no panel to lay: write its grid and square first."


def lay_by_hand(here: Opened, plan: Plan, kept: frozenset[Cell], *, plain: bool) -> int:
    """Lay a project's panel by hand; the plan uses what is kept. Gives the exit code.

    Raises NeedsMending when what was kept fits no more.
    """
    from guide.commands.follow import way
    from guide.follow.by_hand import ByHand, bare, begun, lacking, layout_of, stays, to_be_offered
    from guide.show.pages.write import write_whole

    laid = plan.layout
    assert laid is not None
    hand = begun(plan.project, laid, kept, unkept(here, plan.project))
    if hand.offered and (too_few := lacking(hand, hand.offered.stacks)):
        raise fits_no_more(here, [too_few])
    told: list[str] = []  # what was kept, said again once the screen is gone
    ended: list[str] = []

    def keeps(now: ByHand) -> str:
        layout, cells = layout_of(now)
        within_stock(plan.project, layout, None, kept=True)
        told[:] = [keep_layout(here, layout, cells)]
        return told[0]

    def ends(now: ByHand) -> str:
        path, offers = here.folder / UNKEPT_FILE, to_be_offered(now)
        try:
            if offers:
                write_whole(path, as_text(bare(now), stays(now)), "What was not kept is lost.")
                ended.append("What was changed since is not kept; the next --by-hand offers it.")
            elif offers is False:
                path.unlink(missing_ok=True)
        except (GuideError, OSError) as problem:
            ended.append(str(problem))
        return "".join(ended)

    def reckons(now: ByHand) -> str:
        return cloth_words(here, plan, layout_of(now)[0])

    chosen = way(plain=plain, env=os.environ, stdin_tty=sys.stdin.isatty(), stdout_tty=sys.stdout.isatty())
    if chosen == "lines":
        from guide.show.hand_lines import follow

        return follow(hand, sys.stdin, sys.stdout, keeps, reckons, ends=ends)
    from guide.show.screen.by_hand import run

    code = run(hand, keeps, reckons, ends)
    talk(" ".join([*(told or ["Nothing was kept: the layout is as it was."]), *ended]))
    return code


def cloth_words(here: Opened, plan: Plan, layout: Layout) -> str:
    """Say what cloth a layout takes to buy for all makes, print by print, and what that costs."""
    from guide.plan.make import cut_out
    from guide.show.report_numbers import bought_text

    try:
        cut = cut_out(plan.project, here.language, [list(block.stack) for block in layout.blocks])
    except GuideError as cannot:
        return str(cannot).split("\n", maxsplit=1)[0]
    names = letters(plan.project)
    bought = [line for line in cut.shopping if line.item in names]
    costs = [Decimal(line.cost) for line in bought if line.cost]
    cost = f", {sum(costs)} {plan.project.currency}" if costs and len(costs) == len(bought) else ""
    told = "  ".join(f"{names[line.item]} {bought_text(line)}" for line in bought)
    return f"To buy{cost}: {told}" if bought else "All of it is on hand: nothing to buy."


def propose(here: Opened, kept: Collection[Cell], seed: int | None) -> tuple[Plan, "dict[Character, Layout]"]:
    """Lay a project in four characters, of the squares it is laid with anyway; `kept` blocks stay.

    Gives the plan they are proposals for, and each by its character. Raises CannotLay when there are too few squares.
    Raises WrongUse for a project without a panel.
    """
    from guide.plan.layout.characters import proposals

    stacks, _ = kept_layout(here)
    plan = planned_as(here, stacks)
    if plan.layout is None:
        raise WrongUse(_NO_PANEL)
    fixed = {(b.row, b.column): b.stack for b in plan.layout.blocks if (b.row, b.column) in kept}
    if stacks is not None or seed is not None:
        project = plan.project if seed is None else replace(plan.project, seed=seed)
        base = lay_front(project, fixed)
        within_stock(plan.project, base, None)
        plan = planned_as(here, [list(block.stack) for block in base.blocks])
        plan = replace(plan, layout=base)  # how it came out, and by which seed
    laid = plan.layout
    assert laid is not None
    return plan, proposals(plan.project, laid, lights_of(plan.project), fixed)


def show_proposals(here: Opened, plan: Plan, found: "dict[Character, Layout]", said: "Asked") -> None:
    """Print the proposals side by side, as JSON, or write them as a page for a customer."""
    from guide.plan.layout.characters import SAYS
    from guide.show.hand_lines import proposal_lines

    if said.as_json:
        click.echo(msgspec.json.encode(found).decode())
    elif said.to:
        _put_page(here, plan, [(name, SAYS[name], layout) for name, layout in found.items()], said.to)
    else:
        say("\n".join(proposal_lines(plan, found, columns())), own_colours(plan.project))


def _put_page(here: Opened, plan: Plan, named: list[tuple[str, str, Layout]], to: PageTo) -> None:
    """Write layouts as a page for a customer."""
    from guide.show.pages.price import render_layouts
    from guide.show.report import plan_report

    to.put(lambda fmt: render_layouts(plan_report(plan), named, fmt, folder=here.folder), here.folder / "layout")


class Asked(Struct, frozen=True):
    """How a layout is to change, as typed, and how it is shown."""

    project: str | None = argument(required=False)
    swap: tuple[str, ...] = option("Let two blocks change places.", "R,C:R,C")
    keep: tuple[str, ...] = option("Keep this block when laying again.", "R,C")
    again: bool = option("Lay again what is not kept.")
    seed: int | None = option("Another number, another layout.", type=click.IntRange(0, 10**9))
    sewn: tuple[str, ...] = option("Half way: this block is joined and stays.", "R,C")
    quilted: tuple[str, ...] = option("Half way: this block is quilted; it may move, whole.", "R,C")
    left: tuple[str, ...] = option("Half way: squares of a print that are left.", "PRINT=N")
    gone: tuple[str, ...] = option("Half way: none of this print can be cut again.", "PRINT")
    forget: bool = option("Put the kept layout away and lay as the project says.")
    before: bool = option("Bring back the layout that was kept before this one.")
    by_hand: bool = option("Lay it by hand, with both faces on the full screen.")
    plain: bool = option("With --by-hand: plain lines instead (also with ACCESSIBLE=1).")
    proposals: bool = option("Four proposals by character, side by side.")
    take: str = option("Keep this proposal.", type=click.Choice(["calm", "scattered", "diagonal", "framed"]))
    fringe: bool = option("The colours each seam will show once it frays.")
    as_json: bool = option("The layout as JSON.", None, "--json")
    to: PageTo = PAGES

    @property
    def half_way(self) -> bool:
        """Whether the rest of a panel is to be laid from what is left."""
        return bool(self.sewn or self.quilted or self.left or self.gone)

    @property
    def lays_again(self) -> bool:
        """Whether what is not kept is laid anew."""
        return self.again or self.seed is not None

    @property
    def changes(self) -> bool:
        """Whether anything but a seed changes the layout."""
        return bool(self.again or self.swap or self.keep or self.half_way or self.forget)

    @property
    def alone(self) -> int:
        """How many are asked that go alone."""
        return sum((self.before, self.by_hand, self.proposals, bool(self.take)))


@click.command(
    "layout",
    epilog="\b\nExamples:\n  guide layout sessions/window-seat-cushion\n  guide layout --swap 1,2:3,4\n"
    "  guide layout --by-hand\n  guide layout --proposals --page proposals.html\n  guide layout --take calm\n"
    "  guide layout --keep 2,1 --keep 2,2 --again --seed 7\n"
    '  guide layout --sewn 1,1 --sewn 1,2 --left "moss check=3" --left "oat stripe=5"',
)
@asks(Asked)
def command(said: Asked) -> int:
    """Show both faces of PROJECT, change the layout, and keep it in the project's folder.

    Rows are counted from the top, columns from the left of the front. What is changed is kept in layout.json
    beside the project; every command uses it from then on. A session under way keeps its own: give its journal to
    see it.
    """
    if said.project is not None and is_journal(said.project):
        return _of_session(Path(said.project), said)
    if said.changes + said.alone > 1 or (said.by_hand and said.seed is not None):
        raise WrongUse("--before, --by-hand, --proposals and --take go alone: leave out what else changes the layout.")
    here = opened(said.project)
    if said.proposals:
        show_proposals(here, *propose(here, kept_layout(here)[1], said.seed), said)
        return 0
    if said.before:
        bring_back(here)
    if said.take:
        kept = kept_layout(here)[1]
        _, found = propose(here, kept, said.seed)
        talk(keep_layout(here, next(layout for name, layout in found.items() if name == said.take), kept))
        said = replace(said, seed=None)  # it is in what was taken
    stacks, kept = (None, frozenset()) if said.forget else kept_layout(here)
    plan = planned_as(here, stacks)
    if plan.layout is None:
        raise WrongUse(_NO_PANEL)
    if said.by_hand:
        _note_session(here)
        return lay_by_hand(here, plan, kept, plain=said.plain)
    _changed(here, plan, plan.layout, kept, said)
    return 0


def _changed(here: Opened, plan: Plan, layout: Layout, kept: frozenset[Cell], said: Asked) -> None:
    """Change a project's layout as asked, keep it, and show it. Raises WrongUse for a block there is none of."""
    kept |= {_cell(text, layout) for text in said.keep}
    if said.lays_again:
        layout = _again(plan.project, layout, kept, said.seed)
    for pair in said.swap:
        layout = _swapped(pair, layout, panel_of(plan.project).faces)
    if said.half_way:
        layout = _half_way(layout, said, plan)
    within_stock(plan.project, layout, None, kept=not said.lays_again)
    if said.forget:
        forget_layout(here)
    elif said.changes or said.lays_again:
        talk(keep_layout(here, layout, kept))
    _note_session(here)
    plan = replace(plan, layout=layout)
    if said.to:
        _put_page(here, plan, [("both faces", "", layout)], said.to)
    else:
        _show(plan, kept, said)


def _note_session(here: Opened) -> None:
    """Say that a session under way keeps the layout it has, where there is one."""
    if (session := under_way(here.folder)) is not None:
        talk(
            f"A session is under way and keeps its own layout: guide layout {to_type(session)} shows it, "
            "and the key c changes it while you follow it."
        )


def _of_session(path: Path, asked: Asked) -> int:
    """Show the layout a session keeps. Raises WrongUse when it is to be changed: its journal is the record."""
    if asked.changes or asked.lays_again or asked.alone:
        raise WrongUse(
            f"{shown(path)} is a session, which keeps its own layout: change it with the key c while you follow it. "
            "For the next making, name the project's folder."
        )
    at = read_session(path)
    if at.plan.layout is None:
        raise WrongUse("This session has no panel laid.")
    _show(at.plan, frozenset(), asked)
    return at.exit_code


def _show(plan: Plan, kept: Collection[Cell], asked: Asked) -> None:
    if asked.as_json:
        click.echo(msgspec.json.encode(plan.layout).decode())
        return
    say("\n".join(layout_lines(plan, kept)), own_colours(plan.project))
    if asked.fringe:
        say("\n".join(fringe_lines(plan)))


def _cell(text: str, layout: Layout) -> Cell:
    """Read a block's place. Raises WrongUse for one that is not on the panel."""
    found, more = cells_in(text)
    cell = found[0] if len(found) == 1 and not more else (0, 0)
    if not (1 <= cell[0] <= layout.down and 1 <= cell[1] <= layout.across):
        raise WrongUse(
            f"{text!r} is no block: write row,column, rows 1 to {layout.down}, columns 1 to {layout.across}."
        )
    return cell


def _again(project: Project, layout: Layout, kept: Collection[Cell], seed: int | None) -> Layout:
    seeded = project if seed is None else replace(project, seed=seed)
    fixed = {(b.row, b.column): b.stack for b in layout.blocks if (b.row, b.column) in kept}
    return lay_front(seeded, fixed)


def _swapped(pair: str, layout: Layout, faces: int) -> Layout:
    """Read two blocks that change places, and change them. Raises WrongUse when they are not two."""
    first, colon, second = pair.partition(":")
    if not colon:
        raise WrongUse(f"--swap {pair}: write two blocks, like 1,2:3,4.")
    changed = swap(layout, _cell(first, layout), _cell(second, layout))
    return judged(changed, faces=faces, by_hand=True)


def _half_way(layout: Layout, said: Asked, plan: Plan) -> Layout:
    """Solve the rest of a panel from the squares that are left, and say what must be cut again.

    Raises WrongUse for a print that the project does not have, no number, or squares that cannot be cut.
    """
    project = plan.project
    names = {p.name for p in project.prints}
    counts: dict[str, int] = {}
    for text in said.left:
        name, _, number = text.rpartition("=")
        if name.strip() not in names or not number.strip().isdecimal():
            raise WrongUse(f"--left {text}: write a print of this project and a number, like moss check=3.")
        counts[name.strip()] = int(number)
    for name in said.gone:
        if name not in names:
            raise WrongUse(f"--gone {name}: this project has no such print; it has {', '.join(sorted(names))}.")
    cells = [{_cell(text, layout) for text in texts} for texts in (said.sewn, said.quilted)]
    taken = squares_needed(plan.layout, plan.backing, project.make)
    stock = stock_left(project, taken)
    found = rearrange(layout, cells[0], counts, finished=cells[1], gone=said.gone, stock=stock, faces=to_clear(project))
    if told := cannot_cut(project, found.cut_again, taken, said.gone):
        raise WrongUse(f"Nothing is laid again: that would take {told} in the project file.")
    tell = talk if said.as_json or said.to else say  # data stands alone
    tell("\n".join(rearranged_lines(found)))
    return found.layout


def rearranged_lines(found: Rearranged) -> list[str]:
    """Say what the rest asks of the cloth."""
    cut = ", ".join(f"{count} of {name}" for name, count in found.cut_again.items())
    out = [f"To cut again: {cut}." if cut else "Nothing must be cut again."]
    if spare := ", ".join(f"{count} of {name}" for name, count in found.spare.items()):
        out.append(f"Left over: {spare}.")
    out += [f"Block {a[0]},{a[1]} goes to {b[0]},{b[1]}." for a, b in found.moved]
    return [*out, ""]


def layout_lines(plan: Plan, kept: Collection[Cell]) -> list[str]:
    """Lay both faces out in letters, kept blocks marked, with what matches."""
    from guide.show.plan_lines import faces_lines
    from guide.show.report import plan_report

    layout = plan.layout
    assert layout is not None
    out = faces_lines(plan_report(plan))
    if plan.project.back != "none":
        out.append(said("The panel's lower face is inside the cushion, so prints may meet there.", plan.project.words))
    met = meetings(layout, panel_of(plan.project).faces)
    out.append(_heading(layout, plan, met=bool(met)))
    out += [f"  {m.print} at {m.first[0]},{m.first[1]} and {m.second[0]},{m.second[1]} ({m.face})" for m in met]
    if layout.outcome == "impossible":
        out.append(f"It cannot be helped: {layout.reason}")
    elif layout.outcome == "not found":
        out.append("No layout without it was found; another --seed, or one print more, may do better.")
    out += light_lines(plan, layout)
    if kept:
        out.append("kept: " + "  ".join(f"{row},{column}" for row, column in sorted(kept)))
    return out


def light_lines(plan: Plan, layout: Layout) -> list[str]:
    """Say how far neighbours on the front are told apart by light; nothing where no prints say their colours."""
    found = contrast(layout, lights_of(plan.project))
    if found is None:
        return []
    out = [
        f"Light against dark: neighbours on the front differ by {found.mean:.0f} L* on average (0 black, 100 white)."
    ]
    if found.near:
        places = ", ".join(f"{r},{c} and {s},{d}" for (r, c), (s, d) in found.near[:4])
        more = ", …" if len(found.near) > 4 else ""
        out.append(f"By less than {NEAR:.0f}, so that they read as one from afar: {places}{more}")
    return out


def _heading(layout: Layout, plan: Plan, *, met: bool) -> str:
    one = plan.project.back != "none"  # only the front of a cushion's panel shows
    if not met:
        return f"No two alike meet on {'the front' if one else 'either face'}."
    where = f"n {'the front' if one else 'a face'}"
    return f"As laid, alike meet o{where}:" if layout.outcome == "as laid" else f"O{where}, alike meet:"


def fringe_lines(plan: Plan) -> list[str]:
    """Say which colours each seam will show, most first."""
    assert plan.layout is not None
    named = letters(plan.project)
    reverses = {p.name: p.reverse for p in plan.project.prints if p.reverse}
    out = ["", "Fringe, most first"]
    for seam in fringe(plan.layout, reverses):
        shows = "  ".join(f"{named.get(name, name)} {count}" for name, count in seam.shows)
        out.append(f"  {seam.first[0]},{seam.first[1]} to {seam.second[0]},{seam.second[1]}   {shows}")
    return out
