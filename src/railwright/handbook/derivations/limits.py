"""Bounds and rules."""

from __future__ import annotations

from collections.abc import Mapping

from railwright.handbook.derivation import cited, equal, given
from railwright.handbook.formula import DerivationLine

Lines = tuple[DerivationLine, ...]

_LIMIT = given("load_peak = source_peak", "limiting case", "no drop and no loss: any of them only lowers the value")

DERIVATIONS: Mapping[str, Lines] = {
    "bound-ripple": (
        given(
            "fastest_fall = source_peak/load_resistance/capacitance",
            "law of the capacitor, Ohm's law",
            "the voltage never falls faster than at the peak",
        ),
        given("longest_time = 1/recharge_frequency", "limiting case", "charging in no time"),
        given(
            "ripple_peak_to_peak = fastest_fall*longest_time", "limiting case", "the fastest fall for the longest time"
        ),
        equal("ripple_peak_to_peak = source_peak/(load_resistance*recharge_frequency*capacitance)", "put in"),
    ),
    "bound-half-wave-mean": (
        _LIMIT,
        cited("half-wave-mean", "load_mean = load_peak/pi"),
        equal("load_mean = source_peak/pi", "put in"),
    ),
    "bound-full-wave-mean": (
        _LIMIT,
        cited("full-wave-mean", "load_mean = 2*load_peak/pi"),
        equal("load_mean = 2*source_peak/pi", "put in"),
    ),
    "bound-half-wave-dc-ratio": (
        cited("half-wave-mean", "load_mean = load_peak/pi"),
        cited("half-wave-rms", "load_rms = load_peak/2"),
        given("dc_ratio = load_mean**2/load_rms**2", "limiting case", "losses only add to the power that goes in"),
        equal("dc_ratio = 4/pi**2", "the peak drops out"),
    ),
    "bound-full-wave-dc-ratio": (
        cited("full-wave-mean", "load_mean = 2*load_peak/pi"),
        cited("full-wave-rms", "load_rms = load_peak/sqrt(2)"),
        given("dc_ratio = load_mean**2/load_rms**2", "limiting case", "losses only add to the power that goes in"),
        equal("dc_ratio = 8/pi**2", "the peak drops out"),
    ),
    "bound-reverse-voltage": (
        given("capacitor_voltage = source_peak", "limiting case", "the capacitor never exceeds one peak"),
        given(
            "reverse_voltage_peak = capacitor_voltage + source_peak",
            "Kirchhoff's voltage law",
            "the source at its opposite peak on top of it",
        ),
        equal("reverse_voltage_peak = 2*source_peak", "put in"),
    ),
}

NOTES: Mapping[str, str] = {
    "bound-load-peak": "It is Kirchhoff's voltage law: a conducting diode's drop is never negative.",
    "bound-load-mean": "It is the definition of the mean: no mean exceeds the largest value.",
    "bound-rms": "It is the inequality of Cauchy and Schwarz: the mean of squares is no less than the squared mean.",
    "bound-power-factor": "It is the inequality of Cauchy and Schwarz for voltage and current.",
    "bound-charging-current": "It is the inequality of Cauchy and Schwarz: the mean of squares is no less.",
    "dc-current-by-rule": "It is a maker's rule.",
    "winding-voltage-by-rule": "It is a maker's rule.",
    "apparent-power-by-rule": "It is a maker's rule.",
    "least-value": "It is the definition of the tolerance.",
    "greatest-value": "It is the definition of the tolerance.",
}
