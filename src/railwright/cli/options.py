"""The options that every solving command takes, and the supply that they describe together with the sheet."""

from __future__ import annotations

import functools
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from railwright.cli.failures import BadInput

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.study import Study
    from railwright.supply import Supply

Command = TypeVar("Command", bound=Callable[..., Any])

MODELS = ("ideal", "textbook", "physical")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A sheet and everything that was said about it on the command line."""

    sheet: str
    model: str
    settings: tuple[str, ...]
    faults: tuple[str, ...]
    point: str | None
    corner: str | None
    json: bool


def solving(command: Command) -> Command:
    """Give a command the sheet and the options of all that solve; it gets them as one `Asked`, named `asked`."""
    return _solving_at("textbook", command)


def solving_at_physical(command: Command) -> Command:
    """The same for commands that take the parts as real as they come unless told otherwise."""
    return _solving_at("physical", command)


def _solving_at(model: str, command: Command) -> Command:
    @functools.wraps(command)
    def gathered(**words: Any) -> Any:
        asked = Asked(
            sheet=words.pop("sheet"),
            model=words.pop("model"),
            settings=words.pop("settings"),
            faults=words.pop("faults"),
            point=words.pop("point"),
            corner=words.pop("corner"),
            json=words.pop("as_json"),
        )
        return command(asked=asked, **words)

    options = [
        click.argument("sheet"),
        click.option(
            "--model", type=click.Choice(MODELS), default=model, show_default=True, help="How real the parts are."
        ),
        click.option(
            "--set",
            "settings",
            metavar="KEY=VALUE",
            multiple=True,
            help='A sheet key to change first, such as load.resistance="330 ohm". May repeat.',
        ),
        click.option(
            "--fault", "faults", metavar="WORDS", multiple=True, help='A fault, such as "D2 open". May repeat.'
        ),
        click.option("--point", metavar="NAME", help="A load state: no_load, full_load or a [[point]] of the sheet."),
        click.option("--corner", metavar="NAMES", help='A worst case, such as "mains high, no load".'),
        click.option("--json", "as_json", is_flag=True, help="Print one JSON object and nothing else."),
    ]
    whole: Any = gathered
    for option in reversed(options):
        whole = option(whole)
    return whole  # type: ignore[no-any-return]


def in_course(default: str | None, help: str) -> Callable[[Command], Command]:
    """Give a command the option `--course`; it gets the name of a profile or file as `course_name`."""
    option = click.option(
        "--course", "course_name", metavar="uk|us|F.toml", default=default, show_default=default is not None, help=help
    )
    return option


#: What a course does where nothing is worked by hand.
DECIMAL_SIGN = "The decimal sign of what is printed is this course's; JSON and CSV keep the point."


def decimal_sign(name: str | None) -> str:
    """The decimal sign of a course; a point where none was named."""
    course = course_from(name)
    return "." if course is None else course.decimal


def course_from(name: str | None) -> Course | None:
    """The course of that name: a profile that ships, or a file; None where none was named."""
    if name is None:
        return None
    from railwright.course import read_course

    return read_course(name)


def supply_from(asked: Asked) -> Supply:
    """The supply of the sheet with everything that the command line changes in it."""
    from railwright import supply as supplies

    supply = supplies.read_sheet(existing(asked.sheet))
    changes = {}
    for setting in asked.settings:
        key, equals, value = setting.partition("=")
        if not equals or not key.strip() or not value.strip():
            raise BadInput(
                f'--set "{setting}": write KEY=VALUE, the key as in the sheet: --set "load.resistance=330 ohm".'
            )
        changes[key.strip()] = value.strip()
    if changes:
        # All at once, because some changes only fit together.
        supply = supplies.replace_all(supply, changes)
    if asked.point is not None:
        supply = supplies.at_point(supply, asked.point)
    for words in asked.faults:
        supply = supplies.with_fault(supply, words)
    if asked.corner is not None:
        supply = supplies.at_corner(supply, asked.corner)
    return supply


def check_readings(supply: Supply, names: Iterable[str]) -> None:
    """Refuse a name that isn't on the list of readings, before anything is solved for it."""
    from railwright.readings import UnknownReading, define

    own = [probe.name for probe in supply.probes]
    own += [extra.name for extra in supply.extras]
    own += [element.name for element in supply.elements]
    try:
        for name in names:
            define(name, names=own)
    except UnknownReading as unknown:
        raise BadInput(str(unknown)) from unknown


def study_from(asked: Asked, readings: Iterable[str] = ()) -> Study:
    """The solved supply; `readings` are those that will be asked of it."""
    supply = supply_from(asked)
    check_readings(supply, readings)
    from railwright.study import solve  # after the sheet is found to be right: it brings the whole solver

    study = solve(supply, model=asked.model)
    if asked.json:
        # stdout carries the object alone; what the supply has to say still reaches whoever looks.
        for note in dict.fromkeys((*supply.notes, *study.notes)):
            click.echo(note, err=True)
    return study


def existing(sheet: str) -> Path:
    """The path of a sheet that is there to be read."""
    path = Path(sheet)
    if path.is_dir():
        raise BadInput(f"{sheet} is a folder. Name the sheet in it: a file such as {path / 'supply.toml'}.")
    if not path.exists():
        near = f" There is a {sheet}.toml." if Path(f"{sheet}.toml").exists() else ""
        raise BadInput(f"{sheet}: there is no such file.{near} To make a sheet to start from: railwright new NAME")
    return path


def print_json(data: Mapping[str, Any]) -> None:
    """Print one JSON object, and nothing else, on stdout."""
    # allow_nan=False: a NaN that reached this place is a defect, and no JSON.
    click.echo(json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False))
