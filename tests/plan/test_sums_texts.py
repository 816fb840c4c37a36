"""The words of the shipped stages: for every kind of article, in both units, with nothing left blank."""

import re

import pytest
from jinja2 import Environment, meta

from guide.plan.make import make_plan
from guide.read.model import TEXTS
from guide.read.places import open_project
from guide.read.template import TemplateProblem, check_texts, ready, render
from guide.show.words import render_step
from tests.plan.sums_of import ACROSS_THE_BACK, ENVELOPE, THROW, WORKFLOWS, cushion, read, shipped

ARTICLES = {
    "zip down": {},
    "zip across": {"closure": ACROSS_THE_BACK},
    "zip, plain back": {"back": {"plain": "leaf"}},
    "envelope": {"closure": ENVELOPE},
    "envelope, plain back, single hem": {"closure": ENVELOPE | {"double_hem": False}, "back": {"plain": "leaf"}},
    "throw": THROW,
    "no wadding": {"wadding": "none", "quilting": "plus"},
    "no quilting": {"quilting": "none"},
    "pins, one square each side": {"hold_with": "pins", "layers": {"above": 1, "below": 1}},
    "nothing below": {"layers": {"above": 3, "below": 0}},
    "one row": {"grid": {"across": 4, "down": 1}, **THROW},
    "one column": {"grid": {"across": 1, "down": 4}, "closure": ENVELOPE},
    "two rows": {"grid": {"across": 4, "down": 2}, "closure": ACROSS_THE_BACK},
    "six for infants": {"make": 6, "for": "infant"},
    "washed first": {"washed_first": True},
    "metric": {"units": "metric", "square": "13 cm", "seam": "15 mm", "wadding": {"gap": "15 mm"}},
}


@pytest.fixture(params=sorted(ARTICLES))
def plan(request):
    return make_plan(read(cushion(**ARTICLES[request.param])), shipped())


def test_no_text_of_a_shipped_stage_names_what_does_not_exist():
    """Every name in every text is a sum, an input or a column of the step's table."""
    assert check_texts(shipped()) == []


def test_the_names_of_a_text_are_those_jinja_finds_undeclared():
    """Judged by Jinja's own search, over every text of the shipped stages and one of each construct."""
    odd = [
        "",
        "plain",
        "{{ a if b == 'x' else c }}",
        "{% if a and not b %}{{ c }}{% elif d > 2 %}e{% else %}{{ f }}{% endif %}",
    ]
    texts = odd + [getattr(step, key) for stage in shipped().stages for step in stage.steps for key in TEXTS]
    for text in texts:
        assert ready(text).names == meta.find_undeclared_variables(Environment().parse(text)), text


@pytest.mark.parametrize(
    "text",
    ["", "plain }} %}", "{{a}}, {{ b }}", "{{ a }}{{ a }}", "{# no #}{{ a }}", "{{- a -}} b", "{{ true }} {{ none }} {{ 3 }} {{ 'b' }}",
     "{% if b > 2 %}{{ a }}{% elif b > 1 %}one{% else %}{% if c %}two{% endif %}{% endif %} end", "{{ a if b > 1 else 'none' }}{{ b > 1 }}"],
)  # fmt: skip
@pytest.mark.parametrize("b", [1.0, 2.0, 3.0])
def test_a_text_prints_what_jinja_prints(text, b):
    """Judged by Jinja itself, which compiles what we print ourselves; blanks apart, which a text runs together."""
    values = {"a": "≈ 6 in", "b": b, "c": True}
    theirs = Environment().from_string(text.replace("{{ b > 1 }}", "{{ 'yes' if b > 1 else 'no' }}")).render(values)
    assert render(text, values) == " ".join(theirs.split())


@pytest.mark.parametrize(
    "text", ["{{ not }}", "{{ a | upper }}", "{{ a.b }}", "{{ a", "{% for a in b %}{% endfor %}", "{{ a() }}"]
)
def test_a_text_that_is_more_than_names_and_choices_is_refused(text):
    """A word of the grammar is no name, and what looks nearly like a name alone is read whole."""
    with pytest.raises(TemplateProblem):
        ready(text)


