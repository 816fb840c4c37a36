"""A photo that a phone sends: made anew from its pixels alone, so that nothing of place or camera is in it."""

import io
import warnings
from typing import TYPE_CHECKING

from guide.errors import GuideError

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_BYTES = 32 << 20  # of what is sent
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
