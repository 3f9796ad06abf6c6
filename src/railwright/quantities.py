"""Quantities as the trade writes them, to and from SI numbers.

``"2200 uF -20/+50 %"`` becomes 2.2e-3 farad with its tolerance in this one place, and returns to people
through one formatter. The SI prefixes are read by quantiphy, but only behind the guard below: handed raw
text it would take "4k7" for 4, "0,1 uF" for 1 uF and "1e5 mV" for 1e5. The letter codes "4k7", "R47"
(RKM code, IEC 60062) are read here.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_EVEN, Decimal
from types import MappingProxyType

import quantiphy

__all__ = [
    "PREFERRED_VALUES",
    "Quantity",
    "QuantityError",
    "Tolerance",
    "format_quantity",
    "format_tolerance",
    "known_units",
    "preferred_above",
    "preferred_below",
    "preferred_values",
    "read_beside_unit",
    "read_quantity",
    "read_ratio",
    "read_span",
    "read_tolerance",
]

LONGEST_TEXT = 80  # characters: no quantity needs more, and nobody shall feed us a novel
LARGEST_EXPONENT = 99  # of ten, in "1e-15 A": keeps every readable number a finite float
LARGEST_EXCESS = Decimal(1000)  # [%] widest plus tolerance; old electrolytics reach +100 %, more is a slip


class QuantityError(ValueError):
    """A text that is no quantity, or not the quantity that was wanted.

    Parameters
    ----------
    given : str
        What was read, shortened and with unprintable characters spelled out.
    reason : str
        What is wrong with it: the end of a sentence that starts with the text given.
    remedy : str
        What to write instead: a sentence of its own.
    """

    def __init__(self, given: str, reason: str, remedy: str) -> None:
        # Reason and remedy may quote what was given: no control character reaches a terminal or a page.
        self.given, self.reason, self.remedy = (_printable(text) for text in (given, reason, remedy))
        super().__init__(self.given, self.reason, self.remedy)

    def __str__(self) -> str:
        """Compose the sentence."""
        return f'"{self.given}" {self.reason}. {self.remedy}'


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """How far a value may stray, as two positive fractions of it: 0.2 is 20 %."""

    minus: float
    plus: float

    def __post_init__(self) -> None:
        """Refuse what is no tolerance."""
        if not (0.0 <= self.minus < 1.0 and 0.0 <= self.plus <= float(LARGEST_EXCESS) / 100):
            text = f"-{self.minus:g}/+{self.plus:g}"
            raise QuantityError(
                text,
                "is no tolerance",
                "Give minus from 0 to less than 1 and plus from 0 to 10, as fractions: 0.2 is 20 %.",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A value in its SI unit, with the tolerance that was written after it.

    ``doubts`` are sentences about a value that can be read but is hard to believe; they say why.
    """

    value: float
    unit: str
    tolerance: Tolerance | None = None
    doubts: tuple[str, ...] = ()


# ---------------------------------------------------------------------------------------------------------
# The units

ONE = Decimal(1)
_TURN = Decimal("0.15915494309189533576888376337251")  # 1/(2 pi): radians per second to hertz
_PREFIX_EXPONENTS = {"T": 12, "G": 9, "M": 6, "k": 3, "": 0, "m": -3, "u": -6, "n": -9, "p": -12, "f": -15}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
    """One kind of quantity: its unit, the spellings that are read, and the sizes that are believed."""

    unit: str  # of the value that is returned
    noun: str
    spellings: Mapping[str, Decimal]  # unit as typed -> factor to the SI unit
    prefixes: str = ""  # SI prefixes that the trade puts before it; "K" is the usual slip for kilo
    usual: tuple[str, ...] = ()  # what to suggest after a number without a unit
    plain: bool = False  # a number without a unit is complete
    signed: bool = False
    # Sizes between which a value raises no doubt (of its amount). All of these: common practice, no source.
    low: float = 0.0
    high: float = math.inf
    least: float = -math.inf  # below it the value is impossible
    tokens: Mapping[str, tuple[str, Decimal]] = field(init=False)  # as typed -> prefix, factor

    def __post_init__(self) -> None:
        tokens: dict[str, tuple[str, Decimal]] = {}
        for spelling, factor in self.spellings.items():
            tokens[spelling] = ("", factor)
            # "%", "h", "rad/s" and the like are spellings beside the SI unit and take no prefix.
            if factor == ONE:
                for prefix in self.prefixes:
                    tokens.setdefault(prefix + spelling, (prefix, factor))
        object.__setattr__(self, "tokens", MappingProxyType(tokens))


