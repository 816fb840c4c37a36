"""What the page shows: the screen's own words at every moment, in both tongues, the place lit, waits as moments."""

import re
from importlib import resources
from xml.dom.minidom import parseString

import msgspec
import pytest
from msgspec.structs import replace

from guide.beside.view import Art, view_of
from guide.record.model import Wait
from guide.show import lines
from guide.show.lines import Stood
from guide.show.report_cautions import caution, in_trouble
from guide.show.scene import Scene
from tests.follow.samples_session import Bench
from tests.show import screen_samples as samples
from tests.show.demo import demo_plan

MOMENTS = samples.moments()
KEYS_ONLY = {"enter", "space", "a", "full", "stop", "escape"}  # how a keyboard answers


def seen(scene, stood=None):
    return view_of(scene, Art(), of=1, newest=1, moves=2, stood=stood)[0]


def words(text):
    return set(re.findall(r"[\w/]+", text.lower()))


def told(view):
    """Every word of a view."""
    return words(" ".join(str(one) for one in msgspec.to_builtins(view).values()))


@pytest.mark.parametrize("name", sorted(set(MOMENTS) - {"problem"}))
def test_the_page_says_what_the_screen_says(name):
    """Plain lines, which are printed from the same cards by other code, hold no word that the page lacks."""
    scene = MOMENTS[name]
    view = seen(scene)
    printed = [line for line in lines.standing(scene) if not re.match(r"(Enter|A full stop|[a-z0-9 =-]+): ", line)]
    said = words(" ".join(re.sub(r"^(Caution|Make safe|Step \d+ of \d+): ", "", line) for line in printed))
    # what stands before a line there, the tools (told before the step), and what the screen has at its foot or not at all
    framing = words(
        "step of done only looking your place is kept enter goes back to it the next now in hand about all at"
    )
    framing |= words("measure panel width here m tools join rows stack") | words(" ".join(samples.PRINTS))
    framing |= words(" ".join(tool for step in scene.plan.steps for tool in step.tools))
    assert {one for one in said - told(view) if not one.isdecimal()} <= framing


def test_a_step_has_its_number_place_count_and_stack():
    """Block 7 of 12 of a panel 4 across: row 2, column 3. [identity] 7 = 4 + 3. A line is 5·√2 in = 7 1/16 in."""
    view = seen(MOMENTS["cross"])
    assert (view.title, view.place, view.count) == ("Sew the cross", "row 2, column 3", "6 of 12 blocks")
    assert (view.big, view.big_label) == ("≈ 7 1/16 in", "each line, two a block")
    assert view.began == samples.NOON - 41_000
    assert dict(view.times)["usual"] == "1:02"
    assert [head for head, _ in view.texts] == ["Why", "If it went wrong", "Good enough", "Hint"]
    assert view.button.word == "next block"
    assert (view.button.undo, view.button.pause) == (True, True)


def test_the_stack_is_laid_from_its_last_square_to_the_front():
    """[practice] What is laid first lies at the back; the wadding between the two below and the two above."""
    scene = MOMENTS["cross"]
    block = next(one for one in scene.plan.layout.blocks if (one.row, one.column) == (2, 3))
    front, second, third, last = block.stack
    assert seen(scene).stack == [last, third, "wadding", second, front]


def test_american_words_are_the_project_s():
    """Batting where the project says so; no British word of ours is left."""
    scene = MOMENTS["cross"]
    plan = replace(scene.plan, project=replace(scene.plan.project, words="american"))
    view = seen(replace(scene, plan=plan))
    assert "batting" in view.stack
    assert "wadding" not in view.stack
    assert (view.lang, seen(scene).lang) == ("en-US", "en-GB")


def test_a_wait_is_the_moment_it_is_over():
    """Begun 560 s before now, taking 900 s: over in 340 s; a page counts from the session's clock, not its own."""
    view = seen(MOMENTS["waiting"])
    due = {one.name: one.due for one in view.waits}
    assert due["Spray and centre the wadding"] == samples.NOON + 340_000
    assert due["Wash it"] <= samples.NOON
    assert all("left" not in text for one in view.card or [] for _, text in one.parts)


def test_the_patch_in_hand_is_lit_in_the_drawing_of_the_pages():
    """Row 2, column 3 of the front, framed at its own corner; another block, another drawing."""
    plan, art = demo_plan(), Art()

    def at(pieces):
        record = samples.record(plan, "quilt/cross", pieces=pieces, lap_ms=1)
        return view_of(samples.scene(plan, record), art, of=1, newest=1, moves=2, stood=None)

    view, drawings = at(6)
    own, pitch = drawings[0], plan.number("pitch")
    assert view.drawings == [one.name for one in drawings]
    assert own.alt.startswith("Row 2, column 3 is in hand. Front.")
    lit = re.search(r'<path d="M([\d.]+) ([\d.]+)h([\d.]+)v([\d.]+)h-[\d.]+z"[^>]*data-lit="patch"', own.svg)
    assert [float(one) for one in lit.groups()] == pytest.approx([2 * pitch, pitch, pitch, pitch], abs=0.001)
    assert "<script" not in own.svg
    assert "style=" not in own.svg
    assert at(7)[1][0].name != own.name
    assert at(7)[1][1] == drawings[1]  # the step's own drawing stays


