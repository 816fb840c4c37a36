"""The screen's parts one by one: stitches, sizes set large, patches, and text."""

import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from guide.commands.follow import way
from guide.follow.model import Desk
from guide.plan.model import Quantity
from guide.record.model import StepRecord
from guide.show.scene import clock
from guide.show.screen.page import page
from guide.show.screen.sketch import Panel, draw
from guide.show.screen.text import (
    ASCII,
    LOW,
    STITCHED,
    TALL,
    Stretch,
    clip,
    ends,
    flat,
    large,
    length,
    loop,
    marks_for,
    pieces,
    stages,
    wrap,
)
from guide.show.screen.window import prints, table
from guide.show.table import cells, clean
from guide.show.words import shown_values
from tests.show import screen_samples as samples

QUICK = settings(max_examples=60, deadline=None)


# Stitches


@QUICK
@given(st.integers(1, 400), st.integers(10, 200), st.data())
def test_a_row_of_stitches_is_true_to_the_count(of, room, data):
    """One stitch a piece where they fit: as many sewn as are done; and only a finished row has no needle."""
    done = data.draw(st.integers(0, of))
    drawn = flat(pieces(done, of, room, STITCHED))
    assert cells(drawn) <= room
    assert ("⟩" in drawn) == (done < of)
    assert ("●" in drawn) == (done == of)
    if 2 * of + 2 <= room:
        assert drawn.count("━") == done


@QUICK
@given(st.integers(1, 400), st.integers(10, 120))
def test_a_row_grows_and_never_shrinks(of, room):
    """A piece more is never a stitch less, however many pieces a stitch stands for."""
    sewn = [flat(pieces(done, of, room, STITCHED)).count("━") for done in range(of + 1)]
    assert sewn == sorted(sewn)


NAMES = ["cut", "stack", "quilt", "join", "snip", "closure", "assemble", "wash"]


@pytest.mark.parametrize("room", [38, 45, 58, 60, 78, 100, 118, 200])
@pytest.mark.parametrize("here", range(8))
def test_the_seam_fits_and_names_the_stage_in_hand(room, here):
    """At any width the needle is in the seam, and its stage is named under it."""
    stretches = [Stretch(name, 1.0 if i < here else 0.5 * (i == here), 3.0, i == here) for i, name in enumerate(NAMES)]
    thread, names = stages(stretches, room, STITCHED)
    assert length(thread) <= room
    assert length(names) <= room
    at = flat(thread).index("⟩")
    assert flat(names).index(NAMES[here]) <= at
    if here + 1 < 8 and NAMES[here + 1] in flat(names):
        assert at < flat(names).index(NAMES[here + 1])


@pytest.mark.parametrize(
    ("hours", "said"),
    [(0, "10:41"), (13, "23:41"), (14, "tomorrow 00:41"), (-11, "yesterday 23:41"), (48, "3 March 10:41")],
)
def test_a_moment_on_another_day_says_so(hours, said):
    """At 10:41 on 1 March, half an hour ahead of UTC: fourteen hours on it is tomorrow. [identity]"""
    scene = samples.moments()["cross"]
    assert clock(scene, scene.now.wall + hours * 3_600_000) == said


def test_a_seam_that_is_finished_has_no_marked_line():
    """All stages done: sewn from end to end."""
    thread, _ = stages([Stretch(name, 1.0, 2.0) for name in NAMES], 78, STITCHED)
    assert set(flat(thread)) == {"━", " "}


def test_a_wait_is_a_loop_that_fills_and_is_whole_only_when_over():
    """A quarter, a half, three quarters, whole: and never whole a moment too soon."""
    assert [loop(share, STITCHED) for share in (0, 0.24, 0.25, 0.5, 0.75, 0.999, 1.0, 1.7)] == list("◔◔◑◕◕◕●●")


# Sizes set large


