"""What one step says of itself, for the drawings that stand beside it."""

import re
from collections.abc import Sequence

import msgspec

from guide.read.spoken import said
from guide.show.model import Report
from guide.show.model_plan import StepReport
from guide.show.pictures.cloth import Look
from guide.show.report_numbers import number as number_of
from guide.show.report_numbers import words


class Told(msgspec.Struct, frozen=True):
    """What one step says: a picture takes its sizes and words from here, so that it shows none of another step."""

    report: Report
    step: StepReport
    said: str
    looks: dict[str, Look]
    rows: Sequence[Sequence[str]]  # the front's prints, row by row
    behind: Sequence[Sequence[str]]  # the prints of each block's last square, as they lie under the front
    stack: tuple[Look, ...]  # of the first block, front face first
    backs: Sequence[Sequence[str]]  # the back's prints as it is seen; one print where it is plain

    def mm(self, name: str, usual: float = 0.0) -> float:
        """A number of the plan; `usual` where it does not apply."""
        value = number_of(self.report, name)
        return usual if value is None else value

    def option(self, name: str) -> str:
        """A text of the plan, such as what a stack is held with; "" where there is none."""
        return words(self.report, name)

    def size(self, name: str) -> str:
        """A number as it is written, if this step shows it or says it; else ""."""
        text = words(self.report, name)
        alone = rf"(?<![\d/.½¼¾])(?<!\d ){re.escape(plain(text))}(?![\d/])"
        return text if text and re.search(alone, self.said) else ""

    def shown(self, name: str) -> str:
        """A number with the label that it stands under beside this step; bare where the step only says it."""
        found = next((one for one in self.step.shows if one.name == name), None)
        return self.size(name) if found is None else f"{found.text} {found.label}"

    def says(self, *phrases: str) -> str:
        """The first of our phrases that this step says, in the project's words; else ""."""
        told = (said(one, self.report.project.words) for one in phrases)
        return next((one for one in told if one in self.said), "")

    def front(self, place: int = 0) -> Look:
        """The print of a block's front."""
        row = self.rows[0] if len(self.rows[0]) > 1 else [one[0] for one in self.rows]
        return self.looks[row[place % len(row)]]

    def back(self, place: int = 0) -> Look:
        """The print of a square of the back."""
        return self.looks[self.backs[0][place % len(self.backs[0])]]


def plain(text: str) -> str:
    """A text without its spaces that do not break."""
    return text.replace("\u00a0", " ")


def said_of(step: StepReport) -> str:
    """All that a step says: its title, its texts, its sizes with their labels."""
    shown = (f"{one.label} {one.text} {one.label}" for one in step.shows)
    return plain(" | ".join((step.title, *step.texts.values(), *shown)))
