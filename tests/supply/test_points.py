"""What-ifs: keys set anew, and points."""

from __future__ import annotations

import pytest
from pytest import approx

from railwright.supply import SheetError, Supply, at_point, point_names, read_text, replace, replace_all, with_fault

SHEET = """
[mains]
voltage = "12 V"
frequency = "50 Hz"
source = "adapter"
[rectifier]
circuit = "bridge"
diode = "1N4001"
[[filter]]
capacitor = "2200 uF"
loss_factor = "12 %"
voltage_rating = "25 V"
[[filter]]
bleeder = "1 kohm"
[load]
resistance = "100 ohm"
[[probe]]
name = "CH1"
from = "positive"
to = "negative"
instrument = "scope-dc"
[[point]]
name = "light"
set = { load.resistance = "1 kohm", "probe.1.clip_earthed" = false }
[[point]]
name = "steady"
set = { "load.current" = "0.1 A" }
"""
DUAL = """
mains = { voltage = "230 V", frequency = "50 Hz" }
transformer = { secondary = "centre-tapped", secondary_voltage = "12 V" }
rectifier = { circuit = "dual-rail" }
load = { resistance = "100 ohm" }
"""


@pytest.fixture(scope="module")
def supply() -> Supply:
    return read_text(SHEET, origin="lamp.toml")


def sentences(supply: Supply, key: str, value: object) -> str:
    with pytest.raises(SheetError) as caught:
        replace(supply, key, value)
    return str(caught.value)


def test_a_key_with_dots_and_positions_is_set_in_a_new_supply(supply: Supply) -> None:
    changed = replace(supply, "filter.1.capacitor", "4.7 mF")
    assert changed.filters[0].value == approx(4.7e-3)
    assert supply.filters[0].value == approx(2.2e-3)
    assert changed.notes == supply.notes == ()
    assert replace(supply, "mains.voltage", "9V").mains.voltage == 9.0
    assert replace(supply, "probe.1.clip_earthed", False).probes[0].clip_earthed is False


def test_words_from_a_command_line_become_flags_and_counts(supply: Supply) -> None:
    assert replace(supply, "filter.2.fitted", "false").filters[1].fitted is False
    assert replace(supply, "load.none", "true").loads.single.kind == "none"  # type: ignore[union-attr]
    pulses = replace_all(
        supply,
        {"load.pulses": '[{ level = "1 A", from = "0 ms", to = "2 ms" }]', "load.pulse_period": "20 ms"},
    )
    assert pulses.loads.single is not None and pulses.loads.single.pulses[0].end == approx(2e-3)


def test_another_kind_takes_the_place_of_the_old_one_and_the_notes_say_so(supply: Supply) -> None:
    changed = replace(supply, "load.current", "0.5 A")
    assert changed.loads.single is not None
    assert (changed.loads.single.kind, changed.loads.single.value) == ("current", 0.5)
    assert changed.notes == ('load.resistance = "100 ohm" gave way to load.current = "0.5 A".',)
    # and a later change keeps what was said
    assert replace(changed, "mains.voltage", "9 V").notes == changed.notes


def test_keys_of_the_old_kind_go_out_with_it(supply: Supply) -> None:
    changed = replace(supply, "filter.1.choke", "1 H")
    assert changed.filters[0].kind == "choke"
    assert changed.filters[0].loss_factor is None
    assert "filter.1.loss_factor went out with it." in changed.notes


def test_a_peak_takes_the_place_of_an_rms_value_and_series_resistance_of_a_loss_factor(supply: Supply) -> None:
    assert replace(supply, "mains.voltage_peak", "10 V").mains.peak == approx(10.0)
    changed = replace(supply, "filter.1.esr", "0.1 ohm")
    assert (changed.filters[0].esr, changed.filters[0].loss_factor) == (0.1, None)


def test_a_value_of_a_named_diode_makes_it_a_table_and_says_so(supply: Supply) -> None:
    changed = replace(supply, "rectifier.diode.drop", "0.9 V")
    assert (changed.rectifier.diode.name, changed.rectifier.diode.drop) == (None, 0.9)
    assert changed.notes == ('rectifier.diode = "1N4001" gave way to a table of values.',)


def test_changes_that_only_fit_together_are_made_together(supply: Supply) -> None:
    with pytest.raises(SheetError, match="battery_resistance is missing"):
        replace(supply, "load.battery", "6 V")
    changed = replace_all(supply, {"load.battery": "6 V", "load.battery_resistance": "0 ohm"})
    assert changed.loads.single is not None and changed.loads.single.kind == "battery"


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("load.resistance", "330", ("lamp.toml, set, load.resistance:", '"330" has no unit', '"330 ohm"')),
        ("load.resistance", 330, ("lamp.toml, set, load.resistance:", 'Write "330 ohm"')),
        ("load.resistence", "330 ohm", ("set, load.resistence:", 'Did you mean "resistance"')),
        ("laod.resistance", "330 ohm", ('no key "laod"', 'Did you mean "load"?')),
        ("filter.3.capacitor", "1 uF", ('"3" is no position in [[filter]]', "1 to 2")),
        ("filter.capacitor", "1 uF", ("Count from 1, as in filter.1.capacitor",)),
        ("filter.1", "1 uF", ("is a whole table",)),
        ("load.none", False, ("none = false says nothing",)),
        ("load.positive.current", "1 A", ("this supply has one rail",)),
        ("mains.frequency", "5 kHz", ("lamp.toml, set, mains.frequency:", "out of range")),
        ("rectifier.circuit", "full-wave", ("set, rectifier.circuit:", "two circuits")),
        ("rectifier.circuit", "centre-tap", ("needs a winding with a centre tap",)),
        ("kind", "brief", ("this file is a brief",)),
        ("", "1", ('no key ""',)),
        ("load.resistance.deeper.still", "1", ("load.resistance.deeper.still",)),
        ("mains.harmonics.1.phase", 0, ('there is no "harmonics" in mains',)),
    ],
)
def test_a_wrong_change_is_told_with_the_key_and_the_word_set(
    supply: Supply, key: str, value: object, words: tuple[str, ...]
) -> None:
    said = sentences(supply, key, value)
    for word in words:
        assert word in said, said


