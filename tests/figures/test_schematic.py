"""Schematics: nothing touches a label, arrows point as the standard circuits have them, wires join what they should."""

from __future__ import annotations

import functools
import math
import re
from collections import defaultdict
from itertools import combinations
from typing import get_args
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from figures.drawn_supplies import (
    BY_NAME,
    NODE_RAILS,
    OWN_NETWORKS,
    any_network,
    chains,
    examples,
    load,
    supply,
    three_phase,
)
from railwright.figures import scene
from railwright.figures.drawing import Drawing
from railwright.figures.scene import Box, Point
from railwright.figures.schematic import LAYOUTS, Form, NotDrawn, schematic
from railwright.figures.symbols import STANDARDS, Standard, symbol
from railwright.quantities import format_quantity
from railwright.supply import parts
from railwright.supply.model import Circuit, FilterSection, Supply

FORMS: tuple[Form, ...] = ("diamond", "in-line")
EVERY = {**BY_NAME, **{f"example {name}": drawn for name, drawn in examples().items()}}
STYLES = [(standard, form) for standard in STANDARDS for form in FORMS]


@functools.cache
def drawn(name: str, standard: Standard, form: Form) -> Drawing:
    return schematic(EVERY[name], standard=standard, form=form)


every_style = pytest.mark.parametrize(("standard", "form"), STYLES)
every_supply = pytest.mark.parametrize("name", EVERY)


def lines_of(drawing: Drawing) -> list[tuple[Point, Point]]:
    """Wires, and each part's way from terminal to terminal."""
    stretches = [
        pair for wire in drawing.wires if wire.drawn for pair in zip(wire.points, wire.points[1:], strict=False)
    ]
    for placed in drawing.parts.values():
        if placed.inside and placed.fitted:
            stretches.append((placed.start, placed.end))
        if placed.common is not None:
            stretches.append((placed.middle, placed.common))
    return stretches


def sampled(one: Point, two: Point) -> list[Point]:
    """Points a pixel apart: a way to find collisions that shares nothing with the one that placed the labels."""
    count = max(1, math.ceil(math.dist(one, two)))
    return [(one[0] + (two[0] - one[0]) * k / count, one[1] + (two[1] - one[1]) * k / count) for k in range(count + 1)]


def slanting(box: Box, one: Point, two: Point) -> bool:
    return abs(one[0] - two[0]) > 1 and abs(one[1] - two[1]) > 1


def assert_labels_stand_free(drawing: Drawing) -> None:
    labels = [(label.words.lines, label.box) for label in drawing.labels]
    for (words, box), (others, other) in combinations(labels, 2):
        assert not box.overlaps(other), f"{words} meets {others}"
    for words, box in labels:
        for one, two in lines_of(drawing):
            hit = [p for p in sampled(one, two) if box.left < p[0] < box.right and box.top < p[1] < box.bottom]
            assert not hit, f"{words} lies on a wire at {hit[0]}"
        for placed in drawing.parts.values():
            if placed.kind in ("outlet", "link") or slanting(placed.box, placed.start, placed.end):
                continue  # a slanting symbol leaves the corners of its box free; its edges are tested below
            assert not box.overlaps(placed.box), f"{words} meets the symbol of {placed.designator}"
        for placed in drawing.parts.values():
            ring = (*placed.outline, *placed.outline[:1])
            for one, two in zip(ring, ring[1:], strict=False):
                assert not any(box.left < x < box.right and box.top < y < box.bottom for x, y in sampled(one, two))
    paper = Box(left=0, top=0, right=drawing.scene.width, bottom=drawing.scene.height)
    for words, box in labels:
        assert paper.contains(box), f"{words} runs off the paper"


@every_style
@every_supply
def test_no_label_meets_a_wire_a_symbol_or_another_label(name: str, standard: Standard, form: Form) -> None:
    assert_labels_stand_free(drawn(name, standard, form))


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(made=chains(), standard=st.sampled_from(STANDARDS), form=st.sampled_from(FORMS))
def test_any_chain_of_filter_parts_is_drawn_with_free_labels_and_no_crossing_too_many(
    made: Supply, standard: Standard, form: Form
) -> None:
    drawing = schematic(made, standard=standard, form=form)
    assert_labels_stand_free(drawing)
    assert_joined_as_named(drawing)
    assert len(crossings(drawing)) <= MOST_CROSSINGS.get(drawing.circuit, 1)


