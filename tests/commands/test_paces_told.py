"""`guide why pace`, `guide paces --where` and `--pupils`, `guide history --audit`, `guide price --sitting`."""

import json
import re
from decimal import Decimal

import pytest
from msgspec.structs import replace

from guide.commands.paces import _table
from guide.money.model import Seen, Timed
from guide.money.paces import learn
from guide.show.table import lines
from tests.commands.worked import worked

DEMO = "sessions/window-seat-cushion"


@pytest.fixture
def two(guide):
    """Two invented pupils: the second takes twice as long at the cross, and as long as the first at all else."""
    for day, (maker, times) in enumerate([("Ada Example", 1.0), ("Ben Example", 2.0)] * 2):
        worked(DEMO, day, lambda step, times=times: step.pace_s * (times if step.id == "cross" else 1), maker=maker)
    return guide


@pytest.mark.parametrize(
    ("trend", "says"),
    [(-0.0123, "-1 % a day"), (-0.006, "-1 % a day"), (-0.004, "-0.4 % a day"), (0.0019, "+0.2 % a day")],
)
def test_a_trend_that_is_told_is_never_none_at_all(trend, says):
    """Under half a percent it has a tenth: +0 % a day would deny what the row says. [identity]"""
    rows = (Timed(60.0, 1, n) for n in range(4))
    paces = learn([Seen("quilt/cross", "quilt/cross", "1", "Ada", "", 1, tuple(rows), 240.0, 60.0)], by_session=True)
    pace = replace(paces.steps["quilt/cross"], trend=trend)
    (line,) = lines(_table(replace(paces, steps={"quilt/cross": pace}), None))
    assert f"  {says}" in line


def test_why_pace_tells_each_session_and_how_far_the_starter_counts(two):
    """Twelve crosses a session at the starter's minute [identity]; by key, by name, by title; JSON says the same."""
    said = two("why", "pace", "quilt/cross", "--maker", "Ada Example")
    assert said.code == 0
    rows = [line.split() for line in said.out.splitlines() if line.startswith("  2026-")]
    assert [(row[0], row[3:]) for row in rows] == [
        ("2026-03-01", ["12", "1:00", "1:00", "1:00", "1.00"]), ("2026-03-03", ["12", "1:00", "1:00", "1:00", "1.00"]),
    ]  # fmt: skip
    assert "what they add, nothing so far, is in the forecast" in said.out
    share = int(re.search(r"(\d+) % the starter pace, 1:00 × 1\.00", said.out)[1])
    assert 0 < share < 25
    for name in ("cross", "Sew the cross"):
        assert two("why", "pace", name, "--maker", "Ada Example").out == said.out
    data = json.loads(two("why", "pace", "cross", "--maker", "Ada Example", "--json").out)
    assert [one["own_s"] for one in data["readings"]] == [60, 60]
    assert round(data["pace"]["starter_share"] * 100) == share


def test_what_a_first_piece_adds_is_told_in_seconds(guide):
    """Every cross takes a minute, a first one two [identity]: a minute each, less what is drawn to none."""
    done: set[int] = set()

    def slow_first(step):
        first = id(step) not in done
        done.add(id(step))
        return step.pace_s * (2 if first and step.id == "cross" else 1)

    for day in range(6):
        done.clear()
        worked(DEMO, day, slow_first)
    data = json.loads(guide("why", "pace", "quilt/cross", "--json").out)
    more_s = data["pace"]["first"] * data["pace"]["usual_s"]
    assert 45 < more_s < 60
    assert f"what they add, 0:{more_s:.0f} each" in guide("why", "pace", "quilt/cross").out


def test_why_pace_of_what_nobody_timed_is_said(two):
    """With what comes near; a folder goes with a pace only."""
    said = two("why", "pace", "quilt/crss", "--maker", "Ada Example")
    assert said.code == 2
    assert "did you mean quilt/cross?" in said.err
    assert two("why", "zip_cut", DEMO, "sessions").code == 2
    assert two("why", "zip_cut", DEMO).code == 0


