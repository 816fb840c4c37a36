"""Photos beside the log: read safely, freed of where they were taken, shown upright."""

import os
import stat
from base64 import b64encode
from collections.abc import Iterable, Iterator, Sequence
from html import escape
from pathlib import Path

import msgspec
from markupsafe import Markup

from guide import system
from guide.show.model import RemarkReport

# Taking a photo's hidden notes (place, camera, previews) out of its bytes; the picture itself is untouched.
#
# JPEG: segments APP1 … APP15 and comments go, all but Adobe's colour mark (APP14); what follows the end of the
# picture goes too. PNG: only the chunks a picture needs stay. Source: ISO/IEC 10918-1 Annex B; the
# Exif orientation tag 0x0112 of JEITA CP-3451; ISO/IEC 15948 for PNG.

KEPT_CHUNKS = {b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"sBIT"}
FRAMES = {*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC}  # start-of-frame markers: they hold the size
BARE = {0x01, *range(0xD0, 0xD9)}  # markers without a length


class Upright(msgspec.Struct, frozen=True):
    """A picture's bytes freed of notes, its stored size in pixels, and how it must be turned (1: not)."""

    data: bytes
    width: int
    height: int
    orientation: int = 1


def strip_jpeg(data: bytes) -> Upright | None:
    """A JPEG without its notes; None when it is not a whole JPEG."""
    out, width, height, orientation = bytearray(b"\xff\xd8"), 0, 0, 1
    at, end = 2, len(data)
    while at + 4 <= end:
        if data[at] != 0xFF:
            return None
        marker = data[at + 1]
        if marker == 0xFF:  # a filling byte
            at += 1
            continue
        if marker == 0xD9:
            out += b"\xff\xd9"
            break
        size = 2 if marker in BARE else 2 + int.from_bytes(data[at + 2 : at + 4])
        segment = data[at : at + size]
        if len(segment) < size or (size < 4 and marker not in BARE):
            return None
        if marker in FRAMES and len(segment) >= 9:
            height, width = int.from_bytes(segment[5:7]), int.from_bytes(segment[7:9])
        if marker == 0xE1 and segment[4:10] == b"Exif\0\0":
            orientation = exif_orientation(segment[10:])
        at += size
        if not (0xE1 <= marker <= 0xEF and marker != 0xEE) and marker != 0xFE:
            out += segment
        if marker == 0xDA:
            after = _scan_end(data, at)
            out += data[at:after]
            at = after
    whole = out.endswith(b"\xff\xd9") or data.rstrip(b"\0").endswith(b"\xff\xd9")
    if not out.endswith(b"\xff\xd9"):
        out += b"\xff\xd9"
    return Upright(bytes(out), width, height, orientation) if whole and width and height else None


def _scan_end(data: bytes, at: int) -> int:
    """Where the next marker after a scan's coded bytes stands (stuffed 0xFF00 and restarts belong to it)."""
    while (at := data.find(b"\xff", at)) >= 0 and at + 1 < len(data):
        if data[at + 1] != 0 and not 0xD0 <= data[at + 1] <= 0xD7:
            return at
        at += 2
    return len(data)


def exif_orientation(tiff: bytes) -> int:
    """The orientation 1 … 8 of an Exif block; 1 when there is none or it is broken."""
    order = {b"II": "little", b"MM": "big"}.get(tiff[:2])
    if order not in {"little", "big"}:
        return 1

    def whole(start: int, size: int) -> int:
        return int.from_bytes(tiff[start : start + size], "little" if order == "little" else "big")

    first = whole(4, 4)
    for entry in range(min(whole(first, 2), 200)):
        at = first + 2 + entry * 12
        if at + 12 <= len(tiff) and whole(at, 2) == 0x0112:
            turned = whole(at + 8, 2)
            return turned if 1 <= turned <= 8 else 1
    return 1


def strip_png(data: bytes) -> Upright | None:
    """A PNG with the chunks a picture needs and no others; None when it is not whole."""
    out = bytearray(data[:8])
    width = height = 0
    kinds = []
    for kind, chunk in _chunks(data):
        kinds.append(kind)
        if kind == b"IHDR":
            width, height = int.from_bytes(chunk[8:12]), int.from_bytes(chunk[12:16])
        if kind in KEPT_CHUNKS:
            out += chunk
    whole = kinds[:1] == [b"IHDR"] and kinds[-1:] == [b"IEND"] and b"IDAT" in kinds
    return Upright(bytes(out), width, height) if whole and width and height else None


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = 8
    while at + 12 <= len(data):
        size = 12 + int.from_bytes(data[at : at + 4])
        if at + size > len(data):
            return
        yield data[at + 4 : at + 8], data[at : at + size]
        if data[at + 4 : at + 8] == b"IEND":
            return
        at += size


