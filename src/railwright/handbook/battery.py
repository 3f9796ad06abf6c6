"""A battery on charge straight behind the rectifier: current flows only while the sine exceeds the battery."""

from __future__ import annotations

import math

from railwright.handbook.formula import CIRCUITS_SINGLE_PHASE, Assumption, Example, Formula, Validity
from railwright.handbook.sources import ON_PAPER
from railwright.handbook.symbols import PULSES, quantity

_PEAK = quantity("source_peak", "V_m", "V", "peak of the sine before the rectifier")
_BATTERY = quantity("battery_voltage", "E", "V", "EMF of the battery with all diode drops of the path added")
_PATH = quantity("path_resistance", "R", "ohm", "resistance of battery, winding and diodes together")
_NO_CHOKE = Validity(
    sentence="Valid without a filter part, for a peak above the battery. A lead-acid battery gives off "
    "explosive gas and short circuits burn: follow its maker and local rules.",
    condition=lambda values: values["source_peak"] > values["battery_voltage"],
)
_CONSTANT = Assumption(claim="takes the battery's EMF, the drops and the resistance as constant over the period")
_STIFF = Assumption(claim="leaves out the inductance of the winding")


def _start(source_peak: float, battery_voltage: float) -> float:
    """Angle at which the sine passes the battery. [rad]"""
    if battery_voltage >= source_peak:
        raise ValueError(
            f"a battery of {battery_voltage:g} V isn't charged by a peak of {source_peak:g} V. "
            "Take a higher winding voltage."
        )
    return math.asin(battery_voltage / source_peak)


def battery_conduction_angle(*, source_peak: float, battery_voltage: float) -> float:
    """Angle of one charging pulse. [deg] Raises ValueError for a peak below the battery."""
    return 180.0 - 2.0 * math.degrees(_start(source_peak, battery_voltage))


def battery_current_mean(*, source_peak: float, battery_voltage: float, path_resistance: float, pulses: float) -> float:
    """Mean charging current. [A] Raises ValueError for a peak below the battery."""
    start = _start(source_peak, battery_voltage)
    hump = 2.0 * source_peak * math.cos(start) - battery_voltage * (math.pi - 2.0 * start)
    return pulses * hump / (2.0 * math.pi * path_resistance)


def battery_current_peak(*, source_peak: float, battery_voltage: float, path_resistance: float) -> float:
    """Peak of the charging current. [A]"""
    return (source_peak - battery_voltage) / path_resistance


def battery_power(*, battery_voltage: float, charging_current: float) -> float:
    """Power that a battery takes up. [W]"""
    return battery_voltage * charging_current


FORMULAS = (
    Formula(
        id="battery-conduction-angle",
        topic="battery",
        title="Conduction angle of a charging pulse",
        statement=r"\alpha = 180^\circ - 2\arcsin\frac{E}{V_m}",
        quantities=(_PEAK, _BATTERY),
        result=quantity("conduction_angle", r"\alpha", "deg", "angle of one charging pulse"),
        function=battery_conduction_angle,
        assumptions=(_CONSTANT, _STIFF),
        validity=_NO_CHOKE,
        source=ON_PAPER,
        # Half the peak is exceeded from 30 to 150 degrees.
        example=Example(
            values={"source_peak": 24.0, "battery_voltage": 12.0}, expected=120.0, tolerance=1e-9, source=ON_PAPER
        ),
        kind="exact law",
        readings=("D*.conduction.angle",),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="battery-current-mean",
        topic="battery",
        title="Mean charging current",
        statement=r"I_{\mathrm{dc}} = \frac{p}{2\pi R}\left[2V_m\cos\theta - E\,(\pi - 2\theta)\right],"
        r"\quad \theta = \arcsin\frac{E}{V_m}",
        quantities=(_PEAK, _BATTERY, _PATH, PULSES),
        result=quantity("load_current_mean", r"I_{\mathrm{dc}}", "A", "mean charging current"),
        function=battery_current_mean,
        assumptions=(_CONSTANT, _STIFF),
        validity=_NO_CHOKE,
        source=ON_PAPER,
        # theta = 30 degrees: (2 x 24 x 0.866025 - 12 x 2.094395)/pi over 1 ohm.
        example=Example(
            values={"source_peak": 24.0, "battery_voltage": 12.0, "path_resistance": 1.0, "pulses": 2.0},
            expected=5.23189,
            tolerance=2e-6,
            source=ON_PAPER,
        ),
        kind="exact law",
        readings=("load.current.mean",),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="battery-current-peak",
        topic="battery",
        title="Peak of the charging current",
        statement=r"I_{\mathrm{max}} = \frac{V_m - E}{R}",
        quantities=(_PEAK, _BATTERY, _PATH),
        result=quantity("load_current_peak", r"I_{\mathrm{max}}", "A", "peak of the charging current", "any"),
        function=battery_current_peak,
        assumptions=(_CONSTANT, _STIFF),
        validity=_NO_CHOKE,
        source=ON_PAPER,
        example=Example(
            values={"source_peak": 24.0, "battery_voltage": 12.0, "path_resistance": 2.0},
            expected=6.0,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        kind="exact law",
        readings=("load.current.peak", "D*.current.peak"),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="battery-power",
        topic="battery",
        title="Power that a battery takes up",
        statement=r"P = E\,I_{\mathrm{dc}}",
        quantities=(
            quantity("battery_voltage", "E", "V", "EMF of the battery"),
            quantity("charging_current", r"I_{\mathrm{dc}}", "A", "mean charging current"),
        ),
        result=quantity("power", "P", "W", "power taken up"),
        function=battery_power,
        assumptions=(Assumption(claim="takes the EMF as constant over the period"),),
        validity=Validity(sentence="Exact for a constant EMF: the mean current alone counts, not its RMS."),
        source=ON_PAPER,
        example=Example(
            values={"battery_voltage": 12.0, "charging_current": 5.0}, expected=60.0, tolerance=1e-9, source=ON_PAPER
        ),
        kind="exact law",
        readings=("load.battery.power",),
    ),
)
