"""What a machine can hold of docstrings: the errors a function raises are named, and one of many ways says why."""

import ast
import builtins
import io
import re
import textwrap
import tokenize
from collections import ChainMap
from functools import cache

import pytest

from tests.test_house import ROOT, SOURCES, tree

FUNCTION = (ast.FunctionDef, ast.AsyncFunctionDef)
MANY_WAYS = 12


def functions(body):
    """The functions and methods that stand in a body; what stands within one is a part of it."""
    for node in body:
        if isinstance(node, FUNCTION):
            yield node
        elif isinstance(node, ast.ClassDef):
            yield from functions(node.body)


def makers_in(module):
    """What each function of a module gives, in its own words: `raise _cannot(path)` raises what `_cannot` gives."""
    return {one.name: ast.unparse(one.returns) for one in ast.walk(module) if isinstance(one, FUNCTION) and one.returns}


@cache
def ancestors():
    """What every error of the program is besides, by its name; builtin ones are looked up."""
    return {
        node.name: {ast.unparse(base).rpartition(".")[2] for base in node.bases}
        for path in SOURCES
        for node in ast.walk(tree(path))
        if isinstance(node, ast.ClassDef)
    }


def kinds_of_error(name):
    """An error's own name and what it is besides, but for what every error is; nothing for what is none."""
    if isinstance(there := getattr(builtins, name, None), type):
        of_all = {object, Exception, BaseException}
        return (
            {one.__name__ for one in there.__mro__ if one not in of_all} if issubclass(there, BaseException) else set()
        )
    above = set().union(*map(kinds_of_error, ancestors().get(name, ())))
    return {name} | above if above or "Exception" in ancestors().get(name, ()) else set()


def errors_made(raised, function, makers, seen=frozenset()):
    """The errors that what is raised may be: a class, what a function makes, or what a name holds."""
    match raised:
        case ast.Call(func=made):
            return errors_made(made, function, makers, seen)
        case ast.Attribute(attr=name):
            return {one for one in re.findall(r"\w+", makers.get(name, "")) if kinds_of_error(one)} or {name}
        case ast.IfExp(body=one, orelse=other):
            return errors_made(one, function, makers, seen) | errors_made(other, function, makers, seen)
        case ast.BoolOp(values=several) | ast.Tuple(elts=several):
            return set().union(*(errors_made(one, function, makers, seen) for one in several))
        case ast.Name(id=name) if name not in seen:
            held = []
            for node in ast.walk(function):
                match node:
                    case ast.arg(arg=to, annotation=ast.expr() as value) if to == name:
                        held.append(value)
                    case (
                        ast.Assign(targets=[ast.Name(id=to)], value=value) | ast.ExceptHandler(name=to, type=value)
                    ) if to == name:
                        held.append(value)
            found = set().union(*(errors_made(one, function, makers, seen | {name}) for one in held))
            return found or {one for one in re.findall(r"\w+", makers.get(name, "")) if kinds_of_error(one)} or {name}
    return set()


def unnamed(function, makers):
    """The errors that a function raises itself and its docstring, or one of a function within it, does not name."""
    raised = [node.exc for node in ast.walk(function) if isinstance(node, ast.Raise) and node.exc is not None]
    told = " ".join(ast.get_docstring(one) or "" for one in ast.walk(function) if isinstance(one, FUNCTION))
    made = [errors_made(one, function, makers) or {ast.unparse(one)} for one in raised]
    return sorted(one for one in set().union(*made) if not {one, *kinds_of_error(one)} & set(re.findall(r"\w+", told)))


def is_command(function):
    """Whether its docstring is a command's help: what it raises is told by its exit codes."""
    return any(re.search(r"\b(command|group)\b", ast.unparse(one)) for one in function.decorator_list)


def test_every_error_a_function_raises_is_named_in_its_docstring():
    """`Raises WrongUse for what is no length.` Who calls it reads there what may come."""
    makers = {path: makers_in(tree(path)) for path in SOURCES}
    everywhere = {name: given for own in makers.values() for name, given in own.items()}
    found = [
        f"{path.relative_to(ROOT)}:{one.lineno} {one.name}: {', '.join(names)}"
        for path in SOURCES
        for one in functions(tree(path).body)
        if not is_command(one) and (names := unnamed(one, ChainMap(makers[path], everywhere)))
    ]
    assert found == []


