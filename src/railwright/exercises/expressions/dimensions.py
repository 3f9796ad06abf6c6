"""Dimensions of quantities, and the units that a teacher writes after a number.

A dimension is the exponents of volt, ampere, second and kelvin: everything between the outlet and the load is a
product of these (Ω = V/A, F = A·s/V, Hz = 1/s, W = V·A; definitions of the SI).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True, slots=True, order=True)
class Dimension:
    """Exponents of volt, ampere, second and kelvin; halves occur under a root."""

    volt: float = 0.0
    ampere: float = 0.0
    second: float = 0.0
    kelvin: float = 0.0

    def times(self, other: Dimension, sign: float = 1.0) -> Dimension:
        """The dimension of a product; with sign -1 of a quotient."""
        return Dimension(
            self.volt + sign * other.volt,
            self.ampere + sign * other.ampere,
            self.second + sign * other.second,
            self.kelvin + sign * other.kelvin,
        )

    def power(self, exponent: float) -> Dimension:
        """The dimension of a power."""
        return Dimension(*(exponent * e for e in (self.volt, self.ampere, self.second, self.kelvin)))

    @property
    def is_plain(self) -> bool:
        """Whether it is a plain number."""
        return self == PLAIN

    @property
    def in_words(self) -> str:
        """The unit by its usual name, or as a product: "V", "A/F" would be "V/s"."""
        if self in _NAMES:
            return _NAMES[self]
        above: list[str] = []
        below: list[str] = []
        for letter, exponent in zip("VAsK", (self.volt, self.ampere, self.second, self.kelvin), strict=True):
            size = abs(exponent)
            if size:
                (above if exponent > 0 else below).append(letter if size == 1 else f"{letter}^{size:g}")
        return ("·".join(above) or "1") + ("/" + "/".join(below) if below else "")


PLAIN: Final = Dimension()
VOLT: Final = Dimension(volt=1.0)
AMPERE: Final = Dimension(ampere=1.0)
SECOND: Final = Dimension(second=1.0)
KELVIN: Final = Dimension(kelvin=1.0)
OHM: Final = VOLT.times(AMPERE, -1.0)
SIEMENS: Final = AMPERE.times(VOLT, -1.0)
WATT: Final = VOLT.times(AMPERE)
HERTZ: Final = SECOND.power(-1.0)
FARAD: Final = AMPERE.times(SECOND).times(VOLT, -1.0)
HENRY: Final = VOLT.times(SECOND).times(AMPERE, -1.0)
JOULE: Final = WATT.times(SECOND)
COULOMB: Final = AMPERE.times(SECOND)

_NAMES: Final[Mapping[Dimension, str]] = MappingProxyType(
    {
        PLAIN: "a plain number", VOLT: "V", AMPERE: "A", SECOND: "s", OHM: "Ω", WATT: "W", HERTZ: "Hz", FARAD: "F",
        HENRY: "H", JOULE: "J", COULOMB: "A·s", KELVIN: "K", SIEMENS: "1/Ω",
    }
)  # fmt: skip

#: Of the units of the handbook's and the readings' own spelling.
OF_UNIT: Final[Mapping[str, Dimension]] = MappingProxyType(
    {
        "1": PLAIN, "-": PLAIN, "deg": PLAIN, "V": VOLT, "A": AMPERE, "s": SECOND, "ohm": OHM, "W": WATT, "VA": WATT,
        "Hz": HERTZ, "F": FARAD, "H": HENRY, "J": JOULE, "°C": KELVIN, "K": KELVIN,
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit as written: its factor to the SI unit and its dimension; `angle` is True for degrees."""

    factor: float
    dimension: Dimension
    angle: bool = False
    percent: bool = False


