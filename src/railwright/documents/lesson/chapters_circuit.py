"""The stages of a lesson that show the circuit at work: outlet, circuit, half-cycles, load, capacitor."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from railwright.documents.lesson.markup import (
    amount,
    cell,
    escape,
    live,
    named,
    nearest,
    now,
    opened,
    paragraph,
    picture,
    stated,
    table,
)
from railwright.documents.lesson.markup import slider as slider_of
from railwright.documents.lesson.material import Material
from railwright.documents.lesson.neighbours import COARSE, sampled
from railwright.figures import draw
from railwright.figures.board import shown_intervals
from railwright.figures.caption import describe_conduction, describe_schematic
from railwright.figures.scene import Group, Item, Scene, Tag, bounds, translate
from railwright.quantities import format_quantity
from railwright.supply import parts

#: Air around a circuit. [px]
_AIR = 18.0
#: Diodes whose curves one row can tell apart by their dashes.
_MOST_DIODES = 3
_KINDS = {"diode": "diode", "capacitor": "capacitor", "resistor": "resistor", "choke": "choke", "fuse": "fuse",
          "regulator": "regulator", "zener": "zener", "transformer": "transformer", "bleeder": "bleeder"}  # fmt: skip
_UNITS = {"capacitor": "F", "resistor": "ohm", "bleeder": "ohm", "choke": "H", "fuse": "A", "regulator": "V",
          "zener": "V"}  # fmt: skip


# ---------------------------------------------------------------- from outlet to rail


def outlet(material: Material) -> str:
    """From outlet to rail: one picture, one slider, one number."""
    study, course = material.study, material.course
    load = f"{material.load}.voltage.mean"
    mains = study.supply.mains
    source = {"outlet": "the outlet", "adapter": "an adapter", "generator": "a generator"}[mains.source]
    rate = f", {stated(mains.frequency, 'Hz', course)}" if mains.frequency else ""
    lead = course.say(f"{stated(mains.voltage, 'V', course)}{rate} comes from {source}; DC arrives at the load.")
    axis = material.axis("load") or material.axis("capacitor")
    pieces = [
        paragraph(lead, "lead"),
        f'<p class="big">{live(load, material.value(load), course)}</p>',
        paragraph(course.say("mean voltage across the load"), "big-label"),
    ]
    if axis is not None:
        pieces.append(slider_of(axis, course, "slider-outlet"))
    caption = "What each stage makes of the wave, at the values of the sheet."
    pieces.append(picture(draw(study, "stages"), "stages", caption=course.say(caption)))
    return "".join(pieces)


# ---------------------------------------------------------------- the circuit


def circuit(material: Material) -> str:
    """The circuit: its parts, and what they are."""
    study, course = material.study, material.course
    drawing = material.moments.drawing
    pieces = [paragraph(study.supply.note.strip(), "own-note")]
    if drawing is not None:
        scene = replace(_cropped(drawing.scene, ()), title="The circuit", description=describe_schematic(study))
        pieces.append(picture(scene, "circuit", kind="circuit"))
    else:
        pieces.append(paragraph(describe_schematic(study)))
    rows = []
    for part in parts(study.supply):
        unit = _UNITS.get(str(part.kind))
        shown = "" if part.value is None or unit is None else stated(part.value, unit, course)
        fitted = "" if part.fitted else ", not fitted"
        kind = course.say(_KINDS.get(str(part.kind), str(part.kind)))
        rows.append((part.designator, cell(escape(f"{kind}{fitted}")), cell(escape(shown))))
    pieces.append(opened("The parts", table(("part", "kind", "value"), rows, "The parts")))
    return "".join(pieces)


def _cropped(scene: Scene, over: tuple[Item, ...]) -> Scene:
    """The circuit without the title that the page has already, its frame drawn close around it."""
    items = tuple(item for item in (*scene.items, *over) if "title" not in item.tag.classes)
    box = bounds(Group(items=items))
    if box is None:
        return scene
    box = box.grown(_AIR)
    return replace(
        scene, width=box.width, height=box.height,
        items=tuple(translate(item, -box.left, -box.top) for item in items),
    )  # fmt: skip


# ---------------------------------------------------------------- one half-cycle, then the other


def half_cycles(material: Material) -> str:
    """One half-cycle, then the other: ribbon, waveforms and live values on one slider of time."""
    study, course = material.study, material.course
    flow = "conventional current" if course.current_direction == "conventional" else "electron flow"
    legend = (
        f"The amber ribbon is the way of the {flow}, the broader the larger; the numbers give the order in which it "
        "meets the parts. A hatched diode blocks."
    )
    ribbon = ""
    if material.moments.drawing is not None:
        ribbon = picture(_with_moments(material), "moments", kind="circuit moving", told=False)
    material.plots["board"] = {"title": course.say("Waveforms over one period"), "rows": list(board_rows(material))}
    whole = 360 * study.network.mains_periods
    start = _start(material)
    time = (
        '<div class="time-bar"><div class="time-tools"><button type="button" data-play>Play</button>'
        f"{_speed('speed')}"
        f'<span class="moment-words" data-moment-time>{start:.0f}°</span></div>'
        f'<input type="range" data-time min="0" max="{whole}" step="1" value="{start:.0f}" '
        f'aria-label="Time in the period" aria-valuetext="{start:.0f}°"></div>'
    )
    caption = f'<p class="caption" data-caption>{escape(_first_caption(material))}</p>'
    numbers = '<dl class="nows">' + "".join(now(*entry) for entry in now_values(material)) + "</dl>"
    why = opened("Why the other diodes don't conduct", "<ul data-why-not></ul>") if _has_diodes(study) else ""
    told = "".join(f"<li>{escape(course.say(sentence))}</li>" for sentence in describe_conduction(study))
    plot = (
        '<div class="plot" id="plot-board" data-plot="board"></div>'
        + opened("These waveforms in words", '<p id="plot-board-words"></p>')
    )
    scene_words = _with_moments(material).description if material.moments.drawing is not None else ""
    why += opened("The circuit in words", paragraph(scene_words)) if scene_words else ""
    paper = "".join(
        picture(scene, f"paper{place}", kind="circuit") for place, scene in enumerate(_paper_paths(material))
    )
    return (
        f'{time}<div class="board"><div>{ribbon}{caption}{numbers}</div><div>{plot}</div></div>'
        f'{nearest()}{paragraph(course.say(legend), "legend-words")}{why}'
        f"{opened('Who conducts when', f'<ol>{told}</ol>')}"
        f'<div class="on-paper">{paper}</div>'
    )


def _speed(name: str) -> str:
    choices = "".join(
        f'<option value="{seconds}"{" selected" if seconds == 10 else ""}>{seconds} s a period</option>'
        for seconds in (40, 20, 10, 5)
    )
    return f'<label for="{name}">Speed <select id="{name}" data-speed>{choices}</select></label>'


def _has_diodes(study: Any) -> bool:
    return any(interval.blocking for interval in study.conduction)


def _start(material: Material) -> float:
    """The middle of the first stretch in which something conducts. [deg]"""
    shown = shown_intervals(material.study)
    conducting = [interval for interval in shown if interval.on] or list(shown)
    return (conducting[0].start + conducting[0].end) / 2 if conducting else 90.0


def start_degrees(material: Material) -> int:
    """Where time stands at first. [deg]"""
    return round(_start(material))


def _first_way(material: Material) -> int:
    """The way that is taken where time stands at first."""
    runs = material.moments.fine
    count = material.hood.fine.values.shape[1]
    sample = _start(material) / (360.0 * material.study.network.mains_periods) * (count - 1)
    return [way for first, way in runs if first <= sample][-1]


def _first_caption(material: Material) -> str:
    from railwright.figures import caption_at

    words = caption_at(material.study, _start(material), material.course.current_direction)
    return material.course.say(words)


def _with_moments(material: Material) -> Scene:
    """The circuit with the ribbons of all ways; a class says which of them shows."""
    found = material.moments
    assert found.drawing is not None
    shown = _first_way(material)
    under, over = [], []
    for number, way in enumerate(found.ways):
        if way.path is None:
            continue
        tag = Tag(classes=("moment", "now") if number == shown else ("moment",), data={"moment": str(number)})
        under.append(Group(items=way.path.under, tag=tag))
        over.append(Group(items=way.path.over, tag=tag))
    scene = found.drawing.scene
    scene = replace(scene, items=(*under, *scene.items))
    way = found.ways[shown]
    sentence = way.path.sentence if way.path is not None else ""
    return replace(
        _cropped(scene, tuple(over)), title="The way of the current",
        description=f"{describe_schematic(material.study)} At {way.degrees:.0f}°: {sentence}",
    )  # fmt: skip


def _paper_paths(material: Material) -> Iterator[Scene]:
    """For paper, where nothing moves: the path of each half-cycle."""
    if material.moments.drawing is None:
        return
    course = material.course
    for interval in shown_intervals(material.study):
        degrees = (interval.start + interval.end) / 2
        scene = draw(
            material.study, "path", degrees=degrees, standard=course.drawing, convention=course.current_direction
        )
        yield replace(scene, title=f"The way of the current at {degrees:.0f}°")


def now_values(material: Material) -> Iterator[tuple[str, str, str]]:
    """The live values beside the time: waveform, label, kind."""
    waves = material.hood.waves
    wanted = [
        ("secondary.voltage", "source voltage", "s"), ("secondary_a.voltage", "half a, voltage", "s"),
        ("C1.voltage", "C1 voltage", "v"), ("load.voltage", "load voltage", "v"),
        ("load_positive.voltage", "positive rail", "v"), ("load_negative.voltage", "negative rail", "v"),
        ("D1.current", "D1 current", "a"), ("D2.current", "D2 current", "a"), ("C1.current", "into C1", "a"),
        ("L1.current", "L1 current", "a"), ("load.current", "load current", "a"),
        ("load_positive.current", "positive load", "a"),
    ]  # fmt: skip
    for name, label, kind in wanted:
        if name in waves and not (name == "C1.voltage" and material.reservoir != "C1"):
            yield name, material.course.say(label), kind


def board_rows(material: Material) -> Iterator[dict[str, Any]]:
    """Voltages above, currents below."""
    waves, course = material.hood.waves, material.course
    voltages = []
    for name, label, look in (
        ("secondary.voltage", "source", "source"), ("secondary_a.voltage", "source, half a", "source"),
        ("secondary_b.voltage", "source, half b", "source second"), ("secondary_1.voltage", "phase 1", "source"),
        ("secondary_2.voltage", "phase 2", "source second"), ("secondary_3.voltage", "phase 3", "source third"),
        ("C1.voltage", "C1", "store"),
        ("load.voltage", "load", "load"), ("load_positive.voltage", "positive rail", "load"),
        ("load_negative.voltage", "negative rail", "load second"),
    ):  # fmt: skip
        if name in waves and not (name == "C1.voltage" and material.reservoir != "C1"):
            voltages.append({"wave": name, "label": course.say(label), "look": look})
    yield {"title": "Voltage", "unit": "V", "curves": voltages}
    currents = []
    for names, look in zip(_diodes(material), ("current", "current second", "current third"), strict=False):
        label = ", ".join(name.removesuffix(".current") for name in names)
        currents.append({"wave": names[0], "label": label, "look": look})
    for name, label, look in (
        ("L1.current", "L1", "store"), ("load.current", "load", "load"),
        ("load_positive.current", "positive load", "load"),
    ):  # fmt: skip
        if name in waves:
            currents.append({"wave": name, "label": course.say(label), "look": look})
    yield {"title": "Current", "unit": "A", "curves": currents}


def _diodes(material: Material) -> list[list[str]]:
    """Currents of the diodes, those that carry the same together: D1 and D4 of a bridge are one curve."""
    hood = material.hood
    found: list[list[str]] = []
    for name in hood.waves:
        if name[0] != "D" or not name.endswith(".current"):
            continue
        values = hood.fine.values[hood.waves.index(name)]
        size = float(np.abs(values).max())
        for names in found:
            other = hood.fine.values[hood.waves.index(names[0])]
            if np.allclose(values, other, rtol=0.0, atol=1e-3 * size):
                names.append(name)
                break
        else:
            found.append([name])
    return found[:_MOST_DIODES]


# ---------------------------------------------------------------- what the load sees


def load(material: Material) -> str:
    """What the load sees: with the capacitor, and without it."""
    course, at = material.course, material.load
    mean, ripple = f"{at}.voltage.mean", f"{at}.voltage.ripple_peak_to_peak"
    curves: list[dict[str, Any]] = []
    bare = material.bare
    wave = f"{at}.voltage"
    who = "The positive rail" if material.study.supply.is_dual else "The load"
    text = f"{escape(who)} gets {live(mean, material.value(mean), course)} on average"
    if material.has(ripple):
        shown = live(ripple, material.value(ripple), course)
        text += f", with {shown} of ripple, peak to peak"
    without = ""
    if bare is not None and wave in bare.quantities:
        values = sampled(bare, (wave,), COARSE).values[0]
        label = course.say("without the capacitor")
        curves.append({"values": [float(f"{v:.5g}") for v in values], "label": label, "look": "before"})
        without = (
            "Without the capacitor, and with the sheet's load, it would be "
            f"{amount(bare.readings.computed(mean), 'V', course)}, and the ripple "
            f"{amount(bare.readings.computed(ripple), 'V', course)}."
        )
    reservoir = material.reservoir
    if not reservoir.startswith("load"):
        curves.append({"wave": f"{reservoir}.voltage", "label": reservoir, "look": "store"})
    curves.append({"wave": wave, "label": course.say("the load"), "look": "load"})
    material.plots["load"] = {
        "title": course.say("Voltage across the load"),
        "rows": [{"title": course.say("Voltage across the load"), "unit": "V", "curves": curves}],
    }
    least = material.value(ripple)
    if least is not None and least > 1e-6 * abs(material.value(mean) or 1.0):
        material.plots["load"]["rows"].append(
            {
                "title": course.say("The ripple, magnified"), "unit": "V", "fromZero": False,
                "curves": [{"wave": wave, "label": course.say("the load"), "look": "load"}],
            }
        )  # fmt: skip
    readings = [mean, ripple, f"{at}.voltage.valley", f"{at}.voltage.peak", f"{at}.current.mean"]
    plot = (
        '<div class="plot" id="plot-load" data-plot="load"></div>'
        + opened("These waveforms in words", '<p id="plot-load-words"></p>')
    )
    return (
        f'<p class="lead">{text}. {escape(course.say(without))}</p>'
        + f'<div class="pair"><div>{plot}</div><div>'
        + _sliders(material, "load", ("load",))
        + readings_table(material, readings, "What the load sees")
        + f"{nearest()}</div></div>"
    )


def _sliders(material: Material, name: str, wanted: tuple[str, ...]) -> str:
    axes = [axis for part in wanted if (axis := material.axis(part)) is not None]
    return "".join(slider_of(axis, material.course, f"slider-{name}-{axis.part}") for axis in axes)


def readings_table(material: Material, readings: list[str], label: str) -> str:
    """Readings that follow the sliders, as a table."""
    rows = []
    for reading in readings:
        value = material.value(reading)
        if value is not None:
            shown = live(reading, value, material.course, "computed")
            rows.append((named(reading, material.course), cell(shown)))
    return table(("reading", "computed"), rows, material.course.say(label))


# ---------------------------------------------------------------- the capacitor


def capacitor(material: Material) -> str:
    """The capacitor: larger or smaller, and what that does to ripple, pulse and angle."""
    course, at = material.course, material.reservoir
    axis = material.axis("capacitor")
    if axis is None:
        return paragraph(
            course.say("This circuit has no capacitor behind its rectifier: the load gets the rectified wave itself.")
        )
    ripple, peak = f"{at}.voltage.ripple_peak_to_peak", "D1.current.peak"
    text = _what_it_does(material)
    for name, reading in (("ripple", ripple), ("peak", peak)):
        if material.is_live(reading):
            title = named(reading, course)
            material.charts[name] = {"reading": reading, "key": axis.key, "title": title}
    drawn = "".join(f'<div class="chart" data-chart="{name}"></div>' for name in ("ripple", "peak")
                    if name in material.charts)  # fmt: skip
    readings = [
        f"{at}.voltage.mean", ripple, "D1.conduction.angle", "D1.conduction.start", "D1.conduction.end", peak,
        "C1.current.rms", "secondary.current.rms", "secondary_a.current.rms",
    ]  # fmt: skip
    reset = '<button type="button" class="no-paper" data-reset>Back to the sheet&#39;s values</button>'
    return (
        paragraph(course.say(text), "lead")
        + f'<div class="sliders">{_sliders(material, "capacitor", ("capacitor", "load"))}</div>'
        + f'<div class="charts">{drawn}</div>'
        + readings_table(material, readings, "What the capacitor changes")
        + nearest()
        + reset
        + opened(
            course.say("How these numbers were made"),
            paragraph(course.say(_how(material))),
        )
    )


def _what_it_does(material: Material) -> str:
    """What a larger capacitor changes, by the circuit that it stands in and by what the neighbours say."""
    filters = material.study.supply.filters
    if filters and filters[0].kind == "choke":
        return (
            "The choke keeps the current flowing and bears the difference between the rectified wave and the output. "
            "The capacitor takes up what is left: a larger one leaves less ripple, and changes the mean hardly at all."
        )
    text = (
        "Between two pulses the capacitor feeds the load alone. A larger one falls less in that time, so the ripple "
        "is smaller."
    )
    axis, peaks = material.axis("capacitor"), material.hood.tables.get("D1.current.peak")
    if axis is None or peaks is None:
        return text
    column = peaks[:, peaks.shape[1] // 2]
    small, large = float(column[0]), float(column[-1])
    course = material.course
    if not np.isfinite(small + large) or large <= small:
        return text
    return (
        f"{text} The same charge then comes in a shorter pulse: from {stated(axis.values[0], axis.unit, course)} to "
        f"{stated(axis.values[-1], axis.unit, course)} the peak through D1 goes from {amount(small, 'A', course)} to "
        f"{amount(large, 'A', course)}."
    )


def _how(material: Material) -> str:
    course = material.course
    axes = material.hood.axes
    spans = " and ".join(
        f"{axis.label.lower()} from {format_quantity(axis.values[0], axis.unit, digits=3, decimal=course.decimal)} to "
        f"{format_quantity(axis.values[-1], axis.unit, digits=3, decimal=course.decimal)}"
        for axis in axes
    )
    count = sum(study is not None for study in material.hood.studies)
    return (
        f"The circuit was solved {count} times in advance, for {spans}, at the model {material.study.model}. Between "
        "these values a reading is drawn by a cubic on logarithmic scales, within 0.5 % of a mean, 2 % of ripple and "
        "peak current, 0.5° of an angle. Where the circuit changes its way of working (a regulator drops out) no curve "
        "can be that sure: the reading then carries the sign ≈."
    )