def crossings(drawing: Drawing) -> set[Point]:
    """Places where wires of two nodes meet: a wire that is laid in pieces is counted once."""
    return {(round(x, 1), round(y, 1)) for x, y in drawing.crossings}


#: A bridge between a source on the left and a load on the right needs one crossing; nothing else may have any more.
#: Three legs stand between two rails, and each of them parts its left from its right: the second phase has to cross
#: one leg to reach its own and the third has to cross two, so three is the least for three legs in line.
MOST_CROSSINGS = {"three-phase-bridge": 3, "three-phase-half-wave": 0, "network": 0, "multiplier": 0}


@every_style
@every_supply
def test_no_more_crossings_are_drawn_than_the_circuit_needs(name: str, standard: Standard, form: Form) -> None:
    drawing = drawn(name, standard, form)
    if name in NODE_RAILS:
        pytest.skip("rails of nodes are crossed by the leads between them")
    assert len(crossings(drawing)) <= MOST_CROSSINGS.get(drawing.circuit, 1)


def assert_joined_as_named(drawing: Drawing) -> None:
    """Every terminal of a node hangs together by that node's wires, and no two nodes touch but at crossings."""
    groups: dict[tuple[str, float, float], tuple[str, float, float]] = {}

    def top(key: tuple[str, float, float]) -> tuple[str, float, float]:
        while groups.setdefault(key, key) != key:
            key = groups[key]
        return key

    def key(node: str, point: Point) -> tuple[str, float, float]:
        return node, round(point[0], 1), round(point[1], 1)

    terminals: dict[str, list[Point]] = defaultdict(list)
    for placed in drawing.parts.values():
        if placed.fitted:
            terminals[placed.nodes[0]].append(placed.start)
            terminals[placed.nodes[1]].append(placed.end)
        if placed.common is not None and placed.common_node is not None:
            terminals[placed.common_node].append(placed.common)
    for wire in drawing.wires:
        everything = [*terminals[wire.node], *(p for w in drawing.wires if w.node == wire.node for p in w.points)]
        for one, two in zip(wire.points, wire.points[1:], strict=False):
            for point in (*everything, two):
                on_it = math.dist(one, point) + math.dist(point, two) < math.dist(one, two) + 1e-4
                if (on_it and wire.drawn) or point == two:
                    groups[top(key(wire.node, point))] = top(key(wire.node, one))
    for node, ends in terminals.items():
        if node != "earth":
            assert len({top(key(node, end)) for end in ends}) == 1, f"{node} is in pieces"


@every_style
@every_supply
def test_the_wires_join_exactly_the_terminals_of_their_node(name: str, standard: Standard, form: Form) -> None:
    assert_joined_as_named(drawn(name, standard, form))


#: Anode and cathode of each diode: common practice for the textbook circuits; bridge numbering as in the glossary.
DIODES = {
    "half-wave": {"D1": ("winding_a", "positive")},
    "centre-tap": {"D1": ("winding_a", "positive"), "D2": ("winding_b", "positive")},
    "bridge": {
        "D1": ("winding_a", "positive"), "D2": ("winding_b", "positive"),
        "D3": ("negative", "winding_a"), "D4": ("negative", "winding_b"),
    },
    "dual-half-wave": {"D1": ("winding_a", "positive"), "D2": ("negative", "winding_a")},
    "full-wave-doubler": {"D1": ("winding_a", "positive"), "D2": ("negative", "winding_a")},
    "half-wave-doubler": {"D1": ("negative", "pump_1"), "D2": ("pump_1", "positive")},
}  # fmt: skip
DIODES["dual-rail"] = DIODES["bridge"]


