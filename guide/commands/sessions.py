"""Finding the session meant, and reading it with its plan as it was then; and the layouts a project's folder keeps."""

import os
from collections.abc import Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
import msgspec

from guide.commands.common import SESSIONS, TOLD, opened, talk
from guide.errors import GuideError, JournalDamaged, NeedsMending, WrongUse
from guide.plan.layout.faces import Cell, kept_from_dict, layout_from_dict, layout_to_dict, panel_of, wrong_layout
from guide.plan.layout.panels import CannotLay, within_stock
from guide.plan.make import cut_out, make_plan, settled
from guide.plan.model import Cut, Layout, Plan
from guide.plan.steps import with_again
from guide.read.check import Language
from guide.read.model import Project
from guide.read.places import (
    LAYOUT_FILE,
    UNKEPT_FILE,
    Opened,
    find_project,
    from_texts,
    next_aside,
    open_project,
    read_text,
    set_aside,
    shown,
    to_type,
)
from guide.read.project import with_shelf
from guide.record.fold import Laid, fold, laid_of
from guide.record.journal import describe, read_journal, shared_drive
from guide.record.lines import Damage, Scan
from guide.record.model import Event, Record
from guide.record.sessions import REHEARSALS, is_closed, journals, passed_over, rehearsals, unfinished

if TYPE_CHECKING:
    from guide.follow import by_hand

# The plan of a project as it stands in its folder, with the layout kept there, and of past sessions as they stood.


def plan_of(here: Opened, spare: int = 0) -> Plan:
    """Plan a project; a layout kept by `guide layout` is used. Raises NeedsMending when it does not fit.

    `spare` squares more of every print are cut, as far as the stock goes. Raises CannotLay when there are too few.
    """
    return planned_as(here, kept_layout(here)[0], spare)


def planned_as(here: Opened, stacks: list[list[str]] | None, spare: int = 0) -> Plan:
    """Plan a project as its kept layout has it; a limit written since holds for that too. Raises CannotLay."""
    plan = make_plan(here.project, here.language, None, stacks, spare)
    if stacks is not None:
        within_stock(plan.project, plan.layout, plan.backing, kept=True)
    return plan


def cut_as(laid: Laid, project: Project, language: Language) -> Cut:
    """Give what a session's cloth was cut for. Where that is of a project long changed: what lies there now."""
    if laid.cut_for is not None:
        with suppress(CannotLay):
            return cut_out(project, language, laid.cut_for, again=laid.cut_again)
    return cut_out(project, language, laid.layout, again=laid.cut_again)


def plan_session(
    record: Record, project: Project, language: Language, measured: Mapping[str, float] | None = None
) -> Plan:
    """Plan a session as it stands: laid as it is now, cut as it was."""
    laid = laid_of(record)
    plan = make_plan(project, language, measured, record.layout, cut=cut_as(laid, project, language))
    return once_more(plan, laid)


def once_more(plan: Plan, laid: Laid) -> Plan:
    """Put in what is made again since blocks were spoilt."""
    return with_again(plan, [msgspec.to_builtins(one) for one in laid.again])


def kept_layout(here: Opened, name: str = LAYOUT_FILE) -> tuple[list[list[str]] | None, frozenset[Cell]]:
    """Read the kept layout: stacks row by row, and the blocks that are to stay. None when there is none.

    Raises NeedsMending when the file is no JSON or does not fit the project.
    """
    path = here.folder / name
    if not path.is_file():
        return None, frozenset()
    import json

    try:
        data: Any = json.loads(read_text(path))
    except ValueError as error:
        raise NeedsMending(f"{shown(path)}: this is not JSON ({error}); remove the file to lay anew.") from None
    layout = layout_from_dict(data, panel_of(settled(here.project, here.language)))
    if isinstance(layout, list):
        told = "\n".join(f"{shown(path)}: {problem}" for problem in layout)
        raise NeedsMending(f"{told}\nguide layout --forget puts it away; nothing was changed.")
    return [list(block.stack) for block in layout.blocks], kept_from_dict(data)


