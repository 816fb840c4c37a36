"""The steps of a project, in order: which apply, how many pieces each has, at what starter pace.

What each really waits for: the steps that must be done before it can be begun. A block that is made once more goes
through steps of its own.
"""

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from msgspec.structs import replace

from guide.errors import NeedsMending
from guide.plan.graph import depending
from guide.plan.model import Plan, Step
from guide.plan.parts import WADDING, holds, number
from guide.read.check import Language
from guide.read.formula import Value, compile_formula
from guide.read.kinds import LACKS
from guide.read.model import TEXTS, Project, Stage, StepSpec, grouped
from guide.read.spoken import said
from guide.read.stage_keys import LOADS, TABLES, TOOL_NAMES
from guide.read.units import pace_seconds

MOST_STEPS = 2000
MOST_PIECES, MOST_S = 100_000, 36_000_000.0  # ten thousand hours: five years of full days
Tables = Mapping[str, Sequence[Mapping[str, Any]]]


def steps_of(project: Project, language: Language, at: Mapping[str, Value], tables: Tables) -> tuple[Step, ...]:
    """List the steps that apply, stage by stage in the project's order, `before`/`after` honoured.

    A step whose `repeat` comes to nothing, or does not apply, is left out. Raises NeedsMending for more work
    than anyone does, and for a formula that cannot be worked out.
    """
    over_makes = depending("make", language) | {"make"}
    steps: list[Step] = []
    ordered = _ordered(project, language, at)
    for stage, spec, rows in _load_by_load(ordered, tables):
        # So many pieces because there are so many makes: a cloth is pressed once for all of them.
        of_makes = spec.repeat is not None and bool(compile_formula(spec.repeat.text).names & over_makes)
        steps += [replace(one, of_makes=of_makes) for one in _steps(stage, spec, language, at, rows)]
        if len(steps) > MOST_STEPS:
            raise NeedsMending(
                f"{spec.place}: with the step {spec.id} there are more than {MOST_STEPS:,} steps, and nobody follows "
                "so many; count pieces with repeat where each stands, or write fewer"
            )
    hours = sum(step.pace_s * step.pieces for step in steps) / 3600
    if hours > MOST_S / 3600:
        raise NeedsMending(
            f"{project.file}: the steps come to {hours:,.0f} hours; make less at once, or check their paces"
        )
    return with_needs(_once_a_room(steps), ordered, language.stages)


def _once_a_room(steps: Sequence[Step]) -> list[Step]:
    """Warn of the room (light, leads, children) at the first setting up only: it is not set up again at the next."""
    first = next((step for step in steps if "room" in step.cautions), None)
    return [
        step if step is first else replace(step, cautions=tuple(one for one in step.cautions if one != "room"))
        for step in steps
    ]


def _ordered(project: Project, language: Language, at: Mapping[str, Value]) -> list[tuple[Stage, StepSpec]]:
    """Put steps where `before` and `after` say; one whose target is not in this project stays in its own stage.

    What protects somebody stays, whichever stages the project names.
    """
    # Steps may be placed beside others that are placed themselves: round by round, those whose target stands already.
    by_name = {stage.name: stage for stage in language.stages}
    live = [by_name[name] for name in project.stages if name in by_name and holds(by_name[name].when, at)]
    all_of = [(stage, spec) for stage in live for spec in stage.steps]
    others = [stage for stage in language.stages if stage.name not in project.stages and holds(stage.when, at)]
    all_of += [(stage, spec) for stage in others for spec in stage.steps if spec.safety]
    keys = {_key(stage, spec) for stage, spec in all_of}
    moved = [one for one in all_of if (one[1].before or one[1].after) in keys]
    listed = [one for one in all_of if one not in moved]
    while moved:
        placed = {_key(*one) for one in listed}
        ready = [one for one in moved if (one[1].before or one[1].after) in placed]
        if not ready:  # a circle, which the check of the files refuses
            return listed + moved
        for one in ready:
            listed.insert(_place(one[1], listed), one)
        moved = [one for one in moved if one not in ready]
    return listed


