"""`guide shelf`: the cloth and the things that lie there."""

import re
from decimal import Decimal

import click
from msgspec import Struct
from msgspec.structs import replace

from guide.book.model import SMALL, Lot, Take, new_line
from guide.commands.ask import JSON, amount, argument, asks, length, named, option, put_page, size
from guide.commands.common import SESSIONS, columns, opened, put_out, talk
from guide.commands.entries import ON, book_here, book_open, json_option, on_option, units_of, usual_here, write_line
from guide.errors import WrongUse
from guide.read.spoken import counted, listed
from guide.read.units import INCH, Units, show_length
from guide.record.sessions import book_file

# As shops cut it: half a yard by half a cloth's width, half a metre by half a metric cloth's [practice].
FAT_QUARTER = {"inch": "22 in x 18 in", "metric": "55 cm x 50 cm"}


@click.group(
    "shelf",
    invoke_without_command=True,
    epilog='\b\nExamples:\n  guide shelf\n  guide shelf add "moss check" "2.5 yd" --width 44in --paid 24.00\n'
    '  guide shelf add "oat stripe" --fat-quarters 3 --paid 10.50\n'
    '  guide shelf add "clay dot" --squares 42 --size "5in x 5in"\n  guide shelf add "zip, 20 in" --number 4\n'
    '  guide shelf count 3 --size "40in x 30in"\n  guide shelf use sessions/window-seat-cushion',
)
@json_option
def command(*, as_json: bool) -> int:
    """List what lies on the shelf: every piece by its number, to one scale, and what it was paid.

    Planning and sewing need nothing of this. A print of a project may say `on_hand: shelf`.
    """
    if click.get_current_context().invoked_subcommand is not None:
        return 0
    from guide.show.shelf_lines import shelf_lines, shelf_report

    data = shelf_report(book_here())
    return put_out(data, lambda: shelf_lines(data, columns()), as_json=as_json)


class Bought(Struct, frozen=True):
    """What was bought, as it is typed."""

    name: str = argument()
    how_long: str | None = argument(required=False, metavar="[LENGTH]")
    width: float | None = option("The bolt's whole width, for cloth bought by the length.", "LENGTH", reads=length)
    selvedge: float | None = option("Each selvedge of it, not used.", "LENGTH", reads=length)
    piece: str = option("A piece, width across by length along the grain: 22in x 18in.", "SIZE")
    fat_quarters: int | None = option("So many fat quarters.", "N", type=click.IntRange(1, 1000))
    squares: int | None = option("A pack of so many squares, of --size.", "N", type=click.IntRange(1, 100_000))
    size: str = option("The size of one square of a pack, or of a fat quarter.", "SIZE")
    number: int | None = option("So many pieces alike, or things.", "N", type=click.IntRange(1, 100_000))
    paid: Decimal | None = option("What all of it cost.", "AMOUNT", reads=amount)
    currency: str = option("Of what was paid; the book's own when not said.", "LETTERS")
    washed: bool = option("It is washed already.")
    metric: bool = option("Fat quarters as they are cut by the metre.")
    at: str = option("Where it was bought.", "PLACE")
    on: str = ON


@command.command("add")
@asks(Bought)
def add(said: Bought) -> None:
    """Lay what was bought on the shelf: cloth by the LENGTH, pieces, fat quarters, packs of squares, or things.

    Zips, pads and needles go by --number.
    """
    lot, typed = _lot(said)
    name = named(said.name, "What was bought")
    bought = new_line("bought", on=said.on, cloth=name, place=said.at, amount=said.paid or None, lots=[lot])
    with book_open(begin=True, units=units_of(typed) if typed else "", currency=said.currency) as writer:
        currency = "" if said.paid is None else said.currency or writer.book.currency
        (entry,) = writer.add(replace(bought, currency=currency))
    talk(f"On the shelf as piece {entry.n}. To take it back: guide book undo")


