"""Marks tests of what the solver declines so far: they must be declined, and must fail the day they are not."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

import pytest

from railwright.network import NotSolvedYet

#: Only NotSolvedYet counts as waiting; any other failure, and an answer, fail the test.
WAITS = pytest.mark.xfail(raises=NotSolvedYet, strict=True, reason="the solver says that it can't solve this yet")


def marked(names: Iterable[str], waiting: Collection[str]) -> list[Any]:
    """The names as parameters of a test, those that wait marked."""
    return [pytest.param(name, marks=WAITS) if name in waiting else name for name in names]
