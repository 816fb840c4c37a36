"""The schema an editor is given: sound by its own standard, true of good files, false of broken shapes.

Judge: the `jsonschema` library, draft 2020-12. [source: JSON Schema core and validation, 2020-12]
"""

import json
from pathlib import Path

import jsonschema
import pytest
import yaml

from guide.read.stages import kind_of
from tests.fakes import run

ROOT = Path(__file__).parent.parent.parent
BAD = ROOT / "tests" / "bad"
KINDS = ROOT / "tests" / "plan" / "kinds"


def schema(what: str, capsys, monkeypatch, folder: Path = ROOT) -> dict:
    monkeypatch.setenv("FRAYWORK_HOME", str(folder / "no-such-home"))
    monkeypatch.chdir(folder)
    assert run(["schema", what]) == 0
    return json.loads(capsys.readouterr().out)


def valid(text: str, against: dict) -> bool:
    return jsonschema.Draft202012Validator(against).is_valid(yaml.load(text, yaml.BaseLoader) and yaml.safe_load(text))


@pytest.mark.parametrize("what", ["project", "stage", "pads", "machines"])
def test_a_schema_is_one_by_its_own_standard(what, capsys, monkeypatch):
    """The meta-schema accepts it, and every key at the top says what it is."""
    given = schema(what, capsys, monkeypatch)
    jsonschema.Draft202012Validator.check_schema(given)
    assert all(inner.get("description") for inner in given["properties"].values())


def test_shipped_stages_are_valid(capsys, monkeypatch):
    """Every file of a workflows folder that is shipped or tested with, by the schema of what its first key says."""
    files = [*(ROOT / "workflows").glob("*.yaml"), *KINDS.glob("*/workflows/*.yaml")]
    texts = {file.name: file.read_text(encoding="utf-8") for file in files}
    kinds = {name: kind.replace("safety", "stage") for name, text in texts.items() for kind in [kind_of(text)]}
    given = {kind: schema(kind, capsys, monkeypatch) for kind in set(kinds.values())}
    assert [name for name, text in texts.items() if not valid(text, given[kinds[name]])] == []


@pytest.mark.parametrize("file", [ROOT / "sessions/window-seat-cushion/project.yaml", BAD / "good.yaml"], ids=lambda f: f.parent.name)  # fmt: skip
def test_good_projects_are_valid(file, capsys, monkeypatch):
    """The example, and the file all broken ones are made from."""
    assert valid(file.read_text(encoding="utf-8"), schema("project", capsys, monkeypatch))


@pytest.mark.parametrize("folder", sorted(KINDS.iterdir()), ids=lambda folder: folder.name)
def test_keys_a_stage_adds_are_in_the_schema(folder, capsys, monkeypatch):
    """A kind of one's own is valid in its folder, by the schema printed there."""
    text = (folder / "project.yaml").read_text(encoding="utf-8")
    assert valid(text, schema("project", capsys, monkeypatch, folder))


SHAPES = [
    "a_list",
    "key_misspelt",
    "key_unknown",
    "grid_key_misspelt",
    "print_key_misspelt",
    "closure_key_misspelt",
    "on_hand_key_misspelt",
    "shrinks_key_misspelt",
    "bare_length",
    "comma_length",
    "length_is_a_list",
    "length_in_a_map_bare",
    "count_half",
    "count_none",
    "count_a_word",
    "percent_bare",
    "price_without_unit",
    "wage_without_unit",
    "kind_misspelt",
    "stage_misspelt",
    "stage_twice",
    "quilting_unknown",
    "grid_as_text",
    "prints_as_text",
    "no_squares_above",
    "print_without_name",
    "closure_misspelt",
    "target_without_height",
    "target_after_dinner",
    "many_at_once",
]


@pytest.mark.parametrize("name", SHAPES)
def test_a_broken_shape_is_not_valid(name, capsys, monkeypatch):
    """What the shape alone can tell, an editor underlines before `guide check` is run."""
    assert not valid(
        (BAD / "project" / f"{name}.yaml").read_text(encoding="utf-8"), schema("project", capsys, monkeypatch)
    )


@pytest.mark.parametrize("name", ["no_title", "stage_key_misspelt", "step_key_misspelt", "input_key_misspelt", "step_without_id", "waits_a_number", "beginner_faster", "caution_unknown", "station_unknown", "each_unknown", "input_is_unknown", "part_without_count", "adds_unknown"])  # fmt: skip
def test_a_broken_stage_shape_is_not_valid(name, capsys, monkeypatch):
    """The same for stage files."""
    assert not valid((BAD / "stage" / f"{name}.yaml").read_text(encoding="utf-8"), schema("stage", capsys, monkeypatch))
