"""The plan as a table in a terminal: what a maker looks up, in the order of the work."""

import re
from collections.abc import Iterable, Mapping, Sequence
from itertools import zip_longest

from guide.plan.model import Advice
from guide.read.spoken import counted, plural, said
from guide.record.clock import time_text
from guide.show.cutting_lines import FEW, back_rows, back_words, face_rows, short_rows, stack_lines
from guide.show.model import Report
from guide.show.model_plan import BuyReport, CostReport, SpanReport
from guide.show.report_money import amounts
from guide.show.table import beside, heading, pairs


def plan_lines(report: Report, width: int = 80, *, everything: bool = False) -> list[str]:
    """Lay a plan's report out as lines of text, at most `width` wide where words allow."""
    project = report.project
    across, down = project.across, project.down
    size = f"{across} × {down} {plural('block', across * down)}" if across else ""
    out = [project.title, f"a {said(project.kind, project.words)}, {size}, {project.make} to make", ""]
    out += _backwards(report, width)
    for group in report.groups:
        rows = ((row.label, _values(row.names, report)) for row in group.rows)
        out += _group(group.title, rows, width)
    out += _group("To buy and to carry", [(row.label, row.text) for row in report.told], width)
    out += _advice(report, width)
    if everything:
        out += _everything(report, width)
    out += faces_lines(report, FEW)
    out += _cutting(report, width) + _group(f"Shopping, {report.project.currency}", to_buy(report.shopping), width)
    out += _steps(report, width) + _money(report, width)
    out += _said(report)
    return out


def _advice(report: Report, width: int) -> list[str]:
    """Say needle, stitch and pressure for each kind of seam, and once why and where that comes from."""
    rows, words = report.advice, report.project.words
    lines = [(said(a.place, words), said(_settings(a), words)) for a in rows]
    out = _group("Needle, stitch, pressure", lines, width)
    for why in dict.fromkeys(a.why for a in rows):
        counts = sorted({a.layers for a in rows if a.why == why})
        layers = f"{', '.join(map(str, counts))} {plural('layer', counts[-1])}"
        out.insert(-1, f"  {layers}: {said(why, words)} ({rows[0].source})")
    return out


def _settings(one: Advice) -> str:
    layers = f"{one.layers:>2} {plural('layer', one.layers):<6}"
    return f"{layers}   needle {one.needle:<8} {one.stitch}; {one.pressure}"


def _group(title: str, rows: Iterable[tuple[str, str]], width: int) -> list[str]:
    shown = [(label, value) for label, value in rows if value]
    return [heading(title, width), *pairs(shown), ""] if shown else []


def _values(names: Sequence[str], report: Report) -> str:
    found = [report.quantities.get(name) for name in names]
    if any(q is None or q.value is None or q.value == 0 for q in found):
        return ""
    return " × ".join(q.text for q in found if q)


def _backwards(report: Report, width: int) -> list[str]:
    """Say the size wanted, and list the best few grids and squares for it, each with its misses and its cloth."""
    wanted, choices = report.wanted, report.backwards or ()
    out = [f"Wanted: {wanted.says}.", *filter(None, [wanted.limit]), ""] if wanted else []
    rows = []
    for c in choices:
        rows += [(f"{c.across} × {c.down} of {c.square.text}", f"{c.size}, off by {c.off_text}"), ("", c.cloth)]
    free = "To come near it; the first is planned below"
    fixed = "What the grid and square written come to; leave one out to come nearer"
    out += _group(fixed if len(choices) == 1 else free, rows, width)
    return [*out[:-1], f"  {choices[0].why}", ""] if choices and choices[0].why else out


def _everything(report: Report, width: int) -> list[str]:
    known = [(name, one) for name, one in report.quantities.items() if one.value is not None]
    rows = [(name, f"{one.text:<18} {one.formula or ''}".rstrip()[: width + 40]) for name, one in known]
    return _group("Every number by name", rows, width)


def faces_lines(report: Report, most: int | None = None) -> list[str]:
    """Draw both faces in letters, the back as it is seen; then the stacks, where their kinds are not over `most`."""
    layout, back = report.layout, back_rows(report)
    if not layout:
        return []
    letters = {p.name: p.letter for p in report.prints}
    words, cloth = back_words(report).lower(), report.project.back_cloth
    wide = max(7, 5 * layout.across + 2)
    out = ["Layout", f"  {'front':<{wide}}{words if back else ''}".rstrip()]
    for left, right in zip_longest(face_rows(layout, 0), back or [], fillvalue=()):
        row = ("  ".join(letters[name] for name in side) for side in (left, right))
        out.append("  {:<{wide}}{}".format(*row, wide=wide).rstrip())
    key = "   ".join(f"{p.letter} {p.name}" for p in report.prints)
    plain = [f"  {words}: all {cloth}"] if cloth else []
    return [*out, *plain, f"  {key}", *stack_lines(report, most), ""]


