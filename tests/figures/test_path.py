"""The conduction path: Kirchhoff at every joint of the drawing, loops as textbooks draw them, order and direction."""

from __future__ import annotations

import math
from collections import defaultdict
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from figures.drawn_supplies import BY_NAME, EXAMPLES, supply
from railwright.figures import scene
from railwright.figures.path import AMBER, ConductionPath, conduction_path, with_path
from railwright.figures.schematic import Form, schematic
from railwright.figures.symbols import STANDARDS, Standard
from railwright.figures.wire_flow import Unbalanced, wire_flow
from railwright.supply.model import FilterSection, Load, Loads, Supply

FORMS: tuple[Form, ...] = ("diamond", "in-line")

#: Bridge with capacitor and load while a is positive: 1 A charges, 0.15 A of it feeds the load. Kirchhoff by hand.
A_POSITIVE = {
    "mains": 0.04, "secondary": 1.0, "D1": 1.0, "D2": 0.0, "D3": 0.0, "D4": 1.0, "C1": 0.85, "load": 0.15,
}  # fmt: skip
B_POSITIVE = A_POSITIVE | {"mains": -0.04, "secondary": -1.0, "D1": 0.0, "D2": 1.0, "D3": 1.0, "D4": 0.0}
DISCHARGE = dict.fromkeys(A_POSITIVE, 0.0) | {"C1": -0.15, "load": 0.15}


def path(
    made: Supply, currents: dict[str, float], *, standard: Standard = "iec", form: Form = "diamond", **words: object
) -> ConductionPath:
    drawing = schematic(made, standard=standard, form=form)
    return conduction_path(drawing, currents, **words)  # type: ignore[arg-type]


def order(found: ConductionPath) -> list[str]:
    return [stop.designator for stop in found.stops]


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(
    ("currents", "expected"),
    [
        (A_POSITIVE, ["secondary", "D1", "C1", "load", "D4"]),
        (B_POSITIVE, ["secondary", "D2", "C1", "load", "D3"]),
        (DISCHARGE, ["C1", "load"]),
    ],
)
def test_the_bridges_current_meets_its_parts_in_the_order_of_the_textbook(
    currents: dict[str, float], expected: list[str], standard: Standard, form: Form
) -> None:
    """a positive: D1 and D4 conduct; b positive: D2 and D3 (common practice); between pulses C feeds the load."""
    assert order(path(supply("bridge"), currents, standard=standard, form=form)) == expected


@pytest.mark.parametrize("currents", [A_POSITIVE, B_POSITIVE, DISCHARGE])
def test_electron_flow_is_the_reverse(currents: dict[str, float]) -> None:
    forward = path(supply("bridge"), currents)
    backward = path(supply("bridge"), currents, convention="electron")
    assert {(f.start, f.end) for f in forward.flows} == {(f.end, f.start) for f in backward.flows}
    assert order(backward)[0] == order(forward)[0]
    assert set(order(backward)) == set(order(forward))
    # Between source and source the single loop through D4, D1 (or D3, D2) is walked the other way round.
    diodes = [d for d in order(forward) if d.startswith("D")]
    assert [d for d in order(backward) if d.startswith("D")] == diodes[::-1]


def chevron_directions(found: ConductionPath) -> list[tuple[scene.Point, scene.Point]]:
    """Tip and direction of each chevron, from its three points."""
    (_, group) = found.under
    marks = []
    for leaf in scene.leaves(group):
        assert isinstance(leaf, scene.Line)
        (ax, ay), tip, (bx, by) = leaf.points
        marks.append((tip, (tip[0] - (ax + bx) / 2, tip[1] - (ay + by) / 2)))
    return marks


def test_chevrons_point_downwards_through_the_load_for_conventional_current_and_upwards_for_electrons() -> None:
    drawing = schematic(supply("bridge"))
    x = drawing.parts["load"].start[0]
    for convention, sign in (("conventional", 1), ("electron", -1)):
        found = conduction_path(drawing, A_POSITIVE, convention=convention)  # type: ignore[arg-type]
        through = [direction for tip, direction in chevron_directions(found) if abs(tip[0] - x) < 1]
        assert through
        assert all(dy * sign > 0 and abs(dx) < 1e-6 for dx, dy in through)