@pytest.mark.parametrize(
    ("source", "names"),
    [
        ("def f():\n raise WrongUse('no')", ["WrongUse"]),
        ("def f():\n 'Raises WrongUse.'\n raise WrongUse('no')", []),
        ("def f():\n 'Raises GuideError.'\n raise WrongUse('no')", []),
        ("def f():\n 'Raises WrongUse.'\n raise NeedsMending('no') from None", ["NeedsMending"]),
        ("def f():\n 'Raises OSError.'\n raise IsADirectoryError(21, 'no')", []),
        ("def f():\n 'Raises UsageError.'\n raise click.UsageError('no')", []),
        ("def f():\n raise _no()\ndef _no() -> WrongUse: ...", ["WrongUse"]),
        ("class A:\n def f(self):\n  raise self._no()\n def _no(self) -> WrongUse: ...", ["WrongUse"]),
        ("def f():\n raise why or NeedsMending('no')", ["NeedsMending", "why"]),
        ("def f():\n held = WrongUse('no')\n raise held", ["WrongUse"]),
        ("def f():\n try: g()\n except (WrongUse, OSError) as bad: raise bad", ["OSError", "WrongUse"]),
        ("def f():\n try: g()\n except WrongUse: raise", []),
        ("def f(bad: WrongUse):\n raise bad", ["WrongUse"]),
        ("def f():\n def g():\n  raise WrongUse('no')", ["WrongUse"]),
        ("class A:\n def f(self):\n  raise WrongUse", ["WrongUse"]),
    ],
)
def test_an_error_that_no_docstring_names_is_found(source, names):
    """Each of the ways there are: by its class, by what makes it, by a name; what is only let through is not its own."""
    module = ast.parse(source)
    assert unnamed(next(functions(module.body)), makers_in(module)) == names


def ways_through(function):
    """McCabe's number of a function: one, and one more for each fork (if, loop, except, case, and, or)."""
    forks, todo = 1, list(ast.iter_child_nodes(function))
    while todo:
        node = todo.pop()
        if isinstance(node, (*FUNCTION, ast.ClassDef)):
            continue
        todo += ast.iter_child_nodes(node)
        forks += isinstance(node, ast.If | ast.IfExp | ast.For | ast.While | ast.ExceptHandler | ast.match_case)
        forks += len(node.values) - 1 if isinstance(node, ast.BoolOp) else 0
    return forks


def explains_itself(function, text):
    """Whether a comment stands in it, or its docstring says more than what it is for and what it raises."""
    mine = textwrap.dedent("\n".join(text.split("\n")[function.lineno - 1 : function.end_lineno]))
    tokens = tokenize.generate_tokens(io.StringIO(mine).readline)
    remarks = [one.string for one in tokens if one.type == tokenize.COMMENT]
    said = re.sub(r"Raises [^.]*\.", "", ast.get_docstring(function) or "")
    return (
        not all(re.match(r"#\s*(noqa|type:|fmt:)", one) for one in remarks)
        or len(re.findall(r"[.:;](?:\s|$)", said)) > 1
    )


@pytest.mark.parametrize(
    ("source", "ways"),
    [
        ("def f(): pass", 1), ("def f():\n if a: pass\n elif b: pass\n else: pass", 3), ("def f(): return a if b else c", 2),
        ("def f():\n for a in b:\n  while c: pass", 3), ("def f(): return a and b or c", 3), ("def f():\n def g():\n  if a: pass", 1),
        ("def f():\n try: pass\n except OSError: pass", 2), ("def f():\n match a:\n  case 1: pass\n  case 2: pass", 3),
    ],
)  # fmt: skip
def test_ways_are_counted_as_mccabe_did(source, ways):
    """[source] McCabe, A Complexity Measure (1976): decisions and one, each condition of several a decision of its own."""
    assert ways_through(ast.parse(source).body[0]) == ways


@pytest.mark.parametrize(
    ("source", "does"),
    [
        ("def f():\n 'Do it.'", False), ("def f():\n 'Do it. Raises WrongUse for none.'", False), ("def f():\n return  # noqa: X", False),
        ("def f():\n 'Do it: the newest comes first, for it holds.'", True), ("def f():\n # before the rest\n return", True),
    ],
)  # fmt: skip
def test_a_reason_is_a_comment_or_more_than_what_it_is_for(source, does):
    """What it raises is no reason, and a word to a checker is none."""
    assert explains_itself(ast.parse(source).body[0], source) is does


def test_a_function_of_many_ways_says_why_it_is_built_so():
    """Over twelve ways through it nobody sees at a glance why they are there, and in that order."""
    found = [
        f"{path.relative_to(ROOT)}:{one.lineno} {one.name}: {ways_through(one)}"
        for path in SOURCES
        for one in functions(tree(path).body)
        if ways_through(one) > MANY_WAYS and not explains_itself(one, path.read_text(encoding="utf-8"))
    ]
    assert found == []
