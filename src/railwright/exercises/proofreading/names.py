"""Which quantity a letter or a phrase of a lesson may mean: UK, US and other usage, as data.

A name often has more than one reading: V_p is the peak before the diodes in one book and behind them in the next. So a
name gives a tuple of candidates, and what it says is wrong only when it fits none of them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType
from typing import Final

from railwright.exercises.expressions.dimensions import AMPERE, OF_UNIT, OHM, VOLT, Dimension

#: Every quantity that notes are compared in, with its unit and what a finding calls it.
QUANTITIES: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "primary_rms": ("V", "the mains voltage"),
        "turns_ratio": ("1", "the turns ratio"),
        "source_rms": ("V", "the winding's RMS voltage"),
        "source_peak": ("V", "the source peak"),
        "load_peak": ("V", "the peak behind the diodes"),
        "load_mean": ("V", "the mean"),
        "load_rms": ("V", "the load's RMS voltage"),
        "load_valley": ("V", "the valley"),
        "unfiltered_mean": ("V", "the mean without a capacitor"),
        "ripple_peak_to_peak": ("V", "the ripple, peak to peak"),
        "ripple_rms": ("V", "the ripple's RMS value"),
        "ripple_factor": ("1", "the ripple factor"),
        "ripple_ratio": ("1", "the ripple, peak to peak over mean"),
        "ripple_frequency": ("Hz", "the ripple frequency"),
        "form_factor": ("1", "the form factor"),
        "diode_drop": ("V", "the drop of one diode"),
        "total_drop": ("V", "the drop of the diodes in the path"),
        "two_drops": ("V", "two diode drops"),
        "whole_winding_rms": ("V", "the RMS voltage of the whole winding"),
        "mains_frequency": ("Hz", "the mains frequency"),
        "period": ("s", "the mains period"),
        "discharge_time": ("s", "the time from one pulse to the next"),
        "time_constant": ("s", "the time constant"),
        "capacitance": ("F", "the capacitance"),
        "inductance": ("H", "the choke's inductance"),
        "load_resistance": ("ohm", "the load resistance"),
        "series_resistance": ("ohm", "the series resistance"),
        "bleeder_resistance": ("ohm", "the bleeder"),
        "load_current": ("A", "the load current"),
        "diode_current_mean": ("A", "the mean current of a diode"),
        "diode_current_peak": ("A", "the peak current of a diode"),
        "winding_current_rms": ("A", "the winding's RMS current"),
        "capacitor_current_rms": ("A", "the capacitor's RMS current"),
        "zener_current": ("A", "the zener's current"),
        "reverse_voltage_peak": ("V", "the peak reverse voltage"),
        "no_load_voltage": ("V", "the voltage without load"),
        "output_voltage": ("V", "the regulated output"),
        "regulation": ("1", "the regulation"),
        "power": ("W", "the load power"),
        "regulator_power": ("W", "the regulator's power"),
        "diode_power": ("W", "the power of a diode"),
        "apparent_power": ("VA", "the apparent power"),
        "efficiency": ("1", "the efficiency"),
        "dc_ratio": ("1", "the rectification efficiency"),
        "power_factor": ("1", "the power factor"),
        "conduction_angle": ("deg", "the conduction angle"),
    }
)


def dimension_of(quantity: str) -> Dimension:
    """The dimension of a quantity."""
    return OF_UNIT[QUANTITIES[quantity][0]]


def called(quantity: str) -> str:
    """What a finding calls a quantity."""
    return QUANTITIES[quantity][1]


_PEAKS = ("source_peak", "load_peak")
_OUTPUTS = ("load_mean", "load_peak", "output_voltage", "load_valley")
_VOLTAGES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        **dict.fromkeys("rms s sec secrms ac srms w winding secondary eff rmssec acrms rmsac".split(), ("source_rms",)),
        **dict.fromkeys("2 in i".split(), ("source_rms", "source_peak", "primary_rms", "load_mean", "load_peak")),
        **dict.fromkeys("p pk peak max".split(), _PEAKS),
        **dict.fromkeys("m sp spk speak psec ps smax secpk secpeak sm pks peaksec pksec inpk 2m 2pk".split(),
                        ("source_peak",)),
        "0": ("source_peak", "load_mean", "load_peak", "output_voltage", "no_load_voltage"),
        **dict.fromkeys("lp lpk lpeak outpk outpeak loadpeak loadpk pload plo op opk cpk cp cmax omax lmax prect pout"
                        " rect pl peakload peakout pkout".split(), ("load_peak",)),
        **dict.fromkeys("dc av avg mean ave oav odc ldc dcout outdc".split(), ("load_mean", "load_peak")),
        **dict.fromkeys("l load o out output c".split(), _OUTPUTS),
        **dict.fromkeys("min valley cmin omin lmin trough low".split(), ("load_valley",)),
        **dict.fromkeys("r rip ripple".split(), ("ripple_peak_to_peak", "ripple_rms")),
        **dict.fromkeys("rpp ripplepp pp rippp rpkpk ptp".split(), ("ripple_peak_to_peak",)),
        **dict.fromkeys("rrms ripplerms rmsripple acripple".split(), ("ripple_rms",)),
        **dict.fromkeys("f γ diode drop vd on bridge diodes".split(), ("diode_drop", "total_drop")),
        "d": ("diode_drop", "total_drop", "load_mean"),  # U_d is a mean in parts of Europe and Asia
        **dict.fromkeys("piv prv rrm rmax rev reverse inv".split(), ("reverse_voltage_peak",)),
        **dict.fromkeys("nl noload oc".split(), ("no_load_voltage", "load_peak")),
        **dict.fromkeys("fl fullload".split(), ("load_mean",)),
        **dict.fromkeys("reg".split(), ("output_voltage",)),
        **dict.fromkeys("z zener".split(), ("output_voltage",)),
        **dict.fromkeys("pri primary 1 mains line prim".split(), ("primary_rms",)),
        **dict.fromkeys("lrms orms outrms".split(), ("load_rms",)),
    }
)
_CURRENTS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        **dict.fromkeys(" l load dc o out 0 r ldc av avg mean".split(" "), ("load_current",)),
        **dict.fromkeys("d dav davg fav f(av) diode dmean fav".split(), ("diode_current_mean",)),
        **dict.fromkeys("dpk dp dpeak p pk peak max dmax fm surge".split(), ("diode_current_peak", "load_current")),
        **dict.fromkeys("s sec rms w ac winding 2 srms secrms".split(), ("winding_current_rms",)),
        **dict.fromkeys("c crms".split(), ("capacitor_current_rms",)),
        **dict.fromkeys("z zener".split(), ("zener_current",)),
    }
)
_LONE: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "f": ("mains_frequency", "ripple_frequency"),
        "fmains": ("mains_frequency",),
        "fline": ("mains_frequency",),
        "fin": ("mains_frequency",),
        "fr": ("ripple_frequency",),
        "frip": ("ripple_frequency",),
        "fripple": ("ripple_frequency",),
        "fout": ("ripple_frequency",),
        "T": ("period", "discharge_time"),
        "t": ("discharge_time",),
        "Δt": ("discharge_time",),
        "τ": ("time_constant",),
        "C": ("capacitance",), "C1": ("capacitance",), "Cf": ("capacitance",), "Cs": ("capacitance",),
        "Cr": ("capacitance",), "Cmin": ("capacitance",),
        "L": ("inductance",), "L1": ("inductance",),
        "R": ("load_resistance",), "Rl": ("load_resistance",), "Rload": ("load_resistance",),
        "Rs": ("series_resistance",), "R1": ("series_resistance", "bleeder_resistance", "load_resistance"),
        "Rb": ("bleeder_resistance",), "Rbleed": ("bleeder_resistance",),
        "γ": ("ripple_factor", "ripple_ratio"), "r": ("ripple_factor", "ripple_ratio"),
        "rf": ("ripple_factor", "ripple_ratio"), "RF": ("ripple_factor", "ripple_ratio"),
        "η": ("efficiency", "dc_ratio"),
        "PF": ("power_factor",), "Pf": ("power_factor",),
        "n": ("turns_ratio",), "N": ("turns_ratio",), "a": ("turns_ratio",), "k": ("turns_ratio",),
        "P": ("power", "regulator_power"), "Pl": ("power",), "Pload": ("power",), "Pdc": ("power",),
        "Pout": ("power",), "Preg": ("regulator_power",), "Pd": ("regulator_power", "diode_power"),
        "S": ("apparent_power",),
        "θ": ("conduction_angle",), "θc": ("conduction_angle",),
        "PIV": ("reverse_voltage_peak",), "PRV": ("reverse_voltage_peak",),
        "ΔV": ("ripple_peak_to_peak",), "Δv": ("ripple_peak_to_peak",), "ΔU": ("ripple_peak_to_peak",),
        "ΔVpp": ("ripple_peak_to_peak",), "ΔVc": ("ripple_peak_to_peak",), "ΔVr": ("ripple_peak_to_peak",),
        "Û": ("source_peak", "load_peak"), "û": ("source_peak", "load_peak"),
        "Û2": ("source_peak",), "Î": ("diode_current_peak",),
        "FF": ("form_factor",), "Ff": ("form_factor",),
    }
)  # fmt: skip


def normalised(symbol: str) -> str:
    """A letter in one spelling: V_p, Vp, V_{p} and V_P are the same; V and v, F and f are not.

    >>> normalised("V_r(pp)"), normalised("V_DC"), normalised("Vdc")
    ('Vrpp', 'Vdc', 'Vdc')
    """
    kept = re.sub(r"[^A-Za-z0-9α-ωΑ-ΩΔÛÎûî]", "", symbol)
    head = 2 if kept.startswith("Δ") else 1
    rest = kept[head:]
    if len(kept) == 2 and kept.isupper() and kept in ("PF", "RF", "FF") or kept in ("PIV", "PRV"):
        return kept
    return kept[:head] + rest.lower()


@cache
def quantities_of_symbol(symbol: str) -> tuple[str, ...]:
    """What a letter may mean; empty where it means nothing that is known."""
    name = normalised(symbol)
    if name in _LONE:
        return _LONE[name]
    head, rest = name[:1], name[1:]
    if head in ("V", "U", "E") and rest:
        return _VOLTAGES.get(rest, ())
    if head == "I":
        return _CURRENTS.get(rest, ())
    return ()


#: Quantities that a course calls by a name of the handbook, and these notes by another.
_OF_COURSE: Final[Mapping[str, str]] = MappingProxyType(
    {
        "load_current_mean": "load_current",
        "dc_current": "load_current",
        "bleeder": "bleeder_resistance",
        "stage_capacitance": "capacitance",
        "section_capacitance": "capacitance",
        "input_mean": "load_mean",
        "full_load_voltage": "load_mean",
        "charging_current_rms": "winding_current_rms",
    }
)


@dataclass(frozen=True, slots=True)
class Letters:
    """What letters mean: in books at large, or first of all in one course.

    A course's own letter means what the course says. Its other meanings stand only for quantities that the course
    has no letter for: with V_0 for the source's peak, V_pk isn't that any more.
    """

    own: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))

    @classmethod
    def of_course(cls, symbols: Mapping[str, str]) -> Letters:
        """The letters of a course, from its table of quantity and letter."""
        found: dict[str, tuple[str, ...]] = {}
        for name, symbol in symbols.items():
            quantity = _OF_COURSE.get(name, name)
            if quantity in QUANTITIES:
                found[normalised(symbol)] = (*found.get(normalised(symbol), ()), quantity)
        return cls(MappingProxyType(found))

    def __contains__(self, symbol: str) -> bool:
        return normalised(symbol) in self.own

    def mean(self, symbol: str) -> tuple[str, ...]:
        """What a letter may mean; empty where it means nothing that is known."""
        generic = quantities_of_symbol(symbol)
        own = self.own.get(normalised(symbol))
        if own is None:
            return generic
        lettered = {quantity for quantities in self.own.values() for quantity in quantities}
        return (*own, *(quantity for quantity in generic if quantity not in lettered))


#: Books at large.
ANY_BOOK: Final = Letters()

#: Words of one meaning, after lower case and without hyphens.
_SAME_WORD: Final[Mapping[str, str]] = MappingProxyType(
    {
        "average": "mean", "avg": "mean", "direct": "dc", "d.c.": "dc", "d.c": "dc", "maximum": "peak",
        "max": "peak", "crest": "peak", "amplitude": "peak", "line": "mains", "primary": "mains",
        "outlet": "mains", "house": "mains", "secondary": "winding", "transformer": "winding", "source": "winding",
        "effective": "rms", "r.m.s.": "rms", "r.m.s": "rms", "output": "load", "minimum": "valley", "trough": "valley",
        "lowest": "valley", "bottom": "valley", "smoothing": "reservoir", "filter": "reservoir", "input": "winding",
        "diodes": "diode", "resistor": "resistance", "capacitor": "capacitance", "inductor": "choke",
        "inductance": "choke", "supply": "mains", "adapter": "winding", "half": "half", "rectifier": "diode",
        "forward": "diode", "drops": "drop", "inverse": "reverse", "amps": "current", "smoothed": "load",
        "rectified": "load", "stabiliser": "regulator", "emf": "voltage",
    }
)  # fmt: skip


@cache
def quantities_of_words(phrase: str) -> tuple[str, ...]:
    """What a phrase such as "peak voltage" or "ripple frequency" may mean; empty where nothing that is known."""
    words = [w for w in re.split(r"[\s/-]+", phrase.lower().replace("centre-", "")) if w]
    w = {_SAME_WORD.get(word, word) for word in words}
    text = " ".join(words)
    if w & {"surge", "inrush", "rating", "rated", "fuse", "limit", "tolerance"}:
        return ()  # of a part or of switching on: nothing that the steady working gives
    peak_to_peak = bool(re.search(r"peak to peak|p p\b|\bpp\b|pk pk", text))
    if w & {"piv", "prv"} or {"reverse", "voltage"} <= w or {"peak", "reverse"} <= w:
        return ("reverse_voltage_peak",)
    if "ripple" in w:
        if w & {"factor", "percentage", "percent", "%", "relative"}:
            return ("ripple_factor", "ripple_ratio")
        if "frequency" in w:
            return ("ripple_frequency",)
        if "current" in w:
            return ("capacitor_current_rms",)
        if "rms" in w:
            return ("ripple_rms",)
        return ("ripple_peak_to_peak",)
    if peak_to_peak:
        return ("ripple_peak_to_peak",)
    if {"turns", "ratio"} <= w or {"ratio", "winding"} <= w:
        return ("turns_ratio",)
    if "constant" in w and "time" in w:
        return ("time_constant",)
    if "efficiency" in w:
        return ("dc_ratio",) if w & {"diode", "rectification"} else ("efficiency", "dc_ratio")
    if "regulation" in w:
        return ("regulation",)
    if {"power", "factor"} <= w:
        return ("power_factor",)
    if {"form", "factor"} <= w:
        return ("form_factor",)
    if "frequency" in w:
        return ("mains_frequency",) if w & {"mains", "winding"} else ("mains_frequency", "ripple_frequency")
    if "angle" in w:
        return ("conduction_angle",)
    if "period" in w or "interval" in w or {"discharge", "time"} <= w:
        return ("discharge_time",) if w & {"half", "discharge"} else ("period", "discharge_time")
    if "power" in w or "dissipation" in w or "loss" in w:
        if "regulator" in w or "dissipation" in w:
            return ("regulator_power", "diode_power")
        if "apparent" in w:
            return ("apparent_power",)
        return ("diode_power",) if "diode" in w else ("power", "regulator_power")
    if "current" in w:
        return _current(w)
    if "drop" in w:
        if w & {"two", "total", "both"} or "drops" in words or "diodes" in words:
            return ("total_drop", "diode_drop")
        return ("diode_drop", "total_drop")
    if "bleeder" in w or "bleed" in w:
        return ("bleeder_resistance",)
    if "resistance" in w:
        return ("series_resistance",) if "series" in w else ("load_resistance",)
    if w == {"reservoir"} or ("capacitance" in w and not w & {"voltage", "dc", "peak", "valley", "mean"}):
        return ("capacitance",)
    if "choke" in w:
        return ("inductance",)
    if w & {"load"} and text in ("load",):
        return ("load_resistance", "load_current", "power", "load_mean", "load_peak")
    return _voltage(w)


def _current(w: set[str]) -> tuple[str, ...]:
    if w & {"bleeder", "bleed", "quiescent", "base", "leakage", "adjust", "test"}:
        return ()
    if "diode" in w:
        return ("diode_current_peak",) if w & {"peak", "surge"} else ("diode_current_mean",)
    if "winding" in w:
        return ("winding_current_rms",)
    if w & {"capacitance", "reservoir"}:
        return ("capacitor_current_rms",)
    if "zener" in w:
        return ("zener_current",)
    if "peak" in w and "load" not in w:
        return ("diode_current_peak", "load_current")
    return ("load_current",)


def _voltage(w: set[str]) -> tuple[str, ...]:
    at_load = bool(w & {"load", "capacitance", "reservoir", "after", "behind", "diode", "dc"})
    if "dc" in w and not w & {"rms", "valley"}:
        # "DC voltage" is the mean in one book, the peak less the drops in the next.
        return ("load_peak",) if "peak" in w else ("load_mean", "load_peak", "output_voltage")
    if "no" in w and "load" in w:
        return ("no_load_voltage", "load_peak")
    if "unfiltered" in w:
        return ("unfiltered_mean",)
    if "peak" in w:
        if w & {"winding", "before", "mains"}:
            return ("source_peak",)
        return ("load_peak",) if at_load else _PEAKS
    if "valley" in w:
        return ("load_valley",)
    if "regulated" in w or "regulator" in w:
        return ("output_voltage", "load_mean")
    if "zener" in w and "voltage" in w:
        return ("output_voltage",)
    if "rms" in w:
        return ("load_rms",) if at_load else ("primary_rms",) if "mains" in w else ("source_rms",)
    if "mean" in w and (w & {"voltage", "load", "level", "value"} or w == {"mean"}):
        return ("load_mean",)
    if "voltage" in w:
        if "mains" in w:
            return ("primary_rms",)
        if "winding" in w:
            return ("source_rms",)
        if w & {"load", "capacitance", "reservoir"}:
            return _OUTPUTS
    if w in ({"winding"}, {"mains"}):
        return ("source_rms",) if w == {"winding"} else ("primary_rms", "mains_frequency")
    return ()


#: What the first letter says about the dimension, whatever stands below it.
DIMENSION_OF_LETTER: Final[Mapping[str, Dimension]] = MappingProxyType(
    {"V": VOLT, "U": VOLT, "I": AMPERE, "R": OHM}
)

#: What a remark ("peak", "rms") leaves of the candidates.
_REMARKS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "peak": ("source_peak", "load_peak", "diode_current_peak", "reverse_voltage_peak"),
        "rms": ("source_rms", "ripple_rms", "load_rms", "winding_current_rms", "capacitor_current_rms",
                "primary_rms", "load_current"),
        "mean": ("load_mean", "diode_current_mean", "load_current"),
        "peak to peak": ("ripple_peak_to_peak", "ripple_ratio"),
    }
)  # fmt: skip


def quantities_of(symbol: str, words: str, remark: str, letters: Letters = ANY_BOOK) -> tuple[str, ...]:
    """What a definition may mean by its letter, the words before it, and what is said after its unit."""
    by_symbol = letters.mean(symbol) if symbol else ()
    by_words = quantities_of_words(words) if words else ()
    if symbol and not by_symbol and not by_words:
        # A whole word that was taken for a letter ("ripple", "drop").
        by_symbol = quantities_of_words(symbol)
    found = by_symbol or by_words
    if by_symbol and by_words:
        found = tuple(q for q in by_symbol if q in by_words) or by_symbol
    said = remark.lower()
    key = next((k for k in ("peak to peak", "rms", "mean", "peak") if k in said), "")
    if not key and re.search(r"\bp-?p\b", said):
        key = "peak to peak"
    if key and found:
        narrowed = tuple(q for q in found if q in _REMARKS[key])
        if narrowed:
            return narrowed
        if key == "rms" and "ripple_peak_to_peak" in found:
            return ("ripple_rms",)
    return found
