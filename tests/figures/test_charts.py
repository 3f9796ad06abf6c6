"""The plain charts: harmonics, models, diode curve, oscilloscope, stages, start-up, and a second study laid over."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache
from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from figures.drawn_supplies import EXAMPLES, OWN_NETWORKS
from railwright.figures import KINDS, draw
from railwright.figures.compared import difference_words
from railwright.figures.copier import BLACK
from railwright.figures.drawing import NotDrawn
from railwright.figures.export import pdf_bytes, png_bytes, svg_text
from railwright.figures.model_ladder import model_ladder, solved_models
from railwright.figures.scene import PAPER, PAPER_COLOUR, Hatch, Line, Rectangle, Scene, Text, bounds, leaves, render
from railwright.figures.scope_screen import channels, milliseconds_per_division, one_two_five, scope_screen
from railwright.figures.stages import stages_of
from railwright.figures.start_up import start_up
from railwright.figures.states import state_spans
from railwright.study import Study, read_sheet, read_text, solve

NAMES = [path.stem for path in EXAMPLES]
CHARTS = ("stages", "spectrum", "ladder", "diode-curve", "scope-screen", "waveforms")

PLAIN = """
title = "Signal lamp"
mains = {voltage = "120 V", frequency = "60 Hz"}
transformer = {open_voltage = "24 V"}
rectifier = {circuit = "bridge", diode = {drop = "0.8 V", resistance = "0.05 ohm"}}
load = {resistance = "47 ohm"}
"""


@cache
def example(name: str) -> Study:
    return solve(read_sheet(next(path for path in EXAMPLES if path.stem == name)))


@cache
def plain() -> Study:
    return solve(read_text(PLAIN))


def words(scene: Scene) -> list[Text]:
    return [leaf for item in scene.items for leaf in leaves(item) if isinstance(leaf, Text)]


def written(scene: Scene) -> str:
    return " ".join(text.text for text in words(scene))


def assert_words_keep_apart(scene: Scene) -> None:
    boxes = [(text.text, bounds(text)) for text in words(scene)]
    # Letters fill the middle of their box: accents and tails of neighbouring lines may share the rest.
    inner = [
        (text, replace(box, top=box.top + 0.17 * box.height, bottom=box.bottom - 0.17 * box.height))
        for text, box in boxes
        if box is not None
    ]
    assert [(one, two) for (one, a), (two, b) in combinations(inner, 2) if a.overlaps(b)] == []
    outside = [t for t, b in inner if b.left < 0 or b.right > scene.width or b.top < 0 or b.bottom > scene.height]
    assert outside == []


def assert_black_and_white(scene: Scene) -> None:
    for item in scene.items:
        for leaf in leaves(item):
            colours = [leaf.colour] if isinstance(leaf, Text) else []
            pen, fill = getattr(leaf, "pen", None), getattr(leaf, "fill", None)
            colours += [pen.colour] if pen is not None else []
            colours += [fill.colour if isinstance(fill, Hatch) else fill] if fill is not None else []
            assert set(colours) <= {BLACK, PAPER, PAPER_COLOUR}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("kind", CHARTS)
def test_every_chart_of_every_example_is_readable_described_and_copies(name: str, kind: str) -> None:
    if kind == "ladder":
        scene = model_ladder({model: example(name) for model in ("ideal", "textbook")})
    else:
        scene = draw(example(name), kind)
        assert_black_and_white(draw(example(name), kind, copier=True))
    assert_words_keep_apart(scene)
    assert scene.description
    ElementTree.fromstring(render(scene))
    assert render(scene) == render(scene)


@pytest.mark.parametrize("name", OWN_NETWORKS)
def test_networks_have_waveforms_stages_and_a_screen(name: str) -> None:
    study = solve(OWN_NETWORKS[name])
    for kind in ("waveforms", "stages", "scope-screen"):
        scene = draw(study, kind)
        assert_words_keep_apart(scene)
        assert scene.description


def test_each_file_format_takes_a_chart() -> None:
    scene = draw(plain(), "stages")
    assert svg_text(scene).startswith("<svg")
    assert png_bytes(scene, width=400).startswith(b"\x89PNG")
    assert pdf_bytes(scene).startswith(b"%PDF-")


@pytest.mark.parametrize(
    ("kind", "option"),
    [("board", {"blank": True}), ("path", {"quantities": ("load.voltage",)}), ("stages", {"compare": object()})],
)
def test_an_option_of_another_kind_is_refused_with_the_kinds_that_take_it(kind: str, option: dict[str, Any]) -> None:
    with pytest.raises(NotDrawn, match=f'kind "{kind}" takes no {next(iter(option))}. Kinds that do: '):
        draw(plain(), kind, **option)


# ---------------------------------------------------------------- harmonics


def test_the_bars_stand_in_the_ratio_of_the_harmonics() -> None:
    """An unfiltered ideal bridge's load voltage: orders 2, 4, 6 as 1/3, 1/15, 1/35 (Fourier series of |sin|)."""
    ideal = solve(read_text(PLAIN), model="ideal")
    scene = draw(ideal, "spectrum", quantities=("load.voltage",))
    bars = {
        int(leaf.tag.data["reading"].rpartition("_")[2]): leaf.box.height
        for item in scene.items
        for leaf in leaves(item)
        if isinstance(leaf, Rectangle) and "bar" in leaf.tag.classes
    }
    assert len(bars) == 40
    assert bars[2] / bars[4] == pytest.approx(5.0, rel=1e-3)
    assert bars[2] / bars[6] == pytest.approx(35.0 / 3.0, rel=1e-3)
    assert bars[1] == pytest.approx(0.0, abs=1e-6)
    # RMS of order 2: 4 Vp / (3 pi sqrt 2) = 4/(3 pi) of 24 V RMS = 10.19 V.
    assert "10.2 V" in written(scene)


