"""The handbook on the command line.

Ripple of the straight-line discharge, I/(f C): 0.15 A, 100 Hz, 2200 µF give 0.6818 V (worked by hand from the
formula's own statement).
"""

from __future__ import annotations

import pytest
from pytest import approx

from typed_commands import Run

ID = "ripple-straight-line"
GIVEN = ("load_current=0.15", "recharge_frequency=100", "capacitance=2200e-6")


def test_a_formula_is_worked_from_si_numbers(run: Run) -> None:
    options = [word for pair in GIVEN for word in ("--with", pair)]
    answer = run("formulas", ID, *options, "--json")
    assert (answer.code, answer.err) == (0, "")
    worked = answer.json()
    assert set(worked) == {"id", "value", "unit", "valid", "assumes", "source"}
    assert (worked["id"], worked["unit"], worked["valid"]) == (ID, "V", True)
    assert worked["value"] == approx(0.15 / (100 * 2200e-6), rel=1e-12)
    assert worked["assumes"]
    assert worked["source"]


def test_quantities_may_carry_their_unit_and_follow_one_with(run: Run) -> None:
    answer = run(
        "formulas", ID, "--with", "load_current=150 mA", "recharge_frequency=100 Hz", "capacitance=2200 uF", "--json"
    )
    assert answer.json()["value"] == approx(0.6818, abs=5e-5)
    spoken = run("formulas", ID, "--with", "load_current=150 mA", "recharge_frequency=100 Hz", "capacitance=2200 uF")
    assert "ripple_peak_to_peak = 0.6818 V" in spoken.out


def test_words_search_and_an_id_shows(run: Run) -> None:
    assert ID in run("formulas", "ripple", "--json").out
    shown = run("formulas", ID).out
    assert "load_current [A]" in shown
    assert "Source: " in shown
    assert run("formulas").out.count("\n") > 20


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([ID, "--with", "load_current=0.15"], "not given: recharge_frequency"),
        ([ID, "--with", "current=0.15"], "no quantity current"),
        ([ID, "--with", "load_current=0.15 V"], "is a voltage, where a current is needed"),
        ([ID, "--with", "load_current"], "write NAME=VALUE"),
        ([ID, "--with", "load_current=nan", *GIVEN[1:]], "load_current"),
        (["ripple-strait-line", "--with", "load_current=1"], f"Did you mean {ID}"),
        (["ripple", "choke", "--with", "load_current=1"], "one formula"),
    ],
)
def test_a_slip_is_told(run: Run, words: list[str], said: str) -> None:
    answer = run("formulas", *words, "--json")
    assert (answer.code, answer.out) == (2, "")
    assert said in answer.err
