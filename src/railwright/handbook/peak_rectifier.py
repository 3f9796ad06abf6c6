"""The short pulses in which diodes recharge the reservoir: conduction angle, mean and peak current."""

from __future__ import annotations

import math

from railwright.handbook.drawn import ampere, drawn_current
from railwright.handbook.formula import (
    CIRCUITS_ALL,
    CIRCUITS_FULL_WAVE,
    CIRCUITS_HALF_WAVE,
    CIRCUITS_SINGLE_PHASE,
    Assumption,
    Example,
    Formula,
    Validity,
    Values,
)
from railwright.handbook.reservoir import SMALL_RIPPLE
from railwright.handbook.sources import MEMORY, PETRA, bell, neamen, sedra
from railwright.handbook.symbols import (
    LOAD_CURRENT,
    LOAD_PEAK,
    LOAD_RESISTANCE,
    PULSES,
    SOME_RIPPLE,
    quantity,
)

ANGLE = quantity("conduction_angle", r"\Delta\theta", "deg", "angle from the start of conduction to the peak")
_CONDUCTING = quantity("diode_current_mean_conducting", r"I_{D,\mathrm{av}}", "A", "mean while conducting")
_PEAK = quantity("diode_current_peak", r"I_{D,\mathrm{max}}", "A", "peak of the diode current")
_LOAD_CURRENT = quantity("load_current", "I_L", "A", "mean load current")


def conduction_angle_small_ripple(*, load_peak: float, ripple_peak_to_peak: float) -> float:
    """Conduction angle of one pulse, sine near its peak taken for a parabola. [deg]"""
    return math.degrees(math.sqrt(2.0 * ripple_peak_to_peak / load_peak))


def conduction_angle_exact_start(*, load_peak: float, ripple_peak_to_peak: float) -> float:
    """Angle from the meeting of sine and valley to the peak. [deg] Raises ValueError for a ripple above the peak."""
    if ripple_peak_to_peak > load_peak:
        raise ValueError(
            f"a ripple of {ripple_peak_to_peak:g} V can't come from a peak of {load_peak:g} V. Check both."
        )
    return math.degrees(math.acos(1.0 - ripple_peak_to_peak / load_peak))


def charging_start_angle(*, load_peak: float, load_valley: float) -> float:
    """Angle after the zero crossing at which charging starts. [deg] Raises ValueError for a valley above the peak."""
    if load_valley > load_peak:
        raise ValueError(f"a valley of {load_valley:g} V above a peak of {load_peak:g} V can't be. Exchange the two?")
    return math.degrees(math.asin(load_valley / load_peak))


def rectifier_conduction_angle(*, load_peak: float, ripple_peak_to_peak: float, pulses: float) -> float:
    """Angle per mains period with any diode on, small ripple. [deg]"""
    return pulses * conduction_angle_small_ripple(load_peak=load_peak, ripple_peak_to_peak=ripple_peak_to_peak)


def _mean(load_current: float, pulses: float, load_peak: float, ripple: float) -> float:
    return load_current * (1.0 + math.pi / pulses * math.sqrt(2.0 * load_peak / ripple))


def _peak(load_current: float, pulses: float, load_peak: float, ripple: float) -> float:
    return load_current * (1.0 + 2.0 * math.pi / pulses * math.sqrt(2.0 * load_peak / ripple))


def half_wave_diode_mean_conducting(*, load_current: float, load_peak: float, ripple_peak_to_peak: float) -> float:
    """Mean diode current while it conducts, half-wave. [A]"""
    return _mean(load_current, 1.0, load_peak, ripple_peak_to_peak)


def full_wave_diode_mean_conducting(*, load_current: float, load_peak: float, ripple_peak_to_peak: float) -> float:
    """Mean diode current while it conducts, full-wave. [A]"""
    return _mean(load_current, 2.0, load_peak, ripple_peak_to_peak)


