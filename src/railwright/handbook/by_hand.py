"""What a person works out with the handbook for one supply: each reading, the formulas that fit, the numbers put in.

The working is a teacher's: the label's winding voltage without any loss, constant drops, the resistance of winding
and diodes left out, and the current at the peak for the ripple. It stays empty where the books have nothing to say:
networks of one's own, faulty circuits, direct voltage.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from railwright.handbook.formula import Formula
from railwright.handbook.registry import look_up
from railwright.supply.designators import Part, parts
from railwright.supply.model import PEAK_OVER_RMS, Load, Supply
from railwright.supply.nominal import section_voltage

#: Rating rules for a winding's RMS current over the load's mean, reservoir fitted. [-] bridge: Petra toroidal
#: transformers, notes on secondary ratings; half-wave: Bell, Electronic Devices and Circuits, Ex. 3.7.
WINDING_CURRENT_FACTORS: Final[Mapping[str, float]] = MappingProxyType({"bridge": 1.8, "half-wave": 3.6})

_PULSES: Final[Mapping[str, float]] = MappingProxyType(
    {
        "half-wave": 1.0,
        "dual-half-wave": 1.0,
        "centre-tap": 2.0,
        "bridge": 2.0,
        "dual-rail": 2.0,
        "full-wave-doubler": 2.0,
        "half-wave-doubler": 1.0,
        "multiplier": 1.0,
        "three-phase-half-wave": 3.0,
        "three-phase-bridge": 6.0,
    }
)
_IN_PATH: Final[Mapping[str, float]] = MappingProxyType({"bridge": 2.0, "three-phase-bridge": 2.0})
_TAKING_TURNS: Final[Mapping[str, float]] = MappingProxyType(
    {"centre-tap": 2.0, "bridge": 2.0, "dual-rail": 2.0, "three-phase-half-wave": 3.0, "three-phase-bridge": 3.0}
)
_UTILISATIONS: Final[Mapping[str, tuple[tuple[str, str], ...]]] = MappingProxyType(
    {
        "half-wave": (("secondary", "half-wave-utilisation"),),
        "bridge": (("secondary", "bridge-utilisation"), ("mean", "bridge-utilisation")),
        "centre-tap": (("secondary", "centre-tap-utilisation"), ("mean", "centre-tap-utilisation-of-mean")),
    }
)
_HALF_WAVE: Final = ("half-wave", "dual-half-wave")
_THREE_PHASE: Final = ("three-phase-half-wave", "three-phase-bridge")
_STACKED: Final = ("full-wave-doubler", "half-wave-doubler", "multiplier")


@dataclass(frozen=True, slots=True, kw_only=True)
class HandResult:
    """One reading worked out with one formula.

    `givens` are the formula's own quantities; `circumstances` other plain numbers of the same working, by name, that
    an explanation may need; `places` says which place of the supply is meant by `here`, `source`, `reservoir` and
    `drawn` (where the load current is drawn).
    """

    reading: str
    formula: str
    value: float  # in `unit`, with the reading's sign
    unit: str
    valid: bool
    givens: Mapping[str, float]
    circumstances: Mapping[str, float] = field(default_factory=dict)
    places: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Chain:
    """The filter of one rail: what stands before the first series part, and what follows."""

    capacitance: float  # [F] of the leading capacitors together; 0 without
    capacitor: str  # designator of the first of them
    bleeder: float  # [ohm] of the leading bleeders together; infinite without
    rest: tuple[Part, ...]  # from the first series part on

    @property
    def is_plain(self) -> bool:
        """Whether nothing but shunt parts stands between rectifier and load."""
        return not self.rest

    @property
    def series_resistance(self) -> float:
        """Resistance of all series parts. [ohm]"""
        total = 0.0
        for part in self.rest:
            if part.kind == "resistor":
                total += part.value or 0.0
            elif part.kind == "choke":
                total += float(getattr(part.source, "resistance", 0.0))
        return total

    @property
    def all_bleeders(self) -> float:
        """Resistance of all bleeders together, before and behind the series parts; infinite without. [ohm]"""
        behind = [part.value for part in self.rest if part.kind == "bleeder" and part.value]
        conductance = sum(1.0 / value for value in behind) + 1.0 / self.bleeder
        return 1.0 / conductance if conductance else math.inf

    @property
    def has_bleeder_behind(self) -> bool:
        return any(part.kind == "bleeder" for part in self.rest)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rail:
    """One output of the supply."""

    load_place: str
    drawn: float  # +1, or -1 on the negative rail
    load: Load
    across: Load | None
    chain: _Chain
    regulator: str  # designator, or ""
    regulator_kind: str
    regulator_output: float | None  # [V]
    regulator_resistor: float | None  # [ohm] of a zener
    regulator_slope: float  # [ohm] of a zener
    dropout: float | None  # [V] of a series regulator; None: the sheet doesn't say
    rejection: float | None  # [dB] of a series regulator; None where the model has none
    diodes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Source:
    """The alternating side as a person reads it from the label."""

    place: str  # place whose loaded peak the rectifier sees
    rms: float  # [V] that one pulse uses
    peak: float  # [V]
    is_sine: bool
    drop: float  # [V] of one diode
    in_path: float
    frequency: float  # [Hz]
    pulses: float
    resistance: float  # [ohm] of winding and conducting diodes, as stated in ohms; 0 at "ideal"
    low: float  # mains at its lowest over nominal
    high: float  # mains at its highest over nominal


def by_hand(supply: Supply, model: str = "textbook") -> tuple[HandResult, ...]:
    """Work out by hand what the handbook offers for this supply.

    Parameters
    ----------
    supply : Supply
        A checked supply.
    model : {"ideal", "textbook", "physical"}
        At "ideal" diodes drop nothing; else each drops what the sheet states.

    Returns
    -------
    tuple of HandResult
        In the order of the working; several formulas may answer one reading. Empty where no formula applies.
    """
    circuit = supply.rectifier.circuit
    if supply.elements or circuit not in _PULSES or supply.mains.frequency is None:
        return ()
    if any(fault.edits == "network" for fault in supply.faults):
        return ()  # the books' formulas are those of a healthy circuit
    if circuit == "bridge" and supply.rectifier.tap == "negative":
        return ()
    source = _read_source(supply, model)
    if source.peak <= source.drop * source.in_path:
        return ()
    return tuple(_work(supply, source, model))


def _read_source(supply: Supply, model: str) -> _Source:
    circuit = supply.rectifier.circuit
    transformer = supply.transformer
    rms = section_voltage(supply.mains, transformer)
    place = "secondary"
    if circuit in _THREE_PHASE:
        place = "secondary_1"
        if transformer is not None and transformer.connection.endswith("delta"):
            rms /= math.sqrt(3.0)
    elif transformer is not None:
        halves = circuit in ("centre-tap", "dual-rail") or (
            transformer.secondary == "centre-tapped" and supply.rectifier.tap == "common" and circuit != "bridge"
        )
        if halves:
            place = "secondary_a"
        elif transformer.secondary in ("series", "centre-tapped"):
            rms *= 2.0
    assert supply.mains.frequency is not None
    return _Source(
        place=place,
        rms=rms,
        peak=rms * PEAK_OVER_RMS[supply.mains.waveform],
        is_sine=supply.mains.waveform == "sine",
        drop=0.0 if model == "ideal" else supply.rectifier.diode.drop,
        in_path=_IN_PATH.get(circuit, 1.0),
        frequency=supply.mains.frequency,
        pulses=_PULSES[circuit],
        resistance=0.0 if model == "ideal" else _path_resistance(supply, rms),
        low=1.0 - supply.mains.tolerance.minus,
        high=1.0 + supply.mains.tolerance.plus,
    )


def _path_resistance(supply: Supply, section_rms: float) -> float:
    """Resistance of winding and conducting diodes that the sheet states in ohms. [ohm]"""
    total = supply.rectifier.diode.resistance * _IN_PATH.get(supply.rectifier.circuit, 1.0)
    transformer = supply.transformer
    if transformer is None:
        return total + supply.mains.source_resistance
    sections = 2.0 if transformer.secondary == "series" else 1.0
    if transformer.secondary == "parallel":
        sections = 0.5
    total += sections * (transformer.secondary_resistance or 0.0)
    return total + (transformer.primary_resistance or 0.0) * (section_rms / supply.mains.voltage) ** 2


def _rails(supply: Supply, model: str) -> Iterator[_Rail]:
    listed = parts(supply)
    diodes = tuple(part.designator for part in listed if part.kind == "diode")
    none = Load(kind="none")
    if not supply.is_dual:
        yield _rail(supply, model, listed, "load", None, supply.loads.single or none, diodes)
        return
    half = len(diodes) // 2
    yield _rail(supply, model, listed, "load_positive", "positive", supply.loads.positive or none, diodes[:half])
    yield _rail(supply, model, listed, "load_negative", "negative", supply.loads.negative or none, diodes[half:])


def _rail(
    supply: Supply,
    model: str,
    listed: tuple[Part, ...],
    place: str,
    rail: str | None,
    load: Load,
    diodes: tuple[str, ...],
) -> _Rail:
    sections = [p for p in listed if p.section is not None and p.fitted and (rail is None or p.rail == rail)]
    lead = 0
    while lead < len(sections) and sections[lead].kind in ("capacitor", "bleeder"):
        lead += 1
    leading = sections[:lead]
    capacitors = [p for p in leading if p.kind == "capacitor"]
    conductance = sum(1.0 / p.value for p in leading if p.kind == "bleeder" and p.value)
    chain = _Chain(
        capacitance=sum(p.value or 0.0 for p in capacitors),
        capacitor=capacitors[0].designator if capacitors else "",
        bleeder=1.0 / conductance if conductance else math.inf,
        rest=tuple(sections[lead:]),
    )
    regulator = {
        None: supply.regulator, "positive": supply.regulator_positive, "negative": supply.regulator_negative
    }[rail]  # fmt: skip
    output = None
    designator = ""
    if regulator is not None:
        output = regulator.zener_voltage if regulator.kind == "zener" else regulator.output
        designator = ("Z" if regulator.kind == "zener" else "U") + ("2" if rail == "negative" else "1")
    return _Rail(
        load_place=place,
        drawn=-1.0 if rail == "negative" else 1.0,
        load=load,
        across=supply.loads.across,
        chain=chain,
        regulator=designator,
        regulator_kind=regulator.kind if regulator is not None else "",
        regulator_output=output,
        regulator_resistor=regulator.series_resistor if regulator is not None else None,
        regulator_slope=regulator.zener_resistance if regulator is not None and model != "ideal" else 0.0,
        dropout=0.0 if model == "ideal" else regulator.dropout if regulator is not None else None,
        rejection=regulator.ripple_rejection if regulator is not None and model == "physical" else None,
        diodes=diodes,
    )


class _Working:
    """Collects the results of one rail; each entry is one formula worked out."""

    def __init__(self, source: _Source, rail: _Rail, reservoir: str) -> None:
        self.results: list[HandResult] = []
        self.circumstances: dict[str, float] = {
            "source_peak": source.peak,
            "diode_drop": source.drop,
            "diodes_in_path": source.in_path,
            "mains_frequency": source.frequency,
            "pulses": source.pulses,
        }
        if math.isfinite(rail.chain.all_bleeders):
            self.circumstances["bleeder"] = rail.chain.all_bleeders
        self.places = {"source": source.place, "drawn": rail.load_place}
        if reservoir:
            self.places["reservoir"] = reservoir

    def add(self, reading: str, formula_id: str, sign: float = 1.0, **givens: float) -> float:
        """Work one formula out for one reading; NaN, and no entry, where it can't be worked out."""
        chosen = look_up(formula_id)
        try:
            value = chosen.value(**givens)
        except ValueError:
            return math.nan  # outside the formula's domain there is no number by hand
        place = reading.split(".voltage.")[0].split(".current.")[0]
        self.results.append(
            HandResult(
                reading=reading,
                formula=formula_id,
                value=sign * value,
                unit=chosen.unit,
                valid=chosen.valid(**givens),
                givens=MappingProxyType(dict(givens)),
                circumstances=MappingProxyType(dict(self.circumstances)),
                places=MappingProxyType({**self.places, "here": place}),
            )
        )
        return value


