"""Where a number comes from, and where to ask when this command does not know it."""

import pytest

DEMO = "sessions/window-seat-cushion"


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("price", "guide price"), ("labour", "guide price"), ("buy", "guide plan --cutting"), ("hands_on", "guide paces"),
        ("pad", "pad_width"), ("zip", "zip_cut"), ("panel_widht", "did you mean panel_width"),
    ],
)  # fmt: skip
def test_a_number_that_is_told_elsewhere_is_pointed_to(guide, name, says):
    """No maker knows which command tells what."""
    said = guide("why", name, DEMO)
    assert said.code == 2
    assert says in said.err


def test_a_number_chosen_for_a_target_says_so(guide, workshop):
    """The square was chosen, the seam was written."""
    project = workshop / DEMO / "project.yaml"
    text = project.read_text(encoding="utf-8").replace("square: 6 in ", "target: {width: 19 in, height: 14 in} ")
    project.write_text(text, encoding="utf-8")
    assert "Chosen to come near what is wanted: 19 in × 14 in once washed." in guide("why", "square", DEMO).out
    assert "Chosen" not in guide("why", "seam", DEMO).out
