"""Dimension check of a formula: a length cannot be added to a count, nor compared with it.

Done once when the files are loaded; at run time plain floats are enough. How dimensions multiply is pint's to say
wherever a maker wrote the formulas. Those that the program ships were judged so by its tests: the same walk over plain
exponents tells what they are measured in, so that a plan of shipped stages need not wait for pint.
"""

import ast
import sys
from collections.abc import ItemsView, Mapping
from functools import cache
from typing import Any, Literal, Protocol

import msgspec

from guide.read.formula import FUNCTIONS, UNITS, FormulaError
from guide.read.model import Dim, did_you_mean, one_of


class Dimension(Protocol):
    """What something is measured in, such as length × length."""

    def __mul__(self, other: Any, /) -> "Dimension": ...
    def __truediv__(self, other: Any, /) -> "Dimension": ...
    def __pow__(self, power: float, /) -> "Dimension": ...
    def items(self) -> ItemsView[str, Any]:
        """Give the exponent of each base that is in it."""


class Exponents(msgspec.Struct, frozen=True):
    """A dimension as the exponents of length, time and weight."""

    length: float = 0.0
    time: float = 0.0
    weight: float = 0.0

    def __mul__(self, other: "Exponents") -> "Exponents":
        return Exponents(self.length + other.length, self.time + other.time, self.weight + other.weight)

    def __truediv__(self, other: "Exponents") -> "Exponents":
        return self * other**-1

    def __pow__(self, power: float) -> "Exponents":
        return Exponents(self.length * power, self.time * power, self.weight * power)

    def items(self) -> ItemsView[str, float]:
        """Give the exponent of each base that is in it."""
        return {name: power for name, power in msgspec.structs.asdict(self).items() if power}.items()


_UNWANTED = ("numpy", "scipy", "dask", "xarray", "uncertainties", "babel")  # by pint, when it is only to judge
Judge = Literal["pint", "exponents"]
Kind = Dimension | str  # a dimension, or "text", "flag", "any"


def _pint_container() -> Any:
    """Import pint without numpy, which it loads wherever that is installed: it would be waited for twice over."""
    hidden = [name for name in _UNWANTED if name not in sys.modules]
    for name in hidden:
        sys.modules[name] = None  # type: ignore[assignment]  # an import of it fails, as if it were not installed
    try:
        from pint.util import UnitsContainer  # noqa: PLC0415 - costs as much as all else a plan loads
    finally:
        for name in hidden:
            del sys.modules[name]
    return UnitsContainer


@cache
def _measured(judge: Judge) -> dict[Dim, Dimension]:
    """Tell each kind of name's dimension, in the judge's own terms."""
    bases: dict[Dim, Dimension]
    if judge == "pint":
        container = _pint_container()
        bases = {
            "length": container({"[length]": 1}),
            "time": container({"[time]": 1}),
            "weight": container({"[mass]": 1}),
        }
    else:
        bases = {"length": Exponents(length=1.0), "time": Exponents(time=1.0), "weight": Exponents(weight=1.0)}
    length = bases["length"]
    plain = length / length
    return bases | {"area": length * length, "count": plain, "ratio": plain}


def dim_of(
    tree: ast.expr, dims: Mapping[str, Dim], choices: Mapping[str, tuple[str, ...]], judge: Judge = "pint"
) -> Dim | None:
    """Tell a formula's dimension (None: always none). Raises FormulaError with the column."""
    check = _Check(dims, choices, judge)
    kind = check.of(tree)
    if kind == "any":
        return None
    if isinstance(kind, str):
        return "flag" if kind == "flag" else "text"
    for dim, measured in check.measured.items():
        if measured == kind:
            return dim
    raise FormulaError(f"the result is a {check.say(kind)}, which nothing here is measured in", tree.col_offset)


