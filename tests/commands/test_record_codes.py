"""What the real commands say and end with when a journal is damaged, or its disk takes nothing."""

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from guide.record.journal import read_journal
from tests.commands.worked import worked
from tests.fakes import program
from tests.terminal.pty_term import ROOT, Term

DEMO = "sessions/window-seat-cushion"


@pytest.fixture
def hurt(workshop):
    """A session of the demo whose tenth record has one bit the other way."""
    path = worked(DEMO, 0, lambda step: step.pace_s)
    lines = path.read_bytes().split(b"\n")
    lines[9] = lines[9][:-20] + bytes([lines[9][-20] ^ 1]) + lines[9][-19:]
    path.write_bytes(b"\n".join(lines))
    return path


@pytest.mark.parametrize(
    "argv",
    [
        ("amend", "JOURNAL", "--record", "3", "--set", "void"),
        ("amend", "JOURNAL", "--enter", "1, yesterday, 09:00 to 09:10"),
        ("amend", "JOURNAL"),
        ("log", "JOURNAL"),
        ("log", "JOURNAL", "--markdown", "-o", "-"),
        ("export", "JOURNAL"),
        ("price", "JOURNAL"),
        ("why", "zip_cut", "JOURNAL"),
        ("history",),
    ],
)
def test_damage_is_said_once_with_its_place_and_what_is_safe(guide, hurt, argv):
    """Exit 5, one plain sentence, the file as it was: writers refuse, readers give the good part."""
    before = hurt.read_bytes()
    byte = len(b"\n".join(before.split(b"\n")[:9])) + 1
    said = guide(*(str(hurt) if word == "JOURNAL" else word for word in argv))
    assert said.code == 5
    sentence = f"{hurt.name}:10: damaged at byte {byte} ("
    assert said.err.count(sentence) == 1
    assert "the 9 records before it are safe, nothing was changed." in said.err
    assert bool(said.out.strip()) is (len(argv) < 4 or argv[0] == "log")
    assert hurt.read_bytes() == before


@pytest.mark.parametrize(
    "argv",
    [
        ("layout", "JOURNAL"),
        ("plan", "--rest", DEMO),
        ("log", "JOURNAL"),
        ("log", DEMO),
        ("price", "JOURNAL"),
        ("why", "zip_cut", "JOURNAL"),
        ("amend", "JOURNAL"),
        ("export", "JOURNAL"),
        ("history",),
        ("paces",),
    ],
)
def test_a_damaged_first_record_leaves_nothing_to_show_and_is_damage_all_the_same(guide, workshop, argv):
    """Exit 5 as for any damage, said once, the file as it was [README, exit codes]."""
    path = worked(DEMO, 0, lambda step: step.pace_s, until="closure/zip_seam")
    path.write_bytes(path.read_bytes().replace(b'"opened"', b'"ofened"', 1))
    before = path.read_bytes()
    said = guide(*(str(path) if word == "JOURNAL" else word for word in argv))
    assert said.code == 5
    assert said.err.count(f"{path.name}:1: damaged at byte 0 (") == 1
    assert "no record comes before it, nothing was changed." in said.err
    assert path.read_bytes() == before


@pytest.mark.parametrize("argv", [("plan", "--rest", DEMO), ("plan", "--rest", DEMO, "--json"), ("paces",)])
def test_what_is_worked_out_from_the_good_part_is_said_to_be_no_more(guide, hurt, argv):
    """The rest of a session, and paces: shown from the records before the damage, which is told; exit 5."""
    said = guide(*argv)
    assert said.code == 5
    assert said.err.count(f"{hurt.name}:10: damaged at byte") == 1
    assert said.out.strip()


def test_a_plan_that_only_learns_from_a_damaged_session_says_so(guide, hurt):
    """The plan is whole, so it ends well; that its paces miss something is not kept from the maker."""
    said = guide("plan", DEMO)
    assert said.code == 0
    assert said.err.count(f"{hurt.name}:10: damaged at byte") == 1


def test_the_check_says_exactly_what_is_wrong(guide, hurt):
    """Line, byte, reason, what is safe, and what to do with it."""
    said = guide("check", str(hurt))
    assert said.code == 5
    assert ":10: damaged at byte" in said.out
    assert "the checksum does not fit the line" in said.out
    assert "9 records are good; guide log and guide export show those." in said.err


@pytest.mark.parametrize("fmt", ["html", "markdown"])
def test_a_log_of_the_good_part_says_on_the_page_that_it_is_no_more(guide, hurt, fmt):
    """So that a printed page is not taken for the whole."""
    out = Path("log.page")
    guide("log", str(hurt), "-o", str(out), *(["--markdown"] if fmt == "markdown" else []))
    page = out.read_text(encoding="utf-8")
    assert "ONLY THE GOOD PART" in page
    assert f"{hurt.name}:10: damaged at byte" in page
    whole = worked(DEMO, 1, lambda step: step.pace_s)
    guide("log", str(whole), "-o", str(out))
    assert "GOOD PART" not in out.read_text(encoding="utf-8")


@pytest.fixture
def torn(workshop):
    """A session of the demo whose last record was being saved when the computer stopped."""
    path = worked(DEMO, 0, lambda step: step.pace_s, until="closure/zip_seam")
    path.write_bytes(path.read_bytes()[:-9])
    return path


