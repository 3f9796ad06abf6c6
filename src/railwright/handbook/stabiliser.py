"""Filter section, zener and series regulator behind the reservoir, each as a divider or a balance of currents."""

from __future__ import annotations

import math

from railwright.handbook.formula import Assumption, Example, Formula, Validity, Values
from railwright.handbook.sources import DEFINITION, TOOLEY_RESISTOR, boylestad, malvino
from railwright.handbook.symbols import LOAD_CURRENT, LOAD_MEAN, LOAD_RESISTANCE, RIPPLE, RIPPLE_RMS, quantity

_INPUT_MEAN = quantity("input_mean", r"V_{\mathrm{in}}", "V", "mean voltage before the section")
_BEFORE_RESISTOR = quantity("input_mean", r"V_{\mathrm{in}}", "V", "mean voltage before the series resistor")
_BEFORE_REGULATOR = quantity("input_mean", r"V_{\mathrm{in}}", "V", "mean voltage before the regulator")
_INPUT_RIPPLE = quantity("input_ripple", r"V_{r,\mathrm{in}}", "V", "RMS ripple before the section", "not negative")
_SERIES = quantity("series_resistance", "R_s", "ohm", "series resistance", "not negative")
_SERIES_RESISTOR = quantity("series_resistance", "R_s", "ohm", "series resistor")
_CAPACITANCE = quantity("section_capacitance", "C", "F", "capacitor behind the series part")
_RIPPLE_FREQUENCY = quantity("ripple_frequency", "f_r", "Hz", "frequency of the ripple")
_ZENER = quantity("zener_voltage", "V_Z", "V", "voltage of the zener")
_OUTPUT = quantity("output_voltage", r"V_{\mathrm{out}}", "V", "voltage behind the regulator")


def section_mean(*, input_mean: float, series_resistance: float, load_resistance: float) -> float:
    """Mean behind a series resistance. [V]"""
    return input_mean * load_resistance / (load_resistance + series_resistance)


def resistor_section_ripple(
    *, input_ripple: float, series_resistance: float, section_capacitance: float, ripple_frequency: float
) -> float:
    """Ripple behind a resistor and capacitor, load left out. [V]"""
    reactance = 1.0 / (2.0 * math.pi * ripple_frequency * section_capacitance)
    return input_ripple * reactance / math.hypot(series_resistance, reactance)


def choke_section_ripple(
    *, input_ripple: float, inductance: float, section_capacitance: float, ripple_frequency: float
) -> float:
    """Ripple behind a choke and capacitor, losses and load left out. [V] Raises ValueError at the resonance."""
    product = (2.0 * math.pi * ripple_frequency) ** 2 * inductance * section_capacitance
    if product <= 1.0:
        raise ValueError(
            "the ripple frequency is at or below the section's resonance: it doesn't filter there. "
            "Take a larger choke or capacitor."
        )
    return input_ripple / (product - 1.0)


def zener_current(
    *, input_mean: float, zener_voltage: float, series_resistance: float, load_resistance: float
) -> float:
    """Current in a zener beside its load. [A]"""
    return (input_mean - zener_voltage) / series_resistance - zener_voltage / load_resistance


def zener_series_resistor(*, input_minimum: float, zener_voltage: float, load_current: float) -> float:
    """Largest series resistor that still feeds zener and load. [ohm] Raises ValueError for too low an input."""
    if input_minimum <= zener_voltage:
        raise ValueError(
            f"an input of {input_minimum:g} V never reaches the zener's {zener_voltage:g} V. "
            "Take a higher winding voltage."
        )
    return (input_minimum - zener_voltage) / load_current


def zener_ripple(*, input_ripple: float, zener_resistance: float, series_resistance: float) -> float:
    """Ripple across a zener, load left out. [V]"""
    return input_ripple * zener_resistance / series_resistance


def regulator_power(*, input_mean: float, output_voltage: float, load_current: float) -> float:
    """Heat in a series regulator. [W]"""
    return (input_mean - output_voltage) * load_current


