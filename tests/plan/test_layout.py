"""What a maker may count on when prints are laid."""

import networkx as nx
import pytest

from guide.plan.layout.faces import judged, meetings, swap
from guide.plan.layout.lay import Supply, lay
from guide.plan.model import Block, Layout
from tests.plan.layout_judges import counted_anew, exactly, faces, likeness, longest_line, proper, side_matches, squares

THREE = [Supply("moss check"), Supply("oat stripe"), Supply("clay dot")]


def by_hand(rows: list[list[tuple[str, ...]]]) -> Layout:
    """A layout written out, front first, judged."""
    blocks = tuple(Block(r, c, stack) for r, row in enumerate(rows, start=1) for c, stack in enumerate(row, start=1))
    return judged(Layout(len(rows[0]), len(rows), 0, blocks, 0, 0, 0, "found"))


def test_both_faces_of_a_cushion_in_three_prints_are_clear():
    """4 × 3 blocks of 4 squares: found, no side match on either face, the squares shared evenly. [identity]"""
    layout = lay(4, 3, 4, THREE)
    assert (layout.outcome, layout.reason) == ("found", None)
    assert all(proper(face) for face in faces(layout))
    assert sorted(squares(layout).values()) == [16, 16, 16]


def test_networkx_sees_no_edge_between_like_prints():
    """Every face is a proper colouring of the grid graph as networkx builds it. [source: networkx]"""
    layout = lay(9, 7, 4, [*THREE, Supply("slate")])
    graph = nx.grid_2d_graph(7, 9)
    for face in faces(layout):
        assert not [edge for edge in graph.edges if len({face[r + 1, c + 1] for r, c in edge}) == 1]


def test_the_same_seed_lays_the_same_panel_and_another_another():
    """Repeatable by seed."""
    assert lay(6, 6, 4, THREE, seed=3) == lay(6, 6, 4, THREE, seed=3)
    assert lay(6, 6, 4, THREE, seed=3).blocks != lay(6, 6, 4, THREE, seed=4).blocks


def test_counts_that_are_exact_are_kept_exactly():
    """Ready-cut squares are used to the last one. [identity]"""
    layout = lay(4, 3, 4, [exactly("a", 20), exactly("b", 11), exactly("c", 17)])
    assert squares(layout) == {"a": 20, "b": 11, "c": 17}
    assert layout.outcome == "found"


def test_bounds_are_kept_and_the_rest_is_shared_evenly():
    """At most 6 of one, at least 22 of another; what is left goes to the third. [identity]"""
    layout = lay(4, 3, 4, [Supply("a", at_most=6), Supply("b", at_least=22), Supply("c")])
    assert squares(layout) == {"a": 6, "b": 22, "c": 20}


def test_a_print_wanted_too_often_is_refused_in_figures():
    """Nine of twelve single squares alike: at most every other one can lie apart; what would do is said. [identity]"""
    layout = lay(4, 3, 1, [exactly("moss check", 9), exactly("oat stripe", 3)])
    assert layout.outcome == "impossible"
    told = "moss check is wanted on 9 of 12 blocks; at most 6 can lie apart: 3 more squares of other prints would do"
    assert layout.reason == told
    mended = [exactly("moss check", 6), exactly("oat stripe", 3), exactly("slate", 3)]
    assert lay(4, 3, 1, mended).outcome == "found"


def test_too_few_squares_are_told_in_figures():
    """Stock for 40 of the 48 squares. [identity]"""
    layout = lay(4, 3, 4, [Supply("a", at_most=10), Supply("b", at_most=30)])
    assert layout.outcome == "impossible"
    assert layout.reason == "12 blocks of 4 squares take 48; the prints allow 40"


def test_too_many_squares_to_use_up_are_told_in_figures():
    """Sixty squares do not fit in forty-eight places. [identity]"""
    layout = lay(4, 3, 4, [exactly("a", 30), Supply("b", at_least=30), Supply("c")])
    assert (layout.outcome, layout.reason) == ("impossible", "12 blocks of 4 squares take 48; 60 are to be used up")


def test_bounds_that_contradict_each_other_name_the_print():
    """Twelve ready-cut squares to use up, ten allowed."""
    layout = lay(4, 3, 4, [Supply("a", at_least=12, at_most=10), Supply("b"), Supply("c")])
    assert layout.outcome == "impossible"
    assert layout.reason == "a: 12 squares are to be used, at most 10 are allowed"


