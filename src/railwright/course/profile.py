"""How a course speaks and what it accepts: its letters, words, conventions and formulas, frozen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from railwright.course.choices import RIPPLE_FORMULAS
from railwright.course.symbols import symbol_in_latex
from railwright.course.words import Dialect, in_dialect, term

RippleFactor = Literal["rms", "peak-to-peak"]
Base = Literal["full-load", "no-load"]
LineBase = Literal["low", "nominal", "per-volt"]
UnitMark = Literal["final", "each", "none"]
Rounding = Literal["final", "each"]
Drawing = Literal["iec", "ieee"]
CurrentDirection = Literal["conventional", "electron"]
Decimal = Literal[".", ","]
Paper = Literal["A4", "Letter"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A course's profile.

    `ripple_formula` are the formulas that it accepts for the ripple, the taught one first; `taught` names those that
    it prefers elsewhere. `rounding` is "final" where full precision is carried from step to step, "each" where every
    result is rounded to `digits` before it goes on. `factors` are constants as the course rounds them (0.636 for 2/π).
    """

    words: Dialect
    symbols: Mapping[str, str]  # quantity -> letter as typed: load_mean -> "V_dc"
    ripple_factor: RippleFactor
    ripple_formula: tuple[str, ...]
    regulation_base: Base
    line_regulation_base: LineBase
    digits: int  # significant digits
    unit_mark: UnitMark
    drawing: Drawing
    current_direction: CurrentDirection
    decimal: Decimal
    paper: Paper
    title: str = ""
    diode_drop: float | None = None  # [V] instead of the sheet's, by hand only; None: as the sheet states it
    regulator_dropout: float | None = None  # [V] by hand only; None: as the sheet states it
    taught: tuple[str, ...] = ()
    rounding: Rounding = "final"
    language: str = "en"
    factors: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))

    def symbol(self, quantity: str, otherwise: str = "") -> str:
        """The course's letter for a quantity as LaTeX, or the one given where the course has none of its own."""
        return symbol_in_latex(self.symbols[quantity]) if quantity in self.symbols else otherwise

    def term(self, ours: str) -> str:
        """The course's word for one of our terms, such as "reservoir capacitor"."""
        return term(ours, self.words)

    def say(self, sentence: str) -> str:
        """A sentence of ours in the course's words, spelling and decimal sign."""
        return in_dialect(sentence, self.words, decimal=self.decimal)

    @property
    def ripple_factor_reading(self) -> str:
        """The measure that this course calls the ripple factor: of readings.md, without the place."""
        return "ripple_factor" if self.ripple_factor == "rms" else "ripple_ratio"

    @property
    def regulation_reading(self) -> str:
        """The reading that this course calls regulation."""
        on = "" if self.regulation_base == "full-load" else "_on_no_load"
        return f"load.voltage.regulation{on}"

    def accepts(self, formula: str) -> bool:
        """Whether the course accepts a formula by hand; only for the ripple does it have to choose."""
        return formula not in RIPPLE_FORMULAS or formula in self.ripple_formula

    def rank(self, formula: str) -> int | None:
        """Place of a formula among those that the course prefers, the taught one first; None if it has no opinion."""
        preferred = (*self.ripple_formula, *self.taught)
        return preferred.index(formula) if formula in preferred else None
