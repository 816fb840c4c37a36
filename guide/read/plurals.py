"""The words beside numbers: 1 block, 12 blocks, 2 batches."""

import re
from collections.abc import Sequence

_ES = ("s", "x", "ch", "sh")
_FIRST = re.compile(r"^\w+")


def plural(noun: str, count: float = 2) -> str:
    """Give the word for so many: block, blocks, batches; a cloth, cloths."""
    if count == 1:
        return noun
    return f"{noun}es" if noun.endswith(_ES) else f"{noun}s"


def counted(count: int, noun: str) -> str:
    """Say how many there are of something: `1 block`, `12 blocks`, `2 batches`."""
    return f"{count:,} {plural(noun, count)}"


def listed(words: Sequence[str]) -> str:
    """Put words in a row as they are said: `A`, `A and B`, `A, B and C`."""
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


def are(count: int) -> str:
    """Give the verb for so many: is, are."""
    return "is" if count == 1 else "are"


def labelled(label: str, text: str) -> str:
    """Give a label as it stands beside a figure: `bobbin to wind` beside 1; its noun is its first word."""
    return _FIRST.sub(lambda found: _singular(found[0]), label) if text == "1" else label


def _singular(word: str) -> str:
    if word.endswith(("sses", "xes", "ches", "shes")):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
