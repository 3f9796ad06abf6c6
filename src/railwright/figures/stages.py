"""The supply as a row of stages, from the outlet to the load, each with the true waveform behind it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from railwright.figures.axes import MINUS, Scale, tick_label
from railwright.figures.chart import SMALL, TEXT, finished, shown_unit
from railwright.figures.copier import black_and_white
from railwright.figures.rows import CURRENT, DIGITS, LOAD, SECONDARY, mains_periods, reading_value, wave
from railwright.figures.scene import PAPER, Box, Copier, Group, Item, Line, Pen, Polygon, Rectangle, Scene, Tag, Text
from railwright.figures.typeface import fitted
from railwright.figures.waveforms import simplified
from railwright.quantities import format_quantity

if TYPE_CHECKING:
    from railwright.study import Study

__all__ = ["Stage", "stages", "stages_of"]

_COLUMN = 232.0  # [px]
_GAP = 34.0
_LEFT, _TOP = 40.0, 62.0
_BOX = 76.0  # height of a stage's box
_PLOT_TOP, _PLOT = 186.0, 150.0
_AXIS = 46.0  # room for the numbers beside a plot
_LINES = 4
_LEADING = 24.0
_DASHES: tuple[tuple[float, ...], ...] = ((), (8.0, 4.0), (10.0, 4.0, 2.0, 4.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One stage: its name, what it is made of, and what comes out of it."""

    name: str
    made_of: str
    shows: str  # what the waveform is: "voltage behind it", "current out of it"
    quantities: tuple[str, ...]  # waveforms
    readings: tuple[tuple[str, str], ...]  # reading, its name


def stages_of(study: Study) -> tuple[Stage, ...]:
    """The stages that this supply has, in the order in which the power passes them."""
    supply = study.supply
    if supply.elements:
        return (_source(study), *_own_network(study))
    found = [_source(study)]
    if supply.transformer is not None:
        found.append(_transformer(study))
    if supply.rectifier.circuit != "none":
        found.append(_rectifier(study))
    if supply.filters or supply.rectifier.circuit in _MULTIPLIERS:
        found.append(_filter(study))
    if supply.regulator is not None or supply.regulator_positive is not None or supply.regulator_negative is not None:
        found.append(_regulator(study))
    return (*found, _load(study))


_MULTIPLIERS = ("full-wave-doubler", "half-wave-doubler", "multiplier")


def _known(study: Study, *readings: tuple[str, str]) -> tuple[tuple[str, str], ...]:
    return tuple((reading, name) for reading, name in readings if reading_value(study, reading) is not None)


def _source(study: Study) -> Stage:
    mains = study.supply.mains
    names = {"outlet": "Outlet", "adapter": "AC adapter", "generator": "Generator"}
    place = "mains_l1" if mains.phases == 3 else "mains"
    quantities = tuple(f"mains_l{k}.voltage" for k in (1, 2, 3)) if mains.phases == 3 else ("mains.voltage",)
    words = [format_quantity(mains.voltage, "V", digits=DIGITS)]
    if mains.frequency is not None:
        words.append(format_quantity(mains.frequency, "Hz", digits=DIGITS))
    return Stage(
        name=names[mains.source] if mains.waveform != "dc" else "Bench source",
        made_of=" ".join(words) + (", 3-phase" if mains.phases == 3 else ""), shows="voltage", quantities=quantities,
        readings=_known(study, (f"{place}.voltage.rms", "voltage, RMS"), (f"{place}.current.rms", "current, RMS"),
                        ("mains.power.factor", "power factor")),
    )  # fmt: skip


def _transformer(study: Study) -> Stage:
    transformer = study.supply.transformer
    assert transformer is not None
    if study.supply.mains.phases == 3:
        places: tuple[str, ...] = ("secondary_1", "secondary_2", "secondary_3")
    elif transformer.secondary == "centre-tapped":
        places = ("secondary_a", "secondary_b")
    else:
        places = ("secondary",)
    made_of = "centre-tapped winding" if len(places) == 2 else "" if len(places) == 1 else transformer.connection
    if transformer.rating is not None:
        made_of = ", ".join(filter(None, (format_quantity(transformer.rating, "VA"), made_of)))
    first = places[0]
    half = " of a half" if len(places) == 2 else " of a phase" if len(places) == 3 else ""
    return Stage(
        name="Transformer", made_of=made_of, shows="winding voltage",
        quantities=tuple(f"{place}.voltage" for place in places),
        readings=_known(study, (f"{first}.voltage.rms", f"RMS{half}"), (f"{first}.voltage.peak", "peak"),
                        (f"{first}.current.rms", "current, RMS")),
    )  # fmt: skip


