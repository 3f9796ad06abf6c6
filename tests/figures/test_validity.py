"""The chart of the ripple formulas: its errors are those of an independent solution, its place is the supply's own."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

import railwright
from railwright.figures.scene import Circle, leaves, render
from railwright.figures.validity import (
    FORMULAS,
    error_at,
    own_place,
    ripple_curves,
    told,
    validity,
    validity_scene,
)

EXAMPLES = Path(__file__).parents[2] / "examples" / "supplies"

#: Ripple over peak at omega R C: exact full-wave, t/RC, 2/(1+2RC/t), 1-exp(-t/RC); exact half-wave, t/RC. The table
#: of tests/data/published-README.md, from a numerical steady state that shares no code with the handbook.
TABLE = {
    100.0: (0.0286, 0.0314, 0.0309, 0.0309, 0.0576, 0.0628),
    30.0: (0.0863, 0.1047, 0.0995, 0.0994, 0.1722, 0.2094),
    10.0: (0.215, 0.314, 0.271, 0.270, 0.411, 0.628),
    5.0: (0.353, 0.628, 0.478, 0.467, 0.631, 1.257),
}


@pytest.mark.parametrize("place", TABLE)
def test_the_errors_are_those_of_an_independent_solution(place):
    """The table above; three figures of both numbers leave 0.4 % of the ratio at most."""
    exact, straight, trade, exponential, exact_half, straight_half = TABLE[place]
    full = dict(zip(FORMULAS, ripple_curves(FORMULAS, FORMULAS, pulses=2.0), strict=True))
    half = dict(zip(FORMULAS, ripple_curves(FORMULAS, FORMULAS, pulses=1.0), strict=True))
    for curve, by_hand, true in (
        (full["ripple-straight-line"], straight, exact),
        (full["ripple-trade"], trade, exact),
        (full["ripple-exponential"], exponential, exact),
        (half["ripple-straight-line"], straight_half, exact_half),
    ):
        assert 1.0 + error_at(curve, place) == pytest.approx(by_hand / true, rel=0.005)


def test_every_formula_reads_high_and_gets_better_with_more_capacitance():
    """The diodes conduct before the whole time has passed, so a discharge over all of it is too long."""
    for pulses in (1.0, 2.0):
        for curve in ripple_curves(FORMULAS, FORMULAS, pulses=pulses):
            errors = [error for place, error in curve.points if place >= 10.0]
            assert all(error > 0.0 for error in errors)
            assert errors == sorted(errors, reverse=True)


def test_a_supply_s_place_is_its_own_omega_r_c():
    """Half-wave example: 2 pi 50 Hz x 470 ohm x 470 uF; one pulse a period."""
    study = railwright.solve(railwright.read_sheet(EXAMPLES / "half-wave.toml"))
    place, pulses = own_place(study)
    assert place == pytest.approx(2.0 * math.pi * 50.0 * 470.0 * 470e-6)
    assert pulses == 1.0


def test_the_supply_s_place_is_marked_on_every_curve_and_told_in_words():
    study = railwright.solve(railwright.read_sheet(EXAMPLES / "signal-lamp.toml"))
    scene = validity(study)
    dots = [leaf for item in scene.items for leaf in leaves(item) if isinstance(leaf, Circle)]
    assert len(dots) == len(FORMULAS)
    assert "Here ωRC is 41.5" in scene.description
    assert render(scene).startswith("<svg")


def test_a_supply_without_a_reservoir_has_no_such_chart():
    study = railwright.solve(railwright.read_sheet(EXAMPLES / "beacon-receiver.toml"))
    with pytest.raises(ValueError, match="needs a reservoir capacitor with a resistive load"):
        validity(study)


def test_curves_differ_in_more_than_colour():
    """Copies and eyes that tell no colours: dash or width."""
    scene = validity_scene(ripple_curves(FORMULAS, FORMULAS, pulses=2.0), own=30.0)
    lines = [leaf for item in scene.items for leaf in leaves(item) if "curve" in leaf.tag.classes]
    assert len({(line.pen.dash, line.pen.width) for line in lines}) == len(FORMULAS)


def test_an_error_outside_the_chart_is_a_dash():
    curve = ripple_curves(FORMULAS[:1], ["straight"], pulses=2.0)[0]
    assert told(curve, 1e6, ".") == "–"
    assert told(curve, 10.0, ",").startswith("+46")
