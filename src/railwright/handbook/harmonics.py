"""Harmonics on both sides of a rectifier, and the power factor that they leave."""

from __future__ import annotations

import math

from railwright.handbook.formula import (
    CIRCUITS_FULL_WAVE,
    Assumption,
    Example,
    Formula,
    Symbol,
    Validity,
)
from railwright.handbook.sources import ACHA, DEFINITION, MOHAN, ON_PAPER, SUGANDHI_RIPPLE, bell
from railwright.handbook.symbols import SOURCE_PEAK, quantity

_PULSES = quantity("pulses", "p", "1", "pulses of the output per mains period")
_NUMBER = quantity("number", "k", "1", "1, 2, 3 ...")
_SMOOTH = Assumption(claim="takes the direct current as perfectly smooth and the commutation as instant")
_EQUAL_PULSES = Assumption(claim="takes all pulses of a period as equal")
_SMOOTH_ONLY = Validity(sentence="Valid behind a large choke; a reservoir capacitor makes many more harmonics.")
_CURRENT_RMS = quantity("current_rms", r"I", "A", "RMS of the whole current")
_FUNDAMENTAL = quantity("fundamental_rms", r"I_1", "A", "RMS of the current's fundamental")
_DISTORTION = quantity("distortion", r"\mathrm{THD}", "1", "harmonic distortion, over the fundamental")
_FACTOR = quantity("distortion_factor", r"I_1/I", "1", "fundamental over the whole")
_LOAD_CURRENT = quantity("load_current", r"I_{\mathrm{dc}}", "A", "smooth direct current")


def line_harmonic_order_lower(*, pulses: float, number: float) -> float:
    """Order of a mains current harmonic, the lower of a pair. [1]"""
    return number * pulses - 1.0


def line_harmonic_order_upper(*, pulses: float, number: float) -> float:
    """Order of a mains current harmonic, the upper of a pair. [1]"""
    return number * pulses + 1.0


def ripple_harmonic_order(*, pulses: float, number: float) -> float:
    """Order of a ripple harmonic, in multiples of the mains frequency. [1]"""
    return number * pulses


def ripple_harmonic_ratio(*, order: float) -> float:
    """RMS of one ripple harmonic over the mean. [1] Raises ValueError for an order of 1."""
    if order <= 1.0:
        raise ValueError(f"an order of {order:g}: the output has only multiples of the pulse number, from 2 on.")
    return math.sqrt(2.0) / (order**2 - 1.0)


def second_harmonic_peak(*, source_peak: float) -> float:
    """Peak of the second harmonic of a full-wave rectified sine. [V]"""
    return 4.0 * source_peak / (3.0 * math.pi)


def distortion_of_rms(*, current_rms: float, fundamental_rms: float) -> float:
    """Harmonic distortion from RMS and fundamental. [1] Raises ValueError where the fundamental exceeds the RMS."""
    if fundamental_rms > current_rms:
        raise ValueError(f"a fundamental of {fundamental_rms:g} A above an RMS of {current_rms:g} A can't be.")
    return math.sqrt((current_rms - fundamental_rms) * (current_rms + fundamental_rms)) / fundamental_rms


def distortion_factor_of_distortion(*, distortion: float) -> float:
    """Fundamental over the whole, from the harmonic distortion. [1]"""
    return 1.0 / math.sqrt(1.0 + distortion**2)


def power_factor(*, displacement_angle: float, distortion_factor: float) -> float:
    """Power factor of a distorted current. [1]"""
    return math.cos(math.radians(displacement_angle)) * distortion_factor


def apparent_power(*, source_rms: float, current_rms: float) -> float:
    """Apparent power. [VA]"""
    return source_rms * current_rms


def square_current_distortion() -> float:
    """Harmonic distortion of a square mains current. [1]"""
    return math.sqrt(math.pi**2 / 8.0 - 1.0)


def square_current_distortion_factor() -> float:
    """Fundamental over the whole of a square mains current. [1]"""
    return 2.0 * math.sqrt(2.0) / math.pi


def six_pulse_line_current_rms(*, load_current: float) -> float:
    """RMS of the line current before a six-pulse bridge with smooth current. [A]"""
    return math.sqrt(2.0 / 3.0) * load_current


def six_pulse_fundamental(*, load_current: float) -> float:
    """RMS of the fundamental of the line current before a six-pulse bridge. [A]"""
    return math.sqrt(6.0) / math.pi * load_current


def six_pulse_distortion() -> float:
    """Harmonic distortion of the line current before a six-pulse bridge. [1]"""
    return math.sqrt(math.pi**2 / 9.0 - 1.0)


def six_pulse_distortion_factor() -> float:
    """Fundamental over the whole of the line current before a six-pulse bridge. [1]"""
    return 3.0 / math.pi


