"""The house rules that a machine can hold: sizes, floors, who imports what, what is left undone."""

import ast
import re
import subprocess
import sys
import tomllib
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from guide.show.pictures import svg
from tests.bench import house
from tests.bench.house import code_lines

ROOT = Path(__file__).parent.parent
SOURCES = sorted((ROOT / "guide").rglob("*.py"))


@cache
def tree(path: Path) -> ast.Module:
    """A file as Python reads it, read once for all rules."""
    return ast.parse(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "path", SOURCES + sorted((ROOT / "tests").rglob("*.py")), ids=lambda p: str(p.relative_to(ROOT))
)
def test_no_file_is_over_500_lines(path):
    """A file is a room where what belongs together is found together; over 500 lines nobody finds it any more."""
    assert len(path.read_text(encoding="utf-8").split("\n")) <= 501


def test_a_function_fits_on_a_screen():
    """No function of the program is over 50 lines."""
    long = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.name}"
        for path in SOURCES
        for node in ast.walk(tree(path))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.end_lineno - node.lineno + 1 > 50
    ]
    assert long == []


def test_what_the_tests_import_comes_with_the_command_in_the_readme():
    """`.[test]` is all that README installs: a test that needs more skips itself, it does not fail to load."""
    projects = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = projects["dependencies"] + projects["optional-dependencies"]["test"]
    there = {re.split(r"[<>=]", one)[0].lower().replace("-", "_") for one in wanted} | {"yaml", "markupsafe"}
    for path in sorted((ROOT / "tests").rglob("*.py")):
        for node in tree(path).body:
            names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            names += [node.module] if isinstance(node, ast.ImportFrom) else []
            for name in (name.partition(".")[0] for name in names):
                assert name in there | {"guide", "tests"} | sys.stdlib_module_names, (str(path), name)


def test_every_dependency_says_the_lowest_version_it_works_with():
    """`.ci/lowest`, which `.ci/run` begins with, installs just those: the program's and its build's, each as written."""
    data = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    groups = [data["project"]["dependencies"], *data["project"]["optional-dependencies"].values()]
    bare = [one for group in groups for one in group if not one.startswith("fraywork[") and ">=" not in one]
    assert bare == []
    script = [sys.executable, str(ROOT / ".ci" / "lowest"), "--pins"]
    pins = subprocess.run(script, capture_output=True, encoding="utf-8", check=True).stdout.split()
    assert {one.replace(">=", "==") for one in groups[0] + data["build-system"]["requires"]} <= set(pins)
    assert re.search(r"^\.ci/lowest$", (ROOT / ".ci" / "run").read_text(encoding="utf-8"), re.MULTILINE)


