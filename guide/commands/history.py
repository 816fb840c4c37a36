"""`guide history`: what all sessions come to."""

from pathlib import Path

import click
import msgspec

from guide.commands.common import SESSIONS, say, talk
from guide.record.history import History, Total, history
from guide.record.sessions import sessions_below
from guide.show.words import minutes


@click.command("history", epilog="\b\nExamples:\n  guide history\n  guide history --by day\n  guide history --json")
@click.argument("root", required=False, type=click.Path(file_okay=False), metavar="[SESSIONS-FOLDER]")
@click.option(
    "--by", type=click.Choice(["project", "stage", "step", "day", "maker"]), multiple=True, help="Only these totals."
)
@click.option("--rehearsals", is_flag=True, help="Count rehearsals too (their times are nobody's).")
@click.option("--json", "as_json", is_flag=True, help="All figures as JSON, ms.")
def command(root: str | None, *, by: tuple[str, ...], rehearsals: bool, as_json: bool) -> int:
    """Add up all sessions: time by project, stage, step, day and maker, and which are still open."""
    paths = sessions_below(Path(root) if root else SESSIONS, rehearsed=rehearsals)
    told = history(paths, modes=("real", "practice", "rehearsal") if rehearsals else ("real", "practice"))
    if as_json:
        import json

        click.echo(json.dumps(msgspec.to_builtins(told, enc_hook=str), ensure_ascii=False, indent=1))
    else:
        say("\n".join(history_lines(told, by or ("project", "stage", "step", "day", "maker"))))
    for unread in told.unread:
        talk(unread.says)
    return 5 if told.unread else 0


def history_lines(told: History, by: tuple[str, ...]) -> list[str]:
    """Lay the totals out for the terminal."""
    if not told.sessions:
        return ["No session yet. Begin one with: guide follow PROJECT"]
    out: list[str] = []
    out += [
        f"open: {one.path}  ({one.title}, since {one.day}, {minutes(one.total.counted_ms / 1000)} so far)"
        for one in told.open
    ]
    for name in by:
        totals: dict[str, Total] = getattr(told, f"by_{name}")
        wide = max((len(key or "nobody named") for key in totals), default=0) + 3
        out += ["", f"by {name}"]
        out += [
            f"  {key or 'nobody named':<{wide}}{minutes(total.counted_ms / 1000):>9}{total.pieces:>8} pieces"
            f"{total.sessions:>5} session{'s' if total.sessions != 1 else ''}"
            for key, total in totals.items()
        ]
    return out
