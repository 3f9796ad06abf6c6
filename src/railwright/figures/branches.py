"""The currents of a supply as a graph at one moment: which branch carries how much, from which node to which."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from railwright.figures.wire_flow import NO_CURRENT
from railwright.supply import parts
from railwright.supply.designators import joined_nodes
from railwright.supply.model import Element, Load, Supply

if TYPE_CHECKING:
    from railwright.study import Study

__all__ = ["LEAST_SHARE", "Branch", "Feed", "Graph", "graph_at", "oriented_nodes"]

#: Part of the largest current below which a branch isn't told: as on the ribbon.
LEAST_SHARE = 0.005
#: Parts that can give back what they took: a current out of their marked end is driven by them.
_STORES = ("capacitor", "battery")


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """A part that carries current from one node to another."""

    name: str  # designator, or `load` and its like
    kind: str
    start: str
    end: str
    current: float  # [A] positive
    gives: bool = False  # a store that gives back: it drives this current


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """A current that a source or a store drives into a node, or takes from it."""

    name: str
    kind: str  # "winding", "source", "capacitor", ...
    node: str
    terminal: str  # the sheet's own name of the node there
    current: float  # [A] into the circuit; negative where it comes back


@dataclass(frozen=True, slots=True, kw_only=True)
class Graph:
    """Branches without a ring, and what feeds them."""

    branches: tuple[Branch, ...]
    feeds: tuple[Feed, ...]
    largest: float  # [A]


def oriented_nodes(supply: Supply) -> Mapping[str, str]:
    """Each node's name to the one that stands for it, wires of the sheet's extras joined."""
    same = dict(joined_nodes(supply))
    for extra in supply.extras:
        if extra.kind == "wire":
            keep, gone = same.get(extra.start, extra.start), same.get(extra.end, extra.end)
            same = {name: keep if root == gone else root for name, root in same.items()}
            same.setdefault(extra.end, keep)
    return same


def graph_at(study: Study, degrees: float) -> Graph:
    """The currents at an instant, in conventional direction; currents too small to be told are left out."""
    supply = study.supply
    currents = study.currents_at(degrees)
    same = oriented_nodes(supply)
    found: list[Branch] = []
    feeds: list[Feed] = []

    def node(name: str) -> str:
        return same.get(name, name)

    def add(name: str, kind: str, nodes: tuple[str, str], current: float) -> None:
        start, end = map(node, nodes)
        if start == end:
            return
        ends = (start, end) if current >= 0.0 else (end, start)
        gives = kind in _STORES and current < 0.0
        found.append(Branch(name=name, kind=kind, start=ends[0], end=ends[1], current=abs(current), gives=gives))

    def feed(name: str, kind: str, nodes: tuple[str, str], current: float) -> None:
        for terminal, amount in zip(nodes, (current, -current), strict=True):
            feeds.append(Feed(name=name, kind=kind, node=node(terminal), terminal=terminal, current=amount))

    first_of_core: set[str] = set()
    for part in parts(supply):
        value = currents.get(part.designator)
        if part.kind == "regulator":
            through = currents.get(f"{part.designator}.output", 0.0)
            add(part.designator, part.kind, (part.nodes[0], part.nodes[1]), through)
            own = currents.get(f"{part.designator}.input", through) - through
            add(f"{part.designator}'s own current", "quiescent", (part.nodes[0], part.nodes[2]), own)
        elif value is None or len(part.nodes) != 2 or part.kind in ("wire", "fuse", "transformer") or not part.fitted:
            continue
        elif isinstance(part.source, Element) and part.kind == "source":
            feed(part.designator, "source", (part.nodes[0], part.nodes[1]), value)
        elif isinstance(part.source, Element) and part.kind == "winding" and part.source.core in first_of_core:
            feed(part.designator, "winding", (part.nodes[0], part.nodes[1]), value)
        else:
            if isinstance(part.source, Element) and part.source.core is not None:
                first_of_core.add(part.source.core)
            nodes = (part.nodes[1], part.nodes[0]) if _reads_backward(part.source) else part.nodes[:2]
            add(part.designator, part.kind, (nodes[0], nodes[1]), value)
    for name, nodes in _windings(supply):
        if name in currents:
            feed(name, "winding" if supply.transformer is not None else "source", nodes, currents[name])
    for name, nodes, load in _loads(supply):
        if load is not None and name in currents:
            add(name, "battery" if load.kind == "battery" else "load", nodes, currents[name])
    return _without_rings(_told(found, feeds))


def _reads_backward(source: object) -> bool:
    """A zener of a reader's own network is written from anode to cathode and read from cathode to anode."""
    return isinstance(source, Element) and source.kind == "zener"


