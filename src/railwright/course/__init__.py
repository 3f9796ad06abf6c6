"""How a course speaks: its profile as data, and the reader of course files.

`read_course("uk")` and `read_course("us")` give the two that ship; any other word is the path of a course file.
"""

from __future__ import annotations

from railwright.course.errors import CourseError, CourseFault
from railwright.course.profile import Course
from railwright.course.reader import SHIPPED, read_course, read_course_text
from railwright.course.words import GLOSSARY, Term

__all__ = [
    "GLOSSARY",
    "SHIPPED",
    "Course",
    "CourseError",
    "CourseFault",
    "Term",
    "read_course",
    "read_course_text",
]
