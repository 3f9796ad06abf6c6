"""Hand-outs for a class: a student's copy with blanks and a teacher's with answers, on paper and editable."""

from __future__ import annotations

from collections.abc import Callable

from railwright.course import Course
from railwright.documents.handout.content import Sheet, handout
from railwright.documents.lesson.authored import LessonFile
from railwright.study import Study

__all__ = ["handout_files"]

#: Told how far the work is (0 to 1) and what comes next; what it raises ends the work.
Report = Callable[[float, str], None]


def handout_files(
    study: Study, course: Course, *, lesson: LessonFile | None = None, report: Report | None = None
) -> dict[str, bytes]:
    """The hand-out of a solved supply, as the contents of four files.

    Parameters
    ----------
    study : Study
        The supply, solved.
    course : Course
        Words, letters, symbols, digits, paper.
    lesson : LessonFile, optional
        An author's title and note.
    report : callable, optional
        Called with the fraction done and what comes next, before each step; what it raises ends the work.

    Returns
    -------
    dict
        `student.pdf`, `teacher.pdf`, `student.docx`, `teacher.docx`; the same bytes for the same input.

    Raises
    ------
    MissingExtra
        If what typesets, what writes documents or what draws isn't installed.
    """
    from railwright.documents.handout.editable import in_docx, writer
    from railwright.documents.handout.typeset import in_pdf, typesetter
    from railwright.figures.export import MissingExtra

    tell = report if report is not None else _nothing
    typesetter()
    writer()
    sheet = Sheet(study=study, course=course, lesson=lesson)
    tell(0.0, "drawing the figures")
    try:
        _ = sheet.pictures.circuit, sheet.pictures.ways, sheet.pictures.waveforms
    except ModuleNotFoundError as missing:
        if missing.name != "schemdraw":
            raise
        raise MissingExtra(what="A hand-out", extra="draw") from missing
    tell(0.2, "working by hand")
    _ = sheet.working
    tell(0.35, "solving the questions")
    _ = sheet.questions
    student, teacher = handout(sheet, "student"), handout(sheet, "teacher")
    files: dict[str, bytes] = {}
    for done, name, copy in ((0.6, "student", student), (0.7, "teacher", teacher)):
        tell(done, f"setting the {name}'s pages")
        files[f"{name}.pdf"] = in_pdf(copy)
    for done, name, copy in ((0.8, "student", student), (0.9, "teacher", teacher)):
        tell(done, f"writing the {name}'s document")
        files[f"{name}.docx"] = in_docx(copy)
    tell(1.0, "done")
    return files


def _nothing(fraction: float, what: str) -> None:
    """Nobody asked."""
