"""`guide new` with a person at the keyboard, in a real pseudo-terminal."""

import os
import re
import signal

import pytest
import yaml

from tests.fakes import program
from tests.terminal.pty_term import Term

pytestmark = pytest.mark.terminal


@pytest.fixture
def term(tmp_path):
    """`guide new` on a terminal, writing below a folder of its own."""
    out = Term(
        program("new", "--into", str(tmp_path / "sessions")),
        cols=100,
        env={"FRAYWORK_HOME": str(tmp_path / "home")},
    )
    yield out
    out.close()


def test_a_person_answers_and_sees_what_it_comes_to(term, tmp_path):
    """Size, cloth and time stand below and change with the answer; the last answer writes the file."""
    term.wait("What is it called")
    term.send("\x15Reading chair cushion\r").wait("What is made").wait("Comes to")
    term.send("\r").wait("For whom")
    term.send("\r").wait("Show lengths as")
    term.send("\r").wait("The pad you have")
    term.send("\r").wait("Blocks in a row").wait("20 in × 12 in")
    term.send("\x154").wait("16 in × 12 in")  # 4 blocks of 5 1/4 in less two 5/8 in seams [identity]
    term.send("\r").wait("Rows").send("\r").wait("Cut size of a square")
    term.send("\x155").wait("has no unit").send("\r")
    term.send("\x156 in").wait("19 in × 14 1/4 in").send("\r").wait("Seam allowance")  # 4 3/4 in × 4 and × 3 [identity]
    for question in (
        "Squares over",
        "Squares under",
        "Wadding",
        "Prints",
        "Width of the cloth",
        "Wash all cloth before cutting",
        "How it shuts",
        "Where the zip lies",
        "Width of the wadding",
        "Metres on a spool",
        "How many to make",
        "What an hour",
    ):
        term.send("\r").wait(question)
    term.send("18,50\r").wait("Price of the cloth").send("9.60\r").wait("write 9.60 / yd")
    term.send("\x159.60 / yd\r").wait("Price of the wadding").send("\r").wait("Price of a spool").send("\r")
    assert term.exit_code() == 0
    file = tmp_path / "sessions" / "reading-chair-cushion" / "project.yaml"
    said = yaml.safe_load(file.read_text(encoding="utf-8"))
    assert (said["project"], said["grid"], said["square"]) == (
        "Reading chair cushion",
        {"across": 4, "down": 3},
        "6 in",
    )


def test_washing_first_asks_what_it_takes_and_shows_the_cloth_it_needs(term, tmp_path):
    """Fifteen blocks of three 5 1/4 in squares and fifteen behind: 20 of each of three prints.

    43 in usable holds 8, so three strips, 16 3/4 in with the straightening: 1/2 yd (18 in). With 10 % off, 38.7 in holds
    7: three strips, 18.6 in off the bolt: 5/8 yd (22 1/2 in). [identity]
    """
    term.wait("What is it called").send("\x15Washed cushion\r")
    for question in ("What is made", "For whom", "Show lengths as", "The pad you have", "Blocks in a row", "Rows", "Cut size of a square",
                     "Seam allowance", "Squares over", "Squares under", "Wadding", "Prints", "Width of the cloth"):  # fmt: skip
        term.wait(question).send("\r")
    term.wait("Wash all cloth before cutting").wait("1/2 yd first print").send("\x15perhaps").wait("write yes or no")
    term.send("\r").send("\x15yes\r").wait("What washing takes")
    term.send("10").wait("write it like 4 %").send("\x1510 %, 10 %").wait("5/8 yd first print").send("\r")
    for question in (
        "How it shuts",
        "Where the zip lies",
        "Width of the wadding",
        "Metres on a spool",
        "How many to make",
        "What an hour",
    ):
        term.wait(question).send("\r")
    assert term.exit_code() == 0
    said = yaml.safe_load((tmp_path / "sessions" / "washed-cushion" / "project.yaml").read_text(encoding="utf-8"))
    assert said["washed_first"] is True
    assert [one["shrinks"] for one in said["prints"]] == [{"length": "10 %", "width": "10 %"}] * 3


