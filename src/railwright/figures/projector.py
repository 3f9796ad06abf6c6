"""The sheet for a projector: its size, its margins, its letters, and one pair of axes that can be read from afar."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from railwright.figures.axes import Scale, round_step, tick_label, ticks_between
from railwright.figures.chart import shown_unit
from railwright.figures.rows import PATH, Curve
from railwright.figures.scene import Box, Group, Item, Line, Pen, Point, Rectangle, Tag, Text
from railwright.figures.typeface import fitted, text_width, wrapped
from railwright.figures.waveforms import simplified

__all__ = [
    "HEADING", "HEIGHT", "LEADING", "MARGIN", "SAFE", "SMALLEST", "TEXT", "TITLE", "WIDTH", "LargePlot", "key_width",
    "large_plot", "lines_of", "paragraph",
]  # fmt: skip

#: ITU-R BT.709: the picture of high-definition television and of most projectors. [px]
WIDTH, HEIGHT = 1920.0, 1080.0
#: Nothing that has to be read lies nearer to the edge: 5 % across, as television's safe area asks (from memory). [px]
MARGIN = 96.0
_ABOVE = 50.0
SAFE = Box(left=MARGIN, top=_ABOVE, right=WIDTH - MARGIN, bottom=HEIGHT - _ABOVE)
# At 1080 lines 28 px are a 39th of the picture's height: about 18 points on a slide of 7.5 inches. [px]
SMALLEST = 28.0
TEXT = 34.0
HEADING = 44.0
TITLE = 72.0
LEADING = 1.28  # of the text size

# Between a number and its unit.
_AMOUNT = re.compile(r"(?<=\d) (?=(?:[mµkMnp]?(?:A|V|F|H|W|VA|Hz|s|Ω)|%)(?!\w))")
_GLUE = "\N{WORD JOINER}"  # not white space to Python, unlike a no-break space

_AXIS = Pen(width=2.4, cap="butt")
_FAINT = Pen(width=1.4, colour="#d0d0d0", cap="butt")
_SAMPLE, _GAP = 52.0, 10.0  # [px] of a line in the key, and beside it
_KEY = 44.0  # [px] a line of the key
_FOOT = 44.0  # [px] numbers under the axis
_THICKER = 2.1  # a curve on a sheet of paper is that much too thin for a wall
_MOST_LINES_OF_KEY = 2


def lines_of(text: str, width: float, size: float = TEXT, *, bold: bool = False) -> tuple[str, ...]:
    """A text in lines no wider than `width` [px]; a number and its unit stay together."""
    glued = _AMOUNT.sub(_GLUE, text)
    return tuple(line.replace(_GLUE, " ") for line in wrapped(glued, size, width, bold=bold))


def paragraph(
    text: str, at: Point, width: float, *, size: float = TEXT, bold: bool = False, colour: str = "ink"
) -> tuple[Text, ...]:
    """A text in lines; `at` is the left end of the first baseline."""
    return tuple(
        Text(at=(at[0], at[1] + index * size * LEADING), text=line, size=size, bold=bold, colour=colour)
        for index, line in enumerate(lines_of(text, width, size, bold=bold))
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LargePlot:
    """One pair of axes: what is drawn, and where a moment of the period lies on it."""

    frame: Box  # around everything that belongs to it
    box: Box  # the axes themselves
    across: Scale  # degrees
    up: Scale  # values in the unit shown
    factor: float
    curves: tuple[Curve, ...]
    axes: Group  # key, bands, axes, numbers
    lines: Group  # the curves

    def heights_at(self, degrees: float) -> tuple[float, ...]:
        """Where the main curves lie at one moment. [px]"""
        return tuple(
            self.up.at(float(np.interp(degrees, curve.degrees, curve.values)) * self.factor)
            for curve in self.curves
            if curve.reading
        )


def large_plot(
    curves: Sequence[Curve],
    frame: Box,
    *,
    title: str,
    unit: str,
    span: float,
    bands: Iterable[tuple[float, float]] = (),
    with_zero: bool = True,
    milliseconds: float | None = None,
    decimal: str = ".",
) -> LargePlot:
    """Curves over one period, in letters of at least `SMALLEST`.

    Parameters
    ----------
    curves : sequence of Curve
        At least one.
    frame : Box
        What there is room in. [px]
    title, unit : str
        Name of what is drawn, and its SI unit.
    span : float
        Where the period ends; it begins at 0. [deg]
    bands : iterable
        Stretches in which a diode conducts. [deg]
    with_zero : bool
        Whether the axis must show zero.
    milliseconds : float, optional
        Length of the period, if the axis is to be in time rather than degrees. [ms]
    decimal : str
        Decimal sign.
    """
    low, high = _reach(curves, with_zero=with_zero)
    factor, shown = shown_unit(max(abs(low), abs(high)), unit)
    key = _key(curves, title, shown, frame)
    numbers = _numbers(low * factor, high * factor)
    step = numbers[1] - numbers[0] if len(numbers) > 1 else 1.0
    labels = [tick_label(value, step, decimal=decimal) for value in numbers]
    side = max(text_width(label, SMALLEST) for label in labels) + 20.0
    box = Box(left=frame.left + side, top=frame.top + key.height, right=frame.right - 30.0, bottom=frame.bottom - _FOOT)
    across = Scale(low=0.0, high=span, start=box.left, end=box.right)
    up = Scale(low=low * factor, high=high * factor, start=box.bottom, end=box.top)
    items: list[Item] = []
    for start, end in bands:
        band = Box(left=across.at(start), top=box.top, right=across.at(end), bottom=box.bottom)
        items.append(Rectangle(box=band, pen=None, fill=PATH, fill_opacity=0.16, tag=Tag(classes=("band",))))
    for value, label in zip(numbers, labels, strict=True):
        y = up.at(value)
        items.append(Line(points=((box.left, y), (box.right, y)), pen=_FAINT))
        items.append(Text(at=(box.left - 12.0, y), text=label, size=SMALLEST, anchor="end", baseline="middle"))
    items += _across(across, box, milliseconds, decimal)
    if up.low <= 0.0 <= up.high:
        items.append(Line(points=((box.left, up.at(0.0)), (box.right, up.at(0.0))), pen=_AXIS))
    items.append(Line(points=((box.left, box.top - 6.0), (box.left, box.bottom)), pen=_AXIS))
    lines: list[Item] = []
    for curve in sorted(curves, key=lambda curve: not curve.behind):
        points = [
            (across.at(float(at)), up.at(float(value) * factor))
            for at, value in zip(curve.degrees, curve.values, strict=True)
        ]
        lines.append(Line(points=simplified(points, 0.2), pen=_pen(curve)))
    inside = Box(left=box.left - 4.0, top=box.top - 4.0, right=box.right + 4.0, bottom=box.bottom + 4.0)
    return LargePlot(
        frame=frame, box=box, across=across, up=up, factor=factor, curves=tuple(curves),
        axes=Group(items=(*key.items, *items)), lines=Group(items=tuple(lines), clip=inside),
    )  # fmt: skip


def _reach(curves: Sequence[Curve], *, with_zero: bool) -> tuple[float, float]:
    low = min(float(curve.values.min()) for curve in curves)
    high = max(float(curve.values.max()) for curve in curves)
    if with_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    if not high > low:
        low, high = low - (abs(low) * 0.1 if not with_zero else 0.0), high + (abs(high) * 0.1 or 1.0)
    if with_zero and -low < 0.01 * high:
        low = 0.0  # a current that only just turns round, or rounding
    margin = 0.06 * (high - low)
    return (low - margin if low < 0.0 or not with_zero else low), (high + margin if high > 0.0 else high)


def _numbers(low: float, high: float) -> tuple[float, ...]:
    for count in (4, 5, 6):
        found = ticks_between(low, high, count=count)
        if len(found) >= 2:
            return found
    return (low, high)


def _across(across: Scale, box: Box, milliseconds: float | None, decimal: str) -> list[Item]:
    """Numbers along the foot: degrees, or milliseconds of a source that has no angle."""
    if milliseconds is None:
        step = 90.0
        while across.high / step > 4.0:
            step *= 2.0
        marks = [(step * k, f"{step * k:g}°") for k in range(int(across.high / step + 1e-9) + 1)]
    else:
        width = round_step(milliseconds, 4)
        ticks = ticks_between(0.0, milliseconds, count=4)
        marks = [(t / milliseconds * across.high, tick_label(t, width, decimal=decimal)) for t in ticks]
        at, words = marks[-1]
        marks[-1] = at, f"{words} ms"
    items: list[Item] = []
    for at, words in marks:
        x = across.at(at)
        items.append(Line(points=((x, box.top), (x, box.bottom)), pen=_FAINT))
        items.append(Line(points=((x, box.bottom), (x, box.bottom + 8.0)), pen=_AXIS))
        items.append(
            Text(at=(x, box.bottom + 12.0), text=words, size=SMALLEST, anchor="middle", baseline="top")
        )
    return [*items, Line(points=((box.left, box.bottom), (box.right, box.bottom)), pen=_AXIS)]


def _pen(curve: Curve) -> Pen:
    dash = tuple(length * 1.6 for length in curve.dash)
    return Pen(width=curve.width * _THICKER, colour=curve.colour, dash=dash, cap="butt" if dash else "round")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Key:
    items: tuple[Item, ...]
    height: float  # [px]


def key_width(curves: Sequence[Curve], title: str) -> float:
    """How broad title and key are in one line. [px]"""
    labels = [curve.label for curve in curves if curve.label]
    words = text_width(f"{title}, mA", SMALLEST, bold=True) + 36.0
    return words + sum(_SAMPLE + _GAP + text_width(label, SMALLEST) for label in labels) + 30.0 * (len(labels) - 1)


def _key(curves: Sequence[Curve], title: str, unit: str, frame: Box) -> _Key:
    """Title with the unit, then what each line is; in two lines where one is too short."""
    words = f"{title}, {unit}"
    x, line = frame.left + text_width(words, SMALLEST, bold=True) + 36.0, 0
    items: list[Item] = [Text(at=(frame.left, frame.top + 30.0), text=words, size=SMALLEST, bold=True)]
    named = sorted((curve for curve in curves if curve.label), key=lambda curve: (curve.behind, not curve.reading))
    for curve in named:
        label = fitted(curve.label, SMALLEST, frame.width - _SAMPLE - _GAP)
        needed = _SAMPLE + _GAP + text_width(label, SMALLEST)
        if x + needed > frame.right:
            if line + 1 == _MOST_LINES_OF_KEY:
                break
            x, line = frame.left, line + 1
        y = frame.top + 30.0 + line * _KEY
        pen = replace(_pen(curve), width=min(_pen(curve).width, 6.0))
        items.append(Line(points=((x, y - 10.0), (x + _SAMPLE, y - 10.0)), pen=pen))
        items.append(Text(at=(x + _SAMPLE + _GAP, y), text=label, size=SMALLEST))
        x += needed + 30.0
    return _Key(items=tuple(items), height=_KEY * (line + 1) + 10.0)
