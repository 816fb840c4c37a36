"""The shape of a stage file: every key in one table, and the tables a step may be written once for (`each:`)."""

import re

from msgspec.structs import replace

from guide.read.model import Dim, Key
from guide.read.project_keys import group, some, text, usual

MOST_WORDS = 1200  # characters of a step's text
STATIONS = ("table", "machine", "iron", "floor", "washer")
CAUTIONS = (
    "blade", "needle", "iron", "spray", "lint", "hands", "pins", "infant", "machine", "floor", "bleed",
    "nylon", "unpicker", "plug", "eyes", "weight", "room", "skin", "pedal", "glue", "awl", "steam", "starch",
    "small_parts", "threads", "fire",
)  # fmt: skip
# What a step's picture may be: its name, the map or sketch that stands for it on the screen, and what it shows.
PICTURES: dict[str, tuple[str, str]] = {
    "press_cloth": ("", "cloth pressed, a thread drawn, the end cut along it"),
    "cut": ("", "the cutting plans of this step's cloth; beside `each: cuts`"),
    "piles": ("", "a pile of each print"),
    "cloth_wash": ("", "a cloth's corners cut off, and the drum"),
    "cloth_dry": ("", "tangled threads cut off, cloth on the line"),
    "faces": ("faces", "the front, and what is seen when it is turned"),
    "both": ("both", "the same; on the screen both are shown"),
    "stack": ("stack", "a stack of squares, drawn apart"),
    "under": ("stack", "squares under the wadding, and what holds them"),
    "wadding": ("wadding", "the wadding in its middle, and what holds it"),
    "top": ("stack", "squares on top, smoothed and held"),
    "hold": ("stack", "a stack without wadding, and what holds it"),
    "trial": ("", "the layers under the foot, and the stitch"),
    "mark": ("cross", "the quilting lines ruled"),
    "cross": ("cross", "the quilting sewn, a line after the other"),
    "plus": ("plus", "the same"),
    "trim_threads": ("cross", "thread ends cut; pins or tacking out"),
    "tacking_out": ("faces", "tacking pulled out"),
    "pins_out": ("faces", "pins into the tin"),
    "pins_in": ("", "pins counted"),
    "seam": ("seam", "a raw-edge seam: together, sewn short of its ends, opened"),
    "crossing": ("crossing", "rows joined: flaps flat, sewn over, opened"),
    "square_up": ("faces", "ruler in the corners, diagonals alike"),
    "measure": ("faces", "a tape across or down, whichever is measured"),
    "snips": ("snips", "snips along a seam, and its whole end"),
    "snips_long": ("snips", "snips along a long seam, flaps lifted"),
    "flaps": ("crossing", "snips in a crossing's flaps; the panel shaken"),
    "snips_outer": ("snips_outer", "the outer edge snipped, a corner's slit, ends freed"),
    "back": ("back", "an ordinary seam: together, sewn, fed in a chain"),
    "neaten": ("back", "both edges of a seam neatened together"),
    "neaten_long": ("back", "long seams neatened, and the zip seam's edges"),
    "press": ("press", "seams pressed alternate ways"),
    "nest": ("back", "seams nested, sewn, pressed"),
    "back_trim": ("back", "the back trimmed to the front"),
    "zip": ("zip", "the same as `zip_box`, of a step of that name its own"),
    "zip_cut": ("zip", "slider in, zip cut, marked"),
    "zip_seam": ("zip", "the zip's seam: sewn, tacked, sewn"),
    "zip_press": ("zip", "the seam pressed open, the zip glued on it"),
    "zip_box": ("zip", "the box round the zip, the slider passed"),
    "zip_unpick": ("zip", "the tacking unpicked"),
    "envelope": ("envelope", "both panels of an envelope as they lie"),
    "envelope_trim": ("envelope", "a panel trimmed"),
    "hem_press": ("press", "a hem folded and pressed"),
    "hem": ("envelope", "a hem sewn"),
    "pinning": ("pinning", "front and back laid together and held"),
    "outer": ("outer", "a line all round, its corners and lumps"),
    "again": ("outer", "a second line inside the first"),
    "lint": ("", "lint rolled off, the bobbin case brushed"),
    "feel": ("", "a hand over the seams"),
    "pull": ("", "the fringe pulled"),
    "wash": ("", "shaken, into its bag, into the drum"),
    "dry": ("", "shaken, and on the line"),
    "fluff": ("", "the fringe before and after washing, brushed"),
    "finish": ("both", "the pad going in; the piece to be photographed"),
    "none": ("", "no picture"),
}
TABLE_NAMES = ("prints", "cuts", "blocks", "parts", "cloths", "loads", "cloth_loads")
GROUPS = {"sizes": "Sizes", "pieces": "Pieces", "closure": "Back and closure", "sewing": "Sewing"}  # of labels
DIMS = ("length", "count", "ratio", "time", "weight", "text", "flag")


