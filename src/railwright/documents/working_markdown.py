"""A working as Markdown, its formulas in LaTeX between dollar signs."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from railwright.documents.working_steps import Section, Step, Worked, Working
from railwright.documents.working_wording import (
    CAUTION_HEADING,
    CHART_HEADING,
    DERIVATION_HEADING,
    FOOT,
    GIVEN_HEADING,
    SUBTITLE,
    groups,
    ids,
    mark,
    opening,
    ranking,
    standing,
)

_MEANINGFUL = re.compile(r"([\\`*_{}\[\]<>#|~$&!])")


def markdown_escaped(text: str) -> str:
    """A text as data: no character of it is markup, and it stays on one line."""
    flat = " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())
    return _MEANINGFUL.sub(r"\\\1", flat)


def in_markdown(working: Working) -> str:
    """The working as a Markdown document, ending with a line break."""
    return "\n".join(_document(working)).rstrip() + "\n"


def _document(working: Working) -> Iterator[str]:
    yield f"# {markdown_escaped(working.title)}"
    yield ""
    yield f"**{SUBTITLE}.** " + " ".join(markdown_escaped(text) for text in working.introduction)
    yield ""
    if working.own_note:
        yield f"> {markdown_escaped(working.own_note)}"
        yield ""
    if working.given:
        yield f"## {GIVEN_HEADING}"
        yield ""
        yield "| | |"
        yield "|---|---|"
        for step in working.given:
            yield f"| ${step.latex}$ | {markdown_escaped(step.text)} |"
        yield ""
    for section in working.sections:
        yield from _section(section)
    yield f"## {CAUTION_HEADING}"
    yield ""
    yield from (f"- {markdown_escaped(text)}" for text in working.cautions)
    yield ""
    yield f"*{FOOT}*"


def _section(section: Section) -> Iterator[str]:
    # A number with a dot is no list here: the line begins with the heading's sign.
    yield f"## {markdown_escaped(opening(section))}"
    yield ""
    yield f"`{ids(section)}`"
    yield ""
    several = len(section.worked) > 1
    for place, worked in enumerate(section.worked):
        if several:
            words = standing(worked)
            yield f"### {mark(place)} {markdown_escaped(worked.title)}" + (f" ({words})" if words else "")
            yield ""
        yield from _worked(worked)
        if place == 0:
            yield from _closing(section.closing)
    if not section.worked:
        yield from _closing(section.closing)
    if several:
        yield from _table(("formula", "by hand", "difference", "in this course"), ranking(section))
    if section.chart_table:
        yield f"{CHART_HEADING}:"
        yield ""
        heading, *rows = section.chart_table
        yield from _table(heading, rows)


def _closing(steps: Sequence[Step]) -> Iterator[str]:
    for step in steps:
        yield ("**Why:** " if step.kind == "why" else "") + markdown_escaped(step.text)
        yield ""


def _worked(worked: Worked) -> Iterator[str]:
    for group in groups(worked.steps):
        if group[0].kind == "from":
            yield f"${group[0].latex}$"
        elif group[0].kind in ("limit", "note"):
            yield markdown_escaped(group[0].text)
        else:
            yield "$$"
            yield r"\begin{aligned}"
            yield " \\\\\n".join(aligned(step) for step in group)
            yield r"\end{aligned}"
            yield "$$"
        yield ""
    if worked.derivation:
        yield f"{DERIVATION_HEADING}:"
        yield ""
        for number, line in enumerate(worked.derivation, start=1):
            yield f"{number}. ${line.latex}$  "
            yield f"   {markdown_escaped(line.text)}"
        yield ""


def aligned(step: Step) -> str:
    """An equation with the sign that lines of one block are aligned at."""
    left, sign, right = step.latex.partition(" = ")
    return f"{left} &= {right}" if sign else f"& {left}"


def _table(heading: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    yield "| " + " | ".join(markdown_escaped(cell) for cell in heading) + " |"
    yield "|---|" + "---:|" * (len(heading) - 1)
    for row in rows:
        yield "| " + " | ".join(markdown_escaped(cell) for cell in row) + " |"
    yield ""
