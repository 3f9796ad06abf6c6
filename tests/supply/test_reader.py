"""From text to a supply: what is read, converted and noted."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import pytest
from pytest import approx

from railwright.quantities import Tolerance
from railwright.supply import SheetError, Supply, at_point, parts, point_names, read_sheet, read_text

BRIDGE = """
mains = { voltage = "12 V", frequency = "50 Hz", source = "adapter" }
rectifier = { circuit = "bridge" }
load = { resistance = "1 kohm" }
"""
TRANSFORMER = """
mains = { voltage = "230 V", frequency = "50 Hz" }
rectifier = { circuit = "bridge" }
load = { resistance = "1 kohm" }
[transformer]
"""


def dual(rest: str) -> Supply:
    return read_text(
        f"""
        mains = {{ voltage = "230 V", frequency = "50 Hz" }}
        transformer = {{ secondary = "centre-tapped", secondary_voltage = "12 V" }}
        rectifier = {{ circuit = "dual-rail" }}
        {rest}
        """
    )


def sentences(text: str) -> str:
    with pytest.raises(SheetError) as caught:
        read_text(text)
    return str(caught.value)


# ------------------------------------------------------------------------------------------- sheets that must be read


def test_every_example_is_read_with_all_its_points(root: Path) -> None:
    files = sorted(root.glob("examples/supplies/*.toml"))
    assert len(files) >= 9
    for file in files:
        supply = read_sheet(file)
        assert supply.title and supply.note, file.name
        for name in point_names(supply):
            at_point(supply, name)


def test_every_case_sheet_is_read(root: Path) -> None:
    files = [*root.glob("tests/data/case-sheets/*.toml"), *root.glob("../shared/cases/sheets/*.toml")]
    if not files:
        pytest.skip("no case sheets here")
    for file in files:
        supply = read_sheet(file)
        for name in point_names(supply):
            at_point(supply, name)


def test_every_published_check_sheet_is_read(root: Path) -> None:
    files = [root / "tests/data/published.toml", root / "../shared/checks/published.toml"]
    file = next((file for file in files if file.exists()), None)
    if file is None:
        pytest.skip("no published checks here")
    sheets = [check["sheet"] for check in tomllib.loads(file.read_text(encoding="utf-8"))["check"] if "sheet" in check]
    assert len(sheets) > 40
    for sheet in sheets:
        assert parts(read_text(sheet))


def test_a_sheet_may_be_written_in_tables_or_in_braces() -> None:
    tables = read_text(
        '[mains]\nvoltage = "12 V"\nfrequency = "50 Hz"\nsource = "adapter"\n'
        '[rectifier]\ncircuit = "bridge"\n[load]\nresistance = "1 kohm"\n'
    )
    braces = read_text(BRIDGE)
    assert (tables.mains, tables.rectifier, tables.loads) == (braces.mains, braces.rectifier, braces.loads)


# -------------------------------------------------------------------------------------------------------- the mains


@pytest.mark.parametrize(("waveform", "peak_over_rms"), [("sine", 2**0.5), ("square", 1.0), ("triangle", 3**0.5)])
def test_a_stated_peak_becomes_the_rms_of_its_waveform(waveform: str, peak_over_rms: float) -> None:
    """Definition of RMS: sine 1/√2, square 1, triangle 1/√3 of the peak."""
    supply = read_text(
        f'mains = {{ voltage_peak = "10 V", frequency = "50 Hz", waveform = "{waveform}", source = "generator" }}\n'
        'rectifier = { circuit = "half-wave" }\nload = { none = true }\n'
    )
    assert supply.mains.voltage == approx(10.0 / peak_over_rms, rel=1e-12)
    assert supply.mains.peak == approx(10.0, rel=1e-12)


def test_radians_per_second_become_hertz() -> None:
    """ω = 2 π f."""
    supply = read_text(BRIDGE.replace('"50 Hz"', '"377 rad/s"'))
    assert supply.mains.frequency == approx(377.0 / (2.0 * math.pi), rel=1e-12)


def test_the_stated_voltage_is_the_rms_of_the_whole_emf_and_the_model_keeps_that_of_the_fundamental() -> None:
    """Parseval: the squares of fundamental and harmonics add up."""
    supply = read_text(
        BRIDGE.replace('"50 Hz"', '"50 Hz", harmonics = [{ order = 3, ratio = "30 %", phase = 0 }, '
                                  '{ order = 5, ratio = 0.4, phase = "90 deg" }]')
    )  # fmt: skip
    assert supply.mains.voltage == approx(12.0 / math.sqrt(1.0 + 0.09 + 0.16), rel=1e-12)
    assert supply.mains.voltage_rms == approx(12.0, rel=1e-12)


@pytest.mark.parametrize(("phase", "peak"), [(0, 0.97), (180, 1.03)])
def test_a_stated_peak_is_that_of_the_wave_with_its_harmonics(phase: int, peak: float) -> None:
    """At 90 degrees the third harmonic of phase 0 stands at sin 270 = -1, of phase 180 at +1."""
    supply = read_text(
        'mains = { voltage_peak = "100 V", frequency = "50 Hz", source = "generator", '
        f'harmonics = [{{ order = 3, ratio = "3 %", phase = {phase} }}] }}\n'
        'rectifier = { circuit = "bridge" }\nload = { resistance = "1 kohm" }\n'
    )
    assert supply.mains.peak == approx(100.0 / peak, rel=1e-9)


def test_a_direct_source_has_no_frequency() -> None:
    supply = read_text(BRIDGE.replace('frequency = "50 Hz"', 'waveform = "dc"'))
    assert supply.mains.frequency is None
    assert "a direct voltage has no frequency" in sentences(BRIDGE.replace('"50 Hz"', '"50 Hz", waveform = "dc"'))


def test_a_direct_source_and_a_transformer_do_not_go_together() -> None:
    text = TRANSFORMER.replace('frequency = "50 Hz"', 'waveform = "dc"') + 'turns_ratio = "10:1"\n'
    assert "a transformer passes no direct voltage" in sentences(text)


def test_an_outlet_without_a_transformer_brings_a_caution() -> None:
    supply = read_text(BRIDGE.replace(', source = "adapter"', ""))
    assert any("mains can kill" in note for note in supply.notes)
    assert read_text(BRIDGE).notes == ()


# ----------------------------------------------------------------------------------- tolerances, and where they stand


def test_a_tolerance_behind_the_value_and_one_beside_it_mean_the_same() -> None:
    behind = read_text(BRIDGE + 'filter = [{ capacitor = "2200 uF -20/+50 %" }]\n')
    beside = read_text(BRIDGE + 'filter = [{ capacitor = "2200 uF", tolerance = "-20/+50 %" }]\n')
    assert behind.filters == beside.filters
    assert behind.filters[0].tolerance == Tolerance(minus=0.2, plus=0.5)


def test_tolerances_not_stated_are_those_of_the_sheet_description() -> None:
    """Sheet description: 20 % of a capacitor, 5 % of a resistor, 10 % of the mains, none of a load."""
    supply = read_text(BRIDGE + 'filter = [{ capacitor = "1 uF" }, { resistor = "1 ohm" }, { bleeder = "1 kohm" }]\n')
    assert [part.tolerance.plus for part in supply.filters] == [0.20, 0.05, 0.05]
    assert supply.mains.tolerance == Tolerance(minus=0.1, plus=0.1)
    assert supply.loads.single is not None and supply.loads.single.tolerance == Tolerance(minus=0.0, plus=0.0)


def test_a_tolerance_behind_any_value_is_kept_under_its_key() -> None:
    supply = read_text(TRANSFORMER + 'secondary_voltage = "12 V ±5 %"\n')
    assert supply.tolerances["transformer.secondary_voltage"] == Tolerance(minus=0.05, plus=0.05)


# -------------------------------------------------------------------------------------------------- the transformer


def test_resistances_that_agree_with_the_regulation_bring_no_warning() -> None:
    """Sheet description: regulation x V / I; 10 % of 12 V at 1 A is 1.2 ohm. Copper 0.393 % a kelvin (IEC 60028):
    cold, 60 K lower, 1.2/1.2358 = 0.971 ohm, half of it in the primary behind 230/13.2 squared = 303.6."""
    text = TRANSFORMER + 'secondary_voltage = "12 V"\nrated_current = "1 A"\nregulation = "10 %"\n'
    assert read_text(text + 'secondary_resistance = "0.4855 ohm"\nprimary_resistance = "147.4 ohm"\n').notes == ()


def test_resistances_far_from_the_regulation_bring_a_warning_with_both_figures() -> None:
    text = TRANSFORMER + 'secondary_voltage = "12 V"\nrated_current = "1 A"\nregulation = "10 %"\n'
    supply = read_text(text + 'secondary_resistance = "1.2 ohm"\nprimary_resistance = "0 ohm"\n')
    assert any("1.2 Ω" in note and "1.483 Ω" in note and "more than 10 % apart" in note for note in supply.notes)


def test_a_tapped_winding_shares_its_rating_among_two_sections() -> None:
    """VA of both halves: 20 VA is 2 x 10 V x 1 A."""
    text = TRANSFORMER + 'secondary = "centre-tapped"\nsecondary_voltage = "10 V"\nrating = "20 VA"\n'
    assert read_text(text + 'rated_current = "1 A"\n').notes == ()
    assert any("more than 10 % apart" in note for note in read_text(text + 'rated_current = "2 A"\n').notes)


def test_an_open_voltage_far_from_the_turns_ratio_brings_a_warning() -> None:
    assert read_text(TRANSFORMER + 'turns_ratio = "23:1"\nopen_voltage = "10 V"\n').notes == ()
    notes = read_text(TRANSFORMER + 'turns_ratio = "23:1"\nopen_voltage = "12 V"\n').notes
    assert any("10 V" in note and "12 V" in note for note in notes)


def test_a_saturating_core_needs_its_whole_law() -> None:
    text = TRANSFORMER + 'turns_ratio = "23:1"\nsaturation_current = "0.1 A"\n'
    assert "saturation_current and saturated_inductance go together" in sentences(text)
    text += 'saturated_inductance = "7 H"\n'
    assert "an ideal core doesn't saturate" in sentences(text)
    assert "isn't below magnetizing_inductance" in sentences(text + 'magnetizing_inductance = "6 H"\n')


def test_a_centre_tap_on_a_bridge_is_unused_unless_the_sheet_says_so() -> None:
    text = TRANSFORMER + 'secondary = "centre-tapped"\nsecondary_voltage = "10 V"\n'
    assert read_text(text).rectifier.tap == "unused"
    negative = text.replace('circuit = "bridge"', 'circuit = "bridge", tap = "negative"')
    assert read_text(negative).rectifier.tap == "negative"


# ------------------------------------------------------------------------------------------------- rails and loads


def test_a_plain_load_on_two_rails_is_one_on_each() -> None:
    supply = dual('load = { resistance = "100 ohm", across = { current = "1 mA" } }')
    assert supply.loads.positive == supply.loads.negative
    assert supply.loads.positive is not None and supply.loads.positive.value == 100.0
    assert supply.loads.single is None
    assert supply.loads.across is not None and supply.loads.across.kind == "current"


def test_two_rails_may_have_one_load_only() -> None:
    supply = dual('load = { negative = { resistance = "100 ohm" } }')
    assert supply.loads.positive is None and supply.loads.negative is not None


def test_a_power_load_without_a_floor_takes_half_the_nominal_output_and_says_so() -> None:
    """Sheet description: half the nominal output, which a regulator states: 5 V gives 2.5 V."""
    supply = read_text(
        BRIDGE.replace('resistance = "1 kohm"', 'power = "2 W"')
        + 'regulator = { kind = "series", output = "5 V", dropout = "2 V" }\n'
    )
    assert supply.loads.single is not None and supply.loads.single.minimum_voltage == approx(2.5)
    assert any("minimum_voltage isn't stated" in note and "2.5 V" in note for note in supply.notes)


def test_the_nominal_output_behind_a_reservoir_is_the_peak_less_the_drops() -> None:
    """12 V RMS, bridge, two drops of 0.7 V: 16.97 - 1.4 = 15.57 V (Floyd, Electronic Devices, ex. 2.6)."""
    supply = read_text(
        BRIDGE.replace('resistance = "1 kohm"', 'power = "2 W"') + 'filter = [{ capacitor = "1000 uF" }]\n'
    )
    assert supply.loads.single is not None
    assert supply.loads.single.minimum_voltage == approx(15.57 / 2.0, abs=0.005)


PULSES = BRIDGE.replace(
    'resistance = "1 kohm"', 'pulse_period = "PERIOD", pulses = [{ level = "1 A", from = "0 ms", to = "1 ms" }]'
)


@pytest.mark.parametrize("period", ["20 ms", "10 ms", "60 ms", "2 s", "30 ms", "6.666666666667 ms"])
def test_pulse_periods_that_have_a_common_period_with_the_mains_bring_no_note(period: str) -> None:
    """p/q mains periods of 20 ms with p x q up to 100: 1, 1/2, 3, 100, 3/2, 1/3."""
    assert read_text(PULSES.replace("PERIOD", period)).notes == ()


@pytest.mark.parametrize("period", ["2.02 s", "17 ms", "20.01 ms"])
def test_other_pulse_periods_are_read_with_a_sentence(period: str) -> None:
    """101; 17/20, whose p x q is 340; 1.0005."""
    (note,) = read_text(PULSES.replace("PERIOD", period)).notes
    assert "only inrush and captures" in note


def test_pulses_must_not_overlap_or_end_before_they_start_or_after_the_period() -> None:
    text = BRIDGE.replace(
        'resistance = "1 kohm"',
        'pulse_period = "20 ms", pulses = [{ level = "1 A", from = "0 ms", to = "5 ms" }, '
        '{ level = "2 A", from = "4 ms", to = "25 ms" }, { level = "1 A", from = "9 ms", to = "8 ms" }]',
    )
    said = sentences(text)
    assert "load.pulses.2: the step starts before" in said
    assert "load.pulses.2.to: the step ends after pulse_period" in said
    assert "load.pulses.3.to: a step ends after it has started" in said


# ------------------------------------------------------------------------------------------ networks of one's own

NETWORK = """
[network]
common = "0"
output = ["out", "0"]
[[element]]
kind = "source"
name = "V1"
from = "a"
to = "0"
voltage = "12 V"
frequency = "50 Hz"
[[element]]
kind = "diode"
name = "D1"
from = "a"
to = "out"
diode = { drop = "0.6 V" }
[[element]]
kind = "capacitor"
name = "C1"
from = "out"
to = "0"
capacitance = "470 uF"
esr = "0.1 ohm"
[[element]]
kind = "resistor"
name = "R1"
from = "out"
to = "0"
resistance = "1 kohm"
[[probe]]
name = "M1"
from = "out"
to = "0"
instrument = "meter-dc"
[initial]
C1 = "3 V"
"""


def test_a_network_of_elements_is_read_with_its_source_probe_and_start_values() -> None:
    supply = read_text(NETWORK)
    assert [(part.designator, part.kind, part.nodes) for part in parts(supply)] == [
        ("V1", "source", ("a", "0")),
        ("D1", "diode", ("a", "out")),
        ("C1", "capacitor", ("out", "0")),
        ("R1", "resistor", ("out", "0")),
    ]
    assert supply.mains.voltage == 12.0
    assert supply.network is not None and supply.network.output == ("out", "0")
    assert supply.elements[1].diode is not None and supply.elements[1].diode.drop == 0.6
    assert supply.elements[2].esr == 0.1
    assert supply.initial == {"C1": 3.0}


def test_a_network_of_elements_stands_alone() -> None:
    said = sentences(NETWORK + '[load]\nresistance = "1 kohm"\n')
    assert "[load] describes the standard circuit, and [[element]] a network of its own" in said


def test_a_winding_is_never_alone_on_its_core() -> None:
    winding = '[[element]]\nkind = "winding"\nname = "N1"\nfrom = "a"\nto = "0"\ncore = "T1"\nturns = 100\n'
    assert 'the winding "N1" is alone on its core "T1"' in sentences(NETWORK + winding)
    other = winding.replace("N1", "N2").replace('"a"', '"out"')
    assert [element.value for element in read_text(NETWORK + winding + other).elements[4:]] == [100.0, 100.0]


# -------------------------------------------------------------------------------------------------------- the rest


def test_requirements_and_readings_are_in_the_unit_of_their_reading() -> None:
    supply = read_text(
        BRIDGE + '[requirement]\n"load.voltage.ripple_ratio" = { at_most = "7 %" }\n'
        '"D1.conduction.angle" = { at_least = "90 deg", at = "mains low, full load" }\n'
        '[[measured]]\nreading = "load.current.mean"\nvalue = "9.5 mA"\nuncertainty = "2 %"\npoint = "full_load"\n'
    )
    assert [(need.at_least, need.at_most, need.at) for need in supply.requirements] == [
        (None, 0.07, None),
        (90.0, None, "mains low, full load"),
    ]
    assert supply.measured[0].value == approx(9.5e-3)
    assert supply.measured[0].uncertainty == approx(0.19e-3)


def test_a_scope_is_earthed_unless_the_sheet_says_otherwise_and_a_meter_is_not() -> None:
    supply = read_text(
        BRIDGE + 'probe = [{ name = "CH1", instrument = "scope-dc", from = "positive", to = "negative" }, '
        '{ name = "CH2", instrument = "scope-ac", from = "positive", to = "negative", clip_earthed = false }, '
        '{ name = "M1", instrument = "meter-dc", from = "positive", to = "negative" }]\n'
    )
    assert [probe.clip_earthed for probe in supply.probes] == [True, False, False]
    assert supply.probes[2].resistance == 10e6 and supply.probes[2].capacitance == approx(100e-12)


def test_the_ambient_range_is_a_pair_or_a_span() -> None:
    pair = read_text(BRIDGE + 'conditions = { ambient_range = ["-10 °C", "35 °C"] }\n').conditions
    span = read_text(BRIDGE + 'conditions = { ambient_range = "-10 °C..35 °C" }\n').conditions
    assert pair.ambient_range == span.ambient_range == (-10.0, 35.0)


def test_a_value_hard_to_believe_is_read_with_a_note_that_names_its_line() -> None:
    (note,) = read_text(BRIDGE + 'filter = [{ capacitor = "2 F" }]\n').notes
    assert note.startswith("line 5, filter.1.capacitor:")


def test_a_text_may_start_with_a_byte_order_mark_and_end_its_lines_as_it_likes() -> None:
    assert read_text("\ufeff" + BRIDGE.replace("\n", "\r\n")).mains == read_text(BRIDGE).mains