def test_the_median_file_is_short():
    """Rooms, no halls: some 190 files at 37,000 lines of code; what explains them is not counted against them."""
    lengths = sorted(code_lines(path.read_text(encoding="utf-8")) for path in SOURCES)
    assert lengths[len(lengths) // 2] < 230


def test_the_code_grows_with_what_it_can_do():
    """45.6 lines for each thing before what stood twice was said once; `python -m tests.bench.house` has the goals."""
    assert house.lines_per_thing() < 45


def test_a_maker_reads_the_readme_in_five_minutes():
    """What more there is to say stands in guide/docs."""
    assert len((ROOT / "README.md").read_text(encoding="utf-8").splitlines()) <= house.README_LINES


def loaded_by(code: str) -> set[str]:
    """Run a command in a fresh interpreter and list the top-level modules it loaded."""
    script = (
        "import sys\nfrom guide.cli import run\n"
        f"code = run({code})\n"
        "sys.stderr.write('\\nLOADED ' + ' '.join(sorted({m.split('.')[0] for m in sys.modules})))\n"
        "raise SystemExit(code)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, encoding="utf-8", cwd=ROOT, check=False)
    assert done.returncode == 0, done.stderr
    return set(re.search(r"LOADED (.*)", done.stderr)[1].split())


HEAVY = {"prompt_toolkit", "jinja2", "pint", "yaml", "msgspec", "numpy", "scipy"}
DEMO = "sessions/window-seat-cushion"


@pytest.mark.parametrize(
    ("argv", "may"),
    [
        (["--version"], set()),
        (["-h"], set()),
        (["plan", DEMO], {"yaml", "msgspec"}),
        (["plan", DEMO, "--json"], {"yaml", "msgspec"}),
        (["why", "zip_cut", DEMO], {"yaml", "msgspec"}),
        (["layout", DEMO], {"yaml", "msgspec"}),
        (["price", DEMO], {"yaml", "msgspec"}),
        (["history"], {"yaml", "msgspec"}),
        (["paces"], {"yaml", "msgspec"}),
        (["check", DEMO], {"pint", "yaml", "msgspec", "jinja2"}),
        (["checklist", DEMO, "-o", "-"], {"yaml", "msgspec", "jinja2"}),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_a_command_imports_only_what_it_needs(argv, may):
    """No command waits for a library it does not use; numpy is never loaded by anything."""
    assert loaded_by(repr(argv)) & HEAVY <= may


def tracked() -> list[Path]:
    out = subprocess.run(["git", "ls-files"], capture_output=True, encoding="utf-8", cwd=ROOT, check=False).stdout
    return [ROOT / name for name in out.split("\n") if name]


def test_the_top_level_holds_only_what_was_agreed():
    """README, DEVELOPERS, pyproject, guide, workflows, tests, sessions, LICENSE and dot-files: nothing else."""
    names = {path.relative_to(ROOT).parts[0] for path in tracked()}
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "guide", "workflows", "tests", "sessions", "LICENSE"}
    assert {name for name in names if not name.startswith(".")} <= agreed


def test_a_colour_of_pages_and_drawings_is_written_once():
    """In `show/pictures/svg.py`: pages, the page beside the machine and drawings take it from there."""
    palette = house.PACKAGE / "show" / "pictures" / "svg.py"
    ours = {colour for row in (svg.LIGHT, svg.DARK, svg.PRINT) for colour in row.values() if len(colour) == 7}
    assert len(ours) > 10
    files = (one for one in house.PACKAGE.rglob("*.*") if one.suffix in {".py", ".css", ".js", ".j2", ".html"})
    again = {
        f"{path.name}: {colour}"
        for path in files
        if path != palette
        for colour in ours & set(re.findall(r"#[0-9a-f]{6}\b", path.read_text(encoding="utf-8")))
    }
    assert not again


def test_no_todo_is_left():
    """Nothing is called done that says it is not."""
    marks = re.compile(r"\b(TO" + "DO|FIX" + "ME|XX" + "X)\b")
    assert [str(path) for path in SOURCES if marks.search(path.read_text(encoding="utf-8"))] == []


HOUR = {
    ("time", "time"), ("time", "time_ns"), ("time", "localtime"), ("time", "gmtime"), ("time", "ctime"),
    ("time", "strftime"), ("time", "mktime"), ("time", "tzset"), ("time", "timezone"), ("time", "tzname"),
    ("datetime", "now"), ("datetime", "utcnow"), ("datetime", "today"), ("date", "today"),
}  # fmt: skip
LENGTH = {
    ("time", "monotonic"), ("time", "monotonic_ns"), ("time", "perf_counter"), ("time", "perf_counter_ns"),
    ("time", "clock_gettime"), ("time", "clock_gettime_ns"),
}  # fmt: skip
SUBJECT = {
    "tests/conftest.py": "takes the computer's clock away from all tests but those that ask for it",
    "tests/fakes.py": "starts the program in this process, by a clock of ours",
    "tests/clocked.py": "starts the program as a process, by a clock of ours",
    "tests/terminal/told.py": "the same, by a clock that a file tells",
    "tests/test_house.py": "what the program imports of itself, with its own clock; and how it looks when a test asks",
    "tests/record/test_promises_time.py": "the computer's clock and zone are the subject",
}
MEASURES = ROOT / "tests" / "bench"  # ratios on the machine at hand, by the program as it is


def asks(node: ast.AST, forbidden: set[tuple[str, str]]) -> bool:
    """Whether this is a question to the machine: its clock, its zone or its locale."""
    match node:
        case ast.Attribute(value=owner, attr=name):
            return (owner.attr if isinstance(owner, ast.Attribute) else getattr(owner, "id", ""), name) in forbidden
        case ast.Call(func=ast.Attribute(attr="astimezone"), args=[]):
            return True
        case ast.Call(func=ast.Attribute(attr="fromtimestamp"), args=[_], keywords=[]):
            return True
        case ast.ImportFrom(module="time", names=names):
            return any(("time", one.name) in forbidden for one in names)
        case ast.Import(names=names):
            return any(one.name == "locale" for one in names)
        case _:
            return isinstance(node, ast.ImportFrom) and node.module == "locale"


def in_the_machines_coding(node: ast.AST) -> bool:
    """Whether this reads or writes a text in whatever coding the locale says."""
    if not isinstance(node, ast.Call) or any(one.arg in {"encoding", None} for one in node.keywords):
        return False
    given = {one.arg: one.value for one in node.keywords}
    match node.func:
        case ast.Attribute(attr="read_text"):
            return not node.args
        case ast.Attribute(attr="write_text"):
            return len(node.args) == 1
        case ast.Name(id="open"):
            return "b" not in str(getattr(node.args[1] if len(node.args) > 1 else given.get("mode"), "value", "r"))
        case _:
            return "text" in given and isinstance(given["text"], ast.Constant) and given["text"].value is True


def starts(node: ast.AST) -> bool:
    """Whether this is the computer's own clock, or the program started so that it takes that."""
    match node:
        case ast.Name(id="SystemClock"):
            return True
        case ast.ImportFrom(module="guide", names=names):
            return any(one.name == "cli" for one in names)
        case ast.ImportFrom(module="guide.cli", names=names):
            return any(one.name in {"run", "main"} for one in names)
        case ast.List(elts=parts) | ast.Tuple(elts=parts):
            return ("-m", "guide") in pairwise(getattr(part, "value", None) for part in parts)
        case _:
            return isinstance(node, ast.Constant) and "from guide.cli import" in str(node.value)


def test_no_test_asks_the_machine_for_the_hour_the_zone_or_the_locale():
    """A clock is passed in (tests/fakes.py), or the clock is the subject; the list of those has none too many."""
    found = {
        str(path.relative_to(ROOT))
        for path in (ROOT / "tests").rglob("*.py")
        if MEASURES not in path.parents
        for node in ast.walk(tree(path))
        if asks(node, HOUR) or starts(node)
    }
    assert found == set(SUBJECT)


def test_only_the_clock_reads_clocks():
    """Everything else in the program is handed a reading, so that tests and rehearsals can make time go by."""
    found = {
        str(path.relative_to(ROOT)) for path in SOURCES for node in ast.walk(tree(path)) if asks(node, HOUR | LENGTH)
    }
    assert found == {"guide/record/clock.py", "guide/system.py"}


OF_ONE_SYSTEM = re.compile(
    r"\b(fcntl|msvcrt|pwd|termios|winreg|ctypes|windll|O_[A-Z]*(?:CLOEXEC|NOFOLLOW|DIRECTORY|NONBLOCK|BINARY|NOCTTY)|F_FULLFSYNC"
    r"|SIG(?:HUP|TSTP|BREAK|USR\d|CHLD|QUIT)|CLOCK_[A-Z_]+|sys\.platform|os\.name|platform\.system|getuid|tcgetpgrp|pread"
    r"|f(?:data)?sync|fch(?:mod|own)|flock|select\.select|APPDATA|USERPROFILE|XDG_[A-Z_]+)\b|[\"']/(?:proc|dev)/"
)


def differs(source: ast.Module) -> list[str]:
    """What a source names that only some systems have, or have otherwise; its comments and docstrings apart."""
    names = []
    for node in ast.walk(source):
        match node:
            case ast.Import(names=found):
                names += [one.name for one in found]
            case ast.ImportFrom(module=str(found)):
                names.append(found)
            case ast.Attribute():
                names += [ast.unparse(node)]
            case ast.Constant(value=str(text)) if " " not in text:
                names.append(repr(text))
    return [name for name in names if OF_ONE_SYSTEM.search(name)]


def test_what_differs_from_system_to_system_stands_in_one_file():
    """Windows, macOS and Linux are told apart in guide/system.py only; everything else asks that."""
    found = {str(path.relative_to(ROOT)) for path in SOURCES if differs(tree(path))}
    assert found == {"guide/system.py"}


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("import fcntl", True), ("from pwd import getpwuid", True), ("os.O_CLOEXEC", True), ("getattr(os, 'O_NOFOLLOW', 0)", True),
        ("signal.SIGHUP", True), ("time.CLOCK_BOOTTIME", True), ("sys.platform == 'win32'", True), ("os.name", True),
        ("Path('/proc/self/fd')", True), ("os.fsync(fd)", True), ("environ.get('APPDATA')", True), ("os.pread(fd, 1, 0)", True),
        ("os.O_RDONLY", False), ("signal.SIGINT", False), ("path.name", False), ("'the /proc/ of Linux'", False),
        ("event.os_name", False), ("system.sync(fd)", False),
    ],
)  # fmt: skip
def test_what_one_system_has_is_found(source, found):
    """The ways there are; what every system has, and a word in a sentence, is none."""
    assert bool(differs(ast.parse(source))) is found


def test_every_text_is_read_and_written_as_utf_8():
    """On a machine of another coding too: in the program, and in what its tests lay down and take back."""
    found = [
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for folder in ("guide", "tests")
        for path in (ROOT / folder).rglob("*.py")
        for node in ast.walk(tree(path))
        if in_the_machines_coding(node)
    ]
    assert found == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("path.read_text()", True), ("path.write_text(text)", True), ("open(path)", True), ("open(path, 'w')", True),
        ("run(argv, text=True)", True), ("path.read_text(encoding='utf-8')", False), ("open(path, 'rb')", False),
        ("open(path, mode='rb')", False), ("run(argv, encoding='utf-8')", False), ("Bench().open('Glue')", False),
        ("path.write_text(text, 'utf-8')", False), ("report(texts=True)", False),
    ],
)  # fmt: skip
def test_a_text_in_the_machines_coding_is_found(source, found):
    """The ways there are; bytes have no coding."""
    assert any(in_the_machines_coding(node) for node in ast.walk(ast.parse(source))) is found


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("time.time()", True), ("from time import time_ns", True), ("datetime.datetime.now()", True),
        ("datetime.now(UTC)", True), ("date.today()", True), ("moment.astimezone()", True),
        ("datetime.fromtimestamp(0)", True), ("import locale", True), ("from locale import setlocale", True),
        ("time.localtime(0)", True), ("time.tzname", True), ("clock = SystemClock()", True),
        ("from guide.cli import COMMANDS, run", True), ("from guide import cli", True),
        ("call([python, '-m', 'guide', 'plan'])", True), ("code = 'from guide.cli import run; run()'", True),
        ("moment.astimezone(UTC)", False), ("datetime.fromtimestamp(0, UTC)", False), ("time.monotonic()", False),
        ("clock.now()", False), ("from guide.cli import COMMANDS", False), ("['-m', 'tests.terminal.runner']", False),
    ],
)  # fmt: skip
def test_who_asks_the_machine_is_found(source, found):
    """Each of the ways there are; a moment in a zone that is said and a length of time are none."""
    assert any(asks(node, HOUR) or starts(node) for node in ast.walk(ast.parse(source))) is found
