"""`guide class`: plan a class, print its papers, keep its board."""

import os
import re
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click import IntRange
from msgspec import Struct
from msgspec.structs import replace

from guide.commands.ask import NETWORK, PAGES, PageTo, argument, asks, beside, option, served_at
from guide.commands.common import SESSIONS, clock, say, say_json, talk
from guide.commands.sessions import open_here, plan_of
from guide.commands.times import paces_of_all
from guide.errors import GuideError, WrongUse
from guide.read.model import mend
from guide.read.places import (
    Opened,
    file_meant,
    find_project,
    language_for,
    open_project,
    read_text,
    shown,
    to_type,
)
from guide.read.spoken import counted, percent
from guide.record.clock import local, time_text

if TYPE_CHECKING:
    from guide.plan.model import Plan
    from guide.teach.model import Course, Task
    from guide.teach.plan import Brings, Planned, Planner, Plans
    from guide.teach.work import Kits

NEW = """\
# A class: who does what when, for people who share machines, irons and a tutor.
class: {title}
project: {project}  # what each makes; a seat may have another
seats: {seats}  # or a list: [{{name: A. B., takes: 1.2}}, {{name: seat 2}}]
hours: [{hours}]
stations: {{machine: {machines}, iron: 1}}  # what is not named has room for all
tutors: 1
demos: [{{step: quilt/cross, for: 5 min}}, {{step: closure/zip_cut, for: 8 min}}]  # shown once, to all
nods: [closure/zip_cut, assemble/outer]  # a tutor looks before it goes on, 2 min each
prepared: [cut]  # done beforehand by the tutor: kits
home: [wash]
breaks: {{every: 60 min, for: 10 min}}  # all together
opening: 15 min  # welcome and safety
practice: 10 min  # a practice block at the machine comes first
packing_up: 15 min
spare_kits: 1
"""


class Class:
    """A class as read, with the plans of its projects."""

    def __init__(self, given: str | None) -> None:
        """Read it. Raises WrongUse or NeedsMending."""
        from guide.teach.course import read_course
        from guide.teach.work import counts

        self.path = find_class(given)
        text = read_text(self.path)
        stages = language_for(self.path.parent, os.environ).stages
        course, loaded = read_course(text, shown(self.path), stages)
        if course is None:
            raise mend(loaded.problems, {shown(self.path): text})
        self.course: Course = course
        self.here = {name: self._project(name, loaded.place) for name in dict.fromkeys(s.project for s in course.seats)}
        wanted = counts(self.course)
        self.plans: dict[str, Plan] = {
            name: plan_of(_one_of(here, wanted[name][0])) for name, here in self.here.items()
        }
        self.paces = paces_of_all(self.path.parent.parent, whom="beginner")

    def _project(self, name: str, place: Callable[..., Any]) -> Opened:
        """Find the project that a class names. Raises WrongUse when there is none."""
        folder = (self.path.parent / name).resolve()
        try:
            here = open_project(folder, os.environ)
        except WrongUse:
            at = place(("project",))
            raise WrongUse(
                f"{at.exact}: project: there is no project at {name}, seen from the class's folder."
            ) from None
        return here

    def work(self, course: "Course", plans: "Plans") -> list[list["Task"]]:
        """Every seat's tasks."""
        from guide.teach.work import tasks_of

        return [tasks_of(plans[seat.project], self.paces, course, seat) for seat in course.seats]

    def enveloped(self) -> "Plans | None":
        """The plans with an envelope in the place of a zip; None where nobody makes one, or it does not go."""
        zips = {name for name, here in self.here.items() if here.project.closure == "zip"}
        changed = dict(self.plans)
        for name in zips:
            try:
                changed[name] = plan_of(open_project(self.here[name].path, os.environ, ["closure={type: envelope}"]))
            except GuideError:  # too small for an overlap
                return None
        return changed if zips else None

    def planner(self) -> "Planner":
        """What plans it."""
        from guide.teach.plan import Planner

        return Planner(self.course, self.work(self.course, self.plans))

    def kits(self) -> "list[Kits]":
        """The kits of each project, with the plan of all of them together: one shelf, nothing spent twice."""
        from guide.commands.together import planned_in_turn
        from guide.teach.work import Kits, counts

        wanted = counts(self.course)
        asked = [
            open_here(self.here[name].path, [f"make={self.plans[name].project.make * many}"])
            for name, (many, _) in wanted.items()
        ]
        return [
            Kits(name, *wanted[name], self.plans[name], together)
            for name, together in zip(wanted, planned_in_turn(asked), strict=True)
        ]

    def planned(self, planner: "Planner") -> "Planned":
        """The plan, with every seat's chance to be ready."""
        from guide.teach.plan import chances

        found = planner.planned()
        seats = tuple(
            replace(seat, chance=round(chance, 2))
            for seat, chance in zip(found.plan.seats, chances(found), strict=True)
        )
        return replace(found, plan=replace(found.plan, seats=seats))


