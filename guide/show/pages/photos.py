"""Photos beside the log: read safely, freed of where they were taken, shown upright."""

import os
import stat
from base64 import b64encode
from collections.abc import Sequence
from html import escape
from pathlib import Path

import msgspec
from markupsafe import Markup

from guide import system
from guide.show.model import RemarkReport
from guide.show.pages.jpeg import Upright, strip_jpeg, strip_png

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
    """Read the photos a session names; one that cannot be shown says why and never stops the page."""
    out: list[Photo] = []
    room = LIMIT_ALL
    for remark in remarks:
        caption = f"{remark.text}, at {remark.step_title}" if remark.step_title else remark.text
        try:
            picture = embed(folder, remark.text, caption, min(LIMIT, room))
            room -= len(picture) * 3 // 4
            out.append(Photo(remark.text, caption, picture))
        except BadPhoto as problem:
            out.append(Photo(remark.text, caption, problem=str(problem)))
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
        return Markup('<img src="{}" alt="{}" width="{}" height="{}" style="height:auto">').format(
            source, caption, photo.width, photo.height
        )
    wide, high = photo.width, photo.height
    seen = (high, wide) if photo.orientation >= 5 else (wide, high)
    turn = MATRICES[photo.orientation].format(w=wide, h=high)
    frame = (
        f'<svg class="photo" role="img" aria-label="{escape(caption)}" viewBox="0 0 {seen[0]} {seen[1]}" '
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
