"""The schematic of a reader's own network as a ladder: source left, series parts on top, shunt parts to the rail.

Not every network is a ladder: for others `ladder` draws nothing, and `node_rails` takes its place.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from railwright.figures.draft import Draft, snapped
from railwright.figures.filter_chain import COLUMN_GAP, Rail, label_width
from railwright.figures.labels import Side
from railwright.figures.own_parts import is_load, lay_element, laying
from railwright.figures.scene import Box, Group, Item, Line, Tag, united
from railwright.figures.symbols import PEN
from railwright.supply.model import Element, Supply

_RAILS = 180.0  # [px] between the rails
_APART = 84.0  # [px] between series parts that lie in parallel
_CORE = 56.0  # [px] between two windings of a core
_LOOPS_CORE = 68.0
_HALF = 24.0  # [px] half the width of an upright symbol


@dataclass(frozen=True, slots=True, kw_only=True)
class _Station:
    """One node of the upper rail, with what hangs from it and what joins it to the next."""

    node: str
    ground: str
    fed: Element | None  # the winding that is fed from the left
    shunts: tuple[Element, ...]
    feeds: Element | None  # the winding that feeds the next station
    series: tuple[Element, ...]  # to the next station


def ladder(draft: Draft, supply: Supply) -> bool:
    """Draw the network as a ladder if it is one; False, and nothing drawn, if it isn't. No crossing."""
    stations = _stations(supply)
    if stations is None:
        return False
    pen = _Pen(draft, supply, stations)
    for number, station in enumerate(stations):
        last = number + 1 == len(stations)
        pen.station(station, is_last=last)
        if not last and station.series:
            pen.series(station.series, stations[number + 1].node)
    return True


def _ends_the_chain(stations: tuple[_Station, ...], supply: Supply) -> bool:
    """Whether the output pair is the last station and its return: there open terminals find room."""
    assert supply.network is not None
    return supply.network.output == (stations[-1].node, stations[-1].ground)


# ---------------------------------------------------------------- is it a ladder?


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sorted:
    """The elements by where they lie."""

    hanging: Mapping[str, list[Element]]  # from a node to its return
    between: Mapping[frozenset[str], list[Element]]  # two nodes of the upper rail
    cores: Mapping[frozenset[str], tuple[Element, Element]]  # two nodes that a core joins


def _stations(supply: Supply) -> tuple[_Station, ...] | None:
    """The network as a chain of stations; None if it isn't one."""
    grounds = _grounds(supply)
    found = _sorted(supply, grounds)
    if found is None:
        return None
    nodes = {node for e in supply.elements for node in (e.start, e.end)} - set(grounds.values())
    source = next(e for e in supply.elements if e.kind == "source")
    first = source.start if source.start != grounds[source.start] else source.end
    chain = _chain([*found.between, *found.cores], first)
    if chain is None or set(chain) != nodes:
        return None
    return tuple(_station(chain, k, found, grounds) for k in range(len(chain)))


def _sorted(supply: Supply, grounds: Mapping[str, str]) -> _Sorted | None:
    """None where an element fits no ladder."""
    hanging: defaultdict[str, list[Element]] = defaultdict(list)
    between: defaultdict[frozenset[str], list[Element]] = defaultdict(list)
    windings: defaultdict[str, list[Element]] = defaultdict(list)
    for element in supply.elements:
        hot = [node for node in (element.start, element.end) if node != grounds[node]]
        if not hot or (len(hot) == 2 and element.kind in ("source", "winding")):
            return None
        if element.kind == "winding":
            windings[element.core or ""].append(element)
        if len(hot) == 1:
            hanging[hot[0]].append(element)
        else:
            between[frozenset(hot)].append(element)
    cores: dict[frozenset[str], tuple[Element, Element]] = {}
    for group in windings.values():
        ends = frozenset(node for e in group for node in (e.start, e.end) if node != grounds[node])
        if len(group) != 2 or len(ends) != 2 or ends in between or ends in cores:
            return None
        cores[ends] = group[0], group[1]
    return _Sorted(hanging=hanging, between=between, cores=cores)


