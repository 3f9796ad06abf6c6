"""Reads a network of one's own: the `[[element]]` tables and `[network]`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, cast

from railwright.supply.cells import WORD, Reading, Table
from railwright.supply.errors import listed, quoted
from railwright.supply.locate import Path
from railwright.supply.model import Element, NetworkPair
from railwright.supply.sections import read_diode, read_mains

#: The key that holds the value of each kind; kinds without one are described by more than one number.
VALUE_KEYS: Final[Mapping[str, str]] = {
    "resistor": "resistance",
    "capacitor": "capacitance",
    "choke": "inductance",
    "zener": "zener_voltage",
    "battery": "battery",
    "current-load": "current",
    "winding": "turns",
}
#: The key of the resistance that belongs to a kind beside its value.
RESISTANCE_KEYS: Final[Mapping[str, str]] = {
    "choke": "resistance",
    "battery": "battery_resistance",
    "zener": "zener_resistance",
}


def read_elements(reading: Reading, items: list[tuple[Path, Any]]) -> tuple[Element, ...]:
    """All elements, their names unique, with a source among them and no winding alone on its core."""
    elements: dict[str, Element] = {}
    for path, item in items:
        element = _element(Table(reading, path, item, "element"))
        if element.name and element.name in elements:
            reading.faults.add(
                (*path, "name"),
                f'"{element.name}" is the name of an earlier element.',
                given=element.name,
                remedy="Give each its own name.",
            )
        if element.start and element.start == element.end:
            reading.faults.add(
                (*path, "to"), f'both ends are on the node "{element.end}".', given=element.end,
                remedy="Join it to two nodes, or take it out.",
            )  # fmt: skip
        elements.setdefault(element.name or f"?{path[-1]}", element)
    found = tuple(elements.values())
    if items and not any(element.kind == "source" for element in found):
        reading.faults.add(
            ("element",),
            "no element is a source, so there are no angles to count from.",
            remedy='Add an element with kind = "source"; waveform = "dc" for a bench supply.',
        )
    cores: dict[str, list[str]] = {}
    for element in found:
        if element.kind == "winding" and element.core:
            cores.setdefault(element.core, []).append(element.name)
    for core, names in cores.items():
        if len(names) == 1:
            reading.faults.add(
                ("element",),
                f'the winding "{names[0]}" is alone on its core "{core}".',
                given=core,
                remedy="Put two windings or more on a core; a coil of its own is a choke.",
            )
    return found


def _element(table: Table) -> Element:
    kind = table.choice("kind", "", required=True)
    table.check_keys(kind=kind)
    if not kind:
        return Element(kind="resistor", name="", start="", end="", value=1.0)
    value_key = VALUE_KEYS.get(kind)
    if kind == "battery":
        table.number("battery_resistance", required=True)
    if kind == "switch" and "closed" not in table:
        table.missing("closed")
    if kind == "resistor" and table.number("resistance") == 0.0:
        table.fault("resistance", "a resistor of 0 ohm is a wire.", remedy="Join the two nodes by one name.")
    source = None
    if kind == "source":
        source = read_mains(table)
        if source.phases == 3:
            table.fault("phases", "an element is one source.", allowed="1", remedy="Write three sources.")
    resistance_key = RESISTANCE_KEYS.get(kind)
    return Element(
        kind=cast(Any, kind),
        name=table.name("name", ""),
        start=table.name("from", ""),
        end=table.name("to", ""),
        value=table.positive(value_key, 1.0) if value_key else None,
        esr=table.number("esr", 0.0) or 0.0,
        resistance=(table.number(resistance_key, 0.0) or 0.0) if resistance_key else 0.0,
        minimum_voltage=table.number("minimum_voltage", 0.5) or 0.5,
        diode=read_diode(table, "diode") if kind == "diode" else None,
        source=source,
        closed=table.flag("closed", True),
        core=table.name("core", "") or None if kind == "winding" else None,
    )


def read_network(table: Table, elements: tuple[Element, ...]) -> NetworkPair:
    """`[network]`: its nodes must be those of elements."""
    table.check_keys()
    known = tuple(dict.fromkeys(node for element in elements for node in (element.start, element.end) if node))
    common = table.name("common", "")
    if common and common not in known:
        _unknown_node(table, "common", common, known)
    value = table.content.get("output")
    pair: tuple[str, str] = ("", "")
    if value is None:
        table.missing("output")
    elif (
        isinstance(value, list)
        and len(value) == 2
        and all(isinstance(node, str) and WORD.fullmatch(node) for node in value)
    ):
        pair = (value[0], value[1])
        for node in pair:
            if node not in known:
                _unknown_node(table, "output", node, known)
        if pair[0] == pair[1]:
            table.fault("output", "both nodes of the output are the same.", remedy="Name two nodes.")
    else:
        table.fault("output", f"{quoted(value)} is no pair of nodes.", remedy='Write output = ["out", "0"].')
    return NetworkPair(common=common, output=pair)


def _unknown_node(table: Table, key: str, node: str, known: tuple[str, ...]) -> None:
    table.fault(
        key,
        f'no element has the node "{node}".',
        given=node,
        allowed=listed(known),
        remedy=table.faults.near(node, known) or "Name one of these nodes.",
    )
