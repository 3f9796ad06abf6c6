"""A figure in a course's words: the texts that are ours in its spelling, its terms, and with its decimal sign."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace

from railwright.course import Course
from railwright.figures.scene import Group, Item, Scene, Text

__all__ = ["said"]


def said(scene: Scene, course: Course, *, own: Collection[str] = ()) -> Scene:
    """The scene with its words as the course says them.

    `own` are a reader's texts, such as a sheet's title: they stay as they were written.
    """
    kept = {text for text in own if text}

    def say(text: str) -> str:
        return text if text in kept else course.say(text)

    return replace(
        scene,
        items=_said(scene.items, say, kept),
        title=say(scene.title),
        description=course.say(scene.description),
    )


def _said(items: tuple[Item, ...], say: Callable[[str], str], kept: Collection[str]) -> tuple[Item, ...]:
    found: list[Item] = []
    for item in items:
        if isinstance(item, Group):
            found.append(replace(item, items=_said(item.items, say, kept)))
        elif isinstance(item, Text) and not _is_cut(item.text, kept):
            found.append(replace(item, text=say(item.text)))
        else:
            found.append(item)
    return tuple(found)


def _is_cut(text: str, kept: Collection[str]) -> bool:
    """Whether a text is the beginning of a reader's own, cut where the room ended."""
    start = text.rstrip("…").rstrip()
    return text.endswith("…") and any(whole.startswith(start) for whole in kept)
