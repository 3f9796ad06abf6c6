"""The kernel gives the same answers interpreted and compiled."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

import railwright
from railwright.solver import kernel

SUPPLIES = Path(__file__).resolve().parents[2] / "examples" / "supplies"


@pytest.fixture
def compiled() -> Iterator[None]:
    if not kernel.use_compiled():
        pytest.skip("the compiler (extra `fast`) isn't installed")
    yield
    kernel.use_interpreted()


def readings(name: str, model: str) -> dict[str, float]:
    study = railwright.solve(railwright.read_sheet(SUPPLIES / f"{name}.toml"), model=model)
    return {key: reading.value for key, reading in study.readings.items() if reading.value is not None}


@pytest.mark.parametrize(
    ("name", "model"),
    [
        ("signal-lamp", "textbook"),
        ("beacon-receiver", "textbook"),
        ("ferry-winch", "ideal"),
        ("fog-bell", "textbook"),
        ("gate-charger", "textbook"),
        ("tide-gauge", "physical"),
    ],
)
def test_both_forms_give_the_same_readings(name: str, model: str, compiled: None) -> None:
    """Every kind of block is among these: diodes, regulator states, limits, battery, many-segment curves."""
    fast = readings(name, model)
    kernel.use_interpreted()
    plain = readings(name, model)
    assert fast.keys() == plain.keys()
    for key, value in plain.items():
        assert np.isclose(fast[key], value, rtol=1e-9, atol=1e-12), key


def test_without_being_asked_the_kernel_is_interpreted() -> None:
    assert kernel.kernel() is kernel.interpreted
