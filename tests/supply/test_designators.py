"""Designators, leads and nodes, against the list of readings' own words."""

from __future__ import annotations

import pytest

from railwright.supply import Supply, joined_nodes, nodes, parts, read_text, same_node

ONE_PHASE = 'mains = { voltage = "12 V", frequency = "50 Hz", source = "adapter" }\nload = { resistance = "1 kohm" }\n'
TAPPED = (
    'mains = { voltage = "230 V", frequency = "50 Hz" }\nload = { resistance = "1 kohm" }\n'
    'transformer = { secondary = "centre-tapped", secondary_voltage = "12 V" }\n'
)
THREE_PHASE = 'mains = { voltage = "400 V", frequency = "50 Hz", phases = 3 }\nload = { resistance = "1 kohm" }\n'


def circuit(word: str, *, before: str = ONE_PHASE, more: str = "", filters: str = "") -> Supply:
    return read_text(f'{before}rectifier = {{ circuit = "{word}"{more} }}\n{filters}')


def leads(supply: Supply) -> dict[str, tuple[str, ...]]:
    return {part.designator: part.nodes for part in parts(supply)}


def test_the_bridge_has_its_four_diodes_where_the_teaching_convention_puts_them() -> None:
    """D1 from secondary a to the positive rail, D2 from b; D3 from the negative rail to a, D4 to b."""
    assert leads(circuit("bridge")) == {
        "D1": ("winding_a", "positive"),
        "D2": ("winding_b", "positive"),
        "D3": ("negative", "winding_a"),
        "D4": ("negative", "winding_b"),
    }


def test_centre_tap_and_half_wave_diodes_come_from_a_and_b() -> None:
    assert leads(circuit("half-wave")) == {"D1": ("winding_a", "positive")}
    tapped = leads(circuit("centre-tap", before=TAPPED))
    assert (tapped["D1"], tapped["D2"]) == (("winding_a", "positive"), ("winding_b", "positive"))


def test_the_dual_half_wave_has_one_diode_for_each_rail() -> None:
    assert leads(circuit("dual-half-wave")) == {"D1": ("winding_a", "positive"), "D2": ("negative", "winding_a")}


def test_the_full_wave_doubler_charges_c1_by_d1_and_c2_by_d2_about_its_middle() -> None:
    """D1 charges C1 (positive to mid), D2 charges C2 (mid to negative); the middle is the winding's other end."""
    assert leads(circuit("full-wave-doubler", more=', stage_capacitor = "100 uF"')) == {
        "D1": ("winding_a", "positive"),
        "D2": ("negative", "winding_a"),
        "C1": ("positive", "winding_b"),
        "C2": ("winding_b", "negative"),
    }


@pytest.mark.parametrize("stages", [1, 3])
def test_stage_k_of_a_multiplier_is_two_diodes_and_two_capacitors_pump_first(stages: int) -> None:
    """C1, C3, … pump column from the winding, C2, C4, … smoothing column from negative."""
    supply = circuit(
        "multiplier", more=f', stages = {stages}, pump_capacitor = "1 uF", stage_capacitor = "2 uF"',
        filters='filter = [{ capacitor = "3 uF" }]\n',
    )  # fmt: skip
    listed = parts(supply)
    assert [part.designator for part in listed] == [
        *(f"D{n}" for n in range(1, 2 * stages + 1)), *(f"C{n}" for n in range(1, 2 * stages + 2)),
    ]  # fmt: skip
    values = {part.designator: part.value for part in listed if part.kind == "capacitor"}
    assert values["C1"] == 1e-6 and values["C2"] == 2e-6 and values[f"C{2 * stages + 1}"] == pytest.approx(3e-6)
    where = leads(supply)
    assert where["C2"] == ("stage_1", "negative")
    assert where["C1"][1] == "winding_a"
    assert where["D1"] == ("negative", where["C1"][0]) and where["D2"] == (where["C1"][0], "stage_1")
    assert same_node(supply, f"stage_{stages}", "positive")
    if stages == 3:
        assert where["C4"] == ("stage_2", "stage_1") and where["C3"] == (where["D3"][1], where["C1"][0])


