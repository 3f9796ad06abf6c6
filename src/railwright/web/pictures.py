"""The pictures of the eight circuits: drawn by the house's own schematics, kept as files so that a start draws none.

`python -m railwright.web.pictures` draws them anew; a test says when they are no longer what the house would draw.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final

from railwright.figures.scene import Group, Text, bounds, render, translate
from railwright.figures.schematic import schematic
from railwright.study import read_text
from railwright.web.circuits import STARTS, sheet_of

_FOLDER: Final = Path(__file__).parent / "static" / "circuits"
#: Groups of the drawing that a small picture does without: words would be too small to read.
_LEFT_OUT: Final = ("labels", "title", "terminals")
_AIR: Final = 10.0  # [px]


def picture_of(name: str) -> str:
    """The picture of one of the eight, as SVG text: symbols and wires alone."""
    start = STARTS[name]
    text = sheet_of(
        name, winding=start.winding, capacitor=start.capacitor, load=start.load, load_kind=start.load_kind,
        region="uk", title=name,
    )  # fmt: skip
    drawing = schematic(read_text(text))
    kept = tuple(
        item for item in drawing.scene.items
        if not isinstance(item, Text) and not set(item.tag.classes) & set(_LEFT_OUT)
    )  # fmt: skip
    box = bounds(Group(items=kept))
    assert box is not None
    box = box.grown(_AIR)
    scene = replace(
        drawing.scene, width=box.width, height=box.height, title=name,
        items=tuple(translate(item, -box.left, -box.top) for item in kept),
    )  # fmt: skip
    return render(scene, prefix=name)


def draw_all() -> None:
    """Write the picture of every circuit."""
    for name in STARTS:
        (_FOLDER / f"{name}.svg").write_text(picture_of(name), encoding="utf-8")


if __name__ == "__main__":
    draw_all()