def half_wave_diode_peak(*, load_current: float, load_peak: float, ripple_peak_to_peak: float) -> float:
    """Peak diode current, half-wave. [A]"""
    return _peak(load_current, 1.0, load_peak, ripple_peak_to_peak)


def full_wave_diode_peak(*, load_current: float, load_peak: float, ripple_peak_to_peak: float) -> float:
    """Peak diode current, full-wave. [A]"""
    return _peak(load_current, 2.0, load_peak, ripple_peak_to_peak)


def diode_mean_small_ripple(*, load_peak: float, load_resistance: float, ripple_peak_to_peak: float) -> float:
    """Mean diode current over the period from the pulse formulas, full-wave. [A]"""
    share = math.sqrt(2.0 * ripple_peak_to_peak / load_peak) / (2.0 * math.pi)
    return share * _mean(load_peak / load_resistance, 2.0, load_peak, ripple_peak_to_peak)


def repetitive_peak_rectangular(*, load_current: float, discharge_time: float, conduction_time: float) -> float:
    """Charging current taken for a rectangular pulse. [A]"""
    return load_current * (discharge_time + conduction_time) / conduction_time


def surge_limiting_resistance(*, source_peak: float, surge_current: float) -> float:
    """Resistance that keeps the first charging pulse within a diode's surge rating. [ohm]"""
    return source_peak / surge_current


def winding_current_by_rule(*, load_current: float, winding_current_factor: float) -> float:
    """RMS winding current from a rating rule. [A]"""
    return winding_current_factor * load_current


def _angle_of_real_ripple(givens: Values, facts: Values) -> float:
    angle = conduction_angle_small_ripple(
        load_peak=abs(facts["reservoir.voltage.peak"]),
        ripple_peak_to_peak=facts["reservoir.voltage.ripple_peak_to_peak"],
    )
    return angle * givens.get("pulses", 1.0)


def _angle_of_real_sine(givens: Values, facts: Values) -> float:
    angle = conduction_angle_exact_start(
        load_peak=abs(facts["reservoir.voltage.peak"]),
        ripple_peak_to_peak=facts["reservoir.voltage.ripple_peak_to_peak"],
    )
    return angle * givens.get("pulses", 1.0)


def _real_ripple_words(givens: Values, facts: Values) -> str:
    return (
        f"here it is {facts['reservoir.voltage.ripple_peak_to_peak']:.3g} V, "
        f"not {givens['ripple_peak_to_peak']:.3g} V"
    )


_RIPPLE_BY_HAND = Assumption(
    claim="takes the ripple by hand", relaxed=_angle_of_real_ripple, instead=_real_ripple_words
)
_PARABOLA = Assumption(
    claim="takes the sine near its peak for a parabola",
    relaxed=_angle_of_real_sine,
    instead=lambda givens, facts: "here it is a sine",
)
_STOPS_AT_PEAK = Assumption(
    claim="ends the charging at the very peak and leaves out the resistance of winding and diodes, which stretches it"
)
_STIFF_TRIANGLE = Assumption(
    claim="takes a stiff source, whose charging current jumps to its peak and falls in a straight line"
)


def _pulse_of_real_ripple(pulses: float, peak: bool) -> Assumption:
    def relaxed(givens: Values, facts: Values) -> float:
        law = _peak if peak else _mean
        return law(
            drawn_current(facts),
            pulses,
            abs(facts["reservoir.voltage.peak"]),
            facts["reservoir.voltage.ripple_peak_to_peak"],
        )

    return Assumption(
        claim="takes load current and ripple by hand", relaxed=relaxed, instead=_pulse_words
    )


#: Two currents that print alike. [-]
_SAME_CURRENT = 5e-4


def _pulse_words(givens: Values, facts: Values) -> str:
    current, ripple = drawn_current(facts), facts["reservoir.voltage.ripple_peak_to_peak"]
    if math.isclose(current, givens["load_current"], rel_tol=_SAME_CURRENT):
        return f"the current is the same here, the ripple {ripple:.3g} V, not {givens['ripple_peak_to_peak']:.3g} V"
    return (
        f"here they are {ampere(current)} and {ripple:.3g} V, not {ampere(givens['load_current'])} and "
        f"{givens['ripple_peak_to_peak']:.3g} V"
    )


