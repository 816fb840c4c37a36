"""The language of sums: small enough to read at a glance, strict enough for a stranger's file.

Python's expression grammar cut down to an allow-list: numbers, names, + - * / // % **, comparisons,
and/or/not, `x if c else y`, a fixed table of functions and unit names. No attributes, no loops, nothing
that can reach the program or run for long. A name that does not apply is none and spreads.
"""

import ast
import math
import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Literal

import msgspec

from guide.read.model import did_you_mean
from guide.read.spoken import plural
from guide.read.units import CM, INCH, METRE, MM, YARD

Value = float | str | bool | None
Names = Mapping[str, Value]

UNITS: dict[str, float] = {"mm": MM, "cm": CM, "m": METRE, "inch": INCH, "yd": YARD}
MAX_TEXT, MAX_NODES, MAX_SIZE, TOLERANCE = 500, 200, 1e15, 1e-9
WORDS = frozenset({"none", *UNITS})


class FormulaError(Exception):
    """A formula that cannot be read or worked out: what is wrong, and the 0-based column."""

    def __init__(self, message: str, column: int = 0) -> None:
        super().__init__(message)
        self.message, self.column = message, column


class Compiled(msgspec.Struct, frozen=True):
    """A formula ready to be worked out, with the names it reads."""

    text: str
    tree: ast.expr
    names: frozenset[str]
    run: Callable[[Names], Value]


def same(a: float, b: float) -> bool:
    """Whether two numbers are equal within 1e-9 of the larger."""
    return abs(a - b) <= TOLERANCE * max(abs(a), abs(b))


def floor_(x: float) -> float:
    """Whole part, where 2.9999999999 counts as 3."""
    up = math.ceil(x)
    return float(up) if same(up, x) else float(math.floor(x))


def ceil_(x: float) -> float:
    """Next whole number, where 3.0000000001 counts as 3."""
    down = math.floor(x)
    return float(down) if same(down, x) else float(math.ceil(x))


def _sqrt(x: float) -> float:
    """Take the square root. Raises FormulaError below 0."""
    if x < 0:
        raise FormulaError("sqrt of a number below 0")
    return math.sqrt(x)


class Function(msgspec.Struct, frozen=True):
    """A function of the language: what works it out, how many values it takes, what it is measured in, its help.

    `gives`: what its values all are (alike), what its one value is (same), a plain number of a plain number (plain), or
    the root of it.
    """

    run: Callable[..., float]
    least: int
    most: int
    gives: Literal["alike", "same", "plain", "root"]
    says: str


FUNCTIONS: dict[str, Function] = {
    "min": Function(min, 2, 8, "alike", "the least of 2 to 8 values"),
    "max": Function(max, 2, 8, "alike", "the greatest of 2 to 8 values"),
    "abs": Function(abs, 1, 1, "same", "without its sign"),
    "ceil": Function(ceil_, 1, 1, "plain", "up to the next whole number; a hair over 3 is 3"),
    "floor": Function(floor_, 1, 1, "plain", "down to a whole number; a hair under 3 is 3"),
    "round": Function(lambda x: floor_(x + 0.5), 1, 1, "plain", "to the nearest whole number, halves up"),
    "sqrt": Function(_sqrt, 1, 1, "root", "square root; of an area it is a length"),
}


def _divide(a: float, b: float) -> float:
    """Divide. Raises FormulaError by 0."""
    if b == 0:
        raise FormulaError("divides by 0")
    return a / b


def _whole(a: float, b: float) -> float:
    return floor_(_divide(a, b))


def _rest(a: float, b: float) -> float:
    rest = a - b * _whole(a, b)
    return 0.0 if same(a, a - rest) else rest


_BINARY: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: lambda a, b: a + b,
    ast.Sub: lambda a, b: a - b,
    ast.Mult: lambda a, b: a * b,
    ast.Div: _divide,
    ast.FloorDiv: _whole,
    ast.Mod: _rest,
    ast.Pow: lambda a, b: a**b,
}
_COMPARE: dict[type[ast.cmpop], Callable[[float, float], bool]] = {
    ast.Eq: same,
    ast.NotEq: lambda a, b: not same(a, b),
    ast.Lt: lambda a, b: a < b and not same(a, b),
    ast.LtE: lambda a, b: a < b or same(a, b),
    ast.Gt: lambda a, b: a > b and not same(a, b),
    ast.GtE: lambda a, b: a > b or same(a, b),
}


def most_parts(text: str) -> int:
    """Say how many parts a formula can have at most: a letter is a name and that it is read, a sign as much."""
    return 2 * len(text)


