"""Curved laws as straight pieces, fitted to what the parts really carry: solve, measure, fit anew, until it stands."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from railwright.network.exponential import enough_slopes
from railwright.network.network import Network
from railwright.network.tuning import Tuning
from railwright.solver.attempts import MANY_PIECES, STRAIGHT, steady_period
from railwright.solver.budget import Budget
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.failure import NoProvableAnswer
from railwright.solver.period import Follower
from railwright.solver.power_loads import find_another
from railwright.solver.rows import stack
from railwright.solver.solution import Solution
from railwright.solver.steady import Steady, correction

#: Change of a peak between two passes at which the fit stands; at which it is worth solving for well.
SETTLED, NEARLY = 3e-3, 0.1
#: A peak only says where the pieces of a law lie that they follow anyway; ranges and means are told this much finer.
STRICTER = 30.0
#: Passes at most.
PASSES = 12
#: A first fit with one piece, how near it comes to the steady state, and the fits that follow: pieces, and the change
#: at which they are good enough.
ROUGH_SLOPES, ROUGHLY_NEAR, ROUGH = 1, 1e-3, ((1, 0.3), (4, 0.15))
#: Correction, as a share of the state's size, that is too long to be trusted while the fit still changes.
FAR = 0.2
#: Steps of one solve in all, and of one with many-segment diodes: under two seconds, interpreted.
WHOLE, WHOLE_OF_MANY = 80_000, 94_500
#: Share of the largest peak below which a diode's curve isn't used.
IDLE_SHARE = 1e-6
#: Distance from its law at which a diode has pieces enough: with a little room to what the proof allows.
CLOSE = 9e-4
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
    first = make(present)
    whole = Budget(WHOLE_OF_MANY if first.laws else WHOLE)
    if first.wanted.diodes and not present.diode_peaks:
        # Curved diodes without a guess of their peaks: straight ones find these at a fraction of the cost.
        rough = replace(present, slopes=ROUGH_SLOPES)
        solution = steady_period(make(rough), start, whole, near=ROUGHLY_NEAR)
        rough, start = _measure(solution, rough), solution.steady.start
        for slopes, settled in ROUGH:
            rough, start = _fit(make, replace(rough, slopes=slopes), start, settled, whole)
        present = replace(rough, slopes=max(present.slopes, _slopes(first, rough)))
    if start is not None:
        present, start = _fit(make, present, start, NEARLY, whole)
    return _settle(make, present, start, whole)


def _slopes(network: Network, tuning: Tuning) -> int:
    """The pieces that the network's diodes need, at these peaks."""
    emf = math.sqrt(2.0) * max(network.emf.values(), default=0.0)
    largest = max(tuning.diode_peaks.values(), default=0.0)
    busy = {name: peak for name, peak in tuning.diode_peaks.items() if peak > IDLE_SHARE * largest and emf > 0.0}
    return max((enough_slopes(network.laws[name], peak, emf, CLOSE) for name, peak in busy.items()), default=0)


def _with_another(solution: Solution, tuning: Tuning, whole: Budget) -> tuple[Solution, Tuning]:
    """The solution with its second steady state, where a constant power may have one."""
    if not solution.equations.network.wanted.loads:
        return solution, tuning
    return replace(solution, other=find_another(solution.equations, solution.steady, whole)), tuning


def _fit(
    make: Callable[[Tuning], Network], present: Tuning, start: Array, settled: float, whole: Budget
) -> tuple[Tuning, Array]:
    """From near the steady state, one period at a time: measure, correct the state and fit anew.

    Until the fit changes by `settled` at most, or the state moves so much that a search of its own is better.
    """
    for _ in range(PASSES):
        network = make(present)
        if network.wanted.nothing or network.wanted.loads:
            break
        equations = Equations(network)
        if not len(start) or len(start) != equations.layout.dynamic:
            break
        follower, weight = Follower(equations, budget=whole.share(MANY_PIECES * STRAIGHT)), equations.weights
        try:
            for recorded in (False, True):
                run = follower.follow(start, record=recorded)
                gap = run.end[: len(start)] - start
                step, _ = correction(run.jacobian, gap, weight)
                if float(np.abs(weight * step).max()) > FAR * float(np.abs(weight * start).max()):
                    return present, start
                begun, start = start, start + step
        except NoProvableAnswer:
            break
        passing = Steady(start=begun, run=run, iterations=1, multipliers=np.zeros(0, dtype=complex))
        before, present = present, _measure(Solution(equations, passing), present)
        if _change(before, present) <= settled:
            break
    return present, start


def _settle(
    make: Callable[[Tuning], Network], present: Tuning, start: Array | None, whole: Budget
) -> tuple[Solution, Tuning]:
    """Solve to the last digit, and once more wherever that moves the fit."""
    for _ in range(PASSES):
        solution = steady_period(make(present), start, whole)
        wanted = solution.equations.network.wanted
        if wanted.nothing:
            break
        start = solution.steady.start
        before, present = present, _measure(solution, present)
        if _change(before, present) <= SETTLED:
            break
    return _with_another(solution, present, whole)


def _measure(solution: Solution, present: Tuning) -> Tuning:
    """What the parts really carry and hold."""
    wanted, rows = solution.equations.network.wanted, solution.rows
    peaks, ranges, means = {}, {}, {}
    if wanted.diodes:
        highest = solution.highest(stack([rows.current(name) for name in wanted.diodes]))
        peaks = {name: max(float(peak), _IDLE) for name, peak in zip(wanted.diodes, highest, strict=True)}
    if wanted.loads:
        across = stack([rows.voltage(*nodes) for nodes in wanted.loads.values()])
        ends = zip(solution.lowest(across), solution.highest(across), strict=True)
        ranges = {name: (float(low), float(high)) for name, (low, high) in zip(wanted.loads, ends, strict=True)}
    for name, nodes in wanted.regulators.items():
        means[name] = abs(solution.mean(rows.voltage(*nodes)))
    return replace(present, diode_peaks=peaks, load_ranges=ranges, input_means=means)


def _change(before: Tuning, after: Tuning) -> float:
    """Largest relative change of what the parts are fitted to, `STRICTER` times that of ranges and means."""
    worst = 0.0
    largest = max(after.diode_peaks.values(), default=0.0)
    for name, peak in after.diode_peaks.items():
        old = before.diode_peaks.get(name)
        if old is None:
            return np.inf
        # A diode that carries next to nothing needn't be fitted finely.
        if max(peak, old) > IDLE_SHARE * largest:
            worst = max(worst, abs(peak - old) / max(peak, old))
    for name, (low, high) in after.load_ranges.items():
        if name not in before.load_ranges:
            return np.inf
        was_low, was_high = before.load_ranges[name]
        worst = max(worst, STRICTER * max(abs(low - was_low), abs(high - was_high)) / max(abs(high), 1e-12))
    for name, mean in after.input_means.items():
        if name not in before.input_means:
            return np.inf
        worst = max(worst, STRICTER * abs(mean - before.input_means[name]) / max(mean, 1e-12))
    return worst
