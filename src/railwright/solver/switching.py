"""Which diodes conduct now: the pattern in which no guard fails, or is about to."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from railwright.solver.budget import BUILD, LOOK, SYSTEM, Budget
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.failure import NO_PATTERN, NoProvableAnswer
from railwright.solver.pattern import Flags, Key, Pattern
from railwright.solver.small_step import patterns_a_moment_later

#: Rounding that a guard may show, as a share of the largest terms that it is made of.
GUARD_TOLERANCE = 6e-15
#: A choice of pattern looks through this many tolerances.
_LENIENCE = 10.0
#: The same where moves at that go in circles, and for a pattern that a small implicit step has found: where many diodes
#: switch as one, each has its own error of the instant. What the period shows in the end is proved without it.
_GUESSED = 1e4
#: The same for its rate, and the first lenience that is tried.
_LENIENT_RATES = 10.0
#: Share of the states' size that a jump must have to be one.
_JUMP = 1e-9
#: Patterns looked at in the neighbourhood before all are.
NEAR_LIMIT = 200
#: Patterns tried at most before the search is given up.
_SEARCH_LIMIT = 700


@dataclass
class Scale:
    """The largest size that each state has had, so that rounding can be told from a crossing."""

    states: Array

    def rounding(self, rows: Array) -> Array:
        """Rounding level of each row's value at any state: the states themselves carry that of their largest size."""
        sizes: Array = GUARD_TOLERANCE * (np.abs(rows) @ self.states)
        return sizes

    def tolerances(self, rows: Array, noise: Array, state: Array) -> Array:
        """Rounding level of each row's value at a state: `rounding`, and what the elimination left in the row."""
        sizes: Array = self.rounding(rows) + noise @ np.abs(state)
        return sizes

    def grow(self, state: Array) -> None:
        """Take note of a state."""
        np.maximum(self.states, np.abs(state), out=self.states)


def violations(pattern: Pattern, state: Array, scale: Scale, *, lenience: float = 1.0) -> Flags:
    """Guards that fail, or that stand at zero, give or take rounding (its tolerance times `lenience`), and fall.

    Lexicographic: first what the jump on the way in would make infinite, then the value, then its derivatives.
    """
    if not len(pattern.owners):
        return np.zeros(0, dtype=bool)
    value, rate, bend = pattern.watched @ state
    tolerance, rate_tolerance, bend_tolerance = _LENIENCE * scale.tolerances(pattern.watched, pattern.noise, state)
    tolerance *= lenience
    rate_tolerance *= min(lenience, _LENIENT_RATES)
    at_zero = np.abs(value) <= tolerance
    rate_zero = np.abs(rate) <= rate_tolerance
    fails = (value < -tolerance) | (at_zero & ((rate < -rate_tolerance) | (rate_zero & (bend < -bend_tolerance))))
    if pattern.constrained and not fits(pattern, state, scale):
        kick = pattern.impulses @ state
        least = _JUMP * (np.abs(pattern.impulses) @ scale.states)
        fails = np.where(np.abs(kick) > least, kick < 0.0, fails)
    result: Flags = fails
    return result


def fits(pattern: Pattern, state: Array, scale: Scale) -> bool:
    """Whether the state can enter this pattern without a jump."""
    if pattern.contradictory:
        return False
    if not pattern.constrained:
        return True
    jump = np.abs(pattern.entry @ state - state)
    weights = np.maximum(scale.states, 1e-3 * scale.states.max())
    return bool(np.all(jump <= _JUMP * weights))


def choose(
    equations: Equations, key: Key, state: Array, scale: Scale, budget: Budget, *, jumps_left: int = 3
) -> tuple[Pattern, Array]:
    """The pattern that holds from here on, starting the search from `key`, and the state as it enters it.

    Raises
    ------
    NoProvableAnswer
        If no pattern satisfies its guards.
    """
    jump: tuple[Pattern, Array] | None = None
    pattern, key, seen = _by_moves(equations, key, state, scale, budget)
    if pattern is not None:
        if fits(pattern, state, scale):
            return _settled(_without_idlers(equations, pattern, state, scale, budget), state)
        if not pattern.contradictory:
            jump = _entered(pattern, state, scale)
            if jump is None and jumps_left:
                # Charge or flux jumps through this pattern, and another one takes over at once.
                return choose(equations, key, pattern.entry @ state, scale, budget, jumps_left=jumps_left - 1)
    else:
        for lenience in (_LENIENT_RATES, _GUESSED):
            pattern, _, _ = _by_moves(equations, key, state, scale, budget, lenience=lenience)
            if pattern is not None and fits(pattern, state, scale):
                return _settled(_without_idlers(equations, pattern, state, scale, budget), state)
    guess = _search_by_a_small_step(equations, key, state, scale, budget, jumps_left)
    if guess is not None:
        return guess
    found = _search_near(equations, key, state, scale, budget, seen)
    if found is None:
        found = _search_all(equations, key, state, scale, budget)
    if found is not None:
        return _settled(_without_idlers(equations, found, state, scale, budget), state)
    jump = jump or _search_jump(equations, key, state, scale, budget)
    if jump is not None:
        return jump
    angle = float(np.degrees(np.arctan2(state[-2], state[-3]))) % 360.0 if len(state) > 2 else 0.0
    raise NoProvableAnswer(NO_PATTERN.format(angle=angle))


