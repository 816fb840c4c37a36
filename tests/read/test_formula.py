"""The language of sums: Python's arithmetic on an allow-list, with columns for every mistake."""

import ast
import math
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.read.dimensions import dim_of
from guide.read.formula import MAX_NODES, MAX_TEXT, FormulaError, compile_formula, most_parts, parts_of
from guide.read.places import read_stages, shipped_stages

AT = {"square": 152.4, "seam": 12.7, "across": 4.0, "down": 3.0, "closure": "zip", "gap": None, "yes": True}
DIMS = {
    "square": "length",
    "seam": "length",
    "across": "count",
    "down": "count",
    "closure": "text",
    "gap": "length",
    "yes": "flag",
}
CHOICES = {"closure": ("zip", "envelope", "none")}


def run(text):
    return compile_formula(text).run(AT)


def dim(text):
    return dim_of(compile_formula(text).tree, DIMS, CHOICES)


def verdict(tree, dims, choices, judge):
    """What a judge says of a formula: its dimension, or the refusal with its column."""
    try:
        return dim_of(tree, dims, choices, judge)
    except FormulaError as error:
        return error.message.replace("[", "").replace("]", ""), error.column


@pytest.mark.parametrize(
    ("text", "value"),
    [
        # [identity] Python's own precedence, which differs from some template languages
        ("-3 ** 2", -9), ("2 ** 3", 8), ("7 // 2", 3), ("-7 // 2", -4), ("7 % 3", 1),
        ("1 + 2 * 3", 7), ("(1 + 2) * 3", 9), ("sqrt(2)", math.sqrt(2)), ("max(1, 2, 3)", 3), ("min(4, 2)", 2),
        ("ceil(2.1)", 3), ("floor(2.9)", 2), ("round(2.5)", 3), ("abs(0 - 4)", 4),
        ("square - 2 * seam", 127.0), ("inch / 8", 3.175), ("3 * mm", 3), ("yd", 914.4), ("2 * cm", 20), ("m", 1000),
        ("1 if across > 3 else 2", 1), ("1 if closure == 'zip' else 2", 1), ("1 if closure != 'zip' else 2", 2),
        ("1 if yes else 0", 1), ("1 if not yes else 0", 0), ("1 if across > 3 and down > 3 else 0", 0),
    ],
)  # fmt: skip
def test_arithmetic_is_pythons(text, value):
    """What a maker would work out with paper and pencil."""
    assert run(text) == pytest.approx(value)


def test_a_near_whole_number_is_whole():
    """2 1/4 in by 3/4 in is exactly 3, although floats say 3.0000000000000004 or less [identity]."""
    assert compile_formula("ceil(a / b)").run({"a": 2.25 * 25.4, "b": 0.75 * 25.4}) == 3
    assert compile_formula("a // b").run({"a": 0.3, "b": 0.1}) == 3
    assert compile_formula("a % b").run({"a": 0.3, "b": 0.1}) == pytest.approx(0, abs=1e-12)
    assert compile_formula("a >= b").run({"a": 0.1 + 0.2, "b": 0.3}) is True
    assert compile_formula("a > b").run({"a": 0.1 + 0.2, "b": 0.3}) is False


@pytest.mark.parametrize(
    "text",
    ["gap + seam", "2 * gap", "max(gap, seam)", "gap > seam", "1 if gap > seam else 2", "-gap", "none", "none + 1"],
)
def test_what_does_not_apply_spreads(text):
    """A number that hangs from something that is not there is not there either."""
    assert run(text) is None


@pytest.mark.parametrize("text", ["closure == 'envelope' and gap > seam", "closure == 'zip' or gap > seam"])
def test_what_is_decided_already_needs_no_value(text):
    """False and unknown is false; true or unknown is true."""
    assert run(text) is (text.startswith("closure == 'zip'"))


