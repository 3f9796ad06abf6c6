"""What lies between the computed neighbours of a lesson, against closed forms and against fresh solves."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import railwright
from railwright.documents.lesson.axes import at, axes_of
from railwright.documents.lesson.interpolation import between, held_between, trusted, weights
from railwright.documents.lesson.neighbours import (
    Neighbourhood,
    drawn,
    neighbourhood,
    page_data,
    tolerance,
    trusted_cells,
)
from railwright.study import solve

SEED, PLACES = 20, 25
#: Readings that the task of the page names: means, ripple, peak currents, angles.
PROMISED = (
    "load.voltage.mean", "load.voltage.ripple_peak_to_peak", "C1.voltage.mean", "C1.voltage.ripple_peak_to_peak",
    "D1.current.peak", "D1.conduction.angle", "D1.conduction.start", "D1.conduction.end", "C1.current.rms",
)  # fmt: skip


@given(
    coefficients=st.lists(st.floats(-5.0, 5.0), min_size=4, max_size=4),
    row=st.floats(0.0, 6.0), column=st.floats(0.0, 4.0),
)  # fmt: skip
def test_a_cubic_is_drawn_exactly(coefficients: list[float], row: float, column: float) -> None:
    """Closed form: through four points of a polynomial of the third degree goes that polynomial and no other."""
    a, b, c, d = coefficients

    def law(x: float, y: float) -> float:
        return a + b * x + c * x * y**2 + d * y**3 + x**3

    table = np.array([[law(x, y) for y in range(5)] for x in range(7)])
    assert between(table, row, column, logarithmic=False) == pytest.approx(law(row, column), abs=1e-8)


@given(power=st.floats(-2.0, 2.0), row=st.floats(0.0, 8.0))
def test_a_law_of_powers_is_drawn_exactly_through_its_logarithms(power: float, row: float) -> None:
    """Closed form: on logarithmic axes a power law is a straight line."""
    values = np.geomspace(0.2, 5.0, 9)
    table = (3.0 * values**power).reshape(9, 1)
    asked = 0.2 * 25.0 ** (row / 8.0)
    assert between(table, row, 0.0, logarithmic=True) == pytest.approx(3.0 * asked**power, rel=1e-9)


@given(count=st.integers(1, 12), share=st.floats(0.0, 1.0))
def test_weights_add_up_to_one(count: int, share: float) -> None:
    """Closed form: a constant stays what it is."""
    assert sum(weight for _, weight in weights(count, share * (count - 1))) == pytest.approx(1.0, abs=1e-9)


def test_a_corner_is_not_trusted_and_a_smooth_curve_is() -> None:
    """Closed form: abs(x) has its corner between the third and the fourth value."""
    places = np.arange(9.0)
    corner = (np.abs(places - 3.4) + 1.0).reshape(9, 1)
    smooth = (10.0 + np.sin(places / 4.0)).reshape(9, 1)
    cells = trusted(corner, logarithmic=False, relative=0.005, absolute=0.0)
    assert not cells[3, 0]
    assert not trusted(corner, logarithmic=False, relative=0.005, absolute=0.0).all()
    assert trusted(smooth, logarithmic=False, relative=0.005, absolute=0.0).all()


@given(row=st.floats(0.0, 7.0))
def test_near_a_corner_a_value_stays_between_its_neighbours(row: float) -> None:
    """Closed form: a curve that is nothing up to a corner and rises after it is never below nothing."""
    rising = np.maximum(np.arange(8.0) - 3.0, 0.0).reshape(8, 1)
    low = int(row)
    value = held_between(rising, row, 0.0, logarithmic=False)
    assert rising[low, 0] <= value <= rising[min(low + 1, 7), 0]


@pytest.fixture(scope="module", params=["signal-lamp", "half-wave", "tide-gauge"])
def hood(request: pytest.FixtureRequest, root: Path) -> Neighbourhood:
    return neighbourhood(solve(railwright.read_sheet(root / "examples" / "supplies" / f"{request.param}.toml")))


def test_readings_between_neighbours_agree_with_fresh_solves(hood: Neighbourhood) -> None:
    """Second road: the circuit solved anew at random places, within 0.5 % of a mean, 2 % of ripple and peaks, 0.5°."""
    chance = random.Random(SEED)
    capacitance, load = axes_of(hood.study.supply)
    cells = {reading: trusted_cells(reading, hood.tables[reading]) for reading in PROMISED if reading in hood.tables}
    checked = dict.fromkeys(cells, 0)
    for _ in range(PLACES):
        row, column = chance.uniform(0.0, 8.0), chance.uniform(0.0, 8.0)
        supply = hood.study.supply
        for axis, place in ((capacitance, row), (load, column)):
            first, last = axis.values[0], axis.values[-1]
            supply = at(supply, axis, first * (last / first) ** (place / 8.0))
        fresh = solve(supply, hood.study.model)
        for reading, trusts in cells.items():
            if not trusts[min(int(row), 7), min(int(column), 7)]:
                continue
            table = hood.tables[reading]
            relative, absolute = tolerance(reading)
            true = fresh.readings.computed(reading)
            expected = pytest.approx(true, rel=relative or 0.0, abs=absolute + 1e-9)
            assert drawn(reading, table, row, column) == expected, (reading, row, column)
            checked[reading] += 1
    # Only a circuit that changes its way of working (a regulator that drops out) may refuse cells.
    if hood.study.supply.regulator is None:
        assert min(checked.values()) >= PLACES * 0.6, checked
    assert checked["C1.voltage.mean" if "C1.voltage.mean" in checked else "load.voltage.mean"] > PLACES / 2


def test_the_middle_is_the_sheet_itself(hood: Neighbourhood) -> None:
    study = hood.study
    assert hood.studies[hood.middle] is study
    for reading, table in hood.tables.items():
        assert table.ravel()[hood.middle] == pytest.approx(study.readings.value(reading), rel=1e-12, abs=1e-12)


def test_packed_waveforms_keep_what_a_screen_shows(hood: Neighbourhood) -> None:
    """The unpacked value is within a ten-thousandth of the curve's own span of the solved one."""
    import base64

    packed = page_data(hood)["fine"]
    words = np.frombuffer(base64.b64decode(packed["words"]), dtype="<i2").reshape(len(hood.waves), packed["count"])
    low, span = np.array(packed["low"])[:, None], np.array(packed["span"])[:, None]
    values = low + (words.astype(float) + 32767.0) / 65534.0 * span
    assert np.all(np.abs(values - hood.fine.values) <= 1e-4 * np.abs(span))


