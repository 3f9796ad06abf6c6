"""The reservoir capacitor: how far it discharges between two peaks, and the mean that is left."""

from __future__ import annotations

import math

from railwright.handbook.formula import (
    CIRCUITS_ALL,
    CIRCUITS_SINGLE_PHASE,
    CIRCUITS_THREE_PHASE,
    Assumption,
    Example,
    Formula,
    Validity,
    Values,
)
from railwright.handbook.sources import (
    AMETHERM,
    CHATTOPADHYAY,
    DEFINITION,
    JACOB,
    NAVY,
    ON_PAPER,
    PRACTICE,
    SALIVAHANAN,
    STOREY,
    WIKIPEDIA,
    bapat,
    bell,
    boylestad,
    floyd,
    grob,
    kakani,
    malvino,
)
from railwright.handbook.symbols import (
    CAPACITANCE,
    DIODE_DROP,
    DIODES_IN_PATH,
    DISCHARGE_TIME,
    LOAD_CURRENT,
    LOAD_MEAN,
    LOAD_PEAK,
    LOAD_RESISTANCE,
    OPTIONAL_PEAK,
    RECHARGE_FREQUENCY,
    RIPPLE,
    RIPPLE_RMS,
    SOURCE_PEAK,
    quantity,
)

#: Ripple over peak up to which the straight line is called good. [-] common practice, no source
SMALL_RIPPLE = 0.1

_CIRCUITS = (*CIRCUITS_SINGLE_PHASE, *CIRCUITS_THREE_PHASE)
_RIPPLE_READINGS = (
    "load*.voltage.ripple_peak_to_peak",
    "C*.voltage.ripple_peak_to_peak",
    "U*.input.voltage.ripple_peak_to_peak",
)
_RIPPLE_FACTOR = quantity("ripple_factor", r"\gamma", "1", "RMS of the ripple over the mean")
_WANTED = quantity("ripple_peak_to_peak", "V_r", "V", "wanted ripple, peak to peak")


def load_current_of_power(*, power: float, load_peak: float) -> float:
    """Current that a load of constant power draws at the peak. [A]"""
    return power / load_peak


def ripple_straight_line(*, load_current: float, recharge_frequency: float, capacitance: float) -> float:
    """Peak-to-peak ripple, straight-line discharge over the whole time between two peaks. [V]"""
    return load_current / (recharge_frequency * capacitance)


def capacitance_for_ripple(
    *, load_current: float, recharge_frequency: float, ripple_peak_to_peak: float
) -> float:
    """Capacitance for a wanted ripple, straight-line discharge. [F]"""
    return load_current / (recharge_frequency * ripple_peak_to_peak)


def ripple_of_discharge_time(*, load_current: float, discharge_time: float, capacitance: float) -> float:
    """Ripple after a straight-line discharge of a given time. [V]"""
    return load_current * discharge_time / capacitance


def capacitance_for_discharge_time(
    *, load_current: float, discharge_time: float, ripple_peak_to_peak: float
) -> float:
    """Capacitance for a wanted ripple, when the discharge time is known. [F]"""
    return load_current * discharge_time / ripple_peak_to_peak


def ripple_trade(*, load_peak: float, load_resistance: float, capacitance: float, discharge_time: float) -> float:
    """Peak-to-peak ripple, straight line with the current of the mid voltage. [V]"""
    return 2.0 * load_peak / (1.0 + 2.0 * load_resistance * capacitance / discharge_time)


def capacitance_for_ripple_trade(
    *, load_peak: float, load_resistance: float, ripple_peak_to_peak: float, discharge_time: float
) -> float:
    """Capacitance for a wanted ripple, current of the mid voltage. [F] Raises ValueError for a ripple of 2 V_p or more.
    """
    if ripple_peak_to_peak >= 2.0 * load_peak:
        raise ValueError(
            f"a ripple of {ripple_peak_to_peak:g} V can't come from a peak of {load_peak:g} V. Ask for less ripple."
        )
    return discharge_time / (2.0 * load_resistance) * (2.0 * load_peak / ripple_peak_to_peak - 1.0)


def ripple_exponential(
    *, load_peak: float, load_resistance: float, capacitance: float, discharge_time: float
) -> float:
    """Peak-to-peak ripple, exponential discharge from the peak. [V]"""
    return -load_peak * math.expm1(-discharge_time / (load_resistance * capacitance))


def capacitance_for_ripple_exponential(
    *, load_peak: float, load_resistance: float, ripple_peak_to_peak: float, discharge_time: float
) -> float:
    """Capacitance for a wanted ripple, exponential discharge. [F] Raises ValueError for a ripple of V_p or more."""
    if ripple_peak_to_peak >= load_peak:
        raise ValueError(
            f"a ripple of {ripple_peak_to_peak:g} V can't come from a peak of {load_peak:g} V. Ask for less ripple."
        )
    return -discharge_time / (load_resistance * math.log1p(-ripple_peak_to_peak / load_peak))


def load_mean_less_half_ripple(*, load_peak: float, ripple_peak_to_peak: float) -> float:
    """Mean half-way between peak and valley. [V]"""
    return load_peak - ripple_peak_to_peak / 2.0


def load_valley_less_ripple(*, load_peak: float, ripple_peak_to_peak: float) -> float:
    """Lowest voltage: peak less ripple. [V]"""
    return load_peak - ripple_peak_to_peak


