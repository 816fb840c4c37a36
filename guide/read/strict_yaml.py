"""YAML without surprises: text in, plain data with the place of every value out, or every problem.

Only mappings, lists, text, true/false, null and plain numbers. `no`, `1:30`, `012` and dates stay text;
repeated keys, aliases, tags, merge keys and control characters are refused. Bounded in size and depth.
"""

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

import msgspec
import yaml

from guide.read.model import Place, Problem
from guide.read.spoken import unsafe

MAX_BYTES, MAX_NODES, MAX_DEPTH, MAX_TEXT = 1 << 20, 50_000, 40, 20_000
_TAG = "tag:yaml.org,2002:"
_TEXT = _TAG + "str"
_CONTROL = unsafe(but="\t\n")

Path = tuple[str | int, ...]


_PLAIN: dict[str, list[tuple[str, re.Pattern[str]]]] = {}  # what an unquoted text may be, by how it begins
for _tag, _rx, _first in (
    ("bool", r"true|false", "tf"),
    ("null", r"null|~|", ["n", "~", ""]),
    ("int", r"[-+]?(?:0|[1-9][0-9]{0,14})", "-+0123456789"),
    ("float", r"[-+]?(?:0|[1-9][0-9]{0,14})?\.[0-9]{1,15}|[-+]?(?:0|[1-9][0-9]{0,14})(?:\.[0-9]{1,15})?[eE][-+]?[0-9]{1,2}", "-+.0123456789"),  # noqa: E501
):  # fmt: skip
    for _sign in _first:
        _PLAIN.setdefault(_sign, []).append((_TAG + _tag, re.compile(_rx)))


def shown_path(path: Path) -> str:
    """Write a path as a maker reads it: steps[0].when."""
    return "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in path).removeprefix(".")


def dig(data: Any, path: Path) -> Any:
    """Follow a path into plain data; None where it ends early."""
    for part in path:
        data = data.get(part) if isinstance(data, Mapping) else None
    return data


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
        elif events := _scan(text, out):
            out.data = _Building(events, out).document()
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


def _scan(text: str, out: Loaded) -> list[yaml.Event]:
    """Take a text apart, or refuse what could swell or nest without end, and give nothing."""
    events: list[yaml.Event] = []
    if found := _CONTROL.search(text):
        line = text.count("\n", 0, found.start()) + 1
        column = found.start() - text.rfind("\n", 0, found.start())
        _bad(out, line, column, f"character U+{ord(found[0]):04X} is not allowed; take it out")
        return []
    # Told at the first event that goes too far, before anything is built of it.
    depth = 0
    for nodes, event in enumerate(iter(yaml.CSafeLoader(text).get_event, None)):
        events.append(event)
        said = ""
        if isinstance(event, yaml.ScalarEvent):
            said = f"a text over {MAX_TEXT:,} characters; shorten it" if len(event.value) > MAX_TEXT else ""
        elif isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            said = f"nested deeper than {MAX_DEPTH}" if depth > MAX_DEPTH else ""
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        elif isinstance(event, yaml.AliasEvent):
            said = f"aliases (*{event.anchor}) are not accepted; write it out"
        if nodes > MAX_NODES:
            said = "too many values in one file"
        if said:
            mark = event.start_mark
            _bad(out, mark.line + 1 if mark else 1, mark.column + 1 if mark else 1, said)
            return []
    return events


class _Building:
    """One walk over what a text was taken apart into: data, the place of every value, and what is wrong."""

    def __init__(self, events: Sequence[yaml.Event], out: Loaded) -> None:
        self.all, self.events, self.out = events, iter(events), out

    def document(self) -> Any:
        """Build the one document that a file holds. Raises MarkedYAMLError for a second."""
        begins = [at for at, event in enumerate(self.all) if isinstance(event, yaml.DocumentStartEvent)]
        if not begins:
            _bad(self.out, 1, 1, "the file is empty; begin with project: and a title")
            return None
        if len(begins) > 1:
            first, second = self.all[begins[0] + 1].start_mark, self.all[begins[1]].start_mark
            said = "expected a single document in the stream", "but found another document"
            raise yaml.MarkedYAMLError(said[0], first, said[1], second)  # type: ignore[arg-type]
        while not isinstance(next(self.events), yaml.DocumentStartEvent):
            pass
        return self.value(next(self.events), ())

    def value(self, event: yaml.Event, path: Path) -> Any:
        """Build a value, and whatever stands in it."""
        self.out.places[path] = self.place(event)
        if isinstance(event, yaml.ScalarEvent):
            return self.scalar(event, path)
        assert isinstance(event, yaml.CollectionStartEvent)
        if event.tag not in {None, "!", _TAG + ("map" if isinstance(event, yaml.MappingStartEvent) else "seq")}:
            self.out.problem(path, f"the tag {event.tag} is not accepted; take it out")
        if isinstance(event, yaml.MappingStartEvent):
            return self.mapping(event, path)
        several: list[Any] = []
        while not isinstance(child := next(self.events), yaml.SequenceEndEvent):
            several.append(self.value(child, (*path, len(several))))
        return several

    def scalar(self, event: yaml.ScalarEvent, path: Path) -> Any:
        """Build a plain value: a text that is quoted stays one."""
        text: str = event.value
        tag = event.tag
        if tag is None or tag == "!":
            tag = _TEXT
            for kind, looks in _PLAIN.get(text[:1], ()) if event.implicit[0] else ():
                if looks.fullmatch(text):
                    tag = kind
                    break
        if tag == _TEXT:
            if event.style == '"' and (found := _CONTROL.search(text)):  # written as such it would be found before
                self.out.problem(path, f"control character U+{ord(found[0]):04X} in a text; take it out")
            return text
        if tag == _TAG + "bool" and text in {"true", "false"}:
            return text == "true"
        if tag == _TAG + "null":
            return None
        try:
            if tag == _TAG + "int":
                return int(text)
            if tag == _TAG + "float":
                return float(text)
        except ValueError:
            pass
        self.out.problem(path, f"the tag {tag} is not accepted; take it out")
        return None

    def mapping(self, event: yaml.MappingStartEvent, path: Path) -> dict[str, Any]:
        """Build a map, its keys words that stand there once."""
        data: dict[str, Any] = {}
        out = self.out
        while not isinstance(given := next(self.events), yaml.MappingEndEvent):
            place = self.place(given)
            if not isinstance(given, yaml.ScalarEvent):
                said = "a key must be a word; [ ] and { } cannot be one"
                if isinstance(event.start_mark, yaml.Mark) and out.text[event.start_mark.index :].startswith("{{"):
                    place, said = out.places[path], BRACES
                self.pass_over(given)
            elif given.value in data:
                first = out.keys[*path, given.value].line
                said = f"the key {given.value} is already given on line {first}; keep one of them"
            elif given.value == "<<":
                said = "merge keys (<<) are not accepted; write it out"
            else:
                inner = (*path, given.value)
                out.keys[inner] = place
                data[given.value] = self.value(next(self.events), inner)
                continue
            _bad(out, place.line, place.column, said)
            self.pass_over(next(self.events))
        return data

    def pass_over(self, event: yaml.Event) -> None:
        """Leave a value out with all that stands in it."""
        depth = int(isinstance(event, yaml.CollectionStartEvent))
        while depth:
            event = next(self.events)
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)

    def place(self, event: yaml.Event) -> Place:
        """Give where an event begins."""
        assert event.start_mark is not None
        return Place(self.out.file, event.start_mark.line + 1, event.start_mark.column + 1)