def _kinds() -> dict[str, _Kind]:
    return {
        # "M" is left out on purpose: "MF" is microfarad on old American parts, a million farad in SI.
        "F": _Kind(
            unit="F",
            noun="a capacitance",
            spellings={"F": ONE},
            prefixes="kmunpf",
            usual=("uF", "nF"),
            low=1e-12,
            high=0.2,
        ),
        "H": _Kind(
            unit="H",
            noun="an inductance",
            spellings={"H": ONE},
            prefixes="kmunp",
            usual=("mH", "H"),
            low=1e-9,
            high=1e4,
        ),
        "ohm": _Kind(
            unit="ohm",
            noun="a resistance",
            spellings={"ohm": ONE, "ohms": ONE, "Ohm": ONE, "Ohms": ONE, "OHM": ONE},
            prefixes="TGMKkmun",
            usual=("ohm", "kohm"),
            low=1e-5,
            high=1e10,
        ),
        "V": _Kind(
            unit="V",
            noun="a voltage",
            spellings={"V": ONE},
            prefixes="MKkmun",
            usual=("V",),
            signed=True,
            low=1e-6,
            high=1e5,
        ),
        "A": _Kind(
            unit="A",
            noun="a current",
            spellings={"A": ONE},
            prefixes="Kkmunpf",
            usual=("A", "mA"),
            signed=True,
            low=1e-18,
            high=1e4,
        ),
        "W": _Kind(
            unit="W",
            noun="a power",
            spellings={"W": ONE},
            prefixes="MKkmun",
            usual=("W",),
            signed=True,
            low=1e-9,
            high=1e6,
        ),
        "VA": _Kind(
            unit="VA",
            noun="an apparent power",
            spellings={"VA": ONE},
            prefixes="MKkm",
            usual=("VA",),
            low=1e-2,
            high=1e6,
        ),
        "Hz": _Kind(
            unit="Hz",
            noun="a frequency",
            spellings={"Hz": ONE, "rad/s": _TURN},
            prefixes="GMKkm",
            usual=("Hz",),
            low=1e-2,
            high=1e8,
        ),
        "s": _Kind(
            unit="s",
            noun="a time",
            spellings={"s": ONE, "min": Decimal(60), "h": Decimal(3600)},
            prefixes="kmunpf",
            usual=("s", "ms"),
            low=1e-12,
            high=3e9,  # about a century
        ),
        "°C": _Kind(
            unit="°C",
            noun="a temperature",
            spellings={"°C": ONE, "C": ONE, "degC": ONE},
            usual=("°C",),
            signed=True,
            high=300.0,
            least=-273.15,
        ),
        "K": _Kind(
            unit="K",
            noun="a temperature difference",
            spellings={"K": ONE},
            prefixes="m",
            usual=("K",),
            signed=True,
            high=1e4,
        ),
        "K/W": _Kind(
            unit="K/W",
            noun="a thermal resistance",
            spellings={"K/W": ONE, "°C/W": ONE},
            prefixes="m",
            usual=("K/W",),
            low=1e-3,
            high=1e4,
        ),
        "W/K": _Kind(
            unit="W/K",
            noun="a dissipation factor",
            spellings={"W/K": ONE, "W/°C": ONE},
            prefixes="mu",
            usual=("mW/K",),
            low=1e-6,
            high=1e4,
        ),
        "V/K": _Kind(
            unit="V/K",
            noun="a temperature coefficient",
            spellings={"V/K": ONE, "V/°C": ONE},
            prefixes="mu",
            usual=("mV/K",),
            signed=True,
            high=1.0,
        ),
        "1/K": _Kind(
            unit="1/K",
            noun="a temperature coefficient",
            spellings={"%/K": Decimal("0.01"), "%/°C": Decimal("0.01")},
            usual=("%/K",),
            signed=True,
            high=1.0,
        ),
        "1/V": _Kind(
            unit="1/V",
            noun="a dependence on voltage",
            spellings={"%/V": Decimal("0.01")},
            usual=("%/V",),
            signed=True,
            high=1.0,
        ),
        "J": _Kind(
            unit="J",
            noun="an energy",
            spellings={"J": ONE, "Ws": ONE},
            prefixes="MKkmun",
            usual=("J",),
            signed=True,
            low=1e-12,
            high=1e7,
        ),
        "eV": _Kind(
            unit="eV", noun="an energy gap", spellings={"eV": ONE}, prefixes="m", usual=("eV",), low=1e-2, high=20.0
        ),
        "C": _Kind(
            unit="C",
            noun="a charge",
            spellings={"C": ONE, "As": ONE},
            prefixes="munp",
            usual=("mC",),
            signed=True,
            low=1e-15,
            high=1e4,
        ),
        "A²s": _Kind(
            unit="A²s",
            noun="a melting integral",
            spellings={"A²s": ONE, "A2s": ONE, "A^2s": ONE},
            usual=("A²s",),
            low=1e-7,
            high=1e9,
        ),
        "m": _Kind(
            unit="m",
            noun="a length",
            spellings={"m": ONE, "cm": Decimal("0.01")},
            prefixes="kmun",
            usual=("mm",),
            low=1e-7,
            high=1e5,
        ),
        "m/s": _Kind(unit="m/s", noun="a speed", spellings={"m/s": ONE}, usual=("m/s",), signed=True, high=400.0),
        "W/m²": _Kind(
            unit="W/m²",
            noun="a power per area",
            spellings={
                "W/m²": ONE,
                "W/m2": ONE,
                "W/cm²": Decimal(10_000),
                "W/cm2": Decimal(10_000),
                "mW/cm²": Decimal(10),
                "mW/cm2": Decimal(10),
            },
            usual=("mW/cm2",),
            low=1e-3,
            high=1e8,
        ),
        "dB": _Kind(
            unit="dB", noun="a ratio in decibel", spellings={"dB": ONE}, usual=("dB",), signed=True, high=200.0
        ),
        "deg": _Kind(
            unit="deg", noun="an angle", spellings={"deg": ONE, "°": ONE}, usual=("deg",), signed=True, high=36000.0
        ),
        "%": _Kind(
            unit="-", noun="a percentage", spellings={"%": Decimal("0.01")}, usual=("%",), signed=True, high=10.0
        ),
        "-": _Kind(
            unit="-", noun="a plain number", spellings={"%": Decimal("0.01")}, usual=("%",), plain=True, signed=True
        ),
    }


_KINDS: Mapping[str, _Kind] = MappingProxyType(_kinds())
_ALIASES = {
    "\u03a9": "ohm",  # GREEK CAPITAL OMEGA
    "\u2126": "ohm",  # OHM SIGN
    "rad/s": "Hz",
    "h": "s",
    "A2s": "A²s",
    "1": "-",
    "": "-",
    "W/m2": "W/m²",
    "%/K": "1/K",
    "%/V": "1/V",
}


