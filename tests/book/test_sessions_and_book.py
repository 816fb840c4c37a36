"""The session's record comes first; what the book lacks of it is offered, once, whatever was killed when."""

import io
import json
import os
import re
import signal
from decimal import Decimal

import pytest

from guide import system
from guide.book.file import read_book, read_entries, writing
from guide.record.journal import read_journal
from guide.record.sessions import sessions_below
from tests.commands.worked import worked
from tests.fakes import FakeClock, run
from tests.record.faults import FULL
from tests.record.keeping import in_child

DEMO = "sessions/window-seat-cushion"


def usual(step) -> float:
    return step.pace_s


@pytest.fixture
def shelved(workshop, guide):
    """The demo cuts its moss check from the shelf: a piece of 20 in × 18 in, and five squares ready cut."""
    path = workshop / DEMO / "project.yaml"
    text, count = re.subn(
        r"(\{name: moss check[^\n]*\})\}\n", r"\1, on_hand: shelf}\n", path.read_text(encoding="utf-8")
    )
    assert count == 1
    path.write_text(text, encoding="utf-8")
    assert guide("shelf", "add", "moss check", "--piece", "20in x 18in", "--paid", "3.00").code == 0
    assert guide("shelf", "add", "moss check", "--squares", "5", "--size", "6in x 6in", "--paid", "2.00").code == 0
    assert guide("shelf", "add", "cushion pad", "--number", "2", "--paid", "14.00").code == 0
    return path


def test_a_session_cuts_the_shelf_and_gets_its_tickets(shelved, guide):
    """20 squares of 6 in, 6 from the piece (360 − 216 = 144 in² scrap, too small to keep), 5 ready, 9 bought.

    Bought: 13 1/2 in of a 44 in cloth for 3.60 (3/8 yd at 9.60), straightened by 1 in, 9 squares in two strips of
    6 in; of seven to a strip five places stay free: 31 in × 6 in left over [identity].
    """
    worked(DEMO, 0, usual)
    said = guide("book", "enter", "--yes")
    assert said.code == 0
    book = read_book("sessions")
    assert not book.problems
    (left,) = [piece for piece in book.pieces.values() if piece.cloth == "moss check"]
    assert (left.width, left.length) == (31 * 254_000, 6 * 254_000)
    flow, inch = book.flows["moss check"], 254_000**2
    assert flow.bought == round((360 + 5 * 36 + 44 * 13.5) * inch)
    assert (flow.cut, flow.scrap) == (20 * 36 * inch, flow.bought - (20 * 36 + 31 * 6) * inch)
    assert book.spent[-1][2:] == (Decimal("3.60"), "EUR")
    (article,) = book.articles.values()
    assert (article.ticket, article.session) == (1, "window-seat-cushion/2026-03-01.jsonl")
    assert [piece.count for piece in book.pieces.values() if piece.cloth == "cushion pad"] == [1]
    assert "lacks nothing" in guide("book", "enter", "--yes").err


def test_what_paper_tells_of_was_cut_and_made_on_its_days(shelved, guide):
    """Typed in on 20 November: cut on the second, done on the ninth; a note written later makes it no younger."""
    steps = json.loads(guide("plan", DEMO, "--json").out)["steps"]
    cut = sum(step["stage"] == "cut" for step in steps)
    lines = (
        f"steps 1-{cut}, 2026-11-02, 9:00 to 10:00",
        f"steps {cut + 1}-{len(steps)}, 2026-11-09, 9:00 to 17:00, 9 out, 9 in",
    )
    assert guide("amend", DEMO, "--new", *(one for line in lines for one in ("--enter", line))).code == 0
    assert guide("amend", DEMO, "--enter", "note: a present").code == 0
    assert guide("book", "enter", "--yes").code == 0
    assert [(one.what, one.on) for one in read_entries("sessions")[0] if one.session] == [
        ("cut", "2026-11-02"),
        ("made", "2026-11-09"),
    ]


