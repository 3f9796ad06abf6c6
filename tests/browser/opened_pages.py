"""A page that a test has opened in the browser, and the way to open one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any


@dataclass
class Opened:
    """A page in the browser, what it asked of the network, and what went wrong in it."""

    page: Any
    requests: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


Open = Callable[..., Opened]
