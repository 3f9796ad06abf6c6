"""Standard symbols, IEC 60617 or IEEE 315, as shapes that can be laid between two points.

Outlines come from the element classes of schemdraw: their segments are read, nothing of its drawing machinery runs.
Forms that it doesn't have (the hollow plate of an IEC electrolytic, windings with a core of our choice, generator
waveforms) are drawn here in the same proportions. In a symbol's own coordinates the current enters at (0, 0) and
leaves at (length, 0); -y is on the left hand of somebody who walks along.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Literal

from railwright.figures.scene import (
    INK,
    PAPER,
    Box,
    Circle,
    Item,
    Line,
    Path,
    Pen,
    Point,
    Polygon,
    Step,
    bounds,
    united,
)

Standard = Literal["iec", "ieee"]
STANDARDS: tuple[Standard, ...] = ("iec", "ieee")

Kind = Literal[
    "resistor", "fuse", "electrolytic", "capacitor", "choke", "winding", "half-winding", "diode", "zener",
    "source-sine", "source-square", "source-triangle", "source-dc", "current-load", "battery", "box",
    "switch-open", "switch-closed",
]  # fmt: skip

UNIT = 52.0  # [px] of one schemdraw unit: a resistor's body is 52 by 26
PEN = Pen(width=1.7)
_LOOP_WIDTH = 0.75  # of schemdraw's loops
_THIN_OUT = 3  # every third of the 200 points of a loop still gives a smooth line at this size


@dataclass(frozen=True, slots=True, kw_only=True)
class Symbol:
    """The shapes of one symbol in its own coordinates. [px]"""

    items: tuple[Item, ...]
    length: float
    outline: tuple[Point, ...] = ()  # the body of a diode, for hatching


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A symbol laid between two points of a drawing. [px]"""

    items: tuple[Item, ...]
    enter: Point  # where the lead from the start ends
    leave: Point  # where the lead to the end begins
    outline: tuple[Point, ...]
    box: Box


# ---------------------------------------------------------------- from schemdraw


def _elements() -> Any:
    """schemdraw's element classes. They carry no types, and importing them takes a second: late, and as Any."""
    from schemdraw import elements

    return elements


def _point(pair: Any) -> Point:
    return float(pair[0]) * UNIT, -float(pair[1]) * UNIT


def _strokes(path: Iterable[Any]) -> Iterable[tuple[Point, ...]]:
    """The connected stretches of a path that lifts its pen at every point that isn't a number."""
    stretch: list[Point] = []
    for pair in path:
        if math.isnan(float(pair[0])):
            if len(stretch) > 1:
                yield tuple(stretch)
            stretch = []
        else:
            stretch.append(_point(pair))
    if len(stretch) > 1:
        yield tuple(stretch)


def _thinned(points: tuple[Point, ...]) -> tuple[Point, ...]:
    if len(points) < 40:
        return points
    return (*points[:-1:_THIN_OUT], points[-1])


def bow(centre: Point, radius_x: float, radius_y: float, start: float, extent: float, pen: Pen = PEN) -> Path:
    """Part of an ellipse as curves that survive any turning; angles clockwise on the screen. [px, deg]"""
    pieces = max(1, math.ceil(abs(extent) / 90 - 1e-9))
    step = math.radians(extent) / pieces
    # Tangent length of the cubic that touches the arc at both ends and in the middle.
    reach = 4 / 3 * math.tan(step / 4)
    steps: list[Step] = []
    for piece in range(pieces):
        one = math.radians(start) + piece * step
        two = one + step
        begin = centre[0] + radius_x * math.cos(one), centre[1] + radius_y * math.sin(one)
        end = centre[0] + radius_x * math.cos(two), centre[1] + radius_y * math.sin(two)
        first = begin[0] - reach * radius_x * math.sin(one), begin[1] + reach * radius_y * math.cos(one)
        second = end[0] + reach * radius_x * math.sin(two), end[1] - reach * radius_y * math.cos(two)
        if not steps:
            steps.append(Step(command="M", points=(begin,)))
        steps.append(Step(command="C", points=(first, second, end)))
    return Path(steps=tuple(steps), pen=pen)


