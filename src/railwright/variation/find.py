"""The inverse question: which value of a sheet key brings a reading to where it is wanted."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal, cast

from railwright.variation.boundary import DecadeSearch
from railwright.variation.keys import CannotVary, VariedKey

if TYPE_CHECKING:
    from railwright.supply import Supply

Operator = Literal["<=", ">=", "="]

_MET = 1e-6  # [-] how closely "=" must be met: a jump over the wanted value isn't an answer
_AIM = re.compile(r"\s*([A-Za-z][\w.]*)\s*(<=|>=|==|=|≤|≥)\s*(\S.*?)\s*\Z")


class NotAnAim(ValueError):
    """The wanted condition can't be read; the sentence says how it is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What a reading is wanted to be."""

    reading: str
    operator: Operator
    target: float  # [unit]
    unit: str

    def excess(self, value: float) -> float:
        """How far a value is beyond the target; zero or less where an inequality is met. [unit]"""
        return self.target - value if self.operator == ">=" else value - self.target

    def met_by(self, value: float) -> bool:
        """Whether a value is as wanted."""
        if self.operator == "=":
            return abs(value - self.target) <= _MET * max(abs(self.target), abs(value))
        return self.excess(value) <= 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The answer: a value of the key on the boundary of what is wanted, or None and the reason."""

    key: str
    unit: str
    aim: Aim
    model: str
    value: float | None  # [unit]
    reading: float | None  # [unit of the aim] at that value
    series: str | None = None  # of preferred values: E12, E24
    below: float | None = None  # [unit] standard value
    above: float | None = None  # [unit] standard value
    reason: str = ""
    note: str = ""

    def to_json(self) -> dict[str, Any]:
        """The answer as plain data."""
        standard = None
        if self.below is not None and self.above is not None:
            standard = {
                "below": {"value": self.below, "unit": self.unit},
                "above": {"value": self.above, "unit": self.unit},
            }
        answer: dict[str, Any] = {
            "key": self.key,
            "value": self.value,
            "unit": self.unit,
            "reading": {"id": self.aim.reading, "value": self.reading, "unit": self.aim.unit},
            "standard": standard,
        }
        if self.reason:
            answer["reason"] = self.reason
        return answer


def read_aim(text: str) -> Aim:
    """Read "load.voltage.ripple_peak_to_peak <= 2 V".

    Raises
    ------
    NotAnAim
        If it isn't a reading, an operator and a value, or there is no such reading.
    QuantityError
        If the value isn't one in the reading's unit.
    """
    from railwright.quantities import read_quantity
    from railwright.readings import UnknownReading, unit_of

    match = _AIM.match(text)
    if match is None:
        raise NotAnAim(
            f'"{text}" is no condition. Write a reading, one of <= >= =, and a value with its unit: '
            '"load.voltage.ripple_peak_to_peak <= 2 V".'
        )
    reading, operator, wanted = match.groups()
    try:
        unit = unit_of(reading)
    except UnknownReading as unknown:
        raise NotAnAim(str(unknown)) from unknown
    target = read_quantity(wanted, unit).value
    plain = {"≤": "<=", "≥": ">=", "==": "="}.get(operator, operator)
    return Aim(reading=reading, operator=cast(Operator, plain), target=target, unit=unit)


def find(supply: Supply, key: VariedKey, aim: Aim, *, model: str = "textbook") -> Found:
    """Search the key's values, from the present one outwards, for the boundary of what is wanted.

    The reading may rise and fall with the key: the range is looked over first, and only then is the nearest place
    where the condition changes closed in on.

    Parameters
    ----------
    supply : Supply
    key : VariedKey
        Which key to change. It is tried from 1/1000 to 1000 times its present value.
    aim : Aim
        What is wanted.
    model : str

    Raises
    ------
    CannotVary
        If the key takes whole numbers.
    SheetError, NoProvableAnswer, NotSolvedYet
        If no value of the key at all could be solved: the reason that the present one gave.
    """
    from railwright.network import NotSolvedYet
    from railwright.solver import NoProvableAnswer
    from railwright.study import solve
    from railwright.supply import SheetError, replace

    if key.key.takes == "count":
        raise CannotVary(f'"{key.path}" takes whole numbers only, which have no boundary between them: make a table.')
    failures: list[Exception] = []
    reasons: list[str] = []
    readings: dict[float, float | None] = {}

    def excess(value: float) -> float | None:
        try:
            study = solve(replace(supply, key.path, key.written(value)), model=model)
        except (SheetError, NoProvableAnswer, NotSolvedYet) as failure:
            failures.append(failure)
            return None
        reading = study.readings.ask(aim.reading)
        readings[value] = reading.value
        if reading.value is None:
            reasons.append(reading.reason)
            return None
        return aim.excess(reading.value)

    present = key.present(supply)
    search = DecadeSearch(excess=excess, middle=present)
    search.at(present)  # first, because its failure is the one to tell
    candidates = [value for value in search.boundaries() if _met(aim, readings.get(value))]
    if not readings and failures:
        raise failures[0]
    if candidates:
        others = "" if len(candidates) == 1 else f"It is also met at {_listed(candidates[1:], key.unit)}."
        return _found(key, aim, model, candidates[0], readings[candidates[0]], others)
    tried = sorted(readings)
    span = f"from {_shown(tried[0], key.unit)} to {_shown(tried[-1], key.unit)}"
    if _met(aim, readings.get(present)):
        return _found(key, aim, model, present, readings[present], f"Every {key.path} {span} meets it.")
    known = [value for value in readings.values() if value is not None]
    if not known:
        why = reasons[0]
    else:
        ends = f"{_shown(min(known), aim.unit)} to {_shown(max(known), aim.unit)}"
        why = f"With {key.path} {span}, {aim.reading} is {ends}: never {aim.operator} {_shown(aim.target, aim.unit)}."
    return Found(key=key.path, unit=key.unit, aim=aim, model=model, value=None, reading=None, reason=why)


def _met(aim: Aim, value: float | None) -> bool:
    return value is not None and aim.met_by(value)


def _found(key: VariedKey, aim: Aim, model: str, value: float, reading: float | None, note: str) -> Found:
    from railwright.quantities import preferred_above, preferred_below

    series = key.preferred_series
    return Found(
        key=key.path,
        unit=key.unit,
        aim=aim,
        model=model,
        value=value,
        reading=reading,
        series=series,
        below=None if series is None else preferred_below(value, series),
        above=None if series is None else preferred_above(value, series),
        note=note,
    )


def _shown(value: float, unit: str) -> str:
    from railwright.quantities import format_quantity

    return format_quantity(value, unit)


def _listed(values: list[float], unit: str) -> str:
    return " and ".join(_shown(value, unit) for value in values)
