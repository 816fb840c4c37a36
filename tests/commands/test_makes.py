"""Several made in one session: each make's sizes are its own, in the log and in why; what is summed is as planned.

The demo's panel is 4 × 5 in and two seams, 21 in; its zip is cut 2 in shorter, its face is two seams of 1/2 in
narrower. Measured 20, 20 3/4 and 21 1/2 in, the zip is 18, 18 3/4, 19 1/2 in, the face 19, 19 3/4, 20 1/2 in. [identity]
"""

import json
import re

import pytest

from guide.record.journal import Journal
from tests.commands.worked import worked
from tests.fakes import NINE, FakeClock

DEMO = "sessions/window-seat-cushion"
WIDTHS = {1: 508.0, 2: 527.05, 3: 546.1}  # 20, 20 3/4, 21 1/2 in


@pytest.fixture
def measured(workshop):
    """A session of three, the panels of some measured; gives its journal."""

    def call(*makes):
        project = workshop / DEMO / "project.yaml"
        project.write_text(project.read_text(encoding="utf-8").replace("make: 1", "make: 3"), encoding="utf-8")
        path = worked(DEMO, 0, lambda step: step.pace_s, until="closure/zip_seam")
        journal = Journal.open(path, FakeClock().read())
        clock = FakeClock(wall=NINE + 12 * 3_600_000)
        for make in makes:
            members = {"step": "join/measure_width", "name": "panel_width", "mm": WIDTHS[make], "make": make}
            journal.append({"what": "measured", **members}, clock.run(60))
        journal.close()
        return str(path)

    return call


def rows(log: str) -> dict[str, list[str]]:
    """The table of what moved, by its first cell."""
    table = log.replace("\N{NO-BREAK SPACE}", " ").replace("**", "").split("| Number ")[1].split("\n\n")[0]
    lines = [line.strip("| ").split(" | ") for line in f"| what {table}".split("\n")]
    return {line[0]: line[1:] for line in lines}


def test_the_log_has_a_column_for_every_make_that_was_measured(guide, measured):
    """What differs stands beside what was planned; the sizes of all three are the plan's."""
    log = guide("log", measured(1, 2, 3), "--markdown", "-o", "-").out
    moved = rows(log)
    assert moved["what"] == ["planned", "make 1", "make 2", "make 3"]
    assert moved["zip as cut"] == ["19 in", "18 in", "18 3/4 in", "19 1/2 in"]
    assert moved["face across, inside the outer seam"] == ["20 in", "19 in", "19 3/4 in", "20 1/2 in"]
    assert "**20 in × 15 in** inside the outer seam" in log.replace("\N{NO-BREAK SPACE}", " ")
    assert "- face across, inside the outer seam: 20 in" in log.replace("\N{NO-BREAK SPACE}", " ")


def test_a_make_that_was_not_measured_has_no_column(guide, measured):
    """The first and the third."""
    log = guide("log", measured(1, 3), "--markdown", "-o", "-").out
    assert rows(log)["what"] == ["planned", "make 1", "make 3"]
    assert rows(log)["zip as cut"] == ["19 in", "18 in", "19 1/2 in"]


def test_what_is_summed_over_all_makes_is_as_planned_and_no_make_s(guide, measured):
    """All outer seams are 3 × 2 × (20 + 15) in = 210 in, whichever panel was measured."""
    path = measured(1, 2, 3)
    page = guide("log", path, "-o", "-").out
    moved = page.split("What moved because of it</caption>")[1].split("</details>")[0]
    assert "more behind them" in moved
    assert "outer seam all round" not in moved
    assert "thread" not in moved
    said = guide("why", "outer_seam", path, "--make", "2")
    assert said.out.startswith("outer_seam = 210 in ")
    assert "measured" not in said.out.split("\n")[0]
    assert "outer_seam counts over all 3 makes: it is as planned." in said.out


def test_the_page_has_the_same_columns(guide, measured):
    """Planned, and a column a make."""
    page = guide("log", measured(2, 3), "-o", "-").out.replace("\N{NO-BREAK SPACE}", " ")
    table = page.split("What moved because of it</caption>")[1].split("</table>")[0]
    assert re.findall(r'<th scope="col"[^>]*>([^<]+)</th>', table) == ["Number", "planned", "make 2", "make 3"]
    row = next(row for row in table.split("<tr>") if ">zip as cut<" in row)
    assert re.findall(r">([^<>]+)</td>", row) == ["19 in", "18 3/4 in", "19 1/2 in"]


def test_why_shows_one_makes_own_sizes(guide, measured):
    """The second's zip from its own panel; a project's newest session will do."""
    path = measured(1, 2, 3)
    lines = guide("why", "zip_cut", path, "--make", "2").out.split("\n")
    assert lines[0].startswith("zip_cut = 18 3/4 in  ")
    assert any(line.endswith(f"panel_width = 20 3/4 in  measured (planned 21 in)   {place(line)}") for line in lines)
    assert guide("why", "zip_cut", DEMO, "--make", "3").out.startswith("zip_cut = 19 1/2 in  ")
    data = json.loads(guide("why", "zip_cut", path, "--make", "1", "--json").out)
    assert data["value"] == pytest.approx(18 * 25.4)


def place(line: str) -> str:
    return line.rsplit("   ", 1)[-1]


def test_why_without_a_make_says_which_there_are(guide, measured):
    """As planned, and how to see what was measured."""
    said = guide("why", "zip_cut", measured(1, 3))
    assert said.out.startswith("zip_cut = 19 in  ")
    assert "As planned; measured apart: --make 1, --make 3." in said.out


def test_a_make_there_is_not_is_refused(guide, measured, workshop):
    """Three were made; the project alone has made none."""
    path = measured(1)
    for make in ("0", "4"):
        assert guide("why", "zip_cut", path, "--make", make).code == 2
    assert "--make goes from 1 to 3" in guide("why", "zip_cut", path, "--make", "4").err
    (workshop / DEMO / "2026-03-01.jsonl").unlink()
    said = guide("why", "zip_cut", DEMO, "--make", "1")
    assert said.code == 2
    assert "no session yet" in said.err