_FORMULA = Key("formula", "a formula")


def map_of(picture: str | None) -> str:
    """The map or sketch that stands on the screen for a step's picture; "" where there is none."""
    return PICTURES.get(picture or "", ("", ""))[0]


def _by_name(says: str, item: Key) -> Key:
    """Make the key of a group whose keys are names of a maker's own."""
    return Key("map", says, item=item)


_ON_IT: dict[str, Key] = {
    "small_part": Key("flag", "true: it puts on the piece what a mouth can take off, such as a button, a bead, a pull"),
    "cord": Key("flag", "true: it puts a tie, a cord or a loop on the piece, of any length"),
}
_INPUT = group(
    "a key this stage adds to projects",
    **{"is": Key("choice", "what it measures", required=True, choices=DIMS)},
    at=text("where it stands, when not at the top of a project: closure.hem", 80),
    closure=text("whose it is: with another closure it is none, and refused where written", 40),
    default=text("its value when a project does not write it", 80),
    default_metric=text("the same in a metric project, where it is another", 80),
    at_least=text("smallest value", 40),
    over=text("what it must be over", 40),
    at_most=text("largest value", 40),
    choices=Key("names", "what a text may be"),
    says=text("what it is, for the docs", 200),
    **_ON_IT,
)
_CLOTH = "a print's name, or: first (the first print), back (of a plain back, else the first print), wadding"
_PART = group(
    "something cutting must cut",
    name=text("what it is called", 60, required=True),
    cloth=text(_CLOTH, 60, required=True),
    width=Key("formula", "width across the cloth", required=True),
    height=Key("formula", "height along the grain", required=True),
    count=Key("formula", "how many, for all makes", required=True),
    when=_FORMULA,
    **_ON_IT,
)
_HANDLING = "how much of a piece's pace does not grow with its effort: fetching, placing, cutting off"
_NEEDS = "stage/id of the steps that must be done before it can be begun, or a stage for all of its; [] for none"
STEP = group(
    "a step",
    id=text("its name within the stage", 40, required=True),
    title=text("what to do, in a few words", 60, required=True),
    do=text("how, in the fewest words; may use {{ names }}", MOST_WORDS),
    why=text("why it is done so", MOST_WORDS),
    if_wrong=text("what to do when it went wrong", MOST_WORDS),
    beginner=text("a hint for a beginner", MOST_WORDS),
    good_enough=text("when it is good enough", MOST_WORDS),
    when=Key("formula", "only when this holds"),
    each=Key("choice", "one step per row of that table", choices=TABLE_NAMES),
    repeat=Key("formula", "how many pieces"),
    count=usual("how pieces may be counted", "each", "batch", "none"),
    piece=text("what one piece is called", 30),
    together=text("steps of one group may be worked piece by piece", 30),
    station=usual("where it is done", *STATIONS),
    pace=text("starter pace: 60 s per piece, 5 min per m, 3 min", 80),
    handling=Key("duration", _HANDLING, at_least=0.0),
    usual=Key("formula", "the effort that the pace is for; beyond it the rest grows with the effort"),
    pace_factor=Key("formula", "how many times longer than that it takes here: a large piece, many layers"),
    beginner_factor=Key("number", "how many times longer a beginner takes", at_least=1.0, at_most=20.0),
    effort=Key("formula", "what one piece may also be measured by: a length or a count"),
    waits=Key("duration", "runs on its own afterwards", at_least=0.0, at_most=7 * 86_400.0),
    cue=text("said two steps ahead", 60),
    measure=text("a name to measure here", 60),
    within=Key("size", "how far off is still good"),
    shows=_by_name("values that stand large beside the step: name, and a short label", text("label", 40)),
    picture=Key("choice", "the picture that helps here; what each shows is listed below", choices=tuple(PICTURES)),
    tools=Key("list", "what to have at hand", item=text("a tool; may use {{ names }} of counts", 60)),
    cautions=Key("names", "what can hurt", choices=CAUTIONS),
    cautions_when=_by_name("of those, what hurts only when this holds", _FORMULA),
    safety=Key("flag", "true: it protects somebody, so it stays whatever `stages` says and is never put off"),
    count_in=text("what must be back: how many went out and are in is typed before it is done", 30),
    needs=Key("names", _NEEDS, default="the step before it"),
    before=text("place it before this step: stage/id", 80),
    after=text("place it after this step: stage/id", 80),
)
_SAFETY = "its name, in the place of stage: all its steps protect somebody, and no other file replaces it"
_LABELS = f"what numbers are called: [name, group]; the groups of the plan's table are {', '.join(GROUPS)}"
STAGE = replace(
    group(
        "a stage",
        stage=text("its name, the file's name without .yaml", 40),
        safety=text(_SAFETY, 40),
        title=text("its title", 60, required=True),
        when=Key("formula", "only when this holds"),
        adds=group(
            "words this file adds to a project's choices",
            kind=Key("names", "kinds of article"),
            closure=Key("names", "closures"),
        ),
        inputs=_by_name("keys of its own in project files", _INPUT),
        work_out=_by_name("names and their formulas", _FORMULA),
        labels=_by_name(_LABELS, Key("list", "a name for people, and a group", item=text("a name, or a group", 60))),
        parts=Key("list", "what cutting must cut", item=_PART),
        steps=Key("list", "its steps, in order", item=STEP),
    ),
    one_of=("stage", "safety"),
)

