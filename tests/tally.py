"""What a run of the tests wants said at its end: how many outside checks were held, how many wait.

A test hands its line to pytest's own ``record_property`` under `NAME`; that travels with the test's report, so it
also arrives from the workers of a parallel run. The run's summary prints `lines`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

#: The property under which a test reports its line.
NAME = "tally"


def report(record_property: Callable[[str, object], None], line: str) -> None:
    """Have one line printed at the end of the run. `record_property` is pytest's fixture of that name."""
    record_property(NAME, line)


def lines(terminal_reporter: Any) -> list[str]:
    """The lines of all tests that passed, in the order of their reports."""
    reports = terminal_reporter.stats.get("passed", [])
    return [str(value) for each in reports for name, value in each.user_properties if name == NAME]
