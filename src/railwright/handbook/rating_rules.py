"""Rules of makers and trade: numbers that stand for experience, good inside the range that they were made for."""

from __future__ import annotations

from railwright.handbook.formula import CIRCUITS_SINGLE_PHASE, Assumption, Example, Formula, Validity
from railwright.handbook.sources import (
    CHATTOPADHYAY_CHOKE,
    HAMMOND,
    KISHORE_CHOKE,
    MAKER_OF_MULTIPLIERS,
    PETRA,
    PREFERRED_VALUES,
    SLIDES,
    bell,
    floyd,
)
from railwright.handbook.symbols import LOAD_CURRENT, LOAD_RESISTANCE, quantity

_INDUCTANCE = quantity("inductance", "L", "H", "inductance of the choke")
_DC_VOLTAGE = quantity("load_mean", r"V_{\mathrm{dc}}", "V", "wanted load voltage")
_ALLOWANCE = quantity("allowance", "V_a", "V", "for diodes and winding: 2 V by the rule")
_NOMINAL = quantity("nominal", "X", "1", "nominal value, in any unit")
_TOLERANCE = quantity("tolerance", "t", "1", "tolerance", "fraction")
_AVERAGE = Assumption(claim="stands for an average transformer, though a stiff one takes sharper pulses")
_MAKERS = Validity(sentence="Valid for the maker's own transformers with a reservoir capacitor.")


def dc_current_by_rule(*, winding_current_rms: float, dc_current_factor: float) -> float:
    """DC that a maker allows for a winding's RMS current. [A]"""
    return dc_current_factor * winding_current_rms


def winding_voltage_by_rule(*, load_mean: float, allowance: float) -> float:
    """RMS of the winding that a maker asks for, bridge with reservoir. [V]"""
    return 0.8 * (load_mean + allowance)


def apparent_power_by_rule(*, load_mean: float, load_current: float, allowance: float) -> float:
    """Apparent power that a maker asks for, bridge with reservoir. [VA]"""
    return 1.4 * (load_mean + allowance) * load_current


def choke_by_rule(*, load_resistance: float, ohms_per_henry: float) -> float:
    """Inductance from a rule of so many ohms of load for each henry. [H]"""
    return load_resistance / ohms_per_henry


def bleeder_by_rule(*, inductance: float, ohms_per_henry: float) -> float:
    """Greatest bleeder from a rule of so many ohms for each henry. [ohm]"""
    return ohms_per_henry * inductance


def doubler_input_capacitance(*, output_capacitance: float) -> float:
    """Input capacitor of a half-wave doubler: twice the output's. [F]"""
    return 2.0 * output_capacitance


def multiplier_ripple_by_maker(
    *, load_current: float, drive_frequency: float, stage_capacitance: float, diode_stages: float
) -> float:
    """Ripple of a series multiplier by a maker's formula, stages counted by the diode. [V]"""
    return load_current * (diode_stages**2 + diode_stages / 2.0) / (8.0 * drive_frequency * stage_capacitance)


def least_value(*, nominal: float, tolerance: float) -> float:
    """Least value inside a tolerance. [1]"""
    return nominal * (1.0 - tolerance)


def greatest_value(*, nominal: float, tolerance: float) -> float:
    """Greatest value inside a tolerance. [1]"""
    return nominal * (1.0 + tolerance)


def derated_power(*, rated_power: float, derating: float, start_temperature: float, temperature: float) -> float:
    """Power that a part may still turn into heat above its derating's start. [W]"""
    return rated_power - derating * (temperature - start_temperature)


