"""A year of an invented maker: twelve projects, sixty sales, a few orders. All names, prices and shops are made up.

Its lines are the book's own, written by this script: no session was worked for them.

    python -m tests.book.a_year FOLDER

writes FOLDER/sessions/book.jsonl; look at it with `guide book` and `guide book --page book.html` in FOLDER.
"""

import random
import sys
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

from guide.book.file import writing
from guide.book.model import Lot, Take
from tests.fakes import MIDDAY, FakeClock

TODAY = date(2026, 11, 20)  # the day of the tests' clock
# title, size, hours of one, cost of its cloth, what is asked: invented
PROJECTS = (
    ("Window seat cushion", "19 3/8 in × 14 7/16 in", 2.7, "26.50", "140"),
    ("Reading chair cushion", "16 in × 16 in", 2.2, "21.00", "95"),
    ("Bench runner", "40 in × 12 in", 3.4, "24.00", "120"),
    ("Floor quilt", "48 in × 40 in", 9.5, "74.00", "320"),
    ("Lap throw", "44 in × 32 in", 7.0, "58.00", "260"),
    ("Door stop", "8 in × 6 in", 0.8, "6.00", "24"),
    ("Mug mat", "6 in × 6 in", 0.3, "1.80", "9"),
    ("Pot holder", "8 in × 8 in", 0.5, "3.20", "14"),
    ("Market bag", "15 in × 15 in", 2.4, "15.00", "68"),
    ("Bed throw", "70 in × 50 in", 15.0, "130.00", "480"),
    ("Cat cushion", "18 in × 18 in", 1.6, "17.00", "58"),
    ("Wall square", "24 in × 24 in", 3.0, "16.00", "150"),
)
CLOTHS = ("moss check", "oat stripe", "clay dot", "plain linen", "fern leaf")
PLACES = (("spring market", "0"), ("corner shop", "0.30"), ("friends", "0"), ("order", "0"))
BUYERS = ("M. O.", "R. Reed", "B. Elm", "J. Ash", "L. Fen")


def lines(seed: int = 1) -> list[dict]:
    """The year's lines in the order of their days."""
    rng = random.Random(seed)
    out: list[dict] = []
    first = TODAY - timedelta(days=360)
    for week in range(40):
        cloth, on = rng.choice(CLOTHS), first + timedelta(days=week * 9)
        length = rng.choice((457.2, 914.4, 1828.8))
        paid = Decimal(rng.randint(80, 120)) / 10 * Decimal(str(length)) / Decimal("914.4")
        lots = [Lot(1117.6, length, selvedge=12.7)]
        out.append({"what": "bought", "on": on.isoformat(), "cloth": cloth, "lots": lots, "amount": round(paid, 2),
                    "currency": "EUR", "place": "a shop"})  # fmt: skip
    ticket, stock = 1, []
    for at, (title, size, hours, cost, asked) in enumerate(PROJECTS * 2):
        count = {"Mug mat": 8, "Pot holder": 6, "Floor quilt": 1, "Bed throw": 1}.get(title, 3)
        on = first + timedelta(days=10 + at * 14)
        tickets = list(range(ticket, ticket + count))
        ticket += count
        took = round(hours * rng.uniform(0.9, 1.15), 3)
        out.append({"what": "made", "on": on.isoformat(), "tickets": tickets, "title": title, "size": size, "hours": took,
                    "cost": Decimal(cost), "amount": Decimal(asked), "currency": "EUR",
                    "project": title.lower().replace(" ", "-")})  # fmt: skip
        stock += [(one, on, Decimal(asked)) for one in tickets]
    for one, on, asked in rng.sample(stock, 60):
        place, fee = rng.choice(PLACES)
        got = (asked * Decimal(rng.choice(("1", "1", "0.9", "0.8")))).quantize(Decimal("0.50"))
        day = min(on + timedelta(days=rng.randint(3, 60)), TODAY)
        out.append({"what": "sold", "on": day.isoformat(), "tickets": [one], "amount": got, "currency": "EUR",
                    "place": place, "fee": round(got * Decimal(fee), 2)})  # fmt: skip
    for month in (4, 6, 9, 11):
        out.append({"what": "stall", "on": f"2026-{month:02d}-07", "place": "spring market", "amount": Decimal(45),
                    "currency": "EUR", "hours": 6.0})  # fmt: skip
    return sorted([*out, *orders()], key=lambda one: one["on"])


def orders() -> list[dict]:
    """Six orders: one delivered, one called off, two late, two still in time."""
    out = []
    for number, (buyer, at, taken, due) in enumerate(
        (("M. O.", 0, "2026-05-02", "2026-06-01"), ("R. Reed", 4, "2026-07-10", "2026-08-01"),
         ("B. Elm", 2, "2026-09-20", "2026-11-12"), ("J. Ash", 9, "2026-10-01", "2026-11-18"),
         ("L. Fen", 1, "2026-11-05", "2026-12-05"), ("M. O.", 11, "2026-11-10", "2026-12-18")), 1):  # fmt: skip
        title, _, _, _, asked = PROJECTS[at]
        out.append({"what": "ordered", "on": taken, "number": number, "buyer": buyer, "title": title, "count": 1,
                    "amount": Decimal(asked), "deposit": Decimal(20), "currency": "EUR", "due": due})  # fmt: skip
        out.append({"what": "paid", "on": taken, "number": number, "amount": Decimal(20), "currency": "EUR"})
    out.append({"what": "delivered", "on": "2026-06-01", "number": 1, "count": 1})
    out.append({"what": "paid", "on": "2026-06-01", "number": 1, "amount": Decimal(120), "currency": "EUR"})
    out.append({"what": "called_off", "on": "2026-07-20", "number": 2, "why": "moved away"})
    out.append({"what": "paid", "on": "2026-07-20", "number": 2, "amount": Decimal(-20), "currency": "EUR"})
    return out


def written(folder: Path) -> Path:
    """Write the year into a folder of its own, with some of the cloth promised and cut."""
    root = folder / "sessions"
    root.mkdir(parents=True, exist_ok=True)
    clock = FakeClock(wall=MIDDAY - 360 * 86_400_000)
    with writing(root, clock.read(), units="inch", currency="EUR") as writer:
        for line in lines():
            writer.reading = clock.run(3600)
            writer.add(line)
        pieces = list(writer.book.pieces.values())
        for at, piece in enumerate(pieces[: len(pieces) * 3 // 4]):
            wide, long = piece.width / 1e4 - 25.4, piece.length / 1e4
            left = [Lot(round(wide, 1), round(long / 4, 1))] if at % 3 == 0 else []
            take = Take(piece.id, parts=[Lot(152.4, 152.4, int(wide // 152.4) * int(long * 0.7 // 152.4))], left=left)
            writer.add(
                {"what": "cut", "on": TODAY.isoformat(), "session": f"p/{at}.jsonl", "project": "p", "takes": [take]}
            )
        free = list(writer.book.pieces.values())[-2:]
        writer.add({"what": "promised", "on": TODAY.isoformat(), "project": "wall-square", "takes": [Take(free[0].id)]})
    return root / "book.jsonl"


if __name__ == "__main__":
    print(written(Path(sys.argv[1])))