_SMALL = Validity(
    sentence="Valid for a stiff source and a ripple below a tenth of the peak.",
    condition=lambda values: values["ripple_peak_to_peak"] <= SMALL_RIPPLE * values["load_peak"],
)
_SEDRA = sedra("Ex. 3.9, p. 181")
_NEAMEN = neamen("Ex. 2.3, p. 61")
_PULSE_QUANTITIES = (_LOAD_CURRENT, LOAD_PEAK, SOME_RIPPLE)

FORMULAS = (
    Formula(
        id="conduction-angle-small-ripple",
        topic="peak rectifier",
        title="Conduction angle of one charging pulse",
        statement=r"\Delta\theta = \sqrt{\frac{2V_r}{V_p}}\ \mathrm{rad}",
        quantities=(LOAD_PEAK, SOME_RIPPLE),
        result=ANGLE,
        function=conduction_angle_small_ripple,
        assumptions=(_RIPPLE_BY_HAND, _PARABOLA, _STOPS_AT_PEAK),
        validity=_SMALL,
        source=_SEDRA,
        example=Example(
            values={"load_peak": 100.0, "ripple_peak_to_peak": 2.0},
            expected=0.2 * 180.0 / math.pi,
            tolerance=2e-3,
            source=_SEDRA,
        ),
        readings=("D*.conduction.angle",),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="rectifier-conduction-angle",
        topic="peak rectifier",
        title="Conduction angle of the rectifier, all pulses of a period",
        statement=r"p\,\Delta\theta = p\sqrt{\frac{2V_r}{V_p}}\ \mathrm{rad}",
        quantities=(LOAD_PEAK, SOME_RIPPLE, PULSES),
        result=quantity("conduction_angle", r"p\,\Delta\theta", "deg", "angle per mains period with any diode on"),
        function=rectifier_conduction_angle,
        assumptions=(_RIPPLE_BY_HAND, _PARABOLA, _STOPS_AT_PEAK),
        validity=_SMALL,
        source=_SEDRA,
        example=Example(
            values={"load_peak": 100.0, "ripple_peak_to_peak": 2.0, "pulses": 2.0},
            expected=2.0 * 0.2 * 180.0 / math.pi,
            tolerance=2e-3,
            source=_SEDRA,
        ),
        readings=("rectifier.conduction.angle",),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="conduction-angle-exact-start",
        topic="peak rectifier",
        title="Angle from the meeting of sine and valley to the peak",
        statement=r"\Delta\theta = \arccos\left(1 - \frac{V_r}{V_p}\right)",
        quantities=(LOAD_PEAK, SOME_RIPPLE),
        result=ANGLE,
        function=conduction_angle_exact_start,
        assumptions=(_RIPPLE_BY_HAND, _STOPS_AT_PEAK),
        validity=Validity(sentence="Valid for a stiff source."),
        source=MEMORY,
        # A valley at half the peak is met 60 degrees before it.
        example=Example(
            values={"load_peak": 10.0, "ripple_peak_to_peak": 5.0}, expected=60.0, tolerance=1e-9, source=MEMORY
        ),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="charging-start-angle",
        topic="peak rectifier",
        title="Angle at which charging starts",
        statement=r"\theta_1 = \arcsin\frac{V_{\mathrm{min}}}{V_p}",
        quantities=(
            LOAD_PEAK, quantity("load_valley", r"V_{\mathrm{min}}", "V", "lowest voltage across the capacitor")
        ),
        result=quantity("start_angle", r"\theta_1", "deg", "angle after the zero crossing"),
        function=charging_start_angle,
        assumptions=(
            Assumption(claim="takes peak and valley by hand"),
            Assumption(claim="leaves out the diode drops in the angle"),
        ),
        validity=Validity(sentence="Valid for a stiff source."),
        source=bell("Ex. 3.5, p. 85"),
        example=Example(
            values={"load_peak": 21.0, "load_valley": 19.0},
            expected=65.0,
            tolerance=7.9e-3,
            source=bell("Ex. 3.5, p. 85"),
        ),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="half-wave-diode-mean-conducting",
        topic="peak rectifier",
        title="Mean diode current while it conducts, half-wave",
        statement=r"I_{D,\mathrm{av}} = I_L\left(1 + \pi\sqrt{\frac{2V_p}{V_r}}\right)",
        quantities=_PULSE_QUANTITIES,
        result=_CONDUCTING,
        function=half_wave_diode_mean_conducting,
        assumptions=(_pulse_of_real_ripple(1.0, peak=False), _STIFF_TRIANGLE),
        validity=_SMALL,
        source=_SEDRA,
        example=Example(
            values={"load_current": 0.01, "load_peak": 100.0, "ripple_peak_to_peak": 2.0},
            expected=0.324,
            tolerance=2e-3,
            source=_SEDRA,
        ),
        readings=("D*.current.mean_conducting",),
        circuits=CIRCUITS_HALF_WAVE,
    ),
    Formula(
        id="full-wave-diode-mean-conducting",
        topic="peak rectifier",
        title="Mean diode current while it conducts, full-wave",
        statement=r"I_{D,\mathrm{av}} = I_L\left(1 + \pi\sqrt{\frac{V_p}{2V_r}}\right)",
        quantities=_PULSE_QUANTITIES,
        result=_CONDUCTING,
        function=full_wave_diode_mean_conducting,
        assumptions=(_pulse_of_real_ripple(2.0, peak=False), _STIFF_TRIANGLE),
        validity=_SMALL,
        source=sedra("end-of-chapter problem, answers from memory"),
        example=Example(
            values={"load_current": 0.1, "load_peak": 16.0, "ripple_peak_to_peak": 2.0},
            expected=0.728,
            tolerance=7.1e-4,
            source=sedra("end-of-chapter problem, answers from memory"),
        ),
        readings=("D*.current.mean_conducting",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="half-wave-diode-peak",
        topic="peak rectifier",
        title="Peak diode current, half-wave",
        statement=r"I_{D,\mathrm{max}} = I_L\left(1 + 2\pi\sqrt{\frac{2V_p}{V_r}}\right)",
        quantities=_PULSE_QUANTITIES,
        result=_PEAK,
        function=half_wave_diode_peak,
        assumptions=(_pulse_of_real_ripple(1.0, peak=True), _STIFF_TRIANGLE),
        validity=_SMALL,
        source=_SEDRA,
        example=Example(
            values={"load_current": 0.01, "load_peak": 100.0, "ripple_peak_to_peak": 2.0},
            expected=0.638,
            tolerance=2e-3,
            source=_SEDRA,
        ),
        readings=("D*.current.peak",),
        circuits=CIRCUITS_HALF_WAVE,
    ),
    Formula(
        id="full-wave-diode-peak",
        topic="peak rectifier",
        title="Peak diode current, full-wave",
        statement=r"I_{D,\mathrm{max}} = I_L\left(1 + 2\pi\sqrt{\frac{V_p}{2V_r}}\right)",
        quantities=_PULSE_QUANTITIES,
        result=_PEAK,
        function=full_wave_diode_peak,
        assumptions=(_pulse_of_real_ripple(2.0, peak=True), _STIFF_TRIANGLE),
        validity=_SMALL,
        source=_NEAMEN,
        example=Example(
            values={"load_current": 0.12, "load_peak": 12.0, "ripple_peak_to_peak": 0.6},
            expected=2.5,
            tolerance=2.1e-3,
            source=_NEAMEN,
        ),
        readings=("D*.current.peak",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="diode-mean-small-ripple",
        topic="peak rectifier",
        title="Mean diode current over the period from the pulse formulas, full-wave",
        statement=r"I_{D,\mathrm{mean}} = \frac{1}{2\pi}\sqrt{\frac{2V_r}{V_p}}\,\frac{V_p}{R}"
        r"\left(1 + \pi\sqrt{\frac{V_p}{2V_r}}\right)",
        quantities=(LOAD_PEAK, LOAD_RESISTANCE, SOME_RIPPLE),
        result=quantity("diode_current_mean", r"I_{D,\mathrm{mean}}", "A", "mean over the whole period"),
        function=diode_mean_small_ripple,
        assumptions=(_STIFF_TRIANGLE,),
        validity=Validity(sentence="Valid for very small ripple only: charge balance asks for half the load's."),
        source=_NEAMEN,
        example=Example(
            values={"load_peak": 12.0, "load_resistance": 100.0, "ripple_peak_to_peak": 0.6},
            expected=0.066,
            tolerance=7.8e-4,
            source=_NEAMEN,
        ),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="repetitive-peak-rectangular",
        topic="peak rectifier",
        title="Repetitive diode current as a rectangular pulse",
        statement=r"I_{FRM} = I_L\,\frac{t_1 + t_2}{t_2}",
        quantities=(
            _LOAD_CURRENT,
            quantity("discharge_time", "t_1", "s", "time of the discharge", "not negative"),
            quantity("conduction_time", "t_2", "s", "time of the charging"),
        ),
        result=quantity("repetitive_peak", "I_{FRM}", "A", "height of the rectangle"),
        function=repetitive_peak_rectangular,
        assumptions=(Assumption(claim="takes the pulse for a rectangle, about half as high as the real peak"),),
        validity=Validity(sentence="Valid as the mean during conduction."),
        source=bell("Ex. 3.10, p. 93"),
        example=Example(
            values={"load_current": 0.04, "discharge_time": 0.00719, "conduction_time": 0.00116},
            expected=0.288,
            tolerance=1.8e-3,
            source=bell("Ex. 3.10, p. 93"),
        ),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="surge-limiting-resistance",
        topic="peak rectifier",
        title="Resistance that limits the first surge",
        statement=r"R_s = \frac{V_m}{I_{FSM}}",
        quantities=(
            quantity("source_peak", "V_m", "V", "peak of the source"),
            quantity("surge_current", "I_{FSM}", "A", "the diode's surge rating"),
        ),
        result=quantity("series_resistance", "R_s", "ohm", "whole resistance in the charging path"),
        function=surge_limiting_resistance,
        assumptions=(Assumption(claim="switches on at the peak with the capacitor empty"),),
        validity=Validity(sentence="Valid for the worst moment of switching on."),
        source=bell("Ex. 3.10, p. 93"),
        example=Example(
            values={"source_peak": 22.4, "surge_current": 30.0},
            expected=0.747,
            tolerance=7e-4,
            source=bell("Ex. 3.10, p. 93"),
        ),
        circuits=CIRCUITS_ALL,
    ),
    Formula(
        id="winding-current-by-rule",
        topic="transformer rating",
        title="Winding current from a rating rule",
        statement=r"I_{\mathrm{ac}} = k_w I_{\mathrm{dc}}",
        quantities=(
            LOAD_CURRENT,
            quantity(
                "winding_current_factor", "k_w", "1", "of the rule: 1.6 to 1.8 bridge, 3.6 half-wave, with a reservoir"
            ),
        ),
        result=quantity("winding_current_rms", r"I_{\mathrm{ac}}", "A", "RMS current of the winding", "not negative"),
        function=winding_current_by_rule,
        assumptions=(
            Assumption(claim="stands for an average transformer, though a stiff one takes sharper pulses"),
        ),
        validity=Validity(sentence="Valid for source resistances of roughly 5 to 10 % of the load."),
        source=PETRA,
        example=Example(
            values={"load_current": 1.0, "winding_current_factor": 1.8}, expected=1.8, tolerance=1e-3, source=PETRA
        ),
        kind="rule",
        readings=("secondary*.current.rms",),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
)