def _windings(supply: Supply) -> tuple[tuple[str, tuple[str, str]], ...]:
    """Sections with the end that a positive current leaves, and the other."""
    if supply.elements:
        return ()
    if supply.mains.phases == 3:
        delta = supply.transformer is not None and supply.transformer.connection.endswith("-delta")
        half_wave = supply.rectifier.circuit == "three-phase-half-wave"
        star = "neutral" if supply.transformer is None else "negative" if half_wave else "star"
        return tuple((f"secondary_{k}", (f"winding_{k}", f"winding_{k % 3 + 1}" if delta else star)) for k in (1, 2, 3))
    if supply.transformer is not None and supply.transformer.secondary == "centre-tapped":
        return ("secondary_a", ("winding_a", "tap")), ("secondary_b", ("winding_b", "tap"))
    return (("secondary", ("winding_a", "winding_b")),)


def _loads(supply: Supply) -> tuple[tuple[str, tuple[str, str], Load | None], ...]:
    loads = supply.loads
    if not supply.is_dual:
        return (("load", ("output", "negative"), loads.single),)
    return (
        ("load_positive", ("output", "zero"), loads.positive or loads.single),
        ("load_negative", ("output_negative", "zero"), loads.negative or loads.single),
        ("load_across", ("output", "output_negative"), loads.across),
    )


def _told(branches: list[Branch], feeds: list[Feed]) -> Graph:
    largest = max([branch.current for branch in branches] + [abs(feed.current) for feed in feeds], default=0.0)
    least = max(LEAST_SHARE * largest, NO_CURRENT)
    return Graph(
        branches=tuple(branch for branch in branches if branch.current > least),
        feeds=tuple(feed for feed in feeds if abs(feed.current) > least),
        largest=largest,
    )


def _without_rings(graph: Graph) -> Graph:
    """A store that feeds the load closes a ring with it, a choke that keeps its current going, too: told as feeds."""
    branches, feeds = list(graph.branches), list(graph.feeds)
    while (ring := _ring(branches)) is not None:
        cut = min(ring, key=lambda branch: (not branch.gives, branch.kind != "choke", branch.kind not in _STORES))
        branches.remove(cut)
        feeds.append(Feed(name=cut.name, kind=cut.kind, node=cut.end, terminal=cut.end, current=cut.current))
        feeds.append(Feed(name=cut.name, kind=cut.kind, node=cut.start, terminal=cut.start, current=-cut.current))
    return Graph(branches=tuple(branches), feeds=tuple(feeds), largest=graph.largest)


def _ring(branches: list[Branch]) -> list[Branch] | None:
    """Some ring of branches, each leading to the next; None if there is none."""
    leaving: defaultdict[str, list[Branch]] = defaultdict(list)
    for branch in branches:
        leaving[branch.start].append(branch)
    done: set[str] = set()
    for start in list(leaving):
        way: list[Branch] = []
        on_way = [start]
        stack = [iter(leaving[start])] if start not in done else []
        while stack:
            onward = next(stack[-1], None)
            if onward is None:
                stack.pop()
                done.add(on_way.pop())
                if way:
                    way.pop()
            elif onward.end in on_way:
                return [*way[on_way.index(onward.end) :], onward]
            elif onward.end not in done:
                way.append(onward)
                on_way.append(onward.end)
                stack.append(iter(leaving[onward.end]))
    return None
