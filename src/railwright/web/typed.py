"""What somebody types beside a fixed unit, and the text of a sheet that it means: `4k7`, `1000 µF` and `1000`."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from railwright.quantities import QuantityError, format_tolerance, read_quantity

#: The unit that stands beside a field, by the SI unit of its key; how a sheet writes it, and its size in SI.
_SHOWN: Final[Mapping[str, tuple[str, str, Decimal]]] = MappingProxyType(
    {
        "F": ("µF", "uF", Decimal("1e-6")), "ohm": ("Ω", "ohm", Decimal(1)), "H": ("mH", "mH", Decimal("1e-3")),
        "V": ("V", "V", Decimal(1)), "A": ("A", "A", Decimal(1)), "W": ("W", "W", Decimal(1)),
        "VA": ("VA", "VA", Decimal(1)), "Hz": ("Hz", "Hz", Decimal(1)), "s": ("s", "s", Decimal(1)),
        "°C": ("°C", "°C", Decimal(1)), "%": ("%", "%", Decimal("1e-2")), "-": ("", "", Decimal(1)),
        "dB": ("dB", "dB", Decimal(1)),
    }
)  # fmt: skip
#: A number alone, and what may follow it: a tolerance. Thin and plain spaces may stand between thousands.
_BARE: Final = re.compile(
    r"\s*(?P<number>[+\-−]?\d[\d\u00a0\u2009\u202f ]*(?:[.,]\d+)?|[+\-−]?[.,]\d+)\s*"
    r"(?P<tolerance>(?:±|\+/?-|\+|-)\s*\d[^%]*%)?\s*"
)
_LONGEST: Final = 80  # characters of one field


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a field takes: the key of the sheet, its SI unit, and the unit that stands beside the field."""

    key: str
    unit: str
    shown: str


def shown_unit(unit: str) -> str:
    """The unit that stands beside a field of an SI unit."""
    return _SHOWN[unit][0] if unit in _SHOWN else unit


def typed(text: str, wanted: Wanted, *, decimal: str = ".") -> str:
    """The sheet's text for what was typed.

    Raises
    ------
    QuantityError
        If it is no quantity of that unit; it says what to write.

    >>> typed("1000", Wanted(key="filter.1.capacitor", unit="F", shown="µF"))
    '1000 uF'
    >>> typed("4,7k", Wanted(key="load.resistance", unit="ohm", shown="Ω"), decimal=",")
    '4.7k'
    """
    if len(text) > _LONGEST:
        raise QuantityError(text[:_LONGEST], "is too long", "Write a number, with a unit if it isn't the one shown.")
    given = text.strip()
    shown = _SHOWN.get(wanted.unit)
    bare = _BARE.fullmatch(given)
    if bare is not None and shown is not None and shown[1]:
        tolerance = f" {bare['tolerance']}" if bare["tolerance"] else ""
        given = f"{bare['number'].strip()} {shown[1]}{tolerance}"
    read_quantity(given, wanted.unit, decimal=decimal)
    written = given.replace(",", ".") if decimal == "," else given
    # A sheet has a point for its decimal sign, whoever reads it: what was meant must come out of it again.
    if read_quantity(written, wanted.unit).value != read_quantity(given, wanted.unit, decimal=decimal).value:
        raise QuantityError(text, "can be read in two ways", "Write the number without signs between its thousands.")
    return written


def as_typed(text: str | float, unit: str, *, decimal: str = ".") -> str:
    """What stands in a field for a text of the sheet: the number in the unit shown, a tolerance after it.

    A text that is no quantity of that unit is given back as it is.

    >>> as_typed("1 mF -20/+50 %", "F")
    '1000 -20/+50 %'
    """
    shown = _SHOWN.get(unit)
    if shown is None:
        return str(text)
    try:
        read = read_quantity(text, unit)
    except QuantityError:
        return str(text)
    number = _plain(Decimal(repr(read.value)) / shown[2])
    tolerance = "" if read.tolerance is None else f" {format_tolerance(read.tolerance)}"
    return (number + tolerance).replace(".", decimal)


def _plain(value: Decimal) -> str:
    """A number without an exponent, to ten figures."""
    rounded = Decimal(f"{value:.10g}")
    text = f"{rounded:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