def regulator_efficiency(*, input_mean: float, output_voltage: float) -> float:
    """Efficiency of a series regulator. [1]"""
    return output_voltage / input_mean


def load_regulation(*, no_load_voltage: float, full_load_voltage: float) -> float:
    """Load regulation over the full-load voltage. [1]"""
    return (no_load_voltage - full_load_voltage) / full_load_voltage


def load_regulation_on_no_load(*, no_load_voltage: float, full_load_voltage: float) -> float:
    """Load regulation over the no-load voltage. [1]"""
    return (no_load_voltage - full_load_voltage) / no_load_voltage


def line_regulation(*, high_line_voltage: float, low_line_voltage: float) -> float:
    """Line regulation over the low-line output. [1]"""
    return (high_line_voltage - low_line_voltage) / low_line_voltage


_NO_QUIESCENT = Assumption(claim="leaves out the regulator's own current")
_NO_LOAD_FULL_LOAD = (
    quantity("no_load_voltage", "V_{NL}", "V", "mean output without load"),
    quantity("full_load_voltage", "V_{FL}", "V", "mean output at full load"),
)


def _both_by_hand(base: str) -> Assumption:
    """The two voltages of a regulation, lifted by the computed ones."""

    def relaxed(givens: Values, facts: Values) -> float:
        unloaded, loaded = facts["load.voltage.no_load_mean"], facts["load.voltage.mean"]
        return abs(unloaded - loaded) / abs(unloaded if base == "no load" else loaded)

    def instead(givens: Values, facts: Values) -> str:
        return (
            f"here it falls from {abs(facts['load.voltage.no_load_mean']):.4g} V "
            f"to {abs(facts['load.voltage.mean']):.4g} V"
        )

    return Assumption(
        claim="takes both voltages by hand, without the resistance of winding and diodes",
        relaxed=relaxed,
        instead=instead,
    )


_REGULATION = quantity("regulation", "r", "1", "change over the base that the title names", "any")

