"""What cannot be sewn is refused with its reason, at the key that says it; the nearest that can be is not."""

import json

import pytest

from guide.read.project import read_project
from tests.plan.sums_of import ACROSS_THE_BACK, ENVELOPE, THROW, ZIP, cushion, shipped

METRIC = {"units": "metric"}


def refused(**changes) -> list[tuple[str, str]]:
    """Where and why a project is refused."""
    _, loaded = read_project(json.dumps(cushion(**changes), indent=1), "project.yaml", shipped().stages)
    return [(p.path, p.message) for p in loaded.problems if not p.hint]


# Each refusal beside the nearest project that is not: 5 1/4 in squares, 5/8 in seams, a panel 21 1/4 by 13 1/4 in.
REFUSED = {
    "a zip's end inside the seam": (
        {"closure": ZIP | {"end_gap": "5/8 in"}}, "closure.end_gap", "reach into the outer seam",
        {"closure": ZIP | {"end_gap": "11/16 in"}},
    ),
    "a free end over one seam": (
        {"free_end": "11/16 in"}, "free_end", "leaves a hole where seams cross", {"free_end": "5/8 in"},
    ),
    "a zip after the last column": (
        {"closure": ZIP | {"after_column": 5}}, "closure.after_column", "write 1 to 4",
        {"closure": ZIP | {"after_column": 4}},
    ),
    "a zip after the last row": (
        {"closure": ACROSS_THE_BACK | {"after_row": 3}}, "closure.after_row", "write 1 to 2",
        {"closure": ACROSS_THE_BACK | {"after_row": 2}},
    ),
    "a zip in a back of one row": (
        {"grid": {"across": 5, "down": 1}, "closure": ACROSS_THE_BACK}, "closure.after_row", "lay the zip the other way",
        {"grid": {"across": 5, "down": 2}, "closure": ACROSS_THE_BACK},
    ),
    "a cushion with no closure": ({"closure": "none"}, "closure", "no way in", {"closure": ENVELOPE}),
    "a zip that is all ends": (
        {"closure": ZIP | {"end_gap": "6 1/8 in"}}, "closure.end_gap", "no way in", {"closure": ZIP | {"end_gap": "6 in"}},
    ),
    "an envelope that is all overlap": (
        {"closure": ENVELOPE | {"overlap": "13 1/4 in"}}, "closure.overlap", "no way in",
        {"closure": ENVELOPE | {"overlap": "13 1/8 in"}},
    ),
    "wadding in the seam": (
        {"wadding": {"gap": "14.8 mm"}}, "wadding.gap", "caught in the seam and show", {"wadding": {"gap": "14.9 mm"}},
    ),
    "a throw with a closure": (THROW | {"closure": ZIP}, "closure", "a throw has no inside", THROW),
    "a square eaten by its seams": ({"square": "2 1/2 in"}, "square", "eaten up by its seams", {"square": "2 9/16 in"}),
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
