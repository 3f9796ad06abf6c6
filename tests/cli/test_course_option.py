"""Every command that solves takes a course; where nothing is worked by hand it sets the decimal sign."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from railwright.cli import railwright

ROOT = Path(__file__).resolve().parents[2]
SHEET = str(ROOT / "examples" / "supplies" / "half-wave.toml")


@pytest.fixture
def comma(tmp_path: Path) -> str:
    course = tmp_path / "comma.toml"
    course.write_text('kind = "course"\ntitle = "Abendkurs"\nwords = "uk"\ndecimal = ","\n', encoding="utf-8")
    return str(course)


@pytest.mark.parametrize(
    "words",
    [
        ["table", SHEET, "load.voltage.mean", "--over", "load.resistance=100ohm..333ohm", "--points", "2"],
        ["find", SHEET, "load.resistance", "--so-that", "load.voltage.mean >= 5.5 V"],
        ["inrush", SHEET, "--model", "textbook"],
        ["discharge", SHEET, "--model", "textbook"],
    ],
)
def test_numbers_have_the_courses_decimal_sign(words: list[str], comma: str) -> None:
    done = CliRunner().invoke(railwright, [*words, "--course", comma])
    assert done.exit_code in (0, 1), done.output
    assert re.search(r"\d,\d+ [Vm]", done.output), done.output
    assert not re.search(r"\d\.\d+ (V|mA|A)\b", done.output.split("Caution")[0]), done.output


def test_a_course_that_is_not_there_is_said(tmp_path: Path) -> None:
    written = tmp_path / "w.csv"
    done = CliRunner().invoke(railwright, ["waveforms", SHEET, "-o", str(written), "--course", "nowhere.toml"])
    assert done.exit_code != 0
    assert not written.exists()