@every_style
@pytest.mark.parametrize("circuit", DIODES)
def test_every_diode_points_from_its_anode_to_its_cathode(circuit: str, standard: Standard, form: Form) -> None:
    """The triangle's tip, the one corner that no other mirrors, is nearest to the cathode (IEC 60617, IEEE 315)."""
    drawing = drawn(circuit, standard, form)
    for designator, (anode, cathode) in DIODES[circuit].items():
        placed = drawing.parts[designator]
        assert placed.nodes == (drawing.node(anode), drawing.node(cathode))
        distances = sorted((math.dist(corner, placed.end), corner) for corner in placed.outline)
        assert distances[1][0] == pytest.approx(distances[2][0])
        assert distances[0][0] < distances[1][0] - 5
        assert math.dist(distances[0][1], placed.start) > math.dist(distances[1][1], placed.start)


@every_style
@every_supply
def test_supply_left_load_right_positive_on_top(name: str, standard: Standard, form: Form) -> None:
    if EVERY[name].elements:
        pytest.skip("networks have a test of their own")
    drawing = drawn(name, standard, form)
    source = min(p.box.left for d, p in drawing.parts.items() if d.startswith(("mains", "secondary")))
    for designator, placed in drawing.parts.items():
        if designator.startswith("load"):
            assert placed.box.left > source + 200
            top, bottom = sorted((placed.start[1], placed.end[1]))
            higher = placed.nodes[0] if placed.start[1] < placed.end[1] else placed.nodes[1]
            assert bottom > top
            assert higher != drawing.node("negative")
    positive = [p[1] for wire in drawing.wires_of("output") for p in wire]
    negative = [p[1] for wire in drawing.wires_of("negative") for p in wire]
    if drawing.circuit != "centre-tap":
        assert min(positive) < max(negative)


@every_style
@every_supply
def test_every_part_of_the_supply_is_drawn_under_its_designator(name: str, standard: Standard, form: Form) -> None:
    drawing = drawn(name, standard, form)
    expected = {part.designator for part in parts(EVERY[name])} - {"T1"}
    assert expected <= set(drawing.parts)
    words = {line for label in drawing.labels for line in label.words.lines}
    regulators = {p.designator for p in drawing.parts.values() if p.kind == "regulator"}
    assert expected - words - regulators == set()


@every_style
@every_supply
def test_values_stand_beside_their_parts(name: str, standard: Standard, form: Form) -> None:
    drawing = drawn(name, standard, form)
    units = {"capacitor": "F", "resistor": "ohm", "bleeder": "ohm", "choke": "H"}
    beside = {label.words.belongs_to: label.words.lines for label in drawing.labels}
    for part in parts(EVERY[name]):
        if part.section is not None:
            section = EVERY[name].filters[part.section - 1]
            assert format_quantity(section.value, units[section.kind]) in beside[part.designator]
            assert ("not fitted" in beside[part.designator]) == (not section.fitted)


@every_style
@every_supply
def test_no_four_wires_meet_in_one_point(name: str, standard: Standard, form: Form) -> None:
    """Four-way joints are staggered, or a photocopy can't tell them from a crossing (common practice, no source)."""
    drawing = drawn(name, standard, form)
    stretches = lines_of(drawing)
    for joint in drawing.joints:
        arms = set()
        for one, two in stretches:
            for end, other in ((one, two), (two, one)):
                if math.dist(end, joint) < 0.1:
                    arms.add(round(math.degrees(math.atan2(other[1] - end[1], other[0] - end[0]))))
            on_it = math.dist(one, joint) + math.dist(joint, two) < math.dist(one, two) + 1e-4
            if on_it and min(math.dist(one, joint), math.dist(two, joint)) > 0.1:
                angle = math.degrees(math.atan2(two[1] - one[1], two[0] - one[0]))
                arms |= {round(angle), round(angle - 180) if angle > 0 else round(angle + 180)}
        assert len(arms) == 3, f"{len(arms)} wires meet at {joint}"


@every_style
def test_a_crossing_has_no_dot(standard: Standard, form: Form) -> None:
    drawing = drawn("bridge", standard, form)
    (crossing,) = drawing.crossings
    assert all(math.dist(crossing, joint) > 10 for joint in drawing.joints)


