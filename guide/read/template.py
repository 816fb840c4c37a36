"""Texts with names in them: Jinja2 in its sandbox, cut down to printing names and choosing words.

Only `{{ name }}`, comparisons, `{{ a if x else b }}` and `{% if %}`: no sums, no calls, no attributes, no
filters, no loops, so a stranger's file can neither reach out nor run on.
"""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from jinja2 import StrictUndefined, TemplateError, TemplateSyntaxError, UndefinedError, nodes
from jinja2.environment import Template
from jinja2.sandbox import ImmutableSandboxedEnvironment

from guide.read.spoken import said

OURS = frozenset({"kind", "closure", "part"})  # their values are words of ours, never names a maker gave
MAX_NODES, MAX_OUT, MAX_NUMBER = 400, 4000, 1e15
_ALLOWED = (
    nodes.Template, nodes.Output, nodes.TemplateData, nodes.Name, nodes.Const, nodes.CondExpr, nodes.Compare,
    nodes.Operand, nodes.And, nodes.Or, nodes.Not, nodes.If,
)  # fmt: skip


_CALLED = {
    "Call": "a call", "Getattr": "a dot after a name", "Getitem": "a [ ] after a name", "Filter": "a filter (|)",
    "For": "a loop", "Test": "a test (is)", "Assign": "setting a name",
}  # fmt: skip


class TemplateProblem(Exception):
    """A text that cannot be used as a template; the message says why."""


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
    for count, node in enumerate(tree.find_all(nodes.Node)):
        if count > MAX_NODES:
            raise TemplateProblem("the text is too long")
        if not isinstance(node, _ALLOWED):
            if isinstance(node, nodes.BinExpr | nodes.UnaryExpr):
                raise TemplateProblem("a text does not reckon; give the sum a name under work_out, and print that")
            what = _CALLED.get(type(node).__name__, type(node).__name__.lower())
            raise TemplateProblem(f"{what} is not allowed in a text; print a {{{{ name }}}}, or choose with if")
        if isinstance(node, nodes.Const) and isinstance(node.value, int | float) and abs(node.value) > MAX_NUMBER:
            raise TemplateProblem("a number in the text is too large")
    return tree


def names_in(text: str) -> set[str]:
    """List the names a text uses. Raises TemplateProblem."""
    return {node.name for node in _parse(text).find_all(nodes.Name)}  # nothing in a text can set one


def _unclosed(text: str) -> str:
    return "a {{ is not closed; write {{ name }}" if text.count("{{") > text.count("}}") else ""


@lru_cache(maxsize=2048)
def _template(text: str, words: str) -> Template:
    _parse(text)
    tree = _ENVIRONMENT.parse(text)  # a tree of its own, for its words are changed
    for output in tree.find_all(nodes.Output):
        output.nodes = [_say(part, words) for part in output.nodes]
    return _ENVIRONMENT.from_string(tree)


def _say(part: nodes.Expr, words: str) -> nodes.Expr:
    """Put what a text itself says in the project's words; what it compares, and every other value, stays as it is."""
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


def render(text: str, values: Mapping[str, Any], words: str = "british") -> str:
    """Print a text, its own words as `words` says, with plain values (texts, numbers, yes/no). TemplateProblem."""
    try:
        out = _template(text, words).render(values)
    except UndefinedError as error:
        raise TemplateProblem(f"the text names something that does not exist: {error.message}") from None
    except (TemplateError, TypeError, ValueError, ArithmeticError, RecursionError) as error:
        raise TemplateProblem(f"the text cannot be printed: {error}") from None
    return " ".join(out[:MAX_OUT].split())
