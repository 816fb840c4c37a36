"""Half way: a spoilt block and a print that ran out, from within following along."""

import io
import re
import shutil
from collections import Counter

import msgspec
import pytest
from msgspec.structs import replace

from guide.follow import relaying
from guide.follow.order import piece_words
from guide.follow.relaying import sewn_and_begun
from guide.plan.layout.faces import with_matches
from guide.plan.layout.panels import rearrange
from guide.plan.parts import letters as plan_letters
from guide.plan.steps import with_again
from guide.read.model import Print
from guide.record.fold import laid_of
from guide.record.journal import read_journal
from guide.record.model import Event, Record, StepRecord
from tests.fakes import run
from tests.follow.samples_session import Bench
from tests.show.demo import DEMO, demo_plan


def stacks_of(bench):
    return [list(block.stack) for block in bench.session.plan.layout.blocks]


def test_a_spoilt_block_is_cut_again_and_the_rest_stays():
    """Block 1,2 is oat stripe over clay dot: one of each is cut again, and it is noted. [identity]"""
    bench = Bench()
    before = stacks_of(bench)
    bench.press("c")
    bench.type("spoilt 1 2")
    bench.press("enter")
    assert bench.newest.what == "noted"
    assert bench.said == "Block 1,2 is spoilt. The layout stays. Cut again: 1 of oat stripe, 1 of clay dot."
    assert bench.newest.text == bench.said
    assert bench.newest.step == bench.session.plan.steps[0].key  # what is next, as for any note
    assert stacks_of(bench) == before
    assert bench.holds()


def test_what_befell_a_block_is_told_with_the_step_it_befell_at():
    """Spoilt while the crosses are sewn; and before the first step, laid again because a print ran out."""
    for title, typed, told in (("Sew the cross", "spoilt 2 2", "Block 2,2"), ("", "out A 0", "moss check ran out")):
        bench = Bench().open(title) if title else Bench()
        steps = bench.session.plan.steps
        step = next((step.key for step in steps if step.title == title), steps[0].key)
        bench.press("c")
        bench.type(typed)
        bench.press("enter")
        if bench.desk.ask is not None:
            bench.press("enter")  # all its layers
        (one,) = (one for one in bench.record.remarks if one.kind == "noted")
        assert (one.step, one.text.startswith(told)) == (step, True)


def test_a_print_that_ran_out_is_laid_no_more():
    """No moss check is left: two squares of other prints are cut again, and no two alike meet in front. [identity]"""
    bench = Bench()
    had = Counter(name for stack in stacks_of(bench) for name in stack)
    bench.press("c")
    bench.type("out a 0")
    bench.press("enter")
    assert bench.newest.what == "laid"
    now = Counter(name for stack in stacks_of(bench) for name in stack)
    assert now["moss check"] == 0
    assert (now - had).total() == had["moss check"] == 2
    assert with_matches(bench.session.plan.layout).front_matches == 0
    assert bench.said.startswith("moss check ran out. The rest is laid again. Cut again: ")
    assert bench.holds()


def test_a_print_that_ran_out_is_not_cut_again_where_the_others_are_used_up():
    """All three squares of oat stripe and of clay dot are cut that may be: two squares are lacking, so nothing is laid."""

    class Scarce(Bench):
        def _plan(self, measured, layout, texts):
            plan = super()._plan(measured, layout, texts)
            prints = tuple(replace(one, at_most=None if one.name == "moss check" else 3) for one in plan.project.prints)
            return replace(plan, project=replace(plan.project, prints=prints))

    bench = Scarce()
    before = stacks_of(bench)
    bench.press("c")
    bench.type("out A 0")
    bench.press("enter")
    assert bench.said == (
        "moss check ran out. Nothing is laid again: that would take 2 more squares of moss check, and of no other print "
        "enough may be cut. Raise an at_most or add a print in the project file."
    )
    assert (bench.newest.what, bench.newest.text, bench.record.cut_again) == ("noted", bench.said, {})
    assert stacks_of(bench) == before


