"""Checks over all stage files together: names, dimensions, circles, ids, places, texts.

All stage files are always loaded and names are global, so this is done once over the lot.
"""

from collections.abc import Iterable, Sequence
from graphlib import CycleError, TopologicalSorter

import msgspec

from guide.read.dimensions import dim_of
from guide.read.flat import FLAT, MADE, choices
from guide.read.formula import FUNCTIONS, WORDS, Compiled, FormulaError, compile_formula
from guide.read.model import Dim, Formula, Stage, Sum
from guide.read.problems import Problem, did_you_mean
from guide.read.project import added
from guide.read.shape import formula_problem
from guide.read.stages import formulas_of
from guide.read.strict_yaml import load
from guide.read.tables import TABLES


class Language(msgspec.Struct):
    """What the stage files say together: every name's dimension, and the sums in working order."""

    stages: tuple[Stage, ...]
    dims: dict[str, Dim]
    choices: dict[str, tuple[str, ...]]
    sums: dict[str, Sum] = {}
    compiled: dict[str, Compiled] = {}
    order: tuple[str, ...] = ()
    problems: list[Problem] = []

    def at(self, stage: Stage, path: str, formula: Formula, error: FormulaError) -> None:
        """Note a formula's mistake at its place."""
        self.problems.append(formula_problem(formula, path, error, stage.text))


def check_stages(stages: Sequence[Stage]) -> Language:
    """Check stage files against each other. Look at `.problems`; with none the language is whole."""
    own = {given.name: given for stage in stages for given in stage.inputs}
    language = Language(
        stages=tuple(stages),
        dims={name: flat.dim for name, flat in (FLAT | MADE).items()} | {n: i.dim for n, i in own.items()},
        choices=choices(added("kind", stages), added("closure", stages))
        | {n: i.choices for n, i in own.items() if i.choices},
    )
    _names(language)
    _order(language)
    _sums(language)
    for stage in stages:
        _other_formulas(stage, language)
        _steps(stage, language)
    _placed(language)
    return language


def _names(language: Language) -> None:
    taken: dict[str, str] = dict.fromkeys((*FLAT, *MADE), "an input of every project")
    taken |= dict.fromkeys(WORDS, "a word of the language") | dict.fromkeys(FUNCTIONS, "a function")
    for stage in language.stages:
        for own in stage.inputs:
            if own.name in taken:
                _bad(language, own.place, f"inputs.{own.name}", f"the name {own.name} is already {taken[own.name]}")
            taken[own.name] = f"an input of the {stage.name} stage"
        for work in stage.sums:
            path = f"work_out.{work.name}"
            if not (work.name.isidentifier() and work.name == work.name.lower()):
                _bad(language, work.formula.place, path, f"{work.name} cannot be a name; write small letters and _")
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
    graph = {name: [n for n in c.names if n in language.compiled] for name, c in language.compiled.items()}
    while True:
        try:
            language.order = tuple(TopologicalSorter(graph).static_order())
        except CycleError as error:
            chain = list(reversed(error.args[1]))
            first = language.sums[chain[0]]
            said = f"goes in a circle: {' needs '.join(chain)}"
            _bad(language, first.formula.place, f"work_out.{chain[0]}", said)
            graph[chain[0]] = []
        else:
            return


def _sums(language: Language) -> None:
    stage_of = {stage.name: stage for stage in language.stages}
    for name in language.order:
        work = language.sums[name]
        try:
            known = language.dims | dict.fromkeys(set(language.sums) - set(language.dims), "count")
            dim = dim_of(language.compiled[name].tree, known, language.choices)
            language.dims[name] = dim or "count"
        except FormulaError as error:
            language.at(stage_of[work.stage], f"work_out.{name}", work.formula, error)
            language.dims.setdefault(name, "length")
        if language.dims[name] == "text":
            _bad(language, work.formula.place, f"work_out.{name}", "a sum is a number or yes/no, never a text")


_WANTED: dict[str, set[Dim]] = {
    "when": {"flag"}, "repeat": {"count"}, "effort": {"length", "count"}, "width": {"length"},
    "height": {"length"}, "count": {"count"}, "within": {"length"},
}  # fmt: skip


def _other_formulas(stage: Stage, language: Language) -> None:
    for path, formula, table in formulas_of(stage):
        columns = TABLES.get(table, {})
        try:
            dim = dim_of(compile_formula(formula.text).tree, language.dims | columns, language.choices)
            wanted = _WANTED[path.rsplit(".", 1)[-1]]
            if dim is not None and dim not in wanted:
                said = FormulaError(f"this is a {dim}; a {' or '.join(sorted(wanted))} is wanted here")
                language.at(stage, path, formula, said)
        except FormulaError as error:
            language.at(stage, path, formula, error)


def _steps(stage: Stage, language: Language) -> None:
    for i, step in enumerate(stage.steps):
        names = language.dims.keys() | TABLES.get(step.each or "", {}).keys()
        for name, _ in step.shows:
            if name not in names:
                said = f"there is no {name} to show{did_you_mean(name, names)}"
                _bad(language, step.place, f"steps[{i}].shows", said)
        if step.measure and language.dims.get(step.measure) != "length":
            said = "is not a length" if step.measure in language.dims else "is not a name here"
            near = did_you_mean(step.measure, language.dims)
            _bad(language, step.place, f"steps[{i}].measure", f"{step.measure} {said}{near}; nothing else is measured")


def _placed(language: Language) -> None:
    keys = {f"{stage.name}/{step.id}" for stage in language.stages for step in stage.steps}
    for stage in language.stages:
        for i, step in enumerate(stage.steps):
            for key in ("before", "after"):
                target = getattr(step, key)
                if target and target not in keys:
                    said = f"there is no step {target}{did_you_mean(target, keys)}"
                    _bad(language, step.place, f"steps[{i}].{key}", said)


def check_texts(language: Language) -> list[Problem]:
    """Check that the texts of all steps name only what exists (needs jinja2, so it is asked for apart)."""
    from guide.read.template import TemplateProblem, names_in  # noqa: PLC0415 - plan does without jinja2

    out: list[Problem] = []
    for stage in language.stages:
        for i, step in enumerate(stage.steps):
            known = language.dims.keys() | TABLES.get(step.each or "", {}).keys()
            for key in ("do", "why", "if_wrong", "beginner", "good_enough"):
                try:
                    missing = sorted(names_in(getattr(step, key)) - known)
                except TemplateProblem as error:
                    out.append(_text_problem(stage, i, key, str(error)))
                    continue
                out += [
                    _text_problem(
                        stage, i, key, f"the text uses {name}, which does not exist{did_you_mean(name, known)}"
                    )
                    for name in missing
                ]
    return out


def _text_problem(stage: Stage, i: int, key: str, message: str) -> Problem:
    place = load(stage.text, stage.file).place(("steps", i, key))
    return Problem(stage.file, place.line, place.column, f"steps[{i}].{key}", message)


def hints(language: Language, used: Iterable[str] = ()) -> list[Problem]:
    """List sums that nothing uses, as hints: they do no harm."""
    read = {name for compiled in language.compiled.values() for name in compiled.names} | set(used)
    for stage in language.stages:
        for _, formula, _ in formulas_of(stage):
            read |= compile_formula(formula.text).names
        for step in stage.steps:
            read |= {name for name, _ in step.shows} | {step.measure or ""}
    return [
        Problem(
            w.formula.place.file,
            w.formula.place.line,
            w.formula.place.column,
            f"work_out.{n}",
            f"nothing uses {n}",
            hint=True,
        )
        for n, w in language.sums.items()
        if n not in read
    ]
