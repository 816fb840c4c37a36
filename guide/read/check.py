"""Checks over all stage files together: names, dimensions, circles, ids, places, texts.

All stage files are always loaded and names are global, so this is done once over the lot.
"""

from collections import ChainMap
from collections.abc import Mapping, Sequence
from contextlib import suppress
from graphlib import CycleError, TopologicalSorter
from typing import Any

import msgspec

from guide.read.dimensions import Judge, dim_of
from guide.read.formula import FUNCTIONS, WORDS, Compiled, FormulaError, compile_formula
from guide.read.model import (
    MOST_TOLD,
    Dim,
    Formula,
    Given,
    Label,
    Problem,
    Stage,
    StepSpec,
    Sum,
    did_you_mean,
    grouped,
    no_more,
    one_of,
)
from guide.read.project import SHIPPED, names_of
from guide.read.project_keys import NAMES
from guide.read.stage_keys import TABLES
from guide.read.stages import formulas_of
from guide.read.strict_yaml import Loaded, Path, load_again
from guide.read.take import formula_problem


class Language(msgspec.Struct):
    """What the stage files say together: every name's dimension, and the sums in working order."""

    stages: tuple[Stage, ...]
    dims: dict[str, Dim]
    choices: dict[str, tuple[str, ...]]
    sums: dict[str, Sum] = {}
    compiled: dict[str, Compiled] = {}
    labels: dict[str, Label] = {}  # what numbers are called, in the order of the stages
    order: tuple[str, ...] = ()
    problems: list[Problem] = []
    broken: set[str] = set()  # names whose own formula could not be read
    judge: Judge = "pint"  # of dimensions
    beside: dict[str, dict[str, Any]] = {}  # what stands in other files of the workflows folders: kind, name, data
    machine: list[Given] = []  # what the maker's machines hold and take, the newest word of each name
    texts: dict[str, str] = {}  # every file of the workflows folders by name, as a journal keeps them

    @property
    def told(self) -> bool:
        """Whether so much is wrong already that no more is looked for: a near name is sought among all names."""
        return len(self.problems) >= MOST_TOLD

    def at(self, stage: Stage, path: str, formula: Formula, error: FormulaError) -> None:
        """Note a formula's mistake at its place."""
        self.problems.append(formula_problem(formula, path, error, stage.text))


def check_stages(stages: Sequence[Stage], broken: frozenset[str] = frozenset(), judge: Judge = "pint") -> Language:
    """Check stage files against each other. Look at `.problems`; with none the language is whole.

    `broken` names are given but could not be read; what uses them is passed over, not told again. `judge`: by whose
    rules dimensions go together; plain exponents are enough for formulas that were judged before.
    """
    keys = names_of(stages)
    language = Language(
        stages=tuple(stages),
        dims={name: key.dim for name, key in keys.items()},
        choices={name: key.choices for name, key in keys.items() if key.choices},
        broken=set(broken),
        judge=judge,
    )
    _names(language)
    _order(language)
    _sums(language)
    for stage in sorted(stages, key=lambda stage: SHIPPED.index(stage.name) if stage.name in SHIPPED else len(SHIPPED)):
        _labels(stage, language)  # in the order of the work, so that a table's rows are
    for stage in stages:
        _other_formulas(stage, language)
        _usual_efforts(stage, language)
        _steps(stage, language)
    _placed(language)
    _needed(language)
    language.problems += no_more(language.problems)
    return language


def _names(language: Language) -> None:
    taken = dict.fromkeys(NAMES, "an input of every project")
    taken |= dict.fromkeys(WORDS, "a word of the language") | dict.fromkeys(FUNCTIONS, "a function")
    for stage in language.stages:
        for own in stage.inputs:
            if own.name in taken:
                _bad(language, own.place, f"inputs.{own.name}", f"the name {own.name} is already {taken[own.name]}")
            taken[own.name] = f"an input of the {stage.name} stage"
            closures = language.choices["closure"]
            if own.needs and own.needs not in closures:
                said = f"there is no closure {own.needs}{did_you_mean(own.needs, closures)}; write {one_of(closures)}"
                _bad(language, own.place, f"inputs.{own.name}.closure", said)
        for work in stage.sums:
            path = f"work_out.{work.name}"
            if not (work.name.isidentifier() and work.name == work.name.lower()):
                place = load_again(stage.text, stage.file).place(("work_out", work.name), key=True)
                _bad(language, place, path, f"{work.name} cannot be a name; write small letters and _")
            elif work.name in taken:
                said = f"the name {work.name} is already {taken[work.name]}"
                _bad(language, work.formula.place, path, said)
                continue
            taken[work.name] = f"worked out in {stage.file}:{work.formula.place.line}"
            language.sums[work.name] = work
            language.compiled[work.name] = compile_formula(work.formula.text)


def _bad(language: Language, place: object, path: str, message: str) -> None:
    file, line, column = place.file, place.line, place.column  # type: ignore[attr-defined]
    language.problems.append(Problem(file, line, column, path, message))


