"""`railwright lesson`: the lesson of a supply as one page that works offline."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from railwright.cli.options import Asked, existing, print_json, solving, study_from

if TYPE_CHECKING:
    from railwright.documents.lesson import LessonFile

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
def lesson(asked: Asked, output: str, edition: str, course_name: str | None) -> None:
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
    write_atomically(output, page)
    size = len(page.encode("utf-8"))
    if asked.json:
        print_json({"file": output, "title": study.title, "edition": edition, "model": study.model, "bytes": size})
    else:
        click.echo(
            f"{output}: lesson of {study.title or Path(given).name}, {edition}'s edition, {size / 1e6:.1f} MB. "
            "Open it in any browser; it needs no network."
        )
