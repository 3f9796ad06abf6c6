"""The waveforms of a supply, stacked on one time axis in milliseconds and degrees.

Conduction intervals are bands named by their diodes; the drop of the diodes and the ripple are dimensioned as on a
drawing; the handbook's sawtooth lies dashed over the true curve. Lines differ in dash as well as in colour.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from railwright.figures import caption
from railwright.figures.axes import Scale, round_step, tick_label, ticks_between
from railwright.figures.compared import with_second
from railwright.figures.copier import black_and_white
from railwright.figures.room import Room
from railwright.figures.rows import PATH, Curve, Dimension, Note, Row, mains_periods, pattern_name, rows_of
from railwright.figures.scene import (
    INK,
    PAPER,
    Box,
    Copier,
    Group,
    Hatch,
    Item,
    Line,
    Pen,
    Point,
    Polygon,
    Rectangle,
    Scene,
    Tag,
    Text,
    bounds,
)
from railwright.figures.states import StateSpan, state_spans
from railwright.figures.typeface import text_width

if TYPE_CHECKING:
    from railwright.study import Study

__all__ = ["simplified", "waveform_group", "waveforms"]

# Sizes for a figure about 1000 px wide; on an A4 sheet 16 px are 8 points. [px]
TEXT = 16.0
SMALL = 15.0
_LEFT = 72.0  # room for the numbers of the vertical axes
_RIGHT = 104.0  # room for the ripple's dimension
_HEADER = 29.0  # title and key of a row
_SECOND_LINE = 21.0  # where the key doesn't fit beside the title
_STRIP = 60.0  # names, angles and bars of the conduction intervals
_STATE = 22.0  # a bar of a regulator's states
_FOOT = 62.0  # two scales of time
_SCALE = 31.0  # one of them
_GAP = 9.0  # between rows
_BAR = 9.0

_FAINT = Pen(width=0.8, colour="#d0d0d0", cap="butt")
_AXIS = Pen(width=1.2, cap="butt")
_THIN = Pen(width=1.0, cap="butt")
_ARROW = 8.0  # [px]
_NO_GREY = Copier()  # left out where nothing may be grey
_SHADES = (0.14, 0.05)
_BOUNDARY = Pen(width=0.9, colour="#8a5d00", dash=(2.0, 3.0), cap="butt")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plot:
    """One pair of axes on the paper."""

    row: Row
    box: Box
    across: Scale  # degrees
    up: Scale  # values in the unit shown
    factor: float  # shown = value x factor
    unit: str  # shown

    def point(self, degrees: float, value: float) -> Point:
        return self.across.at(degrees), self.up.at(value * self.factor)


def waveforms(
    study: Study,
    *,
    rows: Sequence[str] | None = None,
    width: float = 1000.0,
    height: float | None = None,
    copier: bool = False,
    hand: bool = True,
    compare: Study | None = None,
) -> Scene:
    """The waveforms of a study as a figure of its own.

    Parameters
    ----------
    study : Study
    rows : sequence of str, optional
        Which rows; chosen by the circuit if not given (see `rows.rows_of`).
    width, height : float
        Size of the figure; the height follows from the rows if not given. [px]
    copier : bool
        Pure black and white, no tint.
    hand : bool
        Whether the sawtooth of the handbook is shown where there is one.
    compare : Study, optional
        A second study of the same period, such as the supply without its capacitor, laid over the first.

    Raises
    ------
    ValueError
        If a row is named that doesn't exist, or the figure is too small to be read.
    """
    chosen = rows_of(study, rows, hand=hand)
    if compare is not None:
        chosen = with_second(chosen, study, compare)
    if height is None:
        height = (
            110.0
            + _STATE * len(state_spans(study))
            + 150.0 * sum(row.weight for row in chosen)
            + (_HEADER + _GAP) * len(chosen)
        )
    if width < 480.0 or height < 240.0:
        raise ValueError(f"Waveforms of {width:g} x {height:g} px can't be read. Allowed: at least 480 x 240 px.")
    heading = Text(at=(_LEFT, 26.0), text=study.title or "Waveforms", size=20.0, bold=True)
    frame = Box(left=0.0, top=36.0, right=width, bottom=height - 6.0)
    scene = Scene(
        width=width,
        height=height,
        items=(heading, waveform_group(study, chosen, frame)),
        title=f"Waveforms: {study.title}" if study.title else "Waveforms",
        description=caption.describe_waveforms(study, chosen),
    )
    return black_and_white(scene) if copier else scene


def waveform_group(study: Study, rows: Sequence[Row], frame: Box) -> Group:
    """The waveforms inside a frame of another figure."""
    degrees = 360.0 * mains_periods(study)
    across = Scale(low=0.0, high=degrees, start=frame.left + _LEFT, end=frame.right - _RIGHT)
    spans = state_spans(study)
    high = _STRIP + _STATE * len(spans)
    plots = tuple(_laid_out(rows, frame, across, strip=high, foot=_foot_height(study)))
    if not plots:
        return Group(items=())
    room = Room()
    body = Box(left=across.start, top=plots[0].box.top, right=across.end, bottom=plots[-1].box.bottom)
    behind = list(_bands(study, across, plots))
    strip = list(_strip(study, across, top=frame.top, bottom=frame.top + _STRIP))
    for number, part in enumerate(spans):
        strip += _states(spans[part], across, frame.top + _STRIP + _STATE * number)
    drawn: list[Item] = []
    for plot in plots:
        drawn.append(_axes(plot, plots))
    for plot in plots:
        drawn.append(_curves(plot, room))
    for plot in plots:
        drawn.append(_marks(plot, room, frame))
    foot = _time_axes(study, across, plots[-1].box.bottom)
    data = {
        "left": f"{across.start:g}",
        "right": f"{across.end:g}",
        "top": f"{body.top:g}",
        "bottom": f"{body.bottom:g}",
        "degrees": f"{degrees:g}",
    }
    return Group(items=(*behind, *strip, *drawn, foot), tag=Tag(classes=("waveforms",), data=data))


# ---------------------------------------------------------------- layout


def _laid_out(rows: Sequence[Row], frame: Box, across: Scale, *, strip: float, foot: float) -> Iterator[_Plot]:
    headers = [_header_height(row, across) for row in rows]
    free = frame.height - strip - foot - sum(headers) - max(0, len(rows) - 1) * _GAP
    whole = sum(row.weight for row in rows)
    top = frame.top + strip
    for row, header in zip(rows, headers, strict=True):
        height = free * row.weight / whole
        top += header
        box = Box(left=across.start, top=top, right=across.end, bottom=top + height)
        factor, unit = _shown_unit(row)
        low, high = _span(row)
        low, high = low * factor, high * factor
        up = Scale(low=low, high=high, start=box.bottom, end=box.top)
        yield _Plot(row=row, box=box, across=across, up=up, factor=factor, unit=unit)
        top += height + _GAP


_SAMPLE, _SAMPLE_GAP, _ENTRY_GAP = 34.0, 6.0, 16.0


def _keyed(row: Row) -> list[Curve]:
    """The curves that the key names: the true ones first, then by hand, then what lies behind."""
    return sorted(
        (curve for curve in row.curves if curve.label),
        key=lambda curve: (curve.behind, not curve.reading, curve.compared),
    )


def _header_height(row: Row, across: Scale) -> float:
    key = sum(_SAMPLE + _SAMPLE_GAP + text_width(curve.label, SMALL) + _ENTRY_GAP for curve in _keyed(row))
    title = row.title + (", magnified 000 times" if row.magnifies else "")
    fits = 8.0 + text_width(title, TEXT, bold=True) + key <= across.end - across.start
    return _HEADER if fits else _HEADER + _SECOND_LINE


def _shown_unit(row: Row) -> tuple[float, str]:
    """Factor and unit in which a row's numbers stay short."""
    largest = max(float(np.abs(curve.values).max()) for curve in row.curves)
    if row.magnifies and largest > 0:
        return 1.0, row.unit
    if 0 < largest < 1e-3:
        return 1e6, f"µ{row.unit}"
    if largest < 0.5:
        return 1e3, f"m{row.unit}"
    if largest >= 2000.0:
        return 1e-3, f"k{row.unit}"
    return 1.0, row.unit


