"""Checks that need a step's words too: names in texts, sums nothing uses, steps no project can reach."""

import re
from collections import ChainMap
from collections.abc import Iterable, Sequence
from itertools import product
from math import prod

from guide.read.check import Language, index_of
from guide.read.dimensions import dim_of
from guide.read.formula import FormulaError, Names, Value, compile_formula
from guide.read.model import TEXTS, Place, Stage, StepSpec
from guide.read.problems import MOST_TOLD, Problem, did_you_mean, lines_of, no_more
from guide.read.stage_keys import TABLES, TOOL_NAMES
from guide.read.stages import formulas_of
from guide.read.strict_yaml import load_again
from guide.read.template import Ready, TemplateProblem, ready

MOST, MOST_IN_ALL = 4096, 100_000  # combinations of choices tried for one step, and for all


def check_texts(language: Language) -> list[Problem]:
    """Check that the texts of all steps name only what exists."""
    out: list[Problem] = []
    everywhere = language.dims.keys() | language.broken
    known_in = {each: everywhere | TABLES.get(each, {}).keys() for each in ("", *TABLES)}
    for stage in language.stages:
        for step in stage.steps:
            if len(out) >= MOST_TOLD:
                return out + no_more(out)
            known = known_in[step.each or ""]
            for key in TEXTS:
                try:
                    text = ready(getattr(step, key))
                except TemplateProblem as error:
                    out.append(_problem(stage, step, key, str(error)))
                    continue
                missing = sorted(text.names - known)
                for name in missing[: MOST_TOLD - len(out)]:
                    said = f"the text uses {name}, which does not exist{did_you_mean(name, known)}"
                    out.append(_problem(stage, step, key, said, name))
                out += [] if missing else _compared(stage, step, key, text, language)
            out += [
                _problem(stage, step, "tools", f"the tool uses {name}, {why}", name)
                for name in _tool_names(step)
                if (why := _no_count(name, language))
            ]
    return out


def _compared(stage: Stage, step: StepSpec, key: str, text: Ready, language: Language) -> list[Problem]:
    """Check that the text compares like with like, as a formula must."""
    dims = ChainMap(TABLES.get(step.each or "", {}), language.dims)
    out: list[Problem] = []
    for compiled in (one for asked in text.asked for one in asked.compared):
        two = len(compiled.names) == 2 and {dims.get(name) for name in compiled.names} == {"text"}
        if two or compiled.names & language.broken:  # a formula compares no text with another; a text may
            continue
        try:
            dim_of(compiled.tree, dims, language.choices, language.judge)
        except FormulaError as error:
            said = f"the text asks whether {compiled.text}: {error.message}"
            out.append(_problem(stage, step, key, said, min(compiled.names, key=compiled.text.find, default="")))
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
    loaded = load_again(stage.text, stage.file)
    i = index_of(step, loaded)
    place = loaded.place(("steps", i, key))
    for number, line in enumerate(lines_of(stage.text)[place.line - 1 :] if name else (), place.line):
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
    inputs = [("inputs", own.name, own.place) for stage in language.stages for own in stage.inputs if own.place]
    return [
        Problem(place.file, place.line, place.column, f"{key}.{name}", f"nothing uses {name}", hint=True)
        for key, name, place in (*inputs, *sums)
        if name not in read
    ]


def _in_texts(step: StepSpec) -> set[str]:
    out: set[str] = set()
    for key in TEXTS:
        try:
            out |= ready(getattr(step, key)).names
        except TemplateProblem:  # told by check_texts
            continue
    return out


def _unreachable(language: Language) -> list[Problem]:
    """Find steps and parts whose `when`, with their stage's, no choice of texts can make true."""
    out: list[Problem] = []
    known: dict[tuple[str, ...], bool] = {}
    left = MOST_IN_ALL
    for stage in language.stages:
        ones = [(f"steps[{i}]", f"the step {s.id}", s.when) for i, s in enumerate(stage.steps)]
        ones += [(f"parts[{i}]", f"the part {p.name}", p.when) for i, p in enumerate(stage.parts)]
        for path, what, when in ones:
            if when is None:
                continue
            whens = tuple(f.text for f in (stage.when, when) if f)
            if whens not in known:
                ways = _ways(whens, language, min(left, MOST))
                left -= len(ways)
                known[whens] = not ways or _can_hold(whens, ways)
            if not known[whens]:
                said = f"no project can reach {what}: this never holds" + (
                    " where the stage's own when does" if stage.when else ""
                )
                out.append(Problem(stage.file, when.place.line, when.place.column, f"{path}.when", said, hint=True))
    return out


def _ways(whens: Sequence[str], language: Language, most: int) -> list[Names]:
    """List every choice of the texts they read, none when there are too many; a number is None, which is anything."""
    names = sorted({name for when in whens for name in compile_formula(when).names})
    ways: list[tuple[Value, ...]] = [language.choices.get(name, (None,)) for name in names]
    size = prod(len(way) for way in ways)
    return [dict(zip(names, values, strict=True)) for values in product(*ways)] if size <= most else []


def _can_hold(whens: Sequence[str], ways: Iterable[Names]) -> bool:
    compiled = [compile_formula(when) for when in whens]
    return any(all(one.run(at) is not False for one in compiled) for at in ways)
