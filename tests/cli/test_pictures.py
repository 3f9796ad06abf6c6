"""Pictures from the command line: the right kind of file, whole, and nothing when something is wrong.

File signatures: PNG specification (ISO/IEC 15948), section 5.2; PDF (ISO 32000-1), section 7.5.2.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from typed_commands import Run


@pytest.mark.parametrize("kind", ["board", "schematic", "path", "waveforms"])
def test_every_kind_is_an_svg_with_a_title_and_a_text_equivalent(
    run: Run, filtered: str, tmp_path: Path, kind: str
) -> None:
    answer = run("figure", filtered, kind, "-o", "f.svg")
    assert (answer.code, answer.err) == (0, "")
    root = ET.parse(tmp_path / "f.svg").getroot()
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert root.get("role") == "img"
    for name in ("title", "desc"):
        found = root.find(f"{{http://www.w3.org/2000/svg}}{name}")
        assert found is not None
        assert found.text


@pytest.mark.parametrize(("name", "signature"), [("f.png", b"\x89PNG\r\n\x1a\n"), ("F.PDF", b"%PDF-")])
def test_pictures_and_pages_are_what_their_name_says(
    run: Run, unfiltered: str, tmp_path: Path, name: str, signature: bytes
) -> None:
    answer = run("figure", unfiltered, "waveforms", "-o", name, "--json")
    assert answer.code == 0
    assert answer.json()["file"] == name
    assert (tmp_path / name).read_bytes().startswith(signature)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["board", "-o", "f.jpg"], ".svg, .png, .pdf"),
        (["bord", "-o", "f.svg"], "bord"),
        (["path", "--degrees", "400", "-o", "f.svg"], "400"),
        (["board", "-o", "nowhere/f.svg"], "there is no folder nowhere"),
    ],
)
def test_a_slip_is_bad_input_and_writes_nothing(
    run: Run, unfiltered: str, tmp_path: Path, words: list[str], said: str
) -> None:
    answer = run("figure", unfiltered, *words)
    assert (answer.code, answer.out) == (2, "")
    assert said in answer.err
    assert [path.name for path in tmp_path.iterdir()] == [unfiltered]


def test_a_part_that_is_not_installed_is_named_with_the_extra_that_brings_it(
    run: Run, unfiltered: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "resvg_py", None)
    answer = run("figure", unfiltered, "waveforms", "-o", "f.png")
    assert (answer.code, answer.out) == (2, "")
    assert "railwright[draw]" in answer.err


def test_a_bridge_comes_on_its_corner_or_as_two_legs(run: Run, filtered: str, tmp_path: Path) -> None:
    for form in ("diamond", "in-line"):
        assert run("figure", filtered, "schematic", "--form", form, "-o", f"{form}.svg").code == 0
    assert (tmp_path / "diamond.svg").read_bytes() != (tmp_path / "in-line.svg").read_bytes()


def test_a_course_brings_its_words_and_symbols(run: Run, filtered: str, tmp_path: Path) -> None:
    assert run("figure", filtered, "board", "--course", "us", "-o", "us.svg").code == 0
    assert run("figure", filtered, "schematic", "--course", "us", "-o", "a.svg").code == 0
    assert run("figure", filtered, "schematic", "--standard", "ieee", "-o", "b.svg").code == 0
    text = (tmp_path / "us.svg").read_text(encoding="utf-8")
    assert "average" in text and "Line side closed" in text
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()


def test_a_course_that_is_not_there_is_bad_input(run: Run, filtered: str) -> None:
    answer = run("figure", filtered, "board", "--course", "nowhere.toml", "-o", "f.svg")
    assert (answer.code, answer.out) == (2, "")
    assert "nowhere.toml" in answer.err
