"""No load at all: capacitors that nothing discharges keep the least charge at which no diode conducts any more.

Such a circuit has a whole family of steady states; the one reached from below is answered. It is the limit of ever
lighter loads: two of these point the way, then the voltages are set so that each last diode just touches its
threshold.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from railwright.network.elements import Resistor
from railwright.network.network import Network
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations, Pattern
from railwright.solver.failure import NO_LIMIT, NoProvableAnswer
from railwright.solver.period import Follower, Run
from railwright.solver.solution import Solution
from railwright.solver.steady import Steady, find, weights

#: Time constants, in periods, of the two light loads that point to the limit.
_LIGHT = (1e9, 8e9)
#: The distance from the limit falls with this power of the light load's resistance (conduction angle ~ R^(-1/3)).
_POWER = 2.0 / 3.0
#: Share of the peak voltage within which a diode's threshold counts as touched.
_NEAR = 1e-3


def _resting(equations: Equations) -> Pattern:
    """The pattern in which every block is in its starting state, and its guards watched by nobody."""
    pattern = equations.pattern((0, *(block.start for block in equations.blocks)))
    none = np.zeros((0, equations.layout.size))
    empty = np.zeros(0, dtype=int)
    return replace(
        pattern, guards=none, guard_rates=none, guard_curvatures=none, owners=empty, targets=empty, idle=empty
    )


def holds_charge(equations: Equations) -> bool:
    """Whether some charge stays for ever once no diode conducts."""
    count = len(equations.capacitors)
    if not count or not equations.blocks:
        return False
    pattern = equations.pattern((0, *(block.start for block in equations.blocks)))
    if pattern.contradictory:
        return False
    dynamic = equations.layout.dynamic
    motion = pattern.motion[:dynamic, :dynamic] * equations.period
    energy = weights(equations)
    motion = energy[:, None] * motion / energy
    left, sizes, _ = np.linalg.svd(motion)
    floor = 1e-13 * max(float(sizes[0]), 1.0)
    kept = left[:, sizes <= floor]
    # A direction that is kept and holds charge of a capacitor; chokes without resistance alone don't count.
    share = np.abs(kept[:count]).max(initial=0.0) if kept.size else 0.0
    constrained = np.abs(pattern.entry[:dynamic, :dynamic] - np.eye(dynamic)).max() > 1e-9 if dynamic else False
    if constrained:
        held = pattern.entry[:dynamic, :dynamic] / energy[None, :] * energy[:, None]
        share = np.abs((held.T @ kept)[:count]).max(initial=0.0) if kept.size else 0.0
    return bool(share > 1e-6)


def _lightly_loaded(network: Network, periods: float) -> Network:
    """The network with a light load across every capacitor."""
    equations = Equations(network)
    leaks = [
        Resistor(
            name=f"light load of {c.name}", a=c.a, b=c.b, resistance=periods * network.period / c.capacitance
        )
        for c in equations.capacitors
    ]
    return replace(network, elements=(*network.elements, *leaks))


def find_unloaded(network: Network) -> tuple[Equations, Steady]:
    """The limit of ever lighter loads.

    Raises
    ------
    NoProvableAnswer
        If the light loads have no steady state or their limit is none.
    """
    states: list[Array] = []
    iterations = 0
    start: Array | None = None
    for periods in _LIGHT:
        steady = find(Equations(_lightly_loaded(network, periods)), start=start)
        states.append(steady.start)
        start = steady.start
        iterations += steady.iterations
    factor = (_LIGHT[1] / _LIGHT[0]) ** _POWER
    state = states[1] + (states[1] - states[0]) / (factor - 1.0)
    equations = Equations(network)
    state = _settle(equations, state)
    follower = Follower(equations)
    follower.scale.states[: len(state)] = np.maximum(follower.scale.states[: len(state)], np.abs(state))
    run = follower.follow(state, record=True)
    drift = np.abs(run.end[: len(state)] - state).max(initial=0.0)
    if drift > 1e-9 * max(np.abs(state).max(initial=0.0), 1e-300):
        raise NoProvableAnswer(NO_LIMIT)
    multipliers = np.linalg.eigvals(run.jacobian)
    return equations, Steady(start=state, run=run, iterations=iterations, multipliers=multipliers)


def _settle(equations: Equations, state: Array) -> Array:
    """Set the kept voltages so that every diode that was the last to conduct just touches its threshold."""
    pattern = equations.pattern((0, *(block.start for block in equations.blocks)))
    quiet = _resting(equations)
    count = equations.layout.dynamic
    energy = weights(equations)
    for _ in range(4):
        run = _quiet_run(equations, quiet, state)
        # What the periodic part of the state (chokes, leakage) does of its own is already settled in `state`.
        solution = Solution(equations, Steady(start=state, run=run, iterations=0, multipliers=np.zeros(0)))
        rows = [solution.rows.voltage(b.a, b.b) for b in equations.blocks]
        thresholds = np.array([-_threshold(b) for b in equations.blocks])
        measured = solution.measures(rows, harmonics=False)
        slack = thresholds - measured.maximum
        peak = float(np.abs(measured.maximum).max() + np.abs(measured.minimum).max())
        touching = np.flatnonzero(np.abs(slack) <= _NEAR * peak)
        if not len(touching):
            break
        gradients = np.array([-pattern.guards[_first_guard(pattern, k)][:count] for k in touching])
        step, *_ = np.linalg.lstsq(gradients / energy, slack[touching], rcond=1e-9)
        state = state + step / energy
        if np.abs(slack[touching]).max() <= 1e-15 * peak:
            break
    return state


def _threshold(block: object) -> float:
    law = block.states[block.start].guards[0].law  # type: ignore[attr-defined]
    return float(law.constant / law.across) if law.across else 0.0


def _first_guard(pattern: Pattern, block: int) -> int:
    return int(np.flatnonzero(pattern.owners == block)[0])


def _quiet_run(equations: Equations, quiet: Pattern, state: Array) -> Run:
    """One period with every diode held off."""
    follower = Follower(equations)
    kept = equations.patterns
    equations.patterns = {quiet.key: quiet}
    try:
        return follower.follow(state, record=True, linearise=False, key=quiet.key)
    finally:
        equations.patterns = kept
