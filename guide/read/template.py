"""Texts with names in them: Jinja2 in its sandbox, cut down to printing names and choosing words.

Only `{{ name }}`, `{{ a if x else b }}` and `{% if %}`: no calls, no attributes, no filters, no loops, so a
stranger's file can neither reach out nor run on. What an if asks is a comparison of the formula language and is
worked out as one, with numbers and not with what is printed for them: `label_width > 6 * inch`.
"""

import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

import msgspec
from jinja2 import StrictUndefined, TemplateError, TemplateSyntaxError, UndefinedError, nodes
from jinja2.environment import Template
from jinja2.sandbox import ImmutableSandboxedEnvironment

from guide.read.dimensions import dim_of
from guide.read.formula import Compiled, FormulaError, Names, compile_formula
from guide.read.model import Dim
from guide.read.spoken import said

OURS = frozenset({"kind", "closure", "part"})  # their values are words of ours, never names a maker gave
MAX_NODES, MAX_OUT, MAX_NUMBER = 400, 4000, 1e15
_ASKED = (nodes.Compare, nodes.And, nodes.Or, nodes.Not)
_SUMS: dict[type[nodes.Expr], str] = {
    nodes.Add: "+", nodes.Sub: "-", nodes.Mul: "*", nodes.Div: "/", nodes.FloorDiv: "//", nodes.Mod: "%",
    nodes.Neg: "-", nodes.Pos: "+",
}  # fmt: skip
_ALLOWED = (
    nodes.Template, nodes.Output, nodes.TemplateData, nodes.Name, nodes.Const, nodes.CondExpr, nodes.Operand, nodes.If,
    *_ASKED,
)  # fmt: skip
_COMPARES = {"eq": "==", "ne": "!=", "lt": "<", "lteq": "<=", "gt": ">", "gteq": ">="}
_CALLED = {
    "Call": "a call", "Getattr": "a dot after a name", "Getitem": "a [ ] after a name", "Filter": "a filter (|)",
    "For": "a loop", "Test": "a test (is)", "Assign": "setting a name",
}  # fmt: skip
_MEASURED = frozenset({"length", "area", "time"})

Truth = Callable[[Names], bool | None]  # None: a name in it does not apply


class TemplateProblem(Exception):
    """A text that cannot be used as a template; the message says why."""


class Asked(msgspec.Struct, frozen=True):
    """What an if asks: how it is worked out, the comparisons in it, and the names it reads."""

    run: Truth
    compared: tuple[Compiled, ...]
    names: frozenset[str]


def _environment() -> ImmutableSandboxedEnvironment:
    environment = ImmutableSandboxedEnvironment(undefined=StrictUndefined, autoescape=False, optimized=False)
    environment.globals.clear()
    environment.filters = {"said": said}  # for OURS alone: no text may name a filter
    environment.tests.clear()
    return environment


_ENVIRONMENT = _environment()


@lru_cache(maxsize=2048)
def _parse(text: str) -> nodes.Template:
    try:
        tree = _ENVIRONMENT.parse(text)
    except TemplateSyntaxError as error:
        raise TemplateProblem(_unclosed(text) or f"the text cannot be read: {error.message}") from None
    except RecursionError:
        raise TemplateProblem("the text is nested too deeply") from None
    inside = {id(part) for one in tree.find_all(nodes.Compare) for part in one.find_all(tuple(_SUMS))}
    for count, node in enumerate(tree.find_all(nodes.Node)):
        if count > MAX_NODES:
            raise TemplateProblem("the text is too long")
        if not isinstance(node, _ALLOWED) and id(node) not in inside:
            if isinstance(node, nodes.BinExpr | nodes.UnaryExpr):
                raise TemplateProblem("a text does not reckon; give the sum a name under work_out, and print that")
            what = _CALLED.get(type(node).__name__, type(node).__name__.lower())
            raise TemplateProblem(f"{what} is not allowed in a text; print a {{{{ name }}}}, or choose with if")
        if isinstance(node, nodes.Const) and isinstance(node.value, int | float) and abs(node.value) > MAX_NUMBER:
            raise TemplateProblem("a number in the text is too large")
    return tree


