"""A hand-out as an accessible PDF (PDF/UA-1): tagged, every picture and equation with its text, the same bytes always.

The packaged typeface is used, whatever is installed. Texts reach the typesetter as strings, never as markup.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any, Final

from railwright.documents.handout.blocks import (
    Asked,
    Block,
    Caution,
    Given,
    Handout,
    Heading,
    Line,
    Paragraph,
    Picture,
    Question,
    Ruled,
    Table,
    WorkedPart,
)
from railwright.documents.handout.maths import Maths, in_typst, typst_text
from railwright.documents.handout.pictures import in_svg
from railwright.figures.export import MissingExtra
from railwright.figures.scene import Scene
from railwright.figures.typeface import font_files

_LOOK: Final = Path(__file__).parent / "handout.typ"
#: Answers take room; nobody writes in the teacher's copy.
_SIZES: Final = {"student": "9.6pt", "teacher": "9.2pt"}
_NUMBER_AND_UNIT: Final = re.compile(r"(?<=\d) (?=(?:%|[kMmµ]?[VAΩWFH]|[km]?Hz|ms)(?:\W|$))")
_GIVEN_HEADS: Final = ("letter and value", "what it is")


def typesetter() -> ModuleType:
    """What sets the pages. Raises MissingExtra if it isn't installed."""
    try:
        return import_module("typst")
    except ImportError as missing:
        raise MissingExtra(what="A hand-out as PDF", extra="pdf") from missing


def in_pdf(handout: Handout) -> bytes:
    """The hand-out as PDF.

    Raises
    ------
    MissingExtra
        If the typesetter isn't installed.
    """
    return bytes(_compiled(handout, format="pdf", pdf_standards=["ua-1"]))


def _compiled(handout: Handout, **form: Any) -> Any:
    typst = typesetter()
    source = _Source()
    files = {"main.typ": source.document(handout).encode(), "handout.typ": _LOOK.read_bytes(), **source.figures}
    return typst.compile(
        files,
        font_paths=[str(font_files()[0].parent)],
        ignore_system_fonts=True,
        timestamp=0,  # the same bytes every time
        **form,
    )


class _Source:
    """The document's source, and the figures that it refers to."""

    def __init__(self) -> None:
        self.figures: dict[str, bytes] = {}

    def document(self, handout: Handout) -> str:
        lang, _, region = handout.language.partition("-")
        head = {
            "title": typst_text(handout.title),
            "badge": typst_text(handout.badge),
            "course": typst_text(handout.course),
            "foot": typst_text(handout.foot),
            "fields": _array(typst_text(words) for words in handout.fields),
            "size": _SIZES[handout.edition],
            "paper": typst_text("a4" if handout.paper == "A4" else "us-letter"),
            "lang": typst_text(lang if lang.isalpha() and len(lang) in (2, 3) else "en"),
            "region": typst_text(region) if len(region) == 2 and region.isalpha() else "none",
        }
        lines = ['#import "handout.typ": *']
        lines.append(f"#show: handout.with({', '.join(f'{name}: {value}' for name, value in head.items())})")
        lines += [f"#{self.block(block)}" for block in handout.blocks]
        return "\n\n".join(lines) + "\n"

    def block(self, block: Block) -> str:
        match block:
            case Heading():
                return f"heading(level: 1, {typst_text(block.text)})"
            case Paragraph():
                name = "par" if block.kind == "plain" else block.kind
                return f"{name}({_prose(block.text)})"
            case Picture():
                return f"picture({self.figure(block.scene)}, {block.highest:g})"
            case Asked():
                blanks = _array(
                    _array((typst_text(one.label), "none" if one.answer is None else typst_text(one.answer)))
                    for one in block.blanks
                )
                figure = "none, none, none" if block.scene is None else self.figure(block.scene)
                return f"asked({typst_text(block.title)}, {figure}, {blanks})"
            case Given():
                rows = _array(
                    _array((f"[#{in_typst(maths)}{'' if is_known else ' #blank(12mm)'}]", f"[#{typst_text(words)}]"))
                    for maths, words, is_known in block.rows
                )
                return f"given({_array(typst_text(words) for words in _GIVEN_HEADS)}, {rows})"
            case WorkedPart():
                source = "none" if block.source is None else _content(block.source)
                remarks = _array(typst_text(words) for words in block.remarks)
                lines = "\n".join(f"#{_line(line)}" for line in block.lines)
                return f"part({block.number}, {typst_text(block.heading)}, {source}, {remarks}, [{lines}])"
            case Table():
                heads = _array(typst_text(words) for words in block.heading)
                rows = _array(_array("[]" if cell is None else f"[#{typst_text(cell)}]" for cell in row)
                              for row in block.rows)  # fmt: skip
                return f"readings({_array(f'{share:g}' for share in block.widths)}, {heads}, {rows})"
            case Ruled():
                return f"ruled({block.count})"
            case Question():
                answers = "none" if block.answer is None else _array(map(_prose, block.answer))
                return f"question({block.number}, {_prose(block.text)}, {answers}, {block.room})"
            case Caution():
                return f"caution({typst_text(block.title)}, {_array(map(_prose, block.items))})"

    def figure(self, scene: Scene) -> str:
        """A figure's file, its text equivalent, its width and height in pixels."""
        number = len(self.figures) + 1
        name = f"figure-{number}.svg"
        self.figures[name] = in_svg(scene, f"figure{number}").encode()
        words = typst_text(scene.description or scene.title)
        return f"{typst_text(name)}, {words}, ({scene.width:g}, {scene.height:g})"


def _line(line: Line) -> str:
    where = _array(
        _array((_content(explained), '""' if value == "" else _optional(value))) for explained, value in line.where
    )
    substitution = '""' if line.substitution == "" else _optional(line.substitution)
    return (
        f"worked({typst_text(line.lead)}, {_content(line.formula)}, {where}, {substitution}, {_optional(line.result)})"
    )


def _prose(text: str) -> str:
    """Running text; a number and its unit stay on one line."""
    return typst_text(_NUMBER_AND_UNIT.sub("\N{NO-BREAK SPACE}", text))


def _optional(maths: Maths | None) -> str:
    return "none" if maths is None else _content(maths)


def _content(maths: Maths) -> str:
    return f"[#{in_typst(maths)}]"


def _array(items: Iterable[str]) -> str:
    """Items as an array; the comma at the end makes one of a single item, too."""
    return f"({''.join(f'{item}, ' for item in items)})" or "()"
