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
from railwright.solver.equations import Equations
from railwright.solver.failure import NO_LIMIT, NoProvableAnswer
from railwright.solver.pattern import Pattern
from railwright.solver.period import Follower, Run
from railwright.solver.solution import Solution
from railwright.solver.steady import Steady, correction, find, stability, weights

#: Time constants, in periods, of the two light loads that point to the limit.
_LIGHT = (1e9, 8e9)
#: The distance from the limit falls with this power of the light load's resistance (conduction angle ~ R^(-1/3)).
_POWER = 2.0 / 3.0
#: Share of the peak voltage within which a diode's threshold counts as touched.
_NEAR = 1e-3
#: Attempts to raise the kept charges until no diode conducts.
_RAISES = 12


def _resting(equations: Equations) -> Pattern:
    """The pattern in which every block is in its starting state, and its guards watched by nobody."""
    pattern = equations.pattern((0, *(block.start for block in equations.blocks)))
    none = np.zeros((0, equations.layout.size))
    empty = np.zeros(0, dtype=int)
    return replace(
        pattern,
        guards=none,
        guard_rates=none,
        guard_curvatures=none,
        impulses=none,
        noise=none,
        rate_noise=none,
        curvature_noise=none,
        owners=empty,
        targets=empty,
        idle=empty,
    )


def kept_capacitors(equations: Equations) -> list[str]:
    """Capacitors of which some charge stays for ever while no diode conducts."""
    count = len(equations.capacitors)
    if not count or not equations.blocks:
        return []
    pattern = equations.pattern((0, *(block.start for block in equations.blocks)))
    if pattern.contradictory:
        return []
    dynamic = equations.layout.dynamic
    energy = weights(equations)
    motion = energy[:, None] * pattern.motion[:dynamic, :dynamic] * equations.period / energy
    if pattern.constrained:
        motion = motion @ (energy[:, None] * pattern.entry[:dynamic, :dynamic] / energy)
    _, sizes, right = np.linalg.svd(motion)
    floor = 1e-13 * max(float(sizes[0]), 1.0)
    kept = right[sizes <= floor]
    if pattern.constrained and len(kept):
        kept = kept @ (energy[:, None] * pattern.entry[:dynamic, :dynamic] / energy).T
    shares = np.abs(kept[:, :count]).max(axis=0, initial=0.0)
    return [c.name for c, share in zip(equations.capacitors, shares, strict=True) if share > 1e-6]


def holds_charge(equations: Equations) -> bool:
    """Whether there is a steady state in which no diode ever conducts, all charge staying where it is."""
    kept = kept_capacitors(equations)
    if not kept:
        return False
    pattern = equations.pattern((0, *(block.start for block in equations.blocks)))
    quiet, energy = _resting(equations), weights(equations)
    places = [equations.layout.states[name] for name in kept]
    state = np.zeros(equations.layout.dynamic)
    for _ in range(_RAISES):
        run = _quiet_run(equations, quiet, state)
        gap = run.end[: len(state)] - state
        step, _ = correction(run.jacobian, gap, energy)
        state = state + step
        slack, gradients, peak = _slack(equations, pattern, quiet, state)
        failing = np.flatnonzero(slack < -1e-9 * peak)
        if not len(failing):
            return True
        # Raise the kept charges, and only these, a little beyond what the failing diodes ask for.
        rows = gradients[failing][:, places] / energy[places]
        if np.abs(rows).max(initial=0.0) < 1e-12:
            return False
        raised, *_ = np.linalg.lstsq(rows, slack[failing] - 1e-3 * peak, rcond=1e-9)
        state[places] += raised / energy[places]
    return False


def _lightly_loaded(network: Network, periods: float) -> Network:
    """The network with a light load across every capacitor."""
    equations = Equations(network)
    kept = kept_capacitors(equations)
    leaks = [
        Resistor(name=f"light load of {c.name}", a=c.a, b=c.b, resistance=periods * network.period / c.capacitance)
        for c in equations.capacitors
        if c.name in kept
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
    return equations, Steady(start=state, run=run, iterations=iterations, multipliers=stability(run.jacobian))


def _settle(equations: Equations, state: Array) -> Array:
    """Set the kept voltages so that every diode that was the last to conduct just touches its threshold."""
    pattern = equations.pattern((0, *(block.start for block in equations.blocks)))
    quiet = _resting(equations)
    energy = weights(equations)
    for _ in range(4):
        slack, gradients, peak = _slack(equations, pattern, quiet, state)
        touching = np.flatnonzero(np.abs(slack) <= _NEAR * peak)
        if not len(touching):
            break
        step, *_ = np.linalg.lstsq(gradients[touching] / energy, slack[touching], rcond=1e-9)
        state = state + step / energy
        if np.abs(slack[touching]).max() <= 1e-15 * peak:
            break
    return state


def _slack(equations: Equations, pattern: Pattern, quiet: Pattern, state: Array) -> tuple[Array, Array, float]:
    """How far each block stays from leaving its resting state over a period, its gradient, and the largest voltage."""
    count = equations.layout.dynamic
    run = _quiet_run(equations, quiet, state)
    solution = Solution(equations, Steady(start=state, run=run, iterations=0, multipliers=np.zeros(0, dtype=complex)))
    rows = [solution.rows.voltage(b.a, b.b) for b in equations.blocks]
    thresholds = np.array([-_threshold(b) for b in equations.blocks])
    measured = solution.measures(rows, harmonics=False)
    peak = float(np.abs(measured.maximum).max() + np.abs(measured.minimum).max())
    gradients = np.array([-pattern.guards[_first_guard(pattern, k)][:count] for k in range(len(equations.blocks))])
    return thresholds - measured.maximum, gradients, max(peak, 1e-300)


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
        return follower.follow(state, record=True, key=quiet.key)
    finally:
        equations.patterns = kept
