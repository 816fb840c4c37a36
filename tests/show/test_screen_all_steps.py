"""Every step of six projects on four sizes of screen: letters with their prints, both faces, nothing needed pushed off."""

import re
from functools import cache

import pytest
from msgspec.structs import replace

from guide.commands.help import page_lines
from guide.follow.keys import decide
from guide.follow.model import Desk, Moment
from guide.plan.parts import letters
from guide.read.stage_keys import map_of
from guide.record.model import Event, Reading, Record, StepRecord
from guide.show.cards import card_of
from guide.show.scene import Scene, remembering
from guide.show.scene import Words as AsTold
from guide.show.screen.page import GIVES_WAY, page
from guide.show.screen.place import BOTH, stack_in_hand, views_of
from guide.show.screen.text import flat
from tests.show.demo import demo_plan
from tests.show.test_pages_kinds import plan_of

NOW = Reading(1_795_174_200_000, 60, 10_000_000, 10_000_000, "b")
SIZES = ((40, 12), (80, 24), (100, 30), (120, 40))
THROW = {"kind": "throw", "closure": "none", "back": None, "pad": None, "extras": None}
PROJECTS = {
    "the demo": None,
    "envelope": {"closure": "{type: envelope, overlap: 4 in, hem: 1 in, double_hem: true}"},
    "plain back, no wadding": {"back": "{plain: clay dot}", "wadding": "none"},
    "metric, six at once": {"units": "metric", "make": "6"},
    "a throw": THROW | {"grid": "{across: 6, down: 8}"},
    "a large throw": THROW | {"grid": "{across: 14, down: 12}"},
}


@cache
def plan(name):
    changes = PROJECTS[name]
    return demo_plan() if changes is None else plan_of(changes)


WORDS = remembering(AsTold())


def scene(name, step, done, view="step"):
    """A practised maker in the middle of a step."""
    head = Event(1, "2026-11-20T11:00:00.000Z", 60, 0, 0, "b", "opened", mode="real")
    before = plan(name).steps[: plan(name).steps.index(step)]
    steps = {one.key: StepRecord(one.key, "done", one.pieces) for one in before}
    steps[step.key] = StepRecord(step.key, "open", done)
    record = Record(head, doing="working", current=step.key, steps=steps, last=NOW)
    return Scene(plan(name), record, Desk(view=view), NOW, WORDS)


@cache
def at_step(name, key, done, size, view="step"):
    """A step's screen, drawn once for all that is asked of it."""
    (step,) = (one for one in plan(name).steps if one.key == key)
    return page(scene(name, step, done, view), *size)


def letters_in(drawn):
    """The letters of patches and stacks in sight, by their style."""
    return {
        text.strip()
        for line in drawn.lines
        for style, text in line
        if style.startswith("class:patch") and re.fullmatch(r" *[A-Z] *", text)
    }


def words_of(drawn):
    return "\n".join(flat(line) for line in drawn.lines)


