"""`guide paces`: what each step takes, learnt from your sessions."""

import math
from pathlib import Path

import click
from msgspec import Struct
from msgspec.structs import asdict, replace

from guide.commands.ask import PAGES, ROOT, PageTo, asks, maker, option
from guide.commands.common import code_told, put_out, say, say_json, stitches, talk
from guide.commands.times import paces_of_all
from guide.errors import WrongUse
from guide.money.model import Pace, Paces
from guide.money.stats import standard_time
from guide.read.spoken import counted, listed, percent
from guide.record.clock import exact_text
from guide.show.table import Column, Table, lines, table

NOTHING_TIMED = "No session has been timed yet: starter paces are used, estimates that nobody timed."


def _share(text: str, option: str) -> float:
    """Read a percentage as a share. WrongUse for what is none."""
    try:
        share = float(text.replace("%", "").strip()) / 100
    except ValueError:
        raise WrongUse(f"{option}: {text!r} is no percentage; write it like 12.") from None
    if not 0 <= share <= 1:
        raise WrongUse(f"{option}: write 0 to 100 percent.")
    return share


class Asked(Struct, frozen=True):
    """What is asked of paces: whose, from which sessions, and how they are told."""

    root: Path = ROOT
    maker: str = maker()
    whom: str = option("The paces of sessions followed as a beginner.", None, "--for", type=click.Choice(["beginner"]))
    practice: bool = option("Count practice sessions too.")
    allowance: float | None = option(
        "Standard times too: the pace with so much for rest, as 12.", "PERCENT", reads=_share
    )
    where: bool = option("Where a year's hours and money went, and what to time next.")
    pupils: bool = option("All makers side by side, and who is slow where.")
    step: tuple[str, ...] = option("Draw these on the page, by title or key.", "NAME")
    as_json: bool = option("All figures as JSON, s.", None, "--json")
    to: PageTo = PAGES


@click.command(
    "paces",
    epilog="\b\nExamples:\n  guide paces\n  guide paces --allowance 12\n  guide paces --maker Ada --json\n"
    "  guide paces --practice\n  guide paces --where\n  guide paces --page paces.html\n"
    "  guide paces --pupils --for beginner",
)
@asks(Asked)
def command(said: Asked) -> int:
    """Show the usual pace of every step, how far it ranges, how often it was timed, and its trend.

    First pieces, trouble and waits are left out. A timer that was forgotten, and keys pressed through in under a
    tenth of the starter pace, are left out and named; what `guide amend` says is counted counts.
    The starter pace counts as one piece of your own and fades as your own times come in. Paces rest on the
    newest hundred sessions. A page draws them session by session: the six steps that take most time, or those of
    --step, each beside the starter pace and the range.
    """
    if (said.where or said.pupils) and (said.to or said.step):
        raise WrongUse("A page is of one maker's paces, without --where and --pupils.")
    if said.step and not said.to:
        raise WrongUse("--step chooses what a page draws: name one with --page.")
    if said.where or said.pupils:
        if (said.where and said.pupils) or said.allowance is not None or (said.pupils and said.maker):
            raise WrongUse("Ask for one thing: --where is one maker's, --pupils lays all of them side by side.")
        return _told(said)
    rest = said.allowance
    paces = paces_of_all(said.root, said.maker, practice=said.practice, whom=said.whom)
    if said.as_json:
        say_json(_plain(paces, rest))
    if said.to:
        _page(paces, said)
    elif said.as_json:
        pass
    elif not paces.steps:
        say("\n".join(f"▲ {flag.says}" for flag in paces.flags))
        talk(NOTHING_TIMED)
    else:
        say("\n".join(paces_lines(paces, rest)))
    return code_told()


def _page(paces: Paces, said: Asked) -> None:
    """Write the page. Raises WrongUse for a step that is not among them."""
    from guide.show.pages.papers import most_time, paces_page

    chosen = [_step(paces, name) for name in said.step] or most_time(paces)
    flags = [f"▲ {flag.says}" for flag in paces.flags] if paces.steps else [NOTHING_TIMED]
    rows = _table(paces, said.allowance, paper=True)
    said.to.put(lambda fmt: paces_page(paces, chosen, rows, fmt, flags), said.root / "paces", told=said.as_json)


def _step(paces: Paces, name: str) -> Pace:
    """Find the step meant by its key, its title, or the part of a title that is only its own.

    Raises WrongUse for none, and for several.
    """
    said = name.strip().lower()
    same = [one for one in paces.steps.values() if said in {one.step.lower(), one.title.lower()}]
    found = same or [one for one in paces.steps.values() if said in one.title.lower()]
    if len(found) != 1:
        which = listed([_name(one) for one in found or paces.steps.values()])
        raise WrongUse(f"--step: {name!r} is {'more than one step' if found else 'no step timed so far'}: {which}.")
    return found[0]


