"""The reservoir without any approximation, for ideal diodes, a stiff sine and a resistive load.

All follows from one number, omega R C, and the pulses of a period. The diodes let go where their current reaches
zero, the capacitor discharges exponentially, and they conduct again where the next hump meets it: that meeting is a
transcendental equation, solved here by halving.
"""

from __future__ import annotations

import math

from railwright.handbook.formula import CIRCUITS_SINGLE_PHASE, Assumption, Example, Formula, Symbol, Validity
from railwright.handbook.sources import NUMERICAL, ON_PAPER
from railwright.handbook.symbols import LOAD_MEAN, LOAD_PEAK, LOAD_RESISTANCE, PULSES, RIPPLE, RIPPLE_RMS, quantity

NORMALISED = quantity("normalised_time_constant", r"\omega R C", "1", "time constant in radians of the mains")
START = quantity("start_angle", r"\theta_1", "deg", "from the zero crossing to the start of conduction")
END = quantity("end_angle", r"\theta_2", "deg", "from the zero crossing to the end of conduction")

_IDEAL = Assumption(claim="takes diodes without a drop that switch at once, and a source without resistance")
_RESISTIVE = Assumption(claim="takes a resistive load and a capacitor without losses")
_EXACT = Validity(
    sentence="Exact for one or two pulses a period.", condition=lambda values: values.get("pulses", 1.0) <= 2.0
)


#: The charging current is largest at its start, unless that lies before the angle whose tangent is 1/(omega R C).
_AT_START = Validity(
    sentence="Exact while the charging current falls from its start on.",
    condition=lambda values: (
        math.tan(math.radians(values["start_angle"])) * values["normalised_time_constant"] >= 1.0
    ),
)


def end_of_conduction(*, normalised_time_constant: float) -> float:
    """Angle at which the diodes let go. [deg]"""
    return 180.0 - math.degrees(math.atan(normalised_time_constant))


def start_of_conduction(*, normalised_time_constant: float, pulses: float) -> float:
    """Angle at which the diodes conduct again. [deg]"""
    end = math.pi - math.atan(normalised_time_constant)
    low, high = 0.0, math.pi / 2.0
    for _ in range(100):  # halving: more than the digits of a float
        middle = (low + high) / 2.0
        left = math.sin(end) * math.exp(-(middle + 2.0 * math.pi / pulses - end) / normalised_time_constant)
        low, high = (middle, high) if math.sin(middle) < left else (low, middle)
    return math.degrees((low + high) / 2.0)


def _angles(normalised_time_constant: float, pulses: float) -> tuple[float, float]:
    """Start and end of conduction. [rad]"""
    return (
        math.radians(start_of_conduction(normalised_time_constant=normalised_time_constant, pulses=pulses)),
        math.radians(end_of_conduction(normalised_time_constant=normalised_time_constant)),
    )


def exact_conduction_angle(*, start_angle: float, end_angle: float) -> float:
    """Conduction angle of one pulse. [deg]"""
    return end_angle - start_angle


def exact_ripple(*, load_peak: float, start_angle: float) -> float:
    """Peak-to-peak ripple. [V]"""
    return load_peak * (1.0 - math.sin(math.radians(start_angle)))


def exact_mean(
    *, load_peak: float, start_angle: float, end_angle: float, normalised_time_constant: float, pulses: float
) -> float:
    """Mean load voltage. [V]"""
    start, end = math.radians(start_angle), math.radians(end_angle)
    hump = math.cos(start) - math.cos(end)
    fall = normalised_time_constant * (math.sin(end) - math.sin(start))
    return load_peak * pulses / (2.0 * math.pi) * (hump + fall)


def exact_mean_square(
    *, load_peak: float, start_angle: float, end_angle: float, normalised_time_constant: float, pulses: float
) -> float:
    """RMS of the whole load voltage. [V]"""
    start, end = math.radians(start_angle), math.radians(end_angle)
    hump = (end - start) / 2.0 - (math.sin(2.0 * end) - math.sin(2.0 * start)) / 4.0
    fall = normalised_time_constant / 2.0 * (math.sin(end) ** 2 - math.sin(start) ** 2)
    return load_peak * math.sqrt(pulses / (2.0 * math.pi) * (hump + fall))


def exact_ripple_rms(*, load_rms: float, load_mean: float) -> float:
    """RMS of the ripple. [V] Raises ValueError where the mean exceeds the RMS."""
    if load_mean > load_rms:
        raise ValueError(f"a mean of {load_mean:g} V above an RMS of {load_rms:g} V can't be. Check both.")
    return math.sqrt((load_rms - load_mean) * (load_rms + load_mean))


