"""The shelf through its commands: what is typed, what is refused, what is drawn."""

import json

import pytest

from guide.book.file import read_book
from guide.book.model import in_mm


def piece(name: str = "2"):
    return read_book("sessions").pieces[name]


@pytest.mark.parametrize(
    ("argv", "wide_mm", "long_mm", "count"),
    [
        (["2.5 yd", "--width", "44in"], 1117.6, 2286.0, 1),  # 2 1/2 yd of 914.4 mm [identity]
        (["1.2 m", "--width", "140cm"], 1400.0, 1200.0, 1),
        (["--piece", "22 1/2 in x 18in", "--number", "2"], 571.5, 457.2, 2),
        (["--fat-quarters", "3"], 558.8, 457.2, 3),  # 22 in × 18 in [practice]
        (["--fat-quarters", "3", "--metric"], 550.0, 500.0, 3),  # 55 cm × 50 cm [practice]
        (["--squares", "42", "--size", "5in x 5in"], 127.0, 127.0, 42),
        (["--squares", "12", "--size", "7x7in"], 177.8, 177.8, 12),  # one unit behind both
        (["--piece", "22 1/2 × 18in"], 571.5, 457.2, 1),
        (["--number", "4"], 0.0, 0.0, 4),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_what_was_bought_lies_there_as_it_measures(guide, argv, wide_mm, long_mm, count):
    assert guide("shelf", "add", "moss check", *argv, "--paid", "12.60").code == 0
    there = piece()
    assert (in_mm(there.width), in_mm(there.length), there.count) == (wide_mm, long_mm, count)
    assert there.each * count == 12.6 or float(there.each * count) == pytest.approx(12.6)


@pytest.mark.parametrize(
    "argv",
    [
        ["2 yd"],
        ["2", "--width", "44in"],
        ["2,5 yd", "--width", "44in"],
        ["--squares", "5"],
        [],
        ["2 yd", "--width", "44in", "--squares", "4"],
        ["--piece", "22in"],
        ["--piece", "0in x 3in"],
        ["--number", "1", "--paid", "-3"],
        ["--number", "1", "--paid", "1.234"],
        ["--number", "1", "--on", "2027-01-01"],
        ["--number", "1", "--on", "yesterday"],
    ],
    ids=" ".join,
)
def test_what_cannot_be_read_is_refused_and_nothing_is_written(guide, workshop, argv):
    said = guide("shelf", "add", "moss check", *argv)
    assert said.code == 2
    assert said.err.strip()
    assert not (workshop / "sessions" / "book.jsonl").exists() or len(read_book("sessions").pieces) == 0


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["6 fat quarters"], "--fat-quarters 6"),
        (["6 fat quarters", "--width", "44in"], "--fat-quarters 6"),
        (["two yards"], "'two yards' is not a length"),
        (["--squares", "12", "--size", "7x7"], "'7' has no unit"),
    ],
)
def test_what_is_wrong_is_told_before_what_is_missing(guide, argv, says):
    """Whoever says a kind where a length belongs is not asked for a bolt's width."""
    assert says in guide("shelf", "add", "moss check", *argv).err


def test_a_count_tells_the_difference_in_the_makers_units(guide):
    guide("shelf", "add", "moss check", "2.5 yd", "--width", "44in", "--paid", "24.00")
    said = guide("shelf", "count", "2", "--size", "44in x 2yd")
    assert "44 in × 72 in where the book had 44 in × 90 in" in said.err
    assert "72 in where the book had" in guide("shelf").out
    assert guide("shelf", "count", "2", "--number", "1").err.strip() == "As the book had it."
    assert "19.20 EUR" in guide("shelf").out  # 24.00 · 72 / 90 [identity]
    assert guide("shelf", "count", "9", "--number", "0").code == 2


