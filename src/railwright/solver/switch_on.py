"""From switch-on: the circuit followed period by period from any angle of the mains and any state."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from railwright.network.tuning import Tuning
from railwright.solver.budget import PATIENT, Budget
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.period import Follower, Stretch
from railwright.solver.rows import Row, stack
from railwright.solver.solution import Solution
from railwright.solver.steady import Steady


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One mains period (the first may be shorter) of a run from switch-on.

    `before` is the time from switch-on to this leg's own zero of the mains; a stretch's time plus it is the time
    since switch-on. [s]
    """

    solution: Solution
    before: float

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """In order."""
        return self.solution.stretches

    @property
    def start(self) -> float:
        """Since switch-on. [s]"""
        return self.before + self.stretches[0].start

    @property
    def end(self) -> float:
        """Since switch-on. [s]"""
        return self.before + self.stretches[-1].end

    def peaks(self, rows: Sequence[Row]) -> Array:
        """The value of each row farthest from zero in this leg, with its sign; array (rows,)."""
        weights = stack(rows)
        high, low = self.solution.highest(weights), self.solution.lowest(weights)
        return np.where(np.abs(high) >= np.abs(low), high, low)

    def integral(self, row: Row) -> float:
        """Integral of a row over this leg; its measures count the whole period, the leg may be shorter."""
        return self.solution.mean(row) * self.solution.period

    def square_integral(self, row: Row) -> float:
        """Integral of a row's square over this leg."""
        return self.solution.product_mean(row, row) * self.solution.period


def legs(equations: Equations, state: Array, degrees: float) -> Iterator[Leg]:
    """The run from switch-on at an angle of the mains, one period after the other, without end."""
    follower = Follower(equations, budget=Budget(PATIENT))
    period = equations.period
    start = (degrees % 360.0) / 360.0 * period / equations.network.mains_periods
    before = -start
    present = state
    while True:
        run = follower.follow(present, record=True, linearise=False, start=start)
        steady = Steady(start=present, run=run, iterations=0, multipliers=np.zeros(0, dtype=complex))
        yield Leg(solution=Solution(equations, steady), before=before)
        present = run.end[: len(present)]
        before += period
        start = 0.0


def retuned(tuning: Tuning, peaks: dict[str, float]) -> Tuning:
    """A tuning for the currents of a start-up: the diodes' pieces reach to these peaks."""
    return replace(tuning, diode_peaks={**tuning.diode_peaks, **peaks})
