"""Steady states that corrections easily miss: slow circuits, a dozen diodes at one threshold, large cancelling terms.

Law for every multiplier: what a diode brings to a node in the mean, the next diode and the capacitors' leakage take
away (Kirchhoff's current law, averaged over a period); without leakage the load's mean current passes every diode.
"""

from __future__ import annotations

import pytest

import railwright

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


@pytest.mark.parametrize("name", MULTIPLIERS)
def test_the_load_s_mean_current_passes_every_diode(name):
    sheet, model = MULTIPLIERS[name]
    study = railwright.solve(railwright.read_text(sheet), model=model)
    study.proof.require()
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
    study = railwright.solve(railwright.read_text(SATURATED), model="textbook")
    study.proof.require()
    assert study.observation.currents["primary"].maximum > 1e3 * study.observation.currents["load"].maximum