def _lot(said: Bought) -> tuple[Lot, str]:
    """Read what was bought as one lot, and the text that shows its maker's units. Raises WrongUse for what says none.

    One way of saying it after another, for each misses something else, and is told so.
    """
    if sum(map(bool, (said.fat_quarters, said.squares, said.piece, said.how_long is not None))) > 1:
        raise WrongUse("Add one kind at a time: a length, or --piece, --fat-quarters or --squares.")
    number = said.number or 1
    if said.how_long is not None:
        if "quarter" in said.how_long:
            raise WrongUse(f"{said.how_long}: fat quarters are told by their number alone: --fat-quarters 6.")
        long = length(said.how_long, "LENGTH")
        if said.width is None:
            raise WrongUse(f"{said.how_long} of what width? Say the bolt's: --width 44in.")
        return Lot(said.width, long, number, washed=said.washed, selvedge=said.selvedge or 0.0), said.how_long
    if said.piece:
        return Lot(*size(said.piece, "--piece"), number, washed=said.washed), said.piece
    if said.fat_quarters:
        usual = book_here().units if book_file(SESSIONS).exists() else usual_here().get("units", "inch")
        text = said.size or FAT_QUARTER["metric" if said.metric else usual]
        return Lot(*size(text, "--size"), said.fat_quarters, washed=said.washed), text
    if said.squares:
        if not said.size:
            raise WrongUse("Squares of what size? Say it: --size 5in x 5in.")
        return Lot(*size(said.size, "--size"), said.squares, straight=True, washed=said.washed), said.size
    if not said.number:
        raise WrongUse(
            "How much? Say a length with --width, --piece, --fat-quarters, --squares, or --number of things."
        )
    return Lot(count=number, washed=said.washed), ""


@command.command("count")
@click.argument("piece")
@click.option("--number", type=click.IntRange(0, 100_000), metavar="N", help="So many are there.")
@click.option("--size", "of_size", metavar="SIZE", help="It measures so much: 40in x 30in.")
@on_option
def count(piece: str, number: int | None, of_size: str | None, on: str) -> None:
    """Say what PIECE is found to be; a difference is told and kept, never hidden."""
    if number is None and of_size is None:
        raise WrongUse(f'What is there? Say --number, or --size "40in x 30in"; 0 when piece {piece} is gone.')
    with book_open() as writer:
        there = writer.book.pieces.get(piece)
        sides = (0.0, 0.0) if of_size is None else size(of_size, "--size")
        lot = Lot(*sides, number if number is not None else there.count if there else 0)
        before = len(writer.book.counts)
        writer.add(new_line("counted", on=on, piece=piece, lot=lot))
        found, units = writer.book.counts[before:], writer.book.units
    from guide.show.shelf_lines import count_text

    talk(f"Counted {count_text(found[0], units)}" if found else "As the book had it.")


@command.command("wash")
@click.argument("piece")
@click.option("--to", "to", metavar="SIZE", required=True, help="What it measures washed: 43in x 2.4yd.")
@on_option
def wash(piece: str, to: str, on: str) -> None:
    """Say what PIECE measures once it is washed."""
    lot = Lot(*size(to, "--to"), washed=True)
    write_line(new_line("washed", on=on, piece=piece, lot=lot), f"Piece {piece} is washed.")


@command.command("give")
@click.argument("piece")
@click.option("--number", type=click.IntRange(1, 100_000), default=1, metavar="N", help="So many of it.")
@click.option("--to", "to", default="", metavar="WHOM", help="Who has it now.")
@on_option
def give(piece: str, number: int, to: str, on: str) -> None:
    """Take PIECE off the shelf: it was given away."""
    line = new_line("given", on=on, piece=piece, count=number, place=to)
    write_line(line, f"Off the shelf: {counted(number, 'piece')} of number {piece}.")


@command.command("part")
@click.argument("piece")
@click.option("--length", "long", metavar="LENGTH", help="So much off its end, right across.")
@click.option("--width", "wide", metavar="LENGTH", help="So much off its side, along the grain.")
@on_option
def part(piece: str, long: str | None, wide: str | None, on: str) -> None:
    """Cut PIECE in two: both lie on the shelf then, each as a piece of its own."""
    if bool(long) == bool(wide):
        raise WrongUse("Where is it cut? Say --length, or --width.")
    off = length(long or wide or "", "--length" if long else "--width")
    with book_open() as writer:
        there = writer.book.pieces.get(piece)
        if there is None or not there.area:
            raise WrongUse(f"No piece {piece} of cloth is on the shelf.")
        sides = (there.width / SMALL, there.length / SMALL)
        rest = sides[bool(long)] - off
        if rest <= 0:
            raise WrongUse(f"Piece {piece} is no longer than that.")
        if wide and there.selvedge:
            raise WrongUse(f"Piece {piece} has selvedges on both sides: cut it across, with --length.")
        sizes = [(sides[0], one) if long else (one, sides[1]) for one in (off, rest)]
        lots = [Lot(round(w, 4), round(h, 4)) for w, h in sizes]
        (entry,) = writer.add(new_line("parted", on=on, piece=piece, lots=lots))
    talk(f"Piece {piece} is piece {entry.n}.1 and piece {entry.n}.2 now.")


@command.command("use")
@click.argument("project", required=False)
@click.option("--part", "parts", is_flag=True, help="Cut off what it takes of each: the rest of it stays free.")
@on_option
def use(project: str | None, on: str, *, parts: bool) -> None:
    """Promise PROJECT the pieces its plan cuts: no other plan is offered them. Planned anew, it is promised anew.

    Whole pieces; with --part what it takes of a length is cut off now, and promised as a piece of its own.
    """
    from guide.book.shelf import parted_by, promised_by
    from guide.commands.sessions import SHELF, on_shelf, plan_of

    here = on_shelf(opened(project), anew=True)
    name = here.folder.resolve().name
    if not any(cloth.shelf for cloth in here.project.prints):
        raise WrongUse(f"{name} takes nothing from the shelf: write `on_hand: shelf` with a print of it.")
    plan, rows = plan_of(here), here.language.beside[SHELF]
    takes = promised_by(plan, rows)
    with book_open() as writer:
        lines = [new_line("released", on=on, project=name)] if writer.book.promises.get(name) else []
        if not takes:
            raise WrongUse(f"Nothing that lies on the shelf goes into {name}.")
        cut = []
        for piece, lots in parted_by(plan, rows, writer.book) if parts else ():
            cut.append(f"{_sides(lots[0], writer.book.units)} off piece {piece}")
            takes = _instead(takes, piece, f"{writer.next + len(lines)}.1")
            lines.append(new_line("parted", on=on, project=name, piece=piece, lots=lots))
        writer.add(*lines, new_line("promised", on=on, project=name, takes=takes))
        more = "" if parts or not parted_by(plan, rows, writer.book) else " With --part the rest of it stays free."
    told = f"Cut off: {listed(cut)}. " if cut else ""
    talk(f"{told}Promised to {name}: {listed([f'piece {take.piece}' for take in takes])}.{more}")


def _instead(takes: list[Take], piece: str, part: str) -> list[Take]:
    """Take what is cut off a piece in its place; of several alike only one is cut into."""
    whole = [replace(one, count=one.count - 1) if one.piece == piece else one for one in takes]
    return [*(one for one in whole if one.count), Take(part)]


def _sides(lot: Lot, units: Units) -> str:
    return f"{show_length(lot.width, units)} × {show_length(lot.length, units)}"


@command.command("release")
@click.argument("project", required=False)
@on_option
def release(project: str | None, on: str) -> None:
    """Free what is promised to PROJECT; finishing its session frees it too."""
    from guide.read.places import find_project

    name = find_project(project, SESSIONS).parent.resolve().name
    write_line(new_line("released", on=on, project=name), f"Free again: what was promised to {name}.")


