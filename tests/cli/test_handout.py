"""`railwright lesson --handout` and `railwright packs`: what they write, and that they write nothing half-made."""

from __future__ import annotations

import json
from pathlib import Path

from typed_commands import Run

NAMES = ["F-student.docx", "F-student.pdf", "F-teacher.docx", "F-teacher.pdf"]


def beside(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if path.suffix != ".toml")


def test_a_lesson_writes_its_four_hand_outs(run: Run, filtered: str, tmp_path: Path) -> None:
    answer = run("lesson", filtered, "-o", "page.html", "--handout", "F.pdf", "--course", "us")
    assert answer.code == 0
    assert beside(tmp_path) == [*NAMES, "page.html"]
    assert "F-student.pdf" in answer.out and "Letter" in answer.out
    assert (tmp_path / "F-student.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "F-teacher.docx").read_bytes().startswith(b"PK")


def test_the_hand_outs_are_named_in_the_json(run: Run, unfiltered: str) -> None:
    answer = run("lesson", unfiltered, "-o", "page.html", "--handout", "F.pdf", "--json")
    assert answer.code == 0
    assert sorted(json.loads(answer.out)["handouts"]) == NAMES


def test_a_hand_out_is_named_after_a_pdf(run: Run, unfiltered: str, tmp_path: Path) -> None:
    answer = run("lesson", unfiltered, "-o", "page.html", "--handout", "F.docx")
    assert answer.code == 2
    assert "--handout F.docx: hand-outs are named after a .pdf." in answer.err
    assert beside(tmp_path) == []


def test_nothing_is_written_where_one_of_the_files_cannot_be(run: Run, unfiltered: str, tmp_path: Path) -> None:
    (tmp_path / "F-teacher.docx").mkdir()
    answer = run("lesson", unfiltered, "-o", "page.html", "--handout", "F.pdf")
    assert answer.code == 2 and "it is a folder" in answer.err
    assert beside(tmp_path) == ["F-teacher.docx"]
    answer = run("lesson", unfiltered, "-o", "nowhere/page.html", "--handout", "G.pdf")
    assert answer.code == 2 and "there is no folder nowhere" in answer.err
    answer = run("lesson", unfiltered, "-o", "page.html", "--handout", "nowhere/F.pdf")
    assert answer.code == 2 and "there is no folder nowhere" in answer.err
    assert beside(tmp_path) == ["F-teacher.docx"]


def test_a_pack_is_a_folder_and_a_zip(run: Run, unfiltered: str, tmp_path: Path) -> None:
    (tmp_path / "pier.toml").write_text(f'kind = "lesson"\nsheet = "{unfiltered}"\n', encoding="utf-8")
    answer = run("packs", "pier.toml", "-o", "out", "--course", "uk")
    assert answer.code == 0
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["pier-uk", "pier-uk.zip"]
    assert (tmp_path / "out" / "pier-uk" / "student" / "handout.pdf").is_file()


def test_packs_are_made_of_lesson_files(run: Run, unfiltered: str, tmp_path: Path) -> None:
    answer = run("packs", unfiltered, "-o", "out")
    assert answer.code == 2 and 'kind = "lesson"' in answer.err
    assert beside(tmp_path) == []


def test_a_pack_that_has_no_place_says_so(run: Run, unfiltered: str, tmp_path: Path) -> None:
    (tmp_path / "pier.toml").write_text(f'kind = "lesson"\nsheet = "{unfiltered}"\n', encoding="utf-8")
    (tmp_path / "out").write_text("a file", encoding="utf-8")
    answer = run("packs", "pier.toml", "-o", "out", "--course", "uk")
    assert answer.code == 2 and "Name another folder" in answer.err
