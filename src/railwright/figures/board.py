"""The board: one picture with the circuit, the path of each half-cycle, the waveforms and the key readings.

Composed for a sheet of A4 in landscape and for a projector: pictures and numbers on the left, waveforms on the right,
what it all rests on along the foot.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from railwright.figures import caption
from railwright.figures.axes import MINUS
from railwright.figures.copier import black_and_white
from railwright.figures.instant import caption_at
from railwright.figures.path import conduction_path, with_path
from railwright.figures.rows import BY_HAND, designators, mains_periods, reservoir, rows_of
from railwright.figures.scene import (
    Box,
    Copier,
    Group,
    Item,
    Line,
    Pen,
    Rectangle,
    Scene,
    Tag,
    Text,
    bounds,
    scale,
    translate,
)
from railwright.figures.schematic import NotDrawn, schematic
from railwright.figures.touch import is_beyond_touch
from railwright.figures.typeface import fitted, text_width, wrapped
from railwright.figures.waveforms import waveform_group
from railwright.figures.wire_flow import Unbalanced
from railwright.quantities import format_quantity
from railwright.readings import split

if TYPE_CHECKING:
    from railwright.figures import Convention, Form, Standard
    from railwright.readings import Reading
    from railwright.study import ConductionInterval, Study

__all__ = ["CAUTION", "board", "key_readings", "shown_intervals"]


WIDTH, HEIGHT = 1600.0, 1100.0  # [px] a sheet of A4 in landscape less its margins; on a projector as high as the screen
_MARGIN = 36.0
_BODY_TOP, _BODY_BOTTOM = 92.0, 1022.0
_MIDDLE = 830.0  # where pictures end and waveforms begin
_TEXT = 16.0
_ROW = 25.0  # of the table
_MOST_READINGS = 7
_LEADING = 21.0
_LARGEST = 1.1  # a small circuit isn't blown up further: its lines would outweigh the words

BEYOND_TOUCH = (
    "More than 25 V RMS or 60 V DC: shown and computed, not built by students. Mains side closed; local codes."
)
CAUTION = "Mains side closed and fused; isolated low-voltage secondary only; follow local codes."

#: Lines of explanation under the table; beyond that only whole sentences more.
_MOST_SPOKEN = 4
_SENTENCE_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")

_RULE = Pen(width=1.0, colour="#9a9a9a", cap="butt")
_RULE_COPY = Copier(pen=Pen(width=0.8, cap="butt"))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """One line of the table."""

    label: str
    hand: str
    computed: str
    difference: str
    valid: bool


def board(
    study: Study,
    *,
    standard: Standard = "iec",
    form: Form = "diamond",
    convention: Convention = "conventional",
    copier: bool = False,
) -> Scene:
    """The whole lesson in one picture.

    Parameters
    ----------
    study : Study
    standard : str
        Symbols: ``iec`` (IEC 60617) or ``ieee`` (IEEE 315).
    form : str
        How a bridge is drawn.
    convention : str
        Direction of the chevrons: ``conventional`` or ``electron``.
    copier : bool
        Pure black and white, no tint.

    Returns
    -------
    Scene
        1600 x 1100 px.
    """
    rows = rows_of(study)
    lines = tuple(_line(study.readings[name]) for name in key_readings(study))
    left = Box(left=_MARGIN, top=_BODY_TOP, right=_MIDDLE - 24.0, bottom=_BODY_BOTTOM)
    right = Box(left=_MIDDLE, top=_BODY_TOP - 4.0, right=WIDTH - 8.0, bottom=_BODY_BOTTOM)
    why = _why(study)
    spoken = _whole_sentences(why, left.width)
    table_height = 34.0 + _ROW * (len(lines) + 1) + (10.0 + _LEADING * len(spoken) if spoken else 0.0)
    table_top = left.bottom - table_height
    pictures = Box(left=left.left, top=left.top, right=left.right, bottom=table_top - 14.0)
    items: list[Item] = [
        *_head(study),
        *_pictures(study, pictures, standard=standard, form=form, convention=convention),
        Group(items=tuple(_table(lines, spoken, left, table_top)), tag=Tag(classes=("readings",))),
        Line(points=((_MIDDLE - 8.0, _BODY_TOP), (_MIDDLE - 8.0, _BODY_BOTTOM)), pen=_RULE, copier=_RULE_COPY),
        waveform_group(study, rows, right),
        *_foot(study, convention),
    ]
    table = [f"{line.label}: by hand {line.hand or 'none'}, computed {line.computed}" for line in lines]
    scene = Scene(
        width=WIDTH,
        height=HEIGHT,
        items=tuple(items),
        title=study.title or "Board",
        description=caption.describe_board(study, rows, table),
    )
    return black_and_white(scene) if copier else scene


# ---------------------------------------------------------------- what is shown


def shown_intervals(study: Study) -> tuple[ConductionInterval, ...]:
    """The two intervals worth a picture each: the longest pattern that conducts, and the longest of what is left.

    With a single pattern the second is the longest rest, in which the diodes block.
    """
    by_length = sorted(study.conduction, key=lambda interval: (interval.start - interval.end, interval.start))
    conducting = [interval for interval in by_length if interval.on]
    resting = [interval for interval in by_length if not interval.on]
    if not conducting:
        return tuple(resting[:1])
    first = conducting[0]
    others = [interval for interval in conducting if set(interval.on) != set(first.on)]
    # The counterpart shares no diode with the first, as one half-cycle of a bridge shares none with the other.
    opposite = [interval for interval in others if not set(interval.on) & set(first.on)]
    second = (opposite or others or resting)[:1]
    return tuple(sorted((first, *second), key=lambda interval: interval.start))


def key_readings(study: Study) -> tuple[str, ...]:
    """The readings that a teacher asks for first, as far as this supply has them, most telling first."""
    place = reservoir(study)
    capacitors = designators(study, "C")
    winding = "secondary_a" if "secondary_a.current.rms" in study.readings else "secondary"
    wanted = [f"{place}.voltage.mean", f"{place}.voltage.ripple_peak_to_peak"]
    if study.supply.is_dual:
        wanted.insert(1, "load_negative.voltage.mean")
    if place == "C1":
        wanted += ["load.voltage.mean", "load.voltage.ripple_peak_to_peak", "U1.headroom.minimum"]
    wanted += [
        "L1.current.valley",
        "load.current.mean",
        "D1.current.mean",
        "D1.current.peak",
        "D1.reverse_voltage.peak",
    ]
    wanted += [f"{name}.current.rms" for name in capacitors[:1]]
    wanted += [f"{winding}.current.rms", "D1.conduction.angle", "supply.efficiency"]
    known = [name for name in wanted if name in study.readings and study.readings[name].value is not None]
    return tuple(dict.fromkeys(known))[:_MOST_READINGS]


_PLACES = {
    "load": "Load",
    "load_positive": "Positive rail",
    "load_negative": "Negative rail",
    "secondary": "Secondary",
    "secondary_a": "Half a of the winding",
    "supply": "Supply",
}
_MEASURES = {
    "voltage.mean": "voltage, mean",
    "voltage.ripple_peak_to_peak": "ripple, peak to peak",
    "current.mean": "current, mean",
    "current.rms": "current, RMS",
    "current.peak": "current, peak",
    "current.valley": "current, least",
    "reverse_voltage.peak": "reverse voltage, peak",
    "conduction.angle": "conduction angle",
    "headroom.minimum": "headroom, least",
    "efficiency.": "efficiency",
}


def _line(reading: Reading) -> _Line:
    name = split(reading.id)
    measure = _MEASURES.get(f"{name.kind}.{name.measure}", f"{name.kind} {name.measure}".replace("_", " ").strip())
    hand = reading.hand[0] if reading.hand else None
    difference = ""
    if hand is not None and hand.difference is not None:
        percent = 100.0 * hand.difference
        difference = f"{'+' if percent >= 0.05 else '−' if percent <= -0.05 else ''}{abs(percent):.1f} %"
    return _Line(
        label=f"{_PLACES.get(name.place, name.place)} {measure}",
        hand="" if hand is None else _written(hand.value, reading.unit),
        computed=_written(reading.value, reading.unit),
        difference=difference,
        valid=hand is None or hand.valid,
    )


_DIGITS = 4


def _written(value: float | None, unit: str) -> str:
    """A value with all of its digits, zeros too: in a column 11.10 V stands above 11.07 V."""
    if value is None:
        return "no value"
    text = format_quantity(value, "%" if unit == "1" else unit, digits=3 if unit in ("deg", "1") else _DIGITS)
    text = text.replace("-", MINUS)
    if unit in ("deg", "1"):
        return text
    number, _, name = text.partition(" ")
    figures = number.lstrip(MINUS).replace(".", "").lstrip("0")
    missing = _DIGITS - len(figures)
    if missing > 0 and figures.isdigit():
        number += ("" if "." in number else ".") + "0" * missing
    return f"{number} {name}"


def _why(study: Study) -> str:
    """Why hand and computed differ, of the first key reading that knows."""
    place = reservoir(study)
    names = (f"{place}.voltage.ripple_peak_to_peak", "C1.voltage.ripple_peak_to_peak", *key_readings(study))
    for name in names:
        reading = study.readings.get(name)
        if reading is not None and reading.hand and reading.why:
            return reading.why
    return ""


def _whole_sentences(text: str, width: float) -> tuple[str, ...]:
    """As many of a text's sentences as there is room for, in lines: never a part of one."""
    kept: tuple[str, ...] = ()
    sentences = [] if not text else _SENTENCE_END.split(text)
    for count in range(1, len(sentences) + 1):
        lines = tuple(wrapped(" ".join(sentences[:count]), _TEXT, width))
        if count > 1 and len(lines) > _MOST_SPOKEN:
            break
        kept = lines
    return kept


