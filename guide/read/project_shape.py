"""The shape of a project file: every key, its unit, its default, in one table."""

from guide.read.lengths import INCH
from guide.read.shape import Shape

PER_LENGTH = ("yd", "m", "in", "cm")
KINDS = ("cushion", "throw")
CLOSURES = ("zip", "envelope", "none")
QUILTING = ("cross", "plus", "none")
WHOM = ("anyone", "child", "infant")  # a child: under three; an infant: under one

_NAME = Shape("text", "name of a cloth", required=True, longest=60)
_PER_CLOTH = Shape("rate", "price of a length of it", per=PER_LENGTH)


def _pos(says: str, default: str | None = None, metric: str | None = None, *, required: bool = False) -> Shape:
    """Give the shape of a length over nothing, up to 100 m."""
    return Shape("length", says, required=required, default=default, metric=metric, over=0.0, at_most=100_000.0)


def _from0(says: str, default: str | None = None, metric: str | None = None) -> Shape:
    """Give the shape of a length that may be nothing."""
    return Shape("length", says, default=default, metric=metric, at_least=0.0, at_most=100_000.0)


def _part(says: str, default: str | None = None, below: float = 0.95) -> Shape:
    return Shape("percent", says, default=default, at_least=0.0, at_most=below)


def _some(says: str, least: int = 1, most: int = 500, *, required: bool = False, default: str | None = None) -> Shape:
    return Shape("count", says, required=required, default=default, at_least=least, at_most=most)


_ON_HAND = Shape(
    "map",
    "a piece on hand (width across, length along the grain) or ready-cut squares",
    keys={
        "width": _pos("across the cloth"),
        "length": _pos("along the grain"),
        "count": _some("so many pieces alike", default="1"),
        "straight": Shape(
            "flag",
            "cut along a thread already; else 1/2 in (metric: 1 cm) is cut off one side and one end",
            default="false",
        ),
        "squares": _some("squares already cut to size", most=100_000),
    },
)
PRINT = Shape(
    "map",
    "a patterned cloth",
    keys={
        "name": _NAME,
        "width": _pos("whole width of the bolt, selvedges too"),
        "selvedge": _from0("each selvedge, not used", "1/2 in", "12 mm"),
        "price": _PER_CLOTH,
        "shrinks": Shape(
            "map",
            "what washing takes, from a washed swatch",
            keys={"length": _part("along the grain", "0 %", 0.5), "width": _part("across", "0 %", 0.5)},
        ),
        "swatch": Shape(
            "map",
            "the same as measured: a swatch between two marks, before washing and after",
            keys={
                "before": _pos("between the marks before washing", required=True),
                "after_length": _pos("between them after, along the grain"),
                "after_width": _pos("between them after, across"),
            },
        ),
        "one_way": Shape("flag", "the print has a top: never turned", default="false"),
        "at_most": _some("squares in all, at most", least=0, most=100_000),
        "use_up": Shape("flag", "use all ready-cut squares of it", default="false"),
        "on_hand": Shape("list", "pieces or ready-cut squares on hand", item=_ON_HAND),
        "reverse": Shape("text", "colour of its back, for the fringe", longest=60),
    },
)
ZIP_KEYS = {
    "after_row": _some("zip lies across, after this row of the back"),
    "after_column": _some("zip lies down, after this column of the back"),
    "end_gap": _pos("from the seam's end to the zip", "1 in", "25 mm"),
    "stop_gap": _pos("from the zip's end to its stop", "1/2 in", "12 mm"),
    "box_gap": _from0("teeth to the line of stitches beside them", "1/4 in", "6 mm"),
}
ENVELOPE_KEYS = {
    "overlap": _pos("how far the two panels lie over each other", "4 in", "10 cm"),
    "hem": _pos("width of the turned hem", "1 in", "25 mm"),
    "double_hem": Shape("flag", "turned twice", default="true"),
}


TARGET = Shape(
    "either",
    "plan backwards, to grid and square (3 in to 12 in; metric 7.5 cm to 30 cm); on hand to the grid, with the "
    "square written",
    options=(
        Shape("choice", "the largest that the cloth on hand gives", choices=("on hand",)),
        Shape(
            "map",
            "from a finished size",
            keys={
                "width": _pos("finished width", required=True),
                "height": _pos("finished height", required=True),
                "after": Shape("choice", "when it has that size", choices=("washing", "sewing"), default="washing"),
                "of": Shape("choice", "what has that size", choices=("cover", "pad"), default="cover"),
            },
        ),
    ),
)


WADDING = Shape(
    "either",
    "the soft layer inside each block",
    options=(
        Shape("choice", "no wadding", choices=("none",)),
        Shape(
            "map",
            "wadding",
            keys={
                "gap": _from0("how much smaller than the square, each side", "seam"),
                "width": _pos("width of the roll", "90 in", "220 cm"),
                "price": Shape("rate", "price of a length of it", per=PER_LENGTH),
                "thickness": _from0("squeezed in a seam", "1 mm"),
            },
        ),
    ),
)


def project_shape(
    kinds: tuple[str, ...] = (),
    closures: tuple[str, ...] = (),
    stages: tuple[str, ...] = (),
    own: dict[str, Shape] | None = None,
) -> Shape:
    """Give the shape of a project file; stage files may add kinds, closures, stages and keys of their own."""
    closure_types = (*CLOSURES[:2], *closures, "none")
    closure = Shape(
        "either",
        "how the opening shuts",
        options=(
            Shape("choice", "no closure", choices=("none", *closures)),
            Shape(
                "map",
                "a zip, an envelope, or what a stage file adds",
                keys={
                    "type": Shape("choice", "kind of closure", required=True, choices=closure_types),
                    "price": Shape("money", "price of one zip, or of what closes one article", at_least=0.0),
                    **ZIP_KEYS,
                    **ENVELOPE_KEYS,
                },
            ),
        ),
    )
    return Shape(
        "map",
        "a project",
        keys={
            **_what(kinds),
            **_size(),
            **_make_up(closure),
            **_money(),
            "stages": Shape("names", "which stages, in which order", choices=stages, default="all that are shipped"),
            **(own or {}),
        },
    )


