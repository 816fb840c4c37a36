"""Lengths are read as makers write them, and shown so that they can be cut."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guide.read.units import BadLength, parse_length, show_length


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        # [source: international yard agreement 1959] inch 25.4 mm, yard 0.9144 m, both exactly
        ("6 in", 152.4), ("6in", 152.4), ("6 1/2 in", 165.1), ("6½ in", 165.1), ("½ in", 12.7), ("1/8 in", 3.175),
        ("15 cm", 150.0), ("0.5 yd", 457.2), ("1 yd", 914.4), ("2 ft", 609.6), ("3 mm", 3.0), ("1 m", 1000.0),
        ("6 inches", 152.4), (" 6  in ", 152.4), ("1/8 yd", 114.3), (".5 in", 12.7), ("6-1/2 in", 165.1), ("6 IN", 152.4),
    ],
)  # fmt: skip
def test_every_way_of_writing_a_length_is_read(text, mm):
    """What a maker may write, and what it is in mm."""
    assert parse_length(text) == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("6", "has no unit; write 6 in or 6 cm"),
        ("3,5 cm", "write 3.5 cm"),
        ('3"', "write the unit in letters: 3 in"),
        ("six in", "is not a length"),
        ("6 furlongs", "is not a unit of length here"),
        ("1/0 in", "divides by nothing"),
        ("-3 in", "is not a length"),
        ("1e9 in", "is not a length"),
        ("999999999 m", "longer than 10 km"),
        ("", "is not a length"),
        ("9**9**9 m", "is not a length"),
        ("٢٠ in", "is not a length"),  # digits of other scripts are not read by half
    ],
)
def test_what_is_no_length_says_what_to_write(text, says):
    """A mistake is answered with its mend."""
    with pytest.raises(BadLength, match=says.replace("*", r"\*")):
        parse_length(text)


@given(st.integers(0, 400), st.integers(0, 15))
def test_what_is_shown_in_sixteenths_reads_back_exactly(whole, sixteenths):
    """An exact size survives being shown and typed again [identity]."""
    mm = float(Fraction(whole * 16 + sixteenths, 16) * Fraction(127, 5))
    if mm > 9144:
        return
    text = show_length(mm, "inch")
    assert "≈" not in text
    assert parse_length(text.replace(",", "")) == pytest.approx(mm, abs=1e-9)


@given(st.floats(7, 90_000))
def test_what_is_shown_is_never_far_off(mm):
    """Shown to 1/16 in or 1 mm up to 10 yd or 10 m, to a tenth beyond."""
    for units, most in (("inch", 25.4 / 32), ("metric", 0.5)):
        text = show_length(mm, units).removeprefix("≈ ").replace(",", "")
        beyond = mm > (9144 if units == "inch" else 10_000)
        assert abs(parse_length(text) - mm) <= (50 if beyond else most) * (1 + 1e-9) + 1e-6


@pytest.mark.parametrize("unit", ["mm", "cm", "m", "in", "ft", "yd"])
def test_units_agree_with_pint(unit):
    """The reference library for units says the same of every unit we read."""
    wanted = pint.UnitRegistry(cache_folder=None).Quantity(1, "inch" if unit == "in" else unit).to("mm").magnitude
    assert parse_length(f"1 {unit}") == pytest.approx(wanted, rel=1e-12)


def test_a_stitch_is_shown_in_mm_even_to_an_inch_maker():
    """Under 1/4 in and no sixteenth: nobody sets a machine to 1/10 in [practice]."""
    assert show_length(2.5, "inch") == "2.5 mm"
    assert show_length(3.175, "inch") == "1/8 in"


@pytest.mark.parametrize(
    ("mm", "shown"),
    [
        (1572, "157.2 cm"), (1999, "199.9 cm"), (2000, "2 m"), (2200, "2.2 m"), (2204, "2.204 m"), (5120, "5.12 m"),
        (7089.4, "≈ 7.089 m"), (10_000, "10 m"), (16_832, "≈ 16.8 m"), (1_000_000, "1,000 m"), (-2500, "−2.5 m"),
    ],
)  # fmt: skip
def test_what_is_longer_than_a_tape_is_shown_in_metres(mm, shown):
    """Two metres and more in m, still to the mm where it is measured: no 512 cm beside 16.8 m [practice]."""
    assert show_length(mm, "metric") == shown


@pytest.mark.parametrize(
    ("mm", "shown"),
    [
        # to 1 mm [practice: a ruler has no tenths]; 1/16, 1/8, 1/4, 3/8 in
        (1.5875, "≈ 2 mm"), (3.175, "≈ 3 mm"), (6.35, "≈ 6 mm"), (9.525, "≈ 10 mm"), (8.825, "≈ 9 mm"), (9.7, "≈ 10 mm"),
        # a stitch or a thickness is set in tenths and twentieths, and stays as it is
        (2.5, "2.5 mm"), (2.25, "2.25 mm"), (0.25, "0.25 mm"), (3.0, "3 mm"), (1 / 3, "≈ 0.33 mm"),
    ],
)  # fmt: skip
def test_a_metric_maker_reads_whole_mm_unless_a_machine_is_set_finer(mm, shown):
    """Tenths that no ruler has are rounded in what is shown, and marked."""
    assert show_length(mm, "metric") == shown


def test_a_rounded_size_is_marked():
    """5·√2 in is not a size a ruler has."""
    assert show_length(5 * 2**0.5 * 25.4, "inch") == "≈ 7 1/16 in"
    assert show_length(127.4, "metric") == "≈ 12.7 cm"


@given(st.text(max_size=20))
def test_any_text_is_a_length_or_a_plain_refusal(text):
    """No text makes the parser fail in any other way."""
    try:
        assert parse_length(text) >= 0
    except BadLength as error:
        assert str(error)


@given(st.floats(0, 1.5), st.sampled_from(["inch", "metric"]))
def test_what_is_shown_as_nothing_is_not_below_nothing(mm, units):
    """[identity] −x and x are shown alike but for the sign, which stands only before something."""
    below, above = show_length(-mm, units), show_length(mm, units)
    assert below.replace("−", "") == above
    assert ("−" in below) is any(digit in above for digit in "123456789")


def test_a_target_met_to_a_thousandth_is_off_by_nothing():
    """[identity] 0.001 mm is no sixteenth of an inch and no hundredth of a mm."""
    assert show_length(-0.001, "inch") == "≈ 0 in"
    assert show_length(-0.001, "metric") == "≈ 0 mm"
    assert show_length(-1.5, "inch") == "−1.5 mm"
