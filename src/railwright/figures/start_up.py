"""From switch-on: the load voltage as it climbs, and the mains current as it settles."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from railwright.figures.axes import MINUS, Scale, round_step, tick_label, ticks_between
from railwright.figures.chart import SMALL, Chart, Entry, finished, key_line, shown_unit
from railwright.figures.copier import black_and_white
from railwright.figures.drawing import NotDrawn
from railwright.figures.rows import CURRENT, DIGITS, LOAD, mains_name, place_name, reading_value
from railwright.figures.scene import INK, Box, Circle, Item, Line, Pen, Point, Scene, Text
from railwright.figures.typeface import text_width
from railwright.figures.waveforms import simplified
from railwright.quantities import format_quantity

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from railwright.study import Study

__all__ = ["StartUp", "begun_by", "start_up"]

_WIDTH = 1000.0  # [px]
_LEFT, _RIGHT = 80.0, 40.0
_PANEL = 230.0
_WITHIN = 0.01  # of the steady mean: where a voltage counts as settled (readings: settling time)


class StartUp(Protocol):
    """What is drawn: the instants from switch-on, and the waveforms over them."""

    @property
    def times(self) -> Any:
        """Array of instants, from 0. [s]"""

    def waveform(self, name: str) -> Any:
        """A waveform by its name, such as `load.voltage`: an array over `times`, or an object with `values`."""


def begun_by(study: Study) -> StartUp:
    """The start of a study.

    Raises
    ------
    NotDrawn
        If the study can't be followed from switch-on.
    """
    begin = getattr(study, "start_up", None)
    if begin is None:
        raise NotDrawn("This study knows its steady period alone, not how it is reached from switch-on.")
    begun: StartUp = begin()
    return begun


def start_up(study: Study, begun: StartUp, *, copier: bool = False) -> Scene:
    """Draw the start.

    Parameters
    ----------
    study : Study
        The steady state that is reached.
    begun : StartUp
        From `study.start_up()`.
    copier : bool
        Pure black and white.

    Raises
    ------
    NotDrawn
        If the start has neither a load voltage nor a mains current.
    """
    load = "load_positive.voltage" if study.supply.is_dual else "load.voltage"
    mains = "mains_l1.current" if study.supply.mains.phases == 3 else "mains.current"
    found = [(name, curve) for name in (load, mains) if (curve := _curve(begun, name)) is not None]
    if not found:
        raise NotDrawn(f'The start knows neither "{load}" nor "{mains}", so there is nothing to draw.')
    items: list[Item] = []
    sentences: list[str] = []
    reasons: list[str] = []
    top = 88.0
    end = _end(study, found)
    for name, (times, values) in found:
        box = Box(left=_LEFT, top=top, right=_WIDTH - _RIGHT, bottom=top + _PANEL)
        kept = times <= end * (1 + 1e-9)
        reasons.append(_reason(begun, name))
        panel, sentence = _panel(
            study, name, times[kept], values[kept], end, box, last=name == found[-1][0], endless=bool(reasons[-1])
        )
        items += panel
        sentences.append(sentence)
        top = box.bottom + 52.0
    angle = getattr(begun, "angle", None)
    foot = f"Model: {study.model}."
    if angle is not None:
        shown = round(float(angle), 1) % 360.0  # 359.99° is no other moment than 0°
        foot += f" Switched on {shown:.3g}° after the rising zero of the source."
    foot = " ".join([foot, *dict.fromkeys(filter(None, reasons)), *getattr(begun, "notes", ())])
    scene = finished(
        items, width=_WIDTH, height=top + 16.0, title=study.title, kind="From switch-on",
        description=" ".join([*sentences, foot]), foot=foot,
    )  # fmt: skip
    return black_and_white(scene) if copier else scene


def _reason(begun: StartUp, name: str) -> str:
    """Why a current has no largest value at switch-on, if it has none: it would be infinite for no time."""
    known = getattr(begun, "readings", {}).get(f"{name}.inrush_peak")
    return known.reason if known is not None and known.value is None else ""


def _curve(begun: StartUp, name: str) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    try:
        found = begun.waveform(name)
    except (LookupError, ValueError):
        return None
    values = np.asarray(getattr(found, "values", found), dtype=float)
    times = np.asarray(getattr(found, "times", begun.times), dtype=float)
    if values.size < 2 or values.shape != times.shape or not np.isfinite(values).all():
        return None
    return times, values


def _end(study: Study, found: list[tuple[str, tuple[NDArray[np.float64], NDArray[np.float64]]]]) -> float:
    """Half as long again as the voltage takes to settle, five mains periods at least: the rest is steady. [s]"""
    last = max(float(times[-1]) for _, (times, _) in found)
    name, (times, values) = found[0]
    steady = reading_value(study, f"{name}.mean")
    if not name.endswith(".voltage") or steady is None:
        return last
    return min(last, max(1.5 * _settled(times, values, steady, study.period), 5.0 * study.period))


def _settled(times: NDArray[np.float64], values: NDArray[np.float64], steady: float, period: float) -> float:
    """When the mean over a period stays within 1 % of the steady one. [s]"""
    area = np.concatenate([[0.0], np.cumsum(np.diff(times) * (values[1:] + values[:-1]) / 2.0)])
    starts = np.arange(0.0, float(times[-1]) - period * (1 - 1e-9), period)
    means = (np.interp(starts + period, times, area) - np.interp(starts, times, area)) / period
    off = np.flatnonzero(np.abs(means - steady) > _WITHIN * abs(steady))
    return 0.0 if off.size == 0 else float(starts[int(off[-1])]) + period


def _panel(
    study: Study,
    name: str,
    times: NDArray[np.float64],
    values: NDArray[np.float64],
    end: float,
    box: Box,
    *,
    last: bool,
    endless: bool,
) -> tuple[list[Item], str]:
    is_voltage = name.endswith(".voltage")
    unit, colour = ("V", LOAD) if is_voltage else ("A", CURRENT)
    place = name.partition(".")[0]
    heading = f"{place_name(place) if is_voltage else mains_name(study)} {'voltage' if is_voltage else 'current'}"
    low, high = min(float(values.min()), 0.0), max(float(values.max()), 0.0)
    if not high > low:
        low, high = -1.0, 1.0
    room = 0.16 * (high - low)
    factor, shown = shown_unit(max(high, -low), unit)
    up = Scale(
        low=(low - (room if low < 0 else 0.0)) * factor, high=(high + room) * factor, start=box.bottom, end=box.top
    )
    across = Scale(low=0.0, high=1e3 * end, start=box.left, end=box.right)
    chart = Chart(box=box, across=across, up=up)
    step = round_step(1e3 * end, 10)
    ticks = [(tick, tick_label(tick, step)) for tick in ticks_between(0.0, 1e3 * end, count=10)]
    items: list[Item] = [chart.axes(heading=heading, unit=shown, ticks=ticks, labels=last)]
    points = [chart.point(1e3 * float(t), float(v) * factor) for t, v in zip(times, values, strict=True)]
    line = simplified(points, 0.15)
    pen = Pen(width=2.2, colour=colour)
    items.append(Line(points=line, pen=pen))
    peak = int(np.argmax(np.abs(values)))
    at = chart.point(1e3 * float(times[peak]), float(values[peak]) * factor)
    amount = format_quantity(float(values[peak]), unit, digits=DIGITS).replace("-", MINUS)
    words = f"peak {amount} at {1e3 * float(times[peak]):.3g} ms"
    entries = [Entry(label="from switch-on", pen=pen)]
    told = "no finite peak" if endless else words.replace("peak ", "peak of ")
    sentence = f"{heading} from switch-on: {told}"
    steady = reading_value(study, f"{name}.{'mean' if is_voltage else 'peak'}")
    if steady is not None:
        dashed = Pen(width=1.4, colour=INK, dash=(7.0, 4.0), cap="butt")
        label = f"steady {'mean' if is_voltage else 'peak'} {format_quantity(abs(steady), unit, digits=DIGITS)}"
        for sign in (1.0,) if is_voltage else (1.0, -1.0):
            y = up.at((steady if is_voltage else sign * abs(steady)) * factor)
            items.append(Line(points=((box.left, y), (box.right, y)), pen=dashed))
        entries.append(Entry(label=label, pen=dashed))
        sentence += f"; {label}"
        if is_voltage:
            settled = _settled(times, values, steady, study.period)
            if study.period <= settled < end:
                items += _settling(chart, settled, box)
                sentence += f"; within 1 % of it after {format_quantity(settled, 's', digits=DIGITS)}"
    # A voltage that only climbs to its steady value has no peak worth a mark.
    crest = reading_value(study, f"{name}.peak")
    if endless:
        heading_note = Text(at=(box.left + 10.0, box.top + 16.0), text="at 0 ms: infinite (see below)", size=SMALL,
                            halo=3.0)  # fmt: skip
        items.append(heading_note)
    elif not is_voltage or crest is None or abs(float(values[peak])) > (1.0 + _WITHIN) * abs(crest):
        items += _noted(words, at, box, below=values[peak] < 0.0)
    items += key_line(entries, box.right, box.top - 10.0)
    if last:
        items.append(Text(at=(box.right, box.bottom + 30.0), text="ms", size=SMALL, anchor="end", bold=True,
                          baseline="top"))  # fmt: skip
    return items, sentence + "."


def _noted(words: str, at: Point, box: Box, *, below: bool) -> list[Item]:
    """A word beside a point, outside the curve, on the side where there is room."""
    right = at[0] + 6.0 + text_width(words, SMALL, bold=True) < box.right
    y = at[1] + 19.0 if below else at[1] - 9.0
    return [
        Circle(centre=at, radius=4.0, pen=None, fill=INK),
        Text(at=(at[0] + 4.0 if right else at[0] - 4.0, y), text=words, size=SMALL, bold=True, halo=3.0,
             anchor="start" if right else "end"),
    ]  # fmt: skip


def _settling(chart: Chart, settled: float, box: Box) -> list[Item]:
    x = chart.across.at(1e3 * settled)
    words = f"settled after {format_quantity(settled, 's', digits=DIGITS)}"
    anchor_end = x + text_width(words, SMALL) + 10.0 > box.right
    return [
        Line(points=((x, box.top), (x, box.bottom)), pen=Pen(width=1.2, dash=(2.0, 3.0), cap="butt")),
        Text(at=(x - 6.0 if anchor_end else x + 6.0, box.bottom - 12.0), text=words, size=SMALL, halo=3.0,
             anchor="end" if anchor_end else "start"),
    ]  # fmt: skip
