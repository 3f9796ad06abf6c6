"""What the tables know of a zener diode, as the numbers a model of it needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from railwright.parts.catalogue import find
from railwright.parts.errors import UnsuitablePart
from railwright.parts.part import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class ZenerData:
    """A zener diode: a voltage at a test current, and the slope there. ``provenance`` tells each field's origin."""

    name: str
    zener_voltage: float  # [V] nominal, at test_current
    test_current: float  # [A]
    zener_resistance: float  # [ohm] slope at test_current: typical where the table has it, else its maximum
    zener_resistance_maximum: float | None  # [ohm]
    zener_minimum_current: float | None  # [A]
    power_rating: float | None  # [W]
    maximum_current: float | None  # [A]
    provenance: Mapping[str, str] = field(default_factory=dict)

    @property
    def threshold_voltage(self) -> float:
        """The voltage at which the straight law v = threshold + zener_resistance x i starts. [V]"""
        return self.zener_voltage - self.zener_resistance * self.test_current


def zener_data(name: str | Part) -> ZenerData:
    """Return the data of a zener diode of the tables.

    Below 5 V the knee is soft: the straight law then holds near the test current only.

    Parameters
    ----------
    name : str or Part
        As in "1N4733A", "zener 0.5 W 5.1 V".

    Raises
    ------
    UnknownPart
        If no table has it.
    UnsuitablePart
        If it is no zener diode, or lacks its voltage, test current or slope.

    >>> zener_data("1N4733A").zener_voltage, zener_data("1N4733A").zener_resistance
    (5.1, 7.0)
    """
    part = name if isinstance(name, Part) else find(name, types=("zener",), wanted="zener diode")
    if part.type != "zener":
        reason = f"is a part of type {part.type}, where a zener diode is needed"
        raise UnsuitablePart(part.name, reason, "Name a part of type zener, as in 1N4733A.")
    chosen = {
        "zener_voltage": part.first("zener_voltage", "nominal", "typical", ""),
        "test_current": part.first("test_current"),
        "zener_resistance": part.first("zener_resistance", "typical", "max", ""),
        "zener_resistance_maximum": part.first("zener_resistance", "max"),
        "zener_minimum_current": part.first("zener_minimum_current"),
        "power_rating": part.first("power_rating"),
        "maximum_current": part.first("maximum_current"),
    }
    numbers = {key: None if value is None else value.value for key, value in chosen.items()}
    voltage, current, slope = (numbers.pop(key) for key in ("zener_voltage", "test_current", "zener_resistance"))
    if voltage is None or current is None or slope is None:
        raise UnsuitablePart(
            part.name,
            "lacks zener_voltage, test_current or zener_resistance",
            "A model of it needs all three: state them in the part file.",
        )
    return ZenerData(
        name=part.name,
        zener_voltage=voltage,
        test_current=current,
        zener_resistance=slope,
        provenance={key: value.origin for key, value in chosen.items() if value is not None},
        **numbers,
    )
