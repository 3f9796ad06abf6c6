"""Everything that is measured once of a solution: each place's voltage and current, and when each diode conducts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from railwright.network.network import Network, Place
from railwright.solver.elimination import Array
from railwright.solver.integrals import Complex
from railwright.solver.rows import Row
from railwright.solver.solution import Measures, Solution

#: Share of a waveform's own peak below which a mean or valley is rounding.
ROUNDING = 1e-11
#: Share of its own peak above which a diode of a smooth law counts as conducting (readings, conventions).
CONDUCTS = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Wave:
    """One voltage or current over the period; values in V or A, instants in s."""

    row: Row
    mean: float
    rms: float
    ripple_rms: float
    maximum: float
    minimum: float
    when_maximum: float
    when_minimum: float
    harmonics: Complex  # complex RMS of orders of the mains frequency, 0 … 40
    lines: Array  # RMS of orders of 1/T

    @property
    def _peaks_above(self) -> bool:
        """Whether the peak is the maximum; of two that are equal but for rounding, it is."""
        return abs(self.maximum) >= abs(self.minimum) * (1.0 - 1e-9)

    @property
    def peak(self) -> float:
        """The value farthest from zero, with its sign."""
        return self.maximum if self._peaks_above else self.minimum

    @property
    def when_peak(self) -> float:
        """When it stands at its peak. [s]"""
        return self.when_maximum if self._peaks_above else self.when_minimum

    @property
    def valley(self) -> float:
        """The value nearest to zero, with its sign; zero if the wave passes zero."""
        if self.maximum > 0.0 > self.minimum:
            return 0.0
        return self.minimum if abs(self.minimum) <= abs(self.maximum) else self.maximum


@dataclass(frozen=True, slots=True, kw_only=True)
class Conduction:
    """When something conducts: pulses as (start, end) in degrees of the mains, within one common period."""

    pulses: tuple[tuple[float, float], ...]
    periods: int  # mains periods in the common period
    always: bool = False

    @property
    def angle(self) -> float:
        """Sum per mains period. [deg]"""
        if self.always:
            return 360.0
        return sum(end - start for start, end in self.pulses) / self.periods

    @property
    def count(self) -> float:
        """Pulses per mains period."""
        return (1 if self.always else len(self.pulses)) / self.periods


class Observation:
    """The waves and conductions of one solution, each made when first asked for."""

    def __init__(self, network: Network, solution: Solution) -> None:
        self.network, self.solution = network, solution

    # -- waves ---------------------------------------------------------

    @property
    def voltages(self) -> dict[str, Wave]:
        """The voltage at every place that has one."""
        return self._waves[0]

    @property
    def currents(self) -> dict[str, Wave]:
        """The current at every place that has one."""
        return self._waves[1]

    def mean_voltage(self, name: str) -> float:
        """The mean voltage at a place, for which no wave need be measured. [V]"""
        row = self.voltage_row(self.network.places[name])
        if row is None:
            raise KeyError(f"{name} has no voltage.")
        mean = self.solution.mean(row)
        largest = max(abs(float(end[0])) for end in self.solution.ranges([row]))
        return mean if abs(mean) > ROUNDING * largest else 0.0

    def voltage_row(self, place: Place) -> Row | None:
        """A place's voltage as a row."""
        if place.plus is None or place.minus is None:
            return None
        return self.solution.rows.voltage(place.plus, place.minus)

    def current_row(self, place: Place) -> Row | None:
        """A place's current as a row, its mean still in it."""
        if place.currents is None:
            return None
        total = self.solution.rows.nothing()
        for name, sign in place.currents:
            total = total + self.solution.rows.current(name).scaled(sign)
        return total

    @cached_property
    def _waves(self) -> tuple[dict[str, Wave], dict[str, Wave]]:
        """Voltages and currents by place, all measured at once."""
        voltages: dict[str, Wave] = {}
        currents: dict[str, Wave] = {}
        wanted: list[tuple[str, Place, Row]] = []
        for place in self.network.places.values():
            voltage, current = self.voltage_row(place), self.current_row(place)
            if voltage is not None:
                wanted.append(("voltage", place, voltage))
            if current is not None:
                wanted.append(("current", place, current))
        measures = self.solution.measures([row for _, _, row in wanted])
        for k, (kind, place, row) in enumerate(wanted):
            wave = self._wave(measures, k, row, less_mean=kind == "current" and place.less_mean)
            (voltages if kind == "voltage" else currents)[place.name] = wave
        return voltages, currents

    def _wave(self, measures: Measures, k: int, row: Row, *, less_mean: bool) -> Wave:
        mean = float(measures.mean[k])
        shift = mean if less_mean else 0.0
        maximum, minimum = float(measures.maximum[k]) - shift, float(measures.minimum[k]) - shift
        noise = ROUNDING * max(abs(maximum), abs(minimum))
        per_period = self.network.mains_periods
        return Wave(
            row=row,
            mean=0.0 if less_mean or abs(mean) <= noise else mean,
            rms=float(measures.ripple_rms[k] if less_mean else measures.rms[k]),
            ripple_rms=float(measures.ripple_rms[k]),
            maximum=0.0 if abs(maximum) <= noise else maximum,
            minimum=0.0 if abs(minimum) <= noise else minimum,
            when_maximum=float(measures.when_maximum[k]),
            when_minimum=float(measures.when_minimum[k]),
            harmonics=measures.harmonics[k, ::per_period],
            lines=np.abs(measures.harmonics[k]),
        )

    def power(self, place: str) -> float:
        """Mean of v i at a place. [W]"""
        voltage, current = self.voltages[place], self.currents[place]
        # Where the current is taken less its mean, its mean meets a voltage without one.
        return self.solution.product_mean(voltage.row, current.row)

    # -- conduction ---------------------------------------------------------

    @cached_property
    def diodes(self) -> tuple[str, ...]:
        """Designators of all diodes, the open and shorted ones too."""
        return tuple(p.name for p in self.network.places.values() if p.kind == "diode")

    @property
    def degrees_per_second(self) -> float:
        """Mains degrees in a second."""
        return 360.0 * self.network.mains_periods / self.network.period

    @cached_property
    def _exponential(self) -> frozenset[str]:
        """Diodes of a smooth law: they conduct while their current exceeds a share of their own peak."""
        return frozenset(self.network.wanted.diodes)

    def _on(self, name: str) -> list[tuple[float, float]]:
        """Stretches of time in which one block is on. [s]"""
        if name in self._exponential and name in self.currents:
            return self._above_threshold(name)
        return [(i.start, i.end) for i in self.solution.intervals if i.states.get(name, "off") != "off"]

    def _above_threshold(self, name: str) -> list[tuple[float, float]]:
        wave = self.currents[name]
        threshold = CONDUCTS * wave.maximum
        if threshold <= 0.0:
            return []
        period = self.network.period
        edges = [0.0, *self.solution.instants(wave.row, threshold), period]
        spans = []
        for start, end in zip(edges, edges[1:], strict=False):
            if end - start > 1e-12 * period:
                middle = float(self.solution.values([wave.row], 0.5 * (start + end))[0])
                if middle > threshold:
                    spans.append((start, end))
        return spans

    @cached_property
    def on_times(self) -> dict[str, list[tuple[float, float]]]:
        """Stretches of time in which each diode is on. [s]"""
        return {name: self._on(name) for name in self.diodes}

    def conducting(self, names: Iterable[str], *, at_least: int = 1) -> Conduction:
        """When at least so many of the named diodes are on."""
        spans = [self.on_times[name] if name in self.on_times else self._on(name) for name in names]
        edges = sorted({0.0, self.network.period, *(t for each in spans for span in each for t in span)})
        chosen = []
        for start, end in zip(edges, edges[1:], strict=False):
            middle = 0.5 * (start + end)
            if sum(any(a <= middle <= b for a, b in each) for each in spans) >= at_least:
                chosen.append((start, end))
        return self._joined(chosen)

    def time_in(self, block: str, states: Iterable[str]) -> float:
        """Degrees per mains period that a block spends in some of its states."""
        wanted = tuple(states)
        total = sum(i.end - i.start for i in self.solution.intervals if i.states.get(block) in wanted)
        return total * self.degrees_per_second / self.network.mains_periods

    def _joined(self, spans: list[tuple[float, float]]) -> Conduction:
        period, periods = self.network.period, self.network.mains_periods
        tiny = 1e-12 * period
        joined: list[list[float]] = []
        for start, end in spans:
            if end - start <= tiny:
                continue
            if joined and start - joined[-1][1] <= tiny:
                joined[-1][1] = end
            else:
                joined.append([start, end])
        if len(joined) == 1 and joined[0][0] <= tiny and period - joined[0][1] <= tiny:
            return Conduction(pulses=(), periods=periods, always=True)
        if len(joined) > 1 and joined[0][0] <= tiny and period - joined[-1][1] <= tiny:
            first = joined.pop(0)
            joined[-1][1] += first[1]
        scale = self.degrees_per_second
        return Conduction(pulses=tuple((a * scale, b * scale) for a, b in joined), periods=periods)
