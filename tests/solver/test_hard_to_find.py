"""Steady states that corrections easily miss: slow circuits, a dozen diodes at one threshold, large cancelling terms.

Law for every multiplier: what a diode brings to a node in the mean, the next diode and the capacitors' leakage take
away (Kirchhoff's current law, averaged over a period); without leakage the load's mean current passes every diode.
"""

from __future__ import annotations

import math

import pytest

import railwright
from railwright.supply import with_fault

#: Hundreds of periods long to settle: little changes from one to the next, however far away the steady state is.
SLOW = """
    filter = [{ capacitor = "0.466 F", esr = "0.31 ohm" }]
    [mains]
    voltage = "95.06 V"
    frequency = "400 Hz"
    source_resistance = "4.71 ohm"
    source_inductance = "1.14 uH"
    [transformer]
    turns_ratio = "4.57:1"
    primary_resistance = "6.81 ohm"
    secondary_resistance = "1.69 ohm"
    leakage_inductance = "0.107 mH"
    [rectifier]
    circuit = "multiplier"
    stages = 2
    diode = { drop = "0.577 V", resistance = "0.0238 ohm" }
    pump_capacitor = "1.07 F"
    pump_esr = "0.0399 ohm"
    stage_capacitor = "8970 uF"
    stage_esr = "0.613 ohm"
    [load]
    pulses = [
        { level = "3.7 A", from = "0 s", to = "0.18525 ms" },
        { level = "0.37 A", from = "0.18525 ms", to = "2.5 ms" },
    ]
    pulse_period = "2.5 ms"
"""
#: Twelve diodes whose currents reach zero within the last digit of one another.
LADDER = """
    mains = {{ voltage = "230 V", frequency = "50 Hz" }}
    transformer = {{ secondary_voltage = "{volts} V", rating = "{rating} VA", regulation = "{regulation} %"{core} }}
    load = {{ resistance = "{load} Mohm" }}
    [rectifier]
    circuit = "multiplier"
    stages = 6
    diode = {{ drop = "0.7 V" }}
    pump_capacitor = "1 uF"
    pump_esr = "{esr} ohm"
    stage_capacitor = "1 uF"
    stage_esr = "{esr} ohm"
"""
MULTIPLIERS = {
    "slow": (SLOW, "textbook"),
    "one threshold": (LADDER.format(volts=230, rating=10, regulation=20, load=11.4, esr=10, core=""), "physical"),
    "one threshold, bare capacitors": (
        LADDER.format(volts=24, rating=50, regulation=8, load=6.22, esr=0, core=', magnetizing_inductance = "20 H"'),
        "physical",
    ),
}
#: Amperes of a saturated core cancel to the milliamperes of a diode, which make volts of a load of kilohms.
SATURATED = """
    load = { resistance = "5.6 kohm" }
    filter = [{ resistor = "500 ohm" }]
    [mains]
    voltage = "2.6 V"
    frequency = "16.7 Hz"
    source = "generator"
    source_resistance = "0.14 ohm"
    source_inductance = "0.28 mH"
    [transformer]
    turns_ratio = "0.47:1"
    secondary = "centre-tapped"
    primary_resistance = "0.16 ohm"
    secondary_resistance = "0.16 ohm"
    magnetizing_inductance = "17 mH"
    saturation_current = "64 mA"
    saturated_inductance = "0.7 mH"
    [rectifier]
    circuit = "centre-tap"
    diode = { drop = "1.1 V", resistance = "0.011 ohm" }
"""
#: Ten megohms behind a fraction of a millihenry: a mode ten decades faster than the mains.
STIFF = """
    filter = [{ choke = "2.31 H", resistance = "25.8 ohm" }]
    load = { resistance = "19300 ohm" }
    [[probe]]
    name = "M1"
    from = "winding_a"
    to = "winding_b"
    instrument = "scope-dc"
    resistance = "10 Mohm"
    capacitance = "0 F"
    clip_earthed = false
    [mains]
    voltage = "105.5 V"
    frequency = "50 Hz"
    source = "adapter"
    source_resistance = "0.0726 ohm"
    [transformer]
    turns_ratio = "0.968:1"
    secondary = "centre-tapped"
    primary_resistance = "0.937 ohm"
    secondary_resistance = "0.362 ohm"
    leakage_inductance = "0.149 mH"
    [rectifier]
    circuit = "centre-tap"
    diode = { drop = "0.387 V", resistance = "0.216 ohm" }
"""
#: A battery above the winding's peak, through curved diodes that carry their saturation current backward, all of them.
FULL_BATTERY = """
    mains = { voltage = "1051 V", frequency = "400 Hz", source = "generator", source_resistance = "0.194 ohm" }
    filter = [{ resistor = "41.8 ohm" }]
    load = { battery = "282 V", battery_resistance = "0.0123 ohm" }
    [transformer]
    turns_ratio = "5.56:1"
    primary_resistance = "32.8 ohm"
    secondary_resistance = "0.0773 ohm"
    magnetizing_inductance = "9.15 H"
    [rectifier]
    circuit = "bridge"
    diode = { drop = "0.221 V", saturation_current = "31.5 pA", ideality = 2.0, series_resistance = "0.124 ohm" }
"""
#: An inductance in a broken primary, and behind the diode a regulator that nothing loads.
BROKEN = """
    mains = { voltage = "2197 V", frequency = "60 Hz", source_resistance = "4.09 ohm", source_inductance = "0.192 mH" }
    regulator = { kind = "series", output = "179 V", dropout = "2.39 V" }
    load = { none = true }
    [transformer]
    turns_ratio = "5.62:1"
    secondary = "series"
    primary_resistance = "13.7 ohm"
    secondary_resistance = "0.688 ohm"
    leakage_inductance = "3.09 uH"
    [rectifier]
    circuit = "half-wave"
    diode = { drop = "0.498 V", resistance = "0.156 ohm" }
"""
#: Diodes that begin to conduct with neither current nor rate, each within the last digits of its own instant.
TWO_RAILS = """
    [mains]
    voltage = "399.6 V"
    frequency = "400 Hz"
    source_resistance = "0.122 ohm"
    harmonics = [{ order = 3, ratio = 0.00666, phase = 90 }, { order = 5, ratio = 0.0602, phase = 0 }]
    [transformer]
    turns_ratio = "2.22:1"
    secondary = "centre-tapped"
    primary_resistance = "0.705 ohm"
    secondary_resistance = "0.172 ohm"
    leakage_inductance = "1.01 mH"
    [rectifier]
    circuit = "dual-rail"
    diode = { drop = "0.302 V", resistance = "0.121 ohm" }
    [[filter]]
    capacitor = "5.35 uF"
    esr = "0.0288 ohm"
    [[filter]]
    capacitor = "168 uF"
    esr = "0.0153 ohm"
    [[filter]]
    capacitor = "8.28 uF"
    esr = "0.00813 ohm"
    [[filter]]
    capacitor = "6460 uF"
    esr = "0.00601 ohm"
    [load]
    pulses = [
        { level = "0.463 A", from = "0 s", to = "0.22625 ms" },
        { level = "0.0463 A", from = "0.22625 ms", to = "2.5 ms" },
    ]
    pulse_period = "2.5 ms"
"""


