"""A layout changed half way moves squares that are cut already: cloth, price and counts stay as they were cut."""

import io
import json
import re
from contextlib import closing
from decimal import Decimal

import pytest

from guide.record.journal import Journal
from tests.commands.test_following import journal, record, walk_to
from tests.commands.test_totals_agree import row_of
from tests.fakes import midday

DEMO = "sessions/window-seat-cushion"


@pytest.fixture
def follow(guide, monkeypatch):
    def call(lines: str):
        monkeypatch.setattr("sys.stdin", io.StringIO(lines))
        return guide("follow", DEMO, "--plain")

    return call


@pytest.fixture
def steps(guide):
    return json.loads(guide("plan", DEMO, "--json").out)["steps"]


def cloths(guide, place: str = "") -> dict[str, Decimal]:
    """What of each cloth is used, in money."""
    price = json.loads(guide("price", place or str(journal()), "--json").out)
    return {line["name"]: Decimal(line["amount"]) for line in price["costs"]["lines"] if " yd × " in line["how"]}


def cut_rows(guide) -> dict[str, list[str]]:
    log = guide("log", str(journal()), "--markdown", "-o", "-").out
    assert "no longer in the plan" not in log
    return {name: row_of(log, f"Cut: {name}")[1:2] for name in ("moss check", "oat stripe", "clay dot")}


def test_a_print_that_runs_out_when_all_is_cut_stays_used(guide, follow, steps):
    """All squares are cut, then 3 of moss check are left: as much of it was used; what is cut again comes on top."""
    before = cloths(guide, DEMO)
    assert follow(walk_to("stack/count", steps) + "q\n").code == 0
    assert cloths(guide) == before
    rows = cut_rows(guide)
    follow("\nc\nout A 3\nq\n")
    after = cloths(guide)
    assert record().layout != record().cut_for is not None
    again = record().cut_again
    assert again
    assert "moss check" not in again
    assert after["moss check"] == before["moss check"]
    assert all(after[name] >= before[name] for name in before)
    assert sum(after.values()) > sum(before.values())
    assert cut_rows(guide) == rows == {name: [" 3 of 3 "] for name in rows}
    laid = next(re.search(r"Cut again: (.*?)\.", e.text)[1] for e in reversed(journal_events()) if e.what == "laid")
    assert laid == ", ".join(f"{count} of {name}" for name, count in again.items())


def journal_events():
    from guide.record.journal import read_journal

    return read_journal(journal()).events


def test_two_blocks_that_change_places_change_no_cloth(guide, follow, steps):
    """The same squares lie elsewhere [identity]."""
    before = cloths(guide, DEMO)
    follow(walk_to("quilt/cross", steps) + "c\n1 1, 2 2\nq\n")
    assert record().cut_for is not None
    assert cloths(guide) == before
    plan, laid = guide("layout", DEMO), record().layout
    assert plan.code == 0
    assert sorted(map(tuple, laid)) == sorted(map(tuple, record().cut_for))


def test_before_the_first_piece_the_cloth_is_cut_for_the_new_layout(guide, follow):
    """Nothing is cut yet: less moss check is used than planned, and nothing is cut again."""
    before = cloths(guide, DEMO)
    follow("c\nout A 3\nq\n")
    assert record().cut_for is None
    assert record().cut_again == {}
    assert cloths(guide)["moss check"] < before["moss check"]


def test_of_a_print_that_is_all_cut_no_square_is_cut_again(guide, follow, workshop):
    """Of ready-cut squares only: others are cut for the 12 spoilt blocks of 4, and what is kept of scraps costs nothing."""
    path = workshop / DEMO / "project.yaml"
    path.write_text(
        re.sub(r"- \{name: moss check, width: 44 in, selvedge: 1/2 in, price: 9.60 / yd,",
               "- {name: moss check, on_hand: [{squares: 16}], at_most: 16,", path.read_text(encoding="utf-8"))
    , encoding="utf-8")  # fmt: skip
    follow(walk_to("quilt/cross", json.loads(guide("plan", DEMO, "--json").out)["steps"]) + "q\n")
    before = cloths(guide)
    for row in (1, 2, 3):
        for column in (1, 2, 3, 4):
            said = follow(f"\nc\nspoilt {row} {column}\n\nq\n")
            assert "does not work out" not in said.out
    assert "moss check" not in record().cut_again
    assert sum(record().cut_again.values()) == 12 * 4
    clock = midday()
    with closing(Journal.open(journal(), clock.run(3600))) as kept:  # as sessions kept it before there was a limit
        kept.append({"what": "noted", "text": "from scraps", "set": {"cut_again": {"moss check": 2}}}, clock.read())
    assert record().cut_again["moss check"] == 2
    after = cloths(guide)
    assert after.get("moss check") == before.get("moss check")
    assert after["oat stripe"] > before["oat stripe"]


def test_what_was_laid_anew_can_be_taken_back(guide, follow, steps):
    """Undone, the cloth and the layout are the first ones."""
    before = cloths(guide, DEMO)
    follow(walk_to("stack/count", steps) + "c\nout A 3\nu\ny\nq\n")
    assert (record().cut_for, record().cut_again) == (None, {})
    assert cloths(guide) == before


def test_a_print_dropped_from_the_project_afterwards_shuts_no_session(guide, follow, steps, workshop):
    """Cut for three prints, laid for two, then the third leaves the file: the session goes on, on what lies there."""
    follow(walk_to("stack/count", steps) + "c\nout A 0\nq\n")
    path = workshop / DEMO / "project.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"  - \{name: moss check.*\n", "", text), encoding="utf-8")
    said = follow("2\n\nq\n")
    assert said.code == 0, said.err
    assert "moss check" not in record().project_text
    assert cloths(guide).keys() >= {"oat stripe", "clay dot"}
    assert guide("log", str(journal())).code == 0