def test_a_fault_elsewhere_that_a_change_brings_is_told_with_its_line(supply: Supply) -> None:
    said = sentences(supply, "rectifier.circuit", "three-phase-bridge")
    assert "lamp.toml, set, rectifier.circuit" in said
    only_tap = read_text(DUAL.replace("dual-rail", "bridge") + 'probe = [{ name = "M1", instrument = "meter-dc", '
                         'from = "tap", to = "negative" }]\n')  # fmt: skip
    assert 'line 6, probe.1.from: this circuit has no node "tap"' in sentences(
        only_tap, "transformer.secondary", "single"
    )


def test_a_plain_load_on_two_rails_is_replaced_on_each_or_split_for_one() -> None:
    plain = read_text(DUAL)
    split = replace(plain, "load.positive.current", "0.2 A")
    assert split.loads.positive is not None and split.loads.positive.kind == "current"
    assert split.loads.negative is not None and split.loads.negative.value == 100.0
    joined = replace(split, "load.resistance", "47 ohm")
    assert joined.loads.positive == joined.loads.negative
    assert any("load.positive gave way" in note for note in joined.notes)


def test_requirements_and_start_values_can_be_set(supply: Supply) -> None:
    changed = replace(supply, "requirement.load.voltage.mean.at_least", "14 V")
    assert changed.requirements[0].reading == "load.voltage.mean" and changed.requirements[0].at_least == 14.0
    assert replace(supply, "initial.C1", "5 V").initial == {"C1": 5.0}
    assert "no capacitor or choke" in sentences(supply, "initial.C7", "5 V")


# ----------------------------------------------------------------------------------------------------------- points


def test_full_load_and_no_load_always_exist(supply: Supply) -> None:
    assert point_names(supply) == ("full_load", "no_load", "light", "steady")
    assert at_point(supply, "full_load") is supply
    unloaded = at_point(supply, "no_load")
    assert unloaded.loads.single is not None and unloaded.loads.single.kind == "none"
    assert unloaded.filters == supply.filters
    both = at_point(read_text(DUAL), "no_load")
    assert both.loads.positive is not None and both.loads.positive.kind == "none"
    assert both.loads.negative is not None and both.loads.negative.kind == "none"


def test_a_point_sets_its_keys_quoted_or_not(supply: Supply) -> None:
    light = at_point(supply, "light")
    assert light.loads.single is not None and light.loads.single.value == 1000.0
    assert light.probes[0].clip_earthed is False


def test_a_point_may_change_the_kind_of_load(supply: Supply) -> None:
    steady = at_point(supply, "steady")
    assert steady.loads.single is not None and steady.loads.single.kind == "current"
    assert 'load.resistance = "100 ohm" gave way to load.current = "0.1 A".' in steady.notes


def test_an_unknown_point_is_told_with_those_that_exist(supply: Supply) -> None:
    with pytest.raises(SheetError, match='there is no point "lihgt".*full_load, no_load, light.*Did you mean "light"'):
        at_point(supply, "lihgt")


@pytest.mark.parametrize(
    ("point", "words"),
    [
        ('name = "x"\nset = { "rectifier.circuit" = "half-wave" }', "a point can't set"),
        ('name = "no_load"\nset = { "load.none" = true }', 'the point "no_load" always exists'),
        ('name = "light"\nset = { "load.none" = true }', "the name of an earlier point"),
        ('name = "x"\nset = {}', "the point changes nothing"),
        ('name = "x"', "set is missing"),
        ('name = "x"\nset = { "load.battery" = "12 V" }', "battery_resistance is missing"),
    ],
)
def test_points_are_checked_when_the_sheet_is_read(point: str, words: str) -> None:
    with pytest.raises(SheetError) as caught:
        read_text(SHEET + "[[point]]\n" + point + "\n")
    assert any(words in fault.text and isinstance(fault.line, int) for fault in caught.value.faults)


def test_a_change_after_a_mains_fault_keeps_what_the_label_of_the_transformer_means() -> None:
    """At 207 V of 230 V the transformer's turns stay: the nominal mains is remembered through later changes."""
    low = with_fault(read_text(DUAL), "mains=207 V")
    assert low.nominal_mains_voltage == 230.0
    assert replace(low, "load.resistance", "47 ohm").nominal_mains_voltage == 230.0
    assert at_point(low, "no_load").nominal_mains_voltage == 230.0


def test_a_change_carries_faults_over_and_checks_that_they_still_fit(supply: Supply) -> None:
    broken = with_fault(supply, "C1 open")
    assert replace(broken, "mains.voltage", "9 V").faults == broken.faults
    with pytest.raises(SheetError, match='this supply has no "C1"'):
        replace(broken, "filter.1.choke", "1 H")