def _span(row: Row) -> tuple[float, float]:
    """Least and greatest value to be shown; a little more than the curves, so that no crest touches the frame."""
    true = [curve for curve in row.curves if curve.reading]
    low = min(float(curve.values.min()) for curve in true or row.curves)
    high = max(float(curve.values.max()) for curve in true or row.curves)
    if row.with_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    reach = high - low
    for curve in row.curves:
        # A curve by hand or behind may widen the axis, but not by so much that the true one can't be read.
        low = max(min(low, float(curve.values.min())), low - 1.5 * reach)
        high = min(max(high, float(curve.values.max())), high + 1.5 * reach)
    if row.with_zero:
        if not high > low:
            return 0.0, 1.0
        if -low < 0.01 * high:
            low = 0.0  # a current that only just turns round, or rounding
        margin = 0.07 * (high - low)
        return (low - margin if low < 0 else low), (high + margin if high > 0 else high)
    margin = 0.10 * (high - low) or abs(high) * 0.01 or 1.0
    return low - margin, high + margin


# ---------------------------------------------------------------- conduction


def _intervals(study: Study) -> list[tuple[float, float, tuple[str, ...]]]:
    """Conduction intervals with a diode on, neighbours with the same diodes joined. [deg]"""
    joined: list[tuple[float, float, tuple[str, ...]]] = []
    for interval in study.conduction:
        on = tuple(interval.on)
        if joined and joined[-1][2] == on and abs(joined[-1][1] - interval.start) < 1e-6:
            joined[-1] = (joined[-1][0], interval.end, on)
        else:
            joined.append((interval.start, interval.end, on))
    return [piece for piece in joined if piece[2]]


