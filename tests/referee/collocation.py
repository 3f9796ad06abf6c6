"""Steps nodal equations through a period by Radau's collocation of order five, and finds the period that repeats.

The method solves the differential and the algebraic equations together, so nothing has to be reduced; it damps what
is faster than a step. After every switching the steps begin tiny and grow, three of each size.

Method: E. Hairer and G. Wanner, Solving Ordinary Differential Equations II, 2nd ed., section IV.8 (Radau IIA, three
stages, order five; coefficients in table 5.6 of section IV.5; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from referee.integration import RefereeError
from referee.nodal import Nodal

_ROOT = math.sqrt(6.0)
#: Where in a step the equations are met, as shares of the step.
_NODES = np.array([(4.0 - _ROOT) / 10.0, (4.0 + _ROOT) / 10.0, 1.0])
_MATRIX = np.array(
    [
        [(88.0 - 7.0 * _ROOT) / 360.0, (296.0 - 169.0 * _ROOT) / 1800.0, (-2.0 + 3.0 * _ROOT) / 225.0],
        [(296.0 + 169.0 * _ROOT) / 1800.0, (88.0 + 7.0 * _ROOT) / 360.0, (-2.0 - 3.0 * _ROOT) / 225.0],
        [(16.0 - _ROOT) / 36.0, (16.0 + _ROOT) / 36.0, 1.0 / 9.0],
    ]
)
_INVERSE = np.linalg.inv(_MATRIX)
#: Weights of the quadrature over a step: the last row, as the last node is the step's end.
_WEIGHTS = _MATRIX[2]
#: From values at a step's start and nodes to a cubic at 33 places of it; and from its nodes alone to its start.
_FINE = np.linspace(0.0, 1.0, 33)


def _through(points: Any, places: Any) -> Any:
    """Lagrange's polynomials through the points, at the places: (points, places)."""
    every = range(len(points))
    return np.array(
        [np.prod([(places - points[k]) / (points[j] - points[k]) for k in every if k != j], axis=0) for j in every]
    )


_CUBIC = _through(np.array([0.0, *_NODES]), _FINE)
_BACK = _through(_NODES, np.zeros(1))[:, 0]

#: Longest step, shortest one (both as powers of a half of the period), and steps of each size.
LONGEST, SHORTEST, OF_EACH = 8, 26, 3
#: How far below zero a guard may read before it counts as crossed. [V, A, Vs]
EDGE = 1e-10
#: Change of the state over a period, relative to its size, at which it counts as steady.
ACCURACY = 1e-10
_EVENTS = 400

Mode = tuple[int, ...]


@dataclass(frozen=True)
class _Step:
    """Linear answer of one step: stages = from_state . z + from_drives . (stacked drives)."""

    from_state: Any
    from_drives: Any


@dataclass
class Record:
    """A period's steps: mode, start, length and stage values of each."""

    modes: list[Mode] = field(default_factory=list)
    starts: list[float] = field(default_factory=list)
    lengths: list[float] = field(default_factory=list)
    stages: list[Any] = field(default_factory=list)