def _load_by_load(
    ordered: Sequence[tuple[Stage, StepSpec]], tables: Tables
) -> Iterator[tuple[Stage, StepSpec, Tables]]:
    """Give the steps in turn with the rows they are written over; neighbours over loads go load by load.

    A load is dried before the next one is washed, and dried once before it is washed again.
    """
    for over, group in groupby(ordered, key=lambda one: one[1].each if one[1].each in LOADS else None):
        steps = list(group)
        for rows in [{over: [row]} for row in tables.get(over, ())] if over else [tables]:
            yield from ((stage, spec, rows) for stage, spec in steps)


def _key(stage: Stage, spec: StepSpec) -> str:
    return f"{stage.name}/{spec.id}"


def _place(spec: StepSpec, listed: Sequence[tuple[Stage, StepSpec]]) -> int:
    """Find where a placed step goes: several at one target keep the order they are written in."""
    target = spec.before or spec.after
    where = next(i for i, one in enumerate(listed) if _key(*one) == target)
    if spec.before:
        return where
    where += 1
    while where < len(listed) and listed[where][1].after == target:
        where += 1
    return where


def _steps(stage: Stage, spec: StepSpec, language: Language, at: Mapping[str, Value], tables: Tables) -> list[Step]:
    if spec.each is None:
        return _one(stage, spec, language, at, None)
    out: list[Step] = []
    for row in tables.get(spec.each, ()):
        plain = {key: float(v) if isinstance(v, int) and not isinstance(v, bool) else v for key, v in row.items()}
        out += _one(stage, spec, language, {**at, **plain}, row)
    return list(_told_apart(out))


def _told_apart(steps: list[Step]) -> Iterator[Step]:
    """Number rows that go by one name (two pieces of one cloth): a step's key is its own."""
    seen: dict[str, int] = {}
    for step in steps:
        seen[step.key] = nth = seen.get(step.key, 0) + 1
        again = {"key": f"{step.key}:{nth}", "title": f"{step.title}, {nth}"} if nth > 1 else {}
        yield replace(step, **again)


_AS_WRITTEN = ("id", "station", "beginner_factor", "place", "together", "picture", "safety")  # of a step's own words


def _one(
    stage: Stage, spec: StepSpec, language: Language, at: Mapping[str, Value], row: Mapping[str, Any] | None
) -> list[Step]:
    if not holds(spec.when, at):
        return []
    repeat = 1.0 if spec.repeat is None else number(spec.repeat.text, at, spec.repeat.place)
    pieces = round(repeat or 0.0)  # a formula left out and one that is none differ: no repeat is once, none is no step
    if pieces < 1:
        return []
    # Every text of a step is put in the project's words here, before a value or a maker's own name comes into it.
    effort, noun = _effort(spec, language, at)
    factor = number(spec.pace_factor.text, at, spec.pace_factor.place) if spec.pace_factor else None
    times = 1.0 if factor is None else factor
    total, by_effort = (seconds * times for seconds in _pace_s(spec, pieces, effort, at))
    _reasonable(spec, pieces, total)
    words = str(at["words"])
    label, key = _label(spec, row, words)
    return [
        Step(
            key=_key(stage, spec) + key,
            stage=stage.name,
            stage_title=said(stage.title, words),
            title=said(spec.title, words) + label,
            pieces=pieces,
            piece=said(spec.piece, words),
            count="none" if pieces == 1 else spec.count,
            pace_s=total / pieces,
            effort_s=by_effort / pieces,
            effort=effort,
            effort_noun=said(noun, words),
            waits_s=spec.waits,
            cue=spec.cue and said(spec.cue, words),
            measure=spec.measure if spec.measure and at.get(spec.measure) is not None else None,
            within_mm=number(spec.within.text, at, spec.within.place) if spec.within else None,
            shows=tuple((name, said(label, words)) for name, label in spec.shows if at.get(name) is not None),
            tools=tuple(said(_counted(tool, at), words) for tool in spec.tools),
            cautions=tuple(one for one in spec.cautions if _hurts(one, spec, at)),
            texts={k: t for k in TEXTS if (t := getattr(spec, k))},
            row=dict(row) if row else None,
            count_in=said(spec.count_in, words),
            **{name: getattr(spec, name) for name in _AS_WRITTEN},
        )
    ]


def _hurts(caution: str, spec: StepSpec, at: Mapping[str, Value]) -> bool:
    """Whether a caution holds here: not one against what this project does not have, nor an infant's for a child."""
    return holds(spec.cautions_when.get(caution), at) and (caution != "infant" or at["for_whom"] != "child")


