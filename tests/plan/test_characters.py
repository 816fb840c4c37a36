"""Proposals by character: each takes the same squares, meets its like no oftener, and is told apart by counting pairs."""

import os
import random
from collections import Counter

import pytest
from hypothesis import assume, given, settings
from msgspec.structs import replace

from guide.errors import GuideError
from guide.plan.layout.characters import CHARACTERS, SAYS, measured, proposals
from guide.plan.layout.counts import Supply
from guide.plan.layout.faces import lightness, panel_of
from guide.plan.layout.lay import lay
from guide.plan.layout.panels import within_stock
from guide.plan.make import make_plan
from tests.plan.layout_judges import counted_anew, faces, proper, squares
from tests.plan.random_projects import projects
from tests.plan.sums_of import read, shipped
from tests.show.screen_samples import project

FULL = bool(os.environ.get("FRAYWORK_FULL"))
INK = ("#20202a", "#f2ead8", "#5a2d2d", "#d9c9a0", "#1f4030", "#ffffff", "#3b3b6d", "#e8b8a0")
KNIGHTS = [(1, 2), (1, -2), (2, 1), (2, -1)]


def share(layout, steps, shown=2):
    """Of the pairs so far apart on the faces that show, those of one print: counted square by square."""
    pairs = alike = 0
    for face in faces(layout)[:shown]:
        for (row, column), name in face.items():
            for down, across in steps:
                other = face.get((row + down, column + across))
                pairs += other is not None
                alike += other == name
    return alike / max(1, pairs)


def slant(layout, shown=2):
    return abs(share(layout, [(1, 1)], shown) - share(layout, [(1, -1)], shown))


def darker_edge(layout, lights, shown=2):
    """How much darker the edge of the faces is than what lies within, in L*."""
    edge, within = [], []
    for face in faces(layout)[:shown]:
        for (row, column), name in face.items():
            outer = row in {1, layout.down} or column in {1, layout.across}
            (edge if outer else within).append(lights[name])
    return sum(within) / len(within) - sum(edge) / len(edge)


