"""Cloth through the front door: the cutting order, spare squares, several projects, and what cannot be."""

import io
import json
import re
from pathlib import Path

import pytest
import yaml

DEMO = "sessions/window-seat-cushion"
OTHER = "sessions/second-cushion"


@pytest.fixture
def change(workshop):
    """Write a project like the demo but for some keys, in the demo's folder or another."""

    def write(folder=DEMO, **keys):
        kept = yaml.safe_load((workshop / DEMO / "project.yaml").read_text(encoding="utf-8"))
        made = workshop / folder
        made.mkdir(exist_ok=True)
        (made / "project.yaml").write_text(yaml.safe_dump(kept | keys, sort_keys=False), encoding="utf-8")
        return folder

    return write


def planned(guide, *argv):
    said = guide("plan", *argv, "--json")
    assert said.code == 0, said.err
    return json.loads(said.out)


def test_the_cutting_order_is_said_strip_by_strip(guide):
    """20 squares of 6 in from 43 in usable: 7, 7 and 6; of the stripe 6 from its 22 by 18 in piece: 3, 3. [identity]"""
    said = guide("plan", DEMO, "--cutting").out
    moss = said.split("oat stripe")[0]
    assert "strips 1 to 2: ruler at 6 in, cut across; from each 7 squares" in moss
    assert "strip 3: ruler at 6 in, cut across; from it 6 squares" in moss
    assert "oat stripe, from piece 1 on hand: 22 in wide, 18 in long" in said
    assert "┊" in said


def test_the_order_in_json_gives_every_piece_once(guide):
    """Strip by strip the pieces add up to the placements, and each strip is said in words. [identity]"""
    for one in planned(guide, DEMO)["cutting"]:
        cut = sum(part["count"] for row in one["order"] for part in row["cut"])
        assert cut == sum(len(cloth["placements"]) for cloth in one["cloths"])
        assert all(row["text"].startswith("strip ") for row in one["order"])


def test_strips_along_the_grain_are_said_so(guide, change):
    """A straight piece 13 in wide and 60 in long gives two strips of ten 6 in squares along it. [identity]"""
    change(
        prints=[
            {"name": "moss check", "on_hand": [{"width": "13 in", "length": "60 in", "count": 3, "straight": True}]},
            {"name": "clay dot", "width": "44 in"},
        ]
    )
    said = guide("plan", DEMO, "--cutting")
    assert said.code == 0, said.err
    assert "ruler at 6 in, cut along the grain; from each 10 squares" in said.out


def test_the_cut_step_says_the_setting_a_person_uses(guide, tmp_path):
    """The stripe's piece on hand is cut at 6 in, two strips across. [practice]"""
    page = tmp_path / "plan.html"
    assert guide("plan", DEMO, "--page", str(page)).code == 0
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", page.read_text(encoding="utf-8")))
    assert "18 in. Cut 1 strip" not in text


def test_spare_squares_are_cut_on_request(guide):
    """Two more of each print: 22 and 10 (12 lie ready) are cut instead of 20 and 8; at_most: 20 dots. [identity]"""

    def squares(*argv):
        return {
            one["material"]: sum(len(cloth["placements"]) for cloth in one["cloths"])
            for one in planned(guide, DEMO, *argv)["cutting"]
        }

    plain, spare = squares(), squares("--spare", "2")
    assert {name: spare[name] - count for name, count in plain.items()} == {
        "moss check": 2, "oat stripe": 2, "clay dot": 0, "wadding": 0
    }  # fmt: skip


def test_two_projects_do_not_spend_one_shelf_twice(guide, change):
    """The first takes 8 squares from the piece and the 12 that lie ready; the second finds one more square there. [identity]"""
    prints = yaml.safe_load(Path(DEMO, "project.yaml").read_text(encoding="utf-8"))["prints"]
    prints[1]["on_hand"][0]["straight"] = True  # so 3 × 3 squares come from it
    change(prints=prints)
    change(OTHER, project="Second cushion", prints=prints)
    both = planned(guide, DEMO, "--with", OTHER)
    (first, second) = (
        next(one for one in project["cutting"] if one["material"] == "oat stripe") for project in both["projects"]
    )
    assert first["use_mm"] == 0
    assert sum(len(cloth["placements"]) for cloth in first["cloths"]) == 8
    assert sum(len(cloth["placements"]) for cloth in second["cloths"]) == 20
    assert sum(len(cloth["placements"]) for cloth in second["cloths"] if not cloth["bought"]) == 1


