"""What all tests share: where the project lies, and a calm hypothesis."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import settings

# A busy machine is no reason to fail a law; the same examples every time are a reason to trust a pass.
settings.register_profile("house", deadline=None, derandomize=True)
settings.load_profile("house")

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def root() -> Path:
    """The project's folder."""
    return ROOT
