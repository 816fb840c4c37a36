"""A small program that keeps a journal: prints each record's number once it is said to be saved.

python writer.py JOURNAL COUNT [hold]
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.systems import as_wanted

as_wanted()

from guide.errors import GuideError
from guide.record.journal import Journal
from tests.fakes import FakeClock


def main() -> int:
    path, count = Path(sys.argv[1]), int(sys.argv[2])
    clock = FakeClock()
    try:
        journal = Journal.open(path, clock.read()) if path.exists() else Journal.create(path)
        for _ in range(count):
            what = {"what": "noted", "text": "x" * 40} if journal.events else {"what": "opened", "format": 1}
            event = journal.append(what, clock.run(1))
            print(event.n, flush=True)
    except GuideError as refused:
        print(f"refused {refused}", flush=True)
        return refused.exit_code
    if "hold" in sys.argv:
        print("holding", flush=True)
        sys.stdin.read()
    return 0


if __name__ == "__main__":
    sys.exit(main())
