"""`railwright formulas`: the handbook, searched, shown, and worked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click

from railwright.cli.failures import BadInput
from railwright.cli.options import print_json

if TYPE_CHECKING:
    from railwright.handbook.formula import Formula, Symbol


@click.command(short_help="The handbook's formulas: search them, or work one.")
@click.argument("words", nargs=-1)
@click.option(
    "--with",
    "given",
    metavar="NAME=VALUE",
    multiple=True,
    help='A quantity of the formula, in SI or with its unit: load_current=0.15, or load_current="150 mA". May repeat.',
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object and nothing else.")
def formulas(words: tuple[str, ...], given: tuple[str, ...], as_json: bool) -> None:
    """List the formulas that hold all WORDS; with one formula's id, show it; with its quantities too, work it.

    After one --with further NAME=VALUE words may follow plainly.
    """
    from railwright import handbook

    given = (*given, *(word for word in words if "=" in word))
    words = tuple(word for word in words if "=" not in word)
    one = handbook.formulas().get(words[0]) if len(words) == 1 else None
    if given and one is None:
        if len(words) != 1:
            raise BadInput("--with works one formula, named by its id: railwright formulas ID --with NAME=VALUE")
        handbook.look_up(words[0])  # raises, with the nearest ids
    if one is None:
        _show_list(words, handbook.find(" ".join(words)), as_json)
    elif given or all(symbol.optional for symbol in one.quantities):
        _work(one, _values(one, given), as_json)
    elif as_json:
        print_json(_described(one))
    else:
        _show(one)


def _values(formula: Formula, given: tuple[str, ...]) -> dict[str, float]:
    symbols = {symbol.name: symbol for symbol in formula.quantities}
    values = {}
    for pair in given:
        name, equals, text = pair.partition("=")
        name, text = name.strip(), text.strip()
        if not equals or not text:
            raise BadInput(f'--with "{pair}": write NAME=VALUE, such as --with load_current=0.15.')
        values[name] = _value(text, symbols.get(name))
    return values


def _value(text: str, symbol: Symbol | None) -> float:
    try:
        return float(text)
    except ValueError:
        pass
    from railwright.quantities import read_quantity

    return read_quantity(text, "1" if symbol is None else symbol.unit).value


def _work(formula: Formula, values: dict[str, float], as_json: bool) -> None:
    from railwright.cli.terminal import quantity
    from railwright.handbook import evaluate

    try:
        worked = evaluate(formula.id, values)
    except ValueError as fault:
        raise BadInput(str(fault)) from fault
    if as_json:
        print_json(worked)
        return
    click.echo(f"{formula.title}: {formula.result.name} = {quantity(formula.value(**values), formula.unit)}")
    if not worked["valid"]:
        click.echo(f"Beyond its range. {formula.validity.sentence}")
    _show_grounds(formula)


def _show(formula: Formula) -> None:
    click.echo(f"{formula.id}: {formula.title}")
    click.echo(f"  {formula.statement}")
    for symbol in (*formula.quantities, formula.result):
        unit = "" if symbol.unit == "1" else f" [{symbol.unit}]"
        optional = " (may be left out)" if symbol.optional else ""
        click.echo(f"  {symbol.name}{unit}: {symbol.meaning}{optional}")
    _show_grounds(formula)


def _show_grounds(formula: Formula) -> None:
    for sentence in formula.assumes:
        click.echo(f"  {sentence}")
    click.echo(f"  Source: {formula.source}")


def _show_list(words: tuple[str, ...], found: Sequence[Formula], as_json: bool) -> None:
    if as_json:
        print_json({"formulas": [_described(formula) for formula in found]})
        return
    if not found:
        click.echo(f"No formula holds {' and '.join(words)}. Without words, all are listed.")
        return
    width = max(len(formula.id) for formula in found)
    for formula in found:
        click.echo(f"{formula.id:<{width}}  {formula.title}")
    click.echo("To see one: railwright formulas ID")


def _described(formula: Formula) -> dict[str, Any]:
    return {
        "id": formula.id,
        "title": formula.title,
        "statement": formula.statement,
        "quantities": [
            {"name": symbol.name, "unit": symbol.unit, "meaning": symbol.meaning, "optional": symbol.optional}
            for symbol in formula.quantities
        ],
        "unit": formula.unit,
        "readings": list(formula.readings),
        "assumes": list(formula.assumes),
        "source": str(formula.source),
    }
