"""Follow the sample plan on the full screen, with a real journal: what the pseudo-terminal tests start.

Usage: python -m tests.terminal.runner JOURNAL [--pedal KEY] [--beginner]
"""

import argparse
import sys
from pathlib import Path

from guide.follow.model import Desk
from guide.follow.session import Session
from guide.record.clock import SystemClock
from guide.record.journal import Journal
from guide.show.screen.app import run
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


def main() -> int:
    """Follow until it is left; the exit code is the screen's."""
    asked = argparse.ArgumentParser()
    asked.add_argument("journal", type=Path)
    asked.add_argument("--pedal")
    asked.add_argument("--beginner", action="store_true")
    given = asked.parse_args()
    session = session_in(given.journal, SystemClock(), Desk(beginner=given.beginner))
    code = run(session, pedal=given.pedal, saved_in=given.journal.name)
    print(f"left with {code}")
    return code


if __name__ == "__main__":
    sys.exit(main())