def test_one_print_alone_is_still_laid_with_its_matches_counted():
    """A 4 × 3 grid has 9 + 8 inner seams, all between like prints, on each face. [identity]"""
    layout = lay(4, 3, 4, [Supply("moss check")])
    assert layout.outcome == "impossible"
    assert (layout.front_matches, layout.back_matches) == (17, 17)


def test_the_lower_face_of_a_cushion_is_let_go_only_when_that_helps():
    """36 of 48 squares alike do not fit two clear faces; the front alone stays clear, and the reason says so."""
    supplies = [exactly("a", 40), exactly("b", 4), exactly("c", 4)]
    assert lay(4, 3, 4, supplies).outcome == "impossible"
    relaxed = lay(4, 3, 4, supplies, faces="front")
    assert relaxed.outcome == "found"
    assert relaxed.front_matches == 0 < relaxed.back_matches
    assert relaxed.reason.startswith("the lower face is inside")
    assert squares(relaxed) == {"a": 40, "b": 4, "c": 4}
    kept = lay(4, 3, 4, THREE, faces="front")
    assert (kept.back_matches, kept.reason) == (0, None)


def test_turned_stacks_keep_one_order():
    """Every stack goes round moss, oat, clay; both faces stay clear."""
    layout = lay(4, 3, 4, THREE, order="rotate")
    names = [supply.name for supply in THREE]
    for block in layout.blocks:
        first = names.index(block.stack[0])
        assert block.stack == tuple(names[(first + layer) % 3] for layer in range(4))
    assert all(proper(face) for face in faces(layout))


def test_turned_stacks_bend_to_what_there_is():
    """5 layers of 3 prints: stacks begin so that no more than 18 squares of one are taken. [identity]"""
    layout = lay(4, 3, 5, [Supply("a", at_most=18), Supply("b"), Supply("c")], order="rotate")
    assert layout.outcome == "found"
    assert squares(layout)["a"] <= 18


def test_turned_stacks_that_need_more_than_there_is_say_so():
    """3 layers of 3 prints take one of each, twelve times. [identity]"""
    layout = lay(4, 3, 3, [Supply("a", at_most=5), Supply("b"), Supply("c")], order="rotate")
    assert layout.outcome == "impossible"
    assert layout.reason == "stacks turned in one order take 12 squares of a; 5 are allowed"


def test_fixed_stacks_stay_and_the_rest_goes_round_them():
    """Three blocks decided by hand."""
    four = [*THREE, Supply("slate")]
    fixed = {
        (1, 1): ("slate",) * 4,
        (2, 2): ("slate", "clay dot", "clay dot", "moss check"),
        (3, 4): ("oat stripe", "oat stripe", "slate", "slate"),
    }
    layout = lay(4, 3, 4, four, fixed=fixed)
    stacks = {(b.row, b.column): b.stack for b in layout.blocks}
    assert {cell: stacks[cell] for cell in fixed} == fixed
    assert layout.outcome == "found"
    assert all(proper(face) for face in faces(layout))


def test_fixed_stacks_that_meet_are_named():
    """Two blocks decided by hand that touch."""
    stack = ("clay dot",) * 4
    layout = lay(4, 3, 4, [*THREE, Supply("slate")], fixed={(1, 1): stack, (1, 2): stack})
    assert layout.outcome == "impossible"
    assert layout.reason == (
        "row 1 column 1 and row 1 column 2 both show clay dot on the front, and both blocks are to stay"
    )
    assert (layout.front_matches, layout.back_matches) == (1, 1)


def test_a_place_between_all_prints_is_named():
    """The middle of 3 × 3 between blocks that show all four prints. [identity]"""
    names = ["moss check", "oat stripe", "clay dot", "slate"]
    around = dict(zip([(1, 2), (2, 1), (2, 3), (3, 2)], names, strict=True))
    fixed = {cell: (name, names[i - 1]) for i, (cell, name) in enumerate(around.items())}
    layout = lay(3, 3, 2, [Supply(name) for name in names], fixed=fixed)
    assert layout.outcome == "impossible"
    assert layout.reason == "no print is left for the front of row 2 column 2: its neighbours show them all"


