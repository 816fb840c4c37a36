"""The shape of a stage file: every key in one table, and the tables a step may be written once for (`each:`)."""

import re

from guide.read.model import Dim, Key

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


def _text(says: str, *, required: bool = False, longest: int = 1200) -> Key:
    return Key("text", says, required=required, longest=longest)


_FORMULA = Key("formula", "a formula")


def map_of(picture: str | None) -> str:
    """The map or sketch that stands on the screen for a step's picture; "" where there is none."""
    return PICTURES.get(picture or "", ("", ""))[0]


_ON_IT: dict[str, Key] = {
    "small_part": Key("flag", "true: it puts on the piece what a mouth can take off, such as a button, a bead, a pull"),
    "cord": Key("flag", "true: it puts a tie, a cord or a loop on the piece, of any length"),
}
_INPUT = Key(
    "map",
    "a key this stage adds to projects",
    keys={
        "is": Key("choice", "what it measures", required=True, choices=DIMS),
        "at": Key("text", "where it stands, when not at the top of a project: closure.hem", longest=80),
        "closure": Key("text", "whose it is: with another closure it is none, and refused where written", longest=40),
        "default": Key("text", "its value when a project does not write it", longest=80),
        "default_metric": Key("text", "the same in a metric project, where it is another", longest=80),
        "at_least": Key("text", "smallest value", longest=40),
        "over": Key("text", "what it must be over", longest=40),
        "at_most": Key("text", "largest value", longest=40),
        "choices": Key("names", "what a text may be"),
        "says": _text("what it is, for the docs", longest=200),
        **_ON_IT,
    },
)
_PART = Key(
    "map",
    "something cutting must cut",
    keys={
        "name": _text("what it is called", required=True, longest=60),
        "cloth": _text(
            "a print's name, or: first (the first print), back (of a plain back, else the first print), wadding",
            required=True,
            longest=60,
        ),
        "width": Key("formula", "width across the cloth", required=True),
        "height": Key("formula", "height along the grain", required=True),
        "count": Key("formula", "how many, for all makes", required=True),
        "when": _FORMULA,
        **_ON_IT,
    },
)
STEP = Key(
    "map",
    "a step",
    keys={
        "id": _text("its name within the stage", required=True, longest=40),
        "title": _text("what to do, in a few words", required=True, longest=60),
        "do": _text("how, in the fewest words; may use {{ names }}"),
        "why": _text("why it is done so"),
        "if_wrong": _text("what to do when it went wrong"),
        "beginner": _text("a hint for a beginner"),
        "good_enough": _text("when it is good enough"),
        "when": Key("formula", "only when this holds"),
        "each": Key("choice", "one step per row of that table", choices=TABLE_NAMES),
        "repeat": Key("formula", "how many pieces"),
        "count": Key("choice", "how pieces may be counted", choices=("each", "batch", "none"), default="each"),
        "piece": _text("what one piece is called", longest=30),
        "together": _text("steps of one group may be worked piece by piece", longest=30),
        "station": Key("choice", "where it is done", choices=STATIONS, default="table"),
        "pace": _text("starter pace: 60 s per piece, 5 min per m, 3 min", longest=80),
        "handling": Key(
            "duration",
            "how much of a piece's pace does not grow with its effort: fetching, placing, cutting off",
            at_least=0.0,
        ),
        "usual": Key("formula", "the effort that the pace is for; beyond it the rest grows with the effort"),
        "pace_factor": Key("formula", "how many times longer than that it takes here: a large piece, many layers"),
        "beginner_factor": Key("number", "how many times longer a beginner takes", at_least=1.0, at_most=20.0),
        "effort": Key("formula", "what one piece may also be measured by: a length or a count"),
        "waits": Key("duration", "runs on its own afterwards", at_least=0.0, at_most=7 * 86_400.0),
        "cue": _text("said two steps ahead", longest=60),
        "measure": _text("a name to measure here", longest=60),
        "within": Key("size", "how far off is still good"),
        "shows": Key(
            "map", "values that stand large beside the step: name, and a short label", item=_text("label", longest=40)
        ),
        "picture": Key(
            "choice", "the picture that helps here; what each shows is listed below", choices=tuple(PICTURES)
        ),
        "tools": Key("list", "what to have at hand", item=_text("a tool; may use {{ names }} of counts", longest=60)),
        "cautions": Key("names", "what can hurt", choices=CAUTIONS),
        "cautions_when": Key("map", "of those, what hurts only when this holds", item=_FORMULA),
        "safety": Key("flag", "true: it protects somebody, so it stays whatever `stages` says and is never put off"),
        "count_in": _text("what must be back: how many went out and are in is typed before it is done", longest=30),
        "needs": Key(
            "names",
            "stage/id of the steps that must be done before it can be begun, or a stage for all of its; [] for none",
            default="the step before it",
        ),
        "before": _text("place it before this step: stage/id", longest=80),
        "after": _text("place it after this step: stage/id", longest=80),
    },
)
STAGE = Key(
    "map",
    "a stage",
    one_of=("stage", "safety"),
    keys={
        "stage": _text("its name, the file's name without .yaml", longest=40),
        "safety": _text(
            "its name, in the place of stage: all its steps protect somebody, and no other file replaces it", longest=40
        ),
        "title": _text("its title", required=True, longest=60),
        "when": Key("formula", "only when this holds"),
        "adds": Key(
            "map",
            "words this file adds to a project's choices",
            keys={"kind": Key("names", "kinds of article"), "closure": Key("names", "closures")},
        ),
        "inputs": Key("map", "keys of its own in project files", item=_INPUT),
        "work_out": Key("map", "names and their formulas", item=_FORMULA),
        "labels": Key(
            "map",
            f"what numbers are called: [name, group]; the groups of the plan's table are {', '.join(GROUPS)}",
            item=Key("list", "a name for people, and a group", item=_text("a name, or a group", longest=60)),
        ),
        "parts": Key("list", "what cutting must cut", item=_PART),
        "steps": Key("list", "its steps, in order", item=STEP),
    },
)

