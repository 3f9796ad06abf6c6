"""Heat: the chain of thermal resistances and the life of an electrolytic."""

from __future__ import annotations

from railwright.handbook.formula import Assumption, Example, Formula, Validity
from railwright.handbook.sources import GUPTA, MEHTA_FREE_AIR, RUBYCON, SUGANDHI
from railwright.handbook.symbols import quantity

_AMBIENT = quantity("ambient_temperature", "T_A", "°C", "temperature of the air", "any")
_JUNCTION = quantity("junction_temperature", "T_J", "°C", "temperature of the junction", "any")
_POWER = quantity("power", "P", "W", "heat", "not negative")
_RESISTANCE = quantity("thermal_resistance", r"\theta_{JA}", "K/W", "whole thermal resistance, junction to air")
_PARTS = (
    quantity("junction_to_case", r"\theta_{JC}", "K/W", "junction to case", "not negative"),
    quantity("case_to_sink", r"\theta_{CS}", "K/W", "case to heat sink", "not negative"),
)
_STEADY = Assumption(claim="waits until all temperatures are steady")
_ALWAYS = Validity(sentence="Valid for steady heat. Hot parts burn: let them cool before touching.")


def junction_temperature(
    *, ambient_temperature: float, power: float, junction_to_case: float, case_to_sink: float, sink_to_ambient: float
) -> float:
    """Junction temperature on a heat sink. [°C]"""
    return ambient_temperature + power * (junction_to_case + case_to_sink + sink_to_ambient)


def heat_sink(
    *,
    junction_temperature: float,
    ambient_temperature: float,
    power: float,
    junction_to_case: float,
    case_to_sink: float,
) -> float:
    """Thermal resistance that the heat sink may have. [K/W]"""
    return (junction_temperature - ambient_temperature) / power - junction_to_case - case_to_sink


def permitted_power(*, junction_temperature: float, ambient_temperature: float, thermal_resistance: float) -> float:
    """Heat that a part may make. [W]"""
    return (junction_temperature - ambient_temperature) / thermal_resistance


def capacitor_life(
    *, rated_life: float, rated_temperature: float, actual_temperature: float, doubling_interval: float
) -> float:
    """Life of an electrolytic by the ten-degree rule. [s]"""
    return float(rated_life * 2.0 ** ((rated_temperature - actual_temperature) / doubling_interval))


FORMULAS = (
    Formula(
        id="junction-temperature",
        topic="heat",
        title="Junction temperature",
        statement=r"T_J = T_A + P\,(\theta_{JC} + \theta_{CS} + \theta_{SA})",
        quantities=(
            _AMBIENT,
            _POWER,
            *_PARTS,
            quantity("sink_to_ambient", r"\theta_{SA}", "K/W", "heat sink to air", "not negative"),
        ),
        result=_JUNCTION,
        function=junction_temperature,
        assumptions=(_STEADY,),
        validity=_ALWAYS,
        source=SUGANDHI,
        example=Example(
            values={
                "ambient_temperature": 50.0,
                "power": 150.0,
                "junction_to_case": 0.02,
                "case_to_sink": 0.05,
                "sink_to_ambient": 0.08,
            },
            expected=72.5,
            tolerance=7.1e-4,
            source=SUGANDHI,
        ),
        kind="exact law",
        readings=("*.junction_temperature",),
    ),
    Formula(
        id="heat-sink",
        topic="heat",
        title="Heat sink for a given junction temperature",
        statement=r"\theta_{SA} = \frac{T_J - T_A}{P} - \theta_{JC} - \theta_{CS}",
        quantities=(_JUNCTION, _AMBIENT, quantity("power", "P", "W", "heat"), *_PARTS),
        result=quantity("sink_to_ambient", r"\theta_{SA}", "K/W", "heat sink to air; negative: none is enough", "any"),
        function=heat_sink,
        assumptions=(_STEADY,),
        validity=_ALWAYS,
        source=GUPTA,
        example=Example(
            values={
                "junction_temperature": 125.0,
                "ambient_temperature": 50.0,
                "power": 30.0,
                "junction_to_case": 1.0,
                "case_to_sink": 0.3,
            },
            expected=1.2,
            tolerance=4.3e-2,
            source=GUPTA,
        ),
        kind="exact law",
        undoes="junction-temperature",
    ),
    Formula(
        id="permitted-power",
        topic="heat",
        title="Permitted heat",
        statement=r"P = \frac{T_J - T_A}{\theta_{JA}}",
        quantities=(_JUNCTION, _AMBIENT, _RESISTANCE),
        result=quantity("power", "P", "W", "permitted heat", "any"),
        function=permitted_power,
        assumptions=(_STEADY,),
        validity=_ALWAYS,
        source=MEHTA_FREE_AIR,
        example=Example(
            values={"junction_temperature": 90.0, "ambient_temperature": 30.0, "thermal_resistance": 300.0},
            expected=0.2,
            tolerance=2.6e-3,
            source=MEHTA_FREE_AIR,
        ),
        kind="exact law",
    ),
    Formula(
        id="capacitor-life",
        topic="heat",
        title="Life of an electrolytic, ten-degree rule",
        statement=r"L = L_0\,2^{(T_0 - T)/\Delta T}",
        quantities=(
            quantity("rated_life", "L_0", "s", "life at the rated temperature"),
            quantity("rated_temperature", "T_0", "°C", "rated temperature", "any"),
            quantity("actual_temperature", "T", "°C", "temperature in use", "any"),
            quantity("doubling_interval", r"\Delta T", "K", "cooling that doubles the life: 10 K by the rule"),
        ),
        result=quantity("life", "L", "s", "expected life"),
        function=capacitor_life,
        assumptions=(Assumption(claim="doubles the life for each such step, whatever the temperature"),),
        validity=Validity(
            sentence="The maker calls the rule good between about 70 and 90 °C only.",
            condition=lambda values: 70.0 <= values["actual_temperature"] <= 90.0,
        ),
        source=RUBYCON,
        example=Example(
            values={
                "rated_life": 2000.0 * 3600.0,
                "rated_temperature": 105.0,
                "actual_temperature": 65.0,
                "doubling_interval": 10.0,
            },
            expected=32000.0 * 3600.0,
            tolerance=1e-3,
            source=RUBYCON,
        ),
        kind="rule",
        readings=("C*.life",),
    ),
)
