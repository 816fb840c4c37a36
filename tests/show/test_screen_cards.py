"""What stands on the cards between steps and round a measure is true of what the keys do."""

import pytest
from msgspec.structs import replace

from guide.show.screen.page import page
from guide.show.screen.text import flat
from tests.show import screen_samples as samples


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
