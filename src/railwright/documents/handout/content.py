"""What stands on a hand-out: the student's copy with blanks, the teacher's with the answers in the same places."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Final, Literal

from railwright.course import Course
from railwright.documents.handout.blocks import (
    Answered,
    Asked,
    Block,
    Caution,
    Edition,
    Given,
    Handout,
    Heading,
    Line,
    Paragraph,
    Picture,
    Question,
    Ruled,
    Table,
    WorkedPart,
)
from railwright.documents.handout.maths import Maths
from railwright.documents.handout.pictures import Pictures, Way, printed
from railwright.documents.lesson.authored import LessonFile
from railwright.documents.lesson.markup import amount, named
from railwright.documents.lesson.material import Material
from railwright.documents.lesson.questions import Question as Told
from railwright.documents.lesson.questions import questions
from railwright.documents.working import work
from railwright.documents.working_numbers import how_far
from railwright.documents.working_steps import Section, Step, Worked, Working
from railwright.documents.working_wording import CAUTION_HEADING, FOOT, GIVEN_HEADING, groups
from railwright.figures.board import BEYOND_TOUCH, CAUTION, key_readings
from railwright.figures.caption import describe_schematic
from railwright.figures.touch import TOUCHED_DC, TOUCHED_RMS, is_beyond_touch
from railwright.readings import split, unit_of
from railwright.study import Study

#: With fewer readings than that worked by hand, everything is worked that has a formula.
_FEWEST: Final = 3
_MOST_MEASURED: Final = 7
_MOST_REASONS: Final = 2
#: What a circuit may take of the first page. [mm]
_CIRCUIT_HEIGHT: Final = 61.0
#: Smallest size of a circuit's pixel: its words are then 7 points high. [mm]
_LEAST_PIXEL: Final = 0.45 * 25.4 / 72.0
_BADGES: Final[MappingProxyType[Edition, str]] = MappingProxyType(
    {"student": "Student's copy", "teacher": "Teacher's copy, with answers"}
)
#: What reads each measure on the bench. (common practice, no source)
_INSTRUMENTS: Final = MappingProxyType(
    {
        "voltage.mean": "meter, DC range",
        "voltage.ripple_peak_to_peak": "oscilloscope, AC coupled",
        "voltage.ripple_rms": "true-RMS meter, AC range",
        "voltage.ripple_factor": "AC reading over DC reading",
        "voltage.ripple_ratio": "ripple on the screen over DC reading",
        "current.mean": "ammeter, DC range",
        "current.peak": "oscilloscope, sense resistor",
        "current.valley": "oscilloscope, sense resistor",
        "reverse_voltage.peak": "oscilloscope, floating source",
    }
)
_NO_FORMULA: Final = "–"
_NO_BOOK: Final = "No book has a formula for this circuit: what is measured stands beside what is computed."
_ROUNDING: Final = 1e-9
_VALUE: Final = re.compile(r"(?P<letter>.*?) = (?P<value>[^=]*)", re.DOTALL)


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """Everything that both copies are made of; each thing is made once."""

    study: Study
    course: Course
    lesson: LessonFile | None = None

    @cached_property
    def pictures(self) -> Pictures:
        """The figures."""
        return Pictures(study=self.study, course=self.course)

    @cached_property
    def _material(self) -> Material:
        return Material(study=self.study, course=self.course, edition="teacher")

    @cached_property
    def working(self) -> Working:
        """The working by hand of what a class meets first; of everything where that is next to nothing."""
        first = self._material.first_readings
        wanted = first if len(first) >= _FEWEST else ()
        return work(self.study, self.course, wanted, charts=False)

    @cached_property
    def questions(self) -> tuple[Told, ...]:
        """Questions about the same supply with a number changed."""
        return questions(self.study, self.course, self._material.reservoir)

    @cached_property
    def measured(self) -> tuple[str, ...]:
        """Readings that a bench can show, in the order of the working."""
        wanted = [
            *self._material.first_readings,
            *key_readings(self.study),
            f"{self._material.reservoir}.voltage.ripple_rms",
        ]
        found = []
        for reading in dict.fromkeys(wanted):
            name = split(reading)
            is_ratio = name.measure in ("ripple_factor", "ripple_ratio")
            if f"{name.kind}.{name.measure}" not in _INSTRUMENTS or self.study.readings.computed(reading) is None:
                continue
            if is_ratio and name.measure != self.course.ripple_factor_reading:
                continue
            found.append(reading)
        return tuple(_without_twins(found, self.study)[:_MOST_MEASURED])

    @property
    def title(self) -> str:
        """The lesson's own title, else the sheet's."""
        return (self.lesson.title if self.lesson is not None else "") or self.study.title or "Supply"


def handout(sheet: Sheet, edition: Edition) -> Handout:
    """One copy of a hand-out."""
    course = sheet.course
    return Handout(
        edition=edition,
        title=printed(sheet.title),
        badge=course.say(_BADGES[edition]),
        course=course.title or course.words.upper(),
        fields=("Bench code", "Class", "Date") if edition == "student" else (),
        foot=course.say(_foot(sheet.study)),
        language=course.language,
        paper=course.paper,
        blocks=tuple(_Copy(sheet=sheet, edition=edition).blocks()),
    )


_LOW_VOLTAGE_CAUTION: Final = (
    "Sealed, isolated low-voltage source only; power off before any change; follow local codes."
)


def _foot(study: Study) -> str:
    """The caution that stands under every page."""
    if is_beyond_touch(study):
        return BEYOND_TOUCH
    return CAUTION if study.supply.mains.source == "outlet" else _LOW_VOLTAGE_CAUTION


@dataclass(frozen=True, kw_only=True)
class _Copy:
    sheet: Sheet
    edition: Edition

    @property
    def is_key(self) -> bool:
        return self.edition == "teacher"

    def say(self, text: str) -> str:
        return printed(self.sheet.course.say(text))

    def blocks(self) -> Iterator[Block]:
        yield from self._circuit()
        yield from self._way()
        yield from self._waveforms()
        yield from self._by_hand()
        yield from self._bench()
        yield from self._now_you()

    # -- the circuit, and what is given ---------------------------------------------------------

    def _circuit(self) -> Iterator[Block]:
        sheet = self.sheet
        yield Heading(text=self.say("The circuit"))
        for note in (sheet.lesson.note if sheet.lesson is not None else "", sheet.study.supply.note):
            if note.strip():
                yield Paragraph(text=printed(" ".join(note.split())))
        circuit = sheet.pictures.circuit
        if circuit is not None:
            yield Picture(scene=circuit, highest=max(_CIRCUIT_HEIGHT, _LEAST_PIXEL * circuit.height))
        else:
            yield Paragraph(text=self.say(describe_schematic(sheet.study)))
        rows = tuple(self._given())
        if rows:
            yield Heading(text=self.say(GIVEN_HEADING))
            yield Given(rows=rows)

    def _given(self) -> Iterator[tuple[Maths, str, bool]]:
        """Numbers of the sheet that the lines below take; what is counted in the circuit is left to the student."""
        used = " ".join(step.latex for step in self._shown_steps() if step.kind in ("formula", "where"))
        for step in self.sheet.working.given:
            letter, value = _split(step.latex)
            if not _occurs(letter, used):
                continue
            plain = _split(step.plain)
            if not self.is_key and _is_count(step):
                yield Maths(latex=rf"{letter} =", plain=f"{plain[0]} ="), self.say(f"{step.text} (count them)"), False
            else:
                yield Maths(latex=step.latex, plain=step.plain), printed(step.text), True

    def _shown_steps(self) -> Iterator[Step]:
        for section in self.sheet.working.sections:
            for worked in section.worked[:1]:
                yield from worked.steps

    # -- the way of the current ---------------------------------------------------------

    def _way(self) -> Iterator[Block]:
        ways = self.sheet.pictures.ways
        if not ways:
            return
        flow = "conventional current" if self.sheet.course.current_direction == "conventional" else "electron flow"
        yield Heading(text=self.say("The way of the current"))
        task = (
            f"Mark the way of the {flow} from one end of the source to the other, with arrows; cross out the diodes "
            "that block."
        )
        if self.is_key:
            task = (
                f"The outlined ribbon is the way of the {flow}, the broader the larger; the numbers give the order in "
                "which it meets the parts. A hatched diode blocks, with the voltage across it at that moment."
            )
        yield Paragraph(text=self.say(task), kind="task")
        for way in ways:
            scene = way.full if self.is_key else way.empty
            yield Asked(title=way.title, scene=scene, blanks=tuple(self._blanks(way)))

    def _blanks(self, way: Way) -> Iterator[Answered]:
        asked = [("Conducting", way.conducting), ("Blocking", way.blocking)]
        if self.sheet.pictures.drawing is not None:
            asked.append(("Parts in the order of the current", way.stops))
        for label, names in asked:
            answer = ", ".join(names) or "none"
            yield Answered(label=self.say(label), answer=self.say(answer) if self.is_key else None)

    # -- waveforms ---------------------------------------------------------

    def _waveforms(self) -> Iterator[Block]:
        pictures = self.sheet.pictures
        yield Heading(text=self.say("Waveforms"))
        if self.is_key:
            yield Picture(scene=pictures.waveforms)
            return
        task = (
            "Under the source, draw the other waveforms on the same time axis. Choose a scale for each and write it "
            "down. Mark where diodes conduct, and dimension the ripple."
        )
        yield Paragraph(text=self.say(task), kind="task")
        yield Picture(scene=pictures.empty_waveforms)

    @property
    def _has_formulas(self) -> bool:
        return any(section.worked for section in self.sheet.working.sections)

    # -- by hand ---------------------------------------------------------

    def _by_hand(self) -> Iterator[Block]:
        course, working = self.sheet.course, self.sheet.working
        if not self._has_formulas:
            return
        yield Heading(text=self.say("By hand"))
        if self.is_key:
            yield self._basis()
        if not self.is_key:
            carried = "round only what you write down"
            if course.rounding == "each":
                carried = "round each result before it goes on"
            text = f"To {course.digits} significant figures; {carried}. Put in the numbers with their units."
            yield Paragraph(text=self.say(text), kind="task")
        for section in working.sections:
            if section.worked:
                yield self._part(section)

    def _part(self, section: Section) -> WorkedPart:
        worked = section.worked[0]
        source = next((step for step in worked.steps if step.kind == "from"), None)
        remarks = [step.text for step in worked.steps if step.kind in ("limit", "note")] if self.is_key else []
        return WorkedPart(
            number=section.number,
            heading=printed(section.heading),
            source=None if source is None else self._from(source),
            lines=tuple(self._lines(worked)),
            remarks=tuple(map(printed, remarks)),
        )

    def _from(self, step: Step) -> Maths:
        if self.is_key:
            return Maths(latex=step.latex, plain=step.plain)
        return Maths(latex=_letters_of(step.latex, r";\quad ", r",\ "), plain=_letters_of(step.plain, "; ", ", "))

    def _lines(self, worked: Worked) -> Iterator[Line]:
        found = [group for group in groups(worked.steps) if group[0].kind == "formula"]
        for group in found:
            by_kind: dict[str, Step] = {step.kind: step for step in group}
            where = tuple(self._explained(step) for step in group if step.kind == "where")
            substitution: Maths | Literal[""] | None = ""
            if "substitution" in by_kind:
                substitution = self._right(by_kind["substitution"])
            # The last line's title is the heading's business.
            lead = "" if group is found[-1] else by_kind["formula"].text
            formula = by_kind["formula"]
            yield Line(
                formula=Maths(latex=formula.latex, plain=formula.plain), lead=printed(lead), where=where,
                substitution=substitution, result=self._right(by_kind["result"]) if "result" in by_kind else None,
            )  # fmt: skip

    def _right(self, step: Step) -> Maths | None:
        """What stands on the right of a line; nothing in the student's copy."""
        if not self.is_key:
            return None
        return Maths(latex=_split(step.latex)[1], plain=_split(step.plain)[1])

    def _explained(self, step: Step) -> tuple[Maths, Maths | Literal[""] | None]:
        """An auxiliary letter: what it stands for, and its value apart."""
        latex, plain = step.latex.split(" = "), step.plain.split(" = ")
        # "α = Δθ/2 = 0.5 rad" explains and gives a value; "α = 0.5 rad" gives one only, "α = Δθ/2" none.
        kept = 2 if len(latex) > 2 or step.value is None else 1
        explained = Maths(latex=" = ".join(latex[:kept]), plain=" = ".join(plain[:kept]))
        if len(latex) == kept:
            return explained, ""
        value = Maths(latex=" = ".join(latex[kept:]), plain=" = ".join(plain[kept:]))
        return explained, value if self.is_key else None

    # -- on the bench ---------------------------------------------------------

    def _bench(self) -> Iterator[Block]:
        working = self.sheet.working
        # Three phases aren't for students, whatever their voltage.
        is_shown = self.sheet.study.supply.mains.phases == 3 or is_beyond_touch(self.sheet.study)
        beside = "by hand and computed" if self._has_formulas else "computed"
        yield Heading(text=self.say(f"Measured beside {beside}"))
        if not self._has_formulas:
            yield self._basis() if self.is_key else Paragraph(text=self.say(_NO_BOOK), kind="task")
        limit = (
            f"A class touches sealed, isolated sources only: at most {TOUCHED_RMS:g} V RMS between any two terminals, "
            f"{TOUCHED_DC:g} V DC anywhere. Power off before any change; the instructor looks before power and after "
            "the readings."
        )
        yield Caution(title=self.say(CAUTION_HEADING), items=(*map(printed, working.cautions), self.say(limit)))
        if not self.sheet.measured:
            return
        last = "demonstrated" if is_shown else "measured"
        columns = {"reading": 0.29, "read with": 0.26, "by hand": 0.11, "computed": 0.12, "by hand is": 0.14}
        columns[last] = 0.13
        left_out = set() if self._has_formulas else {"by hand", "by hand is"}
        if not self.is_key:
            left_out.add("by hand is")
        columns = {head: share for head, share in columns.items() if head not in left_out}
        caption = "Readings by hand, computed and measured"
        yield Table(
            caption=self.say(caption), heading=tuple(map(self.say, columns)), widths=tuple(columns.values()),
            rows=tuple(self._measured_row(reading) for reading in self.sheet.measured),
        )  # fmt: skip
        yield from self._why()

    def _measured_row(self, reading: str) -> tuple[str | None, ...]:
        course, unit = self.sheet.course, unit_of(reading)
        name = split(reading)
        start = printed(named(reading, course)), self.say(_INSTRUMENTS[f"{name.kind}.{name.measure}"])
        computed = amount(self.sheet.study.readings.computed(reading), unit, course) if self.is_key else None
        worked = self._worked_at(reading)
        if not self._has_formulas:
            return *start, computed, None
        if worked is None:
            by_hand: str | None = _NO_FORMULA
        elif self.is_key:
            by_hand = amount(worked.value, unit, course) if unit == "1" else worked.shown
        else:
            by_hand = None
        if not self.is_key:
            return *start, by_hand, None, None
        off = "" if worked is None or worked.difference is None else how_far(worked.difference, course.decimal)
        return *start, by_hand, computed, off, None

    def _worked_at(self, reading: str) -> Worked | None:
        try:
            section = self.sheet.working.section(reading)
        except KeyError:
            return None
        return section.worked[0] if section.worked else None

    def _why(self) -> Iterator[Block]:
        task = (
            "Why do by hand, computed and measured differ? Name the assumption of the formula that matters most here, "
            "and what your instruments and parts add."
        )
        if not self._has_formulas:
            task = "Why do computed and measured differ? Name what your instruments and parts add."
        yield Paragraph(text=self.say(task), kind="task")
        if not self.is_key:
            yield Ruled(count=2)
            return
        reasons = []
        for section in self.sheet.working.sections:
            why = " ".join(step.text for step in section.closing if step.kind == "why")
            if section.worked and why:
                reasons.append((abs(section.worked[0].difference or 0.0), f"{section.heading}. {why}"))
        for _, text in sorted(reasons, key=lambda reason: -reason[0])[:_MOST_REASONS]:
            yield Paragraph(text=printed(text))
        yield Paragraph(text=self.say(_MEASURING), kind="aside")

    # -- now you ---------------------------------------------------------

    def _now_you(self) -> Iterator[Block]:
        if not self.sheet.questions:
            return
        yield Heading(text=self.say("Now you"))
        for number, question in enumerate(self.sheet.questions, start=1):
            room = 3 if "; " in question.text.partition("by hand:")[2] else 2
            answer = tuple(map(printed, _gathered(question.answer))) if self.is_key else None
            yield Question(number=number, text=printed(question.text), answer=answer, room=room)

    def _basis(self) -> Paragraph:
        """What the numbers rest on."""
        study = self.sheet.study
        words = [*self.sheet.working.introduction]
        words += [self.say(f"Fault: {fault.words}.") for fault in study.supply.faults]
        return Paragraph(text=printed(" ".join((*words, FOOT))), kind="basis")