def test_the_twenty_seventh_print_can_run_out_too():
    """Letters run on after Z: the 27th print is AA wherever prints go by letters."""

    class Many(Bench):
        def _plan(self, measured, layout, texts):
            plan = super()._plan(measured, layout, texts)
            more = tuple(Print(f"print {at}", width=1000.0) for at in range(1, 27))
            return replace(plan, project=replace(plan.project, prints=(*more, *plan.project.prints)))

    bench = Many().open("Sew the cross")
    stack = plan_letters(bench.session.plan.project)
    assert (stack["print 26"], stack["moss check"], stack["clay dot"]) == ("Z", "AA", "AC")
    assert piece_words(bench.session.plan, bench.next, bench.record).endswith("stack moss check, oat stripe")
    bench = Many()
    bench.press("c")
    bench.type("out AA 0")
    bench.press("enter")
    assert bench.said.startswith("moss check ran out.")


@pytest.mark.parametrize(("back", "faces"), [("patchwork", "front"), ("none", "both")])
def test_where_a_back_covers_the_panel_only_its_front_may_not_match(monkeypatch, back, faces):
    """A throw shows both faces of its panel, a cushion with a back of its own the front alone."""

    class Backed(Bench):
        def _plan(self, measured, layout, texts):
            plan = super()._plan(measured, layout, texts)
            return replace(plan, project=replace(plan.project, back=back))

    asked = []

    def laid(*args, **more):
        asked.append(more["faces"])
        return rearrange(*args, **more)

    monkeypatch.setattr(relaying, "rearrange", laid)
    bench = Backed()
    bench.press("c")
    bench.type("out a 0")
    bench.press("enter")
    assert asked == [faces]


@pytest.mark.parametrize(("back", "out", "swapped"), [
    ("patchwork", "", "Changed: 1 alike meet on the front (0 before)."),
    ("none", " 4 alike meet; there is no better way with what is left.",
     "Changed: 2 alike meet (1 in front, 1 at the back; 0 before)."),
])  # fmt: skip
def test_likes_are_counted_where_they_show(monkeypatch, back, out, swapped):
    """Inside a cushion prints may meet: four seams of a lower face all of one print, or one more by a swap. [identity]

    1,1 and 1,2 change places: fronts become oat moss / oat clay, backs clay oat / clay moss.
    """

    class Backed(Bench):
        def _plan(self, measured, layout, texts):
            plan = super()._plan(measured, layout, texts)
            return replace(plan, project=replace(plan.project, back=back))

    def laid(*args, **more):
        found = rearrange(*args, **more)
        blocks = tuple(replace(one, stack=(one.stack[0], "slate")) for one in found.layout.blocks)
        return replace(found, layout=with_matches(replace(found.layout, blocks=blocks)))

    bench = Backed()
    bench.press("c")
    bench.type("1 1, 1 2")
    bench.press("enter")
    assert bench.said == swapped
    monkeypatch.setattr(relaying, "rearrange", laid)
    bench = Backed()
    bench.press("c")
    bench.type("spoilt 1 2")
    bench.press("enter")
    assert bench.said == (
        f"Block 1,2 is spoilt. The rest is laid again. Cut again: 1 of oat stripe, 1 of clay dot.{out}"
    )


def test_blocks_begun_keep_their_stacks_when_a_print_runs_out():
    """Two blocks lie stacked; the other two change, the first keeps its moss check."""
    bench = Bench().open("Spray the wadding")
    before = stacks_of(bench)
    bench.press("space", "space")
    assert sewn_and_begun(bench.session.plan, bench.record)[1] == {(1, 1), (1, 2)}
    bench.press("c")
    bench.type("out A 0")
    bench.press("enter")
    after = stacks_of(bench)
    assert after[:2] == before[:2]
    assert "moss check" not in {name for stack in after[2:] for name in stack}