_PAD = group(
    "a pad as it is sold",
    width=Key("length", "one side", required=True, over=0.0, at_most=5000.0),
    height=Key("length", "the other", required=True, over=0.0, at_most=5000.0),
    units=Key("choice", "in whose projects it is named; else in all", choices=("inch", "metric")),
)
# What lies in a workflows folder beside the stages: a file's first key, and the shape of what stands under it by name.
# What is called alike in several files is as the last of them says: shipped, the maker's own, the project's. A journal
# keeps the texts with those of the stages.
CLOTH = group(
    "a kind of cloth; what is not written is as of quilting cotton",
    like=text("another kind, whose figures it takes but for those written here", 60),
    weight=Key("cloth_weight", "what it weighs", over=0.0, at_most=2000.0),
    thickness=Key("length", "one layer squeezed in a seam", over=0.0, at_most=20.0),
    shrinks=group(
        "what a first wash usually takes",
        length=Key("percent", "along the grain", at_least=0.0, at_most=0.5),
        width=Key("percent", "across", at_least=0.0, at_most=0.5),
    ),
    frays=Key("choice", "how; what does not goes inside only", choices=("well", "softly", "little", "not")),
    fills_after=some("washes until its fringe has filled out", 1, 20),
    needle=some("the thinnest needle it takes, metric number", 60, 130),
    stitch=Key("length", "a seam's stitch in it", at_least=1.0, at_most=8.0),
    pace=Key("number", "times a maker's usual time it takes", at_least=0.2, at_most=10.0),
    cut_layers=some("layers the cutter goes through at once", 1, 12),
    slips=Key("flag", "its layers do not cling to each other"),
    washing=text("how it is washed", 120),
    figures=Key("choice", "where they come from", choices=("practice", "memory", "measured"), default="memory"),
)
_DIAL = Key("number", "as its dial says", required=True, at_least=0.0, at_most=100.0)
_PRESSED = Key("number", "as its dial says", over=0.0, at_most=100.0)
MACHINE = group(
    "a sewing machine",
    stitch=Key("length", "its usual stitch", at_least=1.0, at_most=8.0),
    longest=Key("length", "the longest it sews; it tacks with that", at_least=1.0, at_most=12.0),
    needle=group("where its needle can stand, as its dial says", left=_DIAL, middle=_DIAL, right=_DIAL),
    feet=Key("list", "the feet there are for it: walking foot, zip foot …", item=text("a foot", 40)),
    pressure=group("of the foot, as its dial says: usual, and where many layers lie", usual=_PRESSED, thick=_PRESSED),
    bobbin=Key("length", "thread its bobbin holds", over=0.0, at_most=1_000_000.0),
)
_ON_SHELF = group(
    "a piece as it lies on the table",
    piece=text("its number on the shelf", 40, required=True),
    width=Key("length", "across the cloth", required=True, over=0.0),
    length=Key("length", "along the grain", required=True, over=0.0),
    count=some("so many alike", 1, 100_000, default="1"),
    straight=Key("flag", "cut along a thread already", default="false"),
    squares=Key("flag", "squares of the project's size, ready cut", default="false"),
    washes=Key("flag", "it is washed for this, and measures that then", default="false"),
    whole=Key("length", "its whole width, selvedges too, where it is washed for this", over=0.0),
)
_TROUBLE = group(
    "one trouble",
    at=Key("names", "the stations it is offered at", required=True, choices=STATIONS),
    safe=Key("list", "what keeps people safe, done first", item=text("a sentence", 200)),
    helps=Key("list", "what helps", item=text("a sentence", 200)),
    first_aid=Key("choice", "the guide's own words for it", choices=("jam", "broken_needle")),
)
_BETWEEN = "whose the time from one step's end to the next one's start is"
BESIDE: dict[str, Key] = {
    "cloths": _by_name("kinds of cloth, by the name that prints give them", CLOTH),
    "shelf": _by_name("cloth that lay on the shelf when a session began, by name", Key("list", item=_ON_SHELF)),
    "troubles": _by_name("what goes wrong, by its name, in the order it is offered in", _TROUBLE),
    "pads": _by_name("sizes that pads are sold in, by what they are called", _PAD),
    "machines": _by_name("sewing machines, by what you call them; the first is in use", MACHINE),
    "choices": group(
        "what a maker chose once for all sessions",
        between_steps=Key("choice", _BETWEEN, choices=("counted", "nobody"), default="nobody"),
    ),
    "at_machine": _by_name("the machine that a session went over to", Key("map")),
}
# What a maker writes; a session's shelf, and which machine it is at, are written for them.
BY_HAND = tuple(kind for kind in BESIDE if kind not in {"shelf", "at_machine"})


