"""Loads of constant power: they may have two steady states, or none that holds together.

A constant power takes more current the lower its voltage: such a circuit can rest at a low voltage, where the load is
below its floor, and at a high one. The state reached from rest is answered; the other is reported.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from railwright.network.elements import Block
from railwright.network.network import Network
from railwright.solver.budget import Budget
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.failure import OSCILLATES, NoProvableAnswer
from railwright.solver.rows import Rows, over_states, stack
from railwright.solver.steady import Steady, find
from railwright.solver.unloaded import find_unloaded, holds_charge

#: Plain periods before the first correction: a correction from afar could land on the unstable state between.
WARM_UP = 12
#: Relative difference of two steady states beyond which they are two.
_APART = 1e-6
#: Steps at most: for the state from rest, and for each search for the one from above.
BELOW_BUDGET, ABOVE_BUDGET = 30_000, 12_000


def check(equations: Equations) -> None:
    """Refuse a load that demands more than its wiring lets through at once.

    With the capacitors' voltages fixed, the resistance that the load sees times power / floor² has to stay below 1:
    else the load's voltage has two answers at the same instant and jumps between them.

    Raises
    ------
    NoProvableAnswer
        If it doesn't.
    """
    for name in equations.network.wanted.loads:
        block = next(b for b in equations.blocks if b.name == name)
        seen = _resistance_seen(equations, block)
        # Along a falling chord the current drops as the voltage rises: a conductance that the load takes away.
        taken = max((s.law.across / s.law.current for s in block.states if s.law.current), default=0.0)
        if seen is not None and seen * taken >= 1.0:
            raise NoProvableAnswer(OSCILLATES.format(load=name, resistance=seen))


def _resistance_seen(equations: Equations, block: Block) -> float | None:
    """Resistance between the load's terminals with all states held; None where no capacitor holds them."""
    network, resting = equations.network, block.states[0]
    moved = replace(resting.law, constant=resting.law.constant - abs(resting.law.current))
    values = []
    for law in (resting.law, moved):  # two loads a little apart show the line on which the rest of the circuit lies
        load = replace(block, states=(replace(resting, law=law, guards=()),), start=0)
        trial = Equations(
            replace(network, elements=tuple(load if e.name == block.name else e for e in network.elements))
        )
        pattern = trial.pattern((0, *(b.start for b in trial.blocks)))
        if pattern.contradictory:
            return None
        rows = Rows(trial)
        weights = stack([rows.voltage(block.a, block.b), rows.current(block.name)])
        values.append(over_states(weights, pattern)[:, -1])
    volts, amperes = values[1] - values[0]
    return float(abs(volts / amperes)) if abs(amperes) > 1e-12 else None


def find_from_below(equations: Equations, start: Array | None, budget: Budget) -> Steady:
    """The steady state from rest (or from `start`).

    Raises
    ------
    NoProvableAnswer
        If there is none, or the load oscillates.
    """
    check(equations)
    return find(equations, start=start, warm_up=WARM_UP if start is None else 1, budget=budget.share(BELOW_BUDGET))


def find_another(equations: Equations, below: Steady, budget: Budget) -> Steady | None:
    """The steady state from the open-load voltage, if it is another one and stable."""
    above = _from_above(equations.network, equations, budget)
    return above if above is not None and _differ(equations, below, above) else None


def _from_above(network: Network, equations: Equations, budget: Budget) -> Steady | None:
    loads = set(network.wanted.loads)
    open_network = replace(network, elements=tuple(e for e in network.elements if e.name not in loads))
    try:
        free = Equations(open_network)
        steady = find_unloaded(open_network)[1] if holds_charge(free) else find(free, budget=budget.share(ABOVE_BUDGET))
        if len(steady.start) != equations.layout.dynamic:
            return None
        found = find(equations, start=steady.start, warm_up=WARM_UP, budget=budget.share(ABOVE_BUDGET))
    except NoProvableAnswer:
        return None
    stable = bool(np.all(np.abs(found.multipliers) < 1.0 + 1e-9))
    return found if stable else None


def _differ(equations: Equations, one: Steady, other: Steady) -> bool:
    size = max(float(np.abs(one.start).max(initial=0.0)), float(np.abs(other.start).max(initial=0.0)), 1e-300)
    return bool(np.abs(one.start - other.start).max(initial=0.0) > _APART * size)
