"""`guide history`: what all sessions come to."""

from collections.abc import Mapping
from pathlib import Path

import click
import msgspec

from guide.commands.common import SESSIONS, say, talk
from guide.errors import GuideError
from guide.plan.make import make_plan
from guide.read.places import from_texts
from guide.read.plurals import plural
from guide.record.history import History, Total, history
from guide.record.model import Record
from guide.record.sessions import sessions_below
from guide.show.named import named_steps
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
    names = Names()
    told = history(
        paths,
        modes=("real", "practice", "rehearsal") if rehearsals else ("real", "practice"),
        look=None if as_json or (by and "step" not in by) else names.look,
    )
    if as_json:
        import json

        click.echo(json.dumps(msgspec.to_builtins(told, enc_hook=str), ensure_ascii=False, indent=1))
    else:
        say("\n".join(history_lines(told, by or ("project", "stage", "step", "day", "maker"), names.of)))
    for unread in told.unread:
        talk(unread.says)
    return 5 if told.unread else 0


class Names:
    """The steps' names by key, from the plans the sessions keep; the number only where all agree on it."""

    def __init__(self) -> None:
        self._plans: set[int] = set()
        self.of: dict[str, str] = {}

    def look(self, record: Record) -> None:
        """Learn the names of one session's steps, once for all sessions with the same texts."""
        texts = hash((record.project_text, *sorted(record.stage_texts.items())))
        if texts in self._plans:
            return
        self._plans.add(texts)
        try:
            project, language = from_texts(record.project_text, record.stage_texts, "project.yaml")
            found = named_steps(make_plan(project, language, None, record.layout))
        except GuideError:  # an old session in words that are no longer understood: its keys must do
            return
        for key, name in found.items():
            same = self.of.get(key, name) == name
            self.of[key] = name if same else name.partition(" ")[2]


def history_lines(told: History, by: tuple[str, ...], names: Mapping[str, str]) -> list[str]:
    """Lay the totals out for the terminal; names: of steps by key."""
    if not told.sessions:
        return ["No session yet. Begin one with: guide follow PROJECT"]
    out: list[str] = []
    out += [
        f"open: {one.path}  ({one.title}, since {one.day}, {minutes(one.total.counted_ms / 1000)} so far)"
        for one in told.open
    ]
    for name in by:
        totals: dict[str, Total] = getattr(told, f"by_{name}")
        called = {key: names.get(key, key) or "nobody named" for key in totals}
        wide = max(map(len, called.values()), default=0) + 3
        out += ["", f"by {name}"]
        out += [
            f"  {called[key]:<{wide}}{minutes(total.counted_ms / 1000):>9}{total.pieces:>8} "
            f"{plural('piece', total.pieces):<6}{total.sessions:>5} {plural('session', total.sessions)}"
            for key, total in totals.items()
        ]
    return out
