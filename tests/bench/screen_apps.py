"""The two programs the screen's bench compares: ours with a long session open, and an application of one line.

Usage: python -m tests.bench.screen_apps ours JOURNAL | hand plain | hand coloured | line
"""

import itertools
import sys
import time
from pathlib import Path

from msgspec.structs import replace

from guide.record.model import Reading
from tests.clocked import Running
from tests.show import screen_samples as samples

RECORDS = 10_000


def ours(path: Path) -> int:
    """Sixty throws of 12 by 16 blocks, ten thousand records of their crosses in the journal."""
    from guide.follow.model import Desk
    from guide.follow.session import Session
    from guide.record.journal import Journal
    from guide.record.lines import encode, event_of
    from guide.show.screen.app import Screen, run

    plan = samples.plan(12, 16, make=60)
    clock = Running(time.monotonic_ns())
    now = clock.read()
    members = [{"what": "opened", "format": 1, "mode": "real"}, {"what": "step_started", "step": "quilt/cross"}]
    members += [{"what": "piece_done", "step": "quilt/cross", "count": 1}] * RECORDS
    lines = b"".join(encode(event_of(n, one, earlier(now, len(members) - n))) for n, one in enumerate(members, 1))
    session = Session(Journal.create(path, lines), lambda *_: plan, clock, desk=Desk(guard_ms=0))
    return run(Screen(session))


def earlier(now: Reading, records: int) -> Reading:
    """So many records before now, half a minute each: the session took days."""
    ms = records * 30_000
    return Reading(now.wall - ms, now.offset, now.awake - records, now.total - records, now.boot)


def hand(own: bool) -> int:
    """A throw of 12 by 16 laid by hand: each space takes a block up or lets two change places."""
    from guide.follow.by_hand import begun
    from guide.show.screen.by_hand import HandScreen

    plan = samples.plan(12, 16)
    prints = tuple(replace(one, colour="#7a8b6c" if own else None) for one in plan.project.prints)
    assert plan.layout is not None
    here = begun(replace(plan.project, prints=prints), plan.layout, frozenset())
    screen = HandScreen(here, lambda _hand: "Kept.", lambda _hand: "To buy: nothing.", true=own)
    return screen.window.run(screen.before_run, lambda: None) or 0


def line() -> int:
    """A full-screen application of one line, that counts its key and draws once a second."""
    from prompt_toolkit.application import Application
    from prompt_toolkit.key_binding import KeyBindings
    from prompt_toolkit.layout import FormattedTextControl, Layout, Window

    count, bound, drawn = [0], KeyBindings(), itertools.count()

    @bound.add(" ")
    def one_more(_event):
        count[0] += 1

    @bound.add("q")
    def leave(event):
        event.app.exit(result=0)

    control = FormattedTextControl(lambda: f"counted {count[0]}, drawn {next(drawn)}")
    return Application(Layout(Window(control)), key_bindings=bound, full_screen=True, refresh_interval=1.0).run()


if __name__ == "__main__":
    if sys.argv[1] == "hand":
        sys.exit(hand(sys.argv[2] == "coloured"))
    sys.exit(ours(Path(sys.argv[2])) if sys.argv[1] == "ours" else line())
