"""The quantities whose letters a course may choose, and how a letter that was typed is written on paper.

A course writes `V_dc`, `V_r(pp)`, `γ` or `ΔV`: a letter, and after `_` what stands below it.
"""

from __future__ import annotations

import re
from typing import Final

#: Every quantity of the handbook's formulas, by its full name.
QUANTITIES: Final[tuple[str, ...]] = (
    "actual_temperature", "ambient_temperature", "bleeder_current", "capacitance", "capacitor_current_rms",
    "case_to_sink", "charging_current_rms", "conduction_angle", "conduction_time", "dc_ratio",
    "diode_current_mean", "diode_current_mean_conducting", "diode_current_peak", "diode_drop", "diodes_in_path",
    "diodes_taking_turns", "discharge_time", "doubling_interval", "efficiency", "elapsed_time", "energy",
    "final_voltage", "first_capacitance", "form_factor", "full_load_voltage", "half_period", "high_line_voltage",
    "inductance", "initial_voltage", "input_mean", "input_minimum", "input_ripple", "junction_temperature",
    "junction_to_case", "life", "line_peak", "line_rms", "load_current", "load_current_mean", "load_current_peak",
    "load_mean", "load_peak", "load_resistance", "load_rms", "load_valley", "low_line_voltage", "mains_frequency",
    "no_load_voltage", "output_voltage", "period", "phase_rms", "power", "power_dc", "power_factor", "primary_rms",
    "pulses", "rated_life", "rated_temperature", "recharge_frequency", "regulation", "remaining_voltage",
    "repetitive_peak", "reverse_voltage_peak", "ripple_factor", "ripple_frequency", "ripple_peak_to_peak",
    "ripple_ratio", "ripple_rms", "second_capacitance", "section_capacitance", "series_resistance",
    "sink_to_ambient", "source_peak", "source_rms", "stage_capacitance", "stages", "start_angle", "surge_current",
    "thermal_resistance", "time_constant", "turns_ratio", "voltage_drop", "winding_current_factor",
    "winding_current_rms", "zener_current", "zener_resistance", "zener_voltage",
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