def test_three_phase_diodes_are_numbered_in_the_order_in_which_they_take_over() -> None:
    """D1 L1+, D2 L3-, D3 L2+, D4 L1-, D5 L3+, D6 L2-."""
    assert leads(circuit("three-phase-bridge", before=THREE_PHASE)) == {
        "D1": ("winding_1", "positive"),
        "D2": ("negative", "winding_3"),
        "D3": ("winding_2", "positive"),
        "D4": ("negative", "winding_1"),
        "D5": ("winding_3", "positive"),
        "D6": ("negative", "winding_2"),
    }
    assert list(leads(circuit("three-phase-half-wave", before=THREE_PHASE))) == ["D1", "D2", "D3"]


def test_filter_parts_take_the_next_free_letter_and_a_bleeder_is_a_resistor() -> None:
    supply = circuit(
        "bridge",
        filters='filter = [{ capacitor = "1 uF" }, { choke = "1 H" }, { resistor = "1 ohm" }, { capacitor = "2 uF" }, '
        '{ bleeder = "1 kohm", fitted = false }]\nregulator = { kind = "zener", zener_voltage = "5 V", '
        'series_resistor = "47 ohm" }\nfuse = { rating = "1 A" }\n',
    )
    listed = parts(supply)
    assert [part.designator for part in listed][4:] == ["C1", "L1", "R1", "C2", "R2", "R3", "F1", "Z1"]
    by_name = {part.designator: part for part in listed}
    assert by_name["R2"].kind == "bleeder" and not by_name["R2"].fitted
    assert by_name["R3"].value == 47.0 and by_name["R3"].section is None
    assert by_name["L1"].nodes == ("after_1", "after_2") and by_name["C2"].nodes == ("after_4", "negative")
    assert by_name["C2"].section == 4
    assert by_name["Z1"].nodes == ("output", "negative")


def test_on_two_rails_each_section_gives_the_positive_part_before_the_negative_one() -> None:
    supply = circuit(
        "dual-rail",
        before=TAPPED,
        filters='filter = [{ capacitor = "1 uF" }, { resistor = "1 ohm", rail = "negative" }, { capacitor = "2 uF" }]\n'
        'regulator = { negative = { kind = "series", output = "5 V" } }\n',
    )
    listed = [(part.designator, part.rail, part.section) for part in parts(supply)][4:]
    assert listed == [
        ("C1", "positive", 1), ("C2", "negative", 1), ("R1", "negative", 2), ("C3", "positive", 3),
        ("C4", "negative", 3), ("T1", None, None), ("U2", "negative", None),
    ]  # fmt: skip
    where = leads(supply)
    assert where["C1"] == ("after_1", "zero") and where["C2"] == ("zero", "after_1_negative")
    assert where["U2"] == ("after_3_negative", "output_negative", "zero")


def test_an_extra_is_a_part_by_its_own_name() -> None:
    supply = circuit(
        "bridge",
        filters='extra = [{ kind = "capacitor", name = "Cs", from = "winding_a", to = "earth", value = "1 nF" }]\n',
    )
    assert leads(supply)["Cs"] == ("winding_a", "earth")


def test_the_nodes_are_those_of_the_circuit() -> None:
    filters = 'filter = [{ capacitor = "1 uF" }]\n'
    one = {"live", "neutral", "earth", "winding_a", "winding_b", "positive", "negative", "after_1", "output"}
    assert set(nodes(circuit("bridge", filters=filters))) == one
    two = one | {"tap", "zero", "after_1_negative", "output_negative"}
    assert set(nodes(circuit("dual-rail", before=TAPPED, filters=filters))) == two
    three = {"l1", "l2", "l3", "winding_1", "winding_2", "winding_3"}
    assert three < set(nodes(circuit("three-phase-bridge", before=THREE_PHASE)))
    assert "winding_a" not in nodes(circuit("three-phase-bridge", before=THREE_PHASE))


def test_names_that_mean_one_place_are_joined() -> None:
    supply = circuit("half-wave", filters='filter = [{ capacitor = "1 uF" }, { resistor = "1 ohm" }]\n')
    assert same_node(supply, "positive", "after_1") and not same_node(supply, "after_1", "after_2")
    assert same_node(supply, "after_2", "output")
    assert same_node(supply, "negative", "winding_b") and same_node(supply, "winding_a", "live")
    tapped = circuit("dual-rail", before=TAPPED)
    assert same_node(tapped, "zero", "tap") and not same_node(tapped, "winding_a", "live")
    assert not same_node(circuit("bridge"), "negative", "winding_b")
    assert set(joined_nodes(tapped)) == set(nodes(tapped))
