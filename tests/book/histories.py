"""Random histories of a shelf, and a book kept in memory: lines go in by the program's own writer."""

import random
from decimal import Decimal

from guide.book.file import Writer
from guide.book.model import BOOK, Entry, Lot, Piece, Take, Unfit
from tests.fakes import FakeClock


class MemoryFile:
    """Takes lines as the book's file does, without a disk."""

    torn = None

    def __init__(self) -> None:
        self.events: list[Entry] = []

    def append_all(self, many, reading) -> None:
        for members in many:
            self.events.append(BOOK.written(len(self.events) + 1, members, reading)[0])


def empty_book() -> Writer:
    writer = Writer(MemoryFile(), FakeClock().read())
    writer.add({"what": "begun", "format": 1, "units": "inch", "currency": "EUR"})
    return writer


CLOTHS = ("moss check", "oat stripe", "clay dot")
PROJECTS = ("one", "two")


def lot(rng: random.Random, most: float = 1200.0) -> Lot:
    """A size as people measure: sixteenths of an inch, or mm."""
    step = 25.4 / 16 if rng.random() < 0.5 else 1.0
    sides = (round(rng.randint(40, round(most / step)) * step, 4) for _ in range(2))
    return Lot(*sides, count=rng.choice((1, 1, 2, 5)))


def part_of(rng: random.Random, base: Lot) -> tuple[list[Lot], list[Lot]]:
    """Parts and left-overs from two halves of a piece, never more than it is."""
    wide, long = base.width, round(base.length / 2, 1)
    parts = [Lot(round(wide / 4, 1), round(long / 3, 1), rng.randint(1, 10))]
    left = [Lot(round(wide * rng.random(), 1), round(long * rng.random() * 0.9, 1))]
    return parts, [one for one in left if one.width and one.length]


def halves(rng: random.Random, there: Piece | None) -> list[Lot]:
    """A piece in two, right across or along the grain; now and then a hair more than there is of it."""
    wide, long = (there.width / 1e4, there.length / 1e4) if there else (500.0, 400.0)
    more = rng.choice((0.0, 0.0, 0.0, 0.1))
    if rng.random() < 0.5:
        off = round(long * rng.choice((0.25, 0.5)), 1)
        return [Lot(wide, off), Lot(wide, round(long - off + more, 4))]
    off = round(wide * rng.choice((0.25, 0.5)), 1)
    return [Lot(off, long), Lot(round(wide - off + more, 4), long)]


def step(rng: random.Random, writer: Writer, sessions: list[str]) -> dict:
    """The next line somebody might write, whether it fits or not."""
    pieces = list(writer.book.pieces.values())
    some = rng.choice(pieces).id if pieces and rng.random() < 0.97 else "99"
    what = rng.choices(
        ("bought", "counted", "washed", "parted", "promised", "released", "cut", "given", "voided", "amended"),
        (6, 2, 2, 2, 3, 1, 5, 1, 2, 1),
    )[0]
    if what == "bought":
        lots = [lot(rng) for _ in range(rng.choice((1, 1, 3)))]
        return {
            "what": what,
            "cloth": rng.choice(CLOTHS),
            "lots": lots,
            "amount": Decimal(rng.randint(100, 9000)) / 100,
        }
    if what == "counted":
        return {"what": what, "piece": some, "lot": rng.choice((Lot(count=rng.randint(0, 4)), lot(rng)))}
    if what == "washed":
        there = writer.book.pieces.get(some)
        wide, long = (there.width / 1e4, there.length / 1e4) if there else (500, 500)
        return {
            "what": what,
            "piece": some,
            "lot": Lot(round(wide * 0.97, 1), round(long * rng.choice((0.95, 1.02)), 1)),
        }
    if what == "parted":
        return {"what": what, "piece": some, "lots": halves(rng, writer.book.pieces.get(some))}
    if what == "promised":
        takes = [Take(some, rng.randint(1, 3)), *([Take(rng.choice(pieces).id)] if pieces else [])]
        return {"what": what, "project": rng.choice(PROJECTS), "takes": takes}
    if what == "released":
        return {"what": what, "project": rng.choice(PROJECTS)}
    if what == "cut":
        return cut(rng, writer, sessions, some)
    if what == "given":
        return {"what": what, "piece": some, "count": rng.randint(1, 2)}
    of = rng.randint(1, len(writer.file.events))
    if what == "voided":
        return {"what": what, "of": of}
    return {"what": what, "of": of, "set": rng.choice(({"cloth": "clay dot"}, {"count": 2}, {"amount": "5.00"}))}


def cut(rng: random.Random, writer: Writer, sessions: list[str], some: str) -> dict:
    """Cut one piece of the shelf and one bought for it, washed first or not."""
    there = writer.book.pieces.get(some)
    base = Lot(there.width / 1e4, there.length / 1e4) if there and there.width else lot(rng)
    takes = [Take(some, parts=parts, left=left) for parts, left in [part_of(rng, base)]]
    if rng.random() < 0.5:
        bolt = lot(rng)
        bolt = Lot(bolt.width, bolt.length)
        laid = Lot(round(bolt.width * 0.97, 4), round(bolt.length * 0.95, 4)) if rng.random() < 0.5 else None
        parts, left = part_of(rng, laid or bolt)
        takes.append(
            Take(cloth=rng.choice(CLOTHS), lot=bolt, laid=laid, parts=parts, left=left, amount=Decimal("7.20"))
        )
    sessions.append(f"s{len(sessions)}")
    return {"what": "cut", "project": rng.choice(PROJECTS), "session": sessions[-1], "takes": takes, "currency": "EUR"}


def history(seed: int, length: int = 30) -> Writer:
    """A book after so many tries; what does not fit is refused and leaves no line."""
    rng = random.Random(seed)
    writer, sessions = empty_book(), []
    for _ in range(length):
        before = len(writer.file.events)
        try:
            writer.add({"on": "2026-03-01"} | step(rng, writer, sessions))
        except Unfit:
            assert len(writer.file.events) == before
    return writer