class KeptPlans:
    """Plans worked out once for all sessions with the same texts."""

    def __init__(self) -> None:
        self._plans: dict[int, Plan | None] = {}

    def of(self, record: Record) -> Plan | None:
        """Plan a session before anything was measured; None when its words are no longer understood."""
        texts = hash((record.project_text, *sorted(record.stage_texts.items())))
        if texts not in self._plans:
            try:
                project, language = from_texts(record.project_text, record.stage_texts, "project.yaml")
                self._plans[texts] = plan_session(record, project, language)
            except GuideError:
                self._plans[texts] = None
        return self._plans[texts]


# A project with what lies on the shelf for it: resolved when it is opened, kept with every session.

SHELF = "shelf"  # the kind of text that a session keeps of it
KEPT_AS = "the shelf"  # and its name among them, which no file of a workflows folder has


def open_here(path: Path, changes: Sequence[str] = ()) -> Opened:
    """Open a project by its path, with what lies on the shelf for it where it asks. Raises WrongUse, NeedsMending.

    With `changes` it is another plan than what was promised to it: it is offered all that is free.
    """
    here = open_project(path, os.environ, changes)
    return on_shelf(here, anew=bool(changes)) if any(cloth.shelf for cloth in here.project.prints) else here


def on_shelf(here: Opened, *, anew: bool = False) -> Opened:
    """Give the project with its cloth from the shelf, for the prints that say so. Writes nothing.

    `anew`: as if nothing were promised to it yet.
    """
    from guide.book.file import read_book
    from guide.book.shelf import kept_text, shelf_for

    book, name = read_book(here.folder.parent), here.folder.resolve().name
    if anew:
        book.promises.pop(name, None)
    rows, says = shelf_for(book, here.project, name)
    for told in says:
        talk(told)
    here.language.beside[SHELF] = rows
    here.language.texts[KEPT_AS] = kept_text(rows)
    return msgspec.structs.replace(here, project=with_shelf(here.project, rows))


class At(msgspec.Struct, frozen=True):
    """A plan, or a session with its plan: measured values in `plan`, none in `first`."""

    plan: Plan
    language: Language
    first: Plan | None = None
    record: Record | None = None
    earlier: tuple[Plan, ...] = ()  # of texts before, where steps were worked that the plan has no more
    damage: Damage | None = None
    cut: Cut | None = None  # what a session's cloth was cut for, whatever was measured since

    @property
    def exit_code(self) -> int:
        """Give 5 when only the good part of a damaged journal was read."""
        return self.damage.exit_code if self.damage is not None else 0


def is_journal(given: str) -> bool:
    """Whether a journal is named, and no project."""
    return Path(given).is_file() and not given.endswith((".yaml", ".yml"))


def plan_or_session(given: str | None) -> At:
    """Read a journal when one is named; else plan the project."""
    if given is not None and is_journal(given):
        return read_session(Path(given))
    here = opened(given)
    return At(plan_of(here), here.language)


def session_path(given: str | None) -> Path:
    """Find the journal meant: a file, or a project's newest (a rehearsal only when there is nothing else).

    One without any record is passed over, and told. WrongUse when the project has none.
    """
    if given is not None and is_journal(given):
        return Path(given)
    folder = find_project(given, SESSIONS).parent
    path = first_begun([*reversed(journals(folder)), *reversed(rehearsals(folder))])
    if path is None:
        raise WrongUse(f"{shown(folder)} has no session yet. Begin one with: guide follow {to_type(folder)}")
    talk(f"Session: {shown(path)}")
    return path


def first_begun(paths: Iterable[Path]) -> Path | None:
    """Give the first journal that holds a record; those without are passed over, and told."""
    for path in paths:
        found = read_journal(path)
        if found.begun:
            return path
        if found.damage is not None:
            tell_damage(path, found.damage)
    return None


def after_a_finished(folder: Path) -> str:
    """Say, where a session is to be begun, that the last one is finished and how it takes what was forgotten."""
    path = first_begun(reversed(journals(folder)))
    if path is None or not is_closed(read_journal(path).events):
        return ""
    return (
        f"{shown(path)} is finished: a new session is begun. A size, a note or a photo forgotten there goes into it "
        f'without times: guide amend {to_type(path)} --enter "note: …"'
    )


