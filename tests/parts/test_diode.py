"""The law of a diode: through two points, at any temperature, out of the tables."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railwright.parts import (
    STAND_INS,
    DiodeLaw,
    UnknownPart,
    UnsuitablePart,
    diode_law,
    diode_ratings,
    find,
    law_from_points,
    names,
    read_parts_text,
)
from railwright.parts.diode import thermal_voltage

WITH_LAW = [name for name in names("diode", "bridge") if "saturation_current" in find(name).values]


def test_the_thermal_voltage_at_25_degrees_is_the_one_that_the_tables_use() -> None:
    """25.69 mV (the tables' README)."""
    assert thermal_voltage(25.0) == pytest.approx(25.69e-3, abs=0.005e-3)


# ---------------------------------------------------------------------------------------------------------
# Through two points


def test_the_points_of_the_sheet_pages_example_give_an_ideality_of_one_point_eight() -> None:
    """0.64 V at 1 mA and 0.96 V at 1 A; by hand 0.32 V / (25.69 mV ln 1000) = 1.803, the 1 in the law left out."""
    law = law_from_points([(1e-3, 0.64), (1.0, 0.96)])
    assert law.ideality == pytest.approx(0.32 / (25.69e-3 * math.log(1000.0)), rel=1e-3)


@given(
    saturation=st.floats(-14.0, -4.0),
    ideality=st.floats(1.0, 2.5),
    resistance=st.floats(0.0, 0.2),
    low=st.floats(1e-3, 0.1),
    ratio=st.floats(2.0, 1e3),
    temperature=st.floats(-40.0, 150.0),
)
def test_a_law_comes_back_from_two_of_its_own_points(
    saturation: float, ideality: float, resistance: float, low: float, ratio: float, temperature: float
) -> None:
    s, u = 10.0**saturation, thermal_voltage(temperature)
    high = low * ratio
    points = [(i, ideality * u * math.log1p(i / s) + resistance * i) for i in (high, low)]
    law = law_from_points(points, series_resistance=resistance, temperature=temperature)
    for current, drop in points:
        assert law.drop(current) == pytest.approx(drop, rel=1e-9)
    assert law.ideality == pytest.approx(ideality, rel=1e-4)
    assert law.saturation_current == pytest.approx(s, rel=1e-2)
    assert law.law_temperature == temperature


@pytest.mark.parametrize(
    ("points", "sentence"),
    [
        ([(1.0, 0.9)], "1 points were given. A law takes two"),
        ([(1.0, 0.9), (1.0, 0.8)], "Both points are at 1 A. Measure the drop at two currents"),
        ([(1e-3, 0.9), (1.0, 0.8)], "0.9 V at 0.001 A and 0.8 V at 1 A: the drop doesn't rise with the current. Check"),
        ([(0.0, 0.6), (1.0, 0.9)], "The point 0 A, 0.6 V is none of a forward curve"),
        ([(1e-3, -0.6), (1.0, 0.9)], "The point 0.001 A, -0.6 V is none of a forward curve"),
        ([(math.nan, 0.6), (1.0, 0.9)], "is none of a forward curve"),
        ([(0.1, 0.1), (1.0, 1.0)], "the drop rises as that of a resistor, or faster"),
        ([(1e-3, 0.64), (1.0, 0.65)], "less than that of any junction at 25 °C (ideality 0.056, a diode has 1 to 2)"),
        ([(1e-3, 600.0), (1.0, 600.1)], "less than that of any junction"),
    ],
)
def test_points_that_no_diode_can_have_are_refused(points: list[tuple[float, float]], sentence: str) -> None:
    with pytest.raises(ValueError, match=re.escape(sentence)):
        law_from_points(points)


def test_a_series_resistance_that_takes_the_whole_drop_is_refused() -> None:
    with pytest.raises(ValueError, match="doesn't rise with the current once 1 ohm has taken its share"):
        law_from_points([(0.1, 0.7), (1.0, 0.9)], series_resistance=1.0)
    with pytest.raises(ValueError, match="series_resistance is -1 ohm. Allowed: zero or more"):
        law_from_points([(0.1, 0.7), (1.0, 0.9)], series_resistance=-1.0)


# ---------------------------------------------------------------------------------------------------------
# At other temperatures


def test_a_junctions_drop_falls_by_about_two_millivolts_a_kelvin() -> None:
    """Closed form of the law for ideality 1: dV/dT = -(Eg + xti U - V)/T; -2 mV/K is common practice, no source."""
    law = law_from_points([(1e-3, 0.60), (1e-2, 0.60 + thermal_voltage(25.0) * math.log(10.0))])
    fall = (law.at(26.0).drop(1e-3) - law.at(24.0).drop(1e-3)) / 2.0
    assert law.ideality == pytest.approx(1.0, abs=1e-6)
    assert fall == pytest.approx(-(1.12 + 3.0 * thermal_voltage(25.0) - 0.60) / 298.15, rel=1e-3)
    assert fall == pytest.approx(-2e-3, rel=0.15)


@pytest.mark.parametrize("name", WITH_LAW)
def test_the_drop_coefficient_is_the_one_that_the_table_derived(name: str) -> None:
    """drop_temperature_coefficient: derived by the makers of the tables from the same gap and exponent, 3 digits."""
    value = find(name).first("drop_temperature_coefficient")
    assert value is not None
    current = value.condition("current", "A")
    assert current is not None
    law = diode_law(name)
    fall = (law.at(26.0).drop(current) - law.at(24.0).drop(current)) / 2.0
    assert fall == pytest.approx(value.value, abs=0.02e-3)
    assert -3e-3 < fall < -0.5e-3  # the rule of thumb, loosely


@given(temperature=st.floats(-60.0, 200.0), back=st.floats(-60.0, 200.0))
def test_warming_and_cooling_ends_where_it_began(temperature: float, back: float) -> None:
    law = diode_law("1N4007")
    there = law.at(temperature).at(back)
    once = law.at(back)
    assert there.saturation_current == pytest.approx(once.saturation_current, rel=1e-9)
    assert there.leakage == pytest.approx(once.leakage, rel=1e-9)


@given(low=st.floats(-60.0, 149.0), rise=st.floats(1.0, 50.0))
def test_a_hotter_junction_has_more_saturation_current_and_more_leakage(low: float, rise: float) -> None:
    law = diode_law("schottky")
    cool, warm = law.at(low), law.at(low + rise)
    assert warm.saturation_current > cool.saturation_current
    assert warm.leakage is not None and cool.leakage is not None
    assert warm.leakage > cool.leakage
    assert warm.ideality == cool.ideality
    assert warm.law_temperature == low + rise


def test_leakage_meets_the_tables_second_temperature() -> None:
    """1N4007: 50 nA typical at 25 °C, 1 µA typical at 100 °C (its table, from memory)."""
    law = diode_law("1N4007")
    assert law.leakage == pytest.approx(50e-9)
    assert law.at(100.0).leakage == pytest.approx(1e-6)
    assert law.leakage_voltage == 1000.0
    assert law.leakage_resistance == pytest.approx(1000.0 / 50e-9)


def test_the_scaled_law_says_where_it_comes_from() -> None:
    origin = diode_law("1N4007").at(80.0).provenance["saturation_current"]
    assert "own fit to the typical points listed here" in origin
    assert "scaled from 25 °C" in origin


@pytest.mark.parametrize("temperature", [-274.0, 301.0, math.nan, math.inf])
def test_a_temperature_that_no_junction_has_is_refused(temperature: float) -> None:
    with pytest.raises(ValueError, match=r"was given. Allowed: -100 to 300 °C\."):
        diode_law().at(temperature)


def test_a_law_that_is_no_diode_is_refused() -> None:
    with pytest.raises(ValueError, match="saturation_current is 0. Allowed: a number above zero"):
        DiodeLaw(saturation_current=0.0, ideality=1.8)


# ---------------------------------------------------------------------------------------------------------
# Out of the tables


@pytest.mark.parametrize("name", WITH_LAW)
def test_every_law_of_the_tables_can_be_had_with_the_origin_of_its_numbers(name: str) -> None:
    law = diode_law(name)
    assert law.law_temperature == 25.0
    for key in ("saturation_current", "ideality", "series_resistance"):
        assert "own fit to the typical points listed here" in law.provenance[key]
    assert {"energy_gap", "temperature_exponent"} <= set(law.provenance)
    (error,) = find(name).values["fit_error"]
    for value in find(name).all("forward_points", "typical"):
        current = value.condition("current", "A")
        assert current is not None
        # Half a millivolt: the law's numbers have three or four digits, the error two.
        assert law.drop(current) == pytest.approx(value.value, abs=1.05 * (error.value or 0.0) + 5e-4)


def test_silicon_is_the_family_of_one_ampere_rectifiers() -> None:
    assert STAND_INS["silicon"] == "1N4001"
    for name in ("1N4001", "1N4004", "1N4007"):
        assert diode_law("silicon").saturation_current == diode_law(name).saturation_current
        assert diode_law("silicon").ideality == diode_law(name).ideality
    ratings = diode_ratings("silicon")
    assert (ratings.mean_current, ratings.surge) == (1.0, 30.0)


def test_a_name_that_covers_a_series_states_no_reverse_voltage() -> None:
    """A generic 4 A bridge is made from 50 V to 1000 V: passing it at 1000 V would be a guess."""
    for name in ("silicon", "bridge 4 A", "fast 1 A generic"):
        ratings = diode_ratings(name)
        assert ratings.reverse_voltage is None
        assert "state reverse_voltage_rating" in ratings.provenance["reverse_voltage"]


@pytest.mark.parametrize(
    ("name", "reverse", "mean", "surge"),
    [
        # Registered ratings of these types, as their tables carry them (published, read).
        ("1N4007", 1000.0, 1.0, 30.0),
        ("1N4001", 50.0, 1.0, 30.0),
        ("1N5408", 1000.0, 3.0, 200.0),
        ("1N5819", 40.0, 1.0, 25.0),
    ],
)
def test_the_ratings_of_registered_types(name: str, reverse: float, mean: float, surge: float) -> None:
    ratings = diode_ratings(name)
    assert (ratings.reverse_voltage, ratings.mean_current, ratings.surge) == (reverse, mean, surge)
    assert "published, read: http" in ratings.provenance["mean_current"]


def test_a_leg_of_a_bridge_bears_half_of_its_output() -> None:
    assert diode_ratings("bridge 4 A").mean_current == 2.0
    assert "half of it a leg" in diode_ratings("bridge 4 A").provenance["mean_current"]


def test_a_diode_without_a_law_says_what_to_state_instead() -> None:
    with pytest.raises(UnsuitablePart, match='"UF4007" has no exponential law in its table .* State the drop at two'):
        diode_law("UF4007")
    assert diode_ratings("UF4007").reverse_voltage == 1000.0


def test_a_wrong_name_brings_the_near_diodes() -> None:
    with pytest.raises(UnknownPart, match='"1N40007" is the name of no diode .* Did you mean "1N4007"'):
        diode_law("1N40007")
    with pytest.raises(UnsuitablePart, match='"7805" is a part of type regulator, where a diode is needed'):
        diode_law("7805")


def test_a_readers_own_diode_has_a_law_like_any_other() -> None:
    (part,) = read_parts_text(
        """
kind = "parts"
[[part]]
type = "diode"
name = "fog-bell diode"
class = "silicon rectifier, taken from the drawer"
provenance = "measured"
saturation_current = { value = "1 nA", spread = "typical" }
ideality = { value = "1.8", spread = "typical" }
law_temperature = "20 °C"
"""
    )
    law = diode_law(part)
    assert (law.saturation_current, law.ideality, law.law_temperature) == (1e-9, 1.8, 20.0)
    assert law.leakage is None
    assert law.leakage_resistance is None
    assert diode_ratings(part).reverse_voltage is None
