"""What the parts of a supply must bear, beside what is stated for them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from railwright.study import Study

__all__ = ["Stress", "limits", "stresses", "verdict"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stress:
    """One stress: the reading, its value, the stated limit, and how much of the limit is to stay free."""

    reading: str
    value: float
    limit: float | None
    margin: float  # share of the limit

    @property
    def verdict(self) -> str:
        """`inside`, `thin`, `over`; "" where no limit is stated."""
        return verdict(self.value, self.limit, self.margin)


def verdict(value: float, limit: float | None, margin: float) -> str:
    """`inside`, `thin`, `over`; "" where no limit is stated."""
    if limit is None or not limit > 0.0:
        return ""
    share = abs(value) / limit
    return "over" if share > 1.0 else "thin" if share > 1.0 - margin else "inside"


def stresses(study: Study) -> tuple[Stress, ...]:
    """The stresses that this supply has, those with a stated limit first."""
    found = []
    for reading, limit, margin in limits(study):
        value = study.readings.computed(reading)
        if value is not None:
            found.append(Stress(reading=reading, value=value, limit=limit, margin=margin))
    return tuple(sorted(found, key=lambda stress: stress.limit is None))


def limits(study: Study) -> Iterator[tuple[str, float | None, float]]:
    """Each stress by its reading, the stated limit, and the share of it that is to stay free."""
    supply, margins = study.supply, study.supply.margins
    diode = supply.rectifier.diode
    yield "D1.reverse_voltage.peak", diode.reverse_voltage_rating, margins.voltage
    yield "D1.current.mean", diode.mean_current_rating, margins.current
    yield "D1.current.peak", None, margins.current
    first = next((section for section in supply.filters if section.kind == "capacitor"), None)
    yield "C1.voltage.peak", None if first is None else first.voltage_rating, margins.voltage
    yield "C1.current.rms", None if first is None else first.ripple_current_rating, margins.current
    transformer, rated = supply.transformer, None
    if transformer is not None:
        rated = transformer.rated_current
        if rated is None and transformer.rating is not None and transformer.secondary_voltage:
            # A rating is that of all sections of the winding together.
            sections = 3 if supply.mains.phases == 3 else 1 if transformer.secondary == "single" else 2
            rated = transformer.rating / (sections * transformer.secondary_voltage)
    for place in ("secondary", "secondary_a", "secondary_1"):
        yield f"{place}.current.rms", rated, margins.current
    yield "U1.power.mean", None, margins.power
    yield "Z1.power.mean", None, margins.power
