"""`guide paces`: what each step takes, learnt from your sessions."""

from pathlib import Path

import click
import msgspec

from guide.commands.common import SESSIONS, say, talk
from guide.commands.times import paces_from
from guide.money.model import Pace, Paces
from guide.show.words import minutes


@click.command(
    "paces", epilog="\b\nExamples:\n  guide paces\n  guide paces --maker Ada --json\n  guide paces --practice"
)
@click.argument("root", required=False, type=click.Path(file_okay=False), metavar="[SESSIONS-FOLDER]")
@click.option("--maker", help="Only this maker's sessions.")
@click.option("--for", "whom", type=click.Choice(["beginner"]), help="The paces of sessions followed as a beginner.")
@click.option("--practice", is_flag=True, help="Count practice sessions too.")
@click.option("--json", "as_json", is_flag=True, help="All figures as JSON, s.")
def command(root: str | None, *, maker: str | None, whom: str | None, practice: bool, as_json: bool) -> int:
    """Show the usual pace of every step, how far it ranges, how often it was timed, and its trend.

    First pieces, trouble and waits are left out; a timer that was forgotten is named, never dropped silently.
    The starter pace counts as a few pieces of its own and fades as your own times come in.
    """
    paces = paces_from(Path(root) if root else SESSIONS, practice=practice, maker=maker, whom=whom or "")
    if as_json:
        import json

        click.echo(json.dumps(msgspec.to_builtins(paces), ensure_ascii=False, indent=1))
        return 0
    if not paces.steps:
        talk("No session has been timed yet: starter paces are used, estimates that nobody timed.")
        return 0
    say("\n".join(paces_lines(paces)))
    return 0


def paces_lines(paces: Paces) -> list[str]:
    """Lay paces out for the terminal."""
    sessions = "1 session" if paces.sessions == 1 else f"{paces.sessions} sessions"
    out = [f"{sessions} on {paces.days} day{'s' if paces.days != 1 else ''}; 80 % of days lie in the range", ""]
    wide = max(len(pace.step) for pace in paces.steps.values()) + 2
    out.append(f"  {'step':<{wide}}{'usual':>9}   {'range':<19}{'pieces':>6}  {'starter counts':<15} trend")
    out += [_row(pace, wide) for pace in paces.steps.values()]
    out += ["", *(f"▲ {flag.says}" for flag in paces.flags)] if paces.flags else []
    if paces.curve is not None:
        out += ["", paces.curve.says]
    return out


def _row(pace: Pace, wide: int) -> str:
    span = f"{minutes(pace.low_s)} to {minutes(pace.high_s)}"
    trend = "" if pace.trend is None else f"{pace.trend:+.0%} a day"
    effort = f"   {minutes(pace.per_effort_s)} a {pace.noun}" if pace.per_effort_s and pace.noun else ""
    usual, share = minutes(pace.usual_s), f"{pace.starter_share:.0%}"
    return f"  {pace.step:<{wide}}{usual:>9}   {span:<19}{pace.pieces:>6}  {share:<15} {trend}{effort}".rstrip()