TO_SQUARE = (
    "What is made",
    "For whom",
    "Show lengths as",
    "The pad you have",
    "Blocks in a row",
    "Rows",
    "Cut size of a square",
)
AFTER = (
    "Seam allowance", "Squares over", "Squares under", "Wadding", "Prints", "Width of the cloth",
    "Wash all cloth before cutting", "How it shuts", "Where the zip lies", "Width of the wadding", "Metres on a spool", "How many to make",
    "What an hour",
)  # fmt: skip


def in_one_line(screen):
    return " ".join("".join(line.rstrip() + " " for line in screen.display).split())


@pytest.mark.parametrize("keys", ["7 in", "\x1b[200~7 in\x1b[201~"], ids=["typed", "pasted"])
def test_what_is_typed_takes_the_place_of_what_stands_there(term, tmp_path, keys):
    """Never 5 1/4 in7 in; what was not touched is kept. 7 in less two seams is 5 3/4: 28 3/4 by 17 1/4 in [identity]."""
    term.wait("What is it called").send("Chair\r")
    for question in TO_SQUARE:
        term.wait(question).send("\r" if question != "Cut size of a square" else keys)
    term.wait("28 3/4 in × 17 1/4 in").send("\r")
    for question in AFTER:
        term.wait(question).send("\r")
    assert term.exit_code() == 0
    said = yaml.safe_load((tmp_path / "sessions" / "chair" / "project.yaml").read_text(encoding="utf-8"))
    assert (said["project"], said["square"], said["seam"]) == ("Chair", "7 in", "5/8 in")
    assert "thread" not in said
    assert "width" not in said["wadding"]


def test_what_stands_there_can_be_changed_letter_by_letter(term):
    """An arrow key keeps it: 5 1/4 in becomes 15 1/4 in, and 14 in a block come to 70 by 42 in [identity]."""
    term.wait("What is it called").send("Chair\r")
    for question in TO_SQUARE[:-1]:
        term.wait(question).send("\r")
    term.wait("Cut size of a square").send("\x1b[D" * 8 + "1").wait("70 in × 42 in")


@pytest.mark.parametrize("cols", [40, 80])
def test_what_it_comes_to_is_read_whole_at_any_width(tmp_path, cols):
    """To its last word, under every question: also when that needs a second line."""
    term = Term(
        program("new", "--into", str(tmp_path / "s"), "--print", "a long name of a print", "--print", "second"),
        cols=cols,
        env={"FRAYWORK_HOME": str(tmp_path / "home")},
    )
    try:
        term.wait("What is it called").send("Chair\r")
        for question in TO_SQUARE[:6]:
            term.wait(question).wait("hands on")
            whole = in_one_line(term.screen)
            assert re.search(
                r"Comes to 20 in × 12 in · .+ yd a long name of a print, .+ yd second · about .+ hands on", whole
            )
            term.send("\r")
    finally:
        term.close()


@pytest.mark.parametrize("after", [0, 1, 3])
def test_ctrl_c_writes_nothing(term, tmp_path, after):
    """At whichever question: the terminal is given back and no folder is made."""
    term.wait("What is it called")
    for _ in range(after):
        term.send("\r")
        term.pump(0.3)
    term.send("\x03")
    assert term.exit_code() == 130
    assert list(tmp_path.iterdir()) == []


def test_an_interrupt_between_two_questions_leaves_too(term, tmp_path):
    """One that comes while an answer is taken is not lost."""
    term.wait("What is it called").send("\r")
    os.kill(term.child.pid, signal.SIGINT)
    assert term.exit_code() == 130
    assert list(tmp_path.iterdir()) == []


def test_ctrl_d_writes_nothing_either(term, tmp_path):
    """Leaving with the end-of-input key is leaving."""
    term.wait("What is it called")
    term.send("\x15\x04")
    assert term.exit_code() == 130
    assert list(tmp_path.iterdir()) == []
