"""Follows a working by hand from the sheet's numbers to every reading: which result goes into which formula.

The handbook gives each result with the numbers that went in. Here each of those is traced to where it came from, and
the whole chain is worked again as a course does it: with its diode drop, the formulas that it teaches, its rounded
factors, and its way of rounding.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType
from typing import Final

from railwright.course import Course
from railwright.documents.working_numbers import rounded
from railwright.handbook import HandResult, Symbol, by_hand, look_up
from railwright.handbook.symbols import (
    DIODE_DROP,
    DIODES_IN_PATH,
    DISCHARGE_TIME,
    LOAD_CURRENT,
    LOAD_MEAN,
    LOAD_PEAK,
    LOAD_RESISTANCE,
    RECHARGE_FREQUENCY,
    quantity,
)
from railwright.supply import parts
from railwright.supply.model import Load, Supply


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """A formula as it is worked here: the handbook's, one with a course's factor in it, or a small law on the way."""

    id: str
    title: str
    statement: str  # LaTeX
    quantities: tuple[Symbol, ...]
    result: Symbol
    function: Callable[..., float]
    is_handbook: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """A number that goes into a formula: of the sheet, or the result of another calculation.

    `known_as` is what a number of the sheet is called on the whole page, where formulas have several letters for it.
    """

    symbol: Symbol
    value: float
    origin: Calculation | None = None
    known_as: Symbol | None = None

    @property
    def named(self) -> Symbol:
        """The symbol under which a page shows it."""
        return self.known_as or self.symbol


@dataclass(frozen=True, slots=True, kw_only=True)
class Calculation:
    """One formula worked out; without a reading it is a step on the way."""

    method: Method
    inputs: tuple[Input, ...]
    value: float  # [unit of the method's result] as the course carries it on, without the reading's sign
    unrounded: float  # the same before the course rounds it
    reading: str = ""
    sign: float = 1.0
    valid: bool = True
    result: HandResult | None = None

    @property
    def values(self) -> Mapping[str, float]:
        """The numbers that went in, by the quantities' names."""
        return {given.symbol.name: given.value for given in self.inputs}


#: Names under which a quantity comes out of one formula, for the name under which it goes into another.
_ALSO: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "recharge_frequency": ("ripple_frequency",),
        "load_current": ("load_current_mean",),
        "load_current_mean": ("choke_current_mean",),
        "charging_current_rms": ("winding_current_rms",),
        "input_mean": ("load_mean",),
        "input_ripple": ("ripple_rms",),
        "input_valley": ("load_valley",),
        "charging_current": ("load_current_mean",),
    }
)
#: How the reading of a mean without load ends.
NO_LOAD: Final = ".no_load_mean"
#: One and the same current, wherever the sheet states it.
_STATED_CURRENTS: Final = ("load_current", "load_current_mean", "choke_current_mean")
#: Results that may stand behind the one that needs them: they need nothing but the sheet.
_ANY_PLACE: Final = ("recharge_frequency", "ripple_frequency")
_SAME: Final = 1e-9  # relative: what two ways of the same arithmetic may differ by

# The load alone is R_L here, and what it makes together with others R_t: a formula's plain R can't be both.
_LOAD_ALONE = quantity("load_resistance", "R_L", "ohm", "resistance of the load")
_TOGETHER = quantity("total_resistance", "R_t", "ohm", "resistance of all that draws from the reservoir")
_BRANCH = quantity("branch_resistance", "R_b", "ohm", "resistance of the load and what is in series with it")
_NO_LOAD = quantity("no_load_voltage", "V_0", "V", "output without load")
_BLEEDER = quantity("bleeder", "R_B", "ohm", "resistance of the bleeder")
_SERIES = quantity("series_resistance", "R_s", "ohm", "resistance in series with the load")