@pytest.mark.parametrize(
    ("text", "column", "says"),
    [
        ("seam.real", 0, "a dot after a name"), ("seam[0]", 0, "square brackets"), ("(lambda: 1)()", 0, "is not a function"),
        ("9 ** 9 ** 9", 5, "a power must be"), ("2 ** across", 5, "a power must be"), ("__import__('os')", 0, "is not a function"),
        ("sqr(4)", 0, "did you mean sqrt?"), ("1 / 0", 0, "divides by 0"), ("seam @ seam", 0, "only + - * /"),
        ("1 < 2 < 3", 0, "compare two things at a time"), ("[1]", 0, "not allowed"), ("{1: 2}", 0, "not allowed"),
        ("'a' * 999999", 0, "only numbers"), ("1e999", 0, "too large"), ("f'{seam}'", 0, "not allowed"), ("None", 0, "nothing is none"),
        ("max(1)", 0, "takes 2 to 8"), ("round(1, 2)", 0, "takes 1 value"), ("~3", 0, "not allowed"), ("x := 3", 2, "not a formula"),
        ("closure = 'zip'", 8, "a single = is not a comparison"), ("1 +", 3, "stops short"), ("", 0, "not a formula"), ("seam if", 7, "not a formula"),
        ("sqrt", 0, "is a function"), ("1 in (1, 2)", 0, "compare"), ("seam; seam", 4, "not a formula"), ("sqrt(0 - 1)", 0, "below 0"),
        ("min(1)", 0, "takes 2 to 8"), ("ceil()", 0, "takes 1 value"), ("1500000000000000", 0, "too large"),
    ],
)  # fmt: skip
def test_everything_else_is_refused_with_its_column(text, column, says):
    """An allow-list: what is not named is not possible."""
    with pytest.raises(FormulaError, match=says.replace("+", r"\+").replace("*", r"\*").replace("?", r"\?")) as caught:
        run(text)
    assert caught.value.column == column


@pytest.mark.parametrize(
    "text", ["(" * 300 + "1" + ")" * 300, "1" + "+1" * 300, "-" * 400 + "1", "not " * 120 + "yes", "max(" * 90 + "1"]
)
def test_a_swollen_formula_is_refused_at_once(text):
    """Neither depth nor length can hold the program up."""
    start = time.perf_counter()
    with pytest.raises(FormulaError):
        run(text)
    assert time.perf_counter() - start < 1


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("square - 2 * seam", "length"), ("across * down", "count"), ("square * square", "area"), ("sqrt(square * seam)", "length"),
        ("square / seam", "count"), ("ceil(square / seam)", "count"), ("closure == 'zip'", "flag"), ("none", None),
        ("square if yes else none", "length"), ("0 if yes else seam", "length"), ("square ** 2 / seam", "length"),
    ],
)  # fmt: skip
def test_dimensions_follow_the_arithmetic(text, wanted):
    """A length times a length is an area, over a length a length again [identity]."""
    assert dim(text) == wanted


@pytest.mark.parametrize(
    ("text", "column", "says"),
    [
        ("across + seam", 9, "number and length"), ("square < 2", 9, "do not go together"), ("ceil(square)", 5, "plain number"),
        ("closure == 'zop'", 11, "did you mean zip?"), ("closure + 1", 0, "text cannot be reckoned"), ("saem", 0, "did you mean seam?"),
        ("1 if seam else 2", 5, "stands where yes or no"), ("square if yes else across", 19, "length and number"),
        ("square * square * square * square", 0, "nothing here is measured in"), ("max(square, 1)", 12, "length and number"),
        ("closure == closure", 11, "written out"), ("across == 'zip'", 10, "compared with a text"), ("not seam", 4, "stands where"),
    ],
)  # fmt: skip
def test_what_does_not_go_together_is_found_before_any_number_is(text, column, says):
    """The check needs no values, so a stage file is right for every project or for none."""
    with pytest.raises(FormulaError, match=says.replace("?", r"\?")) as caught:
        dim(text)
    assert caught.value.column == column


NAMES = st.sampled_from(
    ["square", "seam", "across", "down", "gap", "yes", "closure", "nothing", "2", "0", "1e5", "'zip'", "none", "inch"]
)


