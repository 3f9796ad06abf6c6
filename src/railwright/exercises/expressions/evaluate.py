"""Works an expression out with spans: each written number may lie anywhere that rounds to what is written."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from railwright.exercises.expressions.amounts import Amount, NoValue
from railwright.exercises.expressions.dimensions import PLAIN
from railwright.exercises.expressions.tree import Call, Constant, Name, Negative, Node, Pair, UnitAlone, Written

#: Half the span of a written number, in SI: 0 for one that is exact.
Slack = Callable[[Written], float]
Lookup = Callable[[str], Amount | None]

_FUNCTIONS: Final[Mapping[str, Callable[[float], float]]] = MappingProxyType(
    {
        "sin": math.sin, "cos": math.cos, "tan": math.tan, "arcsin": math.asin, "arccos": math.acos,
        "arctan": math.atan, "exp": math.exp, "ln": math.log,
    }
)  # fmt: skip


class Unknown(ValueError):
    """A letter without a value; `name` says which."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


def exact(_: Written) -> float:
    """Every written number taken as it stands."""
    return 0.0


def no_names(_: str) -> Amount | None:
    """No letter has a value."""
    return None


def evaluate(node: Node, *, slack: Slack = exact, lookup: Lookup = no_names) -> Amount:
    """The amount that an expression stands for.

    Raises
    ------
    Unknown
        If a letter has no value.
    DimensionMismatch
        If unlike amounts are added, or a function is taken of something that is no plain number.
    NoValue
        If no finite real value comes out.
    """
    match node:
        case Written():
            half = slack(node)
            dimension = node.unit.dimension if node.unit else PLAIN
            return Amount(
                value=node.value, low=node.value - half, high=node.value + half, dimension=dimension,
                bare=node.unit is None,
            )  # fmt: skip
        case UnitAlone(unit, _):
            return Amount(
                value=unit.factor, low=unit.factor, high=unit.factor, dimension=unit.dimension, bare=False
            )
        case Constant(value, _):
            return Amount(value=value, low=value, high=value)
        case Name(text):
            found = lookup(text)
            if found is None:
                raise Unknown(text)
            return found
        case Negative(operand):
            return evaluate(operand, slack=slack, lookup=lookup).negative
        case Call(function, operand):
            inner = evaluate(operand, slack=slack, lookup=lookup)
            if function == "sqrt":
                if inner.value < 0.0:
                    raise NoValue("a root of a negative number")
                return inner.power(Amount(value=0.5, low=0.5, high=0.5))
            return inner.through(_FUNCTIONS[function])
        case Pair(operation, left, right):
            one = evaluate(left, slack=slack, lookup=lookup)
            other = evaluate(right, slack=slack, lookup=lookup)
            if operation == "+":
                return one.plus(other, 1.0)
            if operation == "-":
                return one.plus(other, -1.0)
            if operation == "*":
                return one.times(other)
            if operation == "/":
                return one.over(other)
            return one.power(other)