# ---------------------------------------------------------------- parts of the picture


def _head(study: Study) -> Iterator[Item]:
    width = WIDTH - 2 * _MARGIN
    room = width
    caution = BEYOND_TOUCH if is_beyond_touch(study) else CAUTION if study.supply.mains.source == "outlet" else ""
    if caution:
        yield from _caution(caution, 38.0)
        room -= text_width(caution, _TEXT, bold=True) + 60.0
    yield Text(at=(_MARGIN, 44.0), text=fitted(study.title or "A supply", 30.0, room, bold=True), size=30.0, bold=True)
    about = caption.describe_schematic(study).removeprefix("Circuit: ")
    about = about[:1].upper() + about[1:]
    yield Text(at=(_MARGIN, 72.0), text=fitted(about, 17.0, width), size=17.0)


def _pictures(study: Study, frame: Box, *, standard: Standard, form: Form, convention: Convention) -> Iterator[Item]:
    """One circuit for each interval, the path of the current in it, and a sentence above."""
    chosen = shown_intervals(study)
    if not chosen:
        return
    try:
        drawing = schematic(study.supply, standard=standard, form=form)
    except NotDrawn:
        yield from _in_words(study, frame)
        return
    height = frame.height / len(chosen)
    for index, interval in enumerate(chosen):
        top = frame.top + index * height
        heading, rest = caption.interval_parts(interval)
        if study.supply.mains.frequency is None:
            heading = "All the time: " + heading.partition(": ")[2]
        yield Text(
            at=(frame.left, top + 18.0), text=fitted(heading, 18.0, frame.width, bold=True), size=18.0, bold=True
        )
        beside = frame.left + text_width(heading, 18.0, bold=True) + 14.0
        if rest and beside + text_width(rest, _TEXT) <= frame.right:
            yield Text(at=(beside, top + 18.0), text=rest, size=_TEXT)
        # The voltages beside the diodes are the interval's largest, as the heading says; the path is its middle's.
        items = drawing.scene.items
        try:
            currents = study.currents_at(_middle(interval))
            path = conduction_path(drawing, currents, blocking=interval.blocking, convention=convention)
            items = (*path.under, *items, *path.over)
        except Unbalanced:
            pass  # a fault or an added part that the drawing doesn't show: the circuit stands without a ribbon
        picture = Group(items=items, tag=Tag(classes=("picture",)))
        yield fit(picture, Box(left=frame.left, top=top + 26.0, right=frame.right, bottom=top + height - 8.0))


