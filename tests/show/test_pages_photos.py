"""Photos: nothing outside the project's folder, nothing that tells where they were taken, always upright."""

import os
import struct

import pytest

from guide.show.model import Moment, RemarkReport
from guide.show.pages.photos import BadPhoto, embed, exif_orientation, photo_list, read_photo, strip_jpeg, strip_png
from tests.show.photo_samples import JPEG, PNG, SECRET, exif, png_with_notes, with_notes


@pytest.fixture
def folder(tmp_path):
    home = tmp_path / "project"
    (home / "photos").mkdir(parents=True)
    (home / "photos" / "front.jpg").write_bytes(JPEG)
    (tmp_path / "secret.jpg").write_bytes(JPEG)
    return home


@pytest.mark.parametrize("order", ["big", "little"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_notes_go_and_the_picture_stays(orientation, order):
    """Place, comment, vendor notes and trailing bytes are gone; size and orientation are known; the coded picture is untouched."""
    found = strip_jpeg(with_notes(orientation, order))
    assert found is not None
    assert SECRET not in found.data
    assert b"Exif" not in found.data
    assert (found.width, found.height, found.orientation) == (16, 8, orientation)
    scan = JPEG.index(b"\xff\xda")
    assert JPEG[scan:] in found.data


def test_a_clean_photo_passes_byte_for_byte():
    """A JPEG and a PNG without notes come out as they were, but for the JFIF header kept in place."""
    assert strip_jpeg(JPEG).data == JPEG
    assert strip_png(PNG).data == PNG


def test_a_png_keeps_only_what_a_picture_needs():
    """Text and Exif chunks go, and what follows the end."""
    found = strip_png(png_with_notes())
    assert found.data == PNG
    assert (found.width, found.height) == (16, 8)


@pytest.mark.parametrize("size", range(0, len(JPEG) - 1, 7))
def test_half_a_photo_is_refused(size):
    """A file cut off anywhere gives no picture and no error of ours."""
    assert strip_jpeg(JPEG[:size]) is None


@pytest.mark.parametrize("size", range(8, len(PNG) - 1, 5))
def test_half_a_png_is_refused(size):
    """The same for a PNG."""
    assert strip_png(PNG[:size]) is None


@pytest.mark.parametrize("size", range(40))
def test_a_broken_exif_block_means_upright(size):
    """Cut anywhere, the block gives an orientation from 1 to 8 and never an error."""
    assert 1 <= exif_orientation(exif(6)[10 : 10 + size]) <= 8


@pytest.mark.parametrize(
    "path",
    ["../secret.jpg", "/etc/passwd", "~/x.jpg", "C:\\x.jpg", "a\\b.jpg", "x\0.jpg", "http://a.example/x.jpg", "", ".",
     "photos", "photos/none.jpg", "x" * 300, "photos/../../secret.jpg"],
)  # fmt: skip
def test_photo_paths_cannot_leave_the_folder(folder, path):
    """Every way out is refused in words, with the path as given and never the place it leads to."""
    with pytest.raises(BadPhoto) as refused:
        read_photo(folder, path)
    assert str(folder) not in str(refused.value)


def test_links_out_of_the_folder_are_refused(folder, tmp_path):
    """A link to a file outside, a link to a folder outside, and a circle of links."""
    (folder / "out.jpg").symlink_to(tmp_path / "secret.jpg")
    (folder / "up").symlink_to(tmp_path)
    (folder / "loop.jpg").symlink_to(folder / "loop.jpg")
    for path in ("out.jpg", "up/secret.jpg", "loop.jpg"):
        with pytest.raises(BadPhoto):
            read_photo(folder, path)


def test_a_pipe_does_not_hang_the_page(folder):
    """A named pipe where a photo should be is refused at once."""
    os.mkfifo(folder / "pipe.jpg")
    with pytest.raises(BadPhoto, match="not a file"):
        read_photo(folder, "pipe.jpg")


def test_a_huge_photo_is_left_out_and_said(folder):
    """Over the limit the page says so and is still made."""
    with pytest.raises(BadPhoto, match="too large"):
        read_photo(folder, "photos/front.jpg", limit=100)


@pytest.mark.parametrize("data", [b"GIF89a", b"<svg onload=alert(1)>", b"", b"\xff\xd8\xff", b"MZ"])
def test_only_jpeg_and_png_are_shown(folder, data):
    """A picture by name is not a picture by content."""
    (folder / "x.jpg").write_bytes(data)
    with pytest.raises(BadPhoto):
        embed(folder, "x.jpg", "x")


def test_a_bad_photo_never_stops_the_log(folder):
    """One row for each photo, the bad one with its reason and the path as it was given."""
    at = Moment("", "", "", "")
    named = (("photos/front.jpg", "Sew"), ("../secret.jpg", ""))
    remarks = [RemarkReport(1, "", title, path, None, "", at) for path, title in named]
    good, bad = photo_list(remarks, folder)
    assert good.picture.startswith("<img")
    assert bad.picture is None
    assert bad.path == "../secret.jpg"
    assert bad.problem == "outside the project's folder"


def test_a_photo_s_caption_cannot_break_out(folder):
    """The caption is an attribute's text, whatever is in it, turned or not."""
    for orientation in (1, 6):
        (folder / "p.jpg").write_bytes(with_notes(orientation))
        assert "<script" not in embed(folder, "p.jpg", '"><script>alert(1)</script>')


@pytest.mark.parametrize("order", ["big", "little"])
def test_what_follows_a_short_value_is_none_of_it(order):
    """[source] TIFF 6.0, section 2: a value of two bytes stands left in its field of four; nobody says what fills it."""
    sign = ">" if order == "big" else "<"
    tiff = (b"MM" if order == "big" else b"II") + struct.pack(sign + "HI", 42, 8) + struct.pack(sign + "H", 1)
    assert exif_orientation(tiff + struct.pack(sign + "HHIHH", 0x0112, 3, 1, 6, 0xFFFF)) == 6
