"""Finding room for words: blocks of text laid where they meet no wire, symbol or other words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from railwright.figures.scene import INK, Box, Group, Item, Point, Tag, Text
from railwright.figures.typeface import ASCENT, DESCENT, text_width

Side = Literal[
    "right", "left", "above", "below", "above-right", "above-left", "below-right", "below-left",
]  # fmt: skip
ALL_SIDES: tuple[Side, ...] = (
    "right", "left", "above", "below", "above-right", "above-left", "below-right", "below-left",
)  # fmt: skip

SIZE = 16.0  # [px]
CLEARANCE = 4.0  # [px] that words keep from everything else
_DISTANCES = (6.0, 10.0, 14.0, 20.0, 28.0, 38.0, 50.0, 64.0, 80.0)  # [px] tried one after the other


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A block of one or more lines that belong to a thing in the drawing."""

    lines: tuple[str, ...]
    belongs_to: str
    near: Box  # what they stand beside
    sides: tuple[Side, ...] = ALL_SIDES  # best first
    size: float = SIZE
    bold_first: bool = False
    colour: str = INK
    halo: float = 0.0
    classes: tuple[str, ...] = ("label",)

    @property
    def leading(self) -> float:
        """From one baseline to the next. [px]"""
        return self.size * 1.22

    @property
    def width(self) -> float:
        """[px]"""
        return max(
            text_width(line, self.size, bold=self.bold_first and index == 0) for index, line in enumerate(self.lines)
        )

    @property
    def height(self) -> float:
        """[px]"""
        return self.size * (ASCENT + DESCENT) + self.leading * (len(self.lines) - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Words that have found their place."""

    words: Words
    box: Box
    item: Item


@dataclass(frozen=True, slots=True)
class Obstacles:
    """What words must keep clear of: boxes, and lines of any direction."""

    boxes: list[Box] = field(default_factory=list)
    lines: list[tuple[Point, Point]] = field(default_factory=list)

    def copy(self) -> Obstacles:
        """Obstacles of one's own, to add to."""
        return Obstacles(list(self.boxes), list(self.lines))

    def add_line(self, points: Sequence[Point]) -> None:
        """Add every stretch of a line."""
        self.lines.extend(zip(points, points[1:], strict=False))

    def met_by(self, box: Box, clearance: float = CLEARANCE) -> int:
        """How many obstacles come nearer to `box` than `clearance` [px]."""
        grown = box.grown(clearance)
        return sum(grown.overlaps(other) for other in self.boxes) + sum(
            line_meets_box(one, two, grown) for one, two in self.lines
        )


def line_meets_box(one: Point, two: Point, box: Box) -> bool:
    """Whether any part of the straight line between two points lies inside the box (Liang and Barsky's clipping)."""
    low, high = 0.0, 1.0
    for begin, step, least, most in (
        (one[0], two[0] - one[0], box.left, box.right),
        (one[1], two[1] - one[1], box.top, box.bottom),
    ):
        if abs(step) < 1e-12:
            if not least < begin < most:
                return False
            continue
        enter, leave = sorted(((least - begin) / step, (most - begin) / step))
        low, high = max(low, enter), min(high, leave)
    return low < high or (low == high and 0.0 < low < 1.0)


def _candidate(near: Box, width: float, height: float, side: Side, distance: float) -> Box:
    """Where a block would lie. Text boxes hold room for descenders, so above may be nearer than below."""
    x, y = near.centre
    if side in ("right", "left"):
        left = near.right + distance if side == "right" else near.left - distance - width
        top = y - height / 2
    elif side in ("above", "below"):
        left = x - width / 2
        top = near.top - distance - height if side == "above" else near.bottom + distance
    else:
        vertical, horizontal = side.split("-")
        shift = distance / math.sqrt(2)
        left = near.right + shift if horizontal == "right" else near.left - shift - width
        top = near.top - shift - height if vertical == "above" else near.bottom + shift
    return Box(left=left, top=top, right=left + width, bottom=top + height)


def _slid(near: Box, width: float, height: float, side: Side, distance: float) -> Iterable[Box]:
    """The candidate, then the same moved along the side that it stands at."""
    box = _candidate(near, width, height, side, distance)
    yield box
    if side in ("right", "left"):
        reach = near.height / 2
        for part in (-0.5, 0.5, -1.0, 1.0):
            yield box.moved(0.0, part * reach)
    elif side in ("above", "below"):
        reach = near.width / 2 + width / 2
        for part in (-0.5, 0.5, -1.0, 1.0):
            yield box.moved(part * reach, 0.0)


def place_near(words: Words, obstacles: Obstacles, furthest: float, within: Box, *, slide: bool = True) -> Label | None:
    """Lay the words in the first free place at most `furthest` [px] away, inside a box; None if there is none.

    Without `slide` they stand in the middle of a side or not at all.
    """
    for distance in _DISTANCES:
        if distance > furthest:
            break
        for side in words.sides:
            boxes = _slid(words.near, words.width, words.height, side, distance)
            for box in boxes if slide else [next(iter(boxes))]:
                if within.contains(box) and obstacles.met_by(box) == 0:
                    return _laid(words, box, obstacles)
    return None


def place(words: Words, obstacles: Obstacles, within: Box | None = None) -> Label:
    """Lay the words in the first free place, and make that place an obstacle.

    The nearest distance is tried on every side before a farther one. Where nothing is free, the place that meets the
    fewest things is taken.
    """
    width, height = words.width, words.height
    best: tuple[int, Box] | None = None
    for distance in _DISTANCES:
        for side in words.sides:
            for box in _slid(words.near, width, height, side, distance):
                if within is not None and not within.contains(box):
                    continue
                met = obstacles.met_by(box)
                if met == 0:
                    return _laid(words, box, obstacles)
                if best is None or met < best[0]:
                    best = met, box
    if best is None:
        best = 1, _candidate(words.near, width, height, words.sides[0], _DISTANCES[0])
    return _laid(words, best[1], obstacles)


def _laid(words: Words, box: Box, obstacles: Obstacles) -> Label:
    obstacles.boxes.append(box)
    return Label(words=words, box=box, item=draw(words, box))


def draw(words: Words, box: Box) -> Item:
    """The words as text: towards the thing that they belong to where they stand beside it, else centred."""
    x = words.near.centre[0]
    if box.left >= words.near.right:
        at, anchor = box.left, "start"
    elif box.right <= words.near.left:
        at, anchor = box.right, "end"
    elif abs(box.centre[0] - x) < 1e-6 or len(words.lines) == 1:
        at, anchor = box.centre[0], "middle"
    else:
        at, anchor = box.left, "start"
    items = tuple(
        Text(
            at=(at, box.top + words.size * ASCENT + index * words.leading),
            text=line,
            size=words.size,
            anchor="start" if anchor == "start" else "end" if anchor == "end" else "middle",
            bold=words.bold_first and index == 0,
            colour=words.colour,
            halo=words.halo,
        )
        for index, line in enumerate(words.lines)
    )
    return Group(items=items, tag=Tag(classes=words.classes, data={"ref": words.belongs_to}))
