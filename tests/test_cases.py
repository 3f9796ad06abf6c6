"""Sixteen real situations from people who build, teach, measure or mark small supplies: tests/data/cases.toml.

Each case names its source, the numbers that must come out and the verdict that must stand. What its ``readings``
say in words is done here through the public interface:

- a reading, with what to change after commas;
- ``find KEY so that READING OP VALUE``: the inverse question;
- ``compare READING = VALUE: KEY that fits``: likewise, for the value of one sheet key that gives a measured reading.

Hand formulas, ratings, discharge and answers about a second circuit are held elsewhere or wait; they are listed.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import railwright
import tally
from arithmetic_verdicts import holds, names_in
from railwright.supply import at_point, replace
from railwright.variation.find import find, read_aim
from railwright.variation.keys import varied_key
from waiting import marked

DATA = Path(__file__).parent / "data"

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case for case in tomllib.loads((DATA / "cases.toml").read_text("utf-8"))["case"]
}

#: Numbers that no part of the public interface that is tested here gives: another command, another circuit, or words.
ELSEWHERE: frozenset[str] = frozenset(
    [
        "shared-01-cap-at-its-limit:v_sec_unloaded_implied",
        "shared-01-cap-at-its-limit:regulation_pct",
        "shared-01-cap-at-its-limit:energy_j",
        "shared-01-cap-at-its-limit:t_to_5v_1k_s",
        "shared-02-halfwave-26-volts:v_pp_formula",
        "shared-03-size-c-halfwave:c_formula",
        "shared-07-regulation-exam:reg_1k_pct",
        "shared-07-regulation-exam:reg_47_pct",
        "shared-07-regulation-exam:wrong_def_1k_pct",
        "shared-07-regulation-exam:wrong_def_47_pct",
        "shared-08-design-4-watts-at-10-volts:r_load",
        "shared-08-design-4-watts-at-10-volts:c_formula",
        "shared-08-design-4-watts-at-10-volts:va",
        "shared-09-turns-c-piv:ratio_bridge",
        "shared-09-turns-c-piv:piv_bridge",
        "shared-09-turns-c-piv:c_formula",
        "shared-10-ten-volt-cap-on-20-vac:v_worst",
        "shared-10-ten-volt-cap-on-20-vac:overstress",
        "shared-11-lab-sheet-three-readings:pk_error_pct",
        "shared-14-bridge-15-volts-plus-minus-1:c_book_peak",
        "shared-14-bridge-15-volts-plus-minus-1:c_book_avg",
        "shared-14-bridge-15-volts-plus-minus-1:i_pk_book",
        "shared-14-bridge-15-volts-plus-minus-1:i_cond_book",
        "shared-16-dual-rail-from-one-ac-wart:i_max_2200u",
        "shared-16-dual-rail-from-one-ac-wart:i_max_1000u",
        "shared-16-dual-rail-from-one-ac-wart:i_max_4700u",
    ]
)

#: Numbers whose circuit or model the solver declines so far. One that it gives must leave this list.
WAITING: frozenset[str] = frozenset()

READING = re.compile(r"[A-Za-z]\w*(?:\.\w+)+")
FIND = re.compile(r"find (?P<key>[\w.]+)(?:, point (?P<point>\w+))?,? so that (?P<aim>[\w.]+ (?:<=|>=|=) .+)")
FIT = re.compile(r"compare (?P<aim>[\w.]+ = [^:]+): (?P<key>[\w.]+) that fits")


@cache
def _supply(case: str) -> Any:
    return railwright.read_sheet(DATA / "case-sheets" / f"{case}.toml")


def _solved(supply: Any, model: str, reading: str) -> float:
    found = railwright.solve(supply, model=model).readings[reading]
    assert found.value is not None, f"{reading} has no value: {found.reason}"
    return float(found.value)


def _read(case: str, model: str, how: str) -> float:
    """`READING` or `READING, what to change, what to change`."""
    reading, *changes = [part.strip() for part in how.split(",")]
    supply = _supply(case)
    for change in changes:
        if change.startswith("point "):
            supply = at_point(supply, change.removeprefix("point "))
        elif change.startswith("model "):
            model = change.removeprefix("model ")
        else:
            key, _, new = change.partition(" = ")
            supply = replace(supply, key, new)
    return _solved(supply, model, reading)


def _search(case: str, model: str, key: str, aim: str, point: str | None = None) -> float:
    """The value of one sheet key at which a condition is just met."""
    supply = _supply(case) if point is None else at_point(_supply(case), point)
    found = find(supply, varied_key(supply, key), read_aim(aim), model=model)
    assert found.value is not None, found.reason
    return found.value


@cache
def computed(case: str, key: str) -> float:
    """One number of a case, in the unit of the case."""
    entry = CASES[case]
    how, model = entry["readings"][key], entry["model"]
    if found := FIND.fullmatch(how):
        number = _search(case, model, found["key"], found["aim"], found["point"])
    elif found := FIT.fullmatch(how):
        number = _search(case, model, found["key"], found["aim"])
    else:
        number = _read(case, model, how)
    return 100 * number if key.endswith("_pct") else number


NUMBERS = [f"{case}:{key}" for case, entry in CASES.items() for key in entry["readings"]]
HERE = [number for number in NUMBERS if number not in ELSEWHERE]


def _is_long(number: str) -> bool:
    """An inverse question about curved laws: some forty solves of several passes each."""
    case, key = number.split(":")
    return CASES[case]["model"] == "physical" and CASES[case]["readings"][key].startswith(("find ", "compare "))


def _verdicts() -> Iterator[Any]:
    for case, entry in CASES.items():
        for verdict in entry["decides"]:
            numbers = [f"{case}:{name}" for name in names_in(verdict)]
            if any(number in ELSEWHERE | WAITING for number in numbers):
                continue
            long = any(_is_long(number) for number in numbers)
            yield pytest.param(case, verdict, marks=[pytest.mark.long] if long else [])


SHORT = [number for number in HERE if not _is_long(number)]
LONG = [number for number in HERE if _is_long(number)]


def test_every_number_of_every_case_is_either_tried_or_listed():
    """Sixteen cases; each number of `check` has a way to get it, and each way is one that this file knows."""
    assert len(CASES) == 16
    assert WAITING <= set(HERE)
    for case, entry in CASES.items():
        assert entry["readings"].keys() == entry["check"].keys() - {"tol"}, case
    for number in HERE:
        case, key = number.split(":")
        how = CASES[case]["readings"][key]
        assert FIND.fullmatch(how) or FIT.fullmatch(how) or READING.fullmatch(how.split(",")[0]), how


def _comes_out(number: str) -> None:
    case, key = number.split(":")
    wanted, tolerance = CASES[case]["check"][key], CASES[case]["check"]["tol"]
    assert computed(case, key) == pytest.approx(wanted, rel=tolerance), CASES[case]["source"]


@pytest.mark.parametrize("number", marked(SHORT, WAITING))
def test_a_number_of_a_case_comes_out(number):
    """Within the case's own tolerance of the case's own number; its source is in the case."""
    _comes_out(number)


@pytest.mark.long
@pytest.mark.parametrize("number", marked(LONG, WAITING))
def test_an_inverse_question_of_a_case_comes_out(number):
    """The same, where the answer takes many solves."""
    _comes_out(number)


@pytest.mark.parametrize(("case", "verdict"), list(_verdicts()))
def test_the_verdict_of_a_case_holds_for_the_computed_numbers(case, verdict):
    """Also where a tolerance would let it flip."""
    numbers = {name: computed(case, name) for name in names_in(verdict)}
    assert holds(verdict, numbers), (verdict, numbers)


def test_the_judge_of_verdicts_can_say_no_and_refuses_anything_else():
    """Arithmetic, done by head."""
    assert holds("a * 1.5 < 50 and b > 2 / 4", {"a": 10.0, "b": 1.0})
    assert not holds("a < b", {"a": 2.0, "b": 1.0})
    assert not holds("1 < a < 2", {"a": 2.0})
    with pytest.raises(ValueError, match="holds more than numbers"):
        holds("__import__('os')", {})


def test_the_run_says_how_many_numbers_of_the_cases_were_held(record_property):
    """For the summary of the run."""
    held = len(HERE) - len(WAITING)
    waiting = f": {', '.join(sorted(WAITING))}" if WAITING else ""
    tally.report(
        record_property,
        f"numbers of the cases: {held} held, {len(WAITING)} waiting for the solver{waiting}, {len(ELSEWHERE)} go by "
        "hand formulas, ratings, discharge or a second circuit",
    )