def exact_diode_peak(
    *, load_peak: float, load_resistance: float, start_angle: float, normalised_time_constant: float
) -> float:
    """Peak of the charging current, reached as the diodes start to conduct. [A]"""
    start = math.radians(start_angle)
    return load_peak / load_resistance * (normalised_time_constant * math.cos(start) + math.sin(start))


def exact_charging_rms(
    *,
    load_peak: float,
    load_resistance: float,
    start_angle: float,
    end_angle: float,
    normalised_time_constant: float,
    pulses: float,
) -> float:
    """RMS of the rectifier's current. [A]"""
    start, end = math.radians(start_angle), math.radians(end_angle)
    a = normalised_time_constant
    half = (end - start) / 2.0
    double = (math.sin(2.0 * end) - math.sin(2.0 * start)) / 4.0
    crossed = (math.sin(end) ** 2 - math.sin(start) ** 2) * a
    square = a**2 * (half + double) + half - double + crossed
    return load_peak / load_resistance * math.sqrt(pulses / (2.0 * math.pi) * square)


def exact_capacitor_rms(
    *,
    load_peak: float,
    load_resistance: float,
    start_angle: float,
    end_angle: float,
    normalised_time_constant: float,
    pulses: float,
) -> float:
    """RMS of the capacitor's current. [A]"""
    start, end = math.radians(start_angle), math.radians(end_angle)
    a = normalised_time_constant
    charge = a**2 * ((end - start) / 2.0 + (math.sin(2.0 * end) - math.sin(2.0 * start)) / 4.0)
    fall = a / 2.0 * (math.sin(end) ** 2 - math.sin(start) ** 2)
    return load_peak / load_resistance * math.sqrt(pulses / (2.0 * math.pi) * (charge + fall))


_PEAK_START_END = (LOAD_PEAK, START, END, NORMALISED, PULSES)
_WITH_RESISTANCE = (LOAD_PEAK, LOAD_RESISTANCE, START, END, NORMALISED, PULSES)
_CURRENT = quantity("charging_current_rms", r"I_{\mathrm{rms}}", "A", "RMS of the rectifier current")
_CAPACITOR = quantity("capacitor_current_rms", "I_C", "A", "RMS current of the capacitor")
_DIODE = quantity("diode_current_peak", r"I_{D,\mathrm{max}}", "A", "peak of the diode current")
#: Round angles for a point worked on paper: the integrals hold for any pair.
_ROUND = {"start_angle": 30.0, "end_angle": 150.0, "normalised_time_constant": 1.0, "pulses": 2.0}
_TWO_THIRDS_PI = 2.0 * math.pi / 3.0


def _formula(
    id: str, title: str, statement: str, quantities: tuple[Symbol, ...], result: Symbol, function: object,
    example: Example, validity: Validity = _EXACT,
) -> Formula:  # fmt: skip
    assert callable(function)
    return Formula(
        id=id,
        topic="exact reservoir",
        title=title,
        statement=statement,
        quantities=quantities,
        result=result,
        function=function,
        assumptions=(_IDEAL, _RESISTIVE),
        validity=validity,
        source=ON_PAPER,
        example=example,
        kind="exact law",
        circuits=CIRCUITS_SINGLE_PHASE,
    )