@pytest.mark.parametrize("form", FORMS)
def test_the_ribbon_covers_the_conducting_diodes_and_no_others(form: Form) -> None:
    drawing = schematic(supply("bridge"), form=form)
    found = conduction_path(drawing, A_POSITIVE)
    carried = {flow.part for flow in found.flows if flow.part}
    assert {"D1", "D4", "C1", "load"} <= carried
    assert carried.isdisjoint({"D2", "D3"})


def imbalance(drawing: object, currents: dict[str, float]) -> float:
    """Largest sum of currents into any point of the drawing, outlets' gaps included. [A]"""
    sums: defaultdict[object, float] = defaultdict(float)
    for flow in wire_flow(drawing, currents):  # type: ignore[arg-type]
        sums[flow.start] -= flow.current
        sums[flow.end] += flow.current
    return max(map(abs, sums.values()), default=0.0)


@settings(max_examples=30, deadline=None)
@given(
    charging=st.floats(-2, 5), bled=st.floats(0, 0.5), loaded=st.floats(0, 2), form=st.sampled_from(FORMS),
    standard=st.sampled_from(STANDARDS),
)  # fmt: skip
def test_currents_add_up_to_zero_at_every_joint(
    charging: float, bled: float, loaded: float, form: Form, standard: Standard
) -> None:
    """Kirchhoff's current law: whatever the parts carry, each piece of wire carries what its two sides need."""
    made = supply(
        "bridge", filters=(FilterSection(kind="capacitor", value=1e-3), FilterSection(kind="bleeder", value=1e3))
    )
    whole = charging + bled + loaded
    if whole >= 0:
        diodes = {"secondary": whole, "D1": whole, "D4": whole, "D2": 0.0, "D3": 0.0}
    else:
        return
    currents = {"C1": charging, "R1": bled, "load": loaded, "mains": whole / 25, **diodes}
    drawing = schematic(made, standard=standard, form=form)
    assert imbalance(drawing, currents) < 1e-9 * max(1.0, whole)
    rail = [flow for flow in wire_flow(drawing, currents) if flow.part is None and flow.start[0] == "positive"]
    assert max(abs(flow.current) for flow in rail) >= loaded - 1e-12


def test_the_wire_beyond_the_capacitor_carries_the_load_current_only() -> None:
    drawing = schematic(supply("bridge"))
    c1, load = drawing.parts["C1"].start, drawing.parts["load"].start
    for flow in wire_flow(drawing, A_POSITIVE):
        (x1, y1), (x2, y2) = flow.line
        if flow.part is None and y1 == y2 == c1[1] and min(x1, x2) >= c1[0]:
            assert abs(flow.current) == pytest.approx(0.15)
            assert max(x1, x2) <= load[0]


def test_a_fuse_carries_what_its_winding_carries() -> None:
    made = BY_NAME["bridge, choke input, secondary fuse"]
    drawing = schematic(made)
    currents = {
        "secondary": 0.6, "D1": 0.6, "D4": 0.6, "D2": 0.0, "D3": 0.0, "L1": 0.6, "C1": 0.099, "R1": 0.001,
        "load": 0.5, "mains": 0.02,
    }  # fmt: skip
    (fuse,) = [flow for flow in wire_flow(drawing, currents) if flow.part == "F1"]
    assert fuse.current == pytest.approx(0.6)
    assert order(conduction_path(drawing, currents))[:4] == ["secondary", "F1", "D1", "L1"]


def test_a_regulator_takes_its_own_current_from_its_third_lead() -> None:
    drawing = schematic(BY_NAME["bridge with regulator"])
    currents = A_POSITIVE | {"C1": 0.84, "load": 0.15}  # 10 mA are left for the regulator itself
    by_part = defaultdict(list)
    for flow in wire_flow(drawing, currents):
        by_part[flow.part].append(flow.current)
    assert sorted(by_part["U1"]) == pytest.approx([0.15, 0.16])
    assert by_part["U1 common"] == pytest.approx([0.01])


