"""What may be asked of a command: its options and arguments as the fields of one struct, and where its page goes."""

import re
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from decimal import Decimal, InvalidOperation
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast, get_type_hints

import click
import msgspec

from guide.commands.common import SESSIONS, clock, talk
from guide.errors import WrongUse
from guide.read.places import shown
from guide.read.units import BadLength, length_ms, parse_duration, parse_length

if TYPE_CHECKING:
    from guide.show.pages.render import Format

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_Command = TypeVar("_Command", bound=Callable[..., Any])
_Asked = TypeVar("_Asked", bound=msgspec.Struct)

# An option or argument of a command, in the place of a field's default: what puts it on, by the field's name and type.
# `asks` gives a command the struct of all of them.


def argument(**how: Any) -> Any:
    """Make a field what stands on the command line without a name."""
    return lambda field, _: click.argument(field, **how)


def option(
    says: str, metavar: str | None = None, *names: str, reads: Callable[[str, str], Any] | None = None, **how: Any
) -> Any:
    """Make a field an option: its help, what stands for its value, and its names where it is not the field's.

    The field's type says whether it is a flag, may be given again, or is "" when not given. `reads`: one of our
    readers, given the text and the option's name; a WrongUse that it raises is told before the command begins.
    """

    def tells(field: str, kind: Any) -> Callable[[_Command], _Command]:
        told = dict(how)
        if kind is bool:
            told["is_flag"] = True
        elif kind == tuple[str, ...]:
            told["multiple"] = True
        if reads is not None:
            told["callback"] = lambda _, param, text: None if text is None else reads(text, param.opts[-1])
        elif kind is str:
            told["callback"] = lambda _, __, text: text or ""
        return click.option(*(names or (f"--{field.replace('_', '-')}",)), field, metavar=metavar, help=says, **told)

    return tells


def asks(what: type[_Asked]) -> Callable[[Callable[[_Asked], int | None]], Callable[..., int | None]]:
    """Give a command what may be asked of it as one struct: each field stands for an option or an argument."""

    def asking(command: Callable[[_Asked], int | None]) -> Callable[..., int | None]:
        @wraps(command)
        def run(**said: Any) -> int | None:
            return command(what(**said))

        out: Callable[..., int | None] = run
        kinds = get_type_hints(what)
        for field, given in reversed([*zip(what.__struct_fields__, what.__struct_defaults__, strict=True)]):
            out = given(field, kinds[field])(out)
        return out

    return asking


def maker(says: str = "Whose times.") -> Any:
    """Make a field a command's `--maker`, which the environment may say once for all."""
    return option(says, "NAME", envvar="FRAYWORK_MAKER", show_envvar=True)


ROOT: Any = argument(default=SESSIONS, type=click.Path(file_okay=False, path_type=Path), metavar="[SESSIONS-FOLDER]")
JSON: Any = option("All figures as JSON.", None, "--json")


HERE, NETWORK = "here", "network"  # where a page beside the machine is served


def beside(says: str) -> Any:
    """Make a field a command's `--beside`, which may say `network` behind it."""
    return option(says, "[network]", is_flag=False, flag_value=HERE)


def served_at(beside: str | None, words: tuple[str, ...]) -> tuple[str | None, tuple[str, ...]]:
    """Give where the page is served, and the arguments: a word behind the option that is no place is one of these."""
    return (beside, words) if beside in {None, HERE, NETWORK} else (HERE, (*words, str(beside)))


def today() -> date:
    """The maker's own day."""
    from guide.record.clock import local

    now = clock().read()
    return local(now.wall, now.offset).date()


