"""Quantities: what the trade writes is read right or refused with a remedy."""

from __future__ import annotations

import math
import pickle
import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from railwright.quantities import (
    PREFERRED_VALUES,
    Quantity,
    QuantityError,
    Tolerance,
    format_quantity,
    format_tolerance,
    known_units,
    preferred_above,
    preferred_below,
    preferred_values,
    read_beside_unit,
    read_quantity,
    read_ratio,
    read_span,
    read_tolerance,
)

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()
REGISTRY.Quantity("1 uF")  # the first use loads its definitions; that is not what the tests below measure


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        # SI prefixes (the SI brochure), in the spellings of parts lists: common practice, no source.
        ("1000 uF", "F", 1e-3),
        ("1000uF", "F", 1e-3),
        ("1000 \u00b5F", "F", 1e-3),  # micro sign
        ("1000\u03bcF", "F", 1e-3),  # Greek mu
        ("2.2 mF", "F", 2.2e-3),
        ("470 \u03a9", "ohm", 470.0),  # Greek omega
        ("470\u2126", "ohm", 470.0),  # ohm sign
        ("4.7 k\u03a9", "ohm", 4700.0),
        ("10 KOhm", "ohm", 10e3),
        ("1 Mohm", "ohm", 1e6),
        ("20 mohm", "ohm", 0.02),
        ("8.33 ms", "s", 8.33e-3),
        ("2000 h", "s", 7.2e6),
        ("10 min", "s", 600.0),
        ("230 V", "V", 230.0),
        ("\u221215 V", "V", -15.0),  # minus sign
        ("+5V", "V", 5.0),
        (".5 A", "A", 0.5),
        ("12 VA", "VA", 12.0),
        ("60 dB", "dB", 60.0),
        ("25 °C", "°C", 25.0),
        ("-40 \u2103", "°C", -40.0),
        ("61.2°", "deg", 61.2),
        ("1.5 K/W", "K/W", 1.5),
        ("-2 mV/K", "V/K", -2e-3),
        ("15 A2s", "A²s", 15.0),
        ("10 mW/cm2", "W/m²", 100.0),
        ("50 %", "%", 0.5),
        ("50 %", "-", 0.5),
        ("0.5", "-", 0.5),
        ("1_000 uF", "F", 1e-3),
        ("47 000 uF", "F", 47e-3),
        ("47\u202f000\u202fµF", "F", 47e-3),
        ("2.2e-3 F", "F", 2.2e-3),
        ("1e5 mV", "V", 100.0),  # quantiphy by itself reads 1e5
        ("1e-15 A", "A", 1e-15),
    ],
)
def test_a_quantity_is_read_in_its_si_unit(text: str, unit: str, value: float) -> None:
    assert read_quantity(text, unit).value == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        # IEC 60062 (from memory): the letter is the decimal sign and the multiplier.
        ("4k7", "ohm", 4700.0),
        ("4K7", "ohm", 4700.0),
        ("2R2", "ohm", 2.2),
        ("R47", "ohm", 0.47),
        ("0R1", "ohm", 0.1),
        ("47R", "ohm", 47.0),
        ("10K", "ohm", 10e3),
        ("2M2", "ohm", 2.2e6),
        ("4k7 ohm", "ohm", 4700.0),
        ("4n7", "F", 4.7e-9),
        ("p68", "F", 0.68e-12),
        ("100n", "F", 100e-9),
        ("4µ7", "F", 4.7e-6),
        ("2m2F", "F", 2.2e-3),
        # Common practice, no source.
        ("4m7H", "H", 4.7e-3),
        ("5V1", "V", 5.1),
        ("3A15", "A", 3.15),
        ("4.7k", "ohm", 4700.0),
        ("0.1u", "F", 0.1e-6),
    ],
)
def test_a_letter_code_is_read(text: str, unit: str, value: float) -> None:
    assert read_quantity(text, unit).value == pytest.approx(value, rel=1e-15)