def test_the_spectrum_names_a_place_that_it_doesnt_have_with_those_that_it_has() -> None:
    with pytest.raises(NotDrawn, match='no harmonics of "L7.current". It has: .*mains.current'):
        draw(plain(), "spectrum", quantities=("L7.current",))


def test_a_direct_source_has_no_harmonics() -> None:
    direct = solve(OWN_NETWORKS["bench source with an open switch"])
    with pytest.raises(NotDrawn, match="A direct source has no harmonics"):
        draw(direct, "spectrum")


# ---------------------------------------------------------------- models


def test_the_models_are_told_side_by_side() -> None:
    """Without a filter the ideal mean is 2/pi of the peak, 0.9 of 24 V RMS = 21.6 V; two drops lower it."""
    studies, reasons = solved_models(plain())
    assert reasons == {}
    scene = model_ladder(studies)
    means = re.search(
        r"Load voltage, mean: ideal ([\d.]+) V, textbook ([\d.]+) V, physical ([\d.]+) V", scene.description
    )
    assert means is not None
    ideal, textbook, physical = map(float, means.groups())
    assert ideal == pytest.approx(24 * 2 * math.sqrt(2) / math.pi, abs=0.01)
    assert textbook < ideal and physical < ideal
    assert_words_keep_apart(scene)
    dashes = {
        leaf.pen.dash for item in scene.items for leaf in leaves(item)
        if isinstance(leaf, Line) and "curve" in leaf.tag.classes
    }  # fmt: skip
    assert len(dashes) == 3


def test_a_model_without_an_answer_is_told_with_its_reason() -> None:
    scene = model_ladder({"textbook": plain()}, {"ideal": "Two ideal parts fight each other."})
    assert "At ideal there is no answer: Two ideal parts fight each other." in written(scene)
    with pytest.raises(NotDrawn, match="No model has an answer"):
        model_ladder({})


# ---------------------------------------------------------------- diode curve


def test_the_diode_curve_marks_the_peak_that_this_supply_uses() -> None:
    """By Ohm's and Kirchhoff's laws: (24 V sqrt 2 - 2 x 0.8 V) / (47 + 2 x 0.05) ohm, and 0.8 V + 0.05 ohm x i."""
    peak = (24 * math.sqrt(2) - 1.6) / (47 + 0.1)
    scene = draw(plain(), "diode-curve")
    found = re.search(r"peak ([\d.]+) mA: ([\d.]+) V", written(scene))
    assert found is not None
    assert float(found[1]) == pytest.approx(1e3 * peak, abs=0.6)
    assert float(found[2]) == pytest.approx(0.8 + 0.05 * peak, abs=0.001)
    assert "in reverse the diode blocks up to 33.1 V" in scene.description  # 33.94 V less one drop of 0.83 V


