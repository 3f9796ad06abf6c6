"""What is wrong with a sheet, said so that its writer can mend it: place, given, allowed, remedy."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field

#: Longer words are cut before they are compared or shown: nobody reads them, and comparing is slow.
LONGEST_SHOWN = 60
#: From this many faults on, no more near misses are looked for: the reader has enough to do.
ENOUGH_FAULTS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFault:
    """One thing that is wrong with a sheet."""

    file: str
    problem: str
    line: int | str | None = None  # a number; "set" or "fault" for a change asked for from outside; None: unknown
    key: str = ""  # with dots and positions: filter.1.capacitor
    given: str = ""
    allowed: str = ""
    remedy: str = ""

    @property
    def place(self) -> str:
        """Where to look: file, line, key."""
        if isinstance(self.line, int):
            where = f"{self.file}, line {self.line}"
        elif self.line:
            where = f"{self.file}, {self.line}"
        else:
            where = self.file
        return f"{where}, {self.key}" if self.key else where

    @property
    def text(self) -> str:
        """The whole sentence."""
        parts = [f"{self.place}: {self.problem}"]
        if self.allowed:
            parts.append(f"Allowed: {self.allowed}.")
        if self.remedy:
            parts.append(self.remedy)
        return " ".join(parts)

    def __str__(self) -> str:
        return self.text


class SheetError(ValueError):
    """A sheet (or a change to one) can't be used; `faults` holds all that is wrong with it."""

    def __init__(self, faults: Iterable[SheetFault]) -> None:
        self.faults: tuple[SheetFault, ...] = tuple(faults)
        super().__init__("\n".join(fault.text for fault in self.faults))


@dataclass(slots=True)
class FaultList:
    """Gathers the faults and notes of one reading, so that all are told at once."""

    file: str
    lines: dict[tuple[str | int, ...], int | str]
    place: str = ""  # instead of a line number: "set", "fault"
    faults: list[SheetFault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def line_of(self, path: tuple[str | int, ...]) -> int | str | None:
        """The line of a key, else of the nearest table around it."""
        while path:
            if path in self.lines:
                return self.lines[path]
            path = path[:-1]
        return self.place or None

    def add(
        self, path: tuple[str | int, ...], problem: str, *, given: object = "", allowed: str = "", remedy: str = ""
    ) -> None:
        """Write down one fault at the key `path`."""
        self.faults.append(
            SheetFault(
                file=self.file,
                line=self.line_of(path),
                key=dotted(path),
                problem=problem,
                given=given if isinstance(given, str) else as_written(given),
                allowed=allowed,
                remedy=remedy,
            )
        )

    def in_order(self) -> list[SheetFault]:
        """The faults in the order of the sheet's lines; those without a line first."""
        return sorted(self.faults, key=lambda fault: fault.line if isinstance(fault.line, int) else 0)

    def near(self, word: str, known: Iterable[str]) -> str:
        """`Did you mean "capacitor"?`, or nothing if no known word is near (or enough has been said)."""
        return "" if len(self.faults) > ENOUGH_FAULTS else near_miss(word, known)

    def note(self, sentence: str) -> None:
        """Keep a warning that doesn't stop the reading; the same sentence only once."""
        if sentence not in self.notes:
            self.notes.append(sentence)


def dotted(path: tuple[str | int, ...]) -> str:
    """A key path as it is written for `--set`: dots and positions counted from 1."""
    return ".".join(shown(str(step)) for step in path)


def near_miss(word: str, known: Iterable[str]) -> str:
    """The question that names the nearest known words, or "" if none is near."""
    by_lower_case = {name.lower(): name for name in known}
    near = difflib.get_close_matches(word[:LONGEST_SHOWN].lower(), by_lower_case, n=2, cutoff=0.6)
    if not near:
        return ""
    return "Did you mean " + " or ".join(f'"{by_lower_case[name]}"' for name in near) + "?"


def shown(word: str) -> str:
    """A word of the reader's, cut to what fits into a sentence."""
    printable = "".join(letter if letter.isprintable() else "?" for letter in word[: LONGEST_SHOWN + 1])
    return printable if len(printable) <= LONGEST_SHOWN else printable[:LONGEST_SHOWN] + "…"


def as_written(value: object) -> str:
    """A value of the sheet roughly as TOML writes it, short enough for a sentence."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return shown(value)
    if isinstance(value, dict):
        return "a table" if value else "an empty table"
    if isinstance(value, (list, tuple)):
        return "a list" if value else "an empty list"
    if isinstance(value, int) and abs(value) >= 10**LONGEST_SHOWN:
        return "a very long number"
    return shown(str(value))


def quoted(value: object) -> str:
    """The same in quotes where the sheet has quotes."""
    return f'"{as_written(value)}"' if isinstance(value, str) else as_written(value)


def listed(words: Iterable[str]) -> str:
    """Words with commas between them, each only once."""
    return ", ".join(dict.fromkeys(words))