def test_an_old_plan_never_changes_with_the_shelf(shelved, guide):
    """What lay on the shelf is kept in the session's first record: its log tells the same when the shelf is empty."""
    path = worked(DEMO, 0, usual)
    assert "shelf:" in read_journal(path).events[0].stages["the shelf"]
    before = guide("price", str(path), "--json").out, guide("log", str(path), "-o", "-", "--markdown").out
    assert guide("shelf", "give", "2").code == 0
    assert guide("shelf", "count", "3", "--number", "0").code == 0
    after = guide("price", str(path), "--json").out, guide("log", str(path), "-o", "-", "--markdown").out
    assert after == before
    assert "20 in × 18 in" not in guide("plan").out


def test_a_plan_writes_nothing_and_what_is_promised_is_not_offered_twice(shelved, guide, workshop):
    other = workshop / "sessions" / "other"
    other.mkdir()
    (other / "project.yaml").write_text(shelved.read_text(encoding="utf-8"), encoding="utf-8")
    before = (workshop / "sessions" / "book.jsonl").read_bytes()
    assert "20 in × 18 in" in guide("plan", str(other)).out
    assert (workshop / "sessions" / "book.jsonl").read_bytes() == before
    assert guide("shelf", "use", DEMO).code == 0
    assert "20 in × 18 in" in guide("plan", DEMO).out
    assert "20 in × 18 in" not in guide("plan", str(other)).out
    assert guide("shelf", "use", str(other)).code == 2
    assert guide("shelf", "release", DEMO).code == 0
    assert "20 in × 18 in" in guide("plan", str(other)).out


def test_nothing_is_entered_before_the_cutting_is_done(shelved, guide):
    first_cut = next(step.key for step in plan_steps() if step.stage == "cut")
    worked(DEMO, 0, usual, until=first_cut)
    assert "lacks nothing" in guide("book", "enter", "--yes").err
    assert read_book("sessions").pieces["2"].count == 1


def plan_steps():
    from pathlib import Path

    from guide.commands.sessions import open_here, plan_of

    return plan_of(open_here(Path(DEMO))).steps


def test_a_no_is_kept_and_not_asked_again(shelved, guide, monkeypatch):
    worked(DEMO, 0, usual)
    monkeypatch.setattr("click.confirm", lambda *_, **__: False)
    assert "Left out of the book" in guide("book", "enter").err
    monkeypatch.setattr("click.confirm", lambda *_, **__: pytest.fail("asked again"))
    assert "lacks nothing" in guide("book", "enter").err
    assert read_book("sessions").pieces["2"].count == 1


def dies_at(argv: list[str], nth: int, after: bool) -> str:
    """Run a command that is killed at its nth write or sync, before or after that was done."""
    left = [nth]

    def deadly(real):
        def call(*args):
            left[0] -= 1
            if not left[0] and not after:
                os.kill(os.getpid(), signal.SIGKILL)
            out = real(*args)
            if not left[0]:
                os.kill(os.getpid(), signal.SIGKILL)
            return out

        return call

    system.sync, os.write = deadly(system.sync), deadly(os.write)
    return f"ended {run(argv)}"


@pytest.mark.parametrize("after", [False, True])
def test_killed_at_any_point_book_and_session_agree_after_the_next_start(shelved, guide, after):
    """The book holds all of a session or is offered the rest; never half a line that counts, never anything twice."""
    path = worked(DEMO, 0, usual)
    session = path.read_bytes()
    whole = (shelved.parent.parent / "book.jsonl").read_bytes()
    for nth in range(1, 12):
        (shelved.parent.parent / "book.jsonl").write_bytes(whole)
        ended = in_child(dies_at, ["book", "enter", "--yes"], nth, after)
        assert path.read_bytes() == session
        entries, damage = read_entries("sessions")
        assert damage is None or damage.kind == "torn"
        assert len(entries) >= 4
        said = guide("book", "enter", "--yes")
        assert said.code == 0, said.err
        assert [entry.what for entry in read_entries("sessions")[0] if entry.what in {"cut", "made"}] == ["cut", "made"]
        assert not read_book("sessions").problems
        assert "lacks nothing" in guide("book", "enter", "--yes").err
        if ended:
            break
    assert ended == "ended 0", "it was never let through: the loop says nothing of later writes"


