"""What the sheet says, what the handbook gives and what was computed, for each quantity that a note may name."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType
from typing import Final

from railwright.course import Course
from railwright.exercises.misconceptions import Facts, facts_of
from railwright.exercises.proofreading.names import QUANTITIES
from railwright.handbook.by_hand import HandResult, by_hand
from railwright.handbook.registry import look_up
from railwright.study import Study
from railwright.supply.designators import parts
from railwright.supply.model import Supply
from railwright.supply.nominal import section_voltage

_LOADS: Final = ("load", "load_positive", "load_negative")
_RESERVOIRS: Final = ("C1", "C2", "U1.input", "U2.input")
#: Readings of each quantity: place (or places) and measure.
_READINGS: Final[Mapping[str, tuple[tuple[tuple[str, ...], str], ...]]] = MappingProxyType(
    {
        "source_rms": ((("secondary", "secondary_a", "secondary_1"), "voltage.rms"),),
        "source_peak": ((("secondary", "secondary_a", "secondary_1"), "voltage.peak"),),
        "primary_rms": ((("mains",), "voltage.rms"),),
        "load_peak": (((*_LOADS, *_RESERVOIRS), "voltage.peak"),),
        "load_mean": (((*_LOADS, *_RESERVOIRS), "voltage.mean"),),
        "load_rms": ((_LOADS, "voltage.rms"),),
        "load_valley": (((*_LOADS, *_RESERVOIRS), "voltage.valley"),),
        "ripple_peak_to_peak": (((*_LOADS, *_RESERVOIRS), "voltage.ripple_peak_to_peak"),),
        "ripple_rms": (((*_LOADS, *_RESERVOIRS), "voltage.ripple_rms"),),
        "ripple_factor": (((*_LOADS, *_RESERVOIRS), "voltage.ripple_factor"),),
        "ripple_ratio": (((*_LOADS, *_RESERVOIRS), "voltage.ripple_ratio"),),
        "ripple_frequency": (((*_LOADS, *_RESERVOIRS), "voltage.ripple_frequency"),),
        "form_factor": ((_LOADS, "voltage.form_factor"),),
        "load_current": ((_LOADS, "current.mean"), (_LOADS, "current.peak")),
        "diode_current_mean": ((("D1", "D3"), "current.mean"),),
        "diode_current_peak": ((("D1", "D3"), "current.peak"),),
        "winding_current_rms": ((("secondary", "secondary_a", "secondary_1"), "current.rms"),),
        "capacitor_current_rms": ((("C1", "C2"), "current.rms"),),
        "zener_current": ((("Z1",), "current.mean"),),
        "reverse_voltage_peak": ((("D1", "D2", "D3", "D4"), "reverse_voltage.peak"),),
        "no_load_voltage": ((("load",), "voltage.no_load_mean"),),
        "output_voltage": ((_LOADS, "voltage.mean"),),
        "regulation": ((("load",), "voltage.regulation"),),
        "power": ((_LOADS, "power.mean"), (_LOADS, "power.dc")),
        "regulator_power": ((("U1", "U2"), "power.mean"),),
        "diode_power": ((("D1",), "power.mean"),),
        "apparent_power": ((("secondary",), "power.apparent"), (("mains",), "power.apparent")),
        "efficiency": ((("supply",), "efficiency"),),
        "dc_ratio": ((("rectifier",), "power.dc_ratio"),),
        "power_factor": ((("mains",), "power.factor"),),
        "conduction_angle": ((("D1", "rectifier"), "conduction.angle"),),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A value that the sheet states, or that follows from it by a definition."""

    value: float  # [SI]
    says: str  # the sheet's key, or how it follows


@dataclass(frozen=True, slots=True, kw_only=True)
class ByHand:
    """A value that the handbook gives for this supply, beside the computed one."""

    value: float
    formula: str  # its title
    computed: float | None


def _in_course(supply: Supply, course: Course) -> Supply:
    if course.diode_drop is None:
        return supply
    diode = replace(supply.rectifier.diode, drop=course.diode_drop)
    return replace(supply, rectifier=replace(supply.rectifier, diode=diode))


