"""What the film says: a caption for each conduction interval and for each picture, computed from the solution."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from railwright.documents.lesson.markup import amount
from railwright.figures.board import shown_intervals
from railwright.figures.caption import interval_parts, joined
from railwright.figures.instant import caption_at, way_at
from railwright.figures.rows import reading_value
from railwright.figures.states import telling_states
from railwright.quantities import format_quantity
from railwright.readings import unit_of

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.documents.lesson.material import Material
    from railwright.figures.stages import Stage
    from railwright.study import ConductionInterval, Study

__all__ = [
    "LONGEST", "Told", "circuit_words", "load_words", "pictured", "stage_words", "told_intervals",
]  # fmt: skip

#: A caption longer than that doesn't fit under the picture: it ends with the last whole sentence that does.
LONGEST = 240
#: An interval shorter than that passes between two frames: the picture stays that of the one before. [deg]
_UNSEEN = 0.6
#: A shorter one is named, its way isn't told. [deg]
_SHORT = 3.0
#: More ways than that aren't told in full: those of the board's pictures are.
_MOST_WAYS = 4
_SHORT_WORDS = 70
_LONGEST_BLOCKED = 85
_ALIKE = 0.9  # share of the longest interval


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A stretch of the period with its caption."""

    start: float  # [deg]
    end: float  # [deg]
    at: float  # the moment that picture and numbers belong to [deg]
    interval: ConductionInterval
    heading: str  # "56.8° to 118.8°: D1 and D4 conduct"
    blocked: str  # "D2 and D3 block up to 24.4 V", or ""
    caption: str


def told_intervals(study: Study, course: Course) -> tuple[Told, ...]:
    """The conduction intervals of the period in order, each with what is said while it is shown."""
    seen = [interval for interval in study.conduction if interval.end - interval.start >= _UNSEEN]
    in_full = _told_in_full(study, seen)
    found: list[Told] = []
    first_with: dict[tuple[str, ...], Told] = {}
    for number, interval in enumerate(seen):
        # What lies unseen between two belongs to the one before; the first begins with the period.
        start = found[-1].end if found else 0.0
        end = seen[number + 1].start if number + 1 < len(seen) else study.conduction[-1].end
        at = (interval.start + interval.end) / 2
        heading, blocked = interval_parts(interval)
        blocked = _blocked(blocked, interval)
        before = first_with.get(interval.on)
        caption = _caption(study, course, interval, at, is_full=interval.on in in_full, before=before)
        told = Told(
            start=start, end=end, at=at, interval=interval, heading=course.say(heading), blocked=course.say(blocked),
            caption=course.say(caption),
        )  # fmt: skip
        first_with.setdefault(interval.on, told)
        found.append(told)
    return tuple(found)


def pictured(study: Study) -> tuple[ConductionInterval, ...]:
    """The intervals worth a picture each: those of the board, or the first two of many that are as long."""
    shown = shown_intervals(study)
    conducting = [interval for interval in study.conduction if interval.on]
    if len({interval.on for interval in conducting}) <= _MOST_WAYS:
        return shown
    longest = max(interval.end - interval.start for interval in conducting)
    alike = [interval for interval in conducting if interval.end - interval.start >= _ALIKE * longest]
    return tuple(alike[:2]) if len(alike) >= 2 else shown


def _told_in_full(study: Study, seen: list[ConductionInterval]) -> set[tuple[str, ...]]:
    """The sets of diodes whose way is told sentence by sentence."""
    ways = {interval.on for interval in seen if interval.end - interval.start >= _SHORT}
    if len(ways) <= _MOST_WAYS:
        return ways
    return {interval.on for interval in (*pictured(study), *(one for one in seen if not one.on))}


def _blocked(words: str, interval: ConductionInterval) -> str:
    """What the other diodes block; of many only how many, and the most."""
    if len(words) <= _LONGEST_BLOCKED:
        return words
    most = format_quantity(max(interval.blocking.values()), "V", digits=3)
    return f"{len(interval.blocking)} diodes block, up to {most}"


def _caption(
    study: Study, course: Course, interval: ConductionInterval, at: float, *, is_full: bool, before: Told | None
) -> str:
    on = interval.on
    who = f"{joined(on)} conduct{'s' if len(on) == 1 else ''}" if on else "No diode conducts"
    states = [f"{name}: {words}." for name, words in telling_states(interval.states).items()]
    length = interval.end - interval.start
    way = way_at(study, at, course.current_direction)
    if is_full and before is not None and before.interval.end - before.interval.start >= _SHORT:
        if way.passed == way_at(study, before.at, course.current_direction).passed:
            same = "No current flows" if not way.passed else f"The same way as at {before.at:.0f}°"
            return " ".join((f"{who}. {same}.", *states))
    if is_full and length >= _SHORT:
        return _whole_sentences((f"{who}.", *way.sentences, *states))
    source = caption_at(study, at, course.current_direction).partition(". ")[0]
    if length >= _SHORT and len(source) <= _SHORT_WORDS and " above " in source or " highest" in source:
        return " ".join((f"{who}: {source[:1].lower() + source[1:]}.", *states))
    return " ".join((f"{who}, for {length:.1f}° only." if length < _SHORT else f"{who}, for {length:.1f}°.", *states))


def _whole_sentences(sentences: tuple[str, ...]) -> str:
    text = sentences[0]
    for sentence in sentences[1:]:
        if len(text) + 1 + len(sentence) > LONGEST:
            break
        text = f"{text} {sentence}"
    return text


# ---------------------------------------------------------------- the other pictures


def stage_words(study: Study, stage: Stage, course: Course) -> str:
    """One stage in a line: its name, what it is made of, its first reading."""
    words = f"{stage.name}, {stage.made_of}" if stage.made_of else stage.name
    for reading, name in stage.readings[:1]:
        value = amount(reading_value(study, reading), unit_of(reading), course)
        return course.say(f"{words}: {name} ") + f"{value}."
    return course.say(f"{words}.")


def circuit_words(description: str, course: Course) -> str:
    """What the circuit is made of."""
    words = description.removeprefix("Circuit: ")
    return course.say(words[:1].upper() + words[1:])


def load_words(material: Material) -> str:
    """What the load sees, with the capacitor and without it."""
    course, at = material.course, material.load
    mean, ripple = f"{at}.voltage.mean", f"{at}.voltage.ripple_peak_to_peak"
    return " ".join(_load_sentences(material, course, mean, ripple))


def _load_sentences(material: Material, course: Course, mean: str, ripple: str) -> Iterator[str]:
    who = "The positive rail" if material.study.supply.is_dual else "The load"
    text = course.say(f"{who} gets a mean of ") + amount(material.value(mean), "V", course)
    value = material.value(ripple)
    if value is not None and value > 1e-6 * abs(material.value(mean) or 1.0):
        text += course.say(" with a ripple of ") + amount(value, "V", course) + course.say(", peak to peak")
    yield f"{text}."
    if material.bare is not None:
        plain = material.bare.readings
        without = course.say("Without the capacitor: a mean of ") + amount(plain.computed(mean), "V", course)
        if plain.computed(ripple) is not None:
            without += course.say(", a ripple of ") + amount(plain.computed(ripple), "V", course)
        yield f"{without}."