class _Check:
    """One walk over one formula; the tables it looks names up in stay the same throughout.

    A part is asked for its kind by more than one rule, so each is worked out once and kept: asked anew, the
    work would double with every level of a formula.
    """

    def __init__(self, dims: Mapping[str, Dim], choices: Mapping[str, tuple[str, ...]], judge: Judge) -> None:
        self.dims, self.choices = dims, choices
        self.measured = _measured(judge)
        self.plain = self.measured["count"]
        self.kinds: dict[ast.expr, Kind] = {}

    def say(self, kind: Kind) -> str:
        """Name a kind in words."""
        if isinstance(kind, str):
            return {"text": "text", "flag": "yes or no"}.get(kind, kind)
        for dim, measured in self.measured.items():
            if measured == kind:
                return "number" if dim == "count" else dim
        return " ".join(f"{name.strip('[]')}^{power:g}" for name, power in kind.items())

    def of(self, node: ast.expr) -> Kind:
        """Tell the kind of one part."""
        if node not in self.kinds:
            self.kinds[node] = self._worked_out(node)
        return self.kinds[node]

    def _worked_out(self, node: ast.expr) -> Kind:
        """Work the kind of a part out: a case for each part a formula may have. Raises FormulaError for any other."""
        # A bare 0 is of any kind, for it is as much of each: `0 mm` and 0 squares are nothing both.
        match node:
            case ast.Constant():
                return "text" if isinstance(node.value, str) else "any" if node.value == 0 else self.plain
            case ast.Name(id=name):
                return self._name(name, node)
            case ast.UnaryOp():
                negates = isinstance(node.op, ast.Not)
                return self._want(node.operand, "flag") if negates else self._number(node.operand)
            case ast.BinOp():
                return self._binary(node)
            case ast.BoolOp(values=values):
                for value in values:
                    self._want(value, "flag")
                return "flag"
            case ast.Compare(left=left, comparators=[right]):
                return self._compare(left, right)
            case ast.IfExp(test=test, body=yes, orelse=no):
                self._want(test, "flag")
                return self._alike([yes, no], "both ways of an if")
            case ast.Call(func=ast.Name(id=name), args=args):
                return self._call(name, args)
        raise FormulaError("this is not allowed in a formula", node.col_offset)

    def _name(self, name: str, node: ast.expr) -> Kind:
        """Tell the kind of a name. Raises FormulaError when there is none."""
        if name == "none":
            return "any"
        if name in UNITS:
            return self.measured["length"]
        if name not in self.dims:
            raise FormulaError(f"there is no {name}{did_you_mean(name, (*self.dims, *UNITS))}", node.col_offset)
        dim = self.dims[name]
        return dim if dim in {"text", "flag"} else self.measured[dim]

    def _want(self, node: ast.expr, wanted: str) -> Kind:
        """Ask for a kind. Raises FormulaError for another."""
        kind = self.of(node)
        if kind not in {wanted, "any"}:
            raise FormulaError(f"a {self.say(kind)} stands where {self.say(wanted)} is wanted", node.col_offset)
        return wanted

    def _number(self, node: ast.expr) -> Kind:
        """Ask for what can be reckoned with. Raises FormulaError for a text, and for yes or no."""
        kind = self.of(node)
        if kind in {"text", "flag"}:
            raise FormulaError(f"a {self.say(kind)} cannot be reckoned with", node.col_offset)
        return kind

    def _alike(self, nodes: list[ast.expr], where: str) -> Kind:
        """Tell the kind that several parts have in common. Raises FormulaError when they do not go together."""
        kinds = [(self.of(node), node) for node in nodes]
        known = [(kind, node) for kind, node in kinds if kind != "any"]
        if not known:
            return "any"
        first = known[0][0]
        for kind, node in known[1:]:
            if kind != first:
                number, length = self.plain, self.measured["length"]
                bare = [ast.unparse(one) for of, one in known if of == number and isinstance(one, ast.Constant)]
                unit = f"; write {bare[0]} * inch, or so many cm or mm" if bare and length in (first, kind) else ""
                raise FormulaError(
                    f"{where}: {self.say(first)} and {self.say(kind)} do not go together{unit}", node.col_offset
                )
        return first

    def _binary(self, node: ast.BinOp) -> Kind:
        """Tell what two parts reckoned with come to. Raises FormulaError for // of unlike ones."""
        left, right = self._number(node.left), self._number(node.right)
        match node.op:
            case ast.Add() | ast.Sub() | ast.Mod():
                sign = {ast.Add: "+", ast.Sub: "-", ast.Mod: "%"}[type(node.op)]
                return self._alike([node.left, node.right], f"on the two sides of {sign}")
            case ast.Pow():
                power = node.right.value if isinstance(node.right, ast.Constant) else 1
                return left if isinstance(left, str) else left ** float(power)  # type: ignore[arg-type]
        a = self.plain if isinstance(left, str) else left
        b = self.plain if isinstance(right, str) else right
        # What is none may be anything, and spreads; a bare 0 beside a length leaves it a length.
        if "any" in {left, right} and not (left == right == "any") and isinstance(node.op, ast.Mult):
            return "any" if self._is_none(node.left) or self._is_none(node.right) else a * b
        if isinstance(node.op, ast.FloorDiv) and a != b:
            raise FormulaError(f"// divides like by like, not {self.say(a)} by {self.say(b)}", node.col_offset)
        return a * b if isinstance(node.op, ast.Mult) else a / b

    @staticmethod
    def _is_none(node: ast.expr) -> bool:
        return isinstance(node, ast.Name) and node.id == "none"

    def _compare(self, left: ast.expr, right: ast.expr) -> Kind:
        """Look at both sides of a comparison. Raises FormulaError for a text beside anything but one written out."""
        for name, text in ((left, right), (right, left)):
            if isinstance(text, ast.Constant) and isinstance(text.value, str):
                self._text(name, text)
                return "flag"
        if self.of(left) == "text":
            raise FormulaError("compare a text with one written out, like kind == 'throw'", right.col_offset)
        self._alike([left, right], "on the two sides of a comparison")
        return "flag"

    def _text(self, name: ast.expr, text: ast.Constant) -> None:
        """Look at a comparison with a text. Raises FormulaError for what is no text, or never that one."""
        kind = self.of(name)
        if kind != "text" or not isinstance(name, ast.Name):
            raise FormulaError(f"a {self.say(kind)} cannot be compared with a text", text.col_offset)
        known = self.choices.get(name.id, ())
        if known and text.value not in known:
            said = did_you_mean(str(text.value), known)
            raise FormulaError(f"{name.id} is never {text.value!r}{said}; it is {one_of(known)}", text.col_offset)

    def _call(self, name: str, args: list[ast.expr]) -> Kind:
        """Tell what a function gives. Raises FormulaError when it needs a plain number and has none."""
        for arg in args:
            self._number(arg)
        gives = FUNCTIONS[name].gives
        if gives == "alike":
            return self._alike(args, f"inside {name}")
        kind = self.of(args[0])
        if gives == "plain":
            if kind not in {self.plain, "any"}:
                raise FormulaError(f"{name} needs a plain number; divide by a unit first", args[0].col_offset)
            return self.plain
        return kind**0.5 if gives == "root" and not isinstance(kind, str) else kind
