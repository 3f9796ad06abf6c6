"""Series and shunt regulators: output, heat, current limit, and what of ripple and change still gets through."""

from __future__ import annotations

from railwright.handbook.formula import Assumption, Example, Formula, Validity
from railwright.handbook.sources import FRANCO, ON_PAPER, PRACTICE, SHARMA, floyd, malvino
from railwright.handbook.symbols import LOAD_RESISTANCE, RIPPLE, quantity

_REFERENCE = quantity("reference_voltage", r"V_{\mathrm{ref}}", "V", "reference voltage: 1.25 V in many parts")
_UPPER = quantity("upper_resistance", "R_1", "ohm", "resistor across the reference")
_LOWER = quantity("lower_resistance", "R_2", "ohm", "resistor that sets the output", "not negative")
_ADJUST = quantity("adjust_current", r"I_{\mathrm{adj}}", "A", "current of the adjusting terminal", "not negative")
_OUTPUT = quantity("output_voltage", r"V_{\mathrm{out}}", "V", "voltage behind the regulator")
_INPUT = quantity("input_voltage", r"V_{\mathrm{in}}", "V", "voltage before the regulator")
_ZENER = quantity("zener_voltage", "V_Z", "V", "voltage of the zener")
_BASE = quantity("base_emitter_drop", r"V_{BE}", "V", "drop from base to emitter", "not negative")
_RESISTOR = quantity("series_resistance", "R_s", "ohm", "series resistor")
_LOAD_CURRENT = quantity("load_current", "I", "A", "load current", "not negative")
_POWER = quantity("power", "P", "W", "heat", "not negative")
_HEADROOM = "Valid while the input stays above the output by the dropout voltage."
_BASE_CURRENT = Assumption(claim="leaves out the base current")
_STIFF_REFERENCE = Assumption(claim="takes the loop's gain as so high that the reference is met exactly")


def adjustable_output(
    *, reference_voltage: float, upper_resistance: float, lower_resistance: float, adjust_current: float
) -> float:
    """Output of an adjustable three-terminal regulator. [V]"""
    return reference_voltage * (1.0 + lower_resistance / upper_resistance) + adjust_current * lower_resistance


def lower_resistance_for_output(
    *, reference_voltage: float, upper_resistance: float, output_voltage: float, adjust_current: float
) -> float:
    """Resistor that sets a wanted output. [ohm] Raises ValueError for an output below the reference."""
    if output_voltage < reference_voltage:
        raise ValueError(
            f"an output of {output_voltage:g} V lies below the reference of {reference_voltage:g} V, "
            "the least there is."
        )
    return (output_voltage - reference_voltage) / (reference_voltage / upper_resistance + adjust_current)


def amplifier_regulator_output(*, reference_voltage: float, upper_resistance: float, lower_resistance: float) -> float:
    """Output of a series regulator with an error amplifier. [V]"""
    return reference_voltage * (1.0 + upper_resistance / lower_resistance)


def emitter_follower_output(*, zener_voltage: float, base_emitter_drop: float) -> float:
    """Output of a zener with an emitter follower. [V]"""
    return zener_voltage - base_emitter_drop


def emitter_follower_base_current(*, load_current: float, current_gain: float) -> float:
    """Base current that an emitter follower asks of its zener. [A]"""
    return load_current / (current_gain + 1.0)


def shunt_transistor_output(*, zener_voltage: float, base_emitter_drop: float) -> float:
    """Output of a shunt regulator with a transistor. [V]"""
    return zener_voltage + base_emitter_drop


def shunt_input_current(*, input_voltage: float, output_voltage: float, series_resistance: float) -> float:
    """Current in the series resistor of a shunt regulator. [A]"""
    return (input_voltage - output_voltage) / series_resistance


def shunt_transistor_current(
    *, input_voltage: float, output_voltage: float, series_resistance: float, load_resistance: float
) -> float:
    """Current in the transistor of a shunt regulator. [A]"""
    return (input_voltage - output_voltage) / series_resistance - output_voltage / load_resistance


