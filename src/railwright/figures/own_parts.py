"""Parts of a reader's own network: symbol, words, and the direction in which the current of each counts."""

from __future__ import annotations

from dataclasses import dataclass

from railwright.figures.draft import Draft
from railwright.figures.drawing import PlacedPart
from railwright.figures.labels import Side
from railwright.figures.scene import INK, Circle, Group, Item, Point, Tag
from railwright.figures.supply_side import source_kind, source_lines
from railwright.figures.symbols import Kind
from railwright.quantities import format_quantity
from railwright.supply.model import Element, Supply

_KINDS: dict[str, Kind] = {
    "resistor": "resistor", "capacitor": "capacitor", "choke": "choke", "diode": "diode", "zener": "zener",
    "battery": "battery", "current-load": "current-load", "winding": "winding",
}  # fmt: skip
_UNITS = {"resistor": "ohm", "capacitor": "F", "choke": "H", "zener": "V", "battery": "V", "current-load": "A"}
#: Kinds that can be what the network feeds.
_LOADS = ("resistor", "current-load", "battery")
_DOT = 3.2  # [px]


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """How an element is laid."""

    kind: Kind
    nodes: tuple[str, str]  # in the direction in which its current counts positive
    lines: tuple[str, ...]
    backward: bool = False  # whether the symbol points against that direction
    drives: bool = False  # whether it is a source, or a winding that its core feeds


def laying(element: Element, supply: Supply) -> Laying:
    """Symbol, direction and words of an element.

    A source and a winding that is fed by its core drive their current out of the node that they come from; a zener's
    counts from cathode to anode, against its arrow.
    """
    lines = (element.name, *_value(element))
    along, against = (element.start, element.end), (element.end, element.start)
    if element.kind == "source":
        assert element.source is not None
        words = source_lines(element.source)
        return Laying(kind=source_kind(element.source), nodes=against, lines=(element.name, *words), drives=True)
    if element.kind == "switch":
        return Laying(kind="switch-closed" if element.closed else "switch-open", nodes=along, lines=lines)
    if element.kind == "zener":
        return Laying(kind="zener", nodes=against, lines=lines, backward=True)
    if element.kind == "winding" and not _feeds_core(element, supply):
        return Laying(kind="winding", nodes=against, lines=lines, drives=True)
    return Laying(kind=_KINDS[element.kind], nodes=along, lines=lines)


def lay_element(
    draft: Draft,
    element: Element,
    how: Laying,
    points: dict[str, Point],
    *,
    sides: tuple[Side, ...],
    humps: Side | None = None,
) -> PlacedPart:
    """Lay an element between the points of its two nodes; `humps` tells on which side an upright winding bulges."""
    start, end = points[how.nodes[0]], points[how.nodes[1]]
    flip = False
    if humps is not None:
        # A walker downwards has the right of the paper at the left hand, where the humps are.
        flip = (end[1] > start[1]) != (humps == "right")
    is_winding = element.kind == "winding"
    placed = draft.part(
        element.name, how.kind, start, end, nodes=how.nodes, lines=() if is_winding else how.lines, sides=sides,
        backward=how.backward, flip=flip, drives=how.drives,
    )  # fmt: skip
    if is_winding:
        # A winding is so slim that the ribbon would reach its words.
        draft.label(element.name, how.lines, placed.box.grown(5.0), sides=sides, bold_first=True)
        _polarity_dot(draft, element, placed, points[element.start], humps)
    return placed


def _polarity_dot(draft: Draft, element: Element, placed: PlacedPart, begin: Point, humps: Side | None) -> None:
    """The dot at the end that the sheet names first: ends with dots are positive together."""
    x = begin[0] + (-9.0 if humps == "left" else 9.0)
    y = placed.box.top - 5.0 if begin[1] < placed.box.centre[1] else placed.box.bottom + 5.0
    dot: Item = Circle(centre=(x, y), radius=_DOT, pen=None, fill=INK)
    draft.shape(Group(items=(dot,), tag=Tag(classes=("core",), data={"ref": element.core or element.name})))


def is_load(element: Element) -> bool:
    """Whether an element may be what the network feeds."""
    return element.kind in _LOADS


def _feeds_core(element: Element, supply: Supply) -> bool:
    """The first winding of a core takes in what the others give out."""
    first = next(e for e in supply.elements if e.kind == "winding" and e.core == element.core)
    return first.name == element.name


def _value(element: Element) -> tuple[str, ...]:
    if element.kind in _UNITS and element.value is not None:
        return (format_quantity(element.value, _UNITS[element.kind]),)
    if element.kind == "winding" and element.value is not None:
        return (f"{element.value:g} turns",)
    if element.kind == "diode" and element.diode is not None and element.diode.name not in (None, "silicon"):
        return (str(element.diode.name),)
    if element.kind == "switch":
        return ("closed",) if element.closed else ("open",)
    return ()
