"""Doublers and the cascade: output without load, droop and ripple under load."""

from __future__ import annotations

import math

from railwright.handbook.formula import Assumption, Example, Formula, Symbol, Validity
from railwright.handbook.sources import KUFFEL, NAIDU, ON_PAPER, bell
from railwright.handbook.symbols import DIODE_DROP, LOAD_CURRENT, SOURCE_PEAK, quantity

_STAGES = quantity("stages", "N", "1", "stages of two diodes and two capacitors each")
_CAPACITANCE = quantity("stage_capacitance", "C", "F", "each of the equal capacitors")
_FREQUENCY = quantity("mains_frequency", "f", "Hz", "frequency of the source")
_EQUAL = Assumption(claim="takes all capacitors as equal and their ripple as small")
_DROPS = Assumption(claim="leaves out the diode drops")
_LOSSES = Assumption(claim="leaves out the resistance of winding and diodes")
_LIGHT = Validity(sentence="Valid for light loads.")
_CASCADE = ("half-wave-doubler", "multiplier")


def multiplier_no_load(*, source_peak: float, diode_drop: float, stages: float) -> float:
    """Output of doubler or cascade without load. [V] Raises ValueError where the drops exceed the peak."""
    if diode_drop >= source_peak:
        raise ValueError(
            f"a drop of {diode_drop:g} V, source peak {source_peak:g} V: nothing gets through. "
            "Check the winding voltage."
        )
    return 2.0 * stages * (source_peak - diode_drop)


def cascade_droop(*, load_current: float, mains_frequency: float, stage_capacitance: float, stages: float) -> float:
    """Fall of the cascade's output under load. [V]"""
    return (
        load_current
        / (mains_frequency * stage_capacitance)
        * (2.0 * stages**3 / 3.0 + stages**2 / 2.0 - stages / 6.0)
    )


def cascade_ripple(*, load_current: float, mains_frequency: float, stage_capacitance: float, stages: float) -> float:
    """Peak-to-peak ripple of the cascade's output. [V]"""
    return load_current * stages * (stages + 1.0) / (2.0 * mains_frequency * stage_capacitance)


def cascade_mean(*, no_load_voltage: float, voltage_drop: float) -> float:
    """Output of the cascade under load. [V] Raises ValueError where nothing is left."""
    if voltage_drop >= no_load_voltage:
        raise ValueError(f"a fall of {voltage_drop:g} V eats all of {no_load_voltage:g} V. Take larger capacitors.")
    return no_load_voltage - voltage_drop


def doubler_mean(
    *, source_peak: float, diode_drop: float, load_current: float, mains_frequency: float, stage_capacitance: float
) -> float:
    """Output of a full-wave doubler under load. [V]"""
    return 2.0 * (source_peak - diode_drop) - load_current / (mains_frequency * stage_capacitance)


def optimum_stages(
    *, source_peak: float, mains_frequency: float, stage_capacitance: float, load_current: float
) -> float:
    """Number of stages beyond which the output falls again. [1]"""
    return math.sqrt(source_peak * mains_frequency * stage_capacitance / load_current)


_LOADED: tuple[Symbol, ...] = (LOAD_CURRENT, _FREQUENCY, _CAPACITANCE, _STAGES)