def shunt_efficiency(
    *, input_voltage: float, input_current: float, output_voltage: float, load_current: float
) -> float:
    """Efficiency of a shunt regulator. [1]"""
    return output_voltage * load_current / (input_voltage * input_current)


def shunt_loss(*, input_voltage: float, input_current: float, output_voltage: float, load_current: float) -> float:
    """Heat in a shunt regulator, series resistor included. [W]"""
    return input_voltage * input_current - output_voltage * load_current


def shorted_resistor_power(*, input_voltage: float, series_resistance: float) -> float:
    """Heat in the series resistor with the output shorted. [W]"""
    return input_voltage**2 / series_resistance


def current_limit(*, base_emitter_drop: float, sense_resistance: float) -> float:
    """Current at which a sensing transistor takes over. [A]"""
    return base_emitter_drop / sense_resistance


def pass_transistor_power(
    *, load_current: float, regulator_current: float, input_voltage: float, output_voltage: float
) -> float:
    """Heat in the transistor that carries what the regulator doesn't. [W]"""
    return (load_current - regulator_current) * (input_voltage - output_voltage)


def ripple_behind_regulator(*, input_ripple: float, ripple_rejection: float) -> float:
    """Ripple behind a regulator of stated rejection. [V]"""
    return float(input_ripple * 10.0 ** (-ripple_rejection / 20.0))


def headroom(*, input_valley: float, output_voltage: float, dropout: float) -> float:
    """What is left above the regulator's dropout at the worst moment. [V]"""
    return input_valley - output_voltage - dropout


def line_regulation_per_volt(*, output_change: float, input_change: float, output_voltage: float) -> float:
    """Change of the output for each volt of input, over the output. [1/V]"""
    return output_change / input_change / output_voltage


def load_regulation_per_ampere(*, output_change: float, current_change: float, output_voltage: float) -> float:
    """Change of the output for each ampere of load, over the output. [1/A]"""
    return output_change / current_change / output_voltage


def output_resistance(*, output_change: float, current_change: float) -> float:
    """Fall of the output for each ampere of load. [ohm]"""
    return output_change / current_change


_ADJUSTABLE = malvino("Ex. 24-13, p. 972")
_SHUNT = malvino("Ex. 24-1, p. 954")
_SHUNT_POWER = malvino("Ex. 24-3, p. 954")
_OUTPUT_CHANGE = quantity("output_change", r"\Delta V_{\mathrm{out}}", "V", "change of the output", "not negative")
_CURRENT_CHANGE = quantity("current_change", r"\Delta I", "A", "change of the load current")
_SHUNT_QUANTITIES = (
    _INPUT,
    quantity("input_current", r"I_{\mathrm{in}}", "A", "current from the source"),
    _OUTPUT,
    _LOAD_CURRENT,
)
_SHUNT_VALUES = {"input_voltage": 15.0, "input_current": 0.565, "output_voltage": 9.35, "load_current": 0.234}

