"""Where a label finds room: what is already drawn, and the first of several places that is free."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from railwright.figures.scene import Box, Point

__all__ = ["Room"]

_SAMPLE = 2.0  # [px] between two points of a curve: no label is smaller


class Room:
    """The space of one figure that is taken, by curves as points and by everything else as boxes."""

    def __init__(self) -> None:
        self.boxes: list[Box] = []
        self._points: list[np.ndarray] = []

    def take(self, box: Box) -> None:
        """Mark a box as taken."""
        self.boxes.append(box)

    def take_line(self, points: Iterable[Point]) -> None:
        """Mark a line as taken, along its whole length."""
        corners = np.array(list(points), dtype=float)
        pieces = [corners[:1]]
        for start, end in zip(corners, corners[1:], strict=False):
            count = max(1, int(np.ceil(float(np.hypot(*(end - start))) / _SAMPLE)))
            pieces.append(start + (end - start) * (np.arange(1, count + 1) / count)[:, None])
        self._points.append(np.concatenate(pieces))

    def crossings(self, box: Box) -> int:
        """How many points of lines lie in a box: how much a label there would hide."""
        hidden = 0
        for points in self._points:
            inside = (
                (points[:, 0] > box.left)
                & (points[:, 0] < box.right)
                & (points[:, 1] > box.top)
                & (points[:, 1] < box.bottom)
            )
            hidden += int(inside.sum())
        return hidden

    def is_free(self, box: Box, *, within: Box | None = None) -> bool:
        """Whether nothing drawn lies in a box, and the box lies in another if one is given."""
        if within is not None and not within.contains(box):
            return False
        return not any(box.overlaps(other) for other in self.boxes) and self.crossings(box) == 0

    def first_free(self, candidates: Iterable[Box], *, within: Box | None = None) -> int | None:
        """Index of the first candidate that is free; None if all are taken."""
        for index, box in enumerate(candidates):
            if self.is_free(box, within=within):
                return index
        return None
