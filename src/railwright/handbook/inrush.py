"""Switching on: the first rush into the empty capacitor, and what a fuse or diode feels of it."""

from __future__ import annotations

from railwright.handbook.formula import Assumption, Example, Formula, Validity
from railwright.handbook.sources import AMETHERM, ON_PAPER
from railwright.handbook.symbols import CAPACITANCE, quantity

_PEAK = quantity("source_peak", "V_m", "V", "peak of the source")
_PATH = quantity("path_resistance", "R_s", "ohm", "whole resistance in the charging path")
_EMPTY = Assumption(claim="switches on at the peak with the capacitor empty")
_STANDS = Assumption(claim="lets the source stand at its peak while the capacitor fills")


def inrush_peak(*, source_peak: float, path_resistance: float) -> float:
    """Peak of the first rush. [A]"""
    return source_peak / path_resistance


def inrush_time_constant(*, path_resistance: float, capacitance: float) -> float:
    """Time constant of the first rush. [s]"""
    return path_resistance * capacitance


def inrush_energy(*, source_peak: float, path_resistance: float, capacitance: float) -> float:
    """Let-through of the first rush, the integral of its square. [A²s]"""
    return capacitance * source_peak**2 / (2.0 * path_resistance)


FORMULAS = (
    Formula(
        id="inrush-peak",
        topic="inrush",
        title="Peak of the first rush",
        statement=r"I_0 = \frac{V_m}{R_s}",
        quantities=(_PEAK, _PATH),
        result=quantity("inrush_peak", "I_0", "A", "peak of the first rush"),
        function=inrush_peak,
        assumptions=(_EMPTY, Assumption(claim="leaves out the inductance of mains and winding")),
        validity=Validity(sentence="Valid as an upper bound."),
        source=AMETHERM,
        # Read backwards: 746.6 V and 24.9 ohm give the allowed 30 A.
        example=Example(
            values={"source_peak": 746.6, "path_resistance": 24.887}, expected=30.0, tolerance=2e-3, source=AMETHERM
        ),
        readings=("secondary.current.inrush_peak",),
        undoes="surge-limiting-resistance",
    ),
    Formula(
        id="inrush-time-constant",
        topic="inrush",
        title="Time constant of the first rush",
        statement=r"\tau = R_s C",
        quantities=(_PATH, CAPACITANCE),
        result=quantity("time_constant", r"\tau", "s", "time in which the rush falls to 37 %"),
        function=inrush_time_constant,
        assumptions=(_STANDS,),
        validity=Validity(sentence="Valid while it is much shorter than a quarter of the mains period."),
        source=ON_PAPER,
        example=Example(
            values={"path_resistance": 0.5, "capacitance": 2200e-6}, expected=1.1e-3, tolerance=1e-9, source=ON_PAPER
        ),
    ),
    Formula(
        id="inrush-energy",
        topic="inrush",
        title="Let-through of the first rush",
        statement=r"\int i^2\,\mathrm{d}t = \frac{C V_m^2}{2 R_s}",
        quantities=(_PEAK, _PATH, CAPACITANCE),
        result=quantity("let_through", r"\int i^2\,\mathrm{d}t", "A²s", "what a fuse or diode must let through"),
        function=inrush_energy,
        assumptions=(_EMPTY, _STANDS),
        validity=Validity(sentence="Valid while the time constant is much shorter than a quarter of the mains period."),
        source=ON_PAPER,
        # 2200e-6 x 400/(2 x 0.5).
        example=Example(
            values={"source_peak": 20.0, "path_resistance": 0.5, "capacitance": 2200e-6},
            expected=0.88,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
    ),
)
