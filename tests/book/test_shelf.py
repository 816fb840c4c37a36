"""The shelf keeps its cloth: what was bought is cut, scrap, washed away, given, counted off, or lies there."""

import os
from collections import Counter
from decimal import Decimal
from fractions import Fraction

import pytest

from guide.book.file import fold, undo_target
from guide.book.model import BOOK, Lot, Take, Unfit
from guide.book.shelf import shelf_for, still_there
from tests.book.histories import empty_book, history
from tests.fakes import FakeClock
from tests.plan.sums_of import THROW, cushion, read

FULL = bool(os.environ.get("FRAYWORK_FULL"))
HISTORIES = range(2000 if FULL else 150)
SQUARE = 10_000 * 10_000  # square tenths of a micrometre in a mm² [identity]


def sound(writer) -> None:
    """What must hold of any shelf; areas by whole numbers, so to the mm² and beyond."""
    book = writer.book
    assert not book.problems
    left: Counter[str] = Counter()
    for piece in book.pieces.values():
        assert piece.count > 0, "a piece that is not there lies on the shelf"
        assert (piece.width > 0) == (piece.length > 0)
        assert 0 <= book.promised(piece.id) <= piece.count, "promised twice"
        left[piece.cloth] += piece.width * piece.length * piece.count
    for name, flow in book.flows.items():
        gone = flow.cut + flow.scrap + flow.washed_away + flow.given + flow.counted_off
        assert flow.bought == gone + left[name], name
        assert min(flow.cut, flow.scrap, flow.washed_away, flow.given) >= 0
    for these in book.promises.values():
        assert all(one.count > 0 and one.piece in book.pieces for one in these)


def test_bought_cloth_is_all_accounted_for():
    """Random histories: buy, count, wash, promise, cut, give, correct, take back, two projects interleaved."""
    kinds: Counter[str] = Counter()
    for seed in HISTORIES:
        writer = history(seed)
        sound(writer)
        kinds.update(entry.what for entry in writer.file.events)
    wanted = {"bought", "counted", "washed", "parted", "promised", "released", "cut", "given", "voided", "amended"}
    assert min(kinds[what] for what in wanted) > len(HISTORIES) / 20, "some kind of line was hardly ever tried"


def test_bought_areas_are_those_of_the_lines():
    """Bought, by the lines alone: width times length of each lot that stands, as exact fractions of a mm."""
    for seed in HISTORIES[:50]:
        writer = history(seed)
        if any(entry.what in {"voided", "amended"} for entry in writer.file.events):
            continue
        bought: Counter[str] = Counter()
        for entry in writer.file.events:
            lots = entry.lots if entry.what == "bought" else []
            these = [(entry.cloth, one) for one in lots] + [(t.cloth, t.lot) for t in entry.takes if t.lot]
            for cloth, one in these:
                bought[cloth] += Fraction(str(one.width)) * Fraction(str(one.length)) * one.count
        assert {name: Fraction(flow.bought, SQUARE) for name, flow in writer.book.flows.items()} == bought


def test_what_is_taken_back_was_never_done():
    """Undo again and again: each time the book is what it was before that line, and at last it is empty."""
    for seed in HISTORIES[:40]:
        events = history(seed).file.events
        while (n := undo_target(events)) is not None:
            void = BOOK.line(len(events) + 1, "2026-03-02T09:00:00.000Z", 0, 0, 0, "", "voided", of=n)
            events = [*events, void]
            stood = BOOK.line(n, "2026-03-02T09:00:00.000Z", 0, 0, 0, "", "stall", amount=Decimal(0))
            without = [stood if entry.n == n else entry for entry in events[:-1]]
            assert facts(fold(events)) == facts(fold(without))
        assert not fold(events).pieces


def facts(book):
    return (book.pieces, book.flows, book.promises, book.orders, book.booked, list(book.problems.values()))


@pytest.fixture
def writer():
    """A book with 40 in × 30 in of moss check on the shelf (piece 2), three pieces of 20 in × 10 in (3), and zips (4)."""
    writer = empty_book()
    writer.add({"what": "bought", "cloth": "moss check", "lots": [Lot(1016, 762)], "amount": Decimal("12.00")})
    writer.add({"what": "bought", "cloth": "oat stripe", "lots": [Lot(508, 254, count=3)], "amount": Decimal("9.00")})
    writer.add({"what": "bought", "cloth": "zip, 20 in", "lots": [Lot(count=4)], "amount": Decimal("6.00")})
    return writer


@pytest.fixture
def selvedged(writer):
    """The same, with 40 in × 30 in of leaf that has its selvedges (5)."""
    writer.add({"what": "bought", "cloth": "leaf", "lots": [Lot(1016, 762, selvedge=12.7)]})
    return writer


