"""Who may come in to the page beside the machine, how many at once, and how long they may take to say who they are."""

import asyncio
import hmac
import io
import re
import warnings
from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, cast

import msgspec
from aiohttp import web

from guide.errors import GuideError

# A photo that a phone sends: made anew from its pixels alone, so that nothing of place or camera is in it.

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_BYTES = 32 << 20  # of what is sent
TOO_LARGE = f"This photo is too large: {MOST_BYTES >> 20} MB are the most."
MOST_PIXELS = 64_000_000  # more takes memory that the computer at the machine may not have
LONGEST = 2048  # pixels of the longer side kept: a sheet of paper's width, and the log can be sent by mail
QUALITY = 85
KINDS = ("JPEG", "PNG", "WEBP")


class NoPhoto(GuideError):
    """What was sent is no photo that can be kept; the text says why, and what to do."""


def made_anew(sent: bytes) -> bytes:
    """Give the photo as it is kept: an upright JPEG, no longer than LONGEST, with no notes in it. Raises NoPhoto."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of notes that are odd: none of them is kept
            return _kept(sent)
    except NoPhoto:
        raise
    except Exception:  # noqa: BLE001 - a file that is broken, or made to break a reader, does so in many ways
        raise NoPhoto("This is no photo that can be read whole: send a JPEG, PNG or WebP picture.") from None


def _kept(sent: bytes) -> bytes:
    """Make a photo anew, small enough and bare of all it tells besides. Raises NoPhoto for one of too many pixels."""
    from PIL import Image  # noqa: PLC0415 - only where a photo comes

    Image.MAX_IMAGE_PIXELS = None  # ours is stricter, and says what to do
    picture = Image.open(io.BytesIO(sent), formats=KINDS)
    wide, high = picture.size
    if wide * high > MOST_PIXELS:
        raise NoPhoto(
            f"This photo has {wide * high / 1e6:.0f} megapixels; {MOST_PIXELS // 1_000_000} are the most. "
            "Set the camera to a smaller size and take it again."
        )
    picture.draft("RGB", (LONGEST, LONGEST))  # a large JPEG is read at a fraction of its size
    upright = _upright(picture)
    upright.thumbnail((LONGEST, LONGEST))
    seen = upright.convert("RGBA")
    plain = Image.new("RGB", seen.size, "white")
    plain.paste(seen, mask=seen.getchannel("A"))
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def _upright(picture: "Image") -> "Image":
    """The picture as it was held, where its notes on that can be read; pixels that cannot be are found out later."""
    from PIL import ImageOps  # noqa: PLC0415 - as above

    try:
        return ImageOps.exif_transpose(picture)
    except (SyntaxError, ValueError, KeyError, TypeError):
        return picture


MOST = 160  # connections at once: the newest stranger takes the place of the oldest
STRANGER_S = 4.0  # within which a connection shows the token
STRANGER_BYTES = 32_768  # it may send until then
A_SECOND = 60  # requests of strangers that are answered; more are hung up on
HEADERS = {
    "Cache-Control": "no-store",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Server": "fraywork",
}
NOTHING = "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class Door(asyncio.Protocol):
    """One connection: passed on as it is, closed when it takes too long to show the token."""

    def __init__(self, gate: "Gate", inner: asyncio.Protocol) -> None:
        """Stand before the protocol that reads requests."""
        self.gate, self.inner, self.known, self.read = gate, inner, False, 0
        self.begun = b""  # of a stranger: a photo comes in one go with the head that shows the token
        self.transport: asyncio.Transport | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Let it in, or hang up."""
        self.transport = cast("asyncio.Transport", transport)
        self.inner.connection_made(transport)
        self.gate.came(self)

    def data_received(self, data: bytes) -> None:
        """Pass bytes on; a stranger may send so many."""
        self.read += len(data)
        if not self.known:
            self.begun += data[: STRANGER_BYTES - len(self.begun)]
            self.known = self.read > STRANGER_BYTES and self.gate.shown_in(self.begun)
        if not self.known and self.read > STRANGER_BYTES:
            self.hang_up()
        else:
            self.inner.data_received(data)

    def eof_received(self) -> bool | None:
        """Pass it on."""
        return self.inner.eof_received()

    def connection_lost(self, exc: Exception | None) -> None:
        """Take it out of the count."""
        self.gate.doors.pop(self, None)
        self.inner.connection_lost(exc)

    def pause_writing(self) -> None:
        """Pass it on."""
        self.inner.pause_writing()

    def resume_writing(self) -> None:
        """Pass it on."""
        self.inner.resume_writing()

    def hang_up(self) -> None:
        """Close it at once; nothing that is still to be sent is waited for."""
        if self.transport is not None:
            self.transport.abort()


