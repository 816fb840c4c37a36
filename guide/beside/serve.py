"""The server of the page beside the machine, a process of its own: `python -m guide.beside.serve`, started by follow.

It learns from its standard input what there is to show, answers on its standard output with the presses of pages, and
ends with its input. It decides nothing, and writes nothing but photos.
"""

import asyncio
import pickle
import secrets
import sys
import threading
from base64 import b64encode
from contextlib import suppress
from hashlib import sha256
from importlib import resources
from pathlib import Path

import msgspec
from aiohttp import web

from guide import system
from guide.beside.gate import HEADERS, MOST_BYTES, NOTHING, TOO_LARGE, Gate, NoPhoto, made_anew, refusal
from guide.beside.sending import HEAD, OTHER, UNKEPT, Press, Told, Wanted, photo_name
from guide.beside.view import Art, Drawing, View, view_of
from guide.errors import GuideError
from guide.plan.model import Plan
from guide.record.fold import Folder
from guide.show.lines import Stood
from guide.show.pages.write import write_bytes
from guide.show.pictures.svg import DARK, LIGHT, css
from guide.show.scene import Scene, Words, remembering

BEAT_S = 2.0  # a sign of life to every page; one that hears none says that it is not connected
SLOW_S = 10.0  # a page that takes no more within this is let go
ANSWER_S = 5.0
UPLOAD_S = 60.0
MOST_PAGES = 40  # streams at once
MOST_KNOWN = 400  # that were here, and may come back
MOST_ASKED = 8  # presses at once that are not answered yet
MOST_PRESS = 1024  # bytes
MOST_STEP = 200  # characters of a step's key
MOST_PHOTOS = 500  # a sitting
SILENT = "The computer at the machine did not answer: look there."
KEYS = frozenset({"space", "u", "p"})


class Asked(msgspec.Struct, frozen=True):
    """A press as a page sends it."""

    page: str
    key: str
    of: int
    newest: int
    moves: int


class Frame(msgspec.Struct, frozen=True):
    """What pages are sent: the view, the moment it is of (wall ms), the drawings that a page does not know yet."""

    view: View | None
    now: int
    you: str = ""
    press: bool = False
    photo: bool = False
    drawings: list[Drawing] = []
    over: bool = False


class Hub:
    """What is known of the session, and who looks on."""

    def __init__(self, wanted: Wanted) -> None:
        """Begin knowing nothing."""
        self.wanted, self.over = wanted, False
        self.view: View | None = None
        self.drawings: list[Drawing] = []
        self.changed = asyncio.Event()
        self.pages: dict[str, str] = {}
        self.looking = self.uploads = self.photos = self.came = 0
        self._told: Told | None = None
        self._plan: Plan | None = None
        self._folder = Folder()
        self._stands: Stood | None = None
        self._stood: Stood | None = None
        self._art, self._words = Art(), remembering(Words())
        self._asked: dict[int, asyncio.Future[str]] = {}
        self._ids = 0
        self._due = False

    def hear(self, told: Told | View) -> None:
        """Take in what the session says, drawn once for all that has come; a view that is made already is shown."""
        if isinstance(told, View):
            self.view = told
            self.tell()
            return
        for number, why in told.answers:
            if (asked := self._asked.pop(number, None)) is not None and not asked.done():
                asked.set_result(why)
        self._plan = told.plan or self._plan
        if told.anew:
            self._folder, self._stands = Folder(), None
        for event in told.events:
            self._folder.add(event)
        if self._told is None or self._told.moves != told.moves or told.anew:
            self._stood = self._stands
        self._told, self._stands = told, Stood.of(told.desk, self._folder.record)
        if not self._due:
            self._due = True
            asyncio.get_running_loop().call_soon(self.draw)

    def draw(self) -> None:
        """Work the page out where somebody looks; pages are told when it has changed."""
        self._due = False
        told, plan = self._told, self._plan
        if told is None or plan is None or not self.looking:
            return
        scene = Scene(
            plan, self._folder.record, told.desk, told.now, self._words, paces=told.paces,
            saved_in=told.journal, rest=told.rest, beside_waits=told.beside_waits,
        )  # fmt: skip
        seen = {"of": told.of, "newest": told.newest, "moves": told.moves}
        view, drawings = view_of(scene, self._art, stood=self._stood, **seen)
        if view != self.view:
            self.view, self.drawings = view, drawings
            self.tell()

    def named(self, page: str) -> str:
        """Know a page that comes back, by the mark it was given; or give it one, and a name for the record."""
        if page not in self.pages:
            page = secrets.token_hex(8)
            self.pages[page] = f"page {self.came + 1}"
            self.came += 1
            if len(self.pages) > MOST_KNOWN:
                del self.pages[next(iter(self.pages))]
        return page

    def tell(self) -> None:
        """Wake everybody who waits for a change."""
        self.changed.set()
        self.changed = asyncio.Event()

    def end(self) -> None:
        """The sitting has ended, or the session's process."""
        self.over = True
        self.tell()

    def now(self) -> int:
        """The session's clock when it was last heard of, wall ms."""
        return self._told.now.wall if self._told else 0

    async def ask(self, page: str, **what: object) -> str:
        """Pass a press on to the session and give its answer: why it was not taken, or ""."""
        if len(self._asked) >= MOST_ASKED:
            return "Too many presses at once."
        self._ids += 1
        press = Press(self._ids, self.pages[page], **what)  # type: ignore[arg-type]
        answer: asyncio.Future[str] = asyncio.get_running_loop().create_future()
        self._asked[press.id] = answer
        sys.stdout.buffer.write(msgspec.json.encode(press) + b"\n")
        sys.stdout.buffer.flush()
        try:
            async with asyncio.timeout(ANSWER_S):
                return await answer
        except TimeoutError:
            return SILENT
        finally:
            self._asked.pop(press.id, None)

    def photo_place(self, of: str) -> tuple[Path, str]:
        """Where the next photo of this session goes, and its name in its folder; none where another is at hand."""
        if self._told is None or of != str(self._told.of):
            return Path(), ""
        journal = Path(self._told.journal)
        name = photo_name(journal, secrets.token_hex(4))
        return journal.parent / name, name


