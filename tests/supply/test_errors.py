"""The sentences about broken sheets: place, what was given, what is allowed, what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from railwright.supply import SheetError, SheetFault, read_sheet, read_text

#: Each broken sheet, and for each of its faults in order: line, key, and words that its sentence must hold.
BROKEN: dict[str, list[tuple[int | None, str, tuple[str, ...]]]] = {
    "no-unit": [(6, "filter.1.capacitor", ('"2200" has no unit', 'Write "2200 uF" or "2.2 mF"'))],
    "unknown-keys": [
        (2, "mians", ('unknown key "mians"', 'Did you mean "mains"')),
        (6, "mains.frequencey", ("unknown key", "[mains]", 'Did you mean "frequency"?')),
        (11, "rectifier.turns_ratio", ("belongs into [transformer]",)),
        (14, "filter.1.capacitator", ("[[filter]]", 'Did you mean "capacitor"?', "resistor, choke, bleeder")),
    ],
    "two-kinds": [
        (3, "mains.voltage_peak", ('"voltage" and "voltage_peak"', "only one of them")),
        (11, "filter.1.choke", ('"capacitor" and "choke"', "for two parts write two tables")),
        (15, "load.current", ('"resistance" and "current"', "resistance, current, power, battery, pulses, none")),
    ],
    "full-wave": [(3, "rectifier.circuit", ("two circuits", "centre-tap, bridge"))],
    "doubler": [(2, "rectifier.circuit", ("two circuits", "full-wave-doubler, half-wave-doubler"))],
    "missing-sections": [
        (None, "", ("[rectifier] is missing", "Add a table [rectifier]")),
        (None, "", ("[load] is missing",)),
        (3, "mains", ("frequency is missing", 'Write frequency = "50 Hz"')),
    ],
    "no-quotes": [(6, "", ("no valid TOML", "capacitor = 2200 uF", "Put the quantity in quotes"))],
    "filter-twice": [(8, "", ("stands twice", "[[filter]] with two brackets"))],
    "braces-over-lines": [(4, "", ("no valid TOML", "A table in braces stands on one line"))],
    "tolerance-twice": [
        (1, "mains.tolerance", ("behind voltage as well as here", "Keep one of the two")),
        (5, "filter.1.tolerance", ("behind capacitor as well as here",)),
    ],
    "three-phase-peak": [
        (2, "mains.voltage_peak", ("line or phase", "Write voltage")),
        (3, "mains.frequency", ('"5 kHz" is out of range', "at least 3 Hz and at most 1 kHz")),
        (7, "transformer.secondary", ("one section a phase",)),
        (11, "rectifier.circuit", ("[mains] says phases = 3", "three-phase-half-wave, three-phase-bridge")),
        (12, "rectifier.tap", ('Write circuit = "dual-rail"',)),
        (15, "load.none", ("none = false says nothing",)),
    ],
    "harmonic-without-phase": [
        (6, "mains.harmonics.2", ("phase is missing", "3 % lower or 3 % higher", "phase = 0 or phase = 180")),
        (15, "load", ("battery_resistance is missing", "0 ohm is allowed")),
    ],
    "wrong-nodes": [
        (7, "probe.1.from", ('no node "positve"', 'Did you mean "positive"?', "winding_a, winding_b, positive")),
        (12, "probe.2.name", ('"M1" is already the name of a probe',)),
        (14, "probe.2.to", ('no node "tap"',)),
        (15, "probe.2.instrument", ('"multimeter"', "meter-dc, meter-ac-average")),
        (19, "extra.1.name", ('"D1" is already the name of a part',)),
        (22, "extra.1.value", ('"100 ohm" is a resistance, where a capacitance is needed',)),
    ],
    "wrong-readings": [
        (6, "requirement.load.voltage.mean.at_least", ('"10 A" is a current, where a voltage is needed',)),
        (7, "requirement.load.voltage.averge", ("isn't on the list of readings", "Did you mean")),
        (8, "requirement.C1.voltage.peak", ("this supply has no C1",)),
        (9, "requirement.load", ("Put the whole reading id in quotes",)),
        (10, "requirement.load.voltage.rms.at_most", ("at_most is below at_least",)),
        (10, "requirement.load.voltage.rms.at", ("neither a corner nor a point", "mains low", "heavy")),
        (13, "measured.1.reading", ('no probe "M1"',)),
        (15, "measured.1.point", ('no point "hevy"', 'Did you mean "heavy"?')),
        (19, "point.1.set: filter.1.capacitor", ('"1" is no position in [[filter]]', "the list is empty")),
        (19, "point.1.set: load.resistance", ('"47 V" is a voltage, where a resistance is needed',)),
    ],
    "rails": [
        (9, "rectifier.circuit", ("needs a winding with a centre tap", 'secondary = "centre-tapped"')),
        (10, "rectifier.stages", ('"stages" belongs to a multiplier',)),
        (13, "regulator.kind", ("two rails", "[regulator.positive] and [regulator.negative]")),
        (18, "load.positive", ("plain [load] already puts one such load on each rail",)),
    ],
    "brief-instead": [(1, "kind", ("this file is a brief", "the sheet of a supply is wanted"))],
    "network": [
        (9, "element.2", ("resistance is missing",)),
        (11, "element.2.name", ("the name of an earlier element",)),
        (14, "element.2.capacitance", ('"capacitance" belongs to a capacitor, and this is a resistor',)),
        (16, "element.3", ("battery_resistance is missing",)),
        (24, "network.common", ('no element has the node "gnd"', "a, 0, b")),
        (25, "network.output", ('no element has the node "c"',)),
    ],
}


def faults_of(file: Path) -> tuple[SheetFault, ...]:
    with pytest.raises(SheetError) as caught:
        read_sheet(file)
    return caught.value.faults


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_sheet_is_told_all_its_faults_in_the_order_of_its_lines(root: Path, name: str) -> None:
    faults = faults_of(root / "tests/data/broken-sheets" / f"{name}.toml")
    assert [(fault.line, fault.key) for fault in faults] == [(line, key) for line, key, _ in BROKEN[name]]
    for fault, (line, _, words) in zip(faults, BROKEN[name], strict=True):
        place = f"{name}.toml, line {line}" if line else f"{name}.toml"
        assert fault.text.startswith(place), fault.text
        for word in words:
            assert word in fault.text, fault.text


def test_every_broken_sheet_has_its_sentences_here(root: Path) -> None:
    assert {file.stem for file in (root / "tests/data/broken-sheets").glob("*.toml")} == set(BROKEN)


def test_a_fault_holds_its_facts_as_fields() -> None:
    with pytest.raises(SheetError) as caught:
        read_text('mains = { voltage = "12 V", frequency = "2 Hz" }', origin="lamp.toml")
    fault = caught.value.faults[-1]
    assert (fault.file, fault.line, fault.key, fault.given) == ("lamp.toml", 1, "mains.frequency", "2 Hz")
    assert fault.allowed == "at least 3 Hz and at most 1 kHz"
    assert fault.remedy == 'Write for example "50 Hz".'


@pytest.mark.parametrize(
    ("line", "remedy"),
    [
        ("circuit = bridge", "Put the word in quotes"),
        ("title = “lamp”", "straight quotation marks"),
        ("fitted = True", "Write true or false"),
        ("voltage: 12", "Write = between key and value"),
        ("[mains", "Close the brackets"),
        ('filter = [{ capacitor = "1 uF", choke = 10 H }]', "Put the quantity in quotes"),
        ("x = 1\nx = 2", "Keep one"),
    ],
)
def test_the_usual_slips_in_toml_get_their_remedy(line: str, remedy: str) -> None:
    with pytest.raises(SheetError) as caught:
        read_text(f'title = "x1"\n{line}\n')
    (fault,) = caught.value.faults
    assert fault.line == 1 + len(line.split("\n"))
    assert "no valid TOML" in fault.problem
    assert remedy in fault.remedy


def test_a_file_that_is_not_there_is_told_with_the_sheets_beside_it(tmp_path: Path) -> None:
    (tmp_path / "signal-lamp.toml").write_text("")
    (fault,) = faults_of(tmp_path / "signal-lmap.toml")
    assert "there is no such file" in fault.problem and "signal-lamp.toml" in fault.allowed


def test_a_folder_is_told_to_be_one(tmp_path: Path) -> None:
    (fault,) = faults_of(tmp_path)
    assert "a folder, not a sheet" in fault.problem


def test_a_path_that_no_system_can_open_is_one_fault() -> None:
    (fault,) = faults_of(Path("with\0zero.toml"))
    assert "can't be opened" in fault.text or "no such file" in fault.text


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b'title = "caf\xe9"', "line 1: the file isn't text in UTF-8"),
        (b'\n\ntitle = "\xff"', "line 3: the file isn't text in UTF-8"),
        ('title = "x"'.encode("utf-16"), "UTF-16"),
        (b"#" * 1_000_001, "larger than 1000 kB"),
        (b"x = " + b"[" * 5000 + b"]" * 5000, "nested too deeply"),
        (b"x = " + b"9" * 5000, "no readable TOML"),
        (b"\x00\x01\x02", "no valid TOML"),
        (b"", "[mains] is missing"),
    ],
)
def test_a_file_that_is_no_sheet_at_all_gets_one_clear_fault(tmp_path: Path, content: bytes, words: str) -> None:
    file = tmp_path / "x.toml"
    file.write_bytes(content)
    faults = faults_of(file)
    assert words in faults[0].text
    assert len(faults) == 1 or not content


def test_a_thousand_faults_are_told_without_delay() -> None:
    with pytest.raises(SheetError) as caught:
        read_text("\n".join(f"unknown_{number} = 1" for number in range(1000)))
    assert len(caught.value.faults) == 1003
