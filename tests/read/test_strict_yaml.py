"""YAML without surprises: every trap of the format is refused or read as it looks, each with its place."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.read.strict_yaml import MAX_DEPTH, load


def value(text):
    loaded = load(text, "f.yaml")
    assert not loaded.problems, loaded.problems
    return loaded.data


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        # [source: YAML 1.2.2 core schema] only true/false, null, decimal integers and floats are not text;
        # YAML 1.1 would read these as booleans, base-60 numbers, octals and dates.
        ("a: no", "no"), ("a: off", "off"), ("a: yes", "yes"), ("a: 1:30", "1:30"), ("a: 012", "012"), ("a: 0x1F", "0x1F"),
        ("a: 2026-01-02", "2026-01-02"), ("a: 2026-13-45", "2026-13-45"), ("a: 1_000", "1_000"), ("a: true", True),
        ("a: false", False), ("a: 5e3", 5000.0), ("a: 1.50", 1.5), ("a: .5", 0.5), ("a: -3", -3), ("a: ~", None), ("a:", None),
        ("a: 1/4", "1/4"), ("a: 6 in", "6 in"), ("a: 12345678901234567890", "12345678901234567890"), ("a: 'true'", "true"),
    ],
)  # fmt: skip
def test_a_plain_value_is_what_it_looks_like(text, wanted):
    """Nothing is turned into something a maker did not write."""
    found = value(text)["a"]
    assert found == wanted
    assert type(found) is type(wanted)


@pytest.mark.parametrize(
    ("text", "line", "column", "says"),
    [
        ("a: 1\na: 2", 2, 1, "already given on line 1"),
        ("x: {a: 1, b: 2, a: 3}", 1, 17, "already given on line 1"),
        ("a: &x [1]\nb: *x", 2, 4, "aliases"),
        ("a: &x [*x]", 1, 8, "aliases"),
        ("<<: {a: 1}", 1, 1, "merge keys"),
        ("a: !!python/object:os.system x", 1, 4, "tag"),
        ("a: !!int x", 1, 4, "tag"),
        ("a: !mine x", 1, 4, "tag"),
        ('a: "\\e[31m"', 1, 4, "control character U+001B"),
        ("a: \u202eabc", 1, 4, "U+202E"),
        ("a: b\x07", 1, 5, "U+0007"),
        ("", 1, 1, "empty"),
        ("# only a comment", 1, 1, "empty"),
        ("a: [1, 2", 2, 1, "is not closed, or a comma is missing"),
        ("a:\n  - {b: oat, c: #e8dcc0, d: 1}\ne: 2", 2, 17, 'write a colour in quotes: "#e8dcc0"'),
        ("a:\n  - {b: [{x: 1}], c: #fff}\n", 2, 22, 'write a colour in quotes: "#fff"'),
        ("a: {b: 1, # bread\nc: 2", 3, 1, "is not closed, or a comma is missing"),
        ("a: {b: 1, # {fff}\nc: 2", 3, 1, "is not closed, or a comma is missing"),
        ("a: b: c", 1, 5, "a second : on this line"),
        ("{[a]: 1}", 1, 2, "a key must be a word"),
        ("[" * 900, 1, MAX_DEPTH + 1, "nested deeper"),
        ("a: x\n\tb: y", 2, 1, "tab"),
        ("a: {b: 1,, c: 2}", 1, 10, "nothing stands before this sign; write what belongs there, or take a comma out"),
        ("a: [1,, 2]", 1, 7, "nothing stands before this sign"),
        ("a: >x\n  b", 1, 5, "a text cannot begin with this sign"),
        ("a: {b: 1}}", 1, 10, "follows a closed bracket or quotation mark"),
        ("a:\n  b: 'x' y", 2, 10, "follows a closed bracket or quotation mark"),
        ("a: 1\n b: 2\n  c: 3\nd: 4", 2, 2, "stands too far in or out"),
        ("a:\n  b: 1\n c: 2", 3, 2, "stands too far in or out"),
    ],
)  # fmt: skip
def test_a_trap_is_refused_at_its_place(text, line, column, says):
    """Line and column are 1-based and point at what is wrong."""
    problems = load(text, "f.yaml").problems
    assert len(problems) == 1
    assert (problems[0].line, problems[0].column) == (line, column)
    assert says in problems[0].message


def test_a_large_file_is_refused_before_it_is_read():
    """A project or stage file is far smaller than 1 MiB."""
    assert "over 1024 KiB" in load("a: " + "x" * (1 << 20), "f").problems[0].message
    assert "too many values" in load("a: [" + "1," * 60_000 + "]", "f").problems[0].message
    assert "characters; shorten" in load("a: " + "x" * 30_000, "f").problems[0].message


def test_places_are_those_of_keys_and_values():
    """Every value and key knows its line and column, so every later problem can be placed."""
    loaded = load("grid: {across: 4, down: 3}\nprints:\n  - name: moss check\n", "p.yaml")
    assert (loaded.place(("grid", "down")).line, loaded.place(("grid", "down")).column) == (1, 25)
    assert loaded.place(("grid", "down"), key=True).column == 19
    assert loaded.place(("prints", 0, "name")).column == 11
    assert loaded.place(("prints", 0, "width")).line == 3  # not written: its print's place


@settings(max_examples=300)
@given(st.text(max_size=80))
def test_any_text_is_data_or_problems(text):
    """Nothing that a file can hold makes the reader fail."""
    loaded = load(text, "f")
    assert loaded.problems or loaded.data is None or isinstance(loaded.data, dict | list | str | int | float | bool)


@settings(max_examples=200)
@given(st.text("{}[]:,-'\"#&*!|>%@` \n\tab1", max_size=60))
def test_any_mix_of_yamls_own_signs_is_data_or_problems(text):
    """Nor anything made of the signs YAML gives a meaning to."""
    for problem in load(text, "f").problems:
        assert problem.line >= 1
        assert problem.column >= 1
        assert problem.message
