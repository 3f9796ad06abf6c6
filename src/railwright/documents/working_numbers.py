"""Numbers as a student writes them: rounded half up to a course's digits, with unit, in print and as plain text."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from railwright.documents.working_maths import Written
from railwright.quantities import format_quantity

#: Digits in which a number of the sheet is written; nobody types more.
GIVEN_DIGITS: Final = 6
_NOISE: Final = 12  # digits beyond which a float holds only the noise of its arithmetic
_NUMBER: Final = re.compile(r"(?P<number>-?[0-9.]+(?:e[+-]?[0-9]+)?)(?P<gap>\s?)(?P<unit>.*)", re.DOTALL)
_UNITS: Final = {"Ω": r"\Omega", "µ": r"\mu", "°": r"^\circ", "%": r"\%", "²": "^2"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """How a course writes numbers."""

    digits: int
    decimal: str


def rounded(value: float, digits: int) -> float:
    """A value rounded half up, as in school, to significant digits.

    >>> rounded(0.125, 2), rounded(24.045, 4)
    (0.13, 24.05)
    """
    if value == 0.0:
        return 0.0
    exact = Decimal(f"{value:.{_NOISE}g}")
    return float(exact.quantize(Decimal(1).scaleb(exact.adjusted() - digits + 1), rounding=ROUND_HALF_UP))


def result(value: float, unit: str, figures: Figures, *, from_exact: bool = True) -> Written:
    """A result to the course's digits.

    Zeros at its end are written where they were rounded to, not where the number is exact: 2 × 50 Hz is 100 Hz, but
    12.7 V - 0.7 V is 12.0 V where the 12.7 V is itself rounded (`from_exact` False).
    """
    shown = rounded(value, figures.digits)
    text = format_quantity(shown, unit, digits=figures.digits)
    bare = from_exact and is_round(value, figures.digits)
    return _both(text if bare else _padded(text, figures.digits), figures.decimal)


def is_round(value: float, digits: int) -> bool:
    """Whether a value is nothing but its digits."""
    return abs(rounded(value, digits) - value) <= 1e-9 * abs(value)


def given(value: float, unit: str, figures: Figures) -> Written:
    """A number of the sheet, as typed there."""
    return _both(format_quantity(value, unit, digits=GIVEN_DIGITS), figures.decimal)


def percent(value: float, figures: Figures) -> Written:
    """A ratio in percent, to the course's digits."""
    text = format_quantity(rounded(100.0 * value, figures.digits), "1", digits=figures.digits)
    bare = is_round(100.0 * value, figures.digits)
    return _both(f"{text if bare else _padded(text, figures.digits)} %", figures.decimal)


def how_far(difference: float, decimal: str) -> str:
    """A relative difference in words: "41.6 % too high", "agrees within 0.05 %"."""
    size = abs(difference) * 100.0
    if size < 0.05:
        return "agrees within 0.05 %".replace(".", decimal)
    text = f"{size:.1f}" if size < 9.95 else f"{size:.0f}"
    return f"{text.replace('.', decimal)} % too {'high' if difference > 0 else 'low'}"


def plain_number(text: str, decimal: str) -> Written:
    """A number without unit, as it stands in a formula."""
    return Written(latex=_latex_number(text, decimal), plain=text.replace(".", decimal))


def _padded(text: str, digits: int) -> str:
    """The number with zeros at its end until it has all its significant digits: 23 V becomes 23.0 V."""
    match = _NUMBER.fullmatch(text)
    assert match is not None  # it was written by our own formatter
    mantissa, exponent, power = match["number"].partition("e")
    whole, _, part = mantissa.lstrip("-").partition(".")
    significant = len((whole + part).lstrip("0"))
    if significant < digits:
        mantissa += ("" if part else ".") + "0" * (digits - significant)
    return f"{mantissa}{exponent}{power}{match['gap']}{match['unit']}"


def _both(text: str, decimal: str) -> Written:
    """A number with its unit in both writings."""
    match = _NUMBER.fullmatch(text)
    assert match is not None
    number, unit = match["number"], match["unit"]
    mantissa, exponent, power = number.partition("e")
    latex = _latex_number(mantissa, decimal)
    plain = mantissa.replace(".", decimal).replace("-", "−")
    if exponent:
        latex += rf" \times 10^{{{int(power)}}}"
        plain += f" × 10^{int(power)}"
    if unit == "°":
        latex += r"^\circ"
    elif unit:
        latex += rf"\,{_latex_unit(unit)}"
    return Written(latex=latex, plain=f"{plain}{match['gap']}{unit}".replace("-", "−"), is_number=True)


def _latex_number(text: str, decimal: str) -> str:
    # In braces the comma is a decimal sign, not a list's.
    return text.replace(".", "." if decimal == "." else "{,}")


def _latex_unit(unit: str) -> str:
    """A unit: its letters upright, the signs that aren't letters by their own commands."""
    pieces = re.findall(r"[A-Za-z/]+|.", unit)
    return "".join(_UNITS.get(piece, rf"\text{{{piece}}}") for piece in pieces)
