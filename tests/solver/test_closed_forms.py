"""The solver against circuits whose answer can be written down.

Unless a test says otherwise its witness is elementary integration of the stated waveform, done here; the two
reservoirs are evaluated with 30 digits by `referee.closed_forms`, which shares nothing with this program.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import pytest

import railwright
from referee.closed_forms import ResistiveReservoir, StiffReservoir

EXACT = 1e-9

PEAK, FREQUENCY = 20.0, 50.0


@cache
def readings(sheet: str, model: str) -> Any:
    """The program's readings of a sheet."""
    return railwright.solve(railwright.read_text(sheet), model=model).readings


def value(sheet: str, model: str, reading: str) -> float:
    """One reading as a number."""
    found = readings(sheet, model)[reading]
    assert found.value is not None, f"{reading} has no value: {found.reason}"
    return found.value


def sheet(circuit: str, *, filters: str = "", load: str = 'resistance = "200 ohm"', diode: str = "", more: str = ""):
    """A supply on a stiff generator of 20 V peak, 50 Hz."""
    return f"""
        mains = {{ voltage_peak = "{PEAK} V", frequency = "{FREQUENCY} Hz", source = "generator"{more} }}
        rectifier = {{ circuit = "{circuit}"{f", diode = {{ {diode} }}" if diode else ""} }}
        filter = [{filters}]
        load = {{ {load} }}
    """


def compare(sheet: str, model: str, expected: dict[str, float], tolerance: float = EXACT) -> None:
    """Every expected reading, relative to itself; those of ripple relative to the load's peak."""
    apart = {}
    for reading, wanted in expected.items():
        computed = value(sheet, model, reading)
        scale = abs(PEAK) if "ripple" in reading else abs(wanted)
        if not abs(computed - wanted) <= tolerance * scale:
            apart[reading] = (computed, wanted, abs(computed - wanted) / scale)
    assert not apart, apart


@pytest.mark.parametrize("k", [3, 10, 30, 100, 300, 1000])
@pytest.mark.parametrize(("circuit", "pulses"), [("bridge", 2), ("half-wave", 1)])
@pytest.mark.parametrize(("model", "drop"), [("ideal", 0.0), ("textbook", 0.7)])
def test_a_stiff_reservoir_follows_its_transcendental_closed_form(k, circuit, pulses, model, drop):
    """Sine while it conducts, exponential until the two meet; k is w R C."""
    load = 200.0
    farad = k / (2 * math.pi * FREQUENCY * load)
    text = sheet(circuit, filters=f'{{ capacitor = "{farad:.18f} F" }}', diode=f'drop = "{drop} V"')
    exact_k = 2 * math.pi * FREQUENCY * load * float(f"{farad:.18f}")
    form = StiffReservoir(peak=PEAK, drop=pulses * drop, load=load, k=exact_k, pulses=pulses)
    compare(text, model, form.readings())


@pytest.mark.parametrize(
    ("circuit", "source", "esr", "load", "farad"),
    [
        ("bridge", 0.4, 0.04, 100.0, 2200e-6),
        ("bridge", 3.0, 0.0, 60.0, 470e-6),
        ("half-wave", 1.5, 0.2, 150.0, 1000e-6),
        ("half-wave", 10.0, 0.0, 820.0, 100e-6),
    ],
)
def test_a_reservoir_behind_resistance_follows_its_closed_form(circuit, source, esr, load, farad):
    """One state, two exponentials and a sine; the two switching instants are the root of two equations."""
    drops = 2 if circuit == "bridge" else 1
    text = sheet(
        circuit,
        filters=f'{{ capacitor = "{farad:.7f} F", esr = "{esr} ohm" }}',
        load=f'resistance = "{load} ohm"',
        diode='drop = "0.7 V", resistance = "0.05 ohm"',
        more=f', source_resistance = "{source} ohm"',
    )
    form = ResistiveReservoir(
        peak=PEAK,
        drop=0.7 * drops,
        line=round(source + 0.05 * drops, 9),
        capacitance=farad,
        esr=esr,
        load=load,
        frequency=FREQUENCY,
        pulses=drops,
    )
    compare(text, "textbook", form.readings())


def test_the_closed_form_itself_gives_the_thirty_digit_numbers():
    """Computed with 30-digit arithmetic, independent of this program: 12 V RMS, 50 Hz, 0.4 ohm, 2200 µF, 100 ohm."""
    form = ResistiveReservoir(
        peak=16.97056274847714,
        drop=1.4,
        line=0.5,
        capacitance=2200e-6,
        esr=0.04,
        load=100.0,
        frequency=50.0,
        pulses=2,
    ).readings()
    assert form["load.voltage.mean"] == pytest.approx(14.8621119883979, rel=1e-14)
    assert form["load.voltage.ripple_peak_to_peak"] == pytest.approx(0.563971767817834, rel=1e-14)
    assert form["D1.current.rms"] == pytest.approx(0.270378652676238, rel=1e-14)
    assert form["D1.current.peak"] == pytest.approx(1.23343451163907, rel=1e-14)


