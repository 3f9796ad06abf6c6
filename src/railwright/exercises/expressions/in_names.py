"""Formulas written in full quantity names, such as "load_current / (ripple_frequency * capacitance)", as data."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from railwright.exercises.expressions.amounts import Amount, NoValue
from railwright.exercises.expressions.evaluate import Unknown, evaluate
from railwright.exercises.expressions.grammar import read_expression
from railwright.exercises.expressions.tokens import tokens_of
from railwright.exercises.expressions.tree import Node, names


@cache
def formula_in_names(text: str) -> Node:
    """The tree of a formula in quantity names. Raises ValueError if the text is no formula."""
    tokens = tokens_of(text, ".")
    found = read_expression(tokens, lambda word: word.islower())
    if found is None or found[1] != len(tokens):
        raise ValueError(f'"{text}" is no formula in quantity names.')
    return found[0]


@cache
def names_in(text: str) -> tuple[str, ...]:
    """The quantity names of such a formula, each once, in their order."""
    return tuple(dict.fromkeys(name.text for name in names(formula_in_names(text))))


def value_of(text: str, values: Mapping[str, float]) -> float | None:
    """What a formula in quantity names gives for SI values; None where one is missing or nothing finite comes out."""

    def lookup(name: str) -> Amount | None:
        value = values.get(name)
        return None if value is None else Amount(value=value, low=value, high=value)

    try:
        return evaluate(formula_in_names(text), lookup=lookup).value
    except (Unknown, NoValue):
        return None