def test_a_seam_in_hand_is_lit_between_its_patches():
    """The demo's row seams: 4 across, 3 a row; after four the fifth is in row 2, between columns 2 and 3. [identity]"""
    plan = demo_plan()
    record = samples.record(plan, "join/rows", pieces=4, lap_ms=1)
    view, drawings = view_of(samples.scene(plan, record), Art(), of=1, newest=1, moves=1, stood=None)
    assert view.place == "row 2, columns 2 and 3"
    pitch = plan.number("pitch")
    way = re.search(r'<path d="M([\d.]+) ([\d.]+)v([\d.]+)"[^>]*data-lit="seam"', drawings[0].svg)
    assert [float(one) for one in way.groups()] == pytest.approx([2 * pitch, pitch, pitch], abs=0.001)


def test_every_step_of_the_demo_has_a_view_and_its_number():
    """Each of its steps, open; the picture that its stage file asks for, or the faces, wherever it asks for one."""
    plan, art, without = demo_plan(), Art(), []
    for step in plan.steps:
        scene = samples.scene(plan, samples.record(plan, step.key, lap_ms=1))
        view, drawings = view_of(scene, art, of=1, newest=1, moves=1, stood=None)
        assert view.title == step.title
        assert view.card is None
        assert all(one.alt for one in drawings), step.key
        types = {parseString(one.svg).documentElement.getAttribute("font-family") for one in drawings}
        assert types <= {"system-ui, sans-serif"}, step.key
        assert len(view.cautions) == len(step.cautions)
        if step.picture and not drawings:
            without.append(step.picture)
    assert without == []


def test_what_is_heard_is_only_what_the_key_changed():
    """After a count: how many, and which is next; not the whole step again."""
    bench = Bench().open("Sew the cross")
    stood = Stood.of(bench.session.desk, bench.record)
    bench.press("space")
    view = seen(_scene(bench), stood)
    assert view.heard == [
        "1 of 4 blocks done, the last in 0:05.",
        "Now block 2 of 4, row 1 column 2, stack oat stripe, clay dot.",
    ]
    assert view.spoken.left == "three more"
    assert view.spoken.place == "row 1, column 2"
    bench.press("space", "space")
    assert seen(_scene(bench)).spoken.left == "the last one"


def _scene(bench):
    session = bench.session
    return Scene(session.plan, session.record, session.desk, bench.clock.read())


def test_a_record_that_is_not_saved_tells_a_page_no_place_of_the_computer():
    """That it is not, that what was shown before is, and where to see to it; no disk, no folder."""
    scene = MOMENTS["problem"]
    scene = replace(scene, desk=replace(scene.desk, problem="/home/maker/a.jsonl could not be written. r to try again"))
    view = seen(scene, Stood.of(replace(scene.desk, problem=""), scene.record))
    said = " ".join(text for row in view.card for _, text in row.parts)
    assert said == "A record is not saved yet: see to it at the computer. What the screen showed before is saved."
    for told in (said, *view.heard, view.said):
        assert not re.search(r"/home|sessions/", told)
    assert view.heard


def test_a_card_s_cautions_stand_before_its_rows_and_are_spoken():
    """Of the work before its first step, of a step that asks to be read, of a trouble: whole, and none twice."""
    plan = MOMENTS["start"].plan
    cross = next(one for one in plan.steps if one.key == "quilt/cross")
    named = {"start": plan.cautions, "why": cross.cautions, "caution": ("pins",)}
    for name, cautions in named.items():
        assert seen(MOMENTS[name]).cautions == [caution(one, "british") for one in cautions], name
    scene = MOMENTS["trouble"]
    first, _ = in_trouble(scene.plan, scene.record.doing_why, "machine")
    assert first
    assert seen(scene).cautions == list(first)
    for view in (seen(MOMENTS[one]) for one in (*named, "trouble")):
        assert view.cautions
        assert not set(view.cautions) & {text for row in view.card for _, text in row.parts}


def test_the_cautions_come_first_in_the_page():
    """Before the number, the title and the figures, and what a card says: for eyes, and for who listens."""
    page = (resources.files("guide.beside") / "page.html").read_text(encoding="utf-8")
    order = re.findall(r'id="(cautions|number|title|big|card|doing|figures)"', page)
    assert order[0] == "cautions"
    assert len(order) == 7


def test_no_press_may_be_made_while_the_computer_asks_for_words():
    """A note, a size, a record that is not saved, locked keys: the page says where to look."""
    for name in ("note", "measure", "swap", "problem"):
        button = seen(MOMENTS[name]).button
        assert (button.word, button.undo, button.pause) == ("", False, False)
        assert "computer" in button.why


def test_a_moment_that_has_not_changed_gives_the_same_view():
    """So that a page is told nothing each second: what runs is a moment it began at."""
    scene = MOMENTS["waiting"]
    later = replace(scene, now=samples.reading(1_000))
    assert seen(later) == seen(scene)
    assert seen(replace(scene, record=replace(scene.record, waits=[Wait("wash/load", 41, samples.reading())]))) != seen(
        scene
    )
