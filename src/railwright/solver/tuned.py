"""Curved laws as straight pieces, fitted to what the parts really carry: solve, measure, fit anew, until it stands."""

from __future__ import annotations

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
from railwright.solver.pattern import Key
from railwright.solver.power_loads import find_another, find_from_below
from railwright.solver.solution import Solution
from railwright.solver.steady import WARM_UP, approach, find
from railwright.solver.unloaded import find_unloaded, holds_charge

#: Change of a peak, range or mean between two passes at which the fit stands.
SETTLED = 1e-4
#: Passes at most.
PASSES = 12
#: A first fit with few pieces: how many, how far it is taken, and in how many passes.
ROUGH_SLOPES, ROUGHLY, ROUGH_PASSES = 1, 3e-2, 5
#: Corrections at most, from a neighbour's state.
FIRST_LIMIT = 25
#: Steps for a first attempt, straight from rest or from a neighbour's state; for each of the eased circuits that a
#: second one passes through; and for its last part.
STRAIGHT, EASED, LAST = 10_000, 15_000, 30_000
#: The series resistance of every capacitor, in periods per farad, through which a second attempt goes.
EASING: Final = (0.3, 0.02, 0.0)
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
    straight = whole.share(patience * STRAIGHT)
    near = start if start is not None and fitting else None
    try:
        return Solution(equations, find(equations, start=near, warm_up=WARM_UP if near is None else 1, limit=FIRST_LIMIT, budget=straight))
    except NoProvableAnswer:
        pass  # a correction went astray
    state, key = _eased_start(network, near, whole, patience)
    return Solution(equations, find(equations, start=state, key=key, warm_up=0, budget=whole.share(patience * LAST)))


def _eased_start(network: Network, start: Array | None, whole: Budget, patience: int) -> tuple[Array, Key]:
    """A state near the steady one, where corrections from rest go astray.

    With so much resistance in series with every capacitor that each takes a good part of a period to charge, all
    diodes conduct together and corrections find their way. From there the resistance is taken away in strides.
    """
    key: Key = ()
    for share in EASING:
        elements = tuple(
            replace(e, esr=max(e.esr, share * network.period / e.capacitance)) if isinstance(e, Capacitor) else e
            for e in network.elements
        )
        start, key = approach(Equations(replace(network, elements=elements)), whole.share(patience * EASED), start)
    assert start is not None
    return start, key


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
