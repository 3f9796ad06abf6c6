"""The column by hand as one course works it: its drop, its formulas, its rounding; beside the same computed values."""

from __future__ import annotations

import math
from collections.abc import Mapping

from railwright.course import Course
from railwright.documents.working import why_by_hand
from railwright.documents.working_chain import Calculation, Chain
from railwright.documents.working_lines import result_letter
from railwright.readings import HandValue
from railwright.study import Study


def in_course(study: Study, course: Course) -> Study:
    """The same study, its readings by hand and their reasons as the course has them: the taught formula first."""
    if study.supply.faults:
        return study
    chain = Chain(study.supply, study.model, course)

    def column(
        reading: str, computed: float | None, facts: Mapping[str, float]
    ) -> tuple[tuple[HandValue, ...], str]:
        taught, *others = chain.calculations(reading) or (None,)
        if taught is None:
            return (), ""
        first = _beside(computed, taught)
        rest = sorted((_beside(computed, one) for one in others if one), key=_size)
        known = facts if computed is None else {**facts, reading: computed}
        return (first, *rest), course.say(why_by_hand(taught, known, course))

    return study.with_hand(column)


def letters_in_course(study: Study, course: Course) -> Mapping[str, str]:
    """The course's letter of every reading that has a value by hand, as plain text: V_dc of load.voltage.mean."""
    if study.supply.faults:
        return {}
    chain = Chain(study.supply, study.model, course)
    worked = {reading: chain.preferred(reading) for reading in chain.readings}
    return {reading: result_letter(one, course).plain for reading, one in worked.items() if one is not None}


def _beside(computed: float | None, calculation: Calculation) -> HandValue:
    return HandValue.beside(
        computed, formula=calculation.method.id, value=calculation.sign * calculation.unrounded,
        valid=calculation.valid,
    )  # fmt: skip


def _size(hand: HandValue) -> float:
    return math.inf if hand.difference is None else abs(hand.difference)