# Small laws on the way, which every student uses without a name: definitions, Ohm's law, resistors together.
_TIME = Method(
    id="time-between-peaks", title="Time from one peak to the next", statement=r"T = \frac{1}{f_r}",
    quantities=(RECHARGE_FREQUENCY,), result=DISCHARGE_TIME,
    function=lambda *, recharge_frequency: 1.0 / recharge_frequency, is_handbook=False,
)  # fmt: skip
_CURRENT_AT_PEAK = Method(
    id="current-at-peak", title="Current drawn from the reservoir at its peak", statement=r"I = \frac{V_p}{R}",
    quantities=(LOAD_PEAK, LOAD_RESISTANCE), result=LOAD_CURRENT,
    function=lambda *, load_peak, load_resistance: load_peak / load_resistance, is_handbook=False,
)  # fmt: skip
_CURRENT_OF_MEAN = Method(
    id="current-of-mean", title="Mean current that the rectifier delivers",
    statement=r"I_{\mathrm{dc}} = \frac{V_{\mathrm{dc}}}{R}", quantities=(LOAD_MEAN, LOAD_RESISTANCE),
    result=quantity("load_current_mean", r"I_{\mathrm{dc}}", "A", "mean current that the rectifier delivers"),
    function=lambda *, load_mean, load_resistance: load_mean / load_resistance, is_handbook=False,
)  # fmt: skip
_CURRENT_OF_ALL = Method(
    id="current-of-all", title="Mean current of load and bleeder together",
    statement=r"I_t = \frac{V_{\mathrm{dc}}}{R}", quantities=(LOAD_MEAN, LOAD_RESISTANCE),
    result=quantity("total_current", "I_t", "A", "mean current of load and bleeder together"),
    function=lambda *, load_mean, load_resistance: load_mean / load_resistance, is_handbook=False,
)  # fmt: skip
_FULL_LOAD_IS_MEAN = Method(
    id="full-load-voltage", title="At full load the output is the mean", statement=r"V_{FL} = V_{\mathrm{dc}}",
    quantities=(LOAD_MEAN,), result=quantity("full_load_voltage", "V_{FL}", "V", "mean output at full load"),
    function=lambda *, load_mean: load_mean, is_handbook=False,
)  # fmt: skip
_RESISTANCE_RATIO = Method(
    id="resistance-ratio", title="Resistance of winding and conducting diodes over the load's",
    statement=r"\rho = \frac{R_s}{R}",
    quantities=(
        quantity("source_resistance", "R_s", "ohm", "resistance of winding and conducting diodes"), LOAD_RESISTANCE,
    ),
    result=quantity("resistance_ratio", r"\rho", "1", "resistance of winding and conducting diodes over the load's"),
    function=lambda *, source_resistance, load_resistance: source_resistance / load_resistance, is_handbook=False,
)  # fmt: skip
_BATTERY = quantity("battery_emf", "E_0", "V", "EMF of the battery")
_FACING = Method(
    id="voltage-to-overcome", title="What the source must overcome: battery and diodes", statement=r"E = E_0 + kV_D",
    quantities=(_BATTERY, DIODE_DROP, DIODES_IN_PATH),
    result=quantity("battery_voltage", "E", "V", "EMF of the battery with all diode drops of the path added"),
    function=lambda *, battery_emf, diode_drop, diodes_in_path: battery_emf + diode_drop * diodes_in_path,
    is_handbook=False,
)  # fmt: skip
_PATH = Method(
    id="resistance-of-the-path", title="All resistance in the charging path", statement=r"R = R_0 + R_s",
    quantities=(
        quantity("battery_resistance", "R_0", "ohm", "internal resistance of the battery"),
        quantity("series_resistance", "R_s", "ohm", "resistance in series: resistors, winding, diodes"),
    ),
    result=quantity("path_resistance", "R", "ohm", "all resistance in the charging path"),
    function=lambda *, battery_resistance, series_resistance: battery_resistance + series_resistance,
    is_handbook=False,
)  # fmt: skip
_CURRENT_OF_NO_LOAD = Method(
    id="current-of-no-load-voltage", title="Load current, if the output held its voltage without load",
    statement=r"I = \frac{V_0}{R}", quantities=(_NO_LOAD, LOAD_RESISTANCE), result=LOAD_CURRENT,
    function=lambda *, no_load_voltage, load_resistance: no_load_voltage / load_resistance, is_handbook=False,
)  # fmt: skip
_IN_SERIES = Method(
    id="resistances-in-series", title="Load and series resistance together", statement=r"R_b = R_L + R_s",
    quantities=(_LOAD_ALONE, _SERIES), result=_BRANCH,
    function=lambda *, load_resistance, series_resistance: load_resistance + series_resistance, is_handbook=False,
)  # fmt: skip
_IN_PARALLEL = Method(
    id="resistances-in-parallel", title="Load and bleeder together", statement=r"R_t = \frac{R_L R_B}{R_L + R_B}",
    quantities=(_LOAD_ALONE, _BLEEDER), result=_TOGETHER,
    function=lambda *, load_resistance, bleeder: load_resistance * bleeder / (load_resistance + bleeder),
    is_handbook=False,
)  # fmt: skip

