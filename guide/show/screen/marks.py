"""Which characters is the seam drawn with? Two alphabets: our own, and one for terminals that know only ASCII."""

import msgspec


class Marks(msgspec.Struct, frozen=True):
    """The signs of the screen. Every one has a meaning that the words beside it say as well."""

    sewn: str
    needle: str
    ahead: str
    knot: str
    caution: str
    loops: tuple[str, str, str, str]  # a wait that fills
    shades: tuple[str, ...]  # prints told apart beside their letters
    left: str  # nudges
    right: str
    dot: str
    more: str
    thin: str  # corners and edges of a patch: ─│┌┬┐├┼┤└┴┘
    double: str  # the current patch: ═║╔╗╚╝
    apart: str  # an edge that is not sewn: ┄┆
    alike: str  # an edge where a print meets itself
    block: str  # large figures: full, upper and lower half; "" when there are none
    dyed: bool = False  # the terminal shows a print's own colour truly, and some print has one


STITCHED = Marks(
    sewn="━",
    needle="⟩",
    ahead="┄",
    knot="●",
    caution="▲",
    loops=("◔", "◑", "◕", "●"),
    shades=("░", "▒", "▓", "╱", "┊", "╳"),
    left="◂",
    right="▸",
    dot="·",
    more="…",
    thin="─│┌┬┐├┼┤└┴┘",
    double="═║╔╗╚╝",
    apart="┄┆",
    alike="××",
    block="█▀▄",
)

ASCII = Marks(
    sewn="=",
    needle=">",
    ahead="-",
    knot="*",
    caution="!",
    loops=("1/4", "1/2", "3/4", "done"),
    shades=(".", ":", "#", "/", "|", "x"),
    left="<",
    right=">",
    dot="/",
    more="...",
    thin="-|+++++++++",
    double="=#++++",
    apart="~:",
    alike="xx",
    block="",
)


def marks_for(encoding: str | None) -> Marks:
    """The alphabet a terminal of this encoding can show."""
    try:
        "".join(
            [STITCHED.needle, STITCHED.double, STITCHED.apart, *STITCHED.loops, *STITCHED.shades, STITCHED.block]
        ).encode(encoding or "ascii")
    except (LookupError, UnicodeEncodeError):
        return ASCII
    return STITCHED


_ASCII_WORDS = str.maketrans("≈×−–—·’‘“”…⟩", "~x---/''\"\".>")


def plain_letters(text: str) -> str:
    """Text for a terminal that knows only ASCII, letter for letter: what has no likeness is a question mark."""
    return text.translate(_ASCII_WORDS).encode("ascii", "replace").decode("ascii")
