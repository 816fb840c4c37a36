"""One line of the bench: two things measured in turn, and the ratio they must keep."""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """`measure` gives (ours, the other's); the row holds when the first is within the goal of the second."""

    name: str
    compared_with: str
    goal: str
    measure: Callable[[], tuple[float, float]]
