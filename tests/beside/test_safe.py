"""Who asks without the token learns nothing; who floods, dawdles or dies delays no key and loses no record.

Who listens in the network is not kept out: nothing is encrypted, and the page's document says so.
"""

import asyncio
import contextlib
import os
import re
import signal
import socket
import statistics
import subprocess
import time

import pytest

from tests.beside.served import TOKEN, WAIT_S, Page

gate = pytest.importorskip("guide.beside.gate", exc_type=ImportError)
FULL = bool(os.environ.get("FRAYWORK_FULL"))
PATHS = ("/stream", "/press", "/photo", "/../stream", "/%2e%2e/etc/passwd", "//stream", "/page.js", "/guide", "/.git/config",
         "/?/stream", "/stream/", "/stream%00", "http://elsewhere.example/stream", "*")  # fmt: skip
SECRETS = (b"Stool", b"Straighten", b"moss", TOKEN.encode(), b"Traceback", b"aiohttp", b"/home", b"python")


def refused(served, *args, **more):
    """Refused with nothing said."""
    status, headers, body = served.ask(*args, **more)
    assert status in {400, 401, 403, 404, 405}, (args, more, status)
    assert not any(one.lower() in body.lower() for one in SECRETS), body
    assert "set-cookie" not in {name.lower() for name in headers}
    return status


@pytest.mark.parametrize("token", [None, "", "only-for-this-sittinG", TOKEN[:-1], TOKEN + "x", "ünïcode"])
def test_no_token_or_a_wrong_one_opens_nothing(served, token):
    """Every path but the page itself, in which there is nothing of the session."""
    shown = token.encode().decode("latin-1") if token else token
    for path in PATHS if token is None else PATHS[:3]:
        for method, body in (("GET", None), ("POST", b"{}"), ("PUT", b""))[: 3 if token is None else 2]:
            refused(served, path, method, body, token=shown)


def test_another_host_or_origin_is_refused_with_the_right_token(served):
    """A name that leads here from elsewhere (rebinding), and a page of elsewhere that posts."""
    port = served.port
    for host in (
        "elsewhere.example",
        f"elsewhere.example:{port}",
        "127.0.0.1",
        f"0.0.0.0:{port}",
        f"127.0.0.1:{port}.example",
    ):
        for path in ("/", "/stream"):
            assert refused(served, path, host=host) in {400, 403}
    for origin in ("http://elsewhere.example", "null", f"https://127.0.0.1:{port}", f"http://localhost:{port}", None):
        assert refused(served, "/press", "POST", b"{}", Origin=origin) == 403
    assert refused(served, "/stream", Origin="http://elsewhere.example") == 403
    assert refused(served, "/stream", Sec_Fetch_Site="cross-site") == 403


def test_the_page_itself_tells_nothing_and_may_ask_nobody(served):
    """One document with the sums of its own script and style; no request elsewhere, no frame, nothing kept."""
    status, headers, body = served.ask(token=None)
    policy = dict(one.split(" ", 1) for one in headers["Content-Security-Policy"].split("; "))
    assert status == 200
    assert policy["default-src"] == policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert policy["connect-src"] == "'self'"
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert (headers["Cache-Control"], headers["Referrer-Policy"]) == ("no-store", "no-referrer")
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert not any(one in body for one in SECRETS if one not in {b"/home", b"python"})
    assert not re.search(rb"(src|href)=\"(?!data:)|https?://|@import|url\(", body)


def test_presses_are_taken_only_where_they_were_asked_for(alone):
    """Without --press a page looks on, and no more."""
    served = alone(press=False)
    page = Page(served)
    assert page.frames[-1]["press"] is False
    assert page.press() == 403
    assert len(served.events) == 1


def test_a_flood_of_strangers_leaves_the_page_and_the_keys_alone(served, page):
    """Connections that say nothing, byte by byte, or nonsense; the page that was there stays, and another gets in."""
    many = 2000 if FULL else 300
    there = []
    try:
        for n in range(many):
            one = socket.socket()
            one.settimeout(1)
            with contextlib.suppress(OSError):
                one.connect(("127.0.0.1", served.port))
                one.sendall(
                    (
                        b"G",
                        b"GET /stream HTTP/1.1\r\nHost: x\r\n",
                        b"\0" * 100,
                        b"POST /photo HTTP/1.1\r\nContent-Length: 99999999\r\n\r\nx",
                    )[n % 4]
                )
            there.append(one)
        before = len(served.events)
        took = served.press("n", "o", "k", "enter")
        page.until(lambda view: view["moves"] == served.session.moves)
        assert page.view["said"] == "Noted."
        assert len(served.events) == before + 1
        assert max(took) < WAIT_S
        other = Page(served)
        assert other.view["moves"] == served.session.moves
        other.close()
    finally:
        for one in there:
            one.close()