BRACES = 'a text that begins with { is read as keys; put it in quotes: "{{ name }} …"'
_SAID = (
    ("mapping values are not allowed", "a second : on this line; put the text in quotes, or begin a new line"),
    ("did not find expected key", "this line stands too far in or out; line it up with the ones above it"),
    ("could not find expected ':'", "a : is missing after this key"),
    ("block sequence entries are not allowed", "a list cannot begin here; put each - on a line of its own"),
    ("did not find expected '-' indicator", "this line stands too far in or out; line it up with the - above it"),
    ("unknown escape character", "a \\ in double quotes begins a code; use single quotes, or write two of them"),
    ("cannot start any token", "a text cannot begin with this sign; put it in quotes"),
    ("undefined tag handle", "tags (!) are not accepted; take it out, or put the text in quotes"),
    (
        "did not find expected node content",
        "nothing stands before this sign; write what belongs there, or take a comma out",
    ),
    ("did not find expected comment or line break", "a text cannot begin with this sign; put it in quotes"),
    ("did not find expected <document start>", "one file holds one thing; nothing may stand after its end"),
)


def plainly(error: yaml.MarkedYAMLError, text: str) -> tuple[int, int, str]:
    """Give line, column (both 1-based) and message.

    A parser tells where it could not go on; most slips lie before that. Those that can be told for sure come first.
    """
    mark = error.problem_mark or error.context_mark
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    lines = text.split("\n")
    here = lines[line - 1] if line <= len(lines) else ""
    context, problem = error.context or "", error.problem or ""
    opened = error.context_mark
    if "\t" in re.match(r"\s*", here)[0]:  # type: ignore[index]
        return line, here.index("\t") + 1, "a tab cannot indent; use spaces"
    if opened is not None and "quoted scalar" in context and "end of stream" in problem:
        quote = lines[opened.line][opened.column : opened.column + 1]
        said = f"the quotation mark is never closed; write another {quote} at the text's end"
        return opened.line + 1, opened.column + 1, said
    for number, before in enumerate(lines[:line], 1):
        found = re.search(r"\s(#(?:[0-9a-fA-F]{3}){1,2})\b.*\}", before)
        if found and before[: found.start()].count("{") > before[: found.start()].count("}"):
            return number, found.start(1) + 1, f'what follows a # is a comment; write a colour in quotes: "{found[1]}"'
    if found := re.search(r":\s+(\{\{)", here):
        return line, found.start(1) + 1, BRACES
    for kind, sign, like in (("flow mapping", "{", "{a: 1, b: 2}"), ("flow sequence", "[", "[a, b]")):
        if opened is not None and kind in context:
            said = f"the {sign} of line {opened.line + 1} is not closed, or a comma is missing; write it like {like}"
            return line, column, said
    above = next((line_ for line_ in reversed(lines[: line - 1]) if line_.strip()), "")
    inset = len(here) - len(here.lstrip())
    if "mapping values" in problem and here[: column - 1].count(":") == 0 and inset > len(above) - len(above.lstrip()):
        return line, inset + 1, "this line stands too far in or out; line it up with the ones above it"
    if "did not find expected key" in problem and column > inset + 1:
        said = "this follows a closed bracket or quotation mark; take it out, or put the whole text in quotes"
        return line, column, said
    for heard, said in _SAID:
        if heard in problem:
            return line, column, said
    return line, column, f"{context}: {problem}" if context else problem
