"""At the machine the back has its map: the panel as it is seen, the seam in hand on it, what stays open."""

import re

import pytest

from guide.show.screen.page import page
from guide.show.screen.text import ASCII, flat
from tests.show import screen_samples as samples
from tests.show.test_pages_kinds import planned

SIZES = ((80, 24), (120, 40))


def seen_at(plan, id_, done, size, **more):
    """The screen's text with this step open and so many of its pieces done."""
    step = next(one for one in plan.steps if one.id == id_)
    moment = samples.scene(plan, samples.record(plan, step.key, pieces=done), **more)
    return "\n".join(flat(line) for line in page(moment, *size).lines)


def letters_of(plan):
    """The back's letters row by row, as it is laid: a panel of its own, its right sides up."""
    names = {one.name: "ABCDEFG"[place] for place, one in enumerate(plan.project.prints)}
    rows = [[""] * plan.backing.across for _ in range(plan.backing.down)]
    for square in plan.backing.blocks:
        rows[square.row - 1][square.column - 1] = names[square.stack[0]]
    return rows


STEPS = ("back_rows", "back_join")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("id_", STEPS)
@pytest.mark.parametrize("kind", ["metric", "zip along a column", "envelope", "six at once"])
def test_the_steps_of_the_back_show_its_map(kind, id_, size):
    """Every row of letters as the back is laid, and that this is the back. [identity]"""
    plan = planned(kind)
    text = seen_at(plan, id_, 0, size)
    rows = [re.findall(r"\b[A-G]\b", re.split(r"  [░▒▓╱a-z]", line[34:])[0]) for line in text.splitlines()]
    rows = [row for row in rows if len(row) == plan.backing.across]
    assert rows[: plan.backing.down] == letters_of(plan)
    assert "back, as you see it" in text


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("kind", ["metric", "zip along a column", "envelope", "six at once"])
def test_pressing_the_back_shows_which_way(kind, size):
    """One row all one way, the next all the other, so that their seams nest. [practice]"""
    lines = seen_at(planned(kind), "back_press", 0, size).splitlines()
    ways = [re.search(r"([▸◂])(?: \1)+ ", line) for line in lines]
    assert [way[1] for way in ways if way] == ["▸", "◂"]
    assert any("so that they nest" in line for line in lines)


# Squares into rows (columns, where the zip runs down) from the first to the last, then row to row from the top, over
# what stays open: after row 1, after column 1, between an envelope's panels. [practice] the order; [identity] the counts.
SEWN = {
    "metric": {
        "back_rows": [f"row {r}, columns {c} and {c + 1}" for r in (1, 2, 3) for c in (1, 2, 3)],
        "back_join": ["rows 2 and 3"],
    },
    "zip along a column": {
        "back_rows": [f"column {c}, rows {r} and {r + 1}" for c in (1, 2, 3, 4) for r in (1, 2)],
        "back_join": ["columns 2 and 3", "columns 3 and 4"],
    },
    "envelope": {
        "back_rows": [f"row {r}, columns {c} and {c + 1}" for r in range(1, 7) for c in (1, 2, 3)],
        "back_join": ["rows 1 and 2", "rows 2 and 3", "rows 4 and 5", "rows 5 and 6"],
    },
}
SEWN["six at once"] = {id_: places * 6 for id_, places in SEWN["metric"].items()}


@pytest.mark.parametrize("id_", ["back_rows", "back_join"])
@pytest.mark.parametrize("kind", sorted(SEWN))
def test_the_seam_in_hand_is_named_in_the_order_it_is_sewn(kind, id_):
    """As many places as the step has pieces, each its own seam."""
    plan, places = planned(kind), SEWN[kind][id_]
    assert next(one.pieces for one in plan.steps if one.id == id_) == len(places)
    for done, place in enumerate(places):
        assert re.search(rf" {place}$", seen_at(plan, id_, done, (80, 24)), re.MULTILINE), (done, place)


def test_the_seam_in_hand_is_drawn_where_it_lies():
    """Between columns 2 and 3 of row 2 stands the double line; after row 1, where the zip will lie, the broken one."""
    text = seen_at(planned("metric"), "back_rows", 4, (80, 24))
    first, parting, second = next(
        lines for lines in zip(*(text.splitlines()[i:] for i in range(3)), strict=False) if "┄┄┄" in lines[1][34:]
    )
    assert "║" not in first
    assert re.search(r"│[^│║]*│[^│║]*║[^│║]*│[^│║]*│", second)
    assert parting.count("║") == 1
    assert "┄ zip" in text


def test_letters_alone_hold_the_seam_between_rows_in_corners():
    """An envelope's six rows are too many for outlines at 80 by 24: corners round rows 4 and 5."""
    lines = seen_at(planned("envelope"), "back_join", 2, (80, 24)).splitlines()
    at = next(number for number, line in enumerate(lines) if "╔" in line)
    assert re.search(r"╔\w \w \w \w╗", lines[at])
    assert re.search(r"╚\w \w \w \w╝", lines[at + 1])


def test_the_back_is_drawn_in_ascii_too():
    """Nothing of it needs more than ASCII: the seam = or #, what stays open ~ or :."""
    text = seen_at(planned("zip along a column"), "back_join", 0, (80, 24), marks=ASCII)
    assert text.isascii()
    assert "back, as you see it : zip" in text


def test_a_plain_back_and_pressing_something_else_show_no_map():
    """One cloth has no squares to find; the press of the zip is not about a seam between squares."""
    plain = planned("plain back")
    assert "as you see it" not in seen_at(plain, "back_trim", 0, (80, 24))
    assert "as you see it" not in seen_at(planned("metric"), "zip_press", 0, (80, 24))
