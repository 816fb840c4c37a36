"""How mistakes are shown: the line they stand in, and a caret under the place."""

import string

import pytest

from guide.read.model import Problem, describe

LINE = "".join(string.ascii_letters[i % 52] for i in range(200))


@pytest.mark.parametrize(("column", "start"), [(1, 0), (49, 0), (50, 1), (150, 101), (153, 104), (200, 104)])
def test_a_long_line_is_cut_to_what_fits_round_its_place(column, start):
    """96 of 200 characters, 48 before the place where there are as many, and the caret under the very letter.

    Column 150 is index 149; 149 - 48 = 101 comes first. The last 96 begin at 104, from column 153 on [identity].
    """
    told = describe([Problem("project.yaml", 1, column, "", "wrong")], {"project.yaml": LINE})
    _, shown, caret = told.split("\n")
    assert shown == "    " + LINE[start : start + 96]
    assert shown[caret.index("^")] == LINE[column - 1]


def test_a_line_that_fits_is_shown_whole():
    """96 characters are, 97 are not."""
    for length, whole in ((96, True), (97, False)):
        told = describe([Problem("project.yaml", 1, 3, "", "wrong")], {"project.yaml": LINE[:length]})
        assert (LINE[:length] in told) == whole