def test_what_is_cut_again_is_in_the_record():
    """The squares that the words name are kept by print, for the price; before a piece is counted nothing is cut."""
    bench = Bench().open("Sew the cross")
    bench.press("c")
    bench.type("spoilt 2 2")
    bench.press("enter", "enter")
    found = re.findall(r"([0-9]+) of ([a-z ]+)", bench.said)
    assert bench.record.cut_again == {name.strip(): int(count) for count, name in found}
    assert bench.record.cut_again
    assert bench.record.cut_for is None  # the layout stays
    bench.press("u")
    assert bench.record.cut_again == {}


def test_what_was_laid_again_can_be_taken_back():
    """u gives the layout there was."""
    bench = Bench()
    before = stacks_of(bench)
    bench.press("c")
    bench.type("out A 0")
    bench.press("enter")
    assert stacks_of(bench) != before
    bench.press("u")
    if bench.desk.ask is not None:
        bench.press("y")
    assert stacks_of(bench) == before


def test_enough_left_changes_nothing():
    """Two squares of moss check are wanted and two are left. [identity]"""
    bench = Bench()
    bench.press("c")
    bench.type("out A 2")
    bench.press("enter")
    assert bench.wrote == ["opened"]
    assert bench.said == "The blocks not begun take 2 of moss check: the layout stays as it is."


@pytest.mark.parametrize(
    ("choice", "text"), [("2", "1"), ("2", "9 9"), ("2", "0 1"), ("3", "Z 1"), ("3", "A"), ("3", "5")]
)
def test_what_is_not_there_cannot_be_spoilt_or_run_out(choice, text):
    """The question stays, with what was typed, and nothing is written."""
    bench = Bench()
    bench.press("c")
    bench.type(text)
    bench.press("enter")
    assert bench.wrote == ["opened"]
    assert bench.desk.ask.typed.strip() == text.strip()


@pytest.mark.parametrize(
    ("rows", "panels", "sewn"),
    [(0, 0, 0), (1, 0, 2), (3, 0, 4), (4, 0, 6), (9, 0, 12), (9, 1, 12)],
)
def test_joined_blocks_are_known_by_their_seams(rows, panels, sewn):
    """4 × 3 blocks: the first row seam joins two blocks, three join a row, the fourth begins the next. [identity]"""
    plan = demo_plan()
    record = Record(Event(1, "2026-03-01T09:00:00.000Z", 0, 0, 0, "b1", "opened"))
    for step in plan.steps:
        done = {"join/rows": rows, "join/panel": panels}.get(step.key, 0)
        record.steps[step.key] = StepRecord(step.key, pieces_done=done)
    assert len(sewn_and_begun(plan, record)[0]) == sewn


def scarce(**at_most):
    """A bench whose prints may be taken so often; the sheet takes two squares of moss check, three of each other."""

    class Scarce(Bench):
        def _plan(self, measured, layout, texts):
            plan = super()._plan(measured, layout, texts)
            prints = tuple(replace(one, at_most=at_most.get(one.name.split()[0])) for one in plan.project.prints)
            return replace(plan, project=replace(plan.project, prints=prints))

    bench = Scarce()
    bench.press("c")
    bench.type("spoilt 1 2")
    bench.press("enter")
    return bench


@pytest.mark.parametrize(("clay", "again"), [(4, {"oat stripe": 1, "clay dot": 1}), (3, None)])
def test_a_spoilt_square_is_not_cut_beyond_its_stock(clay, again):
    """Three of clay dot lie in the panel: a fourth is cut where four are allowed, else two squares of the others."""
    bench = scarce(clay=clay)
    cut = {name.strip(): int(count) for count, name in re.findall(r"([0-9]+) of ([a-z ]+)", bench.said)}
    assert sum(cut.values()) == 2
    assert "clay dot" not in cut if again is None else cut == again
    assert Counter(name for stack in stacks_of(bench) for name in stack)["clay dot"] <= 3


def test_a_spoilt_square_that_no_stock_is_left_for_is_noted_and_not_cut():
    """All eight squares are all there are: four of clay dot, or of oat stripe, would be one more than three."""
    bench = scarce(moss=2, oat=3, clay=3)
    assert "4 squares of clay dot; 3 are allowed. Raise its at_most to 4" in bench.said
    assert (bench.newest.what, bench.newest.set) == ("noted", None)
    assert bench.record.cut_again == {}
    assert bench.holds()


