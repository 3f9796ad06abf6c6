"""What a page shows of one solved supply, as plain data: for a server that answers what a lesson looks up."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from railwright.documents.lesson.chapters_circuit import board_rows, now_values, start_degrees
from railwright.documents.lesson.markup import named
from railwright.documents.lesson.material import Material
from railwright.documents.lesson.moments import Way, drawn, runs_of, way_at
from railwright.documents.lesson.neighbours import (
    COARSE,
    FINE,
    Neighbourhood,
    packed,
    readings_of,
    sampled,
    waves_of,
)
from railwright.documents.working_html import Maths, mathml
from railwright.documents.working_numbers import how_far
from railwright.figures.caption import describe_schematic
from railwright.figures.scene import Box, Group, Scene, Tag, bounds, render
from railwright.readings import unit_of

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.documents import Section
    from railwright.figures.drawing import Drawing
    from railwright.study import Study

#: Air around a circuit, enough for the words that a way lays beside it. [px]
AIR: Final = 26.0
#: Values this far below the largest of their unit are rounding, and zero.
NOTHING: Final = 1e-9
#: Lines of working that a first look gives.
LINES: Final = 4


def material_of(study: Study, course: Course, *, is_fine: bool) -> Material:
    """The material of one study alone: its neighbours stay unsolved. Its waveforms are fine or coarse."""
    material = Material(study=study, course=course, edition="student")
    waves = tuple(waves_of(study))
    hood = Neighbourhood(
        study=study, axes=(), shape=(1, 1), tables={}, waves=waves, studies=(study,), samples=(None,),
        fine=sampled(study, waves, FINE if is_fine else COARSE),
    )  # fmt: skip
    # A cached property keeps its value here; the lesson's own would solve the neighbours.
    material.__dict__["hood"] = hood
    return material


def readings(study: Study, course: Course) -> dict[str, Any]:
    """The computed values that follow a slider, each with its name in the course's words."""
    values = {name: study.readings.computed(name) for name in readings_of(study)}
    largest: dict[str, float] = {}
    for name, value in values.items():
        largest[unit_of(name)] = max(largest.get(unit_of(name), 0.0), abs(value or 0.0))
    found = {}
    for name, value in values.items():
        if value is not None and abs(value) < NOTHING * largest[unit_of(name)]:
            value = 0.0
        found[name] = {"value": value, "unit": unit_of(name), "interpolated": False, "name": named(name, course)}
    return found


# ---------------------------------------------------------------- waveforms and the ways of the current


@dataclass(frozen=True, kw_only=True)
class Circuit:
    """A drawn circuit that ways are laid on; its name tells it from every other."""

    drawing: Drawing | None
    description: str
    name: str
    svg: str
    frame: Box | None

    def to_json(self) -> dict[str, Any]:
        """As plain data."""
        return {
            "name": self.name, "svg": self.svg, "description": self.description,
            "frame": None if self.frame is None else _box(self.frame),
        }  # fmt: skip


def circuit(study: Study, course: Course) -> Circuit:
    """The circuit of a study, drawn."""
    drawing = drawn(study, course)
    description = describe_schematic(study)
    if drawing is None:
        name = hashlib.sha256(description.encode()).hexdigest()[:16]
        return Circuit(drawing=None, description=description, name=name, svg="", frame=None)
    items = tuple(item for item in drawing.scene.items if "title" not in item.tag.classes)
    frame = bounds(Group(items=items)) or Box(
        left=0.0, top=0.0, right=drawing.scene.width, bottom=drawing.scene.height
    )  # fmt: skip
    scene = Scene(
        width=drawing.scene.width, height=drawing.scene.height, title="The circuit", description=description,
        items=items,
    )  # fmt: skip
    svg = render(scene, prefix="circuit")
    direction = course.current_direction
    name = hashlib.sha256(f"{direction} {svg}".encode()).hexdigest()[:16]
    return Circuit(drawing=drawing, description=description, name=name, svg=svg, frame=frame.grown(AIR))


def waveforms(material: Material) -> dict[str, Any]:
    """The waveforms of the material's study, packed."""
    return {**packed(material.hood.fine), "waves": list(material.hood.waves)}


@dataclass(frozen=True, kw_only=True)
class Ways:
    """Which way the current takes when, and those ways that a page doesn't have yet."""

    moments: tuple[tuple[int, str], ...]  # first sample, name of the way
    new: Mapping[str, dict[str, Any]]


def ways(
    material: Material, on: Circuit, *, have: Collection[str] = (), at: float | None = None,
    most: int | None = None, known: dict[str, Any] | None = None,
) -> Ways:  # fmt: skip
    """The ways of the material's study on a drawn circuit.

    Parameters
    ----------
    have : collection of str
        Names of ways that the page has already.
    at : float, optional
        The instant that the page shows: its way is drawn first. [deg]
    most : int, optional
        So many ways are drawn at most; the others wait for the next question.
    known : dict, optional
        Ways drawn earlier on the same circuit; what is drawn now is added.
    """
    study, samples = material.study, material.hood.fine
    moments: list[tuple[int, str]] = []
    missing: dict[str, tuple[float, float]] = {}  # name -> how soon it is wanted, its instant
    each = 360.0 * study.network.mains_periods / (samples.values.shape[1] - 1)
    for run in runs_of(study, material.hood.waves, samples, on.drawing):
        name = "w" + "".join("-0+"[sign + 1] for sign in run.key)
        name = name.replace("-", "n").replace("+", "p")
        moments.append((run.start, name))
        if name in have:
            continue
        is_now = at is not None and run.start * each <= at <= run.end * each
        rank = -1e9 if is_now else float(run.start - run.end)
        if name not in missing or rank < missing[name][0]:
            missing[name] = (rank, run.degrees)
    new: dict[str, dict[str, Any]] = {}
    store = known if known is not None else {}
    drawn_now = 0
    for name, (_, degrees) in sorted(missing.items(), key=lambda entry: entry[1][0]):
        if name not in store:
            if most is not None and drawn_now >= most:
                continue
            drawn_now += 1
            store[name] = _way_data(way_at(study, on.drawing, degrees, material.course), on, name)
        new[name] = store[name]
    return Ways(moments=tuple(moments), new=new)


