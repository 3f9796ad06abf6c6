"""A table for a projector: few rows, large letters, numbers flush right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from railwright.figures.projector import SMALLEST
from railwright.figures.scene import Box, Item, Line, Pen, Text
from railwright.figures.typeface import text_width, wrapped

__all__ = ["Cell", "large_table"]

_SIZES = (44.0, 40.0, 36.0, 32.0, SMALLEST)  # [px] the largest that fits
_AIR = 48.0  # [px] between columns
_HIGHEST, _LOWEST = 96.0, 1.45  # of a row: [px], and of the text size
_RULE = Pen(width=1.6, colour="#9a9a9a", cap="butt")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell: its text, and a colour that its column is known by elsewhere."""

    text: str
    bold: bool = False
    underline: str = ""


def large_table(rows: Sequence[Sequence[Cell]], frame: Box) -> Iterator[Item]:
    """The rows in a frame, as large as they go; the first column begins at the left, the others end at the right."""
    if not rows:
        return
    columns = len(rows[0])
    size = next((size for size in _SIZES if _fits(rows, size, frame)), _SIZES[-1])
    widths = [
        max(text_width(row[column].text, size, bold=row[column].bold) for row in rows) for column in range(1, columns)
    ]
    first = frame.width - sum(widths) - _AIR * len(widths)
    blocks = [wrapped(row[0].text, size, first) or ("",) for row in rows]
    lines = sum(len(block) for block in blocks)
    extra = max(0.0, min(_HIGHEST - size * 1.2, (frame.height - lines * size * 1.2) / len(rows)))
    y = frame.top
    for row, block in zip(rows, blocks, strict=True):
        base = y + extra / 2 + size * 0.95
        for number, line in enumerate(block):
            yield Text(at=(frame.left, base + number * size * 1.2), text=line, size=size, bold=row[0].bold)
        right = frame.right
        for cell, width in zip(reversed(row[1:]), reversed(widths), strict=True):
            if cell.text:
                yield Text(at=(right, base), text=cell.text, size=size, anchor="end", bold=cell.bold)
            if cell.underline:
                start = right - text_width(cell.text, size, bold=cell.bold)
                pen = Pen(width=5.0, colour=cell.underline, dash=(14.0, 8.0), cap="butt")
                yield Line(points=((start, base + 12.0), (right, base + 12.0)), pen=pen)
            right -= width + _AIR
        y += extra + len(block) * size * 1.2
        yield Line(points=((frame.left, y), (frame.right, y)), pen=_RULE)


def _fits(rows: Sequence[Sequence[Cell]], size: float, frame: Box) -> bool:
    """Whether every name stands in one line beside its numbers, and all rows below each other."""
    columns = len(rows[0])
    width = sum(
        max(text_width(row[column].text, size, bold=row[column].bold) for row in rows) for column in range(columns)
    )
    return width + _AIR * (columns - 1) <= frame.width and len(rows) * size * _LOWEST <= frame.height