def known_units() -> tuple[str, ...]:
    """Return the units that :func:`read_quantity` can be asked for."""
    return tuple(_KINDS)


def _kind(unit: str) -> _Kind:
    name = _ALIASES.get(unit, unit)
    if name not in _KINDS:
        raise QuantityError(_shown(unit), "is no unit that is known here", f"Ask for one of: {', '.join(_KINDS)}.")
    return _KINDS[name]


# ---------------------------------------------------------------------------------------------------------
# From what was typed to plain characters

_SAME_CHARACTER = str.maketrans(
    {
        "\u00b5": "u",  # MICRO SIGN
        "\u03bc": "u",  # GREEK SMALL MU
        "\u03a9": "ohm",  # GREEK CAPITAL OMEGA
        "\u2126": "ohm",  # OHM SIGN
        "\u2103": "°C",  # DEGREE CELSIUS
        "\u00ba": "°",  # MASCULINE ORDINAL, beside the degree sign on some keyboards
        "\u2212": "-",  # MINUS SIGN
        "\u2013": "-",  # EN DASH
        "\u00a0": " ",  # the no-break and thin spaces of typeset text
        "\u202f": " ",
        "\u2009": " ",
        "\u2007": " ",
        "\t": " ",
    }
)


def _shown(text: str) -> str:
    """Return the text as a message may carry it: short, every character printable."""
    if len(text) > LONGEST_TEXT:
        text = text[: LONGEST_TEXT - 1] + "…"
    return _printable(text)


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)


def _typed(text: object, remedy: str) -> str:
    """Return the text in plain characters, or say why it can't be a quantity at all."""
    if not isinstance(text, str):
        what = f"is a {type(text).__name__}, where a text is needed"
        if isinstance(text, (int, float)) and not isinstance(text, bool):
            what = "is a bare number, where a text with its unit in quotes is needed"
        raise QuantityError(_shown(_spelled(text)), what, remedy)
    if len(text) > LONGEST_TEXT:
        raise QuantityError(_shown(text), f"is longer than {LONGEST_TEXT} characters", remedy)
    if not text.strip():
        raise QuantityError(_shown(text), "is empty", remedy)
    return re.sub(r" +", " ", text.translate(_SAME_CHARACTER).strip())


def _spelled(thing: object) -> str:
    # A huge integer can't be turned into text at all (the interpreter's own limit on digits).
    try:
        return str(thing)
    except Exception:
        return f"a {type(thing).__name__}"


# ---------------------------------------------------------------------------------------------------------
# Numbers

_DIGITS = r"[0-9]{1,3}(?: [0-9]{3})+(?![0-9])|[0-9]+(?:_[0-9]+)*"
_NUMBER = rf"[+-]?(?:(?:{_DIGITS})(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{{1,4}}(?![0-9]))?"
_NUMBER_THEN_UNIT = re.compile(rf"(?P<number>{_NUMBER}) ?(?P<unit>[^0-9 ].*)?", re.DOTALL)
_LETTER_CODE = re.compile(
    r"(?P<sign>[+-]?)(?P<whole>[0-9]*)(?P<letter>[A-Za-z])(?P<part>[0-9]*)(?: ?(?P<unit>\D.*))?", re.DOTALL
)

# IEC 60062 marks resistance by R K M G T and capacitance by p n u m F (from memory). Small r and k are how
# people type them. V and A as a decimal sign ("5V1" zener, "3A15" fuse): common practice, no source.
_CODE_LETTERS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "ohm": {"R": "", "r": "", "K": "k", "k": "k", "M": "M", "G": "G", "T": "T"},
        "F": {"p": "p", "n": "n", "u": "u", "m": "m", "F": ""},
        "V": {"V": ""},
        "A": {"A": ""},
    }
)


def _decimal_sign(text: str, shown: str, decimal: str) -> str:
    """Return the text with its decimal sign as a dot; refuse what could be ten or a thousand times off."""
    if decimal == ".":
        if "," in text:
            options = [text.replace(",", ".")] if text.count(",") == 1 else []
            if re.search(r"[0-9],[0-9]{3}(?![0-9])", text):
                options.append(text.replace(",", ""))
            remedy = f"Write {_either(options)}" if options else "Write a decimal point and no marks between thousands"
            raise QuantityError(
                shown,
                "has a comma, which could be a decimal sign or a mark between thousands",
                f'{remedy}; a course may state decimal = ",".',
            )
        return text
    if decimal != ",":
        raise QuantityError(_shown(decimal), "is no decimal sign", 'Ask for "." or ",".')
    if "," in text and "." in text:
        raise QuantityError(
            shown, "has both a comma and a dot", f'Write no marks between thousands: "{re.sub(r"[.]", "", text)}".'
        )
    if re.search(r"(?<![0-9])[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9])", text):
        raise QuantityError(
            shown,
            "has a dot before three digits, which could be a decimal sign or a mark between thousands",
            f"Write {_either([text.replace('.', ','), text.replace('.', '')])}.",
        )
    return text.replace(",", ".")


def _either(options: list[str]) -> str:
    return " or ".join(f'"{option}"' for option in options)


def _number(text: str, shown: str, remedy: str) -> Decimal:
    """Return a number whose text has the form of ``_NUMBER``."""
    plain = text.replace("_", "").replace(" ", "")
    mantissa, _, exponent = plain.lower().partition("e")
    if exponent and abs(int(exponent)) > LARGEST_EXPONENT:
        raise QuantityError(shown, "is beyond any quantity that could be meant", remedy)
    return Decimal(mantissa).scaleb(int(exponent or 0))


