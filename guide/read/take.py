"""Reading a value by its key: text and plain data in, what the program goes by out, or a problem at its place."""

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import msgspec

from guide.read.formula import FormulaError, compile_formula
from guide.read.model import Formula, Key, Kind, Place, Problem, Rate, did_you_mean, lines_of, one_of
from guide.read.strict_yaml import Loaded, Path, shown_path
from guide.read.units import (
    INCH,
    PER_UNIT,
    BadLength,
    parse_cloth_weight,
    parse_duration,
    parse_length,
    parse_weight,
    show_length,
    show_weight,
)


class Missing(msgspec.Struct, frozen=True):
    """A value that could not be read; its problem is already noted."""


MISSING = Missing()
# The sixteen names of HTML 4 and CSS 2 (W3C), and grey as it is spelt here.
COLOURS = {
    "black": "#000000", "silver": "#c0c0c0", "gray": "#808080", "grey": "#808080", "white": "#ffffff",
    "maroon": "#800000", "red": "#ff0000", "purple": "#800080", "fuchsia": "#ff00ff", "green": "#008000",
    "lime": "#00ff00", "olive": "#808000", "yellow": "#ffff00", "navy": "#000080", "blue": "#0000ff",
    "teal": "#008080", "aqua": "#00ffff",
}  # fmt: skip
_PICTURE = r"(?!/)(?!.*\.\.)[^\\:]{1,200}\.(?:jpe?g|png)"
_PERCENT = re.compile(r"(-?\d{1,4}(?:\.\d{1,6})?)\s*%")
_RATE = re.compile(r"(\d{1,9}(?:\.\d{1,6})?)\s*(?:/|per)\s*([a-z]+)")


def take(key: Key, loaded: Loaded, path: Path, data: Any) -> Any:
    """Read one value by its key; gives the value inside the program, or MISSING with a problem noted.

    Lengths mm, durations s, percents fractions, money Decimal, rates `Rate`, formulas `Formula`.
    """
    if data is None and key.kind not in {"either", "choice"}:
        loaded.problem(path, f"nothing is written here; {_hint(key)}")
        return MISSING
    try:
        alone = _ALONE.get(key.kind)
        value = alone(key, data) if alone else _TAKERS[key.kind](key, loaded, path, data)
    except (ValueError, BadLength) as error:
        loaded.problem(path, str(error))
        return MISSING
    return value if value is MISSING else _bounds(key, loaded, path, value)


def _hint(key: Key) -> str:
    example = {
        "length": "write a length like 6 in or 15 cm", "count": "write a whole number",
        "number": "write a number like 2 or 1.5", "size": "write a length like 1/4 in, or a formula",
        "percent": "write it like 4 %", "money": "write an amount like 7.50", "flag": "write true or false",
        "text": "write a text", "duration": "write a time like 50 min or 20 s",
        "weight": "write a weight like 5 kg", "cloth_weight": "write it like 150 g/m2",
        "colour": 'write it in quotes, "#7a8b6c", or one of the sixteen names of CSS, such as olive',
        "photo": "write the name of a .jpg or .png file beside the project",
        "list": "write a list, [a, b]",
        "formula": "write a formula like square - 2 * seam",
        "names": "write a list of names, [a, b]",
    }  # fmt: skip
    if key.kind == "rate":
        return f"write it like {'18.00' if key.per[0] == 'hour' else '9.60'} / {key.per[0]}"
    if key.kind == "map":
        return _map_hint(key)
    if key.kind == "list" and key.item is not None and key.item.kind == "map":
        return f"write a list, one a line: - {{{next(iter(key.item.keys))}: …}}"
    if key.kind == "choice":
        return f"write {one_of(key.choices)}"
    if key.kind == "either":
        first, *rest = (_hint(option) for option in key.options)
        return ", or ".join([first, *(said.removeprefix("write ") for said in rest)])
    return example[key.kind]


