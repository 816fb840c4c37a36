"""Projects for the tests of the sums: a small cushion as data, changed where a test says so."""

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from guide.plan.graph import values, work_out
from guide.read.check import Language
from guide.read.model import Project
from guide.read.places import read_stages
from guide.read.project import read_project

WORKFLOWS = Path(__file__).parents[2] / "workflows"
ZIP = {"type": "zip", "after_column": 2, "end_gap": "1 in", "stop_gap": "1/2 in", "box_gap": "1/4 in"}
ACROSS_THE_BACK = {key: value for key, value in ZIP.items() if key != "after_column"} | {"after_row": 1}
ENVELOPE = {"type": "envelope", "overlap": "4 in", "hem": "1 in", "double_hem": True}
THROW = {"kind": "throw", "back": "none", "closure": "none"}


def cushion(**changes: Any) -> dict[str, Any]:
    """Five by three blocks of one 5 1/4 in square over the wadding and two under, 5/8 in seams, a zip after column 2.

    A change of None takes the key out.
    """
    data: dict[str, Any] = {
        "project": "An invented cushion",
        "kind": "cushion",
        "grid": {"across": 5, "down": 3},
        "square": "5 1/4 in",
        "seam": "5/8 in",
        "layers": {"above": 1, "below": 2},
        "wadding": {"gap": "5/8 in"},
        "prints": [{"name": name, "width": "44 in"} for name in ("leaf", "check", "dot", "stripe")],
        "back": "patchwork",
        "closure": ZIP,
        "snips": {"every": "1/2 in", "clear": "1/8 in", "at_crossing": 2},
    }
    data |= changes
    return {key: value for key, value in data.items() if value is not None}


@cache
def shipped(*more: Path) -> Language:
    """The shipped stage files, and more of a test's own, read and checked together."""
    files = (*sorted(WORKFLOWS.glob("*.yaml")), *more)
    texts = {file.stem: (file.name, file.read_text(encoding="utf-8")) for file in files}
    language, problems, _ = read_stages(texts)
    assert language is not None
    assert all(problem.hint for problem in problems), [str(problem) for problem in problems]
    assert not language.problems, [str(problem) for problem in language.problems]
    return language


def read(data: Mapping[str, Any], *more: Path) -> Project:
    """A project as the program reads it."""
    language = shipped(*more)
    text = json.dumps(data, indent=1)
    project, loaded = read_project(text, "project.yaml", language.stages, kinds=language.beside["cloths"])
    assert project is not None, [str(problem) for problem in loaded.problems]
    return project


def sums(measured: Mapping[str, float] | None = None, **changes: Any) -> dict[str, Any]:
    """Every number of the cushion with these changes: lengths mm, counts plain, None where it does not apply."""
    return sums_of(cushion(**changes), measured)


def sums_of(data: Mapping[str, Any], measured: Mapping[str, float] | None = None) -> dict[str, Any]:
    return dict(values(work_out(shipped(), read(data).given, measured)))