def test_the_angular_frequency_of_50_hertz_is_read_as_50_hertz() -> None:
    """Closed form: 100 pi radians per second are 50 Hz."""
    assert read_quantity(f"{100 * math.pi!r} rad/s", "Hz").value == pytest.approx(50.0, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "unit", "sentence"),
    [
        (
            "0,1 uF",
            "F",
            '"0,1 uF" has a comma, which could be a decimal sign or a mark between thousands. Write "0.1 uF"',
        ),
        ("1,000 uF", "F", 'Write "1.000 uF" or "1000 uF"'),
        ("1,000,000 ohm", "ohm", 'Write "1000000 ohm"'),
        ("1meg", "ohm", 'Write "1 Mohm"'),
        ("1 K", "ohm", '"1 K" has a prefix but no unit. Write "1 kohm".'),
        ("1000microF", "F", 'Write "1000 uF".'),
        ("1 MF", "F", "is a million farad as it stands, and microfarad on old American parts"),
        ("1M", "F", 'Write "1 uF" if microfarad is meant.'),
        ("1000 mfd", "F", 'Write "1000 uF".'),
        ("1000 uFF", "F", 'has a unit that is not known, "uFF". Write "1000 uF".'),
        ("inf", "V", "is no number with a unit, where a voltage is needed"),
        ("nan", "ohm", 'Write a resistance as in "47 ohm".'),
        ("10 k Ω", "ohm", 'has a space inside its unit. Write "10 kohm".'),
        ("", "F", 'is empty. Write a capacitance as in "1000 uF".'),
        ("   ", "F", "is empty"),
        ("1000 uV", "F", "is a voltage, where a capacitance is needed"),
        ("10 %", "V", "is a percentage, where a voltage is needed"),
        ("2200", "F", '"2200" has no unit. Write "2200 uF" or "2.2 mF".'),
        ("0.0022", "F", 'Write "0.0022 F" or "2200 uF".'),
        ("2200", "ohm", 'Write "2200 ohm" or "2.2 kohm".'),
        ("0.1", "%", 'Write "0.1 %" or "10 %".'),
        ("230 v", "V", 'Write "230 V".'),
        ("12 volts", "V", 'Write "12 V".'),
        ("50 mw", "W", 'Write "50 mW".'),
        ("2m2", "ohm", 'Write "2M2" or "2.2 mohm".'),
        ("4m7", "H", 'Write "4.7 mH".'),
        ("4k7", "V", 'Write "4.7 kV".'),
        ("4R7", "F", "is a letter code that doesn't stand for a capacitance"),
        ("-10 uF", "F", 'is negative, which a capacitance can\'t be. Write "10 uF".'),
        ("-300 °C", "°C", "is below absolute zero"),
        ("298.15 K", "°C", 'Write "25 °C".'),
        ("1e999 V", "V", "is beyond any quantity that could be meant"),
        ("10² V", "V", "has a power of ten in superscript"),
        ("12 V ±0.5 V", "V", "has a tolerance that isn't in percent"),
        ("12 V +5 %", "V", "names one side of a tolerance only"),
        ("5 " * 40 + "V", "V", "is longer than 80 characters"),
        ("5\x00V", "V", '"5\\x00V" has a unit that is not known'),
        ("5 V", "furlong", '"furlong" is no unit that is known here. Ask for one of: F, H, ohm'),
    ],
)
def test_what_could_be_misread_is_refused_with_a_remedy(text: str, unit: str, sentence: str) -> None:
    with pytest.raises(QuantityError) as refusal:
        read_quantity(text, unit)
    assert sentence in str(refusal.value)


@pytest.mark.parametrize(
    ("number", "unit", "sentence"),
    [
        (2200, "F", 'is a bare number, where a capacitance is needed as text in quotes with its unit. Write "2200 uF"'),
        (230.0, "V", 'Write "230.0 V".'),
        (math.nan, "-", "is no finite number"),
        (math.inf, "V", "is no finite number"),
        pytest.param(10**5000, "-", "is no finite number", id="too many digits for the interpreter"),
        (True, "-", "is a bool, where a text is needed"),
        (None, "V", "is a NoneType, where a text is needed"),
        ([230], "V", "is a list, where a text is needed"),
    ],
)
def test_what_is_not_a_text_is_refused_with_a_remedy(number: float, unit: str, sentence: str) -> None:
    with pytest.raises(QuantityError) as refusal:
        read_quantity(number, unit)
    assert sentence in str(refusal.value)


def test_a_bare_number_is_complete_where_a_plain_number_is_wanted() -> None:
    assert read_quantity(2, "-") == Quantity(value=2.0, unit="-")


