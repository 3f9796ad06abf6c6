"""Where everything stands in the state X and the unknowns y of a network."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from railwright.network.elements import Block, Capacitor, Element, Inductor, Resistor, Source, StiffCore, Winding
from railwright.network.network import Network


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything stands in X and y."""

    nodes: dict[str, int]  # node -> row of y; the ground is absent
    branches: dict[str, int]  # element -> row of y holding its current
    states: dict[str, int]  # element -> place in X (capacitor voltage, choke current, block flux, core flux)
    dynamic: int  # length of z
    orders: tuple[int, ...]
    ramp: int | None
    size: int  # length of X
    unknowns: int

    @property
    def one(self) -> int:
        """Place of the constant 1 in X."""
        return self.size - 1


#: [ohm] Below it the current is an unknown: as a difference of two voltages over a small resistance it would be noise.
HIGH_RESISTANCE = 1e3


@dataclass(frozen=True, slots=True)
class Sorted:
    """A network's elements by what the equations do with them."""

    resistors: Sequence[Resistor]
    wires: Sequence[Resistor]  # with little resistance or none: their current is an unknown
    capacitors: Sequence[Capacitor]
    inductors: Sequence[Inductor]
    sources: Sequence[Source]
    current_sources: Sequence[Source]
    windings: Sequence[Winding]
    cores: Sequence[StiffCore]
    blocks: Sequence[Block]


def sort(network: Network) -> Sorted:
    """Sort a network's elements."""
    elements = network.elements
    resistors = [e for e in elements if isinstance(e, Resistor)]
    sources = [e for e in elements if isinstance(e, Source)]
    return Sorted(
        resistors=[r for r in resistors if r.resistance >= HIGH_RESISTANCE],
        wires=[r for r in resistors if r.resistance < HIGH_RESISTANCE],
        capacitors=[e for e in elements if isinstance(e, Capacitor)],
        inductors=[e for e in elements if isinstance(e, Inductor)],
        sources=[s for s in sources if not s.is_current],
        current_sources=[s for s in sources if s.is_current],
        windings=[e for e in elements if isinstance(e, Winding)],
        cores=[e for e in elements if isinstance(e, StiffCore)],
        blocks=[e for e in elements if isinstance(e, Block)],
    )


def lay_out(network: Network, kinds: Sorted) -> Layout:
    """Give every node, branch and state its place."""
    nodes: dict[str, int] = {}
    for element in network.elements:
        for node in terminals(element):
            if node != network.ground:
                nodes.setdefault(node, len(nodes))
    carrying: tuple[Element, ...] = (*kinds.sources, *kinds.wires, *kinds.capacitors, *kinds.windings, *kinds.blocks)
    branches = {element.name: len(nodes) + k for k, element in enumerate(carrying)}
    holding: tuple[Element, ...] = (*kinds.capacitors, *kinds.inductors, *(b for b in kinds.blocks if b.has_flux))
    states = {element.name: k for k, element in enumerate(holding)}
    dynamic = len(states)
    for core in kinds.cores:
        states[core.name] = dynamic  # its flux, then its constant current
        dynamic += 2
    sources = (*kinds.sources, *kinds.current_sources)
    orders = tuple(sorted({n for s in sources for n in (*s.cosine, *s.sine)}))
    place = dynamic + 2 * len(orders)
    ramp = None
    if any(piece.slope != 0.0 for s in sources for piece in s.pieces):
        ramp = place
        place += 1
    return Layout(
        nodes=nodes,
        branches=branches,
        states=states,
        dynamic=dynamic,
        orders=orders,
        ramp=ramp,
        size=place + 1,
        unknowns=len(nodes) + len(carrying),
    )


def terminals(element: Element) -> tuple[str, ...]:
    """The nodes that an element touches."""
    if isinstance(element, Winding):
        return element.a, element.b, element.c, element.d
    if isinstance(element, Block) and element.reference is not None:
        return element.a, element.b, element.reference
    return element.a, element.b
