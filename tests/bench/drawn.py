"""Draw one-word slips by a seed: `python -m tests.bench.drawn --seed 15 --count 200` prints them for `slips.txt`.

Each package of `guide` gets its share by its lines. A line is drawn among those that stand once in their file and hold
something that can slip, and then one of its slips: a comparison turned or its edge moved, + for -, * for /, `and` for
`or`, a number one off, a `not` lost, min for max, floor for ceil, any for all, True for False.
"""

import argparse
import ast
import random
from collections import Counter
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path

ROOT = Path(__file__).parents[2]
TURNED = {
    ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">", ast.Eq: "!=", ast.NotEq: "==",
    ast.Is: "is not", ast.IsNot: "is", ast.In: "not in", ast.NotIn: "in",
}  # fmt: skip
SWAPPED = {
    ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*", ast.FloorDiv: "*", ast.Mod: "//", ast.BitOr: "&", ast.BitAnd: "|",
}  # fmt: skip
OTHER = {
    "min": "max", "max": "min", "floor": "ceil", "ceil": "floor", "any": "all", "all": "any",
    "sorted": "list", "startswith": "endswith", "endswith": "startswith",
    "lstrip": "rstrip", "rstrip": "lstrip", "setdefault": "get",
}  # fmt: skip
Edit = tuple[int, int, int, str]  # line from 1, columns, what stands there instead


def drawn(seed: int, count: int) -> list[tuple[str, str, str]]:
    """Slips as file, what its line says and what it becomes: by packages, each by its lines, all from one seed."""
    rng = random.Random(seed)
    files = {
        file.relative_to(ROOT).as_posix(): file.read_text(encoding="utf-8")
        for file in sorted((ROOT / "guide").rglob("*.py"))
    }
    packages: dict[str, list[str]] = {}
    for name in files:
        packages.setdefault("/".join(name.split("/")[:2]) if name.count("/") > 1 else "guide", []).append(name)
    lines = {package: sum(files[name].count("\n") for name in names) for package, names in packages.items()}
    shares = _shared_out(count, lines)
    return [slip for package in sorted(packages) for slip in _of(packages[package], files, shares[package], rng)]


def _shared_out(count: int, lines: dict[str, int]) -> dict[str, int]:
    """Whole shares of `count` by lines, the largest remainders up."""
    exact = {package: count * own / sum(lines.values()) for package, own in lines.items()}
    whole = {package: int(share) for package, share in exact.items()}
    for package in sorted(exact, key=lambda one: whole[one] - exact[one])[: count - sum(whole.values())]:
        whole[package] += 1
    return whole


def _of(names: list[str], files: dict[str, str], count: int, rng: random.Random) -> list[tuple[str, str, str]]:
    places: dict[tuple[str, int], list[str]] = {}
    for name in names:
        text = files[name].splitlines()
        often = Counter(line.strip() for line in text)
        for at, begin, end, instead in _every(files[name]):
            line = text[at - 1]
            new = (line[:begin] + instead + line[end:]).strip()
            if often[line.strip()] == 1 and new != line.strip():
                places.setdefault((name, at), []).append(new)
    chosen = rng.sample(sorted(places), count)
    return [
        (name, files[name].splitlines()[at - 1].strip(), rng.choice(places[name, at])) for name, at in sorted(chosen)
    ]


@cache
def _every(text: str) -> tuple[Edit, ...]:
    """Find all that can slip in one file, once, however often is drawn."""
    return tuple(slips(text))


def slips(text: str) -> Iterator[Edit]:
    """What can slip in one file, by lines and columns; nothing in annotations, imports and docstrings."""
    lines = text.splitlines()
    for node in _worked(ast.parse(text)):
        match node:
            case ast.Compare(left=left, ops=ops, comparators=others):
                for before, op, after in zip([left, *others], ops, others, strict=False):
                    yield from _between(lines, before, after, TURNED.get(type(op)))
            case ast.BinOp(left=left, op=op, right=right) if not _text(left) and not _text(right):
                yield from _between(lines, left, right, SWAPPED.get(type(op)))
            case ast.BoolOp(op=op, values=values):
                for before, after in pairwise(values):
                    yield from _between(lines, before, after, "or" if isinstance(op, ast.And) else "and")
            case ast.AugAssign(target=target, op=op, value=value) if isinstance(op, ast.Add | ast.Sub):
                yield from _between(lines, target, value, "-=" if isinstance(op, ast.Add) else "+=")
            case ast.UnaryOp(op=ast.Not(), operand=operand) if node.lineno == operand.lineno:
                yield node.lineno, _column(lines, node), _column(lines, operand), ""
            case ast.Constant(value=bool() as value):
                yield node.lineno, *_columns(lines, node), str(not value)
            case ast.Constant(value=int() | float() as value):
                for other in _beside(value):
                    yield node.lineno, *_columns(lines, node), f"{other:.12g}"
            case ast.Name(id=name) | ast.Attribute(attr=name) if name in OTHER:
                end = _columns(lines, node)[1]
                yield node.end_lineno or 0, end - len(name), end, OTHER[name]


def _beside(value: float) -> list[float]:
    """Give another number or two: whole ones one off, others doubled and halved."""
    if isinstance(value, int):
        return [value + 1, value - 1] if value else [1]
    return [value * 2, value / 2] if value else [1.0]


def _worked(node: ast.AST) -> Iterator[ast.AST]:
    """Every node that is worked out when the program runs, not what only annotates."""
    for name, value in ast.iter_fields(node):
        if name in {"annotation", "returns", "type_params"} or isinstance(
            node, ast.Import | ast.ImportFrom | ast.JoinedStr
        ):
            continue
        if isinstance(node, ast.keyword) and node.arg == "frozen":  # that nothing writes to it is the type checker's
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield child
                yield from _worked(child)


def _between(lines: list[str], before: ast.expr, after: ast.expr, instead: str | None) -> Iterator[Edit]:
    """The operator between two operands, where both stand on one line; brackets round them stay."""
    if instead is None or before.end_lineno != after.lineno:
        return
    line, begin, end = lines[after.lineno - 1], _columns(lines, before)[1], _column(lines, after)
    there = line[begin:end]
    word = there.strip("() ")
    if word:
        begin += there.index(word)
        yield after.lineno, begin, begin + len(word), instead


def _column(lines: list[str], node: ast.expr) -> int:
    return len(lines[node.lineno - 1].encode()[: node.col_offset].decode())


def _columns(lines: list[str], node: ast.expr) -> tuple[int, int]:
    """Where a node begins and ends, in letters; ast counts bytes."""
    end = len(lines[(node.end_lineno or 1) - 1].encode()[: node.end_col_offset].decode())
    return _column(lines, node), end


def _text(node: ast.expr) -> bool:
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def main() -> None:
    """Print a drawing as the pool keeps it, without what notices it."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.drawn", description=__doc__)
    parser.add_argument("--seed", type=int, default=15)
    parser.add_argument("--count", type=int, default=200)
    asked = parser.parse_args()
    for name, old, new in drawn(asked.seed, asked.count):
        print(f"{name}\n- {old}\n+ {new}\n")


if __name__ == "__main__":
    main()
