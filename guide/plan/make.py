"""Making the plan: project and stages in, every number, layout, cutting, shopping list and step out."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from operator import attrgetter
from typing import Any

import msgspec

from guide.plan.cutting.count import LAYERS_AT_ONCE, Source, named, runs, shares, then, together, trimmed
from guide.plan.cutting.cut import cut as cut_material
from guide.plan.cutting.strips import CannotCut
from guide.plan.graph import settle, values, work_out
from guide.plan.layout.panels import keep, lay_panels, squares_needed, with_spare
from guide.plan.model import Cut, Cutting, Layout, Part, Plan, Quantities, Step, Trouble, Warned
from guide.plan.parts import (
    STRAIGHTEN_MM,
    TRIM_MM,
    WADDING,
    bolt_of,
    cloth_loads,
    letter,
    letters,
    nth_load,
    parts_of,
    ruler_of,
    washed_first,
)
from guide.plan.shopping import BUY_STEP_MM, errand_of, nearest, shop_together
from guide.plan.steps import steps_of
from guide.plan.warn import advice_of, warnings_of
from guide.read.check import Language
from guide.read.formula import Value
from guide.read.kinds import MACHINES, in_use, said_of_cloths
from guide.read.model import Project, grouped


def make_plan(
    project: Project,
    language: Language,
    measured: Mapping[str, float] | None = None,
    layout: Sequence[Sequence[str]] | None = None,
    spare: int = 0,
    *,
    cut: Cut | None = None,
) -> Plan:
    """Plan a project. `measured` (name to mm) replaces planned values; `layout` keeps stacks already decided.

    `cut`: what is cut already, whatever is measured and however it is laid since. Without it the cloth is cut
    for the layout, with `spare` squares more of every print as far as the stock goes (see `cut_out`).

    Raises NeedsMending, CannotLay or CannotCut, each saying what would make it possible.
    """
    if cut is None:
        cut, layout = cut_out(project, language, layout, spare=spare), None
    project, backing = cut.project, cut.backing
    quantities = work_out(language, project.given, measured)
    panel = keep(project, layout) if layout else cut.panel
    at = values(quantities)
    loads = {"loads": list(_loads(at, project.make)), "cloth_loads": cloth_loads(project, cut.cutting, at)}
    steps = steps_of(project, language, at, cut.tables | _blocks(project, panel) | loads)
    return Plan(
        quantities=quantities,
        steps=steps,
        layout=panel,
        cautions=_cautions(project, steps),
        warnings=(
            *warnings_of(project, quantities, (panel, backing), cut.cutting),
            *(Warned("spare", text) for text in cut.scarce),
        ),
        advice=tuple(advice_of(project, quantities)),
        troubles=_troubles(language),
        told=_told(project, language, quantities),
        machines=tuple(language.beside.get(MACHINES, {})),
        machine=in_use(language.beside),
        **{name: getattr(cut, name) for name in ("project", "backing", "cutting", "shopping", "ready")},
    )


def _troubles(language: Language) -> tuple[Trouble, ...]:
    """The troubles that stand beside the stages; a maker's file may change one, and add its own."""
    troubles = language.beside.get("troubles", {})
    return tuple(msgspec.convert({"name": name} | one, Trouble) for name, one in troubles.items())


def _told(project: Project, language: Language, quantities: Quantities) -> tuple[tuple[str, str], ...]:
    """Say what no number of the graph says: which pad to buy and how it will sit."""
    pad = nearest(project, quantities, language.beside.get("pads", {}))
    out = [("pad, as sold", pad.says(project.words))] if pad else []
    out += [("machine", machine)] if (machine := in_use(language.beside)) else []
    return (*out, *said_of_cloths(project))


