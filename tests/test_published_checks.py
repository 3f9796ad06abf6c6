"""Worked examples, table rows and rules from outside, each by its own sheet: tests/data/published.toml.

Every check with ``through = "solve"`` is solved at its own model and each of its numbers compared at its own
tolerance; the source is in the check and is named when one fails. Checks that go through the handbook or the
part tables are held elsewhere.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

import railwright
import tally
from waiting import marked

CHECKS: dict[str, dict[str, Any]] = {
    check["id"]: check
    for check in tomllib.loads((Path(__file__).parent / "data" / "published.toml").read_text("utf-8"))["check"]
    if check["through"] == "solve"
}

#: Checks whose circuit the solver declines so far. One that it solves must leave this list.
WAITING: frozenset[str] = frozenset()


def test_the_file_holds_the_checks_that_it_says_it_holds():
    """53 of the 174 published checks go through the solver (the file's own count)."""
    assert len(CHECKS) == 53
    assert WAITING <= CHECKS.keys()
    for check in CHECKS.values():
        assert check["source"] and check["readings"].keys() == check["expected"].keys()


@pytest.mark.parametrize("name", marked(CHECKS, WAITING))
def test_a_published_example_comes_out_as_printed(name):
    """The source, the model and the tolerance are those of the check itself."""
    check = CHECKS[name]
    supply = railwright.read_text(check["sheet"], origin=name)
    readings = railwright.solve(supply, model=check["model"]).readings
    apart = {}
    for key, printed in check["expected"].items():
        reading = check["readings"][key]
        computed = readings[reading].value
        tolerance = check["tolerance_by_key"][key]
        # Half a unit in the last place is a closed interval; the last term is the arithmetic of this line.
        if computed is None or abs(computed - printed) > tolerance * abs(printed) * (1 + 1e-6) + 1e-12:
            apart[reading] = f"computed {computed!r}, printed {printed!r}, tolerance {tolerance}"
    assert not apart, f"{check['source']} ({check['provenance']}): {apart}"


def test_the_run_says_how_many_published_checks_were_held(record_property):
    """For the summary of the run."""
    held = len(CHECKS) - len(WAITING)
    waiting = f": {', '.join(sorted(WAITING))}" if WAITING else ""
    tally.report(record_property, f"published checks by solving: {held} held, {len(WAITING)} waiting{waiting}")