def _value(formula_id: str, **givens: float) -> float:
    """A step on the way that is no reading; NaN outside the formula's domain."""
    chosen: Formula = look_up(formula_id)
    try:
        return chosen.value(**givens)
    except ValueError:
        return math.nan


def _work(supply: Supply, source: _Source, model: str) -> Iterator[HandResult]:
    circuit = supply.rectifier.circuit
    yield from _winding(supply, source)
    rails = tuple(_rails(supply, model))
    if circuit in _STACKED:
        yield from _stacked(supply, source, rails[0])
        return
    for rail in rails:
        yield from _one_rail(supply, source, rail)


def _winding(supply: Supply, source: _Source) -> Iterator[HandResult]:
    """The source side: RMS by turns, and peaks."""
    blank = _Rail(
        load_place="load", drawn=1.0, load=Load(kind="none"), across=None,
        chain=_Chain(capacitance=0.0, capacitor="", bleeder=math.inf, rest=()), regulator="", regulator_kind="",
        regulator_output=None, regulator_resistor=None, regulator_slope=0.0, dropout=None, rejection=None, diodes=(),
    )  # fmt: skip
    working = _Working(source, blank, "")
    if supply.mains.phases == 3 or not source.is_sine:
        return
    transformer = supply.transformer
    sections = {"secondary": 1.0}
    if transformer is not None and transformer.secondary == "centre-tapped":
        sections = {"secondary": 2.0, "secondary_a": 1.0, "secondary_b": 1.0}
    elif transformer is not None and transformer.secondary == "series":
        sections = {"secondary": 2.0}
    one = section_voltage(supply.mains, transformer)
    by_turns = (
        transformer is not None
        and transformer.turns_ratio is not None
        and transformer.secondary_voltage is None
        and transformer.open_voltage is None
    )
    for place, count in sections.items():
        if by_turns and transformer is not None and transformer.turns_ratio is not None:
            working.add(
                f"{place}.voltage.rms",
                "secondary-by-turns",
                primary_rms=supply.mains.voltage_rms,
                turns_ratio=transformer.turns_ratio / count,
            )
        working.add(f"{place}.voltage.peak", "peak-of-sine", source_rms=one * count)
    yield from working.results


