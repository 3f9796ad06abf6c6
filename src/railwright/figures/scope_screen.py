"""The screen of an oscilloscope: ten by eight divisions, volts and milliseconds a division in steps of 1, 2, 5."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from railwright.figures.chart import SMALL, TEXT, finished
from railwright.figures.copier import black_and_white
from railwright.figures.drawing import NotDrawn
from railwright.figures.rows import CURRENT, DIGITS, LOAD, SECONDARY, mains_periods, place_name, reservoir, wave
from railwright.figures.scene import (
    INK,
    PAPER,
    Box,
    Copier,
    Group,
    Item,
    Line,
    Pen,
    Polygon,
    Rectangle,
    Scene,
    Tag,
    Text,
)
from railwright.figures.typeface import text_width
from railwright.quantities import format_quantity

if TYPE_CHECKING:
    from railwright.figures.rows import Values
    from railwright.study import Study

__all__ = ["ACROSS", "UP", "Channel", "channels", "one_two_five", "scope_screen"]

ACROSS, UP = 10, 8
_DIVISION = 58.0  # [px]
_LEFT, _TOP = 70.0, 62.0
_FILLED = 7.0  # divisions that a trace may fill
_FEWEST_PERIODS = 2.0  # on the screen
_MOST_CHANNELS = 2
_IN_TURN = (
    "The clips of an oscilloscope are joined to each other and to earth: two voltages without a common point are "
    "viewed in turn, or with differential probes."
)
_DASHES: tuple[tuple[float, ...], ...] = ((), (9.0, 5.0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Channel:
    """One trace with its setting."""

    name: str  # CH1, CH2
    quantity: str
    label: str
    unit: str
    degrees: Values
    values: Values  # [V] or [A]
    per_division: float  # [V] or [A]
    zero: float  # divisions above the middle
    coupling: str  # "DC" or "AC"


def one_two_five(least: float) -> float:
    """The smallest of 1, 2, 5 and their tens that isn't below `least`.

    Raises
    ------
    ValueError
        If `least` isn't a finite number greater than zero.
    """
    if not (least > 0.0 and math.isfinite(least)):
        raise ValueError(f"No setting of 1, 2 or 5 fits {least}.")
    decade = 10.0 ** math.floor(math.log10(least))
    return next(step * decade for step in (1.0, 2.0, 5.0, 10.0) if step * decade >= least * (1 - 1e-9))


def channels(study: Study, quantities: tuple[str, ...] = ()) -> tuple[Channel, ...]:
    """The traces with their settings, chosen so that each fills the screen as well as its steps allow.

    Without quantities: what the sheet's first oscilloscope shows, else the voltage whose ripple matters.

    Raises
    ------
    NotDrawn
        If there are more than two, or the supply has no such waveform.
    """
    coupled: dict[str, str] = {}
    chosen = quantities
    if not chosen:
        scopes = [probe for probe in study.supply.probes if probe.instrument.startswith("scope")][:_MOST_CHANNELS]
        coupled = {f"{probe.name}.voltage": "AC" if probe.instrument == "scope-ac" else "DC" for probe in scopes}
        chosen = tuple(coupled) or (f"{reservoir(study)}.voltage",)
    if len(chosen) > _MOST_CHANNELS:
        raise NotDrawn(f"A screen shows {_MOST_CHANNELS} channels; asked for are {len(chosen)}: {', '.join(chosen)}.")
    return tuple(
        _channel(study, f"CH{number}", quantity, coupled.get(quantity, "DC"))
        for number, quantity in enumerate(chosen, start=1)
    )


def _channel(study: Study, name: str, quantity: str, coupling: str) -> Channel:
    found = wave(study, quantity)
    if found is None:
        known = getattr(study, "quantities", ())
        raise NotDrawn(f'This supply has no waveform "{quantity}". It has: {", ".join(known)}.')
    degrees, values = found
    if coupling == "AC":
        # A coupling capacitor takes off the mean.
        values = values - float(np.trapezoid(values, degrees)) / float(degrees[-1] - degrees[0])
    low, high = min(float(values.min()), 0.0), max(float(values.max()), 0.0)
    both_ways = -low > 0.05 * high and high > 0.05 * -low
    reach = 2 * max(high, -low) if both_ways else high - low
    per_division = one_two_five(reach / _FILLED) if reach > 0.0 else 1.0
    zero = 0.0 if both_ways else -3.0 if high >= -low else 3.0
    place, _, kind = quantity.rpartition(".")
    return Channel(
        name=name, quantity=quantity, label=f"{place_name(place)} {kind}", unit="V" if kind == "voltage" else "A",
        degrees=degrees, values=values, per_division=per_division, zero=zero, coupling=coupling,
    )  # fmt: skip


def milliseconds_per_division(study: Study) -> float:
    """The fastest setting that shows two mains periods, or the whole common period if that is longer. [ms]"""
    periods = max(_FEWEST_PERIODS / mains_periods(study), 1.0) if mains_periods(study) > 1 else _FEWEST_PERIODS
    return one_two_five(1e3 * study.period * periods / ACROSS)


def scope_screen(study: Study, quantities: tuple[str, ...] = (), *, blank: bool = False, copier: bool = False) -> Scene:
    """The screen with its traces and settings; `blank`: the graticule alone, with lines to write the settings on."""
    shown = channels(study, quantities)
    time_base = milliseconds_per_division(study)
    box = Box(left=_LEFT, top=_TOP, right=_LEFT + ACROSS * _DIVISION, bottom=_TOP + UP * _DIVISION)
    items: list[Item] = [_graticule(box)]
    if not blank:
        for number, channel in enumerate(shown):
            items.append(_trace(study, channel, box, time_base, _DASHES[number]))
            items += _zero_mark(channel, box, number)
    items += _settings(shown, box, time_base, blank=blank)
    words = (
        "Blank screen of an oscilloscope, 10 by 8 divisions, for the student to draw on."
        if blank
        else " ".join([f"Screen of an oscilloscope, 10 by 8 divisions, {_time_words(time_base)} a division.",
                       *(_described(channel) for channel in shown)])
    )  # fmt: skip
    scene = finished(
        items, width=box.right + 60.0, height=box.bottom + 26.0 + 28.0 * (len(shown) + 1), title=study.title,
        kind="Oscilloscope", description=words, foot=_IN_TURN if len(quantities) > 1 else "",
    )  # fmt: skip
    return black_and_white(scene) if copier else scene


def _graticule(box: Box) -> Group:
    fine = Pen(width=0.8, colour="#8a8a8a", cap="butt")
    copied = Copier(pen=Pen(width=0.6, dash=(1.0, 3.0), cap="butt"))
    axis = Pen(width=1.3, cap="butt")
    items: list[Item] = [Rectangle(box=box, pen=Pen(width=1.6), fill=PAPER)]
    for k in range(1, ACROSS):
        x = box.left + k * _DIVISION
        middle = k == ACROSS // 2
        items.append(Line(points=((x, box.top), (x, box.bottom)), pen=axis if middle else fine,
                          copier=None if middle else copied))  # fmt: skip
    for k in range(1, UP):
        y = box.top + k * _DIVISION
        middle = k == UP // 2
        items.append(Line(points=((box.left, y), (box.right, y)), pen=axis if middle else fine,
                          copier=None if middle else copied))  # fmt: skip
    # Fifths of a division along both axes, as on the glass of an instrument.
    thin = Pen(width=0.9, cap="butt")
    x0, y0 = box.centre
    for k in range(1, 5 * ACROSS):
        x = box.left + k * _DIVISION / 5
        items.append(Line(points=((x, y0 - 4.0), (x, y0 + 4.0)), pen=thin))
    for k in range(1, 5 * UP):
        y = box.top + k * _DIVISION / 5
        items.append(Line(points=((x0 - 4.0, y), (x0 + 4.0, y)), pen=thin))
    return Group(items=tuple(items), tag=Tag(classes=("graticule",)))


def _colour(channel: Channel) -> str:
    if channel.unit == "A":
        return CURRENT
    return SECONDARY if channel.quantity.startswith(("secondary", "mains", "primary")) else LOAD


def _trace(study: Study, channel: Channel, box: Box, time_base: float, dash: tuple[float, ...]) -> Group:
    """The wave repeated until the screen's right edge, from its own 0 degrees at the left."""
    milliseconds = 1e3 * study.period
    whole = float(channel.degrees[-1])
    points = []
    for turn in range(math.ceil(time_base * ACROSS / milliseconds)):
        for degrees, value in zip(channel.degrees, channel.values, strict=True):
            time = (turn + float(degrees) / whole) * milliseconds
            x = box.left + time / time_base * _DIVISION
            y = box.centre[1] - (channel.zero + float(value) / channel.per_division) * _DIVISION
            points.append((x, y))
    line = Line(
        points=tuple(points), pen=Pen(width=2.6, colour=_colour(channel), dash=dash, cap="butt" if dash else "round"),
        tag=Tag(classes=("curve",), data={"reading": channel.quantity}),
    )  # fmt: skip
    return Group(items=(line,), clip=box)


