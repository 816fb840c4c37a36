"""Where it is sold: each place a row, the first the price of every command; several articles in one table."""

import json
import math
import re
from decimal import Decimal
from pathlib import Path

import pytest

from tests.commands.test_price_asked import DEMO, mended, plain
from tests.commands.worked import worked

FLAT = (
    "sell: {margin: 35 %, overhead: 2.50 / hour, fee: 4 %, fee_each: 0.35, packing: 3.40, tax: 0 %, round_up_to: 0.50}"
)
PLACES = """sell:
  margin: 20 %
  overhead: 2.50 / hour
  round_up_to: 0.50
  places:
    market: {fee: 2 %, packing: 0.50, unsold: 10 %, day: {pitch: 35.00, hours: 8, road: 2, sells: 6}}
    shop: {part: 40 %, packing: 1.00}
    by post: {fee: 9 %, fee_each: 0.35, packing: 3.40, sale_takes: 25 min}"""


@pytest.fixture
def sold(guide):
    """The demo, sold at three invented places."""
    mended(FLAT, PLACES)
    return guide


def rows(text: str) -> list[list[str]]:
    """A table's rows, cells parted by two blanks or more, under the head that begins with `at`."""
    found = [re.split(r"  +", line.strip()) for line in text.splitlines()]
    head = next(i for i, row in enumerate(found) if {"price", "floor"} <= set(row))
    ends = next(i for i, row in enumerate(found[head:], head) if row == [""])
    return found[head:ends]


def test_each_place_is_a_row_of_the_terminal_and_the_page_and_json(sold):
    """The same figures in all three; by hand for by post: must = cost + 3.40 + 0.35 + 25/60 × 18.00 [identity]."""
    data = json.loads(sold("price", DEMO, "--json").out)
    table = rows(sold("price", DEMO).out)
    assert [row[0] for row in table] == ["at", "market", "shop", "by post"]
    by_name = {one["at"]: one for one in data["places"]}
    for row in table[1:]:
        one = by_name[row[0]]
        fees = Decimal(one["fee"]) + Decimal(one["fee_each"]) + Decimal(one["part"])
        selling = sum(Decimal(one[name]) for name in ("selling", "pitch", "day", "unsold"))
        assert row[1:] == [
            one["paid"], str(fees), one["packing"], str(selling), one["after_wage"], one["an_hour"], one["floor"],
        ]  # fmt: skip
    must = Decimal(data["each"]) + Decimal("3.40") + Decimal("0.35") + Decimal("7.50")
    exact = must / (1 - Decimal("0.20") - Decimal("0.09"))
    assert Decimal(by_name["by post"]["paid"]) == Decimal(math.ceil(exact * 2)) / 2
    for kind in ("md", "html"):
        assert sold("price", DEMO, "--page", f"page.{kind}").code == 0
        said = plain(f"page.{kind}")
        for row in table[1:]:
            assert " ".join(row) in said
        assert "Under the floor you pay to work." in said


def test_what_a_place_does_not_say_is_said_to_be_uncounted(sold):
    """A shop's row knows nothing of the way there, nor of what comes back."""
    said = sold("price", DEMO).out
    assert "Not counted: at shop your time for each sale, what nobody buys; at by post what nobody buys." in said


def test_the_first_place_is_what_every_command_prices_at(sold):
    """Plan, price and quotation ask the same; --at asks for another, and a place nobody named is refused."""
    data = json.loads(sold("price", DEMO, "--json").out)
    first = data["places"][0]
    assert (data["at"], data["price"]["paid"], first["at"]) == ("market", first["paid"], "market")
    assert json.loads(sold("plan", DEMO, "--json").out)["cost"]["price"] == first["paid"]
    shop = json.loads(sold("price", DEMO, "--at", "shop", "--json").out)
    assert shop["price"]["paid"] == data["places"][1]["paid"] != first["paid"]
    sold("price", DEMO, "--at", "shop", "--quote", "q.md")
    assert f"{data['places'][1]['paid']} EUR" in plain("q.md")
    refused = sold("price", DEMO, "--at", "markt")
    assert refused.code == 2
    assert "did you mean market?" in refused.err


def test_a_session_is_priced_at_every_place_too(sold):
    """At the time it took."""
    path = worked(DEMO, 0, lambda step: step.pace_s)
    data = json.loads(sold("price", str(path), "--json").out)
    assert [one["at"] for one in data["places"]] == ["market", "shop", "by post"]
    assert data["places"][0]["each_s"] == pytest.approx(data["costs"]["hours"] * 3600)


def test_the_flat_form_says_what_it_always_said(guide):
    """No table, no place, and nothing in JSON that only places have."""
    said = guide("price", DEMO).out
    assert "floor" not in said
    assert "labour and profit over the hours at the table" in said
    data = json.loads(guide("price", DEMO, "--json").out)
    assert "places" not in data
    assert not {"part", "unsold", "selling", "pitch", "day"} & data["price"].keys()