@pytest.mark.parametrize("text", ["7 1/16 in", "≈ 18 1/4 in", "1/2 in", "17.9 cm", "0:41", "12", "350 mm"])
def test_a_size_is_set_large_in_five_rows(text):
    """A size as makers write it stands five rows high, its unit beside it in letters."""
    rows = large(text, 60, STITCHED)
    assert rows is not None
    assert len(rows) == 5
    unit = re.search(r"[a-z]+$", text)
    assert (unit[0] if unit else "") in flat(rows[4])
    assert ("≈" in flat(rows[2])) == text.startswith("≈")


def test_every_figure_looks_different():
    """No two figures could be taken for one another."""
    drawn = {tuple(flat(row) for row in large(figure, 60, STITCHED)) for figure in "0123456789"}
    assert len(drawn) == 10


@pytest.mark.parametrize("text", ["none", "two and a half", "", "moss check"])
def test_words_are_not_set_large(text):
    """What is no size stays as it is written."""
    assert large(text, 60, STITCHED) is None


def test_a_size_too_wide_is_not_cut():
    """Half a number would be a wrong number: too little room gives none."""
    assert large("128 15/16 in", 30, STITCHED) is None


# Patches


@pytest.mark.parametrize("marks", [STITCHED, ASCII])
@QUICK
@given(st.tuples(st.integers(1, 40), st.integers(1, 50)), st.tuples(st.integers(5, 60), st.integers(3, 30)), st.data())
def test_the_panel_fits_and_shows_the_patch_in_hand(marks, panel, room, data):
    """However large the panel and small the room: the block in hand is in the picture, outlined double."""
    (across, down), (width, height) = panel, room
    here = (data.draw(st.integers(0, down - 1)), data.draw(st.integers(0, across - 1)))
    rows = tuple(tuple("x" if (r, c) == here else "A" for c in range(across)) for r in range(down))
    drawn = draw(Panel(rows, frozenset(), here), width, height, marks)
    assert len(drawn) <= height
    assert all(length(row) <= width for row in drawn)
    text = [flat(row) for row in drawn]
    edge = re.escape(marks.double[1])
    assert any(re.search(rf"{edge}[^{edge}]*x *{edge}", row) for row in text)


def test_prints_are_told_apart_by_letter_and_shade():
    """Six prints side by side: six letters, six shades."""
    made = frozenset((0, column) for column in range(6))
    row = flat(draw(Panel((tuple("ABCDEF"),), made), 60, 3, STITCHED)[1])
    assert re.findall(r"[A-F]", row) == list("ABCDEF")
    assert len({patch.strip()[0] for patch in row.strip("│").split("│")}) == 6


# Text

PAYLOAD = "\x1b[31mred\x1b]0;title\x07\x9b2J\u202eback\u2028line\x00"


def test_no_text_can_steer_the_terminal():
    """Escape, operating system command, C1, direction overrides and line separators are written out."""
    cleaned = clean(PAYLOAD)
    assert not re.search("[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2028\u2029]", cleaned)
    assert "\\u001b[31mred" in cleaned


def test_a_plan_full_of_payloads_draws_no_control_character():
    """Title, prints, steps, texts, notes: whatever a file says, the screen holds printable text only."""
    from msgspec.structs import replace

    plan = samples.plan(prints=(PAYLOAD, "b" + PAYLOAD, "c"), title=PAYLOAD)
    steps = tuple(
        replace(one, title=PAYLOAD, texts=dict.fromkeys(one.texts, PAYLOAD), piece=PAYLOAD) for one in plan.steps
    )
    plan = replace(plan, steps=steps)
    for name, moment in samples.moments().items():
        drawn = page(replace(moment, plan=plan, saved_in=PAYLOAD), 80, 24)
        text = "".join(flat(line) for line in drawn.lines)
        assert not re.search("[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2028\u2029]", text), name


