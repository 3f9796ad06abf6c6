"""Follows one pattern in time until a guard fails: the kernel, which a compiler may take as it stands.

The state moves along the dyadic ladder of exact exponentials; where a guard fails the step is halved down the
ladder, and on the finest level the instant is the root of a Taylor polynomial. Only arrays and plain loops here:
interpreted and compiled runs share this source (see `kernel`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

import numpy as np

from railwright.solver.elimination import Array
from railwright.solver.pattern import Complex, Flags

Function = TypeVar("Function", bound=Callable[..., Any])

if "compiled" not in globals():  # whoever loads this source may have put a compiler there

    def compiled(function: Function) -> Function:
        """A function of the kernel, as it stands."""
        return function

    def plain(values: Array) -> Sequence[float]:
        """Numbers as loops read them fastest: a list here, the array itself for a compiler."""
        result: list[float] = values.tolist()
        return result


#: Terms of the Taylor polynomials on the finest level (|M| step <= 1/2: the next term is below rounding).
TERMS = 15
#: Departure from the cubic, in tolerances (6e-15 of a guard's own size), beyond which a step is halved.
RINGING = 1.7e11
#: A smooth course this many times farther from zero than it bows can't cross it unseen.
CLEAR = 3.0
#: Instead of a guard's number: it takes the modes to tell whether a fast ring crosses, and they weren't given.
UNTOLD = -2
#: Angle that a mode turns in a step beyond which it counts as fast. [rad]
FAST = 0.5
#: A cubic through the values at both ends of a step, and the rates there times its length: at a quarter, half and
#: three quarters of it.
CUBIC = np.array(
    [
        [0.84375, 0.15625, 0.140625, -0.046875],
        [0.5, 0.5, 0.125, -0.125],
        [0.15625, 0.84375, 0.046875, -0.140625],
    ]
)


@compiled
def taylor(motion: Array, state: Array, step: float) -> Array:
    """Columns m = 0 … TERMS-1 of state(step * s) as a polynomial in s."""
    columns = np.empty((TERMS, len(state)))
    columns[0] = state
    for m in range(1, TERMS):
        columns[m] = motion @ columns[m - 1] * (step / m)
    return columns


@compiled
def evaluate(coefficients: Sequence[float], s: float) -> float:
    """A polynomial's value."""
    total = 0.0
    for m in range(len(coefficients) - 1, -1, -1):
        total = total * s + coefficients[m]
    return total


@compiled
def slope(coefficients: Sequence[float], s: float) -> float:
    """The value of a polynomial's derivative."""
    total = 0.0
    for m in range(len(coefficients) - 1, 0, -1):
        total = total * s + m * coefficients[m]
    return total


@compiled
def lowest_point(coefficients: Sequence[float]) -> float:
    """Where in [0, 1] a polynomial with one dip is lowest."""
    low, high = 0.0, 1.0
    if slope(coefficients, 0.0) >= 0.0:
        return 0.0
    if slope(coefficients, 1.0) <= 0.0:
        return 1.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if slope(coefficients, middle) < 0.0:
            low = middle
        else:
            high = middle
    return high


@compiled
def falling_root(coefficients: Sequence[float], high: float) -> float:
    """Where a polynomial that starts above zero and is below zero at `high` passes zero."""
    low = 0.0
    noise = 0.0
    for coefficient in coefficients:
        noise += 2e-17 * abs(coefficient)
    last = evaluate(coefficients, high)
    s = high * coefficients[0] / (coefficients[0] - last) if last < 0.0 < coefficients[0] else 0.5 * high
    for _ in range(100):
        value = evaluate(coefficients, s)
        if abs(value) <= noise or high - low <= 2e-16:
            break
        if value > 0.0:
            low = s
        else:
            high = s
        steepness = slope(coefficients, s)
        following = low  # not between low and high: halved
        if steepness < 0.0:
            following = s - value / steepness
            if abs(following - s) <= 1e-16:
                break
        s = following if low < following < high else 0.5 * (low + high)
    return s