def load_mean_of_time_constant(
    *, load_peak: float, load_resistance: float, capacitance: float, recharge_frequency: float
) -> float:
    """Mean with the ripple of the mean current taken off. [V]"""
    return load_peak / (1.0 + 1.0 / (2.0 * recharge_frequency * load_resistance * capacitance))


def reservoir_regulation(*, load_resistance: float, capacitance: float, recharge_frequency: float) -> float:
    """Regulation of a reservoir supply, no load to full load over full load. [1]"""
    return 1.0 / (2.0 * recharge_frequency * load_resistance * capacitance)


def reservoir_line_regulation(
    *, source_peak: float, diode_drop: float, diodes_in_path: float, mains_high: float, mains_low: float
) -> float:
    """Line regulation of a reservoir supply with a resistive load, over the low-line output. [1]

    Raises ValueError where the drops eat the low peak.
    """
    low = mains_low * source_peak - diodes_in_path * diode_drop
    if low <= 0.0:
        raise ValueError(
            f"at the lowest mains the drops of {diodes_in_path * diode_drop:g} V eat the whole peak. "
            "Check the winding voltage."
        )
    return (mains_high - mains_low) * source_peak / low


def ripple_rms_sawtooth(*, ripple_peak_to_peak: float) -> float:
    """RMS of a triangular ripple. [V]"""
    return ripple_peak_to_peak / (2.0 * math.sqrt(3.0))


def ripple_rms_as_sine(*, ripple_peak_to_peak: float) -> float:
    """RMS of a ripple taken for a sine. [V]"""
    return ripple_peak_to_peak / (2.0 * math.sqrt(2.0))


def ripple_factor_sawtooth(*, load_resistance: float, capacitance: float, recharge_frequency: float) -> float:
    """Ripple factor, RMS over mean, of a triangular ripple. [1]"""
    return 1.0 / (2.0 * math.sqrt(3.0) * recharge_frequency * capacitance * load_resistance)


def capacitance_for_ripple_factor(
    *, load_resistance: float, recharge_frequency: float, ripple_factor: float
) -> float:
    """Capacitance for a wanted ripple factor. [F]"""
    return 1.0 / (2.0 * math.sqrt(3.0) * recharge_frequency * ripple_factor * load_resistance)


def ripple_factor(*, ripple_rms: float, load_mean: float) -> float:
    """RMS of the ripple over the mean. [1]"""
    return ripple_rms / load_mean


def ripple_ratio(*, ripple_peak_to_peak: float, load_mean: float) -> float:
    """Peak-to-peak ripple over the mean; some texts call this the ripple factor. [1]"""
    return ripple_peak_to_peak / load_mean


def capacitor_ripple_current(*, charging_current_rms: float, load_current: float) -> float:
    """RMS current of the reservoir capacitor. [A] Raises ValueError where the RMS is below the mean."""
    if charging_current_rms < load_current:
        raise ValueError(
            f"a charging current of {charging_current_rms:g} A RMS below its mean of {load_current:g} A can't be. "
            "Check both."
        )
    return math.sqrt((charging_current_rms - load_current) * (charging_current_rms + load_current))


def time_constant(*, load_resistance: float, capacitance: float) -> float:
    """Time constant of the discharge. [s]"""
    return load_resistance * capacitance


def voltage_after_discharge(
    *, initial_voltage: float, elapsed_time: float, load_resistance: float, capacitance: float
) -> float:
    """Voltage left after a discharge through a resistor. [V]"""
    return initial_voltage * math.exp(-elapsed_time / (load_resistance * capacitance))


def discharge_time(
    *, initial_voltage: float, final_voltage: float, load_resistance: float, capacitance: float
) -> float:
    """Time to discharge from one voltage to another. [s] Raises ValueError where the voltage would have to rise."""
    if final_voltage > initial_voltage:
        raise ValueError(
            f"a discharge can't lead from {initial_voltage:g} V up to {final_voltage:g} V. Exchange the two?"
        )
    return load_resistance * capacitance * math.log(initial_voltage / final_voltage)


def bleeder_power(*, initial_voltage: float, load_resistance: float) -> float:
    """Power in a bleeder resistor at a steady voltage. [W]"""
    return initial_voltage**2 / load_resistance


def stored_energy(*, initial_voltage: float, capacitance: float) -> float:
    """Energy stored in a capacitor. [J]"""
    return 0.5 * capacitance * initial_voltage**2


# What is lifted, in the order of the books' ripple formulas.


def _fall(start: float, time: float, givens: Values, facts: Values) -> float:
    """Fall of the capacitor voltage from `start`: exponential into a resistor, straight at constant current. [V]"""
    both = {**facts, **givens}
    if "load_resistance" in both:
        return -start * math.expm1(-time / (both["load_resistance"] * both["capacitance"]))
    return both["load_current"] * time / both["capacitance"]


def _full_time(givens: Values, facts: Values) -> float:
    if "discharge_time" in givens:
        return givens["discharge_time"]
    return 1.0 / givens["recharge_frequency"] if "recharge_frequency" in givens else facts["discharge_time"]


def _blocked_share(facts: Values) -> float:
    """Share of the time in which no diode of this capacitor conducts."""
    return 1.0 - facts["charging.angle"] / 360.0


def _bending(givens: Values, facts: Values) -> float:
    start = givens["load_peak"] if "load_peak" in givens else facts["load_peak"]
    return _fall(start, _full_time(givens, facts), givens, facts)


