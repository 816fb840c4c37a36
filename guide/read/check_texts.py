"""Checks that need a step's words too: names in texts, sums nothing uses, steps no project can reach."""

import re
from collections.abc import Iterable
from itertools import product

from guide.read.check import Language, index_of
from guide.read.formula import Names, Value, compile_formula
from guide.read.model import TEXTS, Formula, Place, Stage, StepSpec
from guide.read.problems import Problem, did_you_mean
from guide.read.stages import formulas_of
from guide.read.strict_yaml import load
from guide.read.tables import TABLES, TOOL_NAMES
from guide.read.template import TemplateProblem, names_in

MOST = 4096  # combinations of choices tried for one step


def check_texts(language: Language) -> list[Problem]:
    """Check that the texts of all steps name only what exists."""
    out: list[Problem] = []
    for stage in language.stages:
        for step in stage.steps:
            known = language.dims.keys() | TABLES.get(step.each or "", {}).keys() | language.broken
            for key in TEXTS:
                try:
                    missing = sorted(names_in(getattr(step, key)) - known)
                except TemplateProblem as error:
                    out.append(_problem(stage, step, key, str(error)))
                    continue
                for name in missing:
                    said = f"the text uses {name}, which does not exist{did_you_mean(name, known)}"
                    out.append(_problem(stage, step, key, said, name))
            out += [
                _problem(stage, step, "tools", f"the tool uses {name}, {why}", name)
                for name in _tool_names(step)
                if (why := _no_count(name, language))
            ]
    return out


def _tool_names(step: StepSpec) -> set[str]:
    return {name for tool in step.tools for name in TOOL_NAMES.findall(tool)}


def _no_count(name: str, language: Language) -> str:
    if name in language.broken or language.dims.get(name) == "count":
        return ""
    return (
        "which is not a count" if name in language.dims else f"which does not exist{did_you_mean(name, language.dims)}"
    )


def _problem(stage: Stage, step: StepSpec, key: str, message: str, name: str = "") -> Problem:
    """Place a text's mistake: at the name itself where it stands, else where the text begins."""
    loaded = load(stage.text, stage.file)
    i = index_of(step, loaded)
    place = loaded.place(("steps", i, key))
    for number, line in enumerate(stage.text.split("\n")[place.line - 1 :] if name else (), place.line):
        if found := re.search(rf"\b{re.escape(name)}\b", line):
            place = Place(place.file, number, found.start() + 1)
            break
    return Problem(stage.file, place.line, place.column, f"steps[{i}].{key}", message)


def hints(language: Language, used: Iterable[str] = ()) -> list[Problem]:
    """List what does no harm and no good: names nothing uses, steps no project can reach. `used`: known elsewhere."""
    return [*_unused(language, frozenset(used)), *_unreachable(language)]


def _unused(language: Language, used: frozenset[str]) -> list[Problem]:
    read = used | {name for compiled in language.compiled.values() for name in compiled.names}
    for stage in language.stages:
        read |= {name for _, formula, _ in formulas_of(stage) for name in compile_formula(formula.text).names}
        for step in stage.steps:
            read |= {name for name, _ in step.shows} | {step.measure or ""} | _in_texts(step) | _tool_names(step)
    sums = [("work_out", name, work.formula.place) for name, work in language.sums.items()]
    inputs = [("inputs", own.name, own.place) for stage in language.stages for own in stage.inputs]
    return [
        Problem(place.file, place.line, place.column, f"{key}.{name}", f"nothing uses {name}", hint=True)
        for key, name, place in (*inputs, *sums)
        if name not in read
    ]


def _in_texts(step: StepSpec) -> set[str]:
    out: set[str] = set()
    for key in TEXTS:
        try:
            out |= names_in(getattr(step, key))
        except TemplateProblem:  # told by check_texts
            continue
    return out


def _unreachable(language: Language) -> list[Problem]:
    """Find steps and parts whose `when`, with their stage's, no choice of texts can make true."""
    out: list[Problem] = []
    for stage in language.stages:
        ones = [(f"steps[{i}]", f"the step {s.id}", s.when) for i, s in enumerate(stage.steps)]
        ones += [(f"parts[{i}]", f"the part {p.name}", p.when) for i, p in enumerate(stage.parts)]
        for path, what, when in ones:
            if when is not None and not _can_hold([f for f in (stage.when, when) if f], language):
                said = f"no project can reach {what}: this never holds" + (
                    " where the stage's own when does" if stage.when else ""
                )
                out.append(Problem(stage.file, when.place.line, when.place.column, f"{path}.when", said, hint=True))
    return out


def _can_hold(whens: list[Formula], language: Language) -> bool:
    """Try every choice of the texts they read; a number may be anything, which None stands for here."""
    compiled = [compile_formula(when.text) for when in whens]
    names = sorted({name for one in compiled for name in one.names})
    ways: list[tuple[Value, ...]] = [language.choices.get(name, (None,)) for name in names]
    size = 1
    for way in ways:
        size *= len(way)
    if size > MOST:
        return True
    tried: Iterable[Names] = (dict(zip(names, values, strict=True)) for values in product(*ways))
    return any(all(one.run(at) is not False for one in compiled) for at in tried)
