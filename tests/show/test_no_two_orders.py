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
from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.plan import render_plan
from guide.show.pages.price import render_quote, render_tickets
from guide.show.report import plain_report, report
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
def whole(kind):
    """The report of a kind with its day, its record and its price."""
    plan = plan_of(kind)
    rows = checklist_times(plan, NONE, "10:00", beginner_factors(plan))
    cost = cost_report(plan, price_plan(plan, forecast(plan, NONE)))
    return report(plan, record(plan), rows=rows, beginner=True, texts=True, cost=cost)


@cache
def told(kind):
    """The same, plain."""
    return plain_report(whole(kind))


@cache
def pages(kind):
    """Every page of a kind as one reads it, by its name."""
    return {page.__name__.removeprefix("render_"): page(whole(kind), "markdown") for page in PAGES}


def orders(kind):
    """What the hands are told, step by step: the step, and all its words."""
    return [(step, " ".join(step["texts"].values())) for step in told(kind)["steps"]]


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
            assert "never towards the hand that holds" in found[0], (step["key"], found[0])


@every
def test_what_is_glued_sees_no_heat_until_it_is_washed(kind):
    """Between the spray and the wash no block, front or panel is ironed or tumbled; only the back is pressed."""
    keys = [step["key"] for step in told(kind)["steps"]]
    sprayed = [i for i, (step, _) in enumerate(orders(kind)) if "spray" in step["cautions"] and "stack/" in step["key"]]
    if not sprayed:
        return
    assert any("No hot iron or dryer on it now until it has been washed." in text for _, text in orders(kind))
    for step, _ in orders(kind)[sprayed[0] : keys.index("wash/load")]:
        if step["station"] in {"iron", "washer"} or "iron" in step["cautions"]:
            assert step["stage"] in {"closure", "ties", "buttons"}, step["key"]


@every
def test_pins_that_went_in_are_counted_in_before_the_wash(kind):
    """The count comes after the last pin and before washer, and speaks of the stacks only where they were pinned."""
    steps = told(kind)["steps"]
    keys = [step["key"] for step in steps]
    if not told(kind)["quantities"]["pins_used"]["value"]:
        assert "safety/pins" not in keys
        return
    counted = keys.index("safety/pins")
    put_in = [
        i for i, (step, text) in enumerate(orders(kind)) if re.search(r"\b[Pp]ins? (across|near the middle)", text)
    ]
    assert all(i < counted for i in put_in)
    assert counted < keys.index("wash/load")
    pinned = any(key in {"stack/top_pins", "stack/hold_pins"} for key in keys)
    assert ("those from the stacks too" in steps[counted]["texts"]["do"]) == pinned
    assert "Type" not in pages(kind)["checklist"]  # there is nothing to type on paper


@every
def test_every_wash_is_cool_half_a_drum_and_by_itself(kind):
    """One load is half a drum, however many are made; nothing is dried without its filter."""
    loads = [step for step in told(kind)["steps"] if step["key"].startswith("wash/load")]
    value = {name: row["value"] for name, row in told(kind)["quantities"].items()}
    assert len(loads) == value["loads_first"]
    for load in loads:
        do = re.sub(r"\s+", " ", load["texts"]["do"])
        assert "a load of its own" in do
        assert "half a drum at the most, cool and gentle." in do
        together = int((re.search(r"\((\d+) together, a bag each\)", do) or ["", "1"])[1])
        assert together * value["weight_each"] <= value["first_wash_load"]
    for name, page in pages(kind).items():
        assert not re.search(r"\b(hot|warm) wash|wash (it )?(hot|warm)\b", page), name


@every
def test_foot_and_needle_are_changed_with_the_machine_off(kind):
    """Wherever a foot or a needle is to be changed, the step says what goes off first."""
    for step, text in orders(kind):
        if step["station"] == "machine" and re.search(
            r"new needle|[Zz]ip(per)? foot\.|[Ww]alking foot off|change the needle", text
        ):
            assert {"plug", "needle"} & set(step["cautions"]), step["key"]


@every
def test_a_child_s_piece_has_nothing_ordered_onto_it_that_it_is_warned_of(kind):
    """No tie, button or bead is sewn on where the page says none may be; no page speaks of a bed for it."""
    whom = plan_of(kind).project.for_whom
    for name, page in pages(kind).items():
        assert not re.search(r"\bcots?\b|\bcribs?\b|\bnursery\b", page, re.IGNORECASE), name
        assert (caution("small_parts", "british") in page) == (whom != "anyone" or kind == "ties") or name == "plan"
    if whom != "anyone":
        assert not [
            key for key in (step["key"] for step in told(kind)["steps"]) if key.startswith(("ties/", "buttons/"))
        ]


@every
def test_snips_end_where_the_drawing_and_every_sentence_say(kind):
    """One depth, one last snip, one slit: every length of a snip is the plan's. [identity]"""
    value = {name: row["text"] for name, row in told(kind)["quantities"].items()}
    (outer,) = [step for step in told(kind)["steps"] if step["key"] == "assemble/snips"]
    do = re.sub(r"\s+", " ", outer["texts"]["do"])
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


