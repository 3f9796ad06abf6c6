"""Laws that the formulas must keep, whatever the numbers."""

from __future__ import annotations

import math

from hypothesis import assume, given
from hypothesis import strategies as st
from pytest import approx

from railwright.handbook import look_up

VOLTS = st.floats(3.0, 400.0)
OHMS = st.floats(1.0, 1e6)
FARADS = st.floats(1e-6, 0.1)
HERTZ = st.floats(10.0, 1000.0)
AMPERES = st.floats(1e-3, 100.0)
DROPS = st.floats(0.0, 1.2)


def work(name: str, **values: float) -> float:
    return look_up(name).value(**values)


@given(AMPERES, HERTZ, FARADS)
def test_twice_the_capacitance_halves_the_straight_line_ripple(current: float, frequency: float, farads: float) -> None:
    one = work("ripple-straight-line", load_current=current, recharge_frequency=frequency, capacitance=farads)
    two = work("ripple-straight-line", load_current=current, recharge_frequency=frequency, capacitance=2 * farads)
    assert two == approx(one / 2)


@given(VOLTS, OHMS, FARADS, HERTZ)
def test_the_three_ripples_stand_in_order(peak: float, ohms: float, farads: float, frequency: float) -> None:
    """1 - exp(-x) <= 2x/(2 + x) <= x for every x > 0: exponential, mid-voltage line, straight line."""
    # Below this the three agree to the last digits and only rounding would be compared.
    assume(1.0 / (frequency * ohms * farads) > 1e-6)
    reservoir = {
        "load_peak": peak, "load_resistance": ohms, "capacitance": farads, "discharge_time": 1 / frequency
    }  # fmt: skip
    line = work(
        "ripple-straight-line", load_current=peak / ohms, recharge_frequency=frequency, capacitance=farads
    )
    trade, exponential = work("ripple-trade", **reservoir), work("ripple-exponential", **reservoir)
    assert exponential <= trade * (1 + 1e-9) and trade <= line * (1 + 1e-9)
    bound = work(
        "bound-ripple", source_peak=peak, load_resistance=ohms, recharge_frequency=frequency, capacitance=farads
    )
    assert line <= bound * (1 + 1e-9)


@given(VOLTS, OHMS, st.floats(0.001, 0.9), HERTZ)
def test_each_capacitor_for_a_wanted_ripple_gives_that_ripple(
    peak: float, ohms: float, share: float, frequency: float
) -> None:
    ripple, time = share * peak, 1 / frequency
    shared = {"load_peak": peak, "load_resistance": ohms, "discharge_time": time}
    for name in ("ripple-trade", "ripple-exponential"):
        farads = work(f"capacitance-for-{name}", ripple_peak_to_peak=ripple, **shared)
        assert work(name, capacitance=farads, **shared) == approx(ripple, rel=1e-9)
    line = {"load_current": peak / ohms, "recharge_frequency": frequency}
    farads = work("capacitance-for-ripple", ripple_peak_to_peak=ripple, **line)
    assert work("ripple-straight-line", capacitance=farads, **line) == approx(ripple, rel=1e-9)


@given(VOLTS, DROPS, st.sampled_from([1.0, 2.0]))
def test_unfiltered_means_keep_the_bounds_and_the_dead_time_only_lowers(
    peak: float, drop: float, diodes: float
) -> None:
    assume(peak > 1.01 * drop * diodes)
    drops = {"source_peak": peak, "diode_drop": drop, "diodes_in_path": diodes}
    load = work("load-peak-less-drops", **drops)
    assert load <= work("bound-load-peak", source_peak=peak)
    for wave in ("half-wave", "full-wave"):
        mean, exact = work(f"{wave}-mean", load_peak=load), work(f"{wave}-mean-dead-time", **drops)
        rms, exact_rms = work(f"{wave}-rms", load_peak=load), work(f"{wave}-rms-dead-time", **drops)
        assert exact <= mean * (1 + 1e-9) and exact_rms <= rms * (1 + 1e-9)
        assert mean <= work(f"bound-{wave}-mean", source_peak=peak) * (1 + 1e-9)
        assert exact_rms >= work("bound-rms", load_mean=exact) * (1 - 1e-9)
        assert (exact / exact_rms) ** 2 <= work(f"bound-{wave}-dc-ratio") * (1 + 1e-9)


@given(VOLTS, st.floats(0.0, 0.99), st.sampled_from([1.0, 2.0]))
def test_the_dead_time_laws_are_the_integrals_of_the_wave(peak: float, share: float, diodes: float) -> None:
    """Mean and mean square by the midpoint rule over one hump, 4000 steps."""
    drop = share * peak / diodes
    drops = {"source_peak": peak, "diode_drop": drop, "diodes_in_path": diodes}
    steps = 4000
    wave = [max(peak * math.sin(math.pi * (i + 0.5) / steps) - share * peak, 0.0) for i in range(steps)]
    mean, square = sum(wave) / steps, sum(value**2 for value in wave) / steps
    assert work("full-wave-mean-dead-time", **drops) == approx(mean, abs=1e-5 * peak)
    assert work("half-wave-mean-dead-time", **drops) == approx(mean / 2, abs=1e-5 * peak)
    assert work("full-wave-rms-dead-time", **drops) ** 2 == approx(square, abs=1e-5 * peak**2)


@given(VOLTS, st.floats(1e-6, 0.01), AMPERES)
def test_charge_balance_holds_for_very_small_ripple(peak: float, share: float, current: float) -> None:
    """Mean while conducting times the share of the period is the load current: small-ripple limit, half-wave."""
    pulse = {"load_peak": peak, "ripple_peak_to_peak": share * peak}
    angle = work("conduction-angle-small-ripple", **pulse)
    mean = work("half-wave-diode-mean-conducting", load_current=current, **pulse)
    assert mean * angle / 360.0 == approx(current, rel=0.01 + math.radians(angle))


@given(VOLTS, st.floats(1e-6, 0.5))
def test_the_parabola_gives_a_smaller_angle_than_the_sine(peak: float, share: float) -> None:
    pulse = {"load_peak": peak, "ripple_peak_to_peak": share * peak}
    assert work("conduction-angle-small-ripple", **pulse) <= work("conduction-angle-exact-start", **pulse) * (1 + 1e-6)


@given(AMPERES, HERTZ, FARADS)
def test_one_stage_droops_as_much_as_it_ripples(current: float, frequency: float, farads: float) -> None:
    """From the statement: at N = 1 both are I/(fC)."""
    values = {"load_current": current, "mains_frequency": frequency, "stage_capacitance": farads, "stages": 1.0}
    assert work("cascade-droop", **values) == approx(work("cascade-ripple", **values))