def _station(chain: tuple[str, ...], k: int, found: _Sorted, grounds: Mapping[str, str]) -> _Station:
    node = chain[k]
    here = found.hanging.get(node, [])

    def winding(joint: frozenset[str]) -> Element | None:
        return next((e for e in found.cores.get(joint, ()) if e in here), None)

    onward = frozenset(chain[k : k + 2])
    fed = winding(frozenset(chain[k - 1 : k + 1])) if k > 0 else None
    feeds = winding(onward) if k + 1 < len(chain) else None
    others = [e for e in here if e not in (fed, feeds)]
    # Sources first; what the output feeds stands last.
    others.sort(key=lambda e: (e.kind != "source", is_load(e)))
    series = tuple(found.between.get(onward, ())) if k + 1 < len(chain) else ()
    return _Station(node=node, ground=grounds[node], fed=fed, shunts=tuple(others), feeds=feeds, series=series)


def _grounds(supply: Supply) -> dict[str, str]:
    """For each node the return of its isolated side: the common node, else where its source or winding returns."""
    head: dict[str, str] = {}

    def top(node: str) -> str:
        while head.setdefault(node, node) != node:
            node = head[node]
        return node

    for element in supply.elements:
        head[top(element.start)] = top(element.end)
    assert supply.network is not None
    chosen = {top(supply.network.common): supply.network.common}
    chosen.setdefault(top(supply.network.output[1]), supply.network.output[1])
    for kind in ("source", "winding", ""):
        for element in supply.elements:
            if kind in ("", element.kind):
                chosen.setdefault(top(element.end), element.end)
    return {node: chosen[top(node)] for node in list(head)}


def _chain(joints: list[frozenset[str]], first: str) -> tuple[str, ...] | None:
    """The nodes in order if the joints make one unbranched chain from the first; else None."""
    beside: defaultdict[str, list[str]] = defaultdict(list)
    for one, other in map(sorted, joints):
        beside[one].append(other)
        beside[other].append(one)
    chain = [first]
    while True:
        onward = [node for node in beside[chain[-1]] if chain[-2:-1] != [node]]
        if not onward:
            return tuple(chain)
        if len(onward) > 1 or onward[0] in chain:
            return None
        chain.append(onward[0])


# ---------------------------------------------------------------- drawing


