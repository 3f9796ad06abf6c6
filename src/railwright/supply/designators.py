"""Names the parts of a supply (D1, C1, R1 …) and the nodes between which they stand.

Parts come in one fixed order: diodes by circuit, the circuit's own capacitors, the filter section by section (on
dual rails the positive part before the negative one), the zener's series resistor, then T1, F1, the regulators
and zeners, and last the extras by their own names. In a network of one's own the elements are the parts.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from railwright.supply.model import (
    Capacitor,
    Element,
    Extra,
    Fault,
    FilterSection,
    Fuse,
    Rectifier,
    Regulator,
    Supply,
    Transformer,
)

PartKind = Literal[
    "diode", "capacitor", "resistor", "choke", "bleeder", "transformer", "fuse", "regulator", "zener", "wire",
    "source", "battery", "current-load", "switch", "winding",
]  # fmt: skip
PartRail = Literal["positive", "negative"]
_Join = Callable[[str, str], None]

_LETTERS: Final[Mapping[str, str]] = {"capacitor": "C", "choke": "L", "resistor": "R", "bleeder": "R"}
#: Diodes of the circuits that have a fixed number of them, each from anode to cathode, in the order D1, D2 …
_DIODES: Final[Mapping[str, tuple[tuple[str, str], ...]]] = {
    "half-wave": (("winding_a", "positive"),),
    "centre-tap": (("winding_a", "positive"), ("winding_b", "positive")),
    "bridge": (
        ("winding_a", "positive"), ("winding_b", "positive"), ("negative", "winding_a"), ("negative", "winding_b"),
    ),
    "dual-rail": (
        ("winding_a", "positive"), ("winding_b", "positive"), ("negative", "winding_a"), ("negative", "winding_b"),
    ),
    "dual-half-wave": (("winding_a", "positive"), ("negative", "winding_a")),
    "full-wave-doubler": (("winding_a", "positive"), ("negative", "winding_a")),
    "three-phase-half-wave": (("winding_1", "positive"), ("winding_2", "positive"), ("winding_3", "positive")),
    # In the order in which they take over from one another.
    "three-phase-bridge": (
        ("winding_1", "positive"), ("negative", "winding_3"), ("winding_2", "positive"),
        ("negative", "winding_1"), ("winding_3", "positive"), ("negative", "winding_2"),
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of a supply under its designator."""

    designator: str
    kind: PartKind
    value: float | None  # [F] [ohm] [H], rated [A] of a fuse, [V] of a regulator or zener; None: no single value
    nodes: tuple[str, ...]  # its leads: diode anode then cathode, others marked (or rectifier) end first
    source: Rectifier | Capacitor | FilterSection | Regulator | Transformer | Fuse | Extra | Element
    section: int | None = None  # position in the filter, counted from 1
    rail: PartRail | None = None  # on dual rails
    fitted: bool = True
    esr: float | None = None  # [ohm] of a capacitor, as stated or as a fault has made it


def parts(supply: Supply) -> tuple[Part, ...]:
    """All parts of a supply in the order of their designators.

    Capacitors that carry a fault `value=` or `dried=` appear with the value that the fault gives them.
    """
    if supply.elements:
        listed = [_element_part(element) for element in supply.elements]
    else:
        listed = _circuit_parts(supply)
    listed += [
        Part(designator=extra.name, kind=extra.kind, value=extra.value, nodes=(extra.start, extra.end), source=extra)
        for extra in supply.extras
    ]
    changed = {fault.target: fault for fault in supply.faults if fault.action in ("value", "dried")}
    return tuple(_changed(part, changed.get(part.designator)) for part in listed)


def find_part(supply: Supply, designator: str) -> Part | None:
    """The part of that designator, or None."""
    return next((part for part in parts(supply) if part.designator == designator), None)


def nodes(supply: Supply) -> tuple[str, ...]:
    """The node names that exist in this supply's circuit, for probes, extras and faults."""
    if supply.elements:
        own = [node for element in supply.elements for node in (element.start, element.end)]
        return tuple(dict.fromkeys([*own, "earth"]))
    circuit = supply.rectifier.circuit
    names = []
    if supply.mains.phases == 3:
        names += ["l1", "l2", "l3", "neutral", "earth", "winding_1", "winding_2", "winding_3"]
    else:
        names += ["live", "neutral", "earth", "winding_a", "winding_b"]
        if _is_tapped(supply):
            names.append("tap")
    names += ["positive", "negative"]
    if supply.is_dual:
        names.append("zero")
    if circuit == "multiplier":
        names += [f"stage_{stage}" for stage in range(1, supply.rectifier.stages + 1)]
    for position in range(1, len(supply.filters) + 1):
        names.append(f"after_{position}")
        if supply.is_dual:
            names.append(f"after_{position}_negative")
    names.append("output")
    if supply.is_dual:
        names.append("output_negative")
    return tuple(names)