class Stepper:
    """Runs a circuit through one period after another."""

    def __init__(self, circuit: Nodal, *, longest: int = LONGEST) -> None:
        self.circuit, self.longest = circuit, longest
        self.size = len(circuit.unknowns)
        self.balance = circuit.current_balance()
        rows = len(circuit.rows)
        if rows + len(self.balance) != self.size:
            raise RefereeError(f"{rows + len(self.balance)} equations for {self.size} unknowns")
        self.slope = np.zeros((self.size, self.size))
        for k, slope in enumerate(circuit.slopes):
            self.slope[k] = circuit.vector(slope)
        self.dynamic = np.flatnonzero(self.slope.any(axis=0))
        self.moving = np.flatnonzero(self.slope.any(axis=1))
        self.laws = [[circuit.vector(law.coefficients) for law in row] for row in circuit.rows]
        self.guards = [
            [
                (
                    np.array([circuit.vector(g.coefficients) for g in law.guards]).reshape(-1, self.size),
                    np.array([g.constant for g in law.guards]),
                )
                for law in row
            ]
            for row in circuit.rows
        ]
        self._modes: dict[Mode, Any] = {}
        self._steps: dict[tuple[Mode, float], _Step] = {}
        self.driven = sorted({k for k, row in enumerate(circuit.rows) for law in row if law.drive is not None})
        self.curves = [(c.row, circuit.unknowns[c.unknown], c) for c in circuit.curves]
        self.guess: Any = None

    # -- one mode --------------------------------------------------------------------------------------------------

    def mode(self, mode: Mode) -> Any:
        """Matrix, constants, guards with their owner and target."""
        if mode not in self._modes:
            matrix, constant = np.zeros((self.size, self.size)), np.zeros(self.size)
            rows, levels, owners = [], [], []
            for k, state in enumerate(mode):
                law = self.circuit.rows[k][state]
                matrix[k], constant[k] = self.laws[k][state], law.constant
                guards, constants = self.guards[k][state]
                rows.append(guards)
                levels.append(constants)
                owners += [(k, guard.target) for guard in law.guards]
            matrix[len(mode) :] = self.balance
            self._modes[mode] = matrix, constant, np.concatenate(rows), np.concatenate(levels), owners
        return self._modes[mode]

    def _big(self, mode: Mode, length: float) -> tuple[Any, Any]:
        """The stages' equations, big . stages = right . state + drives."""
        matrix = self.mode(mode)[0]
        n = self.size
        big = np.zeros((3 * n, 3 * n))
        right = np.zeros((3 * n, len(self.dynamic)))
        sums = _INVERSE.sum(axis=1)
        for i in range(3):
            for j in range(3):
                big[i * n : (i + 1) * n, j * n : (j + 1) * n] = _INVERSE[i, j] / length * self.slope
            big[i * n : (i + 1) * n, i * n : (i + 1) * n] -= matrix
            right[i * n : (i + 1) * n] = sums[i] / length * self.slope[:, self.dynamic]
        return big, right

    def _step(self, mode: Mode, length: float, *, keep: bool) -> _Step:
        key = (mode, length)
        if key in self._steps:
            return self._steps[key]
        big, right = self._big(mode, length)
        constant = np.tile(self.mode(mode)[1], 3)
        columns = np.zeros((3 * self.size, 3 * len(self.driven) + 1))
        for j in range(3):
            for k, row in enumerate(self.driven):
                columns[j * self.size + row, j * len(self.driven) + k] = 1.0
        columns[:, -1] = constant
        scale = np.abs(big).max(axis=1)
        answer = np.linalg.solve(big / scale[:, None], np.hstack([right, columns]) / scale[:, None])
        step = _Step(answer[:, : right.shape[1]], answer[:, right.shape[1] :])
        if keep:
            self._steps[key] = step
        return step

    def _drives(self, mode: Mode, time: float, length: float, inside: float) -> Any:
        """Drives at the nodes; ``inside`` tells the stretch between breaks, so that a jump isn't read too late."""
        values = []
        for share in _NODES:
            at = time + share * length
            for row in self.driven:
                drive = self.circuit.rows[row][mode[row]].drive
                # A hair towards the stretch's middle.
                values.append(0.0 if drive is None else drive(at + 1e-13 * (inside - at)))
        return np.array([*values, 1.0])

    def advance(self, mode: Mode, time: float, length: float, state: Any, inside: float, *, keep: bool) -> Any:
        """Stage values (3, size) of one step and the matrix that takes a change of the state to them."""
        drives = self._drives(mode, time, length, inside)
        if not self.curves:
            step = self._step(mode, length, keep=keep)
            return (step.from_state @ state + step.from_drives @ drives).reshape(3, -1), step.from_state
        return self._newton(mode, length, state, drives)

    def _newton(self, mode: Mode, length: float, state: Any, drives: Any) -> Any:
        big, right = self._big(mode, length)
        n = self.size
        known = right @ state + np.tile(self.mode(mode)[1], 3)
        for j in range(3):
            for k, row in enumerate(self.driven):
                known[j * n + row] += drives[j * len(self.driven) + k]
        stages = np.tile(self.guess if self.guess is not None else np.zeros(n), 3)
        scale = np.abs(big).max(axis=1)
        for _ in range(200):
            matrix, residual = big.copy(), known - big @ stages
            for row, column, curve in self.curves:
                for j in range(3):
                    x = float(stages[j * n + column])
                    residual[j * n + row] += curve.value(x)
                    matrix[j * n + row, j * n + column] -= curve.slope(x)
            change = np.linalg.solve(matrix / scale[:, None], residual / scale)
            limited = False
            for _, column, curve in self.curves:
                if curve.limit is not None:
                    for j in range(3):
                        old, new = stages[j * n + column], stages[j * n + column] + change[j * n + column]
                        allowed = curve.limit(float(old), float(new))
                        limited |= abs(allowed - new) > 1e-12
                        change[j * n + column] = allowed - old
            stages = stages + change
            if not limited and float(np.abs(change).max()) < 1e-11 * max(1.0, float(np.abs(stages).max())):
                break
        else:
            raise RefereeError("Newton's method on a step doesn't settle")
        self.guess = stages[-n:].copy()
        return stages.reshape(3, -1), np.linalg.solve(matrix / scale[:, None], right / scale[:, None])

    def rate(self, mode: Mode, values: Any, drives: Any) -> Any:
        """dz/dt of the dynamic unknowns, from the laws at an instant."""
        matrix, constant, *_ = self.mode(mode)
        right = matrix @ values + constant
        for k, row in enumerate(self.driven):
            right[row] += drives[2 * len(self.driven) + k]
        for row, column, curve in self.curves:
            right[row] += curve.value(float(values[column]))
        return np.linalg.solve(self.slope[np.ix_(self.moving, self.dynamic)], right[self.moving])

    # -- switching -------------------------------------------------------------------------------------------------

    def settle(self, mode: Mode, time: float, state: Any, inside: float) -> tuple[Mode, Any, Any]:
        """The mode that holds from here on: each candidate is tried for an instant, what is violated flips."""
        nudge = self.circuit.period * 0.5**SHORTEST
        queue, seen = [mode], {mode}
        while queue:
            candidate = queue.pop(0)
            guess = self.guess
            stages, tangent = self.advance(candidate, time, nudge, state, inside, keep=True)
            _, _, rows, levels, owners = self.mode(candidate)
            read = rows @ stages[2] + levels
            violated = [int(k) for k in np.argsort(read) if read[k] < -EDGE]
            if not violated:
                return candidate, stages, tangent
            self.guess = guess
            for k in violated:
                owner, target = owners[k]
                flipped = (*candidate[:owner], target, *candidate[owner + 1 :])
                if flipped not in seen:
                    seen.add(flipped)
                    queue.append(flipped)
            if len(seen) > 500:
                break
        raise RefereeError(f"no mode holds at {time:.6g} s")

    # -- a period --------------------------------------------------------------------------------------------------

    def run(self, state: Any, mode: Mode, *, record: Record | None = None) -> tuple[Any, Mode, Any]:
        """One period: the state and mode at its end and the sensitivity of that state to the first."""
        period = self.circuit.period
        edges = [*sorted({0.0, *self.circuit.breaks}), period]
        sensitivity = np.eye(len(self.dynamic))
        events = 0
        for begin, end in zip(edges, edges[1:], strict=False):
            time, inside, fresh, level, used = begin, 0.5 * (begin + end), True, SHORTEST, 0
            before = None  # rate and guard's share of the change, at a switching
            while time < end - 1e-12 * period:
                if fresh:
                    mode, stages, tangent = self.settle(mode, time, state, inside)
                    length, level, used, fresh = period * 0.5**SHORTEST, SHORTEST, 0, False
                    if before is not None:
                        rate, share = before
                        after = self.rate(mode, stages[2], self._drives(mode, time, length, inside))
                        sensitivity = sensitivity + np.outer(rate - after, share)
                        before = None
                else:
                    length = period * 0.5**level
                    last = time + length >= end - 1e-12 * period
                    length = min(length, end - time)
                    stages, tangent = self.advance(mode, time, length, state, inside, keep=not last)
                    _, _, rows, levels, owners = self.mode(mode)
                    read = stages @ rows.T + levels
                    if (crossed := np.flatnonzero(read.min(axis=0) < -EDGE)).size:
                        events += 1
                        if events > _EVENTS:
                            raise RefereeError("the circuit chatters")
                        length, which, stages, tangent = self._crossing(
                            mode, time, length, state, inside, rows[crossed], levels[crossed]
                        )
                        owner, target = owners[int(crossed[which])]
                        row = rows[crossed[which]]
                        drives = self._drives(mode, time, length, inside)
                        rate = self.rate(mode, stages[2], drives)
                        moved = tangent[2 * self.size :] @ sensitivity
                        slope = self._end_slope(stages, length) @ row
                        before = rate, -(row @ moved) / slope if slope else 0.0 * (row @ moved)
                        mode = (*mode[:owner], target, *mode[owner + 1 :])
                        fresh = True
                if record is not None:
                    record.modes.append(mode if not fresh else self._unflipped(mode, owner, record))
                    record.starts.append(time)
                    record.lengths.append(length)
                    record.stages.append(stages)
                sensitivity = tangent[2 * self.size :][self.dynamic] @ sensitivity
                state, time = stages[2][self.dynamic], time + length
                used += 1
                if used >= OF_EACH and level > self.longest:
                    level, used = level - 1, 0
        return state, mode, sensitivity

    @staticmethod
    def _unflipped(mode: Mode, owner: int, record: Record) -> Mode:
        last = record.modes[-1]
        return (*mode[:owner], last[owner], *mode[owner + 1 :])

    @staticmethod
    def _end_slope(stages: Any, length: float) -> Any:
        """d/dt at the end of the step, of the parabola through the nodes."""
        weights = [
            sum(
                1.0
                / (_NODES[j] - _NODES[m])
                * math.prod((1.0 - _NODES[k]) / (_NODES[j] - _NODES[k]) for k in range(3) if k not in (j, m))
                for m in range(3)
                if m != j
            )
            for j in range(3)
        ]
        return np.array(weights) @ stages / length

    def _crossing(
        self, mode: Mode, time: float, length: float, state: Any, inside: float, rows: Any, levels: Any
    ) -> tuple[float, int, Any, Any]:
        """The first instant at which a guard reads -EDGE: the length up to it, which one, and the step's stages."""
        low, high = 0.0, length
        stages, tangent = self.advance(mode, time, high, state, inside, keep=False)
        # A dip inside the step: shorten it until the end itself is below.
        read = stages @ rows.T + levels
        first = int(np.flatnonzero(read.min(axis=1) < -EDGE)[0])
        high = float(_NODES[first]) * length
        value = None
        for _ in range(80):
            stages, tangent = self.advance(mode, time, high, state, inside, keep=False)
            read = stages[2] @ rows.T + levels + EDGE
            which = int(np.argmin(read))
            value = float(read[which])
            if value < 0.0:
                break
            high = 0.5 * (high + length) if high < length else length
        upper, upper_value = high, value
        lower, lower_value = low, None
        for turn in range(100):
            if upper - lower < 1e-14 * self.circuit.period:
                break
            if lower_value is None or turn % 3 == 2:
                middle = 0.5 * (lower + upper)
                if lower_value is None and turn == 0:
                    middle = upper - 0.01 * (upper - lower)
            else:
                middle = upper - upper_value * (upper - lower) / (upper_value - lower_value)
                middle = min(max(middle, lower + 1e-3 * (upper - lower)), upper - 1e-3 * (upper - lower))
            trial, slopes = self.advance(mode, time, middle, state, inside, keep=False)
            read = trial[2] @ rows.T + levels + EDGE
            lowest = int(np.argmin(read))
            if read[lowest] < 0.0:
                upper, upper_value, which = middle, float(read[lowest]), lowest
                stages, tangent = trial, slopes
                if upper_value > -1e-3 * EDGE:
                    break
            else:
                lower, lower_value = middle, float(read[which])
        stages, tangent = self.advance(mode, time, upper, state, inside, keep=False)
        return upper, which, stages, tangent


