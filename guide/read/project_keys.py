"""The keys of a project file: what may be written, what holds when nothing is, what formulas call it, in one table.

What a stage adds to projects, its `inputs`, are keys like these; those of a closure stand in its stage.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from msgspec.structs import replace

from guide.read.model import Key
from guide.read.strict_yaml import Path
from guide.read.units import INCH

PER_LENGTH = ("yd", "m", "in", "cm")
KINDS = ("cushion", "throw")
CLOSURES = ("zip", "envelope", "none")
QUILTING = ("cross", "plus", "none")
WHOM = ("anyone", "child", "infant")  # a child: under three; an infant: under one
OF_ANY_CLOSURE = ("type", "price")


def group(says: str, /, **keys: Key) -> Key:
    """Make the key of a group of keys."""
    return Key("map", says, keys=keys)


def either(says: str, *options: Key, **more: Any) -> Key:
    """Make the key of what may be written in several ways."""
    return Key("either", says, options=options, **more)


def usual(says: str, *words: str, **more: Any) -> Key:
    """Make the key of one of several words, the first where none is written."""
    return Key("choice", says, choices=words, default=words[0], **more)


def text(says: str, longest: int, **more: Any) -> Key:
    """Make the key of a text of so many characters at most."""
    return Key("text", says, longest=longest, **more)


def part(says: str, default: str | None = None, below: float = 0.95, name: str = "") -> Key:
    """Make the key of a part of something, from nothing up."""
    return Key("percent", says, default=default, at_least=0.0, at_most=below, name=name)


def some(says: str, least: int = 1, most: int = 500, **more: Any) -> Key:
    """Make the key of a whole number."""
    return Key("count", says, at_least=least, at_most=most, **more)


def _pos(says: str, default: str | None = None, metric: str | None = None, **more: Any) -> Key:
    """Make the key of a length over nothing, up to 100 m."""
    return Key("length", says, default=default, metric=metric, over=0.0, at_most=100_000.0, **more)


def _from0(says: str, default: str | None = None, metric: str | None = None, **more: Any) -> Key:
    """Make the key of a length that may be nothing."""
    return Key("length", says, default=default, metric=metric, at_least=0.0, at_most=100_000.0, **more)


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
    "day": group(
        "what a day at a stall costs, and brings",
        sells=Key("number", "how many are sold on it", required=True, over=0.0, at_most=10_000),
        pitch=Key("money", "what the place costs for the day", at_least=0.0),
        hours=Key("number", "your hours there", at_least=0.0, at_most=24),
        road=Key("number", "your hours on the road, there and back", at_least=0.0, at_most=48),
    ),
}
_NAME = text("name of a cloth", 60, required=True)
_PER_CLOTH = Key("rate", "price of a length of it", per=PER_LENGTH)
_ON_HAND = group(
    "a piece on hand (width across, length along the grain) or ready-cut squares",
    width=_pos("across the cloth"),
    length=_pos("along the grain"),
    count=some("so many pieces alike", default="1"),
    straight=Key(
        "flag",
        "cut along a thread already; else 1/2 in (metric: 1 cm) is cut off one side and one end",
        default="false",
    ),
    squares=some("squares already cut to size", most=100_000),
)
PRINT = group(
    "a patterned cloth",
    name=_NAME,
    width=_pos("whole width of the bolt, selvedges too"),
    selvedge=_from0("each selvedge, not used", "1/2 in", "12 mm"),
    price=_PER_CLOTH,
    shrinks=group(
        "what washing takes, from a washed swatch",
        length=part("along the grain", "0 %", 0.5),
        width=part("across", "0 %", 0.5),
    ),
    swatch=group(
        "the same as measured: a swatch between two marks, before washing and after",
        before=_pos("between the marks before washing", required=True),
        after_length=_pos("between them after, along the grain"),
        after_width=_pos("between them after, across"),
    ),
    one_way=Key("flag", "the print has a top: never turned", default="false"),
    at_most=some("squares in all, at most", least=0, most=100_000),
    use_up=Key("flag", "use all ready-cut squares of it", default="false"),
    on_hand=either(
        "pieces or ready-cut squares on hand",
        Key("choice", "what lies on the shelf (guide help book)", choices=("shelf",)),
        Key("list", "pieces or ready-cut squares", item=_ON_HAND),
    ),
    reverse=text("colour of its back, for the fringe", 60),
    colour=Key("colour", 'its colour as it is to be drawn: olive, or in quotes "#7a8b6c"'),
    photo=Key("photo", "a picture of it, a file beside the project"),
    weight=Key("cloth_weight", "what it weighs; before what its kind does", over=0.0, at_most=2000.0),
    thickness=_pos("one layer squeezed in a seam; before the project's and its kind's"),
    made_of=text("its kind, as a file with cloths: names it; else as quilting cotton", 60),
)
TARGET = either(
    "plan backwards, to grid and square (3 in to 12 in; metric 7.5 cm to 30 cm); on hand to the grid, with the "
    "square written",
    Key("choice", "the largest that the cloth on hand gives", choices=("on hand",)),
    group(
        "from a finished size",
        width=_pos("finished width", required=True),
        height=_pos("finished height", required=True),
        after=usual("when it has that size", "washing", "sewing"),
        of=usual("what has that size", "cover", "pad"),
    ),
)
WADDING = either(
    "the soft layer inside each block",
    Key("choice", "no wadding", choices=("none",)),
    group(
        "wadding",
        gap=_from0("how much smaller than the square, each side", "seam", name="wadding_gap", needs="wadding"),
        width=_pos("width of the roll", "90 in", "220 cm", name="wadding_width", needs="wadding"),
        price=_PER_CLOTH,
        thickness=_from0("squeezed in a seam (from memory)", "1 mm", name="wadding_thickness", needs="wadding"),
        made_of=text("what lies there instead: a kind of cloth, fleece and felt too", 60),
    ),
)
_FOR = "whom it is for: a child under three (nothing small on it), an infant under one (no ties or cords either)"
_WASHED_FIRST = (
    "all cloth is washed before it is cut: bought longer, cut narrower, by what each print shrinks, and the "
    "finished piece shrinks no more; pieces and squares on hand are given as they lie, washed"
)
# The keys of every project in their order; to kind, closure and stages the stage files add.
_EVERY: dict[str, Key] = {
    "project": text("its title", 80, required=True),
    "kind": Key("choice", "what is made", required=True, choices=KINDS, name="kind"),
    "for": usual(_FOR, *WHOM, name="for_whom"),
    "make": some("how many are made", default="1", most=1000, name="make"),
    "units": usual("how lengths are shown, whose sizes are usual", "inch", "metric", name="units"),
    "words": usual("whose words", "british", "american", name="words"),
    "seed": Key("count", "another number, another layout", default="0", at_least=0, at_most=1e9),
    "stacks": usual("stacks free, or one order turned", "free", "rotate", name="stacks"),
    "grid": group(
        "blocks in the panel",
        across=some("blocks in a row", required=True, name="across"),
        down=some("rows", required=True, name="down"),
    ),
    "square": _pos("cut size of a square", name="square"),
    "target": TARGET,
    "seam": Key("length", "seam allowance", required=True, over=0.0, at_most=10 * INCH, name="seam"),
    "free_end": _from0("unsewn at both ends of a raw-edge seam", "seam − 1/8 in", "seam − 3 mm", name="free_end"),
    "layers": replace(
        group(
            "squares over and under the wadding in each block",
            above=some("over the wadding", most=12, required=True, name="above"),
            below=some("under the wadding", least=0, most=12, required=True, name="below"),
        ),
        required=True,
    ),
    "wadding": WADDING,
    "draw_in": part("what quilting pulls in", "0 %", 0.5, name="draw_in"),
    "cloth_thickness": _from0(
        "one layer of cloth, squeezed in a seam (from memory)", "0.25 mm", name="cloth_thickness"
    ),
    "prints": Key("list", "the patterned cloths", required=True, item=PRINT),
    "washed_first": Key("flag", _WASHED_FIRST, default="false", name="washed_first"),
    "back": either(
        "a cushion's back",
        Key("choice", "single squares", choices=("patchwork", "none")),
        group("one plain cloth", plain=_NAME),
        default="patchwork",
    ),
    "closure": either("how the opening shuts"),
    "pad": group("the inner cushion", ease=_from0("pad larger than the cover", "1/2 in", "1 cm", name="pad_ease")),
    "quilting": usual("lines through each block", *QUILTING, name="quilting"),
    "snips": group(
        "the fringe",
        every=_pos("from snip to snip", "1/2 in", "12 mm", name="snip_every"),
        clear=_from0("snip's end to the stitching", "1/8 in", "3 mm", name="snip_clear"),
        at_crossing=some("free flaps cut where seams cross", 0, 20, default="2", name="snips_at_crossing"),
    ),
    "stitch": group(
        "stitch lengths",
        length=Key("length", "a seam's stitch", default="2.5 mm", at_least=1.0, at_most=8.0, name="stitch_length"),
        tack=Key("length", "a tacking stitch", default="5 mm", at_least=1.0, at_most=12.0, name="tack_length"),
    ),
    "thread": group(
        "thread",
        metres_per_spool=some("metres on a spool", 1, 20_000, default="100", per=("m",), name="thread_per_spool"),
        price=Key("money", "price of one spool", at_least=0.0),
        tail=_from0("each loose end", "8 cm", name="thread_tail"),
        waste=part("thrown away (common practice 10 to 15 %)", "15 %", name="thread_waste"),
        bobbin=_pos("length a bobbin holds (from memory)", "35 m", name="bobbin_holds"),
    ),
    "extras": Key(
        "list",
        "notions bought whole",
        item=group(
            "a notion",
            name=text("what it is", 60, required=True),
            each=usual("one per", "make", "project"),
            count=some("so many", default="1", most=10_000),
            price=Key("money", "price of one", required=True, at_least=0.0),
        ),
    ),
    "labour": group(
        "what an hour is worth",
        rate=Key("rate", "money for an hour", per=("hour",)),
        allowance=part("rest allowance; the hands' rests are in it, and paid where it is less", "0 %"),
    ),
    "sell": group(
        "what selling costs",
        margin=_SELLING["margin"],
        overhead=Key("rate", "light, space, machine", per=("hour",)),
        **{name: key for name, key in _SELLING.items() if name != "margin"},
        places=Key(
            "map",
            "where it is sold, each place by a name of your own; other commands price as at the first",
            item=group("a place; what it does not say is as sell says", **_SELLING),
        ),
    ),
    "currency": text("letters of the currency", 8, default="EUR"),
}


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
    how = group(
        "a zip, an envelope, or what a stage file adds",
        type=Key("choice", "kind of closure", required=True, choices=types),
        price=Key("money", "price of one zip, or of what closes one article", at_least=0.0),
    )
    ways = (Key("choice", "no closure", choices=("none", *closures)), replace(how, keys=how.keys | inside))
    keys = _EVERY | {
        "kind": replace(_EVERY["kind"], choices=(*KINDS, *kinds)),
        "closure": replace(_EVERY["closure"], options=ways),
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
