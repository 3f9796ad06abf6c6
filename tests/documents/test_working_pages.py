"""The pages: terminal, Markdown, LaTeX and HTML say the same, hold together, and take a reader's text as data."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

import railwright
from railwright.course import read_course, read_course_text
from railwright.documents import Working, work
from railwright.documents.working_glossary import glossary_page
from railwright.documents.working_html import in_html
from railwright.documents.working_latex import in_latex, latex_escaped
from railwright.documents.working_markdown import in_markdown, markdown_escaped
from railwright.documents.working_text import in_text
from railwright.figures.export import MissingExtra

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples" / "supplies").glob("*.toml"))
#: What must never become markup: of HTML, of LaTeX, of Markdown, of a terminal.
WICKED = r'<script>alert("x")</script> & \input{x} $\foo$ % # _ ^ ~ | `*[a](b)` é Ω'


def worked(sheet: Path, course: str = "uk") -> Working:
    return work(railwright.solve(railwright.read_sheet(sheet)), read_course(course), derivations=True)


def wicked() -> Working:
    text = (ROOT / "examples" / "supplies" / "signal-lamp.toml").read_text("utf-8")
    first = text.split("\n", 1)[0]
    text = text.replace(first, f"title = '''{WICKED}'''").replace("The harbour's signal", "</p><b>The</b>")
    supply = railwright.read_text(text)
    assert supply.title == WICKED
    return work(railwright.solve(supply), read_course("uk"))


class Outline(HTMLParser):
    """Opens and closes every element, and remembers what a page must have."""

    VOID = ("meta", "br", "mspace", "hr", "img", "link")

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[str] = []
        self.attributes: dict[str, list[dict[str, str | None]]] = {}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append(tag)
        self.attributes.setdefault(tag, []).append(dict(attrs))
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open.pop() == tag, tag


def outline(page: str) -> Outline:
    found = Outline()
    found.feed(page)
    found.close()
    assert found.open == []
    return found


@pytest.mark.parametrize("sheet", EXAMPLES, ids=lambda path: path.stem)
@pytest.mark.parametrize("course", ["uk", "us"])
def test_a_terminal_of_80_columns_shows_it_all_without_markup(sheet, course):
    text = in_text(worked(sheet, course))
    assert max(map(len, text.splitlines())) <= 80
    assert "\\" not in text and "{" not in text


@pytest.mark.parametrize("sheet", EXAMPLES, ids=lambda path: path.stem)
def test_the_page_is_whole_html_with_language_title_and_headings(sheet):
    """HTML standard: every element closed; WCAG 2.2: page language, title, one first heading, no level left out."""
    page = in_html(worked(sheet, "us"))
    found = outline(page)
    assert found.attributes["html"][0]["lang"] == "en-US"
    assert found.seen.count("title") >= 1 and found.seen.count("h1") == 1
    levels = [int(tag[1]) for tag in found.seen if re.fullmatch("h[1-6]", tag)]
    assert all(after <= before + 1 for before, after in zip(levels, levels[1:], strict=False))
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("sheet", EXAMPLES, ids=lambda path: path.stem)
def test_every_formula_became_mathml_and_no_macro_is_left(sheet):
    """A macro that the converter doesn't know prints as it is: `<mi>\\foo</mi>`."""
    page = in_html(worked(sheet))
    # A network of one's own has no book's formulas.
    assert "<math" in page or "[[element]]" in sheet.read_text(encoding="utf-8")
    assert not re.search(r"<m[ion]>\s*\\", page)
    assert "\\" not in re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL)


def test_the_page_fetches_nothing():
    """One self-contained file: no address but the names of the two markup languages in it."""
    page = in_html(worked(EXAMPLES[0]))
    addresses = set(re.findall(r"https?://[^\"'\s<)]+", page))
    assert addresses <= {"http://www.w3.org/1998/Math/MathML", "http://www.w3.org/2000/svg"}
    assert not {"script", "link", "img"} & set(outline(page).seen)


