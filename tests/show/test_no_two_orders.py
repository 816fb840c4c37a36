"""Of twelve kinds of project every page is read whole: no two orders of it contradict each other.

Common practice of the trade [practice]; each rule is one that a reading of the printed pages found broken, or nearly.
"""

import re
from functools import cache

import pytest

from guide.money.checklist import beginner_factors, checklist_times
from guide.money.forecast import forecast
from guide.money.paces import NONE
from guide.money.quote import price_plan
from guide.plan.make import make_plan
from guide.read.places import open_project
from guide.show.pages import render_checklist, render_log, render_plan, render_quote, render_tickets
from guide.show.report import report
from guide.show.report_cautions import caution
from guide.show.report_money import cost_report
from tests.plan.sums_of import ENVELOPE, THROW, cushion, read, shipped
from tests.plan.test_sums_kinds import KINDS as OWN
from tests.show.samples import record

SOLD = {"sell": {"margin": "30 %", "packing": 3.4}, "labour": {"rate": "18.00 / hour"}}
KINDS = {
    "throw": THROW,
    "cushion": {},
    "infant": THROW | {"for": "infant"},
    "child": {"for": "child"},
    "sold": SOLD,
    "ten": {"make": 10},
    "envelope": {"closure": ENVELOPE},
    "pinned": {"hold_with": "pins"},
    "pinned, not quilted": {"hold_with": "pins", "quilting": "none"},
    "sprayed": {"wadding": "none"},
    "washed first": {"washed_first": True},
    "metric": {"units": "metric", "words": "american"},
    "ties": None,
    "buttons": None,
}
PAGES = (render_plan, render_checklist, render_log, render_tickets, render_quote)


@cache
def plan_of(kind):
    if KINDS[kind] is not None:
        return make_plan(read(cushion(**KINDS[kind])), shipped())
    opened = open_project(OWN / {"ties": "tied-cushion", "buttons": "buttoned-cushion"}[kind], {})
    return make_plan(opened.project, opened.language)


@cache
def told(kind):
    """The report of a kind with its day, its record and its price."""
    plan = plan_of(kind)
    rows = checklist_times(plan, NONE, "10:00", beginner_factors(plan))
    cost = cost_report(plan, price_plan(plan, forecast(plan, NONE)))
    return report(plan, record(plan), rows=rows, beginner=True, texts=True, cost=cost)


@cache
def pages(kind):
    """Every page of a kind as one reads it, by its name."""
    return {page.__name__.removeprefix("render_"): page(told(kind), "markdown") for page in PAGES}


def orders(kind):
    """What the hands are told, step by step: the step, and all its words."""
    return [(step, " ".join(step.texts.values())) for step in told(kind).steps]


every = pytest.mark.parametrize("kind", KINDS)


@every
def test_no_caution_stands_twice_in_one_list(kind):
    """A sentence said twice in a row is read as two different ones."""
    for name, page in pages(kind).items():
        for part in re.split(r"\n#+ |\n- \[ \] ", page):
            lines = [line.strip("-▲ ") for line in part.split("\n") if line.strip().startswith(("- ▲", "▲", "- "))]
            twice = {line for line in lines if lines.count(line) > 1 and line.endswith(".")}
            assert not twice, (name, twice)


@every
def test_the_wheel_turns_one_way_and_the_machine_s_book_has_the_last_word(kind):
    """Towards you, unless the book says otherwise: wherever a direction stands, both stand."""
    for name, page in pages(kind).items():
        for found in re.finditer(r"[Ww]heel[^.]*\b(towards|away from)\b[^.]*", page):
            assert "towards you unless the machine's book says otherwise" in found[0], (name, found[0])
    assert "towards you unless" in pages(kind)["checklist"]


@every
def test_blades_go_away_from_the_hand(kind):
    """Cutter and unpicker away from yourself, and nothing sharp pushed towards the hand that holds."""
    for step, text in orders(kind):
        for found in re.finditer(r"[^.]*\b([Cc]utter|[Uu]npicker|[Ss]eam ripper|cut)\b[^.]*\btowards\b[^.]*", text):
            assert "never towards the hand that holds" in found[0], (step.key, found[0])


