"""The figures of a hand-out: circuit, way of the current with and without its ribbon, waveforms full and empty.

Pure black and white, in the course's words and with its decimal sign. The empty form of a figure has the place of
everything that the full one has, so that a student's sheet can be laid beside the teacher's.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Final, TypeAlias

import numpy as np

from railwright.course import Course
from railwright.figures.board import shown_intervals
from railwright.figures.caption import describe_schematic, describe_waveforms
from railwright.figures.path import ConductionPath, conduction_path, stop_words
from railwright.figures.rows import Curve, Row, mains_periods, rows_of
from railwright.figures.scene import (
    INK,
    Box,
    Group,
    Item,
    Line,
    Pen,
    Rectangle,
    Scene,
    Text,
    bounds,
    leaves,
    render,
    translate,
)
from railwright.figures.schematic import NotDrawn, schematic
from railwright.figures.states import state_spans
from railwright.figures.typeface import has_glyph, text_width
from railwright.figures.waveforms import waveform_group
from railwright.figures.wire_flow import Unbalanced

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from railwright.figures.drawing import Drawing
    from railwright.study import ConductionInterval, Study

    Values: TypeAlias = NDArray[np.float64]

_AIR: Final = 10.0  # [px] around a circuit
_WIDTH: Final = 1000.0  # [px] of the waveforms
_ROW, _BETWEEN, _REST = 106.0, 39.0, 118.0  # [px] heights: a row's own, above each, strip and time axes together
_SMALL: Final = 15.0
_GRID: Final = Pen(width=0.6, dash=(1.0, 3.4), cap="butt")
_AXIS: Final = Pen(width=1.2, cap="butt")
_DIVISION: Final = 20.0  # [px] about so much from one grid line to the next


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One stretch of the period: the circuit without and with the way of the current, and what there is to say."""

    title: str
    empty: Scene | None
    full: Scene | None
    conducting: tuple[str, ...]
    blocking: tuple[str, ...]
    stops: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Pictures:
    """The figures of one study in one course."""

    study: Study
    course: Course

    @cached_property
    def drawing(self) -> Drawing | None:
        """The schematic; None for a circuit that has none."""
        try:
            return schematic(self.study.supply, standard=self.course.drawing, form="diamond")
        except NotDrawn:
            return None

    @cached_property
    def circuit(self) -> Scene | None:
        """The circuit alone."""
        if self.drawing is None:
            return None
        scene = _cropped(self.drawing.scene, ())
        return self._said(replace(scene, title="The circuit", description=describe_schematic(self.study)))

    # -- the way of the current ---------------------------------------------------------

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """The stretches that are worth a picture each."""
        return tuple(self._way(interval) for interval in shown_intervals(self.study))

    def _way(self, interval: ConductionInterval) -> Way:
        degrees = (interval.start + interval.end) / 2
        title = self.course.say(moment(self.study, degrees))
        empty = full = None
        stops: tuple[str, ...] = ()
        if self.drawing is not None:
            path = self._path(self.drawing, interval, degrees)
            under, over = ((), ()) if path is None else (path.under, path.over)
            stops = () if path is None else tuple(stop_words(self.drawing, stop.designator) for stop in path.stops)
            frame = _cropped(self.drawing.scene, (*under, *over), keep=())
            words = describe_schematic(self.study)
            blank = f"{words} The way of the current is not marked: it is for you to mark."
            empty = self._said(replace(frame, title=title, description=blank))
            whole = _cropped(
                replace(self.drawing.scene, items=(*under, *self.drawing.scene.items)), (*over,), keep=over
            )
            sentence = "" if path is None else path.sentence
            full = self._said(replace(whole, title=title, description=f"{words} {sentence}".strip()))
        blocking = tuple(name for name in interval.blocking)
        return Way(
            title=title, empty=empty, full=full, conducting=interval.on, blocking=blocking,
            stops=tuple(self.course.say(words) for words in stops),
        )  # fmt: skip

    def _path(self, drawing: Drawing, interval: ConductionInterval, degrees: float) -> ConductionPath | None:
        voltages = self.study.voltages_at(degrees)
        blocking = {name: max(0.0, -voltages.get(name, 0.0)) for name in interval.blocking}
        currents = self.study.currents_at(degrees)
        try:
            return conduction_path(drawing, currents, blocking=blocking, convention=self.course.current_direction)
        except Unbalanced:
            return None  # a fault that the drawing doesn't show

    # -- waveforms ---------------------------------------------------------

    @cached_property
    def _rows(self) -> tuple[Row, ...]:
        return rows_of(self.study)

    @cached_property
    def _waveforms(self) -> tuple[Group, float]:
        rows = self._rows
        height = _REST + 22.0 * len(state_spans(self.study))
        height += sum(_ROW * row.weight + _BETWEEN for row in rows)
        return waveform_group(self.study, rows, Box(left=0.0, top=0.0, right=_WIDTH, bottom=height)), height

    @cached_property
    def waveforms(self) -> Scene:
        """The waveforms of one period, with bands, dimensions and the sawtooth by hand."""
        group, height = self._waveforms
        scene = Scene(
            width=_WIDTH, height=height, items=(group,), title="Waveforms over one period",
            description=describe_waveforms(self.study, self._rows),
        )  # fmt: skip
        return self._said(scene)

    @cached_property
    def empty_waveforms(self) -> Scene:
        """The same axes with the source's waveform alone."""
        group, height = self._waveforms
        items: list[Item] = []
        places = _places(group)
        for row in self._rows:
            if row.key in places:
                items += _empty_row(row, *places[row.key], is_first=row is self._rows[0], study=self.study)
        items += [item for item in group.items if isinstance(item, Group) and "time" in item.tag.classes]
        if places:
            box = next(iter(places.values()))[0]
            words = "who conducts"
            bar = Box(left=box.left, top=32.0, right=box.right, bottom=50.0)
            items.append(Rectangle(box=bar, pen=_AXIS))
            items.append(Text(at=(box.left, 24.0), text=f"{words} (shade and name each stretch)", size=_SMALL))
        titles = ", ".join(_plain_title(row).lower() for row in self._rows[1:])
        scene = Scene(
            width=_WIDTH, height=height, items=tuple(items), title="Waveforms over one period, to be drawn",
            description="Axes over one period, in milliseconds and degrees. The source's waveform is drawn; empty "
            f"axes below it, on the same time: {titles}.",
        )  # fmt: skip
        return self._said(scene)

    def _said(self, scene: Scene) -> Scene:
        """The scene in the course's words; what the typeface hasn't becomes a question mark."""
        say = self.course.say
        return replace(
            scene, items=tuple(_spoken(item, self.course) for item in scene.items), title=printed(say(scene.title)),
            description=printed(say(scene.description)),
        )  # fmt: skip


