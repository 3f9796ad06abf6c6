"""Every derivation of the handbook, line by line, by SymPy; and that the check can tell a wrong line from a right one.

The witness is algebra itself: see derivations.py beside this file for what counts as following.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import pytest

import tally
from handbook.derivations import Unproved, verify
from railwright.handbook import DerivationLine, Formula, formulas, look_up

DERIVED = [formula for formula in formulas().values() if formula.derivation]
BARE = [formula for formula in formulas().values() if not formula.derivation]
COUNTED: Counter[str] = Counter()


@pytest.mark.parametrize("formula", DERIVED, ids=lambda formula: formula.id)
def test_each_line_follows_from_those_before(formula: Formula) -> None:
    COUNTED.update(verify(formula))


@pytest.mark.parametrize("formula", DERIVED, ids=lambda formula: formula.id)
def test_a_derivation_has_three_to_ten_lines_and_ends_in_the_statement(formula: Formula) -> None:
    assert 3 <= len(formula.derivation) <= 10
    assert formula.derivation[-1].statement == formula.statement
    assert all(line.statement and line.reason and all(line.equation) for line in formula.derivation)
    assert formula.derivation[0].step == "given"
    assert not formula.derivation_note


@pytest.mark.parametrize("formula", DERIVED, ids=lambda formula: formula.id)
def test_a_wrong_last_line_is_found(formula: Formula) -> None:
    """The right side one per cent larger no longer follows, or no longer agrees with the function."""
    last = formula.derivation[-1]
    wrong = replace(last, equation=(last.equation[0], f"({last.equation[1]})*101/100"))
    with pytest.raises(Unproved):
        verify(formula, (*formula.derivation[:-1], wrong))


@pytest.mark.parametrize("formula", BARE, ids=lambda formula: formula.id)
def test_a_formula_without_a_derivation_says_why(formula: Formula) -> None:
    assert formula.derivation_note.endswith(".")


def test_sixty_formulas_and_more_are_derived(record_property: Callable[[str, object], None]) -> None:
    assert len(DERIVED) >= 60
    kinds = ", ".join(f"{count} {name}" for name, count in sorted(COUNTED.items()))
    tally.report(record_property, f"derivations: {len(DERIVED)} of {len(formulas())} formulas; lines: {kinds}")