def _order(language: Language) -> None:
    """Put the sums in working order; a circle is shown as the chain it is."""
    graph = {name: sorted(c.names & language.compiled.keys()) for name, c in language.compiled.items()}
    while True:
        try:
            language.order = tuple(TopologicalSorter(graph).static_order())
        except CycleError as error:
            if language.told:
                language.order = _without_circles(graph)
                language.broken |= graph.keys() - set(language.order)
                return
            chain = list(reversed(error.args[1]))
            first = language.sums[chain[0]]
            said = f"goes in a circle: {' needs '.join(chain)}; work one of them out from something else"
            _bad(language, first.formula.place, f"work_out.{chain[0]}", said)
            language.broken |= set(chain)
            graph |= {name: [] for name in chain}
        else:
            return


def _without_circles(graph: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """Put in order what neither goes in a circle nor needs one."""
    sorter, order = TopologicalSorter(graph), list[str]()
    with suppress(CycleError):
        sorter.prepare()
    while ready := sorter.get_ready():
        order += ready
        sorter.done(*ready)
    return tuple(order)


def _sums(language: Language) -> None:
    stage_of = {stage.name: stage for stage in language.stages}
    for name in language.order:
        work = language.sums[name]
        if language.told or language.compiled[name].names & language.broken:
            language.broken.add(name)
            continue
        try:
            dim = dim_of(language.compiled[name].tree, language.dims, language.choices, language.judge)
            language.dims[name] = dim or "count"
        except FormulaError as error:
            language.at(stage_of[work.stage], f"work_out.{name}", work.formula, error)
            language.broken.add(name)
            continue
        if language.dims[name] == "text":
            _bad(language, work.formula.place, f"work_out.{name}", "a sum is a number or yes/no, never a text")


_WANTED: dict[str, set[Dim]] = {
    "when": {"flag"}, "repeat": {"count"}, "effort": {"length", "count"},
    "usual": {"length", "count"}, "pace_factor": {"count"},
    "width": {"length"},
    "height": {"length"}, "count": {"count"}, "within": {"length"},
}  # fmt: skip


_WORDS: dict[str, str] = {"flag": "yes or no", "length": "a length", "count": "a count", "area": "an area"}


def _other_formulas(stage: Stage, language: Language) -> None:
    for path, formula, table in formulas_of(stage):
        columns = TABLES.get(table, {})
        compiled = compile_formula(formula.text)
        if language.told or compiled.names & language.broken:
            continue
        try:
            dim = dim_of(compiled.tree, ChainMap(columns, language.dims), language.choices, language.judge)
            wanted = _WANTED["when" if ".cautions_when." in path else path.rsplit(".", 1)[-1]]
            if dim is not None and dim not in wanted:
                want = " or ".join(_WORDS.get(w, w) for w in sorted(wanted))
                like = ", like kind == 'throw'" if "flag" in wanted else ""
                said = FormulaError(f"this is {_WORDS.get(dim, f'a {dim}')}; {want} is wanted here{like}")
                language.at(stage, path, formula, said)
        except FormulaError as error:
            language.at(stage, path, formula, error)


def _usual_efforts(stage: Stage, language: Language) -> None:
    """A step's usual effort is measured in what its effort is: their ratio is a number."""
    for i, step in enumerate(stage.steps):
        if step.usual is None or step.effort is None:
            continue
        dims_of, both = ChainMap(TABLES.get(step.each or "", {}), language.dims), (step.effort, step.usual)
        compiled = [compile_formula(one.text) for one in both]
        if language.told or any(one.names & language.broken for one in compiled):
            continue
        try:
            dims = [dim_of(one.tree, dims_of, language.choices, language.judge) for one in compiled]
        except FormulaError:
            continue  # noted with the formula it is in
        if None not in dims and dims[0] != dims[1]:
            effort, usual = (_WORDS.get(str(dim), f"a {dim}") for dim in dims)
            said = FormulaError(f"this is {usual}, and the effort is {effort}; write both in one kind")
            language.at(stage, f"steps[{i}].usual", step.usual, said)


def _labels(stage: Stage, language: Language) -> None:
    """Take over what a stage calls its numbers; two stages may not name one twice."""
    for name, label in stage.labels.items():
        if language.told or name in language.broken:
            continue
        if name not in language.dims:
            said = f"there is no {name} to name{did_you_mean(name, language.dims)}"
        elif name in language.labels:
            said = f"{name} has a label already: {language.labels[name].text}"
        else:
            language.labels[name] = label
            continue
        _bad(language, load_again(stage.text, stage.file).place(("labels", name), key=True), f"labels.{name}", said)


def _steps(stage: Stage, language: Language) -> None:
    """Check the names a step shows and measures."""
    for step in stage.steps:
        if language.told:
            return
        columns = TABLES.get(step.each or "", {})
        names = language.dims.keys() | columns.keys() | language.broken
        for name, _ in step.shows:
            if name not in names:
                said = f"there is no {name} to show{did_you_mean(name, names)}"
                _bad_step(language, stage, step, ("shows", name), said)
        for name in step.cautions_when.keys() - set(step.cautions):
            said = f"{name} is not among the cautions of this step; write it there too"
            _bad_step(language, stage, step, ("cautions_when", name), said)
        if step.measure and step.measure not in language.broken and language.dims.get(step.measure) != "length":
            near = did_you_mean(step.measure, language.dims)
            why = "is not a length" if step.measure in language.dims else f"is not a name here{near}"
            _bad_step(language, stage, step, ("measure",), f"{step.measure} {why}; only lengths are measured")


def _bad_step(language: Language, stage: Stage, step: StepSpec, path: Path, message: str) -> None:
    """Note a step's mistake at the key that holds it; the file is read again only for this."""
    loaded = load_again(stage.text, stage.file)
    i = index_of(step, loaded)
    place = loaded.place(("steps", i, *path), key=path[0] == "shows")
    _bad(language, place, f"steps[{i}].{path[0]}", message)


def index_of(step: StepSpec, loaded: Loaded) -> int:
    """Find which of a file's steps this is: those that could not be read are not among the stage's."""
    return next(i for i in range(len(loaded.data["steps"])) if loaded.place(("steps", i)) == step.place)


def _placed(language: Language) -> None:
    """Check that `before` and `after` name steps, and that no step is placed by itself in the end."""
    target_of = {
        f"{stage.name}/{step.id}": step.before or step.after or "" for stage in language.stages for step in stage.steps
    }
    in_circles = _in_circles(target_of)
    # One step may have all three wrong, and a file is mended once: each is told, at the key that holds it.
    for stage in language.stages:
        for step in stage.steps:
            target, key = step.before or step.after, "before" if step.before else "after"
            if not target or language.told:
                continue
            if step.before and step.after:
                said = "a step stands before another or after one; write before or after, not both"
                _bad_step(language, stage, step, (key,), said)
            if target not in target_of:
                said = f"there is no step {target}{did_you_mean(target, target_of)}; write it like quilt/cross"
                _bad_step(language, stage, step, (key,), said)
            if (mine := f"{stage.name}/{step.id}") in in_circles:
                waits = [*_circle(mine, target_of), mine]
                said = ", ".join(waits if len(waits) <= 8 else [*waits[:6], "…", mine])
                said = f"these steps wait for each other: {said}; place one of them elsewhere"
                _bad_step(language, stage, step, (key,), said)


def _in_circles(target_of: Mapping[str, str]) -> set[str]:
    """Find the steps that wait for themselves: the others go in order, each after all that are placed by it."""
    return target_of.keys() - _without_circles(grouped(target_of, target_of.__getitem__))


def _circle(start: str, target_of: Mapping[str, str]) -> list[str]:
    """Follow a circle once round, from one of its steps."""
    out = [start]
    while (following := target_of[out[-1]]) != start:
        out.append(following)
    return out


def _needed(language: Language) -> None:
    """Check that `needs` name steps or stages, and that no step waits for itself in the end."""
    graph = _waiting(language.stages)
    for stage in language.stages:
        for step in stage.steps:
            for i, need in enumerate(step.needs or ()):
                if need not in graph and not language.told:
                    said = f"there is no step {need}{did_you_mean(need, graph)}; write it like quilt/cross, or a stage"
                    _bad_step(language, stage, step, ("needs", i), said)
    known = {name: [need for need in needs if need in graph] for name, needs in graph.items()}
    written = {f"{one.name}/{step.id}": (one, step) for one in language.stages for step in one.steps if step.needs}
    while not language.told:
        try:
            TopologicalSorter(known).prepare()
        except CycleError as error:
            circle: list[str] = list(reversed(error.args[1]))[:-1]
            first = next((name for name in circle if name in written), None)
            if first is None:  # of `before` and `after` alone, which is told where those are looked at
                return
            at = circle.index(first)
            chain = [name for name in (*circle[at:], *circle[: at + 1]) if "/" in name]
            said = f"these steps wait for each other: {' needs '.join(chain)}; take one out of needs"
            _bad_step(language, *written[first], ("needs",), said)
            known[first] = []
        else:
            return


def _waiting(stages: Sequence[Stage]) -> dict[str, list[str]]:
    """What each step waits for: what is written, else what it is placed after, or the one before it in its file.

    A stage waits for all of its steps.
    """
    graph: dict[str, list[str]] = {}
    for stage in stages:
        before: list[str] = []
        for step in stage.steps:
            name = f"{stage.name}/{step.id}"
            given = [step.after] if step.after else [] if step.before else before
            graph[name] = list(given if step.needs is None else step.needs)
            before = [name]
        graph[stage.name] = [f"{stage.name}/{step.id}" for step in stage.steps]
    return graph
