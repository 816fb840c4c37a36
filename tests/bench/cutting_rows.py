"""How much cloth a plan wastes and how long it takes to make, against a general rectangle packer's best.

One set of fresh random bolts serves all rows: three to nine kinds of parts, 3 to 18 in on a 1/4 in grid,
half of them one-way. The packer's best is the shortest length of 54 tries: every guillotine heuristic by
three orders of the parts, each with the length of the cloth searched for.
"""

import random
import time
from functools import lru_cache

import rectpack
from rectpack import guillotine

from guide.plan.cutting.cut import cut
from guide.plan.cutting.strips import Bolt
from guide.plan.model import Part
from tests.bench.row import Row, sized
from tests.plan.cutting_check import faults
from tests.plan.cutting_shelves import Case, first_fit

QUARTER = 25.4 / 4  # mm; parts are counted in quarter inches here
FITS, SPLITS = ("Bssf", "Baf", "Blsf"), ("Sas", "Las", "Slas", "Llas", "Maxas", "Minas")
SORTS = (rectpack.SORT_AREA, rectpack.SORT_SSIDE, rectpack.SORT_LSIDE)


def random_bolt(rng: random.Random) -> Case:
    width = 4 * rng.choice([35, 42, 44, 54, 58])
    sizes = {(rng.randint(12, 72), rng.randint(12, 72)) for _ in range(rng.randint(3, 9))}
    return Case(width, [(*size, rng.randint(2, 12)) for size in sorted(sizes)], rng.random() < 0.5)


def ours(case: Case) -> tuple[float, float]:
    """Our length in quarter inches, judged, and the processor seconds it took."""
    parts = [
        Part(f"part {n}", "moss check", w * QUARTER, h * QUARTER, count, case.one_way)
        for n, (w, h, count) in enumerate(case.parts)
    ]
    bolt = Bolt(case.width * QUARTER)
    begin = time.process_time()
    done = cut("moss check", parts, bolt, [])
    took = time.process_time() - begin
    if found := faults(done, parts, bolt):
        raise AssertionError(found[0])
    return done.use_mm / QUARTER, took


def packed(case: Case) -> int:
    """The packer's best length: each heuristic's by halving, started at the best so far."""
    best = 2 * first_fit(case)
    for fit in FITS:
        for split in SPLITS:
            algorithm = getattr(guillotine, f"Guillotine{fit}{split}")
            for order in SORTS:
                low, high = int(case.bound), best - 1
                while low <= high:
                    middle = (low + high) // 2
                    length = _pack(case, middle, algorithm, order)
                    if length is None:
                        low = middle + 1
                    else:
                        best, high = min(best, length), length - 1
    return best


def _pack(case, length, algorithm, order):
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline, pack_algo=algorithm, sort_algo=order, rotation=not case.one_way
    )
    for width, height, count in case.parts:
        for _ in range(count):
            packer.add_rect(width, height)
    packer.add_bin(case.width, length)
    packer.pack()
    laid = packer.rect_list()
    if len(laid) < sum(part[2] for part in case.parts):
        return None
    return max(y + height for _, _, y, _, height, _ in laid)


@lru_cache(maxsize=1)
def results() -> list[tuple[float, float, float, float, float]]:
    """For every bolt: bound, ours, first-fit, the packer's best, and our processor seconds."""
    rng = random.Random(time.time_ns())
    found = []
    for _ in range(sized(100, 2)):
        case = random_bolt(rng)
        length, took = ours(case)
        found.append((case.bound, length, float(first_fit(case)), float(packed(case)), took))
    return found


def waste() -> tuple[float, float]:
    """Mean waste over the area bound: ours, the packer's best."""
    return (
        sum(ours / bound - 1 for bound, ours, *_ in results()) / len(results()),
        sum(best / bound - 1 for bound, _, _, best, _ in results()) / len(results()),
    )


def longer_than_shelves() -> tuple[float, float]:
    """The worst of our lengths over first-fit shelves, and 1."""
    return max(ours / (shelves * (1 + 1e-9)) for _, ours, shelves, *_ in results()), 1.0


def seconds() -> tuple[float, float]:
    """Mean processor seconds for one bolt, and the limit."""
    return sum(row[4] for row in results()) / len(results()), 0.3


def longest() -> tuple[float, float]:
    """Processor seconds of the slowest bolt, and of the mean one."""
    return max(row[4] for row in results()), seconds()[0]


def _bolts(many: int) -> float:
    """Processor seconds of one bolt with so many times the parts of each kind."""
    case = random_bolt(random.Random(7))
    return ours(Case(case.width, [(w, h, many * count) for w, h, count in case.parts], case.one_way))[1]


def rows() -> list[Row]:
    """What the bench prints about cutting; what grows is the number of parts."""
    packer = "rectpack, best guillotine of 54"
    return [
        Row("cutting: waste over the area bound, 100 random bolts", packer, waste, 0.75),
        Row("cutting: the longest of them against shelves", "first-fit decreasing height", longer_than_shelves, 1),
        Row("cutting: mean processor seconds for a bolt", "0.3 s", seconds, 1, work=_bolts),
        Row("cutting: the slowest of 100 bolts", "the mean bolt", longest, 4),
    ]
