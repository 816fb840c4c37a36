"""Is the graph of sums quick enough to run again at every measure, and linear over many projects?"""

import math

from guide.plan.graph import values, work_out
from tests.bench.row import Row, best_s
from tests.plan.sums_of import cushion, read, shipped


def _one_project() -> tuple[float, float]:
    """Every number of one cushion, once its files are read, against a millisecond."""
    language, given = shipped(), read(cushion()).given
    return best_s(lambda: work_out(language, given), 50), 0.001


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

    return best_s(lambda: work_out(language, project.given), 50), best_s(python, 50)


def _many(count: int) -> float:
    """Seconds for every number of so many projects of differing sizes, their files read."""
    language = shipped()
    many = [read(cushion(make=1 + i % 5, grid={"across": 3 + i % 4, "down": 2 + i % 7})).given for i in range(count)]

    def work() -> None:
        for given in many:
            work_out(language, given)

    return best_s(work, 3)


def rows() -> list[Row]:
    """What the bench prints about the sums."""
    return [
        Row("every number of a project, files read", "1 ms", _one_project, 1, work=_many, unit=10),
        Row("every number of a project, checks and all", "Python's own eval, unchecked", _against_python, 8),
    ]
