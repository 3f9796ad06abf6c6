"""`railwright proofread`: a lesson's worked numbers, read against themselves and against the sheet."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

import click

from railwright.cli.options import Asked, course_from, in_course, print_json, solving, study_from

if TYPE_CHECKING:
    from railwright.exercises.proofreading import Proofreading

_WIDTH = 100  # characters: as wide as a page


@click.command(short_help="Find slips in a lesson's worked numbers.")
@click.argument("notes", metavar="NOTES.md")
@solving
@click.option(
    "--decimal",
    type=click.Choice([".", ","]),
    help="The decimal sign of the notes; the course's, or a point, if unsaid.",
)
@in_course(None, "Whose letters the notes use, and whose diode drop: a profile that ships, or a course file.")
def proofread(asked: Asked, notes: str, decimal: str | None, course_name: str | None) -> None:
    """Read the worked lines of NOTES.md and find slips in arithmetic, units, and values that change.

    A worked line is one such as: Vp = 12 V * 1.414 = 16.97 V. Every step has to follow within the digits that it
    shows, a name has to keep its value, and what is worked out has to fit SHEET. Prose is passed over. With --course a
    letter means what that course says. The exit code is 1 if there is an error; warnings and notes leave it 0.
    """
    from railwright.cli.failures import NO, BadInput
    from railwright.exercises.proofreading import NotesError, read_notes
    from railwright.exercises.proofreading import proofread as read_proof

    try:
        text = read_notes(Path(notes))
    except NotesError as why:
        raise BadInput(str(why)) from why
    course = course_from(course_name)
    if decimal is None:
        decimal = "." if course is None else course.decimal
    study = study_from(asked)
    found = read_proof(text, study, decimal="," if decimal == "," else ".", course=course)
    if asked.json:
        print_json(found.to_json())
    else:
        _show(found)
    if found.has_errors:
        raise click.exceptions.Exit(NO)


def _show(found: Proofreading) -> None:
    heads = [f"line {f.line}: {f.severity}, {f.kind}: " for f in found.findings]
    width = max(map(len, heads), default=0)
    for head, finding in zip(heads, found.findings, strict=True):
        click.echo(
            textwrap.fill(
                finding.text,
                width=max(_WIDTH, width + 40),
                initial_indent=f"{head:<{width}}",
                subsequent_indent=" " * width,
                break_long_words=False,
                break_on_hyphens=False,
            )
        )
    if found.findings:
        click.echo("")
    if found.summary:
        click.echo(found.summary)
    click.echo(found.verdict)
