"""The lesson page: one file that works offline, from a solved supply or a lesson file."""

from __future__ import annotations

from railwright.documents.lesson.authored import AuthoredStage, LessonFile, is_lesson, read_lesson
from railwright.documents.lesson.page import lesson_page

__all__ = ["AuthoredStage", "LessonFile", "is_lesson", "lesson_page", "read_lesson"]
