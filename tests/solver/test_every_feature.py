"""Each feature of the sheet against the referee's nodal equations, listed part by part by hand.

The referee (tests/referee/nodal.py, collocation.py) solves the unreduced equations by Radau's collocation of order
five; curved diodes are its own exponential law, not straight pieces.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import pytest

import railwright
from railwright.supply import with_fault
from referee.collocation import NodalPeriod
from referee.features import FEATURES, comparisons, referee, verdict
from referee.nodal import Nodal
from referee.supplies import verdict as other_verdict

#: What the program promises: straight diodes 0.01 %; curved ones 0.05 % of the mean, 0.2 % of ripple, RMS and peak.
PROMISED = {"textbook": (1e-4, 1e-4), "physical": (5e-4, 2e-3)}


@cache
def solved(name: str) -> Any:
    """The program's answer for a feature, solved once."""
    feature = FEATURES[name]
    supply = railwright.read_text(feature.sheet)
    for words in feature.faults:
        supply = with_fault(supply, words)
    return railwright.solve(supply, model=feature.model)


def _reservoir_bridge() -> Nodal:
    c = Nodal(period=0.02, ground=frozenset({"negative"}))
    c.source("mains", "a", "b", lambda t: 12 * math.sqrt(2) * math.sin(100 * math.pi * t), 0.4)
    for name, plus, minus in (("D1", "a", "p"), ("D2", "b", "p"), ("D3", "negative", "a"), ("D4", "negative", "b")):
        c.diode(name, plus, minus, 0.7, 0.05)
    c.capacitor("C1", "p", "negative", 2200e-6, 0.04)
    c.resistor("load", "p", "negative", 100.0)
    return c


def test_the_nodal_referee_reproduces_the_thirty_digit_numbers_of_the_reservoir_bridge():
    """Computed with 30-digit arithmetic, independent of this program; extremes are read off a cubic per step."""
    steady = NodalPeriod(_reservoir_bridge())
    assert steady.mean("v:p") == pytest.approx(14.8621119883979, rel=1e-9)
    assert steady.rms("i:D1") == pytest.approx(0.270378652676238, rel=1e-7)
    assert steady.ripple("v:p") == pytest.approx(0.563971767817834, rel=1e-6)
    assert steady.peak("i:D1") == pytest.approx(1.23343451163907, rel=1e-5)


def test_the_two_referees_agree_on_curved_diodes():
    """The nodal referee's exponential diode against the one by Lambert's function, integrated by DOP853."""
    c = Nodal(period=0.02, ground=frozenset({"negative"}))
    c.source("mains", "a", "b", lambda t: 12 * math.sqrt(2) * math.sin(100 * math.pi * t), 0.4)
    slope = 1.8 * 1.380649e-23 * 300.0 / 1.602176634e-19
    for name, plus, minus in (("D1", "a", "p"), ("D2", "b", "p"), ("D3", "negative", "a"), ("D4", "negative", "b")):
        c.exponential_diode(name, plus, minus, 1e-9, slope, 0.05)
    c.capacitor("C1", "p", "negative", 2200e-6, 0.04)
    c.resistor("load", "p", "negative", 100.0)
    steady, name = NodalPeriod(c), "exponential reservoir bridge"
    assert steady.mean("v:p") == pytest.approx(other_verdict(name, "mean", "load.voltage"), rel=1e-7)
    assert steady.rms("i:D1") == pytest.approx(other_verdict(name, "rms", "D1.current"), rel=1e-6)
    assert steady.peak("i:D1") == pytest.approx(other_verdict(name, "peak", "D1.current"), rel=2e-5)


@pytest.mark.parametrize("name", FEATURES)
def test_the_solver_agrees_with_the_referee_on_every_feature(name):
    """Means, RMS and peaks relative to themselves, ripple relative to the waveform's peak."""
    promised_mean, promised_rest = PROMISED[FEATURES[name].model]
    readings, apart = solved(name).readings, {}
    for reading, measure, output in comparisons(FEATURES[name]):
        expected, computed = verdict(name, measure, output), readings[reading].value
        assert computed is not None, f"{reading} has no value: {readings[reading].reason}"
        difference = abs(computed - expected) / scale_of(name, measure, output, expected)
        if not difference <= (promised_mean if measure == "mean" else promised_rest):
            apart[reading] = f"computed {computed!r}, referee {expected!r}, apart by {difference:.1e}"
    assert not apart, apart


def scale_of(name: str, measure: str, output: str, expected: float) -> float:
    """A textbook ripple is measured by the waveform's peak; a value that is nothing beside that peak is too."""
    peak = abs(verdict(name, "peak", output))
    small = abs(expected) < 1e-6 * peak
    return peak if small or (measure == "ripple" and FEATURES[name].model == "textbook") else abs(expected)


@pytest.mark.parametrize("name", [n for n, f in FEATURES.items() if any(c in ("C1", "C2") for c in f.compare)])
def test_the_referee_keeps_the_law_of_charge(name):
    """Law: a capacitor's mean current over one steady period is zero, relative to its own RMS."""
    for capacitor in ("C1", "C2"):
        if f"i:{capacitor}" in referee(name).circuit.unknowns:
            assert abs(verdict(name, "mean", f"i:{capacitor}")) < 1e-7 * verdict(name, "rms", f"i:{capacitor}")
