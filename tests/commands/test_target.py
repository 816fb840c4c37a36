"""Planning backwards on the screen: the size wanted stands at its head, and every choice is in its terms. [identity]"""

import json
from pathlib import Path

import pytest

from guide.plan.graph import range_text
from guide.read.project_keys import TARGET

PROJECT = """\
project: Invented cover
kind: cushion
units: metric
seam: 12 mm
layers: {above: 2, below: 2}
prints: [{name: leaf, width: 112 cm}, {name: dot, width: 112 cm}, {name: check, width: 112 cm}]
closure: {type: zip, after_row: 1}
"""


@pytest.fixture
def planned(guide, workshop):
    """The table and the report of this target."""

    def call(target, more=""):
        folder = workshop / "sessions" / "target"
        folder.mkdir(exist_ok=True)
        (folder / "project.yaml").write_text(f"{PROJECT}target: {target}\n{more}", encoding="utf-8")
        return guide("plan", str(folder)).out.split("\n"), json.loads(guide("plan", str(folder), "--json").out)

    return call


def test_a_pads_size_is_wanted_and_every_choice_is_of_a_pad(planned):
    """A 45 cm pad, 1 cm of ease, so a 44 cm cover; 3 × 3 of 17 cm: face 43.8, pad 44.8 cm, 2 mm under both ways."""
    lines, data = planned("{width: 45 cm, height: 45 cm, of: pad}")
    assert lines[3] == (
        "Wanted: a pad of 45 cm × 45 cm, so a cover of 44 cm × 44 cm once washed; the sizes below are of the pad that fits."
    )
    assert "  3 × 3 of 17 cm     44.8 cm × 44.8 cm, off by −2 mm both ways" in lines
    assert (data["wanted"]["of"], data["wanted"]["width_mm"]) == ("pad", 450.0)


def test_each_direction_says_its_own_miss(planned):
    """50 × 35 cm: 4 × 3 of 15 cm comes to 50.4 × 37.8 cm, 4 mm wide and 28 mm high of it."""
    lines, _ = planned("{width: 50 cm, height: 35 cm, after: sewing}", "square: 15 cm\n")
    assert lines[3] == "Wanted: 50 cm × 35 cm as sewn."
    assert "  4 × 3 of 15 cm   50.4 cm × 37.8 cm, off by +4 mm across, +2.8 cm down" in lines


def test_a_size_that_is_met_misses_nothing(planned):
    """4 × 3 of 15 cm, its own size wanted."""
    lines, _ = planned("{width: 50.4 cm, height: 37.8 cm}", "square: 15 cm\n")
    assert "  4 × 3 of 15 cm   50.4 cm × 37.8 cm, off by nothing both ways" in lines


def test_usual_squares_before_a_hair_are_said(planned):
    """Cover 35.2 cm: 2 × 2 of 20 cm meets it, 3 × 3 of 14 cm misses by 4 mm and is planned; why stands below."""
    lines, data = planned("{width: 35.2 cm, height: 35.2 cm}")
    assert " ".join(lines[7].split()) == "3 × 3 of 14 cm 34.8 cm × 34.8 cm, off by −4 mm both ways"
    assert "  Within 5 mm counts as equal: usual squares first, then fewer blocks (common practice)." in lines
    assert data["project"]["across"] == 3


def test_a_project_with_its_size_written_wants_nothing(guide):
    """The demo is planned forwards."""
    assert json.loads(guide("plan", "sessions/window-seat-cushion", "--json").out)["wanted"] is None


def test_a_grid_and_square_both_written_leave_nothing_to_choose(planned):
    """3 × 3 of 14 cm are 34.8 cm; a wanted 40 cm is 5.2 cm off, and the mend is said."""
    lines, _ = planned("{width: 40 cm, height: 40 cm}", "square: 14 cm\ngrid: {across: 3, down: 3}\n")
    assert any(
        line.startswith("What the grid and square written come to; leave one out to come nearer") for line in lines
    )
    assert "  3 × 3 of 14 cm   34.8 cm × 34.8 cm, off by −5.2 cm both ways" in lines


