"""The periodic steady state, found directly: shooting with the exact sensitivity of one period."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from railwright.solver.budget import Budget
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.failure import NOT_PERIODIC, NoProvableAnswer
from railwright.solver.integrals import Complex
from railwright.solver.pattern import Key
from railwright.solver.period import Follower, Run

#: Plain periods before the first correction.
WARM_UP = 2
#: Corrections after which the search is given up.
LIMIT = 60
#: Correction, as a share of the state's size, at which the steady state counts as found.
PRECISION = 1e-13
#: A correction that makes matters worse is tried at these shares of its length, down to the least.
SHORTER, LEAST_SHARE = 0.3, 0.05
#: A next correction this large beside the last, and backward, means that the last went past a knee; it is searched
#: for in so many trials.
TURNED, KNEE_TRIES = 0.5, 6
#: Correction, as a share of the state's size, after which the next period is taken to be the answer and is recorded.
SURE = 1e-5
#: Change over one period, as a share of the state's size, that a steady state may show.
RETURNS = 1e-10
#: Periods with no more change than that after which no better state is waited for.
STILL = 5
#: Rounding of one period's run, as a share of the state's size.
ROUNDING = 1e-15


@dataclass(frozen=True, slots=True, kw_only=True)
class Steady:
    """A steady period: where it begins, what it does, and how it was found."""

    start: Array  # z at the rising zero
    run: Run  # recorded
    iterations: int
    multipliers: Complex  # eigenvalues of the period map: inside the unit circle where the state is stable


def stability(jacobian: Array) -> Complex:
    """Eigenvalues of the period map: inside the unit circle where the state is stable."""
    return np.linalg.eigvals(jacobian).astype(complex) if len(jacobian) else np.zeros(0, dtype=complex)


def correction(jacobian: Array, gap: Array, weight: Array) -> tuple[Array, float]:
    """Newton's step for z = map(z), the smallest one where the map leaves a direction free.

    Returns
    -------
    step : array (dynamic,)
    amplification : float
        How much larger than a rounding error in the gap its share in the step is: slow circuits forget slowly.
    """
    matrix = (np.eye(len(gap)) - jacobian) * weight[:, None] / weight
    step, _, _, singular = np.linalg.lstsq(matrix, gap * weight, rcond=1e-13)
    kept = singular[singular > 1e-13 * singular[0]]
    result: Array = step / weight
    return result, float(1.0 / kept[-1]) if len(kept) else 1.0


def find(
    equations: Equations,
    *,
    start: Array | None = None,
    key: Key | None = None,
    warm_up: int = WARM_UP,
    limit: int = LIMIT,
    setbacks: int = LIMIT,
    near: float = 0.0,
    budget: Budget | None = None,
) -> Steady:
    """The steady state reached from `start` (everything at rest, if not given).

    Parameters
    ----------
    warm_up, limit : int
        Plain periods at first, and corrections at most.
    setbacks : int
        Corrections that make matters worse after which the search is given up.
    near : float
        Correction, as a share of the state's size, after which the state is near enough.
    budget : Budget or None
        Steps at most.

    Raises
    ------
    NoProvableAnswer
        If none is found.
    """
    layout = equations.layout
    follower = Follower(equations) if budget is None else Follower(equations, budget=budget)
    if key is not None:
        follower.key = key
    state = np.zeros(layout.dynamic) if start is None else start.astype(float)
    weight = equations.weights
    fluxes = [layout.states[core.name] for core in equations.cores]
    iterations = 0
    for _ in range(warm_up if layout.dynamic else 0):
        following = follower.follow(state, linearise=False).end[: layout.dynamic]
        following[fluxes] = 0.0
        state = following
        iterations += 1
    best, drift, share, patience, liveliest = math.inf, math.inf, 1.0, 0, 0
    base, base_step, base_end, base_moved = state, np.zeros(layout.dynamic), state, math.inf
    pull, pull_low, low, tries = 0.0, 0.0, 0.0, 0
    moved, recorded, quiet, nearest = math.inf, False, 0, (math.inf, state)
    for _ in range(limit):
        run = follower.follow(state, record=moved < SURE)
        iterations += 1
        end = run.end[: layout.dynamic]
        gap = end - state
        size = max(float(np.abs(weight * follower.scale.states[: layout.dynamic]).max(initial=0.0)), 1e-300)
        drift = float(np.linalg.norm(weight * gap)) / size
        recorded = bool(run.stretches)
        if not layout.dynamic or drift <= ROUNDING:
            break  # nothing moves: a correction would only blow up rounding
        step, amplification = correction(run.jacobian, gap, weight)
        moved = float(np.abs(weight * step).max()) / size
        stands = moved <= max(PRECISION, 4.0 * ROUNDING * amplification)
        if stands and drift <= RETURNS:
            recorded = recorded and moved <= PRECISION
            state = state if recorded else state + step
            break
        if 0.0 < moved <= near:
            state, recorded = state + step, False
            break
        recorded = False
        if drift <= RETURNS:
            # Rounding may keep it from standing quite still: where many diodes switch as one, or next to none does.
            quiet += 1
            nearest = min(nearest, (drift, state), key=lambda found: found[0])
            if quiet > STILL:
                state = nearest[1]
                break
        lost = stands  # nothing that a correction could change moves what still drifts
        liveliest = max(liveliest, run.events)
        change = float(np.linalg.norm(weight * gap))
        # Past the knee everything runs back along the step, however little in one period.
        along = float((weight * gap) @ (weight * base_step))
        # Charged so far that no diode conducts any more: little moves, but only because the step went too far.
        silent = run.events == 0 and liveliest > 0 and along < 0.0
        past = pull > 0.0 and along < 0.0 and (lost or silent or moved > TURNED * base_moved)
        if past and tries < KNEE_TRIES:
            tries += 1
            high, pull_high = share, along
            share = low + (high - low) * min(max(pull_low / (pull_low - pull_high), 0.1), 0.9)
            state = base + share * base_step
        elif (change <= best or tries and along > 0.0) and not lost and not silent:
            best, share, tries = change, 1.0, 0
            base, base_step, base_end, base_moved = state, step, end, moved
            pull = pull_low = float((weight * gap) @ (weight * step))
            low = 0.0
            state = base + share * step
        elif share > LEAST_SHARE and (silent or not lost):
            # The step went too far: the order of switchings has changed on the way. A shorter one, then.
            share *= SHORTER
            state = base + share * base_step
            setbacks -= 1
        else:
            # A passive circuit never moves away from its steady state by itself: let it run on its own for a while.
            patience += 1
            setbacks -= 1
            state = (end if lost and not silent else base_end).copy()
            if lost:
                # It only drains, or fills: many periods at once, but no further than its own size.
                state = state + gap * min(4.0**patience, size / max(change, 1e-300))
            state[fluxes] = 0.0
            for _ in range(patience):
                state = follower.follow(state, linearise=False).end[: layout.dynamic].copy()
                state[fluxes] = 0.0
                iterations += 1
            best, share, pull, tries = math.inf, 1.0, 0.0, 0
        if setbacks < 0:
            raise NoProvableAnswer(NOT_PERIODIC.format(iterations=iterations, drift=drift))
    else:
        if drift > 1e-10:
            raise NoProvableAnswer(NOT_PERIODIC.format(iterations=limit, drift=drift))
    if not recorded:
        run = follower.follow(state, record=True)
    multipliers = stability(run.jacobian)
    return Steady(start=state, run=run, iterations=iterations, multipliers=multipliers)
