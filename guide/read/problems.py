"""Mistakes in files, as values: all of them, sorted by place, each with its line and a caret."""

from collections.abc import Iterable, Sequence
from functools import lru_cache

import msgspec

from guide.errors import NeedsMending
from guide.read.model import Place

MOST_TOLD = 100  # mistakes of formulas, names and texts looked for; the rest are told once these are mended


class Problem(msgspec.Struct, frozen=True, order=True):
    """One mistake (or hint) at one place; line and column are 1-based."""

    file: str
    line: int
    column: int
    path: str
    message: str
    hint: bool = False  # worth saying, not worth stopping for
    since: bool = False  # asked of a file to work from only: texts that a journal keeps were good by the rules of then

    def __str__(self) -> str:
        where = f"{self.path}: " if self.path else ""
        return f"{Place(self.file, self.line, self.column).exact}: {where}{self.message}"


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Give ` (did you mean …?)` for a near miss, or nothing."""
    import difflib  # noqa: PLC0415 - only for a slip

    words = list(known)
    near = difflib.get_close_matches(word, words, n=1, cutoff=0.6) or [w for w in words if word in w.split("_")][:1]
    return f" (did you mean {near[0]}?)" if near else ""


def one_of(words: Sequence[str]) -> str:
    """Give `a, b or c`."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def no_more(problems: Sequence[Problem]) -> list[Problem]:
    """Say after the last of very many mistakes that there may be more."""
    if len(problems) < MOST_TOLD:
        return []
    said = f"{MOST_TOLD} mistakes and more: what else is wrong is told once these are mended"
    return [msgspec.structs.replace(max(problems), path="", message=said)]


@lru_cache(maxsize=16)
def lines_of(text: str) -> tuple[str, ...]:
    """Cut a text into its lines, once for all the places in it."""
    return tuple(text.split("\n"))


def describe(problems: Iterable[Problem], texts: dict[str, str] | None = None) -> str:
    """Write problems out, by place, with the line and a caret where the text is at hand."""
    out: list[str] = []
    for problem in sorted(set(problems)):
        out.append(str(problem) + ("  (a hint)" if problem.hint else ""))
        text = (texts or {}).get(problem.file)
        lines = lines_of(text) if text is not None else ()
        if 0 < problem.line <= len(lines) and (line := lines[problem.line - 1]).strip():
            shown, column = _window(line, problem.column)
            out += [f"    {shown}", f"    {' ' * (column - 1)}^"]
    return "\n".join(out)


def _window(line: str, column: int, width: int = 96) -> tuple[str, int]:
    """Cut a long line to what fits round its column."""
    clean = "".join(c if c.isprintable() else " " for c in line)
    if len(clean) <= width:
        return clean, column
    start = max(0, min(column - 1 - width // 2, len(clean) - width))
    return clean[start : start + width], column - start


def mend(problems: Iterable[Problem], texts: dict[str, str] | None = None) -> NeedsMending:
    """Make the error that carries all problems of a reading."""
    found = [p for p in problems if not p.hint]
    count = f"{len(set(found))} things need" if len(set(found)) > 1 else "One thing needs"
    return NeedsMending(f"{describe(found, texts)}\n{count} mending; nothing was written.")