def project_folder(path: Path) -> Path:
    """Find the project's folder of a journal, also of a rehearsal's."""
    folder = path.resolve().parent
    return folder.parent if folder.name == REHEARSALS else folder


def read_whole(path: Path) -> At:
    """Read a session that is to be written to. JournalDamaged when only its good part can be read."""
    found = read_journal(path)
    if found.damage is not None and found.damaged:
        raise JournalDamaged(describe(shown(path), found.damage))
    return read_session(path)


def under_way(folder: Path) -> Path | None:
    """Find the unfinished session of a project; what is passed over because it is damaged or torn is told."""
    for path, damage in passed_over(folder):
        tell_damage(path, damage)
    return unfinished(folder)


def tell_damage(path: Path, damage: Damage) -> None:
    """Say what is wrong with a journal and what is safe; once a command, however often it reads it."""
    sentence, context = describe(shown(path), damage), click.get_current_context(silent=True)
    told: dict[str, int] = context.meta.setdefault(TOLD, {}) if context else {}
    if sentence not in told:
        told[sentence] = damage.exit_code
        talk(sentence)


def read_session(path: Path) -> At:
    """Read a session and plan it from the texts it keeps; damage is told, the good part is used."""
    found = read_found(path)
    record = fold(found.events)
    project, language = from_texts(record.project_text, record.stage_texts, "project.yaml")
    cut = cut_as(laid_of(record), project, language)
    measured = record.measured(1) if project.make == 1 else {}  # of several makes each has its own sizes
    first = once_more(make_plan(project, language, None, record.layout, cut=cut), laid_of(record))
    plan = make_plan(project, language, measured, record.layout, cut=cut) if measured else first
    plan = once_more(plan, laid_of(record)) if measured else plan
    return At(plan, language, first, record, _earlier(found, record, plan), found.damage, cut)


def plans_by_make(at: At) -> dict[int, Plan]:
    """Plan each make of a session as it was measured; of a single one, and of makes not measured, none."""
    record, project = at.record, at.plan.project
    if record is None or project.make == 1:
        return {}
    makes = sorted({one.make or 1 for all_ in record.measures.values() for one in all_})
    return {m: make_plan(project, at.language, record.measured(m), record.layout, cut=at.cut) for m in makes}


def _earlier(found: Scan[Event], record: Record, plan: Plan) -> tuple[Plan, ...]:
    """Plan the texts a session had before, oldest first, where its own plan does not know all that was worked."""
    if {lap.step for lap in record.worked()} <= {step.key for step in plan.steps}:
        return ()
    plans = []
    for event in found.events:
        if event.what in {"opened", "texts"}:
            with suppress(GuideError):  # words no longer understood: their steps go by their keys
                project, language = from_texts(event.project, event.stages or {}, "project.yaml")
                plans.append(make_plan(project, language, None, event.layout))
    return tuple(plans)


def read_found(path: Path) -> Scan[Event]:
    """Read a journal's good part and say what is wrong with the rest.

    JournalDamaged when there is no good part, WrongUse when it cannot be read or holds no session.
    """
    try:
        found = read_journal(path)
    except OSError as error:
        raise WrongUse(f"{shown(path)} cannot be read: {error.strerror}.") from None
    if not found.events and found.damage is not None and found.damaged:
        raise JournalDamaged(describe(shown(path), found.damage))
    if found.damage is not None:
        tell_damage(path, found.damage)
    if not found.events or found.events[0].what != "opened":
        if found.events and str(found.events[0].what) == "begun":
            raise WrongUse(f"{shown(path)} is the book, and no session: guide book shows it.")
        raise WrongUse(f"{shown(path)} holds no session: its first record is not there or cannot be read.")
    return found


def less_promised(journal: Path) -> str:
    """Say what cannot be promised where the journal lies; nothing on the computer's own disks."""
    if (kind := shared_drive(journal)) is None:
        return ""
    return (
        f"On a shared or synced drive ({kind}) records may arrive late and a second window may go unnoticed; "
        "a folder of this computer is safer."
    )


# Layouts in a project's folder: the one in use, those kept before it, and one that was laid by hand and not kept.

