"""Numbers as a student writes them: rounded half up, with the zeros that were rounded to."""

from __future__ import annotations

import pytest
from hypothesis import given as for_any
from hypothesis import strategies as st

from railwright.documents.working_numbers import Figures, given, how_far, percent, result, rounded

THREE = Figures(digits=3, decimal=".")


@pytest.mark.parametrize(
    ("value", "digits", "school"),
    [(0.125, 2, 0.13), (2.5, 1, 3.0), (24.045, 4, 24.05), (1.005, 3, 1.01), (-0.125, 2, -0.13), (0.0, 3, 0.0)],
)
def test_a_five_goes_up_as_in_school(value, digits, school):
    """Round half up, away from zero: what pupils are taught (ISO 80000-1, B.3 rule B, from memory)."""
    assert rounded(value, digits) == school


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (22.9535, "V", "23.0 V"),
        (4.7e-3, "F", "4700 µF"),
        (0.0083333333, "s", "8.33 ms"),
        (100.0, "Hz", "100 Hz"),
        (50.0, "Hz", "50 Hz"),
        (-16.17, "V", "−16.2 V"),
        (61.96, "deg", "62.0°"),
        (0.02271, "1", "0.0227"),
        (1600.4, "ohm", "1.60 kΩ"),
    ],
)
def test_a_result_has_the_course_s_digits(value, unit, text):
    """Significant figures: zeros after the point count, and stand where they were rounded to."""
    assert result(value, unit, THREE).plain == text


def test_a_result_of_rounded_numbers_keeps_its_zeros():
    """12.7 V - 0.7 V is 12.0 V: the 12.7 V was rounded, so the nought is known."""
    assert result(12.7 - 0.7, "V", THREE, from_exact=False).plain == "12.0 V"
    assert result(12.0, "V", THREE).plain == "12 V"


def test_the_decimal_comma_is_no_list_s_comma_in_print():
    comma = Figures(digits=3, decimal=",")
    assert result(1.234, "V", comma).plain == "1,23 V"
    assert result(1.234, "V", comma).latex == r"1{,}23\,\text{V}"
    assert percent(0.02271, comma).plain == "2,27 %"


def test_a_number_of_the_sheet_stands_as_it_was_typed():
    assert given(2200e-6, "F", THREE).plain == "2200 µF"
    assert given(1234.5, "ohm", THREE).plain == "1.2345 kΩ"
    assert given(470e-6, "F", THREE).latex == r"470\,\mu\text{F}"


def test_a_difference_is_told_with_its_direction():
    assert how_far(0.4712, ".") == "47 % too high"
    assert how_far(-0.0234, ",") == "2,3 % too low"
    assert how_far(0.0004, ".") == "agrees within 0.05 %"


@for_any(st.floats(1e-12, 1e12), st.integers(1, 6))
def test_rounding_moves_a_number_by_half_a_unit_of_its_last_digit_at_most(value, digits):
    """Law of rounding: the relative change is at most 0.5 / 10^(digits - 1)."""
    assert abs(rounded(value, digits) - value) <= value * (0.5 * 10.0 ** (1 - digits) + 1e-9)
