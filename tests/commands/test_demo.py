"""The demo, end to end: its numbers, where they come from, a rehearsal and its log."""

import json
import re
from pathlib import Path

import pytest

from guide.record.fold import fold
from guide.record.journal import read_journal
from tests.show.pages_read import blanks

INCH = 25.4
DEMO = "sessions/window-seat-cushion"


@pytest.fixture
def numbers(guide):
    """Every number of the demo, from `guide plan --json`."""
    return json.loads(guide("plan", DEMO, "--json").out)


@pytest.mark.parametrize(
    ("name", "inches"),
    [
        # [identity] 6 in squares, seam 1/2 in, 4 × 3, worked out on paper
        ("pitch", 5), ("panel_width", 21), ("panel_height", 16), ("face_width", 20), ("face_height", 15), ("wadding_size", 5),
        ("zip_seam", 21), ("zip_cut", 19), ("zip_opening", 18), ("fringe_height", 0.5), ("cut_depth", 0.375), ("row_seam_run", 5.25),
        ("panel_seam_run", 20.25), ("outer_seam", 70), ("zip_ends", 1.5), ("zip_box", 37), ("zip_tack", 18),
        ("stitched_rows", 9 * 5.25), ("stitched_panels", 2 * 20.25), ("back_width", 21), ("back_height", 16),
    ],
)  # fmt: skip
def test_the_demos_sizes_are_what_paper_says(numbers, name, inches):
    """Lengths in the JSON are mm."""
    assert numbers["quantities"][name]["value"] == pytest.approx(inches * INCH)
    assert numbers["quantities"][name]["unit"] == "mm"


@pytest.mark.parametrize(
    ("name", "count"),
    [
        # [identity] counted on the article: 9 row seams of 9 snips, 2 long ones of 39, 2 × 39 + 2 × 29 + 4 round the edge
        ("snips_row", 81), ("snips_panel", 78), ("snips_outer", 140), ("snips_crossing", 12), ("blocks", 12), ("stack_squares", 48),
        ("back_squares", 12), ("row_seams", 9), ("panel_seams", 2), ("layers_block", 4), ("layers_raw_seam", 8),
        ("layers_crossing", 16), ("layers_outer", 5), ("layers_outer_worst", 11), ("quilt_lines", 24), ("snip_cuts", 311),
    ],
)  # fmt: skip
def test_the_demos_counts_are_what_paper_says(numbers, name, count):
    """Counts have unit 1."""
    assert numbers["quantities"][name]["value"] == count
    assert numbers["quantities"][name]["unit"] == "1"


def test_json_has_the_shape_that_was_promised(numbers):
    """Add, never rename: the keys of the published example are all there."""
    for key in (
        "format",
        "project",
        "quantities",
        "layout",
        "backing",
        "cutting",
        "shopping",
        "steps",
        "forecast",
        "cost",
        "cautions",
    ):
        assert key in numbers
    square = numbers["quantities"]["square"]
    assert square["formula"] is None
    assert square["from"] == "project.yaml:10"
    assert re.fullmatch(r"workflows/closure\.yaml:\d+", numbers["quantities"]["zip_cut"]["from"])
    assert {"row", "column", "stack"} <= set(numbers["layout"]["blocks"][0])
    assert {"material", "use_mm", "buy_mm", "bound_mm", "cuts", "ruler_settings", "cloths", "left_over"} <= set(
        numbers["cutting"][0]
    )
    assert {"key", "stage", "title", "pieces", "piece", "pace_s", "waits_s"} <= set(numbers["steps"][0])
    assert {"likely", "low", "high"} <= set(numbers["forecast"]["hands_on_s"])
    assert numbers["layout"]["front_matches"] == 0


def test_about_forty_steps(numbers):
    """A zip cushion takes some forty steps, through all eight stages and the checks."""
    assert 36 <= len(numbers["steps"]) <= 46
    assert list(dict.fromkeys(s["stage"] for s in numbers["steps"])) == [
        "cut", "stack", "quilt", "join", "snip", "closure", "assemble", "safety", "wash",
    ]  # fmt: skip


FIFTEEN = """\
project: Fifteen blocks
kind: cushion
grid: {across: 5, down: 3}
square: 5 1/4 in
seam: 5/8 in
layers: {above: 1, below: 2}
wadding: {gap: 5/8 in}
prints: [{name: one, width: 44 in}, {name: two, width: 44 in}, {name: three, width: 44 in}]
closure: {type: zip, after_column: 2}
"""


@pytest.fixture
def fifteen(workshop):
    """Five by three blocks of three 5 1/4 in squares, 5/8 in seams, for a pad of 20 by 12 in."""
    folder = workshop / "sessions" / "fifteen"
    folder.mkdir()
    (folder / "project.yaml").write_text(FIFTEEN, encoding="utf-8")
    return str(folder)