def printed(text: str) -> str:
    """A text without characters that no packaged face can draw: an accessible PDF can't have them."""
    return "".join(letter if has_glyph(letter) or letter.isspace() else "?" for letter in text)


def in_svg(scene: Scene, prefix: str) -> str:
    """The scene as SVG text, black and white."""
    return render(scene, copier=True, prefix=prefix)


def moment(study: Study, degrees: float) -> str:
    """A stretch of the period, named so that nothing of what happens in it is told."""
    supply = study.supply
    at = degrees % 360.0
    if supply.elements or supply.mains.phases == 3 or supply.mains.frequency is None:
        return "All the time" if supply.mains.frequency is None else f"At about {round(at / 10.0) * 10}°"
    return f"Half-cycle in which end {'a' if at < 180.0 else 'b'} is positive"


def _spoken(item: Item, course: Course) -> Item:
    if isinstance(item, Group):
        return replace(item, items=tuple(_spoken(inner, course) for inner in item.items))
    return replace(item, text=printed(course.say(item.text))) if isinstance(item, Text) else item


def _cropped(scene: Scene, beside: tuple[Item, ...], *, keep: tuple[Item, ...] = ()) -> Scene:
    """The circuit without its title, in a frame that would hold `beside` too; of that only `keep` is drawn."""
    inside = tuple(item for item in scene.items if "title" not in item.tag.classes)
    box = bounds(Group(items=(*inside, *beside)))
    if box is None:
        return scene
    box = box.grown(_AIR)
    items = tuple(translate(item, -box.left, -box.top) for item in (*inside, *keep))
    return replace(scene, width=box.width, height=box.height, items=items)


# ---------------------------------------------------------------- empty axes