def cut_out(
    project: Project,
    language: Language,
    layout: Sequence[Sequence[str]] | None = None,
    *,
    spare: int = 0,
    again: Mapping[str, int] | None = None,
) -> Cut:
    """Plan what comes before anything can be measured: sizes settled, panels laid or kept, cloth cut and bought.

    `spare` squares more of every print are cut, as far as the stock goes. `again`: squares by print that were cut
    again since: they are used and bought, where there is cloth for them, but the steps that cut are done without them.

    Raises NeedsMending, CannotLay or CannotCut, each saying what would make it possible.
    """
    project = settled(project, language)
    planned = values(work_out(language, project.given))
    panel, backing = lay_panels(project, planned, layout)
    squares = squares_needed(panel, backing, project.make)
    wanted, scarce = with_spare(project, squares, spare)
    cutting = _cutting(project, parts_of(project, language, planned, wanted))
    ready = {p.name: n for p in project.prints if (n := min(p.ready_squares, wanted.get(p.name, 0)))}
    tables = _tables(project, cutting, squares, ready)
    more = {one.material: one for one in cutting}
    for name, count in (again or {}).items():
        parts = parts_of(project, language, planned, {name: wanted.get(name, 0) + count})
        with suppress(CannotCut):  # more than there is by the plan: they came from scraps, no cloth was used
            more |= {one.material: one for one in _cutting(project, [p for p in parts if p.material == name])}
    cutting = tuple(more.values())
    return Cut(
        project=project,
        panel=panel,
        backing=backing,
        tables=tables,
        cutting=cutting,
        shopping=shop_together([errand_of(project, cutting, planned.get("thread_spools"), planned.get("zip_buy"))]),
        ready=ready,
        scarce=scarce,
    )


def settled(project: Project, language: Language) -> Project:
    """Give the project with its grid and square, worked out where it has a target. Raises NeedsMending."""
    return settle(project, language, lambda one: _cut_whole(one, language))


def _cut_whole(project: Project, language: Language) -> None:
    """Lay the panels and cut all parts; those that no layout changes first, for they fail soonest.

    Raises CannotLay or CannotCut.
    """
    planned = values(work_out(language, project.given))
    _cutting(project, parts_of(project, language, planned, {}))
    squares = squares_needed(*lay_panels(project, planned), project.make)
    _cutting(project, parts_of(project, language, planned, squares))


def _cutting(project: Project, parts: Iterable[Part]) -> tuple[Cutting, ...]:
    """Cut every material from its planned sizes: cloth is cut before anything can be measured."""
    out: list[Cutting] = []
    cloths = {p.name: p for p in project.prints}
    for material, mine in grouped(parts, attrgetter("material")).items():
        cloth = cloths.get(material)
        out.append(
            cut_material(
                material,
                mine,
                bolt_of(project, material),
                cloth.on_hand if cloth else (),
                straighten_mm=STRAIGHTEN_MM[project.units] if material != WADDING else 0.0,
                trim_mm=TRIM_MM[project.units],
                buy_step_mm=BUY_STEP_MM[project.units],
                ruler=ruler_of(project),
            )
        )
    return tuple(out)


def _blocks(project: Project, panel: Layout | None) -> dict[str, list[dict[str, Any]]]:
    """Build the table of blocks that steps with `each` are written over."""
    named_by = letters(project)
    blocks = [
        {"number": i + 1, "row": b.row, "column": b.column, "stack": " ".join(named_by[name] for name in b.stack)}
        for i, b in enumerate(panel.blocks if panel else ())
    ]
    return {"blocks": blocks}


LOADED = ("washes", "loads_first", "loads_again")  # what the table of loads is made of
_AGAIN = ("", "second wash", "third wash", "fourth wash", "fifth wash")


def _loads(at: Mapping[str, Value], make: int) -> Iterator[dict[str, Any]]:
    """Build the table of loads, wash by wash: the articles of one make are never parted, and loads are even."""
    washes, first, again = (_whole(at, name) for name in LOADED)
    each = at.get("weight_each")
    for wash in range(1, washes + 1):
        of = first if wash == 1 else again
        for nth in range(1, of + 1):
            named = ", ".join(filter(None, (_AGAIN[wash - 1], nth_load(nth, of))))
            articles = make * nth // of - make * (nth - 1) // of
            weighs = articles * each if isinstance(each, float) else None
            yield {"load": named, "number": nth, "of": of, "wash": wash, "articles": articles, "weighs": weighs}


def _whole(at: Mapping[str, Value], name: str) -> int:
    """Give a count; 1 where it does not apply, or stages of long ago do not know it."""
    value = at.get(name)
    return round(value) if isinstance(value, float) and value >= 1 else 1


