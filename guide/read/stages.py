"""Reading a stage file: text to a Stage, or every problem with its place."""

import re
from functools import lru_cache
from typing import Any

import msgspec

from guide.read.formula import compile_formula, most_parts, parts_of
from guide.read.model import Formula, Key, Kind, Label, PartSpec, Problem, Stage, StepSpec, Sum, did_you_mean, one_of
from guide.read.project_keys import NAMES, OF_ANY_CLOSURE, PROJECT
from guide.read.stage_keys import BESIDE, GROUPS, STAGE
from guide.read.strict_yaml import Loaded, load
from guide.read.take import MISSING, plain_value, take
from guide.read.units import parse_pace

_KINDS: dict[str, Kind] = {
    "length": "length", "count": "count", "ratio": "percent", "text": "choice", "flag": "flag", "time": "duration",
    "weight": "weight",
}  # fmt: skip
MOST_WORK = 20_000  # parts of formulas in one file, a formula or a step itself counted as ten


def kind_of(text: str, otherwise: str = "stage") -> str:
    """Tell what a file of a workflows folder is by its first key: `stage`, `safety`, `machine`, or one of BESIDE."""
    found = re.search(rf"^({'|'.join(('stage', 'safety', 'machine', *BESIDE))})[ \t]*:", text, re.MULTILINE)
    return found[1] if found else otherwise


def read_beside(text: str, file: str, kind: str) -> tuple[dict[str, Any], Loaded]:
    """Read what of a kind lies beside the stages, by name; look at `.problems`."""
    loaded = load(text, file)
    shape = Key("map", keys={kind: msgspec.structs.replace(BESIDE[kind], required=True)})
    taken = MISSING if loaded.problems else take(shape, loaded, (), loaded.data)
    things: dict[str, Any] = taken.get(kind, {}) if isinstance(taken, dict) else {}
    if kind == "cloths":  # told by name where they are used
        for name, thing in things.items():
            thing["place"] = loaded.place((kind, name), key=True)
    return (things if not any(not p.hint for p in loaded.problems) else {}), loaded


@lru_cache(maxsize=32)
def read_what_can_be(text: str, file: str, stem: str | None = None) -> tuple[Stage | None, Loaded]:
    """Read what is sound of a stage file, so that all its mistakes can be told at once. None: nothing is.

    `stem` is its file name without .yaml, which must be its `stage`. Formulas are read but their names not yet
    checked (`guide.read.check` does that over all stages). A file that stands beside others that changed is read once.
    """
    loaded = load(text, file)
    if loaded.problems:
        return None, loaded
    taken = take(STAGE, loaded, (), loaded.data)
    if taken is MISSING:
        return None, loaded
    kind = "safety" if "safety" in taken else "stage"
    name = taken.get(kind, stem or "")
    if {"safety", "stage"} <= taken.keys():
        loaded.problem(("stage",), "a file holds a stage or checks that protect; keep stage or safety", key=True)
    if stem is not None and name != stem:
        loaded.problem((kind,), f"the file is called {stem}.yaml; write {kind}: {stem}, or rename the file")
    stage = Stage(
        name=name,
        title=taken.get("title", name),
        file=file,
        text=text,
        when=taken.get("when"),
        adds=taken.get("adds", {}),
        inputs=_inputs(taken.get("inputs", {}), name, loaded),
        sums=tuple(Sum(key, formula, name) for key, formula in taken.get("work_out", {}).items()),
        labels=_labels(taken.get("labels", {}), loaded),
        parts=_parts(taken.get("parts", []), loaded),
        steps=_steps(taken.get("steps", []), loaded, protects=kind == "safety"),
    )
    _within_reason(stage, loaded)
    return stage, loaded


def _labels(taken: dict[str, list[str]], loaded: Loaded) -> dict[str, Label]:
    """Read what numbers are called; the group is one of a few, so that a plan's table keeps its order."""
    out = {}
    for name, words in taken.items():
        text, *group = words or [""]
        if not text or len(group) > 1:
            loaded.problem(("labels", name), "write a name and a group, like [sleeve, sizes]")
        elif group and group[0] not in GROUPS:
            said = f"there is no group {group[0]}{did_you_mean(group[0], GROUPS)}; write {one_of(tuple(GROUPS))}"
            loaded.problem(("labels", name, 1), said)
        else:
            out[name] = Label(text, *group)
    return out


def _within_reason(stage: Stage, loaded: Loaded) -> None:
    """Refuse to work from a file that no one has written by hand: what it costs to check grows with its formulas."""
    work = 0
    formulas = [*(one.formula for one in stage.sums), *(formula for _, formula, _ in formulas_of(stage))]
    ones = [(one.place, one.text) for one in formulas] + [(step.place, "0") for step in stage.steps]
    if sum(10 + most_parts(text) for _, text in ones) <= MOST_WORK:
        return
    for place, text in ones:
        work += 10 + parts_of(compile_formula(text).tree)
        if work > MOST_WORK:
            said = "the file has far more formulas and steps than anyone writes or follows; make several files of it"
            loaded.problems.append(Problem(place.file, place.line, place.column, "", said, since=True))
            return


