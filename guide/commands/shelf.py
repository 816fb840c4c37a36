"""`guide shelf`: the cloth and the things that lie there."""

import re
from typing import Any

import click
from msgspec.structs import replace

from guide.book.model import SMALL, Lot, Take
from guide.commands.common import SESSIONS, columns, opened, put_page, say, say_json, talk
from guide.commands.entries import (
    amount,
    book_here,
    book_open,
    day,
    json_option,
    length,
    named,
    on_option,
    only_given,
    size,
    units_of,
    usual_here,
)
from guide.commands.sessions import code_told
from guide.errors import WrongUse
from guide.read.spoken import counted, listed
from guide.read.units import Units, show_length
from guide.record.sessions import book_file

# As shops cut it: half a yard by half a cloth's width, half a metre by half a metric cloth's [practice].
FAT_QUARTER = {"inch": ("22 in", "18 in"), "metric": ("55 cm", "50 cm")}


@click.group(
    "shelf",
    invoke_without_command=True,
    epilog='\b\nExamples:\n  guide shelf\n  guide shelf add "moss check" "2.5 yd" --width 44in --paid 24.00\n'
    '  guide shelf add "oat stripe" --fat-quarters 3 --paid 10.50\n'
    '  guide shelf add "clay dot" --squares 42 --size "5in x 5in"\n  guide shelf add "zip, 20 in" --number 4\n'
    '  guide shelf count 3 --size "40in x 30in"\n  guide shelf use sessions/window-seat-cushion',
)
@json_option
@click.pass_context
def command(ctx: click.Context, *, as_json: bool) -> int:
    """List what lies on the shelf: every piece by its number, to one scale, and what it was paid.

    Planning and sewing need nothing of this. A print of a project may say `on_hand: shelf`.
    """
    if ctx.invoked_subcommand is not None:
        return 0
    from guide.show.shelf_lines import shelf_lines, shelf_report

    data = shelf_report(book_here())
    if as_json:
        say_json(data)
    else:
        say("\n".join(shelf_lines(data, columns())))
    return code_told()


@command.command("add")
@click.argument("name")
@click.argument("how_long", required=False, metavar="[LENGTH]")
@click.option("--width", metavar="LENGTH", help="The bolt's whole width, for cloth bought by the length.")
@click.option("--selvedge", metavar="LENGTH", help="Each selvedge of it, not used.")
@click.option("--piece", metavar="SIZE", help="A piece, width across by length along the grain: 22in x 18in.")
@click.option("--fat-quarters", type=click.IntRange(1, 1000), metavar="N", help="So many fat quarters.")
@click.option("--squares", type=click.IntRange(1, 100_000), metavar="N", help="A pack of so many squares, of --size.")
@click.option("--size", "of_size", metavar="SIZE", help="The size of one square of a pack, or of a fat quarter.")
@click.option("--number", type=click.IntRange(1, 100_000), metavar="N", help="So many pieces alike, or things.")
@click.option("--paid", metavar="AMOUNT", help="What all of it cost.")
@click.option("--currency", metavar="LETTERS", help="Of what was paid; the book's own when not said.")
@click.option("--washed", is_flag=True, help="It is washed already.")
@click.option("--metric", is_flag=True, help="Fat quarters as they are cut by the metre.")
@click.option("--at", "place", metavar="PLACE", help="Where it was bought.")
@on_option
def add(name: str, how_long: str | None, **said: Any) -> int:
    """Lay what was bought on the shelf: cloth by the LENGTH, pieces, fat quarters, packs of squares, or things.

    Zips, pads and needles go by --number.
    """
    lot, typed = _lot(how_long, said)
    name = named(name, "What was bought")
    lot |= {"washed": True} if said["washed"] else {}
    line = only_given({
        "what": "bought", "on": day(said["on"]), "cloth": name, "place": said["place"],
        "amount": amount(said["paid"], "--paid"),
    }) | {"lots": [_typed(lot)]}  # fmt: skip
    begun = only_given({"units": typed and units_of(typed), "currency": said["currency"]})
    with book_open(begin=True, **begun) as writer:
        paid = {"currency": said["currency"] or writer.book.currency} if said["paid"] else {}
        (entry,) = writer.add(line | paid)
    talk(f"On the shelf as piece {entry.n}. To take it back: guide book undo")
    return 0


