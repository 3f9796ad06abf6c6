"""The values that notes have named so far, and whether a later number agrees with them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from railwright.exercises.expressions.amounts import Amount
from railwright.exercises.expressions.dimensions import PLAIN, Dimension
from railwright.exercises.expressions.tree import Written


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """One value that a line gave a name: as written, and as the line's working gives it."""

    key: str
    label: str  # as a finding calls it
    line: int
    written: Written
    worked: Amount | None  # None: stated without working
    quantities: tuple[str, ...]
    flagged: bool = False  # something was found on its line already

    @property
    def is_aside(self) -> bool:
        """Whether it can't bound another: something was found on its line, or it belongs to another case."""
        return self.flagged or "|" in self.key

    @property
    def dimension(self) -> Dimension:
        """Of the value."""
        if self.written.unit is not None:
            return self.written.unit.dimension
        return self.worked.dimension if self.worked is not None else PLAIN

    def agrees(self, other: Written) -> bool:
        """Whether another written number can be the same value: one is a rounding of the other, or of the working."""
        slack = 0.5 * max(self.written.coarse_step, other.coarse_step) * (1.0 + 1e-6)
        if abs(abs(self.written.value) - abs(other.value)) <= slack + 1e-12 * abs(other.value):
            return True
        if self.worked is None:
            return False
        near = max(self.worked.low, min(self.worked.high, other.value))
        return abs(near - other.value) <= 0.5 * other.coarse_step * (1.0 + 1e-6)


class Memory:
    """Named values by key, in the order of the notes; a name may have had several."""

    def __init__(self) -> None:
        self._values: dict[str, list[Named]] = {}

    def __iter__(self) -> Iterator[Named]:
        for values in self._values.values():
            yield from values

    def keep(self, named: Named) -> None:
        """Remember a value."""
        self._values.setdefault(named.key, []).append(named)

    def all(self, key: str) -> tuple[Named, ...]:
        """The values of a name, oldest first."""
        return tuple(self._values.get(key, ()))

    def latest(self, key: str) -> Named | None:
        """The value that a name has now."""
        values = self._values.get(key)
        return values[-1] if values else None

    def of_quantity(self, quantity: str) -> tuple[Named, ...]:
        """The values that can only mean, or were found to mean, a quantity; newest last."""
        return tuple(named for named in self if quantity in named.quantities)
