"""`guide check`: look a project, stage file or journal over and say everything that is wrong.

`guide schema`: what may stand in such files, as JSON Schema, made from the same keys that read them.
"""

import os
from pathlib import Path
from typing import Any

import click
import msgspec

from guide.commands.common import say, say_json, talk
from guide.commands.sessions import open_here
from guide.errors import GuideError, JournalDamaged
from guide.plan.make import LOADED, make_plan
from guide.read.check import Language
from guide.read.model import Key, Problem, Project, describe
from guide.read.places import (
    PROJECT_FILE,
    find_project,
    language_for,
    read_stages,
    read_text,
    shown,
    workflow_files,
    workflows_in,
)
from guide.read.project import read_project, shape_for
from guide.read.spoken import are, counted
from guide.read.stage_keys import BESIDE, BY_HAND, STAGE
from guide.read.stages import kind_of
from guide.read.strict_yaml import Loaded
from guide.read.take import COLOURS
from guide.read.template import check_texts, hints
from guide.record.journal import read_journal
from guide.record.sessions import BOOK_FILE, verify


@click.command(
    "check",
    epilog="\b\nExamples:\n  guide check\n  guide check sessions/window-seat-cushion workflows/quilt.yaml\n"
    "  guide check sessions/window-seat-cushion/2026-03-01.jsonl",
)
@click.argument("files", nargs=-1)
def command(files: tuple[str, ...]) -> int:
    """Check FILES: projects (a folder or project.yaml), stage files, journals (.jsonl).

    Every problem is shown at its place, with the line, a caret and what to write; hints do no harm. Nothing is
    changed. Ends with 2 when something needs mending, 5 when a journal is damaged.
    """
    return max(_code(name) for name in files or (str(find_project(None, Path("sessions"))),))


def _code(name: str) -> int:
    """Check one file; what stops it does not stop the files after it."""
    try:
        return _check(name)
    except GuideError as error:
        talk(str(error))
        return error.exit_code


def _check(name: str) -> int:
    path = Path(name)
    if path.suffix == ".jsonl":
        return _book(path) if path.name == BOOK_FILE else _journal(path)
    if path.is_dir() or path.name == PROJECT_FILE:
        return _project(path / PROJECT_FILE if path.is_dir() else path)
    return _stage(path) if path.suffix in {".yaml", ".yml"} and kind_of(read_text(path), "") else _project(path)


def _stage(path: Path) -> int:
    """Check a stage file together with the others it will be read with."""
    folder = path.parent.parent if path.parent.name == "workflows" else path.parent
    files = workflow_files(folder, os.environ)
    texts = {n: (shown(f), read_text(f)) for n, f in files.items()}
    mine = shown(path)
    texts[next((name for name, file in files.items() if shown(file) == mine), path.stem)] = (mine, read_text(path))
    language, problems, by_file = read_stages(texts)
    if language is not None:
        problems = problems + check_texts(language) + hints(language, _in_the_table(language))
    # What another file needs and no longer finds is this file's mistake too, where it replaces a shipped one.
    return _tell([p for p in problems if p.file == mine or not p.hint], by_file, mine)


def _in_the_table(language: Language) -> set[str]:
    """List the names that the plan's table, its advice and a cutting day read: they are used."""
    from guide.plan.day import RULER
    from guide.plan.warn import PLACES

    shown = {name for name, label in language.labels.items() if label.group}
    return shown | {name for _, *names in PLACES for name in names} | {*LOADED, RULER}


def _project(path: Path) -> int:
    text = read_text(path)
    texts = {n: (shown(f), read_text(f)) for n, f in workflow_files(path.parent, os.environ).items()}
    language, problems, by_file = read_stages(texts)
    by_file[shown(path)] = text
    if language is not None:
        problems = problems + check_texts(language)
        if not any(not p.hint for p in problems):
            project, loaded = read_project(
                text, path.name, language.stages, beneath=language.machine, kinds=language.beside["cloths"]
            )
            problems += [msgspec.structs.replace(p, file=shown(path)) for p in loaded.problems]
            problems += _left_out(project, path, loaded)
    code = _plans(path) if all(p.hint for p in problems) else 0
    return _tell(problems, by_file, shown(path), good=code == 0) or code


