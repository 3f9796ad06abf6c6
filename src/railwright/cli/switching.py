"""`railwright inrush` and `railwright discharge`: what happens after switch-on, and after switch-off."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import click

from railwright.cli.options import (
    DECIMAL_SIGN,
    Asked,
    decimal_sign,
    in_course,
    print_json,
    solving_at_physical,
    supply_from,
)

if TYPE_CHECKING:
    from railwright.readings import Reading


@click.command(short_help="From switch-on at the worst angle: peak currents, heat, settling.")
@solving_at_physical
@in_course(None, DECIMAL_SIGN)
def inrush(asked: Asked, course_name: str | None) -> None:
    """Switch SHEET on at the angle of the mains that draws the largest current.

    Capacitors start empty, or as the sheet's [initial] says.
    """
    from railwright.study import start_up

    decimal = decimal_sign(course_name)
    found = start_up(supply_from(asked), asked.model)
    if asked.json:
        print_json(found.to_json())
        return
    _heading(found.title, found.model)
    _show(found.readings, decimal)
    _notes(found.notes)


@click.command(short_help="After switch-off: how long the capacitors stay dangerous.")
@solving_at_physical
@click.option("--to", "to", metavar="VOLTAGE", default="10 V", show_default=True, help="The voltage to fall below.")
@in_course(None, DECIMAL_SIGN)
def discharge(asked: Asked, to: str, course_name: str | None) -> None:
    """Unplug SHEET at the peak of its capacitors (or from [initial]); the worse of load on and load off."""
    from railwright.cli.failures import BadInput
    from railwright.quantities import read_quantity
    from railwright.study import discharge as fall

    decimal = decimal_sign(course_name)
    level = read_quantity(to, "V").value
    if level <= 0.0:
        raise BadInput(f'--to "{to}": the voltage must be above 0. Write for example --to "5 V".')
    found = fall(supply_from(asked), asked.model, to=level)
    if asked.json:
        print_json(found.to_json())
        return
    _heading(found.title, found.model)
    _show(found.readings, decimal)
    _notes(found.notes)
    click.echo()
    click.echo("Caution: a computed time is no measurement. Discharge through a resistor, never a tool, and measure")
    click.echo("before touching: a bleeder or a lead may have failed. Local codes prevail.")


def _heading(title: str, model: str) -> None:
    click.echo(title or "A supply without a title")
    click.echo(f"Model: {model}.")
    click.echo()


def _show(readings: Mapping[str, Reading], decimal: str) -> None:
    from railwright.quantities import format_quantity

    width = max(len(name) for name in readings)
    for name, reading in readings.items():
        shown = f"none. {reading.reason}"
        if reading.value is not None:
            shown = format_quantity(reading.value, reading.unit, decimal=decimal)
        click.echo(f"{name:<{width}}  {shown}")


def _notes(notes: tuple[str, ...]) -> None:
    if notes:
        click.echo()
    for note in notes:
        click.echo(note)