class Pages:
    """What may be asked for: the page, the stream of what it shows, a press, a photo."""

    def __init__(self, hub: Hub) -> None:
        """Read the page once, with the sums of its own script and style, the only ones it may have."""
        self.hub = hub
        files = resources.files("guide.beside")
        page, style, script = (
            files.joinpath(f"page.{end}").read_text(encoding="utf-8") for end in ("html", "css", "js")
        )
        for name, said in (("light", css(LIGHT)), ("dark", css(DARK)), ("paper", LIGHT["paper"])):
            style = style.replace(f"/*{name}*/", said)
        limits = f"const MOST_BYTES = {MOST_BYTES}, TOO_LARGE = {TOO_LARGE!r};"
        script = script.replace("/*limits*/", limits)
        sums = {
            name: b64encode(sha256(text.encode()).digest()).decode()
            for name, text in (("style", style), ("script", script))
        }
        self.body = page.replace("/*style*/", style).replace("/*script*/", script).encode()
        self.policy = (
            f"{NOTHING}; script-src 'sha256-{sums['script']}'; style-src 'sha256-{sums['style']}'; connect-src 'self'; "
            "img-src data:"
        )

    async def front(self, _request: web.Request) -> web.Response:
        """The page itself: there is nothing of the session in it."""
        response = web.Response(body=self.body, content_type="text/html", charset="utf-8", headers=HEADERS)
        response.headers["Content-Security-Policy"] = self.policy
        response.force_close()
        return response

    async def stream(self, request: web.Request) -> web.StreamResponse:
        """What there is to see, a line for every change and an empty one as a sign of life."""
        hub = self.hub
        if hub.looking >= MOST_PAGES:
            return refusal(503, "Too many pages look on already.")
        page = hub.named(request.query.get("page", ""))
        response = web.StreamResponse(headers={**HEADERS, "Content-Security-Policy": NOTHING})
        response.content_type = "application/x-ndjson"
        hub.looking += 1
        try:
            await response.prepare(request)
            await self._follow(response, page)
        except (TimeoutError, ConnectionError):
            if request.transport is not None:
                request.transport.abort()
        finally:
            hub.looking -= 1
        return response

    async def _follow(self, response: web.StreamResponse, page: str) -> None:
        hub, known, view = self.hub, set[str](), None
        hub.draw()
        while True:
            changed, line = hub.changed, b"\n"
            if hub.over or (hub.view is not None and hub.view is not view):
                view = hub.view
                new = [one for one in hub.drawings if one.name not in known]
                known |= {one.name for one in new}
                frame = Frame(view, hub.now(), page, hub.wanted.press, hub.wanted.photo, new, hub.over)
                line = msgspec.json.encode(frame) + b"\n"
            async with asyncio.timeout(SLOW_S):
                await response.write(line)
            if hub.over:
                return
            if hub.changed is changed:
                with suppress(TimeoutError):
                    async with asyncio.timeout(BEAT_S):
                        await changed.wait()

    async def press(self, request: web.Request) -> web.Response:
        """A press of the button, undo or pause."""
        async with asyncio.timeout(ANSWER_S):
            asked = msgspec.json.decode(await _body(request, MOST_PRESS), type=Asked)
        if not self.hub.wanted.press:
            return refusal(403, "Presses are not taken here: guide follow --beside --press.")
        if asked.page not in self.hub.pages or asked.key not in KEYS:
            return refusal(409, "Not connected: look, and press again.")
        seen = {"of": asked.of, "newest": asked.newest, "moves": asked.moves}
        return _answered(await self.hub.ask(asked.page, key=asked.key, **seen))

    async def photo(self, request: web.Request) -> web.Response:
        """A photo from the phone's camera: made anew, kept beside the journal, noted by the session."""
        hub = self.hub
        # Whatever can be refused is, before a byte of the photo is read; one at a time, for making it anew takes
        # memory.
        page, of, step = (request.query.get(one, "") for one in ("page", "of", "step"))
        if not hub.wanted.photo:
            return refusal(403, "No photos are taken here.")
        if page not in hub.pages:
            return refusal(409, "Not connected: the photo was not sent.")
        if len(step) > MOST_STEP:
            return refusal(400, "There is no such step: the photo was not kept.")
        if (request.content_length or 0) > MOST_BYTES:
            return refusal(413, TOO_LARGE)
        if hub.photos >= MOST_PHOTOS:
            return refusal(429, f"{MOST_PHOTOS} photos are the most of one sitting: this one was not kept.")
        if hub.uploads:
            return refusal(429, "One photo at a time.")
        hub.uploads += 1
        try:
            async with asyncio.timeout(UPLOAD_S):
                sent = await _body(request, MOST_BYTES)
            photo = await asyncio.to_thread(made_anew, sent)
            place, name = hub.photo_place(of)
            if not name:
                return refusal(409, OTHER)
            await asyncio.to_thread(write_bytes, place, photo)
        except NoPhoto as wrong:
            return refusal(415, str(wrong))
        except GuideError:
            return refusal(507, UNKEPT)
        finally:
            hub.uploads -= 1
        why = await hub.ask(page, of=int(of), photo=name, step=step)
        if why == SILENT:  # it may be noted yet: the photo stays
            why = f"{SILENT} The photo lies beside its journal: {name}"
        elif why:
            place.unlink(missing_ok=True)
            return _answered(why)
        hub.photos += 1
        return _answered(why)


