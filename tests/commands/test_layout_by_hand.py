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
    """Left with 2: no file. With 1: kept."""
    assert by_hand("mirror", "leave", "2").code == 0
    assert kept(workshop) is None
    assert list((workshop / DEMO).glob("layout*")) == []
    assert "not kept yet" in by_hand("mirror", "leave", "1").out
    assert kept(workshop) is not None


def test_what_lay_when_the_lines_ended_is_offered_next_time(by_hand, guide, workshop):
    """Not used by the plan; asked about until it is answered: 1 goes on with it, empty places, blocks that stay and all."""
    before = planned(guide)
    ended = by_hand("mirror", "2,3 stay", "1,1 x")
    assert "the next --by-hand offers it" in ended.out
    assert (kept(workshop), planned(guide)) == (None, before)
    lay = kept(workshop, "layout.unkept.json")
    assert lay["rows"] == [[[], *before[0][2::-1]], before[1][::-1], before[2][::-1]]
    assert lay["kept"] == [[2, 3]]
    for lines in ((), ("q",), ("mirror", "nonsense")):
        asked = by_hand(*lines)
        assert asked.out.count("A panel lies here from last time") == 1 + len([one for one in lines if one != "q"])
        assert kept(workshop, "layout.unkept.json") == lay
    assert "1 block is empty" in by_hand("1", "keep").out
    assert kept(workshop, "layout.unkept.json") == lay
    assert "Kept in" in by_hand("1", "fill", "keep", "leave").out
    assert kept(workshop)["rows"][1:] == lay["rows"][1:]
    assert kept(workshop)["kept"] == [[2, 3]]
    assert kept(workshop, "layout.unkept.json") is None
    assert "not kept" not in by_hand("leave").out


def test_what_was_not_kept_is_dropped_only_when_asked(by_hand, workshop):
    """2: the panel is as it is kept; `again` lays it after all, while the sitting lasts. u after 1 goes back to the kept."""
    by_hand("mirror")
    said = by_hand("2", "again", "leave", "1")
    assert said.code == 0
    mirrored = kept(workshop)
    assert mirrored is not None
    by_hand("half round")
    back = by_hand("1", "undo", "leave")
    assert "not kept yet" not in back.out
    assert kept(workshop) == mirrored
    assert kept(workshop, "layout.unkept.json") is None
    by_hand("half round")
    said = by_hand("2", "leave")
    assert said.code == 0
    assert "until you leave" in said.out  # then it is gone, and is not said to lie anywhere
    assert "ut away" not in said.out
    assert (kept(workshop), kept(workshop, "layout.unkept.json")) == (mirrored, None)


@pytest.mark.parametrize("text", ["{", '{"format": 1, "rows": [], "kept": []}', "[]"])
def test_what_was_not_kept_and_fits_no_more_is_left_where_it_is(by_hand, workshop, text):
    """Told what is wrong and what to do; nothing is laid over it."""
    path = workshop / DEMO / "layout.unkept.json"
    path.write_text(text, encoding="utf-8")
    said = by_hand("mirror")
    assert said.code == 2
    assert "move the file away" in said.err
    assert path.read_text(encoding="utf-8") == text


def test_what_was_not_kept_and_takes_cloth_that_is_gone_is_left_too(by_hand, workshop):
    """20 of clay dot lay when it was not kept, now 17 are there: told with both figures, the file is untouched."""
    by_hand(*(f"{row},{column} C" for row in range(1, 4) for column in range(1, 5)))
    lay = kept(workshop, "layout.unkept.json")
    assert sum(stack.count("clay dot") for row in lay["rows"] for stack in row) == 20
    path = workshop / DEMO / "project.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("at_most: 20", "at_most: 17"), encoding="utf-8")
    said = by_hand("1")
    assert said.code == 2
    assert "17 are there, this takes 20" in said.err
    assert kept(workshop, "layout.unkept.json") == lay


def test_what_cannot_be_written_at_the_end_is_said(by_hand, workshop, monkeypatch):
    """A full disk: why, and what was offered before is still there."""
    by_hand("mirror")
    lay = kept(workshop, "layout.unkept.json")

    def full(_beside, _place):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(system, "put_in_place", full)
    assert "No space left on device" in by_hand("1", "half round").out
    assert kept(workshop, "layout.unkept.json") == lay


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
    for used in (b, c, a, b, c):  # b was put away last; each is reached, whatever was used before
        assert guide("layout", DEMO, "--before").code == 0
        assert kept(workshop) == used
    assert set_aside(workshop) == [a, c, b]


def test_where_no_layout_is_kept_none_is_said_to_be_put_away(guide, workshop):
    """Nothing could be brought back, so nothing is promised; nothing is written."""
    said = guide("layout", DEMO, "--forget")
    assert said.code == 0
    assert "No layout is kept" in said.err
    assert "--before" not in said.err
    assert list((workshop / DEMO).glob("layout*")) == []


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


