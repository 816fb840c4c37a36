"""The measures of the house: how much code there is, in how many files, and how much of it one command walks through.

`python -m tests.bench.house` prints them against their goals; `tests/test_house.py` holds those that must not grow.
"""

import ast
import io
import subprocess
import sys
import tokenize
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import click

from guide import cli
from guide.follow.by_hand import TABLE as HAND
from guide.follow.keys import TABLE
from guide.read.formula import FUNCTIONS
from guide.read.model import Key
from guide.read.places import language_for
from guide.read.project_keys import PROJECT
from guide.read.stage_keys import PICTURES
from guide.teach.course import CLASS
from tests.bench import start_rows

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "guide"
LINES_PER_THING = 41.0  # nine tenths of the 45.6 before what stood twice was said once: 19,700 lines, 432 things
README_LINES = 150
FILES = 185


def code_lines(source: str) -> int:
    """Count the lines of a file that hold code: no blank ones, no comments, no docstrings."""
    silent = {tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENDMARKER}
    lines: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type not in silent:
            lines.update(range(token.start[0], token.end[0] + 1))
    holders = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, holders) and ast.get_docstring(node, clean=False) is not None:
            first = node.body[0]
            lines -= set(range(first.lineno, (first.end_lineno or first.lineno) + 1))
    return len(lines)


def sources() -> list[Path]:
    """Every Python file of the package."""
    return sorted(PACKAGE.rglob("*.py"))


def walked(*argv: str) -> int:
    """Count the package's modules that one command loads, in an interpreter of its own."""
    script = (
        "import sys\nfrom guide.cli import run\n"
        f"run({list(argv)!r})\n"
        "names = [name for name in sys.modules if name == 'guide' or name.startswith('guide.')]\n"
        "sys.stderr.write(f'WALKED {len(names)}')"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, encoding="utf-8", cwd=ROOT, check=False)
    return int(done.stderr.rsplit("WALKED ", 1)[1])


def things() -> int:
    """Count what the program can do, as a maker meets it, whatever code that takes.

    Commands and their options; keys of project and class files and of the shipped stages; the stages' sums and steps;
    pictures a step may have; keys at the machine and of laying by hand; functions of formulas.
    """
    commands = list(_commands(cli.guide))
    options = [one for command in commands for one in command.params if isinstance(one, click.Option)]
    language = language_for(None, {"FRAYWORK_HOME": str(ROOT / "nowhere")})
    of_stages = [len(stage.steps) + len(stage.sums) + len(stage.inputs) for stage in language.stages]
    return (
        len(commands)
        + len(options)
        + _keys(PROJECT)
        + _keys(CLASS)
        + sum(of_stages)
        + len(PICTURES)
        + len(TABLE)
        + len(HAND)
        + len(FUNCTIONS)
    )


def _commands(command: click.Command) -> Iterator[click.Command]:
    """Give a command and all below it."""
    yield command
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            below = command.get_command(context, name)
            assert below is not None
            yield from _commands(below)


def _keys(key: Key) -> int:
    """Count the keys that may be written in a file."""
    inner = (*key.keys.values(), *key.options, *([key.item] if key.item else []))
    return len(key.keys) + sum(_keys(one) for one in inner)


def lines_per_thing() -> float:
    """Give the code lines of the package over what it can do: so it may grow, and not get fat."""
    return sum(code_lines(path.read_text(encoding="utf-8")) for path in sources()) / things()


class Measure(NamedTuple):
    """What the house is measured by: the figure now, and what it is to be at most."""

    name: str
    now: float
    goal: float


def measures() -> list[Measure]:
    """Give every measure of the files, and of how many of them a command walks through."""
    texts = {path: path.read_text(encoding="utf-8") for path in sources()}
    upper = [text for path, text in texts.items() if path.relative_to(PACKAGE).parts[0] in {"show", "commands"}]
    journal = next((ROOT / "sessions").rglob("*.jsonl"))
    return [
        Measure("code lines for each thing it can do", lines_per_thing(), LINES_PER_THING),
        Measure("Python files in guide", len(texts), FILES),
        Measure("modules a log loads", walked("log", str(journal.relative_to(ROOT)), "-o", "-"), 110),
        Measure("modules a plan loads", walked("plan", str(journal.parents[1].relative_to(ROOT))), 110),
        Measure("dict[str, Any] in show and commands", sum(text.count("dict[str, Any]") for text in upper), 20),
        Measure("templates", sum(1 for path in PACKAGE.rglob("*.j2")), 10),
        Measure("lines of README", len((ROOT / "README.md").read_text(encoding="utf-8").splitlines()), README_LINES),
    ]


def main() -> None:
    """Print every measure against its goal; those of time last, for they take longest."""
    for one in measures():
        _print(one)
    for row in start_rows.rows():
        mine, other = row.measure()
        _print(Measure(f"{row.name}, over {row.compared_with}", mine / other, row.at_most))


def _print(one: Measure) -> None:
    told = "holds" if one.now <= one.goal else "MISSED"
    print(f"{one.now:8,.4g}  goal ≤ {one.goal:<6g} {told:<7} {one.name}", flush=True)


if __name__ == "__main__":
    main()
