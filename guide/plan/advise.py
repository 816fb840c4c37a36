"""Needle, stitch and foot pressure for each kind of seam, with the reason and where the advice comes from."""

from collections.abc import Mapping

from guide.plan.model import Advice, Quantity, number
from guide.read.lengths import show_length
from guide.read.model import Project

PRACTICE = "common practice"
# (place, the layers' name, the needle's name): as `guide why` tells them.
PLACES = (
    ("quilting", "layers_quilting", "needle_quilting"),
    ("raw-edge seams", "layers_raw_seam", "needle_raw_seam"),
    ("where seams cross", "layers_crossing", "needle_crossing"),
    ("outer seam", "layers_outer", "needle_outer"),
    ("outer seam at worst", "layers_outer_worst", "needle_outer_worst"),
    ("seams of the back", "layers_back", "needle_back"),
    ("zip or hems", "layers_opening", "needle_opening"),
)
# Five layers or more ask for help at the foot; from sixteen on a domestic machine labours [practice].
MANY, TOO_MANY = 5, 16


def advice_of(project: Project, quantities: Mapping[str, Quantity]) -> tuple[Advice, ...]:
    """Advise for each kind of place this article has."""
    out = []
    stitch = quantities["stitch_length"].value
    assert isinstance(stitch, float)
    for place, layers_name, needle_name in PLACES:
        layers, needle = (number(quantities, name) for name in (layers_name, needle_name))
        if layers is None or needle is None or not _sewn(place, quantities):
            continue
        normal = show_length(stitch, project.units)
        out.append(
            Advice(
                place=place,
                layers=round(layers),
                needle=f"{needle:.0f}/{needle_size(needle):.0f}",
                stitch=normal if layers < MANY else f"{normal} or longer",
                pressure=_foot(place, layers, quantities),
                why=_why(layers),
                source=PRACTICE,
            )
        )
    return tuple(out)


def needle_size(metric: float) -> float:
    """Give a needle's size from its metric number, below size 19: Nm = 60 + 5·(size - 8).

    The metric number is the blade's diameter in 1/100 mm (a teaching text, second hand).
    """
    return 8 + (metric - 60) / 5


def _foot(place: str, layers: float, quantities: Mapping[str, Quantity]) -> str:
    """Beside a zip's teeth the needle is moved over, and strikes any wider foot."""
    if place == "zip or hems" and quantities["closure"].value == "zip":
        return "zip foot"
    return "any foot" if layers < MANY else "walking foot, pressed lighter"


def _why(layers: float) -> str:
    if layers >= TOO_MANY:
        return "a domestic machine labours here: flatten or part the flaps, turn the wheel by hand"
    if layers >= MANY:
        return "a thin needle bends in so many layers, and a heavy foot drags the top one"
    return "an ordinary seam"


def _sewn(place: str, quantities: Mapping[str, Quantity]) -> bool:
    """Whether the article has such a seam at all."""
    counts = {
        "quilting": "quilt_lines",
        "raw-edge seams": "runs_raw",
        "where seams cross": "crossings",
        "seams of the back": "runs_back",
        "zip or hems": "runs_opening",
    }
    return place not in counts or bool(number(quantities, counts[place]))
