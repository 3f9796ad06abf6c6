"""The lesson as one self-contained page: style, script, fonts and data inside, nothing loaded from anywhere."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, Final

from railwright.course import Course
from railwright.documents.lesson.authored import LessonFile
from railwright.documents.lesson.chapters_circuit import start_degrees
from railwright.documents.lesson.markup import escape
from railwright.documents.lesson.material import Edition, Material
from railwright.documents.lesson.neighbours import page_data
from railwright.documents.lesson.story import stages
from railwright.documents.working_wording import FOOT
from railwright.study import Study

_STATIC: Final = Path(__file__).parent / "static"
_SCRIPTS: Final = ("quantity.js", "compute.js", "plot.js", "player.js", "lesson.js")
_KICKERS: Final = {"student": "Student's edition", "teacher": "Teacher's edition, with answers"}
#: Nothing is loaded from anywhere, no attribute holds script. Script elements are the page's own: a reader's text
#: never becomes one, and a teacher's accessibility checker may add its own.
_POLICY: Final = (
    "script-src-elem 'unsafe-inline'; script-src-attr 'none'; style-src 'unsafe-inline'; font-src data:; "
    "img-src data:; connect-src 'none'; media-src 'none'; object-src 'none'; frame-src 'none'; worker-src 'none'; "
    "manifest-src 'none'; base-uri 'none'; form-action 'none'"
)
_PLACE: Final = re.compile(r"\{\{(\w+)\}\}")


def lesson_page(study: Study, course: Course, *, edition: Edition = "student", lesson: LessonFile | None = None) -> str:
    """The lesson of a solved supply as an HTML document.

    Parameters
    ----------
    study : Study
        The supply, solved; its neighbours are solved here.
    course : Course
        Words, letters, symbols, digits.
    edition : str
        `student` or `teacher`; the student's has no answers in it.
    lesson : LessonFile, optional
        An author's stages; the usual ones if not given, or if it has none.

    Raises
    ------
    SheetError
        If a stage of the author sets or draws what can't be.
    MissingExtra
        If what draws circuits or turns formulas into MathML isn't installed.
    """
    if edition not in ("student", "teacher"):
        raise ValueError(f'edition "{edition}" is not known. Allowed: student, teacher.')
    material = Material(study=study, course=course, edition=edition)
    told = list(stages(material, lesson))
    title = (lesson.title if lesson is not None else "") or study.title or "Supply"
    note = lesson.note if lesson is not None else ""
    sections, contents = [], []
    for number, stage in enumerate(told, start=1):
        words = escape(course.say(stage.title) if stage.title in _titles() else stage.title)
        contents.append(f'<li><a href="#stage-{number}">{words}</a></li>')
        sections.append(
            f'<section id="stage-{number}" aria-labelledby="title-{number}"><h2 id="title-{number}">'
            f'<span class="number">{number}</span>{words}</h2>{stage.body}</section>'
        )
    style, script = _style(course), "\n".join(_static(name) for name in _SCRIPTS)
    return _filled(
        _static("lesson.html"),
        language=escape(course.language),
        policy=_POLICY,
        title=escape(title),
        kicker=escape(_KICKERS[edition]),
        note=f'<p class="own-note">{escape(note.strip())}</p>' if note.strip() else "",
        first="stage-1",
        contents="\n".join(contents),
        stages="\n".join(sections),
        foot=escape(f"{_basis(material)} {FOOT}"),
        style=style,
        data=_json(_data(material)),
        script=script,
    )


def _titles() -> frozenset[str]:
    from railwright.documents.lesson.story import USUAL

    return frozenset(USUAL)


def _basis(material: Material) -> str:
    """What the numbers rest on."""
    study = material.study
    emf = ", ".join(f"{name} {volts:.4g} V" for name, volts in study.emf.items())
    course = material.course.title or material.course.words.upper()
    return f"Course: {course}. Model: {study.model}. EMF (RMS): {emf}."


def _data(material: Material) -> dict[str, Any]:
    found = material.moments
    looked_up = page_data(material.hood)
    return {
        **looked_up,
        "axes": [{**axis, "label": material.course.say(axis["label"])} for axis in looked_up["axes"]],
        "moments": {"fine": found.fine, "coarse": found.coarse},
        "ways": [{"caption": way.caption, "on": way.on, "whyNot": way.why_not} for way in found.ways],
        "plots": material.plots,
        "charts": material.charts,
        "startDegrees": start_degrees(material),
        "digits": material.course.digits,
        "decimal": material.course.decimal,
    }


def _json(data: dict[str, Any]) -> str:
    """Plain data inside a script element: no character of it can end the element."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def _style(course: Course) -> str:
    from railwright.figures.typeface import font_face_css

    size = "A4" if course.paper == "A4" else "letter"
    return f"{font_face_css()}\n{_static('lesson.css')}@page {{ size: {size}; margin: 16mm; }}\n"


def _static(name: str) -> str:
    return (_STATIC / name).read_text(encoding="utf-8")


def _filled(template: str, **pieces: str) -> str:
    """The template with its places filled; what is filled in is not searched for places again."""
    return _PLACE.sub(lambda match: pieces[match[1]], template)