_MEASURING: Final = (
    "A measurement adds its own: tolerance of the parts (20 % of an electrolytic is common), a winding above its "
    "label's voltage at light load, the real diodes, a meter that is right on its AC range for a sine only."
)


def _is_count(step: Step) -> bool:
    """Whether a number is counted rather than measured: whole, and without a unit."""
    return step.unit == "1" and step.value is not None and abs(step.value - round(step.value)) < _ROUNDING


def _gathered(answer: Sequence[str]) -> tuple[str, ...]:
    """An answer's sentences, those on one reading together."""
    together: list[str] = []
    for text in answer:
        if together and ": by hand " not in text:
            together[-1] += f" {text}"
        else:
            together.append(text)
    return tuple(together)


def _split(text: str) -> tuple[str, str]:
    """Left side and the rest of a line."""
    left, _, right = text.partition(" = ")
    return left, right


def _occurs(letter: str, text: str) -> bool:
    """Whether a letter stands in a text of maths as a whole."""
    spellings = [letter]
    if "/" in letter:  # a ratio may stand as a fraction
        above, _, below = letter.partition("/")
        spellings.append(rf"\frac{{{above}}}{{{below}}}")
    return any(re.search(rf"(?<![A-Za-z\\_]){re.escape(one)}(?![A-Za-z_])", text) for one in spellings)


def _letters_of(text: str, between: str, within: str) -> str:
    """ "from 1: A = 5 V, B = 2 V; from 3: …" without the values."""
    parts = []
    for part in text.split(between):
        parts.append(within.join(_VALUE.sub(r"\g<letter>", piece) for piece in part.split(within)))
    return between.join(parts)


def _without_twins(readings: Sequence[str], study: Study) -> list[str]:
    """Of readings of the same measure and value at two places, such as load and reservoir, the first alone."""
    kept: list[str] = []
    seen: set[tuple[str, str]] = set()
    for reading in readings:
        name = split(reading)
        value = study.readings.computed(reading)
        key = (f"{name.kind}.{name.measure}", f"{value:.6g}")
        if key not in seen:
            seen.add(key)
            kept.append(reading)
    return kept
