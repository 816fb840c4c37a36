"""Quotations kept as they were offered, and what goes with a piece that leaves the house."""

import html
import re
from decimal import Decimal

import pytest

from guide.book.file import read_book
from guide.show.report_cautions import caution
from tests.book.histories import empty_book
from tests.commands.worked import worked

DEMO = "sessions/window-seat-cushion"
EVENINGS = "mon-fri 19:00-21:00, sat 10:00-16:00"


def test_a_quotation_is_kept_as_it_was_offered_and_becomes_the_order(guide, workshop):
    """What was offered stays when the project's prices change; taken, the order has that price."""
    said = guide("order", "quote", DEMO, "--to", "B. Elm", "--due", "2026-12-20", "--valid-until", "2026-12-06",
                 "--by", "Ada Example", "--deposit", "30", "--hours", EVENINGS, "--page", "-")  # fmt: skip
    assert said.code == 0, said.err
    page = said.out
    price = read_book("sessions").offers[1].price
    for words in (
        f"{price}&nbsp;EUR".replace("&nbsp;", " "),
        "B. Elm",
        "Ada Example",
        "20 December 2026",
        "give or take",
    ):
        assert words in page.replace("\u00a0", " "), words
    for words in ("sheds", "Colours differ", "sold out", "catches and burns", "6 December 2026"):
        assert words in page.replace("\u00a0", " "), words
    assert "chance" not in page
    assert "For you alone" in said.err
    path = workshop / DEMO / "project.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("9.60 / yd", "19.60 / yd"), encoding="utf-8")
    assert guide("order", "quotation", "1", "--page", "-").out == page
    assert guide("order", "take", "1", "--paid", "30").code == 0
    order = read_book("sessions").orders[1]
    assert (order.price, order.paid, order.due, order.offer) == (price, 30, "2026-12-20", 1)
    assert guide("order", "take", "1").code == 2


def test_no_washed_size_is_promised_that_nobody_knows(guide, workshop):
    """Cloth that is not washed first and shrinks nobody knows how much: what is offered is the size as sewn."""
    path = workshop / DEMO / "project.yaml"
    whole = path.read_text(encoding="utf-8")
    page = guide("order", "quote", DEMO, "--to", "B. Elm", "--page", "-").out
    assert "size, washed" in page
    assert "as sewn" not in page
    path.write_text(re.sub(r", shrinks: \{[^}]*\}", "", whole, count=1), encoding="utf-8")  # of one print is enough
    page = guide("order", "quote", DEMO, "--to", "B. Elm", "--page", "-").out
    assert "size, washed" not in page
    assert "give or take 1/2 in; washing takes some of it" in page.replace("\u00a0", " ")


def test_what_was_quoted_last_stands_beside_what_was_asked():
    writer = empty_book()
    for number, price in ((1, 90), (2, 110)):
        writer.add(
            {"what": "quoted", "number": number, "count": 1, "amount": Decimal(price), "project": "p", "offer": {}}
        )
    writer.add({"what": "made", "tickets": [1], "project": "p", "title": "runner"})
    assert writer.book.articles[1].quoted == 110


def test_a_buyers_faces_have_no_letters(guide):
    page = guide("order", "quote", DEMO, "--to", "B. Elm", "--page", "-").out
    plan = guide("plan", DEMO, "--page", "-").out
    assert page.count("data-print=") > 10
    assert ">A</text>" in plan
    assert ">A</text>" not in page


def test_a_deposit_may_be_all_of_it_and_no_more(guide):
    argv = ["order", "quote", DEMO, "--to", "B. Elm", "--count", "2", "--price", "100", "--deposit"]
    assert guide(*argv, "200.01").code == 2
    assert guide(*argv, "200").code == 0
    assert read_book("sessions").offers[1].deposit == 200


def test_a_quotation_of_several_says_the_price_of_one_and_of_all(guide):
    """[identity] Three at 120.50 are 361.50."""
    said = guide("order", "quote", DEMO, "--to", "B. Elm", "--count", "3", "--price", "120.50", "--page", "-")
    assert said.code == 0, said.err
    assert "120.50 EUR" in said.out.replace("\u00a0", " ")
    assert "361.50 EUR" in said.out.replace("\u00a0", " ")


@pytest.mark.parametrize(("whom", "minded"), [("anyone", []), ("child", ["small_parts", "threads"]),
                                              ("infant", ["infant", "small_parts", "threads"])])  # fmt: skip
def test_what_to_mind_goes_with_the_piece(guide, workshop, whom, minded):
    """On delivery note and ticket, the whole sentences; for anyone only how it is washed, and fire."""
    path = workshop / DEMO / "project.yaml"
    path.write_text(re.sub(r"(?m)^for: anyone", f"for: {whom}", path.read_text(encoding="utf-8")), encoding="utf-8")
    worked(DEMO, 0, lambda step: step.pace_s)
    guide("order", "add", "M. Oak", "seat cushion", "--price", "90")  # of no project: its piece says which
    guide("book", "enter", "--yes")
    tickets = guide("sell", "--tickets-page", "-").out
    note = guide("order", "deliver", "1", "--tickets", "1", "--note", "-").out
    for name in ("infant", "small_parts", "threads"):
        for page in (note, tickets):
            assert (html.escape(caution(name, "british"), quote=True) in page) == (name in minded), name
    assert caution("fire", "british") in note
    assert "Take the pad out first." in note