#: Formulas whose constant a course may round: its factor, and what it is multiplied with.
_ROUNDED: Final[Mapping[str, tuple[str, str, str]]] = MappingProxyType(
    {
        "peak-of-sine": ("peak_over_rms", "source_rms", r"V_m = {} V_{{\mathrm{{rms}}}}"),
        "half-wave-mean": ("half_wave_mean", "load_peak", r"V_{{\mathrm{{dc}}}} = {} V_p"),
        "full-wave-mean": ("full_wave_mean", "load_peak", r"V_{{\mathrm{{dc}}}} = {} V_p"),
        "half-wave-rms": ("rms_of_half_wave", "load_peak", r"V_{{\mathrm{{L,rms}}}} = {} V_p"),
        "full-wave-rms": ("rms_of_full_wave", "load_peak", r"V_{{\mathrm{{L,rms}}}} = {} V_p"),
    }
)


def supply_by_hand(supply: Supply, course: Course) -> Supply:
    """The supply as this course reads it for working by hand: its diode drop and dropout in place of the sheet's."""
    if course.diode_drop is not None:
        diode = replace(supply.rectifier.diode, drop=course.diode_drop)
        supply = replace(supply, rectifier=replace(supply.rectifier, diode=diode))
    return supply


def _result_name(result: HandResult) -> str:
    """The name of what a formula gave; without load it is the voltage without load, whatever the formula calls it."""
    return "no_load_voltage" if result.reading.endswith(NO_LOAD) else look_up(result.formula).result.name


