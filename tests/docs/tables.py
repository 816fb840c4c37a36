"""The tables in the program's own documentation, made from what the program goes by."""

from collections.abc import Iterator

import click
from msgspec import structs

from guide.cli import COMMANDS, guide
from guide.follow.by_hand import TABLE as HAND
from guide.follow.keys import TABLE as KEYS
from guide.read.formula import FUNCTIONS, UNITS
from guide.read.model import Key
from guide.read.places import language_for
from guide.read.project import shape_for
from guide.read.project_keys import MADE, OF_MACHINE, named
from guide.read.stage_keys import PICTURES, STAGE, TABLES
from guide.teach.course import CLASS

BEGIN, END = "<!-- made by `python -m tests.docs` from here -->", "<!-- to here -->"
UNIT = {
    "length": "length", "count": "whole number", "percent": "%", "money": "money", "text": "text", "flag": "true or false",
    "duration": "time", "weight": "weight", "cloth_weight": "weight / area", "colour": "colour", "photo": "file", "formula": "formula", "number": "number", "size": "length or formula", "names": "names",
    "map": "keys", "list": "list", "either": "one of",
}  # fmt: skip
EXITS = {
    0: "done", 2: "wrong use, a file that needs mending, or `check` found something",
    3: "our bug: a report was written, and its path is said", 4: "the session is open elsewhere",
    5: "a journal is damaged; its good part is still shown (a record cut off while it was being saved is no damage)",
    6: "cannot write there",
    129: "stopped: the terminal went away", 130: "stopped with Ctrl-C", 143: "stopped by another program",
}  # fmt: skip


MANY = 20  # choices, over which they have a table of their own


def row(*cells: str) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def table(head: tuple[str, ...], rows: Iterator[tuple[str, ...]]) -> list[str]:
    return [row(*head), "|" + "---|" * len(head), *(row(*cells) for cells in rows), ""]


def unit(shape: Key) -> str:
    """What may be written there."""
    if shape.kind == "choice" and len(shape.choices) > MANY:
        return "one of the names below"
    if shape.kind == "choice":
        return " · ".join(f"`{word}`" for word in shape.choices)
    if shape.kind == "rate":
        return f"money / {', '.join(shape.per)}"
    if shape.kind == "names" and shape.choices:
        return "of " + ", ".join(f"`{word}`" for word in shape.choices)
    if shape.kind == "either":
        return " or ".join(unit(option) for option in shape.options)
    return UNIT[shape.kind]


def keys(shape: Key, path: str = "") -> Iterator[tuple[str, ...]]:
    """Every key of a file, as `path, what may be written, when not written, what it is`."""
    for name, inner in shape.keys.items():
        default = "an error" if inner.required else inner.when_absent
        yield f"`{path}{name}`", unit(inner), default, inner.says
        for way in (inner, *inner.options):
            item = way.item
            yield from keys(way, f"{path}{name}.")
            if item is not None:
                mark = "[]" if way.kind == "list" else ".NAME"
                yield from keys(item, f"{path}{name}{mark}.")


def commands() -> Iterator[str]:
    with click.Context(guide, info_name="guide", **guide.context_settings) as top:
        for name, says in COMMANDS.items():
            yield from command_lines(guide.get_command(top, name), top, name, says)


def command_lines(command: click.Command, parent: click.Context, name: str, says: str) -> Iterator[str]:
    """A command's usage and options, and those of the commands in it."""
    with click.Context(command, parent=parent, info_name=name) as context:
        yield f"**`{context.get_usage().removeprefix('Usage: ')}`** {says}"
        yield ""
        for param in command.params:
            if isinstance(param, click.Option):
                record = param.get_help_record(context)
                assert record is not None
                yield f"- `{record[0]}` {record[1]}"
        yield ""
        for inner in command.commands.values() if isinstance(command, click.Group) else ():
            yield from command_lines(inner, context, inner.name or "", (inner.help or "").split("\n")[0])


def projects() -> Key:
    """The keys of a project file, with those that the shipped stages add."""
    return shape_for(language_for(None, {"FRAYWORK_HOME": "/nonexistent"}).stages)


def names() -> Iterator[tuple[str, ...]]:
    """The names that a project's keys have in formulas, and those made of how it is written."""
    for path, key in [
        *named(projects()),
        *((key.at, structs.replace(key, name=name)) for name, key in [*MADE.items(), *OF_MACHINE.items()]),
    ]:
        needs = f" ({key.stage} stage)" if key.stage else ""
        yield f"`{key.name}`", key.dim, f"`{'.'.join(map(str, path))}`", key.says + needs


def pages() -> dict[str, list[str]]:
    """What is made of each page of the program's own documentation, by the page's name."""
    head = ("key", "write", "when not written", "what it is")
    ends = "whatever stops it, what was acknowledged is in the journal"
    return {
        "commands": [
            "`guide -h` and `guide COMMAND -h` say this too. PROJECT is a folder, its `project.yaml`, or the plain",
            "name of a folder under `sessions`; SESSION a journal or a project (its newest session); with none named, the",
            "project last worked on, and it says which.", "",
            *commands(),
            "## Exit codes", "", *table(("code", "means"), ((str(code), said) for code, said in EXITS.items())),
            f"For scripts: data goes to stdout, talk to stderr; {ends}.",
        ],
        "layout": table(("key", "what it does"), ((f"`{key.letter}`", f"{key.word}: {key.help}") for key in HAND)),
        "machine": table(("key", "what it does"), ((f"`{key.letter}`", f"{key.word}: {key.help}") for key in KEYS)),
        "project": [
            "`[]` is each item of a list. What a key of a closure's own does, its stage says; of another closure it is refused.", "",
            *table(head, keys(projects())),
        ],
        "stages": [
            *table(head, keys(STAGE)),
            "## Pictures", "",
            "A step's `picture`, drawn with the project's own prints and to its sizes. It shows of the numbers and words those",
            "that the step itself shows or says, and no others; where it does not apply, it is left out.", "",
            *table(("picture", "shows"), ((f"`{name}`", says) for name, (_, says) in PICTURES.items())),
        ],
        "class": table(head, keys(CLASS)),
        "formulas": [
            "## Names a formula may use", "",
            "What a project says, by its flat name; besides, every name under any stage's `work_out` and `inputs`",
            "(`guide plan --all` lists them with their values). A name that does not apply is none, and so is what hangs from it.", "",
            *table(("name", "is a", "from the key", "what it is"), names()),
            "A step with `each` has a row's columns as names too:", "",
            *table(("each", "columns"), ((f"`{name}`", ", ".join(f"`{c}`" for c in columns)) for name, columns in TABLES.items())),
            "## What a formula may do", "",
            "`+ - * / // %`, `**` with a plain 0 to 4, `< <= == != >= >`, `and or not`, `a if x else b`, `none`, texts only beside",
            f"`==` and `!=`. A unit is a length: {', '.join(f'`{u}`' for u in UNITS)}; write `3 * mm`, `seam + inch / 8`. Functions:", "",
            *table(("function", "gives"), ((f"`{name}`", one.says) for name, one in FUNCTIONS.items())),
            "A step's words may print `{{ name }}`, and choose: `{{ 'two' if make == 2 else 'more' }}`,",
            "`{% if label_width > 6 * inch %}…{% endif %}`. What an `if` asks is reckoned as in a formula: a length is compared with",
            "a length, so give a number its unit. A bare name asks whether it applies and is not nothing.",
        ],
    }  # fmt: skip


def made(page: str) -> str:
    """The made part of a page."""
    return "\n".join(pages()[page]).strip()