def _one_rail(supply: Supply, source: _Source, rail: _Rail) -> Iterator[HandResult]:
    chain = rail.chain
    first = chain.rest[0].kind if chain.rest else ""
    working = _Working(source, rail, chain.capacitor)
    circuit = supply.rectifier.circuit
    if chain.capacitance > 0.0:
        _reservoir(working, circuit, source, rail)
    elif first == "choke":
        if circuit in ("centre-tap", "bridge", "dual-rail") and source.is_sine:
            _choke_input(working, circuit, source, rail)
    elif not chain.rest and not rail.regulator and rail.load.kind == "resistance":
        _unfiltered(working, circuit, source, rail)
        if supply.transformer is not None and rail.load_place == "load":
            _utilisation(working, circuit)
    elif _only_resistors(chain) and not rail.regulator and rail.load.kind == "battery" and rail.load_place == "load":
        _battery(working, circuit, source, rail)
    yield from working.results


def _only_resistors(chain: _Chain) -> bool:
    return not math.isfinite(chain.bleeder) and all(part.kind == "resistor" for part in chain.rest)


def _utilisation(working: _Working, circuit: str) -> None:
    """The constants of an unfiltered rectifier's transformer."""
    for measure, formula_id in _UTILISATIONS.get(circuit, ()):
        working.add(f"T1.utilisation.{measure}", formula_id)


def _battery(working: _Working, circuit: str, source: _Source, rail: _Rail) -> None:
    """A battery on charge behind the rectifier, with or without resistors that limit its current."""
    if circuit not in ("half-wave", "centre-tap", "bridge") or not source.is_sine or not rail.load.value:
        return
    facing = rail.load.value + source.drop * source.in_path
    path = source.resistance + rail.load.battery_resistance + rail.chain.series_resistance
    pulse = {"source_peak": source.peak, "battery_voltage": facing}
    for diode in rail.diodes:
        working.add(f"{diode}.conduction.angle", "battery-conduction-angle", **pulse)
    if path <= 0.0:
        return
    mean = working.add("load.current.mean", "battery-current-mean", path_resistance=path, pulses=source.pulses, **pulse)
    working.add("load.current.peak", "battery-current-peak", path_resistance=path, **pulse)
    for diode in rail.diodes:
        working.add(f"{diode}.current.peak", "battery-current-peak", path_resistance=path, **pulse)
    working.add("load.battery.power", "battery-power", battery_voltage=rail.load.value, charging_current=mean)
    _diode_mean(working, circuit, rail, mean)


def _peak(circuit: str, source: _Source) -> tuple[str, dict[str, float]]:
    """The load-peak formula of the circuit and what to put in."""
    peak = source.peak
    if circuit == "three-phase-bridge":
        peak = _value("line-peak", source_peak=source.peak)
    return "load-peak-less-drops", {"source_peak": peak, "diode_drop": source.drop, "diodes_in_path": source.in_path}


