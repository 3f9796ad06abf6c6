"""No load at all: capacitors that nothing discharges keep the least charge at which no diode conducts any more.

Such a circuit has a whole family of steady states. The answer is the one that ever lighter loads lead to: each diode
gives the capacitors as much charge as they lose, which is little and in proportion to what they hold. In the limit
that is the state of least stored energy among those in which every diode stays off (its conditions are the same:
charge only through diodes that just touch their threshold).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from railwright.network.elements import Capacitor, Element, Inductor, Resistor, Source
from railwright.network.network import Network
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.failure import NO_LIMIT, NoProvableAnswer
from railwright.solver.pattern import Key, Modes, Pattern
from railwright.solver.period import Follower, Run
from railwright.solver.rows import Row, over_states, stack
from railwright.solver.solution import Solution
from railwright.solver.steady import Steady, correction, stability

#: Share of a guard's own size within which it counts as met, or as touched.
_MET = 1e-9
#: Below this no kept charge moves a guard.
_UNMOVED = 1e-10
#: Share of its own size at which a touched guard is left standing above zero.
_CLEAR = 4e-15
#: Rounds in which the touched guards are brought there.
_POLISHES = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class _Margins:
    """How far each guard of the resting blocks stays from failing, over a period.

    least, size : array (guards,)
        Its smallest value and the size of its terms.
    slopes : array (guards, dynamic)
        What the states, weighed by their energy, add to it.
    """

    least: Array
    size: Array
    slopes: Array


def _resting_key(equations: Equations, stretch: int = 0) -> Key:
    return (stretch, *(block.start for block in equations.blocks))


def _unwatched(pattern: Pattern) -> Pattern:
    """A pattern whose guards nobody watches."""
    unwatched = np.zeros((3, 0, len(pattern.motion)))
    empty = np.zeros(0, dtype=int)
    return replace(
        pattern,
        watched=unwatched,
        impulses=unwatched[0],
        noise=unwatched,
        owners=empty,
        targets=empty,
        idle=empty,
        modes=Modes(pattern.motion, unwatched[0], rings=False),
    )


def _kept_directions(equations: Equations) -> Array:
    """Directions, weighed by energy, in which charge stays for ever while no diode conducts: array (dynamic, kept)."""
    dynamic = equations.layout.dynamic
    if not equations.capacitors or not equations.blocks:
        return np.zeros((dynamic, 0))
    # What stays depends on how the parts are connected, not on their values: with every value at one it shows best.
    unit = Equations(_with_unit_values(equations.network))
    pattern = unit.pattern(_resting_key(unit))
    if pattern.contradictory:
        return np.zeros((dynamic, 0))
    motion, entry = pattern.motion[:dynamic, :dynamic], pattern.entry[:dynamic, :dynamic]
    if pattern.constrained:
        motion = motion @ entry
    kept = _null_space(motion)
    if pattern.constrained and kept.shape[1]:
        kept = _spanned(entry @ kept)  # only what the constraints allow: a state that jumps away at once isn't kept
    charged = np.abs(kept[: len(equations.capacitors)]).max(axis=0, initial=0.0) > 1e-6
    return _spanned(equations.weights[:, None] * kept[:, charged])


def _with_unit_values(network: Network) -> Network:
    """The network with every resistance, capacitance and inductance that isn't zero at one."""

    def unit(element: Element) -> Element:
        if isinstance(element, Resistor):
            return replace(element, resistance=1.0 if element.resistance else 0.0)
        if isinstance(element, Capacitor):
            return replace(element, capacitance=1.0, esr=1.0 if element.esr else 0.0)
        if isinstance(element, Inductor):
            return replace(element, inductance=1.0, resistance=1.0 if element.resistance else 0.0)
        if isinstance(element, Source) and not element.is_current:
            return replace(element, resistance=1.0 if element.resistance else 0.0)
        return element

    return replace(network, elements=tuple(unit(element) for element in network.elements))


