"""`railwright figure`: one picture of a supply."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import click

from railwright.cli.options import Asked, print_json, solving, study_from

KINDS = (
    "board", "schematic", "path", "waveforms", "stages", "spectrum", "start-up", "ladder", "validity", "diode-curve",
    "scope-screen",
)  # fmt: skip
FORMATS = (".svg", ".png", ".pdf")


@click.command(short_help="A picture: board, schematic, path, waveforms, stages and more.")
@solving
@click.argument("kind", type=click.Choice(KINDS))
@click.option("-o", "output", metavar="F.svg|F.png|F.pdf", required=True, help="The file to write.")
@click.option("--standard", type=click.Choice(["iec", "ieee"]), default="iec", show_default=True, help="Symbols.")
@click.option(
    "--convention",
    type=click.Choice(["conventional", "electron"]),
    default="conventional",
    show_default=True,
    help="Direction of the current's chevrons.",
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
    asked: Asked, kind: str, output: str, quantities: tuple[str, ...], comparing: tuple[str, ...], **style: Any
) -> None:
    """Draw SHEET: the board (schematic, path and waveforms on one sheet), or a picture of another KIND."""
    from railwright.cli.failures import BadInput
    from railwright.figures.drawing import NotDrawn
    from railwright.jobs import figure_file, write_atomically

    form = output.lower().rpartition(".")[2]
    if f".{form}" not in FORMATS:
        raise BadInput(f"-o {output}: a figure is written as {', '.join(FORMATS)}. Name a file that ends in one.")
    study = study_from(asked)
    if comparing:
        style["compare"] = study_from(replace(asked, settings=(*asked.settings, *comparing)))
    try:
        data = figure_file(study, kind, form, quantities=quantities, **style)
    except NotDrawn as refused:
        raise BadInput(str(refused)) from refused
    write_atomically(output, data)
    if asked.json:
        print_json({"file": output, "kind": kind, "title": study.title, "model": study.model})
    else:
        click.echo(f"{output}: {kind} of {study.title or asked.sheet}, model {study.model}.")
