"""`railwright solve` and `railwright waveforms`: the steady state as readings, and as curves in numbers."""

from __future__ import annotations

from collections.abc import Mapping

import click

from railwright.cli.options import (
    DECIMAL_SIGN,
    Asked,
    course_from,
    decimal_sign,
    in_course,
    print_json,
    solving,
    study_from,
)


@click.command(short_help="Readings by hand and computed, who conducts when, and the proof.")
@solving
@click.argument("readings", nargs=-1, metavar="[READING]...")
@in_course(None, "By hand as this course works it, in its words and letters: a profile that ships, or a course file.")
def solve(asked: Asked, readings: tuple[str, ...], course_name: str | None) -> None:
    """Solve SHEET and print its readings by hand and computed, side by side.

    With READING names, such as load.voltage.mean, only those. With --course the taught formula comes first.
    """
    from railwright.cli.terminal import show_study

    course = course_from(course_name)
    study = study_from(asked, readings)
    letters: Mapping[str, str] = {}
    if course is not None:
        from railwright.documents.hand_in_course import in_course as worked_in
        from railwright.documents.hand_in_course import letters_in_course

        letters = {} if asked.json else letters_in_course(study, course)
        study = worked_in(study, course)
    if asked.json:
        print_json(study.to_json(readings))
    else:
        show_study(study, readings, course=course, letters=letters)


@click.command(short_help="The waveforms as numbers, in a CSV file.")
@solving
@click.option("-o", "output", metavar="F.csv", required=True, help="The file to write.")
@in_course(None, DECIMAL_SIGN)
def waveforms(asked: Asked, output: str, course_name: str | None) -> None:
    """Write every voltage and current of SHEET over one steady period, one column each, to a CSV file."""
    from railwright.cli.failures import BadInput
    from railwright.jobs import waveforms_csv, write_atomically

    if not output.lower().endswith(".csv"):
        raise BadInput(f'-o {output}: waveforms are written as CSV. Name a file that ends in ".csv".')
    decimal_sign(course_name)  # a course that can't be read is said even where it changes nothing
    study = study_from(asked)
    text, columns, rows = waveforms_csv(study)
    write_atomically(output, text)
    if asked.json:
        print_json({"file": output, "model": study.model, "period": study.period, "columns": columns, "rows": rows})
    else:
        click.echo(f"{output}: {len(columns)} columns, {rows} moments of one period, model {study.model}.")
