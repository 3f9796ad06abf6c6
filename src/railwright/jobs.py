"""Making one of the things that railwright makes, and writing it whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
import stat
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from railwright.study import Study
    from railwright.variation.table import Table


class CannotWrite(Exception):
    """A file could not be written; what stood there before still stands.

    Attributes
    ----------
    path : Path
        What was to be written.
    reason, remedy : str
        Why it could not, and what to do about it: a clause and a sentence.
    """

    def __init__(self, path: Path, reason: str, remedy: str) -> None:
        super().__init__(path, reason, remedy)
        self.path = path
        self.reason = reason
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{self.path} was not written: {self.reason}. {self.remedy}"


def write_atomically(path: Path | str, data: bytes | str) -> Path:
    """Write a file so that either the old one or the whole new one stands there, whatever happens.

    Text is written as UTF-8, its line ends as they are.

    Raises
    ------
    CannotWrite
        If the folder is missing, or not to be written in, or the disk is full.
    """
    asked = Path(path)
    content = data.encode("utf-8") if isinstance(data, str) else data
    # A link is followed: the file that it points to is the one that changes.
    target = Path(os.path.realpath(asked))
    if target.is_dir():
        raise CannotWrite(asked, "it is a folder", "Name a file in it.")
    if not target.parent.is_dir():
        raise CannotWrite(asked, f"there is no folder {asked.parent}", "Make the folder first, or name another one.")
    try:
        if target.exists() and not stat.S_ISREG(target.stat().st_mode):
            # A device or a pipe can't be replaced, only written to.
            target.write_bytes(content)
        else:
            _replace_whole(target, content)
    except PermissionError as error:
        raise CannotWrite(
            asked, f"{asked.parent} or the file itself may not be written to", "Name another folder."
        ) from error
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise CannotWrite(asked, f"the system says: {reason}", "Name another place, or make room.") from error
    return asked


def _replace_whole(target: Path, content: bytes) -> None:
    # Beside the target, because only within one file system is the exchange a single step.
    beside = target.with_name(f".{target.name[:100]}.{secrets.token_hex(6)}")
    mode = stat.S_IMODE(target.stat().st_mode) if target.exists() else None
    if mode is not None and not os.access(target, os.W_OK):
        # The exchange would succeed on a write-protected file; its owner protected it for a reason.
        raise PermissionError(target)
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    descriptor = os.open(beside, flags, 0o666)
    try:
        with os.fdopen(descriptor, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        if mode is not None:
            os.chmod(beside, mode)
        os.replace(beside, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(beside)
        raise


def waveforms_csv(study: Study) -> tuple[str, tuple[str, ...], int]:
    """The waveforms of a study as the text of a CSV file, with the names of its columns and the number of its rows.

    The columns are time, angle, then every voltage and current of the circuit; of a direct source, which has no
    angle, that column is empty.
    """
    frequency = study.supply.mains.frequency
    curves = study.waveforms(study.quantities)
    times = [float(time) for time in next(iter(curves.values())).times]
    angles = ["" if frequency is None else repr(360.0 * frequency * time) for time in times]
    columns = ("time (s)", "angle (deg)", *(f"{name} ({curve.unit})" for name, curve in curves.items()))
    numbers = ([repr(float(value)) for value in curve.values] for curve in curves.values())
    rows = zip([repr(time) for time in times], angles, *numbers, strict=True)
    lines = [",".join(columns), *(",".join(row) for row in rows)]
    return "\n".join(lines) + "\n", columns, len(times)


def figure_file(study: Study, kind: str, form: str, **style: Any) -> bytes:
    """A figure of a study as the content of a file.

    Parameters
    ----------
    study : Study
    kind : str
        One of `figures.KINDS`.
    form : str
        svg, png or pdf.
    style
        As `figures.draw` takes it.

    Raises
    ------
    MissingExtra
        If what draws or converts it isn't installed.
    ValueError
        If the circuit can't be drawn so.
    """
    from railwright.figures import draw
    from railwright.figures.export import MissingExtra, pdf_bytes, png_bytes, svg_text
    from railwright.figures.scene import render

    try:
        svg = render(draw(study, kind, **style), background="#ffffff")
    except ModuleNotFoundError as missing:
        if missing.name != "schemdraw":
            raise
        raise MissingExtra(what="A schematic", extra="draw") from missing
    if form == "svg":
        return svg_text(svg).encode("utf-8")
    return png_bytes(svg) if form == "png" else pdf_bytes(svg)


def table_figure(table: Table, *, title: str = "") -> str:
    """A table as the text of an SVG figure."""
    from railwright.figures.characteristic import characteristic
    from railwright.figures.export import svg_text

    return svg_text(characteristic(table, title=title))
