"""The demo's plan, read from its own project file and the shipped stage files."""

from functools import cache
from pathlib import Path

from guide.plan.make import make_plan
from guide.read.places import open_project

DEMO = Path(__file__).parents[2] / "sessions" / "window-seat-cushion"


@cache
def demo_plan():
    opened = open_project(DEMO, {})
    return make_plan(opened.project, opened.language)
