"""Cuts one line of plain notes into numbers, words and signs."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from railwright.exercises.expressions.numerals import DecimalSign, NotANumber, Numeral, read_numeral

LONGEST_LINE: Final = 2000  # characters
MOST_TOKENS: Final = 250


class Unreadable(ValueError):
    """A line that looks like an equation but isn't read; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """One piece of a line, with its place in it."""

    kind: Literal["number", "word", "sign", "other"]
    text: str
    start: int
    end: int
    numeral: Numeral | None = None
    letter_unit: str = ""  # of a letter code: "4k7" is in ohm


_LETTERS: Final = "A-Za-zα-ρσ-ωΑ-ΩÛÎûî"
_BESIDE: Final = (
    r"pp|p-p|pk-pk|pk|PK|rms|RMS|avg?|AV|AVG|dc|DC|max|min|peak|mean|load|out|in|on|no ?load|full ?load"
    r"|sec|pri|prim|source|src|output|input|cap|ripple|L|[A-Za-z]{1,4}[,-][A-Za-z]{1,4}"
)
_WORD: Final = (
    rf"(?:°C/W|K/W|°C|°|%|p-p\b|pk-pk\b|r\.m\.s\.?|d\.c\.?|a\.c\.?"
    rf"|Δ?[{_LETTERS}][{_LETTERS}0-9']*(?:_[{_LETTERS}0-9]+)*(?:\((?:{_BESIDE})\))?)"
)
_POWER_OF_TEN: Final = r"\s*(?:[*x]|\\times)\s*10\s*\^\s*(?P<{0}>\(\s*[-+]?\s*[0-9]{{1,9}}\s*\)|[-+]?[0-9]{{1,9}})"
_GROUPED: Final = r"[0-9]{1,3}(?:[ \u00a0\u202f\u2009][0-9]{3})+(?![0-9])"


@cache
def _pattern(decimal: DecimalSign) -> re.Pattern[str]:
    sign = re.escape(decimal)
    plain = rf"(?:(?:{_GROUPED}|[0-9]+)(?:{sign}[0-9]+)?|(?<![0-9A-Za-z]){sign}[0-9]+)"
    return re.compile(
        rf"(?P<code>[0-9]+[RkKM][0-9]*(?![A-Za-z0-9]))"
        rf"|(?P<number>{plain})(?:[eE](?P<exponent>[-+]?[0-9]{{1,9}})(?![0-9A-Za-z])|{_POWER_OF_TEN.format('ten')})?"
        rf"|(?P<word>{_WORD})"
        r"|(?P<sign>\*\*|[-+*/^()√π])"
        r"|(?P<other>\S)"
    )


def tokens_of(text: str, decimal: DecimalSign) -> tuple[Token, ...]:
    """Cut a text into tokens.

    Raises
    ------
    Unreadable
        If the line is too long, or a number in it has too many digits or too large an exponent.
    """
    if len(text) > LONGEST_LINE:
        raise Unreadable(f"longer than {LONGEST_LINE} characters")
    found: list[Token] = []
    for match in _pattern(decimal).finditer(text):
        if len(found) >= MOST_TOKENS:
            raise Unreadable(f"more than {MOST_TOKENS} numbers, words and signs")
        found.append(_token(match, decimal))
    return tuple(found)


def _token(match: re.Match[str], decimal: DecimalSign) -> Token:
    text, start, end = match.group(), match.start(), match.end()
    try:
        if match["code"] is not None:
            return _letter_code(text, start, end)
        if match["number"] is not None:
            digits = re.sub(r"\s", "", match["number"]).replace(decimal, ".")
            if digits.startswith("."):
                digits = "0" + digits
            power = match["exponent"] or match["ten"] or "0"
            numeral = read_numeral(digits, int(re.sub(r"[()\s]", "", power)), text=text.strip())
            return Token(kind="number", text=text, start=start, end=end, numeral=numeral)
    except NotANumber as why:
        raise Unreadable(str(why)) from why
    if match["word"] is not None:
        return Token(kind="word", text=text, start=start, end=end)
    if match["sign"] is not None:
        return Token(kind="sign", text="^" if text == "**" else text, start=start, end=end)
    return Token(kind="other", text=text, start=start, end=end)


def _letter_code(text: str, start: int, end: int) -> Token:
    """A resistance in the letter code of IEC 60062: "4k7", "100R", "1M"."""
    letter = next(c for c in text if not c.isdigit())
    whole, _, part = text.partition(letter)
    exponent = {"R": 0, "k": 3, "K": 3, "M": 6}[letter]
    numeral = read_numeral(f"{whole}.{part}" if part else whole, exponent, text=text)
    return Token(kind="number", text=text, start=start, end=end, numeral=numeral, letter_unit="ohm")
