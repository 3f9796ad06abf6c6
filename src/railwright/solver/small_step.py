"""Which pattern holds a moment later, found by one very small implicit step: the guess where switching goes in circles.

Within such a step every capacitor is a small resistance, every inductance a large one, and every diode gets a trace of
resistance and of leakage. The port matrix of the diodes is then positive definite in every pattern, so that moving one
failing diode at a time (always the first of a fixed order) ends, whatever charge and flux the real circuit ties
together (K. G. Murty, Note on a Bard-type scheme for solving the complementarity problem, Opsearch 11, 1974: from
memory). The pattern found is a guess: whoever asks for it checks it at the exact equations.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from railwright.network.elements import Law
from railwright.solver.block_rows import row_over_unknowns
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.pattern import Key

#: Lengths of the step, in periods: short beside any switching, long beside rounding.
STEPS: Final = (1e-7, 1e-5, 1e-9)
#: Resistance of a conducting diode and leakage of a blocking one, beside the step's own impedances.
_TRACE: Final = 1e-4
#: Share of the largest voltage, or current, below which a guard counts as kept.
_KEPT: Final = 1e-12


def patterns_a_moment_later(equations: Equations, key: Key, state: Array) -> Iterator[tuple[Key | None, int]]:
    """Patterns in which the circuit may go on from a state, each with the number of systems that it took.

    None where a step finds no pattern, or the same as one before.

    Parameters
    ----------
    key : tuple
        Where the search begins; its stretch of the schedule is kept.
    state : array (states,)
        X, forcing included.
    """
    found: set[Key] = set()
    for share in STEPS:
        following, turns = _step(equations, key, state, share * equations.period)
        yield None if following in found else following, turns
        if following is not None:
            found.add(following)


def _step(equations: Equations, key: Key, state: Array, span: float) -> tuple[Key | None, int]:
    """The pattern of one implicit step of length `span`, and how many systems were solved for it."""
    layout = equations.layout
    common, right = _companion(equations, key, _forced(equations, state, span), span)
    of_capacitors = [span / c.capacitance for c in equations.capacitors]
    resistance = _TRACE * min([1.0, *of_capacitors, *(i.inductance / span for i in equations.inductors)])
    leakage = _TRACE / max([1e6, *of_capacitors])
    together, singly = 4, 20 + 4 * sum(len(block.states) for block in equations.blocks)
    present, alone = list(key), set[Key]()
    for turn in range(together + singly):
        matrix, goal = common.copy(), right.copy()
        for block, number in zip(equations.blocks, present[1:], strict=True):
            law = _passive(block.at(key[0])[number].law, resistance, leakage)
            row = layout.branches[block.name]
            matrix[row] = row_over_unknowns(layout, block, law)
            goal[row] = -law.constant
            if law.flux:
                # The flux a moment later: what it is, and the voltage across it for so long.
                goal[row] -= law.flux * state[layout.states[block.name]]
                for node, sign in ((block.a, 1.0), (block.b, -1.0)):
                    if node in layout.nodes:
                        matrix[row, layout.nodes[node]] += sign * law.flux * span
        try:
            unknowns = equations.scale * np.linalg.solve(matrix * equations.scale, goal)
        except np.linalg.LinAlgError:
            return None, turn + 1
        failing = _failing(equations, present, unknowns, state, span)
        if not failing:
            return tuple(present), turn + 1
        if tuple(present) in alone:
            return None, turn + 1  # a part that isn't passive, as a regulator: it goes in circles
        if turn >= together:
            alone.add(tuple(present))
        for number, target in failing if turn < together else failing[:1]:
            present[1 + number] = target
    return None, together + singly


def _forced(equations: Equations, state: Array, span: float) -> Array:
    """The state with its sources a moment later."""
    forcing = equations.forcing_rates
    return state + span * (forcing @ state) + 0.5 * span**2 * (forcing @ (forcing @ state))


def _companion(equations: Equations, key: Key, state: Array, span: float) -> tuple[Array, Array]:
    """The equations of a small implicit step, the blocks' own left out: matrix and right side."""
    layout, nodes = equations.layout, equations.layout.nodes
    matrix, rows = equations.system_without_blocks(key[0])
    right: Array = rows @ state
    for capacitor in equations.capacitors:
        row = layout.branches[capacitor.name]
        matrix[row, row] -= span / capacitor.capacitance
    for inductor in equations.inductors:
        fading = 1.0 + span * inductor.resistance / inductor.inductance
        current, conductance = state[layout.states[inductor.name]], span / (inductor.inductance * fading)
        for node, sign in ((inductor.a, 1.0), (inductor.b, -1.0)):
            if node in nodes:
                right[nodes[node]] += sign * current * (1.0 - 1.0 / fading)
                for other, weight in ((inductor.a, 1.0), (inductor.b, -1.0)):
                    if other in nodes:
                        matrix[nodes[node], nodes[other]] += sign * weight * conductance
    return matrix, right


def _passive(law: Law, resistance: float, leakage: float) -> Law:
    """A law with a trace of resistance where it is a voltage, of leakage where it is a current."""
    if law.current == 0.0 and law.across:
        return replace(law, current=-law.across * resistance)
    if law.across == 0.0 and law.current and not law.output:
        return replace(law, across=-law.current * leakage)
    return law


def _failing(
    equations: Equations, present: list[int], unknowns: Array, state: Array, span: float
) -> list[tuple[int, int]]:
    """Blocks whose state fails and the states that they lead to, in the blocks' order."""
    layout = equations.layout
    volts = float(np.abs(unknowns[: len(layout.nodes)]).max(initial=0.0))
    amperes = float(np.abs(unknowns[len(layout.nodes) :]).max(initial=0.0))
    failing = []
    for number, (block, chosen) in enumerate(zip(equations.blocks, present[1:], strict=True)):
        for guard in block.at(present[0])[chosen].guards:
            law = guard.law
            value = float(row_over_unknowns(layout, block, law) @ unknowns) + law.constant
            if law.flux:
                across = float(row_over_unknowns(layout, block, Law(across=1.0)) @ unknowns)
                value += law.flux * (state[layout.states[block.name]] + span * across)
            if value < -_KEPT * (abs(law.across) * volts + abs(law.output) * volts + abs(law.current) * amperes):
                failing.append((number, guard.target))
                break
    return failing