def test_a_torn_line_is_set_aside_and_told(shelved, guide):
    book = shelved.parent.parent / "book.jsonl"
    data = book.read_bytes()
    for cut in range(len(data) - 40, len(data), 1 if FULL else 13):
        book.write_bytes(data[:cut])
        assert guide("shelf").code == 0
        assert book.read_bytes() == data[:cut], "a reader touched it"
        said = guide("shelf", "add", "clay dot", "--piece", "10in x 10in")
        assert said.code == 0
        assert "set aside" in said.err
        assert not read_book("sessions").problems
        for torn in book.parent.glob("book.jsonl.torn-*"):
            torn.unlink()


def test_a_damaged_book_is_shown_in_part_and_not_written(shelved, guide):
    book = shelved.parent.parent / "book.jsonl"
    data = bytearray(book.read_bytes())
    data[data.index(b"20in") if b"20in" in data else 300] ^= 1
    book.write_bytes(bytes(data))
    said = guide("shelf", "add", "clay dot", "--piece", "10in x 10in")
    assert said.code == 5
    assert book.read_bytes() == bytes(data)
    for argv in (["check", str(book)], ["shelf"], ["book"], ["sell"], ["order"], ["export", "book"]):
        assert guide(*argv).code == 5, argv


def test_two_at_the_book_one_is_told(shelved, guide):
    with writing("sessions", FakeClock().read()):
        said = guide("shelf", "add", "clay dot", "--piece", "10in x 10in")
        assert said.code == 4
        assert "open in another window" in said.err
        assert guide("shelf").code == 0, "a reader waits for nobody"
    assert guide("shelf", "add", "clay dot", "--piece", "10in x 10in").code == 0


def test_the_book_is_no_session(shelved, guide):
    """Nothing that goes through the sessions takes it for one."""
    worked(DEMO, 0, usual)
    assert [path.name for path in sessions_below("sessions")] == ["2026-03-01.jsonl"]
    for argv in (["history"], ["paces"], ["export", "all"], ["log"], ["plan"]):
        assert "book" not in guide(*argv).err
    assert "is the book" in guide("log", "sessions/book.jsonl").err


def test_nothing_begins_a_book_but_what_writes_in_it(workshop, guide):
    for argv in (["plan"], ["shelf"], ["history"]):
        assert guide(*argv).code == 0
    assert not (workshop / "sessions" / "book.jsonl").exists()


def test_without_a_book_the_shelf_is_empty_and_nothing_else_changes(shelved, guide):
    """`on_hand: shelf` with no book: all is bought, a session is begun, priced and logged."""
    (shelved.parent.parent / "book.jsonl").unlink()
    assert re.search(r"moss check +from the bolt", guide("plan").out)
    path = worked(DEMO, 0, usual)
    assert guide("log", str(path), "-o", "-").code == 0
    assert guide("price", str(path)).code == 0
    assert not (shelved.parent.parent / "book.jsonl").exists()


def test_a_session_taken_up_again_keeps_the_shelf_it_began_with(shelved, guide, monkeypatch):
    """The shelf changes under it: nothing is asked, and its cutting is as it was."""
    monkeypatch.setattr("sys.stdin", io.StringIO("\nq\n"))
    assert guide("follow", DEMO, "--plain").code == 0
    (path,) = sessions_below("sessions")
    before = guide("price", str(path), "--json").out
    assert guide("shelf", "give", "2").code == 0
    monkeypatch.setattr("sys.stdin", io.StringIO("q\n"))
    said = guide("follow", DEMO, "--plain")
    assert said.code == 0
    assert "changed" not in said.out
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    assert (
        json.loads(guide("price", str(path), "--json").out)["costs"]["materials"]
        == json.loads(before)["costs"]["materials"]
    )


def test_american_and_odd_names_of_cloth_are_kept(shelved, guide):
    """Quotes, colons and braces in a cloth's name: kept with the session, read again."""
    name = "moss: 'check' {no. 1}"
    text = shelved.read_text(encoding="utf-8").replace("moss check", json.dumps(name))
    shelved.write_text(text, encoding="utf-8")
    assert guide("shelf", "add", name, "--piece", "20in x 18in").code == 0
    path = worked(DEMO, 0, usual)
    assert guide("price", str(path)).code == 0
    assert "20 in × 18 in" in guide("plan").out