def test_two_prints_that_do_not_fit_round_fixed_blocks_are_proved_not_to():
    """In two prints a panel is a draughtboard: blocks an even step apart must be alike. [identity]"""
    fixed = {(1, 1): ("a", "a"), (3, 4): ("a", "b")}
    layout = lay(4, 3, 2, [Supply("a"), Supply("b")], fixed=fixed)
    assert layout.outcome == "impossible"
    assert layout.reason == "nothing fits round the 2 blocks that are to stay: every way was tried"
    assert lay(4, 3, 2, [Supply("a"), Supply("b")], fixed=fixed | {(3, 4): ("b", "b")}).outcome == "found"


@pytest.mark.parametrize(
    "wrong",
    [
        {"across": 0},
        {"down": -1},
        {"depth": 0},
        {"supplies": []},
        {"supplies": [Supply("a"), Supply("a")]},
        {"fixed": {(4, 1): ("moss check",) * 4}},
        {"fixed": {(1, 1): ("moss check",)}},
        {"fixed": {(1, 1): ("plum",) * 4}},
    ],
)
def test_nonsense_is_refused(wrong):
    """Only arguments that mean nothing raise."""
    asked = {"across": 4, "down": 3, "depth": 4, "supplies": THREE} | wrong
    with pytest.raises(ValueError):
        lay(**asked)


def test_the_check_counts_what_the_eye_counts():
    """2 × 2 by hand: front A A / B A: two side matches and one diagonal; back all alike: four and two. [identity]"""
    layout = by_hand([[("A", "C"), ("A", "C")], [("B", "C"), ("A", "C")]])
    assert counted_anew(layout) == (2, 4, 1 + 2)
    assert (layout.front_matches, layout.back_matches, layout.diagonal_matches) == (2, 4, 3)
    assert [(m.first, m.second) for m in meetings(layout) if m.face == "front"] == [((1, 1), (1, 2)), ((1, 2), (2, 2))]


def test_single_squares_have_one_face():
    """A patchwork back is one layer deep and shows once. [identity]"""
    assert counted_anew(by_hand([[("A",), ("A",)]])) == (1, 0, 0)


def test_a_swap_by_hand_shows_its_matches_at_once():
    """A B A / B A B: changing two unlike corners brings matches, changing back takes them away."""
    layout = by_hand([[("A", "B"), ("B", "A"), ("A", "B")], [("B", "A"), ("A", "B"), ("B", "A")]])
    assert layout.outcome == "found"
    swapped = swap(layout, (1, 1), (2, 1))
    judge = faces(swapped)
    assert (swapped.front_matches, swapped.back_matches) == (side_matches(judge[0]), side_matches(judge[1])) == (2, 2)
    assert swapped.outcome == "as laid"
    assert "row 1 column 1 and row 1 column 2 both show B on the front" in swapped.reason
    assert swap(swapped, (1, 1), (2, 1)) == layout


def test_five_prints_of_one_count_meet_nowhere_near():
    """5 × 5 blocks: no like prints side by side, on diagonals or two apart: a perfect code. [source: Golomb & Welch 1970]"""
    layout = lay(5, 5, 2, [exactly(name, 10) for name in "abcde"])
    assert likeness(layout) == 0


def test_no_print_gathers_in_one_part_of_the_panel():
    """No visible bands: over each quarter of a 12 × 16 front, each print has a fair share within a half. [practice]"""
    counts = {"a": 60, "b": 48, "c": 36, "d": 28, "e": 20}
    layout = lay(12, 16, 1, [exactly(name, count) for name, count in counts.items()])
    for first in (1, 5, 9, 13):
        band = [b.stack[0] for b in layout.blocks if first <= b.row < first + 4]
        for name, count in counts.items():
            assert count / 4 * 0.5 <= band.count(name) <= count / 4 * 1.5


@pytest.mark.parametrize("prints", [3, 4, 5, 6, 8])
@pytest.mark.parametrize("shape", [(4, 3), (5, 8), (6, 8), (12, 16)])
def test_no_print_draws_a_long_line(shape, prints):
    """No visible bands: on no face a diagonal line of more than five alike, even with three prints. [practice]"""
    layout = lay(*shape, 4, [Supply(f"print {i}") for i in range(prints)])
    assert layout.outcome == "found"
    assert longest_line(layout) <= 5


def test_stacks_hold_unlike_squares_where_there_are_enough():
    """Four prints, four layers: hardly a stack needs the same print twice between its faces and inside."""
    layout = lay(6, 6, 4, [*THREE, Supply("slate")])
    doubled = [b for b in layout.blocks if len(set(b.stack)) < 3]
    assert not doubled
