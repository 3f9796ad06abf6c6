"""Course files: ten lines are enough, and whatever is wrong is told at once with its line, key and remedy."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railwright.course import Course, CourseError, read_course, read_course_text
from railwright.course.reader import KEYS

EXAMPLES = Path(__file__).parents[2] / "examples" / "courses"
START = 'kind = "course"\nwords = "uk"\n'


def faults(text: str) -> list[str]:
    with pytest.raises(CourseError) as caught:
        read_course_text(text, origin="mine.toml")
    return [fault.text for fault in caught.value.faults]


def test_the_two_profiles_speak_as_their_name_says():
    """sheet.md, "course": one UK/IEC and one US/IEEE profile ship."""
    uk, us = read_course("uk"), read_course("us")
    assert (uk.words, uk.drawing, uk.paper, uk.decimal) == ("uk", "iec", "A4", ".")
    assert (us.words, us.drawing, us.paper, us.decimal) == ("us", "ieee", "Letter", ".")


def test_a_course_that_says_nothing_is_the_shipped_one_of_its_words():
    """Two lines are a course: what a file leaves out is that of the profile with the same words."""
    mine, shipped = read_course_text(START), read_course("uk")
    for key in ("symbols", "ripple_formula", "taught", "digits", "rounding", "drawing", "paper", "diode_drop"):
        assert getattr(mine, key) == getattr(shipped, key)


def test_the_example_of_the_harbour_class_has_ten_lines_and_they_are_taken():
    text = (EXAMPLES / "harbour-class.toml").read_text("utf-8")
    assert len(text.strip().splitlines()) == 10
    course = read_course(EXAMPLES / "harbour-class.toml")
    assert course.ripple_formula == ("ripple-trade", "ripple-straight-line")
    assert course.diode_drop == 0.7
    assert course.rounding == "each"
    assert course.symbols["source_peak"] == "V_m"
    assert course.factors["full_wave_mean"] == 0.636
    assert course.ripple_factor_reading == "ripple_ratio"


def test_every_key_of_the_contract_is_read():
    """The keys of sheet.md, "course"."""
    course = read_course_text(
        START
        + 'ripple_factor = "peak-to-peak"\ndiode_drop = "600 mV"\nripple_formula = ["ripple-exponential"]\n'
        + 'regulation_base = "no-load"\nline_regulation_base = "per-volt"\nregulator_dropout = "2 V"\ndigits = 4\n'
        + 'unit_mark = "each"\ndrawing = "ieee"\ncurrent_direction = "electron"\ndecimal = ","\npaper = "Letter"\n'
        + 'language = "de"\nsymbols = { load_mean = "U_d", source_peak = "Û" }\n'
    )
    assert course.diode_drop == pytest.approx(0.6)
    assert course.regulator_dropout == 2.0
    assert course.regulation_reading == "load.voltage.regulation_on_no_load"
    assert (course.digits, course.unit_mark, course.current_direction) == (4, "each", "electron")
    assert course.symbol("load_mean") == r"U_d"
    assert course.symbol("source_peak") == r"\hat{U}"
    assert course.rank("ripple-exponential") == 0
    assert not course.accepts("ripple-trade")


def test_all_faults_of_a_file_are_told_at_once_in_the_order_of_its_lines():
    told = faults('kind = "cours"\nwords = "uk"\ndigits = 9\ndrawing = "din"\n[symbols]\nload_mean = "V_dc!"\n')
    assert told == [
        'mine.toml, line 1, kind: kind is "cours". Allowed: kind = "course". '
        'Start with kind = "course" and words = "uk" or "us".',
        "mine.toml, line 3, digits: 9 is no number of significant digits. Allowed: 1 to 6. Write digits = 3.",
        'mine.toml, line 4, drawing: "din" isn\'t allowed here. Allowed: "iec", "ieee". Write drawing = "iec".',
        'mine.toml, line 6, symbols.load_mean: "V_dc!" is no symbol. Allowed: a letter and, after _, what stands below '
        'it; at most 16 characters. Write load_mean = "V_dc".',
    ]


def test_near_misses_are_named():
    told = faults(START + 'diod_drop = "0.7 V"\nripple_formula = ["ripple-trad"]\nsymbols = { load_meen = "V" }\n')
    assert 'Did you mean "diode_drop"?' in told[0]
    assert 'Did you mean "ripple-trade"' in told[1]
    assert 'Did you mean "load_mean"' in told[2]


def test_a_drop_without_its_unit_is_refused_with_what_to_write():
    assert faults(START + 'diode_drop = "0.7"\n') == [
        'mine.toml, line 3, diode_drop: "0.7" has no unit. Allowed: 0 V to 5 V. Write "0.7 V".'
    ]


def test_two_quantities_of_one_line_of_working_can_not_share_a_letter():
    """V_0 is the UK profile's source peak: a load mean of the same letter would make V_0 = V_0 - V_r/2."""
    (told,) = faults(START + 'symbols = { load_mean = "V_0" }\n')
    assert '"V_0" would stand for both source_peak and load_mean. Give one of them another letter.' in told


def test_a_factor_that_is_no_rounding_is_refused():
    """1/pi is 0.3183 (any table); 0.5 isn't a rounding of it."""
    (told,) = faults(START + "factors = { half_wave_mean = 0.5 }\n")
    assert "0.5 is no rounding of 0.3183" in told


def test_a_file_that_is_no_toml_says_on_which_line():
    (told,) = faults('kind = "course"\nwords = \n')
    assert told.startswith("mine.toml, line 2: this is no TOML")


def test_a_name_that_is_neither_profile_nor_file_says_which_profiles_ship():
    with pytest.raises(CourseError, match="Name a course file, or a profile that ships: uk, us"):
        read_course("no-such-course.toml")


def test_a_file_that_is_no_text_is_refused_in_a_sentence(tmp_path):
    path = tmp_path / "course.toml"
    path.write_bytes(b"\xff\xfe\x00k")
    with pytest.raises(CourseError, match="no UTF-8 text. Save it as UTF-8"):
        read_course(path)
    with pytest.raises(CourseError, match="can't be read"):
        read_course(tmp_path)


@given(st.text(max_size=80))
def test_any_text_is_a_course_or_a_course_error(text):
    """Bad input is never a traceback."""
    try:
        assert isinstance(read_course_text(text), Course)
    except CourseError as error:
        assert error.faults


@given(
    st.sampled_from(["digits", "symbols", "diode_drop", "ripple_formula", "taught", "factors", "title", "language"]),
    st.sampled_from(["1", "true", "[]", "{}", '""', "[1]", "1979-05-27", "{ a = 1 }", '"x"', "-3", "nan", "9" * 5000]),
)
def test_any_value_of_any_key_is_read_or_refused_in_a_sentence(key, value):
    try:
        read_course_text(f"{START}{key} = {value}\n")
    except CourseError as error:
        assert all(fault.problem for fault in error.faults)


def test_the_page_about_courses_has_an_entry_for_every_key_and_shows_the_example_as_it_is():
    """docs/courses.md."""
    page = (EXAMPLES.parents[1] / "docs" / "courses.md").read_text("utf-8")
    for key in KEYS:
        assert f"`{key}`" in page
    assert f"```toml\n{(EXAMPLES / 'harbour-class.toml').read_text('utf-8')}```" in page
