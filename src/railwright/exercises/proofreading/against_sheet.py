"""Holds a worked value against sheet, handbook and solution, and says which known idea leads to a wrong one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from railwright.exercises.expressions.dimensions import PLAIN
from railwright.exercises.expressions.in_names import value_of
from railwright.exercises.expressions.numerals import DecimalSign
from railwright.exercises.expressions.tree import Node, Written, literals
from railwright.exercises.misconceptions import MISCONCEPTIONS, SAME, Misconception, wrong_values
from railwright.exercises.proofreading.bounds import BOUNDS, Bound
from railwright.exercises.proofreading.knowledge import ByHand, Given, Knowledge
from railwright.exercises.proofreading.known_formulas import KNOWN_FORMULAS, RULES
from railwright.exercises.proofreading.matching import NEAR, Match, Place, match
from railwright.exercises.proofreading.named import Memory
from railwright.exercises.proofreading.names import QUANTITIES, called, dimension_of
from railwright.exercises.proofreading.wording import as_written, beside, in_own_unit

#: A worked value this near to a right one is one: conventions and early rounding differ by as much. [-]
TAKEN_FOR_RIGHT: Final = 0.03
#: A number this near to a misconception's is its doing, if it isn't right. [-]
TAKEN_FOR_WRONG: Final = 0.015
#: Two values nearer than this are one. [-]
SAME_NUMBER: Final = 1e-3
#: One form fits better than another when its numbers are nearer by this. [-]
CLEARLY: Final = 5e-3
#: Below this an approximation isn't worth a note. [-]
SMALL: Final = 0.01

#: What a designer chooses or sizes: a worked value may differ from what was fitted in the end.
_SIZED: Final = ("capacitance", "inductance", "series_resistance", "bleeder_resistance")
#: Quantities that a sheet states and nothing else tells: no 3 % for them.
_STATED: Final = (
    "primary_rms", "source_rms", "mains_frequency", "capacitance", "inductance", "load_resistance", "series_resistance",
    "bleeder_resistance", "diode_drop", "total_drop", "turns_ratio", "apparent_power",
)  # fmt: skip
#: Quantities of which a formula's place takes no other value than a known one: everything else would be another form.
_NEVER_FAR: Final = (
    "ripple_frequency", "discharge_time", "period", "total_drop", "turns_ratio", "source_rms", "source_peak",
    "time_constant", "ripple_rms", "ripple_factor",
)  # fmt: skip
_FREE: Final = ("load_current", "ripple_peak_to_peak", "load_resistance", "capacitance")
#: Drops that somebody may mean, as multiples of the sheet's.
_DROP_SPAN: Final = (0.25, 1.8)
_PREFIX_POWERS: Final = (1e3, 1e-3, 1e6, 1e-6)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A finding without its line."""

    given: str
    expected: str
    kind: str
    text: str