@pytest.mark.parametrize("standard", STANDARDS)
def test_each_plus_sign_stands_at_the_positive_plate(standard: Standard) -> None:
    """The hollow plate (IEC) or the straight one (IEEE) comes first from the positive terminal."""
    plates = symbol("electrolytic", standard)
    plus = [item for item in plates.items if isinstance(item, scene.Line) and math.dist(*item.points) == 8.0]
    assert len(plus) == 2
    assert all(x < 0 for line in plus for x, _ in line.points)
    first = min(
        (item for item in plates.items if item not in plus),
        key=lambda item: scene.bounds(item).left,  # type: ignore[union-attr]
    )
    if standard == "iec":
        assert isinstance(first, scene.Polygon) and first.fill is None
    else:
        assert isinstance(first, scene.Line)


def test_iec_draws_a_resistor_as_a_rectangle_and_ieee_as_a_zigzag() -> None:
    """IEC 60617 symbol S00555; IEEE 315 section 2.1: three peaks on each side."""
    box = symbol("resistor", "iec").items[0]
    zigzag = symbol("resistor", "ieee").items[0]
    assert isinstance(box, scene.Line) and len({y for _, y in box.points}) == 3
    assert isinstance(zigzag, scene.Line)
    heights = [round(y) for _, y in zigzag.points[1:-1]]
    assert heights == [-13, 13] * 3


def test_an_iec_diode_is_an_outline_and_an_ieee_diode_is_full() -> None:
    for standard, fill in (("iec", None), ("ieee", scene.INK)):
        triangles = [item for item in symbol("diode", standard).items if isinstance(item, scene.Polygon)]
        assert [triangle.fill for triangle in triangles] == [fill]


def test_a_part_that_isnt_fitted_is_dashed_and_joined_to_nothing() -> None:
    drawing = drawn("parts that aren't fitted", "iec", "diamond")
    for designator in ("L1", "C2"):
        placed = drawing.parts[designator]
        assert not placed.fitted
        assert all(math.dist(joint, end) > 3 for joint in drawing.joints for end in (placed.start, placed.end))
    text = scene.render(drawing.scene)
    group = re.search(r'<g class="part choke not-fitted" data-ref="L1">.*?</g>', text)
    assert group is not None and "stroke-dasharray" in group.group()


def test_a_load_of_none_leaves_open_terminals() -> None:
    drawing = schematic(supply("bridge", loads=load("none", None)))
    assert "load" not in drawing.parts
    words = {line for label in drawing.labels for line in label.words.lines}
    assert {"+", "−"} <= words


def test_the_title_is_text_whatever_it_says() -> None:
    made = supply("bridge", title='<script>alert("1")</script> & more')
    tree = ElementTree.fromstring(scene.render(schematic(made).scene))
    assert "script" not in {element.tag.split("}")[1] for element in tree.iter()}
    assert '<script>alert("1")</script> & more' in {element.text for element in tree.iter()}


def test_the_same_supply_is_always_drawn_the_same() -> None:
    assert scene.render(schematic(supply("bridge")).scene) == scene.render(schematic(supply("bridge")).scene)


def test_each_part_can_be_lit_by_its_designator() -> None:
    tree = ElementTree.fromstring(scene.render(drawn("bridge", "iec", "diamond").scene))
    refs = {element.get("data-ref") for element in tree.iter() if "part" in (element.get("class") or "").split()}
    assert {"D1", "D2", "D3", "D4", "C1", "load", "primary", "secondary"} <= refs


def test_nodes_are_found_by_every_name_of_the_sheet() -> None:
    drawing = schematic(supply("bridge", filters=(FilterSection(kind="capacitor", value=1e-3),) * 2))
    assert drawing.wires_of("positive") == drawing.wires_of("after_1") == drawing.wires_of("output")
    assert drawing.wires_of("nowhere") == ()


def test_every_circuit_of_the_sheet_is_drawn() -> None:
    assert set(get_args(Circuit)) <= set(LAYOUTS)


