"""`railwright new`: a sheet to start from."""

from __future__ import annotations

import difflib
from pathlib import Path
from typing import TYPE_CHECKING

import click

from railwright.cli.failures import BadInput

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

_FIRST_EXAMPLE = "signal-lamp"


@click.command(short_help="A sheet to start from.")
@click.argument("name")
@click.option("--from", "example", metavar="EXAMPLE", help="The harbour supply to copy (default: signal-lamp).")
def new(name: str, example: str | None) -> None:
    """Write NAME.toml, a sheet to start from: a copy of one of the harbour's supplies.

    A file that is there already is never overwritten.
    """
    from railwright.jobs import write_atomically

    path = Path(name if name.endswith(".toml") else f"{name}.toml")
    if path.exists():
        raise BadInput(f"{path} is there already and stays as it is. Choose another name, or move that file away.")
    text = _example(example or _FIRST_EXAMPLE).read_text(encoding="utf-8")
    write_atomically(path, text)
    click.echo(f"{path} is there. Change it in any text editor, then: railwright solve {path}")


def _example(name: str) -> Traversable:
    wanted = name.removesuffix(".toml")
    examples = {
        entry.name.removesuffix(".toml"): entry for entry in _folder().iterdir() if entry.name.endswith(".toml")
    }
    if wanted not in examples:
        near = difflib.get_close_matches(wanted, examples, n=1, cutoff=0.5)
        meant = f' Did you mean "{near[0]}"?' if near else ""
        raise BadInput(f'There is no example "{name}".{meant} There are: {", ".join(sorted(examples))}.')
    return examples[wanted]


def _folder() -> Traversable:
    from importlib.resources import files

    packaged = files("railwright") / "examples" / "supplies"
    if packaged.is_dir():
        return packaged
    # A working copy: only a built wheel carries the examples inside the package.
    return Path(__file__).resolve().parents[3] / "examples" / "supplies"
