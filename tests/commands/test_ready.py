"""Squares that lie ready cut are said wherever cutting is said, and what is cut and what lies ready adds up. [identity]

The demo takes 20 squares of each print: 48 in the stacks and 12 in its back, 60 in all.
"""

import json
import re
from pathlib import Path

import pytest

DEMO = "sessions/window-seat-cushion"
SOME, ALL = "12 squares lie ready; with the 8 to cut 20 in all", "20 squares lie ready, none to cut"


@pytest.fixture
def demo(workshop):
    """The demo, where the clay dot lies ready altogether, and more of it than is wanted."""
    file = Path(DEMO, "project.yaml")
    text = file.read_text(encoding="utf-8")
    assert "at_most: 20, reverse: pale" in text
    file.write_text(
        text.replace("at_most: 20, reverse: pale", "at_most: 20, on_hand: [{squares: 24}], reverse: pale"),
        encoding="utf-8",
    )
    return workshop


def test_the_table_says_what_lies_ready(guide, demo):
    """Under its print's cutting; a print that need not be cut has a row of its own."""
    lines = guide("plan", DEMO).out.split("\n")
    at = next(i for i, line in enumerate(lines) if line.startswith("  oat stripe   from piece 1"))
    assert lines[at + 2].strip() == SOME
    assert f"  clay dot     {ALL}" in lines


def test_the_cutting_order_says_what_lies_ready(guide, demo):
    """Beside the strips of its print, or alone."""
    said = guide("plan", DEMO, "--cutting").out
    assert f"  {SOME}\n" in said.split("wadding, from")[0].split("oat stripe, from the bolt")[1]
    assert f"clay dot: {ALL}" in said.split("\n")


def test_the_page_lists_what_lies_ready_beside_what_is_cut(guide, demo, tmp_path):
    """The table What to cut has a row for it, with size and number."""
    assert guide("plan", DEMO, "--page", str(tmp_path / "plan.html")).code == 0
    page = (tmp_path / "plan.html").read_text(encoding="utf-8")
    section = page.split("What to cut</h2>")[1].split("</table>")[0]
    rows = [re.sub(r"<[^>]+>", "|", row).replace("\u00a0", " ") for row in section.split("<tr>")]
    ready = [re.split(r"\|+", row)[1:5] for row in rows if "lies ready" in row]
    assert ready == [
        ["oat stripe", "square, lies ready", "6 in × 6 in", "12"],
        ["clay dot", "square, lies ready", "6 in × 6 in", "20"],
    ]


def test_the_numbers_say_how_many_of_how_many(guide, demo):
    """Count, needed and what is cut add up for every print; spare squares are cut, as far as at_most allows."""
    for argv, spare in (((), 0), (("--spare", "3"), 3)):
        data = json.loads(guide("plan", DEMO, "--json", *argv).out)
        for one in data["ready"]:
            cut = sum(
                placed["part"] == "square"
                for cutting in data["cutting"] if cutting["material"] == one["material"]
                for cloth in cutting["cloths"] for placed in cloth["placements"]
            )  # fmt: skip
            needed = 20 if one["material"] == "clay dot" else 20 + spare  # at_most: 20
            assert one["count"] + cut == one["needed"] == needed


def test_the_cut_step_says_what_lies_ready(guide, demo, tmp_path):
    """The stripe's step is told of its 12 once; steps of other cloths and of wadding are not."""
    sheet = guide("checklist", DEMO, "--for", "myself", "--markdown", "-o", "-").out
    assert sheet.count("more lie ready.") == 1
    assert "8 squares. 12 more lie ready." in re.sub(r"\s+", " ", sheet)


def test_two_projects_planned_together_say_it_too(guide, demo):
    """The second finds none of the 12 left, and four of the 24."""
    other = Path("sessions/other")
    other.mkdir()
    (other / "project.yaml").write_text(
        Path(DEMO, "project.yaml").read_text(encoding="utf-8").replace("Window seat", "Other"), encoding="utf-8"
    )
    first, second = guide("plan", DEMO, "--with", str(other)).out.split("Other cushion")
    assert f"oat stripe, {SOME}" in first
    assert "oat stripe, " in second
    assert "clay dot, 4 squares lie ready; with the 16 to cut 20 in all" in second
    assert "lies ready" not in second