def test_every_word_a_step_says_applies_to_the_article(plan):
    """No text prints a value the article does not have, an empty choice, or half a template."""
    for step in plan.steps:
        for key, text in render_step(plan, step).items():
            assert text, (step.key, key)
            assert not re.search(r"does not apply|[{}]|\bNone\b|\bnan\b|\s[.,;:](\s|$)|\.\.", text), (
                step.key,
                key,
                text,
            )


def test_one_is_never_many(plan):
    """`1 squares`, `1 rows`, `1 strips` never stand in what is said."""
    for step in plan.steps:
        said = " ".join(render_step(plan, step).values())
        assert not re.search(r"(?<![\d/.,] )\b1 (squares|strips|rows|columns|bobbins|blocks)\b", said), (step.key, said)


def test_what_to_do_fits_on_a_small_screen(plan):
    """At most 45 words to do, 26 to a step on the whole: it is read with both hands busy [practice]."""
    lengths = [len(render_step(plan, step)["do"].split()) for step in plan.steps]
    assert max(lengths) <= 45
    assert sum(lengths) / len(lengths) <= 26


def test_keys_are_unique_and_steps_in_the_order_of_the_trade(plan):
    """Inner snips before the back, outer snips after the outer seam or edge line, washing last [practice]."""
    keys = [step.key for step in plan.steps]
    assert len(set(keys)) == len(keys)
    seam = next(key for key in ("assemble/outer", "assemble/edge") if key in keys)
    assert keys.index(seam) < keys.index("assemble/snips") < keys.index("wash/load")
    inner = [keys.index(key) for key in ("snip/rows", "snip/panel") if key in keys]
    assert max(inner) < min([i for i, key in enumerate(keys) if key.startswith("closure/")] + [keys.index(seam)])


def test_the_back_is_trimmed_to_the_measured_front_before_the_zip_is_marked():
    """Square up, measure, trim, then the zip: slider in before anything is cut [practice]."""
    keys = [step.key for step in make_plan(read(cushion()), shipped()).steps]
    order = [
        "join/square_up", "join/measure_width", "closure/back_trim", "closure/zip_cut", "closure/zip_seam",
        "closure/zip_press", "closure/zip_box", "closure/zip_unpick", "assemble/pin",
    ]  # fmt: skip
    assert [key for key in keys if key in order] == order
    plan = make_plan(read(cushion()), shipped())
    (step,) = [step for step in plan.steps if step.key == "closure/zip_cut"]
    assert render_step(plan, step)["do"].startswith("Slider to the middle first")


@pytest.mark.parametrize("back", ["patchwork", {"plain": "leaf"}])
def test_an_envelope_panel_that_is_too_long_is_trimmed_where_it_is_hemmed(back):
    """The other three edges lie on the front's edges, their squares whole; the hem turns the cut under [practice]."""
    plan = make_plan(read(cushion(closure=ENVELOPE, back=back)), shipped())
    (trim,) = [step for step in plan.steps if step.key == "closure/envelope_trim"]
    assert "what is too long comes off the edge that will be hemmed" in render_step(plan, trim)["do"]


def test_an_envelope_is_laid_under_panel_first():
    """The cover is sewn as it lies: what is laid last is outside [practice]."""
    plan = make_plan(read(cushion(closure=ENVELOPE)), shipped())
    (step,) = [step for step in plan.steps if step.key == "assemble/pin"]
    said = render_step(plan, step)["do"]
    assert said.index("under panel first") < said.index("then the other") < said.index("this one you will see")


def test_steps_at_what_can_hurt_say_so(plan):
    """Needle at the machine, iron at the iron, a blade with whatever cuts, hands with shears, lint at the wash [practice]."""
    for step in plan.steps:
        said = " ".join(step.tools)
        wanted = {
            "needle": step.station == "machine",
            "iron": step.station == "iron" or "iron" in step.tools,
            "blade": bool(re.search("rotary cutter|shears|scissors|snips|knife", said)),
            "unpicker": "unpicker" in said,
            "hands": "shears" in said,
            "lint": step.station == "washer",
            "spray": "spray" in said,
        }
        assert {caution for caution, here in wanted.items() if here} <= set(step.cautions), step.key


