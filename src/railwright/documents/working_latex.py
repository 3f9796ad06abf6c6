"""A working as a LaTeX document that needs no package but amsmath."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from railwright.documents.working_markdown import aligned
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

_ESCAPED = {
    "\\": r"\textbackslash{}", "{": r"\{", "}": r"\}", "$": r"\$", "&": r"\&", "#": r"\#", "%": r"\%", "_": r"\_",
    "^": r"\textasciicircum{}", "~": r"\textasciitilde{}", "<": r"\ensuremath{<}", ">": r"\ensuremath{>}",
    "|": r"\ensuremath{|}", '"': r"\textquotedbl{}", "Ω": r"\ensuremath{\Omega}", "µ": r"\ensuremath{\mu}",
    "μ": r"\ensuremath{\mu}", "ω": r"\ensuremath{\omega}", "θ": r"\ensuremath{\theta}", "π": r"\ensuremath{\pi}",
    "γ": r"\ensuremath{\gamma}", "Δ": r"\ensuremath{\Delta}", "η": r"\ensuremath{\eta}", "√": r"\ensuremath{\surd}",
    "°": r"\ensuremath{^\circ}", "²": r"\ensuremath{^2}", "×": r"\ensuremath{\times}", "·": r"\ensuremath{\cdot}",
    "−": r"\ensuremath{-}", "±": r"\ensuremath{\pm}", "≤": r"\ensuremath{\le}", "≥": r"\ensuremath{\ge}",
    "–": "--", "—": "---", "…": r"\dots{}", "’": "'", "‘": "`", "“": "``", "”": "''", "\u00a0": "~",
    # An accent as in V̂ stands on the letter before it, where text can't put it.
    "\u0302": r"\^{}",
}  # fmt: skip
#: Characters up to here stand in the fonts that every installation has.
_LAST_PLAIN = "\u017f"


def latex_escaped(text: str) -> str:
    """A text as data: no character of it is markup, and every one compiles with the standard fonts."""
    return "".join(_ESCAPED.get(letter) or _plain(letter) for letter in text)


def _plain(letter: str) -> str:
    if letter in "\t\n\r":
        return " "
    if not letter.isprintable():
        return "?"
    return letter if letter <= _LAST_PLAIN else f"(U+{ord(letter):04X})"


def in_latex(working: Working) -> str:
    """The working as a LaTeX document, ending with a line break."""
    return "\n".join(_document(working)).rstrip() + "\n"


def _document(working: Working) -> Iterator[str]:
    paper = "a4paper" if working.paper == "A4" else "letterpaper"
    yield rf"\documentclass[{paper},11pt,fleqn]{{article}}"
    yield r"\usepackage[utf8]{inputenc}"
    yield r"\usepackage[T1]{fontenc}"
    yield r"\usepackage{amsmath}"
    yield r"\allowdisplaybreaks"
    yield r"\setlength{\parindent}{0pt}"
    yield r"\setlength{\parskip}{0.6em}"
    yield r"\addtolength{\textwidth}{6em}\addtolength{\oddsidemargin}{-3em}"
    yield r"\addtolength{\textheight}{10em}\addtolength{\topmargin}{-5em}"
    yield r"\emergencystretch=3em"
    yield rf"\title{{{latex_escaped(working.title)}\\ \large {SUBTITLE}}}"
    yield r"\author{}\date{}"
    yield r"\begin{document}"
    yield r"\maketitle"
    yield from _paragraphs(working.introduction)
    if working.own_note:
        yield from (r"\begin{quote}", latex_escaped(working.own_note), r"\end{quote}")
    if working.given:
        yield rf"\section*{{{GIVEN_HEADING}}}"
        yield r"\begin{tabular}{@{}l@{\qquad}p{0.6\textwidth}}"
        yield from (rf"${step.latex}$ & {latex_escaped(step.text)} \\" for step in working.given)
        yield r"\end{tabular}"
    for section in working.sections:
        yield from _section(section)
    yield rf"\section*{{{CAUTION_HEADING}}}"
    yield r"\begin{itemize}"
    yield from (rf"\item {latex_escaped(text)}" for text in working.cautions)
    yield r"\end{itemize}"
    yield rf"\emph{{{latex_escaped(FOOT)}}}"
    yield r"\end{document}"


def _paragraphs(texts: Sequence[str]) -> Iterator[str]:
    for text in texts:
        yield latex_escaped(text)
        yield ""


def _section(section: Section) -> Iterator[str]:
    yield rf"\section*{{{latex_escaped(opening(section))}}}"
    yield rf"{{\small\ttfamily {latex_escaped(ids(section))}}}\nopagebreak"
    yield ""
    several = len(section.worked) > 1
    for place, worked in enumerate(section.worked):
        if several:
            words = standing(worked)
            title = f"{mark(place)} {worked.title}" + (f" ({words})" if words else "")
            yield rf"\subsection*{{{latex_escaped(title)}}}"
        yield from _worked(worked)
        if place == 0:
            yield from _closing(section.closing)
    if not section.worked:
        yield from _closing(section.closing)
    if several:
        yield from _table(("formula", "by hand", "difference", "in this course"), ranking(section), "p{0.4\\textwidth}")
    if section.chart_table:
        yield latex_escaped(f"{CHART_HEADING}:")
        yield ""
        heading, *rows = section.chart_table
        yield from _table(heading, rows, "p{0.22\\textwidth}")


def _closing(steps: Sequence[Step]) -> Iterator[str]:
    for step in steps:
        yield (r"\textbf{Why:} " if step.kind == "why" else "") + latex_escaped(step.text)
        yield ""


def _worked(worked: Worked) -> Iterator[str]:
    for group in groups(worked.steps):
        if group[0].kind == "from":
            yield f"${group[0].latex}$"
            yield ""
        elif group[0].kind in ("limit", "note"):
            yield latex_escaped(group[0].text)
            yield ""
        else:
            yield r"\begin{align*}"
            yield " \\\\\n".join(aligned(step) for step in group)
            yield r"\end{align*}"
    if worked.derivation:
        yield f"{DERIVATION_HEADING}:"
        yield r"\begin{enumerate}"
        for line in worked.derivation:
            yield rf"\item ${line.latex}$\\ {latex_escaped(line.text)}"
        yield r"\end{enumerate}"


def _table(heading: Sequence[str], rows: Sequence[Sequence[str]], first: str) -> Iterator[str]:
    yield rf"\begin{{center}}\small\begin{{tabular}}{{@{{}}{first}{'r' * (len(heading) - 1)}@{{}}}}"
    yield r" & ".join(latex_escaped(cell) for cell in heading) + r" \\ \hline"
    yield from (r" & ".join(latex_escaped(cell) for cell in row) + r" \\" for row in rows)
    yield r"\end{tabular}\end{center}"
    yield ""