def test_a_supply_without_a_diode_has_no_curve() -> None:
    with pytest.raises(NotDrawn, match="no diode"):
        draw(solve(OWN_NETWORKS["bench source with an open switch"]), "diode-curve")


# ---------------------------------------------------------------- oscilloscope


@given(st.floats(1e-9, 1e9))
def test_a_setting_is_one_two_or_five_and_the_least_that_suffices(least: float) -> None:
    setting = one_two_five(least)
    mantissa = setting / 10.0 ** math.floor(math.log10(setting) + 1e-9)
    assert min(abs(mantissa - step) for step in (1.0, 2.0, 5.0, 10.0)) < 1e-6
    assert least * (1 - 1e-6) <= setting <= 2.5 * least * (1 + 1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_every_trace_stays_on_the_screen_and_fills_a_good_part_of_it(name: str) -> None:
    study = example(name)
    load = "load_positive" if study.supply.is_dual else "load"
    for channel in channels(study, (f"{load}.voltage", f"{load}.current")):
        ends = [
            channel.zero + float(value) / channel.per_division for value in (channel.values.min(), channel.values.max())
        ]
        assert -4.0 <= min(ends) and max(ends) <= 4.0
        assert max(map(abs, [end - channel.zero for end in ends])) >= 7.0 / 2.5 / 2
    assert 2.0 <= 10.0 * milliseconds_per_division(study) / (1e3 * study.period) <= 5.0


def test_an_alternating_voltage_stands_about_the_middle() -> None:
    (channel,) = channels(plain(), ("secondary.voltage",))
    assert channel.zero == 0.0
    assert channel.per_division == 10.0  # 67.9 V peak to peak on 7 divisions: 9.7 V, the next setting is 10 V


def test_a_blank_screen_keeps_its_settings_to_itself() -> None:
    full, blank = draw(plain(), "scope-screen"), draw(plain(), "scope-screen", blank=True)
    assert "5 V/div" in written(full)
    assert "5 V/div" not in written(blank)
    assert "V/div" in written(blank)
    assert not [
        leaf
        for item in blank.items
        for leaf in leaves(item)
        if "curve" in getattr(leaf, "tag", full.items[0].tag).classes
    ]
    assert "Blank screen" in blank.description


def test_two_voltages_bring_the_caution_about_earthed_clips() -> None:
    both = scope_screen(plain(), ("secondary.voltage", "load.voltage"))
    assert "joined to each other and to earth" in written(both)
    with pytest.raises(NotDrawn, match="2 channels; asked for are 3"):
        scope_screen(plain(), ("secondary.voltage", "load.voltage", "mains.voltage"))
    with pytest.raises(NotDrawn, match='no waveform "C9.voltage". It has: '):
        scope_screen(plain(), ("C9.voltage",))


# ---------------------------------------------------------------- stages


def test_the_stages_follow_the_power() -> None:
    names = [stage.name for stage in stages_of(example("tide-gauge"))]
    assert names == ["Outlet", "Transformer", "Rectifier", "Filter", "Regulator", "Load"]
    assert [stage.name for stage in stages_of(plain())] == ["Outlet", "Transformer", "Rectifier", "Load"]
    assert [stage.name for stage in stages_of(example("half-wave"))] == ["AC adapter", "Rectifier", "Filter", "Load"]


def test_the_students_stages_hold_no_value_and_no_waveform() -> None:
    study = example("tide-gauge")
    blank = draw(study, "stages", blank=True)
    assert_words_keep_apart(blank)
    for stage in stages_of(study):
        for reading, name in stage.readings:
            assert name in written(blank)
            value = study.readings[reading].value
            assert value is not None
    # Only what the sheet itself states and the zeros of the axes are numbers.
    numbers = re.findall(r"\d[\d.]*", written(blank).replace(study.title, ""))
    assert set(numbers) <= {"230", "50", "6", "7805", "250", "0"}
    assert "Stages to be filled in" in blank.description


# ---------------------------------------------------------------- start-up


class Begun:
    """A start in closed form: a capacitor that charges through a resistor, and a current that dies away."""

    times = np.linspace(0.0, 1.0, 20001)
    angle = 90.0

    def __init__(self, final: float) -> None:
        self.final = final

    def waveform(self, name: str) -> Any:
        if name == "load.voltage":
            return self.final * (1.0 - np.exp(-self.times / 0.05))
        if name == "mains.current":
            return 3.0 * np.exp(-self.times / 0.02) * np.cos(2 * np.pi * 60.0 * self.times)
        raise KeyError(name)


def test_the_start_is_drawn_with_its_peak_and_its_settling() -> None:
    """A time constant of 50 ms: within 1 % after ln 100 = 4.605 of them, 230 ms; means are over whole periods."""
    study = plain()
    mean = study.readings["load.voltage.mean"].value
    assert mean is not None
    scene = start_up(study, Begun(mean))
    assert_words_keep_apart(scene)
    assert "peak 3 A at 0 ms" in written(scene)
    found = re.search(r"within 1 % of it after ([\d.]+) ms", scene.description)
    assert found is not None
    assert float(found[1]) == pytest.approx(1e3 * 0.05 * math.log(100.0), abs=20.0)
    assert "Switched on 90° after the rising zero" in scene.description
    assert_black_and_white(start_up(study, Begun(mean), copier=True))


def test_a_start_that_knows_nothing_is_refused() -> None:
    class Empty:
        times = np.zeros(0)

        def waveform(self, name: str) -> Any:
            raise KeyError(name)

    with pytest.raises(NotDrawn, match='knows neither "load.voltage" nor "mains.current"'):
        start_up(plain(), Empty())


# ---------------------------------------------------------------- a second study


def test_a_second_study_is_laid_over_the_first_under_its_difference() -> None:
    study = example("half-wave")
    other = solve(study.supply.replace("filter.1.fitted", False))
    assert difference_words(study, other) == "without C1"
    scene = draw(study, "waveforms", compare=other)
    assert_words_keep_apart(scene)
    assert "without C1" in written(scene)
    # Without the capacitor the load falls to nothing; 12 V RMS less a drop at the crest (√2, definition).
    assert "without C1, load from 0 V to 16.3 V" in scene.description
    assert len(curves(scene)) > len(curves(draw(study, "waveforms")))


def curves(scene: Scene) -> list[Line]:
    return [
        leaf for item in scene.items for leaf in leaves(item)
        if isinstance(leaf, Line) and "curve" in leaf.tag.classes
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("load.resistance", "100 ohm", "with a load of 100 Ω"),
        ("filter.1.capacitor", "1000 uF", "with C1 of 1000 µF"),
        ("load.none", True, "without load"),
    ],
)
def test_the_difference_is_told_in_words(key: str, value: object, said: str) -> None:
    study = example("half-wave")
    assert difference_words(study, solve(study.supply.replace(key, value))) == said


