"""What all tests share: where the project lies, and a calm hypothesis."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import settings

import tally

# A busy machine is no reason to fail a law; the same examples every time are a reason to trust a pass.
settings.register_profile("house", deadline=None, derandomize=True)
settings.load_profile("house")

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def root() -> Path:
    """The project's folder."""
    return ROOT


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how many published values were held, and which wait."""
    for line in tally.lines(terminalreporter):
        terminalreporter.write_line(line)
