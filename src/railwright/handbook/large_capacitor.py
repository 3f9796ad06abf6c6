"""The reservoir so large that its voltage stands still: what resistance in the charging path does then."""

from __future__ import annotations

import math

from railwright.handbook.formula import (
    CIRCUITS_SINGLE_PHASE,
    Assumption,
    Example,
    Formula,
    Validity,
)
from railwright.handbook.sources import LANGFORD_SMITH, ON_PAPER
from railwright.handbook.symbols import PULSES, quantity

_SOURCE_RATIO = quantity(
    "resistance_ratio", r"\rho", "1", "resistance of winding and conducting diodes over the load resistance"
)
_ANGLE = quantity("conduction_angle", r"\Delta\theta", "deg", "conduction angle of one charging pulse")
_PEAK = quantity("load_peak", "V_p", "V", "peak of the source less the diode drops")
_SOURCE_RESISTANCE = quantity("source_resistance", "R_s", "ohm", "resistance of winding and conducting diodes")
_STILL = Assumption(claim="takes the capacitor as so large that its voltage stands still")
_SLOPE = Assumption(claim="takes drops and resistances as constant")
_LARGE = Validity(
    sentence="Valid for a reservoir whose ripple is much smaller than the fall of the voltage under load, "
    "at one or two pulses a period.",
    condition=lambda values: values.get("pulses", 1.0) <= 2.0,
)


def large_capacitor_angle(*, resistance_ratio: float, pulses: float) -> float:
    """Conduction angle of one pulse on a very large reservoir. [deg]

    Solves tan a - a = pi times the resistance ratio over the pulses by halving.
    """
    wanted = math.pi * resistance_ratio / pulses
    low, high = 0.0, math.pi / 2.0
    for _ in range(100):  # halving: more than the digits of a float
        middle = (low + high) / 2.0
        low, high = (middle, high) if math.tan(middle) - middle < wanted else (low, middle)
    return math.degrees(low + high)


def large_capacitor_mean(*, load_peak: float, conduction_angle: float) -> float:
    """Voltage of a very large reservoir. [V]"""
    return load_peak * math.cos(math.radians(conduction_angle / 2.0))


def large_capacitor_current_peak(*, load_peak: float, conduction_angle: float, source_resistance: float) -> float:
    """Peak of the charging current of a very large reservoir. [A]"""
    return load_peak * (1.0 - math.cos(math.radians(conduction_angle / 2.0))) / source_resistance


def large_capacitor_current_ratio(*, conduction_angle: float, pulses: float) -> float:
    """RMS of the charging current over the load current, very large reservoir. [1]"""
    a = math.radians(conduction_angle / 2.0)
    square = a + 2.0 * a * math.cos(a) ** 2 - 3.0 * math.sin(a) * math.cos(a)
    return math.sqrt(math.pi / (2.0 * pulses) * square) / (math.sin(a) - a * math.cos(a))


FORMULAS = (
    Formula(
        id="large-capacitor-angle",
        topic="source resistance",
        title="Conduction angle of one pulse, very large reservoir",
        statement=r"\Delta\theta = 2\alpha,\quad \tan\alpha - \alpha = \frac{\pi\rho}{p}",
        quantities=(_SOURCE_RATIO, PULSES),
        result=_ANGLE,
        function=large_capacitor_angle,
        assumptions=(_STILL, _SLOPE),
        validity=_LARGE,
        source=LANGFORD_SMITH,
        # tan 45° - pi/4 = 0.2146: at two pulses a ratio of 0.13662.
        example=Example(
            values={"resistance_ratio": 2.0 * (1.0 - math.pi / 4.0) / math.pi, "pulses": 2.0},
            expected=90.0,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        readings=("D*.conduction.angle",),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="large-capacitor-mean",
        topic="source resistance",
        title="Mean of a very large reservoir behind resistance",
        statement=r"V_{\mathrm{dc}} = V_p\cos\alpha,\quad \alpha = \frac{\Delta\theta}{2}",
        quantities=(_PEAK, _ANGLE),
        result=quantity("load_mean", r"V_{\mathrm{dc}}", "V", "mean voltage across the load", "any"),
        function=large_capacitor_mean,
        assumptions=(_STILL, _SLOPE),
        validity=_LARGE,
        source=LANGFORD_SMITH,
        example=Example(
            values={"load_peak": 10.0, "conduction_angle": 120.0}, expected=5.0, tolerance=1e-9, source=ON_PAPER
        ),
        readings=("load*.voltage.mean", "C*.voltage.mean", "U*.input.voltage.mean"),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="large-capacitor-current-peak",
        topic="source resistance",
        title="Peak of the charging current, very large reservoir",
        statement=r"I_{\mathrm{max}} = \frac{V_p\,(1 - \cos\alpha)}{R_s},\quad \alpha = \frac{\Delta\theta}{2}",
        quantities=(_PEAK, _ANGLE, _SOURCE_RESISTANCE),
        result=quantity("diode_current_peak", r"I_{\mathrm{max}}", "A", "peak of the charging current"),
        function=large_capacitor_current_peak,
        assumptions=(_STILL, _SLOPE),
        validity=_LARGE,
        source=LANGFORD_SMITH,
        example=Example(
            values={"load_peak": 10.0, "conduction_angle": 120.0, "source_resistance": 2.0},
            expected=2.5,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        readings=("D*.current.peak", "secondary.current.peak"),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="large-capacitor-current-ratio",
        topic="source resistance",
        title="RMS of the charging current over the load current, very large reservoir",
        statement=r"\frac{I_{\mathrm{rms}}}{I_{\mathrm{dc}}} = \frac{\sqrt{\frac{\pi}{2p}"
        r"\left(\alpha + 2\alpha\cos^2\alpha - 3\sin\alpha\cos\alpha\right)}}{\sin\alpha - \alpha\cos\alpha}"
        r",\quad \alpha = \frac{\Delta\theta}{2}",
        quantities=(_ANGLE, PULSES),
        result=quantity("over_dc", r"I_{\mathrm{rms}}/I_{\mathrm{dc}}", "1", "RMS of the rectifier current over DC"),
        function=large_capacitor_current_ratio,
        assumptions=(_STILL, _SLOPE),
        validity=_LARGE,
        source=LANGFORD_SMITH,
        # Alpha = 45 degrees: sqrt(pi/4 (pi/4 + pi/4 - 3/2))/(0.70711 - 0.55536).
        example=Example(
            values={"conduction_angle": 90.0, "pulses": 2.0},
            expected=math.sqrt(math.pi / 4.0 * (math.pi / 2.0 - 1.5)) / ((1.0 - math.pi / 4.0) / math.sqrt(2.0)),
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        readings=("secondary.current.over_dc",),
        circuits=("half-wave", "bridge"),
    ),
)
