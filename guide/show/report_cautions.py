"""What each caution says, what to do first in a trouble, and how the piece is washed: each said here, once.

Common practice where no source stands beside it.

They remind; they replace no local rule and no maker's own sense.
"""

from collections.abc import Mapping, Sequence
from typing import Any

import msgspec

from guide.plan.model import Plan
from guide.read.kinds import washing_of
from guide.read.model import Project
from guide.read.spoken import said
from guide.show.model_plan import ProjectReport

SENTENCES = {
    "needle": "Fingers clear of the needle. Machine off before you change it.",
    "plug": "Plug out before you change a foot, or clean machine or iron; off before you thread.",
    "machine": "Over lumps turn the wheel by hand, towards you unless the machine's book says otherwise. "
    "Stop at any new noise.",
    "pins": "Never sew over a pin. Count pins out and count them in again.",
    "blade": "Blade shut after every cut. Cut away from yourself.",
    # Tools that cut well and fit the hand: NIOSH 2004-164, a guide to choosing them. The rests are from memory
    "hands": "Rest your hands 3 minutes after 15 of cutting, after 10 through more than six layers. Change hands, "
    "shears sharp.",
    "iron": "Iron on its heel, lead out of the way; off when you leave the room.",
    "nylon": "Nylon melts: the iron's tip only, through a cloth.",
    "unpicker": "Unpicker away from you and from the hand that holds; cap on after.",
    # NIOSH Health Hazard Evaluation, 2002
    "spray": "Spray with the window open, away from flame, pilot light and hot iron.",
    "floor": "Spray makes a floor slippery: cover it, and wipe it after.",
    "bleed": "Dark beside pale may bleed: first wash alone, with a colour-catching cloth.",
    # US Fire Administration, Topical Report 13(7), 2012
    "lint": "Frayed seams shed. Shake outdoors, a mask on; clean the lint filter before and after; no dryer "
    "without it.",
    "eyes": "Metal stops fly when they are cut, and a needle that strikes the zip: glasses on, face aside.",
    "weight": "Weigh it dry: no more than the drum takes. Wet it weighs two or three times that: two hands, and a line "
    "strong enough.",
    "room": "Light on the work, table at elbow height, leads off the floor. Iron, blade and needle out of reach of "
    "children and pets.",
    "skin": "Spray, and the finish in new cloth, can irritate skin and breath: fresh air, gloves, or wash it first.",
    "pedal": "A counting pedal stands well away from the machine's own; off while you thread or change the needle.",
    "glue": "Hot glue burns and sticks: nozzle down on its stand, off when you leave it.",
    "awl": "Push an awl into cork, never towards the hand that holds; its point covered after.",
    "steam": "Steam burns past the iron's edge: hands out of it, face aside.",
    "starch": "Starch with the window open; it makes a floor slippery: wipe it after.",
    # AAP 2022; NHS safer sleep
    "infant": "Not for the sleep space of a child under one: no quilt, pillow or cushion there.",
    # What goes with a piece that is sold.
    "fire": "A frayed cotton edge catches and burns fast: keep it away from fires, heaters and candles.",
    # CPSC on small parts, from memory
    "small_parts": "No buttons, beads or loose pulls for children under three.",
    "lap": "A quilt for a child is for floor or lap.",
    "threads": "Long threads can wind round small fingers: pull-test the fringe and trim it.",
    # EU 1007/2011; UK SI 1988/1324; US 16 CFR 303 and 1640
    "selling": "Selling: fibre labels, fire rules for furnishings and rules for children's things differ by "
    "country. Check what applies where you sell; nothing here certifies anything.",
}