def _bands(study: Study, across: Scale, plots: Sequence[_Plot]) -> Iterator[Item]:
    top, bottom = plots[0].box.top - _header_height(plots[0].row, across), plots[-1].box.bottom
    shade, last_end = _SHADES[0], -1.0
    for start, end, on in _intervals(study):
        left, right = across.at(start), across.at(end)
        # Two patterns that follow each other without a rest are told apart by their shade.
        shade = _SHADES[1] if start - last_end < 1e-6 and shade == _SHADES[0] else _SHADES[0]
        last_end = end
        yield Rectangle(
            box=Box(left=left, top=top, right=right, bottom=bottom),
            pen=None,
            fill=PATH,
            fill_opacity=shade,
            tag=Tag(classes=("band",), data={"on": pattern_name(on)}),
            copier=_NO_GREY,
        )
        for at, edge in ((start, left), (end, right)):
            if 0.0 < at < across.high:
                # Not through the line of words above each row.
                for plot in plots:
                    yield Line(points=((edge, plot.box.top - 4.0), (edge, plot.box.bottom)), pen=_BOUNDARY)


def _strip(study: Study, across: Scale, *, top: float, bottom: float) -> Iterator[Item]:
    """Bars of the intervals, with their diodes and angles above as far as they find room."""
    room = Room()
    bar_top = bottom - _BAR - 4.0
    intervals = _intervals(study)
    for start, end, on in intervals:
        left, right = across.at(start), across.at(end)
        yield Rectangle(
            box=Box(left=left, top=bar_top, right=right, bottom=bar_top + _BAR),
            pen=Pen(width=1.0, join="miter"),
            fill=PATH,
            tag=Tag(classes=("bar",), data={"on": pattern_name(on)}),
            copier=Copier(fill=Hatch(spacing=4.0), pen=Pen(width=1.2, join="miter")),
        )
    # Wide intervals first: of two that crowd each other, the one that carries more is named.
    for start, end, on in sorted(intervals, key=lambda piece: piece[0] - piece[1]):
        middle = across.at((start + end) / 2)
        names, angles = pattern_name(on), f"{start:.1f}° to {end:.1f}°"
        for line, size, bold, y in ((names, TEXT, True, top + 17.0), (angles, SMALL, False, top + 37.0)):
            half = text_width(line, size, bold=bold) / 2
            x = min(max(middle, across.start - _LEFT + half + 4.0), across.end + _RIGHT - half - 4.0)
            text = Text(at=(x, y), text=line, size=size, anchor="middle", bold=bold)
            box = Box(left=x - half - 6.0, top=y - size, right=x + half + 6.0, bottom=y)
            if not room.is_free(box):
                break
            room.take(box)
            yield text


