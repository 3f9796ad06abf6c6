"""A course's own letters as names in notes; and its drop. Numbers as in test_against_a_supply.py.

12 V RMS is 16.97 V of peak; less two drops of 0.7 V 15.57 V, of 0.6 V 15.77 V; 0.1557 A over 100 Hz and 2200 uF is
0.708 V.
"""

from __future__ import annotations

import pytest

from railwright.course import Course, read_course, read_course_text
from railwright.exercises.proofreading import Finding, proofread
from railwright.exercises.proofreading.names import Letters
from railwright.study import Study, read_text, solve

OWN = """
kind = "course"
words = "uk"
{more}
[symbols]
source_peak = "W_s"
load_peak = "W_c"
load_mean = "Y"
ripple_peak_to_peak = "h"
"""


def own(more: str = "") -> Course:
    return read_course_text(OWN.format(more=more))


@pytest.fixture(scope="module")
def study() -> Study:
    return solve(
        read_text(
            'mains = { voltage = "12 V", frequency = "50 Hz", source = "adapter" }\n'
            'rectifier = { circuit = "bridge" }\nfilter = [{ capacitor = "2200 uF" }]\n'
            'load = { resistance = "100 ohm" }\n'
        )
    )


def slips(study: Study, course: Course | None, *lines: str) -> list[Finding]:
    found = proofread("\n\n".join(lines), study, course=course)
    return [finding for finding in found.findings if finding.severity != "note"]


@pytest.mark.parametrize(
    ("line", "kind", "expected"),
    [
        ("W_s = 17.9 V", "against sheet", "17.0 V"),
        ("h = 2.3 V", "against sheet", "0.708 V"),
        ("Y = 15.3 A", "unit", "volts"),
        ("W_c = 18.4 V", "bound broken", ""),
    ],
)
def test_a_letter_that_only_the_course_knows_is_held_against_the_sheet(
    study: Study, line: str, kind: str, expected: str
) -> None:
    assert slips(study, None, line) == []
    (finding, *_) = slips(study, own(), line)
    assert finding.kind == kind
    if kind == "against sheet":
        assert finding.expected == expected


def test_right_lines_in_the_course_s_letters_hold_no_slip(study: Study) -> None:
    assert not slips(
        study, own(),
        "W_s = 12 V * 1.414 = 16.97 V", "W_c = W_s - 2 * 0.7 V = 15.57 V",
        "h = 0.1557 A / (2 * 50 Hz * 2200 uF) = 0.708 V", "Y = 15.57 V - 0.708 V / 2 = 15.22 V",
    )  # fmt: skip


def test_a_letter_means_what_the_course_says_and_nothing_that_it_calls_otherwise(study: Study) -> None:
    """In the British profile the source's peak is V_0 and the load's V_pk; in books at large V_pk may be either."""
    line = "V_pk = 16.97 V"
    assert slips(study, None, line) == []
    assert [finding.kind for finding in slips(study, read_course("uk"), line)] != []
    assert slips(study, read_course("uk"), "V_0 = 16.97 V", "V_pk = 15.57 V") == []


def test_the_course_s_drop_is_right_in_its_notes(study: Study) -> None:
    line = "W_c = 16.97 V - 2 * 0.6 V = 15.77 V"
    assert slips(study, own('diode_drop = "0.6 V"'), line) == []


def test_letters_are_one_in_every_spelling() -> None:
    letters = Letters.of_course({"ripple_peak_to_peak": "V_r(pp)", "load_current_mean": "J_DC"})
    assert letters.mean("Vrpp") == letters.mean("V_{r(pp)}") == ("ripple_peak_to_peak",)
    assert letters.mean("J_dc") == ("load_current",)
    assert "J_dc" in letters and "K_dc" not in letters