def _cut_short(givens: Values, facts: Values) -> float:
    start = givens["load_peak"] if "load_peak" in givens else facts["load_peak"]
    return _fall(start, _full_time(givens, facts) * _blocked_share(facts), givens, facts)


def _from_the_real_peak(givens: Values, facts: Values) -> float:
    start = abs(facts["here.voltage.peak"])
    return _fall(start, _full_time(givens, facts) * _blocked_share(facts), givens, facts)


def _bending_words(givens: Values, facts: Values) -> str:
    if "load_resistance" not in facts:
        raise KeyError("load_resistance")
    return "here the current falls with the voltage"


#: Names of the time from one peak to the next, by its share of a mains period.
_SPANS = {1.0: "period", 0.5: "half period"}


def _cut_short_words(givens: Values, facts: Values) -> str:
    share = _full_time(givens, facts) * facts["mains_frequency"]
    span = next((name for of, name in _SPANS.items() if math.isclose(share, of)), "time between peaks")
    return f"here the diodes conduct again after {100.0 * _blocked_share(facts):.0f} % of that {span}"


def _real_peak_words(givens: Values, facts: Values) -> str:
    by_hand = givens["load_peak"] if "load_peak" in givens else facts["load_peak"]
    return f"here the peak is {abs(facts['here.voltage.peak']):.4g} V, not {by_hand:.4g} V"


_STRAIGHT = Assumption(
    claim="keeps the discharge current at its value at the peak", relaxed=_bending, instead=_bending_words
)
_MID_CURRENT = Assumption(
    claim="discharges in a straight line with the current of the mid voltage",
    relaxed=_bending,
    instead=_bending_words,
)
_WHOLE_TIME = Assumption(
    claim="lets the capacitor discharge for the whole time from one peak to the next",
    relaxed=_cut_short,
    instead=_cut_short_words,
)
_IDEAL_PEAK = Assumption(
    claim="starts the discharge from the peak that a source without resistance would give",
    relaxed=_from_the_real_peak,
    instead=_real_peak_words,
)
_AT_THE_PEAK = Assumption(
    claim="ends the charging at the very peak and puts no resistance in series with the capacitor"
)
_RIPPLE_ASSUMPTIONS = (_WHOLE_TIME, _IDEAL_PEAK, _AT_THE_PEAK)


def _time_constant_is_long(values: Values) -> bool:
    if "discharge_time" in values:
        time = values["discharge_time"]
    else:
        time = 1.0 / values["recharge_frequency"]
    return time <= SMALL_RIPPLE * values["load_resistance"] * values["capacitance"]


_SMALL = Validity(
    sentence="Valid while the ripple is below a tenth of the peak; beyond that it is an upper bound.",
    condition=lambda values: (
        values["load_current"] / (values["recharge_frequency"] * values["capacitance"])
        <= SMALL_RIPPLE * values["load_peak"]
    ),
    needs=("load_peak",),
)
_SMALL_RC = Validity(
    sentence="Valid while the time constant R C is at least ten times the time between two peaks.",
    condition=_time_constant_is_long,
)
_SMALL_WANTED = Validity(
    sentence="Valid while the ripple is below a tenth of the peak.",
    condition=lambda values: values["ripple_peak_to_peak"] <= SMALL_RIPPLE * values["load_peak"],
    needs=("load_peak",),
)


def _mean_with_real_peak(givens: Values, facts: Values) -> float:
    return abs(facts["here.voltage.peak"]) - givens["ripple_peak_to_peak"] / 2.0


def _mean_with_real_ripple(givens: Values, facts: Values) -> float:
    return abs(facts["here.voltage.peak"]) - facts["here.voltage.ripple_peak_to_peak"] / 2.0


def _valley_with_real_ripple(givens: Values, facts: Values) -> float:
    return abs(facts["here.voltage.peak"]) - facts["here.voltage.ripple_peak_to_peak"]


def _real_ripple_words(givens: Values, facts: Values) -> str:
    by_hand = f", not {givens['ripple_peak_to_peak']:.3g} V" if "ripple_peak_to_peak" in givens else ""
    return f"here it is {facts['here.voltage.ripple_peak_to_peak']:.3g} V{by_hand}"


_PEAK_BY_HAND = Assumption(
    claim="takes the peak that a source without resistance would give",
    relaxed=_mean_with_real_peak,
    instead=_real_peak_words,
)
_RIPPLE_BY_HAND = Assumption(
    claim="takes the ripple by hand",
    relaxed=_mean_with_real_ripple,
    instead=_real_ripple_words,
)
_HALF_WAY = Assumption(claim="puts the mean half-way between peak and valley")


def _mean_of_time_constant_with_real_peak(givens: Values, facts: Values) -> float:
    return load_mean_of_time_constant(
        load_peak=abs(facts["here.voltage.peak"]),
        load_resistance=givens["load_resistance"],
        capacitance=givens["capacitance"],
        recharge_frequency=givens["recharge_frequency"],
    )


_SAWTOOTH = Assumption(claim="takes the ripple for a triangle")
_SAWTOOTH_OF_REAL_RIPPLE = Assumption(
    claim="takes the ripple, peak to peak, by hand",
    relaxed=lambda givens, facts: facts["here.voltage.ripple_peak_to_peak"] / (2.0 * math.sqrt(3.0)),
    instead=_real_ripple_words,
)
_FACTOR_OF_REAL_RIPPLE = Assumption(
    claim="lets the capacitor discharge in a straight line for the whole time from one peak to the next",
    relaxed=lambda givens, facts: (
        facts["here.voltage.ripple_peak_to_peak"] / (2.0 * math.sqrt(3.0)) / abs(facts["here.voltage.mean"])
    ),
    instead=lambda givens, facts: (
        f"here ripple over mean is {facts['here.voltage.ripple_peak_to_peak'] / abs(facts['here.voltage.mean']):.3g}"
    ),
)

