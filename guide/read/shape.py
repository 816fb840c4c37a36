"""Shapes: what a file may hold, said once as data; reading, the JSON schema and the docs come from it."""

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any, Literal

import msgspec

from guide.read.formula import FormulaError, compile_formula
from guide.read.lengths import INCH, PER_UNIT, BadLength, parse_length, show_length
from guide.read.model import Formula, Place, Rate
from guide.read.problems import Problem, did_you_mean, lines_of, one_of
from guide.read.strict_yaml import Loaded, Path, shown_path
from guide.read.times import parse_duration

Kind = Literal[
    "length", "count", "percent", "money", "rate", "text", "choice", "flag", "duration", "formula",
    "number", "size", "map", "list", "either", "names",
]  # fmt: skip


class Shape(msgspec.Struct, frozen=True):
    """The shape of one value. `says` is its line in the docs, units included."""

    kind: Kind
    says: str = ""
    required: bool = False
    default: str | None = None  # as a maker would write it; for the docs and the flat inputs
    metric: str | None = None  # the same in a metric project, where it is another
    at_least: float | None = None  # lengths mm, percents fractions, durations s
    over: float | None = None
    at_most: float | None = None
    choices: tuple[str, ...] = ()
    per: tuple[str, ...] = ()  # rate: what money may be per
    keys: dict[str, "Shape"] = {}  # map
    one_of: tuple[str, ...] = ()  # map: one of these keys must be there
    item: "Shape | None" = None  # list; or the values of a map of free names
    options: tuple["Shape", ...] = ()  # either: told apart by what is written
    longest: int = 2000  # text

    @property
    def when_absent(self) -> str:
        """What is taken when nothing is written, for the docs."""
        return f"{self.default} (metric: {self.metric})" if self.metric else self.default or ""


class Missing(msgspec.Struct, frozen=True):
    """A value that could not be read; its problem is already noted."""


MISSING = Missing()
_PERCENT = re.compile(r"(-?\d{1,4}(?:\.\d{1,6})?)\s*%")
_RATE = re.compile(r"(\d{1,9}(?:\.\d{1,6})?)\s*(?:/|per)\s*([a-z]+)")


