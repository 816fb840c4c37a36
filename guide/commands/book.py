"""`guide book`: what the book answers, and putting it right."""

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import click
import msgspec
from msgspec import Struct
from msgspec.structs import replace

from guide import system
from guide.book.file import MEMBERS, fold, hidden, initials, read_entries, undo_target, voided_by
from guide.book.model import BOOK, Entry, new_line
from guide.commands.ask import JSON, PAGES, PageTo, amount, argument, asks, day_option, hours, named, option, today
from guide.commands.common import SESSIONS, code_told, columns, put_out, say, talk
from guide.commands.entries import ON, book_here, book_open, on_option, period_of, write_line
from guide.commands.sessions import session_path
from guide.errors import CannotWrite, JournalDamaged, WrongUse
from guide.read.model import did_you_mean
from guide.read.places import shown
from guide.record.journal import describe
from guide.record.lines import encode
from guide.record.sessions import book_file
from guide.show.pages.write import write_whole

# Forgetting a buyer: initials in all that is read, and, after a question, in the book's own bytes.

WORDS = ("buyer", "text", "why", "title", "place", "project", "cloth", "offer", "set")  # where a name can stand


def forget_name(name: str, letters: str) -> None:
    """Write that a name is forgotten, unless it is already. WrongUse where no line has it."""
    with book_open() as writer:
        if name in writer.book.forgotten:
            return
        if not any(name in str(msgspec.to_builtins(entry)) for entry in writer.file.events):
            raise WrongUse(f"Nobody called {name} is in the book.")
        writer.add(new_line("forgotten", buyer=name, text=letters))


def without(entries: list[Entry], name: str, letters: str) -> list[Entry]:
    """Give the lines with initials for a name; what tells that it was forgotten has them too."""
    return [
        replace(entry, **{member: hidden(getattr(entry, member), {name: letters}) for member in WORDS})
        for entry in entries
    ]


def rewrite_book(root: Path, name: str, *, sure: bool) -> int:
    """Write the book anew without a name; compare what both come to; put it in the place of the old one.

    The lines keep their numbers, moments and kinds. JournalDamaged or CannotWrite leave the old one as it is.
    """
    path = book_file(root)
    with book_open() as writer:  # nobody writes meanwhile
        entries, damage = read_entries(root)
        if damage is not None:
            raise JournalDamaged(describe(shown(path), damage))
        letters = writer.book.forgotten[name]
        new = without(entries, name, letters)
        data = b"".join(encode(entry) for entry in new)
        if BOOK.scan(data).events != new or not _same(entries, new):
            raise CannotWrite(f"{shown(path)} was left as it is: written anew it would not come to the same.")
        aside = sorted(path.parent.glob(f"{path.name}.torn-*"))
        if not sure and not click.confirm(_question(path, name, aside), default=False, err=True):
            talk("Left as it is.")
            return 0
        beside = path.with_name(f".{path.name}.new")
        write_whole(beside, data.decode())
        system.put_in_place(beside, path)
        system.sync_folder(path.parent)
    for torn in aside:
        torn.unlink()
    talk(
        f"{name} is out of {shown(path)}. Copies stay where they are: backups, synced folders, versions kept by the "
        "system, pages and papers already written or printed, and blocks of the disk until they are written over."
    )
    return 0


def _same(old: list[Entry], new: list[Entry]) -> bool:
    """Whether both fold to the same book, names apart."""
    one, other = fold(old), fold(new)
    one.forgotten, other.forgotten = {}, {}
    return bool(_facts(one) == _facts(other))


def _facts(book: Any) -> Any:
    return msgspec.json.encode(msgspec.structs.asdict(book) | {"unknown": len(book.unknown)}, enc_hook=str)


def _question(path: Path, name: str, aside: list[Path]) -> str:
    torn = f" Lines cut off and set aside are deleted with it ({len(aside)})." if aside else ""
    return f"Delete the bytes of {shown(path)} that say {name}? They cannot be brought back.{torn}"


why_option = click.option("--why", default="", metavar="TEXT", help="The reason, for the book.")