def panel(across, down, prints, depth=4, *, back="none", limits=None):
    """A panel, its project and how light its prints are: dark, light, dark, light …"""
    names = [f"print {n}" for n in range(prints)]
    supplies = [Supply(name, at_most=limits and limits[n]) for n, name in enumerate(names)]
    base = lay(across, down, depth, supplies)
    of = replace(project(across, down, prints=names), back=back, above=depth // 2, below=depth - depth // 2)
    return of, base, {name: lightness(INK[n]) for n, name in enumerate(names)}


@settings(max_examples=300 if FULL else 6)
@given(projects())
def test_every_proposal_of_a_random_project_is_valid(data):
    """On both faces, or on the front of a cushion: no more likes touch than in the panel laid; squares, stock, sizes."""
    try:
        plan = make_plan(read(data), shipped())
    except GuideError:
        assume(False)
    if plan.layout is None:
        return
    base, shown = plan.layout, panel_of(plan.project).faces
    found = proposals(plan.project, base, {})
    assert tuple(found) == CHARACTERS
    for layout in found.values():
        assert squares(layout) == squares(base)
        assert [(b.row, b.column) for b in layout.blocks] == [(b.row, b.column) for b in base.blocks]
        assert {len(b.stack) for b in layout.blocks} == {len(b.stack) for b in base.blocks}
        assert sum(counted_anew(layout)[:shown]) <= sum(counted_anew(base)[:shown])
        assert base.outcome != "found" or all(proper(face) for face in faces(layout)[:shown])
        assert base.outcome != "found" or layout.outcome == "found"
        within_stock(plan.project, layout, plan.backing)
        if plan.project.stacks == "rotate":
            assert Counter(b.stack for b in layout.blocks) == Counter(b.stack for b in base.blocks)


SIZES = [
    (4, 4, 4, 4),
    (6, 6, 4, 4),
    (6, 6, 4, 2),
    (5, 7, 5, 2),
    (8, 8, 5, 4),
    (10, 9, 8, 2),
    (6, 8, 3, 4),
    (7, 5, 3, 2),
]
LARGE = [(12, 16, 3, 2), (12, 16, 3, 4), (12, 16, 6, 2), (12, 16, 6, 4), (12, 16, 8, 4)]


@pytest.mark.parametrize(("across", "down", "prints", "depth"), SIZES + (LARGE if FULL else []))
def test_characters_are_told_apart(across, down, prints, depth):
    """By pairs: calm has the most likes a knight's move apart and scattered hardly any; diagonal slants; a frame is darker.

    [identity] each print as often as the other gives a share of one in so many prints where nothing is arranged.
    """
    of, base, lights = panel(across, down, prints, depth)
    found = proposals(of, base, lights)
    knights = {name: share(layout, KNIGHTS) for name, layout in found.items()}
    slants = {name: slant(layout) for name, layout in found.items()}
    edges = {name: darker_edge(layout, lights) for name, layout in found.items()}
    assert knights["calm"] > 1 / prints > knights["scattered"], knights
    assert slants["diagonal"] == max(slants.values()) > 0.5, slants
    assert edges["framed"] == max(edges.values()) > 10, edges
    assert len({layout.blocks for layout in found.values()}) == 4
    for name, layout in found.items():
        says = measured(of, layout, lights)
        assert says.knights == pytest.approx(knights[name])
        assert says.corners == pytest.approx(slants[name])


@pytest.mark.parametrize("seed", range(40 if FULL else 3))
def test_characters_are_told_apart_of_uneven_prints(seed):
    """Some prints with up to 40 % fewer squares than an even share: each character still leads by its own measure."""
    rng = random.Random(seed)
    across, down, prints = rng.randint(5, 9), rng.randint(5, 9), rng.randint(4, 7)
    even = 4 * across * down / prints
    limits = [int(even * rng.uniform(0.6, 1.0)) for _ in range(prints - 2)]
    of, base, lights = panel(across, down, prints, 4, limits=[*limits, None, None])
    found = proposals(of, base, lights)
    assert base.outcome == "found"
    assert share(found["calm"], KNIGHTS) > share(found["scattered"], KNIGHTS)
    assert slant(found["diagonal"]) == max(map(slant, found.values()))
    assert darker_edge(found["framed"], lights) == max(darker_edge(one, lights) for one in found.values())


def test_a_frame_of_dark_prints_makes_the_longest_run():
    """Two dark prints and two light ones: along the border nothing is told apart by light for a whole side."""
    of, base, _ = panel(8, 8, 4)
    lights = {"print 0": 20.0, "print 1": 24.0, "print 2": 80.0, "print 3": 84.0}
    runs = {name: measured(of, layout, lights).run for name, layout in proposals(of, base, lights).items()}
    assert runs["framed"] == max(runs.values()) >= 6
    assert measured(of, base, {}).run is None


def test_blocks_that_are_kept_stay_in_every_proposal():
    """And nothing touches its like beside them."""
    of, base, lights = panel(6, 6, 4)
    kept = {(b.row, b.column): b.stack for b in base.blocks if b.row == b.column}
    for layout in proposals(of, base, lights, kept).values():
        assert {(b.row, b.column): b.stack for b in layout.blocks if (b.row, b.column) in kept} == kept
        assert all(proper(face) for face in faces(layout))


def test_the_inside_of_a_cushion_may_meet_and_is_left():
    """Only the front shows: proposals change nothing else than they must, and the front is clear."""
    of, base, lights = panel(6, 4, 4, back="patchwork")
    for layout in proposals(of, base, lights).values():
        assert proper(faces(layout)[0])
        assert squares(layout) == squares(base)


def test_the_same_panel_gives_the_same_proposals():
    """Pure and seeded; another seed, other panels."""
    of, base, lights = panel(6, 6, 5)
    assert proposals(of, base, lights) == proposals(of, base, lights)
    other = proposals(of, replace(base, seed=7), lights)
    assert other != proposals(of, base, lights)
    assert set(SAYS) == set(CHARACTERS)


@pytest.mark.parametrize(("across", "down", "prints"), [(1, 1, 1), (1, 4, 2), (3, 1, 3), (2, 2, 2), (5, 5, 2)])
def test_panels_with_nothing_to_choose_still_have_proposals(across, down, prints):
    """One block, one row, two prints: as clear as the panel is."""
    of, base, lights = panel(across, down, prints)
    for layout in proposals(of, base, lights).values():
        assert squares(layout) == squares(base)
        assert sum(counted_anew(layout)[:2]) <= sum(counted_anew(base)[:2])
