"""What stands on the cards between steps and round a measure is true of what the keys do."""

import pytest
from msgspec.structs import replace

from guide.show.screen.page import page
from guide.show.screen.text import flat
from tests.show import screen_samples as samples
from tests.show.demo import demo_plan


@pytest.mark.parametrize(
    ("own", "words"),
    [
        (0, "hands on for a practised maker."),
        (3, "hands on, 3 of 22 steps at your own pace."),
        (22, "hands on at your own pace."),
    ],
)
def test_the_first_card_says_whose_pace_its_time_rests_on(own, words):
    """The maker's own times are not called a practised maker's. [identity]"""
    moment = samples.moments()["start"]
    paces = {step.key: step.pace_s for step in moment.plan.steps[:own]}
    text = " ".join(" ".join(flat(line) for line in page(replace(moment, paces=paces), 80, 24).lines).split())
    assert words in text


def test_m_is_offered_where_something_can_be_measured():
    """While cutting there is no panel; from the step that first measures one on, m stands among the keys."""
    plan = demo_plan()
    first = next(number for number, step in enumerate(plan.steps) if step.measure)
    for number, step in enumerate(plan.steps):
        moment = samples.scene(plan, samples.record(plan, step.key))
        last = flat(page(moment, 160, 40).lines[-1])
        assert ("m measure" in last) == (number >= first), step.key
