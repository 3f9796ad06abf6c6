"""The stages from outlet to load as columns for a projector: box, waveform, two values."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from railwright.documents.lesson.markup import amount
from railwright.figures.axes import Scale, tick_label
from railwright.figures.chart import shown_unit
from railwright.figures.projector import SMALLEST, TEXT
from railwright.figures.rows import CURRENT, LOAD, SECONDARY, reading_value, wave
from railwright.figures.scene import Box, Item, Line, Pen, Point, Polygon, Rectangle, Text
from railwright.figures.stages import stages_of
from railwright.figures.typeface import fitted, text_width, wrapped
from railwright.figures.waveforms import simplified
from railwright.readings import unit_of

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.figures.stages import Stage
    from railwright.study import Study

__all__ = ["stage_columns"]

_GAP = 40.0  # [px] between columns: the arrow
_BOX = 156.0
_WIDEST = 420.0
_PLOT_TOP, _PLOT_BOTTOM = 262.0, 500.0  # below the frame's top
_VALUES = 560.0
_AXIS = Pen(width=2.4, cap="butt")
_DASHES: tuple[tuple[float, ...], ...] = ((), (13.0, 7.0), (16.0, 7.0, 4.0, 7.0))
_MOST_VALUES = 2


def stage_columns(study: Study, course: Course, frame: Box, *, shown: int | None) -> Iterator[Item]:
    """The first `shown` stages, each where it stands when all are there."""
    every = stages_of(study)
    width = min(_WIDEST, (frame.width - _GAP * (len(every) - 1)) / len(every))
    left = frame.left + (frame.width - width * len(every) - _GAP * (len(every) - 1)) / 2
    for number, stage in enumerate(every[:shown]):
        box = Box(left=left, top=frame.top, right=left + width, bottom=frame.top + _BOX)
        if number:
            yield from _arrow(left - _GAP, box.centre[1])
        yield from _block(stage, course, box)
        yield from _plot(study, stage, course, Box(left=left, top=frame.top + _PLOT_TOP, right=left + width,
                                                   bottom=frame.top + _PLOT_BOTTOM))  # fmt: skip
        yield from _values(study, stage, course, left, frame.top + _VALUES, width)
        left += width + _GAP


def _arrow(left: float, y: float) -> Iterator[Item]:
    tip = left + _GAP - 4.0
    yield Line(points=((left, y), (tip - 14.0, y)), pen=Pen(width=4.0, cap="butt"))
    yield Polygon(points=((tip, y), (tip - 18.0, y - 11.0), (tip - 18.0, y + 11.0)), pen=None, fill="ink")


def _block(stage: Stage, course: Course, box: Box) -> Iterator[Item]:
    middle = box.centre[0]
    yield Rectangle(box=box, radius=10.0, pen=Pen(width=3.6))
    name = fitted(course.say(stage.name), TEXT, box.width - 16.0, bold=True)
    yield Text(at=(middle, box.top + 52.0), text=name, size=TEXT, anchor="middle", bold=True)
    lines = wrapped(course.say(stage.made_of), SMALLEST, box.width - 20.0)[:2]
    for number, line in enumerate(lines):
        at = middle, box.top + 96.0 + 36.0 * number
        yield Text(at=at, text=fitted(line, SMALLEST, box.width - 16.0), size=SMALLEST, anchor="middle")


def _plot(study: Study, stage: Stage, course: Course, frame: Box) -> Iterator[Item]:
    """A small pair of axes, its greatest and least value in words."""
    heading = course.say(stage.shows[:1].upper() + stage.shows[1:])
    for number, line in enumerate(wrapped(heading, SMALLEST, frame.width)[:2]):
        at = frame.left, frame.top - 58.0 + 34.0 * number
        yield Text(at=at, text=fitted(line, SMALLEST, frame.width), size=SMALLEST)
    found = [(name, data) for name in stage.quantities if (data := wave(study, name)) is not None]
    if not found:
        return
    unit = "V" if found[0][0].endswith(".voltage") else "A"
    low = min(0.0, *(float(values.min()) for _, (_, values) in found))
    high = max(0.0, *(float(values.max()) for _, (_, values) in found))
    if not high > low:
        high = 1.0
    low = 0.0 if -low < 0.01 * high else low
    factor, shown = shown_unit(max(high, -low), unit)
    box = Box(left=frame.left, top=frame.top + 26.0, right=frame.right, bottom=frame.bottom)
    words = {
        value: f"{tick_label(told * factor, _step(told * factor), decimal=course.decimal)} {shown}"
        for value, told in ((high, _peak(study, found[0][0], high)), (low, low)) if value
    }  # fmt: skip
    up = Scale(low=low, high=high, start=box.bottom - (34.0 if low < 0.0 else 0.0), end=box.top + 36.0)
    degrees = max(float(data[0][-1]) for _, data in found)
    across = Scale(low=0.0, high=degrees, start=box.left + 6.0, end=box.right)
    zero = up.at(0.0)
    yield Line(points=((box.left + 6.0, box.top + 10.0), (box.left + 6.0, box.bottom)), pen=_AXIS)
    yield Line(points=((box.left + 6.0, zero), (box.right, zero)), pen=_AXIS)
    for (_, (degrees_at, values)), dash in zip(found, _DASHES, strict=False):
        points: list[Point] = [
            (across.at(float(x)), up.at(float(y))) for x, y in zip(degrees_at, values, strict=True)
        ]
        yield Line(points=simplified(points, 0.2), pen=Pen(width=5.0, colour=_colour(stage, unit), dash=dash,
                                                           cap="butt" if dash else "round"))  # fmt: skip
    for value, y in ((high, box.top + 26.0), (low, box.bottom)):
        if value:
            text = words[value]
            start = box.right - text_width(text, SMALLEST)
            yield Text(at=(max(start, box.left + 16.0), y), text=text, size=SMALLEST, halo=4.0)


def _peak(study: Study, quantity: str, sampled: float) -> float:
    """The greatest value as it was computed: samples of a curve may miss the tip of a narrow pulse."""
    exact = reading_value(study, f"{quantity}.peak")
    return exact if exact is not None and abs(exact - sampled) < 0.05 * abs(exact) else sampled


def _step(value: float) -> float:
    """The last of three digits."""
    size, step = abs(value), 1.0
    while size < 100.0 and step > 1e-6:
        size, step = size * 10.0, step / 10.0
    return step


def _colour(stage: Stage, unit: str) -> str:
    if unit == "A":
        return LOAD if stage.name == "Load" else CURRENT
    return LOAD if stage.name in ("Filter", "Regulator", "Network") else SECONDARY


def _values(study: Study, stage: Stage, course: Course, left: float, top: float, width: float) -> Iterator[Item]:
    y = top + 20.0
    for reading, name in stage.readings[:_MOST_VALUES]:
        value = amount(reading_value(study, reading), unit_of(reading), course)
        yield Text(at=(left, y), text=fitted(course.say(name), SMALLEST, width), size=SMALLEST)
        yield Text(at=(left, y + 42.0), text=fitted(value, TEXT, width, bold=True), size=TEXT, bold=True)
        y += 104.0
