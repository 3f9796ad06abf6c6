"""Smaller PNG files: the picture stays, pixel by pixel; an imaging library reads both."""

from __future__ import annotations

import io
import struct
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageChops

from railwright.documents.plain_png import without_alpha
from railwright.figures.export import png_bytes

GREY = '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="30"><circle cx="20" cy="15" r="9"/></svg>'
COLOURED = GREY.replace("<circle", '<circle fill="#E69F00"')


def opened(png: bytes) -> Image.Image:
    return Image.open(io.BytesIO(png))


@pytest.mark.parametrize(("svg", "mode"), [(GREY, "L"), (COLOURED, "RGB")])
def test_the_picture_stays_and_gets_as_few_channels_as_it_needs(svg: str, mode: str) -> None:
    before = png_bytes(svg, width=400)
    after = without_alpha(before)
    assert opened(after).mode == mode
    assert ImageChops.difference(opened(before).convert("RGB"), opened(after).convert("RGB")).getbbox() is None
    assert len(after) < len(before)


def test_a_see_through_picture_is_left_alone() -> None:
    before = png_bytes(GREY, width=100, background=None)
    assert without_alpha(before) == before


@pytest.mark.parametrize("data", [b"", b"\x89PNG\r\n\x1a\n", b"GIF89a", b"\x89PNG\r\n\x1a\n\x00\x00\x00\x05IHDR"])
def test_what_is_no_picture_of_ours_is_left_alone(data: bytes) -> None:
    assert without_alpha(data) == data


def filtered(pixels: list[list[tuple[int, int, int]]], kinds: list[int]) -> bytes:
    """An opaque RGBA picture written with the given filter of each row, by the PNG specification's own formulas."""

    def paeth(left: int, above: int, corner: int) -> int:
        guess = left + above - corner
        return min((left, above, corner), key=lambda near: abs(guess - near))

    rows = [[channel for pixel in row for channel in (*pixel, 255)] for row in pixels]
    data = b""
    for place, (row, kind) in enumerate(zip(rows, kinds, strict=True)):
        data += bytes([kind])
        for at, value in enumerate(row):
            left = row[at - 4] if at >= 4 else 0
            above = rows[place - 1][at] if place else 0
            corner = rows[place - 1][at - 4] if place and at >= 4 else 0
            guess = (0, left, above, (left + above) // 2, paeth(left, above, corner))[kind]
            data += bytes([(value - guess) & 255])

    def chunk(name: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))

    head = struct.pack(">IIBBBBB", len(pixels[0]), len(pixels), 8, 6, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(data)) + chunk(b"IEND", b"")


byte = st.integers(0, 255)
rows = st.lists(st.lists(st.tuples(byte, byte, byte), min_size=3, max_size=3), min_size=1, max_size=5)


@given(rows, st.data())
def test_every_filter_keeps_every_pixel(pixels: list[list[tuple[int, int, int]]], data: st.DataObject) -> None:
    kinds = data.draw(st.lists(st.integers(0, 4), min_size=len(pixels), max_size=len(pixels)))
    before = filtered(pixels, kinds)
    after = without_alpha(before)
    assert after != before
    with opened(after) as picture:
        shown = [picture.convert("RGB").getpixel((x, y)) for y in range(len(pixels)) for x in range(3)]
    assert shown == [pixel for row in pixels for pixel in row]