def _scaled(number: Decimal, prefix: str, factor: Decimal) -> float:
    # The exponent is written out: quantiphy reads "1e5 mV" as 1e5. The unit is always V, as one that can't be
    # taken for a prefix ("1 K" would be a thousand, "1 m" a thousandth).
    return float(quantiphy.Quantity(f"{number * factor:f} {prefix}V").real)


# ---------------------------------------------------------------------------------------------------------
# Tolerances

_PERCENT_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_EITHER_WAY = re.compile(rf"(?:±|\+/-|\+-) ?(?P<both>{_PERCENT_NUMBER}) ?%")
_BARE = re.compile(rf"(?P<both>{_PERCENT_NUMBER}) ?%")
_TWO_SIDED = re.compile(rf"(?P<first>[+-] ?{_PERCENT_NUMBER}) ?%? ?/ ?(?P<second>[+-] ?{_PERCENT_NUMBER}) ?%")
_TOLERANCE_AT_END = re.compile(
    rf"(?P<value>.*?[^ +-])(?: (?={_BARE.pattern.replace('?P<both>', '?:')}$)| ?(?=[±+-]))"
    rf"(?P<tolerance>{_EITHER_WAY.pattern.replace('?P<both>', '?:')}"
    rf"|{_TWO_SIDED.pattern.replace('?P<first>', '?:').replace('?P<second>', '?:')}"
    rf"|{_BARE.pattern.replace('?P<both>', '?:')})",
    re.DOTALL,
)
_TOLERANCE_REMEDY = 'Write it as "±20 %" or "-20/+50 %".'


def read_tolerance(text: str, *, decimal: str = ".") -> Tolerance:
    """Read a tolerance: "±20 %", "20 %", "+/-5%", "-20/+50 %", "+80/-20 %".

    Parameters
    ----------
    text : str
        As printed on the part, in percent.
    decimal : str
        The decimal sign, "." or ",".

    Raises
    ------
    QuantityError
        If the text is no tolerance in percent.

    >>> read_tolerance("-20/+50 %")
    Tolerance(minus=0.2, plus=0.5)
    """
    shown = _shown(text) if isinstance(text, str) else ""
    typed = _decimal_sign(_typed(text, _TOLERANCE_REMEDY), shown, decimal)
    return _tolerance(typed, shown)


def _tolerance(typed: str, shown: str) -> Tolerance:
    both = _EITHER_WAY.fullmatch(typed) or _BARE.fullmatch(typed)
    if both:
        minus = plus = Decimal(both["both"])
    else:
        sides = _TWO_SIDED.fullmatch(typed)
        if not sides:
            reason = "is no tolerance in percent"
            if re.fullmatch(rf"[+-] ?{_PERCENT_NUMBER} ?%", typed):
                reason = "names one side of a tolerance only"
            raise QuantityError(shown, reason, _TOLERANCE_REMEDY)
        values = [Decimal(sides[side].replace(" ", "")) for side in ("first", "second")]
        signs = sides["first"][0] + sides["second"][0]
        if signs not in ("-+", "+-"):
            raise QuantityError(shown, "needs one side with a minus and one with a plus", _TOLERANCE_REMEDY)
        # By the signs as written: "-0" and "+0" are sides, too.
        minus, plus = (abs(value) for value in (values if signs == "-+" else reversed(values)))
    if minus >= 100:
        raise QuantityError(shown, "would let the value fall to zero or below", "Write a minus side below 100 %.")
    if plus > LARGEST_EXCESS:
        raise QuantityError(shown, "is too wide to be meant", f"Write a plus side of at most {LARGEST_EXCESS} %.")
    return Tolerance(minus=_scaled(minus, "", Decimal("0.01")), plus=_scaled(plus, "", Decimal("0.01")))


# ---------------------------------------------------------------------------------------------------------
# Quantities


def read_quantity(text: str | float, unit: str, *, decimal: str = ".") -> Quantity:
    """Read a quantity as the trade writes it, into its SI unit.

    Parameters
    ----------
    text : str or float
        "2200 uF", "4k7", "R47", "8.33 ms", "230 V ±10 %", "100n"; a tolerance in percent may follow. A number
        that is not a text is taken only where a plain number is wanted.
    unit : str
        The SI unit wanted, one of :func:`known_units`. "Hz" also reads rad/s, "s" also min and h; "-" is a plain
        number or a percentage, "%" a percentage alone, both returned as a fraction.
    decimal : str
        The decimal sign that the writer uses, "." or ",". A comma is refused where a point is used; a dot where a
        comma is used is refused only if it could stand between thousands.

    Returns
    -------
    Quantity
        Its value in the unit wanted (a fraction for "%"), the tolerance, and a sentence for each doubt.

    Raises
    ------
    QuantityError
        If the text is no such quantity; it says what to write instead. No other exception, whatever the text.

    Source
    ------
    IEC 60062 for the letter codes (from memory).

    >>> read_quantity("4k7", "ohm").value
    4700.0
    >>> read_quantity("2200 uF -20/+50 %", "F").tolerance
    Tolerance(minus=0.2, plus=0.5)
    """
    kind = _kind(unit)
    remedy = _example(kind)
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        return _bare_number(text, kind)
    shown = _shown(text) if isinstance(text, str) else ""
    typed = _typed(text, remedy)
    if re.search(r"[0-9] ?[²³¹⁰⁴-⁹⁺⁻]", typed):
        raise QuantityError(shown, "has a power of ten in superscript", 'Write it as in "2.2e-3".')
    typed = _decimal_sign(typed, shown, decimal)
    tolerance = None
    apart = _TOLERANCE_AT_END.fullmatch(typed)
    if apart:
        typed, tolerance = apart["value"].rstrip(), _tolerance(apart["tolerance"], shown)
    elif "±" in typed or "+/-" in typed:
        raise QuantityError(shown, "has a tolerance that isn't in percent", 'Write it in percent: "12 V ±5 %".')
    elif re.search(rf"[^ eE] ?[+-] ?{_PERCENT_NUMBER} ?%$", typed):
        raise QuantityError(shown, "names one side of a tolerance only", _TOLERANCE_REMEDY)
    value = _value(typed, kind, shown, decimal)
    return Quantity(value=value, unit=kind.unit, tolerance=tolerance, doubts=_doubts(value, kind, shown))


