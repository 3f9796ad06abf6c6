"""Proofreading of a lesson's worked numbers: right lines pass, planted slips are named."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from railwright.cli.entry import railwright

#: Worked by hand for the signal lamp: 18 V, two drops of 0.8 V, 24 ohm, 4700 uF, 60 Hz.
RIGHT = (
    "Vp = 18 V * 1.414 = 25.45 V",
    "Vload = 25.45 V - 2 * 0.8 V = 23.85 V",
    "I = 23.85 V / 24 ohm = 0.994 A",
    "ripple = 0.994 A / (2 * 60 Hz * 4700 uF) = 1.76 V",
)
#: A line in which one thing is wrong, and the kind that must be found.
SLIPS = (
    ("Vp = 18 V * 1.414 = 26.45 V", "arithmetic"),
    ("Vload = 25.45 V - 2 * 0.8 V = 23.85 A", "unit"),
    ("ripple = 0.994 A/(60 Hz * 4700 uF) = 3.52 V", "full period"),
)


def proofread(folder: Path, root: Path, *lines: str) -> tuple[int, list[dict[str, object]]]:
    notes = folder / "notes.md"
    notes.write_text("# Signal lamp\n\n" + "\n\n".join(lines) + "\n", encoding="utf-8")
    sheet = str(root / "examples/supplies/signal-lamp.toml")
    result = CliRunner().invoke(railwright, ["proofread", str(notes), sheet, "--json"], prog_name="railwright")
    return result.exit_code, json.loads(result.stdout)["findings"]


def test_right_lines_hold_no_error(tmp_path: Path, root: Path) -> None:
    code, findings = proofread(tmp_path, root, *RIGHT)
    assert code == 0
    assert {finding["severity"] for finding in findings} <= {"note"}


@pytest.mark.parametrize(("line", "kind"), SLIPS)
def test_a_planted_slip_is_named(tmp_path: Path, root: Path, line: str, kind: str) -> None:
    _, findings = proofread(tmp_path, root, line)
    assert kind in {finding["kind"] for finding in findings}
