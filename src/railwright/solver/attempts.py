"""The steady state of one network: straight, or where corrections go astray by way of an eased circuit."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from railwright.network.elements import Capacitor
from railwright.network.network import Network
from railwright.solver.approach import approach
from railwright.solver.budget import Budget
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.failure import NoProvableAnswer
from railwright.solver.power_loads import find_from_below
from railwright.solver.solution import Solution
from railwright.solver.steady import WARM_UP, Steady, find
from railwright.solver.unloaded import find_unloaded, holds_charge

#: A first attempt: corrections at most, and how many of them may make matters worse.
FIRST_LIMIT, SETBACKS = 25, 3
#: Steps for a first attempt, straight from rest or from a neighbour's state; for each of the eased circuits that a
#: second one passes through; and for its last part.
STRAIGHT, EASED, LAST = 10_000, 20_000, 30_000
#: Capacitors from which corrections straight from rest so seldom find their way that they come second.
LADDER = 6
#: The series resistance of every capacitor, in periods per farad, through which a second attempt goes.
EASING: Final = (0.3, 0.02, 0.0)
#: Change over one period, as a share of the state's size, at which an eased circuit is left, and the real one.
ON_THE_WAY, NEARBY = 1e-3, 1e-3
#: How many times more steps a circuit of many-segment diodes may take.
MANY_PIECES = 5


def steady_period(network: Network, start: Array | None, whole: Budget, *, near: float = 0.0) -> Solution:
    """The steady period of a network as it stands.

    Parameters
    ----------
    start : array (dynamic,) or None
        A state near the steady one, from a neighbour; rest if not given, or if it doesn't fit.
    near : float
        Correction, as a share of the state's size, after which the period is near enough.

    Raises
    ------
    NoProvableAnswer
        If none is found.
    """
    equations = Equations(network)
    close = start if start is not None and len(start) == equations.layout.dynamic else None
    if network.wanted.loads:
        return Solution(equations, find_from_below(equations, close, whole))
    if holds_charge(equations):
        return Solution(*find_unloaded(network))
    patience = MANY_PIECES if network.laws else 1
    attempts = [_straight, _eased]
    if close is None and len(equations.capacitors) >= LADDER:
        attempts.reverse()
    failure: NoProvableAnswer | None = None
    for attempt in attempts:
        try:
            return Solution(equations, attempt(equations, close, near, whole, patience))
        except NoProvableAnswer as astray:
            failure = astray
    assert failure is not None
    raise failure


def _straight(equations: Equations, start: Array | None, near: float, whole: Budget, patience: int) -> Steady:
    """By corrections from a neighbour's state, or from rest."""
    budget = whole.share(patience * STRAIGHT)
    warm_up = WARM_UP if start is None else 0
    return find(
        equations, start=start, warm_up=warm_up, limit=FIRST_LIMIT, setbacks=SETBACKS, near=near, budget=budget
    )


def _eased(equations: Equations, start: Array | None, near: float, whole: Budget, patience: int) -> Steady:
    """By way of the same circuit with more resistance.

    With so much in series with every capacitor that each takes a good part of a period to charge, all diodes conduct
    together and corrections find their way. From there the resistance is taken away in strides.
    """
    network, key = equations.network, None
    for share in EASING:
        eased = equations
        if share:
            elements = tuple(
                replace(e, esr=max(e.esr, share * network.period / e.capacitance)) if isinstance(e, Capacitor) else e
                for e in network.elements
            )
            eased = Equations(replace(network, elements=elements))
        stage = whole.share(patience * EASED)
        start, key = approach(eased, stage, start, near=ON_THE_WAY if share else NEARBY)
    return find(equations, start=start, key=key, warm_up=0, near=near, budget=whole.share(patience * LAST))