def _in_words(study: Study, frame: Box) -> Iterator[Item]:
    """Who conducts when, as sentences, for a circuit that has no drawing; as many as there is room for."""
    yield Text(at=(frame.left, frame.top + 18.0), text="Who conducts when", size=18.0, bold=True)
    y = frame.top + 48.0
    for sentence in caption.describe_conduction(study):
        lines = wrapped(sentence, _TEXT, frame.width)
        if y + _LEADING * len(lines) > frame.bottom:
            yield Text(at=(frame.left, y), text="…", size=_TEXT)
            return
        for line in lines:
            yield Text(at=(frame.left, y), text=line, size=_TEXT)
            y += _LEADING
        y += 6.0


def schematic_scene(study: Study, *, standard: Standard, form: Form) -> Scene:
    """The circuit alone."""
    scene = schematic(study.supply, standard=standard, form=form).scene
    return replace(scene, description=caption.describe_schematic(study))


def path_scene(study: Study, degrees: float | None, *, standard: Standard, form: Form, convention: Convention) -> Scene:
    """The circuit with the path of the current at one moment; of the longest conduction interval if none is given."""
    if degrees is None:
        shown = shown_intervals(study)
        conducting = [interval for interval in shown if interval.on] or list(shown)
        degrees = _middle(conducting[0]) if conducting else 90.0
    drawing = schematic(study.supply, standard=standard, form=form)
    blocking = _blocked_at(study, degrees)
    path = conduction_path(drawing, study.currents_at(degrees), blocking=blocking, convention=convention)
    scene = with_path(drawing, path)
    words = (scene.description, caption.describe_path(study, degrees), caption_at(study, degrees, convention))
    return replace(scene, description=" ".join(filter(None, words)))