def _map_hint(key: Key) -> str:
    """Name the keys that must be there, or the first few."""
    needed = [name for name, inner in key.keys.items() if inner.required]
    if len(needed) > 3:
        return f"write its keys, one a line: {', '.join(needed[:3])}, …"
    names = needed or list(key.keys)[:3]
    return f"write its keys, {{{', '.join(f'{name}: …' for name in names or ['name'])}}}"


def _bounds(key: Key, loaded: Loaded, path: Path, value: Any) -> Any:
    if not (_is_number(value) or isinstance(value, Decimal)):
        return value
    if bound := key.bound_missed(value):
        said = f"must be {bound.replace('_', ' ')} {_show(key, getattr(key, bound))}"
        loaded.problem(path, f"{said}; it is {_show(key, float(value))}")
        return MISSING
    return value


def _show(key: Key, value: float) -> str:
    if key.kind == "weight":
        return show_weight(value, "metric")
    if key.kind == "cloth_weight":
        return f"{value:g} g/m2"
    if key.kind == "length":
        return show_length(value, "inch") if abs(value % (INCH / 16)) < 1e-6 else show_length(value, "metric")
    return f"{value * 100:g} %" if key.kind == "percent" else f"{value:g}"


def _is_number(data: Any) -> bool:
    return isinstance(data, int | float) and not isinstance(data, bool)


def _wrong(key: Key, data: Any) -> ValueError:
    """Say what was written that does not fit, and what does."""
    what = {dict: "a group of keys", list: "a list", bool: repr(data).lower()}.get(type(data), repr(data))
    return ValueError(f"{what} does not fit here; {_hint(key)}")


def _read_text(key: Key, data: Any) -> Any:
    """Read what is written as one word or two: a length, a time, a weight. Raises ValueError for what is none."""
    if key.kind == "length" and _is_number(data):
        raise ValueError(f"{data:g} has no unit; write {data:g} in or {data:g} cm")
    if not isinstance(data, str):
        raise _wrong(key, data)
    return _PARSERS[key.kind](data)


def _plain(key: Key, data: Any) -> Any:
    """Read what is one value as it stands. Raises ValueError for one that does not fit."""
    fits, made = _PLAIN[key.kind]
    if not fits(data):
        raise _wrong(key, data)
    return made(data)


def _percent(key: Key, data: Any) -> Any:
    """Read a percentage as a fraction. Raises ValueError for what is none."""
    if _is_number(data):
        raise ValueError(f"{data:g} could be a part or a percentage; write {data:g} %")
    found = _PERCENT.fullmatch(data.strip()) if isinstance(data, str) else None
    if not found:
        raise _wrong(key, data)
    return float(Decimal(found[1]) / 100)


def _money(key: Key, loaded: Loaded, path: Path, data: Any) -> Any:
    """Read an amount as it is written. Raises ValueError for what is none."""
    if isinstance(data, bool) or not isinstance(data, int | float | str):
        raise _wrong(key, data)
    written = _written(loaded, path) or str(data)
    if not re.fullmatch(r"\d{1,9}(\.\d{1,6})?", written):
        if isinstance(data, str) and re.fullmatch(r"\d+,\d+", data.strip()):
            raise ValueError(f"{data!r} has a comma; write {data.strip().replace(',', '.')}")
        raise _wrong(key, data)
    return Decimal(written)


def _written(loaded: Loaded, path: Path) -> str:
    """Give a plain value as it is written, so that 7.50 stays 7.50."""
    place = loaded.places[path]
    if place.file != loaded.file:
        return ""
    line = loaded.text.split("\n")[place.line - 1][place.column - 1 :]
    found = re.match(r"[\d.]+", line)
    return found[0] if found else ""


