"""What cannot be sewn is refused, with the reason and what to write; and what a small child may not be given.

A child under three swallows or chokes on what comes off (CPSC's rule of small parts, from memory); a cord of whatever
length winds round an infant under one (common practice).
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from guide.read.formula import FormulaError, Value, compile_formula
from guide.read.model import Formula, Key, PartSpec, Project, Sell, Stage, did_you_mean, one_of
from guide.read.strict_yaml import Loaded, Path
from guide.read.units import told_apart

MAX_BLOCKS, MAX_SQUARES = 10_000, 50_000
LONGEST = 40  # letters of a place's name


def _say(loaded: Loaded, *lengths: float) -> list[str]:
    """Say lengths held against each other in the units the project is written for."""
    return told_apart("metric" if loaded.data.get("units") == "metric" else "inch", *lengths)


def check_loose(taken: dict[str, Any], loaded: Loaded) -> None:
    """Check what can be checked although something else is wrong, so that all is said at once."""
    seam, square, free_end = (taken.get(name) for name in ("seam", "square", "free_end"))
    if not isinstance(seam, float):
        return
    if isinstance(square, float) and square <= 4 * seam:
        side, least = _say(loaded, square, 4 * seam)
        loaded.problem(
            ("square",),
            f"a square of {side} is eaten up by its seams; write more than four seams, {least}",
        )
    if isinstance(free_end, float) and free_end > seam + 1e-9:
        most = _say(loaded, seam)[0]
        loaded.problem(("free_end",), f"a free end over one seam leaves a hole where seams cross; write at most {most}")


def check_whole(project: Project, loaded: Loaded, keys: Sequence[tuple[Path, Key]]) -> None:
    """Refuse what cannot be sewn, with the reason; `keys`: those that formulas have a name for, with their paths."""
    data = loaded.data
    square = "15 cm" if project.units == "metric" else "6 in"
    for key, size in (("grid", "{across: 4, down: 3}"), ("square", square)) if project.target is None else ():
        if key not in data:
            loaded.problem((), f"{key} is missing; write {key}: {size}, or a target to plan from")
    if "on_hand" in (project.target or ()) and "square" not in data:
        loaded.problem(("target",), f"to plan from the cloth on hand, write the square you will cut: square: {square}")
    taken = {key: given.value for key, given in project.given.items()}
    _vast(project, loaded)
    _snips(taken, loaded)
    _closure_keys(project, loaded, keys)
    check_loose(taken, loaded)
    _wadding(taken, loaded)
    _prints(project, loaded)
    _way_in(project, loaded)
    if project.closure == "zip":
        _zip(project, taken, loaded)
    _room(project, taken, loaded)
    for place in project.sell.places or (project.sell,):
        _sell(place, loaded, ("sell", "places", place.at) if project.sell.places else ("sell",))


def _vast(project: Project, loaded: Loaded) -> None:
    """Refuse what no table or bed holds, before any time is spent on it."""
    blocks = project.across * project.down
    squares = blocks * project.make * (project.above + project.below)
    if blocks > MAX_BLOCKS:
        most = f"write at most {MAX_BLOCKS:,}, such as 100 by 100"
        loaded.problem(("grid",), f"{blocks:,} blocks are more than one panel can hold here; {most}")
    elif squares > MAX_SQUARES:
        most = f"at most {MAX_SQUARES:,} squares can be planned at once"
        loaded.problem(("make",), f"that is {squares:,} squares; write a smaller make, {most}")


def _snips(taken: dict[str, Any], loaded: Loaded) -> None:
    clear, seam = taken["snip_clear"], taken["seam"]
    if clear >= seam - 1e-9:
        ends, sewn = _say(loaded, clear, seam)
        loaded.problem(
            ("snips", "clear"),
            f"a snip that ends {ends} from the stitching has no fringe left to cut; write less than the seam, {sewn}",
        )


def _closure_keys(project: Project, loaded: Loaded, keys: Sequence[tuple[Path, Key]]) -> None:
    """Refuse keys of another closure: they would do nothing, and silently."""
    named = {"zip": "a zip", "envelope": "an envelope", "none": "no closure"}
    mine = named.get(project.closure, f"a closure of {project.closure}")
    fit = {path for path, key in keys if key.needs in {"", "wadding", project.closure}}
    for path, key in keys:
        if path in loaded.keys and path not in fit:
            other = f"type: {key.needs}" if len(path) > 1 else f"closure: {key.needs}"
            said = f"{mine} has no {path[-1]}; take it out, or write {other}"
            loaded.problem(path, said, key=True, since=True)
    if project.closure == "none" and ("closure", "price") in loaded.keys:
        loaded.problem(("closure", "price"), f"{mine} has no price; take it out", key=True, since=True)


def _wadding(taken: dict[str, Any], loaded: Loaded) -> None:
    gap, seam, square = taken["wadding_gap"], taken["seam"], taken["square"]
    if gap is None:
        return
    if gap < seam - 1.0:
        lies, least = _say(loaded, gap, seam)
        loaded.problem(
            ("wadding", "gap"),
            f"wadding with a gap of {lies} would be caught in the seam and show in the fringe; "
            f"write at least the seam, {least}",
        )
    if isinstance(square, float) and square <= 2 * gap:
        loaded.problem(("wadding", "gap"), "no wadding is left between two such gaps; make the gap smaller")


def _prints(project: Project, loaded: Loaded) -> None:
    # Each print is looked at on its own and all of them are told: a maker mends a file once.
    names = [p.name for p in project.prints]
    if not names:
        loaded.problem(("prints",), "there is no print; write at least one")
    for i, p in enumerate(project.prints):
        if p.name in names[:i]:
            loaded.problem(("prints", i, "name"), f"the print {p.name} is already given; names must differ")
        if not p.width and "on_hand" not in loaded.data["prints"][i]:
            loaded.problem(("prints", i), f"{p.name}: write its width, or what is on hand of it")
        if p.width and 2 * p.selvedge >= p.width:
            said = f"nothing is left of a cloth {_say(loaded, p.width)[0]} wide between two such selvedges"
            loaded.problem(("prints", i, "selvedge"), f"{said}; make the selvedge smaller")
        if p.use_up and not p.ready_squares and not p.shelf:
            loaded.problem(("prints", i, "use_up"), "there are no ready-cut squares to use up; add them to on_hand")
        elif p.use_up and p.at_most is not None and p.at_most < p.ready_squares:
            said = f"{p.ready_squares} ready-cut squares are to be used up, and at most {p.at_most} may be"
            loaded.problem(("prints", i, "at_most"), f"{said}; write {p.ready_squares} or more, or leave use_up out")
    if project.back_cloth is not None and project.back_cloth not in names:
        said = did_you_mean(project.back_cloth, names)
        loaded.problem(("back", "plain"), f"there is no print {project.back_cloth}{said}; there is {one_of(names)}")


def _way_in(project: Project, loaded: Loaded) -> None:
    if project.kind == "throw":
        if project.closure != "none":
            loaded.problem(("closure",), "a throw has no inside; write closure: none")
        if project.back != "none":
            loaded.problem(("back",), "a throw shows both faces of its blocks; take back out")
        if project.below == 0:
            loaded.problem(("layers", "below"), "a throw shows both faces; it needs at least 1 square below")
    elif project.kind == "cushion":
        if project.closure == "none":
            loaded.problem(("closure",), "a cushion with no closure has no way in; write a zip or an envelope")
        if project.back == "none":
            loaded.problem(("back",), "a cushion needs a back; write patchwork or {plain: a print's name}")


def _zip(project: Project, taken: dict[str, Any], loaded: Loaded) -> None:
    row, column = taken["after_row"], taken["after_column"]
    if (row is None) == (column is None):
        loaded.problem(("closure",), "a zip lies across or down: write after_row or after_column, one of them")
        return
    ways = ("after_row", row, project.down, "rows"), ("after_column", column, project.across, "columns")
    key, value, most, word = ways[row is None]
    if project.target is None and most and not 1 <= value <= most - 1:
        said = f"write 1 to {most - 1}" if most > 1 else "lay the zip the other way, or use an envelope"
        loaded.problem(
            ("closure", key), f"the zip must lie between two {word} of the back, and there are {most}; {said}"
        )
    if taken["zip_end_gap"] <= taken["seam"] + 1e-9:
        loaded.problem(
            ("closure", "end_gap"),
            "the zip would reach into the outer seam and be sewn over; write more than the seam, "
            f"{_say(loaded, taken['seam'])[0]}",
        )


def _room(project: Project, taken: dict[str, Any], loaded: Loaded) -> None:
    """Refuse a closure without a mouth: a zip that is all ends, envelope panels wholly over each other."""
    square, seam = taken["square"], taken["seam"]
    if not isinstance(square, float) or project.target is not None:
        return
    pitch_made = (square - 2 * seam) * (1 - taken["draw_in"])
    side = {"row": project.across, "column": project.down}.get(str(taken["zip_along"]), 0)
    length = side * pitch_made + 2 * seam
    ends = 2 * (taken["zip_end_gap"] or 0.0) + 2 * (taken["zip_stop_gap"] or 0.0)
    if project.closure == "zip" and side and ends >= length - 1e-9:
        seam_text, end_text = _say(loaded, length, ends / 2)
        said = f"a zip seam of {seam_text} has no opening left between ends of {end_text}"
        loaded.problem(("closure", "end_gap"), f"{said}, so there is no way in; make end_gap smaller", since=True)
    high = project.down * pitch_made + 2 * seam
    if project.closure == "envelope" and taken["envelope_overlap"] >= high - 1e-9:
        back, third = _say(loaded, high, high / 3)
        said = f"each panel would be as high as the whole back, {back}, so there is no way in"
        loaded.problem(("closure", "overlap"), f"{said}; write less, such as {third}", since=True)


def _sell(sell: Sell, loaded: Loaded, path: Path) -> None:
    """Refuse shares that eat the whole price: none would be high enough. The fee is of the price with tax."""
    if path[1:] and not 0 < len(sell.at.strip()) <= LONGEST:
        loaded.problem(path, f"a place needs a name of 1 to {LONGEST} characters, such as market", key=True)
    if sell.margin + sell.keeps < 1 - 1e-9:
        return
    fee = sell.fee * (1 + sell.tax)
    rests = {
        "margin": 1 - sell.keeps,
        "fee": (1 - sell.margin - sell.part) / (1 + sell.tax),
        "part": 1 - sell.margin - fee,
    }
    written = sorted(rests, key=lambda one: (*path, one) not in loaded.places)  # what the place itself says comes first
    key = next((one for one in written if getattr(sell, one) and rests[one] > 0), "fee")
    asks = f"lower {key}" if rests[key] <= 0 else f"write less than {100 * rests[key]:.4g} %"
    with_tax = f", {100 * fee:.4g} % with the tax on it," if sell.tax else ""
    part = f", a shop's part of {100 * sell.part:.4g} %" if sell.part else ""
    loaded.problem(
        (*path, key) if (*path, key) in loaded.places else ("sell", key),
        f"a margin of {100 * sell.margin:.4g} %{part} and a fee of {100 * sell.fee:.4g} %{with_tax} leave nothing for "
        f"the cost, so no price is high enough; {asks}",
    )


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