def _middle(interval: ConductionInterval) -> float:
    return (interval.start + interval.end) / 2


def _blocked_at(study: Study, degrees: float) -> dict[str, float]:
    """What each diode blocks at one moment; the largest of the interval where the study knows no more. [V]"""
    interval = caption.interval_at(study, degrees)
    if interval is None:
        return {}
    voltages = study.voltages_at(degrees)
    return {name: max(0.0, -voltages[name]) if name in voltages else most for name, most in interval.blocking.items()}


def fit(picture: Group, frame: Box) -> Group:
    """A picture's circuit inside a frame, in the middle, as large as it goes; its title and notes stay out."""
    inside = tuple(item for item in picture.items if not {"title", "note"} & set(item.tag.classes))
    whole = replace(picture, items=inside)
    box = bounds(whole)
    if box is None:
        return whole
    factor = min(frame.width / box.width, frame.height / box.height, _LARGEST)
    left = frame.left + (frame.width - box.width * factor) / 2 - box.left * factor
    top = frame.top + (frame.height - box.height * factor) / 2 - box.top * factor
    placed = translate(scale(whole, factor), left, top)
    assert isinstance(placed, Group)
    return placed


def _table(lines: Sequence[_Line], spoken: Sequence[str], frame: Box, top: float) -> Iterator[Item]:
    """Readings by hand and computed, and why they differ."""
    ends = (frame.right - 260.0, frame.right - 130.0, frame.right)
    y = top + 20.0
    yield Text(at=(frame.left, y), text="Key readings", size=18.0, bold=True)
    if not all(line.valid for line in lines):
        yield Text(at=(frame.left + 130.0, y), text="* outside the formula's range", size=14.0)
    for end, head in zip(ends, ("by hand", "computed", "difference"), strict=True):
        yield Text(at=(end, y), text=head, size=_TEXT, anchor="end", bold=True)
    # The key to the colour of the dashed sawtooth, where the eye looks for it.
    yield Line(
        points=((ends[0] - text_width("by hand", _TEXT, bold=True), y + 6.0), (ends[0], y + 6.0)),
        pen=Pen(width=2.0, colour=BY_HAND, dash=(7.0, 4.0), cap="butt"),
    )
    rule = top + 32.0
    yield Line(points=((frame.left, rule), (frame.right, rule)), pen=_RULE, copier=_RULE_COPY)
    for index, line in enumerate(lines):
        y = rule + _ROW * index + 19.0
        room = ends[0] - frame.left - text_width(line.hand, _TEXT) - 12.0
        yield Text(at=(frame.left, y), text=fitted(line.label, _TEXT, room), size=_TEXT)
        for end, text in zip(ends, (line.hand, line.computed, line.difference), strict=True):
            if text:
                yield Text(at=(end, y), text=text, size=_TEXT, anchor="end", bold=end == ends[1])
        if not line.valid:
            yield Text(at=(ends[0] + 4.0, y), text="*", size=_TEXT)
    y = rule + _ROW * len(lines) + 4.0
    yield Line(points=((frame.left, y), (frame.right, y)), pen=_RULE, copier=_RULE_COPY)
    for index, text in enumerate(spoken):
        yield Text(at=(frame.left, y + 24.0 + _LEADING * index), text=text, size=_TEXT)


