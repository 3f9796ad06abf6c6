"""The solver: conduction patterns, the steady period found directly, exact measures, the proof."""

from __future__ import annotations

from railwright.network.network import Network
from railwright.solver.equations import Equations
from railwright.solver.failure import NoProvableAnswer
from railwright.solver.proof import Proof, prove
from railwright.solver.solution import Interval, Measures, Solution
from railwright.solver.steady import find
from railwright.solver.unloaded import find_unloaded, holds_charge

__all__ = ["Interval", "Measures", "NoProvableAnswer", "Proof", "Solution", "prove", "solve"]


def solve(network: Network) -> Solution:
    """The steady period of a network, found from rest; without any load, the limit of ever lighter ones.

    Raises
    ------
    NoProvableAnswer
        If there is no steady state that can be found.
    """
    equations = Equations(network)
    if holds_charge(equations):
        return Solution(*find_unloaded(network))
    return Solution(equations, find(equations))
