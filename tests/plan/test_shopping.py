"""What is bought: by counter, in what shops sell, cloth on hand first, money to the cent."""

from decimal import Decimal

import msgspec

from guide.plan.cutting.cut import cut
from guide.plan.cutting.strips import Bolt
from guide.plan.model import Buy, Cutting, Part
from guide.plan.shopping import Errand, after_cutting, shop_together, used_cost, used_costs
from guide.read.model import Extra, Given, Labour, Print, Project, Rate, Remnant, Sell

IN = 25.4
PER_YARD = Rate(Decimal("9.60"), 914.4)


def project(**changes):
    """An invented project with two prints, wadding, a pad and thread."""
    made = Project(
        title="Stool pad", kind="cushion", for_whom="anyone", make=2, units="inch", words="british",
        across=2, down=2, above=1, below=1, closure="zip", back="patchwork", back_cloth=None, quilting="cross",
        prints=(
            Print("moss check", width=44 * IN, price=PER_YARD),
            Print("oat stripe", width=44 * IN, on_hand=(Remnant(18 * IN, 22 * IN, 2),)),
        ),
        wadding=True, wadding_price=Rate(Decimal("11.00"), 914.4), stages=(),
        extras=(Extra("cushion pad", Decimal("7.50")), Extra("label tape", Decimal("1.20"), "project")),
        labour=Labour(), sell=Sell(), currency="EUR", thread_price=Decimal("2.90"),
        given={"wadding_width": Given("wadding_width", 90 * IN, "length")}, file="project.yaml", text="",
    )  # fmt: skip
    return msgspec.structs.replace(made, **changes)


def cuts(material, use_mm, step=114.3):
    """A cutting that takes so much from the bolt."""
    steps = -(-use_mm // step)
    return Cutting(material, use_mm, steps * step, 0.0, 0, 0, ())


def test_the_list_goes_counter_by_counter_in_what_shops_sell():
    """5 in of cloth is a quarter yard; 2 pads for 2 makes, 1 tape; zips, then thread. [identity, practice: 1/8 yd]"""
    bought = shop_together([Errand(project(), (cuts("wadding", 200.0), cuts("moss check", 127.0)), 2, 14 * IN)])
    assert bought == (
        Buy("cloth", "moss check", "0.25", "yd", "9.60", "2.40", "9.60 / yd"),
        Buy("wadding", "wadding", "0.25", "yd", "11.00", "2.75", "11.00 / yd"),
        Buy("notions", "zip, 14 in", "2", "each", None, None),
        Buy("notions", "cushion pad", "2", "each", "7.50", "15.00", "7.50"),
        Buy("notions", "label tape", "1", "each", "1.20", "1.20", "1.20"),
        Buy("thread", "thread", "2", "spool", "2.90", "5.80", "2.90"),
    )


def test_a_metric_project_buys_by_ten_centimetres_and_prices_by_the_metre():
    """250 mm is 0.3 m; 9.60 a yard is 10.50 a metre (9.60 / 0.9144 = 10.4987), shown as written. [source: yard = 0.9144 m, 1959]"""
    (line,) = shop_together([Errand(project(units="metric", extras=()), (cuts("moss check", 250.0, 100.0),))])
    assert line == Buy("cloth", "moss check", "0.3", "m", "10.50", "3.15", "9.60 / yd")


def test_what_is_on_hand_is_not_bought_and_what_has_no_price_says_so():
    """No line for cloth that costs no length; None, never 0.00, for a price not given. [identity]"""
    lines = shop_together([Errand(project(extras=()), (cuts("moss check", 0.0), cuts("oat stripe", 100.0)))])
    assert lines == (Buy("cloth", "oat stripe", "0.125", "yd", None, None),)


def test_lengths_of_several_projects_are_added_before_rounding_up():
    """Three times 30 mm is 90 mm, one eighth of a yard, not three; thread is added as it is. [identity]"""
    errand = Errand(project(extras=()), (cuts("moss check", 30.0),), 1)
    lines = shop_together([errand] * 3)
    assert [(line.item, line.quantity) for line in lines] == [("moss check", "0.125"), ("thread", "3")]
    assert lines[1].cost == "8.70"


def test_used_cloth_costs_less_than_bought_cloth():
    """127 mm at 9.60 a yard: 127 / 914.4 · 9.60 = 1.33; bought 228.6 mm: 2.40. [identity]"""
    (cost,) = used_costs(project(), (cuts("moss check", 127.0),))
    assert (cost.material, cost.used, cost.bought) == ("moss check", Decimal("1.33"), Decimal("2.40"))
    assert used_cost(project(), (cuts("moss check", 127.0), cuts("wadding", 914.4))) == Decimal("12.33")


def test_cloth_on_hand_that_is_used_has_its_worth():
    """Eleven 4 in squares are 176 sq in: 4 in of 44 in cloth, 1.07 at 9.60 a yard. [identity]"""
    parts = [Part("square", "moss check", 4 * IN, 4 * IN, 11)]
    cutting = cut("moss check", parts, None, [Remnant(44 * IN, 4 * IN)])
    (cost,) = used_costs(project(), (cutting,))
    assert (cost.used, cost.bought) == (Decimal("1.07"), Decimal("0.00"))


def test_pieces_not_touched_stay_whole():
    """One fat quarter of two is cut: the other is still there, with the rest of the first. [identity]"""
    shelf = (Remnant(18 * IN, 22 * IN, 2),)
    done = cut("oat stripe", [Part("square", "oat stripe", 18 * IN, 11 * IN, 1)], None, shelf)
    left = after_cutting(shelf, done)
    assert left[0] == Remnant(18 * IN, 22 * IN, 1)
    assert [(round(rest.width / IN, 6), round(rest.length / IN, 6)) for rest in left[1:]] == [(18, 11)]


def test_bolt_and_list_agree():
    """What the cutting buys is what the list says: 48 of 11 in, 3 to a strip of 42 in: 16 strips, 5 yd, 48.00. [identity]"""
    cutting = cut("moss check", [Part("square", "moss check", 11 * IN, 11 * IN, 48)], Bolt(42 * IN), ())
    (line,) = shop_together([Errand(project(extras=()), (cutting,))])
    assert (line.quantity, line.unit, line.cost) == ("5", "yd", "48.00")


def test_what_is_bought_costs_what_the_list_says():
    """Half a yard at 12.35 is 6.175: half a cent up, 6.18, in both places. [identity]"""
    at = Rate(Decimal("12.35"), 914.4)
    of = project(prints=(Print("moss check", width=44 * IN, price=at), Print("oat stripe", width=44 * IN)))
    cutting = cuts("moss check", 457.2)
    (cost,) = used_costs(of, (cutting,))
    line = next(one for one in shop_together([Errand(of, (cutting,))]) if one.item == "moss check")
    assert (line.cost, cost.bought, cost.used) == ("6.18", Decimal("6.18"), Decimal("6.18"))