_PAD = Key(
    "map",
    "a pad as it is sold",
    keys={
        "width": Key("length", "one side", required=True, over=0.0, at_most=5000.0),
        "height": Key("length", "the other", required=True, over=0.0, at_most=5000.0),
        "units": Key("choice", "in whose projects it is named; else in all", choices=("inch", "metric")),
    },
)
# What lies in a workflows folder beside the stages: a file's first key, and the shape of what stands under it by name.
# What is called alike in several files is as the last of them says: shipped, the maker's own, the project's. A journal
# keeps the texts with those of the stages.
CLOTH = Key(
    "map",
    "a kind of cloth; what is not written is as of quilting cotton",
    keys={
        "like": Key("text", "another kind, whose figures it takes but for those written here", longest=60),
        "weight": Key("cloth_weight", "what it weighs", over=0.0, at_most=2000.0),
        "thickness": Key("length", "one layer squeezed in a seam", over=0.0, at_most=20.0),
        "shrinks": Key(
            "map",
            "what a first wash usually takes",
            keys={
                "length": Key("percent", "along the grain", at_least=0.0, at_most=0.5),
                "width": Key("percent", "across", at_least=0.0, at_most=0.5),
            },
        ),
        "frays": Key("choice", "how; what does not goes inside only", choices=("well", "softly", "little", "not")),
        "fills_after": Key("count", "washes until its fringe has filled out", at_least=1, at_most=20),
        "needle": Key("count", "the thinnest needle it takes, metric number", at_least=60, at_most=130),
        "stitch": Key("length", "a seam's stitch in it", at_least=1.0, at_most=8.0),
        "pace": Key("number", "times a maker's usual time it takes", at_least=0.2, at_most=10.0),
        "cut_layers": Key("count", "layers the cutter goes through at once", at_least=1, at_most=12),
        "slips": Key("flag", "its layers do not cling to each other"),
        "washing": Key("text", "how it is washed", longest=120),
        "figures": Key("choice", "where they come from", choices=("practice", "memory", "measured"), default="memory"),
    },
)
_DIAL = Key("number", "as its dial says", required=True, at_least=0.0, at_most=100.0)
_PRESSED = Key("number", "as its dial says", over=0.0, at_most=100.0)
MACHINE = Key(
    "map",
    "a sewing machine",
    keys={
        "stitch": Key("length", "its usual stitch", at_least=1.0, at_most=8.0),
        "longest": Key("length", "the longest it sews; it tacks with that", at_least=1.0, at_most=12.0),
        "needle": Key(
            "map",
            "where its needle can stand, as its dial says",
            keys={"left": _DIAL, "middle": _DIAL, "right": _DIAL},
        ),
        "feet": Key("list", "the feet there are for it: walking foot, zip foot …", item=_text("a foot", longest=40)),
        "pressure": Key(
            "map",
            "of the foot, as its dial says: usual, and where many layers lie",
            keys={"usual": _PRESSED, "thick": _PRESSED},
        ),
        "bobbin": Key("length", "thread its bobbin holds", over=0.0, at_most=1_000_000.0),
    },
)
BESIDE: dict[str, Key] = {
    "cloths": Key("map", "kinds of cloth, by the name that prints give them", item=CLOTH),
    "shelf": Key(
        "map",
        "cloth that lay on the shelf when a session began, by name",
        item=Key(
            "list",
            item=Key(
                "map",
                "a piece as it lies on the table",
                keys={
                    "piece": Key("text", "its number on the shelf", required=True, longest=40),
                    "width": Key("length", "across the cloth", required=True, over=0.0),
                    "length": Key("length", "along the grain", required=True, over=0.0),
                    "count": Key("count", "so many alike", default="1", at_least=1, at_most=100_000),
                    "straight": Key("flag", "cut along a thread already", default="false"),
                    "squares": Key("flag", "squares of the project's size, ready cut", default="false"),
                    "washes": Key("flag", "it is washed for this, and measures that then", default="false"),
                    "whole": Key("length", "its whole width, selvedges too, where it is washed for this", over=0.0),
                },
            ),
        ),
    ),
    "troubles": Key(
        "map",
        "what goes wrong, by its name, in the order it is offered in",
        item=Key(
            "map",
            "one trouble",
            keys={
                "at": Key("names", "the stations it is offered at", required=True, choices=STATIONS),
                "safe": Key("list", "what keeps people safe, done first", item=_text("a sentence", longest=200)),
                "helps": Key("list", "what helps", item=_text("a sentence", longest=200)),
                "first_aid": Key("choice", "the guide's own words for it", choices=("jam", "broken_needle")),
            },
        ),
    ),
    "pads": Key("map", "sizes that pads are sold in, by what they are called", item=_PAD),
    "machines": Key("map", "sewing machines, by what you call them; the first is in use", item=MACHINE),
    "choices": Key(
        "map",
        "what a maker chose once for all sessions",
        keys={
            "between_steps": Key(
                "choice",
                "whose the time from one step's end to the next one's start is",
                choices=("counted", "nobody"),
                default="nobody",
            ),
        },
    ),
    "at_machine": Key("map", "the machine that a session went over to", item=Key("map")),
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
