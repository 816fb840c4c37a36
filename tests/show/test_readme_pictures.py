"""README's pictures are today's: what the terminal shows by a clock of ours, and what the pages draw."""

import re
from html import unescape
from pathlib import Path

import pytest

from tests.show.draw_film import COLUMNS, ROWS, SECONDS, film, recorded, strip
from tests.show.kept import GOLDEN

README = Path(__file__).parents[2] / "README.md"


def texts(svg):
    """Every word of a drawing, in its order."""
    return [unescape(one) for one in re.findall(r"<text [^>]*>([^<]*)</text>", svg)]


def shown(svg):
    """What a moving picture shows second by second, row by row: its rows' texts by when they stand there."""
    seconds = [[[] for _ in range(ROWS)] for _ in range(SECONDS)]
    for head, body in re.findall(r"<g ([^>]*)>\n(.*?)\n</g>", svg, re.DOTALL):
        said = dict(re.findall(r'data-(\w+)="(\d+)"', head))
        first, last = int(said.get("from", 0)), int(said.get("for", SECONDS))
        for second in range(first, first + last):
            seconds[second][int(said["row"])] += texts(body)
    return [["".join("".join(row).split()) for row in rows] for rows in seconds]


def test_the_moving_picture_is_what_the_terminal_shows_today():
    """Every second of the twenty, row by row: the kept picture and a fresh recording say the same."""
    frames = recorded()
    assert len(frames) == SECONDS
    assert all(sum(len(text) for _, text in row) <= COLUMNS for rows in frames for row in rows)
    told = [["".join("".join(text for _, text in row).split()) for row in rows] for rows in frames]
    assert shown((GOLDEN / "screen-moving.svg").read_text(encoding="utf-8")) == told


def test_in_twenty_seconds_a_block_is_counted_and_the_next_step_looked_at():
    """The block in hand takes 41 s when it begins; the big key at 6 s, a look ahead from 11 to 15. [identity]"""
    rows = ["\n".join("".join(text for _, text in row) for row in frame) for frame in recorded()]
    assert ["5 of 12 blocks" in rows[at] for at in (0, 5, 6)] == [True, True, False]
    assert "this one 0:46" in rows[5]
    assert ["6 of 12 blocks" in rows[at] for at in (6, 10, 11, 14, 15, 19)] == [True, True, False, False, True, True]
    assert ["looking at step 15" in rows[at] for at in (10, 11, 14, 15)] == [False, True, True, False]
    assert ["this one 0:04" in rows[10], "this one 0:13" in rows[19]] == [True, True]


def test_each_row_is_in_sight_as_long_as_it_stood_there():
    """A part of n of 20 s ends at n/20 of the way round, begins when it came, and is not seen before. [identity]"""
    svg = film(recorded())
    moving = re.findall(r'<g class="m( s)?" data-row="(\d+)" data-from="(\d+)" data-for="(\d+)" style="([^"]+)"', svg)
    assert moving
    for still, _, first, last, style in moving:
        assert style == f"animation-name:l{last};animation-delay:{first}s"
        assert f"@keyframes l{last}{{0%{{visibility:visible}}{int(last) * 5}%{{visibility:hidden}}}}" in svg
        assert bool(still) == (first == "0")
    assert ".m{visibility:hidden;animation:20s step-end infinite}" in svg


def test_nothing_moves_where_motion_is_not_wanted():
    """[source] WCAG 2.2, 2.3.3 and CSS Media Queries 5, prefers-reduced-motion: the first second stands still."""
    svg = (GOLDEN / "screen-moving.svg").read_text(encoding="utf-8")
    assert "@media (prefers-reduced-motion:reduce){.m{animation:none!important}.s{visibility:visible}}" in svg
    still = shown(re.sub(r'<g class="m" .*?\n</g>', "", svg, flags=re.DOTALL))[0]
    assert still == shown(svg)[0]
    assert "<script" not in svg


def test_the_strip_of_papers_is_what_the_pages_draw_today():
    """The same words, drawings of the same sizes, and as many marks of each kind."""
    kept, now = (GOLDEN / "papers.svg").read_text(encoding="utf-8"), strip()
    assert texts(kept) == texts(now)
    for found in (r'viewBox="[^"]+"', r"<(\w+)", r'data-[\w-]+="[^"]*"'):
        assert re.findall(found, kept) == re.findall(found, now)
    assert {"Checklist", "Maker's log", "Price"} <= set(texts(now))


@pytest.mark.parametrize("name", ["screen-moving.svg", "papers.svg"])
def test_readme_shows_them_with_words_beside(name):
    """And they are no heavier than a photo is: under 150 kB."""
    assert re.search(rf"!\[[^\]]{{40,}}\]\(tests/show/golden/{name}\)", README.read_text(encoding="utf-8"))
    assert (GOLDEN / name).stat().st_size < 150_000