TABLES: dict[str, dict[str, Dim]] = {
    "prints": {
        "print": "text", "letter": "text", "squares": "count", "strips": "count", "cloth_width": "length",
        "buy": "length", "one_way": "flag",
    },
    "cuts": {
        "material": "text", "part": "text", "setting": "length", "strips": "count", "pieces": "count",
        "layers": "count", "along": "flag", "then": "text", "source": "text",
        "bought": "flag", "washed": "flag", "usable_width": "length", "ready": "count",
        "shares": "text", "trimmed": "text", "at_once": "count", "of_cloth": "ratio",
    },
    "blocks": {"number": "count", "row": "count", "column": "count", "stack": "text"},
    "parts": {"part": "text", "material": "text", "width": "length", "height": "length", "pieces": "count"},
    "loads": {
        "load": "text", "number": "count", "of": "count", "wash": "count", "articles": "count", "weighs": "weight",
    },
    "cloth_loads": {
        "load": "text", "number": "count", "of": "count", "cloths": "count", "names": "text", "weighs": "weight",
    },
    "cloths": {"material": "text", "width": "length", "length": "length", "bought": "flag"},
}  # fmt: skip

# Tables of what goes into the washer together: their rows are worked one after another, each dried before the next.
LOADS = ("loads", "cloth_loads")

# Names in a tool: `needle {{ needle_quilting }}`. Counts only, so a plan needs no template engine for them.
TOOL_NAMES = re.compile(r"\{\{ *(\w+) *\}\}")
