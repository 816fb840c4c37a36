"""Invented projects drawn at random: every kind, closure and unit, stock and limits, and figures that do not divide."""

import os
from fractions import Fraction as F
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st

from guide.read.project_keys import WHOM

FULL = bool(os.environ.get("FRAYWORK_FULL"))
MM = F(254, 10)
CLOSURES = ("zip across", "zip down", "envelope", "throw")
NAMES = ("leaf", "dot", "check", "stripe", "plum")
many = settings(max_examples=2000 if FULL else 40)
fewer = settings(max_examples=200 if FULL else 3)  # each goes through every command


@st.composite
def projects(draw: st.DrawFn) -> dict[str, Any]:
    """A project file as data. Most can be made; those that cannot are refused in words, never wrong."""
    metric = draw(st.booleans())

    def length(inches: F | int) -> str:
        return f"{round(float(inches * MM))} mm" if metric else f"{float(F(inches)):.10g} in"

    def sixteenths(least: int, most: int) -> F:
        return F(draw(st.integers(least, most)), 16)

    closure = draw(st.sampled_from(CLOSURES))
    seam = sixteenths(4, 12)
    square = 8 * seam + sixteenths(2, 64)  # a hand still gets in, even on one block
    across = draw(st.integers(2 if closure == "zip down" else 1, 6))
    down = draw(st.integers(2 if closure == "zip across" else 1, 6))
    data: dict[str, Any] = {
        "project": "An invented article",
        "kind": "throw" if closure == "throw" else "cushion",
        "for": draw(st.sampled_from(WHOM)),
        "make": draw(st.integers(1, 3)),
        "units": "metric" if metric else "inch",
        "words": draw(st.sampled_from(("british", "american"))),
        "stacks": draw(st.sampled_from(("free", "free", "rotate"))),
        "seed": draw(st.integers(0, 3)),
        "grid": {"across": across, "down": down},
        "square": length(square),
        "seam": length(seam),
        "layers": {"above": draw(st.integers(1, 3)), "below": draw(st.integers(1, 2))},
        "wadding": draw(st.sampled_from(("none", {"gap": length(seam + F(1, 16)), "price": "11.07 / yd"}))),
        "draw_in": f"{draw(st.integers(0, 16)) / 2:g} %",
        "washed_first": draw(st.booleans()),
        "quilting": draw(st.sampled_from(("cross", "plus", "none"))),
        "hold_with": draw(st.sampled_from(("spray", "pins"))),
        "back": "none" if closure == "throw" else draw(st.sampled_from(("patchwork", {"plain": NAMES[0]}))),
        "closure": draw(closures(closure, (across, down), seam, length)),
        "snips": {"every": length(sixteenths(4, 24)), "at_crossing": draw(st.integers(0, 3))},
        "prints": draw(prints(length)),
        "thread": {"metres_per_spool": draw(st.sampled_from((50, 100, 250))), "price": 2.93},
        "extras": [{"name": "label tape", "each": "project", "count": draw(st.integers(1, 3)), "price": 0.37}],
        "labour": {"rate": f"{draw(st.integers(0, 3000)) / 100:.2f} / hour", "allowance": "7 %"},
        "sell": {"margin": "31 %", "overhead": "1.13 / hour", "fee": "3 %", "fee_each": 0.11, "packing": 1.27,
                 "tax": f"{draw(st.sampled_from((0, 19)))} %"},
    }  # fmt: skip
    return data


@st.composite
def closures(draw: st.DrawFn, closure: str, grid: tuple[int, int], seam: F, length: Any) -> Any:
    """A closure's own keys, so that a hand still gets in."""
    if closure == "throw":
        return "none"
    priced = draw(st.sampled_from(({}, {"price": 3.19})))
    if closure == "envelope":
        double = draw(st.booleans())
        return {"type": "envelope", "overlap": length(2 * seam), "hem": length(F(3, 4)), "double_hem": double} | priced
    key, most = ("after_row", grid[1]) if closure == "zip across" else ("after_column", grid[0])
    return {"type": "zip", key: draw(st.integers(1, most - 1)), "end_gap": length(seam + F(1, 8))} | priced


@st.composite
def prints(draw: st.DrawFn, length: Any) -> list[dict[str, Any]]:
    """Two to five prints; of the first there is as much as is wanted, of the others what is allowed or lies there."""
    out: list[dict[str, Any]] = []
    for name in NAMES[: draw(st.integers(2, 5))]:
        shrinks = {way: f"{draw(st.integers(0, 9)) / 2:g} %" for way in ("length", "width")}
        one: dict[str, Any] = {"name": name, "shrinks": shrinks, "one_way": draw(st.booleans())}
        stock = draw(st.sampled_from(("bought", "bought", "limited", "lies there"))) if out else "bought"
        if stock == "limited":
            one["at_most"] = draw(st.integers(0, 120))
        if stock == "lies there" or draw(st.integers(0, 3)) == 0:
            pieces = [{"width": length(draw(st.integers(8, 24))), "length": length(draw(st.integers(8, 40)))}]
            one["on_hand"] = [*pieces, {"squares": draw(st.integers(1, 30))}]
        if stock != "lies there":
            one |= {"width": length(draw(st.integers(36, 60)))}
        if draw(st.booleans()):
            one["price"] = f"{draw(st.integers(1, 1999)) / 100:.2f} / {draw(st.sampled_from(('yd', 'm', 'cm')))}"
        out.append(one)
    return out
