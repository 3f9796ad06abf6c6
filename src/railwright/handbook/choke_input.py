"""The choke-input filter: mean, critical inductance and ripple, reckoned with the second harmonic."""

from __future__ import annotations

import math

from railwright.handbook.formula import CIRCUITS_FULL_WAVE, Assumption, Example, Formula, Validity
from railwright.handbook.sources import (
    CHATTOPADHYAY_CHOKE,
    KISHORE,
    KISHORE_CHOKE,
    ON_PAPER,
    PARKER_SMITH,
    SEDHA_CHOKE,
    SEDHA_PI,
)
from railwright.handbook.symbols import (
    DIODE_DROP,
    DIODES_IN_PATH,
    LOAD_MEAN,
    LOAD_RESISTANCE,
    MAINS_FREQUENCY,
    SOURCE_PEAK,
    quantity,
)

_INDUCTANCE = quantity("inductance", "L", "H", "inductance of the choke")
_CAPACITANCE = quantity("capacitance", "C", "F", "capacitance behind the choke")
_SERIES = quantity(
    "series_resistance", "R_s", "ohm", "resistance in series with the load: the choke's winding", "not negative"
)
_RIPPLE_FACTOR = quantity("ripple_factor", r"\gamma", "1", "RMS of the ripple over the mean")
_CONTINUOUS = Assumption(claim="keeps the choke's current flowing all the time, so that two diodes always conduct")
_SECOND = Assumption(claim="keeps only the second harmonic of the rectified sine")
_LARGE_CAPACITOR = Assumption(claim="lets the whole ripple current pass the capacitor and none the load")
_WINDING = Assumption(claim="leaves out the resistance of the winding")


def critical_inductance(*, load_resistance: float, mains_frequency: float) -> float:
    """Least inductance for a current without gaps, second harmonic only. [H]"""
    return load_resistance / (6.0 * math.pi * mains_frequency)


def choke_input_mean(
    *, source_peak: float, diode_drop: float, diodes_in_path: float, series_resistance: float, load_resistance: float
) -> float:
    """Mean load voltage behind a choke, full-wave. [V] Raises ValueError where the drops eat the mean."""
    drops = diode_drop * diodes_in_path
    mean = 2.0 * source_peak / math.pi - drops
    if mean <= 0.0:
        raise ValueError(
            f"drops of {drops:g} V, source peak {source_peak:g} V: nothing reaches the load. Check the winding voltage."
        )
    return mean * load_resistance / (load_resistance + series_resistance)


def source_peak_for_choke_input(*, load_mean: float, series_resistance: float, load_resistance: float) -> float:
    """Source peak that a choke-input supply needs, drops left out. [V]"""
    return math.pi / 2.0 * load_mean * (1.0 + series_resistance / load_resistance)


def choke_input_ripple_factor(*, mains_frequency: float, inductance: float, capacitance: float) -> float:
    """Ripple factor of a choke-input filter. [1]"""
    angular = 2.0 * math.pi * mains_frequency
    return math.sqrt(2.0) / (12.0 * angular**2 * inductance * capacitance)


def series_choke_for_ripple_factor(
    *, load_resistance: float, mains_frequency: float, ripple_factor: float
) -> float:
    """Inductance of a lone series choke for a wanted ripple factor. [H]"""
    return load_resistance / (3.0 * math.sqrt(2.0) * 2.0 * math.pi * mains_frequency * ripple_factor)


def pi_filter_ripple_factor(
    *,
    mains_frequency: float,
    first_capacitance: float,
    second_capacitance: float,
    inductance: float,
    load_resistance: float,
) -> float:
    """Ripple factor of a capacitor, choke, capacitor filter. [1]"""
    angular = 2.0 * math.pi * mains_frequency
    return math.sqrt(2.0) / (
        8.0 * angular**3 * first_capacitance * second_capacitance * inductance * load_resistance
    )


def minimum_choke_current(*, source_peak: float, mains_frequency: float, inductance: float) -> float:
    """Mean current below which the choke's current has gaps; what a bleeder must draw. [A]"""
    return 2.0 * source_peak / (3.0 * math.pi * 2.0 * math.pi * mains_frequency * inductance)


