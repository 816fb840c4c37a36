"""A small invented photo, 16 × 8: green corner top left, red left, blue right; and ways to hide notes in it."""

import base64
import struct
import zlib

JPEG = base64.b64decode(
    "/9j/4AAQSkZJRgABAQAAAQABAAD/2wBDAAIBAQEBAQIBAQECAgICAgQDAgICAgUEBAMEBgUGBgYFBgYGBwkIBgcJBwYGCAsICQoK"
    "CgoKBggLDAsKDAkKCgr/2wBDAQICAgICAgUDAwUKBwYHCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoKCgoK"
    "CgoKCgoKCgr/wAARCAAIABADASIAAhEBAxEB/8QAHwAAAQUBAQEBAQEAAAAAAAAAAAECAwQFBgcICQoL/8QAtRAAAgEDAwIEAwUF"
    "BAQAAAF9AQIDAAQRBRIhMUEGE1FhByJxFDKBkaEII0KxwRVS0fAkM2JyggkKFhcYGRolJicoKSo0NTY3ODk6Q0RFRkdISUpTVFVW"
    "V1hZWmNkZWZnaGlqc3R1dnd4eXqDhIWGh4iJipKTlJWWl5iZmqKjpKWmp6ipqrKztLW2t7i5usLDxMXGx8jJytLT1NXW19jZ2uHi"
    "4+Tl5ufo6erx8vP09fb3+Pn6/8QAHwEAAwEBAQEBAQEBAQAAAAAAAAECAwQFBgcICQoL/8QAtREAAgECBAQDBAcFBAQAAQJ3AAEC"
    "AxEEBSExBhJBUQdhcRMiMoEIFEKRobHBCSMzUvAVYnLRChYkNOEl8RcYGRomJygpKjU2Nzg5OkNERUZHSElKU1RVVldYWVpjZGVm"
    "Z2hpanN0dXZ3eHl6goOEhYaHiImKkpOUlZaXmJmaoqOkpaanqKmqsrO0tba3uLm6wsPExcbHyMnK0tPU1dbX2Nna4uPk5ebn6Onq"
    "8vP09fb3+Pn6/9oADAMBAAIRAxEAPwD568ceOP8AhM/sv/Er+zfZt/8Ay337t23/AGRj7v614hRRX6t9D3/md/8Act/7sH7D9Kbg"
    "rhnw74Z4Z4e4eoewwdD67yQ5pz5eedCpL3qkpzd5zk9ZO17KySS//9k="
)
PNG = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAABAAAAAICAIAAAB/FOjAAAAAKUlEQVR4nGMU2WLDAAMnsh7B2U5yqxiwASasongA7TWwILubJjbQ"
    "XgMAvAkGSBpHSI0AAAAASUVORK5CYII="
)
SECRET = b"51.5007N 0.1246W"


def segment(marker, body):
    return bytes((0xFF, marker)) + struct.pack(">H", len(body) + 2) + body


def exif(orientation, order="big"):
    """An Exif block with an orientation and a place, in either byte order. [source] JEITA CP-3451, tag 0x0112."""
    mark = ">" if order == "big" else "<"
    tiff = (b"MM" if order == "big" else b"II") + struct.pack(mark + "HI", 42, 8)
    tiff += (
        struct.pack(mark + "H", 1)
        + struct.pack(mark + "HHIHH", 0x0112, 3, 1, orientation, 0)
        + struct.pack(mark + "I", 0)
    )
    return segment(0xE1, b"Exif\0\0" + tiff + SECRET)


def with_notes(orientation, order="big"):
    """The photo as a phone writes it: place, orientation, a comment, vendor notes, bytes after the end."""
    notes = exif(orientation, order) + segment(0xED, SECRET) + segment(0xFE, SECRET) + segment(0xE2, b"MPF\0" + SECRET)
    return JPEG[:2] + notes + JPEG[2:] + SECRET


def chunk(kind, body):
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def png_with_notes():
    head = 8 + 25
    return PNG[:head] + chunk(b"tEXt", b"Place\0" + SECRET) + chunk(b"eXIf", SECRET) + PNG[head:] + SECRET
