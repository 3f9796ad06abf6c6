"""The schematic of any network: each node a level rail with its name, each part a column between two of them."""

from __future__ import annotations

from itertools import pairwise, permutations

from railwright.figures.draft import Draft, snapped
from railwright.figures.filter_chain import COLUMN_GAP, label_width
from railwright.figures.own_parts import is_load, lay_element, laying
from railwright.figures.scene import Box
from railwright.supply.model import Element, Supply

_GAP = 132.0  # [px] between two rails: room for the longest symbol
_HALF = 24.0  # [px] half the width of an upright symbol
_NEAR = 5.0  # [px] that a symbol's slot stays away from a rail that its lead crosses
#: Up to so many rails every order is tried; beyond, neighbours are exchanged while that helps.
_FEW = 7


def node_rails(draft: Draft, supply: Supply) -> None:
    """Draw the network; parts never overlap, a lead may cross the rails between its own."""
    assert supply.network is not None
    columns = _columns(supply)
    order = _order(supply, columns)
    height = {node: _GAP * k for k, node in enumerate(order)}
    reach: dict[str, list[float]] = {node: [] for node in order}
    x = 0.0
    for element in columns:
        how = laying(element, supply)
        x = snapped(x + _HALF)
        one, two = element.start, element.end
        points = {node: (x, height[node]) for node in (one, two)}
        upper, lower = sorted((one, two), key=lambda node: height[node])
        far = height[lower] - height[upper]
        if far > _GAP:
            # The symbol lies in the uppermost gap; its lower lead crosses what lies between.
            foot = x, height[upper] + _GAP - _NEAR
            points[lower] = foot
            draft.wire(lower, foot, (x, height[lower]))
        placed = lay_element(draft, element, how, points, sides=("right",))
        for node in (one, two):
            reach[node].append(x)
        x = max(placed.box.right, x) + label_width(how.lines) + 6.0 + COLUMN_GAP
    plus, minus = supply.network.output
    for node in order:
        xs = reach[node]
        left, right = min(xs), max(xs)
        if left == right:
            right = left + 24.0
        draft.wire(node, (left, height[node]), (right, height[node]))
        sign = " (output +)" if node == plus else " (output −)" if node == minus else ""
        near = Box(left=left, top=height[node] - 2.0, right=left + 1.0, bottom=height[node] + 2.0)
        draft.label(
            node, (f"{node}{sign}",), near, size=14.0,
            sides=("left", "above-left", "below-left", "above-right", "below-right"),
        )  # fmt: skip


def _columns(supply: Supply) -> tuple[Element, ...]:
    """Sources left, the rest by its distance from them, what the output feeds right."""
    assert supply.network is not None
    output = set(supply.network.output)
    far: dict[str, int] = {}
    front = [node for e in supply.elements if e.kind == "source" for node in (e.start, e.end)]
    step = 0
    while front:
        for node in front:
            far.setdefault(node, step)
        step += 1
        joined = [
            other
            for e in supply.elements
            for node, other in ((e.start, e.end), (e.end, e.start))
            if node in far and other not in far
        ]
        cores = {e.core for e in supply.elements if e.kind == "winding" and {e.start, e.end} & set(far)}
        joined += [
            node
            for e in supply.elements
            if e.kind == "winding" and e.core in cores
            for node in (e.start, e.end)
            if node not in far
        ]
        front = joined

    def rank(element: Element) -> tuple[bool, bool, int]:
        is_output = {element.start, element.end} == output and is_load(element)
        return is_output, element.kind != "source", far.get(element.start, 0) + far.get(element.end, 0)

    return tuple(sorted(supply.elements, key=rank))


def _order(supply: Supply, columns: tuple[Element, ...]) -> tuple[str, ...]:
    """The rails from top to bottom: the common node lowest, the others so that leads cross as few rails as can be."""
    assert supply.network is not None
    common = supply.network.common
    nodes = list(dict.fromkeys(node for e in columns for node in (e.start, e.end) if node != common))
    plus = supply.network.output[0]
    if len(nodes) <= _FEW:
        best = min(permutations(nodes), key=lambda order: _cost((*order, common), columns, plus))
        return (*best, common)
    order = nodes
    improved = True
    while improved:
        improved = False
        for k, _ in enumerate(pairwise(order)):
            other = [*order[:k], order[k + 1], order[k], *order[k + 2 :]]
            if _cost((*other, common), columns, plus) < _cost((*order, common), columns, plus):
                order, improved = other, True
    return (*order, common)


def _cost(order: tuple[str, ...], columns: tuple[Element, ...], plus: str) -> tuple[int, int, int]:
    """Rails crossed by leads, then length of leads, then how low the output's positive node lies."""
    place = {node: k for k, node in enumerate(order)}
    spans = {
        node: [k for k, e in enumerate(columns) if node in (e.start, e.end)] for node in order
    }  # fmt: skip
    crossed = length = 0
    for k, element in enumerate(columns):
        low, high = sorted((place[element.start], place[element.end]))
        length += high - low
        for node in order[low + 1 : high]:
            crossed += min(spans[node]) < k < max(spans[node])
    return crossed, length, place[plus]