def test_several_batches_and_sizes_come_in_one_table_the_best_hour_first(guide):
    """Each row is what that plan asks on its own."""
    asked = ("price", DEMO, "--make", "1,3", "--set", "square=5in,6in")
    data = json.loads(guide(*asked, "--json").out)["offers"]
    assert {(one["make"], one["set"]) for one in data} == {
        (make, f"square={size}") for make in (1, 3) for size in ("5in", "6in")
    }
    hours = [Decimal(one["an_hour"]) for one in data]
    assert hours == sorted(hours, reverse=True)
    for one in data:
        alone = guide("price", DEMO, "--set", f"make={one['make']}", "--set", one["set"], "--json").out
        tried = json.loads(alone)["tried"]
        assert (one["paid"], one["an_hour"]) == (tried["price"]["paid"], tried["price"]["hourly"])
    table = rows(guide(*asked).out)
    assert table[0] == ["make", "with", "one takes", "price", "after wage", "your hour", "floor"]
    assert [row[0] for row in table[1:]] == [str(one["make"]) for one in data]
    assert guide(*asked, "--page", "prices.md").code == 0
    assert " ".join(table[1]) in plain("prices.md")


def test_several_articles_at_all_their_places_are_sorted_together(sold, workshop):
    """The other one has one place without a name; at one price given what is left differs only by place and cost."""
    other = workshop / "sessions" / "other"
    other.mkdir()
    text = Path(DEMO, "project.yaml").read_text("utf-8")
    (other / "project.yaml").write_text(
        text.replace(PLACES, FLAT).replace("Window seat cushion", "Other cushion"), "utf-8"
    )
    data = json.loads(sold("price", DEMO, str(other), "--given", "150", "--json").out)["offers"]
    assert sorted((one["title"], one["at"]) for one in data) == [
        ("Other cushion", ""), ("Window seat cushion", "by post"), ("Window seat cushion", "market"),
        ("Window seat cushion", "shop"),
    ]  # fmt: skip
    assert {one["paid"] for one in data} == {"150.00"}
    (flat,) = [one for one in data if not one["at"]]  # [identity] 150 − 6.00 − 0.35 − 3.40 − cost
    assert Decimal(flat["after_wage"]) == Decimal("140.25") - Decimal(flat["cost"])
    path = other / "project.yaml"
    path.write_text(path.read_text("utf-8").replace("currency: EUR", "currency: GBP"), "utf-8")
    refused = sold("price", DEMO, str(other))
    assert refused.code == 2
    assert "EUR, GBP" in refused.err


def test_an_article_without_any_price_stands_last_and_has_no_amounts(guide, workshop):
    """Nothing is asked for it, which is less than any price and no price of 0.00; at a price given it has one."""
    other = workshop / "sessions" / "bare"
    other.mkdir()
    text = Path(DEMO, "project.yaml").read_text("utf-8").replace("Window seat", "Bare").replace(FLAT, "")
    text = re.sub(r",? ?price: [^,}]+", "", text)
    text = re.sub(r"(?m)^(labour|extras):.*$|^  - \{name: cushion pad.*$", "", text)
    (other / "project.yaml").write_text(text, "utf-8")
    said = guide("price", str(other), DEMO).out
    table = rows(said)
    assert [row[0] for row in table[1:]] == ["Window seat cushion", "Bare cushion"]
    assert table[-1][3:] == ["—"] * 4
    assert "has no price at all" in said
    given = json.loads(guide("price", str(other), DEMO, "--given", "50", "--json").out)["offers"]
    assert {one["paid"] for one in given} == {"50.00"}
    assert not any(one["unpriced"] for one in given)


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (("--make", "one,3"), "whole numbers"),
        (("--make", "1,2", "--stall", "60"), "--stall"),
        (("--make", "1,2", "--quote", "q.md"), "--quote"),
        (("--set", "square=3,5 cm"), "write 3.5"),
        (("--make", "1,0"), "make=0"),
        (("--make", ",".join(map(str, range(1, 62)))), "60 at once"),
        (("--make", "1,2", "--at", "shop"), "has no place shop"),
    ],
)
def test_what_no_table_can_tell_is_refused(guide, asked, says):
    """With what to write instead; nothing is written."""
    refused = guide("price", DEMO, *asked)
    assert refused.code == 2
    assert says in refused.err
    assert not Path("q.md").exists()


def test_a_list_is_one_value(guide):
    """Commas inside brackets part nothing: another grid is one price beside the project's own."""
    said = guide("price", DEMO, "--set", "grid={across: 3, down: 3}", "--json")
    assert "tried" in json.loads(said.out)
