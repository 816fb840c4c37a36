"""Where files are: the shipped stages, the maker's own, a project and its stages. Reads; never writes."""

import re
from collections.abc import Container, Mapping, Sequence
from functools import lru_cache
from itertools import count
from pathlib import Path
from stat import S_ISDIR
from typing import Any

import msgspec

from guide import system
from guide.errors import NeedsMending, WrongUse
from guide.read.check import Language, check_stages
from guide.read.dimensions import Judge
from guide.read.kinds import MACHINES, in_use, kinds_of, machine_given
from guide.read.model import Given, Problem, Project, Stage, mend
from guide.read.project import read_machine, read_project, with_shelf
from guide.read.stage_keys import BESIDE
from guide.read.stages import kind_of, read_beside, read_what_can_be, unread

PROJECT_FILE = "project.yaml"
LAYOUT_FILE = "layout.json"
OWN_FILES = {f"{kind}.yaml": kind for kind in (MACHINES, "choices")}  # in the maker's own folder
MAX_BYTES = 1 << 20
UNKEPT_FILE = "layout.unkept.json"  # what lay under the hands when the window was closed
_BEFORE = r"layout\.before(?:-([1-9]\d{0,8}))?\.json"  # kept before it: the first without a number
_ENDS = re.compile("\r\n?")  # YAML takes CR LF, CR and LF for the end of a line


class Opened(msgspec.Struct, frozen=True):
    """A project as read from its folder, with the language its stages make."""

    path: Path  # of project.yaml
    project: Project
    language: Language

    @property
    def folder(self) -> Path:
        """The project's folder, where its sessions lie."""
        return self.path.parent


def shipped_stages() -> Path:
    """Find the folder of the shipped stage files: inside the package, or beside it in a checkout."""
    inside = Path(__file__).parent.parent / "workflows"
    return inside if inside.is_dir() else Path(__file__).parent.parent.parent / "workflows"


def shipped_example() -> Path:
    """Find the invented example: inside the package, or among the sessions of a checkout."""
    inside = Path(__file__).parent.parent / "example" / PROJECT_FILE
    beside = Path(__file__).parent.parent.parent / "sessions" / "window-seat-cushion" / PROJECT_FILE
    return inside if inside.is_file() else beside


def maker_folder(environ: Mapping[str, str]) -> Path:
    """Find the maker's own folder: $FRAYWORK_HOME, else the platform's data folder. Raises WrongUse for neither."""
    wanted = environ.get("FRAYWORK_HOME") or system.data_folder(environ)
    if wanted.startswith("~/") and (odd := system.odd_home(environ)):
        raise _no_home(wanted, odd)
    try:
        folder = Path(wanted).expanduser()
        if not S_ISDIR(folder.stat().st_mode):
            raise _no_home(wanted, "it is no folder")
    except FileNotFoundError:
        pass  # still to be made
    except (OSError, RuntimeError, ValueError) as problem:
        raise _no_home(wanted, getattr(problem, "strerror", None) or "there is no such home") from None
    return folder


def _no_home(wanted: str, why: str) -> WrongUse:
    short = wanted if len(wanted) <= 60 else f"{wanted[:60]}…"
    return WrongUse(
        f"The folder for your own stages cannot be {short}: {why}. "
        "Set FRAYWORK_HOME to a folder, such as /home/you/fraywork."
    )


def workflow_files(folder: Path | None, environ: Mapping[str, str]) -> dict[str, Path]:
    """List the files of all workflows folders by name: the maker's stages replace the shipped, the project's both.

    What lies beside the stages replaces no file, but stands after it. Raises NeedsMending for one that would replace
    checks that protect others.
    """
    found = workflows_in(shipped_stages())
    own = workflows_in(maker_folder(environ) / "workflows")
    for called, kind in OWN_FILES.items():
        if (there := maker_folder(environ) / called).exists():
            own[_free(kind, own)] = there
    for files in (own, workflows_in(folder / "workflows") if folder is not None else {}):
        for name, file in files.items():
            found[_place_of(name, file, found)] = file
    return found


