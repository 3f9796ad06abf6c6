"""Making one of the things that railwright makes, and writing it whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
import stat
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.documents.lesson import LessonFile
    from railwright.study import Study
    from railwright.variation.table import Table

#: Told how far long work is (0 to 1) and what it does now: "drawing frame 120 of 500". What it raises ends the work.
Report: TypeAlias = Callable[[float, str], None]


class Cancelled(Exception):
    """Raised by a `Report` to end the work; nothing of it is left."""


def part_of(report: Report | None, start: float, end: float) -> Report:
    """A report for one part of the work, from the share `start` to the share `end` of the whole."""
    if report is None:
        return _unheard
    whole = report
    return lambda done, words: whole(start + (end - start) * min(max(done, 0.0), 1.0), words)


def _unheard(done: float, words: str) -> None:
    """Nobody asked how far the work is."""


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
    _refuse_impossible(asked, target)
    with _explained(asked):
        if target.exists() and not stat.S_ISREG(target.stat().st_mode):
            # A device or a pipe can't be replaced, only written to.
            target.write_bytes(content)
        else:
            _replace_whole(target, content)
    return asked


def _replace_whole(target: Path, content: bytes) -> None:
    beside = _written_beside(target, content)
    try:
        os.replace(beside, target)
    except BaseException:
        _gone(beside)
        raise


def _written_beside(target: Path, content: bytes) -> Path:
    """The content in a file of its own in the target's folder, ready to take the target's place."""
    # Beside the target, because only within one file system is the exchange a single step.
    beside = _beside(target)
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
    except BaseException:
        _gone(beside)
        raise
    return beside


def _beside(target: Path) -> Path:
    return target.with_name(f".{target.name[:100]}.{secrets.token_hex(6)}")


def _gone(path: Path) -> None:
    with contextlib.suppress(OSError):
        os.unlink(path)


def write_all_atomically(
    files: Mapping[Path, bytes | str], *, folders: Iterable[Path] = (), obsolete: Iterable[Path] = ()
) -> tuple[Path, ...]:
    """Write several files so that either all of the new ones stand there or all of the old ones.

    Everything is written beside its target first, then exchanged; an exchange that fails, or is interrupted, is taken
    back. Text is written as UTF-8, its line ends as they are.

    Parameters
    ----------
    files : Mapping
        Content by path.
    folders : iterable of Path
        Folders to be made if they are missing; their own folder must be there.
    obsolete : iterable of Path
        Files of an earlier time that go when the new ones come.

    Returns
    -------
    tuple of Path
        The paths as they were given.

    Raises
    ------
    CannotWrite
        If one of the files can't be written: none is, then.
    """
    targets = {path: Path(os.path.realpath(path)) for path in map(Path, files)}
    if len(set(targets.values())) < len(targets):
        names = ", ".join(str(path) for path in targets)
        raise CannotWrite(next(iter(targets)), f"two of {names} are the same file", "Give each a name of its own.")
    with contextlib.ExitStack() as undo:
        for folder in map(Path, folders):
            undo.enter_context(_made(folder))
        waiting: list[tuple[Path, Path, Path]] = []
        # A device or a pipe can't be replaced, only written to: last, because that can't be taken back.
        streams: list[tuple[Path, Path, bytes]] = []
        for (asked, target), data in zip(targets.items(), files.values(), strict=True):
            content = data.encode("utf-8") if isinstance(data, str) else data
            with _explained(asked):
                _refuse_impossible(asked, target)
                if target.exists() and not stat.S_ISREG(target.stat().st_mode):
                    streams.append((asked, target, content))
                    continue
                beside = _written_beside(target, content)
            undo.callback(_gone, beside)
            waiting.append((asked, target, beside))
        exchanged = undo.enter_context(_Exchange())
        for asked, target, beside in waiting:
            with _explained(asked):
                exchanged.put(beside, target)
        written = set(targets.values())
        for old in (Path(os.path.realpath(path)) for path in obsolete):
            if old.is_file() and old not in written:
                with _explained(old):
                    exchanged.take_away(old)
        for asked, target, content in streams:
            with _explained(asked):
                target.write_bytes(content)
        exchanged.keep()
    return tuple(targets)


def refuse_unwritable(path: Path | str) -> None:
    """Find out before long work begins that what comes of it could not be written.

    Raises
    ------
    CannotWrite
        If the path is a folder, or its folder is missing or not to be written in.
    """
    asked = Path(path)
    target = Path(os.path.realpath(asked))
    _refuse_impossible(asked, target)
    if not os.access(target if target.exists() else target.parent, os.W_OK):
        raise CannotWrite(asked, f"{asked.parent} or the file itself may not be written to", "Name another folder.")


def _refuse_impossible(asked: Path, target: Path) -> None:
    if target.is_dir():
        raise CannotWrite(asked, "it is a folder", "Name a file in it.")
    if not target.parent.is_dir():
        raise CannotWrite(asked, f"there is no folder {asked.parent}", "Make the folder first, or name another one.")


@contextlib.contextmanager
def _explained(asked: Path) -> Iterator[None]:
    """What the system says about a file, as a sentence."""
    try:
        yield
    except PermissionError as error:
        raise CannotWrite(
            asked, f"{asked.parent} or the file itself may not be written to", "Name another folder."
        ) from error
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise CannotWrite(asked, f"the system says: {reason}", "Name another place, or make room.") from error


@contextlib.contextmanager
def _made(folder: Path) -> Iterator[None]:
    """A folder that is there; one that was made for files that never came goes again."""
    if folder.exists() and not folder.is_dir():
        raise CannotWrite(folder, "it is a file", "Name a folder.")
    if folder.is_dir():
        yield
        return
    if not folder.absolute().parent.is_dir():
        raise CannotWrite(folder, f"there is no folder {folder.parent}", "Make it first, or name another one.")
    with _explained(folder):
        folder.mkdir()
    try:
        yield
    except BaseException:
        with contextlib.suppress(OSError):
            folder.rmdir()
        raise


class _Exchange:
    """Files that take the place of others, until it is sure that all of them can."""

    def __init__(self) -> None:
        self._done: list[tuple[Path, Path | None]] = []  # target, where its old file waits
        self._kept = False

    def __enter__(self) -> _Exchange:
        return self

    def __exit__(self, *_: object) -> None:
        for target, old in reversed(self._done):
            if self._kept:
                if old is not None:
                    _gone(old)
            elif old is None:
                _gone(target)
            else:
                with contextlib.suppress(OSError):
                    os.replace(old, target)
                # Two names of one file: renaming one to the other leaves both (POSIX, rename).
                if target.exists():
                    _gone(old)

    def put(self, new: Path, target: Path) -> None:
        """A new file in the place of an old one, if there is one."""
        self._note(target)
        old = self._done[-1][1]
        if old is not None:
            try:
                # A second name for the old file: at no moment does nothing stand at the first.
                os.link(target, old)
            except OSError:
                os.replace(target, old)
        os.replace(new, target)

    def take_away(self, target: Path) -> None:
        """An old file that no new one follows."""
        self._note(target)
        os.replace(target, self._done[-1][1] or target)

    def keep(self) -> None:
        """All is well: the old files may go."""
        self._kept = True

    def _note(self, target: Path) -> None:
        # Noted before anything moves, so that whatever interrupts us is taken back.
        self._done.append((target, _beside(target) if target.exists() else None))


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


def figure_file(study: Study, kind: str, file_type: str, **style: Any) -> bytes:
    """A figure of a study as the content of a file.

    Parameters
    ----------
    study : Study
    kind : str
        One of `figures.KINDS`.
    file_type : str
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
    if file_type == "svg":
        return svg_text(svg).encode("utf-8")
    return png_bytes(svg) if file_type == "png" else pdf_bytes(svg)


