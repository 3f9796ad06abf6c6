"""Figures of the harbour's supplies: in a course's words, whole sentences, the right curves, the right caution."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import railwright
from railwright.course import read_course, read_course_text
from railwright.figures import board, draw
from railwright.figures.board import BEYOND_TOUCH, CAUTION
from railwright.figures.rows import reservoir, rows_of
from railwright.figures.scene import Group, Item, Scene, Text
from railwright.study import Study
from railwright.supply import replace

SHEETS = Path(__file__).parents[2] / "examples" / "supplies"
NAMES = sorted(path.stem for path in SHEETS.glob("*.toml"))


@cache
def solved(name: str) -> Study:
    return railwright.solve(railwright.read_sheet(SHEETS / f"{name}.toml"))


def texts(scene: Scene) -> list[str]:
    def within(items: tuple[Item, ...]) -> Iterator[str]:
        for item in items:
            if isinstance(item, Group):
                yield from within(item.items)
            elif isinstance(item, Text):
                yield item.text

    return list(within(scene.items))


@pytest.mark.parametrize("name", NAMES)
def test_the_explanation_on_a_board_is_made_of_whole_sentences(name: str) -> None:
    """It once was cut after the third line."""
    why = board._why(solved(name))
    lines = board._whole_sentences(why, 770.0)
    said = " ".join(lines)
    assert why.startswith(said)
    assert said.endswith(".") or not why
    assert said == why or len(lines) <= 4
    assert set(lines) <= set(texts(draw(solved(name), "board")))


def test_a_board_in_american_words_keeps_the_reader_s_own_title() -> None:
    study = solved("signal-lamp")
    words = texts(draw(study, "board", course=read_course("us")))
    assert study.title in words
    assert any("average" in text for text in words) and not any("mean" in text.split() for text in words)
    assert any(text.startswith("Line side closed") for text in words)


def test_a_course_s_decimal_comma_reaches_the_figure() -> None:
    comma = read_course_text('kind = "course"\nwords = "uk"\ndecimal = ","\n')
    words = texts(draw(solved("tide-gauge"), "waveforms", course=comma))
    assert any("67,3°" in text for text in words)
    assert not any("67.3°" in text for text in words)


def test_a_course_s_symbols_and_direction_of_current_are_taken_unless_told_otherwise() -> None:
    electron = read_course_text('kind = "course"\nwords = "us"\ncurrent_direction = "electron"\n')
    study = solved("tide-gauge")
    assert any("electron flow" in text for text in texts(draw(study, "path", course=electron)))
    told = draw(study, "path", course=electron, convention="conventional", standard="iec")
    assert not any("electron flow" in text for text in texts(told))


def test_no_sawtooth_by_hand_without_a_capacitor_in_place() -> None:
    """The half-wave supply with its capacitor taken out has humps; the unfiltered ripple is no sawtooth."""
    study = railwright.solve(replace(solved("half-wave").supply, "filter.1.fitted", False))
    labels = [curve.label for row in rows_of(study) for curve in row.curves]
    assert not any("by hand" in label for label in labels)


def test_a_multiplier_says_which_of_its_currents_are_shown() -> None:
    rows = {row.key: row for row in rows_of(solved("moth-counter"))}
    diodes = [curve.label for curve in rows["diodes"].curves if curve.label.startswith("D")]
    assert diodes == ["D1", "D2", "D9", "D10"]
    assert "first and last stage" in rows["diodes"].title
    assert [curve.label for curve in rows["capacitor"].curves] == ["C1", "C10"]
    assert "first and last of 10" in rows["capacitor"].title


@pytest.mark.parametrize(
    ("name", "place"),
    [("signal-lamp", "load"), ("fog-bell", "load_positive"), ("tide-gauge", "C1"), ("beacon-receiver", "load")],
)
def test_the_ripple_that_is_shown_is_the_load_s_where_the_capacitor_lies_across_it(name: str, place: str) -> None:
    assert reservoir(solved(name)) == place


@pytest.mark.parametrize(
    ("name", "caution"),
    [("moth-counter", BEYOND_TOUCH), ("fog-bell", BEYOND_TOUCH), ("signal-lamp", CAUTION), ("half-wave", "")],
)
def test_a_board_with_more_than_a_class_touches_says_so(name: str, caution: str) -> None:
    """314 V DC, 24 V RMS and more unloaded; 20.2 V RMS; a bench adapter of 12 V."""
    words = texts(draw(solved(name), "board"))
    assert [text for text in (CAUTION, BEYOND_TOUCH) if text in words] == ([caution] if caution else [])


def test_a_start_at_the_end_of_the_turn_is_one_at_its_beginning() -> None:
    words = " ".join(texts(draw(solved("beacon-receiver"), "start-up")))
    assert "Switched on 360°" not in words
