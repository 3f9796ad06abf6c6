"""`railwright serve`: the local app, in the browser."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from railwright.web.session import Session

_HIGHEST_PORT = 65535


@click.command(short_help="The local app: everything in the browser, on this machine alone.")
@click.option(
    "--port",
    type=click.IntRange(0, _HIGHEST_PORT),
    metavar="N",
    help="The port to listen on; 8437, or the next that is free, if unsaid. 0 takes any free one.",
)
@click.option("--browser/--no-browser", default=True, help="Whether to open the page in the browser.")
def serve(port: int | None, browser: bool) -> None:
    """Open the local app: choose a circuit, type three values, see and print the lesson.

    It listens on this machine alone. The address that is printed carries a token, made anew at each start: without it
    nobody else on the machine can use the app. Stop it with Ctrl-C.
    """
    from railwright.cli.failures import BadInput
    from railwright.figures.export import MissingExtra

    try:
        from railwright.web.server import PortTaken
        from railwright.web.server import serve as run
    except ModuleNotFoundError as missing:
        raise _missing(missing) from missing
    try:
        run(port, announce=_announce, browser=browser)
    except PortTaken as taken:
        raise BadInput(str(taken)) from taken
    except ModuleNotFoundError as missing:
        raise _missing(missing) from missing
    except MissingExtra as missing_extra:
        raise BadInput(str(missing_extra)) from missing_extra


def _missing(missing: ModuleNotFoundError) -> Exception:
    from railwright.figures.export import MissingExtra

    if missing.name in ("starlette", "uvicorn", "tomlkit"):
        return MissingExtra(what="The local app", extra="web")
    return missing


def _announce(session: Session) -> None:
    # The address alone on its line, so that a program that starts the app can read it.
    click.echo(session.address)
    click.echo("The app is open at this address, on this machine alone. Stop it with Ctrl-C.", err=True)
