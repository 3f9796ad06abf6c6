"""The board and the one door to all figures."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from itertools import combinations

import pytest

from railwright.figures import KINDS, draw
from railwright.figures.board import CAUTION, board, key_readings, shown_intervals
from railwright.figures.copier import BLACK
from railwright.figures.scene import PAPER, PAPER_COLOUR, Hatch, Text, bounds, leaves, render
from railwright.readings import HandValue
from railwright.study import read_text, solve

from .closed_form import ideal_study

STUDIES = {
    "bridge": {},
    "small ripple": {"capacitance": 10_000e-6},
    "no capacitor": {"capacitance": None},
    "half-wave at 60 Hz": {"circuit": "half-wave", "frequency": 60.0},
    "long title": {"title": "The tide-gauge logger of the outer mole, as rebuilt by the second workshop class " * 2},
}


def words(scene):
    return [leaf for item in scene.items for leaf in leaves(item) if isinstance(leaf, Text)]


def written(scene):
    return [text.text for text in words(scene)]


#: Circuits of the harbour, solved.
SHEETS = {
    "half-wave": """
        title = "Signal lamp"
        mains = {voltage = "120 V", frequency = "60 Hz"}
        transformer = {open_voltage = "24 V"}
        rectifier = {circuit = "half-wave"}
        filter = [{capacitor = "4700 uF"}]
        load = {resistance = "47 ohm"}
    """,
    "centre-tap out of the formula's range": """
        title = "Tide-gauge logger"
        mains = {voltage = "230 V", frequency = "50 Hz"}
        transformer = {open_voltage = "12 V", secondary = "centre-tapped"}
        rectifier = {circuit = "centre-tap"}
        filter = [{capacitor = "1000 uF"}]
        load = {resistance = "47 ohm"}
    """,
    "bridge with choke": """
        title = "Radio beacon's receiver"
        mains = {voltage = "230 V", frequency = "50 Hz"}
        transformer = {open_voltage = "18 V"}
        rectifier = {circuit = "bridge"}
        filter = [{choke = "100 mH", resistance = "1 ohm"}, {capacitor = "1000 uF"}]
        load = {resistance = "15 ohm"}
    """,
    "bridge without a reservoir": """
        title = "Signal lamp"
        mains = {voltage = "120 V", frequency = "60 Hz"}
        transformer = {open_voltage = "24 V"}
        rectifier = {circuit = "bridge"}
        load = {resistance = "47 ohm"}
    """,
}


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS.keys())
def test_no_two_words_collide_on_the_board_of_a_solved_supply(sheet):
    assert_words_keep_apart(board(solve(read_text(sheet))))


@pytest.mark.parametrize("arguments", STUDIES.values(), ids=STUDIES.keys())
@pytest.mark.parametrize("standard", ["iec", "ieee"])
def test_no_two_words_collide_and_none_leaves_the_board(arguments, standard):
    assert_words_keep_apart(board(ideal_study(**arguments), standard=standard))


def assert_words_keep_apart(scene):
    boxes = [(text.text, bounds(text)) for text in words(scene)]
    boxes = [(text, replace(b, top=b.top + 0.17 * b.height, bottom=b.bottom - 0.17 * b.height)) for text, b in boxes]
    assert [(one, two) for (one, a), (two, b) in combinations(boxes, 2) if a.overlaps(b)] == []
    assert [t for t, b in boxes if b.left < 0 or b.right > scene.width or b.top < 0 or b.bottom > scene.height] == []


def test_words_can_be_read_on_a_printed_sheet():
    """A4 is 297 mm wide (ISO 216), less margins of 7 mm; letters under 1.9 mm (5.5 points) aren't body text any more.

    The limit is common practice, no source.
    """
    scene = board(ideal_study())
    millimetres = min((297.0 - 14.0) / scene.width, (210.0 - 14.0) / scene.height)
    assert min(text.size for text in words(scene)) * millimetres > 1.9


@pytest.mark.parametrize(("source", "warned"), [("outlet", True), ("adapter", False), ("generator", False)])
def test_an_outlet_brings_the_caution(source, warned):
    assert (CAUTION in written(board(ideal_study(source=source)))) is warned


def test_the_table_states_what_the_study_knows():
    study = ideal_study()
    shown = written(board(study))
    ripple = study.readings["load.voltage.ripple_peak_to_peak"]
    hand = ripple.hand[0]
    row = shown.index("Load ripple, peak to peak")
    by_hand, computed, difference = shown[row + 1 : row + 4]
    assert float(by_hand.removesuffix(" V")) == pytest.approx(hand.value, abs=0.0006)
    assert float(computed.removesuffix(" V")) == pytest.approx(ripple.value, abs=0.0006)
    assert float(difference.removesuffix(" %")) == pytest.approx(100 * (hand.value / ripple.value - 1), abs=0.06)


def test_a_formula_out_of_its_range_is_marked():
    study = ideal_study()
    name = "load.voltage.ripple_peak_to_peak"
    hand = HandValue(formula="sawtooth", value=9.0, difference=4.0, valid=False)
    study.readings[name] = replace(study.readings[name], hand=(hand,))
    shown = written(board(study))
    assert shown[shown.index("9.000 V") : shown.index("9.000 V") + 4][-1] == "*"
    assert "* outside the formula's range" in shown


def test_the_board_says_why_hand_and_computed_differ():
    study = ideal_study()
    name = "load.voltage.ripple_peak_to_peak"
    study.readings[name] = replace(study.readings[name], why="The diodes conduct again after 81 % of the half period.")
    assert "The diodes conduct again after 81 % of the half period." in " ".join(written(board(study)))


def test_the_board_names_model_source_and_proof():
    text = " ".join(written(board(ideal_study())))
    assert "Model: ideal." in text
    assert "secondary 9 V" in text
    assert "hold to 10⁻¹²" in text


@pytest.mark.parametrize(
    ("convention", "phrase"), [("conventional", "conventional direction"), ("electron", "electron flow")]
)
def test_the_legend_states_the_convention(convention, phrase):
    assert phrase in " ".join(written(board(ideal_study(), convention=convention)))


def test_each_half_cycle_of_a_bridge_gets_its_picture():
    first, second = shown_intervals(ideal_study())
    assert first.on == ("D1", "D4")
    assert second.on == ("D2", "D3")
    shown = " ".join(written(board(ideal_study())))
    assert "D1 and D4 conduct" in shown
    assert "D2 and D3 conduct" in shown


def test_a_circuit_without_a_drawing_is_told_in_words():
    study = ideal_study()
    delta = replace(study.supply.transformer, connection="delta-delta")
    study.supply = replace(
        study.supply, rectifier=replace(study.supply.rectifier, circuit="three-phase-half-wave"), transformer=delta
    )
    scene = board(study)
    shown = " ".join(written(scene))
    assert "Who conducts when" in shown
    assert "D1 and D4 conduct, D2 and D3 block up to 12 V." in shown
    assert_words_keep_apart(scene)


def test_currents_that_the_drawing_cannot_carry_leave_the_circuit_without_a_ribbon():
    study = ideal_study()
    study.waves = {**study.waves, "C1.current": study.waves["C1.current"] + 1.0}
    shown = written(board(study))
    assert "D1 and D4 conduct" in " ".join(shown)
    assert "2200 µF" in shown


def test_a_single_diode_is_shown_conducting_and_blocking():
    first, second = shown_intervals(ideal_study(circuit="half-wave"))
    assert first.on == ("D1",)
    assert second.on == ()


def test_key_readings_are_readings_of_the_study_with_a_value():
    study = ideal_study()
    names = key_readings(study)
    assert names[:2] == ("load.voltage.mean", "load.voltage.ripple_peak_to_peak")
    study.readings["load.voltage.mean"] = replace(
        study.readings["load.voltage.mean"], value=None, reason="The load is open.", hand=()
    )
    assert "load.voltage.mean" not in key_readings(study)


TITLE = '<b>Tide & "gauge"</b>'
#: Kinds that need no more than waveforms and readings are drawn from the closed form, the others from a solved supply.
CLOSED = ("board", "schematic", "path", "waveforms", "stages", "scope-screen")


def study_for(kind, *, title="Tide-gauge logger"):
    if kind in CLOSED:
        return ideal_study(title=title)
    study = solve(read_text(SHEETS["half-wave"]))
    study.supply = replace(study.supply, title=title)
    return study


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_drawn_and_is_well_formed(kind):
    study = study_for(kind, title=TITLE)
    scene = draw(study, kind)
    root = ElementTree.fromstring(render(scene))
    assert scene.description
    assert len(list(root.iter())) > 20
    assert not list(root.iter("{http://www.w3.org/2000/svg}b"))
    # The chart of the formulas is about them, not about one supply: it carries no title of a sheet.
    assert any(TITLE in text for text in root.itertext()) or kind == "validity"
    assert render(draw(study, kind)) == render(scene)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_a_copier_form_in_black_and_white(kind):
    for item in draw(study_for(kind), kind, copier=True).items:
        for leaf in leaves(item):
            colours = [leaf.colour] if isinstance(leaf, Text) else []
            pen, fill = getattr(leaf, "pen", None), getattr(leaf, "fill", None)
            colours += [pen.colour] if pen is not None else []
            colours += [fill.colour if isinstance(fill, Hatch) else fill] if fill is not None else []
            assert set(colours) <= {BLACK, PAPER, PAPER_COLOUR}


def test_a_path_is_drawn_at_the_moment_asked_for():
    study = ideal_study()
    assert "D2 and D3 conduct" in draw(study, "path", degrees=260.0).description
    assert "D1 and D4 conduct" in draw(study, "path").description
    assert "no diode conducts" in draw(study, "path", degrees=180.0).description


def test_an_unknown_kind_is_refused_with_the_list():
    with pytest.raises(
        ValueError, match=re.escape('kind "poster". Allowed: board, schematic, path, waveforms, stages')
    ):
        draw(ideal_study(), "poster")


@pytest.mark.parametrize(
    ("key", "allowed"),
    [("standard", "iec, ieee"), ("form", "diamond, in-line"), ("convention", "conventional, electron")],
)
def test_an_unknown_choice_is_refused_with_the_list(key, allowed):
    with pytest.raises(ValueError, match=f'{key} "other" is not known. Allowed: {allowed}.'):
        draw(ideal_study(), "board", **{key: "other"})
