"""YAML without surprises: text in, plain data with the place of every value out, or every problem.

Only mappings, lists, text, true/false, null and plain numbers. `no`, `1:30`, `012` and dates stay text;
repeated keys, aliases, tags, merge keys and control characters are refused. Bounded in size and depth.
"""

import re
from functools import lru_cache
from typing import Any

import msgspec
import yaml

from guide.read.model import Place
from guide.read.problems import Problem
from guide.read.unsafe import unsafe
from guide.read.yaml_words import BRACES, plainly

MAX_BYTES, MAX_NODES, MAX_DEPTH, MAX_TEXT = 1 << 20, 50_000, 40, 20_000
_TAG = "tag:yaml.org,2002:"
_CONTROL = unsafe(but="\t\n")

Path = tuple[str | int, ...]


class _Loader(yaml.CSafeLoader):
    """The C parser with resolvers of our own."""


_Loader.yaml_implicit_resolvers = {}
for _tag, _rx, _first in (
    ("bool", r"^(?:true|false)$", list("tf")),
    ("null", r"^(?:null|~|)$", ["n", "~", ""]),
    ("int", r"^[-+]?(?:0|[1-9][0-9]{0,14})$", list("-+0123456789")),
    ("float", r"^[-+]?(?:0|[1-9][0-9]{0,14})?\.[0-9]{1,15}$|^[-+]?(?:0|[1-9][0-9]{0,14})(?:\.[0-9]{1,15})?[eE][-+]?[0-9]{1,2}$", list("-+.0123456789")),  # noqa: E501
):  # fmt: skip
    _Loader.add_implicit_resolver(_TAG + _tag, re.compile(_rx), _first)


def shown_path(path: Path) -> str:
    """Write a path as a maker reads it: steps[0].when."""
    return "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in path).removeprefix(".")


class Loaded(msgspec.Struct):
    """What a file holds: data, where each value and key stands, and what is wrong with it."""

    file: str
    text: str
    data: Any = None
    places: dict[Path, Place] = {}
    keys: dict[Path, Place] = {}  # where the key of that value stands
    problems: list[Problem] = []

    def place(self, path: Path, *, key: bool = False) -> Place:
        """Where a value (or its key) stands; of the nearest parent when it is not written."""
        table = self.keys if key else self.places
        while path and path not in table:
            path = path[:-1]
            table = self.places
        return table.get(path) or Place(self.file, 1, 1)

    def problem(self, path: Path, message: str, *, key: bool = False, hint: bool = False, since: bool = False) -> None:
        """Note a mistake at a value or its key."""
        place = self.place(path, key=key)
        self.problems.append(Problem(place.file, place.line, place.column, shown_path(path), message, hint, since))


def load(text: str, file: str) -> Loaded:
    """Read one YAML text. Never raises for what the text holds: look at `.problems`."""
    out = Loaded(file, text)
    try:
        if len(text.encode("utf-8", "surrogatepass")) > MAX_BYTES:
            _bad(out, 1, 1, f"the file is over {MAX_BYTES // 1024} KiB")
        elif _scan(text, out):
            root = yaml.compose(text, Loader=_Loader)
            if root is None:
                _bad(out, 1, 1, "the file is empty; begin with project: and a title")
            else:
                out.data = _build(root, (), out)
    except yaml.MarkedYAMLError as error:
        line, column, said = plainly(error, text)
        _bad(out, line, column, said)
    except yaml.reader.ReaderError as error:
        line = text.count("\n", 0, error.position) + 1
        column = error.position - text.rfind("\n", 0, error.position)
        code = error.character if isinstance(error.character, int) else ord(error.character)
        _bad(out, line, column, f"character U+{code:04X} is not allowed; take it out")
    except (UnicodeEncodeError, ValueError) as error:
        _bad(out, 1, 1, f"this is not text that can be read: {error}")
    return out


@lru_cache(maxsize=16)
def load_again(text: str, file: str) -> Loaded:
    """Read a text that was read before, to find places in it; once for all its mistakes, so only to look at."""
    return load(text, file)


def _bad(out: Loaded, line: int, column: int, message: str) -> None:
    out.problems.append(Problem(out.file, line, column, "", message))


def _scan(text: str, out: Loaded) -> bool:
    """Refuse what could swell or nest without end, in one pass that holds nothing."""
    if found := _CONTROL.search(text):
        line = text.count("\n", 0, found.start()) + 1
        column = found.start() - text.rfind("\n", 0, found.start())
        _bad(out, line, column, f"character U+{ord(found[0]):04X} is not allowed; take it out")
        return False
    depth = 0
    for nodes, event in enumerate(yaml.parse(text, Loader=_Loader)):
        said = ""
        if isinstance(event, yaml.AliasEvent):
            said = f"aliases (*{event.anchor}) are not accepted; write it out"
        elif isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            said = f"nested deeper than {MAX_DEPTH}" if depth > MAX_DEPTH else ""
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        elif isinstance(event, yaml.ScalarEvent) and len(event.value) > MAX_TEXT:
            said = f"a text over {MAX_TEXT:,} characters; shorten it"
        if nodes > MAX_NODES:
            said = "too many values in one file"
        if said:
            mark = event.start_mark
            _bad(out, mark.line + 1 if mark else 1, mark.column + 1 if mark else 1, said)
            return False
    return True


def _build(node: yaml.Node, path: Path, out: Loaded) -> Any:
    out.places[path] = Place(out.file, node.start_mark.line + 1, node.start_mark.column + 1)
    if isinstance(node, yaml.MappingNode):
        return _mapping(node, path, out)
    if isinstance(node, yaml.SequenceNode):
        if node.tag != _TAG + "seq":
            out.problem(path, f"the tag {node.tag} is not accepted; take it out")
        return [_build(child, (*path, i), out) for i, child in enumerate(node.value)]
    text: str = node.value
    if node.tag == _TAG + "str":
        if found := _CONTROL.search(text):
            out.problem(path, f"control character U+{ord(found[0]):04X} in a text; take it out")
        return text
    if node.tag == _TAG + "bool" and text in {"true", "false"}:
        return text == "true"
    if node.tag == _TAG + "null":
        return None
    try:
        if node.tag == _TAG + "int":
            return int(text)
        if node.tag == _TAG + "float":
            return float(text)
    except ValueError:
        pass
    out.problem(path, f"the tag {node.tag} is not accepted; take it out")
    return None


def _mapping(node: yaml.MappingNode, path: Path, out: Loaded) -> dict[str, Any]:
    if node.tag != _TAG + "map":
        out.problem(path, f"the tag {node.tag} is not accepted; take it out")
    data: dict[str, Any] = {}
    for key_node, value_node in node.value:
        place = Place(out.file, key_node.start_mark.line + 1, key_node.start_mark.column + 1)
        if not isinstance(key_node, yaml.ScalarNode):
            said = "a key must be a word; [ ] and { } cannot be one"
            if isinstance(node.start_mark, yaml.Mark) and out.text[node.start_mark.index :].startswith("{{"):
                place, said = out.places[path], BRACES
            _bad(out, place.line, place.column, said)
            continue
        key = key_node.value
        inner = (*path, key)
        if key in data:
            first = out.keys[inner].line
            _bad(out, place.line, place.column, f"the key {key} is already given on line {first}; keep one of them")
            continue
        if key == "<<":
            _bad(out, place.line, place.column, "merge keys (<<) are not accepted; write it out")
            continue
        out.keys[inner] = place
        data[key] = None
        data[key] = _build(value_node, inner, out)
    return data
