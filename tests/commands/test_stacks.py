"""Can every block be built from any paper? Each stack of `plan --json` is on each page, in the order it is laid.

The order is reckoned here from the JSON alone: a block's `stack` names its front first, so what is laid first is last.
[practice] A stack is built from the foot: the square laid first lies undermost, right side down.
"""

import json
import re
from collections import Counter

import pytest

from tests.show.pages_read import blanks

CUSHION = """\
project: {title}
kind: {kind}
make: {make}
grid: {{across: {across}, down: {down}}}
square: 12 cm
seam: 1 cm
units: metric
layers: {{above: {above}, below: {below}}}
wadding: {wadding}
prints: [{prints}]
closure: {closure}
quilting: {quilting}
"""
GAP = "{gap: 1 cm, width: 150 cm}"
ZIP = "{type: zip, after_row: 1, end_gap: 3 cm, stop_gap: 1 cm, box_gap: 5 mm}"
KINDS = {
    "one square deep": {"across": 3, "down": 2, "above": 1, "below": 0, "wadding": "none", "quilting": "none"},
    "two makes": {"make": 2},
    "a throw": {"kind": "throw", "closure": "none", "across": 5, "down": 6},
    "no wadding": {"wadding": "none", "above": 1, "below": 2},
    "a bench of many kinds": {"across": 9, "down": 11, "kind": "throw", "closure": "none", "count": 7},
}
DEFAULT = {
    "kind": "cushion", "make": 1, "across": 4, "down": 3, "above": 2, "below": 2, "wadding": GAP, "closure": ZIP,
    "quilting": "cross", "count": 4,
}  # fmt: skip


@pytest.fixture(params=["the demo", *KINDS])
def project(request, workshop):
    """Six projects unlike in depth, size, makes, wadding and count of prints."""
    if request.param == "the demo":
        return "sessions/window-seat-cushion"
    asked = {**DEFAULT, **KINDS[request.param]}
    prints = ", ".join(f"{{name: print {number}, width: 110 cm}}" for number in range(asked.pop("count")))
    folder = workshop / "sessions" / "made"
    folder.mkdir()
    text = CUSHION.format(title=request.param, prints=prints, **asked)
    (folder / "project.yaml").write_text(text, encoding="utf-8")
    return str(folder)


def places(text):
    """Every place that a text names, written one by one or gathered row by row."""
    return {
        (int(row), int(column))
        for row, columns in re.findall(r"row (\d+) columns? (\d+(?:, \d+(?!\d* column))*)", text)
        for column in columns.split(", ")
    }


def by_place(page):
    """(letters, count, places) of a page that tells its kinds of stacks by count, and in a table what lies where."""
    counts = dict(re.findall(r"<b>([A-Z](?: [A-Z])*)</b> <b>× (\d+)</b>", page))
    lie = {laid: set() for laid in counts}
    for table in re.findall(r'<table class="places">.*?</table>', page, re.DOTALL):
        _, *columns = re.findall(r'<th scope="col"[^>]*>(\w+)</th>', table)
        for line in re.findall(r"<tr>(?:(?!</tr>).)*</tr>", table, re.DOTALL):
            cells = [re.sub(r"<[^>]*>", "", one) for one in re.findall(r"<t[dh][^>]*>.*?</t[dh]>", line, re.DOTALL)]
            if cells[0].isdigit() and cells[1:] != columns:
                for column, letters in zip(columns, cells[1:], strict=True):
                    lie[" ".join(letters.replace(" ", ""))].add((int(cells[0]), int(column)))
    return {(laid, int(count), frozenset(lie[laid])) for laid, count in counts.items()}


def rows_of(page):
    """(letters, count, places) of every line of a paper that tells of a stack, whatever marks stand round it."""
    if '<table class="places">' in page:
        return by_place(page)
    lines = page.replace("\n", " ").replace("</li>", "\n") if "<li" in page else page
    lines = re.sub(r"<svg.*?</svg>", " ", lines)
    plain = re.sub(r"<[^>]*>|\||\*\*", " ", lines)
    found = re.findall(r"((?:\b[A-Z]\b ?)+) *× (\d+) +(row [^\n]*)", re.sub(r"[ \t]+", " ", plain))
    return {(letters.strip(), int(count), frozenset(places(where))) for letters, count, where in found}


def test_every_stack_of_the_plan_is_on_every_paper(guide, project):
    """Letters in laying order, how many, and all their places: the same on each page, its Markdown and in the terminal."""
    plan = json.loads(guide("plan", project, "--json").out)
    letter = {one["name"]: one["letter"] for one in plan["prints"]}
    built = {}
    for block in plan["layout"]["blocks"]:
        laid = " ".join(letter[name] for name in reversed(block["stack"]))
        built.setdefault(laid, set()).add((block["row"], block["column"]))
    make = plan["project"]["make"]
    wanted = {(laid, len(at) * make, frozenset(at)) for laid, at in built.items()}
    assert sum(count for _, count, _ in wanted) == plan["quantities"]["blocks"]["value"]
    assert guide("amend", project, "--new", "--enter", "1, 9:00 to 9:05").code == 0
    assert rows_of(guide("layout", project).out) == wanted
    for name in ("plan", "checklist", "sheet", "log"):
        for form in ((), ("--markdown",)):
            assert rows_of(blanks(guide(name, project, *form, "-o", "-").out)) == wanted, (name, form)


def test_the_piles_hold_what_the_stacks_take(guide, project):
    """[identity] A pile's squares are those of its print in all stacks and on the back, of all makes."""
    plan = json.loads(guide("plan", project, "--json").out)
    make = plan["project"]["make"]
    stacks, back = (
        Counter(name for block in (plan[panel] or {"blocks": []})["blocks"] for name in block["stack"])
        for panel in ("layout", "backing")
    )
    page = blanks(guide("sheet", project, "--markdown", "-o", "-").out)
    kept = ", ".join(f"{one['letter']} {back[one['name']] * make}" for one in plan["prints"] if back[one["name"]])
    assert (f"Of the piles, for the back: {kept}." in page) == bool(plan["backing"])
    for one in plan["prints"]:
        numbers = [stacks[one["name"]] * make, back[one["name"]] * make]
        shown = [*numbers, f"**{sum(numbers)}**"] if plan["backing"] else [numbers[0], f"**{sum(numbers)}**"]
        line = f"| {one['letter']} {one['name']} | {' | '.join(map(str, shown))} |"
        assert (line in page) == (sum(numbers) > 0), line