def _rate(key: Key, data: Any) -> Any:
    """Read money per something. Raises ValueError for what is none, or per what does not fit."""
    if _is_number(data):
        raise ValueError(f"{data:g} says no unit; write {data:.2f} / {key.per[0]}")
    found = _RATE.fullmatch(data.strip()) if isinstance(data, str) else None
    if not found:
        wrong = _wrong(key, data)
        if isinstance(data, str) and re.match(r"\s*[^\w\s.,-]", data):
            raise ValueError(f"{wrong}, without a sign: the letters stand in currency")
        raise wrong
    unit = {"yard": "yd", "metre": "m", "meter": "m", "h": "hour"}.get(found[2], found[2])
    if unit not in key.per:
        raise ValueError(f"money per {found[2]} does not fit here; write it per {one_of(key.per)}")
    per = {"hour": 3600.0, "each": 1.0}.get(unit) or PER_UNIT[unit]
    return Rate(Decimal(found[1]), per)


def _text(key: Key, data: Any) -> Any:
    """Read a text. Raises ValueError for what is none, empty or too long."""
    text = _as_text(key, data)
    if not text.strip():
        raise ValueError("the text is empty; write something, or take the key out")
    if len(text) > key.longest:
        raise ValueError(f"the text is longer than {key.longest} characters; shorten it")
    return text


def _as_text(key: Key, data: Any) -> str:
    """Give a text, or a number as one. Raises ValueError for anything else."""
    if _is_number(data):
        return f"{data:g}"
    if not isinstance(data, str):
        raise _wrong(key, data)
    return data


def _choice(key: Key, data: Any) -> Any:
    """Read one word of a few. Raises ValueError for another."""
    word = "none" if data is None else data
    if not isinstance(word, str):
        raise _wrong(key, data)
    if word not in key.choices:
        raise ValueError(f"{word!r} is not known here{did_you_mean(word, key.choices)}; {_hint(key)}")
    return word


def plain_value(kind: Kind, text: str) -> float | str | bool:
    """Read a default or a limit, which a file may hold as text or number: mm, s, g, a fraction. Raises ValueError."""
    match kind:
        case "length" | "duration" | "weight":
            return _PARSERS[kind](text)
        case "percent":
            return _digits(text.removesuffix("%").strip(), text, "4 %") / 100
        case "count":
            return _digits(text, text, "3")
        case "flag":
            if text not in {"true", "false"}:
                raise ValueError(f"{text!r} does not fit here; write true or false")
            return text == "true"
        case _:
            return text


def _digits(digits: str, text: str, example: str) -> float:
    """Read a plain number. Raises ValueError for what is none."""
    if not re.fullmatch(r"\d{1,9}(\.\d{1,6})?", digits):
        raise ValueError(f"{text!r} does not fit here; write it like {example}")
    return float(digits)


def _hex(text: str) -> str | None:
    """Read a colour to `#rrggbb`; None for what is none."""
    plain = text.strip().lower()
    return plain if re.fullmatch(r"#[0-9a-f]{6}", plain) else COLOURS.get(plain)


def _formula(key: Key, loaded: Loaded, path: Path, data: Any) -> Any:
    formula = Formula(_as_text(key, data).strip(), _text_place(loaded, path))
    try:
        compile_formula(formula.text)
    except FormulaError as error:
        loaded.problems.append(formula_problem(formula, shown_path(path), error, loaded.text))
        return MISSING
    return formula


def _size(key: Key, loaded: Loaded, path: Path, data: Any) -> Any:
    """Read a length written out, or a formula for one; gives a formula either way."""
    if isinstance(data, str):
        try:
            return Formula(f"{parse_length(data)!r} * mm", loaded.place(path))
        except BadLength:
            pass
    return _formula(key, loaded, path, data)


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


def _names(key: Key, loaded: Loaded, path: Path, data: Any) -> Any:
    """Read a list of words, or one. Raises ValueError for anything else."""
    if isinstance(data, str):
        data = [data]
    if not isinstance(data, list) or not all(isinstance(word, str) for word in data):
        raise _wrong(key, data)
    out = []
    for i, word in enumerate(data):
        if key.choices and word not in key.choices:
            said = did_you_mean(word, key.choices)
            where = (*path, i) if (*path, i) in loaded.places else path
            loaded.problem(where, f"{word!r} is not known here{said}; it can be {one_of(key.choices)}")
        elif word in out:
            loaded.problem((*path, i), f"{word} stands here twice")
        else:
            out.append(word)
    return tuple(out)


