"""What lies in a workflows folder: told by its first key, merged by name, kept with the session that rests on it."""

import io
import json
from pathlib import Path

import pytest

from guide.read.model import RANKS, Given, strongest
from guide.read.places import from_texts, language_for, workflow_files
from guide.read.stage_keys import BESIDE
from guide.read.stages import kind_of
from guide.read.take import Key
from guide.record.journal import read_journal
from tests.commands.conftest import guide, workshop

__all__ = ["guide", "workshop"]
GOOD = """project: Small cushion
kind: cushion
grid: {across: 2, down: 2}
square: 6 in
seam: 1/2 in
layers: {above: 1, below: 1}
prints: [{name: barley, width: 44 in}, {name: slate, width: 44 in}]
closure: {type: zip, after_row: 1}
"""


@pytest.fixture
def folded(monkeypatch):
    """An invented kind of file: how a paper pattern is folded, by name."""
    folds = Key("map", "folds by name", item=Key("map", "a fold", keys={"layers": Key("count", "layers")}))
    monkeypatch.setitem(BESIDE, "folds", folds)


@pytest.fixture
def folder(folded, workshop, monkeypatch):
    """A project with such a file beside it, and one of the same name in the maker's own folder."""
    home, here = workshop / "home", workshop / "sessions" / "small"
    monkeypatch.setenv("FRAYWORK_HOME", str(home))
    for place, text in ((home, "folds: {half: {layers: 2}, fan: {layers: 4}}"), (here, "folds: {fan: {layers: 6}}")):
        (place / "workflows").mkdir(parents=True)
        (place / "workflows" / "folds.yaml").write_text(text + "\n", encoding="utf-8")
    (here / "project.yaml").write_text(GOOD, encoding="utf-8")
    return here


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("stage: quilt\n", "stage"), ("# a word\ntitle: Quilt\nstage: quilt\n", "stage"), ("safety: safety\n", "safety"),
        ("---\nfolds: {}\n", "folds"), ("title: >\n  folds: none\nstage: quilt\n", "stage"), ("title: Quilt\n", "stage"),
    ],
)  # fmt: skip
def test_a_file_says_by_its_first_key_what_it_is(folded, text, kind):
    """A comment, a key that says nothing of it and words inside a text are passed over."""
    assert kind_of(text) == kind


def test_files_beside_the_stages_are_merged_by_name(folder):
    """The project's fan stands in the place of the maker's own; what only one of them has stays."""
    language = language_for(folder, {"FRAYWORK_HOME": str(folder.parents[1] / "home")})
    assert language.beside["folds"] == {"half": {"layers": 2}, "fan": {"layers": 6}}
    assert {"folds", "folds 2", "quilt", "safety"} <= language.texts.keys()


def test_what_is_put_beside_the_stages_of_one_project_is_not_beside_anothers(folder):
    """The same texts are read once, for any number of projects; a text changed since is read anew."""
    environ = {"FRAYWORK_HOME": str(folder.parents[1] / "home")}
    one, other = (language_for(folder, environ) for _ in range(2))
    one.beside["shelf"], one.texts["the shelf"] = {"barley": {}}, "barley"
    assert not other.beside["shelf"]
    assert "the shelf" not in other.texts
    assert (other.dims, other.beside) == (one.dims, language_for(folder, environ).beside)
    (folder / "workflows" / "folds.yaml").write_text("folds: {fan: {layers: 8}}\n", encoding="utf-8")
    assert language_for(folder, environ).beside["folds"]["fan"] == {"layers": 8}


def test_a_stage_takes_no_place_of_what_lies_beside_it(folder):
    """Called alike, both are there."""
    (folder / "workflows" / "folds.yaml").write_text("stage: folds\ntitle: Fold\n", encoding="utf-8")
    files = workflow_files(folder, {"FRAYWORK_HOME": str(folder.parents[1] / "home")})
    assert {"folds", "folds 2"} <= files.keys()


def test_a_session_keeps_all_it_rests_on(guide, folder, monkeypatch):
    """Every file's text is in its first record; read from there alone, it says the same."""
    monkeypatch.setattr("sys.stdin", io.StringIO("q\n"))
    assert guide("follow", "sessions/small", "--plain").code == 0
    (journal,) = folder.glob("*.jsonl")
    opened = read_journal(journal).events[0]
    assert {"folds", "folds 2", "safety", "closure"} <= opened.stages.keys()
    _, language = from_texts(opened.project, opened.stages, "project.yaml")
    assert language.beside["folds"]["fan"] == {"layers": 6}
    (folder / "workflows" / "folds.yaml").write_text("folds: {fan: {layers: 8}}\n", encoding="utf-8")
    monkeypatch.setattr("sys.stdin", io.StringIO("q\n"))
    back = guide("follow", "sessions/small", "--plain")
    assert "Changed since this session began: the folds." in back.out


