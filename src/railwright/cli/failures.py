"""What a command says, and the exit code it ends with, when it cannot do what was asked."""

from __future__ import annotations

import errno
import os
import sys
from typing import Any

import click

NO = 1
BAD_INPUT = 2
NOT_PROVED = 3
DEFECT = 4
STOPPED = 130  # the shell's own code for Ctrl-C


#: The errors that the program means to raise, each a sentence: where they are defined, and their exit code.
_MEANT = (
    ("railwright.supply", "SheetError", BAD_INPUT),
    ("railwright.quantities", "QuantityError", BAD_INPUT),
    ("railwright.course", "CourseError", BAD_INPUT),
    ("railwright.handbook", "UnknownFormula", BAD_INPUT),
    ("railwright.variation.find", "NotAnAim", BAD_INPUT),
    ("railwright.variation.keys", "CannotVary", BAD_INPUT),
    ("railwright.figures.export", "MissingExtra", BAD_INPUT),
    ("railwright.jobs", "CannotWrite", BAD_INPUT),
    ("railwright.parts", "PartError", BAD_INPUT),
    ("railwright.parts", "UnknownPart", BAD_INPUT),
    ("railwright.parts", "UnsuitablePart", BAD_INPUT),
    ("railwright.solver", "NoProvableAnswer", NOT_PROVED),
    ("railwright.network", "NotSolvedYet", NOT_PROVED),
)


class BadInput(click.ClickException):
    """Something that was typed or read can't be used; the message says what, what is allowed, and what next."""

    exit_code = BAD_INPUT

    def show(self, file: Any = None) -> None:
        """Print the message on stderr, without click's own heading."""
        click.echo(self.format_message(), file=file, err=file is None)


class Commands(click.Group):
    """The commands, guarded: whatever goes wrong becomes a sentence on stderr and an exit code."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order in which somebody meets them."""
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that was asked for."""
        try:
            return super().invoke(ctx)
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except KeyboardInterrupt:
            click.echo("Stopped. Nothing was half written.", err=True)
            ctx.exit(STOPPED)
        except Exception as error:
            if isinstance(error, OSError) and error.errno == errno.EPIPE:
                # Whoever read our output has seen enough (`railwright … | head`).
                os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
                ctx.exit(0)
            sentence, code = _answer(error)
            click.echo(sentence, err=True)
            ctx.exit(code)


def _answer(error: Exception) -> tuple[str, int]:
    for module, name, code in _MEANT:
        # A module that was never loaded can't have raised anything, and loading it now would cost a second.
        loaded = sys.modules.get(module)
        if loaded is not None and isinstance(error, getattr(loaded, name, ())):
            return str(error), code
    return _defect(error), DEFECT


def _defect(error: Exception) -> str:
    import platform
    import tempfile
    import traceback

    from railwright import __version__

    report = "\n".join(
        [
            f"railwright {__version__}, Python {platform.python_version()}, {platform.platform()}",
            f"command: {sys.argv[1:]}",
            "",
            "".join(traceback.format_exception(error)),
        ]
    )
    begin = f"A defect in railwright, not in what you gave it, stopped this command ({type(error).__name__})."
    try:
        descriptor, path = tempfile.mkstemp(prefix="railwright-report-", suffix=".txt")
        with os.fdopen(descriptor, "w", encoding="utf-8") as stream:
            stream.write(report)
    except OSError:
        return f"{begin} No report could be written."
    return f"{begin} The report to pass on lies in {path}"
