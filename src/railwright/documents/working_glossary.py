"""The glossary page: our terms and quantities beside the words and letters of the courses that ship."""

from __future__ import annotations

from collections.abc import Iterator

from railwright.course import GLOSSARY, SHIPPED, read_course
from railwright.documents.working_markdown import markdown_escaped
from railwright.handbook import formulas


def glossary_page() -> str:
    """The page as Markdown, ending with a line break."""
    return "\n".join(_lines()) + "\n"


def _lines() -> Iterator[str]:
    yield "# Glossary"
    yield ""
    yield "One word for one thing: the first column is what sheets, readings and messages say. What is printed for a"
    yield "class speaks as its course does; `--course uk` and `--course us` print the first word of their column, and a"
    yield "course file chooses between the two with `words`. The other words are met in books."
    yield ""
    yield "| ours | meaning | UK, Commonwealth | US | elsewhere, on paper |"
    yield "|---|---|---|---|---|"
    for entry in GLOSSARY:
        columns = (entry.ours, entry.meaning, *("; ".join(words) for words in (entry.uk, entry.us, entry.other)))
        yield _row(*(markdown_escaped(text) for text in columns))
    yield ""
    yield "## Letters"
    yield ""
    yield "A course gives each quantity a letter under `symbols`, by the name in the first column. A quantity that a"
    yield "course leaves out keeps the letter of its formula: `railwright formulas ID` shows it."
    yield ""
    courses = [read_course(name) for name in SHIPPED]
    yield _row("quantity", "meaning", *(markdown_escaped(course.title) for course in courses))
    yield "|---|---|" + "---|" * len(courses)
    meanings = _meanings()
    for name in courses[0].symbols:
        letters = (f"`{course.symbols[name]}`" if name in course.symbols else "–" for course in courses)
        yield _row(f"`{name}`", markdown_escaped(meanings[name]), *letters)


def _row(*cells: str) -> str:
    return f"| {' | '.join(cells)} |"


def _meanings() -> dict[str, str]:
    """What each quantity means, as the first formula that has it says."""
    found: dict[str, str] = {}
    for formula in formulas().values():
        for symbol in (*formula.quantities, formula.result):
            found.setdefault(symbol.name, symbol.meaning.split(":")[0])
    return found
