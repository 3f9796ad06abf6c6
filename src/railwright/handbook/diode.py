"""The diode itself: thermal voltage, drop and leakage against temperature, and the current through a resistor."""

from __future__ import annotations

import math

from railwright.handbook.formula import Assumption, Example, Formula, Validity
from railwright.handbook.sources import BIPM, malvino, sedra
from railwright.handbook.symbols import quantity

BOLTZMANN = 1.380649e-23  # [J/K] SI defining constant
ELEMENTARY_CHARGE = 1.602176634e-19  # [C] SI defining constant

_DROP = quantity("diode_drop", "V_D", "V", "forward drop", "any")
_TEMPERATURE = quantity("temperature", "T", "°C", "temperature of the junction", "any")
_REFERENCE = quantity("reference_temperature", "T_0", "°C", "temperature at which the value is stated", "any")


def thermal_voltage(*, boltzmann: float, absolute_temperature: float, charge: float) -> float:
    """Thermal voltage of a junction. [V]"""
    return boltzmann * absolute_temperature / charge


def drop_at_temperature(
    *, reference_drop: float, temperature_coefficient: float, temperature: float, reference_temperature: float
) -> float:
    """Forward drop at another temperature. [V]"""
    return reference_drop + temperature_coefficient * (temperature - reference_temperature)


def leakage_at_temperature(
    *, reference_leakage: float, temperature: float, reference_temperature: float, doubling_interval: float
) -> float:
    """Leakage that doubles with each interval of warming. [A]"""
    return float(reference_leakage * 2.0 ** ((temperature - reference_temperature) / doubling_interval))


def leakage_by_steps(
    *,
    reference_leakage: float,
    temperature: float,
    reference_temperature: float,
    doubling_interval: float,
    share_per_step: float,
    step: float,
) -> float:
    """Leakage doubled for each whole interval, then raised by a share for each small step left. [A]"""
    warming = temperature - reference_temperature
    doublings = math.floor(warming / doubling_interval)
    rest = warming - doublings * doubling_interval
    return float(reference_leakage * 2.0**doublings * (1.0 + share_per_step) ** (rest / step))


def diode_current(
    *,
    source_voltage: float,
    series_resistance: float,
    reference_drop: float,
    reference_current: float,
    drop_per_decade: float,
) -> float:
    """Current of a diode behind a resistor, logarithmic law. [A]"""
    low, high = 0.0, source_voltage / series_resistance
    for _ in range(200):  # halving: more than the digits of a float
        middle = (low + high) / 2.0
        if middle <= 0.0:
            break
        drop = reference_drop + drop_per_decade * math.log10(middle / reference_current)
        low, high = (middle, high) if middle * series_resistance + drop < source_voltage else (low, middle)
    return (low + high) / 2.0


def diode_drop_by_decades(*, reference_drop: float, drop_per_decade: float, current_ratio: float) -> float:
    """Drop at another current, so much per decade. [V]"""
    return reference_drop + drop_per_decade * math.log10(current_ratio)


_MALVINO_DROP = malvino("Ex. 2-5, p. 49")
_MALVINO_LEAKAGE = malvino("Ex. 2-6, p. 51")
_SEDRA = sedra("Ex. 3.4, p. 154")
_REFERENCE_DROP = quantity("reference_drop", "V_0", "V", "forward drop at the reference")
_REFERENCE_LEAKAGE = quantity("reference_leakage", "I_0", "A", "leakage at the reference temperature")
_DOUBLING = quantity("doubling_interval", r"\Delta T", "K", "warming that doubles the leakage: 10 K by the rule")
_PER_DECADE = quantity("drop_per_decade", r"V_{10}", "V", "rise of the drop for ten times the current")

