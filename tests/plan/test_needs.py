"""What a step really waits for: as written, the step before, rows with their like, makes with theirs, none of it round."""

import pytest

from guide.plan.make import make_plan
from guide.plan.steps import needed
from guide.read.places import open_project

PROJECT = """\
project: Fifteen blocks
kind: cushion
grid: {across: 5, down: 3}
square: 5 1/4 in
seam: 5/8 in
layers: {above: 1, below: 2}
wadding: {gap: 5/8 in}
make: 2
prints:
  - {name: leaf, width: 44 in}
  - {name: dot, width: 44 in}
  - {name: stripe, width: 44 in}
"""
ZIP = "closure: {type: zip, after_column: 2}\n"
ENVELOPE = "closure: {type: envelope}\n"
OWN = """\
stage: own
title: A maker's own steps
steps:
  - {id: a, title: A, pace: 1 min, each: prints, do: Look., needs: [cut]}
  - {id: b, title: B, pace: 1 min, each: prints, do: Look.}
  - {id: c, title: C, pace: 1 min, do: Look.}
  - {id: d, title: D, pace: 1 min, when: across > 99, needs: [own/a], do: Look.}
  - {id: e, title: E, pace: 1 min, do: Look.}
  - {id: f, title: F, pace: 1 min, do: Look., needs: []}
"""


@pytest.fixture
def steps(tmp_path):
    """The steps of a project by key, a maker's own stage among its stages."""

    def planned(text, own=""):
        (tmp_path / "workflows").mkdir(exist_ok=True)
        if own:
            (tmp_path / "workflows" / "own.yaml").write_text(own, encoding="utf-8")
        (tmp_path / "project.yaml").write_text(text, encoding="utf-8")
        here = open_project(tmp_path, {"FRAYWORK_HOME": str(tmp_path / "home")})
        return {step.key: step for step in make_plan(here.project, here.language).steps}

    return planned


def test_the_needs_of_a_cushion_are_those_of_the_trade(steps):
    """The back is sewn from squares alone, trimmed to the measured front, and pinned on once both are snipped and shut.

    [practice: a teacher's order; see the stage files]
    """
    of = steps(PROJECT + ZIP)
    cut = [key for key in of if key.startswith("cut/")]
    assert list(of["closure/back_rows"].needs) == cut
    assert of["closure/back_trim"].needs[0] == "closure/back_join"
    assert {"join/measure_width", "join/measure_height"} <= set(of["closure/back_trim"].needs)
    assert not any(key.startswith(("stack", "quilt", "snip")) for key in of["closure/back_trim"].needs)
    assert {"snip/crossings", "closure/zip_unpick"} <= set(of["assemble/pin"].needs)
    assert of["quilt/cross"].needs == ("quilt/set", "quilt/mark")
    assert of["snip/rows"].needs == ("join/measure_height",)  # written nothing: the step before it


def test_a_step_left_out_passes_its_needs_on(steps):
    """Quilted in no line: the threads are not trimmed, and looking again waits for what the lines waited for."""
    of = steps(PROJECT + ZIP + "quilting: none\n")
    assert "quilt/cross" not in of
    assert {"quilt/set", "stack/top"} <= set(of["quilt/recheck"].needs)
    of = steps(PROJECT + ENVELOPE)  # no zip: its first step waits for what the zip's trimming does
    assert {"closure/back_join", "join/measure_height"} <= set(of["closure/envelope_trim"].needs)


def test_rows_wait_for_their_like_and_for_all_rows_of_another_table(steps):
    """b of the leaf waits for a of the leaf; c, of no table, for b of all three; e for a, which d left out asks for."""
    of = steps(PROJECT + ZIP + "stages: [cut, own]\n", OWN)
    assert of["own/b:leaf"].needs == ("own/a:leaf",)
    assert of["own/c"].needs == ("own/b:leaf", "own/b:dot", "own/b:stripe")
    assert of["own/e"].needs == ("own/a:leaf", "own/a:dot", "own/a:stripe")
    assert of["own/f"].needs == ()


def test_what_a_project_does_later_is_not_needed(steps):
    """Joined before it is quilted, as the maker's own order of stages has it: nothing waits for itself."""
    of = steps(PROJECT + ZIP + "stages: [cut, closure, stack, quilt, join, assemble]\n")
    assert not any(key.startswith("join/") for key in of["closure/back_trim"].needs)
    keys = list(of)
    assert all(keys.index(need) < keys.index(key) for key, step in of.items() for need in step.needs)


def test_left_out_by_whoever_plans_they_pass_on_too(steps):
    """Kits: with all of cut done beforehand, the first stack waits for nothing."""
    of = steps(PROJECT + ZIP)
    left = [key for key in of if key.startswith("cut/")]
    wants = needed(tuple(of.values()), left)
    assert wants["stack/count"] == wants["closure/back_rows"] == ()
    assert not set(left) & wants.keys()
