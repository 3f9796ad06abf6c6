"""A set of harbour notes with planted slips, found and listed by hand in answers.toml: how many the program finds.

The witness is a pocket calculator and the reader who planted them; the last two notes were marked before the program
had been run on them. "No false error" means that a line which the list doesn't name gets no finding but a note.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from railwright.exercises.proofreading import Proofreading, proofread
from railwright.study import read_sheet, solve

NOTES = Path(__file__).resolve().parents[2] / "data" / "notes"
SHEETS = Path(__file__).resolve().parents[3] / "examples" / "supplies"
ANSWERS: list[Mapping[str, Any]] = tomllib.loads((NOTES / "answers.toml").read_text(encoding="utf-8"))["notes"]
FILES = [answer["file"] for answer in ANSWERS]
SHARE = 0.95  # of the slips, to be found
LEAST_LINES, LEAST_SLIPS, LEAST_KINDS = 60, 30, 12


@cache
def read(file: str) -> Proofreading:
    answer = next(a for a in ANSWERS if a["file"] == file)
    text = (NOTES / file).read_text(encoding="utf-8")
    study = solve(read_sheet(SHEETS / answer["sheet"]))
    return proofread(text, study, decimal=answer.get("decimal", "."))


def slips(answer: Mapping[str, Any]) -> dict[int, str]:
    return {int(line): kind for line, kind in answer["slips"].items()}


def test_the_set_is_large_enough() -> None:
    planted = [kind for answer in ANSWERS for kind in slips(answer).values()]
    lines = sum(read(file).equations for file in FILES)
    assert lines >= LEAST_LINES
    assert len(planted) >= LEAST_SLIPS
    assert len(set(planted)) >= LEAST_KINDS


def test_nearly_all_planted_slips_are_found_and_named() -> None:
    missed, planted = [], 0
    for answer in ANSWERS:
        found = {(f.line, f.kind) for f in read(answer["file"]).findings}
        planted += len(slips(answer))
        missed += [(answer["file"], *slip) for slip in slips(answer).items() if slip not in found]
    assert len(missed) <= (1.0 - SHARE) * planted, missed


@pytest.mark.parametrize("file", FILES)
def test_a_right_line_gets_no_more_than_a_note(file: str) -> None:
    planted = slips(next(a for a in ANSWERS if a["file"] == file))
    false = [f for f in read(file).findings if f.line not in planted and f.severity != "note"]
    assert not false


@pytest.mark.parametrize("file", FILES)
def test_every_line_of_the_set_is_read(file: str) -> None:
    assert read(file).unread == ()
