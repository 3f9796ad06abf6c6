"""My course, as a page asks for it: a profile that ships with some of its words changed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields
from functools import lru_cache
from typing import Any, Final

from railwright.course import Course, CourseError, read_course, read_course_text

#: What a page may change in a profile.
SETTINGS: Final = (
    "title", "drawing", "decimal", "digits", "current_direction", "ripple_factor", "paper", "diode_drop",
    "regulation_base", "rounding",
)  # fmt: skip


def course_of(asked: Mapping[str, Any]) -> Course:
    """The course that was asked for.

    Raises
    ------
    CourseError
        If a setting isn't one that a course can have.
    """
    return _course(json.dumps(asked, sort_keys=True))


def course_text(asked: Mapping[str, Any]) -> str:
    """The same as the text of a course file: what `--course` takes."""
    lines = ['kind = "course"', f"words = {json.dumps(asked['profile'])}"]
    for name, value in sorted(asked.items()):
        if name in SETTINGS and value not in ("", None):
            lines.append(f"{name} = {json.dumps(value, ensure_ascii=False)}")
    symbols = {name: letter for name, letter in asked.get("symbols", {}).items() if letter}
    if symbols:
        lines += ["[symbols]", *(f"{name} = {json.dumps(letter, ensure_ascii=False)}" for name, letter in
                                 sorted(symbols.items()))]  # fmt: skip
    return "\n".join(lines) + "\n"


@lru_cache(maxsize=32)
def _course(asked: str) -> Course:
    wanted = json.loads(asked)
    if set(wanted) == {"profile"}:
        return read_course(wanted["profile"])
    return read_course_text(course_text(wanted), origin="my course")


def plain(course: Course) -> dict[str, Any]:
    """What a page must know of a course."""
    known = {entry.name for entry in fields(course)}
    found: dict[str, Any] = {name: getattr(course, name) for name in SETTINGS if name in known and name != "diode_drop"}
    return {
        **found, "words": course.words, "language": course.language, "symbols": dict(course.symbols),
        "diode_drop": course.diode_drop,
    }  # fmt: skip


__all__ = ["SETTINGS", "CourseError", "course_of", "course_text", "plain"]