def _cutting(report: Report, width: int) -> list[str]:
    what = "Cutting, of washed cloth" if report.project.washed_first else "Cutting"
    return _group(f"{what}; --cutting shows the order", short_rows(report), width)


def to_buy(shopping: Iterable[BuyReport]) -> list[tuple[str, str]]:
    """Say what is to buy, how much of it and for what; and what cloth comes to once it is washed."""
    rows: list[tuple[str, str]] = []
    for line in shopping:
        rows.append((line.item_text, f"{line.text:<10}{line.cost or '':>9}"))
        rows += [("", line.washed.text)] if line.washed else []
    return rows


def _steps(report: Report, width: int) -> list[str]:
    rows = []
    for row in report.work.stages:
        waits = f"   and {row.waits_text} waiting" if row.waits_text else ""
        rows.append((row.stage, f"{row.steps:>2} {plural('step', row.steps):<5}   {row.hands_on_text:>8}{waits}"))
    return _group(f"{counted(len(report.steps), 'step')}, at their usual paces", rows, width)


def _money(report: Report, width: int) -> list[str]:
    forecast, cost, words = report.forecast, report.cost, report.project.words
    hands = forecast.hands_on_s
    rows = [("hands on", _span(hands))]
    if (forecast.standard_s or 0) > hands.likely:
        rows.append(("with rests allowed", time_text(forecast.standard_s or 0)))
    if forecast.resting_s:
        rows.append(("resting hands", time_text(forecast.resting_s)))
    rows.append(("waiting", time_text(forecast.waiting_s)))
    if (clock := forecast.clock_s) is not None:
        rows.append(("on the clock", _span(clock)))
    rows.append(("from", forecast.rests_on))
    if cost and cost.unpriced:
        rows.append(("cost", "no prices in the project"))
    elif cost:
        rows += [
            (f"{said(name, words)}, {cost.currency}", f"{amount}   {more}".rstrip())
            for name, amount, more in amounts(cost)
        ]
    told = _group("Time and money", rows, width)
    sentences = [*(cost.left_out if cost and not cost.unpriced else ()), *(forecast.says or ())]
    return [*told[:-1], *(f"  {sentence}" for sentence in sentences), ""]


def _span(span: SpanReport) -> str:
    """A likely time, and its interval where there is one."""
    if span.low is None or span.high is None:
        return time_text(span.likely)
    return f"{time_text(span.likely)}   80 %: {time_text(span.low)} to {time_text(span.high)}"


def _said(report: Report) -> list[str]:
    out = [f"▲ {warned.text}" for warned in report.warnings]
    if report.cautions:
        cautions = said(", ".join(report.cautions), report.project.words)
        out.append(f"Take care: {cautions}. Each step says how.")
    return out


def beside_lines(one: Report, other: Report, names: tuple[str, str]) -> list[str]:
    """Lay two plans' reports side by side; a line that differs is marked. Then what the second is warned of."""
    rows: list[tuple[str, str, str]] = []
    for group in other.groups:
        for row in group.rows:
            left, right = _sizes(one, row.names), _sizes(other, row.names)
            if any(text and "does not apply" not in text for text in (left, right)):
                rows.append((row.label, left, right))
    rows += [(f"buy {item}", *pair) for item, pair in _bought(one, other).items()]
    hands = [time_text(report.forecast.hands_on_s.likely) for report in (one, other)]
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


def _bought(one: Report, other: Report) -> dict[str, tuple[str, str]]:
    sides = [{line.item_text: line.text for line in report.shopping} for report in (one, other)]
    return {item: (sides[0].get(item, "—"), sides[1].get(item, "—")) for item in dict.fromkeys([*sides[0], *sides[1]])}


_MAP = re.compile(r" (?: +[A-Z])+")  # a line of a map printed in letters: nothing but those, apart from each other
_PATCH = re.compile(r" ([A-Z])(?: |$)")


def painted(text: str, own: Mapping[str, str]) -> str:
    """Give the letters of a map their prints' own colours, in a terminal's codes; a line of anything else stays.

    [source] ECMA-48 with ISO 8613-6: 48;2;R;G;B is the ground, 38;2;R;G;B the ink, 0 neither again.
    """
    from guide.plan.layout.faces import ink, parts  # noqa: PLC0415 - only where a terminal shows colours

    def patch(found: re.Match[str]) -> str:
        letter = found[1]
        if letter not in own:
            return found[0]
        pair = (own[letter], ink(own[letter]))
        ground, letters_ = (";".join(f"{round(255 * part)}" for part in parts(colour)) for colour in pair)
        return f"\x1b[48;2;{ground};38;2;{letters_};1m {letter} \x1b[0m"

    return "\n".join(_PATCH.sub(patch, line) if _MAP.fullmatch(line) else line for line in text.split("\n"))
