"""The steps of a project, in order: which apply, how many pieces each has, at what starter pace."""

from collections.abc import Mapping, Sequence
from typing import Any

from guide.plan.model import Step
from guide.plan.parts import holds, number
from guide.read.check import Language
from guide.read.formula import Value
from guide.read.model import Project, Stage, StepSpec
from guide.read.pace import pace_seconds
from guide.read.tables import TABLES

Tables = Mapping[str, Sequence[Mapping[str, Any]]]


def steps_of(project: Project, language: Language, at: Mapping[str, Value], tables: Tables) -> tuple[Step, ...]:
    """List the steps that apply, stage by stage in the project's order, `before`/`after` honoured.

    A step whose `repeat` comes to nothing, or does not apply, is left out.
    """
    return tuple(
        step for stage, spec in _ordered(project, language, at) for step in _steps(stage, spec, language, at, tables)
    )


def _ordered(project: Project, language: Language, at: Mapping[str, Value]) -> list[tuple[Stage, StepSpec]]:
    by_name = {stage.name: stage for stage in language.stages}
    live = [by_name[name] for name in project.stages if name in by_name and holds(by_name[name].when, at)]
    listed = [(stage, spec) for stage in live for spec in stage.steps if not (spec.before or spec.after)]
    moved = [(stage, spec) for stage in live for spec in stage.steps if spec.before or spec.after]
    for stage, spec in moved:
        target = spec.before or spec.after
        places = [i for i, (s, other) in enumerate(listed) if f"{s.name}/{other.id}" == target]
        where = len(listed) if not places else places[0] if spec.before else places[-1] + 1
        listed.insert(where, (stage, spec))
    return listed


def _steps(stage: Stage, spec: StepSpec, language: Language, at: Mapping[str, Value], tables: Tables) -> list[Step]:
    if spec.each is None:
        return _one(stage, spec, language, at, None)
    out: list[Step] = []
    for row in tables.get(spec.each, ()):
        plain = {key: float(v) if isinstance(v, int) and not isinstance(v, bool) else v for key, v in row.items()}
        out += _one(stage, spec, language, {**at, **plain}, row)
    return out


def _one(
    stage: Stage, spec: StepSpec, language: Language, at: Mapping[str, Value], row: Mapping[str, Any] | None
) -> list[Step]:
    if not holds(spec.when, at):
        return []
    repeat = 1.0 if spec.repeat is None else number(spec.repeat.text, at, spec.repeat.place)
    pieces = round(repeat or 0.0)
    if pieces < 1:
        return []
    effort, noun = _effort(spec, language, at)
    total = pace_seconds(spec.pace, pieces, effort)
    label, key = _label(spec, row)
    within = number(spec.within.text, at, spec.within.place) if spec.within else None
    return [
        Step(
            key=f"{stage.name}/{spec.id}{key}",
            stage=stage.name,
            stage_title=stage.title,
            id=spec.id,
            title=spec.title + label,
            pieces=pieces,
            piece=spec.piece,
            count="none" if pieces == 1 else spec.count,
            station=spec.station,
            pace=spec.pace,
            pace_s=total / pieces,
            beginner_factor=spec.beginner_factor,
            effort=effort,
            effort_noun=noun,
            place=spec.place,
            together=spec.together,
            waits_s=spec.waits,
            cue=spec.cue,
            measure=spec.measure if spec.measure and at.get(spec.measure) is not None else None,
            within_mm=within,
            shows=tuple((name, said) for name, said in spec.shows if at.get(name) is not None),
            picture=spec.picture,
            tools=spec.tools,
            cautions=spec.cautions,
            texts={k: t for k in ("do", "why", "if_wrong", "beginner", "good_enough") if (t := getattr(spec, k))},
            row=dict(row) if row else None,
        )
    ]


def _effort(spec: StepSpec, language: Language, at: Mapping[str, Value]) -> tuple[float | None, str]:
    """Give one piece's effort in m or as a count, and its word."""
    if spec.effort is None:
        return None, ""
    effort = number(spec.effort.text, at, spec.effort.place)
    if effort is None:
        return None, ""
    nouns = [term.noun for term in spec.pace if term.per in {"m", "effort"}]
    counted = any(term.per == "effort" for term in spec.pace) or (not nouns and _is_count(spec, language))
    return (effort, nouns[0] if nouns else "") if counted else (effort / 1000.0, "m")


def _is_count(spec: StepSpec, language: Language) -> bool:
    from guide.read.dimensions import dim_of  # noqa: PLC0415 - only steps with an effort and no pace per it
    from guide.read.formula import compile_formula  # noqa: PLC0415

    assert spec.effort is not None
    dims = {**language.dims, **TABLES.get(spec.each or "", {})}
    return dim_of(compile_formula(spec.effort.text).tree, dims, language.choices) != "length"


def _label(spec: StepSpec, row: Mapping[str, Any] | None) -> tuple[str, str]:
    """Give what an `each` step's title and key end with."""
    if row is None or spec.each is None:
        return "", ""
    first = str(row[next(iter(TABLES[spec.each]))])
    if spec.each == "cuts":
        part, setting = str(row["part"]), float(row["setting"])
        said = "" if part in {"square", f"{first} square"} else f", {part}"
        return f": {first}{said}", f":{first}:{part}:{setting:.2f}"
    return f": {first}", f":{first}"
