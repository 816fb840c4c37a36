"""Broken class files, one small file a mistake, each with the whole of what is said of it.

`tests/bad/class/NAME.yaml` is a class, `NAME.expected` holds every problem as `line:column: key: message`, in order.
[identity: places counted on the file; wording is the house's own]
"""

import re

import pytest

from tests.read.test_bad import BAD, expected, files, problems
from tests.teach.test_class_command import GOOD

CASES = sorted((BAD / "class").glob("*.yaml"))


def test_the_corpus_is_large():
    assert len(CASES) >= 25


@pytest.mark.parametrize("argv", [[], ["--json"], ["--page", "papers.html"], ["follow"]], ids=" ".join)
@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_a_broken_class_says_exactly_what_is_wrong(workshop, guide, case, argv):
    """Every problem at its line and column, all at once, whatever was asked; exit 2, nothing printed or written."""
    place = workshop / "sessions" / "two"
    place.mkdir()
    (place / "class.yaml").write_text(case.read_text(encoding="utf-8"), encoding="utf-8")
    before = files(place)
    words, options = (argv, []) if argv == ["follow"] else ([], argv)
    done = guide("class", *words, "sessions/two", *options)
    assert problems(done.err) == expected(case, "sessions/two/class.yaml")
    assert (done.code, done.out) == (2, "")
    assert files(place) == before


def test_what_is_not_broken_is_good():
    """Every broken file differs from the good one, and most in one line."""
    for case in CASES:
        lines = case.read_text(encoding="utf-8").split("\n")
        assert 1 <= len(set(lines) ^ set(re.split("\n", GOOD.replace("[cut, stack, quilt]", "[cut]")))) <= 8
