"""What past makings measured, as pairs of before and after, and what the next project may take from them."""

from collections.abc import Iterable

from guide.commands.times import Past
from guide.plan.graph import MADE_SMALLER
from guide.plan.learnt import Learnt, Made, Pair, differs, drawn_pair, learn_draw_in, learn_shrinkage, percent
from guide.plan.model import Plan
from guide.read.model import Project

SIDES = ("width", "height")


def hint(one: Learnt) -> str:
    """What was seen, and what to write."""
    return f"As made: {one.says}. The project says {percent(one.given)}; to reckon with it write {one.write}"


def learnt_for(past: Iterable[Past], plan: Plan) -> tuple[Learnt, ...]:
    """What real sessions quilted alike (draw-in) and of the same prints (shrinkage) say unlike the project.

    A cover of cloth that was washed before it was cut tells nothing of what the cloth shrinks.
    """
    quilted: list[Made] = []
    washed: list[Made] = []
    for one in past:
        if one.plan is None or (one.record.header.mode or "real") != "real":
            continue
        made = _made(one, one.plan)
        if _quilted_alike(one.plan.project, plan.project):
            quilted += made
        if not one.plan.project.washed_first and _same_prints(one.plan.project, plan.project):
            washed += made
    given = [float(plan.project.given[name].value or 0) for name in ("draw_in", "shrink_width", "shrink_length")]
    draw_in = learn_draw_in(quilted, given[0])
    found = (*((draw_in,) if draw_in else ()), *learn_shrinkage(washed, given[1], given[2]))
    return tuple(one for one in found if differs(one))


def _same_prints(one: Project, other: Project) -> bool:
    return {cloth.name for cloth in one.prints} == {cloth.name for cloth in other.prints}


def _quilted_alike(one: Project, other: Project) -> bool:
    return (one.quilting, one.wadding) == (other.quilting, other.wadding)


def _made(past: Past, plan: Plan) -> list[Made]:
    """Each make of a session that was measured at all."""
    out = []
    for make in range(1, plan.project.make + 1):
        measured = past.record.measured(make)
        drawn = {side: pair for side in SIDES if (pair := _drawn(plan, measured, side))}
        washed = [_washed(plan, measured, side, drawn.get(side)) for side in SIDES]
        if drawn or any(washed):
            out.append(Made(tuple(drawn.values()), *washed))
    return out


def _drawn(plan: Plan, measured: dict[str, float], side: str) -> Pair | None:
    name = f"panel_{side}"
    undrawn, seam = _undrawn(plan, side), plan.number("seam") or 0.0
    if name not in measured or undrawn <= 0:
        return None
    return drawn_pair(undrawn + 2 * seam, measured[name], seam)


def _washed(plan: Plan, measured: dict[str, float], side: str, drawn: Pair | None) -> Pair | None:
    """The face before washing is the measured one; where the panel was not measured, as it was planned."""
    name = f"washed_{side}"
    if name not in measured:
        return None
    before = drawn.after if drawn else _undrawn(plan, side) * (1 - (plan.number("draw_in") or 0.0))
    return Pair(before, measured[name]) if before > 0 else None


def _undrawn(plan: Plan, side: str) -> float:
    """The face as planned without draw-in; older journals' texts take none off it."""
    kept = 1 - (plan.number("draw_in") or 0.0) if MADE_SMALLER in plan.quantities else 1.0
    return (plan.number(f"face_{side}") or 0.0) / kept