def joined_nodes(supply: Supply) -> Mapping[str, str]:
    """Node names that mean the same place: each name to the one that stands for it.

    A capacitor of the filter has the same node before and behind it; without a transformer the winding is the
    source; without a regulator the output is the end of the filter.
    """
    same: dict[str, str] = {}

    def join(name: str, other: str) -> None:
        same[_root(same, name)] = _root(same, other)

    if not supply.elements:
        _join_circuit(supply, join)
    return {name: _root(same, name) for name in nodes(supply)}


def same_node(supply: Supply, one: str, other: str) -> bool:
    """Whether two node names mean the same place of the circuit."""
    joined = joined_nodes(supply)
    return joined.get(one, one) == joined.get(other, other)


# ------------------------------------------------------------------------------------------------------- the parts


class _Numbers:
    """Gives out the next free number of each letter."""

    def __init__(self) -> None:
        self.used: dict[str, int] = {}

    def next(self, letter: str) -> str:
        self.used[letter] = self.used.get(letter, 0) + 1
        return f"{letter}{self.used[letter]}"


def _circuit_parts(supply: Supply) -> list[Part]:
    number = _Numbers()
    listed = _diodes(supply, number) + _circuit_capacitors(supply, number) + _filter_parts(supply, number)
    behind: list[Part] = []
    for regulator, rail in _regulators(supply):
        before, output = _regulator_nodes(supply, rail)
        back = _return_node(supply)
        place = 2 if rail == "negative" else 1
        if regulator.kind == "zener":
            listed.append(
                Part(designator=number.next("R"), kind="resistor", value=regulator.series_resistor,
                     nodes=(before, output), source=regulator, rail=rail)
            )  # fmt: skip
            # On the negative rail the output lies below zero, so the cathode is at zero.
            leads = (back, output) if rail == "negative" else (output, back)
            behind.append(
                Part(designator=f"Z{place}", kind="zener", value=regulator.zener_voltage, nodes=leads,
                     source=regulator, rail=rail)
            )  # fmt: skip
        else:
            behind.append(
                Part(designator=f"U{place}", kind="regulator", value=regulator.output, nodes=(before, output, back),
                     source=regulator, rail=rail)
            )  # fmt: skip
    if supply.transformer is not None:
        listed.append(
            Part(designator="T1", kind="transformer", value=None, nodes=_transformer_nodes(supply),
                 source=supply.transformer)
        )  # fmt: skip
    if supply.fuse is not None:
        first, three = supply.fuse.side == "primary", supply.mains.phases == 3
        lead = ("l1" if first else "winding_1") if three else ("live" if first else "winding_a")
        listed.append(
            Part(designator="F1", kind="fuse", value=supply.fuse.rating, nodes=(lead,), source=supply.fuse)
        )
    return listed + behind


def _diodes(supply: Supply, number: _Numbers) -> list[Part]:
    rectifier = supply.rectifier
    if rectifier.circuit in ("half-wave-doubler", "multiplier"):
        leads = []
        for stage in range(1, rectifier.stages + 1):
            below = _stage_node(supply, stage - 1)
            leads += [(below, f"pump_{stage}"), (f"pump_{stage}", _stage_node(supply, stage))]
    else:
        leads = list(_DIODES.get(rectifier.circuit, ()))
    return [
        Part(designator=number.next("D"), kind="diode", value=None, nodes=lead, source=rectifier) for lead in leads
    ]


def _circuit_capacitors(supply: Supply, number: _Numbers) -> list[Part]:
    rectifier = supply.rectifier
    leads: list[tuple[Capacitor | None, tuple[str, str]]] = []
    if rectifier.circuit == "full-wave-doubler":
        leads = [
            (rectifier.stage_capacitor, ("positive", "winding_b")),
            (rectifier.stage_capacitor, ("winding_b", "negative")),
        ]
    elif rectifier.circuit in ("half-wave-doubler", "multiplier"):
        for stage in range(1, rectifier.stages + 1):
            before = "winding_a" if stage == 1 else f"pump_{stage - 1}"
            leads += [
                (rectifier.pump_capacitor, (f"pump_{stage}", before)),
                (rectifier.stage_capacitor, (_stage_node(supply, stage), _stage_node(supply, stage - 1))),
            ]
    return [
        Part(designator=number.next("C"), kind="capacitor", value=capacitor.capacitance, nodes=lead, source=capacitor,
             esr=capacitor.esr)
        for capacitor, lead in leads
        if capacitor is not None
    ]  # fmt: skip


