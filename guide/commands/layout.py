"""`guide layout`: which print goes where."""

import os
import sys
from collections.abc import Collection
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import click
import msgspec

from guide.commands.common import PageTo, columns, opened, page_options, say, talk
from guide.commands.layouts import as_text, bring_back, fits_no_more, forget_layout, keep_layout, unkept
from guide.commands.sessions import kept_layout, planned_as, read_session, under_way
from guide.errors import GuideError, WrongUse
from guide.plan.layout.faces import (
    Cell,
    cells_in,
    fringe,
    judged,
    meetings,
    panel_of,
    swap,
)
from guide.plan.layout.panels import (
    Rearranged,
    lay_front,
    rearrange,
    squares_needed,
    stock_left,
    to_clear,
    within_stock,
)
from guide.plan.model import Layout, Plan
from guide.plan.parts import letters
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
    from guide.plan.parts import letters
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
    from guide.plan.layout.faces import lights_of

    stacks, _ = kept_layout(here)
    plan = planned_as(here, stacks)
    if plan.layout is None:
        raise WrongUse(_NO_PANEL)
    fixed = {(b.row, b.column): b.stack for b in plan.layout.blocks if (b.row, b.column) in kept}
    if stacks is not None or seed is not None:
        project = plan.project if seed is None else msgspec.structs.replace(plan.project, seed=seed)
        base = lay_front(project, fixed)
        within_stock(plan.project, base, None)
        plan = planned_as(here, [list(block.stack) for block in base.blocks])
        plan = msgspec.structs.replace(plan, layout=base)  # how it came out, and by which seed
    laid = plan.layout
    assert laid is not None
    return plan, proposals(plan.project, laid, lights_of(plan.project), fixed)


def show_proposals(here: Opened, plan: Plan, found: "dict[Character, Layout]", to: PageTo, *, as_json: bool) -> None:
    """Print the proposals side by side, as JSON, or write them as a page for a customer."""
    from guide.plan.layout.characters import SAYS
    from guide.show.report import plan_report

    if as_json:
        click.echo(msgspec.json.encode(found).decode())
    elif to:
        from guide.show.pages.price import render_layouts

        named = [(name, SAYS[name], layout) for name, layout in found.items()]
        to.put(lambda fmt: render_layouts(plan_report(plan), named, fmt, folder=here.folder), here.folder / "layout")
    else:
        from guide.show.hand_lines import proposal_lines

        say("\n".join(proposal_lines(plan, found, columns())), own_colours_of(plan))


def show_page(here: Opened, plan: Plan, to: PageTo) -> None:
    """Write the layout as it is as a page for a customer."""
    from guide.show.pages.price import render_layouts
    from guide.show.report import plan_report

    layout = plan.layout
    assert layout is not None
    one = [("both faces", "", layout)]
    to.put(lambda fmt: render_layouts(plan_report(plan), one, fmt, folder=here.folder), here.folder / "layout")


def own_colours_of(plan: Plan) -> dict[str, str]:
    """The colours a plan's prints say, by letter."""
    from guide.plan.parts import own_colours

    return own_colours(plan.project)


