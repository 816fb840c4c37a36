"""A caution that is not on the screen says so, and `w` has it whole: on every step, at every size."""

import itertools

import pytest

from guide.follow.model import Desk
from guide.show.cards import card_of
from guide.show.report_cautions import caution
from guide.show.screen.page import page
from guide.show.screen.text import flat
from tests.show import screen_samples as samples
from tests.show.demo import demo_plan
from tests.show.test_pages_kinds import planned

SIZES = ((40, 12), (47, 14), (60, 16), (62, 20), (80, 24), (100, 30))
PLANS = {"demo": demo_plan(), "infant": planned("for an infant"), "throw": planned("throw")}


def said_with_care(text):
    """The caution's lines of a screen as one text: from its sign to the next blank or other part."""
    lines = text.splitlines()
    at = next((number for number, line in enumerate(lines) if line.lstrip().startswith("▲")), None)
    if at is None:
        return ""
    more = itertools.takewhile(lambda line: line.startswith("   "), lines[at + 1 :])
    return " ".join(" ".join([lines[at], *more]).split())


def at_work(plan, step, beginner=False):
    return samples.scene(plan, samples.record(plan, step.key, lap_ms=9_000), Desk(beginner=beginner))


@pytest.mark.parametrize("beginner", [False, True])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", PLANS)
def test_what_is_cut_of_a_step_s_cautions_says_so(name, size, beginner):
    """Every sentence of every caution stands on the screen, or the last word is that there is more behind w."""
    plan = PLANS[name]
    for step in plan.steps:
        if not step.cautions:
            continue
        text = "\n".join(flat(line) for line in page(at_work(plan, step, beginner), *size).lines)
        care = said_with_care(text)
        whole = all(caution(one, "british") in care for one in step.cautions)
        assert whole or care.endswith(("more: w", "… w")), (step.key, care)
        assert not whole or "…" not in care


def test_the_sign_counts_the_cautions_that_are_not_whole():
    """As many as of the step's cautions are not on the screen from end to end. [identity]"""
    plan, counted = PLANS["demo"], []
    for step in plan.steps:
        care = said_with_care("\n".join(flat(line) for line in page(at_work(plan, step), 80, 24).lines))
        if care.endswith("more: w"):
            counted.append(sum(caution(one, "british") not in care for one in step.cautions))
            assert care.endswith(f"… {counted[-1]} more: w")
    assert counted


def test_why_has_every_caution_whole():
    """Behind `w` nothing of a caution is cut: on the smallest screen it scrolls."""
    for plan in PLANS.values():
        for step in plan.steps:
            scene = samples.scene(plan, samples.record(plan, step.key), Desk(view="why"))
            text = " ".join("".join(said for _, said in row.parts) for row in card_of(scene).rows)
            assert all(caution(one, "british") in text for one in step.cautions), step.key


def test_the_first_card_says_that_steps_have_cautions_of_their_own():
    """Before the first step three lines of care are shown; the others are told of. [practice]"""
    plan = PLANS["demo"]
    scene = samples.scene(plan, samples.Record(header=samples.header(), count=1, last=samples.reading()))
    text = " ".join(" ".join(flat(line) for line in page(scene, 80, 24).lines).split())
    assert "more, each at its step" in text