def test_less_than_half_a_percent_gets_no_ribbon() -> None:
    currents = A_POSITIVE | {"C1": 0.996, "load": 0.004}
    assert "load" not in order(path(supply("bridge"), currents))
    currents = A_POSITIVE | {"C1": 0.994, "load": 0.006}
    assert "load" in order(path(supply("bridge"), currents))


def test_without_current_there_is_no_ribbon_and_the_legend_says_so() -> None:
    drawing = schematic(supply("bridge"))
    found = conduction_path(drawing, dict.fromkeys(A_POSITIVE, 0.0))
    assert found.stops == () and found.flows == ()
    assert "no current flows now" in scene.render(with_path(drawing, found))
    assert found.sentence == "No part carries current now."


def test_a_discharging_capacitor_is_named_as_what_drives_the_current() -> None:
    found = path(supply("bridge"), DISCHARGE)
    assert [(stop.designator, stop.delivers) for stop in found.stops] == [("C1", True), ("load", False)]
    assert [stop.number for stop in found.stops] == [1, 2]


def test_both_halves_of_a_dual_rail_are_met_before_the_current_returns() -> None:
    """D1 and D4 carry 1 A; each capacitor takes 0.8 A, each load 0.2 A; nothing is left for the tap."""
    currents = {
        "secondary_a": 1.0, "secondary_b": -1.0, "D1": 1.0, "D2": 0.0, "D3": 0.0, "D4": 1.0, "C1": 0.8, "C2": 0.8,
        "load_positive": 0.2, "load_negative": -0.2, "mains": 0.1,
    }  # fmt: skip
    met = order(path(supply("dual-rail"), currents))
    assert met[:2] == ["secondary_a", "D1"]
    assert met[-2:] == ["D4", "secondary_b"]
    assert set(met[2:-2]) == {"C1", "C2", "load_positive", "load_negative"}
    assert met.index("C1") < met.index("C2")


def test_currents_that_dont_add_up_are_refused_with_the_node_and_the_rest() -> None:
    with pytest.raises(Unbalanced, match=r"miss zero by 0\.\d+ A at .*: give the current of every part at one moment"):
        path(supply("bridge"), A_POSITIVE | {"load": 0.5})


def test_an_unknown_convention_is_refused() -> None:
    with pytest.raises(ValueError, match='write "conventional" or "electron"'):
        path(supply("bridge"), A_POSITIVE, convention="hole")


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("form", FORMS)
def test_a_blocking_diode_is_hatched_and_its_voltage_stands_beside_it(standard: Standard, form: Form) -> None:
    drawing = schematic(supply("bridge"), standard=standard, form=form)
    found = conduction_path(drawing, A_POSITIVE, blocking={"D2": 10.6, "D3": 10.6})
    groups = [item for item in found.over if isinstance(item, scene.Group)]
    hatched = {group.tag.data["ref"] for group in groups if "blocking" in group.tag.classes}
    assert hatched == {"D2", "D3"}
    for group in groups:
        if "blocking-voltage" in group.tag.classes:
            words = " ".join(leaf.text for leaf in scene.leaves(group) if isinstance(leaf, scene.Text))
            assert words == "blocks 10.6 V"
            box = scene.bounds(group)
            assert box is not None
            near = {name: math.dist(box.centre, placed.box.centre) for name, placed in drawing.parts.items()}
            diodes = {name: gap for name, gap in near.items() if name.startswith("D")}
            assert min(diodes, key=lambda name: diodes[name]) == group.tag.data["ref"]
    assert "D2 blocks 10.6 V, D3 blocks 10.6 V." in found.sentence


@pytest.mark.parametrize("name", [name for name in BY_NAME if name in ("bridge", "bridge with regulator")])
@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("form", FORMS)
def test_numbers_and_voltages_meet_no_label_and_no_other_number(name: str, standard: Standard, form: Form) -> None:
    drawing = schematic(BY_NAME[name], standard=standard, form=form)
    for currents, blocking in (
        (A_POSITIVE, {"D2": 10.6, "D3": 10.6}),
        (DISCHARGE, dict.fromkeys(("D1", "D2", "D3", "D4"), 9.9)),
    ):
        found = conduction_path(drawing, currents, blocking=blocking)
        added = [
            box
            for item in found.over
            if isinstance(item, scene.Group)
            and item.tag.classes[1] in ("stop", "blocking-voltage")
            and (box := scene.bounds(item)) is not None
        ]
        # A disc fills its box but for the corners: a pixel and a half of overlap there is still clear.
        for index, box in enumerate(added):
            inner = box.grown(-2.0)
            assert not any(inner.overlaps(label.box) for label in drawing.labels)
            assert not any(inner.overlaps(other.grown(-2.0)) for other in added[:index])