def day_option(text: str, option: str) -> date:
    """Read a day typed as an option. WrongUse for what is none."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise WrongUse(f"{option}: {text!r} is not a day; write it like 2026-12-12.") from None


def to_come(text: str, option: str) -> date:
    """Read a day that is not over yet. WrongUse for what is none, or is past."""
    given = day_option(text, option)
    if given < today():
        raise WrongUse(f"{option}: {given} is past; it is {today()} now.")
    return given


def decimal(text: str, option: str) -> Decimal:
    """Read a number typed as an amount of money. Raises WrongUse for what is none."""
    try:
        return Decimal(text)
    except InvalidOperation:
        raise WrongUse(f"{option}: {text!r} is not an amount; write it like 120 or 119.50.") from None


def amount(text: str, option: str, *, least: Decimal = Decimal(0)) -> Decimal:
    """Read an amount typed as an option, such as 9.60, to the cent. WrongUse for what is none or under the least."""
    value = decimal(text, option)
    if not value.is_finite() or abs(value) > 10**9 or value != round(value, 2):
        raise WrongUse(f"{option}: {text} is no amount of money; write it like 120 or 119.50.")
    if value < least:
        raise WrongUse(f"{option}: the amount must be {least} or more.")
    return round(value, 2)


def length(text: str, option: str) -> float:
    """Read a length typed as an option, mm, to a tenth of a micrometre and over nothing.

    Raises WrongUse for anything else.
    """
    try:
        value = round(parse_length(text), 4)
    except BadLength as error:
        raise WrongUse(f"{option}: {error}") from None
    if value <= 0:
        raise WrongUse(f"{option}: {text} is nothing.")
    return value


def size(text: str, option: str) -> tuple[float, float]:
    """Read `22in x 18in`, or `22x18in`: width across the cloth, then length along the grain, mm.

    Raises WrongUse for what is no size.
    """
    sides = [side.strip() for side in text.replace("×", "x").split("x")]
    if len(sides) != 2 or not all(sides):
        raise WrongUse(f"{option}: {text!r} is no size; write width across by length along the grain: 22in x 18in.")
    if sides[0][-1] in "0123456789½¼¾":  # one unit behind both
        sides[0] += sides[1].lstrip("0123456789./ ½¼¾")
    return length(sides[0], option), length(sides[1], option)


def hours(text: str, option: str) -> float:
    """Read a length of time typed as an option, in hours. WrongUse for what is none."""
    with suppress(ValueError):
        return parse_duration(text) / 3600
    if re.fullmatch(r"\s*[\d.,]+\s*", text):
        raise WrongUse(f"{option}: {text.strip()} of what? Write it like 3 h or 40 min.")
    return length_ms(text) / 3_600_000


def named(text: str, what: str) -> str:
    """Read a name typed. WrongUse for one that is empty."""
    if not text.strip():
        raise WrongUse(f"{what} has no name: write one.")
    return text.strip()


def sitting_length(text: str, option: str) -> float:
    """Read how long one sews at a time, s. WrongUse for less than anybody sits down for."""
    sitting_s = length_ms(text) / 1000
    if sitting_s < 300:
        raise WrongUse(f"{option}: under 5 minutes is no sitting.")
    return sitting_s


def weekdays(text: str, option: str) -> frozenset[int]:
    """Read days of the week, Monday as 0. WrongUse for what are none."""
    words = [word[:3].lower() for word in text.replace(",", " ").split()]
    if not words or not set(words) <= set(DAYS):
        raise WrongUse(f"{option}: {text!r} are no days of the week; write them like mon,wed,sat.")
    return frozenset(DAYS.index(word) for word in words)


class PageTo(msgspec.Struct, frozen=True):
    """Where a page goes and as what: None is beside what it is made from, `-` stdout."""

    file: str | None = None
    markdown: bool = False
    opens: bool = False

    def __bool__(self) -> bool:
        """Whether a page is asked for at all, where a command can do without."""
        return self.file is not None or self.markdown or self.opens

    def put(self, render: "Callable[[Format], str]", beside: Path | None = None, *, told: bool = False) -> None:
        """Write the page and give its path. Raises CannotWrite.

        `beside`: the file it is where no other is named; its ending says nothing. `told`: to the person only, as
        stdout is for what else the command prints.
        """
        markdown = self.markdown or (self.file or "").lower().endswith((".md", ".markdown"))
        text = render("markdown" if markdown else "html")
        if self.file == "-":
            click.echo(text)
            return
        from guide.show.pages.write import write_page

        path = Path(self.file or "")
        if self.file is None and beside is not None:
            path = beside.with_suffix(".md" if markdown else ".html")
        write_page(path, text)
        if told:
            talk(f"Written: {self.file or shown(path)}")
        else:
            click.echo(shown(path))
        if self.opens:
            click.launch(str(path))


def put_page(file: str, render: "Callable[[Format], str]") -> None:
    """Write a page that stands beside what a command prints. Raises CannotWrite."""
    PageTo(file).put(render, told=True)


def page_options(command: _Command) -> _Command:
    """Give a command that writes a page the options all of them have, as one value `to`."""

    @click.option(
        "-o",
        "--output",
        "--page",
        "file",
        metavar="FILE",
        help="Write the page there instead of beside the project or journal (FILE.md: as Markdown); - for stdout.",
    )
    @click.option("--markdown", is_flag=True, help="Markdown instead of a page; a FILE.md is that anyway.")
    @click.option("--open", "opens", is_flag=True, help="Open the page that was written.")
    @wraps(command)
    def written(*args: Any, file: str | None, markdown: bool, opens: bool, **options: Any) -> Any:
        return command(*args, to=PageTo(file, markdown=markdown, opens=opens), **options)

    return cast("_Command", written)


PAGES: Any = lambda _, __: page_options  # noqa: E731 - of a field `to`
