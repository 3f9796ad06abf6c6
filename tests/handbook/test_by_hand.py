"""A teacher's working for whole sheets.

The reference supply (bridge, 12 V, 2200 µF, 100 ohm) is a worked case of the trade: peak 16.97 V, less two drops
15.57 V, straight-line ripple 0.708 V, reverse voltage 16.27 V: arithmetic on paper from the formulas' statements.
"""

from __future__ import annotations

from fnmatch import fnmatchcase

import pytest
from pytest import approx

from railwright import readings, supply
from railwright.handbook import HandResult, by_hand, look_up

SHEET = """
[mains]
voltage = "230 V"
frequency = "50 Hz"
[transformer]
secondary_voltage = "{winding}"
secondary = "{section}"
[rectifier]
circuit = "{circuit}"
{filters}
[load]
{load}
"""
RESERVOIR = '[[filter]]\ncapacitor = "2200 uF"\n'


def sheet(
    circuit: str = "bridge",
    filters: str = RESERVOIR,
    load: str = 'resistance = "100 ohm"',
    winding: str = "12 V",
    more: str = "",
) -> supply.Supply:
    section = "centre-tapped" if circuit in ("centre-tap", "dual-rail") else "single"
    text = SHEET.format(circuit=circuit, filters=filters, load=load, winding=winding, section=section)
    return supply.read_text(text + more)


def worked(results: tuple[HandResult, ...], reading: str, formula: str = "") -> HandResult:
    return next(r for r in results if r.reading == reading and formula in ("", r.formula))


SHEETS = {
    "bridge": sheet(),
    "bridge, no capacitor": sheet(filters=""),
    "half-wave": sheet("half-wave"),
    "half-wave, no capacitor": sheet("half-wave", filters=""),
    "centre-tap": sheet("centre-tap"),
    "centre-tap, no capacitor": sheet("centre-tap", filters=""),
    "dual-rail": sheet("dual-rail", load='resistance = "100 ohm"'),
    "dual-rail, no capacitor": sheet("dual-rail", filters="", load='resistance = "100 ohm"'),
    "dual-half-wave": sheet("dual-half-wave"),
    "bridge, choke": sheet(filters='[[filter]]\nchoke = "500 mH"\n' + RESERVOIR),
    "bridge, choke, bleeder": sheet(
        filters='[[filter]]\nchoke = "500 mH"\nresistance = "2 ohm"\n' + RESERVOIR
        + '[[filter]]\nbleeder = "98 ohm"\n',
        load='current = "100 mA"',
    ),
    "bridge, choke, current": sheet(filters='[[filter]]\nchoke = "500 mH"\n' + RESERVOIR, load='current = "100 mA"'),
    "centre-tap, choke": sheet("centre-tap", filters='[[filter]]\nchoke = "500 mH"\n' + RESERVOIR),
    "bridge, battery behind a resistor": sheet(
        filters='[[filter]]\nresistor = "4 ohm"\n', load='battery = "12 V"\nbattery_resistance = "1 ohm"'
    ),
    "bridge, resistor section": sheet(filters=RESERVOIR + '[[filter]]\nresistor = "10 ohm"\n' + RESERVOIR),
    "bridge, choke section": sheet(filters=RESERVOIR + '[[filter]]\nchoke = "1 H"\n' + RESERVOIR),
    "bridge, constant current": sheet(load='current = "150 mA"'),
    "bridge, regulator": sheet(more='[regulator]\nkind = "series"\noutput = "5 V"\ndropout = "2 V"\n'),
    "bridge, zener": sheet(
        more='[regulator]\nkind = "zener"\nseries_resistor = "100 ohm"\nzener_voltage = "5.1 V"\n'
    ),
    "bridge, zener with slope": sheet(
        more='[regulator]\nkind = "zener"\nseries_resistor = "100 ohm"\nzener_voltage = "5.1 V"\n'
        'zener_resistance = "7 ohm"\n'
    ),
    "bridge, rejecting regulator": sheet(
        load='current = "150 mA"',
        more='[regulator]\nkind = "series"\noutput = "5 V"\ndropout = "2 V"\nripple_rejection = "60 dB"\n',
    ),
    "bridge, resistance in the path": supply.replace(sheet(), "transformer.secondary_resistance", "5 ohm"),
    "bridge, battery": sheet(filters="", load='battery = "12 V"\nbattery_resistance = "1 ohm"'),
    "full-wave doubler": sheet("full-wave-doubler", filters='stage_capacitor = "1000 uF"', load='current = "50 mA"'),
    "half-wave doubler": sheet(
        "half-wave-doubler",
        filters='pump_capacitor = "1000 uF"\nstage_capacitor = "1000 uF"',
        load='current = "50 mA"',
    ),
    "multiplier": sheet(
        "multiplier",
        filters='stages = 3\npump_capacitor = "100 uF"\nstage_capacitor = "100 uF"',
        load='current = "5 mA"',
    ),
}
EVERY = pytest.mark.parametrize("name", SHEETS)