@pytest.mark.parametrize("written", ["1,1:2,3", "1, 1 : 2 ,3", " 1 ,1:2, 3 "])
def test_blocks_are_written_alike_in_options_and_in_lines(by_hand, guide, workshop, written):
    """With blanks or without, as options and in a line: the same two blocks change places."""
    assert guide("layout", DEMO, "--swap", written).code == 0
    by_option = kept(workshop)
    assert guide("layout", DEMO, "--forget").code == 0
    assert by_hand(f"swap {written.replace(':', ' ')}", "keep", "leave").code == 0
    assert kept(workshop)["rows"] == by_option["rows"]


@pytest.mark.parametrize("written", ["1,1", "1,1:1", "1,1:1234,1", "1,1:2,3,4", "1,1:2,3 4", "1,1:0,1", ":", "1,1 2,3"])
def test_what_is_no_block_is_refused(guide, workshop, written):
    """With how it is written; nothing is changed."""
    said = guide("layout", DEMO, "--swap", written)
    assert said.code == 2
    assert "row,column" in said.err or "write two blocks" in said.err
    assert kept(workshop) is None


def test_what_cannot_be_kept_tells_a_mend_that_is_there(by_hand, guide, workshop, monkeypatch):
    """A full disk while it is laid by hand, taken or swapped: no other place can be named there, so room is asked for."""
    put, full = system.put_in_place, [True]

    def once(beside, place):
        if full:
            full.clear()
            raise OSError(errno.ENOSPC, "No space left on device")
        put(beside, place)

    monkeypatch.setattr(system, "put_in_place", once)
    for call in (lambda: by_hand("mirror", "keep", "keep", "leave"), lambda: guide("layout", DEMO, "--take", "calm")):
        full[:] = [True]
        said = call()
        told = said.out + said.err
        assert "No space left on device" in told
        assert "see that there is room" in told
        assert "-o" not in told.replace("by-hand", "").split("No space left")[1].split("\n")[0]
        assert "journal" not in told.split("No space left")[1].split("\n")[0]
        assert kept(workshop) is not None  # done again, it was kept; the second keeps what there was
    (workshop / DEMO / "layout.json").unlink()
    (workshop / DEMO / "layout.json").mkdir()
    said = guide("layout", DEMO, "--take", "calm")
    assert "a folder" in said.err
    assert "-o" not in said.err


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


def test_half_way_a_cushion_needs_a_clear_front_alone_and_cuts_nothing_that_is_used_up(guide, workshop):
    """Two blocks are to be sewn yet, 3,3 and 3,4; moss check is gone, and all 20 of clay dot that may be cut are cut.

    3,3 lies under and beside moss check, 3,4 under clay dot: the last clay dot goes on 3,3, oat stripe on 3,4, and the
    front is clear; of the eight squares four are there, so four of oat stripe are cut. [identity]
    """
    rows = planned(guide)
    assert [rows[1][2][0], rows[2][1][0], rows[1][3][0]] == ["moss check", "moss check", "clay dot"]
    sewn = [f"{row},{column}" for row in (1, 2, 3) for column in range(1, 5)][:10]
    options = [one for cell in sewn for one in ("--sewn", cell)]
    left = ("--gone", "moss check", "--left", "oat stripe=3", "--left", "clay dot=1")
    said = guide("layout", DEMO, *options, *left)
    assert said.code == 0, said.err
    assert said.out.startswith("To cut again: 4 of oat stripe.\n")
    assert "No two alike meet on the front." in said.out
    assert "cannot be helped" not in said.out
    assert [kept(workshop)["rows"][2][at][0] for at in (2, 3)] == ["clay dot", "oat stripe"]


def test_half_way_what_cannot_be_cut_is_refused_and_nothing_is_kept(guide, workshop):
    """Nothing is left of two prints that are gone, nor of the third, of which all 20 are cut: told, and how to go on."""
    said = guide(
        "layout", DEMO, "--sewn", "1,1", "--gone", "moss check", "--gone", "oat stripe", "--left", "clay dot=9"
    )
    assert (said.code, said.out) == (2, "")
    assert re.search(r"would take \d+ more squares of (moss check|oat stripe)", said.err)
    assert "Raise an at_most or add a print in the project file." in said.err
    said = guide(
        "layout", DEMO, "--sewn", "1,1", "--left", "moss check=1", "--gone", "oat stripe", "--gone", "moss check"
    )
    assert said.code == 2
    assert kept(workshop) is None


@pytest.mark.parametrize("options", [("--json",), ("--page", "-")])
def test_half_way_what_is_cut_again_stands_beside_the_data_and_not_in_it(guide, options):
    """JSON is read whole, a page begins as a page; what must be cut again is said beside it."""
    said = guide("layout", DEMO, "--sewn", "1,1", "--left", "moss check=20", "--left", "oat stripe=30", *options)
    assert said.code == 0, said.err
    assert "be cut again." in said.err
    if options == ("--json",):
        assert len(json.loads(said.out)["blocks"]) == 12
    else:
        assert said.out.startswith("<!doctype html>")


@pytest.mark.parametrize("left", ["moss check=²", "moss check=", "moss check=-1", "moss check=3.5", "linen=3"])
def test_half_way_what_is_no_number_of_squares_is_refused(guide, workshop, left):
    """With how it is written; nothing is kept."""
    said = guide("layout", DEMO, "--left", left)
    assert (said.code, kept(workshop)) == (2, None)
    assert "like moss check=3" in said.err