def _one_of(here: Opened, kits: int) -> Opened:
    """A project as one of so many kits alike."""
    from guide.plan.make import settled
    from guide.teach.work import shared

    return replace(here, project=shared(settled(here.project, here.language), kits))


def find_class(given: str | None) -> Path:
    """Find the class meant: the one given, or the only one under ./sessions. Raises WrongUse naming what there is."""
    from guide.teach.course import CLASS_FILE

    if given is not None and (file := file_meant(given, CLASS_FILE, SESSIONS)):
        return file
    known = sorted(SESSIONS.glob(f"*/{CLASS_FILE}"))
    if given is None and len(known) == 1:
        talk(f"Class: {shown(known[0].parent)}")
        return known[0]
    there = f" There is: {', '.join(str(one.parent) for one in known)}." if known else ""
    said = (
        f"There is no class at {given}." if given is not None else "Which class?" if known else "There is no class yet."
    )
    raise WrongUse(f'{said}{there} Begin one with: guide class new "Saturday cushions" --project PROJECT')


class Asked(Struct, frozen=True):
    """What is asked of a class: to begin one, to follow one, or to plan it and print its papers."""

    words: tuple[str, ...] = argument(nargs=-1, metavar="[new TITLE | follow] [CLASS]")
    project: str | None = option("new: what is made.", "PROJECT")
    seats: int = option("new: how many take part.", type=IntRange(1, 24), default=6, show_default=True)
    machines: int = option("new: how many machines.", type=IntRange(1, 24), default=3, show_default=True)
    hours: str = option(
        "new: when it meets.", "TIMES", default="2027-03-06 10:00-13:00, 2027-03-06 14:00-16:30", show_default=True
    )
    as_json: bool = option("The whole plan as JSON, s from the first hour's begin.", None, "--json")
    papers: tuple[str, ...] = option(
        "Print this only; may be given again. [default: all but cards]", None, "--paper",
        type=click.Choice(["wall", "seats", "tutor", "kits", "cards"]),
    )  # fmt: skip
    beside: str | None = beside("follow: the board as a page too, on this computer or for the pupils in its network.")
    to: PageTo = PAGES


@click.command(
    "class",
    epilog='\b\nExamples:\n  guide class new "Saturday cushions" --project sessions/window-seat-cushion --seats 6\n'
    "  guide class sessions/saturday-cushions\n  guide class sessions/saturday-cushions --json\n"
    "  guide class sessions/saturday-cushions --page papers.html\n"
    "  guide class sessions/saturday-cushions --paper wall --open\n  guide class follow sessions/saturday-cushions",
)
@asks(Asked)
def command(said: Asked) -> int:
    """Plan a class: who does what when at shared machines and irons, where it jams, and what would help.

    CLASS is a folder or its class.yaml. `new` writes one to begin with; `follow` keeps the board of a class at work.
    """
    beside, words = served_at(said.beside, said.words)
    what, *rest = words or ("",)
    if what == "new":
        return _new(" ".join(rest).strip(), said)
    given = rest[0] if what == "follow" and rest else what if what not in {"", "follow"} else None
    if len(words) > 1 + (what == "follow"):
        raise WrongUse("One class at a time.")
    if what == "follow":
        return _follow(Class(given), beside)
    if beside:
        raise WrongUse("A board is looked at while a class is followed: guide class follow CLASS --beside.")
    if said.to or said.papers:
        if said.as_json:
            raise WrongUse("--json and papers: one at a time.")
        return _papers(Class(given), said)
    return _plan(Class(given), as_json=said.as_json)


def _follow(of: Class, beside: str | None) -> int:
    from guide.commands.board import follow_class

    if not beside:
        return follow_class(of)
    from guide.commands.beside import Page

    with closing(Page(network=beside == NETWORK, photo=False)) as page:
        return follow_class(of, page)


def _new(title: str, said: Asked) -> int:
    """Write a new class file.

    Raises WrongUse without a title, or where there is one; NeedsMending for what it would say wrong.
    """
    from guide.commands.new import folder_name
    from guide.read.write_project import beside as remark
    from guide.show.pages.write import write_whole
    from guide.teach.course import CLASS_FILE, read_course

    if not title:
        raise WrongUse('What is it called? guide class new "Saturday cushions"')
    made = find_project(said.project, SESSIONS).parent.resolve()
    folder = SESSIONS / folder_name(title)
    out = folder / CLASS_FILE
    if out.exists():
        raise WrongUse(f"{out} is there already; it was left as it is.")
    way = os.path.relpath(made, folder.resolve()).replace(os.sep, "/")
    text = NEW.format(title=title, project=way, seats=said.seats, machines=said.machines, hours=said.hours)
    text = re.sub(r"^([^#\n]+)  # (.+)$", lambda found: remark(found[1], found[2], 40), text, flags=re.MULTILINE)
    course, loaded = read_course(text, shown(out), language_for(None, os.environ).stages)
    if course is None:
        raise mend(loaded.problems, {shown(out): text})
    folder.mkdir(parents=True, exist_ok=True)
    write_whole(out, text)
    talk(f"Put in who comes and what you have, then: guide class {folder}")
    click.echo(str(out))
    return 0


