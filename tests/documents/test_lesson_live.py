"""What a page shows of one study: the same as the lesson's own data, and four lines of working."""

from __future__ import annotations

import base64
from pathlib import Path

import numpy as np
import pytest

import railwright
from railwright.course import read_course
from railwright.documents.lesson import live
from railwright.documents.lesson.material import Material
from railwright.study import Study, solve

pytest.importorskip("schemdraw", reason="schemdraw isn't installed (extra: draw)")
pytest.importorskip("latex2mathml", reason="latex2mathml isn't installed (extra: web)")


@pytest.fixture(scope="module")
def lamp(root: Path) -> Study:
    return solve(railwright.read_sheet(root / "examples" / "supplies" / "signal-lamp.toml"))


@pytest.fixture(scope="module")
def material(lamp: Study) -> Material:
    return live.material_of(lamp, read_course("uk"), is_fine=False)


def test_waveforms_come_back_within_the_step_of_their_packing(lamp: Study, material: Material) -> None:
    """Two roads: the 16-bit numbers unpacked here, and the study's own waveform. A step is a 65534th of the span."""
    data = live.waveforms(material)
    words = np.frombuffer(base64.b64decode(data["words"]), dtype="<i2").reshape(len(data["waves"]), data["count"])
    row = data["waves"].index("load.voltage")
    values = data["low"][row] + (words[row] + 32767.0) / 65534.0 * data["span"][row]
    own = lamp.waveform("load.voltage")
    expected = np.interp(np.linspace(0.0, lamp.period, data["count"]), own.times, own.values)
    assert np.allclose(values, expected, atol=data["span"][row] / 65534.0 + 1e-5 * abs(values).max())


def test_every_moment_has_its_way_and_known_ways_are_not_drawn_again(lamp: Study, material: Material) -> None:
    on = live.circuit(lamp, material.course)
    known: dict[str, object] = {}
    first = live.ways(material, on, known=known)
    names = {name for _, name in first.moments}
    assert names == set(first.new) == set(known)
    assert not live.ways(material, on, have=names, known=known).new
    # The way of the instant that is shown comes first when only one is drawn.
    for start, name in first.moments:
        degrees = start * 360.0 / (material.hood.fine.values.shape[1] - 1) + 0.5
        one = live.ways(material, on, at=degrees, most=1)
        assert len(one.new) == 1
        assert name in one.new


def test_a_bridges_ways_are_carried_by_its_opposite_diodes(lamp: Study, material: Material) -> None:
    """D1 with D4, D2 with D3: every textbook's picture of a bridge."""
    found = live.ways(material, live.circuit(lamp, material.course))
    pairs = {tuple(way["on"]) for way in found.new.values()}
    assert pairs == {(), ("D1", "D4"), ("D2", "D3")}


def test_the_first_look_is_four_lines_that_lead_from_source_to_mean(material: Material) -> None:
    look = live.first_look(material)
    assert [line["reading"] for line in look.lines] == [
        "secondary.voltage.peak", "load.voltage.peak", "load.voltage.ripple_peak_to_peak", "load.voltage.mean",
    ]  # fmt: skip
    assert all(line["plain"].count("=") >= 2 for line in look.lines)
    assert look.why.count("By hand is") == 1


def test_nothing_beside_the_largest_is_shown_as_zero(root: Path) -> None:
    """A regulated output has no ripple at model textbook: what rounding leaves of it isn't a reading."""
    tide = solve(railwright.read_sheet(root / "examples" / "supplies" / "tide-gauge.toml"))
    found = live.readings(tide, read_course("uk"))
    assert found["load.voltage.ripple_peak_to_peak"]["value"] == 0.0
    assert found["load.voltage.mean"]["value"] == pytest.approx(5.0)
