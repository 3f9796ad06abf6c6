"""The quantities whose letters a course may choose, and how a letter that was typed is written on paper.

A course writes `V_dc`, `V_r(pp)`, `γ` or `ΔV`: a letter, and after `_` what stands below it.
"""

from __future__ import annotations

import re
from typing import Final

#: Every quantity of the handbook's formulas, by its full name.
QUANTITIES: Final[tuple[str, ...]] = (
    "absolute_temperature", "actual_temperature", "adjust_current", "allowance", "ambient_temperature",
    "apparent_power", "base_current", "base_emitter_drop", "battery_voltage", "bleeder", "bleeder_current",
    "boltzmann", "capacitance", "capacitor_current_rms", "capacitor_reactance", "case_to_sink", "charge",
    "charging_current", "charging_current_rms", "choke_current_mean", "choke_current_peak", "choke_current_rms",
    "choke_current_valley", "choke_reactance", "collector_current", "conduction_angle",
    "conduction_time", "current_change", "current_gain", "current_ratio", "current_rms", "dc_current_factor",
    "dc_ratio", "derating", "diode_current", "diode_current_mean", "diode_current_mean_conducting",
    "diode_current_peak", "diode_drop", "diode_stages", "diodes_in_path", "diodes_taking_turns", "discharge_time",
    "displacement_angle", "distortion", "distortion_factor", "doubling_interval", "drive_frequency",
    "drop_per_decade", "dropout", "efficiency", "elapsed_time", "end_angle", "energy", "final_voltage",
    "first_capacitance", "form_factor", "full_load_voltage", "fundamental_rms", "greatest",
    "half_period", "harmonic_ratio", "headroom", "high_line_voltage", "impedance", "inductance", "initial_voltage",
    "input_capacitance", "input_change", "input_current", "input_mean", "input_minimum", "input_ripple",
    "input_valley", "input_voltage", "inrush_peak", "junction_temperature", "junction_to_case", "lc_product",
    "leakage", "least", "let_through", "life", "line_peak", "line_regulation", "line_rms", "line_step",
    "load_current", "load_current_mean", "load_current_peak", "load_mean", "load_peak", "load_regulation",
    "load_resistance", "load_rms", "load_valley", "low_line_voltage", "lower_resistance", "mains_frequency",
    "mains_high", "mains_low",
    "no_load_voltage", "nominal", "normalised_time_constant", "number", "ohms_per_henry", "order",
    "output_capacitance", "output_change", "output_resistance", "output_ripple", "output_voltage", "over_dc",
    "path_resistance", "period", "phase_rms", "power", "power_dc", "power_factor", "power_rating", "primary_rms",
    "pulses", "rated_life", "rated_power", "rated_temperature", "recharge_frequency", "reference_current",
    "reference_drop", "reference_leakage", "reference_temperature", "reference_voltage", "regulation",
    "regulator_current", "remaining_voltage", "repetitive_peak", "resistance_ratio", "reverse_voltage_peak",
    "ripple_current", "ripple_factor", "ripple_frequency", "ripple_peak_to_peak", "ripple_ratio", "ripple_rejection",
    "ripple_rms", "rms_factor", "second_capacitance", "second_harmonic", "section_capacitance", "sense_resistance",
    "series_resistance", "share_per_step", "sink_to_ambient", "source_peak", "source_resistance", "source_rms",
    "source_voltage", "stage_capacitance", "stages", "start_angle", "start_temperature", "step", "surge_current",
    "temperature", "temperature_coefficient", "thermal_resistance", "thermal_voltage", "time_constant", "tolerance",
    "turns_ratio", "upper_resistance", "utilisation", "voltage_drop", "winding_current_factor",
    "winding_current_rms", "zener_current", "zener_knee_voltage", "zener_maximum_current", "zener_minimum_current",
    "zener_resistance", "zener_test_current", "zener_test_voltage", "zener_voltage",
)  # fmt: skip

#: Quantities that meet in one line of working: two of them can't share a letter.
MEET: Final[tuple[str, ...]] = (
    "source_rms", "source_peak", "load_peak", "load_mean", "load_rms", "load_valley", "ripple_peak_to_peak",
    "ripple_rms", "diode_drop", "no_load_voltage", "reverse_voltage_peak",
)  # fmt: skip

LONGEST: Final = 16  # characters: V_r(p-p) needs eight
_GREEK: Final = {
    "α": r"\alpha", "β": r"\beta", "γ": r"\gamma", "δ": r"\delta", "Δ": r"\Delta", "ε": r"\varepsilon",
    "η": r"\eta", "θ": r"\theta", "λ": r"\lambda", "μ": r"\mu", "π": r"\pi", "ρ": r"\rho", "σ": r"\sigma",
    "τ": r"\tau", "φ": r"\varphi", "ω": r"\omega", "Ω": r"\Omega", "Û": r"\hat{U}", "Î": r"\hat{I}",
    "û": r"\hat{u}", "î": r"\hat{\imath}",
}  # fmt: skip
_SYMBOL: Final = re.compile(
    rf"(?P<base>Δ?(?:[A-Za-z]|[{''.join(_GREEK)}])%?)(?:_(?P<below>[A-Za-z0-9][A-Za-z0-9().,/+-]*))?"
)


def is_symbol(text: str) -> bool:
    """Whether a text can stand for a quantity: one letter (Δ may come before it), and what stands below it."""
    return len(text) <= LONGEST and _SYMBOL.fullmatch(text) is not None


def symbol_in_latex(text: str) -> str:
    r"""A course's symbol as LaTeX.

    Raises
    ------
    ValueError
        If the text is no symbol.

    >>> symbol_in_latex("V_dc"), symbol_in_latex("γ"), symbol_in_latex("V_m")
    ('V_{\\text{dc}}', '\\gamma', 'V_m')
    """
    match = _SYMBOL.fullmatch(text) if len(text) <= LONGEST else None
    if match is None:
        raise ValueError(f'"{text}" is no symbol. Write a letter and, after _, what stands below it: V_dc.')
    base = ""
    for letter in match["base"]:
        piece = _GREEK.get(letter, "\\%" if letter == "%" else letter)
        base += f" {piece}" if base.startswith("\\") else piece
    below = match["below"]
    if below is None:
        return base
    # One letter or figure below is a quantity's own index; more of them are words, and words stand upright.
    return f"{base}_{below}" if len(below) == 1 else rf"{base}_{{\text{{{below}}}}}"
