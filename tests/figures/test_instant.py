"""Captions of an instant: they name what the solution says carries current, split it by Kirchhoff, and say why not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from figures.drawn_supplies import EXAMPLES, OWN_NETWORKS, supply, three_phase
from railwright.figures import caption_at, draw, why_not
from railwright.figures.branches import LEAST_SHARE
from railwright.figures.instant import way_at
from railwright.figures.path import SMALLEST_SHARE, conduction_path
from railwright.figures.schematic import schematic
from railwright.network.network import NotSolvedYet
from railwright.quantities import format_quantity
from railwright.solver.failure import NoProvableAnswer
from railwright.study import Study, read_sheet, read_text, solve
from railwright.supply import parts
from railwright.supply.model import Capacitor, FilterSection, Load, Loads, Rectifier, Regulator, Supply, Transformer

BRIDGE = """
title = "Tide-gauge logger"
mains = {voltage = "230 V", frequency = "50 Hz"}
transformer = {open_voltage = "9 V"}
rectifier = {circuit = "bridge"}
filter = [{capacitor = "2200 uF"}]
load = {resistance = "100 ohm"}
"""


def example(name: str) -> Study:
    return solve(read_sheet(next(path for path in EXAMPLES if path.stem == name)))


def test_a_bridge_while_it_charges_reads_as_a_teacher_would_say_it() -> None:
    """a positive: D1 and D4 conduct, each other diode blocks the winding less one drop (common practice, no source)."""
    study = solve(read_text(BRIDGE))
    text = caption_at(study, 85.0)
    pattern = (
        r"a is ([\d.]+) V above b\. Current leaves a, passes D1, splits between C1 \([\d.]+ m?A\) and the load "
        r"\([\d.]+ m?A\), returns through D4 to b\. D2 blocks ([\d.]+) V, D3 blocks ([\d.]+) V\."
    )
    found = re.fullmatch(pattern, text)
    assert found is not None, text
    winding, second, third = map(float, found.groups())
    # 9 V RMS of a sine at 85 degrees, and one drop of 0.7 V less across each diode that blocks.
    assert winding == pytest.approx(9 * 2**0.5 * 0.99619, abs=0.06)
    assert second == third == pytest.approx(winding - 0.7, abs=0.11)


def test_between_the_pulses_the_capacitor_feeds_the_load() -> None:
    text = caption_at(solve(read_text(BRIDGE)), 150.0)
    assert re.search(r"Current leaves C1 \([\d.]+ mA\), returns through the load to C1\.", text), text
    assert text.count("blocks") == 4


def test_electrons_take_the_same_way_backwards() -> None:
    study = solve(read_text(BRIDGE))
    text = caption_at(study, 85.0, "electron")
    assert re.search(
        r"Electrons leave b, pass D4, split between C1 \(.*\) and the load \(.*\), return through D1", text
    )
    assert set(way_at(study, 85.0).passed) == set(way_at(study, 85.0, "electron").passed)


def test_why_not_names_the_junction_and_the_voltage_that_holds_the_diode_off() -> None:
    sentences = why_not(solve(read_text(BRIDGE)), 85.0)
    assert len(sentences) == 2
    assert re.fullmatch(r"At the positive rail D2 doesn't conduct: b is [\d.]+ V below the rail\.", sentences[0])
    assert re.fullmatch(r"At the negative rail D3 doesn't conduct: a is [\d.]+ V above the rail\.", sentences[1])


def test_a_single_diode_is_told_without_a_junction() -> None:
    (sentence,) = why_not(example("half-wave"), 200.0)
    assert re.fullmatch(r"D1 doesn't conduct: a is [\d.]+ V below the positive rail\.", sentence)


def test_three_phases_are_told_by_the_highest_and_the_lowest() -> None:
    """The bridge connects the highest phase to the positive rail, the lowest to the negative one (common practice)."""
    text = caption_at(example("ferry-winch"), 83.0)
    assert text.startswith("Phase 1 is highest, phase 2 lowest")
    assert "Current leaves phase 1, passes D1, passes the load, returns through D6 to phase 2." in text


def test_the_text_equivalent_of_a_path_holds_the_caption() -> None:
    study = solve(read_text(BRIDGE))
    assert caption_at(study, 85.0) in draw(study, "path", degrees=85.0).description


def test_a_wrong_convention_is_refused() -> None:
    with pytest.raises(ValueError, match='convention "positive" is not known. Allowed: conventional, electron.'):
        caption_at(solve(read_text(BRIDGE)), 85.0, "positive")  # type: ignore[arg-type]


# ---------------------------------------------------------------- any supply

SMALL = st.sampled_from([1e-4, 4.7e-4, 2.2e-3])
sections = st.one_of(
    st.builds(FilterSection, kind=st.just("capacitor"), value=SMALL, esr=st.just(0.05)),
    st.builds(FilterSection, kind=st.just("resistor"), value=st.sampled_from([1.0, 10.0])),
    st.builds(FilterSection, kind=st.just("choke"), value=st.sampled_from([0.01, 0.1]), resistance=st.just(0.5)),
    st.builds(FilterSection, kind=st.just("bleeder"), value=st.sampled_from([470.0, 2200.0])),
)
loads = st.one_of(
    st.builds(Load, kind=st.just("resistance"), value=st.sampled_from([33.0, 150.0, 1000.0])),
    st.builds(Load, kind=st.just("current"), value=st.sampled_from([0.02, 0.2])),
    st.builds(Load, kind=st.just("battery"), value=st.sampled_from([6.0, 12.0]), battery_resistance=st.just(0.5)),
)
CIRCUITS = (
    "half-wave", "centre-tap", "bridge", "dual-rail", "dual-half-wave", "full-wave-doubler", "half-wave-doubler",
    "multiplier", "three-phase-half-wave", "three-phase-bridge",
)  # fmt: skip


@st.composite
def solvable(draw: st.DrawFn) -> Supply:
    """A supply of any circuit with resistance in its winding, up to three filter sections, perhaps a regulator."""
    circuit = draw(st.sampled_from(CIRCUITS))
    words: dict[str, object] = {
        "filters": tuple(draw(st.lists(sections, max_size=3))),
        "loads": Loads(single=draw(loads)),
    }
    if circuit.startswith("three-phase"):
        return three_phase(circuit, draw(st.sampled_from([None, "star-star", "delta-star"])), **words)
    words["rectifier"] = Rectifier(
        circuit=circuit,
        stages=draw(st.integers(1, 2)) if circuit == "multiplier" else 1,
        pump_capacitor=Capacitor(capacitance=2.2e-4, esr=0.1),
        stage_capacitor=Capacitor(capacitance=4.7e-4, esr=0.1),
    )
    words["transformer"] = Transformer(
        secondary_voltage=draw(st.sampled_from([9.0, 15.0])),
        secondary="centre-tapped" if circuit in ("centre-tap", "dual-rail") else "single",
        secondary_resistance=draw(st.sampled_from([0.3, 2.0])),
        primary_resistance=20.0,
    )
    if circuit in ("half-wave", "centre-tap", "bridge") and draw(st.booleans()):
        words["regulator"] = Regulator(kind="series", output=5.0, dropout=2.0)
    return supply(circuit, **words)


def significant(study: Study, degrees: float) -> tuple[dict[str, float], float]:
    """Currents of the parts and loads as the solution has them, and the largest of all, the winding's included. [A]"""
    currents = study.currents_at(degrees)
    windings = [abs(v) for name, v in currents.items() if name.startswith("secondary")]
    named = {p.designator for p in parts(study.supply) if p.kind not in ("transformer", "fuse", "regulator")}
    if not study.supply.elements:  # there "load" is the output pair, and the parts across it have their own names
        named |= {name for name in currents if name.startswith("load")}
    mine = {name: value for name, value in currents.items() if name in named}
    for name in ("U1", "U2"):
        if f"{name}.output" in currents:
            mine[name] = currents[f"{name}.output"]
    return mine, max([*windings, *map(abs, mine.values())], default=0.0)


