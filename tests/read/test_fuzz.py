"""Hostile files: whatever the bytes say, a value or a problem in one line; never a crash, a hang or a swelling.

Run in a child of its own, whose memory is bounded from outside. FRAYWORK_FULL=1 runs 20,000 of each.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from guide.read.formula import FormulaError, compile_formula
from guide.read.template import TemplateProblem, render

ROOT = Path(__file__).parent.parent.parent
FULL = bool(os.environ.get("FRAYWORK_FULL"))
QUICK = {"project": 400, "stage": 120, "formula": 1000, "template": 400}
MOST_MB = 200
SLOWEST_S = 1.0  # of the processor, so that a busy machine does not decide


def fuzzed(kind: str, count: int) -> dict[str, float]:
    """Run the child over one kind of case; its last line is what it measured."""
    child = [sys.executable, str(Path(__file__).parent / "fuzz_child.py"), kind, str(count)]
    done = subprocess.run(child, capture_output=True, encoding="utf-8", cwd=ROOT, timeout=60 + count, check=False)
    assert done.returncode == 0, done.stderr[-2000:] + done.stdout[-2000:]
    return {key: float(value) for key, value in (pair.split("=") for pair in done.stdout.split("\n")[-2].split())}


@pytest.mark.parametrize("kind", ["project", "stage", "formula", "template"])
def test_nothing_a_stranger_writes_crashes_hangs_or_swells(kind):
    """Every mutated file, random formula and random text ends as a value or a problem, in under 1 s and 200 MB."""
    count = 20_000 if FULL else QUICK[kind]
    measured = fuzzed(kind, count)
    assert measured["cases"] == count
    assert measured["values"] > 0  # or the mutations only ever broke the file at once
    assert measured["problems"] > 0
    assert measured["slowest_s"] < SLOWEST_S
    assert measured["peak_mb"] < MOST_MB


@pytest.mark.parametrize("text", ["-kind", "-'zip'", "- -kind"])
def test_a_text_has_no_minus(text):
    """Found by the fuzz: a minus before a text is a problem in words. [identity]"""
    with pytest.raises(FormulaError, match="only numbers"):
        compile_formula(text).run({"kind": "throw"})


@pytest.mark.parametrize(
    "text", ["{{ square * 999999999 }}", "{{ 1e999 }}", "{{ x == 1e999 }}", "{{ 'a' ~ 'b' * 99999999 }}"]
)
def test_a_text_cannot_swell(text):
    """Found by the fuzz: names stand for texts too, so a text that may multiply may also fill the memory. [identity]"""
    with pytest.raises(TemplateProblem):
        render(text, {"square": "5 in", "x": 1.0})
