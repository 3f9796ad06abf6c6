"""A lesson pack: everything for one circuit in one course, ready for people who install nothing.

What a class may be given lies in `student/`, without answers; what has them lies in `teacher/`.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Iterator, Mapping
from textwrap import fill
from typing import Final

from railwright.course import Course
from railwright.documents.handout import handout_files
from railwright.documents.lesson import LessonFile, lesson_page
from railwright.documents.plain_png import without_alpha
from railwright.documents.working import work
from railwright.documents.working_html import in_html
from railwright.documents.working_latex import in_latex
from railwright.documents.working_markdown import in_markdown
from railwright.documents.working_wording import CAUTION_HEADING
from railwright.figures import draw
from railwright.figures.board import shown_intervals
from railwright.figures.export import png_bytes, svg_text
from railwright.figures.scene import Scene, render
from railwright.figures.touch import TOUCHED_DC, TOUCHED_RMS
from railwright.study import Study

__all__ = ["LICENCE", "pack_files", "zipped"]

#: What a pack may be used for.
LICENCE: Final = "CC BY 4.0"
_LICENCE_TEXT: Final = (
    "Licence: Creative Commons Attribution 4.0 International (CC BY 4.0), "
    "https://creativecommons.org/licenses/by/4.0/. Share and change it as you like, also for money; say that it comes "
    "from the railwright authors, and whether you changed it."
)
_COLUMNS: Final = 78
#: Across a PNG: enough for a slide, small enough to send; the SVG beside it has no limit. [px]
_WIDE: Final = 900
_BOARD_WIDE: Final = 1000
#: The beginning of the ZIP format's calendar: two packs of the same content are the same file.
_EPOCH: Final = (1980, 1, 1, 0, 0, 0)

Report = Callable[[float, str], None]


def pack_files(
    study: Study, course: Course, *, sheet: bytes, lesson: LessonFile | None = None, report: Report | None = None
) -> dict[str, bytes]:
    """The files of a pack by their names in it.

    Parameters
    ----------
    study : Study
        The supply, solved.
    course : Course
        Words, letters, symbols, digits, paper.
    sheet : bytes
        The sheet as it was read; it goes into the pack.
    lesson : LessonFile, optional
        An author's title, note and stages.
    report : callable, optional
        Called with the fraction done and what comes next; what it raises ends the work.

    Raises
    ------
    MissingExtra
        If what draws, typesets or writes documents isn't installed.
    """
    tell = report if report is not None else _nothing
    files: dict[str, bytes] = {}
    tell(0.0, "lesson page")
    files["student/lesson.html"] = lesson_page(study, course, edition="student", lesson=lesson).encode()
    files["teacher/lesson.html"] = lesson_page(study, course, edition="teacher", lesson=lesson).encode()
    tell(0.5, "hand-outs")
    for name, content in handout_files(study, course, lesson=lesson).items():
        edition, _, form = name.partition(".")
        files[f"{edition}/handout.{form}"] = content
    tell(0.7, "figures")
    for name, scene, edition in _figures(study, course):
        svg = render(scene, background="#ffffff")
        files[f"{edition}/figures/{name}.svg"] = svg_text(svg).encode()
        files[f"{edition}/figures/{name}.png"] = without_alpha(
            png_bytes(svg, width=_BOARD_WIDE if name == "board" else _WIDE)
        )
    tell(0.9, "working")
    working = work(study, course)
    for form, written in (("md", in_markdown), ("html", in_html), ("tex", in_latex)):
        files[f"teacher/working.{form}"] = written(working).encode()
    files["teacher/sheet.toml"] = sheet
    title = (lesson.title if lesson is not None else "") or study.title or "Supply"
    files["README.txt"] = "\n".join(_readme(title, course, working.cautions)).encode()
    return dict(sorted(files.items()))


def zipped(files: Mapping[str, bytes], folder: str) -> bytes:
    """Files in one ZIP, all inside `folder`; the same bytes for the same files, whatever the day."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name, content in files.items():
            entry = zipfile.ZipInfo(f"{folder}/{name}", date_time=_EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            entry.create_system = 3  # the same on every system
            archive.writestr(entry, content)
    return packed.getvalue()


def _figures(study: Study, course: Course) -> Iterator[tuple[str, Scene, str]]:
    """Name, figure, and whose folder it goes to: one that shows an answer is the teacher's."""
    yield "schematic", draw(study, "schematic", standard=course.drawing), "student"
    for number, interval in enumerate(shown_intervals(study), start=1):
        degrees = (interval.start + interval.end) / 2
        scene = draw(study, "path", degrees=degrees, convention=course.current_direction, standard=course.drawing)
        yield f"path-{number}", scene, "teacher"
    yield "waveforms", draw(study, "waveforms"), "teacher"
    yield "stages", draw(study, "stages"), "teacher"
    yield "board", draw(study, "board", convention=course.current_direction, standard=course.drawing), "teacher"


_CONTENTS: Final = (
    ("student/lesson.html", "the lesson, without answers: one page that works offline, on a phone too"),
    ("student/handout.pdf", "hand-out with blanks, to print"),
    ("student/handout.docx", "the same, to change"),
    ("student/figures/", "the circuit; SVG and PNG"),
    ("teacher/lesson.html", "the lesson with the answers to its questions"),
    ("teacher/handout.pdf", "hand-out with the answers"),
    ("teacher/handout.docx", "the same, to change"),
    ("teacher/figures/", "current's way in each half-cycle, waveforms, stages, board; SVG and PNG"),
    ("teacher/working.html", "the working by hand, every step, with how far each formula is off"),
    ("teacher/working.md, .tex", "the same as Markdown and LaTeX"),
    ("teacher/sheet.toml", "the supply as railwright reads it"),
)


def _readme(title: str, course: Course, cautions: tuple[str, ...]) -> Iterator[str]:
    yield title
    yield "=" * len(title)
    yield ""
    yield f"A lesson pack: {course.title or course.words.upper()}, {course.paper} paper."
    yield fill("Nothing has to be installed: open the pages in any browser, print the hand-outs.", _COLUMNS)
    yield ""
    width = max(len(name) for name, _ in _CONTENTS) + 2
    for name, what in _CONTENTS:
        gap = " " * (width + 2)
        yield fill(course.say(what), _COLUMNS, initial_indent=f"  {name:<{width}}", subsequent_indent=gap)
    yield ""
    yield f"{CAUTION_HEADING}:"
    yield ""
    limit = (
        f"Classes work on adapters and sealed safety isolating transformers: at most {TOUCHED_RMS:g} V RMS between any "
        f"two terminals and {TOUCHED_DC:g} V DC anywhere. The mains side is never opened by students."
    )
    for caution in (*cautions, course.say(limit)):
        yield fill(caution, _COLUMNS, initial_indent="- ", subsequent_indent="  ")
    yield ""
    yield fill(_LICENCE_TEXT, _COLUMNS, break_on_hyphens=False, break_long_words=False)
    yield ""


def _nothing(fraction: float, what: str) -> None:
    """Nobody asked."""
