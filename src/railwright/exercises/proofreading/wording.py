"""How a finding writes a number: in the unit and to the digits of the one that it stands beside."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from railwright.exercises.expressions.dimensions import (
    AMPERE,
    FARAD,
    HENRY,
    HERTZ,
    JOULE,
    OHM,
    PLAIN,
    SECOND,
    VOLT,
    WATT,
    Dimension,
)
from railwright.exercises.expressions.tree import Written
from railwright.quantities import format_quantity

_FORMATS: Final[Mapping[Dimension, str]] = MappingProxyType(
    {
        PLAIN: "1", VOLT: "V", AMPERE: "A", SECOND: "s", OHM: "ohm", WATT: "W", HERTZ: "Hz", FARAD: "F", HENRY: "H",
        JOULE: "J",
    }
)  # fmt: skip
_LEAST_DIGITS: Final = 3


def pretty(text: str) -> str:
    """Typed letters as the trade writes them: "2200 uF" is 2200 µF, "*" is ×."""
    shown = text.replace("ohm", "Ω").replace("*", "×")
    for unit in ("uF", "uA", "uV", "us", "uH", "uW"):
        shown = shown.replace(unit, f"µ{unit[1:]}")
    return shown


def as_written(written: Written) -> str:
    """A number as it stands on paper."""
    unit = written.unit_text
    if not unit:
        return pretty(written.text)
    gap = "" if unit in ("°", "deg") else " "
    return f"{written.numeral.text}{gap}{pretty(unit)}"


def beside(value: float, written: Written, *, decimal: str = ".") -> str:
    """A value in the unit of a written number and to its digits; in a unit of its own where little would be left."""
    factor = written.unit.factor if written.unit else 1.0
    scaled = value / factor
    decimals = written.numeral.decimals
    text = f"{scaled:.{min(decimals, 12)}f}"
    nonzero = text.strip("-0.")
    if "e" in written.numeral.text.lower() or "^" in written.numeral.text or not 1e-3 < abs(scaled) < 1e7:
        return in_own_unit(value, written.unit.dimension if written.unit else PLAIN, decimal=decimal)
    if len(nonzero) < min(2, written.numeral.figures):
        text = f"{scaled:.{_LEAST_DIGITS}g}"
    if decimal == ",":
        text = text.replace(".", ",")
    unit = pretty(written.unit_text)
    return f"{text}{'' if unit in ('', '°') else ' '}{unit}"


def in_own_unit(value: float, dimension: Dimension, *, digits: int = 4, decimal: str = ".") -> str:
    """A value in the unit that the trade would choose."""
    name = _FORMATS.get(dimension)
    if name is None:
        return f"{value:.{digits}g} {dimension.in_words}"
    return format_quantity(value, name, digits=digits, decimal=decimal)
