"""Which drawings go with a step on the page beside the machine? The faces it looks at, what is in hand lit; its own."""

import re
from collections.abc import Callable
from functools import partial
from hashlib import blake2b
from html import unescape

import msgspec
from msgspec.structs import replace

from guide.plan.model import Plan, Step
from guide.read.spoken import said
from guide.show.cutting_lines import face_rows, mirrored
from guide.show.model import Report
from guide.show.pages.illustrate import face_words, looks_of, zip_place
from guide.show.pages.step_art import frames_of, teller
from guide.show.pictures.faces import Rows, Seen, face
from guide.show.pictures.frames import alone
from guide.show.report import report
from guide.show.report_numbers import number, words
from guide.show.scene import Scene
from guide.show.screen.place import views_of
from guide.show.screen.sketch import Panel
from guide.show.words import render_step

MOST = 400  # patches of a face that is drawn: more are no help on a phone, the place is told in words
KEPT = 200  # drawings at most that are remembered
_FRAME = re.compile(r' style="[^"]*"', re.ASCII)  # of paper: on the page a drawing is as wide as there is room


class Drawing(msgspec.Struct, frozen=True):
    """A drawing: a name for what it shows, what it says to whoever cannot see it, and itself as SVG."""

    name: str
    alt: str
    svg: str


class Art:
    """The drawings of the plan at hand, each made once."""

    def __init__(self) -> None:
        """Begin with none."""
        self._plan: Plan | None = None
        self._report: Report | None = None
        self._made: dict[object, Drawing | None] = {}
        self._own: dict[str, list[Drawing]] = {}

    def of(self, scene: Scene, step: Step) -> list[Drawing]:
        """Every drawing that goes with the step now, the place in hand first."""
        if self._plan is not scene.plan or self._report is None:
            self._plan, self._report, self._made, self._own = scene.plan, report(scene.plan), {}, {}
        about = self._report
        drawn = [self._once(one, partial(_face, about, *one)) for one in views_of(scene, step)]
        if step.key not in self._own:
            self._own[step.key] = [_named(svg) for svg in _frames(about, scene.plan, step)]
        return [*(one for one in drawn if one is not None), *self._own[step.key]]

    def _once(self, key: object, draw: Callable[[], str]) -> Drawing | None:
        if len(self._made) > KEPT:
            self._made.clear()
        if key not in self._made:
            svg = draw()
            self._made[key] = _named(svg) if svg else None
        return self._made[key]


def _named(svg: str) -> Drawing:
    svg = _FRAME.sub("", svg, count=1)
    title = unescape(svg.partition("<title>")[2].partition("</title>")[0])
    return Drawing(blake2b(svg.encode(), digest_size=8).hexdigest(), title, svg)


def _frames(about: Report, plan: Plan, step: Step) -> list[str]:
    """The step's own picture, frame by frame."""
    found = next((one for one in about.steps if one.key == step.key), None)
    told = teller(about)(replace(found, texts=render_step(plan, step))) if found else None
    return alone(told, frames_of(told)) if told else []


def _face(about: Report, name: str, panel: Panel) -> str:
    """A face as it is seen, the patch or the seam in hand lit; nothing where it is not laid, or too large."""
    pitch, seam = number(about, "pitch"), number(about, "seam")
    found = _rows(about, name, panel)
    if found is None or not pitch or seam is None or panel.across * panel.down > MOST:
        return ""
    rows, heading = found
    quilted = about.project.quilting if about.project.quilting in {"cross", "plus"} and not panel.back else ""
    seen = Seen(quilted=quilted, frayed=not panel.back, lit=panel.here, seam=panel.seam, turned=name.endswith("turned"))
    if panel.back and not panel.seam:
        after, upright = zip_place(about)
        seen = replace(seen, zip_after=after, zip_upright=upright)
    lit = f"Row {panel.here[0] + 1}, column {panel.here[1] + 1} is in hand. " if panel.here else ""
    return face(
        rows, looks_of(about), pitch_mm=pitch, fringe_mm=seam, seen=seen,
        title=lit + face_words(said(heading, about.project.words), [list(row) for row in rows]),
        width_text=words(about, "face_width"), height_text=words(about, "face_height"),
    )  # fmt: skip


def _rows(about: Report, name: str, panel: Panel) -> tuple[Rows, str] | None:
    """The prints of the face that a view shows, and what it is called."""
    if panel.back:
        return (face_rows(about.backing, 0), "Back, as you see it") if about.backing else None
    if about.layout is None:
        return None
    if name.endswith("turned"):
        return mirrored(face_rows(about.layout, -1)), "Back, turned"
    return face_rows(about.layout, 0), "Front"