def _tables(
    project: Project, cutting: Sequence[Cutting], squares: Mapping[str, int], ready: Mapping[str, int]
) -> dict[str, list[dict[str, Any]]]:
    """Build the tables that steps which cut are written over: squares by print, in all and lying ready."""
    # The four tables of the same cuttings in one place, so that what steps beside each other say of them agrees.
    by_material = {c.material: c for c in cutting}
    cuts = _cuts(cutting, project, ready)
    prints = [
        {
            "print": p.name,
            "letter": letter(place),
            "squares": squares.get(p.name, 0),
            "strips": sum(row["strips"] for row in cuts if row["material"] == p.name),
            "cloth_width": p.width,
            "buy": by_material[p.name].buy_mm if p.name in by_material else 0.0,
            "one_way": p.one_way,
        }
        for place, p in enumerate(project.prints)
        if squares.get(p.name)
    ]
    return {
        "prints": prints,
        "cuts": cuts,
        "parts": _counted(
            {"part": p.part, "material": c.material, "width": p.width_mm, "height": p.height_mm}
            for c in cutting
            for cloth in c.cloths
            for p in cloth.placements
            if p.part not in {"square", "wadding square"}
        ),
        "cloths": [
            {"material": c.material, "width": cloth.width_mm, "length": cloth.length_mm, "bought": cloth.bought}
            for c in cutting
            for cloth in c.cloths
        ],
    }


def _counted(parts: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """Put parts of one material and size together, counted, whichever way they lie on the cloth."""
    rows: dict[tuple[object, ...], dict[str, Any]] = {}
    for part in parts:
        sides = sorted((round(part["width"], 2), round(part["height"], 2)))
        row = rows.setdefault((part["part"], part["material"], *sides), part | {"pieces": 0})
        row["pieces"] += 1
    return list(rows.values())


def _cuts(cutting: Sequence[Cutting], project: Project, ready: Mapping[str, int]) -> list[dict[str, Any]]:
    """One row per material, part, ruler setting and direction, from whichever cloth: no two steps alike."""
    # First added up over all cloths, then told: what a row says of where its strips come from needs every one of them.
    rows: dict[tuple[object, ...], dict[str, Any]] = {}
    cloths: dict[tuple[object, ...], list[Source]] = {}
    every = (
        (c.material, nth, cloth, run) for c in cutting for nth, cloth in enumerate(c.cloths, 1) for run in runs(cloth)
    )
    for material, nth, cloth, run in every:
        parts, setting = [one.part for strip in run for one in strip.lying], run[0].setting
        part = " and ".join(dict.fromkeys(parts))
        key: tuple[object, ...] = (material, part, round(setting * 100), cloth.along)
        same = {"material": material, "part": part, "along": cloth.along, "setting": setting}
        row = rows.setdefault(key, same | {"strips": 0, "pieces": 0, "layers": 0, "then": ()})
        row["strips"] += len(run)
        row["pieces"] += len(parts)
        row["layers"] = max(row["layers"], min(len(run), LAYERS_AT_ONCE))
        row["then"] += then(run[0])
        cloths.setdefault(key, []).append(Source(cloth, nth, len(run)))
    lying = dict(ready)
    kind_of = {one.name: (one.kind.cut_layers, one.kind.pace) for one in project.prints}
    kind_of[WADDING] = (project.wadding_kind.cut_layers, project.wadding_kind.pace)
    for key, row in rows.items():
        sources, bolt = together(cloths[key]), bolt_of(project, row["material"])
        row["ready"] = lying.pop(row["material"], 0) if "square" in row["part"].split(" and ") else 0
        row["usable_width"] = bolt.usable_mm if bolt else 0.0
        row["then"] = " and ".join(dict.fromkeys(ruler_of(project).told(mm) for mm in row["then"]))
        row["bought"] = any(one.cloth.bought for one in sources)
        row["washed"] = row["bought"] and washed_first(project, row["material"])
        row["source"], row["shares"] = named(sources, project.units), shares(sources, project.units)
        row["trimmed"] = trimmed(sources, project.units)
        row["at_once"], row["of_cloth"] = kind_of[row["material"]]
        row["layers"] = min(row["layers"], row["at_once"])
    return list(rows.values())


def _cautions(project: Project, steps: Sequence[Step]) -> tuple[str, ...]:
    found = [caution for step in steps for caution in step.cautions]
    return tuple(dict.fromkeys((["infant"] if project.for_whom == "infant" else []) + found))