def _told(said: Asked) -> int:
    """Tell where the hours went, or lay makers side by side."""
    from guide.commands import paces_where as told

    if said.pupils:
        of = told.pupils(said.root, practice=said.practice, whom=said.whom)
        data, text = told.plain_pupils(of), told.pupils_lines(of)
    else:
        spent = told.where(said.root, said.maker, practice=said.practice, whom=said.whom)
        data, text = told.plain_where(spent), told.where_lines(spent)
    if said.as_json or text:
        return put_out(data, lambda: text, as_json=said.as_json)
    talk(NOTHING_TIMED)
    return code_told()


class _Rested(Pace, frozen=True):
    """A pace with its standard time, s."""

    standard_s: float = 0.0


def _plain(paces: Paces, rest: float | None) -> Paces:
    """Give paces as JSON has them: with standard times where an allowance is asked for."""
    if rest is None:
        return paces
    own = paces.steps
    rested = {name: _Rested(**asdict(one), standard_s=standard_time(one.usual_s, rest)) for name, one in own.items()}
    return replace(paces, steps=rested)


def paces_lines(paces: Paces, rest: float | None = None) -> list[str]:
    """Lay paces out for the terminal; `rest` is the allowance of standard times."""
    whose = f"{paces.maker}: " if paces.maker else ""
    worked = f"{whose}{counted(paces.sessions, 'session')} on {counted(paces.days, 'day')}"
    out = [f"{worked}; 80 % of days lie in the range"]
    if rest is not None:
        out.append(f"standard: the usual pace, taken as standard performance, with {rest * 100:g} % for rest")
    out.append(
        f"usual: your own pace and the starter pace × {math.exp(paces.tempo):.2f} (your tempo over all steps), "
        "the starter's as far as it still counts"
    )
    out += ["", *lines(_table(paces, rest), heads=True)]
    out += ["", *(f"▲ {flag.says}" for flag in paces.flags)] if paces.flags else []
    out += _time_more(paces)
    if paces.curve is not None:
        out += ["", paces.curve.says]
    return out


def _name(pace: Pace) -> str:
    """The step's title; its code only where no plan knows it."""
    return pace.title or pace.step


def _table(paces: Paces, rest: float | None, *, paper: bool = False) -> Table:
    """Every step's pace; its standard time where rests are asked for, and on a terminal how a trend goes."""
    room = max((len(exact_text(pace.high_s)) for pace in paces.steps.values()), default=0)

    def newest(pace: Pace) -> str:
        return stitches([one.pace_s for one in pace.by_session], 8)

    def effort(pace: Pace) -> str:
        """Handling and what each metre or snip takes, where the starter pace has both parts."""
        if not pace.noun or not pace.per_effort_s:
            return ""
        if pace.handling_s is None or pace.rate_s is None:
            return f"{exact_text(pace.per_effort_s, tenths=True)} a {pace.noun}"
        handling = f"{exact_text(pace.handling_s, tenths=True)} + " if pace.handling_s > 0.05 else ""
        return f"{handling}{exact_text(pace.rate_s, tenths=True)} a {pace.noun}"

    columns = [
        Column[Pace]("step", _name),
        Column[Pace]("usual", lambda pace: exact_text(pace.usual_s), number=True, least=6),
        Column[Pace](
            "standard",
            lambda pace: exact_text(standard_time(pace.usual_s, rest or 0.0)),
            number=True,
            shown=rest is not None,
        ),
        Column[Pace](
            f"{'range':^{2 * room + 4}}",
            lambda pace: f"{exact_text(pace.low_s):>{room}} to {exact_text(pace.high_s):>{room}}",
            number=paper,
        ),
        Column[Pace]("pieces", lambda pace: f"{pace.pieces}", number=True),
        Column[Pace]("own", lambda pace: exact_text(pace.own_s), number=True, least=6),
        Column[Pace]("starter", lambda pace: exact_text(pace.starter_s) if pace.starter_s else "", number=True),
        Column[Pace]("counts", lambda pace: percent(pace.starter_share, 0), number=True),
        Column[Pace](
            "trend",
            lambda pace: "" if pace.trend is None else f"{pace.trend * 100:+z.{abs(pace.trend) < 0.005:d}f} % a day",
            number=paper,
            least=10,
        ),
        Column[Pace]("", lambda pace: "" if pace.trend is None else newest(pace), shown=not paper),
        Column[Pace]("in parts", effort),
    ]
    return table(columns, [paces.steps.values()], label="All paces", css="dense")


def _time_more(paces: Paces) -> list[str]:
    """How many more pieces make a pace good to 10 %, at work study's two standard deviations."""
    wanting = sorted((pace for pace in paces.steps.values() if pace.time_more), key=lambda pace: pace.time_more or 0)
    columns = [
        Column[Pace]("", _name),
        Column[Pace]("", lambda pace: counted(pace.time_more or 0, "piece"), number=True),
    ]
    said = "  time so many more, and the pace is good to 10 %"
    return ["", said, *lines(table(columns, [wanting]))] if wanting else []