def test_what_is_wrong_in_it_is_told_at_its_place(guide, folder):
    """By the file itself, and by the project that rests on it."""
    (folder / "workflows" / "folds.yaml").write_text("folds:\n  fan: {layer: 6}\n", encoding="utf-8")
    for name in ("sessions/small/workflows/folds.yaml", "sessions/small"):
        said = guide("check", name)
        assert said.code == 2
        assert "folds.yaml:2:9: folds.fan.layer: there is no key layer here (did you mean layers?)" in said.out


def test_checks_that_protect_need_not_say_so_step_by_step(workshop, guide):
    """Under `safety` every step protects; a file that says both is told so."""
    (workshop / "workflows").mkdir(exist_ok=True)
    mine = workshop / "sessions" / "window-seat-cushion" / "workflows" / "eyes.yaml"
    mine.parent.mkdir(exist_ok=True)
    mine.write_text(
        "safety: eyes\ntitle: Eyes\nsteps: [{id: look, title: Look, pace: 1 min, do: Look.}]\n", encoding="utf-8"
    )
    steps = json.loads(guide("plan", "sessions/window-seat-cushion", "--json").out)["steps"]
    assert [step["safety"] for step in steps if step["key"] == "eyes/look"] == [True]
    mine.write_text("safety: eyes\nstage: eyes\ntitle: Eyes\n", encoding="utf-8")
    assert "keep stage or safety" in guide("check", "sessions/window-seat-cushion").out


MACHINE = "machine: {washer_load: 7 kg, thread_per_spool: 200, tack_length: 4 mm, zip_step: 10 cm}\n"


@pytest.fixture
def machine(workshop):
    """What the maker's machines hold, in their own folder."""
    file = workshop / "home" / "workflows" / "mine.yaml"
    file.parent.mkdir(parents=True)
    file.write_text(MACHINE, encoding="utf-8")
    return file


def told(guide, name, place="sessions/window-seat-cushion"):
    said = json.loads(guide("why", name, place, "--json").out)
    return said["value"], said["rank"], [(one["rank"], one["value"]) for one in said["instead_of"]]


def test_what_a_project_says_stands_before_the_machine_and_that_before_a_default(guide, machine):
    """Project, machine, default, in this order; the demo writes its spools of 100 m and its tacking stitch."""
    assert told(guide, "washer_load") == (7000, "machine", [("default", 5000)])
    assert told(guide, "first_wash_load") == (2500, "default", [])
    assert told(guide, "tack_length") == (5, "project", [("machine", 4), ("default", 5)])
    assert told(guide, "thread_per_spool") == (100_000, "project", [("machine", 200_000), ("default", 100_000)])
    assert told(guide, "shrink_length")[1] == "print"
    line = guide("why", "tack_length", "sessions/window-seat-cushion").out
    assert "; instead of 4 mm, home/workflows/mine.yaml:1 (your machine)" in line
    assert "home/workflows/mine.yaml:1 (your machine)" in guide("why", "zip_step", "sessions/window-seat-cushion").out


def test_a_kind_of_cloth_stands_between_machine_and_default():
    """The order of what says a value: print, project, machine, kind of cloth, default."""
    values = [Given("hem", float(at), "length", rank=rank) for at, rank in enumerate(reversed(RANKS))]
    won = strongest(values)
    assert [one.rank for one in (won, *won.over)] == ["print", "project", "machine", "cloth", "default"]


def test_a_machine_says_what_machines_hold_and_nothing_else(guide, machine):
    """Each mistake at its place, with the near name."""
    machine.write_text("machine: {washer_lod: 7 kg, bobbin_holds: 40, make: 6}\n", encoding="utf-8")
    said = guide("check", "home/workflows/mine.yaml")
    assert said.code == 2
    for one in (
        "1:11: machine.washer_lod: there is no key washer_lod here (did you mean washer_load?)",
        "bobbin_holds: 40 has no unit",
        "machine.make: there is no key make here",
    ):
        assert one in said.out
    assert guide("plan", "sessions/window-seat-cushion").code == 2


def test_a_session_rests_on_the_machine_it_began_with(guide, machine, monkeypatch):
    """Its load is told from the journal alone, years after the machine was sold."""
    monkeypatch.setattr("sys.stdin", io.StringIO("q\n"))
    assert guide("follow", "sessions/window-seat-cushion", "--plain").code == 0
    (journal,) = Path("sessions/window-seat-cushion").glob("*.jsonl")
    machine.unlink()
    assert told(guide, "washer_load", str(journal))[:2] == (7000, "machine")
    assert told(guide, "washer_load") == (5000, "default", [])