class Asked(Struct, frozen=True):
    """Of which days the book is asked, and where the answer goes."""

    first: date | None = option("Sales from this day on.", "DAY", "--from", reads=day_option)
    last: date | None = option("Sales up to this day.", "DAY", "--to", reads=day_option)
    to: PageTo = PAGES
    as_json: bool = JSON


@click.group(
    "book",
    invoke_without_command=True,
    epilog="\b\nExamples:\n  guide book\n  guide book --page book.html --from 2026-01-01\n  guide book enter\n"
    '  guide book stall "spring market" --fee 45 --hours "6 h"\n  guide book cost 12.50 "machine needles"\n'
    '  guide book undo\n  guide book correct 12 amount=24.50\n  guide book forget "M. Oak"',
)
@asks(Asked)
def command(said: Asked) -> int:
    """Show on one page what earns most an hour, what is late, what lies unsold, and this month.

    What sessions cut and made comes in by guide book enter; it is offered here, once.
    """
    if click.get_current_context().invoked_subcommand is not None:
        return 0
    from guide.commands.booking import offer_all
    from guide.show.book_lines import book_lines, book_report

    period = period_of(said.first, said.last)
    if not said.as_json and said.to.file != "-":
        offer_all()
    data = book_report(book_here(), today().isoformat(), period)
    if said.to and not said.as_json:
        from guide.show.pages.papers import book_page

        said.to.put(lambda fmt: book_page(data, fmt), book_file(SESSIONS))
        return code_told()
    return put_out(data, lambda: book_lines(data, columns()), as_json=said.as_json)


@command.command("enter")
@click.argument("session", required=False, metavar="[SESSION]")
@click.option("--yes", "sure", is_flag=True, help="Ask nothing.")
def enter(session: str | None, *, sure: bool) -> None:
    """Enter what sessions cut and made and the book lacks: all of them, or one SESSION."""
    from guide.commands.booking import enter as enter_one
    from guide.commands.booking import lacking

    paths = [session_path(session)] if session else lacking(book_here())
    entered = []
    if paths:
        with book_open(begin=True) as writer:
            entered = [enter_one(writer, path, sure=sure) for path in paths]
    if not any(entered):
        talk("The book lacks nothing of your sessions.")


class Made(Struct, frozen=True):
    """Pieces that no session made."""

    article: str = argument()
    count: int = option("So many.", "N", type=click.IntRange(1, 1000), default=1)
    cost: Decimal | None = option("Of the materials of one.", "AMOUNT", reads=amount)
    hours: float | None = option("Hands on for one: 3 h.", "LENGTH", reads=hours)
    price: Decimal | None = option("What is asked for one.", "AMOUNT", reads=amount)
    size: str = option("As it stands on the ticket.", "TEXT")
    on: str = ON


@command.command("made")
@asks(Made)
def made(said: Made) -> None:
    """Give tickets to pieces of an ARTICLE that no session made: those from before the book."""
    from guide.commands.booking import tickets

    line = new_line(
        "made", on=said.on, title=named(said.article, "The article"), size=said.size, cost=said.cost or None,
        amount=said.price or None, hours=said.hours or 0.0,
    )  # fmt: skip
    with book_open(begin=True) as writer:
        given = tickets(writer.book, said.count)
        writer.add(replace(line, tickets=given, currency=writer.book.currency))
    talk(f"Ticket {given[0]}." if len(given) == 1 else f"Tickets {given[0]} to {given[-1]}.")


@command.command("cost")
@click.argument("sum", metavar="AMOUNT")
@click.argument("text")
@click.option("--currency", default="", metavar="LETTERS", help="The book's own when not said.")
@on_option
def cost(sum: str, text: str, currency: str, on: str) -> None:  # noqa: A002 - click's name for it
    """Write down what was spent besides cloth: insurance, needles, a repair."""
    _spent(new_line("cost", on=on, text=text, amount=amount(sum, "AMOUNT"), currency=currency))