def _metric() -> bool:
    """Whether the book, or the one that would begin here, is metric."""
    return (book_here().units if book_file(SESSIONS).exists() else usual_here().get("units")) == "metric"


def _typed(lot: dict[str, Any]) -> Any:
    from guide.book.model import Lot

    return Lot(**lot)


def _lot(how_long: str | None, said: dict[str, Any]) -> tuple[dict[str, Any], str]:
    """Read what was bought as one lot, and the text that shows its maker's units. Raises WrongUse."""
    ways = [name for name in ("fat_quarters", "squares", "piece") if said[name]]
    if len(ways) + (how_long is not None) > 1:
        raise WrongUse("Add one kind at a time: a length, or --piece, --fat-quarters or --squares.")
    number = said["number"] or 1
    if how_long is not None:
        if not said["width"]:
            raise WrongUse(f"{how_long} of what width? Say the bolt's: --width 44in.")
        wide, edge = length(said["width"], "--width"), said["selvedge"]
        lot = {"width": wide, "length": length(how_long, "LENGTH"), "count": number}
        return lot | ({"selvedge": length(edge, "--selvedge")} if edge else {}), how_long
    if said["fat_quarters"]:
        sides = FAT_QUARTER["metric" if said["metric"] or _metric() else "inch"]
        wide, long = size(said["of_size"] or " x ".join(sides), "--size")
        return {"width": wide, "length": long, "count": said["fat_quarters"]}, said["of_size"] or sides[0]
    if said["squares"]:
        if not said["of_size"]:
            raise WrongUse("Squares of what size? Say it: --size 5in x 5in.")
        wide, long = size(said["of_size"], "--size")
        return {"width": wide, "length": long, "count": said["squares"], "straight": True}, said["of_size"]
    if said["piece"]:
        wide, long = size(said["piece"], "--piece")
        return {"width": wide, "length": long, "count": number}, said["piece"]
    if not said["number"]:
        raise WrongUse(
            "How much? Say a length with --width, --piece, --fat-quarters, --squares, or --number of things."
        )
    return {"count": number}, ""


@command.command("count")
@click.argument("piece")
@click.option("--number", type=click.IntRange(0, 100_000), metavar="N", help="So many are there.")
@click.option("--size", "of_size", metavar="SIZE", help="It measures so much: 40in x 30in.")
@on_option
def count(piece: str, number: int | None, of_size: str | None, on: str | None) -> int:
    """Say what PIECE is found to be; a difference is told and kept, never hidden."""
    if number is None and of_size is None:
        raise WrongUse(f'What is there? Say --number, or --size "40in x 30in"; 0 when piece {piece} is gone.')
    with book_open() as writer:
        there = writer.book.pieces.get(piece)
        lot: dict[str, Any] = {"count": number if number is not None else there.count if there else 0}
        if of_size is not None:
            lot |= dict(zip(("width", "length"), size(of_size, "--size"), strict=True))
        before = len(writer.book.counts)
        writer.add({"what": "counted", "on": day(on), "piece": piece, "lot": _typed(lot)})
        found, units = writer.book.counts[before:], writer.book.units
    from guide.show.shelf_lines import count_text

    talk(f"Counted {count_text(found[0], units)}" if found else "As the book had it.")
    return 0


@command.command("wash")
@click.argument("piece")
@click.option("--to", "to", metavar="SIZE", required=True, help="What it measures washed: 43in x 2.4yd.")
@on_option
def wash(piece: str, to: str, on: str | None) -> int:
    """Say what PIECE measures once it is washed."""
    wide, long = size(to, "--to")
    with book_open() as writer:
        lot = _typed({"width": wide, "length": long, "washed": True})
        writer.add({"what": "washed", "on": day(on), "piece": piece, "lot": lot})
    talk(f"Piece {piece} is washed.")
    return 0


