"""Written things made from a solved supply: the working by hand and the pages that carry it."""

from __future__ import annotations

from railwright.documents.working import work
from railwright.documents.working_steps import Section, Step, Worked, Working

__all__ = ["Section", "Step", "Worked", "Working", "work"]
