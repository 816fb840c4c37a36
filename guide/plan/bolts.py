"""The bolts of a project: each cloth as it is sold, and what is left of it on the table."""

from guide.plan.cutting import Bolt
from guide.plan.parts import WADDING
from guide.read.lengths import INCH
from guide.read.model import Project

# Cut off along a thread: a bolt's end, and one side and one end of a piece on hand [practice].
STRAIGHTEN_MM = {"inch": INCH, "metric": 25.0}
TRIM_MM = {"inch": INCH / 2, "metric": 10.0}


def washed_first(project: Project, material: str) -> bool:
    """Tell whether a material is washed before it is cut: all cloth or none, and wadding never."""
    return project.washed_first and material != WADDING


def bolt_of(project: Project, material: str) -> Bolt | None:
    """Give what a material is cut from; None when nothing of it can be bought."""
    if material == WADDING:
        given = project.given.get("wadding_width")
        return Bolt(given.value if given is not None and isinstance(given.value, float) else 0.0)
    cloth = next((one for one in project.prints if one.name == material), None)
    if cloth is None or not cloth.width:
        return None
    washed = (cloth.shrinks_width, cloth.shrinks_length) if washed_first(project, material) else ()
    return Bolt(cloth.width, cloth.selvedge, *washed)


def sold_mm(project: Project, material: str, laid_mm: float) -> float:
    """Give the length off the bolt that comes to `laid_mm` on the table; the same where no bolt is known."""
    bolt = bolt_of(project, material)
    return bolt.sold(laid_mm) if bolt else laid_mm
