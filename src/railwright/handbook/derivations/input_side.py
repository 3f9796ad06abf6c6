"""The alternating side and the diode itself."""

from __future__ import annotations

from collections.abc import Mapping

from railwright.handbook.derivation import equal, given
from railwright.handbook.formula import DerivationLine

_SINE = given("voltage(theta) = source_peak*sin(theta)", "shape of a sine", "the source is a sine")
_RMS = given(
    "source_rms**2 = Integral(voltage(theta)**2, (theta, 0, 2*pi))/(2*pi)",
    "definition of the RMS",
    "the RMS is the root of the mean of the square",
)
_HALF = equal("source_rms**2 = source_peak**2/2", "the mean of the squared sine is a half")

DERIVATIONS: Mapping[str, tuple[DerivationLine, ...]] = {
    "peak-of-sine": (
        _SINE,
        _RMS,
        _HALF,
        equal("source_peak = sqrt(2)*source_rms", "solved for the peak"),
    ),
    "rms-of-sine": (
        _SINE,
        _RMS,
        _HALF,
        equal("source_rms = source_peak/sqrt(2)", "solved for the RMS"),
    ),
    "secondary-by-turns": (
        given("primary_rms = primary_turns*turn_voltage", "law of induction", "one flux gives each turn one voltage"),
        given("source_rms = secondary_turns*turn_voltage", "law of induction", "the same flux passes the secondary"),
        given("turns_ratio = primary_turns/secondary_turns", "definition of the turns ratio"),
        equal("source_rms = primary_rms/turns_ratio", "the voltage of a turn drops out"),
    ),
    "turns-ratio-for-secondary": (
        given("primary_rms = primary_turns*turn_voltage", "law of induction", "one flux gives each turn one voltage"),
        given("source_rms = secondary_turns*turn_voltage", "law of induction", "the same flux passes the secondary"),
        given("turns_ratio = primary_turns/secondary_turns", "definition of the turns ratio"),
        equal("turns_ratio = primary_rms/source_rms", "the voltage of a turn drops out"),
    ),
    "diode-current": (
        given(
            "source_voltage = resistor_drop + diode_voltage", "Kirchhoff's voltage law", "resistor and diode in a row"
        ),
        given("resistor_drop = series_resistance*diode_current", "Ohm's law"),
        given(
            "diode_voltage = reference_drop + drop_per_decade*log(diode_current/reference_current)/log(10)",
            "exponential law of the diode, read in decades",
        ),
        equal(
            "source_voltage = series_resistance*diode_current + reference_drop"
            " + drop_per_decade*log(diode_current/reference_current)/log(10)",
            "put together; it has no closed solution and is solved by trial",
        ),
    ),
    "drop-by-decades": (
        given(
            "diode_current = saturation_current*exp(diode_drop/emission_voltage)",
            "exponential law of the diode far above its saturation current",
        ),
        given(
            "reference_current = saturation_current*exp(reference_drop/emission_voltage)",
            "the same law at the reference",
        ),
        given("current_ratio = diode_current/reference_current", "definition of the ratio"),
        given("drop_per_decade = emission_voltage*log(10)", "definition of the rise for a tenfold current"),
        equal(
            "current_ratio = exp((diode_drop - reference_drop)/emission_voltage)",
            "the saturation current drops out",
        ),
        equal("diode_drop = reference_drop + drop_per_decade*log(current_ratio)/log(10)", "solved for the drop"),
    ),
}

NOTES: Mapping[str, str] = {
    "mains-period": "It is the definition of the frequency: periods for each second.",
    "mains-half-period": "It is the definition of the frequency, halved.",
    "thermal-voltage": "It is the definition of the thermal voltage; the constants are fixed by the SI.",
    "drop-at-temperature": "It is a rule of experience: about 2 mV less for each kelvin.",
    "leakage-at-temperature": "It is a rule of experience: twice the leakage for each 10 K.",
    "leakage-by-steps": "It is a rule of experience, worked in whole steps.",
}
