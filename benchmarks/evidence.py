"""Prints the figures of docs/evidence.md: what the program was held against and how far apart they were.

evidence.py [RANDOM_SUPPLIES [COLD_SOLVES]]; without numbers 300 and 1000.
"""

from __future__ import annotations

import sys
import time
import tomllib
import warnings
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tests" / "solver"), str(ROOT / "benchmarks"), str(ROOT / "src")]

import test_against_the_referee as first_referee  # noqa: E402
import test_cold_solves as cold  # noqa: E402
import test_every_feature as second_referee  # noqa: E402
from random_supplies import compare  # noqa: E402

from railwright.solver import NoProvableAnswer  # noqa: E402
from referee import features, supplies  # noqa: E402

Worst = dict[tuple[str, str], float]


def _first(worst: Worst) -> tuple[int, int]:
    count = readings = 0
    for model, entries, solved in (
        ("textbook", supplies.SUPPLIES, first_referee.solved),
        ("physical", supplies.PHYSICAL_SUPPLIES, first_referee.solved_at_physical),
    ):
        for name, entry in entries.items():
            count += 1
            found = solved(name).readings
            for reading, measure, output in entry.compare:
                readings += 1
                expected = supplies.verdict(name, measure, output)
                scale = first_referee.scale_of(name, reading, expected, measure, output)
                _keep(worst, model, measure, abs(found[reading].value - expected) / scale)
    return count, readings


def _second(worst: Worst) -> tuple[int, int, int]:
    count = readings = declined = 0
    for name, feature in features.FEATURES.items():
        try:
            found = second_referee.solved(name).readings
        except NoProvableAnswer as sentence:
            declined += 1
            print(f"declined: {name}: {sentence}")
            continue
        count += 1
        for reading, measure, output in features.comparisons(feature):
            readings += 1
            expected = features.verdict(name, measure, output)
            scale = second_referee.scale_of(name, measure, output, expected)
            _keep(worst, feature.model, measure, abs(found[reading].value - expected) / scale)
    return count, readings, declined


def _keep(worst: Worst, model: str, measure: str, apart: float) -> None:
    worst[model, measure] = max(worst[model, measure], apart)


def main() -> None:
    warnings.simplefilter("error")  # as in the tests: an overflow is a failure
    asked = [int(word) for word in sys.argv[1:3]]
    random_supplies, cold_solves = (*asked, *(300, 1000)[len(asked) :])
    for name, path in (("published checks", "published.toml"), ("cases", "cases.toml")):
        data = tomllib.loads((ROOT / "tests" / "data" / path).read_text())
        print(f"{name}: {sum(len(entry) for entry in data.values() if isinstance(entry, list))} in tests/data/{path}")
    worst: Worst = defaultdict(float)
    held, readings = _first(worst)
    print(f"first referee: {held} supplies, {readings} readings")
    held, readings, declined = _second(worst)
    print(f"second referee: {held} supplies, {readings} readings; {declined} declined")
    for (model, measure), apart in sorted(worst.items()):
        print(f"  {model:10} {measure:26} {apart:.1e}")
    before = time.process_time()
    print(f"random supplies: {random_supplies} drawn")
    for name, figure in compare(range(random_supplies), aloud=False).items():
        print(f"  {name:26} {figure:.3g}")
    print(f"  {'seconds':26} {time.process_time() - before:.0f}")
    before = time.process_time()
    every, plausible, failures = cold.run(range(cold_solves))
    print(f"failures among the cold solves: {len(failures)}")
    for line in cold.lines_of(every, plausible):
        print(line)
    print(f"  {1e3 * (time.process_time() - before) / max(cold_solves, 1):.0f} ms a solve")


if __name__ == "__main__":
    main()
