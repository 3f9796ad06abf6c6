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
from railwright.handbook.derivation import letters_of, names_in

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


@pytest.mark.parametrize(
    "name",
    ["half-wave-mean", "ripple-straight-line", "ripple-trade", "half-wave-reverse-voltage-rule", "exact-mean",
     "large-capacitor-current-ratio", "critical-inductance-exact", "cascade-droop", "discharge-time",
     "series-choke-for-ripple-factor", "six-pulse-distortion", "secondary-by-turns"],
)  # fmt: skip
def test_a_wrong_line_in_the_middle_is_found(name: str) -> None:
    """Each line that isn't given, its right side made larger by half (an approximation: far beyond its error)."""
    formula = look_up(name)
    for number, line in enumerate(formula.derivation):
        if line.step == "given":
            continue
        wrong = replace(line, equation=(line.equation[0], f"({line.equation[1]})*3/2"))
        with pytest.raises(Unproved):
            verify(formula, (*formula.derivation[:number], wrong, *formula.derivation[number + 1 :]))


def test_a_formula_named_as_a_law_exists() -> None:
    for formula in DERIVED:
        for line in formula.derivation:
            if line.law.startswith("formula "):
                assert look_up(line.law.removeprefix("formula ")), formula.id


def test_a_law_cited_wrongly_is_found() -> None:
    lines = look_up("half-wave-form-factor").derivation
    wrong = replace(lines[0], equation=("load_mean", "2*load_peak/pi"))
    with pytest.raises(Unproved, match="half-wave-mean says otherwise"):
        verify(look_up("half-wave-form-factor"), (wrong, *lines[1:]))


def test_the_result_may_not_simply_be_given() -> None:
    lines = look_up("half-wave-mean").derivation
    given: DerivationLine = replace(lines[-1], step="given", law="so they say")
    with pytest.raises(Unproved, match="must follow"):
        verify(look_up("half-wave-mean"), (*lines[:-1], given))


@pytest.mark.parametrize("formula", DERIVED, ids=lambda formula: formula.id)
def test_a_wrong_last_line_is_found(formula: Formula) -> None:
    """The right side one per cent larger no longer follows, or no longer agrees with the function."""
    last = formula.derivation[-1]
    wrong = replace(last, equation=(last.equation[0], f"({last.equation[1]})*101/100"))
    with pytest.raises(Unproved):
        verify(formula, (*formula.derivation[:-1], wrong))


@pytest.mark.parametrize("formula", DERIVED, ids=lambda formula: formula.id)
def test_no_two_quantities_of_a_derivation_share_a_letter(formula: Formula) -> None:
    """The RMS of a current and its mean once were both I. The time t and the one asked for are one and the same."""
    letters = letters_of(formula)
    names = {name: letters[name] for line in formula.derivation for name in names_in(line.equation)}
    names |= {symbol.name: symbol.symbol for symbol in (*formula.quantities, formula.result)}
    alike = {"t": "elapsed_time"}
    seen: dict[str, str] = {}
    for name, letter in names.items():
        first = seen.setdefault(letter.replace("{", "").replace("}", ""), alike.get(name, name))
        assert first == alike.get(name, name), (first, name, letter)


@pytest.mark.parametrize("formula", BARE, ids=lambda formula: formula.id)
def test_a_formula_without_a_derivation_says_why(formula: Formula) -> None:
    assert formula.derivation_note.endswith(".")


def test_sixty_formulas_and_more_are_derived(record_property: Callable[[str, object], None]) -> None:
    assert len(DERIVED) >= 60
    kinds = ", ".join(f"{count} {name}" for name, count in sorted(COUNTED.items()))
    tally.report(record_property, f"derivations: {len(DERIVED)} of {len(formulas())} formulas; lines: {kinds}")
