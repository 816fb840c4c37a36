"""A price is for what was asked: with other values, at a price given, until a day, with what has no price said."""

import json
import math
import re
from decimal import Decimal
from pathlib import Path

import pytest

from guide.record.fold import fold
from guide.record.journal import read_journal
from tests.commands.worked import worked

DEMO = "sessions/window-seat-cushion"
KINDS = ("md", "html")


def plain(path: str) -> str:
    """What a page says, without its tags."""
    text = re.sub(r"<style.*?</style>", "", Path(path).read_text("utf-8"), flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>|[*|]", " ", text).replace("\u00a0", " ").split())


def mended(old: str, new: str) -> None:
    """Change one thing in the demo's project file."""
    path = Path(DEMO, "project.yaml")
    text = path.read_text("utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), "utf-8")


@pytest.mark.parametrize("kind", KINDS)
def test_a_quotation_is_for_what_was_asked(guide, kind):
    """Six at 112.50 each, not one at the project's own price."""
    own = json.loads(guide("price", DEMO, "--json").out)["price"]["paid"]
    asked = ("price", DEMO, "--set", "make=6")
    six = json.loads(guide(*asked, "--json").out)["tried"]["price"]["paid"]
    assert six != own
    assert guide(*asked, "--quote", f"six.{kind}").code == 0
    assert guide(*asked, "--given", "112.50", "--quote", f"given.{kind}").code == 0
    for said, price in ((plain(f"six.{kind}"), six), (plain(f"given.{kind}"), "112.50")):
        assert f"{price} EUR each" in said
        assert re.search(r"number:? 6\b", said)
        assert f"{own} EUR" not in said


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_is_of_what_was_asked(guide, kind):
    """Of 112.50: fee 4 % is 4.50, fee each 0.35, packing 3.40, the cost of one of six, and the rest profit [identity]."""
    asked = ("price", DEMO, "--set", "make=6", "--given", "112.50")
    assert guide(*asked, "--page", f"page.{kind}").code == 0
    said = plain(f"page.{kind}")
    cost = Decimal(json.loads(guide(*asked, "--json").out)["tried"]["each"])
    profit = Decimal("112.50") - Decimal("4.50") - Decimal("0.35") - Decimal("3.40") - cost
    for part in (
        f"cost of making {cost}",
        "fee on the price 4.50",
        "fee each 0.35",
        "packing 3.40",
        f"profit {profit}",
    ):
        assert part in said
    assert "The buyer pays 112.50" in said
    assert "112.50 EUR each, given" in said
    assert "rounded up" not in said  # nobody rounded what was given


def test_a_price_given_is_reckoned_with_what_is_tried(guide):
    """Of 200.00 with a fee of 10 % instead of the project's 4 %: 20.00, and 0.35 each [identity]."""
    asked = ("price", DEMO, "--set", "sell.fee=10%", "--given", "200")
    assert json.loads(guide(*asked, "--json").out)["given"]["fee"] == "20.00"
    assert re.search(r"^  fees +20\.35$", guide(*asked).out.split("At a price of 200:")[1], re.MULTILINE)
    assert json.loads(guide("price", DEMO, "--given", "200", "--json").out)["given"]["fee"] == "8.00"


def test_a_stall_is_reckoned_with_the_price_given(guide):
    """Each sale at 200.00 leaves 200 − 8.00 fee − 0.35 − 3.40 packing − cost; 600 over that, up to whole ones."""
    cost = Decimal(json.loads(guide("price", DEMO, "--json").out)["each"])
    wanted = math.ceil(600 / (Decimal(200) - 8 - Decimal("0.35") - Decimal("3.40") - cost))
    asked = ("price", DEMO, "--given", "200", "--stall", "600")
    assert f"paid for by {wanted} pieces sold" in guide(*asked).out
    assert json.loads(guide(*asked, "--json").out)["stall_break_even"] == wanted
    assert json.loads(guide("price", DEMO, "--stall", "600", "--json").out)["stall_break_even"] != wanted


def test_a_stall_at_no_margin_is_told_that_nothing_is_left(guide):
    """What rounding up leaves by chance pays for no stall; with a price given it is that price that counts."""
    mended("margin: 35 %", "margin: 0 %")
    for more in ((), ("--json",)):
        said = guide("price", DEMO, "--stall", "60", *more)
        assert said.code == 2
        assert "nothing is left" in said.err
        assert "--set sell.margin=" in said.err
    assert "paid for by" in guide("price", DEMO, "--stall", "60", "--given", "200").out
    exact = guide("price", DEMO, "--set", "sell.round_up_to=0.01", "--stall", "60")
    assert "more sales lose more" not in exact.err  # nothing is lost either


def test_a_refused_stall_still_tells_the_price(guide):
    """Only the stall is refused; what a cushion costs is what was asked first."""
    mended("margin: 35 %", "margin: 0 %")
    own = guide("price", DEMO).out
    assert "PRICE OF ONE" in own
    said = guide("price", DEMO, "--stall", "60")
    assert said.code == 2
    assert said.out == own
    assert not guide("price", DEMO, "--stall", "sixty").out


@pytest.mark.parametrize("option", ["--quote", "--page"])
@pytest.mark.parametrize("amount", ["130", "119.50", "1,200"])
def test_an_amount_is_no_name_of_a_page(guide, workshop, option, amount):
    """Who types a price there means --given, and no file of that name is written."""
    said = guide("price", DEMO, option, amount)
    assert said.code == 2
    assert f"--given {amount}" in said.err
    assert not (workshop / amount).exists()
    assert guide("price", DEMO, option, f"./{amount}").code == 0  # who means a file can say so
    assert (workshop / amount).exists()


def test_a_quotation_holds_until_a_day_that_is_not_past(guide):
    """Today, 20 November 2026, is not over yet; yesterday is, and no day is none. Nothing is written then."""
    for day, says in (("2026-11-19", "is past"), ("soon", "not a day"), ("31.12.2026", "not a day"), ("", "not a day")):
        said = guide("price", DEMO, "--quote", "q.md", "--valid-until", day)
        assert (said.code, Path("q.md").exists()) == (2, False)
        assert "--valid-until" in said.err
        assert says in said.err
    assert guide("price", DEMO, "--quote", "q.md", "--valid-until", "2026-11-20").code == 0
    assert "valid until: 20 November 2026" in plain("q.md")


HOLE = (", width: 90 in, price: 11.00 / yd", ", width: 90 in")


def test_a_price_with_holes_says_at_least_and_what_has_no_price(guide):
    """Without the wadding's price it is less than it should be by a sum nobody knows: said wherever it is shown."""
    whole = guide("price", DEMO)
    assert "at least" not in whole.out
    mended(*HOLE)
    said = guide("price", DEMO).out
    paid = json.loads(guide("price", DEMO, "--json").out)
    assert re.search(rf"^  PRICE OF ONE +at least {paid['price']['paid']}$", said, re.MULTILINE)
    assert "No price given, counted as nothing: wadding." in said
    assert paid["costs"]["missing"] == ["wadding"]
    assert re.search(rf"price, EUR +at least {paid['price']['paid']}", guide("plan", DEMO).out)
    beside = guide("plan", DEMO, "--set", "make=2").out
    assert re.search(rf"price of one, EUR +at least {paid['price']['paid']} +at least ", beside)
    for kind in KINDS:
        guide("price", DEMO, "--page", f"page.{kind}")
        assert f"at least {paid['price']['paid']} EUR" in plain(f"page.{kind}")
    ticket = guide("sheet", DEMO, "--tickets", "--priced", "-o", "-")
    assert "No price given, counted as nothing: wadding." in ticket.err
    assert "by at least" in guide("price", DEMO, "--stall", "60").out


def test_hours_without_a_rate_are_a_hole_too(guide):
    """What the hands did is in no price then."""
    mended("labour: {rate: 18.00 / hour, allowance: 10 %}", "labour: {allowance: 10 %}")
    assert json.loads(guide("price", DEMO, "--json").out)["costs"]["missing"] == ["hours at the table"]


def test_a_quotation_of_a_price_with_holes_waits_for_anyway(guide):
    """It would bind the maker to it: refused and nothing written, unless told; a price given is the maker's own."""
    mended(*HOLE)
    said = guide("price", DEMO, "--quote", "q.md", "--page", "p.md")
    assert said.code == 2
    assert "wadding" in said.err
    assert "--anyway" in said.err
    assert not Path("q.md").exists()
    assert not Path("p.md").exists()
    assert guide("price", DEMO, "--quote", "q.md", "--anyway").code == 0
    assert "at least" not in plain("q.md")
    assert guide("price", DEMO, "--quote", "given.md", "--given", "120").code == 0


@pytest.fixture
def forgetful(guide):
    """A session whose sixth cross stood for 50 times its minute; its path and its record."""
    calls = []

    def pace(step):
        calls.append(step.key)
        return step.pace_s * (50 if step.key == "quilt/cross" and calls.count("quilt/cross") == 6 else 1)

    path = worked(DEMO, 0, pace)
    return path, fold(read_journal(path).events)


def test_a_price_names_a_forgotten_timer_its_minutes_its_money_and_the_mend(guide, forgetful):
    """A cross is 60 s by the starter: 50 of them are 50 min, 50/60 h × (18.00 × 1.10 + 2.50) = 18.58 [identity].

    The mend it tells takes 49 min and their money out again: 49/60 × 22.30 = 18.21, to the cents of its lines.
    """
    path, record = forgetful
    lap = record.step("quilt/cross").laps[5]
    assert lap.counted_ms == 50 * 60_000
    said = guide("price", str(path)).out
    (line,) = [line for line in said.splitlines() if "forgotten timer" in line]
    assert f"Record {lap.end_n}, " in line
    assert "Sew the cross" in line
    assert "50 min" in line
    assert "18.58" in line
    before = Decimal(json.loads(guide("price", str(path), "--json").out)["costs"]["cost"])
    mend = re.search(r'guide (amend \S+ --record \d+ --set) "([^"]+)"', line)
    assert guide(*mend[1].split(), mend[2]).code == 0
    after = guide("price", str(path), "--json")
    assert before - Decimal(json.loads(after.out)["costs"]["cost"]) == pytest.approx(
        Decimal("18.21"), abs=Decimal("0.02")
    )
    assert "forgotten timer" not in guide("price", str(path)).out


def test_a_long_lap_the_maker_says_counts_is_no_forgotten_timer(guide, forgetful):
    """Said to be work, it is work."""
    path, record = forgetful
    n = record.step("quilt/cross").laps[5].end_n
    assert guide("amend", str(path), "--record", str(n), "--set", "counted").code == 0
    assert "forgotten timer" not in guide("price", str(path)).out


@pytest.mark.parametrize("option", ["--given", "--stall"])
@pytest.mark.parametrize("amount", ["0", "-5", "nan", "inf", "1e999", "1000000001", "9" * 30, "much"])
def test_what_is_no_amount_of_money_is_refused(guide, option, amount):
    """Nothing, less, without end, or more than a thousand million: a sentence, and no report of a fault of ours."""
    said = guide("price", DEMO, option, amount)
    assert (said.code, said.out) == (2, "")
    assert said.err.startswith(f"{option}: ")
