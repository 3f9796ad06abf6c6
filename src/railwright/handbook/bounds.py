"""Bounds that no working supply can break, whatever its losses: the first check of a suspicious number."""

from __future__ import annotations

import math
from typing import Literal

from railwright.handbook.formula import (
    CIRCUITS_FULL_WAVE,
    CIRCUITS_HALF_WAVE,
    CIRCUITS_SINGLE_PHASE,
    Assumption,
    Example,
    Formula,
    Symbol,
    Validity,
)
from railwright.handbook.sources import MEMORY, ON_PAPER, RASHID, WIKIPEDIA
from railwright.handbook.symbols import (
    CAPACITANCE,
    LOAD_MEAN,
    LOAD_PEAK,
    LOAD_RESISTANCE,
    RECHARGE_FREQUENCY,
    RIPPLE,
    SOURCE_PEAK,
    quantity,
)


def greatest_load_peak(*, source_peak: float) -> float:
    """Greatest load peak behind a rectifier of one step: the source's open peak. [V]"""
    return source_peak


def greatest_load_mean(*, load_peak: float) -> float:
    """Greatest mean: the peak of the same voltage. [V]"""
    return load_peak


def greatest_ripple(
    *, source_peak: float, load_resistance: float, recharge_frequency: float, capacitance: float
) -> float:
    """Greatest ripple of a reservoir into a resistor: the source peak's current for the whole time. [V]"""
    return source_peak / (load_resistance * recharge_frequency * capacitance)


def greatest_half_wave_dc_ratio() -> float:
    """Greatest DC over AC load power without filter, half-wave. [1]"""
    return 4.0 / math.pi**2


def greatest_full_wave_dc_ratio() -> float:
    """Greatest DC over AC load power without filter, full-wave. [1]"""
    return 8.0 / math.pi**2


def greatest_half_wave_mean(*, source_peak: float) -> float:
    """Greatest mean without filter, half-wave. [V]"""
    return source_peak / math.pi


def greatest_full_wave_mean(*, source_peak: float) -> float:
    """Greatest mean without filter, full-wave. [V]"""
    return 2.0 * source_peak / math.pi


def least_rms(*, load_mean: float) -> float:
    """Least RMS of any voltage: its mean. [V]"""
    return load_mean


def greatest_power_factor() -> float:
    """Greatest power factor of any load. [1]"""
    return 1.0


def greatest_reverse_voltage(*, source_peak: float) -> float:
    """Greatest reverse voltage in any single-phase circuit fed by one section. [V]"""
    return 2.0 * source_peak


def least_charging_current_rms(*, load_current: float) -> float:
    """Least RMS of the rectifier's current: its mean. [A]"""
    return load_current


_NO_FILTER = Validity(sentence="Holds for every resistive load without a filter.")
_PASSIVE = Assumption(claim="asks only for diodes that block and a source without resonance behind it")


def _bound(
    id: str, title: str, statement: str, quantities: tuple[Symbol, ...], result: Symbol, function: object,
    sense: Literal["at most", "at least"], holds: Validity, example: Example, readings: tuple[str, ...],
    circuits: tuple[str, ...] = CIRCUITS_SINGLE_PHASE,
) -> Formula:  # fmt: skip
    assert callable(function)
    return Formula(
        id=id,
        topic="bounds",
        title=title,
        statement=statement,
        quantities=quantities,
        result=result,
        function=function,
        assumptions=(_PASSIVE,),
        validity=holds,
        source=example.source,
        example=example,
        kind="bound",
        sense=sense,
        readings=readings,
        circuits=circuits,
    )


_RATIO = quantity("dc_ratio", r"\eta_r", "1", "DC load power over the AC power that goes in")
_NO_CHOKE = "Holds for every filter that has no choke and no resonance."

