"""What is typed beside a fixed unit, and what stands in the field afterwards."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railwright.quantities import QuantityError, read_quantity
from railwright.web.typed import Wanted, as_typed, shown_unit, typed

CAPACITOR = Wanted(key="filter.1.capacitor", unit="F", shown="µF")
RESISTANCE = Wanted(key="load.resistance", unit="ohm", shown="Ω")


@pytest.mark.parametrize(
    ("text", "wanted", "decimal", "si"),
    [
        # IEC 60062 (from memory): the letter stands for the decimal sign.
        ("4k7", RESISTANCE, ".", 4700.0),
        ("1000 µF", CAPACITOR, ".", 1e-3),
        ("1000", CAPACITOR, ".", 1e-3),
        ("1 mF", CAPACITOR, ".", 1e-3),
        ("0.47", CAPACITOR, ".", 0.47e-6),
        ("4,7k", RESISTANCE, ",", 4700.0),
        ("2,2", CAPACITOR, ",", 2.2e-6),
        ("330 ohm", RESISTANCE, ".", 330.0),
        ("100 Ω", RESISTANCE, ".", 100.0),
        (" 47 ", RESISTANCE, ".", 47.0),
    ],
)
def test_a_field_reads_what_is_printed_on_the_part(text: str, wanted: Wanted, decimal: str, si: float) -> None:
    sheet = typed(text, wanted, decimal=decimal)
    assert read_quantity(sheet, wanted.unit).value == pytest.approx(si, rel=1e-12)


def test_a_tolerance_stays_behind_the_number() -> None:
    sheet = typed("2200 -20/+50 %", CAPACITOR)
    found = read_quantity(sheet, "F")
    assert found.value == pytest.approx(2.2e-3)
    assert found.tolerance is not None
    assert (found.tolerance.minus, found.tolerance.plus) == (0.2, 0.5)
    assert as_typed(sheet, "F") == "2200 -20/+50 %"


@pytest.mark.parametrize(
    ("text", "wanted", "words"),
    [
        ("", RESISTANCE, "empty"),
        ("12 V", RESISTANCE, "V"),
        ("a lot", RESISTANCE, "."),
        ("1,5", RESISTANCE, "."),
        ("9" * 81, RESISTANCE, "too long"),
        ("4k7k7", RESISTANCE, "."),
    ],
)
def test_what_is_no_such_quantity_is_refused_with_a_remedy(text: str, wanted: Wanted, words: str) -> None:
    with pytest.raises(QuantityError, match=words) as caught:
        typed(text, wanted)
    assert caught.value.remedy


@given(st.floats(1e-7, 1e5, allow_nan=False), st.sampled_from(["F", "ohm", "H", "V", "A"]), st.sampled_from([".", ","]))
def test_what_stands_in_a_field_means_what_the_sheet_means(value: float, unit: str, decimal: str) -> None:
    """There and back: the field's text, typed again, is the same quantity to ten figures."""
    shown = as_typed(f"{value!r} {unit}", unit, decimal=decimal)
    again = read_quantity(typed(shown, Wanted(key="", unit=unit, shown=shown_unit(unit)), decimal=decimal), unit).value
    assert math.isclose(again, value, rel_tol=1e-9)


@given(st.text(max_size=90))
def test_any_text_is_a_quantity_or_a_quantity_error(text: str) -> None:
    try:
        read_quantity(typed(text, CAPACITOR), "F")
    except QuantityError as error:
        assert str(error)