def _unfiltered(working: _Working, circuit: str, source: _Source, rail: _Rail) -> None:
    """A resistive load straight behind the rectifier."""
    place, sign = rail.load_place, rail.drawn
    resistance = rail.load.value or math.nan
    formula_id, givens = _peak(circuit, source)
    peak = working.add(f"{place}.voltage.peak", formula_id, sign, **givens)
    working.circumstances.update(load_peak=peak, load_resistance=resistance)
    working.add(
        f"{place}.voltage.ripple_frequency",
        "ripple-frequency",
        mains_frequency=source.frequency,
        pulses=source.pulses,
    )
    if not source.is_sine:
        return
    if circuit in _THREE_PHASE:
        mean = working.add(f"{place}.voltage.mean", f"{circuit}-mean", sign, load_peak=peak)
        working.add(f"{place}.voltage.ripple_peak_to_peak", f"{circuit}-ripple", load_peak=peak)
        working.add(f"{place}.voltage.ripple_factor", f"{circuit}-ripple-factor")
        working.add(f"{place}.current.peak", "load-current-of-peak", sign, load_peak=peak, load_resistance=resistance)
        for diode in rail.diodes:
            working.add(f"{diode}.current.peak", "load-current-of-peak", load_peak=peak, load_resistance=resistance)
        _currents_of_mean(working, rail, mean, resistance)
        _reverse(working, circuit, source, rail, None)
        _diode_mean(working, circuit, rail, mean / resistance)
        return
    wave = "half-wave" if circuit in _HALF_WAVE else "full-wave"
    drops = {"source_peak": source.peak, "diode_drop": source.drop, "diodes_in_path": source.in_path}
    mean = working.add(f"{place}.voltage.mean", f"{wave}-mean", sign, load_peak=peak)
    if source.drop > 0.0:
        working.add(f"{place}.voltage.mean", f"{wave}-mean-dead-time", sign, **drops)
    if source.drop == 0.0:
        working.add(f"{place}.voltage.mean", f"{wave}-mean-from-rms", sign, source_rms=source.rms)
    rms = working.add(f"{place}.voltage.rms", f"{wave}-rms", load_peak=peak)
    if source.drop > 0.0:
        working.add(f"{place}.voltage.rms", f"{wave}-rms-dead-time", **drops)
    working.add(f"{place}.voltage.ripple_peak_to_peak", "unfiltered-ripple", load_peak=peak)
    working.add(f"{place}.voltage.ripple_rms", "ripple-rms-from-rms-and-mean", load_rms=rms, load_mean=mean)
    working.add(f"{place}.voltage.ripple_factor", f"{wave}-ripple-factor")
    working.add(f"{place}.voltage.form_factor", f"{wave}-form-factor")
    _currents_of_mean(working, rail, mean, resistance)
    working.add(f"{place}.current.peak", "load-current-of-peak", sign, load_peak=peak, load_resistance=resistance)
    if place == "load":
        working.add("load.power.mean", "load-power-mean", load_rms=rms, load_resistance=resistance)
        working.add("rectifier.power.dc_ratio", f"{wave}-dc-ratio")
    _reverse(working, circuit, source, rail, None)
    _diode_mean(working, circuit, rail, mean / resistance)
    for diode in rail.diodes:
        if rail.across is None or rail.across.kind == "none":
            working.add(f"{diode}.current.peak", "load-current-of-peak", load_peak=peak, load_resistance=resistance)
        working.add(f"{diode}.conduction.angle", "diode-angle-dead-time", **drops)
    if place == "load":
        working.add("rectifier.conduction.angle", "rectifier-angle-dead-time", pulses=source.pulses, **drops)


def _currents_of_mean(working: _Working, rail: _Rail, mean: float, resistance: float) -> None:
    place = rail.load_place
    working.add(f"{place}.current.mean", "load-current-of-mean", rail.drawn, load_mean=mean, load_resistance=resistance)
    if place == "load":
        working.add("load.power.dc", "load-power-dc", load_mean=mean, load_resistance=resistance)


def _diode_mean(working: _Working, circuit: str, rail: _Rail, current: float) -> None:
    for diode in rail.diodes:
        working.add(
            f"{diode}.current.mean",
            "diode-mean-current",
            load_current_mean=current,
            diodes_taking_turns=_TAKING_TURNS.get(circuit, 1.0),
        )


def _reverse(working: _Working, circuit: str, source: _Source, rail: _Rail, load_peak: float | None) -> None:
    """Reverse voltages; `load_peak` is None without a reservoir. [V]"""
    for diode in rail.diodes:
        reading = f"{diode}.reverse_voltage.peak"
        if circuit in _HALF_WAVE:
            if load_peak is None:
                working.add(reading, "half-wave-reverse-voltage", source_peak=source.peak)
            else:
                working.add(
                    reading, "half-wave-reservoir-reverse-voltage", source_peak=source.peak, load_peak=load_peak
                )
                working.add(reading, "half-wave-reverse-voltage-rule", source_peak=source.peak)
        elif circuit in ("centre-tap", "dual-rail"):
            working.add(reading, "centre-tap-reverse-voltage", source_peak=source.peak, diode_drop=source.drop)
            if source.drop > 0.0:
                working.add(reading, "centre-tap-reverse-voltage-rule", source_peak=source.peak)
        else:
            working.add(reading, f"{circuit}-reverse-voltage", source_peak=source.peak, diode_drop=source.drop)


