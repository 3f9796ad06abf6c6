"""Axes: from values to places on the paper, and the round numbers that are written beside them."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["MINUS", "Scale", "round_step", "tick_label", "ticks_between", "widened"]

# What people count in: one, two, five, and their tens.
_STEPS = (1.0, 2.0, 5.0, 10.0)
MINUS = "−"  # as broad as a digit; a hyphen is not


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """A straight scale from a span of values to a span of pixels."""

    low: float  # value at `start`
    high: float  # value at `end`
    start: float  # [px]
    end: float  # [px]

    def __post_init__(self) -> None:
        if not (math.isfinite(self.low) and math.isfinite(self.high)) or self.low == self.high:
            raise ValueError(f"A scale needs two different finite ends; given {self.low} and {self.high}.")

    def at(self, value: float) -> float:
        """Place of a value. [px]"""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def length(self, difference: float) -> float:
        """Length of a difference of values, without sign. [px]"""
        return abs(difference / (self.high - self.low) * (self.end - self.start))


def round_step(span: float, count: int) -> float:
    """The smallest round step that divides a span into at most `count` parts.

    Parameters
    ----------
    span : float
        Greater than zero. [unit of the axis]
    count : int
        Parts allowed.

    Returns
    -------
    float
        1, 2 or 5 times a power of ten. [unit of the axis]

    Raises
    ------
    ValueError
        If the span or the count isn't greater than zero.
    """
    if not (span > 0.0 and math.isfinite(span)) or count < 1:
        raise ValueError(f"No round step divides a span of {span} into {count} parts.")
    least = span / count
    decade = 10.0 ** math.floor(math.log10(least))
    for step in _STEPS:
        if step * decade >= least * (1 - 1e-9):
            return step * decade
    return 10.0 * decade


def ticks_between(low: float, high: float, *, count: int = 5) -> tuple[float, ...]:
    """Round values from `low` to `high`, at most `count` + 1 of them.

    Raises
    ------
    ValueError
        If `high` isn't above `low`.
    """
    step = round_step(high - low, count)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(step * index for index in range(first, last + 1))


def widened(low: float, high: float, *, count: int = 5) -> tuple[float, float]:
    """The span, widened to whole round steps, so that both ends of the axis carry a number."""
    if not high > low:
        middle = low
        reach = abs(middle) * 0.5 or 1.0
        low, high = middle - reach, middle + reach
    step = round_step(high - low, count)
    return step * math.floor(low / step + 1e-9), step * math.ceil(high / step - 1e-9)


def tick_label(value: float, step: float, *, decimal: str = ".") -> str:
    """A tick's number with as many decimals as its step needs, a true minus sign, no minus zero."""
    places = 0
    while places < 9 and abs(step * 10**places - round(step * 10**places)) > 1e-6 * step * 10**places:
        places += 1
    text = f"{abs(value):.{places}f}"
    sign = MINUS if value < 0 and float(text) != 0.0 else ""
    return sign + text.replace(".", decimal)