def test_a_piece_that_is_gone_holds_nothing_else_up(shelved, guide):
    """Given away before its cut was entered: it is told and left out, the squares and the article come in."""
    worked(DEMO, 0, usual)
    assert guide("shelf", "give", "2").code == 0
    said = guide("book", "enter", "--yes")
    assert said.code == 0
    assert "cut piece 2, which is no more on the shelf" in said.err
    book = read_book("sessions")
    assert "3" not in book.pieces
    assert list(book.articles) == [1]
    assert not book.problems


def test_a_piece_of_another_cloth_is_not_cut(shelved, guide):
    """A book begun anew has other cloth under the same number."""
    worked(DEMO, 0, usual)
    (shelved.parent.parent / "book.jsonl").unlink()
    guide("shelf", "add", "fern leaf", "--piece", "40in x 40in")
    assert guide("book", "enter", "--yes").code == 0
    assert read_book("sessions").pieces["2"].cloth == "fern leaf"


def washing_first(shelved) -> None:
    text = shelved.read_text(encoding="utf-8")
    assert text.count("washed_first: false") == 1
    shelved.write_text(text.replace("washed_first: false", "washed_first: true"), encoding="utf-8")


def test_a_piece_that_is_washed_for_it_is_cut_as_washing_leaves_it(shelved, guide):
    """20 in × 18 in, 3 % gone across and 4 % along: 19.4 in × 17.28 in on the table; the squares of 6 in are smaller then.

    Washed away of it: 360 − 19.4 · 17.28 = 24.768 in² [identity]; the bolt bought for it is washed too.
    """
    washing_first(shelved)
    assert "≈ 19 3/8 in × ≈ 17 1/4 in" in guide("plan").out
    worked(DEMO, 0, usual)
    assert guide("book", "enter", "--yes").code == 0
    book, inch = read_book("sessions"), 254_000**2
    (cut,) = [entry for entry in read_entries("sessions")[0] if entry.what == "cut"]
    piece = next(take for take in cut.takes if take.piece == "2")
    assert (piece.laid.width, piece.laid.length) == (round(19.4 * 25.4, 4), round(17.28 * 25.4, 4))
    bolts = [take for take in cut.takes if take.lot is not None]
    gone = 24.768 * inch + sum(
        (t.lot.width * t.lot.length - t.laid.width * t.laid.length) * 1e8 for t in bolts if t.cloth == "moss check"
    )
    flow = book.flows["moss check"]
    squares = sum(t.laid is not None for t in cut.takes if t.piece == "3") * (36 - 36 * 0.97 * 0.96) * inch
    assert flow.washed_away == pytest.approx(gone + squares, rel=1e-6)
    assert not book.problems


def test_washed_cloth_is_left_out_where_none_is_washed_first(shelved, guide):
    """Cloth in one article is treated alike, and it is said which piece is left out."""
    assert guide("shelf", "wash", "2", "--to", "19in x 17in").code == 0
    said = guide("plan")
    assert "piece 2 of the shelf is washed" in said.err
    assert "19 in × 17 in" not in said.out
    washing_first(shelved)
    assert "19 in × 17 in" in guide("plan").out


def test_of_two_made_at_once_each_has_half_of_hours_and_materials(workshop, guide):
    """What guide price says the session took, by two [identity]."""
    path = workshop / DEMO / "project.yaml"
    path.write_text(re.sub(r"(?m)^make: 1\b", "make: 2", path.read_text(encoding="utf-8")), encoding="utf-8")
    session = worked(DEMO, 0, usual)
    assert guide("book", "enter", "--yes").code == 0
    costs = json.loads(guide("price", str(session), "--json").out)["costs"]
    one, other = read_book("sessions").articles.values()
    assert (one.ticket, other.ticket) == (1, 2)
    assert one.hours == other.hours == pytest.approx(costs["hours"] / 2, abs=1e-6)
    assert abs(one.cost * 2 - Decimal(costs["materials"])) <= Decimal("0.01")
