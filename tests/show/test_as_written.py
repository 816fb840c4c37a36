"""Lengths as people take them: a ruler where it is set, thread by the yard, and two that differ never shown alike."""

import json
import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from guide.errors import GuideError
from guide.plan.make import make_plan
from guide.plan.model import Quantity
from guide.read.project import read_project
from guide.read.units import INCH, parse_length, show_length, told_apart
from guide.show.words import text_of
from tests.commands.conftest import guide, workshop
from tests.plan.sums_of import cushion, read, shipped

__all__ = ["guide", "workshop"]


@pytest.mark.parametrize(
    ("mm", "inch", "metric"),
    [
        (311.3125 * INCH, "≈ 8.6 yd", "≈ 7.9 m"),  # 311 5/16 in: 8.6476 yd, 7.9073 m
        (9144.0, "10 yd", "≈ 9.1 m"),
        (1500.0, "≈ 1.6 yd", "1.5 m"),  # 1.6404 yd
        (100_000.0, "≈ 109.4 yd", "100 m"),  # 109.3613 yd
    ],
)
def test_thread_is_told_in_yards_or_metres_to_one_place(mm, inch, metric):
    """A yard is 914.4 mm. [source: international yard agreement 1959]"""
    for name in ("thread", "thread_needle", "thread_tails"):
        quantity = Quantity(name, mm, "length", formula="…")
        assert (text_of(quantity, "inch"), text_of(quantity, "metric")) == (inch, metric)
    assert text_of(Quantity("stitched", 311.3125 * INCH, "length", formula="…"), "inch") == "311 5/16 in"


def test_a_loose_end_is_told_as_a_length_and_not_as_a_tenth_of_a_yard():
    """80 mm are 0.0875 yd, so 192 ends of ≈ 0.1 yd would be told beside a sum of 16.8 yd, not of 19.2. [identity]"""
    end = Quantity("thread_tail", 80.0, "length")
    assert (text_of(end, "inch"), text_of(end, "metric")) == ("≈ 3 1/8 in", "8 cm")


def test_no_thread_of_a_small_cushion_is_told_in_sixteenths(guide, workshop):
    """One of every thread there is, in every table and text: none in fractions of an inch beyond a tenth of a yard."""
    project = workshop / "sessions" / "window-seat-cushion" / "project.yaml"
    project.write_text(
        project.read_text(encoding="utf-8").replace("{across: 4, down: 3}", "{across: 2, down: 2}"), encoding="utf-8"
    )
    quantities = json.loads(guide("plan", "--json").out)["quantities"]
    told = {name: row["text"] for name, row in quantities.items() if name.startswith("thread") and row["unit"] == "mm"}
    small = {name for name in told if quantities[name]["value"] < 45.72}  # half of 1/10 yd
    assert {"thread", "thread_needle", "thread_bobbin"} <= told.keys() - small
    for name in told.keys() - small - {"thread_per_spool", "thread_tail"}:
        assert re.fullmatch(r"(≈ )?\d+(\.\d)? yd", told[name]), (name, told[name])
    assert re.search(r"\n  thread +≈ [0-9.]+ yd\n", guide("plan").out)


MIXED = {"square": "19.5 cm", "seam": "1.2 cm", "wadding": {"gap": "1.2 cm"}}


def test_a_ruler_is_set_to_what_the_project_wrote(guide, workshop):
    """An inch project with squares of 19.5 cm, which is 7.677 in: nobody sets a ruler to ≈ 7 11/16 in."""
    folder = workshop / "sessions" / "mixed"
    folder.mkdir()
    (folder / "project.yaml").write_text(json.dumps(cushion(**MIXED)), encoding="utf-8")
    order = guide("plan", str(folder), "--cutting").out
    assert "ruler at 19.5 cm, cut across; from it" in order.replace("from each", "from it")
    assert re.search(r"\s1(-\d+)?  19\.5 cm\n", order)
    data = json.loads(guide("plan", str(folder), "--json").out)
    parts = [part for one in data["cutting"] for part in one["parts"] if part["name"] == "square"]
    assert {part["size_text"] for part in parts} == {"19.5 cm × 19.5 cm"}
    table = guide("plan", str(folder)).out
    assert " of 19.5 cm; " in table
    list_ = guide("checklist", str(folder), "--markdown", "-o", "-").out.replace("\N{NO-BREAK SPACE}", " ")
    assert "19.5 cm" in list_
    page = guide("plan", str(folder), "--page", "-").out.replace("\N{NO-BREAK SPACE}", " ")
    for text in (order, table, list_, page):
        assert not re.search(r"(?<!\d)7 11/16", text)


