"""Blocks that are made once more: the steps a spoilt one goes through again, before it is joined."""

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from guide.plan.model import Plan, Step

_UNPICK_S = 240.0  # a block's seams, a stitch at a time: an estimate from memory, as starter paces are
_CUT_S = 60.0  # a square from what is left of its cloth
_JOINING = "join"


def with_again(plan: Plan, again: Sequence[Mapping[str, Any]]) -> Plan:
    """The plan with the steps that are done once more, before blocks are joined; each is timed and counted as its own.

    again: `block`, the `steps` it goes through by their keys, what is `cut` by print, whether it is to `unpick`.
    """
    fresh = [step for n, one in enumerate(again, 1) for step in _steps(plan, n, one)]
    if not fresh:
        return plan
    at = next((i for i, step in enumerate(plan.steps) if step.stage == _JOINING), len(plan.steps))
    return replace(plan, steps=(*plan.steps[:at], *fresh, *plan.steps[at:]))


def _steps(plan: Plan, n: int, again: Mapping[str, Any]) -> list[Step]:
    """What is done again for one block, each step one piece."""
    named = {step.key: step for step in plan.steps}
    one = next((named[key] for key in again.get("steps", ()) if key in named), plan.steps[0])
    block, out = again["block"], []
    if again.get("unpick"):
        do = "Its seams, a stitch at a time, from both sides; then every bit of thread off."
        first = _own(one, f"quilt/unpick:again {n}", f"Unpick block {block}", "table", _UNPICK_S)
        out.append(replace(first, texts={"do": do}, tools=("unpicker",), cautions=("unpicker", "eyes")))
    for name, count in again.get("cut", {}).items():
        title = f"Cut again for block {block}: {count} of {name}"
        cut = _own(one, f"cut/again:{name} {n}", title, "table", _CUT_S * count)
        shows = (("square", "square"),)
        out.append(replace(cut, texts={"do": "Along the grain, tops the same way."}, shows=shows, cautions=("blade",)))
    for key in again.get("steps", ()):
        if key in named:
            step = named[key]
            title = f"Block {block} again: {step.title[:1].lower()}{step.title[1:]}"
            out.append(replace(step, key=f"{key}:again {n}", title=title, pieces=1, together=None, count="none"))
    return out


def _own(like: Step, key: str, title: str, station: str, pace_s: float) -> Step:
    return Step(
        key=key,
        stage=key.partition("/")[0],
        stage_title=like.stage_title,
        id=key.partition("/")[2],
        title=title,
        pieces=1,
        piece="block",
        count="none",
        station=station,
        pace_s=pace_s,
        beginner_factor=2.0,
        effort=None,
        effort_noun="",
        place=like.place,
    )