def test_a_cut_is_parts_scrap_and_what_is_left(writer):
    """40 × 30 in, 12 squares of 6 in, 28 × 10 in left: 1200 = 432 + 280 + 488 in² [identity]."""
    inch = 254_000**2  # square tenths of a micrometre in in²
    writer.add(
        {"what": "cut", "project": "one", "session": "one/a.jsonl",
         "takes": [Take("2", parts=[Lot(152.4, 152.4, 12)], left=[Lot(711.2, 254)])]}
    )  # fmt: skip
    flow = writer.book.flows["moss check"]
    assert (flow.bought, flow.cut, flow.scrap) == (1200 * inch, 432 * inch, 488 * inch)
    (left,) = [piece for piece in writer.book.pieces.values() if piece.cloth == "moss check"]
    assert (left.width, left.length, left.straight) == (7_112_000, 2_540_000, True)
    assert left.each == Fraction(12) * 280 / 1200  # its share of what was paid
    sound(writer)


def test_a_piece_may_be_cut_up_whole(writer):
    """40 in × 30 in are 4 × 5 parts of 10 in × 6 in and nothing else: no scrap [identity]."""
    writer.add({"what": "cut", "session": "s", "takes": [Take("2", parts=[Lot(254, 152.4, 20)])]})
    flow = writer.book.flows["moss check"]
    assert (flow.bought, flow.scrap) == (flow.cut, 0)
    assert "2" not in writer.book.pieces


def test_a_piece_in_two_is_as_much_as_it_was_and_cost_as_much(writer):
    """40 in × 30 in for 12.00: 10 in off its end is a third, 4.00; nothing is bought, cut or lost [identity]."""
    writer.add({"what": "parted", "piece": "2", "lots": [Lot(1016, 254), Lot(1016, 508)]})
    (off, rest) = (writer.book.pieces[name] for name in ("5.1", "5.2"))
    assert (off.length, rest.length, off.each, rest.each) == (2_540_000, 5_080_000, 4, 8)
    assert "2" not in writer.book.pieces
    writer.add({"what": "promised", "project": "one", "takes": [Take("5.1")]})
    assert writer.book.free("5.2") == 1
    with pytest.raises(Unfit, match="promised"):
        writer.add({"what": "parted", "piece": "5.1", "lots": [Lot(508, 254), Lot(508, 254)]})
    sound(writer)


def test_of_several_alike_one_is_cut_in_two(writer):
    writer.add({"what": "parted", "piece": "3", "lots": [Lot(254, 254), Lot(254, 254)]})
    assert [(one.id, one.count) for one in writer.book.pieces.values() if one.cloth == "oat stripe"] == [
        ("3", 2), ("5.1", 1), ("5.2", 1)]  # fmt: skip
    sound(writer)


def test_of_several_alike_those_that_are_left_can_still_be_cut(writer):
    """A session cut three of a piece, and one of the three is given away since: two can be booked, and one is told."""
    cut = Take("3", cloth="oat stripe", parts=[Lot(152.4, 152.4)])
    assert still_there(writer.book, [cut] * 3, "one") == ([cut] * 3, [])
    writer.add({"what": "given", "piece": "3", "count": 1})
    assert still_there(writer.book, [cut] * 3, "one") == ([cut] * 2, ["3"])


def test_a_length_on_the_shelf_is_planned_without_its_selvedges(writer):
    """44 in with 1/2 in on each side are 43 in to cut from; washed first, 3 % less: 41.71 in [identity]."""
    writer.add({"what": "bought", "cloth": "leaf", "lots": [Lot(44 * 25.4, 914.4, selvedge=12.7)]})
    cloth = [{"name": "leaf", "width": "44 in", "on_hand": "shelf", "shrinks": {"length": "4 %", "width": "3 %"}}]
    for first, wide in ((False, 43.0), (True, 41.71)):
        project = read(cushion(**THROW | {"prints": cloth, "washed_first": first}))
        (row,) = shelf_for(writer.book, project, "one")[0]["leaf"]
        assert row["width"] == pytest.approx(wide * 25.4)


def test_a_session_is_cut_once(writer):
    cut = {"what": "cut", "project": "one", "session": "one/a.jsonl", "takes": [Take("3", parts=[Lot(100, 100)])]}
    writer.add(cut)
    with pytest.raises(Unfit, match="booked already"):
        writer.add(cut)
    assert writer.book.pieces["3"].count == 2