class Knowledge:
    """Everything about one solved supply that notes are compared with; computed values only when asked for."""

    def __init__(self, study: Study, course: Course | None = None) -> None:
        self.study = study
        #: As a course reads it for working by hand: with the drop that it teaches.
        self.supply = study.supply if course is None else _in_course(study.supply, course)
        self._computed: dict[str, tuple[float, ...]] = {}

    @cached_property
    def facts(self) -> Facts:
        """One value a quantity, from which formulas in names are worked out."""
        facts = dict(facts_of(self.supply, self.study.model))
        for quantity, stated in self.given.items():
            if stated:
                facts.setdefault(quantity, stated[0].value)
        return MappingProxyType(facts)

    @cached_property
    def _worked(self) -> tuple[HandResult, ...]:
        return () if self.supply.faults else by_hand(self.supply, self.study.model)

    @cached_property
    def given(self) -> Mapping[str, tuple[Given, ...]]:
        """What the sheet states, by quantity."""
        supply = self.supply
        found: dict[str, list[Given]] = {}

        def state(quantity: str, value: float | None, says: str) -> None:
            if value is not None and math.isfinite(value) and value > 0.0:
                found.setdefault(quantity, []).append(Given(value=value, says=says))

        mains, transformer = supply.mains, supply.transformer
        state("mains_frequency", mains.frequency, "mains.frequency")
        taught = supply.rectifier.diode.drop
        if taught != self.study.supply.rectifier.diode.drop:
            state("diode_drop", taught, "the course's diode_drop")
        state("diode_drop", self.study.supply.rectifier.diode.drop, "rectifier.diode.drop")
        section = section_voltage(mains, transformer)
        if transformer is None:
            state("source_rms", section, "mains.voltage")
        else:
            state("primary_rms", mains.voltage_rms, "mains.voltage")
            state("source_rms", transformer.secondary_voltage, "transformer.secondary_voltage")
            state("source_rms", transformer.open_voltage, "transformer.open_voltage")
            if transformer.secondary_voltage is None and transformer.open_voltage is None:
                state("source_rms", section, "mains.voltage and transformer.turns_ratio")
            if transformer.secondary in ("centre-tapped", "series"):
                state("whole_winding_rms", 2.0 * section, "both halves of the winding")
            if mains.phases == 1:
                state("turns_ratio", transformer.turns_ratio, "transformer.turns_ratio")
                if transformer.turns_ratio is None:
                    state("turns_ratio", mains.voltage_rms / section, "mains.voltage over the winding's voltage")
            state("apparent_power", transformer.rating, "transformer.rating")
        self._state_parts(state)
        return MappingProxyType({quantity: tuple(values) for quantity, values in found.items()})

    def _state_parts(self, state: object) -> None:
        assert callable(state)
        supply = self.supply
        names = {"capacitor": "capacitance", "choke": "inductance", "resistor": "series_resistance",
                 "bleeder": "bleeder_resistance"}  # fmt: skip
        for part in parts(supply):
            if part.kind in names and part.fitted:
                state(names[part.kind], part.value, part.designator)
        for regulator in (supply.regulator, supply.regulator_positive, supply.regulator_negative):
            if regulator is not None:
                state("output_voltage", regulator.output, "regulator.output")
                state("output_voltage", regulator.zener_voltage, "regulator.zener_voltage")
        loads = supply.loads
        for load in (loads.single, loads.positive, loads.negative, loads.across):
            if load is not None and load.kind == "resistance":
                state("load_resistance", load.value, "load.resistance")
            elif load is not None and load.kind == "current":
                state("load_current", load.value, "load.current")
            elif load is not None and load.kind == "power":
                state("power", load.value, "load.power")
            elif load is not None and load.kind == "battery":
                state("output_voltage", load.value, "load.battery")

    @cached_property
    def _hand(self) -> Mapping[str, tuple[ByHand, ...]]:
        found: dict[str, list[ByHand]] = {}
        for result in self._worked:
            for quantity in _READINGS:
                if result.reading in self._readings_of(quantity):
                    scale = math.radians(1.0) if QUANTITIES[quantity][0] == "deg" else 1.0
                    found.setdefault(quantity, []).append(
                        ByHand(
                            value=scale * abs(result.value),
                            formula=look_up(result.formula).title,
                            computed=self._reading(result.reading, scale),
                        )
                    )
        for result in self._worked:
            if self._is_tapped and result.reading.startswith("secondary."):
                continue  # the whole winding, which no diode sees
            for name, value in (*result.givens.items(), *result.circumstances.items()):
                quantity = {"load_current_mean": "load_current"}.get(name, name)
                known = found.setdefault(quantity, [])
                if quantity in QUANTITIES and all(abs(value - k.value) > 1e-9 * abs(value) for k in known):
                    known.append(ByHand(value=abs(value), formula="", computed=None))
        for quantity in ("total_drop", "period", "discharge_time", "ripple_frequency"):
            if quantity in self.facts:
                found.setdefault(quantity, []).append(
                    ByHand(value=self.facts[quantity], formula="", computed=None)
                )
        resistance, capacitance = self.facts.get("load_resistance"), self.facts.get("capacitance")
        if resistance and capacitance:
            found.setdefault("time_constant", []).append(
                ByHand(value=resistance * capacitance, formula="", computed=None)
            )
        return MappingProxyType({quantity: tuple(values) for quantity, values in found.items()})

    @property
    def _is_tapped(self) -> bool:
        return self.supply.rectifier.circuit in ("centre-tap", "dual-rail")

    def _readings_of(self, quantity: str) -> tuple[str, ...]:
        """The ids that a quantity may mean. What a diode sees of a tapped winding is one half of it."""
        return tuple(
            f"{place}.{end}"
            for places, end in _READINGS.get(quantity, ())
            for place in places
            if not (self._is_tapped and place == "secondary" and quantity in ("source_peak", "source_rms"))
        )

    def _reading(self, reading: str, scale: float) -> float | None:
        value = self.study.readings.ask(reading).value
        return None if value is None else scale * abs(value)

    def hand(self, quantity: str) -> tuple[ByHand, ...]:
        """What the handbook gives."""
        return self._hand.get(quantity, ())

    def computed(self, quantity: str) -> tuple[float, ...]:
        """What was computed, without regard to sign; of all places that the quantity may mean."""
        if quantity not in self._computed:
            scale = math.radians(1.0) if QUANTITIES[quantity][0] == "deg" else 1.0
            values = []
            for reading in self._readings_of(quantity):
                if reading in self.study.readings:
                    value = self._reading(reading, scale)
                    if value is not None:
                        values.append(value)
            self._computed[quantity] = tuple(dict.fromkeys(values))
        return self._computed[quantity]

    def right(self, quantity: str) -> tuple[float, ...]:
        """Every value that is right for a quantity: stated, by hand or computed."""
        return (
            *(given.value for given in self.given.get(quantity, ())),
            *(hand.value for hand in self.hand(quantity)),
            *self.computed(quantity),
        )
