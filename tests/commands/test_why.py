"""Where a number comes from, and where to ask when this command does not know it."""

import pytest

DEMO = "sessions/window-seat-cushion"


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("price", "guide price"), ("labour", "guide price"), ("buy", "guide plan --cutting"), ("hands_on", "guide paces"),
        ("zip", "zip_cut"), ("panel_widht", "did you mean panel_width"),
    ],
)  # fmt: skip
def test_a_number_that_is_told_elsewhere_is_pointed_to(guide, name, says):
    """No maker knows which command tells what."""
    said = guide("why", name, DEMO)
    assert said.code == 2
    assert says in said.err


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("washed size", ["washed_width", "washed_height"]), ("Washed  Size across", ["washed_width"]),
        ("opening", ["zip_opening"]), ("pad", ["pad_width", "pad_height"]), ("quilting line", ["quilt_line"]),
    ],
)  # fmt: skip
def test_a_number_is_known_by_what_tables_call_it(guide, asked, told):
    """`plan` prints labels, so a label is what a maker has to ask with; a size is its width and its height."""
    said = guide("why", asked, DEMO)
    assert said.code == 0, said.err
    assert [line.split(" = ")[0] for line in said.out.splitlines() if line[0].isalpha()] == told
    alone = guide("why", asked, DEMO, "--json")
    assert alone.code == (0 if len(told) == 1 else 2)
    assert all(name in alone.out + alone.err for name in told)


def test_a_label_is_asked_in_the_words_of_the_project(guide, workshop):
    """An American project's tables say zipper."""
    file = workshop / DEMO / "project.yaml"
    file.write_text(file.read_text("utf-8").replace("words: british", "words: american"), "utf-8")
    label = next(row.strip() for row in guide("plan", DEMO).out.splitlines() if "zipper" in row).split("  ")[0]
    assert guide("why", label, DEMO).code == 0


def test_a_number_chosen_for_a_target_says_so(guide, workshop):
    """The square was chosen, the seam was written."""
    project = workshop / DEMO / "project.yaml"
    text = project.read_text(encoding="utf-8").replace("square: 6 in ", "target: {width: 19 in, height: 14 in} ")
    project.write_text(text, encoding="utf-8")
    assert "Chosen to come near what is wanted: 19 in × 14 in once washed." in guide("why", "square", DEMO).out
    assert "Chosen" not in guide("why", "seam", DEMO).out
