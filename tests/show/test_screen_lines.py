"""What a line of the screen keeps when room is short, by hand."""

import pytest
from msgspec.structs import replace

from guide.commands import help as documentation
from guide.show.cards import paused
from guide.show.screen.page import page
from guide.show.screen.sketch import Panel, draw
from guide.show.screen.text import STITCHED, Stretch, clip, flat, signed, stages
from tests.show import screen_samples as samples


def test_the_sign_of_a_cut_stands_in_the_style_that_was_cut():
    """[identity] Six cells of `one two three`: `one t` and the sign, where the second style ran."""
    assert clip([("first", "one "), ("second", "two three")], 6, "…") == [
        ("first", "one "), ("second", "t"), ("second", "…"),
    ]  # fmt: skip


def test_the_last_line_kept_is_the_one_that_carries_the_sign():
    """[identity] Two of three lines: the first whole, the second cut for the sign."""
    kept = signed([[("", "one")], [("", "two and more")], [("", "three")]], 2, 8, " …")
    assert [flat(line) for line in kept] == ["one", "two an …"]


@pytest.mark.parametrize(("width", "height", "shown"), [(5, 3, True), (5, 2, False), (4, 3, False)])
def test_a_panel_is_drawn_from_five_cells_by_three(width, height, shown):
    """Less is no picture of a panel: letters alone would say nothing of where one is."""
    assert bool(draw(Panel((("A",),)), width, height, STITCHED)) == shown


def test_a_seam_that_goes_on_says_so_at_both_ends():
    """Three stages where one finds room; the needle is in the middle one."""
    names = ("one stage here", "two stages here", "three stages here")
    parts = [Stretch(name, (1.0, 0.5, 0.0)[place], here=place == 1) for place, name in enumerate(names)]
    thread, _ = stages(parts, 24, STITCHED)
    assert (flat(thread)[0], flat(thread)[-1]) == ("…", "…")


@pytest.mark.parametrize(("moment", "title"), [("paused", "Paused"), ("stopped", "Stopped")])
def test_the_card_of_a_clock_that_stands_says_which_of_the_two(moment, title):
    """Space goes on after either; only after `stopped` was the program left."""
    scene = samples.moments()["paused"]
    record = replace(scene.record, doing=moment)
    assert paused(replace(scene, record=record)).title.startswith(title)


def test_the_cursor_stays_on_a_screen_of_one_line():
    """[identity] A window of 30 by 1 has one row: number 0."""
    drawn = page(samples.moments()["start"], 30, 1)
    assert (len(drawn.lines), drawn.cursor) == (1, (0, 0))


def test_a_heading_is_laid_out_without_its_signs(tmp_path, monkeypatch):
    """[source] CommonMark 0.31, 4.2: the signs before a heading are none of its words."""
    (tmp_path / "own.md").write_text("## Cut the squares\n", encoding="utf-8")
    monkeypatch.setattr(documentation, "DOCS", tmp_path)
    text = " ".join(documentation.page_lines("own", 60))
    assert "Cut the squares" in text
    assert "#" not in text
