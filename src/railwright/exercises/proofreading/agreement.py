"""Whether a written result agrees with what its line works out to: within the digits shown, and in what way not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from railwright.exercises.expressions.amounts import Amount
from railwright.exercises.expressions.tree import Written

#: Prefixes differ by powers of this.
_THOUSAND: Final = 1e3
_MOST_PREFIXES: Final = 4
_EPSILON: Final = 1e-9

Verdict = Literal["agrees", "unit", "no unit", "prefix", "rounding", "arithmetic"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """The verdict on one step, and the value that was due. [SI of the written number's unit]"""

    verdict: Verdict
    due: float


def _distance(amount: Amount, value: float) -> float:
    """How far a value lies outside the span of an amount; 0 inside."""
    return max(0.0, amount.low - value, value - amount.high)


def _fits(amount: Amount, value: float, step: float) -> bool:
    return _distance(amount, value) <= 0.5 * step + _EPSILON * abs(value)


def compare(amount: Amount, result: Written, *, is_last: bool, roughly: bool = False) -> Agreement:
    """Compare the amount that a line works out to with the number written after the sign.

    An error is only what no values within the shown digits can give; off by less than one unit of the last digit is
    a matter of rounding, and behind a sign for "about" it is let pass.
    """
    if result.unit is None:
        agreed = _in_scale(amount, result, 1.0, roughly)
        if amount.bare or amount.dimension.is_plain:
            return agreed
        return Agreement(verdict="no unit", due=amount.value) if is_last else _no_worse(amount, result)
    if amount.bare and amount.dimension.is_plain:
        # A working in plain numbers: meant in SI, or in the unit of the result ("0.153 * 1000 = 153 mA").
        in_si = _in_scale(amount, result, 1.0, roughly)
        if in_si.verdict == "agrees":
            return in_si
        shown = _in_scale(amount, result, result.unit.factor, roughly)
        if shown.verdict == "agrees" or abs(shown.due - result.value) < abs(in_si.due - result.value):
            return shown
        return in_si
    if amount.dimension != result.unit.dimension:
        return Agreement(verdict="unit", due=amount.value)
    agreed = _in_scale(amount, result, 1.0, roughly)
    if agreed.verdict == "arithmetic" and result.unit.percent and amount.dimension.is_plain:
        percents = _in_scale(amount, result, 0.01, roughly)  # "... * 100 = 4.7 %"
        if percents.verdict == "agrees":
            return percents
    return agreed


def _no_worse(amount: Amount, result: Written) -> Agreement:
    """A number without unit in the middle of a chain: right in some prefix, or nothing is said."""
    for power in range(-_MOST_PREFIXES, _MOST_PREFIXES + 1):
        if _fits(amount, result.value * _THOUSAND**power, result.coarse_step * _THOUSAND**power):
            return Agreement(verdict="agrees", due=amount.value)
    return Agreement(verdict="arithmetic", due=amount.value)


def _in_scale(amount: Amount, result: Written, scale: float, roughly: bool) -> Agreement:
    scaled = Amount(
        value=amount.value * scale, low=amount.low * scale, high=amount.high * scale, dimension=amount.dimension
    )
    value, step = result.value, result.coarse_step
    distance = _distance(scaled, value)
    if _fits(scaled, value, step):
        return Agreement(verdict="agrees", due=scaled.value)
    if distance < step * (1.0 - 1e-6):
        return Agreement(verdict="agrees" if roughly else "rounding", due=scaled.value)
    for power in range(1, _MOST_PREFIXES + 1):
        for factor in (_THOUSAND**power, _THOUSAND**-power):
            if _distance(scaled, value * factor) < step * factor * (1.0 - 1e-6):
                return Agreement(verdict="prefix", due=scaled.value)
    return Agreement(verdict="arithmetic", due=scaled.value)
