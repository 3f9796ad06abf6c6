"""`railwright figure`: one picture of a supply."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import click

from railwright.cli.options import Asked, course_from, in_course, print_json, solving, study_from

KINDS = (
    "board", "schematic", "path", "waveforms", "stages", "spectrum", "start-up", "ladder", "validity", "diode-curve",
    "scope-screen",
)  # fmt: skip
FORMATS = (".svg", ".png", ".pdf")


@click.command(short_help="A picture: board, schematic, path, waveforms, stages and more.")
@solving
@click.argument("kind", type=click.Choice(KINDS))
@click.option("-o", "output", metavar="F.svg|F.png|F.pdf", required=True, help="The file to write.")
@in_course(None, "Whose words, decimal sign, symbols and direction of current: a profile, or a course file.")
@click.option(
    "--standard", type=click.Choice(["iec", "ieee"]), help="Symbols; the course's, or iec, if unsaid."
)
@click.option(
    "--form", type=click.Choice(["diamond", "in-line"]), default="diamond", show_default=True,
    help="How a bridge is drawn: on its corner, or as two legs.",
)  # fmt: skip
@click.option(
    "--convention",
    type=click.Choice(["conventional", "electron"]),
    help="Direction of the current's chevrons; the course's, or conventional, if unsaid.",
)
@click.option("--degrees", type=click.FloatRange(0.0, 360.0), help="The moment of a path.")
@click.option("--blank", is_flag=True, help="Stages or scope-screen without its values, for a student to fill in.")
@click.option(
    "--quantity",
    "quantities",
    metavar="NAME",
    multiple=True,
    help="A waveform of a spectrum or scope-screen, such as mains.current. May repeat.",
)
@click.option(
    "--compare",
    "comparing",
    metavar="KEY=VALUE",
    multiple=True,
    help="A key to change for a second study, laid over the waveforms: filter.1.fitted=false. May repeat.",
)
@click.option("--copier", is_flag=True, help="Pure black and white, nothing that depends on colour.")
def figure(
    asked: Asked, kind: str, output: str, course_name: str | None, quantities: tuple[str, ...],
    comparing: tuple[str, ...], **style: Any,
) -> None:  # fmt: skip
    """Draw SHEET: the board (schematic, path and waveforms on one sheet), or a picture of another KIND."""
    from railwright.cli.failures import BadInput
    from railwright.figures.drawing import NotDrawn
    from railwright.jobs import figure_file, write_atomically

    file_type = output.lower().rpartition(".")[2]
    if f".{file_type}" not in FORMATS:
        raise BadInput(f"-o {output}: a figure is written as {', '.join(FORMATS)}. Name a file that ends in one.")
    course = course_from(course_name)
    study = study_from(asked)
    if course is not None:
        from railwright.documents.hand_in_course import in_course as worked_in

        study, style["course"] = worked_in(study, course), course
    if comparing:
        style["compare"] = study_from(replace(asked, settings=(*asked.settings, *comparing)))
    try:
        data = figure_file(study, kind, file_type, quantities=quantities, **style)
    except NotDrawn as refused:
        raise BadInput(str(refused)) from refused
    write_atomically(output, data)
    if asked.json:
        print_json({"file": output, "kind": kind, "title": study.title, "model": study.model})
    else:
        click.echo(f"{output}: {kind} of {study.title or asked.sheet}, model {study.model}.")