def _counted(tool: str, at: Mapping[str, Value]) -> str:
    """Put counts into a tool's name: a needle by its number; for a foot that the machine has not, its usual one."""
    if (foot := LACKS.get(tool)) and at.get(foot):
        return "usual foot"
    return TOOL_NAMES.sub(lambda found: f"{at.get(found[1]) or 0:g}", tool)


def _reasonable(spec: StepSpec, pieces: int, seconds: float) -> None:
    """Refuse a step that nobody could live to finish: a slip in its formulas, or worse. Raises NeedsMending for one."""
    if pieces > MOST_PIECES:
        wrong = f"comes to {pieces:,} pieces; check its repeat, at most {MOST_PIECES:,} can be counted"
    elif not 0.0 <= seconds <= MOST_S:
        wrong = f"would take {seconds / 3600:,.0f} hours; check its pace, repeat and effort"
    else:
        return
    raise NeedsMending(f"{spec.place}: the step {spec.id} {wrong}")


def _effort(spec: StepSpec, language: Language, at: Mapping[str, Value]) -> tuple[float | None, str]:
    """Give one piece's effort in m or as a count, and its word."""
    effort = number(spec.effort.text, at, spec.effort.place) if spec.effort else None
    if effort is None:
        return None, ""
    nouns = [term.noun for term in spec.pace if term.per in {"m", "effort"}]
    counted = any(term.per == "effort" for term in spec.pace) or (not nouns and _is_count(spec, language))
    return (effort, nouns[0] if nouns else "") if counted else (effort / 1000.0, "m")


def _pace_s(spec: StepSpec, pieces: int, effort: float | None, at: Mapping[str, Value]) -> tuple[float, float]:
    """Give a whole step's starter pace, and what of it grows with the effort, s.

    With `handling` the rest of a piece's pace is for its `usual` effort, and in proportion for another.
    """
    total = pace_seconds(spec.pace, pieces, effort)
    by_effort = math.fsum(one.seconds * pieces * (effort or 0.0) for one in spec.pace if one.per in {"m", "effort"})
    if spec.handling is None or spec.usual is None or spec.effort is None:
        return total, by_effort
    much, usual = number(spec.effort.text, at, spec.effort.place), number(spec.usual.text, at, spec.usual.place)
    if not much or not usual:
        return total, by_effort
    times = 1.0 if math.isclose(much, usual, rel_tol=1e-9) else much / usual
    rest = pieces * (math.fsum(one.seconds for one in spec.pace if one.per == "piece") - spec.handling)
    return total + rest * (times - 1), by_effort + rest * times


def _is_count(spec: StepSpec, language: Language) -> bool:
    from guide.read.dimensions import dim_of  # noqa: PLC0415 - only steps with an effort and no pace per it

    assert spec.effort is not None
    dims = {**language.dims, **TABLES.get(spec.each or "", {})}
    return dim_of(compile_formula(spec.effort.text).tree, dims, language.choices, language.judge) != "length"


def _label(spec: StepSpec, row: Mapping[str, Any] | None, words: str) -> tuple[str, str]:
    """Give what an `each` step's title and key end with: the maker's own names as written, ours in their words."""
    if row is None or spec.each is None:
        return "", ""
    first = str(row[next(iter(TABLES[spec.each]))])
    if spec.each in LOADS:  # the first load's key is what it was before there were several
        wash, nth = row.get("wash", 1), row["number"]
        key = f":{wash}-{nth}" if "wash" in row else f":{nth}"
        return f": {first}" if first else "", key if wash > 1 or nth > 1 else ""
    # A part's name and `wadding` are ours, a print's is not.
    named = said(first, words) if spec.each == "parts" or first == WADDING else first
    if spec.each == "cuts":
        part, setting = str(row["part"]), float(row["setting"])
        of_part = "" if part in {"square", f"{first} square"} else f", {said(part, words)}"
        return f": {named}{of_part}", f":{first}:{part}:{setting:.2f}"
    return f": {named}", f":{first}"


_UNPICK_S = 240.0  # a block's seams, a stitch at a time: an estimate from memory, as starter paces are
_CUT_S = 60.0  # a square from what is left of its cloth
_JOINING = "join"


