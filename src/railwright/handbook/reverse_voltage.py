"""The reverse voltage that each rectifier circuit puts on its diodes."""

from __future__ import annotations

import math

from railwright.handbook.formula import Assumption, Example, Formula, Symbol, Validity, Values
from railwright.handbook.sources import (
    BIMBHRA_HALF_WAVE,
    ON_PAPER,
    bapat,
    floyd,
    grob,
    sedra,
)
from railwright.handbook.symbols import DIODE_DROP, LOAD_PEAK, SOURCE_PEAK, quantity

_RESULT = quantity(
    "reverse_voltage_peak", r"V_{\mathrm{PIV}}", "V", "peak inverse voltage of each diode", "not negative"
)
_READINGS = ("D*.reverse_voltage.peak",)
_SAME_DROP = Assumption(claim="gives the conducting diode its stated drop and the blocking one no leakage")
_RIPPLE = Assumption(claim="lets the capacitor still hold its peak when the source stands at its negative peak")


def half_wave_reverse_voltage(*, source_peak: float) -> float:
    """Half-wave without a capacitor: the source's peak. [V]"""
    return source_peak


def half_wave_reservoir_reverse_voltage(*, source_peak: float, load_peak: float) -> float:
    """Half-wave with a reservoir: source peak on top of the load's. [V]"""
    return source_peak + load_peak


def half_wave_reverse_voltage_rule(*, source_peak: float) -> float:
    """Half-wave with a reservoir, drop left out: twice the source's peak. [V]"""
    return 2.0 * source_peak


def centre_tap_reverse_voltage(*, source_peak: float, diode_drop: float) -> float:
    """Centre-tap: both half windings in a row, less the conducting diode's drop. [V]"""
    return 2.0 * source_peak - diode_drop


def centre_tap_reverse_voltage_rule(*, source_peak: float) -> float:
    """Centre-tap, drop left out: twice the half winding's peak. [V]"""
    return 2.0 * source_peak


def bridge_reverse_voltage(*, source_peak: float, diode_drop: float) -> float:
    """Bridge: source peak less the drop of one conducting diode. [V]"""
    return source_peak - diode_drop


def doubler_reverse_voltage(*, source_peak: float, diode_drop: float) -> float:
    """Doublers and multipliers: twice the source's peak less one drop. [V]"""
    return 2.0 * source_peak - diode_drop


def three_phase_half_wave_reverse_voltage(*, source_peak: float, diode_drop: float) -> float:
    """Three-phase half-wave: peak between two lines less one drop. [V]"""
    return math.sqrt(3.0) * source_peak - diode_drop


def three_phase_bridge_reverse_voltage(*, source_peak: float, diode_drop: float) -> float:
    """Three-phase bridge: peak between two lines less one drop. [V]"""
    return math.sqrt(3.0) * source_peak - diode_drop


def _lifted(factor: float, plus_load: bool = False) -> tuple[Assumption, ...]:
    """The unloaded-peak assumption, lifted by the loaded winding's own peak."""

    def relaxed(givens: Values, facts: Values) -> float:
        peak = factor * abs(facts["source.voltage.peak"])
        return peak + givens["load_peak"] if plus_load else peak - givens.get("diode_drop", 0.0)

    def instead(givens: Values, facts: Values) -> str:
        return f"here the loaded winding reaches {abs(facts['source.voltage.peak']):.4g} V"

    first = Assumption(claim="takes the winding's unloaded peak", relaxed=relaxed, instead=instead)
    return (first, _RIPPLE if plus_load else _SAME_DROP)


def _formula(
    id: str, title: str, statement: str, quantities: tuple[Symbol, ...], function: object,
    assumptions: tuple[Assumption, ...], where: str, example: Example, circuits: tuple[str, ...],
) -> Formula:  # fmt: skip
    """One circuit's reverse voltage."""
    assert callable(function)
    return Formula(
        id=id,
        topic="reverse voltage",
        title=title,
        statement=statement,
        quantities=quantities,
        result=_RESULT,
        function=function,
        assumptions=assumptions,
        validity=Validity(
            sentence=where,
            condition=lambda values: values["source_peak"] > 2.0 * values.get("diode_drop", 0.0),
        ),
        source=example.source,
        example=example,
        readings=_READINGS,
        circuits=circuits,
    )