FORMULAS = (
    Formula(
        id="load-current-of-power",
        topic="reservoir",
        title="Current of a load that takes constant power",
        statement=r"I = \frac{P}{V_p}",
        quantities=(quantity("power", "P", "W", "power that the load takes", "not negative"), LOAD_PEAK),
        result=LOAD_CURRENT,
        function=load_current_of_power,
        assumptions=(Assumption(claim="takes the voltage as steady at its peak"),),
        validity=Validity(sentence="Valid while the ripple is small beside the peak."),
        source=DEFINITION,
        example=Example(values={"power": 6.0, "load_peak": 12.0}, expected=0.5, tolerance=1e-9, source=ON_PAPER),
    ),
    Formula(
        id="ripple-straight-line",
        topic="reservoir",
        title="Ripple, straight-line discharge",
        statement=r"V_r = \frac{I}{f_r C}",
        quantities=(LOAD_CURRENT, RECHARGE_FREQUENCY, CAPACITANCE, OPTIONAL_PEAK),
        result=RIPPLE,
        function=ripple_straight_line,
        assumptions=(_STRAIGHT, *_RIPPLE_ASSUMPTIONS),
        validity=_SMALL,
        source=malvino("Ex. 4-6, p. 108"),
        example=Example(
            values={"load_current": 0.0198, "recharge_frequency": 120.0, "capacitance": 4700e-6},
            expected=0.035,
            tolerance=1.5e-2,
            source=malvino("Ex. 4-9, p. 111"),
        ),
        readings=_RIPPLE_READINGS,
        circuits=CIRCUITS_ALL,
    ),
    Formula(
        id="capacitance-for-ripple",
        topic="reservoir",
        title="Capacitor for a wanted ripple",
        statement=r"C = \frac{I}{f_r V_r}",
        quantities=(LOAD_CURRENT, RECHARGE_FREQUENCY, _WANTED, OPTIONAL_PEAK),
        result=CAPACITANCE,
        function=capacitance_for_ripple,
        assumptions=(_STRAIGHT, *_RIPPLE_ASSUMPTIONS),
        validity=_SMALL_WANTED,
        source=bell("Ex. 3.4, p. 84"),
        example=Example(
            values={"load_current": 0.04, "recharge_frequency": 60.0, "ripple_peak_to_peak": 2.0},
            expected=0.000333,
            tolerance=1.6e-3,
            source=bell("Ex. 3.4, p. 84"),
        ),
        undoes="ripple-straight-line",
    ),
    Formula(
        id="ripple-of-discharge-time",
        topic="reservoir",
        title="Ripple after a discharge of known time",
        statement=r"V_r = \frac{I\,T}{C}",
        quantities=(LOAD_CURRENT, DISCHARGE_TIME, CAPACITANCE),
        result=RIPPLE,
        function=ripple_of_discharge_time,
        assumptions=(_STRAIGHT, *_RIPPLE_ASSUMPTIONS),
        validity=Validity(sentence="Valid for a constant current; else while the ripple is below a tenth of the peak."),
        source=STOREY,
        example=Example(
            values={"load_current": 0.2, "discharge_time": 0.02, "capacitance": 0.01},
            expected=0.4,
            tolerance=1e-3,
            source=STOREY,
        ),
    ),
    Formula(
        id="capacitance-for-discharge-time",
        topic="reservoir",
        title="Capacitor for a wanted ripple, discharge time known",
        statement=r"C = \frac{I\,T}{V_r}",
        quantities=(LOAD_CURRENT, DISCHARGE_TIME, _WANTED),
        result=CAPACITANCE,
        function=capacitance_for_discharge_time,
        assumptions=(_STRAIGHT, _AT_THE_PEAK),
        validity=Validity(sentence="Valid for a constant current; else while the ripple is below a tenth of the peak."),
        source=bell("Ex. 3.8 and 3.9, p. 92-93"),
        example=Example(
            values={"load_current": 0.04, "discharge_time": 0.00719, "ripple_peak_to_peak": 2.0},
            expected=0.0001438,
            tolerance=3.6e-4,
            source=bell("Ex. 3.8 and 3.9, p. 92-93"),
        ),
        undoes="ripple-of-discharge-time",
    ),
    Formula(
        id="ripple-trade",
        topic="reservoir",
        title="Ripple, straight line with the current of the mid voltage",
        statement=r"V_r = \frac{2V_p}{1 + 2RC/T}",
        quantities=(LOAD_PEAK, LOAD_RESISTANCE, CAPACITANCE, DISCHARGE_TIME),
        result=RIPPLE,
        function=ripple_trade,
        assumptions=(_MID_CURRENT, *_RIPPLE_ASSUMPTIONS),
        validity=_SMALL_RC,
        source=PRACTICE,
        example=Example(
            values={"load_peak": 15.4, "load_resistance": 220.0, "capacitance": 0.001, "discharge_time": 0.00833},
            expected=0.57,
            tolerance=9e-3,
            source=PRACTICE,
        ),
        readings=_RIPPLE_READINGS,
        circuits=_CIRCUITS,
    ),
    Formula(
        id="capacitance-for-ripple-trade",
        topic="reservoir",
        title="Capacitor for a wanted ripple, current of the mid voltage",
        statement=r"C = \frac{T}{2R}\left(\frac{2V_p}{V_r} - 1\right)",
        quantities=(LOAD_PEAK, LOAD_RESISTANCE, _WANTED, DISCHARGE_TIME),
        result=CAPACITANCE,
        function=capacitance_for_ripple_trade,
        assumptions=(_MID_CURRENT, *_RIPPLE_ASSUMPTIONS),
        validity=_SMALL_WANTED,
        source=PRACTICE,
        # T/2R = 0.01/200 = 50 microseconds per ohm; (2 x 10/1 - 1) = 19.
        example=Example(
            values={"load_peak": 10.0, "load_resistance": 100.0, "ripple_peak_to_peak": 1.0, "discharge_time": 0.01},
            expected=950e-6,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        undoes="ripple-trade",
    ),
    Formula(
        id="ripple-exponential",
        topic="reservoir",
        title="Ripple, exponential discharge",
        statement=r"V_r = V_p\left(1 - e^{-T/RC}\right)",
        quantities=(LOAD_PEAK, LOAD_RESISTANCE, CAPACITANCE, DISCHARGE_TIME),
        result=RIPPLE,
        function=ripple_exponential,
        assumptions=_RIPPLE_ASSUMPTIONS,
        validity=_SMALL_RC,
        source=grob("Ex. 27-7, p. 883"),
        example=Example(
            values={"load_peak": 41.7, "load_resistance": 250.0, "capacitance": 0.0005, "discharge_time": 0.01667},
            expected=5.21,
            tolerance=2.5e-3,
            source=grob("Ex. 27-7, p. 883"),
        ),
        readings=_RIPPLE_READINGS,
        circuits=_CIRCUITS,
    ),
    Formula(
        id="capacitance-for-ripple-exponential",
        topic="reservoir",
        title="Capacitor for a wanted ripple, exponential discharge",
        statement=r"C = \frac{-T}{R\,\ln(1 - V_r/V_p)}",
        quantities=(LOAD_PEAK, LOAD_RESISTANCE, _WANTED, DISCHARGE_TIME),
        result=CAPACITANCE,
        function=capacitance_for_ripple_exponential,
        assumptions=_RIPPLE_ASSUMPTIONS,
        validity=_SMALL_WANTED,
        source=ON_PAPER,
        # The ripple that leaves 1/e of the peak: T = RC.
        example=Example(
            values={
                "load_peak": 10.0,
                "load_resistance": 100.0,
                "ripple_peak_to_peak": 10.0 * (1.0 - math.exp(-1.0)),
                "discharge_time": 0.01,
            },
            expected=100e-6,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        undoes="ripple-exponential",
    ),
    Formula(
        id="load-mean-less-half-ripple",
        topic="reservoir",
        title="Mean: peak less half the ripple",
        statement=r"V_{\mathrm{dc}} = V_p - \frac{V_r}{2}",
        quantities=(LOAD_PEAK, RIPPLE),
        result=LOAD_MEAN,
        function=load_mean_less_half_ripple,
        assumptions=(_PEAK_BY_HAND, _RIPPLE_BY_HAND, _HALF_WAY),
        validity=Validity(
            sentence="Valid while the ripple is below a tenth of the peak.",
            condition=lambda values: values["ripple_peak_to_peak"] <= SMALL_RIPPLE * values["load_peak"],
        ),
        source=JACOB,
        example=Example(
            values={"load_peak": 37.6, "ripple_peak_to_peak": 3.96}, expected=35.6, tolerance=1.5e-3, source=JACOB
        ),
        readings=("load*.voltage.mean", "C*.voltage.mean", "U*.input.voltage.mean"),
        circuits=_CIRCUITS,
    ),
    Formula(
        id="load-valley-less-ripple",
        topic="reservoir",
        title="Valley: peak less ripple",
        statement=r"V_{\mathrm{min}} = V_p - V_r",
        quantities=(LOAD_PEAK, RIPPLE),
        result=quantity("load_valley", r"V_{\mathrm{min}}", "V", "lowest voltage across the capacitor"),
        function=load_valley_less_ripple,
        assumptions=(
            Assumption(
                claim="takes the peak that a source without resistance would give",
                relaxed=lambda givens, facts: abs(facts["here.voltage.peak"]) - givens["ripple_peak_to_peak"],
                instead=_real_peak_words,
            ),
            Assumption(
                claim="takes the ripple by hand", relaxed=_valley_with_real_ripple, instead=_real_ripple_words
            ),
        ),
        validity=Validity(
            sentence="Valid while the ripple is below a tenth of the peak.",
            condition=lambda values: values["ripple_peak_to_peak"] <= SMALL_RIPPLE * values["load_peak"],
        ),
        source=boylestad("Ex. 15.13"),
        example=Example(
            values={"load_peak": 15.0, "ripple_peak_to_peak": 13.3},
            expected=1.7,
            tolerance=2e-2,
            source=boylestad("Ex. 15.13"),
        ),
        readings=("load*.voltage.valley", "C*.voltage.valley", "U*.input.voltage.valley"),
        circuits=_CIRCUITS,
    ),
    Formula(
        id="load-mean-of-time-constant",
        topic="reservoir",
        title="Mean from the time constant, 1/(2 f_r R C)",
        statement=r"V_{\mathrm{dc}} = \frac{V_p}{1 + \frac{1}{2 f_r R C}}",
        quantities=(LOAD_PEAK, LOAD_RESISTANCE, CAPACITANCE, RECHARGE_FREQUENCY),
        result=LOAD_MEAN,
        function=load_mean_of_time_constant,
        assumptions=(
            Assumption(
                claim="takes the peak that a source without resistance would give",
                relaxed=_mean_of_time_constant_with_real_peak,
                instead=_real_peak_words,
            ),
            Assumption(
                claim="lets the capacitor discharge with the mean current for the whole time between two peaks",
                relaxed=_mean_with_real_ripple,
                instead=lambda givens, facts: (
                    f"here the ripple is {facts['here.voltage.ripple_peak_to_peak']:.3g} V"
                ),
            ),
            _HALF_WAY,
        ),
        validity=_SMALL_RC,
        source=kakani("Ex. 4.8, p. 227"),
        example=Example(
            values={
                "load_peak": 10.0 * math.sqrt(2.0),
                "load_resistance": 1100.0,
                "capacitance": 50e-6,
                "recharge_frequency": 100.0,
            },
            expected=12.96,
            tolerance=1.2e-2,
            source=bapat("Ex. 2.6, p. 45"),
        ),
        readings=("load*.voltage.mean", "C*.voltage.mean", "U*.input.voltage.mean"),
        circuits=_CIRCUITS,
    ),
    Formula(
        id="reservoir-regulation",
        topic="reservoir",
        title="Regulation of a reservoir supply",
        statement=r"\frac{V_{NL}-V_{FL}}{V_{FL}} = \frac{1}{2 f_r R C}",
        quantities=(LOAD_RESISTANCE, CAPACITANCE, RECHARGE_FREQUENCY),
        result=quantity("regulation", "r", "1", "no load to full load, over full load"),
        function=reservoir_regulation,
        assumptions=(
            Assumption(claim="leaves out the resistance of winding and diodes"),
            Assumption(claim="lets the capacitor discharge with the mean current for the whole time between two peaks"),
        ),
        validity=_SMALL_RC,
        source=kakani("Ex. 4.8, p. 227"),
        example=Example(
            values={"load_resistance": 2000.0, "capacitance": 100e-6, "recharge_frequency": 100.0},
            expected=0.025,
            tolerance=2.1e-2,
            source=kakani("Ex. 4.8, p. 227"),
        ),
        readings=("load*.voltage.regulation",),
        circuits=_CIRCUITS,
    ),
    Formula(
        id="reservoir-line-regulation",
        topic="reservoir",
        title="Line regulation of a reservoir supply",
        statement=r"\frac{V_{HL}-V_{LL}}{V_{LL}} = \frac{(m_H - m_L)\,V_m}{m_L V_m - k V_D}",
        quantities=(
            SOURCE_PEAK,
            DIODE_DROP,
            DIODES_IN_PATH,
            quantity("mains_high", "m_H", "1", "highest mains over nominal"),
            quantity("mains_low", "m_L", "1", "lowest mains over nominal"),
        ),
        result=quantity("regulation", "r", "1", "high line to low line, over low line", "any"),
        function=reservoir_line_regulation,
        assumptions=(
            Assumption(claim="lets ripple and load current go with the peak, as with a resistive load"),
            Assumption(claim="gives each diode the same drop at every current"),
        ),
        validity=Validity(sentence="Valid for a resistive load."),
        source=ON_PAPER,
        # 0.2 x 16.97 V over 0.9 x 16.97 - 1.4 = 13.873 V.
        example=Example(
            values={
                "source_peak": 16.97, "diode_drop": 0.7, "diodes_in_path": 2.0, "mains_high": 1.1, "mains_low": 0.9
            },
            expected=0.24465,
            tolerance=5e-5,
            source=ON_PAPER,
        ),
        readings=("load.voltage.line_regulation",),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="ripple-rms-sawtooth",
        topic="reservoir",
        title="RMS of a triangular ripple",
        statement=r"V_{r,\mathrm{rms}} = \frac{V_r}{2\sqrt{3}}",
        quantities=(RIPPLE,),
        result=RIPPLE_RMS,
        function=ripple_rms_sawtooth,
        assumptions=(_SAWTOOTH_OF_REAL_RIPPLE, _SAWTOOTH),
        validity=Validity(sentence="Exact for straight flanks, whatever their steepness."),
        source=WIKIPEDIA,
        example=Example(
            values={"ripple_peak_to_peak": 1.0}, expected=0.2887, tolerance=1.8e-4, source=WIKIPEDIA
        ),
        readings=("load*.voltage.ripple_rms", "C*.voltage.ripple_rms", "U*.input.voltage.ripple_rms"),
        circuits=_CIRCUITS,
    ),
    Formula(
        id="ripple-rms-as-sine",
        topic="reservoir",
        title="RMS of a ripple taken for a sine",
        statement=r"V_{r,\mathrm{rms}} = \frac{V_r}{2\sqrt{2}}",
        quantities=(RIPPLE,),
        result=RIPPLE_RMS,
        function=ripple_rms_as_sine,
        assumptions=(
            Assumption(
                claim="takes the ripple, peak to peak, by hand",
                relaxed=lambda givens, facts: facts["here.voltage.ripple_peak_to_peak"] / (2.0 * math.sqrt(2.0)),
                instead=_real_ripple_words,
            ),
            Assumption(claim="takes the ripple for a pure sine"),
        ),
        validity=Validity(sentence="Valid behind a choke; 22 % too high for the triangle of a reservoir capacitor."),
        source=CHATTOPADHYAY,
        example=Example(
            values={"ripple_peak_to_peak": 1.0}, expected=0.0177 * 20.0, tolerance=2.9e-3, source=CHATTOPADHYAY
        ),
        readings=("load*.voltage.ripple_rms",),
    ),
    Formula(
        id="ripple-factor-sawtooth",
        topic="reservoir",
        title="Ripple factor of a reservoir supply",
        statement=r"\gamma = \frac{1}{2\sqrt{3}\,f_r C R}",
        quantities=(LOAD_RESISTANCE, CAPACITANCE, RECHARGE_FREQUENCY),
        result=_RIPPLE_FACTOR,
        function=ripple_factor_sawtooth,
        assumptions=(_FACTOR_OF_REAL_RIPPLE, _SAWTOOTH),
        validity=_SMALL_RC,
        source=WIKIPEDIA,
        example=Example(
            values={"load_resistance": 12.0, "capacitance": 0.01, "recharge_frequency": 100.0},
            expected=0.02406,
            tolerance=2.2e-4,
            source=WIKIPEDIA,
        ),
        readings=("load*.voltage.ripple_factor", "C*.voltage.ripple_factor", "U*.input.voltage.ripple_factor"),
        circuits=_CIRCUITS,
    ),
    Formula(
        id="capacitance-for-ripple-factor",
        topic="reservoir",
        title="Capacitor for a wanted ripple factor",
        statement=r"C = \frac{1}{2\sqrt{3}\,f_r \gamma R}",
        quantities=(LOAD_RESISTANCE, RECHARGE_FREQUENCY, _RIPPLE_FACTOR),
        result=CAPACITANCE,
        function=capacitance_for_ripple_factor,
        assumptions=(_FACTOR_OF_REAL_RIPPLE, _SAWTOOTH),
        validity=Validity(
            sentence="Valid for ripple factors up to 0.03.", condition=lambda values: values["ripple_factor"] <= 0.03
        ),
        source=SALIVAHANAN,
        example=Example(
            values={"load_resistance": 90.0, "recharge_frequency": 100.0, "ripple_factor": 0.03},
            expected=0.001069,
            tolerance=4.8e-4,
            source=SALIVAHANAN,
        ),
        undoes="ripple-factor-sawtooth",
    ),
    Formula(
        id="ripple-factor",
        topic="reservoir",
        title="Ripple factor",
        statement=r"\gamma = \frac{V_{r,\mathrm{rms}}}{V_{\mathrm{dc}}}",
        quantities=(RIPPLE_RMS, LOAD_MEAN),
        result=quantity("ripple_factor", r"\gamma", "1", "RMS of the ripple over the mean", "not negative"),
        function=ripple_factor,
        assumptions=(
            Assumption(
                claim="takes ripple and mean from their own formulas",
                relaxed=lambda givens, facts: facts["here.voltage.ripple_rms"] / abs(facts["here.voltage.mean"]),
                instead=lambda givens, facts: (
                    f"here they are {facts['here.voltage.ripple_rms']:.3g} V and "
                    f"{abs(facts['here.voltage.mean']):.3g} V, not {givens['ripple_rms']:.3g} V and "
                    f"{givens['load_mean']:.3g} V"
                ),
            ),
        ),
        validity=Validity(sentence="Valid always; some texts divide the peak-to-peak ripple instead."),
        source=boylestad("Ex. 15.1"),
        example=Example(
            values={"ripple_rms": 1.5, "load_mean": 25.0},
            expected=0.06,
            tolerance=1e-3,
            source=boylestad("Ex. 15.1"),
        ),
        kind="exact law",
        readings=("load*.voltage.ripple_factor", "C*.voltage.ripple_factor", "U*.input.voltage.ripple_factor"),
    ),
    Formula(
        id="ripple-ratio",
        topic="reservoir",
        title="Peak-to-peak ripple over the mean",
        statement=r"\frac{V_r}{V_{\mathrm{dc}}}",
        quantities=(RIPPLE, LOAD_MEAN),
        result=quantity("ripple_ratio", r"V_r/V_{\mathrm{dc}}", "1", "peak-to-peak ripple over mean", "not negative"),
        function=ripple_ratio,
        assumptions=(
            Assumption(
                claim="takes ripple and mean from their own formulas",
                relaxed=lambda givens, facts: (
                    facts["here.voltage.ripple_peak_to_peak"] / abs(facts["here.voltage.mean"])
                ),
                instead=_real_ripple_words,
            ),
        ),
        validity=Validity(sentence="Valid always; this isn't the ripple factor of most books, which is RMS over mean."),
        source=DEFINITION,
        # Floyd's figures for the same circuit: 1.126 V over 14.300 V, printed as 0.079.
        example=Example(
            values={"ripple_peak_to_peak": 1.126, "load_mean": 14.3},
            expected=0.079,
            tolerance=6.5e-3,
            source=floyd("Ex. 2.7, p. 58"),
        ),
        kind="exact law",
        readings=("load*.voltage.ripple_ratio", "C*.voltage.ripple_ratio", "U*.input.voltage.ripple_ratio"),
    ),
    Formula(
        id="capacitor-ripple-current",
        topic="reservoir",
        title="RMS current of the reservoir capacitor",
        statement=r"I_C = \sqrt{I_{\mathrm{rms}}^2 - I_{\mathrm{dc}}^2}",
        quantities=(
            quantity("charging_current_rms", r"I_{\mathrm{rms}}", "A", "RMS of the rectifier current", "not negative"),
            LOAD_CURRENT,
        ),
        result=quantity("capacitor_current_rms", "I_C", "A", "RMS current of the capacitor", "not negative"),
        function=capacitor_ripple_current,
        assumptions=(
            Assumption(claim="takes the charging current's RMS from a rating rule"),
            Assumption(claim="lets the load take a steady current"),
        ),
        validity=Validity(sentence="Exact for a load that takes a steady current."),
        source=PRACTICE,
        example=Example(
            values={"charging_current_rms": 1.8, "load_current": 1.0}, expected=1.5, tolerance=3.4e-3, source=PRACTICE
        ),
        kind="exact law",
        readings=("C*.current.rms",),
    ),
    Formula(
        id="time-constant",
        topic="discharge",
        title="Time constant",
        statement=r"\tau = R C",
        quantities=(LOAD_RESISTANCE, CAPACITANCE),
        result=quantity("time_constant", r"\tau", "s", "time in which the voltage falls to 37 %"),
        function=time_constant,
        assumptions=(),
        validity=Validity(sentence="Valid for a discharge into a resistor."),
        source=DEFINITION,
        example=Example(
            values={"load_resistance": 100e3, "capacitance": 220e-6}, expected=22.0, tolerance=1e-9, source=ON_PAPER
        ),
        kind="exact law",
    ),
    Formula(
        id="voltage-after-discharge",
        topic="discharge",
        title="Voltage left after a discharge",
        statement=r"V = V_0\,e^{-t/RC}",
        quantities=(
            quantity("initial_voltage", "V_0", "V", "voltage at the start"),
            quantity("elapsed_time", "t", "s", "time since the start", "not negative"),
            LOAD_RESISTANCE,
            CAPACITANCE,
        ),
        result=quantity("remaining_voltage", "V", "V", "voltage that is left"),
        function=voltage_after_discharge,
        assumptions=(Assumption(claim="leaves out the capacitor's own leakage and recovery"),),
        validity=Validity(sentence="Valid for a discharge into a resistor. Measure before touching: it is no proof."),
        source=NAVY,
        example=Example(
            values={"initial_voltage": 1.0, "elapsed_time": 1.0, "load_resistance": 1e4, "capacitance": 1e-4},
            expected=0.368,
            tolerance=1.4e-3,
            source=NAVY,
        ),
        kind="exact law",
    ),
    Formula(
        id="discharge-time",
        topic="discharge",
        title="Time to discharge to a given voltage",
        statement=r"t = R C \ln\frac{V_0}{V}",
        quantities=(
            quantity("initial_voltage", "V_0", "V", "voltage at the start"),
            quantity("final_voltage", "V", "V", "voltage at the end"),
            LOAD_RESISTANCE,
            CAPACITANCE,
        ),
        result=quantity("elapsed_time", "t", "s", "time since the start", "not negative"),
        function=discharge_time,
        assumptions=(Assumption(claim="leaves out the capacitor's own leakage and recovery"),),
        validity=Validity(sentence="Valid for a discharge into a resistor. Measure before touching: it is no proof."),
        source=PRACTICE,
        example=Example(
            values={
                "initial_voltage": 325.0,
                "final_voltage": 60.0,
                "load_resistance": 100e3,
                "capacitance": 220e-6,
            },
            expected=37.2,
            tolerance=1.4e-3,
            source=PRACTICE,
        ),
        kind="exact law",
        readings=("supply.discharge.time",),
        undoes="voltage-after-discharge",
    ),
    Formula(
        id="bleeder-power",
        topic="discharge",
        title="Power in a bleeder",
        statement=r"P = \frac{V_0^2}{R}",
        quantities=(quantity("initial_voltage", "V_0", "V", "steady voltage across it"), LOAD_RESISTANCE),
        result=quantity("power", "P", "W", "power in the resistor"),
        function=bleeder_power,
        assumptions=(Assumption(claim="takes the voltage as steady"),),
        validity=Validity(sentence="Valid while the ripple is small beside the voltage."),
        source=PRACTICE,
        example=Example(
            values={"initial_voltage": 325.0, "load_resistance": 100e3},
            expected=1.06,
            tolerance=4.9e-3,
            source=PRACTICE,
        ),
    ),
    Formula(
        id="stored-energy",
        topic="discharge",
        title="Energy stored in a capacitor",
        statement=r"E = \tfrac{1}{2} C V_0^2",
        quantities=(quantity("initial_voltage", "V_0", "V", "voltage across it"), CAPACITANCE),
        result=quantity("energy", "E", "J", "stored energy"),
        function=stored_energy,
        assumptions=(Assumption(claim="takes the voltage at its highest"),),
        validity=Validity(sentence="Valid always. Discharge through a resistor and measure before touching."),
        source=DEFINITION,
        example=Example(
            values={"initial_voltage": 746.6, "capacitance": 0.00235},
            expected=655.0,
            tolerance=7.8e-4,
            source=AMETHERM,
        ),
        kind="exact law",
        readings=("C*.energy.peak", "supply.stored_energy"),
    ),
)
