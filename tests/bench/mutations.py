"""Do the tests notice? `python -m tests.bench.mutations`: ten one-character slips, each in a copy of the tree.

For each slip the tests of the sums, the steps and the way backwards run in a temporary copy; nothing in this tree
is touched. Ends with 1 when a slip stays green. `--only NAME` for one of them.
"""

import argparse
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import msgspec

ROOT = Path(__file__).parents[2]
TESTS = (
    "tests/plan",
    "--ignore-glob=*cutting*",
    "--ignore-glob=*layout*",
    "--ignore-glob=*language*",
    "-k",
    "not rehearsed",
)


class Slip(msgspec.Struct, frozen=True):
    """One character changed in one file: `old` stands there once and becomes `new`."""

    name: str
    file: str
    old: str
    new: str


SLIPS = (
    Slip("pitch loses one seam", "workflows/cut.yaml", "pitch: square - 2 * seam", "pitch: square - 1 * seam"),
    Slip("free end added", "workflows/join.yaml", "2 * seam - 2 * free_end", "2 * seam + 2 * free_end"),
    Slip("one panel seam too many", "workflows/join.yaml", "make * (down - 1)", "make * (down - 0)"),
    Slip("five slits at the corners", "workflows/snip.yaml", "snip_every) - 1) + 4)", "snip_every) - 1) + 5)"),
    Slip("a plus for a cross", "workflows/quilt.yaml", "quilt_box * sqrt(2)", "quilt_box * sqrt(3)"),
    Slip("zip cut long", "workflows/closure.yaml", "zip_cut: zip_seam - 2", "zip_cut: zip_seam + 2"),
    Slip("hem turned thrice", "workflows/closure.yaml", "2 * hem if double_hem", "3 * hem if double_hem"),
    Slip("cloth grows in the wash", "workflows/wash.yaml", "else 1 - shrink_length)\n", "else 1 + shrink_length)\n"),
    Slip("makes counted from two", "guide/plan/graph.py", 'get("make") or 1) != 1', 'get("make") or 1) != 2'),
    Slip("ease on the wrong side", "guide/plan/backwards.py", "asked.width - asked.ease", "asked.width + asked.ease"),
)  # fmt: skip


def main() -> int:
    """Try every slip and say which tests went red."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.mutations", description=__doc__)
    parser.add_argument("--only", default="", help="only slips whose name holds this")
    if red := _tried(None):
        raise SystemExit(f"Red without any slip, so nothing can be learnt: {'; '.join(red)}")
    chosen = [slip for slip in SLIPS if parser.parse_args().only in slip.name]
    green = [slip for slip in chosen if not _noticed(slip)]
    print(f"{len(chosen) - len(green)} of {len(chosen)} slips were noticed.")
    return 1 if green else 0


def _noticed(slip: Slip) -> bool:
    red = _tried(slip)
    shown = "; ".join(red[:3]) + (" and more" if len(red) > 3 else "")
    print(f"{slip.name} ({slip.file}): {f'red: {shown}' if red else 'STAYED GREEN'}", flush=True)
    return bool(red)


def _tried(slip: Slip | None) -> list[str]:
    """Run the tests on a copy of the tree, with a slip in it or without: those that went red, at most five."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "tree"
        copy.mkdir()
        for name in ("guide", "workflows", "tests", "sessions"):
            shutil.copytree(ROOT / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(ROOT / "pyproject.toml", copy)
        if slip is not None:
            _write(slip, copy)
        return _red(copy)


def _write(slip: Slip, copy: Path) -> None:
    file = copy / slip.file
    text = file.read_text(encoding="utf-8")
    if text.count(slip.old) != 1:
        raise SystemExit(f"{slip.name}: {slip.old!r} stands {text.count(slip.old)} times in {slip.file}")
    file.write_text(text.replace(slip.old, slip.new), encoding="utf-8")


def _red(copy: Path) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--maxfail=5", *TESTS],
        cwd=copy, capture_output=True, encoding="utf-8", check=False, env={"PYTHONPATH": str(copy), "PATH": "/usr/bin:/bin"},
    )  # fmt: skip
    if done.returncode not in {0, 1}:
        raise SystemExit(done.stdout[-2000:] + done.stderr[-2000:])
    return [name.split("::")[-1] for name in re.findall(r"^(?:FAILED|ERROR) (\S+)", done.stdout, re.MULTILINE)]


if __name__ == "__main__":
    raise SystemExit(main())
