"""Time into money through the front door: paces, forecasts, days and prices against sums done on paper."""

import io
import json
import math
import re
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from tests.commands.worked import worked

DEMO = "sessions/window-seat-cushion"
CENT = Decimal("0.01")


def starter(step):
    return step.pace_s


def twice(step):
    return 2 * step.pace_s


def cents(amount):
    return amount.quantize(CENT, ROUND_HALF_UP)


@pytest.fixture
def steps(guide):
    """The demo's steps by key."""
    return {step["key"]: step for step in json.loads(guide("plan", DEMO, "--json").out)["steps"]}


def test_paces_come_from_real_sessions_and_lean_on_the_starter_pace(guide, steps):
    """Three days of 12 crosses at twice the starter pace: the starter counts as one piece beside them.

    All pieces are equal, so they are taken to scatter as little as anybody's, a tenth of the guess, and days and the step
    by the root of that. By the variances of `stats` a day's 11 pieces then weigh (0.0144 + 0.01 + 0.0625) over
    (0.0144 + 0.01) · √0.1 + 0.00625/11, 10.5 single ones: the starter's share is 1 / (1 + 3 × 10.5) = 3 % [identity].
    """
    for day in range(3):
        worked(DEMO, day, twice)
    pace = json.loads(guide("paces", "--json").out)["steps"]["quilt/cross"]
    assert pace["pieces"] == 3 * 11  # the first of each session is left out
    assert pace["starter_share"] == pytest.approx(1 / (1 + 3 * 0.0869 / (0.0244 * 0.1**0.5 + 0.00625 / 11)), abs=1e-4)
    assert 1.9 < pace["usual_s"] / steps["quilt/cross"]["pace_s"] <= 2


def test_standard_times_add_the_rest_allowance(guide):
    """Standard time = the pace × 1.15 at an allowance of 15 % [source: ILO work study, read second hand]."""
    worked(DEMO, 0, twice)
    for pace in json.loads(guide("paces", "--allowance", "15 %", "--json").out)["steps"].values():
        assert pace["standard_s"] == pytest.approx(pace["usual_s"] * 1.15)
    assert "with 15 % for rest" in guide("paces", "--allowance", "15").out
    assert guide("paces", "--allowance", "a lot").code == 2


def test_few_uneven_pieces_ask_to_be_timed_again(guide, steps):
    """Readings needed for 10 %: (20·√(n'Σx² − (Σx)²) / Σx)² [source: ILO, Introduction to Work Study, 4th edition, read second hand].

    11 crosses after the first, 6 at 40 s and 5 at 80 s: Σx 640, Σx² 41 600, (20·√(457 600 − 409 600) / 640)²
    = 46.9, so 47 in all and 36 more [identity].
    """
    assert steps["quilt/cross"]["pieces"] == 12
    readings = iter([60.0] + [40.0] * 6 + [80.0] * 5)
    worked(DEMO, 0, lambda step: next(readings) if step.key == "quilt/cross" else step.pace_s)
    wanting = guide("paces").out.partition("time so many more, and the pace is good to 10 %\n")[2].splitlines()
    (line,) = [line for line in wanting if "Sew the cross" in line]
    assert line.split()[-2:] == ["36", "pieces"]


def test_practice_and_rehearsals_are_not_paces(guide):
    """Practice only on request; rehearsals never."""
    worked(DEMO, 0, twice, mode="practice")
    assert "No session has been timed yet" in guide("paces").err
    assert "Sew the cross" in guide("paces", "--practice").out


def test_a_forgotten_timer_is_named_and_hardly_moves_the_pace(guide):
    """One piece × 50: flagged, and the usual pace moves by less than 10 %."""
    for day in range(3):
        worked(DEMO, day, starter)
    before = json.loads(guide("paces", "--json").out)["steps"]["quilt/cross"]["usual_s"]
    calls = []

    def forgetful(step):
        calls.append(step.key)
        return step.pace_s * (50 if calls.count("quilt/cross") == 6 and step.key == "quilt/cross" else 1)

    worked(DEMO, 3, forgetful)
    after = json.loads(guide("paces", "--json").out)
    assert after["steps"]["quilt/cross"]["usual_s"] == pytest.approx(before, rel=0.10)
    assert any(flag["step"] == "quilt/cross" for flag in after["flags"])
    assert "a forgotten timer?" in guide("paces").out