def _filter_parts(supply: Supply, number: _Numbers) -> list[Part]:
    listed = []
    for position, section in enumerate(supply.filters, 1):
        for rail in _rails(supply, section):
            mark = "_negative" if rail == "negative" else ""
            before = _before(position, rail)
            after = f"after_{position}{mark}"
            back = _return_node(supply)
            if section.kind in ("resistor", "choke"):
                leads = (before, after)
            else:
                leads = (back, after) if rail == "negative" else (after, back)
            listed.append(
                Part(designator=number.next(_LETTERS[section.kind]), kind=section.kind, value=section.value,
                     nodes=leads, source=section, section=position, rail=rail, fitted=section.fitted,
                     esr=section.esr)
            )  # fmt: skip
    return listed


def _element_part(element: Element) -> Part:
    return Part(
        designator=element.name,
        kind=element.kind,
        value=element.value,
        nodes=(element.start, element.end),
        source=element,
        esr=element.esr if element.kind == "capacitor" else None,
    )


def _changed(part: Part, fault: Fault | None) -> Part:
    if fault is None or part.kind != "capacitor":
        return part
    esr = fault.values[1] if fault.action == "dried" else part.esr
    return Part(
        designator=part.designator, kind=part.kind, value=fault.values[0], nodes=part.nodes, source=part.source,
        section=part.section, rail=part.rail, fitted=part.fitted, esr=esr,
    )  # fmt: skip


def _rails(supply: Supply, section: FilterSection) -> tuple[PartRail | None, ...]:
    if not supply.is_dual:
        return (None,)
    return ("positive", "negative") if section.rail == "both" else (section.rail,)


def _regulators(supply: Supply) -> list[tuple[Regulator, PartRail | None]]:
    found: list[tuple[Regulator, PartRail | None]] = []
    if supply.regulator is not None:
        found.append((supply.regulator, None))
    if supply.regulator_positive is not None:
        found.append((supply.regulator_positive, "positive"))
    if supply.regulator_negative is not None:
        found.append((supply.regulator_negative, "negative"))
    return found


# ------------------------------------------------------------------------------------------------------- the nodes


def _before(position: int, rail: PartRail | None) -> str:
    if position == 1:
        return "negative" if rail == "negative" else "positive"
    return f"after_{position - 1}" + ("_negative" if rail == "negative" else "")


def _return_node(supply: Supply) -> str:
    return "zero" if supply.is_dual else "negative"


def _regulator_nodes(supply: Supply, rail: PartRail | None) -> tuple[str, str]:
    before = _before(len(supply.filters) + 1, rail)
    return before, "output_negative" if rail == "negative" else "output"


def _stage_node(supply: Supply, stage: int) -> str:
    if stage == 0:
        return "negative"
    return f"stage_{stage}" if supply.rectifier.circuit == "multiplier" else "positive"


def _is_tapped(supply: Supply) -> bool:
    return supply.transformer is not None and supply.transformer.secondary == "centre-tapped"


def _transformer_nodes(supply: Supply) -> tuple[str, ...]:
    if supply.mains.phases == 3:
        return ("l1", "l2", "l3", "winding_1", "winding_2", "winding_3")
    leads = ("live", "neutral", "winding_a", "winding_b")
    return (*leads, "tap") if _is_tapped(supply) else leads


def _root(same: Mapping[str, str], name: str) -> str:
    while name in same and same[name] != name:
        name = same[name]
    return name


def _join_circuit(supply: Supply, join: _Join) -> None:
    rectifier, tapped = supply.rectifier, _is_tapped(supply)
    three = supply.mains.phases == 3
    if supply.transformer is None:
        pairs = [("winding_1", "l1"), ("winding_2", "l2"), ("winding_3", "l3")] if three else []
        pairs += [] if three else [("winding_a", "live"), ("winding_b", "neutral")]
        # A fuse stands in the first of these leads.
        for winding, line in pairs[1:] if supply.fuse is not None else pairs:
            join(winding, line)
        if rectifier.circuit == "three-phase-half-wave":
            join("negative", "neutral")
    back = "tap" if tapped and rectifier.tap == "common" else "winding_b"
    if rectifier.circuit in ("half-wave", "centre-tap", "half-wave-doubler", "multiplier"):
        join("negative", back)
    elif rectifier.circuit in ("dual-rail", "dual-half-wave"):
        join("zero", back)
    elif rectifier.circuit == "none":
        join("positive", "winding_a")
        join("negative", back)
    if tapped and rectifier.tap == "negative" and rectifier.circuit == "bridge":
        join("tap", "negative")
    if rectifier.circuit == "multiplier":
        join("positive", f"stage_{rectifier.stages}")
    rails: tuple[PartRail | None, ...] = ("positive", "negative") if supply.is_dual else (None,)
    for rail in rails:
        mark = "_negative" if rail == "negative" else ""
        for position, section in enumerate(supply.filters, 1):
            if section.kind in ("capacitor", "bleeder") or (rail is not None and rail not in _rails(supply, section)):
                join(f"after_{position}{mark}", _before(position, rail))
        if not any(of == rail for _, of in _regulators(supply)):
            join(f"output{mark}", _before(len(supply.filters) + 1, rail))
