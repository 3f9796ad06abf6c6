"""HTML of a lesson's pieces: every text of a reader goes through one escaper, every live value carries its reading."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from railwright.documents.working_headings import heading
from railwright.documents.working_lines import figures_of
from railwright.documents.working_numbers import percent, result
from railwright.quantities import format_quantity
from railwright.readings import unit_of

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.documents.lesson.axes import Axis
    from railwright.figures.scene import Scene

__all__ = [
    "amount", "cell", "escape", "live", "named", "nearest", "now", "opened", "paragraph", "picture", "slider",
    "stated", "table",
]  # fmt: skip

MINUS = "\N{MINUS SIGN}"

#: Readings that the working by hand has no heading for; the designator goes in.
_NAMES: Final = MappingProxyType(
    {
        "conduction.start": "{} begins to conduct at",
        "conduction.end": "{} ceases to conduct at",
        "headroom.minimum": "Least headroom of {}",
        "current.valley": "Lowest current through {}",
        "supply.efficiency": "Efficiency of the whole supply",
        "mains.power.real": "Power from the mains",
        "load.voltage.regulation": "Regulation, no load to full load",
    }
)


def amount(value: float | None, unit: str, course: Course) -> str:
    """A result in the course's digits and decimal sign, zeros at its end too; a plain ratio in percent."""
    if value is None:
        return "no value"
    if value == 0.0:
        return stated(value, "%" if unit == "1" else unit, course)
    if unit == "1":
        return percent(value, figures_of(course)).plain
    return result(value, unit, figures_of(course), from_exact=False).plain


def stated(value: float, unit: str, course: Course) -> str:
    """A value of the sheet, as somebody would type it."""
    return format_quantity(value, unit, digits=4, decimal=course.decimal).replace("-", MINUS)


def named(reading: str, course: Course) -> str:
    """What a reading is called, in the course's words."""
    words = _NAMES.get(reading.partition(".")[2] if reading[0] in "DLU" else reading)
    return heading((reading,), course) if words is None else course.say(words.format(reading.partition(".")[0]))


def paragraph(text: str, kind: str = "") -> str:
    """A paragraph of plain text; nothing if there is no text."""
    if not text:
        return ""
    named = f' class="{kind}"' if kind else ""
    return f"<p{named}>{escape(text)}</p>"


def live(reading: str, value: float | None, course: Course, kind: str = "") -> str:
    """A value that follows the sliders."""
    named = f' class="{kind}"' if kind else ""
    return f'<span{named} data-reading="{escape(reading)}">{escape(amount(value, unit_of(reading), course))}</span>'


def now(waveform: str, label: str, kind: str) -> str:
    """A value that follows the time."""
    return f'<div class="{kind}"><dt>{escape(label)}</dt><dd data-now="{escape(waveform)}">–</dd></div>'


def slider(axis: Axis, course: Course, name: str) -> str:
    """A slider of a sheet key, standing at the sheet's value."""
    words = escape(format_quantity(axis.values[axis.middle], axis.unit, digits=4, decimal=course.decimal))
    label = escape(course.say(axis.label))
    return (
        f'<div class="slider"><label for="{name}">{label}</label>'
        f'<output for="{name}" data-value-of="{axis.key}" aria-live="off">{words}</output>'
        f'<input type="range" id="{name}" min="0" max="{(len(axis.values) - 1) * 20}" step="1" '
        f'value="{axis.middle * 20}" data-key="{axis.key}" aria-valuetext="{words}"></div>'
    )


def nearest() -> str:
    """Where the page says which neighbour its waveforms are of."""
    return '<p class="nearest" data-nearest></p>'


def opened(summary: str, body: str, *, is_open: bool = False) -> str:
    """Depth that opens on request."""
    return f"<details{' open' if is_open else ''}><summary>{escape(summary)}</summary>{body}</details>"


def picture(scene: Scene, prefix: str, *, kind: str = "sheet wide", caption: str = "", told: bool = True) -> str:
    """A figure in a frame of its own that scrolls on a narrow screen.

    Its text equivalent is inside the picture; `told` opens it to everybody.
    """
    from railwright.figures.scene import render

    words = f"<figcaption>{escape(caption)}</figcaption>" if caption else ""
    spoken = opened("This picture in words", paragraph(scene.description)) if told and scene.description else ""
    # A figure's curves carry their names where this page has its live values.
    drawn = render(scene, prefix=prefix).replace(" data-reading=", " data-curve=")
    return (
        f'<figure><div class="picture {kind}" role="group" tabindex="0" aria-label="{escape(scene.title)}">'
        f"{drawn}</div>{words}{spoken}</figure>"
    )


def cell(content: str, kind: str = "", data: str = "") -> str:
    """A table's cell of finished markup."""
    return f"<td{f' class={chr(34)}{kind}{chr(34)}' if kind else ''}{data}>{content}</td>"


def table(heading: Sequence[str], rows: Iterable[Sequence[str]], label: str) -> str:
    """A table: the first cell of a row is its heading (text), the others are finished cells."""
    head = "".join(f'<th scope="col">{escape(words)}</th>' for words in heading)
    body = "".join(
        f'<tr><th scope="row">{escape(first)}</th>{"".join(rest)}</tr>' for first, *rest in rows
    )
    return (
        f'<div class="scroll" role="group" tabindex="0" aria-label="{escape(label)}"><table>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )
