"""Texts with names in them: read by Jinja2's grammar, cut down to printing names and choosing words.

Only `{{ name }}`, `{{ a if x else b }}` and `{% if %}`: no calls, no attributes, no filters, no loops, so a
stranger's file can neither reach out nor run on; what its tree says is printed here, no code is made
of it, which is quicker too. What an if asks is a comparison of the formula language and is
worked out as one, with numbers and not with what is printed for them: `label_width > 6 * inch`.
"""

import re
from collections import ChainMap
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import product
from math import prod
from typing import Any

import msgspec
from jinja2 import Environment, TemplateSyntaxError, nodes

from guide.read.check import Language, index_of
from guide.read.dimensions import dim_of
from guide.read.formula import Compiled, FormulaError, Names, Value, compile_formula
from guide.read.model import MOST_TOLD, TEXTS, Dim, Place, Problem, Stage, StepSpec, did_you_mean, lines_of, no_more
from guide.read.spoken import said
from guide.read.stage_keys import TABLES, TOOL_NAMES
from guide.read.stages import formulas_of
from guide.read.strict_yaml import load_again

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


_NAME = re.compile(r"\{\{ *([a-z][a-z0-9_]*) *\}\}")
_RESERVED = frozenset({"and", "or", "not", "if", "else", "in", "is", "true", "false", "none", "self", "loop"})
_GRAMMAR = Environment(autoescape=False)  # noqa: S701 - only reads


def _parse(text: str) -> nodes.Template:
    """Read a text by Jinja2's grammar. Raises TemplateProblem for what is not allowed in one."""
    try:
        tree = _GRAMMAR.parse(text)
    except TemplateSyntaxError as error:
        unclosed = text.count("{{") > text.count("}}") and "a {{ is not closed; write {{ name }}"
        raise TemplateProblem(unclosed or f"the text cannot be read: {error.message}") from None
    except RecursionError:
        raise TemplateProblem("the text is nested too deeply") from None
    # Jinja2 knows far more than a text may: what is not on the list is refused by its name before it is made ready.
    parts = list(tree.find_all(nodes.Node))
    inside = {id(sum_) for one in parts if isinstance(one, nodes.Compare) for sum_ in one.find_all(tuple(_SUMS))}
    for count, node in enumerate(parts):
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


def _names_alone(text: str) -> list[nodes.Node]:
    """Read a text that prints names and chooses nothing, as most do; nothing when the grammar has more to say of it."""
    words = _NAME.split(text)  # its own words and the names in turn
    if "{" in "".join(words[::2]) or not _RESERVED.isdisjoint(words[1::2]) or len(words) > MAX_NODES // 2:
        return []
    parts = [nodes.Name(one, "load") if at % 2 else nodes.TemplateData(one) for at, one in enumerate(words)]
    return [nodes.Output(parts)]


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
    """Read a comparison as the formula it is. Raises TemplateProblem when it is none."""
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
    """Write one side of a comparison as the formula it is. Raises TemplateProblem for what is no sum."""
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


Ask = Callable[[Asked], bool]
Printer = Callable[[Mapping[str, Any], Ask], str]  # by values as they are said, and what answers an if


class Ready(msgspec.Struct, frozen=True):
    """A text ready to be printed, the names it prints, and what it asks."""

    run: Printer
    printed: frozenset[str]
    asked: tuple[Asked, ...]

    @property
    def names(self) -> frozenset[str]:
        """Every name the text uses."""
        return self.printed.union(*(one.names for one in self.asked))


@lru_cache(maxsize=2048)
def ready(text: str, words: str = "british") -> Ready:
    """Read a text, its own words as `words` says. Raises TemplateProblem."""
    making = _Making(words)
    run = making.body(_names_alone(text) or _parse(text).body)
    return Ready(run, frozenset(making.printed), (*making.ifs, *making.chosen))