def test_cloth_that_is_washed_for_it_loses_what_washing_takes(writer):
    """Bought 1000 × 1000 mm, 970 × 950 washed, 900 × 900 cut: 78,500 mm² washed away, 111,500 scrap [identity]."""
    writer.add(
        {"what": "cut", "project": "one", "session": "s", "takes": [
            Take(cloth="clay dot", lot=Lot(1000, 1000), laid=Lot(970, 950), parts=[Lot(300, 300, 9)])]}
    )  # fmt: skip
    flow = writer.book.flows["clay dot"]
    assert (flow.bought, flow.washed_away, flow.cut, flow.scrap) == tuple(
        mm2 * SQUARE for mm2 in (1_000_000, 78_500, 810_000, 111_500)
    )


def test_what_is_left_of_washed_cloth_cost_its_share_of_the_table(writer):
    """1 m² for 10.00, 97 × 95 cm once washed: half of that is left, and cost half, 5.00 [identity]."""
    take = Take(
        cloth="clay dot", lot=Lot(1000, 1000), amount=Decimal(10), laid=Lot(970, 950), left=[Lot(485, 950)],
        parts=[Lot(300, 300)],
    )  # fmt: skip
    writer.add({"what": "cut", "session": "s", "takes": [take]})
    assert writer.book.pieces["5.1"].each == 5


def test_a_selvedge_shrinks_with_its_cloth(writer):
    """10 mm of 1000 are 9.7 of 970 [identity]."""
    writer.add({"what": "bought", "cloth": "leaf", "lots": [Lot(1000, 1000, selvedge=10)]})
    writer.add({"what": "washed", "piece": "5", "lot": Lot(970, 950)})
    assert writer.book.pieces["5"].selvedge == 97_000


def test_a_piece_is_promised_once(writer):
    """Two of three promised to one: one is free for another, and all three for nobody."""
    writer.add({"what": "promised", "project": "one", "takes": [Take("3", 2)]})
    with pytest.raises(Unfit, match="2 of 3 are promised"):
        writer.add({"what": "promised", "project": "two", "takes": [Take("3", 2)]})
    with pytest.raises(Unfit, match="promised"):
        writer.add({"what": "given", "piece": "3", "count": 2})
    with pytest.raises(Unfit, match="promised"):
        writer.add({"what": "promised", "project": "two", "takes": [Take("3"), Take("3")]})
    writer.add({"what": "promised", "project": "two", "takes": [Take("3")]})
    writer.add({"what": "released", "project": "one"})
    assert (writer.book.free("3"), writer.book.free("3", "two")) == (2, 3)


def test_a_count_that_finds_less_takes_the_latest_promise_back(writer):
    writer.add({"what": "promised", "project": "one", "takes": [Take("3")]})
    writer.add({"what": "promised", "project": "two", "takes": [Take("3", 2)]})
    writer.add({"what": "counted", "piece": "3", "lot": Lot(count=2)})
    assert [(who, one.count) for who, these in writer.book.promises.items() for one in these] == [
        ("one", 1),
        ("two", 1),
    ]
    (found,) = writer.book.counts
    assert (found.now[0], found.was[0]) == (2, 3)
    sound(writer)


def test_what_was_cut_cannot_be_taken_off_its_purchase(writer):
    """A purchase that later lines rest on is not taken back, nor made smaller than what was cut of it."""
    writer.add({"what": "given", "piece": "2", "count": 1})
    before = len(writer.file.events)
    with pytest.raises(Unfit, match="Line 5 rests on it"):
        writer.add({"what": "voided", "of": 2})
    assert len(writer.file.events) == before
    writer.add({"what": "voided", "of": 5})
    writer.add({"what": "voided", "of": 2})
    assert "2" not in writer.book.pieces


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ({"what": "cut", "session": "s", "takes": [Take("2", parts=[Lot(1016, 763)])]}, "cuts more out of"),
        ({"what": "cut", "session": "s", "takes": [Take("4", parts=[Lot(10, 10)])]}, "no cloth"),
        ({"what": "cut", "session": "s", "takes": [Take("2"), Take("2")]}, "takes 2 of piece 2, and there are 1"),
        ({"what": "washed", "piece": "2", "lot": Lot(1017, 762)}, "no size it can come to"),
        ({"what": "used", "piece": "4", "count": 5}, "there are 4"),
        ({"what": "parted", "piece": "2", "lots": [Lot(1016, 254), Lot(1016, 507.9999)]}, "does not come to it"),
        ({"what": "parted", "piece": "2", "lots": [Lot(508, 762), Lot(508.0001, 762)]}, "does not come to it"),
        ({"what": "parted", "piece": "2", "lots": [Lot(1016, 762)]}, "into nothing"),
        ({"what": "parted", "piece": "5", "lots": [Lot(500, 762), Lot(516, 762)]}, "does not come to it"),  # selvedges
        ({"what": "parted", "piece": "4", "lots": [Lot(count=2), Lot(count=2)]}, "into nothing"),
        ({"what": "used", "piece": "2", "count": 1}, "it is cloth"),
        ({"what": "bought", "cloth": "x", "lots": [Lot(10, 10), Lot()]}, "under one name"),
        ({"what": "bought", "cloth": "x", "lots": [Lot()], "amount": Decimal("Infinity")}, "a sum that is none"),
        ({"what": "released", "project": "one"}, "nothing is"),
    ],
)
def test_what_does_not_fit_is_refused_and_leaves_no_line(selvedged, line, why):
    writer = selvedged
    before = writer.file.events[:]
    with pytest.raises(Unfit, match=why):
        writer.add(line)
    assert writer.file.events == before


