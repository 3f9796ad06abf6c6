"""A solved period: exact means, products, harmonics, extremes and instants of any output row."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from railwright.solver.advance import evaluate, falling_root, plain, taylor
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.integrals import Complex, harmonic_integrals, mean_integral, square_integral
from railwright.solver.pattern import Pattern, doubled, growth
from railwright.solver.period import Stretch
from railwright.solver.rows import Row, Rows, over_states, stack
from railwright.solver.steady import Steady

#: Highest order of the mains frequency that is read.
HIGHEST_HARMONIC = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """What is read off each of a list of rows; arrays (rows,), harmonics (rows, orders).

    `harmonics[:, n]` is the complex RMS of order n of 1/T, phase against cos at the period's start; order 0 is
    left at zero. Instants are seconds since the period began.
    """

    mean: Array
    rms: Array
    ripple_rms: Array
    maximum: Array
    minimum: Array
    when_maximum: Array
    when_minimum: Array
    harmonics: Complex


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A stretch of time with one pattern, by the names of the blocks' states."""

    start: float  # [s]
    end: float  # [s]
    states: dict[str, str]


@dataclass(frozen=True)
class Solution:
    """One steady period of a network."""

    equations: Equations
    steady: Steady
    other: Steady | None = None  # a second steady state, reached from the open-load voltage

    @property
    def period(self) -> float:
        """[s]"""
        return self.equations.period

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """The period in order."""
        return self.steady.run.stretches

    @cached_property
    def rows(self) -> Rows:
        """Makes output rows."""
        return Rows(self.equations)

    def _speed(self, pattern: Pattern) -> float:
        return self.equations._speed(pattern.motion)  # noqa: SLF001  (one family)

    # -- integrals over the period ---------------------------------------------------------

    @cached_property
    def _patterns(self) -> list[Pattern]:
        return list({id(s.pattern): s.pattern for s in self.stretches}.values())

    @cached_property
    def _first(self) -> dict[int, Array]:
        """Integral of X per pattern."""
        totals: dict[int, Array] = {}
        for s in self.stretches:
            p = s.pattern
            part = mean_integral(p.motion, s.states[0], s.end - s.start, self._speed(p))
            totals[id(p)] = totals.get(id(p), 0.0) + part
        return totals

    @cached_property
    def _large_means(self) -> Array:
        """The mean of every state that hardly leaves it; zero for the others.

        A current that comes and goes is left where it is: seen from its mean, the fast modes that keep it at nothing
        between its pulses would carry that mean.
        """
        mean = np.sum(list(self._first.values()), axis=0) / self.period
        highest = np.max([s.states.max(axis=0) for s in self.stretches], axis=0)
        lowest = np.min([s.states.min(axis=0) for s in self.stretches], axis=0)
        mean[highest - lowest >= np.abs(mean)] = 0.0
        mean[self.equations.layout.one] = 0.0
        result: Array = mean
        return result

    def _shifted(self, matrix: Array) -> Array:
        """A form or motion seen from coordinates that sit at the large means."""
        shift = np.eye(len(self._large_means))
        shift[:, -1] += self._large_means
        return matrix @ shift

    @cached_property
    def _second(self) -> dict[int, Array]:
        """Integral of X X' per pattern, X taken less its large means: nothing cancels in a small ripple on one."""
        totals: dict[int, Array] = {}
        back = np.eye(len(self._large_means))
        back[:, -1] -= self._large_means
        for s in self.stretches:
            p = s.pattern
            motion = back @ self._shifted(p.motion)
            part = square_integral(motion, back @ s.states[0], s.end - s.start, self._speed(p))
            totals[id(p)] = totals.get(id(p), 0.0) + part
        return totals

    @cached_property
    def _spectra(self) -> dict[int, Complex]:
        """Integral of X exp(-j n w t) per pattern; array (states, orders of 1/T)."""
        count = HIGHEST_HARMONIC * self.equations.network.mains_periods
        frequencies: Array = 2.0 * math.pi / self.period * np.arange(1.0, count + 1)
        back = np.eye(len(self._large_means))
        back[:, -1] -= self._large_means
        totals: dict[int, Complex] = {}
        for s in self.stretches:
            p = s.pattern
            motion = back @ self._shifted(p.motion)
            part = harmonic_integrals(motion, back @ s.states[0], s.end - s.start, self._speed(p), frequencies)
            part = part * np.exp(-1j * frequencies * s.start)
            totals[id(p)] = totals.get(id(p), 0.0) + part
        return totals

    def mean(self, row: Row) -> float:
        """1/T times the integral of a row."""
        weights = stack([row])
        return float(sum((over_states(weights, p) @ self._first[id(p)])[0] for p in self._patterns)) / self.period

    def product_mean(self, first: Row, second: Row) -> float:
        """1/T times the integral of the product of two rows: a power, from a voltage and a current."""
        return float(self.product_means([first], [second])[0])

    def product_means(self, first: Sequence[Row], second: Sequence[Row]) -> Array:
        """The same of each pair of rows."""
        weights, count = stack([*first, *second]), len(first)
        total = np.zeros(count)
        for p in self._patterns:
            forms = self._shifted(over_states(weights, p))
            total += ((forms[:count] @ self._second[id(p)]) * forms[count:]).sum(axis=1)
        return total / self.period

    def measures(self, rows: Sequence[Row], *, harmonics: bool = True) -> Measures:
        """Everything that is read off these rows, at once."""
        weights = stack(rows)
        count = len(rows)
        mean = np.zeros(count)
        for p in self._patterns:
            mean += over_states(weights, p) @ self._first[id(p)]
        mean /= self.period
        square, ripple = np.zeros(count), np.zeros(count)
        orders = HIGHEST_HARMONIC * self.equations.network.mains_periods
        spectrum = np.zeros((count, orders + 1), dtype=complex)
        for p in self._patterns:
            forms = self._shifted(over_states(weights, p))
            square += ((forms @ self._second[id(p)]) * forms).sum(axis=1)
            forms_less = forms.copy()
            forms_less[:, -1] -= mean
            ripple += ((forms_less @ self._second[id(p)]) * forms_less).sum(axis=1)
            if harmonics:
                spectrum[:, 1:] += forms_less @ self._spectra[id(p)]
        courses = self._courses(weights)
        maximum, when_maximum = self._extremes(courses, +1.0)
        minimum, when_minimum = self._extremes(courses, -1.0)
        return Measures(
            mean=mean,
            rms=np.sqrt(np.maximum(square, 0.0) / self.period),
            ripple_rms=np.sqrt(np.maximum(ripple, 0.0) / self.period),
            maximum=maximum,
            minimum=minimum,
            when_maximum=when_maximum,
            when_minimum=when_minimum,
            harmonics=np.asarray(spectrum * (math.sqrt(2.0) / self.period), dtype=complex),
        )

    # -- extremes and instants ---------------------------------------------------------

    def _courses(self, weights: tuple[Array, Array]) -> list[_Course]:
        """Rows along the period, as far as its steps show them."""
        courses = []
        for s in self.stretches:
            forms = over_states(weights, s.pattern)
            rates = forms @ s.pattern.motion
            courses.append(_Course(s, forms, rates, values=s.states @ forms.T, slopes=s.states @ rates.T))
        return courses

    def _extremes(self, courses: list[_Course], sign: float) -> tuple[Array, Array]:
        """Largest (sign +1) or smallest (sign -1) value of each row and when."""
        count = courses[0].values.shape[1] if courses else 0
        best, when = np.full(count, -np.inf), np.zeros(count)
        for course in courses:
            values = sign * course.values
            top = values.argmax(axis=0)
            value = values[top, np.arange(count)]
            better = value > best
            best = np.where(better, value, best)
            when = np.where(better, course.stretch.times[top], when)
        for course in courses:
            s = course.stretch
            bound = _bound(sign * course.values, sign * course.slopes, s.times)
            noise = 1e-15 * np.abs(best)
            for step, row in np.argwhere(bound > best + noise):
                if bound[step, row] <= best[row]:
                    continue
                found = self._turning(s, int(step), sign * course.forms[row], sign * course.rates[row])
                if found is not None and found[1] > best[row]:
                    when[row], best[row] = found
        return sign * best, when

    def _turning(self, s: Stretch, step: int, form: Array, rate: Array) -> tuple[float, float] | None:
        """Where inside a step a rising row turns to fall; time and value."""
        pattern, cell = s.pattern, self.equations.cell
        state, time = s.states[step], float(s.times[step])
        span = float(s.times[step + 1]) - time
        finest = len(pattern.ladder) - 1
        smallest = cell / 2.0**finest
        if span > smallest * 1.000001:
            level = round(math.log2(cell / span))
            for level_now in range(level + 1, finest + 1):
                middle = pattern.ladder[level_now] @ state
                if rate @ middle > 0.0:
                    state, time = middle, time + cell / 2.0**level_now
            span = smallest
        columns = taylor(pattern.motion, state, span)
        slopes = plain(columns @ rate)
        if not (slopes[0] > 0.0 and evaluate(slopes, 1.0) < 0.0):
            return None
        root = falling_root(slopes, 1.0)
        return time + root * span, evaluate(plain(columns @ form), root)

    def ranges(self, rows: Sequence[Row]) -> tuple[Array, Array]:
        """Smallest and largest value of each row."""
        courses = self._courses(stack(rows))
        return self._extremes(courses, -1.0)[0], self._extremes(courses, +1.0)[0]

    def lowest(self, weights: tuple[Array, Array]) -> Array:
        """Smallest value of each of the rows stacked in `weights`; array (rows,)."""
        return self._extremes(self._courses(weights), -1.0)[0]

    def highest(self, weights: tuple[Array, Array]) -> Array:
        """Largest value of each of the rows stacked in `weights`; array (rows,)."""
        return self._extremes(self._courses(weights), +1.0)[0]

    def instants(self, row: Row, level: float) -> list[float]:
        """When a row passes `level` (in either direction, jumps included), in order. [s]"""
        weights = stack([row])
        found: list[float] = []
        before: float | None = None
        for s in self.stretches:
            form = over_states(weights, s.pattern)[0].copy()
            form[-1] -= level
            values = s.states @ form
            if before is not None and before * values[0] < 0.0:
                found.append(s.start)
            for step in np.flatnonzero(values[:-1] * values[1:] < 0.0):
                found.append(self._passing(s, int(step), form))
            exact = np.flatnonzero(values[1:-1] == 0.0) + 1
            found.extend(float(s.times[k]) for k in exact)
            before = float(values[-1])
        return sorted(found)

    def _passing(self, s: Stretch, step: int, form: Array) -> float:
        pattern, cell = s.pattern, self.equations.cell
        state, time = s.states[step], float(s.times[step])
        span = float(s.times[step + 1]) - time
        form = form if form @ state > 0.0 else -form
        finest = len(pattern.ladder) - 1
        smallest = cell / 2.0**finest
        if span > smallest * 1.000001:
            for level in range(round(math.log2(cell / span)) + 1, finest + 1):
                middle = pattern.ladder[level] @ state
                if form @ middle > 0.0:
                    state, time = middle, time + cell / 2.0**level
            span = smallest
        coefficients = plain(taylor(pattern.motion, state, span) @ form)
        return time + falling_root(coefficients, 1.0) * span

    def state_at(self, time: float) -> tuple[Pattern, Array]:
        """The pattern and state at an instant (on a switching instant: just after it)."""
        for s in reversed(self.stretches):
            if time >= s.start:
                break
        k = int(np.clip(np.searchsorted(s.times, time, side="right") - 1, 0, len(s.times) - 1))
        state, left = s.states[k], time - float(s.times[k])
        step = self.equations.cell
        for exponential in s.pattern.ladder:
            while left >= step:
                state = exponential @ state
                left -= step
            step *= 0.5
        if left > 0.0:
            state = taylor(s.pattern.motion, state, left).sum(axis=0)
        return s.pattern, state

    def values(self, rows: Sequence[Row], time: float) -> Array:
        """Rows at one instant; array (rows,)."""
        pattern, state = self.state_at(time)
        result: Array = over_states(stack(rows), pattern) @ state
        return result

    def absolute_mean(self, row: Row, about: float) -> float:
        """Mean of abs(row - about)."""
        instants = [0.0, *self.instants(row, about), self.period]
        weights = stack([row])
        total = 0.0
        edges = sorted({*instants, *(s.start for s in self.stretches), self.period})
        for start, end in zip(edges, edges[1:], strict=False):
            if end - start <= 1e-15 * self.period:
                continue
            pattern, state = self.state_at(start + 1e-16 * self.period)
            form = over_states(weights, pattern)[0].copy()
            form[-1] -= about
            total += abs(float(form @ mean_integral(pattern.motion, state, end - start, self._speed(pattern))))
        return total / self.period

    def sample(self, rows: Sequence[Row], points: int) -> tuple[Array, Array]:
        """Waveforms for drawing: times (n,) with both sides of every switching instant, values (n, rows)."""
        weights = stack(rows)
        step = self.period / points
        times: list[Array] = []
        values: list[Array] = []
        for s in self.stretches:
            span = s.end - s.start
            inner = max(1, math.ceil(span / step))
            grid = s.start + span * np.arange(inner + 1) / inner
            carry = _power(s.pattern, span / inner, self._speed(s.pattern))
            states = np.empty((inner + 1, len(s.states[0])))
            states[0] = s.states[0]
            for k in range(inner):
                states[k + 1] = carry @ states[k]
            times.append(grid)
            values.append(states @ over_states(weights, s.pattern).T)
        return np.concatenate(times), np.concatenate(values)

    # -- patterns ---------------------------------------------------------

    @cached_property
    def intervals(self) -> tuple[Interval, ...]:
        """The period by states of the blocks; neighbours that are alike are joined."""
        found: list[Interval] = []
        for s in self.stretches:
            states = {b.name: b.states[k].name for b, k in zip(self.equations.blocks, s.pattern.key[1:], strict=True)}
            for guard in s.pattern.idle:  # at its threshold without a way back for the current: it doesn't conduct
                states[self.equations.blocks[s.pattern.owners[guard]].name] = "off"
            if found and found[-1].states == states:
                found[-1] = Interval(start=found[-1].start, end=s.end, states=states)
            else:
                found.append(Interval(start=s.start, end=s.end, states=states))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class _Course:
    """Rows over the state and their rates in one stretch, and what both are at its steps; array (steps + 1, rows)."""

    stretch: Stretch
    forms: Array
    rates: Array
    values: Array
    slopes: Array


def _power(pattern: Pattern, step: float, speed: float) -> Array:
    """exp(M step)."""
    halvings = max(0, math.ceil(math.log2(max(speed * step / 0.5, 1.0))))
    grown = growth(pattern.motion, step / 2**halvings)
    for _ in range(halvings):
        grown = doubled(grown)
    result: Array = np.eye(len(grown)) + grown
    return result


def _bound(values: Array, slopes: Array, times: Array) -> Array:
    """Upper bound of a row inside each step that rises at its start and falls at its end; array (steps, rows)."""
    step = np.diff(times)[:, None]
    rise, fall = slopes[:-1], slopes[1:]
    turns = (rise > 0.0) & (fall < 0.0)
    spread = np.where(turns, rise - fall, 1.0)
    meet = (values[1:] - values[:-1] - fall * step) / spread
    bound = np.where(turns, values[:-1] + rise * np.clip(meet, 0.0, step), -np.inf)
    return bound