_ROOM = "Its place is fixed: see that there is room and that it may be written there, then do it again."


def keep_layout(here: Opened, layout: Layout, kept: Collection[Cell]) -> str:
    """Write the layout the plan is to use, what stood there set aside first; say where. Raises CannotWrite."""
    from guide.show.pages.write import write_whole

    path = here.folder / LAYOUT_FILE
    text = as_text(layout, kept)
    if path.is_file() and (now := read_text(path)) != text:
        _set_aside(here.folder, now)
    write_whole(path, text, _ROOM)
    _drop(text, set_aside(here.folder).values())
    return f"Kept in {shown(path)}."


def as_text(layout: Layout, kept: Collection[Cell]) -> str:
    """A layout as its file has it."""
    return msgspec.json.format(msgspec.json.encode(layout_to_dict(layout, kept)), indent=1).decode() + "\n"


def _set_aside(folder: Path, text: str) -> None:
    """Write a layout as the last of those that were kept before. Raises CannotWrite."""
    from guide.show.pages.write import write_whole

    older = set_aside(folder)
    if not older or read_text(next(reversed(older.values()))) != text:
        write_whole(next_aside(folder), text, _ROOM)
        _drop(text, older.values())


def _drop(text: str, files: Iterable[Path]) -> None:
    """Take away copies of what now stands elsewhere; one that cannot be taken away does no harm."""
    for file in files:
        with suppress(OSError):
            if file.read_bytes() == text.encode():
                file.unlink()


def bring_back(here: Opened) -> None:
    """Use the layout kept before the one in use; after the first of all comes the last again.

    Raises WrongUse when there is none, NeedsMending when it does not fit the project, CannotWrite: nothing is changed
    then. What is in use is set aside before anything is written over it, and nothing set aside is taken away.
    """
    from guide.show.pages.write import write_whole

    path, older = here.folder / LAYOUT_FILE, set_aside(here.folder)
    texts = [read_text(file) for file in older.values()]
    now = read_text(path) if path.is_file() else None
    at = texts.index(now) if now in texts else len(texts)
    if not [text for text in texts if text != now]:
        raise WrongUse(f"No layout was kept before: none is set aside beside {shown(path)}.")
    kept_layout(here, [*older.values()][at - 1].name)
    if now is not None and now not in texts:
        _set_aside(here.folder, now)
    write_whole(path, texts[at - 1], _ROOM)
    talk("The layout kept before is used again; --before once more goes one further back, from the first to the last.")


def forget_layout(here: Opened) -> None:
    """Put the layout in use away, after those kept before. Raises CannotWrite."""
    from guide.show.pages.write import put_away

    path, older = here.folder / LAYOUT_FILE, set_aside(here.folder).values()
    if not path.is_file():
        talk("No layout is kept: it is laid as the project says.")
        return
    now = read_text(path)
    put_away(path, next_aside(here.folder))
    _drop(now, older)
    talk("The kept layout is put away; --before brings it back.")


def unkept(here: Opened, project: Project) -> "by_hand.Laid | None":
    """What lay when the window was closed, not kept. Raises NeedsMending where it does not fit the project any more."""
    from guide.follow import by_hand

    path = here.folder / UNKEPT_FILE
    if not path.is_file():
        return None
    try:
        data = msgspec.json.decode(read_text(path))
        problems = wrong_layout(data, panel_of(project), empty=True)
    except msgspec.DecodeError as error:
        problems = [f"this is not JSON ({error})"]
    if problems:
        raise fits_no_more(here, problems)
    across = project.across or 0
    places = frozenset((row - 1) * across + column - 1 for row, column in kept_from_dict(data))
    return by_hand.Laid(tuple(tuple(stack) for row in data["rows"] for stack in row), places)


def fits_no_more(here: Opened, problems: Iterable[str]) -> NeedsMending:
    """What is wrong with the panel that was not kept, and the mend."""
    told = "\n".join(f"{shown(here.folder / UNKEPT_FILE)}: {problem}" for problem in problems)
    return NeedsMending(f"{told}\nIt is a panel laid by hand, not kept yet: move the file away to lay by hand anew.")