def test_a_session_is_priced_by_the_time_it_really_took(guide, steps):
    """Labour = hours × 18.00 × 1.10, overhead = hours × 2.50; an hour in the washer costs nothing [identity]."""
    path = worked(DEMO, 0, twice)
    ms = sum(step["pieces"] * round(2 * step["pace_s"] * 1000) for step in steps.values())
    hours = Decimal(ms) / 3_600_000
    data = json.loads(guide("price", str(path), "--json").out)
    assert Decimal(data["costs"]["labour"]) == cents(hours * 18 * Decimal("1.1"))
    assert Decimal(data["costs"]["overhead"]) == cents(hours * Decimal("2.5"))
    assert data["low"] is None
    cost = Decimal(data["costs"]["cost"])
    exact = (cost + Decimal("3.40") + Decimal("0.35")) / (1 - Decimal("0.35") - Decimal("0.04"))
    paid = Decimal(data["price"]["paid"])
    assert paid % Decimal("0.50") == 0
    assert 0 <= paid - exact < Decimal("0.50")


def test_the_zip_is_bought_and_priced(guide, workshop):
    """3.20 in the project, on the list and in the cost; without a price it is said, not guessed."""
    lines = {line["item"]: line for line in json.loads(guide("plan", DEMO, "--json").out)["shopping"]}
    assert (lines["zip, 22 in"]["quantity"], lines["zip, 22 in"]["cost"]) == ("1", "3.20")
    six = json.loads(guide("price", DEMO, "--set", "make=6", "--json").out)["tried"]["costs"]["lines"]
    assert {line["name"]: line["amount"] for line in six}["zip, 22 in"] == "19.20"
    path = workshop / DEMO / "project.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace(", price: 3.20}", "}"), encoding="utf-8")
    assert "No price given, counted as nothing: zip (22 in)." in guide("price", DEMO).out


def test_people_read_eighths_and_programs_read_decimals(guide):
    """5/8 yd where it is read, 0.625 in the JSON [identity]."""
    data = json.loads(guide("plan", DEMO, "--json").out)
    moss = next(line for line in data["shopping"] if line["item"] == "moss check")
    assert (moss["quantity"], moss["text"]) == ("0.625", "5/8 yd")
    for out in (guide("plan", DEMO).out, guide("plan", DEMO, "--set", "make=2").out):
        assert "5/8 yd" in out
        assert "0.625" not in out


def test_a_price_for_one_and_for_six_side_by_side(guide):
    """The same lines twice, the cost of one from the cost of six [identity]."""
    data = json.loads(guide("price", DEMO, "--set", "make=6", "--json").out)
    tried = data["tried"]
    assert (data["make"], tried["make"]) == (1, 6)
    assert Decimal(tried["each"]) == cents(Decimal(tried["costs"]["cost"]) / 6)
    out = guide("price", DEMO, "--set", "make=6").out
    assert any(line.split() == ["›", "PRICE", "OF", "ONE", data["price"]["paid"], tried["price"]["paid"]]
               for line in out.splitlines())  # fmt: skip


def test_what_a_price_someone_else_set_gives(guide):
    """200.00: fee 8.00, so profit 200 − 8 − 0.35 − 3.40 − cost, and the margin its share [identity]."""
    cost = Decimal(json.loads(guide("price", DEMO, "--json").out)["costs"]["cost"])
    profit = Decimal(200) - 8 - Decimal("3.75") - cost
    out = guide("price", DEMO, "--given", "200").out.split("At a price of 200:")[1]
    assert f"profit {profit:>19}" in out
    assert f"{profit / 2:.1f} %" in out
    given = json.loads(guide("price", DEMO, "--given", "200", "--json").out)["given"]
    assert Decimal(given["profit"]) == profit


def test_a_stall_is_paid_for_by_whole_pieces(guide):
    """Break-even = fixed / (price − variable), up to whole pieces [identity]."""
    data = json.loads(guide("price", DEMO, "--json").out)
    price = {name: Decimal(data["price"][name]) for name in ("before_tax", "fee", "cost", "packing", "fee_each")}
    left = price["before_tax"] - sum(value for name, value in price.items() if name != "before_tax")
    wanted = math.ceil(Decimal(600) / left)
    assert f"paid for by {wanted} pieces sold" in guide("price", DEMO, "--stall", "600").out
    assert json.loads(guide("price", DEMO, "--stall", "600", "--json").out)["stall_break_even"] == wanted


