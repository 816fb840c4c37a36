"""Half way: what is sewn stays, what is left is used, what must be cut again is told."""

import os
from collections import Counter
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.plan.layout.faces import as_blocks, judged
from guide.plan.layout.lay import Supply, lay
from guide.plan.layout.panels import _move_whole, rearrange
from guide.plan.model import Block, Layout
from tests.plan.layout_judges import faces, proper

PRINTS = [Supply(name) for name in ("moss check", "oat stripe", "clay dot", "slate")]
EXAMPLES = 500 if os.environ.get("FRAYWORK_FULL") else 30


def stacks(layout):
    return {(b.row, b.column): b.stack for b in layout.blocks}


def need(layout, kept):
    """Squares that the blocks not kept were to take."""
    return Counter(name for cell, stack in stacks(layout).items() if cell not in kept for name in stack)


def test_a_plan_that_can_still_be_made_comes_back_as_it_was():
    """First row sewn, all squares of the rest at hand: nothing changes, nothing is cut."""
    plan = lay(4, 3, 4, PRINTS)
    sewn = {(1, column) for column in range(1, 5)}
    again = rearrange(plan, sewn, need(plan, sewn))
    assert (again.layout, again.cut_again, again.spare, again.moved) == (plan, {}, {}, ())


def test_a_spoilt_block_asks_for_as_many_squares_as_are_missing():
    """Four squares of a block spoilt: four are cut again, no more. [identity]"""
    plan = lay(4, 3, 4, PRINTS)
    sewn = {(1, 1), (1, 2), (1, 3), (1, 4)}
    left = need(plan, sewn)
    left.subtract(stacks(plan)[2, 2])
    again = rearrange(plan, sewn, left)
    assert again.cut_again == Counter(stacks(plan)[2, 2])
    assert again.layout == plan


def test_squares_of_another_print_are_used_before_any_are_cut():
    """Four slate squares short and four clay dot over: the rest is laid anew and nothing is cut. [identity]"""
    plan = lay(4, 3, 4, PRINTS)
    sewn = {(1, 1), (1, 2), (1, 3), (1, 4)}
    left = need(plan, sewn)
    left["slate"] -= 4
    left["clay dot"] += 4
    again = rearrange(plan, sewn, left)
    assert (again.cut_again, again.spare) == ({}, {})
    assert again.layout.outcome == "found"
    assert all(stacks(again.layout)[cell] == stacks(plan)[cell] for cell in sewn)
    assert all(proper(face) for face in faces(again.layout))


def test_a_cushion_lets_its_lower_face_go_before_more_is_cut():
    """Only slate left beside a few others: the front stays clear, the inside may match, nothing is cut. [identity]"""
    plan = lay(4, 3, 4, PRINTS, faces="front")
    left = {"slate": 40, "moss check": 4, "oat stripe": 4}
    again = rearrange(plan, (), left, faces="front")
    assert (again.cut_again, again.layout.outcome, again.layout.front_matches) == ({}, "found", 0)
    assert again.layout.back_matches > 0


@pytest.mark.parametrize(("faces", "outcome"), [("front", "found"), ("both", "not found")])
def test_turned_stacks_are_judged_by_the_faces_that_show(faces, outcome):
    """Beside a block that stays, a over a, only b over a can lie: clear in front, alike at the back. [identity]"""
    laid = lay(2, 1, 2, [Supply("a"), Supply("b")], faces=faces, order="rotate", fixed={(1, 1): ("a", "a")})
    assert stacks(laid)[1, 2] == ("b", "a")
    assert (laid.outcome, laid.front_matches, laid.back_matches) == (outcome, 0, 1)


def test_a_front_that_cannot_be_clear_has_as_few_likes_as_can_be():
    """Nine of twelve sewn, one of three prints gone: of the ways to lay the last three fronts none has fewer likes.

    Judged by trying all eight; what lies inside counts for nothing.
    """
    plan = lay(4, 3, 4, PRINTS[:3], faces="front")
    sewn = set(sorted(stacks(plan))[:9])
    gone, *others = (one.name for one in PRINTS[:3])
    again = rearrange(plan, sewn, dict.fromkeys(others, 5), gone={gone}, faces="front")
    assert again.layout.outcome == "impossible"

    def likes(fronts):
        shown = {cell: stack[0] for cell, stack in stacks(plan).items() if cell in sewn} | fronts
        beside = (((r, c), other) for r, c in shown for other in ((r, c + 1), (r + 1, c)) if other in shown)
        return sum(shown[one] == shown[other] for one, other in beside)

    free = sorted(stacks(plan).keys() - sewn)
    ways = [likes(dict(zip(free, way, strict=True))) for way in product(others, repeat=len(free))]
    assert again.layout.front_matches == min(ways) > 0


