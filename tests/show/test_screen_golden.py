"""The screen at twenty moments and three sizes, kept as pictures in text that were looked at one by one.

The files in golden/ are drawn through a real terminal output into an emulator, so they are what a terminal
shows. After a change that is meant: FRAYWORK_GOLDEN=1, and look at the difference before keeping it.
"""

import re

import pytest
from msgspec.structs import replace
from wcwidth import wcswidth

from guide.follow.keys import TABLE
from guide.show.screen.page import page
from guide.show.screen.text import ASCII, flat, length
from tests.show.draw_svg import KEPT, svg
from tests.show.kept import GOLDEN, hold
from tests.show.screen_samples import moments
from tests.terminal.rig import seen

SIZES = ((40, 12), (80, 24), (120, 40))
MOMENTS = moments()


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", [name for name in MOMENTS if name != "keys"])
def test_the_screen_is_as_it_was_looked_at(name, size):
    """What a terminal shows at this moment is the kept picture, line for line. [identity]"""
    lines, _ = seen(MOMENTS[name], *size)
    drawn = "\n".join(lines).rstrip("\n") + "\n"
    kept = GOLDEN / f"{name}-{size[0]}x{size[1]}.txt"
    hold(kept, drawn)


@pytest.mark.parametrize("size", [(40, 12), (47, 13), (63, 17), (64, 18), (80, 24), (99, 29), (100, 30), (211, 60)])
@pytest.mark.parametrize("name", MOMENTS)
def test_every_size_holds_what_matters(name, size):
    """Nothing is wider or longer than the terminal, the cursor is on it, and the keys stand in the last line."""
    width, height = size
    drawn = page(MOMENTS[name], width, height)
    assert len(drawn.lines) == height
    assert max(length(line) for line in drawn.lines) <= width
    assert 0 <= drawn.cursor[0] < width
    assert 0 <= drawn.cursor[1] < height
    assert flat(drawn.lines[-1]).strip()


@pytest.mark.parametrize("name", ["piece", "cross", "typed", "waiting", "beginner", "ahead"])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_a_step_always_shows_what_to_do_its_care_and_how_far_it_is(name, size):
    """However small the screen: the step's title, its text's beginning, a caution, the count. [practice]"""
    text = "\n".join(flat(line) for line in page(MOMENTS[name], *size).lines)
    title = "Sew the row seams" if name == "ahead" else "Sew the cross"
    count = {"piece": "3 of 12", "ahead": "0 of 9"}.get(name, "6 of 12")
    assert title in text
    assert ("Sew the row seams with" if name == "ahead" else "Feel out the wadding") in text
    assert "▲ Fingers clear of the needle." in text
    assert count in text


@pytest.mark.parametrize("name", MOMENTS)
def test_without_unicode_the_screen_is_ascii(name):
    """The fall-back alphabet, and every text, hold nothing an ASCII terminal cannot show."""
    scene = MOMENTS[name]
    text = "\n".join(flat(line) for line in page(type(scene)(**(as_fields(scene) | {"marks": ASCII})), 80, 24).lines)
    assert text.isascii()


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_on_a_measuring_step_the_measure_key_comes_first(size):
    """What is to be done is the first key named: m, until the size is written. [practice]"""
    assert flat(page(MOMENTS["measured"], *size).lines[-1]).strip().startswith("m measure")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_the_keys_card_holds_the_whole_table(size):
    """Every key of the one table, in sentences from 80 columns on, read on by the arrow; in words where it is narrow."""
    first = page(MOMENTS["keys"], *size)
    pages = [first, page(replace(MOMENTS["keys"], scroll=size[1] - 6), *size)] if first.more else [first]
    text = "\n".join(flat(line) for one in pages for line in one.lines)
    assert first.more is (size == (80, 24))
    assert not pages[-1].more
    for key in TABLE:
        assert re.search(rf"(^| ){re.escape(key.letter)} ", text, re.MULTILINE), key.letter
        if size[0] >= 80:
            assert key.help in " ".join(text.split()), key.letter
        else:
            assert key.word in text


def as_fields(scene):
    """A scene's members by name."""
    return {name: getattr(scene, name) for name in scene.__struct_fields__}


def test_the_piece_in_hand_is_where_rows_are_counted_from_the_top():
    """Six of twelve blocks done in rows of four: the seventh is in row 2, column 3. [identity] 7 = 4 + 3"""
    text = "\n".join(flat(line) for line in page(MOMENTS["cross"], 80, 24).lines)
    assert "row 2, column 3" in text
    assert "║ ▒B  ║" in text


def test_the_seam_in_hand_is_drawn_double():
    """Four of nine row seams done, three to a row: the fifth is in row 2 between columns 2 and 3. [identity] 5 = 3 + 2"""
    text = "\n".join(flat(line) for line in page(MOMENTS["seam"], 80, 24).lines)
    assert "row 2, columns 2 and 3" in text
    assert text.count("║") == 3
    rows = "\n".join(flat(line) for line in page(MOMENTS["rows"], 80, 24).lines)
    assert "rows 2 and 3" in rows
    assert "═" * 17 in rows


@pytest.mark.parametrize("name", KEPT)
def test_the_pictures_in_readme_are_what_the_screen_draws(name):
    """A kept picture of a screen is drawn again from the views of today. [identity]"""
    drawn = svg(MOMENTS[name], *KEPT[name])
    kept = GOLDEN / f"screen-{name}.svg"
    hold(kept, drawn)


def test_wide_and_combining_letters_keep_their_columns():
    """A title in wide letters takes two columns each, a combining accent none: what follows stands where it should."""
    scene = MOMENTS["cross"]
    plan = replace(scene.plan, project=replace(scene.plan.project, title="布団 e\u0301toile"))
    lines, _ = seen(replace(scene, plan=plan), 80, 24)
    usual, _ = seen(scene, 80, 24)
    assert "布団 " in lines[0]
    assert "toile" in lines[0]
    assert wcswidth(lines[0]) == wcswidth(usual[0]) == 79
    assert lines[1:] == usual[1:]


def test_a_kept_drawing_that_is_written_anew_is_no_pass(tmp_path, monkeypatch):
    """Only the same drawing passes; another is written when that is asked for, and the test is red until it is looked at."""
    kept = tmp_path / "kept.txt"
    kept.write_text("one\n", encoding="utf-8")
    hold(kept, "one\n")
    with pytest.raises(AssertionError):
        hold(kept, "two\n")
    assert kept.read_text(encoding="utf-8") == "one\n"
    monkeypatch.setenv("FRAYWORK_GOLDEN", "1")
    with pytest.raises(pytest.fail.Exception, match="was written anew"):
        hold(kept, "two\n")
    hold(kept, "two\n")
