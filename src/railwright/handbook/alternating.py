"""The alternating side: peak, RMS, period and turns of a sine."""

from __future__ import annotations

import math

from railwright.handbook.formula import Assumption, Example, Formula, Validity
from railwright.handbook.sources import DEFINITION, PRACTICE, floyd, malvino, neamen
from railwright.handbook.symbols import MAINS_FREQUENCY, SOURCE_PEAK, SOURCE_RMS, SUPPLY_RMS, TURNS_RATIO, quantity

_SINE = Assumption(claim="takes the voltage for a pure sine")
_STIFF = Assumption(claim="leaves out what source and winding lose on the way to the terminals")
_NO_LOSS = Assumption(claim="leaves out winding resistance and leakage")
_EVERY_SINE = Validity(sentence="Valid for every sine.")
_PEAKS = ("secondary*.voltage.peak", "mains*.voltage.peak")


def peak_of_sine(*, source_rms: float) -> float:
    """Peak of a sine of a given RMS. [V]"""
    return math.sqrt(2.0) * source_rms


def rms_of_sine(*, source_peak: float) -> float:
    """RMS of a sine of a given peak. [V]"""
    return source_peak / math.sqrt(2.0)


def period(*, mains_frequency: float) -> float:
    """Duration of one mains period. [s]"""
    return 1.0 / mains_frequency


def half_period(*, mains_frequency: float) -> float:
    """Duration of half a mains period. [s]"""
    return 0.5 / mains_frequency


def secondary_by_turns(*, primary_rms: float, turns_ratio: float) -> float:
    """RMS of the secondary from the turns ratio. [V]"""
    return primary_rms / turns_ratio


def turns_ratio_for_secondary(*, primary_rms: float, source_rms: float) -> float:
    """Turns ratio that gives a wanted secondary voltage. [1]"""
    return primary_rms / source_rms


FORMULAS = (
    Formula(
        id="peak-of-sine",
        topic="alternating",
        title="Peak of a sine",
        statement=r"V_m = \sqrt{2}\,V_{\mathrm{rms}}",
        quantities=(SOURCE_RMS,),
        result=SOURCE_PEAK,
        function=peak_of_sine,
        assumptions=(_SINE, _STIFF),
        validity=_EVERY_SINE,
        source=DEFINITION,
        example=Example(values={"source_rms": 12.0}, expected=16.97, tolerance=5e-4, source=floyd("Ex. 2.6, p. 54")),
        kind="exact law",
        readings=_PEAKS,
    ),
    Formula(
        id="rms-of-sine",
        topic="alternating",
        title="RMS of a sine",
        statement=r"V_{\mathrm{rms}} = \frac{V_m}{\sqrt{2}}",
        quantities=(SOURCE_PEAK,),
        result=SOURCE_RMS,
        function=rms_of_sine,
        assumptions=(_SINE, _STIFF),
        validity=_EVERY_SINE,
        source=DEFINITION,
        example=Example(values={"source_peak": 13.4}, expected=9.48, tolerance=6e-4, source=neamen("Ex. 2.3, p. 61")),
        kind="exact law",
        readings=("secondary*.voltage.rms", "mains*.voltage.rms"),
        undoes="peak-of-sine",
    ),
    Formula(
        id="mains-period",
        topic="alternating",
        title="Period",
        statement=r"T = \frac{1}{f}",
        quantities=(MAINS_FREQUENCY,),
        result=quantity("period", "T", "s", "duration of one mains period"),
        function=period,
        assumptions=(),
        validity=Validity(sentence="Valid always."),
        source=DEFINITION,
        example=Example(values={"mains_frequency": 60.0}, expected=0.0167, tolerance=3.1e-3, source=PRACTICE),
        kind="exact law",
    ),
    Formula(
        id="mains-half-period",
        topic="alternating",
        title="Half period",
        statement=r"\frac{T}{2} = \frac{1}{2f}",
        quantities=(MAINS_FREQUENCY,),
        result=quantity("half_period", "T/2", "s", "duration of half a mains period"),
        function=half_period,
        assumptions=(),
        validity=Validity(sentence="Valid always."),
        source=DEFINITION,
        example=Example(values={"mains_frequency": 60.0}, expected=0.00833, tolerance=6.2e-4, source=PRACTICE),
        kind="exact law",
    ),
    Formula(
        id="secondary-by-turns",
        topic="alternating",
        title="Secondary voltage from the turns ratio",
        statement=r"V_2 = \frac{V_1}{n}",
        quantities=(SUPPLY_RMS, TURNS_RATIO),
        result=SOURCE_RMS,
        function=secondary_by_turns,
        assumptions=(_NO_LOSS,),
        validity=Validity(sentence="Valid for an unloaded winding; a loaded one gives less."),
        source=DEFINITION,
        example=Example(
            values={"primary_rms": 120.0, "turns_ratio": 5.0},
            expected=24.0,
            tolerance=2.2e-3,
            source=malvino("Ex. 4-6, p. 108"),
        ),
        kind="exact law",
        readings=("secondary*.voltage.rms", "secondary.voltage.open_rms"),
    ),
    Formula(
        id="turns-ratio-for-secondary",
        topic="alternating",
        title="Turns ratio for a wanted secondary voltage",
        statement=r"n = \frac{V_1}{V_2}",
        quantities=(SUPPLY_RMS, quantity("source_rms", "V_2", "V", "wanted RMS of the secondary")),
        result=TURNS_RATIO,
        function=turns_ratio_for_secondary,
        assumptions=(_NO_LOSS,),
        validity=Validity(sentence="Valid for an unloaded winding; a loaded one gives less."),
        source=DEFINITION,
        example=Example(
            values={"primary_rms": 120.0, "source_rms": 9.48},
            expected=12.66,
            tolerance=4.1e-4,
            source=neamen("Ex. 2.3, p. 61"),
        ),
        kind="exact law",
        undoes="secondary-by-turns",
    ),
)
