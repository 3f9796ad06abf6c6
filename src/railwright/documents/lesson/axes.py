"""The sliders of a lesson: which keys of the sheet they move, over which values, and the supply at each of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final, Literal

import numpy as np

from railwright.supply import parts
from railwright.supply.model import Load, Loads, Supply

#: Values on each slider, the sheet's own in the middle; and how far it reaches either way, as a factor. A load ten
#: times too large would only melt things.
POINTS: Final = 9
CAPACITANCE_REACH: Final = 5.0
LOAD_REACH: Final = 5.0
#: A ladder of many diodes takes long to solve: fewer values, closer together.
MANY_DIODES: Final = 6
FEW_POINTS: Final = 5
SHORT_REACH: Final = 2.0

_LOAD_UNITS: Final[Mapping[str, str]] = MappingProxyType({"resistance": "ohm", "current": "A", "power": "W"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One slider."""

    part: Literal["capacitor", "load"]
    key: str  # of the sheet
    unit: str
    label: str
    values: tuple[float, ...]  # [unit], rising, the sheet's own in the middle
    designators: tuple[str, ...]  # of the parts that have this value

    @property
    def middle(self) -> int:
        """Position of the sheet's own value."""
        return len(self.values) // 2


def axes_of(supply: Supply) -> tuple[Axis, ...]:
    """The sliders that a supply can have: capacitance, then load; none for what has no single value to move."""
    return tuple(axis for axis in (_capacitance(supply), _load(supply)) if axis is not None)


def _capacitance(supply: Supply) -> Axis | None:
    if supply.elements:
        return None
    for position, section in enumerate(supply.filters, start=1):
        if section.kind == "capacitor" and section.fitted:
            values = _spread(supply, section.value, CAPACITANCE_REACH)
            moved = (part.designator for part in parts(supply) if part.section == position)
            return Axis(
                part="capacitor", key=f"filter.{position}.capacitor", unit="F", label="Capacitance", values=values,
                designators=tuple(moved),
            )  # fmt: skip
    stage = supply.rectifier.stage_capacitor
    if stage is None:
        return None
    return Axis(
        part="capacitor", key="rectifier.stage_capacitor", unit="F", label="Capacitance",
        values=_spread(supply, stage.capacitance, CAPACITANCE_REACH),
        designators=tuple(part.designator for part in parts(supply) if part.source is stage),
    )  # fmt: skip


def _load(supply: Supply) -> Axis | None:
    loads = supply.loads
    if supply.elements:
        return None
    load = loads.single if loads.single is not None else loads.positive
    # On two rails the slider moves both, which only one value for both allows.
    alike = loads.single is not None or (loads.positive is not None and loads.positive == loads.negative)
    if load is None or load.value is None or load.kind not in _LOAD_UNITS or not alike:
        return None
    label = {"resistance": "Load resistance", "current": "Load current", "power": "Load power"}[load.kind]
    return Axis(
        part="load", key=f"load.{load.kind}", unit=_LOAD_UNITS[load.kind], label=label,
        values=_spread(supply, load.value, LOAD_REACH),
        designators=("load",) if loads.single is not None else ("load_positive", "load_negative"),
    )  # fmt: skip


def _spread(supply: Supply, value: float, reach: float) -> tuple[float, ...]:
    """Evenly spread on a logarithmic scale; the middle is exactly the sheet's value."""
    is_long = sum(part.kind == "diode" for part in parts(supply)) > MANY_DIODES
    count, reach = (FEW_POINTS, SHORT_REACH) if is_long else (POINTS, reach)
    values = [float(v) for v in value * np.geomspace(1.0 / reach, reach, count)]
    values[count // 2] = value
    return tuple(values)


def at(supply: Supply, axis: Axis, value: float) -> Supply:
    """The supply with one slider moved. The value is of the slider's unit and positive, so nothing needs checking."""
    if axis.part == "load":
        loads = supply.loads
        return replace(
            supply,
            loads=Loads(
                single=_set(loads.single, value), positive=_set(loads.positive, value),
                negative=_set(loads.negative, value), across=loads.across,
            ),
        )  # fmt: skip
    if axis.key.startswith("rectifier."):
        stage = supply.rectifier.stage_capacitor
        assert stage is not None
        return replace(
            supply, rectifier=replace(supply.rectifier, stage_capacitor=replace(stage, capacitance=value))
        )
    place = int(axis.key.split(".")[1]) - 1
    filters = list(supply.filters)
    filters[place] = replace(filters[place], value=value)
    return replace(supply, filters=tuple(filters))


def _set(load: Load | None, value: float) -> Load | None:
    return None if load is None else replace(load, value=value)