FORMULAS = (
    _formula(
        "half-wave-reverse-voltage",
        "Reverse voltage, half-wave without capacitor",
        r"V_{\mathrm{PIV}} = V_m",
        (SOURCE_PEAK,),
        half_wave_reverse_voltage,
        _lifted(1.0),
        "Valid for a resistive load.",
        Example(
            values={"source_peak": 40.0 * 1.414}, expected=56.56, tolerance=1e-4, source=grob("Ex. 27-4, p. 875")
        ),
        ("half-wave", "dual-half-wave"),
    ),
    _formula(
        "half-wave-reservoir-reverse-voltage",
        "Reverse voltage, half-wave with reservoir",
        r"V_{\mathrm{PIV}} = V_m + V_p",
        (SOURCE_PEAK, LOAD_PEAK),
        half_wave_reservoir_reverse_voltage,
        _lifted(1.0, plus_load=True),
        "Valid for a reservoir that keeps most of its charge for half a period.",
        Example(
            values={"source_peak": 16.7, "load_peak": 16.0},
            expected=32.7,
            tolerance=1.6e-3,
            source=sedra("end-of-chapter problem, answers from memory"),
        ),
        ("half-wave", "dual-half-wave"),
    ),
    _formula(
        "half-wave-reverse-voltage-rule",
        "Reverse voltage, half-wave with reservoir, rule of twice the peak",
        r"V_{\mathrm{PIV}} = 2V_m",
        (SOURCE_PEAK,),
        half_wave_reverse_voltage_rule,
        (Assumption(claim="leaves out the diode drop"), _RIPPLE),
        "Valid as an upper bound; 2.8 times the RMS.",
        Example(values={"source_peak": 10.0}, expected=20.0, tolerance=1e-9, source=ON_PAPER),
        ("half-wave", "dual-half-wave"),
    ),
    _formula(
        "centre-tap-reverse-voltage",
        "Reverse voltage, centre-tap",
        r"V_{\mathrm{PIV}} = 2V_m - V_D",
        (SOURCE_PEAK, DIODE_DROP),
        centre_tap_reverse_voltage,
        _lifted(2.0),
        "Valid with and without a capacitor.",
        Example(
            values={"source_peak": 25.0, "diode_drop": 0.7},
            expected=49.3,
            tolerance=1.1e-3,
            source=floyd("Ex. 2.5, p. 52"),
        ),
        ("centre-tap", "dual-rail"),
    ),
    _formula(
        "centre-tap-reverse-voltage-rule",
        "Reverse voltage, centre-tap, rule of twice the peak",
        r"V_{\mathrm{PIV}} = 2V_m",
        (SOURCE_PEAK,),
        centre_tap_reverse_voltage_rule,
        (Assumption(claim="leaves out the drop of the conducting diode"),),
        "Valid as an upper bound.",
        Example(
            values={"source_peak": 10.0 * math.sqrt(2.0)},
            expected=28.28,
            tolerance=1.9e-4,
            source=bapat("Ex. 2.4, p. 39"),
        ),
        ("centre-tap", "dual-rail"),
    ),
    _formula(
        "bridge-reverse-voltage",
        "Reverse voltage, bridge",
        r"V_{\mathrm{PIV}} = V_m - V_D",
        (SOURCE_PEAK, DIODE_DROP),
        bridge_reverse_voltage,
        _lifted(1.0),
        "Valid with and without a capacitor.",
        Example(
            values={"source_peak": 16.97, "diode_drop": 0.7},
            expected=16.27,
            tolerance=4e-4,
            source=floyd("Ex. 2.6, p. 54"),
        ),
        ("bridge",),
    ),
    _formula(
        "doubler-reverse-voltage",
        "Reverse voltage, doublers and multipliers",
        r"V_{\mathrm{PIV}} = 2V_m - V_D",
        (SOURCE_PEAK, DIODE_DROP),
        doubler_reverse_voltage,
        _lifted(2.0),
        "Valid for light loads.",
        Example(values={"source_peak": 12.0, "diode_drop": 0.7}, expected=23.3, tolerance=1e-9, source=ON_PAPER),
        ("full-wave-doubler", "half-wave-doubler", "multiplier"),
    ),
    _formula(
        "three-phase-half-wave-reverse-voltage",
        "Reverse voltage, three-phase half-wave",
        r"V_{\mathrm{PIV}} = \sqrt{3}\,V_m - V_D",
        (SOURCE_PEAK, DIODE_DROP),
        three_phase_half_wave_reverse_voltage,
        (Assumption(claim="takes the windings' unloaded peak"), _SAME_DROP),
        "Valid for a symmetrical source.",
        Example(
            values={"source_peak": 400.0 * math.sqrt(2.0 / 3.0), "diode_drop": 0.0},
            expected=565.7,
            tolerance=1e-4,
            source=BIMBHRA_HALF_WAVE,
        ),
        ("three-phase-half-wave",),
    ),
    _formula(
        "three-phase-bridge-reverse-voltage",
        "Reverse voltage, three-phase bridge",
        r"V_{\mathrm{PIV}} = \sqrt{3}\,V_m - V_D",
        (SOURCE_PEAK, DIODE_DROP),
        three_phase_bridge_reverse_voltage,
        (Assumption(claim="takes the windings' unloaded peak"), _SAME_DROP),
        "Valid for a symmetrical source.",
        Example(
            values={"source_peak": 326.6, "diode_drop": 0.0}, expected=565.7, tolerance=1e-4, source=BIMBHRA_HALF_WAVE
        ),
        ("three-phase-bridge",),
    ),
)