def read_beside_unit(text: str, printed: str, unit: str, *, decimal: str = ".") -> Quantity:
    """Read a field that has its unit printed beside it: "1000", "1000 uF" and "4k7" are all complete there.

    Parameters
    ----------
    text : str
        What was typed into the field.
    printed : str
        The unit beside the field, as in "uF".
    unit : str
        The SI unit wanted, as for :func:`read_quantity`.
    decimal : str
        The decimal sign, "." or ",".

    Raises
    ------
    QuantityError
        As :func:`read_quantity`.

    >>> read_beside_unit("1000", "uF", "F").value == read_beside_unit("1 mF", "uF", "F").value
    True
    """
    if isinstance(text, str) and len(text) <= LONGEST_TEXT:
        number = text.translate(_SAME_CHARACTER).strip()
        if re.fullmatch(_NUMBER, number.replace(",", ".") if decimal == "," else number):
            return read_quantity(f"{number} {printed}", unit, decimal=decimal)
    return read_quantity(text, unit, decimal=decimal)


def read_span(text: str, unit: str, *, decimal: str = ".") -> tuple[Quantity, Quantity]:
    """Read a span with both its ends: "0A..1A", "100 uF .. 470 uF".

    Parameters
    ----------
    text : str
        Two quantities with two dots between them. A first end of zero needs no unit.
    unit : str
        The SI unit wanted, as for :func:`read_quantity`.
    decimal : str
        The decimal sign, "." or ",".

    Raises
    ------
    QuantityError
        If there are not two ends, or one of them is no such quantity.

    >>> [end.value for end in read_span("0..500mA", "A")]
    [0.0, 0.5]
    """
    kind = _kind(unit)
    remedy = f'Write both ends with two dots between them, as in "1 {kind.usual[0]}..2 {kind.usual[0]}".'
    shown = _shown(text) if isinstance(text, str) else ""
    typed = _typed(text, remedy)
    ends = [end.strip() for end in typed.split("..")]
    if len(ends) != 2 or not all(ends) or any(end.startswith(".") or end.endswith(".") for end in ends):
        raise QuantityError(shown, "is no span", remedy)
    if re.fullmatch(r"0(?:[.,]0*)?", ends[0]) and not kind.plain:
        ends[0] = f"0 {kind.usual[0]}"
    return read_quantity(ends[0], unit, decimal=decimal), read_quantity(ends[1], unit, decimal=decimal)


def read_ratio(text: str, *, decimal: str = ".") -> float:
    """Read a ratio of two positive numbers: "25:1" is 25, "1:2" is a half.

    Parameters
    ----------
    text : str
        Two numbers with a colon between them.
    decimal : str
        The decimal sign, "." or ",".

    Returns
    -------
    float
        The first over the second, above zero. [1]

    Raises
    ------
    QuantityError
        If there are not two numbers above zero.

    >>> read_ratio("230:12.5")
    18.4
    """
    remedy = 'Write it as "25:1", primary turns first.'
    shown = _shown(text) if isinstance(text, str) else ""
    typed = _decimal_sign(_typed(text, remedy), shown, decimal)
    sides = re.fullmatch(rf"(?P<first>{_NUMBER}) ?: ?(?P<second>{_NUMBER})", typed)
    if not sides:
        if re.fullmatch(_NUMBER, typed):
            remedy = f'Write "{typed}:1" or "1:{typed}", primary turns first.'
        raise QuantityError(shown, "is no ratio", remedy)
    first, second = (_number(sides[side], shown, remedy) for side in ("first", "second"))
    if first <= 0 or second <= 0:
        raise QuantityError(shown, "needs two numbers above zero", remedy)
    return float(first) / float(second)


def _value(typed: str, kind: _Kind, shown: str, decimal: str) -> float:
    """Return the value of a text without tolerance, in the SI unit of its kind."""
    remedy = _example(kind)
    match = _NUMBER_THEN_UNIT.fullmatch(typed)
    if match and (match["unit"] in kind.tokens or (match["unit"] is None and kind.plain)):
        prefix, factor = kind.tokens[match["unit"]] if match["unit"] else ("", ONE)
        number = _number(match["number"], shown, remedy)
    else:
        read = _letter_code(typed, kind, shown)
        if read is None:
            if match is None:
                raise QuantityError(shown, f"is no number with a unit, where {kind.noun} is needed", remedy)
            raise _unit_fault(match["number"], match["unit"], kind, shown)
        number, prefix, factor = read
    value = _scaled(number, prefix, factor)
    if not math.isfinite(value) or (value == 0.0) != (number == 0):
        raise QuantityError(shown, "is beyond any quantity that could be meant", remedy)
    if value < 0 and not kind.signed:
        raise QuantityError(shown, f"is negative, which {kind.noun} can't be", f'Write "{typed.lstrip("- ")}".')
    if value < kind.least:
        raise QuantityError(shown, "is below absolute zero", remedy)
    return value