def _reservoir_draw(rail: _Rail, peak: float) -> tuple[float, float]:
    """Current drawn from the reservoir at its peak, and the resistance that it means. [A, ohm]

    The resistance is NaN for a constant current; both are NaN where the load has no steady current.
    """
    chain, load = rail.chain, rail.load
    series = chain.series_resistance
    resistance = math.nan
    if rail.regulator_kind == "zener":
        if rail.regulator_output is None or not rail.regulator_resistor:
            return math.nan, math.nan
        current = (peak - rail.regulator_output) / (rail.regulator_resistor + series)
    elif rail.regulator:
        if rail.regulator_output is None:
            return math.nan, math.nan
        current = _load_current_at(load, rail.regulator_output)
    elif load.kind == "resistance" and load.value and not chain.has_bleeder_behind:
        resistance = load.value + series
        current = _value("load-current-of-peak", load_peak=peak, load_resistance=resistance)
    else:
        current = _load_current_at(load, peak)
    if rail.across is not None and rail.across.kind != "none":
        current += _load_current_at(rail.across, 2.0 * peak)
        resistance = math.nan
    if math.isfinite(chain.bleeder):
        current += peak / chain.bleeder
        resistance = 1.0 / (1.0 / resistance + 1.0 / chain.bleeder)
    return current, resistance


def _load_current_at(load: Load, voltage: float) -> float:
    """Steady current of a load at a voltage; NaN if it has none. [A]"""
    if load.kind == "none":
        return 0.0
    if load.value is None:
        return math.nan
    if load.kind == "resistance":
        return voltage / load.value
    if load.kind == "current":
        return load.value
    if load.kind == "power":
        return _value("load-current-of-power", power=load.value, load_peak=voltage)
    return math.nan


def _reservoir(working: _Working, circuit: str, source: _Source, rail: _Rail) -> None:
    """Capacitor first: readings of the reservoir, and of the load where it stands straight across it."""
    chain = rail.chain
    capacitor = chain.capacitor
    direct = chain.is_plain and not rail.regulator
    formula_id, givens = _peak(circuit, source)
    voltages = [(f"{capacitor}.voltage", 1.0)]
    if direct:
        voltages.insert(0, (f"{rail.load_place}.voltage", rail.drawn))
    elif chain.is_plain and rail.regulator.startswith("U"):
        voltages.append((f"{rail.regulator}.input.voltage", rail.drawn))
    peak = math.nan
    for place, sign in voltages:
        peak = working.add(f"{place}.peak", formula_id, sign, **givens)
    frequency = source.frequency * source.pulses
    time = 1.0 / frequency
    current, resistance = _reservoir_draw(rail, peak)
    _reverse(working, circuit, source, rail, peak)
    if not math.isfinite(current) or current <= 0.0 or not source.is_sine:
        return
    working.circumstances.update(
        load_peak=peak, load_current=current, discharge_time=time, capacitance=chain.capacitance
    )
    resistive = math.isfinite(resistance)
    if resistive:
        working.circumstances["load_resistance"] = resistance
    ripple = mean = ripple_rms = math.nan
    for place, sign in voltages:
        ripple = working.add(
            f"{place}.ripple_peak_to_peak",
            "ripple-straight-line",
            load_current=current,
            recharge_frequency=frequency,
            capacitance=chain.capacitance,
            load_peak=peak,
        )
        if resistive:
            discharge = {
                "load_peak": peak,
                "load_resistance": resistance,
                "capacitance": chain.capacitance,
                "discharge_time": time,
            }
            working.add(f"{place}.ripple_peak_to_peak", "ripple-trade", **discharge)
            working.add(f"{place}.ripple_peak_to_peak", "ripple-exponential", **discharge)
        mean = working.add(
            f"{place}.mean", "load-mean-less-half-ripple", sign, load_peak=peak, ripple_peak_to_peak=ripple
        )
        time_constant = {
            "load_resistance": resistance,
            "capacitance": chain.capacitance,
            "recharge_frequency": frequency,
        }
        if resistive:
            working.add(f"{place}.mean", "load-mean-of-time-constant", sign, load_peak=peak, **time_constant)
        working.add(f"{place}.valley", "load-valley-less-ripple", sign, load_peak=peak, ripple_peak_to_peak=ripple)
        ripple_rms = working.add(f"{place}.ripple_rms", "ripple-rms-sawtooth", ripple_peak_to_peak=ripple)
        if resistive:
            working.add(f"{place}.ripple_factor", "ripple-factor-sawtooth", **time_constant)
        if mean > 0.0:
            working.add(f"{place}.ripple_factor", "ripple-factor", ripple_rms=ripple_rms, load_mean=mean)
            working.add(f"{place}.ripple_ratio", "ripple-ratio", ripple_peak_to_peak=ripple, load_mean=mean)
        working.add(
            f"{place}.ripple_frequency", "ripple-frequency", mains_frequency=source.frequency, pulses=source.pulses
        )
    drawn = _behind_the_reservoir(working, source, rail, mean, ripple_rms, direct)
    if direct:
        _steadiness(working, source, rail, peak, ripple)
        if resistive:
            _regulation_of_time_constant(working, rail, resistance, frequency)
            _behind_resistance(working, circuit, source, rail, peak, resistance)
    elif chain.is_plain:
        _regulated(working, rail, peak, ripple)
    steady = drawn if math.isfinite(drawn) else current
    _diode_mean(working, circuit, rail, steady)
    if circuit in _THREE_PHASE:
        return
    _pulses(working, circuit, source, rail, peak, ripple, steady)


def _steadiness(working: _Working, source: _Source, rail: _Rail, peak: float, ripple: float) -> None:
    """No-load voltage, load and line regulation of a reservoir that feeds the load directly."""
    place = rail.load_place
    if place != "load" or math.isfinite(rail.chain.bleeder):
        return  # a bleeder stays when the load is taken off
    working.add(
        f"{place}.voltage.no_load_mean", "load-peak-less-drops", rail.drawn,
        source_peak=source.peak, diode_drop=source.drop, diodes_in_path=source.in_path,
    )  # fmt: skip
    mean = _value("load-mean-less-half-ripple", load_peak=peak, ripple_peak_to_peak=ripple)
    if not mean > 0.0:
        return
    change = {"no_load_voltage": peak, "full_load_voltage": mean}
    working.add(f"{place}.voltage.regulation", "load-regulation", **change)
    working.add(f"{place}.voltage.regulation_on_no_load", "load-regulation-on-no-load", **change)
    if rail.load.kind == "resistance":
        working.add(
            f"{place}.voltage.line_regulation", "reservoir-line-regulation",
            source_peak=source.peak, diode_drop=source.drop, diodes_in_path=source.in_path,
            mains_high=source.high, mains_low=source.low,
        )  # fmt: skip