@EVERY
@pytest.mark.parametrize("model", ["ideal", "textbook", "physical"])
def test_every_entry_is_consistent(name: str, model: str) -> None:
    """Reading known, unit the reading's own, formula meant for the reading and the circuit, value the formula's."""
    each = SHEETS[name]
    results = by_hand(each, model)
    assert results
    parts = {part.designator for part in supply.parts(each)}
    for result in results:
        formula = look_up(result.formula)
        assert readings.unit_of(result.reading) == result.unit == formula.unit
        assert any(fnmatchcase(result.reading, pattern) for pattern in formula.readings), result
        assert each.rectifier.circuit in formula.circuits, result
        assert abs(result.value) == approx(formula.value(**result.givens))
        place = result.reading.split(".")[0]
        assert place in parts or not any(character.isdigit() for character in place), result.reading
    assert len({(r.reading, r.formula) for r in results}) == len(results)


def test_the_reference_supply_comes_out_as_on_paper() -> None:
    results = by_hand(SHEETS["bridge"])
    for reading, expected in {
        "secondary.voltage.peak": 16.97,
        "load.voltage.peak": 15.57,
        "C1.voltage.peak": 15.57,
        "D3.reverse_voltage.peak": 16.27,
        "load.voltage.ripple_frequency": 100.0,
    }.items():
        assert worked(results, reading).value == approx(expected, abs=0.005)
    line = worked(results, "load.voltage.ripple_peak_to_peak", "ripple-straight-line")
    assert line.value == approx(0.708, abs=5e-4)
    assert line.givens["load_current"] == approx(15.57 / 100, rel=1e-3)
    # 2 x 15.57/(1 + 2 x 0.22/0.01) and 15.57 (1 - exp(-0.01/0.22)).
    assert worked(results, "load.voltage.ripple_peak_to_peak", "ripple-trade").value == approx(0.692, abs=5e-4)
    assert worked(results, "load.voltage.ripple_peak_to_peak", "ripple-exponential").value == approx(0.692, abs=5e-4)


def test_ideal_diodes_drop_nothing() -> None:
    assert worked(by_hand(SHEETS["bridge"], "ideal"), "load.voltage.peak").value == approx(16.97, abs=0.005)


def test_a_half_wave_has_one_drop_one_pulse_and_twice_the_reverse_voltage() -> None:
    """16.97 - 0.7 = 16.27 V; 16.97 + 16.27 = 33.24 V; 16.27/(100 x 50 x 2200e-6) = 1.479 V."""
    results = by_hand(SHEETS["half-wave"])
    assert worked(results, "load.voltage.peak").value == approx(16.27, abs=0.005)
    assert worked(results, "D1.reverse_voltage.peak").value == approx(33.24, abs=0.005)
    assert worked(results, "load.voltage.ripple_peak_to_peak").value == approx(1.479, abs=1e-3)
    assert worked(results, "load.voltage.ripple_frequency").value == 50.0


def test_a_centre_tap_uses_one_half_and_the_end_to_end_peak_is_twice_that() -> None:
    """12-0-12: half 16.97 V, end to end 33.94 V; reverse voltage 33.94 - 0.7 V."""
    results = by_hand(SHEETS["centre-tap"])
    assert worked(results, "load.voltage.peak").value == approx(16.27, abs=0.005)
    assert worked(results, "secondary.voltage.peak").value == approx(33.94, abs=0.005)
    assert worked(results, "D2.reverse_voltage.peak").value == approx(33.24, abs=0.005)


