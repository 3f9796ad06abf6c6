"""Solving from the command line, against closed forms of the unfiltered bridge.

The mean of a full-wave rectified sine is 2/pi of its peak and its RMS is the sine's own (definitions; any table of
waveform factors), so an ideal bridge on 9 V RMS gives a mean of 8.103 V.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
from pytest import approx

from typed_commands import Run

MEAN = 2.0 / math.pi * math.sqrt(2.0) * 9.0  # [V]


def test_json_is_one_object_with_the_readings_of_the_closed_form(run: Run, unfiltered: str) -> None:
    answer = run("solve", unfiltered, "--model", "ideal", "--json")
    assert answer.code == 0
    study = answer.json()
    assert set(study) >= {"title", "model", "period", "emf", "readings", "conduction", "proof", "iterations"}
    assert (study["title"], study["model"]) == ("Workshop bridge [no filter]", "ideal")
    assert study["period"] == approx(1 / 50)
    assert study["readings"]["load.voltage.mean"]["value"] == approx(MEAN, rel=1e-9)
    assert study["readings"]["load.voltage.rms"]["value"] == approx(9.0, rel=1e-9)
    assert study["readings"]["load.current.mean"]["value"] == approx(MEAN / 100.0, rel=1e-9)


def test_conduction_covers_the_turn_and_the_proof_has_its_six_balances(run: Run, filtered: str) -> None:
    study = run("solve", filtered, "--json").json()
    intervals = study["conduction"]
    assert (intervals[0]["from_degrees"], intervals[-1]["to_degrees"]) == (0.0, approx(360.0))
    for before, after in zip(intervals, intervals[1:], strict=False):
        assert before["to_degrees"] == after["from_degrees"]
    assert [] in [interval["on"] for interval in intervals]
    assert ["D1", "D4"] in [sorted(interval["on"]) for interval in intervals]
    assert set(study["proof"]) == {
        "power_balance", "charge_balance", "flux_balance", "periodicity", "kirchhoff", "diode_law",
    }  # fmt: skip
    assert all(0.0 <= value < 1e-6 for value in study["proof"].values())


def test_readings_asked_for_by_name_come_alone_and_in_that_order(run: Run, unfiltered: str) -> None:
    names = ["load.voltage.rms", "load.voltage.mean"]
    assert list(run("solve", unfiltered, *names, "--json").json()["readings"]) == names


def test_a_reading_that_the_supply_does_not_have_is_null_with_a_reason(run: Run, unfiltered: str) -> None:
    answer = run("solve", unfiltered, "C3.voltage.mean", "--json")
    assert answer.code == 0
    reading = answer.json()["readings"]["C3.voltage.mean"]
    assert (reading["value"], reading["unit"], reading["hand"]) == (None, "V", [])
    assert reading["reason"].startswith("This supply has no C3.")


def test_set_changes_a_key(run: Run, unfiltered: str) -> None:
    answer = run(
        "solve", unfiltered, "load.current.mean", "--model", "ideal", "--set", "load.resistance=50ohm", "--json"
    )
    assert answer.json()["readings"]["load.current.mean"]["value"] == approx(MEAN / 50.0, rel=1e-9)


def test_set_to_another_kind_of_load_says_that_it_took_the_old_ones_place(run: Run, unfiltered: str) -> None:
    answer = run("solve", unfiltered, "load.current.mean", "--set", "load.current=20 mA")
    assert answer.code == 0
    assert "Note: " in answer.out
    assert "resistance" in answer.out


def test_a_fault_changes_the_circuit(run: Run, unfiltered: str) -> None:
    """With one of four diodes open the other half-cycle is lost: half the mean (definition of the half-wave mean)."""
    answer = run("solve", unfiltered, "load.voltage.mean", "--model", "ideal", "--fault", "D2 open", "--json")
    assert answer.json()["readings"]["load.voltage.mean"]["value"] == approx(MEAN / 2.0, rel=1e-6)


def test_a_point_changes_the_load(run: Run, filtered: str) -> None:
    answer = run("solve", filtered, "load.current.mean", "--point", "no_load", "--json")
    assert answer.code == 0
    value = answer.json()["readings"]["load.current.mean"]["value"]
    assert value is None or value == approx(0.0, abs=1e-9)


def test_the_terminal_shows_three_columns_who_conducts_and_the_proof(run: Run, filtered: str) -> None:
    answer = run("solve", filtered)
    assert (answer.code, answer.err) == (0, "")
    lines = answer.out.splitlines()
    assert lines[0].strip() == "Tide gauge"
    assert "Model: textbook" in lines[1]
    assert "secondary 9 V RMS" in lines[1]
    (heading,) = [line for line in lines if line.startswith("reading")]
    assert heading.split() == ["reading", "by", "hand", "computed", "difference", "formula"]
    assert "D1 and D4 conduct, D2 and D3 block up to" in answer.out
    assert "no diode conducts" in answer.out
    assert "Proved" in answer.out
    assert max(map(len, lines)) <= 100


def test_a_supply_on_an_outlet_carries_a_caution_and_one_on_an_adapter_does_not(
    run: Run, filtered: str, unfiltered: str
) -> None:
    assert "Mains voltage can kill" in run("solve", filtered).out
    assert "Caution" not in run("solve", unfiltered).out


def test_brackets_in_a_title_stay_brackets(run: Run, unfiltered: str) -> None:
    assert "Workshop bridge [no filter]" in run("solve", unfiltered).out


def test_the_waveform_file_has_every_place_with_its_unit_and_the_closed_forms_values(
    run: Run, unfiltered: str, tmp_path: Path
) -> None:
    answer = run("waveforms", unfiltered, "--model", "ideal", "-o", "w.csv")
    assert (answer.code, answer.err) == (0, "")
    with (tmp_path / "w.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert {"time (s)", "angle (deg)", "load.voltage (V)", "load.current (A)", "D1.voltage (V)"} <= set(rows[0])
    assert list(rows[0])[:2] == ["time (s)", "angle (deg)"]
    assert len(rows) >= 721
    assert float(rows[-1]["time (s)"]) == approx(0.02)
    for row in rows[:: len(rows) // 40]:
        angle = float(row["angle (deg)"])
        assert angle == approx(float(row["time (s)"]) * 50 * 360)
        expected = abs(9.0 * math.sqrt(2.0) * math.sin(math.radians(angle)))
        assert float(row["load.voltage (V)"]) == approx(expected, abs=1e-6)


@pytest.mark.parametrize("output", ["w.txt", "nowhere/w.csv"])
def test_waveforms_go_only_where_a_csv_file_can_be(run: Run, unfiltered: str, output: str) -> None:
    answer = run("waveforms", unfiltered, "-o", output)
    assert (answer.code, answer.out) == (2, "")
    assert output in answer.err


def test_a_course_puts_its_taught_formula_first_and_takes_its_own_drop(run: Run, filtered: str, tmp_path: Path) -> None:
    """On paper: 9 V times 1.41421 is 12.728 V, less two drops of 0.6 V 11.528 V; with the sheet's 0.7 V 11.328 V."""
    (tmp_path / "own.toml").write_text(
        'kind = "course"\nwords = "us"\ndiode_drop = "0.6 V"\ndecimal = ","\n'
        'ripple_formula = ["ripple-exponential", "ripple-straight-line"]\nsymbols = { load_peak = "V_C" }\n',
        encoding="utf-8",
    )
    name = "C1.voltage.peak"
    plain = run("solve", filtered, name, "--json").json()["readings"][name]
    own = run("solve", filtered, name, "--course", "own.toml", "--json").json()["readings"][name]
    assert plain["hand"][0]["value"] == approx(11.328, abs=1e-3)
    assert own["hand"][0]["value"] == approx(11.528, abs=1e-3)
    assert own["value"] == plain["value"]
    assert own["hand"][0]["difference"] == approx(own["hand"][0]["value"] / own["value"] - 1.0)
    answer = run("solve", filtered, name, "--course", "own.toml")
    assert answer.code == 0
    assert "V_C = 11,53 V" in answer.out


def test_the_taught_ripple_comes_first_then_by_size_of_difference(run: Run, tmp_path: Path) -> None:
    (tmp_path / "r.toml").write_text(
        'mains = { voltage = "9 V", frequency = "50 Hz", source = "adapter" }\nrectifier = { circuit = "bridge" }\n'
        'filter = [{ capacitor = "2200 uF" }]\nload = { resistance = "47 ohm" }\n',
        encoding="utf-8",
    )
    (tmp_path / "own.toml").write_text(
        'kind = "course"\nwords = "uk"\nripple_formula = ["ripple-straight-line"]\n', encoding="utf-8"
    )
    name = "load.voltage.ripple_peak_to_peak"
    own = run("solve", "r.toml", name, "--course", "own.toml", "--json").json()["readings"][name]["hand"]
    assert own[0]["formula"] == "ripple-straight-line"
    sizes = [abs(hand["difference"]) for hand in own[1:]]
    assert sizes == sorted(sizes) and abs(own[0]["difference"]) > sizes[0]
    assert run("solve", "r.toml", name, "--json").json()["readings"][name]["hand"][0]["formula"] != own[0]["formula"]
