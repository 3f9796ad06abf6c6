"""Lesson packs: complete, without answers in the student's folder, the same bytes every time."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest
from pypdf import PdfReader

import railwright
from railwright.course import read_course
from railwright.documents.lesson import is_lesson, read_lesson
from railwright.documents.pack import LICENCE, pack_files, zipped
from railwright.study import solve
from railwright.supply.nominal import section_voltage

ROOT = Path(__file__).parents[2]
PACKS = ROOT / "examples" / "packs"
#: The eight circuits that a first course meets, and their names in a sheet.
CIRCUITS = {
    "half-wave": "half-wave",
    "centre-tap": "centre-tap",
    "bridge": "bridge",
    "bridge-with-choke": "bridge",
    "bridge-with-regulator": "bridge",
    "dual-rail": "dual-rail",
    "full-wave-doubler": "full-wave-doubler",
    "half-wave-doubler": "half-wave-doubler",
}
SHEET = b"""
title = "Pier lamp"
[mains]
voltage = "9 V"
frequency = "50 Hz"
source = "adapter"
[rectifier]
circuit = "half-wave"
[load]
resistance = "100 ohm"
"""


def made() -> dict[str, bytes]:
    return pack_files(solve(railwright.read_text(SHEET.decode())), read_course("uk"), sheet=SHEET)


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    return made()


def test_a_pack_holds_page_hand_outs_figures_working_sheet_and_a_readme(files: dict[str, bytes]) -> None:
    figures = {f"teacher/figures/{name}.{form}" for name in ("path-1", "path-2", "waveforms", "stages", "board")
               for form in ("svg", "png")}  # fmt: skip
    assert set(files) == {
        "README.txt", "student/lesson.html", "student/handout.pdf", "student/handout.docx",
        "student/figures/schematic.svg", "student/figures/schematic.png", "teacher/lesson.html",
        "teacher/handout.pdf", "teacher/handout.docx", "teacher/working.md", "teacher/working.html",
        "teacher/working.tex", "teacher/sheet.toml", *figures,
    }  # fmt: skip
    assert files["teacher/sheet.toml"] == SHEET


def test_the_readme_tells_what_is_inside_the_cautions_and_the_licence(files: dict[str, bytes]) -> None:
    text = files["README.txt"].decode()
    assert LICENCE in text and "creativecommons.org/licenses/by/4.0/" in text
    together = " ".join(text.split())
    for words in ("no leave to build one", "25 V RMS", "60 V DC", "never opened by students"):
        assert words in together
    folders = {name.rpartition("/")[0] + "/" if "/figures/" in name else name for name in files}
    for name in folders - {"README.txt", "teacher/working.md", "teacher/working.tex"}:
        assert name in text
    assert max(map(len, text.splitlines())) <= 80


def test_the_students_folder_has_no_answers(files: dict[str, bytes]) -> None:
    """Mean of half a sine: (√2 · 9 V − 0.7 V)/π by hand, the drop taken off the peak (common practice)."""
    mean = f"{(2**0.5 * 9.0 - 0.7) / 3.14159265:#.3g} V"
    said = {
        name: "".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)
        for name, content in files.items() if name.endswith(".pdf")
    }  # fmt: skip
    squeezed = {name: "".join(text.split()) for name, text in said.items()}
    assert mean.replace(" ", "") in squeezed["teacher/handout.pdf"]
    assert mean.replace(" ", "") not in squeezed["student/handout.pdf"]
    assert b'class="answer"' in files["teacher/lesson.html"]
    assert b'class="answer"' not in files["student/lesson.html"]


def test_a_pack_is_the_same_every_time_down_to_its_zip(files: dict[str, bytes]) -> None:
    again = made()
    assert [name for name in files if files[name] != again[name]] == []
    packed = zipped(files, "pier-lamp-uk")
    assert packed == zipped(again, "pier-lamp-uk")
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        assert archive.testzip() is None
        assert {entry.filename for entry in archive.infolist()} == {f"pier-lamp-uk/{name}" for name in files}
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_there_is_a_lesson_for_each_of_the_eight_circuits() -> None:
    found = {path.stem: read_lesson(path) for path in PACKS.glob("*.toml") if is_lesson(path)}
    circuits = {name: railwright.read_sheet(lesson.sheet) for name, lesson in found.items()}
    assert {name: supply.rectifier.circuit for name, supply in circuits.items()} == CIRCUITS
    assert circuits["bridge-with-choke"].filters[0].kind == "choke"
    assert circuits["bridge-with-regulator"].regulator is not None


@pytest.mark.parametrize("name", ["quay-lantern", "mooring-gauge"])
def test_a_sheet_of_the_packs_stays_within_what_a_class_touches(name: str) -> None:
    """25 V RMS at the source, 60 V DC anywhere; without load and drops a doubler gives twice the peak (textbook)."""
    supply = railwright.read_sheet(PACKS / f"{name}.toml")
    assert supply.mains.source == "adapter" and section_voltage(supply.mains, None) <= 25.0
    assert 2 * 2**0.5 * supply.mains.voltage <= 60.0


def test_the_readme_of_the_project_and_make_list_every_pack() -> None:
    readme, rules = (ROOT / "README.md").read_text("utf-8"), (ROOT / "Makefile").read_text("utf-8")
    for name in CIRCUITS:
        assert f"{name}.toml" in rules
        for course in ("uk", "us"):
            assert f"packs/{name}-{course}.zip" in readme
    assert LICENCE in readme
