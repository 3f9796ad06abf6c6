"""Puts a working by hand together: given, wanted, every formula for it, the check against the exact value, and why."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from railwright.course import Course
from railwright.course.choices import RIPPLE_FORMULAS
from railwright.documents.working_chain import Calculation, Chain, Input
from railwright.documents.working_headings import heading, place_in_words
from railwright.documents.working_lines import (
    derivation,
    figures_of,
    input_letter,
    input_value,
    lines,
)
from railwright.documents.working_maths import write_chain
from railwright.documents.working_numbers import given, how_far, result
from railwright.documents.working_steps import Section, Standing, Step, Worked, Working
from railwright.figures.touch import TOUCHED_DC as TOUCHED_DC
from railwright.figures.touch import TOUCHED_RMS as TOUCHED_RMS
from railwright.figures.touch import is_beyond_touch
from railwright.handbook import explain, look_up
from railwright.readings import Reading, split
from railwright.study import Study

if TYPE_CHECKING:
    from railwright.figures.scene import Scene

#: What is shown of a circuit that no book has formulas for.
_STANDING_ALONE = ("load.voltage.mean", "load.voltage.ripple_peak_to_peak", "load.current.mean")
_OPENING = re.compile(r"Too (?:high|low) by [^(]*\([^)]*\): ")
#: Readings that a study only makes by solving the supply anew.
_FURTHER_SOLVES = (
    "load.voltage.no_load_mean", "load.voltage.regulation", "load.voltage.regulation_on_no_load",
    "load.voltage.line_regulation", "load.output_resistance", "rectifier.voltage.droop",
)  # fmt: skip

#: What a number of the sheet or the circuit is, where the formula's own list says too much or too little.
_MEANINGS = {
    "load_current": "load current",
    "winding_current_factor": "RMS of the winding's current over the mean that it delivers, by a rating rule",
    "diodes_taking_turns": "diodes that share the load current in turn",
}

#: What a formula's list says of a number that it only needs for its range; here it is a number like others.
_TO_JUDGE = ", to judge the validity"


def work(
    study: Study, course: Course, readings: Sequence[str] = (), *, derivations: bool = False, charts: bool = True
) -> Working:
    """The working by hand of a solved supply, as a student of the course should write it.

    Parameters
    ----------
    study : Study
        The supply, solved; its values are what the working is checked against.
    course : Course
        Letters, words, drop, formulas, digits.
    readings : sequence of str
        What is wanted, by reading ids; everything that has a value by hand if empty.
    derivations : bool
        Whether each formula brings the lines that it follows from.
    charts : bool
        Whether a ripple brings the chart of where each of its formulas is good.

    Raises
    ------
    UnknownReading
        If no supply has such a reading.
    """
    return _Assembly(study, course, derivations=derivations, charts=charts).working(tuple(readings))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wanted:
    """Readings that are worked in one go."""

    readings: tuple[str, ...]
    calculations: tuple[Calculation, ...]
    asked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Given:
    """A number of the sheet, and the place for which it was first needed."""

    known: Input
    place: str


class _Assembly:
    def __init__(self, study: Study, course: Course, *, derivations: bool, charts: bool) -> None:
        self.study, self.course = study, course
        self.derivations, self.charts = derivations, charts
        self.chain = Chain(study.supply, study.model, course)
        self.numbers: dict[str, int] = {}  # reading -> its section
        self.written: dict[tuple[str, tuple[float, ...]], int] = {}  # step on the way -> the section that shows it
        self.given: dict[tuple[str, float], _Given] = {}

    def working(self, readings: tuple[str, ...]) -> Working:
        if not readings and not self.chain.readings:
            readings = tuple(name for name in _STANDING_ALONE if name in self.study.readings)
        wanted = self._in_order(self._asked(readings) if readings else self._everything())
        for number, group in enumerate(wanted, start=1):
            self.numbers.update({reading: number for reading in group.readings if reading not in self.numbers})
        sections = tuple(self._section(number, group) for number, group in enumerate(wanted, start=1))
        return Working(
            title=self.study.title or "Supply",
            course=self.course.title or self.course.words.upper(),
            language=self.course.language,
            paper=self.course.paper,
            model=self.study.model,
            introduction=self._introduction(),
            given=tuple(self._given_steps()),
            sections=sections,
            cautions=tuple(self.course.say(sentence) for sentence in _cautions(self.study)),
            own_note=self.study.supply.note.strip(),
        )

    # -- what is wanted, and in which order ---------------------------------------------------------

    def _asked(self, readings: tuple[str, ...]) -> list[_Wanted]:
        for reading in readings:
            self.study.readings.ask(reading)
        return [
            _Wanted(readings=(reading,), calculations=self.chain.calculations(reading), asked=True)
            for reading in dict.fromkeys(readings)
        ]

    def _everything(self) -> list[_Wanted]:
        """Every reading by hand, those that are worked alike together; the reservoir's own only where it has to be."""
        groups: dict[tuple[object, ...], list[str]] = {}
        shown_at_load = set()
        for at_load in (True, False):
            for reading in self.chain.readings:
                name = split(reading)
                if name.place.startswith("load") is not at_load or self._is_other_definition(name.measure):
                    continue
                preferred = self.chain.preferred(reading)
                if preferred is None:
                    continue
                measure = f"{name.kind}.{name.measure}"
                drawn = preferred.result.places.get("drawn", "") if preferred.result is not None else ""
                size = (measure, drawn, preferred.value)
                if at_load:
                    shown_at_load.add(size)
                elif name.kind == "voltage" and name.place[0] in "CU" and size in shown_at_load:
                    continue  # a reservoir straight across its load would say everything twice
                same = tuple((c.method.id, tuple(c.values.items())) for c in self.chain.calculations(reading))
                groups.setdefault((measure, preferred.sign, name.place.startswith("load"), same), []).append(reading)
        order = {reading: place for place, reading in enumerate(self.chain.readings)}
        firsts = sorted(groups.values(), key=lambda group: order[group[0]])
        return [
            _Wanted(readings=tuple(group), calculations=self.chain.calculations(group[0]), asked=True)
            for group in firsts
        ]

    def _is_other_definition(self, measure: str) -> bool:
        """Of two ratios that books call ripple factor, the one that this course doesn't."""
        return measure in ("ripple_factor", "ripple_ratio") and measure != self.course.ripple_factor_reading

    def _in_order(self, wanted: list[_Wanted]) -> list[_Wanted]:
        """What a calculation needs stands before it; what was not asked for comes in where it is first needed."""
        by_reading = {reading: group for group in wanted for reading in group.readings}
        placed: dict[str, _Wanted] = {}

        def place(group: _Wanted) -> None:
            if group.readings[0] in placed:
                return
            for calculation in group.calculations:
                for reading in _needed(calculation):
                    needed = by_reading.get(reading)
                    if needed is None:
                        needed = by_reading[reading] = self._on_the_way(reading)
                    if needed is not group:
                        place(needed)
            placed[group.readings[0]] = group

        for group in wanted:
            place(group)
        return list(placed.values())

    def _on_the_way(self, reading: str) -> _Wanted:
        preferred = self.chain.preferred(reading)
        return _Wanted(readings=(reading,), calculations=(preferred,) if preferred else (), asked=False)

    # -- one section ---------------------------------------------------------

    def _section(self, number: int, group: _Wanted) -> Section:
        computed = [self.study.readings.ask(reading) for reading in group.readings]
        exact = computed[0]
        taught, *others = group.calculations or (None,)
        ranked = [taught, *sorted((c for c in others if c), key=lambda c: abs(_off(c, exact) or 0.0))] if taught else []
        worked = [
            self._worked(calculation, exact, self._standing(calculation, place, len(ranked)), number)
            for place, calculation in enumerate(ranked)
            if calculation is not None
        ]
        chart: Scene | None = None
        table: tuple[tuple[str, ...], ...] = ()
        if self.charts and len(worked) > 1 and group.asked:
            chart, table = self._chart([c for c in ranked if c is not None])
        return Section(
            number=number,
            heading=heading(group.readings, self.course),
            readings=group.readings,
            asked=group.asked,
            worked=tuple(worked),
            closing=tuple(self._closing(taught, computed, worked)),
            exact=exact.value,
            unit=exact.unit,
            chart=chart,
            chart_table=table,
        )

    def _standing(self, calculation: Calculation, place: int, count: int) -> Standing:
        if not self.course.accepts(calculation.method.id):
            return "not accepted"
        if count == 1:
            return "only"
        rank = self.course.rank(calculation.method.id)
        if rank is None:
            return "other"
        return "taught" if place == 0 else "accepted"

    def _worked(self, calculation: Calculation, exact: Reading, standing: Standing, number: int) -> Worked:
        steps = [*self._leading_here(calculation, number), *lines(calculation, self.course)]
        formula = look_up(calculation.method.id)
        if not calculation.valid:
            sentence = f"Used beyond its range. {formula.validity.sentence}"
            steps.append(Step(kind="limit", text=self.course.say(sentence)))
        self._remember(calculation, calculation)
        off = _off(calculation, exact)
        value = calculation.sign * calculation.unrounded
        return Worked(
            formula=calculation.method.id,
            title=self.course.say(calculation.method.title),
            standing=standing,
            steps=tuple(steps),
            value=value,
            unit=calculation.method.result.unit,
            shown=result(value, calculation.method.result.unit, figures_of(self.course)).plain,
            difference=off,
            difference_shown="" if off is None else _in_size(how_far(off, self.course.decimal), exact.value),
            valid=calculation.valid,
            source=str(formula.source),
            derivation=derivation(formula, self.course) if self.derivations else (),
        )

    def _leading_here(self, calculation: Calculation, number: int) -> Iterable[Step]:
        """From which section each number comes, then the steps on the way that no section holds yet."""
        here: list[Calculation] = []
        found: dict[int, dict[str, Input]] = {}

        def look(user: Calculation) -> None:
            for known in user.inputs:
                origin = known.origin
                if origin is None or not self._is_put_in(known, user):
                    continue
                section = self.numbers.get(origin.reading) or self.written.get(_key(origin))
                if section is not None and section != number:
                    found.setdefault(section, {})[input_letter(known, self.course).plain] = known
                elif section is None:
                    self.written[_key(origin)] = number
                    look(origin)
                    here.append(origin)

        look(calculation)
        if found:
            yield self._from_step({section: tuple(known.values()) for section, known in found.items()})
        for step in here:
            self._remember(step, calculation)
            yield from lines(step, self.course)

    def _from_step(self, found: Mapping[int, Sequence[Input]]) -> Step:
        plain, latex = [], []
        for section in sorted(found):
            both = [
                write_chain([input_letter(known, self.course), input_value(known, self.course)], ["="])
                for known in found[section]
            ]
            plain.append(f"from {section}: " + ", ".join(one.plain for one in both))
            latex.append(rf"\text{{from {section}: }}" + r",\ ".join(one.latex for one in both))
        text = "; ".join(plain)
        return Step(kind="from", plain=text[0].upper() + text[1:], latex=r";\quad ".join(latex))

    def _is_put_in(self, known: Input, calculation: Calculation) -> bool:
        """Whether the formula takes the number itself; some only serve to judge its range."""
        formula = look_up(calculation.method.id) if calculation.method.is_handbook else None
        optional = {symbol.name for symbol in formula.quantities if symbol.optional} if formula else set()
        return known.symbol.name not in optional

    def _remember(self, calculation: Calculation, user: Calculation) -> None:
        """Numbers of the sheet that this calculation takes: they belong under what is given."""
        places = user.result.places if user.result is not None else {}
        for known in calculation.inputs:
            if known.origin is None:
                place = places.get("here" if known.symbol.name == "source_rms" else "drawn", "")
                self.given.setdefault((known.named.name, known.value), _Given(known=known, place=place))

    def _given_steps(self) -> Iterable[Step]:
        names = [name for name, _ in self.given]
        for (name, _), entry in self.given.items():
            known = entry.known
            both = write_chain([input_letter(known, self.course), input_value(known, self.course)], ["="])
            meaning = _MEANINGS.get(name, known.named.meaning.split(":")[0].removesuffix(_TO_JUDGE))
            # Two of the same letter: say whose each is.
            if names.count(name) > 1 and entry.place:
                meaning += f", at {place_in_words(entry.place)}"
            yield Step(
                kind="given", text=self.course.say(meaning), latex=both.latex, plain=both.plain, value=known.value,
                unit=known.symbol.unit,
            )  # fmt: skip

    # -- check, and why ---------------------------------------------------------

    def _closing(
        self, taught: Calculation | None, computed: Sequence[Reading], worked: Sequence[Worked]
    ) -> Iterable[Step]:
        exact = computed[0]
        if exact.value is None:
            yield Step(kind="check", text=self.course.say(f"There is no exact value. {exact.reason}"))
            return
        sentence = f"Exact: {self._values(computed)}."
        if not worked:
            sentence += " The handbook has no formula for it."
        elif worked[0].difference_shown:
            sentence += f" By hand {_verb(worked[0].difference_shown)}."
        yield Step(kind="check", text=self.course.say(sentence), value=exact.value, unit=exact.unit)
        agrees = bool(worked) and worked[0].difference_shown.startswith("agrees")
        why = "" if agrees else self._why(taught, exact)
        if why:
            yield Step(kind="why", text=why)

    def _values(self, computed: Sequence[Reading]) -> str:
        """The exact value; several where the places differ in the digits shown."""
        figures = replace(figures_of(self.course), decimal=".")
        shown: dict[str, list[str]] = {}
        for reading in computed:
            if reading.value is not None:
                text = result(reading.value, reading.unit, figures).plain
                shown.setdefault(text, []).append(split(reading.id).place)
        if len(shown) == 1:
            return next(iter(shown))
        return ", ".join(f"{text} ({', '.join(places)})" for text, places in shown.items())

    def _why(self, taught: Calculation | None, exact: Reading) -> str:
        if taught is None or taught.result is None:
            return ""
        sentence = why_by_hand(taught, self._facts(exact), self.course)
        if not sentence or sentence.startswith("By hand and computed agree"):
            return ""
        # Size and direction stand in the line above already.
        opening = _OPENING.match(sentence)
        sentence = sentence[opening.end() :] if opening else sentence
        # So does the range.
        sentence = sentence.partition(" It is used outside its range:")[0]
        return self.course.say(sentence[0].upper() + sentence[1:])

    @cached_property
    def _known(self) -> dict[str, float]:
        """What the explanations may use: every computed value that needs no further solve."""
        found = {}
        for name in self.study.readings:
            if ".harmonic_" not in name and name not in _FURTHER_SOLVES:
                value = self.study.readings.computed(name)
                if value is not None:
                    found[name] = value
        return found

    def _facts(self, exact: Reading) -> dict[str, float]:
        facts = dict(self._known)
        if exact.value is not None:
            facts[exact.id] = exact.value
        return facts

    # -- the chart ---------------------------------------------------------

    def _chart(self, ranked: Sequence[Calculation]) -> tuple[Scene | None, tuple[tuple[str, ...], ...]]:
        """Where each ripple formula is good, as a figure and in numbers; nothing for other readings."""
        from railwright.figures.validity import TOLD, ripple_curves, told, validity_scene

        first = ranked[0].result
        if first is None or not all(calculation.method.id in RIPPLE_FORMULAS for calculation in ranked):
            return None, ()
        known = first.circumstances
        if "load_resistance" not in known or known["pulses"] not in (1.0, 2.0):
            return None, ()
        own = 2.0 * math.pi * known["mains_frequency"] * known["load_resistance"] * known["capacitance"]
        say, decimal = self.course.say, self.course.decimal
        curves = ripple_curves(
            [calculation.method.id for calculation in ranked],
            [say(calculation.method.title) for calculation in ranked],
            pulses=known["pulses"],
        )
        here = f"here, {own:.3g}".replace(".", decimal)
        table = [("ωRC", *(f"{place:g}" for place in TOLD), here)]
        table += [(curve.label, *(told(curve, place, decimal) for place in (*TOLD, own))) for curve in curves]
        return validity_scene(curves, own=own, decimal=decimal), tuple(table)

    # -- around it ---------------------------------------------------------

    def _introduction(self) -> tuple[str, ...]:
        course, study, figures = self.course, self.study, figures_of(self.course)
        carried = "each result is rounded before it goes on"
        if course.rounding == "final":
            carried = "results go on in full, shown with one figure more"
        emf = ", ".join(f"{place} {given(value, 'V', figures).plain}" for place, value in study.emf.items())
        sentences = [
            f"Course: {course.title or course.words.upper()}. {course.digits} significant figures; {carried}.",
            f"Checked against the exact solution of the circuit, model {study.model}, with the EMF that the model "
            f"takes: {emf} RMS.",
        ]
        drop = study.supply.rectifier.diode.drop
        if course.diode_drop is not None and course.diode_drop != drop and study.model != "ideal":
            by_hand, stated = (given(value, "V", figures).plain for value in (course.diode_drop, drop))
            sentences.append(f"Diode drop by hand: {by_hand}, the course's; in the exact values {stated}, the sheet's.")
        if study.supply.faults:
            sentences.append("The circuit is faulty, and no book has formulas for that: the exact values stand alone.")
        elif not self.chain.results:
            sentences.append("The handbook has no formulas for this circuit: the exact values stand alone.")
        sentences += dict.fromkeys((*study.supply.notes, *study.notes))
        return tuple(course.say(sentence) for sentence in sentences)


