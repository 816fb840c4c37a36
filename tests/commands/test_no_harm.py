"""What one file, one slip or one full disk must not do: harm a record, or stop the work on another project."""

import io
import json
import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from guide.read.places import shipped_stages
from guide.record.fold import fold
from guide.record.journal import Journal, read_journal
from guide.record.lines import encode, event_of
from tests.fakes import FakeClock, program

DEMO = "sessions/window-seat-cushion"


@pytest.fixture
def journal(guide, monkeypatch) -> Path:
    """A session of the demo with two pieces in it."""
    monkeypatch.setattr("sys.stdin", io.StringIO("\n1\n1\nq\n"))
    assert guide("follow", DEMO, "--plain").code == 0
    return next(Path(DEMO).glob("*.jsonl"))


@pytest.mark.parametrize(
    "argv",
    [
        ["export", "J", "-o", "J"], ["log", "J", "-o", "J"], ["log", "J", "-o", "P"], ["plan", DEMO, "--page", "J"],
        ["plan", DEMO, "--page", "P"], ["checklist", DEMO, "-o", "P"], ["sheet", DEMO, "-o", "J"],
        ["price", DEMO, "--page", "J"], ["export", "J", "-o", "sessions/window-seat-cushion/layout.json"],
    ],
)  # fmt: skip
def test_a_journal_or_project_is_never_written_over(guide, journal, argv):
    """Exit 6 and the file as it was, whatever -o or --page says."""
    project = Path(DEMO, "project.yaml")
    before = (journal.read_bytes(), project.read_bytes())
    said = guide(*(str(journal) if a == "J" else str(project) if a == "P" else a for a in argv))
    assert said.code == 6
    assert "not written over" in said.err
    assert (journal.read_bytes(), project.read_bytes()) == before


def test_an_export_is_written_whole_or_not_at_all(guide, journal, workshop):
    """A file size limit in the middle of writing leaves the older export as it was."""
    out = workshop / "out.json"
    assert guide("export", str(journal), "--json", "-o", str(out)).code == 0
    before = out.read_bytes()
    done = subprocess.run(
        [sys.executable, *program("export", str(journal), "--json", "-o", str(out))],
        capture_output=True,
        encoding="utf-8",
        check=False,
        cwd=workshop,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (512, 512)),
    )
    assert done.returncode == 6, done.stderr
    assert out.read_bytes() == before
    assert json.loads(before)


def newer(folder: Path) -> Path:
    """A neighbour's journal of a later format, well formed."""
    folder.mkdir(parents=True)
    opened = {"what": "opened", "format": 99, "title": "Later", "project": "x", "stages": {}}
    event = event_of(1, opened, FakeClock().read())
    path = folder / "2026-03-01.jsonl"
    path.write_bytes(encode(event))
    return path


def test_a_neighbours_newer_journal_stops_nothing(guide, workshop):
    """It is named and left out; plan, price and checklist go on."""
    path = newer(workshop / "sessions" / "later")
    for argv in (["plan", DEMO], ["price", DEMO], ["checklist", DEMO, "-o", "-"]):
        said = guide(*argv)
        assert said.code == 0
        assert path.name in said.err


def test_a_broken_project_file_does_not_stop_the_session_under_way(guide, journal, monkeypatch):
    """The journal keeps the texts it began with; the mistake is told, the work goes on."""
    project = Path(DEMO, "project.yaml")
    project.write_text(project.read_text(encoding="utf-8").replace("seam:", "seem:"), encoding="utf-8")
    monkeypatch.setattr("sys.stdin", io.StringIO("\n1\nq\n"))
    said = guide("follow", DEMO, "--plain")
    assert said.code == 0
    assert "did you mean seam?" in said.err
    assert fold(read_journal(journal).events).sitting == 2
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    assert guide("follow", DEMO, "--plain", "--new").code == 2


def test_a_smaller_grid_can_be_taken_into_a_session(guide, journal, monkeypatch):
    """The new files lay the panel again, in the same undoable record."""
    project = Path(DEMO, "project.yaml")
    project.write_text(
        project.read_text(encoding="utf-8").replace("across: 4, down: 3", "across: 3, down: 3"), encoding="utf-8"
    )
    monkeypatch.setattr("sys.stdin", io.StringIO("2\nq\n"))
    assert guide("follow", DEMO, "--plain").code == 0
    record = fold(read_journal(journal).events)
    assert len(record.layout) == 9
    assert "across: 3" in record.project_text


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no /dev/full here")
def test_a_full_disk_behind_stdout_is_one_sentence(workshop):
    """Exit 6, no report of a bug that is none."""
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, *program("plan", DEMO)],
            stdout=full,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            check=False,
            cwd=workshop,
        )
    assert done.returncode == 6
    assert "could not be written" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_journal_is_kept_elsewhere_under_a_free_name(workshop, monkeypatch):
    """Two rescues of one day, or of two projects, never meet."""
    from guide.commands.follow import _elsewhere
    from guide.read.places import open_project

    monkeypatch.setenv("HOME", str(workshop / "home"))
    here = open_project(Path(DEMO), os.environ)
    first = _elsewhere(here)
    Journal.create(first).close()
    assert _elsewhere(here) != first
    assert "window-seat-cushion" in first.name


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_files_whose_lines_end_otherwise_are_read_alike(guide, workshop, end):
    """YAML 1.2, 5.4: CR LF, CR and LF each end a line. A fault is still told at its line and column."""
    plain = guide("plan", DEMO).out
    project = workshop / DEMO / "project.yaml"
    stage = workshop / DEMO / "workflows" / "snip.yaml"
    stage.parent.mkdir()
    stage.write_bytes((shipped_stages() / "snip.yaml").read_bytes().replace(b"\n", end.encode()))
    project.write_bytes(b"\xef\xbb\xbf" + project.read_bytes().replace(b"\n", end.encode()))
    assert guide("check", DEMO).code == 0
    assert guide("plan", DEMO).out == plain
    project.write_bytes(project.read_bytes().replace(b"make: 1", b"make: many"))
    assert f"{DEMO}/project.yaml:5:7: " in guide("check", DEMO).out


def test_a_program_s_own_files_beside_a_stage_are_no_stages(guide, workshop):
    """A lock's dangling link and a binary companion, both beginning with a dot, as editors and disks leave them."""
    folder = workshop / DEMO / "workflows"
    folder.mkdir()
    (folder / ".#snip.yaml").symlink_to("someone@elsewhere.123:456")
    (folder / "._snip.yaml").write_bytes(b"\x00\x05\x16\x07\xff")
    for command in ("check", "plan"):
        assert guide(command, DEMO).code == 0