@click.command(
    "layout",
    epilog="\b\nExamples:\n  guide layout sessions/window-seat-cushion\n  guide layout --swap 1,2:3,4\n"
    "  guide layout --by-hand\n  guide layout --proposals --page proposals.html\n  guide layout --take calm\n"
    "  guide layout --keep 2,1 --keep 2,2 --again --seed 7\n"
    '  guide layout --sewn 1,1 --sewn 1,2 --left "moss check=3" --left "oat stripe=5"',
)
@click.argument("project", required=False)
@click.option("--swap", "swaps", multiple=True, metavar="R,C:R,C", help="Let two blocks change places.")
@click.option("--keep", "keeps", multiple=True, metavar="R,C", help="Keep this block when laying again.")
@click.option("--again", is_flag=True, help="Lay again what is not kept.")
@click.option("--seed", type=click.IntRange(0, 10**9), help="Another number, another layout.")
@click.option("--sewn", multiple=True, metavar="R,C", help="Half way: this block is joined and stays.")
@click.option("--quilted", multiple=True, metavar="R,C", help="Half way: this block is quilted; it may move, whole.")
@click.option("--left", multiple=True, metavar="PRINT=N", help="Half way: squares of a print that are left.")
@click.option("--gone", multiple=True, metavar="PRINT", help="Half way: none of this print can be cut again.")
@click.option("--forget", is_flag=True, help="Put the kept layout away and lay as the project says.")
@click.option("--before", is_flag=True, help="Bring back the layout that was kept before this one.")
@click.option("--by-hand", is_flag=True, help="Lay it by hand, with both faces on the full screen.")
@click.option("--plain", is_flag=True, help="With --by-hand: plain lines instead (also with ACCESSIBLE=1).")
@click.option("--proposals", is_flag=True, help="Four proposals by character, side by side.")
@click.option("--take", type=click.Choice(["calm", "scattered", "diagonal", "framed"]), help="Keep this proposal.")
@click.option("--fringe", "with_fringe", is_flag=True, help="The colours each seam will show once it frays.")
@click.option("--json", "as_json", is_flag=True, help="The layout as JSON.")
@page_options
def command(
    project: str | None,
    *,
    swaps: tuple[str, ...],
    keeps: tuple[str, ...],
    again: bool,
    seed: int | None,
    sewn: tuple[str, ...],
    quilted: tuple[str, ...],
    left: tuple[str, ...],
    gone: tuple[str, ...],
    forget: bool,
    before: bool,
    by_hand: bool,
    plain: bool,
    proposals: bool,
    take: str | None,
    to: PageTo,
    with_fringe: bool,
    as_json: bool,
) -> int:
    """Show both faces of PROJECT, change the layout, and keep it in the project's folder.

    Rows are counted from the top, columns from the left of the front. What is changed is kept in layout.json
    beside the project; every command uses it from then on. A session under way keeps its own: give its journal to
    see it.
    """
    change = _Change(swaps, keeps, _HalfWay(sewn, quilted, left, gone), seed, again=again, forget=forget)
    looks = _Looks(to, with_fringe, as_json)
    alone = (before, by_hand, proposals, take is not None)
    if project is not None and Path(project).is_file() and not project.endswith((".yaml", ".yml")):
        return _of_session(Path(project), looks, changed=bool(change) or any(alone))
    if sum((bool(msgspec.structs.replace(change, seed=None)), *alone)) > 1 or (by_hand and seed is not None):
        raise WrongUse("--before, --by-hand, --proposals and --take go alone: leave out what else changes the layout.")
    here = opened(project)
    if proposals:
        show_proposals(here, *propose(here, kept_layout(here)[1], seed), to, as_json=as_json)
        return 0
    if before:
        bring_back(here)
    if take:
        _take(here, take, seed)
        change = msgspec.structs.replace(change, seed=None)  # it is in what was taken
    stacks, kept = (None, frozenset()) if forget else kept_layout(here)
    plan = planned_as(here, stacks)
    if plan.layout is None:
        raise WrongUse(_NO_PANEL)
    if by_hand:
        _note_session(here)
        return lay_by_hand(here, plan, kept, plain=plain)
    _changed(here, plan, change, kept, looks)
    return 0


class _HalfWay(msgspec.Struct, frozen=True):
    """What a maker says half way: blocks joined, blocks quilted, squares left, prints that are gone."""

    sewn: tuple[str, ...]
    quilted: tuple[str, ...]
    left: tuple[str, ...]
    gone: tuple[str, ...]

    def __bool__(self) -> bool:
        return bool(self.sewn or self.quilted or self.left or self.gone)


class _Change(msgspec.Struct, frozen=True):
    """How a layout is to change, as typed."""

    swaps: tuple[str, ...]
    keeps: tuple[str, ...]
    half_way: _HalfWay
    seed: int | None
    again: bool
    forget: bool

    def __bool__(self) -> bool:
        return bool(self.lays_again or self.swaps or self.keeps or self.half_way or self.forget)

    @property
    def lays_again(self) -> bool:
        """Whether what is not kept is laid anew."""
        return self.again or self.seed is not None


class _Looks(msgspec.Struct, frozen=True):
    """How a layout is shown: as a page, with what each seam will show, as JSON."""

    to: PageTo
    with_fringe: bool
    as_json: bool