FORMULAS = (
    Formula(
        id="section-mean",
        topic="filter section",
        title="Mean behind a series resistance",
        statement=r"V_{\mathrm{dc}} = V_{\mathrm{in}}\frac{R}{R + R_s}",
        quantities=(_INPUT_MEAN, _SERIES, LOAD_RESISTANCE),
        result=LOAD_MEAN,
        function=section_mean,
        assumptions=(
            Assumption(
                claim="takes the mean before the section by hand",
                relaxed=lambda givens, facts: (
                    abs(facts["reservoir.voltage.mean"])
                    * givens["load_resistance"]
                    / (givens["load_resistance"] + givens["series_resistance"])
                ),
                instead=lambda givens, facts: f"here it is {abs(facts['reservoir.voltage.mean']):.4g} V",
            ),
            Assumption(claim="leaves out what the capacitor leaks"),
        ),
        validity=Validity(sentence="Valid always: a mean passes no capacitor."),
        source=boylestad("Ex. 15.6"),
        example=Example(
            values={"input_mean": 60.0, "series_resistance": 120.0, "load_resistance": 1000.0},
            expected=53.6,
            tolerance=9.6e-4,
            source=boylestad("Ex. 15.6"),
        ),
        kind="exact law",
        readings=("load*.voltage.mean",),
    ),
    Formula(
        id="resistor-section-ripple",
        topic="filter section",
        title="Ripple behind a resistor and capacitor",
        statement=r"V_{r,\mathrm{out}} = V_{r,\mathrm{in}}\frac{X_C}{\sqrt{R_s^2 + X_C^2}}",
        quantities=(_INPUT_RIPPLE, _SERIES_RESISTOR, _CAPACITANCE, _RIPPLE_FREQUENCY),
        result=RIPPLE_RMS,
        function=resistor_section_ripple,
        assumptions=(
            Assumption(
                claim="takes the ripple before the section by hand",
                relaxed=lambda givens, facts: resistor_section_ripple(
                    input_ripple=facts["reservoir.voltage.ripple_rms"],
                    series_resistance=givens["series_resistance"],
                    section_capacitance=givens["section_capacitance"],
                    ripple_frequency=givens["ripple_frequency"],
                ),
                instead=lambda givens, facts: f"here it is {facts['reservoir.voltage.ripple_rms']:.3g} V RMS",
            ),
            Assumption(claim="takes the ripple for a sine and leaves the load out of the divider"),
        ),
        validity=Validity(sentence="Valid where the reactance is much smaller than the load resistance."),
        source=TOOLEY_RESISTOR,
        example=Example(
            values={
                "input_ripple": 1.0,
                "series_resistance": 100.0,
                "section_capacitance": 1000e-6,
                "ripple_frequency": 50.0,
            },
            expected=0.032,
            tolerance=1.6e-2,
            source=TOOLEY_RESISTOR,
        ),
        readings=("load*.voltage.ripple_rms",),
    ),
    Formula(
        id="choke-section-ripple",
        topic="filter section",
        title="Ripple behind a choke and capacitor",
        statement=r"V_{r,\mathrm{out}} = \frac{V_{r,\mathrm{in}}}{\omega_r^2 L C - 1}",
        quantities=(
            _INPUT_RIPPLE,
            quantity("inductance", "L", "H", "inductance of the choke"),
            _CAPACITANCE,
            _RIPPLE_FREQUENCY,
        ),
        result=RIPPLE_RMS,
        function=choke_section_ripple,
        assumptions=(
            Assumption(
                claim="takes the ripple before the section by hand",
                relaxed=lambda givens, facts: choke_section_ripple(
                    input_ripple=facts["reservoir.voltage.ripple_rms"],
                    inductance=givens["inductance"],
                    section_capacitance=givens["section_capacitance"],
                    ripple_frequency=givens["ripple_frequency"],
                ),
                instead=lambda givens, facts: f"here it is {facts['reservoir.voltage.ripple_rms']:.3g} V RMS",
            ),
            Assumption(claim="takes the ripple for a sine of the ripple frequency and leaves out losses and load"),
        ),
        validity=Validity(sentence="Valid far above the section's resonance."),
        source=DEFINITION,
        # Reactances 3141.59 and 3.18310 ohm: 3.18310/(3141.59 - 3.18) = 1.0142e-3.
        example=Example(
            values={
                "input_ripple": 1.0,
                "inductance": 10.0,
                "section_capacitance": 1000e-6,
                "ripple_frequency": 50.0,
            },
            expected=1.0142e-3,
            tolerance=1e-4,
            source=DEFINITION,
        ),
        readings=("load*.voltage.ripple_rms",),
    ),
    Formula(
        id="zener-current",
        topic="zener",
        title="Current in the zener",
        statement=r"I_Z = \frac{V_{\mathrm{in}} - V_Z}{R_s} - \frac{V_Z}{R}",
        quantities=(_BEFORE_RESISTOR, _ZENER, _SERIES_RESISTOR, LOAD_RESISTANCE),
        result=quantity("zener_current", "I_Z", "A", "current in the zener; negative: it doesn't regulate", "any"),
        function=zener_current,
        assumptions=(
            Assumption(
                claim="takes the input voltage by hand",
                relaxed=lambda givens, facts: zener_current(
                    input_mean=abs(facts["reservoir.voltage.mean"]),
                    zener_voltage=givens["zener_voltage"],
                    series_resistance=givens["series_resistance"],
                    load_resistance=givens["load_resistance"],
                ),
                instead=lambda givens, facts: f"here it is {abs(facts['reservoir.voltage.mean']):.4g} V",
            ),
            Assumption(claim="leaves out the zener's own resistance"),
        ),
        validity=Validity(
            sentence="Valid while the zener current stays positive.",
            condition=lambda values: (
                (values["input_mean"] - values["zener_voltage"]) / values["series_resistance"]
                > values["zener_voltage"] / values["load_resistance"]
            ),
        ),
        source=malvino("Ex. 5-3, p. 149"),
        example=Example(
            values={
                "input_mean": 18.0,
                "zener_voltage": 10.0,
                "series_resistance": 270.0,
                "load_resistance": 1000.0,
            },
            expected=0.0196,
            tolerance=2.6e-3,
            source=malvino("Ex. 5-3, p. 149"),
        ),
        readings=("Z*.current.mean",),
    ),
    Formula(
        id="zener-series-resistor",
        topic="zener",
        title="Largest series resistor of a zener",
        statement=r"R_{s,\mathrm{max}} = \frac{V_{\mathrm{in,min}} - V_Z}{I}",
        quantities=(
            quantity("input_minimum", r"V_{\mathrm{in,min}}", "V", "lowest voltage before the resistor"),
            _ZENER,
            quantity("load_current", "I", "A", "largest load current, the zener's least current included"),
        ),
        result=_SERIES_RESISTOR,
        function=zener_series_resistor,
        assumptions=(Assumption(claim="leaves nothing for the zener at the worst moment"),),
        validity=Validity(sentence="Valid for the valley of the input at the largest load."),
        source=malvino("Ex. 5-11, p. 157"),
        example=Example(
            values={"input_minimum": 15.0, "zener_voltage": 6.8, "load_current": 0.02},
            expected=410.0,
            tolerance=1.3e-3,
            source=malvino("Ex. 5-11, p. 157"),
        ),
    ),
    Formula(
        id="zener-ripple",
        topic="zener",
        title="Ripple across a zener",
        statement=r"V_{r,\mathrm{out}} = V_{r,\mathrm{in}}\frac{r_Z}{R_s}",
        quantities=(
            quantity("input_ripple", r"V_{r,\mathrm{in}}", "V", "ripple before the resistor", "not negative"),
            quantity("zener_resistance", "r_Z", "ohm", "slope resistance of the zener", "not negative"),
            _SERIES_RESISTOR,
        ),
        result=RIPPLE,
        function=zener_ripple,
        assumptions=(Assumption(claim="takes the zener's resistance as much smaller than the series resistor"),),
        validity=Validity(
            sentence="Valid while the zener's resistance is below a tenth of the series resistor's.",
            condition=lambda values: values["zener_resistance"] <= 0.1 * values["series_resistance"],
        ),
        source=malvino("Ex. 5-8, p. 154"),
        example=Example(
            values={"input_ripple": 2.0, "zener_resistance": 8.5, "series_resistance": 270.0},
            expected=0.063,
            tolerance=8.1e-4,
            source=malvino("Ex. 5-8, p. 154"),
        ),
        readings=("load.voltage.ripple_peak_to_peak",),
    ),
    Formula(
        id="regulator-power",
        topic="regulator",
        title="Heat in a series regulator",
        statement=r"P = (V_{\mathrm{in}} - V_{\mathrm{out}})\,I",
        quantities=(_BEFORE_REGULATOR, _OUTPUT, LOAD_CURRENT),
        result=quantity("power", "P", "W", "heat in the regulator", "any"),
        function=regulator_power,
        assumptions=(
            Assumption(
                claim="takes the input voltage by hand",
                relaxed=lambda givens, facts: (
                    (abs(facts["reservoir.voltage.mean"]) - givens["output_voltage"]) * givens["load_current"]
                ),
                instead=lambda givens, facts: f"here its mean is {abs(facts['reservoir.voltage.mean']):.4g} V",
            ),
            _NO_QUIESCENT,
        ),
        validity=Validity(
            sentence="Valid while the input stays above the output by the dropout voltage.",
            condition=lambda values: values["input_mean"] > values["output_voltage"],
        ),
        source=malvino("Ex. 24-7 and 24-8, p. 962-963"),
        example=Example(
            values={"input_mean": 15.0, "output_voltage": 9.2, "load_current": 0.23},
            expected=1.334,
            tolerance=3.9e-4,
            source=malvino("Ex. 24-7 and 24-8, p. 962-963"),
        ),
        readings=("U*.power.mean",),
    ),
    Formula(
        id="regulator-efficiency",
        topic="regulator",
        title="Efficiency of a series regulator",
        statement=r"\eta = \frac{V_{\mathrm{out}}}{V_{\mathrm{in}}}",
        quantities=(_BEFORE_REGULATOR, _OUTPUT),
        result=quantity("efficiency", r"\eta", "1", "power out over power in"),
        function=regulator_efficiency,
        assumptions=(_NO_QUIESCENT,),
        validity=Validity(
            sentence="Valid while the input stays above the output by the dropout voltage.",
            condition=lambda values: values["input_mean"] > values["output_voltage"],
        ),
        source=malvino("Ex. 24-7 and 24-8, p. 962-963"),
        example=Example(
            values={"input_mean": 15.0, "output_voltage": 9.2},
            expected=0.6133,
            tolerance=8.4e-5,
            source=malvino("Ex. 24-7 and 24-8, p. 962-963"),
        ),
    ),
    Formula(
        id="load-regulation",
        topic="regulation",
        title="Load regulation, over the full-load voltage",
        statement=r"r = \frac{V_{NL} - V_{FL}}{V_{FL}}",
        quantities=_NO_LOAD_FULL_LOAD,
        result=_REGULATION,
        function=load_regulation,
        assumptions=(_both_by_hand("full load"),),
        validity=Validity(sentence="Valid always; some texts divide by the no-load voltage: say which."),
        source=boylestad("Ex. 15.2"),
        example=Example(
            values={"no_load_voltage": 60.0, "full_load_voltage": 56.0},
            expected=0.071,
            tolerance=7.2e-3,
            source=boylestad("Ex. 15.2"),
        ),
        kind="exact law",
        readings=("load*.voltage.regulation",),
    ),
    Formula(
        id="load-regulation-on-no-load",
        topic="regulation",
        title="Load regulation, over the no-load voltage",
        statement=r"r = \frac{V_{NL} - V_{FL}}{V_{NL}}",
        quantities=_NO_LOAD_FULL_LOAD,
        result=_REGULATION,
        function=load_regulation_on_no_load,
        assumptions=(_both_by_hand("no load"),),
        validity=Validity(sentence="Valid always; most texts divide by the full-load voltage: say which."),
        source=DEFINITION,
        # 11 V falling to 10 V: 9.1 % over no load.
        example=Example(
            values={"no_load_voltage": 11.0, "full_load_voltage": 10.0},
            expected=0.091,
            tolerance=6e-3,
            source=DEFINITION,
        ),
        kind="exact law",
        readings=("load*.voltage.regulation_on_no_load",),
    ),
    Formula(
        id="line-regulation",
        topic="regulation",
        title="Line regulation, over the low-line output",
        statement=r"r = \frac{V_{HL} - V_{LL}}{V_{LL}}",
        quantities=(
            quantity("high_line_voltage", "V_{HL}", "V", "output at the highest mains"),
            quantity("low_line_voltage", "V_{LL}", "V", "output at the lowest mains"),
        ),
        result=_REGULATION,
        function=line_regulation,
        assumptions=(Assumption(claim="takes both voltages by hand, without the resistance of winding and diodes"),),
        validity=Validity(sentence="Valid always."),
        source=malvino("Ex. 24-6, p. 956"),
        example=Example(
            values={"high_line_voltage": 9.94, "low_line_voltage": 9.79},
            expected=0.0153,
            tolerance=3.4e-3,
            source=malvino("Ex. 24-6, p. 956"),
        ),
        kind="exact law",
        readings=("load*.voltage.line_regulation",),
    ),
)
