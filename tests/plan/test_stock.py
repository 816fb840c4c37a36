"""A stock limit is never exceeded: what would take more squares than there are is refused, with both figures."""

import itertools
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guide.plan.layout.counts import Supply
from guide.plan.layout.lay import fronts, in_stacks
from guide.plan.layout.panels import keep, with_spare
from guide.plan.learnt import Learnt, differs
from guide.plan.make import make_plan
from guide.plan.shopping import share_shelf
from tests.plan.sums_of import cushion, read, shipped
from tests.show.demo import demo_plan

THROW = """\
project: Invented throw
kind: throw
make: {make}
grid: {{across: 4, down: 3}}
square: 6 in
seam: 1/2 in
layers: {{above: 2, below: 1}}
stacks: {stacks}
prints: [{{name: leaf, {leaf}}}, {{name: dot, width: 44 in}}, {{name: check, width: 44 in}}]
closure: none
"""


@pytest.fixture
def thrown(guide, workshop):
    """A throw of 12 blocks, three squares each, of three prints; what is said of it, and what it takes of leaf."""

    def call(leaf, *more, make=1, stacks="rotate", command="plan"):
        folder = workshop / "sessions" / "thrown"
        folder.mkdir(exist_ok=True)
        (folder / "project.yaml").write_text(THROW.format(leaf=leaf, make=make, stacks=stacks), encoding="utf-8")
        return guide(command, str(folder), *more)

    return call


def test_turned_stacks_that_take_more_than_there_is_are_refused(thrown):
    """Three layers of three prints hold each once: 12 blocks take 12 leaf, 11 are allowed. [identity]"""
    said = thrown("width: 44 in, at_most: 11")
    assert (said.code, said.out) == (2, "")
    assert said.err == (
        "Stacks turned in one order take 12 squares of leaf; 11 are allowed.\n"
        "Raise its at_most to 12, write stacks: free, or leave leaf out of the prints.\n"
    )
    assert thrown("width: 44 in, at_most: 12").code == 0


def test_the_limit_is_of_all_makes(thrown):
    """Two throws take 24 leaf; of 23 no more than 11 are for one. [identity]"""
    said = thrown("width: 44 in, at_most: 23", make=2)
    assert said.code == 2
    assert said.err.startswith("Stacks turned in one order take 24 squares of leaf; 23 are allowed.\n")
    assert thrown("width: 44 in, at_most: 24", make=2).code == 0


def test_so_are_those_of_which_only_ready_squares_lie_there(thrown):
    """12 are taken, 5 lie ready and no width is written, so none can be bought. [identity]"""
    said = thrown("on_hand: [{squares: 5}]")
    assert said.code == 2
    assert said.err == (
        "Stacks turned in one order take 12 squares of leaf; 5 are on hand.\n"
        "Write the width of leaf, so that it can be bought, write stacks: free, or leave leaf out of the prints.\n"
    )


def test_free_stacks_bend_where_turned_ones_cannot(thrown):
    """The way out that is named is one: the same stock, free. [identity]"""
    said = thrown("width: 44 in, at_most: 5", "--json", stacks="free")
    blocks = json.loads(said.out)["layout"]["blocks"]
    assert sum(block["stack"].count("leaf") for block in blocks) == 5


def test_squares_to_spare_keep_within_the_stock_too(thrown):
    """12 leaf are taken of 13: one of the two to spare is there, and it is said; the others have theirs. [identity]"""
    data = json.loads(thrown("width: 44 in, at_most: 13", "--spare", "2", "--json").out)
    cut = {
        one["material"]: sum(placed["part"] == "square" for cloth in one["cloths"] for placed in cloth["placements"])
        for one in data["cutting"]
    }
    assert cut == {"leaf": 13, "dot": 14, "check": 14}
    told = "leaf: 1 to spare, not 2: 13 are allowed in all"
    assert [one["text"] for one in data["warnings"] if one["name"] == "spare"] == [told]
    assert thrown("width: 44 in, at_most: 13", "--spare", "2", "--cutting").out.endswith(f"\n▲ {told}\n")
    assert "to spare" not in thrown("width: 44 in, at_most: 14", "--spare", "2").out


