"""A supply solved: its readings in columns, its waveforms, its proof."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from railwright.handbook.by_hand import HandResult, by_hand
from railwright.handbook.why import explain
from railwright.instruments import Observation, Reader, Value
from railwright.network import Network, build
from railwright.network.exponential import FINER
from railwright.network.tuning import Tuning
from railwright.quantities import format_quantity
from railwright.readings import HandValue, Reading, define, split, unit_of
from railwright.solver import NoProvableAnswer, Proof, Solution, prove, solve_tuned
from railwright.solver.rows import stack
from railwright.supply import read_sheet, read_text, with_mains, without_load
from railwright.supply.model import Load, Loads, Supply

if TYPE_CHECKING:
    from railwright.study.start_up import StartUp

__all__ = ["ConductionInterval", "Readings", "Study", "Waveform", "read_sheet", "read_text", "solve"]

Array = NDArray[np.float64]

#: Models that a supply can be solved at.
MODELS = ("ideal", "textbook", "physical")
#: Distance from the exponential law, at `physical`, beyond which finer pieces are taken.
LAW_LIMIT = 1e-3
#: Circuits whose output falls stage by stage under load: it has a reading of its own.
CIRCUITS_WITH_DROOP = ("full-wave-doubler", "half-wave-doubler", "multiplier")
#: Share of a neighbour's state from which a solve begins: from above nothing conducts at first.
BELOW = 0.9
#: Least relative error bound that is given at `physical`.
LEAST_BOUND = 1e-4
#: Change of the load for the output resistance, either way (a choice of the reading's definition).
_STEP = 0.01


#: Of a reading, its computed value and all computed values: what is reckoned by hand, and why it differs.
HandColumn: TypeAlias = Callable[[str, float | None, Mapping[str, float]], tuple[tuple[HandValue, ...], str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Waveform:
    """A voltage or current over one steady period.

    times : array (points,)
        From 0 to the period; a switching instant stands twice, once for each side. [s]
    values : array (points,)
        [V] or [A]
    """

    times: Array
    values: Array
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductionInterval:
    """A stretch of the period with one set of diodes conducting."""

    start: float  # [deg]
    end: float  # [deg]
    on: tuple[str, ...]
    blocking: Mapping[str, float]  # largest reverse voltage of each other diode in this interval [V]
    states: Mapping[str, str]  # of the other blocks, if they have any

    def to_json(self) -> dict[str, Any]:
        """As in the contract of `solve --json`."""
        return {
            "from_degrees": self.start,
            "to_degrees": self.end,
            "on": list(self.on),
            "blocking": dict(self.blocking),
            "states": dict(self.states),
        }


def solve(
    supply: Supply,
    model: str = "textbook",
    *,
    proved: bool = True,
    tuning: Tuning | None = None,
    start: Array | None = None,
) -> Study:
    """Solve a supply.

    Parameters
    ----------
    supply : Supply
        Read from a sheet.
    model : str
        `ideal`, `textbook` or `physical`.
    proved : bool
        Work out the proof now and refuse an answer that fails it; otherwise the proof is made when asked for.
    tuning : Tuning or None
        A neighbour's fit of curved laws, to begin from.
    start : array or None
        A neighbour's state, to begin from: below the steady one.

    Raises
    ------
    NotSolvedYet
        If the sheet holds what no network can be built for yet.
    NoProvableAnswer
        If the circuit has no steady state that can be proved.
    ValueError
        For an unknown model.
    """
    if model not in MODELS:
        raise ValueError(f'"{model}" is no model. The models are {", ".join(MODELS)}.')
    solution, tuning = solve_tuned(lambda fit: build(supply, model, fit), tuning, start)
    study = Study(supply=supply, model=model, solution=solution, tuning=tuning)
    if not proved:
        return study
    # At a low EMF the diodes' curve is large beside it: finer pieces until the law is met.
    while study.network.laws and study.proof.diode_law > LAW_LIMIT and tuning.slopes < FINER[-1]:
        finer = replace(tuning, slopes=next(slopes for slopes in FINER if slopes > tuning.slopes))
        solution, tuning = solve_tuned(lambda fit: build(supply, model, fit), finer, solution.steady.start)
        study = Study(supply=supply, model=model, solution=solution, tuning=tuning)
    study.proof.require()
    return study


class Readings(Mapping[str, Reading]):
    """The readings of a study by id; those that need further solves are made when first asked for."""

    def __init__(self, study: Study, values: Mapping[str, Value], later: Mapping[str, Callable[[], Value]]) -> None:
        self._study, self._values, self._later = study, dict(values), later
        self._made: dict[str, Reading] = {}

    def __getitem__(self, reading: str) -> Reading:
        if reading not in self._made:
            if reading not in self._values:
                if reading not in self._later:
                    raise KeyError(reading)
                self._values[reading] = self._later[reading]()
            self._made[reading] = self._study._pair(reading, self._values[reading])  # noqa: SLF001
        return self._made[reading]

    def __iter__(self) -> Iterator[str]:
        yield from self._values
        yield from (reading for reading in self._later if reading not in self._values)

    def __len__(self) -> int:
        return len({*self._values, *self._later})

    def __contains__(self, reading: object) -> bool:
        return reading in self._values or reading in self._later

    def ask(self, reading: str) -> Reading:
        """A reading by name: one that this supply doesn't have is null, with the reason.

        Raises
        ------
        UnknownReading
            If no supply has it.
        """
        if reading in self:
            return self[reading]
        further = self._study.further(reading)
        if further is not None:
            return further
        names = tuple(self._study.network.places)
        define(reading, names=names)
        return Reading(id=reading, value=None, unit=unit_of(reading), reason=self._study._why_not(reading))  # noqa: SLF001

    def value(self, reading: str) -> float:
        """A reading's value in its own unit; not a number where there is none."""
        found = self.ask(reading).value
        return math.nan if found is None else found

    def computed(self, reading: str) -> float | None:
        """The computed column of a reading alone, in its own unit: nothing is worked by hand. None without a value."""
        if reading in self._values:
            return self._values[reading].value
        return self[reading].value if reading in self._later else None

    def to_frame(self) -> Any:
        """The readings as a pandas table (pandas must be installed)."""
        import pandas

        rows = [(r.id, r.value, r.unit, r.hand[0].value if r.hand else None, r.why) for r in self.values()]
        return pandas.DataFrame(rows, columns=["reading", "computed", "unit", "by hand", "why"]).set_index("reading")