def unread(stage: Stage, loaded: Loaded) -> frozenset[str]:
    """List the names a file gives that could not be read: whatever uses them cannot be judged yet."""
    both = (data for key in ("inputs", "work_out") if isinstance(data := loaded.data.get(key), dict))
    given = {name for data in both for name in data if isinstance(name, str)}
    return frozenset(given - {own.name for own in stage.inputs} - {work.name for work in stage.sums})


def _inputs(taken: dict[str, Any], stage: str, loaded: Loaded) -> tuple[Key, ...]:
    # A key is read on though its name or place is wrong: formulas that use it would all be told as well.
    out = []
    for name, data in taken.items():
        path, at = ("inputs", name), tuple(data.get("at", name).split("."))
        if not name.isidentifier() or not name.islower():
            loaded.problem(path, f"{name} cannot be a name in formulas; write small letters and _", key=True)
        if at[0] in PROJECT.keys and "at" not in data and name not in NAMES:
            loaded.problem(path, f"{name} is a key of every project already; give it another name", key=True)
        if "at" in data and (len(at) != 2 or at[0] != "closure" or not at[1] or at[1] in OF_ANY_CLOSURE):
            loaded.problem(
                (*path, "at"), "only keys of a closure stand elsewhere; write closure. and a word of its own"
            )
        elif "at" in data and "closure" not in data:
            loaded.problem(path, f"{data['at']} belongs to one closure; write which: closure: zip", key=True)
        if "is" in data:
            out.append(_input(name, data, at, stage, loaded))
            if data["is"] == "text" and not data.get("choices"):
                loaded.problem(path, f"{name} is a text; write its choices: [a, b]")
    return tuple(out)


def _input(name: str, data: dict[str, Any], at: tuple[str, ...], stage: str, loaded: Loaded) -> Key:
    """Make the key a stage adds to projects; its limits and defaults are written as a project would write them."""
    kind, path = _KINDS[data["is"]], ("inputs", name)

    def number(word: str) -> float | None:
        value = _value(data.get(word), kind, loaded, (*path, word))
        return value if isinstance(value, float) else None

    key = Key(
        kind,
        data.get("says") or f"from the {stage} stage",
        metric=data.get("default_metric"),
        at_least=number("at_least"),
        over=number("over"),
        at_most=number("at_most"),
        name=name,
        needs=data.get("closure", ""),
        at=at,
        stage=stage,
        place=loaded.place(path),
        **{word: data[word] for word in ("default", "choices", "small_part", "cord") if word in data},
    )
    for word in ("default", "default_metric"):
        _default_fits(key, _value(data.get(word), kind, loaded, (*path, word)), data, loaded, (*path, word))
    return key


def _default_fits(own: Key, value: Any, data: dict[str, Any], loaded: Loaded, path: tuple[str, ...]) -> None:
    """Refuse a default that a project could not write itself, in the words of its own limits."""
    # `take` would say the same of a project's value; here the place is the stage's, the limit as it is written there.
    if isinstance(value, float) and (bound := own.bound_missed(value)):
        said = {"at_least": "less than at_least,", "over": "not over", "at_most": "more than at_most,"}[bound]
        loaded.problem(path, f"the default is {said} {data[bound]}")
    elif isinstance(value, str) and own.choices and value not in own.choices:
        near = did_you_mean(value, own.choices)
        loaded.problem(path, f"{value!r} is not one of the choices{near}; write {one_of(own.choices)}")


def _value(text: str | None, kind: Kind, loaded: Loaded, path: tuple[str, ...]) -> float | str | bool | None:
    """Read an input's default or limit; None, with a problem noted, where it cannot be read."""
    try:
        return None if text is None else plain_value(kind, text)
    except ValueError as error:
        loaded.problem(path, str(error))
        return None


def _parts(taken: list[dict[str, Any]], loaded: Loaded) -> tuple[PartSpec, ...]:
    needed = {"name", "cloth", "width", "height", "count"}
    return tuple(
        PartSpec(**data, place=loaded.place(("parts", i))) for i, data in enumerate(taken) if needed <= set(data)
    )


