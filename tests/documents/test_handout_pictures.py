"""The empty figures of a hand-out: the place of the full ones, and nothing of what they tell."""

from __future__ import annotations

import re

import numpy as np
import pytest

import railwright
from railwright.course import read_course
from railwright.documents.handout.pictures import Pictures, moment, printed
from railwright.figures.scene import Line, Scene, Text, leaves, render
from railwright.study import solve

WINDING = """
title = "Winding with resistance"
[mains]
voltage = "230 V"
frequency = "50 Hz"
[transformer]
secondary_voltage = "12 V"
secondary_resistance = "1.5 ohm"
[rectifier]
circuit = "bridge"
[[filter]]
capacitor = "2200 uF"
[load]
resistance = "33 ohm"
"""
THREE_PHASES = """
[mains]
voltage = "400 V"
frequency = "50 Hz"
phases = 3
[transformer]
secondary_voltage = "11 V"
[rectifier]
circuit = "three-phase-bridge"
[load]
resistance = "10 ohm"
"""


def pictures(sheet: str, course: str = "uk") -> Pictures:
    return Pictures(study=solve(railwright.read_text(sheet)), course=read_course(course))


def texts(scene: Scene) -> list[str]:
    return [leaf.text for item in scene.items for leaf in leaves(item) if isinstance(leaf, Text)]


def test_empty_and_full_have_the_same_size() -> None:
    made = pictures(WINDING)
    pairs = [(made.empty_waveforms, made.waveforms)]
    pairs += [(way.empty, way.full) for way in made.ways if way.empty is not None and way.full is not None]
    assert len(pairs) == 3
    for empty, full in pairs:
        assert (empty.width, empty.height) == pytest.approx((full.width, full.height))


def test_empty_axes_have_time_but_no_values() -> None:
    words = texts(pictures(WINDING).empty_waveforms)
    assert {"0°", "90°", "360°", "ms", "degrees"} <= set(words)
    numbers = [float(word) for word in words if re.fullmatch(r"−?[\d.]+", word)]
    # Milliseconds of one 50 Hz period, and the zeros of the axes.
    assert max(numbers) == 20.0
    assert not any("peak" in word or re.search(r"\d V", word) or "ripple:" in word or "drop" in word for word in words)


def test_the_source_on_the_empty_axes_is_a_pure_sine_without_the_dents_of_conduction() -> None:
    """A loaded winding sags while its diodes conduct: on the student's axes that would show when they do."""
    made = pictures(WINDING)
    lines = [leaf for item in made.empty_waveforms.items for leaf in leaves(item) if isinstance(leaf, Line)]
    curve = max(lines, key=lambda line: len(line.points))
    x, y = np.array(curve.points).T
    zero, reach = y[0], (y.max() - y.min()) / 2
    degrees = (x - x[0]) / (x[-1] - x[0]) * 360.0
    assert (zero - y) / reach == pytest.approx(np.sin(np.radians(degrees)), abs=1e-3)


def test_three_phases_on_the_empty_axes_are_a_third_of_a_period_apart() -> None:
    made = pictures(THREE_PHASES)
    lines = [leaf for item in made.empty_waveforms.items for leaf in leaves(item) if isinstance(leaf, Line)]
    curves = sorted((line for line in lines if len(line.points) > 100), key=lambda line: line.points[60][1])
    assert len(curves) == 3
    heights = np.array([[point[1] for point in curve.points] for curve in curves])
    # Three sines a third apart add up to nothing.
    assert heights.mean(axis=0) == pytest.approx(np.full(heights.shape[1], heights[:, 0].mean()), abs=0.2)


def test_a_stretch_is_named_without_telling_what_happens_in_it() -> None:
    study = solve(railwright.read_text(WINDING))
    assert moment(study, 88.0) == "Half-cycle in which end a is positive"
    assert moment(study, 268.0) == "Half-cycle in which end b is positive"
    assert moment(solve(railwright.read_text(THREE_PHASES)), 61.2) == "At about 60°"


def test_figures_speak_as_the_course_does() -> None:
    assert "reservoir" not in " ".join(texts(pictures(WINDING, "us").waveforms))
    assert pictures(WINDING, "us").drawing is not None
    assert pictures(WINDING, "us").drawing.standard == "ieee"  # type: ignore[union-attr]


def test_a_hand_outs_figure_is_black_and_white_on_any_copier() -> None:
    made = pictures(WINDING)
    for scene in (made.waveforms, *(way.full for way in made.ways if way.full is not None)):
        drawn = render(scene, copier=True)
        colours = set(re.findall(r"#[0-9a-fA-F]{6}", drawn))
        assert colours <= {"#000000", "#ffffff"}
        assert "opacity" not in drawn


def test_what_the_packaged_face_cannot_draw_becomes_a_question_mark() -> None:
    assert printed("Ω µ √2 漢") == "Ω µ √2 ?"