async def _body(request: web.Request, most: int) -> bytes:
    """What is sent, up to so many bytes. Raises HTTPRequestEntityTooLarge."""
    parts, size = [], 0
    async for part in request.content.iter_chunked(1 << 16):
        size += len(part)
        if size > most:
            raise web.HTTPRequestEntityTooLarge(most, size)
        parts.append(part)
    return b"".join(parts)


def _answered(why: str) -> web.Response:
    return web.json_response({"why": why}, headers={**HEADERS, "Content-Security-Policy": NOTHING})


def _read() -> bytes:
    """One message of the session's process; empty when it has ended."""
    head = sys.stdin.buffer.read(HEAD.size)
    return sys.stdin.buffer.read(HEAD.unpack(head)[0]) if len(head) == HEAD.size else b""


def _listen(loop: asyncio.AbstractEventLoop, hub: Hub) -> None:
    """Hear the session in a thread of its own, to the end of what it says."""
    try:
        while message := _read():
            told = pickle.loads(message)  # noqa: S301 - from the process that started this one, and nobody else
            loop.call_soon_threadsafe(hub.hear, told)
    finally:
        loop.call_soon_threadsafe(hub.end)


async def serve(wanted: Wanted) -> None:
    """Serve until the session ends."""
    gate, hub = Gate(wanted.token), Hub(wanted)
    pages = Pages(hub)
    app = web.Application(middlewares=[gate.guard], client_max_size=MOST_BYTES)
    app.router.add_get("/", pages.front, allow_head=False)
    app.router.add_get("/stream", pages.stream, allow_head=False)
    app.router.add_post("/press", pages.press)
    app.router.add_post("/photo", pages.photo)
    runner = web.AppRunner(app, access_log=None, handle_signals=False, keepalive_timeout=30, lingering_time=0.1)
    await runner.setup()
    assert runner.server is not None
    loop = asyncio.get_running_loop()
    server = await loop.create_server(gate.before(runner.server), wanted.host, 0, backlog=256)
    port = server.sockets[0].getsockname()[1]
    names = {wanted.host, "localhost"} if wanted.host == "127.0.0.1" else {wanted.host}
    gate.hosts = frozenset(f"{name}:{port}" for name in names)
    sys.stdout.buffer.write(b"%d\n" % port)
    sys.stdout.buffer.flush()
    threading.Thread(target=_listen, args=(loop, hub), daemon=True).start()
    while not hub.over:
        await hub.changed.wait()
    server.close()
    await asyncio.sleep(0.3)  # pages are told that it is over


def main() -> None:
    """Run it, with the processor left to the session first."""
    system.stand_back()
    asyncio.run(serve(msgspec.json.decode(_read(), type=Wanted)))


if __name__ == "__main__":
    main()
