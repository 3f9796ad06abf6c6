"""A study in closed form, for the tests of the figures: ideal source, diodes of constant drop, reservoir, resistor.

While two diodes conduct the output follows the rectified sine less their drops; otherwise it decays exponentially
(elementary circuit theory). Nothing of the product computes here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from railwright.readings import HandValue, Reading
from railwright.supply.model import (
    Diode,
    FilterSection,
    Load,
    Loads,
    Mains,
    Rectifier,
    Supply,
    Transformer,
)


@dataclass(frozen=True)
class Waveform:
    times: Any
    values: Any


@dataclass(frozen=True)
class Interval:
    start: float
    end: float
    on: tuple[str, ...]
    blocking: dict[str, float]
    states: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Proof:
    power_balance: float = 1e-12
    charge_balance: float = 1e-13
    flux_balance: float = 0.0
    periodicity: float = 1e-12
    kirchhoff: float = 1e-14
    diode_law: float = 0.0


@dataclass
class ClosedFormStudy:
    supply: Supply
    period: float
    degrees: Any
    waves: dict[str, Any]
    conduction: tuple[Interval, ...]
    readings: dict[str, Reading]
    title: str
    model: str = "ideal"
    iterations: int = 3
    emf: dict[str, float] = field(default_factory=dict)
    proof: Proof = field(default_factory=Proof)

    def waveform(self, reading: str) -> Waveform:
        return Waveform(self.degrees / 360.0 * self.period, self.waves[reading])

    def _at(self, degrees: float, ending: str) -> dict[str, float]:
        return {
            name.removesuffix(ending): float(np.interp(degrees % 360.0, self.degrees, values))
            for name, values in self.waves.items()
            if name.endswith(ending)
        }

    def currents_at(self, degrees: float) -> dict[str, float]:
        return self._at(degrees, ".current")

    def voltages_at(self, degrees: float) -> dict[str, float]:
        voltages = self._at(degrees, ".voltage")
        voltages.update(positive=voltages["load"], negative=0.0, output=voltages["load"])
        return voltages


def ideal_study(
    *,
    circuit: str = "bridge",
    emf: float = 9.0,
    frequency: float = 50.0,
    capacitance: float | None = 2200e-6,
    resistance: float = 22.0,
    drop: float = 0.7,
    title: str = "Tide-gauge logger",
    source: str = "outlet",
) -> ClosedFormStudy:
    """Half-wave or bridge, on an ideal winding."""
    bridge = circuit == "bridge"
    drops = 2 * drop if bridge else drop
    crest = math.sqrt(2.0) * emf - drops
    omega = 2.0 * math.pi * frequency
    turn = 180.0 if bridge else 360.0
    tau = math.inf if capacitance is None else resistance * capacitance
    if capacitance is None:
        start, end = math.degrees(math.asin(drops / (crest + drops))), 0.0
        end = 180.0 - start
    else:
        # The diodes part when the sine, less the drops, falls faster than the capacitor discharges.
        angles = np.linspace(90.0, 180.0, 200_001)
        radians = np.radians(angles)
        current = capacitance * omega * (crest + drops) * np.cos(radians)
        current += ((crest + drops) * np.sin(radians) - drops) / resistance
        end = float(angles[np.argmax(current <= 0.0)])
        held = (crest + drops) * math.sin(math.radians(end)) - drops
        angles = np.linspace(0.0, 90.0, 200_001)
        decayed = held * np.exp(-np.radians(angles + turn - end) / (omega * tau))
        start = float(angles[np.argmax((crest + drops) * np.sin(np.radians(angles)) - drops >= decayed)])
    edges = [start, end] + ([start + 180.0, end + 180.0] if bridge else [])
    near = [edge + step for edge in edges for step in (-1e-6, 0.0, 1e-6)]
    degrees = np.unique(np.concatenate([np.linspace(0.0, 360.0, 721), near]))
    winding = (crest + drops) * np.sin(np.radians(degrees))
    phase = degrees % turn
    on = (phase >= start) & (phase <= end)
    follows = np.abs(winding) - drops if bridge else winding - drops
    if capacitance is None:
        load = np.where(on, follows, 0.0)
        capacitor = np.zeros_like(load)
    else:
        since = np.where(phase > end, phase - end, phase + turn - end)
        load = np.where(on, follows, held * np.exp(-np.radians(since) / (omega * tau)))
        slope = np.where(
            on,
            omega * (crest + drops) * np.cos(np.radians(phase)),
            -load / tau,
        )
        capacitor = capacitance * slope
    diodes = np.where(on, capacitor + load / resistance, 0.0)
    first = degrees <= 180.0
    waves = {
        "secondary.voltage": winding,
        "secondary.current": diodes * np.where(first, 1.0, -1.0 if bridge else 0.0),
        "rectifier.voltage": load,
        "load.voltage": load,
        "load.current": load / resistance,
    }
    for name in ("D1", "D4") if bridge else ("D1",):
        waves[f"{name}.current"] = np.where(first, diodes, 0.0)
    if bridge:
        for name in ("D2", "D3"):
            waves[f"{name}.current"] = np.where(first, 0.0, diodes)
    if capacitance is not None:
        waves |= {"C1.voltage": load, "C1.current": capacitor}
    everyone = ("D1", "D2", "D3", "D4") if bridge else ("D1",)
    spans = [(start, end, ("D1", "D4") if bridge else ("D1",))]
    if bridge:
        spans.append((start + 180.0, end + 180.0, ("D2", "D3")))
    intervals: list[Interval] = []
    # A single diode blocks the difference of load and winding; in a bridge at rest each diode's share is open.
    resting = {} if bridge else {"D1": float((load - winding).max())}
    at = 0.0
    for begin, finish, names in spans:
        intervals.append(Interval(at, begin, (), resting))
        blocked = {name: crest + drop for name in everyone if name not in names}
        intervals.append(Interval(begin, finish, names, blocked))
        at = finish
    intervals.append(Interval(at, 360.0, (), resting))
    return ClosedFormStudy(
        supply=Supply(
            mains=Mains(voltage=230.0, frequency=frequency, source=source),  # type: ignore[arg-type]
            rectifier=Rectifier(circuit=circuit, diode=Diode(drop=drop)),  # type: ignore[arg-type]
            transformer=Transformer(open_voltage=emf),
            filters=() if capacitance is None else (FilterSection(kind="capacitor", value=capacitance),),
            loads=Loads(single=Load(kind="resistance", value=resistance)),
            title=title,
        ),
        period=1.0 / frequency,
        degrees=degrees,
        waves=waves,
        conduction=tuple(intervals),
        readings=_readings(degrees, waves, crest, frequency * (2 if bridge else 1), capacitance, resistance),
        title=title,
        emf={"secondary": emf},
    )


def _readings(
    degrees: Any, waves: dict[str, Any], crest: float, recharge: float, capacitance: float | None, resistance: float
) -> dict[str, Reading]:
    """Computed by the trapezium rule; by hand the sawtooth (crest current over recharge frequency and capacitance)."""
    load = waves["load.voltage"]
    known: dict[str, Reading] = {}

    def add(name: str, value: float, unit: str, hand: float | None = None) -> None:
        hands = () if hand is None else (HandValue.beside(value, formula="sawtooth", value=hand, valid=True),)
        known[name] = Reading(id=name, value=value, unit=unit, hand=hands)

    def mean(values: Any) -> float:
        return float(np.trapezoid(values, degrees)) / 360.0

    ripple = float(load.max() - load.min())
    hand = None if capacitance is None else crest / resistance / recharge / capacitance
    add("load.voltage.mean", mean(load), "V", None if hand is None else crest - hand / 2)
    add("load.voltage.peak", float(load.max()), "V", crest)
    add("load.voltage.ripple_peak_to_peak", ripple, "V", hand)
    add("load.voltage.ripple_frequency", recharge, "Hz")
    add("load.current.mean", mean(load) / resistance, "A")
    for name, values in waves.items():
        if name.startswith("D"):
            add(f"{name}.mean", mean(values), "A")
            add(f"{name}.peak", float(values.max()), "A")
    if capacitance is not None:
        add("C1.voltage.ripple_peak_to_peak", ripple, "V", hand)
        add("C1.current.rms", math.sqrt(mean(waves["C1.current"] ** 2)), "A")
    return known