def _letter_code(typed: str, kind: _Kind, shown: str) -> tuple[Decimal, str, Decimal] | None:
    """Read "4k7", "R47", "100n", "4n7F", "4.7k": number, prefix and factor; None if it has no such form."""
    letters = _CODE_LETTERS.get(kind.unit, {})
    bare = re.fullmatch(rf"(?P<number>{_NUMBER})(?P<letter>[A-Za-z])", typed)
    if bare:
        if bare["letter"] not in letters:
            return None
        return _number(bare["number"], shown, _example(kind)), letters[bare["letter"]], ONE
    code = _LETTER_CODE.fullmatch(typed)
    if not code or not (code["whole"] or code["part"]):
        return None
    letter, unit = code["letter"], code["unit"]
    prefix = letters.get(letter)
    if unit is not None:
        factor = kind.spellings.get(unit)
        if factor != ONE:
            return None
        if prefix is None and letter in kind.prefixes and kind.unit != "ohm":
            prefix = letter
    if prefix is None or not code["part"]:
        return None
    return Decimal(f"{code['sign']}{code['whole'] or '0'}.{code['part']}"), prefix, ONE


def _bare_number(given: float, kind: _Kind) -> Quantity:
    shown = _shown(_spelled(given))
    try:
        value = float(given)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise QuantityError(shown, "is no finite number", _example(kind))
    if not kind.plain:
        raise QuantityError(
            shown,
            f"is a bare number, where {kind.noun} is needed as text in quotes with its unit",
            _with_unit(shown, kind),
        )
    return Quantity(value=value, unit=kind.unit)


def _doubts(value: float, kind: _Kind, shown: str) -> tuple[str, ...]:
    """Say why a size is hard to believe."""
    size = abs(value)
    if size == 0.0 or kind.low <= size <= kind.high:
        return ()
    unit = "%" if kind is _KINDS["%"] else kind.unit
    below = size < kind.low
    bound = format_quantity(kind.low if below else kind.high, unit)
    sentence = (
        f'"{shown}" is {format_quantity(value, unit)}, {"less" if below else "more"} than {kind.noun} in a supply '
        f"usually is ({'at least' if below else 'at most'} {bound}, common practice): is the prefix right?"
    )
    if kind.unit == "F" and not below:
        sentence += ' On old parts "mF" and "MFD" mean microfarad: then write "uF".'
    return (sentence,)


# ---------------------------------------------------------------------------------------------------------
# Remedies

_WORDS = {
    "F": ("farad", "farads", "fd"),
    "H": ("henry", "henrys", "henries", "hy"),
    "ohm": ("ohm", "ohms"),
    "V": ("volt", "volts", "vac", "vdc", "vrms"),
    "A": ("amp", "amps", "ampere", "amperes"),
    "W": ("watt", "watts"),
    "Hz": ("hertz", "cps"),
    "s": ("sec", "second", "seconds"),
    "°C": ("degrees", "celsius", "deg c", "deg"),
    "-": ("percent",),
}
_PREFIX_WORDS = {
    "pico": "p",
    "nano": "n",
    "micro": "u",
    "milli": "m",
    "kilo": "k",
    "mega": "M",
    "meg": "M",
    "giga": "G",
}


def _example(kind: _Kind) -> str:
    example = {"°C": "25", "Hz": "50", "V": "230", "F": "1000", "ohm": "47", "%": "10"}.get(kind.unit, "1")
    if kind.plain:
        return 'Write a number such as "0.5", or a percentage such as "50 %".'
    return f'Write {kind.noun} as in "{example} {kind.usual[0]}".'


def _with_unit(number: str, kind: _Kind) -> str:
    """Return the remedy for a number that has no unit."""
    options = [f"{number} {name}" for name in kind.usual[:1]]
    try:
        size = abs(float(number.replace(" ", "").replace("_", "")))
    except ValueError:
        return f"Write {_either(options)}."
    if kind.unit == "F" and size >= 1000:
        options.append(f"{size / 1000:g} mF")
    elif kind.unit == "F" and 0 < size < 1e-2:
        options = [f"{number} F", _ascii(format_quantity(size, "F"))]
    elif kind.unit == "ohm" and size >= 1000:
        options.append(f"{size / 1000:g} kohm")
    elif len(kind.usual) > 1:
        options.append(f"{number} {kind.usual[1]}")
    if kind is _KINDS["%"] and 0 < size < 1:
        options.append(f"{size * 100:g} %")
    return f"Write {_either(options)}."


def _ascii(text: str) -> str:
    return text.replace("µ", "u").replace("Ω", "ohm")


def _unit_fault(number: str, unit: str | None, kind: _Kind, shown: str) -> QuantityError:
    """Say what is wrong with the unit of a number that could be read."""
    if unit is None:
        return QuantityError(shown, "has no unit", _with_unit(number, kind))
    unit = unit.strip()
    joined = unit.replace(" ", "")
    if unit in ("MF", "M") and kind.unit == "F":
        return QuantityError(
            shown,
            "is a million farad as it stands, and microfarad on old American parts",
            f'Write "{number} uF" if microfarad is meant.',
        )
    if joined in kind.tokens and joined != unit:
        return QuantityError(shown, "has a space inside its unit", f'Write "{number} {joined}".')
    if unit in ("k", "K", "M", "m", "u", "n", "p", "G", "R"):
        prefix = "k" if unit == "K" else unit.replace("R", "")
        name = kind.usual[0] if kind.unit != "F" else "F"
        base = name.lstrip("mu") if kind.unit in ("H",) else name
        if prefix + base in kind.tokens:
            return QuantityError(shown, "has a prefix but no unit", f'Write "{number} {prefix}{base}".')
    if kind.unit == "°C" and unit == "K":
        celsius = format_quantity(float(_number(number, shown, _example(kind))) - 273.15, "°C", digits=6)
        return QuantityError(shown, "is in kelvin, where a temperature in °C is needed", f'Write "{celsius}".')
    code = re.fullmatch(r"([A-Za-z])([0-9]+)", unit)
    if code and re.fullmatch(r"[0-9]*", number):
        return _code_fault(number, code[1], code[2], kind, shown)
    for other in _KINDS.values():
        if unit in other.tokens and other is not kind:
            return QuantityError(shown, f"is {other.noun}, where {kind.noun} is needed", _with_unit(number, kind))
    near = [token for token in kind.tokens if token.casefold() == joined.casefold() and not token.startswith("K")]
    # "mw" is rather mW than MW: the letters that were typed as they should be, decide.
    near = [token for token in near if token[0] == joined[0]] or near
    near = near or _from_words(joined, kind)
    if not near:
        near = difflib.get_close_matches(joined, list(kind.tokens), n=2, cutoff=0.6)
    if near:
        return QuantityError(
            shown,
            f'has a unit that is not known, "{_shown(unit)}"',
            f"Write {_either([f'{number} {n}' for n in near])}.",
        )
    return QuantityError(
        shown, f'has a unit that is not known, "{_shown(unit)}", where {kind.noun} is needed', _with_unit(number, kind)
    )


