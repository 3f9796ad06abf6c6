"""The working by hand as data: frozen steps, gathered by formula and by reading, that every page renders alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from railwright.figures.scene import Scene

Kind = Literal[
    "given", "from", "formula", "where", "substitution", "result", "check", "why", "limit", "derivation", "note"
]
Standing = Literal["taught", "accepted", "not accepted", "other", "only"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One line of working: words, and maths in two writings; `value` is in SI, rounded as the line shows it."""

    kind: Kind
    text: str = ""
    latex: str = ""
    plain: str = ""
    value: float | None = None
    unit: str = ""

    def to_json(self) -> dict[str, Any]:
        """The step as plain data; empty fields are left out."""
        data: dict[str, Any] = {"kind": self.kind}
        for name in ("text", "latex", "plain"):
            if getattr(self, name):
                data[name] = getattr(self, name)
        if self.value is not None:
            data |= {"value": self.value, "unit": self.unit}
        return data


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """One formula worked out for one reading."""

    formula: str
    title: str
    standing: Standing
    steps: tuple[Step, ...]
    value: float  # [unit] with the reading's sign, unrounded
    unit: str
    shown: str  # rounded, with its unit
    difference: float | None  # [-] (by hand - computed) / computed
    difference_shown: str
    valid: bool
    source: str = ""
    derivation: tuple[Step, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """As plain data."""
        result = next(step for step in reversed(self.steps) if step.kind == "result")
        data: dict[str, Any] = {
            "formula": self.formula,
            "title": self.title,
            "standing": self.standing,
            "value": self.value,
            "rounded": result.value,
            "unit": self.unit,
            "difference": self.difference,
            "valid": self.valid,
            "source": self.source,
            "steps": [step.to_json() for step in self.steps],
        }
        if self.derivation:
            data["derivation"] = [step.to_json() for step in self.derivation]
        return data


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One thing that is wanted: every formula for it, the check against the exact value, and why they differ."""

    number: int
    heading: str
    readings: tuple[str, ...]
    asked: bool  # False: it is only needed on the way
    worked: tuple[Worked, ...]
    closing: tuple[Step, ...]  # check, why
    exact: float | None = None  # [unit] of the first reading
    unit: str = ""
    chart: Scene | None = None
    chart_table: tuple[tuple[str, ...], ...] = ()  # the chart as numbers: a heading row, then one row a formula

    def to_json(self) -> dict[str, Any]:
        """As plain data."""
        data: dict[str, Any] = {
            "number": self.number,
            "heading": self.heading,
            "readings": list(self.readings),
            "asked": self.asked,
            "exact": self.exact,
            "unit": self.unit,
            "hand": [worked.to_json() for worked in self.worked],
            "closing": [step.to_json() for step in self.closing],
        }
        if self.chart_table:
            data["chart"] = [list(row) for row in self.chart_table]
        return data


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """The whole working of one supply in one course."""

    title: str
    course: str
    language: str
    paper: str
    model: str
    introduction: tuple[str, ...]
    given: tuple[Step, ...]
    sections: tuple[Section, ...]
    cautions: tuple[str, ...]
    own_note: str = ""  # the reader's own text from the sheet

    def section(self, reading: str) -> Section:
        """The section of a reading. Raises KeyError if there is none."""
        for section in self.sections:
            if reading in section.readings:
                return section
        raise KeyError(reading)

    def steps(self) -> Iterator[Step]:
        """Every step in the order of the page."""
        yield from self.given
        for section in self.sections:
            for worked in section.worked:
                yield from worked.steps
                yield from worked.derivation
            yield from section.closing

    def to_json(self) -> dict[str, Any]:
        """The object that `work --json` prints."""
        return {
            "title": self.title,
            "course": self.course,
            "model": self.model,
            "introduction": list(self.introduction),
            "given": [step.to_json() for step in self.given],
            "sections": [section.to_json() for section in self.sections],
            "cautions": list(self.cautions),
        }