@pytest.mark.parametrize("wadding", [{"gap": "5/8 in"}, "none"])
@pytest.mark.parametrize(("way", "other"), [("spray", "pins"), ("pins", "spray")])
def test_a_stack_held_one_way_shows_no_caution_of_the_other(wadding, way, other):
    """No spray caution, tool or word where pins hold the stack, and none of pins where spray does [practice]."""
    plan = make_plan(read(cushion(wadding=wadding, hold_with=way)), shipped())
    stack = [step for step in plan.steps if step.stage == "stack"]
    assert any(way in step.cautions for step in stack)
    for step in stack:
        said = " ".join((*step.cautions, *step.tools, *render_step(plan, step).values())).lower()
        assert other.removesuffix("s") not in said.replace("pinhole", ""), (step.key, said)
        assert not (way == "pins" and re.search(r"\b(glue|mist|can)\b", said)), (step.key, said)
    assert ("spray" in plan.cautions) == (way == "spray")
    assert len(stack) == (5 if wadding != "none" else 3)


@pytest.mark.parametrize("kind", [{}, THROW])
@pytest.mark.parametrize("wadding", [{"gap": "5/8 in"}, "none"])
@pytest.mark.parametrize("quilting", ["none", "cross", "plus"])
def test_every_pin_that_holds_a_stack_is_taken_out_before_the_edge_is_sewn(quilting, wadding, kind):
    """Pins counted into the blocks come out of them, and are counted again at the end [practice]."""
    asked = cushion(quilting=quilting, wadding=wadding, hold_with="pins", **kind)
    plan = make_plan(read(asked), shipped())
    said = {step.key: render_step(plan, step)["do"] for step in plan.steps}
    (out,) = [step for step in plan.steps if "ake out every pin" in said[step.key]]
    keys = list(said)
    edge = next(key for key in ("assemble/outer", "assemble/edge") if key in keys)
    assert keys.index("stack/top_pins" if wadding != "none" else "stack/hold_pins") < keys.index(out.key)
    assert keys.index(out.key) < keys.index("join/square_up") < keys.index(edge)
    assert "pins" in out.cautions
    assert out.pieces == round(plan.quantities["blocks"].value)
    assert "As many must be back as were counted out" in said["safety/pins"]
    # A pin on the line is sewn over; beside where no line goes it is beside nothing. [practice]
    (put_in,) = [text for text in said.values() if "Two pins near the middle" in text]
    assert ("near the middle, beside the quilting" in put_in) == (quilting != "none")


def test_where_no_pin_holds_a_stack_none_is_taken_out_of_the_panel():
    """A panel held by spray, or quilted, has no step of its own for pins."""
    for asked in (cushion(quilting="none"), cushion(hold_with="pins")):
        assert "join/pins_out" not in [step.key for step in make_plan(read(asked), shipped()).steps]


@pytest.mark.parametrize("way", ["spray", "pins"])
def test_with_nothing_under_the_wadding_there_is_nothing_to_lay_there(way):
    """Two squares over the wadding and none under it: the wadding is the first thing laid, and no cloth is sprayed."""
    plan = make_plan(read(cushion(layers={"above": 2, "below": 0}, hold_with=way)), shipped())
    stack = [step for step in plan.steps if step.stage == "stack"]
    assert [step.title for step in stack[2:]] == ["Centre the wadding", "Lay the squares on top"]
    said = render_step(plan, stack[2])["do"]
    assert ("Open a window" in said) == (way == "spray")


@pytest.mark.parametrize(("way", "seconds"), [("spray", 50), ("pins", 90)])
def test_a_block_takes_longer_to_pin_than_to_spray(way, seconds):
    """Lay the squares, centre the wadding and hold them: 50 s a block with spray, 90 s with pins [practice]."""
    plan = make_plan(read(cushion(hold_with=way)), shipped())
    assert sum(step.pace_s for step in plan.steps if step.together == "block" and step.stage == "stack") == seconds