def take(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    """Read one value by its shape; gives the value inside the program, or MISSING with a problem noted.

    Lengths mm, durations s, percents fractions, money Decimal, rates `Rate`, formulas `Formula`.
    """
    if data is None and shape.kind not in {"either", "choice"}:
        loaded.problem(path, f"nothing is written here; {_hint(shape)}")
        return MISSING
    try:
        value = _TAKERS[shape.kind](shape, loaded, path, data)
    except (ValueError, BadLength) as error:
        loaded.problem(path, str(error))
        return MISSING
    return value if value is MISSING else _bounds(shape, loaded, path, value)


def _hint(shape: Shape) -> str:
    example = {
        "length": "write a length like 6 in or 15 cm", "count": "write a whole number",
        "number": "write a number like 2 or 1.5", "size": "write a length like 1/4 in, or a formula",
        "percent": "write it like 4 %", "money": "write an amount like 7.50", "flag": "write true or false",
        "text": "write a text", "duration": "write a time like 50 min or 20 s",
        "list": "write a list, [a, b]",
        "formula": "write a formula like square - 2 * seam",
        "names": "write a list of names, [a, b]",
    }  # fmt: skip
    if shape.kind == "rate":
        return f"write it like {'18.00' if shape.per[0] == 'hour' else '9.60'} / {shape.per[0]}"
    if shape.kind == "map":
        return _map_hint(shape)
    if shape.kind == "list" and shape.item is not None and shape.item.kind == "map":
        return f"write a list, one a line: - {{{next(iter(shape.item.keys))}: …}}"
    if shape.kind == "choice":
        return f"write {one_of(shape.choices)}"
    if shape.kind == "either":
        first, *rest = (_hint(option) for option in shape.options)
        return ", or ".join([first, *(said.removeprefix("write ") for said in rest)])
    return example[shape.kind]


def _map_hint(shape: Shape) -> str:
    """Name the keys that must be there, or the first few."""
    needed = [key for key, inner in shape.keys.items() if inner.required]
    if len(needed) > 3:
        return f"write its keys, one a line: {', '.join(needed[:3])}, …"
    keys = needed or list(shape.keys)[:3]
    return f"write its keys, {{{', '.join(f'{key}: …' for key in keys or ['name'])}}}"


def _bounds(shape: Shape, loaded: Loaded, path: Path, value: Any) -> Any:
    if not isinstance(value, int | float | Decimal) or isinstance(value, bool):
        return value
    said = ""
    if shape.at_least is not None and value < shape.at_least:
        said = f"must be at least {_show(shape, shape.at_least)}"
    elif shape.over is not None and value <= shape.over:
        said = f"must be over {_show(shape, shape.over)}"
    elif shape.at_most is not None and value > shape.at_most:
        said = f"must be at most {_show(shape, shape.at_most)}"
    if said:
        loaded.problem(path, f"{said}; it is {_show(shape, float(value))}")
        return MISSING
    return value


def _show(shape: Shape, value: float) -> str:
    if shape.kind == "length":
        return show_length(value, "inch") if abs(value % (INCH / 16)) < 1e-6 else show_length(value, "metric")
    return f"{value * 100:g} %" if shape.kind == "percent" else f"{value:g}"


def _wrong(shape: Shape, data: Any) -> ValueError:
    """Say what was written that does not fit, and what does."""
    if isinstance(data, dict):
        what = "a group of keys"
    elif isinstance(data, list):
        what = "a list"
    elif isinstance(data, bool):
        what = "true" if data else "false"
    else:
        what = repr(data)
    return ValueError(f"{what} does not fit here; {_hint(shape)}")


def _length(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    del loaded, path
    if isinstance(data, int | float) and not isinstance(data, bool):
        raise ValueError(f"{data:g} has no unit; write {data:g} in or {data:g} cm")
    if not isinstance(data, str):
        raise _wrong(shape, data)
    return parse_length(data)


def _count(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    del loaded, path
    if isinstance(data, bool) or not isinstance(data, int):
        raise _wrong(shape, data)
    return data


def _percent(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    del loaded, path
    if isinstance(data, int | float) and not isinstance(data, bool):
        raise ValueError(f"{data:g} could be a part or a percentage; write {data:g} %")
    found = _PERCENT.fullmatch(data.strip()) if isinstance(data, str) else None
    if not found:
        raise _wrong(shape, data)
    return float(Decimal(found[1]) / 100)


def _number(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    del loaded, path
    if isinstance(data, bool) or not isinstance(data, int | float):
        raise _wrong(shape, data)
    return float(data)


def _money(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    if isinstance(data, bool) or not isinstance(data, int | float | str):
        raise _wrong(shape, data)
    written = _written(loaded, path) or str(data)
    if not re.fullmatch(r"\d{1,9}(\.\d{1,6})?", written):
        if isinstance(data, str) and re.fullmatch(r"\d+,\d+", data.strip()):
            raise ValueError(f"{data!r} has a comma; write {data.strip().replace(',', '.')}")
        raise _wrong(shape, data)
    return Decimal(written)


def _written(loaded: Loaded, path: Path) -> str:
    """Give a plain value as it is written, so that 7.50 stays 7.50."""
    place = loaded.places[path]
    if place.file != loaded.file:
        return ""
    line = loaded.text.split("\n")[place.line - 1][place.column - 1 :]
    found = re.match(r"[\d.]+", line)
    return found[0] if found else ""


def _rate(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    del loaded, path
    if isinstance(data, int | float) and not isinstance(data, bool):
        raise ValueError(f"{data:g} says no unit; write {data:.2f} / {shape.per[0]}")
    found = _RATE.fullmatch(data.strip()) if isinstance(data, str) else None
    if not found:
        wrong = _wrong(shape, data)
        if isinstance(data, str) and re.match(r"\s*[^\w\s.,-]", data):
            raise ValueError(f"{wrong}, without a sign: the letters stand in currency")
        raise wrong
    unit = {"yard": "yd", "metre": "m", "meter": "m", "h": "hour"}.get(found[2], found[2])
    if unit not in shape.per:
        raise ValueError(f"money per {found[2]} does not fit here; write it per {one_of(shape.per)}")
    per = {"hour": 3600.0, "each": 1.0}.get(unit) or PER_UNIT[unit]
    return Rate(Decimal(found[1]), per)


def _text(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    del loaded, path
    if isinstance(data, int | float) and not isinstance(data, bool):
        data = f"{data:g}"
    if not isinstance(data, str):
        raise _wrong(shape, data)
    if not data.strip():
        raise ValueError("the text is empty; write something, or take the key out")
    if len(data) > shape.longest:
        raise ValueError(f"the text is longer than {shape.longest} characters; shorten it")
    return data


def _choice(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    del loaded, path
    word = "none" if data is None else data
    if not isinstance(word, str):
        raise _wrong(shape, data)
    if word not in shape.choices:
        raise ValueError(f"{word!r} is not known here{did_you_mean(word, shape.choices)}; {_hint(shape)}")
    return word


def _flag(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    del loaded, path
    if not isinstance(data, bool):
        raise _wrong(shape, data)
    return data


def _duration(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    del loaded, path
    if not isinstance(data, str):
        raise _wrong(shape, data)
    return parse_duration(data)


def _formula(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    if isinstance(data, int | float) and not isinstance(data, bool):
        data = f"{data:g}"
    if not isinstance(data, str):
        raise _wrong(shape, data)
    formula = Formula(data.strip(), _text_place(loaded, path))
    try:
        compile_formula(formula.text)
    except FormulaError as error:
        loaded.problems.append(formula_problem(formula, shown_path(path), error, loaded.text))
        return MISSING
    return formula


def _size(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    """Read a length written out, or a formula for one; gives a formula either way."""
    if isinstance(data, str):
        try:
            return Formula(f"{parse_length(data)!r} * mm", loaded.place(path))
        except BadLength:
            pass
    return _formula(shape, loaded, path, data)


def _text_place(loaded: Loaded, path: Path) -> Place:
    """Where a text's first character stands: inside its quotes, or on the line below a > or |."""
    place = loaded.place(path)
    lines = lines_of(loaded.text)
    mark = lines[place.line - 1][place.column - 1 : place.column]
    if mark in {"'", '"'}:
        return Place(place.file, place.line, place.column + 1)
    if mark in {">", "|"}:
        for below in range(place.line, len(lines)):
            if lines[below].strip():
                return Place(place.file, below + 1, len(lines[below]) - len(lines[below].lstrip()) + 1)
    return place


def formula_problem(formula: Formula, path: str, error: FormulaError, text: str) -> Problem:
    """Place a formula's mistake in its file, also where the formula is folded over lines."""
    line, column, left = formula.place.line, formula.place.column, error.column
    lines = lines_of(text)
    while line < len(lines):
        room = len(lines[line - 1].rstrip()) - (column - 1) + 1  # a fold reads as one space
        if left < room:
            break
        left -= room
        line += 1
        column = len(lines[line - 1]) - len(lines[line - 1].lstrip()) + 1
    return Problem(formula.place.file, line, column + left, path, error.message)


def _names(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    if isinstance(data, str):
        data = [data]
    if not isinstance(data, list) or not all(isinstance(word, str) for word in data):
        raise _wrong(shape, data)
    out = []
    for i, word in enumerate(data):
        if shape.choices and word not in shape.choices:
            said = did_you_mean(word, shape.choices)
            where = (*path, i) if (*path, i) in loaded.places else path
            loaded.problem(where, f"{word!r} is not known here{said}; it can be {one_of(shape.choices)}")
        elif word in out:
            loaded.problem((*path, i), f"{word} stands here twice")
        else:
            out.append(word)
    return tuple(out)


def _list(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    if not isinstance(data, list):
        raise _wrong(shape, data)
    assert shape.item is not None
    taken = [take(shape.item, loaded, (*path, i), value) for i, value in enumerate(data)]
    return [value for value in taken if value is not MISSING]


def _map(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    if not isinstance(data, dict):
        raise _wrong(shape, data)
    out: dict[str, Any] = {}
    for key, value in data.items():
        inner = shape.keys.get(key) or shape.item
        if inner is None:
            tried = not loaded.place((*path, key), key=True).line  # not in the file, but in place of what is there
            free = [name for name in shape.keys if tried or name not in data]
            wanted = [name for name in free if shape.keys[name].required and name not in data]
            said = did_you_mean(key, wanted) or did_you_mean(key, free) or _keys_there_are(shape)
            loaded.problem((*path, key), f"there is no key {key} here{said}", key=True)
            continue
        taken = take(inner, loaded, (*path, key), value)
        if taken is not MISSING:
            out[key] = taken
    for key, inner in shape.keys.items():
        if inner.required and key not in data:
            loaded.problem(path, f"{key} is missing; {_hint(inner)}")
    if shape.one_of and not set(shape.one_of) & data.keys():
        loaded.problem(path, f"{shape.one_of[0]} is missing; {_hint(shape.keys[shape.one_of[0]])}")
    return out


def _keys_there_are(shape: Shape) -> str:
    if len(shape.keys) > 24:
        return "; guide schema project lists the keys there are"
    return f"; there are {', '.join(shape.keys)}"


def _either(shape: Shape, loaded: Loaded, path: Path, data: Any) -> Any:
    written = "map" if isinstance(data, dict) else "list" if isinstance(data, list) else "plain"
    for option in shape.options:
        if written == (option.kind if option.kind in {"map", "list"} else "plain"):
            if option.kind == "choice" and isinstance(data, str) and data not in option.choices:
                raise ValueError(f"{data!r} is not known here{did_you_mean(data, option.choices)}; {_hint(shape)}")
            return take(option, loaded, path, data)
    raise _wrong(shape, data)


_TAKERS: dict[str, Callable[[Shape, Loaded, Path, Any], Any]] = {
    "length": _length, "count": _count, "percent": _percent, "money": _money, "rate": _rate, "text": _text,
    "number": _number, "size": _size,
    "choice": _choice, "flag": _flag, "duration": _duration, "formula": _formula, "names": _names,
    "list": _list, "map": _map, "either": _either,
}  # fmt: skip
