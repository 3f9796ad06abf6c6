"""Readings: the named quantities at named places, and the value of one in its three columns.

The list below is data: ids, definitions, units and signs. Whatever computes, prints, asks or marks a reading
refers to it, and a new id enters here first.

Conventions that hold for all: T is one mains period, or the common period where a pulsed load needs several.
Angles are in degrees from the rising zero of the source EMF's fundamental. Voltages run from the first node named
to the second, currents along that direction into a load or part, and out of the mains and the secondary. ``peak``
is the value farthest from zero, ``valley`` the one nearest to zero, both with their sign; ``maximum`` and
``minimum`` are algebraic. ``rms`` includes the mean.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any, NamedTuple

__all__ = [
    "AC_PLACES",
    "CURRENT_PLACES",
    "DC_PLACES",
    "DEFINITIONS",
    "Definition",
    "HandValue",
    "HIGHEST_ORDER",
    "Measured",
    "Reading",
    "ReadingName",
    "UnknownReading",
    "VOLTAGE_PLACES",
    "define",
    "ids_at",
    "split",
    "unit_of",
]

HIGHEST_ORDER = 40  # of the harmonics, as in the mains harmonics standards (from memory)

# ---------------------------------------------------------------------------------------------------------
# The places. <n> is the number of a designator, <k> that of a stage; <probe> is a name that the sheet gives.

AC_PLACES = (
    "mains",
    "primary",
    "secondary",
    "secondary_a",
    "secondary_b",
    "mains_l1",
    "mains_l2",
    "mains_l3",
    "secondary_1",
    "secondary_2",
    "secondary_3",
    "F1",  # current only
    "<probe>",
)
DC_PLACES = (
    "rectifier",
    "load",
    "load_positive",
    "load_negative",
    "load_across",
    "U<n>.input",
    "U<n>.output",
    "stage_<k>",  # voltage only
    "C<n>",
    "L<n>",
    "R<n>",
    "<probe>",
)
# A diode's voltage and the current in the tap are neither supplied AC nor smoothed DC.
VOLTAGE_PLACES = tuple(dict.fromkeys(p for p in (*AC_PLACES, *DC_PLACES, "D<n>") if p != "F1"))
CURRENT_PLACES = tuple(dict.fromkeys(p for p in (*AC_PLACES, *DC_PLACES, "D<n>", "tap") if p != "stage_<k>"))

_LOADS = ("load", "load_positive", "load_negative", "load_across")

# How the list words where a measure of <V> or <I> exists -> the places.
_WHERE: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "all V": VOLTAGE_PLACES,
        "all I": CURRENT_PLACES,
        "start-up": CURRENT_PLACES,
        "DC places": DC_PLACES,
        "AC places": AC_PLACES,
        "choke, load, U1": ("L<n>", *_LOADS, "U<n>.input", "U<n>.output"),
        "AC places, D, C": (*AC_PLACES, "D<n>", "C<n>"),
        "AC places, C": (*AC_PLACES, "C<n>"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Definition:
    """What one reading, or one family of readings, means.

    ``pattern`` is the id, with <V> and <I> for the places, <n> and <k> for numbers, <probe> for a name;
    ``sign`` is "+", "±" or the range of the value; ``applies`` says to which places or circuits it belongs.
    """

    pattern: str
    definition: str
    unit: str
    sign: str
    applies: str

    @property
    def places(self) -> tuple[str, ...]:
        """The places at which it exists, with <n> and <k> for their numbers."""
        name = split(self.pattern)
        if name.place in ("<V>", "<I>"):
            allowed = VOLTAGE_PLACES if name.place == "<V>" else CURRENT_PLACES
            return tuple(place for place in _WHERE[self.applies] if place in allowed)
        return (name.place,)


def _list(rows: str) -> Iterator[Definition]:
    for row in rows.strip().splitlines():
        pattern, definition, unit, sign, applies = (cell.strip() for cell in row.split("|"))
        yield Definition(pattern=pattern, definition=definition, unit=unit, sign=sign, applies=applies)


DEFINITIONS: tuple[Definition, ...] = tuple(
    _list(
        """
