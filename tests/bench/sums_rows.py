"""Is the graph of sums quick enough to run again at every measure, and linear over many projects?"""

import math
import time
from collections.abc import Callable, Mapping, Sequence

from guide.plan.graph import values, work_out
from guide.read.model import Given
from tests.bench.row import Row
from tests.plan.sums_of import cushion, read, shipped


def _best_s(what: Callable[[], object], turns: int) -> float:
    """The shortest of several turns: what the work itself takes."""
    took = []
    for _ in range(turns):
        begun = time.perf_counter()
        what()
        took.append(time.perf_counter() - begun)
    return min(took)


def _one_project() -> tuple[float, float]:
    """Every number of one cushion, once its files are read, against a millisecond."""
    language, given = shipped(), read(cushion()).given
    return _best_s(lambda: work_out(language, given), 50), 0.001


def _against_python() -> tuple[float, float]:
    """The same formulas in the same order, compiled by Python itself and evaluated without any checks."""
    language, project = shipped(), read(cushion())

    known = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "inch": 25.4, "yd": 914.4, "none": None}
    known |= {"ceil": math.ceil, "sqrt": math.sqrt, "floor": math.floor, "max": max, "min": min, "abs": abs}
    whole = known | values(work_out(language, project.given))
    codes = {name: compile(language.sums[name].formula.text.strip(), name, "eval") for name in language.order}
    # Python cannot reckon with what does not apply, so those formulas are left out on its side.
    codes = {name: code for name, code in codes.items() if whole[name] is not None}

    def python() -> None:
        at = dict(whole)
        for name, code in codes.items():
            at[name] = eval(code, {"__builtins__": {}}, at)

    return _best_s(lambda: work_out(language, project.given), 50), _best_s(python, 50)


def _growth() -> tuple[float, float]:
    """Per project, a thousand against a hundred."""
    language = shipped()
    many = [read(cushion(make=1 + i % 5, grid={"across": 3 + i % 4, "down": 2 + i % 7})).given for i in range(1000)]

    def all_of(projects: Sequence[Mapping[str, Given]]) -> Callable[[], None]:
        def work() -> None:
            for given in projects:
                work_out(language, given)

        return work

    return _best_s(all_of(many), 3) / 1000, _best_s(all_of(many[:100]), 3) / 100


def rows() -> list[Row]:
    """What the bench prints about the sums."""
    return [
        Row("every number of a project, files read", "1 ms", "under 1", _one_project),
        Row("every number of a project", "Python's own eval, unchecked", "under 8", _against_python),
        Row("sums, cost per project of 1,000", "per project of 100", "under 1.3", _growth),
    ]
