"""Lesson files: what an author may write, and what is said when it is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

import railwright
from railwright.cli import railwright as program
from railwright.course import read_course
from railwright.documents.lesson import is_lesson, lesson_page, read_lesson
from railwright.study import solve
from railwright.supply import SheetError

SHEET = """
title = "Bridge"
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


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "bridge.toml").write_text(SHEET, encoding="utf-8")
    return tmp_path


def written(folder: Path, text: str) -> Path:
    path = folder / "lesson.toml"
    path.write_text(text, encoding="utf-8")
    return path


def page_of(path: Path) -> str:
    lesson = read_lesson(path)
    return lesson_page(solve(railwright.read_sheet(lesson.sheet)), read_course(lesson.course or "uk"), lesson=lesson)


def test_without_stages_the_usual_ones_come_by_themselves(folder: Path) -> None:
    path = written(folder, 'kind = "lesson"\nsheet = "bridge.toml"\ncourse = "us"\n')
    assert is_lesson(path)
    assert page_of(path).count("<section id=") == 11


def test_an_authors_stage_sets_keys_draws_figures_and_says_its_note(folder: Path) -> None:
    path = written(
        folder,
        'kind = "lesson"\nsheet = "bridge.toml"\n[[stage]]\ntitle = "Half the load <b>"\nnote = "Look & compare."\n'
        'set = { "load.resistance" = "200 ohm" }\nfigures = ["waveforms", "spectrum"]\n[[stage]]\ntitle = "By hand"\n',
    )
    page = page_of(path)
    assert "Half the load &lt;b&gt;" in page
    assert "Look &amp; compare." in page
    assert "Changed: load.resistance = 200 ohm." in page
    assert page.count("<section id=") == 2
    # Second road: the same change made in the sheet.
    other = solve(railwright.read_text(SHEET.replace("100 ohm", "200 ohm")))
    assert f"{other.readings.value('load.voltage.mean'):.1f} V" in page


def test_all_faults_are_told_at_once_with_line_key_and_remedy(folder: Path) -> None:
    path = written(
        folder,
        'kind = "lesson"\nsheet = "brige.toml"\ncours = "uk"\n[[stage]]\nfigures = ["waveform"]\n'
        '[[stage]]\ntitle = "B"\nset = 3\n',
    )
    with pytest.raises(SheetError) as caught:
        read_lesson(path)
    texts = [fault.text for fault in caught.value.faults]
    assert [fault.line for fault in caught.value.faults] == [2, 3, 4, 5, 8]
    assert 'lesson.toml, line 2, sheet: there is no file "brige.toml" beside this one.' in texts[0]
    assert 'unknown key "cours".' in texts[1] and 'Did you mean "course"?' in texts[1]
    assert "stage.1.title: this stage has no title." in texts[2]
    assert 'there is no figure "waveform".' in texts[3] and 'Did you mean "waveforms"?' in texts[3]
    assert "set is a table of sheet keys." in texts[4]


def test_a_key_that_the_sheet_hasnt_is_told_with_the_lessons_line(folder: Path) -> None:
    path = written(
        folder,
        'kind = "lesson"\nsheet = "bridge.toml"\n[[stage]]\ntitle = "A"\nset = { "load.resistence" = "1 ohm" }\n',
    )
    with pytest.raises(SheetError, match="lesson.toml, line 3, stage.1.set.load.resistence"):
        page_of(path)


def test_a_figure_that_the_circuit_hasnt_is_told_with_the_lessons_line(folder: Path) -> None:
    (folder / "bridge.toml").write_text(SHEET.replace('[[filter]]\ncapacitor = "1000 uF"\n', ""), encoding="utf-8")
    path = written(folder, 'kind = "lesson"\nsheet = "bridge.toml"\n[[stage]]\ntitle = "A"\nfigures = ["validity"]\n')
    with pytest.raises(SheetError, match="lesson.toml, line 3, stage.1.figures: "):
        page_of(path)


@pytest.mark.parametrize("name", ["first-rectifier", "signal-lamp"])
def test_the_examples_are_lessons(name: str, root: Path) -> None:
    path = root / "examples" / "lessons" / f"{name}.toml"
    assert is_lesson(path)
    assert "<main>" in page_of(path)


def typed(*words: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(program, list(words), prog_name="railwright")
    assert "Traceback" not in result.output
    return result.exit_code, result.stdout, result.stderr


def test_the_command_writes_a_lesson_of_sheet_or_lesson(folder: Path) -> None:
    lesson = written(folder, 'kind = "lesson"\nsheet = "bridge.toml"\n[[stage]]\ntitle = "By hand"\n')
    for given, sections in ((folder / "bridge.toml", 11), (lesson, 1)):
        out = folder / "out.html"
        code, said, _ = typed("lesson", str(given), "-o", str(out), "--edition", "teacher", "--json")
        assert code == 0
        assert json.loads(said)["edition"] == "teacher"
        assert out.read_text(encoding="utf-8").count("<section id=") == sections
        assert json.loads(said)["bytes"] == out.stat().st_size


def test_the_command_writes_the_students_edition_unless_told_otherwise(folder: Path) -> None:
    code, said, _ = typed("lesson", str(folder / "bridge.toml"), "-o", str(folder / "out.html"))
    assert code == 0
    assert "student's edition" in said
    assert 'class="answer"' not in (folder / "out.html").read_text(encoding="utf-8")


def test_bad_input_is_refused_before_anything_is_written(folder: Path) -> None:
    lesson = written(folder, 'kind = "lesson"\nsheet = "nowhere.toml"\n')
    code, _, said = typed("lesson", str(lesson), "-o", str(folder / "out.html"))
    assert code == 2
    assert "lesson.toml, line 2, sheet" in said
    code, _, said = typed("lesson", str(folder / "bridge.toml"), "-o", str(folder / "out.pdf"))
    assert code == 2
    assert "a lesson is written as .html" in said
    assert not (folder / "out.html").exists()