def assert_tells_the_truth(study: Study, degrees: float) -> None:
    way = way_at(study, degrees)
    currents, largest = significant(study, degrees)
    slack = 0.002 * largest
    worth_telling = max(LEAST_SHARE * largest + slack, 1e-9)  # [A] less is rounding
    if largest < 1e-9:
        assert way.sentences == ("No current flows.",)
        return
    # A part is told if it carries a current worth telling, and never twice.
    told = set(way.passed)
    assert len(told) == len(way.passed)
    # What gives back is told as where the current comes from: C1 by its name, a battery as "the load".
    text = " ".join(way.sentences)
    feeds = {name for name in currents if name in text or (name.startswith("load") and "load" in text)} - told
    for name, value in currents.items():
        if abs(value) > worth_telling and name.startswith(("D", "R", "U")):
            assert name in told, f"{name} carries {value} A and isn't told: {way.sentences}"
        if abs(value) > worth_telling and name.startswith(("C", "L", "load")):
            assert name in told | feeds, f"{name} carries {value} A and isn't told: {way.sentences}"
        if abs(value) < LEAST_SHARE * largest - slack:
            assert name not in told, f"{name} carries {value} A and is told: {way.sentences}"
    # Kirchhoff's current law at every division, with the currents of the solution; branches left out are small.
    for split in way.splits:
        for name, current in split.shares:
            if name in currents:
                assert current == pytest.approx(abs(currents[name]), rel=1e-9)
        missing = split.entering - sum(current for _, current in split.shares)
        assert abs(missing) <= 6 * LEAST_SHARE * largest + slack, f"{split} misses {missing} A"
    # What the words say each diode blocks is what the solution has across it.
    voltages = study.voltages_at(degrees)
    for name, words in re.findall(r"(D\d+) blocks ([\d.]+ \S+)", caption_at(study, degrees)):
        assert words.rstrip(".,") == format_quantity(-voltages[name], "V", digits=3)
        assert name not in told