def test_the_negative_rail_is_negative() -> None:
    results = by_hand(SHEETS["dual-rail"])
    positive, negative = (worked(results, f"load_{rail}.voltage.mean").value for rail in ("positive", "negative"))
    assert negative == -positive < 0.0
    assert worked(results, "load_negative.current.mean").value < 0.0
    assert worked(results, "load_negative.voltage.ripple_peak_to_peak").value > 0.0
    assert worked(results, "C2.voltage.mean").value > 0.0


@pytest.mark.parametrize("name", ["bridge, regulator", "bridge, zener", "bridge, resistor section"])
def test_the_reservoir_ripple_pairs_with_the_capacitor_never_with_the_load_behind(name: str) -> None:
    answered = {result.reading for result in by_hand(SHEETS[name])}
    assert "C1.voltage.ripple_peak_to_peak" in answered
    assert "load.voltage.ripple_peak_to_peak" not in answered
    assert "load.voltage.peak" not in answered


def test_a_choke_input_gets_no_reservoir_formula() -> None:
    """(2 x 16.97/pi - 1.4) V = 9.40 V."""
    results = by_hand(SHEETS["bridge, choke"])
    assert worked(results, "load.voltage.mean").value == approx(9.40, abs=0.01)
    assert worked(results, "load.voltage.mean").valid
    assert not any(look_up(result.formula).topic == "reservoir" for result in results if ".peak" in result.reading)
    assert worked(results, "load.voltage.ripple_peak_to_peak").formula == "choke-input-ripple"


def test_the_current_of_a_choke_runs_on_into_diodes_winding_and_capacitor() -> None:
    """On paper: 9.40 V/100 ohm = 94.0 mA; 2 x 16.97 V/(3 pi x 157.1 ohm) = 22.9 mA of ripple, over
    314.2/s x 2200 uF = 33.2 mV; the root of 94.0^2 + 22.9^2/2 is 95.4 mA; 22.9 mA/1.414 = 16.2 mA."""
    results = by_hand(SHEETS["bridge, choke"])
    for reading, expected in {
        "L1.current.mean": 94.0e-3, "L1.current.peak": 117.0e-3, "L1.current.valley": 71.1e-3,
        "L1.current.rms": 95.4e-3, "D1.current.mean": 47.0e-3, "D1.current.peak": 117.0e-3,
        "secondary.current.rms": 95.4e-3, "C1.current.rms": 16.2e-3, "load.voltage.ripple_peak_to_peak": 33.2e-3,
    }.items():  # fmt: skip
        assert worked(results, reading).value == approx(expected, rel=2e-3), reading
    assert worked(results, "D1.conduction.angle").value == 180.0


def test_a_bleeder_behind_a_choke_carries_its_share_with_and_without_the_load() -> None:
    """On paper, 2 x 16.97 V/pi - 1.4 V = 9.404 V: less 0.1 A x 2 ohm, times 98/100: 9.020 V; with the bleeder alone
    9.404 V x 98/100 = 9.216 V; (9.216 - 9.020)/9.020 = 2.17 %; 0.1 A + 9.020 V/98 ohm = 0.192 A."""
    results = by_hand(SHEETS["bridge, choke, bleeder"])
    for reading, expected in {
        "load.voltage.mean": 9.020, "L1.current.mean": 0.192, "load.voltage.no_load_mean": 9.216,
        "load.voltage.regulation": 0.0217,
    }.items():  # fmt: skip
        assert worked(results, reading).value == approx(expected, rel=2e-3), reading


def test_each_half_of_a_tapped_winding_carries_the_choke_s_current_half_the_time() -> None:
    results = by_hand(SHEETS["centre-tap, choke"])
    choke, half = worked(results, "L1.current.rms").value, worked(results, "secondary_a.current.rms").value
    assert half == approx(choke / 2**0.5)


def test_resistors_before_a_battery_join_its_own_resistance() -> None:
    """On paper: (16.97 - 12 - 1.4) V over 1 ohm and 4 ohm is 0.714 A at the peak."""
    results = by_hand(SHEETS["bridge, battery behind a resistor"])
    assert worked(results, "load.current.peak").value == approx(0.714, rel=2e-3)


def test_a_choke_below_the_critical_inductance_is_out_of_range() -> None:
    """R/(6 pi f) is 106 mH here."""
    small = sheet(filters='[[filter]]\nchoke = "50 mH"\n' + RESERVOIR)
    assert not worked(by_hand(small), "load.voltage.mean").valid


