"""Reading a project file: text to a Project, or every problem with its place."""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from msgspec import convert, structs

from guide.read.kinds import Kinds, cloth_given, made_of, shrunk
from guide.read.model import (
    Extra,
    Given,
    Key,
    Labour,
    Place,
    Print,
    Problem,
    Project,
    Rank,
    Remnant,
    Sell,
    Stage,
    strongest,
)
from guide.read.project_keys import CLOSURES, MADE, OF_MACHINE, PRINT, named, project_keys
from guide.read.refuse import check_for_whom, check_loose, check_whole
from guide.read.strict_yaml import Loaded, Path, dig, load
from guide.read.take import MISSING, plain_value, take
from guide.read.units import parse_length, show_length

_UNIT = re.compile(r"(?<=[\d¼½¾⅓⅔⅕-⅞])(?=[A-Za-z%])")  # where a unit begins that nothing parts from its number
_OF_MACHINES = {"length", "weight", "ratio", "time"}
_AS_SAID = ("kind", "for_whom", "units", "words", "closure", "back", "quilting", "stacks", "washed_first")
_COUNTED = ("make", "across", "down", "above", "below")
LEAST_MM = 350.0  # between a swatch's marks (ISO 3759, second hand); a shorter one measures its own stretch
MOST, LEAST = 0.5, -0.1  # beyond these a swatch's two lengths have been mistaken for one another
SHIPPED = ("cut", "stack", "quilt", "join", "snip", "closure", "assemble", "wash")


def read_project(
    text: str,
    file: str,
    stages: Sequence[Stage],
    changes: Sequence[str] = (),
    *,
    kept: bool = False,
    beneath: Sequence[Given] = (),
    kinds: Kinds | None = None,
) -> tuple[Project | None, Loaded]:
    """Read a project. The Project is None when `loaded.problems` holds anything but hints.

    `changes` such as `square=7in` or `grid.across=5` are tried in place of what the file says. `kept` by a journal,
    a text is not refused for what was still good then. `beneath`: what holds where the project says nothing.
    `kinds`: of cloth, by the name that prints give them.
    """
    loaded = load(text, file)
    if loaded.problems:
        return None, loaded
    for change in changes:
        _change(change, loaded)
    taken = take(shape_for(stages, _closure_type(loaded.data)), loaded, (), loaded.data)
    if taken is MISSING or _wrong(loaded, kept=kept):
        if isinstance(taken, dict):
            check_loose(taken, loaded)
        return None, loaded
    keys = keys_of(stages)
    project = _build(taken, loaded, keys, beneath, kinds or {})
    if _wrong(loaded, kept=kept):
        return None, loaded
    check_whole(project, loaded, keys)
    check_for_whom(project, stages, loaded)
    return (None if _wrong(loaded, kept=kept) else project), loaded


def _wrong(loaded: Loaded, *, kept: bool) -> bool:
    return any(not (p.hint or (kept and p.since)) for p in loaded.problems)


def _change(change: str, loaded: Loaded) -> None:
    """Put one `key=value` in the place of what is written; what is wrong with it has it as its place."""
    name, _, value = change.partition("=")
    way = tuple(name.strip().split("."))
    inner = load(value.strip(), change)
    place = Place(f"--set {change}", 0)
    at = loaded.data
    for depth, part in enumerate(way[:-1], 1):
        if isinstance(at, dict) and part not in at:
            at[part] = {}
            loaded.places[way[:depth]] = loaded.keys[way[:depth]] = place
        at = at.get(part) if isinstance(at, dict) else None
    if inner.problems or not all(way) or not isinstance(at, dict):
        loaded.problems.append(Problem(place.file, 0, 0, "", "write it like square=7in or grid.across=5"))
        return
    at[way[-1]] = inner.data
    for table in (loaded.places, loaded.keys):  # what stood there is gone, with all that was in it
        for path in [path for path in table if path[: len(way)] == way]:
            del table[path]
        table |= {(*way, *path): place for path in ((), *inner.places)}


def _closure_type(data: Any) -> str:
    """Tell how a project says that its opening shuts, in a word or as a type."""
    closure = data.get("closure", "none") if isinstance(data, dict) else "none"
    closure = closure.get("type") if isinstance(closure, dict) else closure
    return closure if isinstance(closure, str) else "none"


def shape_for(stages: Sequence[Stage], closure: str = "") -> Key:
    """Give the key of a whole project with what these stage files add to it; `closure` as in `project_keys`."""
    return project_keys(
        kinds=added("kind", stages),
        closures=added("closure", stages),
        stages=tuple(dict.fromkeys((*SHIPPED, *(stage.name for stage in stages)))),
        own=[key for stage in stages for key in stage.inputs],
        closure=closure,
    )


def names_of(stages: Sequence[Stage]) -> dict[str, Key]:
    """Give every name that formulas have without working anything out."""
    made = MADE | {"closure": structs.replace(MADE["closure"], choices=(*CLOSURES, *added("closure", stages)))}
    return {key.name: key for _, key in keys_of(stages)} | made | OF_MACHINE


