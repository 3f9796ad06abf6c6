"""A figure for the photocopier: pure black and white, no tint, nothing that depends on colour."""

from __future__ import annotations

from dataclasses import replace

from railwright.figures.scene import PAPER, PAPER_COLOUR, Arc, Fill, Group, Hatch, Item, Line, Pen, Scene, Text

__all__ = ["BLACK", "black_and_white"]

BLACK = "#000000"


def black_and_white(scene: Scene) -> Scene:
    """The scene with every shape in its copier form: black lines and letters, white or hatched areas."""
    return replace(scene, items=_all_copied(scene.items))


def _all_copied(items: tuple[Item, ...]) -> tuple[Item, ...]:
    return tuple(copied for item in items if (copied := _copied(item)) is not None)


def _colour(colour: str) -> str:
    return colour if colour in (PAPER, PAPER_COLOUR) else BLACK


def _pen(pen: Pen | None) -> Pen | None:
    return None if pen is None else replace(pen, colour=_colour(pen.colour), opacity=1.0)


def _fill(fill: Fill | None) -> Fill | None:
    if isinstance(fill, Hatch):
        return replace(fill, colour=BLACK)
    return None if fill is None else _colour(fill)


def _copied(item: Item) -> Item | None:
    """The copier form of an item; None if nothing of it is left."""
    if isinstance(item, Group):
        # What shows through is grey on paper.
        return replace(item, items=_all_copied(item.items), opacity=1.0)
    if isinstance(item, Text):
        return replace(item, colour=_colour(item.colour))
    own = item.copier
    pen = _pen(item.pen if own is None else own.pen)
    if isinstance(item, Line | Arc):
        return None if pen is None else replace(item, pen=pen, copier=None)
    if own is not None:
        fill = _fill(own.fill)
    else:
        # A tint copies as dirt.
        fill = _fill(item.fill) if isinstance(item.fill, Hatch) or item.fill_opacity >= 1 else None
    return None if pen is None and fill is None else replace(item, pen=pen, fill=fill, fill_opacity=1.0, copier=None)
