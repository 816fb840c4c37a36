"""`guide plan A B --cutting`: one day for several projects, as lines, JSON, Markdown and a page; hours that add up."""

import json
import re
import shlex
from pathlib import Path

import pytest

from tests.plan.sums_of import WORKFLOWS

DEMO = "sessions/window-seat-cushion"
THROW = """\
project: Invented throw
kind: throw
grid: {across: 4, down: 3}
square: 6 in
seam: 1/2 in
layers: {above: 1, below: 1}
wadding: {gap: 1/2 in, width: 90 in}
prints:
  - {name: moss check, width: 44 in, selvedge: 1/2 in, price: 9.60 / yd, shrinks: {length: 4 %, width: 3 %}}
  - {name: sky leaf, width: 44 in}
closure: none
"""
OTHER = "sessions/throw"


@pytest.fixture
def day(guide, workshop):
    """A cutting day of the demo and an invented throw; options as they are typed."""
    folder = workshop / OTHER
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "project.yaml").write_text(THROW, encoding="utf-8")
    return lambda *options, of=(DEMO, OTHER): guide("plan", *of, "--cutting", *options)


def test_hours_all_told_still_add_up(day, guide):
    """What each saves is what the day saves; shares are by pieces; alone is what its own forecast says. [identity]"""
    said = json.loads(day("--json").out)
    both = said["projects"]
    assert sum(one["share_s"] for one in both) == pytest.approx(said["share_s"])
    assert said["share_s"] < said["apart_s"] == pytest.approx(sum(one["apart_s"] for one in both))
    assert both[0]["share_s"] / both[1]["share_s"] == pytest.approx(both[0]["pieces"] / both[1]["pieces"])
    saved = sum(one["hands_on_apart_s"] - one["hands_on_s"] for one in both)
    assert saved == pytest.approx(said["apart_s"] - said["share_s"], abs=1)
    for place, one in zip((DEMO, OTHER), both, strict=True):
        alone = json.loads(guide("plan", place, "--json").out)["forecast"]["hands_on_s"]
        assert one["hands_on_apart_s"] == pytest.approx(alone["likely"], rel=0.02)  # the throw cuts from what is left
        assert one["hands_on_low_s"] < one["hands_on_s"] < one["hands_on_high_s"]


def test_pieces_are_those_of_the_plans(day, guide):
    """Every pile is what the project's own plan cuts: 60 pieces of the demo, 24 squares and 12 of wadding. [identity]"""
    said = json.loads(day("--json").out)
    assert [one["pieces"] for one in said["projects"]] == [60, 36]
    for number, count in ((1, 60), (2, 36)):
        assert sum(pile["count"] for pile in said["piles"] if pile["project"] == number) == count
        placed = [p["part"] for cloth in said["cloths"] for p in cloth["placements"]]
        assert sum(part.startswith(f"{number}: ") for part in placed) == count


def test_every_layer_is_told_to_a_project_once(day):
    """Adding up what each layer becomes gives the piles again."""
    said = json.loads(day("--json").out)
    told = {1: 0, 2: 0}
    for layer in (layer for one in said["settings"] for task in one["tasks"] for layer in task["parts"]):
        for count, number in re.findall(r"(\d+) (?:wadding )?squares? for no\. (\d)", layer["text"]):
            told[int(number)] += int(count) * layer["layers"]
    assert told == {1: 60, 2: 36}
    for task in (task for one in said["settings"] for task in one["tasks"]):
        assert 1 <= task["layers"] <= 4
        assert task["boxes"] >= 1


def test_the_blade_comes_first_and_whole(day):
    """Before any cloth, in every form of it; and the hands' rests after it."""
    for said in (day().out, day("--markdown", "-o", "-").out):
        lines = [line for line in said.split("\n") if "▲" in line]
        assert lines[0].endswith("▲ Blade shut after every cut. Cut away from yourself.")
        assert "Rest your hands 3 minutes after 15 of cutting" in lines[1]
        assert said.index(lines[-1]) < said.index("moss check")
    assert json.loads(day("--json").out)["cautions"][0].startswith("Blade shut")


def test_markdown_and_lines_have_a_box_for_all_that_is_done(day):
    """As many as the report says, for cloths, tasks and piles."""
    said = json.loads(day("--json").out)
    boxes = sum(task["boxes"] for one in said["settings"] for task in one["tasks"])
    boxes += len(said["cloths"]) + len(said["piles"])
    assert day().out.count("☐") == day("--markdown", "-o", "-").out.count("☐") == boxes


def test_the_page_is_written_where_it_is_asked_for(day, workshop):
    said = day("--page", "day.html")
    assert (said.code, said.out) == (0, "")
    page = (workshop / "day.html").read_text(encoding="utf-8")
    assert page.index("Blade shut") < page.index("moss check")
    assert page.count("<i></i>") == day().out.count("☐")


def test_several_projects_have_one_form_and_with_is_another_word_for_it(day, guide):
    """Named beside the first, or by --with."""
    assert guide("plan", DEMO, OTHER).out == guide("plan", DEMO, "--with", OTHER).out
    assert day().out == guide("plan", DEMO, "--cutting", "--with", OTHER).out


@pytest.mark.parametrize(
    "options", [("--evening", "2 hours"), ("--set", "make=2"), ("--rest",), ("--all",), ("--as-made",)]
)
def test_options_without_effect_are_refused(day, options):
    said = day(*options)
    assert (said.code, said.out) == (2, "")
    assert "leave out the options about times" in said.err