def test_a_refusal_keeps_its_facts_when_it_travels_between_processes() -> None:
    refusal = QuantityError("2200", "has no unit", 'Write "2200 uF".')
    again = pickle.loads(pickle.dumps(refusal))
    assert (again.given, again.reason, again.remedy, str(again)) == (
        "2200",
        "has no unit",
        'Write "2200 uF".',
        '"2200" has no unit. Write "2200 uF".',
    )


@pytest.mark.parametrize(
    ("text", "unit", "why"),
    [
        ("1000 mF", "F", 'On old parts "mF" and "MFD" mean microfarad'),
        ("0.001 pF", "F", "less than a capacitance in a supply usually is"),
        ("230 MV", "V", "more than a voltage in a supply usually is (at most 100 kV, common practice)"),
        ("900 °C", "°C", "more than a temperature in a supply usually is"),
    ],
)
def test_an_implausible_size_is_read_but_doubted(text: str, unit: str, why: str) -> None:
    (doubt,) = read_quantity(text, unit).doubts
    assert why in doubt


@pytest.mark.parametrize(
    ("text", "unit"),
    [("47000 uF", "F"), ("22 pF", "F"), ("0 ohm", "ohm"), ("1e-14 A", "A"), ("10 Mohm", "ohm"), ("2 kV", "V")],
)
def test_an_ordinary_size_raises_no_doubt(text: str, unit: str) -> None:
    assert read_quantity(text, unit).doubts == ()


@pytest.mark.parametrize(
    ("text", "minus", "plus"),
    [
        ("±20 %", 0.2, 0.2),
        ("20 %", 0.2, 0.2),
        ("+/-5%", 0.05, 0.05),
        ("± 0.5 %", 0.005, 0.005),
        ("-20/+50 %", 0.2, 0.5),
        ("-20%/+50%", 0.2, 0.5),
        ("+80/-20 %", 0.2, 0.8),
        ("-0/+6 %", 0.0, 0.06),
        ("+6/-0 %", 0.0, 0.06),
        ("\u221210/+6 %", 0.1, 0.06),
        ("0 %", 0.0, 0.0),
    ],
)
def test_a_tolerance_is_read_alone_and_after_a_value(text: str, minus: float, plus: float) -> None:
    expected = Tolerance(minus=minus, plus=plus)
    assert read_tolerance(text) == expected
    quantity = read_quantity(f"2200 uF {text}", "F")
    assert (quantity.value, quantity.tolerance) == (2.2e-3, expected)


def test_a_tolerance_may_follow_without_a_space() -> None:
    assert read_quantity("2200uF±20%", "F").tolerance == Tolerance(minus=0.2, plus=0.2)
    assert read_quantity("4k7 5%", "ohm").tolerance == Tolerance(minus=0.05, plus=0.05)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("20", "is no tolerance in percent"),
        ("-20 %", "names one side of a tolerance only"),
        ("-20/-10 %", "needs one side with a minus and one with a plus"),
        ("±100 %", "would let the value fall to zero or below"),
        ("-20/+2000 %", "is too wide to be meant"),
        ("", 'Write it as "±20 %" or "-20/+50 %".'),
    ],
)
def test_a_tolerance_that_is_none_is_refused(text: str, sentence: str) -> None:
    with pytest.raises(QuantityError) as refusal:
        read_tolerance(text)
    assert sentence in str(refusal.value)


@pytest.mark.parametrize(("minus", "plus"), [(-0.1, 0.1), (1.0, 0.1), (0.1, math.nan), (0.1, 11.0)])
def test_a_tolerance_out_of_range_cannot_be_made(minus: float, plus: float) -> None:
    with pytest.raises(QuantityError, match="is no tolerance"):
        Tolerance(minus=minus, plus=plus)


@pytest.mark.parametrize(
    ("text", "value"), [("0,1 uF", 1e-7), ("0.1 uF", 1e-7), ("1,000 uF", 1e-6), ("0.125 uF", 1.25e-7), ("4k7F", 4700.0)]
)
def test_a_decimal_comma_is_read_where_the_course_writes_one(text: str, value: float) -> None:
    assert read_quantity(text, "F", decimal=",").value == pytest.approx(value, rel=1e-15)