class Line:
    """A transport that keeps what is passed on, and whether it was hung up."""

    def __init__(self):
        self.passed, self.hung_up = 0, False

    def connection_made(self, _transport):
        pass

    def data_received(self, data):
        self.passed += len(data)

    def abort(self):
        self.hung_up = True


def test_who_sends_too_much_is_hung_up_on_with_that_byte():
    """A stranger's last byte is passed on, one more is not; who has shown the token sends on."""

    async def sent(known):
        line = Line()
        door = gate.Door(gate.Gate(TOKEN), line)
        door.connection_made(line)
        door.known = known
        door.data_received(b"y" * gate.STRANGER_BYTES)
        before = line.hung_up
        door.data_received(b"y")
        return before, line.hung_up, line.passed - gate.STRANGER_BYTES

    assert asyncio.run(sent(False)) == (False, True, 0)
    assert asyncio.run(sent(True)) == (False, False, 1)


@pytest.mark.parametrize("at", [None, 10, 60, 200])
@pytest.mark.parametrize(("token", "known"), [(TOKEN, True), ("another", False), (TOKEN[:-1], False)])
def test_a_photo_that_comes_at_one_go_with_its_head_is_let_in(token, known, at):
    """The token may lie in the very bytes that are too many for a stranger: all of them pass on, or none more.

    A network hands over head and photo together, or parts the head anywhere.
    """
    head = f"POST /photo HTTP/1.1\r\nHost: a\r\nauthorization: Bearer {token}\r\nContent-Length: 9\r\n\r\n".encode()
    sent = head + b"y" * 8 * gate.STRANGER_BYTES

    async def passed():
        line = Line()
        door = gate.Door(gate.Gate(TOKEN), line)
        door.connection_made(line)
        for part in (sent[:at], sent[at:]) if at else (sent,):
            door.data_received(part)
        return line.passed, line.hung_up

    assert asyncio.run(passed()) == ((len(sent), False) if known else (at or 0, True))


def test_a_stranger_is_hung_up_on(served):
    """Who sends more than a request without the token is let go, and who says nothing after a while."""
    with socket.create_connection(("127.0.0.1", served.port), timeout=WAIT_S) as one:
        with contextlib.suppress(OSError):
            one.sendall(b"GET / HTTP/1.1\r\nX: " + b"y" * 40 * gate.STRANGER_BYTES)
        with contextlib.suppress(ConnectionError):
            while one.recv(1 << 16):
                pass
    if FULL:
        quiet = socket.create_connection(("127.0.0.1", served.port), timeout=WAIT_S)
        with quiet, contextlib.suppress(ConnectionError):
            assert quiet.recv(1) == b""


def test_a_slow_reader_holds_nobody_up(served, page):
    """A page that takes nothing: keys go on at once, and the others see them."""
    slow = Page(served)
    slow.socket.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
    for _ in range(20):
        served.press("n", "o", "enter")
    page.until(lambda view: view["moves"] == served.session.moves)
    slow.close()


def test_a_dead_server_leaves_the_session_whole(alone):
    """Killed while it is followed: keys are saved as before, none is held up, and leaving ends as ever."""
    served = alone()
    page = Page(served)
    served.press("space")
    served.beside._child.kill()
    assert page.frame() is None or page.frame() is None
    took = [one for _ in range(30) for one in served.press("n", "o", "enter")]
    assert [one.what for one in served.events].count("noted") == 30
    assert statistics.median(took) < 1
    begun = time.monotonic()
    served.close()
    assert time.monotonic() - begun < WAIT_S


def test_a_server_that_stands_still_holds_nobody_up(alone):
    """Stopped, its pipe full: what is newest lies ready, keys go on."""
    served = alone()
    served.beside._child.send_signal(signal.SIGSTOP)
    for _ in range(100):
        served.press("n", *"a long note that fills the pipe with every letter"[:40].replace(" ", "x"), "enter")
    assert [one.what for one in served.events].count("noted") == 100
    served.close()
    assert served.beside._child.poll() is not None


def test_a_server_that_takes_long_to_end_lets_the_session_leave(alone, monkeypatch):
    """A computer with much to do: killed, it is not gone yet; leaving raises nothing."""
    served = alone()
    child = served.beside._child

    def never(timeout):
        raise subprocess.TimeoutExpired("the server", timeout)

    with monkeypatch.context() as busy:
        busy.setattr(child, "wait", never)
        served.close()
    assert child.wait(WAIT_S) is not None


def test_the_sitting_s_end_is_the_page_s_end(alone):
    """Pages are told, and the address is nobody's any more."""
    served = alone()
    page = Page(served)
    served.beside.close()
    while not page.frames[-1]["over"]:
        assert page.frame() is not None
    with pytest.raises(OSError):
        socket.create_connection(("127.0.0.1", served.port), timeout=2)
