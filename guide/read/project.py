"""Reading a project file: text to a Project, or every problem with its place."""

from collections.abc import Sequence
from typing import Any

from guide.read.flat import flatten
from guide.read.lengths import INCH
from guide.read.model import Extra, Given, Labour, OwnInput, Place, Print, Project, Remnant, Sell, Stage
from guide.read.problems import Problem
from guide.read.project_shape import project_shape
from guide.read.refuse import check_loose, check_whole
from guide.read.shape import MISSING, Kind, Shape, take
from guide.read.small_hands import check_for_whom
from guide.read.strict_yaml import Loaded, load
from guide.read.swatch import shrinkage

_KIND_OF: dict[str, Kind] = {
    "length": "length", "count": "count", "ratio": "percent", "text": "choice", "flag": "flag", "time": "duration",
}  # fmt: skip
SELVEDGE_MM = {"inch": INCH / 2, "metric": 12.0}
SHIPPED = ("cut", "stack", "quilt", "join", "snip", "closure", "assemble", "wash")


def read_project(
    text: str, file: str, stages: Sequence[Stage], changes: Sequence[str] = (), *, kept: bool = False
) -> tuple[Project | None, Loaded]:
    """Read a project. The Project is None when `loaded.problems` holds anything but hints.

    `changes` such as `square=7in` or `grid.across=5` are tried in place of what the file says. `kept` by a journal,
    a text is not refused for what was still good then.
    """
    loaded = load(text, file)
    if loaded.problems:
        return None, loaded
    for change in changes:
        _change(change, loaded)
    taken = take(shape_for(stages), loaded, (), loaded.data)
    if taken is MISSING or _wrong(loaded, kept=kept):
        if isinstance(taken, dict):
            check_loose(taken, loaded)
        return None, loaded
    project = _build(taken, loaded, stages)
    check_whole(project, loaded)
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


def shape_for(stages: Sequence[Stage]) -> Shape:
    """Give the shape of a project file with what these stage files add to it."""
    return project_shape(
        kinds=added("kind", stages),
        closures=added("closure", stages),
        stages=tuple(dict.fromkeys((*SHIPPED, *(stage.name for stage in stages)))),
        own={own.name: _own_shape(own) for stage in stages for own in stage.inputs},
    )


def added(what: str, stages: Sequence[Stage]) -> tuple[str, ...]:
    """Give the kinds or closures that stage files add."""
    return tuple(dict.fromkeys(word for stage in stages for word in stage.adds.get(what, ())))


def _own_shape(own: OwnInput) -> Shape:
    says = own.says or f"from the {own.stage} stage"
    default, metric = own.written
    return Shape(
        _KIND_OF[own.dim],
        says,
        default=default,
        metric=metric,
        at_least=own.at_least,
        at_most=own.at_most,
        choices=own.choices,
    )


def _build(taken: dict[str, Any], loaded: Loaded, stages: Sequence[Stage]) -> Project:
    selvedge_mm = SELVEDGE_MM[taken.get("units", "inch")]
    prints = tuple(_print(p, loaded, i, selvedge_mm) for i, p in enumerate(taken["prints"]))
    closure = taken.get("closure", "none")
    closure_type = closure["type"] if isinstance(closure, dict) else closure
    cushion = taken["kind"] != "throw"
    back = taken.get("back", "patchwork" if cushion else "none")
    along = ("column" if "after_column" in closure else "row") if closure_type == "zip" else None
    wadding = taken.get("wadding", "none")
    made = {
        "closure": closure_type,
        "back": "plain" if isinstance(back, dict) else back,
        "wadding": "one" if isinstance(wadding, dict) else "none",
        "zip_along": along,
    }
    target = {"on_hand": True} if taken.get("target") == "on hand" else taken.get("target")
    if target:
        taken.setdefault("grid", {})
    given = flatten(taken, loaded, prints, made)
    given |= {own.name: _own(own, taken, loaded) for stage in stages for own in stage.inputs}
    return Project(
        title=taken["project"],
        kind=taken["kind"],
        for_whom=taken.get("for", "anyone"),
        make=taken.get("make", 1),
        units=taken.get("units", "inch"),
        words=taken.get("words", "british"),
        across=taken.get("grid", {}).get("across", 0),
        down=taken.get("grid", {}).get("down", 0),
        above=taken["layers"]["above"],
        below=taken["layers"]["below"],
        closure=closure_type,
        back=str(made["back"]),
        back_cloth=back.get("plain") if isinstance(back, dict) else None,
        quilting=taken.get("quilting", "cross"),
        prints=prints,
        wadding=isinstance(wadding, dict),
        wadding_price=wadding.get("price") if isinstance(wadding, dict) else None,
        stages=taken.get("stages", SHIPPED),
        given=given,
        file=loaded.file,
        text=loaded.text,
        seed=taken.get("seed", 0),
        stacks=taken.get("stacks", "free"),
        target=target,
        washed_first=taken.get("washed_first", False),
        **_money(taken),
    )


def _money(taken: dict[str, Any]) -> dict[str, Any]:
    """Give what a project says of money."""
    closure = taken.get("closure")
    return {
        "extras": tuple(
            Extra(e["name"], e["price"], e.get("each", "make"), e.get("count", 1)) for e in taken.get("extras", ())
        ),
        "labour": Labour(**taken.get("labour", {})),
        "sell": Sell(**taken.get("sell", {})),
        "currency": taken.get("currency", "EUR"),
        "thread_price": taken.get("thread", {}).get("price"),
        "closure_price": closure.get("price") if isinstance(closure, dict) else None,
    }


def _own(own: OwnInput, taken: dict[str, Any], loaded: Loaded) -> Given:
    metric = taken.get("units") == "metric" and own.metric is not None
    value = taken.get(own.name, own.metric if metric else own.default)
    if isinstance(value, int) and not isinstance(value, bool):
        value = float(value)
    written = loaded.data.get(own.name)
    place = loaded.places.get((own.name,)) or own.place
    return Given(own.name, value, own.dim, written if isinstance(written, str) else None, place)


def _print(data: dict[str, Any], loaded: Loaded, i: int, selvedge_mm: float) -> Print:
    on_hand = data.get("on_hand", ())
    shrinks = shrinkage(data, loaded, i)
    for k, piece in enumerate(on_hand):
        if ("squares" in piece) == ("width" in piece or "length" in piece):
            loaded.problem(("prints", i, "on_hand", k), "write width and length of a piece, or squares: a number")
        elif "squares" not in piece and not ("width" in piece and "length" in piece):
            loaded.problem(("prints", i, "on_hand", k), "a piece on hand needs both width and length")
    return Print(
        name=data["name"],
        width=data.get("width", 0.0),
        selvedge=data.get("selvedge", selvedge_mm),
        price=data.get("price"),
        shrinks_length=shrinks.get("length", 0.0),
        shrinks_width=shrinks.get("width", 0.0),
        shrinks_known=tuple(sorted(shrinks)),
        one_way=data.get("one_way", False),
        at_most=data.get("at_most"),
        on_hand=tuple(
            Remnant(p["width"], p["length"], p.get("count", 1), p.get("straight", False))
            for p in on_hand
            if "width" in p and "length" in p
        ),
        ready_squares=sum(p.get("squares", 0) for p in on_hand),
        use_up=data.get("use_up", False),
        reverse=data.get("reverse"),
    )
