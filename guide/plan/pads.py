"""The pad a cover is filled with: the nearest that is sold, and how it will sit."""

from collections.abc import Mapping
from typing import Any

import msgspec

from guide.plan.model import Quantity, number
from guide.read.lengths import INCH, Units, show_length
from guide.read.model import Project
from guide.read.spoken import said

# A pad as large as the washed face fills it softly, one an inch larger each way fills it well [practice].
MOST_OVER_MM = {"inch": INCH, "metric": 25.0}


class Pad(msgspec.Struct, frozen=True):
    """A pad as it is sold, laid the way it fits, and by how much it is larger than the washed face (mm; − smaller)."""

    name: str
    over_width: float
    over_height: float
    units: Units

    @property
    def off(self) -> float:
        """How far outside what sits right, both ways together, mm."""
        most = MOST_OVER_MM[self.units]
        return sum(max(-over, over - most, 0.0) for over in (self.over_width, self.over_height))

    def says(self, words: str) -> str:
        """Say the pad and how it will sit."""
        ways = ((self.over_width, "across"), (self.over_height, "down"))
        most = MOST_OVER_MM[self.units]
        right = f"0 to {show_length(most, self.units)} larger than the washed face sits right (common practice)"
        sides = ", ".join(f"{self._side(over)} {way}" for over, way in ways)
        if self.off < 0.5:
            sits = f"sits right: {sides}"
        elif any(over < -0.5 for over, _ in ways) and all(over <= most + 0.5 for over, _ in ways):
            sits = f"sits slack: {sides}; {right}"
        elif all(over >= -0.5 for over, _ in ways):
            sits = f"sits tight: {sides}; {right}"
        else:
            sits = f"sits tight one way and slack the other: {sides}; {right}"
        return said(f"{self.name.replace(' x ', ' × ')}, {sits}", words)

    def _side(self, over: float) -> str:
        text = show_length(abs(over), self.units)
        return f"{text} {'larger' if over >= 0 else 'smaller'}"


def nearest(project: Project, quantities: Mapping[str, Quantity], pads: Mapping[str, Mapping[str, Any]]) -> Pad | None:
    """Find the pad that sits best in the washed cover, of those sold in the project's units; None without a cover."""
    wide, high = (number(quantities, name) for name in ("washed_width", "washed_height"))
    if project.back == "none" or wide is None or high is None:
        return None
    tried = [
        Pad(name, first - wide, second - high, project.units)
        for name, pad in pads.items()
        if pad.get("units", project.units) == project.units
        for first, second in ((pad["width"], pad["height"]), (pad["height"], pad["width"]))
    ]
    half = MOST_OVER_MM[project.units] / 2
    return min(tried, key=lambda p: (p.off, abs(p.over_width - half) + abs(p.over_height - half)), default=None)
