"""What text is dyed with: read on the grounds there are, in 256 and in true colour, and by colour-blind eyes."""

import asyncio

import pytest
from msgspec.structs import replace

from guide.show.screen.text import STITCHED
from guide.show.screen.window import DYES, ground_of, prints, table
from guide.show.table import true_colour
from tests.show.screen_samples import moments
from tests.terminal.rig import Rig, still

DARK = ("#000000", "#16161a", "#1e1e1e", "#002b36", "#2e3440")  # grounds that terminals really have
LIGHT = ("#ffffff", "#fdf6e3", "#eee8d5", "#f5f5f5")


def _luminance(colour):
    """[source] WCAG 2.2, definition of relative luminance."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(one, other):
    """[source] WCAG 2.2, contrast ratio."""
    high, low = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def _in_256(colour):
    """The colour a terminal of 256 shows for it, by prompt_toolkit's choice.

    [source] the cube of xterm's 256colres.h: 16 + 36 r + 6 g + b on levels 0, 95, 135 … 255; greys 8 + 10 i from 232.
    """
    from prompt_toolkit.output.vt100 import _256ColorCache

    number = _256ColorCache()[tuple(int(colour[at : at + 2], 16) for at in (1, 3, 5))]
    assert number >= 16, "the first sixteen are dyed as the terminal likes"
    if number >= 232:
        return f"#{8 + 10 * (number - 232):02x}" + f"{8 + 10 * (number - 232):02x}" * 2
    levels = [0, 95, 135, 175, 215, 255]
    place = number - 16
    return "#" + "".join(f"{levels[one]:02x}" for one in (place // 36, place // 6 % 6, place % 6))


@pytest.mark.parametrize("shown", [str, _in_256], ids=["true colour", "256"])
@pytest.mark.parametrize("paper", [*DARK, *LIGHT])
def test_every_text_can_be_read_on_the_grounds_there_are(paper, shown):
    """Every class that is dyed has 4.5 : 1 or more. [source] WCAG 2.2, 1.4.3"""
    dyed = {name: style.split()[0] for name, style in table("many", ground_of_paper(paper)).items() if "#" in style}
    assert len(dyed) > 10
    worst = min((_contrast(shown(colour), paper), name) for name, colour in dyed.items())
    assert worst[0] >= 4.5, worst


def ground_of_paper(paper):
    """What the screen makes of a terminal's answer, in the form xterm gives it: each part as four digits."""
    return ground_of("rgb:" + "/".join(paper[at : at + 2] * 2 for at in (1, 3, 5)))


@pytest.mark.parametrize(("paper", "ground"), [*((one, "dark") for one in DARK), *((one, "light") for one in LIGHT)])
def test_the_ground_a_terminal_tells_of_is_dark_or_light(paper, ground):
    """With four digits a part, or fewer; what is no colour is no ground."""
    assert ground_of_paper(paper) == ground
    assert ground_of("rgb:" + "/".join(paper[at : at + 2] for at in (1, 3, 5))) == ground
    assert ground_of("rgb:ff/ff") == ground_of("") == ""


@pytest.mark.parametrize(("depth", "ground"), [("sixteen", "dark"), ("sixteen", ""), ("many", "")])
def test_text_is_the_terminals_own_where_its_colours_are_not_known(depth, ground):
    """In 16 colours, and on an unknown ground, patches alone are coloured; rank is weight, underline or reverse."""
    coloured = {name for name, style in table(depth, ground).items() if "#" in style or "ansi" in style}
    assert coloured == {"patch.made", "patch.here"}
    weights = table(depth, ground)
    assert weights["figure"] != weights["label"] != weights["title"]
    assert "reverse" in weights["problem"]


@pytest.mark.parametrize("ground", ["dark", "light"])
def test_thread_and_care_differ_for_colour_blind_eyes(ground):
    """Blue against ochre keep their distance on the blue-yellow axis, which red-green blindness leaves whole.

    [practice] blue beside orange is the common safe pair; the axis is taken as blue − (red + green) / 2.
    """

    def axis(colour):
        red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
        return blue - (red + green) / 2

    assert axis(DYES["indigo"][ground]) - axis(DYES["ochre"][ground]) > 150


def test_without_colour_no_colour_is_used():
    """At depth none the table holds weights only; care and the needle still have signs of their own."""
    assert not any("#" in style or "ansi" in style for style in table("none").values())
    assert len({STITCHED.caution, STITCHED.needle, STITCHED.knot, STITCHED.sewn, STITCHED.ahead}) == 5


@pytest.mark.parametrize("colour", [f"#{n:02x}{(n * 7) % 256:02x}{(n * 31) % 256:02x}" for n in range(0, 256, 5)])
def test_a_letter_can_be_read_on_its_prints_own_colour(colour):
    """Black or white, whichever stands out further: 4.5 : 1 or more on any colour. [source] WCAG 2.2, 1.4.3"""
    style = prints({"B": colour})["print.66"]
    paper, ink, weight = style.split()
    assert (paper, weight) == (f"bg:{colour}", "bold")
    assert _contrast(ink, colour) >= 4.5


@pytest.mark.parametrize(
    ("environ", "true"),
    [({"COLORTERM": "truecolor"}, True), ({"COLORTERM": "24bit"}, True), ({}, False), ({"COLORTERM": "yes"}, False),
     ({"COLORTERM": "truecolor", "NO_COLOR": "1"}, False)],
)  # fmt: skip
def test_a_prints_own_colour_is_shown_only_where_the_terminal_shows_it_truly(environ, true):
    """[practice] COLORTERM says so; in fewer colours the nearest one might not carry the letter."""
    assert true_colour(environ) is true


@pytest.mark.parametrize("true", [True, False])
def test_patches_and_legend_stand_on_the_prints_own_colour(true):
    """In the terminal's own bytes: B's letter on its #7a8b6c, wherever it stands; in fewer colours nowhere."""
    here = moments()["cross"]
    dyed = replace(here.plan.project.prints[1], colour="#7a8b6c")
    project = replace(here.plan.project, prints=(here.plan.project.prints[0], dyed, *here.plan.project.prints[2:]))
    here = replace(here, plan=replace(here.plan, project=project))

    async def look():
        async with Rig(still(here), 80, 24, true=true) as rig:
            return rig.sink.raw

    # [source] ECMA-48 with ISO 8613-6: 48;2;R;G;B is a background; 0x7a8b6c is 122, 139, 108
    assert (asyncio.run(look()).count("48;2;122;139;108") > 1) is true
