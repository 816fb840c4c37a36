"""Cloth washed before it is cut, through the front door: what a maker reads of it, and what may not be mixed."""

import io
import json
import re
from pathlib import Path

import pytest
import yaml

from tests.commands.worked import worked

INCH = 25.4
DEMO = "sessions/window-seat-cushion"
OTHER = "sessions/second-cushion"


@pytest.fixture
def washing(workshop):
    """The demo with its cloth washed first; the demo as it is beside it, when asked."""
    file = workshop / DEMO / "project.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("washed_first: false", "washed_first: true "), encoding="utf-8")

    def beside() -> str:
        (workshop / OTHER).mkdir()
        (workshop / OTHER / "project.yaml").write_text(text, encoding="utf-8")
        return OTHER

    return beside


def planned(guide, *argv):
    said = guide("plan", DEMO, "--json", *argv)
    assert said.code == 0, said.err
    return json.loads(said.out)


def test_the_table_says_what_to_buy_and_what_is_left_of_it(guide, washing):
    """27 in of moss check come to 25.92 in, 43 in usable to 41.71; the clay dot shrinks 3 %: 26.19 in [identity]."""
    out = guide("plan", DEMO).out
    assert re.search(
        r"moss check +3/4 yd .*\n +once washed ≈ 25 15/16 in long, ≈ 41 11/16 in between its selvedges", out
    )
    assert re.search(r"clay dot +3/4 yd .*\n +once washed ≈ 26 3/16 in long", out)
    assert "Cutting, of washed cloth" in out
    assert re.search(r"washed size +20 in × 15 in", out)
    assert "once washed" not in guide("plan", DEMO, "--set", "washed_first=false").out


def test_the_json_gives_both_sizes_of_a_cloth(guide, washing):
    """As sold and on the table, in mm [identity]: 44 and 42.68 in wide; 26.04 in off the bolt for 25 in; nothing renamed."""
    data = planned(guide)
    assert data["project"]["washed_first"] is True
    moss = data["prints"][0]
    sold = {"width_mm": 44, "selvedge_mm": 0.5, "usable_mm": 41.71}
    assert {name: moss[name] for name in sold} == {name: pytest.approx(inch * INCH) for name, inch in sold.items()}
    assert moss["shrinks"] == {"length": 0.04, "width": 0.03}
    cutting = data["cutting"][0]
    (cloth,) = cutting["cloths"]
    assert (cloth["width_mm"], cloth["selvedge_mm"]) == pytest.approx((44 * 0.97 * INCH, 0.485 * INCH))
    assert (cutting["use_mm"], cutting["sold_mm"], cutting["buy_mm"]) == pytest.approx(
        (25 * INCH, 25 / 0.96 * INCH, 27 * INCH)
    )
    line = data["shopping"][0]
    assert (line["quantity"], line["washed"]["length_mm"]) == ("0.75", pytest.approx(27 * 0.96 * INCH))
    assert line["washed"]["usable_mm"] == moss["usable_mm"]
    assert all(one["washed"] is None for one in data["shopping"] if one["counter"] != "cloth")


@pytest.mark.parametrize(
    ("shrinks", "says", "known"),
    [
        ("", "what is left of it once washed nobody has measured", (False, False)),
        (", shrinks: {length: 4 %}", "once washed ≈ 21 5/8 in long", (True, False)),
        (", shrinks: {width: 0 %}", "once washed 43 in between its selvedges", (False, True)),
    ],
)
@pytest.mark.usefixtures("washing")
def test_nothing_is_claimed_of_cloth_that_nobody_measured(guide, shrinks, says, known):
    """A size that would be a guess is not said, and null in the JSON; a measured nothing is a size.

    Three strips over 43 in, 19 in: at 4 % 19.79 off the bolt, 5/8 yd, 22.5·0.96 = 21.6 in once washed [identity].
    """
    file = Path(DEMO, "project.yaml")
    file.write_text(
        file.read_text(encoding="utf-8").replace(", shrinks: {length: 4 %, width: 3 %}}\n", f"{shrinks}}}\n", 1),
        encoding="utf-8",
    )
    line = planned(guide)["shopping"][0]
    assert (line["quantity"], line["washed"]["text"]) == ("0.625", says)
    assert tuple(line["washed"][name] is not None for name in ("length_mm", "usable_mm")) == known
    assert tuple(planned(guide)["prints"][0]["shrinks"][name] is not None for name in ("length", "width")) == known
    assert "nothing says what washing takes" in guide("plan", DEMO).out


def test_unwashed_cloth_has_one_size(guide):
    """Without the key both sizes are the same, and nothing is said of washing."""
    data = planned(guide)
    assert all(one["sold_mm"] == one["use_mm"] for one in data["cutting"])
    assert all(one["washed"] is None for one in data["shopping"])
    assert data["prints"][0]["usable_mm"] == pytest.approx(43 * INCH)
    assert "washed_first" not in guide("plan", DEMO).out


def test_the_cutting_order_says_how_much_comes_off_the_bolt(guide, washing):
    """25 in on the table are 26.04 off the bolt [identity]; a piece on hand is as it lies."""
    out = guide("plan", DEMO, "--cutting").out
    assert "moss check, from the bolt, washed: ≈ 42 11/16 in wide, 25 in long" in out
    assert "it takes ≈ 26 1/16 in off the bolt before washing" in out
    assert "oat stripe, from piece 1 on hand: 22 in wide, 18 in long" in out