def _what(kinds: tuple[str, ...]) -> dict[str, Shape]:
    return {
        "project": Shape("text", "its title", required=True, longest=80),
        "kind": Shape("choice", "what is made", required=True, choices=(*KINDS, *kinds)),
        "for": Shape(
            "choice",
            "whom it is for: a child under three (nothing small on it), an infant under one (no ties or cords either)",
            choices=WHOM,
            default="anyone",
        ),
        "make": _some("how many are made", default="1", most=1000),
        "units": Shape(
            "choice", "how lengths are shown, whose sizes are usual", choices=("inch", "metric"), default="inch"
        ),
        "words": Shape("choice", "whose words", choices=("british", "american"), default="british"),
        "seed": Shape("count", "another number, another layout", default="0", at_least=0, at_most=1e9),
        "stacks": Shape("choice", "stacks free, or one order turned", choices=("free", "rotate"), default="free"),
    }


def _size() -> dict[str, Shape]:
    return {
        "grid": Shape(
            "map",
            "blocks in the panel",
            keys={"across": _some("blocks in a row", required=True), "down": _some("rows", required=True)},
        ),
        "square": _pos("cut size of a square"),
        "target": TARGET,
        "seam": Shape("length", "seam allowance", required=True, over=0.0, at_most=10 * INCH),
        "free_end": _from0("unsewn at both ends of a raw-edge seam", "seam − 1/8 in", "seam − 3 mm"),
        "layers": Shape(
            "map",
            "squares over and under the wadding in each block",
            required=True,
            keys={
                "above": _some("over the wadding", most=12, required=True),
                "below": _some("under the wadding", least=0, most=12, required=True),
            },
        ),
        "wadding": WADDING,
        "draw_in": _part("what quilting pulls in", "0 %", 0.5),
        "cloth_thickness": _from0("one layer of cloth, squeezed in a seam", "0.25 mm"),
    }


def _make_up(closure: Shape) -> dict[str, Shape]:
    return {
        "prints": Shape("list", "the patterned cloths", required=True, item=PRINT),
        "washed_first": Shape(
            "flag",
            "all cloth is washed before it is cut: bought longer, cut narrower, by what each print shrinks, and the "
            "finished piece shrinks no more; pieces and squares on hand are given as they lie, washed",
            default="false",
        ),
        "back": Shape(
            "either",
            "a cushion's back",
            options=(
                Shape("choice", "single squares", choices=("patchwork", "none")),
                Shape("map", "one plain cloth", keys={"plain": _NAME}),
            ),
            default="patchwork",
        ),
        "closure": closure,
        "pad": Shape("map", "the inner cushion", keys={"ease": _from0("pad larger than the cover", "1/2 in", "1 cm")}),
        "quilting": Shape("choice", "lines through each block", choices=QUILTING, default="cross"),
        "snips": Shape(
            "map",
            "the fringe",
            keys={
                "every": _pos("from snip to snip", "1/2 in", "12 mm"),
                "clear": _from0("snip's end to the stitching", "1/8 in", "3 mm"),
                "at_crossing": _some("free flaps cut where seams cross", least=0, most=20, default="2"),
            },
        ),
        "stitch": Shape(
            "map",
            "stitch lengths",
            keys={
                "length": Shape("length", "a seam's stitch", default="2.5 mm", at_least=1.0, at_most=8.0),
                "tack": Shape("length", "a tacking stitch", default="5 mm", at_least=1.0, at_most=12.0),
            },
        ),
        "thread": Shape(
            "map",
            "thread",
            keys={
                "metres_per_spool": _some("metres on a spool", most=20_000, default="100"),
                "price": Shape("money", "price of one spool", at_least=0.0),
                "tail": _from0("each loose end", "8 cm"),
                "waste": _part("thrown away", "15 %"),
                "bobbin": _pos("length a bobbin holds", "50 m"),
            },
        ),
    }


def _money() -> dict[str, Shape]:
    return {
        "extras": Shape(
            "list",
            "notions bought whole",
            item=Shape(
                "map",
                "a notion",
                keys={
                    "name": Shape("text", "what it is", required=True, longest=60),
                    "each": Shape("choice", "one per", choices=("make", "project"), default="make"),
                    "count": _some("so many", default="1", most=10_000),
                    "price": Shape("money", "price of one", required=True, at_least=0.0),
                },
            ),
        ),
        "labour": Shape(
            "map",
            "what an hour is worth",
            keys={
                "rate": Shape("rate", "money for an hour", per=("hour",)),
                "allowance": _part("rest allowance; the hands' rests are in it, and paid where it is less", "0 %"),
            },
        ),
        "sell": Shape(
            "map",
            "what selling costs",
            keys={
                "margin": _part("part of the price that is profit", "0 %", 0.99),
                "overhead": Shape("rate", "light, space, machine", per=("hour",)),
                "fee": _part("part of what the buyer pays that the seller's place keeps", "0 %", 0.99),
                "fee_each": Shape("money", "a fee on each sale besides", at_least=0.0),
                "packing": Shape("money", "box, paper, label of one sale", at_least=0.0),
                "tax": _part("tax on the sale, on top of the price before it", "0 %", 0.99),
                "round_up_to": Shape("money", "round the price up to this", over=0.0),
            },
        ),
        "currency": Shape("text", "letters of the currency", default="EUR", longest=8),
    }