class _Making:
    """One walk over one text's tree: what it prints and asks is gathered on the way."""

    def __init__(self, words: str) -> None:
        self.words = words
        self.printed: set[str] = set()
        self.ifs: list[Asked] = []
        self.chosen: list[Asked] = []

    def body(self, several: Sequence[nodes.Node]) -> Printer:
        """Make what prints some parts one after another."""
        parts = [self.part(one) for one in several]
        return parts[0] if len(parts) == 1 else lambda values, ask: "".join([part(values, ask) for part in parts])

    def choice(self, node: nodes.If) -> Printer:
        """Make what prints one way of an if."""
        ways = [(self.asks(one.test, self.ifs), self.body(one.body)) for one in (node, *node.elif_)]
        otherwise = self.body(node.else_)
        return lambda values, ask: next((way for asked, way in ways if ask(asked)), otherwise)(values, ask)

    def asks(self, node: nodes.Node, among: list[Asked]) -> Asked:
        """Read what is asked, and keep it."""
        among.append(asked := _asked(node))
        return asked

    def part(self, node: nodes.Node) -> Printer:
        """Make what prints a piece: the text's own words in the project's, every value as it is."""
        if isinstance(node, nodes.Output):
            return self.body(node.nodes)
        if isinstance(node, nodes.If):
            return self.choice(node)
        if isinstance(node, nodes.CondExpr):
            asked, yes = self.asks(node.test, self.chosen), self.part(node.expr1)
            no = self.part(node.expr2 or nodes.Const(""))
            return lambda values, ask: (yes if ask(asked) else no)(values, ask)
        if isinstance(node, nodes.Name):
            self.printed.add(node.name)
            return self.value(node.name)
        if isinstance(node, _ASKED):
            asked = self.asks(node, self.chosen)
            return lambda _, ask: "yes" if ask(asked) else "no"
        own = node.data if isinstance(node, nodes.TemplateData) else node.value  # type: ignore[attr-defined]
        text = said(own, self.words) if isinstance(own, str) else str(own)
        return lambda _, __: text

    def value(self, name: str) -> Printer:
        """Make what prints the value of a name. Raises TemplateProblem, when it is printed, where there is none."""
        words = self.words if name in OURS else "british"

        def run(values: Mapping[str, Any], _: Ask) -> str:
            if name not in values:
                raise TemplateProblem(f"the text names something that does not exist: '{name}' is undefined")
            return str(said(values[name], words))

        return run


def render(
    text: str,
    values: Mapping[str, Any],
    words: str = "british",
    numbers: Names | None = None,
    dims: Mapping[str, Dim] | None = None,
) -> str:
    """Print a text, its own words as `words` says, with values as they are said (texts, counts, yes/no).

    What its ifs ask is worked out from `numbers`, as formulas have them, of dimensions `dims`, and only where the text
    comes to it. Raises TemplateProblem.
    """
    at, known = numbers or values, dims or {}

    def ask(asked: Asked) -> bool:
        for compared in asked.compared:
            if any(known.get(name) in _MEASURED for name in compared.names):  # a journal's text was not checked so
                dim_of(compared.tree, known, {}, "exponents")
        return bool(asked.run(at))

    try:
        out = ready(text, words).run(values, ask)
    except KeyError as error:
        raise TemplateProblem(f"the text names something that does not exist: {error}") from None
    except (FormulaError, TypeError, ValueError, ArithmeticError, RecursionError) as error:
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


# Checks that need a step's words too: names in texts, sums nothing uses, steps no project can reach.

MOST, MOST_IN_ALL = 4096, 100_000  # combinations of choices tried for one step, and for all


def check_texts(language: Language) -> list[Problem]:
    """Check that the texts of all steps name only what exists."""
    out: list[Problem] = []
    everywhere = language.dims.keys() | language.broken
    known_in = {each: everywhere | TABLES.get(each, {}).keys() for each in ("", *TABLES)}
    for stage in language.stages:
        for step in stage.steps:
            if len(out) >= MOST_TOLD:
                return out + no_more(out)
            known = known_in[step.each or ""]
            for key in TEXTS:
                try:
                    text = ready(getattr(step, key))
                except TemplateProblem as error:
                    out.append(_problem(stage, step, key, str(error)))
                    continue
                missing = sorted(text.names - known)
                for name in missing[: MOST_TOLD - len(out)]:
                    said = f"the text uses {name}, which does not exist{did_you_mean(name, known)}"
                    out.append(_problem(stage, step, key, said, name))
                out += [] if missing else _compares(stage, step, key, text, language)
            out += [
                _problem(stage, step, "tools", f"the tool uses {name}, {why}", name)
                for name in _tool_names(step)
                if (why := _no_count(name, language))
            ]
    return out


