"""Four proposals from the command line: beside each other, as a page without letters, and the one that is taken is kept."""

import json
import re
import sys
from base64 import b64decode

import pytest

from guide.plan.layout.characters import CHARACTERS
from guide.show.plan_lines import painted
from tests.show.photo_samples import SECRET, with_notes

DEMO = "sessions/window-seat-cushion"
NAMES = {"moss check": "A", "oat stripe": "B", "clay dot": "C"}
DUSK = {"moss check": "#2f3b52", "oat stripe": "#e9dcc3", "clay dot": "#a8452f"}


@pytest.fixture
def dyed(workshop):
    """The demo in three colours."""
    path = workshop / DEMO / "project.yaml"
    text = path.read_text(encoding="utf-8")
    for name, colour in DUSK.items():
        text = text.replace(f"{{name: {name},", f'{{name: {name}, colour: "{colour}",')
    path.write_text(text, encoding="utf-8")
    return path.parent


def fronts(layouts):
    """Each front as rows of letters."""
    out = {}
    for name, layout in layouts.items():
        stacks = {(block["row"], block["column"]): block["stack"] for block in layout["blocks"]}
        out[name] = [[NAMES[stacks[row, column][0]] for column in range(1, 5)] for row in range(1, 4)]
    return out


def test_the_four_stand_side_by_side(guide):
    """The letters under each name are those of its JSON; a sentence each, and what is counted."""
    found = fronts(json.loads(guide("layout", DEMO, "--proposals", "--json").out))
    said = guide("layout", DEMO, "--proposals")
    assert said.code == 0
    lines = said.out.splitlines()
    head = next(number for number, line in enumerate(lines) if line.startswith("calm  "))
    assert lines[head].split() == list(CHARACTERS)
    rows = [line.split() for line in lines[head + 1 : head + 4]]
    for place, name in enumerate(CHARACTERS):
        assert [row[4 * place : 4 * place + 4] for row in rows] == found[name]
    assert "knight's move" in said.out
    assert guide("layout", DEMO, "--proposals", "--seed", "3").out != said.out


@pytest.mark.parametrize("name", ["calm", "framed"])
def test_the_one_that_is_taken_is_kept_and_planned(guide, workshop, name):
    """layout.json, plan --json and the next layout have its letters; what was kept before is set aside."""
    found = fronts(json.loads(guide("layout", DEMO, "--proposals", "--json").out))
    taken = guide("layout", DEMO, "--take", name)
    assert taken.code == 0
    assert "Kept in" in taken.err
    kept = json.loads((workshop / DEMO / "layout.json").read_text(encoding="utf-8"))["rows"]
    assert [[NAMES[stack[0]] for stack in row] for row in kept] == found[name]
    planned = json.loads(guide("plan", DEMO, "--json").out)["layout"]
    assert fronts({name: planned})[name] == found[name]
    assert guide("layout", DEMO, "--take", "framed" if name == "calm" else "calm").code == 0
    before = json.loads((workshop / DEMO / "layout.before.json").read_text(encoding="utf-8"))["rows"]
    assert before == kept


def test_proposals_are_laid_anew_whatever_is_kept(guide):
    """Taking one does not change what is proposed; blocks that stay stay in all of them."""
    first = guide("layout", DEMO, "--proposals", "--json").out
    guide("layout", DEMO, "--take", "framed")
    assert fronts(json.loads(guide("layout", DEMO, "--proposals", "--json").out)) == fronts(json.loads(first))
    guide("layout", DEMO, "--keep", "2,2")
    stays = {rows[1][1] for rows in fronts(json.loads(guide("layout", DEMO, "--proposals", "--json").out)).values()}
    assert len(stays) == 1


@pytest.mark.parametrize("options", [
    ("--proposals", "--take", "calm"), ("--by-hand", "--swap", "1,1:1,2"), ("--by-hand", "--seed", "2"),
    ("--proposals", "--forget"), ("--before", "--take", "calm"), ("--take", "calm", "--keep", "1,1"),
])  # fmt: skip
def test_what_cannot_go_together_is_refused(guide, workshop, options):
    """Nothing is left without effect, and nothing is written."""
    said = guide("layout", DEMO, *options)
    assert said.code == 2
    assert "go alone" in said.err
    assert not (workshop / DEMO / "layout.json").exists()


def test_the_page_shows_all_faces_in_their_colours_without_letters(guide, dyed, workshop):
    """The fronts beside each other, and the back; no letter on a patch, none in the legend; no cost."""
    said = guide("layout", DEMO, "--proposals", "--page", "proposals.html")
    assert said.code == 0, said.err
    page = (workshop / "proposals.html").read_text(encoding="utf-8")
    assert re.findall(r"<figcaption>(\w+)\. ", page) == ["Calm", "Scattered", "Diagonal", "Framed"]
    assert page.count("<svg") == 4 + 1 + 3  # the fronts, the back that all have, a swatch for each print
    assert page.count('data-row="1" data-column="1"') == 5
    assert all(colour in page for colour in DUSK.values())
    assert "data-letter" not in page
    assert "EUR" not in page
    found = fronts(json.loads(guide("layout", DEMO, "--proposals", "--json").out))
    for name, part in zip(CHARACTERS, page.split("<figure>")[1:], strict=False):
        drawn = re.findall(r'data-print="([a-z ]+)"', part)
        assert [NAMES[one] for one in drawn] == [letter for row in found[name] for letter in row]