def _regulation_of_time_constant(working: _Working, rail: _Rail, resistance: float, frequency: float) -> None:
    """The regulation that the time constant alone gives."""
    if rail.load_place == "load" and not math.isfinite(rail.chain.bleeder):
        working.add(
            f"{rail.load_place}.voltage.regulation", "reservoir-regulation",
            load_resistance=resistance, capacitance=rail.chain.capacitance, recharge_frequency=frequency,
        )  # fmt: skip


def _behind_resistance(
    working: _Working, circuit: str, source: _Source, rail: _Rail, peak: float, resistance: float
) -> None:
    """A very large reservoir behind the resistance that the sheet states."""
    if source.resistance <= 0.0 or rail.load_place != "load" or circuit not in ("half-wave", "centre-tap", "bridge"):
        return
    angle = math.nan
    for diode in rail.diodes:
        angle = working.add(
            f"{diode}.conduction.angle", "large-capacitor-angle",
            resistance_ratio=source.resistance / resistance, pulses=source.pulses,
        )  # fmt: skip
    working.add("load.voltage.mean", "large-capacitor-mean", load_peak=peak, conduction_angle=angle)
    for diode in rail.diodes:
        working.add(
            f"{diode}.current.peak", "large-capacitor-current-peak",
            load_peak=peak, conduction_angle=angle, source_resistance=source.resistance,
        )  # fmt: skip
    if circuit != "centre-tap":
        working.add(
            "secondary.current.over_dc", "large-capacitor-current-ratio", conduction_angle=angle, pulses=source.pulses
        )


def _regulated(working: _Working, rail: _Rail, peak: float, ripple: float) -> None:
    """What of the reservoir's valley and ripple a regulator leaves."""
    place, output = rail.load_place, rail.regulator_output
    if rail.regulator_kind == "zener" and rail.regulator_slope > 0.0 and rail.regulator_resistor:
        slope = {"zener_resistance": rail.regulator_slope, "series_resistance": rail.regulator_resistor}
        if place == "load":
            working.add("load.voltage.ripple_peak_to_peak", "zener-ripple", input_ripple=ripple, **slope)
            working.add("load.output_resistance", "zener-output-resistance", **slope)
            working.add(
                "load.output_resistance", "zener-output-resistance-slope", zener_resistance=rail.regulator_slope
            )
    if not rail.regulator.startswith("U") or output is None:
        return
    valley = _value("load-valley-less-ripple", load_peak=peak, ripple_peak_to_peak=ripple)
    if rail.dropout is not None and valley > 0.0:
        working.add(
            f"{rail.regulator}.headroom.minimum", "headroom",
            input_valley=valley, output_voltage=output, dropout=rail.dropout,
        )  # fmt: skip
    if rail.rejection is not None:
        working.add(
            f"{place}.voltage.ripple_peak_to_peak", "ripple-behind-regulator",
            input_ripple=ripple, ripple_rejection=rail.rejection,
        )  # fmt: skip


def _behind_the_reservoir(
    working: _Working, source: _Source, rail: _Rail, mean: float, ripple_rms: float, direct: bool
) -> float:
    """The load behind reservoir, filter section or regulator; returns the mean load current by hand. [A]"""
    chain, load, place = rail.chain, rail.load, rail.load_place
    if mean <= 0.0:
        return math.nan
    extra = chain.bleeder if math.isfinite(chain.bleeder) else math.inf
    across = rail.across is not None and rail.across.kind != "none"
    if rail.regulator:
        output = rail.regulator_output
        current = math.nan if output is None else _load_current_at(load, output)
        if output is not None and rail.regulator_kind == "zener":
            resistor = rail.regulator_resistor
            if load.kind == "resistance" and load.value and resistor and chain.is_plain:
                current = working.add(
                    f"{rail.regulator}.current.mean",
                    "zener-current",
                    input_mean=mean,
                    zener_voltage=output,
                    series_resistance=resistor,
                    load_resistance=load.value,
                )
                if current > 0.0:
                    working.add(
                        f"{rail.regulator}.power.mean", "zener-power", zener_voltage=output, zener_current=current
                    )
                return (mean - output) / resistor
            return math.nan
        if output is not None and chain.is_plain and math.isfinite(current) and not across:
            working.add(
                f"{rail.regulator}.power.mean",
                "regulator-power",
                input_mean=mean,
                output_voltage=output,
                load_current=current,
            )
        return current + mean / extra
    if load.kind != "resistance" or not load.value or chain.has_bleeder_behind or across:
        return math.nan
    load_mean = mean
    if not direct:
        load_mean = working.add(
            f"{place}.voltage.mean",
            "section-mean",
            rail.drawn,
            input_mean=mean,
            series_resistance=chain.series_resistance,
            load_resistance=load.value,
        )
        _section_ripple(working, source, rail, ripple_rms)
        working.add(
            f"{place}.voltage.ripple_frequency",
            "ripple-frequency",
            mains_frequency=source.frequency,
            pulses=source.pulses,
        )
    _currents_of_mean(working, rail, load_mean, load.value)
    return load_mean / load.value + mean / extra


