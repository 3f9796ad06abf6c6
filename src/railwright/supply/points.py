"""What-ifs of a supply: keys set anew, and its named load states. Each is a new supply, checked as a whole."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

from railwright.supply.changes import TreeEdit
from railwright.supply.errors import FaultList, SheetError, SheetFault, listed, near_miss, quoted
from railwright.supply.faults import parse_fault
from railwright.supply.model import Supply
from railwright.supply.reader import FULL_LOAD, NO_LOAD, point_names, supply_from_tree


def replace(supply: Supply, key: str, value: object) -> Supply:
    """A supply in which one key of the sheet is set anew.

    Parameters
    ----------
    supply : Supply
        As read from a sheet.
    key : str
        With dots and positions counted from 1: `load.resistance`, `filter.1.capacitor`, `mains.voltage`,
        `rectifier.diode.drop`, `probe.1.clip_earthed`.
    value : str, bool, int, list or dict
        As the sheet would hold it: a quantity is a text with its unit. [unit of the key]

    Returns
    -------
    Supply
        Another kind of the same table takes the old kind's place; `notes` say so.

    Raises
    ------
    SheetError
        For an unknown key, a value that doesn't fit, or a supply that makes no sense with it. The fault names the
        key, and "set" in place of a line.
    """
    return replace_all(supply, {key: value})


def replace_all(supply: Supply, changes: Mapping[str, object], *, place: str = "set") -> Supply:
    """The same for several keys, checked once, after the last: so changes that only fit together can be made."""
    faults = FaultList(file=supply.origin, lines=dict(supply.lines), place=place)
    edit = TreeEdit(supply.tree, faults)
    for key, value in changes.items():
        edit.set(key, value)
    if faults.faults:
        # These faults are of keys that the sheet doesn't have: no line of the sheet is meant.
        raise SheetError(dataclasses.replace(fault, line=place) for fault in faults.faults)
    lines = dict(supply.lines) | dict.fromkeys(edit.touched, place)
    statements = (*supply.changes, *edit.statements)
    # The points were checked on the sheet as written; on top of a change they are checked when they are taken.
    changed = supply_from_tree(
        edit.tree, lines=lines, origin=supply.origin, place=place, changes=statements, with_points=False
    )
    return _with_faults_of(supply, changed)


def at_point(supply: Supply, name: str) -> Supply:
    """The supply at one of its points.

    `full_load` is the supply as written; `no_load` has every load replaced by none; others are those of the sheet.
    A network of one's own has no load of ours to take off: its `no_load` is the network as written.

    Raises
    ------
    SheetError
        If there is no such point.
    """
    if name == FULL_LOAD or (name == NO_LOAD and supply.elements):
        return supply
    if name == NO_LOAD:
        tree = dict(supply.tree) | {"load": {"none": True}}
        unloaded = supply_from_tree(
            tree, lines=supply.lines, origin=supply.origin, place="set", changes=supply.changes, with_points=False
        )
        return _with_faults_of(supply, unloaded)
    point = next((point for point in supply.points if point.name == name), None)
    if point is None:
        names = point_names(supply)
        raise SheetError(
            [
                SheetFault(
                    file=supply.origin,
                    line="point",
                    given=name,
                    problem=f"there is no point {quoted(name)}.",
                    allowed=listed(names),
                    remedy=near_miss(name, names) or "Name one of these, or add a [[point]] to the sheet.",
                )
            ]
        )
    return replace_all(supply, point.set)


def _with_faults_of(supply: Supply, changed: Supply) -> Supply:
    """Carry the faults over; those still to be made must fit the changed circuit as well."""
    if not supply.faults and supply.nominal_mains_voltage is None:
        return changed
    kept = tuple(fault if fault.edits == "supply" else parse_fault(changed, fault.words) for fault in supply.faults)
    return dataclasses.replace(changed, faults=kept, nominal_mains_voltage=supply.nominal_mains_voltage)
