"""A mistyped size is asked about or refused in a maker's words: no typing error speaks of stage files."""

import pytest

from guide.follow.order import under_needle
from guide.plan.model import expected
from guide.read.units import show_length
from tests.follow.test_real_project import begun

MEASURED = ("panel_width", "panel_height", "washed_width", "washed_height")  # what the shipped stages measure
FACTORS = [
    *((factor, ()) for factor in (0.03, 0.1, 0.5, 1.4, 10, 100)),
    (0.001, ("units=metric",)),
    (3.5, ("units=metric",)),
]


def at_the_measure(name, changes=()):
    """A session on the demo, at the open step that measures this size."""
    session, clock = begun(changes)
    for _ in range(500):
        step = under_needle(session.plan, session.record)
        if step.measure == name and session.record.current:
            return session, step
        clock.run(400_000)
        asked = session.desk.ask
        if asked is not None and asked.about == "count_in":
            typed(session, "0 0")  # nobody pinned anything
        else:
            session.press("escape" if asked is not None else "a" if session.record.current else "space")
        assert not session.left
    raise AssertionError(f"{name} is never measured; at {step.key}")


def typed(session, text):
    for letter in text:
        session.press("space" if letter == " " else letter)
    session.press("enter")


@pytest.mark.parametrize(("factor", "changes"), FACTORS)
@pytest.mark.parametrize("name", MEASURED)
def test_an_absurd_size_never_speaks_of_files(name, factor, changes):
    """Twice entered, a size is written, or refused with its name and what was planned; then the right one goes in."""
    session, _ = at_the_measure(name, changes)
    planned = expected(session.plan, name)
    session.press("m")
    typed(session, f"{planned * factor:.3f} mm")
    first = session.desk.said
    assert not session.record.measured(), "written without asking"
    typed(session, "") if "Enter again" in first else None
    said = session.desk.said
    assert "workflows" not in said
    assert ".yaml" not in said
    if not session.record.measured():
        assert f"too {'small' if factor < 1 else 'large'} for the {name.replace('_', ' ')}" in said
        assert f"(planned {show_length(planned, session.plan.project.units)})" in said
        assert said.endswith("type it again.")
        typed(session, f"{planned:.4f} mm")
    assert session.record.measured()


def test_a_mistyped_panel_is_refused_with_what_was_planned():
    """1 in for 21: the panel's name, what was planned, and the field empty for another try."""
    session, _ = at_the_measure("panel_width")
    session.press("m")
    typed(session, "1")
    assert session.desk.said == "1 in is too small for the panel width (planned 21 in); type it again."
    assert session.desk.ask is not None
    assert session.desk.ask.typed == ""
    typed(session, "20 3/4")
    assert session.record.measured() == {"panel_width": pytest.approx(20.75 * 25.4)}
