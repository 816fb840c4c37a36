"""Homes that cannot be used and names that are too long end in a sentence; a report of our own bug gives nobody away."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from guide.commands import crash
from tests.fakes import program

DEMO = "sessions/window-seat-cushion"
LONG = "a" * 5000
EVERY = [
    ["plan", DEMO], ["why", "zip_cut", DEMO], ["layout", DEMO], ["price", DEMO], ["check", DEMO], ["sheet", DEMO, "-o", "-"],
    ["checklist", DEMO, "-o", "-"], ["new", "Reading chair", "--no-input"], ["follow", DEMO, "--rehearse"],
]  # fmt: skip


@pytest.mark.parametrize("argv", EVERY, ids=lambda argv: argv[0])
@pytest.mark.parametrize(
    ("home", "why"),
    [
        ("~nobody-of-that-name/x", "there is no such home"),
        (f"/{LONG}", "File name too long"),
        (f"{DEMO}/project.yaml", "it is no folder"),
        (f"{DEMO}/project.yaml/below", "Not a directory"),
        ("around", "Too many levels of symbolic links"),
    ],
    ids=["nobody's", "too long", "a file", "below a file", "round in a circle"],
)
def test_a_home_that_cannot_be_used_is_a_sentence(guide, monkeypatch, argv, home, why):
    """Exit 2, with what is wrong and what to set instead; nothing is written anywhere."""
    Path("around").symlink_to("around")
    monkeypatch.setenv("FRAYWORK_HOME", home)
    before = sorted(Path().rglob("*"))
    said = guide(*argv)
    assert (said.code, said.out) == (2, "")
    assert why in said.err
    assert "FRAYWORK_HOME" in said.err
    assert "Traceback" not in said.err
    assert len(said.err) < 300
    assert sorted(Path().rglob("*")) == before


@pytest.mark.parametrize("home", [None, "", "here"])
def test_with_no_home_at_all_it_says_what_to_set(guide, monkeypatch, home):
    """A user whom the system knows no home of, as in some containers; a folder that is set will do."""
    monkeypatch.delenv("FRAYWORK_HOME")
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    if home is None:
        monkeypatch.delenv("HOME")
        monkeypatch.setattr("pwd.getpwuid", lambda uid: (_ for _ in ()).throw(KeyError(uid)))
    else:
        monkeypatch.setenv("HOME", home)
    said = guide("plan", DEMO)
    assert (said.code, said.out) == (2, "")
    assert "Set FRAYWORK_HOME to a folder" in said.err
    monkeypatch.setenv("FRAYWORK_HOME", str(Path("own").absolute()))
    assert guide("plan", DEMO).code == 0


def test_a_home_that_is_not_there_yet_is_none_to_mend(guide, monkeypatch):
    """A folder still to be made has no stages in it, and is no mistake."""
    monkeypatch.setenv("FRAYWORK_HOME", "still/to/be/made")
    assert guide("plan", DEMO).code == 0
    assert not Path("still").exists()


@pytest.mark.parametrize(
    "argv",
    [
        ["plan", LONG], ["plan", f"{LONG}/project.yaml"], ["why", "pitch", LONG], ["layout", LONG], ["follow", LONG, "--plain"],
        ["log", LONG], ["log", f"{LONG}.jsonl"], ["amend", LONG, "--note", "x"], ["price", LONG], ["checklist", LONG],
        ["sheet", LONG], ["export", LONG], ["plan", DEMO, "--with", LONG], ["check", LONG], ["check", f"{LONG}.jsonl"], ["check", f"{LONG}.yaml"],
        ["history", LONG], ["new", "Reading chair", "--no-input", "--into", LONG], ["help", LONG], ["why", LONG, DEMO],
        ["plan", DEMO, "--page", LONG], ["sheet", DEMO, "-o", LONG], ["price", DEMO, "--quote", f"{LONG}.md"],
    ],
    ids=lambda argv: f"{argv[0]} {len(argv)}",
)  # fmt: skip
def test_a_name_of_five_thousand_letters_is_a_sentence(guide, argv):
    """255 bytes are the most a name may have on Linux's disks: said, with exit 2 (or 6 where it is to be written)."""
    said = guide(*argv)
    assert said.code in ({6} if {"--page", "-o", "--quote", "--into"} & set(argv) else {2}), said.err[:300]
    assert "Traceback" not in said.err
    assert "in fraywork itself" not in said.err
    assert list(Path().rglob("crash*")) == []


def test_what_is_too_long_to_read_is_not_said_of_what_is_to_be_written(guide):
    """The session's name is at fault, not the export's: 2, and no export."""
    said = guide("export", LONG, "-o", "times.csv")
    assert said.code == 2
    assert "times.csv" not in said.err
    assert not Path("times.csv").exists()