def test_ready_squares_and_refusals_name_the_square_as_it_was_written():
    """The same 19.5 cm where squares lie ready, and where the cloth is too narrow for one."""
    prints = [{"name": "leaf", "width": "18 cm"}]
    with pytest.raises(GuideError) as refused:
        make_plan(read(cushion(**MIXED, prints=prints)), shipped())
    assert "square is 19.5 cm wide and 19.5 cm long" in str(refused.value)


def test_two_lengths_that_differ_are_never_told_alike():
    """Finer by a place until they differ; each for itself where they do already. 5.99 and 6.02 in are ≈ 6 in both."""
    assert told_apart("inch", 6 * INCH, 5.5 * INCH) == ["6 in", "5 1/2 in"]
    assert told_apart("inch", 5.99 * INCH, 6.02 * INCH) == ["5.99 in", "6.02 in"]
    assert told_apart("inch", 6 * INCH, 6.004 * INCH) == ["6 in", "6.004 in"]
    assert told_apart("metric", 61.5, 61.6) == ["6.15 cm", "6.16 cm"]
    assert told_apart("inch", 1.5, 0.875) == ["≈ 0.06 in", "≈ 0.03 in"]  # 1.5 mm beside ≈ 1/16 in, 1.59 mm
    assert told_apart("metric", 61.5, 61.5) == [show_length(61.5, "metric")] * 2


@given(st.sampled_from(["inch", "metric"]), st.floats(-500, 3000), st.floats(-3, 3))
def test_told_apart_says_which_is_longer(units, mm, more):
    """What is read off the two texts is in the order of the lengths, however near they are. [identity]"""
    assume(abs(more) > 1e-2)
    texts = told_apart(units, mm, mm + more)
    one, other = (float("-" * ("−" in text) + str(parse_length(text.lstrip("≈ −").replace(",", "")))) for text in texts)
    assert (one < other) == (more > 0)
    assert one != other


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        (
            {"units": "metric", "square": "6.15 cm", "seam": "1.54 cm", "wadding": {"gap": "1.6 cm"}},
            "a square of 6.15 cm is eaten up by its seams; write more than four seams, 6.16 cm",
        ),
        (
            {"seam": "1/2 in", "snips": {"every": "1/2 in", "clear": "12.71 mm", "at_crossing": 2}},
            "a snip that ends 0.5004 in from the stitching has no fringe left to cut; write less than the seam, 0.5 in",
        ),
    ],
)
def test_a_refusal_shows_what_is_wrong_with_a_length(changes, told):
    """4 × 1.54 cm is 6.16 cm; 12.71 mm is 0.50039 in, over a seam of 1/2 in. [identity]"""
    _, loaded = read_project(json.dumps(cushion(**changes)), "project.yaml", shipped().stages)
    assert any(told in str(problem).replace("≈ ", "") for problem in loaded.problems), list(map(str, loaded.problems))


def test_a_cloth_too_narrow_by_a_hair_shows_the_hair():
    """15.24 cm squares and cloth of 15.2 cm: shown to the millimetre both are 15.2 cm."""
    prints = [{"name": "leaf", "width": "15.2 cm", "selvedge": "0 cm"}]
    with pytest.raises(GuideError) as refused:
        make_plan(read(cushion(units="metric", square="152.4 mm", prints=prints)), shipped())
    assert "square is 152.4 mm wide" in str(refused.value)
    assert "the cloth gives 15.2 cm between its selvedges" in str(refused.value)
