"""A hundred thousand random sheets, each solved from nothing: an answer that proves itself, or a stated sentence.

Zero resistances, ideal parts, no load, extreme loads and capacitors, generators' waveforms, faults and probes are all
among them. Anything but an answer or a stated sentence fails: another exception, a value that is not a number, a solve
that takes too long. Ladders of up to twelve diodes come besides: of them all but a few must be answered.
"""

from __future__ import annotations

import json
import math
import os
import time
from collections import Counter
from pathlib import Path

import pytest

import railwright
import tally
from railwright.network import NotSolvedYet
from railwright.solver import NoProvableAnswer
from railwright.solver.kernel import use_compiled
from railwright.supply import with_fault
from referee.random_supplies import DrawnSupply, RandomChooser, any_supply, ladder_supply

#: A chunk stays well below the time after which a hanging test is ended.
CHUNKS, OF_EACH = 200, 500
#: [s] of processor time, for any sheet of up to twelve diodes.
LONGEST = 2.0
#: Share of the plausible supplies that may be declined in a stated sentence, and of the ladders at each model.
DECLINED_ALLOWED = 1e-2
LADDERS_DECLINED_ALLOWED = {"ideal": 0.0, "textbook": 0.01, "physical": 0.03}
LADDERS = 300
ANSWERED = "answered"


def outcome(drawn: DrawnSupply) -> str:
    """What became of one sheet: answered, or the stated sentence without its numbers."""
    supply = railwright.read_text(drawn.sheet)
    for words in drawn.faults:
        supply = with_fault(supply, words)
    try:
        study = railwright.solve(supply, model=drawn.model)
        study.proof.require()
    except (NotSolvedYet, NoProvableAnswer) as declined:
        words = str(declined)
        assert len(words) > 40 and words.endswith("."), f"not a sentence: {words!r}"
        return " ".join(w for w in words.split() if not any(c.isdigit() for c in w))[:60]
    for name, wave in {**study.observation.voltages, **study.observation.currents}.items():
        assert math.isfinite(wave.mean), f"{name} has a mean that is no number"
    return ANSWERED


def judge(drawn: DrawnSupply) -> tuple[str, str | None]:
    """The outcome of a sheet, and what is wrong about it if something is."""
    before = time.process_time()
    try:
        became, wrong = outcome(drawn), None
    except Exception as failure:  # whatever it is, it goes into the report beside its sheet
        became, wrong = "failed", f"{type(failure).__name__}: {failure}"
    spent = time.process_time() - before
    if wrong is None and spent > LONGEST:
        wrong = f"took {spent:.1f} s ({became})"
    return became, wrong


def run(seeds: range) -> tuple[Counter[str], Counter[str], list[str]]:
    """Outcomes of all sheets, of the plausible ones, and the failures with their sheets."""
    every: Counter[str] = Counter()
    plausible: Counter[str] = Counter()
    failures = []
    for seed in seeds:
        drawn = any_supply(RandomChooser(seed))
        became, wrong = judge(drawn)
        every[became] += 1
        if drawn.plausible:
            plausible[became] += 1
        if wrong is not None:
            failures.append(f"seed {seed}: {wrong}\n{drawn}")
    return every, plausible, failures


def _shared(folder: Path) -> Path:
    """A folder that the workers of a parallel run share."""
    return folder.parent if "PYTEST_XDIST_WORKER" in os.environ else folder


def lines_of(every: Counter[str], plausible: Counter[str]) -> list[str]:
    total, ordinary = every.total(), plausible.total()
    lines = [f"cold solves: {total}, answered {every[ANSWERED]}; of {ordinary} plausible {plausible[ANSWERED]}"]
    for sentence, count in every.most_common():
        if sentence != ANSWERED:
            share, among = count / total, plausible[sentence] / max(ordinary, 1)
            lines.append(f"  {share:8.3%} ({among:.3%} of the plausible): {sentence} ...")
    return lines


def test_two_dozen_random_sheets_are_answered_or_declined_in_a_sentence():
    """The same as the long test, few enough for every day."""
    _, _, failures = run(range(24))
    assert not failures, "\n\n".join(failures)


@pytest.mark.parametrize("model", ["ideal", "textbook", "physical"])
def test_ladders_of_many_diodes_are_answered(model):
    """The same as the long test, few enough for every day."""
    for seed in range(1, 5):
        drawn = ladder_supply(RandomChooser(seed), model)
        assert outcome(drawn) == ANSWERED, str(drawn)


@pytest.mark.long
@pytest.mark.parametrize("model", ["ideal", "textbook", "physical"])
def test_ladders_of_up_to_twelve_diodes_are_answered_within_two_seconds(model, record_property):
    """Interpreted, as a command solves them."""
    outcomes: Counter[str] = Counter()
    failures = []
    for seed in range(LADDERS):
        drawn = ladder_supply(RandomChooser(seed), model)
        became, wrong = judge(drawn)
        outcomes[became] += 1
        if wrong is not None:
            failures.append(f"seed {seed}: {wrong}\n{drawn}")
    tally.report(record_property, f"ladders, {model}: {LADDERS}, answered {outcomes[ANSWERED]}")
    assert not failures, "\n\n".join(failures)
    assert outcomes.total() - outcomes[ANSWERED] <= LADDERS_DECLINED_ALLOWED[model] * LADDERS, outcomes


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_a_hundred_thousand_random_sheets_are_answered_or_declined_in_a_sentence(
    chunk, tmp_path_factory, record_property
):
    """In chunks; the last one to finish also holds the share of the declined plausible supplies."""
    use_compiled()  # where the compiler is there: the whole takes hours without it
    outcome(any_supply(RandomChooser(0)))  # and its own time isn't the solver's
    folder = _shared(tmp_path_factory.getbasetemp()) / "cold-solves"
    folder.mkdir(exist_ok=True)
    every, plausible, failures = run(range(chunk * OF_EACH, (chunk + 1) * OF_EACH))
    partial = folder / f"{chunk}.partial"
    partial.write_text(json.dumps([every, plausible]))
    partial.rename(folder / f"{chunk}.json")
    done = sorted(folder.glob("*.json"))
    if len(done) == CHUNKS:
        for counter in (every, plausible):
            counter.clear()
        for path in done:
            one, two = json.loads(path.read_text())
            every.update(one)
            plausible.update(two)
        for line in lines_of(every, plausible):
            tally.report(record_property, line)
        declined = 1.0 - plausible[ANSWERED] / plausible.total()
        assert declined < DECLINED_ALLOWED, "\n".join(lines_of(every, plausible))
    assert not failures, "\n\n".join(failures)