def test_the_picture_says_in_words_what_it_shows() -> None:
    drawing = schematic(supply("bridge"))
    found = conduction_path(drawing, A_POSITIVE, convention="electron")
    text = scene.render(with_path(drawing, found))
    assert "Electron flow meets, in this order: the winding, D4, C1, the load, D1." in text
    assert "electron flow, the reverse of conventional current" in text


def test_on_a_copier_no_amber_is_left() -> None:
    drawing = schematic(supply("bridge"))
    text = scene.render(with_path(drawing, conduction_path(drawing, A_POSITIVE, blocking={"D2": 9.0})), copier=True)
    assert AMBER not in text
    assert "opacity" not in text


def test_two_earthed_clips_dont_stop_the_drawing() -> None:
    """A clip on winding_b and the outlet's earthed neutral are one node: links that close a ring are left out."""
    drawing = schematic(BY_NAME["two earthed clips and extras"])
    found = conduction_path(drawing, A_POSITIVE | {"CS": 0.0})
    assert order(found) == ["secondary", "D1", "C1", "load", "D4"]


def test_a_ribbon_lies_on_wires_and_parts_only() -> None:
    drawing = schematic(supply("centre-tap"))
    currents = {
        "secondary_a": 0.5, "secondary_b": 0.0, "D1": 0.5, "D2": 0.0, "C1": 0.3, "load": 0.2, "mains": 0.03,
    }  # fmt: skip
    stretches = [pair for wire in drawing.wires for pair in pairwise(wire.points)]
    stretches += [(placed.start, placed.end) for placed in drawing.parts.values()]
    for flow in conduction_path(drawing, currents).flows:
        one, two = flow.line
        for point in (one, two):
            assert any(math.dist(a, point) + math.dist(point, b) < math.dist(a, b) + 0.2 for a, b in stretches)


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_solved_examples_light_exactly_the_diodes_that_conduct(file: object) -> None:
    """The solver and the drawing are two witnesses: its currents add up on our wires, its pattern is our ribbon."""
    study_module = pytest.importorskip("railwright.study")
    from railwright.network.network import NotSolvedYet
    from railwright.solver.failure import NoProvableAnswer

    made = study_module.read_sheet(file)
    try:
        study = study_module.solve(made)
    except (NotSolvedYet, NoProvableAnswer) as error:  # without a solution there is no path to draw
        pytest.skip(str(error))
    drawing = schematic(made)
    for interval in study.conduction:
        middle = (interval.start + interval.end) / 2
        currents = study.currents_at(middle)
        found = conduction_path(drawing, currents, blocking=interval.blocking)
        largest = max(abs(currents[name]) for name in drawing.parts if name in currents)
        clearly = {name for name in interval.on if currents[name] > 0.01 * largest}
        carried = {flow.part for flow in found.flows if flow.part and flow.part.startswith("D")}
        assert clearly <= carried <= set(interval.on)


def test_an_across_load_carries_from_rail_to_rail() -> None:
    made = supply(
        "dual-half-wave",
        loads=Loads(
            positive=Load(kind="resistance", value=100.0), negative=Load(kind="resistance", value=100.0),
            across=Load(kind="resistance", value=1000.0),
        ),
    )  # fmt: skip
    currents = {
        "secondary": 0.0, "D1": 0.0, "D2": 0.0, "C1": -0.3, "C2": -0.3, "load_positive": 0.2, "load_negative": -0.2,
        "load_across": 0.1, "mains": 0.0,
    }  # fmt: skip
    assert set(order(path(made, currents))) == {"C1", "C2", "load_positive", "load_negative", "load_across"}
