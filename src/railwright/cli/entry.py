"""The program `railwright`: the list of its commands, and its way in."""

from __future__ import annotations

import sys
from collections.abc import Sequence

import click

from railwright import __version__
from railwright.cli.failures import Commands
from railwright.cli.handbook import formulas
from railwright.cli.lessons import lesson
from railwright.cli.packs import packs
from railwright.cli.pictures import figure
from railwright.cli.proofreading import proofread
from railwright.cli.questions import find, table
from railwright.cli.serving import serve
from railwright.cli.sheets import new
from railwright.cli.solving import solve, waveforms
from railwright.cli.switching import discharge, inrush
from railwright.cli.working import work

_CAUTION = (
    "Mains voltage kills, and a charged capacitor bites after the plug is out. What is printed here describes a "
    "circuit; it is no leave to build one. Work on the mains side belongs to qualified people, under local codes."
)


@click.group(cls=Commands, epilog=_CAUTION, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="railwright %(version)s")
def railwright() -> None:
    """From the wall outlet to a clean DC rail: readings by hand and computed, side by side, from one sheet.

    Start with: railwright new first, then: railwright solve first.toml
    """


for _command in (new, solve, waveforms, table, find, inrush, discharge, work, proofread, figure, lesson, formulas):
    railwright.add_command(_command)
railwright.add_command(packs)
railwright.add_command(serve)


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    0 done; 1 the answer is 'no'; 2 bad input; 3 no answer that can be proved; 4 a defect in the program.
    """
    for stream in (sys.stdout, sys.stderr):
        # Ω and µ must not depend on the machine's language.
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(encoding="utf-8", errors="replace")
    try:
        railwright.main(args=None if arguments is None else list(arguments), prog_name="railwright")
    except SystemExit as ending:
        return ending.code if isinstance(ending.code, int) else 0
    return 0