def test_a_print_that_ran_out_is_not_asked_for_again():
    """Half the slate lost and none to be had: others are cut instead."""
    plan = lay(4, 3, 4, PRINTS)
    sewn = {(1, column) for column in range(1, 5)}
    left = need(plan, sewn)
    lost = left["slate"] // 2
    left["slate"] -= lost
    again = rearrange(plan, sewn, left, gone={"slate"})
    assert "slate" not in again.cut_again
    assert sum(again.cut_again.values()) >= lost
    assert again.layout.outcome == "found"


def test_finished_blocks_that_meet_are_put_apart():
    """A A B B as finished blocks, none joined: A B A B."""
    blocks = tuple(Block(1, c, (face, face)) for c, face in enumerate("AABB", start=1))
    plan = judged(Layout(4, 1, 0, blocks, 0, 0, 0, "found"))
    again = rearrange(plan, (), {}, finished={(1, c) for c in range(1, 5)})
    assert again.layout.outcome == "found"
    assert {frm for frm, _ in again.moved} == {to for _, to in again.moved} != set()
    for frm, to in again.moved:
        assert stacks(again.layout)[to] == stacks(plan)[frm]


def test_places_outside_the_panel_are_refused():
    """A sewn block that is not there."""
    with pytest.raises(ValueError):
        rearrange(lay(2, 2, 2, PRINTS), {(3, 1)}, {})


@settings(max_examples=EXAMPLES, deadline=None, derandomize=True)
@given(st.integers(2, 5), st.integers(2, 5), st.integers(2, 4), st.data())
def test_half_way_keeps_what_is_sewn_and_its_sums_balance(across, down, depth, data):
    """Sewn blocks stay, finished stacks survive, squares at hand + cut again = used + spare."""
    plan = lay(across, down, depth, PRINTS)
    cells = sorted(stacks(plan))
    done = data.draw(st.integers(0, len(cells)))
    sewn, rest = cells[:done], cells[done:]
    finished = data.draw(st.sets(st.sampled_from(rest))) if rest else set()
    wanted = need(plan, {*sewn, *finished})
    left = {name: data.draw(st.integers(0, count + 2)) for name, count in sorted(wanted.items())}
    again = rearrange(plan, sewn, left, finished=finished)
    after = stacks(again.layout)
    assert all(after[cell] == stacks(plan)[cell] for cell in sewn)
    kept = Counter(stacks(plan)[cell] for cell in finished)
    assert not kept - Counter(stack for cell, stack in after.items() if cell not in sewn)
    used = Counter(name for stack in after.values() for name in stack)
    used.subtract(Counter(name for cell in {*sewn, *finished} for name in stacks(plan)[cell]))
    assert +(Counter(left) + Counter(again.cut_again)) == +(used + Counter(again.spare))
    if again.layout.outcome == "found":
        assert all(proper(face) for face in faces(again.layout))


def test_only_finished_blocks_that_moved_are_told_and_each_lies_where_it_is_said():
    """a a b in a row, the middle one finished: whichever changes places, it is told alone, and only if it moved."""
    stacks = {(1, 1): ("a", "x"), (1, 2): ("a", "y"), (1, 3): ("b", "z")}
    for seed in range(20):
        laid = judged(Layout(3, 1, seed, as_blocks(stacks), 0, 0, 0, "found"), faces=1)
        better, moved = _move_whole(laid, {(1, 2): stacks[1, 2]}, set(), (0,))
        now = {(block.row, block.column): block.stack for block in better.blocks}
        assert better.front_matches == 0
        assert now[1, 2] == ("b", "z")
        (there,) = (cell for cell, stack in now.items() if stack == stacks[1, 2])
        assert moved == (((1, 2), there),)


def test_a_single_block_is_laid_again_from_other_prints():
    """Both its squares are spoilt and one of its prints is gone: two others are cut. [identity]"""
    plan = lay(1, 1, 2, PRINTS)
    gone = plan.blocks[0].stack[0]
    again = rearrange(plan, (), {}, gone={gone})
    assert sum(again.cut_again.values()) == 2
    assert gone not in again.layout.blocks[0].stack
