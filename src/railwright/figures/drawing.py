"""What a finished schematic is: the scene, and a map of it in which each part, wire and label can be found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from railwright.figures.labels import Label, Obstacles
from railwright.figures.scene import Box, Point, Scene
from railwright.figures.symbols import Standard


class NotDrawn(ValueError):
    """A circuit that has no schematic; the sentence says why, and what to change."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPart:
    """A part in the drawing. Its own direction, in which its current counts positive, is from `start` to `end`."""

    designator: str  # "D1", "C1", "load", "secondary_a", "mains", ...
    kind: str
    start: Point  # terminals [px]
    end: Point
    nodes: tuple[str, str]  # at start and end
    box: Box  # around the symbol, leads left out
    outline: tuple[Point, ...] = ()  # body of a diode
    fitted: bool = True
    common: Point | None = None  # third terminal of a regulator
    common_node: str | None = None
    inside: bool = True  # whether the way of the current through it is drawn; an outlet's isn't
    drives: bool = False  # a source or fed winding of a reader's own network
    carries: bool = True  # False where its current doesn't follow from those of the supply's places

    @property
    def middle(self) -> Point:
        """Half-way between the terminals; where a regulator's three leads meet. [px]"""
        return (self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """A stretch of wire between two or more points, all of one node."""

    node: str
    points: tuple[Point, ...]
    drawn: bool = True  # False joins two symbols of the same potential, such as 0 V


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A schematic and the map of it; every position is in the scene's own pixels."""

    scene: Scene
    standard: Standard
    form: str
    circuit: str
    parts: Mapping[str, PlacedPart]
    wires: tuple[Wire, ...]
    aliases: Mapping[str, str]  # other names of a node: "after_1" -> "positive"
    labels: tuple[Label, ...]
    joints: tuple[Point, ...]
    crossings: tuple[Point, ...]
    obstacles: Obstacles  # everything that later words must keep clear of
    content: Box  # around the circuit, title and notes left out

    def node(self, name: str) -> str:
        """The name under which a node's wires are kept."""
        return self.aliases.get(name, name)

    def wires_of(self, name: str) -> tuple[tuple[Point, ...], ...]:
        """The drawn wires of a node, by any of its names; empty if the drawing has no such node."""
        kept = self.node(name)
        return tuple(wire.points for wire in self.wires if wire.node == kept and wire.drawn)

    @property
    def nodes(self) -> tuple[str, ...]:
        """The nodes that have wires, in the order in which they were drawn."""
        return tuple(dict.fromkeys(wire.node for wire in self.wires))