def _steps(taken: list[dict[str, Any]], loaded: Loaded, *, protects: bool) -> tuple[StepSpec, ...]:
    out: list[StepSpec] = []
    for i, data in enumerate(taken):
        path = ("steps", i)
        if "id" not in data or "title" not in data:
            continue
        if not data["id"].replace("-", "_").isidentifier():
            loaded.problem((*path, "id"), f"{data['id']!r} cannot be an id; write letters, digits, - and _")
        if any(step.id == data["id"] for step in out):
            loaded.problem((*path, "id"), f"the id {data['id']} is already used in this stage; ids must differ")
        extra = {"safety": protects} | data
        if "pace" in extra:
            try:
                extra["pace"] = parse_pace(extra["pace"])
            except ValueError as error:
                loaded.problem((*path, "pace"), str(error))
                del extra["pace"]
            else:
                _paced(extra, path, loaded)
        _handled(extra, path, loaded)
        for key in ("tools", "shows"):
            if key in extra:
                extra[key] = tuple(extra[key].items()) if key == "shows" else tuple(extra[key])
        if extra.get("picture") == "none":
            del extra["picture"]
        _near_hot_and_sharp(data, path, loaded)
        out.append(StepSpec(**extra, place=loaded.place(path)))
    return tuple(out)


def _handled(data: dict[str, Any], path: tuple[str, int], loaded: Loaded) -> None:
    """Handling is a part of a piece's pace, and needs the effort that the rest of it goes with, and the usual one."""
    named = [key for key in ("handling", "usual") if key in data]
    piece_s = sum(term.seconds for term in data.get("pace", ()) if term.per == "piece")
    if not named:
        return
    if len(named) < 2 or "effort" not in data:
        said = "handling, usual and effort belong together: so much of a piece's pace, at that effort, is no part of it"
        loaded.problem((*path, named[0]), said)
    elif data["handling"] >= piece_s:
        loaded.problem((*path, "handling"), "handling is a part of the pace per piece; write less than that")


def _paced(data: dict[str, Any], path: tuple[str, int], loaded: Loaded) -> None:
    """A pace per something needs to know how much of it a piece has; without, it would count for nothing."""
    for term in data["pace"]:
        if term.per in {"m", "effort"} and "effort" not in data:
            much = "long a piece is" if term.per == "m" else "many a piece has"
            said = f"a pace per {term.noun} needs an effort: write effort: a formula for how {much}"
            loaded.problem((*path, "pace"), said)


# What a tool is called on either side of the Atlantic, one word or two, and the caution it asks for.
_HURTS = {
    "blade": ("rotary cutter", "shears", "scissors", "snips", "knife", "blade", "scalpel", "chisel"),
    "unpicker": ("unpicker", "seam ripper", "stitch ripper", "ripper"),
    "pins": ("pin",),
    "iron": ("iron",),
    "steam": ("steam", "steamer"),
    "starch": ("starch", "sizing"),
    "spray": ("spray",),
    "glue": ("glue gun", "hot glue"),
    "awl": ("awl", "stiletto"),
    "lint": ("washer", "washing machine", "dryer", "drier"),
}
_TOOLS = {caution: re.compile(rf"\b(?:{'|'.join(words)})s?\b") for caution, words in _HURTS.items()}
_AT = {"machine": ("needle", "machine"), "iron": ("iron",), "washer": ("lint",)}  # a station: one of these


def _near_hot_and_sharp(data: dict[str, Any], path: tuple[str, int], loaded: Loaded) -> None:
    """Ask for a caution where hands are near something hot or sharp, or breathe lint."""
    cautions = set(data.get("cautions", ()))
    wanted = _AT.get(data.get("station", "table"), ())
    if wanted and not cautions & set(wanted):
        loaded.problem(
            (*path, "station") if data.get("station") else path,
            f"a step at the {data['station']} needs a caution; write cautions: [{wanted[0]}]",
            since=True,
        )
    for tool in data.get("tools", ()):
        for caution, words in _TOOLS.items():
            if words.search(tool.lower().split(" (")[0]) and caution not in cautions:
                said = f"with {tool} at hand, write {caution} among the cautions"
                loaded.problem((*path, "tools"), said, since=True)


def formulas_of(stage: Stage) -> list[tuple[str, Formula, str]]:
    """List every formula of a stage but its sums: (path, formula, table whose columns it may use)."""
    out: list[tuple[str, Formula | None, str]] = [("when", stage.when, "")]
    for i, part in enumerate(stage.parts):
        out += [(f"parts[{i}].{key}", getattr(part, key), "") for key in ("width", "height", "count", "when")]
    for i, step in enumerate(stage.steps):
        at, each = f"steps[{i}]", step.each or ""
        keys = ("when", "repeat", "pace_factor", "effort", "usual", "within")
        out += [(f"{at}.{key}", getattr(step, key), each) for key in keys]
        out += [(f"{at}.cautions_when.{name}", when, each) for name, when in step.cautions_when.items()]
    return [(path, formula, table) for path, formula, table in out if formula is not None]