def why_by_hand(calculation: Calculation, facts: Mapping[str, float], course: Course) -> str:
    """Why a calculation as the course works it differs from the computed value, in our words; "" if nobody knows."""
    if calculation.result is None:
        return ""
    worked = replace(
        calculation.result, value=calculation.sign * calculation.unrounded, givens=dict(calculation.values)
    )
    explanation = explain(worked, facts, digits=course.digits)
    return "" if explanation is None else explanation.sentence


def _key(calculation: Calculation) -> tuple[str, tuple[float, ...]]:
    return calculation.method.id, tuple(calculation.values.values())


def _needed(calculation: Calculation) -> Iterable[str]:
    """Readings whose result goes into a calculation, straight or by a step on the way."""
    for known in calculation.inputs:
        if known.origin is None:
            continue
        if known.origin.reading:
            yield known.origin.reading
        else:
            yield from _needed(known.origin)


def _off(calculation: Calculation, exact: Reading) -> float | None:
    """How far by hand is from the computed value, relative to that. [-]"""
    if not exact.value:
        return None
    off = (calculation.sign * calculation.unrounded - exact.value) / exact.value
    return off if math.isfinite(off) else None


def _in_size(difference: str, exact: float | None) -> str:
    """Of a negative value "high" and "low" could mean either way: then the size is spoken of."""
    if exact is None or exact >= 0.0:
        return difference
    return difference.replace("too high", "too large").replace("too low", "too small")


def _verb(difference: str) -> str:
    return difference if difference.startswith("agrees") else f"is {difference}"


def _cautions(study: Study) -> Iterable[str]:
    """What must stand under a page that could lead someone to build the supply."""
    supply = study.supply
    yield "This page works out a circuit; it is no leave to build one. Local codes and licensed practice come first."
    if supply.mains.source == "outlet":
        yield (
            "Mains voltage kills. The mains side stays closed, fused and earthed; work on it belongs to qualified "
            "people."
        )
    if any(split(reading).place[0] == "C" for reading in study.readings):
        yield (
            "A capacitor bites after the plug is out: discharge it through a resistor, and measure before you touch "
            "it. An electrolytic that is reversed, or above its rated voltage, can burst."
        )
    yield "Diodes, resistors, transformers and regulators get hot enough to burn."
    if is_beyond_touch(study):
        yield (
            f"More than {TOUCHED_RMS:g} V RMS or {TOUCHED_DC:g} V DC can stand between two terminals here: computed "
            "and demonstrated, not built by students."
        )