def test_fees_and_margin_that_eat_the_price_are_refused(guide, workshop):
    """96 % of margin and 4 % of fee leave nothing: exit 2, and why."""
    path = workshop / DEMO / "project.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("margin: 35 %", "margin: 96 %"), encoding="utf-8")
    said = guide("price", DEMO)
    assert said.code == 2
    assert "no price is high enough" in said.err


DEADLINE = ("plan", DEMO, "--set", "make=6", "--from", "2026-12-01")


def test_six_by_the_12th_at_two_hours_an_evening(guide):
    """1 to 12 December is 12 evenings; on Mondays, Wednesdays and Saturdays it is 5 [identity: the calendar]."""
    asked = (*DEADLINE, "--by", "2026-12-12", "--evening", "2 hours")
    data = json.loads(guide(*asked, "--json").out)
    told = data["sittings"]
    assert told["sittings"] == 12
    assert told["sitting_s"] == 7200
    assert told["chance"] == pytest.approx(told["chances"][min(12, len(told["chances"])) - 1])
    at_least = data["forecast"]["hands_on_s"]["likely"] / 7200
    assert told["needed"]["likely"] >= at_least  # waits and whole evenings only add
    assert "By 12 December 2026" in guide(*asked).out
    some = json.loads(guide(*asked, "--on", "mon,wed,sat", "--json").out)["sittings"]
    assert some["sittings"] == 5
    assert some["chance"] <= told["chance"]


def test_plenty_of_time_is_yes_and_none_is_no(guide):
    """The answer is in words."""
    assert "yes: 365 sittings" in guide(*DEADLINE, "--by", "2027-11-30", "--evening", "2 h").out
    assert "no: 1 sitting" in guide(*DEADLINE, "--by", "2026-12-01", "--evening", "30 min").out


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--by", "2026-12-12"), "go with --evening"),
        (("--by", "2026-11-30", "--from", "2026-12-01", "--evening", "2 h"), "that day is over"),
        (("--by", "12.12.", "--evening", "2 h"), "write it like 2026-12-12"),
        (("--by", "2026-12-12", "--from", "2026-12-01", "--on", "someday", "--evening", "2 h"), "days of the week"),
        (("--evening", "long"), "no length of time"),
        (("--rest",), "has no unfinished session"),
    ],
)
def test_questions_that_cannot_be_answered_say_what_to_write(guide, options, says):
    """Exit 2 and the mend."""
    said = guide("plan", DEMO, *options)
    assert said.code == 2
    assert says in said.err


def test_the_rest_of_a_session_is_what_is_not_done(guide, steps):
    """Stopped before the quilting's cross at the starter pace: done is paper's sum, the rest is the rest [identity]."""
    keys = list(steps)
    worked(DEMO, 0, starter, until="quilt/cross")
    left = json.loads(guide("plan", DEMO, "--rest", "--json").out)["left"]
    done = sum(steps[key]["pieces"] * round(steps[key]["pace_s"] * 1000) for key in keys[: keys.index("quilt/cross")])
    assert left["done_s"] == pytest.approx(done / 1000)
    rest = sum(steps[key]["pieces"] * steps[key]["pace_s"] for key in keys[keys.index("quilt/cross") :])
    assert left["hands_on_s"]["likely"] == pytest.approx(rest, rel=0.02)
    assert left["waiting_s"] == sum(steps[key]["waits_s"] or 0 for key in keys[keys.index("quilt/cross") :])


def test_a_step_put_off_stays_in_what_is_left_and_one_not_needed_goes(guide, steps, monkeypatch):
    """Twelve crosses, put off at the machine: as much is left as before; then not needed: so much less [identity]."""
    worked(DEMO, 0, starter, until="quilt/cross")

    def left(keys):
        monkeypatch.setattr("sys.stdin", io.StringIO(keys))
        assert guide("follow", DEMO, "--plain").code == 0
        return json.loads(guide("plan", DEMO, "--rest", "--json").out)["left"]["hands_on_s"]["likely"]

    before, put_off, skipped = left("q\n"), left("s\n6\nq\n"), left("u\n\ns\n1\nq\n")
    assert put_off == before
    crosses = steps["quilt/cross"]["pieces"] * steps["quilt/cross"]["pace_s"]
    assert before - skipped == pytest.approx(crosses, rel=0.05)