FORMULAS = (
    _bound(
        "bound-load-peak", "The load's peak never exceeds the source's open peak", r"V_p \le V_m", (SOURCE_PEAK,),
        LOAD_PEAK, greatest_load_peak, "at most", Validity(sentence=_NO_CHOKE),
        Example(values={"source_peak": 16.97}, expected=16.97, tolerance=1e-9, source=ON_PAPER),
        ("load*.voltage.peak", "C*.voltage.peak"),
    ),
    _bound(
        "bound-load-mean", "A mean never exceeds the peak", r"V_{\mathrm{dc}} \le V_p", (LOAD_PEAK,),
        LOAD_MEAN, greatest_load_mean, "at most", Validity(sentence="Holds for every waveform."),
        Example(values={"load_peak": 15.57}, expected=15.57, tolerance=1e-9, source=ON_PAPER),
        ("load*.voltage.mean", "C*.voltage.mean"),
    ),
    _bound(
        "bound-ripple", "The ripple never exceeds the straight line from the source's peak",
        r"V_r \le \frac{V_m}{R f_r C}",
        (SOURCE_PEAK, LOAD_RESISTANCE, RECHARGE_FREQUENCY, CAPACITANCE), RIPPLE, greatest_ripple, "at most",
        Validity(sentence="Holds for a resistive load, equal pulses and a capacitor without series resistance."),
        Example(
            values={"source_peak": 20.0, "load_resistance": 100.0, "recharge_frequency": 100.0, "capacitance": 1e-3},
            expected=2.0, tolerance=1e-9, source=ON_PAPER,
        ),
        ("load*.voltage.ripple_peak_to_peak", "C*.voltage.ripple_peak_to_peak"),
    ),
    _bound(
        "bound-half-wave-mean", "Without filter a half wave's mean stays below 0.318 of the source's peak",
        r"V_{\mathrm{dc}} \le \frac{V_m}{\pi}", (SOURCE_PEAK,), LOAD_MEAN, greatest_half_wave_mean, "at most",
        _NO_FILTER, Example(values={"source_peak": 1.0}, expected=0.318, tolerance=1.6e-3, source=RASHID),
        ("load*.voltage.mean",), CIRCUITS_HALF_WAVE,
    ),
    _bound(
        "bound-full-wave-mean", "Without filter a full wave's mean stays below 0.637 of the source's peak",
        r"V_{\mathrm{dc}} \le \frac{2V_m}{\pi}", (SOURCE_PEAK,), LOAD_MEAN, greatest_full_wave_mean, "at most",
        _NO_FILTER, Example(values={"source_peak": 1.0}, expected=0.637, tolerance=8e-4, source=RASHID),
        ("load*.voltage.mean",), CIRCUITS_FULL_WAVE,
    ),
    _bound(
        "bound-half-wave-dc-ratio", "Rectification efficiency of an unfiltered half wave stays below 0.406",
        r"\eta_r \le \frac{4}{\pi^2}", (), _RATIO, greatest_half_wave_dc_ratio, "at most", _NO_FILTER,
        Example(values={}, expected=0.405, tolerance=1.3e-3, source=RASHID),
        ("rectifier.power.dc_ratio",), CIRCUITS_HALF_WAVE,
    ),
    _bound(
        "bound-full-wave-dc-ratio", "Rectification efficiency of an unfiltered full wave stays below 0.812",
        r"\eta_r \le \frac{8}{\pi^2}", (), _RATIO, greatest_full_wave_dc_ratio, "at most", _NO_FILTER,
        Example(values={}, expected=0.8106, tolerance=1e-4, source=WIKIPEDIA),
        ("rectifier.power.dc_ratio",), CIRCUITS_FULL_WAVE,
    ),
    _bound(
        "bound-rms", "An RMS is never below the mean", r"V_{\mathrm{L,rms}} \ge V_{\mathrm{dc}}", (LOAD_MEAN,),
        quantity("load_rms", r"V_{\mathrm{L,rms}}", "V", "RMS of the whole load voltage"), least_rms, "at least",
        Validity(sentence="Holds for every waveform."),
        Example(values={"load_mean": 15.0}, expected=15.0, tolerance=1e-9, source=ON_PAPER),
        ("load*.voltage.rms", "C*.voltage.rms"),
    ),
    _bound(
        "bound-power-factor", "A power factor is never above 1", r"\lambda \le 1", (),
        quantity("power_factor", r"\lambda", "1", "real over apparent power"), greatest_power_factor, "at most",
        Validity(sentence="Holds for every load."),
        Example(values={}, expected=1.0, tolerance=1e-9, source=ON_PAPER), ("mains.power.factor",),
    ),
    _bound(
        "bound-reverse-voltage", "A diode never blocks more than twice the peak of one section",
        r"V_{\mathrm{PIV}} \le 2V_m", (SOURCE_PEAK,),
        quantity("reverse_voltage_peak", r"V_{\mathrm{PIV}}", "V", "reverse voltage of one diode"),
        greatest_reverse_voltage, "at most", Validity(sentence=_NO_CHOKE),
        Example(values={"source_peak": 10.0}, expected=20.0, tolerance=1e-9, source=MEMORY),
        ("D*.reverse_voltage.peak",),
    ),
    _bound(
        "bound-charging-current", "The rectifier current's RMS is never below the DC that it delivers",
        r"I_{\mathrm{rms}} \ge I_{\mathrm{dc}}",
        (quantity("load_current", r"I_{\mathrm{dc}}", "A", "mean current that the rectifier delivers"),),
        quantity("charging_current_rms", r"I_{\mathrm{rms}}", "A", "RMS of the rectifier's current"),
        least_charging_current_rms, "at least", Validity(sentence="Holds for every waveform."),
        Example(values={"load_current": 0.153}, expected=0.153, tolerance=1e-9, source=ON_PAPER),
        ("secondary.current.rms",), ("half-wave", "bridge"),
    ),
)  # fmt: skip