@every
def test_a_piece_is_held_to_no_size_that_nobody_can_know(kind):
    """Unwashed cloth shrinks: where no shrinkage is given, none is ruled out and no page calls the sewn size finished."""
    plan, page = plan_of(kind), pages(kind)["checklist"]
    known = any(cloth.shrinks_known for cloth in plan.project.prints)
    assert not known  # none of these says what its cloths shrink
    assert "at least" not in page
    assert ("no size is wrong" in page) != plan.project.washed_first
    assert ("** as sewn, before washing" in page) != plan.project.washed_first


@every
def test_what_there_is_none_of_is_not_spoken_of(kind):
    """No wadding, no zip, no hem, no back, no pins: none of their words on any page that gives orders. [practice]"""
    project, value = plan_of(kind).project, told(kind)["quantities"]
    absent = {
        r"\b(wadding|batting)\b": not project.wadding,
        r"\b(zip|zipper|slider)\b": project.closure != "zip",
        r"\bhem\b": project.closure not in {"envelope", "ties", "buttons"},
        r"\b(pad|pillow form|cushion pad|unpicker|seam ripper)\b": project.back == "none",
        r"\bpins?\b": not value["pins_used"]["value"] and kind != "buttons",
    }
    for words, so in absent.items():
        for name in ("checklist", "log", "tickets", "quote") if so else ():
            page = re.sub(r"or cushion there", "", pages(kind)[name])
            page = re.sub(r"- \*\*The zip.* is not in by .*", "", page)  # what is done instead of a zip
            assert not re.findall(words, page), (name, words, re.findall(f".*{words}.*", page)[:2])


@every
def test_the_plan_s_foot_is_the_one_its_steps_lay_out(kind):
    """Walking foot at blocks and their seams, whatever their layers: plan and step say the same foot."""
    at = {
        "quilting": ("quilt/cross", "quilt/plus"), "raw-edge seams": ("join/rows",), "where seams cross": ("join/panel",),
        "outer seam": ("assemble/outer", "assemble/edge"), "outer seam at worst": ("assemble/outer", "assemble/edge"),
        "seams of the back": ("closure/back_rows",), "zip or hems": ("closure/zip_box", "closure/envelope_hem"),
    }  # fmt: skip
    tools = {step["key"]: step["tools"] for step in told(kind)["steps"]}
    for one in told(kind)["advice"]:
        for key in at[one["place"]]:
            if key in tools:
                walked = "walking foot" in tools[key]
                assert one["pressure"].startswith("walking foot") == walked, (one["place"], key)


@every
def test_a_pin_lies_beside_the_line_that_is_sewn(kind):
    """In line with the quilting it would be sewn over, which its caution forbids. [practice]"""
    put_in = [text for step, text in orders(kind) if step["key"] in {"stack/top_pins", "stack/hold_pins"}]
    assert bool(put_in) == kind.startswith("pinned")
    for text in put_in:
        assert ("near the middle, beside the quilting" in text) == (plan_of(kind).project.quilting != "none")


@every
def test_steps_worked_block_by_block_say_so_where_each_has_its_window(kind):
    """Half-glued stacks slide about: windows one after another may not send every block through one step first."""
    steps = told(kind)["steps"]
    mine = [step["number"] for step in steps if step["stage"] == "stack" and step["together"]]
    said = f"Steps {mine[0]} to {mine[-1]} go together: one block through all of them, then the next."
    assert (said in pages(kind)["checklist"]) == (len(mine) > 1)


@every
def test_nobody_rests_to_go_home(kind):
    """A day's last window is work, never a break."""
    assert not re.search(r"min break\n+### Day", pages(kind)["checklist"])


@every
def test_the_map_that_steps_speak_of_is_on_the_page(kind):
    """`As the map shows`: the checklist in Markdown has it too, row by row."""
    assert "as the map shows" in pages(kind)["checklist"]
    front = pages(kind)["plan"].split("Front\n\n")[1].split("\n\n")[0].split("\n")
    assert all(row in pages(kind)["checklist"] for row in front)
    assert len(front) == plan_of(kind).project.down + 2


@every
def test_what_the_caution_says_no_hint_says_again(kind):
    """Five words of a caution in a row are in no hint below it, the wheel's direction apart; an order may say them."""
    for step, _ in orders(kind):
        below = " ".join(
            re.findall(r"[a-z']+", " ".join(text for key, text in step["texts"].items() if key != "do").lower())
        )
        for name in step["cautions"]:
            words = re.findall(r"[a-z']+", caution(name, plan_of(kind).project.words).lower())
            runs = {" ".join(words[i : i + 5]) for i in range(len(words) - 4)}
            again = {run for run in runs if run in below}
            assert name in {"machine", "infant"} or not again, (step["key"], again)
