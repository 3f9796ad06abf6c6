"""The pictures of the film, each a whole projector sheet: title, stages, circuit, moments, load, by hand, close."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from railwright.documents.film.captions import (
    Told,
    circuit_words,
    load_words,
    stage_words,
    told_intervals,
)
from railwright.documents.film.stage_columns import stage_columns
from railwright.documents.film.tables import Cell, large_table
from railwright.documents.lesson.markup import amount, named, stated
from railwright.documents.lesson.material import Material
from railwright.documents.stresses import stresses
from railwright.documents.working_numbers import how_far
from railwright.figures.board import key_readings
from railwright.figures.caption import describe_conduction, describe_path, describe_schematic, describe_waveforms
from railwright.figures.drawing import NotDrawn
from railwright.figures.large_circuit import LargeCircuit, large_circuit
from railwright.figures.projector import (
    HEADING,
    HEIGHT,
    LEADING,
    SAFE,
    SMALLEST,
    TEXT,
    TITLE,
    WIDTH,
    LargePlot,
    key_width,
    large_plot,
    lines_of,
    paragraph,
)
from railwright.figures.rows import BY_HAND, FINE, LOAD, SECONDARY, Curve, Row, mains_periods, rows_of, wave
from railwright.figures.scene import Box, Group, Item, Line, Pen, Rectangle, Scene, Text, scale, translate
from railwright.figures.stages import stages_of
from railwright.figures.typeface import fitted, text_width
from railwright.figures.waveforms import waveform_group
from railwright.quantities import format_quantity
from railwright.readings import unit_of

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.study import Study

__all__ = ["CLOCK_RIGHT", "CLOCK_BASELINE", "Pictures", "clock_words"]

_CAPTION_TOP = 928.0  # [px]
#: Where the running time stands, at the right of the heading. [px]
CLOCK_RIGHT, CLOCK_BASELINE = SAFE.right, SAFE.top + 34.0
_CLOCK = 420.0
_CIRCUIT = Box(left=SAFE.left, top=148.0, right=SAFE.right, bottom=640.0)
_PLOTS_TOP, _PLOTS_BOTTOM = 646.0, 906.0
_MOST_ROWS = 5
_RULE = Pen(width=2.0, colour="#9a9a9a", cap="butt")
_CAUTION = Pen(width=4.0, colour="ink")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """A reading by hand beside the computed one."""

    name: str
    hand: str
    computed: str
    off: str


class Pictures:
    """Makes the pictures of one study; what several of them need is worked out once."""

    def __init__(self, study: Study, course: Course) -> None:
        self.study, self.course = study, course
        self.material = Material(study=study, course=course, edition="student")

    # -- what there is ---------------------------------------------------------

    @cached_property
    def told(self) -> tuple[Told, ...]:
        """The stretches of the period."""
        return told_intervals(self.study, self.course)

    @cached_property
    def circuit(self) -> LargeCircuit | None:
        """The schematic; None if the supply has none."""
        return self._circuit_in(_CIRCUIT)

    def _circuit_in(self, frame: Box) -> LargeCircuit | None:
        try:
            return large_circuit(self.study.supply, frame, standard=self.course.drawing)
        except NotDrawn:
            return None

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        """The waveforms under the circuit: a voltage and a current, as far as there are both."""
        found = {row.key: row for row in rows_of(self.study, hand=False)}
        if not found:
            return ()
        others = {row.key: row for row in rows_of(self.study, ("load_current", "capacitor", "choke"), hand=False)}
        found |= {key: row for key, row in others.items() if key not in found}
        voltage = next((found[key] for key in ("voltage", "secondary") if key in found), None)
        current = next((found[key] for key in ("diodes", "choke", "capacitor", "load_current") if key in found), None)
        return tuple(row for row in (voltage, current) if row is not None)

    def plots(self, band: tuple[float, float] | None) -> tuple[LargePlot, ...]:
        """The waveforms' axes side by side; `band` is the stretch of the period that is told. [deg]"""
        count = len(self.rows)
        width = (SAFE.width - 40.0 * (count - 1)) / count if count else SAFE.width
        plots = []
        for number, row in enumerate(self.rows):
            left = SAFE.left + number * (width + 40.0)
            title = self.course.say("Voltage" if row.unit == "V" else "Current")
            plots.append(
                large_plot(
                    _that_fit([self._said(curve) for curve in row.curves], title, width),
                    Box(left=left, top=_PLOTS_TOP, right=left + width, bottom=_PLOTS_BOTTOM),
                    title=title, unit=row.unit,
                    span=self.span, bands=() if band is None else (band,), milliseconds=self._milliseconds,
                    decimal=self.course.decimal,
                )
            )  # fmt: skip
        return tuple(plots)

    @property
    def span(self) -> float:
        """Where the period ends. [deg]"""
        return 360.0 * mains_periods(self.study)

    @property
    def _milliseconds(self) -> float | None:
        """The period's length where there is no angle to count in. [ms]"""
        return None if self.study.supply.mains.frequency else 1e3 * self.study.period

    def _said(self, curve: Curve) -> Curve:
        return replace(curve, label=self.course.say(curve.label))

    def _page(self, items: Sequence[Item], title: str, description: str) -> Scene:
        return Scene(width=WIDTH, height=HEIGHT, items=tuple(items), title=title, description=description)

    def _heading(self, words: str) -> Text:
        return Text(
            at=(SAFE.left, SAFE.top + 44.0), text=fitted(words, HEADING, SAFE.width, bold=True), size=HEADING, bold=True
        )

    def _caption(self, words: str) -> tuple[Text, ...]:
        """The caption at the foot, in two lines or in three smaller ones."""
        for size in (TEXT, 32.0, 30.0, SMALLEST):
            lines = lines_of(words, SAFE.width, size)
            if len(lines) * size * LEADING <= SAFE.bottom - _CAPTION_TOP:
                break
        # Two lines stand in the middle of the room for three.
        used = (len(lines) - 1) * size * LEADING
        first = _CAPTION_TOP + size + max(0.0, (SAFE.bottom - _CAPTION_TOP - used - size) / 2 - 8.0)
        return paragraph(words, (SAFE.left, first), SAFE.width, size=size)

    # -- title ---------------------------------------------------------

    @property
    def title(self) -> str:
        """The supply's title."""
        return self.study.title or "A supply"

    @property
    def title_words(self) -> str:
        """From what, to what."""
        mains, course = self.study.supply.mains, self.course
        source = stated(mains.voltage, "V", course)
        if mains.frequency:
            source += f", {stated(mains.frequency, 'Hz', course)},"
        if mains.phases == 3:
            source = f"three phases of {source}"
        mean = self.material.value(f"{self.material.load}.voltage.mean")
        if mean is None:
            return course.say(f"From {source} to the load.")
        arrives = f"{amount(mean, 'V', course)} DC"
        if self.study.supply.is_dual:
            other = self.material.value("load_negative.voltage.mean")
            arrives = f"{amount(mean, 'V', course)} and {amount(other, 'V', course)} DC"
        return course.say(f"From {source} to ") + f"{arrives}."

    def title_page(self) -> Scene:
        """The supply's title, what goes in and what comes out, and what will be seen."""
        y = 330.0
        items: list[Item] = []
        for line in lines_of(self.title, SAFE.width, TITLE, bold=True)[:3]:
            shown = fitted(line, TITLE, SAFE.width, bold=True)
            items.append(Text(at=(SAFE.left, y), text=shown, size=TITLE, bold=True))
            y += TITLE * LEADING
        items += paragraph(self.title_words, (SAFE.left, y + 10.0), SAFE.width, size=HEADING)
        y += 120.0
        items.append(Line(points=((SAFE.left, y), (SAFE.left + 260.0, y)), pen=Pen(width=8.0, colour="#E69F00")))
        about = circuit_words(describe_schematic(self.study), self.course)
        items += paragraph(about, (SAFE.left, y + 70.0), SAFE.width)
        basis = self.course.say(f"Course: {self.course.title or self.course.words.upper()}. ")
        items += paragraph(f"{basis}Model: {self.study.model}.", (SAFE.left, SAFE.bottom - 14.0), SAFE.width,
                           size=SMALLEST)  # fmt: skip
        return self._page(items, self.title, f"{self.title}. {self.title_words} {about}")

    # -- stages ---------------------------------------------------------

    @cached_property
    def stage_captions(self) -> tuple[str, ...]:
        """A line for each stage."""
        return tuple(stage_words(self.study, stage, self.course) for stage in stages_of(self.study))

    def stages_page(self, count: int | None = None, *, with_caption: bool = True) -> Scene:
        """The first `count` stages from the source on; all if not given."""
        captions = self.stage_captions if count is None else self.stage_captions[:count]
        frame = Box(left=SAFE.left, top=150.0, right=SAFE.right, bottom=900.0)
        items: list[Item] = [self._heading(self.course.say("From outlet to rail"))]
        items += stage_columns(self.study, self.course, frame, shown=count)
        if with_caption and count is not None:
            items += self._caption(captions[-1])
        elif with_caption:
            items += self._caption(self.course.say("Each waveform over one period."))
        return self._page(items, self.course.say("From outlet to rail"), " ".join(captions))

    # -- circuit ---------------------------------------------------------

    @property
    def circuit_words(self) -> str:
        """What the circuit is made of."""
        return circuit_words(describe_schematic(self.study), self.course)

    def circuit_page(self) -> Scene:
        """The circuit alone, as large as it goes."""
        items: list[Item] = [self._heading(self.course.say("The circuit"))]
        large = self._circuit_in(Box(left=SAFE.left, top=130.0, right=SAFE.right, bottom=900.0))
        if large is not None:
            items.append(large.picture(None, {}, self.course.current_direction, self.course.say))
        items += self._caption(self.circuit_words)
        return self._page(items, self.course.say("The circuit"), self.circuit_words)

    # -- moments ---------------------------------------------------------

    def moment_page(self, number: int, *, with_curves: bool, running: bool) -> Scene:
        """The circuit with the path of one stretch of the period, the waveforms' axes, the caption.

        `running` leaves room for the time and says how slow the film is.
        """
        told = self.told[number]
        width = SAFE.width - (_CLOCK if running else 0.0)
        items: list[Item] = [
            Text(at=(SAFE.left, CLOCK_BASELINE), text=fitted(told.heading, TEXT, width, bold=True), size=TEXT,
                 bold=True),
        ]  # fmt: skip
        if told.blocked:
            items.append(Text(at=(SAFE.left, CLOCK_BASELINE + 42.0), text=fitted(told.blocked, SMALLEST, width),
                              size=SMALLEST))  # fmt: skip
        if self.circuit is not None:
            volts = self.study.voltages_at(told.at)
            blocking = {name: max(0.0, -volts.get(name, -most)) for name, most in told.interval.blocking.items()}
            currents = self.study.currents_at(told.at)
            items.append(self.circuit.picture(currents, blocking, self.course.current_direction, self.course.say))
        else:
            items += self._in_words()
        band = (told.start, told.end) if told.interval.on else None
        for plot in self.plots(band):
            items.append(plot.axes)
            if with_curves:
                items.append(plot.lines)
        items += self._caption(told.caption)
        description = f"{self.course.say(describe_path(self.study, told.at))} {told.caption}"
        return self._page(items, told.heading, description)

    def curves_page(self) -> Scene:
        """The curves alone."""
        return self._page([plot.lines for plot in self.plots(None)], "Waveforms", "")

    def _in_words(self) -> Iterator[Item]:
        """Who conducts when, for a circuit that has no drawing."""
        y = _CIRCUIT.top + 40.0
        for sentence in describe_conduction(self.study):
            lines = paragraph(self.course.say(sentence), (SAFE.left, y), SAFE.width, size=SMALLEST)
            y += len(lines) * SMALLEST * LEADING + 8.0
            if y > _CIRCUIT.bottom:
                return
            yield from lines

    # -- load ---------------------------------------------------------

    @cached_property
    def load_words(self) -> str:
        """What the load sees."""
        return load_words(self.material)

    def load_page(self) -> Scene | None:
        """The load's voltage, with the capacitor and without it; None without a waveform."""
        course, name = self.course, f"{self.material.load}.voltage"
        curves: list[Curve] = []
        bare = self.material.bare
        mine = wave(self.study, name)
        if mine is None:
            return None
        other = None if bare is None else wave(bare, name)
        if other is not None:
            curves.append(
                Curve(reading="", label=course.say("without the capacitor"), degrees=other[0], values=other[1],
                      colour=SECONDARY, dash=FINE, width=1.8, behind=True)
            )  # fmt: skip
        words = course.say("with the capacitor") if other is not None else course.say("the load")
        curves.append(Curve(reading=name, label=words, degrees=mine[0], values=mine[1], colour=LOAD))
        title = course.say("What the load sees")
        plot = large_plot(
            curves, Box(left=SAFE.left, top=140.0, right=SAFE.right, bottom=890.0),
            title=course.say("Voltage across the load"), unit="V", span=self.span, milliseconds=self._milliseconds,
            decimal=course.decimal,
        )  # fmt: skip
        items: list[Item] = [self._heading(title), plot.axes, plot.lines, *self._caption(self.load_words)]
        return self._page(items, title, self.load_words)

    # -- by hand ---------------------------------------------------------

    @cached_property
    def _hand(self) -> tuple[tuple[_Line, ...], str]:
        """The lines of the table, and why the largest difference is there."""
        material, course = self.material, self.course
        lines: list[_Line] = []
        reasons: list[tuple[float, str]] = []
        for reading in material.first_readings:
            section = material.working.section(reading)
            value = material.value(reading)
            if not section.worked or value is None or len(lines) == _MOST_ROWS:
                continue
            taught, unit = section.worked[0], unit_of(reading)
            off = taught.difference
            lines.append(
                _Line(
                    name=named(reading, course),
                    hand=amount(taught.value, unit, course) if unit == "1" else taught.shown,
                    computed=amount(value, unit, course),
                    off="" if off is None else how_far(off, course.decimal),
                )
            )
            why = next((step.text for step in section.closing if step.kind == "why"), "")
            if off is not None:
                reasons.append((abs(off), f"{named(reading, course)}: by hand {lines[-1].off}. {_first(why)}".strip()))
        return tuple(lines), max(reasons)[1] if reasons else ""

    @property
    def hand_words(self) -> str:
        """How far by hand and computed differ where they differ most, and why; "" if nothing is worked by hand."""
        return self._hand[1]

    def hand_page(self) -> Scene | None:
        """By hand beside computed; None if nothing is worked by hand."""
        course = self.course
        lines, _ = self._hand
        if not lines:
            return None
        title = course.say("By hand and computed")
        head = (
            Cell(text=""), Cell(text=course.say("by hand"), bold=True, underline=BY_HAND),
            Cell(text=course.say("computed"), bold=True), Cell(text=course.say("by hand is"), bold=True),
        )  # fmt: skip
        rows = [
            (Cell(text=line.name), Cell(text=line.hand), Cell(text=line.computed, bold=True), Cell(text=line.off))
            for line in lines
        ]
        items: list[Item] = [self._heading(title)]
        items += large_table((head, *rows), Box(left=SAFE.left, top=180.0, right=SAFE.right, bottom=880.0))
        items += self._caption(self.hand_words)
        told = "; ".join(f"{one.name}: by hand {one.hand}, computed {one.computed}, {one.off}" for one in lines)
        return self._page(items, title, f"{told}. {self.hand_words}")

    # -- what the parts must bear ---------------------------------------------------------

    def stress_page(self) -> Scene | None:
        """The stresses beside the stated limits; None if there are none."""
        course = self.course
        rows: list[tuple[Cell, ...]] = []
        told: list[str] = []
        for stress in stresses(self.study)[: _MOST_ROWS + 2]:
            name, unit = named(stress.reading, course), unit_of(stress.reading)
            allowed = course.say("not stated") if stress.limit is None else _limit(stress.limit, unit, course)
            shown, verdict = amount(stress.value, unit, course), course.say(stress.verdict)
            rows.append((Cell(text=name), Cell(text=shown, bold=True), Cell(text=allowed), Cell(text=verdict)))
            told.append(f"{name}: {shown}, {course.say('stated limit')} {allowed} {verdict}".strip())
        if not rows:
            return None
        title = course.say("What the parts must bear")
        head = (Cell(text=""), Cell(text=course.say("computed"), bold=True),
                Cell(text=course.say("stated limit"), bold=True), Cell(text=""))  # fmt: skip
        words = course.say(
            "At nominal mains and the load that is set. The worst case (high mains, no load, heat) is larger."
        )
        items: list[Item] = [self._heading(title), *self._caption(words)]
        items += large_table((head, *rows), Box(left=SAFE.left, top=150.0, right=SAFE.right, bottom=900.0))
        return self._page(items, title, f"{'; '.join(told)}. {words}")

    # -- waveforms ---------------------------------------------------------

    def waveforms_page(self) -> Scene:
        """The waveforms with their dimensions, as on the board, in larger letters."""
        title = self.course.say("Waveforms")
        factor = SMALLEST / 15.0  # the figure's smallest letters are 15 px
        names = ("voltage", "magnified", "diodes") if len(rows_of(self.study)) > 3 else None
        rows = rows_of(self.study, names)
        frame = Box(left=0.0, top=0.0, right=(SAFE.width + 60.0) / factor, bottom=(SAFE.bottom - 110.0) / factor)
        picture = translate(scale(waveform_group(self.study, rows, frame), factor), SAFE.left - 60.0, 110.0)
        words = self.course.say(describe_waveforms(self.study, rows))
        return self._page([self._heading(title), _in_words_of(picture, self.course)], title, words)

    # -- closing ---------------------------------------------------------

    @cached_property
    def cautions(self) -> tuple[str, ...]:
        """What must be said before anybody builds it, a line each."""
        supply = self.study.supply
        found = []
        if supply.mains.source == "outlet":
            found.append("Mains voltage kills: the mains side stays closed.")
        if any(reading[0] == "C" and reading[1:2].isdigit() for reading in self.study.readings):
            found.append("A capacitor bites after unplugging: discharge it, then measure.")
        found.append("Hot parts burn.")
        if any("not built by students" in text for text in self.material.working.cautions):
            found.append("Computed and demonstrated, not built by students.")
        found.append("No leave to build it: local codes and licensed practice come first.")
        return tuple(self.course.say(text) for text in found)

    @cached_property
    def _closing_readings(self) -> list[str]:
        """The key readings; of a reservoir straight across the load they would say everything twice."""
        names = [name for name in key_readings(self.study) if self.material.has(name)]
        place = self.material.load
        at_load = [name for name in names if name.startswith("C1.") and f"{place}.{name[3:]}" in names]
        value = self.material.value
        return [n for n in names if n not in at_load or value(n) != value(f"{place}.{n[3:]}")]

    @property
    def closing_words(self) -> str:
        """The cautions in one line."""
        return " ".join(self.cautions)

    def closing_page(self) -> Scene:
        """The key readings, and the cautions in a frame."""
        course = self.course
        title = course.say("Key readings")
        names = self._closing_readings[:_MOST_ROWS]
        shown = [(named(name, course), amount(self.material.value(name), unit_of(name), course)) for name in names]
        lines = [piece for text in self.cautions for piece in lines_of(text, SAFE.width - 72.0)]
        height = len(lines) * TEXT * LEADING + 56.0
        box = Box(left=SAFE.left, top=SAFE.bottom - height, right=SAFE.right, bottom=SAFE.bottom)
        items: list[Item] = [self._heading(title)]
        items += large_table(
            [(Cell(text=name), Cell(text=value, bold=True)) for name, value in shown],
            Box(left=SAFE.left, top=120.0, right=SAFE.right, bottom=box.top - 40.0),
        )
        items.append(Rectangle(box=box, radius=10.0, pen=_CAUTION))
        y = box.top + 28.0 + TEXT * 0.95
        for line in lines:
            items.append(Text(at=(box.left + 36.0, y), text=line, size=TEXT))
            y += TEXT * LEADING
        told = "; ".join(f"{name} {value}" for name, value in shown)
        return self._page(items, title, f"{told}. {self.closing_words}")