LIMIT = 8 << 20  # bytes of one photo, and of all: a log is to be sent by mail
LIMIT_ALL = 24 << 20


class BadPhoto(ValueError):
    """A photo that cannot be shown; the text says why, in a few words."""


class Photo(msgspec.Struct, frozen=True):
    """A photo that a session names: its picture, or why there is none."""

    path: str
    caption: str
    picture: Markup | None = None
    problem: str = ""


def photo_list(remarks: Sequence[RemarkReport], folder: Path | None) -> list[Photo]:
    """Read the photos a session names."""
    return read_photos(
        ((one.text, f"{one.text}, at {one.step_title}" if one.step_title else one.text) for one in remarks), folder
    )


def read_photos(named: Iterable[tuple[str, str]], folder: Path | None) -> list[Photo]:
    """Read photos by their paths, each with its words; one that cannot be shown says why and never stops the page."""
    out: list[Photo] = []
    room = LIMIT_ALL
    for path, caption in named:
        try:
            picture = embed(folder, path, caption, min(LIMIT, room))
            room -= len(picture) * 3 // 4
            out.append(Photo(path, caption, picture))
        except BadPhoto as problem:
            out.append(Photo(path, caption, problem=str(problem)))
    return out


def read_photo(folder: Path, relative: str, limit: int = LIMIT) -> bytes:
    """The bytes of a photo inside the project's folder, links out of it refused. Raises BadPhoto."""
    if not relative or any(mark in relative for mark in "\0\\:") or relative.startswith(("/", "~")):
        raise BadPhoto("must be a plain path inside the project's folder")
    try:
        base = folder.resolve(strict=True)
        path = (base / relative).resolve(strict=True)
    except (OSError, RuntimeError):
        raise BadPhoto("not found") from None
    if not path.is_relative_to(base):
        raise BadPhoto("outside the project's folder")
    try:
        handle = system.open_plain(path, os.O_RDONLY)
    except OSError:
        raise BadPhoto("cannot be opened") from None
    about = os.fstat(handle)
    if not stat.S_ISREG(about.st_mode):
        os.close(handle)
        raise BadPhoto("not a file")
    with os.fdopen(handle, "rb") as file:
        if about.st_size > limit:
            raise BadPhoto(f"too large: {about.st_size >> 20} MB, where {max(limit, 0) >> 20} MB are left")
        return file.read(limit)


def embed(folder: Path | None, relative: str, caption: str, limit: int = LIMIT) -> Markup:
    """A photo as a data URI, without its notes on camera and place, turned by its own orientation.

    Raises BadPhoto, in words to print in its place.
    """
    if folder is None:
        raise BadPhoto("no folder to look in")
    data = read_photo(folder, relative, limit)
    if data.startswith(b"\xff\xd8\xff"):
        kind, upright = "image/jpeg", strip_jpeg(data)
    elif data.startswith(b"\x89PNG\r\n\x1a\n"):
        kind, upright = "image/png", strip_png(data)
    else:
        raise BadPhoto("not a JPEG or PNG picture")
    if upright is None:
        raise BadPhoto("damaged, or not whole")
    return _image(kind, upright, caption)


def _image(kind: str, photo: Upright, caption: str) -> Markup:
    """An upright photo in an SVG frame of its turned size, so nothing around it is covered."""
    source = f"data:{kind};base64,{b64encode(photo.data).decode()}"
    if photo.orientation == 1:
        return Markup('<img src="{}" alt="{}" width="{}" height="{}">').format(
            source, caption, photo.width, photo.height
        )
    wide, high = photo.width, photo.height
    seen = (high, wide) if photo.orientation >= 5 else (wide, high)
    turn = MATRICES[photo.orientation].format(w=wide, h=high)
    frame = (
        f'<svg class="photo" role="img" aria-label="{escape(caption)}" viewBox="0 0 {seen[0]} {seen[1]}" '
        f'width="{seen[0]}" height="{seen[1]}" '
        f'xmlns="http://www.w3.org/2000/svg"><image href="{source}" width="{wide}" height="{high}" '
        f'transform="matrix({turn})"/></svg>'
    )
    return Markup(frame)  # noqa: S704 - numbers, base64 and an escaped caption


MATRICES = {  # x' = a·x + c·y + e, y' = b·x + d·y + f for each orientation; w, h are the stored sizes
    2: "-1 0 0 1 {w} 0",
    3: "-1 0 0 -1 {w} {h}",
    4: "1 0 0 -1 0 {h}",
    5: "0 1 1 0 0 0",
    6: "0 1 -1 0 {h} 0",
    7: "0 -1 -1 0 {h} {w}",
    8: "0 -1 1 0 0 {w}",
}
