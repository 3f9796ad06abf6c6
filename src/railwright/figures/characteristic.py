"""Readings over one sheet key as curves: one pair of axes a reading, one above the other, over the same key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from railwright.figures.axes import Scale, round_step, tick_label, ticks_between, widened
from railwright.figures.scene import INK, Box, Circle, Item, Line, Pen, Point, Rectangle, Scene, Text, render
from railwright.quantities import format_quantity

if TYPE_CHECKING:
    from railwright.variation.table import Table

__all__ = ["characteristic"]

_WIDTH = 760.0  # [px]
_LEFT, _RIGHT = 96.0, 36.0  # [px]
_TOP, _FOOT = 44.0, 66.0  # [px]
_PANEL, _HEADER = 190.0, 34.0  # [px]
_MOST_MARKS = 41  # more points than that and their marks run together

# The Okabe-Ito colours and, for copies and eyes that tell no colours, a dash of its own for each.
_STYLES: tuple[tuple[str, tuple[float, ...]], ...] = (
    ("#D55E00", ()),
    ("#0072B2", (9.0, 4.0)),
    ("#009E73", (2.5, 3.5)),
    ("#CC79A7", (9.0, 3.0, 2.5, 3.0)),
)
_GRID = Pen(width=0.8, colour="#d0d0d0", cap="butt")
_AXIS = Pen(width=1.2, cap="butt")
#: Prefixes of the axes, largest first: the span decides, so that the numbers beside an axis stay short.
_PREFIXES = (("k", 1e-3), ("", 1.0), ("m", 1e3), ("µ", 1e6), ("n", 1e9), ("p", 1e12))
_TAKES_PREFIX = ("V", "A", "W", "VA", "F", "H", "ohm", "Hz", "s", "J", "C")


def characteristic(table: Table, *, title: str = "") -> str:
    """The table as the text of an SVG file."""
    return render(characteristic_scene(table, title=title), background="#ffffff")


def characteristic_scene(table: Table, *, title: str = "") -> Scene:
    """The table as a figure; a reading without a value anywhere leaves its axes empty and says so."""
    height = _TOP + len(table.readings) * (_HEADER + _PANEL) + _FOOT
    heading = title or f"Readings over {table.over}"
    items: list[Item] = [Text(at=(_LEFT, 26.0), text=heading, size=18.0, bold=True)]
    prefix, factor = _prefix(table.values, table.unit)
    low, high = min(table.values), max(table.values)
    across = Scale(low=low * factor, high=high * factor, start=_LEFT, end=_WIDTH - _RIGHT)
    for index, (name, column) in enumerate(table.readings.items()):
        top = _TOP + index * (_HEADER + _PANEL) + _HEADER
        box = Box(left=_LEFT, top=top, right=_WIDTH - _RIGHT, bottom=top + _PANEL - 18.0)
        items += _panel(table, name, column, box, across, factor, _STYLES[index % len(_STYLES)])
    items += _foot(across, height - _FOOT, f"{table.over} ({prefix}{_symbol(table.unit)})", table.model)
    return Scene(width=_WIDTH, height=height, items=tuple(items), title=heading, description=_described(table))


def _panel(
    table: Table,
    name: str,
    column: Sequence[float | None],
    box: Box,
    across: Scale,
    factor: float,
    style: tuple[str, tuple[float, ...]],
) -> list[Item]:
    unit = table.reading_units[name]
    known = [value for value in column if value is not None]
    if not known:
        middle = box.centre
        words = Text(at=middle, text="no value: see the reason", size=14.0, anchor="middle", baseline="middle")
        return [_heading(name, "", box), Rectangle(box=box, pen=_AXIS), words]
    prefix, upward = _prefix(known, unit)
    shown = [None if value is None else value * upward for value in column]
    some = [value for value in shown if value is not None]
    bottom, top = _span(min(some), max(some))
    up = Scale(low=bottom, high=top, start=box.bottom, end=box.top)
    colour, dash = style
    items: list[Item] = [_heading(name, f"{prefix}{_symbol(unit)}", box)]
    step = round_step(top - bottom, 4)
    for tick in ticks_between(bottom, top, count=4):
        y = up.at(tick)
        items.append(Line(points=((box.left, y), (box.right, y)), pen=_GRID))
        label = tick_label(tick, step)
        items.append(Text(at=(box.left - 8.0, y), text=label, size=13.0, anchor="end", baseline="middle"))
    for tick in ticks_between(*sorted((across.low, across.high)), count=8):
        items.append(Line(points=((across.at(tick), box.top), (across.at(tick), box.bottom)), pen=_GRID))
    items.append(Line(points=((box.left, box.top), (box.left, box.bottom), (box.right, box.bottom)), pen=_AXIS))
    stretch: list[Point] = []
    for value, reading in [*zip(table.values, shown, strict=True), (0.0, None)]:
        if reading is not None:
            stretch.append((across.at(value * factor), up.at(reading)))
            continue
        if len(stretch) > 1:
            items.append(Line(points=tuple(stretch), pen=Pen(width=2.2, colour=colour, dash=dash)))
        if len(table.values) <= _MOST_MARKS or len(stretch) == 1:
            items += [Circle(centre=point, radius=3.0, pen=None, fill=colour) for point in stretch]
        stretch = []
    return items


def _heading(name: str, unit: str, box: Box) -> Text:
    return Text(at=(box.left, box.top - 10.0), text=f"{name} ({unit})" if unit else name, size=14.0, bold=True)


def _foot(across: Scale, top: float, words: str, model: str) -> list[Item]:
    step = round_step(abs(across.high - across.low), 8)
    items: list[Item] = [
        Text(at=(across.at(tick), top + 4.0), text=tick_label(tick, step), size=13.0, anchor="middle", baseline="top")
        for tick in ticks_between(*sorted((across.low, across.high)), count=8)
    ]
    items.append(Text(at=(across.end, top + 42.0), text=words, size=14.0, anchor="end", colour=INK))
    items.append(Text(at=(across.start, top + 42.0), text=f"model: {model}", size=13.0))
    return items


def _span(low: float, high: float) -> tuple[float, float]:
    """The axis from zero, unless the values keep so far from it that their change would be lost."""
    if low > 0.0 and low < 0.7 * high:
        low = 0.0
    if high < 0.0 and high > 0.7 * low:
        high = 0.0
    # A constant reading is a level line, not the noise of its last bits.
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        low = high = (low + high) / 2.0
    return widened(low, high, count=4)


def _prefix(values: Sequence[float], unit: str) -> tuple[str, float]:
    largest = max(abs(value) for value in values)
    if unit not in _TAKES_PREFIX or largest == 0.0:
        return "", 1.0
    if unit == "F":
        # Capacitors are written in microfarad up to any size.
        return next((prefix, factor) for prefix, factor in _PREFIXES[3:] if largest * factor >= 1.0 or prefix == "p")
    return next((prefix, factor) for prefix, factor in _PREFIXES if largest * factor >= 1.0 or prefix == "p")


def _symbol(unit: str) -> str:
    return {"ohm": "Ω", "deg": "°"}.get(unit, unit)


def _described(table: Table) -> str:
    ends = f"from {format_quantity(table.values[0], table.unit)} to {format_quantity(table.values[-1], table.unit)}"
    sentences = [f"{len(table.values)} values of {table.over} {ends}, model {table.model}."]
    for name, column in table.readings.items():
        unit = table.reading_units[name]
        if column[0] is not None and column[-1] is not None:
            begin, end = format_quantity(column[0], unit), format_quantity(column[-1], unit)
            sentences.append(f"{name} goes from {begin} to {end}.")
    return " ".join(sentences)