# What to do at the needle when it goes wrong, the hands safe first: on paper and at the machine alike.
JAM = (
    "Foot off the pedal, machine off.",
    "Presser foot up, needle up by the wheel, towards you unless the machine's book says otherwise.",
    "Cut the threads above and below. Never pull.",
    "Needle bent or blunt? A new one, its flat side as the machine's book says, on most to the back, pushed home.",
    "Lint out from under the plate. Thread the top again from the reel, presser foot up; put the bobbin in again.",
    "Machine on. Three stitches by the wheel, then the pedal.",
)
BROKEN_NEEDLE = (
    "Foot off the pedal, machine off.",
    "Lay the pieces beside a new needle until it is whole. Look in the cloth, under the plate, on the floor.",
    "Not found? The piece is neither sold nor given.",
    "Draw a thread over plate and hook. Where it catches is a burr: have it smoothed before you sew on.",
    "Put in a new needle, its flat side as the machine's book says, on most to the back, pushed home.",
)
MAKE_SAFE = "Foot off the pedal, iron off, blade shut."  # before every break
AT_THE_NEEDLE = ("Foot off the pedal, machine off, before fingers go near the needle.",)
FIRST_AID = {"bobbin": JAM, "thread": JAM, "needle": BROKEN_NEEDLE}  # by the words of older sessions
OWN_AID = {"jam": JAM, "broken_needle": BROKEN_NEEDLE}
SAFE_FIRST = {  # by station: what comes before anything is mended there
    "machine": AT_THE_NEEDLE[0],
    "table": "Blade shut, shears and glue put down.",
    "iron": "Iron on its heel, away from the cloth.",
    "washer": "Machine off and the drum still before you open it.",
}


def minding(project: ProjectReport | Project, cautions: Sequence[str]) -> tuple[str, ...]:
    """Name the sentences that go with a piece because of whom it is for, the gravest first.

    A stage of the maker's own may ask for an infant's caution whomever the piece is for.
    """
    infant = project.for_whom == "infant" or "infant" in cautions
    if project.for_whom == "anyone" and not infant:
        return ()
    lap = ["lap"] if project.for_whom != "anyone" and project.back == "none" else []
    return (*(["infant"] if infant else []), *lap, "small_parts", "threads")


def left_safe(quantities: Mapping[str, Any]) -> str:
    """How the table is left for the night, or for good; pins are counted unless the plan says that none are used."""
    pins = "pins_used" not in quantities or quantities["pins_used"].value
    return f"Machine and iron off at the wall, blades shut{', pins counted' if pins else ''}."


class Piece(msgspec.Struct, frozen=True):
    """What its washing depends on; as it stands, what holds of all."""

    back: str = "none"
    closure: str = "none"
    wadding: bool = True
    words: str = "british"
    cloths_washed: tuple[str, ...] = ()


def washing(project: ProjectReport | Project | Piece) -> str:
    """Say how a piece is washed, on its log and its care slip alike; the steps say the same of the first time.

    What its kinds of cloth ask for comes last.
    """
    told = [
        "Take the pad out first." if project.back != "none" else "",
        "Shut the zip." if project.closure == "zip" else "",
        "Shake it outdoors.",
        "Wash it cool and gentle: the first time alone and in a laundry bag, later with like colours.",
        "Dry it on low heat or on the line; clean the filter before and after.",
        "The raw edges are meant to fray, and the fringe thickens over the first few washes.",
        "Cut off threads longer than the rest.",
        "No hot iron on the wadding." if project.wadding else "",
    ]
    kinds = washing_of(project.prints) if isinstance(project, Project) else project.cloths_washed
    return " ".join([said(" ".join(filter(None, told)), project.words), *kinds])


def in_trouble(plan: Plan, why: str, station: str) -> tuple[list[str], list[str]]:
    """What keeps people safe in a trouble, done first, and what helps; `why` is the word it was written down with."""
    words = plan.project.words
    found = next((one for one in plan.troubles if said(one.name, words) == why), None)
    if found is None and why in FIRST_AID:
        return first_aid(why, words), []
    if found is not None and found.first_aid:
        return [said(one, words) for one in OWN_AID[found.first_aid]], [said(one, words) for one in found.helps]
    safe, helps = (found.safe, found.helps) if found else ((), ())
    first = [*([SAFE_FIRST[station]] if station in SAFE_FIRST else []), *safe]
    return [said(one, words) for one in first], [said(one, words) for one in helps]


def first_aid(trouble: str, words: str) -> list[str]:
    """What to do first in a trouble, by the word it was written down with."""
    return [said(one, words) for one in FIRST_AID.get(trouble, AT_THE_NEEDLE)]


def caution(name: str, words: str) -> str:
    """A caution's sentence by its name, in the project's words."""
    return said(SENTENCES[name], words)