def table_figure(table: Table, *, title: str = "") -> str:
    """A table as the text of an SVG figure."""
    from railwright.figures.characteristic import characteristic
    from railwright.figures.export import svg_text

    return svg_text(characteristic(table, title=title))


# ---------------------------------------------------------------- what takes long

#: What `make` makes.
PRODUCTS = ("lesson", "handout", "film", "stills", "figure", "waveforms")


def lesson_files(
    study: Study,
    course: Course,
    *,
    edition: Literal["student", "teacher"] = "student",
    lesson: LessonFile | None = None,
    report: Report | None = None,
) -> dict[str, bytes]:
    """The lesson of a study: `lesson.html`."""
    from railwright.documents.lesson import lesson_page

    tell = part_of(report, 0.0, 1.0)
    tell(0.0, "writing the lesson")
    page = lesson_page(study, course, edition=edition, lesson=lesson)
    tell(1.0, "lesson written")
    return {"lesson.html": page.encode("utf-8")}


def handout_files(
    study: Study, course: Course, *, lesson: LessonFile | None = None, report: Report | None = None
) -> dict[str, bytes]:
    """The hand-out of a study: `student.pdf`, `teacher.pdf`, `student.docx`, `teacher.docx`."""
    from railwright.documents.handout import handout_files as made

    return made(study, course, lesson=lesson, report=report)


