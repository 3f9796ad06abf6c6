"""Heat and life."""

from __future__ import annotations

from collections.abc import Mapping

from railwright.handbook.derivation import equal, given
from railwright.handbook.formula import DerivationLine

Lines = tuple[DerivationLine, ...]

_SINK = given(
    "sink_temperature = ambient_temperature + power*sink_to_ambient",
    "Fourier's law of heat",
    "the heat flows on through each resistance",
)
_CASE = given("case_temperature = sink_temperature + power*case_to_sink", "Fourier's law of heat")
_JUNCTION = given("junction_temperature = case_temperature + power*junction_to_case", "Fourier's law of heat")
_CHAIN = equal(
    "junction_temperature = ambient_temperature + power*(junction_to_case + case_to_sink + sink_to_ambient)", "added up"
)

DERIVATIONS: Mapping[str, Lines] = {
    "junction-temperature": (_SINK, _CASE, _JUNCTION, _CHAIN),
    "heat-sink": (
        _SINK,
        _CASE,
        _JUNCTION,
        _CHAIN,
        equal(
            "sink_to_ambient = (junction_temperature - ambient_temperature)/power - junction_to_case - case_to_sink",
            "solved for the heat sink",
        ),
    ),
    "permitted-power": (
        given("temperature_rise = power*thermal_resistance", "Fourier's law of heat"),
        given("temperature_rise = junction_temperature - ambient_temperature", "definition of the rise"),
        equal("power = (junction_temperature - ambient_temperature)/thermal_resistance", "solved"),
    ),
}

NOTES: Mapping[str, str] = {
    "capacitor-life": "It is a rule of makers: twice the life for each 10 K less.",
    "derated-power": "It is the straight line of the data sheet.",
}