FORMULAS = (
    _formula(
        "exact-end-of-conduction", "Where the diodes let go", r"\theta_2 = 180^\circ - \arctan(\omega R C)",
        (NORMALISED,), END, end_of_conduction,
        Example(values={"normalised_time_constant": 1.0}, expected=135.0, tolerance=1e-9, source=ON_PAPER),
    ),
    _formula(
        "exact-start-of-conduction", "Where the diodes conduct again",
        r"\sin\theta_1 = \sin\theta_2\, e^{-(\theta_1 + 2\pi/p - \theta_2)/\omega R C},"
        r"\quad \theta_2 = \pi - \arctan(\omega R C)",
        (NORMALISED, PULSES), START, start_of_conduction,
        # An independent numerical steady state gives a ripple of 0.0286 of the peak.
        Example(
            values={"normalised_time_constant": 100.0, "pulses": 2.0},
            expected=math.degrees(math.asin(1.0 - 0.0286)), tolerance=4e-4, source=NUMERICAL,
        ),
    ),
    _formula(
        "exact-conduction-angle", "Conduction angle of one pulse, exact", r"\Delta\theta = \theta_2 - \theta_1",
        (START, END), quantity("conduction_angle", r"\Delta\theta", "deg", "conduction angle of one pulse", "any"),
        exact_conduction_angle,
        Example(values={"start_angle": 30.0, "end_angle": 150.0}, expected=120.0, tolerance=1e-9, source=ON_PAPER),
    ),
    _formula(
        "exact-ripple", "Ripple, exact", r"V_r = V_p\,(1 - \sin\theta_1)",
        (LOAD_PEAK, START), RIPPLE, exact_ripple,
        Example(values={"load_peak": 10.0, "start_angle": 30.0}, expected=5.0, tolerance=1e-9, source=ON_PAPER),
    ),
    _formula(
        "exact-mean", "Mean, exact",
        r"V_{\mathrm{dc}} = \frac{p V_p}{2\pi}\left[\cos\theta_1 - \cos\theta_2 "
        r"+ \omega R C\,(\sin\theta_2 - \sin\theta_1)\right]",
        _PEAK_START_END, LOAD_MEAN, exact_mean,
        # 30 and 150 degrees: the sines are equal, the cosines add up to the root of 3.
        Example(
            values={"load_peak": 10.0, **_ROUND}, expected=10.0 / math.pi * math.sqrt(3.0), tolerance=1e-9,
            source=ON_PAPER,
        ),
    ),
    _formula(
        "exact-rms", "RMS of the whole load voltage, exact",
        r"V_{\mathrm{L,rms}} = V_p\sqrt{\frac{p}{2\pi}\left[\frac{\theta_2-\theta_1}{2}"
        r" - \frac{\sin 2\theta_2 - \sin 2\theta_1}{4}"
        r" + \frac{\omega R C}{2}(\sin^2\theta_2 - \sin^2\theta_1)\right]}",
        _PEAK_START_END, quantity("load_rms", r"V_{\mathrm{L,rms}}", "V", "RMS of the whole load voltage"),
        exact_mean_square,
        # pi/3 + sqrt(3)/4 over pi.
        Example(
            values={"load_peak": 10.0, **_ROUND},
            expected=10.0 * math.sqrt((_TWO_THIRDS_PI / 2.0 + math.sqrt(3.0) / 4.0) / math.pi), tolerance=1e-9,
            source=ON_PAPER,
        ),
    ),
    _formula(
        "exact-ripple-rms", "RMS of the ripple, exact",
        r"V_{r,\mathrm{rms}} = \sqrt{V_{\mathrm{L,rms}}^2 - V_{\mathrm{dc}}^2}",
        (quantity("load_rms", r"V_{\mathrm{L,rms}}", "V", "RMS of the whole load voltage"), LOAD_MEAN), RIPPLE_RMS,
        exact_ripple_rms,
        Example(values={"load_rms": 5.0, "load_mean": 4.0}, expected=3.0, tolerance=1e-9, source=ON_PAPER),
    ),
    _formula(
        "exact-diode-peak", "Peak of the charging current, exact",
        r"I_{D,\mathrm{max}} = \frac{V_p}{R}\left(\omega R C\cos\theta_1 + \sin\theta_1\right)",
        (LOAD_PEAK, LOAD_RESISTANCE, START, NORMALISED), _DIODE, exact_diode_peak,
        # cos 60° = 1/2, sin 60° = sqrt(3)/2.
        Example(
            values={"load_peak": 10.0, "load_resistance": 5.0, "start_angle": 60.0, "normalised_time_constant": 20.0},
            expected=20.0 + math.sqrt(3.0), tolerance=1e-9, source=ON_PAPER,
        ),
        _AT_START,
    ),
    _formula(
        "exact-charging-rms", "RMS of the charging current, exact",
        r"I_{\mathrm{rms}} = \frac{V_p}{R}\sqrt{\frac{p}{2\pi}"
        r"\int_{\theta_1}^{\theta_2}\left(\omega R C\cos\theta + \sin\theta\right)^2\mathrm{d}\theta}",
        _WITH_RESISTANCE, _CURRENT, exact_charging_rms,
        # With equal sines the mixed term drops out: (pi/3 - sqrt(3)/4) + (pi/3 + sqrt(3)/4).
        Example(
            values={"load_peak": 10.0, "load_resistance": 10.0, **_ROUND},
            expected=math.sqrt(_TWO_THIRDS_PI / math.pi), tolerance=1e-9, source=ON_PAPER,
        ),
    ),
    _formula(
        "exact-capacitor-rms", "RMS of the capacitor's current, exact",
        r"I_C = \frac{V_p}{R}\sqrt{\frac{p}{2\pi}\left[(\omega R C)^2\int_{\theta_1}^{\theta_2}\cos^2\theta"
        r"\,\mathrm{d}\theta + \frac{\omega R C}{2}(\sin^2\theta_2 - \sin^2\theta_1)\right]}",
        _WITH_RESISTANCE, _CAPACITOR, exact_capacitor_rms,
        # pi/3 - sqrt(3)/4 over pi.
        Example(
            values={"load_peak": 10.0, "load_resistance": 10.0, **_ROUND},
            expected=math.sqrt((_TWO_THIRDS_PI / 2.0 - math.sqrt(3.0) / 4.0) / math.pi), tolerance=1e-9,
            source=ON_PAPER,
        ),
    ),
)  # fmt: skip