@pytest.fixture
def broken(monkeypatch):
    """A command with a fault in it, met where it plans."""

    def fault(*_args, **_more):
        raise LookupError(f"no such thing in {Path.home()}/quilts, {os.environ['FRAYWORK_HOME']}/x or /homely/y")

    monkeypatch.setattr("guide.commands.sessions.make_plan", fault)
    monkeypatch.setenv("HOME", "/home/ada")


def reports(folder: Path) -> list[Path]:
    return sorted(folder.rglob("crash-*.txt"))


def test_a_report_of_our_bug_lies_in_the_makers_folder_and_names_no_home(guide, workshop, monkeypatch, broken):
    """Its path is said; in it stand ~ and $FRAYWORK_HOME for whose home it was, and another's path is left alone."""
    monkeypatch.setattr(sys, "argv", ["guide", "plan", "/home/ada/quilts", "/home/adam/quilts"])
    said = guide("plan", DEMO)
    assert said.code == 3
    (report,) = reports(workshop)
    assert report.parent == workshop / "home"
    assert str(report) in said.err
    text = report.read_text(encoding="utf-8")
    assert "no such thing in ~/quilts, $FRAYWORK_HOME/x or /homely/y" in text
    assert "guide plan ~/quilts /home/adam/quilts" in text
    assert "/home/ada/" not in text
    assert str(workshop / "home") not in text


@pytest.mark.parametrize("home", [".", DEMO, f"{DEMO}/mine", "below/mine", "~nobody-of-that-name/x", "/dev/null/x"])
def test_a_report_never_lies_among_a_makers_work(workshop, monkeypatch, broken, tmp_path_factory, home):
    """Where the maker's folder is the working folder, a project's, or none, a folder is made among the system's spare."""
    spare = tmp_path_factory.mktemp("spare")
    monkeypatch.setattr("tempfile.tempdir", str(spare))
    monkeypatch.setenv("FRAYWORK_HOME", home)
    before = sorted(workshop.rglob("*"))
    where = crash.report(LookupError("x"))
    assert sorted(workshop.rglob("*")) == before
    (report,) = reports(spare)
    assert str(report) in where
    assert report.parent.stat().st_mode & 0o777 == 0o700


def test_a_report_that_can_lie_nowhere_is_printed(guide, workshop, monkeypatch, broken):
    """No folder of one's own, and the spare one is where one works: the report is what is said."""
    monkeypatch.setattr("tempfile.tempdir", str(workshop))
    monkeypatch.setenv("FRAYWORK_HOME", ".")
    before = sorted(workshop.rglob("*"))
    assert "no report could be written" in crash.report(LookupError("x"))
    assert sorted(workshop.rglob("*")) == before


def test_a_report_is_not_put_in_the_place_of_a_pipe(guide, workshop, monkeypatch, broken):
    """What is called as the report would be is another's; a link in its place is not followed into the project either."""
    home = workshop / "home"
    home.mkdir()
    (home / f"crash-{os.getpid()}.txt").mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(workshop / "sessions"))
    crash.report(LookupError("x"))
    assert len(reports(workshop / "sessions")) == 1


def test_a_journal_kept_elsewhere_needs_no_home(workshop, monkeypatch):
    """A full disk, and nobody's home to save in: the system's spare folder it is."""
    from guide.commands.follow import _elsewhere
    from guide.read.places import open_project

    here = open_project(Path(DEMO), os.environ)
    monkeypatch.delenv("HOME")
    monkeypatch.setattr("pwd.getpwuid", lambda uid: (_ for _ in ()).throw(KeyError(uid)))
    monkeypatch.setattr("tempfile.tempdir", str(workshop / "spare"))
    assert _elsewhere(here) == workshop / "spare" / "fraywork-kept" / "window-seat-cushion-1.jsonl"


@pytest.mark.skipif(not Path("/dev/fd").is_dir(), reason="this system has no such names for open files")
def test_a_page_into_stdout_by_its_name_keeps_what_stands_there(workshop):
    """`guide sheet -o /dev/stdout >> all.txt`: what was there, the page, and where that lies, in that order."""
    all_of = workshop / "all.txt"
    all_of.write_text("before\n", encoding="utf-8")
    with all_of.open("a") as out:
        argv = [sys.executable, *program("sheet", DEMO, "--markdown", "-o", "/dev/stdout")]
        done = subprocess.run(argv, stdout=out, stderr=subprocess.PIPE, encoding="utf-8", check=False, cwd=workshop)
    assert done.returncode == 0, done.stderr
    text = all_of.read_text(encoding="utf-8")
    assert re.fullmatch(r"before\n# .*\nall\.txt\n", text, re.DOTALL)