def _unclosed(text: str) -> str:
    return "a {{ is not closed; write {{ name }}" if text.count("{{") > text.count("}}") else ""


def _asked(node: nodes.Node) -> Asked:
    """Read what an if asks. Raises TemplateProblem."""
    if isinstance(node, nodes.And | nodes.Or):
        parts, stop = (_asked(node.left), _asked(node.right)), isinstance(node, nodes.Or)
        return Asked(
            lambda names: _joined([part.run(names) for part in parts], stop=stop),
            parts[0].compared + parts[1].compared,
            parts[0].names | parts[1].names,
        )
    if isinstance(node, nodes.Not):
        part = _asked(node.node)
        return Asked(lambda names: None if (is_so := part.run(names)) is None else not is_so, part.compared, part.names)
    if isinstance(node, nodes.Compare):
        return _compared(node)
    if isinstance(node, nodes.Name):
        name = node.name
        return Asked(lambda names: None if names[name] is None else bool(names[name]), (), frozenset({name}))
    if isinstance(node, nodes.Const):
        plain = bool(node.value)
        return Asked(lambda _: plain, (), frozenset())
    raise TemplateProblem("an if asks for a name or a comparison, like {% if blocks > 1 %}")


def _joined(parts: list[bool | None], *, stop: bool) -> bool | None:
    return stop if stop in parts else None if None in parts else not stop


def _compared(node: nodes.Compare) -> Asked:
    left, right, sign = node.expr, node.ops[0].expr, _COMPARES.get(node.ops[0].op)
    if len(node.ops) != 1 or sign is None:
        raise TemplateProblem("compare two things at a time with == != < <= > >=; join them with and")
    for one, other in ((left, right), (right, left)):
        if isinstance(other, nodes.Const) and sign in {"==", "!="} and isinstance(other.value, bool | None):
            return _is(_asked(one), other.value, same=sign == "==")
    try:
        compiled = compile_formula(f"{_sum(left)} {sign} {_sum(right)}")
    except FormulaError as error:
        raise TemplateProblem(error.message) from None
    return Asked(lambda at: _flag(compiled.run(at)), (compiled,), compiled.names)


def _is(part: Asked, value: bool | None, *, same: bool) -> Asked:
    """Compare with true, false or none, which no formula has for a value."""
    if value is None:
        return Asked(lambda at: (part.run(at) is None) == same, part.compared, part.names)
    wanted = value == same
    return Asked(lambda at: None if (is_so := part.run(at)) is None else is_so == wanted, part.compared, part.names)


def _flag(value: object) -> bool | None:
    return None if value is None else bool(value)


def _sum(node: nodes.Expr) -> str:
    """Write one side of a comparison as the formula it is."""
    if isinstance(node, nodes.Name):
        return node.name
    if isinstance(node, nodes.Const):
        return "none" if node.value is None else repr(node.value)
    sign = _SUMS.get(type(node), "")
    if isinstance(node, nodes.BinExpr) and sign:
        return f"({_sum(node.left)} {sign} {_sum(node.right)})"
    if isinstance(node, nodes.UnaryExpr) and sign:
        return f"({sign}{_sum(node.node)})"
    raise TemplateProblem("each side of a comparison is a name, a number, a text or a sum of them")


class Ready(msgspec.Struct, frozen=True):
    """A text ready to be printed, the names it prints, and what it asks, by the name that stands for each answer."""

    template: Template
    printed: frozenset[str]
    asked: dict[str, Asked]

    @property
    def names(self) -> frozenset[str]:
        """Every name the text uses."""
        return self.printed.union(*(one.names for one in self.asked.values()))