def _states(spans: Sequence[StateSpan], across: Scale, top: float) -> Iterator[Item]:
    """Where one regulator leaves regulation: a bar in its own line, named at the left, its words where they fit."""
    middle = top + 8.0
    yield Text(
        at=(across.start - 10.0, middle), text=spans[0].part, size=SMALL, anchor="end", baseline="middle", bold=True
    )
    yield Line(points=((across.start, middle), (across.end, middle)), pen=replace(_THIN, width=0.8))
    room = Room()
    shown = sorted(spans, key=lambda span: span.start - span.end)
    for span in shown:
        box = Box(left=across.at(span.start), top=top + 2.0, right=across.at(span.end), bottom=top + 14.0)
        yield Rectangle(
            box=box, pen=Pen(width=1.1, join="miter"), fill=PAPER, tag=Tag(classes=("state",), data={"ref": span.part})
        )
        yield Rectangle(box=box, pen=None, fill=Hatch(spacing=5.0, width=1.0, degrees=-45.0))
        room.take(box)
    for span in shown:
        width = text_width(span.words, SMALL)
        right, left = across.at(span.end) + 6.0, across.at(span.start) - 6.0 - width
        for x in (right, left):
            box = Box(left=x, top=top + 1.0, right=x + width, bottom=top + 15.0)
            if room.is_free(box.grown(1.0)) and across.start <= x and x + width <= across.end + _RIGHT - 8.0:
                room.take(box)
                yield Text(at=(x, middle), text=span.words, size=SMALL, baseline="middle", halo=2.0)
                break


# ---------------------------------------------------------------- axes


def _foot_height(study: Study) -> float:
    """Room for the scales of time: a direct source has no angle. [px]"""
    return _FOOT if study.supply.mains.frequency else _FOOT - _SCALE