@command.command("give")
@click.argument("piece")
@click.option("--number", type=click.IntRange(1, 100_000), default=1, metavar="N", help="So many of it.")
@click.option("--to", "to", metavar="WHOM", help="Who has it now.")
@on_option
def give(piece: str, number: int, to: str | None, on: str | None) -> int:
    """Take PIECE off the shelf: it was given away."""
    with book_open() as writer:
        writer.add(only_given({"what": "given", "on": day(on), "piece": piece, "count": number, "place": to}))
    talk(f"Off the shelf: {counted(number, 'piece')} of number {piece}.")
    return 0


@command.command("part")
@click.argument("piece")
@click.option("--length", "long", metavar="LENGTH", help="So much off its end, right across.")
@click.option("--width", "wide", metavar="LENGTH", help="So much off its side, along the grain.")
@on_option
def part(piece: str, long: str | None, wide: str | None, on: str | None) -> int:
    """Cut PIECE in two: both lie on the shelf then, each as a piece of its own."""
    if bool(long) == bool(wide):
        raise WrongUse("Where is it cut? Say --length, or --width.")
    off = length(long or wide or "", "--length" if long else "--width")
    with book_open() as writer:
        there = writer.book.pieces.get(piece)
        if there is None or not there.is_cloth:
            raise WrongUse(f"No piece {piece} of cloth is on the shelf.")
        sides = (there.width / SMALL, there.length / SMALL)
        rest = sides[bool(long)] - off
        if rest <= 0:
            raise WrongUse(f"Piece {piece} is no longer than that.")
        if wide and there.selvedge:
            raise WrongUse(f"Piece {piece} has selvedges on both sides: cut it across, with --length.")
        sizes = [(sides[0], one) if long else (one, sides[1]) for one in (off, rest)]
        lots = [_typed({"width": round(w, 4), "length": round(h, 4)}) for w, h in sizes]
        (entry,) = writer.add({"what": "parted", "on": day(on), "piece": piece, "lots": lots})
    talk(f"Piece {piece} is piece {entry.n}.1 and piece {entry.n}.2 now.")
    return 0


@command.command("use")
@click.argument("project", required=False)
@click.option("--part", "parts", is_flag=True, help="Cut off what it takes of each: the rest of it stays free.")
@on_option
def use(project: str | None, on: str | None, *, parts: bool) -> int:
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
        line = {"on": day(on), "project": name}
        lines: list[dict[str, Any]] = [line | {"what": "released"}] if writer.book.promises.get(name) else []
        if not takes:
            raise WrongUse(f"Nothing that lies on the shelf goes into {name}.")
        cut = []
        for piece, lots in parted_by(plan, rows, writer.book) if parts else ():
            cut.append(f"{_sides(lots[0], writer.book.units)} off piece {piece}")
            takes = _instead(takes, piece, f"{writer.next + len(lines)}.1")
            lines.append(line | {"what": "parted", "piece": piece, "lots": lots})
        writer.add(*lines, line | {"what": "promised", "takes": takes})
        more = "" if parts or not parted_by(plan, rows, writer.book) else " With --part the rest of it stays free."
    told = f"Cut off: {listed(cut)}. " if cut else ""
    talk(f"{told}Promised to {name}: {listed([f'piece {take.piece}' for take in takes])}.{more}")
    return 0


def _instead(takes: list[Take], piece: str, part: str) -> list[Take]:
    """Take what is cut off a piece in its place; of several alike only one is cut into."""
    whole = [replace(one, count=one.count - 1) if one.piece == piece else one for one in takes]
    return [*(one for one in whole if one.count), Take(part)]


def _sides(lot: Lot, units: Units) -> str:
    return f"{show_length(lot.width, units)} × {show_length(lot.length, units)}"


@command.command("release")
@click.argument("project", required=False)
@on_option
def release(project: str | None, on: str | None) -> int:
    """Free what is promised to PROJECT; finishing its session frees it too."""
    from guide.read.places import find_project

    folder = find_project(project, SESSIONS).parent
    with book_open() as writer:
        writer.add({"what": "released", "on": day(on), "project": folder.resolve().name})
    talk(f"Free again: what was promised to {folder.resolve().name}.")
    return 0


