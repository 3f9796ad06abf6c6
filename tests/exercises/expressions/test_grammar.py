"""How a line on paper is read: precedence, units, signs, and bounds. Values by pocket calculator or by definition."""

from __future__ import annotations

import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from railwright.exercises.expressions import (
    DecimalSign,
    DimensionMismatch,
    NoValue,
    Unknown,
    Unreadable,
    evaluate,
    read_expression,
    tokens_of,
)
from railwright.exercises.expressions.amounts import Amount
from railwright.exercises.expressions.dimensions import AMPERE, OHM, PLAIN, VOLT, WATT, Dimension
from railwright.exercises.proofreading.markdown import plain


def worked(text: str, decimal: DecimalSign = ".") -> Amount:
    tokens = tokens_of(plain(text), decimal)
    found = read_expression(tokens)
    assert found is not None
    node, taken = found
    assert taken == len(tokens), f"read only {taken} of {len(tokens)} tokens"
    return evaluate(node)


@pytest.mark.parametrize(
    ("text", "value", "dimension"),
    [
        ("12 V * 1.414", 16.968, VOLT),
        ("12 V × √2", 12.0 * math.sqrt(2.0), VOLT),
        ("√2·12 V", 12.0 * math.sqrt(2.0), VOLT),
        ("sqrt(2) * 12V", 12.0 * math.sqrt(2.0), VOLT),
        ("0.156 A/(2*50 Hz*2200 uF)", 0.156 / 0.22, VOLT),
        ("0.156 A ÷ (2·50 Hz·2200 µF)", 0.156 / 0.22, VOLT),
        ("1/2π", 1.0 / (2.0 * math.pi), PLAIN),  # side by side binds tighter, as on paper
        ("16.97 V − 2(0.7 V)", 15.57, VOLT),
        ("(15.22 V)² / 100 Ω", 15.22**2 / 100.0, WATT),
        ("15.57 V / 0.1 kΩ", 0.1557, AMPERE),
        ("10 V/5 V", 2.0, PLAIN),
        ("2 V/A", 2.0, OHM),
        ("4k7", 4700.0, OHM),
        ("2.2 × 10⁻³ F", 2.2e-3, Dimension(volt=-1.0, ampere=1.0, second=1.0)),
        ("2 200 µF", 2.2e-3, Dimension(volt=-1.0, ampere=1.0, second=1.0)),
        ("-15 V", -15.0, VOLT),
        ("2^3^1", None, None),
        ("9 V x 1.414", 12.726, VOLT),
        (r"\frac{12\,\text{V}}{2\,\Omega}", 6.0, AMPERE),
        ("4.7 %", 0.047, PLAIN),
        ("½ × 3 V", 1.5, VOLT),
        ("arccos(0.5)", math.pi / 3.0, PLAIN),
        ("30°", math.pi / 6.0, PLAIN),
    ],
)
def test_an_expression_is_read_as_on_paper(text: str, value: float | None, dimension: Dimension | None) -> None:
    if value is None:
        with pytest.raises(AssertionError, match="read only"):
            worked(text)
        return
    found = worked(text)
    assert found.value == approx(value, rel=1e-12)
    assert found.dimension == dimension


def test_a_decimal_comma_is_read_when_it_is_asked_for() -> None:
    assert worked("16,97 V − 1,4 V", ",").value == approx(15.57)


def test_unlike_amounts_are_not_added() -> None:
    with pytest.raises(DimensionMismatch, match="V and A can't be added"):
        worked("5 V + 2 A")


@pytest.mark.parametrize("text", ["5 V/0", "1/(2-2)", "sqrt(-4)", "ln(0)", "(((9^60)^60)^60)^60", "9^99"])
def test_what_has_no_finite_value_is_refused_in_words(text: str) -> None:
    with pytest.raises(NoValue, match=r"zero|negative|finite|power"):
        worked(text)


def test_a_letter_without_a_value_says_which() -> None:
    with pytest.raises(Unknown) as caught:
        worked("2 × V_x")
    assert caught.value.name == "V_x"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("(" * 100 + "1" + ")" * 100, "deep"),
        ("√" * 100 + "4", "deep"),
        ("1+" * 500 + "1", "numbers, words and signs"),
        ("9" * 40, "digits"),
        ("1e100", "power of ten"),
        ("1 * 10^1000", "power of ten"),
        ("(1 + 2", "bracket"),
        ("7" * 3000, "characters"),
    ],
)
def test_what_is_too_much_is_refused_politely_and_fast(text: str, why: str) -> None:
    start = time.perf_counter()
    with pytest.raises(Unreadable, match=why):
        worked(text)
    assert time.perf_counter() - start < 0.5


@given(st.floats(0.01, 1e4), st.floats(0.01, 1e4), st.floats(0.01, 1e4))
def test_sums_and_products_follow_the_rules_of_arithmetic(a: float, b: float, c: float) -> None:
    one, two, three = (f"{x:.6g}".replace("e+0", "e") for x in (a, b, c))
    x, y, z = (float(f"{v:.6g}") for v in (a, b, c))
    assert worked(f"{one} + {two} * {three}").value == approx(x + y * z, rel=1e-12)
    assert worked(f"{one} / {two} / {three}").value == approx(x / y / z, rel=1e-12)
    assert worked(f"({one} - {two}) * {three}").value == approx((x - y) * z, rel=1e-9, abs=1e-9)