@command.command("list")
@click.argument("page", metavar="FILE")
def list_(page: str) -> None:
    """Write the shelf as a list to take to the shop, FILE (FILE.md: as Markdown); - for stdout."""
    from guide.show.pages.papers import shelf_page

    put_page(page, lambda fmt: shelf_page(book_here(), fmt))


def _shrinks(text: str, option: str) -> tuple[float, float]:
    """Read `5 %, 3 %`, along the grain and across; give it across and along: cloth's length runs down a face.

    Raises WrongUse for anything else.
    """
    shares = re.fullmatch(r"\s*(\d{1,2}(?:\.\d+)?)\s*%\s*,\s*(\d{1,2}(?:\.\d+)?)\s*%\s*", text)
    if not shares or max(map(float, shares.groups())) >= 50:
        raise WrongUse(f"{option}: {text!r} is not what washing takes; write it along and across, like 5 %, 3 %.")
    return float(shares[2]) / 100, float(shares[1]) / 100


def _layers(text: str, option: str) -> tuple[int, int]:
    """Read how many squares lie over and under the wadding. Raises WrongUse for anything else."""
    parts = text.replace(" ", "").split(",")
    if len(parts) != 2 or not all(part.isdecimal() for part in parts) or not 1 <= int(parts[0]) <= 12 >= int(parts[1]):
        raise WrongUse(f"{option}: {text!r} are no layers; write those over and under the wadding, like 2,2.")
    return int(parts[0]), int(parts[1])


class Making(Struct, frozen=True):
    """What is to be made of the shelf."""

    kind: str = argument(type=click.Choice(["cushion", "throw"]))
    pad: str = option("The pad it is for, 40x40cm: the cover is as large less --ease.", "SIZE")
    size: str = option("The finished face instead, 20in x 15in.", "SIZE")
    square: float | None = option("With no size: the largest article of squares cut to this.", "LENGTH", reads=length)
    count: int = option("With --square: so many of it.", "N", type=click.IntRange(1, 1000), default=1)
    seam: float | None = option("1/2 in when not said; metric 12 mm.", "LENGTH", reads=length)
    layers: tuple[int, int] = option(
        "Squares over and under the wadding. [default: 1,1]", "N,N", default="1,1", reads=_layers
    )
    shrinks: tuple[float, float] | None = option(
        "What washing takes, along and across: the size is then as washed.", "%,%", reads=_shrinks
    )
    ease: float | None = option(
        "How much larger the pad is: 1/2 in when not said; metric 1 cm.", "LENGTH", reads=length
    )
    as_json: bool = JSON


@command.command("make")
@asks(Making)
def make(said: Making) -> None:
    """Say what the shelf gives: the most articles of a size, or the largest of a square.

    No two alike meet. A cushion has a back of single squares. Sizes are as sewn; with --shrinks the size asked for
    is as washed, and washed cloth is left out.
    """
    from guide.book.shelf import Wanted, largest, of_size
    from guide.show.shelf_lines import choice_lines

    book = book_here()
    inch = book.units == "inch"
    wanted = Wanted(said.kind, *said.layers, said.seam or (INCH / 2 if inch else 12.0), said.shrinks)
    if said.square:
        best = largest(book, wanted, said.square, said.count)
        choices, asked = ([best] if best else []), None
    else:
        if bool(said.pad) == bool(said.size):
            raise WrongUse("How large? Say --pad, --size, or --square.")
        ease = (said.ease or (INCH / 2 if inch else 10.0)) if said.pad else 0.0
        wide, high = (side - ease for side in size(said.pad or said.size, "--pad" if said.pad else "--size"))
        choices, asked = of_size(book, wanted, wide, high)[:6], (wide, high)
    put_out(choices, lambda: choice_lines(choices, asked, wanted, book.units), as_json=said.as_json)
