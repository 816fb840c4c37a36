"""Photos from a phone: made anew without their notes, upright and bounded; noted at their step; in the log."""

import asyncio
import io
import json
import re
import socket

import pytest

from tests.beside.conftest import wants_the_extra
from tests.beside.served import TOKEN, WAIT_S, Page
from tests.show.photo_samples import JPEG, SECRET, png_with_notes, with_notes


def sent(wide, high, kind="JPEG", colour="navy", **more):
    """A picture of a size, as it is sent."""
    wants_the_extra()
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (wide, high), colour).save(out, kind, **more)
    return out.getvalue()


def header_of(wide, high):
    """A PNG that says it has this size and holds next to nothing. [source] ISO/IEC 15948: IHDR, IDAT, IEND."""
    import struct
    import zlib

    from tests.show.photo_samples import chunk

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")


@pytest.fixture
def made_anew():
    wants_the_extra()
    from guide.beside.gate import made_anew

    return made_anew


def opened(data):
    from PIL import Image

    return Image.open(io.BytesIO(data))


@pytest.mark.parametrize(
    "data", [with_notes(1), png_with_notes(), with_notes(6, "little")], ids=["jpeg", "png", "lying"]
)
def test_nothing_of_place_or_camera_is_kept(made_anew, data):
    """The place written into the sample, its Exif block and its comments are gone; a judge of files finds none."""
    kept = made_anew(data)
    assert SECRET in data
    assert SECRET not in kept
    assert b"Exif" not in kept
    assert not opened(kept).getexif()
    assert opened(kept).format == "JPEG"


def test_a_lying_photo_is_turned_upright(made_anew):
    """[source] JEITA CP-3451, orientation 6: the stored left column is seen on top. 16 by 8 becomes 8 by 16."""
    kept = opened(made_anew(with_notes(6)))
    assert (opened(JPEG).size, kept.size) == ((16, 8), (8, 16))
    top, foot = (kept.convert("RGB").getpixel((1, y)) for y in (2, 14))
    assert top[0] > top[2]  # red lies left as it is stored, blue right
    assert foot[2] > foot[0]


def test_a_large_photo_is_made_smaller(made_anew):
    """The longer side at most 2048 pixels, the shape kept: 4000 by 3000 is 2048 by 1536; a small one stays."""
    assert opened(made_anew(sent(4000, 3000))).size == (2048, 1536)
    assert opened(made_anew(sent(300, 900, "PNG"))).size == (300, 900)


def test_two_hundred_megapixels_are_refused_kindly(made_anew):
    """By what its head says, before any of it is unpacked; with what to do."""
    from guide.beside.gate import NoPhoto

    with pytest.raises(NoPhoto, match=r"200 megapixels; 64 are the most\. Set the camera to a smaller size"):
        made_anew(header_of(16_330, 12_247))


@pytest.mark.parametrize(
    "data", [b"", b"GIF89a", JPEG[:100], b"\xff\xd8\xff" + b"\0" * 99, header_of(100, 100), b"<svg xmlns='x'/>", b"%PDF-1.7"],
    ids=["nothing", "gif", "cut off", "no jpeg", "little in it", "svg", "pdf"],
)  # fmt: skip
def test_what_is_no_whole_photo_is_refused(made_anew, data):
    """One sentence, whatever it is."""
    from guide.beside.gate import NoPhoto

    with pytest.raises(NoPhoto, match="no photo that can be read whole"):
        made_anew(data)


def test_a_photo_is_noted_at_the_step_it_was_taken_at(served, page):
    """Taken while the first step was under the needle, sent when the second was; it lies beside the journal."""
    served.through("Cut the squares")
    assert page.photo(with_notes(1), "cut/straighten") == (200, "")
    event = served.events[-1]
    assert (event.what, event.step, event.by[:4]) == ("photo", "cut/straighten", "page")
    kept = served.path.parent / event.name
    assert kept.read_bytes().startswith(b"\xff\xd8\xff")
    assert SECRET not in kept.read_bytes()
    assert page.until(lambda view: view["said"] == "Photo noted.")
    assert page.photo(with_notes(1), "no/such") == (200, "")
    assert served.events[-1].step == "cut/squares"


def test_the_log_shows_the_photo_without_its_place(served, page):
    """As any photo that a session names: read from the project's folder, embedded."""
    from guide.show.pages.photos import embed

    page.photo(with_notes(1))
    name = served.events[-1].name
    shown = str(embed(served.path.parent, name, "a photo"))
    assert shown.startswith('<img src="data:image/jpeg;base64,')
    assert served.session.record.remarks[-1].text == name


