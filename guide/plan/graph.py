"""The graph of sums: a project's inputs and the stages' formulas to numbers, measured ones taking over."""

import ast
from collections import Counter
from collections.abc import Mapping, Sequence

import msgspec
from msgspec.structs import replace

from guide.errors import NeedsMending
from guide.plan.model import Called, Quantity
from guide.read.check import Language
from guide.read.formula import FormulaError, Value, compile_formula
from guide.read.model import Given

DRAW_IN, MADE_SMALLER = "draw_in", "pitch_made"  # what quilting pulls in, and the sum that takes it off
DEPTH, MANY = 12, 1000  # of a `why`: how deep it goes, and how many branches are opened without looking back


def work_out(
    language: Language, given: Mapping[str, Given], measured: Mapping[str, float] | None = None
) -> dict[str, Quantity]:
    """Work out every name, inputs first. Lengths mm, counts and ratios plain; None does not apply.

    A measured name (mm) takes the place of its formula and every later number follows. With more than
    one make a measure belongs to one make: names that count over all makes keep their plan.
    Raises NeedsMending where a formula cannot be worked out for these inputs.
    """
    start: dict[str, Value] = {name: g.value for name, g in given.items()}
    planned = _run(language, dict(start), {}, {})
    made = planned
    if measured:
        over_makes = depending("make", language) if (start.get("make") or 1) != 1 else frozenset()
        made = _run(language, dict(start), measured, {n: planned[n] for n in over_makes}, _drawn(measured, language))
    out = {name: _input(g) for name, g in given.items()}
    called = _called(language)
    for name in language.order:
        work = language.sums[name]
        plan, value = planned[name], made[name]
        out[name] = Quantity(
            name,
            value,
            language.dims[name],
            work.formula.text,
            work.formula.place,
            work.stage,
            measured=name in (measured or {}) and plan is not None,
            planned=plan if isinstance(plan, float) else None,
        )
    return {name: replace(quantity, called=called.get(name)) for name, quantity in out.items()}


def _called(language: Language) -> dict[str, Called]:
    """Tell what numbers are called: two that share a label, such as a width and a height, are told apart by side."""
    alike = Counter(label.text for label in language.labels.values())
    seen: set[str] = set()
    out: dict[str, Called] = {}
    for name, label in language.labels.items():
        side = "" if alike[label.text] < 2 else " down" if label.text in seen else " across"
        seen.add(label.text)
        head, comma, more = label.text.partition(", ")
        out[name] = Called(f"{head}{side}{comma}{more}", label.text, label.group, len(out))
    return out


def draws_in_late(language: Language) -> bool:
    """Whether these are texts of an older journal: their panel is undrawn, their washed size takes the draw-in off."""
    return MADE_SMALLER not in language.sums


def _drawn(measured: Mapping[str, float], language: Language) -> frozenset[str]:
    """List the sums of an older journal's texts that would take draw-in off a panel measured with it."""
    if not draws_in_late(language):
        return frozenset()
    return frozenset(n for m in measured for n in depending(m, language) if DRAW_IN in language.compiled[n].names)


def only(language: Language, given: Mapping[str, Given], names: Sequence[str]) -> dict[str, Value]:
    """Work out a few names and what they need, nothing else: for trying many sizes."""
    needed = set(names)
    for name in reversed(language.order):
        if name in needed:
            needed |= language.compiled[name].names
    at: dict[str, Value] = {name: g.value for name, g in given.items()}
    for name in language.order:
        if name in needed:
            at[name] = language.compiled[name].run(at)
    return at


def values(quantities: Mapping[str, Quantity]) -> dict[str, Value]:
    """Give the plain values by name."""
    return {name: quantity.value for name, quantity in quantities.items()}


def _input(given: Given) -> Quantity:
    return Quantity(
        given.name,
        given.value,
        given.dim,
        place=given.place,
        written=given.written,
        rank=given.rank,
        over=given.over,
        because=given.because,
    )


def _run(
    language: Language,
    at: dict[str, Value],
    measured: Mapping[str, float],
    fixed: Mapping[str, Value],
    drawn: frozenset[str] = frozenset(),
) -> dict[str, Value]:
    """Work the sums out in order; `drawn` names rest on a measure that has drawn in already."""
    for name in language.order:
        if name in fixed:
            at[name] = fixed[name]
            continue
        try:
            given = {**at, DRAW_IN: 0.0} if name in drawn else at
            value = language.compiled[name].run(given)
        except FormulaError as error:
            work = language.sums[name]
            raise NeedsMending(
                f"{work.formula.place}: {name} cannot be worked out for this project: {error.message}\n"
                f"    {name}: {work.formula.text}\nMend the project's sizes, or the formula; nothing was written."
            ) from None
        at[name] = measured[name] if name in measured and value is not None else value
    return at


def depending(root: str, language: Language) -> frozenset[str]:
    """List the sums that use a name, directly or through others."""
    found = {root}
    for name in language.order:
        if language.compiled[name].names & found:
            found.add(name)
    return frozenset(found - {root})


class Need(msgspec.Struct, frozen=True):
    """One branch of a `why`: a quantity, the part of its formula that applies, and what that part reads."""

    quantity: Quantity
    applies: str | None
    needs: tuple["Need", ...]


def tree(name: str, quantities: Mapping[str, Quantity], language: Language) -> Need:
    """Tell where a number comes from, down to the project's lines; ways not taken are left out.

    A very large tree opens each name only once: where all names use one another it would double with every name.
    """
    return _branch(name, quantities, language, DEPTH, [])


def _branch(name: str, quantities: Mapping[str, Quantity], language: Language, depth: int, opened: list[str]) -> Need:
    quantity = quantities[name]
    compiled = language.compiled.get(name)
    if compiled is None or depth == 0 or (len(opened) > MANY and name in opened):
        return Need(quantity, None, ())
    opened.append(name)
    part = applying(compiled.tree, values(quantities))
    names = dict.fromkeys(n.id for n in ast.walk(part) if isinstance(n, ast.Name) and n.id in quantities)
    apart = sorted(compiled.names - set(names), key=compiled.text.find)
    deciding = [n for n in apart if quantities[n].dim in {"text", "flag"}]
    needs = tuple(_branch(n, quantities, language, depth - 1, opened) for n in (*names, *deciding))
    return Need(quantity, ast.unparse(part), needs)


def applying(node: ast.expr, at: Mapping[str, Value]) -> ast.expr:
    """Cut a formula down to the ways taken by its ifs."""
    if isinstance(node, ast.IfExp):
        test = compile_formula(ast.unparse(node.test)).run(at)
        return ast.Name("none") if test is None else applying(node.body if test else node.orelse, at)
    if isinstance(node, ast.BinOp):
        return ast.BinOp(applying(node.left, at), node.op, applying(node.right, at))
    if isinstance(node, ast.Call):
        return ast.Call(node.func, [applying(arg, at) for arg in node.args], [])
    return node