def test_one_project_alone_has_its_order_and_no_day(guide):
    said = guide("plan", DEMO, "--cutting", "--page", "day.html")
    assert said.code == 2
    assert "a cutting day of several has a page" in said.err


def test_what_was_cut_on_the_day_is_told_to_the_record_and_followed_from_there(day, guide, workshop):
    """The printed line with one's own times in is one that the record takes; the session goes on after the cutting.

    As it is printed it has blanks and is refused: what was reckoned must not become what was worked.
    """
    line = next(line for line in day().out.split("\n") if f"guide amend {OTHER}" in line)
    place, typed = re.fullmatch(r'  guide amend (\S+) --enter "(.+)"', line).groups()
    for blank in (typed, typed.replace("……", "9:00", 1), typed.replace("…", "."), typed.replace("……", "___")):
        refused = guide("amend", place, "--enter", blank)
        assert refused.code == 2
        assert "is left open for your own times" in refused.err
        assert "Nothing was entered." in refused.err
    assert not list((workshop / OTHER).rglob("*.jsonl"))
    entered = guide("amend", place, "--enter", typed.replace("…… to ……", "9:00 to 9:40, yesterday"))
    assert entered.code == 0, entered.err
    steps = json.loads(guide("plan", OTHER, "--json").out)["steps"]
    cut = [step["key"] for step in steps if step["key"].partition(":")[0] in {"cut/press", "cut/pieces", "cut/pile"}]
    rows = guide("export", OTHER, "--csv").out
    assert all(key in rows for key in cut)
    later = next(step["key"] for step in steps if step["key"].startswith("stack/"))
    assert later not in rows
    assert "cut on the cutting day" in guide("log", OTHER, "--markdown", "-o", "-").out


def test_the_line_for_a_folder_with_blanks_can_be_typed_as_it_stands(day, guide, workshop):
    """A shell takes the folder for one word, and the record takes the line."""
    day()
    (workshop / OTHER).rename(workshop / "sessions" / "a wide throw")
    told = day(of=(DEMO, "sessions/a wide throw")).out
    line = next(line for line in told.split("\n") if "guide amend" in line and "a wide throw" in line)
    words = shlex.split(line.replace("…… to ……", "9:00 to 9:40, yesterday"))
    assert words[:2] == ["guide", "amend"]
    entered = guide(*words[1:])
    assert entered.code == 0, entered.err


def test_a_step_of_ones_own_between_parts_the_line_of_what_was_cut(day, guide, workshop):
    """Every run of steps that the day cuts is told, and the step between, which is still to do, is not."""
    own = workshop / OTHER / "workflows" / "cut.yaml"
    own.parent.mkdir()
    stage = (Path(WORKFLOWS) / "cut.yaml").read_text(encoding="utf-8")
    mine = "  - {id: mine, title: Lay it in the sun, station: table, pace: 1 min, do: Look.}\n"
    own.write_text(stage.replace("  - id: pieces\n", mine + "  - id: pieces\n"), encoding="utf-8")
    line = next(line for line in day().out.split("\n") if f"guide amend {OTHER}" in line)
    told = [set(range(int(a), int(b or a) + 1)) for a, b in re.findall(r'"steps (\d+)(?:-(\d+))?, ', line)]
    keys = {step["number"]: step["key"] for step in json.loads(guide("plan", OTHER, "--json").out)["steps"]}
    cut = {number for number, key in keys.items() if key.partition(":")[0] in {"cut/press", "cut/pieces", "cut/pile"}}
    assert len(told) == 2
    assert set.union(*told) == cut


def test_what_is_left_is_reckoned_bolt_by_bolt_and_told_as_its_projects_write_it(guide, workshop):
    """Two throws of one print from bolts of their own, the first in inches, the second metric: no cloth is shared.

    First: 8 squares of 4 in side by side off 45 in with 1/2 in selvedges, 1 in to straighten: 5 in, sold as two steps of
    4 1/2 in. Left are 12 in beside them, 3 squares, and 4 in behind, 11. Second: 8 of 12 cm off 110 cm with 1 cm
    selvedges leave 12 cm beside them: one square of either size; its 14.5 cm are sold as 20 cm, 5.5 cm behind. [identity]
    """
    for name, text in (
        ("inches", "square: 4 in\nseam: 1/4 in\nprints: [{name: moss check, width: 45 in, selvedge: 1/2 in}]\n"),
        (
            "metric",
            "units: metric\nsquare: 12 cm\nseam: 1 cm\nprints: [{name: moss check, width: 110 cm, selvedge: 1 cm}]\n",
        ),
    ):
        folder = workshop / "sessions" / name
        folder.mkdir()
        (folder / "project.yaml").write_text(
            f"project: Invented {name}\nkind: throw\ngrid: {{across: 2, down: 2}}\nlayers: {{above: 1, below: 1}}\n"
            f"wadding: none\nclosure: none\n{text}",
            encoding="utf-8",
        )
    told = guide("plan", "sessions/inches", "sessions/metric", "--cutting", "--json")
    day = json.loads(told.out)
    assert [one["gives"]["squares"] for one in day["left"]] == [3 + 11 + 1, 1]
    assert [one["size_text"] for one in day["cloths"]] == ["45 in wide, 5 in long", "110 cm wide, 14.5 cm long"]
    assert {one["ruler_text"] for one in day["settings"]} == {"4 in", "12 cm"}
