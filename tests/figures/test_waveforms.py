"""The waveform figure: what it shows, that its words don't collide, that it can be copied and read aloud."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from railwright.figures.axes import Scale, round_step, tick_label, ticks_between
from railwright.figures.caption import describe_conduction, describe_interval, joined
from railwright.figures.copier import BLACK, black_and_white
from railwright.figures.rows import BY_HAND, CURRENT, LOAD, SECONDARY, rows_of, sawtooth
from railwright.figures.scene import PAPER, PAPER_COLOUR, Hatch, Line, Scene, Text, bounds, leaves, render
from railwright.figures.waveforms import simplified, waveforms
from railwright.readings import HandValue, Reading
from railwright.supply.model import FilterSection

from .closed_form import ideal_study

STUDIES = {
    "bridge": {},
    "small ripple": {"capacitance": 10_000e-6},
    "no capacitor": {"capacitance": None},
    "half-wave at 60 Hz": {"circuit": "half-wave", "frequency": 60.0},
    "milliamperes": {"resistance": 2200.0, "capacitance": 100e-6},
    "high voltage": {"emf": 230.0, "resistance": 10_000.0, "capacitance": 10e-6},
}


def texts(scene: Scene) -> list[Text]:
    return [leaf for item in scene.items for leaf in leaves(item) if isinstance(leaf, Text)]


def lines(scene: Scene) -> list[Line]:
    return [leaf for item in scene.items for leaf in leaves(item) if isinstance(leaf, Line)]


def curves(scene: Scene) -> list[Line]:
    return [line for line in lines(scene) if "curve" in line.tag.classes]


@pytest.mark.parametrize("arguments", STUDIES.values(), ids=STUDIES.keys())
@pytest.mark.parametrize("width", [700.0, 1000.0])
def test_no_two_words_collide_and_none_leaves_the_figure(arguments, width):
    scene = waveforms(ideal_study(**arguments), width=width)
    boxes = [(text.text, bounds(text)) for text in texts(scene)]
    # Letters fill the middle of their box: accents and tails of neighbouring lines may share the rest.
    boxes = [
        (text, replace(box, top=box.top + 0.17 * box.height, bottom=box.bottom - 0.17 * box.height))
        for text, box in boxes
    ]
    collisions = [(one, two) for (one, a), (two, b) in combinations(boxes, 2) if a.overlaps(b)]
    assert collisions == []
    assert [
        text
        for text, box in boxes
        if box.left < 0 or box.right > scene.width or box.top < 0 or box.bottom > scene.height
    ] == []


@pytest.mark.parametrize("arguments", STUDIES.values(), ids=STUDIES.keys())
def test_dimensions_and_notes_hide_no_curve(arguments):
    scene = waveforms(ideal_study(**arguments))
    words = [text for text in texts(scene) if re.match(r"ripple|peak |[12] diode", text.text)]
    assert words
    for text in words:
        box = bounds(text)
        middle = replace(box, top=box.top + 0.25 * box.height, bottom=box.bottom - 0.25 * box.height)
        for curve in curves(scene):
            for (x1, y1), (x2, y2) in zip(curve.points, curve.points[1:], strict=False):
                for share in np.linspace(0.0, 1.0, 12):
                    x, y = x1 + share * (x2 - x1), y1 + share * (y2 - y1)
                    assert not (middle.left < x < middle.right and middle.top < y < middle.bottom), text.text


def test_the_dimensions_state_the_values_of_the_closed_form():
    """Nine volts RMS is 12.73 V at the crest (√2, definition); two silicon drops of 0.7 V leave 11.33 V."""
    study = ideal_study()
    written = [text.text for text in texts(waveforms(study))]
    assert "2 diode drops: 1.4 V" in written
    load = study.waves["load.voltage"]
    assert load.max() == pytest.approx(9.0 * 2**0.5 - 1.4, rel=1e-6)
    ripple = float(load.max() - load.min())
    shown = next(written[index + 1] for index, word in enumerate(written) if word == "ripple")
    assert float(shown.removesuffix(" V")) == pytest.approx(ripple, abs=0.005)


def test_a_half_wave_rectifier_has_one_drop():
    assert "1 diode drop: 0.7 V" in [text.text for text in texts(waveforms(ideal_study(circuit="half-wave")))]


def test_conduction_intervals_are_named_by_their_diodes_with_their_angles():
    study = ideal_study()
    written = [text.text for text in texts(waveforms(study))]
    first, second = (interval for interval in study.conduction if interval.on)
    for names, interval in (("D1 D4", first), ("D2 D3", second)):
        assert names in written
        assert f"{interval.start:.1f}° to {interval.end:.1f}°" in written


def test_a_band_lies_exactly_under_its_interval():
    study = ideal_study()
    scene = waveforms(study)
    group = next(item for item in scene.items if "waveforms" in item.tag.classes)
    left, right = float(group.tag.data["left"]), float(group.tag.data["right"])
    bands = [leaf for leaf in leaves(group) if "band" in leaf.tag.classes]
    on = [interval for interval in study.conduction if interval.on]
    assert len(bands) == len(on)
    for band, interval in zip(bands, on, strict=True):
        assert (band.box.left - left) / (right - left) * 360.0 == pytest.approx(interval.start, abs=0.01)
        assert (band.box.right - left) / (right - left) * 360.0 == pytest.approx(interval.end, abs=0.01)


def test_a_curve_runs_where_its_values_say():
    """Read back from the paper: crest of the secondary at 90 degrees, √2 times its RMS value (definition)."""
    scene = waveforms(ideal_study(emf=10.0))
    group = next(item for item in scene.items if "waveforms" in item.tag.classes)
    left, right = float(group.tag.data["left"]), float(group.tag.data["right"])
    curve = next(line for line in curves(scene) if line.tag.data.get("reading") == "secondary.voltage")
    crest = min(curve.points, key=lambda point: point[1])
    assert (crest[0] - left) / (right - left) * 360.0 == pytest.approx(90.0, abs=1.5)
    ticks = {
        float(text.text.replace("−", "-")): text.at[1]
        for text in texts(scene)
        if re.fullmatch(r"[−\d.]+", text.text)
        and text.anchor == "end"
        and text.at[1] < max(y for _, y in curve.points) + 20
    }
    volts_per_pixel = (10.0 - 0.0) / (ticks[0.0] - ticks[10.0])
    assert (ticks[0.0] - crest[1]) * volts_per_pixel == pytest.approx(14.142, abs=0.1)


def test_time_is_written_in_milliseconds_and_in_degrees():
    written = [text.text for text in texts(waveforms(ideal_study(frequency=50.0)))]
    for label in ("0", "10", "20", "ms", "0°", "90°", "180°", "270°", "360°", "degrees"):
        assert label in written


def test_a_small_ripple_gets_a_row_of_its_own_that_states_its_scale():
    plain = waveforms(ideal_study())
    magnified = waveforms(ideal_study(capacitance=10_000e-6))
    assert not any("magnified" in text.text for text in texts(plain))
    heading = next(text.text for text in texts(magnified) if "magnified" in text.text)
    times = float(re.search(r"magnified ([\d.]+) times", heading).group(1))
    rows = {
        row.tag.data["row"]: row for item in magnified.items for row in _groups(item) if "curves" in row.tag.classes
    }
    heights = {}
    for key in ("voltage", "magnified"):
        load = next(line for line in rows[key].items if line.tag.data.get("reading") == "load.voltage")
        ys = [y for _, y in load.points]
        heights[key] = max(ys) - min(ys)
    assert heights["magnified"] / heights["voltage"] == pytest.approx(times, rel=0.06)


def _groups(item):
    if hasattr(item, "items"):
        yield item
        for inner in item.items:
            yield from _groups(inner)


def test_the_sawtooth_by_hand_is_dashed_purple_and_can_be_left_out():
    study = ideal_study()
    saw = [line for line in curves(waveforms(study)) if line.pen.colour == BY_HAND]
    assert len(saw) == 1
    assert saw[0].pen.dash
    assert not [line for line in curves(waveforms(study, hand=False)) if line.pen.colour == BY_HAND]
    assert not [line for line in curves(waveforms(ideal_study(capacitance=None))) if line.pen.colour == BY_HAND]


def test_no_sawtooth_is_drawn_over_a_choke_input():
    """The sawtooth assumes a reservoir behind the diodes; a ripple by hand of another filter has another shape."""
    study = ideal_study()
    sections = (FilterSection(kind="choke", value=0.1), *study.supply.filters)
    study.supply = replace(study.supply, filters=sections)
    assert not any("by hand" in curve.label for row in rows_of(study) for curve in row.curves)


@given(
    peak=st.floats(5, 400), share=st.floats(0.01, 0.9), at=st.floats(0, 360), pulses=st.sampled_from([1, 2, 3, 6]),
    periods=st.integers(1, 3),
)  # fmt: skip
def test_the_sawtooth_falls_by_its_ripple_once_a_recharge(peak, share, at, pulses, periods):
    ripple = share * peak
    degrees, values = sawtooth(peak=peak, ripple=ripple, peak_at=at, pulses=pulses, span=360.0 * periods)
    assert degrees[0] == pytest.approx(0.0)
    assert degrees[-1] == pytest.approx(360.0 * periods)
    assert (np.diff(degrees) >= -1e-9).all()
    assert values.max() <= peak * (1 + 1e-9)
    assert values.min() >= peak - ripple * (1 + 1e-9)
    # Mean of a sawtooth over whole periods: half its ripple below the peak.
    mean = np.trapezoid(values, degrees) / (360.0 * periods)
    assert mean == pytest.approx(peak - ripple / 2, rel=1e-6)


def test_lines_of_a_row_differ_in_dash_as_well_as_in_colour():
    for row in rows_of(ideal_study()):
        drawn = [(curve.dash, curve.width) for curve in row.curves if curve.label]
        assert len(set(drawn)) == len(drawn), row.key


def test_colours_are_those_of_the_published_set():
    """Okabe and Ito, Color Universal Design: blue, vermilion, bluish green, reddish purple."""
    assert (SECONDARY, LOAD, CURRENT, BY_HAND) == ("#0072B2", "#D55E00", "#009E73", "#CC79A7")
    used = {line.pen.colour for line in curves(waveforms(ideal_study()))}
    assert used == {SECONDARY, LOAD, CURRENT, BY_HAND}


def test_the_copier_form_is_pure_black_and_white():
    scene = waveforms(ideal_study(capacitance=10_000e-6), copier=True)
    for item in scene.items:
        for leaf in leaves(item):
            colours = [leaf.colour] if isinstance(leaf, Text) else []
            pen, fill = getattr(leaf, "pen", None), getattr(leaf, "fill", None)
            colours += [pen.colour] if pen is not None else []
            colours += [fill.colour if isinstance(fill, Hatch) else fill] if fill is not None else []
            assert set(colours) <= {BLACK, PAPER, PAPER_COLOUR}
            assert getattr(leaf, "fill_opacity", 1.0) == 1.0
    assert black_and_white(scene) == scene
    assert len(curves(scene)) == len(curves(waveforms(ideal_study(capacitance=10_000e-6))))
    assert set(re.findall(r"#[0-9a-fA-F]{6}", render(scene))) <= {"#000000", "#ffffff", "#1a1a1a"}


def test_currents_below_half_an_ampere_are_written_in_milliamperes():
    written = [text.text for text in texts(waveforms(ideal_study(capacitance=None, resistance=220.0)))]
    assert "mA" in written
    assert "A" not in written


def test_the_figure_says_in_words_what_it_shows():
    scene = waveforms(ideal_study())
    assert "2 diode drops: 1.4 V" in scene.description
    assert "D1 and D4 conduct, D2 and D3 block up to 12" in scene.description
    assert "<desc" in render(scene)


def test_an_interval_reads_as_a_sentence():
    first = next(interval for interval in ideal_study().conduction if interval.on)
    sentence = describe_interval(replace(first, start=61.2, end=95.0, blocking={"D2": 12.0, "D3": 12.0}))
    assert sentence == "61.2° to 95.0°: D1 and D4 conduct, D2 and D3 block up to 12 V."
    alone = replace(first, start=95.0, end=360.0, on=(), blocking={"D1": 24.5}, states={"U1": "dropout"})
    assert describe_interval(alone) == "95.0° to 360.0°: no diode conducts, D1 blocks up to 24.5 V, U1: dropout."
    assert len(describe_conduction(ideal_study())) == 5
    assert joined(("D1", "D4", "D5")) == "D1, D4 and D5"


def test_rows_can_be_chosen_and_a_wrong_one_is_refused_with_the_list():
    study = ideal_study()
    assert [row.key for row in rows_of(study, ["diodes", "load_current"])] == ["diodes", "load_current"]
    with pytest.raises(ValueError, match='called "currents". Allowed: secondary, voltage, magnified'):
        rows_of(study, ["currents"])


def test_a_figure_too_small_to_read_is_refused():
    with pytest.raises(ValueError, match="at least 480 x 240"):
        waveforms(ideal_study(), width=300.0)


def test_a_hand_value_of_the_reservoir_serves_the_load_across_it():
    study = ideal_study()
    ripple = study.readings["load.voltage.ripple_peak_to_peak"]
    study.readings["load.voltage.ripple_peak_to_peak"] = replace(ripple, hand=())
    assert any("by hand" in curve.label for row in rows_of(study) for curve in row.curves)
    study.readings["C1.voltage.ripple_peak_to_peak"] = Reading(
        id="C1.voltage.ripple_peak_to_peak", value=1.0, unit="V",
        hand=(HandValue(formula="f", value=0.0, difference=None, valid=True),),
    )  # fmt: skip
    assert not any("by hand" in curve.label for row in rows_of(study) for curve in row.curves)


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6), st.integers(2, 10))
def test_ticks_are_round_evenly_spaced_and_inside(low, span, count):
    high = low + span
    if not high > low:
        return
    ticks = ticks_between(low, high, count=count)
    step = round_step(high - low, count)
    assert len(ticks) <= count + 1
    slack = 1e-6 * step + 1e-9 * abs(low)
    assert all(low - slack <= tick <= high + slack for tick in ticks)
    mantissa = step / 10.0 ** np.floor(np.log10(step) + 1e-9)
    assert min(abs(mantissa - round_one) for round_one in (1, 2, 5, 10)) < 1e-6


@pytest.mark.parametrize(
    ("value", "step", "label"),
    [
        (-5.0, 5.0, "−5"),
        (0.0, 0.5, "0.0"),
        (-0.0, 1.0, "0"),
        (12.5, 0.5, "12.5"),
        (0.30000000000000004, 0.1, "0.3"),
        (2e6, 1e6, "2000000"),
    ],
)
def test_a_tick_shows_as_many_decimals_as_its_step_needs(value, step, label):
    assert tick_label(value, step) == label


def test_a_scale_needs_two_different_ends():
    assert Scale(low=0, high=10, start=100, end=0).at(5) == 50
    with pytest.raises(ValueError, match="two different finite ends"):
        Scale(low=1, high=1, start=0, end=10)


@settings(max_examples=50)
@given(st.lists(st.tuples(st.floats(0, 100), st.floats(0, 100)), min_size=2, max_size=60))
@example([(0.0, 0.0), (100.0, 0.0), (50.0, 0.0)])  # a line that turns back on itself
def test_a_simplified_line_stays_within_its_tolerance(points):
    kept = simplified(points, 0.5)
    assert kept[0] == points[0]
    assert kept[-1] == points[-1]
    for point in points:
        assert min(_distance(point, a, b) for a, b in zip(kept, kept[1:], strict=False)) <= 0.5 + 1e-6


def _distance(point, start, end):
    p, a, b = (np.array(place, dtype=float) for place in (point, start, end))
    length = float(((b - a) ** 2).sum())
    share = 0.0 if length == 0 else min(1.0, max(0.0, float((p - a) @ (b - a)) / length))
    return float(np.hypot(*(p - a - share * (b - a))))


def test_currents_that_are_all_zero_take_no_row():
    study = ideal_study()
    study.waves = {name: 0.0 * values if name.endswith("current") else values for name, values in study.waves.items()}
    assert [row.key for row in rows_of(study)] == ["secondary", "voltage"]
    assert [row.key for row in rows_of(study, ["diodes"])] == ["diodes"]
