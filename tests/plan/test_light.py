"""How light a colour is: L* of CIE 1976 against published triples, and against a general library of colours."""

import pytest
from coloraide import Color

from guide.plan.layout.faces import NEAR, contrast_of, grey, lightness, lights_of, luminance, parts
from tests.show.screen_samples import project

# [source] sRGB in 8 bits and CIE L*a*b* as published for the 24-patch chart of McCamy, Marcus and Davidson (1976); its
# L* is for the white D50, ours for sRGB's own, D65: they differ by 0.7 at the most, in blues.
CHART = {"#735244": 37.986, "#c29682": 65.711, "#627a9d": 49.927, "#576c43": 43.139}


@pytest.mark.parametrize(("colour", "light"), CHART.items())
def test_lightness_is_that_of_the_published_patches(colour, light):
    """To what the two whites leave."""
    assert lightness(colour) == pytest.approx(light, abs=0.75)


@pytest.mark.parametrize(
    ("colour", "light"),
    # [source] IEC 61966-2-1: luminance of the primaries 0.2126, 0.7152, 0.0722; CIE 1976: L* = 116·∛Y - 16 of them
    [("#ff0000", 53.24), ("#00ff00", 87.74), ("#0000ff", 32.30), ("#ffffff", 100.0), ("#000000", 0.0)],
)
def test_lightness_of_the_primaries(colour, light):
    assert lightness(colour) == pytest.approx(light, abs=0.01)


@pytest.mark.parametrize("start", range(0, 4096, 512))
def test_lightness_is_what_a_general_library_says(start):
    """Every second hue in steps of 1/15, the dark ones too, where the cube root becomes a line: within 0.01."""
    for number in range(start, start + 512, 2):
        colour = "#" + "".join(2 * f"{number >> shift & 15:x}" for shift in (8, 4, 0))
        assert lightness(colour) == pytest.approx(Color(colour).convert("lab-d65")["lightness"], abs=0.01), colour
    for level in range(32):
        colour = "#" + 3 * f"{level:02x}"
        assert lightness(colour) == pytest.approx(Color(colour).convert("lab-d65")["lightness"], abs=0.01), colour


@pytest.mark.parametrize("light", range(0, 101, 5))
def test_a_grey_is_as_light_as_it_is_asked_for(light):
    """[identity] `grey` is `lightness` turned round; a level of 8 bits is 0.4 L* at the most."""
    assert lightness(grey(light)) == pytest.approx(light, abs=0.25)
    assert len(set(parts(grey(light)))) == 1


def test_luminance_is_what_contrast_is_made_of():
    """[source] WCAG 2: #777777 on white has 4.48 : 1, just under what text needs; #767676 has 4.54 : 1."""
    for colour, ratio in (("#777777", 4.48), ("#767676", 4.54)):
        assert 1.05 / (luminance(*parts(colour)) + 0.05) == pytest.approx(ratio, abs=0.005)


def test_light_against_dark_of_neighbours():
    """By hand: dark 20, mid 50 and 57, light 90. Of a row 20 50 57 90 the neighbours differ by 30, 7, 33."""
    lights = {"ink": 20.0, "clay": 50.0, "moss": 57.0, "oat": 90.0}
    found = contrast_of([["ink", "clay", "moss", "oat"]], lights)
    assert found.neighbours == 3
    assert found.mean == pytest.approx(70 / 3)
    assert found.near == (((1, 2), (1, 3)),)
    assert found.longest == 2
    column = contrast_of([["clay"], ["moss"], ["clay"], ["ink"], ["?"]], lights)
    assert (column.neighbours, column.longest, len(column.near)) == (3, 3, 2)
    alike = contrast_of([["oat", "oat"]], lights)
    assert (alike.near, alike.longest, alike.mean) == ((), 2, 0.0)
    assert contrast_of([["?", "oat"]], lights) is None
    assert contrast_of([["clay", "up"]], {"clay": 50.0, "up": 50.0 + NEAR}).near == ()


def test_a_print_that_says_no_colour_has_no_lightness():
    """Nothing is guessed from a name."""
    assert lights_of(project()) == {}
