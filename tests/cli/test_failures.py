"""Whatever goes wrong ends in a sentence and the right exit code, never in a traceback."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

import pytest

from typed_commands import Run

BRIDGE = '[rectifier]\ncircuit = "bridge"\n'
LOAD = '[load]\nresistance = "47 ohm"\n'
MAINS = '[mains]\nvoltage = "230 V"\nfrequency = "50 Hz"\n'

BROKEN = {
    "a key that is misspelt": (
        MAINS + BRIDGE + '[[filter]]\ncapacitator = "2200 uF"\n' + LOAD,
        ["line 7", "capacitator", 'Did you mean "capacitor"'],
    ),
    "a value without a unit": (
        '[mains]\nvoltage = "230"\nfrequency = "50 Hz"\n' + BRIDGE + LOAD,
        ["line 2", "mains.voltage", '"230" has no unit', "230 V"],
    ),
    "a circuit of two meanings": (
        MAINS + '[rectifier]\ncircuit = "full-wave"\n' + LOAD,
        ["line 5", "full-wave", "centre-tap", "bridge"],
    ),
    "no TOML at all": ("this is no sheet\n", ["line 1"]),
    "nothing": ("", ["mains"]),
    "two faults, told at once": (
        '[mains]\nvoltage = "230"\nfrequency = "50 Hz"\n[rectifier]\ncircuit = "brigde"\n' + LOAD,
        ["line 2", "line 5", "brigde"],
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_sheet_is_told_with_its_line_and_remedy(run: Run, tmp_path: Path, name: str) -> None:
    text, words = BROKEN[name]
    (tmp_path / "broken.toml").write_text(text, encoding="utf-8")
    answer = run("solve", "broken.toml", "--json")
    assert (answer.code, answer.out) == (2, "")
    assert "broken.toml" in answer.err
    for word in words:
        assert word in answer.err


@pytest.mark.parametrize("data", [b"\xff\xfe\x00\x01", b"\x00" * 40, b'title = "\xe9"\n'])
def test_a_file_that_is_no_text_is_bad_input(run: Run, tmp_path: Path, data: bytes) -> None:
    (tmp_path / "picture.toml").write_bytes(data)
    answer = run("solve", "picture.toml")
    assert (answer.code, answer.out) == (2, "")
    assert "picture.toml" in answer.err


def test_a_missing_sheet_says_how_to_make_one(run: Run, unfiltered: str) -> None:
    answer = run("solve", "nowhere.toml")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err == ("nowhere.toml: there is no such file. To make a sheet to start from: railwright new NAME\n")
    assert "There is a unfiltered.toml." in run("solve", "unfiltered").err


def test_a_folder_is_no_sheet(run: Run, tmp_path: Path) -> None:
    answer = run("solve", str(tmp_path))
    assert answer.code == 2
    assert "is a folder" in answer.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--set", "load.resistance"], "write KEY=VALUE"),
        (["--set", "load.resistence=330 ohm"], 'Did you mean "resistance"'),
        (["--set", "load.resistance=330"], "has no unit"),
        (["--set", "load.resistance=330 V"], "330 V"),
        (["--fault", "D9 open"], "D9"),
        (["--fault", "D1 tired"], "tired"),
        (["--point", "lunch"], "lunch"),
        (["load.voltage.meen"], "Did you mean load.voltage.mean"),
        (["lode.voltage.mean"], "lode"),
        (["--model", "perfect"], "perfect"),
        (["--nonsense"], "nonsense"),
    ],
)
def test_a_slip_on_the_command_line_is_bad_input(run: Run, unfiltered: str, words: list[str], said: str) -> None:
    answer = run("solve", unfiltered, *words, "--json")
    assert (answer.code, answer.out) == (2, "")
    assert said in answer.err


def test_an_unknown_command_is_bad_input(run: Run) -> None:
    answer = run("slove")
    assert answer.code == 2
    assert "slove" in answer.err


def test_what_cannot_be_solved_is_said_with_another_way(run: Run, tmp_path: Path) -> None:
    (tmp_path / "flashing.toml").write_text(
        'mains = { voltage = "12 V", frequency = "50 Hz", source = "adapter" }\n'
        'rectifier = { circuit = "bridge" }\n'
        'filter = [{ capacitor = "1000 uF" }]\n'
        'load = { pulses = [{ level = "0.1 A", from = "0 s", to = "5 ms" }], pulse_period = "31.4159 ms" }\n',
        encoding="utf-8",
    )
    answer = run("solve", "flashing.toml", "--json")
    assert (answer.code, answer.out) == (3, "")
    assert "Choose" in answer.err
    assert answer.err.count("\n") == 1


def test_a_circuit_without_a_provable_answer_ends_with_3(
    run: Run, unfiltered: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from railwright import study
    from railwright.solver import NoProvableAnswer

    def refuse(*_: object, **__: object) -> None:
        raise NoProvableAnswer("The charge balance is off. Check the smallest capacitance.")

    monkeypatch.setattr(study, "solve", refuse)
    answer = run("solve", unfiltered, "--json")
    assert (answer.code, answer.out) == (3, "")
    assert answer.err == "The charge balance is off. Check the smallest capacitance.\n"


def test_a_defect_is_one_sentence_and_leaves_a_report(
    run: Run, unfiltered: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from railwright import study

    def fall(*_: object, **__: object) -> None:
        raise ZeroDivisionError("somewhere deep")

    monkeypatch.setattr(study, "solve", fall)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    answer = run("solve", unfiltered, "--json")
    assert (answer.code, answer.out) == (4, "")
    assert answer.err.count("\n") == 1
    found = re.search(r"lies in (.+)", answer.err)
    assert found is not None
    report = Path(found[1].strip()).read_text(encoding="utf-8")
    assert "ZeroDivisionError: somewhere deep" in report
    assert "Python" in report


def test_every_error_that_the_program_means_to_raise_exists_where_it_is_looked_for() -> None:
    """They are found by name, so that `--help` stays light; a moved class would turn bad input into a defect."""
    import importlib

    from railwright.cli.failures import _MEANT

    for module, name, _ in _MEANT:
        assert issubclass(getattr(importlib.import_module(module), name), Exception)