class Stall(Struct, frozen=True):
    """A day at a stall."""

    place: str = argument()
    fee: Decimal = option("What the day cost.", "AMOUNT", required=True, reads=amount)
    hours: float | None = option("How long you stood there: 6 h.", "LENGTH", reads=hours)
    currency: str = option("The book's own when not said.", "LETTERS")
    on: str = ON


@command.command("stall")
@asks(Stall)
def stall(said: Stall) -> None:
    """Write down a day at a stall: what it cost, and how long it was. What it brought is sold piece by piece."""
    place, hours = named(said.place, "The place"), said.hours or 0.0
    _spent(new_line("stall", on=said.on, place=place, hours=hours, amount=said.fee, currency=said.currency))


def _spent(line: Entry) -> None:
    with book_open(begin=True) as writer:
        writer.add(replace(line, currency=line.currency or writer.book.currency))
    talk("In the book.")


@command.command("lines")
@click.option("--last", type=click.IntRange(1), default=20, metavar="N", help="How many, the newest.")
def lines(last: int) -> None:
    """List the newest lines of the book with their numbers, to correct or take back."""
    from guide.show.book_lines import entry_line

    book = book_here()
    for entry in read_entries(SESSIONS)[0][-last:]:
        say(entry_line(entry, book.forgotten))


@command.command("undo")
@click.argument("line", required=False, type=click.IntRange(1))
@why_option
def undo(line: int | None, why: str) -> None:
    """Take the newest line back, or the LINE named. It stays in the file, and so does that it was taken back.

    A line that later ones rest on is not taken back; taking back a line that took one back brings that one in again.
    """
    with book_open() as writer:
        of = line or undo_target(writer.file.events)
        if of is None or of > len(writer.file.events):
            raise WrongUse(f"The book has no line {of}." if of else "There is nothing to take back.")
        target = writer.file.events[of - 1]
        if (by := voided_by(writer.file.events, of)) is not None:
            raise WrongUse(f"Line {of} is taken back already, by line {by}; guide book undo {by} brings it in again.")
        writer.add(new_line("voided", of=of, why=why))
    what = " ".join(filter(None, (target.what.replace("_", " "), target.cloth or target.title or target.buyer)))
    talk(f"Taken back: line {of}, {what}, of {target.on or target.at[:10]}.")


@command.command("correct")
@click.argument("line", type=click.IntRange(1))
@click.argument("changes", nargs=-1, required=True, metavar="NAME=VALUE…")
@why_option
def correct(line: int, changes: tuple[str, ...], why: str) -> None:
    """Correct LINE: amount=24.50, on=2026-03-02, place=stall … What it said before stays in the file."""
    made_of: dict[str, int | str] = {}
    for change in changes:
        name, equals, value = change.partition("=")
        if not equals or name not in MEMBERS:
            raise WrongUse(f"{change!r} corrects nothing{did_you_mean(name, MEMBERS)}; write it like amount=24.50.")
        whole = name in {"count", "number", "quotation"} and value.isdecimal()
        made_of[name] = int(value) if whole else value
    write_line(new_line("amended", of=line, set=made_of, why=why), f"Line {line} says now: {', '.join(changes)}.")


@command.command("forget")
@click.argument("name")
@click.option("--as", "letters", metavar="TEXT", help="What stands for it; initials when not said.")
@click.option("--rewrite", is_flag=True, help="Write the book anew without it, and delete the old bytes.")
@click.option("--yes", "sure", is_flag=True, help="Ask nothing.")
def forget(name: str, letters: str | None, *, rewrite: bool, sure: bool) -> int:
    """Put initials wherever a buyer's NAME stands, in all that is read of the book from now on.

    The name stays in the file's bytes until --rewrite writes it anew.
    """
    forget_name(name.strip(), letters or initials(name))
    if rewrite:
        return rewrite_book(Path(SESSIONS), name.strip(), sure=sure)
    talk(
        f"{name} reads {letters or initials(name)} from now on. The name is still in the bytes of the book: "
        f'guide book forget "{name}" --rewrite takes it out of them.'
    )
    return 0
