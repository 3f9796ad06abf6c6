"""One pair of axes for the plain charts: grid, ticks, heading, and lines and dots laid on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from railwright.figures.axes import Scale, round_step, tick_label, ticks_between
from railwright.figures.scene import Box, Copier, Group, Item, Line, Pen, Point, Scene, Tag, Text
from railwright.figures.typeface import fitted, text_width, wrapped

__all__ = ["SMALL", "TEXT", "TITLE", "Chart", "Entry", "finished", "key_line", "shown_unit"]

TITLE = 20.0  # [px]
TEXT = 16.0
SMALL = 15.0
_FAINT = Pen(width=0.8, colour="#d0d0d0", cap="butt")
_AXIS = Pen(width=1.2, cap="butt")
_THIN = Pen(width=1.0, cap="butt")
_NO_GREY = Copier()
_SAMPLE = 34.0


def shown_unit(largest: float, unit: str) -> tuple[float, str]:
    """Factor and unit in which numbers up to `largest` stay short."""
    size = abs(largest)
    if unit == "deg" or size == 0.0 or 0.5 <= size < 2000.0:
        return 1.0, unit
    if size >= 2000.0:
        return 1e-3, f"k{unit}"
    return (1e3, f"m{unit}") if size >= 5e-4 else (1e6, f"µ{unit}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """One pair of axes on the paper."""

    box: Box
    across: Scale
    up: Scale

    def point(self, x: float, y: float) -> Point:
        """Place of a pair of values. [px]"""
        return self.across.at(x), self.up.at(y)

    def axes(
        self,
        *,
        heading: str,
        unit: str,
        ticks: Sequence[tuple[float, str]],
        labels: bool = True,
        numbers: bool = True,
    ) -> Group:
        """Grid, numbers and heading; `ticks` are the values along the bottom with what is written there.

        Without `labels` nothing is written along the bottom, without `numbers` nothing beside the axis.
        """
        box, items = self.box, list[Item]()
        count = max(2, min(6, int(box.height // 30)))
        low, high = sorted((self.up.low, self.up.high))
        step = round_step(high - low, count)
        for value, words in ticks:
            x = self.across.at(value)
            items.append(Line(points=((x, box.top), (x, box.bottom)), pen=_FAINT, copier=_NO_GREY))
            items.append(Line(points=((x, box.bottom), (x, box.bottom + 5.0)), pen=_THIN))
            if labels:
                items.append(Text(at=(x, box.bottom + 8.0), text=words, size=SMALL, anchor="middle", baseline="top"))
        for tick in ticks_between(low, high, count=count):
            y = self.up.at(tick)
            items.append(Line(points=((box.left, y), (box.right, y)), pen=_FAINT, copier=_NO_GREY))
            items.append(Line(points=((box.left - 5.0, y), (box.left, y)), pen=_THIN))
            if numbers:
                label = tick_label(tick, step)
                items.append(Text(at=(box.left - 10.0, y), text=label, size=SMALL, anchor="end", baseline="middle"))
        if low <= 0.0 <= high:
            y = self.up.at(0.0)
            items.append(Line(points=((box.left, y), (box.right, y)), pen=_AXIS))
        items.append(Line(points=((box.left, box.top - 4.0), (box.left, box.bottom)), pen=_AXIS))
        items.append(Line(points=((box.left, box.bottom), (box.right, box.bottom)), pen=_AXIS))
        items.append(Text(at=(box.left - 10.0, box.top - 10.0), text=unit, size=SMALL, anchor="end", bold=True))
        items.append(Text(at=(box.left + 6.0, box.top - 10.0), text=heading, size=TEXT, bold=True))
        return Group(items=tuple(items), tag=Tag(classes=("axes",)))

    def curve(self, points: Iterable[tuple[float, float]], pen: Pen, *, reading: str = "") -> Group:
        """A line through pairs of values, cut at the edges."""
        line = Line(
            points=tuple(self.point(x, y) for x, y in points),
            pen=pen,
            tag=Tag(classes=("curve",), data={"reading": reading} if reading else {}),
        )
        return Group(items=(line,), clip=self.box.grown(2.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry of a key."""

    label: str
    pen: Pen


def key_line(entries: Sequence[Entry], right: float, y: float) -> list[Item]:
    """A key on one line that ends at `right`; `y` is its baseline. [px]"""
    items: list[Item] = []
    x = right
    for entry in reversed(entries):
        x -= text_width(entry.label, SMALL)
        items.append(Text(at=(x, y), text=entry.label, size=SMALL))
        x -= _SAMPLE + 6.0
        items.append(Line(points=((x, y - 5.0), (x + _SAMPLE, y - 5.0)), pen=entry.pen))
        x -= 16.0
    return items


def finished(
    items: Sequence[Item], *, width: float, height: float, title: str, kind: str, description: str, foot: str = ""
) -> Scene:
    """The figure with its heading above and what it rests on below; grows by the lines that the foot needs."""
    heading = Text(at=(28.0, 34.0), text=fitted(title or kind, TITLE, width - 56.0, bold=True), size=TITLE, bold=True)
    lines = wrapped(foot, 14.0, width - 56.0) if foot else ()
    notes = [
        Text(at=(28.0, height + 8.0 + 19.0 * number), text=line, size=14.0) for number, line in enumerate(lines)
    ]  # fmt: skip
    return Scene(
        width=width,
        height=height + (16.0 + 19.0 * len(lines) if lines else 0.0),
        items=(heading, *items, *notes),
        title=f"{kind}: {title}" if title else kind,
        description=description,
    )