FORMULAS = (
    Formula(
        id="adjustable-output",
        topic="regulator",
        title="Output of an adjustable three-terminal regulator",
        statement=r"V_{\mathrm{out}} = V_{\mathrm{ref}}\left(1 + \frac{R_2}{R_1}\right) + I_{\mathrm{adj}} R_2",
        quantities=(_REFERENCE, _UPPER, _LOWER, _ADJUST),
        result=_OUTPUT,
        function=adjustable_output,
        assumptions=(_STIFF_REFERENCE,),
        validity=Validity(sentence=_HEADROOM),
        source=_ADJUSTABLE,
        example=Example(
            values={
                "reference_voltage": 1.25,
                "upper_resistance": 240.0,
                "lower_resistance": 3000.0,
                "adjust_current": 1e-4,
            },
            expected=17.175,
            tolerance=3e-5,
            source=SHARMA,
        ),
        readings=("load.voltage.mean",),
    ),
    Formula(
        id="lower-resistance-for-output",
        topic="regulator",
        title="Resistor for a wanted output of an adjustable regulator",
        statement=r"R_2 = \frac{V_{\mathrm{out}} - V_{\mathrm{ref}}}{V_{\mathrm{ref}}/R_1 + I_{\mathrm{adj}}}",
        quantities=(_REFERENCE, _UPPER, _OUTPUT, _ADJUST),
        result=_LOWER,
        function=lower_resistance_for_output,
        assumptions=(_STIFF_REFERENCE,),
        validity=Validity(sentence=_HEADROOM),
        source=SHARMA,
        example=Example(
            values={
                "reference_voltage": 1.25,
                "upper_resistance": 240.0,
                "output_voltage": 12.0,
                "adjust_current": 1e-4,
            },
            expected=2030.0,
            tolerance=2.6e-3,
            source=SHARMA,
        ),
        undoes="adjustable-output",
    ),
    Formula(
        id="amplifier-regulator-output",
        topic="regulator",
        title="Output of a series regulator with an error amplifier",
        statement=r"V_{\mathrm{out}} = V_{\mathrm{ref}}\left(1 + \frac{R_1}{R_2}\right)",
        quantities=(
            _REFERENCE,
            quantity("upper_resistance", "R_1", "ohm", "from the output to the amplifier"),
            quantity("lower_resistance", "R_2", "ohm", "from the amplifier to zero"),
        ),
        result=_OUTPUT,
        function=amplifier_regulator_output,
        assumptions=(_STIFF_REFERENCE, Assumption(claim="lets no current into the amplifier")),
        validity=Validity(sentence=_HEADROOM),
        source=floyd("Ex. 17.3, p. 556"),
        example=Example(
            values={"reference_voltage": 5.1, "upper_resistance": 10e3, "lower_resistance": 10e3},
            expected=10.2,
            tolerance=5e-3,
            source=floyd("Ex. 17.3, p. 556"),
        ),
    ),
    Formula(
        id="emitter-follower-output",
        topic="regulator",
        title="Output of a zener with an emitter follower",
        statement=r"V_{\mathrm{out}} = V_Z - V_{BE}",
        quantities=(_ZENER, _BASE),
        result=_OUTPUT,
        function=emitter_follower_output,
        assumptions=(
            Assumption(claim="gives base and emitter the same drop at every current"),
            Assumption(claim="keeps the zener's voltage the same at every current"),
        ),
        validity=Validity(sentence="Valid while the zener conducts and the transistor isn't saturated."),
        source=PRACTICE,
        # Arithmetic: 10 - 0.8.
        example=Example(
            values={"zener_voltage": 10.0, "base_emitter_drop": 0.8},
            expected=9.2,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
    ),
    Formula(
        id="emitter-follower-base-current",
        topic="regulator",
        title="Base current that an emitter follower asks of its zener",
        statement=r"I_B = \frac{I}{\beta + 1}",
        quantities=(_LOAD_CURRENT, quantity("current_gain", r"\beta", "1", "collector current over base current")),
        result=quantity("base_current", "I_B", "A", "base current", "not negative"),
        function=emitter_follower_base_current,
        assumptions=(Assumption(claim="takes the gain as the same at every current"),),
        validity=Validity(sentence="Valid while the transistor isn't saturated."),
        source=PRACTICE,
        # Arithmetic: 1.01 A over 101.
        example=Example(
            values={"load_current": 1.01, "current_gain": 100.0},
            expected=0.01,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
    ),
    Formula(
        id="shunt-transistor-output",
        topic="regulator",
        title="Output of a shunt regulator with a transistor",
        statement=r"V_{\mathrm{out}} = V_Z + V_{BE}",
        quantities=(_ZENER, _BASE),
        result=_OUTPUT,
        function=shunt_transistor_output,
        assumptions=(Assumption(claim="gives base and emitter the same drop at every current"),),
        validity=Validity(sentence="Valid while the zener conducts."),
        source=_SHUNT,
        example=Example(
            values={"zener_voltage": 9.1, "base_emitter_drop": 0.8}, expected=9.9, tolerance=5.2e-3, source=_SHUNT
        ),
    ),
    Formula(
        id="shunt-input-current",
        topic="regulator",
        title="Current in the series resistor of a shunt regulator",
        statement=r"I_s = \frac{V_{\mathrm{in}} - V_{\mathrm{out}}}{R_s}",
        quantities=(_INPUT, _OUTPUT, _RESISTOR),
        result=quantity("input_current", "I_s", "A", "current in the resistor", "any"),
        function=shunt_input_current,
        assumptions=(Assumption(claim="keeps the output steady"),),
        validity=Validity(
            sentence="Valid while the input is above the output.",
            condition=lambda values: values["input_voltage"] > values["output_voltage"],
        ),
        source=_SHUNT,
        example=Example(
            values={"input_voltage": 15.0, "output_voltage": 9.9, "series_resistance": 10.0},
            expected=0.51,
            tolerance=1e-3,
            source=_SHUNT,
        ),
    ),
    Formula(
        id="shunt-transistor-current",
        topic="regulator",
        title="Current in the transistor of a shunt regulator",
        statement=r"I_C = \frac{V_{\mathrm{in}} - V_{\mathrm{out}}}{R_s} - \frac{V_{\mathrm{out}}}{R}",
        quantities=(_INPUT, _OUTPUT, _RESISTOR, LOAD_RESISTANCE),
        result=quantity("collector_current", "I_C", "A", "current in the transistor", "any"),
        function=shunt_transistor_current,
        assumptions=(Assumption(claim="leaves out the current of zener and base"),),
        validity=Validity(
            sentence="Valid while the transistor still takes a current.",
            condition=lambda values: (
                (values["input_voltage"] - values["output_voltage"]) / values["series_resistance"]
                > values["output_voltage"] / values["load_resistance"]
            ),
        ),
        source=_SHUNT,
        example=Example(
            values={
                "input_voltage": 15.0,
                "output_voltage": 9.9,
                "series_resistance": 10.0,
                "load_resistance": 40.0,
            },
            expected=0.2625,
            tolerance=2e-4,
            source=_SHUNT,
        ),
    ),
    Formula(
        id="shunt-efficiency",
        topic="regulator",
        title="Efficiency of a shunt regulator",
        statement=r"\eta = \frac{V_{\mathrm{out}} I}{V_{\mathrm{in}} I_{\mathrm{in}}}",
        quantities=_SHUNT_QUANTITIES,
        result=quantity("efficiency", r"\eta", "1", "power out over power in", "not negative"),
        function=shunt_efficiency,
        assumptions=(Assumption(claim="takes all voltages and currents as steady"),),
        validity=Validity(sentence="Valid always."),
        source=_SHUNT_POWER,
        example=Example(values=_SHUNT_VALUES, expected=0.258, tolerance=2e-3, source=_SHUNT_POWER),
    ),
    Formula(
        id="shunt-loss",
        topic="regulator",
        title="Heat in a shunt regulator",
        statement=r"P = V_{\mathrm{in}} I_{\mathrm{in}} - V_{\mathrm{out}} I",
        quantities=_SHUNT_QUANTITIES,
        result=quantity("power", "P", "W", "heat in transistor, zener and resistor together", "any"),
        function=shunt_loss,
        assumptions=(Assumption(claim="takes all voltages and currents as steady"),),
        validity=Validity(sentence="Valid always. Hot parts burn."),
        source=_SHUNT_POWER,
        example=Example(values=_SHUNT_VALUES, expected=6.29, tolerance=8.2e-4, source=_SHUNT_POWER),
    ),
    Formula(
        id="shorted-resistor-power",
        topic="regulator",
        title="Heat in the series resistor with the output shorted",
        statement=r"P = \frac{V_{\mathrm{in}}^2}{R_s}",
        quantities=(_INPUT, _RESISTOR),
        result=_POWER,
        function=shorted_resistor_power,
        assumptions=(Assumption(claim="lets the source hold its voltage into the short"),),
        validity=Validity(sentence="Valid for a stiff source. A resistor sized for less burns."),
        source=floyd("Ex. 17.5, p. 560"),
        example=Example(
            values={"input_voltage": 12.5, "series_resistance": 22.0},
            expected=7.1,
            tolerance=7.2e-3,
            source=floyd("Ex. 17.5, p. 560"),
        ),
    ),
    Formula(
        id="current-limit",
        topic="regulator",
        title="Current limit by a sensing transistor",
        statement=r"I_{\mathrm{max}} = \frac{V_{BE}}{R_{\mathrm{sense}}}",
        quantities=(_BASE, quantity("sense_resistance", r"R_{\mathrm{sense}}", "ohm", "resistor that is watched")),
        result=quantity("load_current", r"I_{\mathrm{max}}", "A", "current at which the limit acts", "not negative"),
        function=current_limit,
        assumptions=(Assumption(claim="lets the transistor take over at one sharp voltage"), _BASE_CURRENT),
        validity=Validity(sentence="Valid at room temperature: the limit falls by about 0.3 % for each kelvin."),
        source=floyd("Ex. 17.4 and 17.7, p. 557 and 572"),
        example=Example(
            values={"base_emitter_drop": 0.7, "sense_resistance": 1.0},
            expected=0.7,
            tolerance=7.3e-3,
            source=floyd("Ex. 17.4 and 17.7, p. 557 and 572"),
        ),
    ),
    Formula(
        id="pass-transistor-power",
        topic="regulator",
        title="Heat in a transistor that helps the regulator",
        statement=r"P = (I - I_{\mathrm{reg}})(V_{\mathrm{in}} - V_{\mathrm{out}})",
        quantities=(
            _LOAD_CURRENT,
            quantity("regulator_current", r"I_{\mathrm{reg}}", "A", "current left to the regulator", "not negative"),
            _INPUT,
            _OUTPUT,
        ),
        result=quantity("power", "P", "W", "heat in the transistor", "any"),
        function=pass_transistor_power,
        assumptions=(_BASE_CURRENT, Assumption(claim="leaves out the drop of the sensing resistor")),
        validity=Validity(sentence="Valid while the load takes more than the regulator carries. Hot parts burn."),
        source=floyd("Ex. 17.8, p. 572"),
        example=Example(
            values={"load_current": 2.4, "regulator_current": 0.7, "input_voltage": 30.0, "output_voltage": 24.0},
            expected=10.2,
            tolerance=5e-3,
            source=floyd("Ex. 17.8, p. 572"),
        ),
    ),
    Formula(
        id="ripple-behind-regulator",
        topic="regulator",
        title="Ripple behind a regulator of stated rejection",
        statement=r"V_{r,\mathrm{out}} = V_{r,\mathrm{in}}\cdot 10^{-a/20}",
        quantities=(
            quantity("input_ripple", r"V_{r,\mathrm{in}}", "V", "ripple before the regulator", "not negative"),
            quantity("ripple_rejection", "a", "dB", "ripple rejection", "not negative"),
        ),
        result=RIPPLE,
        function=ripple_behind_regulator,
        assumptions=(
            Assumption(
                claim="takes the ripple before the regulator by hand",
                relaxed=lambda givens, facts: ripple_behind_regulator(
                    input_ripple=facts["reservoir.voltage.ripple_peak_to_peak"],
                    ripple_rejection=givens["ripple_rejection"],
                ),
                instead=lambda givens, facts: f"here it is {facts['reservoir.voltage.ripple_peak_to_peak']:.3g} V",
            ),
            Assumption(claim="takes the rejection as the same for all harmonics of the ripple"),
        ),
        validity=Validity(sentence="Valid while the regulator never drops out."),
        source=malvino("Ex. 24-12, p. 971"),
        example=Example(
            values={"input_ripple": 1.0, "ripple_rejection": 78.0}, expected=0.000126, tolerance=4.1e-3, source=FRANCO
        ),
        readings=("load*.voltage.ripple_peak_to_peak",),
    ),
    Formula(
        id="headroom",
        topic="regulator",
        title="Headroom of a series regulator",
        statement=r"V_{\mathrm{head}} = V_{\mathrm{in,min}} - V_{\mathrm{out}} - V_{\mathrm{drop}}",
        quantities=(
            quantity("input_valley", r"V_{\mathrm{in,min}}", "V", "lowest voltage before the regulator"),
            _OUTPUT,
            quantity("dropout", r"V_{\mathrm{drop}}", "V", "least difference that the regulator needs", "not negative"),
        ),
        result=quantity("headroom", r"V_{\mathrm{head}}", "V", "what is left; negative: it drops out", "any"),
        function=headroom,
        assumptions=(
            Assumption(
                claim="takes the valley of the input by hand",
                relaxed=lambda givens, facts: (
                    abs(facts["reservoir.voltage.valley"]) - givens["output_voltage"] - givens["dropout"]
                ),
                instead=lambda givens, facts: f"here it is {abs(facts['reservoir.voltage.valley']):.4g} V",
            ),
            Assumption(claim="takes the dropout as the same at every current"),
        ),
        validity=Validity(sentence="Valid at the lowest mains and the largest load, if the valley is taken there."),
        source=PRACTICE,
        # Arithmetic: 14.5 - 5 - 2.
        example=Example(
            values={"input_valley": 14.5, "output_voltage": 5.0, "dropout": 2.0},
            expected=7.5,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        readings=("U*.headroom.minimum",),
    ),
    Formula(
        id="line-regulation-per-volt",
        topic="regulation",
        title="Line regulation for each volt of input",
        statement=r"r_V = \frac{\Delta V_{\mathrm{out}}}{\Delta V_{\mathrm{in}}\,V_{\mathrm{out}}}",
        quantities=(
            _OUTPUT_CHANGE,
            quantity("input_change", r"\Delta V_{\mathrm{in}}", "V", "change of the input"),
            _OUTPUT,
        ),
        result=quantity("line_regulation", "r_V", "1/V", "share of the output for each volt of input", "not negative"),
        function=line_regulation_per_volt,
        assumptions=(),
        validity=Validity(sentence="Valid always; others give volts for volts, or a percentage of the whole span."),
        source=FRANCO,
        example=Example(
            values={"output_change": 0.003, "input_change": 18.0, "output_voltage": 5.0},
            expected=0.0033e-2,
            tolerance=1.6e-2,
            source=FRANCO,
        ),
        kind="exact law",
    ),
    Formula(
        id="load-regulation-per-ampere",
        topic="regulation",
        title="Load regulation for each ampere",
        statement=r"r_I = \frac{\Delta V_{\mathrm{out}}}{\Delta I\,V_{\mathrm{out}}}",
        quantities=(_OUTPUT_CHANGE, _CURRENT_CHANGE, _OUTPUT),
        result=quantity("load_regulation", "r_I", "1/A", "share of the output for each ampere of load", "not negative"),
        function=load_regulation_per_ampere,
        assumptions=(),
        validity=Validity(sentence="Valid always; others divide by no-load or full-load voltage over the whole span."),
        source=FRANCO,
        example=Example(
            values={"output_change": 0.005, "current_change": 0.5, "output_voltage": 5.0},
            expected=0.002,
            tolerance=2.6e-2,
            source=FRANCO,
        ),
        kind="exact law",
    ),
    Formula(
        id="output-resistance",
        topic="regulation",
        title="Output resistance from two loads",
        statement=r"r_o = \frac{\Delta V_{\mathrm{out}}}{\Delta I}",
        quantities=(_OUTPUT_CHANGE, _CURRENT_CHANGE),
        result=quantity("output_resistance", "r_o", "ohm", "fall of the output for each ampere", "not negative"),
        function=output_resistance,
        assumptions=(Assumption(claim="takes the load characteristic for straight between the two loads"),),
        validity=Validity(sentence="Valid for a small step of the load."),
        source=FRANCO,
        example=Example(
            values={"output_change": 0.005, "current_change": 0.5}, expected=0.01, tolerance=5.1e-2, source=FRANCO
        ),
        readings=("load.output_resistance",),
    ),
)
