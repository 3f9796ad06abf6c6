"""How the current of every part spreads over the drawn wires: Kirchhoff's current law on the drawing itself."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from railwright.figures.drawing import Drawing, PlacedPart
from railwright.figures.scene import Point

Spot: TypeAlias = tuple[str, float, float]  # a point of a node; wires that only cross share no spot

#: Part of the largest current by which the sum at a node may miss zero: less than any ribbon shows. The solver's own
#: proof is far tighter, but the current of a meter or scope isn't drawn.
BALANCE = 2e-3
#: [A] below it a current is rounding; leakage of a silicon diode is more (from memory)
NO_CURRENT = 1e-9
#: Kinds whose current follows from the others. A fuse and its winding can't carry two currents.
_FOLLOWING = ("fuse", "wire", "link")


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """Current along one straight piece of wire or through one part, positive from `start` to `end`. [A]"""

    start: Spot
    end: Spot
    current: float
    part: str | None = None  # designator; None for wire
    drawn: bool = True

    @property
    def line(self) -> tuple[Point, Point]:
        """[px]"""
        return self.start[1:], self.end[1:]

    @property
    def length(self) -> float:
        """[px]"""
        return math.dist(*self.line)


class Unbalanced(ValueError):
    """Currents that can't all be right: they don't add up at a node, or some that are needed weren't given."""


def spot(node: str, point: Point) -> Spot:
    """A point as the key of a node's place."""
    return node, round(point[0], 1), round(point[1], 1)


def wire_flow(drawing: Drawing, currents: Mapping[str, float]) -> tuple[Flow, ...]:
    """Currents in every piece of wire and every part.

    Parameters
    ----------
    drawing : Drawing
        Its parts name their terminals, its wires their nodes.
    currents : Mapping
        By designator, positive in the part's own direction. [A]. A fuse, a regulator or a transformer's primary that
        isn't named gets the current that the others leave to it.

    Returns
    -------
    tuple of Flow
        Pieces of wire first, in the order of the drawing. [A]

    Raises
    ------
    Unbalanced
        If the currents don't add up to zero at some node, or too few are given.
    """
    given: list[Flow] = []
    unknown: list[Flow] = list(_pieces(drawing))
    entering: defaultdict[Spot, float] = defaultdict(float)
    for placed in drawing.parts.values():
        if not placed.fitted or not placed.carries:
            continue
        start, end = spot(placed.nodes[0], placed.start), spot(placed.nodes[1], placed.end)
        value = currents.get(placed.designator)
        if placed.common is not None:
            unknown.extend(_star(placed, start, end))
        elif placed.kind in _FOLLOWING or (value is None and placed.designator.startswith("primary")):
            unknown.append(Flow(start=start, end=end, current=0.0, part=placed.designator, drawn=placed.inside))
        elif value is not None:
            given.append(Flow(start=start, end=end, current=value, part=placed.designator, drawn=placed.inside))
            entering[start] -= value
            entering[end] += value
    largest = max((abs(flow.current) for flow in given), default=0.0)
    return (*_solved(_without_idle_links(unknown, drawing), entering, largest), *given)


def _without_idle_links(unknown: list[Flow], drawing: Drawing) -> list[Flow]:
    """Leave out links and added wires that only close a ring of ideal wire: how current divides there is open."""
    head: dict[Spot, Spot] = {}

    def top(place: Spot) -> Spot:
        while head.setdefault(place, place) != place:
            place = head[place]
        return place

    def idle_kind(flow: Flow) -> int:
        kind = drawing.parts[flow.part].kind if flow.part is not None and flow.part in drawing.parts else ""
        return {"wire": 1, "link": 2}.get(kind, 0)

    kept = []
    for flow in sorted(unknown, key=idle_kind):
        one, two = top(flow.start), top(flow.end)
        if one == two and idle_kind(flow):
            continue
        head[one] = two
        kept.append(flow)
    return kept


def _star(placed: PlacedPart, start: Spot, end: Spot) -> Iterator[Flow]:
    """A regulator's three leads, meeting in the middle of its box."""
    assert placed.common is not None and placed.common_node is not None
    middle = spot(placed.designator, placed.middle)
    yield Flow(start=start, end=middle, current=0.0, part=placed.designator)
    yield Flow(start=middle, end=end, current=0.0, part=placed.designator)
    yield Flow(
        start=middle, end=spot(placed.common_node, placed.common), current=0.0, part=f"{placed.designator} common"
    )


def _pieces(drawing: Drawing) -> Iterator[Flow]:
    """Every stretch of wire, cut where another wire or a terminal of its node meets it."""
    places: defaultdict[str, set[Point]] = defaultdict(set)
    for wire in drawing.wires:
        places[wire.node].update(wire.points)
    for placed in drawing.parts.values():
        if placed.fitted:
            places[placed.nodes[0]].add(placed.start)
            places[placed.nodes[1]].add(placed.end)
            if placed.common is not None and placed.common_node is not None:
                places[placed.common_node].add(placed.common)
    seen: set[frozenset[Spot]] = set()
    for wire in drawing.wires:
        for one, two in zip(wire.points, wire.points[1:], strict=False):
            span = math.dist(one, two)
            # A hidden link has no place: only its ends count.
            between = [p for p in places[wire.node] if wire.drawn and _lies_on(p, one, two)]
            cuts = [one, *sorted(between, key=lambda p: math.dist(one, p)), two]
            for begin, end in zip(cuts, cuts[1:], strict=False):
                first, second = spot(wire.node, begin), spot(wire.node, end)
                if span > 0 and first != second and frozenset((first, second)) not in seen:
                    seen.add(frozenset((first, second)))
                    yield Flow(start=first, end=second, current=0.0, drawn=wire.drawn)


def _lies_on(point: Point, one: Point, two: Point) -> bool:
    return (
        math.dist(point, one) > 0.05
        and math.dist(point, two) > 0.05
        and math.dist(one, point) + math.dist(point, two) - math.dist(one, two) < 1e-4
    )


def _solved(unknown: list[Flow], entering: Mapping[Spot, float], largest: float) -> tuple[Flow, ...]:
    """Currents in the unknown pieces, from the ends of the tree inwards."""
    left = dict(entering)
    touching: defaultdict[Spot, set[int]] = defaultdict(set)
    for index, flow in enumerate(unknown):
        touching[flow.start].add(index)
        touching[flow.end].add(index)
    found: dict[int, float] = {}
    ends = [place for place, pieces in touching.items() if len(pieces) == 1]
    while ends:
        place = ends.pop()
        if len(touching[place]) != 1:
            continue
        index = touching[place].pop()
        flow = unknown[index]
        carried = left.pop(place, 0.0)
        other = flow.end if flow.start == place else flow.start
        found[index] = carried if flow.start == place else -carried
        left[other] = left.get(other, 0.0) + carried
        touching[other].discard(index)
        if len(touching[other]) == 1:
            ends.append(other)
    missing = sorted({flow.part or flow.start[0] for index, flow in enumerate(unknown) if index not in found})
    if missing:
        raise Unbalanced(f"the current can divide in more than one way: give the currents of {', '.join(missing)} too")
    for place, rest in left.items():
        if abs(rest) > max(BALANCE * largest, NO_CURRENT):
            raise Unbalanced(
                f"the currents miss zero by {abs(rest):.3g} A at {place[0]}: "
                "give the current of every part at one moment"
            )
    return tuple(
        Flow(start=flow.start, end=flow.end, current=found[index], part=flow.part, drawn=flow.drawn)
        for index, flow in enumerate(unknown)
    )
