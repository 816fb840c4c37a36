"""What options do when they are left out, and where they end: each by the same command with the option written."""

import json
import os
import shutil
from pathlib import Path

import click
import pytest

from guide.cli import COMMANDS
from guide.commands.common import opened
from guide.commands.sessions import plan_of
from tests.commands.worked import worked

DEMO = "sessions/window-seat-cushion"


def test_help_is_no_wider_than_a_page(guide, monkeypatch):
    """However wide the terminal: 100 columns, of which click leaves two free. [source] click, HelpFormatter."""
    monkeypatch.setenv("COLUMNS", "250")
    widest = max(len(line) for name in COMMANDS for line in guide(name, "--help").out.splitlines())
    assert widest == 98


def test_a_day_has_breaks_and_a_meal_where_nothing_is_said(guide):
    """Ten minutes of rest in every hour [memory], and three quarters of an hour to eat [practice]."""
    asked = ("checklist", DEMO, "--for", "beginner", "--start", "10:00", "--markdown", "-o", "-")
    plain = guide(*asked).out
    assert plain == guide(*asked, "--breaks", "10", "--meal", "45").out
    assert plain != guide(*asked, "--breaks", "9").out
    assert plain != guide(*asked, "--meal", "44").out


def test_nothing_is_cut_to_spare_where_nothing_is_said(guide):
    """No square more than the panel and the back take; and none may be asked for."""
    plain = guide("plan", DEMO, "--json").out
    none = guide("plan", DEMO, "--spare", "0", "--json")
    assert (none.code, none.out) == (0, plain)
    here = opened(DEMO)
    assert plan_of(here) == plan_of(here, 0) != plan_of(here, 1)
    assert plain != guide("plan", DEMO, "--spare", "1", "--json").out
    assert guide("plan", DEMO, "--spare", "101").code == 2


@pytest.mark.parametrize(("more", "launched"), [((), []), (("--open",), ["plan.html"])])
def test_a_page_is_opened_when_it_is_asked_for(guide, monkeypatch, more, launched):
    """And one printed to stdout never: there is no file to open."""
    opened = []
    monkeypatch.setattr(click, "launch", opened.append)
    assert guide("plan", DEMO, "--page", "plan.html", *more).code == 0
    assert opened == launched
    assert guide("plan", DEMO, "--page", "-", *more).code == 0
    assert opened == launched


@pytest.mark.parametrize("sold", ["packing", "fee_each"])
def test_cents_are_an_amount_too(guide, sold):
    """A box for half a euro, a fee of ten cents, and none of either."""
    for amount in ("0.50", "0"):
        assert guide("price", DEMO, "--set", f"sell.{sold}={amount}").code == 0


def test_flags_of_a_layout_take_no_value(guide):
    """--json of a project and of its session, --again, --forget: what comes after is no value, but the project.

    Beside it lies another, worked on later, which is the one that is meant where none is named.
    """
    worked(DEMO, 0, lambda step: 60.0, until="stack/count")
    other = Path("sessions", "other")
    shutil.copytree(DEMO, other, ignore=shutil.ignore_patterns("*.jsonl"))
    text = (other / "project.yaml").read_text(encoding="utf-8")
    (other / "project.yaml").write_text(text.replace("across: 4", "across: 5"), encoding="utf-8")
    later = max(path.stat().st_mtime for path in Path(DEMO).iterdir()) + 60
    os.utime(other / "project.yaml", (later, later))
    assert json.loads(guide("layout", "--json", str(other)).out)["across"] == 5
    assert json.loads(guide("layout", "--json", DEMO).out)["across"] == 4
    (journal,) = Path(DEMO).glob("*.jsonl")
    assert json.loads(guide("layout", "--json", str(journal)).out)["across"] == 4
    assert guide("layout", "--keep", "1,1", "--seed", "7", "--again", DEMO).code == 0
    kept = Path(DEMO, "layout.json")
    assert kept.exists()
    assert guide("layout", "--forget", DEMO).code == 0
    assert not kept.exists()


@pytest.mark.parametrize(
    ("more", "name"),
    [
        ((), "sheet.html"),
        (("--markdown",), "sheet.md"),
        (("--tickets",), "tickets.html"),
        (("--tickets", "--markdown"), "tickets.md"),
    ],
)
def test_a_sheet_is_named_after_what_it_is(guide, more, name):
    """Beside the project, by what is in it and how it is written."""
    assert guide("sheet", DEMO, *more).code == 0
    assert [path.name for path in Path(DEMO).iterdir() if path.name != "project.yaml"] == [name]