def critical_inductance_exact(*, load_resistance: float, mains_frequency: float) -> float:
    """Least inductance for a current without gaps, all harmonics. [H]"""
    start = math.asin(2.0 / math.pi)
    share = math.pi / 2.0 * (math.cos(start) + 2.0 * start / math.pi - 1.0)
    return share * load_resistance / (2.0 * math.pi * mains_frequency)


def bleeder_for_choke(*, inductance: float, mains_frequency: float) -> float:
    """Greatest bleeder that keeps a choke's current flowing, all harmonics. [ohm]"""
    return inductance / critical_inductance_exact(load_resistance=1.0, mains_frequency=mains_frequency)


def lc_product_for_ripple_factor(*, mains_frequency: float, ripple_factor: float) -> float:
    """Inductance times capacitance for a wanted ripple factor. [H·F]"""
    return math.sqrt(2.0) / (12.0 * ripple_factor * (2.0 * math.pi * mains_frequency) ** 2)


def capacitance_for_choke_input(*, mains_frequency: float, inductance: float, ripple_factor: float) -> float:
    """Capacitance behind a known choke for a wanted ripple factor. [F]"""
    return lc_product_for_ripple_factor(mains_frequency=mains_frequency, ripple_factor=ripple_factor) / inductance


FORMULAS = (
    Formula(
        id="critical-inductance",
        topic="choke input",
        title="Critical inductance",
        statement=r"L_{\mathrm{crit}} = \frac{R}{6\pi f}",
        quantities=(LOAD_RESISTANCE, MAINS_FREQUENCY),
        result=_INDUCTANCE,
        function=critical_inductance,
        assumptions=(_SECOND,),
        validity=Validity(sentence="Valid for a full wave; all harmonics together ask for 0.8 % less."),
        source=PARKER_SMITH,
        example=Example(
            values={"load_resistance": 8000.0, "mains_frequency": 50.0},
            expected=8.5,
            tolerance=6e-3,
            source=PARKER_SMITH,
        ),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-input-mean",
        topic="choke input",
        title="Mean behind a choke",
        statement=r"V_{\mathrm{dc}} = \left(\frac{2V_m}{\pi} - kV_D\right)\frac{R}{R + R_s}",
        quantities=(
            SOURCE_PEAK,
            DIODE_DROP,
            DIODES_IN_PATH,
            _SERIES,
            LOAD_RESISTANCE,
            quantity("inductance", "L", "H", "inductance of the choke, to judge the validity", optional=True),
            quantity("mains_frequency", "f", "Hz", "frequency of the mains, to judge the validity", optional=True),
        ),
        result=LOAD_MEAN,
        function=choke_input_mean,
        assumptions=(_CONTINUOUS, _WINDING),
        validity=Validity(
            sentence="Valid above the critical inductance, R/(6πf).",
            condition=lambda values: (
                values["inductance"]
                >= critical_inductance(
                    load_resistance=values["load_resistance"] + values["series_resistance"],
                    mains_frequency=values["mains_frequency"],
                )
            ),
            needs=("inductance", "mains_frequency"),
        ),
        source=KISHORE,
        # Read backwards: 322 V RMS a half, 400 ohm of choke and 2500 ohm of load give 250 V.
        example=Example(
            values={
                "source_peak": 322.0 * math.sqrt(2.0),
                "diode_drop": 0.0,
                "diodes_in_path": 1.0,
                "series_resistance": 400.0,
                "load_resistance": 2500.0,
            },
            expected=250.0,
            tolerance=1.6e-3,
            source=KISHORE,
        ),
        readings=("load*.voltage.mean", "load.voltage.no_load_mean"),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="source-peak-for-choke-input",
        topic="choke input",
        title="Source peak for a wanted mean behind a choke",
        statement=r"V_m = \frac{\pi}{2} V_{\mathrm{dc}}\left(1 + \frac{R_s}{R}\right)",
        quantities=(LOAD_MEAN, _SERIES, LOAD_RESISTANCE),
        result=SOURCE_PEAK,
        function=source_peak_for_choke_input,
        assumptions=(_CONTINUOUS, Assumption(claim="leaves out the drops of the diodes"), _WINDING),
        validity=Validity(sentence="Valid above the critical inductance."),
        source=KISHORE,
        example=Example(
            values={"load_mean": 250.0, "series_resistance": 400.0, "load_resistance": 2500.0},
            expected=322.0 * math.sqrt(2.0),
            tolerance=1.6e-3,
            source=KISHORE,
        ),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="choke-input-ripple-factor",
        topic="choke input",
        title="Ripple factor of a choke-input filter",
        statement=r"\gamma = \frac{\sqrt{2}}{12\,\omega^2 L C}",
        quantities=(MAINS_FREQUENCY, _INDUCTANCE, _CAPACITANCE),
        result=_RIPPLE_FACTOR,
        function=choke_input_ripple_factor,
        assumptions=(_CONTINUOUS, _SECOND, _LARGE_CAPACITOR),
        validity=Validity(sentence="Valid above the critical inductance and far above the filter's resonance."),
        source=PARKER_SMITH,
        example=Example(
            values={"mains_frequency": 50.0, "inductance": 30.0, "capacitance": 10e-6},
            expected=0.004,
            tolerance=1.3e-2,
            source=PARKER_SMITH,
        ),
        readings=("load*.voltage.ripple_factor",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="series-choke-for-ripple-factor",
        topic="choke input",
        title="Series choke for a wanted ripple factor",
        statement=r"L = \frac{R}{3\sqrt{2}\,\omega\gamma}",
        quantities=(LOAD_RESISTANCE, MAINS_FREQUENCY, _RIPPLE_FACTOR),
        result=_INDUCTANCE,
        function=series_choke_for_ripple_factor,
        assumptions=(_CONTINUOUS, _SECOND),
        validity=Validity(sentence="Valid for a full wave and a ripple factor well below 0.47."),
        source=SEDHA_CHOKE,
        example=Example(
            values={"load_resistance": 100.0, "mains_frequency": 400.0, "ripple_factor": 0.05},
            expected=0.188,
            tolerance=2.8e-3,
            source=SEDHA_CHOKE,
        ),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="pi-filter-ripple-factor",
        topic="choke input",
        title="Ripple factor of a capacitor, choke, capacitor filter",
        statement=r"\gamma = \frac{\sqrt{2}}{8\,\omega^3 C_1 C_2 L R}",
        quantities=(
            MAINS_FREQUENCY,
            quantity("first_capacitance", "C_1", "F", "reservoir before the choke"),
            quantity("second_capacitance", "C_2", "F", "capacitor behind the choke"),
            _INDUCTANCE,
            LOAD_RESISTANCE,
        ),
        result=_RIPPLE_FACTOR,
        function=pi_filter_ripple_factor,
        assumptions=(_SECOND, _LARGE_CAPACITOR),
        validity=Validity(sentence="Valid for small ripple at the first capacitor, far above the filter's resonance."),
        source=SEDHA_PI,
        example=Example(
            values={
                "mains_frequency": 50.0,
                "first_capacitance": 1e-4,
                "second_capacitance": 1e-4,
                "inductance": 5.0,
                "load_resistance": 150.0,
            },
            expected=0.00076,
            tolerance=6.8e-3,
            source=SEDHA_PI,
        ),
        readings=("load*.voltage.ripple_factor",),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="minimum-choke-current",
        topic="choke input",
        title="Least current for a choke-input filter",
        statement=r"I_{\mathrm{min}} = \frac{2V_m}{3\pi\,\omega L}",
        quantities=(SOURCE_PEAK, MAINS_FREQUENCY, _INDUCTANCE),
        result=quantity(
            "bleeder_current", r"I_{\mathrm{min}}", "A", "mean current that keeps the choke's current flowing"
        ),
        function=minimum_choke_current,
        assumptions=(_SECOND,),
        validity=Validity(sentence="Valid for a full wave."),
        source=KISHORE,
        # 250 V and 400 ohm over 2500 ohm ask for a peak of 455.5 V; the book rounds omega to 377.
        example=Example(
            values={"source_peak": 455.5, "mains_frequency": 60.0, "inductance": 10.0},
            expected=0.0256,
            tolerance=2e-3,
            source=KISHORE,
        ),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="critical-inductance-exact",
        topic="choke input",
        title="Critical inductance, all harmonics",
        statement=r"L_{\mathrm{crit}} = \frac{R}{2\pi f}\,\frac{\pi}{2}"
        r"\left(\cos\theta + \frac{2\theta}{\pi} - 1\right),\quad \theta = \arcsin\frac{2}{\pi}",
        quantities=(LOAD_RESISTANCE, MAINS_FREQUENCY),
        result=_INDUCTANCE,
        function=critical_inductance_exact,
        assumptions=(Assumption(claim="takes the load's voltage as perfectly smooth"),),
        validity=Validity(sentence="Exact for a full wave, ideal diodes and a large capacitor behind the choke."),
        source=ON_PAPER,
        # 0.3307 R over omega: R/950 at 50 Hz.
        example=Example(
            values={"load_resistance": 950.0, "mains_frequency": 50.0}, expected=1.0, tolerance=1e-3,
            source=CHATTOPADHYAY_CHOKE,
        ),
        kind="exact law",
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="bleeder-for-choke",
        topic="choke input",
        title="Greatest bleeder that keeps a choke's current flowing",
        statement=r"R_B = \frac{2\pi f L}{0.3307}",
        quantities=(_INDUCTANCE, MAINS_FREQUENCY),
        result=LOAD_RESISTANCE,
        function=bleeder_for_choke,
        assumptions=(Assumption(claim="takes the load's voltage as perfectly smooth"),),
        validity=Validity(sentence="Exact for a full wave, ideal diodes and a large capacitor behind the choke."),
        source=CHATTOPADHYAY_CHOKE,
        example=Example(
            values={"inductance": 1.0, "mains_frequency": 50.0}, expected=950.0, tolerance=1e-3,
            source=CHATTOPADHYAY_CHOKE,
        ),
        kind="exact law",
        circuits=CIRCUITS_FULL_WAVE,
        undoes="critical-inductance-exact",
    ),
    Formula(
        id="lc-product-for-ripple-factor",
        topic="choke input",
        title="Inductance times capacitance for a wanted ripple factor",
        statement=r"L C = \frac{\sqrt{2}}{12\,\gamma\,\omega^2}",
        quantities=(MAINS_FREQUENCY, _RIPPLE_FACTOR),
        result=quantity("lc_product", "LC", "H·F", "inductance times capacitance"),
        function=lc_product_for_ripple_factor,
        assumptions=(_CONTINUOUS, _SECOND, _LARGE_CAPACITOR),
        validity=Validity(sentence="Valid above the critical inductance and far above the filter's resonance."),
        source=KISHORE_CHOKE,
        example=Example(
            values={"mains_frequency": 60.0, "ripple_factor": 0.02}, expected=4.15e-5, tolerance=1.3e-3,
            source=KISHORE_CHOKE,
        ),
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="capacitance-for-choke-input",
        topic="choke input",
        title="Capacitor behind a known choke for a wanted ripple factor",
        statement=r"C = \frac{\sqrt{2}}{12\,\gamma\,\omega^2 L}",
        quantities=(MAINS_FREQUENCY, _INDUCTANCE, _RIPPLE_FACTOR),
        result=_CAPACITANCE,
        function=capacitance_for_choke_input,
        assumptions=(_CONTINUOUS, _SECOND, _LARGE_CAPACITOR),
        validity=Validity(sentence="Valid above the critical inductance and far above the filter's resonance."),
        source=CHATTOPADHYAY_CHOKE,
        example=Example(
            values={"mains_frequency": 50.0, "inductance": 0.1, "ripple_factor": 0.02}, expected=0.000597,
            tolerance=1e-3, source=CHATTOPADHYAY_CHOKE,
        ),
        undoes="choke-input-ripple-factor",
        circuits=CIRCUITS_FULL_WAVE,
    ),
)