@pytest.mark.parametrize(
    "argv",
    [
        ("log", "JOURNAL"),
        ("log", DEMO, "--markdown", "-o", "-"),
        ("export", "JOURNAL"),
        ("export", "all", "--json"),
        ("history",),
        ("history", "--json"),
        ("price", "JOURNAL"),
        ("why", "zip_cut", "JOURNAL"),
        ("layout", "JOURNAL"),
        ("plan", "--rest", DEMO),
        ("paces",),
        ("amend", "JOURNAL"),
    ],
)
def test_a_torn_tail_is_no_damage_to_any_reader(guide, torn, argv):
    """Nothing saved is missing: said once on stderr, all is shown, exit 0, and the file is as it was."""
    before = torn.read_bytes()
    records = before.count(b"\n")
    said = guide(*(str(torn) if word == "JOURNAL" else word for word in argv))
    assert said.code == 0
    assert said.out.strip()
    sentence = f"{torn.name}:{records + 1}: the last record was cut off while it was being saved; "
    assert said.err.count(f"{sentence}the {records} records before it are safe.") == 1
    assert torn.read_bytes() == before
    assert guide("check", str(torn)).code == 2  # which looks for just that


@pytest.mark.parametrize("fmt", ["html", "markdown"])
def test_a_log_with_a_torn_tail_is_whole_and_tells_of_it(guide, torn, fmt):
    """Its page says so among what was assumed; it is not called a part."""
    out = Path("log.page")
    guide("log", str(torn), "-o", str(out), *(["--markdown"] if fmt == "markdown" else []))
    page = " ".join(out.read_text(encoding="utf-8").split())
    assert "GOOD PART" not in page
    assert "the last record was cut off while it was being saved" in page


def test_history_tells_a_later_format_from_damage(guide, workshop):
    """What a newer guide wrote is not hurt: named, exit 2 as of every reader, and the other sessions are added up."""
    later = worked(DEMO, 0, lambda step: step.pace_s)
    later.write_bytes(b'{"n":1,"what":"opened","format":2}\n')
    worked(DEMO, 1, lambda step: step.pace_s)
    said = guide("history", "--json")
    assert said.code == guide("log", str(later)).code == 2
    assert said.err.count("was written by a newer guide") == 1
    assert len(json.loads(said.out)["sessions"]) == 1


@pytest.fixture
def disk(tmp_path):
    """A disk of 256 KiB with the demo on it; for root only."""
    place = tmp_path / "disk"
    place.mkdir()
    size = ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(place)]
    if subprocess.run(size, capture_output=True, check=False).returncode:
        pytest.skip("only root may mount a disk")
    (place / "cushion").mkdir()
    shutil.copy(ROOT / DEMO / "project.yaml", place / "cushion")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def test_a_folder_that_can_only_be_read_is_said_before_any_screen(guide, disk):
    """Exit 6 and one sentence that names the file; no session, no screen, no half a file."""
    subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
    project = str(disk / "cushion")
    for argv in (
        ("follow", project),
        ("follow", project, "--plain"),
        ("follow", project, "--rehearse"),
        ("amend", project, "--enter", "1, yesterday, 09:00 to 09:10"),
    ):
        said = guide(*argv)
        assert (said.code, said.out) == (6, "")
        assert said.err.strip().endswith("cannot be written: the disk can only be read. Nothing was written.")
        assert len(said.err.strip().splitlines()) == 1


def fill(path):
    with path.open("wb", buffering=0) as big:
        while True:
            big.write(bytes(4096))


def test_a_disk_that_is_full_already_takes_no_session(guide, disk):
    """Exit 6, and no empty journal is left to hide the sessions before it."""
    with pytest.raises(OSError):
        fill(disk / "ballast")
    said = guide("follow", str(disk / "cushion"), "--plain")
    assert (said.code, said.out) == (6, "")
    assert "cannot be written: the disk is full. Nothing was written." in said.err
    assert [path.name for path in (disk / "cushion").iterdir()] == ["project.yaml"]


@pytest.mark.terminal
def test_a_disk_that_fills_up_while_following(disk, tmp_path):
    """The real command on a real full disk: said on the screen; with room again `r` saves the same press."""
    term = Term(program("follow", str(disk / "cushion")), env={"FRAYWORK_HOME": str(tmp_path / "home")})
    try:
        term.wait("space start", 20).send(" ").wait("step 1 of")
        with pytest.raises(OSError):
            fill(disk / "ballast")
        for _ in range(40):  # until the last page of the journal is full
            term.send(" ").pump(0.5)
            if "Not written" in term.text:
                break
        assert "the disk is full" in " ".join(term.text.split())
        assert "r try again   e save elsewhere" in term.text
        (journal,) = (disk / "cushion").glob("*.jsonl")
        saved = len(read_journal(journal).events)
        (disk / "ballast").unlink()
        term.send("r").wait("space")
        assert len(read_journal(journal).events) == saved + 1
        term.send("q")
        assert term.exit_code() == 0
    finally:
        term.close()
    assert read_journal(journal).damage is None
