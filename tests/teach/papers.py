"""A class of the example, planned in short: what its papers are printed from in tests."""

import os
from functools import cache
from pathlib import Path

from guide.commands.together import planned_in_turn
from guide.money.paces import NONE
from guide.plan.make import make_plan
from guide.read.places import language_for, open_project
from guide.show.pages.course import render_class
from guide.show.report_class import class_report
from guide.teach.course import read_course
from guide.teach.plan import Planner
from guide.teach.work import Kits, counts, shared, tasks_of

DEMO = Path(__file__).parent.parent.parent / "sessions" / "window-seat-cushion"
TEXT = """\
class: {title}
project: p
seats: [{{name: {name}, takes: 1.2}}, {{name: seat 2}}, {{name: seat 3}}]
hours: [2027-03-06 10:00-13:00, 2027-03-06 14:00-17:30]
stations: {{machine: 2, iron: 1}}
demos: [{{step: quilt/cross, for: 5 min}}]
nods: [closure/zip_cut, assemble/outer]
prepared: [{prepared}]
home: [wash]
breaks: {{every: 60 min, for: 10 min}}
"""


class Made:
    """A class with its plans, kits and report."""

    def __init__(self, name: str, title: str, prepared: str, changes: tuple[str, ...]) -> None:
        stages = language_for(None, os.environ).stages
        text = TEXT.format(name=name, title=title, prepared=prepared)
        self.course, loaded = read_course(text, "class.yaml", stages)
        assert self.course, loaded.problems
        here = open_project(DEMO, os.environ, changes)
        (self.count, self.spare) = counts(self.course)["p"]
        self.one = make_plan(shared(here.project, self.count), here.language)
        (self.all,) = planned_in_turn([open_project(DEMO, os.environ, [*changes, f"make={self.count}"])])
        self.works = [tasks_of(self.one, NONE, self.course, seat) for seat in self.course.seats]
        self.planned = Planner(self.course, self.works, tries=10).planned()
        kits = Kits("p", self.count, self.spare, self.one, self.all)
        self.told = class_report(self.course, self.planned, {"p": self.one}, [kits])

    def page(self, fmt="html", **more) -> str:
        return render_class(self.told, fmt, **more)


@cache
def made(name="A. B.", title="An invented class", prepared="cut", changes=()) -> Made:
    """One class, made once."""
    return Made(name, title, prepared, changes)