def solved(sheet: str, model: str = "textbook", fault: str = "") -> railwright.Study:
    """A proved study of a sheet."""
    supply = railwright.read_text(sheet)
    study = railwright.solve(with_fault(supply, fault) if fault else supply, model=model)
    study.proof.require()
    return study


@pytest.mark.parametrize("name", MULTIPLIERS)
def test_the_load_s_mean_current_passes_every_diode(name):
    sheet, model = MULTIPLIERS[name]
    study = solved(sheet, model)
    means = {part: wave.mean for part, wave in study.observation.currents.items()}
    count = sum(part.startswith("D") for part in means)
    assert count == (4 if name == "slow" else 12)
    for k in range(1, count + 1):
        onward = means.get(f"D{k + 1}", means["load"])
        leakage = means[f"C{k}"] - means.get(f"C{k + 2}", 0.0)
        assert means[f"D{k}"] == pytest.approx(onward + leakage, rel=1e-8)
        if model == "textbook":
            assert means[f"D{k}"] == pytest.approx(means["load"], rel=1e-8)


def test_last_digits_of_large_currents_are_no_distance_from_a_diode_s_law():
    study = solved(SATURATED)
    assert study.observation.currents["primary"].maximum > 1e3 * study.observation.currents["load"].maximum


def test_power_balances_beside_a_mode_ten_decades_faster_than_the_mains():
    """A choke passes the mean of the rectified sine, 2/pi of its peak (any textbook), less drop and resistances."""
    study = solved(STIFF)
    assert study.proof.power_balance < 1e-11
    peak = 105.5 * math.sqrt(2.0) / 0.968
    through = (2.0 / math.pi * peak - 0.387) / (19300 + 25.8)
    assert study.observation.currents["load"].mean == pytest.approx(through, rel=2e-3)


def test_a_full_battery_gets_no_current_but_may_lose_a_trace():
    """Law: in reverse a diode carries no more than its saturation current; two in series, each twice in the bridge."""
    current = solved(FULL_BATTERY, "physical").observation.currents["load"]
    assert max(abs(current.maximum), abs(current.minimum)) < 1e-6


def test_a_broken_primary_leaves_an_unloaded_regulator_at_nothing():
    study = solved(BROKEN, fault="primary open")
    assert abs(study.observation.voltages["load"].maximum) < 1e-3


def test_two_rails_bring_what_their_pulses_take():
    """Law: capacitors carry no direct current, so the diodes bring the mean of the pulses, known from the sheet."""
    study = solved(TWO_RAILS)
    taken = (0.463 * 0.22625 + 0.0463 * (2.5 - 0.22625)) / 2.5
    means = {name: wave.mean for name, wave in study.observation.currents.items()}
    assert means["D1"] + means["D2"] == pytest.approx(taken, rel=1e-6)
    assert means["D3"] + means["D4"] == pytest.approx(taken, rel=1e-6)