def test_washing_keeps_what_was_paid_and_loses_cloth(guide):
    guide("shelf", "add", "moss check", "1 m", "--width", "100cm", "--paid", "10.00")
    assert guide("shelf", "wash", "2", "--to", "97cm x 95cm").code == 0
    data = json.loads(guide("shelf", "--json").out)
    assert data["worth"] == {"EUR": "10.00"}
    assert data["cloth"]["moss check"]["washed_away_mm2"] == 1_000_000 - 970 * 950
    assert guide("shelf", "wash", "2", "--to", "96cm x 94cm").code == 2
    guide("shelf", "add", "oat stripe", "1 m", "--width", "100cm")
    assert guide("shelf", "wash", "4", "--to", "100cm x 98cm").code == 0  # of its width it took nothing


def test_a_piece_is_cut_in_two_across_or_along(guide):
    """Half a metre off the end of 100 cm × 200 cm for 8.00, then a quarter of its width: 2.00, 6.00 · 1/4 and 3/4."""
    guide("shelf", "add", "moss check", "2 m", "--width", "100cm", "--paid", "8.00")
    assert guide("shelf", "part", "2", "--length", "50cm").code == 0
    assert guide("shelf", "part", "3.2", "--width", "25cm").code == 0
    there = {
        one["id"]: (one["width_mm"], one["length_mm"], one["worth"])
        for one in json.loads(guide("shelf", "--json").out)["pieces"]
    }
    assert there == {"3.1": (1000, 500, "2.00"), "4.1": (250, 1500, "1.50"), "4.2": (750, 1500, "4.50")}
    assert guide("book", "undo").code == 0
    assert {"3.1", "3.2"} == read_book("sessions").pieces.keys()


@pytest.mark.parametrize("argv", [["2"], ["2", "--length", "200cm"], ["2", "--length", "3m"], ["9", "--length", "3cm"],
                                  ["3", "--width", "10cm"], ["2", "--length", "1m", "--width", "1m"], ["2", "--length", "0m"]])  # fmt: skip
def test_what_cannot_be_cut_in_two_is_refused(guide, argv):
    """To the end of it, a piece that is not there, across its two selvedges, both ways at once."""
    guide("shelf", "add", "moss check", "2 m", "--width", "100cm")
    guide("shelf", "add", "oat stripe", "2 m", "--width", "100cm", "--selvedge", "1cm")
    assert guide("shelf", "part", *argv).code == 2
    assert read_book("sessions").pieces.keys() == {"2", "3"}


def test_pieces_are_drawn_to_one_scale(guide):
    """The longest is 30 columns long; a piece half as long 15 [identity]."""
    guide("shelf", "add", "moss check", "--piece", "50cm x 200cm")
    guide("shelf", "add", "oat stripe", "--piece", "50cm x 100cm")
    boxes = [line.strip() for line in guide("shelf").out.split("\n") if "┌" in line]
    assert [len(box) for box in boxes] == [30, 15]


def test_a_list_for_the_shop_says_sizes_and_no_prices(guide):
    guide("shelf", "add", "moss check", "2.5 yd", "--width", "44in", "--paid", "24.00")
    page = guide("shelf", "list", "-").out.replace("\u00a0", " ")
    assert "44 in × 90 in" in page
    assert "24.00" not in page


def test_the_help_page_is_there(guide):
    assert "The book" in guide("help", "book").out


@pytest.mark.parametrize(
    "argv",
    [["shelf", "make", "cushion"], ["shelf", "make", "cushion", "--pad", "40cm"], ["shelf", "use"],
     ["shelf", "make", "throw", "--size", "1m x 1m", "--layers", "0,2"],
     ["shelf", "make", "throw", "--size", "1m x 1m", "--layers", "1,²"], ["book", "correct", "1", "count=²"], ["order", "plan", "--hours", "mon 9:00-10:00"],
     ["sell", "--got", "5"], ["sell", "1", "--got", "5", "--back"], ["sell", "x", "--back"], ["book", "undo", "7"],
     ["book", "correct", "1", "amount=5"], ["book", "correct", "1", "nothing=5"], ["order", "take", "1"],
     ["order", "show", "3"], ["order", "quotation", "3"], ["sell", "--sheet", "s.html"]],
    ids=" ".join,
)  # fmt: skip
def test_wrong_use_is_said_in_one_sentence(guide, argv):
    said = guide(*argv)
    assert said.code == 2, said.out + said.err
    assert said.err.strip()


