"""An amount that isn't known exactly: value, lower and upper end, and dimension; and arithmetic with it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from railwright.exercises.expressions.dimensions import PLAIN, Dimension

LARGEST_POWER: Final = 60.0


class DimensionMismatch(ValueError):
    """Two amounts that can't be added, or a function of something that isn't a plain number."""

    def __init__(self, left: Dimension, right: Dimension) -> None:
        super().__init__(f"{left.in_words} and {right.in_words} can't be added")
        self.left, self.right = left, right


class NoValue(ValueError):
    """An expression without a finite real value; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """Value between low and high, in the SI unit of the dimension. `bare`: no unit was written anywhere in it."""

    value: float
    low: float
    high: float
    dimension: Dimension = PLAIN
    bare: bool = True

    def __post_init__(self) -> None:
        """Refuse what is no number."""
        if not (math.isfinite(self.value) and math.isfinite(self.low) and math.isfinite(self.high)):
            raise NoValue("no finite value comes out")

    def plus(self, other: Amount, sign: float) -> Amount:
        """Sum or difference. A bare number beside one with a unit is taken to mean the same unit."""
        dimension = self.dimension
        if self.dimension != other.dimension:
            if self.bare and self.dimension.is_plain:
                dimension = other.dimension
            elif not (other.bare and other.dimension.is_plain):
                raise DimensionMismatch(self.dimension, other.dimension)
        ends = sorted((sign * other.low, sign * other.high))
        return Amount(
            value=self.value + sign * other.value,
            low=self.low + ends[0],
            high=self.high + ends[1],
            dimension=dimension,
            bare=self.bare and other.bare,
        )

    def times(self, other: Amount) -> Amount:
        """Product."""
        corners = [a * b for a in (self.low, self.high) for b in (other.low, other.high)]
        return Amount(
            value=self.value * other.value,
            low=min(corners),
            high=max(corners),
            dimension=self.dimension.times(other.dimension),
            bare=self.bare and other.bare,
        )

    def over(self, other: Amount) -> Amount:
        """Quotient."""
        if other.value == 0.0:
            raise NoValue("something is divided by zero")
        low, high = other.low, other.high
        if low <= 0.0 <= high:
            low = high = other.value
        inverse = Amount(
            value=1.0 / other.value, low=1.0 / high, high=1.0 / low, dimension=other.dimension.power(-1.0),
            bare=other.bare,
        )  # fmt: skip
        return self.times(inverse)

    def power(self, exponent: Amount) -> Amount:
        """A power with a plain exponent."""
        n = exponent.value
        if not exponent.dimension.is_plain:
            raise DimensionMismatch(exponent.dimension, PLAIN)
        if abs(n) > LARGEST_POWER:
            raise NoValue(f"a power beyond {LARGEST_POWER:g}")
        ends = (self.low, self.high) if self.low > 0.0 or n == round(n) else (self.value, self.value)
        exponents = {n, exponent.low, exponent.high} if self.low > 0.0 else {n}
        try:
            results = [_real(base**e) for base in (self.value, *ends) for e in exponents]
            value = _real(self.value**n)
        except (OverflowError, ZeroDivisionError) as why:
            raise NoValue("no finite value comes out") from why
        if self.low < 0.0 < self.high and n > 0:
            results.append(0.0)
        return Amount(
            value=value, low=min(results), high=max(results), dimension=self.dimension.power(n), bare=self.bare
        )

    def through(self, function: Callable[[float], float]) -> Amount:
        """A function of a plain number, rising or falling within the span."""
        if not self.dimension.is_plain:
            raise DimensionMismatch(self.dimension, PLAIN)
        try:
            value = function(self.value)
        except (ValueError, OverflowError) as why:
            raise NoValue("no finite value comes out") from why
        ends = [value]
        for end in (self.low, self.high):
            try:
                ends.append(function(end))
            except (ValueError, OverflowError):
                continue  # the span sticks out of the function's domain; the value itself doesn't
        return Amount(value=value, low=min(ends), high=max(ends), bare=self.bare)

    @property
    def negative(self) -> Amount:
        """With the other sign."""
        return Amount(
            value=-self.value, low=-self.high, high=-self.low, dimension=self.dimension, bare=self.bare
        )


def _real(number: float | complex) -> float:
    if isinstance(number, complex):
        raise NoValue("a root of a negative number")
    return number