def _zero_mark(channel: Channel, box: Box, number: int) -> list[Item]:
    """The little flag at the left edge that tells where zero lies."""
    y = box.centre[1] - channel.zero * _DIVISION
    left = box.left - 30.0 - 0.0 * number
    flag = ((left, y - 9.0), (left + 20.0, y - 9.0), (left + 28.0, y), (left + 20.0, y + 9.0), (left, y + 9.0))
    return [
        Polygon(points=flag, pen=Pen(width=1.2), fill=PAPER),
        Text(at=(left + 11.0, y), text=channel.name[-1], size=14.0, anchor="middle", baseline="middle", bold=True),
    ]


def _settings(shown: tuple[Channel, ...], box: Box, time_base: float, *, blank: bool) -> list[Item]:
    """One line a channel, and the time base; blank ones are left to be filled in."""
    y = box.bottom + 32.0
    items: list[Item] = []
    for number, channel in enumerate(shown):
        pen = Pen(width=2.6, colour=INK if blank else _colour(channel), dash=_DASHES[number], cap="butt")
        items.append(Text(at=(box.left, y), text=channel.name, size=TEXT, bold=True))
        if not blank:
            items.append(Line(points=((box.left + 44.0, y - 5.0), (box.left + 84.0, y - 5.0)), pen=pen))
        at = box.left + 96.0
        per = "" if blank else f"{format_quantity(channel.per_division, channel.unit)}/div"
        items += _filled(at, y, per, f"{channel.unit}/div", 92.0)
        coupling = f"{channel.coupling} coupled" if not blank else "DC / AC coupled"
        items.append(Text(at=(at + 120.0, y), text=coupling, size=SMALL))
        items.append(Text(at=(at + 250.0, y), text=channel.label, size=SMALL))
        y += 28.0
    items.append(Text(at=(box.left, y), text="Time", size=TEXT, bold=True))
    items += _filled(box.left + 96.0, y, "" if blank else f"{_time_words(time_base)}/div", "ms/div", 92.0)
    if not blank:
        items.append(Text(at=(box.left + 216.0, y), text="left edge: rising zero of the source", size=SMALL))
    return items