def test_fifteen_blocks_come_out_as_paper_says(guide, fifteen):
    """[identity] 5 1/4 − 1 1/4 = 4 in a block: face 20 × 12; zip seam 13 1/4, zip 11 1/4, opening 10 1/4 in; 8 across 44 in.

    Snips, crossings apart: 12 · 7 in rows, 2 · 39 in long seams, 39 + 39 + 23 + 23 and 4 slits round the edge: 290.
    """
    plan = json.loads(guide("plan", fifteen, "--json").out)
    quantities = plan["quantities"]
    inches = {
        "wadding_size": 4, "face_width": 20, "face_height": 12, "zip_seam": 13.25, "zip_cut": 11.25, "zip_opening": 10.25,
    }  # fmt: skip
    assert {name: quantities[name]["value"] / INCH for name in inches} == pytest.approx(inches)
    assert quantities["snip_cuts"]["value"] - quantities["snips_crossing"]["value"] == 290
    assert quantities["layers_outer"]["value"] == 3 + 1
    one = next(cut for cut in plan["cutting"] if cut["material"] == "one")
    (bought,) = one["cloths"]
    assert sum(p["strip"] == 1 for p in bought["placements"]) == 8  # 43 in between the selvedges


def test_why_goes_down_to_the_projects_lines(guide):
    """Formula, the same with values in, and where each value is written."""
    said = guide("why", "zip_cut", DEMO).out
    assert "zip_seam - 2 * zip_end_gap" in said
    assert "(21 in) - 2 * (1 in)" in said
    text = Path(DEMO, "project.yaml").read_text(encoding="utf-8").split("\n")
    for name in ("zip_end_gap", "square", "seam", "across"):
        line = int(re.search(rf"{name} = .*project\.yaml:(\d+)", said)[1])
        assert {"zip_end_gap": "end_gap", "across": "grid"}.get(name, name) in text[line - 1]


def test_why_says_which_name_was_meant(guide):
    """A slip is answered with the near name, and nothing else happens."""
    said = guide("why", "zip_ct", DEMO)
    assert said.code == 2
    assert "did you mean zip_cut?" in said.err


def test_a_rehearsal_cuts_its_cloth_once(guide, monkeypatch):
    """No measure changes what is cut: planned for the opening, for what follows and for the log, whatever is measured.

    Three makes are measured twice each, each with a card that foretells [the demo's steps]: far more plans than cuts.
    """
    from guide.plan import make

    counts = {"cut": 0, "steps": 0}

    def counting(name, real):
        def counted(*args, **kwargs):
            counts[name] += 1
            return real(*args, **kwargs)

        return counted

    monkeypatch.setattr(make, "settle", counting("cut", make.settle))
    monkeypatch.setattr(make, "steps_of", counting("steps", make.steps_of))
    path = Path(DEMO) / "project.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("make: 1", "make: 3"), encoding="utf-8")
    assert guide("follow", DEMO, "--rehearse").code == 0
    assert counts["cut"] <= 3
    assert counts["steps"] >= 2 * 3


def rehearsed(guide, folder):
    said = guide("follow", folder, "--rehearse")
    assert said.code == 0, said.err
    log = Path(said.out.strip().split("\n")[-1])
    return log, fold(read_journal(log.with_suffix(".jsonl")).events)


def test_a_rehearsal_ends_with_the_path_of_its_log(guide):
    """It plays every step through, is kept apart from real sessions, and says what it is."""
    log, record = rehearsed(guide, DEMO)
    assert log.parent.name == "rehearsals"
    assert record.header.mode == "rehearsal"
    assert record.closed
    page = log.read_text(encoding="utf-8")
    assert "rehearsal" in page.lower()
    assert "<script" not in page
    assert guide("history").out.startswith("No session yet")


@pytest.mark.parametrize("project", [DEMO, "fifteen"])
def test_a_rehearsals_counted_time_is_pieces_times_starter_paces(guide, fifteen, project):
    """Waits are on the clock and never in labour; another project shows its own numbers."""
    folder = fifteen if project == "fifteen" else project
    log, record = rehearsed(guide, folder)
    steps = json.loads(guide("plan", folder, "--json").out)["steps"]
    counted = sum(step.counted_ms for step in record.steps.values())
    assert counted == sum(round(s["pieces"] * s["pace_s"] * 1000) for s in steps)
    waited = sum(s["waits_s"] or 0 for s in steps)
    assert record.last.total - record.header.total >= counted + waited * 1000
    page = blanks(log.read_text(encoding="utf-8"))
    for text in ("13 1/4 in", "11 1/4 in", "10 1/4 in") if project == "fifteen" else ("21 in", "19 in", "18 in"):
        assert text in page


def test_wrong_input_writes_nothing(guide, workshop):
    """Exit 2, every mistake at its place with what to write; no file comes or goes."""
    path = workshop / DEMO / "project.yaml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("square: 6 in", "square: 6").replace("seam: 1/2 in", "saem: 1/2 in"),
        encoding="utf-8",
    )
    before = sorted(workshop.rglob("*"))
    for argv in (
        ["plan", DEMO],
        ["follow", DEMO, "--plain"],
        ["follow", DEMO, "--rehearse"],
        ["check", DEMO],
        ["price", DEMO],
    ):
        said = guide(*argv)
        assert said.code == 2
        text = said.out + said.err
        assert "project.yaml:10:9: square: 6 has no unit; write 6 in or 6 cm" in text
        assert "did you mean seam?" in text
    assert sorted(workshop.rglob("*")) == before