def film_files(
    study: Study, course: Course, *, seconds: float | None = None, report: Report | None = None
) -> dict[str, bytes]:
    """The film of a study: `film.mp4`, and its subtitles `film.vtt`; `seconds` as `documents.film.film` takes it."""
    from railwright.documents.film import film

    made = film(study, course, seconds=seconds, report=report)
    return {"film.mp4": made.video, "film.vtt": made.subtitles.encode("utf-8")}


def stills_files(study: Study, course: Course, *, report: Report | None = None) -> dict[str, bytes]:
    """The stills of a study: `01-title.png` and what follows, and `stills.md` with what each shows in words."""
    from railwright.documents.film import stills

    return stills(study, course, report=report)


def make(
    product: str,
    sheet_text: str,
    *,
    course: str = "uk",
    model: str = "textbook",
    report: Report | None = None,
    **options: Any,
) -> dict[str, bytes]:
    """Read a sheet, solve it and make one product of it: in this process or, its arguments being plain, in another.

    Parameters
    ----------
    product : str
        One of `PRODUCTS`.
    sheet_text : str
        The sheet.
    course : str
        A course that ships, or the path of a course file.
    model : str
        `ideal`, `textbook` or `physical`.
    report : callable, optional
        Told how far the work is; to get into another process it must be one that can be pickled.
    options
        Of the product: `edition` of a lesson; `seconds` of a film; `kind`, `form` and the style of a figure.

    Returns
    -------
    dict
        Content by file name. A figure is `figure.svg` (or .png, .pdf), the waveforms `waveforms.csv`.

    Raises
    ------
    ValueError
        If there is no such product.
    """
    if product not in PRODUCTS:
        raise ValueError(f'There is no product "{product}". Allowed: {", ".join(PRODUCTS)}.')
    from railwright.course import read_course
    from railwright.study import solve
    from railwright.supply import read_text

    tell = part_of(report, 0.0, 0.1)
    tell(0.0, "reading the sheet")
    supply, profile = read_text(sheet_text), read_course(course)
    tell(0.2, "solving the circuit")
    study = solve(supply, model)
    rest = part_of(report, 0.1, 1.0)
    if product == "lesson":
        return lesson_files(study, profile, report=rest, **options)
    if product == "handout":
        return handout_files(study, profile, report=rest, **options)
    if product == "film":
        return film_files(study, profile, report=rest, **options)
    if product == "stills":
        return stills_files(study, profile, report=rest, **options)
    if product == "waveforms":
        text, _, _ = waveforms_csv(study, **options)
        files = {"waveforms.csv": text.encode("utf-8")}
    else:
        kind, form = options.pop("kind", "board"), options.pop("form", "svg")
        files = {f"figure.{form}": figure_file(study, kind, form, **options)}
    rest(1.0, f"{product} made")
    return files
