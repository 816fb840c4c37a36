"""What a YAML parser complains of, said to a maker: where it is, and what to write instead."""

import re

import yaml

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
    """Give line, column (both 1-based) and message."""
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
        return (
            opened.line + 1,
            opened.column + 1,
            f"the quotation mark is never closed; write another {quote} at the text's end",
        )
    if found := re.search(r":\s+(\{\{)", here):
        return line, found.start(1) + 1, BRACES
    if opened is not None and "flow mapping" in context:
        return (
            line,
            column,
            f"the {{ of line {opened.line + 1} is not closed, or a comma is missing; write it like {{a: 1, b: 2}}",
        )
    if opened is not None and "flow sequence" in context:
        return (
            line,
            column,
            f"the [ of line {opened.line + 1} is not closed, or a comma is missing; write it like [a, b]",
        )
    above = next((line_ for line_ in reversed(lines[: line - 1]) if line_.strip()), "")
    inset = len(here) - len(here.lstrip())
    if "mapping values" in problem and here[: column - 1].count(":") == 0 and inset > len(above) - len(above.lstrip()):
        return line, inset + 1, "this line stands too far in or out; line it up with the ones above it"
    if "did not find expected key" in problem and column > inset + 1:
        return (
            line,
            column,
            "this follows a closed bracket or quotation mark; take it out, or put the whole text in quotes",
        )
    for heard, said in _SAID:
        if heard in problem:
            return line, column, said
    return line, column, f"{context}: {problem}" if context else problem
