"""A working as one self-contained page: formulas as MathML, charts inside, light, and fit to print."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from html import escape
from importlib import import_module
from typing import Literal, TypeAlias

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

Maths: TypeAlias = Callable[[str, Literal["inline", "block"]], str]

_STYLE = """
:root { color-scheme: light; }
body { font: 1.0625rem/1.55 "Inter", "Segoe UI", "Helvetica Neue", Arial, sans-serif; color: #1a1a1a;
  background: #fff; max-width: 46rem; margin: 2rem auto; padding: 0 1.25rem; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: 0; }
.subtitle { font-size: 1.15rem; color: #444; margin: .2rem 0 1rem; }
h2 { font-size: 1.2rem; margin: 2.2rem 0 .2rem; padding-top: .8rem; border-top: 1px solid #bbb; }
h3 { font-size: 1.02rem; margin: 1.4rem 0 .3rem; }
h3 .standing { font-weight: normal; color: #444; }
p { margin: .5rem 0; }
.ids { font: .85rem ui-monospace, Consolas, monospace; color: #555; margin: 0 0 .6rem; overflow-wrap: anywhere; }
.from { color: #333; font-size: .95rem; overflow-x: auto; overflow-y: hidden; padding: 2px 0; }
.lines { margin: .4rem 0 .8rem 1.2rem; overflow-x: auto; overflow-y: hidden; padding: 2px 0; }
math { font-size: 1.08em; }
.lines math[display="block"], .derivation math[display="block"] {
  display: block math; text-align: left; margin: .35rem 0; width: max-content; }
.result { font-weight: 600; }
.check { border-left: 4px solid #0072b2; padding: .1rem 0 .1rem .7rem; }
.why { border-left: 4px solid #cc79a7; padding: .1rem 0 .1rem .7rem; }
.limit { border-left: 4px solid #d55e00; padding: .1rem 0 .1rem .7rem; }
table { border-collapse: collapse; margin: .8rem 0; font-size: .95rem; }
th, td { text-align: left; padding: .25rem .9rem .25rem 0; vertical-align: baseline; border-bottom: 1px solid #ddd; }
thead th { border-bottom: 1.5px solid #1a1a1a; }
tbody th { font-weight: normal; }
.numbers td, .numbers th + th { text-align: right; white-space: nowrap; }
.ranking td, .ranking thead th { white-space: nowrap; }
.scroll { overflow-x: auto; }
figure { margin: 1rem 0; } figure svg { max-width: 100%; height: auto; }
figcaption { font-size: .9rem; color: #333; }
blockquote { margin: 1rem 0; padding: .2rem 1rem; border-left: 4px solid #ccc; color: #333; }
.derivation { margin: .6rem 0 .6rem 1.2rem; font-size: .95rem; }
.label { font-weight: 600; margin-bottom: 0; }
.derivation li { margin: .4rem 0; }
.cautions { border: 1.5px solid #1a1a1a; padding: .2rem 1.2rem .8rem; margin-top: 2.5rem; }
.cautions h2 { border: 0; margin-top: .4rem; padding-top: .2rem; }
footer { margin: 1.5rem 0; font-size: .9rem; color: #444; }
@media print {
  body { font-size: 10.5pt; max-width: none; margin: 0; padding: 0; }
  h2, h3 { break-after: avoid; } .lines, figure, table, .check, .cautions { break-inside: avoid; }
  .scroll, .lines { overflow: visible; }
}
"""


def in_html(working: Working) -> str:
    """The working as an HTML document, ending with a line break.

    Raises
    ------
    MissingExtra
        If what turns formulas into MathML isn't installed.
    """
    return "\n".join(_document(working, mathml())) + "\n"


def mathml() -> Maths:
    """What turns LaTeX into MathML. Raises MissingExtra if it isn't installed."""
    from railwright.figures.export import MissingExtra

    try:
        converter = import_module("latex2mathml.converter")
    except ImportError as missing:
        raise MissingExtra(what="A page with formulas", extra="web") from missing

    def converted(latex: str, display: Literal["inline", "block"]) -> str:
        # Entities as characters: shorter, and readable in the source.
        markup = re.sub(r"&#x0*([0-9A-Fa-f]+);", _character, str(converter.convert(latex, display=display)))
        # A letter alone is slanted as a quantity's would be; ohm and micro belong to units and stand upright.
        return re.sub(r"<mi>([Ωμ])</mi>", r'<mi mathvariant="normal">\1</mi>', markup)

    return converted


def _character(match: re.Match[str]) -> str:
    letter = chr(int(match[1], 16))
    return escape(letter)


def _document(working: Working, maths: Maths) -> Iterator[str]:
    title = escape(working.title)
    page = "A4" if working.paper == "A4" else "letter"
    yield "<!DOCTYPE html>"
    yield f'<html lang="{escape(working.language)}">'
    yield "<head>"
    yield '<meta charset="utf-8">'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">'
    yield f"<title>{title}: {SUBTITLE.lower()}</title>"
    yield f"<style>{_STYLE}@page {{ size: {page}; margin: 18mm; }}</style>"
    yield "</head>"
    yield "<body>"
    yield "<main>"
    yield f"<h1>{title}</h1>"
    yield f'<p class="subtitle">{SUBTITLE}</p>'
    yield from (f"<p>{escape(text)}</p>" for text in working.introduction)
    if working.own_note:
        yield f"<blockquote><p>{escape(working.own_note)}</p></blockquote>"
    if working.given:
        yield f'<section aria-labelledby="given"><h2 id="given">{GIVEN_HEADING}</h2>'
        yield "<table><tbody>"
        for step in working.given:
            yield f"<tr><td>{maths(step.latex, 'inline')}</td><td>{escape(step.text)}</td></tr>"
        yield "</tbody></table></section>"
    for section in working.sections:
        yield from _section(section, maths)
    yield f'<section class="cautions" aria-labelledby="cautions"><h2 id="cautions">{CAUTION_HEADING}</h2><ul>'
    yield from (f"<li>{escape(text)}</li>" for text in working.cautions)
    yield "</ul></section>"
    yield "</main>"
    yield f"<footer><p>{escape(FOOT)}</p></footer>"
    yield "</body>"
    yield "</html>"


def _section(section: Section, maths: Maths) -> Iterator[str]:
    name = f"s{section.number}"
    yield f'<section aria-labelledby="{name}">'
    yield f'<h2 id="{name}">{escape(opening(section))}</h2>'
    yield from section_html(section, maths)
    yield "</section>"


def section_html(section: Section, maths: Maths) -> Iterator[str]:
    """One section without its heading, for a page that has headings of its own."""
    yield f'<p class="ids">{escape(ids(section))}</p>'
    several = len(section.worked) > 1
    for place, worked in enumerate(section.worked):
        if several:
            words = standing(worked)
            aside = f' <span class="standing">({escape(words)})</span>' if words else ""
            yield f"<h3>{mark(place)} {escape(worked.title)}{aside}</h3>"
        yield from _worked(worked, maths)
        if place == 0:
            yield from _closing(section.closing)
    if not section.worked:
        yield from _closing(section.closing)
    if several:
        yield from _table(("formula", "by hand", "difference", "in this course"), ranking(section), ' class="ranking"')
    if section.chart is not None:
        yield from _figure(section)


def _closing(steps: Sequence[Step]) -> Iterator[str]:
    for step in steps:
        opening_word = "<strong>Why:</strong> " if step.kind == "why" else ""
        yield f'<p class="{step.kind}">{opening_word}{escape(step.text)}</p>'


def _worked(worked: Worked, maths: Maths) -> Iterator[str]:
    for group in groups(worked.steps):
        if group[0].kind == "from":
            yield f'<p class="from">{maths(group[0].latex, "inline")}</p>'
        elif group[0].kind in ("limit", "note"):
            yield f'<p class="{group[0].kind}">{escape(group[0].text)}</p>'
        else:
            yield '<div class="lines">'
            for step in group:
                kind = f' class="{step.kind}"' if step.kind == "result" else ""
                lead = r"\text{where }" if step.kind == "where" else ""
                yield f"<div{kind}>{maths(lead + step.latex, 'block')}</div>"
            yield "</div>"
    if worked.derivation:
        yield f'<p class="label">{DERIVATION_HEADING}</p>'
        yield '<ol class="derivation">'
        for line in worked.derivation:
            yield f"<li>{maths(line.latex, 'block')}{escape(line.text)}</li>"
        yield "</ol>"


def _figure(section: Section) -> Iterator[str]:
    from railwright.figures.scene import render

    assert section.chart is not None
    yield "<figure>"
    yield render(section.chart, prefix=f"chart{section.number}")
    yield f"<figcaption>{escape(CHART_HEADING)}.</figcaption>"
    heading, *rows = section.chart_table
    yield from _table(heading, rows, ' class="numbers"')
    yield "</figure>"


def _table(heading: Sequence[str], rows: Sequence[Sequence[str]], kind: str) -> Iterator[str]:
    yield f'<div class="scroll"><table{kind}>'
    yield "<thead><tr>" + "".join(f'<th scope="col">{escape(cell)}</th>' for cell in heading) + "</tr></thead>"
    yield "<tbody>"
    for row in rows:
        first, *rest = row
        cells = "".join(f"<td>{escape(cell)}</td>" for cell in rest)
        yield f'<tr><th scope="row">{escape(first)}</th>{cells}</tr>'
    yield "</tbody></table></div>"
