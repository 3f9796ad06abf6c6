"""A working as plain text for a terminal: at most 80 columns, equals signs under each other, no markup."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Sequence

from railwright.documents.working_steps import Section, Step, Worked, Working
from railwright.documents.working_wording import (
    CAUTION_HEADING,
    CHART_HEADING,
    DERIVATION_HEADING,
    GIVEN_HEADING,
    SUBTITLE,
    groups,
    ids,
    mark,
    opening,
    ranking,
    standing,
)

WIDTH = 80  # columns
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=[%A-Za-zΩµ°])")


def in_text(working: Working) -> str:
    """The working as plain text, ending with a line break."""
    lines = [*_filled(working.title), SUBTITLE, ""]
    lines += [*(line for text in working.introduction for line in _filled(text)), ""]
    if working.given:
        lines += [GIVEN_HEADING, *_given(working.given), ""]
    for section in working.sections:
        lines += [*_section(section), ""]
    lines += [CAUTION_HEADING, *(line for text in working.cautions for line in _filled(text, "  "))]
    return "\n".join(_printable(line) for line in lines) + "\n"


def _printable(line: str) -> str:
    """No control character of a reader's own text reaches a terminal."""
    return "".join(letter if letter.isprintable() else "?" for letter in line).rstrip()


def _filled(text: str, indent: str = "", first: str | None = None) -> list[str]:
    # A number and its unit stay together.
    held = _NUMBER_AND_UNIT.sub("\u00a0", text)
    filled = textwrap.wrap(
        held, WIDTH, initial_indent=indent if first is None else first, subsequent_indent=indent,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
    return [line.replace("\u00a0", " ") for line in filled]


def _given(given: Sequence[Step]) -> Iterator[str]:
    width = max(len(step.plain) for step in given)
    for step in given:
        yield from _filled(step.text, " " * (width + 6), f"  {step.plain:<{width}}    ")


def _section(section: Section) -> Iterator[str]:
    yield from _filled(opening(section), "   ", "")
    yield from _filled(f"[{ids(section)}]", "   ")
    several = len(section.worked) > 1
    for place, worked in enumerate(section.worked):
        indent = "   "
        if several:
            words = standing(worked)
            yield from _filled(f"{mark(place)} {worked.title}" + (f" ({words})" if words else ""), "       ", indent)
            indent = "       "
        yield from _worked(worked, indent)
        if place == 0:
            yield from _closing(section.closing, indent)
    if not section.worked:
        yield from _closing(section.closing, "   ")
    if several:
        yield "   Side by side:"
        yield from _columns(ranking(section), "     ", "lrll")
    if section.chart_table:
        yield from _filled(f"{CHART_HEADING}:", "   ")
        yield from _columns(section.chart_table, "     ", "l" + "r" * (len(section.chart_table[0]) - 1))


def _closing(steps: Sequence[Step], indent: str) -> Iterator[str]:
    for step in steps:
        opening_word = "Why: " if step.kind == "why" else ""
        yield from _filled(opening_word + step.text, indent + ("  " if opening_word else ""), indent)


def _worked(worked: Worked, indent: str) -> Iterator[str]:
    for group in groups(worked.steps):
        if group[0].kind in ("from", "limit", "note"):
            yield from _filled(group[0].plain or group[0].text, indent + "  ", indent)
        else:
            yield from _equations(group, indent + "  ")
    if worked.derivation:
        yield f"{indent}{DERIVATION_HEADING}:"
        for line in worked.derivation:
            yield from _filled(line.plain, indent + "      ", indent + "  ")
            yield from _filled(line.text, indent + "      ")


def _equations(group: Sequence[Step], indent: str) -> Iterator[str]:
    """Lines whose equals signs stand under each other; the left side is written once."""
    before = ""
    for step in group:
        plain = step.plain
        if step.kind == "where":
            yield from _filled(f"where {plain}", indent + "  ", indent)
            continue
        left, sign, right = plain.partition(" = ")
        hanging = indent + " " * (len(left) + 3)
        if sign and left == before:
            yield from _filled(f"= {right}", hanging, indent + " " * (len(left) + 1))
        else:
            yield from _filled(plain, hanging, indent)
        before = left


def _columns(rows: Sequence[Sequence[str]], indent: str, sides: str) -> Iterator[str]:
    """Rows in columns; the first column is folded where the page is too narrow."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    room = WIDTH - len(indent) - sum(width + 2 for width in widths[1:])
    first = min(widths[0], max(room, 12))
    for row in rows:
        pieces = textwrap.wrap(row[0], first) or [""]
        rest = "".join(
            "  " + (cell.rjust(width) if side == "r" else cell.ljust(width))
            for cell, width, side in zip(row[1:], widths[1:], sides[1:], strict=True)
        )
        yield f"{indent}{pieces[0]:<{first}}{rest}".rstrip()
        for piece in pieces[1:]:
            yield f"{indent}  {piece}"
