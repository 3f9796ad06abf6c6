"""The current in the first choke of a filter: its mean, its ripple, and what both make in the parts around it."""

from __future__ import annotations

import math

from railwright.handbook.choke_input import minimum_choke_current
from railwright.handbook.drawn import ampere
from railwright.handbook.formula import CIRCUITS_FULL_WAVE, Assumption, Example, Formula, Validity, Values
from railwright.handbook.sources import ON_PAPER
from railwright.handbook.symbols import (
    DIODE_DROP,
    DIODES_IN_PATH,
    LOAD_CURRENT,
    LOAD_MEAN,
    LOAD_RESISTANCE,
    MAINS_FREQUENCY,
    RIPPLE,
    SOURCE_PEAK,
    quantity,
)

_SERIES = quantity(
    "series_resistance", "R_s", "ohm", "resistance in series with the load: the choke's winding", "not negative"
)
_BLEEDER = quantity("bleeder", "R_B", "ohm", "resistance of the bleeder")
_INDUCTANCE = quantity("inductance", "L", "H", "inductance of the choke")
_JUDGED = (
    quantity("inductance", "L", "H", "inductance of the choke, to judge the validity", optional=True),
    quantity("mains_frequency", "f", "Hz", "frequency of the mains, to judge the validity", optional=True),
)
_MEAN = quantity("choke_current_mean", r"I_{\mathrm{ch}}", "A", "mean current of the choke")
_RIPPLE = quantity("ripple_current", r"\hat I_r", "A", "peak of the ripple in the choke's current", "not negative")
_RMS = quantity("choke_current_rms", r"I_{\mathrm{ch,rms}}", "A", "RMS of the choke's current")
_BEHIND = quantity("capacitance", "C", "F", "capacitance behind the choke")

_CONTINUOUS = Assumption(claim="keeps the choke's current flowing all the time, so that two diodes always conduct")
_WINDING = Assumption(claim="leaves out the resistance of the winding")
_SECOND = Assumption(claim="keeps only the second harmonic of the rectified sine")
_SMOOTH = Assumption(claim="takes the voltage behind the choke as smooth")
_UNBROKEN = Validity(
    sentence="Valid while the choke's mean current is larger than the peak of its ripple.",
    condition=lambda values: values["choke_current_mean"] >= values["ripple_current"],
)


def choke_input_mean_of_current(
    *, source_peak: float, diode_drop: float, diodes_in_path: float, series_resistance: float, load_current: float
) -> float:
    """Mean voltage behind a choke for a known current, full-wave. [V] Raises ValueError where nothing is left."""
    rectified = 2.0 * source_peak / math.pi - diode_drop * diodes_in_path
    mean = rectified - load_current * series_resistance
    if mean <= 0.0:
        raise ValueError(
            f"{rectified:.3g} V before the choke, {load_current * series_resistance:.3g} V across its resistance: "
            "nothing reaches the load. Check winding voltage and current."
        )
    return mean


def choke_input_mean_with_bleeder(
    *,
    source_peak: float,
    diode_drop: float,
    diodes_in_path: float,
    series_resistance: float,
    load_current: float,
    bleeder: float,
) -> float:
    """Mean voltage behind a choke for a known load current beside a bleeder. [V] Raises ValueError as without one."""
    left = choke_input_mean_of_current(
        source_peak=source_peak, diode_drop=diode_drop, diodes_in_path=diodes_in_path,
        series_resistance=series_resistance, load_current=load_current,
    )  # fmt: skip
    return left * bleeder / (bleeder + series_resistance)


def choke_current_with_bleeder(*, load_current: float, load_mean: float, bleeder: float) -> float:
    """Mean current of a choke that feeds a load of known current and a bleeder. [A]"""
    return load_current + load_mean / bleeder


def choke_current_of_mean(*, load_mean: float, load_resistance: float) -> float:
    """Mean current of a choke that feeds a resistance. [A]"""
    return load_mean / load_resistance


def choke_ripple_current(*, source_peak: float, mains_frequency: float, inductance: float) -> float:
    """Peak of the ripple in the choke's current, second harmonic only. [A]"""
    return minimum_choke_current(source_peak=source_peak, mains_frequency=mains_frequency, inductance=inductance)