def _papers(of: Class, said: Asked) -> int:
    from guide.show.pages.course import PAPERS, render_class
    from guide.show.report_class import class_report

    told = class_report(of.course, of.planned(of.planner()), of.plans, of.kits())
    now, papers = now_of(of.course), said.papers or PAPERS
    said.to.put(lambda fmt: render_class(told, fmt, papers=papers, now_s=now), of.path.parent / "papers")
    return 0


def now_of(course: "Course") -> float:
    """How far the class is by the clock on the wall, s from its first hour's begin; it may be long before or after."""
    from guide.teach.model import begins_of

    now = clock().read()
    return (local(now.wall, now.offset).replace(tzinfo=None) - begins_of(course)).total_seconds()


def _plan(of: Class, *, as_json: bool) -> int:
    from guide.teach.model import plain
    from guide.teach.plan import Case, holds_up, ready, together, would_bring

    planner = of.planner()
    found = of.planned(planner)
    case, enveloped = Case(of.course, of.plans), of.enveloped()
    brings = would_bring(planner, found.plan, case, enveloped, of.work)
    fits = ready(found.plan) == len(of.course.seats)
    sums = [] if fits else together(brings, planner, case, enveloped, of.work)
    if as_json:
        more = {
            "holds_up": holds_up(found.plan),
            "would_bring": {one.name: round(one.sooner_s) for one in brings},
            "would_be_ready": {one.name: one.ready for one in brings},
            "together": [{"change": one.name, "ready": one.ready} for one in sums],
        }
        say_json(plain(found.plan, of.course.title, more))
        return 0
    say("\n".join(plan_lines(of, found, brings, sums)))
    name = to_type(of.path.parent)
    talk(f"On paper: guide class {name} --open. On the day: guide class follow {name}")
    return 0


def plan_lines(of: Class, found: "Planned", brings: list["Brings"], sums: list["Brings"]) -> list[str]:
    """The plan as a table, with what does not fit, where it jams and what would help."""
    from guide.show.table import cells, fill
    from guide.teach.model import clock_of
    from guide.teach.plan import holds_up, ready

    course, plan, at = of.course, found.plan, clock_of(of.course)
    having = ", ".join(counted(count, name) for name, count in plan.stations.items())
    out = [f"{course.title}: {counted(len(plan.seats), 'seat')}{', ' if having else ''}{having}", ""]
    wide = max(cells("seat"), *(cells(seat.name) for seat in plan.seats))
    out.append(f"  {fill('seat', wide)}  machine  ready   waits    chance")
    for seat in plan.seats:
        when, chance = at(seat.ends_s) if seat.finished else "no", f"{percent(seat.chance or 0, 0):>5}"
        waits = time_text(seat.waiting_s, in_minutes=True) if seat.waiting_s >= 60 else "-"
        out.append(f"  {fill(seat.name, wide)}  {seat.machine or '-':^7}  {when:<6}  {waits:<8} {chance}")
    if ready(plan) < len(plan.seats):
        late = time_text((plan.ends_s - plan.closing_s), in_minutes=True)
        out += ["", f"▲ It does not fit: at {at(plan.closing_s)} work ends, and the last would need {late} more."]
        for seat in plan.seats:
            if not seat.finished:
                out.append(f"  {seat.name}: {_reached(seat.reached)}; {counted(len(seat.home), 'step')} go home")
    out += ["", f"What holds up: {_STATION.get(holds_up(plan), holds_up(plan))}. What would help, each planned anew:"]
    out += [f"  {_change(one.name):<22} {_told(one, len(plan.seats))}" for one in brings]
    for n, one in enumerate(sums):
        out.append(f"  {'and ' if n else 'all at once: '}{_change(one.name)}: {one.ready} of {len(plan.seats)} ready")
    return out


def _change(name: str) -> str:
    return _CHANGE.get(name, f"one more {name}")


_STATION = {"hands": "nothing that is shared; it is the work itself"}
_CHANGE = {
    "machine each": "a machine each", "seat less": "one seat less", "backs ready made": "the backs ready made",
    "envelope": "an envelope, no zip", "half an hour more": "half an hour more",
}  # fmt: skip


def _reached(title: str) -> str:
    return f"gets as far as “{title}”" if title else "gets no step done"


def _told(one: "Brings", seats: int) -> str:

    ends = time_text(abs(one.sooner_s), in_minutes=True)
    when = "no sooner" if abs(one.sooner_s) < 60 else f"{ends} {'sooner' if one.sooner_s < 0 else 'later'}"
    seated = seats - (one.name == "seat less")
    return f"the last is ready {when}; {one.ready} of {seated} ready"
