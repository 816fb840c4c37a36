"""One of a thing is said as one, and several as several, wherever a number meets a word [practice: English]."""

import re
from pathlib import Path

import pytest

from guide.read.spoken import _singular, are
from tests.commands.worked import worked

NOUNS = (
    "square|strip|block|row|seam|snip|spool|bobbin|layer|piece|step|print|sitting|session|record|crossing|stack|line"
    "|wadding square|batting square|day|corner|pile|cushion|throw"
)
# "1 blocks", "**1** spools", "1</b><span>crossings"; a number that counts on, 3.1 or 2 × 1, is another thing
ONE_OF_MANY = re.compile(rf"(?<![\d.,:/×–-])(?<!× )\b1\b(?:[ *]|</?\w+[^>\n]*>)+(?:{NOUNS})s\b")
MANY_OF_ONE = re.compile(
    rf"(?<![\d.,:/])\b(?!1\b)\d+\b(?:\*\* ?| |</?\w+[^>\n]*>)+(?:{NOUNS})\b(?! \d)(?![ -](?:seam|square|or))"
)

SMALL = """\
project: Small one
kind: {kind}
grid: {{across: {across}, down: {down}}}
square: 5 1/4 in
seam: 5/8 in
layers: {{above: {above}, below: 1}}
wadding: {wadding}
quilting: {quilting}
prints:
  - {{name: moss check, width: 44 in, price: 9.60 / yd}}
  - {{name: oat stripe, width: 44 in, price: 9.60 / yd}}
closure: {closure}
snips: {{at_crossing: 1}}
thread: {{price: 2.90}}
extras: [{{name: cushion pad, price: 7.50}}]
labour: {{rate: 18.00 / hour}}
"""
KINDS = {
    "one block": {"across": 1, "down": 1, "closure": "{type: envelope}"},
    "one crossing": {"across": 2, "down": 2, "closure": "{type: zip, after_row: 1}"},
    "one layer": {
        "kind": "throw", "across": 1, "down": 2, "closure": "none", "above": 1, "wadding": "none", "quilting": "none"
    },
}  # fmt: skip
BASE = {"kind": "cushion", "above": 1, "wadding": "{gap: 5/8 in}", "quilting": "cross"}


def text_of(guide, folder):
    """Everything the commands say of a project and its session."""
    worked(folder, 0, lambda step: step.pace_s)
    told = [
        guide(*argv, folder).out
        for argv in (
            ("plan",), ("plan", "--cutting"), ("layout",), ("price",), ("amend",), ("log", "--markdown", "-o", "-"),
            ("checklist", "--markdown", "-o", "-"), ("sheet", "--markdown", "-o", "-"), ("checklist", "-o", "-"),
            ("sheet", "-o", "-"), ("log", "-o", "-"),
        )
    ]  # fmt: skip
    told += [guide("history").out, guide("paces").out]
    guide("plan", folder, "--page", "plan.html")
    told.append(Path("plan.html").read_text(encoding="utf-8"))
    checked = guide("check", f"{folder}/2026-03-01.jsonl")
    pages = "\n".join([*told, checked.err]).replace("\u00a0", " ")
    return re.sub(r"<style.*?</style>|<svg.*?</svg>|<code>.*?</code>", "", pages, flags=re.DOTALL)


def wrongly(said):
    return {re.sub(r"<[^>]*>", " ", found[0]) for one in (ONE_OF_MANY, MANY_OF_ONE) for found in one.finditer(said)}


@pytest.mark.parametrize("name", KINDS)
def test_one_is_one_and_many_are_many(guide, name):
    """In tables, lists, labels and sentences of the smallest projects there are."""
    folder = "sessions/small"
    Path(folder).mkdir()
    Path(folder, "project.yaml").write_text(SMALL.format(**(BASE | KINDS[name])), encoding="utf-8")
    said = text_of(guide, folder)
    assert "; ".join(sorted(wrongly(said))) == ""
    assert not re.search(r"\d each\b|\bspool\(s\)", said)


def test_several_are_several(guide):
    """Six of the demo: six pads, its spools, its strips."""
    said = guide("price", "sessions/window-seat-cushion", "--set", "make=6").out
    assert "; ".join(sorted(wrongly(said))) == ""
    shop = guide("plan", "sessions/window-seat-cushion", "--set", "make=6", "--json").out
    assert '"4 spool"' not in shop


def test_a_word_of_many_becomes_one_of_one():
    """[practice: English] gas is one already, glass too; boxes are a box; and no squares are."""
    assert [_singular(word) for word in ("pins", "boxes", "gas", "glass")] == ["pin", "box", "gas", "glass"]
    assert [are(count) for count in (0, 1, 2)] == ["are", "is", "are"]
