"""`railwright lesson`: the lesson of a supply as one page that works offline."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from railwright.cli.options import Asked, existing, print_json, solving, study_from

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.documents.lesson import LessonFile
    from railwright.study import Study

_DEFAULT_COURSE = "uk"


@click.command(short_help="The lesson of a supply: one page that works offline.")
@solving
@click.option("-o", "output", metavar="F.html", required=True, help="The page to write.")
@click.option(
    "--edition",
    type=click.Choice(["student", "teacher"]),
    default="student",
    show_default=True,
    help="The student's edition has no answers in the file.",
)
@click.option(
    "--course",
    "course_name",
    metavar="uk|us|F.toml",
    help="Words, letters, symbols, digits: a profile or a course file; the lesson's own, or uk, if unsaid.",
)
@click.option(
    "--handout",
    metavar="F.pdf",
    help="Hand-outs too: F-student.pdf with blanks, F-teacher.pdf with answers, and both as .docx.",
)
def lesson(asked: Asked, output: str, edition: str, course_name: str | None, handout: str | None) -> None:
    """Write the lesson of SHEET, a supply or a lesson file, as one page that needs no network.

    Circuit, current's way, waveforms, working by hand, ratings and questions, with sliders for time, capacitance and
    load. The class gets the student's edition; the teacher's has the answers.
    """
    from railwright.cli.failures import BadInput
    from railwright.course import read_course
    from railwright.documents.lesson import is_lesson, lesson_page, read_lesson
    from railwright.jobs import write_atomically

    if not output.lower().endswith((".html", ".htm")):
        raise BadInput(f"-o {output}: a lesson is written as .html. Name a file that ends in it.")
    given = existing(asked.sheet)
    authored: LessonFile | None = None
    if is_lesson(given):
        authored = read_lesson(given)
        asked = replace(asked, sheet=str(authored.sheet))
    course = read_course(course_name or (authored.course if authored else None) or _DEFAULT_COURSE)
    study = study_from(asked)
    page = lesson_page(
        study, course, edition="teacher" if edition == "teacher" else "student", lesson=authored
    )
    handouts = _write_handouts(handout, study, course, authored, beside=output)
    write_atomically(output, page)
    size = len(page.encode("utf-8"))
    if asked.json:
        told = {"file": output, "title": study.title, "edition": edition, "model": study.model, "bytes": size}
        print_json({**told, "handouts": handouts} if handouts else told)
    else:
        click.echo(
            f"{output}: lesson of {study.title or Path(given).name}, {edition}'s edition, {size / 1e6:.1f} MB. "
            "Open it in any browser; it needs no network."
        )
        if handouts:
            click.echo(f"{', '.join(handouts)}: hand-outs on {course.paper} paper. Only the teacher's have answers.")


def _write_handouts(
    handout: str | None, study: Study, course: Course, lesson: LessonFile | None, *, beside: str
) -> list[str]:
    """Make the four hand-outs, then write them; `beside` is a file that will be written after them."""
    if handout is None:
        return []
    from railwright.cli.failures import BadInput
    from railwright.documents.handout import handout_files
    from railwright.jobs import CannotWrite, write_atomically

    if not handout.lower().endswith(".pdf"):
        raise BadInput(f"--handout {handout}: hand-outs are named after a .pdf. Name a file that ends in it.")
    made = {f"{handout[:-4]}-{name}": content for name, content in
            handout_files(study, course, lesson=lesson).items()}  # fmt: skip
    # Nothing is written where one of the files can't be.
    for path in map(Path, (*made, beside)):
        if path.is_dir():
            raise CannotWrite(path, "it is a folder", "Name a file in it.")
        if not path.parent.is_dir():
            raise CannotWrite(path, f"there is no folder {path.parent}", "Make the folder first, or name another one.")
    for name, content in made.items():
        write_atomically(name, content)
    return list(made)
