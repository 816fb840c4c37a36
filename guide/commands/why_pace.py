"""`guide why pace STAGE/ID`: what a step's pace rests on."""

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import msgspec

from guide.commands.common import SESSIONS
from guide.commands.times import all_seen
from guide.errors import WrongUse
from guide.money.evidence import Evidence, Reading, evidence
from guide.money.model import Seen
from guide.read.model import did_you_mean
from guide.read.spoken import counted, percent
from guide.show.report_numbers import exact_text
from guide.show.table import Column, Table, lines, table


def pace_evidence(step: str, root: str | None, maker: str, whom: str) -> tuple[Evidence, str]:
    """Find what a step's pace rests on, and whose it is. Raises WrongUse where nobody has timed it."""
    mine, rows = all_seen(Path(root) if root else SESSIONS, maker, whom=whom)
    found = evidence(rows, _meant(step, rows), maker=mine.maker, whom=whom)
    if found is None:
        known = sorted({row.base for row in rows})
        near = did_you_mean(step, known)
        there = f" Timed so far: {', '.join(known)}." if known and not near else ""
        raise WrongUse(
            f"Nobody has timed {step}{near}: its pace is the starter's, an estimate that nobody timed.{there}"
        )
    return found, mine.maker


def _meant(step: str, rows: list[Seen]) -> str:
    """A step by its key, without its row; by its own name where only one stage has it; or by its title."""
    asked = step.partition(":")[0].strip()
    bases = {row.base: row.title for row in rows}
    if asked in bases:
        return asked
    named = [base for base, title in bases.items() if base.partition("/")[2] == asked or title.lower() == asked.lower()]
    return named[0] if len(named) == 1 else asked


def pace_lines(found: Evidence, maker: str) -> list[str]:
    """Lay it out for the terminal."""
    pace, share = found.pace, found.pace.starter_share
    whose = f"{maker}: " if maker else ""
    named = f"{pace.title} ({found.base})" if pace.title else found.base
    usual, low, high = (exact_text(seconds) for seconds in (pace.usual_s, pace.low_s, pace.high_s))
    out = [f"{whose}{named}: {usual} a piece usual, {low} to {high} on four days of five"]
    if pace.starter_s:
        lean = exact_text(pace.starter_s * found.tempo)
        out.append(
            f"  {percent(1 - share, 0)} your own times, {exact_text(pace.own_s)}; "
            f"{percent(share, 0)} the starter pace, {exact_text(pace.starter_s)} × {found.tempo:.2f} "
            f"(your tempo over all steps) = {lean}"
        )
    else:
        out.append(f"  your own times only, {exact_text(pace.own_s)}: no plan says a starter pace for it")
    if pace.handling_s is not None and pace.rate_s is not None and pace.noun:
        out.append(f"  {pace.handling_s:.0f} s handling a piece + {exact_text(pace.rate_s)} a {pace.noun}")
    out += ["", *lines(_table(found), heads=True), ""]
    out += [f"  {told}" for told in _says(found)]
    return [*out, *(f"▲ {flag.says}" for flag in found.out)]


def _table(found: Evidence) -> Table:
    """Each session's day at the step."""
    some = found.readings
    columns = [
        Column[Reading]("day", lambda one: f"{date(1970, 1, 1) + timedelta(one.day)}"),
        Column[Reading](
            "size",
            lambda one: f"{one.effort:.4g} {one.noun}".rstrip() if one.effort else "",
            number=True,
            shown=any(one.effort for one in some),
        ),
        Column[Reading]("pieces", lambda one: f"{one.pieces}", number=True),
        Column[Reading]("a piece", lambda one: exact_text(one.own_s), number=True),
        Column[Reading](
            "first",
            lambda one: "" if one.first_s is None else exact_text(one.first_s),
            number=True,
            shown=any(one.first_s is not None for one in some),
        ),
        Column[Reading]("starter", lambda one: exact_text(one.starter_s) if one.starter_s else "", number=True),
        Column[Reading]("×", lambda one: f"{one.own_s / one.starter_s:.2f}" if one.starter_s else "", number=True),
    ]
    return table(columns, [some])


def _says(found: Evidence) -> list[str]:
    """What was kept out of the pace, and what is in it."""
    out = ["A piece: without trouble, pauses and waits."]
    if any(one.first_s is not None and one.pieces > 1 for one in found.readings):
        out.append("First pieces are kept out of the pace; what they add is in the forecast.")
    if by_hand := sum(one.by_hand for one in found.readings):
        out.append(f"{counted(by_hand, 'time')} of it typed in afterwards.")
    if found.learning is not None:
        out.append(f"Learning is taken out: each doubling of makes takes {percent(found.learning, 0)} of the time.")
    if not found.out:
        out.append("No lap of it was left out.")
    return out


def pace_dict(found: Evidence) -> dict[str, Any]:
    """Give it as plain data, s."""
    out: dict[str, Any] = msgspec.to_builtins(found)
    return out
