"""The implicit step that finds a pattern: one answer, wherever it starts, and the one that the exact choice makes."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from scipy.linalg import expm

from railwright.network import build
from railwright.solver.equations import Equations
from railwright.solver.period import Follower, Stretch
from railwright.solver.small_step import patterns_a_moment_later
from railwright.supply import read_text

MAINS = 'mains = { voltage = "12 V", frequency = "50 Hz", source = "generator" }\n'
#: Without any resistance: charge is shared in jumps, and many diodes switch as one.
SHEETS = {
    "multiplier": MAINS
    + """
        load = { resistance = "22 kohm" }
        [rectifier]
        circuit = "multiplier"
        stages = 3
        diode = { drop = "0.5 V" }
        pump_capacitor = "100 uF"
        stage_capacitor = "68 uF"
    """,
    "full-wave doubler": MAINS
    + """
        rectifier = { circuit = "full-wave-doubler", diode = { drop = "0.7 V" }, stage_capacitor = "470 uF" }
        load = { resistance = "1 kohm" }
    """,
    "choke input": MAINS
    + """
        rectifier = { circuit = "bridge", diode = { drop = "0.7 V" } }
        filter = [{ choke = "50 mH" }, { capacitor = "1000 uF" }]
        load = { resistance = "47 ohm" }
    """,
}


def settled(name: str) -> tuple[Equations, tuple[Stretch, ...]]:
    """A circuit and its stretches after some periods from rest."""
    equations = Equations(build(read_text(SHEETS[name]), "textbook"))
    follower = Follower(equations)
    state = np.zeros(equations.layout.dynamic)
    for _ in range(20):
        state = follower.follow(state, linearise=False).end[: len(state)]
    return equations, follower.follow(state, record=True).stretches


def middle_of(stretch: Stretch) -> np.ndarray:
    """The state half-way through a stretch."""
    return expm(stretch.pattern.motion * (stretch.end - stretch.start) / 2) @ stretch.states[0]


def unknowns(equations: Equations, key: tuple[int, ...], state: np.ndarray) -> np.ndarray:
    """Voltages and currents in a pattern: a diode that just touches its threshold may count as on or off."""
    return equations.pattern(key).outputs @ state


@pytest.mark.parametrize("name", SHEETS)
def test_every_start_of_the_search_ends_in_one_answer(name):
    """Law: a linear complementarity problem with a positive definite matrix has one solution (Cottle, Pang and Stone,
    The Linear Complementarity Problem, 1992, theorem 3.1.6; from memory)."""
    equations, stretches = settled(name)
    starts = list(itertools.product((0, 1), repeat=len(equations.blocks)))
    for stretch in stretches:
        middle = middle_of(stretch)
        found = {next(patterns_a_moment_later(equations, (0, *states), middle))[0] for states in starts}
        first, *others = [unknowns(equations, key, middle) for key in found]
        for other in others:
            assert other == pytest.approx(first, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("name", SHEETS)
def test_it_goes_on_as_the_exact_choice_does(name):
    """Two ways to one answer: inside every stretch, and where it begins, the small step finds the stretch's own."""
    equations, stretches = settled(name)
    rest = (0, *(block.start for block in equations.blocks))
    for stretch in stretches:
        for state in (stretch.states[0], middle_of(stretch)):
            key, _ = next(patterns_a_moment_later(equations, rest, state))
            expected = stretch.pattern.outputs @ state
            assert unknowns(equations, key, state) == pytest.approx(expected, rel=1e-9, abs=1e-9)
