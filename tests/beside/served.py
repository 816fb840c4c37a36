"""A session on the sample project whose page is really served, and raw clients that ask for it."""

import http.client
import json
import socket
import threading
import time

from guide.beside.sending import Beside, Wanted
from guide.follow.session import Session
from guide.record.journal import Journal, read_journal
from tests.follow.samples import Clock, make_plan, opened

TOKEN = "only-for-this-sitting"
WAIT_S = 20  # at most, for what comes at once


class Served:
    """A session with a journal on the disk, its page served; `press` lets five seconds go by before a key."""

    def __init__(self, folder, *, press=True, plan=make_plan):
        self.clock, self.path = Clock(), folder / "2026-03-01.jsonl"
        self.journal = Journal.create(self.path)
        self.journal.append(opened(), self.clock.read())
        self.session = Session(self.journal, plan, self.clock)
        self.key = threading.Lock()  # as the screen's loop: one after another
        self.beside = Beside(Wanted("127.0.0.1", press, TOKEN))
        self.beside.take = self._taken
        self.address = self.beside.wait()
        self.port = self.beside.port
        self.after, self.pages = 5.0, []
        self.beside.tell(self.session)

    def _taken(self, press):
        with self.key:
            self.clock.run(self.after)
            self.beside.answer(press, self.session)
            self.beside.tell(self.session)

    def press(self, *keys):
        """Keys at the keyboard; gives the seconds that each took, told to the page and all."""
        took = []
        for key in keys:
            with self.key:
                self.clock.run(5.0)
                begun = time.perf_counter()
                self.session.press(key)
                self.beside.tell(self.session)
                took.append(time.perf_counter() - begun)
        return took

    def through(self, title):
        """Work on with the big key until this step is open."""
        while not (self.session.record.current and self.title == title):
            self.press("space")
        return self

    @property
    def title(self):
        from guide.follow.order import under_needle

        return under_needle(self.session.plan, self.session.record).title

    @property
    def events(self):
        return read_journal(self.path).events

    def ask(self, *args, **more):
        """One request as it stands; gives status, headers and body. Hung up on in a flood, it asks again."""
        for _ in range(50):
            try:
                return self._ask(*args, **more)
            except (http.client.RemoteDisconnected, ConnectionResetError):
                time.sleep(0.1)
        raise AssertionError("hung up on again and again")

    def _ask(self, path="/", method="GET", body=None, *, token=TOKEN, host=None, **headers):
        one = http.client.HTTPConnection("127.0.0.1", self.port, timeout=WAIT_S)
        one.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        given = {"Host": host or f"127.0.0.1:{self.port}"}
        given |= {"Origin": f"http://127.0.0.1:{self.port}"} if method == "POST" else {}
        given |= {"Authorization": f"Bearer {token}"} if token is not None else {}
        given |= {"Content-Length": str(len(body))} if body is not None else {}
        for name, value in (given | {name.replace("_", "-"): value for name, value in headers.items()}).items():
            if value is not None:
                one.putheader(name, value)
        one.endheaders(body)
        reply = one.getresponse()
        out = reply.status, dict(reply.getheaders()), reply.read()
        one.close()
        return out

    def close(self):
        for one in self.pages:
            one.close()
        self.beside.close()
        self.journal.close()


class Page:
    """A raw client that follows the stream."""

    def __init__(self, served, *, token=TOKEN):
        self.served, self.frames, self.kept = served, [], b""
        self.socket = socket.create_connection(("127.0.0.1", served.port), timeout=WAIT_S)
        asked = f"GET /stream HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\nAuthorization: Bearer {token}\r\n\r\n"
        served.pages.append(self)
        self.socket.sendall(asked.encode())
        self.frame()

    def frame(self):
        """The next thing the page is sent; None when it has ended. What only keeps the stream open is no such thing."""
        end = time.monotonic() + WAIT_S
        while time.monotonic() < end:
            for line in self._lines():
                self.frames.append(json.loads(line))
                return self.frames[-1]
            if not self._more():
                return None
        raise AssertionError(f"nothing new within {WAIT_S} s")

    def _more(self):
        got = self.socket.recv(1 << 16)
        self.kept += got
        return got

    def _lines(self):
        while b"\n" in self.kept:
            line, _, self.kept = self.kept.partition(b"\n")
            if line.startswith(b"{"):
                yield line.rstrip(b"\r")

    def until(self, true):
        """The first view, from the newest on, of which this is true."""
        end = time.monotonic() + WAIT_S
        while not true(self.view):
            assert time.monotonic() < end, self.view
            assert self.frame() is not None
        return self.view

    @property
    def view(self):
        return self.frames[-1]["view"]

    def press(self, key="space", **other):
        """Press as the page does, by what it shows; gives why it was not taken, or ""."""
        asked = {"page": self.frames[-1]["you"], "key": key} | {
            one: self.view[one] for one in ("of", "newest", "moves")
        }
        status, _, body = self.served.ask("/press", "POST", json.dumps(asked | other).encode())
        return json.loads(body)["why"] if status == 200 else status

    def photo(self, data, step="", *, of=None, **headers):
        path = f"/photo?page={self.frames[-1]['you']}&of={of or self.view['of']}&step={step}"
        status, _, body = self.served.ask(path, "POST", data, **headers)
        return status, json.loads(body)["why"]

    def close(self):
        self.socket.close()
