"""Laying by hand in lines, through the front door: what is said to lie is what is kept, planned, and never lost."""

import errno
import io
import json
import os
import random
import re
import sys
from itertools import product
from pathlib import Path

import pytest

from guide import system

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


def set_aside(workshop):
    """What lies beside the layout in use, the last set aside last."""
    files = (workshop / DEMO).glob("layout.before*.json")
    return [kept(workshop, one.name) for one in sorted(files, key=lambda file: (len(file.name), file.name))]


def three_kept(by_hand, workshop):
    """Three layouts kept one after another, two of them in one sitting; the last is in use."""
    by_hand("mirror", "keep", "leave")
    first = kept(workshop)
    by_hand("half round", "keep", "1,1 turn over", "keep", "leave")
    return [first, *set_aside(workshop)[1:], kept(workshop)]


def test_every_layout_kept_before_comes_back(by_hand, guide, workshop):
    """A, B, C: each --before goes one further back, after A it is C again; put away, C comes back; nothing is lost."""
    a, b, c = three_kept(by_hand, workshop)
    assert a["rows"] != b["rows"] != c["rows"] != a["rows"]
    assert set_aside(workshop) == [a, b]
    for used in (b, a, c, b):
        said = guide("layout", DEMO, "--before")
        assert said.code == 0, said.err
        assert kept(workshop) == used
        assert planned(guide) == used["rows"]
        assert all(one in set_aside(workshop) for one in (a, b, c))
    assert guide("layout", DEMO, "--forget").code == 0
    assert kept(workshop) is None
    assert guide("layout", DEMO, "--before").code == 0
    assert kept(workshop) == b


def test_the_one_brought_back_is_the_one_used_last(by_hand, guide, workshop):
    """calm, framed, calm again: --before is framed, not what was before calm the first time. No copies pile up."""
    by_hand("mirror", "keep", "leave")
    takes = {}
    for name in ("calm", "framed", "calm", "framed", "calm"):
        assert guide("layout", DEMO, "--take", name).code == 0
        takes[name] = kept(workshop)
    assert len(set_aside(workshop)) == 2
    assert guide("layout", DEMO, "--before").code == 0
    assert kept(workshop) == takes["framed"]
    assert guide("layout", DEMO, "--swap", "1,1:1,2").code == 0
    assert guide("layout", DEMO, "--before").code == 0
    assert kept(workshop) == takes["framed"]


@pytest.mark.parametrize("case", list(product(["--before", "--take", "--forget"], [1, 2])))
def test_a_write_that_fails_loses_no_layout(by_hand, guide, workshop, monkeypatch, case):
    """The disk is full at the first write, or at the second: the layout in use is in use, those before are there."""
    all_three = three_kept(by_hand, workshop)
    what, fails = case
    count, put = [0], system.put_in_place

    def full(beside, place):
        count[0] += 1
        if count[0] == fails:
            raise OSError(errno.ENOSPC, "No space left on device")
        put(beside, place)

    monkeypatch.setattr(system, "put_in_place", full)
    said = guide("layout", DEMO, what, *["calm"][: what == "--take"])
    if what == "--forget":  # it moves, and writes nothing
        assert (said.code, kept(workshop), set_aside(workshop)) == (0, None, all_three)
        return
    assert said.code != 0
    assert "No space left on device" in said.err
    assert kept(workshop) == all_three[2]
    assert [one for one in all_three[:2] if one not in set_aside(workshop)] == []
    monkeypatch.setattr(system, "put_in_place", put)
    assert guide("layout", DEMO, "--before").code == 0
    assert kept(workshop) == all_three[1]


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