def _read(element: Any, *, fill: str | None = None) -> Symbol:
    """The segments of a two-terminal schemdraw element."""
    from schemdraw.segments import Segment, SegmentArc, SegmentCircle, SegmentPoly

    items: list[Item] = []
    outline: tuple[Point, ...] = ()
    length = 0.0
    for segment in element.segments:
        if isinstance(segment, Segment):
            last = _point(segment.path[-1])
            if abs(last[1]) < 1e-6:
                length = max(length, last[0])
            # A stretch of no length is only there to mark a terminal.
            items.extend(
                Line(points=_thinned(stroke), pen=PEN)
                for stroke in _strokes(segment.path)
                if any(point != stroke[0] for point in stroke)
            )
        elif isinstance(segment, SegmentPoly):
            outline = tuple(map(_point, segment.verts))
            items.append(Polygon(points=outline, pen=PEN, fill=fill))
        elif isinstance(segment, SegmentCircle):
            body = PAPER if segment.fill else None
            items.append(Circle(centre=_point(segment.center), radius=float(segment.radius) * UNIT, pen=PEN, fill=body))
        elif isinstance(segment, SegmentArc):
            extent = (segment.theta2 - segment.theta1) % 360 or 360.0
            radii = float(segment.width) * UNIT / 2, float(segment.height) * UNIT / 2
            items.append(bow(_point(segment.center), *radii, -float(segment.theta1), -float(extent)))
    return Symbol(items=tuple(items), length=length, outline=outline)


# ---------------------------------------------------------------- the symbols


def _plus(x: float, y: float, arm: float = 4.0) -> tuple[Item, ...]:
    pen = replace(PEN, width=1.5)
    return (
        Line(points=((x - arm, y), (x + arm, y)), pen=pen),
        Line(points=((x, y - arm), (x, y + arm)), pen=pen),
    )


def _plate(left: float, right: float, fill: str | None) -> Polygon:
    half = 0.27 * UNIT
    return Polygon(points=((left, -half), (right, -half), (right, half), (left, half)), pen=PEN, fill=fill)


def _electrolytic(standard: Standard) -> Symbol:
    if standard == "ieee":
        curved = _read(_elements().Capacitor2())
        return replace(curved, items=curved.items + _plus(-8.0, 13.0))
    # schemdraw has no hollow plate: positive plate hollow, negative plate full, gap as in its plain capacitor.
    thickness, gap = 0.10 * UNIT, 0.12 * UNIT
    length = 2 * thickness + gap
    plates = (_plate(0.0, thickness, None), _plate(thickness + gap, length, INK))
    return Symbol(items=(*plates, *_plus(-8.0, 13.0)), length=length)


def _coil(standard: Standard, factor: float) -> Symbol:
    """A row of half-circles or loops, `factor` times as long as a choke's, without its core."""
    row = _read(_elements().Inductor() if standard == "iec" else _elements().Inductor2())
    # Long rows of loops would grow too wide beside the other symbols.
    width = factor if standard == "iec" else min(factor, _LOOP_WIDTH)
    return Symbol(
        items=tuple(_mapped(item, lambda p: (p[0] * factor, p[1] * width)) for item in row.items),
        length=row.length * factor,
    )


def _choke(standard: Standard) -> Symbol:
    factor = 1.15
    coil = _coil(standard, factor)
    heights = (-0.30,) if standard == "iec" else (-0.40, -0.49)
    cores = tuple(
        Line(points=((2.0, height * UNIT), (coil.length - 2.0, height * UNIT)), pen=PEN) for height in heights
    )
    return replace(coil, items=coil.items + cores)


def _diode(standard: Standard) -> Symbol:
    return _drawn_through(_read(_elements().Diode(), fill=None if standard == "iec" else INK))