@QUICK
@given(st.text(alphabet="ab\u00e9\u5e03\u0301 \n", max_size=200), st.integers(1, 60))
def test_wrapping_loses_no_word_and_keeps_the_width(text, room):
    """Wide and combining letters count as the terminal counts them; every letter is still there."""
    rows = wrap(text, room)
    assert all(cells(row) <= max(room, 2) for row in rows)
    assert "".join("".join(rows).split()) == "".join(text.split())


@QUICK
@given(st.text(alphabet="ab\u5e03 ", max_size=60), st.text(alphabet="ab\u5e03", max_size=20), st.integers(1, 60))
def test_a_line_with_two_ends_keeps_its_width(left, right, room):
    """The right end stands; the left gives way."""
    assert length(ends([("", left)], [("", right)], room)) <= max(room, 0)
    assert length(clip([("", left)], room, "…")) <= room


def test_every_style_a_view_uses_is_in_the_table():
    """No part of the screen is left without a look; a print's letter may have the print's own besides."""
    known = {f"class:{name}" for name in table("many")} | {
        f"class:{name}" for name in prints(dict.fromkeys("ABC", "#7a8b6c"))
    }
    used = {
        one
        for moment in samples.moments().values()
        for size in ((40, 12), (80, 24), (120, 40))
        for line in page(moment, *size).lines
        for style, _ in line
        for one in style.split()
    }
    assert used <= known


# Which face


@pytest.mark.parametrize(
    ("given_", "expected"),
    [
        ({}, "screen"),
        ({"plain": True}, "lines"),
        ({"env": {"TERM": "xterm", "ACCESSIBLE": "1"}}, "lines"),
        ({"env": {"TERM": "xterm", "ACCESSIBLE": "0"}}, "screen"),
        ({"env": {"TERM": "dumb"}}, "lines"),
        ({"env": {}}, "lines"),
        ({"stdin_tty": False}, "lines"),
        ({"stdout_tty": False}, "lines"),
    ],
)
def test_the_face_follows_the_terminal(given_, expected):
    """Full screen only on a terminal that can, and never when plain lines were asked for."""
    asked = {"plain": False, "env": {"TERM": "xterm-256color"}, "stdin_tty": True, "stdout_tty": True} | given_
    assert way(**asked) == expected


@pytest.mark.parametrize(
    ("encoding", "marks"),
    [("utf-8", STITCHED), ("ascii", ASCII), ("latin-1", ASCII), (None, ASCII), ("nonsense", ASCII)],
)
def test_a_terminal_without_unicode_gets_the_ascii_alphabet(encoding, marks):
    """What cannot be encoded is not drawn."""
    assert marks_for(encoding) is marks


@pytest.mark.parametrize("size", [(1, 1), (2, 1), (1, 5), (10, 2), (39, 12), (40, 11), (200, 3)])
def test_a_tiny_terminal_is_told_so(size):
    """Below 40 by 12 the screen says what it needs, in whatever room there is, down to one cell."""
    width, height = size
    drawn = page(samples.moments()["cross"], width, height)
    assert len(drawn.lines) <= height
    assert all(length(line) <= width for line in drawn.lines)
    assert flat(drawn.lines[0])[:1] == "N"


PANELS = st.tuples(st.integers(1, 50), st.integers(1, 50), st.integers(1, 4), st.integers(1, 30))
ROOMS = st.tuples(st.integers(1, 220), st.integers(1, 70))


@settings(max_examples=40, deadline=None)
@given(PANELS, ROOMS, st.booleans(), st.data())
def test_any_project_draws_at_any_size(panel, room, beginner, data):
    """From one block to a throw of 50 by 50 in thirty prints, at any step, in any terminal: it fits and does not fall."""
    across, down, make, prints = panel
    plan = samples.plan(across, down, make, tuple(f"print {number}" for number in range(prints)))
    step = data.draw(st.sampled_from(plan.steps))
    record = samples.record(plan, step.key, pieces=min(3, step.pieces - 1))
    record.steps[step.key].pieces_done = data.draw(st.integers(0, max(0, step.pieces - 1)))
    drawn = page(samples.scene(plan, record, Desk(beginner=beginner)), *room)
    assert len(drawn.lines) <= room[1]
    assert all(length(line) <= room[0] for line in drawn.lines)
    assert 0 <= drawn.cursor[0] < room[0]
    assert 0 <= drawn.cursor[1] < room[1]