def _of_smooth_current(
    id: str, title: str, statement: str, result: Symbol, function: object, expected: float, tolerance: float,
    circuits: tuple[str, ...],
) -> Formula:  # fmt: skip
    """A constant of the mains current of a rectifier with smooth direct current."""
    assert callable(function)
    return Formula(
        id=id,
        topic="harmonics",
        title=title,
        statement=statement,
        quantities=(),
        result=result,
        function=function,
        assumptions=(_SMOOTH,),
        validity=_SMOOTH_ONLY,
        source=MOHAN,
        example=Example(values={}, expected=expected, tolerance=tolerance, source=MOHAN),
        kind="exact law",
        circuits=circuits,
    )


_SIX = ("three-phase-bridge",)

FORMULAS = (
    Formula(
        id="line-harmonic-order-lower",
        topic="harmonics",
        title="Order of a mains harmonic, the lower of a pair",
        statement=r"h = k p - 1",
        quantities=(_PULSES, _NUMBER),
        result=quantity("order", "h", "1", "order of the harmonic"),
        function=line_harmonic_order_lower,
        assumptions=(_EQUAL_PULSES, _SMOOTH),
        validity=Validity(sentence="Valid for pulse numbers of 2, 6, 12 and more, and equal diodes."),
        source=ACHA,
        example=Example(values={"pulses": 6.0, "number": 2.0}, expected=11.0, tolerance=1e-9, source=ACHA),
        kind="exact law",
    ),
    Formula(
        id="line-harmonic-order-upper",
        topic="harmonics",
        title="Order of a mains harmonic, the upper of a pair",
        statement=r"h = k p + 1",
        quantities=(_PULSES, _NUMBER),
        result=quantity("order", "h", "1", "order of the harmonic"),
        function=line_harmonic_order_upper,
        assumptions=(_EQUAL_PULSES, _SMOOTH),
        validity=Validity(sentence="Valid for pulse numbers of 2, 6, 12 and more, and equal diodes."),
        source=ACHA,
        example=Example(values={"pulses": 6.0, "number": 2.0}, expected=13.0, tolerance=1e-9, source=ACHA),
        kind="exact law",
    ),
    Formula(
        id="ripple-harmonic-order",
        topic="harmonics",
        title="Order of a ripple harmonic",
        statement=r"h = k p",
        quantities=(_PULSES, _NUMBER),
        result=quantity("order", "h", "1", "order of the harmonic"),
        function=ripple_harmonic_order,
        assumptions=(_EQUAL_PULSES,),
        validity=Validity(sentence="Valid while every diode works."),
        source=ACHA,
        example=Example(values={"pulses": 6.0, "number": 3.0}, expected=18.0, tolerance=1e-9, source=ACHA),
        kind="exact law",
    ),
    Formula(
        id="ripple-harmonic-ratio",
        topic="harmonics",
        title="One ripple harmonic over the mean, no filter",
        statement=r"\frac{V_h}{V_{\mathrm{dc}}} = \frac{\sqrt{2}}{h^2 - 1}",
        quantities=(quantity("order", "h", "1", "order of the harmonic, a multiple of the pulse number"),),
        result=quantity("harmonic_ratio", r"V_h/V_{\mathrm{dc}}", "1", "RMS of the harmonic over the mean"),
        function=ripple_harmonic_ratio,
        assumptions=(_EQUAL_PULSES, Assumption(claim="lets one diode take over from another at once")),
        validity=Validity(sentence="Valid for two and more pulses without a filter."),
        source=SUGANDHI_RIPPLE,
        example=Example(values={"order": 12.0}, expected=0.0099, tolerance=5.2e-3, source=SUGANDHI_RIPPLE),
        kind="exact law",
    ),
    Formula(
        id="second-harmonic-peak",
        topic="harmonics",
        title="Second harmonic of a full-wave rectified sine",
        statement=r"\hat V_2 = \frac{4 V_m}{3\pi}",
        quantities=(SOURCE_PEAK,),
        result=quantity("second_harmonic", r"\hat V_2", "V", "peak of the second harmonic", "not negative"),
        function=second_harmonic_peak,
        assumptions=(Assumption(claim="leaves out the drops of the diodes"),),
        validity=Validity(sentence="Valid before a filter, drops much smaller than the peak."),
        source=bell("Ex. 3.14, p. 101"),
        # 20 V of mean: 31.4 V of peak, 13.3 V of second harmonic.
        example=Example(
            values={"source_peak": 31.416}, expected=13.33, tolerance=4e-4, source=bell("Ex. 3.14, p. 101")
        ),
        kind="exact law",
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="distortion-of-rms",
        topic="harmonics",
        title="Harmonic distortion from RMS and fundamental",
        statement=r"\mathrm{THD} = \frac{\sqrt{I^2 - I_1^2}}{I_1}",
        quantities=(_CURRENT_RMS, _FUNDAMENTAL),
        result=quantity("distortion", r"\mathrm{THD}", "1", "harmonic distortion", "not negative"),
        function=distortion_of_rms,
        assumptions=(Assumption(claim="leaves out a mean, and counts all orders"),),
        validity=Validity(sentence="Valid for every current; standards stop at order 40."),
        source=DEFINITION,
        # 5, 4 and 3 as in the triangle.
        example=Example(
            values={"current_rms": 5.0, "fundamental_rms": 4.0}, expected=0.75, tolerance=1e-9, source=ON_PAPER
        ),
        kind="exact law",
        readings=("mains*.current.thd", "secondary*.current.thd"),
    ),
    Formula(
        id="distortion-factor-of-distortion",
        topic="harmonics",
        title="Fundamental over the whole, from the distortion",
        statement=r"\frac{I_1}{I} = \frac{1}{\sqrt{1 + \mathrm{THD}^2}}",
        quantities=(_DISTORTION,),
        result=_FACTOR,
        function=distortion_factor_of_distortion,
        assumptions=(Assumption(claim="counts all orders"),),
        validity=Validity(sentence="Valid for every current without a mean."),
        source=DEFINITION,
        example=Example(values={"distortion": 0.75}, expected=0.8, tolerance=1e-9, source=ON_PAPER),
        kind="exact law",
        readings=("mains.power.distortion_factor",),
    ),
    Formula(
        id="power-factor",
        topic="harmonics",
        title="Power factor of a distorted current",
        statement=r"\lambda = \cos\varphi_1\,\frac{I_1}{I}",
        quantities=(
            quantity("displacement_angle", r"\varphi_1", "deg", "angle by which the fundamental lags", "any"),
            _FACTOR,
        ),
        result=quantity("power_factor", r"\lambda", "1", "real over apparent power", "any"),
        function=power_factor,
        assumptions=(Assumption(claim="takes the voltage for a pure sine"),),
        validity=Validity(sentence="Valid for a sine of voltage."),
        source=DEFINITION,
        # cos 60° is a half.
        example=Example(
            values={"displacement_angle": 60.0, "distortion_factor": 0.9},
            expected=0.45,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        kind="exact law",
        readings=("mains.power.factor",),
    ),
    Formula(
        id="apparent-power",
        topic="harmonics",
        title="Apparent power",
        statement=r"S = V_{\mathrm{rms}} I",
        quantities=(
            quantity("source_rms", r"V_{\mathrm{rms}}", "V", "RMS of the voltage", "not negative"),
            _CURRENT_RMS,
        ),
        result=quantity("apparent_power", "S", "VA", "apparent power", "not negative"),
        function=apparent_power,
        assumptions=(),
        validity=Validity(sentence="Valid always."),
        source=DEFINITION,
        example=Example(
            values={"source_rms": 11.2, "current_rms": 1.8}, expected=20.16, tolerance=1e-9, source=ON_PAPER
        ),
        kind="exact law",
        readings=("mains.power.apparent", "secondary.power.apparent"),
    ),
    _of_smooth_current(
        "square-current-distortion", "Harmonic distortion of a square mains current",
        r"\mathrm{THD} = \sqrt{\tfrac{\pi^2}{8} - 1}", _DISTORTION, square_current_distortion, 0.4834, 2e-4,
        CIRCUITS_FULL_WAVE,
    ),
    _of_smooth_current(
        "square-current-distortion-factor", "Fundamental over the whole of a square mains current (0.9)",
        r"\frac{I_1}{I} = \frac{2\sqrt{2}}{\pi}", _FACTOR, square_current_distortion_factor, 0.9, 6e-4,
        CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="six-pulse-line-current-rms",
        topic="harmonics",
        title="Line current before a six-pulse bridge",
        statement=r"I = \sqrt{\tfrac{2}{3}}\,I_{\mathrm{dc}}",
        quantities=(_LOAD_CURRENT,),
        result=_CURRENT_RMS,
        function=six_pulse_line_current_rms,
        assumptions=(_SMOOTH,),
        validity=_SMOOTH_ONLY,
        source=MOHAN,
        example=Example(values={"load_current": 1.0}, expected=0.816, tolerance=7e-4, source=MOHAN),
        kind="exact law",
        circuits=_SIX,
    ),
    Formula(
        id="six-pulse-fundamental",
        topic="harmonics",
        title="Fundamental of the line current before a six-pulse bridge",
        statement=r"I_1 = \frac{\sqrt{6}}{\pi} I_{\mathrm{dc}}",
        quantities=(_LOAD_CURRENT,),
        result=_FUNDAMENTAL,
        function=six_pulse_fundamental,
        assumptions=(_SMOOTH,),
        validity=_SMOOTH_ONLY,
        source=MOHAN,
        example=Example(values={"load_current": 1.0}, expected=0.78, tolerance=6.5e-3, source=MOHAN),
        kind="exact law",
        circuits=_SIX,
    ),
    _of_smooth_current(
        "six-pulse-distortion", "Harmonic distortion of the line current before a six-pulse bridge",
        r"\mathrm{THD} = \sqrt{\tfrac{\pi^2}{9} - 1}", _DISTORTION, six_pulse_distortion, 0.3108, 1.7e-4, _SIX,
    ),
    _of_smooth_current(
        "six-pulse-distortion-factor", "Fundamental over the whole before a six-pulse bridge (0.955)",
        r"\frac{I_1}{I} = \frac{3}{\pi}", _FACTOR, six_pulse_distortion_factor, 0.955, 6e-4, _SIX,
    ),
)  # fmt: skip

