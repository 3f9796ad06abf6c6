"""Curved laws as straight pieces, fitted to what the parts really carry: solve, measure, fit anew, until it stands."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np

from railwright.network.elements import Capacitor
from railwright.network.network import Network
from railwright.network.tuning import Tuning
from railwright.solver.budget import Budget
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.failure import NoProvableAnswer
from railwright.solver.power_loads import find_another, find_from_below
from railwright.solver.solution import Solution
from railwright.solver.steady import LIMIT, find
from railwright.solver.unloaded import find_unloaded, holds_charge

#: Change of a peak, range or mean between two passes at which the fit stands.
SETTLED = 1e-4
#: Passes at most.
PASSES = 12
#: A first fit with few pieces: how many, how far it is taken, and in how many passes.
ROUGH_SLOPES, ROUGHLY, ROUGH_PASSES = 2, 3e-2, 5
#: Corrections at most, from a neighbour's state.
FIRST_LIMIT = 25
#: Attempts from rest: longest correction as a share of the state's size, corrections, steps in all.
TRIES: Final = ((math.inf, FIRST_LIMIT, 15_000), (0.5, LIMIT, 24_000))
#: The series resistance, in periods per farad, that softens a circuit for a last attempt, and the shares of the
#: capacitances through which it goes; steps for each.
SOFTENING, SMALLER, LAST_BUDGET = 1e-3, (0.01, 0.1, 1.0), 9_000
#: How many times more steps a circuit of many-segment diodes may take.
MANY_PIECES = 5
#: Steps of one solve in all.
WHOLE = 80_000
#: [A] Peak below which a diode counts as carrying nothing, so that its table isn't fitted to rounding.
_IDLE = 1e-9


def solve_tuned(
    make: Callable[[Tuning], Network], tuning: Tuning | None = None, start: Array | None = None
) -> tuple[Solution, Tuning]:
    """The steady period of a network whose parts are fitted to their own currents and voltages.

    Parameters
    ----------
    make : callable
        Builds the network for a tuning.
    tuning : Tuning or None
        Where to begin: a neighbour's, or the first guess.
    start : array (dynamic,) or None
        A state from which to begin, below the steady one; rest if not given.

    Raises
    ------
    NoProvableAnswer
        If a pass has no steady state.
    """
    present = tuning or Tuning()
    whole = Budget(WHOLE * (MANY_PIECES if make(present).laws else 1))
    if present.diode_peaks or present.slopes <= ROUGH_SLOPES:
        return _with_another(*_settle(make, present, start, SETTLED, PASSES, whole), whole)
    # Curved diodes without a guess of their peaks: a rough fit finds these at a fraction of the cost.
    rough = replace(present, slopes=ROUGH_SLOPES)
    first = make(rough)
    if first.wanted.diodes:
        solution, found = _settle(make, rough, start, ROUGHLY, ROUGH_PASSES, whole)
        present = replace(found, slopes=present.slopes)
        start = solution.steady.start
    return _with_another(*_settle(make, present, start, SETTLED, PASSES, whole), whole)


def _with_another(solution: Solution, tuning: Tuning, whole: Budget) -> tuple[Solution, Tuning]:
    """The solution with its second steady state, where a constant power may have one."""
    if not solution.equations.network.wanted.loads:
        return solution, tuning
    return replace(solution, other=find_another(solution.equations, solution.steady, whole)), tuning


def _settle(
    make: Callable[[Tuning], Network],
    present: Tuning,
    start: Array | None,
    settled: float,
    passes: int,
    whole: Budget,
) -> tuple[Solution, Tuning]:
    """Solve, measure, fit anew, until the fit stands."""
    solution = _solve(make(present), start, whole)
    for _ in range(passes):
        wanted = solution.equations.network.wanted
        if wanted.nothing:
            break
        measured = _measure(solution, present)
        change = _change(present, measured)
        present = measured
        if change <= settled:
            break
        solution = _solve(make(present), solution.steady.start, whole)
    return solution, present


def _solve(network: Network, start: Array | None, whole: Budget) -> Solution:
    equations = Equations(network)
    fitting = start is not None and len(start) == equations.layout.dynamic
    if network.wanted.loads:
        return Solution(equations, find_from_below(equations, start if fitting else None, whole))
    if holds_charge(equations):
        return Solution(*find_unloaded(network))
    patience = MANY_PIECES if network.laws else 1
    if start is not None and fitting:
        try:
            near = whole.share(patience * TRIES[0][2])
            return Solution(equations, find(equations, start=start, warm_up=1, limit=FIRST_LIMIT, budget=near))
        except NoProvableAnswer:
            pass  # the neighbour was too far away: from rest, then
    for reach, limit, budget in TRIES:
        try:
            return Solution(equations, find(equations, limit=limit, reach=reach, budget=whole.share(patience * budget)))
        except NoProvableAnswer:
            pass  # the corrections went astray: shorter ones, then from a softened circuit's state
    softened = _softened_start(network, whole, patience * LAST_BUDGET)
    last = whole.share(patience * LAST_BUDGET)
    return Solution(equations, find(equations, start=softened, warm_up=1, budget=last))


def _softened_start(network: Network, whole: Budget, steps: int) -> Array:
    """A state near the steady one, where a correction from rest goes astray.

    The same circuit with small capacitors settles at nearly the same voltages, and at once; a little series resistance
    keeps charge from being shared in jumps, in an order that a correction from afar can't know.
    """
    start: Array | None = None
    for share in SMALLER:
        elements = tuple(
            replace(e, capacitance=share * e.capacitance, esr=max(e.esr, SOFTENING * network.period / e.capacitance))
            if isinstance(e, Capacitor)
            else e
            for e in network.elements
        )
        start = find(Equations(replace(network, elements=elements)), start=start, budget=whole.share(steps)).start
    assert start is not None
    return start


def _measure(solution: Solution, present: Tuning) -> Tuning:
    wanted, rows = solution.equations.network.wanted, solution.rows
    names = [*wanted.diodes]
    asked = [rows.current(name) for name in names]
    asked += [rows.voltage(*nodes) for nodes in (*wanted.loads.values(), *wanted.regulators.values())]
    measures = solution.measures(asked, harmonics=False)
    count = len(names)
    peaks = {name: max(float(measures.maximum[k]), _IDLE) for k, name in enumerate(names)}
    ranges = {
        name: (float(measures.minimum[count + k]), float(measures.maximum[count + k]))
        for k, name in enumerate(wanted.loads)
    }
    count += len(ranges)
    means = {name: abs(float(measures.mean[count + k])) for k, name in enumerate(wanted.regulators)}
    return replace(present, diode_peaks=peaks, load_ranges=ranges, input_means=means)


def _change(before: Tuning, after: Tuning) -> float:
    """Largest relative change of what the parts are fitted to."""
    worst = 0.0
    largest = max(after.diode_peaks.values(), default=0.0)
    for name, peak in after.diode_peaks.items():
        old = before.diode_peaks.get(name)
        if old is None:
            return np.inf
        # A diode that carries next to nothing needn't be fitted finely.
        if max(peak, old) > 1e-6 * largest:
            worst = max(worst, abs(peak - old) / max(peak, old))
    for name, (low, high) in after.load_ranges.items():
        if name not in before.load_ranges:
            return np.inf
        was_low, was_high = before.load_ranges[name]
        worst = max(worst, max(abs(low - was_low), abs(high - was_high)) / max(abs(high), 1e-12))
    for name, mean in after.input_means.items():
        if name not in before.input_means:
            return np.inf
        worst = max(worst, abs(mean - before.input_means[name]) / max(mean, 1e-12))
    return worst
