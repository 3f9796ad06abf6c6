"""Fault words: every one of the sheet's description, and what is said about the others."""

from __future__ import annotations

import pytest
from pytest import approx

from railwright.supply import SheetError, Supply, find_part, known_faults, parse_fault, read_text, with_fault

BRIDGE = read_text("""
mains = { voltage = "230 V", frequency = "50 Hz" }
transformer = { secondary_voltage = "9 V" }
rectifier = { circuit = "bridge" }
filter = [{ capacitor = "2200 uF", loss_factor = "10 %" }, { choke = "1 H" }, { bleeder = "1 kohm" }]
regulator = { kind = "zener", zener_voltage = "5.1 V", series_resistor = "47 ohm" }
load = { resistance = "100 ohm" }
fuse = { rating = "100 mA" }
""")
DUAL = read_text("""
mains = { voltage = "230 V", frequency = "50 Hz" }
transformer = { secondary_voltage = "15 V", secondary = "centre-tapped" }
rectifier = { circuit = "dual-rail" }
filter = [{ capacitor = "2200 uF" }, { capacitor = "10 uF", rail = "positive" }, { resistor = "1 ohm" }]
regulator = { positive = { kind = "series", output = "12 V" }, negative = { kind = "series", output = "12 V" } }
load = { resistance = "100 ohm" }
""")


def sentence(supply: Supply, words: str) -> str:
    with pytest.raises(SheetError) as caught:
        with_fault(supply, words)
    (fault,) = caught.value.faults
    assert fault.line == "fault"
    return fault.text


@pytest.mark.parametrize(
    ("words", "target", "action", "values", "nodes", "edits"),
    [
        ("D1 open", "D1", "open", (), (), "network"),
        ("D2 shorted", "D2", "shorted", (), (), "network"),
        ("D3 reversed", "D3", "reversed", (), (), "network"),
        ("D4 leaky=4k7", "D4", "leaky", (4700.0,), (), "network"),
        ("C1 open", "C1", "open", (), (), "network"),
        ("C1 shorted", "C1", "shorted", (), (), "network"),
        ("C1 reversed", "C1", "reversed", (), (), "network"),
        ("C1 dried=470 uF/2 ohm", "C1", "dried", (470e-6, 2.0), (), "supply"),
        ("C1 value=1 mF", "C1", "value", (1e-3,), (), "supply"),
        ("L1 open", "L1", "open", (), (), "network"),
        ("L1 shorted", "L1", "shorted", (), (), "network"),
        ("F1 open", "F1", "open", (), (), "network"),
        ("primary open", "primary", "open", (), (), "network"),
        ("R1 open", "R1", "open", (), (), "network"),
        ("R2 open", "R2", "open", (), (), "network"),
        ("Z1 open", "Z1", "open", (), (), "network"),
        ("Z1 shorted", "Z1", "shorted", (), (), "network"),
        ("winding open", "winding", "open", (), (), "network"),
        ("winding half-shorted", "winding", "half-shorted", (), (), "network"),
        ("wire positive earth", "wire", "", (), ("positive", "earth"), "network"),
        ("wire-off D1.positive", "wire-off", "", (), ("D1", "positive"), "network"),
        ("wire-off C1.after_1", "wire-off", "", (), ("C1", "after_1"), "network"),
        ("mains=207 V", "mains", "value", (207.0,), (), "supply"),
        ("clips positive winding_a", "clips", "", (), ("positive", "winding_a"), "probe"),
        ("load=47 ohm", "load", "value", (47.0,), (), "supply"),
    ],
)
def test_each_fault_word_is_read_on_a_bridge(
    words: str, target: str, action: str, values: tuple[float, ...], nodes: tuple[str, ...], edits: str
) -> None:
    fault = parse_fault(BRIDGE, words)
    assert (fault.target, fault.action, fault.nodes, fault.edits) == (target, action, nodes, edits)
    assert fault.values == approx(values)
    assert fault.words == words
    assert with_fault(BRIDGE, words).faults == (fault,)


@pytest.mark.parametrize(
    ("words", "target", "action", "nodes"),
    [
        ("winding_a open", "winding_a", "open", ()),
        ("winding_b open", "winding_b", "open", ()),
        ("tap to negative", "tap", "to", ("negative",)),
        ("U1 shorted", "U1", "shorted", ()),
        ("U2 open", "U2", "open", ()),
        ("wire zero after_3_negative", "wire", "", ("zero", "after_3_negative")),
    ],
)
def test_the_fault_words_of_tap_halves_and_regulators_are_read_on_two_rails(
    words: str, target: str, action: str, nodes: tuple[str, ...]
) -> None:
    fault = parse_fault(DUAL, words)
    assert (fault.target, fault.action, fault.nodes, fault.edits) == (target, action, nodes, "network")