_PREFIXES: Final = {"G": 1e9, "M": 1e6, "k": 1e3, "K": 1e3, "": 1.0, "m": 1e-3, "u": 1e-6, "n": 1e-9, "p": 1e-12}
#: Spelling -> dimension and the prefixes that the trade puts before it.
_SPELLINGS: Final[tuple[tuple[tuple[str, ...], Dimension, str], ...]] = (
    (("V", "v", "volt", "volts", "Volt", "Volts"), VOLT, "MKkmun"),
    (("A", "amp", "amps", "ampere", "amperes", "Amp", "Amps"), AMPERE, "kmunp"),
    (("ohm", "ohms", "Ohm", "Ohms", "OHM"), OHM, "GMKkmu"),
    (("F", "farad", "farads"), FARAD, "munp"),
    (("H", "henry", "henrys"), HENRY, "mun"),
    (("Hz", "HZ", "hz", "hertz"), HERTZ, "GMk"),
    (("s", "sec", "second", "seconds"), SECOND, "mun"),
    (("W", "watt", "watts"), WATT, "MKkmu"),
    (("VA", "var"), WATT, "k"),
    (("J", "Ws"), JOULE, "kmu"),
    (("As",), COULOMB, "mu"),
    (("K",), KELVIN, "m"),
)
#: Said after V or A without a gap: "16.97 Vpk", "0.7 Vpp", "12 VAC". They say which value it is, not which unit.
SAID_OF_UNIT: Final[Mapping[str, str]] = MappingProxyType(
    {
        "pp": "peak to peak", "p-p": "peak to peak", "ptp": "peak to peak", "rms": "rms", "RMS": "rms",
        "dc": "dc", "DC": "dc", "ac": "", "AC": "", "pk": "peak", "peak": "peak", "eff": "rms", "pk-pk": "peak to peak",
    }
)  # fmt: skip


@cache
def units() -> Mapping[str, Unit]:
    """Every unit by its spelling, in plain letters: µ is u, Ω is ohm."""
    found: dict[str, Unit] = {}
    for spellings, dimension, prefixes in _SPELLINGS:
        for spelling in spellings:
            for prefix in ("", *prefixes):
                # A word takes no bare letter for a prefix, except the ohm, which has no letter of its own here.
                if prefix and len(spelling) > 2 and dimension != OHM:
                    continue
                found.setdefault(prefix + spelling, Unit(factor=_PREFIXES[prefix], dimension=dimension))
    for word, factor in (("milli", 1e-3), ("micro", 1e-6)):
        for spelling, dimension in (
            ("volt", VOLT), ("volts", VOLT), ("amp", AMPERE), ("amps", AMPERE), ("farad", FARAD), ("farads", FARAD),
            ("second", SECOND), ("seconds", SECOND), ("ampere", AMPERE), ("amperes", AMPERE),
        ):  # fmt: skip
            found[word + spelling] = Unit(factor=factor, dimension=dimension)
    found["mfd"] = found["MFD"] = Unit(factor=1e-6, dimension=FARAD)
    found["min"] = Unit(factor=60.0, dimension=SECOND)
    found["%"] = Unit(factor=0.01, dimension=PLAIN, percent=True)
    degree = Unit(factor=0.017453292519943295, dimension=PLAIN, angle=True)
    found["°"] = found["deg"] = found["degrees"] = degree
    found["rad"] = Unit(factor=1.0, dimension=PLAIN)
    found["°C"] = found["degC"] = Unit(factor=1.0, dimension=KELVIN)
    found["°C/W"] = found["K/W"] = Unit(factor=1.0, dimension=KELVIN.times(WATT, -1.0))
    return MappingProxyType(found)


def unit_of(word: str) -> tuple[Unit, str] | None:
    """The unit that a word is, with what was said of it ("peak", "rms" …); None where it is no unit."""
    known = units()
    if word in known:
        return known[word], ""
    for said, meaning in SAID_OF_UNIT.items():
        if word.endswith(said):
            base = word.removesuffix(said).rstrip("_")
            if base in known and known[base].dimension in (VOLT, AMPERE):
                return known[base], meaning
    return None