def keys_of(stages: Sequence[Stage]) -> list[tuple[Path, Key]]:
    """List the keys that formulas have a name for, with their paths; two closures may each have one of a path."""
    own = [(key.at, key) for stage in stages for key in stage.inputs]
    return [*named(project_keys(kinds=added("kind", stages))), *own]


def added(what: str, stages: Sequence[Stage]) -> tuple[str, ...]:
    """Give the kinds or closures that stage files add."""
    return tuple(dict.fromkeys(word for stage in stages for word in stage.adds.get(what, ())))


def read_machine(text: str, file: str, stages: Sequence[Stage]) -> tuple[list[Given], Loaded]:
    """Read what a maker's machines hold and take: sizes, shares and weights with a default, by formulas' names."""
    keys = {key.name: key for _, key in keys_of(stages) if key.default is not None and key.dim in _OF_MACHINES}
    loaded = load(text, file)
    shape = Key("map", keys={"machine": Key("map", "what machines hold and take", required=True, keys=keys)})
    taken = MISSING if loaded.problems else take(shape, loaded, (), loaded.data)
    said = taken.get("machine", {}) if isinstance(taken, dict) else {}
    ones = [_given(keys[name], ("machine", name), _in_mm(keys[name], value), loaded) for name, value in said.items()]
    return [structs.replace(one, rank="machine") for one in ones], loaded


def _build(
    taken: dict[str, Any], loaded: Loaded, keys: Sequence[tuple[Path, Key]], beneath: Sequence[Given], kinds: Kinds
) -> Project:
    # In this order, for each rests on the one before: what is written, names made of it, machines, kinds of cloth.
    selvedge_mm = _absent(PRINT.keys["selvedge"], taken)
    prints = tuple(_print(p, loaded, i, selvedge_mm, kinds) for i, p in enumerate(taken["prints"]))
    inside, shut = (taken[key] if isinstance(taken.get(key), dict) else None for key in ("wadding", "closure"))
    closure = _closure_type(taken)
    back = taken.get("back", "none" if taken["kind"] == "throw" else "patchwork")
    made = {
        "closure": closure,
        "back": "plain" if isinstance(back, dict) else back,
        "wadding": "none" if inside is None else "one",
        "zip_along": ("column" if "after_column" in (shut or {}) else "row") if closure == "zip" else None,
    }
    has = {"", closure, "wadding" if inside is not None else ""}
    given = {
        key.name: _ranked(key, path, taken, loaded, beneath) if key.needs in has else _given(key, path, None, loaded)
        for path, key in keys
    }
    given |= {
        name: _given(key, key.at, made.get(name, _of_prints(name, prints)), loaded, name) for name, key in MADE.items()
    }
    given |= {name: Given(name, False if key.dim == "flag" else None, key.dim) for name, key in OF_MACHINE.items()}
    given |= {one.name: one for one in beneath if one.name in OF_MACHINE}
    wadding_kind = made_of(inside or {}, kinds, loaded, ("wadding",), inside=True)
    given |= cloth_given(prints, wadding_kind, given)
    said: dict[str, Any] = {name: given[name].value for name in _AS_SAID}
    said |= {name: int(given[name].value or 0) for name in _COUNTED}
    return Project(
        title=taken["project"],
        **said,
        back_cloth=back.get("plain") if isinstance(back, dict) else None,
        prints=prints,
        wadding=inside is not None,
        wadding_price=(inside or {}).get("price"),
        stages=taken.get("stages", SHIPPED),
        extras=tuple(Extra(**extra) for extra in taken.get("extras", ())),
        labour=Labour(**taken.get("labour", {})),
        sell=_sell(taken.get("sell", {})),
        currency=taken.get("currency", "EUR"),
        thread_price=taken.get("thread", {}).get("price"),
        given=given,
        file=loaded.file,
        text=loaded.text,
        seed=taken.get("seed", 0),
        target={"on_hand": True} if taken.get("target") == "on hand" else taken.get("target"),
        wadding_kind=wadding_kind,
        closure_price=(shut or {}).get("price"),
    )


def _sell(said: dict[str, Any]) -> Sell:
    """Give what selling costs at the first of its places, with all of them; without places, at the only one."""
    said = dict(said)
    named = said.pop("places", {})
    places = tuple(convert({**said, **own, "at": name}, Sell) for name, own in named.items())
    return structs.replace(places[0], places=places) if places else convert(said, Sell)


def _ranked(key: Key, path: Path, taken: Mapping[str, Any], loaded: Loaded, beneath: Sequence[Given]) -> Given:
    """Give what the project says of a name, else what stands beneath it, else its default."""
    mine = [one for one in beneath if one.name == key.name]
    out = [*mine, Given(key.name, _plain(_in_mm(key, _absent(key, taken))), key.dim, None, key.place)]
    if (value := dig(taken, path)) is not None:
        out.append(_given(key, path, _in_mm(key, value), loaded))
    return strongest(out)


