"""A part as the tables state it: every value with its unit, its spread and where it was born."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from railwright.quantities import read_quantity


def _nothing() -> Mapping[str, str]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class PartValue:
    """One value of a part.

    ``value`` is in the SI unit ``unit``; it is None, and ``unit`` empty, for a rule that is said in words
    ("10 x rated primary current"). ``conditions`` are what the table says beside it, as written: current,
    temperature, frequency, at, ...
    """

    text: str  # as the table writes it
    value: float | None  # [unit]
    unit: str
    spread: str  # typical, max, min, nominal, rule, design figure, ...
    provenance: str
    source: str = ""  # the address or title itself; "" where there is none
    conditions: Mapping[str, str] = field(default_factory=_nothing)
    note: str = ""
    doubtful: bool = False

    def condition(self, name: str, unit: str) -> float | None:
        """Return a condition in SI; None if the table doesn't state it.

        Raises
        ------
        railwright.quantities.QuantityError
            If it is stated, but is no quantity of that unit.
        """
        text = self.conditions.get(name)
        return None if text is None else read_quantity(text, unit).value

    @property
    def origin(self) -> str:
        """Spread, conditions, provenance and source in one line, for the reader of a result."""
        said = [f"{name} {text}" for name, text in self.conditions.items()]
        born = f"{self.provenance}: {self.source}" if self.source else self.provenance
        return "; ".join([f"{self.text} {self.spread}".strip(), *said, born])


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part, or one rule that holds for many.

    ``values`` holds what has a number or is a rule; several points, or typical and maximum, stand beside each
    other under one key. ``facts`` holds the plain words: the kind of a regulator, the characteristic of a fuse.
    """

    type: str
    name: str
    class_: str
    values: Mapping[str, tuple[PartValue, ...]]
    facts: Mapping[str, str] = field(default_factory=_nothing)

    def all(self, key: str, spread: str = "") -> tuple[PartValue, ...]:
        """Return the usable values of a key whose spread starts so: those with a number, and not doubtful."""
        return tuple(
            value
            for value in self.values.get(key, ())
            if value.value is not None and not value.doubtful and value.spread.startswith(spread)
        )

    def first(self, key: str, *spreads: str) -> PartValue | None:
        """Return the first usable value of a key, by order of preference among the spreads named."""
        for spread in spreads or ("",):
            found = self.all(key, spread)
            if found:
                return found[0]
        return None