def test_lengths_of_two_projects_are_bought_as_one(guide, change):
    """What is bought in one length holds what both take of it, and no eighth of a yard more. [identity]"""
    change(OTHER, project="Second cushion")
    both = planned(guide, DEMO, "--with", OTHER)
    for line in both["shopping"]:
        if line["unit"] == "yd":
            used = [
                one["use_mm"] for each in both["projects"] for one in each["cutting"] if one["material"] == line["item"]
            ]
            assert 0 <= float(line["quantity"]) * 914.4 - sum(used) < 114.3
    assert both["bought"] == f"{sum(float(line['cost']) for line in both['shopping'] if line['cost']):.2f}"


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"square": "50 in", "grid": {"across": 2, "down": 2}}, ("too narrow", "50 in", "43 in", "at least")),
        (
            {"prints": [{"name": "moss check", "on_hand": [{"width": "5 in", "length": "40 in"}]}]},
            ("moss check", "not enough", "more are wanted"),
        ),
        (
            {"prints": [{"name": "a", "on_hand": [{"squares": 4}]}, {"name": "b", "at_most": 10, "width": "44 in"}]},
            ("60", "14", "46 more are wanted", "raise at_most"),
        ),
        (
            {
                "prints": [
                    {"name": "a", "width": "44 in", "at_most": 4, "use_up": True, "on_hand": [{"squares": 12}]},
                    {"name": "b", "width": "44 in"},
                ]
            },
            ("12 ready-cut squares", "at most 4", "write 12 or more", "project.yaml:"),
        ),
    ],
)
def test_what_cannot_be_is_refused_with_figures_and_a_way_out(guide, change, workshop, changes, says):
    """Exit 2, the reason in figures, what would make it possible; nothing is written."""
    change(**changes)
    before = sorted(workshop.rglob("*"))
    page = workshop / "plan.html"
    for argv in ((), ("--json",), ("--cutting",), ("--page", str(page)), ("--with", DEMO)):
        refused = guide("plan", DEMO, *argv)
        assert refused.code == 2
        assert refused.out == ""
        for word in says:
            assert word in refused.err
    assert sorted(workshop.rglob("*")) == before


def test_a_second_project_that_finds_too_little_names_itself_and_what_was_taken(guide, change):
    """Cloth for one, none to be bought: the second is refused, and told what was cut before it."""
    prints = [{"name": "oat stripe", "on_hand": [{"width": "44 in", "length": "60 in"}]}]
    change(prints=prints)
    change(OTHER, project="Second cushion", prints=prints)
    assert guide("plan", DEMO).code == 0
    assert guide("plan", OTHER).code == 0
    refused = guide("plan", DEMO, "--with", OTHER)
    assert refused.code == 2
    assert "second-cushion" in refused.err
    assert "less what is cut from it for Window seat cushion" in refused.err


@pytest.fixture
def session(guide, monkeypatch, workshop):
    """Begin a session of the demo, change two blocks in it, and stop."""
    monkeypatch.setattr("sys.stdin", io.StringIO("c 1 1, 2 2\nq\n"))
    assert guide("follow", DEMO, "--plain").code == 0
    return next((workshop / DEMO).glob("*.jsonl"))


def test_a_session_under_way_keeps_its_own_layout(guide, session):
    """The project's layout is as it was and says so; the journal shows the one that was changed. [identity]"""
    ours = json.loads(guide("layout", DEMO, "--json").out)["blocks"]
    said = guide("layout", DEMO)
    assert "keeps its own layout" in said.err
    assert session.name in said.err
    theirs = json.loads(guide("layout", str(session), "--json").out)["blocks"]
    assert (theirs[0]["stack"], theirs[5]["stack"]) == (ours[5]["stack"], ours[0]["stack"])


@pytest.mark.parametrize("option", [("--swap", "1,1:2,2"), ("--again",), ("--sewn", "1,1"), ("--forget",)])
def test_a_journal_is_not_changed_by_layout(guide, session, option):
    """Exit 2, where to change it instead, and not a byte written."""
    before = session.read_bytes()
    said = guide("layout", str(session), *option)
    assert said.code == 2
    assert "key c" in said.err
    assert session.read_bytes() == before


def test_a_print_that_ran_out_is_laid_again_while_following(guide, monkeypatch, workshop):
    """In plain lines: `c out C 0`; the plan of the session takes no clay dot any more, and what to cut is said.

    The back's 12 squares are 4 of each of three prints. [identity]
    """
    monkeypatch.setattr("sys.stdin", io.StringIO("c out C 0\nq\n"))
    said = guide("follow", DEMO, "--plain")
    assert said.code == 0
    told = re.sub(r"\s+", " ", said.out)
    assert "clay dot ran out. The back wants 4 more squares of it: lay another print there" in told
    assert "The rest is laid again. Cut again:" in told
    journal = next((workshop / DEMO).glob("*.jsonl"))
    blocks = json.loads(guide("layout", str(journal), "--json").out)["blocks"]
    assert "clay dot" not in {name for block in blocks for name in block["stack"]}