def test_an_unfiltered_half_wave_has_the_ratios_of_a_half_sine():
    """Mean P / pi, RMS P / 2, form factor pi / 2; Fourier: order 1 P / 2, even orders 2 P / (pi (n^2 - 1))."""
    compare(
        sheet("half-wave"),
        "ideal",
        {
            "load.voltage.mean": PEAK / math.pi,
            "load.voltage.rms": PEAK / 2,
            "load.voltage.peak": PEAK,
            "load.voltage.ripple_rms": PEAK * math.sqrt(0.25 - 1 / math.pi**2),
            "load.voltage.form_factor": math.pi / 2,
            "load.voltage.ripple_factor": math.sqrt(math.pi**2 / 4 - 1),
            "load.voltage.harmonic_1": PEAK / 2 / math.sqrt(2),
            "load.voltage.harmonic_2": 2 * PEAK / (3 * math.pi) / math.sqrt(2),
            "load.voltage.harmonic_4": 2 * PEAK / (15 * math.pi) / math.sqrt(2),
            "load.voltage.ripple_frequency": FREQUENCY,
            "D1.conduction.angle": 180.0,
            "D1.reverse_voltage.peak": PEAK,
            "rectifier.power.dc_ratio": 4 / math.pi**2,
        },
    )


def test_an_unfiltered_bridge_has_the_ratios_of_a_rectified_sine():
    """Mean 2 P / pi, RMS P / sqrt 2, form factor pi / (2 sqrt 2); even orders 4 P / (pi (n^2 - 1))."""
    compare(
        sheet("bridge"),
        "ideal",
        {
            "load.voltage.mean": 2 * PEAK / math.pi,
            "load.voltage.rms": PEAK / math.sqrt(2),
            "load.voltage.ripple_rms": PEAK * math.sqrt(0.5 - 4 / math.pi**2),
            "load.voltage.form_factor": math.pi / (2 * math.sqrt(2)),
            "load.voltage.ripple_factor": math.sqrt(math.pi**2 / 8 - 1),
            "load.voltage.harmonic_2": 4 * PEAK / (3 * math.pi) / math.sqrt(2),
            "load.voltage.harmonic_4": 4 * PEAK / (15 * math.pi) / math.sqrt(2),
            "load.voltage.harmonic_40": 4 * PEAK / (1599 * math.pi) / math.sqrt(2),
            "load.voltage.ripple_frequency": 2 * FREQUENCY,
            "D1.conduction.angle": 180.0,
            "D1.reverse_voltage.peak": PEAK,
            "D1.current.mean": PEAK / math.pi / 200,
            "mains.current.rms": PEAK / math.sqrt(2) / 200,
            "mains.power.factor": 1.0,
            "rectifier.power.dc_ratio": 8 / math.pi**2,
        },
    )


@pytest.mark.parametrize(("circuit", "drops"), [("half-wave", 1), ("bridge", 2)])
def test_a_drop_clips_the_foot_of_an_unfiltered_waveform(circuit, drops):
    """Conducts from asin(d / P): mean (2 P cos a - d (pi - 2 a)) / (2 pi) per half, over both halves in a bridge."""
    drop = 0.7 * drops
    a = math.asin(drop / PEAK)
    half = (2 * PEAK * math.cos(a) - drop * (math.pi - 2 * a)) / (2 * math.pi)
    squared = (
        (PEAK**2 / 2 + drop**2) * (math.pi - 2 * a) + PEAK**2 / 2 * math.sin(2 * a) - 4 * PEAK * drop * math.cos(a)
    ) / (2 * math.pi)
    compare(
        sheet(circuit, diode='drop = "0.7 V"'),
        "textbook",
        {
            "load.voltage.mean": drops * half,
            "load.voltage.rms": math.sqrt(drops * squared),
            "load.voltage.peak": PEAK - drop,
            "D1.conduction.angle": math.degrees(math.pi - 2 * a),
            "D1.conduction.start": math.degrees(a),
            "D1.current.rms": math.sqrt(squared) / 200,
            "D1.power.mean": 0.7 * half / 200,
        },
    )


def test_resistance_in_the_loop_divides_an_unfiltered_waveform():
    """A divider: source 10 ohm, two diodes of 5 ohm, load 200 ohm leave 200 / 220 of everything."""
    text = sheet("bridge", diode='drop = "0 V", resistance = "5 ohm"', more=', source_resistance = "10 ohm"')
    share = 200 / 220
    compare(
        text,
        "textbook",
        {
            "load.voltage.mean": share * 2 * PEAK / math.pi,
            "load.voltage.peak": share * PEAK,
            "D1.current.peak": PEAK / 220,
            "rectifier.power.dc_ratio": 8 / math.pi**2 * 200 / 210,
        },
    )


