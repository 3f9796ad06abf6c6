"""Compares random supplies with the referee and prints what was apart: random_supplies.py [COUNT [FIRST_SEED]]."""

from __future__ import annotations

import sys
import time
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]

import railwright  # noqa: E402
from railwright.solver import NoProvableAnswer  # noqa: E402
from railwright.supply import with_fault  # noqa: E402
from referee.collocation import NodalPeriod  # noqa: E402
from referee.integration import RefereeError  # noqa: E402
from referee.random_supplies import RandomChooser, compared_supply  # noqa: E402
from referee.sheets import differences, nodal  # noqa: E402

PROMISED = 1e-4


def compare(seeds: range, *, aloud: bool = True) -> dict[str, float]:
    """Largest differences by measure; counts under "compared", "readings", "declined", "apart", "no verdict"."""
    worst: dict[str, float] = defaultdict(float)
    for seed in seeds:
        drawn = compared_supply(RandomChooser(seed))
        supply = railwright.read_text(drawn.sheet)
        for words in drawn.faults:
            supply = with_fault(supply, words)
        try:
            readings = railwright.solve(supply).readings
        except NoProvableAnswer as declined:
            worst["declined"] += 1
            if aloud:
                print(f"--- seed {seed}, declined: {declined}\n{drawn}")
            continue
        circuit = nodal(drawn)
        try:
            found = differences(drawn, circuit, NodalPeriod(circuit), readings)
        except RefereeError as silent:
            worst["no verdict"] += 1
            if aloud:
                print(f"--- seed {seed}, no verdict of the referee: {silent}\n{drawn}")
            continue
        worst["compared"] += 1
        worst["readings"] += len(found)
        apart = [difference for difference in found if not difference.apart <= PROMISED]
        worst["apart"] += bool(apart)
        for difference in found:
            measure = difference.reading.rsplit(".", 1)[-1]
            worst[measure] = max(worst[measure], difference.apart)
        if apart and aloud:
            print(f"--- seed {seed}, apart:", *apart, drawn, sep="\n")
    return dict(worst)


def main() -> None:
    asked = [int(word) for word in sys.argv[1:3]]
    count, first = (*asked, *(100, 0)[len(asked) :])
    before = time.process_time()
    for name, figure in compare(range(first, first + count)).items():
        print(f"{name:24} {figure:.3g}")
    print(f"{'seconds':24} {time.process_time() - before:.1f}")


if __name__ == "__main__":
    main()
