"""The exact reservoir against an independent numerical steady state, and the error curves against published errors.

The witness is the collection of published checks: its `exact_ideal_diode` figures come from a quadrature that shares
no code with the handbook, and its notes print the exact ripple at omega R C of 100, 30, 10, 5 and 2.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pytest import approx

from railwright.handbook import error_curve, formulas, look_up
from railwright.handbook.error_curve import AXES

#: omega R C -> exact ripple over peak, full-wave and half-wave: the notes beside the published checks, 3 to 4 digits.
RIPPLES = {
    100.0: (0.0286, 0.0576),
    30.0: (0.0863, 0.1722),
    10.0: (0.215, 0.411),
    5.0: (0.353, 0.631),
    2.0: (0.585, 0.898),
}
#: Published cases whose circuit is stated whole: peak before the reservoir from the case's own givens, and pulses.
CASES: dict[str, tuple[Callable[[dict[str, Any]], float], float]] = {
    "fw-kakani-50hz": (lambda g: g["secondary_rms_voltage"] * math.sqrt(2.0), 2.0),
    "ct-kakani-60hz": (lambda g: g["full_secondary_rms_voltage"] / 2.0 * math.sqrt(2.0), 2.0),
    "fw-bapat-50hz": (lambda g: g["secondary_rms_voltage"] * math.sqrt(2.0), 2.0),
    "hw-malvino": (lambda g: g["primary_rms_voltage"] / g["turns_ratio"] * math.sqrt(2.0), 1.0),
    "bridge-jacob": (lambda g: g["secondary_rms_voltage"] * math.sqrt(2.0) - g["bridge_drop_total"], 2.0),
}
CHECKS: dict[str, dict[str, Any]] = {
    check["id"]: check
    for check in tomllib.loads((Path(__file__).parent.parent / "data" / "published.toml").read_text("utf-8"))["check"]
}


def start(normalised: float, pulses: float) -> float:
    return look_up("exact-start-of-conduction").value(normalised_time_constant=normalised, pulses=pulses)


@pytest.mark.parametrize("normalised", RIPPLES)
def test_the_ripple_is_that_of_the_independent_steady_state(normalised: float) -> None:
    for pulses, expected in zip((2.0, 1.0), RIPPLES[normalised], strict=True):
        ripple = look_up("exact-ripple").value(load_peak=1.0, start_angle=start(normalised, pulses))
        assert ripple == approx(expected, abs=6e-4)


@pytest.mark.parametrize("name", CASES)
def test_all_figures_are_those_of_the_independent_steady_state(name: str) -> None:
    """Five digits are printed. An exact solution of the same ideal circuit must agree in them."""
    given, figures = CHECKS[name]["given"], CHECKS[name]["exact_ideal_diode"]
    peak_of, pulses = CASES[name]
    peak, ohms = peak_of(given), given["load_resistance"]
    normalised = 2.0 * math.pi * given["mains_frequency"] * ohms * given["filter_capacitance"]
    begin = start(normalised, pulses)
    end = look_up("exact-end-of-conduction").value(normalised_time_constant=normalised)
    span = {"start_angle": begin, "end_angle": end}
    whole = {"load_peak": peak, **span, "normalised_time_constant": normalised, "pulses": pulses}
    mean = look_up("exact-mean").value(**whole)
    angle = look_up("exact-conduction-angle").value(**span)
    found = {
        "ripple_pp": look_up("exact-ripple").value(load_peak=peak, start_angle=begin),
        "load_average_voltage": mean,
        "ripple_rms": look_up("exact-ripple-rms").value(load_rms=look_up("exact-rms").value(**whole), load_mean=mean),
        "conduction_angle_total": math.radians(angle),
        "charging_peak_current": look_up("exact-diode-peak").value(
            load_peak=peak, load_resistance=ohms, start_angle=begin, normalised_time_constant=normalised
        ),
        "charging_rms_current": look_up("exact-charging-rms").value(load_resistance=ohms, **whole),
        "capacitor_rms_current": look_up("exact-capacitor-rms").value(load_resistance=ohms, **whole),
    }
    assert found == approx(figures, rel=1e-3)


@pytest.mark.parametrize(
    ("ratio", "pulses", "expected"), [(0.05, 2.0, 1.79), (0.10, 2.0, 1.62), (0.05, 1.0, 2.29), (0.10, 1.0, 2.09)]
)
def test_the_large_reservoir_has_the_currents_of_the_published_comparison(
    ratio: float, pulses: float, expected: float
) -> None:
    """The notes beside the published checks: winding current over DC, source resistance 5 and 10 % of the load."""
    angle = look_up("large-capacitor-angle").value(resistance_ratio=ratio, pulses=pulses)
    found = look_up("large-capacitor-current-ratio").value(conduction_angle=angle, pulses=pulses)
    assert found == approx(expected, abs=6e-3)


def test_the_straight_line_always_reads_high_and_less_so_for_longer_time_constants() -> None:
    """The notes beside the published checks say so; at omega R C = 10 they give 0.314 for 0.215 of the peak."""
    abscissae, errors = error_curve("ripple-straight-line", 41)
    assert abscissae[0] == approx(3.0) and abscissae[-1] == approx(1000.0)
    assert all(error > 0.0 for error in errors) and list(errors) == sorted(errors, reverse=True)
    near = min(range(41), key=lambda number: abs(abscissae[number] - 10.0))
    assert errors[near] == approx(0.314 / 0.215 - 1.0, abs=0.03)


@pytest.mark.parametrize("name", AXES)
def test_a_chart_is_finite_and_its_reference_exists(name: str) -> None:
    axis = look_up(name).axis
    assert axis is not None and axis.reference in formulas()
    abscissae, errors = error_curve(name, 9)
    assert len(abscissae) == len(errors) == 9 and all(math.isfinite(error) for error in errors)


def test_what_has_no_chart_is_told() -> None:
    with pytest.raises(ValueError, match="no chart of its error"):
        error_curve("peak-of-sine", 5)
    with pytest.raises(ValueError, match="2 or more"):
        error_curve("ripple-trade", 1)
    with pytest.raises(ValueError, match="known for 1 and 2"):
        error_curve("ripple-trade", 5, pulses=3.0)