def with_again(plan: Plan, again: Sequence[Mapping[str, Any]]) -> Plan:
    """The plan with the steps that are done once more, before blocks are joined; each is timed and counted as its own.

    again: `block`, the `steps` it goes through by their keys, what is `cut` by print, whether it is to `unpick`.
    """
    fresh = [step for n, one in enumerate(again, 1) for step in _once_more(plan, n, one)]
    if not fresh:
        return plan
    at = next((i for i, step in enumerate(plan.steps) if step.stage == _JOINING), len(plan.steps))
    return replace(plan, steps=(*plan.steps[:at], *fresh, *plan.steps[at:]))


def _once_more(plan: Plan, n: int, again: Mapping[str, Any]) -> list[Step]:
    """What is done again for one block, each step one piece."""
    named = {step.key: step for step in plan.steps}
    one = next((named[key] for key in again.get("steps", ()) if key in named), plan.steps[0])
    block, out = again["block"], []
    if again.get("unpick"):
        do = "Its seams, a stitch at a time, from both sides; then every bit of thread off."
        first = _own(one, f"quilt/unpick:again {n}", f"Unpick block {block}", _UNPICK_S)
        out.append(replace(first, texts={"do": do}, tools=("unpicker",), cautions=("unpicker", "eyes")))
    for name, count in again.get("cut", {}).items():
        title = f"Cut again for block {block}: {count} of {name}"
        cut = _own(one, f"cut/again:{name} {n}", title, _CUT_S * count)
        shows = (("square", "square"),)
        out.append(replace(cut, texts={"do": "Along the grain, tops the same way."}, shows=shows, cautions=("blade",)))
    for key in again.get("steps", ()):
        if key in named:
            step = named[key]
            title = f"Block {block} again: {step.title[:1].lower()}{step.title[1:]}"
            out.append(replace(step, key=f"{key}:again {n}", title=title, pieces=1, together=None, count="none"))
    return out


def _own(like: Step, key: str, title: str, pace_s: float) -> Step:
    return Step(
        key=key,
        stage=key.partition("/")[0],
        stage_title=like.stage_title,
        id=key.partition("/")[2],
        title=title,
        pieces=1,
        piece="block",
        count="none",
        station="table",
        pace_s=pace_s,
        beginner_factor=2.0,
        effort=None,
        effort_noun="",
        place=like.place,
    )


# When hands that cut and snip have had enough: one rule at the machine, on the checklist, in forecast and price.
#
# Three minutes' rest after fifteen of cutting or snipping, after ten through more than six layers: from memory.

REST_S = 180.0
HANDS_S, THICK_S, THICK = 900.0, 600.0, 6
_SNIPPED = {"snip": "layers_raw_seam", "assemble": "layers_outer"}  # how many layers a stage's snips go through
_EPS = 1e-9
Stretch = tuple[float | None, float]  # how long hands hold out at this work, s (None: it strains no hands); its time, s


def holds_out_s(plan: Plan, step: Step) -> float | None:
    """How long hands hold out at a step that cuts or snips, s; None for other work, which rests them."""
    if "hands" not in step.cautions:
        return None
    return THICK_S if (plan.number(_SNIPPED.get(step.stage, "")) or 0) > THICK else HANDS_S


def had_enough(stretches: Sequence[Stretch]) -> Iterator[tuple[int, float]]:
    """When hands have had enough: in which stretch, how many seconds into it. It sums over stretches in a row.

    Three minutes of other work between them rest the hands; less does not, and what was worked before it still counts.
    """
    worn = rested = 0.0  # as a share of what hands hold out
    for nth, (limit, length) in enumerate(stretches):
        if limit is None:
            rested += length
            worn = 0.0 if rested >= REST_S - _EPS else worn
            continue
        at = rested = 0.0
        while worn + (length - at) / limit >= 1 - _EPS:
            at += (1 - worn) * limit
            worn = 0.0
            yield nth, at
        worn += (length - at) / limit


def rests(stretches: Sequence[Stretch]) -> tuple[tuple[float, ...], ...]:
    """Where a rest of `REST_S` falls in each stretch, s into it; none where other work or nothing follows at once."""
    out: list[list[float]] = [[] for _ in stretches]
    for nth, at in had_enough(stretches):
        if at < stretches[nth][1] - 1e-6 or _goes_on(stretches[nth + 1 :]):
            out[nth].append(at)
    return tuple(tuple(mine) for mine in out)


