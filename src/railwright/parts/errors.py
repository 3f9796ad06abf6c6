"""What can be wrong with a part file or a part's name, said so that its writer can mend it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

LONGEST_SHOWN = 60  # characters of a reader's own word that fit into a sentence
MOST_NEAR = 3  # near misses in one sentence; more is a list that nobody reads


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFault:
    """One thing that is wrong with a part file."""

    file: str
    problem: str  # a sentence
    line: int | None = None
    key: str = ""  # with dots, positions counted from 1: part.2.leakage
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


class PartError(ValueError):
    """A part file can't be used; `faults` holds all that is wrong with it, in the order of its lines."""

    def __init__(self, faults: Iterable[PartFault]) -> None:
        self.faults: tuple[PartFault, ...] = tuple(faults)
        super().__init__("\n".join(fault.text for fault in self.faults))


class UnknownPart(ValueError):
    """A name that is in no part table.

    Parameters
    ----------
    given : str
        The name that was asked for.
    wanted : str
        What was looked for: "part", "diode", "regulator", "zener diode".
    near : tuple of str
        Names that come near, best first.
    """

    def __init__(self, given: str, wanted: str, near: tuple[str, ...]) -> None:
        self.given, self.wanted, self.near = shown(given), wanted, near
        super().__init__(self.given, wanted, near)

    def __str__(self) -> str:
        """Compose the sentence."""
        remedy = did_you_mean(self.near) or "State its values in the sheet, or search the tables: railwright parts."
        return f'"{self.given}" is the name of no {self.wanted} in the part tables. {remedy}'


class UnsuitablePart(ValueError):
    """A part that is in the tables, but can't give what is asked of it.

    Parameters
    ----------
    given : str
        The part's name.
    reason : str
        Why not: the end of a sentence that starts with the name.
    remedy : str
        What to do instead: a sentence of its own.
    """

    def __init__(self, given: str, reason: str, remedy: str) -> None:
        self.given, self.reason, self.remedy = shown(given), reason, remedy
        super().__init__(self.given, reason, remedy)

    def __str__(self) -> str:
        """Compose the sentence."""
        return f'"{self.given}" {self.reason}. {self.remedy}'


def shown(given: object) -> str:
    """A reader's own word, cut to what fits into a sentence, every character printable."""
    text = given if isinstance(given, str) else f"a {type(given).__name__}"
    if len(text) > LONGEST_SHOWN:
        text = text[: LONGEST_SHOWN - 1] + "…"
    return "".join(letter if letter.isprintable() else "?" for letter in text)


def near_names(given: str, known: Iterable[str]) -> tuple[str, ...]:
    """The known names nearest to the one given, best first; capitals don't count."""
    folded = {name.casefold(): name for name in known}
    wanted = " ".join(given[:LONGEST_SHOWN].casefold().split())
    near = difflib.get_close_matches(wanted, folded, n=MOST_NEAR, cutoff=0.65)
    if len(wanted) >= MOST_NEAR:
        # "317" is far from the whole name that holds it, letter by letter.
        near += [name for name in folded if wanted in name and name not in near]
    return tuple(folded[name] for name in near[:MOST_NEAR])


def did_you_mean(near: tuple[str, ...]) -> str:
    """The question that names the nearest words, or "" if there is none."""
    return f"Did you mean {' or '.join(f'{chr(34)}{name}{chr(34)}' for name in near)}?" if near else ""