def _take(here: Opened, take: str, seed: int | None) -> None:
    """Keep the proposal of that name as the project's layout."""
    kept = kept_layout(here)[1]
    _, found = propose(here, kept, seed)
    talk(keep_layout(here, next(layout for name, layout in found.items() if name == take), kept))


def _changed(here: Opened, plan: Plan, change: _Change, kept: frozenset[Cell], looks: _Looks) -> None:
    """Change a project's layout as asked, keep it, and show it. Raises WrongUse for a block there is none of."""
    layout = plan.layout
    assert layout is not None
    kept |= {_cell(text, layout) for text in change.keeps}
    if change.lays_again:
        layout = _again(plan.project, layout, kept, change.seed)
    for pair in change.swaps:
        layout = _swapped(pair, layout, panel_of(plan.project).faces)
    if change.half_way:
        layout = _half_way(layout, change.half_way, plan)
    within_stock(plan.project, layout, None, kept=not change.lays_again)
    if change.forget:
        forget_layout(here)
    elif change:
        talk(keep_layout(here, layout, kept))
    _note_session(here)
    plan = msgspec.structs.replace(plan, layout=layout)
    if looks.to:
        show_page(here, plan, looks.to)
    else:
        _show(plan, kept, looks)


def _note_session(here: Opened) -> None:
    """Say that a session under way keeps the layout it has, where there is one."""
    if (session := under_way(here.folder)) is not None:
        talk(
            f"A session is under way and keeps its own layout: guide layout {to_type(session)} shows it, "
            "and the key c changes it while you follow it."
        )


def _of_session(path: Path, looks: _Looks, *, changed: bool) -> int:
    """Show the layout a session keeps. Raises WrongUse when it is to be changed: its journal is the record."""
    if changed:
        raise WrongUse(
            f"{shown(path)} is a session, which keeps its own layout: change it with the key c while you follow it. "
            "For the next making, name the project's folder."
        )
    at = read_session(path)
    if at.plan.layout is None:
        raise WrongUse("This session has no panel laid.")
    _show(at.plan, frozenset(), looks)
    return at.exit_code


def _show(plan: Plan, kept: Collection[Cell], looks: _Looks) -> None:
    if looks.as_json:
        click.echo(msgspec.json.encode(plan.layout).decode())
        return
    say("\n".join(layout_lines(plan, kept)), own_colours_of(plan))
    if looks.with_fringe:
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
    seeded = project if seed is None else msgspec.structs.replace(project, seed=seed)
    fixed = {(b.row, b.column): b.stack for b in layout.blocks if (b.row, b.column) in kept}
    return lay_front(seeded, fixed)


def _swapped(pair: str, layout: Layout, faces: int) -> Layout:
    """Read two blocks that change places, and change them. Raises WrongUse when they are not two."""
    first, colon, second = pair.partition(":")
    if not colon:
        raise WrongUse(f"--swap {pair}: write two blocks, like 1,2:3,4.")
    changed = swap(layout, _cell(first, layout), _cell(second, layout))
    return judged(changed, faces=faces, by_hand=True)


def _half_way(layout: Layout, said: _HalfWay, plan: Plan) -> Layout:
    """Solve the rest of a panel from the squares that are left, and say what must be cut again.

    Raises WrongUse for a print that the project does not have, or no number.
    """
    project = plan.project
    names = {p.name for p in project.prints}
    counts: dict[str, int] = {}
    for text in said.left:
        name, _, number = text.rpartition("=")
        if name.strip() not in names or not number.strip().isdigit():
            raise WrongUse(f"--left {text}: write a print of this project and a number, like moss check=3.")
        counts[name.strip()] = int(number)
    for name in said.gone:
        if name not in names:
            raise WrongUse(f"--gone {name}: this project has no such print; it has {', '.join(sorted(names))}.")
    cells = [{_cell(text, layout) for text in texts} for texts in (said.sewn, said.quilted)]
    stock = stock_left(project, squares_needed(plan.layout, plan.backing, project.make))
    found = rearrange(layout, cells[0], counts, finished=cells[1], gone=said.gone, stock=stock, faces=to_clear(project))
    say("\n".join(rearranged_lines(found)))
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
    from guide.plan.layout.faces import NEAR, contrast, lights_of

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
