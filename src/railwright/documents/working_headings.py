"""What a reading is called in a heading, in a course's words: "Ripple across the load, peak to peak"."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from railwright.course import Course
from railwright.readings import split

_PLACES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "load": "the load",
        "load_positive": "the positive load",
        "load_negative": "the negative load",
        "load_across": "the load from rail to rail",
        "secondary": "the secondary",
        "secondary_a": "secondary section a",
        "secondary_b": "secondary section b",
        "mains": "the mains",
        "rectifier": "the rectifier",
        "supply": "the supply",
    }
)
_PHRASES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "voltage.mean": "Mean voltage across {}",
        "voltage.rms": "RMS voltage across {}",
        "voltage.peak": "Peak voltage across {}",
        "voltage.valley": "Lowest voltage across {}",
        "voltage.ripple_peak_to_peak": "Ripple across {}, peak to peak",
        "voltage.ripple_rms": "RMS of the ripple across {}",
        "voltage.ripple_frequency": "Ripple frequency at {}",
        "voltage.form_factor": "Form factor of the voltage across {}",
        "voltage.no_load_mean": "Voltage without load",
        "voltage.regulation": "Load regulation, over the full-load voltage",
        "voltage.regulation_on_no_load": "Load regulation, over the voltage without load",
        "voltage.line_regulation": "Line regulation, over the output at low mains",
        "voltage.open_rms": "RMS of the winding without load",
        "output_resistance": "Output resistance",
        "headroom.minimum": "Headroom of {}: what is left above output and dropout",
        "utilisation.secondary": "Utilisation of the transformer's secondary",
        "utilisation.mean": "Utilisation of the transformer, over the mean of both sides",
        "battery.power": "Power that the battery takes up",
        "power.apparent": "Apparent power of {}",
        "power.factor": "Power factor of {}",
        "voltage.droop": "Fall of the output under load",
        "current.mean": "Mean current through {}",
        "current.rms": "RMS current through {}",
        "current.peak": "Peak current through {}",
        "current.valley": "Least current through {}",
        "current.over_dc": "RMS current through {} over the mean load current",
        "current.mean_conducting": "Mean current through {} while conducting",
        "reverse_voltage.peak": "{piv} of {}",
        "conduction.angle": "{conduction} of {}",
        "power.mean": "Power in {}",
        "power.dc": "DC power in {}",
        "power.dc_ratio": "Rectification efficiency: DC power over the AC power that goes in",
    }
)
_NUMBERED: Final = re.compile(r"([A-Z])([0-9]+)")


def heading(readings: Sequence[str], course: Course) -> str:
    """The heading for one reading, or for several of the same measure at different places."""
    name = split(readings[0])
    measure = f"{name.kind}.{name.measure}".rstrip(".")
    where = _together([split(reading).place for reading in readings])
    if measure in ("voltage.ripple_factor", "voltage.ripple_ratio"):
        return course.say(_ripple_over_mean(name.measure, where, course))
    phrase = _PHRASES.get(measure)
    if phrase is None:
        return ", ".join(readings)
    piv, conduction = (_opened(course.term(ours)) for ours in ("reverse voltage", "conduction angle"))
    return course.say(phrase.format(where, piv=piv, conduction=conduction))


def _ripple_over_mean(measure: str, where: str, course: Course) -> str:
    spelled = {
        "ripple_factor": "RMS of the ripple over the mean",
        "ripple_ratio": "ripple, peak to peak, over the mean",
    }[measure]
    if measure == course.ripple_factor_reading:
        return f"Ripple factor at {where}: {spelled}"
    return f"{_opened(spelled)}, at {where}"


def _opened(words: str) -> str:
    return words[0].upper() + words[1:]


def _together(places: Sequence[str]) -> str:
    """Places in words: "D1 to D4", "the load and C1"."""
    numbered = [_NUMBERED.fullmatch(place) for place in places]
    known = [match for match in numbered if match is not None]
    if len(known) == len(places) > 2 and len({match[1] for match in known}) == 1:
        figures = sorted(int(match[2]) for match in known)
        if figures == list(range(figures[0], figures[0] + len(figures))):
            return f"{known[0][1]}{figures[0]} to {known[0][1]}{figures[-1]}"
    words = [place_in_words(place) for place in places]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def place_in_words(place: str) -> str:
    """A place as a sentence names it: "the positive load", "the input of U1"."""
    if place in _PLACES:
        return _PLACES[place]
    designator, _, side = place.partition(".")
    return f"the {side} of {designator}" if side else designator
