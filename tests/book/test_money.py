"""Money: a year of random sales against plain sums; nothing of one currency in another's sum."""

import csv
import io
import json
import random
from collections import Counter, defaultdict
from datetime import date, timedelta
from decimal import Decimal

import pytest

from guide.book import answers
from guide.book.answers import ledger
from guide.book.file import read_book
from guide.book.model import Lot, Period, Unfit
from tests.book.histories import empty_book
from tests.record.faults import FULL

YEAR = date(2026, 1, 1)
ARTICLES = ("seat cushion", "throw", "runner")
PLACES = ("stall", "corner shop", "friends", "")


def cents(rng: random.Random, least: int, most: int) -> Decimal:
    return Decimal(rng.randint(least, most)) / 100


class Sums:
    """The plain sums: kept beside the book, with no code of the program's."""

    def __init__(self) -> None:
        self.got, self.tax, self.fee, self.packing, self.cost = (defaultdict(Decimal) for _ in range(5))
        self.hours, self.sold = defaultdict(float), Counter()
        self.stock, self.spent, self.other = defaultdict(Decimal), defaultdict(Decimal), defaultdict(Decimal)

    def sale(self, key, sign, got, tax, fee, packing, cost, hours) -> None:  # noqa: PLR0917 - a row of a ledger
        for total, one in (
            (self.got, got),
            (self.tax, tax),
            (self.fee, fee),
            (self.packing, packing),
            (self.cost, cost),
        ):
            total[key] += sign * one
        self.hours[key] += sign * hours
        self.sold[key] += sign