@pytest.mark.parametrize("text", ["Sew ≈ 7 1/16 in at most", "Sew \u2248\u00a07\u00a01/16\u00a0in at most"])
@pytest.mark.parametrize("room", range(11, 24))
def test_a_length_is_never_broken_over_two_lines(text, room):
    """At every width `≈ 7 1/16 in` stands on one line, with blanks a terminal can show. [practice]"""
    assert any("≈ 7 1/16 in" in row for row in wrap(text, room))


@pytest.mark.parametrize("fmt", ["html", "markdown"])
def test_lengths_hold_together_on_pages_and_are_plain_elsewhere(fmt):
    """On a page the blank inside a length is a no-break one; what a program reads holds plain blanks."""
    from guide.show.pages.plan import render_plan
    from guide.show.report import plain_report, report
    from tests.show.demo import demo_plan

    data = report(demo_plan(), texts=True)
    assert "\u00a0" not in json.dumps(plain_report(data), ensure_ascii=False)
    assert any("7 1/16 in" in text for step in data.steps for text in step.texts.values())
    page = re.sub(r"<svg.*?</svg>", "", render_plan(data, fmt), flags=re.DOTALL)  # a drawing breaks no line
    assert "7\u00a01/16\u00a0in" in page
    assert not re.search(r"\d \d+/\d+ in\b", page)


def _step_screen(width, height, pieces=1, done=0, **changes):
    """The lines of a step at the machine with its text, figures and cautions changed."""
    moment = samples.moments()["piece"]
    step = next(one for one in moment.plan.steps if one.key == "quilt/cross")
    plan = replace(
        moment.plan,
        steps=tuple(replace(one, pieces=pieces, **changes) if one == step else one for one in moment.plan.steps),
    )
    record = replace(moment.record, steps=moment.record.steps | {step.key: StepRecord(step.key, "open", done)})
    return [flat(row) for row in page(replace(moment, plan=plan, record=record), width, height).lines]


def test_two_cautions_stand_where_there_is_room_and_the_others_are_counted():
    """Three cautions and empty lines at 80 by 24: a third is read over, so two are shown and w has all. [practice]"""
    text = " ".join(" ".join(_step_screen(80, 24, cautions=("needle", "pins", "machine"))).split())
    assert "Fingers clear of the needle" in text
    assert "Count pins out and count them in again" in text
    assert "new noise" not in text
    assert "… 1 more: w" in text


@pytest.mark.parametrize("width", range(40, 64))
@pytest.mark.parametrize("pieces", [2, 9, 10, 13, 16, 24])
def test_few_pieces_have_a_stitch_each_or_none(width, pieces):
    """Ten strips never show as nine marks. [identity]"""
    row = next(
        one for one in _step_screen(width, 12, pieces=pieces) if re.search(rf"(?<!step 1)\b0 of {pieces}\b", one)
    )
    assert row.count("┄") + row.count("⟩") in {0, pieces}


def test_ten_fit_on_the_smallest_screen():
    """At 40 columns ten pieces have their ten marks."""
    row = next(one for one in _step_screen(40, 12, pieces=10) if "0 of 10" in one)
    assert row.count("┄") + row.count("⟩") == 10


def test_a_figure_left_out_leaves_a_sign():
    """On the smallest screen three figures do not fit: the last that stands ends in an ellipsis."""
    sizes = ("panel_width", "panel_height", "row_seam_run", "zip_cut", "zip_opening")
    shows = tuple((name, f"so {name}") for name in sizes)
    rows = [one for one in _step_screen(40, 12, shows=shows) if " so " in one]
    assert 0 < len(rows) < 5
    assert rows[-1].endswith("…")