def test_the_log_holds_each_step_against_its_forecast(guide, steps):
    """After three usual sessions, a step at six times its pace lies outside, all others inside."""
    for day in range(3):
        worked(DEMO, day, starter)
    slow = worked(DEMO, 3, lambda step: step.pace_s * (6 if step.key == "join/rows" else 1))
    page = Path(guide("log", str(slow)).out.strip()).read_text(encoding="utf-8")
    assert f"{len(steps) - 1} of {len(steps)} finished steps lay inside" in page
    assert page.count(">≠ ") == 1
    markdown = guide("log", str(slow), "--markdown", "-o", "-").out
    assert markdown.count("| ≠ ") == 1


def test_a_log_forecasts_from_the_sessions_before_it_only(guide, steps):
    """What came later cannot have been known: the first session's log says starter paces."""
    first = worked(DEMO, 0, twice)
    worked(DEMO, 1, twice)
    page = Path(guide("log", str(first)).out.strip()).read_text(encoding="utf-8")
    assert "from starter paces" in page


def test_history_adds_up_what_was_worked(guide, steps):
    """Two sessions at the starter pace: twice the plan's hands-on time, to the ms [identity]."""
    for day in range(2):
        worked(DEMO, day, starter)
    told = json.loads(guide("history", "--json").out)
    ms = 2 * sum(step["pieces"] * round(step["pace_s"] * 1000) for step in steps.values())
    assert sum(total["counted_ms"] for total in told["by_day"].values()) == ms
    assert set(told["by_day"]) == {"2026-03-01", "2026-03-02"}


def test_a_plan_says_hands_on_rests_waits_and_the_clock(guide, steps):
    """Hands on × 1.10 with the rest allowance; on the clock hands on, waits and one rest of 3 min together [identity]."""
    forecast = json.loads(guide("plan", DEMO, "--json").out)["forecast"]
    likely = sum(step["pieces"] * step["pace_s"] for step in steps.values())
    assert forecast["hands_on_s"]["likely"] == pytest.approx(likely)
    assert forecast["standard_s"] == pytest.approx(likely * 1.10)
    assert forecast["clock_s"]["likely"] == pytest.approx(
        likely + 180 + sum(step["waits_s"] or 0 for step in steps.values())
    )
    out = guide("plan", DEMO).out
    assert "with rests allowed" in out
    assert "shared by all its steps" in out  # that one day's steps hang together is said


def test_a_plan_shows_each_step_at_the_makers_own_pace(guide, steps):
    """After three sessions at twice the starter pace, twelve crosses take near twice as long, and it is said."""
    for day in range(3):
        worked(DEMO, day, twice)
    cross = next(s for s in json.loads(guide("plan", DEMO, "--json").out)["steps"] if s["key"] == "quilt/cross")
    assert cross["pace_from"].startswith("own times")
    assert cross["pace_s"] == pytest.approx(2 * steps["quilt/cross"]["pace_s"], rel=0.06)
    # No trouble came in all these hours; one of 3 min in 5 h is what was believed before them. [identity]
    hours = 3 * 2 * sum(step["pace_s"] * step["pieces"] for step in steps.values()) / 3600
    assert cross["hands_on_s"] == pytest.approx(12 * cross["pace_s"] * (1 + 1 / (5 + hours) * 180 / 3600))
    assert cross["from"] == steps["quilt/cross"]["from"]  # where the step is written, as before


def test_a_page_is_written_beside_the_json_and_only_the_page_has_no_break_blanks(guide):
    """Neither option is left without effect; programs read plain blanks."""
    said = guide("plan", DEMO, "--json", "--page", "plan.html")
    assert any("7 1/16 in" in step["texts"]["do"] for step in json.loads(said.out)["steps"])
    assert "\u00a0" not in said.out
    assert "7\u00a01/16\u00a0in" in Path("plan.html").read_text(encoding="utf-8")