class Chain:
    """The working of one supply in one course."""

    def __init__(self, supply: Supply, model: str, course: Course) -> None:
        self.supply, self.course = supply_by_hand(supply, course), course
        self.results: tuple[HandResult, ...] = () if supply.faults else by_hand(self.supply, model)
        self._made: dict[tuple[str, str], Calculation | None] = {}

    @cached_property
    def readings(self) -> tuple[str, ...]:
        """Every reading that has a value by hand, in the order of the working."""
        return tuple(dict.fromkeys(result.reading for result in self.results))

    def calculations(self, reading: str) -> tuple[Calculation, ...]:
        """All formulas that answer a reading, the taught one first, then in the handbook's order."""
        made = (self._calculation(result) for result in self._ranked(reading))
        return tuple(calculation for calculation in made if calculation is not None)

    def preferred(self, reading: str) -> Calculation | None:
        """The one whose value goes on into other formulas."""
        for result in self._ranked(reading):
            made = self._calculation(result)
            if made is not None:
                return made
        return None

    def with_values(self, formula_id: str, known: Mapping[str, float]) -> Calculation:
        """A formula that answers no reading, worked with numbers of this supply: a condition, a size to choose.

        Raises
        ------
        ValueError
            If a quantity is missing or outside the formula's domain.
        """
        method = self._method(formula_id)
        # A resistance that such a formula speaks of is that of all that draws.
        inputs = tuple(
            Input(
                symbol=symbol, value=known[symbol.name],
                known_as=_TOGETHER if symbol.name == "load_resistance" else None,
            )
            for symbol in method.quantities
        )  # fmt: skip
        if formula_id == "bleeder-for-choke":
            method = replace(method, result=_BLEEDER)
        value = look_up(formula_id).value(**{each.symbol.name: each.value for each in inputs})
        return Calculation(method=method, inputs=inputs, value=self._carried(value), unrounded=value)

    def _ranked(self, reading: str) -> list[HandResult]:
        def order(result: HandResult) -> float:
            rank = self.course.rank(result.formula)
            return math.inf if rank is None else rank

        return sorted((result for result in self.results if result.reading == reading), key=order)

    def _calculation(self, result: HandResult) -> Calculation | None:
        key = (result.reading, result.formula)
        if key not in self._made:
            self._made[key] = self._work(result)
        return self._made[key]

    def _work(self, result: HandResult) -> Calculation | None:
        method = self._method(result.formula)
        inputs = tuple(
            self._input(symbol, result.givens[symbol.name], result)
            for symbol in method.quantities
            if symbol.name in result.givens
        )
        formula = look_up(result.formula)
        values = {given.symbol.name: given.value for given in inputs}
        optional = {symbol.name for symbol in formula.quantities if symbol.optional}
        needed = {name: value for name, value in values.items() if name not in optional}
        try:
            formula.checked(values)
            value = method.function(**needed)
        except (ValueError, ZeroDivisionError, OverflowError):
            return None  # a course's own rounding can lead out of a formula's domain
        return Calculation(
            method=method,
            inputs=inputs,
            value=self._carried(value),
            unrounded=value,
            reading=result.reading,
            sign=math.copysign(1.0, result.value),
            valid=formula.valid(**values),
            result=result,
        )

    def _carried(self, value: float) -> float:
        return rounded(value, self.course.digits) if self.course.rounding == "each" else value

    def _method(self, formula_id: str) -> Method:
        formula = look_up(formula_id)
        statement, function, quantities = formula.statement, formula.function, formula.quantities
        if formula_id in _ROUNDED:
            factor_name, base, pattern = _ROUNDED[formula_id]
            factor = self.course.factors.get(factor_name)
            if factor is not None:
                statement = pattern.format(f"{factor:g}")
                quantities = tuple(symbol for symbol in quantities if symbol.name == base)

                def function(**values: float) -> float:
                    return factor * values[base]

        return Method(
            id=formula_id, title=formula.title, statement=statement, quantities=quantities, result=formula.result,
            function=function,
        )  # fmt: skip

    # -- where a number comes from ---------------------------------------------------------

    def _input(self, symbol: Symbol, value: float, user: HandResult) -> Input:
        origin = self._earlier(symbol.name, value, user) or self._on_the_way(symbol, value, user)
        if origin is None:
            return Input(symbol=symbol, value=value, known_as=self._of_the_sheet(symbol, value, user))
        return Input(symbol=symbol, value=origin.value, origin=origin)

    def _of_the_sheet(self, symbol: Symbol, value: float, user: HandResult) -> Symbol | None:
        """What a number of the sheet is, where the formula gives it a letter of its own."""
        if symbol.name in _STATED_CURRENTS:
            return LOAD_CURRENT
        if symbol.name == "battery_voltage":
            return _BATTERY
        if symbol.name == "load_resistance":
            if math.isclose(value, self._beside_the_load(user)[1], rel_tol=_SAME):
                return _BLEEDER
            if self._load(user).kind == "resistance":
                return _LOAD_ALONE
        return None

    def _earlier(self, name: str, value: float, user: HandResult) -> Calculation | None:
        """The result of this working that the number is, on the same rail if there is one."""
        names = (name, *_ALSO.get(name, ()))
        place = self.results.index(user)
        found = [
            result
            for number, result in enumerate(self.results)
            if (number < place or name in _ANY_PLACE)
            and result is not user
            and _result_name(result) in names
            and math.isclose(abs(result.value), abs(value), rel_tol=_SAME)
        ]
        if not found:
            return None
        drawn = user.places.get("drawn")
        same_rail = [result for result in found if result.places.get("drawn") == drawn]
        return self.preferred((same_rail or found)[0].reading)

    def _on_the_way(self, symbol: Symbol, value: float, user: HandResult) -> Calculation | None:
        """A number that is no reading, and no number of the sheet either."""
        match symbol.name:
            case "discharge_time":
                return self._step(_TIME, {"recharge_frequency": 1.0 / value}, user)
            case "load_current" | "load_current_mean":
                return self._current(value, user)
            case "load_resistance":
                return self._resistance(value, user)
            case "source_peak":
                return self._source_peak(value, user)
            case "battery_voltage" | "path_resistance":
                return self._of_the_battery(symbol.name, value, user)
            case "full_load_voltage":
                return self._step(_FULL_LOAD_IS_MEAN, {"load_mean": value}, user)
            case "resistance_ratio":
                resistance = user.circumstances["load_resistance"]
                known = {"source_resistance": value * resistance, "load_resistance": resistance}
                return self._step(_RESISTANCE_RATIO, known, user)
            case "ripple_current":
                known = {name: user.circumstances[name] for name in ("source_peak", "mains_frequency", "inductance")}
                return self._step(self._method("choke-ripple-current"), known, user)
            case "recharge_frequency":
                known = {name: user.circumstances[name] for name in ("mains_frequency", "pulses")}
                return self._step(self._method("ripple-frequency"), known, user)
        return None

    def _step(self, method: Method, values: Mapping[str, float], user: HandResult) -> Calculation:
        inputs = tuple(self._input(symbol, values[symbol.name], user) for symbol in method.quantities)
        value = method.function(**{given.symbol.name: given.value for given in inputs})
        return Calculation(method=method, inputs=inputs, value=self._carried(value), unrounded=value)

    def _current(self, value: float, user: HandResult) -> Calculation | None:
        peak = user.circumstances.get("load_peak", math.nan)
        of_mean = _CURRENT_OF_MEAN if math.isinf(self._beside_the_load(user)[1]) else _CURRENT_OF_ALL
        for name, voltage, method in (
            ("load_peak", peak, _CURRENT_AT_PEAK),
            *(("load_mean", mean, of_mean) for mean in self._results_called("load_mean", user)),
        ):
            resistance = user.circumstances.get("load_resistance", math.nan)
            if math.isclose(voltage, value * resistance, rel_tol=_SAME):
                return self._step(method, {name: voltage, "load_resistance": resistance}, user)
        load = self._load(user)
        for unloaded in self._results_called("no_load_voltage", user):
            if load.kind == "resistance" and load.value and math.isclose(unloaded, value * load.value, rel_tol=_SAME):
                known = {"no_load_voltage": unloaded, "load_resistance": load.value}
                return self._step(_CURRENT_OF_NO_LOAD, known, user)
        if load.kind == "power" and load.value and math.isclose(value * peak, load.value, rel_tol=_SAME):
            return self._step(self._method("load-current-of-power"), {"power": load.value, "load_peak": peak}, user)
        return None

    def _of_the_battery(self, name: str, value: float, user: HandResult) -> Calculation | None:
        """Battery with what stands in its way, where that is more than the battery alone."""
        load, drops = self._load(user), {k: user.circumstances[k] for k in ("diode_drop", "diodes_in_path")}
        if name == "path_resistance":
            left = value - load.battery_resistance
            if left <= _SAME * value or not load.battery_resistance:
                return None
            return self._step(_PATH, {"battery_resistance": load.battery_resistance, "series_resistance": left}, user)
        if not load.value or not drops["diode_drop"] or math.isclose(load.value, value, rel_tol=_SAME):
            return None
        return self._step(_FACING, {"battery_emf": load.value, **drops}, user)

    def _results_called(self, name: str, user: HandResult) -> Iterator[float]:
        """Sizes of the results that give a quantity on the same rail."""
        drawn = user.places.get("drawn")
        for result in self.results:
            if result.places.get("drawn") == drawn and _result_name(result) == name:
                yield abs(result.value)

    def _load(self, user: HandResult) -> Load:
        loads = self.supply.loads
        sides = {"load_positive": loads.positive, "load_negative": loads.negative}
        return sides.get(user.places.get("drawn", "load"), loads.single) or Load(kind="none")

    def _resistance(self, value: float, user: HandResult) -> Calculation | None:
        """Load, series parts and bleeder together, where their value is this number."""
        load = self._load(user)
        if load.kind != "resistance" or not load.value or math.isclose(load.value, value, rel_tol=_SAME):
            return None
        series, bleeder = self._beside_the_load(user)
        alone = Input(symbol=_LOAD_ALONE, value=load.value)
        together = load.value + series
        if math.isfinite(bleeder) and math.isclose(load.value * bleeder, value * (load.value + bleeder), rel_tol=_SAME):
            return self._resistance_step(_IN_PARALLEL, (alone, Input(symbol=_BLEEDER, value=bleeder)))
        if series and not math.isclose(together, value, rel_tol=_SAME):
            inner = self._resistance_step(_IN_SERIES, (alone, Input(symbol=_SERIES, value=series)))
            alone = Input(symbol=_LOAD_ALONE, value=inner.value, origin=inner)
        elif series:
            return self._resistance_step(_IN_SERIES, (alone, Input(symbol=_SERIES, value=series)))
        if not math.isclose(together * bleeder, value * (together + bleeder), rel_tol=_SAME):
            return None
        return self._resistance_step(_IN_PARALLEL, (alone, Input(symbol=_BLEEDER, value=bleeder)))

    def _resistance_step(self, method: Method, inputs: tuple[Input, ...]) -> Calculation:
        value = method.function(**{given.symbol.name: given.value for given in inputs})
        return Calculation(method=method, inputs=inputs, value=self._carried(value), unrounded=value)

    def _beside_the_load(self, user: HandResult) -> tuple[float, float]:
        """Resistance of the series parts, and of the bleeders before them (infinite without). [ohm]"""
        drawn = user.places.get("drawn", "load")
        rail = {"load_positive": "positive", "load_negative": "negative"}.get(drawn)
        series = conductance = 0.0
        for part in parts(self.supply):
            if part.section is None or not part.fitted or (rail is not None and part.rail != rail):
                continue
            if part.kind == "resistor":
                series += part.value or 0.0
            elif part.kind == "choke":
                series += float(getattr(part.source, "resistance", 0.0))
            elif part.kind == "bleeder" and part.value:
                conductance += 1.0 / part.value
        return series, 1.0 / conductance if conductance else math.inf

    def _source_peak(self, value: float, user: HandResult) -> Calculation | None:
        """Three phases: between two lines, or of one phase."""
        phase = user.circumstances.get("source_peak", math.nan)
        if user.formula == "peak-of-sine" or self.supply.mains.waveform != "sine":
            return None
        if math.isclose(value, phase * math.sqrt(3.0), rel_tol=_SAME) and not math.isclose(value, phase):
            return self._step(self._method("line-peak"), {"source_peak": phase}, user)
        return self._step(self._method("peak-of-sine"), {"source_rms": value / math.sqrt(2.0)}, user)
