"""A maker's machines by name: whose numbers the steps say, which one a session was at, and how it goes over."""

import io
import json
import os
from pathlib import Path

import pytest

from guide.plan.make import make_plan
from guide.read.places import open_project
from guide.record.journal import read_journal
from guide.show.words import render_step
from tests.commands.conftest import guide, workshop

__all__ = ["guide", "workshop"]
DEMO = "sessions/window-seat-cushion"
# Invented machines. The demo writes its stitch, 2.5 mm, and its tacking stitch, 5 mm; it says nothing of a bobbin.
MACHINES = """machines:
  Attic table: {stitch: 2.2 mm, longest: 4 mm, needle: {left: 0, middle: 3, right: 6}, feet: [walking foot],
    pressure: {usual: 3, thick: 1.5}, bobbin: 28 m}
  Travel case: {stitch: 2.6 mm, feet: [walking foot, zip foot]}
"""


@pytest.fixture
def machines(workshop):
    """The maker's own file of machines."""
    file = workshop / "home" / "machines.yaml"
    file.parent.mkdir(exist_ok=True)
    file.write_text(MACHINES, encoding="utf-8")
    return file


def told(guide, name, place=DEMO):
    said = json.loads(guide("why", name, place, "--json").out)
    return said["value"], said["rank"], [(one["rank"], one["value"]) for one in said["instead_of"]]


def texts(key):
    """A step's words, all in one line, and its tools."""
    here = open_project(Path(DEMO), os.environ)
    plan = make_plan(here.project, here.language)
    step = next(one for one in plan.steps if one.key == key)
    return " ".join(render_step(plan, step)["do"].split()), step.tools


def test_a_machine_stands_after_the_project_and_before_the_default(guide, machines):
    """Print, project, machine, kind of cloth, default: a project's stitch holds, a machine's bobbin does."""
    assert told(guide, "bobbin_holds") == (28_000, "machine", [("default", 35_000)])
    assert told(guide, "stitch_length") == (2.5, "project", [("machine", 2.2), ("default", 2.5)])
    assert told(guide, "tack_length") == (5, "project", [("machine", 4), ("default", 5)])
    assert "machines.yaml:3, Attic table (your machine)" in guide("why", "bobbin_holds", DEMO).out


def test_a_machine_by_name_stands_before_what_is_said_of_all(guide, machines):
    """A `machine:` file speaks of whatever stands there; the one by name of itself."""
    all_ = machines.parent / "workflows" / "mine.yaml"
    all_.parent.mkdir()
    all_.write_text("machine: {bobbin_holds: 40 m, washer_load: 7 kg}\n", encoding="utf-8")
    assert told(guide, "bobbin_holds")[:2] == (28_000, "machine")
    assert told(guide, "washer_load")[:2] == (7000, "machine")


def test_a_bobbin_that_nobody_measured_holds_35_m(guide, machines):
    """[memory] what is reckoned with where neither project nor machine says it."""
    machines.write_text("machines: {Travel case: {stitch: 2.6 mm}}\n", encoding="utf-8")
    assert told(guide, "bobbin_holds") == (35_000, "default", [])


def test_steps_say_its_own_numbers(machines):
    """Pressure, needle and feet as its dials say them; what it has not is not asked for."""
    do, tools = texts("quilt/set")
    assert do.startswith("Walking foot, pressure 3, new needle, 2.5 mm stitch")
    assert tools[0] == "walking foot"
    do, tools = texts("closure/zip_box")
    assert do.startswith("Usual foot, its edge well off the teeth, needle at 0 or 6, right side up.")
    assert "zip foot" not in tools
    assert texts("assemble/outer")[0].startswith("Foot pressure 1.5. All round")


def test_nothing_is_said_of_a_machine_that_nobody_described(workshop):
    """Without the file the words are those for any machine."""
    assert texts("quilt/set")[0].startswith("Walking foot, new needle,")
    assert texts("closure/zip_box")[0].startswith("Zip foot, right side up.")
    assert texts("assemble/outer")[0].startswith("All round")


def test_the_settings_card_is_filled_in(guide, machines):
    """Feet, pressure and needle for each place, and the longest stitch it sews beside what is longer."""
    out = guide("plan", DEMO).out
    assert "2.5 mm or longer, up to 4 mm; walking foot, pressure 1.5" in out
    assert "usual foot, needle at 0 or 6" in out
    assert "tacking of 5 mm is longer than your machine's longest, 4 mm" in out


def follow(guide, monkeypatch, keys):
    monkeypatch.setattr("sys.stdin", io.StringIO(keys))
    assert guide("follow", DEMO, "--plain").code == 0
    return str(max(Path(DEMO).glob("*.jsonl")))


def test_one_key_goes_over_to_the_other_machine_and_the_session_keeps_it(guide, machines, monkeypatch):
    """Its numbers hold from there on, in `why` and the log, from the journal alone, and after a stop too."""
    journal = follow(guide, monkeypatch, "h\nq\n")
    assert told(guide, "foot_pressure", journal)[:1] == (None,)
    assert told(guide, "lacks_zip_foot", journal)[0] is False
    machines.unlink()
    line = guide("why", "stitch_length", journal).out
    assert "instead of 2.6 mm, workflows/machines.yaml:4, Travel case (your machine)" in line
    log = guide("log", journal, "--markdown", "-o", "-").out
    assert "From here on at the machine Travel case." in log
    assert "- machine: Travel case" in log
    events = read_journal(Path(journal)).events
    assert [(one.what, one.set) for one in events if one.set] == [("noted", {"machine": "Travel case"})]


def test_the_machine_gone_over_to_is_taken_back_and_kept_over_new_texts(guide, machines, monkeypatch):
    """Undo gives the first one back; changed files that are taken leave the machine where it was."""
    journal = follow(guide, monkeypatch, "h\nu\nq\n")
    assert told(guide, "foot_pressure", journal)[0] == 3
    follow(guide, monkeypatch, "h\nq\n")
    assert told(guide, "stitch_length", journal)[2][0] == ("machine", 2.6)
    machines.write_text(MACHINES.replace("2.6 mm", "2.8 mm"), encoding="utf-8")
    follow(guide, monkeypatch, "2\nq\n")
    assert told(guide, "stitch_length", journal)[2][0] == ("machine", 2.8)


def test_of_several_machines_one_is_chosen_and_of_one_there_is_no_other(guide, machines, monkeypatch, capsys):
    """With three the names are asked for by number; with one it is said where others are named."""
    machines.write_text(MACHINES + "  Big table: {bobbin: 50 m}\n", encoding="utf-8")
    journal = follow(guide, monkeypatch, "h\n2\nq\n")
    assert told(guide, "bobbin_holds", journal)[0] == 50_000
    machines.write_text("machines: {Big table: {bobbin: 50 m}}\n", encoding="utf-8")
    monkeypatch.setattr("sys.stdin", io.StringIO("h\nq\n"))
    said = guide("follow", DEMO, "--plain", "--new")
    assert "No other machine is known" in said.out
