"""The formulas whose places are known: a number in such a place is tied to the quantity that belongs there.

They are the handbook's formulas in the shapes in which lessons write them, in quantity names. `pulses` (charging pulses
a period) and `diodes_in_path` are numbers of the circuit.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

KNOWN_FORMULAS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "source_rms": ("primary_rms / turns_ratio", "source_peak / sqrt(2)"),
        "source_peak": ("source_rms * sqrt(2)", "primary_rms / turns_ratio * sqrt(2)"),
        "turns_ratio": ("primary_rms / source_rms",),
        "total_drop": ("diodes_in_path * diode_drop",),
        "load_peak": (
            "source_peak - diodes_in_path * diode_drop",
            "source_peak - total_drop",
            "source_rms * sqrt(2) - diodes_in_path * diode_drop",
            "source_rms * sqrt(2) - total_drop",
        ),
        "load_mean": (
            "load_peak - ripple_peak_to_peak / 2",
            "load_peak - load_current / (2 * pulses * mains_frequency * capacitance)",
            "load_peak - load_current / (2 * ripple_frequency * capacitance)",
            "source_peak - total_drop - ripple_peak_to_peak / 2",
            "source_peak - diodes_in_path * diode_drop - ripple_peak_to_peak / 2",
            "pulses * load_peak / pi",
            "(load_peak + load_valley) / 2",
        ),
        "load_valley": ("load_peak - ripple_peak_to_peak",),
        "load_rms": ("load_peak / sqrt(2)", "load_peak / 2"),
        "load_current": (
            "load_peak / load_resistance",
            "load_mean / load_resistance",
            "output_voltage / load_resistance",
            "power / load_mean",
            "power / output_voltage",
        ),
        "ripple_peak_to_peak": (
            "load_current / (pulses * mains_frequency * capacitance)",
            "load_current / (ripple_frequency * capacitance)",
            "load_current * discharge_time / capacitance",
            "load_peak / (pulses * mains_frequency * load_resistance * capacitance)",
            "load_peak / (ripple_frequency * load_resistance * capacitance)",
            "load_peak * discharge_time / (load_resistance * capacitance)",
            "load_mean / (ripple_frequency * load_resistance * capacitance)",
            "load_mean / (pulses * mains_frequency * load_resistance * capacitance)",
            "load_peak * discharge_time / time_constant",
            "load_peak * (1 - exp(-discharge_time / (load_resistance * capacitance)))",
            "load_peak - load_valley",
        ),
        "capacitance": (
            "load_current / (pulses * mains_frequency * ripple_peak_to_peak)",
            "load_current / (ripple_frequency * ripple_peak_to_peak)",
            "load_current * discharge_time / ripple_peak_to_peak",
        ),
        "ripple_rms": ("ripple_peak_to_peak / (2 * sqrt(3))",),
        "ripple_factor": (
            "ripple_rms / load_mean",
            "1 / (2 * sqrt(3) * pulses * mains_frequency * load_resistance * capacitance)",
            "1 / (2 * sqrt(3) * ripple_frequency * load_resistance * capacitance)",
        ),
        "ripple_ratio": ("ripple_peak_to_peak / load_mean",),
        "ripple_frequency": ("pulses * mains_frequency",),
        "period": ("1 / mains_frequency",),
        "discharge_time": ("1 / ripple_frequency", "1 / (pulses * mains_frequency)", "period / pulses"),
        "time_constant": ("load_resistance * capacitance",),
        "reverse_voltage_peak": (
            "source_peak - diode_drop",
            "2 * source_peak - diode_drop",
            "2 * source_peak",
            "source_peak + load_peak",
            "load_peak + diode_drop",
            "source_peak",
        ),
        "diode_current_mean": ("load_current / pulses",),
        "winding_current_rms": ("1.8 * load_current",),
        "power": (
            "load_mean * load_current",
            "load_mean ^ 2 / load_resistance",
            "load_rms ^ 2 / load_resistance",
            "load_current ^ 2 * load_resistance",
            "output_voltage * load_current",
        ),
        "regulator_power": (
            "(load_mean - output_voltage) * load_current",
            "(load_peak - output_voltage) * load_current",
        ),
        "diode_power": ("diode_drop * diode_current_mean",),
        "apparent_power": ("source_rms * winding_current_rms",),
        "regulation": ("(no_load_voltage - load_mean) / load_mean",),
        "efficiency": ("output_voltage / load_mean",),
    }
)

#: Rules of thumb: the quantity, the rule, and what a note calls it. Reckoning from the RMS value is the way of East
#: Asian courses; common practice, no source.
RULES: Final[tuple[tuple[str, str, str], ...]] = (
    ("load_mean", "1.2 * source_rms", "the rule 1.2 times RMS"),
    ("load_mean", "1.1 * source_rms", "the rule 1.1 times RMS"),
    ("load_mean", "source_rms * sqrt(2)", "the rule 1.4 times RMS"),
    ("no_load_voltage", "source_rms * sqrt(2)", "the rule 1.4 times RMS"),
    ("load_mean", "source_rms * sqrt(2) - total_drop", "the peak taken for the mean"),
)