def choke_current_peak(*, choke_current_mean: float, ripple_current: float) -> float:
    """Largest current of the choke. [A]"""
    return choke_current_mean + ripple_current


def choke_current_valley(*, choke_current_mean: float, ripple_current: float) -> float:
    """Least current of the choke. [A] Raises ValueError where the current would have gaps."""
    if ripple_current > choke_current_mean:
        raise ValueError(
            f"a ripple of {ampere(ripple_current)} about a mean of {ampere(choke_current_mean)}: the current has gaps. "
            "A larger choke or a bleeder closes them."
        )
    return choke_current_mean - ripple_current


def choke_current_rms(*, choke_current_mean: float, ripple_current: float) -> float:
    """RMS of the choke's current. [A]"""
    return math.hypot(choke_current_mean, ripple_current / math.sqrt(2.0))


def choke_input_ripple(*, ripple_current: float, mains_frequency: float, capacitance: float) -> float:
    """Peak-to-peak ripple that the choke's ripple current leaves on the capacitor behind it. [V]"""
    return ripple_current / (2.0 * math.pi * mains_frequency * capacitance)


def choke_input_capacitor_current(*, ripple_current: float) -> float:
    """RMS current of the capacitor behind the choke. [A]"""
    return ripple_current / math.sqrt(2.0)


def choke_input_bridge_winding_current(*, choke_current_rms: float) -> float:
    """RMS current of the winding before a bridge with a choke. [A]"""
    return choke_current_rms


def choke_input_half_winding_current(*, choke_current_rms: float) -> float:
    """RMS current of each half of a tapped winding before a choke. [A]"""
    return choke_current_rms / math.sqrt(2.0)


def choke_input_diode_angle(*, pulses: float) -> float:
    """Angle per mains period in which a diode conducts before a choke. [deg]"""
    return 360.0 / pulses


def choke_loss(*, choke_current_rms: float, series_resistance: float) -> float:
    """Heat in the choke's winding. [W]"""
    return choke_current_rms**2 * series_resistance


def _carries(values: Values) -> bool:
    """Whether the load alone asks for more than the least current of the choke."""
    least = minimum_choke_current(
        source_peak=values["source_peak"], mains_frequency=values["mains_frequency"], inductance=values["inductance"]
    )
    drawn = values["load_current"]
    if "bleeder" in values:
        names = ("source_peak", "diode_drop", "diodes_in_path", "series_resistance", "load_current", "bleeder")
        drawn += choke_input_mean_with_bleeder(**{name: values[name] for name in names}) / values["bleeder"]
    return drawn >= least


_ABOVE_LEAST = Validity(
    sentence="Valid above the least current for a choke-input filter.",
    condition=_carries,
    needs=("inductance", "mains_frequency"),
)
_MEASURED_CHOKE = Assumption(
    claim="takes the mean current of the choke by hand",
    relaxed=lambda givens, facts: facts["choke.current.mean"] + givens["ripple_current"],
    instead=lambda givens, facts: (
        f"here it is {ampere(facts['choke.current.mean'])}, not {ampere(givens['choke_current_mean'])}"
    ),
)
_MEASURED_RMS = Assumption(
    claim="takes the choke's RMS current by hand",
    relaxed=lambda givens, facts: facts["choke.current.rms"],
    instead=lambda givens, facts: (
        f"here it is {ampere(facts['choke.current.rms'])}, not {ampere(givens['choke_current_rms'])}"
    ),
)


def _fraction_of_gap(givens: Values, facts: Values) -> float:
    return facts["choke.current.mean"] - givens["ripple_current"]