@pytest.mark.parametrize("name", ["plan.html", "plan.md"])
def test_the_page_says_what_was_wanted_and_how_near_it_comes(planned, guide, workshop, name):
    """A file's name decides whether it is Markdown."""
    planned("{width: 50 cm, height: 35 cm, after: sewing}", "square: 15 cm\n")
    page = workshop / name
    guide("plan", str(workshop / "sessions" / "target"), "--page", str(page))
    text = page.read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>" if name.endswith(".html") else "# Invented cover: plan")
    said = "Wanted: 50 cm × 35 cm as sewn; this plan is off by +4 mm across, +2.8 cm down."
    assert said in text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    "command", [["log", "-o"], ["checklist", "-o"], ["sheet", "-o"], ["price", "--page"], ["price", "--quote"]]
)
def test_a_file_called_md_is_markdown_from_every_command(guide, workshop, command):
    """No HTML under a Markdown name."""
    out = workshop / "kept.MD"
    folder = Path(__file__).parents[2] / "sessions/window-seat-cushion"
    of = next(folder.glob("rehearsals/*.jsonl")) if command[0] == "log" else folder
    shown = guide(command[0], str(of), command[1], str(out))
    assert shown.code == 0, shown.err
    assert out.read_text(encoding="utf-8").startswith("# ")


def test_which_squares_are_tried_is_said_where_the_square_is_free(planned, guide):
    """From 75 to 300 mm, whatever the target: a 90 cm cushion of four blocks is not found, but can be written."""
    told = "Planning backwards tries squares from 7.5 cm to 30 cm; write the square to have another."
    lines, data = planned("{width: 90 cm, height: 90 cm}")
    assert lines[4] == told
    assert data["wanted"]["limit"] == told
    assert min(c["square"]["value"] for c in data["backwards"]) >= 75
    for page in ("plan.html", "plan.md"):
        guide("plan", "sessions/target", "--page", page)
        assert told in Path(page).read_text(encoding="utf-8").replace("\N{NO-BREAK SPACE}", " ")
    for units, text in (("inch", "3 in to 12 in"), ("metric", "7.5 cm to 30 cm")):
        assert text in TARGET.says
        assert range_text(units) == text
    lines, data = planned("{width: 90 cm, height: 90 cm}", "square: 45 cm\n")
    assert not any("tries squares" in line for line in lines)
    assert data["wanted"]["limit"] == ""
    assert data["project"]["across"] == 2  # 2 × (45 − 2.4) is 85.2, 3 × 42.6 is 127.8


def test_seams_too_deep_for_any_square_say_which_were_tried(guide, workshop):
    """Four seams of 8 cm are 32 cm, over the largest square that is tried, 30 cm. [identity]"""
    folder = workshop / "sessions" / "target"
    folder.mkdir()
    text = PROJECT.replace("seam: 12 mm", "seam: 8 cm").replace("after_row: 1", "after_row: 1, end_gap: 9 cm")
    (folder / "project.yaml").write_text(text + "target: {width: 90 cm, height: 90 cm}\n", encoding="utf-8")
    said = guide("plan", str(folder))
    assert said.code == 2
    assert said.err.rstrip().endswith(
        "no square from 7.5 cm to 30 cm is larger than four seams, and planning backwards tries no other; "
        "write the square, or a smaller seam."
    )


def test_what_is_tried_shows_its_warnings(guide, workshop):
    """The demo's crossing has 4·(2 + 2) = 16 layers: 4 mm as it is, 6.4 mm of cloth 0.4 mm thick, over what a foot lifts.

    With a square more it has 4·(3 + 2) = 20, which is 8 mm. [identity]
    """
    lines = guide("plan", "--set", "cloth_thickness=0.4mm").out.split("\n")
    assert "With cloth_thickness=0.4mm:" in lines
    below = lines[lines.index("With cloth_thickness=0.4mm:") :]
    assert any(line.startswith("› ▲ 6.4 mm where seams cross, 16 layers squeezed") for line in below)
    more = guide("plan", "--set", "cloth_thickness=0.4mm", "--set", "layers.above=3").out
    assert "› ▲ 8.0 mm where seams cross, 20 layers squeezed" in more
    assert "6.4 mm" not in more
