"""The sentence that says why a formula differs.

The computed values of the reference supply (bridge, 12 V, 2200 µF, 100 ohm, 0.7 V a diode, stiff winding) stand here
as plain facts: an independent solution gave load peak 15.57, mean 15.26, ripple 0.631 V, conduction 16.4 degrees in
each half-cycle.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from railwright import supply
from railwright.handbook import HandResult, by_hand, explain, look_up

REFERENCE = supply.read_text(
    """
[mains]
voltage = "230 V"
frequency = "50 Hz"
[transformer]
secondary_voltage = "12 V"
[rectifier]
circuit = "bridge"
[[filter]]
capacitor = "2200 uF"
[load]
resistance = "100 ohm"
"""
)
FACTS = {
    "load.voltage.peak": 15.57,
    "load.voltage.mean": 15.26,
    "load.voltage.ripple_peak_to_peak": 0.631,
    "load.voltage.ripple_rms": 0.186,
    "C1.voltage.peak": 15.57,
    "C1.voltage.ripple_peak_to_peak": 0.631,
    "rectifier.conduction.angle": 32.8,
    "D1.conduction.angle": 16.4,
    "D1.current.peak": 3.32,
    "secondary.voltage.peak": 16.97,
    "load.current.mean": 0.1526,
}
RESULTS = by_hand(REFERENCE)


def worked(reading: str, formula: str) -> HandResult:
    return next(r for r in RESULTS if (r.reading, r.formula) == (reading, formula))


RIPPLE = worked("load.voltage.ripple_peak_to_peak", "ripple-straight-line")


def test_the_ripple_is_blamed_on_the_discharge_that_ends_early() -> None:
    """1 - 32.8/360 is 91 %; 0.708 is 12 % above 0.631."""
    explanation = explain(RIPPLE, FACTS)
    assert explanation is not None
    assert explanation.sentence.startswith("Too high by 12 %")
    assert "whole time from one peak to the next" in explanation.sentence
    assert "conduct again after 91 % of that half period" in explanation.sentence
    assert explanation.difference == approx(0.12, abs=0.005)


@given(st.sampled_from([r for r in RESULTS if r.reading in FACTS]), st.floats(0.2, 5.0))
def test_the_parts_add_up_to_the_whole(result: HandResult, stretch: float) -> None:
    facts = {**FACTS, result.reading: FACTS[result.reading] * stretch}
    explanation = explain(result, facts)
    assert explanation is not None
    total = math.fsum(part.amount for part in explanation.contributions)
    assert total == approx(abs(result.value) - abs(facts[result.reading]), abs=1e-9 * abs(result.value) + 1e-12)
    assert explanation.contributions[-1].value == abs(facts[result.reading])


@given(st.sampled_from([r for r in RESULTS if r.reading in FACTS]), st.floats(0.2, 5.0))
def test_high_and_low_are_told_apart(result: HandResult, stretch: float) -> None:
    computed = result.value * stretch
    explanation = explain(result, {**FACTS, result.reading: computed})
    assert explanation is not None
    if explanation.sentence.startswith("Too high"):
        assert result.value > computed
    elif explanation.sentence.startswith("Too low"):
        assert result.value < computed
    else:
        assert result.value == approx(computed, rel=0.01)


def test_agreement_within_the_digits_is_said() -> None:
    peak = worked("load.voltage.peak", "load-peak-less-drops")
    explanation = explain(peak, FACTS)
    assert explanation is not None
    assert "agree" in explanation.sentence and "15.6 V" in explanation.sentence


def test_a_loaded_winding_is_named_as_the_cause_of_a_lower_peak() -> None:
    """A winding that sags to 16.0 V takes 0.97 V off the load's peak; 15.571/14.6 is 1.066."""
    peak = worked("load.voltage.peak", "load-peak-less-drops")
    explanation = explain(peak, {"load.voltage.peak": 14.6, "secondary.voltage.peak": 16.0})
    assert explanation is not None
    assert explanation.sentence.startswith("Too high by 6.6 %")
    assert "here the loaded winding reaches 16 V, not 16.97 V" in explanation.sentence


def test_what_pulls_the_other_way_is_told_too() -> None:
    """Computed ripple above what the shorter discharge leaves: two causes of opposite sign."""
    facts = {**FACTS, "load.voltage.ripple_peak_to_peak": 0.68}
    explanation = explain(RIPPLE, facts)
    assert explanation is not None
    assert "It would be" in explanation.sentence and "but it also" in explanation.sentence


def test_without_facts_the_whole_goes_to_what_remains() -> None:
    explanation = explain(RIPPLE, {"load.voltage.ripple_peak_to_peak": 0.631})
    assert explanation is not None
    assert explanation.contributions[-1].amount != 0.0
    assert explanation.sentence.startswith("Too high by 12 %")


def test_no_computed_value_no_sentence() -> None:
    assert explain(RIPPLE, {}) is None
    assert explain(RIPPLE, {RIPPLE.reading: math.nan}) is None


def test_a_negative_rail_is_compared_by_size() -> None:
    result = HandResult(
        reading="load_negative.voltage.mean",
        formula="load-mean-less-half-ripple",
        value=-15.0,
        unit="V",
        valid=True,
        givens={"load_peak": 15.5, "ripple_peak_to_peak": 1.0},
        places={"drawn": "load_negative", "here": "load_negative"},
    )
    facts = {
        "load_negative.voltage.mean": -14.0,
        "load_negative.voltage.peak": -14.4,
        "load_negative.voltage.ripple_peak_to_peak": 0.8,
    }
    explanation = explain(result, facts)
    assert explanation is not None
    assert explanation.sentence.startswith("Too high by 7.1 %")
    assert "the peak that a source without resistance would give" in explanation.sentence


def test_outside_its_range_the_formula_says_so() -> None:
    heavy = supply.replace(REFERENCE, "load.resistance", "10 ohm")
    result = next(r for r in by_hand(heavy) if r.formula == "ripple-straight-line")
    assert not result.valid
    explanation = explain(result, {result.reading: 0.7 * result.value})
    assert explanation is not None
    assert "outside its range" in explanation.sentence


@pytest.mark.parametrize("result", RESULTS, ids=lambda r: f"{r.reading} by {r.formula}")
def test_every_working_can_be_explained(result: HandResult) -> None:
    explanation = explain(result, {**FACTS, result.reading: 1.1 * result.value})
    assert explanation is not None
    assert explanation.sentence.startswith("Too low by 9.1 %")
    assert look_up(result.formula).assumptions or "leaves out all else" in explanation.sentence
