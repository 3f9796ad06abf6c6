"""Compares the form of a worked line with a formula: which number stands in which place.

Form is compared by trial: the numbers in the places are changed together, and both have to change alike. So the order
of factors, T/2 for 1/(2f) or 0.707 for 1/√2 make no difference.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final

from railwright.exercises.expressions.amounts import Amount, DimensionMismatch, NoValue
from railwright.exercises.expressions.dimensions import Dimension
from railwright.exercises.expressions.evaluate import Unknown, evaluate
from railwright.exercises.expressions.in_names import formula_in_names, names_in
from railwright.exercises.expressions.tree import (
    Call,
    Constant,
    Name,
    Negative,
    Node,
    Pair,
    UnitAlone,
    Written,
    literals,
)

#: How near a number has to be to a quantity's value to stand for it. [-]
NEAR: Final = 0.05
#: Factors of the trials, one row a trial, taken in turn by the places; irregular so that no two forms agree by chance.
_TRIALS: Final = ((1.37, 0.81, 1.93, 0.57, 1.21, 0.69), (0.62, 1.71, 0.77, 1.49, 0.53, 1.87))
#: Written constants such as 1.41 for √2 are this far off. [-]
_LOOSE: Final = 6e-3
_MOST_NUMBERS: Final = 9
_MOST_CHOICES: Final = 60  # a line of nine equal numbers shall not cost a minute
#: Numbers of the circuit: they are no places.
CIRCUIT_NUMBERS: Final = ("pulses", "diodes_in_path")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A number of the line in a formula's place."""

    quantity: str
    written: Written
    near: bool  # within 5 % of a value that is known for it


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """A line that has the form of a formula."""

    formula: str
    places: tuple[Place, ...]


IsNear = Callable[[str, float], bool]


def match(
    node: Node,
    formula: str,
    *,
    dimension_of: Callable[[str], Dimension],
    is_near: IsNear,
    circuit_numbers: Mapping[str, float],
    may_be_far: Callable[[str, float], bool],
) -> Match | None:
    """How a worked expression fills the places of a formula in quantity names; None where it has another form.

    A number may stand in a place if its dimension fits and it is near a known value; or if `may_be_far` lets it, or its
    dimension occurs but once in the line and once in the formula.
    """
    written = literals(node)
    if not written or len(written) > _MOST_NUMBERS:
        return None
    quantities = [name for name in names_in(formula) if name not in CIRCUIT_NUMBERS]
    if any(name in CIRCUIT_NUMBERS and name not in circuit_numbers for name in names_in(formula)):
        return None
    if len(quantities) > len(written) or len(quantities) > len(_TRIALS[0]):
        return None
    bare = all(number.unit is None for number in written)

    def dimension(number: Written) -> Dimension | None:
        return number.unit.dimension if number.unit is not None else None

    options: list[list[tuple[int, bool]]] = []
    for quantity in quantities:
        wanted = dimension_of(quantity)
        alone = sum(dimension_of(q) == wanted for q in quantities) == 1
        alone = alone and sum(dimension(n) == wanted for n in written) == 1 and not wanted.is_plain
        found = []
        for place, number in enumerate(written):
            fits = dimension(number) == wanted or (number.unit is None and (bare or wanted.is_plain))
            if not fits and not (number.unit is None and wanted.is_plain):
                continue
            near = is_near(quantity, number.value)
            if near or (dimension(number) == wanted and (alone or may_be_far(quantity, number.value))):
                found.append((place, near))
        if not found:
            return None
        options.append(found)
    for chosen in islice(_choices(options, ()), _MOST_CHOICES):
        numbers = [written[place] for place, _ in chosen]
        if _same_form(node, formula, quantities, numbers, circuit_numbers):
            places = tuple(
                Place(quantity=quantity, written=written[place], near=near)
                for quantity, (place, near) in zip(quantities, chosen, strict=True)
            )
            return Match(formula=formula, places=places)
    return None


def _choices(
    options: Sequence[Sequence[tuple[int, bool]]], taken: tuple[tuple[int, bool], ...]
) -> Iterator[tuple[tuple[int, bool], ...]]:
    if len(taken) == len(options):
        yield taken
        return
    for option in options[len(taken)]:
        if all(option[0] != place for place, _ in taken):
            yield from _choices(options, (*taken, option))


def _same_form(
    node: Node,
    formula: str,
    quantities: Sequence[str],
    numbers: Sequence[Written],
    circuit_numbers: Mapping[str, float],
) -> bool:
    template = formula_in_names(formula)
    for trial in _TRIALS:
        factors = dict(zip(quantities, trial, strict=False))
        values = {q: n.value * factors[q] for q, n in zip(quantities, numbers, strict=True)}
        values.update(circuit_numbers)
        by_place = {id(n): values[q] for q, n in zip(quantities, numbers, strict=True)}
        try:
            expected = _trial(template, values, {})
            found = _trial(node, {}, by_place)
        except (Unknown, NoValue, DimensionMismatch, ZeroDivisionError, OverflowError):
            return False
        if abs(found - expected) > _LOOSE * abs(expected):
            return False
    return True


def _trial(node: Node, values: Mapping[str, float], by_place: Mapping[int, float]) -> float:
    """The value of a tree without units, with some of its numbers replaced."""

    def lookup(name: str) -> Amount | None:
        value = values.get(name)
        return None if value is None else Amount(value=value, low=value, high=value)

    return evaluate(_bare(node, by_place), lookup=lookup).value


def _bare(node: Node, by_place: Mapping[int, float]) -> Node:
    """The tree with plain numbers in SI."""
    match node:
        case Written():
            return Constant(by_place.get(id(node), node.value), node.text)
        case UnitAlone(unit, text):
            return Constant(unit.factor, text)
        case Pair(operation, left, right):
            return Pair(operation, _bare(left, by_place), _bare(right, by_place))
        case Negative(operand):
            return Negative(_bare(operand, by_place))
        case Call(function, operand):
            return Call(function, _bare(operand, by_place))
        case Name() | Constant():
            return node
