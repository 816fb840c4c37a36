"""What goes with the piece: how it is washed, what it must not come near, and what to look up before it is sold.

Common practice but for what has its source beside it; said one way by the steps, on the log and on the buyer's slip.
"""

import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from guide.plan.make import make_plan
from guide.show.pages.log import render_log
from guide.show.pages.price import render_tickets
from guide.show.report import plan_report
from guide.show.report_cautions import caution, washing
from guide.show.words import render_step
from tests.commands.conftest import guide, workshop
from tests.plan.sums_of import ENVELOPE, THROW, cushion, read, shipped
from tests.show.samples import full_report, record

__all__ = ["guide", "workshop"]
FIRE = "A frayed cotton edge catches and burns fast: keep it away from fires, heaters and candles."
SELLING = "Check what applies where you sell"
KINDS = {"zip": {}, "envelope": {"closure": ENVELOPE}, "throw": THROW, "no wadding": {"wadding": "none"}}


def plan_of(**changes):
    return make_plan(read(cushion(**changes)), shipped())


def pages(plan, fmt):
    full = full_report(plan, rec=record(plan))
    return [re.sub(r"\s+", " ", page(full, fmt).replace("&#39;", "'")) for page in (render_log, render_tickets)]


@pytest.mark.parametrize("fmt", ["html", "md"])
@pytest.mark.parametrize("kind", KINDS)
def test_washing_is_said_one_way_on_step_log_and_slip(kind, fmt):
    """Cool and gentle, the first time alone and in a bag, low heat or the line; nothing else said of it anywhere."""
    plan = plan_of(**KINDS[kind])
    texts = {step.key: render_step(plan, step)["do"] for step in plan.steps}
    load, dry = texts["wash/load"], texts["wash/dry"]
    assert "Into a laundry bag, a load of its own" in load.replace("\n", " ")
    assert re.search(
        r"cool and gentle\. At most \S+ (\S+ )?(lb|kg): this is \S+ (\S+ )?(oz|lb|g|kg), by its cloth\.$", load
    )
    assert "Low heat or the line" in dry
    for page in pages(plan, fmt):
        assert "Wash it cool and gentle: the first time alone and in a laundry bag, later with like colours." in page
        assert "Dry it on low heat or on the line; clean the filter before and after." in page
        assert ("Take the pad out first. " in page) == (kind != "throw")
        assert ("Shut the zip." in page) == ("Zip shut." in load) == (kind in {"zip", "no wadding"})
        assert ("No hot iron on the wadding." in page) == (kind != "no wadding")
        assert not re.search(r"[Ww]ash(ed)? (gently|warm|hot)|at the heat|\d+ ?°", page)
    american = replace(plan_report(plan).project, back="none", closure="none", wadding=True, words="american")
    assert washing(american).endswith("the batting.")


@pytest.mark.parametrize("fmt", ["html", "md"])
def test_fire_is_told_of_any_frayed_cotton(fmt):
    """Brushed or not, a raised edge burns fast [practice]: on log, slip and at the last step."""
    plan = plan_of()
    assert caution("fire", "british") == FIRE
    assert all(FIRE in page for page in pages(plan, fmt))
    (finish,) = [step for step in plan.steps if step.key == "wash/finish"]
    assert "frayed cotton burns fast: no fire, heater or candle near it" in render_step(plan, finish)["do"].replace(
        "\n", " "
    )


@pytest.mark.parametrize("fmt", ["html", "md"])
def test_the_log_of_a_piece_that_is_sold_says_what_to_look_up(fmt):
    """Fibre labels, fire rules, children's rules differ by country [source: EU 1007/2011; UK SI 1988/1324; US 16 CFR]."""
    sold, kept = (pages(plan_of(**more), fmt)[0] for more in ({"sell": {"margin": "30 %"}}, {}))
    assert SELLING in sold
    assert SELLING not in kept


def test_terminal_and_quotation_say_it_too(guide):
    """Whoever asks for a price is about to sell."""
    said = guide("price", "sessions/window-seat-cushion")
    assert SELLING in said.out
    for page in ("quote.html", "quote.md"):
        said = guide("price", "sessions/window-seat-cushion", "--quote", page)
        assert said.code == 0
        assert SELLING in said.err
        words = re.sub(r"base64,[\w+/=]+", "", Path(page).read_text(encoding="utf-8"))  # a typeface has no words
        assert "sell" not in words.lower()  # the buyer's, not the maker's


@pytest.mark.parametrize("fmt", ["html", "md"])
def test_it_is_said_once_on_the_maker_s_slip(fmt):
    """Once beside the ticket, whatever the page's foot says."""
    assert pages(plan_of(), fmt)[1].lower().count("where you sell") == 1