def _code_fault(whole: str, letter: str, part: str, kind: _Kind, shown: str) -> QuantityError:
    """Say why a letter code such as "4k7" can't be read for this kind."""
    number, base = f"{whole or '0'}.{part}", next(iter(kind.spellings))
    options = []
    if kind.unit == "ohm" and letter == "m":
        options.append(f"{whole}M{part}")
    if letter in kind.prefixes:
        options.append(f"{number} {letter.replace('K', 'k')}{base}")
    remedy = f"Write {_either(options)}." if options else _example(kind)
    return QuantityError(shown, f"is a letter code that doesn't stand for {kind.noun} by itself", remedy)


def _from_words(unit: str, kind: _Kind) -> list[str]:
    """Return the symbols for a unit that was spelled out: "microfarads", "meg", "volts"."""
    lower = unit.casefold()
    if kind.unit == "F" and lower in ("mfd", "mfds", "ufd"):
        return ["uF"]
    base = next(iter(kind.spellings))
    names = ("", base.casefold(), *_WORDS.get(kind.unit, ()))
    for word, prefix in ({"": ""} | _PREFIX_WORDS).items():
        rest = lower.removeprefix(word)
        if lower.startswith(word) and rest in names and (word or rest) and prefix + base in kind.tokens:
            return [prefix + base]
    return []


# ---------------------------------------------------------------------------------------------------------
# Writing

# From which size [SI] on a prefix is used: common practice, no source. A capacitor of 2200 µF is never written
# 2.2 mF, a diode drop of 0.7 V never 700 mV.
_WRITTEN: Mapping[str, tuple[tuple[str, str], ...]] = MappingProxyType(
    {
        "F": (("1", ""), ("1e-6", "µ"), ("1e-9", "n"), ("0", "p")),
        "H": (("1", ""), ("1e-3", "m"), ("1e-6", "µ"), ("0", "n")),
        "ohm": (("1e9", "G"), ("1e6", "M"), ("1e3", "k"), ("0.1", ""), ("0", "m")),
        "V": (("1e4", "k"), ("0.1", ""), ("1e-3", "m"), ("0", "µ")),
        "A": (("1e4", "k"), ("1", ""), ("1e-3", "m"), ("1e-6", "µ"), ("1e-9", "n"), ("1e-12", "p"), ("0", "f")),
        "W": (("1e6", "M"), ("1e4", "k"), ("0.1", ""), ("1e-3", "m"), ("0", "µ")),
        "VA": (("1e6", "M"), ("1e4", "k"), ("0.1", ""), ("0", "m")),
        "Hz": (("1e9", "G"), ("1e6", "M"), ("1e3", "k"), ("0.1", ""), ("0", "m")),
        "s": (("7200", "h"), ("1", ""), ("1e-3", "m"), ("1e-6", "µ"), ("1e-9", "n"), ("0", "p")),
        "J": (("1e3", "k"), ("0.1", ""), ("1e-3", "m"), ("1e-6", "µ"), ("0", "n")),
        "C": (("1", ""), ("1e-3", "m"), ("1e-6", "µ"), ("1e-9", "n"), ("0", "p")),
        "m": (("1", ""), ("1e-3", "m"), ("0", "µ")),
        "K/W": (("0", ""),),
        "V/K": (("1", ""), ("1e-3", "m"), ("0", "µ")),
        "W/K": (("1", ""), ("1e-3", "m"), ("0", "µ")),
    }
)
_SYMBOLS = {"ohm": "Ω", "deg": "°", "-": "", "1/K": "%/K", "1/V": "%/V"}
_PLAIN_FROM, _PLAIN_TO = Decimal("1e-4"), Decimal("1e7")  # outside, a power of ten is easier to read than zeros


def format_quantity(value: float, unit: str, *, digits: int = 4, decimal: str = ".", space: str = " ") -> str:
    """Write a value as the trade does: "2200 µF", "4.7 kΩ", "150 mA", "61.2°".

    Parameters
    ----------
    value : float
        In the SI unit; a fraction for "%". [SI]
    unit : str
        One of :func:`known_units`, or "1" for a plain number.
    digits : int
        Significant digits, from 1 to 15. Zeros at the end of the decimals are left out.
    decimal : str
        The decimal sign, "." or ",".
    space : str
        Between number and unit. The narrow no-break space of typeset text is read back, too.

    Returns
    -------
    str
        Read back by :func:`read_quantity` it gives the value to the digits shown.

    Raises
    ------
    QuantityError
        If the value isn't a finite number, or the unit isn't known.

    >>> format_quantity(2.2e-3, "F")
    '2200 µF'
    """
    name = unit if unit in _KINDS else _ALIASES.get(unit, unit)
    _kind(name)
    if isinstance(value, bool) or not math.isfinite(value):
        raise QuantityError(_shown(str(value)), "can't be written as a quantity", "Give a finite number.")
    if not 1 <= digits <= 15:
        raise QuantityError(_shown(str(digits)), "is no number of digits", "Ask for 1 to 15 digits.")
    exact = Decimal(repr(float(value)))
    prefix, shift, suffix = "", ONE, _SYMBOLS.get(name, name)
    if suffix.startswith("%"):
        shift = Decimal(100)
    elif name in _WRITTEN:
        prefix, shift = _prefix_for(_rounded(exact, digits), name)
        if prefix == "h":
            prefix, suffix = "", "h"
    number = _rounded(exact * shift, digits)
    if prefix and not _PLAIN_FROM <= abs(number) < _PLAIN_TO:
        number, prefix = _rounded(exact, digits), ""
    text = _plain(number)
    if decimal == ",":
        text = text.replace(".", ",")
    if not suffix:
        return text
    gap = "" if name == "deg" else space
    return f"{text}{gap}{prefix}{suffix}"


