"""A number as it stands on paper: its value, and how far its shown digits let the true one lie away."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

DecimalSign = Literal[".", ","]

MOST_DIGITS: Final = 30
LARGEST_EXPONENT: Final = 99


class NotANumber(ValueError):
    """Digits that are not read as a number; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Numeral:
    """A written number, before its unit."""

    text: str  # as written
    value: float
    step: float  # one unit of the last digit
    coarse_step: float  # the same where zeros at the end may only hold the place ("2400" for 2389)
    is_integer: bool  # without a decimal sign or exponent
    figures: int  # significant digits

    @property
    def decimals(self) -> int:
        """Digits after the decimal sign."""
        return max(0, -round(math.log10(self.step))) if self.step < 1.0 else 0


def read_numeral(digits: str, exponent: int = 0, *, text: str = "") -> Numeral:
    """Read plain digits with a decimal point, times a power of ten.

    Raises
    ------
    NotANumber
        If there are more than 30 digits or the power of ten is beyond ±99.
    """
    if sum(c.isdigit() for c in digits) > MOST_DIGITS:
        raise NotANumber(f"a number of more than {MOST_DIGITS} digits")
    if abs(exponent) > LARGEST_EXPONENT:
        raise NotANumber(f"a power of ten beyond {LARGEST_EXPONENT}")
    exact = Decimal(digits).scaleb(exponent)
    last = exact.as_tuple().exponent
    assert isinstance(last, int)
    whole = "." not in digits
    stripped = digits.lstrip("0.").replace(".", "")
    figures = len(stripped) or 1
    zeros = len(stripped) - len(stripped.rstrip("0")) if whole else 0
    # "60" is sixty; of "2400" the zeros may hold the place: two figures are taken to be meant at the least.
    holding = max(0, min(zeros, figures - 2))
    step = float(Decimal(1).scaleb(last))
    return Numeral(
        text=text or digits,
        value=float(exact),
        step=step,
        coarse_step=step * 10.0**holding,
        is_integer=whole and exponent == 0,
        figures=figures,
    )
