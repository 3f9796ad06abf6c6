"""The glossary: our terms beside those of British, American and other courses, and sentences said in them.

The first word of a column is the one that printed pages use; the others are met in books. Which course writes what
was gathered from syllabuses and examination papers of schools, colleges, navies and trades.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

Dialect = Literal["uk", "us"]
DIALECTS: Final[tuple[Dialect, ...]] = ("uk", "us")


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One of our terms: what it means, and what courses call it, the printed word first."""

    ours: str
    meaning: str
    uk: tuple[str, ...]
    us: tuple[str, ...]
    other: tuple[str, ...] = ()

    def in_words(self, dialect: Dialect) -> str:
        """The word that a page of that dialect prints."""
        return self.uk[0] if dialect == "uk" else self.us[0]


def _term(ours: str, meaning: str, uk: str, us: str, other: str = "") -> Term:
    def split(words: str) -> tuple[str, ...]:
        return tuple(word.strip() for word in words.split(";") if word.strip())

    return Term(ours=ours, meaning=meaning, uk=split(uk), us=split(us), other=split(other))


GLOSSARY: Final[tuple[Term, ...]] = (
    _term("mains", "the public supply of alternating voltage", "mains; a.c. supply", "line; AC line; house current",
          "network"),
    _term("earth", "the conductor joined to the ground for safety", "earth; 0 V (as reference)",
          "ground; earth; chassis", "PE"),
    _term("reservoir capacitor", "the capacitor straight behind the rectifier",
          "reservoir capacitor; smoothing capacitor", "filter capacitor; input capacitor", "C_F; C1"),
    _term("filter section", "series part with a capacitor behind it", "smoothing section; smoothing; filter",
          "filter section; filter"),
    _term("bridge", "full-wave rectifier of four diodes", "bridge; full-wave bridge", "bridge; full-wave bridge"),
    _term("centre-tap", "full-wave rectifier of two diodes on a tapped winding", "centre-tap; full-wave centre-tap",
          "center-tap; full-wave; conventional full-wave (navy)", "biphase"),
    _term("mean", "the average over one period: what a DC meter shows", "mean; d.c. value", "average; DC",
          "V_dc; V_avg; V_o(AV); E_avg; U_d"),
    _term("source peak", "peak of the sine before the rectifier", "peak; V_0; V_pk", "peak; V_p; V_m; V_max; E_max",
          "Û; √2 U_2"),
    _term("secondary RMS", "RMS of the sine before the rectifier", "r.m.s. value", "RMS; effective (aviation, navy)",
          "U_2"),
    _term("ripple, peak to peak", "highest less lowest voltage of the ripple", "ripple voltage, peak to peak; V_r",
          "peak-to-peak ripple; V_r(pp); ΔV"),
    _term("ripple factor", "RMS of the ripple over the mean", "ripple factor",
          "ripple factor; % ripple; in some texts V_r(pp)/V_dc", "hum (radio)"),
    _term("reverse voltage", "largest voltage that a blocking diode bears", "peak inverse voltage (PIV); V_RRM",
          "peak inverse voltage (PIV); PRV; V_R(max); V_RRM", "U_Rmax"),
    _term("forward drop", "voltage across a conducting diode", "forward voltage; 0.6 or 0.7 V",
          "forward drop; V_F; V_D; barrier potential; offset", "U_F"),
    _term("regulation", "how much the output falls from no load to full load", "regulation; stabilisation",
          "voltage regulation"),
    _term("zener regulator", "a zener with its series resistor", "stabiliser", "shunt regulator"),
    _term("series regulator", "regulator in the way of the current", "series stabiliser; series regulator",
          "series regulator; pass regulator"),
    _term("choke", "inductor of a filter", "choke; inductor", "choke; inductor; reactor; coil", "L"),
    _term("bleeder", "resistor that empties the capacitor after switch-off", "bleed resistor",
          "bleeder resistor; bleeder"),
    _term("conduction angle", "angle in which a diode conducts; per pulse or per period: say which",
          "conduction angle", "conduction angle; angle of flow"),
    _term("slow fuse", "fuse that bears the switch-on surge", "time-lag fuse (T)", "slow-blow fuse"),
    _term("quick fuse", "fuse that doesn't", "quick-acting fuse (F)", "fast-acting fuse"),
    _term("oscilloscope", "shows voltage over time", "oscilloscope; CRO", "oscilloscope; scope; O-scope"),
)  # fmt: skip

_BY_NAME: Final[Mapping[str, Term]] = {entry.ours: entry for entry in GLOSSARY}

# How our own sentences, which are written in British words, are said elsewhere: longest first. "means" stays, it is
# a verb wherever we write it.
_SAID: Final[Mapping[Dialect, tuple[tuple[str, str], ...]]] = {
    "uk": (
        ("bleeders", "bleed resistors"),
        ("bleeder", "bleed resistor"),
    ),
    "us": (
        ("reservoir capacitors", "filter capacitors"),
        ("reservoir capacitor", "filter capacitor"),
        ("reservoirs", "filter capacitors"),
        ("reservoir", "filter capacitor"),
        ("centre-tapped", "center-tapped"),
        ("centre-tap", "center-tap"),
        ("centre tap", "center tap"),
        ("centre", "center"),
        ("mains", "line"),
        ("earthed", "grounded"),
        ("earth", "ground"),
        ("a mean", "an average"),
        ("mean", "average"),
        ("stabilisers", "regulators"),
        ("stabiliser", "regulator"),
        ("colour", "color"),
    ),
}


def term(ours: str, dialect: Dialect) -> str:
    """What a page of that dialect calls one of our terms. Raises KeyError for a word that the glossary hasn't."""
    return _BY_NAME[ours].in_words(dialect)


@cache
def _pattern(dialect: Dialect) -> re.Pattern[str]:
    words = "|".join(re.escape(ours) for ours, _ in _SAID[dialect])
    # No letter, hyphen or dot beside it: ids such as load.voltage.mean and full-wave-mean stay what they are.
    return re.compile(rf"(?<![\w.-])(?:{words})(?![\w-])(?!\.\w)", re.IGNORECASE)


_DECIMAL_POINT: Final = re.compile(r"(?<=\d)\.(?=\d)")


def in_dialect(sentence: str, dialect: Dialect, *, decimal: str = ".") -> str:
    """A sentence of ours in a dialect's words and spelling, its numbers with the decimal sign given.

    >>> in_dialect("Mains period; the mean across the reservoir capacitor", "us")
    'Line period; the average across the filter capacitor'
    """
    said = dict(_SAID[dialect])

    def replaced(match: re.Match[str]) -> str:
        theirs = said[match.group().lower()]
        return theirs[0].upper() + theirs[1:] if match.group()[0].isupper() else theirs

    text = _pattern(dialect).sub(replaced, sentence)
    return text if decimal == "." else _DECIMAL_POINT.sub(decimal, text)
