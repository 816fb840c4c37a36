"""The language of steps through the program's own door: placing, replacing, tables, groups, cues, waits."""

import json
import re
from pathlib import Path

import pytest

from guide.record.fold import fold
from guide.record.journal import read_journal

PROJECT = """\
project: Fifteen blocks
kind: cushion
grid: {across: 5, down: 3}
square: 5 1/4 in
seam: 5/8 in
layers: {above: 1, below: 2}
wadding: {gap: 5/8 in}
prints:
  - {name: leaf, width: 44 in, on_hand: [{width: 22 in, length: 11 in}, {width: 12 in, length: 6 in}]}
  - {name: dot, width: 44 in}
  - {name: stripe, width: 44 in}
closure: {type: zip, after_column: 2}
stages: [cut, stack, quilt, join, snip, closure, assemble, wash, own]
"""
OWN = """\
stage: own
title: A maker's own steps
"""


@pytest.fixture
def folder(workshop):
    """A project of fifteen blocks, its `stages` naming one of the maker's own."""
    place = workshop / "sessions" / "fifteen"
    (place / "workflows").mkdir(parents=True)
    (place / "project.yaml").write_text(PROJECT, encoding="utf-8")
    return place


@pytest.fixture
def with_own(folder, guide):
    """Put steps into the maker's own stage and plan: the steps by key, in order."""

    def plan(text: str) -> dict[str, dict]:
        (folder / "workflows" / "own.yaml").write_text(OWN + text, encoding="utf-8")
        said = guide("plan", str(folder), "--json")
        assert said.code == 0, said.err
        return {step["key"]: step for step in json.loads(said.out)["steps"]}

    return plan


def test_a_step_stands_before_or_after_a_shipped_step(with_own):
    """From a file of one's own, in a stage of its own, into the middle of shipped ones."""
    keys = list(
        with_own(
            "steps:\n"
            "  - {id: tea, title: Put the kettle on, pace: 1 min, before: quilt/mark, do: Water in.}\n"
            "  - {id: label, title: Sew the label in, pace: 1 min, after: join/panel, do: By hand.}\n"
        )
    )
    assert keys.index("own/tea") + 1 == keys.index("quilt/mark")
    assert keys.index("own/label") - 1 == keys.index("join/panel")


def test_several_steps_at_one_place_keep_the_order_they_are_written_in(with_own):
    """Two after the same step, and a third after the second of them."""
    keys = list(
        with_own(
            "steps:\n"
            "  - {id: one, title: One, pace: 1 min, after: join/panel, do: A.}\n"
            "  - {id: three, title: Three, pace: 1 min, after: own/two, do: C.}\n"
            "  - {id: two, title: Two, pace: 1 min, after: join/panel, do: B.}\n"
            "  - {id: zero, title: Zero, pace: 1 min, before: own/one, do: D.}\n"
        )
    )
    at = keys.index("join/panel")
    assert keys[at + 1 : at + 5] == ["own/zero", "own/one", "own/two", "own/three"]


def test_a_step_placed_by_one_that_does_not_apply_still_stands_there(with_own):
    """`after: quilt/plus` in a project quilted with a cross: where the plus would have been."""
    keys = list(with_own("steps:\n  - {id: look, title: Look, pace: 1 min, after: quilt/plus, do: Look.}\n"))
    assert "quilt/plus" not in keys
    assert keys[keys.index("own/look") - 1] == "quilt/cross"
    assert keys[keys.index("own/look") + 1] == "quilt/trim"


def test_a_step_placed_by_a_stage_left_out_stays_in_its_own_stage(folder, with_own):
    """The envelope's throw has no closure stage: the step is neither lost nor moved."""
    text = PROJECT.replace("closure: {type: zip, after_column: 2}", "").replace("kind: cushion", "kind: throw")
    (folder / "project.yaml").write_text(text.replace("closure, assemble", "assemble"), encoding="utf-8")
    keys = list(with_own("steps:\n  - {id: last, title: Look, pace: 1 min, after: closure/zip_cut, do: Look.}\n"))
    assert keys[-1] == "own/last"


QUILT = """\
stage: quilt
title: Tie the blocks
work_out:
  quilt_box: wadding_size
  quilt_line: none + quilt_box
  quilt_lines: 0
  stitched_quilting: 0 * quilt_box
steps:
  - {id: tie, title: Tie each block, repeat: blocks, piece: block, pace: 50 s per piece, do: "Five knots a block."}
"""


