"""Solves random sheets from nothing and prints what became of them: cold_solves.py [COUNT [FIRST_SEED]]."""

from __future__ import annotations

import sys
import time
import warnings
from collections import Counter, defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tests" / "solver"), str(ROOT / "src")]

from test_cold_solves import ANSWERED, judge  # noqa: E402

from referee.random_supplies import RandomChooser, any_supply  # noqa: E402


def main() -> None:
    warnings.simplefilter("error")  # as in the tests: an overflow is a failure
    asked = [int(word) for word in sys.argv[1:3]]
    count, first = (*asked, *(300, 0)[len(asked) :])
    every: Counter[str] = Counter()
    plausible: Counter[str] = Counter()
    spent: dict[str, list[float]] = defaultdict(list)
    for seed in range(first, first + count):
        drawn = any_supply(RandomChooser(seed))
        before = time.process_time()
        became, wrong = judge(drawn)
        spent[drawn.model].append(time.process_time() - before)
        every[became] += 1
        plausible[became] += drawn.plausible
        if wrong is not None or (drawn.plausible and became != ANSWERED):
            print(f"--- seed {seed}: {wrong or became}\n{drawn}\n", flush=True)
    for name, counts in (("all", every), ("plausible", plausible)):
        print(f"{name}: {counts.total()}")
        for became, number in counts.most_common():
            print(f"  {number / max(counts.total(), 1):8.3%}  {became}")
    for model, times in spent.items():
        ordered = sorted(times)
        print(
            f"{model}: {len(times)} solves, mean {1e3 * sum(times) / len(times):.0f} ms, "
            f"median {1e3 * ordered[len(times) // 2]:.0f} ms, longest {ordered[-1]:.1f} s"
        )


if __name__ == "__main__":
    main()