def _places(group: Group) -> dict[str, tuple[Box, float | None]]:
    """Where each row's axes lie in the full figure, and the height of its zero."""
    found: dict[str, tuple[Box, float | None]] = {}
    zeros: dict[str, float] = {}
    for item in group.items:
        if not isinstance(item, Group):
            continue
        row = item.tag.data.get("row", "")
        if "axes" in item.tag.classes:
            for leaf in leaves(item):
                if isinstance(leaf, Line) and "zero" in leaf.tag.classes:
                    zeros[row] = leaf.points[0][1]
        elif "curves" in item.tag.classes and item.clip is not None:
            found[row] = (item.clip.grown(-2.0), zeros.get(row))
    return found


def _plain_title(row: Row) -> str:
    """The row's name, without what its curves have in common."""
    title = row.title.partition(" (")[0]
    return f"{title}, its ripple magnified" if row.magnifies else title


def _empty_row(row: Row, box: Box, zero: float | None, *, is_first: bool, study: Study) -> Iterator[Item]:
    base = box.bottom if zero is None else zero
    count = max(1, round(box.height / _DIVISION))
    step = box.height / count
    first = math.ceil((box.top - base) / step - 1e-6)
    last = math.floor((box.bottom - base) / step + 1e-6)
    for place in range(first, last + 1):
        y = base + place * step
        yield Line(points=((box.left, y), (box.right, y)), pen=_GRID)
    for place in range(13):
        x = box.left + box.width * place / 12.0
        yield Line(points=((x, box.top), (x, box.bottom)), pen=_GRID)
    yield Line(points=((box.left, box.top - 4.0), (box.left, box.bottom)), pen=_AXIS)
    if zero is not None:
        yield Line(points=((box.left, zero), (box.right, zero)), pen=_AXIS)
        yield Text(at=(box.left - 10.0, zero), text="0", size=_SMALL, anchor="end", baseline="middle")
    y = box.top - 10.0
    yield Text(at=(box.left - 10.0, y), text=row.unit, size=_SMALL, anchor="end", bold=True)
    yield Text(at=(box.left + 8.0, y), text=_plain_title(row), size=16.0, bold=True)
    if is_first:
        yield from _source(row, box, base, study)
        return
    x = box.right - text_width(row.unit, _SMALL)
    yield Text(at=(x, y), text=row.unit, size=_SMALL)
    yield Line(points=((x - 62.0, y + 2.0), (x - 5.0, y + 2.0)), pen=Pen(width=0.9))
    yield Text(at=(x - 67.0, y), text="1 division =", size=_SMALL, anchor="end")


def _source(row: Row, box: Box, zero: float, study: Study) -> Iterator[Item]:
    """What feeds the rectifier, without a scale and as it is when nothing is drawn from it."""
    reach = 0.86 * min(zero - box.top, box.bottom - zero) if box.top < zero < box.bottom else 0.86 * box.height
    key = [curve for curve in row.curves if curve.reading]
    x = box.right
    for curve in reversed(key):
        x -= text_width(curve.label, _SMALL)
        yield Text(at=(x, box.top - 10.0), text=curve.label, size=_SMALL)
        x -= 40.0
        pen = Pen(width=curve.width, colour=INK, dash=curve.dash, cap="butt")
        yield Line(points=((x, box.top - 15.0), (x + 34.0, box.top - 15.0)), pen=pen)
        x -= 16.0
    for curve in key:
        degrees, heights = _as_fed(curve, study)
        points = tuple(
            (box.left + box.width * float(at) / (360.0 * mains_periods(study)), zero - reach * float(height))
            for at, height in zip(degrees, heights, strict=True)
        )
        yield Line(points=points, pen=Pen(width=curve.width, colour=INK, dash=curve.dash, cap="butt"))


def _as_fed(curve: Curve, study: Study) -> tuple[Values, Values]:
    """A source without load, its peak 1: loaded it would show by its dents when the diodes conduct."""
    values = curve.values / max(float(np.abs(curve.values).max()), 1e-12)
    if study.supply.mains.waveform != "sine" or study.supply.elements:
        return curve.degrees, values
    degrees = np.linspace(0.0, float(curve.degrees[-1]), 241)
    angles, heights = np.radians(degrees), np.interp(degrees, curve.degrees, values)
    # The phase of the fundamental; windings are a multiple of 30 degrees apart.
    lag = math.degrees(math.atan2(float(heights @ np.cos(angles)), float(heights @ np.sin(angles))))
    return degrees, np.sin(angles + math.radians(round(lag / 30.0) * 30.0))
