"""Makes parts from the data of a part file, and writes down all that is wrong with it on the way."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from railwright.parts.errors import PartFault, did_you_mean, near_names, shown
from railwright.parts.keys import CONDITION_UNITS, FACTS, FRAME, PROVENANCES, SIGNED, UNITS, VALUE_FRAME, WORDS
from railwright.parts.part import Part, PartValue
from railwright.quantities import Quantity, QuantityError, read_quantity

_EXAMPLE = '{ value = "1 A", spread = "max", provenance = "common practice, no source" }'


@dataclass(slots=True, kw_only=True)
class PartBuilder:
    """Builds the parts of one file; ``faults`` is empty afterwards if the file is in order.

    ``rules_anywhere`` lets any value be a rule in words. The packaged tables are read so (their tests say which of
    them are rules); in a reader's own file a slip would pass for a rule.
    """

    file: str
    sources: Mapping[str, Any]
    line_of: Callable[[int, str], int | None]  # position of a part from 1, key -> line
    rules_anywhere: bool = False
    faults: list[PartFault] = field(default_factory=list)
    _position: int = 0

    def build(self, position: int, data: Mapping[str, Any]) -> Part | None:
        """Return the part that stands at a position (from 1), or None if it lacks what every part has."""
        self._position = position
        names = {key: self._word(data, key) for key in ("type", "name", "class")}
        type_, name, class_ = names["type"], names["name"], names["class"]
        if type_ is None or name is None or class_ is None:
            return None
        if type_ not in UNITS:
            remedy = did_you_mean(near_names(type_, UNITS))
            self._fault("type", f'"{shown(type_)}" is no type of part.', type_, ", ".join(UNITS), remedy)
            return None
        values: dict[str, tuple[PartValue, ...]] = {}
        facts: dict[str, str] = {}
        for key, given in data.items():
            if key in FRAME:
                continue
            if key in UNITS[type_] and not (key in FACTS.get(type_, ()) and isinstance(given, str)):
                values[key] = tuple(self._values(data, type_, key, given))
            elif key in FACTS.get(type_, ()):
                facts |= self._facts(key, given)
            else:
                known = (*UNITS[type_], *sorted(FACTS.get(type_, ())))
                remedy = did_you_mean(near_names(key, known))
                problem = f'"{shown(key)}" is no key of a part of type {type_}.'
                self._fault(key, problem, key, ", ".join(known), remedy)
        if isinstance(data.get("note"), str):
            facts["note"] = data["note"]
        return Part(
            type=type_, name=name, class_=class_, values=MappingProxyType(values), facts=MappingProxyType(facts)
        )

    def _word(self, data: Mapping[str, Any], key: str) -> str | None:
        given = data.get(key)
        if isinstance(given, str) and given.strip():
            return given
        problem = f"the part has no {key}." if given is None else f"the {key} of a part is a text that isn't empty."
        remedy = 'Write type = "diode", name = "bench diode 1", class = "silicon rectifier 1 A".'
        self._fault(key, problem, given, "", remedy)
        return None

    def _facts(self, key: str, given: object) -> dict[str, str]:
        if isinstance(given, Mapping):
            return {f"{key}.{name}": _said(text) for name, text in given.items()}
        if isinstance(given, str):
            return {key: given}
        self._fault(key, f"{key} is a text.", given, "a text in quotes", "")
        return {}

    def _values(self, data: Mapping[str, Any], type_: str, key: str, given: object) -> Iterable[PartValue]:
        points = given if isinstance(given, list) else [given]
        if not points:
            self._fault(key, f"{key} is an empty list.", given, "at least one value", f"Write {_EXAMPLE}.")
        for number, point in enumerate(points, start=1):
            place = f"{key}.{number}" if isinstance(given, list) else key
            if type_ == "series" and isinstance(point, str):
                point = self._preferred(data, key, point)
            if not isinstance(point, Mapping) or "value" not in point:
                problem = f"a value of {key} is a table with its spread and its provenance."
                self._fault(place, problem, point, _EXAMPLE, "A number without its origin is not taken.")
                continue
            value = self._value(data, type_, key, place, point)
            if value is not None:
                yield value

    @staticmethod
    def _preferred(data: Mapping[str, Any], key: str, point: str) -> Mapping[str, Any]:
        # The series of preferred numbers are bare lists: one decade each, one provenance for all.
        listed = data.get("by_rule")
        by_rule = key == "by_rule" or (isinstance(listed, list) and point in listed)
        provenance = {"provenance": data.get("by_rule_provenance")} if by_rule else {}
        return {"value": point, "spread": "standard values", **provenance}

    def _value(
        self, data: Mapping[str, Any], type_: str, key: str, place: str, point: Mapping[str, Any]
    ) -> PartValue | None:
        before = len(self.faults)
        of_grid = key == "grid"
        spread = point.get("spread")
        provenance = point.get("provenance", data.get("grid_provenance" if of_grid else "provenance"))
        # The part's own source is that of its own provenance, and of none other.
        inherits = "provenance" not in point and not of_grid
        source = point.get("source", data.get("source") if inherits else None)
        if not isinstance(spread, str) or not spread.strip():
            self._fault(place, f"a value of {key} has no spread.", spread, "typical, max, min, nominal, rule, …", "")
        if provenance not in PROVENANCES:
            problem = f"a value of {key} has no provenance." if provenance is None else "the provenance is none known."
            self._fault(place, problem, provenance, "; ".join(PROVENANCES), f"Write {_EXAMPLE}.")
        elif provenance == "published, read" and source is None:
            remedy = 'Name it under [source], as in s1 = "author, title, page", and write source = "s1".'
            self._fault(place, "what was read has a source.", "", "", remedy)
        resolved = "" if source is None else self._source(place, source)
        text = point["value"]
        quantity, words = self._quantity(type_, key, place, text, spread)
        conditions = {name: _said(given) for name, given in point.items() if name not in VALUE_FRAME}
        if words and isinstance(text, str):
            text, conditions = words[0], {**conditions, **words[1]}
        self._check_conditions(place, conditions)
        if quantity is not None and quantity.value < 0.0 and key not in SIGNED:
            self._fault(place, f"{key} is less than zero.", text, "zero or more", "")
        if len(self.faults) > before and not self.rules_anywhere:
            return None
        if of_grid:
            spread = f"{spread}; esr and ripple {data.get('grid_spread', 'typical')}"
        return PartValue(
            text=str(text),
            value=None if quantity is None else quantity.value,
            unit="" if quantity is None else quantity.unit,
            spread=str(spread),
            provenance=str(provenance),
            source=resolved,
            conditions=MappingProxyType(conditions),
            note=_said(point.get("note", "")),
            doubtful=point.get("doubtful") is True,
        )

    def _source(self, place: str, source: object) -> str:
        if isinstance(source, str) and isinstance(self.sources.get(source), str):
            return str(self.sources[source])
        known = ", ".join(map(str, self.sources)) or "none, there is no [source] table"
        problem = f'the source "{shown(source)}" is not under [source].'
        self._fault(place, problem, source, known, f'Add it there, as in {shown(source)} = "author, title, page".')
        return ""

    def _quantity(
        self, type_: str, key: str, place: str, text: object, spread: object
    ) -> tuple[Quantity | None, tuple[str, dict[str, str]] | None]:
        """Return the quantity, and where the text said more than it: the text alone and the condition."""
        units = UNITS[type_][key]
        if isinstance(text, str) and (spread == "rule" or units == (WORDS,)):
            for unit in units:
                if unit != WORDS:
                    try:
                        return _read(text, unit), None
                    except QuantityError:
                        pass
            return None, None
        refusal: QuantityError | None = None
        # "50 uA at 1 V": the condition is part of the text.
        alone, _, at = text.partition(" at ") if isinstance(text, str) else ("", "", "")
        for unit in units:
            try:
                return (_read(alone, unit), (alone, {"at": at})) if at else (_read(text, unit), None)
            except QuantityError as error:
                refusal = refusal or error
        if self.rules_anywhere and isinstance(text, str):
            return None, None
        assert refusal is not None
        self._fault(place, f'"{refusal.given}" {refusal.reason}.', text, "", refusal.remedy)
        return None, None

    def _check_conditions(self, place: str, conditions: Mapping[str, str]) -> None:
        if self.rules_anywhere:
            return
        for name, unit in CONDITION_UNITS.items():
            if name in conditions:
                try:
                    _read(conditions[name], unit)
                except QuantityError as error:
                    self._fault(f"{place}.{name}", f'"{error.given}" {error.reason}.', error.given, "", error.remedy)

    def _fault(self, key: str, problem: str, given: object, allowed: str, remedy: str) -> None:
        self.faults.append(
            PartFault(
                file=self.file,
                line=self.line_of(self._position, key.partition(".")[0]),
                key=f"part.{self._position}.{shown(key)}",
                problem=problem,
                given="" if given is None else shown(given if isinstance(given, str) else _said(given)),
                allowed=allowed,
                remedy=remedy,
            )
        )


@lru_cache(maxsize=4096)
def _read_text(text: str, unit: str) -> Quantity:
    quantity = read_quantity(text, unit)
    if not math.isfinite(quantity.value):
        raise QuantityError(shown(text), "is no finite number", f'Write a value in {unit}, as in "1 {unit}".')
    return quantity


def _read(text: object, unit: str) -> Quantity:
    # The same few texts ("25 °C", "20 %") stand in the tables hundreds of times.
    return _read_text(text, unit) if isinstance(text, str) else read_quantity(text, unit)  # type: ignore[arg-type]


def _said(given: object) -> str:
    """A condition as text; one that is a value itself keeps its origin with it."""
    if isinstance(given, Mapping):
        return "; ".join(_said(part) for part in given.values())
    try:
        return str(given)
    except ValueError:  # a number of thousands of digits: the interpreter won't write it out
        return "a very long number"