@pytest.mark.parametrize(("model", "drop"), [("ideal", 0.0), ("textbook", 0.7)])
def test_a_choke_input_averages_the_rectified_sine(model, drop):
    """While the choke always carries current the mean is 2 P / pi less two drops: a choke's mean voltage is 0."""
    text = sheet(
        "bridge",
        filters='{ choke = "1 H" }, { capacitor = "470 uF" }',
        load='resistance = "100 ohm"',
        diode=f'drop = "{drop} V"',
    )
    mean = 2 * PEAK / math.pi - 2 * drop
    compare(text, model, {"load.voltage.mean": mean, "L1.current.mean": mean / 100, "D1.conduction.angle": 180.0})


def test_the_resistance_of_a_choke_divides_its_mean():
    """2 P / pi through 25 ohm into 100 ohm: only the mean passes a choke without voltage."""
    text = sheet(
        "bridge",
        filters='{ choke = "2 H", resistance = "25 ohm" }, { capacitor = "470 uF" }',
        load='resistance = "100 ohm"',
        diode='drop = "0 V"',
    )
    compare(text, "textbook", {"load.voltage.mean": 2 * PEAK / math.pi * 100 / 125})


def test_a_battery_charger_conducts_only_above_the_battery():
    """Half-wave, 50 ohm, 12 V battery: i = (P sin x - E) / R from asin(E / P) to pi less that."""
    battery, ohm = 12.0, 50.0
    a = math.asin(battery / PEAK)
    mean = (2 * PEAK * math.cos(a) - battery * (math.pi - 2 * a)) / (2 * math.pi * ohm)
    squared = (
        (PEAK**2 / 2 + battery**2) * (math.pi - 2 * a)
        + PEAK**2 / 2 * math.sin(2 * a)
        - 4 * PEAK * battery * math.cos(a)
    ) / (2 * math.pi * ohm**2)
    compare(
        sheet("half-wave", filters='{ resistor = "50 ohm" }', load='battery = "12 V", battery_resistance = "0 ohm"'),
        "ideal",
        {
            "load.current.mean": mean,
            "load.current.rms": math.sqrt(squared),
            "load.current.peak": (PEAK - battery) / ohm,
            "D1.conduction.angle": math.degrees(math.pi - 2 * a),
            "D1.reverse_voltage.peak": PEAK + battery,
            "load.battery.power": battery * mean,
        },
    )


def test_a_bridge_on_a_square_wave_gives_plain_direct_voltage():
    """The magnitude of a square wave is constant: no ripple, mean = RMS = peak."""
    text = f"""
        mains = {{ voltage_peak = "{PEAK} V", frequency = "{FREQUENCY} Hz", waveform = "square" }}
        rectifier = {{ circuit = "bridge" }}
        load = {{ resistance = "200 ohm" }}
    """
    compare(
        text,
        "ideal",
        {"load.voltage.mean": PEAK, "load.voltage.rms": PEAK, "load.voltage.ripple_peak_to_peak": 0.0},
    )


def test_a_bridge_on_a_triangle_gives_half_the_peak():
    """Elementary: the mean of a triangle's magnitude is P / 2, its RMS P / sqrt 3."""
    text = f"""
        mains = {{ voltage_peak = "{PEAK} V", frequency = "{FREQUENCY} Hz", waveform = "triangle" }}
        rectifier = {{ circuit = "bridge" }}
        load = {{ resistance = "200 ohm" }}
    """
    compare(text, "ideal", {"load.voltage.mean": PEAK / 2, "load.voltage.rms": PEAK / math.sqrt(3)})


@pytest.mark.parametrize(("circuit", "limit"), [("bridge", PEAK - 1.4), ("half-wave", PEAK - 0.7)])
def test_without_a_load_a_reservoir_stands_at_the_peak_less_the_drops(circuit, limit):
    """Nothing discharges it: the only steady state that is reached from below."""
    text = sheet(circuit, filters='{ capacitor = "470 uF" }', load="none = true", diode='drop = "0.7 V"')
    compare(text, "textbook", {"load.voltage.mean": limit, "load.voltage.ripple_peak_to_peak": 0.0})


def test_a_centre_tap_takes_one_drop_and_a_bridge_two():
    """The same half-winding: peak less one drop, reverse voltage twice the peak less that drop."""
    text = """
        mains = { voltage_peak = "200 V", frequency = "50 Hz" }
        transformer = { turns_ratio = "10:1", secondary = "centre-tapped" }
        rectifier = { circuit = "centre-tap", diode = { drop = "0.7 V" } }
        load = { resistance = "200 ohm" }
    """
    compare(
        text,
        "textbook",
        {
            "load.voltage.peak": PEAK - 0.7,
            "D1.reverse_voltage.peak": 2 * PEAK - 0.7,
            "secondary.voltage.peak": 2 * PEAK,
            "secondary_a.voltage.peak": PEAK,
        },
    )
