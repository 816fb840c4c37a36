"""What a `workflows/` folder holds beside stages: kinds of cloth, and the sewing machines there are."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import msgspec

from guide.read.model import Cloth, Dim, Given, Place, Print, Problem, Project, did_you_mean, one_of, strongest
from guide.read.project_keys import OF_MACHINE
from guide.read.strict_yaml import Loaded, dig

# Kinds of cloth, and what a project takes from them where neither print nor project says it themselves.
#
# Which wins: the print, then the project, then the kind, then what every project takes. Figures of kinds are common
# practice or from memory, and are said to be wherever they show.

Kinds = Mapping[str, Cloth]
LIKE_PLAIN = Cloth("")  # what a cloth is taken for of which no kind is named: quilting cotton, as every figure had it
WADDING_WEIGHT_G = 100.0  # of a square metre [practice]
SAID = {"practice": "common practice", "memory": "from memory", "measured": "measured"}


def kinds_of(written: Mapping[str, Mapping[str, Any]]) -> tuple[dict[str, Cloth], list[Problem]]:
    """Make the kinds of what the workflows folders say, those that are `like` another after it; and what is wrong."""
    problems: list[Problem] = []
    out: dict[str, Cloth] = {}
    for name, data in written.items():
        way, like = [name], str(data.get("like", ""))
        while like in written and like not in way:
            way.append(like)
            like = str(written[like].get("like", ""))
        whole: dict[str, Any] = {}
        for one in reversed(way):
            whole |= written[one]
        missing = [key for key in ("weight", "thickness") if key not in whole]
        at, told = name, ""
        if like in way:
            told = f"these kinds are like each other: {', '.join([*way, like])}; say weight and thickness of one"
        elif like:
            near = did_you_mean(like, tuple(one for one in written if one not in way))
            at, told = way[-1], f"there is no kind of cloth {like}{near}; leave like out, or write another"
        elif missing:
            write = "write weight: 150 g/m2 and thickness: 0.25 mm, or like: denim"
            told = f"it says no {' and no '.join(missing)}; {write}"
        else:
            out[name] = _cloth(name, whole)
        if told:
            place: Place = written[at]["place"]
            problems.append(Problem(place.file, place.line, place.column, f"cloths.{at}", told))
    return out, list(dict.fromkeys(problems))


def _cloth(name: str, data: Mapping[str, Any]) -> Cloth:
    plain = {key: data[key] for key in data if key not in {"shrinks", "like"}}
    return Cloth(name, **plain, **shrunk(data.get("shrinks", {})))


def shrunk(shares: Mapping[str, float]) -> dict[str, Any]:
    """Give what a cloth holds of its shrinkage, from the fraction of each way that is known: length, width."""
    return {f"shrinks_{way}": share for way, share in shares.items()} | {"shrinks_known": tuple(sorted(shares))}


def made_of(
    data: Mapping[str, Any], kinds: Kinds, loaded: Loaded, path: tuple[str | int, ...], *, inside: bool
) -> Cloth:
    """Give the kind a print or the wadding is made of; a problem where there is none, or it does not go there."""
    name = data.get("made_of")
    if name is None:
        return LIKE_PLAIN
    kind = kinds.get(name)
    if kind is None:
        woven = [one for one, cloth in kinds.items() if cloth.woven or inside]
        said = f"there is no kind of cloth {name}{did_you_mean(name, woven)}"
        loaded.problem((*path, "made_of"), f"{said}; there is {one_of(woven)}" if woven else said)
        return LIKE_PLAIN
    if not inside and not kind.woven:
        told = f"{name} does not fray, so its edges would stay stiff in the fringe; it goes inside"
        loaded.problem((*path, "made_of"), f"{told}: write wadding: {{made_of: {name}}}")
    return kind


def cloth_given(prints: Sequence[Print], wadding: Cloth, given: Mapping[str, Given]) -> dict[str, Given]:
    """Give what formulas read of the cloths: a mean of all prints, or what the strongest of them needs.

    `given`: what is said already; what the project or a machine says stays before what a kind gives.
    """
    cloths = [cloth_of(one) for one in prints] or [LIKE_PLAIN]
    out = {
        "cloth_thickness": _thickness(prints, given["cloth_thickness"]),
        "cloth_weight": _mean("cloth_weight", "weight", cloths, "weight", " g/m²"),
        "cloth_pace": _mean("cloth_pace", "ratio", cloths, "pace", ""),
        "cloth_needle": _most("cloth_needle", "count", cloths, "needle", ""),
        "cloth_layers": _most("cloth_layers", "count", cloths, "cut_layers", "", least=True),
        "stitch_length": _most("stitch_length", "length", cloths, "stitch", " mm"),
        "wadding_thickness": _mean("wadding_thickness", "length", [wadding], "thickness", " mm"),
        "wadding_weight": _mean("wadding_weight", "weight", [wadding], "weight", " g/m²"),
    }
    if not wadding.name:
        out["wadding_weight"] = Given("wadding_weight", WADDING_WEIGHT_G, "weight")
    for name in ("cloth_thickness", "stitch_length", "wadding_thickness"):
        if (before := given[name]).value is None or not out[name].because:
            out[name] = before
        else:
            out[name] = strongest([out[name], msgspec.structs.replace(before, over=()), *before.over])
    return out


def _thickness(prints: Sequence[Print], said: Given) -> Given:
    """Give the mean of one layer: each print's own, else the project's or a machine's, else its kind's."""
    whole = said.value if said.rank != "default" and isinstance(said.value, float) else None
    own = [one for one in prints if one.thickness is not None]
    cloths = [cloth_of(one) for one in prints] or [LIKE_PLAIN]
    if own and whole is not None:
        cloths = [
            c if p in own else msgspec.structs.replace(c, thickness=whole) for p, c in zip(prints, cloths, strict=True)
        ]
    found = _mean("cloth_thickness", "length", cloths, "thickness", " mm")
    return msgspec.structs.replace(found, rank="print") if own else found


def cloth_of(cloth: Print) -> Cloth:
    """Give a print's kind with what the print says itself in its place."""
    own = {key: value for key, value in (("weight", cloth.weight), ("thickness", cloth.thickness)) if value is not None}
    return msgspec.structs.replace(cloth.kind, **own, name=cloth.kind.name or (cloth.name if own else ""))


