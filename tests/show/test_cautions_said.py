"""Every caution's whole sentence, and every step with something hot or sharp beside its cautions.

All are common practice of the trade [practice] but where a source stands. The sentences are written out here, word for
word, because a word turned round in one of them hurts somebody.
"""

import re

import pytest

from guide.plan.make import make_plan
from guide.read.stage_shape import CAUTIONS
from guide.show.report_cautions import SENTENCES, caution
from tests.plan.sums_of import cushion, read, shipped

SAID = {
    "needle": "Fingers clear of the needle. Machine off before you change it.",
    "plug": "Plug out before you change a foot, or clean machine or iron; off before you thread.",
    "machine": (
        "Over lumps turn the wheel by hand, towards you unless the machine's book says otherwise. Stop at any new noise."
    ),
    "pins": "Never sew over a pin. Count pins out and count them in again.",
    "blade": "Blade shut after every cut. Cut away from yourself.",
    # Rests from memory [memory]; tools that fit the hand: NIOSH 2004-164 [source]
    "hands": (
        "Rest your hands 3 minutes after 15 of cutting, after 10 through more than six layers. Change hands, shears sharp."
    ),
    "iron": "Iron on its heel, lead out of the way; off when you leave the room.",
    "nylon": "Nylon melts: the iron's tip only, through a cloth.",
    "unpicker": "Unpicker away from you and from the hand that holds; cap on after.",
    "spray": "Spray with the window open, away from flame, pilot light and hot iron.",  # NIOSH HHE 2002 [source]
    "floor": "Spray makes a floor slippery: cover it, and wipe it after.",
    "bleed": "Dark beside pale may bleed: first wash alone, with a colour-catching cloth.",
    # A filter left dirty starts dryer fires: US Fire Administration, Topical Report 13(7), 2012 [source]
    "lint": "Frayed seams shed. Shake outdoors, a mask on; clean the lint filter before and after; no dryer without it.",
    "eyes": "Metal stops fly when they are cut, and a needle that strikes the zip: glasses on, face aside.",
    "weight": (
        "Weigh it dry: no more than the drum takes. Wet it weighs two or three times that: two hands, and a line strong "
        "enough."
    ),
    "room": (
        "Light on the work, table at elbow height, leads off the floor. Iron, blade and needle out of reach of children "
        "and pets."
    ),
    "skin": "Spray, and the finish in new cloth, can irritate skin and breath: fresh air, gloves, or wash it first.",
    "pedal": "A counting pedal stands well away from the machine's own; off while you thread or change the needle.",
    "glue": "Hot glue burns and sticks: nozzle down on its stand, off when you leave it.",
    "awl": "Push an awl into cork, never towards the hand that holds; its point covered after.",
    "steam": "Steam burns past the iron's edge: hands out of it, face aside.",
    "starch": "Starch with the window open; it makes a floor slippery: wipe it after.",
    # AAP 2022; NHS safer sleep [source]
    "infant": "Not for the sleep space of a child under one: no quilt, pillow or cushion there.",
    "fire": "A frayed cotton edge catches and burns fast: keep it away from fires, heaters and candles.",
    "small_parts": "No buttons, beads or loose pulls for children under three.",  # CPSC on small parts [memory]
    "lap": "A quilt for a child is for floor or lap.",
    "threads": "Long threads can wind round small fingers: pull-test the fringe and trim it.",
    # EU 1007/2011; UK SI 1988/1324; US 16 CFR 303 and 1640 [source]
    "selling": (
        "Selling: fibre labels, fire rules for furnishings and rules for children's things differ by country. Check what "
        "applies where you sell; nothing here certifies anything."
    ),
}


def test_every_caution_is_the_sentence_that_was_weighed():
    """None more, none less, none turned round."""
    assert SENTENCES == SAID
    assert set(CAUTIONS) <= set(SAID)


def test_the_american_ones_say_the_same():
    """Seam ripper for unpicker, zipper for zip, color and fiber; nothing else moves."""
    moved = {name for name in SAID if caution(name, "american") != SAID[name]}
    assert moved == {"unpicker", "bleed", "eyes", "infant", "selling"}
    assert caution("unpicker", "american").startswith("Seam ripper away from you")