def _rectifier(study: Study) -> Stage:
    supply = study.supply
    kind = supply.rectifier.circuit
    # With a capacitor right behind the diodes their voltage is already the smooth one: the pulses tell what they do.
    first = supply.filters[0].kind if supply.filters else ""
    pulses = kind in _MULTIPLIERS or any(s.kind == "capacitor" and s.fitted for s in supply.filters[:1])
    if pulses and wave(study, "D1.current") is not None:
        diodes = ("rectifier.current",) if kind not in _MULTIPLIERS else ("D1.current",)
        quantities = diodes if wave(study, diodes[0]) is not None else ("D1.current",)
        place = quantities[0].partition(".")[0]
        shows, readings = "charging current", _known(
            study, (f"{place}.current.peak", "peak"), (f"{place}.conduction.angle", "conduction angle"),
            ("D1.reverse_voltage.peak", "a diode blocks"),
        )  # fmt: skip
    else:
        quantities, shows = ("rectifier.voltage",), "voltage behind it"
        if first not in ("choke", "resistor") and wave(study, quantities[0]) is None:
            quantities = ("load.voltage",)
        place = quantities[0].partition(".")[0]
        readings = _known(study, (f"{place}.voltage.mean", "mean"), (f"{place}.voltage.peak", "peak"),
                          ("D1.reverse_voltage.peak", "a diode blocks"))  # fmt: skip
    return Stage(
        name="Multiplier" if kind == "multiplier" else "Rectifier", made_of=_made_of(study), shows=shows,
        quantities=quantities, readings=readings,
    )  # fmt: skip


def _made_of(study: Study) -> str:
    """The circuit in words, with the number of a multiplier's stages."""
    kind = study.supply.rectifier.circuit
    if kind == "multiplier":
        count = study.supply.rectifier.stages
        return f"{count} stage{'s' * (count > 1)}"
    return kind.replace("-doubler", " doubler")


def _filter(study: Study) -> Stage:
    supply = study.supply
    kinds = [section.kind for section in supply.filters if section.fitted and section.kind != "bleeder"]
    made_of = ", ".join(dict.fromkeys(kinds)) or "capacitors of the multiplier"
    if supply.is_dual:
        regulated = supply.regulator_positive is not None or supply.regulator_negative is not None
        has_inputs = regulated and wave(study, "U1.input.voltage") is not None
        names: tuple[str, ...] = ("U1.input", "U2.input") if has_inputs else ("load_positive", "load_negative")
    elif supply.regulator is not None and wave(study, "U1.input.voltage") is not None:
        names = ("U1.input",)
    elif supply.regulator is not None and wave(study, "C1.voltage") is not None:
        names = (_last_capacitor(study),)
    else:
        names = ("load",)
    first = names[0]
    quantities = tuple(f"{name}.voltage" for name in names if wave(study, f"{name}.voltage") is not None)
    return Stage(
        name="Filter", made_of=made_of, shows="voltage behind it", quantities=quantities,
        readings=_known(study, (f"{first}.voltage.mean", "mean"),
                        (f"{first}.voltage.ripple_peak_to_peak", "ripple, p-p"),
                        (f"{first}.voltage.ripple_frequency", "ripple at")),
    )  # fmt: skip


def _last_capacitor(study: Study) -> str:
    number = sum(1 for section in study.supply.filters if section.kind == "capacitor")
    return f"C{max(number, 1)}"


def _regulator(study: Study) -> Stage:
    supply = study.supply
    first = supply.regulator or supply.regulator_positive or supply.regulator_negative
    assert first is not None
    names = ("load_positive", "load_negative") if supply.is_dual else ("load",)
    made_of = first.part or ("zener stabiliser" if first.kind == "zener" else "series")
    return Stage(
        name="Regulator", made_of=made_of, shows="voltage behind it",
        quantities=tuple(f"{name}.voltage" for name in names),
        readings=_known(study, (f"{names[0]}.voltage.mean", "mean"),
                        (f"{names[0]}.voltage.ripple_peak_to_peak", "ripple, p-p"),
                        ("U1.headroom.minimum", "least headroom"), ("Z1.power.mean", "power in the zener")),
    )  # fmt: skip