def test_a_spoilt_block_goes_through_its_steps_again():
    """Spoilt when two crosses are sewn: of one layer alone that is cut again; spray, top and cross come once more."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "space")
    bench.press("c")
    bench.type("spoilt 1 2")
    bench.press("enter")
    assert bench.desk.ask.choices == ("oat stripe, front", "clay dot")
    bench.press("2", "enter")
    again = bench.newest.set["again"]
    assert (again["block"], again["unpick"]) == ("1,2", False)
    assert again["steps"] == ["stack/spray", "stack/top", "quilt/cross"]
    assert bench.newest.set["cut_again"] == {"clay dot": 1} == again["cut"]
    assert "It goes through 3 steps again, before joining." in bench.said
    laid = laid_of(bench.record)
    plan = with_again(bench.session.plan, [msgspec.to_builtins(one) for one in laid.again])
    fresh = [step for step in plan.steps if ":again" in step.key or "cut/again" in step.key]
    assert [(step.title, step.pieces) for step in fresh] == [
        ("Cut again for block 1,2: 1 of clay dot", 1),
        ("Block 1,2 again: spray the wadding", 1),
        ("Block 1,2 again: lay the top squares", 1),
        ("Block 1,2 again: sew the cross", 1),
    ]
    stages = [step.stage for step in plan.steps]
    assert stages.index("join") == plan.steps.index(fresh[-1]) + 1
    bench.press("u")
    assert bench.record.again == []
    assert bench.holds()


def at_the_demo(step):
    """The demo, worked up to this step."""
    plan = demo_plan()
    bench = Bench()
    bench.session._planning._make_plan = lambda *_: plan
    bench.session._planning._made = None
    bench.session.plan = plan
    for one in plan.steps:
        if one.key == step:
            return bench
        bench.press("space", "a", after=400)
        while bench.desk.ask is not None:
            bench.press("escape")
    raise AssertionError(step)


@pytest.mark.parametrize(
    ("typed", "spoilt"), [("2 4", {2, 4}), ("4, 2", {2, 4}), ("1", {1}), ("", {1, 2, 3, 4}), ("1 2 3 4", {1, 2, 3, 4})]
)
def test_several_layers_of_a_block_are_spoilt_in_one_answer(typed, spoilt):
    """Of block 1,2's four layers those named are cut again, and no other; clay dot's 20 squares are all in use. [identity]"""
    bench = at_the_demo("quilt/trim")
    stack = next(block.stack for block in bench.session.plan.layout.blocks if (block.row, block.column) == (1, 2))
    bench.press("c")
    bench.type("spoilt 1 2")
    bench.press("enter")
    assert bench.desk.ask.choices[0] == f"{stack[0]}, front"
    bench.type(typed)
    bench.press("enter")
    wanted = Counter(name for place, name in enumerate(stack, 1) if place in spoilt)
    assert sum(bench.record.cut_again.values()) == len(spoilt)
    assert bench.record.cut_again == wanted or "clay dot" in wanted
    assert "clay dot" not in bench.record.cut_again
    assert bench.newest.set["again"]["cut"] == bench.record.cut_again


@pytest.mark.parametrize("typed", ["5", "0", "2 9", "front"])
def test_a_layer_that_is_not_there_is_asked_for_again(typed):
    """Nothing is written, and what was typed stands there to be mended."""
    bench = at_the_demo("quilt/trim")
    count = len(bench.wrote)
    bench.press("c")
    bench.type("spoilt 1 2")
    bench.press("enter")
    bench.type(typed)
    bench.press("enter")
    assert (bench.desk.ask.typed, len(bench.wrote)) == (typed, count)
    assert "Numbers from 1 to 4" in bench.said


def taken(bench, name, blocks):
    return sum(block.stack.count(name) for block in blocks)


def test_a_print_that_ran_out_is_kept_for_the_cushions_back_first():
    """Before anything is laid: front and back together want so many; fewer go to the back, which lies as it was planned."""
    bench = at_the_demo("stack/count")
    plan, name = bench.session.plan, "moss check"
    front, back = taken(bench, name, plan.layout.blocks), taken(bench, name, plan.backing.blocks)
    assert front > 4 < back + 1  # the demo's back takes squares of it too
    bench.press("c")
    bench.type(f"out A {front + back}")
    bench.press("enter")
    assert bench.said == f"The blocks not begun and the back take {front + back} of {name}: the layout stays as it is."
    bench.press("c")
    bench.type(f"out A {back + 2}")
    bench.press("enter")
    assert f"{back} of it are kept for the back." in bench.said
    # [identity] two are left for the front
    assert sum(stack.count(name) for stack in bench.record.layout) <= 2
    assert bench.newest.what == "laid"


def test_the_back_too_may_want_more_than_is_left():
    """One square is left: none goes to the front, and how many the back wants besides is said."""
    bench = at_the_demo("stack/count")
    back = taken(bench, "moss check", bench.session.plan.backing.blocks)
    bench.press("c")
    bench.type("out A 1")
    bench.press("enter")
    assert f"The back wants {back - 1} more squares of it: lay another print there, away from its like." in bench.said
    assert not any("moss check" in stack for stack in bench.record.layout)


def test_a_back_that_is_begun_has_its_squares():
    """Once its seams are begun only the front's blocks are reckoned with; here they are all joined."""
    bench = at_the_demo("closure/back_join")
    bench.press("c")
    bench.type("out A 3")
    bench.press("enter")
    assert bench.said == "The blocks not begun take 0 of moss check: the layout stays as it is."