def every_step(name):
    return [(step, done) for step in plan(name).steps for done in {0, step.pieces // 2}]


def shows(text, needed):
    """Whether words are in sight, wherever lines are broken between them."""
    return " ".join(needed.split()) in " ".join(text.split())


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("name", sorted(PROJECTS))
def test_letters_stand_with_their_prints(name, size):
    """Wherever a letter stands, on the step or its drawing, its print's name stands too."""
    named = {letter: print_ for print_, letter in letters(plan(name).project).items()}
    met = 0
    for step, done in every_step(name):
        for view in ("step", "drawing"):
            drawn = at_step(name, step.key, done, size, view)
            seen, text = letters_in(drawn), words_of(drawn)
            met += len(seen)
            assert all(named[letter] in text for letter in seen), (step.key, view, text)
    assert met > 20


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("name", sorted(PROJECTS))
def test_both_faces_are_seen_where_both_are_named(name, size):
    """Side by side on the step itself from 80 × 24, below that by one key; the place in hand on both."""
    asked = [(step, done) for step, done in every_step(name) if map_of(step.picture) == BOTH]
    assert {step.id for step, _ in asked} >= {"lay", "recheck"}
    for step, done in asked:
        view = "step" if size >= (80, 24) else "drawing"
        assert len(views_of(scene(name, step, done, view), step)) == 2
        text = words_of(at_step(name, step.key, done, size, view))
        assert re.search(r"front +back", text), (step.key, text)


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("name", sorted(PROJECTS))
def test_a_stack_is_seen_in_laying_order(name, size):
    """Steps that lay a stack name its squares from the foot up; at 40 × 12 by one key."""
    laid = [(step, done) for step, done in every_step(name) if map_of(step.picture) in {"stack", "wadding"}]
    for step, done in laid:
        view = "step" if size >= (80, 24) else "drawing"
        stack = stack_in_hand(scene(name, step, done, view), step)
        assert stack
        text = words_of(at_step(name, step.key, done, size, view))
        order = [rf"\b{place} .{{3}} {re.escape(what)}" for place, what in enumerate(reversed(stack), 1)]
        if plan(name).project.wadding:
            order.insert(len(stack) - plan(name).project.above, r"[^\w\s]{3} wadding")
        seen = [re.search(one, text) for one in order]
        assert all(seen), (step.key, order, text)
        assert [one.start() for one in reversed(seen)] == sorted(one.start() for one in seen), (step.key, text)


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("name", sorted(PROJECTS))
def test_nothing_needed_is_pushed_off(name, size):
    """What to do, the first number, the first caution, the count and the keys' key are there at every size."""
    for step, done in every_step(name):
        at = scene(name, step, done)
        text = words_of(at_step(name, step.key, done, size))
        assert shows(text, step.title)
        begins = " ".join(at.words.texts(at.plan, step)["do"].split()[:3])
        assert shows(text.replace("\n", " "), begins) or _beside_a_drawing(text, begins), (step.key, text)
        figures = at.words.shown(at.plan, step)
        if figures and step.piece != "pile":
            value, label = figures[0]
            assert label[:12] in text, (step.key, label, text)
            assert value in text or "█" in text
        assert ("▲" in text) == bool(step.cautions), (step.key, text)
        if step.pieces > 1:
            assert f"{done} of {step.pieces}" in text
        assert "? keys" in text


def _beside_a_drawing(text, words):
    """Words that go on in the next line, a drawing to the right of both."""
    left = " ".join(
        " ".join(re.split(r" {2,}[┌│├└░▒▓╔╚║━┄═─▸◂0-9a-z]", line.strip())[0] for line in text.splitlines()).split()
    )
    return words in left


def test_how_many_of_each_print_the_piles_hold():
    """The demo's 48 squares in stacks and 12 in the back are 20 of each print. [identity] 3 × 20 = 48 + 12"""
    pile = next(step for step in demo_plan().steps if step.piece == "pile")
    text = words_of(page(scene("the demo", pile, 0), 80, 24))
    for letter, print_ in (("A", "moss check"), ("B", "oat stripe"), ("C", "clay dot")):
        assert re.search(rf"20 +{letter} {print_}", text)
    six = next(step for step in plan("metric, six at once").steps if step.piece == "pile")
    assert re.search(r"120 +A moss check", words_of(page(scene("metric, six at once", six, 0), 80, 24)))


def test_likes_that_meet_are_marked():
    """Two neighbouring blocks given one print: × between them on the face where they meet, and said."""
    lay = next(step for step in demo_plan().steps if step.id == "recheck")
    at = scene("the demo", lay, 0)
    at.record.layout = [list(block.stack) for block in demo_plan().layout.blocks]
    assert "×" not in words_of(page(at, 80, 24))
    at.record.layout[1][0] = at.record.layout[0][0]
    text = words_of(page(at, 80, 24))
    assert "│░A░×░A░│" in text
    assert "× 1 alike meets" in text or "alike meet" in text


def test_what_gives_way_is_written_down():
    """The order is the one the documentation tells makers."""
    said = {
        "head": "project",
        "coming": "comes next",
        "thread": "line of stages",
        "times": "times",
        "help": "line of keys",
    }
    text = " ".join(" ".join(page_lines("machine", 80)).split())
    places = [text.index(said[name]) for name in GIVES_WAY if name in said]
    assert places == sorted(places)
    assert GIVES_WAY[len(said) :] == ("caution", "waits", "body", "answer", "row", "title")


def test_the_drawing_is_looked_at_and_left_by_one_key():
    """d shows it, d or the big key leaves it; nothing is written. In lines it is told row by row."""
    step = next(one for one in demo_plan().steps if one.id == "lay")
    at = scene("the demo", step, 5)
    turn = decide(Moment(at.plan, at.record, at.desk, NOW, "d"))
    assert (turn.event, turn.desk.view) == (None, "drawing")
    for key in ("d", "space"):
        again = decide(Moment(at.plan, at.record, turn.desk, NOW, key))
        assert (again.event, again.desk.view) == (None, "step")
    told = ["".join(text for _, text in row.parts) for row in card_of(scene("the demo", step, 5, "drawing")).spoken]
    assert told[0] == "Front, row 1: moss check, clay dot, oat stripe, moss check."
    assert told[3] == "Back, turned, row 1: moss check, clay dot, oat stripe, moss check."


def far(name, step, done):
    at = scene(name, step, done)
    return Scene(at.plan, at.record, Desk(far=True), NOW, WORDS)


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("name", sorted(PROJECTS))
def test_across_the_room_there_is_a_title_a_number_a_place_and_a_time(name, size):
    """Nothing but these, as large as they go; at 40 × 12 the number at least. The keys stay, and so does what is said."""
    for step, done in every_step(name):
        at = far(name, step, done)
        text = words_of(page(at, *size))
        figures = at.words.shown(at.plan, step)
        if figures and step.piece != "pile":
            assert figures[0][1][:12] in text
            assert "█" in text or figures[0][0] in text
        if size == (40, 12):
            assert shows(text, step.title)
        else:
            assert sum("▀" in line or "█" in line for line in text.splitlines()) >= 3, (step.key, text)
        assert "near" in text
        assert "usual" not in text


# The demo's "Sew the cross" needs 7 1/16 in; what 3 by 5 dots of our own make of a few characters, two rows to a line.
SEVEN = ("██████", "    ██", "    ██", "  ██  ", "  ██  ")


def test_large_figures_are_the_figures():
    """A whole number in five rows, and a fraction as tall; a low one in three. [identity] read off the dots by eye"""
    from guide.show.screen.text import ASCII, LOW, STITCHED, TALL, large, spelt

    assert (
        tuple(row[0][1] for row in [[(style, text.ljust(6))] for ((style, text),) in large("7", 20, STITCHED)]) == SEVEN
    )
    drawn = large("7 1/16 in", 40, STITCHED)
    assert len(drawn) == TALL
    assert all(row[0][1][8:].strip() for row in drawn)  # the fraction is in every row
    assert len(large("7 1/16 in", 40, STITCHED, LOW)) == LOW
    assert large("7 1/16 in", 12, STITCHED) is None
    assert large("7 1/16 in", 40, ASCII) is None
    assert large("as planned", 40, STITCHED) is None
    assert [row[0][1] for row in spelt("Lo", 20, STITCHED)] == ["█   ▄▀▄", "█   █ █", "▀▀▀  ▀"]
    assert spelt("a title that goes on and on over many lines", 20, STITCHED) is None


def test_the_number_is_large_at_eighty_by_twenty_four():
    """Of the demo's steps that have a length or a count first, most have it large on the step itself.

    Where what to do, the caution and both faces fill the screen they go before it, as what gives way says.
    """
    shown = [(step, page(scene("the demo", step, 0), 80, 24)) for step in demo_plan().steps if step.shows]
    assert sum("▀" in words_of(drawn) or "██" in words_of(drawn) for _, drawn in shown) > len(shown) * 0.7


def test_far_is_one_key_and_holds_while_work_goes_on():
    """z shows it, presses leave it so, z again the step; nothing is written."""
    step = next(one for one in demo_plan().steps if one.id == "cross")
    at = scene("the demo", step, 3)
    turn = decide(Moment(at.plan, at.record, at.desk, NOW, "z"))
    assert (turn.event, turn.desk.far) == (None, True)
    counted = decide(Moment(at.plan, at.record, turn.desk, NOW, "space"))
    assert (counted.event["what"], counted.desk.far) == ("piece_done", True)
    assert not decide(Moment(at.plan, at.record, turn.desk, NOW, "z")).desk.far


def test_a_steps_own_picture_has_its_lengths():
    """Zip, outer seam, corner: drawn beside the step with the plan's own figures; in lines the same is said. [identity]"""
    by_id = {step.id: step for step in demo_plan().steps}
    zip_ = words_of(page(scene("the demo", by_id["zip_seam"], 0), 80, 24))
    assert "━━━━┄┄┄┄┄┄┄┄┄━━━━  sewn 1 1/2 in at each end" in zip_
    assert "tacked 18 in between" in zip_
    assert "zip 19 in, slider in" in zip_
    outer = words_of(page(scene("the demo", by_id["outer"], 0), 80, 24))
    assert "│ ╔═══════════╗ │  1/2 in from the edge" in outer
    snips = next(step for step in demo_plan().steps if step.picture == "snips_outer")
    assert "a slit, to 1/8 in of the turn" in words_of(page(scene("the demo", snips, 0), 80, 24))
    told = [
        "".join(text for _, text in row.parts)
        for row in card_of(scene("the demo", by_id["zip_seam"], 0, "drawing")).spoken
    ]
    assert told == [
        "Sewn 1 1/2 in at each end; tacked 18 in between; zip 19 in, slider in; opening 18 in; marked 1/2 in from its ends."
    ]
    envelope = next(step for step in plan("envelope").steps if step.id == "envelope_trim")
    assert "1 the under panel first" in words_of(page(scene("envelope", envelope, 0), 80, 24))


def test_a_picture_is_never_torn_by_its_words():
    """Where it stands beside a step at 80 by 24, its rows follow each other."""
    from guide.show.screen.sketch import sketch, sketched

    for name in PROJECTS:
        for step in plan(name).steps:
            at = scene(name, step, 0)
            if rows := sketch(at, step):
                assert len(sketched(at, step, 48, 12)) == len(rows), (name, step.key)


def test_pressing_shows_which_way_and_a_zip_its_own_lengths():
    """Seams pressed all at once go alternate ways, so the ways are drawn; the zip's seam is pressed open for the zip."""
    by_id = {step.id: step for step in demo_plan().steps}
    pressed = next(step for step in demo_plan().steps if step.picture == "press" and step.piece == "seam")
    assert "first row: to the right" in words_of(page(scene("the demo", pressed, 0), 80, 24))
    zip_ = words_of(page(scene("the demo", by_id["zip_press"], 0), 80, 24))
    assert "zip 19 in, slider in" in zip_
    assert "first row" not in zip_


@pytest.mark.parametrize("name", sorted(PROJECTS))
def test_no_two_numbers_are_called_alike_for_want_of_room(name):
    """At 80 × 24 the labels of a step's numbers tell them apart, cut or not."""
    met = 0
    for step in plan(name).steps:
        drawn = at_step(name, step.key, 0, (80, 24))
        labels = [
            text.strip() for line in drawn.lines for style, text in line if style == "class:label" and text.strip()
        ]
        cut = [one for one in labels if one.endswith("…")]
        met += len(labels)
        assert len(set(cut)) == len(cut), (step.key, cut)
    assert met > 30


@pytest.mark.parametrize("name", sorted(PROJECTS))
def test_the_key_that_swaps_blocks_stands_where_likes_are_looked_for(name):
    """Told to swap what meets its like, a maker finds the key for it on the last line."""
    for step in (one for one in plan(name).steps if map_of(one.picture) == BOTH):
        keys = words_of(at_step(name, step.key, 0, (80, 24))).splitlines()[-1]
        assert ("c swap two" in keys) is (step.stage in {"stack", "quilt"}), step.key


def test_how_deep_to_snip_is_drawn_where_it_is_snipped():
    """Lint is rolled off and the piece felt over along the same edge, but nothing is cut there."""
    drawn = {
        step.key for step in demo_plan().steps if "3/8 in deep" in words_of(at_step("the demo", step.key, 0, (80, 24)))
    }
    assert drawn == {"snip/rows", "snip/panel", "assemble/snips"}


def test_the_words_of_a_block_in_several_steps_leave_its_number_room():
    """One press for two steps at 80 × 24: whatever is said beneath, the first number is large and the second stands."""
    (step,) = (one for one in demo_plan().steps if one.id == "wadding")
    at = scene("the demo", step, 2)
    at.record.way = "block"
    at.record.steps["stack/top"] = StepRecord("stack/top", "aside", 2)
    for said in ("", "Taken back.", "One block at a time, one press when it is through: " * 2):
        text = words_of(page(replace(at, desk=replace(at.desk, said=said)), 80, 24))
        assert "One block through 2 steps" in text
        assert re.search(r"in +wadding", text), text
        assert re.search(r"[▀▄█]{2,}.*in +wadding", text) or said.startswith("One"), text
        assert "bare all round" in text or said.startswith("One"), text