@lru_cache(maxsize=2048)
def ready(text: str, words: str = "british") -> Ready:
    """Read a text, its own words as `words` says. Raises TemplateProblem."""
    _parse(text)
    tree = _ENVIRONMENT.parse(text)  # a tree of its own, for it is changed
    asked: dict[str, Asked] = {}

    def put(node: nodes.Node) -> nodes.Expr:
        asked[name := f"IF{len(asked)}"] = _asked(node)  # no name of a formula has a capital
        return nodes.Name(name, "load")

    def answered(node: nodes.Expr) -> nodes.Expr:
        if isinstance(node, nodes.CondExpr):
            node.test, node.expr1 = put(node.test), answered(node.expr1)
            node.expr2 = answered(node.expr2) if node.expr2 else nodes.Const("")
        return put(node) if isinstance(node, _ASKED) else node

    for one in tree.find_all(nodes.If):
        one.test = put(one.test)
    for output in tree.find_all(nodes.Output):
        output.nodes = [answered(part) for part in output.nodes]
    printed = frozenset(node.name for node in tree.find_all(nodes.Name)) - asked.keys()
    for output in tree.find_all(nodes.Output):
        output.nodes = [_say(part, words) for part in output.nodes]
    return Ready(_ENVIRONMENT.from_string(tree), printed, asked)


def _say(part: nodes.Expr, words: str) -> nodes.Expr:
    """Put what a text itself says in the project's words; every value stays as it is."""
    if isinstance(part, nodes.TemplateData):
        part.data = said(part.data, words)
    elif isinstance(part, nodes.Const) and isinstance(part.value, str):
        part.value = said(part.value, words)
    elif isinstance(part, nodes.CondExpr):
        part.expr1 = _say(part.expr1, words)
        part.expr2 = _say(part.expr2, words) if part.expr2 else None
    elif isinstance(part, nodes.Name) and part.name in OURS:
        return nodes.Filter(part, "said", [nodes.Const(words)], [], None, None)
    return part


class _Answer:
    """What an if asks, worked out only where the text comes to it."""

    def __init__(self, asked: Asked, numbers: Names, dims: Mapping[str, Dim]) -> None:
        self.asked, self.numbers, self.dims = asked, numbers, dims

    def __bool__(self) -> bool:
        for compared in self.asked.compared:
            if any(self.dims.get(name) in _MEASURED for name in compared.names):  # a journal's text was not checked so
                dim_of(compared.tree, self.dims, {}, "exponents")
        return bool(self.asked.run(self.numbers))

    def __str__(self) -> str:
        return "yes" if self else "no"


def render(
    text: str,
    values: Mapping[str, Any],
    words: str = "british",
    numbers: Names | None = None,
    dims: Mapping[str, Dim] | None = None,
) -> str:
    """Print a text, its own words as `words` says, with values as they are said (texts, counts, yes/no).

    What its ifs ask is worked out from `numbers`, as formulas have them, of dimensions `dims`. Raises TemplateProblem.
    """
    of = ready(text, words)
    answers = {name: _Answer(asked, numbers or values, dims or {}) for name, asked in of.asked.items()}
    try:
        out = of.template.render({name: values[name] for name in of.printed if name in values} | answers)
    except UndefinedError as error:
        raise TemplateProblem(f"the text names something that does not exist: {error.message}") from None
    except KeyError as error:
        raise TemplateProblem(f"the text names something that does not exist: {error}") from None
    except FormulaError as error:
        raise TemplateProblem(f"the text cannot be printed: {error.message}") from None
    except (TemplateError, TypeError, ValueError, ArithmeticError, RecursionError) as error:
        raise TemplateProblem(f"the text cannot be printed: {error}") from None
    return " ".join(out[:MAX_OUT].split())


_MARK = re.compile(r"\{%(.*?)%\}|\{\{(.*?)\}\}", re.DOTALL)


def plainly(text: str, values: Mapping[str, Any], words: str = "british") -> str:
    """Give the words of a text that cannot be printed: both ways of an if in brackets, the names it has filled in."""
    out, at = list[str](), 0
    for found in _MARK.finditer(text[:MAX_OUT]):
        out.append(said(text[at : found.start()], words))
        at = found.end()
        asks, name = ((part or "").strip(" -") for part in found.groups())
        mark, _, condition = asks.partition(" ")
        ways = {"if": f"[if {condition}: ", "elif": f" | if {condition}: ", "else": " | otherwise: ", "endif": "]"}
        out.append(ways.get(mark, "") if mark else str(values.get(name, name)))
    return " ".join("".join([*out, said(text[at:MAX_OUT], words)]).split())
