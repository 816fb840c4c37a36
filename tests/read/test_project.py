"""A project file is read whole, or all that is wrong with it is said at once, each at its place."""

from decimal import Decimal

import pytest

from guide.read.model import describe
from guide.read.project import read_project
from guide.read.stages import read_what_can_be
from tests.plan.sums_of import shipped

STAGES = shipped().stages
GOOD = """\
project: Invented cushion
kind: cushion
grid: {across: 4, down: 3}
square: 6 in
seam: 1/2 in
layers: {above: 2, below: 2}
wadding: {gap: 1/2 in, width: 90 in, price: 11.00 / yd}
prints:
  - {name: moss check, width: 44 in, price: 9.60 / yd, shrinks: {length: 4 %}}
  - {name: clay dot, width: 44 in, at_most: 20}
closure: {type: zip, after_row: 1}
labour: {rate: 18.00 / hour, allowance: 10 %}
"""


def problems(text):
    return [str(p) for p in sorted(read_project(text, "project.yaml", STAGES)[1].problems)]


def changed(old, new):
    assert old in GOOD
    return GOOD.replace(old, new)


def test_a_good_project_is_read():
    """Every value arrives in mm, fractions and Decimal, with its defaults."""
    project, _ = read_project(GOOD, "project.yaml", STAGES)
    given = {name: g.value for name, g in project.given.items()}
    assert given["square"] == pytest.approx(152.4)  # [identity]
    assert given["free_end"] == pytest.approx(9.525)  # default seam − 1/8 in
    assert given["zip_end_gap"] == pytest.approx(25.4)  # default 1 in
    assert given["shrink_length"] == pytest.approx(0.02)  # mean of 4 % and none
    assert given["shrink_length_worst"] == pytest.approx(0.04)
    assert given["envelope_overlap"] is None
    assert project.labour.rate.amount == Decimal("18.00")
    assert project.given["square"].place.line == 4
    assert project.given["zip_stop_gap"].place.file == "closure.yaml"  # whose default it is


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("seam: 1/2 in", "saem: 1/2 in", "project.yaml:5:1: saem: there is no key saem here (did you mean seam?)"),
        ("square: 6 in", "square: 6", "project.yaml:4:9: square: 6 has no unit; write 6 in or 6 cm"),
        ("square: 6 in", "square: 3,5 cm", "project.yaml:4:9: square: '3,5 cm' has a comma; write 3.5 cm"),
        ("gap: 1/2 in", "gap: 1/4 in", "would be caught in the seam and show in the fringe; write at least the seam, 1/2 in"),
        ("after_row: 1", "after_row: 3", "project.yaml:11:33: closure.after_row: the zip must lie between two rows"),
        ("after_row: 1", "after_column: 0", "must be at least 1"),
        ("after_row: 1", "after_row: 1, after_column: 1", "write after_row or after_column, one of them"),
        ("after_row: 1", "after_row: 1, end_gap: 1/2 in", "would reach into the outer seam and be sewn over"),
        ("closure: {type: zip, after_row: 1}", "closure: none", "a cushion with no closure has no way in"),
        ("kind: cushion", "kind: throw", "a throw has no inside; write closure: none"),
        ("kind: cushion", "kind: quilt", "'quilt' is not known here; write cushion or throw"),
        ("seam: 1/2 in", "seam: 1/2 in\nfree_end: 3/4 in", "a free end over one seam leaves a hole"),
        ("square: 6 in", "square: 2 in", "eaten up by its seams; write more than four seams, 2 in"),
        ("name: clay dot", "name: moss check", "the print moss check is already given"),
        ("width: 44 in, at_most", "at_most", "write its width, or what is on hand"),
        ("allowance: 10 %", "allowance: 10", "10 could be a part or a percentage; write 10 %"),
        ("price: 9.60 / yd", "price: 9.60", "9.6 says no unit; write 9.60 / yd"),
        ("price: 9.60 / yd", "price: 9.60 / hour", "money per hour does not fit here"),
        ("grid: {across: 4, down: 3}\n", "", "grid is missing"),
        ("above: 2", "above: two", "'two' does not fit here; write a whole number"),
        ("prints:", "back: {plain: moss chek}\nprints:", "there is no print moss chek (did you mean moss check?)"),
        ("project: Invented cushion", "project:", "nothing is written here; write a text"),
    ],
)  # fmt: skip
def test_a_mistake_is_named_with_its_mend(old, new, says):
    """file:line:column, what is wrong, what to write."""
    found = problems(changed(old, new))
    assert any(says in problem for problem in found), found
    assert read_project(changed(old, new), "project.yaml", STAGES)[0] is None