def test_studies_of_different_periods_arent_laid_over_each_other() -> None:
    study = example("half-wave")
    with pytest.raises(NotDrawn, match="The second study has a period of 16.67 ms, the first of 20 ms"):
        draw(study, "waveforms", compare=solve(study.supply.replace("mains.frequency", "60 Hz")))


# ---------------------------------------------------------------- regulator states


def test_dropout_is_a_bar_of_its_own_above_the_waveforms() -> None:
    study = example("tide-gauge")
    assert state_spans(study) == {}
    poor = solve(study.supply.replace("filter.1.capacitor", "330 uF"))
    spans = state_spans(poor)["U1"]
    assert {span.words for span in spans} == {"dropout"}
    # The reading counts the same angle, from the solution's own intervals.
    angle = poor.readings["U1.dropout.angle"].value
    assert sum(span.end - span.start for span in spans) == pytest.approx(angle, abs=1e-6)
    scene = draw(poor, "waveforms")
    assert_words_keep_apart(scene)
    assert "dropout" in written(scene)
    assert [leaf for item in scene.items for leaf in leaves(item) if "state" in getattr(leaf, "tag").classes]  # noqa: B009


def test_a_direct_source_shows_time_but_no_angles() -> None:
    scene = draw(solve(OWN_NETWORKS["bench source with an open switch"]), "waveforms")
    assert "ms" in written(scene)
    assert "degrees" not in written(scene)


def test_the_kinds_are_those_of_the_contract() -> None:
    assert set(KINDS) == {
        "board", "schematic", "path", "waveforms", "stages", "spectrum", "start-up", "ladder", "validity",
        "diode-curve", "scope-screen",
    }  # fmt: skip
