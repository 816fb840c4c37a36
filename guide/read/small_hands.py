"""What may not be on a piece for a small child, and what says so: a closure, a stage's parts and keys, an extra's name.

A child under three swallows or chokes on what comes off (CPSC's rule of small parts, from memory); a cord of whatever
length winds round an infant under one (common practice).
"""

import re
from collections.abc import Iterator, Mapping, Sequence

from guide.read.formula import FormulaError, Value, compile_formula
from guide.read.model import Formula, Key, PartSpec, Project, Stage
from guide.read.strict_yaml import Loaded, Path

SMALL, CORD = "small_part", "cord"
# What a name says by itself, whether or not a stage file says it too.
_NAMED = {
    SMALL: ("button", "bead", "bell", "eyelet", "pompom", "popper", "pull", "sequin", "snap", "stud", "toggle"),
    CORD: ("braid", "cord", "drawstring", "loop", "ribbon", "string", "tassel", "tie"),
}
_WORDS = {kind: re.compile(rf"\b(?:{'|'.join(words)})s?\b", re.IGNORECASE) for kind, words in _NAMED.items()}
# For whom it is refused, and the sentence that says why and what to write.
_REFUSED = {
    SMALL: (
        ("child", "infant"),
        "small parts come off and are swallowed by children under three; leave it off, or write for: anyone",
    ),
    CORD: (
        ("infant",),
        "ties and cords of any length wind round a child under one; leave it off, or write for: child or for: anyone",
    ),
}


def check_for_whom(project: Project, stages: Sequence[Stage], loaded: Loaded) -> None:
    """Refuse what a child could swallow or be caught in, naming the key that brings it; one problem a key."""
    told: set[Path] = set()
    for path, what, kind in _found(project, stages, loaded) if project.for_whom != "anyone" else ():
        whom, why = _REFUSED[kind]
        if project.for_whom in whom and path not in told:
            told.add(path)
            loaded.problem(path, f"{what}: {why}", since=True)


def _found(project: Project, stages: Sequence[Stage], loaded: Loaded) -> Iterator[tuple[Path, str, str]]:
    """Everything small or loose: the key's path in the project, what it is, and which of the two it is."""
    closure: Path = ("closure", "type") if isinstance(loaded.data.get("closure"), dict) else ("closure",)
    listed: Path = ("stages",) if "stages" in loaded.data else ("for",)
    at = {name: given.value for name, given in project.given.items()}
    for kind in (named := _kinds(project.closure)):
        yield closure, f"a closure of {project.closure}", kind
    for stage in stages:
        closes = project.closure in stage.adds.get("closure", ())
        if not _holds(stage.when, at) or not (closes or stage.name in project.stages) or (closes and named):
            continue
        asks = closure if closes else listed
        for own in stage.inputs:
            if at.get(own.name):  # none of them: a count of 0, a length of nothing
                key: Path = own.at if own.at in loaded.places else asks
                yield from ((key, own.name, kind) for kind in _kinds(own.name, own))
        for part in stage.parts:
            if _holds(part.when, at):
                yield from ((asks, f"the part {part.name}", kind) for kind in _kinds(part.name, part))
    for i, extra in enumerate(project.extras):
        yield from ((("extras", i, "name"), extra.name, kind) for kind in _kinds(extra.name))


def _kinds(name: str, said: Key | PartSpec | None = None) -> list[str]:
    """Whether it is a small part, a cord, or both: by what its stage file says of it and by its name."""
    spoken = name.replace("_", " ")
    return [kind for kind, words in _WORDS.items() if getattr(said, kind, False) or words.search(spoken)]


def _holds(when: Formula | None, at: Mapping[str, Value]) -> bool:
    """Whether it may hold; what needs sums that are not worked out yet counts as there."""
    if when is None:
        return True
    compiled = compile_formula(when.text)
    try:
        return compiled.run({name: at.get(name) for name in compiled.names}) is not False
    except FormulaError:
        return True