# What a step with something hot, sharp, wet or heavy warns of, the nearest danger first: two are shown, `w` has all.
WARNED = {
    "cut/wash": "lint weight bleed blade",
    "cut/dry": "lint weight blade",
    "cut/press": "iron blade room skin bleed",
    "cut/pieces": "blade hands",
    "cut/pile": "blade",
    "stack/under": "spray floor skin",
    "stack/wadding": "spray",
    "stack/top": "spray",
    "stack/top_pins": "pins",
    "stack/hold": "spray floor skin",
    "stack/hold_pins": "pins",
    "quilt/set": "needle room plug machine pedal",
    "quilt/cross": "needle pins machine",
    "quilt/plus": "needle pins machine",
    "quilt/trim": "pins blade",
    "join/rows": "needle pins machine",
    "join/panel": "needle pins machine",
    "join/pins_out": "pins",
    "join/square_up": "blade",
    "snip/rows": "hands blade",
    "snip/panel": "hands blade",
    "snip/crossings": "hands blade lint",
    "closure/back_rows": "needle pins machine",
    "closure/back_press": "iron",
    "closure/back_join": "needle pins machine iron",
    "closure/back_trim": "blade",
    "closure/zip_cut": "eyes blade pins",
    "closure/zip_seam": "needle pins machine",
    "closure/zip_press": "iron nylon",
    "closure/zip_box": "eyes needle plug machine unpicker",
    "closure/zip_unpick": "unpicker",
    "closure/envelope_trim": "blade",
    "closure/envelope_press": "iron",
    "closure/envelope_hem": "needle pins machine",
    "assemble/pin": "pins",
    "assemble/outer": "needle pins machine",
    "assemble/edge": "needle machine",
    "assemble/snips": "hands blade lint",
    "assemble/lint": "plug blade lint",
    "safety/pins": "pins",
    "safety/feel": "pins",
    "safety/pull": "infant threads small_parts blade",
    "wash/load": "lint weight bleed",
    "wash/dry": "lint weight",
    "wash/fluff": "lint hands blade",
    "wash/finish": "lint",
}


def steps():
    return {f"{stage.name}/{step.id}": step for stage in shipped().stages for step in stage.steps}


def test_every_step_warns_of_what_is_at_hand():
    """Step by step, in the order in which they are read; a step that is not named has nothing that hurts."""
    assert {key: " ".join(step.cautions) for key, step in steps().items() if step.cautions} == WARNED


@pytest.mark.parametrize(("stages", "at"), [(None, "cut/press"), (["stack", "quilt", "join"], "quilt/set")])
def test_the_room_is_warned_of_once_at_the_first_setting_up(stages, at):
    """Light, leads and children: before the first iron or machine is switched on, and not again."""
    plan = make_plan(read(cushion(stages=stages)), shipped())
    assert [step.key for step in plan.steps if "room" in step.cautions] == [at]
    (quilt,) = [step for step in plan.steps if step.key == "quilt/set"]
    assert [one for one in quilt.cautions if one != "room"] == ["needle", "plug", "machine", "pedal"]


# What a step tells the hands to do at something hot or sharp, and the caution it is read against.
TOLD = [
    ("cut/press", "Press it flat. Snip the edge", "iron"),
    ("cut/pieces", "At most four layers at a cut.", "blade"),
    ("cut/pile", "Cutter shut, and out of a child's reach.", "blade"),
    ("stack/under", "Open a window. Mist glue thinly on each", "spray"),
    ("stack/hold", "Open a window; mist glue thinly", "spray"),
    ("quilt/trim", "Take out every pin.", "pins"),
    ("join/pins_out", "Take out every pin, block by block, and count them in.", "pins"),
    ("snip/rows", "up to the stitches, never through.", "blade"),
    (
        "closure/zip_cut",
        "Slider to the middle first. Then cut the zip to {{ zip_cut }}, a hand over the metal stops.",
        "eyes",
    ),
    ("closure/zip_press", "Press the seam open. Find the ends of the tacking by feel.", "nylon"),
    ("closure/zip_box", "needle down, foot up, slide it past.", "needle"),
    ("assemble/pin", "Long bright pins across the edge, counted out.", "pins"),
    ("assemble/outer", "Draw each pin before the foot. Over the lumps, turn the wheel by hand.", "machine"),
    ("assemble/snips", "Beside a back seam or a hem's end, never through it.", "blade"),
    ("assemble/lint", "Machine off and its plug out, brush out the bobbin case.", "plug"),
    ("safety/pins", "As many must be back as were counted out.", "pins"),
    ("safety/feel", "no pin, no needle's tip, nothing hard.", "pins"),
    ("safety/pull", "Pull every fringe hard, block by block, and cut off what lengthens.", "infant"),
    ("wash/load", "Shake it out of doors. Clean the filter.", "lint"),
    ("wash/dry", "Low heat or the line; clean the dryer's filter before and after.", "lint"),
    ("wash/finish", "no fire, heater or candle near it.", "lint"),
]


@pytest.mark.parametrize(("key", "told", "beside"), TOLD, ids=[key for key, *_ in TOLD])
def test_what_the_hands_are_told_agrees_with_its_caution(key, told, beside):
    """The order stands in the step word for word, and its caution beside it."""
    step = steps()[key]
    assert told in re.sub(r"\s+", " ", step.do)
    assert beside in step.cautions
