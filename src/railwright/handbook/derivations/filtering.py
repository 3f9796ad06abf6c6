"""Chokes, filter sections and reactances."""

from __future__ import annotations

from collections.abc import Mapping

from railwright.handbook.derivation import approximation, cited, equal, given, order
from railwright.handbook.formula import DerivationLine

Lines = tuple[DerivationLine, ...]

_SECOND = cited("second-harmonic-peak", "second_harmonic = 4*source_peak/(3*pi)")
_MEAN = given(
    "load_mean = 2*source_peak/pi", "mean of the rectified sine", "the choke takes no mean voltage, drops left out"
)
_OMEGA = given("omega = 2*pi*mains_frequency", "definition of the angular frequency")
_CHOKE_CURRENT = given(
    "ripple_current = second_harmonic/(2*omega*inductance)",
    "law of the choke",
    "at twice the mains frequency the whole ripple stands across the choke",
)
_BORDER: Lines = (
    _SECOND,
    _OMEGA,
    _CHOKE_CURRENT,
    given("load_current = load_mean/load_resistance", "Ohm's law"),
    _MEAN,
    given("load_current - ripple_current = 0", "border of the gap", "the current just touches zero"),
)
_RIPPLE_BEHIND: Lines = (
    _SECOND,
    _OMEGA,
    _CHOKE_CURRENT,
    _MEAN,
    given(
        "ripple_rms = ripple_current/sqrt(2)/(2*omega*capacitance)",
        "law of the capacitor",
        "the whole ripple current passes the capacitor",
    ),
    given("ripple_factor = ripple_rms/load_mean", "definition of the ripple factor"),
    equal("ripple_factor = sqrt(2)/(12*(2*pi*mains_frequency)**2*inductance*capacitance)", "the source drops out"),
)
_EXACT: Lines = (
    given(
        "omega*inductance*Derivative(current(theta), theta) = source_peak*(sin(theta) - 2/pi)",
        "law of the choke",
        "rectified sine on one side, its mean on the other",
    ),
    given("Integral(current(theta), (theta, 0, pi))/pi = load_current", "charge balance", "the mean goes to the load"),
    equal("current(theta) = load_current + source_peak/(omega*inductance)*(1 - cos(theta) - 2*theta/pi)", "integrated"),
    given("start = asin(2/pi)", "condition for the least current", "the rectified sine passes its mean there"),
    given("current(start) = 0", "border of the gap", "the least current just touches zero"),
    given("load_current = 2*source_peak/(pi*load_resistance)", "Ohm's law"),
    _OMEGA,
)
_SHARE = "pi/2*(cos(asin(2/pi)) + 2*asin(2/pi)/pi - 1)"
_BORDER_EXACT = equal(f"inductance = {_SHARE}*load_resistance/(2*pi*mains_frequency)", "solved; the source drops out")

_LOOP = given("input_mean = series_drop + load_mean", "Kirchhoff's voltage law", "a mean passes no capacitor")

_RECTIFIED = given(
    "rectified_mean = 2*source_peak/pi - diodes_in_path*diode_drop",
    "mean of the rectified sine, drops taken off",
    "two diodes always conduct",
)
_GONE_THROUGH = given(
    "choke_current_mean = load_current + bleeder_current", "charge balance", "the capacitor gives back what it takes"
)
_RIPPLE_OF_CHOKE: Lines = (
    _SECOND,
    _OMEGA,
    given(
        "ripple_current = second_harmonic/(2*omega*inductance)",
        "law of the choke",
        "at twice the mains frequency the whole ripple stands across the choke",
    ),
)
_CHOKE_WAVE = given(
    "current(theta) = choke_current_mean + ripple_current*sin(2*theta)",
    "Fourier's theorem",
    "the mean and the second harmonic, counted from a zero of the ripple",
)
_CHOKE_RMS = given(
    "choke_current_rms**2 = Integral(current(theta)**2, (theta, 0, 2*pi))/(2*pi)", "definition of the RMS"
)