def test_the_layout_as_it_is_has_a_page_too(guide, workshop):
    """Beside the project where no file is named; as Markdown in letters with their legend."""
    assert guide("layout", DEMO, "--page", "layout.html").code == 0
    assert (workshop / "layout.html").read_text(encoding="utf-8").count('data-row="1" data-column="1"') == 2
    text = guide("layout", DEMO, "--page", "-", "--markdown").out
    assert "| A |" in text
    assert "**A** moss check" in text


class Terminal:
    """A stream that says it is a terminal."""

    def __init__(self, stream):
        self.stream = stream

    def isatty(self):
        return True

    def __getattr__(self, name):
        return getattr(self.stream, name)


@pytest.mark.parametrize("command", [("layout",), ("plan",), ("layout", "--proposals")])
@pytest.mark.parametrize("environ", [("truecolor", ""), ("", ""), ("truecolor", "1")])
def test_maps_are_dyed_where_the_terminal_has_true_colour(guide, dyed, monkeypatch, command, environ):
    """[source] ECMA-48 with ISO 8613-6: 48;2;R;G;B. #2f3b52 is 47, 59, 82. The letters are the same with and without."""
    assert dyed.is_dir()
    colorterm, no_color = environ
    plain = guide(*command[:1], DEMO, *command[1:]).out
    assert "\x1b" not in plain
    monkeypatch.setenv("COLORTERM", colorterm)
    monkeypatch.setenv("NO_COLOR", no_color)
    monkeypatch.setattr(sys, "stdout", Terminal(sys.stdout))
    out = guide(*command[:1], DEMO, *command[1:]).out
    assert ("\x1b[48;2;47;59;82;" in out) is (colorterm == "truecolor" and not no_color)
    letters = re.sub(r"\x1b\[[0-9;]*m", "", out)
    assert [line.split() for line in letters.splitlines()] == [line.split() for line in plain.splitlines()]


def test_only_lines_of_a_map_are_dyed():
    """Words are left alone, and letters that are no print's."""
    own = {"A": "#000000"}
    assert painted("  A  B", own) == " \x1b[48;2;0;0;0;38;2;255;255;255;1m A \x1b[0m B"
    for line in ("A moss check", "  A moss", "A", "", "  A 12"):
        assert painted(line, own) == line


def test_light_against_dark_is_told_with_the_layout(guide, dyed, workshop):
    """By hand: #2f3b52 has L* 25, #e9dcc3 88, #a8452f 41; 25 and 41 are 16 apart, so nothing reads as one.

    Where oat stripe is written #a6452f, hardly another colour than clay dot's, it reads as one with it.
    """
    said = guide("layout", DEMO).out
    rows = fronts({"": json.loads(guide("plan", DEMO, "--json").out)["layout"]})[""]
    light = dict(zip("ABC", (25.3, 88.1, 41.4), strict=True))
    pairs = [(row[at], row[at + 1]) for row in rows for at in range(3)]
    pairs += [(rows[at][column], rows[at + 1][column]) for at in range(2) for column in range(4)]
    mean = sum(abs(light[one] - light[other]) for one, other in pairs) / len(pairs)
    assert f"differ by {mean:.0f} L* on average" in said
    assert "read as one" not in said
    path = workshop / DEMO / "project.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace(DUSK["oat stripe"], "#a6452f"), encoding="utf-8")
    assert "read as one" in guide("layout", DEMO).out
    assert dyed.is_dir()


@pytest.mark.parametrize("command", [
    ("plan", "--page", "page.html"), ("sheet", "-o", "page.html"),
    ("checklist", "--start", "10:00", "-o", "page.html"), ("layout", "--page", "page.html"),
])  # fmt: skip
def test_a_prints_colour_is_used_on_every_page_that_draws_it(guide, dyed, workshop, command):
    """All three grounds, whatever the page; marks stay on them, so that grey tells them apart too."""
    assert dyed.is_dir()
    said = guide(command[0], DEMO, *command[1:])
    assert said.code == 0, said.err
    page = (workshop / "page.html").read_text(encoding="utf-8")
    assert [colour for colour in DUSK.values() if f'fill="{colour}"' not in page] == []
    assert {"check", "stripe", "dot"} <= set(re.findall(r'data-marks="(\w+)"', page))


def test_a_customer_sees_the_photos_of_the_prints_too(guide, workshop):
    """A photo that lies there is shown under its print's name, freed of where it was taken; one that does not says so."""
    path = workshop / DEMO / "project.yaml"
    text = path.read_text(encoding="utf-8")
    text = text.replace("{name: moss check,", "{name: moss check, photo: moss.jpg,")
    path.write_text(text.replace("{name: clay dot,", "{name: clay dot, photo: clay.png,"), encoding="utf-8")
    (path.parent / "moss.jpg").write_bytes(with_notes(1))
    assert guide("layout", DEMO, "--page", "page.html").code == 0
    page = (workshop / "page.html").read_text(encoding="utf-8")
    (shown,) = re.findall(r'src="data:image/jpeg;base64,([^"]+)" alt="moss check"', page)
    assert SECRET not in b64decode(shown)
    assert "clay.png: not found" in page


def test_a_page_without_a_name_lies_beside_the_project(guide, workshop):
    """As every page does: --markdown alone, --open alone."""
    assert guide("layout", DEMO, "--markdown").code == 0
    assert (workshop / DEMO / "layout.md").exists()