def _mean(name: str, dim: Dim, cloths: Sequence[Cloth], key: str, unit: str) -> Given:
    mean = sum(getattr(cloth, key) for cloth in cloths) / len(cloths)
    return Given(name, mean, dim, **_because(cloths, key, unit, "the mean of "))


def _most(name: str, dim: Dim, cloths: Sequence[Cloth], key: str, unit: str, *, least: bool = False) -> Given:
    value = (min if least else max)(getattr(cloth, key) for cloth in cloths)
    return Given(name, float(value), dim, **_because(cloths, key, unit, f"the {'least' if least else 'most'} of "))


def _because(cloths: Sequence[Cloth], key: str, unit: str, of: str) -> dict[str, Any]:
    """Say which kinds a figure comes from, where they are written and how sure it is; nothing where none is named."""
    named = [cloth for cloth in cloths if cloth.name]
    if not named:
        return {}
    told = list(dict.fromkeys(f"{c.name or 'no kind named'} {getattr(c, key):g}{unit}{_sure(c)}" for c in cloths))
    return {"rank": "cloth", "because": (of if len(told) > 1 else "") + ", ".join(told), "place": named[0].place}


def _sure(cloth: Cloth) -> str:
    return f" ({SAID[cloth.figures]}, {cloth.place})" if cloth.place else ""


def unlike(prints: Iterable[Print]) -> list[tuple[str, str]]:
    """Say where cloths of one stack will not go together: what pucker, fray and shrink unlike, each with its reason."""
    cloths = [(one.name, cloth_of(one)) for one in prints]
    if not any(cloth.name for _, cloth in cloths):
        return []
    out = []
    heavy, light = (pick(cloths, key=lambda one: one[1].weight) for pick in (max, min))
    if heavy[1].weight >= HEAVIER * light[1].weight:
        times = heavy[1].weight / light[1].weight
        told = f"{heavy[0]} is {times:.1f} times as heavy as {light[0]}"
        told += ": the light cloth puckers along every seam they share"
        out.append(("unlike_weight", f"{told}; put it inside the stacks, or lengthen the stitch"))
    well, badly = (pick(cloths, key=lambda one: _FRAYS.index(one[1].frays)) for pick in (max, min))
    if well[1].frays != badly[1].frays:
        told = f"{well[0]} frays {_fraying(well[1])} and {badly[0]} {_fraying(badly[1])}"
        out.append(
            ("unlike_fraying", f"{told}: the fringe fills out unevenly; make the one that frays less the inner square")
        )
    late, early = (pick(cloths, key=lambda one: one[1].fills_after) for pick in (max, min))
    if late[1].fills_after - early[1].fills_after >= LATER:
        told = f"the fringe of {early[0]} has filled out after {_washes(early[1])}"
        told += f", that of {late[0]} after {_washes(late[1])}"
        out.append(("unlike_washes", f"{told}: wash it {late[1].fills_after} times before you judge it, or sell it"))
    return [(name, f"{told} (common practice)") for name, told in out]