def _in_mm(key: Key, value: Any) -> Any:
    """Turn counted metres into mm; anything else stays."""
    return value * 1000.0 if value is not None and key.per else value


def _plain(value: Any) -> Any:
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def _absent(key: Key, taken: Mapping[str, Any]) -> Any:
    """Give what holds when a key is not written: its default, or the seam less a length."""
    text = key.metric if key.metric is not None and taken.get("units") == "metric" else key.default
    if text is None:
        return None
    start, _, less = text.partition(" − ")
    if start == "seam":
        return max(taken["seam"] - (parse_length(less) if less else 0.0), 0.0)
    return plain_value(key.kind, text)


def _given(key: Key, path: Path, value: Any, loaded: Loaded, name: str = "") -> Given:
    written = dig(loaded.data, path)
    kept = _UNIT.sub(" ", written) if isinstance(written, str) and key.dim not in {"text", "count"} else None
    place = loaded.places.get(path)
    rank: Rank = "default" if place is None else "print" if name.startswith("shrink") else "project"
    return Given(name or key.name, _plain(value), key.dim, kept, place or key.place, rank)


def _of_prints(name: str, prints: tuple[Print, ...]) -> float:
    if name == "prints":
        return float(len(prints))
    if name == "one_way_prints":
        return float(sum(one.one_way for one in prints))
    each = [p.shrinks_length if "length" in name else p.shrinks_width for p in prints] or [0.0]
    return max(each) if name.endswith("worst") else sum(each) / len(each)


def _print(data: dict[str, Any], loaded: Loaded, i: int, selvedge_mm: float, kinds: Kinds) -> Print:
    shelf = data.get("on_hand") == "shelf"
    on_hand = () if shelf else data.get("on_hand", ())
    kind = made_of(data, kinds, loaded, ("prints", i), inside=False)
    shrinks = {way: getattr(kind, f"shrinks_{way}") for way in kind.shrinks_known} | _shrinkage(data, loaded, i)
    for k, piece in enumerate(on_hand):
        if ("squares" in piece) == ("width" in piece or "length" in piece):
            loaded.problem(("prints", i, "on_hand", k), "write width and length of a piece, or squares: a number")
        elif "squares" not in piece and not ("width" in piece and "length" in piece):
            loaded.problem(("prints", i, "on_hand", k), "a piece on hand needs both width and length")
    own = {"selvedge": selvedge_mm} | {name: data[name] for name in Print.__struct_fields__ if name in data}
    own |= {"on_hand": _pieces(p for p in on_hand if "width" in p and "length" in p), "shelf": shelf, "kind": kind}
    return Print(**own, **shrunk(shrinks), ready_squares=sum(p.get("squares", 0) for p in on_hand))


def _pieces(rows: Iterable[Mapping[str, Any]]) -> tuple[Remnant, ...]:
    return tuple(Remnant(row["width"], row["length"], row.get("count", 1), row.get("straight", False)) for row in rows)


def _shrinkage(data: dict[str, Any], loaded: Loaded, i: int) -> dict[str, float]:
    """Give print `i`'s shrinkage by direction, a fraction: (before - after) / before.

    ISO 5077 (second hand) writes it with the sign turned: 350 mm that become 339.5 mm have changed by -3 %.
    """
    if "swatch" not in data:
        return dict(data.get("shrinks", {}))
    swatch, path = data["swatch"], ("prints", i, "swatch")
    if "shrinks" in data:
        loaded.problem(path, "shrinks and swatch say the same thing; keep one of them", key=True)
    if not {"after_length", "after_width"} & swatch.keys():
        loaded.problem(path, "a swatch needs what it measured after washing; write after_length, after_width or both")
    before: float = swatch.get("before", 0.0)
    out: dict[str, float] = {}
    if before and before < LEAST_MM:
        said = f"{show_length(before, loaded.data.get('units', 'inch'))} between the marks is short"
        loaded.problem((*path, "before"), f"{said}; 350 mm, 14 in, or more tells shrinkage from stretch", hint=True)
    for along in ("length", "width"):
        after = swatch.get(f"after_{along}")
        if after is None or not before:
            continue
        out[along] = (before - after) / before
        if not LEAST <= out[along] <= MOST:
            loaded.problem(
                (*path, f"after_{along}"), "no cloth changes by so much; look whether the lengths are changed over"
            )
    return out


def with_shelf(project: Project, shelf: Mapping[str, Sequence[Mapping[str, Any]]]) -> Project:
    """Give the project with what lies on the shelf, by cloth, for its prints that say `on_hand: shelf`."""
    if not shelf:
        return project

    def laid(cloth: Print) -> Print:
        rows = shelf.get(cloth.name, ()) if cloth.shelf else ()
        pieces = _pieces(row for row in rows if not row.get("squares"))
        ready = sum(row.get("count", 1) for row in rows if row.get("squares"))
        return structs.replace(cloth, on_hand=pieces, ready_squares=ready) if rows else cloth

    return structs.replace(project, prints=tuple(laid(cloth) for cloth in project.prints))