def parts_of(tree: ast.expr) -> int:
    """Count the parts of a formula."""
    return sum(1 for _ in ast.walk(tree))


@lru_cache(maxsize=2048)
def compile_formula(text: str) -> Compiled:
    """Read a formula. Raises FormulaError with the column of what is wrong."""
    if len(text) > MAX_TEXT:
        raise FormulaError(f"the formula is longer than {MAX_TEXT} characters; give parts of it names")
    try:
        tree = ast.parse(text.strip(), mode="eval").body
    except SyntaxError as error:
        # Python says of most slips only that its grammar is hurt: those that makers make are looked for first.
        at_end = (error.lineno or 1) > 1 or not error.offset
        if equals := re.search(r"(?<![=!<>:])=(?!=)", text.strip()):
            raise FormulaError("a single = is not a comparison; write ==", equals.start()) from None
        if unit := re.search(rf"(\d+(?:\.\d+)?)\s+({'|'.join(UNITS)})\b", text.strip()):
            raise FormulaError(f"a unit is multiplied: write {unit[1]} * {unit[2]}", unit.start(2)) from None
        if text.rstrip().endswith(("+", "-", "*", "/", "%", "(", ",", "and", "or", "not")):
            raise FormulaError("the formula stops short; write it like square - 2 * seam", len(text.strip())) from None
        raise FormulaError(_syntax(error), len(text.strip()) if at_end else (error.offset or 1) - 1) from None
    except (ValueError, RecursionError, MemoryError):
        raise FormulaError("this cannot be read as a formula") from None
    if most_parts(text) > MAX_NODES and parts_of(tree) > MAX_NODES:
        raise FormulaError("the formula is too long; give parts of it names")
    names: set[str] = set()
    try:
        run = _compile(tree, names)
    except RecursionError:
        raise FormulaError("the formula is nested too deeply") from None
    return Compiled(text, tree, frozenset(names), run)


def _syntax(error: SyntaxError) -> str:
    said = (error.msg or "").lower()
    if "nested" in said:
        return "nested too deeply"
    if "leading zeros" in said:
        return "a number may not begin with 0"
    return "this is not a formula; write it like square - 2 * seam"


def _compile(node: ast.expr, names: set[str]) -> Callable[[Names], Value]:
    """Make what works a part out, and gather the names in it. Raises FormulaError for what is not allowed."""
    make = _MAKERS.get(type(node))
    if make is None:
        word = {ast.Attribute: "a dot after a name", ast.Subscript: "square brackets", ast.Lambda: "lambda"}
        raise FormulaError(f"{word.get(type(node), 'this')} is not allowed in a formula", node.col_offset)
    return make(node, names)


def _constant(node: ast.Constant, _names: set[str]) -> Callable[[Names], Value]:
    """Make a number or a text. Raises FormulaError for anything else, and for what is too large."""
    value = node.value
    if isinstance(value, str):
        return lambda _: value
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise FormulaError("write numbers, names or 'texts'; nothing is none", node.col_offset)
    if not abs(value) <= MAX_SIZE:
        raise FormulaError("the number is too large", node.col_offset)
    number = float(value)
    return lambda _: number


def _name(node: ast.Name, names: set[str]) -> Callable[[Names], Value]:
    """Make what looks a name up. Raises FormulaError for a function without its values."""
    name = node.id
    if name == "none":
        return lambda _: None
    if name in UNITS:
        size = UNITS[name]
        return lambda _: size
    if name in FUNCTIONS:
        raise FormulaError(f"{name} is a function; write {name}(…)", node.col_offset)
    names.add(name)
    return lambda given: given[name]


def _binary(node: ast.BinOp, names: set[str]) -> Callable[[Names], Value]:
    """Make what reckons with two parts.

    Raises FormulaError for another sign or power, and later for what is no number.
    """
    operate = _BINARY.get(type(node.op))
    if operate is None:
        raise FormulaError("only + - * / // % and ** work here", node.col_offset)
    if isinstance(node.op, ast.Pow) and not (
        isinstance(node.right, ast.Constant) and type(node.right.value) is int and 0 <= node.right.value <= 4
    ):
        raise FormulaError("a power must be a plain 0, 1, 2, 3 or 4", node.right.col_offset)
    left, right, at = _compile(node.left, names), _compile(node.right, names), node.col_offset

    def run(given: Names) -> Value:
        a, b = left(given), right(given)
        if a is None or b is None:
            return None
        try:
            return _bounded(operate(a, b), at)  # type: ignore[arg-type]
        except TypeError:
            raise FormulaError("only numbers can be reckoned with", at) from None
        except FormulaError as error:
            raise FormulaError(error.message, at) from None

    return run


