"""What an electrolytic is like when nobody has stated it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railwright.parts import capacitor_defaults, find, usual_voltage_rating

ROWS = find("general 85 °C radial").values["grid"]


@pytest.mark.parametrize("row", ROWS[::7], ids=lambda row: f"{row.text} {row.conditions['voltage_rating']}")
def test_at_a_row_of_the_table_the_row_itself_comes_back(row: object) -> None:
    from railwright.parts import PartValue

    assert isinstance(row, PartValue)
    voltage, esr = row.condition("voltage_rating", "V"), row.condition("esr", "ohm")
    assert row.value is not None and voltage is not None and esr is not None
    found = capacitor_defaults(row.value, voltage)
    assert found.esr_maximum == pytest.approx(esr, rel=1e-12)
    # The typical share of this class: 0.6 (common practice, no source; stated in its table).
    assert found.esr == pytest.approx(0.6 * esr, rel=1e-12)
    assert found.esr_frequency == 120.0


def test_between_rows_it_lies_between_them() -> None:
    """25 V, 1000 µF and 1500 µF: 190 and 140 mohm; at 1200 µF by logarithm, by hand 167 mohm."""
    low, high = math.log(0.190), math.log(0.140)
    by_hand = math.exp(low + (high - low) * math.log(1.2) / math.log(1.5))
    assert capacitor_defaults(1200e-6, 25.0).esr_maximum == pytest.approx(by_hand, rel=1e-9)


@given(capacitance=st.floats(1e-6, 0.1), voltage=st.floats(3.0, 450.0), more=st.floats(1.05, 3.0))
def test_a_larger_capacitor_of_one_class_has_less_series_resistance(
    capacitance: float, voltage: float, more: float
) -> None:
    small, large = capacitor_defaults(capacitance, voltage), capacitor_defaults(capacitance * more, voltage)
    assert 0.0 < small.esr < small.esr_maximum
    same_class = small.provenance["esr"].split(",")[0] == large.provenance["esr"].split(",")[0]
    assert large.esr_maximum < small.esr_maximum or not same_class


@given(capacitance=st.floats(1e-6, 0.1), voltage=st.floats(3.0, 450.0))
def test_the_loss_factor_stays_within_what_electrolytics_have(capacitance: float, voltage: float) -> None:
    """Largest loss factors of the tables: 0.08 (100 V) to 0.20 (10 V), 0.18 more at 10 000 µF; snap-in up to 0.35."""
    loss = 2 * math.pi * 120.0 * capacitance * capacitor_defaults(capacitance, voltage).esr_maximum
    assert 0.07 < loss < 0.40


def test_a_large_can_is_taken_from_the_snap_in_class() -> None:
    assert "class snap-in 85 °C" in capacitor_defaults(15000e-6, 63.0).provenance["esr"]
    assert "class general 85 °C radial" in capacitor_defaults(1000e-6, 63.0).provenance["esr"]


def test_what_lies_beyond_the_table_says_so() -> None:
    assert "the nearest to 450 V" in capacitor_defaults(10e-6, 450.0).provenance["esr"]
    assert "beyond the rows as 1/C" in capacitor_defaults(0.1, 16.0).provenance["esr"]
    assert "film or ceramic" in capacitor_defaults(100e-9, 50.0).provenance["esr"]
    assert capacitor_defaults(100e-9, 50.0).esr == 0.0


def test_the_leakage_is_a_hundredth_of_c_v_but_three_microampere_at_least() -> None:
    """0.01 C V, at least 3 µA: common practice, no source. 2200 µF 25 V: 550 µA, 45.5 kohm; 10 µF 16 V: 3 µA."""
    large = capacitor_defaults(2200e-6, 25.0)
    assert large.leakage == pytest.approx(550e-6)
    assert large.leakage_resistance == pytest.approx(45.45e3, rel=1e-3)
    small = capacitor_defaults(10e-6, 16.0)
    assert small.leakage == 3e-6
    assert small.leakage_resistance == pytest.approx(16.0 / 3e-6)
    assert "common practice, no source" in small.provenance["leakage_resistance"]


@pytest.mark.parametrize(("capacitance", "voltage"), [(0.0, 25.0), (-1e-6, 25.0), (1e-6, 0.0), (math.nan, 25.0)])
def test_impossible_sizes_are_refused(capacitance: float, voltage: float) -> None:
    with pytest.raises(ValueError, match=r"(capacitance|voltage_rating) is \S+\. Allowed: a number above zero\."):
        capacitor_defaults(capacitance, voltage)


@pytest.mark.parametrize(
    ("voltage", "rating"), [(0.0, 6.3), (5.0, 6.3), (8.0, 10.0), (12.7, 16.0), (17.0, 25.0), (325.0, 450.0), (500, 625)]
)
def test_the_usual_rating_leaves_a_fifth_unused(voltage: float, rating: float) -> None:
    """Ratings: the list of the tables (from memory); margin 20 %: common practice, no source."""
    assert usual_voltage_rating(voltage) == pytest.approx(rating)


def test_no_rating_without_a_voltage() -> None:
    with pytest.raises(ValueError, match="voltage is -1. Allowed: zero or more"):
        usual_voltage_rating(-1.0)
