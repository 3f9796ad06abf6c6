"""What a lesson is made of: one study, its neighbours, its moments, its models, its working; each made once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal

from railwright.course import Course
from railwright.documents.lesson.axes import Axis
from railwright.documents.lesson.moments import Moments, moments
from railwright.documents.lesson.neighbours import Neighbourhood, neighbourhood
from railwright.figures.rows import reservoir
from railwright.solver import NoProvableAnswer
from railwright.study import Study, solve

if TYPE_CHECKING:
    from railwright.documents import Working

Edition = Literal["student", "teacher"]


@dataclass(frozen=True, kw_only=True)
class Material:
    """Everything that the stages of a lesson draw on."""

    study: Study
    course: Course
    edition: Edition
    plots: dict[str, Any] = field(default_factory=dict)  # what the page's own plots show, by their names
    charts: dict[str, Any] = field(default_factory=dict)

    @cached_property
    def hood(self) -> Neighbourhood:
        """The neighbours, solved."""
        return neighbourhood(self.study)

    @cached_property
    def moments(self) -> Moments:
        """The ways of the current over the period."""
        return moments(self.hood, self.course)

    @cached_property
    def models(self) -> tuple[Mapping[str, Study], Mapping[str, str]]:
        """The supply at each model, and why one has no answer."""
        from railwright.figures.model_ladder import solved_models

        return solved_models(self.study)

    @cached_property
    def working(self) -> Working:
        """The working by hand of the readings that a class meets first."""
        from railwright.documents import work

        return work(self.study, self.course, self.first_readings)

    @cached_property
    def bare(self) -> Study | None:
        """The same supply with no capacitor fitted; None where that is no circuit."""
        from railwright.supply import SheetError, replace_all

        keys = {
            f"filter.{place}.fitted": False
            for place, section in enumerate(self.study.supply.filters, start=1)
            if section.kind == "capacitor" and section.fitted
        }
        if not keys:
            return None
        try:
            return solve(replace_all(self.study.supply, keys), self.study.model, proved=False)
        except (SheetError, NoProvableAnswer):
            return None

    # -- names ---------------------------------------------------------

    def axis(self, part: str) -> Axis | None:
        """The slider of the capacitor or of the load, if there is one."""
        return next((axis for axis in self.hood.axes if axis.part == part), None)

    @cached_property
    def reservoir(self) -> str:
        """The place whose ripple the lesson is about: the load itself where the capacitor lies straight across it."""
        place = reservoir(self.study)
        at_load, here = (self.value(f"{one}.voltage.rms") for one in (self.load, place))
        is_same = at_load is not None and here is not None and abs(at_load - here) <= 1e-9 * abs(here)
        return self.load if is_same else place

    @property
    def load(self) -> str:
        """The place of the (first) load."""
        return "load_positive" if self.study.supply.is_dual else "load"

    @cached_property
    def first_readings(self) -> tuple[str, ...]:
        """Readings with a value by hand that a class meets first, in the order of the working."""
        at = self.reservoir
        wanted = (
            f"{at}.voltage.mean", f"{at}.voltage.ripple_peak_to_peak", f"{self.load}.voltage.mean",
            f"{at}.voltage.{self.course.ripple_factor_reading}", "L1.current.mean", "L1.current.peak",
            "L1.current.valley", "D1.current.mean", "D1.current.peak", "D1.reverse_voltage.peak", "U1.power.mean",
        )  # fmt: skip
        readings = self.study.readings
        return tuple(dict.fromkeys(name for name in wanted if name in readings and readings[name].hand))

    def value(self, reading: str) -> float | None:
        """The computed value of a reading."""
        return self.study.readings.computed(reading)

    def has(self, reading: str) -> bool:
        """Whether this supply has a value of a reading."""
        return self.value(reading) is not None

    def is_live(self, reading: str) -> bool:
        """Whether the sliders move a reading."""
        return reading in self.hood.tables