def _null_space(matrix: Array) -> Array:
    """An orthonormal basis of what `matrix` makes zero; array (columns, basis)."""
    _, sizes, right = np.linalg.svd(matrix)
    result: Array = right[sizes <= 1e-11 * max(float(sizes[0]), 1.0)].T
    return result


def _spanned(directions: Array) -> Array:
    """An orthonormal basis of what these columns span."""
    size = np.linalg.norm(directions, axis=0)
    left, sizes, _ = np.linalg.svd(directions / np.where(size > 0.0, size, 1.0), full_matrices=False)
    result: Array = left[:, sizes > 1e-9]
    return result


def holds_charge(equations: Equations) -> bool:
    """Whether there is a steady state in which no diode ever conducts, all charge staying where it is."""
    return _least_charge(equations) is not None


def find_unloaded(network: Network) -> tuple[Equations, Steady]:
    """The limit of ever lighter loads.

    Raises
    ------
    NoProvableAnswer
        If nothing stays as it is in the state that was found.
    """
    equations = Equations(network)
    state = _least_charge(equations)
    if state is None:
        raise NoProvableAnswer(NO_LIMIT)
    follower = Follower(equations)
    follower.scale.states[: len(state)] = np.maximum(follower.scale.states[: len(state)], np.abs(state))
    run = follower.follow(state, record=True)
    energy = equations.weights
    drift = np.abs(energy * (run.end[: len(state)] - state)).max(initial=0.0)
    if drift > 1e-9 * np.abs(energy * follower.scale.states[: len(state)]).max(initial=1e-300):
        raise NoProvableAnswer(NO_LIMIT)
    return equations, Steady(start=state, run=run, iterations=1, multipliers=stability(run.jacobian))


def _least_charge(equations: Equations) -> Array | None:
    """The state of least kept energy in which no block leaves its resting state; None if there is none."""
    kept = _kept_directions(equations)
    if not kept.shape[1]:
        return None
    energy = equations.weights
    state = _returning(equations, kept, np.zeros(equations.layout.dynamic))
    state = state - kept @ (kept.T @ (energy * state)) / energy  # from rest: nothing kept yet
    margins = _margins(equations, state)
    moves = margins.slopes @ kept
    moved = np.abs(moves).max(axis=1, initial=0.0) > _UNMOVED * margins.size
    if np.any(margins.least[~moved] < -_MET * margins.size[~moved]):
        return None
    raised = _least_distance(moves[moved], -margins.least[moved])
    if raised is None:
        return None
    state = state + kept @ raised / energy
    for _ in range(_POLISHES):
        margins = _margins(equations, state)
        touched = moved & (np.abs(margins.least) <= _MET * margins.size)
        if not touched.any():
            break
        # A rounding above the threshold, or the diode would conduct for it.
        step = _least_distance(margins.slopes[touched] @ kept, (_CLEAR * margins.size - margins.least)[touched])
        if step is None or not step.any():
            break
        state = _returning(equations, kept, state + kept @ step / energy)
    if np.any(margins.least < -_MET * margins.size):
        return None
    # What a constant current drains all the time doesn't stay, whatever charge is kept.
    drift = np.abs(energy * (_quiet_run(equations, state).end[: len(state)] - state)).max(initial=0.0)
    return None if drift > 1e-9 * max(np.abs(energy * state).max(initial=0.0), 1e-300) else state


def _returning(equations: Equations, kept: Array, state: Array) -> Array:
    """The state that returns after a quiet period, with the same charge kept."""
    energy = equations.weights
    run = _quiet_run(equations, state)
    step, _ = correction(run.jacobian, run.end[: len(state)] - state, energy)
    result: Array = state + step - kept @ (kept.T @ (energy * step)) / energy
    return result


