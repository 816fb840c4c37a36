"""Two plans side by side: the project as it is, and with something tried."""

from collections.abc import Sequence

from guide.show.columns import heading
from guide.show.model import Report
from guide.show.model_plan import CostReport
from guide.show.table import beside
from guide.show.words import minutes


def beside_lines(one: Report, other: Report, names: tuple[str, str]) -> list[str]:
    """Lay two plans' reports side by side; a line that differs is marked. Then what the second is warned of."""
    rows: list[tuple[str, str, str]] = []
    for group in other.groups:
        for row in group.rows:
            left, right = _sizes(one, row.names), _sizes(other, row.names)
            if any(text and "does not apply" not in text for text in (left, right)):
                rows.append((row.label, left, right))
    rows += [(f"buy {item}", *pair) for item, pair in _shopping(one, other).items()]
    hands = [minutes(report.forecast.hands_on_s.likely) for report in (one, other)]
    rows.append(("hands on", hands[0], hands[1]))
    if one.cost and other.cost:
        labels = (f"{label}, {one.cost.currency}" for label in ("cost of all", "cost of one", "price of one"))
        rows += zip(labels, _costs(one.cost), _costs(other.cost), strict=True)
    out = [heading(one.project.title, 80), *beside(names, rows)]
    known = {warned.text for warned in one.warnings}
    told = [f"{' ' if warned.text in known else '›'} ▲ {warned.text}" for warned in other.warnings]
    return [*out, "", f"With {names[1]}:", *told] if told else out


def _costs(cost: CostReport) -> tuple[str, str, str]:
    """What all cost, what one costs, and its price."""
    return ("no prices",) * 3 if cost.unpriced else (cost.cost, cost.each, cost.price_text)


def _sizes(report: Report, names: Sequence[str]) -> str:
    return " × ".join(report.quantities[name].text for name in names if name in report.quantities)


def _shopping(one: Report, other: Report) -> dict[str, tuple[str, str]]:
    sides = [{line.item_text: line.text for line in report.shopping} for report in (one, other)]
    return {item: (sides[0].get(item, "—"), sides[1].get(item, "—")) for item in dict.fromkeys([*sides[0], *sides[1]])}
