"""A formula is a small document: statement, symbols, assumptions in order, validity and source beside its numbers."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

Grade = Literal["published", "common practice, no source", "from memory"]
Domain = Literal["positive", "not negative", "fraction", "any"]
Kind = Literal["exact law", "approximation", "rule", "bound"]
Step = Literal["given", "equal", "order", "approximation"]
Values = Mapping[str, float]

CIRCUITS_HALF_WAVE = ("half-wave", "dual-half-wave")
CIRCUITS_FULL_WAVE = ("centre-tap", "bridge", "dual-rail")
CIRCUITS_SINGLE_PHASE = (*CIRCUITS_HALF_WAVE, *CIRCUITS_FULL_WAVE)
CIRCUITS_THREE_PHASE = ("three-phase-half-wave", "three-phase-bridge")
CIRCUITS_STACKED = ("full-wave-doubler", "half-wave-doubler", "multiplier")
CIRCUITS_ALL = (*CIRCUITS_SINGLE_PHASE, *CIRCUITS_THREE_PHASE, *CIRCUITS_STACKED, "none")

_DOMAIN_WORDS: Mapping[Domain, str] = {
    "positive": "a finite number greater than zero",
    "not negative": "a finite number, zero or greater",
    "fraction": "a fraction between 0 and 1, both left out",
    "any": "a finite number",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Symbol:
    """One quantity of a formula: its full name, its letter on paper, its SI unit and what it means.

    `unit` is "1" for a plain ratio or a count and "deg" for an angle. An `optional` quantity isn't needed for the
    value; with it the validity can be judged.
    """

    name: str
    symbol: str  # LaTeX
    unit: str
    meaning: str
    domain: Domain = "positive"
    optional: bool = False

    def admits(self, value: float) -> bool:
        """Whether the formula can take this value."""
        if not math.isfinite(value):
            return False
        if self.domain == "positive":
            return value > 0.0
        if self.domain == "not negative":
            return value >= 0.0
        if self.domain == "fraction":
            return 0.0 < value < 1.0
        return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Who says so, and how well we know it. `text` names author, title and place; `address` where it was read."""

    text: str
    grade: Grade
    address: str = ""

    def __str__(self) -> str:
        return self.text if self.text == self.grade else f"{self.text} ({self.grade})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """What a formula takes for granted, and, where an exact law is known, its value without that.

    `claim` completes the sentence "The formula …". `relaxed(givens, facts)` is the value in the result's unit with
    this assumption and all earlier ones lifted; a fact that it needs and doesn't find raises KeyError, and the step
    is then left out. `instead(givens, facts)` says in words and numbers what the circuit does in its place.
    """

    claim: str
    relaxed: Callable[[Values, Values], float] | None = None
    instead: Callable[[Values, Values], str] | None = None

    @property
    def sentence(self) -> str:
        """The assumption as a sentence for people."""
        return f"The formula {self.claim}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Validity:
    """Where a formula may be used: a condition on its values, and the same as a sentence.

    `needs` names optional quantities without which the condition can't be judged.
    """

    sentence: str
    condition: Callable[[Values], bool] | None = None  # None: wherever the inputs are in their domain
    needs: tuple[str, ...] = ()

    def holds(self, values: Values) -> bool:
        """False where the values are known to break the condition."""
        if self.condition is None or any(name not in values for name in self.needs):
            return True
        return self.condition(values)


@dataclass(frozen=True, slots=True, kw_only=True)
class DerivationLine:
    """One line of a derivation: what it states, why it holds, and how a test can show that it does.

    `equation` is left and right side in plain calculator notation with the formula's quantity names. `step` says how
    the line stands to those before it:

    - "given": a law of nature, a definition or another formula of the handbook; `law` names it, and `cites` holds the
      other formula's id;
    - "equal": it follows from the earlier lines by algebra and calculus;
    - "order": it equals the earlier expression of its left side up to terms of `order` + 1 in `small`;
    - "approximation": it replaces the earlier expression by a simpler one; `law` names the approximation.

    For the last two `error` is the largest relative error while `small`, varied through the quantity `through`, lies
    between `start` and `reach`. Without a `small` the error holds everywhere.
    """

    statement: str  # LaTeX
    reason: str
    equation: tuple[str, str] = ("", "")
    step: Step = "equal"
    law: str = ""
    cites: str = ""
    small: str = ""
    through: str = ""
    order: int = 0
    start: float = 0.0
    reach: float = 0.0
    error: float = 0.0

    @property
    def evidence(self) -> str:
        """In words: how the line follows."""
        if self.step == "given":
            return f"given: {self.law}"
        if self.step == "equal":
            return "follows exactly"
        percent = f"{100.0 * self.error:.3g} %"
        where = f" while it lies between {self.start:g} and {self.reach:g}" if self.small else ""
        if self.step == "order":
            return f"equal to order {self.order} in the small quantity{where}, error at most {percent}"
        return f"approximation: {self.law}; error at most {percent}" + (
            f" while the small quantity lies between {self.start:g} and {self.reach:g}" if self.small else ""
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """The one number on which the goodness of a formula depends, and the stretch worth charting."""

    name: str
    symbol: str  # LaTeX
    meaning: str
    low: float
    high: float
    logarithmic: bool = True
    reference: str = ""  # id of the exact formula that the chart compares with


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """A worked example with its witness; `tolerance` is relative, the witness's own rounding."""

    values: Values
    expected: float
    tolerance: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """One formula of the handbook."""

    id: str
    topic: str
    title: str
    statement: str  # LaTeX
    quantities: tuple[Symbol, ...]
    result: Symbol
    function: Callable[..., float]
    assumptions: tuple[Assumption, ...]
    validity: Validity
    source: Source
    example: Example
    kind: Kind = "approximation"
    sense: Literal["at most", "at least"] | None = None  # of a bound
    readings: tuple[str, ...] = ()  # reading ids it answers; * stands for any run of characters
    circuits: tuple[str, ...] = CIRCUITS_ALL
    undoes: str = ""  # id of the formula that this one is the solved-for form of
    derivation: tuple[DerivationLine, ...] = ()
    derivation_note: str = ""  # why there is no derivation, as a sentence
    axis: Axis | None = None  # what a chart of its error runs over
    slip: str = ""  # of a formula that repeats a source's mistake: what is wrong, and by how much

    @property
    def unit(self) -> str:
        """SI unit of the result."""
        return self.result.unit

    @property
    def assumes(self) -> tuple[str, ...]:
        """The assumptions in order, as sentences, and the range of validity last."""
        return (*(assumption.sentence for assumption in self.assumptions), self.validity.sentence)

    def value(self, **values: float) -> float:
        """Evaluate on named SI floats, in the unit of the result.

        Raises
        ------
        ValueError
            If a quantity is missing, unknown, not finite or outside the formula's domain, or if the result is not
            finite; the sentence names the quantity, what was given and what is allowed.
        """
        used = self.checked(values)
        needed = {symbol.name: used[symbol.name] for symbol in self.quantities if not symbol.optional}
        try:
            result = float(self.function(**needed))
        except (OverflowError, ZeroDivisionError):
            result = math.nan
        if not math.isfinite(result):
            given = ", ".join(f"{name} = {value:g}" for name, value in needed.items())
            raise ValueError(f"{self.id}: no finite value comes out of {given}. Check units and powers of ten.")
        return result

    def valid(self, **values: float) -> bool:
        """Whether the values lie in the formula's range of validity. Raises ValueError as `value` does."""
        return self.validity.holds(self.checked(values))

    def checked(self, values: Values) -> dict[str, float]:
        """The values as floats, each known, present and in its domain. Raises ValueError with a sentence."""
        symbols = {symbol.name: symbol for symbol in self.quantities}
        for name in values:
            if name not in symbols:
                near = get_close_matches(name, symbols, n=1)
                hint = f" Did you mean {near[0]}?" if near else ""
                takes = ", ".join(symbols) if symbols else "no quantity at all"
                raise ValueError(f"{self.id}: it has no quantity {name}.{hint} It takes {takes}.")
        missing = [s for s in self.quantities if not s.optional and s.name not in values]
        if missing:
            wanted = "; ".join(f"{s.name} [{s.unit}], {s.meaning}" for s in missing)
            raise ValueError(f"{self.id}: not given: {wanted}.")
        used: dict[str, float] = {}
        for name, value in values.items():
            symbol = symbols[name]
            try:
                number = float(value)
            except (TypeError, ValueError):
                number = math.nan
            if not symbol.admits(number):
                unit = "" if symbol.unit == "1" else f" {symbol.unit}"
                raise ValueError(
                    f"{self.id}: {name} ({symbol.meaning}) was given as {value}{unit}; "
                    f"it has to be {_DOMAIN_WORDS[symbol.domain]}."
                )
            used[name] = number
        return used
