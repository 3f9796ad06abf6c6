"""A schematic whose lines are drawn closer together while its words keep their size: for the far end of a room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from railwright.figures.drawing import Drawing, PlacedPart, Wire
from railwright.figures.labels import SIZE, Label, Obstacles, place
from railwright.figures.scene import (
    Box,
    Group,
    Item,
    Point,
    Text,
    bounds,
    leaves,
    scale,
    translate,
    united,
)

__all__ = ["condensed", "is_orderly"]

_AIR = 12.0  # [px] around the circuit
_NUDGE = 4.0  # [px]


def condensed(drawing: Drawing, share: float) -> Drawing:
    """The same circuit with every length `share` times as long, its words as large as before and placed anew.

    Title and notes are left out. What is laid on the drawing later, such as a path, keeps its own sizes too, so that
    all of it is larger beside the circuit.

    Parameters
    ----------
    drawing : Drawing
    share : float
        Greater than 0, at most 1; below about 0.6 words begin to crowd. [-]

    Raises
    ------
    ValueError
        If the share is outside its range.
    """
    if not 0.0 < share <= 1.0:
        raise ValueError(f"A drawing can't be condensed to {share:g} of its size. Allowed: above 0, at most 1.")
    placed = [label.item for label in drawing.labels]
    layers: list[Item] = []
    fixed: list[Item] = []
    for layer in drawing.scene.items:
        if {"title", "note"} & set(layer.tag.classes):
            continue
        if isinstance(layer, Group) and "labels" in layer.tag.classes:
            fixed += [item for item in layer.items if item not in placed]
        else:
            layers.append(_shrunk(layer, share))
    letters = [_in_full(item, share) for item in _stacked(fixed)]
    gone = {label.box for label in drawing.labels}
    gone |= {box for item in fixed for text in leaves(item) if (box := bounds(text)) is not None}
    obstacles = Obstacles(
        [_box(box, share) for box in drawing.obstacles.boxes if box not in gone and drawing.content.contains(box)],
        [(_point(one, share), _point(two, share)) for one, two in drawing.obstacles.lines],
    )
    blocks = [item for item in letters if isinstance(item, Group)]
    for item in (*layers, *letters):
        if item not in blocks:
            obstacles.boxes.extend(box for text in leaves(item) if isinstance(text, Text) and (box := bounds(text)))
    labels = tuple(_again(label, share, obstacles) for label in drawing.labels)
    clear = [_beside(block, obstacles) for block in blocks]
    letters = [item for item in letters if item not in blocks] + clear
    words = Group(items=(*letters, *(label.item for label in labels)))
    whole = united(box for item in (*layers, words) if (box := bounds(item)) is not None)
    content = whole if whole is not None else _box(drawing.content, share)
    paper = content.grown(_AIR)
    return replace(
        drawing,
        scene=replace(drawing.scene, width=paper.right, height=paper.bottom, items=(*layers, words)),
        parts={name: _part(part, share) for name, part in drawing.parts.items()},
        wires=tuple(Wire(node=w.node, points=_points(w.points, share), drawn=w.drawn) for w in drawing.wires),
        labels=labels,
        joints=_points(drawing.joints, share),
        crossings=_points(drawing.crossings, share),
        obstacles=obstacles,
        content=content,
    )


def _point(point: Point, share: float) -> Point:
    return point[0] * share, point[1] * share


def _points(points: tuple[Point, ...], share: float) -> tuple[Point, ...]:
    return tuple(_point(point, share) for point in points)


def _box(box: Box, share: float) -> Box:
    return Box(left=box.left * share, top=box.top * share, right=box.right * share, bottom=box.bottom * share)


def _shrunk(item: Item, share: float) -> Item:
    """Lines at their new places, letters as large as they were."""
    if isinstance(item, Group):
        if item.items and all(isinstance(inner, Text) for inner in item.items):
            return _in_full(item, share)
        small = scale(Group(items=(), clip=item.clip), share)
        assert isinstance(small, Group)
        return replace(item, items=tuple(_shrunk(inner, share) for inner in _stacked(item.items)), clip=small.clip)
    return _in_full(item, share) if isinstance(item, Text) else scale(item, share)


def _in_full(item: Item, share: float) -> Item:
    """Words that stand at a fixed place: their middle moved there, not made smaller."""
    if isinstance(item, Group):
        box = bounds(item)
        if box is None:
            return item
        (x, y), (to_x, to_y) = box.centre, _point(box.centre, share)
        return translate(item, to_x - x, to_y - y)
    if isinstance(item, Text):
        return replace(item, at=_point(item.at, share), size=max(item.size, SIZE))
    return scale(item, share)


def _stacked(letters: Sequence[Item]) -> list[Item]:
    """Lines of words that stand one below the other, together: they stay one block."""
    found: list[list[Item]] = []
    for item in letters:
        above = found[-1][-1] if found else None
        if (
            isinstance(item, Text)
            and isinstance(above, Text)
            and item.anchor == above.anchor
            and abs(item.at[0] - above.at[0]) < 1.0
            and 0.0 < item.at[1] - above.at[1] < 2.0 * item.size
        ):
            found[-1].append(item)
        else:
            found.append([item])
    return [lines[0] if len(lines) == 1 else Group(items=tuple(lines)) for lines in found]


def _beside(block: Item, obstacles: Obstacles) -> Item:
    """A block of words that stands left of the circuit, moved further left until it touches nothing."""
    box = bounds(block)
    while box is not None and obstacles.met_by(box, 3.0) and box.right > 0.0:
        block = translate(block, -_NUDGE, 0.0)
        box = box.moved(-_NUDGE, 0.0)
    if box is not None:
        obstacles.boxes.append(box)
    return block


def _again(label: Label, share: float, obstacles: Obstacles) -> Label:
    words = replace(label.words, near=_box(label.words.near, share), size=max(label.words.size, SIZE))
    return place(words, obstacles)


def _part(part: PlacedPart, share: float) -> PlacedPart:
    return replace(
        part,
        start=_point(part.start, share),
        end=_point(part.end, share),
        box=_box(part.box, share),
        outline=_points(part.outline, share),
        common=None if part.common is None else _point(part.common, share),
    )


def is_orderly(drawing: Drawing, original: Drawing) -> bool:
    """Whether every label touches nothing, and none has crossed to the other side of what it belongs to."""
    for label, before in zip(drawing.labels, original.labels, strict=True):
        others = Obstacles([box for box in drawing.obstacles.boxes if box != label.box], drawing.obstacles.lines)
        crossed = any(one * other < 0 for one, other in zip(_side(label), _side(before), strict=True))
        if crossed or others.met_by(label.box, 0.0):
            return False
    return True


def _side(label: Label) -> tuple[int, int]:
    """Left or right, above or below; 0 where words lie level with their part."""
    near, box = label.words.near, label.box
    return (
        -1 if box.right <= near.left else 1 if box.left >= near.right else 0,
        -1 if box.bottom <= near.top else 1 if box.top >= near.bottom else 0,
    )