def _zener(standard: Standard) -> Symbol:
    return _drawn_through(_read(_elements().Zener(), fill=None if standard == "iec" else INK))


def _drawn_through(diode: Symbol) -> Symbol:
    """Both standards allow the conductor to run through; it shows only in an outlined triangle."""
    return replace(diode, items=(*diode.items, Line(points=((0.0, 0.0), (diode.length, 0.0)), pen=PEN)))


_RING = 0.42 * UNIT  # [px] radius of sources


def _ring() -> Circle:
    return Circle(centre=(_RING, 0.0), radius=_RING, pen=PEN, fill=PAPER)


def _source(waveform: str) -> Symbol:
    """A circle with the generator's waveform, read with the source standing upright and its end on top."""
    across, along = 0.52 * _RING, 0.36 * _RING
    middle = _RING
    if waveform == "sine":
        wave = _read(_elements().SourceSin()).items[-1]
        # schemdraw's circle has a radius of half a unit; ours is a little smaller.
        shrunk = _RING / (0.5 * UNIT)
        inside: tuple[Item, ...] = (_mapped(wave, lambda p: (p[0] * shrunk, -p[1] * shrunk)),)
    elif waveform == "square":
        steps = ((0, -1), (1, -1), (1, 0), (-1, 0), (-1, 1), (0, 1))
        inside = (Line(points=tuple((middle + x * along, y * across) for x, y in steps), pen=PEN),)
    elif waveform == "triangle":
        peaks = ((0, -1), (1, -0.5), (-1, 0.5), (0, 1))
        inside = (Line(points=tuple((middle + x * along, y * across) for x, y in peaks), pen=PEN),)
    else:
        level = middle + 0.18 * _RING, middle - 0.18 * _RING
        inside = (
            Line(points=((level[0], -across), (level[0], across)), pen=PEN),
            Line(points=((level[1], -across), (level[1], across)), pen=replace(PEN, dash=(4.0, 3.0))),
        )
    return Symbol(items=(_ring(), *inside), length=2 * _RING)


def _current_load(standard: Standard) -> Symbol:
    if standard == "iec":
        # IEC 60617 marks an ideal current source by a bar across; the arrow tells the direction.
        bar = Line(points=((_RING, -_RING), (_RING, _RING)), pen=PEN)
        return Symbol(items=(_ring(), bar, *_arrow_head(2 * _RING + 13.0)), length=2 * _RING)
    shaft = Line(points=((0.45 * _RING, 0.0), (1.55 * _RING, 0.0)), pen=PEN)
    return Symbol(items=(_ring(), shaft, *_arrow_head(1.6 * _RING)), length=2 * _RING)


def _arrow_head(tip: float) -> tuple[Item, ...]:
    return (Polygon(points=((tip, 0.0), (tip - 9.0, -4.0), (tip - 9.0, 4.0)), pen=None, fill=INK),)


def _battery() -> Symbol:
    cell = _read(_elements().BatteryCell())
    return replace(cell, items=cell.items + _plus(-8.0, 15.0))


def _box() -> Symbol:
    half = 0.30 * UNIT
    length = 1.1 * UNIT
    corners = ((0.0, -half), (length, -half), (length, half), (0.0, half))
    return Symbol(items=(Polygon(points=corners, pen=PEN, fill=PAPER),), length=length)


def _switch(*, closed: bool) -> Symbol:
    """A lever between two contacts; open, it stands off the second (IEC 60617 and IEEE 315 alike but for the rings)."""
    length, ring = 0.9 * UNIT, 3.4
    tip = (length - 1.0, -ring + 1.0) if closed else (0.86 * length, -0.36 * UNIT)
    lever = Line(points=((ring, -1.0), tip), pen=PEN)
    contacts = tuple(Circle(centre=(x, 0.0), radius=ring, pen=PEN, fill=PAPER) for x in (0.0, length))
    return Symbol(items=(lever, *contacts), length=length)


