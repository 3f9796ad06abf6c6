"""A state near the steady one, by corrections that are held back: for circuits whose diodes take turns."""

from __future__ import annotations

import math

import numpy as np

from railwright.solver.budget import Budget
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.failure import NoProvableAnswer
from railwright.solver.pattern import Key
from railwright.solver.period import Follower
from railwright.solver.steady import correction

#: Plain periods from rest, before the first correction.
WARM_UP = 4
#: The pull back to where the state stands, beside one period's own, at first and at most; how it falls with each
#: correction that is an improvement, and grows with each that isn't.
PULL, STRONGEST, WEAKER, STRONGER = 0.25, 4.0, 0.25, 4.0
#: Correction, as a share of the state's size, that may be left: a slow circuit changes little even far away.
CLOSE = 0.3
#: Corrections at most.
LIMIT = 30


def approach(equations: Equations, budget: Budget, start: Array | None, *, near: float) -> tuple[Array, Key]:
    """A state that one period changes by `near` of its size, and the pattern in which that period ends.

    One period never carries two states of a passive circuit apart, measured by energy: what a period changes can only
    grow smaller from one period to the next. So does a correction that is pulled back strongly enough, which is as
    good as a few periods; nearer by, where the order of switchings is the steady one's, it needs no pull.

    Parameters
    ----------
    start : array (dynamic,) or None
        Rest, if not given.
    near : float
        Change over a period, as a share of the state's size, at which the state is returned; the nearest so far, if
        the budget or the corrections are spent.

    Raises
    ------
    NoProvableAnswer
        If not even one period can be followed.
    """
    follower = Follower(equations, budget=budget)
    count, weight = equations.layout.dynamic, equations.weights
    fluxes = [equations.layout.states[core.name] for core in equations.cores]
    state = np.zeros(count) if start is None else start.astype(float)
    for _ in range(WARM_UP if start is None else 0):
        state = follower.follow(state, linearise=False).end[:count].copy()
        state[fluxes] = 0.0
    base, key, least, pull = state, follower.key, math.inf, PULL / WEAKER
    for _ in range(LIMIT):
        try:
            run = follower.follow(state)
        except NoProvableAnswer:
            if math.isinf(least):
                raise
            break
        gap = run.end[:count] - state
        change = float(np.linalg.norm(weight * gap))
        if change < least:
            base, key, least, pull = state, run.key, change, WEAKER * pull
            base_gap, jacobian = gap, run.jacobian
        elif pull >= STRONGEST:
            break  # no correction so short is an improvement
        else:
            pull = min(STRONGER * pull, STRONGEST)
        size, capacitors = weight * follower.scale.states[:count], len(equations.capacitors)
        if _share(weight * base_gap, size, capacitors) <= near:
            left, _ = correction(jacobian, base_gap, weight)
            if _share(weight * left, size, capacitors) <= CLOSE:
                break
        step, _ = correction(jacobian - pull * np.eye(count), base_gap, weight)
        state = base + step
    return base, key


def _share(gap: Array, size: Array, capacitors: int) -> float:
    """A change beside the state's size: of the capacitors alone, if there are any, or a core's flux would drown it."""
    counted = slice(0, capacitors or None)
    return float(np.linalg.norm(gap[counted])) / max(float(np.linalg.norm(size[counted])), 1e-300)
