"""Tables and inverse questions, against closed forms of the unfiltered bridge.

Mean of a full-wave rectified sine: 2/pi of its peak (definition). Standard values: IEC 60063, from memory:
E24 has 7.5 and 8.2, E12 has 1.8 and 2.2 next to each other.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
from pytest import approx

from typed_commands import Run

MEAN_PER_VOLT = 2.0 / math.pi * math.sqrt(2.0)  # [-] mean of the rectified sine over its RMS
IDEAL = ("--model", "ideal")


def test_a_table_is_linear_in_its_key_with_both_ends(run: Run, unfiltered: str) -> None:
    over = ("--over", "mains.voltage=3V..9V", "--points", "4")
    answer = run("table", unfiltered, "load.voltage.mean", "load.current.mean", *over, *IDEAL, "--json")
    assert (answer.code, answer.err) == (0, "")
    table = answer.json()
    assert set(table) == {"over", "values", "readings"}
    assert table["over"] == "mains.voltage"
    assert table["values"] == [3.0, 5.0, 7.0, 9.0]
    assert table["readings"]["load.voltage.mean"] == approx([v * MEAN_PER_VOLT for v in table["values"]], rel=1e-9)
    assert table["readings"]["load.current.mean"] == approx(
        [v * MEAN_PER_VOLT / 100.0 for v in table["values"]], rel=1e-9
    )


def test_a_table_goes_to_a_file_as_numbers_or_as_a_figure(run: Run, unfiltered: str, tmp_path: Path) -> None:
    words = (
        "table",
        unfiltered,
        "load.current.mean",
        "--over",
        "load.resistance=50ohm..100ohm",
        "--points",
        "2",
        *IDEAL,
    )
    assert run(*words, "-o", "t.csv").code == 0
    with (tmp_path / "t.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert [row["load.resistance (ohm)"] for row in rows] == ["50.0", "100.0"]
    assert float(rows[0]["load.current.mean (A)"]) == approx(9.0 * MEAN_PER_VOLT / 50.0, rel=1e-9)
    assert run(*words, "-o", "t.svg").code == 0
    svg = (tmp_path / "t.svg").read_text(encoding="utf-8")
    assert svg.startswith("<svg")
    assert "load.current.mean (mA)" in svg


def test_a_table_on_the_terminal_has_a_line_for_each_value(run: Run, unfiltered: str) -> None:
    answer = run("table", unfiltered, "load.voltage.mean", "--over", "mains.voltage=1V..9V", "--points", "3", *IDEAL)
    assert [line.split()[:2] for line in answer.out.splitlines()[1:4]] == [["1", "V"], ["5", "V"], ["9", "V"]]
    assert "8.103 V" in answer.out


def test_a_column_without_values_is_null_and_says_why_beside_the_json(run: Run, unfiltered: str) -> None:
    over = ("--over", "mains.voltage=3V..9V", "--points", "2")
    answer = run("table", unfiltered, "C1.voltage.mean", *over, "--json")
    assert answer.json()["readings"]["C1.voltage.mean"] == [None, None]
    assert "This supply has no C1." in answer.err


@pytest.mark.parametrize(
    ("over", "said"),
    [
        ("load.resistance", "--over load.current=0A..1A"),
        ("load.resistance=50ohm..100V", "100V"),
        ("load.resistence=50ohm..100ohm", "load.resistance"),
        ("rectifier.circuit=1..2", "takes no number"),
        ("load.resistance=0ohm..100ohm", "load.resistance"),
    ],
)
def test_a_span_that_cannot_be_used_is_bad_input(run: Run, unfiltered: str, over: str, said: str) -> None:
    answer = run("table", unfiltered, "load.voltage.mean", "--over", over, "--json")
    assert (answer.code, answer.out) == (2, "")
    assert said in answer.err


def test_find_gives_the_value_on_the_boundary_and_the_standard_values_around_it(run: Run, unfiltered: str) -> None:
    answer = run("find", unfiltered, "load.resistance", "--so-that", "load.current.mean <= 0.1 A", *IDEAL, "--json")
    assert (answer.code, answer.err) == (0, "")
    found = answer.json()
    assert set(found) == {"key", "value", "unit", "reading", "standard"}
    assert (found["key"], found["unit"]) == ("load.resistance", "ohm")
    assert found["value"] == approx(9.0 * MEAN_PER_VOLT / 0.1, rel=1e-9)  # 81.03 ohm
    assert found["reading"] == {"id": "load.current.mean", "value": approx(0.1, rel=1e-9), "unit": "A"}
    assert found["reading"]["value"] <= 0.1
    assert found["standard"] == {"below": {"value": 75.0, "unit": "ohm"}, "above": {"value": 82.0, "unit": "ohm"}}


@pytest.mark.parametrize("operator", [">=", "="])
def test_find_knows_the_other_operators(run: Run, unfiltered: str, operator: str) -> None:
    aim = f"load.voltage.mean {operator} 5 V"
    found = run("find", unfiltered, "mains.voltage", "--so-that", aim, *IDEAL, "--json").json()
    assert found["value"] == approx(5.0 / MEAN_PER_VOLT, rel=1e-6)
    assert found["standard"] is None


def test_find_of_a_capacitor_meets_the_condition_there_and_not_below(run: Run, filtered: str) -> None:
    aim = "C1.voltage.ripple_peak_to_peak <= 0.5 V"
    found = run("find", filtered, "filter.1.capacitor", "--so-that", aim, "--json").json()
    assert found["reading"]["value"] == approx(0.5, rel=1e-6)
    below, above = found["standard"]["below"]["value"], found["standard"]["above"]["value"]
    assert below <= found["value"] <= above
    ripples = [
        run(
            "solve", filtered, "C1.voltage.ripple_peak_to_peak", "--set", f"filter.1.capacitor={value!r} F", "--json"
        ).json()["readings"]["C1.voltage.ripple_peak_to_peak"]["value"]
        for value in (below, found["value"], above)
    ]
    assert ripples[0] >= 0.5 >= ripples[2]
    assert ripples[1] == approx(found["reading"]["value"], rel=1e-9)


def test_nothing_fits_is_a_null_value_a_reason_and_exit_code_1(run: Run, unfiltered: str) -> None:
    words = ("find", unfiltered, "load.resistance", "--so-that", "load.voltage.mean >= 100 V", *IDEAL)
    answer = run(*words, "--json")
    assert (answer.code, answer.err) == (1, "")
    found = answer.json()
    assert found["value"] is None
    assert found["standard"] is None
    assert "8.103 V" in found["reason"]
    spoken = run(*words)
    assert spoken.code == 1
    assert spoken.out.startswith("Nothing fits. ")


def test_a_condition_that_every_value_meets_is_no_no(run: Run, unfiltered: str) -> None:
    answer = run("find", unfiltered, "load.resistance", "--so-that", "load.voltage.mean <= 100 V", *IDEAL, "--json")
    assert answer.code == 0
    assert answer.json()["value"] == 100.0
    assert "meets it" in answer.err


def test_a_jump_over_the_wanted_value_is_not_an_answer(run: Run, unfiltered: str) -> None:
    """The number of conduction pulses is whole (definition): no value of the load gives one and a half."""
    aim = "rectifier.conduction.pulses = 1.5"
    answer = run("find", unfiltered, "load.resistance", "--so-that", aim, *IDEAL, "--json")
    assert answer.code == 1
    assert answer.json()["value"] is None


@pytest.mark.parametrize(
    ("key", "aim", "said"),
    [
        ("load.resistance", "load.voltage.mean below 5 V", "is no condition"),
        ("load.resistance", "load.voltage.mean <= 5 A", "5 A"),
        ("load.resistance", "load.voltage.meen <= 5 V", "load.voltage.mean"),
        ("load.resistence", "load.voltage.mean <= 5 V", 'Did you mean "load.resistance"'),
        ("rectifier.stages", "load.voltage.mean <= 5 V", "whole numbers"),
    ],
)
def test_a_question_that_cannot_be_read_is_bad_input(run: Run, unfiltered: str, key: str, aim: str, said: str) -> None:
    answer = run("find", unfiltered, key, "--so-that", aim, "--json")
    assert (answer.code, answer.out) == (2, "")
    assert said in answer.err