def _bounded(value: float, at: int) -> float:
    """Let a result pass. Raises FormulaError for one that is too large."""
    if not abs(value) <= MAX_SIZE:
        raise FormulaError("the result is too large", at)
    return value


def _unary(node: ast.UnaryOp, names: set[str]) -> Callable[[Names], Value]:
    """Make what a sign before a part does. Raises FormulaError for ~."""
    inner = _compile(node.operand, names)
    if isinstance(node.op, ast.Not):
        return lambda given: None if (v := inner(given)) is None else not v
    if isinstance(node.op, ast.USub):
        at = node.operand.col_offset
        return lambda given: None if (v := inner(given)) is None else -_numeric(v, at)
    if isinstance(node.op, ast.UAdd):
        return inner
    raise FormulaError("~ is not allowed in a formula", node.col_offset)


def _numeric(value: Value, at: int) -> float:
    """Let a number pass. Raises FormulaError for anything else."""
    if isinstance(value, str) or value is None:
        raise FormulaError("only numbers can be reckoned with", at)
    return value


def _compare(node: ast.Compare, names: set[str]) -> Callable[[Names], Value]:
    """Make what compares two parts.

    Raises FormulaError for more than two or another sign, and later for texts set in order.
    """
    if len(node.ops) != 1:
        raise FormulaError("compare two things at a time; join them with and", node.col_offset)
    test = _COMPARE.get(type(node.ops[0]))
    if test is None:
        raise FormulaError("only == != < <= > >= compare here", node.col_offset)
    left, right, at = _compile(node.left, names), _compile(node.comparators[0], names), node.col_offset
    equal, unequal = isinstance(node.ops[0], ast.Eq), isinstance(node.ops[0], ast.NotEq)

    def run(given: Names) -> Value:
        a, b = left(given), right(given)
        if a is None or b is None:
            return None
        if isinstance(a, str) or isinstance(b, str):
            if not (equal or unequal):
                raise FormulaError("texts can only be == or !=", at)
            return (a == b) == equal
        return test(a, b)

    return run


def _boolean(node: ast.BoolOp, names: set[str]) -> Callable[[Names], Value]:
    parts = [_compile(value, names) for value in node.values]
    stop = isinstance(node.op, ast.Or)

    def run(given: Names) -> Value:
        unknown = False
        for part in parts:
            value = part(given)
            if value is None:
                unknown = True
            elif bool(value) == stop:
                return stop
        return None if unknown else not stop

    return run


def _either(node: ast.IfExp, names: set[str]) -> Callable[[Names], Value]:
    test, yes, no = (_compile(part, names) for part in (node.test, node.body, node.orelse))

    def run(given: Names) -> Value:
        chosen = test(given)
        return None if chosen is None else yes(given) if chosen else no(given)

    return run


def _call(node: ast.Call, names: set[str]) -> Callable[[Names], Value]:
    """Make what calls a function.

    Raises FormulaError for one there is not, or not so many values, and later for what it cannot do.
    """
    if not isinstance(node.func, ast.Name) or node.func.id not in FUNCTIONS:
        said = node.func.id if isinstance(node.func, ast.Name) else "this"
        raise FormulaError(
            f"{said} is not a function here{did_you_mean(said, FUNCTIONS)}; there are {', '.join(FUNCTIONS)}",
            node.col_offset,
        )
    name, at = node.func.id, node.col_offset
    function = FUNCTIONS[name]
    least, most = function.least, function.most
    if node.keywords or not least <= len(node.args) <= most:
        count = f"{least}" if least == most else f"{least} to {most}"
        raise FormulaError(f"{name} takes {count} {plural('value', most)}", at)
    parts = [_compile(arg, names) for arg in node.args]

    def run(given: Names) -> Value:
        values = [part(given) for part in parts]
        if any(value is None for value in values):
            return None
        try:
            return function.run(*values)
        except FormulaError as error:
            raise FormulaError(error.message, at) from None
        except (TypeError, OverflowError):
            raise FormulaError(f"{name} works on numbers only", at) from None

    return run


_MAKERS: dict[type[ast.expr], Callable[..., Callable[[Names], Value]]] = {
    ast.Constant: _constant,
    ast.Name: _name,
    ast.BinOp: _binary,
    ast.UnaryOp: _unary,
    ast.Compare: _compare,
    ast.BoolOp: _boolean,
    ast.IfExp: _either,
    ast.Call: _call,
}