@pytest.mark.parametrize(
    ("sheet", "keys"),
    [
        ("gate-charger", []),  # a battery is no load that a slider could move
        ("ferry-winch", ["load.resistance"]),  # no capacitor
        ("fog-bell", ["filter.1.capacitor"]),  # two loads that differ
        ("tide-gauge", ["filter.1.capacitor", "load.current"]),
    ],
)
def test_a_slider_is_offered_for_what_has_one_value(sheet: str, keys: list[str], root: Path) -> None:
    supply = railwright.read_sheet(root / "examples" / "supplies" / f"{sheet}.toml")
    assert [axis.key for axis in axes_of(supply)] == keys


def test_a_moved_slider_is_the_same_as_the_key_set_anew(root: Path) -> None:
    """Second road: the sheet's own way of setting a key."""
    supply = railwright.read_sheet(root / "examples" / "supplies" / "signal-lamp.toml")
    capacitance, load = axes_of(supply)
    moved = solve(at(at(supply, capacitance, 1000e-6), load, 47.0))
    typed = solve(supply.replace("filter.1.capacitor", "1000 uF").replace("load.resistance", "47 ohm"))
    for reading in ("load.voltage.mean", "D1.current.peak"):
        assert moved.readings.value(reading) == pytest.approx(typed.readings.value(reading), rel=1e-9)
