"""Where, along one axis, a condition on a function begins or ceases to hold."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

# The search starts in the middle and looks this far to both sides, one ring after the other, because a builder
# wants the answer that is nearest to what stands in the sheet. [decades]
RINGS = (1, 2, 3)
STEPS_PER_DECADE = 6
CLOSENESS = 1e-12  # [-] of a boundary, relative; far below the tolerance of any part
LEVEL = 1e-9  # [-] relative; changes below it are rounding

Excess = Callable[[float], float | None]


class _Gap(Exception):
    """A value without an answer lies between two that have one."""


@dataclass(slots=True)
class DecadeSearch:
    """The values from 1/1000 to 1000 times a middle, each asked for once.

    `excess(value)` is negative or zero where the condition holds, positive where it doesn't, None where there is
    no telling.
    """

    excess: Excess
    middle: float
    known: dict[float, float | None] = field(default_factory=dict)

    def at(self, value: float) -> float | None:
        """The excess at a value, remembered."""
        if value not in self.known:
            self.known[value] = self.excess(value)
        return self.known[value]

    def grid(self, decades: int) -> list[float]:
        """Values evenly spaced by ratio, the middle among them, in rising order."""
        reach = decades * STEPS_PER_DECADE
        return [self.middle * 10 ** (step / STEPS_PER_DECADE) for step in range(-reach, reach + 1)]

    def boundaries(self) -> list[float]:
        """The boundaries in the smallest ring that has any, nearest to the middle first.

        Each is on the side where the condition holds.
        """
        for decades in RINGS:
            values = self.grid(decades)
            found = self._crossings(values)
            if not found and decades == RINGS[-1]:
                found = self._crossings(self._with_turning_points(values))
            if found:
                return sorted(found, key=lambda value: abs(math.log(value / self.middle)))
        return []

    def _crossings(self, values: list[float]) -> list[float]:
        found = []
        for low, high in zip(values, values[1:], strict=False):
            at_low, at_high = self.at(low), self.at(high)
            if at_low is None or at_high is None or (at_low <= 0.0) == (at_high <= 0.0):
                continue
            try:
                found.append(self._closed_in(low, high))
            except _Gap:
                continue
        return found

    def _closed_in(self, low: float, high: float) -> float:
        from scipy.optimize import brentq

        def signed(logarithm: float) -> float:
            value = self.at(math.exp(logarithm))
            if value is None:
                raise _Gap
            return value

        ends = (math.log(low), math.log(high))
        # exp(log(x)) may miss x by a bit, and with it the sign that brentq insists on.
        if (signed(ends[0]) <= 0.0) == (signed(ends[1]) <= 0.0):
            return low if (self.at(low) or 0.0) <= 0.0 else high
        brentq(signed, *ends, xtol=CLOSENESS)
        # brentq ends on either side of the boundary; of all values that were tried, take the last one that holds.
        tried = [value for value in self.known if low <= value <= high]
        holding = [value for value in tried if (excess := self.known[value]) is not None and excess <= 0.0]
        failing = [value for value in tried if (excess := self.known[value]) is not None and excess > 0.0]
        return min(holding, key=lambda value: min(abs(value - other) for other in failing))

    def _with_turning_points(self, values: list[float]) -> list[float]:
        """The grid with the bottom of each dip and the top of each hump that doesn't reach zero on the grid."""
        from scipy.optimize import minimize_scalar

        more = set(values)
        for low, middle, high in zip(values, values[1:], values[2:], strict=False):
            around = [self.at(low), self.at(middle), self.at(high)]
            left, centre, right = around
            if left is None or centre is None or right is None:
                continue
            sign = 1.0 if centre > 0.0 else -1.0
            # A level stretch, but for its last bits, has no bottom worth a search.
            noise = LEVEL * max(abs(left), abs(centre), abs(right))
            if sign * centre > min(sign * left, sign * right) - noise:
                continue

            def towards_zero(logarithm: float, sign: float = sign) -> float:
                value = self.at(math.exp(logarithm))
                return math.inf if value is None else sign * value

            best = minimize_scalar(
                towards_zero,
                bounds=(math.log(low), math.log(high)),
                method="bounded",
                options={"xatol": 1e-4, "maxiter": 40},
            )
            more.add(math.exp(float(best.x)))
        return sorted(more)
