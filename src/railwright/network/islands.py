"""Reference nodes: every part of a network that hangs on nothing else gets one, through which no current can flow."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from railwright.network.draft import Draft
from railwright.network.elements import Element, Winding

#: Nodes that serve as an island's reference, the best first.
_PREFERRED = ("earth", "zero", "negative", "neutral", "tap", "winding_b")
_TERMINALS = ("a", "b", "c", "d", "reference")


def ground(draft: Draft, first: Iterable[str] = ()) -> str:
    """Join the references of all islands; returns the node that they became."""
    draft.joined = {name: draft.node(name) for name in draft.joined}
    leader: dict[str, str] = {}

    def root(node: str) -> str:
        while leader.setdefault(node, node) != node:
            node = leader[node]
        return node

    for element in draft.elements:
        leader[root(element.a)] = root(element.b)
        if isinstance(element, Winding):
            leader[root(element.c)] = root(element.d)
    references: dict[str, str] = {}
    for node in (*(draft.node(n) for n in (*first, *_PREFERRED) if n in draft.joined), *list(leader)):
        if node in leader:
            references.setdefault(root(node), node)
    common = next(iter(references.values()))
    names = {node: common for node in references.values() if node != common}
    if names:
        draft.elements = [renamed(element, names) for element in draft.elements]
        draft.joined = {name: names.get(node, node) for name, node in draft.joined.items()}
        draft.places = {
            name: replace(
                place,
                plus=names.get(place.plus, place.plus) if place.plus else place.plus,
                minus=names.get(place.minus, place.minus) if place.minus else place.minus,
            )
            for name, place in draft.places.items()
        }
        for wanted in (draft.powers, draft.inputs):
            for name, (a, b) in wanted.items():
                wanted[name] = (names.get(a, a), names.get(b, b))
    return common


def renamed(element: Element, names: Mapping[str, str]) -> Element:
    """The element with its nodes under other names."""
    present = {terminal: getattr(element, terminal, None) for terminal in _TERMINALS}
    changes = {terminal: names[node] for terminal, node in present.items() if node is not None and node in names}
    return replace(element, **changes) if changes else element  # type: ignore[arg-type]
