"""`guide class` through its own door: a file to begin with, the plan, refusals with their places."""

import json

import pytest

GOOD = """\
class: Two cushions
project: ../window-seat-cushion
seats: [{name: A. B., takes: 1.2}, {name: seat 2}]
hours: [2027-03-06 10:00-13:00, 2027-03-06 14:00-16:30]
stations: {machine: 1, iron: 1}
nods: [assemble/outer]
prepared: [cut, stack, quilt]
home: [wash]
breaks: {every: 60 min, for: 10 min}
"""


@pytest.fixture
def folder(workshop):
    """An empty class beside the example."""
    place = workshop / "sessions" / "two"
    place.mkdir(parents=True)
    return place


def test_a_new_class_is_planned_as_it_is_written(folder, guide, workshop):
    """The file of `new` has nothing to mend; its plan holds what `--json` promises, and two quick seats fit."""
    made = guide("class", "new", "Saturday cushions", "--project", "sessions/window-seat-cushion", "--seats", "2")
    assert made.code == 0, made.err
    written = (workshop / "sessions" / "saturday-cushions" / "class.yaml").read_text(encoding="utf-8").splitlines()
    places = {line.index("  # ") for line in written if "  # " in line}
    assert (min(places), len(places)) == (40, 2)  # one column, but for the one line that is longer
    again = guide("class", "new", "Saturday cushions", "--project", "sessions/window-seat-cushion")
    assert (again.code, "left as it is" in again.err) == (2, True)
    (folder / "class.yaml").write_text(GOOD, encoding="utf-8")
    told = json.loads(guide("class", "two", "--json").out)  # a plain name means the folder under sessions
    assert [seat["name"] for seat in told["seats"]] == ["A. B.", "seat 2"]
    assert told["stations"] == {"machine": 1, "iron": 1}
    assert {one["kind"] for seat in told["seats"] for one in seat["windows"]} <= {
        "work", "wait", "demo", "nod", "break", "change", "home", "practice", "opening",
    }  # fmt: skip
    assert all(seat["finished"] == (seat["ends_s"] <= told["closes_s"]) for seat in told["seats"])
    assert told["closes_s"] == 22_500  # 16:30 less a quarter of an hour's packing up, from 10:00 [identity]
    assert not any(
        one["step"].startswith(("cut", "stack", "quilt", "wash")) for s in told["seats"] for one in s["windows"]
    )
    assert set(told["would_bring"]) >= {"machine", "iron", "seat less", "half an hour more"}
    assert told["would_bring"]["machine"] <= 0
    assert told["would_bring"]["iron"] <= 0


@pytest.mark.parametrize(
    ("change", "place", "said"),
    [
        (("seats: [{name: A. B., takes: 1.2}, {name: seat 2}]", "seats: none"), "3:8", "does not fit here"),
        (("name: seat 2", "name: A. B."), "3:43", "sits here already"),
        (("14:00-16:30", "12:00-16:30"), "4:33", "begins before the sitting above ends"),
        (("10:00-13:00", "13:00-10:00"), "4:9", "ends before it begins"),
        (("2027-03-06 10:00", "2027-02-30 10:00"), "4:9", "there is no such day"),
        (("10:00-13:00", "10:00-10:30"), "4:9", "a sitting needs half an hour more"),
        (("iron: 1", "irons: 1"), "5:24", "there is no key irons here (did you mean iron?)"),
        (("assemble/outer", "assemble/outre"), "6:8", "there is no step assemble/outre (did you mean assemble/outer?)"),
        (("prepared: [cut,", "prepared: [cutt,"), "7:12", "there is no step cutt (did you mean cut?)"),
        (("every: 60 min", "every: 5 min"), "9:17", "must be at least 1800"),
        (("project: ../window-seat-cushion\n", ""), "2:9", "project is missing"),
    ],
)
def test_what_is_wrong_is_said_at_its_place(folder, guide, change, place, said):
    """Each mistake with its line, its column and what to write; nothing is planned."""
    assert change[0] in GOOD
    (folder / "class.yaml").write_text(GOOD.replace(*change), encoding="utf-8")
    done = guide("class", "sessions/two")
    assert (done.code, done.out) == (2, "")
    assert any(f"class.yaml:{place}: " in line and said in line for line in done.err.split("\n")), done.err


def test_a_class_of_no_project_says_where_it_looked(folder, guide):
    """By the class file's place, as it is written there."""
    (folder / "class.yaml").write_text(GOOD.replace("../window-seat-cushion", "../nowhere"), encoding="utf-8")
    done = guide("class", "sessions/two")
    assert done.code == 2
    assert "2:10: project: there is no project at ../nowhere" in done.err
