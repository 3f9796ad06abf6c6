"""The keys that each type of part may have, with the SI unit of each."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

WORDS = "words"  # stands where a unit stands: the value is a rule that is said in words

PROVENANCES = (
    "published, read",
    "published, from memory",
    "common practice, no source",
    "derived, own calculation",
    "own fit to the typical points listed here",
    "measured",  # a reader's own part, on the bench
)

# Keys that every part may have, beside its values.
FRAME = frozenset({"type", "name", "class", "note", "provenance", "source", "grid_provenance", "grid_spread"})

# Keys of a value itself; whatever else stands beside it is a condition.
VALUE_FRAME = frozenset({"value", "spread", "provenance", "source", "note", "doubtful"})

# Conditions that are quantities wherever they occur in a reader's own file.
CONDITION_UNITS: Mapping[str, str] = MappingProxyType({"current": "A", "temperature": "°C", "frequency": "Hz"})

_THERMAL = "junction_temperature_maximum °C; junction_to_ambient junction_to_case junction_to_lead K/W"
_DIODE = f"""
    reverse_voltage_rating forward_points drop fit_error V;
    mean_current_rating surge_rating surge_short peak_repetitive leakage saturation_current A;
    resistance series_resistance ohm; ideality temperature_exponent capacitive_load_factor -;
    energy_gap eV; i2t A²s; junction_capacitance F; recovery_time s; power_rating W; leakage_doubling K;
    drop_temperature_coefficient V/K; ageing words; {_THERMAL}
"""

_LISTED: Mapping[str, str] = {
    "diode": _DIODE,
    "bridge": _DIODE,
    "zener": f"""
        zener_voltage V; test_current zener_minimum_current maximum_current leakage A;
        zener_resistance knee_resistance ohm; power_rating W; temperature_coefficient 1/K|V/K; {_THERMAL}
    """,
    "regulator": f"""
        output reference dropout input_maximum V; line_regulation V|%|1/V; load_regulation V|%;
        quiescent adjust_current current_limit short_circuit_current rated_current minimum_load A;
        tolerance tolerance_over_temperature %; ripple_rejection dB; power_limit W; output_capacitor F;
        shutdown_temperature °C; output_law words; {_THERMAL}
    """,
    "capacitor": """
        temperature_rating °C; life_rating life_long_series s; tolerance %; grid case_read F;
        impedance_by_case ohm; terminal_voltage_reverse V; rated_core_rise life_doubling K; loss_per_surface W/m²;
        loss_factor cold_impedance_ratio cold_impedance_ratio_large esr_rise_cold case_difference_factor
        frequency_multiplier frequency_multiplier_by_voltage temperature_multiplier air_flow_multiplier -;
        leakage leakage_hot leakage_other loss_factor_step loss_factor_typical life_law end_of_life
        surface_heat words
    """,
    "capacitor check": "points F",
    "transformer": """
        rating VA; regulation regulation_split leakage_share %; copper_loss no_load_loss W; magnetizing_current A;
        magnetizing_inductance H; primary_resistance total_resistance_primary_side ohm; saturation_flux_margin -;
        winding_temperature °C; inrush_multiple inrush_range words
    """,
    "transformer rules": """
        derating_ambient %; duty_factor hot_factor sixty_hertz_factor -; temperature_coefficient_copper 1/K;
        duty_law fuse_characteristic inrush_duration output_tolerance rating_series_ei rating_series_toroid
        rectifier_rating_factor regulation_base secondary_voltage_read secondary_voltage_series small_drop
        smallest_voltage_drop soft_start_from toroid_efficiency words
    """,
    "fuse": "rating A; cold_resistance ohm; voltage_drop V; dissipation W; i2t A²s",
    "fuse gates": "gates s; breaking_capacity A",
    "fuse rules": """
        ambient_derating 1/K; rating_series continuous_load hot_resistance_factor pulse_limit pulse_limit_few
        primary_choice conflict words
    """,
    "inrush thermistor": """
        cold_resistance hot_resistance ohm; maximum_current A; dissipation_factor W/K; time_constant s;
        maximum_capacitance F; energy J
    """,
    "inrush thermistor rules": """
        b_value b_value_read K; hot_exponent -; resistance_law hot_law hot_ratio ambient_limit restart_time words
    """,
    "heatsink": "thermal_resistance K/W",
    "heatsink rules": "flat_sheet_law forced_air bright_finish horizontal radiation_note words",
    "interface": "thermal_resistance greased greased_read dry K/W",
    "interface material": "resistivity words",  # [°C cm/W], a unit that nothing else here uses
    "series": "usual_tolerance %; values by_rule -|V",
    "worked value": "expected words",
}

# Plain words that a part of a type may carry.
FACTS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "diode": frozenset({"law_temperature", "law"}),
        "bridge": frozenset({"law_temperature", "law"}),
        "regulator": frozenset({"kind"}),
        "capacitor": frozenset({"loss_frequency", "cold_temperature", "cold_large_from", "grid_rule"}),
        "capacitor check": frozenset({"series", "result"}),
        "fuse": frozenset({"characteristic", "gates"}),
        "series": frozenset({"by_rule_provenance"}),
        "worked value": frozenset({"check", "given"}),
    }
)

# Values that may lie below zero; every other one is zero or more.
SIGNED = frozenset(
    {
        "output",
        "reference",
        "temperature_coefficient",
        "drop_temperature_coefficient",
        "ambient_derating",
        "junction_temperature_maximum",
        "temperature_rating",
        "winding_temperature",
        "shutdown_temperature",
    }
)


def _read(listed: str) -> Mapping[str, tuple[str, ...]]:
    units: dict[str, tuple[str, ...]] = {}
    for group in listed.split(";"):
        *keys, unit = group.split()
        units |= {key: tuple(unit.split("|")) for key in keys}
    return MappingProxyType(units)


#: Type -> key -> the units in which its value may stand.
UNITS: Mapping[str, Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {type_: _read(listed) for type_, listed in _LISTED.items()}
)
