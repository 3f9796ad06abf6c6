"""The app's one page and what it is made of: read once at the start, so that no request ever opens a file."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Final

from railwright.figures.typeface import font_face_css

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

_PLACE: Final = re.compile(r"\{\{([\w.]+)\}\}")
#: Scripts that the page shares with the lesson: one front end.
SHARED: Final = ("quantity.js", "compute.js", "plot.js", "player.js")
_KINDS: Final[Mapping[str, str]] = {
    ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8", ".svg": "image/svg+xml",
    ".woff2": "font/woff2", ".json": "application/json",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Asset:
    """A file of ours, as it is sent."""

    content: bytes
    kind: str


def assets(texts: Mapping[str, Any]) -> dict[str, Asset]:
    """Everything below /static/, by name."""
    found: dict[str, Asset] = {}
    for entry in (files("railwright.web") / "static").iterdir():
        if entry.is_file() and not entry.name.endswith(".html"):
            found[entry.name] = _asset(entry)
    for entry in (files("railwright.web") / "static" / "circuits").iterdir():
        found[f"circuits/{entry.name}"] = _asset(entry)
    lesson = files("railwright.documents.lesson") / "static"
    for name in SHARED:
        found[f"lesson/{name}"] = _asset(lesson / name)
    found["lesson/lesson.css"] = _asset(lesson / "lesson.css")
    found["fonts.css"] = Asset(content=font_face_css().encode(), kind=_KINDS[".css"])
    # A script of data, because the policy that keeps foreign scripts out allows none inside the page.
    words = json.dumps(texts, ensure_ascii=False).replace("<", "\\u003c")
    script = f'"use strict";\nwindow.railwrightTexts = {words};\n'
    found["texts.js"] = Asset(content=script.encode(), kind=_KINDS[".js"])
    return found


def _asset(entry: Traversable) -> Asset:
    ending = entry.name[entry.name.rindex(".") :]
    return Asset(content=entry.read_bytes(), kind=_KINDS.get(ending, "application/octet-stream"))


def read_texts(language: str = "en") -> dict[str, Any]:
    """The words of the interface in one language; all of them stand in one file."""
    text = (files("railwright.web") / "texts" / f"{language}.json").read_text(encoding="utf-8")
    words: dict[str, Any] = json.loads(text)
    return words


def page(texts: Mapping[str, Any], version: str) -> bytes:
    """The page, its words filled in."""
    template = (files("railwright.web") / "static" / "app.html").read_text(encoding="utf-8")

    def word(match: re.Match[str]) -> str:
        if match[1] == "version":
            return escape(version)
        found: Any = texts
        for step in match[1].split("."):
            found = found[step]
        return escape(str(found))

    return _PLACE.sub(word, template).encode("utf-8")


def examples() -> dict[str, str]:
    """The harbour's supplies, by name: sheets to open."""
    from pathlib import Path

    folder: Traversable = files("railwright") / "examples" / "supplies"
    if not folder.is_dir():
        # A working copy: only a built wheel carries the examples inside the package.
        folder = Path(__file__).resolve().parents[3] / "examples" / "supplies"
    if not folder.is_dir():
        return {}
    return {
        entry.name.removesuffix(".toml"): entry.read_text(encoding="utf-8")
        for entry in sorted(folder.iterdir(), key=lambda entry: entry.name)
        if entry.name.endswith(".toml")
    }