FORMULAS = (
    Formula(
        id="choke-input-mean-of-current",
        topic="choke input",
        title="Mean behind a choke, current known",
        statement=r"V_{\mathrm{dc}} = \frac{2V_m}{\pi} - kV_D - I R_s",
        quantities=(SOURCE_PEAK, DIODE_DROP, DIODES_IN_PATH, _SERIES, LOAD_CURRENT, *_JUDGED),
        result=LOAD_MEAN,
        function=choke_input_mean_of_current,
        assumptions=(_CONTINUOUS, _WINDING),
        validity=_ABOVE_LEAST,
        source=ON_PAPER,
        # 2 x 15.708/pi is 10 V; less two drops of 0.7 V and 0.5 A through 4 ohm.
        example=Example(
            values={
                "source_peak": 5.0 * math.pi, "diode_drop": 0.7, "diodes_in_path": 2.0, "series_resistance": 4.0,
                "load_current": 0.5,
            },
            expected=6.6, tolerance=1e-9, source=ON_PAPER,
        ),
        readings=("load*.voltage.mean",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-input-mean-with-bleeder",
        topic="choke input",
        title="Mean behind a choke, load current known, beside a bleeder",
        statement=r"V_{\mathrm{dc}} = \left(\frac{2V_m}{\pi} - kV_D - I R_s\right)\frac{R_B}{R_B + R_s}",
        quantities=(SOURCE_PEAK, DIODE_DROP, DIODES_IN_PATH, _SERIES, LOAD_CURRENT, _BLEEDER, *_JUDGED),
        result=LOAD_MEAN,
        function=choke_input_mean_with_bleeder,
        assumptions=(_CONTINUOUS, _WINDING),
        validity=_ABOVE_LEAST,
        source=ON_PAPER,
        # As without a bleeder, then 96 ohm over 100 ohm.
        example=Example(
            values={
                "source_peak": 5.0 * math.pi, "diode_drop": 0.7, "diodes_in_path": 2.0, "series_resistance": 4.0,
                "load_current": 0.5, "bleeder": 96.0,
            },
            expected=6.336, tolerance=1e-9, source=ON_PAPER,
        ),
        readings=("load*.voltage.mean",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-current-with-bleeder",
        topic="choke input",
        title="Mean current of the choke: load and bleeder together",
        statement=r"I_{\mathrm{ch}} = I + \frac{V_{\mathrm{dc}}}{R_B}",
        quantities=(LOAD_CURRENT, LOAD_MEAN, _BLEEDER),
        result=_MEAN,
        function=choke_current_with_bleeder,
        assumptions=(
            Assumption(
                claim="takes the mean voltage by hand",
                relaxed=lambda givens, facts: (
                    givens["load_current"] + abs(facts["drawn.voltage.mean"]) / givens["bleeder"]
                ),
                instead=lambda givens, facts: f"here it is {abs(facts['drawn.voltage.mean']):.4g} V",
            ),
        ),
        validity=Validity(sentence="Exact: what the capacitor takes it gives back."),
        source=ON_PAPER,
        example=Example(
            values={"load_current": 0.5, "load_mean": 12.0, "bleeder": 120.0}, expected=0.6, tolerance=1e-9,
            source=ON_PAPER,
        ),
        kind="exact law",
        readings=("L*.current.mean",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-current-of-mean",
        topic="choke input",
        title="Mean current of the choke before a resistive load",
        statement=r"I_{\mathrm{ch}} = \frac{V_{\mathrm{dc}}}{R}",
        quantities=(LOAD_MEAN, LOAD_RESISTANCE),
        result=_MEAN,
        function=choke_current_of_mean,
        assumptions=(
            Assumption(
                claim="takes the mean voltage by hand",
                relaxed=lambda givens, facts: abs(facts["drawn.voltage.mean"]) / givens["load_resistance"],
                instead=lambda givens, facts: f"here it is {abs(facts['drawn.voltage.mean']):.4g} V",
            ),
        ),
        validity=Validity(sentence="Exact: what the capacitor takes it gives back."),
        source=ON_PAPER,
        example=Example(
            values={"load_mean": 12.0, "load_resistance": 24.0}, expected=0.5, tolerance=1e-9, source=ON_PAPER
        ),
        kind="exact law",
        readings=("L*.current.mean",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-ripple-current",
        topic="choke input",
        title="Peak of the ripple in the choke's current",
        statement=r"\hat I_r = \frac{2V_m}{3\pi\,\omega L}",
        quantities=(SOURCE_PEAK, MAINS_FREQUENCY, _INDUCTANCE),
        result=_RIPPLE,
        function=choke_ripple_current,
        assumptions=(_SECOND, _SMOOTH),
        validity=Validity(sentence="Valid for a full wave without gaps in the current; all harmonics give 0.8 % less."),
        source=ON_PAPER,
        # 2 x 15 pi/(3 pi) is 10 V, across 100 ohm of twice 50 ohm.
        example=Example(
            values={"source_peak": 15.0 * math.pi, "mains_frequency": 50.0, "inductance": 1.0 / math.pi},
            expected=0.1, tolerance=1e-9, source=ON_PAPER,
        ),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-current-peak",
        topic="choke input",
        title="Largest current of the choke",
        statement=r"\hat I_{\mathrm{ch}} = I_{\mathrm{ch}} + \hat I_r",
        quantities=(_MEAN, _RIPPLE),
        result=quantity("choke_current_peak", r"\hat I_{\mathrm{ch}}", "A", "largest current of the choke"),
        function=choke_current_peak,
        assumptions=(_MEASURED_CHOKE, _SECOND, _SMOOTH),
        validity=_UNBROKEN,
        source=ON_PAPER,
        example=Example(
            values={"choke_current_mean": 1.0, "ripple_current": 0.1}, expected=1.1, tolerance=1e-9, source=ON_PAPER
        ),
        readings=("L*.current.peak", "D*.current.peak", "secondary*.current.peak"),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-current-valley",
        topic="choke input",
        title="Least current of the choke",
        statement=r"I_{\mathrm{ch,min}} = I_{\mathrm{ch}} - \hat I_r",
        quantities=(_MEAN, _RIPPLE),
        result=quantity(
            "choke_current_valley", r"I_{\mathrm{ch,min}}", "A", "least current of the choke", "not negative"
        ),
        function=choke_current_valley,
        assumptions=(
            Assumption(
                claim=_MEASURED_CHOKE.claim, relaxed=_fraction_of_gap, instead=_MEASURED_CHOKE.instead
            ),
            _SECOND,
            _SMOOTH,
        ),
        validity=_UNBROKEN,
        source=ON_PAPER,
        example=Example(
            values={"choke_current_mean": 1.0, "ripple_current": 0.1}, expected=0.9, tolerance=1e-9, source=ON_PAPER
        ),
        readings=("L*.current.valley",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-current-rms",
        topic="choke input",
        title="RMS current of the choke",
        statement=r"I_{\mathrm{ch,rms}} = \sqrt{I_{\mathrm{ch}}^2 + \frac{\hat I_r^2}{2}}",
        quantities=(_MEAN, _RIPPLE),
        result=_RMS,
        function=choke_current_rms,
        assumptions=(
            Assumption(
                claim=_MEASURED_CHOKE.claim,
                relaxed=lambda givens, facts: choke_current_rms(
                    choke_current_mean=facts["choke.current.mean"], ripple_current=givens["ripple_current"]
                ),
                instead=_MEASURED_CHOKE.instead,
            ),
            _SECOND,
            _SMOOTH,
        ),
        validity=_UNBROKEN,
        source=ON_PAPER,
        # 12 and 5 of the triangle 5, 12, 13: a peak of 5 times the root of 2.
        example=Example(
            values={"choke_current_mean": 12.0, "ripple_current": 5.0 * math.sqrt(2.0)}, expected=13.0,
            tolerance=1e-9, source=ON_PAPER,
        ),
        readings=("L*.current.rms",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-input-ripple",
        topic="choke input",
        title="Ripple behind choke and capacitor, peak to peak",
        statement=r"V_r = \frac{\hat I_r}{\omega C}",
        quantities=(_RIPPLE, MAINS_FREQUENCY, _BEHIND),
        result=RIPPLE,
        function=choke_input_ripple,
        assumptions=(
            _SECOND,
            Assumption(claim="lets the whole ripple current pass the capacitor and none the load"),
            Assumption(claim="leaves out the capacitor's own resistance"),
        ),
        validity=Validity(sentence="Valid without gaps in the choke's current and far above the filter's resonance."),
        source=ON_PAPER,
        # 0.1 A through half of 1/(100 pi x 100 uF) = 15.9 ohm, twice for peak to peak.
        example=Example(
            values={"ripple_current": 0.1, "mains_frequency": 50.0, "capacitance": 1e-4},
            expected=3.183099, tolerance=1e-6, source=ON_PAPER,
        ),
        readings=("load*.voltage.ripple_peak_to_peak", "C*.voltage.ripple_peak_to_peak"),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-input-capacitor-current",
        topic="choke input",
        title="RMS current of the capacitor behind a choke",
        statement=r"I_C = \frac{\hat I_r}{\sqrt{2}}",
        quantities=(_RIPPLE,),
        result=quantity("capacitor_current_rms", "I_C", "A", "RMS current of the capacitor", "not negative"),
        function=choke_input_capacitor_current,
        assumptions=(
            _SECOND,
            Assumption(claim="lets the whole ripple current pass the capacitor and none the load"),
        ),
        validity=Validity(sentence="Valid without gaps in the choke's current, for a load that takes steady current."),
        source=ON_PAPER,
        example=Example(
            values={"ripple_current": math.sqrt(2.0)}, expected=1.0, tolerance=1e-9, source=ON_PAPER
        ),
        readings=("C*.current.rms",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-input-bridge-winding-current",
        topic="choke input",
        title="RMS current of the winding before a bridge with a choke",
        statement=r"I_{\mathrm{ac}} = I_{\mathrm{ch,rms}}",
        quantities=(_RMS,),
        result=quantity("winding_current_rms", r"I_{\mathrm{ac}}", "A", "RMS current of the winding"),
        function=choke_input_bridge_winding_current,
        assumptions=(_MEASURED_RMS, _CONTINUOUS),
        validity=Validity(sentence="Exact without gaps in the choke's current."),
        source=ON_PAPER,
        example=Example(values={"choke_current_rms": 1.5}, expected=1.5, tolerance=1e-9, source=ON_PAPER),
        kind="exact law",
        readings=("secondary.current.rms",),
        circuits=("bridge",),
    ),
    Formula(
        id="choke-input-half-winding-current",
        topic="choke input",
        title="RMS current of each half of a tapped winding before a choke",
        statement=r"I_{\mathrm{ac}} = \frac{I_{\mathrm{ch,rms}}}{\sqrt{2}}",
        quantities=(_RMS,),
        result=quantity("winding_current_rms", r"I_{\mathrm{ac}}", "A", "RMS current of each half winding"),
        function=choke_input_half_winding_current,
        assumptions=(
            Assumption(
                claim=_MEASURED_RMS.claim,
                relaxed=lambda givens, facts: facts["choke.current.rms"] / math.sqrt(2.0),
                instead=_MEASURED_RMS.instead,
            ),
            Assumption(claim="lets each half carry the whole current for half the time"),
        ),
        validity=Validity(sentence="Exact without gaps in the choke's current."),
        source=ON_PAPER,
        example=Example(
            values={"choke_current_rms": math.sqrt(2.0)}, expected=1.0, tolerance=1e-9, source=ON_PAPER
        ),
        kind="exact law",
        readings=("secondary_a.current.rms", "secondary_b.current.rms"),
        circuits=("centre-tap",),
    ),
    Formula(
        id="choke-input-diode-angle",
        topic="choke input",
        title="Conduction angle of a diode before a choke",
        statement=r"\alpha = \frac{360^\circ}{p}",
        quantities=(quantity("pulses", "p", "1", "pulses of the output per mains period"),),
        result=quantity("conduction_angle", r"\alpha", "deg", "angle per mains period in which the diode conducts"),
        function=choke_input_diode_angle,
        assumptions=(_CONTINUOUS,),
        validity=Validity(sentence="Exact without gaps in the choke's current."),
        source=ON_PAPER,
        example=Example(values={"pulses": 2.0}, expected=180.0, tolerance=1e-9, source=ON_PAPER),
        kind="exact law",
        readings=("D*.conduction.angle",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-loss",
        topic="choke input",
        title="Heat in the choke's winding",
        statement=r"P = I_{\mathrm{ch,rms}}^2 R_s",
        quantities=(
            _RMS, quantity("series_resistance", "R_s", "ohm", "resistance of the choke's winding", "not negative")
        ),
        result=quantity("power", "P", "W", "heat in the choke", "not negative"),
        function=choke_loss,
        assumptions=(
            Assumption(
                claim=_MEASURED_RMS.claim,
                relaxed=lambda givens, facts: facts["choke.current.rms"] ** 2 * givens["series_resistance"],
                instead=_MEASURED_RMS.instead,
            ),
            Assumption(claim="leaves out the losses in the core"),
        ),
        validity=Validity(sentence="Valid for the resistance as stated; a hot winding has more."),
        source=ON_PAPER,
        example=Example(
            values={"choke_current_rms": 2.0, "series_resistance": 1.5}, expected=6.0, tolerance=1e-9, source=ON_PAPER
        ),
        readings=("L*.power.mean",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
)