@compiled
def crossing(coefficients: Array, tolerance: float, floor: float) -> float:
    """First instant in (0, 1] where a guard falls below zero; -1 if it doesn't.

    A guard that begins at zero has just been entered, give or take rounding: it counts as failing only once it is
    below `floor`, or the run would stall in steps of no length.
    """
    if coefficients[0] <= tolerance:
        coefficients = coefficients.copy()
        coefficients[0] = max(coefficients[0] - floor, 0.0)
        floor = 0.0
    polynomial = plain(coefficients)
    if evaluate(polynomial, 1.0) < floor:
        return falling_root(polynomial, 1.0)
    if polynomial[1] >= 0.0:
        return -1.0
    lowest = lowest_point(polynomial)
    if 0.0 < lowest < 1.0 and evaluate(polynomial, lowest) < floor:
        return falling_root(polynomial, lowest)
    return -1.0


@compiled
def clear(
    present: Array,
    middle: Array,
    future: Array,
    falls: Array,
    rises: Array,
    step: float,
    modes: Complex,
    shapes: Complex,
    shares: Complex,
) -> Flags:
    """Whether each guard stays above zero through a step although fast modes ring in it.

    Its course without these is smooth; of these no more than the sum of their amplitudes can come off it.

    Parameters
    ----------
    present, middle, future : array (guards,)
        Values at the start, the middle and the end of the step; `falls`, `rises` the rates at both ends.
    modes : array (modes,)
        Rates of the free motion. [1/s]
    shapes : array (guards, modes)
        What each mode shows in each guard.
    shares : array (modes,)
        How much of each mode the state at the start has.
    """
    amplitude = np.zeros(len(present))
    smooth_present, smooth_middle, smooth_future = present.copy(), middle.copy(), future.copy()
    smooth_falls, smooth_rises = falls.copy(), rises.copy()
    for j in range(len(modes)):
        rate = modes[j]
        if abs(rate.imag) * step > FAST:
            halfway, whole = np.exp(rate * (0.5 * step)), np.exp(rate * step)
            for g in range(len(present)):
                ringing = shapes[g, j] * shares[j]
                amplitude[g] += abs(ringing)
                smooth_present[g] -= ringing.real
                smooth_middle[g] -= (ringing * halfway).real
                smooth_future[g] -= (ringing * whole).real
                smooth_falls[g] -= (ringing * rate).real
                smooth_rises[g] -= (ringing * rate * whole).real
    cubic = 0.5 * (smooth_present + smooth_future) + 0.125 * step * (smooth_falls - smooth_rises)
    lowest = np.minimum(np.minimum(smooth_present, smooth_future), smooth_middle)
    result: Flags = lowest > amplitude + CLEAR * np.abs(smooth_middle - cubic)
    return result


@compiled
def longer(times: Array) -> Array:
    """A list of times with room for twice as many."""
    room = np.empty(2 * len(times))
    room[: len(times)] = times
    return room


@compiled
def longer_rows(states: Array) -> Array:
    """A list of states with room for twice as many."""
    room = np.empty((2 * len(states), states.shape[1]))
    room[: len(states)] = states
    return room


