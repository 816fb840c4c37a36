"""Every caution's whole sentence, and every step with something hot or sharp beside its cautions.

All are common practice of the trade [practice] but where a source stands. The sentences are written out here, word for
word, because a word turned round in one of them hurts somebody.
"""

import re

import pytest

from guide.plan.make import make_plan
from guide.read.stage_keys import CAUTIONS
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
    "stack/top_tacking": "blade",
    "stack/hold_tacking": "blade",
    "quilt/set": "needle room plug machine pedal",
    "quilt/cross": "needle pins machine",
    "quilt/plus": "needle pins machine",
    "quilt/trim": "pins blade",
    "join/rows": "needle pins machine",
    "join/panel": "needle pins machine",
    "join/pins_out": "pins",
    "join/tacking_out": "blade",
    "join/square_up": "blade",
    "snip/rows": "hands blade",
    "snip/panel": "hands blade",
    "snip/crossings": "hands blade lint",
    "closure/back_rows": "needle pins machine",
    "closure/inside_zigzag": "needle plug machine",
    "closure/inside_overlocked": "needle blade plug machine",
    "closure/inside_pinked": "blade hands",
    "closure/inside_zigzag_long": "needle machine",
    "closure/inside_overlocked_long": "needle blade machine",
    "closure/inside_pinked_long": "blade hands",
    "closure/back_press": "iron",
    "closure/back_join": "needle pins machine iron",
    "closure/back_trim": "blade",
    "closure/zip_cut": "eyes blade",
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
    "assemble/again": "needle machine",
    "assemble/snips": "hands blade lint",
    "assemble/lint": "plug blade lint",
    "safety/pins": "pins",
    "safety/feel": "pins",
    "safety/pull": "infant threads small_parts blade",
    "wash/load": "lint weight bleed",
    "wash/dry": "lint weight",
    "wash/fluff": "lint hands blade",
    "wash/finish": "fire",
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
    ("cut/wash", "Clean the filter.", "lint"),
    ("cut/wash", "Cut off the corners, or overcast the raw ends.", "blade"),
    ("cut/wash", "Dark beside pale: the dark first, alone, with a colour-catching cloth.", "bleed"),
    ("cut/dry", "Clean the dryer's filter before and after, or hang the cloths on the line", "lint"),
    ("cut/dry", "Cut off tangled threads.", "blade"),
    ("cut/press", "Press it flat. Snip the edge", "iron"),
    ("cut/press", "cut the end along that line.", "blade"),
    ("cut/pieces", "At most {{ at_once }} {{ 'layer' if at_once == 1 else 'layers' }} at a cut.", "blade"),
    ("cut/pile", "Cutter shut, and out of a child's reach.", "blade"),
    ("stack/under", "Open a window. Mist glue thinly on each, only where the wadding will lie.", "spray"),
    ("stack/wadding", "{% if not below %}Open a window. {% endif %}Mist its top thinly.", "spray"),
    ("stack/top_pins", "and count them.", "pins"),
    ("stack/hold", "Open a window; mist glue thinly between them, the outer {{ seam }} left dry.", "spray"),
    ("stack/hold_pins", "and count them.", "pins"),
    ("quilt/set", "{{ 'Usual foot' if lacks_walking_foot else 'Walking foot' }}", "plug"),
    ("quilt/set", "new needle, {{ stitch_length }} stitch", "needle"),
    ("quilt/cross", "Feel out the wadding's corner, needle down.", "needle"),
    ("quilt/plus", "feel out where the wadding stops, needle down", "needle"),
    ("quilt/trim", "Take out every pin.", "pins"),
    ("quilt/trim", "Snip the thread ends close on both faces.", "blade"),
    ("join/rows", "{{ free_end }} short of both ends. Back-stitch both.", "needle"),
    ("join/panel", "Open the flaps flat at each crossing, or hold them clear, needle down", "needle"),
    ("join/pins_out", "Take out every pin, block by block, and count them in.", "pins"),
    ("join/square_up", "trim only what sticks out.", "blade"),
    ("snip/rows", "Raw edge towards you", "blade"),
    ("snip/rows", "up to the stitches, never through.", "blade"),
    ("snip/rows", "Take the {{ layers_raw_seam }} layers in two bites.", "hands"),
    ("snip/panel", "The same: every {{ snip_every }}, {{ cut_depth }} deep", "blade"),
    ("snip/crossings", "Then shake the panel out of doors.", "lint"),
    ("snip/crossings", "Open the flaps at each crossing", "blade"),
    ("closure/back_rows", "Feed them one after another, the thread uncut.", "needle"),
    ("closure/back_press", "all one way, of the next all the other", "iron"),
    ("closure/back_join", "Nest the seams, right sides together, sew {{ seam }}, press", "iron"),
    ("closure/back_join", "Nest the seams, right sides together, sew {{ seam }}, press", "needle"),
    ("closure/back_trim", "Lay the front on it. Trim both parts to", "blade"),
    (
        "closure/zip_cut",
        "Slider to the middle first. Then cut the zip to {{ zip_cut }}, a hand over the metal stops.",
        "eyes",
    ),
    ("closure/zip_cut", "Then cut the zip to {{ zip_cut }}", "blade"),
    ("closure/zip_seam", "Right sides together, {{ seam }} from the edge.", "needle"),
    ("stack/top_tacking", "one line of long stitches across the middle", "blade"),
    ("stack/hold_tacking", "one line of long stitches across the middle", "blade"),
    ("join/tacking_out", "Cut every fourth stitch, pull the thread from the other face.", "blade"),
    ("closure/inside_zigzag", "the outer point just off the edge", "needle"),
    ("closure/inside_zigzag_long", "The long seams' edges together", "needle"),
    ("closure/inside_overlocked", "guided so that its knife takes off threads and no cloth.", "needle"),
    ("closure/inside_overlocked", "guided so that its knife takes off threads and no cloth.", "blade"),
    ("closure/inside_overlocked_long", "Its knife takes off threads and no cloth.", "needle"),
    ("closure/inside_overlocked_long", "Its knife takes off threads and no cloth.", "blade"),
    ("closure/inside_pinked", "Pinking shears along both edges together", "blade"),
    ("closure/inside_pinked_long", "The points at the very edge.", "blade"),
    ("closure/zip_press", "Press the seam open. Find the ends of the tacking by feel.", "nylon"),
    ("closure/zip_press", "Press the seam open.", "iron"),
    ("closure/zip_box", "needle down, foot up, slide it past.", "needle"),
    ("closure/zip_box", "unpick two fingers of tacking", "unpicker"),
    ("closure/zip_box", "unpick two fingers of tacking, needle down", "eyes"),
    ("closure/zip_box", "else 'Zip foot' }}", "plug"),
    ("closure/zip_unpick", "From the right side, cut every fourth stitch and pull the thread.", "unpicker"),
    ("closure/envelope_trim", "what is too long comes off the edge that will be hemmed.", "blade"),
    ("closure/envelope_press", "to the wrong side, press, then turn {{ hem }} more. Press.", "iron"),
    ("closure/envelope_hem", "Sew along the inner fold, right across, back-stitching both ends.", "needle"),
    ("assemble/pin", "Long bright pins across the edge, counted out.", "pins"),
    ("assemble/outer", "Over the lumps, turn the wheel by hand.", "machine"),
    ("assemble/outer", "Draw each pin before the foot.", "pins"),
    ("assemble/outer", "Pivot at the corners, needle down.", "needle"),
    ("assemble/edge", "Pivot at the corners with the needle down.", "needle"),
    ("assemble/edge", "Turn the wheel by hand where a seam ends, its flaps opened flat.", "machine"),
    ("assemble/again", "Once more all round, {{ outer_again }} inside the first line", "needle"),
    ("assemble/snips", "Beside a back seam or a hem's end, never through it.", "blade"),
    ("assemble/snips", "In each corner one slanting slit, to {{ corner_slit }} from the turn.", "hands"),
    ("assemble/lint", "Machine off and its plug out, brush out the bobbin case.", "plug"),
    ("assemble/lint", "Roll both faces, trim the last threads.", "blade"),
    ("safety/pins", "As many must be back as were counted out. Write both numbers down.", "pins"),
    ("safety/feel", "no pin, {% endif %}no needle's tip, nothing hard.", "pins"),
    ("safety/pull", "Pull every fringe hard, block by block, and cut off what lengthens.", "threads"),
    ("safety/pull", "Pull every fringe hard, block by block, and cut off what lengthens.", "blade"),
    ("safety/pull", "Nothing small on it: no button, no bead, no loose pull", "small_parts"),
    ("safety/pull", "Its label says: not for the sleep space of a child under one", "infant"),
    ("wash/load", "Shake it outdoors. Clean the filter.", "lint"),
    ("wash/load", "half a drum at the most, cool and gentle.", "weight"),
    (
        "wash/dry",
        "Shake it hard, out of doors. Low heat or the line; clean the dryer's filter before and after.",
        "lint",
    ),
    ("wash/fluff", "Cut off threads longer than the rest.", "blade"),
    ("wash/finish", "no fire, heater or candle near it.", "fire"),
]
NEAR = {"blade", "needle", "iron", "unpicker", "pins", "spray", "eyes", "nylon", "lint", "fire"}  # hot, sharp, burning


def test_nothing_hot_or_sharp_is_told_of_without_having_been_read_against_its_caution():
    """Every step that warns of it has what it tells the hands below, but two that only keep it away. [practice]"""
    read_ = {(key, beside) for key, _, beside in TOLD}
    warned = {(key, name) for key, step in steps().items() for name in step.cautions if name in NEAR}
    kept_away = {("stack/top", "spray"), ("assemble/snips", "lint"), ("assemble/lint", "lint"),
                 ("wash/fluff", "lint")}  # fmt: skip
    sewn = {(key, "pins") for key, step in steps().items() if step.station == "machine" and "pins" in step.cautions}
    assert warned - read_ - sewn == kept_away


@pytest.mark.parametrize(("key", "told", "beside"), TOLD, ids=[f"{key}-{beside}" for key, _, beside in TOLD])
def test_what_the_hands_are_told_agrees_with_its_caution(key, told, beside):
    """The order stands in the step word for word, and its caution beside it."""
    step = steps()[key]
    assert told in re.sub(r"\s+", " ", step.do)
    assert beside in step.cautions