def test_why_the_washed_size_is_the_sewn_one(guide, washing):
    """The flag that decides stands among the reasons, with its line, and the shrinkage that no longer counts does not."""
    out = guide("why", "washed_height", DEMO).out
    assert re.search(r"washed_first = yes +project.yaml:22", out)
    assert "shrink_length =" not in out
    assert "washed_first = no" in guide("why", "washed_height", washing()).out


def test_washed_and_unwashed_cloth_share_no_shelf(guide, washing):
    """What one leaves is not what the other takes it for: refused, naming which is which, with the mend."""
    other = washing()
    for pair in ((DEMO, other), (other, DEMO)):
        said = guide("plan", pair[0], "--with", pair[1])
        assert said.code == 2
        assert f"{DEMO} cut washed cloth" in said.err
        assert "Write washed_first: true in all of them or in none" in said.err
    both = guide("plan", DEMO, "--with", DEMO)
    assert both.code == 0
    assert "once washed" in both.out


def test_a_washed_cover_teaches_nothing_of_what_cloth_shrinks(guide, washing):
    """A face of 20 in that measures 19.8 after its wash is no 1 % of raw cloth; unwashed cloth's lesson still counts."""
    worked(DEMO, 0, lambda step: step.pace_s, measures={"washed_width": 19.8 * INCH, "washed_height": 14.85 * INCH})
    assert "As made" not in guide("plan", DEMO).out
    worked(washing(), 1, lambda step: step.pace_s, measures={"washed_width": 19 * INCH})
    out = guide("plan", DEMO).out
    assert "your last wash took 5 % in width" in out
    tried = planned(guide, "--as-made")
    assert tried["prints"][0]["usable_mm"] == pytest.approx(43 * 0.95 * INCH)  # [identity]


def test_it_is_followed_washed_dried_and_measured(guide, washing, monkeypatch):
    """In plain lines: wash, wait, dry, wait, press, and the cut step says how wide the cloth should lie."""
    keys = ["", "a", "", "2", "", "", "", "2", "", "a", "", "q"]
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(keys) + "\n"))
    said = guide("follow", DEMO, "--plain")
    assert said.code == 0, said.err
    out = re.sub(r"\s+", " ", said.out)
    order = ["Wash all the cloths", "Dry the cloths", "Press and straighten", "41 11/16 in between selvedges"]
    assert [out.find(word) for word in order] == sorted(out.find(word) for word in order)
    assert all(word in out for word in order)
    assert "clean the lint filter before and after" in out


@pytest.mark.parametrize(("command", "more"), [("plan", "--page"), ("sheet", "-o"), ("checklist", "-o")])
def test_pages_say_what_to_buy_unwashed_and_what_is_left(guide, washing, tmp_path, command, more):
    """Plan, run sheet and checklist hold both, on one line that does not break inside a length."""
    page = tmp_path / "page.html"
    assert guide(command, DEMO, more, str(page)).code == 0
    text = page.read_text(encoding="utf-8")
    assert "once washed ≈\u00a025\u00a015/16\u00a0in long" in text
    other = washing()
    assert guide(command, other, more, str(page)).code == 0
    assert "once washed" not in page.read_text(encoding="utf-8")


def test_the_log_says_what_was_planned_of_the_cloth(guide, washing):
    """A log of a rehearsal keeps it among its numbers."""
    assert guide("follow", DEMO, "--rehearse").code == 0
    worked(DEMO, 0, lambda step: step.pace_s)
    assert "cloth, as planned: washed before cutting" in guide("log", DEMO, "--markdown", "-o", "-").out


def test_new_writes_what_was_said_of_washing(guide, workshop):
    """`--washed-first yes --shrinks "4 %, 3 %"`: in the file as said; length alone when that is all; else `false`."""

    def wrote(title, *options):
        said = guide("new", title, "--no-input", *options)
        assert said.code == 0, said.err
        return yaml.safe_load((workshop / said.out.strip()).read_text(encoding="utf-8"))

    both = wrote("One", "--washed-first", "yes", "--shrinks", "4 %, 3 %")
    assert both["washed_first"] is True
    assert both["prints"][0]["shrinks"] == {"length": "4 %", "width": "3 %"}
    assert wrote("Two", "--washed-first", "yes", "--shrinks", "4.5%")["prints"][0]["shrinks"] == {"length": "4.5%"}
    plain = wrote("Three")
    assert plain["washed_first"] is False
    assert "shrinks" not in plain["prints"][0]


@pytest.mark.parametrize("shrinks", ["4", "4 %, 3 %, 2 %", "a lot", "90 %"])
def test_new_refuses_a_shrinkage_that_cannot_be_read(guide, workshop, shrinks):
    """In the file's own words; nothing is written."""
    said = guide("new", "One", "--no-input", "--washed-first", "yes", "--shrinks", shrinks)
    assert said.code == 2
    assert "shrinks" in said.err
    assert not (workshop / "sessions" / "one").exists()


@pytest.mark.parametrize("wrong", ["yes", "1", "first"])
def test_only_true_or_false_is_taken(guide, workshop, wrong):
    """Like every flag: the line, the column and what to write."""
    file = workshop / DEMO / "project.yaml"
    file.write_text(
        file.read_text(encoding="utf-8").replace("washed_first: false", f"washed_first: {wrong}"), encoding="utf-8"
    )
    said = guide("check", DEMO)
    assert said.code == 2
    assert "project.yaml:22:15: washed_first: " in said.out + said.err
    assert "write true or false" in said.out + said.err
