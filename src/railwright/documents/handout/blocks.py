"""A hand-out as data, before any page is set: blocks in reading order, the same for typesetter and word processor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from railwright.documents.handout.maths import Maths

if TYPE_CHECKING:
    from railwright.figures.scene import Scene

Edition = Literal["student", "teacher"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A part of the hand-out begins."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """Running text; a `task` says what to do with what follows, a `basis` what that rests on; an `aside` is small."""

    text: str
    kind: Literal["plain", "task", "basis", "aside"] = "plain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A figure as wide as the text; what it shows in words is the scene's own description."""

    scene: Scene
    highest: float = 240.0  # [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """One thing that is asked in a few words; no answer stands for a blank."""

    label: str
    answer: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A figure with blanks beside it, filled in the teacher's copy."""

    title: str
    scene: Scene | None
    blanks: tuple[Answered, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What is known: letter with its value, what it is, and whether the value is there or left to be filled in."""

    rows: tuple[tuple[Maths, str, bool], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One formula worked: numbers put in, result; what is None is a blank, what is "" isn't there at all."""

    formula: Maths
    lead: str = ""
    where: tuple[tuple[Maths, Maths | Literal[""] | None], ...] = ()  # an auxiliary letter explained, and its value
    substitution: Maths | Literal[""] | None = ""
    result: Maths | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedPart:
    """One thing that is wanted, and the lines that lead to it."""

    number: int
    heading: str
    source: Maths | None  # "from 2: …"
    lines: tuple[Line, ...]
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under a heading row; the first cell of each heads it. None is an empty cell to write in."""

    caption: str
    heading: tuple[str, ...]
    widths: tuple[float, ...]  # shares of the text's width
    rows: tuple[tuple[str | None, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruled:
    """Lines to write on."""

    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A question with room to answer, or with its answer."""

    number: int
    text: str
    answer: tuple[str, ...] | None
    room: int  # lines


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """What must be read before anybody builds or touches."""

    title: str
    items: tuple[str, ...]


Block: TypeAlias = (
    Heading | Paragraph | Picture | Asked | Given | WorkedPart | Table | Ruled | Question | Caution
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Handout:
    """One copy of a hand-out."""

    edition: Edition
    title: str
    badge: str  # whose copy it is
    course: str
    fields: tuple[str, ...]  # what is filled in at the top
    foot: str
    language: str
    paper: Literal["A4", "Letter"]
    blocks: tuple[Block, ...]
