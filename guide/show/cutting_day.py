"""A cutting day in a report, for page, Markdown, text and JSON alike: what lies on what, settings, piles, times."""

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import groupby
from math import ceil

import msgspec

from guide.plan.cutting.count import done_at, set_to, strokes
from guide.plan.cutting.strips import Bolt
from guide.plan.day import CUT, PILE, PRESS, Cloth, Day, Pass, Setting, Stack, whose
from guide.plan.model import CutStrip, Placement, Plan, Step
from guide.plan.parts import WADDING, bolt_of, ruler_of, washed_first
from guide.plan.shopping import BUY_STEP_MM, Gives, rectangles, would_give
from guide.read.spoken import counted, listed, plural, said
from guide.record.clock import time_text
from guide.show.cutting_lines import material_words
from guide.show.model_plan import GivesReport, told_of
from guide.show.report_cautions import caution
from guide.show.report_numbers import gives_report
from guide.show.screen.text import wrap

FIRST = ("blade", "hands")  # cautions of the cutter, before all others
TICKS = 24  # boxes for one line, a pass each; of more there is one
_TIMES = ("", "once", "twice", "three times")


class DayProject(msgspec.Struct, frozen=True):
    """A project's share of the day, s, beside what its cutting takes by itself; `hands_on_s`: of all its steps."""

    number: int
    title: str
    make: int
    pieces: int
    share_s: float
    apart_s: float
    hands_on_s: float
    hands_on_low_s: float
    hands_on_high_s: float
    hands_on_apart_s: float
    share_text: str
    apart_text: str
    hands_on_text: str
    enter: str  # how its steps that were cut are told afterwards; "" where it has none


class DayCloth(msgspec.Struct, frozen=True):
    """A cloth as it lies on the table, straightened first; parts are named `project: part`, the project's number."""

    number: int
    material: str
    name: str  # the material as it is called
    bought: bool
    width_mm: float
    length_mm: float
    folds: int
    most_layers: int
    strips: int
    placements: tuple[Placement, ...]
    projects: tuple[int, ...]
    size_text: str
    text: str


class DayLayer(msgspec.Struct, frozen=True):
    """Alike layers of a stack, or strips whose pieces are free at once, and whose pieces they become."""

    material: str
    layers: int
    projects: tuple[int, ...]
    text: str


class DayTask(msgspec.Struct, frozen=True):
    """One thing to do while the ruler stays as it is; `boxes`: how often, a tick each."""

    layers: int
    boxes: int
    text: str
    parts: tuple[DayLayer, ...]


class DaySetting(msgspec.Struct, frozen=True):
    """One setting of the ruler, and all that is cut at it."""

    number: int
    ruler_mm: float
    ruler_text: str
    tasks: tuple[DayTask, ...]


class DayPile(msgspec.Struct, frozen=True):
    """Alike pieces of one project, to be counted when all is cut."""

    project: int
    material: str
    name: str  # the material as it is called
    part: str
    count: int
    size_text: str
    text: str


class DayLeft(msgspec.Struct, frozen=True):
    """What is left of a material, and what it would still give of one project's sizes."""

    material: str
    name: str  # the material as it is called
    project: int
    gives: GivesReport


class DayReport(msgspec.Struct, frozen=True):
    """A cutting day; times s, lengths mm, each with the text a maker reads."""

    title: str
    words: str
    cautions: tuple[str, ...]
    projects: tuple[DayProject, ...]
    cloths: tuple[DayCloth, ...]
    settings: tuple[DaySetting, ...]
    piles: tuple[DayPile, ...]
    left: tuple[DayLeft, ...]
    bought_mm: dict[str, float]  # off the bolt, by material, as it lies on the table
    bought_apart_mm: dict[str, float]
    own_settings: int
    share_s: float
    apart_s: float
    says: str
    rests_on: str


