"""`railwright table` and `railwright find`: readings over one key of the sheet, and the inverse question."""

from __future__ import annotations

import sys

import click

from railwright.cli.failures import NO, BadInput
from railwright.cli.options import (
    DECIMAL_SIGN,
    Asked,
    check_readings,
    decimal_sign,
    in_course,
    print_json,
    solving,
    supply_from,
)

_FORMATS = (".csv", ".svg")


@click.command(short_help="Readings over one key: a load characteristic, ripple against capacitance.")
@solving
@click.argument("readings", nargs=-1, metavar="READING...", required=True)
@click.option("--over", metavar="KEY=FROM..TO", required=True, help="The key and its span: load.current=0A..1A.")
@click.option("--points", type=click.IntRange(2, 2001), default=11, show_default=True, help="How many values.")
@click.option("-o", "output", metavar="F.csv|F.svg", help="Write the table, or a figure of it, to a file.")
@in_course(None, DECIMAL_SIGN)
def table(
    asked: Asked, readings: tuple[str, ...], over: str, points: int, output: str | None, course_name: str | None
) -> None:
    """Solve SHEET at evenly spaced values of one key, both ends included, and list the READINGs."""
    from railwright.cli.terminal import quantity, show_columns
    from railwright.jobs import write_atomically
    from railwright.variation.keys import varied_key
    from railwright.variation.table import evenly_spaced, tabulate

    path, equals, span = over.partition("=")
    if not equals or ".." not in span:
        raise BadInput(f'--over "{over}": write the key and its span, such as --over load.current=0A..1A.')
    if output is not None and not output.lower().endswith(_FORMATS):
        raise BadInput(f"-o {output}: a table is written as .csv, its figure as .svg. Name a file that ends in one.")
    decimal = decimal_sign(course_name)
    supply = supply_from(asked)
    check_readings(supply, readings)
    key = varied_key(supply, path.strip())
    values = evenly_spaced(*key.span(span), points)
    # Hidden where nobody watches: in a file or a pipe it would be noise.
    with click.progressbar(length=points, label="Solving", file=sys.stderr, hidden=not sys.stderr.isatty()) as bar:
        result = tabulate(
            supply, over=key, values=values, readings=readings, model=asked.model, progress=lambda _: bar.update(1)
        )
    for reason in result.reasons:
        click.echo(reason, err=True)
    if output is not None:
        from railwright.jobs import table_figure

        write_atomically(output, result.to_csv() if output.lower().endswith(".csv") else table_figure(result))
    if asked.json:
        print_json(result.to_json())
    elif output is not None:
        click.echo(f"{output}: {points} values of {result.over}, model {result.model}.")
    else:
        units = result.reading_units
        rows = (
            [
                quantity(value, result.unit, decimal),
                *(quantity(column[row], units[name], decimal) for name, column in result.readings.items()),
            ]
            for row, value in enumerate(result.values)
        )
        show_columns([result.over, *result.readings], rows)
        click.echo(f"Model: {result.model}.")


@click.command(short_help="The inverse question: which value of a key gives the wanted reading.")
@solving
@click.argument("key")
@click.option(
    "--so-that",
    "condition",
    metavar="CONDITION",
    required=True,
    help='What is wanted: "load.voltage.ripple_peak_to_peak <= 2 V" (or >=, or =).',
)
@in_course(None, DECIMAL_SIGN)
@click.pass_context
def find(context: click.Context, asked: Asked, key: str, condition: str, course_name: str | None) -> None:
    """Find the value of a sheet KEY that brings a reading of SHEET to where it is wanted.

    The answer is the value on the boundary of the condition that is nearest to the present one; for a capacitor or
    resistor the standard values below and above come with it. If no value will do, the exit code is 1.
    """
    from railwright.cli.terminal import quantity
    from railwright.variation.find import find as search
    from railwright.variation.find import read_aim
    from railwright.variation.keys import varied_key

    decimal = decimal_sign(course_name)
    aim = read_aim(condition)
    supply = supply_from(asked)
    check_readings(supply, [aim.reading])
    found = search(supply, varied_key(supply, key), aim, model=asked.model)
    if asked.json:
        print_json(found.to_json())
    elif found.value is None:
        click.echo(f"Nothing fits. {found.reason}")
    else:
        at = f"{aim.reading} is {quantity(found.reading, aim.unit, decimal)}"
        click.echo(f"{found.key} = {quantity(found.value, found.unit, decimal)}: {at}, model {found.model}.")
        if found.below is not None and found.above is not None:
            below, above = quantity(found.below, found.unit, decimal), quantity(found.above, found.unit, decimal)
            click.echo(f"Standard values ({found.series}): {below} below, {above} above.")
    if found.note:
        click.echo(found.note, err=asked.json)
    if found.value is None:
        context.exit(NO)