def test_edits_of_the_supply_are_made_at_once() -> None:
    assert with_fault(BRIDGE, "mains=207 V").mains.voltage == 207.0
    loaded = with_fault(BRIDGE, "load=0.2 A").loads.single
    assert loaded is not None and (loaded.kind, loaded.value) == ("current", 0.2)
    unloaded = with_fault(BRIDGE, "load=none").loads.single
    assert unloaded is not None and unloaded.kind == "none"
    dried = with_fault(BRIDGE, "C1 dried=470 uF/2 ohm").filters[0]
    assert dried.value == approx(470e-6)
    assert (dried.esr, dried.loss_factor) == (2.0, None)


def test_a_capacitor_that_shares_its_table_waits_for_the_network_and_the_parts_show_it() -> None:
    changed = with_fault(DUAL, "C2 dried=470 uF/2 ohm")
    assert changed.faults[0].edits == "network"
    assert changed.filters == DUAL.filters
    c1, c2 = find_part(changed, "C1"), find_part(changed, "C2")
    assert c1 is not None and c1.value == approx(2.2e-3)
    assert c2 is not None and c2.value == approx(470e-6) and c2.esr == 2.0
    assert parse_fault(DUAL, "C3 value=1 uF").edits == "supply"  # the positive rail's alone


def test_a_later_mains_or_load_takes_the_place_of_the_earlier_one() -> None:
    twice = with_fault(with_fault(BRIDGE, "mains=207 V"), "mains=253 V")
    assert [fault.words for fault in twice.faults] == ["mains=253 V"]
    assert twice.mains.voltage == 253.0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("D9 open", ('this supply has no "D9"', "D1, D2, D3, D4, C1, L1, R1, R2")),
        ("d2 open", ('no "d2"', 'Did you mean "D2"?')),
        ("D2 opne", ('"opne" can\'t happen to D2, a diode', "D2 open, D2 shorted", 'Did you mean "open"?')),
        ("L1 reversed", ("can't happen to L1, a choke", "L1 open, L1 shorted")),
        ("R1 shorted", ("can't happen to R1", "R1 open")),
        ("T1 open", ("can't happen to T1, a transformer", "no fault")),
        ("C1 dried", ("the value is missing", "C1 dried=470 uF/2 ohm")),
        ("C1 dried=470 uF", ("a capacitance and a series resistance",)),
        ("C1 value=2200", ('"2200" has no unit', '"2200 uF"')),
        ("D1 leaky=-3 ohm", ("-3 ohm",)),
        ("D1 open=3", ("no fault of this supply is called so", 'Did you mean "D1 open"')),
        ("mains", ("the value is missing", "mains=207 V")),
        ("mains=230", ('"230" has no unit',)),
        ("load=3 V", ("no load", "ohm, A or W")),
        ("winding_a open", ("the winding has one section", "Write winding open")),
        ("winding shorted", ("what is wrong with the winding?", "winding open, winding half-shorted")),
        ("tap to negative", ("this supply has no tap",)),
        ("wire positive", ("wire needs two nodes",)),
        ("wire positive positive", ("both nodes are the same",)),
        ("wire positve earth", ('no node "positve"', 'Did you mean "positive"?')),
        ("wire-off D1.negative", ("D1 has no lead on the node", "wire-off D1.winding_a, wire-off D1.positive")),
        ("wire-off D1", ("Write part and node",)),
        ("U1 open", ('no "U1"',)),
        ("", ("these are no fault words", "D1 D2 D3 D4 with open, shorted, reversed, leaky=")),
        ("everything broken", ("no fault of this supply is called so", "F1 with open", "primary open")),
    ],
)
def test_words_that_are_no_fault_of_this_supply_are_told_what_there_is(words: str, said: tuple[str, ...]) -> None:
    text = sentence(BRIDGE, words)
    for part in said:
        assert part in text, text


def test_a_part_fails_in_one_way_at_a_time() -> None:
    assert 'D1 already has the fault "D1 open"' in sentence(with_fault(BRIDGE, "D1 open"), "D1 shorted")


def test_a_part_that_is_not_fitted_cannot_fail() -> None:
    bare = read_text(
        'mains = { voltage = "12 V", frequency = "50 Hz", source = "adapter" }\nrectifier = { circuit = "bridge" }\n'
        'filter = [{ capacitor = "1 uF", fitted = false }]\nload = { resistance = "1 kohm" }\n'
    )
    assert "C1 isn't fitted" in sentence(bare, "C1 open")
    assert "this supply has no transformer" in sentence(bare, "primary open")


@pytest.mark.parametrize("supply", [BRIDGE, DUAL])
def test_every_known_fault_without_a_value_or_node_is_read(supply: Supply) -> None:
    plain = [words for words in known_faults(supply) if "=" not in words and "<" not in words]
    assert len(plain) > 15
    for words in plain:
        assert parse_fault(supply, words).words == words
