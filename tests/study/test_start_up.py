"""Start-up and discharge against closed forms and a plain integration of a few equations written here."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from railwright.study import discharge, start_up
from railwright.supply import read_text

STIFF = """
mains = {{ voltage_peak = "17 V", frequency = "50 Hz", source = "generator", source_resistance = "0.5 ohm" }}
rectifier = {{ circuit = "bridge", diode = {{ drop = "0.7 V", resistance = "0.05 ohm" }} }}
filter = [{{ capacitor = "1000 uF" }}{more}]
load = {{ resistance = "100 ohm" }}
"""


def test_an_empty_capacitor_draws_most_at_the_peak_of_the_mains() -> None:
    """Ohm's law: at 90 degrees the whole peak less two drops stands across source and diodes."""
    found = start_up(read_text(STIFF.format(more="")), "textbook").readings
    assert found["supply.inrush.angle"].value == pytest.approx(90.0, abs=0.1)
    assert found["mains.current.inrush_peak"].value == pytest.approx((17.0 - 1.4) / 0.6, rel=1e-6)


def test_the_heat_of_a_start_up_is_that_of_a_plain_integration() -> None:
    """One state, integrated here: C v' = max(0, (abs(e) - 2 drops - v) / R) - v / load, the first half second."""
    found = start_up(read_text(STIFF.format(more="")), "textbook", angle=90.0)

    def change(time: float, state: list[float]) -> list[float]:
        charging = max(0.0, (abs(17.0 * math.cos(100.0 * math.pi * time)) - 1.4 - state[0]) / 0.6)
        return [(charging - state[0] / 100.0) / 1e-3, charging**2]

    end = found.legs[1].end  # two legs: a rest of a period and a whole one
    run = solve_ivp(change, (0.0, end), [0.0, 0.0], rtol=1e-9, atol=1e-12, max_step=2e-5)
    current = found.legs[0].solution.rows.current("mains")
    heat = sum(leg.square_integral(current) for leg in found.legs[:2])
    assert heat == pytest.approx(run.y[1, -1], rel=1e-5)


def test_a_start_from_a_charged_capacitor_draws_less() -> None:
    """Ohm's law with what the capacitor already holds."""
    supply = read_text(STIFF.format(more="") + 'initial = { C1 = "10 V" }\n')
    found = start_up(supply, "textbook", angle=90.0).readings
    assert found["mains.current.inrush_peak"].value == pytest.approx((17.0 - 1.4 - 10.0) / 0.6, rel=1e-6)


CORE = """
mains = { voltage = "230 V", frequency = "50 Hz" }
[transformer]
turns_ratio = "10:1"
primary_resistance = "6 ohm"
secondary_resistance = "0 ohm"
magnetizing_inductance = "12 H"
saturation_current = "100 mA"
saturated_inductance = "60 mH"
[rectifier]
circuit = "bridge"
[load]
none = true
"""


def test_a_saturating_core_draws_most_near_the_zero_of_the_mains() -> None:
    """Two equations, integrated here: flux' = e - R i, i a line of two slopes; the worst angle is near 0 (practice)."""
    found = start_up(read_text(CORE), "textbook").readings
    angle, peak = found["supply.inrush.angle"].value, found["mains.current.inrush_peak"].value
    assert angle is not None
    assert peak is not None
    assert min(angle % 180.0, 180.0 - angle % 180.0) < 20.0
    knee = 12.0 * 0.1

    def current(flux: float) -> float:
        beyond = max(0.0, abs(flux) - knee)
        return math.copysign(min(abs(flux), knee) / 12.0 + beyond / 0.06, flux)

    def change(time: float, state: np.ndarray) -> list[float]:
        emf = 230.0 * math.sqrt(2.0) * math.sin(100.0 * math.pi * time + math.radians(angle))
        return [emf - 6.0 * current(float(state[0]))]

    run = solve_ivp(change, (0.0, 0.04), [0.0], rtol=1e-10, atol=1e-12, max_step=1e-5)
    assert abs(peak) == pytest.approx(max(abs(current(float(flux))) for flux in run.y[0]), rel=1e-5)


def test_a_bleeder_empties_a_capacitor_by_its_time_constant() -> None:
    """t = R C ln(V0 / V); energy C V² / 2: load off is the worse of the two."""
    supply = read_text(
        STIFF.format(more=', { bleeder = "1 kohm" }') + 'initial = { C1 = "15 V" }\n'
    )
    found = discharge(supply, "textbook", to=5.0).readings
    assert found["supply.discharge.time"].value == pytest.approx(1.0 * math.log(3.0), rel=1e-9)
    assert found["supply.stored_energy"].value == pytest.approx(0.5 * 1e-3 * 15.0**2, rel=1e-12)
    assert found["supply.discharge.voltage_after_5s"].value == pytest.approx(15.0 * math.exp(-5.0), rel=1e-6)


def test_a_capacitor_without_a_way_to_discharge_is_said_to_stay_charged() -> None:
    found = discharge(read_text(STIFF.format(more="")), "textbook").readings["supply.discharge.time"]
    assert found.value is None
    assert "Fit a bleeder" in found.reason


def test_a_capacitor_that_meets_a_stiff_source_draws_an_infinite_current() -> None:
    stiff = STIFF.format(more="").replace(', source_resistance = "0.5 ohm"', "").replace('"0.05 ohm"', '"0 ohm"')
    found = start_up(read_text(stiff), "textbook").readings["mains.current.inrush_peak"]
    assert found.value is None
    assert "infinite current" in found.reason