def test_a_kept_layout_is_held_to_a_limit_written_later(thrown, workshop):
    """Laid free without a limit and kept, 12 leaf in it; then at_most: 4 is written. [identity]"""
    assert thrown("width: 44 in", "--again", stacks="free", command="layout").code == 0
    kept = workshop / "sessions" / "thrown" / "layout.json"
    before = kept.read_bytes()
    said = thrown("width: 44 in, at_most: 4", stacks="free")
    assert said.code == 2
    assert said.err == (
        "The layout takes 12 squares of leaf; 4 are allowed.\n"
        "Raise its at_most to 12, or lay again: guide layout --forget puts the kept one away.\n"
    )
    assert kept.read_bytes() == before
    assert thrown("width: 44 in, at_most: 4", "--forget", stacks="free", command="layout").code == 0
    assert thrown("width: 44 in, at_most: 4", stacks="free").code == 0


def test_the_stock_comes_before_prints_that_meet():
    """Two prints, three deep, three blocks: A B A takes two A, B A B one. Of four A two stacks begin with B. [identity]

    Of three A all three must begin with B, so B meets itself: that is said, and the stock is kept to.
    """
    share = fronts([Supply("a", at_most=4), Supply("b")], 3, 3, [0, 0])
    assert (share.counts, share.problem) == ([1, 2], None)
    share = fronts([Supply("a", at_most=3), Supply("b")], 3, 3, [0, 0])
    assert share.counts == [0, 3]
    assert share.problem == "to keep within the stock b begins 3 stacks; at most 2 can lie apart"


@given(st.integers(2, 4), st.integers(2, 6), st.integers(1, 6), st.data())
def test_fronts_exceed_the_stock_only_where_all_would(many, depth, blocks, data):
    """Every way to share the blocks out is tried: where one keeps to the stock, so does what is found. [identity]"""
    limits = [data.draw(st.none() | st.integers(0, blocks * depth)) for _ in range(many)]
    found = fronts([Supply("abcd"[i], at_most=limit) for i, limit in enumerate(limits)], blocks, depth, [0] * many)

    def keeps(counts):
        return all(most is None or n <= most for n, most in zip(in_stacks(counts, depth), limits, strict=True))

    assert sum(found.counts) == blocks
    assert min(found.counts) >= 0
    every = (counts for counts in itertools.product(range(blocks + 1), repeat=many) if sum(counts) == blocks)
    assert keeps(found.counts) == any(keeps(counts) for counts in every)


def test_of_a_print_that_lies_nowhere_nothing_is_cut_to_spare():
    """Three squares of one print and two to spare are five; the other prints of the project are not cut at all."""
    assert with_spare(demo_plan().project, {"moss check": 3}, 2) == ({"moss check": 5}, ())


def test_a_layout_that_was_kept_lies_row_by_row():
    """Four blocks in a row: the fifth stack begins the second. [identity]"""
    plan = demo_plan()
    kept = [list(block.stack) for block in plan.layout.blocks]
    places = [(block.row, block.column) for block in keep(plan.project, kept).blocks]
    assert places == [(row, column) for row in (1, 2, 3) for column in (1, 2, 3, 4)]


@pytest.mark.parametrize(("value", "given", "worth"), [(0.02, 0.02, False), (0.02, 0.0, True), (0.0, 0.02, True)])
def test_what_was_learnt_is_worth_writing_where_it_differs(value, given, worth):
    """Two in a hundred learnt, and two written already: nothing to say. [identity]"""
    assert differs(Learnt("draw_in", value, given, 3, value, value, "", "")) == worth


def test_of_squares_that_lie_ready_the_second_project_finds_what_the_first_leaves():
    """[identity] Three prints of 100 squares each; fifteen stacks of three and a back of fifteen take 60: 240 are left."""
    ready = [{"name": name, "width": "44 in", "on_hand": [{"squares": 100}]} for name in ("leaf", "check", "dot")]
    project = read(cushion(prints=ready))
    assert sum(cloth.ready_squares for cloth in share_shelf(project, [make_plan(project, shipped())]).prints) == 240