@pytest.mark.parametrize(("count", "shown"), [(0, []), (1, [("1", "bobbin to wind")]), (2, [("2", "bobbins to wind")])])
def test_one_is_said_as_one_and_none_not_at_all(count, shown):
    """Beside a step: 1 bobbin, 2 bobbins, and no figure for what is not there. [identity]"""
    plan = samples.moments()["piece"].plan
    bobbins = Quantity("thread_bobbins", float(count), "count", formula="…")
    plan = replace(plan, quantities=plan.quantities | {"thread_bobbins": bobbins})
    assert shown_values(plan, replace(plan.steps[0], shows=(("thread_bobbins", "bobbins to wind"),))) == shown


def test_one_choice_is_asked_for_by_its_number():
    """A question with a single answer offers 1, not 1-1."""
    moment = samples.moments()["choose"]
    ask = replace(moment.desk.ask, choices=("the last took another time",))
    last = flat(page(replace(moment, desk=replace(moment.desk, ask=ask)), 80, 24).lines[-1])
    assert last.strip().startswith("1 choose")


def test_letters_of_a_large_throw_are_drawn_in_runs_and_likes_stand_apart():
    """A row of one kind is one fragment, so that a key's repaint costs little; of likes each letter alone is reversed."""
    row = ("A", "B", "C") * 8
    panel = Panel(
        (row, row[1:] + row[:1], row[2:] + row[:2]), made=frozenset((y, x) for y in range(3) for x in range(24))
    )
    assert [len(line) for line in draw(panel, 60, 4, STITCHED)] == [3, 3, 3]
    assert flat(draw(panel, 60, 4, STITCHED)[0]).strip() == " ".join(row)
    met = Panel((("A", "A", "B") * 8, ("C", "B", "C") * 8))
    drawn = draw(met, 60, 3, STITCHED)
    assert {text for line in drawn for style, text in line if style == "class:asked"} == {"A", "C"}
    assert flat(drawn[0]).strip() == " ".join(("A", "A", "B") * 8)


def test_likes_are_neighbours_in_rows_and_columns_to_the_last():
    """[identity] two A in the last columns of the first row, two C in the last rows of the first column."""
    panel = Panel((("B", "A", "A"), ("C", "B", "C"), ("C", "A", "B")))
    assert panel.alike == (((0, 1), (0, 2)), ((1, 0), (2, 0)))


@pytest.mark.parametrize("rows", [TALL, LOW])
@pytest.mark.parametrize("text", ["7 1/16 in", "20 1/4 in", "≈ 19 3/8 in"])
def test_a_large_whole_number_stands_well_off_its_fraction(text, rows):
    """From across the room 7 1/16 is no 71/16: the gap before the fraction is over twice that between digits."""
    *about, whole, _, _ = text.split()
    wide = max(len(flat(line)) for line in large(whole, 78, STITCHED, rows)) + 3 * len(about)
    behind = [flat(line)[wide:] for line in large(text, 78, STITCHED, rows)]
    gap = min(len(line) - len(line.lstrip()) for line in behind)
    assert gap > 2 * (2 if rows == TALL else 1)


def test_what_is_said_at_the_start_begins_a_line_each():
    """Two sentences for whoever sits down, the newest first: an address is whole, and no code of a line's end is seen."""
    address = "The page beside the machine: http://127.0.0.1:40000/#" + "a" * 24
    said = Desk(said=f"{address}\nTimes are those of Ada, who worked last.")
    for name in ("start", "cross"):
        rows = [flat(row).strip() for row in page(replace(samples.moments()[name], desk=said), 80, 24).lines]
        at = rows.index(address)
        assert rows[at + 1] == "Times are those of Ada, who worked last.", name