def test_a_comma_course_still_refuses_marks_between_thousands() -> None:
    with pytest.raises(QuantityError, match="dot before three digits"):
        read_quantity("1.000 uF", "F", decimal=",")
    with pytest.raises(QuantityError, match="both a comma and a dot"):
        read_quantity("1.000,5 uF", "F", decimal=",")
    with pytest.raises(QuantityError, match="is no decimal sign"):
        read_quantity("1 uF", "F", decimal=";")
    assert read_tolerance("±2,5 %", decimal=",") == Tolerance(minus=0.025, plus=0.025)
    assert read_ratio("19,2:1", decimal=",") == 19.2


@pytest.mark.parametrize(("text", "value"), [("25:1", 25.0), ("1:2", 0.5), ("230 : 12.5", 18.4)])
def test_a_ratio_is_the_first_over_the_second(text: str, value: float) -> None:
    assert read_ratio(text) == value


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("25", 'Write "25:1" or "1:25"'),
        ("0:1", "needs two numbers above zero"),
        ("1:0", "needs two numbers above zero"),
        ("-1:2", "needs two numbers above zero"),
        ("1:2:3", "is no ratio"),
        ("a:b", 'Write it as "25:1", primary turns first.'),
    ],
)
def test_a_ratio_that_is_none_is_refused(text: str, sentence: str) -> None:
    with pytest.raises(QuantityError) as refusal:
        read_ratio(text)
    assert sentence in str(refusal.value)


@pytest.mark.parametrize(
    ("text", "unit", "first", "last"),
    [
        ("0A..1A", "A", 0.0, 1.0),
        ("0..500mA", "A", 0.0, 0.5),
        ("100 uF .. 4700 uF", "F", 1e-4, 4.7e-3),
        ("0.5..1.5", "-", 0.5, 1.5),
        ("1k..4k7", "ohm", 1000.0, 4700.0),
    ],
)
def test_a_span_has_two_ends(text: str, unit: str, first: float, last: float) -> None:
    assert tuple(end.value for end in read_span(text, unit)) == pytest.approx((first, last), rel=1e-15)


@pytest.mark.parametrize("text", ["1A", "..1A", "1A..", "1A..2A..3A", "1A...2A", ""])
def test_a_span_without_two_ends_is_refused(text: str) -> None:
    with pytest.raises(QuantityError, match="Write both ends with two dots between them"):
        read_span(text, "A")


def test_a_span_names_the_end_that_has_no_unit() -> None:
    with pytest.raises(QuantityError, match='"1" has no unit'):
        read_span("1..2A", "A")


@pytest.mark.parametrize("text", ["1000", "1000 uF", "1 mF", "1m", "1m0"])
def test_beside_a_printed_unit_a_number_is_complete(text: str) -> None:
    assert read_beside_unit(text, "uF", "F").value == 1e-3


def test_beside_a_printed_unit_what_is_wrong_stays_wrong() -> None:
    assert read_beside_unit("0,1", "uF", "F", decimal=",").value == 1e-7
    with pytest.raises(QuantityError, match="has a comma"):
        read_beside_unit("0,1", "uF", "F")
    with pytest.raises(QuantityError, match="is a voltage"):
        read_beside_unit("5 V", "uF", "F")


# Laws -----------------------------------------------------------------------------------------------------

LIKELY = st.text(alphabet="0123456789.,eE+-±/%: _µuknMpmGTKRFVAHzohmsΩ°C²\n", max_size=14)


@settings(deadline=None)
@given(
    text=st.one_of(st.text(max_size=100), LIKELY), unit=st.sampled_from(known_units()), decimal=st.sampled_from(".,")
)
def test_whatever_the_text_it_is_read_as_a_finite_value_or_refused_in_a_sentence(
    text: str, unit: str, decimal: str
) -> None:
    readers: tuple[Callable[[], float], ...] = (
        lambda: read_quantity(text, unit, decimal=decimal).value,
        lambda: read_ratio(text, decimal=decimal),
        lambda: read_tolerance(text, decimal=decimal).plus,
        lambda: read_span(text, unit, decimal=decimal)[1].value,
        lambda: read_beside_unit(text, unit, unit, decimal=decimal).value,
    )
    for reader in readers:
        try:
            assert math.isfinite(reader())
        except QuantityError as refusal:
            assert str(refusal).isprintable()
            assert str(refusal).endswith(".")


UNITS = {"F": "F", "H": "H", "ohm": "ohm", "V": "V", "A": "A", "W": "W", "Hz": "Hz", "s": "s", "J": "J", "m": "m"}