def test_a_photo_too_large_or_none_is_told_and_nothing_is_noted(served, page):
    """A hundred megabytes by their head, 200 megapixels, no photo, a page that nobody knows."""
    before = len(served.events)
    assert page.photo(b"x", **{"Content-Length": str(100 << 20)})[0] == 413
    status, why = page.photo(header_of(16_330, 12_247))
    assert (status, "200 megapixels" in why) == (415, True)
    assert page.photo(b"no photo")[0] == 415
    assert served.ask("/photo?page=nobody", "POST", JPEG)[0] == 409
    assert page.photo(JPEG, "x" * 5000)[0] == 400
    assert len(served.events) == before
    assert page.photo(JPEG) == (200, "")


def test_the_page_knows_the_limit_that_the_server_keeps(served):
    """The script weighs a photo before it is sent: 33,554,432 bytes [identity: 32 · 1024²]; no mark is left unfilled."""
    text = served.ask()[2].decode()
    assert "const MOST_BYTES = 33554432, TOO_LARGE = 'This photo is too large: 32 MB are the most.';" in text
    assert not re.findall(r"/\*\w+\*/", text)


def test_a_photo_is_taken_in_however_it_comes(served, page):
    """Head and photo in one go, as a busy computer reads them: hung up on, it would have to be taken again."""
    large = JPEG + bytes(400_000)  # what follows a JPEG's end is no part of it
    head = (
        f"POST /photo?page={page.frames[-1]['you']}&of={page.view['of']}&step= HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\n"
        f"Origin: http://127.0.0.1:{served.port}\r\nAuthorization: Bearer {TOKEN}\r\nContent-Length: {len(large)}\r\n\r\n"
    )
    before = len(served.events)
    with socket.create_connection(("127.0.0.1", served.port), timeout=WAIT_S) as one:
        one.sendall(head.encode() + large)
        assert one.recv(12) == b"HTTP/1.1 200"
    assert [one.what for one in served.events[before:]] == ["photo"]


def test_a_photo_that_cannot_be_kept_is_told(alone):
    """The folder takes nothing: the page says so, the session has no record of it, and goes on."""
    served = alone()
    (served.path.parent / "photos").write_text("in the way", encoding="utf-8")
    page = Page(served)
    status, why = page.photo(JPEG)
    assert (status, why) == (507, "The photo could not be kept, and nothing was noted: see to it at the computer.")
    served.press("space")
    assert [one.what for one in served.events] == ["opened", "step_started"]


def test_a_photo_that_the_session_does_not_note_is_taken_away_again(served, page, monkeypatch):
    """A disk that takes no record: no place on it is told to the phone, and no photo lies there that nobody knows."""
    folder = served.path.parent
    before, there = len(served.events), set(folder.glob("photos/*"))

    def full(*_):
        raise OSError(28, "No space left on device", str(served.path))

    monkeypatch.setattr(served.session.journal, "append", full)
    try:
        status, why = page.photo(JPEG)
        assert status == 200
        assert "could not be kept" in why
        assert str(folder) not in why
    finally:
        monkeypatch.undo()
    assert (len(served.events), set(folder.glob("photos/*"))) == (before, there)
    served.press("u")
    page.until(lambda view: view["moves"] == served.session.moves)
    assert page.photo(JPEG) == (200, "")


class Sent:
    """A request that sends this photo."""

    content_length, content = len(JPEG), None

    def __init__(self, **query):
        self.query, self.content = query, self

    async def iter_chunked(self, _size):
        yield JPEG


def photo_of(tmp_path, monkeypatch, *, photos=0, said=""):
    """What a page is told whose photo the session answers so; and what lies beside the journal."""
    wants_the_extra()
    from guide.beside import serve
    from guide.beside.sending import Wanted

    async def asked():
        hub = serve.Hub(Wanted())
        page, hub.photos = hub.named(""), photos

        async def answered(*_, **_more):
            return said

        monkeypatch.setattr(hub, "ask", answered)
        monkeypatch.setattr(hub, "photo_place", lambda _of: (tmp_path / "photos" / "one.jpg", "photos/one.jpg"))
        reply = await serve.Pages(hub).photo(Sent(page=page, of="1", step=""))
        return reply.status, json.loads(reply.body)["why"]

    return *asyncio.run(asked()), [one.name for one in tmp_path.glob("photos/*")]


def test_the_fate_of_a_photo_is_told(tmp_path, monkeypatch):
    """Noted it stays, refused it goes; where nobody answers it stays and is named; 500 a sitting are the most."""
    from guide.beside.serve import MOST_PHOTOS, SILENT

    status, why, there = photo_of(tmp_path, monkeypatch, photos=MOST_PHOTOS)
    assert (status, why[:38], there) == (429, "500 photos are the most of one sitting", [])
    assert photo_of(tmp_path, monkeypatch, said="No.") == (200, "No.", [])
    status, why, there = photo_of(tmp_path, monkeypatch, photos=MOST_PHOTOS - 1, said=SILENT)
    assert (status, why.startswith(SILENT), why.endswith("photos/one.jpg"), there) == (200, True, True, ["one.jpg"])
    assert photo_of(tmp_path, monkeypatch) == (200, "", ["one.jpg"])
