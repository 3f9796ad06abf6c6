"""What the tables know of a linear regulator, as the numbers a model of it needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from railwright.parts.catalogue import find
from railwright.parts.errors import UnsuitablePart
from railwright.parts.part import Part, PartValue


@dataclass(frozen=True, slots=True, kw_only=True)
class RegulatorData:
    """A linear regulator; None is 'not stated'. ``provenance`` tells the origin of each field.

    Output and reference carry their sign; all else is a magnitude, so that a negative regulator reads like a positive
    one. The dropout at a load current is dropout_constant + dropout_resistance x current, ``dropout`` its typical
    value at rated current.
    """

    name: str
    polarity: Literal["positive", "negative"]
    output: float | None  # [V] None for an adjustable one: the sheet states it
    reference: float | None  # [V] of an adjustable one
    dropout: float | None  # [V] typical at rated current
    dropout_constant: float | None  # [V]
    dropout_resistance: float | None  # [ohm]
    dropout_for_design: float | None  # [V] the most that the table names at rated current
    quiescent: float | None  # [A] typical
    quiescent_maximum: float | None  # [A]
    ripple_rejection: float | None  # [dB] typical
    ripple_rejection_minimum: float | None  # [dB]
    ripple_rejection_frequency: float | None  # [Hz]
    current_limit: float | None  # [A] typical
    rated_current: float | None  # [A]
    input_maximum: float | None  # [V] input to ground
    input_to_output_maximum: float | None  # [V] stated instead for adjustable ones
    minimum_load: float | None  # [A] the most that is asked for
    provenance: Mapping[str, str] = field(default_factory=dict)


def regulator_data(name: str | Part) -> RegulatorData:
    """Return the data of a regulator of the tables.

    Parameters
    ----------
    name : str or Part
        As in "7812", "7912", "low dropout 5 V generic 1 A".

    Raises
    ------
    UnknownPart
        If no table has it.
    UnsuitablePart
        If it is no regulator.

    >>> regulator_data("7912").output, regulator_data("7912").dropout
    (-12.0, 1.1)
    """
    part = name if isinstance(name, Part) else find(name, types=("regulator",), wanted="regulator")
    if part.type != "regulator":
        reason = f"is a part of type {part.type}, where a regulator is needed"
        raise UnsuitablePart(part.name, reason, "Name a part of type regulator, as in 7812.")
    inputs = part.all("input_maximum", "max")
    rejection = part.first("ripple_rejection", "typical", "min")
    chosen: dict[str, PartValue | None] = {
        "output": part.first("output", "typical", "nominal"),
        "reference": part.first("reference", "typical", "nominal"),
        "quiescent": part.first("quiescent", "typical", "max"),
        "quiescent_maximum": _largest(part.all("quiescent", "max")),
        "ripple_rejection": rejection,
        "ripple_rejection_minimum": _least_beside(part, rejection),
        "current_limit": part.first("current_limit", "typical", "min"),
        "rated_current": part.first("rated_current"),
        "input_maximum": _smallest(tuple(one for one in inputs if "of" not in one.conditions)),
        "input_to_output_maximum": _smallest(tuple(one for one in inputs if "of" in one.conditions)),
        "minimum_load": _largest(part.all("minimum_load")),
    }
    origin = {key: value.origin for key, value in chosen.items() if value is not None}
    numbers = {key: None if value is None else value.value for key, value in chosen.items()}
    dropout = _dropout(part, numbers["rated_current"], origin)
    sign = numbers["output"] or numbers["reference"] or (-1.0 if "negative" in part.class_ else 1.0)
    return RegulatorData(
        name=part.name,
        polarity="negative" if sign < 0.0 else "positive",
        ripple_rejection_frequency=None if rejection is None else rejection.condition("frequency", "Hz"),
        provenance=origin,
        **dropout,
        **numbers,
    )


def _dropout(part: Part, rated: float | None, origin: dict[str, str]) -> dict[str, float | None]:
    """The dropout at rated current, and the straight line through the typical points."""
    points = [
        (current, value.value, value)
        for value in part.all("dropout", "typical")
        if (current := value.condition("current", "A")) is not None and value.value is not None
    ]
    points.sort(key=lambda point: point[0])
    design = _largest(tuple(v for v in part.all("dropout") if v.spread in ("design figure", "max", "test condition")))
    if design is not None:
        origin["dropout_for_design"] = design.origin
    if not points:
        only = part.first("dropout", "typical", "max")
        value = None if only is None else only.value
        if only is not None:
            origin["dropout"] = only.origin
        return {
            "dropout": value,
            "dropout_constant": value,
            "dropout_resistance": None if value is None else 0.0,
            "dropout_for_design": value if design is None else design.value,
        }
    within = [point for point in points if rated is None or point[0] <= rated * (1.0 + 1e-9)]
    _, at_rated, named = (within or points)[-1]
    constant, resistance = _line([(current, drop) for current, drop, _ in points])
    origin["dropout"] = named.origin
    if len(points) > 1:
        worst = max(abs(constant + resistance * current - drop) for current, drop, _ in points)
        line = f"least squares through {len(points)} typical points, worst {1e3 * worst:.0f} mV; own calculation"
    else:
        line = "one point only: taken as constant"
    origin["dropout_constant"] = origin["dropout_resistance"] = line
    return {
        "dropout": at_rated,
        "dropout_constant": constant,
        "dropout_resistance": resistance,
        "dropout_for_design": at_rated if design is None else design.value,
    }


def _line(points: list[tuple[float, float]]) -> tuple[float, float]:
    """Intercept and slope of the straight line of least squares; a single point gives slope 0."""
    mean_x = sum(x for x, _ in points) / len(points)
    mean_y = sum(y for _, y in points) / len(points)
    spread = sum((x - mean_x) ** 2 for x, _ in points)
    slope = sum((x - mean_x) * (y - mean_y) for x, y in points) / spread if spread else 0.0
    return mean_y - slope * mean_x, slope


def _least_beside(part: Part, typical: PartValue | None) -> PartValue | None:
    """The least rejection that is stated under the conditions of the typical one."""
    least = part.all("ripple_rejection", "min")
    return next((one for one in least if typical and dict(one.conditions) == dict(typical.conditions)), None)


def _largest(values: tuple[PartValue, ...]) -> PartValue | None:
    return max(values, key=lambda value: value.value or 0.0, default=None)


def _smallest(values: tuple[PartValue, ...]) -> PartValue | None:
    return min(values, key=lambda value: value.value or 0.0, default=None)
