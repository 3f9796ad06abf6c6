"""With a book's own conventions, by hand is what the book prints, to the digit.

The examples, their numbers and their sources are those of tests/data/published.toml; the conventions are what each
example's `relation` and `note` say of its book: the drop, the ripple formula, rounded factors, which ratio is called
ripple factor. The digits are those that the book prints.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

import railwright
from railwright.course import Course, read_course_text
from railwright.documents import Working, work
from railwright.documents.working_numbers import rounded

CHECKS: dict[str, dict[str, Any]] = {
    check["id"]: check
    for check in tomllib.loads((Path(__file__).parent.parent / "data" / "published.toml").read_text("utf-8"))["check"]
}

US = 'kind = "course"\nwords = "us"\n'
NO_DROP = US + 'diode_drop = "0 V"\n'
SILICON = US + 'diode_drop = "0.7 V"\n'
TIME_CONSTANT = 'taught = ["load-mean-of-time-constant", "ripple-factor-sawtooth"]\n'
FLOYD = SILICON + 'ripple_factor = "peak-to-peak"\n'
GROB = SILICON + "factors = { peak_over_rms = 1.414, half_wave_mean = 0.318, full_wave_mean = 0.636 }\n"
GROB_RIPPLE = SILICON + 'ripple_formula = ["ripple-exponential"]\n'
ARMY = NO_DROP + "factors = { peak_over_rms = 1.414, half_wave_mean = 0.318 }\n"


def outlet(volts: float, hertz: float, ratio: str = "", secondary: str = "") -> str:
    sheet = f'[mains]\nvoltage = "{volts} V"\nfrequency = "{hertz} Hz"\n'
    if ratio:
        sheet += f'[transformer]\nturns_ratio = "{ratio}"\n'
    if secondary:
        sheet += f"[transformer]\n{secondary}\n" if not ratio else f"{secondary}\n"
    return sheet


def circuit(name: str, load: str, capacitor: str = "") -> str:
    # A drop that no course here has, so that the course's own is seen to be used.
    sheet = f'[rectifier]\ncircuit = "{name}"\ndiode = {{ drop = "0.9 V" }}\n'
    if capacitor:
        sheet += f'[[filter]]\ncapacitor = "{capacitor}"\n'
    return f"{sheet}[load]\n{load}\n"


TAPPED = 'secondary = "centre-tapped"'

#: Id of the check: sheet, course, and for each printed number the reading and the digits printed.
BOOKS: dict[str, tuple[str, str, dict[str, tuple[str, int]]]] = {
    "bridge-ripple-floyd": (
        outlet(115, 60, "10:1") + circuit("bridge", 'resistance = "2.2 kohm"', "50 uF"),
        FLOYD,
        {
            "load_peak_voltage": ("load.voltage.peak", 3),
            "ripple_peak_to_peak": ("load.voltage.ripple_peak_to_peak", 3),
            "load_average_voltage": ("load.voltage.mean", 3),
            "ripple_peak_to_peak_over_average": ("load.voltage.ripple_ratio", 2),
        },
    ),
    "bridge-two-drops-floyd": (
        outlet(12, 60) + circuit("bridge", 'resistance = "1 kohm"'),
        FLOYD,
        {
            "load_peak_voltage": ("load.voltage.peak", 4),
            "diode_peak_inverse_voltage": ("D1.reverse_voltage.peak", 4),
        },
    ),
    "ct-one-drop-floyd": (
        '[mains]\nvoltage_peak = "100 V"\nfrequency = "60 Hz"\n[transformer]\nturns_ratio = "4:1"\n' + TAPPED + "\n"
        + circuit("centre-tap", 'resistance = "1 kohm"'),
        FLOYD,
        {
            "load_peak_voltage": ("load.voltage.peak", 3),
            "diode_peak_inverse_voltage": ("D1.reverse_voltage.peak", 3),
        },
    ),
    "hw-malvino": (
        outlet(120, 60, "5:1") + circuit("half-wave", 'resistance = "5 kohm"', "100 uF"),
        NO_DROP,
        {
            "secondary_rms_voltage": ("secondary.voltage.rms", 3),
            "load_peak_voltage": ("load.voltage.peak", 3),
            "ripple_peak_to_peak": ("load.voltage.ripple_peak_to_peak", 3),
        },
    ),
    "ct-malvino": (
        outlet(120, 60, "10:1", TAPPED) + circuit("centre-tap", 'resistance = "5 kohm"', "100 uF"),
        NO_DROP,
        {
            "load_peak_voltage_ideal": ("load.voltage.peak", 3),
            "ripple_peak_to_peak": ("load.voltage.ripple_peak_to_peak", 3),
        },
    ),
    "bridge-light-ripple-malvino": (
        outlet(120, 60, "15:1") + circuit("bridge", 'resistance = "500 ohm"', "4700 uF"),
        SILICON,
        {
            "secondary_rms_voltage": ("secondary.voltage.rms", 2),
            "load_peak_voltage": ("load.voltage.peak", 2),
            "ripple_peak_to_peak": ("load.voltage.ripple_peak_to_peak", 2),
        },
    ),
    "fw-kakani-50hz": (
        outlet(40, 50) + circuit("bridge", 'resistance = "2 kohm"', "100 uF"),
        NO_DROP + TIME_CONSTANT,
        {"ripple_factor": ("load.voltage.ripple_factor", 3), "load_average_voltage": ("load.voltage.mean", 3)},
    ),
    "ct-kakani-60hz": (
        outlet(120, 60, secondary=TAPPED + '\nsecondary_voltage = "6.3 V"')
        + circuit("centre-tap", 'resistance = "1 kohm"', "100 uF"),
        NO_DROP + TIME_CONSTANT,
        {
            "half_secondary_peak_voltage": ("secondary_a.voltage.peak", 3),
            "load_average_voltage": ("load.voltage.mean", 3),
            "ripple_factor": ("load.voltage.ripple_factor", 2),
        },
    ),
    "fw-bapat-50hz": (
        outlet(10, 50) + circuit("bridge", 'resistance = "1.1 kohm"', "50 uF"),
        NO_DROP + TIME_CONSTANT,
        {"load_average_voltage": ("load.voltage.mean", 4)},
    ),
    "exponential-discharge-hw-grob": (
        outlet(120, 60, "4:1") + circuit("half-wave", 'resistance = "250 ohm"', "500 uF"),
        GROB_RIPPLE,
        {
            "load_peak_voltage": ("load.voltage.peak", 3),
            "ripple_peak_to_peak": ("load.voltage.ripple_peak_to_peak", 3),
            "load_average_voltage": ("load.voltage.mean", 4),
        },
    ),
    "bridge-grob": (
        outlet(120, 60, "3:1") + circuit("bridge", 'resistance = "100 ohm"'),
        GROB,
        {
            "load_average_voltage": ("load.voltage.mean", 4),
            "load_average_current": ("load.current.mean", 4),
            "diode_average_current": ("D1.current.mean", 4),
        },
    ),
    "hw-grob": (
        outlet(120, 60, "3:1") + circuit("half-wave", 'resistance = "100 ohm"'),
        GROB,
        {"load_average_voltage": ("load.voltage.mean", 4), "load_average_current": ("load.current.mean", 4)},
    ),
    "hw-one-drop-bell": (
        outlet(22, 60) + circuit("half-wave", 'resistance = "500 ohm"'),
        SILICON,
        {
            "load_peak_voltage": ("load.voltage.peak", 4),
            "load_peak_current": ("load.current.peak", 3),
            "diode_peak_inverse_voltage": ("D1.reverse_voltage.peak", 4),
        },
    ),
    "hw-army-tc-9-62": (
        outlet(115, 60) + circuit("half-wave", 'resistance = "1 kohm"'),
        ARMY,
        {
            "supply_peak_voltage": ("secondary.voltage.peak", 4),
            "load_average_voltage": ("load.voltage.mean", 3),
        },
    ),
    "ct-vs-bridge-mehta": (
        outlet(230, 50, "10:1", TAPPED) + circuit("centre-tap", 'resistance = "100 ohm"'),
        NO_DROP,
        {"centre_tap_dc_voltage": ("load.voltage.mean", 3)},
    ),
    "ct-vs-bridge-mehta-bridge": (
        outlet(230, 50, "5:1") + circuit("bridge", 'resistance = "100 ohm"'),
        NO_DROP,
        {"bridge_dc_voltage": ("load.voltage.mean", 3)},
    ),
}  # fmt: skip


def worked(sheet: str, course: Course, readings: tuple[str, ...]) -> Working:
    study = railwright.solve(railwright.read_text(sheet))
    return work(study, course, readings)


@pytest.mark.parametrize("name", BOOKS)
def test_by_hand_is_what_the_book_prints(name):
    """Source, numbers and conventions: the check of that id in tests/data/published.toml."""
    sheet, course, printed = BOOKS[name]
    check = CHECKS[name]
    readings = tuple(reading for reading, _ in printed.values())
    working = worked(sheet, read_course_text(course), readings)
    apart = {}
    for key, (reading, digits) in printed.items():
        value = working.section(reading).worked[0].value
        if rounded(value, digits) != check["expected"][key]:
            apart[reading] = f"by hand {value!r}, printed {check['expected'][key]!r}"
    assert not apart, f"{check['source']}: {apart}"


def test_every_printed_number_of_a_bridge_stands_in_its_own_line():
    """Floyd, Electronic Devices, Ex. 2.7, p. 58 (bridge-ripple-floyd): 14.9 V, 1.13 V, 14.3 V."""
    sheet, course, printed = BOOKS["bridge-ripple-floyd"]
    working = worked(sheet, read_course_text(course), tuple(reading for reading, _ in printed.values()))
    results = [step.plain for step in working.steps() if step.kind == "result"]
    for line in ("V_p = 14.9 V", "V_r(pp) = 1.13 V", "V_DC = 14.3 V"):
        assert line in results


def test_a_course_that_rounds_each_step_carries_the_rounded_number_on():
    """The working on paper: 15.6 V from 12 V RMS and two drops of 0.7 V; 15.6 V over 100 ohm is 156 mA; then
    0.156 A / (100 Hz x 2200 uF) is 0.709 V, where full precision gives 0.708 V (curriculum's reference supply)."""
    sheet = outlet(12, 50) + circuit("bridge", 'resistance = "100 ohm"', "2200 uF")
    ripple = "load.voltage.ripple_peak_to_peak"
    each = read_course_text(SILICON + 'rounding = "each"\n')
    final = read_course_text(SILICON)
    assert worked(sheet, each, (ripple,)).section(ripple).worked[0].shown == "0.709 V"
    assert worked(sheet, final, (ripple,)).section(ripple).worked[0].shown == "0.708 V"