def test_a_checklist_of_many_days_says_how_many_and_what_to_do(guide):
    """Twenty cushions do not fit one day: from when, to which day and time, and how to make the days longer."""
    text = (
        Path(DEMO, "project.yaml")
        .read_text(encoding="utf-8")
        .replace("make: 1", "make: 20")
        .replace(", at_most: 20", "")
    )
    Path(DEMO, "project.yaml").write_text(text, encoding="utf-8")
    said = guide("checklist", DEMO)
    (days,) = re.findall(r"From 10:00 to \d\d:\d\d on day (\d+); times from", said.err)
    assert int(days) > 5
    assert f"That is {days} days at these hours; --hours and --until say how long a day is." in said.err
    Path(DEMO, "project.yaml").write_text(text.replace("make: 20", "make: 1").replace("down: 3", "down: 1"), "utf-8")
    assert "days at these hours" not in guide("checklist", DEMO, "--hours", "14", "--for", "myself").err


NO_PRICES = """\
project: Bare cushion
kind: cushion
grid: {across: 5, down: 3}
square: 5 1/4 in
seam: 5/8 in
layers: {above: 1, below: 2}
wadding: {gap: 5/8 in}
prints: [{name: moss check, width: 44 in}, {name: oat stripe, width: 44 in}, {name: clay dot, width: 44 in}]
closure: {type: zip, after_column: 2}
sell: {margin: 35 %, fee: 4 %}
"""


def test_without_prices_in_the_project_none_is_made_up(guide):
    """Said plainly wherever a price would stand, never 0.00 and never −0.00; a quotation is not written."""
    bare = Path("sessions/bare")
    bare.mkdir()
    (bare / "project.yaml").write_text(NO_PRICES, encoding="utf-8")
    worked(str(bare), 0, lambda step: step.pace_s)
    for argv in (
        ("price", "sessions/bare"),
        ("price", "sessions/bare/2026-03-01.jsonl"),
        ("plan", "sessions/bare"),
        ("sheet", "sessions/bare", "--tickets", "--priced", "--markdown", "-o", "-"),
        ("sheet", "sessions/bare", "--tickets", "--priced", "-o", "-"),
        ("log", "sessions/bare", "--cost", "-o", "-"),
        ("log", "sessions/bare", "--cost", "--markdown", "-o", "-"),
    ):
        said = guide(*argv)
        assert said.code == 0
        assert "no prices in the project" in (said.out + said.err).lower(), argv
        assert not re.search(r"\b0\.00\b", said.out), argv
    guide("price", "sessions/bare", "--page", "price.html")
    page = Path("price.html").read_text(encoding="utf-8")
    assert "No prices in the project" in page
    assert not re.search(r"\b0\.00\b", page)
    quoted = guide("price", "sessions/bare", "--quote", "quote.html")
    assert quoted.code == 2
    assert "no prices in the project" in quoted.err.lower()
    assert not Path("quote.html").exists()


def test_one_hurried_session_rules_nothing(guide):
    """Keys pressed through in a fifth of a second a piece: said, and the price stays at the starter paces."""
    before = json.loads(guide("price", DEMO, "--json").out)
    worked(DEMO, 0, lambda step: 0.2)
    assert json.loads(guide("price", DEMO, "--json").out)["price"] == before["price"]
    said = guide("paces")
    assert said.out.count("keys pressed through?") == 1  # for the whole day, not once a step
    assert "2026-03-01" in said.out
    assert "No session has been timed yet" in said.err


def test_cloth_used_is_said_with_its_length_and_price(guide):
    """Each line of cloth multiplies out to its amount; what lay on hand is said to be in it. [identity]"""
    out = guide("price", DEMO).out
    lines = re.findall(r"^  (.+?) +(\d+\.\d\d)   ([\d.]+) yd × ([\d.]+)(, on hand in part)?$", out, re.MULTILINE)
    assert [name for name, *_ in lines] == ["moss check", "oat stripe", "clay dot", "wadding"]
    for _, amount, length, price, _ in lines:
        product = Decimal(length) * Decimal(price)
        assert product.quantize(Decimal("0.01"), ROUND_HALF_UP) == Decimal(amount)
    assert [name for name, *_, hand in lines if hand] == ["oat stripe"]
    assert "cloth on hand is reckoned at its price too" in out


def test_what_has_no_price_is_said_wherever_a_price_is_shown(guide, workshop):
    """Labour alone makes no price of cloth: the plan says what it left out, as the price does."""
    project = workshop / DEMO / "project.yaml"
    project.write_text(project.read_text(encoding="utf-8").replace(", price: 11.00 / yd", ""), encoding="utf-8")
    for command in ("plan", "price"):
        assert "No price given, counted as nothing: wadding." in guide(command, DEMO).out
