"""Laying by hand in lines, through the front door: what is said to lie is what is kept, planned, and never lost."""

import io
import json
import os
import random
import re
import sys
from pathlib import Path

import pytest

DEMO = "sessions/window-seat-cushion"
WORDS = ["A", "B", "C", "moss check", "n", "swap {} {}", "{} turn over", "one on", "mirror", "half round", "{} x", "fill",
         "undo", "again", "{} copy", "{} lay copy", "{} stay", "deeper", "other face", "empty", "nonsense", "", "light",
         "9,9 A", "keep", "?"]  # fmt: skip


class Lines(io.StringIO):
    """What is typed, a line at a time; no terminal."""

    def isatty(self) -> bool:
        return False


@pytest.fixture
def by_hand(guide, monkeypatch):
    """Lay the demo by hand with these lines."""

    def call(*lines: str):
        monkeypatch.setattr(sys, "stdin", Lines("".join(f"{line}\n" for line in lines)))
        return guide("layout", DEMO, "--by-hand", "--plain")

    return call


def kept(workshop, name="layout.json"):
    path = workshop / DEMO / name
    return json.loads(path.read_text(encoding="utf-8")) if path.exists() else None


def planned(guide):
    """Stacks row by row, as `guide plan --json` has them."""
    layout = json.loads(guide("plan", DEMO, "--json").out)["layout"]
    stacks = {(block["row"], block["column"]): block["stack"] for block in layout["blocks"]}
    return [[stacks[row, column] for column in range(1, 5)] for row in range(1, 4)]


def last_faces(out):
    """The front and the other face, mirrored, as they were said last; letters only."""
    found = re.findall(r"front\n((?:  .*\n){3})back, \w+\n((?:  .*\n){3})", out)[-1]
    return [[re.findall(r"[A-C.]", row) for row in face.splitlines()] for face in found]


def test_what_was_said_to_lie_is_what_is_kept_and_planned(by_hand, guide, workshop):
    """Random lines, filled and kept: the faces said last, layout.json and plan --json are the same; stock is kept to."""
    rng = random.Random(11)
    cell = lambda: f"{rng.randint(1, 3)},{rng.randint(1, 4)}"  # noqa: E731
    for _ in range(40 if os.environ.get("FRAYWORK_FULL") else 4):
        lines = [rng.choice(WORDS).format(cell(), cell()) for _ in range(40)]
        said = by_hand(*lines, "mirror", "fill", "keep", "leave")
        assert said.code == 0, said.err
        rows = kept(workshop)["rows"]
        names = {"moss check": "A", "oat stripe": "B", "clay dot": "C"}
        front, back = last_faces(said.out)
        assert front == [[names[stack[0]] for stack in row] for row in rows]
        assert back == [[names[stack[-1]] for stack in row[::-1]] for row in rows]
        assert planned(guide) == rows
        clay = sum(stack.count("clay dot") for row in rows for stack in row)
        assert clay <= 20  # at_most of the demo
        assert guide("layout", DEMO).code == 0


def test_nothing_is_kept_unless_it_is_asked_for(by_hand, workshop):
    """Left with 2, or the lines ended: no file. With 1: kept."""
    assert by_hand("mirror", "leave", "2").code == 0
    ended = by_hand("mirror")
    assert "not kept" in ended.out
    assert kept(workshop) is None
    assert "not kept yet" in by_hand("mirror", "leave", "1").out
    assert kept(workshop) is not None


def test_what_was_kept_before_comes_back(by_hand, guide, workshop):
    """Kept twice: the first one lies beside it, comes back by --before, and goes again; put away, it comes back too."""
    by_hand("mirror", "keep", "leave")
    first = kept(workshop)
    by_hand("half round", "keep", "leave")
    second = kept(workshop)
    assert first["rows"] != second["rows"]
    assert kept(workshop, "layout.before.json") == first
    assert guide("layout", DEMO, "--before").code == 0
    assert (kept(workshop), kept(workshop, "layout.before.json")) == (first, second)
    assert planned(guide) == first["rows"]
    assert guide("layout", DEMO, "--before").code == 0
    assert guide("layout", DEMO, "--forget").code == 0
    assert (kept(workshop), kept(workshop, "layout.before.json")) == (None, second)
    assert guide("layout", DEMO, "--before").code == 0
    assert (kept(workshop), kept(workshop, "layout.before.json")) == (second, None)


def test_a_layout_that_does_not_fit_is_not_brought_back(by_hand, guide, workshop):
    """Of another size since: told what is wrong with it, and both files are as they were."""
    by_hand("mirror", "keep", "half round", "keep", "leave")
    before = workshop / DEMO / "layout.before.json"
    data = kept(workshop, "layout.before.json")
    before.write_text(json.dumps(data | {"rows": data["rows"][:2]}), encoding="utf-8")
    now = (kept(workshop), before.read_text(encoding="utf-8"))
    said = guide("layout", DEMO, "--before")
    assert said.code == 2
    assert "layout.before.json" in said.err
    assert (kept(workshop), before.read_text(encoding="utf-8")) == now
    before.unlink()
    assert "No layout was kept before" in guide("layout", DEMO, "--before").err


def test_a_panel_and_its_back_are_cut_from_what_there_is(by_hand, guide, workshop):
    """Clay dot is 20 at most: a 21st square is refused in words, and what is kept can be planned."""
    lay = [f"{row},{column} C" for row in range(1, 4) for column in range(1, 5)]
    said = by_hand(*lay, "keep", "leave")
    assert "Not enough clay dot: 20 are there, this takes 21" in said.out
    assert guide("plan", DEMO).code == 0
    assert Path(workshop, DEMO, "layout.json").exists()


def test_a_session_keeps_its_own_layout(by_hand, guide, workshop):
    """A journal is no project: by hand changes nothing in it."""
    journal = workshop / "j.jsonl"
    journal.write_text("", encoding="utf-8")
    said = guide("layout", str(journal), "--by-hand")
    assert said.code == 2
    assert "keeps its own layout" in said.err
