"""Keys of projects: a closure's stand in its stage, cloths have colour, photo and weight, and weights are read."""

import json

import msgspec
import pytest

from guide.read.check import check_stages
from guide.read.project import read_project
from guide.read.stages import read_what_can_be
from guide.read.units import parse_cloth_weight, parse_weight, show_weight
from tests.commands.conftest import guide, workshop
from tests.plan.sums_of import cushion, shipped

__all__ = ["guide", "workshop"]

LACED = """stage: laces
title: Lace it up
adds: {closure: [laces]}
inputs:
  lace_overlap: {at: closure.overlap, closure: laces, is: length, default: 3 in, at_least: 1 in, says: how far it overlaps}
  lace_holes: {at: closure.holes, closure: laces, is: count, default: 6, at_most: 20, says: "holes, both sides"}
  lace_width: {closure: laces, is: length, default: 1/2 in, says: width of the lace}
work_out:
  lace_length: (lace_holes * lace_overlap + lace_width) * make if closure == 'laces' else 0 * mm
"""


def read(closure, text=LACED, **more):
    """A cushion that laces up, read with the shipped stages and this one; and every problem."""
    stage, loaded = read_what_can_be(text, "laces.yaml", "laces")
    stages = [*shipped().stages, stage]
    language = check_stages(stages)
    data = cushion(closure=closure, **more)
    project, of_project = read_project(msgspec.json.encode(data).decode(), "project.yaml", stages)
    return project, [p.message for p in (*loaded.problems, *language.problems, *of_project.problems) if not p.hint]


def test_a_closure_of_ones_own_has_its_keys_in_the_closure():
    """Its own overlap, not an envelope's; its price is a key of any closure."""
    project, told = read({"type": "laces", "overlap": "2 in", "holes": 8, "price": 1.5}, lace_width="1 cm")
    assert told == []
    given = {
        name: project.given[name].value
        for name in ("lace_overlap", "lace_holes", "lace_width", "envelope_overlap", "hem")
    }
    assert given == {
        "lace_overlap": pytest.approx(50.8), "lace_holes": 8, "lace_width": 10, "envelope_overlap": None, "hem": None
    }  # fmt: skip
    assert str(project.closure_price) == "1.5"


def test_what_is_not_written_of_it_is_its_stages_default():
    """Both closures have an overlap; each holds for its own, and an envelope's stays 4 in."""
    given = read({"type": "laces"})[0].given
    assert (given["lace_overlap"].value, given["lace_holes"].value) == (pytest.approx(76.2), 6)
    assert given["lace_overlap"].place.line == 5
    other = read({"type": "envelope"})[0].given
    assert (other["envelope_overlap"].value, other["lace_overlap"].value) == (pytest.approx(101.6), None)


@pytest.mark.parametrize(
    ("closure", "more", "said"),
    [
        ({"type": "laces", "hem": "1 in"}, {}, "a closure of laces has no hem; take it out, or write type: envelope"),
        ({"type": "zip", "after_column": 2, "holes": 4}, {}, "a zip has no holes; take it out, or write type: laces"),
        ({"type": "envelope"}, {"lace_width": "1 cm"}, "an envelope has no lace_width; take it out, or write closure: laces"),
        ({"type": "laces", "overlap": "1/2 in"}, {}, "must be at least 1 in; it is 1/2 in"),
        ({"type": "laces", "holes": 30}, {}, "must be at most 20; it is 30"),
    ],
)  # fmt: skip
def test_a_key_of_another_closure_is_refused(closure, more, said):
    """So is what its own limits do not allow."""
    assert read(closure, **more)[1] == [said]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("closure: laces, is: count", "closure: lace, is: count", "there is no closure lace (did you mean laces?); write zip, envelope, none or laces"),
        ("at: closure.holes, closure: laces", "at: closure.holes", "closure.holes belongs to one closure; write which: closure: zip"),
        ("closure.holes", "pad.holes", "only keys of a closure stand elsewhere; write closure. and a word of its own"),
        ("closure.holes", "closure.type", "only keys of a closure stand elsewhere; write closure. and a word of its own"),
        ("default: 6, at_most", "default: 26, at_most", "the default is more than at_most, 20"),
        ("is: length, default: 1/2 in", "is: length, over: 1 in, default: 1 in", "the default is not over 1 in"),
    ],
)  # fmt: skip
def test_a_key_that_cannot_be_is_told(old, new, said):
    """At the stage's file, with what to write."""
    assert said in read({"type": "laces"}, LACED.replace(old, new))[1]