def _axes(plot: _Plot, plots: Sequence[_Plot]) -> Group:
    box, row = plot.box, plot.row
    items: list[Item] = []
    count = max(2, min(6, int(box.height // 26)))
    ticks = ticks_between(plot.up.low, plot.up.high, count=count)
    step = round_step(plot.up.high - plot.up.low, count)
    for degrees in _degree_ticks(plot.across.high):
        x = plot.across.at(degrees)
        items.append(Line(points=((x, box.top), (x, box.bottom)), pen=_FAINT, copier=_NO_GREY))
    for tick in ticks:
        y = plot.up.at(tick)
        items.append(Line(points=((box.left, y), (box.right, y)), pen=_FAINT, copier=_NO_GREY))
        items.append(Line(points=((box.left - 5.0, y), (box.left, y)), pen=_THIN))
        label = tick_label(tick, step)
        items.append(Text(at=(box.left - 10.0, y), text=label, size=SMALL, anchor="end", baseline="middle"))
    if plot.up.low <= 0.0 <= plot.up.high:
        y = plot.up.at(0.0)
        items.append(Line(points=((box.left, y), (box.right, y)), pen=_AXIS, tag=Tag(classes=("zero",))))
    items.append(Line(points=((box.left, box.top - 4.0), (box.left, box.bottom)), pen=_AXIS))
    items.extend(_header(plot, plots))
    return Group(items=tuple(items), tag=Tag(classes=("axes",), data={"row": row.key}))


def _header(plot: _Plot, plots: Sequence[_Plot]) -> Iterator[Item]:
    """Unit, title and key of a row, on one line above it."""
    box, row = plot.box, plot.row
    y = box.top - 10.0
    yield Text(at=(box.left - 10.0, y), text=plot.unit, size=SMALL, anchor="end", bold=True)
    title = row.title
    original = next((other for other in plots if other.row.key == row.magnifies), None)
    if row.magnifies and original is not None:
        times = plot.up.length(1.0) / (original.up.length(1.0) * original.factor)
        title += f", magnified {times:.2g} times" if times < 100 else f", magnified {round(times, -1):.0f} times"
    elif row.magnifies:
        title += f", axis from {plot.up.low:.4g} {plot.unit} to {plot.up.high:.4g} {plot.unit}"
    above = _header_height(row, plot.across) - _HEADER
    yield Text(at=(box.left + 8.0, y - above), text=title, size=TEXT, bold=True)
    x = box.right
    # The last entry ends at the right edge.
    for curve in reversed(_keyed(row)):
        x -= text_width(curve.label, SMALL)
        label = Text(at=(x, y), text=curve.label, size=SMALL)
        x -= _SAMPLE + _SAMPLE_GAP
        sample = Line(points=((x, y - 5.0), (x + _SAMPLE, y - 5.0)), pen=_pen(curve))
        yield from (sample, label)
        x -= _ENTRY_GAP


def _pen(curve: Curve) -> Pen:
    return Pen(width=curve.width, colour=curve.colour, dash=curve.dash, cap="butt" if curve.dash else "round")


def _degree_ticks(span: float) -> tuple[float, ...]:
    step = 90.0
    while span / step > 8.0:
        step *= 2.0
    return tuple(step * index for index in range(int(span / step + 1e-9) + 1))


def _time_axes(study: Study, across: Scale, bottom: float) -> Group:
    """Milliseconds on the upper scale, degrees on the lower one."""
    milliseconds = study.period * 1e3
    count = 10 if milliseconds >= 1.0 else 5
    step = round_step(milliseconds, count)
    items: list[Item] = []
    has_angles = bool(study.supply.mains.frequency)
    upper, lower = bottom, bottom + _SCALE
    for y in (upper, lower)[: 1 + has_angles]:
        items.append(Line(points=((across.start, y), (across.end, y)), pen=_AXIS))
    for tick in ticks_between(0.0, milliseconds, count=count):
        x = across.at(tick / milliseconds * across.high)
        items.append(Line(points=((x, upper), (x, upper + 5.0)), pen=_THIN))
        items.append(
            Text(at=(x, upper + 7.0), text=tick_label(tick, step), size=SMALL, anchor="middle", baseline="top")
        )
    for tick in _degree_ticks(across.high) if has_angles else ():
        x = across.at(tick)
        items.append(Line(points=((x, lower), (x, lower + 5.0)), pen=_THIN))
        items.append(Text(at=(x, lower + 7.0), text=f"{tick:g}°", size=SMALL, anchor="middle", baseline="top"))
    for y, unit in ((upper, "ms"), (lower, "degrees"))[: 1 + has_angles]:
        items.append(Text(at=(across.end + 26.0, y + 7.0), text=unit, size=SMALL, baseline="top", bold=True))
    return Group(items=tuple(items), tag=Tag(classes=("time",)))


# ---------------------------------------------------------------- curves


def simplified(points: Sequence[Point], tolerance: float) -> tuple[Point, ...]:
    """The line without the points that lie within `tolerance` [px] of what remains (Ramer, Douglas, Peucker)."""
    spots = np.asarray(points, dtype=float)
    keep = np.zeros(len(spots), dtype=bool)
    keep[[0, -1]] = True
    stretches = [(0, len(spots) - 1)]
    while stretches:
        first, last = stretches.pop()
        if last - first < 2:
            continue
        along = spots[last] - spots[first]
        offsets = spots[first + 1 : last] - spots[first]
        square = float(along @ along)
        share = np.clip(offsets @ along / square, 0.0, 1.0) if square > 0.0 else np.zeros(len(offsets))
        away = np.hypot(*(offsets - share[:, None] * along).T)
        farthest = int(np.argmax(away))
        if away[farthest] > tolerance:
            middle = first + 1 + farthest
            keep[middle] = True
            stretches += [(first, middle), (middle, last)]
    return tuple((float(x), float(y)) for x, y in spots[keep])


def _curves(plot: _Plot, room: Room) -> Group:
    items: list[Item] = []
    for curve in sorted(plot.row.curves, key=lambda curve: not curve.behind):
        points = [plot.point(float(at), float(value)) for at, value in zip(curve.degrees, curve.values, strict=True)]
        line = simplified(points, 0.12)
        room.take_line(line)
        kinds = ("curve",) + (("behind",) if curve.behind else ()) + (("by-hand",) if "by hand" in curve.label else ())
        data = {"reading": curve.reading} if curve.reading else {}
        items.append(Line(points=line, pen=_pen(curve), tag=Tag(classes=kinds, data=data)))
    clip = Box(
        left=plot.box.left - 2.0, top=plot.box.top - 2.0, right=plot.box.right + 2.0, bottom=plot.box.bottom + 2.0
    )
    return Group(items=tuple(items), clip=clip, tag=Tag(classes=("curves",), data={"row": plot.row.key}))


# ---------------------------------------------------------------- dimensions


def _marks(plot: _Plot, room: Room, frame: Box) -> Group:
    items: list[Item] = []
    # The ripple's extension lines first: the label of the drops keeps clear of them.
    for dimension in sorted(plot.row.dimensions, key=lambda dimension: dimension.kind, reverse=True):
        if dimension.kind == "ripple":
            items += _ripple_dimension(plot, dimension, room, frame)
        else:
            items += _drop_dimension(plot, dimension, room)
    for note in plot.row.notes:
        items += _noted(plot, note, room)
    return Group(items=tuple(items), tag=Tag(classes=("dimensions",), data={"row": plot.row.key}))


def _ripple_dimension(plot: _Plot, dimension: Dimension, room: Room, frame: Box) -> list[Item]:
    """Beside the axes: extension lines from crest and valley, the value at the dimension line."""
    high, low = plot.point(dimension.high_at, dimension.high), plot.point(dimension.low_at, dimension.low)
    x = plot.box.right + 16.0
    items: list[Item] = [
        Line(points=((start[0] + 4.0, start[1]), (x + 6.0, start[1])), pen=replace(_THIN, width=0.9))
        for start in (high, low)
    ]
    for start in (high, low):
        room.take_line(((start[0], start[1]), (x, start[1])))
    items += _dimension_line(x, high[1], low[1])
    words, value = dimension.label.split(" ", 1)
    middle = (high[1] + low[1]) / 2
    # The value stands beside the line, in the row's own height.
    middle = min(max(middle, plot.box.top + 8.0), plot.box.bottom - 12.0)
    size = min(TEXT, (frame.right - x - 14.0) / max(text_width(value, 1.0, bold=True), text_width(words, 1.0)))
    label = (
        Text(at=(x + 12.0, middle - 10.0), text=words, size=size, baseline="middle"),
        Text(at=(x + 12.0, middle + 10.0), text=value, size=size, baseline="middle", bold=True),
    )
    for text in label:
        box = bounds(text)
        if box is not None:
            room.take(box)
    return [*items, *label]


def _drop_dimension(plot: _Plot, dimension: Dimension, room: Room) -> list[Item]:
    """Inside the axes, on whichever side of the crest there is room for line and value."""
    x, top = plot.point(dimension.high_at, dimension.high)
    bottom = plot.point(dimension.low_at, dimension.low)[1]
    width = text_width(dimension.label, SMALL)
    height = SMALL
    places: list[tuple[float, Box]] = []
    crests = [x + turn * plot.across.length(180.0) for turn in (0, 1, -1)]
    for crest in crests:
        for lift in (0.0, -0.4, 0.4, -1.4, 1.4, 2.0, 2.5, 3.0):
            for away in range(30, 150, 6):
                for side in (1.0, -1.0):
                    line_at = crest + side * away
                    left = line_at + 10.0 if side > 0 else line_at - 10.0 - width
                    middle = (top + bottom) / 2 + lift * height
                    box = Box(left=left, top=middle - height / 2, right=left + width, bottom=middle + height / 2)
                    places.append((line_at, box))
    within = Box(left=plot.box.left, top=plot.box.top - 4.0, right=plot.box.right, bottom=plot.box.bottom)
    found = room.first_free((box.grown(1.0) for _, box in places), within=within)
    if found is None:
        return []
    line_at, box = places[found]
    crest = min(crests, key=lambda centre: abs(centre - line_at))
    reach = line_at + (6.0 if line_at > crest else -6.0)
    items: list[Item] = [Line(points=((crest, y), (reach, y)), pen=replace(_THIN, width=0.9)) for y in (top, bottom)]
    items += _dimension_line(line_at, top, bottom)
    room.take(box)
    label = Text(at=(box.left, box.centre[1]), text=dimension.label, size=SMALL, baseline="middle")
    return [*items, label]


def _dimension_line(x: float, top: float, bottom: float) -> list[Item]:
    """A dimension line with arrows inside, or outside where they would meet."""
    if bottom - top >= 3.2 * _ARROW:
        return [
            Line(points=((x, top + _ARROW / 2), (x, bottom - _ARROW / 2)), pen=_THIN),
            _arrow(x, top, upwards=True),
            _arrow(x, bottom, upwards=False),
        ]
    return [
        Line(points=((x, top - 2.2 * _ARROW), (x, bottom + 2.2 * _ARROW)), pen=_THIN),
        _arrow(x, top, upwards=False),
        _arrow(x, bottom, upwards=True),
    ]


def _arrow(x: float, tip: float, *, upwards: bool) -> Polygon:
    tail = tip + _ARROW if upwards else tip - _ARROW
    half = _ARROW * 0.3
    return Polygon(points=((x, tip), (x - half, tail), (x + half, tail)), pen=None, fill=INK)


def _noted(plot: _Plot, note: Note, room: Room) -> list[Item]:
    """A word beside a point, with a short leader."""
    x, y = plot.point(note.degrees, note.value)
    width, height = text_width(note.label, SMALL), SMALL * 1.25
    places = []
    for drop in (0.3, 0.8, 1.4, 2.0, -0.4):
        for away in (18.0, 28.0, 40.0, 60.0, 84.0):
            for side in (1.0, -1.0):
                left = x + away if side > 0 else x - away - width
                middle = y + drop * height
                places.append(
                    (side, Box(left=left, top=middle - height / 2, right=left + width, bottom=middle + height / 2))
                )
    within = Box(left=plot.box.left, top=plot.box.top - 4.0, right=plot.box.right, bottom=plot.box.bottom)
    found = room.first_free((box.grown(2.0) for _, box in places), within=within)
    if found is None:
        return []
    side, box = places[found]
    room.take(box)
    near = box.left - 4.0 if side > 0 else box.right + 4.0
    return [
        Line(points=((x + 3.0 * side, y), (near, box.centre[1])), pen=_THIN),
        Text(at=(box.left, box.centre[1]), text=note.label, size=SMALL, baseline="middle"),
    ]