def _compares(stage: Stage, step: StepSpec, key: str, text: Ready, language: Language) -> list[Problem]:
    """Check that the text compares like with like, as a formula must."""
    dims = ChainMap(TABLES.get(step.each or "", {}), language.dims)
    out: list[Problem] = []
    for compiled in (one for asked in text.asked for one in asked.compared):
        two = len(compiled.names) == 2 and {dims.get(name) for name in compiled.names} == {"text"}
        if two or compiled.names & language.broken:  # a formula compares no text with another; a text may
            continue
        try:
            dim_of(compiled.tree, dims, language.choices, language.judge)
        except FormulaError as error:
            said = f"the text asks whether {compiled.text}: {error.message}"
            out.append(_problem(stage, step, key, said, min(compiled.names, key=compiled.text.find, default="")))
    return out


def _tool_names(step: StepSpec) -> set[str]:
    return {name for tool in step.tools for name in TOOL_NAMES.findall(tool)}


def _no_count(name: str, language: Language) -> str:
    if name in language.broken or language.dims.get(name) == "count":
        return ""
    return (
        "which is not a count" if name in language.dims else f"which does not exist{did_you_mean(name, language.dims)}"
    )


def _problem(stage: Stage, step: StepSpec, key: str, message: str, name: str = "") -> Problem:
    """Place a text's mistake: at the name itself where it stands, else where the text begins."""
    loaded = load_again(stage.text, stage.file)
    i = index_of(step, loaded)
    place = loaded.place(("steps", i, key))
    for number, line in enumerate(lines_of(stage.text)[place.line - 1 :] if name else (), place.line):
        if found := re.search(rf"\b{re.escape(name)}\b", line):
            place = Place(place.file, number, found.start() + 1)
            break
    return Problem(stage.file, place.line, place.column, f"steps[{i}].{key}", message)


def hints(language: Language, used: Iterable[str] = ()) -> list[Problem]:
    """List what does no harm and no good: names nothing uses, steps no project can reach. `used`: known elsewhere."""
    return [*_unused(language, frozenset(used)), *_unreachable(language)]


def _unused(language: Language, used: frozenset[str]) -> list[Problem]:
    read = used | {name for compiled in language.compiled.values() for name in compiled.names}
    for stage in language.stages:
        read |= {name for _, formula, _ in formulas_of(stage) for name in compile_formula(formula.text).names}
        for step in stage.steps:
            read |= {name for name, _ in step.shows} | {step.measure or ""} | _in_texts(step) | _tool_names(step)
    sums = [("work_out", name, work.formula.place) for name, work in language.sums.items()]
    inputs = [("inputs", own.name, own.place) for stage in language.stages for own in stage.inputs if own.place]
    return [
        Problem(place.file, place.line, place.column, f"{key}.{name}", f"nothing uses {name}", hint=True)
        for key, name, place in (*inputs, *sums)
        if name not in read
    ]


def _in_texts(step: StepSpec) -> set[str]:
    out: set[str] = set()
    for key in TEXTS:
        try:
            out |= ready(getattr(step, key)).names
        except TemplateProblem:  # told by check_texts
            continue
    return out


def _unreachable(language: Language) -> list[Problem]:
    """Find steps and parts whose `when`, with their stage's, no choice of texts can make true."""
    out: list[Problem] = []
    known: dict[tuple[str, ...], bool] = {}
    left = MOST_IN_ALL
    for stage in language.stages:
        ones = [(f"steps[{i}]", f"the step {s.id}", s.when) for i, s in enumerate(stage.steps)]
        ones += [(f"parts[{i}]", f"the part {p.name}", p.when) for i, p in enumerate(stage.parts)]
        for path, what, when in ones:
            if when is None:
                continue
            whens = tuple(f.text for f in (stage.when, when) if f)
            if whens not in known:
                ways = _ways(whens, language, min(left, MOST))
                left -= len(ways)
                known[whens] = not ways or _can_hold(whens, ways)
            if not known[whens]:
                said = f"no project can reach {what}: this never holds" + (
                    " where the stage's own when does" if stage.when else ""
                )
                out.append(Problem(stage.file, when.place.line, when.place.column, f"{path}.when", said, hint=True))
    return out


def _ways(whens: Sequence[str], language: Language, most: int) -> list[Names]:
    """List every choice of the texts they read, none when there are too many; a number is None, which is anything."""
    names = sorted({name for when in whens for name in compile_formula(when).names})
    ways: list[tuple[Value, ...]] = [language.choices.get(name, (None,)) for name in names]
    size = prod(len(way) for way in ways)
    return [dict(zip(names, values, strict=True)) for values in product(*ways)] if size <= most else []


def _can_hold(whens: Sequence[str], ways: Iterable[Names]) -> bool:
    compiled = [compile_formula(when) for when in whens]
    return any(all(one.run(at) is not False for one in compiled) for at in ways)
