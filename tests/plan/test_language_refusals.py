"""What cannot be sewn is refused with its reason, at the key that says it; the nearest that can be is not."""

import json

import pytest

from guide.read.project import read_project
from tests.plan.sums_of import ENVELOPE, THROW, ZIP, cushion, shipped

METRIC = {"units": "metric"}


def refused(**changes) -> list[tuple[str, str]]:
    """Where and why a project is refused."""
    _, loaded = read_project(json.dumps(cushion(**changes), indent=1), "project.yaml", shipped().stages)
    return [(p.path, p.message) for p in loaded.problems if not p.hint]


# Each refusal beside the nearest project that is not refused: 9 blocks of 5 in squares, 1/2 in seams, a 13 in panel.
REFUSED = {
    "a zip's end inside the seam": (
        {"closure": ZIP | {"end_gap": "1/2 in"}}, "closure.end_gap", "reach into the outer seam",
        {"closure": ZIP | {"end_gap": "9/16 in"}},
    ),
    "a free end over one seam": (
        {"free_end": "9/16 in"}, "free_end", "leaves a hole where seams cross", {"free_end": "1/2 in"},
    ),
    "a zip after the last row": (
        {"closure": ZIP | {"after_row": 3}}, "closure.after_row", "write 1 to 2", {"closure": ZIP | {"after_row": 2}},
    ),
    "a zip in a back of one row": (
        {"grid": {"across": 3, "down": 1}}, "closure.after_row", "lay the zip the other way",
        {"grid": {"across": 3, "down": 2}},
    ),
    "a cushion with no closure": ({"closure": "none"}, "closure", "no way in", {"closure": ENVELOPE}),
    "a zip that is all ends": (
        {"closure": ZIP | {"end_gap": "6 in"}}, "closure.end_gap", "no way in", {"closure": ZIP | {"end_gap": "5 7/8 in"}},
    ),
    "an envelope that is all overlap": (
        {"closure": ENVELOPE | {"overlap": "13 in"}}, "closure.overlap", "no way in",
        {"closure": ENVELOPE | {"overlap": "12 7/8 in"}},
    ),
    "wadding in the seam": (
        {"wadding": {"gap": "11 mm"}}, "wadding.gap", "caught in the seam and show", {"wadding": {"gap": "11.7 mm"}},
    ),
    "a throw with a closure": (THROW | {"closure": ZIP}, "closure", "a throw has no inside", THROW),
    "a square eaten by its seams": ({"square": "2 in"}, "square", "eaten up by its seams", {"square": "2 1/16 in"}),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_sewn_is_refused_with_its_reason(name):
    """At the key that says it, with what to write; a sixteenth less and it is taken."""
    wrong, path, reason, right = REFUSED[name]
    assert any(path == where and reason in why for where, why in refused(**wrong)), refused(**wrong)
    assert refused(**right) == []


@pytest.mark.parametrize("name", ["a zip's end inside the seam", "a free end over one seam", "wadding in the seam"])
def test_a_metric_project_is_refused_in_metric(name):
    """The reason and what to write are in the project's own units."""
    for _, why in refused(**REFUSED[name][0], **METRIC):
        assert " in;" not in why
        assert not why.endswith(" in")
        assert "cm" in why or "mm" in why