def _by_moves(
    equations: Equations, key: Key, state: Array, scale: Scale, budget: Budget, *, lenience: float = 1.0
) -> tuple[Pattern | None, Key, set[Key]]:
    """Every block whose guard fails is moved, until none does: the pattern, or None if that goes in circles.

    Also the key at which it ended, and those that were left.
    """
    together = len(equations.blocks) + 2
    singly = 20 + 4 * len(equations.block_rows.laws)
    seen: set[Key] = set()
    alone: set[Key] | None = None
    for turn in range(together + singly):
        pattern = _look(equations, key, budget)
        failing = np.flatnonzero(violations(pattern, state, scale, lenience=lenience))
        if not len(failing):
            return pattern, key, seen
        if alone is None and (turn >= together or key in seen):
            alone = set()
        if alone is not None:
            if key in alone:
                break
            alone.add(key)
            failing = failing[:1]  # one at a time, the first: two moves at once can chase each other
        seen.add(key)
        key = pattern.moved(failing)
    return None, key, seen


def _search_by_a_small_step(
    equations: Equations, key: Key, state: Array, scale: Scale, budget: Budget, jumps_left: int
) -> tuple[Pattern, Array] | None:
    """A pattern that a small implicit step leads to, if it holds; charge or flux may jump on the way in, or through."""
    for candidate, systems in patterns_a_moment_later(equations, key, state):
        budget.spend(SYSTEM * systems)
        if candidate is None:
            continue
        pattern = _look(equations, candidate, budget)
        if fits(pattern, state, scale) and not violations(pattern, state, scale, lenience=_GUESSED).any():
            return _settled(_without_idlers(equations, pattern, state, scale, budget), state)
        if pattern.constrained and not pattern.contradictory:
            entered = _entered(pattern, state, scale)
            if entered is not None:
                return entered
            if jumps_left and not fits(pattern, state, scale):
                return choose(equations, candidate, pattern.entry @ state, scale, budget, jumps_left=jumps_left - 1)
    return None


def _settled(pattern: Pattern, state: Array) -> tuple[Pattern, Array]:
    """A pattern with the state made to meet its hidden constraints to the last digit: rounding would stay for good."""
    return pattern, pattern.entry @ state if pattern.constrained else state


def _entered(pattern: Pattern, state: Array, scale: Scale) -> tuple[Pattern, Array] | None:
    """A pattern with the state after its jump, if it holds there."""
    entered = pattern.entry @ state
    return None if violations(pattern, entered, scale).any() else (pattern, entered)


def _without_idlers(
    equations: Equations, pattern: Pattern, state: Array, scale: Scale, budget: Budget
) -> Pattern:
    """The same answer with every diode off that could carry no current in this pattern (no return path)."""
    if len(pattern.idle):
        calmer = _holds(equations, pattern.moved(pattern.idle), state, scale, budget)
        if calmer is not None:
            return calmer
    return pattern


def _look(equations: Equations, key: Key, budget: Budget) -> Pattern:
    budget.spend(LOOK if key in equations.patterns else BUILD)
    return equations.pattern(key)


def _holds(equations: Equations, key: Key, state: Array, scale: Scale, budget: Budget) -> Pattern | None:
    pattern = _look(equations, key, budget)
    if not violations(pattern, state, scale).any() and fits(pattern, state, scale):
        return pattern
    return None


def _search_near(
    equations: Equations, key: Key, state: Array, scale: Scale, budget: Budget, seen: set[Key]
) -> Pattern | None:
    """Breadth first through the blocks whose guards stand at zero or fail."""
    frontier = [*seen, key]
    visited = set(frontier)
    for found in frontier:
        pattern = _holds(equations, found, state, scale, budget)
        if pattern is not None:
            return pattern
    while frontier and len(visited) < NEAR_LIMIT:
        following: list[Key] = []
        for present in frontier:
            pattern = _look(equations, present, budget)
            if len(pattern.guards):
                value = pattern.guards @ state
                near = value <= 100.0 * _LENIENCE * scale.tolerances(pattern.guards, pattern.noise[0], state)
            else:
                near = np.zeros(0, dtype=bool)
            for g in np.flatnonzero(near):
                neighbour = pattern.moved(np.array([g]))
                if neighbour in visited:
                    continue
                visited.add(neighbour)
                candidate = _holds(equations, neighbour, state, scale, budget)
                if candidate is not None:
                    return candidate
                following.append(neighbour)
        frontier = following
    return None


def _all_keys(equations: Equations, key: Key) -> list[Key]:
    counts = [range(len(b.states)) for b in equations.blocks]
    total = int(np.prod([len(c) for c in counts], dtype=float)) if counts else 1
    if total > _SEARCH_LIMIT:
        return []
    keys = [(key[0], *states) for states in itertools.product(*counts)]
    return sorted(keys, key=lambda k: sum(a != b for a, b in zip(k, key, strict=True)))


def _search_all(equations: Equations, key: Key, state: Array, scale: Scale, budget: Budget) -> Pattern | None:
    for candidate in _all_keys(equations, key):
        pattern = _holds(equations, candidate, state, scale, budget)
        if pattern is not None:
            return pattern
    return None


def _search_jump(
    equations: Equations, key: Key, state: Array, scale: Scale, budget: Budget
) -> tuple[Pattern, Array] | None:
    """Last: patterns that are entered with a jump of charge or flux (an infinite current), smallest jump first."""
    best: tuple[float, Pattern, Array] | None = None
    for candidate in _all_keys(equations, key):
        pattern = _look(equations, candidate, budget)
        if pattern.contradictory or not pattern.constrained:
            continue
        found = _entered(pattern, state, scale)
        if found is None:
            continue
        entered = found[1]
        size = float(np.abs(equations.energy * (entered - state)[: len(equations.energy)]).sum())
        if best is None or size < best[0]:
            best = (size, pattern, entered)
    return None if best is None else (best[1], best[2])