@lru_cache(maxsize=64)
def symbol(kind: Kind, standard: Standard) -> Symbol:
    """The symbol of a kind of part in a standard; schemdraw is imported when the first one is asked for."""
    iec = standard == "iec"
    if kind == "resistor":
        return _read(_elements().ResistorIEC() if iec else _elements().ResistorIEEE())
    if kind == "fuse":
        # IEC 60617 draws the wire through the rectangle: schemdraw keeps that form under FuseIEEE.
        return _read(_elements().FuseIEEE() if iec else _elements().FuseUS())
    if kind == "capacitor":
        return _read(_elements().Capacitor())
    if kind == "electrolytic":
        return _electrolytic(standard)
    if kind == "choke":
        return _choke(standard)
    if kind == "winding":
        return _coil(standard, 1.6)
    if kind == "half-winding":
        return _coil(standard, 1.25)
    if kind == "diode":
        return _diode(standard)
    if kind == "zener":
        return _zener(standard)
    if kind == "current-load":
        return _current_load(standard)
    if kind == "battery":
        return _battery()
    if kind == "box":
        return _box()
    if kind in ("switch-open", "switch-closed"):
        return _switch(closed=kind == "switch-closed")
    return _source(kind.removeprefix("source-"))


# ---------------------------------------------------------------- laying


def _mapped(item: Item, move: Callable[[Point], Point]) -> Item:
    """The item with every point moved; only shapes that symbols are made of."""
    if isinstance(item, Path):
        return replace(item, steps=tuple(replace(step, points=tuple(map(move, step.points))) for step in item.steps))
    if isinstance(item, Circle):
        return replace(item, centre=move(item.centre))
    if isinstance(item, Line | Polygon):
        return replace(item, points=tuple(map(move, item.points)))
    raise TypeError(f"a symbol can't hold a {type(item).__name__}")


def restyled(item: Item, pen: Pen) -> Item:
    """The shape with another pen: dashed for a part that isn't fitted. Short lines, such as a plus sign, stay whole."""
    if isinstance(item, Line) and math.dist(item.points[0], item.points[-1]) < 12.0:
        return replace(item, pen=replace(pen, dash=()))
    if isinstance(item, Line | Polygon | Path | Circle):
        return replace(item, pen=pen)
    return item


def lay(
    drawn: Symbol, start: Point, end: Point, *, at: Literal["start", "middle", "end"] = "middle", flip: bool = False
) -> Laid:
    """Lay a symbol between two points, its first terminal towards `start`.

    Parameters
    ----------
    drawn : Symbol
        From `symbol`.
    start, end : Point
        Ends of the slot; the leads fill what the symbol leaves. [px]
    at : str
        Where in the slot it sits. [-]
    flip : bool
        Left and right hand exchanged. [-]

    Raises
    ------
    ValueError
        If the slot is shorter than the symbol.
    """
    span = math.dist(start, end)
    if span < drawn.length:
        raise ValueError(f"a slot of {span:.0f} px is too short for a symbol of {drawn.length:.0f} px")
    along = (end[0] - start[0]) / span, (end[1] - start[1]) / span
    across = (-along[1], along[0]) if not flip else (along[1], -along[0])
    skipped = {"start": 0.0, "middle": (span - drawn.length) / 2, "end": span - drawn.length}[at]

    def move(point: Point) -> Point:
        forth = skipped + point[0]
        return (
            start[0] + forth * along[0] + point[1] * across[0],
            start[1] + forth * along[1] + point[1] * across[1],
        )

    items = tuple(_mapped(item, move) for item in drawn.items)
    box = united(found for item in items if (found := bounds(item)) is not None)
    if box is None:
        raise ValueError("a symbol without shapes can't be laid")
    return Laid(
        items=items,
        enter=move((0.0, 0.0)),
        leave=move((drawn.length, 0.0)),
        outline=tuple(map(move, drawn.outline)),
        box=box,
    )