class _Pen:
    """Draws station after station, from left to right."""

    def __init__(self, draft: Draft, supply: Supply, stations: tuple[_Station, ...]) -> None:
        self.draft, self.supply = draft, supply
        self.x = 0.0  # where the next column may begin [px]
        self.rail: Rail | None = None
        self.back: Rail | None = None
        self.core: tuple[str, Box] | None = None  # of a winding that waits for its partner
        self.has_terminals = _ends_the_chain(stations, supply)

    def station(self, station: _Station, *, is_last: bool) -> None:
        """The columns of one node."""
        if station.fed is not None:
            self._fed(station, station.fed)
        elif self.rail is None:
            self.rail, self.back = Rail(station.node, 0.0, 0.0), Rail(station.ground, _RAILS, 0.0)
            self._name(station.ground, 0.0, _RAILS)
            self._name(station.node, 0.0, 0.0)
        shunts = list(station.shunts)
        ends_here = is_last and self.has_terminals
        load = [shunts.pop()] if ends_here and shunts and is_load(shunts[-1]) else []
        for element in shunts:
            self._shunt(element)
        if ends_here:
            self._terminals()
        for element in load:
            self._shunt(element)
        if station.feeds is not None:
            self._feeds(station.feeds)

    def series(self, elements: tuple[Element, ...], after: str) -> None:
        """Parts to the next node, one above the other where they lie in parallel."""
        assert self.rail is not None
        rail, layings = self.rail, [laying(element, self.supply) for element in elements]
        begin = rail.to(self.draft, max(rail.x, snapped(self.x - _HALF)))[0]
        if len(elements) > 1:
            begin = rail.to(self.draft, begin + 20.0)[0]
        length = max(100.0, *(snapped(label_width(how.lines) + 24.0) for how in layings))
        for row, (element, how) in enumerate(zip(elements, layings, strict=True)):
            y = -_APART * row
            sides: tuple[Side, ...] = ("above", "below") if row + 1 == len(elements) else ("below", "above")
            points = {rail.node: (begin, y), after: (begin + length, y)}
            lay_element(self.draft, element, how, points, sides=sides)
        if len(elements) > 1:
            top = -_APART * (len(elements) - 1)
            for node, x in ((rail.node, begin), (after, begin + length)):
                self.draft.wire(node, *((x, y) for y in _rows(top)))
        self.rail = Rail(after, 0.0, begin + length)
        self._name(after, begin + length + 8.0, 0.0)
        self.x = begin + length + COLUMN_GAP

    def _shunt(self, element: Element) -> None:
        assert self.rail is not None and self.back is not None
        how = laying(element, self.supply)
        first = not self.draft.parts
        at = 0.0 if first else max(snapped(self.x + _HALF), self.rail.x)
        points = {self.rail.node: self.rail.to(self.draft, at), self.back.node: self.back.to(self.draft, at)}
        placed = lay_element(self.draft, element, how, points, sides=("left",) if first else ("right",))
        words = 0.0 if first else label_width(how.lines) + 6.0
        self.x = max(placed.box.right, at) + words + COLUMN_GAP

    def _feeds(self, element: Element) -> None:
        """The winding on the left of a core, its words on its left."""
        assert self.rail is not None and self.back is not None
        how = laying(element, self.supply)
        at = max(snapped(self.x + label_width(how.lines) + 24.0), self.rail.x)
        points = {self.rail.node: self.rail.to(self.draft, at), self.back.node: self.back.to(self.draft, at)}
        placed = lay_element(self.draft, element, how, points, sides=("left",), humps="right")
        self.core = element.core or "", placed.box
        self.x = at

    def _fed(self, station: _Station, element: Element) -> None:
        assert self.back is not None and self.core is not None
        at = self.x + (_CORE if self.draft.standard == "iec" else _LOOPS_CORE)
        self.rail = Rail(station.node, 0.0, at)
        if self.back.node == station.ground:
            self.back.to(self.draft, at)
        else:
            self.back = Rail(station.ground, _RAILS, at)
            self._name(station.ground, at + 8.0, _RAILS)
        self._name(station.node, at + 8.0, 0.0)
        how = laying(element, self.supply)
        points = {station.node: (at, 0.0), station.ground: (at, _RAILS)}
        placed = lay_element(self.draft, element, how, points, sides=("right",), humps="left")
        name, box = self.core
        whole = united((box, placed.box))
        assert whole is not None
        middle = (self.x + at) / 2
        for x in (middle,) if self.draft.standard == "iec" else (middle - 3.5, middle + 3.5):
            line: Item = Line(points=((x, whole.top - 2.0), (x, whole.bottom + 2.0)), pen=PEN)
            self.draft.shape(Group(items=(line,), tag=Tag(classes=("core",), data={"ref": name})))
        self.draft.label(name, (name,), whole, sides=("above", "below"), bold_first=True)
        self.x = placed.box.right + label_width(how.lines) + 12.0 + COLUMN_GAP

    def _terminals(self) -> None:
        assert self.rail is not None and self.back is not None
        x = max(snapped(self.x + 4.0), self.rail.x + 20.0)
        for rail, sign, sides in ((self.rail, "+", ("above", "below")), (self.back, "−", ("below", "above"))):
            point = rail.to(self.draft, x)
            self.draft.terminal(point)
            near = Box(left=x, top=point[1], right=x, bottom=point[1]).grown(5.0)
            order: tuple[Side, ...] = ("above", "below") if sides[0] == "above" else ("below", "above")
            self.draft.label(f"output {sign}", (sign,), near, sides=order, size=18.0)
        self.x = x + 30.0

    def _name(self, node: str, x: float, y: float) -> None:
        """A node's own name where its rail begins."""
        near = Box(left=x, top=y - 2.0, right=x + 12.0, bottom=y + 2.0)
        above: tuple[Side, ...] = ("above", "above-right", "above-left", "below-right")
        below: tuple[Side, ...] = ("below", "below-right", "below-left", "above-right")
        assert self.supply.network is not None
        plus, minus = ("", "") if self.has_terminals else self.supply.network.output
        sign = " (output +)" if node == plus else " (output −)" if node == minus else ""
        self.draft.label(node, (node + sign,), near, sides=above if y == 0.0 else below, size=14.0)


def _rows(top: float) -> tuple[float, ...]:
    """Heights from the rail up to the topmost of the parallel parts. [px]"""
    return tuple(-_APART * k for k in range(round(-top / _APART) + 1))
