"""Corners: what each word changes, and that wrong words are told with their neighbours."""

from __future__ import annotations

import math

import pytest

import railwright
from railwright.supply import SheetError, at_corner, read_text

SHEET = """
title = "Harbour crane model"
mains = { voltage = "120 V", frequency = "60 Hz", tolerance = "5 %" }
transformer = { secondary_voltage = "20 V", rating = "20 VA", regulation = "10 %" }
rectifier = { circuit = "bridge", diode = { drop = "0.6 V" } }
filter = [{ capacitor = "330 uF", esr = "100 mohm" }]
load = { resistance = "200 ohm" }
conditions = { ambient_range = ["-10 °C", "45 °C"] }
"""


def test_high_mains_without_load_gives_the_open_peak_less_the_drops() -> None:
    """Case of a 10 V capacitor on 20 V: 20 V with 10 % regulation and 5 % of mains, two drops of 0.6 V: 31.5 V."""
    study = railwright.solve(at_corner(read_text(SHEET), "mains high, no load"))
    assert study.readings["C1.voltage.peak"].value == pytest.approx(20 * 1.1 * 1.05 * math.sqrt(2) - 1.2, rel=1e-9)


def test_high_mains_keeps_the_turns_of_the_transformer() -> None:
    """Definition: the label's voltages hold at nominal mains."""
    nominal, high = (
        railwright.solve(supply).readings.value("secondary.voltage.rms")
        for supply in (read_text(SHEET), at_corner(read_text(SHEET), "mains high"))
    )
    assert high == pytest.approx(1.05 * nominal, rel=1e-12)


def test_age_takes_a_fifth_of_the_capacitance_and_doubles_the_series_resistance() -> None:
    """The sheet's own rule, from memory of electrolytics' end-of-life limits."""
    section = at_corner(read_text(SHEET), "aged").filters[0]
    assert section.value == pytest.approx(264e-6)
    assert section.esr == pytest.approx(0.2)


@pytest.mark.parametrize(("word", "ambient"), [("hot", 45.0), ("cold", -10.0)])
def test_hot_and_cold_are_the_ends_of_the_ambient_range(word: str, ambient: float) -> None:
    assert at_corner(read_text(SHEET), word).conditions.ambient == ambient


@pytest.mark.parametrize(
    ("words", "sentence"),
    [("mains hi", "is no corner"), ("hot, cold", "exclude each other"), ("", "no corner is named")],
)
def test_wrong_words_are_told_with_what_there_is(words: str, sentence: str) -> None:
    with pytest.raises(SheetError, match=sentence):
        at_corner(read_text(SHEET), words)