@command.command("list")
@click.argument("page", metavar="FILE")
def list_(page: str) -> int:
    """Write the shelf as a list to take to the shop, FILE (FILE.md: as Markdown); - for stdout."""
    from guide.show.pages.papers import shelf_page

    put_page(page, lambda fmt: shelf_page(book_here(), fmt))
    return 0


@command.command("make")
@click.argument("kind", type=click.Choice(["cushion", "throw"]))
@click.option("--pad", metavar="SIZE", help="The pad it is for, 40x40cm: the cover is as large less --ease.")
@click.option("--size", "of_size", metavar="SIZE", help="The finished face instead, 20in x 15in.")
@click.option("--square", metavar="LENGTH", help="With no size: the largest article of squares cut to this.")
@click.option("--count", type=click.IntRange(1, 1000), default=1, metavar="N", help="With --square: so many of it.")
@click.option("--seam", metavar="LENGTH", help="1/2 in when not said; metric 12 mm.")
@click.option("--layers", metavar="N,N", default="1,1", help="Squares over and under the wadding. [default: 1,1]")
@click.option("--shrinks", metavar="%,%", help="What washing takes, along and across: the size is then as washed.")
@click.option("--ease", metavar="LENGTH", help="How much larger the pad is: 1/2 in when not said; metric 1 cm.")
@json_option
def make(kind: str, **said: Any) -> int:
    """Say what the shelf gives: the most articles of a size, or the largest of a square.

    No two alike meet. A cushion has a back of single squares. Sizes are as sewn; with --shrinks the size asked for
    is as washed, and washed cloth is left out.
    """
    from guide.book.shelf import Wanted, largest, of_size
    from guide.show.shelf_lines import choice_lines

    book = book_here()
    inch = book.units == "inch"
    above, below = _layers(said["layers"])
    seam = length(said["seam"] or ("1/2 in" if inch else "12 mm"), "--seam")
    wanted = Wanted(kind, above, below, seam, _shrinks(said["shrinks"]))
    if said["square"]:
        best = largest(book, wanted, length(said["square"], "--square"), said["count"])
        choices, asked = ([best] if best else []), None
    else:
        if bool(said["pad"]) == bool(said["of_size"]):
            raise WrongUse("How large? Say --pad, --size, or --square.")
        ease = length(said["ease"] or ("1/2 in" if inch else "1 cm"), "--ease") if said["pad"] else 0.0
        wide, high = (side - ease for side in size(_both(said["pad"] or said["of_size"]), "--pad"))
        choices, asked = of_size(book, wanted, wide, high)[:6], (wide, high)
    if said["as_json"]:
        say_json(choices)
    else:
        say("\n".join(choice_lines(choices, asked, wanted, book.units)))
    return 0


def _shrinks(text: str | None) -> tuple[float, float] | None:
    """Read `5 %, 3 %`, along the grain and across; give it across and along: cloth's length runs down a face."""
    if text is None:
        return None
    shares = re.fullmatch(r"\s*(\d{1,2}(?:\.\d+)?)\s*%\s*,\s*(\d{1,2}(?:\.\d+)?)\s*%\s*", text)
    if not shares or max(map(float, shares.groups())) >= 50:
        raise WrongUse(f"--shrinks: {text!r} is not what washing takes; write it along and across, like 5 %, 3 %.")
    return float(shares[2]) / 100, float(shares[1]) / 100


def _both(text: str) -> str:
    """Read `40x40cm` as `40cm x 40cm`."""
    first, cross, second = text.replace("×", "x").partition("x")
    unit = second.strip().lstrip("0123456789./ ½¼¾")
    return f"{first}{unit} {cross} {second}" if cross and first.strip()[-1:].isdigit() else text


def _layers(text: str) -> tuple[int, int]:
    parts = text.replace(" ", "").split(",")
    if len(parts) != 2 or not all(part.isdigit() for part in parts) or not 1 <= int(parts[0]) <= 12 >= int(parts[1]):
        raise WrongUse(f"--layers: {text!r} are no layers; write those over and under the wadding, like 2,2.")
    return int(parts[0]), int(parts[1])