@pytest.mark.parametrize(
    "argv",
    [["book", "made", "x", "--hours", "3"], ["book", "made", "x", "--hours", "soon"], ["book", "stall", "x", "--fee", "5",
     "--hours", "six"], ["order", "add", "A", "x", "--takes", "3"], ["book", "made", " "], ["order", "add", "", "x"],
     ["order", "add", "A", " "], ["shelf", "add", " ", "--number", "3"], ["book", "stall", "", "--fee", "5"],
     ["shelf", "add", "x", "--number", "1", "--paid", "much"], ["book", "cost", "5", "x", "--on", "2027-01-01"],
     ["order", "add", "A", "x", "--paid", "much"], ["order", "add", "A", "x", "--price", "-1"],
     ["book", "--from", "2026-03-02", "--to", "2026-03-01"], ["export", "book", "--from", "2026-03-02", "--to", "2026-03-01"]],
    ids=" ".join,
)  # fmt: skip
def test_what_names_nothing_and_what_is_no_time_is_refused_before_a_book_begins(guide, workshop, argv):
    said = guide(*argv)
    assert said.code == 2, said.err
    assert len(said.err.strip().split("\n")) == 1
    assert not (workshop / "sessions" / "book.jsonl").exists()


def test_hours_are_read_as_makers_say_them(guide):
    """1 h 20 and 80 min are as long [identity]."""
    for text in ("1 h 20", "80 min", "1 h 20 min"):
        guide("book", "made", "x", "--hours", text)
    assert {round(one.hours * 60, 6) for one in read_book("sessions").articles.values()} == {80.0}


def test_a_book_begins_as_the_projects_beside_it_are_written(guide, workshop):
    """Metric projects in kronor: a metric book in kronor, whatever comes into it first; fat quarters as the metre gives."""
    path = workshop / "sessions" / "window-seat-cushion" / "project.yaml"
    text = (
        path.read_text(encoding="utf-8")
        .replace("units: inch", "units: metric")
        .replace("currency: EUR", "currency: SEK")
    )
    path.write_text(text, encoding="utf-8")
    guide("order", "add", "M. Oak", "runner", "--price", "600")
    book = read_book("sessions")
    assert (book.units, book.currency, book.orders[1].currency) == ("metric", "SEK", "SEK")
    guide("shelf", "add", "moss check", "--fat-quarters", "1")
    assert in_mm(piece("3").width) == 550.0


def test_money_is_paid_back_with_a_minus(guide):
    guide("order", "add", "M. Oak", "runner", "--price", "60", "--paid", "20")
    assert guide("order", "paid", "1", "-20").code == 0
    assert read_book("sessions").orders[1].owing == 60
    assert guide("order", "paid", "1", "-x").code == 2


def test_a_correction_says_what_it_says_now(guide):
    guide("shelf", "add", "moss check", "1 m", "--width", "100cm", "--paid", "10.00")
    assert guide("book", "correct", "2", "amount=12.50", "cloth=moss").code == 0
    data = json.loads(guide("shelf", "--json").out)
    assert (data["worth"], data["pieces"][0]["cloth"]) == ({"EUR": "12.50"}, "moss")
    assert guide("book", "correct", "2", "amount=much").code == 2
    assert guide("book", "correct", "2", "on=2026-02-31").code == 2
    assert guide("book", "correct", "2", "on=last spring").code == 2
    assert "amended" in guide("book", "lines").out
    assert guide("book", "undo").code == 0
    assert json.loads(guide("shelf", "--json").out)["worth"] == {"EUR": "10.00"}


def test_a_stall_sheet_has_a_box_for_every_piece_that_is_here(guide):
    guide("book", "made", "runner", "--count", "3", "--price", "60")
    guide("sell", "3", "--sent", "corner shop")
    page = guide("sell", "--sheet", "-", "--at", "spring market").out
    assert page.count('class="tick"') == 2
    assert "spring market" in page
    tickets = guide("sell", "--tickets-page", "-", "--by", "Ada Example").out
    assert tickets.count("made by hand by Ada Example") == 2
