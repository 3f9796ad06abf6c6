"""The solver: conduction patterns, the steady period found directly, exact measures, the proof."""

from railwright.solver.equations import Equations
from railwright.solver.failure import NoProvableAnswer
from railwright.solver.proof import Proof, prove
from railwright.solver.solution import Interval, Measures, Solution
from railwright.solver.steady import find
from railwright.solver.tuned import solve_tuned

__all__ = ["Equations", "Interval", "Measures", "NoProvableAnswer", "Proof", "Solution", "find", "prove", "solve_tuned"]