def test_a_kind_of_a_later_version_is_kept(writer):
    clock = FakeClock().read()
    line = BOOK.written(5, {"what": "given", "piece": "3", "count": 1}, clock)[1]
    from zlib import crc32

    body = line.replace(b'"given"', b'"mended"')[: -len(b',"crc":"00000000"}\n')] + b"}"
    later = BOOK.decode(body[:-1] + b',"crc":"%08x"}' % crc32(body))
    book = fold([*writer.file.events, later])
    assert [entry.what for entry in book.unknown] == ["mended"]
    assert book.pieces == writer.book.pieces


def test_no_line_takes_itself_back_or_one_to_come(writer):
    """A correction is of an earlier line; any other is told and left out."""
    clock = "2026-03-02T09:00:00.000Z"
    for of in (5, 6, 0):
        fix = BOOK.line(5, clock, 0, 0, 0, "", "voided", of=of)
        assert fold([*writer.file.events, fix]).problems == {5: "corrects no earlier line"}


def anything(rng) -> dict:
    """Members that a line may hold by its types, whether they make sense or not."""
    lots = [
        Lot(rng.choice((0.0, 0.5, 300.0, 1e7)), rng.choice((0.0, 300.0)), rng.choice((0, 1, 100_000))) for _ in range(2)
    ]
    takes = [Take(rng.choice(("", "1", "2", "2.1")), rng.choice((0, 1, 3)), laid=rng.choice((None, lots[0])),
                  lot=rng.choice((None, lots[1])), parts=lots[:1], left=lots[1:])]  # fmt: skip
    money = (None, Decimal(0), Decimal("-1"), Decimal("1e12"), Decimal("Infinity"), Decimal("NaN"), Decimal("9.60"))
    some = {
        "on": rng.choice(("", "2026-03-01", "soon", "2026-02-30")), "due": rng.choice(("", "2026-03-01", "x")),
        "cloth": rng.choice(("", "moss")), "lots": rng.choice(([], lots)), "takes": rng.choice(([], takes)),
        "piece": rng.choice(("", "1", "2")), "lot": rng.choice((None, lots[0])), "count": rng.choice((0, 1, 9)),
        "project": rng.choice(("", "p")), "session": rng.choice(("", "s")), "number": rng.choice((0, 1, 2)),
        "tickets": rng.choice(([], [1], [1, 1], [1, 2], [0])), "buyer": rng.choice(("", "M. Oak")), "amount": rng.choice(money),
        "cost": rng.choice(money), "fee": rng.choice(money), "tax": rng.choice(money), "currency": rng.choice(("", "EUR")),
        "hours": rng.choice((0.0, 2.5)), "place": rng.choice(("", "stall")), "text": rng.choice(("", "M. O.")),
        "offer": rng.choice((None, {"a": ["M. Oak"]})), "quotation": rng.choice((0, 1)), "of": rng.choice((0, 1, 2, 5, 99)),
        "set": rng.choice((None, {"amount": "x"}, {"count": -1}, {"n": 3}, {"lots": [{"width": -1}]}, {"cloth": "oat"})),
    }  # fmt: skip
    return {name: some[name] for name in rng.sample(sorted(some), rng.randint(0, len(some)))}


def test_any_list_of_lines_is_folded():
    """However ill-formed: nothing is raised, what cannot be followed is told, and what stands is sound."""
    import random

    from guide.book.answers import ledger
    from guide.book.model import ALWAYS, KINDS
    from guide.show.book_lines import book_lines, book_report

    told = 0
    for seed in range(1000 if FULL else 150):
        rng, at = random.Random(seed), "2026-03-02T09:00:00.000Z"
        kinds = sorted(KINDS)
        lines = [BOOK.line(n, at, 0, 0, 0, "", rng.choice(kinds), **anything(rng)) for n in range(1, 40)]
        book = fold(lines)
        assert all(piece.count >= 0 and book.promised(piece.id) <= piece.count for piece in book.pieces.values())
        assert ledger(book, ALWAYS) is not None
        assert book_lines(book_report(book, "2026-03-02", ALWAYS), 80)
        told += len(book.problems)
    assert told
