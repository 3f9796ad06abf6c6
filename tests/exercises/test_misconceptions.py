"""The numbers that wrong ideas give, against closed forms of one bridge, one half-wave and one tapped winding.

The bridge: 12 V RMS, 50 Hz, 0.7 V a diode, 2200 µF, 100 ohm. Peak of a sine: √2 times its RMS value (definition);
straight-line ripple I/(f C) (charge over capacitance). All expected values are worked here from those.
"""

from __future__ import annotations

import math

import pytest
from pytest import approx

from railwright.exercises.expressions.in_names import names_in
from railwright.exercises.misconceptions import MISCONCEPTIONS, Misconception, facts_of, wrong_values
from railwright.exercises.proofreading.names import QUANTITIES, dimension_of
from railwright.supply import read_text

ROOT = math.sqrt(2.0)
PEAK = 12.0 * ROOT
LOAD_PEAK = PEAK - 1.4
CURRENT = LOAD_PEAK / 100.0


def sheet(circuit: str, *, tapped: bool = False, capacitor: bool = True) -> str:
    source = (
        '[mains]\nvoltage = "230 V"\nfrequency = "50 Hz"\n'
        '[transformer]\nsecondary_voltage = "12 V"\n' + ('secondary = "centre-tapped"\n' if tapped else "")
    )
    reservoir = '[[filter]]\ncapacitor = "2200 uF"\n' if capacitor else ""
    rectifier = f'[rectifier]\ncircuit = "{circuit}"\ndiode = {{ drop = "0.7 V" }}\n'
    return source + rectifier + reservoir + '[load]\nresistance = "100 ohm"\n'


def wrong(text: str, quantity: str, name: str) -> list[float]:
    facts = facts_of(read_text(text))
    return [w.value for w in wrong_values(facts, quantity) if w.misconception.name == name]


@pytest.mark.parametrize(
    ("quantity", "name", "value"),
    [
        ("load_peak", "peak for RMS", 12.0 - 1.4),
        ("load_peak", "divided by root two", 12.0 / ROOT - 1.4),
        ("load_peak", "drop count", PEAK),
        ("load_peak", "drop count", PEAK - 0.7),
        ("load_peak", "drop count", PEAK + 1.4),
        ("load_mean", "mean without the capacitor", 2.0 * PEAK / math.pi),
        ("load_mean", "mean without the capacitor", PEAK / math.pi),
        ("ripple_peak_to_peak", "full period", CURRENT / (50.0 * 2.2e-3)),
        ("ripple_frequency", "ripple frequency", 50.0),
        ("ripple_rms", "peak to peak for RMS", CURRENT / (100.0 * 2.2e-3)),
        ("ripple_rms", "sine factor", CURRENT / (100.0 * 2.2e-3) / (2.0 * ROOT)),
        ("reverse_voltage_peak", "reverse voltage", 2.0 * PEAK),
        ("diode_current_mean", "steady diode current", CURRENT),
        ("winding_current_rms", "winding current", CURRENT),
        ("turns_ratio", "turns ratio", 12.0 / 230.0),
        ("source_rms", "turns ratio", 230.0 * 230.0 / 12.0),
    ],
)
def test_a_wrong_idea_gives_its_number_for_the_bridge(quantity: str, name: str, value: float) -> None:
    assert any(found == approx(value, rel=1e-9) for found in wrong(sheet("bridge"), quantity, name))


def test_one_diode_has_its_own_wrong_ideas() -> None:
    half = sheet("half-wave")
    assert approx(100.0) in wrong(half, "ripple_frequency", "ripple frequency")
    assert approx(PEAK) in wrong(half, "reverse_voltage_peak", "reverse voltage")
    assert approx(PEAK - 1.4) in wrong(half, "load_peak", "drop count")
    assert not wrong(half, "ripple_peak_to_peak", "full period")


def test_a_tapped_winding_can_be_taken_whole() -> None:
    tapped = sheet("centre-tap", tapped=True)
    assert approx(2.0 * PEAK) in wrong(tapped, "source_peak", "half winding")
    assert approx(2.0 * PEAK - 0.7) in wrong(tapped, "load_peak", "half winding")
    assert approx(PEAK / 2.0 - 0.7) in wrong(tapped, "load_peak", "half winding")


def test_the_mean_without_a_capacitor_is_right_where_there_is_none() -> None:
    assert not wrong(sheet("bridge", capacitor=False), "load_mean", "mean without the capacitor")


def test_no_wrong_number_is_the_right_one() -> None:
    for circuit, tapped in (("bridge", False), ("half-wave", False), ("centre-tap", True)):
        facts = facts_of(read_text(sheet(circuit, tapped=tapped)))
        for quantity in {m.quantity for m in MISCONCEPTIONS} & set(facts):
            for found in wrong_values(facts, quantity):
                assert found.value != approx(facts[quantity], rel=1e-3)


@pytest.mark.parametrize("misconception", MISCONCEPTIONS, ids=lambda m: f"{m.name}, {m.quantity}")
def test_every_way_is_a_formula_in_known_quantities(misconception: Misconception) -> None:
    assert misconception.quantity in QUANTITIES
    assert misconception.text.endswith(".")
    for way in misconception.ways:
        for name in names_in(way):
            assert name in ("pulses", "diodes_in_path") or dimension_of(name) is not None


def test_a_network_of_ones_own_has_no_facts() -> None:
    text = """
[[element]]
kind = "source"
name = "V1"
from = "a"
to = "b"
voltage = "9 V"
frequency = "50 Hz"
[[element]]
kind = "resistor"
name = "R1"
from = "a"
to = "b"
resistance = "100 ohm"
[network]
common = "b"
output = ["a", "b"]
"""
    assert facts_of(read_text(text)) == {}