FORMULAS = (
    Formula(
        id="multiplier-no-load",
        topic="multiplier",
        title="Output of doubler or cascade without load",
        statement=r"V_0 = 2N\,(V_m - V_D)",
        quantities=(SOURCE_PEAK, DIODE_DROP, _STAGES),
        result=quantity("no_load_voltage", "V_0", "V", "output without load"),
        function=multiplier_no_load,
        assumptions=(Assumption(claim="draws no load current"), _LOSSES),
        validity=_LIGHT,
        source=bell("Ex. 3.26, p. 130"),
        example=Example(
            values={"source_peak": 12.0, "diode_drop": 0.7, "stages": 1.0},
            expected=22.6,
            tolerance=2.3e-3,
            source=bell("Ex. 3.26, p. 130"),
        ),
        readings=("load.voltage.no_load_mean",),
        circuits=(*_CASCADE, "full-wave-doubler"),
    ),
    Formula(
        id="cascade-droop",
        topic="multiplier",
        title="Droop of the cascade under load",
        statement=r"\Delta V = \frac{I}{fC}\left(\tfrac{2}{3}N^3 + \tfrac{1}{2}N^2 - \tfrac{1}{6}N\right)",
        quantities=_LOADED,
        result=quantity("voltage_drop", r"\Delta V", "V", "fall of the output under load", "not negative"),
        function=cascade_droop,
        assumptions=(_EQUAL, _DROPS, _LOSSES),
        validity=_LIGHT,
        source=KUFFEL,
        example=Example(
            values={"load_current": 1e-3, "mains_frequency": 20e3, "stage_capacitance": 1e-8, "stages": 5.0},
            expected=475.0,
            tolerance=1.1e-3,
            source=KUFFEL,
        ),
        readings=("rectifier.voltage.droop",),
        circuits=_CASCADE,
    ),
    Formula(
        id="cascade-ripple",
        topic="multiplier",
        title="Ripple of the cascade",
        statement=r"V_r = \frac{I\,N(N+1)}{2fC}",
        quantities=_LOADED,
        result=quantity("ripple_peak_to_peak", "V_r", "V", "ripple, peak to peak", "not negative"),
        function=cascade_ripple,
        assumptions=(_EQUAL, _LOSSES),
        validity=_LIGHT,
        source=KUFFEL,
        example=Example(
            values={"load_current": 1e-3, "mains_frequency": 20e3, "stage_capacitance": 1e-8, "stages": 5.0},
            expected=75.0,
            tolerance=6.8e-4,
            source=KUFFEL,
        ),
        readings=("load.voltage.ripple_peak_to_peak",),
        circuits=_CASCADE,
    ),
    Formula(
        id="cascade-mean",
        topic="multiplier",
        title="Output of the cascade under load",
        statement=r"V_{\mathrm{dc}} = V_0 - \Delta V",
        quantities=(
            quantity("no_load_voltage", "V_0", "V", "output without load"),
            quantity("voltage_drop", r"\Delta V", "V", "fall of the output under load", "not negative"),
        ),
        result=quantity("load_mean", r"V_{\mathrm{dc}}", "V", "mean output"),
        function=cascade_mean,
        assumptions=(_EQUAL, _LOSSES),
        validity=_LIGHT,
        source=KUFFEL,
        # Arithmetic.
        example=Example(
            values={"no_load_voltage": 100.0, "voltage_drop": 22.0}, expected=78.0, tolerance=1e-9, source=ON_PAPER
        ),
        readings=("load.voltage.mean",),
        circuits=_CASCADE,
    ),
    Formula(
        id="doubler-mean",
        topic="multiplier",
        title="Output of a full-wave doubler under load",
        statement=r"V_{\mathrm{dc}} = 2\,(V_m - V_D) - \frac{I}{fC}",
        quantities=(SOURCE_PEAK, DIODE_DROP, LOAD_CURRENT, _FREQUENCY, _CAPACITANCE),
        result=quantity("load_mean", r"V_{\mathrm{dc}}", "V", "mean output", "any"),
        function=doubler_mean,
        assumptions=(Assumption(claim="lets each capacitor discharge in a straight line for a whole period"), _LOSSES),
        validity=_LIGHT,
        source=ON_PAPER,
        # 2 x 16 V less 50 mA/(50 Hz x 1 mF) = 1 V.
        example=Example(
            values={
                "source_peak": 16.7,
                "diode_drop": 0.7,
                "load_current": 0.05,
                "mains_frequency": 50.0,
                "stage_capacitance": 1e-3,
            },
            expected=31.0,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        readings=("load.voltage.mean",),
        circuits=("full-wave-doubler",),
    ),
    Formula(
        id="optimum-stages",
        topic="multiplier",
        title="Number of stages with the highest output",
        statement=r"N_{\mathrm{opt}} = \sqrt{\frac{V_m f C}{I}}",
        quantities=(
            quantity("source_peak", "V_m", "V", "peak of the source"),
            _FREQUENCY,
            _CAPACITANCE,
            quantity("load_current", "I", "A", "load current"),
        ),
        result=_STAGES,
        function=optimum_stages,
        assumptions=(Assumption(claim="keeps only the cubic term of the droop"), _EQUAL),
        validity=Validity(sentence="Valid for many stages."),
        source=NAIDU,
        example=Example(
            values={"source_peak": 100e3, "mains_frequency": 150.0, "stage_capacitance": 50e-9, "load_current": 5e-3},
            expected=12.2,
            tolerance=4.2e-3,
            source=NAIDU,
        ),
        circuits=_CASCADE,
    ),
)