def test_a_back_whose_first_seam_is_sewn_has_its_squares():
    """One seam of it sewn, none finished as a step: its squares lie in it, not in the pile."""
    first = next(step.key for step in demo_plan().steps if step.piece == "seam" and step.picture == "back")
    bench = at_the_demo(first)
    bench.press("space", "space", after=60)
    assert bench.record.step(first).pieces_done == 1
    bench.press("c")
    bench.type("out A 3")
    bench.press("enter")
    assert bench.said == "The blocks not begun take 0 of moss check: the layout stays as it is."


def test_what_is_made_again_is_timed_and_counted(tmp_path, monkeypatch, capsys):
    """In the demo, in lines: the block's steps come up before joining, and a step of them is begun and done."""
    folder = tmp_path / "sessions" / "one"
    folder.mkdir(parents=True)
    shutil.copy(DEMO / "project.yaml", folder)
    monkeypatch.chdir(tmp_path)
    keys = ["", "a"] * 16 + ["c", "spoilt 1 2", "", "", "", "", ""]
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(keys) + "\nq\n"))
    assert run(["follow", "--plain", "sessions/one"]) == 0
    out = capsys.readouterr().out
    assert "Next: Cut again for block 1,2" in out
    events = read_journal(next(folder.glob("*.jsonl"))).events
    assert any(event.what == "step_done" and event.step.startswith("cut/again") for event in events)
    monkeypatch.setattr("sys.stdin", io.StringIO("q\n"))
    assert run(["follow", "--plain", "sessions/one"]) == 0
    assert run(["log", "sessions/one", "--markdown", "-o", "-"]) == 0
    assert "Cut again for block 1,2" in capsys.readouterr().out


def test_a_swap_of_joined_blocks_adds_the_unpicking():
    """Two blocks that are sewn together change places: unpicking both is a step, and it is said."""
    bench = at_the_demo("join/rows")
    bench.press("space", "space", after=60)
    bench.press("c")
    bench.type("1 1 1 2")
    bench.press("enter")
    assert bench.newest.set == {"again": {"block": "1,1 and 1,2", "unpick": True}}
    assert "Block 1,1 and 1,2 is joined already: unpicking it is a step now." in bench.said
    again = with_again(bench.session.plan, [bench.newest.set["again"]])
    assert "Unpick block 1,1 and 1,2" in [step.title for step in again.steps]
