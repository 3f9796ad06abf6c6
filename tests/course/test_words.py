"""Sentences in a course's words: our terms replaced, ids and numbers left alone."""

from __future__ import annotations

import pytest

from railwright.course.words import GLOSSARY, in_dialect


@pytest.mark.parametrize(
    ("ours", "us"),
    [
        ("Mains voltage kills.", "Line voltage kills."),
        ("the mean across the reservoir capacitor", "the average across the filter capacitor"),
        ("The reservoir stays charged; earth it", "The filter capacitor stays charged; ground it"),
        ("a mean of 0.9 V; a centre-tap", "an average of 0.9 V; a center-tap"),
        ("The clip is earthed", "The clip is grounded"),
    ],
)
def test_a_sentence_takes_american_words(ours, us):
    """The US column of the glossary (curriculum: words met in US textbooks, FAA and Navy courses)."""
    assert in_dialect(ours, "us") == us


@pytest.mark.parametrize(
    "kept",
    ["load.voltage.mean", "mains.voltage", "full-wave-mean", "centre-tap-reverse-voltage", "it means", "meaning"],
)
def test_ids_and_other_words_stay_what_they_are(kept):
    assert in_dialect(kept, "us") == kept


def test_a_british_sentence_stays_british():
    assert in_dialect("Mains: the mean across the reservoir", "uk") == "Mains: the mean across the reservoir"
    assert in_dialect("the bleeder", "uk") == "the bleed resistor"


def test_numbers_take_the_decimal_sign():
    """A sentence's full stop isn't a decimal sign."""
    assert in_dialect("1.23 V, not 1.8 V. It is 0.5.", "uk", decimal=",") == "1,23 V, not 1,8 V. It is 0,5."


def test_every_term_has_a_meaning_and_a_word_in_both_columns():
    assert len({entry.ours for entry in GLOSSARY}) == len(GLOSSARY)
    for entry in GLOSSARY:
        assert entry.meaning and entry.uk[0] and entry.us[0]
