"""A circuit for a projector: fitted to a frame with letters that can be read from afar, with or without a path."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from railwright.figures.condensed import condensed, is_orderly
from railwright.figures.labels import SIZE, Obstacles, Side, Words, place_near
from railwright.figures.path import ConductionPath, conduction_path
from railwright.figures.projector import SMALLEST
from railwright.figures.scene import Box, Group, Item, Text, bounds, box_around, scale, translate
from railwright.figures.schematic import schematic
from railwright.figures.wire_flow import Flow, Unbalanced
from railwright.quantities import format_quantity

if TYPE_CHECKING:
    from railwright.figures import Convention, Standard
    from railwright.figures.drawing import Drawing
    from railwright.supply.model import Supply

__all__ = ["LargeCircuit", "large_circuit"]

_LARGEST = 2.3  # a small circuit isn't blown up further: its lines would outweigh the words
_CLOSEST = 0.56  # how far lines may be drawn together
_STEP = 0.04
_PATH = 14.0  # [px] ribbon and discs around the circuit
_RIBBON = 9.0  # [px] half of the broadest
#: Words that stand further from a diode than this could be read as its neighbour's. [px]
_NEAR = 10.0
_TWO_DIGITS = 15.0  # [px] of a number in a stop's disc
_SMALLER = 15.0  # [px] of a value in a corner
_LEAST = 1e-3  # share of the largest blocked voltage below which a diode is about to conduct


@dataclass(frozen=True, slots=True, kw_only=True)
class LargeCircuit:
    """A schematic and its place in a frame."""

    drawing: Drawing
    frame: Box
    factor: float
    left: float
    top: float

    @property
    def _paper(self) -> Box:
        """The frame in the drawing's own measure. [px]"""
        frame = self.frame
        return Box(
            left=(frame.left - self.left) / self.factor, top=(frame.top - self.top) / self.factor,
            right=(frame.right - self.left) / self.factor, bottom=(frame.bottom - self.top) / self.factor,
        )  # fmt: skip

    def picture(
        self,
        currents: Mapping[str, float] | None,
        blocking: Mapping[str, float],
        convention: Convention,
        say: Callable[[str], str],
    ) -> Group:
        """The circuit, with the path of the current at one moment if currents are given; `say` words every text."""
        items: tuple[Item, ...] = self.drawing.scene.items
        if currents is not None:
            try:
                path = conduction_path(self.drawing, currents, blocking=blocking, convention=convention)
            except Unbalanced:
                path = None  # a part that the drawing doesn't show: the circuit stands without a ribbon
            if path is not None:
                items = (*path.under, *items, *_with_own_words(self.drawing, path, self._paper))
        placed = translate(scale(Group(items=items), self.factor), self.left, self.top)
        return _said(placed, say)


def large_circuit(supply: Supply, frame: Box, *, standard: Standard) -> LargeCircuit:
    """The schematic of a supply inside a frame, as large as it goes.

    Its lines are drawn closer together until its words reach `projector.SMALLEST`, or until they would touch.

    Raises
    ------
    NotDrawn
        If the supply has no schematic.
    """
    drawing = schematic(supply, standard=standard, form="diamond")
    closer, box = _with_room(drawing, 1.0)
    share = 1.0 - _STEP
    while share >= _CLOSEST and _factor(box, frame) * SIZE < SMALLEST:
        tried, around = _with_room(drawing, share)
        # Words that change sides could be read as a neighbour's.
        if is_orderly(tried, drawing):
            closer, box = tried, around
        share -= _STEP
    factor = _factor(box, frame)
    return LargeCircuit(
        drawing=closer, frame=frame, factor=factor,
        left=frame.left + (frame.width - box.width * factor) / 2 - box.left * factor,
        top=frame.top + (frame.height - box.height * factor) / 2 - box.top * factor,
    )  # fmt: skip


def _with_room(drawing: Drawing, share: float) -> tuple[Drawing, Box]:
    """The drawing condensed, and its box with room for what a path adds around it."""
    closer = condensed(drawing, share)
    box = bounds(Group(items=closer.scene.items))
    assert box is not None
    return closer, box.grown(_PATH)


def _factor(box: Box, frame: Box) -> float:
    return min(frame.width / box.width, frame.height / box.height, _LARGEST)


def _with_own_words(drawing: Drawing, path: ConductionPath, paper: Box) -> tuple[Item, ...]:
    """What lies over the circuit; blocked voltages stand close to their diode, or not at all."""
    over = [_legible(item) for item in path.over if "blocking-voltage" not in item.tag.classes]
    obstacles = drawing.obstacles.copy()
    obstacles.boxes.extend(box for item in over if (box := bounds(item)) is not None)
    obstacles.boxes.extend(box_around(flow.line).grown(_RIBBON) for flow in path.flows if flow.drawn and _level(flow))
    for flow in path.flows:
        if flow.drawn and not _level(flow):
            obstacles.boxes.extend(_along(flow))
    least = _LEAST * max((volts for _, volts in path.blocking), default=0.0)
    for name, volts in path.blocking:
        laid = _blocked(drawing, obstacles, name, volts, paper) if volts > least else None
        if laid is not None:
            over.append(laid)
    return tuple(over)


def _legible(item: Item) -> Item:
    """A stop's number as large as its disc allows."""
    if not isinstance(item, Group) or "stop" not in item.tag.classes:
        return item
    return replace(item, items=tuple(
        replace(one, size=SIZE if len(one.text) == 1 else _TWO_DIGITS) if isinstance(one, Text) else one
        for one in item.items
    ))  # fmt: skip


def _level(flow: Flow) -> bool:
    (x1, y1), (x2, y2) = flow.line
    return abs(x1 - x2) < 1.0 or abs(y1 - y2) < 1.0


def _along(flow: Flow) -> Iterator[Box]:
    """A slanting ribbon as small boxes: one around all of it would claim empty corners."""
    (x1, y1), (x2, y2) = flow.line
    count = max(1, round(flow.length / 6.0))
    for step in range(count + 1):
        part = step / count
        yield box_around(((x1 + (x2 - x1) * part, y1 + (y2 - y1) * part),)).grown(_RIBBON)


def _blocked(drawing: Drawing, obstacles: Obstacles, name: str, volts: float, paper: Box) -> Item | None:
    symbol = drawing.parts[name].box
    label = next((label.box for label in drawing.labels if label.words.belongs_to == name), symbol)
    value = format_quantity(volts, "V", digits=3)
    outward: tuple[Side, ...] = ("above", "below") if label.centre[1] <= symbol.centre[1] else ("below", "above")
    sideways: tuple[Side, ...] = ("left", "right") if label.centre[0] <= symbol.centre[0] else ("right", "left")
    forms = ((f"blocks {value}",), ("blocks", value), (value,))
    for size, lines in ((SIZE, forms[0]), (SIZE, forms[1]), (SIZE, forms[2]), (_SMALLER, forms[2])):
        for near in (label, symbol):
            words = Words(
                lines=lines, belongs_to=name, near=near, sides=(*outward, *sideways), size=size,
                classes=("path", "blocking-voltage"),
            )  # fmt: skip
            laid = place_near(words, obstacles, _NEAR, within=paper)
            if laid is not None:
                return laid.item
    return None


def _said(item: Item, say: Callable[[str], str]) -> Group:
    """Every text of a picture in the words and with the decimal sign of a course."""

    def told(one: Item) -> Item:
        if isinstance(one, Group):
            return replace(one, items=tuple(told(inner) for inner in one.items))
        return replace(one, text=say(one.text)) if isinstance(one, Text) else one

    whole = told(item)
    assert isinstance(whole, Group)
    return whole
