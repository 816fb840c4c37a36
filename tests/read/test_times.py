"""Paces as makers say them, and what a step takes by them: every time is summed by hand [identity]."""

import pytest

from guide.plan.make import make_plan
from guide.read.model import PaceTerm
from guide.read.units import pace_seconds, parse_pace
from tests.plan.sums_of import cushion, read, shipped


@pytest.mark.parametrize(
    ("said", "pieces", "effort", "seconds"),
    [
        ("3 min", 7, 2.0, 180),  # the step, whatever is in it
        ("40 s per piece", 9, 2.0, 360),  # 9 · 40
        ("3.2 s per snip", 9, 11.0, 316.8),  # 9 · 11 = 99 snips
        ("45 s per piece + 6 s per square", 5, 8.0, 465),  # 5 · 45 + 40 · 6
        ("30 s per piece + 5 min per m", 4, 0.75, 1020),  # 4 · 30 + 3 · 300
        ("30 s per piece + 5 min per metre", 4, 0.75, 1020),
        ("2 min + 20 s per piece", 6, None, 240),
        ("3.2 s per snip", 9, None, 0),  # nothing to snip
    ],
)
def test_a_step_takes_its_pieces_times_what_is_in_each(said, pieces, effort, seconds):
    """Per snip, per square and per metre is a piece's effort times the pieces, never one added to the other."""
    assert pace_seconds(parse_pace(said), pieces, effort) == pytest.approx(seconds)


def test_a_pace_is_read_term_by_term():
    """Seconds and what they are per, each as it was written."""
    assert parse_pace("1 min + 45 s per piece + 4 min per m + 6 s per square") == (
        PaceTerm(60, "step"),
        PaceTerm(45, "piece"),
        PaceTerm(240, "m", "m"),
        PaceTerm(6, "effort", "square"),
    )


@pytest.mark.parametrize("wrong", ["", "per piece", "60 s each", "60 s per", "60 s + + 3 s"])
def test_what_is_no_pace_is_refused_with_what_to_write(wrong):
    with pytest.raises(ValueError, match="write it like 60 s per piece"):
        parse_pace(wrong)


@pytest.mark.parametrize(
    ("step", "pieces", "seconds"),
    [
        # 4 in between row seams, snipped every 1/2 in: 8 - 1 = 7 snips of 3.2 s; 4 seams in each of 3 rows.
        ("snip/rows", 12, 22.4),
        # 20 in across the face: 40 - 1 = 39 snips.
        ("snip/panel", 2, 124.8),
        # Two snips at each of 4 · 2 crossings.
        ("snip/crossings", 8, 6.4),
        # 21 1/4 in less 2 · 3/8 in is 20 1/2 in, 0.5207 m: 30 + 0.5207 · 300.
        ("join/panel", 2, 186.21),
    ],
)
def test_a_cushions_steps_take_what_their_snips_squares_and_metres_come_to(step, pieces, seconds):
    """Five by three blocks of 5 1/4 in squares, 5/8 in seams: 4 in of each square are seen."""
    plan = make_plan(read(cushion(free_end="3/8 in")), shipped())
    (one,) = [each for each in plan.steps if each.key == step]
    assert (one.pieces, one.pace_s) == (pieces, pytest.approx(seconds))


def test_cutting_takes_its_strips_and_its_squares():
    """60 squares of four prints, about 15 of each, 8 in the 43 in between the selvedges: 8 · 45 s + 60 · 6 s."""
    plan = make_plan(read(cushion()), shipped())
    cuts = [step for step in plan.steps if step.key.startswith("cut/pieces:") and ":square:" in step.key]
    assert [step.pieces for step in cuts] == [2, 2, 2, 2]
    assert sum(step.pieces * step.pace_s for step in cuts) == pytest.approx(720)
