"""A class's board on its pupils' pages: to be looked at only, their own row large, the same words as the tutor's lines."""

import io

import pytest

from guide.beside.sending import Beside, Wanted
from guide.beside.view import board_view
from guide.commands.board import stands
from guide.teach.board import board_of
from tests.beside.conftest import wants_the_extra
from tests.beside.served import TOKEN, Page, Served
from tests.teach.classes import course
from tests.teach.test_board import cushion, events

NEW = ["class", "new", "Two cushions", "--seats", "2", "--machines", "1"]


def view_of(*pressed, at=0.0, words="british"):
    """The board of two seats at one machine after these keys, so many s after it began."""
    now = stands(course(2), cushion(), board_of(events(*pressed)), at)
    return board_view("An invented class", now.head, now.seats, now.told, len(pressed) + 1, words=words)


@pytest.fixture
def board():
    """A board that is served, and a raw client that looks at it."""
    wants_the_extra()

    class Shown:
        def __init__(self):
            self.beside, self.pages = Beside(Wanted(token=TOKEN, photo=False)), []
            self.beside.show(view_of())
            self.address, self.port = self.beside.wait(), self.beside.port

        ask, _ask = Served.ask, Served._ask

    one = Shown()
    yield one
    for page in one.pages:
        page.close()
    one.beside.close()


def test_a_row_says_what_the_tutor_s_line_says():
    """Each seat by its number, what it has reached sewn, what is next and about when. Seat 2 has quilted, 1 is ahead."""
    first = view_of()
    assert [row.key for row in first.card] == ["1", "2"]
    assert first.card[0].parts[0][1].count("━") == 0
    assert first.card[0].parts[1][1].startswith("next: quilted, about ")
    later = view_of(("step_done", 700.0, {"make": 2, "name": "quilted"}), at=700.0)
    assert [row.parts[0][1].count("━") for row in later.card] == [0, 1]
    assert later.card[1].parts[1][1].startswith("next: joined, about ")
    cues = stands(course(2), cushion(), board_of(events()), 0.0).told
    assert cues  # seat 2 waits for the machine
    assert first.said == "\n".join(cues)
    assert first.cautions == []  # of time: nobody is hurt by it
    assert (first.lang, view_of(words="american").lang) == ("en-GB", "en-US")
    gone = view_of(("step_skipped", 10.0, {"make": 1, "why": "gone home"}), at=10.0)
    assert gone.card[0].parts[1][1] == "gone home"


def test_pupils_look_and_change_nothing(board):
    """The newest is shown at once; a press and a photo are refused whoever asks."""
    page = Page(board)
    assert page.view["title"].endswith("since it began")
    assert (page.frames[-1]["press"], page.frames[-1]["photo"]) == (False, False)
    board.beside.show(view_of(("step_done", 700.0, {"make": 2, "name": "quilted"}), at=700.0))
    page.until(lambda view: view["moves"] == 2)
    assert page.press() == 403
    assert page.photo(b"x")[0] == 403
    page.close()


@pytest.mark.browser
def test_their_own_row_is_large_and_first(board, own_page):
    """Behind the address stands their seat: its row at nine hundredths of the screen's shorter side, and more."""
    page = own_page(f"{board.address}/2")
    sizes = page.evaluate(
        "[...document.querySelectorAll('#card p')].map(one => parseFloat(getComputedStyle(one).fontSize))"
    )
    assert page.inner_text("#card p:first-child .key") == "2"
    assert sizes[0] >= 0.09 * 740
    assert sizes[1] < sizes[0] / 2
    assert page.is_hidden("#photo")
    assert page.is_hidden("#foot")


@pytest.fixture
def own_page(chromium):
    """A page in a browser, the size of a tablet."""
    context = chromium.new_context(viewport={"width": 1024, "height": 740})

    def opened(address):
        page = context.new_page()
        page.goto(address)
        page.wait_for_function("() => document.body.className === ''")
        return page

    yield opened
    context.close()


def test_a_class_is_followed_with_its_board_as_a_page(workshop, guide, monkeypatch):
    """The address is said with what stands behind it for a pupil; keys are kept as without."""
    wants_the_extra()
    assert guide(*NEW).code == 0
    monkeypatch.setattr("sys.stdin", io.StringIO("1\nq\n"))
    done = guide("class", "follow", "--beside")
    assert done.code == 0, done.err
    assert "/SEAT is a pupil's own" in done.err
    assert "Seat 1: " in done.out
    assert guide("class", "--beside", "sessions/two-cushions").code == 2
