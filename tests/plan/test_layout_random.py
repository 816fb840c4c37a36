"""Random panels under the judges: bounded here, two thousand with FRAYWORK_FULL=1."""

import os

from hypothesis import given, settings
from hypothesis import strategies as st

from guide.plan.layout.lay import Supply, lay
from tests.plan.layout_cpsat import faces_model, fixed_model, solve
from tests.plan.layout_judges import counted_anew, exactly, faces, proper, side_matches, squares

EXAMPLES = 2000 if os.environ.get("FRAYWORK_FULL") else 60
NAMES = ("moss check", "oat stripe", "clay dot", "slate", "plum", "rust", "sage", "sand")
bounded = settings(max_examples=EXAMPLES, deadline=None, derandomize=True)


@st.composite
def panels(draw):
    """A panel with prints in any mixture of exact, bounded and free supplies."""
    across, down = draw(st.integers(1, 8)), draw(st.integers(1, 8))
    depth = draw(st.integers(1, 5))
    total = across * down * depth
    supplies = []
    for name in NAMES[: draw(st.integers(1, 8))]:
        kind = draw(st.sampled_from(["free", "free", "at_most", "exact", "at_least"]))
        count = draw(st.integers(0, total))
        made = {"free": Supply(name), "exact": exactly(name, count)}
        supplies.append(made.get(kind) or Supply(name, **{kind: count}))
    return across, down, depth, supplies


@bounded
@given(panels(), st.integers(0, 9))
def test_every_layout_fills_its_panel_and_tells_the_truth(panel, seed):
    """Every block filled, matches as the judge counts them, found only when clear and within the supplies."""
    across, down, depth, supplies = panel
    layout = lay(across, down, depth, supplies, seed=seed)
    assert [(b.row, b.column) for b in layout.blocks] == [
        (r, c) for r in range(1, down + 1) for c in range(1, across + 1)
    ]
    assert all(len(b.stack) == depth for b in layout.blocks)
    judged = [side_matches(face) for face in faces(layout)] + [0]
    assert judged[:2] == [layout.front_matches, layout.back_matches]
    assert counted_anew(layout)[:2] == (layout.front_matches, layout.back_matches)
    assert (layout.outcome == "found") == (layout.reason is None)
    if layout.outcome == "found":
        assert layout.front_matches == layout.back_matches == 0
        used = squares(layout)
        for s in supplies:
            assert s.at_least <= used[s.name]
            assert s.at_most is None or used[s.name] <= s.at_most


@bounded
@given(panels())
def test_nothing_is_left_unfound(panel):
    """With no fixed blocks the answer is always found or impossible, never a shrug."""
    across, down, depth, supplies = panel
    assert lay(across, down, depth, supplies).outcome != "not found"


@settings(max_examples=200 if os.environ.get("FRAYWORK_FULL") else 25, deadline=None, derandomize=True)
@given(st.integers(1, 5), st.integers(1, 5), st.integers(1, 2), st.data())
def test_the_solver_agrees_on_what_is_impossible(across, down, depth, data):
    """Exact counts on all faces: CP-SAT calls infeasible exactly what is called impossible. [source: OR-Tools CP-SAT]"""
    left = across * down * depth
    counts = []
    for _ in range(data.draw(st.integers(0, 3))):
        counts.append(data.draw(st.integers(0, left)))
        left -= counts[-1]
    counts.append(left)
    model, _ = faces_model(across, down, counts, depth)
    word, _ = solve(model, 10)
    outcome = lay(across, down, depth, [exactly(n, c) for n, c in zip(NAMES, counts, strict=False)]).outcome
    assert (word, outcome) in {("OPTIMAL", "found"), ("INFEASIBLE", "impossible")}


@bounded
@given(panels())
def test_the_front_alone_is_never_harder(panel):
    """A cushion is laid wherever a throw is, and its front is clear whenever it is called found."""
    across, down, depth, supplies = panel
    cushion = lay(across, down, depth, supplies, faces="front")
    if lay(across, down, depth, supplies).outcome == "found":
        assert (cushion.outcome, cushion.reason) == ("found", None)
    if cushion.outcome == "found":
        assert proper(faces(cushion)[0])


@bounded
@given(panels())
def test_turned_stacks_are_one_order_turned(panel):
    """All stacks are windows of one round; found means clear on both faces and within the supplies."""
    across, down, depth, supplies = panel
    layout = lay(across, down, depth, supplies, order="rotate")
    follows = {pair for b in layout.blocks for pair in zip(b.stack, b.stack[1:], strict=False)}
    if any(s.at_most != 0 for s in supplies):
        assert len({first for first, _ in follows}) == len(follows)
    if layout.outcome == "found":
        assert all(proper(face) for face in faces(layout))
        used = squares(layout)
        assert all(s.at_most is None or used[s.name] <= s.at_most for s in supplies)
        assert all(s.at_least <= used[s.name] for s in supplies)


@settings(max_examples=300 if os.environ.get("FRAYWORK_FULL") else 40, deadline=None, derandomize=True)
@given(st.integers(2, 5), st.integers(2, 4), st.integers(2, 4), st.data())
def test_the_solver_agrees_on_what_goes_round_fixed_blocks(across, down, prints, data):
    """Some blocks decided, some prints scarce: feasible is found, infeasible is called impossible. [source: CP-SAT]"""
    cells = st.tuples(st.integers(1, down), st.integers(1, across))
    stack = st.tuples(st.integers(0, prints - 1), st.integers(0, prints - 1))
    fixed = data.draw(st.dictionaries(cells, stack, max_size=4))
    all_squares = 2 * across * down
    laid = [sum(pair.count(i) for pair in fixed.values()) for i in range(prints)]
    most = [max(laid[i], data.draw(st.sampled_from([all_squares, all_squares // 3]))) for i in range(prints)]
    word, _ = solve(fixed_model(across, down, most, fixed), 10)
    layout = lay(
        across,
        down,
        2,
        [Supply(NAMES[i], at_most=count) for i, count in enumerate(most)],
        fixed={cell: tuple(NAMES[i] for i in pair) for cell, pair in fixed.items()},
    )
    assert (word, layout.outcome) in {("OPTIMAL", "found"), ("INFEASIBLE", "impossible")}
