"""`python -m tests.bench.profiles`: where the main commands' processor time goes, as a table for DEVELOPERS.md.

Each command runs in a process of its own, several times, and is asked every half millisecond of processor time
what it is doing; an import counts for the library that set it off.
"""

import json
import signal
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path
from types import FrameType

ROOT = Path(__file__).parent.parent.parent
DEMO = ROOT / "sessions" / "window-seat-cushion"
EVERY_S = 0.0005
COMMANDS = {
    "guide --version": ["--version"],
    "guide plan": ["plan", "DEMO"],
    "guide plan --page": ["plan", "DEMO", "--page", "OUT"],
    "guide why zip_cut": ["why", "zip_cut", "DEMO"],
    "guide layout": ["layout", "DEMO"],
    "guide price": ["price", "DEMO"],
    "guide checklist": ["checklist", "DEMO", "-o", "OUT"],
    "guide log": ["log", "JOURNAL", "-o", "OUT"],
    "guide history": ["history", "SESSIONS"],
    "guide check": ["check", "DEMO/project.yaml"],
}


def what(frame: FrameType | None) -> str:
    """Name the work of one moment: whose import it is, or our floor that is at it and the library it waits for."""
    importing, inner, outer, floor = False, "", "", ""
    while frame is not None:
        file = frame.f_code.co_filename
        importing = importing or "importlib._bootstrap>" in file
        if library := file.partition("/site-packages/")[2].partition("/")[0]:
            inner, outer = inner or ("" if floor else library), library if library != "click" else outer
        floor = floor or file.partition(f"{ROOT.name}/guide/")[2].partition("/")[0].removesuffix(".py")
        frame = frame.f_back
    if importing:
        return f"importing {outer or 'ours and Python’s own'}"
    return f"{floor or 'Python itself'} ({inner})" if inner not in {"", "click"} else floor or "Python itself"


def watch() -> Counter[str]:
    """Begin to ask, and give the counts as they grow."""
    counts: Counter[str] = Counter()
    signal.signal(signal.SIGPROF, lambda _signal, frame: counts.update([what(frame)]))
    signal.setitimer(signal.ITIMER_PROF, EVERY_S, EVERY_S)
    return counts


def command(out: Path, argv: list[str]) -> int:
    """Run one command in this process, watched from before its imports on."""
    counts = watch()
    from guide.cli import run

    code = run(argv)
    signal.setitimer(signal.ITIMER_PROF, 0)
    out.write_text(json.dumps(counts), encoding="utf-8")
    return code


def keys(out: Path, journal: Path) -> int:
    """Open a session of ten thousand records on the screen; watched from the signal on until it is left."""
    from tests.bench.screen_apps import ours

    begun: list[Counter[str]] = []
    signal.signal(signal.SIGUSR1, lambda *_: begun.append(watch()))
    code = ours(journal)
    signal.setitimer(signal.ITIMER_PROF, 0)
    out.write_text(json.dumps(begun[0]), encoding="utf-8")
    return code


def of_command(argv: list[str], runs: int = 10) -> Counter[str]:
    """Gather the moments of some runs of one command."""
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "counts"
        journal = next((DEMO / "rehearsals").glob("*.jsonl"))
        names = {"DEMO": DEMO, "JOURNAL": journal, "SESSIONS": DEMO.parent, "OUT": Path(folder) / "out.html"}
        for name, path in names.items():
            argv = [word.replace(name, str(path)) for word in argv]
        for _ in range(runs):
            child = [sys.executable, "-m", "tests.bench.profiles", "command", str(out), *argv]
            subprocess.run(child, capture_output=True, check=True, cwd=ROOT)
            counts.update(json.loads(out.read_text(encoding="utf-8")))
    return counts


def of_keys(presses: int = 400) -> Counter[str]:
    """Gather the moments of so many counted pieces on the full screen."""
    from tests.terminal.pty_term import Term

    with tempfile.TemporaryDirectory() as folder:
        out, journal = Path(folder) / "counts", Path(folder) / "j.jsonl"
        term = Term(["-m", "tests.bench.profiles", "keys", str(out), str(journal)], cols=120, rows=40)
        term.wait("of 40000", 20)
        term.child.kill(signal.SIGUSR1)
        for _ in range(presses):
            term.send(" ").pump(0.02)
        term.child.kill(signal.SIGTERM)
        term.exit_code()
        return Counter(json.loads(out.read_text(encoding="utf-8")))


def told(name: str, counts: Counter[str]) -> str:
    """Write one row of the table: every share from three in a hundred up."""
    total = counts.total()
    parts = [f"{one} {100 * count / total:.0f} %" for one, count in counts.most_common() if count >= 0.03 * total]
    return f"| `{name}` | {' · '.join(parts)} |"


def main() -> None:
    """Print the table."""
    print("| command | its processor time goes to |\n|---|---|")
    for name, argv in COMMANDS.items():
        print(told(name, of_command(argv)), flush=True)
    print(told("guide follow, a key", of_keys()))


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["command", out, *argv]:
            raise SystemExit(command(Path(out), argv))
        case ["keys", out, journal]:
            raise SystemExit(keys(Path(out), Path(journal)))
        case _:
            main()
