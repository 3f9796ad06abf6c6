"""The sheet keys that can be varied: their unit, their present value, and how a value of theirs is written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from railwright.supply.errors import near_miss
from railwright.supply.keys import SECTIONS, Key, all_keys

if TYPE_CHECKING:
    from railwright.supply import Supply

#: Where a search starts when the sheet doesn't state the key: the middle of what small supplies use.
#: Common practice, no source. [SI]
_MIDDLE = {"F": 1e-3, "ohm": 100.0, "H": 0.1, "A": 0.1, "V": 10.0, "W": 1.0, "VA": 10.0, "Hz": 50.0, "s": 0.01}

#: Resistors that somebody picks from a box; a winding's or a meter's resistance is none of them.
_PICKED_RESISTORS = {
    ("filter", "resistor"),
    ("filter", "bleeder"),
    ("regulator", "series_resistor"),
    ("load", "resistance"),
    ("element", "resistance"),
}
_PICKED_CAPACITORS = {
    ("filter", "capacitor"),
    ("rectifier", "pump_capacitor"),
    ("rectifier", "stage_capacitor"),
    ("element", "capacitance"),
}


class CannotVary(ValueError):
    """A key that takes no number, or that no sheet has; the sentence says which would do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VariedKey:
    """A sheet key that takes numbers."""

    path: str  # as written: filter.1.capacitor
    key: Key
    unit: str  # SI; "1" for plain numbers

    def written(self, value: float) -> str:
        """The value as a sheet would have it, every digit kept."""
        if self.key.takes == "ratio":
            return f"{value!r}:1"
        if self.key.takes == "count":
            return str(round(value))
        return repr(value) if self.unit == "1" else f"{value!r} {self.unit}"

    def span(self, text: str) -> tuple[float, float]:
        """Both ends of "0A..1A". [unit]

        Raises
        ------
        QuantityError
            If the text isn't a span in this key's unit.
        """
        from railwright.quantities import read_span

        first, last = read_span(text, self.unit)
        return first.value, last.value

    @property
    def preferred_series(self) -> str | None:
        """The series of preferred values in which such a part is sold; None if it isn't a part that is picked."""
        which = (self.key.section, self.key.name)
        if which in _PICKED_CAPACITORS:
            return "E12"
        return "E24" if which in _PICKED_RESISTORS else None

    def present(self, supply: Supply) -> float:
        """The value in the sheet; where it has none, or zero, one in the middle of what is usual. [unit]"""
        from railwright.quantities import QuantityError, read_quantity, read_ratio

        given = _walk(supply.tree, self.path)
        try:
            if self.key.takes == "ratio" and isinstance(given, str):
                value = read_ratio(given)
            elif isinstance(given, str):
                value = read_quantity(given, self.unit).value
            else:
                value = float(given) if isinstance(given, int | float) else 0.0
        except QuantityError:
            value = 0.0
        return value if value > 0.0 else _MIDDLE.get(self.unit, 1.0)


def varied_key(supply: Supply, path: str) -> VariedKey:
    """The key of that path, if it takes numbers.

    Raises
    ------
    CannotVary
        If there is no such key, or it takes words.
    """
    steps = [step for step in path.split(".") if not step.isdigit()]
    # [load.positive] and its like hold the keys of [load].
    place = [step for step in steps[:-1] if step not in ("positive", "negative", "across")]
    section = SECTIONS.get(".".join(place))
    key = section.key(steps[-1]) if section is not None else None
    if key is None:
        known = [f"{key.section}.{key.name}" for key in all_keys() if _is_number(key)]
        near = near_miss(".".join([*place, steps[-1]]), known)
        raise CannotVary(
            f'No sheet has a key "{path}". {near} Keys are written with dots, and with positions where there are '
            "several: load.resistance, filter.1.capacitor.".replace("  ", " ")
        )
    if not _is_number(key):
        raise CannotVary(f'"{path}" takes no number ({key.meaning}), so it can\'t be varied. Try load.resistance.')
    unit = key.unit or _unit_by_kind(supply, path)
    return VariedKey(path=path, key=key, unit="1" if unit in ("", "-") else unit)


def _is_number(key: Key) -> bool:
    return key.takes in ("quantity", "fraction", "ratio", "count")


def _unit_by_kind(supply: Supply, path: str) -> str:
    kind = _walk(supply.tree, path.rpartition(".")[0] + ".kind")
    return {"capacitor": "F", "resistor": "ohm", "choke": "H"}.get(str(kind), "")


def _walk(tree: Any, path: str) -> Any:
    """What stands at a path in the sheet; None if nothing does."""
    for step in path.split("."):
        if isinstance(tree, Mapping):
            tree = tree.get(step)
        elif isinstance(tree, Sequence) and not isinstance(tree, str) and step.isdigit() and 0 < int(step) <= len(tree):
            tree = tree[int(step) - 1]
        else:
            return None
    return tree
