"""What is said of a layout: one true count, and no word of looking where nothing was looked for. [identity]"""

import json
from pathlib import Path

import pytest

DEMO = "sessions/window-seat-cushion"
THROW = """\
project: Invented throw
kind: throw
grid: {across: 2, down: 2}
square: 6 in
seam: 1/2 in
layers: {above: 1, below: 1}
prints: [{name: leaf, width: 44 in}, {name: dot, width: 44 in}]
closure: none
"""


def warned(guide, project=DEMO):
    return [
        one["text"] for one in json.loads(guide("plan", project, "--json").out)["warnings"] if "meets" in one["text"]
    ]


@pytest.fixture
def throw(workshop):
    folder = workshop / "sessions" / "throw"
    folder.mkdir()
    (folder / "project.yaml").write_text(THROW, encoding="utf-8")
    return str(folder)


def test_a_layout_changed_by_hand_is_said_as_it_is_laid(guide):
    """Blocks 1,1 and 1,2 of the demo changed over: clay dot meets clay dot once on the front, and once is said."""
    assert guide("layout", DEMO).out.rstrip().endswith("No two alike meet on the front.")
    said = guide("layout", DEMO, "--swap", "1,1:1,2").out
    assert "As laid, alike meet on the front:\n  clay dot at 1,1 and 2,1 (front)\n" in said
    assert "found" not in said
    assert "place" not in said
    assert warned(guide) == [
        "as laid, a print meets itself in 1 place on the front: row 1 column 1 and row 2 column 1 both show clay dot"
    ]


def test_both_faces_of_a_throw_are_counted_apart(guide, throw):
    """2 × 2 in two prints is a draughtboard on both faces; a swap of neighbours brings 2 and 2."""
    assert "No two alike meet on either face." in guide("layout", throw).out
    said = guide("layout", throw, "--swap", "1,1:1,2").out
    assert "As laid, alike meet on a face:" in said
    assert said.count("(front)") == said.count("(back)") == 2
    (one,) = warned(guide, throw)
    assert one.startswith(
        "as laid, a print meets itself in 2 places on the front and 2 places on the back: row 1 column 1 and"
    )


def test_what_cannot_be_helped_is_said_with_its_reason(guide, throw):
    """Five blocks side by side of one print meet in four places on each face, and more prints would help."""
    file = Path(throw, "project.yaml")
    file.write_text(
        THROW.replace("{across: 2, down: 2}", "{across: 5, down: 1}").replace(", {name: dot, width: 44 in}", ""),
        encoding="utf-8",
    )
    (one,) = warned(guide, throw)
    assert one.startswith("a print meets itself in 4 places on the front and 4 places on the back: ")
    said = guide("layout", throw).out
    assert "On a face, alike meet:" in said
    assert "It cannot be helped: " in said
    assert said.count("at 1,") == 8


def test_the_single_squares_of_a_back_are_said_to_be_there(guide, workshop):
    """With one print the patchwork back of the demo meets itself on the back, not on the front twice."""
    file = Path(DEMO, "project.yaml")
    text = file.read_text(encoding="utf-8")
    start, end = text.index("  - {name: oat stripe"), text.index("back: patchwork")
    file.write_text(text[:start] + text[end:], encoding="utf-8")
    said = warned(guide)
    assert len(said) == 2
    assert "17 places on the front: " in said[0]  # 3 rows of 3 pairs, 2 of 4 between rows
    assert "17 places on the patchwork back: " in said[1]