def test_a_constant_current_needs_no_resistance() -> None:
    """0.15/(100 x 2200e-6) = 0.682 V."""
    results = by_hand(SHEETS["bridge, constant current"])
    ripple = [r for r in results if r.reading == "load.voltage.ripple_peak_to_peak"]
    assert [r.formula for r in ripple] == ["ripple-straight-line"]
    assert ripple[0].value == approx(0.682, abs=5e-4)


def test_without_a_capacitor_the_means_of_the_books_come_out() -> None:
    """0.637 x 15.57 = 9.91 V; the dead time, asin(1.4/16.97) = 4.73 degrees, leaves 0.6366 (16.91 - 2.08) = 9.44 V.

    16.91 is 16.97 cos 4.73°, 2.08 is 1.4 times the 85.27° in radians.
    """
    results = by_hand(SHEETS["bridge, no capacitor"])
    assert worked(results, "load.voltage.mean", "full-wave-mean").value == approx(9.91, abs=0.01)
    exact = worked(results, "load.voltage.mean", "full-wave-mean-dead-time").value
    assert exact == approx(9.44, abs=0.01)
    assert worked(results, "load.voltage.ripple_factor").value == approx(0.483, abs=5e-4)
    assert worked(results, "rectifier.power.dc_ratio").value == approx(0.811, abs=5e-4)


def test_doublers_and_multipliers_add_peaks_up() -> None:
    """2 N (16.97 - 0.7) V; droop of N = 3: 5 mA/(50 Hz x 100 µF) = 1 V, times 18 + 4.5 - 0.5; ripple times 6."""
    results = by_hand(SHEETS["multiplier"])
    assert worked(results, "load.voltage.no_load_mean").value == approx(97.6, abs=0.05)
    assert worked(results, "rectifier.voltage.droop").value == approx(22.0)
    assert worked(results, "load.voltage.ripple_peak_to_peak").value == approx(6.0)
    assert worked(results, "D6.reverse_voltage.peak").value == approx(33.24, abs=0.005)
    doubler = by_hand(SHEETS["full-wave doubler"])
    assert worked(doubler, "load.voltage.no_load_mean").value == approx(32.54, abs=0.005)
    assert worked(doubler, "C2.voltage.ripple_peak_to_peak").value == approx(1.0)
    assert worked(doubler, "load.voltage.ripple_frequency").value == 100.0


def test_three_phases_have_their_own_means() -> None:
    """400 V line to line: a phase's peak 326.6 V, between lines 565.7 V; 0.955 (565.7 - 1.4) = 538.9 V."""
    bridge = supply.read_text(
        """
[mains]
voltage = "400 V"
frequency = "50 Hz"
phases = 3
[rectifier]
circuit = "three-phase-bridge"
[load]
resistance = "100 ohm"
"""
    )
    results = by_hand(bridge)
    assert worked(results, "load.voltage.mean").value == approx(538.9, abs=0.2)
    assert worked(results, "load.voltage.ripple_frequency").value == 300.0
    assert worked(results, "D5.reverse_voltage.peak").value == approx(565.0, abs=0.1)
    assert worked(results, "D1.current.mean").value == approx(5.389 / 3, abs=1e-3)


def test_a_bridge_across_a_tapped_winding_uses_both_halves() -> None:
    text = SHEET.format(
        circuit="bridge", filters="", load='resistance = "100 ohm"', winding="6 V", section="centre-tapped"
    )
    assert worked(by_hand(supply.read_text(text)), "load.voltage.peak").value == approx(15.57, abs=0.005)


def test_a_faulty_circuit_has_no_working_by_hand() -> None:
    assert by_hand(supply.with_fault(SHEETS["bridge"], "D2 open")) == ()


def test_the_steadiness_of_the_reference_supply() -> None:
    """No load 15.57 V, by hand 15.57 - 0.354 = 15.22 V loaded: 0.354/15.22 and 0.354/15.57.

    Line: at +10 % the peak is 18.67 - 1.4 = 17.27 V, at -10 % 13.87 V; the ripple goes with the peak, so the means
    stand as 17.27 to 13.87: 24.5 % over low.
    """
    results = by_hand(SHEETS["bridge"])
    assert worked(results, "load.voltage.no_load_mean").value == approx(15.57, abs=0.005)
    assert worked(results, "load.voltage.regulation", "load-regulation").value == approx(0.0233, abs=1e-4)
    assert worked(results, "load.voltage.regulation", "reservoir-regulation").value == approx(1 / 44, abs=1e-4)
    assert worked(results, "load.voltage.regulation_on_no_load").value == approx(0.0227, abs=1e-4)
    assert worked(results, "load.voltage.line_regulation").value == approx(0.245, abs=1e-3)