def test_a_half_wave_on_a_delta_is_refused_because_it_has_no_star_point() -> None:
    """The return of a three-phase half-wave rectifier is the star point (common practice, no source)."""
    with pytest.raises(NotDrawn, match='a delta has no star point for the return. Write connection = "delta-star"'):
        schematic(three_phase("three-phase-half-wave", "star-delta"))


@every_style
def test_the_six_diodes_of_a_three_phase_bridge_stand_on_their_phases(standard: Standard, form: Form) -> None:
    """In the order in which they take over: D1 from the first phase to the positive rail, D2 from the negative rail
    to the third, and so on round (common practice, no source; glossary of the readings)."""
    drawing = schematic(three_phase("three-phase-bridge", "star-star"), standard=standard, form=form)
    assert {name: placed.nodes for name, placed in drawing.parts.items() if name.startswith("D")} == {
        "D1": ("winding_1", "positive"), "D3": ("winding_2", "positive"), "D5": ("winding_3", "positive"),
        "D4": ("negative", "winding_1"), "D6": ("negative", "winding_2"), "D2": ("negative", "winding_3"),
    }  # fmt: skip
    legs = [drawing.parts[name].start[0] for name in ("D1", "D3", "D5")]
    assert legs == sorted(legs)
    assert [drawing.parts[name].start[0] for name in ("D4", "D6", "D2")] == legs


@pytest.mark.parametrize("connection", ["star-star", "star-delta", "delta-star", "delta-delta"])
def test_each_winding_of_three_phases_lies_between_the_right_lines(connection: str) -> None:
    """Star: from each line to the common point. Delta: from each line to the next (IEC 60076-1, definitions)."""
    drawing = schematic(three_phase("three-phase-bridge", connection))
    primary, secondary = connection.split("-")
    for k in (1, 2, 3):
        following = k % 3 + 1
        own, other = drawing.parts[f"primary_{k}"].nodes
        assert (own, other) == (f"l{k}", "neutral" if primary == "star" else f"l{following}")
        other, own = drawing.parts[f"secondary_{k}"].nodes
        assert (own, other) == (f"winding_{k}", "star" if secondary == "star" else f"winding_{following}")


@every_style
@pytest.mark.parametrize("name", [name for name in OWN_NETWORKS if name not in NODE_RAILS])
def test_a_ladder_has_its_source_left_and_its_returns_along_the_bottom(
    name: str, standard: Standard, form: Form
) -> None:
    made, drawing = EVERY[name], drawn(name, standard, form)
    first = next(element for element in made.elements if element.kind == "source")
    source = drawing.parts[first.name]
    assert made.network is not None
    common = [y for wire in drawing.wires_of(made.network.common) for _, y in wire]
    assert len(set(common)) == 1
    for other in made.elements:
        placed = drawing.parts[other.name]
        if other.name != first.name:
            assert placed.box.left > source.box.right
        if {other.start, other.end} & {made.network.common}:
            assert max(placed.start[1], placed.end[1]) == common[0]
        elif other.kind not in ("source", "winding"):
            assert placed.start[1] == placed.end[1] < common[0]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(made=any_network(), standard=st.sampled_from(STANDARDS))
def test_any_network_is_drawn_with_its_parts_apart_and_its_labels_free(made: Supply, standard: Standard) -> None:
    drawing = schematic(made, standard=standard)
    assert_labels_stand_free(drawing)
    assert_joined_as_named(drawing)
    assert {element.name for element in made.elements} <= set(drawing.parts)
    for one, other in combinations(drawing.parts.values(), 2):
        assert not one.box.overlaps(other.box), f"{one.designator} meets {other.designator}"
    for element in made.elements:
        assert set(drawing.parts[element.name].nodes) == {element.start, element.end}


def test_a_wrong_standard_is_refused_with_the_right_ones() -> None:
    with pytest.raises(ValueError, match='standard is "iec" or "ieee", form is "diamond" or "in-line"'):
        schematic(supply("bridge"), standard="din")  # type: ignore[arg-type]