@every
def test_what_is_glued_sees_no_heat_until_it_is_washed(kind):
    """Between the spray and the wash no block, front or panel is ironed or tumbled; only the back is pressed."""
    keys = [step.key for step in told(kind).steps]
    sprayed = [i for i, (step, _) in enumerate(orders(kind)) if "spray" in step.cautions and "stack/" in step.key]
    if not sprayed:
        return
    assert any("No hot iron or dryer on it now until it has been washed." in text for _, text in orders(kind))
    for step, _ in orders(kind)[sprayed[0] : keys.index("wash/load")]:
        if step.station in {"iron", "washer"} or "iron" in step.cautions:
            assert step.stage in {"closure", "ties", "buttons"}, step.key


@every
def test_pins_that_went_in_are_counted_in_before_the_wash(kind):
    """The count comes after the last pin and before washer, and speaks of the stacks only where they were pinned."""
    steps = told(kind).steps
    keys = [step.key for step in steps]
    counted = keys.index("safety/pins")
    put_in = [i for i, (step, text) in enumerate(orders(kind)) if re.search(r"\b[Pp]ins? (across|in the middle)", text)]
    assert all(i < counted for i in put_in)
    assert counted < keys.index("wash/load")
    pinned = any(key in {"stack/top_pins", "stack/hold_pins"} for key in keys)
    assert ("those from the stacks too" in steps[counted].texts["do"]) == pinned
    assert "Type" not in pages(kind)["checklist"]  # there is nothing to type on paper


@every
def test_every_wash_is_cool_half_a_drum_and_by_itself(kind):
    """One load is half a drum, however many are made; nothing is dried without its filter."""
    (load,) = [step for step in told(kind).steps if step.key == "wash/load"]
    do = re.sub(r"\s+", " ", load.texts["do"])
    assert "half a drum at the most, cool and gentle." in do
    assert ("as many loads of their own as it takes" in do) == (plan_of(kind).project.make > 1)
    assert "together" not in do
    for name, page in pages(kind).items():
        assert not re.search(r"\b(hot|warm) wash|wash (it )?(hot|warm)\b", page), name


@every
def test_foot_and_needle_are_changed_with_the_machine_off(kind):
    """Wherever a foot or a needle is to be changed, the step says what goes off first."""
    for step, text in orders(kind):
        if step.station == "machine" and re.search(
            r"new needle|[Zz]ip(per)? foot\.|[Ww]alking foot off|change the needle", text
        ):
            assert {"plug", "needle"} & set(step.cautions), step.key


@every
def test_a_child_s_piece_has_nothing_ordered_onto_it_that_it_is_warned_of(kind):
    """No tie, button or bead is sewn on where the page says none may be; no page speaks of a bed for it."""
    whom = plan_of(kind).project.for_whom
    for name, page in pages(kind).items():
        assert not re.search(r"\bcots?\b|\bcribs?\b|\bnursery\b", page, re.IGNORECASE), name
        assert (caution("small_parts", "british") in page) == (whom != "anyone" or kind == "ties") or name == "plan"
    if whom != "anyone":
        assert not [key for key in (step.key for step in told(kind).steps) if key.startswith(("ties/", "buttons/"))]


@every
def test_snips_end_where_the_drawing_and_every_sentence_say(kind):
    """One depth, one last snip, one slit: every length of a snip is the plan's. [identity]"""
    value = {name: row.text for name, row in told(kind).quantities.items()}
    (outer,) = [step for step in told(kind).steps if step.key == "assemble/snips"]
    do = re.sub(r"\s+", " ", outer.texts["do"])
    assert (
        f"About every {value['snip_every']}, {value['cut_depth']} deep, the last {value['last_snip']} from the turn."
        in do
    )
    assert f"one slanting slit, to {value['corner_slit']} from the turn." in do


@every
def test_the_buyer_is_told_nothing_that_is_the_maker_s(kind):
    """A quotation has no cost, no hour, no word on selling."""
    quote = pages(kind)["quote"]
    assert not re.search(r"\bsell|\bhours?\b|labour|labor|margin|cost", quote, re.IGNORECASE)
