"""What lies in the bags of a class, what is cut and bought for all of them, and what stands on their labels."""

from collections.abc import Callable, Iterator, Mapping

import msgspec

from guide.read.spoken import counted
from guide.show.model import Report
from guide.show.report import plan_report
from guide.show.words import minutes
from guide.teach.model import Course
from guide.teach.plan import Planned
from guide.teach.work import Kits, beforehand, comes_cut, needles, spools


class KitSheet(msgspec.Struct, frozen=True):
    """The kits of one project: how many, what each holds, what is done beforehand, the plan of all of them."""

    title: str
    text: str
    holds: tuple[tuple[str, str], ...]
    done: tuple[str, ...]
    takes: str
    all: Report


class Label(msgspec.Struct, frozen=True):
    """What stands on a bag."""

    name: str
    title: str
    where: str
    holds: tuple[str, ...]


def kit_sheet(kits: Kits, course: Course) -> KitSheet:
    """What a project's kits hold, and what is cut and done for them."""
    one, everything = plan_report(kits.one), plan_report(kits.all)
    done = beforehand(kits.all, course.prepared)
    beyond = [step for step in beforehand(kits.one, course.prepared) if step.stage != "cut"]
    spare = f", {kits.spare} of them spare" if kits.spare else ""
    return KitSheet(
        title=one.project.title,
        text=f"{counted(kits.count, 'kit')}{spare}",
        holds=tuple(_holds(kits, course, one)),
        done=tuple(step.title for step in beyond),
        takes=minutes(sum(step.pace_s * step.pieces for step in done)) if done else "",
        all=everything,
    )


def _holds(kits: Kits, course: Course, one: Report) -> Iterator[tuple[str, str]]:
    """What lies in one bag: how much, and of what."""
    if comes_cut(kits.one, course.prepared):
        parts: dict[tuple[str, str, str], int] = {}
        for cutting in one.cutting:
            for part in cutting.parts:
                key = (cutting.material, part.name, part.size_text)
                parts[key] = parts.get(key, 0) + part.count
        for ready in one.ready:
            key = next(
                (key for key in parts if key[:2] == (ready.material, "square")),
                (ready.material, "square", ready.size_text),
            )
            parts[key] = parts.get(key, 0) + ready.count
        for (material, name, size), count in parts.items():
            yield f"{count} ×", f"{name if name.startswith(material) else f'{material}, {name}'}, {size}"
    for line in one.shopping:
        if line.counter in {"cloth", "wadding"} and not comes_cut(kits.one, course.prepared):
            yield line.text, line.item_text
        elif line.counter == "notions":
            yield f"{line.text} ×", line.item_text
    if spools(kits.one):
        yield f"{spools(kits.one)} ×", "thread, a spool"
    for needle in needles(kits.one, course):
        yield "1 ×", f"{needle}, new"


def labels(
    course: Course, planned: Planned, kits: Mapping[str, KitSheet], at: Callable[[float], str]
) -> Iterator[Label]:
    """A label a bag, spare ones too; `kits` by what the class file calls their projects."""
    for n, seat in enumerate(course.seats):
        kit, plan = kits[seat.project], planned.plan.seats[n]
        where = f"machine {plan.machine}, {at(0.0)}" if plan.machine else at(0.0)
        yield Label(seat.name, kit.title, where, tuple(f"{many} {what}" for many, what in kit.holds))
    kit = kits[course.seats[0].project]
    for _ in range(course.spare_kits):
        yield Label("spare", kit.title, "", tuple(f"{many} {what}" for many, what in kit.holds))
