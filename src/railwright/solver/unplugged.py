"""After switch-off: the circuit without its source, followed for as long as it takes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from railwright.network.elements import Source, StiffCore
from railwright.network.loads import LIGHT_NAME
from railwright.network.network import Network
from railwright.solver.budget import PATIENT, Budget
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.period import Follower
from railwright.solver.rows import Row, Rows
from railwright.solver.solution import Solution
from railwright.solver.steady import Steady

#: [s] First horizon of a discharge, and the last one that is looked at (three years).
FIRST_HORIZON, LAST_HORIZON = 1.0, 1e8


def without_source(network: Network, *, horizon: float, mains: frozenset[str]) -> Network:
    """The network unplugged, over one long stretch of time."""
    elements = tuple(
        e
        for e in network.elements
        if not (isinstance(e, Source) and e.name in mains)
        and not isinstance(e, StiffCore)  # without its source it carries nothing
        and not e.name.endswith(LIGHT_NAME)
    )
    elements = tuple(replace(e, pieces=e.pieces[:1]) if isinstance(e, Source) and e.pieces else e for e in elements)
    return replace(network, elements=elements, period=horizon, mains_periods=1, frequency=None, breakpoints=())


@dataclass(frozen=True, slots=True, kw_only=True)
class Decay:
    """A discharge from a state, over one horizon."""

    solution: Solution

    def last_passing(self, row: Row, level: float) -> float | None:
        """When abs(row) is below `level` for good; None if it never is within the horizon. [s]"""
        period = self.solution.period
        end = abs(float(self.solution.values([row], period * (1.0 - 1e-12))[0]))
        if end > level:
            return None
        instants = [*self.solution.instants(row, level), *self.solution.instants(row, -level)]
        return max(instants, default=0.0)

    def value(self, row: Row, time: float) -> float:
        """A row at a time."""
        return float(self.solution.values([row], time)[0])


def decay(network: Network, start: dict[str, float], *, horizon: float, mains: frozenset[str]) -> Decay:
    """Follow the unplugged network from capacitor voltages and choke currents by name."""
    unplugged = without_source(network, horizon=horizon, mains=mains)
    equations = Equations(unplugged)
    state: Array = np.zeros(equations.layout.dynamic)
    for name, value in start.items():
        if name in equations.layout.states:
            state[equations.layout.states[name]] = value
    follower = Follower(equations, budget=Budget(PATIENT))
    follower.scale.states[: len(state)] = np.maximum(np.abs(state), 1e-3 * np.abs(state).max(initial=1e-12))
    run = follower.follow(state, record=True, linearise=False)
    steady = Steady(start=state, run=run, iterations=0, multipliers=np.zeros(0, dtype=complex))
    return Decay(solution=Solution(equations, steady))


def rows_of(found: Decay) -> Rows:
    """Makes rows of an unplugged network."""
    return found.solution.rows
