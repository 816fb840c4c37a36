"""A layout kept for later comes back the same, or says what is wrong with it; and what the fringe shows."""

import json

import pytest

from guide.plan.layout.faces import Panel, fringe, kept_from_dict, layout_from_dict, layout_to_dict
from guide.plan.layout.lay import Supply, lay
from tests.plan.layout_judges import exactly

PRINTS = ("moss check", "oat stripe", "clay dot")
PANEL = Panel(4, 3, 4, PRINTS)


def kept_data():
    layout = lay(4, 3, 4, [Supply(name) for name in PRINTS], seed=5)
    return layout, json.loads(json.dumps(layout_to_dict(layout, {(1, 2), (3, 4)})))


def test_a_kept_layout_comes_back_the_same():
    """Through JSON and back, with the blocks that are to stay."""
    layout, data = kept_data()
    assert layout_from_dict(data, PANEL) == layout
    assert kept_from_dict(data) == {(1, 2), (3, 4)}


def test_matches_are_counted_afresh_not_believed():
    """A layout changed by hand in the file is judged as it stands: 17 inner seams of like fronts. [identity]"""
    _, data = kept_data()
    for row in data["rows"]:
        for stack in row:
            stack[0] = "moss check"
    layout = layout_from_dict(data, PANEL)
    assert (layout.front_matches, layout.outcome) == (17, "as laid")


def broken(change):
    _, data = kept_data()
    change(data)
    return data


@pytest.mark.parametrize(
    ("data", "panel", "said"),
    [
        ([], PANEL, ["this is not a layout of format 1: run `guide layout` to lay it again"]),
        ({"format": 2}, PANEL, ["this is not a layout of format 1: run `guide layout` to lay it again"]),
        (
            kept_data()[1],
            Panel(5, 3, 4, PRINTS),
            ["it has 4 × 3 blocks, the project 5 × 3: run `guide layout` to lay it again"],
        ),
        (
            broken(lambda data: data["rows"][0].pop()),
            PANEL,
            ["it has 3 rows of unequal length, the project 4 × 3: run `guide layout` to lay it again"],
        ),
        (
            broken(lambda data: data["rows"][1][2].__setitem__(0, "plum")),
            PANEL,
            [
                (
                    "row 2, column 3: the project has no print `plum`: "
                    "name one of its prints, or run `guide layout` to lay it again"
                )
            ],
        ),
        (
            broken(lambda data: data["rows"][2][3].pop()),
            PANEL,
            ["row 3, column 4: the stack has 3 squares, a block 4: run `guide layout` to lay it again"],
        ),
        (
            broken(lambda data: data["rows"][0].__setitem__(0, "moss check")),
            PANEL,
            ["row 1, column 1: write the stack as a list of prints, front first"],
        ),
        (
            broken(lambda data: data.update(rows="all")),
            PANEL,
            ["`rows` is not a list of rows of stacks: run `guide layout` to lay it again"],
        ),
        (broken(lambda data: data.update(seed=True)), PANEL, ["`seed` is not a whole number: write 0"]),
        (broken(lambda data: data.update(colour=1)), PANEL, ["`colour` is not known: take it out"]),
        (
            broken(lambda data: data.update(kept=[[4, 1]])),
            PANEL,
            ["`kept` names [4, 1], which is no block of 4 × 3: take it out"],
        ),
        (broken(lambda data: data.update(kept=3)), PANEL, ["`kept` is not a list of [row, column]: write []"]),
    ],
)
def test_a_file_that_does_not_fit_says_where_and_what_to_do(data, panel, said):
    """Wrong shape, size, print or key: the place and the mend."""
    assert layout_from_dict(data, panel) == said


def test_the_fringe_shows_every_layer_and_the_pale_reverses():
    """Two blocks of two layers: one seam, 4 layers up, 8 sides of cloth; the one-sided print half pale. [identity]"""
    layout = lay(2, 1, 2, [exactly("moss check", 2), exactly("clay dot", 2)])
    (seam,) = fringe(layout, {"clay dot": "pale"})
    assert (seam.first, seam.second) == ((1, 1), (1, 2))
    assert seam.shows == (("moss check", 4), ("clay dot", 2), ("pale", 2))


def test_every_inner_seam_has_a_fringe():
    """4 × 3 blocks: 9 seams within rows and 8 between them, each 2 × 4 layers × 2 sides. [identity]"""
    layout, _ = kept_data()
    seams = fringe(layout, {})
    assert len(seams) == 9 + 8
    assert {sum(count for _, count in seam.shows) for seam in seams} == {16}