DERIVATIONS: Mapping[str, Lines] = {
    "critical-inductance": (
        *_BORDER,
        equal("inductance = load_resistance/(6*pi*mains_frequency)", "solved; the source drops out"),
    ),
    "critical-inductance-exact": (*_EXACT, _BORDER_EXACT),
    "bleeder-for-choke": (
        *_EXACT,
        equal(f"load_resistance = 2*pi*mains_frequency*inductance/({_SHARE})", "solved; the source drops out"),
    ),
    "choke-input-mean": (
        _RECTIFIED,
        given(
            "rectified_mean = series_resistance*load_current + load_resistance*load_current",
            "Kirchhoff's voltage law, Ohm's law",
            "a choke takes no mean voltage but that of its resistance",
        ),
        given("load_mean = load_resistance*load_current", "Ohm's law"),
        equal(
            "load_current = (2*source_peak/pi - diodes_in_path*diode_drop)/(load_resistance + series_resistance)",
            "solved for the current",
        ),
        equal(
            "load_mean = (2*source_peak/pi - diodes_in_path*diode_drop)*load_resistance"
            "/(load_resistance + series_resistance)",
            "put in",
        ),
    ),
    "source-peak-for-choke-input": (
        given("rectified_mean = 2*source_peak/pi", "mean of the rectified sine", "drops left out"),
        given("load_current = load_mean/load_resistance", "Ohm's law"),
        given("rectified_mean - series_resistance*load_current = load_mean", "Kirchhoff's voltage law, Ohm's law"),
        equal("source_peak = pi/2*load_mean*(1 + series_resistance/load_resistance)", "solved for the source"),
    ),
    "choke-input-ripple-factor": _RIPPLE_BEHIND,
    "lc-product-for-ripple-factor": (
        *_RIPPLE_BEHIND,
        given(
            "lc_product = inductance*capacitance",
            "definition of the product",
            "both together are the number that is wanted",
        ),
        equal("lc_product = sqrt(2)/(12*ripple_factor*(2*pi*mains_frequency)**2)", "solved for the product"),
    ),
    "capacitance-for-choke-input": (
        *_RIPPLE_BEHIND,
        equal("capacitance = sqrt(2)/(12*ripple_factor*(2*pi*mains_frequency)**2*inductance)", "solved"),
    ),
    "series-choke-for-ripple-factor": (
        _SECOND,
        _OMEGA,
        _MEAN,
        given(
            "ripple_rms = second_harmonic/sqrt(2)*load_resistance/sqrt(load_resistance**2 + (2*omega*inductance)**2)",
            "voltage divider",
            "choke and load carry the same ripple current",
        ),
        given("ripple_factor = ripple_rms/load_mean", "definition of the ripple factor"),
        approximation(
            "ripple_rms = second_harmonic/sqrt(2)*load_resistance/(2*omega*inductance)",
            "reactance much larger than the load",
            small="load_resistance/inductance/omega",
            through="load_resistance",
            reach=0.5,
            error=0.0312,
        ),
        equal("ripple_factor = load_resistance/(3*sqrt(2)*2*pi*mains_frequency*inductance)", "the source drops out"),
        equal("inductance = load_resistance/(3*sqrt(2)*2*pi*mains_frequency*ripple_factor)", "solved"),
    ),
    "pi-filter-ripple-factor": (
        _OMEGA,
        given(
            "charging_second = sqrt(2)*load_current",
            "Fourier's theorem",
            "RMS of the second harmonic of short charging pulses",
        ),
        given("input_ripple = charging_second/(2*omega*first_capacitance)", "law of the capacitor"),
        given("ripple_current = input_ripple/(2*omega*inductance)", "law of the choke"),
        given("ripple_rms = ripple_current/(2*omega*second_capacitance)", "law of the capacitor"),
        given("load_mean = load_resistance*load_current", "Ohm's law"),
        given("ripple_factor = ripple_rms/load_mean", "definition of the ripple factor"),
        equal(
            "ripple_factor = sqrt(2)/(8*(2*pi*mains_frequency)**3*first_capacitance*second_capacitance"
            "*inductance*load_resistance)",
            "the current drops out",
        ),
    ),
    "minimum-choke-current": (
        _SECOND,
        _OMEGA,
        _CHOKE_CURRENT,
        given("bleeder_current = ripple_current", "border of the gap", "the current just touches zero"),
        equal("bleeder_current = 2*source_peak/(3*pi*2*pi*mains_frequency*inductance)", "put in"),
    ),
    "choke-input-mean-of-current": (
        _RECTIFIED,
        given("series_drop = series_resistance*load_current", "Ohm's law", "the choke's resistance takes its share"),
        given(
            "load_mean = rectified_mean - series_drop",
            "Kirchhoff's voltage law",
            "the choke itself takes no mean voltage",
        ),
        equal(
            "load_mean = 2*source_peak/pi - diodes_in_path*diode_drop - load_current*series_resistance", "put in"
        ),
    ),
    "choke-input-mean-with-bleeder": (
        _RECTIFIED,
        given("bleeder_current = load_mean/bleeder", "Ohm's law"),
        _GONE_THROUGH,
        given(
            "rectified_mean - series_resistance*choke_current_mean = load_mean",
            "Kirchhoff's voltage law, Ohm's law",
            "a choke takes no mean voltage but that of its resistance",
        ),
        equal(
            "load_mean = (2*source_peak/pi - diodes_in_path*diode_drop - load_current*series_resistance)*bleeder"
            "/(bleeder + series_resistance)",
            "solved for the voltage",
        ),
    ),
    "choke-current-with-bleeder": (
        given("bleeder_current = load_mean/bleeder", "Ohm's law"),
        _GONE_THROUGH,
        equal("choke_current_mean = load_current + load_mean/bleeder", "put in"),
    ),
    "choke-current-of-mean": (
        given("load_current = load_mean/load_resistance", "Ohm's law"),
        given("choke_current_mean = load_current", "charge balance", "the capacitor gives back what it takes"),
        equal("choke_current_mean = load_mean/load_resistance", "put in"),
    ),
    "choke-ripple-current": (
        *_RIPPLE_OF_CHOKE,
        equal("ripple_current = 2*source_peak/(3*pi*2*pi*mains_frequency*inductance)", "put in"),
    ),
    "choke-current-peak": (
        _CHOKE_WAVE,
        given("choke_current_peak = current(pi/4)", "definition of the peak", "where the sine is at its top"),
        equal("choke_current_peak = choke_current_mean + ripple_current", "put in"),
    ),
    "choke-current-valley": (
        _CHOKE_WAVE,
        given("choke_current_valley = current(3*pi/4)", "definition of the least value", "where the sine is lowest"),
        equal("choke_current_valley = choke_current_mean - ripple_current", "put in"),
    ),
    "choke-current-rms": (
        _CHOKE_WAVE,
        _CHOKE_RMS,
        equal("choke_current_rms**2 = choke_current_mean**2 + ripple_current**2/2", "mixed products average to zero"),
        equal("choke_current_rms = sqrt(choke_current_mean**2 + ripple_current**2/2)", "the root"),
    ),
    "choke-input-ripple": (
        _OMEGA,
        given(
            "amplitude = ripple_current/(2*omega*capacitance)",
            "law of the capacitor",
            "the whole ripple current passes the capacitor, at twice the mains frequency",
        ),
        given("ripple_peak_to_peak = 2*amplitude", "definition of the ripple", "a sine from its lowest to its highest"),
        equal("ripple_peak_to_peak = ripple_current/(2*pi*mains_frequency*capacitance)", "put in"),
    ),
    "choke-input-capacitor-current": (
        given(
            "current(theta) = ripple_current*sin(2*theta)",
            "Kirchhoff's current law",
            "the load takes the mean, the capacitor the second harmonic",
        ),
        given(
            "capacitor_current_rms**2 = Integral(current(theta)**2, (theta, 0, 2*pi))/(2*pi)", "definition of the RMS"
        ),
        equal("capacitor_current_rms = ripple_current/sqrt(2)", "integrated"),
    ),
    "choke-input-half-winding-current": (
        given("square = choke_current_rms**2", "definition of the RMS"),
        given(
            "winding_current_rms**2 = square/2",
            "definition of the RMS",
            "each half winding carries the whole current for half the time, and none for the other half",
        ),
        equal("winding_current_rms = choke_current_rms/sqrt(2)", "the root"),
    ),
    "capacitor-reactance": (
        given("voltage(t) = amplitude*sin(omega*t)", "shape of a sine"),
        given("current(t) = capacitance*Derivative(voltage(t), t)", "law of the capacitor"),
        equal("current(t) = omega*capacitance*amplitude*cos(omega*t)", "differentiated"),
        given("capacitor_reactance = amplitude/current(0)", "definition of the reactance", "peak over peak"),
        given("omega = 2*pi*ripple_frequency", "definition of the angular frequency"),
        equal("capacitor_reactance = 1/(2*pi*ripple_frequency*capacitance)", "the amplitude drops out"),
    ),
    "capacitance-of-reactance": (
        given("voltage(t) = amplitude*sin(2*pi*ripple_frequency*t)", "shape of a sine"),
        given("current(t) = capacitance*Derivative(voltage(t), t)", "law of the capacitor"),
        given("capacitor_reactance = amplitude/current(0)", "definition of the reactance", "peak over peak"),
        equal("capacitance = 1/(2*pi*ripple_frequency*capacitor_reactance)", "solved for the capacitance"),
    ),
    "choke-reactance": (
        given("current(t) = amplitude*sin(omega*t)", "shape of a sine"),
        given("voltage(t) = inductance*Derivative(current(t), t)", "law of the choke"),
        given("choke_reactance = voltage(0)/amplitude", "definition of the reactance", "peak over peak"),
        given("omega = 2*pi*ripple_frequency", "definition of the angular frequency"),
        equal("choke_reactance = 2*pi*ripple_frequency*inductance", "the amplitude drops out"),
    ),
    "parallel-impedance": (
        given("resistor_current = amplitude/load_resistance", "Ohm's law"),
        given("capacitor_peak = amplitude/capacitor_reactance", "definition of the reactance"),
        given(
            "total_current = sqrt(resistor_current**2 + capacitor_peak**2)",
            "Kirchhoff's current law",
            "the two are a quarter period apart",
        ),
        given("impedance = amplitude/total_current", "definition of the impedance"),
        equal(
            "impedance = capacitor_reactance*load_resistance/sqrt(capacitor_reactance**2 + load_resistance**2)",
            "the amplitude drops out",
        ),
    ),
    "parallel-impedance-as-resistances": (
        given("reactance_ratio = capacitor_reactance/load_resistance", "definition of the small quantity"),
        cited(
            "parallel-impedance",
            "impedance = capacitor_reactance*load_resistance/sqrt(capacitor_reactance**2 + load_resistance**2)",
        ),
        approximation(
            "impedance = capacitor_reactance*load_resistance/(capacitor_reactance + load_resistance)",
            "right angle ignored",
            small="capacitor_reactance/load_resistance",
            through="capacitor_reactance",
            reach=1 / 30,
            error=0.0318,
        ),
    ),
    "capacitor-reactance-for-choke-section": (
        given(
            "ripple_current = input_ripple/(choke_reactance - capacitor_reactance)",
            "law of choke and capacitor",
            "their reactances subtract",
        ),
        given("output_ripple - ripple_current*capacitor_reactance = 0", "definition of the reactance"),
        equal("output_ripple*(choke_reactance - capacitor_reactance) = input_ripple*capacitor_reactance", "multiplied"),
        equal("capacitor_reactance = choke_reactance/(input_ripple/output_ripple + 1)", "solved"),
    ),
    "choke-section-ripple-in-quadrature": (
        given(
            "ripple_current = input_ripple/(choke_reactance - capacitor_reactance)",
            "law of choke and capacitor",
            "their reactances subtract",
        ),
        given("ripple_rms = ripple_current*capacitor_reactance", "definition of the reactance"),
        approximation(
            "ripple_rms = input_ripple*capacitor_reactance/sqrt(choke_reactance**2 + capacitor_reactance**2)",
            "reactances added at right angles",
            small="capacitor_reactance/choke_reactance",
            through="capacitor_reactance",
            reach=0.1,
            error=0.105,
        ),
    ),
    "resistor-section-ripple-small-reactance": (
        given(
            "ripple_current = input_ripple/sqrt(series_resistance**2 + capacitor_reactance**2)",
            "law of resistor and capacitor",
            "a quarter period apart, load left out",
        ),
        given("ripple_rms = ripple_current*capacitor_reactance", "definition of the reactance"),
        order(
            "ripple_rms = input_ripple*capacitor_reactance/series_resistance",
            "a small reactance for its place",
            small="capacitor_reactance/series_resistance",
            through="capacitor_reactance",
            order=2,
            reach=0.2,
            error=0.0199,
        ),
    ),
    "section-mean": (
        _LOOP,
        given("series_drop = series_resistance*load_current", "Ohm's law"),
        given("load_mean = load_resistance*load_current", "Ohm's law"),
        equal("load_current = input_mean/(series_resistance + load_resistance)", "solved for the current"),
        equal("load_mean = input_mean*load_resistance/(load_resistance + series_resistance)", "put in"),
    ),
    "resistor-section-ripple": (
        given("capacitor_reactance = 1/(2*pi*ripple_frequency*section_capacitance)", "formula capacitor-reactance"),
        given(
            "ripple_current = input_ripple/sqrt(series_resistance**2 + capacitor_reactance**2)",
            "law of resistor and capacitor",
            "a quarter period apart, load left out",
        ),
        given("ripple_rms = ripple_current*capacitor_reactance", "definition of the reactance"),
        equal(
            "ripple_rms = input_ripple/(2*pi*ripple_frequency*section_capacitance)"
            "/sqrt(series_resistance**2 + 1/(2*pi*ripple_frequency*section_capacitance)**2)",
            "put in",
        ),
    ),
    "choke-section-ripple": (
        given("omega = 2*pi*ripple_frequency", "definition of the angular frequency"),
        given(
            "ripple_current = input_ripple/(omega*inductance - 1/(omega*section_capacitance))",
            "law of choke and capacitor",
            "their reactances subtract, losses and load left out",
        ),
        given("ripple_rms = ripple_current/(omega*section_capacitance)", "definition of the reactance"),
        equal("ripple_rms = input_ripple/((2*pi*ripple_frequency)**2*inductance*section_capacitance - 1)", "put in"),
    ),
}

NOTES: Mapping[str, str] = {
    "choke-by-rule": "It is a rule of the trade: the critical inductance with a margin.",
    "choke-input-bridge-winding-current": "The bridge only turns the choke's current round: its RMS stays the same.",
    "choke-input-diode-angle": "It is a law of symmetry: without gaps the diodes take equal turns.",
    "choke-loss": "It is Joule's law.",
    "bleeder-by-rule": "It is a rule of the trade: the critical inductance read backwards.",
}
