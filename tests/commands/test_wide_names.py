"""Columns stand under each other whatever letters a maker's names are written in; a terminal's own counting judges."""

import re

import pyte
import pytest
import yaml

from tests.commands.worked import worked

DEMO = "sessions/window-seat-cushion"
OTHER = "sessions/other"
NAMES = {"moss check": "青いチェック", "oat stripe": "👩‍🌾 farmer", "clay dot": "e\u0301 combined"}


@pytest.fixture(autouse=True)
def named(workshop):
    """The demo with prints named in wide letters, a picture, and a mark set over a letter; and a second like it."""
    text = (workshop / DEMO / "project.yaml").read_text(encoding="utf-8")
    for old, new in NAMES.items():
        text = text.replace(old, new)
    (workshop / DEMO / "project.yaml").write_text(text, encoding="utf-8")
    data = yaml.safe_load(text)
    (workshop / OTHER).mkdir()
    (workshop / OTHER / "project.yaml").write_text(yaml.safe_dump(data, allow_unicode=True), encoding="utf-8")
    worked(DEMO, 0, lambda step: step.pace_s)


def column(text):
    """The column a terminal 200 wide stands at after a text."""
    screen = pyte.Screen(200, 1)
    stream = pyte.Stream(screen)
    for character in text:  # one by one: of a run it leaves out what follows a joiner
        stream.feed(character)
    return screen.cursor.x


WIDE = "(?:青いチェック|👩‍🌾 farmer|e\u0301 combined)"


@pytest.mark.parametrize(
    ("argv", "until"),
    [
        (("plan", DEMO), rf"  (?:{WIDE}|wadding) +(?=from |\d[\d /]* yd)"),
        (("plan", DEMO, "--set", "square=7in"), rf". buy (?:{WIDE}|wadding) +(?=—|\d[\d /]* yd)"),
        (("plan", DEMO, "--with", OTHER), rf"  {WIDE} +(?=\d[\d /]* yd)"),
        (("price", DEMO), rf"  (?:{WIDE}|labour|overhead) +\d+\.\d\d"),
        (("price", DEMO, "--set", "make=2"), rf"› (?:{WIDE}|labour|overhead) +\d+\.\d\d"),
        (("history", "--by", "step"), r".* pieces"),
        (("amend", DEMO), r" *\d+  \d\d:\d\d to .* \d+  +[\d:]+"),
    ],
    ids=lambda one: " ".join(one) if isinstance(one, tuple) else "",
)
def test_a_column_stands_in_one_place(guide, argv, until):
    """[identity] What stands under each other begins, or ends, in the same column of the terminal."""
    said = guide(*argv)
    assert said.code == 0, said.err
    found = [one[0] for line in said.out.split("\n") if (one := re.match(until, line))]
    assert len(found) >= 3, said.out
    assert len({column(text) for text in found}) == 1, found
