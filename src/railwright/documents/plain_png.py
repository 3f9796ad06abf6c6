"""Smaller PNG files of our own opaque pictures: no alpha channel, and one channel where everything is grey.

A PNG filter works on each channel by itself (W3C PNG specification, section 9), so channels can be left out of the
filtered rows as they stand.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from typing import Final

_SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"
_RGBA: Final = 6  # colour types of the specification
_RGB: Final = 2
_GREY: Final = 0


def without_alpha(png: bytes) -> bytes:
    """The same picture with as few channels as it needs; one that isn't opaque 8-bit RGBA comes back as it is."""
    chunks = list(_chunks(png))
    if not chunks or chunks[0][0] != b"IHDR":
        return png
    width, height, depth, colours, *_, interlaced = struct.unpack(">IIBBBBB", chunks[0][1])
    if (depth, colours, interlaced) != (8, _RGBA, 0):
        return png
    data = zlib.decompress(b"".join(content for kind, content in chunks if kind == b"IDAT"))
    stride = 1 + 4 * width
    rows = [data[start : start + stride] for start in range(0, stride * height, stride)]
    if any(row[4::4] != _opaque(row[0], width, is_first=place == 0) for place, row in enumerate(rows)):
        return png
    if all(row[1::4] == row[2::4] == row[3::4] for row in rows):
        colours, kept = _GREY, [row[:1] + row[1::4] for row in rows]
    else:
        colours, kept = _RGB, [row[:1] + _three(row[1:]) for row in rows]
    head = struct.pack(">IIBBBBB", width, height, 8, colours, 0, 0, 0)
    return b"".join(
        (_SIGNATURE, _chunk(b"IHDR", head), _chunk(b"IDAT", zlib.compress(b"".join(kept), 9)), _chunk(b"IEND", b""))
    )


def _opaque(filtered: int, width: int, *, is_first: bool) -> bytes:
    """What a row of an opaque picture's alpha looks like under each of the five filters."""
    full, nothing = b"\xff", b"\x00"
    above = 0 if is_first else 255
    match filtered:
        case 0:  # as it is
            return full * width
        case 1:  # less the one at the left
            return full + nothing * (width - 1)
        case 2:  # less the one above
            return (full if is_first else nothing) * width
        case 3:  # less the mean of both
            first = (255 - above // 2) & 255
            return bytes([first]) + bytes([(255 - (255 + above) // 2) & 255]) * (width - 1)
        case _:  # less whichever of three is nearest to left + above - above left
            return (full if is_first else nothing) + nothing * (width - 1)


def _three(pixels: bytes) -> bytes:
    """Red, green, blue of pixels that have an alpha too."""
    kept = bytearray(len(pixels) // 4 * 3)
    for channel in range(3):
        kept[channel::3] = pixels[channel::4]
    return bytes(kept)


def _chunks(png: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(_SIGNATURE)
    while png.startswith(_SIGNATURE) and at + 12 <= len(png):
        length, kind = struct.unpack(">I4s", png[at : at + 8])
        yield kind, png[at + 8 : at + 8 + length]
        at += 12 + length


def _chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
