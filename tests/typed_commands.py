"""What comes back from a command that a test has typed."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a command left behind."""

    code: int
    out: str
    err: str

    def json(self) -> Any:
        """The one object on stdout."""
        return json.loads(self.out)


Run = Callable[..., Answer]
