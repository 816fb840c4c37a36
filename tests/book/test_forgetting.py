"""Buyers' names: in the book alone; forgotten, initials in all later reads; rewritten, out of its bytes."""

from pathlib import Path

from guide.book.file import hidden, initials, read_book, read_entries
from tests.commands.worked import worked

DEMO = "sessions/window-seat-cushion"
BOOK = Path("sessions/book.jsonl")


def of_a_buyer(guide) -> None:
    guide("order", "add", "Mira Oak", "seat cushion", "--count", "2", "--price", "140")
    guide("order", "quote", DEMO, "--to", "Mira Oak")
    guide("book", "made", "seat cushion", "--count", "2")
    guide("sell", "1", "--got", "140", "--to", "Mira Oak", "--at", "at Mira Oak's")
    guide("order", "off", "1", "--why", "Mira Oak moved to Oakham")


def test_a_forgotten_name_reads_as_initials_everywhere(guide):
    of_a_buyer(guide)
    assert guide("book", "forget", "Mira Oak").code == 0
    for argv in (["order", "--all"], ["order", "show", "1"], ["order", "quotation", "1"], ["book"], ["book", "--json"],
                 ["export", "book"], ["book", "lines"], ["book", "--page", "-"]):  # fmt: skip
        said = guide(*argv)
        assert said.code == 0, said.err
        assert "Mira Oak" not in said.out, argv
    assert "M. O." in guide("order", "--all").out
    assert read_book("sessions").orders[1].why == "M. O. moved to Oakham"
    assert b"Mira Oak" in BOOK.read_bytes(), "and it says so: the bytes are still there"


def test_a_name_in_a_cloth_is_forgotten_too(guide):
    """Where bought cloth went, what was counted and what was spent go by the cloth's name: a buyer's may be in it."""
    for length in ("2 m", "1 m"):
        guide("shelf", "add", "Mira Oak's linen", length, "--width", "140cm", "--paid", "20")
    guide("shelf", "count", "2", "--size", "1.4m x 1.9m")
    guide("shelf", "give", "3", "--to", "Mira Oak")
    guide("book", "cost", "5", "post to Mira Oak")
    guide("book", "forget", "Mira Oak")
    for argv in (
        ["shelf"],
        ["shelf", "--json"],
        ["shelf", "list", "-"],
        ["export", "book"],
        ["book", "lines"],
        ["book"],
    ):
        said = guide(*argv)
        assert said.code == 0, said.err
        assert "Mira Oak" not in said.out, argv
    assert "M. O.'s linen" in guide("export", "book").out
    guide("shelf", "add", "M. O.'s linen", "1 m", "--width", "100cm")  # of the same name from now on: one sum
    flow = read_book("sessions").flows["M. O.'s linen"]
    assert flow.bought == (1400 * 3000 + 1000 * 1000) * 10**8
    assert guide("book", "forget", "Mira Oak", "--rewrite", "--yes").code == 0
    assert read_book("sessions").flows["M. O.'s linen"] == flow
    assert b"Mira" not in BOOK.read_bytes()


def test_rewritten_it_is_gone_from_the_bytes_and_the_book_comes_to_the_same(guide):
    of_a_buyer(guide)
    before = read_entries("sessions")[0]
    assert guide("book", "forget", "Mira Oak", "--rewrite", "--yes").code == 0
    assert b"Mira" not in BOOK.read_bytes()
    after, damage = read_entries("sessions")
    assert damage is None
    assert [(one.n, one.at, one.what) for one in after[: len(before)]] == [(one.n, one.at, one.what) for one in before]
    book = read_book("sessions")
    assert not book.problems
    assert (book.orders[1].buyer, book.sales[0].got) == ("M. O.", 140)
    assert guide("order", "add", "R. Reed", "runner").code == 0
    assert sorted(path.name for path in Path("sessions").iterdir()) == ["book.jsonl", "window-seat-cushion"]


def test_a_no_leaves_the_bytes(guide, monkeypatch):
    of_a_buyer(guide)
    monkeypatch.setattr("click.confirm", lambda *_, **__: False)
    guide("book", "forget", "Mira Oak", "--rewrite")
    assert b"Mira Oak" in BOOK.read_bytes()


def test_a_name_is_forgotten_as_a_word_only():
    assert hidden("Mo and Monday, Mo's", {"Mo": "M."}) == "M. and Monday, M.'s"
    assert initials("mira  van Oak") == "M. V. O."


def test_a_name_nobody_has_is_refused(guide):
    of_a_buyer(guide)
    assert guide("book", "forget", "Nobody Known").code == 2


def test_no_buyer_stands_in_a_log_or_a_session(guide):
    of_a_buyer(guide)
    path = worked(DEMO, 0, lambda step: step.pace_s)
    guide("book", "enter", "--yes")
    assert b"Mira" not in path.read_bytes()
    assert "Mira" not in guide("log", str(path), "-o", "-").out
    assert "Mira" not in guide("price", str(path)).out


def test_no_buyer_stands_in_a_crash_report(guide, workshop, monkeypatch):
    """Neither what was typed nor what the error said of it."""

    def broken(*_, **__):
        raise RuntimeError(argv[2])

    argv = ["order", "add", "Mira Oak", "seat cushion"]
    monkeypatch.setattr("sys.argv", ["guide", *argv])
    monkeypatch.setattr("guide.book.file.Writer.add", broken)
    assert guide(*argv).code == 3
    (report,) = (workshop / "home").glob("crash-*.txt")
    text = report.read_text(encoding="utf-8")
    assert "Mira" not in text
    assert "guide order …" in text
    assert "RuntimeError" in text
