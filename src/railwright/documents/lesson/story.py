"""The story of a lesson: its usual stages in order, and those that an author writes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from railwright.documents.lesson import chapters_circuit, chapters_class, chapters_numbers
from railwright.documents.lesson.authored import AuthoredStage, LessonFile
from railwright.documents.lesson.markup import amount, cell, escape, named, paragraph, picture, table
from railwright.documents.lesson.material import Material
from railwright.figures import draw
from railwright.figures.board import key_readings
from railwright.readings import unit_of
from railwright.study import Study, solve
from railwright.supply import SheetError, SheetFault, replace_all

Chapter = Callable[[Material], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One stage of the page: its title, and its finished markup."""

    title: str
    body: str


#: The usual stages, in the order in which they are told.
USUAL: Final = MappingProxyType[str, Chapter](
    {
        "From outlet to rail": chapters_circuit.outlet,
        "The circuit": chapters_circuit.circuit,
        "One half-cycle, then the other": chapters_circuit.half_cycles,
        "What the load sees": chapters_circuit.load,
        "The capacitor": chapters_circuit.capacitor,
        "By hand": chapters_numbers.by_hand,
        "How good is the formula?": chapters_numbers.how_good,
        "Real parts": chapters_numbers.real_parts,
        "What the parts must bear": chapters_numbers.stresses,
        "On the bench": chapters_class.bench,
        "Now you": chapters_class.now_you,
    }
)
_BY_NAME: Final = MappingProxyType({title.casefold(): title for title in USUAL})


def stages(material: Material, lesson: LessonFile | None) -> Iterator[Stage]:
    """The stages of a lesson: the author's, or the usual ones where there are none."""
    if lesson is None or not lesson.stages:
        for title, chapter in USUAL.items():
            yield Stage(title=title, body=chapter(material))
        return
    for place, stage in enumerate(lesson.stages, start=1):
        usual = _BY_NAME.get(stage.title.casefold())
        if usual is not None and not stage.set and not stage.figures:
            yield Stage(title=usual, body=_note(stage) + USUAL[usual](material))
        else:
            yield Stage(title=stage.title, body=_own(material, lesson, stage, place))


def _note(stage: AuthoredStage) -> str:
    return "".join(paragraph(text, "lead") for text in stage.note.split("\n\n"))


def _own(material: Material, lesson: LessonFile, stage: AuthoredStage, place: int) -> str:
    """A stage of the author's own: note, figures, and key readings beside those of the sheet."""
    from railwright.figures.drawing import NotDrawn

    study = _study_of(material, lesson, stage, place)
    pieces = [_note(stage)]
    for number, kind in enumerate(stage.figures, start=1):
        try:
            scene = draw(
                study, kind, standard=material.course.drawing, convention=material.course.current_direction
            )
        except NotDrawn as refused:
            raise SheetError(
                [SheetFault(file=lesson.origin, line=stage.line, key=f"stage.{place}.figures", problem=str(refused))]
            ) from refused
        pieces.append(picture(scene, f"own{place}-{number}"))
    if stage.set:
        pieces.append(_beside(material, study, stage))
    return "".join(pieces)


def _study_of(material: Material, lesson: LessonFile, stage: AuthoredStage, place: int) -> Study:
    if not stage.set:
        return material.study
    try:
        return solve(replace_all(material.study.supply, dict(stage.set)), material.study.model)
    except SheetError as error:
        # The fault lies in the lesson, so its file and line are what the author needs.
        faults = [
            replace(fault, file=lesson.origin, line=stage.line, key=f"stage.{place}.set.{fault.key}")
            for fault in error.faults
        ]
        raise SheetError(faults) from error


def _beside(material: Material, study: Study, stage: AuthoredStage) -> str:
    course = material.course
    changed = ", ".join(f"{key} = {_shown(value)}" for key, value in stage.set.items())
    rows: list[Sequence[str]] = []
    for reading in key_readings(material.study):
        if reading not in study.readings:
            continue
        values = (material.value(reading), study.readings.computed(reading))
        cells = [cell(escape(amount(value, unit_of(reading), course))) for value in values]
        rows.append((named(reading, course), *cells))
    return paragraph(f"Changed: {changed}.") + table(("reading", "as on the sheet", "changed"), rows, stage.title)


def _shown(value: object) -> str:
    return {True: "true", False: "false"}.get(value, "") if isinstance(value, bool) else str(value)