# A cloth twice as heavy as its neighbour pulls it into puckers; fringes two washes apart look unlike [practice].
HEAVIER, LATER = 2.0, 2
_FRAYS = ("not", "little", "softly", "well")


def _fraying(cloth: Cloth) -> str:
    return "hardly at all" if cloth.frays == "not" else cloth.frays


def _washes(cloth: Cloth) -> str:
    return "one wash" if cloth.fills_after == 1 else f"{cloth.fills_after} washes"


def said_of_cloths(project: Project) -> list[tuple[str, str]]:
    """Say of every kind a project names what is reckoned with, how sure that is, and how it is washed."""
    used = {cloth.kind.name: cloth_of(cloth) for cloth in project.prints if cloth.kind.name}
    if project.wadding and project.wadding_kind.name:
        used[project.wadding_kind.name] = project.wadding_kind
    return [(name, _told(cloth)) for name, cloth in used.items()]


def washing_of(prints: Iterable[Print]) -> tuple[str, ...]:
    """Say of every kind of these cloths that has something of its own to mind how it is washed."""
    kinds = {one.kind.name: one.kind.washing for one in prints if one.kind.name and one.kind.washing}
    return tuple(f"{name[:1].upper()}{name[1:]}: {how}." for name, how in kinds.items())


def _told(cloth: Cloth) -> str:
    figures = f"{cloth.weight:.0f} g/m², {cloth.thickness:g} mm squeezed"
    ways = f"shrinks {cloth.shrinks_length * 100:g} % long, {cloth.shrinks_width * 100:g} % wide"
    figures += f", {ways}, time × {cloth.pace:g}, {cloth.cut_layers} layers at a cut"
    figures += f", frays {_fraying(cloth)}, filled out after {_washes(cloth)}" if cloth.woven else ""
    return f"{figures} ({SAID[cloth.figures]})" + (f"; wash {cloth.washing}" if cloth.washing else "")


# A maker's machines by name: which one is in use, and what it says of names that formulas know.
#
# The text that names them is kept in a session; which one it went over to is kept beside it as a text of its own.

MACHINES, IN_USE = "machines", "at_machine"  # first keys of their texts
KEPT_AS = "the machine in use"  # its name among a session's texts, which no file of a workflows folder has
# What a machine says, by formulas' names: what kind it is, and where it stands in the machine's own keys.
_SAYS: tuple[tuple[str, Dim, tuple[str, ...]], ...] = (
    ("stitch_length", "length", ("stitch",)),
    ("tack_length", "length", ("longest",)),
    ("bobbin_holds", "length", ("bobbin",)),
    *((name, key.dim, key.at[1:]) for name, key in OF_MACHINE.items() if key.dim != "flag"),
)
LACKS = {"walking foot": "lacks_walking_foot", "zip foot": "lacks_zip_foot"}  # by what texts and tools call a foot


def in_use_text(name: str) -> str:
    """Write the text that a session keeps of the machine it went over to."""
    return f"{IN_USE}: {{{msgspec.json.encode(name).decode()}: {{}}}}\n"


def in_use(beside: Mapping[str, Mapping[str, Any]]) -> str:
    """Name the machine at hand: the one gone over to, else the first; "" where none is named."""
    known = beside.get(MACHINES, {})
    chosen = next((name for name in beside.get(IN_USE, {}) if name in known), None)
    return chosen or next(iter(known), "")


def machine_given(name: str, said: Mapping[str, Any], loaded: Loaded) -> list[Given]:
    """Give what a machine says, by formulas' names, each with its place."""
    rows: list[tuple[str, Any, Dim, tuple[str, ...]]] = [(own, dig(said, way), dim, way) for own, dim, way in _SAYS]
    rows += [("needle_dial", True, "flag", ("needle",))] if "needle" in said else []
    rows += [(own, foot not in said["feet"], "flag", ("feet",)) for foot, own in LACKS.items() if "feet" in said]
    out = []
    for own, value, dim, way in rows:
        if value is not None:
            place, written = loaded.place((MACHINES, name, *way)), dig(loaded.data, (MACHINES, name, *way))
            as_written = None if dim == "flag" else written if isinstance(written, str) else f"{value:g}"
            mine = value if dim == "flag" else float(value)
            out.append(Given(own, mine, dim, as_written, place, "machine", because=f"{place}, {name}"))
    return out