def format_tolerance(tolerance: Tolerance, *, digits: int = 4, decimal: str = ".") -> str:
    """Write a tolerance: "±20 %", "-20/+50 %".

    Parameters
    ----------
    tolerance : Tolerance
        Two fractions. [1]
    digits : int
        Significant digits, from 1 to 15.
    decimal : str
        The decimal sign, "." or ",".

    >>> format_tolerance(Tolerance(minus=0.2, plus=0.5))
    '-20/+50 %'
    """
    plus = format_quantity(tolerance.plus, "%", digits=digits, decimal=decimal)
    if tolerance.minus == tolerance.plus:
        return f"±{plus}"
    minus = format_quantity(tolerance.minus, "%", digits=digits, decimal=decimal).removesuffix(" %")
    return f"-{minus}/+{plus}"


def _prefix_for(value: Decimal, name: str) -> tuple[str, Decimal]:
    """Return the prefix that the trade would use, and the factor that goes with it."""
    size = abs(value)
    if size == 0:
        return "", ONE
    for start, prefix in _WRITTEN[name]:
        if size >= Decimal(start):
            if prefix == "h":
                return prefix, ONE / 3600
            return prefix, Decimal(10) ** -_PREFIX_EXPONENTS[prefix.replace("µ", "u")]
    raise AssertionError("the last row of each table starts at zero")


def _rounded(value: Decimal, digits: int) -> Decimal:
    if value == 0:
        return Decimal(0)
    return value.quantize(Decimal(1).scaleb(value.adjusted() - digits + 1), rounding=ROUND_HALF_EVEN)


def _plain(number: Decimal) -> str:
    if number == 0:
        return "0"
    if _PLAIN_FROM <= abs(number) < _PLAIN_TO:
        text = f"{number:f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    mantissa = f"{number.scaleb(-number.adjusted()):f}"
    if "." in mantissa:
        mantissa = mantissa.rstrip("0").rstrip(".")
    return f"{mantissa}e{number.adjusted()}"


# ---------------------------------------------------------------------------------------------------------
# Preferred values

# Source: IEC 60063, as listed in the Wikipedia article on its series of preferred numbers.
_E24 = ("1.0 1.1 1.2 1.3 1.5 1.6 1.8 2.0 2.2 2.4 2.7 3.0 3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1").split()
PREFERRED_VALUES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"E6": tuple(_E24[::4]), "E12": tuple(_E24[::2]), "E24": tuple(_E24)}
)


def preferred_values(series: str) -> tuple[float, ...]:
    """Return one decade of a preferred series, from 1 to below 10.

    Parameters
    ----------
    series : str
        "E6", "E12" or "E24".

    Raises
    ------
    QuantityError
        If there is no such series here.

    Source
    ------
    IEC 60063, as listed in the Wikipedia article on its series of preferred numbers.
    """
    if series not in PREFERRED_VALUES:
        raise QuantityError(
            _shown(str(series)), "is no series of preferred values", f"Ask for one of: {', '.join(PREFERRED_VALUES)}."
        )
    return tuple(float(value) for value in PREFERRED_VALUES[series])


def preferred_below(value: float, series: str) -> float:
    """Return the largest preferred value that is not above the value given.

    Parameters
    ----------
    value : float
        Above zero. [SI]
    series : str
        "E6", "E12" or "E24".

    Raises
    ------
    QuantityError
        If the value isn't a finite number above zero, or there is no such series.

    >>> preferred_below(0.0025, "E12")
    0.0022
    """
    return max(candidate for candidate in _candidates(value, series) if candidate <= value * (1 + SAME_VALUE))


def preferred_above(value: float, series: str) -> float:
    """Return the smallest preferred value that is not below the value given.

    Parameters
    ----------
    value : float
        Above zero. [SI]
    series : str
        "E6", "E12" or "E24".

    Raises
    ------
    QuantityError
        If the value isn't a finite number above zero, or there is no such series.

    >>> preferred_above(0.0025, "E12")
    0.0027
    """
    return min(candidate for candidate in _candidates(value, series) if candidate >= value * (1 - SAME_VALUE))


SAME_VALUE = 1e-9  # relative: a value computed to be 2200 µF is 2200 µF, whatever its last bit says


def _candidates(value: float, series: str) -> list[float]:
    preferred_values(series)
    if isinstance(value, bool) or not math.isfinite(value) or not 1e-290 < value < 1e290:
        raise QuantityError(_shown(str(value)), "has no preferred value beside it", "Give a number above zero.")
    decade = math.floor(math.log10(value))
    # One decade either way, as the logarithm may land on the wrong side of a power of ten.
    return [float(f"{step}e{decade + shift}") for shift in (-1, 0, 1) for step in PREFERRED_VALUES[series]]