def _goes_on(following: Sequence[Stretch]) -> bool:
    """Whether hands cut or snip again before other work has rested them."""
    rested = 0.0
    for limit, length in following:
        if limit is not None and length > 0:
            return True
        rested += length
        if rested >= REST_S - _EPS:
            return False
    return False


def resting_s(plan: Plan, worked_s: Sequence[float]) -> float:
    """What rests take in all, s, when each of the plan's steps is worked for so long."""
    return REST_S * sum(len(mine) for mine in plan_rests(plan, worked_s))


def plan_rests(plan: Plan, worked_s: Sequence[float]) -> tuple[tuple[float, ...], ...]:
    """Where the rests fall in each of a plan's steps, worked one after another for so many seconds."""
    return rests([(holds_out_s(plan, step), s) for step, s in zip(plan.steps, worked_s, strict=True)])


def with_needs(
    steps: Sequence[Step], ordered: Sequence[tuple[Stage, StepSpec]], all_stages: Sequence[Stage]
) -> tuple[Step, ...]:
    """Give each step the keys of the steps it needs; `ordered` are all steps of the project, left out or not.

    Where a stage file says nothing, a step needs the one before it. A step that does not apply passes its own needs
    on. Only what stands earlier in this project's order is needed, so nothing ever waits for itself.
    """
    # By names first, for a step that is written over rows, or left out, is needed by name; then by keys, row by row.
    wants = _wants(ordered, all_stages) | {one.name: tuple(_key(one, spec) for spec in one.steps) for one in all_stages}
    rows = grouped(steps, lambda step: f"{step.stage}/{step.id}")
    each = {_key(stage, spec): spec.each for stage, spec in ordered}
    out, before = list[Step](), set[str]()
    some_washed = any((step.row or {}).get("washed") for step in steps)
    for step in steps:
        base = f"{step.stage}/{step.id}"
        found = _there(base, wants, rows.keys())
        keys = []
        for need in found:
            # Of a needed step's rows the one this step is of, where both go by one table; else all.
            own = step.row is not None and each.get(base) == each.get(need)
            mine = [one for one in rows[need] if one.row == step.row] if own else []
            keys += [one.key for one in mine or rows[need]]
        if each.get(base) in LOADS and out:  # one load after another, dried before the next one is washed
            keys = list(dict.fromkeys([*keys, out[-1].key]))
        if some_washed and (step.row or {}).get("material") == WADDING:  # it is cut while the prints are in the wash
            keys = []
        out.append(replace(step, needs=tuple(key for key in keys if key in before)))
        before.add(step.key)
    return tuple(out)


def _wants(ordered: Sequence[tuple[Stage, StepSpec]], all_stages: Sequence[Stage]) -> dict[str, tuple[str, ...]]:
    """What each step asks for by name: what is written, or the step before it."""
    wants: dict[str, tuple[str, ...]] = {}
    for stages in ([(stage, spec) for stage in all_stages for spec in stage.steps], ordered):
        before: tuple[str, ...] = ()
        for stage, spec in stages:
            name = _key(stage, spec)
            wants[name] = before if spec.needs is None else spec.needs
            before = (name,)
    return wants


def _there(base: str, wants: Mapping[str, tuple[str, ...]], there: Collection[str]) -> list[str]:
    """The steps of this plan that a step needs; those left out are looked through."""
    found: dict[str, None] = {}
    seen: set[str] = set()
    ways = list(reversed(wants.get(base, ())))
    while ways:
        name = ways.pop()
        if name in seen:
            continue
        seen.add(name)
        if name in there:
            found[name] = None
        else:
            ways += reversed(wants.get(name, ()))
    return list(found)


def needed(steps: Sequence[Step], left_out: Collection[str]) -> dict[str, tuple[str, ...]]:
    """What each step of a plan needs when some of them (keys) are left out: those pass their needs on."""
    wants = {step.key: step.needs for step in steps}
    there = wants.keys() - set(left_out)
    return {key: tuple(_there(key, wants, there)) for key in wants if key in there}
