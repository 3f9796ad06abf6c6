"""Boundaries of conditions whose places are known in closed form."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from railwright.variation.boundary import DecadeSearch


@given(
    middle=st.floats(1e-6, 1e4),
    decades=st.floats(-2.99, 2.99),
    rising=st.booleans(),
)
def test_a_single_boundary_within_three_decades_is_found_from_the_side_that_holds(
    middle: float, decades: float, rising: bool
) -> None:
    limit = middle * 10**decades
    sign = 1.0 if rising else -1.0
    (found,) = DecadeSearch(excess=lambda x: sign * (x - limit), middle=middle).boundaries()
    assert found == approx(limit, rel=1e-9)
    assert sign * (found - limit) <= 0.0


def test_of_two_boundaries_the_nearest_to_the_present_value_comes_first() -> None:
    search = DecadeSearch(excess=lambda x: (x - 10.0) * (x - 50.0), middle=40.0)
    assert search.boundaries() == approx([50.0, 10.0], rel=1e-9)


def test_a_condition_that_holds_only_between_two_looks_is_still_found() -> None:
    """It holds for |log10(x / 3.3)| <= 0.01: the looks are 1/6 of a decade apart."""
    search = DecadeSearch(excess=lambda x: math.log10(x / 3.3) ** 2 - 1e-4, middle=1.0)
    assert search.boundaries() == approx([3.3 * 10**-0.01, 3.3 * 10**0.01], rel=1e-6)


def test_a_jump_is_answered_on_the_side_that_holds() -> None:
    (found,) = DecadeSearch(excess=lambda x: -1.0 if x < 3.7 else 1.0, middle=1.0).boundaries()
    assert 3.7 * (1 - 1e-9) < found < 3.7


def test_a_boundary_beside_values_without_an_answer_is_found() -> None:
    search = DecadeSearch(excess=lambda x: None if x > 5.0 else 2.0 - x, middle=1.0)
    (found,) = search.boundaries()
    assert found == approx(2.0, rel=1e-9)


def test_a_boundary_that_only_lies_among_values_without_an_answer_is_not_invented() -> None:
    search = DecadeSearch(excess=lambda x: None if 1.01 < x < 5.0 else 2.0 - x, middle=1.0)
    assert search.boundaries() == []


def test_nothing_is_found_where_nothing_changes() -> None:
    assert DecadeSearch(excess=lambda x: 1.0, middle=1.0).boundaries() == []
    assert DecadeSearch(excess=lambda x: -1.0, middle=1.0).boundaries() == []
