"""Edits the text of a sheet so that its comments, order and spacing stay."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from railwright.supply import SECTIONS, SheetError, SheetFault, read_text, replace_all


@dataclass(frozen=True, slots=True, kw_only=True)
class Edits:
    """Changes to a sheet: keys set, keys or tables taken out, tables put in behind the others of their name."""

    set: Mapping[str, object] = field(default_factory=dict)  # key with dots -> value as the sheet holds it
    remove: Sequence[str] = ()
    add: Sequence[tuple[str, Mapping[str, object]]] = ()  # name of a table, its keys


def edited(text: str, edits: Edits) -> tuple[str, tuple[str, ...]]:
    """The sheet's text with the edits made, and what had to give way.

    Raises
    ------
    SheetError
        If the text is no right sheet, or isn't one any more afterwards.
    """
    supply = read_text(text)
    notes: tuple[str, ...] = ()
    tree: Mapping[str, Any] = supply.tree
    # What is put in or taken out may be what makes a key's new value fit, so all is checked together at the end.
    if edits.set:
        changed = replace_all(supply, edits.set) if not (edits.remove or edits.add) else None
        if changed is not None:
            tree, notes = changed.tree, changed.changes
        else:
            tree = _set_plainly(tree, edits.set)
    for name, values in edits.add:
        tree = _with(tree, name, values)
    for key in edits.remove:
        tree = _without(tree, key)
    found = rewritten(text, tree)
    read_text(found)
    return found, notes


def rewritten(text: str, tree: Mapping[str, Any]) -> str:
    """A sheet's text made to say what the tree says, with as little of it touched as can be."""
    import tomlkit

    document = tomlkit.parse(text)
    _merge(document, tree)
    found = tomlkit.dumps(document)
    if tomllib.loads(found) != tree:
        # A layout that can't be kept: better right without its comments than kept and wrong.
        found = tomlkit.dumps(dict(tree))
    return found


def _merge(there: Any, wanted: Mapping[str, Any]) -> None:
    import tomlkit
    from tomlkit.items import AoT, InlineTable

    for name in [name for name in there if name not in wanted]:
        del there[name]
    for name, value in wanted.items():
        old = there.get(name)
        if old is None:
            there[name] = _item(value, inline=isinstance(there, InlineTable))
        elif isinstance(value, Mapping) and isinstance(old, Mapping):
            _merge(old, value)
        elif isinstance(old, AoT) and isinstance(value, list):
            _merge_list(old, value)
        elif _plain(old) != value:
            there[name] = tomlkit.item(value) if not isinstance(value, Mapping) else _item(value, inline=True)


def _merge_list(there: Any, wanted: list[Any]) -> None:
    import tomlkit

    while len(there) > len(wanted):
        # The first that isn't where it was is the one that went.
        gone = next((k for k, item in enumerate(wanted) if _plain(there[k]) != item), len(there) - 1)
        del there[gone]
    for place, value in enumerate(wanted):
        if place < len(there):
            _merge(there[place], value)
        else:
            table = _item(value, inline=False)
            # A blank line before whatever follows, as between all tables.
            table.add(tomlkit.nl())
            there.append(table)


def _item(value: Any, *, inline: bool) -> Any:
    import tomlkit

    if isinstance(value, Mapping):
        table = tomlkit.inline_table() if inline else tomlkit.table()
        for name, inner in value.items():
            table.append(name, _item(inner, inline=True))
        return table
    if isinstance(value, list) and value and all(isinstance(one, Mapping) for one in value) and not inline:
        tables = tomlkit.aot()
        for one in value:
            tables.append(_item(one, inline=False))
        return tables
    return tomlkit.item(value)


def _plain(value: Any) -> Any:
    return value.unwrap() if hasattr(value, "unwrap") else value


# ---------------------------------------------------------------- on the tree


def _set_plainly(tree: Mapping[str, Any], changes: Mapping[str, object]) -> dict[str, Any]:
    changed = copy.deepcopy(dict(tree))
    for key, value in changes.items():
        *outer, last = _steps(key)
        table = _walk(changed, outer, key, make=True)
        table[last] = value
    return changed


def _with(tree: Mapping[str, Any], name: str, values: Mapping[str, object]) -> dict[str, Any]:
    changed = copy.deepcopy(dict(tree))
    section = SECTIONS.get(name)
    if section is None or not name or "." in name:
        raise _fault(name, f'there is no table "{name}".', f"Allowed: {', '.join(n for n in SECTIONS if n)}.")
    if section.heading.startswith("[["):
        changed.setdefault(name, []).append(dict(values))
    elif name in changed:
        raise _fault(name, f"the sheet has its {section.heading} already.", "Change that one.")
    else:
        changed[name] = dict(values)
    return changed


def _without(tree: Mapping[str, Any], key: str) -> dict[str, Any]:
    changed = copy.deepcopy(dict(tree))
    *outer, last = _steps(key)
    table = _walk(changed, outer, key, make=False)
    if isinstance(table, list) and last.isdecimal() and 0 < int(last[:4]) <= len(table):
        del table[int(last) - 1]
        if not table and outer:
            _walk(changed, outer[:-1], key, make=False).pop(outer[-1])
    elif isinstance(table, dict) and last in table:
        del table[last]
    else:
        raise _fault(key, f"there is no {key} in the sheet.", "Take out what is there.")
    return changed


def _steps(key: str) -> list[str]:
    return key.split(".")


def _walk(tree: Any, steps: Sequence[str], key: str, *, make: bool) -> Any:
    for step in steps:
        if isinstance(tree, list) and step.isdecimal() and 0 < int(step[:4]) <= len(tree):
            tree = tree[int(step) - 1]
        elif isinstance(tree, dict) and (make or step in tree):
            tree = tree.setdefault(step, {})
        else:
            raise _fault(key, f"there is no {key} in the sheet.", "Name what is there.")
    return tree


def _fault(key: str, problem: str, remedy: str) -> SheetError:
    return SheetError([SheetFault(file="sheet", line="set", key=key, problem=problem, given=key, remedy=remedy)])