def _left_out(project: Project | None, path: Path, loaded: Loaded) -> list[Problem]:
    """Hint at stage files beside a project whose steps it does not ask for."""
    own = workflows_in(path.parent / "workflows")
    mine = sorted(name for name, file in own.items() if kind_of(read_text(file)) == "stage")
    place = loaded.place(("stages",), key=True)
    return [
        Problem(
            shown(path),
            place.line,
            place.column,
            "stages",
            f"workflows/{name}.yaml is read, but its steps are left out; "
            f"to have them write stages: [{', '.join((*project.stages, name))}]",
            hint=True,
        )
        for name in mine
        if project is not None and name not in project.stages
    ]


def _plans(path: Path) -> int:
    """Check that the project can be planned: stock, cloth widths, sums."""
    here = open_here(path)
    try:
        plan = make_plan(here.project, here.language)
    except GuideError as error:
        say(f"{shown(path)}: {error}")
        return error.exit_code
    for warned in plan.warnings:
        say(f"{shown(path)}: {warned.name}: {warned.text}  (a hint)")
    return 0


def _tell(problems: list[Problem], texts: dict[str, str], name: str, *, good: bool = True) -> int:
    """Print what was found; say that all is well only where `good`, when nothing else is wrong."""
    wrong = [p for p in problems if not p.hint]
    if problems:
        say(describe(problems, texts))
    count = len(set(wrong))
    if count or good:
        talk(f"{name}: {count} to mend." if count else f"{name}: good.")
    return 2 if wrong else 0


def _book(path: Path) -> int:
    """Verify the book: every checksum and number, and that each line has a place in it."""
    from guide.book.file import fold, read_entries
    from guide.record.journal import describe as described

    entries, damage = read_entries(path.parent)
    book = fold(entries)
    wrong = [f"{shown(path)}:{n}: this line {why}; it was left out." for n, why in sorted(book.problems.items())]
    if damage is not None:
        wrong.append(described(shown(path), damage))
    for problem in wrong:
        say(problem)
    if book.unknown:
        kinds = ", ".join(sorted({entry.what for entry in book.unknown}))
        say(f"{shown(path)}: Kinds of a later version, kept as they are: {kinds}.  (a hint)")
    if not wrong:
        talk(f"{shown(path)}: good; the book, {counted(len(entries), 'line')}, all checksums right.")
        return 0
    return damage.exit_code if damage is not None else 2


def _journal(path: Path) -> int:
    """Verify a journal: every checksum, number and correction, and what the record says of itself."""
    verdict = verify(path)
    for problem in verdict.wrong:
        say(problem)
    for told in verdict.told:
        say(f"{shown(path)}: {told}  (a hint)")
    state = "closed" if verdict.closed else "open"
    if not verdict.wrong:
        talk(f"{shown(path)}: good; {state}, {counted(verdict.records, 'record')}, all checksums right.")
        return 0
    if verdict.records:
        good = f"{counted(verdict.records, 'record')} {are(verdict.records)} good"
        talk(f"{shown(path)}: {good}; guide log and guide export show {'it' if verdict.records == 1 else 'those'}.")
    return JournalDamaged.exit_code if read_journal(path).damaged else 2


# What may stand in the files, for editors.

NUMBER = r"(?:\d{1,9}(?:\.\d{1,9})?|\.\d{1,9}|(?:\d{1,6}[ -])?\d{1,6}/\d{1,6}|\d{0,6} ?[½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞])"
LENGTH = rf"^\s*{NUMBER}\s*[A-Za-z]+\s*$"
PATTERNS = {
    "length": LENGTH,
    "percent": r"^\s*-?\d{1,4}(\.\d{1,6})?\s*%\s*$",
    "duration": r"^\s*\d{1,6}(\.\d{1,4})?\s*(s|sec|seconds|min|minutes|h|hour|hours)\s*$",
    "weight": r"^\s*\d{1,6}(\.\d{1,4})?\s*(kg|g|oz|lb)\s*$",
    "cloth_weight": r"^\s*\d{1,5}(\.\d{1,4})?\s*(g|oz)\s*/\s*(m|yd)[2²]\s*$",
    "colour": rf"^\s*(#[0-9a-fA-F]{{6}}|{'|'.join(COLOURS)})\s*$",
    "photo": r"^(?!/)(?!.*\.\.)[^\\:]{1,200}\.([jJ][pP][eE]?[gG]|[pP][nN][gG])$",
    "rate": r"^\s*\d{1,9}(\.\d{1,6})?\s*(/|per)\s*[a-z]+\s*$",
}
EXAMPLES = {
    "length": "6 1/2 in",
    "percent": "4 %",
    "duration": "50 min",
    "weight": "5 kg",
    "cloth_weight": "150 g/m2",
    "colour": "#7a8b6c",
    "photo": "moss.jpg",
}