def test_a_file_beside_the_project_replaces_a_shipped_stage_and_the_makers_folder_is_between(folder, guide):
    """The project's own file wins over the maker's, the maker's over the shipped one."""
    home = folder.parent.parent / "home" / "workflows"

    def quilting() -> list[str]:
        said = guide("plan", str(folder), "--json")
        assert said.code == 0, said.err
        return [s["title"] for s in json.loads(said.out)["steps"] if s["stage"] == "quilt"]

    text = PROJECT.replace(", own]", "]")
    (folder / "project.yaml").write_text(text, encoding="utf-8")
    assert "Sew the cross" in quilting()
    home.mkdir(parents=True)
    (home / "quilt.yaml").write_text(QUILT.replace("Tie each block", "Tie as at home"), encoding="utf-8")
    assert quilting() == ["Tie as at home"]
    (folder / "workflows" / "quilt.yaml").write_text(QUILT, encoding="utf-8")
    assert quilting() == ["Tie each block"]


ROWS = {
    "prints": ("{{ letter }} {{ print }}: {{ squares }} squares, {{ strips }} strips, {{ cloth_width }}, {{ buy }}", 3),
    "blocks": ("Block {{ number }}, row {{ row }}, column {{ column }}: {{ stack }}", 15),
    "cuts": ("{{ material }}, {{ part }} at {{ setting }}: {{ strips }} strips, {{ pieces }} pieces", None),
    "parts": ("{{ pieces }} of {{ part }} from {{ material }}, {{ width }} by {{ height }}", 2),
    "cloths": ("{{ material }}, {{ width }} by {{ length }}{% if bought %}, to buy{% endif %}", None),
}


@pytest.mark.parametrize("table", ROWS)
def test_a_step_is_written_once_for_every_row_of_a_table(table, folder, with_own, guide):
    """Each row is a step with a key of its own, its columns printed; and every one is rehearsed."""
    text, count = ROWS[table]
    parts = (
        "parts:\n"
        "  - {name: label, cloth: first, width: 2 * inch, height: 3 * inch, count: 4}\n"
        "  - {name: loop, cloth: dot, width: inch, height: 4 * inch, count: make}\n"
    )
    steps = with_own(
        f"{parts if table == 'parts' else ''}steps:\n"
        f'  - {{id: each, title: See, each: {table}, pace: 10 s, do: "{text}."}}\n'
    )
    mine = {key: step for key, step in steps.items() if key.startswith("own/each")}
    assert len({step["title"] for step in mine.values()}) == len(mine)
    if count is not None:
        assert len(mine) == count
    said = guide("follow", str(folder), "--rehearse")
    assert said.code == 0, said.err
    record = fold(read_journal(next((folder / "rehearsals").glob("*.jsonl"))).events)
    assert {key for key in record.steps if key.startswith("own/")} == set(mine)
    if table == "parts":
        assert [step["title"] for step in mine.values()] == ["See: label", "See: loop"]
    if table == "cloths":  # two pieces of leaf on hand and what is bought: each by itself
        assert len([key for key in mine if ":leaf" in key]) >= 2


@pytest.mark.parametrize("count", [30, 300])
def test_more_steps_than_anyone_follows_are_refused_where_they_are_written(folder, guide, count):
    """One step for each of 81 blocks is a plan; some thousands of them are not, and are not built first."""
    step = "  - {{id: s{0}, title: See {0}, each: blocks, pace: 1 s, do: See.}}\n"
    own = folder / "workflows" / "own.yaml"
    (folder / "project.yaml").write_text(
        PROJECT.replace("{across: 5, down: 3}", "{across: 9, down: 9}"), encoding="utf-8"
    )
    own.write_text(OWN + "steps:\n" + step.format(0), encoding="utf-8")
    assert guide("plan", str(folder), "--json").code == 0
    own.write_text(OWN + "steps:\n" + "".join(step.format(at) for at in range(count)), encoding="utf-8")
    said = guide("plan", str(folder))
    assert said.code == 2
    (place,) = re.findall(r"own\.yaml:(\d+)", said.err)
    assert 3 < int(place) <= 3 + 2000 // 81 + 1  # the step that makes them too many [identity]
    assert "more than 2,000 steps" in said.err
    assert "repeat" in said.err


