"""The text equivalents of the figures: what a picture shows, computed from the same study."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from railwright.figures.axes import MINUS
from railwright.figures.rows import DIGITS, Curve, Row, mains_periods
from railwright.figures.states import telling_states
from railwright.quantities import format_quantity

if TYPE_CHECKING:
    from railwright.study import ConductionInterval, Study
    from railwright.supply.model import Supply

__all__ = [
    "describe_board",
    "describe_conduction",
    "describe_interval",
    "describe_path",
    "describe_schematic",
    "describe_waveforms",
    "interval_at",
    "interval_parts",
    "joined",
]

_CIRCUITS = {
    "half-wave": "half-wave rectifier",
    "centre-tap": "full-wave rectifier with a tapped winding",
    "bridge": "bridge rectifier",
    "dual-rail": "bridge rectifier with a tapped winding for two rails",
    "dual-half-wave": "half-wave rectifiers for two rails",
    "full-wave-doubler": "full-wave voltage doubler",
    "half-wave-doubler": "half-wave voltage doubler",
    "multiplier": "voltage multiplier",
    "three-phase-half-wave": "three-phase half-wave rectifier",
    "three-phase-bridge": "three-phase bridge rectifier",
    "none": "circuit without a rectifier",
}


#: Share of the largest voltage blocked below which another is nothing.
_NOTHING = 1e-6


def joined(words: Sequence[str]) -> str:
    """Words as a list in a sentence: "D1, D4 and D5"."""
    return " and ".join((", ".join(words[:-1]), words[-1])) if len(words) > 1 else "".join(words)


def interval_parts(interval: ConductionInterval) -> tuple[str, str]:
    """One conduction interval as two clauses: when and who conducts; what the others block, or ""."""
    span = f"{interval.start:.1f}° to {interval.end:.1f}°"
    on = tuple(interval.on)
    conducting = f"{joined(on)} conduct{'s' if len(on) == 1 else ''}" if on else "no diode conducts"
    # Diodes that block the same share one number.
    shares: dict[str, list[str]] = {}
    least = _NOTHING * max(map(abs, interval.blocking.values()), default=0.0)
    for name, voltage in interval.blocking.items():
        text = f"up to {format_quantity(voltage, 'V', digits=DIGITS)}" if voltage > least else "nothing"
        shares.setdefault(text, []).append(name)
    blocked = [f"{joined(names)} block{'s' if len(names) == 1 else ''} {text}" for text, names in shares.items()]
    states = [f"{name}: {words}" for name, words in telling_states(interval.states).items()]
    return f"{span}: {conducting}", ", ".join([*blocked, *states])


def describe_interval(interval: ConductionInterval) -> str:
    """One conduction interval as a sentence: which diodes conduct, and what the others block."""
    return ", ".join(filter(None, interval_parts(interval))) + "."


def describe_conduction(study: Study) -> tuple[str, ...]:
    """All conduction intervals of the period, a sentence each."""
    return tuple(describe_interval(interval) for interval in study.conduction)


def describe_schematic(study: Study) -> str:
    """What the circuit is made of."""
    supply = study.supply
    if supply.elements:
        return _describe_network(supply)
    mains = supply.mains
    kind = _CIRCUITS.get(supply.rectifier.circuit, supply.rectifier.circuit)
    source = f"{format_quantity(mains.voltage, 'V', digits=DIGITS)}"
    if mains.frequency:
        source += f", {format_quantity(mains.frequency, 'Hz', digits=DIGITS)}"
    parts = [f"{kind} from {source}"]
    if supply.transformer is not None:
        parts.append("transformer")
    unit = {"capacitor": "F", "resistor": "ohm", "choke": "H", "bleeder": "ohm"}
    for section in supply.filters:
        parts.append(f"{section.kind} {format_quantity(section.value, unit[section.kind], digits=DIGITS)}")
    if supply.regulator is not None or supply.regulator_positive is not None:
        parts.append("regulator")
    load_unit = {"resistance": "ohm", "current": "A", "power": "W", "battery": "V"}
    for rail in ("single", "positive", "negative", "across"):
        load = getattr(supply.loads, rail)
        if load is not None and load.value is not None and load.kind in load_unit:
            where = {"single": "load", "across": "load across both rails"}.get(rail, f"{rail} load")
            where = "battery" if load.kind == "battery" else where
            parts.append(f"{where} {format_quantity(load.value, load_unit[load.kind], digits=DIGITS)}")
    return f"Circuit: {', '.join(parts)}."


def _describe_network(supply: Supply) -> str:
    """A reader's own network, part by part."""
    units = {"resistor": "ohm", "capacitor": "F", "choke": "H", "zener": "V", "battery": "V", "current-load": "A"}
    words = []
    for element in supply.elements:
        value = ""
        if element.source is not None:
            value = " " + format_quantity(element.source.voltage, "V", digits=DIGITS)
        elif element.value is not None and element.kind in units:
            value = " " + format_quantity(element.value, units[element.kind], digits=DIGITS)
        words.append(f"{element.name}{value}")
    return f"Circuit: network of {', '.join(words)}."


def interval_at(study: Study, degrees: float) -> ConductionInterval | None:
    """The conduction interval that holds an angle, of the first period; None if the study has no intervals."""
    at = degrees % (360.0 * mains_periods(study))
    return next((interval for interval in study.conduction if interval.start <= at <= interval.end), None)


def describe_path(study: Study, degrees: float) -> str:
    """Which diodes carry the current at one angle."""
    interval = interval_at(study, degrees)
    moment = f"At {degrees:.4g}°"
    return f"{moment}." if interval is None else f"{moment}, in the interval {describe_interval(interval)}"


def describe_waveforms(study: Study, rows: Sequence[Row]) -> str:
    """What the waveforms show: each curve's reach, what is dimensioned, who conducts when."""
    milliseconds = study.period * 1e3
    sentences = [f"One period, 0 to {milliseconds:.4g} ms."]
    for row in rows:
        curves = [
            f"{curve.label} from {_shown(float(curve.values.min()), curve, row.unit)} to "
            f"{_shown(float(curve.values.max()), curve, row.unit)}"
            for curve in row.curves
            if curve.reading and not curve.compared
        ]
        second = [curve for curve in row.curves if curve.compared]
        curves += [
            f"{second[0].label}, {curve.reading.partition('.')[0]} from "
            f"{_shown(float(curve.values.min()), curve, row.unit)} to "
            f"{_shown(float(curve.values.max()), curve, row.unit)}"
            for curve in second
        ]
        marks = [dimension.label for dimension in row.dimensions]
        marks += [curve.label for curve in row.curves if curve.label.startswith("by hand")]
        title = row.title + (", magnified" if row.magnifies else "")
        sentences.append(f"{title}: {'; '.join([*curves, *marks])}.")
    return " ".join([*sentences, *describe_conduction(study)])


def describe_board(study: Study, rows: Sequence[Row], table: Sequence[str]) -> str:
    """The whole board: circuit, waveforms, table."""
    readings = f"Readings: {'; '.join(table)}." if table else ""
    return " ".join(part for part in (describe_schematic(study), describe_waveforms(study, rows), readings) if part)


def _shown(value: float, curve: Curve, unit: str) -> str:
    """A value of a curve; what is nothing beside the curve's own size is zero."""
    size = max(abs(float(curve.values.min())), abs(float(curve.values.max())))
    return format_quantity(0.0 if abs(value) < 1e-4 * size else value, unit, digits=DIGITS).replace("-", MINUS)
