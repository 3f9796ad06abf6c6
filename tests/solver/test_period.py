"""One period of a circuit: its sensitivity against differences of neighbouring runs."""

from __future__ import annotations

import numpy as np
import pytest

from railwright.network import build
from railwright.solver.equations import Equations
from railwright.solver.period import Follower
from railwright.supply import read_text

SHEETS = {
    "bridge with resistance": """
        mains = { voltage = "12 V", frequency = "50 Hz", source = "generator", source_resistance = "0.4 ohm" }
        rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
        filter = [{ capacitor = "2200 uF", esr = "40 mohm" }]
        load = { resistance = "100 ohm" }
        """,
    "choke input": """
        mains = { voltage = "12 V", frequency = "50 Hz", source = "generator", source_resistance = "0.4 ohm" }
        rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
        filter = [{ choke = "20 mH", resistance = "1 ohm" }, { capacitor = "1000 uF", esr = "40 mohm" }]
        load = { resistance = "270 ohm" }
        """,
    "multiplier without any resistance": """
        mains = { voltage = "12 V", frequency = "50 Hz", source = "generator" }
        rectifier = { circuit = "multiplier", stages = 2, diode = { drop = "0 V" }, pump_capacitor = "100 uF", stage_capacitor = "100 uF" }
        load = { resistance = "22 kohm" }
        """,  # noqa: E501
    "two rails without any resistance": """
        mains = { voltage = "12 V", frequency = "50 Hz", source = "generator" }
        transformer = { turns_ratio = "1:1", secondary = "centre-tapped" }
        rectifier = { circuit = "dual-rail", diode = { drop = "0.7 V" } }
        filter = [{ capacitor = "1000 uF" }]
        load = { positive = { resistance = "100 ohm" }, negative = { resistance = "150 ohm" } }
        """,
}


@pytest.mark.parametrize("name", SHEETS)
def test_the_sensitivity_of_a_period_is_that_of_neighbouring_runs(name: str) -> None:
    """Law: the Jacobian is the limit of central differences; hidden constraints once lost the source's share in it."""
    equations = Equations(build(read_text(SHEETS[name]), "textbook"))
    follower = Follower(equations)
    state = np.zeros(equations.layout.dynamic)
    for _ in range(60):
        state = follower.follow(state, linearise=False).end[: len(state)]
    run = follower.follow(state)
    step = 1e-6
    differences = np.zeros_like(run.jacobian)
    for k in range(len(state)):
        for sign in (1.0, -1.0):
            neighbour = state.copy()
            neighbour[k] += sign * step
            other = Follower(equations)
            other.scale, other.key = follower.scale, follower.key
            differences[:, k] += sign * other.follow(neighbour).end[: len(state)] / (2.0 * step)
    assert run.jacobian == pytest.approx(differences, abs=max(2e-5 * np.abs(differences).max(), 1e-7))
