"""The current of a diode over its voltage at each model, with the range that this supply uses."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from railwright.figures.axes import Scale, round_step, tick_label, ticks_between
from railwright.figures.chart import SMALL, TEXT, Chart, Entry, finished, key_line, shown_unit
from railwright.figures.copier import black_and_white
from railwright.figures.drawing import NotDrawn
from railwright.figures.rows import CURRENT, DIGITS, PATH, designators, reading_value, wave
from railwright.figures.scene import INK, Box, Circle, Copier, Item, Line, Pen, Rectangle, Scene, Text
from railwright.quantities import format_quantity

if TYPE_CHECKING:
    from railwright.study import Study
    from railwright.supply.model import Diode

__all__ = ["diode_curve", "diode_of"]

_WIDTH = 860.0  # [px]
_LEFT, _RIGHT = 84.0, 40.0
_TOP, _HEIGHT = 96.0, 400.0
_ROOM = 1.18  # the axes reach so much farther than the range in use
_POINTS = 400
_DASHES: dict[str, tuple[float, ...]] = {"ideal": (2.5, 4.0), "textbook": (10.0, 5.0), "physical": ()}


def diode_of(study: Study, designator: str) -> Diode:
    """The data of one diode: the rectifier's, or its element's own."""
    for element in study.supply.elements:
        if element.name == designator and element.diode is not None:
            return element.diode
    return study.supply.rectifier.diode


def diode_curve(study: Study, *, copier: bool = False) -> Scene:
    """I-V of the first diode at `ideal`, `textbook` and `physical`; the range in use is that of the study's model.

    Raises
    ------
    NotDrawn
        If the supply has no diode.
    """
    from railwright.network.diodes import physical_law

    names = designators(study, "D")
    if not names:
        raise NotDrawn("This supply has no diode, so there is no curve to draw.")
    name = names[0]
    diode = diode_of(study, name)
    law = physical_law(diode)
    peak = max(reading_value(study, f"{name}.current.peak") or 0.0, 1e-6)
    reverse = reading_value(study, f"{name}.reverse_voltage.peak") or 0.0
    top = _ROOM * peak
    right = max(1.0, _ROOM * max(law.voltage(peak), diode.drop + diode.resistance * peak))
    step = round_step(right, 6)
    factor, unit = shown_unit(top, "A")
    box = Box(left=_LEFT, top=_TOP, right=_WIDTH - _RIGHT, bottom=_TOP + _HEIGHT)
    low = -0.16 * right
    across = Scale(low=low, high=right, start=box.left, end=box.right)
    up = Scale(low=-0.09 * top * factor, high=top * factor, start=box.bottom, end=box.top)
    chart = Chart(box=box, across=across, up=up)
    ticks = [(tick, tick_label(tick, step)) for tick in ticks_between(0.0, right, count=6)]
    heading = f"Current of {name} over its voltage"
    if diode.name:
        heading += f" ({diode.name})"
    items: list[Item] = [
        *_range(chart, across.at(0.0), peak * factor),
        chart.axes(heading=heading, unit=unit, ticks=ticks),
        Text(at=(box.right, box.bottom + 28.0), text="V", size=SMALL, bold=True, anchor="end", baseline="top"),
        Line(points=((across.at(0.0), box.top), (across.at(0.0), box.bottom)), pen=Pen(width=1.2, cap="butt")),
    ]
    currents = np.concatenate([[0.0], np.geomspace(1e-6 * top, top, _POINTS)])
    curves = {
        "ideal": [(low, 0.0), (0.0, 0.0), (0.0, top)],
        "textbook": [(low, 0.0), (diode.drop, 0.0), (diode.drop + diode.resistance * top, top)],
        "physical": [(low, 0.0), *((law.voltage(float(i)), float(i)) for i in currents)],
    }
    entries = []
    for model, points in curves.items():
        pen = Pen(width=2.8 if model == study.model else 2.0, colour=CURRENT, dash=_DASHES[model], cap="butt")
        items.append(chart.curve([(v, i * factor) for v, i in points], pen))
        entries.append(Entry(label=model, pen=pen))
    items += key_line(entries, box.right, box.top - 10.0)
    drop, peak_words = _mark(chart, study, name, peak, factor, items, law_drop=_drop(study.model, diode, law, peak))
    items += _blocked(chart, reverse)
    description = (
        f"Current of {name} over its voltage at three models. Ideal: no drop. Textbook: "
        f"{format_quantity(diode.drop, 'V', digits=DIGITS)}"
        + (f" and {format_quantity(diode.resistance, 'ohm', digits=DIGITS)}" if diode.resistance else "")
        + f". Physical: {format_quantity(law.voltage(peak), 'V', digits=DIGITS)} at {peak_words}. In this supply, "
        f"model {study.model}, the current reaches {peak_words} at {drop}; in reverse the diode blocks up to "
        f"{format_quantity(reverse, 'V', digits=DIGITS)}."
    )
    scene = finished(
        items, width=_WIDTH, height=box.bottom + 50.0, title=study.title, kind="Diode curve", description=description,
        foot=f"Range in use at the model {study.model}: below the dotted line. Physical curve at a junction of "
        f"{diode.junction_temperature:g} °C.",
    )  # fmt: skip
    return black_and_white(scene) if copier else scene


def _drop(model: str, diode: Diode, law: object, peak: float) -> float:
    if model == "ideal":
        return 0.0
    if model == "textbook":
        return diode.drop + diode.resistance * peak
    return float(law.voltage(peak))  # type: ignore[attr-defined]


def _range(chart: Chart, left: float, peak: float) -> list[Item]:
    """The currents that flow in this supply, from none to the peak."""
    band = Box(left=left, top=chart.up.at(peak), right=chart.box.right, bottom=chart.up.at(0.0))
    edge = Pen(width=1.0, dash=(2.0, 3.0), cap="butt")
    return [
        Rectangle(box=band, pen=None, fill=PATH, fill_opacity=0.14, copier=Copier()),
        Line(points=((band.left, band.top), (band.right, band.top)), pen=edge),
    ]


def _mark(
    chart: Chart, study: Study, name: str, peak: float, factor: float, items: list[Item], *, law_drop: float
) -> tuple[str, str]:
    """The highest point in use; gives its voltage and current in words."""
    found = wave(study, f"{name}.voltage"), wave(study, f"{name}.current")
    drop = law_drop
    if found[0] is not None and found[1] is not None:
        at = int(np.argmax(found[1][1]))
        if math.isfinite(float(found[0][1][at])):
            drop = max(float(found[0][1][at]), 0.0)
    x, y = chart.point(drop, peak * factor)
    volts, amperes = format_quantity(drop, "V", digits=DIGITS), format_quantity(peak, "A", digits=DIGITS)
    items.append(Circle(centre=(x, y), radius=5.0, pen=None, fill=INK))
    words = f"peak {amperes}: {volts}"
    left_side = x > chart.box.centre[0]
    items.append(
        Text(
            at=(x - 12.0 if left_side else x + 12.0, y - 12.0), text=words, size=TEXT, bold=True, halo=3.0,
            anchor="end" if left_side else "start",
        )
    )  # fmt: skip
    return volts, amperes


def _blocked(chart: Chart, reverse: float) -> list[Item]:
    """In reverse the axis would run out of the paper: an arrow says how far the diode is driven."""
    y = chart.up.at(0.0) + 24.0
    left = chart.box.left
    tip = left + 4.0
    words = format_quantity(reverse, "V", digits=DIGITS)
    items: list[Item] = [
        Line(points=((chart.across.at(0.0) - 6.0, y - 10.0), (tip, y - 10.0)), pen=Pen(width=1.2, cap="butt")),
        Line(points=((tip + 8.0, y - 14.0), (tip, y - 10.0), (tip + 8.0, y - 6.0)), pen=Pen(width=1.2)),
    ]
    items += [
        Text(at=(left + 6.0, y - 54.0 + 18.0 * number), text=line, size=SMALL)
        for number, line in enumerate(("blocks up to", words))
    ]
    return items
