"""Sets keys of a parsed sheet anew, by their names with dots and positions: `filter.1.capacitor`.

Only the tree is edited here; whoever does so has it checked again as a whole.
"""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Mapping
from typing import Any, Final

from railwright.supply.errors import FaultList, listed, quoted, shown
from railwright.supply.keys import SECTIONS, Key, Section
from railwright.supply.locate import Path

#: Sections that hold a list of tables, and so a position in their keys.
LISTS: Final = ("filter", "probe", "extra", "element", "point", "measured")
#: The tables on rails that take the keys of the table around them.
RAIL_TABLES: Final[Mapping[str, tuple[str, ...]]] = {
    "load": ("positive", "negative", "across"),
    "regulator": ("positive", "negative"),
}
#: Keys that say the same thing in two ways: setting one takes the other out.
ALTERNATIVES: Final[Mapping[tuple[str, str], tuple[str, ...]]] = {
    ("filter", "esr"): ("loss_factor", "loss_frequency"),
    ("filter", "loss_factor"): ("esr",),
    ("rectifier.diode", "points"): ("saturation_current", "ideality"),
    ("rectifier.diode", "saturation_current"): ("points",),
    ("rectifier.diode", "ideality"): ("points",),
}
LONGEST_KEY: Final = 120  # characters; the longest key of a sheet has half of that