@compiled
def advance(
    ladder: Array,
    motion: Array,
    guards: Array,
    guard_rates: Array,
    state: Array,
    span: float,
    cell: float,
    rounding: Array,
    rate_rounding: Array,
    noise: Array,
    grade: int,
    coarsest: int,
    rings: bool,
    smooth: bool,
    recorded: bool,
    modes: Complex,
    shapes: Complex,
    finder: Complex,
    told: bool,
    most: int,
) -> tuple[Array, float, int, int, int, Array, Array]:
    """Follow a pattern for `span` or to the first failing guard.

    Parameters
    ----------
    rounding, rate_rounding : array (guards,)
        Rounding of a guard's value at any state, and of its rate.
    noise : array (guards, states)
        What each state adds to a value's rounding.
    grade : int
        Coarsest level allowed at first; it falls by one with each step taken, to `coarsest`.
    rings : bool
        Whether anything faster than the fundamental may be hidden inside a step.
    smooth : bool
        Whether nothing can ring: whatever is fast only fades.
    recorded : bool
        Whether every ring is to be followed, so that extremes can be read off the steps.
    modes, shapes, finder : array
        Of the free motion, as `clear` takes them; `finder` @ state is how much of each mode a state has.
    told : bool
        Whether these are given, as far as they can be told apart.
    most : int
        Steps to try before giving up: the state where that happens is returned as if a known instant were there.

    Returns
    -------
    state, elapsed [s], guard, grade, steps tried, times [s], states
        The guard is -1 if none failed, UNTOLD if nothing was done because it takes the modes. The last two: time
        since the start of this call and state at each step's end, the start itself first.
    """
    finest = len(ladder) - 1
    smallest = cell / 2.0**finest
    elapsed = 0.0
    known = np.inf  # the earliest instant at which a guard is known to stand below its floor
    present, falls = guards @ state, guard_rates @ state
    ends = np.empty((4, len(present)))
    # A guard at zero may sink a little further in rounding before it counts as failing.
    tolerances = rounding + noise @ np.abs(state)
    at_zero = present <= tolerances
    sunk = np.where(at_zero, np.minimum(present, 0.0) - 2.0 * tolerances, 0.0)
    tried = 0
    times, states, noted = np.empty(64), np.empty((64, len(state))), 1
    allowed = grade
    times[0], states[0] = 0.0, state
    while span - elapsed > 1e-15 * cell and tried < most:
        tried += 1
        left = span - elapsed
        if left < smallest * (1.0 - 1e-12):
            step, level = left, finest + 1
        else:
            level = grade
            step = cell / 2.0**level
            while step > left * (1.0 + 1e-12) or (level < finest and elapsed + step >= known):
                level += 1
                step *= 0.5
        if level <= finest:
            ahead = ladder[level] @ state
        else:
            ahead = taylor(motion, state, step).sum(axis=0)
        future = guards @ ahead
        rises = guard_rates @ ahead
        tolerances = rounding + noise @ np.abs(ahead)
        floors = np.where(at_zero, np.minimum(sunk, -tolerances), 0.0)
        fails = future < floors
        # A guard that falls at first and rises at the end may dip below between: as far as its end tangents meet.
        bends = (falls < -rate_rounding) & (rises > rate_rounding)
        if np.count_nonzero(bends):
            spread = np.where(bends, falls - rises, -1.0)
            meet = (future - present - rises * step) / spread
            fails = fails | (bends & (present + falls * meet < floors))
        failed = np.count_nonzero(fails)
        if rings and level < finest and not failed:
            # A fast ring between two smooth ends would go unseen: the cubic through both must meet the middle.
            middle = guards @ (ladder[level + 1] @ state)
            ends[0], ends[1], ends[2], ends[3] = present, future, step * falls, step * rises
            early, halfway, late = CUBIC @ ends
            bows = np.abs(middle - halfway)
            hidden = bows > RINGING * tolerances
            lowest = np.minimum(np.minimum(early, late), middle)
            if not recorded and np.count_nonzero(hidden):
                # Far from zero a guard may bend or ring as it likes: only its crossings matter.
                if smooth:
                    hidden &= lowest < CLEAR * bows
                elif len(modes):
                    shares = finder @ state.astype(np.complex128)
                    hidden &= ~clear(present, middle, future, falls, rises, step, modes, shapes, shares)
                elif not told:
                    return states[0], 0.0, UNTOLD, allowed, tried, times[:1], states[:1]
            # A dip that isn't deep, between two ends that are above zero.
            hidden |= (lowest < floors + CLEAR * bows) & (bows > tolerances + step * rate_rounding)
            if np.count_nonzero(hidden):
                grade = level + 1
                continue
        if failed:
            if level < finest:
                grade = level + 1
                if np.count_nonzero(future < floors):
                    known = elapsed + step
                continue
            columns = taylor(motion, state, step)
            first, which = 2.0, -1
            for g in np.flatnonzero(fails):
                root = crossing(columns @ guards[g], tolerances[g], floors[g])
                if 0.0 <= root < first:
                    first, which = root, int(g)
            if which >= 0:
                total = first ** np.arange(TERMS) @ columns
                elapsed += first * step
                if noted == len(times):
                    times, states = longer(times), longer_rows(states)
                times[noted], states[noted] = elapsed, total
                return total, elapsed, which, grade, tried, times[: noted + 1], states[: noted + 1]
            # None has really crossed: back at zero, they may sink a little in rounding again.
            back = fails & (present <= tolerances)
            at_zero |= back
            sunk = np.where(back, np.minimum(present, 0.0) - 2.0 * tolerances, sunk)
        state, present, falls = ahead, future, rises
        at_zero &= present <= tolerances  # once risen it has to fall through zero itself
        elapsed += step
        if noted == len(times):
            times, states = longer(times), longer_rows(states)
        times[noted], states[noted] = elapsed, state
        noted += 1
        if elapsed >= known * (1.0 - 1e-12):
            known = np.inf
        if level <= finest:
            grade = max(coarsest, min(grade, level) - 1)
    return state, elapsed, -1, grade, tried, times[:noted], states[:noted]
