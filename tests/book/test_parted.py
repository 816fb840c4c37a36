"""Projects that cut from one shelf: each is promised its own, whole or a part, and nothing is taken twice."""

import json

import pytest

from guide.book.file import read_book
from guide.book.model import in_mm
from tests.commands.worked import worked


def usual(step) -> float:
    return step.pace_s


LAP = (
    "project: Lap square\nkind: throw\ngrid: {across: %d, down: %d}\nsquare: 6 in\nseam: 1/2 in\nback: none\n"
    "closure: none\nlayers: {above: 1, below: 1}\nwadding: none\nprints:\n"
    "  - {name: moss check, width: 44 in, on_hand: shelf}\n  - {name: oat stripe, width: 44 in, on_hand: shelf}\n"
)


def lap_squares(workshop, names, across, down):
    """Throws of two prints, one square over another, all of it from the shelf."""
    for name in names:
        (workshop / "sessions" / name).mkdir()
        (workshop / "sessions" / name / "project.yaml").write_text(LAP % (across, down), encoding="utf-8")


def test_two_projects_cut_from_one_length(workshop, guide):
    """90 in of each cloth: what one takes is cut off for it, and the other takes its own of the rest; both are sewn.

    Every plan is cut from what it was promised, nothing is bought, and the book is sound when both are entered.
    """
    lap_squares(workshop, ("one", "two"), 6, 4)
    for name in ("moss check", "oat stripe"):
        assert guide("shelf", "add", name, "90 in", "--width", "44in", "--paid", "24.00").code == 0
    assert "With --part the rest of it stays free." in guide("shelf", "use", "sessions/one").err
    assert "from the bolt" in guide("plan", "sessions/two").out  # promised whole there is nothing for the other
    assert guide("shelf", "use", "sessions/one", "--part").code == 0
    assert "from the bolt" not in guide("plan", "sessions/two").out
    assert guide("shelf", "use", "sessions/two", "--part").code == 0
    book = read_book("sessions")
    lying = {one.id: (in_mm(one.width) / 25.4, in_mm(one.length) / 25.4) for one in book.pieces.values()}
    mine = {who: [lying[one.piece] for one in these] for who, these in book.promises.items()}
    # 24 squares of 6 in a print and half an inch to straighten: four strips across 44 in, or two along 90 in
    assert all(size in {(44.0, 24.5), (12.5, 90.0)} for sizes in mine.values() for size in sizes)
    assert sum(wide * long for wide, long in lying.values()) == pytest.approx(2 * 44 * 90)
    for name in ("one", "two"):
        assert "from the bolt" not in guide("plan", f"sessions/{name}").out
        worked(f"sessions/{name}", 0, usual)
    assert guide("book", "enter", "--yes").code == 0
    book = read_book("sessions")
    assert not book.problems
    assert not any(book.promises.values())
    assert len(book.articles) == 2
    for flow in book.flows.values():
        assert flow.cut == 48 * 36 * 254_000**2
        left = sum(p.area * p.count for p in book.pieces.values() if book.flows[p.cloth] is flow)
        assert flow.bought == flow.cut + flow.scrap + left


def test_another_plan_than_what_was_promised_is_offered_all_that_is_free(workshop, guide):
    """Cloth for one is promised and cut off; an order of two, or a plan of two, may take of the rest as well."""
    lap_squares(workshop, ("one",), 6, 4)
    for name in ("moss check", "oat stripe"):
        guide("shelf", "add", name, "90 in", "--width", "44in")
    assert guide("shelf", "use", "sessions/one", "--part").code == 0
    assert "from the bolt" not in guide("plan", "sessions/one", "--set", "make=2").out
    guide("order", "add", "B. Elm", "lap square", "--project", "one", "--count", "2")
    hours = ["--hours", "mon-fri 19:00-21:00", "--json"]
    assert not [row for row in json.loads(guide("order", "plan", *hours).out)["buy"] if row["counter"] == "cloth"]


def test_what_is_cut_off_is_as_long_as_before_washing(workshop, guide):
    """24 1/2 in on the table are 25.52 in of cloth that shrinks 4 %, cut on 1/8 in: 25 5/8; 12 1/2 across, 3 %: 13 [identity]."""
    lap_squares(workshop, ("one",), 6, 4)
    path = workshop / "sessions" / "one" / "project.yaml"
    shrinks = "on_hand: shelf, shrinks: {length: 4 %, width: 3 %}"
    text = path.read_text(encoding="utf-8").replace("on_hand: shelf", shrinks)
    path.write_text(f"washed_first: true\n{text}", encoding="utf-8")
    for name in ("moss check", "oat stripe"):
        guide("shelf", "add", name, "90 in", "--width", "44in")
    assert guide("shelf", "use", "sessions/one", "--part").code == 0
    book = read_book("sessions")
    mine = [book.pieces[one.piece] for one in book.promises["one"]]
    assert {(in_mm(one.width) / 25.4, in_mm(one.length) / 25.4) for one in mine} <= {(44.0, 25.625), (13.0, 90.0)}
    assert "from the bolt" not in guide("plan", "sessions/one").out
    worked("sessions/one", 0, usual)
    assert guide("book", "enter", "--yes").code == 0
    assert not read_book("sessions").problems


def test_a_rest_too_narrow_to_keep_goes_with_what_is_cut_off(workshop, guide):
    """5 1/2 in wide there is nothing to keep, however long: the piece is promised whole."""
    lap_squares(workshop, ("one",), 2, 2)
    path = workshop / "sessions" / "one" / "project.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("square: 6 in", "square: 4 in"), encoding="utf-8")
    for name in ("moss check", "oat stripe"):
        guide("shelf", "add", name, "--piece", "5.5in x 90in")
    assert guide("shelf", "use", "sessions/one", "--part").code == 0
    assert read_book("sessions").pieces.keys() == {"2", "3"}


def test_pieces_alike_are_each_taken_once(workshop, guide):
    """Three fat quarters alike, two of which a plan cuts, and squares lying ready: two go, one stays [identity]."""
    lap_squares(workshop, ("one",), 4, 3)
    for _ in range(3):
        guide("shelf", "add", "moss check", "--fat-quarters", "1")
    for _ in range(2):  # twelve squares are wanted of it: eight of one pack and four of the other
        guide("shelf", "add", "oat stripe", "--squares", "8", "--size", "6in x 6in")
    guide("shelf", "use", "sessions/one")
    book = read_book("sessions")
    taken = {one.piece: one.count for one in book.promises["one"]}
    assert sorted((taken.pop("5"), taken.pop("6"))) == [4, 8]
    assert list(taken.values()) == [1, 1]
    worked("sessions/one", 0, usual)
    assert guide("book", "enter", "--yes").code == 0
    book = read_book("sessions")
    assert not book.problems
    assert sum(one.count for one in book.pieces.values() if one.width == 22 * 254_000) == 1
    assert sum(one.count for one in book.pieces.values() if one.cloth == "oat stripe") == 4
