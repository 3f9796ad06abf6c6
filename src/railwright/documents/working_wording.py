"""The few words that every rendering of a working shares: how a formula stands in the course, headings, the foot."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from railwright.documents.working_steps import Section, Standing, Step, Worked
from railwright.readings import split

STANDING: Final[Mapping[Standing, str]] = MappingProxyType(
    {
        "taught": "taught first",
        "accepted": "accepted",
        "not accepted": "not accepted in this course",
        "other": "also in books",
        "only": "",
    }
)
CHART_HEADING: Final = "Error of each against the exact solution for ideal diodes and a stiff source, by ωRC"
CHECK_HEADING: Final = "Check"
DERIVATION_HEADING: Final = "Where it comes from"
GIVEN_HEADING: Final = "Given"
CAUTION_HEADING: Final = "Before anybody builds it"
SUBTITLE: Final = "Working by hand"
FOOT: Final = "What is made with railwright belongs to its maker."


def standing(worked: Worked) -> str:
    """How the formula stands in the course, in a word or two."""
    return STANDING[worked.standing]


def mark(place: int) -> str:
    """The letter of an alternative: (a), (b), …"""
    return f"({chr(ord('a') + place)})"


def ids(section: Section) -> str:
    """The readings of a section: "D1.current.peak, also D2, D3, D4"."""
    first, *others = section.readings
    if not others:
        return first
    return f"{first}, also at {', '.join(split(other).place for other in others)}"


def opening(section: Section) -> str:
    """Heading with its number; what was not asked for says so."""
    return f"{section.number}. {section.heading}" + ("" if section.asked else " (needed on the way)")


def groups(steps: Sequence[Step]) -> Iterator[tuple[Step, ...]]:
    """Steps that stand together: a formula with its numbers and its result; everything else alone."""
    together: list[Step] = []
    for step in steps:
        if step.kind == "formula" and together:
            yield tuple(together)
            together = []
        if step.kind in ("formula", "where", "substitution", "result"):
            together.append(step)
            if step.kind == "result":
                yield tuple(together)
                together = []
        else:
            yield (step,)
    if together:
        yield tuple(together)


def ranking(section: Section) -> tuple[tuple[str, ...], ...]:
    """The formulas of a section beside each other: title, value, how far off, how it stands."""
    return tuple(
        (worked.title, worked.shown, worked.difference_shown, standing(worked)) for worked in section.worked
    )