@click.command(
    "schema",
    epilog="\b\nExamples:\n  guide schema project > project.schema.json\n  guide schema stage > stage.schema.json\n\n"
    "\b\n"
    "In an editor with a YAML language server, put this on a file's first line:\n"
    "  # yaml-language-server: $schema=project.schema.json",
)
@click.argument("what", metavar="KIND", type=click.Choice(["project", "stage", "class", *BY_HAND]))
def schema_command(what: str) -> None:
    """Print the JSON Schema (2020-12) of a KIND of file, with every key's meaning and unit.

    KIND is project, stage, class, or what lies beside the stages: cloths, pads, troubles, machines.
    """
    from guide.teach.course import CLASS

    if what in BY_HAND:
        key = Key("map", "what a workflows folder holds beside the stages", keys={what: BESIDE[what]})
    else:
        key = {"stage": STAGE, "class": CLASS}.get(what) or shape_for(language_for(Path(), os.environ).stages)
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": f"A fraywork {what} file"}
    say_json(head | _schema(key))


def _schema(key: Key) -> dict[str, Any]:
    """Give the schema of one key. A kind of key is a case: what each may hold is said in words of the schema's own."""
    out: dict[str, Any] = {"description": _says(key)} if _says(key) else {}
    match key.kind:
        case "map":
            out |= {"type": "object", "properties": {name: _schema(inner) for name, inner in key.keys.items()}}
            out["additionalProperties"] = _schema(key.item) if key.item else False
            if needed := [name for name, inner in key.keys.items() if inner.required]:
                out["required"] = needed
            if key.one_of:
                out["anyOf"] = [{"required": [name]} for name in key.one_of]
        case "list":
            out |= {"type": "array", "items": _schema(key.item) if key.item else {}}
        case "names":
            word: dict[str, Any] = {"type": "string"} | ({"enum": list(key.choices)} if key.choices else {})
            out["anyOf"] = [{"type": "array", "items": word, "uniqueItems": True}, word]
        case "either":
            out["anyOf"] = [_schema(option) for option in key.options]
        case "choice":
            out["enum"] = [*key.choices, *([None] if "none" in key.choices else [])]
        case "count":
            out |= {"type": "integer"} | _limits(key)
        case "number":
            out |= {"type": "number"} | _limits(key)
        case "money":
            out["anyOf"] = [{"type": "number", "minimum": 0}, {"type": "string", "pattern": r"^\d{1,9}(\.\d{1,6})?$"}]
        case "flag":
            out["type"] = "boolean"
        case "formula" | "size" | "text":
            out |= {"type": ["string", "number"]}
        case _:
            out |= {"type": "string", "pattern": PATTERNS[key.kind]}
    return out


def _limits(key: Key) -> dict[str, Any]:
    limits = {"minimum": key.at_least, "exclusiveMinimum": key.over, "maximum": key.at_most}
    return {name: value for name, value in limits.items() if value is not None}


def _says(key: Key) -> str:
    said = key.says
    if key.kind in EXAMPLES:
        said += f" ({key.kind.replace('_', ' ')}, like {EXAMPLES[key.kind]})"
    if key.kind == "rate":
        said += f" (like {'18.00' if key.per[0] == 'hour' else '9.60'} / {key.per[0]})"
    return f"{said}; when not written: {key.when_absent}" if key.default else said
