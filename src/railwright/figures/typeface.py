"""The typeface of the figures: Inter, in two weights, packaged with its measures.

Every text in a figure is measured with these files and drawn with them, so that a figure looks the same on every
machine and needs none of its fonts. The subset carries neither kerning nor ligatures: the width of a line is the sum
of the advance widths of its characters, in a browser, in a PDF and here. No library is needed to read them.
"""

from __future__ import annotations

import base64
import struct
import unicodedata
from collections.abc import Mapping
from functools import cache, lru_cache
from pathlib import Path
from typing import Literal

__all__ = [
    "ASCENT",
    "CAP_HEIGHT",
    "DESCENT",
    "FAMILY",
    "X_HEIGHT",
    "fitted",
    "font_bytes",
    "font_face_css",
    "font_files",
    "has_glyph",
    "text_width",
    "wrapped",
]

#: Name under which the packaged files present themselves.
FAMILY = "Inter"

# Vertical measures of the files (hhea and OS/2 tables), as fractions of the text size.
ASCENT = 1984 / 2048
DESCENT = 494 / 2048
CAP_HEIGHT = 1490 / 2048
X_HEIGHT = 1118 / 2048

_FOLDER = Path(__file__).parent / "fonts"
# A character outside the subset is drawn by whatever the viewer has: its width is a guess on the wide side. [em]
_UNKNOWN_WIDTH = 0.65


def font_files() -> tuple[Path, ...]:
    """The packaged TrueType files: regular, bold."""
    return (_FOLDER / "Inter-Regular.ttf", _FOLDER / "Inter-Bold.ttf")


@cache
def font_bytes(*, bold: bool = False, form: Literal["ttf", "woff2"] = "woff2") -> bytes:
    """One packaged font file as bytes, to be embedded in a page or a drawing."""
    return (_FOLDER / f"Inter-{'Bold' if bold else 'Regular'}.{form}").read_bytes()


@lru_cache(maxsize=1)
def font_face_css() -> str:
    """The two weights as `@font-face` rules, files inside: a drawing that holds them looks the same anywhere."""
    rules = []
    for bold in (False, True):
        data = base64.b64encode(font_bytes(bold=bold)).decode("ascii")
        rules.append(
            f'@font-face{{font-family:"{FAMILY}";font-weight:{700 if bold else 400};'
            f'src:url(data:font/woff2;base64,{data}) format("woff2")}}'
        )
    return "".join(rules)


@lru_cache(maxsize=16384)
def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Width of one line of text.

    Parameters
    ----------
    text : str
        A line break counts as a space.
    size : float
        Text size. [px]
    bold : bool
        Whether the bold weight is meant.

    Returns
    -------
    float
        [px]. Exact for the characters of the subset, a guess on the wide side for any other.
    """
    advances = _advances(bold)
    return size * sum(advances[c] if c in advances else _foreign_width(c) for c in text)


def wrapped(text: str, size: float, width: float, *, bold: bool = False) -> tuple[str, ...]:
    """A text broken at its spaces into lines no wider than `width`; a word that is wider stands alone. [px]"""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size, bold=bold) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def fitted(text: str, size: float, width: float, *, bold: bool = False) -> str:
    """A text that fits a width [px], its end replaced by an ellipsis if need be."""
    if text_width(text, size, bold=bold) <= width:
        return text
    while text and text_width(text + "…", size, bold=bold) > width:
        text = text[:-1]
    return text.rstrip() + "…"


def has_glyph(character: str) -> bool:
    """Whether the packaged files can draw a character."""
    return character in _advances(False)


def _foreign_width(character: str) -> float:
    if unicodedata.combining(character):
        return 0.0
    return 1.0 if unicodedata.east_asian_width(character) in "WF" else _UNKNOWN_WIDTH


@lru_cache(maxsize=2)
def _advances(bold: bool) -> Mapping[str, float]:
    """Advance width of every character. [em]"""
    data = font_bytes(bold=bold, form="ttf")
    count = struct.unpack_from(">H", data, 4)[0]
    tables: dict[bytes, int] = {}
    for index in range(count):
        tag, _, offset, _ = struct.unpack_from(">4sLLL", data, 12 + 16 * index)
        tables[tag] = offset
    units = struct.unpack_from(">H", data, tables[b"head"] + 18)[0]
    metrics = struct.unpack_from(">H", data, tables[b"hhea"] + 34)[0]
    hmtx = tables[b"hmtx"]
    return {
        chr(code): struct.unpack_from(">H", data, hmtx + 4 * min(glyph, metrics - 1))[0] / units
        for code, glyph in _character_map(data, tables[b"cmap"]).items()
    }


def _character_map(data: bytes, cmap: int) -> dict[int, int]:
    """Code point to glyph number, from the segment map (format 4) that every file of the subset carries."""
    count = struct.unpack_from(">H", data, cmap + 2)[0]
    starts = [cmap + struct.unpack_from(">HHL", data, cmap + 4 + 8 * index)[2] for index in range(count)]
    start = next(at for at in starts if struct.unpack_from(">H", data, at)[0] == 4)
    segments = struct.unpack_from(">H", data, start + 6)[0] // 2
    ends = struct.unpack_from(f">{segments}H", data, start + 14)
    firsts = struct.unpack_from(f">{segments}H", data, start + 16 + 2 * segments)
    deltas = struct.unpack_from(f">{segments}h", data, start + 16 + 4 * segments)
    offsets_at = start + 16 + 6 * segments
    offsets = struct.unpack_from(f">{segments}H", data, offsets_at)
    glyphs: dict[int, int] = {}
    for index, (first, end, delta, offset) in enumerate(zip(firsts, ends, deltas, offsets, strict=True)):
        for code in range(first, min(end, 0xFFFE) + 1):
            if offset:
                glyph = struct.unpack_from(">H", data, offsets_at + 2 * index + offset + 2 * (code - first))[0]
                glyph = (glyph + delta) & 0xFFFF if glyph else 0
            else:
                glyph = (code + delta) & 0xFFFF
            if glyph:
                glyphs[code] = glyph
    return glyphs