def _place_of(name: str, own: Path, found: Mapping[str, Path]) -> str:
    """Give the name a maker's file is listed by: that of the stage it replaces, or a free one. Raises NeedsMending."""
    if name not in found:
        return name
    text, there = read_text(own), read_text(found[name])
    if kind_of(there) == "safety" and text != there:
        raise NeedsMending(
            f"{shown(own)}:1:1: the checks of the {name} stage protect others and stay as they are shipped; "
            "give the file another name, and write safety: true at checks of your own"
        )
    return name if {kind_of(text), kind_of(there)} <= {"stage", "safety"} else _free(name, found)


def _free(name: str, taken: Container[str]) -> str:
    """Give a name that is not taken."""
    return next(free for n in count(1) if (free := name if n == 1 else f"{name} {n}") not in taken)


def workflows_in(folder: Path) -> dict[str, Path]:
    """List a workflows folder's files by name; what begins with a dot is an editor's or a disk's own."""
    return {file.stem: file for file in sorted(folder.glob("*.yaml")) if not file.name.startswith(".")}


def read_text(path: Path) -> str:
    """Read a text file, at most 1 MiB; its lines end with LF here. Raises WrongUse or NeedsMending in plain words."""
    if path.exists() and not path.is_file() and not path.is_dir():
        raise WrongUse(f"{path} is no plain file; a pipe or a device is not read.")
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise WrongUse(f"There is no file {path}.") from None
    except OSError as error:
        if path.is_dir():  # which Windows says in other words
            raise WrongUse(f"{path} is a folder, not a file.") from None
        raise WrongUse(f"{path} cannot be read: {error.strerror}.") from None
    if len(data) > MAX_BYTES:
        raise NeedsMending(f"{path}:1:1: the file is over 1 MiB; a project or stage file is far smaller.")
    try:
        return _ENDS.sub("\n", data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        column = error.start - (data.rfind(b"\n", 0, error.start) + 1) + 1
        raise NeedsMending(f"{path}:{line}:{column}: this is not UTF-8 text; save it as UTF-8.") from None


def shown(path: Path) -> str:
    """Give a path as short as it can be said: from the folder one stands in, when below it."""
    try:
        return str(path.resolve().relative_to(Path.cwd()))
    except ValueError:
        return str(path)


def to_type(path: Path) -> str:
    """Give it as one word of a command that is told to be typed, quoted where a shell would take it apart."""
    told = shown(path)
    if re.fullmatch(r"[\w@%+=:,./\\-]+", told):
        return told
    import shlex  # noqa: PLC0415 - hardly any folder needs it

    return shlex.quote(told)


def read_stages(
    texts: Mapping[str, tuple[str, str]], judge: Judge = "pint"
) -> tuple[Language | None, list[Problem], dict[str, str]]:
    """Read stages and what lies beside them from name → (file as shown, text).

    Gives the language, all problems, and texts by file.

    The language is whole only when no problem is more than a hint; None when a file could not be read at all.
    `judge`: plain exponents where every formula was judged before, as shipped ones are by the tests.
    The same texts, as a project's folder and its sessions hold them, are read once.
    """
    language, problems, by_file = _read(tuple(texts.items()), judge)
    if language is not None:  # what lies beside the stages of one project is put in by its opener
        language = msgspec.structs.replace(language, beside=dict(language.beside), texts=dict(language.texts))
    return language, list(problems), dict(by_file)


@lru_cache(maxsize=8)
def _read(
    texts: tuple[tuple[str, tuple[str, str]], ...], judge: Judge
) -> tuple[Language | None, list[Problem], dict[str, str]]:
    problems: list[Problem] = []
    stages: list[Stage] = []
    by_file = {file: text for _, (file, text) in texts}
    broken: frozenset[str] = frozenset()
    whole = True
    beside: dict[str, dict[str, Any]] = {kind: {} for kind in BESIDE}
    machines: dict[str, list[Given]] = {}
    for name, (file, text) in texts:
        if (kind := kind_of(text, OWN_FILES.get(Path(file).name, "stage"))) == "machine":
            continue  # it speaks of the stages' keys, so they come first
        if kind in BESIDE:
            things, loaded = read_beside(text, file, kind)
            beside[kind] |= things
            if kind == MACHINES:
                machines |= {called: machine_given(called, said, loaded) for called, said in things.items()}
        else:
            stage, loaded = read_what_can_be(text, file, name)
            if stage is None:
                whole = False
            else:
                stages.append(stage)
                broken |= unread(stage, loaded)
        problems += loaded.problems
    if not whole:
        return None, problems, by_file
    language = check_stages(_with_closure_keys(stages), broken, judge)
    for _, (file, text) in texts:
        if kind_of(text) == "machine":
            said, loaded = read_machine(text, file, language.stages)
            language.machine = _newest(language.machine, said)
            problems += loaded.problems
    language.machine = _newest(language.machine, machines.get(in_use(beside), []))
    kinds, wrong = kinds_of(beside.get("cloths", {}))
    problems += wrong
    language.beside, language.texts = beside | {"cloths": kinds}, {name: text for name, (_, text) in texts}
    _label_as_shipped(language)
    return language, problems + language.problems, by_file


def _newest(before: Sequence[Given], said: Sequence[Given]) -> list[Given]:
    """Put what is said last in the place of what was said of the same names."""
    newer = {one.name for one in said}
    return [*(one for one in before if one.name not in newer), *said]


def _with_closure_keys(stages: Sequence[Stage]) -> list[Stage]:
    """Give a closure stage that says nothing of its keys those of the shipped one: once every project had them."""
    names = {key.name for stage in stages for key in stage.inputs} | {
        one.name for stage in stages for one in stage.sums
    }
    out = list(stages)
    for i, stage in enumerate(stages):
        if stage.name == "closure" and not any(len(key.at) > 1 for key in stage.inputs):
            shipped, _ = read_what_can_be(read_text(shipped_stages() / "closure.yaml"), stage.file, stage.name)
            assert shipped is not None
            missing = [key for key in shipped.inputs if len(key.at) > 1 and key.name not in names]
            bare = tuple(msgspec.structs.replace(key, place=None) for key in missing)
            out[i] = msgspec.structs.replace(stage, inputs=(*bare, *stage.inputs))
    return out


def _label_as_shipped(language: Language) -> None:
    """Call the numbers of a stage without labels, as a journal or a maker's own folder keeps it, what they are now."""
    for stage in language.stages:
        shipped = shipped_stages() / f"{stage.name}.yaml"
        if not stage.labels and shipped.is_file() and (text := read_text(shipped)) != stage.text:
            now, _ = read_what_can_be(text, stage.file, stage.name)
            for name, label in (now.labels if now else {}).items():
                if name in language.dims:
                    language.labels.setdefault(name, label)


def language_for(folder: Path | None, environ: Mapping[str, str]) -> Language:
    """Read every stage file there is for a project's folder. Raises NeedsMending with all problems."""
    files = workflow_files(folder, environ)
    own = [name for name, path in files.items() if path.parent != shipped_stages()]
    named = {name: shown(path) if name in own else f"workflows/{path.name}" for name, path in files.items()}
    texts = {name: (named[name], read_text(path)) for name, path in files.items()}
    shipped = not any(kind_of(texts[name][1]) in {"stage", "safety"} for name in own)
    language, problems, by_file = read_stages(texts, "exponents" if shipped else "pint")
    if language is None or any(not p.hint for p in problems):
        raise mend(problems, by_file)
    return language


def open_project(path: Path, environ: Mapping[str, str], changes: Sequence[str] = ()) -> Opened:
    """Read a project from its folder or file, with `key=value` changes tried. Raises WrongUse or NeedsMending."""
    file = path / PROJECT_FILE if path.is_dir() else path
    text = read_text(file)
    language = language_for(file.parent, environ)
    project, loaded = read_project(
        text, file.name, language.stages, changes, beneath=language.machine, kinds=language.beside["cloths"]
    )
    if project is None:
        named = [msgspec.structs.replace(p, file=shown(file)) if p.file == file.name else p for p in loaded.problems]
        raise mend(named, {shown(file): text})
    return Opened(file, project, language)


def from_texts(project_text: str, workflow_texts: Mapping[str, str], file: str) -> tuple[Project, Language]:
    """Read a project again from the texts a journal keeps. Raises NeedsMending.

    What was worked stays readable when more is asked of files now than it was then.
    """
    texts = {name: (f"workflows/{name}.yaml", text) for name, text in workflow_texts.items()}
    language, problems, by_file = read_stages(texts, "exponents")  # judged when the session began
    if language is None or any(not (p.hint or p.since) for p in problems):
        raise mend(problems, by_file)
    project, loaded = read_project(
        project_text, file, language.stages, kept=True, beneath=language.machine, kinds=language.beside["cloths"]
    )
    if project is None:
        raise mend(loaded.problems, {file: project_text})
    return with_shelf(project, language.beside["shelf"]), language


def find_project(given: str | None, sessions: Path) -> Path:
    """Find the project meant: the one given, the only one under ./sessions, or the one last worked on.

    Raises WrongUse naming what there is.
    """
    if given is not None:
        file = file_meant(given, PROJECT_FILE, sessions)
        if file is None:
            known = projects_under(sessions)
            said = f" There is: {', '.join(map(str, known))}." if known else " Start one with: guide new"
            raise WrongUse(f"There is no project at {given}.{said}")
        return file
    known = projects_under(sessions)
    if len(known) == 1:
        return known[0] / PROJECT_FILE
    if not known:
        raise WrongUse("There is no project under ./sessions. Name one, or start one with: guide new")
    *_, last, newest = sorted(known, key=_worked_on)
    if _worked_on(last) == _worked_on(newest):
        raise WrongUse(f"Which project? There is: {', '.join(map(str, known))}.")
    return newest / PROJECT_FILE


def file_meant(given: str, name: str, sessions: Path) -> Path | None:
    """Find the file meant by its path, its folder's path, or the plain name of a folder under the sessions."""
    folders = (Path(given), sessions / given) if Path(given).name == given else (Path(given),)
    files = (folder / name if folder.is_dir() else folder for folder in folders)
    return next((file for file in files if file.is_file()), None)


def set_aside(folder: Path) -> dict[int, Path]:
    """The layouts that were kept in a folder before the one in use, by number, the last one last."""
    found = {int(told[1] or 1): file for file in folder.iterdir() if (told := re.fullmatch(_BEFORE, file.name))}
    return dict(sorted(found.items()))


def next_aside(folder: Path) -> Path:
    """Where the next layout is to be set aside: after the last, so that nothing is written over."""
    number = next(reversed(set_aside(folder)), 0) + 1
    return folder / (f"layout.before-{number}.json" if number > 1 else "layout.before.json")


def is_layout(name: str) -> bool:
    """Whether a file of this name is the layout in use, one that was kept before it, or one not kept yet."""
    return name in {LAYOUT_FILE, UNKEPT_FILE} or re.fullmatch(_BEFORE, name) is not None


def _worked_on(folder: Path) -> int:
    """Tell when a project was last worked on: its file, its layout or a journal; ns."""
    files = (folder / PROJECT_FILE, folder / LAYOUT_FILE, *folder.glob("*.jsonl"))
    return max((file.stat().st_mtime_ns for file in files if file.exists()), default=0)


def projects_under(sessions: Path) -> Sequence[Path]:
    """List the project folders under a sessions root."""
    return sorted(file.parent for file in sessions.glob(f"*/{PROJECT_FILE}")) if sessions.is_dir() else []
