"""The handbook: every formula a person would use by hand, with its assumptions, its validity and its source.

`formulas()` gives them all by id, `find` searches them, `evaluate` works one out. `by_hand` picks those that fit a
supply; `explain` says why one differs from the computed value, and `error_curve` how good one is, over which number.
"""

from __future__ import annotations

from railwright.handbook.by_hand import HandResult, by_hand
from railwright.handbook.error_curve import error_curve
from railwright.handbook.formula import Assumption, Axis, DerivationLine, Example, Formula, Source, Symbol, Validity
from railwright.handbook.registry import UnknownFormula, evaluate, find, formulas, look_up
from railwright.handbook.why import Contribution, Explanation, explain

__all__ = [
    "Assumption",
    "Axis",
    "Contribution",
    "DerivationLine",
    "Example",
    "Explanation",
    "Formula",
    "HandResult",
    "Source",
    "Symbol",
    "UnknownFormula",
    "Validity",
    "by_hand",
    "error_curve",
    "evaluate",
    "explain",
    "find",
    "formulas",
    "look_up",
]