def test_the_valley_less_output_and_dropout_is_the_headroom() -> None:
    """15.57 - 0.15/(100 x 2200e-6) = 14.89 V; less 5 V and 2 V: 7.89 V."""
    results = by_hand(SHEETS["bridge, rejecting regulator"])
    assert worked(results, "U1.headroom.minimum").value == approx(7.89, abs=0.01)


def test_a_stated_rejection_counts_at_the_physical_model_only() -> None:
    """60 dB: a thousandth of 0.682 V."""
    each = SHEETS["bridge, rejecting regulator"]
    ripple = worked(by_hand(each, "physical"), "load.voltage.ripple_peak_to_peak", "ripple-behind-regulator")
    assert ripple.value == approx(0.682e-3, abs=1e-6)
    assert "load.voltage.ripple_peak_to_peak" not in {result.reading for result in by_hand(each)}


def test_a_zener_with_a_slope_has_ripple_and_output_resistance() -> None:
    """7 ohm beside 100 ohm: 6.54 ohm."""
    results = by_hand(SHEETS["bridge, zener with slope"])
    assert worked(results, "load.output_resistance", "zener-output-resistance").value == approx(6.54, abs=0.005)
    line = worked(results, "C1.voltage.ripple_peak_to_peak", "ripple-straight-line").value
    assert worked(results, "load.voltage.ripple_peak_to_peak").value == approx(0.07 * line)


def test_stated_resistance_brings_in_the_large_reservoir() -> None:
    """5 ohm before 100 ohm, two pulses: the published comparison of winding currents gives 1.79 A per ampere of DC."""
    results = by_hand(SHEETS["bridge, resistance in the path"])
    assert worked(results, "secondary.current.over_dc").value == approx(1.79, abs=6e-3)
    mean = worked(results, "load.voltage.mean", "large-capacitor-mean").value
    assert mean < worked(results, "load.voltage.peak").value
    ideal = by_hand(SHEETS["bridge, resistance in the path"], "ideal")
    assert "secondary.current.over_dc" not in {result.reading for result in ideal}


def test_a_battery_is_charged_by_what_exceeds_it() -> None:
    """13.4 V of battery and drops under a peak of 16.97 V: asin 0.7896 = 52.15 degrees; pulses of 75.7 degrees.

    Mean 1/pi x (2 x 16.97 x 0.6136 - 13.4 x 1.3213) = 0.993 A over 1 ohm; 12 V take up 11.9 W.
    """
    results = by_hand(SHEETS["bridge, battery"])
    assert worked(results, "D1.conduction.angle").value == approx(75.7, abs=0.05)
    assert worked(results, "load.current.mean").value == approx(0.993, abs=3e-3)
    assert worked(results, "load.battery.power").value == approx(11.9, abs=0.05)
    assert worked(results, "load.current.peak").value == approx(3.57, abs=0.005)


def test_an_unfiltered_winding_has_its_utilisation() -> None:
    """8/pi² for a bridge; 0.573 for a centre-tap's secondary, 0.672 over the mean of both windings."""
    bridge = by_hand(SHEETS["bridge, no capacitor"])
    assert worked(bridge, "T1.utilisation.secondary").value == approx(0.8106, abs=5e-5)
    tapped = by_hand(SHEETS["centre-tap, no capacitor"])
    assert worked(tapped, "T1.utilisation.secondary").value == approx(0.573, abs=5e-4)
    assert worked(tapped, "T1.utilisation.mean").value == approx(0.672, abs=6e-4)


def test_a_loaded_cascade_and_doubler_have_their_mean() -> None:
    """97.6 - 22.0 V for the cascade; 32.54 V less 50 mA/(50 Hz x 1000 µF) = 1 V for the doubler."""
    assert worked(by_hand(SHEETS["multiplier"]), "load.voltage.mean").value == approx(75.6, abs=0.05)
    assert worked(by_hand(SHEETS["full-wave doubler"]), "load.voltage.mean").value == approx(31.54, abs=0.005)
