"""`railwright proofread`: exit codes, one JSON object, a verdict; files that aren't there or aren't text."""

from __future__ import annotations

from pathlib import Path

import pytest

from typed_commands import Run

#: For the fixtures' sheets: 9 V RMS, so a peak of 9 x √2 = 12.73 V.
RIGHT = "# Peak\n\nThe source peak: Vp = 9 V * 1.414 = 12.73 V\n"
SLIP = "# Peak\n\nThe source peak: Vp = 9 V * 1.414 = 12.37 V\n"
WARNING = "# Ripple frequency\n\nripple frequency = 50 Hz\n"


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    return tmp_path / "notes.md"


def test_right_notes_end_with_zero_and_a_verdict(run: Run, unfiltered: str, notes: Path) -> None:
    notes.write_text(RIGHT, encoding="utf-8")
    answer = run("proofread", "notes.md", unfiltered)
    assert (answer.code, answer.err) == (0, "")
    assert answer.out == "1 worked line read: no slip found.\n"


def test_an_error_ends_with_one_and_says_its_line_first(run: Run, filtered: str, notes: Path) -> None:
    notes.write_text(SLIP, encoding="utf-8")
    answer = run("proofread", "notes.md", filtered)
    assert answer.code == 1
    first, *_, last = answer.out.splitlines()
    assert first == "line 3: error, arithmetic: 9 V × 1.414 gives 12.73 V, not 12.37 V."
    assert last == "1 worked line read: 1 error; put the errors right before the notes are used."


def test_a_warning_alone_leaves_the_code_at_zero(run: Run, filtered: str, notes: Path) -> None:
    notes.write_text(WARNING, encoding="utf-8")
    answer = run("proofread", "notes.md", filtered)
    assert answer.code == 0
    assert answer.out.startswith("line 3: warning, ripple frequency: ")
    assert answer.out.endswith("1 worked line read: 1 warning; no error.\n")


def test_json_is_one_object_with_the_keys_that_are_promised(run: Run, filtered: str, notes: Path) -> None:
    notes.write_text(SLIP, encoding="utf-8")
    answer = run("proofread", "notes.md", filtered, "--json")
    assert answer.code == 1
    (finding,) = answer.json()["findings"]
    assert finding == {
        "line": 3,
        "given": "12.37 V",
        "expected": "12.73 V",
        "kind": "arithmetic",
        "severity": "error",
        "text": "9 V × 1.414 gives 12.73 V, not 12.37 V.",
    }


def test_what_was_set_on_the_command_line_is_what_the_notes_are_held_against(
    run: Run, filtered: str, notes: Path
) -> None:
    notes.write_text("C = 1000 uF\n", encoding="utf-8")
    assert run("proofread", "notes.md", filtered).code == 1
    assert run("proofread", "notes.md", filtered, "--set", "filter.1.capacitor=1000 uF").code == 0


def test_the_decimal_sign_is_an_option(run: Run, unfiltered: str, notes: Path) -> None:
    notes.write_text("Vp = 9 V * 1,414 = 12,73 V\n", encoding="utf-8")
    refused = run("proofread", "notes.md", unfiltered)
    assert "1 line not read: 1 (a decimal comma: read with --decimal ,)." in refused.out
    assert run("proofread", "notes.md", unfiltered, "--decimal", ",").out == "1 worked line read: no slip found.\n"


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (None, "no such file"),
        (b"\xff\xfe\x00V", "isn't UTF-8"),
        (b"Vp = 1 V\x00", "isn't plain text"),
        (b"a" * 500_000, "at most"),
    ],
)
def test_notes_that_cannot_be_read_are_bad_input(
    run: Run, filtered: str, notes: Path, content: bytes | None, says: str
) -> None:
    if content is not None:
        notes.write_bytes(content)
    answer = run("proofread", "notes.md", filtered)
    assert (answer.code, answer.out) == (2, "")
    assert says in answer.err


def test_a_folder_is_no_notes(run: Run, filtered: str, tmp_path: Path) -> None:
    answer = run("proofread", str(tmp_path), filtered)
    assert answer.code == 2
    assert "is a folder" in answer.err


@pytest.mark.parametrize(("file", "code"), [("tide-gauge.md", 0), ("tide-gauge-with-slips.md", 1)])
def test_the_example_notes_are_what_they_say_they_are(run: Run, root: Path, file: str, code: int) -> None:
    sheet = root / "examples" / "supplies" / "tide-gauge.toml"
    assert run("proofread", str(root / "examples" / "notes" / file), str(sheet)).code == code


def test_with_a_course_its_letters_are_names_and_its_decimal_sign_is_read(
    run: Run, filtered: str, notes: Path, tmp_path: Path
) -> None:
    (tmp_path / "own.toml").write_text(
        'kind = "course"\nwords = "uk"\ndecimal = ","\n[symbols]\nsource_peak = "W_s"\n', encoding="utf-8"
    )
    notes.write_text("# Peak\n\nW_s = 13,9 V\n", encoding="utf-8")
    assert run("proofread", "notes.md", filtered, "--decimal", ",").code == 0
    answer = run("proofread", "notes.md", filtered, "--course", "own.toml")
    assert answer.code == 1
    assert "against sheet" in answer.out