def _list(key: Key, loaded: Loaded, path: Path, data: Any) -> Any:
    """Read a list, each by its key. Raises ValueError for anything else."""
    if not isinstance(data, list):
        raise _wrong(key, data)
    assert key.item is not None
    taken = [take(key.item, loaded, (*path, i), value) for i, value in enumerate(data)]
    return [value for value in taken if value is not MISSING]


def _map(key: Key, loaded: Loaded, path: Path, data: Any) -> Any:
    """Read a group of keys, each by its own. Raises ValueError for anything else."""
    if not isinstance(data, dict):
        raise _wrong(key, data)
    out: dict[str, Any] = {}
    for name, value in data.items():
        inner = key.keys.get(name) or key.item
        if inner is None:
            tried = not loaded.place((*path, name), key=True).line  # not in the file, but in place of what is there
            free = [one for one in key.keys if tried or one not in data]
            wanted = [one for one in free if key.keys[one].required and one not in data]
            there = f"; there are {', '.join(key.keys)}" if len(key.keys) <= 24 else _MANY
            said = did_you_mean(name, wanted) or did_you_mean(name, free) or there
            loaded.problem((*path, name), f"there is no key {name} here{said}", key=True)
            continue
        taken = take(inner, loaded, (*path, name), value)
        if taken is not MISSING:
            out[name] = taken
    for name, inner in key.keys.items():
        if inner.required and name not in data:
            loaded.problem(path, f"{name} is missing; {_hint(inner)}")
    if key.one_of and not set(key.one_of) & data.keys():
        loaded.problem(path, f"{key.one_of[0]} is missing; {_hint(key.keys[key.one_of[0]])}")
    return out


_MANY = "; guide schema project lists the keys there are"


def _either(key: Key, loaded: Loaded, path: Path, data: Any) -> Any:
    """Read by that of several keys which what is written looks like. Raises ValueError when it looks like none."""
    written = "map" if isinstance(data, dict) else "list" if isinstance(data, list) else "plain"
    for option in key.options:
        if written == (option.kind if option.kind in {"map", "list"} else "plain"):
            if option.kind == "choice" and isinstance(data, str) and data not in option.choices:
                raise ValueError(f"{data!r} is not known here{did_you_mean(data, option.choices)}; {_hint(key)}")
            return take(option, loaded, path, data)
    raise _wrong(key, data)


_PARSERS: dict[str, Callable[[str], float]] = {
    "length": parse_length, "duration": parse_duration, "weight": parse_weight, "cloth_weight": parse_cloth_weight,
}  # fmt: skip
_PLAIN: dict[str, tuple[Callable[[Any], bool], Callable[[Any], Any]]] = {  # what fits, and what is made of it
    "count": (lambda data: _is_number(data) and isinstance(data, int), int),
    "number": (_is_number, float),
    "flag": (lambda data: isinstance(data, bool), bool),
    "colour": (lambda data: isinstance(data, str) and _hex(data) is not None, _hex),
    "photo": (lambda data: isinstance(data, str) and re.fullmatch(_PICTURE, data, re.IGNORECASE) is not None, str),
}
_ALONE: dict[str, Callable[[Key, Any], Any]] = {  # kinds that are read without looking at what stands around them
    **dict.fromkeys(_PARSERS, _read_text), **dict.fromkeys(_PLAIN, _plain),
    "percent": _percent, "rate": _rate, "text": _text, "choice": _choice,
}  # fmt: skip
_TAKERS: dict[str, Callable[[Key, Loaded, Path, Any], Any]] = {
    "money": _money, "size": _size, "formula": _formula, "names": _names, "list": _list, "map": _map, "either": _either,
}  # fmt: skip
