"""`railwright work`: the working by hand, step by step, on the screen or as a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from railwright.cli.options import Asked, in_course, print_json, solving, study_from

if TYPE_CHECKING:
    from railwright.documents import Working

#: What a file's ending stands for.
_FORMS = {".md": "Markdown", ".tex": "LaTeX", ".html": "HTML"}
_DEFAULT_COURSE = "uk"


@click.command(short_help="The working by hand, step by step, with how far each formula is off.")
@solving
@click.argument("readings", nargs=-1, metavar="[READING]...")
@click.option("-o", "output", metavar="F.md|F.tex|F.html", help="Write a page instead of printing.")
@in_course(_DEFAULT_COURSE, "Whose letters, words, formulas and digits: a profile that ships, or a course file.")
@click.option("--derivations", is_flag=True, help="Under each formula, the lines that it follows from.")
def work(asked: Asked, readings: tuple[str, ...], output: str | None, course_name: str, derivations: bool) -> None:
    """Work SHEET by hand as a student should write it, and check every result against the exact value.

    With READING names, such as load.voltage.mean, only those and what they need.
    """
    from railwright.course import read_course
    from railwright.documents import work as worked

    form = _form(output)
    course = read_course(course_name)
    study = study_from(asked, readings)
    working = worked(study, course, readings, derivations=derivations)
    if output is not None and form is not None:
        _write(working, output, form)
        if not asked.json:
            click.echo(f"{output}: {len(working.sections)} steps in {form}, course {working.course}.")
    if asked.json:
        print_json(working.to_json() if output is None else {**working.to_json(), "file": output})
    elif output is None:
        from railwright.documents.working_text import in_text

        click.echo(in_text(working), nl=False)


def _form(output: str | None) -> str | None:
    """What to write by the file's ending; refused before anything is solved."""
    from railwright.cli.failures import BadInput

    if output is None:
        return None
    for ending, form in _FORMS.items():
        if output.lower().endswith(ending):
            return form
    raise BadInput(f"-o {output}: a working is written as {', '.join(_FORMS)}. Name a file that ends in one of them.")


def _write(working: Working, output: str, form: str) -> None:
    from railwright.documents.working_html import in_html
    from railwright.documents.working_latex import in_latex
    from railwright.documents.working_markdown import in_markdown
    from railwright.jobs import write_atomically

    write_atomically(output, {"Markdown": in_markdown, "LaTeX": in_latex, "HTML": in_html}[form](working))
