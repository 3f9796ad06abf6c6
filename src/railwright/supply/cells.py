"""Reads one table of a sheet key by key, by the key table, and writes down what is wrong with it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from railwright.quantities import (
    Quantity,
    QuantityError,
    Tolerance,
    format_quantity,
    read_quantity,
    read_ratio,
    read_tolerance,
)
from railwright.supply.errors import FaultList, as_written, listed, quoted, shown
from railwright.supply.keys import SECTIONS, Key
from railwright.supply.locate import Path

WORD: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_+-]{0,39}")
LONGEST_NAME: Final = 40  # characters
LONGEST_NOTE: Final = 20_000  # characters of a title or note


class Reading:
    """What one reading of a sheet gathers: faults, notes, and the tolerances that were stated."""

    def __init__(self, faults: FaultList) -> None:
        self.faults = faults
        self.tolerances: dict[str, Tolerance] = {}


class Table:
    """One table of the sheet while it is read.

    Getters return what stands there, or what was asked for as default if it is absent or wrong; a wrong one is
    written down. So the reading goes on to the end, and all faults are told at once.
    """

    def __init__(self, reading: Reading, path: Path, content: object, section: str, *, kind: str = "") -> None:
        self.reading = reading
        self.faults = reading.faults
        self.path = path
        self.section = SECTIONS[section]
        self.kind = kind
        self.wrong = not isinstance(content, dict)
        self.content: dict[str, Any] = content if isinstance(content, dict) else {}
        if self.wrong:
            self.faults.add(
                path,
                f"{quoted(content)} is no table.",
                given=content,
                allowed=listed(self.section.names),
                remedy=f"Write {self._table_example()}.",
            )

    def _table_example(self) -> str:
        key = self.section.keys[0]
        name = shown(str(self.path[-1])) if self.path else self.section.name
        if isinstance(self.path[-1] if self.path else "", int):
            return f"{{ {key.name} = {key.example or '...'} }}"
        return f"{name} = {{ {key.name} = {key.example or '...'} }}"

    def __contains__(self, name: str) -> bool:
        return name in self.content

    def key(self, name: str) -> Key:
        """The table's entry of that key."""
        key = self.section.key(name)
        if key is None:
            raise KeyError(f"{name} isn't in the key table of {self.section.heading}")
        return key

    def at(self, *steps: str | int) -> Path:
        """The path of a key in this table."""
        return (*self.path, *steps)

    def fault(self, name: str, problem: str, *, allowed: str = "", remedy: str = "", given: object = None) -> None:
        """Write down a fault at the key `name` of this table ("" is the table itself)."""
        self.faults.add(
            self.at(name) if name else self.path,
            problem,
            given=self.content.get(name, "") if given is None else given,
            allowed=allowed,
            remedy=remedy,
        )

    # ------------------------------------------------------------------------------------ which keys may stand here

    def check_keys(self, *, kind: str = "", kind_noun: str = "") -> None:
        """Write down every key that is unknown, or that belongs to another kind than `kind`."""
        if self.wrong:
            return
        fitting = tuple(key.name for key in self.section.keys if not (kind and key.only) or kind in key.only)
        for name in self.content:
            key = self.section.key(name)
            if key is None:
                self._unknown(name, fitting)
            elif kind and key.only and kind not in key.only:
                self.fault(
                    name,
                    f'"{name}" belongs to {_articled(key.only)}, and this is {kind_noun or _articled((kind,))}.',
                    allowed=listed(fitting),
                    remedy=f'Take "{name}" out, or change the kind.',
                )

    def _unknown(self, name: str, fitting: tuple[str, ...]) -> None:
        near = self.faults.near(name, fitting)
        homes = [section.heading for section in SECTIONS.values() if section.key(name) is not None]
        if not near and homes:
            near = f'"{name}" belongs into {" or ".join(homes[:3])}.'
        elif not near and "." in name:
            near = "A key with dots is written without quotes here, or as a table."
        self.fault(
            name,
            f"unknown key {quoted(name)} in {self.section.heading}.",
            given=name,
            allowed=listed(fitting),
            remedy=near or "Take it out, or put it into note.",
        )

    def one_kind(self, what: str) -> str:
        """The one kind key that stands in the table; "" (and a fault) if none or several do."""
        kinds = self.section.kinds
        present = [name for name in kinds if name in self.content]
        if len(present) == 1:
            return present[0]
        if self.wrong:
            return ""
        if present:
            self.fault(
                present[1],
                f"{what} has {' and '.join(quoted(name) for name in present)}, and only one of them can hold.",
                allowed=f"one of {listed(kinds)}",
                remedy="Keep one; for two parts write two tables." if self.section.name == "filter" else "Keep one.",
            )
            return ""
        guesses = [name for name in self.content if self.section.key(name) is None]
        if any(self.faults.near(guess, kinds) for guess in guesses):
            return ""  # the unknown key will be told, with the kind that it is near to
        example = self.key(kinds[0]).example
        self.fault(
            "",
            f"{what} doesn't say what it is.",
            allowed=f"one of {listed(kinds)}",
            remedy=f"Write for example {kinds[0]} = {example}.",
            given="",
        )
        return ""

    # ---------------------------------------------------------------------------------------------------- getters

    def missing(self, name: str) -> None:
        """Write down that a required key is absent."""
        if self.wrong:
            return
        if any(self.section.key(guess) is None and self.faults.near(guess, (name,)) for guess in self.content):
            return  # the unknown key will be told, with the one that it is near to
        key = self.key(name)
        example = f'"{key.choices[0]}"' if key.choices else key.example
        allowed = listed(key.choices)
        self.fault(
            "" if self.path else name,
            f"{name} is missing: {key.meaning}.",
            allowed=allowed,
            remedy=f"Write {name} = {example}." if example else f"Add {name}.",
            given="",
        )

    def number(
        self, name: str, default: float | None = None, *, required: bool = False, unit: str = ""
    ) -> float | None:
        """A number in SI units; a tolerance behind it is kept under its key."""
        if name not in self.content:
            if required:
                self.missing(name)
            return default
        key = self.key(name)
        quantity = self.quantity(self.at(name), self.content[name], unit or key.unit, key)
        return default if quantity is None else quantity.value

    def positive(self, name: str, fallback: float, *, unit: str = "") -> float:
        """A required number; `fallback` stands in for it only while faults are being gathered."""
        value = self.number(name, None, required=True, unit=unit)
        return fallback if value is None else value

    def quantity(self, path: Path, value: object, unit: str, key: Key | None) -> Quantity | None:
        """Read one quantity at any path of the sheet, check its range, keep its tolerance and its doubts."""
        example = key.example if key is not None and key.example else ""
        try:
            if isinstance(value, bool):
                raise QuantityError(as_written(value), "is true or false, where a number with its unit is needed", "")
            if isinstance(value, (int, float)):
                quantity = self._bare(value, unit, example)
            elif isinstance(value, str):
                quantity = read_quantity(value, unit)
            else:
                raise QuantityError(as_written(value), "stands where a number with its unit is needed", "")
        except QuantityError as error:
            shown = f'"{error.given}"' if isinstance(value, str) else error.given
            self.faults.add(
                path,
                f"{shown} {error.reason}.",
                given=as_written(value),
                remedy=error.remedy or (f"Write for example {example}." if example else ""),
            )
            return None
        if key is not None and not self._in_range(path, value, quantity.value, key, unit):
            return None
        for doubt in quantity.doubts:
            line = self.faults.line_of(path)
            where = f"line {line}, " if isinstance(line, int) else ""
            self.faults.note(f"{where}{'.'.join(str(step) for step in path)}: {doubt}")
        if quantity.tolerance is not None:
            self.reading.tolerances[".".join(str(step) for step in path)] = quantity.tolerance
        return quantity

    def _bare(self, value: float, unit: str, example: str) -> Quantity:
        """A number without quotes: fine where no unit is needed."""
        if unit == "deg" and abs(value) < 1e6:
            return Quantity(value=float(value), unit="deg")
        if unit not in ("-", "deg"):
            text = f"{value:.15g}" if isinstance(value, float) else as_written(value)
            reason = "is a bare number, where a text with its unit in quotes is needed"
            remedy = f"Write for example {example}." if example else ""
            if len(text) <= LONGEST_NAME:
                try:
                    read_quantity(text, unit)
                except QuantityError as error:
                    remedy = error.remedy
            raise QuantityError(text, reason, remedy)
        return read_quantity(value, unit)

    def _in_range(self, path: Path, given: object, value: float, key: Key, unit: str) -> bool:
        def say(limit: float) -> str:
            return format_quantity(limit, unit if unit else "-")

        limits = []
        if key.above is not None:
            limits.append(f"more than {say(key.above)}")
        if key.at_least is not None:
            limits.append(f"at least {say(key.at_least)}")
        if key.at_most is not None:
            limits.append(f"at most {say(key.at_most)}")
        if key.below is not None:
            limits.append(f"less than {say(key.below)}")
        good = (
            (key.above is None or value > key.above)
            and (key.at_least is None or value >= key.at_least)
            and (key.at_most is None or value <= key.at_most)
            and (key.below is None or value < key.below)
        )
        if not good:
            self.faults.add(
                path,
                f"{quoted(given)} is out of range.",
                given=as_written(given),
                allowed=" and ".join(limits),
                remedy=f"Write for example {key.example}." if key.example else "",
            )
        return good

    def ratio(self, name: str) -> float | None:
        """A turns ratio such as "25:1"; None if absent."""
        if name not in self.content:
            return None
        value = self.content[name]
        if not isinstance(value, str):
            self.fault(name, f"{quoted(value)} is no turns ratio.", remedy='Write "25:1", primary turns first.')
            return None
        try:
            return read_ratio(value)
        except QuantityError as error:
            self.fault(name, f'"{error.given}" {error.reason}.', remedy=error.remedy)
            return None

    def tolerance(self, name: str, default: Tolerance, *, beside: str = "") -> Tolerance:
        """The tolerance of this table's value: `tolerance = "..."`, or what stands behind the value of `beside`."""
        behind = self.reading.tolerances.get(".".join(str(step) for step in self.at(beside))) if beside else None
        if name not in self.content:
            return behind or default
        value = self.content[name]
        if behind is not None:
            self.fault(
                name,
                f"the tolerance stands behind {beside} as well as here.",
                remedy="Keep one of the two.",
            )
            return default
        try:
            read = read_tolerance(value) if isinstance(value, str) else None
        except QuantityError as error:
            self.fault(name, f'"{error.given}" {error.reason}.', remedy=error.remedy)
            return default
        if read is None:
            self.fault(name, f"{quoted(value)} is no tolerance.", remedy='Write it as "±20 %" or "-20/+50 %".')
            return default
        self.reading.tolerances[".".join(str(step) for step in self.at(name))] = read
        return read

    def choice(self, name: str, default: str = "", *, required: bool = False) -> str:
        """One of the words that the key allows."""
        if name not in self.content:
            if required:
                self.missing(name)
            return default
        key, value = self.key(name), self.content[name]
        if isinstance(value, str) and value in key.choices:
            return value
        near = self.faults.near(value, key.choices) if isinstance(value, str) else ""
        self.fault(
            name,
            f"{quoted(value)} is none of the words for {name}.",
            allowed=listed(key.choices),
            remedy=near or f'Write for example {name} = "{key.choices[0]}".',
        )
        return default

    def flag(self, name: str, default: bool) -> bool:
        """True or false."""
        value = self.content.get(name, default)
        if isinstance(value, bool):
            return value
        self.fault(
            name,
            f"{quoted(value)} is neither true nor false.",
            allowed="true, false (without quotes)",
            remedy=f"Write {name} = {'false' if str(value).lower() in ('false', 'no', '0') else 'true'}.",
        )
        return default

    def count(self, name: str, default: int, *, required: bool = False) -> int:
        """A whole number within the key's range."""
        if name not in self.content:
            if required:
                self.missing(name)
            return default
        key, value = self.key(name), self.content[name]
        if isinstance(value, bool) or not isinstance(value, int):
            self.fault(
                name,
                f"{quoted(value)} is no whole number.",
                allowed=key.meaning,
                remedy=f"Write {name} = {key.default or key.example or '1'}, without quotes.",
            )
            return default
        low = key.at_least if key.at_least is not None else value
        high = key.at_most if key.at_most is not None else value
        if not low <= value <= high:
            self.fault(name, f"{as_written(value)} is out of range.", allowed=f"{low:.0f} to {high:.0f}")
            return default
        return value

    def text(self, name: str, default: str = "", *, required: bool = False) -> str:
        """Any text."""
        if name not in self.content:
            if required:
                self.missing(name)
            return default
        value = self.content[name]
        if isinstance(value, str) and len(value) <= LONGEST_NOTE:
            return value
        if isinstance(value, str):
            self.fault(name, f"the text is longer than {LONGEST_NOTE} characters.", remedy="Shorten it.")
        else:
            self.fault(name, f"{quoted(value)} is no text.", remedy=f"Put it in quotes: {name} = \"...\".")
        return default

    def name(self, name: str, default: str, *, required: bool = True) -> str:
        """A name that can stand in a reading or a node: letters, digits, _ - +."""
        if name not in self.content:
            if required:
                self.missing(name)
            return default
        value = self.content[name]
        if isinstance(value, str) and WORD.fullmatch(value):
            return value
        problem = f"{quoted(value)} can't be a name."
        self.fault(
            name,
            problem,
            allowed=f"letters, digits, _ - +, at most {LONGEST_NAME}, the first a letter or digit",
            remedy=f"Write for example {self.key(name).example}.",
        )
        return default

    def items(self, name: str, *, example: str = "") -> list[tuple[Path, Any]]:
        """The items of a list with their paths; [] if absent or no list."""
        value = self.content.get(name, [])
        if isinstance(value, list):
            return [(self.at(name, position), item) for position, item in enumerate(value, 1)]
        if isinstance(value, dict) and not self.path:
            self.fault(
                name,
                f"{name} is one table, and there may be several.",
                remedy=f"Write [[{name}]] with two brackets, or {name} = [{{ ... }}].",
            )
        else:
            self.fault(
                name,
                f"{quoted(value)} is no list.",
                remedy=f"Write {name} = {example or self.key(name).example or '[...]'}.",
            )
        return []


def _articled(kinds: tuple[str, ...]) -> str:
    """`a choke`, `an adapter`, `a current or power`."""
    first = "an" if kinds[0][:1] in "aeiou" else "a"
    return f"{first} {' or '.join(kinds)}"


def as_mapping(value: object) -> Mapping[str, Any]:
    """A table of the sheet, or an empty one in place of anything else."""
    return value if isinstance(value, dict) else {}
