"""Follow the sample plan on the full screen, with a real journal: what the pseudo-terminal tests start.

Usage: python -m tests.terminal.runner BEGUN JOURNAL [--pedal KEY] [--beginner] [--slow SECONDS] [--no-guard] [--dark]
With --slow every sync takes so long, and JOURNAL.synced counts the syncs that have come back.
"""

import argparse
import os
import sys
import time
from pathlib import Path

from guide.follow.model import Desk
from guide.follow.session import Session
from guide.record.journal import Journal
from guide.show.screen.app import Screen, run
from guide.show.screen.text import marks_for
from guide.show.table import true_colour
from tests.clocked import Running
from tests.show import screen_samples as samples


def session_in(path: Path, clock, desk: Desk | None = None) -> Session:
    """The sample's session in a journal, made or taken up."""
    plan = samples.plan()
    fresh = not path.exists()
    journal = Journal.create(path) if fresh else Journal.open(path, clock.read())
    if fresh:
        opened = {"what": "opened", "format": 1, "mode": "practice", "title": plan.project.title}
        journal.append(opened, clock.read())
    session = Session(journal, lambda _measured, _layout, _texts: plan, clock, desk=desk)
    if not fresh and not session.record.closed:
        session.take_up()
    return session


def slow_down(journal: Path, seconds: float) -> None:
    """Make every sync slow, and leave a mark when it has come back."""
    marks = journal.with_name(journal.name + ".synced")

    def slowly(real):
        def sync(fd):
            time.sleep(seconds)
            real(fd)
            with marks.open("ab") as out:
                out.write(b".")

        return sync

    os.fsync, os.fdatasync = slowly(os.fsync), slowly(os.fdatasync)


def main() -> int:
    """Follow until it is left; the exit code is the screen's."""
    asked = argparse.ArgumentParser()
    asked.add_argument("begun", type=int, help="as for tests/clocked.py")
    asked.add_argument("journal", type=Path)
    asked.add_argument("--pedal")
    asked.add_argument("--beginner", action="store_true")
    asked.add_argument("--slow", type=float, default=0.0)
    asked.add_argument("--no-guard", action="store_true")
    asked.add_argument("--dark", dest="ground", action="store_const", const="dark", default="")
    given = asked.parse_args()
    desk = Desk(beginner=given.beginner, guard_ms=0 if given.no_guard else 400)
    session = session_in(given.journal, Running(given.begun), desk)
    if given.slow:
        slow_down(given.journal, given.slow)
    here = {"marks": marks_for(sys.stdout.encoding), "true": true_colour(os.environ)}
    code = run(Screen(session, pedal=given.pedal, saved_in=given.journal.name, ground=given.ground, **here))
    print(f"left with {code}")
    return code


if __name__ == "__main__":
    sys.exit(main())
