"""Streams that are closed, or that nobody reads to the end: every command ends in order."""

import json
import os
import subprocess
import sys

import pytest

from guide import system
from guide.cli import COMMANDS
from tests.commands.worked import worked
from tests.fakes import program

DEMO = "sessions/window-seat-cushion"
JOURNAL = f"{DEMO}/2026-03-01.jsonl"
GIVEN = {
    "new": ["Reading chair", "--no-input"],
    "why": ["zip_cut", DEMO],
    "follow": [DEMO, "--rehearse"],
    "log": [JOURNAL, "--markdown", "-o", "-"],
    "checklist": [DEMO, "-o", "-"],
    "sheet": [DEMO, "-o", "-"],
    "amend": [JOURNAL],
    "price": [DEMO],
    "export": [JOURNAL],
    "check": [DEMO],
    "schema": ["project"],
    "class": ["-h"],
}


@pytest.fixture
def begun(workshop):
    """A session to read, in the demo's folder."""
    worked(DEMO, 0, lambda step: step.pace_s)
    return workshop


def start(argv, shut="", **streams):
    """Run the program; `shut` closes a stream before it begins, as a shell does."""
    command = [sys.executable, *program(*argv)]
    if shut:
        command = ["sh", "-c", f'exec "$@" {shut}', "sh", *command]
    return subprocess.run(command, check=False, stderr=subprocess.PIPE, encoding="utf-8", **streams)


FORKS = """
import json, os, sys
import guide.cli, tests.fakes, guide.show.report, guide.money.quote, guide.show.pages
codes = []
for argv in json.loads(sys.argv[1]):
    if not (child := os.fork()):
        sys.argv[1:] = argv
        guide.cli.main(tests.fakes.midday())
    codes.append([argv, os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])])
sys.stderr.write(json.dumps(codes))
"""


@pytest.mark.usefixtures("begun")
def test_a_reader_that_goes_away_is_no_mistake():
    """`guide … | head -1`: exit 0, and not a word of a traceback, by whatever command."""
    asked = [["-h"], ["plan", "-h"], *([name, *GIVEN.get(name, [])] for name in COMMANDS)]
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(
        [sys.executable, "-c", FORKS, json.dumps(asked)],
        check=True,
        stdin=subprocess.DEVNULL,
        stdout=writer,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    )
    os.close(writer)
    assert json.loads(done.stderr.split("\n")[-1]) == [[argv, 0] for argv in asked]
    assert "Traceback" not in done.stderr
    assert "BrokenPipe" not in done.stderr


@pytest.mark.usefixtures("begun")
@pytest.mark.parametrize("argv", [["plan"], ["follow", "--plain"]], ids=" ".join)
def test_a_closed_stdout_is_nobody_reading(argv):
    """`guide … >&-` ends like `guide … >/dev/null`."""
    done = start(argv, ">&-", stdin=subprocess.DEVNULL)
    assert (done.returncode, "Traceback" in done.stderr) == (0, False)


@pytest.mark.usefixtures("begun")
@pytest.mark.parametrize("argv", [["amend", JOURNAL], ["follow", DEMO, "--new"], ["new", "Reading chair"]], ids=" ".join)  # fmt: skip
def test_a_closed_stdin_is_nobody_there(argv):
    """`guide … <&-` says and ends what `guide … </dev/null` does; our own bug it is not."""
    done = start(argv, "<&-", stdout=subprocess.DEVNULL)
    nobody = start([word.replace("Reading", "Other") for word in argv], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)  # fmt: skip
    assert "went wrong" not in done.stderr
    assert done.returncode == nobody.returncode


@pytest.mark.parametrize(
    "argv",
    [["plan", DEMO, "--page", "-"], ["price", DEMO, "--page", "-"], ["price", DEMO, "--quote", "-"]],
    ids=" ".join,
)
def test_a_page_for_a_dash_goes_to_stdout(guide, workshop, argv):
    """As `-o -` does elsewhere: the page and nothing else on stdout, and no file named `-`."""
    said = guide(*argv)
    assert said.code == 0
    assert said.out.startswith("<!doctype html>")
    assert said.out.rstrip().endswith("</html>")
    assert "Written" not in said.err
    assert not (workshop / "-").exists()


@pytest.mark.usefixtures("workshop")
@pytest.mark.parametrize(
    "argv", [["plan", DEMO, "--json", "--page", "-"], ["price", DEMO, "--page", "-", "--quote", "-"]], ids=" ".join
)
def test_two_things_for_one_stdout_are_refused(guide, argv):
    """Nobody could take them apart again."""
    said = guide(*argv)
    assert (said.code, said.out) == (2, "")
    assert "to stdout" in said.err


@pytest.mark.usefixtures("begun")
@pytest.mark.parametrize(
    ("argv", "coding"),
    [
        (["plan", DEMO], "latin-1"), (["plan", DEMO], "cp1252"), (["plan", DEMO], "ascii"), (["plan", "--json"], "ascii"),
        (["log", *GIVEN["log"]], "ascii"), (["log", JOURNAL, "-o", "-"], "ascii"), (["history"], "ascii"),
    ],
    ids=lambda value: value if isinstance(value, str) else " ".join(value),
)  # fmt: skip
def test_words_that_a_coding_has_not_are_no_bug(argv, coding):
    """A system of another coding: into a pipe or file all is UTF-8, as pages and JSON say of themselves."""
    done = subprocess.run(
        [sys.executable, *program(*argv)],
        check=False,
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": coding},
    )
    assert (done.returncode, b"went wrong" in done.stderr) == (0, False)
    assert done.stdout.decode("utf-8")


@pytest.mark.parametrize("there", [True, False])
def test_without_groups_of_processes_a_window_is_lost_when_nothing_can_be_typed(monkeypatch, there):
    """As on Windows, which has none to ask for."""
    monkeypatch.delattr(os, "tcgetpgrp", raising=False)
    monkeypatch.setattr(os, "isatty", lambda _fd: there)
    with open(os.devnull, encoding="utf-8") as stdin:
        monkeypatch.setattr(sys, "stdin", stdin)
        assert system.terminal_lost() is not there