def _section_ripple(working: _Working, source: _Source, rail: _Rail, ripple_rms: float) -> None:
    """Ripple behind one filter section: a series part and a capacitor."""
    rest = rail.chain.rest
    if len(rest) != 2 or rest[1].kind != "capacitor" or not rest[0].value or not rest[1].value:
        return
    reading = f"{rail.load_place}.voltage.ripple_rms"
    frequency = source.frequency * source.pulses
    if rest[0].kind == "resistor":
        working.add(
            reading,
            "resistor-section-ripple",
            input_ripple=ripple_rms,
            series_resistance=rest[0].value,
            section_capacitance=rest[1].value,
            ripple_frequency=frequency,
        )
    else:
        working.add(
            reading,
            "choke-section-ripple",
            input_ripple=ripple_rms,
            inductance=rest[0].value,
            section_capacitance=rest[1].value,
            ripple_frequency=frequency,
        )


def _pulses(
    working: _Working, circuit: str, source: _Source, rail: _Rail, peak: float, ripple: float, current: float
) -> None:
    """The charging pulses: angles, peaks and means while conducting."""
    wave = "half-wave" if circuit in _HALF_WAVE else "full-wave"
    pulse = {"load_peak": peak, "ripple_peak_to_peak": ripple}
    for diode in rail.diodes:
        working.add(f"{diode}.current.peak", f"{wave}-diode-peak", load_current=current, **pulse)
        working.add(f"{diode}.current.mean_conducting", f"{wave}-diode-mean-conducting", load_current=current, **pulse)
        working.add(f"{diode}.conduction.angle", "conduction-angle-small-ripple", **pulse)
    if rail.load_place == "load":
        working.add("rectifier.conduction.angle", "rectifier-conduction-angle", pulses=source.pulses, **pulse)
    factor = WINDING_CURRENT_FACTORS.get(circuit)
    if factor is not None:
        charging = working.add(
            "secondary.current.rms", "winding-current-by-rule", load_current=current, winding_current_factor=factor
        )
        working.add(
            f"{rail.chain.capacitor}.current.rms",
            "capacitor-ripple-current",
            charging_current_rms=charging,
            load_current=current,
        )


def _choke_input(working: _Working, circuit: str, source: _Source, rail: _Rail) -> None:
    """Choke first: the mean, the choke's current, and the ripple of one section."""
    rest, load, place = rail.chain.rest, rail.load, rail.load_place
    _reverse(working, circuit, source, rail, None)
    choke, behind = rest[0], rest[1:]
    across = rail.across is not None and rail.across.kind != "none"
    one_section = all(part.kind in ("capacitor", "bleeder") for part in behind)
    if rail.regulator or across or not choke.value or not load.value or math.isfinite(rail.chain.bleeder):
        return
    if load.kind not in ("resistance", "current") or (rail.chain.has_bleeder_behind and not one_section):
        return
    bleeder = rail.chain.all_bleeders
    working.circumstances["inductance"] = choke.value
    working.places["choke"] = choke.designator
    before = {
        "source_peak": source.peak, "diode_drop": source.drop, "diodes_in_path": source.in_path,
        "series_resistance": rail.chain.series_resistance, "inductance": choke.value,
        "mains_frequency": source.frequency,
    }  # fmt: skip
    voltage = f"{place}.voltage.mean"
    through = f"{choke.designator}.current.mean"
    if load.kind == "resistance":
        together = 1.0 / (1.0 / load.value + 1.0 / bleeder)
        working.circumstances["load_resistance"] = together
        mean = working.add(voltage, "choke-input-mean", rail.drawn, load_resistance=together, **before)
        current = working.add(through, "choke-current-of-mean", rail.drawn, load_mean=mean, load_resistance=together)
        _currents_of_mean(working, rail, mean, load.value)
    elif math.isfinite(bleeder):
        beside = {"load_current": load.value, "bleeder": bleeder}
        mean = working.add(voltage, "choke-input-mean-with-bleeder", rail.drawn, **beside, **before)
        current = working.add(through, "choke-current-with-bleeder", rail.drawn, load_mean=mean, **beside)
    else:
        current = load.value
        mean = working.add(voltage, "choke-input-mean-of-current", rail.drawn, load_current=current, **before)
    _choke_without_load(working, source, rail, before, mean, bleeder if one_section else math.nan)
    _choke_current(working, circuit, source, rail, current)
    working.add(
        f"{place}.voltage.ripple_frequency", "ripple-frequency", mains_frequency=source.frequency, pulses=source.pulses
    )
    capacitors = [part for part in behind if part.kind == "capacitor" and part.value]
    if capacitors and one_section:
        _ripple_behind_choke(working, source, rail, capacitors, mean)


def _choke_without_load(
    working: _Working, source: _Source, rail: _Rail, before: Mapping[str, float], mean: float, bleeder: float
) -> None:
    """The output with the bleeder alone; without one it climbs to the peak. Then the regulation."""
    if rail.load_place != "load" or math.isnan(bleeder) or not mean > 0.0:
        return
    reading = "load.voltage.no_load_mean"
    if math.isfinite(bleeder):
        unloaded = working.add(reading, "choke-input-mean", load_resistance=bleeder, **before)
    else:
        unloaded = working.add(
            reading, "load-peak-less-drops",
            source_peak=source.peak, diode_drop=source.drop, diodes_in_path=source.in_path,
        )  # fmt: skip
    change = {"no_load_voltage": unloaded, "full_load_voltage": mean}
    working.add("load.voltage.regulation", "load-regulation", **change)
    working.add("load.voltage.regulation_on_no_load", "load-regulation-on-no-load", **change)


