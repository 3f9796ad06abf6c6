"""The three boxes and the sliders of a first look: which keys of a sheet they hold, whatever circuit it describes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from railwright.documents.lesson.axes import axes_of
from railwright.supply import SheetError, SheetFault, Supply, read_text
from railwright.web.sheet_text import Edits, edited
from railwright.web.typed import Wanted, as_typed, shown_unit, typed

#: How far the mains strays on its slider, either way, as a factor. (a choice; EN 50160 allows a tenth, from memory)
MAINS_REACH: Final = 1.25
_LOAD_UNITS: Final[Mapping[str, str]] = {"resistance": "ohm", "current": "A", "power": "W"}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Box:
    name: str
    key: str
    unit: str
    value: str
    empty_allowed: bool = False
    further: tuple[str, ...] = ()  # keys that take the same value


def _boxes(supply: Supply, decimal: str) -> list[_Box]:
    tree = supply.tree
    found = []
    winding = _winding(supply)
    if winding is not None:
        found.append(_Box(name="winding", key=winding, unit="V", value=_at(tree, winding, "V", decimal)))
    capacitor = _capacitor(supply)
    if capacitor is not None:
        key, further, fitted = capacitor
        value = _at(tree, key, "F", decimal) if fitted else ""
        found.append(
            _Box(name="capacitor", key=key, unit="F", value=value, empty_allowed=key.startswith("filter"),
                 further=further)
        )  # fmt: skip
    load = supply.tree.get("load", {})
    for kind, unit in _LOAD_UNITS.items():
        if kind in load:
            key = f"load.{kind}"
            found.append(_Box(name="load", key=key, unit=unit, value=_at(tree, key, unit, decimal)))
    return found


def boxes_of(supply: Supply, *, decimal: str = ".") -> list[dict[str, Any]]:
    """The boxes of a supply, as plain data; one that it has no single key for is left out."""
    if supply.elements:
        return []
    return [
        {
            "name": box.name, "key": box.key, "shown": shown_unit(box.unit), "value": box.value,
            "emptyAllowed": box.empty_allowed,
        }
        for box in _boxes(supply, decimal)
    ]  # fmt: skip


def _winding(supply: Supply) -> str | None:
    """The key that gives the EMF that a book would reckon with."""
    transformer = supply.tree.get("transformer")
    if transformer is None:
        return "mains.voltage" if "voltage" in supply.tree.get("mains", {}) else None
    for name in ("secondary_voltage", "open_voltage"):
        if name in transformer:
            return f"transformer.{name}"
    return None


def _capacitor(supply: Supply) -> tuple[str, tuple[str, ...], bool] | None:
    rectifier = supply.tree.get("rectifier", {})
    if "stage_capacitor" in rectifier:
        alike = rectifier.get("pump_capacitor") == rectifier["stage_capacitor"]
        return "rectifier.stage_capacitor", ("rectifier.pump_capacitor",) if alike else (), True
    for position, section in enumerate(supply.tree.get("filter", ()), start=1):
        if "capacitor" in section:
            return f"filter.{position}.capacitor", (), section.get("fitted", True) is not False
    # A circuit without one has an empty box: what is typed there is put in.
    return "filter.new", (), False


def _at(tree: Mapping[str, Any], key: str, unit: str, decimal: str) -> str:
    value: Any = tree
    for step in key.split("."):
        value = value[int(step) - 1] if isinstance(value, list) else value.get(step, "")
    return as_typed(value, unit, decimal=decimal) if isinstance(value, str) else ""


def with_boxes(text: str, wanted: Mapping[str, str], *, decimal: str = ".") -> tuple[str, tuple[str, ...]]:
    """A sheet's text with what was typed into its boxes, and what had to give way.

    Parameters
    ----------
    wanted : mapping
        From a box's name (`winding`, `capacitor`, `load`) to what was typed; `load_kind` may name another kind of
        load for what stands in `load`.

    Raises
    ------
    SheetError
        If a box can't be read, or the sheet makes no sense with it: the fault's key is the box's name.
    """
    from railwright.quantities import QuantityError

    supply = read_text(text)
    boxes = {box.name: box for box in _boxes(supply, decimal)}
    changes: dict[str, object] = {}
    add: list[tuple[str, Mapping[str, object]]] = []
    for name, given in wanted.items():
        if name == "load_kind":
            continue
        box = boxes.get(name)
        if box is None:
            problem = "this sheet has no single value for that box."
            raise _refused(name, given, problem, "Change it in the form.")
        key, unit = box.key, box.unit
        if name == "load" and wanted.get("load_kind") in _LOAD_UNITS:
            kind = wanted["load_kind"]
            key, unit = f"load.{kind}", _LOAD_UNITS[kind]
        if not given.strip() and box.empty_allowed:
            if key != "filter.new":
                changes[f"{key.rpartition('.')[0]}.fitted"] = False
            continue
        try:
            value = typed(given, Wanted(key=key, unit=unit, shown=shown_unit(unit)), decimal=decimal)
        except QuantityError as error:
            raise _refused(name, error.given, f'"{error.given}" {error.reason}.', error.remedy) from None
        if key == "filter.new":
            add.append(("filter", {"capacitor": value}))
            continue
        changes[key] = value
        changes.update(dict.fromkeys(box.further, value))
        section = key.rpartition(".")[0]
        if name == "capacitor" and section.startswith("filter") and not box.value:
            changes[f"{section}.fitted"] = True
    try:
        return edited(text, Edits(set=changes, add=tuple(add)))
    except SheetError as error:
        by_key = {box.key: box.name for box in boxes.values()}
        raise SheetError(_renamed(fault, by_key, wanted) for fault in error.faults) from None


def _refused(box: str, given: str, problem: str, remedy: str) -> SheetError:
    return SheetError([SheetFault(file="sheet", key=box, given=given, problem=problem, remedy=remedy)])


def _renamed(fault: SheetFault, by_key: Mapping[str, str], wanted: Mapping[str, str]) -> SheetFault:
    from dataclasses import replace

    name = by_key.get(fault.key) or ("load" if fault.key.startswith("load.") and "load" in wanted else fault.key)
    return replace(fault, key=name)


def sliders_of(supply: Supply) -> list[dict[str, Any]]:
    """The sliders: capacitance, load, mains; each over a range around the sheet's own value."""
    sliders = [
        {
            "part": axis.part, "key": axis.key, "unit": axis.unit, "label": axis.label,
            "value": axis.values[axis.middle], "low": axis.values[0], "high": axis.values[-1],
            "designators": list(axis.designators),
        }
        for axis in axes_of(supply)
    ]  # fmt: skip
    mains = supply.mains
    if not supply.elements and "voltage" in supply.tree.get("mains", {}):
        value = float(mains.voltage)
        sliders.append(
            {
                "part": "mains", "key": "mains.voltage", "unit": "V", "label": "Mains voltage", "value": value,
                "low": value / MAINS_REACH, "high": value * MAINS_REACH, "designators": ["mains"],
            }
        )  # fmt: skip
    return sliders
