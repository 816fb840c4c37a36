"""Presses from pages: each counts once, a late or repeated one never, and the record says by which page."""

import asyncio
import queue
import re
import sys
import threading
from types import SimpleNamespace

from guide.beside import sending
from tests.beside.served import WAIT_S, Page
from tests.follow.samples_session import Bench
from tests.show.photo_samples import JPEG
from tests.terminal.rig import Rig


def counted(served):
    return served.session.record.step("cut/squares").pieces_done


def test_a_press_counts_once_and_the_record_says_by_whom(served, page):
    """Through the first step; the terminal's own presses name nobody."""
    served.press("space")
    page.until(lambda view: view["title"] == "Straighten the cloth")
    assert page.press() == ""
    started, done = served.events[-2:]
    assert (started.what, started.by, done.what) == ("step_started", "", "step_done")
    assert re.fullmatch(r"page \d+", done.by)


def test_a_repeated_press_is_refused(served, page):
    """The same request twice, as a network that lost the answer repeats it: one record."""
    served.through("Spray the wadding")
    page.until(lambda view: view["title"] == "Spray the wadding")
    seen = {"newest": page.view["newest"], "moves": page.view["moves"]}
    before = len(served.events)
    assert page.press(**seen) == ""
    assert "Too late" in page.press(**seen)
    assert len(served.events) == before + 1


def test_a_late_press_never_counts_on_another_step(served, page):
    """The page saw the step before; the terminal has gone on meanwhile."""
    served.through("Spray the wadding")
    old = dict(page.until(lambda view: view["title"] == "Spray the wadding"))
    served.press("a")
    before = len(served.events)
    assert "Too late" in page.press(newest=old["newest"], moves=old["moves"])
    assert len(served.events) == before
    served.press("u")


def test_a_press_that_has_not_seen_a_question_does_not_answer_it(served, page):
    """A question writes no record: the count of keys tells the press that it came before it."""
    served.through("Spray the wadding")
    old = dict(page.until(lambda view: view["moves"] == served.session.moves))
    served.press("i")
    before = len(served.events)
    assert served.session.desk.ask is not None or served.session.record.doing == "interrupted"
    assert "Too late" in page.press(newest=served.session.newest, moves=old["moves"])
    assert len(served.events) == before
    served.press("space")


def test_two_pages_pressing_at_once_count_once(served, page):
    """Both saw the same moment: one of them is told that the work had gone on; then each counts in its turn."""
    served.through("Lay the top squares")
    other = Page(served)
    for one in (page, other):
        one.until(lambda view: view["moves"] == served.session.moves)
    before, said = len(served.events), []
    both = [threading.Thread(target=lambda one=one: said.append(one.press())) for one in (page, other)]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert sorted(map(bool, said)) == [False, True]
    assert len(served.events) == before + 1
    for one in (page, other):
        one.until(lambda view: view["moves"] == served.session.moves)
        assert one.press() == ""
    assert len({event.by for event in served.events[-2:]}) == 2
    other.close()


def test_a_bounce_is_swallowed_as_at_the_keyboard(served, page):
    """A press within 0.4 s of the last is none, whoever made either."""
    served.through("Sew the cross")
    page.until(lambda view: view["moves"] == served.session.moves)
    before, served.after = len(served.events), 0.1
    try:
        assert "Too soon" in page.press()
    finally:
        served.after = 5.0
    assert len(served.events) == before
    page.until(lambda view: view["moves"] == served.session.moves)
    assert page.press() == ""


def test_undo_and_pause_do_what_their_keys_do(served, page):
    """The newest record is taken back, the clock stands, the big press goes on."""
    served.through("Sew the cross")
    served.press("space")
    for key, what in (("u", "voided"), ("p", "paused"), ("space", "resumed")):
        page.until(lambda view: view["moves"] == served.session.moves)
        assert page.press(key) == ""
        assert (served.events[-1].what, bool(served.events[-1].by)) == (what, True)


def test_what_is_being_written_at_the_computer_is_left_alone(served, page):
    """No press becomes a letter of a note, or ends it; a locked keyboard is locked for pages too."""
    for keys, back, word in ((("n", "o"), "escape", "answer there"), (("l",), "l", "locked")):
        served.press(*keys)
        page.until(lambda view: view["moves"] == served.session.moves)
        assert word in page.view["button"]["why"]
        desk = served.session.desk
        assert word in page.press()
        assert served.session.desk == desk
        served.press(back)


