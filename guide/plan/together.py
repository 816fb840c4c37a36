"""Several projects from one shelf: what each leaves for the next, and one shopping list for all."""

from collections.abc import Sequence

import msgspec

from guide.plan.laundry import bolt_of
from guide.plan.layout.panels import squares_needed
from guide.plan.model import Buy, CutCloth, Cutting, Plan
from guide.plan.shopping import Errand, shop_together
from guide.read.model import Print, Project, Remnant

_NEAR = 1e-6


def share_shelf(project: Project, earlier: Sequence[Plan]) -> Project:
    """The project with its cloth on hand less what plans before it take from the same shelf.

    The shelf is what this project lists under each print, its ready-cut squares too when they are of one size
    with the earlier plan's. What earlier plans leave over can be cut from; nothing is spent twice.
    """
    prints = project.prints
    for plan in earlier:
        prints = tuple(_left(cloth, project, plan) for cloth in prints)
    return msgspec.structs.replace(project, prints=prints)


def _left(cloth: Print, project: Project, plan: Plan) -> Print:
    on_hand = cloth.on_hand
    for cutting in plan.cutting:
        if cutting.material == cloth.name:
            on_hand = after_cutting(on_hand, _without_shops_rest(cutting, plan.project))
    ready = cloth.ready_squares
    same_size = project.given["square"].value == plan.project.given["square"].value
    had = next((p.ready_squares for p in plan.project.prints if p.name == cloth.name), 0)
    if ready and had and same_size:
        needed = squares_needed(plan.layout, plan.backing, plan.project.make).get(cloth.name, 0)
        ready = max(0, ready - min(had, needed))
    return msgspec.structs.replace(cloth, on_hand=on_hand, ready_squares=ready)


def _without_shops_rest(cutting: Cutting, project: Project) -> Cutting:
    """The cutting without what the shop's step adds to its end: lengths are added up before they are rounded."""
    bolt = bolt_of(project, cutting.material)
    rest = bolt.laid(cutting.buy_mm) - cutting.use_mm if bolt else 0.0
    kept = [left for left in cutting.left_over if rest < _NEAR or abs(left.height_mm - rest) > _NEAR]
    return msgspec.structs.replace(cutting, left_over=tuple(kept))


def after_cutting(remnants: Sequence[Remnant], cutting: Cutting) -> tuple[Remnant, ...]:
    """What is on hand once a cutting is done: pieces not touched, then what it leaves, the bolt's too."""
    left = list(remnants)
    for cloth in cutting.cloths:
        at = next((i for i, piece in enumerate(left) if piece.count and _is_of(cloth, piece)), None)
        if at is not None:
            left[at] = msgspec.structs.replace(left[at], count=left[at].count - 1)
    rests = [Remnant(rest.width_mm, rest.height_mm, straight=True) for rest in cutting.left_over]
    return (*(piece for piece in left if piece.count), *rests)


def _is_of(cloth: CutCloth, piece: Remnant) -> bool:
    if cloth.bought or (piece.straight and cloth.trim_mm):
        return False
    return _near(piece.width, cloth.width_mm) and _near(piece.length, cloth.length_mm)


def _near(one: float, other: float) -> bool:
    return abs(one - other) <= _NEAR * max(one, other)


def shopping_of(plans: Sequence[Plan]) -> tuple[Buy, ...]:
    """One list for all plans, each cloth once."""
    return shop_together([errand(plan) for plan in plans])


def errand(plan: Plan) -> Errand:
    """What one plan needs bought."""
    spools, zip_buy = (plan.quantities.get(name) for name in ("thread_spools", "zip_buy"))
    count, length = (q.planned if q and q.planned is not None else q and q.value for q in (spools, zip_buy))
    return Errand(
        project=plan.project,
        cuttings=plan.cutting,
        thread=round(count) if isinstance(count, float) else None,
        make=plan.project.make,
        zip_buy_mm=length if isinstance(length, float) else None,
    )
