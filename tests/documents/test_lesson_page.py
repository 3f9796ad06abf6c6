"""The lesson page as a file: self-contained, told in order, safe with any reader's text, without answers."""

from __future__ import annotations

import json
import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest

import railwright
from railwright.course import read_course
from railwright.documents.lesson import lesson_page
from railwright.documents.lesson.questions import questions
from railwright.study import Study, solve

#: The story, word for word as the page's plan tells it.
STORY = (
    "From outlet to rail", "The circuit", "One half-cycle, then the other", "What the load sees", "The capacitor",
    "By hand", "How good is the formula?", "Real parts", "What the parts must bear", "On the bench", "Now you",
)  # fmt: skip
SHEET = """
title = 'Lamp </script><script>alert("1")</script> & {{data}}'
note = "<img src=x onerror=alert(2)> & plain"
[mains]
voltage = "9 V"
frequency = "50 Hz"
source = "adapter"
[rectifier]
circuit = "bridge"
[[filter]]
capacitor = "1000 uF"
[load]
resistance = "100 ohm"
"""


class Elements(HTMLParser):
    """Every element of a page with its attributes."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


@pytest.fixture(scope="module")
def study() -> Study:
    return solve(railwright.read_text(SHEET))


@pytest.fixture(scope="module")
def teacher(study: Study) -> str:
    return lesson_page(study, read_course("uk"), edition="teacher")


@pytest.fixture(scope="module")
def student(study: Study) -> str:
    return lesson_page(study, read_course("uk"), edition="student")


def test_the_story_is_told_in_order(teacher: str) -> None:
    titles = re.findall(r'<h2 id="title-\d+"><span class="number">\d+</span>(.*?)</h2>', teacher)
    assert tuple(unescape(title) for title in titles) == STORY


def test_the_page_loads_nothing_and_stays_small(teacher: str) -> None:
    assert len(teacher.encode("utf-8")) < 3_000_000
    for tag, attributes in Elements(teacher).found:
        assert tag not in ("link", "iframe", "img", "object", "embed", "base"), tag
        for name in ("src", "href", "data", "action", "poster", "xlink:href"):
            value = attributes.get(name) or ""
            assert not value or value.startswith("#"), (tag, name, value)
        assert not any(name.startswith("on") for name in attributes), (tag, attributes)
        assert "style" not in attributes, (tag, attributes)
    # A namespace is a name, nothing that is loaded; every url() is a fragment or data.
    assert set(re.findall(r"url\((#|data:|[^)]{0,8})", teacher)) <= {"#", "data:"}
    assert "@import" not in teacher


def test_the_browser_is_told_to_load_nothing_from_elsewhere(teacher: str) -> None:
    """Source: the directives of Content Security Policy Level 3 (W3C)."""
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', teacher)
    assert policy is not None
    directives = dict(entry.strip().split(" ", 1) for entry in unescape(policy[1]).split(";"))
    for fetched in ("connect", "media", "object", "frame", "worker", "manifest"):
        assert directives[f"{fetched}-src"] == "'none'"
    assert directives["font-src"] == directives["img-src"] == "data:"
    assert directives["script-src-attr"] == "'none'"
    assert directives["script-src-elem"] == directives["style-src"] == "'unsafe-inline'"
    assert directives["base-uri"] == directives["form-action"] == "'none'"


def test_a_readers_text_is_never_markup(teacher: str) -> None:
    assert "<img" not in teacher
    assert "alert(&quot;1&quot;)" in teacher
    scripts = [attributes for tag, attributes in Elements(teacher).found if tag == "script"]
    assert scripts == [{"type": "application/json", "id": "lesson-data"}, {}]
    # A place of the template in a title stays what its writer typed.
    assert unescape(re.search(r"<h1>(.*?)</h1>", teacher)[1]).endswith("& {{data}}")  # type: ignore[index]


def test_answers_are_not_in_the_students_file(study: Study, teacher: str, student: str) -> None:
    found = questions(study, read_course("uk"), "load")
    assert len(found) >= 3
    for question in found:
        for sentence in question.answer:
            shown = sentence.replace("&", "&amp;").replace("'", "&#x27;").replace('"', "&quot;")
            assert shown in teacher
            assert shown not in student
    assert 'class="answer"' in teacher
    assert 'class="answer"' not in student


def test_the_answers_numbers_stand_nowhere_in_the_students_file(study: Study, student: str) -> None:
    """A winding of 12 V in place of 9 V: its mean, as an independent solve gives it, is not to be found."""
    other = solve(study.supply.replace("mains.voltage", "12 V"))
    mean = other.readings.value("load.voltage.mean")
    body = student.partition("<main>")[2].partition("</main>")[0]
    assert f"{mean:.1f} V" not in unescape(re.sub(r"<[^>]*>", "", body))


def test_live_values_and_sliders_name_what_they_are(study: Study, teacher: str) -> None:
    readings = {a["data-reading"] for _, a in Elements(teacher).found if "data-reading" in a}
    wanted = {"load.voltage.mean", "load.voltage.ripple_peak_to_peak", "D1.current.peak", "D1.conduction.angle"}
    assert wanted <= readings
    assert [reading for reading in readings if reading not in study.readings] == []
    sliders = [a for tag, a in Elements(teacher).found if tag == "input" and "data-key" in a]
    assert {a["data-key"] for a in sliders} == {"filter.1.capacitor", "load.resistance"}
    texts = {a["aria-valuetext"] for a in sliders}
    assert texts == {"1000 µF", "100 Ω"}  # as the sheet says
    assert all(a["type"] == "range" and a["id"] for a in sliders)


def test_every_picture_has_a_text_equivalent(teacher: str) -> None:
    for picture in re.findall(r"<svg [^>]*>.*?</svg>", teacher, re.DOTALL):
        assert 'role="img"' in picture
        assert re.search(r"<title [^>]*>[^<]+</title>", picture)
        told = re.search(r"<desc [^>]*>([^<]+)</desc>", picture)
        assert told is not None
        assert len(told[1]) > 20
    ids = re.findall(r'\sid="([^"]+)"', teacher)
    assert len(ids) == len(set(ids))


def test_the_same_sheet_gives_the_same_page(study: Study, student: str) -> None:
    again = lesson_page(solve(railwright.read_text(SHEET)), read_course("uk"), edition="student")
    assert again == student


def test_words_follow_the_course(study: Study) -> None:
    page = lesson_page(study, read_course("us"))
    text = unescape(re.sub(r"<[^>]*>", " ", page.partition("<main>")[2].partition("</main>")[0]))
    assert "average voltage across the load" in text
    assert "mean voltage across the load" not in text
    assert '<html lang="en-US">' in page


def test_the_pages_data_hold_the_solved_values(study: Study, teacher: str) -> None:
    inner = re.search(r'id="lesson-data">(.*?)</script>', teacher, re.DOTALL)
    assert inner is not None
    data = json.loads(inner[1])
    value = data["readings"]["load.voltage.mean"]["values"][data["middle"]]
    assert value == pytest.approx(study.readings.value("load.voltage.mean"), rel=1e-6)
    # Every caption's places name a waveform that the page has.
    for way in data["ways"]:
        for kind, name in re.findall(r"\{([iv]):([^}]+)\}", way["caption"]):
            assert f"{name}.{'current' if kind == 'i' else 'voltage'}" in data["waves"]


@pytest.mark.parametrize("sheet", ["centre-tap", "ferry-winch", "fog-bell", "gate-charger", "moth-counter-clamper"])
def test_every_circuit_of_the_harbour_has_a_lesson(sheet: str, root: Path) -> None:
    study = solve(railwright.read_sheet(root / "examples" / "supplies" / f"{sheet}.toml"))
    page = lesson_page(study, read_course("us"))
    assert page.count("<section ") >= len(STORY)
    assert len(page.encode("utf-8")) < 3_000_000


def test_an_unknown_edition_is_refused(study: Study) -> None:
    with pytest.raises(ValueError, match='edition "parent" is not known. Allowed: student, teacher.'):
        lesson_page(study, read_course("uk"), edition="parent")  # type: ignore[arg-type]