@st.composite
def formulas(draw, depth=3):
    if depth == 0 or draw(st.integers(0, 3)) == 0:
        return draw(NAMES)
    inner = formulas(depth=depth - 1)
    form = draw(st.sampled_from(["({} + {})", "({} - {})", "({} * {})", "({} / {})", "({} // {})", "({} % {})", "({} < {})", "({} == {})",
                                 "max({}, {})", "({} and {})", "({} or {})", "({} if yes else {})", "({} ** 2 + {})"]))  # fmt: skip
    return form.format(draw(inner), draw(inner))


@settings(max_examples=300)
@given(formulas())
def test_any_formula_gives_a_value_or_a_plain_refusal(text):
    """A formula from anyone can be wrong, and nothing worse."""
    try:
        compiled = compile_formula(text)
        dim_of(compiled.tree, DIMS, CHOICES)
        value = compiled.run(AT)
    except FormulaError as error:
        assert error.message
        assert 0 <= error.column <= len(text)
    else:
        assert value is None or isinstance(value, bool | str) or math.isfinite(value)


@settings(max_examples=300)
@given(st.text(max_size=60))
def test_any_text_gives_a_formula_or_a_plain_refusal(text):
    """No text makes the reader fail in any other way."""
    try:
        compile_formula(text)
    except FormulaError as error:
        assert error.message


@settings(max_examples=200)
@given(st.floats(1, 1e4), st.floats(1, 1e3), st.floats(0.1, 10))
def test_lengths_scale_together(a, b, k):
    """A sum of lengths scales by k when all its lengths do [identity]: no hidden constant."""
    formula = compile_formula("sqrt((a - 2 * b) ** 2) * 2 + max(a, b)")
    assert formula.run({"a": k * a, "b": k * b}) == pytest.approx(k * formula.run({"a": a, "b": b}), rel=1e-9)


@settings(max_examples=300)
@given(formulas())
def test_plain_exponents_say_of_any_formula_what_pint_says(text):
    """Dimensions by the exponents of length and time alone [judge: pint's `UnitsContainer`], refusals and all."""
    try:
        tree = compile_formula(text).tree
    except FormulaError:
        return
    assert verdict(tree, DIMS, CHOICES, "exponents") == verdict(tree, DIMS, CHOICES, "pint")


def test_plain_exponents_say_of_the_shipped_formulas_what_pint_says():
    """Every sum, condition, count and part of the stages that a plan loads without pint is good by pint's rules."""
    texts = {path.stem: (path.name, path.read_text(encoding="utf-8")) for path in shipped_stages().glob("*.yaml")}
    light, heavy = (read_stages(texts, judge) for judge in ("exponents", "pint"))
    assert heavy[1] == light[1] == []
    assert len(heavy[0].order) > 100
    assert light[0].dims == heavy[0].dims


@pytest.mark.parametrize(
    ("text", "wanted"),
    [("seam * none", None), ("none * seam", None), ("seam * 0", "length"), ("0 * seam", "length"), ("0 * 0", "count")],
)
def test_times_none_is_none_and_times_nought_is_what_it_is_times(text, wanted):
    """On either side: what does not apply applies to no product; nought of a length is a length [identity]."""
    assert dim(text) == wanted


@pytest.mark.parametrize("text", ["a", "-a", "--a", "a<b", "a-b-c", "not a", "a and b", "a if b else c", "[a]", "[*a]", "{*a}", "(a,)", "a()", "a[b]",
                                  "a[::]", "()", "lambda:0", "f'{a}'", "~a", "{a:b}", "[a for a in b]", "a<b<c", "a.b", "...", "a:=b"])  # fmt: skip
def test_no_formula_has_more_parts_than_its_letters_allow(text):
    """What is not counted part by part because it is short is no longer than it may be [identity, on every kind of part]."""
    assert parts_of(ast.parse(f"({text})", mode="eval").body) <= most_parts(f"({text})")
    assert MAX_NODES // 2 < MAX_TEXT


def test_a_formula_of_too_many_parts_is_refused():
    """-a is 4 parts, a plus 2: 34 of them joined make 202, 33 make 196; 200 are allowed [identity]."""
    with pytest.raises(FormulaError, match="too long"):
        compile_formula("+".join(["-a"] * 34))
    assert compile_formula("+".join(["-a"] * 33)).names == {"a"}