def year(seed: int):
    """A year's lines, and what they come to by plain sums: by (article, currency), and by currency."""
    rng, writer, sums = random.Random(seed), empty_book(), Sums()
    stock, sold = [], []
    for step in range(400 if FULL else 120):
        on = (YEAR + timedelta(days=step * 365 // (400 if FULL else 120))).isoformat()
        what = rng.choice(("made", "sold", "sold", "sold", "returned", "bought", "stall"))
        if what == "made":
            first = max(writer.book.articles, default=0) + 1
            currency = "EUR" if rng.random() < 0.8 else "SEK"
            one = (rng.choice(ARTICLES), currency, cents(rng, 300, 4000), rng.randint(30, 400) / 60)
            tickets = list(range(first, first + rng.randint(1, 4)))
            writer.add({"what": "made", "on": on, "tickets": tickets, "title": one[0], "currency": currency,
                        "cost": one[2], "hours": one[3], "amount": cents(rng, 3000, 20_000)})  # fmt: skip
            stock += [(ticket, *one) for ticket in tickets]
            sums.stock[currency] += one[2] * len(tickets)
        elif what == "sold" and stock:
            ticket, title, currency, cost, hours = stock.pop(rng.randrange(len(stock)))
            got = cents(rng, 1000, 20_000)
            tax, fee, packing = (cents(rng, 0, 500) for _ in range(3))
            writer.add({"what": "sold", "on": on, "tickets": [ticket], "amount": got, "tax": tax, "fee": fee,
                        "packing": packing, "currency": currency, "place": rng.choice(PLACES)})  # fmt: skip
            sums.sale((title, currency), 1, got, tax, fee, packing, cost, hours)
            sums.stock[currency] -= cost
            sold.append((ticket, title, currency, cost, hours, got, tax, fee))
        elif what == "returned" and sold:
            ticket, title, currency, cost, hours, got, tax, fee = sold.pop(rng.randrange(len(sold)))
            writer.add({"what": "returned", "on": on, "tickets": [ticket]})
            sums.sale((title, currency), -1, got, tax, fee, Decimal(0), cost, hours)
            sums.stock[currency] += cost
            stock.append((ticket, title, currency, cost, hours))
        elif what == "bought":
            money = cents(rng, 500, 6000)
            writer.add({"what": what, "on": on, "cloth": "oat stripe", "lots": [Lot(1000, 1000)], "amount": money,
                        "currency": "EUR"})  # fmt: skip
            sums.spent["EUR"] += money
        elif what == "stall":
            money = cents(rng, 1000, 6000)
            writer.add({"what": what, "on": on, "place": "market", "amount": money, "currency": "EUR", "hours": 6.0})
            sums.other["EUR"] += money
    return writer.book, sums


@pytest.mark.parametrize("seed", range(20 if FULL else 4))
def test_a_year_comes_to_the_plain_sums(seed):
    book, sums = year(seed)
    assert not book.problems
    found = {(one.name, one.currency): one for one in answers.by_article(book)}
    assert found.keys() == sums.got.keys()
    for key, one in found.items():
        assert (one.got, one.tax, one.fees, one.packing, one.cost) == tuple(
            total[key] for total in (sums.got, sums.tax, sums.fee, sums.packing, sums.cost)
        )
        assert one.sold == sums.sold[key]
        assert one.hours == pytest.approx(sums.hours[key], abs=1e-9)
        if sums.hours[key] > 1e-9:
            left = sums.got[key] - sums.tax[key] - sums.fee[key] - sums.packing[key] - sums.cost[key]
            assert float(one.an_hour) == pytest.approx(float(left) / sums.hours[key])
    for one in answers.in_all(book):
        assert one.got == sum(got for (_, currency), got in sums.got.items() if currency == one.currency)
    assert {name: worth for name, worth in answers.stock_worth(book).items() if worth} == {
        name: worth for name, worth in sums.stock.items() if worth
    }
    assert answers.spent_in(book, Period()) == sums.spent
    assert answers.added((c.currency, c.amount) for c in answers.costs_in(book, Period())) == sums.other


def test_a_period_and_what_is_outside_it_come_to_the_whole():
    """Every day lies in one of two halves, the days at their edges too."""
    book, _ = year(11)
    halves = [answers.in_all(book, Period("", "2026-06-30")), answers.in_all(book, Period("2026-07-01", ""))]
    for one in answers.in_all(book):
        parts = [part for half in halves for part in half if part.currency == one.currency]
        assert sum(part.got for part in parts) == one.got
        assert sum(part.sold for part in parts) == one.sold


def test_the_bookkeepers_rows_come_to_the_same():
    book, sums = year(5)
    rows = ledger(book, Period())
    for currency in ("EUR", "SEK"):
        mine = [row for row in rows if row.currency == currency and row.kind in {"sale", "return"}]
        assert sum(row.gross for row in mine) == sum(got for (_, c), got in sums.got.items() if c == currency)
        assert all(row.net == row.gross - row.tax - row.fee - row.packing for row in rows)
    assert [row.date for row in rows] == sorted(row.date for row in rows)


def test_the_bookkeepers_rows_by_hand(guide):
    """50.00 with 20 % tax in it, 8.33, and 10 % fee, 5.00; 45.00 paid back take 7.50 and 4.50 of them back [identity]."""
    guide("book", "made", "runner", "--cost", "5", "--hours", "2 h", "--price", "50")
    guide("sell", "1", "--got", "50", "--tax", "20%", "--fee", "10%", "--on", "2026-03-01")
    guide("sell", "1", "--returned", "--got", "45", "--on", "2026-03-02")
    guide("book", "cost", "12.50", "needles", "--on", "2026-03-03")
    rows = list(csv.DictReader(io.StringIO(guide("export", "book", "--csv").out)))
    names = ("kind", "gross", "tax", "fee", "net", "cost_of_goods", "hours")
    assert [tuple(row[name] for name in names) for row in rows] == [
        ("sale", "50.00", "8.33", "5.00", "36.67", "5.00", "2.0"),
        ("return", "-45.00", "-7.50", "-4.50", "-33.00", "-5.00", "-2.0"),
        ("cost", "-12.50", "0.00", "0.00", "-12.50", "0.00", "0.0"),
    ]


def test_what_earns_most_an_hour_comes_first_by_hand(guide):
    """By hand: 120 less 4 % fee (4.80), 20 materials: 95.20 over 4 h is 23.80; 60 less 10: 50 over 1 h is 50.00."""
    guide("book", "made", "seat cushion", "--cost", "20", "--hours", "4 h", "--price", "130")
    guide("book", "made", "runner", "--cost", "10", "--hours", "1 h", "--price", "60")
    assert guide("sell", "1", "--got", "120", "--fee", "4%", "--at", "stall").code == 0
    assert guide("sell", "2", "--got", "60", "--at", "friends").code == 0
    data = json.loads(guide("book", "--json").out)
    assert [(one["name"], one["an_hour"]) for one in data["articles"]] == [
        ("runner", "50.00"),
        ("seat cushion", "23.80"),
    ]
    assert [(one["asked"], one["asked_got"]) for one in data["articles"]] == [("60.00", "60.00"), ("130.00", "120.00")]
    page = guide("book").out
    assert page.index("runner") < page.index("seat cushion")


def test_a_tax_rate_is_of_the_price_before_it(guide):
    """20 % in 120.00 is 20.00 [HMRC: 20 % on 100 is 120]; a fee's share is of what the buyer paid: 4 % is 4.80."""
    guide("book", "made", "runner")
    guide("sell", "1", "--got", "120", "--tax", "20%", "--fee", "4%")
    (sale,) = read_book("sessions").sales
    assert (sale.tax, sale.fee, sale.net) == (Decimal("20.00"), Decimal("4.80"), Decimal("95.20"))


def test_a_piece_is_sold_once_and_may_come_back(guide):
    guide("book", "made", "runner", "--count", "2", "--cost", "5")
    assert guide("sell", "1", "--got", "50").code == 0
    assert guide("sell", "1", "--got", "60").code == 2
    assert guide("sell", "2", "--sent", "corner shop").code == 0
    assert guide("sell", "2", "--sent", "another").code == 2
    assert guide("sell", "1", "--returned", "--got", "45").code == 0
    book = read_book("sessions")
    assert sum(sale.got for sale in book.sales) == 5
    assert book.articles[1].sale is None
    assert "corner shop" in guide("sell").out
    assert guide("sell", "7", "--got", "50").code == 2


def test_what_several_pieces_got_is_told_of_each_and_in_all(guide):
    """--got is of each: who meant all of them sees it at once, and what was asked of every one. [identity]"""
    for asked in ("80", "70"):
        guide("book", "made", "cushion", "--price", asked)
    assert guide("sell", "1,2", "--got", "70").err.startswith(
        "Sold: 1 and 2, for 70.00 EUR each, 140.00 EUR in all. Asked: 80.00 and 70.00."
    )
    guide("book", "undo")
    assert "Asked" not in guide("sell", "2", "--got", "70").err
    assert guide("sell", "1", "--got", "75").err.startswith("Sold: 1, for 75.00 EUR. Asked: 80.00.")


def test_two_currencies_are_never_one_sum():
    writer = empty_book()
    for ticket, currency in ((1, "EUR"), (2, "SEK")):
        writer.add({"what": "made", "tickets": [ticket], "title": "runner", "currency": currency, "cost": Decimal(1)})
        writer.add({"what": "sold", "tickets": [ticket], "amount": Decimal(10), "currency": currency})
    assert {(one.currency, one.got) for one in answers.in_all(writer.book)} == {("EUR", 10), ("SEK", 10)}
    writer.add({"what": "ordered", "number": 1, "count": 1, "currency": "EUR", "amount": Decimal(10)})
    with pytest.raises(Unfit, match="another currency"):
        writer.add({"what": "paid", "number": 1, "amount": Decimal(10), "currency": "SEK"})


@pytest.mark.parametrize("text", ["=1+2", "+1", "-1", "@cmd", "\t=1", "=HYPERLINK(1)"])
def test_no_cell_is_taken_for_a_formula(guide, text):
    """Cells that begin with = + - @, a tab or a return may run as formulas [OWASP: CSV Injection]."""
    guide("book", "made", "runner", "--cost", "5")
    guide("book", "cost", "12.50", "--", text)
    assert guide("sell", "1", "--got", "50", "--to", text, "--at", text).code == 0
    rows = list(csv.DictReader(io.StringIO(guide("export", "book", "--csv").out)))
    assert len(rows) == 2
    for row in rows:
        for name, cell in row.items():
            number = name in {"gross", "tax", "fee", "packing", "net", "cost_of_goods", "hours"}
            assert number or not cell.lstrip().startswith(("=", "+", "-", "@")), (name, cell)
            assert not number or Decimal(cell).is_finite()


def test_from_and_to_choose_the_days(guide):
    guide("book", "made", "runner", "--count", "2")
    guide("sell", "1", "--got", "50", "--on", "2026-03-31")
    guide("sell", "2", "--got", "60", "--on", "2026-04-01")
    rows = list(csv.DictReader(io.StringIO(guide("export", "book", "--from", "2026-04-01", "--to", "2026-04-30").out)))
    assert [row["gross"] for row in rows] == ["60.00"]
    data = json.loads(guide("book", "--json", "--to", "2026-03-31").out)
    assert [one["got"] for one in data["all"]] == ["50.00"]
    assert guide("export", "all", "--from", "2026-04-01").code == 2


def test_a_stall_sheet_is_typed_in_at_once_all_or_none(guide):
    guide("book", "made", "runner", "--count", "3")
    assert guide("sell", "1=50,2=45.50", "--at", "market", "--fee", "10%", "--on", "2026-11-07").code == 0
    book = read_book("sessions")
    assert [(sale.ticket, sale.got, sale.fee, sale.place, sale.on) for sale in book.sales] == [
        (1, 50, 5, "market", "2026-11-07"), (2, Decimal("45.50"), Decimal("4.55"), "market", "2026-11-07")]  # fmt: skip
    for wrong in ("3=40,1=60", "3=40,3=40", "3=", "3=much", "=5", "3=40,x"):
        assert guide("sell", wrong).code == 2, wrong
    assert guide("sell", "3=40", "--got", "5").code == 2
    assert len(read_book("sessions").sales) == 2
