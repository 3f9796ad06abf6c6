"""Doublers and the cascade."""

from __future__ import annotations

from collections.abc import Mapping

from railwright.handbook.derivation import approximation, cited, equal, given
from railwright.handbook.formula import DerivationLine

Lines = tuple[DerivationLine, ...]

_CHARGE = given("charge = load_current/mains_frequency", "charge balance", "what the load takes in a period")
_DROOP_SUM = given(
    "voltage_drop = Sum(2*k**2 - k, (k, 1, stages))*charge/stage_capacitance",
    "charge balance",
    "counted from the output, stage k passes on the charge of its own and all higher capacitors",
)

DERIVATIONS: Mapping[str, Lines] = {
    "multiplier-no-load": (
        given("pump_voltage = source_peak - diode_drop", "Kirchhoff's voltage law", "the pump charges to one peak"),
        given(
            "stage_voltage = source_peak + pump_voltage - diode_drop",
            "Kirchhoff's voltage law",
            "the source stands on the pump half a period later",
        ),
        given("no_load_voltage = stages*stage_voltage", "Kirchhoff's voltage law", "the stages stand in a row"),
        equal("no_load_voltage = 2*stages*(source_peak - diode_drop)", "put in"),
    ),
    "cascade-ripple": (
        _CHARGE,
        given(
            "stage_ripple(k) = k*charge/stage_capacitance",
            "law of the capacitor",
            "the smoothing capacitor of stage k, counted from the output, gives k charges a period",
        ),
        given(
            "ripple_peak_to_peak = Sum(stage_ripple(k), (k, 1, stages))",
            "Kirchhoff's voltage law",
            "all ripples add up",
        ),
        equal("ripple_peak_to_peak = load_current*stages*(stages + 1)/(2*mains_frequency*stage_capacitance)", "summed"),
    ),
    "cascade-droop": (
        _CHARGE,
        _DROOP_SUM,
        equal(
            "voltage_drop = charge/stage_capacitance*(stages*(stages + 1)*(2*stages + 1)/3 - stages*(stages + 1)/2)",
            "sums of numbers and of their squares",
        ),
        equal(
            "voltage_drop = load_current/(mains_frequency*stage_capacitance)*(2*stages**3/3 + stages**2/2 - stages/6)",
            "multiplied out",
        ),
    ),
    "doubler-mean": (
        given("capacitor_ripple = load_current/(mains_frequency*stage_capacitance)", "formula ripple-straight-line"),
        given("capacitor_mean = source_peak - diode_drop - capacitor_ripple/2", "sawtooth", "of each capacitor"),
        given("load_mean = 2*capacitor_mean", "Kirchhoff's voltage law", "the two stand in a row"),
        equal(
            "load_mean = 2*(source_peak - diode_drop) - load_current/(mains_frequency*stage_capacitance)", "put in"
        ),
    ),
    "optimum-stages": (
        cited(
            "cascade-droop",
            "voltage_drop = load_current/(mains_frequency*stage_capacitance)*(2*stages**3/3 + stages**2/2 - stages/6)",
        ),
        approximation(
            "voltage_drop = load_current/(mains_frequency*stage_capacitance)*2*stages**3/3",
            "cubic term alone",
            small="1/stages",
            through="stages",
            reach=0.1,
            error=0.0693,
        ),
        given(
            "output(n) = 2*n*source_peak - load_current/(mains_frequency*stage_capacitance)*2*n**3/3",
            "Kirchhoff's voltage law",
            "what is left of the stages' peaks, at n stages",
        ),
        given("slope(n) = Derivative(output(n), n)", "condition for the highest output"),
        given("slope(stages) = 0", "condition for the highest output"),
        equal("stages = sqrt(source_peak*mains_frequency*stage_capacitance/load_current)", "solved"),
    ),
}

NOTES: Mapping[str, str] = {
    "cascade-mean": "It is the definition of the fall under load.",
    "doubler-input-capacitance": "It is a rule of design: equal ripple on both capacitors.",
    "multiplier-ripple-by-maker": "It is a maker's own formula.",
}
