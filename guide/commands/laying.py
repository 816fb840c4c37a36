"""Laying by hand from the command line: the screen or the lines, what is kept, and what cloth that takes."""

import os
import sys
from collections.abc import Collection
from decimal import Decimal
from typing import TYPE_CHECKING

import click
import msgspec

from guide.commands.common import PageTo, columns, say, talk
from guide.commands.sessions import kept_layout, planned_as
from guide.errors import GuideError, WrongUse
from guide.plan.layout.faces import Cell
from guide.plan.layout.kept import layout_to_dict
from guide.plan.layout.panels import lay_front, within_stock
from guide.plan.model import Layout, Plan
from guide.read.places import BEFORE_FILE, LAYOUT_FILE, Opened, read_text, shown

if TYPE_CHECKING:
    from guide.plan.layout.characters import Character


def keep_layout(here: Opened, layout: Layout, kept: Collection[Cell]) -> str:
    """Write the layout the plan is to use, what stood there set aside first; say where. Raises CannotWrite."""
    from guide.show.pages.write import write_whole

    path = here.folder / LAYOUT_FILE
    text = msgspec.json.format(msgspec.json.encode(layout_to_dict(layout, kept)), indent=1).decode() + "\n"
    if path.is_file() and (before := read_text(path)) != text:
        write_whole(here.folder / BEFORE_FILE, before)
    write_whole(path, text)
    return f"Kept in {shown(path)}."


def bring_back(here: Opened) -> None:
    """Let the layout kept now and the one kept before it change places.

    Raises WrongUse when there is none, NeedsMending when it does not fit the project: nothing is changed then.
    """
    from guide.show.pages.write import put_away, write_whole

    path, before = here.folder / LAYOUT_FILE, here.folder / BEFORE_FILE
    if not before.is_file():
        raise WrongUse(f"No layout was kept before: there is no {shown(before)}.")
    kept_layout(here, BEFORE_FILE)
    text, now = read_text(before), read_text(path) if path.is_file() else None
    write_whole(path, text)
    if now is None:
        put_away(before, path)
    else:
        write_whole(before, now)
    talk("The layout kept before is used again" + ("." if now is None else "; --before changes them back."))


def lay_by_hand(here: Opened, plan: Plan, kept: frozenset[Cell], *, plain: bool) -> int:
    """Lay a project's panel by hand; the plan uses what is kept. Gives the exit code."""
    from guide.commands.follow import way
    from guide.follow.by_hand import ByHand, begun, layout_of

    assert plan.layout is not None
    hand = begun(plan.project, plan.layout, kept)

    def keeps(now: ByHand) -> str:
        layout, stays = layout_of(now)
        within_stock(plan.project, layout, None, kept=True)
        return keep_layout(here, layout, stays)

    def reckons(now: ByHand) -> str:
        return cloth_words(here, plan, layout_of(now)[0])

    chosen = way(plain=plain, env=os.environ, stdin_tty=sys.stdin.isatty(), stdout_tty=sys.stdout.isatty())
    if chosen == "lines":
        from guide.show.hand_lines import follow

        return follow(hand, sys.stdin, sys.stdout, keeps, reckons)
    from guide.show.screen.by_hand import run

    code = run(hand, keeps, reckons)
    if code:
        talk("Left; what was changed since it was kept last is not kept.")
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
    """
    from guide.plan.layout.characters import proposals
    from guide.plan.layout.light import lights_of

    stacks, _ = kept_layout(here)
    plan = planned_as(here, stacks)
    if plan.layout is None:
        raise WrongUse("This project has no panel to lay: write its grid and square first.")
    fixed = {(b.row, b.column): b.stack for b in plan.layout.blocks if (b.row, b.column) in kept}
    if stacks is not None or seed is not None:
        project = plan.project if seed is None else msgspec.structs.replace(plan.project, seed=seed)
        base = lay_front(project, fixed)
        within_stock(plan.project, base, None)
        plan = planned_as(here, [list(block.stack) for block in base.blocks])
        plan = msgspec.structs.replace(plan, layout=base)  # how it came out, and by which seed
    assert plan.layout is not None
    return plan, proposals(plan.project, plan.layout, lights_of(plan.project), fixed)


def show_proposals(plan: Plan, found: "dict[Character, Layout]", to: PageTo, *, as_json: bool) -> None:
    """Print the proposals side by side, as JSON, or write them as a page for a customer."""
    from guide.plan.layout.characters import SAYS
    from guide.show.report import plan_report

    if as_json:
        click.echo(msgspec.json.encode(found).decode())
    elif to:
        from guide.show.pages.price import render_layouts

        named = [(name, SAYS[name], layout) for name, layout in found.items()]
        to.put(lambda fmt: render_layouts(plan_report(plan), named, fmt))
    else:
        from guide.show.hand_lines import proposal_lines

        say("\n".join(proposal_lines(plan, found, columns())), own_colours_of(plan))


def show_page(plan: Plan, to: PageTo) -> None:
    """Write the layout as it is as a page for a customer."""
    from guide.show.pages.price import render_layouts
    from guide.show.report import plan_report

    assert plan.layout is not None
    layout = plan.layout
    to.put(lambda fmt: render_layouts(plan_report(plan), [("both faces", "", layout)], fmt))


def own_colours_of(plan: Plan) -> dict[str, str]:
    """The colours a plan's prints say, by letter."""
    from guide.show.table import own_colours

    return own_colours(plan.project)
