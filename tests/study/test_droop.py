"""The fall of a multiplier's output under load, against the two means that it is made of (readings.md's definition)."""

from __future__ import annotations

from pathlib import Path

import pytest

import railwright

SHEETS = Path(__file__).parents[2] / "examples" / "supplies"


def test_the_fall_under_load_is_the_mean_without_load_less_the_mean_with_it() -> None:
    """Greinacher's cascade of five stages at 100.7 uA, 50 Hz and 10 uF falls by 19.1 V by hand (Kuffel and
    others, High Voltage Engineering, ch. 2, from memory: I/(f C) (2 N^3/3 + N^2/2 - N/6)), and by
    a little less with 95.1 uA."""
    readings = railwright.solve(railwright.read_sheet(SHEETS / "moth-counter.toml")).readings
    fall = readings["rectifier.voltage.droop"]
    assert fall.value == pytest.approx(
        readings.value("load.voltage.no_load_mean") - readings.value("load.voltage.mean"), rel=1e-9
    )
    assert fall.hand[0].value == pytest.approx(19.1, abs=0.1)
    assert fall.value == pytest.approx(19.1 * 95.1 / 100.7, rel=0.03)


def test_a_bridge_has_no_such_reading() -> None:
    readings = railwright.solve(railwright.read_sheet(SHEETS / "signal-lamp.toml")).readings
    assert "rectifier.voltage.droop" not in readings
    assert readings.ask("rectifier.voltage.droop").value is None
