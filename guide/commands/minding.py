"""What goes with a piece that leaves the house: how it is washed, and what to mind because of whom it is for."""

from collections.abc import Iterable

from guide.commands.common import SESSIONS
from guide.commands.on_shelf import open_here
from guide.read.model import Project
from guide.read.places import PROJECT_FILE
from guide.show.report_cautions import Piece, caution, minding, washing


def care_of(names: Iterable[str]) -> list[str]:
    """Say how pieces of these projects are washed and what to mind, the gravest first; of none, what holds of all."""
    found = _projects(names)
    words = found[0].words if found else "british"
    minds = [caution(name, words) for project in found for name in minding(project, ())]
    washed = [washing(project) for project in found] or [washing(Piece())]
    return list(dict.fromkeys([*minds, *washed, caution("fire", words)]))


def minds_of(name: str) -> list[str]:
    """Say what to mind because of whom pieces of a project are for; nothing where they are for anyone."""
    return [caution(one, project.words) for project in _projects([name]) for one in minding(project, ())]


def _projects(names: Iterable[str]) -> list[Project]:
    files = [SESSIONS / name / PROJECT_FILE for name in dict.fromkeys(names) if name]
    return [open_here(file).project for file in files if file.is_file()]
