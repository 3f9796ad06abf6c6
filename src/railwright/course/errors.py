"""What can be wrong with a course file, said so that its writer can mend it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

LONGEST_SHOWN = 60  # characters of a reader's own word that fit into a sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseFault:
    """One thing that is wrong with a course file."""

    file: str
    problem: str  # a sentence
    line: int | None = None
    key: str = ""  # with dots and positions counted from 1: ripple_formula.2
    given: str = ""
    allowed: str = ""
    remedy: str = ""  # a sentence

    @property
    def text(self) -> str:
        """The whole sentence: place, problem, what is allowed, what to do."""
        place = f"{self.file}, line {self.line}" if self.line else self.file
        place = f"{place}, {self.key}" if self.key else place
        allowed = f"Allowed: {self.allowed}." if self.allowed else ""
        return " ".join(piece for piece in (f"{place}: {self.problem}", allowed, self.remedy) if piece)

    def __str__(self) -> str:
        return self.text


class CourseError(ValueError):
    """A course can't be used; `faults` holds all that is wrong with it, in the order of its lines."""

    def __init__(self, faults: Iterable[CourseFault]) -> None:
        self.faults: tuple[CourseFault, ...] = tuple(faults)
        super().__init__("\n".join(fault.text for fault in self.faults))


def shown(given: object) -> str:
    """A reader's own word, cut to what fits into a sentence, every character printable."""
    if isinstance(given, bool):
        return "true" if given else "false"
    if isinstance(given, dict):
        return "a table"
    if isinstance(given, list):
        return "a list"
    try:
        text = given if isinstance(given, str) else str(given)
    except ValueError:  # the interpreter writes no integer of several thousand digits
        return "a very long number"
    if len(text) > LONGEST_SHOWN:
        text = text[: LONGEST_SHOWN - 1] + "…"
    return "".join(letter if letter.isprintable() else "?" for letter in text)


def quoted(given: object) -> str:
    """The same, in quotes where the file has quotes."""
    return f'"{shown(given)}"' if isinstance(given, str) else shown(given)


def did_you_mean(given: str, known: Iterable[str]) -> str:
    """The question that names the nearest known words, or "" if none is near."""
    folded = {name.casefold(): name for name in known}
    near = difflib.get_close_matches(given[:LONGEST_SHOWN].casefold(), folded, n=2, cutoff=0.6)
    return "Did you mean " + " or ".join(f'"{folded[name]}"' for name in near) + "?" if near else ""
