"""What teachers write, and what becomes of it: names, chains, tables, fences, and lines that are no equations."""

from __future__ import annotations

import pytest

from railwright.exercises.expressions import Unreadable
from railwright.exercises.proofreading.equations import equations_of, table_equation
from railwright.exercises.proofreading.markdown import lines_of, plain
from railwright.exercises.proofreading.names import normalised, quantities_of, quantities_of_words


def read(line: str) -> list[tuple[str, str, list[str]]]:
    return [(e.symbol, e.words, [s.text for s in e.sides]) for e in equations_of(plain(line), ".")]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("Vp = 12 V * 1.414 = 16.97 V", [("Vp", "", ["12 V * 1.414", "16.97 V"])]),
        ("- **peak voltage** = 16.97 V (peak)", [("", "peak voltage", ["16.97 V (peak)"])]),
        ("f = 50 Hz, C = 2200 µF", [("f", "", ["50 Hz"]), ("C", "", ["2200 uF"])]),
        ("T/2 = 10 ms", [("", "", ["T/2", "10 ms"])]),
        ("The source peak is V_p ≈ 17 V, so the diode…", [("V_p", "The source peak", ["17 V"])]),
        ("$V_{dc} = 15.2\\,\\text{V}$", [("V_dc", "", ["15.2 V"])]),
        ("ripple is 0.5 A/(100 Hz*1 mF) = 5 V", [("", "ripple", ["0.5 A/(100 Hz*1 mF)", "5 V"])]),
        ("ripple RMS = 0.2 V", [("", "ripple RMS", ["0.2 V"])]),
    ],
)
def test_an_equation_is_found_in_its_prose(line: str, expected: list[tuple[str, str, list[str]]]) -> None:
    assert read(line) == expected


@pytest.mark.parametrize(
    "line",
    ["", "The mains side stays closed.", "Work out x = ____ V", "Vp = the peak", "a <= b", "---", "x == y", "Why?"],
)
def test_what_is_no_equation_is_passed_over(line: str) -> None:
    assert read(line) == []


def test_a_decimal_comma_without_the_option_is_not_guessed() -> None:
    with pytest.raises(Unreadable, match="--decimal ,"):
        read("Vdc = 15,2 V")


def test_fences_of_programs_data_and_comments_are_no_notes() -> None:
    notes = (
        "---\na = 1 V\n---\n```toml\nb = 2 V\n```\n```\nc = 3 V\n```\n"
        "<!-- d = 4 V -->\n<!--\ne = 5 V\n-->\nf = 6 Hz\n"
    )
    assert [line.number for line in lines_of(notes) if "=" in line.text] == [8, 14]


def test_a_row_of_a_table_is_a_name_a_working_and_a_value() -> None:
    row = table_equation(("peak voltage", "12 V * √2", "16.97 V"), ".")
    assert row is not None
    assert (row.words, [s.text for s in row.sides]) == ("peak voltage", ["12 V * √2", "16.97 V"])
    assert table_equation(("1000 uF", "1.4 V", "12 V"), ".") is None
    assert table_equation(("ripple", "0.71 V", "0.63 V"), ".") is None  # by hand and computed, side by side


@pytest.mark.parametrize("spellings", [("V_p", "Vp", "V_P"), ("V_dc", "Vdc", "V_DC"), ("V_r(pp)", "Vrpp", "Vr(p-p)")])
def test_one_letter_in_many_spellings_is_one_name(spellings: tuple[str, ...]) -> None:
    assert len({normalised(spelling) for spelling in spellings}) == 1


def test_upper_and_lower_case_stay_apart() -> None:
    assert normalised("F") != normalised("f")
    assert normalised("V_r") != normalised("v_r")


@pytest.mark.parametrize(
    ("phrase", "quantity"),
    [
        ("peak inverse voltage", "reverse_voltage_peak"),
        ("average output voltage", "load_mean"),
        ("mean", "load_mean"),
        ("line frequency", "mains_frequency"),
        ("mains frequency", "mains_frequency"),
        ("smoothing capacitor", "capacitance"),
        ("filter capacitor", "capacitance"),
        ("secondary voltage", "source_rms"),
        ("secondary peak", "source_peak"),
        ("peak to peak ripple", "ripple_peak_to_peak"),
        ("forward drop", "diode_drop"),
        ("load resistor", "load_resistance"),
        ("turns ratio", "turns_ratio"),
    ],
)
def test_the_words_of_both_sides_of_the_ocean_mean_their_quantity(phrase: str, quantity: str) -> None:
    """Words: UK and US usage, common practice."""
    assert quantity in quantities_of_words(phrase)


def test_a_remark_narrows_what_a_letter_means() -> None:
    assert quantities_of("V_r", "", "rms") == ("ripple_rms",)
    assert quantities_of("V_s", "", "") == ("source_rms",)