def _least_distance(moves: Array, needs: Array) -> Array | None:
    """The shortest y with `moves` @ y >= `needs`; None if there is none.

    Source
    ------
    C. L. Lawson and R. J. Hanson, Solving Least Squares Problems, 1974, problem LDP (from memory).
    """
    count = moves.shape[1]
    if not len(needs) or needs.max() <= 0.0:
        return np.zeros(count)
    size = np.abs(moves).max(axis=1)
    moves, needs = moves / size[:, None], needs / size
    largest = float(np.abs(needs).max())
    stacked = np.vstack([moves.T, needs / largest])
    goal = np.zeros(count + 1)
    goal[count] = 1.0
    left = stacked @ _pushes(stacked, goal) - goal
    if np.linalg.norm(left) < 1e-9 or abs(left[count]) < 1e-12:
        return None
    result: Array = -left[:count] / left[count] * largest
    return result


def _pushes(matrix: Array, goal: Array) -> Array:
    """The x >= 0 that brings `matrix` @ x nearest to `goal`: active set, one column more at a time (same source).

    Written out here because importing a library's costs more than solving.
    """
    count = matrix.shape[1]
    x = np.zeros(count)
    free = np.zeros(count, dtype=bool)
    for _ in range(3 * count + 10):
        pull = matrix.T @ (goal - matrix @ x)
        pull[free] = -np.inf
        if pull.max(initial=-np.inf) <= 1e-13:
            break
        free[int(pull.argmax())] = True
        while free.any():
            trial = np.zeros(count)
            trial[free], *_ = np.linalg.lstsq(matrix[:, free], goal, rcond=1e-13)
            bad = free & (trial <= 0.0)
            if not bad.any():
                x = trial
                break
            step = float((x[bad] / np.maximum(x[bad] - trial[bad], 1e-300)).min())
            x = x + step * (trial - x)
            free &= x > 1e-15
            x[~free] = 0.0
    return x


def _margins(equations: Equations, state: Array) -> _Margins:
    """The margins of a period that begins at `state`, every block held at rest."""
    count = equations.layout.dynamic
    run = _quiet_run(equations, state)
    energy = equations.weights
    least, size, slopes = [], [], []
    for stretch in sorted({s.pattern.key[0] for s in run.stretches}):
        part = replace(run, stretches=tuple(s for s in run.stretches if s.pattern.key[0] == stretch))
        rows = stack(_guard_rows(equations, stretch))
        forms = over_states(rows, part.stretches[0].pattern)
        steady = Steady(start=state, run=part, iterations=0, multipliers=np.zeros(0, dtype=complex))
        least.append(Solution(equations, steady).lowest(rows))
        largest = np.max([np.abs(s.states).max(axis=0) for s in part.stretches], axis=0)
        size.append(np.abs(forms) @ largest)
        slopes.append(forms[:, :count] / energy)
    return _Margins(
        least=np.concatenate(least), size=np.maximum(np.concatenate(size), 1e-30), slopes=np.concatenate(slopes)
    )


def _guard_rows(equations: Equations, stretch: int) -> list[Row]:
    """The guards of every block's resting state as output rows."""
    rows = equations.block_rows
    places, _ = rows.guards_of(rows.chosen(_resting_key(equations, stretch)))
    return [
        Row(unknowns=unknowns, states=states)
        for unknowns, states in zip(rows.guards[places], rows.guard_states[places], strict=True)
    ]


def _quiet_run(equations: Equations, state: Array) -> Run:
    """One period with every block held at rest."""
    resting = [_resting_key(equations, n) for n in range(len(equations.boundaries) - 1)]
    quiet = {key: _unwatched(equations.pattern(key)) for key in resting}
    whole = equations.forcing(0.0)
    whole[: len(state)] = state
    state = (quiet[resting[0]].entry @ whole)[: len(state)]
    follower = Follower(equations)
    kept, equations.patterns = equations.patterns, quiet
    try:
        return follower.follow(state, record=True, key=resting[0])
    finally:
        equations.patterns = kept