def _limit(value: float, unit: str, course: Course) -> str:
    return format_quantity(value, unit, digits=3, decimal=course.decimal)


def _that_fit(curves: Sequence[Curve], title: str, width: float) -> list[Curve]:
    """The curves that one line can name: those that only accompany go first, then the last."""
    left = list(curves)
    while len(left) > 1 and key_width(left, title) > width:
        accompanying = [curve for curve in left if curve.behind or "current" in curve.label]
        left.remove(accompanying[-1] if accompanying else left[-1])
    named = [curve for curve in left if curve.label]
    # A second half of an envelope carries no name of its own.
    return left if any(curve.behind for curve in named) else named


def _first(sentences: str) -> str:
    """The first sentence of several: the largest part of a difference comes first."""
    first = re.split(r"(?<=\.) (?=[A-Z])", sentences, maxsplit=1)
    return first[0]


def clock_words(seconds_of_film: float, period: float, decimal: str) -> str:
    """How much slower the film is than the circuit."""
    shown = format_quantity(period / seconds_of_film, "s", digits=2, decimal=decimal)
    return f"1 s of film: {shown}"


def clock_note(words: str) -> Text:
    """The note under the running time."""
    return Text(at=(CLOCK_RIGHT - text_width(words, SMALLEST), CLOCK_BASELINE + 42.0), text=words, size=SMALLEST)


def _in_words_of(item: Item, course: Course) -> Item:
    """Every text of a figure in the course's words."""
    if isinstance(item, Group):
        return replace(item, items=tuple(_in_words_of(inner, course) for inner in item.items))
    return replace(item, text=course.say(item.text)) if isinstance(item, Text) else item
