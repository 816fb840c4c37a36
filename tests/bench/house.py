"""The measures of the house: how much code there is, in how many files, and how much of it one command walks through.

`python -m tests.bench.house` prints them; `tests/test_house.py` holds those that must not grow.
"""

import ast
import io
import re
import subprocess
import sys
import tokenize
from pathlib import Path

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "guide"


def code_lines(source: str) -> int:
    """Count the lines of a file that hold code: no blank ones, no comments, no docstrings."""
    silent = {tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENDMARKER}
    lines: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type not in silent:
            lines.update(range(token.start[0], token.end[0] + 1))
    holders = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, holders) and ast.get_docstring(node, clean=False) is not None:
            first = node.body[0]
            lines -= set(range(first.lineno, (first.end_lineno or first.lineno) + 1))
    return len(lines)


def sources() -> list[Path]:
    """Every Python file of the package."""
    return sorted(PACKAGE.rglob("*.py"))


def walked(*argv: str) -> int:
    """Count the package's modules that one command loads, in an interpreter of its own."""
    script = (
        "import sys\nfrom guide.cli import run\n"
        f"run({list(argv)!r})\n"
        "names = [name for name in sys.modules if name == 'guide' or name.startswith('guide.')]\n"
        "sys.stderr.write(f'WALKED {len(names)}')"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, encoding="utf-8", cwd=ROOT, check=False)
    return int(done.stderr.rsplit("WALKED ", 1)[1])


def measures() -> dict[str, int]:
    """Give every measure by its name."""
    texts = {path: path.read_text(encoding="utf-8") for path in sources()}
    upper = [text for path, text in texts.items() if path.relative_to(PACKAGE).parts[0] in {"show", "commands"}]
    journal = next((ROOT / "sessions").rglob("*.jsonl"))
    return {
        "code lines": sum(code_lines(text) for text in texts.values()),
        "files in guide": sum(1 for path in PACKAGE.rglob("*") if path.is_file() and "__pycache__" not in path.parts),
        "Python files in guide": len(texts),
        "modules a log loads": walked("log", str(journal.relative_to(ROOT)), "-o", "-"),
        "modules a plan loads": walked("plan", str(journal.parents[1].relative_to(ROOT))),
        "dict[str, Any] in show and commands": sum(len(re.findall(r"dict\[str, Any\]", text)) for text in upper),
        "templates": sum(1 for path in PACKAGE.rglob("*.j2")),
        "lines of README": len((ROOT / "README.md").read_text(encoding="utf-8").splitlines()),
    }


if __name__ == "__main__":
    for name, value in measures().items():
        print(f"{value:8,}  {name}")
