"""The list of all formulas: by id, by words, and worked out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from difflib import get_close_matches
from functools import cache
from types import MappingProxyType

from railwright.handbook import (
    alternating,
    battery,
    bounds,
    choke_current,
    choke_input,
    diode,
    exact_reservoir,
    harmonics,
    inrush,
    large_capacitor,
    multiplier,
    peak_rectifier,
    rating_rules,
    reactance,
    regulator,
    reservoir,
    reverse_voltage,
    stabiliser,
    thermal,
    unfiltered,
    utilisation,
    zener,
)
from railwright.handbook.derivation import typeset
from railwright.handbook.derivations import DERIVATIONS, NOTES
from railwright.handbook.error_curve import AXES
from railwright.handbook.formula import Formula

_MODULES = (
    alternating,
    diode,
    unfiltered,
    utilisation,
    reservoir,
    exact_reservoir,
    peak_rectifier,
    large_capacitor,
    reverse_voltage,
    choke_input,
    choke_current,
    reactance,
    multiplier,
    battery,
    stabiliser,
    zener,
    regulator,
    thermal,
    inrush,
    harmonics,
    rating_rules,
    bounds,
)


class UnknownFormula(ValueError):
    """An id that the handbook doesn't have; `near` holds the ids that resemble it."""

    def __init__(self, given: str, near: tuple[str, ...]) -> None:
        super().__init__(given, near)
        self.given = given
        self.near = near

    def __str__(self) -> str:
        hint = f" Did you mean {' or '.join(self.near)}?" if self.near else " Search with a word instead."
        return f'The handbook has no formula "{self.given}".{hint}'


@cache
def formulas() -> Mapping[str, Formula]:
    """All formulas by id, in the order of the handbook, each with its derivation."""
    found: dict[str, Formula] = {}
    for module in _MODULES:
        for formula in module.FORMULAS:
            if formula.id in found:
                raise RuntimeError(f"two formulas are called {formula.id}")
            found[formula.id] = replace(
                formula,
                derivation=typeset(formula, DERIVATIONS.get(formula.id, ())),
                derivation_note=NOTES.get(formula.id, ""),
                axis=AXES.get(formula.id),
            )
    return MappingProxyType(found)


def look_up(formula_id: str) -> Formula:
    """The formula of an id. Raises UnknownFormula with the nearest ids."""
    known = formulas()
    if formula_id not in known:
        raise UnknownFormula(formula_id, tuple(get_close_matches(formula_id, known, n=3)))
    return known[formula_id]


def find(words: str) -> tuple[Formula, ...]:
    """The formulas in which every word occurs: in id, title, topic, quantities or readings, upper case or lower."""
    wanted = words.lower().split()

    def text(candidate: Formula) -> str:
        quantities = (candidate.result, *candidate.quantities)
        return " ".join(
            (
                candidate.id,
                candidate.title,
                candidate.topic,
                *(f"{q.name} {q.name.replace('_', ' ')} {q.meaning}" for q in quantities),
                *candidate.readings,
                *candidate.circuits,
            )
        ).lower()

    return tuple(candidate for candidate in formulas().values() if all(word in text(candidate) for word in wanted))


def evaluate(formula_id: str, values: Mapping[str, float]) -> dict[str, object]:
    """Work one formula out: `{"id", "value", "unit", "valid", "assumes", "source"}`.

    Raises
    ------
    UnknownFormula
        If there is no such formula.
    ValueError
        If a value is missing, unknown, not finite or outside the formula's domain.
    """
    chosen = look_up(formula_id)
    return {
        "id": chosen.id,
        "value": chosen.value(**values),
        "unit": chosen.unit,
        "valid": chosen.valid(**values),
        "assumes": list(chosen.assumes),
        "source": str(chosen.source),
    }
