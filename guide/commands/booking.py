"""What sessions have and the book lacks: cloth that was cut, and what was made. Offered once, after one question."""

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import click

from guide.book.file import Writer
from guide.book.model import Book, Entry, Take
from guide.book.shelf import cut_by, still_there
from guide.commands.common import SESSIONS, clock, talk
from guide.commands.entries import book_here, book_open, only_given, sessions_name
from guide.commands.sessions import SHELF, At, read_session
from guide.errors import GuideError
from guide.money.glean import counted_labour_s
from guide.money.quote import price_session
from guide.plan.model import Plan
from guide.plan.shopping import cents
from guide.read.places import shown
from guide.read.spoken import counted, listed
from guide.read.units import show_length
from guide.record.clock import local
from guide.record.model import Record
from guide.record.sessions import book_file, opening_of, sessions_below

CUTTING = "cut"  # the stage that cuts the cloth
FEW = 3  # sessions that are offered without being asked for


def lacking(book: Book, root: Path = SESSIONS) -> list[Path]:
    """Give the sessions of real work, oldest first, that the book may lack something of; none that was passed over."""
    out = []
    for path in sessions_below(root):
        done = book.booked.get(sessions_name(path), set())
        if "passed" in done or "made" in done:
            continue
        head = opening_of(path)
        if head is not None and (head.mode or "real") == "real":
            out.append(path)
    return sorted(out, key=lambda path: path.name)


def lines_for(path: Path, book: Book) -> list[dict[str, Any]]:
    """Give the lines the book lacks of a session, as it stands; none when it lacks nothing yet."""
    at = read_session(path)
    record, plan = at.record, at.plan
    if record is None:
        return []
    name, done = sessions_name(path), book.booked.get(sessions_name(path), set())
    head: dict[str, Any] = {"project": path.resolve().parent.name, "session": name, "title": plan.project.title}
    last = record.last or clock().read()
    head["on"] = f"{local(last.wall, last.offset):%Y-%m-%d}"
    out: list[dict[str, Any]] = []
    wanted = cut_by(plan, at.language.beside.get(SHELF, {})) if "cut" not in done and cut_done(plan, record) else []
    takes, gone = still_there(book, wanted, head["project"])
    for piece in gone:
        talk(f"{shown(path)} cut piece {piece}, which is no more on the shelf as it was: left out.")
    if takes:
        out.append(head | {"what": "cut", "takes": takes, "currency": plan.project.currency})
    if record.closed and "made" not in done:
        out.append(head | {"what": "made", "tickets": tickets(book, plan.project.make)} | made(at, record, book))
    return out


def cut_done(plan: Plan, record: Record) -> bool:
    """Whether all that cuts the cloth is over."""
    steps = [step for step in plan.steps if step.stage == CUTTING]
    return bool(steps) and all(record.step(step.key).over for step in steps)


def tickets(book: Book, count: int) -> list[int]:
    """Give the next free ticket numbers."""
    first = max(book.articles, default=0) + 1
    return list(range(first, first + count))


def made(at: At, record: Record, book: Book) -> dict[str, Any]:
    """Give what is to be said of each article made: its cost, hours, size and price; and the things it took."""
    plan, make = at.plan, max(at.plan.project.make, 1)
    quoted = price_session(plan, record)
    names = ("washed_width", "washed_height") if plan.number("washed_width") else ("face_width", "face_height")
    sides = [side for name in names if (side := plan.number(name))]
    return only_given({
        "cost": cents(quoted.costs.materials / make),
        "currency": plan.project.currency,
        "hours": round(counted_labour_s(record) / 3600 / make, 6),
        "amount": None if quoted.unpriced else quoted.price.paid,
        "size": " × ".join(show_length(side, plan.project.units) for side in sides),
        "takes": _things(plan, book),
    })  # fmt: skip


def _things(plan: Plan, book: Book) -> list[Take]:
    """Give the zips and pads on the shelf that are called what the shopping list calls them."""
    takes: list[Take] = []
    for line in plan.shopping:
        left = int(line.quantity) if line.counter == "notions" else 0
        for piece in book.pieces.values():
            count = min(left, book.free(piece.id)) if piece.cloth == line.item and not piece.area else 0
            if count > 0:
                takes.append(Take(piece.id, count))
                left -= count
    return takes


def told(lines: Iterable[dict[str, Any]]) -> str:
    """Say in one sentence what lines would put into the book."""
    says = []
    for line in lines:
        takes: list[Take] = line.get("takes", [])
        if line["what"] == "cut":
            bought = [take.cloth for take in takes if take.lot is not None]
            pieces = [f"piece {take.piece}" for take in takes if take.lot is None]
            left = sum(len(take.left) for take in takes)
            says.append(
                f"cut: {listed([*dict.fromkeys(pieces), *(f'{name}, bought for it' for name in bought)])}; "
                f"{counted(left, 'piece')} left over"
            )
        else:
            given = line["tickets"]
            numbers = f"{given[0]}" if len(given) == 1 else f"{given[0]} to {given[-1]}"
            says.append(f"made: {counted(len(given), 'article')}, ticket {numbers}")
    return "; ".join(says)


def enter(writer: Writer, path: Path, *, sure: bool) -> bool:
    """Ask, and write what the book lacks of a session; a no is kept, so that it is asked once."""
    lines = lines_for(path, writer.book)
    if not lines:
        return False
    says = told(lines)
    if not sure and not click.confirm(f"Into the book, of {shown(path)}? {says[0].upper()}{says[1:]}", True, err=True):
        writer.add({"what": "passed", "session": sessions_name(path), "on": lines[0]["on"]})
        talk(f"Left out of the book. It can be entered all the same: guide book enter {shown(path)}")
        return True
    entries = writer.add(*lines)
    talk(f"In the book, {says}.{_left_over(entries)}")
    return True


def _left_over(entries: list[Entry]) -> str:
    left = [f"{entry.n}.{place + 1}" for entry in entries for place in range(sum(len(t.left) for t in entry.takes))]
    return f" Left over, on the shelf: piece {listed(left)}." if left else ""


def offer_all() -> None:
    """Offer what the book lacks of all sessions, one after another. Without a book nothing is offered."""
    paths = lacking(book_here()) if book_file(SESSIONS).exists() else []
    if len(paths) > FEW:
        talk(
            f"{counted(len(paths), 'session')} may have what the book lacks; it is asked of each with: guide book enter"
        )
        return
    for path in paths:
        offer(path)


def offer(path: Path) -> None:
    """Offer what the book lacks of the session just left. Where nobody can be asked, say how; a fault stops nobody."""
    try:
        book = book_here()
        done = book.booked.get(sessions_name(path), set())
        head = opening_of(path)
        if "passed" in done or "made" in done or head is None or head.mode != "real":
            return
        if not (lines := lines_for(path, book)):
            return
        if not sys.stdin.isatty():
            did = listed([line["what"] for line in lines])
            talk(f"The book lacks what {shown(path)} {did}: guide book enter")
            return
        with book_open() as writer:
            enter(writer, path, sure=False)
    except GuideError as error:
        talk(f"The session is saved. The book is not written: {error}")
