"""A layout that was kept is used by every command, also where the grid was planned backwards from a size."""

import pytest

DEMO = "sessions/window-seat-cushion"


@pytest.fixture
def target(workshop):
    """The demo, its grid and square left to the program: a face of 20 by 15 in."""
    path = workshop / DEMO / "project.yaml"
    lines = path.read_text(encoding="utf-8").split("\n")
    kept = [line for line in lines if not line.startswith(("grid:", "square:"))]
    path.write_text("\n".join([*kept, "target: {width: 20 in, height: 15 in, after: sewing}", ""]), encoding="utf-8")
    return path.parent


@pytest.mark.usefixtures("target")
@pytest.mark.parametrize("change", [["--swap", "1,1:1,2"], ["--keep", "1,1", "--again", "--seed", "7"]])
def test_a_layout_kept_for_a_target_is_used_by_every_command(guide, change):
    """What `guide layout` kept fits the grid the target came to, so nothing is shut by it."""
    said = guide("layout", DEMO, *change)
    assert said.code == 0, said.err
    shown = said.out.split("Layout")[1].split("kept:")[0]
    for argv in (["plan"], ["price"], ["why", "square"]):
        again = guide(*argv, DEMO)
        assert again.code == 0, again.err
    assert guide("layout", DEMO).out.split("Layout")[1].split("kept:")[0] == shown
    assert guide("follow", DEMO, "--rehearse").code == 0