def assert_the_path_agrees(study: Study, degrees: float) -> None:
    """The ribbon on the drawing and the words name the same diodes, the ribbon in the direction of the current."""
    drawing = schematic(study.supply)
    currents = study.currents_at(degrees)
    path = conduction_path(drawing, currents)
    flows = {flow.part: flow for flow in path.flows if flow.part is not None and flow.part in drawing.parts}
    _, largest = significant(study, degrees)
    if largest < 1e-9:
        assert not [name for name in flows if name.startswith(("D", "load"))]
        return
    for name in (name for name in drawing.parts if re.fullmatch(r"D\d+", name)):
        value = currents[name]
        if value > max(LEAST_SHARE, SMALLEST_SHARE) * 1.5 * largest:
            assert name in flows
            assert name in way_at(study, degrees).passed
            assert flows[name].line == (drawing.parts[name].start, drawing.parts[name].end)
            assert flows[name].current == pytest.approx(value)


def assert_agree(made: Supply, instants: list[float]) -> None:
    try:
        study = solve(made, proved=False)
    except (NoProvableAnswer, NotSolvedYet):
        assume(False)
        return
    conducting = [(i.start + i.end) / 2 for i in study.conduction if i.on][:2]
    for degrees in (*instants, *conducting):
        assert_tells_the_truth(study, degrees)
        assert_the_path_agrees(study, degrees)


three_instants = st.lists(st.floats(0.0, 359.9), min_size=3, max_size=3)
unhurried = [HealthCheck.too_slow, HealthCheck.filter_too_much]


@settings(max_examples=20, deadline=None, suppress_health_check=unhurried)
@given(made=solvable(), instants=three_instants)
def test_words_and_ribbon_agree_with_the_solution_of_any_supply(made: Supply, instants: list[float]) -> None:
    assert_agree(made, instants)


@pytest.mark.long
@settings(max_examples=200, deadline=None, suppress_health_check=unhurried)
@given(made=solvable(), instants=three_instants)
def test_words_and_ribbon_agree_with_the_solution_of_two_hundred_supplies(made: Supply, instants: list[float]) -> None:
    assert_agree(made, instants)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_is_told_truly_all_round_the_period(path: Path) -> None:
    study = solve(read_sheet(path))
    for degrees in range(5, 360, 25):
        assert_tells_the_truth(study, float(degrees))


@pytest.mark.parametrize("name", ["isolated by a core", "bridge of elements", "clamper", "pi filter"])
def test_networks_of_elements_are_told_with_their_own_names(name: str) -> None:
    study = solve(OWN_NETWORKS[name])
    for degrees in (60.0, 85.0, 150.0, 265.0):
        way = way_at(study, degrees)
        currents = study.currents_at(degrees)
        for split in way.splits:
            for designator, current in split.shares:
                if designator in currents:
                    assert current == pytest.approx(abs(currents[designator]), rel=1e-9)
    assert caption_at(study, 85.0).startswith("Node ")
