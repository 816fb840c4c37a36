"""First-fit shelves, judged by the same rule written anew without the shortcut."""

from hypothesis import given
from hypothesis import strategies as st

from guide.plan.cutting.cut import shelves
from guide.plan.cutting.strips import Kind, length_of
from tests.plan.cutting_shelves import Case, first_fit

sides = st.integers(1, 40)


@given(st.integers(40, 60), st.lists(st.tuples(sides, sides, st.integers(1, 30)), min_size=1, max_size=6))
def test_each_part_goes_into_the_first_strip_with_room(width, parts):
    """[source: first-fit decreasing height, Coffman, Garey, Johnson and Tarjan 1980] every strip is looked at there."""
    kinds = [Kind(across, down, fixed=True) for across, down, _ in parts]
    strips = shelves(kinds, [count for _, _, count in parts], width, None)
    assert length_of(strips) == first_fit(Case(width, parts, one_way=True))
    assert [sum(used) for used in zip(*(strip.used for strip in strips), strict=True)] == [c for _, _, c in parts]


@given(st.integers(1, 6), st.integers(1, 400))
def test_parts_of_one_size_come_in_the_fewest_strips(across, count):
    """[identity] `across` to a strip: a strip for every so many, rounded up."""
    strips = shelves([Kind(10, 10, fixed=True)], [count], 10 * across + 3, None)
    assert length_of(strips) == 10 * -(-count // across)
