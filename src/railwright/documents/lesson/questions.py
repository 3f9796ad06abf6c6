"""Questions at the end of a lesson: the same supply with a number changed, so that no answer stands on the page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from railwright.course import Course
from railwright.documents.lesson.markup import amount
from railwright.documents.working import work
from railwright.quantities import format_quantity
from railwright.solver import NoProvableAnswer
from railwright.study import Study, solve
from railwright.supply import SheetError, replace_all, with_fault
from railwright.supply.model import Supply

#: Windings that a question changes to: common values, none above what a class touches. [V] common practice, no source
_VOLTAGES = (6.0, 9.0, 12.0, 15.0, 18.0, 24.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question, and its answer as sentences."""

    text: str
    answer: tuple[str, ...]


def questions(study: Study, course: Course, place: str) -> tuple[Question, ...]:
    """Questions about a study; `place` is where its ripple is read."""
    return tuple(_all(study, course, place))


def _all(study: Study, course: Course, place: str) -> Iterator[Question]:
    mean, ripple = f"{place}.voltage.mean", f"{place}.voltage.ripple_peak_to_peak"
    changed = _other_winding(study)
    if changed is not None:
        yield from _by_hand(*changed, (mean, ripple, "D1.reverse_voltage.peak"), course)
    frequency = study.supply.mains.frequency
    if frequency and round(frequency) in (50, 60):
        to = 110 - round(frequency)
        words = f"The same supply stands where the mains has {to} Hz; all else stays."
        yield from _by_hand(_solved(study, {"mains.frequency": f"{to} Hz"}), words, (ripple,), course)
    yield from _fault(study, course, place)


def _other_winding(study: Study) -> tuple[Study | None, str] | None:
    """The supply with another winding (or adapter), and the words for it."""
    supply = study.supply
    transformer = supply.transformer
    if supply.elements or supply.mains.phases == 3:
        return None
    if transformer is None:
        key, old, what = "mains.voltage", supply.mains.voltage, "source"
    elif transformer.secondary_voltage is not None:
        key, old, what = "transformer.secondary_voltage", transformer.secondary_voltage, "winding"
    else:
        return None
    # The next larger one that a class may touch, else a smaller one.
    new = next((volts for volts in _VOLTAGES if volts > 1.05 * old), max(0.75 * old, 6.0))
    changes = {key: f"{new:.4g} V"}
    said = f"The {what} is changed for one of {changes[key]} RMS"
    if transformer is not None and transformer.open_voltage is not None:
        changes["transformer.open_voltage"] = f"{transformer.open_voltage * new / old:.3g} V"
        said += f" ({changes['transformer.open_voltage']} without load)"
    return _solved(study, changes), f"{said}; all else stays."


def _solved(study: Study, changes: dict[str, str]) -> Study | None:
    try:
        return solve(replace_all(study.supply, changes), study.model)
    except (SheetError, NoProvableAnswer):
        return None


def _by_hand(other: Study | None, words: str, readings: tuple[str, ...], course: Course) -> Iterator[Question]:
    """A question that is worked by hand; its answer is the course's working, and the exact value."""
    if other is None:
        return
    asked = [name for name in readings if name in other.readings and other.readings[name].hand]
    working = work(other, course, asked, charts=False) if asked else None
    names, answers = [], []
    for reading in asked:
        section = working.section(reading) if working is not None else None
        if section is None or not section.worked:
            continue
        names.append(_lower(section.heading))
        taught = section.worked[0]
        answers.append(f"{section.heading}: by hand {taught.shown} ({taught.title}).")
        answers.append(" ".join(step.text for step in section.closing))
    if names:
        text = f"{course.say(words)} Work out by hand: {'; '.join(names)}."
        yield Question(text=text, answer=tuple(filter(None, answers)))


def _lower(words: str) -> str:
    return words if words[1:2].isupper() else words[0].lower() + words[1:]


def _fault(study: Study, course: Course, place: str) -> Iterator[Question]:
    """What an open diode would show on the meter and on the screen."""
    broken = _with_open_diode(study.supply)
    if broken is None:
        return
    try:
        other = solve(broken, study.model)
    except NoProvableAnswer:
        return
    mean, ripple = f"{place}.voltage.mean", f"{place}.voltage.ripple_peak_to_peak"
    broken_mean, broken_ripple, frequency = (
        other.readings.computed(name) for name in (mean, ripple, f"{place}.voltage.ripple_frequency")
    )
    if broken_mean is None or broken_ripple is None:
        return
    name = broken.faults[-1].target
    answer = f"Computed: mean {amount(broken_mean, 'V', course)}, ripple {amount(broken_ripple, 'V', course)}"
    if frequency:
        answer += f" at {format_quantity(frequency, 'Hz', digits=course.digits, decimal=course.decimal)}"
    healthy = study.readings.computed(ripple)
    reason = ""
    if healthy:
        reason = (
            "One pulse a period is missing, so the capacitor discharges for longer before the next one: the ripple is "
            f"{broken_ripple / healthy:.1f} times what it was, at half its frequency. A capacitor that has dried up "
            "also lets the ripple grow, but leaves its frequency as it is."
        )
    yield Question(
        text=course.say(
            f"{name} fails open. What do a DC meter and an oscilloscope show now, and how would you tell this fault "
            "from a capacitor that has dried up?"
        ),
        answer=tuple(course.say(words) for words in (f"{answer}.", reason) if words),
    )


def _with_open_diode(supply: Supply) -> Supply | None:
    two_pulses = supply.rectifier.circuit in ("bridge", "centre-tap")
    has_capacitor = bool(supply.filters) and supply.filters[0].kind == "capacitor" and supply.filters[0].fitted
    if not two_pulses or not has_capacitor or supply.elements or supply.faults:
        return None
    return with_fault(supply, "D2 open")
