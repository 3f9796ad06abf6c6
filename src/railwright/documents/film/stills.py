"""The film's pictures as stills for slides, each with its text equivalent."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from railwright.documents.film.captions import pictured
from railwright.documents.film.pictures import Pictures
from railwright.figures.export import MissingExtra, png_bytes
from railwright.figures.projector import WIDTH

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.figures.scene import Scene
    from railwright.study import Study

__all__ = ["LISTING", "earlier_stills", "stills"]

Report = Callable[[float, str], None]

#: The file that says what each still shows.
LISTING = "stills.md"
_NAMED = re.compile(r"^## (\d\d-[a-z0-9-]+\.png): ", re.MULTILINE)


def stills(study: Study, course: Course, *, report: Report | None = None) -> dict[str, bytes]:
    """The stills of a solved supply, in the order of a lesson.

    Returns
    -------
    dict
        `01-title.png` and what follows, 1920 x 1080 on white, and `stills.md` with title and text equivalent of each.

    Raises
    ------
    MissingExtra
        If what draws isn't installed.
    """
    pictures = Pictures(study, course)
    try:
        sheets = list(_sheets(pictures))
    except ModuleNotFoundError as missing:
        if missing.name != "schemdraw":
            raise
        raise MissingExtra(what="A still", extra="draw") from missing
    files: dict[str, bytes] = {}
    told = [f"# {_plain(pictures.title)}\n"]
    for number, (name, scene) in enumerate(sheets, start=1):
        if report is not None:
            report((number - 1) / len(sheets), f"drawing still {number} of {len(sheets)}")
        file = f"{number:02}-{name}.png"
        files[file] = png_bytes(scene, width=int(WIDTH))
        told.append(f"## {file}: {_plain(scene.title)}\n\n{_plain(scene.description)}\n")
    files[LISTING] = "\n".join(told).encode("utf-8")
    if report is not None:
        report(1.0, "stills made")
    return files


def earlier_stills(folder: Path) -> tuple[Path, ...]:
    """The stills of an earlier time in a folder: those that its listing names, and nothing else."""
    listing = folder / LISTING
    if not listing.is_file():
        return ()
    named = _NAMED.findall(listing.read_text(encoding="utf-8", errors="replace"))
    return tuple(folder / name for name in named)


def _sheets(pictures: Pictures) -> Iterator[tuple[str, Scene]]:
    yield "title", pictures.title_page()
    yield "stages", pictures.stages_page()
    if pictures.circuit is not None:
        yield "circuit", pictures.circuit_page()
    for interval in pictured(pictures.study):
        number = next((k for k, told in enumerate(pictures.told) if told.interval == interval), None)
        if number is not None:
            on = "-".join(name.lower() for name in interval.on) or "rest"
            yield f"path-{on}", pictures.moment_page(number, with_curves=True, running=False)
    yield "waveforms", pictures.waveforms_page()
    for name, scene in (
        ("load", pictures.load_page()),
        ("by-hand", pictures.hand_page()),
        ("stresses", pictures.stress_page()),
    ):
        if scene is not None:
            yield name, scene
    yield "cautions", pictures.closing_page()


def _plain(text: str) -> str:
    """Text of a reader that stays text in Markdown: on one line, nothing of it markup."""
    line = " ".join(text.split())
    for mark in "\\`*_{}[]<>#|":
        line = line.replace(mark, f"\\{mark}")
    return line
