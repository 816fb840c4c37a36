"""What stands on the cards between steps and round a measure is true of what the keys do."""

import re

import pytest
from msgspec.structs import replace

from guide.follow.model import Ask, Desk
from guide.plan.model import Quantity
from guide.record.model import StepRecord
from guide.show.cards import done
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


def _asked(about, **data):
    """The card that asks for the panel's width, opened with m or at the end of its step."""
    plan = samples.plan()
    question = Ask(about, "measure", "Panel width: planned 21 in. …", samples.unanswered, name="panel_width",
                   nudged_mm=21 * samples.INCH, data={"make": 1, "count": 1} | data, optional=about == "measure_done")  # fmt: skip
    moment = samples.scene(plan, samples.record(plan, "join/measure"), Desk(ask=question))
    return "\n".join(flat(line) for line in page(moment, 80, 24).lines)


def test_a_card_whose_enter_writes_a_size_shows_it_and_no_other_does():
    """What stands there as measured is what enter writes; where enter writes none, none stands there."""
    asked, at_end, touched = _asked("measure"), _asked("measure_done"), _asked("measure_done", touched=True)
    for card in (asked, touched):
        assert "● as planned" in card
        assert "enter write it" in card
        assert "█" in card  # the size, set large
    assert "● as planned" not in at_end
    assert "█" not in at_end
    assert "planned 21 in" in at_end
    assert "not measured yet" in at_end
    assert "space done unmeasured" in at_end
    assert "escape done unmeasured" in touched


def test_a_long_question_stands_whole_or_says_that_it_is_cut():
    """On the smallest screen a question that names two steps is read to its end; a longer one ends in a sign."""
    plan, words = (
        samples.plan(),
        "Still to wait after “Press open and glue the zip”: 5 min, no hands needed. Start “Sew it”?",
    )
    for question, end in ((words, "Start “Sew it”?"), (words * 3, "…")):
        ask = Ask(
            "held",
            "choose",
            question,
            samples.unanswered,
            ("not yet: wait for it", "yes: it is over"),
            data={"default": "1"},
        )
        lines = [
            flat(line).strip()
            for line in page(samples.scene(plan, samples.record(plan, "join/rows"), Desk(ask=ask)), 40, 12).lines
        ]
        title = " ".join(lines[: lines.index("1  not yet: wait for it")]).strip()
        assert title.endswith(end)


def test_a_time_that_is_not_counted_is_said_so():
    """No card says that three pieces took 0:00."""
    moment = samples.moments()["done"]
    before = "\n".join(flat(line) for line in page(moment, 100, 24).lines)
    assert "not counted" not in before
    for step in moment.record.steps.values():
        step.laps[-1:] = [replace(lap, counted=False) for lap in step.laps[-1:]]
    after = "\n".join(flat(line) for line in page(moment, 100, 24).lines)
    assert re.search(r"; \d+:\d\d not counted", after)


def test_after_a_skip_no_other_step_stands_there_as_done():
    """The card is what comes next, with what was skipped said on it."""
    moment = samples.moments()["done"]
    done = max((one for one in moment.record.steps.values() if one.state == "done"), key=lambda one: one.ended_n)
    title = next(step.title for step in moment.plan.steps if step.key == done.key)
    assert f"{title} ●" in "\n".join(flat(line) for line in page(moment, 100, 24).lines)
    key = next(step.key for step in moment.plan.steps if moment.record.step(step.key).state == "untouched")
    moment.record.steps[key] = StepRecord(key, state="skipped", ended_n=done.ended_n + 1, why="not today")
    assert f"{title} ●" not in "\n".join(flat(line) for line in page(moment, 100, 24).lines)


@pytest.mark.parametrize(("pieces", "said"), [(1, False), (12, True)])
def test_what_was_counted_is_said_of_a_step_of_several_pieces(pieces, said):
    """Of one there was nothing to count."""
    moment = samples.moments()["done"]
    step = replace(moment.plan.steps[0], pieces=pieces)
    plan = replace(moment.plan, steps=(step, *moment.plan.steps[1:]))
    first = done(replace(moment, plan=plan), step).rows[0]
    assert bool(first.parts[0][1]) == said


@pytest.mark.parametrize("used", [True, False])
def test_the_last_card_and_the_stop_speak_of_pins_where_there_are_any(used):
    """Whoever used none looks for none; what has no word on pins is taken to have some."""
    moments = samples.moments()
    for name, words in (("finish", "All pins out?"), ("paused", "Pins counted")):
        plan = moments[name].plan
        pins = Quantity("pins_used", used, "flag")
        changed = replace(plan, quantities=plan.quantities | {"pins_used": pins})
        text = " ".join(
            " ".join(flat(line) for line in page(replace(moments[name], plan=changed), 80, 24).lines).split()
        )
        assert (words in text) == used, name
        assert ("Pull-test the fringe" in text) == (name == "finish")