<V>.voltage.mean | 1/T ∫ v dt | V | ± | all V
<V>.voltage.rms | √(1/T ∫ v² dt), mean included | V | + | all V
<V>.voltage.peak | value farthest from 0 | V | ± | all V
<V>.voltage.valley | value nearest to 0 | V | ± | DC places
<V>.voltage.maximum | largest value, algebraic | V | ± | all V
<V>.voltage.minimum | smallest value, algebraic | V | ± | all V
<V>.voltage.ripple_peak_to_peak | maximum − minimum | V | + | DC places
<V>.voltage.ripple_rms | √(rms² − mean²), computed without cancellation | V | + | DC places
<V>.voltage.ripple_factor | ripple_rms / abs(mean) | 1 | + | DC places
<V>.voltage.ripple_ratio | ripple_peak_to_peak / abs(mean) | 1 | + | DC places
<V>.voltage.ripple_frequency | lowest n/T whose RMS is over 5 % of ripple_rms | Hz | + | DC places
<V>.voltage.form_factor | rms / abs(mean) | 1 | + | DC places
<V>.voltage.crest_factor | abs(peak) / rms | 1 | + | all V
<V>.voltage.harmonic_<n> | RMS of order n of the mains frequency, n = 1 … 40 | V | + | all V
<V>.voltage.thd | √(Σ n = 2 … 40) / order 1 | 1 | + | AC places
<I>.current.mean | 1/T ∫ i dt | A | ± | all I
<I>.current.rms | √(1/T ∫ i² dt), whole waveform | A | + | all I
<I>.current.peak | value farthest from 0, in steady state | A | ± | all I
<I>.current.valley | value nearest to 0 (choke: 0 means discontinuous) | A | ± | choke, load, U1
<I>.current.crest_factor | abs(peak) / rms | 1 | + | AC places, D, C
<I>.current.harmonic_<n> | RMS of order n of the mains frequency, n = 1 … 40 | A | + | all I
<I>.current.thd | √(Σ n = 2 … 40) / order 1 | 1 | + | AC places
<I>.current.over_dc | rms / abs(load.current.mean); dual rail: over the sum of both loads | 1 | + | AC places, C
<I>.current.inrush_peak | largest at the worst switch-on angle, from the stated state | A | + | start-up
mains.power.real | mean of v·i at the outlet; three-phase: sum | W | + from the mains | all
mains.power.apparent | V_rms·I_rms at the outlet; three-phase: √(ΣV²)·√(ΣI²) | VA | + | all
mains.power.factor | real / apparent | 1 | 0 … 1 | all
mains.power.displacement_factor | cos φ₁ | 1 | + | all
mains.power.displacement_angle | φ₁, current after voltage positive (lagging) | deg | ± | all
mains.power.distortion_factor | I₁ / I | 1 | + | all
mains.current.inrush_energy | ∫ i² dt until within 10 % of the steady RMS | A²s | + | start-up
secondary.voltage.open_rms | EMF of one section, all sections unloaded | V | + | transformer
secondary.power.apparent | V_rms·I_rms at the terminals, summed over sections | VA | + | transformer
secondary.power.real | mean of v·i delivered | W | + | all
T1.utilisation.secondary | load.power.dc / secondary.power.apparent | 1 | + | transformer
T1.utilisation.mean | load.power.dc over the mean of primary and secondary VA | 1 | + | transformer
T1.power.mean | copper loss, all windings | W | + | transformer
T1.magnetizing.current.peak | value farthest from 0 of the current in the magnetizing branch | A | ± | if given
T1.flux.peak_ratio | flux linkage peak / that of a sine at nominal mains without DC | 1 | + | if given
tap.current.mean | mean in the tap lead, out of the winding | A | ± | centre-tapped
tap.current.rms | RMS in the tap lead | A | + | centre-tapped
D<n>.current.mean_conducting | mean over its conduction only | A | + | D
D<n>.reverse_voltage.peak | largest cathode-to-anode voltage | V | + | D
D<n>.forward_voltage.peak | forward voltage at the current peak | V | + | D
D<n>.conduction.angle | angle in which it conducts, sum per mains period | deg | 0 … 360 | D
D<n>.conduction.start | start of the first pulse that starts at or after 0 degrees | deg | 0 … 360 | D
D<n>.conduction.end | end of that pulse; an end past 360 is written less 360 | deg | 0 … 360 | D
D<n>.conduction.pulses | pulses per mains period | 1 | + | D
D<n>.power.mean | mean of v·i | W | + | D
D<n>.junction_temperature | with its thermal loop closed | °C | ± | D, check
rectifier.conduction.angle | angle per mains period with any diode on; per pulse: divide by pulses | deg | 0 … 360 | all
rectifier.conduction.pulses | separate stretches per mains period | 1 | + | all
rectifier.overlap.angle | longest stretch in which two commutating diodes share the current | deg | + | leakage or choke
rectifier.power.dc_ratio | load.power.dc / (load + diode + winding loss); with a regulator: at C1 | 1 | + | all
rectifier.voltage.droop | no-load mean − loaded mean at the output | V | + | multiplier
C<n>.current.rms | RMS into the positive plate | A | + | C
C<n>.current.peak | value farthest from 0, into the positive plate | A | ± | C
C<n>.current.rms_at_rated_frequency | √Σ(I_n / k_n)², k_n = the part's multiplier at order n | A | + | C, check
C<n>.power.mean | ESR loss | W | + | C
C<n>.charge.ripple | peak-to-peak charge | C | + | C
C<n>.energy.peak | ½ C v² at the highest v | J | + | C
C<n>.core_temperature | from loss and ambient | °C | ± | C, check
C<n>.life | from the core temperature, by the life law named | s | + | C, check
L<n>.current.mean | mean, rectifier to load | A | ± | choke
L<n>.current.rms | RMS, whole waveform | A | + | choke
L<n>.current.peak | value farthest from 0, rectifier to load | A | ± | choke
L<n>.current.valley | value nearest to 0, rectifier to load; 0 means discontinuous | A | ± | choke
L<n>.conduction.angle | angle per mains period with current | deg | 0 … 360 | choke
L<n>.power.mean | loss in the winding resistance | W | + | L, R
R<n>.power.mean | loss | W | + | L, R
U<n>.differential.minimum | least (input − output) | V | ± | regulator
U<n>.headroom.minimum | least (input − nominal output − dropout then); below 0 it drops out | V | ± | regulator
U<n>.dropout.angle | degrees per mains period out of regulation | deg | + | regulator
U<n>.limiting.angle | degrees per mains period in current limit | deg | + | regulator
U<n>.power.mean | (input × input current) − output power | W | + | regulator
U<n>.junction_temperature | with its thermal loop closed | °C | ± | check
Z<n>.current.mean | mean, cathode to anode | A | + | zener
Z<n>.current.minimum | smallest value, cathode to anode | A | + | zener
Z<n>.current.peak | value farthest from 0, cathode to anode | A | + | zener
Z<n>.power.mean | mean of v·i | W | + | zener
load.power.mean | mean of v·i | W | + | all
load.power.dc | mean voltage × mean current | W | + | all
load.voltage.no_load_mean | mean at point no_load; without a capacitor the limit of a light load | V | ± | all
load.voltage.regulation | (no-load − full-load mean) / full-load mean | 1 | ± | all
load.voltage.regulation_on_no_load | (no-load − full-load mean) / no-load mean | 1 | ± | all
load.voltage.line_regulation | (high − low mains mean) / low | 1 | ± | all
load.output_resistance | −dV_mean/dI_mean, central difference ±1 % | ohm | + | all
load.battery.power | EMF × mean current | W | ± | battery
load.voltage.settling_time | until the per-period mean stays within 1 % | s | + | start-up
load.voltage.overshoot_peak | largest value after switch-on | V | ± | start-up
supply.efficiency | load.power.mean / mains.power.real; dual rail: both loads | 1 | + | all
supply.power.loss | mains.power.real − load power | W | + | all
supply.inrush.angle | switch-on angle that gives the largest inrush peak | deg | 0 … 360 | start-up
supply.stored_energy | all capacitors, at the voltage where the discharge starts | J | + | all
supply.discharge.time | to the voltage asked for, unplugged at the peak, worst of load on and off | s | + | all
supply.discharge.voltage_after_5s | voltage 5 s after unplugging, same conditions | V | + | all
supply.rail.imbalance | (abs(positive) − abs(negative)) / mean of both | 1 | ± | dual rail
<probe>.indicated | what that instrument shows, by the law of its kind | V | ± | probe
"""
    )
)


# ---------------------------------------------------------------------------------------------------------
# Ids


class ReadingName(NamedTuple):
    """The three parts of an id: where, which quantity, which measure of it ("" if there is only one)."""

    place: str
    kind: str
    measure: str


class UnknownReading(ValueError):
    """An id that isn't on the list.

    Parameters
    ----------
    given : str
        The id that was asked for.
    reason : str
        What is wrong with it: the end of a sentence that starts with the id.
    near : tuple of str
        Ids on the list that come near, best first.
    """

    def __init__(self, given: str, reason: str, near: tuple[str, ...]) -> None:
        super().__init__(given, reason, near)
        self.given = given
        self.reason = reason
        self.near = near

    def __str__(self) -> str:
        """Compose the sentence."""
        remedy = "Ask for a place, a quantity and a measure, as in load.voltage.mean."
        if self.near:
            *others, last = self.near
            remedy = f"Did you mean {', '.join(others)}{' or ' if others else ''}{last}?"
        return f'"{self.given}" {self.reason}. {remedy}'


_LONGEST_ID = 120  # characters: a designator, a quantity and a measure need less than half
_SECOND_WORDS = ("input", "output", "magnetizing")  # places with two words: U1.input, T1.magnetizing
_WORD = re.compile(r"[A-Za-z_<][A-Za-z0-9_<>-]*")
_PROBE = re.compile(r"[A-Za-z_][A-Za-z0-9_-]*")
_ORDER = re.compile(r"harmonic_([1-9][0-9]{0,2})")
_NUMBERED = re.compile(r"(?:(?P<part>[CLRDZ])(?:[1-9][0-9]{0,3})|(?P<regulator>U)[12](?P<side>\.(?:input|output))?)")
_STAGE = re.compile(r"stage_[1-9][0-9]{0,3}")
# What people call a measure elsewhere -> how the list calls it, after the place.
_OTHER_WORDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "average": ("{kind}.mean",),
        "avg": ("{kind}.mean",),
        "dc": ("{kind}.mean",),
        "effective": ("{kind}.rms",),
        "max": ("{kind}.maximum", "{kind}.peak"),
        "min": ("{kind}.minimum", "{kind}.valley"),
        "pp": ("{kind}.ripple_peak_to_peak",),
        "peak_to_peak": ("{kind}.ripple_peak_to_peak",),
        "ripple": ("{kind}.ripple_peak_to_peak",),
        "ripple_pp": ("{kind}.ripple_peak_to_peak",),
        "pf": ("power.factor",),
        "piv": ("reverse_voltage.peak",),
        "prv": ("reverse_voltage.peak",),
    }
)


def split(reading_id: str) -> ReadingName:
    """Split an id into place, quantity and measure; it need not be on the list.

    Parameters
    ----------
    reading_id : str
        As in "U1.input.voltage.mean".

    Raises
    ------
    UnknownReading
        If the text hasn't the form of an id.

    >>> split("U1.input.voltage.mean")
    ReadingName(place='U1.input', kind='voltage', measure='mean')
    """
    if not isinstance(reading_id, str) or len(reading_id) > _LONGEST_ID:
        raise UnknownReading(_shown(reading_id), "hasn't the form of a reading", ())
    return _split(reading_id)


# A lesson solves a supply eighty times, each with the same thousand ids.
@lru_cache(maxsize=8192)
def _split(reading_id: str) -> ReadingName:
    words = reading_id.split(".")
    places = 2 if len(words) > 2 and words[1] in _SECOND_WORDS else 1
    if not places < len(words) <= places + 2 or not all(_WORD.fullmatch(word) for word in words):
        raise UnknownReading(_shown(reading_id), "hasn't the form of a reading", ())
    return ReadingName(
        place=".".join(words[:places]), kind=words[places], measure=words[places + 1] if len(words) > places + 1 else ""
    )


def define(reading_id: str, *, names: Collection[str] = ()) -> Definition:
    """Return what a reading means.

    Parameters
    ----------
    reading_id : str
        As in "load.voltage.ripple_peak_to_peak".
    names : collection of str
        Names that the sheet itself gives, to probes and elements: at these, voltages and currents exist too.

    Raises
    ------
    UnknownReading
        If it isn't on the list; it names the ids that come near.

    >>> define("D3.reverse_voltage.peak").unit
    'V'
    """
    name = split(reading_id)
    found = _find(name, _family(name.place, names))
    if found is None:
        raise _unknown(reading_id, name, names)
    return found


def unit_of(reading_id: str) -> str:
    """Return the unit of a reading; a place that isn't on the list counts as a name that the sheet gives.

    Parameters
    ----------
    reading_id : str
        As in "load.voltage.mean", or "scope.voltage.mean" at a probe.

    Returns
    -------
    str
        "V", "A", "W", "VA", "Hz", "deg", "1", ...

    Raises
    ------
    UnknownReading
        If it isn't on the list.

    >>> unit_of("mains.current.inrush_energy")
    'A²s'
    """
    name = split(reading_id)
    return define(reading_id, names=(name.place,) if _PROBE.fullmatch(name.place) else ()).unit


def ids_at(place: str, *, names: Collection[str] = ()) -> tuple[str, ...]:
    """Return every id that the list offers at a place, harmonics left out.

    Parameters
    ----------
    place : str
        As in "load", "D2", "U1.input".
    names : collection of str
        Names that the sheet itself gives.

    Returns
    -------
    tuple of str
        In the order of the list; empty for a place that isn't known.

    >>> ids_at("scope")
    ('scope.indicated',)
    """
    return _ids_at(place, _family(place, names))


@lru_cache(maxsize=1024)
def _ids_at(place: str, family: str) -> tuple[str, ...]:
    own = [d for d in DEFINITIONS if family in d.places or (d.pattern == "<probe>.indicated" and family == "<name>")]
    ids = (".".join(word for word in (place, *split(d.pattern)[1:]) if word) for d in own)
    return tuple(dict.fromkeys(reading for reading in ids if "<" not in reading))


_LITERAL_PLACES = frozenset(place for definition in DEFINITIONS for place in definition.places if "<" not in place)
_BY_FAMILY: Mapping[tuple[str, str, str], Definition] = MappingProxyType(
    {
        (place, *split(definition.pattern)[1:]): definition
        # A place's own row after the general one, so that its wording wins.
        for definition in sorted(DEFINITIONS, key=lambda d: not d.pattern.startswith(("<V>", "<I>")))
        for place in definition.places
    }
)


def _family(place: str, names: Collection[str]) -> str:
    """Return the place as the list writes it: "D<n>" for D3; "<probe>" for a name given, "<name>" for any other."""
    if place in _LITERAL_PLACES:
        return place
    if _STAGE.fullmatch(place):
        return "stage_<k>"
    numbered = _NUMBERED.fullmatch(place)
    if numbered and (family := f"{numbered['part'] or 'U'}<n>{numbered['side'] or ''}"):
        return family
    return "<probe>" if place in names else "<name>"


def _find(name: ReadingName, family: str) -> Definition | None:
    measure = name.measure
    order = _ORDER.fullmatch(measure)
    if order and int(order[1]) <= HIGHEST_ORDER:
        measure = "harmonic_<n>"
    elif "<" in measure:
        return None
    if family == "<name>" and (name.kind, measure) == ("indicated", "") and _PROBE.fullmatch(name.place):
        family = "<probe>"
    return _BY_FAMILY.get((family, name.kind, measure))


def _unknown(reading_id: str, name: ReadingName, names: Collection[str]) -> UnknownReading:
    """Say what is wrong with an id, from the whole to the detail."""
    given = _shown(reading_id)
    family = _family(name.place, names)
    if name.measure.startswith("harmonic_") and _find(name._replace(measure="harmonic_1"), family):
        first = f"{name.place}.{name.kind}.harmonic_1"
        return UnknownReading(given, f"names no order from 1 to {HIGHEST_ORDER}", (first,))
    if family == "<name>":
        reason = f'names a place that isn\'t known, "{_shown(name.place)}"'
        return UnknownReading(given, reason, _near_at_other_places(name, names))
    near = _near_here(name, ids_at(name.place, names=names))
    for definition in DEFINITIONS:
        if split(definition.pattern)[1:] == name[1:]:
            if definition.applies in _WHERE:
                return UnknownReading(given, f"exists at {_spoken(definition)} only, not here", near)
            if "<" not in definition.pattern:
                near = tuple(dict.fromkeys((definition.pattern, *near)))[:3]
    return UnknownReading(given, "isn't on the list of readings", near)


def _spoken(definition: Definition) -> str:
    """Return in words where a measure exists."""
    words = {
        "all V": "places with a voltage",
        "all I": "places with a current",
        "start-up": "places with a current",
        "choke, load, U1": "a choke, a load or a regulator",
        "AC places, D, C": "AC places, diodes and capacitors",
        "AC places, C": "AC places and capacitors",
    }
    return words.get(definition.applies, definition.applies)


def _near_here(name: ReadingName, candidates: Collection[str]) -> tuple[str, ...]:
    """Return the ids of one place that come near, those of another name for the same thing first."""
    kind = name.kind
    others = _OTHER_WORDS.get(name.measure or name.kind, ())
    renamed = (f"{name.place}.{other.format(kind=kind)}" for other in others)
    near = [other for other in renamed if other in candidates]
    near.extend(difflib.get_close_matches(".".join(w for w in name if w), candidates, n=3, cutoff=0.6))
    return tuple(dict.fromkeys(near))[:3]


def _near_at_other_places(name: ReadingName, names: Collection[str]) -> tuple[str, ...]:
    """Return ids at the places whose names come near."""
    places = [*_LITERAL_PLACES, "D1", "C1", "L1", "R1", "U1", "U1.input", "U1.output", "Z1", "stage_1", *names]
    numbered = re.fullmatch(r"([CLRDZUclrdzu])_?([0-9]{1,4})", name.place)
    if numbered:
        places.append(numbered[1].upper() + numbered[2])
    folded = {place.casefold(): place for place in sorted(places)}
    near: list[str] = []
    for match in difflib.get_close_matches(name.place.casefold(), sorted(folded), n=4, cutoff=0.55):
        moved = name._replace(place=folded[match])
        if _find(moved, _family(moved.place, names)):
            near.append(".".join(word for word in moved if word))
        else:
            near.extend(_near_here(moved, ids_at(moved.place, names=names))[:1])
    return tuple(dict.fromkeys(near))[:3]


def _shown(given: object) -> str:
    text = given if isinstance(given, str) else type(given).__name__
    if len(text) > _LONGEST_ID:
        text = text[: _LONGEST_ID - 1] + "…"
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)


# ---------------------------------------------------------------------------------------------------------
# Values


def _finite(value: float, of: str) -> float:
    """Return a value as a float, or say that it must not stand in a reading."""
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"{of} is {number}, which is no value. A reading without a value is None, with a reason.")
    return number + 0.0  # a negative zero would print as "-0"


@dataclass(frozen=True, slots=True, kw_only=True)
class HandValue:
    """What one handbook formula gives for a reading.

    ``difference`` is (hand − computed) / computed, None where the computed value is zero or missing. ``valid`` says
    whether the formula's stated range covers the circuit.
    """

    formula: str
    value: float
    difference: float | None
    valid: bool

    def __post_init__(self) -> None:
        """Refuse what isn't a finite number."""
        object.__setattr__(self, "value", _finite(self.value, f"The value of formula {self.formula}"))
        if self.difference is not None:
            of = f"The difference of formula {self.formula}"
            object.__setattr__(self, "difference", _finite(self.difference, of))

    @classmethod
    def beside(cls, computed: float | None, *, formula: str, value: float, valid: bool) -> HandValue:
        """Pair a value by hand with the computed one.

        Parameters
        ----------
        computed : float or None
            The computed value, None where there is none. [unit of the reading]
        formula : str
            The id of the formula.
        value : float
            What the formula gives. [unit of the reading]
        valid : bool
            Whether the formula's stated range covers the circuit.

        Raises
        ------
        ValueError
            If a value is not finite.
        """
        difference: float | None = None
        if computed is not None and _finite(computed, "The computed value") != 0.0:
            ratio = (float(value) - float(computed)) / float(computed)
            difference = ratio if math.isfinite(ratio) else None
        return cls(formula=formula, value=value, difference=difference, valid=valid)

    def to_json(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "formula": self.formula,
            "value": self.value,
            "difference": self.difference,
            "valid": bool(self.valid),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What an instrument showed: the value, and the span in which the true one lies by the instrument's own law."""

    value: float
    unit: str
    instrument: str
    low: float
    high: float

    def __post_init__(self) -> None:
        """Refuse what isn't a finite number, and a span without the value in it."""
        for name in ("value", "low", "high"):
            object.__setattr__(self, name, _finite(getattr(self, name), f"The {name} of a measurement"))
        if not self.low <= self.value <= self.high:
            raise ValueError(f"The measured {self.value:g} lies outside its own span, {self.low:g} to {self.high:g}.")

    def to_json(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "value": self.value,
            "unit": self.unit,
            "instrument": self.instrument,
            "low": self.low,
            "high": self.high,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading: computed, by hand and, where there is one, measured.

    ``value`` is in SI, angles in degrees; None means that there is no value, and then ``reason`` says why in one
    sentence. ``hand`` is best first. ``why`` says why hand and computed differ. ``points`` holds the values that a
    reading of several solves was made from; ``bound`` is the relative error bound of the value, stated at the
    physical model.
    """

    id: str
    value: float | None
    unit: str
    hand: tuple[HandValue, ...] = ()
    why: str = ""
    reason: str = ""
    points: Mapping[str, float] | None = None
    bound: float | None = None
    measured: Measured | None = None

    def __post_init__(self) -> None:
        """Refuse a value that isn't a finite number, and a missing one without a reason."""
        if self.value is None:
            if not self.reason.strip():
                raise ValueError(f"{self.id} has no value, so it needs a reason.")
        else:
            object.__setattr__(self, "value", _finite(self.value, self.id))
        object.__setattr__(self, "hand", tuple(self.hand))
        if self.points is not None:
            points = {str(k): _finite(v, f"{self.id} at point {k}") for k, v in self.points.items()}
            object.__setattr__(self, "points", points)
        if self.bound is not None:
            object.__setattr__(self, "bound", _finite(self.bound, f"The bound of {self.id}"))
            if self.bound < 0.0:
                raise ValueError(f"The bound of {self.id} is {self.bound:g}; a bound is zero or more.")

    def to_json(self) -> dict[str, Any]:
        """Return it as plain data for JSON: never NaN or Infinity, optional keys only where they say something."""
        data: dict[str, Any] = {
            "value": self.value,
            "unit": self.unit,
            "hand": [hand.to_json() for hand in self.hand],
            "why": self.why,
        }
        if self.points is not None:
            data["points"] = dict(self.points)
        if self.reason:
            data["reason"] = self.reason
        if self.bound is not None:
            data["bound"] = self.bound
        if self.measured is not None:
            data["measured"] = self.measured.to_json()
        return data