def _foot(study: Study, convention: Convention) -> Iterator[Item]:
    """What the picture rests on: model, source, proof; and the key to the ribbon."""
    y = _BODY_BOTTOM + 14.0
    yield Line(points=((_MARGIN, y), (WIDTH - _MARGIN, y)), pen=_RULE, copier=_RULE_COPY)
    size = 15.0
    emf = ", ".join(f"{place.replace('_', ' ')} {format_quantity(value, 'V')}" for place, value in study.emf.items())
    proof = study.proof
    worst = max(
        proof.power_balance,
        proof.charge_balance,
        proof.flux_balance,
        proof.periodicity,
        proof.kirchhoff,
        proof.diode_law,
    )
    basis = f"Model: {study.model}."
    if emf:
        basis += f" EMF (RMS): {emf}."
    basis += f" Proof: power, charge, flux, period, Kirchhoff and diode law hold to {_power_of_ten(worst)}."
    key = (
        "Ribbon: path of the current, chevrons in the conventional direction, from + to −."
        if convention == "conventional"
        else "Ribbon: path of the current, chevrons in the direction of electron flow, against the diode's arrow."
    )
    key += " Hatched: a diode that blocks, with the voltage across it."
    if mains_periods(study) > 1:
        basis += f" One common period is {mains_periods(study)} mains periods."
    width = WIDTH - 2 * _MARGIN
    yield Text(at=(_MARGIN, y + 23.0), text=fitted(basis, size, width), size=size)
    yield Text(at=(_MARGIN, y + 47.0), text=fitted(key, size, width), size=size)


def _caution(caution: str, y: float) -> Iterator[Item]:
    """The caution in a box at the right, its baseline at `y`."""
    width = text_width(caution, _TEXT, bold=True)
    right = WIDTH - _MARGIN
    box = Box(left=right - width - 20.0, top=y - 19.0, right=right, bottom=y + 9.0)
    yield Rectangle(box=box, radius=4.0, pen=Pen(width=1.4), tag=Tag(classes=("caution",)))
    yield Text(at=(right - width - 10.0, y), text=caution, size=_TEXT, bold=True)


_SUPERSCRIPT = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def _power_of_ten(value: float) -> str:
    """The next power of ten above a small number, "10⁻⁹"; "exactly" cannot be told from zero."""
    if not value > 0.0:
        return "rounding"
    return f"10{str(math.ceil(math.log10(value))).translate(_SUPERSCRIPT)}"
