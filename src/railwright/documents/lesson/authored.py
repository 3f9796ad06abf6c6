"""Reads a lesson file: `kind = "lesson"`, with all that is wrong with it told at once."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from railwright.figures import KINDS
from railwright.supply import SheetError, SheetFault
from railwright.supply.locate import key_lines

_KEYS: Final = ("kind", "title", "note", "sheet", "course", "stage")
_STAGE_KEYS: Final = ("title", "set", "figures", "note")
LARGEST_FILE: Final = 200_000  # bytes
LONGEST_TEXT: Final = 10_000  # characters
_REMEDY: Final = 'A lesson starts with kind = "lesson" and sheet = "supply.toml".'


@dataclass(frozen=True, slots=True, kw_only=True)
class AuthoredStage:
    """One stage as its author wrote it."""

    title: str
    set: Mapping[str, Any]  # sheet keys and what they are set to
    figures: tuple[str, ...]
    note: str
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonFile:
    """A lesson file, read and checked; no stages stands for the usual ones."""

    sheet: Path
    course: str | None
    title: str
    note: str
    stages: tuple[AuthoredStage, ...]
    origin: str


def is_lesson(path: Path) -> bool:
    """Whether a file says `kind = "lesson"`; False for anything that can't be read as TOML."""
    try:
        if path.stat().st_size > LARGEST_FILE:
            return False
        return tomllib.loads(path.read_text(encoding="utf-8-sig")).get("kind") == "lesson"
    except (OSError, ValueError, RecursionError):
        return False


def read_lesson(path: Path) -> LessonFile:
    """Read a lesson file.

    Raises
    ------
    SheetError
        If anything in it is wrong; it holds every fault with file, line and key.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
        data = tomllib.loads(text)
        lines = key_lines(text)
    except (OSError, ValueError, RecursionError) as error:
        fault = SheetFault(file=path.name, problem=f"the file can't be read: {error}.", remedy=_REMEDY)
        raise SheetError([fault]) from None
    return _Look(path=path, lines=lines, faults=[]).lesson(data)


@dataclass(slots=True)
class _Look:
    path: Path
    lines: Mapping[tuple[str | int, ...], int]
    faults: list[SheetFault]

    def lesson(self, data: Mapping[str, Any]) -> LessonFile:
        self.known(data, (), _KEYS)
        sheet = self.words(data, ("sheet",))
        if not sheet:
            self.fault(("sheet",), "no sheet is named.", remedy='Write sheet = "supply.toml", beside this file.')
        elif not (self.path.parent / sheet).is_file():
            self.fault(
                ("sheet",), f'there is no file "{sheet}" beside this one.', given=sheet,
                remedy="Name the sheet as seen from this file.",
            )  # fmt: skip
        course = self.words(data, ("course",)) or None
        listed = data.get("stage", [])
        if not isinstance(listed, list) or not all(isinstance(entry, dict) for entry in listed):
            self.fault(("stage",), "stages are a list of tables.", remedy="Write [[stage]] above each.")
            listed = []
        stages = tuple(self.stage(entry, place) for place, entry in enumerate(listed, start=1))
        title, note = self.words(data, ("title",)), self.words(data, ("note",))
        if self.faults:
            raise SheetError(sorted(self.faults, key=lambda fault: fault.line if isinstance(fault.line, int) else 0))
        if course is not None and course.lower() not in ("uk", "us"):
            course = str(self.path.parent / course)
        return LessonFile(
            sheet=self.path.parent / sheet, course=course, title=title, note=note, stages=stages,
            origin=self.path.name,
        )  # fmt: skip

    def stage(self, data: Mapping[str, Any], place: int) -> AuthoredStage:
        at = ("stage", place)
        self.known(data, at, _STAGE_KEYS)
        title = self.words(data, (*at, "title"))
        if not title:
            self.fault((*at, "title"), "this stage has no title.", remedy='Write title = "…".')
        changes = data.get("set", {})
        if not isinstance(changes, dict):
            self.fault(
                (*at, "set"), "set is a table of sheet keys.",
                remedy='Write set = { "load.resistance" = "47 ohm" }.',
            )  # fmt: skip
            changes = {}
        figures = data.get("figures", [])
        if not isinstance(figures, list):
            figures = [figures]
        for figure in figures:
            if figure not in KINDS:
                near = difflib.get_close_matches(str(figure), KINDS, n=1)
                self.fault(
                    (*at, "figures"), f'there is no figure "{str(figure)[:60]}".', given=str(figure)[:60],
                    allowed=", ".join(KINDS), remedy=f'Did you mean "{near[0]}"?' if near else "",
                )  # fmt: skip
        return AuthoredStage(
            title=title, set=changes, figures=tuple(str(figure) for figure in figures),
            note=self.words(data, (*at, "note")), line=self.line(at),
        )  # fmt: skip

    def words(self, data: Mapping[str, Any], path: tuple[str | int, ...]) -> str:
        value = data.get(str(path[-1]), "")
        if not isinstance(value, str) or len(value) > LONGEST_TEXT:
            self.fault(path, f"{path[-1]} is a text of at most {LONGEST_TEXT} characters.", remedy="Put it in quotes.")
            return ""
        return value.strip()

    def known(self, data: Mapping[str, Any], at: tuple[str | int, ...], keys: tuple[str, ...]) -> None:
        for key in data:
            if key not in keys:
                near = difflib.get_close_matches(key[:60], keys, n=1)
                self.fault(
                    (*at, key), f'unknown key "{key[:60]}".', given=key[:60], allowed=", ".join(keys),
                    remedy=f'Did you mean "{near[0]}"?' if near else "",
                )  # fmt: skip

    def line(self, path: tuple[str | int, ...]) -> int | None:
        while path:
            if path in self.lines:
                return self.lines[path]
            path = path[:-1]
        return None

    def fault(
        self, path: tuple[str | int, ...], problem: str, *, given: str = "", allowed: str = "", remedy: str = ""
    ) -> None:
        self.faults.append(
            SheetFault(
                file=self.path.name, problem=problem, line=self.line(path), key=".".join(map(str, path)),
                given=given, allowed=allowed, remedy=remedy,
            )
        )  # fmt: skip