def by_pint(text: str, unit: str) -> float | None:
    """Return the value that pint reads, None if it refuses."""
    try:
        return float(REGISTRY.Quantity(text).to(unit).magnitude)
    except Exception:  # its parser raises almost anything
        return None


@settings(deadline=None, max_examples=300)
@given(
    number=st.one_of(
        st.integers(0, 10**6).map(str),
        st.decimals(0, 10**5, places=3).map(str),
        st.floats(1e-9, 1e9).map(repr),
        st.sampled_from(["1.", ".5", "1e3", "1E-3", "1_000"]),
    ),
    space=st.sampled_from(["", " "]),
    prefix=st.sampled_from(["", "T", "G", "M", "k", "K", "m", "u", "µ", "μ", "n", "p", "f"]),
    unit=st.sampled_from(list(UNITS)),
)
def test_what_pint_reads_too_is_the_same_value(number: str, space: str, prefix: str, unit: str) -> None:
    text = f"{number}{space}{prefix}{unit}"
    oracle = by_pint(text, unit)
    try:
        value = read_quantity(text, unit).value
    except QuantityError:
        return
    if oracle is not None:
        assert value == pytest.approx(oracle, rel=1e-12, abs=0.0)


PIECES = ["1", "20", "3.5", ".5", "7.", "e3", "e-3", "E2", " ", "+", "-", "_", "k", "K", "M", "m", "u", "n", "p", "R"]


@settings(deadline=None, max_examples=500)
@given(
    pieces=st.lists(st.sampled_from(PIECES), min_size=1, max_size=4),
    last=st.sampled_from(["", *UNITS]),
    unit=st.sampled_from(list(UNITS)),
)
def test_what_pint_reads_too_is_the_same_value_in_any_disguise(pieces: list[str], last: str, unit: str) -> None:
    text = "".join(pieces) + (last and unit)
    assume(not re.search("[0-9] [0-9]", text))  # a space between thousands here, a product there
    try:
        value = read_quantity(text, unit).value
    except QuantityError:
        return
    oracle = by_pint(text, unit)
    if oracle is not None:
        assert value == pytest.approx(oracle, rel=1e-12, abs=0.0)


@settings(deadline=None)
@given(
    size=st.floats(1e-25, 1e25),
    unit=st.sampled_from(known_units()),
    digits=st.integers(2, 15),
    decimal=st.sampled_from(".,"),
)
def test_what_is_written_is_read_back_to_the_digits_shown(size: float, unit: str, digits: int, decimal: str) -> None:
    """The law, with half a unit of the last digit shown as the only loss."""
    text = format_quantity(size, unit, digits=digits, decimal=decimal)
    if decimal == "," and "." in text:
        raise AssertionError(f"{text} has a dot")
    assert read_quantity(text, unit, decimal=decimal).value == pytest.approx(size, rel=0.5000001 * 10.0 ** (1 - digits))


@given(value=st.floats(-1000, 1000, allow_nan=False).filter(lambda v: abs(v) > 1e-6))
def test_a_sign_survives_writing_and_reading(value: float) -> None:
    assert read_quantity(format_quantity(value, "V"), "V").value == pytest.approx(value, rel=1e-3)


@given(minus=st.integers(0, 999), plus=st.integers(0, 9999))
def test_a_tolerance_survives_writing_and_reading(minus: int, plus: int) -> None:
    tolerance = Tolerance(minus=minus / 1000, plus=plus / 1000)
    again = read_tolerance(format_tolerance(tolerance))
    assert (again.minus, again.plus) == pytest.approx((tolerance.minus, tolerance.plus), rel=1e-12)


# Writing --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        # How the trade writes them: common practice, no source.
        (2.2e-3, "F", "2200 µF"),
        (47e-3, "F", "47000 µF"),
        (100e-9, "F", "100 nF"),
        (22e-12, "F", "22 pF"),
        (4700.0, "ohm", "4.7 kΩ"),
        (999.96, "ohm", "1 kΩ"),
        (0.47, "ohm", "0.47 Ω"),
        (0.02, "ohm", "20 mΩ"),
        (0.7, "V", "0.7 V"),
        (0.05, "V", "50 mV"),
        (325.269, "V", "325.3 V"),
        (-15.2, "V", "-15.2 V"),
        (0.15, "A", "150 mA"),
        (8.33e-3, "s", "8.33 ms"),
        (7.2e6, "s", "2000 h"),
        (100.0, "Hz", "100 Hz"),
        (61.23, "deg", "61.23°"),
        (25.0, "°C", "25 °C"),
        (0.4821, "1", "0.4821"),
        (0.2, "%", "20 %"),
        (-0.001, "1/K", "-0.1 %/K"),
        (15.0, "A²s", "15 A²s"),
        (0.0, "V", "0 V"),
        (1e-30, "V", "1e-30 V"),
    ],
)
def test_a_value_is_written_as_the_trade_writes_it(value: float, unit: str, text: str) -> None:
    assert format_quantity(value, unit) == text