class Hours(msgspec.Struct, frozen=True):
    """What a project takes, s: its cutting on the day and by itself, and all its steps with the one and the other.

    Between `hands_on_low_s` and `hands_on_high_s` it stays four times in five.
    """

    share_s: float
    apart_s: float
    hands_on_s: float
    hands_on_low_s: float
    hands_on_high_s: float
    hands_on_apart_s: float


def day_report(
    day: Day, plans: Sequence[Plan], hours: Sequence[Hours], folders: Sequence[str], rests_on: str
) -> DayReport:
    """Report a cutting day. `hours` and `folders`: of each project, as it is named for the guide."""
    words = plans[0].project.words
    names = dict.fromkeys(name for plan in plans for step in _cut_steps(plan) for name in step.cautions)
    first = [name for name in FIRST if name in names]
    share_s, apart_s = sum(one.share_s for one in hours), sum(one.apart_s for one in hours)
    settings = tuple(_setting(at, one, day, plans) for at, one in enumerate(day.settings, 1))
    says = f"The ruler is set {counted(len(settings), 'time')}; one project after another {day.own_settings}."
    return told_of(
        DayReport,
        day,
        title=listed([plan.project.title for plan in plans]),
        words=words,
        cautions=tuple(caution(name, words) for name in dict.fromkeys([*first, *names])),
        projects=tuple(
            _project(at, plan, day, took, folder)
            for at, (plan, took, folder) in enumerate(zip(plans, hours, folders, strict=True))
        ),
        cloths=tuple(_cloth(cloth, plans) for cloth in day.cloths),
        settings=settings,
        piles=_piles(day, plans),
        left=_left(day, plans),
        bought_apart_mm=day.own_bought_mm,
        share_s=share_s,
        apart_s=apart_s,
        says=f"{says} {time_text(share_s)} for all, {time_text(apart_s)} one after another.",
        rests_on=rests_on,
    )


def _cut_steps(plan: Plan) -> list[Step]:
    return [step for step in plan.steps if step.key.partition(":")[0] in {PRESS, CUT, PILE}]


def _project(at: int, plan: Plan, day: Day, took: Hours, folder: str) -> DayProject:
    return told_of(
        DayProject,
        took,
        number=at + 1,
        title=plan.project.title,
        make=plan.project.make,
        pieces=day.pieces[at],
        share_text=time_text(took.share_s),
        apart_text=time_text(took.apart_s),
        hands_on_text=time_text(took.hands_on_s),
        enter=_enter(plan, folder),
    )