class Study:
    """One supply at one model, solved: its readings in columns, its waveforms, its proof."""

    def __init__(
        self, *, supply: Supply, model: str, solution: Solution, tuning: Tuning, hand: HandColumn | None = None
    ) -> None:
        self.supply, self.model, self.solution, self.tuning = supply, model, solution, tuning
        self.network: Network = solution.equations.network
        self._hand = hand

    def with_hand(self, hand: HandColumn) -> Study:
        """The same solution with another column by hand, such as that of a course."""
        return Study(supply=self.supply, model=self.model, solution=self.solution, tuning=self.tuning, hand=hand)

    # -- what was solved ---------------------------------------------------------

    @property
    def title(self) -> str:
        """The sheet's title."""
        return self.supply.title

    @property
    def period(self) -> float:
        """Common period of mains and loads. [s]"""
        return self.network.period

    @property
    def emf(self) -> Mapping[str, float]:
        """RMS of each winding section's EMF as this model takes it. [V]"""
        return self.network.emf

    @property
    def iterations(self) -> int:
        """Periods run to find the steady state."""
        return self.solution.steady.iterations

    @property
    def notes(self) -> tuple[str, ...]:
        """What the output must say about how the sheet was taken, and of a second steady state."""
        return (*self.network.notes, *self._second_state)

    @cached_property
    def _second_state(self) -> tuple[str, ...]:
        if self.solution.other is None or "load" not in self.observation.voltages:
            return ()
        row = self.observation.voltages["load"].row
        high = Solution(self.solution.equations, self.solution.other).mean(row)
        low = self.observation.voltages["load"].mean
        return (
            f"The load rests at {format_quantity(low, 'V')} when switched on from rest. Once charged it would hold "
            f"{format_quantity(high, 'V')}: the supply doesn't start into this constant-power load.",
        )

    @cached_property
    def proof(self) -> Proof:
        """The six balances."""
        return prove(self.solution)

    @cached_property
    def _reader(self) -> Reader:
        return Reader(self.supply, self.network, self.solution)

    @property
    def observation(self) -> Observation:
        """The measured waves and conductions behind the readings."""
        return self._reader.seen

    # -- readings ---------------------------------------------------------

    @cached_property
    def readings(self) -> Readings:
        """All readings that this supply has."""
        later: dict[str, Callable[[], Value]] = {}
        if not self.supply.is_dual:
            later = {
                "load.voltage.no_load_mean": lambda: self._no_load,
                "load.voltage.regulation": lambda: self._regulation(on_no_load=False),
                "load.voltage.regulation_on_no_load": lambda: self._regulation(on_no_load=True),
                "load.voltage.line_regulation": self._line_regulation,
                "load.output_resistance": self._output_resistance,
            }
            if self.supply.rectifier.circuit in CIRCUITS_WITH_DROOP:
                later["rectifier.voltage.droop"] = self._droop
        return Readings(self, self._reader.read(), later)

    @cached_property
    def _by_hand(self) -> Mapping[str, Sequence[HandResult]]:
        """The working by hand, by reading."""
        found: dict[str, list[HandResult]] = {}
        clips = [p for p in self.supply.probes if p.clip_earthed]
        if self.supply.faults or (len(clips) > 1 and len({p.negative for p in clips}) > 1):
            return found  # nobody's textbook has a formula for a broken supply, or one bridged by two earthed clips
        for result in by_hand(self.supply, self.model):
            found.setdefault(result.reading, []).append(result)
        return found

    @cached_property
    def _facts(self) -> Mapping[str, float]:
        """Computed values that the explanations may use."""
        facts = {
            reading: value.value
            for reading, value in self.readings._values.items()  # noqa: SLF001
            if value.value is not None and ".harmonic_" not in reading
        }
        return facts

    def _pair(self, reading: str, value: Value) -> Reading:
        """Put the columns of one reading together."""
        names = tuple(self.network.places)
        unit = define(reading, names=names).unit
        if self._hand is not None:
            column, why = self._hand(reading, value.value, self._facts)
            return Reading(
                id=reading, value=value.value, unit=unit, hand=column, why=why, reason=value.reason,
                bound=self._bound(reading, value.value),
            )  # fmt: skip
        working = self._by_hand.get(reading, ())
        hand = sorted(
            (
                HandValue.beside(value.value, formula=result.formula, value=result.value, valid=result.valid)
                for result in working
            ),
            key=lambda h: abs(h.difference) if h.difference is not None else math.inf,
        )
        why = ""
        if hand and value.value is not None:
            best = next(result for result in working if result.formula == hand[0].formula)
            explanation = explain(best, {**self._facts, reading: value.value})
            why = explanation.sentence if explanation is not None else ""
        return Reading(
            id=reading, value=value.value, unit=unit, hand=tuple(hand), why=why, reason=value.reason,
            bound=self._bound(reading, value.value),
        )  # fmt: skip

    # -- the bound of the physical model ---------------------------------------------------------

    @cached_property
    def _coarser(self) -> Mapping[str, Value] | None:
        """The same readings with diodes of fewer straight pieces; None where the diodes' law is straight itself."""
        if not self.network.laws or self.tuning.slopes < Tuning().slopes:
            return None
        fewer = replace(self.tuning, slopes=self.tuning.slopes // 2)
        other = solve(self.supply, self.model, proved=False, tuning=fewer, start=self.solution.steady.start)
        return other.readings._values  # noqa: SLF001

    def _bound(self, reading: str, value: float | None) -> float | None:
        """Relative error bound of a reading: its change from fewer pieces to more, at least 1e-4."""
        if value is None or self._coarser is None:
            return None
        other = self._coarser.get(reading)
        if other is None or other.value is None:
            return LEAST_BOUND if reading not in self._coarser else None
        return max(abs(value - other.value) / abs(value) if value else 0.0, LEAST_BOUND)

    def _why_not(self, reading: str) -> str:
        """Why this supply doesn't have a reading that the list knows."""
        place = split(reading).place
        if place not in self.network.places:
            have = ", ".join(name for name in self.network.places)
            return f"This supply has no {place}. It has readings at {have}."
        measure = reading.rsplit(".", 1)[-1]
        if measure in ("junction_temperature", "core_temperature", "life", "rms_at_rated_frequency"):
            return "It needs the parts' data, which are not read yet."
        if self.supply.is_dual and place == "load":
            return "On a dual rail the load is read at load_positive, load_negative and load_across."
        return "This supply doesn't have it."

    @cached_property
    def _from_switch_on(self) -> Mapping[str, Reading]:
        return self.start_up().readings

    @cached_property
    def _after_switch_off(self) -> Mapping[str, Reading]:
        from railwright.study.discharge import discharge

        return discharge(self.supply, self.model).readings

    def further(self, reading: str) -> Reading | None:
        """A reading of start-up or discharge, which are run when such a reading is named; None for any other."""
        if "inrush" in reading or reading in ("load.voltage.settling_time", "load.voltage.overshoot_peak"):
            return self._from_switch_on.get(reading)
        if reading.startswith(("supply.discharge.", "supply.stored_energy")):
            return self._after_switch_off.get(reading)
        return None

    # -- readings that need further solves ---------------------------------------------------------

    def _mean_at(self, supply: Supply) -> float:
        return self._neighbour(supply).observation.mean_voltage("load")

    def _neighbour(self, supply: Supply) -> Study:
        """Solve a supply that differs a little, from just below this one's state and with this one's fit."""
        start = BELOW * self.solution.steady.start if self.network.laws else None
        return solve(supply, self.model, proved=False, tuning=self.tuning, start=start)

    @cached_property
    def _no_load(self) -> Value:
        try:
            return Value(value=self._mean_at(without_load(self.supply)))
        except NoProvableAnswer as failure:
            return Value(value=None, reason=f"The unloaded circuit has no answer. {failure}")

    def _droop(self) -> Value:
        if self._no_load.value is None:
            return self._no_load
        return Value(value=self._no_load.value - self.observation.voltages["load"].mean)

    def _regulation(self, *, on_no_load: bool) -> Value:
        if self._no_load.value is None:
            return self._no_load
        full = self.observation.voltages["load"].mean
        base = self._no_load.value if on_no_load else full
        if base == 0.0:
            return Value(value=None, reason="The mean is zero, so there is nothing to divide by.")
        return Value(value=(self._no_load.value - full) / base)

    def _line_regulation(self) -> Value:
        tolerance = self.supply.mains.tolerance
        try:
            high = self._mean_at(with_mains(self.supply, 1.0 + tolerance.plus))
            low = self._mean_at(with_mains(self.supply, 1.0 - tolerance.minus))
        except NoProvableAnswer as failure:
            return Value(value=None, reason=f"At an end of the mains range there is no answer. {failure}")
        if low == 0.0:
            return Value(value=None, reason="The mean at low mains is zero, so there is nothing to divide by.")
        return Value(value=(high - low) / low)

    def _output_resistance(self) -> Value:
        load = self.supply.loads.single
        if load is None or load.kind not in ("resistance", "current") or not load.value:
            return Value(value=None, reason="It needs a load whose current can be changed a little.")
        volts, amperes = [], []
        for factor in (1.0 - _STEP, 1.0 + _STEP):
            changed = replace(self.supply, loads=Loads(single=_scaled(load, factor)))
            other = self._neighbour(changed).observation
            volts.append(other.voltages["load"].mean)
            amperes.append(other.currents["load"].mean)
        if amperes[0] == amperes[1]:
            return Value(value=None, reason="The load current doesn't change with the load.")
        return Value(value=-(volts[1] - volts[0]) / (amperes[1] - amperes[0]))

    # -- waveforms and instants ---------------------------------------------------------

    @property
    def quantities(self) -> tuple[str, ...]:
        """Every waveform's name: a place and `.voltage` or `.current`."""
        seen = self.observation
        return (*(f"{n}.voltage" for n in seen.voltages), *(f"{n}.current" for n in seen.currents))

    def _wave_row(self, name: str) -> tuple[Any, str, float]:
        place, _, kind = name.rpartition(".")
        waves = {"voltage": self.observation.voltages, "current": self.observation.currents}.get(kind, {})
        if place not in waves:
            raise KeyError(f'There is no waveform "{name}". There are: {", ".join(self.quantities)}.')
        shift = 0.0
        if kind == "current" and self.network.places[place].less_mean:
            shift = self.solution.mean(waves[place].row)
        return waves[place].row, "V" if kind == "voltage" else "A", shift

    def waveform(self, name: str, points: int = 720) -> Waveform:
        """A waveform over one steady period, such as `load.voltage` or `D1.current`.

        Raises
        ------
        KeyError
            If there is no such place or quantity.
        """
        return self.waveforms([name], points)[name]

    def waveforms(self, names: Sequence[str], points: int = 720) -> dict[str, Waveform]:
        """Several waveforms on one time axis."""
        rows = [self._wave_row(name) for name in names]
        times, values = self.solution.sample([row for row, _, _ in rows], points)
        return {
            name: Waveform(times=times, values=values[:, k] - shift, unit=unit)
            for k, (name, (_, unit, shift)) in enumerate(zip(names, rows, strict=True))
        }

    @cached_property
    def conduction(self) -> tuple[ConductionInterval, ...]:
        """Which diodes conduct, from 0 to 360 degrees (times the mains periods in the common period)."""
        diodes = self.observation.diodes
        scale = self.observation.degrees_per_second
        rows = [self.solution.rows.voltage(p.minus, p.plus) for p in self._places(diodes)]
        found: list[ConductionInterval] = []
        edges = [(i.start, i.end, i.states) for i in self.solution.intervals]
        edges = [e for e in edges if (e[1] - e[0]) * scale > 1e-9] or edges
        for start, end, states in edges:
            on = tuple(name for name in diodes if states.get(name, "off") != "off")
            reverse = self._largest(rows, start, end)
            blocking = {name: max(float(v), 0.0) for name, v in zip(diodes, reverse, strict=True) if name not in on}
            others = {name: state for name, state in states.items() if name not in diodes and name != "load"}
            found.append(
                ConductionInterval(start=start * scale, end=end * scale, on=on, blocking=blocking, states=others)
            )
        return _closed(found, 360.0 * self.network.mains_periods)

    def _places(self, names: Sequence[str]) -> list[Any]:
        return [self.network.places[name] for name in names]

    def _largest(self, rows: Sequence[Any], start: float, end: float) -> Array:
        """Largest value of each row between two instants."""
        if not rows:
            return np.zeros(0)
        inside = [s for s in self.solution.stretches if s.start < end and s.end > start]
        part = replace(self.solution.steady, run=replace(self.solution.steady.run, stretches=tuple(inside)))
        return Solution(self.solution.equations, part).highest(stack(rows))

    def _time(self, degrees: float) -> float:
        whole = 360.0 * self.network.mains_periods
        return (degrees % whole) / self.observation.degrees_per_second

    def currents_at(self, degrees: float) -> dict[str, float]:
        """Current of every part and place at an instant, each in its own direction. [A]"""
        waves = self.observation.currents
        values = self.solution.values([w.row for w in waves.values()], self._time(degrees))
        found = {name: float(value) for name, value in zip(waves, values, strict=True)}
        for name, place in self.network.places.items():
            if place.less_mean and name in found:
                found[name] -= self.solution.mean(waves[name].row)
        return found

    def voltages_at(self, degrees: float) -> dict[str, float]:
        """Voltage of every place, and of every node against its island's reference, at an instant. [V]"""
        waves = self.observation.voltages
        names = list(self.network.nodes)
        rows = [w.row for w in waves.values()]
        rows += [self.solution.rows.voltage(self.network.nodes[n], self.network.ground) for n in names]
        values = self.solution.values(rows, self._time(degrees))
        found = {name: float(value) for name, value in zip(names, values[len(waves) :], strict=True)}
        found.update((name, float(value)) for name, value in zip(waves, values, strict=False))
        return found

    def start_up(self) -> StartUp:
        """This supply from switch-on at its worst angle, at the same model."""
        from railwright.study.start_up import start_up

        return start_up(self.supply, self.model)

    def explain(self, reading: str) -> str:
        """Why by hand and computed differ for a reading."""
        return self.readings.ask(reading).why

    # -- output ---------------------------------------------------------

    def to_json(self, readings: Sequence[str] | None = None) -> dict[str, Any]:
        """The object that `solve --json` prints."""
        chosen = [self.readings.ask(r) for r in readings] if readings else list(self.readings.values())
        return {
            "title": self.title,
            "model": self.model,
            "period": self.period,
            "emf": dict(self.emf),
            "readings": {r.id: r.to_json() for r in chosen},
            "conduction": [interval.to_json() for interval in self.conduction],
            "proof": self.proof.to_json(),
            "iterations": self.iterations,
            "notes": list(self.notes),
        }


def _scaled(load: Load, factor: float) -> Load:
    assert load.value is not None
    return replace(load, value=load.value * factor)


def _closed(intervals: list[ConductionInterval], whole: float) -> tuple[ConductionInterval, ...]:
    """The intervals with their ends made to meet, from 0 to the whole period."""
    if not intervals:
        return ()
    edges = [0.0, *(i.start for i in intervals[1:]), whole]
    return tuple(replace(i, start=a, end=b) for i, a, b in zip(intervals, edges, edges[1:], strict=False))
