"""What proofreading has to say: findings, each with its line, and the verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final, Literal

Severity = Literal["error", "warning", "note"]

#: The kinds that are errors; `approximation` is a note, and every other kind is a misconception: a warning.
ERROR_KINDS: Final = ("arithmetic", "rounding", "unit", "prefix", "value changed", "against sheet", "bound broken")
_ORDER: Final[Mapping[str, int]] = MappingProxyType({"error": 0, "warning": 1, "note": 2})


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing found: where, what was written, what was expected, and why, in a sentence."""

    line: int
    given: str
    expected: str
    kind: str
    text: str

    @property
    def severity(self) -> Severity:
        """By its kind."""
        if self.kind in ERROR_KINDS:
            return "error"
        return "note" if self.kind == "approximation" else "warning"

    def to_json(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "line": self.line,
            "given": self.given,
            "expected": self.expected,
            "kind": self.kind,
            "severity": self.severity,
            "text": self.text,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """A line that looks like an equation but wasn't read, and why."""

    line: int
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Proofreading:
    """The findings of one text, in the order of its lines."""

    findings: tuple[Finding, ...]
    unread: tuple[Unread, ...] = ()
    equations: int = 0  # how many were read

    def __post_init__(self) -> None:
        """Sort by line; on one line errors come first."""
        ordered = sorted(self.findings, key=lambda f: (f.line, _ORDER[f.severity]))
        object.__setattr__(self, "findings", tuple(ordered))

    @property
    def has_errors(self) -> bool:
        """Whether an error was found: warnings and notes leave the notes usable."""
        return any(finding.severity == "error" for finding in self.findings)

    def count(self, severity: Severity) -> int:
        """How many findings there are of a severity."""
        return sum(finding.severity == severity for finding in self.findings)

    @property
    def summary(self) -> str:
        """Which lines weren't read, in a sentence; empty where all were."""
        lines = list(dict.fromkeys(unread.line for unread in self.unread))
        if not lines:
            return ""
        shown = ", ".join(str(line) for line in lines[:20]) + (", …" if len(lines) > 20 else "")
        reasons = dict.fromkeys(unread.why for unread in self.unread)
        return f"{len(lines)} line{'s' * (len(lines) != 1)} not read: {shown} ({'; '.join(list(reasons)[:3])})."

    @property
    def verdict(self) -> str:
        """One sentence."""
        if not self.equations:
            return "No worked line was found: a line such as Vp = 12 V * 1.414 = 16.97 V is one."
        read = f"{self.equations} worked line{'s' * (self.equations != 1)} read"
        if not self.findings:
            return f"{read}: no slip found."
        parts = [
            f"{self.count(severity)} {severity}{'s' * (self.count(severity) != 1)}"
            for severity in ("error", "warning", "note")
            if self.count(severity)
        ]
        listed = parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + " and " + parts[-1]
        end = "put the errors right before the notes are used." if self.has_errors else "no error."
        return f"{read}: {listed}; {end}"

    def to_json(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "findings": [finding.to_json() for finding in self.findings],
            "not_read": [{"line": unread.line, "why": unread.why} for unread in self.unread],
        }