class TreeEdit:
    """An edited copy of a sheet's tree: where it was touched, and what had to give way."""

    def __init__(self, tree: Mapping[str, Any], faults: FaultList) -> None:
        self.tree: dict[str, Any] = copy.deepcopy(dict(tree))
        self.faults = faults
        self.touched: list[Path] = []
        self.statements: list[str] = []

    def set(self, key: str, value: object) -> None:
        """Set one key; what is wrong with the key itself is written down as a fault."""
        steps = _steps(key)
        home = self._table_of(steps, key)
        if home is None:
            return
        path, table, section = home
        name = path[-1]
        if isinstance(name, int) or section is None:
            self._set_in_list(path, table, value, key)
            return
        entry = section.key(name)
        if entry is None or entry.takes == "table" and name in RAIL_TABLES.get(section.name, ()):
            self._unknown(key, name, section)
            return
        self._make_room(path, table, section, entry, value)
        table[name] = _typed(value, entry)
        self.touched.append(path)

    # ------------------------------------------------------------------------------------------- finding the table

    def _table_of(self, steps: list[str], key: str) -> tuple[Path, Any, Section | None] | None:
        """Path of the key, the table that holds it, and that table's section."""
        first = steps[0]
        if first not in SECTIONS[""].names:
            self._unknown(key, first, SECTIONS[""])
            return None
        if len(steps) == 1:
            return (first,), self.tree, SECTIONS[""]
        if first == "initial":
            return (first, ".".join(steps[1:])), self._inner(self.tree, first), None
        if first == "requirement":
            return self._requirement(steps)
        section = SECTIONS.get(first)
        if first in LISTS:
            found = self._item(first, steps[1], key)
            if found is None:
                return None
            table, rest = found, steps[2:]
            path: Path = (first, int(steps[1]))
            if not rest:
                self._fault(key, f"{shown(key)} is a whole table.", remedy=f"Name a key in it: {first}.1.….")
                return None
        else:
            table, path, rest = self._inner(self.tree, first), (first,), steps[1:]
        return self._descend(path, table, section, rest, key)

    def _descend(
        self, path: Path, table: Any, section: Section | None, rest: list[str], key: str
    ) -> tuple[Path, Any, Section | None] | None:
        while len(rest) > 1:
            step, *rest = rest
            if section is not None and step in RAIL_TABLES.get(section.name, ()) and len(path) == 1:
                self._split_plain(path, table, step)
                table = self._inner(table, step)
            elif step == "diode" and section is not None and section.key("diode") is not None:
                if isinstance(table.get("diode"), str):
                    self.statements.append(
                        f'{".".join(map(str, path))}.diode = {quoted(table["diode"])} gave way to a table of values.'
                    )
                    table["diode"] = {}
                table, section = self._inner(table, "diode"), SECTIONS["rectifier.diode"]
            elif section is not None and f"{section.name}.{step}" in SECTIONS:
                section = SECTIONS[f"{section.name}.{step}"]
                table = table.get(step)
            elif isinstance(table, list) and step.isdecimal() and 0 < int(step[:4]) <= len(table):
                table, path = table[int(step) - 1], (*path, int(step))
                continue
            elif isinstance(table, dict) and isinstance(table.get(step), list):
                table, section = table[step], None
            else:
                table = None
            if not isinstance(table, (dict, list)):
                self._fault(key, f"there is no {quoted(step)} in {dotted_text(path)}.", remedy=self._keys_of(section))
                return None
            path = (*path, step)
        last = rest[0]
        if isinstance(table, list):
            if not (last.isdecimal() and 0 < int(last[:4]) <= len(table)):
                self._fault(key, f"{quoted(last)} is no position in {dotted_text(path)}.", allowed=_positions(table))
                return None
            return (*path, int(last)), table, section
        if not isinstance(table, dict):
            self._fault(key, f"{dotted_text(path)} is no table.")
            return None
        return (*path, last), table, section

    def _requirement(self, steps: list[str]) -> tuple[Path, Any, Section | None]:
        table = self._inner(self.tree, "requirement")
        if steps[-1] in SECTIONS["requirement"].names and len(steps) > 2:
            name = ".".join(steps[1:-1])
            return ("requirement", name, steps[-1]), self._inner(table, name), SECTIONS["requirement"]
        return ("requirement", ".".join(steps[1:])), table, None

    def _inner(self, table: dict[str, Any], name: str) -> dict[str, Any]:
        """The table of that name in a table, made if it isn't there."""
        if not isinstance(table.get(name), dict):
            table[name] = {}
        inner: dict[str, Any] = table[name]
        return inner

    def _item(self, section: str, position: str, key: str) -> dict[str, Any] | None:
        items = self.tree.get(section)
        if isinstance(items, list) and position.isdecimal() and 0 < int(position[:6]) <= len(items):
            item = items[int(position) - 1]
            if isinstance(item, dict):
                return item
        self._fault(
            key,
            f"{quoted(position)} is no position in [[{section}]].",
            allowed=_positions(items),
            remedy=f"Count from 1, as in {section}.1.{SECTIONS[section].names[0]}.",
        )
        return None

    # --------------------------------------------------------------------------------------------- making room

    def _make_room(self, path: Path, table: dict[str, Any], section: Section, entry: Key, value: object) -> None:
        """Take out what can't stand beside the key; say so where it was a kind."""
        where = dotted_text(path[:-1])
        if section.name == "load" and len(path) == 2:
            for rail in ("positive", "negative"):
                if rail in table:
                    del table[rail]
                    self.statements.append(f"load.{rail} gave way to {where}.{entry.name} on each rail.")
        if entry.is_kind:
            for other in section.kinds:
                if other != entry.name and other in table:
                    old = table.pop(other)
                    self.statements.append(
                        f"{where}.{other} = {quoted(old)} gave way to {where}.{entry.name} = {quoted(value)}."
                    )
            if section.name in ("filter", "load"):
                for name in list(table):
                    other_key = section.key(name)
                    if other_key is not None and other_key.only and entry.name not in other_key.only:
                        del table[name]
                        self.statements.append(f"{where}.{name} went out with it.")
        for other in ALTERNATIVES.get((section.name, entry.name), ()):
            if other in table:
                self.statements.append(f"{where}.{other} = {quoted(table.pop(other))} gave way to {entry.name}.")

    def _split_plain(self, path: Path, table: dict[str, Any], rail: str) -> None:
        """Before one rail's load is set: a plain load becomes the two loads that it means."""
        if path != ("load",) or rail not in ("positive", "negative"):
            return
        plain = {name: value for name, value in table.items() if name not in RAIL_TABLES["load"]}
        if plain:
            for name in plain:
                del table[name]
            table["positive"], table["negative"] = copy.deepcopy(plain), copy.deepcopy(plain)

    def _set_in_list(self, path: Path, table: Any, value: object, key: str) -> None:
        name = path[-1]
        if isinstance(table, list) and isinstance(name, int):
            table[name - 1] = _plain(value)
        elif isinstance(table, dict):
            table[name] = _plain(value)
        else:
            self._fault(key, f"there is no {shown(key)}.")
            return
        self.touched.append(path)

    # ------------------------------------------------------------------------------------------------------ faults

    def _fault(self, key: str, problem: str, *, allowed: str = "", remedy: str = "") -> None:
        self.faults.add((shown(key),), problem, given=key, allowed=allowed, remedy=remedy)

    def _unknown(self, key: str, name: str, section: Section) -> None:
        names = [entry.name for entry in section.keys if entry.takes != "table" or section.name]
        if section.name == "":
            names = list(section.names)
        self._fault(
            key,
            f"there is no key {quoted(name)} in {section.heading}.",
            allowed=listed(names),
            remedy=self.faults.near(name, names) or "A key is written with dots: load.resistance, filter.1.capacitor.",
        )

    @staticmethod
    def _keys_of(section: Section | None) -> str:
        return f"Its keys are {listed(section.names)}." if section is not None else ""


def _steps(key: str) -> list[str]:
    return [step.strip() for step in key[:LONGEST_KEY].split(".")]


def dotted_text(path: Path) -> str:
    """A path with dots; the sheet itself if it is empty."""
    return shown(".".join(str(step) for step in path)) or "the sheet"


def _positions(items: object) -> str:
    count = len(items) if isinstance(items, list) else 0
    return f"1 to {count}" if count > 1 else ("1" if count else "none: the list is empty")


def _plain(value: object) -> object:
    """A copy made of the types that a parsed sheet has."""
    if isinstance(value, Mapping):
        return {str(name): _plain(inner) for name, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    return value


def _typed(value: object, key: Key) -> object:
    """A value as the sheet would hold it; text from a command line becomes a flag, a count, a list or a table."""
    if not isinstance(value, str):
        return _plain(value)
    text = value.strip()
    if key.takes == "flag" and text.lower() in ("true", "false"):
        return text.lower() == "true"
    if key.takes == "count" and text.isdecimal() and len(text) < 10:
        return int(text)
    if key.takes in ("list", "table") and text[:1] in ("[", "{"):
        try:
            return tomllib.loads(f"value = {text}")["value"]
        except (ValueError, RecursionError):
            return value
    return value