def _load(study: Study) -> Stage:
    names = ("load_positive", "load_negative") if study.supply.is_dual else ("load",)
    loads = study.supply.loads
    load = loads.single or loads.positive or loads.negative
    units = {"resistance": "ohm", "current": "A", "power": "W", "battery": "V"}
    made_of = ""
    if load is not None:
        value = format_quantity(load.value, units[load.kind]) if load.value is not None and load.kind in units else ""
        made_of = {"none": "open", "pulses": "pulses", "battery": f"battery {value}"}.get(load.kind, value)
    current, voltage = f"{names[0]}.current", f"{names[0]}.voltage"
    return Stage(
        name="Load", made_of=made_of, shows="current through it",
        quantities=tuple(f"{name}.current" for name in names if wave(study, f"{name}.current") is not None),
        readings=_known(study, (f"{voltage}.mean", "voltage, mean"), (f"{current}.mean", "current, mean"),
                        ("load.power.mean", "power"), ("supply.efficiency", "efficiency of all")),
    )  # fmt: skip


def _own_network(study: Study) -> tuple[Stage, ...]:
    output = "" if study.supply.network is None else " to ".join(study.supply.network.output)
    return (
        Stage(
            name="Network", made_of=f"{len(study.supply.elements)} parts", shows=f"voltage {output}",
            quantities=("load.voltage",),
            readings=_known(study, ("load.voltage.mean", "mean"), ("load.voltage.ripple_peak_to_peak", "peak to peak"),
                            ("load.voltage.rms", "RMS")),
        ),
    )  # fmt: skip


# ---------------------------------------------------------------- drawing


def stages(study: Study, *, blank: bool = False, copier: bool = False) -> Scene:
    """The block diagram; `blank`: empty axes and lines to write on, for the student."""
    shown = stages_of(study)
    items: list[Item] = []
    sentences = []
    for number, stage in enumerate(shown):
        left = _LEFT + number * (_COLUMN + _GAP)
        items += _block(stage, left, last=number + 1 == len(shown))
        items += _plot(study, stage, left + _AXIS, blank=blank)
        items += _values(study, stage, left, blank=blank)
        sentences.append(_described(study, stage))
    height = _PLOT_TOP + _PLOT + 34.0 + _LEADING * _LINES + 6.0
    milliseconds = 1e3 * study.period
    foot = "" if blank else (
        f"Each waveform over one period of {milliseconds:.4g} ms. Model: {study.model}."
        if study.supply.mains.frequency else f"Model: {study.model}."
    )  # fmt: skip
    description = (
        f"Stages to be filled in: {', '.join(stage.name for stage in shown)}."
        if blank
        else f"Stages from the source to the load. {' '.join(sentences)}"
    )
    width = _LEFT + len(shown) * (_COLUMN + _GAP) - _GAP + 40.0
    scene = finished(
        items, width=width, height=height, title=study.title, kind="Stages", description=description, foot=foot
    )
    return black_and_white(scene) if copier else scene


def _block(stage: Stage, left: float, *, last: bool) -> list[Item]:
    box = Box(left=left, top=_TOP, right=left + _COLUMN, bottom=_TOP + _BOX)
    middle = box.centre[0]
    items: list[Item] = [
        Rectangle(box=box, radius=6.0, pen=Pen(width=1.8), fill=PAPER, tag=Tag(classes=("stage",))),
        Text(at=(middle, box.top + 33.0), text=stage.name, size=19.0, anchor="middle", bold=True),
        Text(at=(middle, box.top + 58.0), text=fitted(stage.made_of, SMALL, _COLUMN - 16.0), size=SMALL,
             anchor="middle"),
    ]  # fmt: skip
    if not last:
        y = box.centre[1]
        tip = box.right + _GAP - 3.0
        items.append(Line(points=((box.right, y), (tip - 9.0, y)), pen=Pen(width=1.8, cap="butt")))
        items.append(Polygon(points=((tip, y), (tip - 11.0, y - 5.5), (tip - 11.0, y + 5.5)), pen=None, fill="ink"))
    return items