def test_two_mistakes_are_said_at_once():
    """All problems together, by place, each with its line and a caret."""
    text = changed("square: 6 in", "square: 6").replace("seam: 1/2 in", "saem: 1/2 in").replace("above: 2", "above: x")
    found = problems(text)
    assert [p.split(": ")[0] for p in found] == [
        "project.yaml:1:1",
        "project.yaml:4:9",
        "project.yaml:5:1",
        "project.yaml:6:17",
    ]
    shown = describe(read_project(text, "project.yaml", STAGES)[1].problems, {"project.yaml": text})
    assert "    square: 6\n            ^" in shown


def test_a_change_is_tried_in_place_of_what_is_written():
    """`--set square=7in` reads as if the file said so; nonsense is refused as such."""
    project, _ = read_project(GOOD, "project.yaml", STAGES, ["square=7in", "grid.across=5", "make=2"])
    assert project.given["square"].value == pytest.approx(177.8)
    assert (project.across, project.make) == (5, 2)
    _, loaded = read_project(GOOD, "project.yaml", STAGES, ["square"])
    assert "write it like square=7in" in str(loaded.problems[0])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("square=6", "--set square=6: square: 6 has no unit; write 6 in or 6 cm"),
        ("squre=6in", "--set squre=6in: squre: there is no key squre here (did you mean square?)"),
        ("grid.acros=5", "--set grid.acros=5: grid.acros: there is no key acros here (did you mean across?)"),
        ("gird.across=5", "--set gird.across=5: gird: there is no key gird here (did you mean grid?)"),
        ("make=0", "--set make=0: make: must be at least 1; it is 0"),
        ("=6in", "--set =6in: write it like square=7in or grid.across=5"),
        ("square", "--set square: write it like square=7in or grid.across=5"),
        ("grid.across.x=5", "--set grid.across.x=5: write it like square=7in or grid.across=5"),
        ("closure.after_row=9", "--set closure.after_row=9: closure.after_row: the zip must lie between"),
    ],
)
def test_what_is_wrong_with_a_change_has_the_change_as_its_place(change, said):
    """No line of the file is to blame for what stands on the command line, and none is shown under it."""
    _, loaded = read_project(GOOD, "project.yaml", STAGES, [change])
    shown = describe(loaded.problems, {"project.yaml": GOOD})
    assert shown.startswith(said)
    assert "^" not in shown


def test_a_group_that_is_not_written_can_be_tried():
    """`--set pad.ease=1in` reads although the file has no pad."""
    project, loaded = read_project(GOOD, "project.yaml", STAGES, ["pad.ease=1in"])
    assert project is not None, loaded.problems
    assert project.given["pad_ease"].value == pytest.approx(25.4)
    assert str(project.given["pad_ease"].place) == "--set pad.ease=1in"


@pytest.mark.parametrize(("letters", "told"), [(60, []), (61, ["longer than 60 characters"])])
def test_a_text_is_as_long_as_its_key_allows(letters, told):
    """A cloth's name has room for 60 characters: all of them, and none more."""
    found = problems(GOOD.replace("moss check", "m" * letters))
    assert [said for said in told if any(said in one for one in found)] == told
    assert len(found) == len(told)


@pytest.mark.parametrize(("key", "letters"), [("at_least", 40), ("at_most", 40), ("default", 80)])
def test_the_limits_of_an_own_key_are_short_texts_too(key, letters):
    """What is too long is told as that, before it is looked at as a length; what is not, as no length."""
    for more, says in ((0, "is not a length"), (1, f"longer than {letters} characters")):
        value = "x" * (letters + more)
        text = f"stage: own\ntitle: Own\ninputs:\n  tie: {{is: length, default: 4 in, {key}: {value}, says: a tie}}\n"
        text = text.replace("default: 4 in, default", "default")
        (problem,) = read_what_can_be(text, "own.yaml", "own")[1].problems
        assert says in problem.message
