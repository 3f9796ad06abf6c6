"""A course's letters: what may be typed, how it is set, and that the list names the handbook's quantities."""

from __future__ import annotations

import pytest

from railwright.course import read_course
from railwright.course.choices import FACTORS, RIPPLE_FORMULAS, TAUGHT_FORMULAS
from railwright.course.symbols import QUANTITIES, is_symbol, symbol_in_latex
from railwright.handbook import formulas


@pytest.mark.parametrize(
    ("typed", "set_as"),
    [
        ("V_dc", r"V_{\text{dc}}"),
        ("V_m", "V_m"),
        ("V", "V"),
        ("V_r(p-p)", r"V_{\text{r(p-p)}}"),
        ("γ", r"\gamma"),
        ("ΔV_o", r"\Delta V_o"),
        ("Û_2", r"\hat{U}_2"),
    ],
)
def test_a_letter_is_set_with_its_words_upright(typed, set_as):
    """Typesetting rule of ISO 80000-1, 7.1 (from memory): quantities slanted, descriptive subscripts upright."""
    assert symbol_in_latex(typed) == set_as


@pytest.mark.parametrize("typed", ["", "VV", "V dc", "V_", "V_{dc}", r"\alpha", "$V$", "V_dc_", "1", "V_" + "x" * 20])
def test_what_is_no_letter_is_refused(typed):
    assert not is_symbol(typed)
    with pytest.raises(ValueError, match="is no symbol"):
        symbol_in_latex(typed)


def test_every_quantity_of_the_handbook_may_have_a_letter_of_the_course():
    """The list is data on a low floor; it has to name what the handbook has, neither more nor less."""
    names = {symbol.name for formula in formulas().values() for symbol in (*formula.quantities, formula.result)}
    assert set(QUANTITIES) == names


def test_the_formulas_that_a_course_chooses_from_are_the_handbook_s():
    assert {*RIPPLE_FORMULAS, *TAUGHT_FORMULAS} <= formulas().keys()
    for name in ("uk", "us"):
        course = read_course(name)
        assert {*course.ripple_formula, *course.taught} <= formulas().keys()


def test_the_factors_are_what_their_names_say():
    """Definitions: the sine's peak over its RMS is the root of 2; a half-wave's mean 1/pi, a full wave's 2/pi of the
    peak; their RMS 1/2 and 1/root 2 of it (any handbook; 0.318, 0.637, 0.5, 0.707)."""
    printed = {
        "peak_over_rms": 1.414, "half_wave_mean": 0.318, "full_wave_mean": 0.637, "rms_of_half_wave": 0.5,
        "rms_of_full_wave": 0.707,
    }  # fmt: skip
    assert {name: round(value, 3) for name, value in FACTORS.items()} == printed
