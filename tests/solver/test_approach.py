"""The careful approach to a steady state, and the law that it rests on."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from railwright.network import build
from railwright.solver.approach import approach
from railwright.solver.budget import Budget
from railwright.solver.equations import Equations
from railwright.solver.period import Follower
from railwright.supply import read_text

LADDER = """
    mains = {{ voltage = "24 V", frequency = "50 Hz", source = "generator", source_resistance = "10 ohm" }}
    load = {{ resistance = "{load} ohm" }}
    [rectifier]
    circuit = "multiplier"
    stages = {stages}
    diode = {{ drop = "0.7 V" }}
    pump_capacitor = "10 uF"
    stage_capacitor = "10 uF"
"""
FILTERED = """
    mains = { voltage = "12 V", frequency = "50 Hz", source = "generator", source_resistance = "0.4 ohm" }
    rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
    filter = [{ capacitor = "470 uF" }, { choke = "20 mH", resistance = "1 ohm" }, { capacitor = "470 uF" }]
    load = { resistance = "47 ohm" }
"""


def equations_of(sheet: str) -> Equations:
    """A sheet's equations."""
    return Equations(build(read_text(sheet), "textbook"))


@pytest.mark.parametrize(("stages", "load"), [(2, 1e5), (4, 1e6), (6, 1e6)])
def test_one_period_changes_the_state_that_it_returns_by_what_was_asked_for(stages, load):
    """From rest, where corrections that are not held back go astray."""
    equations = equations_of(LADDER.format(stages=stages, load=load))
    state, _ = approach(equations, Budget(200_000), None, near=1e-6)
    end = Follower(equations).follow(state, linearise=False).end[: len(state)]
    assert np.linalg.norm(end - state) <= 1.0001e-6 * np.sqrt(len(state)) * np.abs(end).max()
    assert state[1:].min() > 10.0  # every capacitor is charged, none left behind


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from((LADDER.format(stages=3, load=1e5), FILTERED)),
    st.lists(st.floats(-40.0, 40.0), min_size=12, max_size=12),
)
def test_a_period_never_carries_two_states_of_a_passive_circuit_apart(sheet, volts):
    """Law: the energy of a difference of states only falls, where all parts are passive and rise (incremental
    passivity; C. A. Desoer and M. Vidyasagar, Feedback Systems: Input-Output Properties, 1975; from memory)."""
    equations = equations_of(sheet)
    count, weight = equations.layout.dynamic, equations.weights
    one, other = np.array(volts[:count]), np.array(volts[6 : 6 + count])
    ends = [Follower(equations).follow(state, linearise=False).end[:count] for state in (one, other)]
    before, after = np.linalg.norm(weight * (one - other)), np.linalg.norm(weight * (ends[0] - ends[1]))
    assert after <= before * (1.0 + 1e-9) + 1e-12
