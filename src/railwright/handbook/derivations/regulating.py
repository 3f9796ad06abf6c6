"""Zener, emitter follower, series and shunt regulators, and how steadiness is counted."""

from __future__ import annotations

from collections.abc import Mapping

from railwright.handbook.derivation import cited, equal, given, order
from railwright.handbook.formula import DerivationLine

Lines = tuple[DerivationLine, ...]

_RESISTOR = given(
    "resistor_current = (input_voltage - zener_voltage)/series_resistance",
    "Kirchhoff's voltage law, Ohm's law",
    "in the series resistor",
)
_SHUNT = given("input_power = input_voltage*input_current", "definition of power")
_SHUNT_OUT = given("output_power = output_voltage*load_current", "definition of power")
_ADJUSTABLE: Lines = (
    given("upper_current = reference_voltage/upper_resistance", "Ohm's law", "the loop holds the reference across it"),
    given("lower_current = upper_current + adjust_current", "Kirchhoff's current law"),
    given("output_voltage = reference_voltage + lower_resistance*lower_current", "Kirchhoff's voltage law, Ohm's law"),
    equal(
        "output_voltage = reference_voltage*(1 + lower_resistance/upper_resistance) + adjust_current*lower_resistance",
        "put in",
    ),
)

DERIVATIONS: Mapping[str, Lines] = {
    "zener-current": (
        given(
            "resistor_current = (input_mean - zener_voltage)/series_resistance", "Kirchhoff's voltage law, Ohm's law"
        ),
        given("load_current = zener_voltage/load_resistance", "Ohm's law"),
        given("zener_current = resistor_current - load_current", "Kirchhoff's current law"),
        equal(
            "zener_current = (input_mean - zener_voltage)/series_resistance - zener_voltage/load_resistance", "put in"
        ),
    ),
    "zener-series-resistor": (
        given("resistor_drop = input_minimum - zener_voltage", "Kirchhoff's voltage law", "at the worst moment"),
        given("resistor_drop = series_resistance*load_current", "Ohm's law", "nothing is left over for the zener"),
        equal("series_resistance = (input_minimum - zener_voltage)/load_current", "solved"),
    ),
    "zener-ripple": (
        given("ripple_current = input_ripple/(series_resistance + zener_resistance)", "Ohm's law", "load left out"),
        given("ripple_peak_to_peak = zener_resistance*ripple_current", "Ohm's law", "on the zener's slope"),
        order(
            "ripple_peak_to_peak = input_ripple*zener_resistance/series_resistance",
            "a small slope for the divider",
            small="zener_resistance/series_resistance",
            through="zener_resistance",
            order=1,
            reach=0.1,
            error=0.1001,
        ),
    ),
    "zener-least-load-resistance": (
        _RESISTOR,
        given("load_current = zener_voltage/load_resistance", "Ohm's law"),
        given(
            "resistor_current - load_current = 0", "Kirchhoff's current law", "the zener's current has just vanished"
        ),
        equal("load_resistance = series_resistance*zener_voltage/(input_voltage - zener_voltage)", "solved"),
    ),
    "zener-least-load-current": (
        _RESISTOR,
        given("zener_current = zener_maximum_current", "rating of the zener"),
        given("load_current = resistor_current - zener_current", "Kirchhoff's current law"),
        equal("load_current = (input_voltage - zener_voltage)/series_resistance - zener_maximum_current", "put in"),
    ),
    "zener-greatest-load-resistance": (
        _RESISTOR,
        given(
            "load_current = resistor_current - zener_maximum_current", "Kirchhoff's current law", "zener at its limit"
        ),
        given("load_resistance = zener_voltage/load_current", "Ohm's law"),
        equal(
            "load_resistance = zener_voltage/((input_voltage - zener_voltage)/series_resistance"
            " - zener_maximum_current)",
            "put in",
        ),
    ),
    "zener-greatest-load-current": (
        given(
            "resistor_current = zener_maximum_current", "Kirchhoff's current law", "without a load the zener takes all"
        ),
        given(
            "resistor_current = zener_minimum_current + load_current",
            "Kirchhoff's current law",
            "with the load the zener keeps its least",
        ),
        equal("load_current = zener_maximum_current - zener_minimum_current", "solved"),
    ),
    "zener-knee-voltage": (
        given("zener_line(x) = zener_knee_voltage + zener_resistance*x", "straight line for the zener's curve"),
        given("zener_line(zener_test_current) = zener_test_voltage", "data sheet", "the test point lies on it"),
        equal("zener_knee_voltage = zener_test_voltage - zener_resistance*zener_test_current", "solved"),
    ),
    "zener-output-no-load": (
        given(
            "input_voltage = series_resistance*zener_current + no_load_voltage", "Kirchhoff's voltage law, Ohm's law"
        ),
        given(
            "no_load_voltage = zener_knee_voltage + zener_resistance*zener_current",
            "straight line for the zener's curve",
        ),
        equal("zener_current = (input_voltage - zener_knee_voltage)/(series_resistance + zener_resistance)", "solved"),
        equal(
            "no_load_voltage = zener_knee_voltage + zener_resistance*(input_voltage - zener_knee_voltage)"
            "/(series_resistance + zener_resistance)",
            "put in",
        ),
    ),
    "zener-line-step": (
        cited(
            "zener-output-no-load",
            "output(input_voltage) = zener_knee_voltage + zener_resistance"
            "*(input_voltage - zener_knee_voltage)/(series_resistance + zener_resistance)",
        ),
        given("line_step = Derivative(output(input_voltage), input_voltage)", "definition of the line step"),
        equal("line_step = zener_resistance/(series_resistance + zener_resistance)", "differentiated"),
    ),
    "zener-output-resistance": (
        given("resistor_current = (input_voltage - output_voltage)/series_resistance", "Ohm's law"),
        given("zener_current = (output_voltage - zener_knee_voltage)/zener_resistance", "straight line for the zener"),
        given("load(output_voltage) = resistor_current - zener_current", "Kirchhoff's current law"),
        given("slope(output_voltage) = Derivative(load(output_voltage), output_voltage)", "definition of the slope"),
        given("output_resistance = -1/slope(output_voltage)", "definition of the output resistance"),
        equal(
            "output_resistance = zener_resistance*series_resistance/(zener_resistance + series_resistance)",
            "differentiated",
        ),
    ),
    "zener-output-resistance-slope": (
        given(
            "conductance = 1/zener_resistance + 1/series_resistance",
            "Kirchhoff's current law",
            "a load sees slope and resistor side by side",
        ),
        given("output_resistance = 1/conductance", "definition of the output resistance"),
        order(
            "output_resistance = zener_resistance",
            "the resistor left out",
            small="zener_resistance/series_resistance",
            through="zener_resistance",
            order=1,
            reach=0.1,
            error=0.1001,
        ),
    ),
    "zener-regulation": (
        given("highest = zener_knee_voltage + zener_resistance*zener_maximum_current", "straight line for the zener"),
        given("lowest = zener_knee_voltage + zener_resistance*zener_minimum_current", "straight line for the zener"),
        given("regulation = (highest - lowest)/output_voltage", "definition of this regulation"),
        equal(
            "regulation = zener_resistance*(zener_maximum_current - zener_minimum_current)/output_voltage",
            "the knee drops out",
        ),
    ),
    "regulator-power": (
        given("power_in = input_mean*load_current", "definition of power", "input and output carry the same current"),
        given("power_out = output_voltage*load_current", "definition of power"),
        given("power = power_in - power_out", "conservation of energy"),
        equal("power = (input_mean - output_voltage)*load_current", "put in"),
    ),
    "regulator-efficiency": (
        given("power_in = input_mean*load_current", "definition of power", "input and output carry the same current"),
        given("power_out = output_voltage*load_current", "definition of power"),
        given("efficiency = power_out/power_in", "definition of the efficiency"),
        equal("efficiency = output_voltage/input_mean", "the current drops out"),
    ),
    "adjustable-output": _ADJUSTABLE,
    "lower-resistance-for-output": (
        *_ADJUSTABLE,
        equal(
            "lower_resistance = (output_voltage - reference_voltage)"
            "/(reference_voltage/upper_resistance + adjust_current)",
            "solved",
        ),
    ),
    "amplifier-regulator-output": (
        given(
            "divider_current = reference_voltage/lower_resistance",
            "Ohm's law",
            "the loop makes the divider's tap equal to the reference",
        ),
        given(
            "output_voltage = (upper_resistance + lower_resistance)*divider_current",
            "Ohm's law",
            "no current goes into the amplifier",
        ),
        equal("output_voltage = reference_voltage*(1 + upper_resistance/lower_resistance)", "put in"),
    ),
    "emitter-follower-output": (
        given("base_voltage = zener_voltage", "Kirchhoff's voltage law", "the base stands on the zener"),
        given("base_voltage = base_emitter_drop + output_voltage", "Kirchhoff's voltage law", "from base to output"),
        equal("output_voltage = zener_voltage - base_emitter_drop", "solved"),
    ),
    "emitter-follower-base-current": (
        given("collector_current = current_gain*base_current", "definition of the current gain"),
        given("load_current = collector_current + base_current", "Kirchhoff's current law", "at the emitter"),
        equal("base_current = load_current/(current_gain + 1)", "solved"),
    ),
    "shunt-transistor-output": (
        given("base_voltage = base_emitter_drop", "Kirchhoff's voltage law", "the emitter stands at zero"),
        given("output_voltage = zener_voltage + base_voltage", "Kirchhoff's voltage law", "zener from output to base"),
        equal("output_voltage = zener_voltage + base_emitter_drop", "put in"),
    ),
    "shunt-input-current": (
        given("resistor_drop = input_voltage - output_voltage", "Kirchhoff's voltage law"),
        given("resistor_drop = series_resistance*input_current", "Ohm's law"),
        equal("input_current = (input_voltage - output_voltage)/series_resistance", "solved"),
    ),
    "shunt-transistor-current": (
        given(
            "input_current = (input_voltage - output_voltage)/series_resistance",
            "formula shunt-input-current",
            cites="shunt-input-current",
        ),
        given("load_current = output_voltage/load_resistance", "Ohm's law"),
        given("collector_current = input_current - load_current", "Kirchhoff's current law"),
        equal(
            "collector_current = (input_voltage - output_voltage)/series_resistance - output_voltage/load_resistance",
            "put in",
        ),
    ),
    "shunt-efficiency": (
        _SHUNT,
        _SHUNT_OUT,
        given("efficiency = output_power/input_power", "definition of the efficiency"),
        equal("efficiency = output_voltage*load_current/(input_voltage*input_current)", "put in"),
    ),
    "shunt-loss": (
        _SHUNT,
        _SHUNT_OUT,
        given("power = input_power - output_power", "conservation of energy"),
        equal("power = input_voltage*input_current - output_voltage*load_current", "put in"),
    ),
    "shorted-resistor-power": (
        given("resistor_current = input_voltage/series_resistance", "Ohm's law", "the output stands at zero"),
        given("power = input_voltage*resistor_current", "definition of power"),
        equal("power = input_voltage**2/series_resistance", "put in"),
    ),
    "current-limit": (
        given("sense_drop = sense_resistance*load_current", "Ohm's law", "base current left out"),
        given("sense_drop = base_emitter_drop", "switching condition of the transistor"),
        equal("load_current = base_emitter_drop/sense_resistance", "solved"),
    ),
    "pass-transistor-power": (
        given("transistor_current = load_current - regulator_current", "Kirchhoff's current law"),
        given("transistor_drop = input_voltage - output_voltage", "Kirchhoff's voltage law"),
        given("power = transistor_current*transistor_drop", "definition of power"),
        equal("power = (load_current - regulator_current)*(input_voltage - output_voltage)", "put in"),
    ),
    "ripple-behind-regulator": (
        given("ripple_rejection = 20*log(rejection_ratio)/log(10)", "definition of the decibel"),
        given("rejection_ratio = input_ripple/ripple_peak_to_peak", "definition of the rejection"),
        equal("ripple_peak_to_peak = input_ripple*10**(-ripple_rejection/20)", "the power of ten"),
    ),
    "headroom": (
        given(
            "difference = input_valley - output_voltage",
            "Kirchhoff's voltage law",
            "across the regulator, at its least",
        ),
        given("headroom = difference - dropout", "definition of the headroom"),
        equal("headroom = input_valley - output_voltage - dropout", "put in"),
    ),
}

NOTES: Mapping[str, str] = {
    "zener-power": "It is the definition of power: voltage times current.",
    "zener-current-limit": "It is the definition of power, read for the current at the rating.",
    "load-regulation": "It is the definition of the regulation over the full-load voltage.",
    "load-regulation-on-no-load": "It is the definition of the regulation over the no-load voltage.",
    "line-regulation": "It is the definition of the line regulation over the low-line output.",
    "line-regulation-per-volt": "It is the definition of this line regulation.",
    "load-regulation-per-ampere": "It is the definition of this load regulation.",
    "output-resistance": "It is the definition of the output resistance.",
}