class SheetCheck:
    """The checks that need to know the supply; reads the notes' memory, never writes it."""

    def __init__(self, knowledge: Knowledge, memory: Memory, decimal: DecimalSign) -> None:
        self.knowledge, self.memory, self.decimal = knowledge, memory, decimal
        self._forms: dict[str, tuple[str, ...]] = {}

    # -- a number in the place of a named value -----------------------------------------------------

    def ties(self, working: Node, candidates: Sequence[str]) -> tuple[Slip, ...]:
        """Numbers of a working that stand in a named value's place but aren't that value."""
        best: tuple[Slip, ...] | None = None
        for quantity in candidates:
            for found in self._matches(working, self._right_forms(quantity)):
                slips = tuple(slip for place in found.places for slip in self._place(place))
                if not slips:
                    return ()
                if best is None or len(slips) < len(best):
                    best = slips
        if best is not None and self._form_of_mistake(working, candidates) is not None:
            return ()
        return best or ()

    def _right_forms(self, quantity: str) -> tuple[str, ...]:
        """The formulas that are right for this circuit: none that gives a misconception's number."""
        if quantity not in self._forms:
            facts = self.knowledge.facts
            wrong = [w.value for w in wrong_values(facts, quantity)]
            self._forms[quantity] = tuple(
                formula
                for formula in KNOWN_FORMULAS.get(quantity, ())
                if not any(abs((value_of(formula, facts) or 0.0) - v) <= SAME * v for v in wrong)
            )
        return self._forms[quantity]

    def _matches(self, working: Node, formulas: Sequence[str], *, strict: bool = False) -> Iterator[Match]:
        numbers = {name: self.knowledge.facts[name] for name in ("pulses", "diodes_in_path")
                   if name in self.knowledge.facts}  # fmt: skip

        def may_be_far(quantity: str, value: float) -> bool:
            if quantity != "diode_drop" or strict:
                return False
            drop = self.knowledge.facts.get("diode_drop", 0.0)
            return _DROP_SPAN[0] * drop <= value <= _DROP_SPAN[1] * drop

        for formula in formulas:
            found = match(
                working, formula, dimension_of=dimension_of, is_near=self._is_near, circuit_numbers=numbers,
                may_be_far=may_be_far,
            )  # fmt: skip
            if found is None:
                continue
            far = [place.quantity for place in found.places if not place.near]
            if any(quantity in _NEVER_FAR or (strict and quantity not in _FREE) for quantity in far):
                continue
            yield found

    def _is_near(self, quantity: str, value: float) -> bool:
        return any(abs(abs(k) - value) <= NEAR * abs(k) for k in self._values_of(quantity))

    def _values_of(self, quantity: str) -> list[float]:
        """Every value that a number in a quantity's place may be near: the notes' own, and the right ones."""
        known = [n.written.value for n in self.memory.of_quantity(quantity)]
        known += self.knowledge.right(quantity)
        if quantity in self.knowledge.facts:
            known.append(self.knowledge.facts[quantity])
        return known

    def _place(self, place: Place) -> Iterator[Slip]:
        written, quantity = place.written, place.quantity
        all_named = self.memory.of_quantity(quantity)
        fitting = [n for n in all_named if "|" not in n.key]
        # A number that is another named value stands in a wrong place rather than being wrong: a matter of form.
        if any(n.agrees(written) for n in self.memory if written.unit is None or n.dimension == written.unit.dimension):
            return
        if any(_is_rounding_of(written, value) for value in self.knowledge.right(quantity)):
            return
        given = as_written(written)
        near = [n for n in fitting if abs(abs(n.written.value) - written.value) <= NEAR * abs(n.written.value)]
        if near:
            named = near[-1]
            expected = as_written(named.written)
            yield Slip(
                given=given, expected=expected, kind="value changed",
                text=f"{named.label} is {expected} in line {named.line}, and {given} stands in its place here.",
            )  # fmt: skip
            return
        stated = self.knowledge.given.get(quantity, ())
        if not stated or quantity in ("source_rms", "output_voltage", "apparent_power", "turns_ratio"):
            return
        if quantity in _FREE and not place.near and quantity not in ("capacitance", "load_resistance", "load_current"):
            return
        nearest = min((s.value for s in stated), key=lambda v: abs(v - written.value))
        says = next(s.says for s in stated if s.value == nearest)
        expected = beside(nearest, written, decimal=self.decimal)
        yield Slip(
            given=given, expected=expected, kind=prefix_or(written, nearest, "against sheet"),
            text=f"{_capital(called(quantity))} is {expected} on the sheet ({says}), and {given} stands in its place.",
        )  # fmt: skip

    def is_another_case(self, condition: Written) -> bool:
        """Whether "at 4700 µF" speaks of another supply than this: no value of that dimension is like it."""
        dimension = condition.unit.dimension if condition.unit is not None else PLAIN
        alike = [q for q in QUANTITIES if dimension_of(q) == dimension and self.knowledge.right(q)]
        return bool(alike) and not self.is_right(condition, alike)

    def states_another_case(self, result: Written, candidates: Sequence[str]) -> bool:
        """Whether a bare statement sets a part or the mains to something else than the sheet does."""
        stated = [q for q in candidates if q in _STATED and self._stated(q)]
        return bool(stated) and not self.is_right(result, candidates)

    # -- a value under a name ---------------------------------------------------------

    def is_right(self, result: Written, candidates: Sequence[str]) -> bool:
        """Whether a value is, to its digits, a right one of what it may mean."""
        return any(_is_rounding_of(result, v) for q in candidates for v in self.knowledge.right(q))

    def explained(self, result: Written, candidates: Sequence[str], working: Node | None) -> bool:
        """Whether a known misconception leads to a value that isn't right."""
        return not self.is_right(result, candidates) and self._misconception(result, candidates, working) is not None

    def value(
        self, result: Written, candidates: Sequence[str], working: Node | None, *, unfiltered: bool
    ) -> tuple[tuple[Slip, ...], tuple[str, ...]]:
        """What is to be said of a value under a name, and which quantities the name means after all."""
        if not candidates:
            return (), ()
        if "source_rms" in candidates:
            candidates = (*candidates, "whole_winding_rms")
        known = [q for q in candidates if self.knowledge.right(q)]
        fitting = tuple(q for q in known if any(_is_rounding_of(result, v) for v in self.knowledge.right(q)))
        if fitting and (working is None or unfiltered or self._form_of_mistake(working, candidates) is None):
            return self._approximation(result, fitting), fitting
        broken = None if unfiltered else self.broken(result, candidates)
        wrong = None if unfiltered else self._misconception(result, candidates, working)
        if wrong is not None:
            misconception, right = wrong
            slips = [self._warning(result, misconception, right)]
            if broken is not None and broken.expected.startswith("at most"):
                slips.append(broken)
            return tuple(slips), (misconception.quantity,)
        near = tuple(q for q in known if self._is_taken_for_right(result, q, working is not None))
        if near:
            return self._approximation(result, near), near
        if broken is not None:
            return (broken,), tuple(candidates)
        if unfiltered or not known:
            return (), tuple(candidates)
        rule = self._rule(result, candidates, working)
        if rule is not None:
            return rule
        if working is not None:
            for quantity in candidates:
                if quantity in _SIZED or any(self._matches(working, self._right_forms(quantity))):
                    return (), (quantity,)
        return (self._against(result, known),), tuple(candidates)

    def _is_taken_for_right(self, result: Written, quantity: str, worked: bool) -> bool:
        if quantity in _STATED and not worked:
            return False
        return any(abs(abs(result.value) - v) <= TAKEN_FOR_RIGHT * v for v in self.knowledge.right(quantity))

    def _wrong_form(self, working: Node, candidates: Sequence[str]) -> tuple[Misconception, Match] | None:
        """The misconception whose formula a working has, the one whose places are filled best."""
        if len(literals(working)) < 2:
            return None
        facts = self.knowledge.facts
        best: tuple[float, Misconception, Match] | None = None
        for misconception in MISCONCEPTIONS:
            if misconception.quantity in candidates and misconception.applies(facts):
                for found in self._matches(working, misconception.ways, strict=True):
                    miss = self._miss(found)
                    if best is None or miss < best[0]:
                        best = (miss, misconception, found)
        return None if best is None else best[1:]

    def _miss(self, found: Match) -> float:
        """How far the numbers of a form lie from the values of their places, at the most. [-]"""
        off = [0.0]
        for place in found.places:
            if place.near:
                off.append(min(abs(abs(k) / place.written.value - 1.0) for k in self._values_of(place.quantity)))
        return max(off)

    def _right_form(self, working: Node, candidates: Sequence[str]) -> Match | None:
        """The right formula that a working has, the one whose places are filled best."""
        found = [m for q in candidates for m in self._matches(working, self._right_forms(q))]
        return min(found, key=self._miss, default=None)

    def _form_of_mistake(self, working: Node, candidates: Sequence[str]) -> Misconception | None:
        """The misconception whose form a working has, unless it has a right one that fits as well."""
        wrong = self._wrong_form(working, candidates)
        if wrong is None:
            return None
        right = self._right_form(working, candidates)
        if right is not None and self._miss(right) <= self._miss(wrong[1]) + CLEARLY:
            return None
        return wrong[0]

    def _own_facts(self) -> dict[str, float]:
        """The supply's facts with the notes' own figures for them: rounded early, or worked another way."""
        own = dict(self.knowledge.facts)
        for named in self.memory:
            for quantity in named.quantities:
                value = abs(named.written.value)
                if quantity in own and not named.is_aside and abs(value - own[quantity]) <= NEAR * own[quantity]:
                    own[quantity] = value
        return own

    def _misconception(
        self, result: Written, candidates: Sequence[str], working: Node | None
    ) -> tuple[Misconception, float | None] | None:
        facts = self.knowledge.facts
        value = abs(result.value)
        numbers = [w for source in (facts, self._own_facts()) for q in candidates for w in wrong_values(source, q)]

        def right_of(misconception: Misconception) -> float | None:
            return facts.get(misconception.quantity)

        if working is not None:
            form = self._form_of_mistake(working, candidates)
            if form is not None:
                return form, right_of(form)
            if self._right_form(working, candidates) is not None:
                return None
        if result.numeral.figures >= 2:
            # A bare number of two figures may hit a wrong value by chance, unless it is the very number.
            vague = working is None and result.numeral.figures < 3
            for wrong in numbers:
                too_far = vague and abs(wrong.value - value) > SAME_NUMBER * value
                if _is_rounding_of(result, wrong.value) and not too_far:
                    return wrong.misconception, right_of(wrong.misconception)
        if any(self._is_taken_for_right(result, q, working is not None) for q in candidates):
            return None
        for wrong in sorted(numbers, key=lambda w: abs(w.value - value)):
            if working is not None and abs(wrong.value - value) <= TAKEN_FOR_WRONG * wrong.value:
                return wrong.misconception, right_of(wrong.misconception)
        return None

    def _warning(self, result: Written, misconception: Misconception, right: float | None) -> Slip:
        if right is None:
            values = self.knowledge.right(misconception.quantity)
            right = values[0] if values else None
        if misconception.quantity in _SIZED:
            right = None  # what was sized is another value than what is fitted
        expected = "" if right is None else beside(right, result, decimal=self.decimal)
        due = f" By hand {called(misconception.quantity)} comes to {expected}." if expected else ""
        return Slip(
            given=as_written(result), expected=expected, kind=misconception.name, text=f"{misconception.text}{due}"
        )

    # -- approximations ---------------------------------------------------------

    def _approximation(self, result: Written, quantities: Sequence[str]) -> tuple[Slip, ...]:
        """A note where a value is the handbook's and the computed one is another."""
        best: tuple[float, ByHand, str] | None = None
        value = abs(result.value)
        for quantity in quantities:
            if any(_is_rounding_of(result, c) for c in self.knowledge.computed(quantity)):
                return ()
            if any(_is_rounding_of(result, g.value) for g in self.knowledge.given.get(quantity, ())):
                return ()
            for hand in self.knowledge.hand(quantity):
                off = abs(hand.value - value) / hand.value if hand.value else 1.0
                if hand.formula and (best is None or off < best[0]):
                    best = (off, hand, quantity)
        if best is None or best[0] > TAKEN_FOR_RIGHT or not best[1].computed:
            return ()
        hand, quantity = best[1], best[2]
        assert hand.computed is not None
        return self._note(result, hand.value, hand.computed, hand.formula, quantity)

    def _note(self, result: Written, value: float, computed: float, formula: str, quantity: str) -> tuple[Slip, ...]:
        difference = (value - computed) / computed
        if abs(difference) < SMALL:
            return ()
        expected = beside(computed, result, decimal=self.decimal)
        shown = beside(value, result, decimal=self.decimal)
        size = f"{100.0 * abs(difference):.{0 if abs(difference) >= 0.095 else 1}f}"
        size = size.replace(".", self.decimal)
        sense = "high" if difference > 0.0 else "low"
        return (
            Slip(
                given=as_written(result), expected=expected, kind="approximation",
                text=f"{_capital(called(quantity))} by this formula ({formula}): {shown}; computed: {expected}. "
                f"{size} % too {sense} here.",
            ),
        )  # fmt: skip

    def _rule(
        self, result: Written, candidates: Sequence[str], working: Node | None
    ) -> tuple[tuple[Slip, ...], tuple[str, ...]] | None:
        """A rule of thumb that is recognised by its number or its form."""
        for quantity, formula, title in RULES:
            if quantity not in candidates:
                continue
            value = value_of(formula, self.knowledge.facts)
            computed = self.knowledge.computed(quantity)
            if value is None or not computed:
                continue
            if _is_rounding_of(result, value) or (working is not None and any(self._matches(working, (formula,)))):
                return self._note(result, value, computed[0], title, quantity), (quantity,)
        return None

    # -- bounds ---------------------------------------------------------

    def broken(self, result: Written, candidates: Sequence[str]) -> Slip | None:
        """A bound that is broken whatever the name means."""
        slips = []
        for quantity in candidates:
            slip = next(filter(None, (self._breaks(bound, quantity, result) for bound in BOUNDS)), None)
            if slip is None:
                return None
            slips.append(slip)
        return slips[0] if slips else None

    def _breaks(self, bound: Bound, quantity: str, result: Written) -> Slip | None:
        facts = self.knowledge.facts
        if not bound.stacked and facts.get("stacked", 1.0) != 0.0:
            return None
        if not bound.three_phase and self.knowledge.supply.mains.phases == 3:
            return None
        value, half = abs(result.value), 0.5 * result.step
        if quantity == bound.lesser:
            limit = 1.0 if not bound.greater else self._limit(bound.greater)
            if limit is None or value - half <= limit * 1.005:
                return None
            sense = "at most"
        elif quantity == bound.greater:
            named = [
                n for n in self.memory.of_quantity(bound.lesser) if n.quantities == (bound.lesser,) and not n.is_aside
            ]
            if not named:
                return None
            limit = abs(named[-1].written.value)
            if value + half >= limit * 0.995:
                return None
            sense = "at least"
        else:
            return None
        expected = f"{sense} {beside(limit, result, decimal=self.decimal)}"
        return Slip(given=as_written(result), expected=expected, kind="bound broken", text=bound.text)

    def _limit(self, quantity: str) -> float | None:
        """The value of the bounding quantity: what the notes say if that is right, else what the supply has."""
        known = self.knowledge.right(quantity)
        named = [
            abs(n.written.value)
            for n in self.memory.of_quantity(quantity)
            if n.quantities == (quantity,) and not n.is_aside
        ]
        values = [*known, *(v for v in named if any(abs(v - k) <= NEAR * k for k in known))]
        return max(values) if values else None

    # -- the rest ---------------------------------------------------------

    def _against(self, result: Written, known: Sequence[str]) -> Slip:
        value = abs(result.value)
        # The nearest right value; of two that are the same, the one that the sheet itself states.
        options = [
            (round(abs(v - value) / max(v, 1e-300), 6), not any(g.value == v for g in self._stated(q)), v, q)
            for q in known
            for v in self.knowledge.right(q)
        ]
        for quantity in known:
            for right in self.knowledge.right(quantity):
                if prefix_or(result, right, "") == "prefix":
                    expected = beside(right, result, decimal=self.decimal)
                    return Slip(
                        given=as_written(result), expected=expected, kind="prefix",
                        text=f"{_capital(called(quantity))} is {self._own(right, result)}: a prefix is wrong.",
                    )  # fmt: skip
        _, _, right, quantity = min(options)
        expected = beside(right, result, decimal=self.decimal)
        stated = [g for g in self._stated(quantity) if g.value == right]
        where = f"on the sheet ({stated[0].says})" if stated else "for the supply of this sheet"
        return Slip(
            given=as_written(result), expected=expected, kind="against sheet",
            text=f"{_capital(called(quantity))} is {expected} {where}, not {as_written(result)}.",
        )  # fmt: skip

    def _stated(self, quantity: str) -> tuple[Given, ...]:
        return self.knowledge.given.get(quantity, ())

    def _own(self, value: float, result: Written) -> str:
        return in_own_unit(value, result.unit.dimension if result.unit else PLAIN, decimal=self.decimal)


def _is_rounding_of(written: Written, value: float) -> bool:
    """Whether a written number can be a rounding of a value; its zeros at the end count as shown."""
    half = 0.5 * written.step * (1.0 + 1e-6)
    return abs(abs(written.value) - abs(value)) <= half + 1e-12 * abs(value)


def prefix_or(written: Written, right: float, kind: str) -> str:
    """The kind "prefix" if a value is right but for a power of a thousand."""
    for power in _PREFIX_POWERS:
        scaled = abs(written.value) * power
        if abs(scaled - right) <= 0.5 * written.step * power * (1.0 + 1e-6) and abs(scaled - right) <= 0.02 * right:
            return "prefix"
    return kind


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