def _plot(study: Study, stage: Stage, left: float, *, blank: bool) -> list[Item]:
    """A small pair of axes with the waveforms, the largest and least value beside it."""
    box = Box(left=left, top=_PLOT_TOP, right=left + _COLUMN - _AXIS, bottom=_PLOT_TOP + _PLOT)
    found = [(name, data) for name in stage.quantities if (data := wave(study, name)) is not None]
    heading = stage.shows[:1].upper() + stage.shows[1:]
    items: list[Item] = [
        Text(at=(left - _AXIS, box.top - 20.0), text=fitted(heading, SMALL, _COLUMN), size=SMALL, bold=True)
    ]
    frame = Pen(width=1.2, cap="butt")
    if not found:
        return items
    unit = "V" if found[0][0].endswith(".voltage") else "A"
    low = min(0.0, *(float(values.min()) for _, (_, values) in found))
    high = max(0.0, *(float(values.max()) for _, (_, values) in found))
    if not high > low:
        high = 1.0
    factor, shown = shown_unit(max(high, -low), unit)
    reach = high - low
    up = Scale(low=(low - 0.06 * reach * (low < 0)) * factor, high=(high + 0.06 * reach * (high > 0)) * factor,
               start=box.bottom, end=box.top)  # fmt: skip
    zero = up.at(0.0)
    items += [
        Line(points=((box.left, box.top), (box.left, box.bottom)), pen=frame),
        Line(points=((box.left, zero), (box.right, zero)), pen=frame),
        Text(at=(box.left - 6.0, zero), text="0", size=14.0, anchor="end", baseline="middle"),
        Text(at=(box.left - 6.0, box.top - 2.0), text=shown, size=14.0, anchor="end", bold=True),
    ]
    quarter = (box.right - box.left) / 4
    for k in range(1, 5):
        x = box.left + k * quarter
        items.append(Line(points=((x, zero - 3.5), (x, zero + 3.5)), pen=Pen(width=0.9, cap="butt")))
    if blank:
        items.append(
            Rectangle(box=box, pen=Pen(width=0.9, colour="#9a9a9a", dash=(3.0, 3.0)),
                      copier=Copier(pen=Pen(width=0.6, dash=(1.0, 3.0))))
        )  # fmt: skip
        return items
    for value in (high, low):
        y = up.at(value * factor)
        if value != 0.0 and abs(y - zero) > 15.0:
            words = tick_label(value * factor, 10.0 ** (np.floor(np.log10(abs(value * factor))) - 2))
            y = max(y, box.top + 14.0) if value > 0 else y
            items.append(Line(points=((box.left - 4.0, up.at(value * factor)), (box.left, up.at(value * factor))),
                              pen=frame))  # fmt: skip
            items.append(Text(at=(box.left - 6.0, y), text=words, size=14.0, anchor="end", baseline="middle"))
    for number, (name, (degrees, values)) in enumerate(found):
        across = Scale(low=0.0, high=360.0 * mains_periods(study), start=box.left, end=box.right)
        points = [
            (across.at(float(at)), up.at(float(value) * factor)) for at, value in zip(degrees, values, strict=True)
        ]
        colour = CURRENT if unit == "A" else SECONDARY if name.startswith(("mains", "secondary")) else LOAD
        dash = _DASHES[number % len(_DASHES)]
        pen = Pen(width=2.4, colour=colour, dash=dash, cap="butt" if dash else "round")
        line = Line(points=simplified(points, 0.15), pen=pen, tag=Tag(classes=("curve",), data={"reading": name}))
        items.append(Group(items=(line,), clip=box.grown(3.0)))
    return items


def _values(study: Study, stage: Stage, left: float, *, blank: bool) -> list[Item]:
    items: list[Item] = []
    y = _PLOT_TOP + _PLOT + 34.0
    for reading, name in stage.readings[:_LINES]:
        value = _written(study, reading)
        room = _COLUMN - 96.0
        items.append(Text(at=(left, y), text=fitted(name, SMALL, room), size=SMALL))
        if blank:
            unit = value.rpartition(" ")[2] if " " in value else value.lstrip("-−0123456789.")
            items.append(Line(points=((left + room + 4.0, y + 3.0), (left + _COLUMN - 26.0, y + 3.0)),
                              pen=Pen(width=1.1, cap="butt")))  # fmt: skip
            items.append(Text(at=(left + _COLUMN, y), text=unit, size=SMALL, anchor="end"))
        else:
            items.append(
                Text(at=(left + _COLUMN, y), text=value, size=TEXT, anchor="end", bold=True,
                     tag=Tag(classes=("value",), data={"reading": reading}))
            )  # fmt: skip
        y += _LEADING
    return items


def _written(study: Study, reading: str) -> str:
    known = study.readings[reading]
    assert known.value is not None
    unit = "%" if reading.endswith("efficiency") else known.unit
    return format_quantity(known.value, unit, digits=DIGITS).replace("-", MINUS)


def _described(study: Study, stage: Stage) -> str:
    values = ", ".join(f"{name} {_written(study, reading)}" for reading, name in stage.readings[:_LINES])
    made = f" ({stage.made_of})" if stage.made_of else ""
    return f"{stage.name}{made}: {values}." if values else f"{stage.name}{made}."
