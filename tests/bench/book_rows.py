"""The book: reading and folding it, against a session's journal of as many records."""

from decimal import Decimal

from guide.book.file import fold as fold_book
from guide.book.model import BOOK, Lot, Take
from guide.record.fold import fold
from guide.record.lines import encode, scan
from tests.bench.record_rows import session
from tests.bench.row import Row, best_s, in_turn, sized
from tests.fakes import FakeClock


def book_lines(count: int) -> bytes:
    """A book of so many lines: bought, cut, made, sold, in turn."""
    clock, out = FakeClock(), [{"what": "begun", "format": 1}]
    while len(out) < count:
        n = len(out) + 1
        day = f"2026-{n % 12 + 1:02d}-01"
        out += [
            {"what": "bought", "on": day, "cloth": f"cloth {n % 20}", "lots": [Lot(1100, 500)], "amount": Decimal("9.60")},
            {"what": "cut", "on": day, "session": f"s{n}", "project": "p",
             "takes": [Take(f"{n}", parts=[Lot(150, 150, 14)], left=[Lot(300, 500)])]},
            {"what": "made", "on": day, "tickets": [n], "title": f"article {n % 9}", "cost": Decimal("8.40"), "hours": 2.5},
            {"what": "sold", "on": day, "tickets": [n], "amount": Decimal("95.00"), "fee": Decimal("3.80"), "place": "stall"},
        ]  # fmt: skip
    made = (BOOK.written(n, members, clock.run(60))[1] for n, members in enumerate(out[:count], 1))
    return b"".join(made)


def rows() -> list[Row]:
    """The book's lines of the bench; what grows is the number of its lines."""
    count = sized(10_000, 100)

    def both() -> tuple[float, float]:
        book, journal = book_lines(count), b"".join(encode(event) for event in session(count))
        assert not fold_book(BOOK.scan(book).events).problems
        return in_turn(lambda: fold_book(BOOK.scan(book).events), lambda: fold(scan(journal).events))

    def reading(lines: int) -> float:
        data = book_lines(lines)
        return best_s(lambda: fold_book(BOOK.scan(data).events), 3)

    return [Row("read and fold the book, 10,000 lines", "a journal of as many", both, 1.5, work=reading, unit=500)]
