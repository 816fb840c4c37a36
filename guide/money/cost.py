"""What the making costs: cloth used (bought beside it), thread, notions, labour, overhead."""

from decimal import Decimal

from guide.money.amounts import HOUR_S, NOTHING, cents, exact, per_hour
from guide.money.model import Costs, Line
from guide.plan.model import Buy, Plan
from guide.plan.shopping import used_costs

COUNTED_COUNTERS = ("notions", "thread")


def costs_of(plan: Plan, hands_on_s: float) -> Costs:
    """Cost all the articles of a plan at so many seconds of hands-on work; each line to the cent.

    labour = hours × rate × (1 + allowance); overhead = hours × overhead rate. Waits cost nothing.
    """
    says: list[str] = []
    materials, bought = _materials(plan, says)
    hours = exact(hands_on_s) / HOUR_S
    labour = _labour(plan, hours, says)
    overhead_rate = per_hour(plan.project.sell.overhead)
    overhead = Line("overhead", cents(hours * overhead_rate), f"{hours:.2f} h × {overhead_rate:.2f}")
    lines = (*materials, labour, overhead)
    return Costs(
        currency=plan.project.currency,
        make=max(plan.project.make, 1),
        lines=lines,
        materials=_sum(materials),
        bought=bought,
        labour=labour.amount,
        overhead=overhead.amount,
        cost=_sum(lines),
        hours=hands_on_s / HOUR_S,
        says=tuple(says),
    )


def _sum(lines: tuple[Line, ...]) -> Decimal:
    return sum((line.amount for line in lines), NOTHING)


def _labour(plan: Plan, hours: Decimal, says: list[str]) -> Line:
    labour = plan.project.labour
    if labour.rate is None:
        says.append("No `labour: {rate: …}` in the project: the hours are priced at nothing.")
    rate, allowance = per_hour(labour.rate), exact(labour.allowance)
    how = f"{hours:.2f} h × {rate:.2f}" + (f" × {1 + allowance:g}" if allowance else "")
    return Line("labour", cents(hours * rate * (1 + allowance)), how)


def _materials(plan: Plan, says: list[str]) -> tuple[tuple[Line, ...], Decimal]:
    """Lines of what is used, and the cost of the same as bought."""
    cloths = used_costs(plan.project, plan.cutting)
    lines = [Line(cloth.material, cloth.used, "used") for cloth in cloths]
    bought = sum((cloth.bought for cloth in cloths), NOTHING)
    priced = {cloth.material for cloth in cloths}
    missing = [cutting.material for cutting in plan.cutting if cutting.material not in priced]
    for line in plan.shopping:
        if line.counter in COUNTED_COUNTERS and line.cost is None:
            name, comma, size = line.item.partition(", ")
            missing.append(f"{name} ({size})" if comma else name)
        elif line.counter in COUNTED_COUNTERS and line.cost is not None:
            cost = Decimal(line.cost)
            bought += cost
            share = _thread_share(plan) if line.counter == "thread" else None
            if share is None:
                lines.append(Line(line.item, cost, _counted(line)))
            else:
                lines.append(Line(line.item, cents(cost * share), f"{share:.0%} of {_counted(line)}"))
    if missing:
        says.append("No price given, counted as nothing: " + ", ".join(dict.fromkeys(missing)) + ".")
    return tuple(lines), bought


def _counted(line: Buy) -> str:
    """How many were bought: 1 each, 2 spools."""
    return f"{line.quantity} {line.unit}{'s' if line.unit == 'spool' and line.quantity != '1' else ''}"


def _thread_share(plan: Plan) -> Decimal | None:
    """How much of the thread bought is used; None when the plan does not say."""
    used, spools, spool_mm = (_number(plan, name) for name in ("thread", "thread_spools", "thread_per_spool"))
    if not used or not spools or not spool_mm:
        return None
    return min(exact(used) / (exact(spools) * exact(spool_mm)), Decimal(1))


def _number(plan: Plan, name: str) -> float | None:
    quantity = plan.quantities.get(name)
    value = quantity.value if quantity else None
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None
