"""Finds the line on which each key of a sheet stands.

The standard library's TOML reader gives the values and says nothing about places. This one reads the same text
once more for the places only, and trusts that the text is valid: it is called after the other has agreed.
Positions in lists count from 1, as in `filter.1.capacitor`.
"""

from __future__ import annotations

import bisect
import re
from typing import Final

Path = tuple[str | int, ...]

_BARE_KEY: Final = re.compile(r"[A-Za-z0-9_-]+")
_BLANK: Final = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE: Final = re.compile(r"[ \t]*")
_SCALAR: Final = re.compile(r"[^,\]}\n#]*")
_LINE_REST: Final = re.compile(r"[^\n]*")
_BASIC: Final = re.compile(r'"(?:[^"\\]|\\.)*"')
_LITERAL: Final = re.compile(r"'[^']*'")
_BASIC_BLOCK: Final = re.compile(r'"""(?:[^"\\]|\\.|"(?!""))*"""+', re.DOTALL)
_LITERAL_BLOCK: Final = re.compile(r"'''(?:[^']|'(?!''))*'''+", re.DOTALL)
_ESCAPE: Final = re.compile(r"\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|(.))")
_ESCAPED: Final = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", '"': '"', "\\": "\\"}


def key_lines(text: str) -> dict[Path, int]:
    """The line of every key and every list item of a valid TOML text, counted from 1.

    A table header counts as the place of its table; of a table that is named several times, the first.

    >>> key_lines('[mains]\\nvoltage = "230 V"\\n')
    {('mains',): 1, ('mains', 'voltage'): 2}
    """
    return _Walk(text.replace("\r\n", "\n")).document()


class _Walk:
    """One walk through the text; `at` is where it has got to."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.found: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}  # tables written so far of each [[list]]
        self.starts = [0, *(match.end() for match in re.finditer("\n", text))]

    def document(self) -> dict[Path, int]:
        table: Path = ()
        self.skip(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.pair(table)
            self.skip(_LINE_REST)
            self.skip(_BLANK)
        return self.found

    def header(self) -> Path:
        line = self.line()
        several = self.text.startswith("[[", self.at)
        self.at += 2 if several else 1
        names = self.key()
        *outer, last = names
        path: Path = ()
        for name in outer:
            path = (*path, name)
            self.found.setdefault(path, line)
            path = self.newest(path)
        path = (*path, last)
        self.found.setdefault(path, line)
        if several:
            self.counts[path] = self.counts.get(path, 0) + 1
            path = (*path, self.counts[path])
            self.found.setdefault(path, line)
        return path

    def newest(self, path: Path) -> Path:
        """Below a [[list]], keys belong to its newest table."""
        return (*path, self.counts[path]) if path in self.counts else path

    def pair(self, table: Path) -> None:
        line = self.line()
        path = table
        for name in self.key():
            path = (*path, name)
            self.found.setdefault(path, line)
        self.skip(_SPACE)
        self.at += 1  # the equals sign
        self.skip(_SPACE)
        self.value(path)

    def key(self) -> list[str]:
        names = []
        while True:
            self.skip(_SPACE)
            names.append(self.name())
            self.skip(_SPACE)
            if not self.text.startswith(".", self.at):
                return names
            self.at += 1

    def name(self) -> str:
        first = self.text[self.at]
        if first == '"':
            return _ESCAPE.sub(_unescape, self.take(_BASIC)[1:-1])
        if first == "'":
            return self.take(_LITERAL)[1:-1]
        return self.take(_BARE_KEY)

    def value(self, path: Path) -> None:
        rest = self.text[self.at : self.at + 3]
        if rest == '"""':
            self.take(_BASIC_BLOCK)
        elif rest == "'''":
            self.take(_LITERAL_BLOCK)
        elif rest.startswith('"'):
            self.take(_BASIC)
        elif rest.startswith("'"):
            self.take(_LITERAL)
        elif rest.startswith("["):
            self.items(path)
        elif rest.startswith("{"):
            self.inline_table(path)
        else:
            self.skip(_SCALAR)

    def items(self, path: Path) -> None:
        self.at += 1
        position = 0
        while True:
            self.skip(_BLANK)
            if self.text[self.at] == "]":
                self.at += 1
                return
            position += 1
            item = (*path, position)
            self.found.setdefault(item, self.line())
            self.value(item)
            self.skip(_BLANK)
            if self.text[self.at] == ",":
                self.at += 1

    def inline_table(self, path: Path) -> None:
        self.at += 1
        while True:
            self.skip(_BLANK)
            if self.text[self.at] == "}":
                self.at += 1
                return
            self.pair(path)
            self.skip(_BLANK)
            if self.text[self.at] == ",":
                self.at += 1

    def line(self) -> int:
        return bisect.bisect_right(self.starts, self.at)

    def skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        if match is not None:
            self.at = match.end()

    def take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            raise ValueError(f"not a valid TOML text at line {self.line()}")
        self.at = match.end()
        return match.group()


def _unescape(match: re.Match[str]) -> str:
    number = match.group(1) or match.group(2)
    return chr(int(number, 16)) if number else _ESCAPED.get(match.group(3), match.group(3))
