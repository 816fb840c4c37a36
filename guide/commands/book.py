"""`guide book`: what the book answers, and putting it right."""

import click

from guide.book.fold import undo_target, voided_by
from guide.commands.common import talk
from guide.commands.entries import book_open, only_given
from guide.errors import WrongUse


@click.group("book", invoke_without_command=True, epilog="\b\nExamples:\n  guide book undo\n  guide book undo 12")
@click.pass_context
def command(ctx: click.Context) -> int:
    """Keep the book: cloth on the shelf, orders, what was made and what it brought."""
    del ctx
    return 0


@command.command("undo")
@click.argument("line", required=False, type=click.IntRange(1))
@click.option("--why", metavar="TEXT", help="The reason, for the book.")
def undo(line: int | None, why: str | None) -> int:
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
        writer.add(only_given({"what": "voided", "of": of, "why": why}))
    what = " ".join(filter(None, (target.what.replace("_", " "), target.cloth or target.title or target.buyer)))
    talk(f"Taken back: line {of}, {what}, of {target.on or target.at[:10]}.")
    return 0
