"""The graph of sums: a project's inputs and the stages' formulas to numbers, measured ones taking over."""

from collections.abc import Mapping

import msgspec

from guide.errors import NeedsMending
from guide.plan.model import Quantity
from guide.read.check import Language
from guide.read.formula import FormulaError, Value
from guide.read.model import Given


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
        over_makes = _depending("make", language) if (start.get("make") or 1) != 1 else frozenset()
        made = _run(language, dict(start), measured, {name: planned[name] for name in over_makes})
    out = {name: _input(g) for name, g in given.items()}
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
            measured=bool(measured) and name in (measured or {}) and plan is not None,
            planned=plan if isinstance(plan, float) else None,
        )
    return out


def values(quantities: Mapping[str, Quantity]) -> dict[str, Value]:
    """Give the plain values by name."""
    return {name: quantity.value for name, quantity in quantities.items()}


def _input(given: Given) -> Quantity:
    return Quantity(given.name, given.value, given.dim, None, given.place, None, given.written)


def _run(
    language: Language, at: dict[str, Value], measured: Mapping[str, float], fixed: Mapping[str, Value]
) -> dict[str, Value]:
    for name in language.order:
        if name in fixed:
            at[name] = fixed[name]
            continue
        try:
            value = language.compiled[name].run(at)
        except FormulaError as error:
            work = language.sums[name]
            raise NeedsMending(
                f"{work.formula.place}: {name} cannot be worked out for this project: {error.message}\n"
                f"    {name}: {work.formula.text}\nMend the project's sizes, or the formula; nothing was written."
            ) from None
        at[name] = measured[name] if name in measured and value is not None else value
    return at


def _depending(root: str, language: Language) -> frozenset[str]:
    """List the sums that use a name, directly or through others."""
    found = {root}
    for name in language.order:
        if language.compiled[name].names & found:
            found.add(name)
    return frozenset(found - {root})


class Need(msgspec.Struct, frozen=True):
    """One branch of a `why`: a quantity and what its formula reads."""

    quantity: Quantity
    needs: tuple["Need", ...]


def tree(name: str, quantities: Mapping[str, Quantity], language: Language, depth: int = 12) -> Need:
    """Tell where a number comes from, down to the project's lines."""
    quantity = quantities[name]
    compiled = language.compiled.get(name)
    if compiled is None or depth == 0:
        return Need(quantity, ())
    names = sorted(compiled.names, key=compiled.text.find)
    return Need(quantity, tuple(tree(n, quantities, language, depth - 1) for n in names))
