"""Random supplies, some with an open, shorted or reversed diode, against the referee's own nodal equations.

Every supply has ordinary resistances, so the program must answer, and each reading must stand within 0.01 %.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import Phase, given, reject, settings

import railwright
from railwright.supply import with_fault
from referee.collocation import NodalPeriod
from referee.integration import RefereeError
from referee.random_supplies import DrawnSupply, compared_supplies
from referee.sheets import differences, nodal

#: What the program promises of straight diodes.
PROMISED = 1e-4

# A failure shows the whole sheet; a smaller one would cost minutes.
_PHASES = (Phase.explicit, Phase.generate)


def _solve(drawn: DrawnSupply) -> Any:
    supply = railwright.read_text(drawn.sheet)
    for words in drawn.faults:
        supply = with_fault(supply, words)
    return railwright.solve(supply, model=drawn.model).readings


def _compare(drawn: DrawnSupply) -> None:
    circuit = nodal(drawn)
    readings = _solve(drawn)
    try:
        found = differences(drawn, circuit, NodalPeriod(circuit), readings)
    except RefereeError:
        # Where the witness itself finds no period there is no verdict; too many of these fail hypothesis's own check.
        reject()
    apart = [str(difference) for difference in found if not difference.apart <= PROMISED]
    assert not apart, "\n".join([*apart, str(drawn)])


@settings(max_examples=25, phases=_PHASES)
@given(compared_supplies())
def test_random_supplies_agree_with_the_referee(drawn):
    """Half-wave to multiplier and three phases, with filters of R, L and C, loads of R and I, and faults."""
    _compare(drawn)


@pytest.mark.long
@settings(max_examples=300, phases=_PHASES)
@given(compared_supplies())
def test_three_hundred_random_supplies_agree_with_the_referee(drawn):
    """The same, many more."""
    _compare(drawn)