def test_writing_follows_digits_decimal_sign_and_space() -> None:
    assert format_quantity(325.269, "V", digits=2) == "330 V"
    assert format_quantity(11.25, "V", decimal=",") == "11,25 V"
    assert format_quantity(4700.0, "ohm", space="\u202f") == "4.7\u202fkΩ"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_not_written(value: float) -> None:
    with pytest.raises(QuantityError, match="can't be written as a quantity"):
        format_quantity(value, "V")


def test_writing_in_an_unknown_unit_or_with_no_digits_is_refused() -> None:
    with pytest.raises(QuantityError, match="is no unit that is known here"):
        format_quantity(1.0, "furlong")
    with pytest.raises(QuantityError, match="Ask for 1 to 15 digits"):
        format_quantity(1.0, "V", digits=0)


# Preferred values -----------------------------------------------------------------------------------------


def test_the_e24_series_is_the_rounded_geometric_one_with_the_eight_known_exceptions() -> None:
    """IEC 60063 (from memory): 10^(k/24) to two digits, but 2.7 to 4.7 and 8.2 kept from older practice."""
    kept = {2.6: 2.7, 2.9: 3.0, 3.2: 3.3, 3.5: 3.6, 3.8: 3.9, 4.2: 4.3, 4.6: 4.7, 8.3: 8.2}
    geometric = [round(10 ** (k / 24), 1) for k in range(24)]
    assert set(kept) < set(geometric)
    assert preferred_values("E24") == tuple(kept.get(value, value) for value in geometric)


def test_each_series_is_every_second_value_of_the_next() -> None:
    assert preferred_values("E12") == preferred_values("E24")[::2]
    assert preferred_values("E6") == preferred_values("E12")[::2]


def test_the_series_agree_with_the_published_list() -> None:
    """The parts table of preferred values, whose rows were read in published lists of IEC 60063."""
    table = Path(__file__).parents[2] / "shared" / "parts" / "eseries.toml"
    if not table.is_file():
        pytest.skip("the parts table is not beside this tree")
    published = {part["name"]: tuple(part["values"]) for part in tomllib.loads(table.read_text("utf-8"))["part"]}
    assert {name: published[name] for name in PREFERRED_VALUES} == dict(PREFERRED_VALUES)


@pytest.mark.parametrize(
    ("value", "series", "below", "above"),
    [
        # By the series themselves (IEC 60063).
        (2.5e-3, "E12", 2.2e-3, 2.7e-3),
        (2.2e-3, "E12", 2.2e-3, 2.2e-3),
        (950.0, "E24", 910.0, 1000.0),
        (0.99, "E24", 0.91, 1.0),
        (1e6, "E6", 1e6, 1e6),
        (47 * 1.1 / 1.1, "E12", 47.0, 47.0),
    ],
)
def test_the_preferred_neighbours_of_a_value(value: float, series: str, below: float, above: float) -> None:
    assert (preferred_below(value, series), preferred_above(value, series)) == (below, above)


@given(value=st.floats(1e-12, 1e9), series=st.sampled_from(list(PREFERRED_VALUES)))
def test_a_value_lies_between_its_preferred_neighbours(value: float, series: str) -> None:
    below, above = preferred_below(value, series), preferred_above(value, series)
    assert below <= value * (1 + 1e-9)
    assert above >= value * (1 - 1e-9)
    assert above / below < 1.6  # the widest step of E6 is 1.53


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_what_has_no_preferred_neighbours_is_refused(value: float) -> None:
    with pytest.raises(QuantityError, match="has no preferred value beside it"):
        preferred_above(value, "E12")


def test_an_unknown_series_is_refused() -> None:
    with pytest.raises(QuantityError, match="Ask for one of: E6, E12, E24"):
        preferred_below(1.0, "E13")