class Gate:
    """All connections, and the token that lets in."""

    def __init__(self, token: str) -> None:
        """Let in whoever shows this token, asking by a host of these."""
        self.token = token.encode()
        self.hosts: frozenset[str] = frozenset()
        self.doors: dict[Door, None] = {}  # in the order they came
        self._answered = (0, 0)  # in this second of the loop's clock: which, and how many strangers

    def before(self, make: Callable[[], asyncio.Protocol]) -> Callable[[], Door]:
        """Put a door before every connection's protocol."""
        return lambda: Door(self, make())

    def came(self, door: Door) -> None:
        """Count a connection; where there are too many the oldest stranger goes, or else this one."""
        self.doors[door] = None
        if len(self.doors) > MOST:
            next((one for one in self.doors if not one.known), door).hang_up()
        asyncio.get_running_loop().call_later(STRANGER_S, lambda: None if door.known else door.hang_up())

    def shown_in(self, begun: bytes) -> bool:
        """Whether the head that a connection begins with shows the token; compared as in a request."""
        found = re.search(rb"\r\nauthorization: *Bearer ([^\r]*)\r", begun, re.IGNORECASE)
        return found is not None and hmac.compare_digest(found[1], self.token)

    def _is_known(self, request: web.Request) -> bool:
        """Whether it shows the token; compared in a time that says nothing of how much of it is right."""
        shown = request.headers.get("Authorization", "").removeprefix("Bearer ").encode("utf-8", "replace")
        if not hmac.compare_digest(shown, self.token):
            return False
        for door in self.doors:
            if door.transport is request.transport:
                door.known = True
        return True

    def _floods(self) -> bool:
        second = int(asyncio.get_running_loop().time())
        count = self._answered[1] + 1 if self._answered[0] == second else 1
        self._answered = second, count
        return count > A_SECOND

    def _same_place(self, request: web.Request) -> bool:
        """Whether it was asked by our own address, and by our own page where a page asks."""
        host, origin = request.headers.get("Host", ""), request.headers.get("Origin")
        site = request.headers.get("Sec-Fetch-Site", "same-origin")
        if host not in self.hosts or site not in {"same-origin", "none"}:
            return False
        return origin == f"http://{host}" if request.method != "GET" or origin is not None else True

    @web.middleware
    async def guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Answer only who may ask; everybody else learns nothing, and is hung up on where it is a flood."""
        front = request.method == "GET" and request.path == "/" and request.raw_path == "/"
        if not self._same_place(request):
            return self._refused(request, 403)
        if not front and not self._is_known(request):
            return self._refused(request, 401)
        if front and self._floods():
            return self._refused(request, 429)
        try:
            return await handler(request)
        except web.HTTPException as told:
            return refusal(told.status, "")
        except msgspec.MsgspecError:
            return refusal(400, "")
        except TimeoutError:
            return refusal(408, "")

    def _refused(self, request: web.Request, status: int) -> web.Response:
        if self._floods() and request.transport is not None:
            request.transport.abort()
        return refusal(status, "")


def refusal(status: int, why: str) -> web.Response:
    """Say no in the page's terms; the connection ends with it."""
    response = web.json_response({"why": why}, status=status, headers={**HEADERS, "Content-Security-Policy": NOTHING})
    response.force_close()
    return response
