"""When it goes wrong at the needle: the hands first, then whoever gets the piece; on paper and at the machine alike."""

import re

import pytest

from guide.record.model import StepRecord
from guide.show.cards import trouble
from guide.show.lines import printed
from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.price import render_tickets
from guide.show.report_cautions import caution, first_aid
from guide.show.scene import Scene
from tests.follow.samples_session import Bench
from tests.show import screen_samples as samples
from tests.show.demo import demo_plan
from tests.show.samples import full_report
from tests.show.samples import record as record_of

# Each beside the one before it, in the order in which it is safe [practice].
JAM = (
    "Foot off the pedal, machine off.",
    "Presser foot up, needle up by the wheel, towards you unless the machine's book says otherwise.",
    "Cut the threads above and below. Never pull.",
    "its flat side as the machine's book says, on most to the back, pushed home.",
)
BROKEN = (
    "Foot off the pedal, machine off.",
    "Lay the pieces beside a new needle until it is whole.",
    "Not found? The piece is neither sold nor given.",
    "Draw a thread over plate and hook. Where it catches is a burr",
    "its flat side as the machine's book says, on most to the back, pushed home.",
)
CARDS = {"bobbin": JAM, "thread": JAM, "needle": BROKEN, "unpick": ("Foot off the pedal, machine off, before fingers",)}


def in_order(text: str, sentences: tuple[str, ...]) -> bool:
    """Whether every sentence stands in a text whole, one after another."""
    said, at = " ".join(text.split()), 0
    for sentence in sentences:
        at = said.find(sentence, at)
        if at < 0:
            return False
        at += len(sentence)
    return True


@pytest.mark.parametrize("why", CARDS)
def test_the_screens_card_says_first_what_keeps_the_hands_safe(why):
    """Before anything of the step or of the clock, and whole."""
    plan = demo_plan()
    record = samples.record(plan, "quilt/cross", doing="trouble", doing_why=why)
    card = trouble(samples.scene(plan, record))
    text = "\n".join("".join(said for _, said in row.parts) for row in card.rows)
    assert in_order(text, (*CARDS[why], "The time counts as work"))
    assert text.startswith("Foot off the pedal, machine off")


@pytest.mark.parametrize(("key", "why"), [("1", "bobbin"), ("2", "thread"), ("3", "needle"), ("4", "unpick")])
def test_the_lines_say_the_same(key, why):
    """Read aloud it is the same card."""
    bench = Bench().open("Sew the cross")
    bench.press("t", key)
    assert bench.record.doing_why == why
    at = bench.session
    moment = Scene(at.plan, at.record, at.desk, bench.clock.read())
    said = [line.removeprefix("Caution: ") for line in printed(moment, trouble(moment))]
    assert in_order("\n".join(said), (*CARDS[why], "The time counts as work"))
    assert said[0] == f"Trouble: {why}."
    assert said[1].startswith("Foot off the pedal, machine off")
    assert said[-1] == "Enter: mended, go on."


@pytest.mark.parametrize("fmt", ["html", "md"])
def test_a_beginners_paper_has_both_cards(fmt):
    """Jam and broken needle each under a heading of their own."""
    page = render_checklist(full_report(), fmt).replace("&#39;", "'")
    jam, broken = page.index("If it jams"), page.index("If a needle breaks")
    assert in_order(re.sub(r"</?li>", "\n", page[jam:broken]), JAM)
    assert in_order(re.sub(r"</?li>", "\n", page[broken:]), BROKEN)


def test_the_wheels_way_is_told_at_setting_up_in_the_caution_and_on_the_card():
    """Which way it turns is the machine's book's to say; towards you is usual [practice]."""
    way = "towards you unless the machine's book says otherwise"
    (setting,) = [step for step in demo_plan().steps if step.key == "quilt/set"]
    assert way in setting.texts["beginner"]
    assert "machine" in setting.cautions
    assert way in caution("machine", "british")
    assert way in " ".join(first_aid("bobbin", "american"))


@pytest.mark.parametrize("fmt", ["html", "md"])
def test_a_check_that_was_skipped_stands_on_log_and_slip(fmt):
    """With its reason and what is to be done; a check that was done is not spoken of."""
    plan = demo_plan()
    rec = record_of(plan)
    rec.steps = {step.key: StepRecord(step.key, "done", step.pieces) for step in plan.steps}
    rec.steps["safety/pins"] = StepRecord("safety/pins", "skipped", why="we used clips")
    told = "Count the pins in: skipped (we used clips). It protects whoever has the piece: do it before it is sold or given"
    full = full_report(plan, rec=rec)
    for page in (render_log(full, fmt), render_tickets(full, fmt)):
        assert told in page
        assert "Feel it over by hand: " not in page
    rec.steps["safety/pins"] = StepRecord("safety/pins", "done", 1)
    assert "Count the pins in: " not in render_log(full_report(plan, rec=rec), fmt)