def _choke_current(working: _Working, circuit: str, source: _Source, rail: _Rail, mean: float) -> None:
    """The choke's current about its mean, and what it makes in diodes and winding."""
    choke = rail.chain.rest[0]
    ripple = _choke_ripple(source, choke.value or math.nan)
    both = {"choke_current_mean": mean, "ripple_current": ripple}
    working.add(f"{choke.designator}.current.peak", "choke-current-peak", rail.drawn, **both)
    working.add(f"{choke.designator}.current.valley", "choke-current-valley", rail.drawn, **both)
    rms = working.add(f"{choke.designator}.current.rms", "choke-current-rms", **both)
    resistance = float(getattr(choke.source, "resistance", 0.0))
    if resistance > 0.0:
        working.add(
            f"{choke.designator}.power.mean", "choke-loss", choke_current_rms=rms, series_resistance=resistance
        )
    _diode_mean(working, circuit, rail, mean)
    for diode in rail.diodes:
        working.add(f"{diode}.current.peak", "choke-current-peak", **both)
        working.add(f"{diode}.conduction.angle", "choke-input-diode-angle", pulses=source.pulses)
    if circuit == "bridge":
        working.add("secondary.current.rms", "choke-input-bridge-winding-current", choke_current_rms=rms)
    elif circuit == "centre-tap":
        for half in ("secondary_a", "secondary_b"):
            working.add(f"{half}.current.rms", "choke-input-half-winding-current", choke_current_rms=rms)


def _choke_ripple(source: _Source, inductance: float) -> float:
    """Peak of the ripple in the choke's current: a step on the way. [A]"""
    return _value(
        "choke-ripple-current",
        source_peak=source.peak, mains_frequency=source.frequency, inductance=inductance,
    )  # fmt: skip


def _ripple_behind_choke(
    working: _Working, source: _Source, rail: _Rail, capacitors: list[Part], mean: float
) -> None:
    """What the choke's ripple current leaves on the capacitors behind it."""
    place, inductance = rail.load_place, rail.chain.rest[0].value or math.nan
    ripple_current = _choke_ripple(source, inductance)
    section = {
        "mains_frequency": source.frequency, "capacitance": sum(part.value or 0.0 for part in capacitors)
    }  # fmt: skip
    ripple = working.add(
        f"{place}.voltage.ripple_peak_to_peak", "choke-input-ripple", ripple_current=ripple_current, **section
    )
    rms = working.add(f"{place}.voltage.ripple_rms", "ripple-rms-as-sine", ripple_peak_to_peak=ripple)
    working.add(f"{place}.voltage.ripple_factor", "choke-input-ripple-factor", inductance=inductance, **section)
    if mean > 0.0:
        working.add(f"{place}.voltage.ripple_factor", "ripple-factor", ripple_rms=rms, load_mean=mean)
        working.add(f"{place}.voltage.ripple_ratio", "ripple-ratio", ripple_peak_to_peak=ripple, load_mean=mean)
    if len(capacitors) == 1:
        working.add(
            f"{capacitors[0].designator}.current.rms", "choke-input-capacitor-current", ripple_current=ripple_current
        )


def _stacked(supply: Supply, source: _Source, rail: _Rail) -> Iterator[HandResult]:
    """Doublers and multipliers."""
    circuit = supply.rectifier.circuit
    working = _Working(source, rail, "")
    stages = float(supply.rectifier.stages) if circuit == "multiplier" else 1.0
    unloaded = working.add(
        "load.voltage.no_load_mean",
        "multiplier-no-load",
        source_peak=source.peak,
        diode_drop=source.drop,
        stages=stages,
    )
    for diode in rail.diodes:
        working.add(
            f"{diode}.reverse_voltage.peak",
            "doubler-reverse-voltage",
            source_peak=source.peak,
            diode_drop=source.drop,
        )
    current = _load_current_at(rail.load, unloaded)
    if math.isfinite(current) and current > 0.0 and not rail.regulator and not rail.chain.rest:
        for diode in rail.diodes:
            working.add(
                f"{diode}.current.mean", "diode-mean-current", load_current_mean=current, diodes_taking_turns=1.0
            )
        _stacked_under_load(working, supply, source, rail, current, stages, unloaded)
    yield from working.results


def _stacked_under_load(
    working: _Working, supply: Supply, source: _Source, rail: _Rail, current: float, stages: float, unloaded: float
) -> None:
    rectifier = supply.rectifier
    smoothing = rectifier.stage_capacitor
    if smoothing is None or not source.is_sine:
        return
    if rectifier.circuit == "full-wave-doubler":
        if rail.chain.capacitance == 0.0:
            working.add(
                "load.voltage.mean", "doubler-mean",
                source_peak=source.peak, diode_drop=source.drop, load_current=current,
                mains_frequency=source.frequency, stage_capacitance=smoothing.capacitance,
            )  # fmt: skip
        peak_givens = {"source_peak": source.peak, "diode_drop": source.drop, "diodes_in_path": 1.0}
        for number, capacitor in enumerate(("C1", "C2"), 1):
            # Each capacitor has a diode of its own, and a pulse a period from it.
            working.circumstances["charging_diode"] = float(number)
            peak = working.add(f"{capacitor}.voltage.peak", "load-peak-less-drops", **peak_givens)
            working.add(
                f"{capacitor}.voltage.ripple_peak_to_peak",
                "ripple-straight-line",
                load_current=current,
                recharge_frequency=source.frequency,
                capacitance=smoothing.capacitance,
                load_peak=peak,
            )
        del working.circumstances["charging_diode"]
    elif rail.chain.capacitance == 0.0 and rectifier.pump_capacitor is not None:
        cascade = {
            "load_current": current,
            "mains_frequency": source.frequency,
            "stage_capacitance": smoothing.capacitance,
            "stages": stages,
        }
        if math.isclose(rectifier.pump_capacitor.capacitance, smoothing.capacitance):
            fall = working.add("rectifier.voltage.droop", "cascade-droop", **cascade)
            working.add("load.voltage.mean", "cascade-mean", no_load_voltage=unloaded, voltage_drop=fall)
            working.add("load.voltage.ripple_peak_to_peak", "cascade-ripple", **cascade)
    working.add(
        "load.voltage.ripple_frequency", "ripple-frequency", mains_frequency=source.frequency, pulses=source.pulses
    )