FORMULAS = (
    Formula(
        id="dc-current-by-rule",
        topic="transformer rating",
        title="DC that a winding's RMS current allows, by a maker's rule",
        statement=r"I_{\mathrm{dc}} = k_{dc} I_{\mathrm{ac}}",
        quantities=(
            quantity("winding_current_rms", r"I_{\mathrm{ac}}", "A", "rated RMS current of the winding"),
            quantity(
                "dc_current_factor",
                "k_{dc}",
                "1",
                "of the rule, with a reservoir: 0.62 bridge, 1.00 centre-tap, 0.28 half-wave",
            ),
        ),
        result=quantity("load_current", r"I_{\mathrm{dc}}", "A", "mean load current"),
        function=dc_current_by_rule,
        assumptions=(_AVERAGE,),
        validity=_MAKERS,
        source=HAMMOND,
        example=Example(
            values={"winding_current_rms": 1.0, "dc_current_factor": 0.62},
            expected=0.62,
            tolerance=1e-3,
            source=HAMMOND,
        ),
        kind="rule",
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="winding-voltage-by-rule",
        topic="transformer rating",
        title="Winding voltage by a maker's rule, bridge with reservoir",
        statement=r"V_{\mathrm{ac}} = 0.8\,(V_{\mathrm{dc}} + V_a)",
        quantities=(_DC_VOLTAGE, _ALLOWANCE),
        result=quantity("source_rms", r"V_{\mathrm{ac}}", "V", "RMS of the winding"),
        function=winding_voltage_by_rule,
        assumptions=(Assumption(claim="counts a fixed sum for the diodes and the transformer's own fall under load"),),
        validity=_MAKERS,
        source=PETRA,
        example=Example(values={"load_mean": 12.0, "allowance": 2.0}, expected=11.2, tolerance=1e-3, source=PETRA),
        kind="rule",
        circuits=("bridge",),
    ),
    Formula(
        id="apparent-power-by-rule",
        topic="transformer rating",
        title="Apparent power by a maker's rule, bridge with reservoir",
        statement=r"S = 1.4\,(V_{\mathrm{dc}} + V_a)\,I_{\mathrm{dc}}",
        quantities=(_DC_VOLTAGE, LOAD_CURRENT, _ALLOWANCE),
        result=quantity("apparent_power", "S", "VA", "rating of the transformer", "not negative"),
        function=apparent_power_by_rule,
        assumptions=(_AVERAGE,),
        validity=_MAKERS,
        source=PETRA,
        example=Example(
            values={"load_mean": 12.0, "load_current": 1.0, "allowance": 2.0},
            expected=19.6,
            tolerance=1e-3,
            source=PETRA,
        ),
        kind="rule",
        circuits=("bridge",),
        slip="The maker's own voltage and current rules multiply to 3 % more.",
    ),
    Formula(
        id="choke-by-rule",
        topic="choke input",
        title="Choke by a rule of ohms for each henry",
        statement=r"L = \frac{R}{k_L}",
        quantities=(
            LOAD_RESISTANCE,
            quantity(
                "ohms_per_henry", "k_L", "ohm/H", "of the rule: 900 or 1000 at 60 Hz, a margin over the critical 1131"
            ),
        ),
        result=_INDUCTANCE,
        function=choke_by_rule,
        assumptions=(Assumption(claim="puts a margin on the critical inductance"),),
        validity=Validity(sentence="Valid at the mains frequency of the rule."),
        source=KISHORE_CHOKE,
        example=Example(
            values={"load_resistance": 0.6, "ohms_per_henry": 1000.0}, expected=0.0006, tolerance=1e-3, source=SLIDES
        ),
        kind="rule",
    ),
    Formula(
        id="bleeder-by-rule",
        topic="choke input",
        title="Greatest bleeder by a rule of ohms for each henry",
        statement=r"R_B = k_L L",
        quantities=(
            _INDUCTANCE,
            quantity("ohms_per_henry", "k_L", "ohm/H", "of the rule: 950 at 50 Hz, 1140 at 60 Hz"),
        ),
        result=quantity("bleeder", "R_B", "ohm", "greatest bleeder"),
        function=bleeder_by_rule,
        assumptions=(Assumption(claim="lets the bleeder alone keep the choke's current flowing"),),
        validity=Validity(sentence="Valid at the mains frequency of the rule."),
        source=CHATTOPADHYAY_CHOKE,
        example=Example(
            values={"inductance": 1.0, "ohms_per_henry": 950.0},
            expected=950.0,
            tolerance=1e-3,
            source=CHATTOPADHYAY_CHOKE,
        ),
        kind="rule",
    ),
    Formula(
        id="doubler-input-capacitance",
        topic="multiplier",
        title="Input capacitor of a half-wave doubler",
        statement=r"C_1 = 2 C_2",
        quantities=(quantity("output_capacitance", "C_2", "F", "output capacitor"),),
        result=quantity("input_capacitance", "C_1", "F", "input capacitor"),
        function=doubler_input_capacitance,
        assumptions=(Assumption(claim="allows the input capacitor the same ripple as the output's"),),
        validity=Validity(sentence="Valid for a square wave: the input capacitor passes twice the load's charge."),
        source=bell("Ex. 3.26, p. 130"),
        example=Example(
            values={"output_capacitance": 4.255e-7},
            expected=8.5e-7,
            tolerance=6e-3,
            source=bell("Ex. 3.26, p. 130"),
        ),
        kind="rule",
        circuits=("half-wave-doubler",),
    ),
    Formula(
        id="multiplier-ripple-by-maker",
        topic="multiplier",
        title="Ripple of a multiplier by a maker's formula",
        statement=r"V_r = \frac{I\,(M^2 + M/2)}{8 f C}",
        quantities=(
            LOAD_CURRENT,
            quantity("drive_frequency", "f", "Hz", "frequency of the source"),
            quantity("stage_capacitance", "C", "F", "each of the equal capacitors"),
            quantity("diode_stages", "M", "1", "stages of one diode and one capacitor: twice ours"),
        ),
        result=quantity("ripple_peak_to_peak", "V_r", "V", "ripple, peak to peak", "not negative"),
        function=multiplier_ripple_by_maker,
        assumptions=(Assumption(claim="takes the maker's share of the cascade's ripple"),),
        validity=Validity(sentence="Valid for the maker's series multipliers."),
        source=MAKER_OF_MULTIPLIERS,
        example=Example(
            values={"load_current": 1e-3, "drive_frequency": 50e3, "stage_capacitance": 1e-9, "diode_stages": 6.0},
            expected=97.5,
            tolerance=5.3e-4,
            source=MAKER_OF_MULTIPLIERS,
        ),
        kind="rule",
    ),
    Formula(
        id="least-value",
        topic="tolerance",
        title="Least value inside a tolerance",
        statement=r"X_{\mathrm{min}} = X\,(1 - t)",
        quantities=(_NOMINAL, _TOLERANCE),
        result=quantity("least", r"X_{\mathrm{min}}", "1", "least value, in the same unit"),
        function=least_value,
        assumptions=(),
        validity=Validity(sentence="Valid for new parts at the temperature of their test."),
        source=PREFERRED_VALUES,
        example=Example(
            values={"nominal": 27.0, "tolerance": 0.1}, expected=24.3, tolerance=1e-4, source=PREFERRED_VALUES
        ),
        kind="exact law",
    ),
    Formula(
        id="greatest-value",
        topic="tolerance",
        title="Greatest value inside a tolerance",
        statement=r"X_{\mathrm{max}} = X\,(1 + t)",
        quantities=(_NOMINAL, _TOLERANCE),
        result=quantity("greatest", r"X_{\mathrm{max}}", "1", "greatest value, in the same unit"),
        function=greatest_value,
        assumptions=(),
        validity=Validity(sentence="Valid for new parts at the temperature of their test."),
        source=PREFERRED_VALUES,
        example=Example(
            values={"nominal": 27.0, "tolerance": 0.1}, expected=29.7, tolerance=1e-4, source=PREFERRED_VALUES
        ),
        kind="exact law",
    ),
    Formula(
        id="derated-power",
        topic="heat",
        title="Permitted heat above the start of derating",
        statement=r"P = P_0 - k_T\,(T - T_0)",
        quantities=(
            quantity("rated_power", "P_0", "W", "permitted heat up to the start temperature"),
            quantity("derating", "k_T", "W/K", "permitted heat lost for each kelvin"),
            quantity("start_temperature", "T_0", "°C", "temperature from which the rating falls", "any"),
            quantity("temperature", "T", "°C", "temperature of air or case, as the data sheet says", "any"),
        ),
        result=quantity("power", "P", "W", "permitted heat; negative: none", "any"),
        function=derated_power,
        assumptions=(),
        validity=Validity(
            sentence="Valid from the start temperature on.",
            condition=lambda values: values["temperature"] >= values["start_temperature"],
        ),
        source=floyd("Ex. 3.4, p. 90"),
        example=Example(
            values={"rated_power": 0.4, "derating": 0.0032, "start_temperature": 50.0, "temperature": 90.0},
            expected=0.272,
            tolerance=1.9e-3,
            source=floyd("Ex. 3.4, p. 90"),
        ),
        kind="rule",
    ),
)
