"""Do the tests notice? `python -m tests.bench.mutations`: the slips of `slips.txt`, each in a copy of the tree.

For each slip the test that is named beside it runs in the copy and must turn red; nothing in this tree is touched.
`--turn WORD`: twenty of them, drawn by that word (a commit, a day). `--only TEXT`: those whose file or line holds it.
Ends with 1 when a slip stays green, or when more than a fifth of the pool's lines are gone. A line is known by its text,
not by its number, in its own file or, moved, in another: `python -m tests.bench.drawn` draws new ones for those gone.
"""

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path
from queue import SimpleQueue

import msgspec

ROOT = Path(__file__).parents[2]
POOL = Path(__file__).with_name("slips.txt")
TURN = 20  # slips in one turn
MOST_GONE = 1 / 5
PATIENCE_S = 60.0  # a slip that makes a loop endless is noticed too


class Slip(msgspec.Struct, frozen=True):
    """What one line says and what it becomes, and what notices: a test's name, or why there is nothing to notice.

    `open`: nothing has noticed yet, and nobody has shown that nothing can: a test is wanted.
    """

    file: str
    old: str
    new: str
    test: str = ""
    equivalent: str = ""
    open: str = ""


def pool() -> list[Slip]:
    """Read the pool: four lines a slip, `file`, `- old`, `+ new`, and `red: test`, `equivalent: reason` or `open: …`."""
    slips = []
    for block in POOL.read_text(encoding="utf-8").strip().split("\n\n"):
        file, old, new, verdict = [line for line in block.split("\n") if not line.startswith("#")]
        word, _, said = verdict.partition(": ")
        if not (old.startswith("- ") and new.startswith("+ ") and word in {"red", "equivalent", "open"} and said):
            raise SystemExit(f"{POOL.name}: not a slip: {block}")
        slips.append(Slip(file, old[2:], new[2:], **{"test" if word == "red" else word: said}))
    return slips


@cache
def _texts() -> dict[str, list[str]]:
    """Give every file a slip may be in, by name from the root: its lines without their margins."""
    files = [*sorted((ROOT / "guide").rglob("*.py")), *sorted((ROOT / "workflows").glob("*.yaml"))]
    return {
        file.relative_to(ROOT).as_posix(): [line.strip() for line in file.read_text(encoding="utf-8").split("\n")]
        for file in files
    }


def place_of(slip: Slip) -> str | None:
    """Find the file a slip's line stands in, once: its own, else the only other one. None when it is gone."""
    held = [name for name, lines in _texts().items() if lines.count(slip.old) == 1]
    return slip.file if slip.file in held else held[0] if len(held) == 1 else None


def gone(slips: list[Slip]) -> list[Slip]:
    """Give the slips whose line is not there any more, or not once."""
    return [slip for slip in slips if place_of(slip) is None]


def main() -> int:
    """Try the slips and say which test went red."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.mutations", description=__doc__)
    parser.add_argument("--only", default="", help="only slips whose file or line holds this")
    parser.add_argument("--turn", default="", help="twenty of them, drawn by this word")
    asked = parser.parse_args()
    everything = pool()
    lost = gone(everything)
    chosen = [slip for slip in everything if slip.test and slip not in lost and asked.only in f"{slip.file} {slip.old}"]
    if asked.turn:
        chosen = random.Random(asked.turn).sample(chosen, min(TURN, len(chosen)))
    for slip in lost:
        print(f"gone: {slip.file}: {slip.old}")
    with tempfile.TemporaryDirectory() as folder:
        green = [slip for slip, noticed in zip(chosen, _tried(chosen, Path(folder)), strict=True) if not noticed]
    print(f"{len(chosen) - len(green)} of {len(chosen)} slips were noticed; of {len(everything)} {len(lost)} are gone.")
    print(f"{sum(bool(slip.open) for slip in everything)} are open: a test is wanted for each.")
    return 1 if green or len(lost) > MOST_GONE * len(everything) else 0


def _tried(slips: list[Slip], folder: Path) -> list[bool]:
    """Try slips in as many copies of the tree as there are cores; the named tests must be green without any."""
    copies: SimpleQueue[Path] = SimpleQueue()
    count = os.cpu_count() or 1
    for number in range(count):
        copy = folder / f"tree{number}"
        copy.mkdir()
        for name in ("guide", "workflows", "tests", "sessions", ".ci"):
            shutil.copytree(ROOT / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
            shutil.copy(ROOT / name, copy)
        copies.put(copy)
    tests = sorted({slip.test for slip in slips})

    def whole(some: list[str]) -> str:
        copy = copies.get()
        try:
            return _red(copy, some) if some else ""
        finally:
            copies.put(copy)

    def noticed(slip: Slip) -> bool:
        copy = copies.get()
        try:
            said = _slipped(slip, copy)
        finally:
            copies.put(copy)
        print(f"{slip.file}\n- {slip.old}\n+ {slip.new}\n{said or f'STAYED GREEN: {slip.test}'}\n", flush=True)
        return bool(said)

    with ThreadPoolExecutor(count) as at_once:
        for said in at_once.map(whole, [tests[number::count] for number in range(count)]):
            if said:
                raise SystemExit(f"Red without any slip, so nothing can be learnt: {said}")
        return list(at_once.map(noticed, slips))


def _slipped(slip: Slip, copy: Path) -> str:
    """Put one slip into a copy, run its test, and put the line back; what went red, or nothing."""
    file = copy / (place_of(slip) or slip.file)
    text = file.read_text(encoding="utf-8")
    lines = text.split("\n")
    at = [line.strip() for line in lines].index(slip.old)
    lines[at] = lines[at].replace(slip.old, slip.new)
    file.write_text("\n".join(lines), encoding="utf-8")
    try:
        return _red(copy, [slip.test])
    finally:
        file.write_text(text, encoding="utf-8")
        for compiled in (file.parent / "__pycache__").glob(f"{file.stem}.*"):
            compiled.unlink()  # a file of the same size in the same second would be taken for the slipped one


def _red(copy: Path, tests: list[str]) -> str:
    """Say which test goes red first, or nothing. SystemExit when one is not there."""
    try:
        done = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-n", "0", *tests],
            cwd=copy, capture_output=True, encoding="utf-8", check=False, timeout=PATIENCE_S * len(tests),
            env={"PYTHONPATH": str(copy), "PATH": os.environ["PATH"], "HOME": str(copy), "CI": "true"},
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return f"red: no end in {PATIENCE_S:g} s"
    red = [line for line in done.stdout.split("\n") if line.startswith(("FAILED ", "ERROR "))]
    if not red and done.returncode:
        return f"red: {(done.stdout + done.stderr)[-600:]}"
    return "; ".join(line.split(" - ")[0] for line in red)


if __name__ == "__main__":
    raise SystemExit(main())