def test_a_reader_s_title_and_note_are_data_in_html():
    page = in_html(wicked())
    assert "<script>" not in page and "</p><b>" not in page
    assert "&lt;script&gt;alert(&quot;x&quot;)&lt;/script&gt;" in page
    outline(page)


def test_a_reader_s_title_is_data_in_latex():
    """Each special character of LaTeX by its own command."""
    page = in_latex(wicked())
    assert r"\input{x}" not in page
    assert r"\textbackslash{}input\{x\} \$\textbackslash{}foo\$ \% \# \_" in page
    assert latex_escaped("Ω é 文") == r"\ensuremath{\Omega} é (U+6587)"


def test_a_reader_s_title_is_data_in_markdown():
    """CommonMark: a backslash before punctuation takes its meaning away."""
    page = in_markdown(wicked())
    assert "<script>" not in page and r"\<script\>" in page
    assert markdown_escaped("a\n# b") == r"a \# b"


def test_a_reader_s_title_brings_no_control_character_to_a_terminal():
    supply = railwright.read_text((ROOT / "examples" / "supplies" / "half-wave.toml").read_text("utf-8"))
    from dataclasses import replace

    working = work(railwright.solve(replace(supply, title="red \x1b[31m alert")), read_course("uk"))
    assert "\x1b" not in in_text(working)


@pytest.mark.parametrize("make", [in_text, in_markdown, in_latex, in_html])
def test_every_page_shows_every_heading_result_and_caution(make):
    working = worked(ROOT / "examples" / "supplies" / "signal-lamp.toml")
    page = re.sub(r"\s+", " ", make(working).replace("\\", ""))
    for section in working.sections:
        # Words are enough: each format marks up the punctuation in its own way.
        words = section.heading.split(",")[0].split("(")[0].split(":")[0].strip()
        assert words in page
        assert re.search(r"[0-9.]+", section.closing[0].text)[0] in page
    assert page.count("no leave to build") == 1


def test_the_latex_uses_no_package_but_amsmath():
    page = in_latex(worked(EXAMPLES[0]))
    packages = re.findall(r"\\usepackage(?:\[[^\]]*\])?\{([^}]*)\}", page)
    assert set(packages) == {"inputenc", "fontenc", "amsmath"}


@pytest.mark.skipif(shutil.which("pdflatex") is None, reason="needs a LaTeX installation")
@pytest.mark.parametrize("course", ["uk", "us"])
def test_the_latex_compiles(course, tmp_path):
    """LaTeX itself is the judge, with the wickedest title that a reader could write."""
    for name, working in (("lamp", worked(ROOT / "examples/supplies/fog-bell.toml", course)), ("wicked", wicked())):
        (tmp_path / f"{name}.tex").write_text(in_latex(working), "utf-8")
        run = subprocess.run(
            ["pdflatex", "-interaction=nonstopmode", "-halt-on-error", f"{name}.tex"],
            cwd=tmp_path, capture_output=True, timeout=120, check=False,
        )  # fmt: skip
        assert run.returncode == 0, run.stdout.decode("latin-1")[-1500:]


def test_without_the_converter_one_sentence_names_the_extra(monkeypatch):
    monkeypatch.setitem(sys.modules, "latex2mathml.converter", None)
    with pytest.raises(MissingExtra, match=r'pip install "railwright\[web\]"'):
        in_html(worked(EXAMPLES[0]))


def test_a_decimal_comma_reaches_every_line():
    course = read_course_text('kind = "course"\nwords = "uk"\ndecimal = ","\n')
    study = railwright.solve(railwright.read_sheet(ROOT / "examples" / "supplies" / "signal-lamp.toml"))
    working = work(study, course)
    text = in_text(working)
    numbers = re.findall(r"(?<![\w.])\d+[.,]\d+(?![\w.])", text)
    assert numbers and not [number for number in numbers if "." in number]
    assert "{,}" in in_latex(working)


def test_the_committed_glossary_is_the_rendering_of_the_same_data():
    """docs/glossary.md: make it anew with `documents.working_glossary.glossary_page()`."""
    assert (ROOT / "docs" / "glossary.md").read_text("utf-8") == glossary_page()