def test_where_adds_up_to_the_labour_of_the_history(two):
    """What the steps take sums to the hours that history counts for the maker; money is hours × (18.00 × 1.1 + 2.50)."""
    data = json.loads(two("paces", "--where", "--maker", "Ada Example", "--json").out)
    hours = sum(one["labour_s"] for one in data["steps"]) / 3600
    history = json.loads(two("history", "--json").out)
    assert hours == pytest.approx(history["by_maker"]["Ada Example"]["counted_ms"] / 3.6e6)
    for one in data["steps"]:
        parts = sum(one[name] for name in ("at_pace_s", "setting_up_s", "scatter_s", "trouble_s"))
        assert parts == pytest.approx(one["labour_s"])
        assert Decimal(one["money"]["EUR"]) == pytest.approx(
            Decimal(one["labour_s"] / 3600 * 22.30), abs=Decimal("0.006")
        )
    assert len(data["worth_timing"]) == 3
    text = two("paces", "--where", "--maker", "Ada Example").out
    assert re.search(rf"^  all of it +{hours:.2f} ", text, re.MULTILINE)
    assert data["worth_timing"][0]["title"] in text.split("would narrow")[1]


def test_pupils_stand_side_by_side_and_who_is_slow_is_named_where(two):
    """Only the cross, only Ben, about twice the other [identity]; a maker alone has nobody beside them."""
    said = two("paces", "--pupils").out
    (row,) = [line for line in said.splitlines() if "Sew the cross" in line and "slow" not in line]
    assert row.endswith("▲")
    assert said.count("▲") == 2  # the head says what it means
    assert re.search(r"Ben Example is slow at: Sew the cross \((1\.[89]|2\.[01]) × the others\)", said)
    assert "Ada Example is clearly slow at nothing" in said
    data = {one["step"]: one["makers"] for one in json.loads(two("paces", "--pupils", "--json").out)}
    slow = {(step, maker) for step, makers in data.items() for maker, one in makers.items() if one["slow"]}
    assert slow == {("quilt/cross", "Ben Example")}


@pytest.mark.parametrize(
    "asked", [("--pupils", "--where"), ("--pupils", "--maker", "Ada Example"), ("--where", "--allowance", "12")]
)
def test_paces_tell_one_thing_at_a_time(two, asked):
    """Refused, and nothing told."""
    said = two("paces", *asked)
    assert (said.code, said.out) == (2, "")


def test_one_maker_alone_has_no_pupil_beside_them(guide):
    """And nobody has none; where nothing was timed there is nowhere hours went."""
    assert guide("paces", "--where").out == ""
    assert guide("paces", "--pupils").code == 2
    worked(DEMO, 0, lambda step: step.pace_s)
    said = guide("paces", "--pupils")
    assert said.code == 2
    assert "only Ada Example" in said.err


def test_history_holds_makings_against_their_forecasts(two):
    """The first of each is at starter paces; Ada's second took what her first did. Four in all."""
    said = two("history", "--audit").out
    data = json.loads(two("history", "--audit", "--json").out)
    assert [one["sessions"] for one in data["makings"]] == [0, 0, 1, 1]
    assert data["of"] == 4
    assert said.startswith(f"{data['within']} of 4 makings inside their 80 %")
    assert data["makings"][2]["within"]
    assert ("where days miss it they are taken to differ more" in said) == (
        data["within"] < 4
    )  # three of four are under 80 %
    assert len(re.findall(r"^  2026-03-0[1-4]  Window seat cushion", said, re.MULTILINE)) == 4


def test_history_of_nothing_finished_holds_nothing(guide):
    """Said so, and no table."""
    assert "No making is finished" in guide("history", "--audit").out


def test_a_price_is_reckoned_in_sittings_or_says_that_it_takes_one_day(guide):
    """The demo's 2 h 45 take two sittings of 2 h at least [identity]; a session made is not reckoned."""
    assert "Reckoned as one day's work" in guide("price", DEMO).out
    said = guide("price", DEMO, "--sitting", "2h")
    found = re.search(r"Reckoned in sittings of 2 h, on days apart: (\d) likely, (\d) to (\d)", said.out)
    assert 2 <= int(found[2]) <= int(found[1]) <= int(found[3])
    assert guide("price", DEMO, "--sitting", "1m").code == 2
    path = worked(DEMO, 0, lambda step: step.pace_s)
    assert guide("price", str(path), "--sitting", "2h").code == 2
