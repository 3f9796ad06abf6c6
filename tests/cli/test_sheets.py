"""A sheet to start from."""

from __future__ import annotations

from pathlib import Path

import pytest

from typed_commands import Run


def test_new_writes_a_sheet_that_solves(run: Run, tmp_path: Path) -> None:
    answer = run("new", "first")
    assert (answer.code, answer.err) == (0, "")
    assert "railwright solve first.toml" in answer.out
    assert run("solve", "first.toml", "--json").code == 0
    assert [path.name for path in tmp_path.iterdir()] == ["first.toml"]


@pytest.mark.parametrize("example", ["signal-lamp", "beacon-receiver.toml"])
def test_new_copies_the_example_asked_for(run: Run, root: Path, tmp_path: Path, example: str) -> None:
    assert run("new", "mine.toml", "--from", example).code == 0
    original = root / "examples" / "supplies" / f"{example.removesuffix('.toml')}.toml"
    assert (tmp_path / "mine.toml").read_text(encoding="utf-8") == original.read_text(encoding="utf-8")


def test_new_never_overwrites(run: Run, tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text("an evening's work")
    answer = run("new", "mine")
    assert answer.code == 2
    assert "is there already and stays as it is" in answer.err
    assert (tmp_path / "mine.toml").read_text() == "an evening's work"


def test_an_unknown_example_is_told_with_the_nearest(run: Run) -> None:
    answer = run("new", "mine", "--from", "signal-lamb")
    assert answer.code == 2
    assert 'Did you mean "signal-lamp"?' in answer.err


def test_a_missing_folder_is_bad_input(run: Run) -> None:
    answer = run("new", "nowhere/mine")
    assert answer.code == 2
    assert "there is no folder nowhere" in answer.err