def _enter(plan: Plan, folder: str) -> str:
    """The line that tells the record of a project what was cut. Its times are blanks: a forecast is no record."""
    keys = {step.key for step in _cut_steps(plan)}
    numbers = [number for number, step in enumerate(plan.steps, 1) if step.key in keys]
    if not numbers:
        return ""
    runs = [[n for _, n in run] for _, run in groupby(enumerate(numbers), key=lambda one: one[1] - one[0])]
    steps = [f"{run[0]}-{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs]
    lines = (f'--enter "steps {one}, …… to ……, note: cut on the cutting day"' for one in steps)
    return f"guide amend {folder} {' '.join(lines)}"


def _told(mm: float, plans: Sequence[Plan]) -> str:
    """A length as the project it comes from writes its square; else as the first of them tells lengths."""
    rulers = [ruler_of(plan.project) for plan in plans]
    return next((one for one in rulers if abs(one.square_mm - mm) < 1e-3), rulers[0]).told(mm)


def _cloth(cloth: Cloth, plans: Sequence[Plan]) -> DayCloth:
    lying, mine, words = cloth.cloth, _of(cloth, plans), plans[0].project.words
    where = "from the bolt" if lying.bought else "on hand"
    washed = ", washed" if lying.bought and washed_first(mine[0].project, cloth.material) else ""
    size = f"{_told(lying.width_mm, mine)} wide, {_told(lying.length_mm, mine)} long"
    straight = "" if cloth.material == WADDING else ", straightened first"
    fold = f"folded {_TIMES[cloth.folds.bit_length() - 1]}" if cloth.folds > 1 else "flat"
    placements = tuple(msgspec.structs.replace(one, part=_part(one.part)) for one in lying.placements)
    return told_of(
        DayCloth,
        cloth,
        name=material_words(cloth.material, words),
        bought=lying.bought,
        width_mm=lying.width_mm,
        length_mm=lying.length_mm,
        strips=len(lying.strips),
        placements=placements,
        projects=tuple(sorted({whose(one.part)[0] + 1 for one in lying.placements})),
        size_text=size,
        text=f"{where}{washed}{straight}; {fold}, at most {counted(cloth.most_layers, 'layer')}",
    )


def _part(name: str) -> str:
    at, part = whose(name)
    return f"{at + 1}: {part}"


def _setting(number: int, setting: Setting, day: Day, plans: Sequence[Plan]) -> DaySetting:
    tasks = [_pass(one, setting.mm, day, plans) for one in setting.passes]
    stacks = [(_stack(day.stacks[at - 1], cuts, number - 1, day, plans), at) for at, cuts in setting.stacks]
    for told, run in groupby(stacks, key=lambda one: one[0]):
        numbers = [at for _, at in run]
        name = f"{plural('Stack', len(numbers))} {listed([str(at) for at in numbers])}"
        parts = tuple(msgspec.structs.replace(one, layers=one.layers * len(numbers)) for one in told.parts)
        tasks.append(msgspec.structs.replace(told, boxes=len(numbers), text=f"{name}{told.text}", parts=parts))
    return DaySetting(number, setting.mm, _told(setting.mm, _at(setting, day, plans) or plans), tuple(tasks))


def _at(setting: Setting, day: Day, plans: Sequence[Plan]) -> list[Plan]:
    """The projects for which anything is cut at a setting."""
    numbers = {number for one in setting.passes for number, _ in one.cloths}
    numbers |= {number for at, _ in setting.stacks for number, _ in day.stacks[at - 1].strips}
    return [one for cloth in day.cloths if cloth.number in numbers for one in _of(cloth, plans)]


def _pass(one: Pass, mm: float, day: Day, plans: Sequence[Plan]) -> DayTask:
    """Strips cut off cloths on one another; what needs no more cuts is told as pieces at once."""
    cloths = [(day.cloths[number - 1], many) for number, many in one.cloths]
    words = plans[0].project.words
    names = [f"{cloth.number}, {material_words(cloth.material, words)}{_folded(cloth)}" for cloth, _ in cloths]
    on = " on one another" if len(names) > 1 else ""
    text = f"{plural('Cloth', len(names))} {'; '.join(names)}{on}: cut {counted(one.times, 'strip')}"
    text += " along the grain" if one.along else " across"
    text += "".join(f"; {cloth.number} is done after {many}" for cloth, many in cloths if many < one.times)
    text += "; the ruler is moved on along each cut" if any(cloth.moves for cloth, _ in cloths) else ""
    whole = [
        (cloth, strip)
        for cloth, _ in cloths
        for strip in cloth.cloth.strips
        if set_to(strip.setting) == mm and len(strokes(strip)) == 1 and strip.lying[0].area == strip.area
    ]
    boxes = one.times if one.times <= TICKS else 1
    return DayTask(one.layers, boxes, f"{text}.", _layers(whole, plans))


def _folded(cloth: Cloth) -> str:
    return f" folded {_TIMES[cloth.folds.bit_length() - 1]}" if cloth.folds > 1 else ""


def _stack(stack: Stack, cuts: int, at: int, day: Day, plans: Sequence[Plan]) -> DayTask:
    """What is done to a stack at one setting; the pieces are told when the last cut has freed them."""
    strips = [(day.cloths[number - 1], day.cloths[number - 1].cloth.strips[nth - 1]) for number, nth in stack.strips]
    order = [one.mm for one in day.settings]
    when = done_at(strokes(strips[0][1]), order)[1:]
    parts = _layers(strips, plans) if at == max(when, default=at) else ()
    many = counted(cuts, "cut") if cuts else "one trim"
    if when and at > min(when):
        return DayTask(len(strips), 1, f" again: {many}.", parts)
    materials = Counter(material_words(cloth.material, plans[0].project.words) for cloth, _ in strips)
    lie = listed([f"{counted(count, 'strip')} of {name}" for name, count in materials.items()])
    on = " on one another" if len(strips) > 1 else ""
    trim = "trim the end, then " if cuts and min(one.area.left for one in strips[0][1].lying) > 0 else ""
    return DayTask(len(strips), 1, f": {lie}{on}; {trim}{many}.", parts)


def _layers(strips: Iterable[tuple[Cloth, CutStrip]], plans: Sequence[Plan]) -> tuple[DayLayer, ...]:
    """What each strip becomes, and whose that is; strips that become the same are told once."""
    words = plans[0].project.words
    found: Counter[tuple[str, tuple[tuple[int, str, int], ...]]] = Counter()
    for cloth, strip in strips:
        pieces: Counter[tuple[int, str]] = Counter()
        for one in strip.lying:
            at, part = whose(one.part)
            name = _named(part, one.area[2] - one.area[0], one.area[3] - one.area[1], plans[at], words)
            pieces[at + 1, name] += 1
        told = tuple((at, part, many) for (at, part), many in sorted(pieces.items()))
        found[material_words(cloth.material, words), told] += 1
    out = []
    for (material, told), layers in found.items():
        text = ", ".join(f"{_counted(count, part)} for no. {at}" for at, part, count in told)
        out.append(DayLayer(material, layers, tuple(dict.fromkeys(at for at, _, _ in told)), said(text, words)))
    return tuple(out)


def _named(part: str, width: float, height: float, plan: Plan, words: str) -> str:
    """What a piece is called, with both its sides where it is no square."""
    part = said(part, words)
    if abs(width - height) < 1e-3:
        return part
    return f"{part} {_told(width, [plan])} × {_told(height, [plan])}"


def _counted(count: int, part: str) -> str:
    return counted(count, part) if part[-1].isalpha() and "×" not in part else f"{count} × {part}"


def _piles(day: Day, plans: Sequence[Plan]) -> tuple[DayPile, ...]:
    """Every project's pieces, material by material, as they are counted."""
    found: Counter[tuple[int, str, str, tuple[float, float]]] = Counter()
    for cloth in day.cloths:
        for one in cloth.cloth.placements:
            at, part = whose(one.part)
            small, large = sorted((one.width_mm, one.height_mm))
            found[at + 1, cloth.material, part, (round(small, 6), round(large, 6))] += 1
    out, words = [], plans[0].project.words
    for (at, material, part, sides), many in sorted(found.items()):
        size = " × ".join(_told(side, [plans[at - 1]]) for side in sides)
        text = f"{_counted(many, said(part, words))}, {size}"
        out.append(DayPile(at, material, material_words(material, words), part, many, size, text))
    return tuple(out)


def _of(cloth: Cloth, plans: Sequence[Plan]) -> list[Plan]:
    """The projects whose pieces are cut from a cloth."""
    return [plans[at] for at in sorted({whose(one.part)[0] for one in cloth.cloth.placements})]


def _by_bolt(cloths: Iterable[Cloth], plans: Sequence[Plan]) -> list[list[Cloth]]:
    """One material's cloths, those bought from one bolt together; what is on hand has none."""
    found: dict[Bolt | None, list[Cloth]] = {}
    for one in cloths:
        bolt = bolt_of(_of(one, plans)[0].project, one.material) if one.cloth.bought else None
        found.setdefault(bolt, []).append(one)
    return list(found.values())


def _spare(cloths: Sequence[Cloth], plans: Sequence[Plan]) -> float:
    """What the shop's steps give beyond cloths from one bolt, mm as it lies on the table."""
    project = _of(cloths[0], plans)[0].project
    bolt, step = bolt_of(project, cloths[0].material), BUY_STEP_MM[project.units]
    bought = sum(one.cloth.length_mm for one in cloths if one.cloth.bought)
    return max(bolt.laid(ceil(bolt.sold(bought) / step * (1 - 1e-9)) * step) - bought, 0.0) if bolt else 0.0


def _left(day: Day, plans: Sequence[Plan]) -> tuple[DayLeft, ...]:
    """What is left of each material, once it is bought in the shop's steps; for each size of square once."""
    out = []
    for material in dict.fromkeys(cloth.material for cloth in day.cloths):
        cloths = [cloth for cloth in day.cloths if cloth.material == material]
        users = [(at, plan) for at, plan in enumerate(plans, 1) if any(c.material == material for c in plan.cutting)]
        groups = [([one.cloth for one in mine], _spare(mine, plans)) for mine in _by_bolt(cloths, plans)]
        left = [size for mine, spare in groups for size in rectangles(mine, spare)]
        name, told = material_words(material, plans[0].project.words), dict[Gives, DayLeft]()
        for at, plan in users:
            gives = would_give(plan, material, left)
            told.setdefault(gives, DayLeft(material, name, at, gives_report(gives, material, plan)))
        out += [one for one in told.values() if one.gives.text]
    return tuple(out)


def day_lines(report: DayReport, width: int = 80) -> list[str]:
    """The day in plain lines: cautions first, cloths, setting by setting, piles, what is left, whose time.

    At most `width` columns, but for the lines that are there to be typed.
    """
    out = [f"Cutting day: {report.title}", "", *(f"▲ {one}" for one in report.cautions), ""]
    out += [f"{one.number} {one.title}, {one.make} to make" for one in report.projects]
    out += ["", "The cloths"]
    out += [f"  ☐ {one.number} {one.name}, {one.size_text}: {one.text}" for one in report.cloths]
    for setting in report.settings:
        out += ["", f"{setting.number}. Ruler at {setting.ruler_text}"]
        for task in setting.tasks:
            out.append(f"  {'☐' * task.boxes} {counted(task.layers, 'layer')}. {task.text}")
            out += [f"      {layer_text(one)}" for one in task.parts]
    out += ["", "Count the piles"]
    out += [f"  ☐ {one.project} {one.name}: {one.text}" for one in report.piles]
    out += ["", "What is left over would still give"] if report.left else []
    out += [f"  {one.name}: {left_text(one, report)}" for one in report.left]
    out += ["", "What it takes", f"  {report.says}"]
    out += [f"  {one.number} {one.title}: {project_text(one)}" for one in report.projects]
    out += [f"  Times from {report.rests_on}.", "", "Told afterwards, with the times it took"]
    out = [row for line in out for row in _hanging(line, width)]
    return [*out, *(f"  {one.enter}" for one in report.projects if one.enter)]


def _hanging(line: str, width: int) -> list[str]:
    """A line in rows of a width, all but the first a little further in."""
    text = line.lstrip()
    first = line[: len(line) - len(text)]
    rows = wrap(text, max(width - len(first) - 4, 20)) or [""]
    return [first + rows[0], *(f"{first}    {row}" for row in rows[1:])]


def layer_text(one: DayLayer) -> str:
    """A layer, or layers that become the same."""
    times = f"{one.layers} × " if one.layers > 1 else ""
    return f"{times}{one.material}: {one.text}"


def left_text(one: DayLeft, report: DayReport) -> str:
    """What is left of one material, and of whose size where several cut from it."""
    several = sum(other.material == one.material for other in report.left) > 1
    return f"{one.gives.text}{f', in squares of no. {one.project}' if several else ''}"


def project_text(one: DayProject) -> str:
    """A project's share, what its cutting takes by itself, and all its hours with the day."""
    alone = f"{one.share_text} of the day (alone {one.apart_text})"
    return f"{counted(one.pieces, 'piece')}, {alone}; hands on in all {one.hands_on_text}"