def _way_data(way: Way, on: Circuit, name: str) -> dict[str, Any]:
    data: dict[str, Any] = {"caption": way.caption, "on": list(way.on), "whyNot": list(way.why_not), "svg": ""}
    if way.path is None or on.drawing is None:
        return data
    under, over = Group(items=way.path.under), Group(items=way.path.over)
    layers = tuple(
        Group(items=group.items, tag=Tag(classes=("moment",), data={"moment": name, "layer": layer}))
        for group, layer in ((under, "under"), (over, "over"))
        if group.items
    )
    size = on.drawing.scene
    data["svg"] = render(Scene(width=size.width, height=size.height, title=name, items=layers), prefix=name)
    box = bounds(Group(items=layers))
    data["box"] = None if box is None else _box(box.grown(AIR / 2))
    return data


def _box(box: Box) -> list[float]:
    return [round(side, 1) for side in (box.left, box.top, box.right, box.bottom)]


# ---------------------------------------------------------------- plots and values beside them


def plots(material: Material) -> dict[str, Any]:
    """What the page's plot shows."""
    say = material.course.say
    return {"board": {"title": say("Waveforms over one period"), "rows": list(board_rows(material))}}


def beside(material: Material) -> list[dict[str, str]]:
    """The values that follow the time."""
    return [{"wave": wave, "label": label, "kind": kind} for wave, label, kind in now_values(material)]


def begin(material: Material) -> int:
    """Where time stands at first. [deg]"""
    return start_degrees(material)


# ---------------------------------------------------------------- four lines of working


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstLook:
    """The working in a few lines, and one sentence on why the exact value differs."""

    lines: tuple[dict[str, Any], ...]
    why: str


def first_look(material: Material) -> FirstLook:
    """By hand in four lines: source peak, peak at the reservoir, ripple, mean, as far as books have formulas.

    Raises
    ------
    MissingExtra
        If what turns formulas into MathML isn't installed.
    """
    from railwright.documents import work

    study, course = material.study, material.course
    wanted = tuple(dict.fromkeys(_first_readings(material)))
    maths = mathml()
    lines: list[dict[str, Any]] = []
    reasons: list[tuple[float, str]] = []
    for section in work(study, course, wanted, charts=False).sections:
        if not section.worked:
            continue
        taught = section.worked[0]
        line = _line(section, maths)
        if line is None:
            continue
        lines.append(line | {"asked": section.asked})
        if not section.asked:
            continue
        why = " ".join(step.text for step in section.closing if step.kind == "why")
        if why:
            off = taught.difference
            by = "" if off is None else f"By hand is {how_far(off, course.decimal)}. "
            reasons.append((abs(off or 0.0), course.say(f"{section.heading}: {by}{why}")))
    # What is only needed on the way gives way first, the earliest of it at once.
    while len(lines) > LINES:
        spare = next((line for line in lines if not line["asked"]), lines[-1])
        lines.remove(spare)
    # The largest difference is the one that a class asks about.
    return FirstLook(lines=tuple(lines), why=max(reasons)[1] if reasons else "")


def _first_readings(material: Material) -> Iterator[str]:
    readings = material.study.readings
    sources = [name for name in readings if name.startswith("secondary") and name.endswith("voltage.peak")]
    at = material.reservoir
    wanted = [
        *sources[:1], f"{at}.voltage.peak", f"{at}.voltage.ripple_peak_to_peak", f"{at}.voltage.mean",
        f"{material.load}.voltage.mean", "U1.power.mean", "D1.current.mean", "D1.reverse_voltage.peak",
    ]  # fmt: skip
    found = [name for name in wanted if name in readings]
    # The handbook's own list is asked only where the first four have no formula for each.
    worked = [name for name in found if readings[name].hand]
    yield from worked[:LINES]


def _line(section: Section, maths: Maths) -> dict[str, Any] | None:
    steps = section.worked[0].steps
    formula = next((step for step in reversed(steps) if step.kind == "formula"), None)
    put_in = next((step for step in reversed(steps) if step.kind == "substitution"), None)
    shown = next(step for step in reversed(steps) if step.kind == "result")
    if formula is None:
        return None
    pieces = [maths(formula.latex, "inline")]
    pieces += [maths(f"= {_right(step.latex)}", "inline") for step in (put_in, shown) if step is not None]
    plain = [formula.plain, *(f"= {_right(step.plain)}" for step in (put_in, shown) if step is not None)]
    return {
        "reading": section.readings[0], "heading": section.heading, "maths": pieces, "plain": " ".join(plain),
        "exact": section.exact, "unit": section.unit,
    }  # fmt: skip


_FIRST_EQUALS: Final = re.compile(r"[^=]*=\s*")


def _right(text: str) -> str:
    return _FIRST_EQUALS.sub("", text, count=1) if "=" in text else text


def whole_degrees(study: Study) -> float:
    """The common period. [deg]"""
    return float(np.float64(360.0) * study.network.mains_periods)