FORMULAS = (
    Formula(
        id="thermal-voltage",
        topic="diode",
        title="Thermal voltage",
        statement=r"V_T = \frac{kT}{q}",
        quantities=(
            quantity("boltzmann", "k", "J/K", "Boltzmann's constant, 1.380649e-23 J/K"),
            quantity("absolute_temperature", "T", "K", "absolute temperature of the junction"),
            quantity("charge", "q", "C", "elementary charge, 1.602176634e-19 C"),
        ),
        result=quantity("thermal_voltage", "V_T", "V", "thermal voltage"),
        function=thermal_voltage,
        assumptions=(),
        validity=Validity(sentence="Valid always; books round it to 25 or 26 mV."),
        source=BIPM,
        example=Example(
            values={"boltzmann": BOLTZMANN, "absolute_temperature": 300.0, "charge": ELEMENTARY_CHARGE},
            expected=0.02585,
            tolerance=2e-4,
            source=BIPM,
        ),
        kind="exact law",
    ),
    Formula(
        id="drop-at-temperature",
        topic="diode",
        title="Forward drop at another temperature",
        statement=r"V_D = V_0 + c\,(T - T_0)",
        quantities=(
            _REFERENCE_DROP,
            quantity("temperature_coefficient", "c", "V/K", "change per kelvin: -2 mV/K for silicon", "any"),
            _TEMPERATURE,
            _REFERENCE,
        ),
        result=_DROP,
        function=drop_at_temperature,
        assumptions=(Assumption(claim="takes the change per kelvin as the same at every current and temperature"),),
        validity=Validity(sentence="Valid for silicon at a steady, moderate current."),
        source=_MALVINO_DROP,
        example=Example(
            values={
                "reference_drop": 0.7,
                "temperature_coefficient": -0.002,
                "temperature": 100.0,
                "reference_temperature": 25.0,
            },
            expected=0.55,
            tolerance=1e-4,
            source=_MALVINO_DROP,
        ),
        kind="rule",
    ),
    Formula(
        id="leakage-at-temperature",
        topic="diode",
        title="Leakage at another temperature",
        statement=r"I_R = I_0\,2^{(T - T_0)/\Delta T}",
        quantities=(_REFERENCE_LEAKAGE, _TEMPERATURE, _REFERENCE, _DOUBLING),
        result=quantity("leakage", "I_R", "A", "leakage"),
        function=leakage_at_temperature,
        assumptions=(Assumption(claim="doubles the leakage for each such step, whatever the temperature"),),
        validity=Validity(sentence="Valid as an order of magnitude: surface leakage doubles more slowly."),
        source=_MALVINO_LEAKAGE,
        # Seven and a half doublings of 5 nA.
        example=Example(
            values={
                "reference_leakage": 5e-9,
                "temperature": 100.0,
                "reference_temperature": 25.0,
                "doubling_interval": 10.0,
            },
            expected=905e-9,
            tolerance=6e-4,
            source=_MALVINO_LEAKAGE,
        ),
        kind="rule",
    ),
    Formula(
        id="leakage-by-steps",
        topic="diode",
        title="Leakage at another temperature, by whole doublings and a share per kelvin",
        statement=r"I_R = I_0\,2^{n}\,(1+s)^{m},\quad n = \left\lfloor\tfrac{T-T_0}{\Delta T}\right\rfloor,\ "
        r"m = \frac{T - T_0 - n\,\Delta T}{\delta}",
        quantities=(
            _REFERENCE_LEAKAGE,
            _TEMPERATURE,
            _REFERENCE,
            _DOUBLING,
            quantity("share_per_step", "s", "1", "growth for each small step left over: 0.07 by the rule"),
            quantity("step", r"\delta", "K", "the small step: 1 K by the rule"),
        ),
        result=quantity("leakage", "I_R", "A", "leakage"),
        function=leakage_by_steps,
        assumptions=(Assumption(claim="doubles for each whole step and adds a share for each kelvin left"),),
        validity=Validity(
            sentence="Valid as an order of magnitude; 0.8 % below the smooth law in its source's example."
        ),
        source=_MALVINO_LEAKAGE,
        example=Example(
            values={
                "reference_leakage": 5e-9,
                "temperature": 100.0,
                "reference_temperature": 25.0,
                "doubling_interval": 10.0,
                "share_per_step": 0.07,
                "step": 1.0,
            },
            expected=8.98e-7,
            tolerance=5.7e-4,
            source=_MALVINO_LEAKAGE,
        ),
        kind="rule",
    ),
    Formula(
        id="diode-current",
        topic="diode",
        title="Current of a diode behind a resistor",
        statement=r"V = R I + V_0 + V_{10}\log_{10}\frac{I}{I_0}",
        quantities=(
            quantity("source_voltage", "V", "V", "direct voltage that drives the current"),
            quantity("series_resistance", "R", "ohm", "resistance in the path"),
            _REFERENCE_DROP,
            quantity("reference_current", "I_0", "A", "current of the reference drop"),
            _PER_DECADE,
        ),
        result=quantity("diode_current", "I", "A", "current of the diode"),
        function=diode_current,
        assumptions=(Assumption(claim="lets the drop rise by the same step for each decade of current"),),
        validity=Validity(sentence="Valid for forward currents far above the saturation current."),
        source=_SEDRA,
        example=Example(
            values={
                "source_voltage": 5.0,
                "series_resistance": 1000.0,
                "reference_drop": 0.7,
                "reference_current": 1e-3,
                "drop_per_decade": 0.1,
            },
            expected=0.004237,
            tolerance=1e-3,
            source=_SEDRA,
        ),
    ),
    Formula(
        id="drop-by-decades",
        topic="diode",
        title="Forward drop at another current",
        statement=r"V_D = V_0 + V_{10}\log_{10}\frac{I}{I_0}",
        quantities=(
            _REFERENCE_DROP,
            _PER_DECADE,
            quantity("current_ratio", "I/I_0", "1", "current over the current of the reference drop"),
        ),
        result=_DROP,
        function=diode_drop_by_decades,
        assumptions=(Assumption(claim="leaves out the resistance of the silicon"),),
        validity=Validity(sentence="Valid for forward currents far above the saturation current."),
        source=_SEDRA,
        # log10 4.237 = 0.627.
        example=Example(
            values={"reference_drop": 0.7, "drop_per_decade": 0.1, "current_ratio": 4.237},
            expected=0.762,
            tolerance=1e-3,
            source=_SEDRA,
        ),
    ),
)
