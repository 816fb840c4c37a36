"""The keys of a project file: what may be written, what holds when nothing is, what formulas call it, in one table.

What a stage adds to projects, its `inputs`, are keys like these; those of a closure stand in its stage.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from guide.read.model import Key
from guide.read.strict_yaml import Path
from guide.read.units import INCH

# The keys of money in a project file: notions, labour, and what selling costs at each place.


def part(says: str, default: str | None = None, below: float = 0.95, name: str = "") -> Key:
    """Make the key of a part of something, from nothing up."""
    return Key("percent", says, default=default, at_least=0.0, at_most=below, name=name)


def some(says: str, least: int = 1, most: int = 500, **more: Any) -> Key:
    """Make the key of a whole number."""
    return Key("count", says, at_least=least, at_most=most, **more)


# What selling costs at a place; what a place does not write is as `sell` itself says.
_SELLING = {
    "margin": part("part of the price that is profit", "0 %", 0.99),
    "fee": part("part of what the buyer pays that the seller's place keeps", "0 %", 0.99),
    "fee_each": Key("money", "a fee on each sale besides", at_least=0.0),
    "part": part("a shop's part of the price before tax", "0 %", 0.99),
    "packing": Key("money", "box, paper, label of one sale", at_least=0.0),
    "tax": part("tax on the sale, on top of the price before it", "0 %", 0.99),
    "round_up_to": Key("money", "round the price up to this", over=0.0),
    "sale_takes": Key("duration", "your time for each sale: photographs, letters, the way to the post", at_least=0.0),
    "unsold": part("part of what is made that nobody buys: those sold pay for it", "0 %"),
    "day": Key(
        "map",
        "what a day at a stall costs, and brings",
        keys={
            "sells": Key("number", "how many are sold on it", required=True, over=0.0, at_most=10_000),
            "pitch": Key("money", "what the place costs for the day", at_least=0.0),
            "hours": Key("number", "your hours there", at_least=0.0, at_most=24),
            "road": Key("number", "your hours on the road, there and back", at_least=0.0, at_most=48),
        },
    ),
}


def money_keys() -> dict[str, Key]:
    """Give the keys of a project file that are about money."""
    return {
        "extras": Key(
            "list",
            "notions bought whole",
            item=Key(
                "map",
                "a notion",
                keys={
                    "name": Key("text", "what it is", required=True, longest=60),
                    "each": Key("choice", "one per", choices=("make", "project"), default="make"),
                    "count": some("so many", default="1", most=10_000),
                    "price": Key("money", "price of one", required=True, at_least=0.0),
                },
            ),
        ),
        "labour": Key(
            "map",
            "what an hour is worth",
            keys={
                "rate": Key("rate", "money for an hour", per=("hour",)),
                "allowance": part("rest allowance; the hands' rests are in it, and paid where it is less", "0 %"),
            },
        ),
        "sell": Key(
            "map",
            "what selling costs",
            keys={
                "margin": _SELLING["margin"],
                "overhead": Key("rate", "light, space, machine", per=("hour",)),
                **_SELLING,
                "places": Key(
                    "map",
                    "where it is sold, each place by a name of your own; other commands price as at the first",
                    item=Key("map", "a place; what it does not say is as sell says", keys=_SELLING),
                ),
            },
        ),
        "currency": Key("text", "letters of the currency", default="EUR", longest=8),
    }


PER_LENGTH = ("yd", "m", "in", "cm")
KINDS = ("cushion", "throw")
CLOSURES = ("zip", "envelope", "none")
QUILTING = ("cross", "plus", "none")
WHOM = ("anyone", "child", "infant")  # a child: under three; an infant: under one

_NAME = Key("text", "name of a cloth", required=True, longest=60)
_PER_CLOTH = Key("rate", "price of a length of it", per=PER_LENGTH)


def _pos(says: str, default: str | None = None, metric: str | None = None, **more: Any) -> Key:
    """Make the key of a length over nothing, up to 100 m."""
    return Key("length", says, default=default, metric=metric, over=0.0, at_most=100_000.0, **more)


def _from0(says: str, default: str | None = None, metric: str | None = None, **more: Any) -> Key:
    """Make the key of a length that may be nothing."""
    return Key("length", says, default=default, metric=metric, at_least=0.0, at_most=100_000.0, **more)


_ON_HAND = Key(
    "map",
    "a piece on hand (width across, length along the grain) or ready-cut squares",
    keys={
        "width": _pos("across the cloth"),
        "length": _pos("along the grain"),
        "count": some("so many pieces alike", default="1"),
        "straight": Key(
            "flag",
            "cut along a thread already; else 1/2 in (metric: 1 cm) is cut off one side and one end",
            default="false",
        ),
        "squares": some("squares already cut to size", most=100_000),
    },
)
PRINT = Key(
    "map",
    "a patterned cloth",
    keys={
        "name": _NAME,
        "width": _pos("whole width of the bolt, selvedges too"),
        "selvedge": _from0("each selvedge, not used", "1/2 in", "12 mm"),
        "price": _PER_CLOTH,
        "shrinks": Key(
            "map",
            "what washing takes, from a washed swatch",
            keys={"length": part("along the grain", "0 %", 0.5), "width": part("across", "0 %", 0.5)},
        ),
        "swatch": Key(
            "map",
            "the same as measured: a swatch between two marks, before washing and after",
            keys={
                "before": _pos("between the marks before washing", required=True),
                "after_length": _pos("between them after, along the grain"),
                "after_width": _pos("between them after, across"),
            },
        ),
        "one_way": Key("flag", "the print has a top: never turned", default="false"),
        "at_most": some("squares in all, at most", least=0, most=100_000),
        "use_up": Key("flag", "use all ready-cut squares of it", default="false"),
        "on_hand": Key(
            "either",
            "pieces or ready-cut squares on hand",
            options=(
                Key("choice", "what lies on the shelf (guide help book)", choices=("shelf",)),
                Key("list", "pieces or ready-cut squares", item=_ON_HAND),
            ),
        ),
        "reverse": Key("text", "colour of its back, for the fringe", longest=60),
        "colour": Key("colour", "its colour as it is to be drawn"),
        "photo": Key("photo", "a picture of it, a file beside the project"),
        "weight": Key("cloth_weight", "what it weighs; before what its kind does", over=0.0, at_most=2000.0),
        "thickness": _pos("one layer squeezed in a seam; before the project's and its kind's"),
        "made_of": Key("text", "its kind, as a file with cloths: names it; else as quilting cotton", longest=60),
    },
)
TARGET = Key(
    "either",
    "plan backwards, to grid and square (3 in to 12 in; metric 7.5 cm to 30 cm); on hand to the grid, with the "
    "square written",
    options=(
        Key("choice", "the largest that the cloth on hand gives", choices=("on hand",)),
        Key(
            "map",
            "from a finished size",
            keys={
                "width": _pos("finished width", required=True),
                "height": _pos("finished height", required=True),
                "after": Key("choice", "when it has that size", choices=("washing", "sewing"), default="washing"),
                "of": Key("choice", "what has that size", choices=("cover", "pad"), default="cover"),
            },
        ),
    ),
)


WADDING = Key(
    "either",
    "the soft layer inside each block",
    options=(
        Key("choice", "no wadding", choices=("none",)),
        Key(
            "map",
            "wadding",
            keys={
                "gap": _from0(
                    "how much smaller than the square, each side", "seam", name="wadding_gap", needs="wadding"
                ),
                "width": _pos("width of the roll", "90 in", "220 cm", name="wadding_width", needs="wadding"),
                "price": Key("rate", "price of a length of it", per=PER_LENGTH),
                "thickness": _from0(
                    "squeezed in a seam (from memory)", "1 mm", name="wadding_thickness", needs="wadding"
                ),
                "made_of": Key("text", "what lies there instead: a kind of cloth, fleece and felt too", longest=60),
            },
        ),
    ),
)


OF_ANY_CLOSURE = ("type", "price")


def project_keys(
    kinds: tuple[str, ...] = (),
    closures: tuple[str, ...] = (),
    stages: tuple[str, ...] = (),
    own: Sequence[Key] = (),
    closure: str = "",
) -> Key:
    """Give the key of a whole project; stage files may add kinds, closures, stages and keys of their own.

    Where two closures have a key of one name, `closure` says whose is meant.
    """
    types = (*CLOSURES[:2], *closures, "none")
    inside = {key.at[1]: key for key in sorted(own, key=lambda key: key.needs == closure) if len(key.at) > 1}
    how = Key(
        "either",
        "how the opening shuts",
        options=(
            Key("choice", "no closure", choices=("none", *closures)),
            Key(
                "map",
                "a zip, an envelope, or what a stage file adds",
                keys={
                    "type": Key("choice", "kind of closure", required=True, choices=types),
                    "price": Key("money", "price of one zip, or of what closes one article", at_least=0.0),
                    **inside,
                },
            ),
        ),
    )
    keys = {
        **_what(kinds),
        **_size(),
        **_make_up(how),
        **_sewing(),
        **money_keys(),
        "stages": Key("names", "which stages, in which order", choices=stages, default="all that are shipped"),
    }
    mine = {key.name: key for key in own if len(key.at) == 1 and key.name not in keys}
    return Key("map", "a project", keys=keys | mine)


def named(key: Key, path: Path = ()) -> Iterator[tuple[Path, Key]]:
    """List every key that formulas have a name for, with its path in the file."""
    if key.name:
        yield path, key
    for way in (key, *key.options):
        for word, inner in way.keys.items():
            yield from named(inner, (*path, word))


def _what(kinds: tuple[str, ...]) -> dict[str, Key]:
    return {
        "project": Key("text", "its title", required=True, longest=80),
        "kind": Key("choice", "what is made", required=True, choices=(*KINDS, *kinds), name="kind"),
        "for": Key(
            "choice",
            "whom it is for: a child under three (nothing small on it), an infant under one (no ties or cords either)",
            choices=WHOM,
            default="anyone",
            name="for_whom",
        ),
        "make": some("how many are made", default="1", most=1000, name="make"),
        "units": Key(
            "choice",
            "how lengths are shown, whose sizes are usual",
            choices=("inch", "metric"),
            default="inch",
            name="units",
        ),
        "words": Key("choice", "whose words", choices=("british", "american"), default="british", name="words"),
        "seed": Key("count", "another number, another layout", default="0", at_least=0, at_most=1e9),
        "stacks": Key(
            "choice", "stacks free, or one order turned", choices=("free", "rotate"), default="free", name="stacks"
        ),
    }


def _size() -> dict[str, Key]:
    return {
        "grid": Key(
            "map",
            "blocks in the panel",
            keys={
                "across": some("blocks in a row", required=True, name="across"),
                "down": some("rows", required=True, name="down"),
            },
        ),
        "square": _pos("cut size of a square", name="square"),
        "target": TARGET,
        "seam": Key("length", "seam allowance", required=True, over=0.0, at_most=10 * INCH, name="seam"),
        "free_end": _from0("unsewn at both ends of a raw-edge seam", "seam − 1/8 in", "seam − 3 mm", name="free_end"),
        "layers": Key(
            "map",
            "squares over and under the wadding in each block",
            required=True,
            keys={
                "above": some("over the wadding", most=12, required=True, name="above"),
                "below": some("under the wadding", least=0, most=12, required=True, name="below"),
            },
        ),
        "wadding": WADDING,
        "draw_in": part("what quilting pulls in", "0 %", 0.5, name="draw_in"),
        "cloth_thickness": _from0(
            "one layer of cloth, squeezed in a seam (from memory)", "0.25 mm", name="cloth_thickness"
        ),
    }


def _make_up(closure: Key) -> dict[str, Key]:
    return {
        "prints": Key("list", "the patterned cloths", required=True, item=PRINT),
        "washed_first": Key(
            "flag",
            "all cloth is washed before it is cut: bought longer, cut narrower, by what each print shrinks, and the "
            "finished piece shrinks no more; pieces and squares on hand are given as they lie, washed",
            default="false",
            name="washed_first",
        ),
        "back": Key(
            "either",
            "a cushion's back",
            options=(
                Key("choice", "single squares", choices=("patchwork", "none")),
                Key("map", "one plain cloth", keys={"plain": _NAME}),
            ),
            default="patchwork",
        ),
        "closure": closure,
        "pad": Key(
            "map",
            "the inner cushion",
            keys={"ease": _from0("pad larger than the cover", "1/2 in", "1 cm", name="pad_ease")},
        ),
    }


def _sewing() -> dict[str, Key]:
    return {
        "quilting": Key("choice", "lines through each block", choices=QUILTING, default="cross", name="quilting"),
        "snips": Key(
            "map",
            "the fringe",
            keys={
                "every": _pos("from snip to snip", "1/2 in", "12 mm", name="snip_every"),
                "clear": _from0("snip's end to the stitching", "1/8 in", "3 mm", name="snip_clear"),
                "at_crossing": some(
                    "free flaps cut where seams cross", least=0, most=20, default="2", name="snips_at_crossing"
                ),
            },
        ),
        "stitch": Key(
            "map",
            "stitch lengths",
            keys={
                "length": Key(
                    "length", "a seam's stitch", default="2.5 mm", at_least=1.0, at_most=8.0, name="stitch_length"
                ),
                "tack": Key(
                    "length", "a tacking stitch", default="5 mm", at_least=1.0, at_most=12.0, name="tack_length"
                ),
            },
        ),
        "thread": Key(
            "map",
            "thread",
            keys={
                "metres_per_spool": some(
                    "metres on a spool", most=20_000, default="100", per=("m",), name="thread_per_spool"
                ),
                "price": Key("money", "price of one spool", at_least=0.0),
                "tail": _from0("each loose end", "8 cm", name="thread_tail"),
                "waste": part("thrown away (common practice 10 to 15 %)", "15 %", name="thread_waste"),
                "bobbin": _pos("length a bobbin holds (from memory)", "35 m", name="bobbin_holds"),
            },
        ),
    }


PROJECT = project_keys()
# What only a machine that is named says (`guide.read.kinds`); none, or no, where it does not.
OF_MACHINE: dict[str, Key] = {
    "longest_stitch": Key("length", "the longest stitch of your machine", at=("machines", "longest")),
    "needle_dial": Key("flag", "the numbers of its needle's dial are known", at=("machines", "needle")),
    "needle_left": Key("count", "its dial with the needle left", at=("machines", "needle", "left")),
    "needle_middle": Key("count", "its dial with the needle in the middle", at=("machines", "needle", "middle")),
    "needle_right": Key("count", "its dial with the needle right", at=("machines", "needle", "right")),
    "foot_pressure": Key("count", "its dial of the foot's pressure, usually", at=("machines", "pressure", "usual")),
    "foot_pressure_thick": Key("count", "the same where many layers lie", at=("machines", "pressure", "thick")),
    "lacks_walking_foot": Key("flag", "its feet are named, and no walking foot", at=("machines", "feet")),
    "lacks_zip_foot": Key("flag", "its feet are named, and no zip foot", at=("machines", "feet")),
}
# Names worked out from how the file is written rather than read from one key; `at`: the key they are about.
MADE: dict[str, Key] = {
    "closure": Key("choice", "how the opening shuts", choices=CLOSURES, at=("closure",)),
    "back": Key("choice", "a cushion's back", choices=("patchwork", "plain", "none"), at=("back",)),
    "wadding": Key("choice", "one, or none", choices=("one", "none"), at=("wadding",)),
    "zip_along": Key("choice", "row or column the zip lies along", choices=("row", "column"), at=("closure",)),
    "prints": Key("count", "how many prints there are", at=("prints",)),
    "one_way_prints": Key("count", "how many of them have a top", at=("prints",)),
    "cloth_weight": Key("weight", "a square metre of the prints' cloth, the mean", at=("prints",)),
    "cloth_pace": Key("percent", "times a maker's usual time that it takes, the mean", at=("prints",)),
    "cloth_needle": Key("count", "the thinnest needle that it takes", at=("prints",)),
    "cloth_layers": Key("count", "layers of it that the cutter goes through at once", at=("prints",)),
    "wadding_weight": Key("weight", "a square metre of wadding", at=("wadding",)),
    "shrink_length": Key("percent", "mean shrinkage along the grain", at=("prints",)),
    "shrink_width": Key("percent", "mean shrinkage across", at=("prints",)),
    "shrink_length_worst": Key("percent", "worst shrinkage along the grain", at=("prints",)),
    "shrink_width_worst": Key("percent", "worst shrinkage across", at=("prints",)),
}
NAMES = frozenset({key.name for _, key in named(PROJECT)} | MADE.keys() | OF_MACHINE.keys())  # of formulas
