"""How far long work is, on a terminal: a bar on stderr that is gone when the work is done."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from railwright.jobs import Report

__all__ = ["shown_progress"]


@contextlib.contextmanager
def shown_progress() -> Iterator[Report | None]:
    """A report that moves a bar, or None where stderr is no terminal and nobody looks."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

    screen = Console(stderr=True, highlight=False, markup=False, emoji=False, legacy_windows=False)
    words = TextColumn("{task.description}", markup=False)
    with Progress(BarColumn(), TaskProgressColumn(), words, console=screen, transient=True) as bar:
        task = bar.add_task("", total=1.0)

        def report(done: float, doing: str) -> None:
            bar.update(task, completed=done, description=doing)

        yield report