def printed(**keys):
    """The first print of a cushion with these keys, or what is wrong with it."""
    data = cushion(prints=[{"name": "leaf", "width": "44 in", **keys}])
    project, loaded = read_project(msgspec.json.encode(data).decode(), "project.yaml", shipped().stages)
    return project.prints[0] if project else [p.message for p in loaded.problems]


def test_a_print_has_its_colour_photo_and_weight():
    """Colours by their numbers or the names of CSS 2 [source: W3C, CSS 2.1, 4.3.6]: olive is #808000."""
    cloth = printed(colour="#7A8B6C", photo="cloths/leaf.JPG", weight="150 g/m2")
    assert (cloth.colour, cloth.photo, cloth.weight) == ("#7a8b6c", "cloths/leaf.JPG", 150.0)
    assert printed(colour="olive").colour == "#808000"
    bare = printed()
    assert (bare.colour, bare.photo, bare.weight) == (None, None, None)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"colour": "mossy"}, "'mossy' does not fit here; write it in quotes"), ({"colour": "#7a8b6"}, "write it in quotes"),
        ({"photo": "/leaf.jpg"}, "the name of a .jpg or .png file"), ({"photo": "../leaf.jpg"}, "beside the project"),
        ({"photo": "leaf.gif"}, ".jpg or .png"), ({"weight": "150"}, "write it like 150 g/m2"),
        ({"weight": 150}, "write it like 150 g/m2"), ({"weight": "9000 g/m2"}, "must be at most 2000 g/m2"),
        ({"weight": "0 g/m2"}, "must be over 0 g/m2"),
    ],
)  # fmt: skip
def test_what_no_print_has_is_refused(keys, said):
    """A folder above or of another disk is none beside the project."""
    (told,) = printed(**keys)
    assert said in told


@pytest.mark.parametrize(
    ("text", "grams"), [("5 kg", 5000), ("250g", 250), ("1 lb", 453.59237), ("16 oz", 453.59237), ("2.5 kg", 2500)]
)  # fmt: skip
def test_weights_are_read(text, grams):
    """A pound is 453.59237 g, sixteen ounces [source: international yard and pound agreement, 1959]."""
    assert parse_weight(text) == pytest.approx(grams)


@pytest.mark.parametrize(("text", "said"), [("150 g/m2", 150), ("150 g / m²", 150), ("4.4 oz/yd2", 149.185)])
def test_cloth_weights_are_read(text, said):
    """4.4 oz = 124.738 g on 0.83612736 m² [identity]."""
    assert parse_cloth_weight(text) == pytest.approx(said, abs=0.01)


@pytest.mark.parametrize("text", ["5", "5 stone", "5kg.", "-5 kg", "1,5 kg", "g"])
def test_what_is_no_weight_is_refused(text):
    """With how to write it."""
    with pytest.raises(ValueError, match="5 kg"):
        parse_weight(text)


@pytest.mark.parametrize(
    ("grams", "metric", "inch"), [(5000, "5 kg", "≈ 11 lb"), (240, "240 g", "≈ 8.47 oz"), (453.59237, "≈ 454 g", "1 lb")]
)  # fmt: skip
def test_weights_are_shown(grams, metric, inch):
    """In the maker's units; ≈ where three figures are not exact."""
    assert (show_weight(grams, "metric"), show_weight(grams, "inch")) == (metric, inch)


def test_a_plan_shows_what_a_print_is_given(guide, workshop):
    """In its JSON, and only where it is given; the wash says what goes into one load."""
    project = workshop / "sessions" / "window-seat-cushion" / "project.yaml"
    text = project.read_text(encoding="utf-8")
    project.write_text(
        text.replace("{name: moss check,", "{name: moss check, colour: olive, weight: 150 g/m2,"), encoding="utf-8"
    )
    data = json.loads(guide("plan", "sessions/window-seat-cushion", "--json").out)
    moss, oat, _ = data["prints"]
    assert (moss["colour"], moss["weight_g_m2"], "photo" in moss) == ("#808000", 150.0, False)
    assert not {"colour", "photo", "weight_g_m2"} & oat.keys()
    assert [data["quantities"][name]["value"] for name in ("washer_load", "first_wash_load")] == [5000, 2500]
    assert data["quantities"]["washer_load"]["unit"] == "g"
    steps = guide("checklist", "sessions/window-seat-cushion", "--markdown", "-o", "-").out.replace("\xa0", " ")
    # 60 squares of 6 in at 150 g/m², 12 of wadding of 5 in at 100, 2 g of thread: 230.4 g [identity]
    assert "At most ≈ 5.51 lb: this is ≈ 8.13 oz, by its cloth." in steps