def test_steps_of_one_group_may_be_worked_piece_by_piece(folder, with_own, guide):
    """Three together: the pieces of all of them are counted, whichever way round they are worked."""
    together = "repeat: blocks, piece: block, together: mine, pace: 5 s per piece, cautions: []"
    steps = with_own(
        f"steps:\n  - {{id: a, title: Fold, {together}, do: Fold.}}\n  - {{id: b, title: Pin, {together}, do: Pin.}}\n"
    )
    assert [steps[key]["together"] for key in ("own/a", "own/b")] == ["mine", "mine"]
    assert guide("follow", str(folder), "--rehearse").code == 0
    record = fold(read_journal(next((folder / "rehearsals").glob("*.jsonl"))).events)
    assert [record.steps[key].pieces_done for key in ("own/a", "own/b")] == [15, 15]


def test_a_wait_is_on_the_clock_and_never_in_labour(folder, with_own, guide):
    """Glue dries 20 min: the day is longer by that, the counted time is not."""
    steps = with_own("steps:\n  - {id: dry, title: Glue it, pace: 3 min, waits: 20 min, do: Leave it.}\n")
    assert steps["own/dry"]["waits_s"] == 20 * 60
    assert steps["own/dry"]["hands_on_s"] == 3 * 60
    assert guide("follow", str(folder), "--rehearse").code == 0
    record = fold(read_journal(next((folder / "rehearsals").glob("*.jsonl"))).events)
    assert record.steps["own/dry"].counted_ms == 3 * 60 * 1000


def test_a_cue_is_said_two_steps_ahead(folder, with_own, guide, monkeypatch):
    """`iron on` is heard at the first step when the third wants it."""
    import io

    with_own("steps:\n  - {id: hot, title: Press, pace: 1 min, after: stack/lay, cue: iron on the board, do: Press.}\n")
    text = PROJECT.replace("stages: [cut, stack,", "stages: [stack,")
    (folder / "project.yaml").write_text(text, encoding="utf-8")
    monkeypatch.setattr("sys.stdin", io.StringIO("\nq\n"))
    said = guide("follow", str(folder), "--plain")
    assert "iron on the board" in said.out


def test_an_own_key_of_the_project_reaches_formulas_texts_and_why(folder, with_own, guide):
    """`inputs` adds keys to project files, with a default, limits and a place in `why`."""
    own = (
        "inputs:\n  cord: {is: length, default: 60 cm, at_least: 10 cm, says: a piece of cord}\n"
        "work_out:\n  cord_all: make * 2 * cord\n"
        'steps:\n  - {id: cord, title: Cut the cord, pace: 1 min, do: "{{ cord_all }} in all.", shows: {cord_all: in all}}\n'
    )
    assert with_own(own)["own/cord"]["shows"][0]["value"] == pytest.approx(1200)
    (folder / "project.yaml").write_text(PROJECT + "cord: 1 m\n", encoding="utf-8")
    assert with_own(own)["own/cord"]["shows"][0]["value"] == pytest.approx(2000)
    why = guide("why", "cord_all", str(folder)).out
    line = len(PROJECT.split("\n"))
    assert f"cord = 1 m   project.yaml:{line}" in why
    (folder / "project.yaml").write_text(PROJECT + "cord: 5 cm\n", encoding="utf-8")
    said = guide("plan", str(folder))
    assert said.code == 2
    assert f"project.yaml:{line}:7: cord: " in said.err


def test_a_step_is_chosen_by_its_own_when(with_own):
    """Spray and pins are two steps; each stands only where its way of holding is meant."""
    steps = with_own(
        "steps:\n"
        "  - {id: s, title: Spray, when: hold_with == 'spray', pace: 1 min, cautions: [spray], do: Spray.}\n"
        "  - {id: p, title: Pin, when: hold_with == 'pins', pace: 1 min, cautions: [pins], do: Pin.}\n"
    )
    assert "own/s" in steps
    assert "own/p" not in steps


def test_paths_of_the_maker_are_not_in_a_plan(with_own, guide, folder):
    """A step's place is its file's name, never a folder of one machine."""
    step = with_own("steps:\n  - {id: a, title: Look, pace: 1 min, do: Look.}\n")["own/a"]
    assert step["from"] == "workflows/own.yaml:4"
    assert str(Path.cwd()) not in guide("plan", str(folder), "--json").out