def test_only_the_three_keys_are_taken(served, page):
    """A page asks for the big key, undo or pause; nothing else that a keyboard has."""
    for key in ("q", "a", "n", "enter", "", "spacespace"):
        assert page.press(key) == 409
    assert page.press(page="another") == 409
    assert page.press(newest="1") == 400


def test_a_page_goes_over_with_the_hands_to_the_other_project(served, page):
    """Of two in one window the one at hand is shown, from its own first record on; and this one again, as it stands."""
    served.through("Sew the cross")
    other = Bench(memory=None)
    other.open("Cut the squares")
    served.beside.tell(other.session)
    page.until(lambda view: view["title"] == "Cut the squares")
    assert page.view["number"] == "step 2 of 9"
    served.press("space")
    done = served.session.record.step("quilt/cross").pieces_done
    page.until(lambda view: view["title"] == "Sew the cross" and view["moves"] == served.session.moves)
    assert page.view["count"] == f"{done} of 4 blocks"


def test_what_was_seen_of_one_project_never_counts_on_the_other(alone):
    """Two fresh ones stand at the same record and the same count of keys; the page has not seen the going over yet."""
    served = alone()
    page, other, before = Page(served), Bench(memory=None), served.session
    assert (other.session.newest, other.session.moves) == (before.newest, before.moves)
    served.session = other.session
    status, why = page.photo(JPEG)
    assert (status, "other project" in why) == (200, True)
    assert "Too late" in page.press()
    assert other.wrote == ["opened"]
    served.beside.tell(other.session)
    page.until(lambda view: view["of"] == other.session.mark)
    assert page.photo(JPEG, of=before.mark) == (409, why)
    assert (page.press(), other.wrote) == ("", ["opened", "step_started"])
    assert list(served.path.parent.glob("photos/*")) == []


def test_what_is_no_press_stops_no_later_one(monkeypatch):
    """Lines of the server that cannot be read, too long or torn: the next press comes in as ever."""
    line = '{"id":7,"by":"page 1","of":1,"key":"space"}'
    script = f"print(1); print('x' * 9000); print('{{'); print(bytes); print({line!r}, flush=True); input()"
    started = sending.subprocess.Popen
    monkeypatch.setattr(
        sending.subprocess, "Popen", lambda _asked, **more: started([sys.executable, "-c", script], **more)
    )
    taken = queue.Queue()
    beside = sending.Beside(sending.Wanted())
    beside.take = taken.put
    try:
        assert taken.get(timeout=WAIT_S).id == 7
    finally:
        beside.close()


def test_a_press_that_comes_once_the_screen_has_ended_is_dropped():
    """The page ends a moment after the screen: what it sends between is nothing to raise in the thread that hears it."""
    taken, bench = [], Bench()
    onlooker = SimpleNamespace(take=None, tell=lambda *_: None, answer=lambda press, _session: taken.append(press))

    async def play():
        async with Rig(bench.session, onlooker=onlooker) as at:
            onlooker.take("in time")
            await at.settle()

    asyncio.run(play())
    onlooker.take("late")
    assert taken == ["in time"]


def test_a_sign_of_life_makes_no_press_late():
    """What no key wrote is not what a press is held against; taking back is."""
    bench = Bench()
    bench.press("space")
    began = bench.session.newest
    assert bench.newest.n == began
    bench.clock.run(61)
    bench.session.heartbeat()
    assert (bench.newest.what, bench.session.newest) == ("alive", began)
    bench.press("u")
    assert (bench.newest.what, bench.session.newest) == ("voided", bench.newest.n)


def test_another_session_and_one_that_went_back_are_told_from_their_first_record():
    """[identity] Of the same session what is new; of another, however long, and of one with fewer records, all."""
    beside = object.__new__(sending.Beside)
    beside._lock, beside._answers, beside._sent = threading.Lock(), [], (None, None, 0)
    bare = dict.fromkeys(name for name in sending.Told.__struct_fields__ if name != "answers")
    one, other = object(), object()

    def told(session, count):
        came = beside._told(session, count, bare | {"events": list("abcdef")})
        return came.anew, "".join(came.events)

    assert told(one, 2) == (True, "ab")
    assert told(one, 4) == (False, "cd")
    assert told(other, 6) == (True, "abcdef")
    assert told(other, 3) == (True, "abc")