def test_an_infants_article_is_pull_tested_and_kept_from_where_a_baby_sleeps():
    """No cushion or quilt in the sleep space of a child under one [source: AAP 2022 / NHS safer sleep]."""
    plan = make_plan(read(cushion(**{"for": "infant"})), shipped())
    assert "infant" in plan.cautions
    (step,) = [step for step in plan.steps if "infant" in step.cautions]
    assert "sleep space of a child under one" in render_step(plan, step)["do"]
    assert not any("infant" in step.cautions for step in make_plan(read(cushion()), shipped()).steps)


def test_what_keeps_others_safe_is_said_to_every_maker():
    """A slider without a loose pull, cloth that burns fast and the pad's fire label are no hints [practice]."""
    plan = make_plan(read(cushion(**{"for": "infant"})), shipped())
    said = {step.key: render_step(plan, step) for step in plan.steps}
    assert "no loose pull" in said["closure/zip_cut"]["do"]
    assert "fire label" in said["wash/finish"]["do"]
    assert "burns fast" in said["wash/finish"]["do"]
    anyone = make_plan(read(cushion()), shipped())
    (cut,) = [step for step in anyone.steps if step.key == "closure/zip_cut"]
    assert "pull" not in render_step(anyone, cut)["do"]


def test_a_zip_is_spoken_of_at_the_wash_only_where_there_is_one():
    """A throw has none that could wave in the dryer [identity]."""
    for asked, zipped in ((cushion(), True), (cushion(closure=ENVELOPE), False), (cushion(**THROW), False)):
        plan = make_plan(read(asked), shipped())
        wash = " ".join(
            text for step in plan.steps if step.stage == "wash" for text in render_step(plan, step).values()
        )
        assert bool(re.search(r"\b[Zz]ip\b", wash)) == zipped


def test_cloth_with_spray_in_it_meets_neither_iron_nor_dryer_before_its_wash():
    """No hot iron or dryer on cloth with spray in it until washed [practice]."""
    plan = make_plan(read(cushion()), shipped())
    (top,) = [step for step in plan.steps if step.key == "stack/top"]
    assert "No hot iron or dryer on it" in render_step(plan, top)["why"]


def test_fifteen_blocks_with_a_zip_take_a_practised_maker_about_three_hours():
    """About 3 h hands on, starter paces, estimates nobody timed [practice]; the washing waits apart.

    By hand, in minutes: cutting 25 1/2, stacks 15 · 1.4 + 2, quilting 15 · 1.6 + 5 1/2, joining 18 1/2, 178 inner snips
    of 3.2 s 9 1/2, back and zip 34, edge 20 1/2 with 128 snips, washing 18: 178, of squares of 6 in. Of 5 1/4 in the
    needle runs less: a cross 36 s · 0.2, a row seam 16 s · 0.19, a short seam 10 s · 1/8, a long seam, the zip's seam and
    its box, 13 1/4 in for 21, 45 · 0.37, 100 · 0.37 and 210 · 0.4 s: 5 less. A beginner, squares cut: twice as long.
    """
    plan = make_plan(read(cushion(prints=cushion()["prints"][:3])), shipped())
    hands_on = sum(step.pieces * step.pace_s for step in plan.steps) / 60
    assert hands_on == pytest.approx(173, abs=3)
    assert sum(step.waits_s or 0 for step in plan.steps) / 60 == 5 + 60 + 50
    cut_before = [step for step in plan.steps if step.stage != "cut"]
    beginner = sum(step.pieces * step.pace_s * step.beginner_factor for step in cut_before) / 60
    assert beginner / (178 - 25.5) == pytest.approx(2, abs=0.2)


def test_the_window_seat_cushion_comes_to_about_forty_steps(tmp_path):
    """The demo is planned from its own file [practice: some forty steps to a cushion]."""
    opened = open_project(WORKFLOWS.parent / "sessions" / "window-seat-cushion", {"FRAYWORK_HOME": str(tmp_path)})
    plan = make_plan(opened.project, opened.language)
    assert 38 <= len(plan.steps) <= 46
    assert plan.layout is not None
    assert (plan.layout.front_matches, plan.layout.back_matches) == (0, 0)