class NodalPeriod:
    """The steady period of a listed circuit and what can be read off it."""

    def __init__(self, circuit: Nodal, *, longest: int = LONGEST) -> None:
        self.circuit = circuit
        self.stepper = Stepper(circuit, longest=longest)
        self.record = Record()
        self._find()

    def _find(self) -> None:
        stepper = self.stepper
        state, mode = np.zeros(len(stepper.dynamic)), tuple(self.circuit.start)
        best, refuge, plain, patience = math.inf, (state, mode), 3, 0
        for _ in range(80):
            for _ in range(plain):
                state, mode, _ = stepper.run(state, mode)
            image, after, sensitivity = stepper.run(state, mode)
            gap = image - state
            size = max(float(np.abs(image).max(initial=0.0)), 1e-6)
            error = float(np.abs(gap).max(initial=0.0)) / size
            if error < ACCURACY:
                state, mode = image, after
                break
            plain = 0
            if error > 2.0 * best:
                # The correction went too far: back to the best state, and let the circuit run for a while by itself.
                (state, mode), best = refuge, math.inf
                patience += 3
                plain = patience
                continue
            if error < best:
                best, refuge = error, (image, after)
            step = np.linalg.solve(np.eye(len(gap)) - sensitivity, gap)
            state, mode = state + step, after
        else:
            raise RefereeError(f"no steady period: the state still moves by {best:.2e}")
        stepper.run(state, mode, record=self.record)
        for row, state_number in self.circuit.never:
            if any(mode[row] == state_number for mode in self.record.modes):
                raise RefereeError("a pulsed load's rail falls below its floor")

    @cached_property
    def _values(self) -> tuple[Any, Any]:
        stages = np.array(self.record.stages)  # (steps, 3, size)
        weights = np.array(self.record.lengths)[:, None] * _WEIGHTS
        return stages, weights

    def wave(self, output: str | Mapping[str, float]) -> Any:
        """Values at the nodes of every step, (steps, 3), of an unknown or a sum of some."""
        stages, _ = self._values
        if isinstance(output, str):
            output = {output: 1.0}
        return stages @ self.circuit.vector(output)

    def mean(self, output: str | Mapping[str, float]) -> float:
        """Mean over the period."""
        return float((self._values[1] * self.wave(output)).sum() / self.circuit.period)

    def rms(self, output: str | Mapping[str, float]) -> float:
        """Root of the mean square."""
        return float(np.sqrt((self._values[1] * self.wave(output) ** 2).sum() / self.circuit.period))

    def product_mean(self, one: str | Mapping[str, float], other: str | Mapping[str, float]) -> float:
        """Mean of a product."""
        return float((self._values[1] * self.wave(one) * self.wave(other)).sum() / self.circuit.period)

    def harmonic(self, output: str | Mapping[str, float], order: int, periods: int = 1) -> float:
        """RMS of a harmonic of the mains, of which the common period holds ``periods``."""
        times = np.array(self.record.starts)[:, None] + np.array(self.record.lengths)[:, None] * _NODES
        turned = np.exp(-2j * math.pi * order * periods * times / self.circuit.period)
        return float(abs((self._values[1] * self.wave(output) * turned).sum()) / self.circuit.period * math.sqrt(2.0))

    def _fine(self, output: str | Mapping[str, float]) -> Any:
        """The waveform at 33 places of every step: a cubic through its start and its nodes."""
        wave = self.wave(output)
        starts = wave @ _BACK
        modes = self.record.modes
        same = [k for k in range(1, len(modes)) if modes[k] == modes[k - 1]]
        starts[same] = wave[[k - 1 for k in same], 2]
        return np.column_stack([starts, wave]) @ _CUBIC

    def maximum(self, output: str | Mapping[str, float]) -> float:
        """Largest value."""
        return float(self._fine(output).max())

    def minimum(self, output: str | Mapping[str, float]) -> float:
        """Smallest value."""
        return float(self._fine(output).min())

    def peak(self, output: str | Mapping[str, float]) -> float:
        """Value farthest from zero."""
        return max(self.maximum(output), self.minimum(output), key=abs)

    def ripple(self, output: str | Mapping[str, float]) -> float:
        """Maximum less minimum."""
        return self.maximum(output) - self.minimum(output)

    def conduction_angle(self, diode: str) -> float:
        """Angle per common period in which a switching diode is on. [deg]"""
        row, on = self.circuit.on_states[diode]
        total = sum(h for mode, h in zip(self.record.modes, self.record.lengths, strict=True) if mode[row] in on)
        return 360.0 * total / self.circuit.period