def _filled(x: float, y: float, words: str, unit: str, room: float) -> list[Item]:
    """A setting, or a line to write it on with its unit behind."""
    if words:
        return [Text(at=(x, y), text=words, size=TEXT)]
    end = x + room - text_width(unit, TEXT) - 6.0
    return [
        Line(points=((x, y + 3.0), (max(end, x + 30.0), y + 3.0)), pen=Pen(width=1.2, cap="butt")),
        Text(at=(max(end, x + 30.0) + 6.0, y), text=unit, size=TEXT),
    ]


def _time_words(milliseconds: float) -> str:
    return f"{milliseconds:g} ms" if milliseconds >= 1.0 else f"{1e3 * milliseconds:g} µs"


def _described(channel: Channel) -> str:
    low, high = float(channel.values.min()), float(channel.values.max())
    where = (
        "on the middle line"
        if channel.zero == 0.0
        else f"{abs(channel.zero):g} divisions {'below' if channel.zero < 0 else 'above'} it"
    )
    unit = channel.unit
    return (
        f"{channel.name}: {channel.label}, {format_quantity(channel.per_division, unit)} a division, "
        f"{channel.coupling} coupled, zero {where}; the trace runs from {format_quantity(low, unit, digits=DIGITS)} to "
        f"{format_quantity(high, unit, digits=DIGITS)}, {(high - low) / channel.per_division:.1f} divisions."
    )
