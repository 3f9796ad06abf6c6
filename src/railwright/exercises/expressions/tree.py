"""The parts that an expression on paper is made of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from railwright.exercises.expressions.dimensions import Unit
from railwright.exercises.expressions.numerals import Numeral

Operation = Literal["+", "-", "*", "/", "^"]

#: Functions that are read, and nothing else is.
FUNCTIONS: Final = ("sqrt", "sin", "cos", "tan", "arcsin", "arccos", "arctan", "asin", "acos", "atan", "exp", "ln")


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A number with its unit, or without; `text` is how it stands on paper."""

    numeral: Numeral
    unit: Unit | None
    text: str
    unit_text: str = ""
    said: str = ""  # of the unit: "peak", "rms" …

    @property
    def value(self) -> float:
        """In the SI unit."""
        return self.numeral.value * (self.unit.factor if self.unit else 1.0)

    @property
    def step(self) -> float:
        """One unit of the last digit, in the SI unit."""
        return self.numeral.step * (self.unit.factor if self.unit else 1.0)

    @property
    def coarse_step(self) -> float:
        """The same where zeros at the end only hold the place."""
        return self.numeral.coarse_step * (self.unit.factor if self.unit else 1.0)


@dataclass(frozen=True, slots=True)
class UnitAlone:
    """A unit without a number before it, as in V/Ω."""

    unit: Unit
    text: str


@dataclass(frozen=True, slots=True)
class Constant:
    """π or Euler's number, exact."""

    value: float
    text: str


@dataclass(frozen=True, slots=True)
class Name:
    """A letter or word that stands for a quantity."""

    text: str


@dataclass(frozen=True, slots=True)
class Pair:
    """Two operands and what is done with them."""

    operation: Operation
    left: Node
    right: Node


@dataclass(frozen=True, slots=True)
class Negative:
    """A minus sign before an operand."""

    operand: Node


@dataclass(frozen=True, slots=True)
class Call:
    """A function of one operand."""

    function: str
    operand: Node


Node = Written | UnitAlone | Constant | Name | Pair | Negative | Call


def leaves(node: Node) -> Iterator[Node]:
    """The numbers, names and constants from left to right."""
    match node:
        case Pair(_, left, right):
            yield from leaves(left)
            yield from leaves(right)
        case Negative(operand) | Call(_, operand):
            yield from leaves(operand)
        case _:
            yield node


def literals(node: Node) -> tuple[Written, ...]:
    """The written numbers from left to right."""
    return tuple(leaf for leaf in leaves(node) if isinstance(leaf, Written))


def names(node: Node) -> tuple[Name, ...]:
    """The names from left to right."""
    return tuple(leaf for leaf in leaves(node) if isinstance(leaf, Name))


def sole_literal(node: Node) -> Written | None:
    """The number, where the expression is nothing else; a minus sign may stand before it."""
    if isinstance(node, Written):
        return node
    return None
